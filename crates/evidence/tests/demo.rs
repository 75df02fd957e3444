//! The invented measurements of the demonstration: up to date, and understood as what they are.

#[path = "../examples/invent_bench/truth.rs"]
mod truth;

use std::path::Path;

use evidence::calibration::{AxisAsk, Drive, ExtruderAsk, FlowAsk, axes, extruder, flow, pressure};
use evidence::height_map::{Ask, height_map};
use evidence::simple::{LightAsk, SupplyAsk, WarmthAsk, filament_test, light_test, supply_log, warmth_log};
use evidence::tables::{self, Scale};
use evidence::{Verdict, read, repeatability, stall};
use quantity::Value;
use quantity::si::{celsius, millimetre, percent, ratio, step_per_millimetre, volt, watt};

/// The file as the demonstration has it; it must be what the generator writes. Run with `UPDATE=1` to write it anew.
fn file(name: &str) -> read::Records {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples/demo/evidence")
        .join(name);
    let (_, fresh) = truth::files().into_iter().find(|(own, _)| *own == name).unwrap();
    if std::env::var_os("UPDATE").is_some() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, &fresh).unwrap();
    }
    let text = std::fs::read_to_string(&path).unwrap();
    assert!(text == fresh, "{name} is stale: `cargo xtask invent`");
    assert!(text.starts_with("# ") && text.contains("Invented"));
    let table = read::table(text.as_bytes()).unwrap();
    assert_eq!(table.troubles, [], "{name}");
    table
}

#[test]
fn the_bed() {
    let (touches, troubles) = tables::touches(&file("height-map.csv")).unwrap();
    assert_eq!((touches.len(), troubles.len()), (147, 0));
    let ask = Ask {
        screws: Vec::new(),
        grid: Some([5, 5]),
        layer: millimetre(0.2),
        allowed: millimetre(0.05),
    };
    let found = height_map(&touches, &ask).unwrap();
    assert!(found.level.tilt.right.holds(truth::RISE[0]) && found.level.tilt.back.holds(truth::RISE[1]));
    assert!(found.level.touch_deviation.holds(truth::TOUCH));
    assert_eq!(found.report().verdict, Verdict::Pass);
}

#[test]
fn the_probe() {
    let (trials, _) = tables::repeated(&file("probe.csv"), None).unwrap();
    let ask = repeatability::Ask {
        what: "bed probe".into(),
        reference: None,
        allowed: millimetre(0.05),
        warming: None,
    };
    let gauge = repeatability::repeatability(&trials, &ask)
        .unwrap()
        .gauge
        .unwrap();
    assert!(gauge.repeatability.holds(truth::PROBE[0]));
    let single = truth::PROBE.iter().map(|s| s * s).sum::<f64>().sqrt();
    assert!(gauge.single.holds(single), "{gauge:?}");
}

#[test]
fn the_stall_threshold() {
    let (trials, _) = tables::stalls(&file("stall-x.csv"), Some("X")).unwrap();
    let found = &stall::stall_sweep(
        &trials,
        stall::Ask {
            allowed: percent(5.0),
            confidence: percent(95.0),
        },
    )
    .unwrap()[0];
    let stall::Edge::Found { half: touchy, .. } = found.groups[0].touchy else {
        panic!()
    };
    let stall::Edge::Found { half: numb, .. } = found.groups[0].numb else {
        panic!()
    };
    assert!(
        touchy.holds(truth::STALL[0]) && numb.holds(truth::STALL[1]),
        "{touchy:?} {numb:?}"
    );
    let middle = f64::midpoint(truth::STALL[0], truth::STALL[1]);
    assert!((found.proposed - middle).abs() < 8.0, "{}", found.proposed);
    assert_eq!(found.verdict(), Verdict::Pass);
}

