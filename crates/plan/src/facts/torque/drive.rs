//! A motor on its driver: what it gives at a speed of its shaft.

use catalogue::Limits;
use model::Connection;
use model::board::{Driver, PortKind};
use model::machine::Motor;
use physics::motion::{self, MotorDrive};
use physics::{Working, named, work};
use quantity::si::{
    AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance, Inductance, Ratio, Time,
    Torque,
};
use quantity::{Number, Value, si};

use crate::facts::axes;
use crate::facts::driving;
use crate::facts::pair::{Pair, old_port};
use crate::facts::rails::old_supply_voltage;
use crate::facts::torque::winding::{self, Winding};

/// A motor on a driver.
#[derive(Clone, Copy, Debug)]
pub struct Given {
    winding: Winding,
    /// Winding and switches of the driver in series.
    resistance: Value<ElectricalResistance>,
    /// What one motor sees of the supply.
    supply: Value<ElectricPotential>,
    /// What one motor gets, peak of one phase.
    current: Value<ElectricCurrent>,
    /// What iron and bearings take, as a share of the holding torque for each rad/s.
    drag: Value<Time>,
    /// How it is joined to a second motor on its driver.
    joint: Option<Connection>,
}

/// The constants of a motor at one corner of its tolerances.
type Magnet = (Torque, ElectricCurrent);

impl Given {
    /// A motor alone on a driver, or with a second one joined to it; `None` where its file lacks a figure.
    ///
    /// The current is what it gets of what both are to run at, or of what the driver can give.
    fn of(
        limits: &Limits,
        motor: &Motor,
        driver: &Driver,
        (supply, switches): (Value<ElectricPotential>, Option<Value<ElectricalResistance>>),
        other: Option<(&Motor, Connection)>,
    ) -> Option<Self> {
        let winding = winding::winding(limits, motor)?;
        let most = driver.rms_range().high();
        let given = driving::total(motor, other).map(|asked| asked.smaller(most));
        let current = driving::gets(limits, motor, other, given).map(motion::peak_of_rms);
        let shared = other.map(|(_, joint)| joint);
        let switches = switches.unwrap_or(Value::exact(si::ohm(0.0)));
        // Two motors in series share the supply and the switches; side by side, the switches carry the current of both.
        let (share, crowd) = match shared {
            Some(Connection::Series) => (0.5, 0.5),
            Some(Connection::Parallel) => (1.0, 2.0),
            None => (1.0, 1.0),
        };
        Some(Self {
            winding,
            resistance: winding.resistance * limits.motor_hot_resistance_factor.value + switches.scale(crowd),
            supply: supply.scale(share),
            current,
            drag: limits.motor_drag.value,
            joint: shared,
        })
    }

    /// The motor of a pair: alone, or beside the other motor on its driver.
    #[must_use]
    pub fn of_pair(pair: &Pair<'_>) -> Option<Self> {
        let (motor, driver) = (axes::motor(&pair.device().detail)?, pair.driver()?);
        let other = driving::other(pair).map(|other| (other, driving::joint(pair, driver)));
        Self::of(
            pair.limits(),
            motor,
            driver,
            (pair.supply_voltage(), Some(switches(pair.limits(), driver))),
            other,
        )
    }

    /// The motor where it was on the old board; `None` for a new one.
    #[must_use]
    pub fn on_old_board(pair: &Pair<'_>) -> Option<Self> {
        let (motor, driver) = (axes::motor(&pair.device().detail)?, pair.old_driver()?);
        let own = pair.old_port()?;
        let others = pair
            .swap
            .machine
            .devices
            .iter()
            .filter(|device| device.tag != pair.device().tag);
        let mut shared = None;
        for (port, other) in
            others.filter_map(|device| Some((old_port(pair.swap, device)?, axes::motor(&device.detail)?)))
        {
            if matches!((&port.kind, &own.kind), (PortKind::Motor { driver: one }, PortKind::Motor { driver: other }) if one == other)
            {
                // Two plugs in one socket hang on a Y-lead, which joins them side by side.
                let joint = if port.name == own.name {
                    Connection::Parallel
                } else {
                    driver.motor_connection
                };
                shared = Some((other, joint));
            }
        }
        // A resistance that the old board's file does not state is no change.
        let limits = pair.limits();
        let as_stated = driver.on_resistance.map(|_| driver).or_else(|| pair.driver());
        let switches = switches(limits, as_stated.unwrap_or(driver));
        Self::of(
            limits,
            motor,
            driver,
            (old_supply_voltage(pair.swap), Some(switches)),
            shared,
        )
    }

    fn drive(&self, (holding, rated): Magnet, end: fn(&Corner) -> End) -> MotorDrive {
        let (resistance, inductance, supply, current, drag) = end(&Corner(*self));
        MotorDrive {
            holding,
            rated,
            resistance,
            inductance,
            rotor_teeth: self.winding.rotor_teeth,
            supply,
            current,
            drag,
        }
    }

