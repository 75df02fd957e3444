//! What an open, a shorted and a slipped thermometer look like at this input, and whether that is told apart from a healthy machine.

use model::Zone;
use physics::{heat, named, sensing, work};
use quantity::si::{ElectricPotential, ThermodynamicTemperature};
use quantity::{Number, Value, si};

use crate::facts::thermometry::{self, Thermometry, kelvin};
use crate::facts::{PairFacts, WholeFacts};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "thermometer-faults";

/// The stop of the converter on one side: what fault drives it there, and which temperature is the last that is told from it.
struct Stop {
    /// "an open wire" or "a short circuit".
    fault: &'static str,
    /// What the converter reads then.
    code: f64,
    /// The last temperature that differs from the fault by more than noise and steps.
    told: Value<ThermodynamicTemperature>,
}

/// A fault that looks like a cold machine drives the heater on: a caution. One that looks too hot switches it off by itself: a note.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for pair in facts.pairs() {
        let Some(at) = pair.thermometry() else {
            continue;
        };
        let [open, short] = stops(pair, at);
        // A thermistor that breaks looks cold, a platinum resistor looks hot.
        let (cold, hot) = if at.is_platinum() {
            (short, open)
        } else {
            (open, short)
        };
        let coldest = Value::exact(at.cold.low());
        judge.at_most(cold.told, coldest, Verdict::Caution, || {
            looks_cold(pair, at, &cold)
        });
        let headroom = pair.limits().thermometer_headroom.value.high();
        let hottest = ThermodynamicTemperature::from_base(at.hot.high().base() + headroom.base());
        judge.at_least(hot.told, Value::exact(hottest), Verdict::Note, || {
            looks_hot(pair, at, &hot, hottest)
        });
        judge.say(Verdict::Note, || slipped(pair, at));
    }
}

/// Full scale and zero.
fn stops(pair: &PairFacts<'_>, at: &Thermometry<'_>) -> [Stop; 2] {
    let full = f64::from(*at.input.adc_bits).exp2();
    let guard = told_apart(pair, at) / full;
    let stop = |fault, code, share: f64| Stop {
        fault,
        code,
        told: temperature_at(at, share),
    };
    [
        stop("an open wire", full - 1.0, 1.0 - guard),
        stop("a short circuit", 0.0, guard),
    ]
}

/// How many codes two readings lie apart that are told apart: one for the step, and six times the noise, three for each of the two.
pub(super) fn told_apart(pair: &PairFacts<'_>, at: &Thermometry<'_>) -> f64 {
    1.0 + 6.0 * noise(pair, at) / one_code(at).base()
}

fn one_code(at: &Thermometry<'_>) -> ElectricPotential {
    thermometry::step(at.input) * at.input.amplification.nominal().base()
}

/// In volt at the converter.
fn noise(pair: &PairFacts<'_>, at: &Thermometry<'_>) -> f64 {
    let assumed = pair.limits().thermometer_converter_noise.value;
    at.input.noise.map_or(assumed, |noise| noise.value).high().base()
}

/// The temperature at which the converter sees a share of full scale, with the tolerance of the pull-up.
fn temperature_at(at: &Thermometry<'_>, share: f64) -> Value<ThermodynamicTemperature> {
    let of_divider = share / at.input.amplification.nominal().base();
    at.input.pull_up.value.map(|pull_up| {
        let told = at.curve.temperature(pull_up * (of_divider / (1.0 - of_divider)));
        // Beyond −150 °C and 1000 °C no curve means anything, and nobody asks.
        told.larger(si::celsius(-150.0)).smaller(si::celsius(1000.0))
    })
}

fn code_at(at: &Thermometry<'_>, temperature: ThermodynamicTemperature) -> f64 {
    let full = f64::from(*at.input.adc_bits).exp2();
    (at.share(at.input, temperature).nominal().base() * full).min(full - 1.0)
}

fn about(pair: &PairFacts<'_>, what: &str) -> Subject {
    Subject {
        device: Some(pair.device().tag.value.clone()),
        port: Some(pair.port_name().to_owned()),
        other: Some(what.to_owned()),
    }
}

/// A temperature below which the controller shall refuse to heat: between the coldest room and what a broken thermometer reads like;
/// `None` for other devices, and where the input does not part the two.
#[must_use]
pub fn refuse_below(pair: &PairFacts<'_>) -> Option<ThermodynamicTemperature> {
    let at = pair.thermometry()?;
    let [open, short] = stops(pair, at);
    let told = if at.is_platinum() { short.told } else { open.told }.high();
    let coldest = at.cold.low().base();
    let fives = |kelvin: f64| ((kelvin - 273.15) / 5.0).floor() * 5.0;
    // Ten kelvin below the coldest room, where the input tells them apart; else half of what there is.
    let wanted = fives(coldest - 10.0);
    if si::celsius(wanted) > told {
        return Some(si::celsius(wanted));
    }
    let middle = f64::midpoint(coldest, told.base());
    (told.base() < coldest).then(|| ThermodynamicTemperature::from_base(middle))
}

