//! The kind of a thermometer against the circuit of its input.

use physics::sensing;
use physics::{named, work};
use quantity::{Number, Value, si};

use crate::facts::PairFacts;
use crate::facts::thermometry::Thermometry;
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "thermometer-circuit";

/// An amplifier made for platinum is at its stop with a thermistor; a platinum on a plain divider is read coarsely.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(at) = pair.thermometry() else { return };
    let amplifies = at.input.amplification.nominal() > si::ratio(1.0);
    if amplifies && at.share(at.input, at.cold.nominal()).nominal() >= si::ratio(1.0) {
        judge.say(Verdict::Blocker, || at_its_stop(pair, at));
        return;
    }
    let coarse = at.is_platinum() && !amplifies;
    judge.say(if coarse { Verdict::Note } else { Verdict::Pass }, || {
        let circuit = &at.input.circuit;
        let headline = if coarse {
            format!(
                "{} is a platinum resistor on the {circuit} of {}: it works, but coarsely",
                pair.device_name(),
                pair.port_name()
            )
        } else {
            format!(
                "{} suits the {circuit} of {}",
                pair.device_name(),
                pair.port_name()
            )
        };
        let finding = Finding::new(headline, "common-practice").at(circuit.place);
        if coarse {
            finding.remedy("see the check of its resolution. A thermometer amplifier reads it finely")
        } else {
            finding
        }
    });
}

fn at_its_stop(pair: &PairFacts<'_>, at: &Thermometry<'_>) -> Finding {
    let (pull_up, gain) = (at.input.pull_up.value, at.input.amplification);
    // The amplifier leaves its stop where gain · R / (R + Rp) comes below 1.
    let leaves = pull_up.nominal() / (gain.nominal().base() - 1.0);
    let headline = format!(
        "{} gives {} at {}. The amplifier of {} is at its stop until that falls below {}{}",
        pair.device_name(),
        Value::exact(at.curve.resistance(at.cold.nominal())),
        Value::exact(at.cold.nominal()),
        pair.port_name(),
        Value::exact(leaves),
        if at.is_platinum() {
            String::new()
        } else {
            format!(", at {}", Value::exact(at.curve.temperature(leaves)))
        }
    );
    let reference = at.input.reference.value;
    let inputs = (
        named("U₀", "supply of the pull-up", Value::exact(reference.nominal())),
        named("R₁", "pull-up", pull_up),
        named(
            "R₂",
            "thermometer in the cold",
            Value::exact(at.curve.resistance(at.cold.nominal())),
        ),
    );
    let before = work(&physics::electrics::DIVIDER, "U", inputs, |(u, upper, lower)| {
        physics::electrics::divider(u, upper, lower)
    });
    let inputs = (
        named("g", "amplification", gain),
        named("Uᵢ", "voltage of the divider", before.value),
        named("Uₒ", "offset", Value::exact(si::volt(0.0))),
    );
    let after = work(&sensing::AMPLIFIED, "U", inputs, |(g, u, offset)| {
        sensing::amplified(g, u, offset)
    });
    Finding::new(headline, "common-practice")
        .at(at.input.circuit.place)
        .working(before.working)
        .working(after.working)
        .remedy("use a thermometer input with a plain pull-up divider")
}
