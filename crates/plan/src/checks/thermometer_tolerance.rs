//! How far a reading may lie from the truth because of the tolerances of element and pull-up, with the right table.

use physics::{named, sensing, work};
use quantity::si::TemperatureInterval;
use quantity::{Number, Value};

use crate::finding::{Finding, Verdict};
use crate::judge::Judge;
use crate::setup::Pair;
use crate::thermometry;

pub(crate) const ID: &str = "thermometer-tolerance";

/// Worth knowing before two boards are compared by their readings; nothing to refuse.
pub(crate) fn check(pair: &Pair<'_>, judge: &mut Judge) {
    let Some(at) = thermometry::at(pair) else { return };
    judge.say(Verdict::Note, || {
        let hot = at.hot.high();
        let pull_up = thermometry::tolerated_pull_up(pair, at.input);
        let inputs = (
            named("ϑ", "temperature of the part", Value::exact(hot)),
            named("R", "thermometer there, with the tolerance of its kind", at.tolerated(hot)),
            named("Rₚₐ", "pull-up that the table assumes", Value::exact(pull_up.nominal())),
            named("Rₚ", "pull-up as it may be", pull_up),
        );
        let worked = work(&sensing::READING_ERROR, "Δϑ", inputs, |(hot, resistance, assumed, pull_up)| {
            let read = at
                .curve
                .temperature(sensing::assumed_resistance(resistance, assumed, pull_up));
            TemperatureInterval::from_base(read.base() - hot.base())
        });
        let most = worked.value.high().abs().larger(worked.value.low().abs());
        let headline = format!(
            "with the right table {} at {} reads within {} of the truth at {}",
            pair.device_name(),
            pair.port_name(),
            thermometry::kelvin(most),
            Value::exact(hot)
        );
        let mut finding = Finding::new(headline, at_source(&at))
            .at(at.input.pull_up.place)
            .working(worked.working)
            .remedy("where the very temperature matters, hold it against a thermometer that you trust, and write the difference down");
        finding.value = Some(worked.value.into());
        finding
    });
}

fn at_source(at: &thermometry::Thermometry<'_>) -> &'static str {
    if at.is_platinum() {
        "iec-60751"
    } else {
        "iec-60539-1"
    }
}