fn looks_cold(pair: &PairFacts<'_>, at: &Thermometry<'_>, stop: &Stop) -> Finding {
    let coldest = at.cold.low();
    let refuse = refuse_below(pair).map_or_else(
        || "No limit tells the two apart".to_owned(),
        |limit| format!("The controller must refuse what reads below {}", brief(limit)),
    );
    let headline = format!(
        "{} of {} reads as ADC code {:.0}, colder than {}. The coldest room, {}, reads as {:.0}. {refuse}: the heater would heat without end",
        stop.fault,
        pair.device_name(),
        stop.code,
        brief(stop.told.high()),
        brief(coldest),
        code_at(at, coldest),
    );
    Finding::new(headline, "common-practice")
        .about(about(pair, "looks cold"))
        .at(at.input.pull_up.place)
        .working(reading(at, coldest))
        .remedy(
            "use an input with a larger pull-up. Until then warm the machine before heating. Let the controller refuse to heat a sensor at the end of its range",
        )
}

fn looks_hot(
    pair: &PairFacts<'_>,
    at: &Thermometry<'_>,
    stop: &Stop,
    hottest: ThermodynamicTemperature,
) -> Finding {
    let headline = format!(
        "{} of {} reads as ADC code {:.0}, hotter than {}. A temperature of {} reads as {:.0}. Above the over-temperature limit it switches off",
        stop.fault,
        pair.device_name(),
        stop.code,
        brief(stop.told.low()),
        brief(hottest),
        code_at(at, hottest),
    );
    Finding::new(headline, "common-practice")
        .about(about(pair, "looks hot"))
        .at(at.input.pull_up.place)
        .working(reading(at, hottest))
        .remedy("set the over-temperature limit below this")
}

/// Converter reading at a temperature.
fn reading(at: &Thermometry<'_>, temperature: ThermodynamicTemperature) -> physics::Working {
    let gain = at.input.amplification;
    let one = Value::exact(thermometry::step(at.input) * gain.nominal().base());
    // Behind an amplifier the divider looks as if it had that much more supply.
    let supply = Value::exact(at.input.reference.nominal() * gain.nominal().base());
    let inputs = (
        named("U₀", "supply of the pull-up, times the amplification", supply),
        named("U₁", "one step of the converter", one),
        named(
            "R",
            format!("thermometer at {}", Value::exact(temperature)),
            Value::exact(at.curve.resistance(temperature)),
        ),
        named("Rₚ", "pull-up", at.input.pull_up.value),
    );
    work(
        &sensing::DIVIDER_CODE,
        "c",
        inputs,
        |(supply, one, resistance, pull_up)| sensing::divider_code(supply, one, resistance, pull_up),
    )
    .working
}

/// How fast the reading falls when the thermometer slips out of the hot part.
fn slipped(pair: &PairFacts<'_>, at: &Thermometry<'_>) -> Finding {
    let limits = pair.limits();
    let constant = at
        .row
        .time_constant
        .map_or(limits.thermometer_in_air.value, |own| {
            // Of the bare element; a holder makes it slower.
            Value::between(
                own.low(),
                own.nominal(),
                own.high().larger(limits.thermometer_in_air.value.high()),
            )
        });
    let hot = at.hot.high();
    let fall = crate::protection::least_fall(limits);
    let below = ThermodynamicTemperature::from_base(hot.base() - fall.base());
    let inputs = (
        named("τ", "time constant of the thermometer in air", constant),
        named("ϑ₁", "highest setpoint", Value::exact(hot)),
        named("ϑ₂", "the fall below it", Value::exact(below)),
        named("ϑₐ", "room", at.cold),
    );
    let time = work(&heat::FALL_TIME, "t", inputs, |(constant, from, to, air)| {
        heat::fall_time(constant, from, to, air)
    });
    let part = match pair.device().detail {
        model::machine::Detail::Thermometer(ref own) if own.zone == Zone::HotEnd => "hot end",
        _ => "bed",
    };
    let headline = format!(
        "{0} reads {2} less within {3} once detached from the {part} at {1}. Then it cools towards ambient",
        pair.device_name(),
        brief(hot),
        kelvin(fall),
        brief(time.value.high()),
    );
    let finding = Finding::new(headline, "heat-transfer-textbook")
        .about(about(pair, "slipped"))
        .at(pair.device().place)
        .remedy("hold it by a screw or clamp and relieve its cable. The temperature monitoring detects it");
    if time.value.high().base().is_finite() {
        finding.working(time.working)
    } else {
        finding
    }
}
