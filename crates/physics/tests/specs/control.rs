//! Formulas of control by name. A rule has results of two kinds: a gain, and times.

use physics::Formula;
use physics::control::*;
use quantity::si::*;
use quantity::{Number, Quantity};

use crate::driver::{Row, Spec, by_text, spec};

pub fn specs() -> Vec<Spec> {
    let mut specs = rules();
    specs.extend(loops());
    specs.extend(models());
    specs
}

fn rules() -> Vec<Spec> {
    let all = [
        &ZIEGLER_NICHOLS_ULTIMATE,
        &ZIEGLER_NICHOLS_REACTION,
        &TYREUS_LUYBEN,
        &COHEN_COON,
        &AMIGO,
        &SIMC,
        &SIMC_IMPROVED,
    ];
    let both = |formula: &'static Formula| {
        [
            by_text::<TemperatureCoefficient>(formula, setting),
            by_text::<Time>(formula, setting),
        ]
    };
    all.into_iter().flat_map(both).collect()
}

fn setting(row: &Row) -> f64 {
    if row.text("terms").starts_with("series") {
        let (gain, integral, derivative) = series(row);
        return match row.text("of") {
            "Kc" => gain.base(),
            "Ti" => integral.base(),
            _ => derivative.base(),
        };
    }
    let pid = rule(row);
    match row.text("of") {
        "Kc" => pid.gain.base(),
        "Ti" => pid.integral.expect("an integral term").base(),
        _ => pid.derivative.base(),
    }
}

fn first_order(row: &Row) -> FirstOrder {
    FirstOrder {
        gain: row.get("K"),
        lag: row.get("τ"),
        delay: row.get("θ"),
    }
}

fn series(row: &Row) -> (TemperatureCoefficient, Time, Time) {
    let FirstOrder { gain, lag, delay } = first_order(row);
    simc_series(
        SecondOrder {
            gain,
            lag,
            second_lag: row.get("τ₂"),
            delay,
        },
        row.get("τc"),
    )
}

pub fn rule(row: &Row) -> Pid {
    let model = first_order(row);
    let terms = match row.text("terms") {
        "P" => Terms::P,
        "PI" => Terms::Pi,
        "PID" => Terms::Pid,
        other => panic!("no terms {other}"),
    };
    let ultimate = || ultimate(&model.into()).expect("a dead time");
    match row.text("rule") {
        "ziegler-nichols-ultimate" => ziegler_nichols_ultimate(ultimate(), terms),
        "ziegler-nichols-reaction" => ziegler_nichols_reaction(model, terms),
        "tyreus-luyben" => tyreus_luyben(ultimate(), terms).expect("PI or PID"),
        "cohen-coon" => cohen_coon(model, terms),
        "amigo" => amigo(model, terms).expect("PI or PID"),
        "simc" => simc_pi(model, row.get("τc")),
        "simc-improved" => simc_improved_pi(model, row.get("τc")),
        other => panic!("no rule {other}"),
    }
}

/// The processes of the published examples. E2 has its positive lead of 0.08 s taken off its lag of 0.2 s for the half rule.
pub fn example(name: &str, shortened: bool) -> Process {
    let times = |numbers: &[f64]| numbers.iter().copied().map(second).collect::<Vec<Time>>();
    let process = |gain: f64, lags: &[f64], leads: &[f64], delay: f64| Process {
        gain: kelvin(gain),
        lags: times(lags),
        leads: times(leads),
        delay: second(delay),
        integrating: false,
    };
    match (name, shortened) {
        ("E1", _) => process(1.0, &[1.0, 0.2], &[], 0.0),
        ("E2", true) => process(1.0, &[2.0, 1.0, 0.4, 0.12, 0.05, 0.05, 0.05], &[-0.3], 0.0),
        ("E2", false) => process(1.0, &[2.0, 1.0, 0.4, 0.2, 0.05, 0.05, 0.05], &[-0.3, 0.08], 0.0),
        ("E3", _) => process(2.0, &[20.0, 1.0, 0.1, 0.1], &[15.0], 0.0),
        ("E4", _) => process(1.0, &[1.0; 4], &[], 0.0),
        ("E5", _) => process(1.0, &[1.0, 0.2, 0.04, 0.008], &[], 0.0),
        ("E9", _) => process(1.0, &[1.0, 1.0], &[], 1.0),
        ("E10", _) => process(1.0, &[20.0, 2.0], &[], 1.0),
        (other, _) => panic!("no example {other}"),
    }
}

