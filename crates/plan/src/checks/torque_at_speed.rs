//! Whether the supply still drives the run current through the windings at the top speed of the axis.

use model::Joint;
use physics::{motion, named, work};
use quantity::si::AngularVelocity;
use quantity::{Number, Value};

use crate::axes::{self, Winding};
use crate::finding::{Finding, Verdict, brief};
use crate::judge::Judge;
use crate::setup::Pair;

pub(crate) const ID: &str = "torque-at-speed";

/// Where the supply is too low the current falls, and with it the torque: a caution that names what is left and the speed that holds.
pub(crate) fn check(pair: &Pair<'_>, judge: &mut Judge) {
    let (Some(motor), Some(driver)) = (axes::motor(&pair.device().detail), pair.driver()) else {
        return;
    };
    let Some(winding) = axes::winding(pair.limits(), motor) else {
        judge.say(Verdict::Note, || {
            let headline = format!(
                "what {} gives at speed is not computed: its file lacks resistance, inductance or holding torque",
                pair.device_name()
            );
            Finding::new(headline, "electric-machines-textbook")
                .at(pair.device().place)
                .remedy("look the figures up by the number on the motor's label, or measure the resistance of one coil with a meter")
        });
        return;
    };
    let axis = pair.swap.machine.axis(motor.axis);
    let speed = axes::shaft_speed(axis, axes::top_speed(&pair.swap.machine, axis));
    let peak = motor.run_current.map(motion::peak_of_rms);
    let emf = winding.back_emf(speed);
    let needed = |speed: AngularVelocity, emf, resistance, inductance, peak| {
        motion::voltage_at_speed(resistance, inductance, peak, emf, winding.rotor_teeth, speed)
    };
    let (r, l) = (winding.resistance, winding.inductance);
    let one = Value::between(
        needed(speed.low(), emf.low(), r.low(), l.low(), peak.low()),
        needed(
            speed.nominal(),
            emf.nominal(),
            r.nominal(),
            l.nominal(),
            peak.nominal(),
        ),
        needed(speed.high(), emf.high(), r.high(), l.high(), peak.high()),
    );
    // In series the two motors share the supply.
    let series = pair.way.second && axes::joint(pair, driver) == Joint::Series;
    let supply = if series {
        pair.supply_voltage().scale(0.5)
    } else {
        pair.supply_voltage()
    };
    judge.at_most(one, supply, Verdict::Caution, || {
        let drive = winding.weakest(supply.low(), peak.nominal());
        let at_rest = drive.torque(AngularVelocity::from_base(0.0));
        let share = (drive.torque(speed.high()) / at_rest).base() * 100.0;
        let fits = one.high() <= supply.low();
        let headline = format!(
            "at the top speed of {} ({}) {} needs {} of {}{}{}",
            axis.name,
            brief(speed.nominal()),
            pair.device_name(),
            brief(one.high()),
            brief(supply.low()),
            if series {
                ", half of the supply for each of two in series"
            } else {
                ""
            },
            if fits {
                String::new()
            } else {
                format!(": {share:.0} % of its torque is left")
            }
        );
        let [emf, voltage] = workings(&winding, motor.run_current.map(motion::peak_of_rms), speed);
        Finding::new(headline, "electric-machines-textbook")
            .at(axis.top_speed.place)
            .working(emf)
            .working(voltage)
            .remedy(holds(axis, &drive, at_rest))
    });
}

/// The speed at which half of the torque is still there.
fn holds(axis: &model::machine::Axis, drive: &motion::MotorDrive, at_rest: quantity::si::Torque) -> String {
    let shaft = drive.speed_for(at_rest / 2.0).map_or(0.0, Number::base);
    let per_turn = axes::travel_per_turn(axis).low().base();
    format!(
        "lower the top speed of {} (half of the torque is left at {:.0} mm/s), or use a motor with less inductance",
        axis.name,
        shaft / core::f64::consts::TAU * per_turn * 1e3
    )
}

fn workings(
    winding: &Winding,
    peak: Value<quantity::si::ElectricCurrent>,
    speed: Value<AngularVelocity>,
) -> [physics::Working; 2] {
    let inputs = (
        named("Mₕ", "holding torque", winding.holding),
        named("Iᵣ", "rated current", winding.rated),
        named("ω", "speed of the shaft", speed),
    );
    let emf = work(&motion::BACK_EMF, "E", inputs, |(holding, rated, speed)| {
        motion::back_emf(holding, rated, speed)
    });
    let inputs = (
        named("R", "winding", winding.resistance),
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
