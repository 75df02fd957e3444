//! What follows from one device in one way at one port: each fact derived once, when it is first asked for.

use core::cell::OnceCell;
use core::ops::Deref;

use catalogue::WorkKind;
use model::board::RailId;
use model::machine::Detail;
use quantity::si::{ElectricCurrent, ElectricPotential, ElectricalResistance, Length, Ratio};
use quantity::{Number, Value, WireSize};

use crate::facts::changes::{self, Change, DirectionChange};
use crate::facts::driving;
use crate::facts::feed::{Feed, Source};
use crate::facts::harness::{self, Job, PinMap};
use crate::facts::heating::{self, Heating};
use crate::facts::loads;
use crate::facts::pair::Pair;
use crate::facts::ratings::TooMuch;
use crate::facts::reach::{self, Reach};
use crate::facts::switches::switch_of;
use crate::facts::thermometry::{self, Thermometry};
use crate::facts::torque::drive::Given;
use crate::facts::wires::{self, Drop, NewWire};

/// A pair with what is derived of it: what pair checks read.
#[derive(Clone, Debug)]
pub struct PairFacts<'a> {
    pair: Pair<'a>,
    known: Known<'a>,
}

/// What was asked for so far.
#[derive(Clone, Debug, Default)]
struct Known<'a> {
    device_name: OnceCell<String>,
    work: OnceCell<Option<WorkKind>>,
    wire_bears: OnceCell<Option<Value<ElectricCurrent>>>,
    current: OnceCell<Option<Value<ElectricCurrent>>>,
    long_current: OnceCell<Option<Value<ElectricCurrent>>>,
    driver_current: OnceCell<Option<Value<ElectricCurrent>>>,
    reach: OnceCell<Option<Reach>>,
    pins: OnceCell<PinMap>,
    job: OnceCell<Job>,
    own_drop: OnceCell<Option<Drop>>,
    new_wire: OnceCell<Option<NewWire>>,
    drop: OnceCell<Option<Drop>>,
    feed: OnceCell<Feed<'a>>,
    direction: OnceCell<Option<DirectionChange>>,
    thermometry: OnceCell<Option<Thermometry<'a>>>,
    motor: OnceCell<Option<Given>>,
    heating: OnceCell<Option<Heating<'a>>>,
}

impl<'a> Deref for PairFacts<'a> {
    type Target = Pair<'a>;
    fn deref(&self) -> &Pair<'a> {
        &self.pair
    }
}

impl<'a> Pair<'a> {
    /// What follows from it; nothing is derived yet.
    #[must_use]
    pub fn facts(self) -> PairFacts<'a> {
        PairFacts {
            pair: self,
            known: Known::default(),
        }
    }
}

