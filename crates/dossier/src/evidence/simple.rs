//! Filament switch, lights, supply, temperatures of motors and drivers: limits from the plan where there is one.

use evidence::simple::{
    FarEnd, LightAsk, SupplyAsk, WarmthAsk, filament_test, light_test, supply_log, warmth_log,
};
use evidence::tables::Scale;
use evidence::{Advice, Outcome, Refused, read, tables};
use model::machine::Detail;
use quantity::si::{ElectricPotential, ElectricalResistance, ThermodynamicTemperature};
use quantity::{Kind, Number, Value};

use super::{Job, told, with};
use crate::words::sentence;

pub(super) fn filament_reports(job: &Job<'_>, bytes: &[u8]) -> Outcome {
    let (looks, troubles) = tables::filament(&read::table(bytes)?)?;
    let allowed = job.max_failure_rate(job.limits().measured_failure_chance.value);
    let remaining_filament = job
        .keys
        .remaining_filament
        .map(|remaining_filament| remaining_filament.value.low());
    let found =
        filament_test(&looks, allowed, remaining_filament).map_err(|refused| with(refused, &troubles))?;
    let mut report = found.report();
    // What no look at a sound switch shows, and where one was wrong, what may be behind it.
    let mut checks = vec!["broken-wire"];
    if looks.iter().any(|look| look.there != look.reported) {
        checks.extend([
            "pull-resistor",
            "switch-wiring",
            "level-from-device",
            "active-level",
        ]);
    }
    report.advice.extend(by_the_plan(job, &checks));
    Ok(vec![told(report, troubles)])
}

/// What the plan finds about the entry's devices in these checks, as advice; nothing where all is well there.
fn by_the_plan(job: &Job<'_>, checks: &[&str]) -> Vec<Advice> {
    let found = checks.iter().flat_map(|check| findings(job, check));
    found
        .filter(|finding| finding.verdict > plan::Verdict::Pass)
        .map(|finding| {
            let remedy = finding
                .remedy
                .as_ref()
                .map(|remedy| format!(" Do: {}", sentence(remedy)));
            Advice::helps(format!(
                "By the plan: {}{}",
                sentence(&finding.headline),
                remedy.unwrap_or_default()
            ))
        })
        .collect()
}

/// The findings of a check about the entry's devices, where they were measured on the board of the plan.
fn findings<'a>(job: &Job<'a>, check: &str) -> Vec<&'a plan::Finding> {
    // A plan is about one of the candidates.
    let Some(context) = job.context.filter(|_| job.on_old_board() != Some(true)) else {
        return Vec::new();
    };
    let tags: Vec<&str> = job.devices().map(|device| device.tag.value.as_str()).collect();
    let about = |finding: &&plan::Finding| {
        let of = finding.subject.device.as_deref();
        finding.check == check && of.is_some_and(|tag| tags.contains(&tag))
    };
    context.plan.findings.iter().filter(about).collect()
}

pub(super) fn light_reports(job: &Job<'_>, bytes: &[u8]) -> Outcome {
    let (tried, troubles) = tables::lights(&read::table(bytes)?)?;
    let lights = job.devices().find_map(|device| match &device.detail {
        Detail::LightStrip(strip) => strip.led_count.map(|lights| lights.value),
        _ => None,
    });
    let far_end = findings(job, "light-strip").into_iter().find_map(|finding| {
        let (has, needs) = (finding.value?, finding.limit?.bound);
        (has.kind == Kind::Voltage).then(|| FarEnd {
            has: ElectricPotential::from_base(has.low),
            needs: ElectricPotential::from_base(needs.high),
        })
    });
    let found =
        light_test(&tried, LightAsk { lights, far_end }).map_err(|refused| with(refused, &troubles))?;
    let mut report = found.report();
    if report.verdict == evidence::Verdict::Fail {
        report
            .advice
            .extend(by_the_plan(job, &["level-to-device", "data-resistor"]));
    }
    Ok(vec![told(report, troubles)])
}

/// A voltage that is a limit, and whose it is.
type Bound = (ElectricPotential, String);

