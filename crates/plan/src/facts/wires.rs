//! What the wires of a lead carry, and what they lose.

use catalogue::{Catalogue, Gauge, WorkKind};
use model::machine::Detail;
use physics::{Working, electrics, named, try_work, work};
use quantity::si::{
    ElectricCurrent, ElectricPotential, ElectricalResistance, Length, Ratio, ResistancePerLength,
};
use quantity::{Number, Value, WireSize, si};

use crate::facts::pair::Pair;

pub use crate::facts::supply_cable::{conductors, per_length};

/// The catalogue's figures for bundles are for so much in one.
const IN_A_BUNDLE: electrics::Bundled = electrics::Bundled::Circuits(4);

/// The current that a wire bears for long in a bundle inside a machine; `None` for a wire thinner than the table.
#[must_use]
pub fn bears(catalogue: &Catalogue, size: WireSize) -> Option<Value<ElectricCurrent>> {
    catalogue.wires().gauge(size).map(|row| row.bundled)
}

/// The current that a wire bears for long where no other loaded lead lies beside it.
#[must_use]
pub fn bears_alone(catalogue: &Catalogue, size: WireSize) -> Option<Value<ElectricCurrent>> {
    let factor = electrics::bundle_factor(IN_A_BUNDLE);
    bears(catalogue, size).map(|bundled| bundled / Value::exact(factor))
}

/// The thinnest gauge that bears a current in a bundle; `None` where none of the table does.
#[must_use]
pub fn thinnest_for(catalogue: &Catalogue, current: ElectricCurrent) -> Option<WireSize> {
    let rows = catalogue.wires().gauges().rows().iter();
    let enough = rows.filter(|row| row.bundled.low() >= current);
    enough
        .min_by(|one, other| one.bundled.low().base().total_cmp(&other.bundled.low().base()))
        .map(|row| row.size)
}

/// How [`bears_alone`] comes about.
pub(crate) fn unbundled(catalogue: &Catalogue, size: WireSize) -> Option<Working> {
    let bundled = bears(catalogue, size)?;
    let factor = electrics::bundle_factor(IN_A_BUNDLE);
    let inputs = (
        named(
            "I_b",
            format!("what {size} bears in a bundle of four loaded circuits"),
            bundled,
        ),
        named("k", "what such a bundle leaves of it", Value::exact(factor)),
    );
    let worked = work(&electrics::UNBUNDLED, "I", inputs, |(bundled, factor)| {
        electrics::unbundled(bundled, factor)
    });
    Some(worked.working)
}

/// What a lead and its contacts lose, with what goes into it.
#[derive(Clone, Copy, Debug)]
pub struct Drop {
    /// Length one way, extension included.
    pub length: Value<Length>,
    /// Resistance per length at 20 °C.
    pub per_length: Value<ResistancePerLength>,
    /// Contacts that the current passes, out and back.
    pub contacts: Value<Ratio>,
    /// Resistance of one contact: from nothing to what its family may have.
    pub contact: Value<ElectricalResistance>,
    /// The current.
    pub current: Value<ElectricCurrent>,
    /// Lost in wires and contacts together.
    pub total: Value<ElectricPotential>,
}

/// What the lead of a pair loses at a current, where its connectors ask for that work and so much of its length is missing; `None` where its
/// connector is not known. Of another wire than its own it is made anew from end to end, without joints.
#[must_use]
pub fn drop(
    pair: &Pair<'_>,
    wire: WireSize,
    work: Option<WorkKind>,
    current: Value<ElectricCurrent>,
    missing: Option<Length>,
) -> Option<Drop> {
    let cable = &pair.device().cable;
    let catalogue = &pair.swap.catalogue;
    let family = catalogue.connectors().get(&pair.port().connector.value)?;
    let length = missing.map_or(cable.length.value, |missing| {
        cable.length.value + Value::exact(missing)
    });
    let own = wire == cable.wire.value;
    let joints = 1 + u8::from(own && missing.is_some()) + u8::from(own && work == Some(WorkKind::Adaptor));
    let contacts = Value::exact(si::ratio(2.0 * f64::from(joints)));
    let most = family.contact_resistance.high();
    let contact = Value::between(si::ohm(0.0), most, most);
    Some(through(pair, wire, length, (contacts, contact), current))
}

/// The wire that the plan gives a lead that cannot stay as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NewWire {
    /// Its size: the thinnest gauge that bears the current in a bundle and loses little, else the thickest there is.
    pub size: WireSize,
    /// Whether it bears the current and does not lose too much.
    pub serves: bool,
}

/// The smallest blade fuse that holds a load that draws so much for long, and so much at most, and that breaks its voltage.
#[must_use]
pub fn fuse_for(
    pair: &Pair<'_>,
    long: Value<ElectricCurrent>,
    most: Value<ElectricCurrent>,
    voltage: Option<Value<ElectricPotential>>,
) -> Option<ElectricCurrent> {
    let share = pair.limits().fuse_continuous_share.value;
    let blade = pair.swap.catalogue.fuses().get("blade fuse")?;
    let breaks = voltage.is_none_or(|voltage| voltage.high() <= blade.voltage.low());
    // For long a share of its rating, cold for some minutes all of it.
    let needed = (long.high() / share.low()).larger(most.high());
    let rating = blade.rating_for(needed).filter(|_| breaks)?;
    Some(rating.nominal())
}