    /// The motor with nominal figures.
    #[must_use]
    pub fn nominal(&self) -> MotorDrive {
        let magnet = (self.winding.holding.nominal(), self.winding.rated.nominal());
        self.drive(magnet, Corner::nominal)
    }

    /// The motor at each corner where it may give least: a weak magnet gives little at rest, a strong one runs out of voltage sooner, and so do
    /// resistance and inductance where they decide the load angle. Least voltage and current, and most drag, are always worst.
    fn weakest(&self) -> impl Iterator<Item = MotorDrive> + use<'_> {
        let winding = &self.winding;
        let magnets = [
            (winding.holding.low(), winding.rated.high()),
            (winding.holding.high(), winding.rated.low()),
        ];
        let magnets = magnets
            .into_iter()
            .take(if magnets[0] == magnets[1] { 1 } else { 2 });
        magnets.flat_map(|magnet| self.windings(self.drive(magnet, Corner::weak)))
    }

    /// A motor with its winding at each corner; once where a corner is no further than a drawn value keeps of its tolerance.
    fn windings(&self, drive: MotorDrive) -> impl Iterator<Item = MotorDrive> + use<> {
        let (resistances, inductances) = (ends(self.resistance), ends(self.winding.inductance));
        resistances.flat_map(move |resistance| {
            inductances.clone().map(move |inductance| MotorDrive {
                resistance,
                inductance,
                ..drive
            })
        })
    }

    /// The least torque at a speed, over all tolerances.
    #[must_use]
    pub fn least(&self, speed: AngularVelocity) -> Torque {
        let torques = self.weakest().map(|drive| drive.torque(speed));
        torques.reduce(Number::smaller).unwrap_or(Torque::from_base(0.0))
    }

    /// No torque at a speed is above this: the strength of a strong magnet with the back-EMF of a weak one.
    #[must_use]
    pub fn most(&self, speed: AngularVelocity) -> Torque {
        let winding = &self.winding;
        let weak = (winding.holding.low(), winding.rated.high());
        let strong = self.drive(weak, Corner::strong);
        let currents = self.windings(strong).map(|drive| drive.current(speed));
        let current = currents.reduce(Number::larger).unwrap_or(strong.current);
        let drag = strong.holding * (strong.drag.base() * speed.base());
        let torque = motion::torque_at_current(winding.holding.high(), winding.rated.low(), current);
        (torque - drag).larger(Torque::from_base(0.0))
    }

    /// Torque at a speed with its interval.
    #[must_use]
    pub fn torque(&self, speed: AngularVelocity) -> Value<Torque> {
        Value::between(self.least(speed), self.nominal().torque(speed), self.most(speed))
    }

    /// The highest speed of the shaft at which it still gives a torque; at rest where it never does.
    #[must_use]
    pub fn speed_for(&self, torque: Value<Torque>) -> Value<AngularVelocity> {
        let still = AngularVelocity::from_base(0.0);
        let of = |drive: &MotorDrive, torque| drive.speed_for(torque).unwrap_or(still);
        let least = self.weakest().map(|drive| of(&drive, torque.high()));
        let least = least.reduce(Number::smaller).unwrap_or(still);
        // `most` belongs to no one motor: found by halving, up to where the least drag takes the torque of the strongest magnet.
        let magnet = (self.winding.holding.high(), self.winding.rated.low());
        let end = self.drive(magnet, Corner::strong).end() * (magnet.0 / self.winding.holding.low()).base();
        let (mut holds, mut fails) = (0.0, end.base());
        for _ in 0..40 {
            let middle = f64::midpoint(holds, fails);
            if self.most(AngularVelocity::from_base(middle)) >= torque.low() {
                holds = middle;
            } else {
                fails = middle;
            }
        }
        Value::between(
            least,
            of(&self.nominal(), torque.nominal()),
            AngularVelocity::from_base(fails),
        )
    }

    /// What the motor gives at a speed of its shaft, as a working.
    #[must_use]
    pub fn working(&self, speed: Value<AngularVelocity>) -> Working {
        let inputs = (
            named("Mₕ", "holding torque", self.winding.holding),
            named("Iᵣ", "rated current", self.winding.rated),
            named(
                "R",
                "winding, cold to hot, and switches of the driver",
                self.resistance,
            ),
            named("L", "inductance of the winding", self.winding.inductance),
            named("Nᵣ", "teeth of the rotor", Value::exact(self.winding.rotor_teeth)),
            named("U", "what one motor has of the supply", self.supply),
            named("I", "what one motor gets, peak of one phase", self.current),
            named(
                "τ",
                "drag of iron and bearings, as a share of Mₕ for each rad/s",
                self.drag,
            ),
            named("ω", "speed of the shaft", speed),
        );
        let at = |(holding, rated, resistance, inductance, rotor_teeth, supply, current, drag, speed)| {
            let drive = MotorDrive {
                holding,
                rated,
                resistance,
                inductance,
                rotor_teeth,
                supply,
                current,
                drag,
            };
            drive.torque(speed)
        };
        work(&motion::PULL_OUT, "M", inputs, at).working
    }

    /// The voltage that a current needs at a speed, through winding and switches.
    #[must_use]
    pub fn voltage_for(
        &self,
        peak: Value<ElectricCurrent>,
        speed: Value<AngularVelocity>,
    ) -> Value<ElectricPotential> {
        let emf = self.winding.back_emf(speed);
        let (resistance, inductance) = (self.resistance, self.winding.inductance);
        let teeth = self.winding.rotor_teeth;
        Value::corners(|end| {
            motion::voltage_at_speed(
                resistance.at(end),
                inductance.at(end),
                peak.at(end),
                emf.at(end),
                teeth,
                speed.at(end),
            )
        })
    }

    /// How [`Self::voltage_for`] comes about: back-EMF, then voltage.
    #[must_use]
    pub fn voltage_workings(
        &self,
        peak: Value<ElectricCurrent>,
        speed: Value<AngularVelocity>,
    ) -> [Working; 2] {
        let winding = &self.winding;
        let inputs = (
            named("Mₕ", "holding torque", winding.holding),
            named("Iᵣ", "rated current", winding.rated),
            named("ω", "speed of the shaft", speed),
        );
        let emf = work(&motion::BACK_EMF, "E", inputs, |(holding, rated, speed)| {
            motion::back_emf(holding, rated, speed)
        });
        let inputs = (
            named(
                "R",
                "winding, cold to hot, and switches of the driver",
                self.resistance,
            ),
            named("L", "inductance of the winding", winding.inductance),
            named("I", "run current, peak of one phase", peak),
            named("E", "back-EMF", emf.value),
            named("Nᵣ", "teeth of the rotor", Value::exact(winding.rotor_teeth)),
            named("ω", "speed of the shaft", speed),
        );
        let voltage = work(
            &motion::VOLTAGE_AT_SPEED,
            "U",
            inputs,
            |(r, l, i, e, teeth, speed)| motion::voltage_at_speed(r, l, i, e, teeth, speed),
        );
        [emf.working, voltage.working]
    }

    /// How it is joined to a second motor on its driver; `None` where it is alone there.
    #[must_use]
    pub fn joint(&self) -> Option<Connection> {
        self.joint
    }
    /// Current of one motor, peak of one phase.
    #[must_use]
    pub fn current(&self) -> Value<ElectricCurrent> {
        self.current
    }
    /// What one motor sees of the supply.
    #[must_use]
    pub fn supply(&self) -> Value<ElectricPotential> {
        self.supply
    }
    /// Winding and switches in series.
    #[must_use]
    pub fn resistance(&self) -> Value<ElectricalResistance> {
        self.resistance
    }
    /// Torque at rest at the set current, at its least.
    #[must_use]
    pub fn at_rest(&self) -> Value<Torque> {
        self.torque(AngularVelocity::from_base(0.0))
    }
    /// Teeth of the rotor.
    #[must_use]
    pub fn rotor_teeth(&self) -> Ratio {
        self.winding.rotor_teeth
    }
}