#[test]
fn the_calibrations() {
    let (pulls, _) = tables::pulls(&file("extruder.csv")).unwrap();
    let ask = ExtruderAsk {
        steps: Some(step_per_millimetre(418.0)),
        allowed: percent(1.0),
    };
    let fed = extruder(&pulls, ask).unwrap();
    assert!(fed.feed.holds(truth::FEED[0]) && fed.offset.unwrap().holds(truth::FEED[1]));
    assert_eq!(fed.verdict(), Verdict::Fail);

    let (prints, _) = tables::prints(&file("axes.csv"), None).unwrap();
    let ask = AxisAsk {
        drive: Drive::Own,
        steps: Vec::new(),
        shrinkage: Value::exact(percent(100.0 * truth::TRAVEL[2])),
        allowed: percent(0.2),
    };
    for (axis, travel) in axes(&prints, &ask).unwrap().iter().zip(truth::TRAVEL) {
        assert!(axis.travel.holds(travel), "{}", axis.axis);
    }

    let (corners, _) = tables::corners(&file("pressure.csv")).unwrap();
    assert!(
        pressure(&corners)
            .unwrap()
            .best
            .unwrap()
            .holds(truth::COMPENSATION)
    );

    let (walls, _) = tables::walls(&file("flow.csv")).unwrap();
    let ask = FlowAsk {
        flow: ratio(1.0),
        allowed: percent(3.0),
    };
    assert!(flow(&walls, ask).unwrap().width.holds(truth::WALLS));
}

#[test]
fn the_plain_questions() {
    let (looks, _) = tables::filament(&file("filament.csv")).unwrap();
    assert_eq!(
        filament_test(&looks, percent(5.0), None).unwrap().verdict(),
        Verdict::Pass
    );

    let (lights, _) = tables::lights(&file("lights.csv")).unwrap();
    assert!(
        light_test(&lights, LightAsk::default())
            .unwrap()
            .report()
            .sentence
            .contains("up to number 8")
    );

    let (readings, _) = tables::voltages(&file("supply.csv"), None).unwrap();
    let ask = SupplyAsk {
        most: None,
        joint_heat: watt(3.0),
        of: [None, None],
        lowest: volt(22.8),
        highest: volt(25.2),
        meter: percent(1.0),
    };
    let found = supply_log(&readings, ask).unwrap();
    assert!(
        found.resistance.unwrap().holds(truth::SUPPLY[0]) && found.unloaded.unwrap().holds(truth::SUPPLY[1])
    );
    assert_eq!(found.verdict(), Verdict::Pass);

    let (readings, _) = tables::warmth(&file("motor-y.csv"), None, Some(Scale::Celsius)).unwrap();
    let ask = WarmthAsk {
        what: "motor of Y".into(),
        highest: celsius(80.0),
        air: Value::exact(celsius(23.0)),
        air_stated: true,
        hottest_air: celsius(26.0),
        current: None,
    };
    let found = warmth_log(&readings, ask).unwrap();
    assert!(
        found.end.holds(truth::MOTOR[0] + 273.15) && found.time_constant.holds(truth::MOTOR[1]),
        "{found:?}"
    );
    assert_eq!(found.verdict(), Verdict::Pass);
}

/// Broken files: bytes exchanged, lines cut, doubled or emptied. Each gets an answer or a reason, and no row goes missing unsaid.
#[test]
fn mutated_files_get_an_answer_or_a_reason() {
    let mut state = 1_u64;
    let mut random = |below: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % below.max(1)
    };
    for (name, text) in truth::files() {
        let mut answered = 0;
        for _ in 0..60 {
            let mut bytes = text.clone().into_bytes();
            // A short piece of the file: mutations then meet numbers and words, and each run is quick.
            bytes.truncate(400 + random(800));
            for _ in 0..=random(6) {
                let at = random(bytes.len());
                match random(5) {
                    0 => bytes[at] = b",;.-x\n\t \"'e9"[random(12)],
                    1 => bytes.truncate(at.max(1)),
                    2 => {
                        let piece: Vec<u8> = bytes[at..(at + 30).min(bytes.len())].to_vec();
                        bytes.splice(at..at, piece);
                    }
                    3 => {
                        bytes.drain(at..(at + 8).min(bytes.len()));
                    }
                    _ => bytes[at] = random(256) as u8,
                }
                if bytes.is_empty() {
                    bytes.push(b'\n');
                }
            }
            answered += usize::from(answer(name, &bytes));
        }
        // A refusal is an answer, too; but most of what was only scratched is read.
        assert!(answered >= 20, "{name}: {answered} of 60 read");
    }
}