/// The wire for a lead made anew that carries so much for long, may lose a share of its voltage, and lies behind a fuse of its own, where it
/// gets one; `lost` says what a wire loses.
#[must_use]
pub fn anew(
    pair: &Pair<'_>,
    long: Value<ElectricCurrent>,
    fuse: Option<ElectricCurrent>,
    lost: impl Fn(WireSize) -> Option<Value<Ratio>>,
) -> NewWire {
    let limits = pair.limits();
    let (little, most) = (
        limits.lead_drop_caution.value.low(),
        limits.lead_drop_blocker.value.low(),
    );
    let own = pair.device().cable.wire.value.area();
    // Thickest first in the table.
    let rows = || {
        let rows = pair.swap.catalogue.wires().gauges().rows().iter().rev();
        rows.filter(|row| row.size.area() > own)
    };
    let bears = |row: &&Gauge| row.bundled.low() >= long.high();
    let loses_at_most = |row: &&Gauge, share: Ratio| lost(row.size).is_none_or(|lost| lost.high() <= share);
    // The fuse that holds the load protects no wire that is rated for less.
    let fused = |row: &&Gauge| fuse.is_none_or(|fuse| row.bundled.low() >= fuse);
    let good = |row: &&Gauge| bears(row) && loses_at_most(row, little);
    let enough = || rows().rfind(|row| bears(row) && loses_at_most(row, most));
    let serving = rows()
        .find(|row| good(row) && fused(row))
        .or_else(|| rows().find(good))
        .or_else(enough);
    let thickest = rows()
        .next_back()
        .map_or(pair.device().cable.wire.value, |row| row.size);
    NewWire {
        size: serving.map_or(thickest, |row| row.size),
        serves: serving.is_some(),
    }
}

/// Whether it counts what the lead of a device loses: the driver of a motor holds the current whatever its lead loses.
#[must_use]
pub fn drop_counts(pair: &Pair<'_>) -> bool {
    !matches!(pair.device().detail, Detail::Motor(_) | Detail::Supply(_))
}

/// Resistance of a lead, out and back, with its contacts; nothing where it carries no current.
#[must_use]
pub fn resistance(drop: Option<&Drop>) -> Value<ElectricalResistance> {
    drop.map_or(Value::exact(si::ohm(0.0)), |drop| {
        let (total, current) = (drop.total, drop.current);
        Value::corners(|end| total.at(end) / current.at(end))
    })
}

/// What wires of a size and length with contacts lose at a current.
pub(crate) fn through(
    pair: &Pair<'_>,
    size: WireSize,
    length: Value<Length>,
    (contacts, contact): (Value<Ratio>, Value<ElectricalResistance>),
    current: Value<ElectricCurrent>,
) -> Drop {
    let per_length = per_length(&pair.swap.catalogue, size);
    let copper = pair.limits().lead_copper_temperature.value;
    // The law is linear between −50 °C and 200 °C; a limit that leaves it gives no number, which holds nothing.
    let wires =
        |l, r, t, i| electrics::lead_drop(l, r, t, i).unwrap_or(ElectricPotential::from_base(f64::INFINITY));
    let at = |l, r, t, n, c, i| wires(l, r, t, i) + electrics::contact_drop(n, c, i);
    let total = Value::corners(|end| {
        at(
            length.at(end),
            per_length.at(end),
            copper.at(end),
            contacts.at(end),
            contact.at(end),
            current.at(end),
        )
    });
    Drop {
        length,
        per_length,
        contacts,
        contact,
        current,
        total,
    }
}

/// How the drop in the wires and that in the contacts come about.
pub(crate) fn workings(
    pair: &Pair<'_>,
    wire: WireSize,
    drop: &Drop,
) -> impl Iterator<Item = Working> + use<> {
    let inputs = (
        named("l", "length of the lead, one way", drop.length),
        named("R′", format!("resistance of {wire} per length"), drop.per_length),
        named(
            "ϑ",
            "temperature of the copper",
            pair.limits().lead_copper_temperature.value,
        ),
        named("I", "current", drop.current),
    );
    let wires = try_work(&electrics::LEAD_DROP, "ΔU", inputs, |(l, r, t, i)| {
        electrics::lead_drop(l, r, t, i)
    });
    let inputs = (
        named("n", "contacts, out and back", drop.contacts),
        named(
            "Rₖ",
            format!("resistance of a contact of {}", pair.port().connector),
            drop.contact,
        ),
        named("I", "current", drop.current),
    );
    let contacts = work(&electrics::CONTACT_DROP, "ΔU", inputs, |(n, r, i)| {
        electrics::contact_drop(n, r, i)
    });
    wires
        .ok()
        .map(|wires| wires.working)
        .into_iter()
        .chain([contacts.working])
}