impl<'a> PairFacts<'a> {
    /// "F1 (part fan)", the way a sentence names the device.
    #[must_use]
    pub fn device_name(&self) -> &str {
        self.known.device_name.get_or_init(|| self.pair.device_name())
    }
    /// What has to be done so that the plug of the lead meets the port; `None` where a connector is not known.
    #[must_use]
    pub fn work(&self) -> Option<WorkKind> {
        *self.known.work.get_or_init(|| harness::work(&self.pair))
    }
    /// The current that the wires of the lead of the plan bear for long in a bundle; `None` for wires thinner than the table.
    #[must_use]
    pub fn wire_bears(&self) -> Option<Value<ElectricCurrent>> {
        let bears = || wires::bears(&self.swap.catalogue, self.wire());
        *self.known.wire_bears.get_or_init(bears)
    }
    /// The largest current between port and device: that of a cold heater.
    #[must_use]
    pub fn current(&self) -> Option<Value<ElectricCurrent>> {
        *self
            .known
            .current
            .get_or_init(|| self.pair.current_at(self.device_voltage()))
    }
    /// The largest current between port and device that flows for long: that of a hot heater.
    #[must_use]
    pub fn long_current(&self) -> Option<Value<ElectricCurrent>> {
        *self
            .known
            .long_current
            .get_or_init(|| self.pair.long_current_at(self.device_voltage()))
    }
    /// The effective current that the driver must give, to a second motor too: see [`driving::driver_current`].
    #[must_use]
    pub fn driver_current(&self) -> Option<Value<ElectricCurrent>> {
        *self
            .known
            .driver_current
            .get_or_init(|| driving::driver_current(&self.pair))
    }
    /// How far the lead must reach; `None` for a new one, or where the case does not say where leads come in.
    #[must_use]
    pub fn reach(&self) -> Option<Reach> {
        *self.known.reach.get_or_init(|| reach::reach(&self.pair))
    }
    /// Where the wires of the lead go.
    #[must_use]
    pub fn pins(&self) -> &PinMap {
        self.known.pins.get_or_init(|| harness::pins(&self.pair))
    }
    /// What has to be done to the lead.
    #[must_use]
    pub fn job(&self) -> &Job {
        self.known.job.get_or_init(|| {
            // A lead that is made anew is made long enough.
            let missing = self.missing().filter(|_| self.new_wire().is_none());
            harness::job(&self.pair, self.work(), self.pins().clone(), missing)
        })
    }
    /// By how much the lead as it is does not reach its port.
    #[must_use]
    pub fn missing(&self) -> Option<Length> {
        self.reach().and_then(|reach| reach.missing())
    }
    /// What the lead as it is loses at its largest current; `None` where the port gives no current.
    #[must_use]
    pub fn own_drop(&self) -> Option<&Drop> {
        self.known
            .own_drop
            .get_or_init(|| self.drop_of(self.device().cable.wire.value))
            .as_ref()
    }
    fn drop_of(&self, wire: WireSize) -> Option<Drop> {
        wires::drop(&self.pair, wire, self.work(), self.current()?, self.missing())
    }
    /// What the lead as it is loses of the voltage at its beginning, at its largest current.
    #[must_use]
    pub fn own_lost_share(&self) -> Option<Value<Ratio>> {
        self.lost_by(self.own_drop()?)
    }
    /// What is lost as a share of the voltage.
    fn lost_by(&self, drop: &Drop) -> Option<Value<Ratio>> {
        let Detail::Heater(heater) = &self.device().detail else {
            return Some(drop.total / self.device_voltage()?);
        };
        if heater.relay.is_some() {
            return Some(drop.total / self.device_voltage()?);
        }
        // The voltage cancels: it makes the current of a heater.
        let cold = loads::resistance_at(heater, self.limits().ambient_cold_start.value);
        let lead = wires::resistance(Some(drop));
        Some(Value::corners(|end| lead.at(end) / cold.at(end.other())))
    }
    /// Whether the lead loses so much that it must be made anew; the driver of a motor holds the current whatever its lead loses.
    #[must_use]
    pub fn loses_too_much(&self) -> bool {
        wires::drop_counts(&self.pair) && {
            let most = self.limits().lead_drop_blocker.value.low();
            self.own_lost_share().is_some_and(|share| share.high() > most)
        }
    }
    /// Whether the wires of the lead carry more for long than they bear even where they lie by themselves.
    #[must_use]
    pub fn is_too_thin(&self) -> bool {
        let wire = self.device().cable.wire.value;
        let bears = wires::bears_alone(&self.swap.catalogue, wire);
        let supply = matches!(self.device().detail, Detail::Supply(_));
        !supply
            && self
                .long_current()
                .zip(bears)
                .is_some_and(|(current, bears)| current.high() > bears.low())
    }
    /// The wire of which the plan makes the lead anew; `None` where it stays as it is.
    #[must_use]
    pub fn new_wire(&self) -> Option<NewWire> {
        *self.known.new_wire.get_or_init(|| {
            if !self.loses_too_much() && !self.is_too_thin() {
                return None;
            }
            let lost = |wire: WireSize| {
                let counted = wires::drop_counts(&self.pair)
                    .then(|| self.drop_of(wire))
                    .flatten();
                Some(counted?.total / self.device_voltage()?)
            };
            let long = self.long_current()?;
            // Heaters alone are judged one by one by what opens in front of them.
            let fuse = self.current().filter(|_| self.device().is_direct_heater());
            let fuse = fuse.and_then(|most| wires::fuse_for(&self.pair, long, most, self.device_voltage()));
            Some(wires::anew(&self.pair, long, fuse, lost))
        })
    }
    /// The size of the wires that the lead has in the plan.
    #[must_use]
    pub fn wire(&self) -> WireSize {
        self.new_wire()
            .map_or(self.device().cable.wire.value, |anew| anew.size)
    }
    /// What the lead of the plan loses at its largest current; `None` where the port gives no current.
    #[must_use]
    pub fn drop(&self) -> Option<&Drop> {
        if self.new_wire().is_none() {
            return self.own_drop();
        }
        self.known.drop.get_or_init(|| self.drop_of(self.wire())).as_ref()
    }
    /// What the lead of the plan loses of the voltage at its beginning, at its largest current.
    #[must_use]
    pub fn lost_share(&self) -> Option<Value<Ratio>> {
        Some(self.drop()?.total / self.device_voltage()?)
    }
    /// Resistance of the lead, out and back, with its contacts; nothing where it carries no current.
    #[must_use]
    pub fn lead_resistance(&self) -> Value<ElectricalResistance> {
        wires::resistance(self.drop())
    }
    /// What feeds the device.
    #[must_use]
    pub fn feed(&self) -> &Feed<'a> {
        self.known.feed.get_or_init(|| self.pair.feed())
    }
    /// The voltage at the beginning of the device's lead.
    #[must_use]
    pub fn device_voltage(&self) -> Option<Value<ElectricPotential>> {
        self.feed().voltage
    }
    /// The largest current through contacts and switch of the port; `None` where it carries a signal only.
    #[must_use]
    pub fn port_current(&self) -> Option<Value<ElectricCurrent>> {
        self.feed().through_port(self.current()?)
    }
    /// As [`Self::port_current`], of what flows for long.
    #[must_use]
    pub fn long_port_current(&self) -> Option<Value<ElectricCurrent>> {
        self.feed().through_port(self.long_current()?)
    }
    /// The voltage that a heater gets: at the beginning of its cable, or behind a relay that of its load.
    #[must_use]
    pub fn heater_voltage(&self) -> Option<Value<ElectricPotential>> {
        heating::voltage(&self.pair, self.device_voltage())
    }
    /// What lies in series with a device on the rail of its port: its cable with contacts, the switch of the port, and where the rail is that of
    /// the input the cable of the supply, as far as the current of this device goes.
    #[must_use]
    pub fn in_series(&self) -> Value<ElectricalResistance> {
        // The cable of a relay is that of its control side; that of its load is not described.
        if matches!(self.device().detail, Detail::Heater(_)) && !self.device().is_direct_heater() {
            return Value::exact(ElectricalResistance::from_base(0.0));
        }
        let own = self.lead_resistance();
        let none = Value::exact(ElectricalResistance::from_base(0.0));
        let switch = self
            .current()
            .and_then(|current| switch_of(self.swap, self.port(), current));
        let switch = switch.map_or(none, |switch| switch.resistance);
        let outside = self.external_switch().is_some();
        let supply = match self.way.rail {
            // A converter of its own holds its voltage whatever the cable of the supply takes.
            _ if self.way.own_supply => none,
            Some(RailId::INPUT) => self.site.supply_cable(),
            _ if outside => self.site.supply_cable(),
            _ => none,
        };
        let before = Value::corners(|end| switch.at(end) + supply.at(end));
        // Nobody knows the switch outside yet, nor its lead from the supply: no worse than the way through the board.
        let before = match outside {
            true => Value::between(none.nominal(), before.nominal(), before.high()),
            false => before,
        };
        Value::corners(|end| own.at(end) + before.at(end))
    }
    /// What is too weak for a heater at this port, so that the port drives an external switch, which feeds the heater by a lead of its own
    /// from the supply. `None` for other devices, and where the port bears the heater.
    #[must_use]
    pub fn external_switch(&self) -> Option<TooMuch> {
        match self.feed().source {
            Source::ExternalSwitch(weak) => Some(weak),
            _ => None,
        }
    }
    /// The direction setting of a motor, old and new.
    #[must_use]
    pub fn direction(&self) -> Option<DirectionChange> {
        *self
            .known
            .direction
            .get_or_init(|| changes::new_direction(&self.pair, self.pins()))
    }
    /// The settings that this way changes; empty for a new device, whose settings are all new wherever it goes.
    #[must_use]
    pub fn changes(&self) -> Vec<Change> {
        changes::changes(&self.pair, self.direction())
    }
    /// How many settings this way changes.
    #[must_use]
    pub fn changed_settings(&self) -> i64 {
        changes::count(&self.pair, self.direction())
    }
    /// The thermometer at its input; `None` for other devices and ports.
    #[must_use]
    pub fn thermometry(&self) -> Option<&Thermometry<'a>> {
        self.known
            .thermometry
            .get_or_init(|| thermometry::at(&self.pair))
            .as_ref()
    }
    /// The motor on its driver, alone or beside the other motor on it; `None` where the files do not tell enough.
    #[must_use]
    pub fn motor(&self) -> Option<&Given> {
        self.known
            .motor
            .get_or_init(|| Given::of_pair(&self.pair))
            .as_ref()
    }
    /// The heater with the part that it heats; `None` for other devices, or where the port gives no voltage.
    #[must_use]
    pub fn heating(&self) -> Option<&Heating<'a>> {
        let of = || Heating::of(&self.pair, self.heater_voltage()?, self.in_series());
        self.known.heating.get_or_init(of).as_ref()
    }
}
