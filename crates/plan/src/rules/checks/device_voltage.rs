//! The voltage that a device gets against the one it is made for.

use model::machine::{Detail, Heater};
use physics::{Working, electrics, interval, named, work};
use quantity::si::{ElectricCurrent, ElectricPotential};
use quantity::{Number, Value};

use crate::facts::feed::{Converter, PortPart, Source};
use crate::facts::harness::Part;
use crate::facts::heating::IN_SERIES;
use crate::facts::{PairFacts, loads};
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "device-voltage";

/// A heater is judged by its power, which goes with the square of the voltage; all else by the voltage itself. What counts is the voltage
/// where the device really hangs: at its port, behind an external switch, at the converter of its own.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    if let Source::Converter(own) = &pair.feed().source {
        converter(pair, own, judge);
        if own.part.is_none() {
            return;
        }
    }
    let Some(voltage) = pair.device_voltage() else {
        return;
    };
    match &pair.device().detail {
        Detail::Supply(_) => {}
        Detail::Heater(heater) if heater.relay.is_none() => heater_power(pair, heater, voltage, judge),
        detail => {
            if let Some(rated) = loads::rated_voltage(detail) {
                within(pair, rated, voltage, judge);
            }
        }
    }
}

/// Where the device gets its voltage, as the end of a sentence.
fn place(pair: &PairFacts<'_>) -> String {
    let port = pair.port_name();
    match pair.feed().source {
        Source::ExternalSwitch(_) => format!("the external switch that {port} drives"),
        Source::Converter(_) => "its converter".to_owned(),
        Source::Rail(_) | Source::Nothing => match pair.rail_name() {
            Some(rail) => format!("the rail {rail} at {port}"),
            None => port.to_owned(),
        },
    }
}

/// Too much power burns, too little never gets there; both as a share of the rated power.
fn heater_power(pair: &PairFacts<'_>, heater: &Heater, voltage: Value<ElectricPotential>, judge: &mut Judge) {
    let limits = pair.limits();
    let rated = Value::exact(heater.power.nominal());
    let at_heater = Arrives::at_heater(pair, heater, voltage);
    let stated = heater.voltage.value;
    let share = interval((at_heater.value, stated), |(arrives, rated)| {
        let ratio = arrives / rated;
        ratio * ratio
    });
    let finding = || {
        let inputs = (
            named("Pᵣ", "rated power of the heater", rated),
            named("U", "voltage at the heater", at_heater.value),
            named("Uᵣ", "rated voltage of the heater", heater.voltage.value),
        );
        let worked = work(&electrics::POWER_AT_VOLTAGE, "P", inputs, |(p, u, r)| {
            electrics::power_at_voltage(p, r, u)
        });
        let power = worked.value;
        let inputs = (
            named("P", "power at that voltage", power),
            named("Pᵣ", "rated power", rated),
        );
        let shared = work(&electrics::LOAD_SHARE, "s", inputs, |(p, r)| {
            electrics::load_share(p, r)
        });
        let headline = format!(
            "{} of {rated} at {} gives {power} on {voltage} from {}",
            pair.device_name(),
            heater.voltage,
            place(pair)
        );
        let remedy = if power.nominal() > rated.nominal() {
            format!("use a port of {}, or a heater made for {voltage}", heater.voltage)
        } else {
            format!(
                "use a port of {}, or a heater made for {voltage}. Else it may not reach its temperature in time",
                heater.voltage
            )
        };
        Finding::new(headline, "common-practice")
            .at(heater.voltage.place)
            .remedy(remedy)
            .working(at_heater.working)
            .working(worked.working)
            .working(shared.working)
    };
    let least = limits.heater_power_shortfall_caution.value;
    if share.low() < least.high() {
        judge.graded_from_below(share, least, limits.heater_power_shortfall_blocker.value, finding);
        return;
    }
    let caution = limits.heater_power_excess_caution.value;
    let blocker = limits.heater_power_excess_blocker.value;
    judge.graded(share, caution, blocker, finding);
}

/// The voltage that reaches a device behind what lies in series with it, and how it comes about.
struct Arrives {
    value: Value<ElectricPotential>,
    working: Working,
}

impl Arrives {
    /// At a hot heater, whose current goes with the voltage that it gets.
    fn at_heater(pair: &PairFacts<'_>, heater: &Heater, voltage: Value<ElectricPotential>) -> Self {
        let hot = loads::resistance_at(heater, heater.working_temperature.value);
        let inputs = (
            named("U₀", "voltage of the rail", voltage),
            named("R", "heater, hot", hot),
            named("Rₗ", IN_SERIES, pair.in_series()),
        );
        let worked = work(&electrics::VOLTAGE_AT_LOAD, "U", inputs, |(u, r, l)| {
            electrics::voltage_at_load(u, r, l)
        });
        Self {
            value: worked.value,
            working: worked.working,
        }
    }

