//! What follows from one device in one way at one port: each fact derived once, when it is first asked for.

use core::cell::OnceCell;
use core::ops::Deref;

use catalogue::WorkKind;
use quantity::si::{ElectricCurrent, ElectricPotential, ElectricalResistance, Length, Ratio};
use quantity::{Number, Value};

use crate::facts::changes::{self, Change, DirectionChange};
use crate::facts::driving;
use crate::facts::harness::{self, Job, PinMap};
use crate::facts::heating::{self, Heating};
use crate::facts::pair::Pair;
use crate::facts::ratings::{self, TooMuch};
use crate::facts::reach::{self, Reach};
use crate::facts::thermometry::{self, Thermometry};
use crate::facts::torque::drive::Given;
use crate::facts::wires::{self, Drop};

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
    drop: OnceCell<Option<Drop>>,
    external_switch: OnceCell<Option<TooMuch>>,
    direction: OnceCell<Option<DirectionChange>>,
    thermometry: OnceCell<Option<Thermometry<'a>>>,
    motor: OnceCell<Option<Given>>,
    motor_asked_alone: OnceCell<Option<Given>>,
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
    /// The current that the wires of the lead bear for long in a bundle; `None` for wires thinner than the table.
    #[must_use]
    pub fn wire_bears(&self) -> Option<Value<ElectricCurrent>> {
        let bears = || wires::bears(&self.swap.catalogue, self.device().cable.wire.value);
        *self.known.wire_bears.get_or_init(bears)
    }
    /// The largest current between port and device: that of a cold heater.
    #[must_use]
    pub fn current(&self) -> Option<Value<ElectricCurrent>> {
        *self.known.current.get_or_init(|| self.pair.current())
    }
    /// The largest current between port and device that flows for long: that of a hot heater.
    #[must_use]
    pub fn long_current(&self) -> Option<Value<ElectricCurrent>> {
        *self.known.long_current.get_or_init(|| self.pair.long_current())
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
        self.known
            .job
            .get_or_init(|| harness::job(&self.pair, self.work(), self.pins().clone(), self.missing()))
    }
    fn missing(&self) -> Option<Length> {
        self.reach().and_then(|reach| reach.missing())
    }
    /// What the lead loses at its largest current; `None` where the port gives no current.
    #[must_use]
    pub fn drop(&self) -> Option<&Drop> {
        self.known
            .drop
            .get_or_init(|| wires::drop(&self.pair, self.work(), self.current()?, self.missing()))
            .as_ref()
    }
    /// What the lead loses of the voltage at its port, at its largest current.
    #[must_use]
    pub fn lost_share(&self) -> Option<Value<Ratio>> {
        Some(self.drop()?.total / self.device_voltage()?)
    }
    /// Whether the lead loses so much that it must be made anew; the driver of a motor holds the current whatever its lead loses.
    #[must_use]
    pub fn loses_too_much(&self) -> bool {
        wires::drop_counts(&self.pair) && {
            let most = self.limits().lead_drop_blocker.value.low();
            self.lost_share().is_some_and(|share| share.high() > most)
        }
    }
    /// Resistance of the lead, out and back, with its contacts; nothing where it carries no current.
    #[must_use]
    pub fn lead_resistance(&self) -> Value<ElectricalResistance> {
        wires::resistance(self.drop())
    }
    /// What is too weak for a heater at this port: see [`ratings::external_switch`].
    #[must_use]
    pub fn external_switch(&self) -> Option<TooMuch> {
        *self
            .known
            .external_switch
            .get_or_init(|| ratings::external_switch(&self.pair))
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
    /// The motor on its driver, beside whichever other motor is on it; `None` where the files do not tell enough.
    #[must_use]
    pub fn motor(&self) -> Option<&Given> {
        self.known
            .motor
            .get_or_init(|| Given::in_setup(&self.pair))
            .as_ref()
    }
    /// The motor on its driver as the assignment asks: alone, or as the second.
    #[must_use]
    pub fn motor_asked_alone(&self) -> Option<&Given> {
        self.known
            .motor_asked_alone
            .get_or_init(|| Given::of_pair(&self.pair))
            .as_ref()
    }
    /// The voltage that a heater gets: of its port, or of the supply where the port only drives an external switch.
    #[must_use]
    pub fn heater_voltage(&self) -> Option<Value<ElectricPotential>> {
        heating::voltage(&self.pair, self.external_switch())
    }
    /// The heater with the part that it heats; `None` for other devices, or where the port gives no voltage.
    #[must_use]
    pub fn heating(&self) -> Option<&Heating<'a>> {
        // The cable of a relay is that of its control side; that of its load is not described.
        let lead = || match self.device().is_direct_heater() {
            true => self.lead_resistance(),
            false => Value::exact(ElectricalResistance::from_base(0.0)),
        };
        let of = || Heating::of(&self.pair, self.heater_voltage()?, lead());
        self.known.heating.get_or_init(of).as_ref()
    }
}
