//! The voltage that a device gets against the one it is made for.

use model::machine::{Detail, Heater};
use physics::{electrics, named, work};
use quantity::si::ElectricPotential;
use quantity::{Number, Value};

use crate::facts::harness::Part;
use crate::facts::rails::supply_voltage;
use crate::facts::{PairFacts, loads};
use crate::rules::judging::{Finding, Judge};

pub(crate) const ID: &str = "device-voltage";

/// A heater is judged by its power, which goes with the square of the voltage; all else by the voltage itself.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    if pair.way.own_supply {
        return converter(pair, judge);
    }
    let Some(voltage) = pair.rail_voltage() else {
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

/// Too much power burns, too little never gets there; both as a share of the rated power.
fn heater_power(pair: &PairFacts<'_>, heater: &Heater, voltage: Value<ElectricPotential>, judge: &mut Judge) {
    let limits = pair.limits();
    let rated = Value::exact(heater.power.nominal());
    let ratio = voltage / heater.voltage.value;
    let share = ratio * ratio;
    let finding = || {
        let inputs = (
            named("Pᵣ", "rated power of the heater", rated),
            named("U", "voltage of the rail", voltage),
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
            "{} of {rated} at {} gives {power} from {} at {}",
            pair.device_name(),
            heater.voltage,
            voltage,
            pair.port_name()
        );
        let remedy = if power.nominal() > rated.nominal() {
            format!("use a port of {}, or a heater made for {voltage}", heater.voltage)
        } else {
            format!(
                "use a port of {}, or a heater made for {voltage}: it may not reach its temperature in time",
                heater.voltage
            )
        };
        Finding::new(headline, "common-practice")
            .at(heater.voltage.place)
            .remedy(remedy)
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
    let share = |share: Value<quantity::si::Ratio>| share.nominal() * rated.nominal();
    let most = share(limits.device_overvoltage_blocker.value).larger(band.high());
    let least = share(limits.device_undervoltage_blocker.value).smaller(band.low());
    let finding = || {
        let (device, port) = (pair.device_name(), pair.port_name());
        let rail = pair.rail_name().unwrap_or("");
        let headline =
            format!("{device} is made for {band} and gets {voltage} from the rail {rail} at {port}");
        let remedy = format!(
            "use a port or jumper position of {}",
            Value::exact(rated.nominal())
        );
        let finding = Finding::new(headline, "common-practice").remedy(remedy);
        match loads::rated(&pair.device().detail) {
            Some(rated) => finding.at(rated.place),
            None => finding,
        }
    };
    let (above, below) = (
        (voltage.high() - band.high()).base(),
        (band.low() - voltage.low()).base(),
    );
    // The end that is nearer to its limit is the one to show.
    if above >= below {
        judge.graded(voltage, Value::exact(band.high()), Value::exact(most), finding);
    } else {
        judge.graded_from_below(voltage, Value::exact(band.low()), Value::exact(least), finding);
    }
}

/// A converter of its own gives the rated voltage, wherever the port is.
fn converter(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(rated) = loads::rated(&pair.device().detail) else {
        return;
    };
    let supply = supply_voltage(pair.swap);
    judge.mended(Part::one(converter_for(supply.nominal(), rated.nominal())), || {
        let current = pair.current().map_or_else(String::new, |current| {
            format!(" (at least {})", Value::exact(current.high()))
        });
        let headline = format!(
            "{} gets its {} from a converter of its own{current}, out of the supply of {supply}",
            pair.device_name(),
            Value::exact(rated.nominal()),
        );
        Finding::new(headline, "common-practice").at(rated.place).remedy(
            "measure the output of the converter before anything is plugged into it; join its minus to that of the board",
        )
    });
}

/// The converter of the list of parts for a supply and a rated voltage.
pub(crate) fn converter_for(supply: ElectricPotential, rated: ElectricPotential) -> &'static str {
    let near = |voltage: ElectricPotential, volts: f64| (voltage.base() / volts - 1.0).abs() < 0.1;
    match near(supply, 24.0) {
        true if near(rated, 12.0) => "converter 24 V to 12 V",
        true if near(rated, 5.0) => "converter 24 V to 5 V",
        _ => "adjustable converter",
    }
}
