//! Analyses through their own code, held against NIST's Statistical Reference Datasets (StRD) and general-purpose
//! libraries. Certified values and versions stand in the head of each file.

use evidence::calibration::{
    AxisAsk, Corner, Drive, ExtruderAsk, Measure, Print, Pull, Side, axes, extruder, pressure,
};
use evidence::height_map::{Smoothing, Surface, Touch, level};
use evidence::simple::{SupplyAsk, Voltage, supply_log};
use physics::mechanics::Point;
use quantity::Value;
use quantity::si::{ampere, millimetre, percent, second, step_per_millimetre, volt};
use statistics::Estimate;

use crate::data::{agrees, certified, numbers, rows, spelled};

/// Norris: y, x of the certified line.
fn norris_set() -> (Vec<(f64, f64)>, String) {
    let (rows, head) = numbers(include_str!("../../statistics/tests/data/nist-strd-norris.csv"));
    (rows.iter().map(|row| (row[0], row[1])).collect(), head)
}

/// Certified slope and constant of Norris with their half intervals at 95 %: t(0.975, 34) = 2.0322 (NIST/SEMATECH e-Handbook, 1.3.6.7.2,
/// 2.032 as printed; the fourth decimal from memory).
fn norris_line(head: &str) -> [[f64; 2]; 2] {
    ["B1", "B0"].map(|label| {
        let sd = certified(head, &format!("{label} {} sd", spelled(head, label)));
        [certified(head, label), 2.0322 * sd]
    })
}

fn holds_line(found: Estimate, [value, half]: [f64; 2], what: &str) {
    agrees(found.value, value, 1e-8, what);
    agrees(found.value - found.low, half, 1e-4, &format!("{what}, below"));
    agrees(found.high - found.value, half, 1e-4, &format!("{what}, above"));
}

/// Steps of the extruder: NIST StRD Norris as lengths fed over lengths commanded.
#[test]
fn the_extruder_feeds_by_the_line_of_norris() {
    let (points, head) = norris_set();
    let pulls: Vec<Pull> = points
        .iter()
        .map(|(y, x)| Pull {
            commanded: millimetre(*x),
            measured: millimetre(*y),
            line: 0,
        })
        .collect();
    let ask = ExtruderAsk {
        steps: Some(step_per_millimetre(400.0)),
        allowed: percent(1.0),
    };
    let found = extruder(&pulls, ask).unwrap();
    let [slope, constant] = norris_line(&head);
    holds_line(found.feed, slope, "feed");
    holds_line(found.offset.unwrap(), constant, "offset");
    agrees(
        found.deviation.value,
        certified(&head, "residual sd"),
        1e-8,
        "deviation",
    );
    agrees(found.steps.unwrap().value, 400.0 / slope[0], 1e-8, "steps");
    agrees(
        found.steps.unwrap().high,
        400.0 / (slope[0] - slope[1]),
        1e-7,
        "steps, above",
    );
}

/// Steps of an axis: the same set as lengths over outer faces, whose walls are the constant of the line.
#[test]
fn an_axis_travels_by_the_line_of_norris() {
    let (points, head) = norris_set();
    let prints: Vec<Print> = points
        .iter()
        .map(|(y, x)| Print {
            axis: "X".into(),
            nominal: millimetre(*x),
            measured: millimetre(*y),
            side: Side::Outside,
            line: 0,
        })
        .collect();
    let ask = AxisAsk {
        drive: Drive::Own,
        steps: Vec::new(),
        shrinkage: Value::exact(percent(0.0)),
        allowed: percent(0.2),
    };
    let found = axes(&prints, &ask).unwrap().remove(0);
    let [slope, constant] = norris_line(&head);
    holds_line(found.scale, slope, "scale");
    holds_line(found.walls.unwrap(), constant, "walls");
    agrees(
        found.deviation.value,
        certified(&head, "residual sd"),
        1e-8,
        "deviation",
    );
}