/// The narrowest limits of all that hangs on the supply itself: the board it was measured on with its drivers, and the loads that have no
/// converter before them. Nothing without a swap.
fn bounds(job: &Job<'_>) -> Option<[Bound; 2]> {
    let context = job.context?;
    let setup = context.plan.setup();
    let swap = context.swap;
    let on_old = job.on_old_board() == Some(true);
    let board = if on_old { &swap.old } else { context.plan.board };
    let input = board.input.voltage.value;
    let whose = || format!("the board {}", board.name);
    let (mut lowest, mut highest) = ((input.low(), whose()), (input.high(), whose()));
    let mut narrow = |low: ElectricPotential, high: ElectricPotential, whose: &dyn Fn() -> String| {
        if low > lowest.0 {
            lowest = (low, whose());
        }
        if high < highest.0 {
            highest = (high, whose());
        }
    };
    for driver in &board.drivers {
        if let Some(range) = driver.voltage {
            narrow(range.value.low(), range.value.high(), &|| {
                format!("the driver {}", driver.name)
            });
        }
    }
    for (_, device) in swap.machine.device_ids() {
        // Behind a converter, the board's own or one of its own, a load sees nothing of a sag.
        let direct = if on_old {
            // A jumper that may stand at another rail is not taken to stand at the input.
            let rails = plan::old_port(swap, device).map_or_else(Vec::new, |port| board.rails_of(port));
            !rails.is_empty() && rails.iter().all(|rail| board.rail(*rail).made.is_none())
        } else {
            let pair = setup.pairs().find(|pair| pair.device().tag == device.tag);
            let rail = pair
                .filter(|pair| !pair.way.own_supply)
                .and_then(|pair| pair.way.rail);
            rail.is_some_and(|rail| board.rail(rail).made.is_none())
        };
        if !direct || matches!(device.detail, Detail::Supply(_)) {
            continue;
        }
        if let Some(band) = plan::loads::voltage_band(&device.detail, job.limits()) {
            narrow(band.low(), band.high(), &|| plan::name_of(device));
        }
    }
    Some([lowest, highest])
}

/// The most that lies between the supply and the input of the board by the plan: its lead with contacts, and what the supply itself gives
/// way. Nothing on the old board, whose contacts the plan does not know.
fn before_the_meter(job: &Job<'_>) -> Option<ElectricalResistance> {
    let context = job.context.filter(|_| job.on_old_board() != Some(true))?;
    let setup = context.plan.setup();
    let (pair, supply) = setup.pairs().find_map(|pair| match &pair.device().detail {
        Detail::Supply(supply) => Some((pair, supply)),
        _ => None,
    })?;
    let cable =
        pair.facts().lead_resistance().high().base() / plan::wires::conductors(&pair.device().cable) as f64;
    let (voltage, power) = (supply.voltage.nominal().base(), supply.power.nominal().base());
    let gives = job.limits().measured_supply_regulation.value.high().base() * voltage * voltage / power;
    Some(ElectricalResistance::from_base(cable + gives))
}

pub(super) fn supply_reports(job: &Job<'_>, bytes: &[u8]) -> Outcome {
    let keys = job.keys;
    let channel = keys.channel.as_ref().map(|name| name.value.as_str());
    let (readings, troubles) = tables::voltages(&read::table(bytes)?, channel)?;
    let [low, high] = bounds(job).map_or([None, None], |bounds| bounds.map(Some));
    let stated = |voltage: ElectricPotential| (voltage, None);
    let planned = |(voltage, whose): Bound| (voltage, Some(whose));
    let lowest = keys
        .min_voltage
        .map(|v| stated(v.value.high()))
        .or(low.map(planned));
    let highest = keys
        .max_voltage
        .map(|v| stated(v.value.low()))
        .or(high.map(planned));
    let (Some((lowest, of_lowest)), Some((highest, of_highest))) = (lowest, highest) else {
        return Err(Refused::new(
            "nothing says how low and how high the voltage may be",
            "give `min_voltage` and `max_voltage`, or look at the file within its swap",
        ));
    };
    if let (Some(lowest_of), Some(highest_of)) = (&of_lowest, &of_highest)
        && lowest >= highest
    {
        return Err(Refused::new(
            format!(
                "by the plan no voltage suits all: {lowest_of} needs {}, and {highest_of} bears {}",
                Value::exact(lowest),
                Value::exact(highest)
            ),
            "mend the plan first, or give `min_voltage` and `max_voltage`",
        ));
    }
    let ask = SupplyAsk {
        most: before_the_meter(job),
        joint_heat: job.limits().measured_joint_heat.value.low(),
        lowest,
        highest,
        of: [of_lowest, of_highest],
        meter: keys
            .meter_accuracy
            .map_or(job.limits().measured_meter_accuracy.value.high(), |m| {
                m.value.high()
            }),
    };
    let found = supply_log(&readings, ask).map_err(|refused| with(refused, &troubles))?;
    Ok(vec![told(found.report(), troubles)])
}