    /// At a device that draws a stated current, or less: with none the whole voltage arrives.
    fn at_device(pair: &PairFacts<'_>, voltage: Value<ElectricPotential>) -> Self {
        let none = ElectricCurrent::from_base(0.0);
        let current = pair.current().map_or(Value::exact(none), |most| {
            Value::between(none, most.nominal(), most.high())
        });
        let inputs = (
            named("U₀", "voltage of the rail", voltage),
            named("I", "current of the device, at the most", current),
            named("Rₗ", IN_SERIES, pair.in_series()),
        );
        let worked = work(&electrics::VOLTAGE_BEHIND_LEAD, "U", inputs, |(u, i, l)| {
            electrics::voltage_behind_lead(u, i, l)
        });
        Self {
            value: worked.value,
            working: worked.working,
        }
    }
}

/// Fans, lights, sensors and panels run inside a band; a little outside is a caution, far outside is refused.
fn within(
    pair: &PairFacts<'_>,
    rated: Value<ElectricPotential>,
    voltage: Value<ElectricPotential>,
    judge: &mut Judge,
) {
    let limits = pair.limits();
    let Some(band) = loads::voltage_band(&pair.device().detail, limits) else {
        return;
    };
    let arrives = Arrives::at_device(pair, voltage);
    let voltage = arrives.value;
    let share = |share: Value<quantity::si::Ratio>| share.nominal() * rated.nominal();
    let most = share(limits.device_overvoltage_blocker.value).larger(band.high());
    let least = share(limits.device_undervoltage_blocker.value).smaller(band.low());
    let finding = || {
        let (device, place) = (pair.device_name(), place(pair));
        let headline =
            format!("{device} gets {voltage} from {place}, behind its cable. It is made for {band}");
        let remedy = format!(
            "use a port or jumper position of {}",
            Value::exact(rated.nominal())
        );
        let finding = Finding::new(headline, "common-practice")
            .remedy(remedy)
            .working(arrives.working.clone());
        match loads::rated(&pair.device().detail) {
            Some(rated) => finding.at(rated.place),
            None => finding,
        }
    };
    let (above, below) = (
        (voltage.high() / band.high()).base() - 1.0,
        1.0 - (voltage.low() / band.low()).base(),
    );
    // The end that is nearer to its limit is the one to show.
    if above >= below {
        judge.graded(voltage, Value::exact(band.high()), Value::exact(most), finding);
    } else {
        judge.graded_from_below(voltage, Value::exact(band.low()), Value::exact(least), finding);
    }
}

/// A converter of its own: bought, set and measured before the device hangs on it. Without one that gives the voltage, the way is none.
fn converter(pair: &PairFacts<'_>, own: &Converter<'_>, judge: &mut Judge) {
    let Some(rated) = loads::rated(&pair.device().detail) else {
        return;
    };
    let current = pair.current().map_or_else(String::new, |current| {
        format!(" (at least {})", Value::exact(current.high()))
    });
    let from = match own.port {
        PortPart::Feeds(_) => format!("from {}", pair.port_name()),
        PortPart::SwitchesMinus | PortPart::Signal => "from the supply".to_owned(),
    };
    let volts = Value::exact(rated.nominal());
    let Some(part) = own.part else {
        judge.say(Verdict::Blocker, || {
            let headline = format!(
                "{} needs a converter to {volts}{current}, {from} of {}. None in the list of parts gives that",
                pair.device_name(),
                own.input
            );
            Finding::new(headline, "common-practice")
                .at(rated.place)
                .remedy("add such a converter to the parts of the swap, with input, output, accuracy and current. Or choose another device")
        });
        return;
    };
    let size = format!("{volts}, at least {}", size_of(pair));
    judge.mended(Part::one(&part.name).of_size(size), || {
        let headline = format!(
            "{} needs a dedicated DC-DC converter to {volts}{current}. Feed it {from} of {}",
            pair.device_name(),
            own.input
        );
        Finding::new(headline, "common-practice").at(rated.place).remedy(
            "measure the output of the converter before you plug anything in. Join its minus to that of the board",
        )
    });
}

/// The current that a converter of the device must give: what flows for long is at most a share of its rating.
fn size_of(pair: &PairFacts<'_>) -> Value<ElectricCurrent> {
    let share = pair.limits().port_continuous_share.value;
    pair.current()
        .map_or(Value::exact(ElectricCurrent::from_base(0.0)), |current| {
            Value::exact(current.high() / share.low())
        })
}