/// Resistance before the meter: the same set as what is lost from 1100 V. The upper bound is that of the line turned round, whose slope is
/// R²/B1 and whose t is the same, both from the certified values.
#[test]
fn the_supply_sags_by_the_line_of_norris() {
    let (points, head) = norris_set();
    let readings: Vec<Voltage> = points
        .iter()
        .enumerate()
        .map(|(at, (y, x))| Voltage {
            time: second(at as f64),
            voltage: volt(1100.0 - y),
            current: Some(ampere(*x)),
            line: 0,
        })
        .collect();
    let ask = SupplyAsk {
        lowest: volt(1.0),
        highest: volt(2000.0),
        ..SupplyAsk::default()
    };
    let found = supply_log(&readings, ask).unwrap();
    let [slope, constant] = norris_line(&head);
    let resistance = found.resistance.unwrap();
    agrees(resistance.value, slope[0], 1e-8, "resistance");
    agrees(
        resistance.value - resistance.low,
        slope[1],
        1e-4,
        "resistance, below",
    );
    let turned = slope[0] / (certified(&head, "R2") * (1.0 - slope[1] / slope[0]));
    agrees(
        resistance.high - resistance.value,
        turned - slope[0],
        1e-4,
        "resistance, above",
    );
    let unloaded = found.unloaded.unwrap();
    holds_line(unloaded.map(|volts| 1100.0 - volts), constant, "unloaded");
}

fn number(cell: &str) -> f64 {
    cell.parse().unwrap()
}

/// The rows of `reference-measured.csv` of one case and one kind. The file is written by scipy and numpy, whose versions stand in its head.
fn recomputed(case: &str, what: &str) -> Vec<Vec<String>> {
    let rows = rows("reference-measured.csv").1;
    let own = rows
        .into_iter()
        .filter(|row| row[0] == case && row[1].starts_with(what));
    let own: Vec<Vec<String>> = own.collect();
    assert!(!own.is_empty(), "{case} {what}");
    own
}

/// Fieller's interval, E. C. Fieller (1954), recomputed with scipy as the places where a fitted curve is no farther from zero than t of its
/// own errors: also with a divisor that is hardly known.
#[test]
fn places_of_the_pattern_have_the_interval_of_fieller() {
    for case in ["bulge-clear", "bulge-noisy", "score"] {
        let corners: Vec<Corner> = recomputed(case, "given")
            .iter()
            .map(|row| Corner {
                compensation: second(number(&row[2])),
                measure: if case == "score" {
                    Measure::Score(number(&row[3]))
                } else {
                    Measure::Bulge(millimetre(number(&row[3])))
                },
                line: 0,
            })
            .collect();
        let best = pressure(&corners).unwrap().best.unwrap();
        let [low, place, high] = [2, 3, 4].map(|at| number(&recomputed(case, "place")[0][at]));
        // The noisy one is no symmetric interval, or it would test nothing of Fieller's.
        assert!(
            case != "bulge-noisy"
                || (high - place) / (place - low) > 1.2
                || (place - low) / (high - place) > 1.2
        );
        for (found, expected) in [(best.low, low), (best.value, place), (best.high, high)] {
            assert!((found - expected).abs() < 1e-9, "{case}: {found} for {expected}");
        }
    }
}

/// Plane, what it leaves and the smoothed surface of scattered touches, recomputed with numpy's least squares and scipy's thin-plate spline.
#[test]
fn a_scattered_bed_is_that_of_the_reference_libraries() {
    let given: Vec<[f64; 3]> = recomputed("bed", "given")
        .iter()
        .map(|row| [2, 3, 4].map(|at| number(&row[at])))
        .collect();
    let touches: Vec<Touch> = given
        .iter()
        .map(|[x, y, z]| Touch {
            at: Point::in_millimetres(*x, *y),
            height: millimetre(*z),
            visit: None,
            line: 0,
        })
        .collect();
    let found = level(&touches, &[]).unwrap();
    let (plane, left) = (&recomputed("bed", "plane")[0], &recomputed("bed", "left")[0]);
    agrees(
        found.tilt.right.value,
        number(&plane[2]),
        1e-9,
        "rise to the right",
    );
    agrees(found.tilt.back.value, number(&plane[3]), 1e-9, "rise to the back");
    agrees(found.tilt.left, number(&left[2]), 1e-9, "root mean square");
    agrees(found.tilt.left_span, number(&left[3]), 1e-9, "span");
    let points: Vec<[f64; 2]> = given.iter().map(|[x, y, _]| [*x, *y]).collect();
    let heights: Vec<f64> = given.iter().map(|[.., z]| *z).collect();
    for row in recomputed("bed", "spline") {
        let smoothing = number(row[1].trim_start_matches("spline "));
        let surface = Surface::fit(&points, &heights, Smoothing::Fixed(smoothing)).unwrap();
        agrees(
            surface.at(number(&row[2]), number(&row[3])),
            number(&row[4]),
            1e-8,
            "spline",
        );
    }
}
