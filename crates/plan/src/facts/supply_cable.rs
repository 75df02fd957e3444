//! The cable of the supply, and what is said of any wire by its size alone.

use catalogue::Catalogue;
use model::board::{Board, PortKind};
use model::machine::Cable;
use model::{Pin, Swap};
use physics::electrics;
use quantity::si::{ElectricalResistance, ResistancePerLength};
use quantity::{Number, Value, WireSize, si};

/// Resistance of a wire per length at 20 °C: from a solid wire of that size to the most that a stranded one may have.
#[must_use]
pub fn per_length(catalogue: &Catalogue, size: WireSize) -> Value<ResistancePerLength> {
    let solid = electrics::wire_resistance(size.area(), si::ratio(1.0));
    if let Some(row) = catalogue.wires().stranded_of(size) {
        let most = row.resistance.high();
        return Value::between(solid, most, most);
    }
    let solid = match size {
        WireSize::Awg(_) => catalogue
            .wires()
            .gauge(size)
            .map_or(solid, |row| row.resistance.nominal()),
        WireSize::CrossSection(_) => solid,
    };
    Value::between(solid, solid, solid * electrics::stranded_at_most())
}

/// Resistance of the cable of the supply, out and back, with its terminals on the board; nothing where the machine has no supply. The current
/// of everything on the board goes through it.
#[must_use]
pub fn resistance(swap: &Swap, board: &Board) -> Value<ElectricalResistance> {
    let none = Value::exact(si::ohm(0.0));
    let Some(lead) = swap
        .machine
        .supplies()
        .next()
        .map(|(id, _)| &swap.machine.device(id).cable)
    else {
        return none;
    };
    let per_length = per_length(&swap.catalogue, lead.wire.value);
    let copper = swap.catalogue.limits().lead_copper_temperature.value;
    let (length, count) = (lead.length.value, conductors(lead) as f64);
    let wires = Value::corners(|end| {
        let wires = electrics::lead_resistance(length.at(end), per_length.at(end), copper.at(end));
        wires.unwrap_or(ElectricalResistance::from_base(f64::INFINITY)) / count
    });
    let input = board.ports.iter().find(|port| port.kind == PortKind::SupplyInput);
    let family = input.and_then(|port| swap.catalogue.connectors().get(&port.connector.value));
    let terminals = family.map_or(none, |family| {
        let most = family.contact_resistance.high() * (2.0 / count);
        Value::between(si::ohm(0.0), most, most)
    });
    Value::corners(|end| wires.at(end) + terminals.at(end))
}

/// Wires of a lead that share the current of one pole.
#[must_use]
pub fn conductors(cable: &Cable) -> usize {
    let plus = cable.pins.iter().filter(|pin| pin.value == Pin::Plus);
    plus.count().max(1)
}
