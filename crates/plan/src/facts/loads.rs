//! What each device draws, and at which voltage it is meant to run.

use catalogue::Limits;
use model::machine::{Detail, Heater};
use model::{Element, Located};
use physics::electrics;
use quantity::si::{
    ElectricCurrent, ElectricPotential, ElectricalResistance, Power, Ratio, ThermodynamicTemperature,
};
use quantity::{Number, Value, si};

/// The rated supply of a device; `None` for what has none (motors, thermometers, contacts).
#[must_use]
pub fn rated_voltage(detail: &Detail) -> Option<Value<ElectricPotential>> {
    rated(detail).map(|voltage| voltage.value)
}

/// The rated supply of a device with the place where it is written.
#[must_use]
pub fn rated(detail: &Detail) -> Option<&Located<Value<ElectricPotential>>> {
    match detail.share() {
        Detail::Heater(heater) => Some(match &heater.relay {
            Some(relay) => &relay.voltage,
            None => &heater.voltage,
        }),
        Detail::Fan(fan) => Some(&fan.voltage),
        Detail::LimitSwitch { sensor, .. }
        | Detail::BedProbe(sensor)
        | Detail::FilamentSwitch(sensor)
        | Detail::Tachometer(sensor) => sensor.voltage.as_ref(),
        Detail::LightStrip(strip) => flows(&strip.current).then_some(&strip.voltage),
        Detail::Panel(panel) => flows(&panel.current.value).then_some(&panel.voltage),
        Detail::Supply(supply) => Some(&supply.voltage),
        Detail::Thermometer(_) | Detail::Motor(_) | Detail::Plug(_) => None,
    }
}

/// Whether a cable carries a current: none flows where only the data of lights, or the signals of a panel, go.
fn flows(current: &Value<ElectricCurrent>) -> bool {
    current.high().base() > 0.0
}

/// The voltages at which a device runs as it should: its own band where it states one, else the usual one about its rated voltage; of a
/// heater those that give it neither too little nor too much power, which goes with the square. `None` for what has no rated voltage.
#[must_use]
pub fn voltage_band(detail: &Detail, limits: &Limits) -> Option<Value<ElectricPotential>> {
    let rated = rated_voltage(detail)?;
    let at = |share: f64| rated.nominal() * share;
    Some(match detail {
        Detail::Heater(heater) if heater.relay.is_none() => Value::between(
            at(limits.heater_power_shortfall_caution.value.high().base().sqrt()),
            rated.nominal(),
            at(limits.heater_power_excess_caution.value.low().base().sqrt()),
        ),
        _ if rated.is_exact() => Value::relative(
            rated.nominal(),
            limits.device_voltage_tolerance.value.low().base(),
        ),
        _ => rated,
    })
}

/// The current of a device at the voltage it gets; `None` where it draws none from its port.
///
/// A heater takes what its track lets through at the given temperature; everything else its stated largest current. A motor
/// takes its run current, which its driver forces whatever the voltage is.
#[must_use]
pub fn current(
    detail: &Detail,
    voltage: Option<Value<ElectricPotential>>,
    track: Value<ThermodynamicTemperature>,
) -> Option<Value<ElectricCurrent>> {
    match detail.share() {
        Detail::Heater(heater) => match &heater.relay {
            Some(relay) => Some(relay.current.value),
            None => voltage.map(|voltage| voltage / resistance_at(heater, track)),
        },
        Detail::Fan(fan) => Some(fan.current.value),
        Detail::LimitSwitch { sensor, .. }
        | Detail::BedProbe(sensor)
        | Detail::FilamentSwitch(sensor)
        | Detail::Tachometer(sensor) => sensor.current.map(|current| current.value),
        Detail::LightStrip(strip) => Some(strip.current).filter(flows),
        Detail::Panel(panel) => Some(panel.current.value).filter(flows),
        Detail::Motor(motor) => Some(motor.run_current),
        Detail::Supply(supply) => Some(supply.power.value / supply.voltage.value),
        Detail::Thermometer(_) | Detail::Plug(_) => None,
    }
}

/// The resistance of a heater at a temperature of its track, from its stated power.
#[must_use]
pub fn resistance_at(
    heater: &Heater,
    temperature: Value<ThermodynamicTemperature>,
) -> Value<ElectricalResistance> {
    let corner = |power: Power| electrics::rated_resistance(heater.voltage.nominal(), power);
    let stated = heater.power.value.map(corner);
    match heater.element {
        Element::Alloy => stated,
        Element::Copper => {
            let (now, then) = (temperature.map(copper_factor), heater.rated_at.map(copper_factor));
            stated * now / then
        }
    }
}

/// The factor of copper, held at the ends of its law's range: a bed never leaves it, and a file that says so gets the end.
pub(crate) fn copper_factor(temperature: ThermodynamicTemperature) -> Ratio {
    let held = temperature.larger(si::celsius(-50.0)).smaller(si::celsius(200.0));
    electrics::copper_factor(held).unwrap_or(si::ratio(1.0))
}