/// The process of a row: an example, three equal lags, an integrator, or a first-order one.
fn process(row: &Row) -> Process {
    if row.given.contains("example =") {
        return example(row.text("example"), false);
    }
    if row.given.contains("equal lags =") {
        let count: usize = row.text("equal lags").parse().expect("a number");
        return Process {
            gain: row.get("K"),
            lags: vec![row.get("τ"); count],
            leads: Vec::new(),
            delay: second(0.0),
            integrating: false,
        };
    }
    if row.given.contains("integrating") {
        return Process {
            gain: row.get("K"),
            lags: Vec::new(),
            leads: Vec::new(),
            delay: row.get("θ"),
            integrating: true,
        };
    }
    first_order(row).into()
}

fn margins_of(row: &Row) -> Margins {
    let controller = match row.text("terms") {
        text if text.starts_with("series") => {
            let (gain, integral, derivative) = series(row);
            Controller::Series {
                gain,
                integral,
                derivative,
                filter: derivative * 0.01,
            }
        }
        "given" => Pid::pi(row.get("Kc"), row.get("Ti")).into(),
        _ => rule(row).into(),
    };
    margins(&process(row), controller)
}

fn loops() -> Vec<Spec> {
    vec![
        by_text::<TemperatureCoefficient>(&ULTIMATE, |row| {
            ultimate(&process(row))
                .expect("an oscillating process")
                .gain
                .base()
        }),
        by_text::<Time>(&ULTIMATE, |row| {
            ultimate(&process(row))
                .expect("an oscillating process")
                .period
                .base()
        }),
        by_text::<Ratio>(&SENSITIVITY_PEAK, |row| margins_of(row).sensitivity_peak.base()),
        by_text::<Ratio>(&GAIN_MARGIN, |row| margins_of(row).gain_margin.base()),
        by_text::<Angle>(&PHASE_MARGIN, |row| margins_of(row).phase_margin.base()),
        by_text::<TemperatureCoefficient>(&SERIES_TO_IDEAL, |row| ideal(row).gain.base()),
        by_text::<Time>(&SERIES_TO_IDEAL, |row| match row.text("of") {
            "Ti" => ideal(row).integral.expect("an integral term").base(),
            _ => ideal(row).derivative.base(),
        }),
        spec!(RELAY_GAIN => TemperatureCoefficient; d = "d": Ratio in "0.1 .. 1", a = "a": TemperatureInterval in "1 K .. 5 K", e = "e": TemperatureInterval in "0 K .. 0.9 K"; relay_gain(d, a, e)),
        by_text::<TemperatureInterval>(&RELAY_CYCLE, |row| cycle(row).0.base()),
        by_text::<Time>(&RELAY_CYCLE, |row| cycle(row).1.base()),
        by_text::<Ratio>(&OVERSHOOT, |row| {
            let mut setup = Simulation::linear(process(row), rule(row), second(0.001), second(120.0));
            setup.wanted = kelvin(1.0);
            simulate(&setup).expect("a run").overshoot().base()
        }),
        by_text::<TemperatureInterval>(&LOAD_ERROR, |row| {
            let duration: Time = row.get("duration");
            let mut setup = Simulation::linear(process(row), rule(row), second(0.001), duration);
            setup.load = ratio(1.0);
            // Mean times duration is the integral; the rows give the integral for one second of run.
            simulate(&setup).expect("a run").absolute_error().base() * duration.base()
        }),
    ]
}

fn ideal(row: &Row) -> Pid {
    Pid::from_series(row.get("Kc′"), row.get("Ti′"), row.get("Td′"))
}

fn cycle(row: &Row) -> (TemperatureInterval, Time) {
    relay_cycle(first_order(row), row.get("d"), row.get("e")).expect("a relay that swings")
}

fn models() -> Vec<Spec> {
    vec![
        by_text::<Time>(&HALF_RULE, |row| {
            let process = example(row.text("example"), true);
            let (first, second) = (
                process.first_order().expect("lags"),
                process.second_order().expect("lags"),
            );
            match (row.text("order"), row.text("of")) {
                ("1", "θ") => first.delay.base(),
                ("1", _) => first.lag.base(),
                (_, "θ") => second.delay.base(),
                (_, "τ") => second.lag.base(),
                _ => second.second_lag.base(),
            }
        }),
        by_text::<Time>(&TWO_POINTS_SMITH, |row| {
            of_pair(row, two_points_smith(row.get("t₂₈"), row.get("t₆₃")))
        }),
        by_text::<Time>(&TWO_POINTS_SUNDARESAN, |row| {
            of_pair(row, two_points_sundaresan(row.get("t₃₅"), row.get("t₈₅")))
        }),
    ]
}

fn of_pair<Q: Quantity>(row: &Row, pair: (Q, Q)) -> f64 {
    if row.text("of") == "τ" {
        pair.0.base()
    } else {
        pair.1.base()
    }
}
