//! The winding of a motor, and its back-EMF.

use catalogue::Limits;
use model::machine::Motor;
use physics::motion;
use quantity::si::{
    AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance, Inductance, Ratio, Torque,
};
use quantity::{Number, Value, si};

/// A motor with the figures that its behaviour at speed needs.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Winding {
    pub holding: Value<Torque>,
    pub rated: Value<ElectricCurrent>,
    pub resistance: Value<ElectricalResistance>,
    pub inductance: Value<Inductance>,
    pub rotor_teeth: Ratio,
}

/// The figures of a motor; `None` where its file does not state them all. Usual tolerances where it states none.
pub(crate) fn winding(limits: &Limits, motor: &Motor) -> Option<Winding> {
    let usual = |tolerance: Value<Ratio>| tolerance.nominal().base();
    Some(Winding {
        holding: motor.holding_torque?.value,
        rated: motor.current.value,
        resistance: coil(limits, motor)?,
        inductance: tolerated(
            motor.inductance?.value,
            usual(limits.motor_inductance_tolerance.value),
        ),
        rotor_teeth: si::ratio(f64::from(motor.steps_per_turn) / 4.0),
    })
}

/// The resistance of one coil; `None` where the file states none. The usual tolerance where it states none.
pub(crate) fn coil(limits: &Limits, motor: &Motor) -> Option<Value<ElectricalResistance>> {
    let usual = limits.motor_resistance_tolerance.value.nominal().base();
    Some(tolerated(motor.resistance?.value, usual))
}

fn tolerated<Q: Number>(stated: Value<Q>, usual: f64) -> Value<Q> {
    if stated.is_exact() {
        Value::relative(stated.nominal(), usual)
    } else {
        stated
    }
}

impl Winding {
    /// Peak of the back-EMF at a speed of the shaft.
    pub fn back_emf(&self, speed: Value<AngularVelocity>) -> Value<ElectricPotential> {
        Value::corners(|end| {
            motion::back_emf(self.holding.at(end), self.rated.at(end.other()), speed.at(end))
        })
    }
}