/// The highest temperature of the case of the driver of an axis: what its junction bears, less what its own loss at the run current makes
/// between chip and case. Nothing where no axis is named or the board's file states too little.
fn driver_case(job: &Job<'_>) -> Option<ThermodynamicTemperature> {
    let context = job.context.filter(|_| job.on_old_board() != Some(true))?;
    let axis = job.keys.axis.as_ref()?;
    let setup = context.plan.setup();
    let pair = setup.pairs().find(|pair| {
        let of = plan::axis_of(&pair.device().detail);
        of.is_some_and(|id| context.swap.machine.axis(id).name.value == axis.value)
    })?;
    let loss = plan::air::bridges(
        context.swap,
        pair.driver()?,
        plan::driving::driver_current(&pair)?,
    )?;
    let limits = job.limits();
    let gap = loss.high().base() * limits.measured_junction_to_case.value.high().base();
    Some(ThermodynamicTemperature::from_base(
        limits.driver_junction_limit.value.low().base() - gap,
    ))
}

/// The axes and devices of the machine by the words of their names, each with whether the entry is about it.
fn named(job: &Job<'_>) -> Vec<(String, bool)> {
    let Some(context) = job.context else {
        return Vec::new();
    };
    let machine = &context.swap.machine;
    let axis_of = |device: &model::machine::Device| {
        let axis = plan::axis_of(&device.detail)?;
        Some(machine.axis(axis).name.value.clone())
    };
    let mut own: Vec<String> = job.keys.axis.iter().map(|axis| axis.value.clone()).collect();
    for device in job.devices() {
        own.push(device.name.value.clone());
        own.extend(axis_of(device));
    }
    let devices = machine.devices.iter().map(|device| device.name.value.clone());
    let all = machine
        .axes
        .iter()
        .map(|axis| axis.name.value.clone())
        .chain(devices);
    all.map(|name| {
        let is_own = own.contains(&name);
        (name, is_own)
    })
    .collect()
}

/// The column of temperatures that bears the name of what the entry is about; nothing where names do not tell.
///
/// # Errors
/// [`Refused`] where the only column bears the name of something else, or several columns none of ours.
fn own_column<'t>(job: &Job<'_>, columns: &[&'t str]) -> Result<Option<&'t str>, Refused> {
    let named = named(job);
    let bears = |column: &str, own: bool| {
        let mut words = column.split(|c: char| !c.is_alphanumeric());
        words.any(|word| {
            named
                .iter()
                .any(|(name, is_own)| *is_own == own && name.eq_ignore_ascii_case(word))
        })
    };
    if let Some(own) = columns.iter().find(|column| bears(column, true)) {
        return Ok(Some(own));
    }
    let asked = named.iter().any(|(_, own)| *own);
    let foreign = columns.iter().any(|column| bears(column, false));
    if asked && (foreign || columns.len() > 1) {
        let names: Vec<String> = columns.iter().map(|name| format!("`{name}`")).collect();
        return Err(Refused::new(
            format!(
                "the entry is about {}, the file about {}",
                job.subject("a part"),
                names.join(", ")
            ),
            "name the column as `channel`, or the device or `axis` that was logged",
        ));
    }
    Ok(None)
}

pub(super) fn warmth_reports(job: &Job<'_>, bytes: &[u8]) -> Outcome {
    let keys = job.keys;
    let channel = keys.channel.as_ref().map(|name| name.value.as_str());
    let scale = keys.scale.map(|scale| match scale.value {
        model::Scale::Celsius => Scale::Celsius,
        model::Scale::Fahrenheit => Scale::Fahrenheit,
        model::Scale::Kelvin => Scale::Kelvin,
    });
    let table = read::table(bytes)?;
    let own = match channel {
        Some(channel) => Some(channel),
        None => own_column(job, &tables::warmth_columns(&table))?,
    };
    let (readings, troubles) = tables::warmth(&table, own, scale)?;
    let limits = job.limits();
    let motor = job.devices().find_map(|device| match &device.detail {
        Detail::Motor(motor) => Some(motor),
        _ => None,
    });
    let driver = driver_case(job);
    let highest = match (&keys.max_temperature, motor) {
        (Some(highest), _) => highest.value.low(),
        (None, Some(_)) => limits.motor_case_temperature.value.nominal(),
        (None, None) => driver.unwrap_or(limits.measured_driver_case_temperature.value.nominal()),
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
    let what = match (&keys.axis, motor) {
        (Some(axis), None) => format!("driver of {}", axis.value),
        _ => job.subject("part"),
    };
    let ask = WarmthAsk {
        what,
        highest,
        air,
        air_stated: keys.air.is_some(),
        hottest_air: hottest,
        current: None,
    };
    let found = warmth_log(&readings, ask).map_err(|refused| with(refused, &troubles))?;
    let mut report = found.report();
    if let Some((clause, mend)) = super::belongs::other_air(job, &readings) {
        // Numbers of another air or scale prove nothing, neither for nor against.
        report.verdict = evidence::Verdict::Open;
        report.advice.clear();
        super::joined::opened(&mut report, &clause, mend);
    }
    Ok(vec![told(report, troubles)])
}
