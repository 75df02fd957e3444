//! Calibrations: extruder, axes, pressure compensation, flow.

use evidence::calibration::{AxisAsk, Drive, ExtruderAsk, FlowAsk, axes, extruder, flow, pressure};
use evidence::{Outcome, read, tables};
use model::Kinematics;
use quantity::si::{StepDensity, percent, ratio};
use quantity::{Number, Value};
use settings::{SettingValue, Topic};

use super::{Job, told, told_once, with};

/// The steps of an axis that were set while it was measured: those stated, else what the plan tells the new board, or on the old board (or where
/// no board is named) what the old controller reported.
fn steps(job: &Job<'_>, axis: &str) -> Option<StepDensity> {
    if let Some(stated) = job.keys.steps {
        return Some(stated.value.nominal());
    }
    let context = job.context?;
    let settings = settings::settings(&context.plan.setup());
    let mut found = settings.settings.iter();
    let setting = found.find(|setting| setting.topic == Topic::StepsPerLength && setting.of == axis)?;
    let value = match job.on_old_board() {
        Some(false) => setting.new.as_ref()?,
        _ => &setting.old.as_ref()?.value,
    };
    match value {
        SettingValue::Quantity(value) => Some(StepDensity::from_base(value.nominal)),
        _ => None,
    }
}

pub(super) fn extruder_reports(job: &Job<'_>, bytes: &[u8]) -> Outcome {
    let (pulls, troubles) = tables::pulls(&read::table(bytes)?)?;
    let axis = job.keys.axis.as_ref().map_or("E", |axis| axis.value.as_str());
    let ask = ExtruderAsk {
        steps: steps(job, axis),
        allowed: job.tolerated_share(job.limits().measured_feed_error.value),
    };
    let found = extruder(&pulls, ask).map_err(|refused| with(refused, &troubles))?;
    Ok(vec![told(found.report(), troubles)])
}

pub(super) fn axis_reports(job: &Job<'_>, bytes: &[u8]) -> Outcome {
    let keys = job.keys;
    let axis = keys.axis.as_ref().map(|name| name.value.as_str());
    let (prints, troubles) = tables::prints(&read::table(bytes)?, axis)?;
    // Steps that are stated belong to the axis that is named, else to each axis of the file.
    let mut letters: Vec<String> = prints.iter().map(|print| print.axis.clone()).collect();
    letters.sort();
    letters.dedup();
    let steps = letters
        .into_iter()
        .filter_map(|letter| steps(job, &letter).map(|steps| (letter, steps)));
    let kinematics = job.context.map(|context| context.swap.machine.kinematics);
    let ask = AxisAsk {
        drive: match kinematics {
            Some(Kinematics::CrossedBelts) => Drive::Crossed,
            Some(Kinematics::Delta) => Drive::Towers,
            Some(Kinematics::Cartesian | Kinematics::TwoCarriages | Kinematics::BeltBed) | None => Drive::Own,
        },
        steps: steps.collect(),
        shrinkage: keys.shrinkage.map_or(Value::exact(percent(0.0)), |s| s.value),
        allowed: job.tolerated_share(job.limits().measured_travel_error.value),
    };
    let found = axes(&prints, &ask).map_err(|refused| with(refused, &troubles))?;
    Ok(told_once(found.iter().map(|axis| axis.report()), troubles))
}

pub(super) fn pressure_reports(_: &Job<'_>, bytes: &[u8]) -> Outcome {
    let (corners, troubles) = tables::corners(&read::table(bytes)?)?;
    let found = pressure(&corners).map_err(|refused| with(refused, &troubles))?;
    Ok(vec![told(found.report(), troubles)])
}

pub(super) fn flow_reports(job: &Job<'_>, bytes: &[u8]) -> Outcome {
    let (walls, troubles) = tables::walls(&read::table(bytes)?)?;
    if let Some(refused) = super::belongs::wall_slip(&walls) {
        return Err(with(refused, &troubles));
    }
    let ask = FlowAsk {
        flow: job.keys.flow.map_or(ratio(1.0), |flow| flow.value.nominal()),
        allowed: job.tolerated_share(job.limits().measured_wall_error.value),
    };
    let found = flow(&walls, ask).map_err(|refused| with(refused, &troubles))?;
    Ok(vec![told(found.report(), troubles)])
}
