//! How much a thermometer warms itself by the current of its input.

use physics::{named, sensing, work_sampled};
use quantity::si::ThermodynamicTemperature;
use quantity::{Number, Value};

use crate::facts::{PairFacts, thermometry};
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "thermometer-self-heating";

/// Judged in the room and at the working temperature; on the way, where element and pull-up are equal, there is a peak that passes.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(at) = pair.thermometry() else { return };
    let Some(dissipation) = at.row.dissipation else {
        return;
    };
    let (supply, pull_up) = (at.input.reference.value, at.input.pull_up.value);
    let equal = at.curve.temperature(pull_up.nominal());
    let held =
        |temperature: ThermodynamicTemperature| temperature.larger(at.cold.low()).smaller(at.hot.high());
    let heating = |temperature: ThermodynamicTemperature| {
        let resistance = at.curve.resistance(temperature);
        let of = |supply, pull_up, dissipation| {
            let power = sensing::thermometer_power(supply, resistance, pull_up);
            sensing::self_heating(power, dissipation)
        };
        Value::corners(|end| {
            of(
                supply.at(end),
                pull_up.at(end.other()),
                dissipation.at(end.other()),
            )
        })
    };
    let places = [at.cold.low(), at.cold.high(), at.hot.low(), at.hot.high()];
    let heated = places.map(|place| (heating(place), place)).into_iter();
    let hotter =
        |one: (Value<_>, _), other: (Value<_>, _)| if other.0.high() > one.0.high() { other } else { one };
    let Some((worst, place)) = heated.reduce(hotter) else {
        return;
    };
    judge.at_most(worst, pair.limits().thermometer_self_heating_caution.value, Verdict::Caution, || {
        let inputs = (
            named("U₀", "supply of the pull-up", supply),
            named("R", format!("thermometer at {}", Value::exact(place)), Value::exact(at.curve.resistance(place))),
            named("Rₚ", "pull-up", pull_up),
        );
        let power = work_sampled(&sensing::THERMOMETER_POWER, "P", inputs, 5, |(supply, resistance, pull_up)| {
            sensing::thermometer_power(supply, resistance, pull_up)
        });
        let inputs = (
            named("P", "heat in the element", power.value),
            named("G", "heat it sheds for each kelvin, in still air", dissipation),
        );
        let heat = physics::work(&sensing::SELF_HEATING, "Δϑ", inputs, |(power, dissipation)| {
            sensing::self_heating(power, dissipation)
        });
        let headline = format!(
            "{} at {} has a self-heating error of {} at {}{}",
            pair.device_name(),
            pair.port_name(),
            thermometry::kelvin(worst.high()),
            Value::exact(place),
            if equal == held(equal) {
                format!(
                    ". On the way it is up to {}, at {}",
                    thermometry::kelvin(heating(equal).high()),
                    brief(equal)
                )
            } else {
                String::new()
            }
        );
        Finding::new(headline, "iec-60539-1")
            .at(at.input.pull_up.place)
            .working(power.working)
            .working(heat.working)
            .remedy("clamp the element in metal: it then sheds several times as much heat. Or use an input with a larger pull-up")
    });
}