/// Whether the table and its trials could be read.
fn answer(name: &str, bytes: &[u8]) -> bool {
    let Ok(table) = read::table(bytes) else {
        return false;
    };
    let rows = table.rows().len();
    let told = |used: usize, troubles: &[evidence::Trouble]| {
        let lines: u64 = troubles.iter().map(|t| t.count).sum();
        assert!(
            used + lines as usize >= rows,
            "{name}: {used} used and {lines} told of {rows}"
        );
    };
    let length = millimetre(0.05);
    match name {
        "height-map.csv" => {
            let Ok((touches, troubles)) = tables::touches(&table) else {
                return false;
            };
            told(touches.len(), &troubles);
            let ask = Ask {
                screws: Vec::new(),
                grid: Some([3, 4]),
                layer: millimetre(0.2),
                allowed: length,
            };
            let _ = height_map(&touches, &ask).map(|found| found.report());
        }
        "probe.csv" => {
            let Ok((trials, troubles)) = tables::repeated(&table, None) else {
                return false;
            };
            told(trials.len(), &troubles);
            let ask = repeatability::Ask {
                what: "probe".into(),
                reference: None,
                allowed: length,
                warming: None,
            };
            let _ = repeatability::repeatability(&trials, &ask).map(|found| found.report());
        }
        "stall-x.csv" => {
            let Ok((trials, troubles)) = tables::stalls(&table, Some("X")) else {
                return false;
            };
            told(trials.len(), &troubles);
            let ask = stall::Ask {
                allowed: percent(5.0),
                confidence: percent(95.0),
            };
            let _ = stall::stall_sweep(&trials, ask)
                .map(|found| found.iter().map(stall::StallThresholdTest::report).count());
        }
        "extruder.csv" => {
            let Ok((pulls, troubles)) = tables::pulls(&table) else {
                return false;
            };
            told(pulls.len(), &troubles);
            let ask = ExtruderAsk {
                steps: None,
                allowed: percent(1.0),
            };
            let _ = extruder(&pulls, ask).map(|found| found.report());
        }
        "axes.csv" => {
            let Ok((prints, troubles)) = tables::prints(&table, None) else {
                return false;
            };
            told(prints.len(), &troubles);
            let ask = AxisAsk {
                drive: Drive::Own,
                steps: Vec::new(),
                shrinkage: Value::exact(percent(0.3)),
                allowed: percent(0.2),
            };
            let _ = axes(&prints, &ask).map(|found| {
                let reports = found.iter().map(evidence::calibration::AxisCalibration::report);
                reports.count()
            });
        }
        "pressure.csv" => {
            let Ok((corners, troubles)) = tables::corners(&table) else {
                return false;
            };
            told(corners.len(), &troubles);
            let _ = pressure(&corners).map(|found| found.report());
        }
        "flow.csv" => {
            let Ok((walls, troubles)) = tables::walls(&table) else {
                return false;
            };
            told(walls.len(), &troubles);
            let _ = flow(
                &walls,
                FlowAsk {
                    flow: ratio(1.0),
                    allowed: percent(3.0),
                },
            )
            .map(|found| found.report());
        }
        "filament.csv" => {
            let Ok((looks, troubles)) = tables::filament(&table) else {
                return false;
            };
            told(looks.len(), &troubles);
            let _ = filament_test(&looks, percent(5.0), None).map(|found| found.report());
        }
        "lights.csv" => {
            let Ok((lights, troubles)) = tables::lights(&table) else {
                return false;
            };
            told(lights.len(), &troubles);
            let _ = light_test(&lights, LightAsk::default()).map(|found| found.report());
        }
        "supply.csv" => {
            let Ok((readings, troubles)) = tables::voltages(&table, None) else {
                return false;
            };
            told(readings.len(), &troubles);
            let ask = SupplyAsk {
                most: None,
                joint_heat: watt(3.0),
                of: [None, None],
                lowest: volt(22.8),
                highest: volt(25.2),
                meter: percent(1.0),
            };
            let _ = supply_log(&readings, ask).map(|found| found.report());
        }
        _ => {
            let Ok((readings, troubles)) = tables::warmth(&table, None, Some(Scale::Celsius)) else {
                return false;
            };
            told(readings.len(), &troubles);
            let ask = WarmthAsk {
                what: "motor".into(),
                highest: celsius(80.0),
                air: Value::exact(celsius(23.0)),
                air_stated: true,
                hottest_air: celsius(26.0),
                current: None,
            };
            let _ = warmth_log(&readings, ask).map(|found| found.report());
        }
    }
    true
}
