//! Filament switch, lights, supply, temperatures of motors and drivers: limits from the plan where there is one.

use evidence::simple::{SupplyAsk, WarmthAsk, filament_test, light_test, supply_log, warmth_log};
use evidence::tables::Scale;
use evidence::{Outcome, Refused, read, tables};
use model::machine::Detail;
use quantity::Number;
use quantity::si::ElectricPotential;

use super::{Job, told, with};

pub(super) fn filament_reports(job: &Job<'_>, bytes: &[u8]) -> Outcome {
    let (looks, troubles) = tables::filament(&read::table(bytes)?)?;
    let allowed = job.allowed_share(job.limits().measured_failure_chance.value);
    let run_on = job.keys.run_on.map(|run_on| run_on.value.low());
    let found = filament_test(&looks, allowed, run_on).map_err(|refused| with(refused, &troubles))?;
    Ok(vec![told(found.report(), troubles)])
}

pub(super) fn light_reports(_: &Job<'_>, bytes: &[u8]) -> Outcome {
    let (tried, troubles) = tables::lights(&read::table(bytes)?)?;
    let found = light_test(&tried).map_err(|refused| with(refused, &troubles))?;
    Ok(vec![told(found.report(), troubles)])
}

/// Lowest and highest voltage that supply and board agree on; nothing without a swap.
fn voltages(job: &Job<'_>) -> Option<(ElectricPotential, ElectricPotential)> {
    let context = job.context?;
    let (_, supply) = context.swap.machine.supplies().next()?;
    let nominal = supply.voltage.nominal();
    let tolerance = job.limits().device_voltage_tolerance.value.nominal().base();
    let input = context.plan.board.input.voltage.value;
    // What the loads bear about the nominal, and the board at its input.
    let low = ElectricPotential::from_base(nominal.base() * (1.0 - tolerance)).max(input.low());
    let high = ElectricPotential::from_base(nominal.base() * (1.0 + tolerance)).min(input.high());
    Some((low, high))
}

pub(super) fn supply_reports(job: &Job<'_>, bytes: &[u8]) -> Outcome {
    let keys = job.keys;
    let channel = keys.channel.as_ref().map(|name| name.value.as_str());
    let (readings, troubles) = tables::voltages(&read::table(bytes)?, channel)?;
    let planned = voltages(job);
    let lowest = keys
        .lowest_voltage
        .map(|v| v.value.high())
        .or(planned.map(|p| p.0));
    let highest = keys
        .highest_voltage
        .map(|v| v.value.low())
        .or(planned.map(|p| p.1));
    let (Some(lowest), Some(highest)) = (lowest, highest) else {
        return Err(Refused::new(
            "nothing says how low and how high the voltage may be",
            "give `lowest_voltage` and `highest_voltage`, or look at the file within its swap",
        ));
    };
    let ask = SupplyAsk {
        lowest,
        highest,
        meter: keys
            .meter_accuracy
            .map_or(job.limits().measured_meter_accuracy.value.high(), |m| {
                m.value.high()
            }),
    };
    let found = supply_log(&readings, ask).map_err(|refused| with(refused, &troubles))?;
    Ok(vec![told(found.report(), troubles)])
}

pub(super) fn warmth_reports(job: &Job<'_>, bytes: &[u8]) -> Outcome {
    let keys = job.keys;
    let channel = keys.channel.as_ref().map(|name| name.value.as_str());
    let scale = match keys.scale.map(|scale| scale.value) {
        Some(model::Scale::Fahrenheit) => Scale::Fahrenheit,
        Some(model::Scale::Kelvin) => Scale::Kelvin,
        _ => Scale::Celsius,
    };
    let (readings, troubles) = tables::warmth(&read::table(bytes)?, channel, scale)?;
    let limits = job.limits();
    let motor = job.devices().find_map(|device| match &device.detail {
        Detail::Motor(motor) => Some(motor),
        _ => None,
    });
    let highest = match (&keys.highest_temperature, motor) {
        (Some(highest), _) => highest.value.low(),
        (None, Some(_)) => limits.motor_case_temperature.value.nominal(),
        (None, None) => limits.measured_driver_case_temperature.value.nominal(),
    };
    let swap = job.context.map(|context| context.swap);
    let room = swap.map(|swap| swap.ambient.temperature.value);
    let air = keys.air.map(|air| air.value).or(room);
    let Some(air) = air else {
        return Err(Refused::new(
            "nothing says how warm the air was",
            "give `air`, or look at the file within its swap",
        ));
    };
    // A motor stands in the room, a driver in the air of the case.
    let hottest = match (motor, swap) {
        (Some(_), _) => room.map_or(air.high(), |room| room.high()),
        (None, Some(swap)) => swap.machine.case.air.map_or(air.high(), |air| air.value.high()),
        (None, None) => air.high(),
    };
    let ask = WarmthAsk {
        what: job.subject("part"),
        highest,
        air: air.nominal(),
        hottest_air: hottest,
        current: None,
    };
    let found = warmth_log(&readings, ask).map_err(|refused| with(refused, &troubles))?;
    Ok(vec![told(found.report(), troubles)])
}