/// Both ends of a value, or one where they are alike but for what a draw keeps of a tolerance.
fn ends<Q: Number>(value: Value<Q>) -> impl Iterator<Item = Q> + Clone + use<Q> {
    let alike = value.high().base() - value.low().base() < value.high().base().abs() * 1e-9;
    [value.high(), value.low()]
        .into_iter()
        .take(if alike { 1 } else { 2 })
}

/// One end of what goes into a motor beside its magnet.
struct Corner(Given);

type End = (
    ElectricalResistance,
    Inductance,
    ElectricPotential,
    ElectricCurrent,
    Time,
);

impl Corner {
    fn weak(&self) -> End {
        let given = &self.0;
        (
            given.resistance.high(),
            given.winding.inductance.high(),
            given.supply.low(),
            given.current.low(),
            given.drag.high(),
        )
    }
    fn nominal(&self) -> End {
        let given = &self.0;
        (
            given.resistance.nominal(),
            given.winding.inductance.nominal(),
            given.supply.nominal(),
            given.current.nominal(),
            given.drag.nominal(),
        )
    }
    fn strong(&self) -> End {
        let given = &self.0;
        (
            given.resistance.low(),
            given.winding.inductance.low(),
            given.supply.high(),
            given.current.high(),
            given.drag.low(),
        )
    }
}

/// The two switches that the current of a phase flows through: as stated, else as they usually are, at the most as hot as they get.
fn switches(limits: &Limits, driver: &Driver) -> Value<ElectricalResistance> {
    let stated = driver.on_resistance.map(|on| on.value);
    let on = stated.unwrap_or(limits.driver_on_resistance.value);
    let hot = limits.switch_hot_resistance_factor.value.high();
    Value::between(on.low(), on.nominal(), on.high() * hot)
}
