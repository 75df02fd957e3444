//! The torque of each axis over speed: what its motor gives over all tolerances, and what is asked of it.

use drawing::{Along, Band, Mark, Plot, Series};
use model::Connection;
use plan::torque::Curve;
use quantity::Number;

use super::Picture;
use crate::shown::Shown;
use crate::words::brief;

/// A nominal torque on the old board that differs by more than this share of the largest is drawn.
const DIFFERS: f64 = 0.01;

/// One picture for each curve.
pub(super) fn pictures(shown: &Shown<'_>) -> Vec<Picture> {
    let curves = shown.curves.iter().zip(names(shown));
    curves
        .map(|(curve, name)| {
            Picture::of(
                name.trim_end_matches(".svg"),
                title(curve),
                |prefix| plot(shown, curve, prefix),
                drawing::plot,
            )
        })
        .collect()
}

/// The files of the pictures, one for each curve.
pub(crate) fn names(shown: &Shown<'_>) -> Vec<String> {
    let titles: Vec<String> = shown
        .curves
        .iter()
        .map(|curve| format!("torque {}", curve.axis))
        .collect();
    super::named_after(titles.iter().map(String::as_str))
}

/// Its heading: the axis, and whose torque it is.
fn title(curve: &Curve) -> String {
    let each = if curve.motors.len() > 1 { ", each" } else { "" };
    let joint = match curve.joint {
        None => "",
        Some(Connection::Series) => ", two in series on one driver",
        Some(Connection::Parallel) => ", two side by side on one driver",
    };
    format!(
        "Torque at {} over speed: {}{each}{joint}",
        curve.axis,
        curve.motors.join(", ")
    )
}

/// What it shows, in sentences.
pub(crate) fn words(curve: &Curve) -> String {
    let at_rest = curve.points.first().map(|point| point.torque);
    let gives = at_rest.map_or_else(String::new, |torque| {
        format!(
            "At rest the motor gives {} to {}. ",
            brief(torque.low()),
            brief(torque.high())
        )
    });
    let top = brief(curve.max_speed.nominal());
    let Some(demand) = curve.demand else {
        return format!(
            "{gives}What {} asks of it is not stated; its top speed is {top}.",
            curve.axis
        );
    };
    let asks = match accelerates(curve) {
        Some(asked) => format!(
            "In the worst case the axis asks for {} while it accelerates at {}, and {} at constant speed",
            brief(demand.accelerating.high()),
            brief(asked.nominal()),
            brief(demand.steady.high())
        ),
        None => format!(
            "In the worst case the axis asks for {} at constant speed",
            brief(demand.steady.high())
        ),
    };
    let holds = match curve.holds {
        Some(speed) if speed.low().base() > 0.0 => format!(
            "with its reserve the motor must have {}, which it has up to {} in its own worst case; {top} are asked",
            brief(demand.with_reserve.high()),
            brief(speed.low())
        ),
        _ => format!(
            "with its reserve the motor must have {}, which it has at no speed in its own worst case",
            brief(demand.with_reserve.high())
        ),
    };
    format!("{gives}{asks}; {holds}.")
}

fn plot(shown: &Shown<'_>, curve: &Curve, prefix: String) -> Plot {
    // Axes of a picture have one unit each: millimetres a second, as people set speeds.
    let millimetres = |speed: quantity::si::Velocity| speed.base() * 1e3;
    let milli = |torque: quantity::si::Torque| torque.base() * 1e3;
    let line = |name: &str, of: &dyn Fn(&plan::torque::CurvePoint) -> f64| Series {
        name: name.to_owned(),
        points: curve
            .points
            .iter()
            .map(|point| [millimetres(point.speed), of(point)])
            .collect(),
        dots: false,
    };
    let mut series = vec![
        line("least, in the worst case", &|point| milli(point.torque.low())),
        line("nominal", &|point| milli(point.torque.nominal())),
    ];
    if differs(curve) {
        series.push(line("nominal on the old board", &|point| {
            point.old.map_or(f64::NAN, milli)
        }));
    }
    // A scale from nothing: the share that is asked is what is looked for.
    series.push(Series {
        name: String::new(),
        points: vec![[0.0, 0.0]],
        dots: false,
    });
    Plot {
        head: super::head(shown, prefix, &title(curve), words(curve)),
        x: format!("speed of {}, mm/s", curve.axis),
        y: "torque of one motor, mN m".to_owned(),
        bands: vec![Band {
            name: "all tolerances".to_owned(),
            points: curve
                .points
                .iter()
                .map(|point| {
                    [
                        millimetres(point.speed),
                        milli(point.torque.low()),
                        milli(point.torque.high()),
                    ]
                })
                .collect(),
        }],
        series,
        marks: marks(curve),
        logarithmic: [false; 2],
    }
}

/// The acceleration that is asked, where it makes a difference: without a mass it does not.
fn accelerates(curve: &Curve) -> Option<quantity::Value<quantity::si::Acceleration>> {
    let demand = curve.demand?;
    curve
        .acceleration
        .filter(|_| demand.accelerating != demand.steady)
}

/// Whether the old board gave another torque.
fn differs(curve: &Curve) -> bool {
    let most = curve
        .points
        .iter()
        .map(|point| point.torque.nominal().base())
        .fold(0.0, f64::max);
    curve.points.iter().any(|point| {
        point
            .old
            .is_some_and(|old| (old.base() - point.torque.nominal().base()).abs() > DIFFERS * most)
    })
}

/// A torque in the unit of the axis.
fn on_axis(torque: quantity::si::Torque) -> String {
    let milli = torque.base() * 1e3;
    let digits = usize::from(milli < 10.0);
    format!("{milli:.digits$} mN m")
}

fn marks(curve: &Curve) -> Vec<Mark> {
    let level = |name: String, torque: quantity::si::Torque| Mark {
        name,
        at: torque.base() * 1e3,
        along: Along::Y,
    };
    let mut marks = Vec::new();
    if let Some(demand) = curve.demand {
        marks.push(level(
            format!("needed with reserve: {}", on_axis(demand.with_reserve.high())),
            demand.with_reserve.high(),
        ));
        let asked = match accelerates(curve) {
            Some(asked) => format!("asked at {}", brief(asked.nominal())),
            None => "asked at constant speed".to_owned(),
        };
        marks.push(level(
            format!("{asked}: {}", on_axis(demand.accelerating.high())),
            demand.accelerating.high(),
        ));
    }
    marks.push(Mark {
        name: format!("top speed asked: {}", brief(curve.max_speed.nominal())),
        at: curve.max_speed.nominal().base() * 1e3,
        along: Along::X,
    });
    marks
}
