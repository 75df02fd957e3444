//! Whether the converter still tells the thermometer from a broken or shorted wire, in the cold and above the working temperature.

use physics::{electrics, named, work};
use quantity::si::{Ratio, ThermodynamicTemperature};
use quantity::{Number, Value, si};

use crate::facts::PairFacts;
use crate::facts::thermometry::Thermometry;
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "thermometer-range";

/// At a stop of the converter the input cannot be used; close to one, faults and temperatures look alike.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(at) = pair.thermometry() else { return };
    let headroom = pair.limits().thermometer_headroom.value;
    let hottest = ThermodynamicTemperature::from_base(at.hot.high().base() + headroom.high().base());
    let ends = [at.cold.low(), hottest];
    let shares = ends.map(|temperature| at.share(at.input, temperature));
    let upper = usize::from(shares[1].high() > shares[0].high());
    let lower = 1 - upper;
    let code = si::ratio((-f64::from(*at.input.adc_bits)).exp2());
    let stopped = shares[upper].high() >= si::ratio(1.0) - code || shares[lower].low() <= code;
    let (low, high) = (
        pair.limits().thermometer_share_low.value,
        pair.limits().thermometer_share_high.value,
    );
    let broken = if stopped {
        Verdict::Blocker
    } else {
        Verdict::Caution
    };
    let too_high = shares[upper].high() > high.low();
    let too_low = shares[lower].low() < low.high();
    if too_high {
        judge.at_most(shares[upper], high, broken, || {
            words(pair, at, ends[upper], shares[upper], "an open wire", stopped)
        });
    }
    if too_low || !too_high {
        judge.at_least(shares[lower], low, broken, || {
            words(pair, at, ends[lower], shares[lower], "a short circuit", stopped)
        });
    }
}

fn words(
    pair: &PairFacts<'_>,
    at: &Thermometry<'_>,
    temperature: ThermodynamicTemperature,
    share: Value<Ratio>,
    fault: &str,
    stopped: bool,
) -> Finding {
    let input = at.input;
    let outside = if at.curve.reaches(temperature) {
        ""
    } else {
        " (beyond its table, carried on)"
    };
    let headline = format!(
        "{} at {} stands at {} of full scale at {}{outside}: {fault} stands at {} %",
        pair.device_name(),
        pair.port_name(),
        brief(share.nominal()),
        Value::exact(temperature),
        if fault == "an open wire" { 100 } else { 0 }
    );
    let reference = Value::exact(input.reference.nominal());
    let inputs = (
        named(
            "U₀",
            "supply of the pull-up, full scale of the converter",
            reference,
        ),
        named("R₁", "pull-up", input.pull_up.value),
        named(
            "R₂",
            format!("thermometer at {}", Value::exact(temperature)),
            Value::exact(at.curve.resistance(temperature)),
        ),
    );
    let worked = work(&electrics::DIVIDER, "U", inputs, |(u, upper, lower)| {
        electrics::divider(u, upper, lower)
    });
    let cold = temperature == at.cold.low();
    Finding::new(headline, "common-practice")
        .at(input.pull_up.place)
        .working(worked.working)
        .remedy(match (stopped, cold) {
            (true, _) => "use another input: this one cannot read the element there",
            (false, true) => {
                "set the lowest temperature that the controller accepts with care: a cold room and a broken wire look nearly alike here; \
                 warm the machine up before a first test, or use an input with a larger pull-up"
            }
            (false, false) => {
                "set the highest temperature that the controller accepts below this, and use an input with a smaller pull-up if you can"
            }
        })
}
