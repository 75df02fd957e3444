//! Whether the converter still tells the thermometer from a broken or shorted wire, in the cold and above the working temperature.

use physics::{electrics, named, work};
use quantity::si::{Ratio, ThermodynamicTemperature};
use quantity::{Number, Value, si};

use crate::facts::PairFacts;
use crate::facts::thermometry::Thermometry;
use crate::rules::judging::{Finding, Judge, Verdict, brief};

use super::thermometer_faults::told_apart;

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
    // Near a stop but still told apart from it, by more than noise and steps: worth knowing, no more.
    let full = f64::from(*at.input.adc_bits).exp2();
    let told = told_apart(pair, at);
    let apart = [
        shares[lower].low().base() * full,
        (1.0 - shares[upper].high().base()) * full,
    ];
    let broken = |codes: f64| match (stopped, codes > told) {
        (true, _) => Verdict::Blocker,
        (false, true) => Verdict::Note,
        (false, false) => Verdict::Caution,
    };
    let too_high = shares[upper].high() > high.low();
    let too_low = shares[lower].low() < low.high();
    if too_high {
        judge.at_most(shares[upper], high, broken(apart[1]), || {
            let fault = Fault {
                name: "an open wire",
                codes: apart[1],
                told,
                stopped,
            };
            words(pair, at, ends[upper], shares[upper], &fault)
        });
    }
    if too_low || !too_high {
        judge.at_least(shares[lower], low, broken(apart[0]), || {
            let fault = Fault {
                name: "a short circuit",
                codes: apart[0],
                told,
                stopped,
            };
            words(pair, at, ends[lower], shares[lower], &fault)
        });
    }
}

/// The fault at a stop of the converter, and how far the reading is from it.
struct Fault {
    name: &'static str,
    /// Steps of the converter in between.
    codes: f64,
    /// How many it takes to tell the two apart.
    told: f64,
    stopped: bool,
}

fn words(
    pair: &PairFacts<'_>,
    at: &Thermometry<'_>,
    temperature: ThermodynamicTemperature,
    share: Value<Ratio>,
    fault: &Fault,
) -> Finding {
    let input = at.input;
    let outside = if at.curve.reaches(temperature) {
        ""
    } else {
        " (beyond its table, carried on)"
    };
    let headline = format!(
        "{} at {} is at {} of full scale at {}{outside}. From there {}, at {} %, is {:.0} steps away",
        pair.device_name(),
        pair.port_name(),
        brief(share.nominal()),
        Value::exact(temperature),
        fault.name,
        if fault.name == "an open wire" { 100 } else { 0 },
        fault.codes.max(0.0)
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
        .remedy(match (fault.stopped, cold) {
            _ if !fault.stopped && fault.codes > fault.told => {
                "set the low-temperature and over-temperature limits as the settings say. They tell the two apart"
            }
            (true, _) => "use another input: this one cannot read the element there",
            (false, true) => {
                "set the low-temperature limit with care: a cold room and a broken wire read nearly alike here. Warm the machine up before a first test, or use an input with a larger pull-up"
            }
            (false, false) => {
                "set the over-temperature limit below this, and use an input with a smaller pull-up if you can"
            }
        })
}
