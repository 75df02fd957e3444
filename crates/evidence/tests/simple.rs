//! Plain questions with invented answers.

use evidence::simple::{
    Colour, FarEnd, Filament, Light, LightAsk, SupplyAsk, Voltage, Warm, WarmthAsk, filament_test,
    light_test, supply_log, warmth_log,
};
use evidence::{Picture, Report, Verdict};
use proptest::prelude::*;
use quantity::Value;
use quantity::si::{ampere, celsius, millimetre, ohm, percent, second, volt, watt};

use crate::coverage::{Noise, assert_covers};

fn look(there: bool, reported: bool) -> Filament {
    Filament {
        there,
        reported,
        remaining_filament: None,
        line: 0,
    }
}

fn looks(count: usize, wrong: usize) -> Vec<Filament> {
    let with = (0..count).map(|k| look(true, k >= wrong));
    with.chain((0..count).map(|_| look(false, false))).collect()
}

#[test]
fn a_switch_is_believed_after_enough_looks() {
    let allowed = percent(10.0);
    let verdict = |looks: &[Filament]| filament_test(looks, allowed, None).unwrap().verdict();
    // Clopper and Pearson: 0 of 36 is at most 9.7 % at 97.5 %, 0 of 35 a little over 10 % at most.
    assert_eq!(verdict(&looks(36, 0)), Verdict::Pass);
    assert_eq!(verdict(&looks(34, 0)), Verdict::Open);
    assert_eq!(verdict(&looks(10, 6)), Verdict::Fail);
    let report = filament_test(&looks(5, 0), allowed, None).unwrap().report();
    assert!(
        report.advice.iter().any(|a| a.sentence.contains("31 more times")),
        "{:?}",
        report.advice
    );
}

/// The picture holds both shares with the bounds of Clopper and Pearson (0 of 36: at most 9.74 %, from memory) against the allowed share.
#[test]
fn the_picture_of_a_switch_holds_both_shares() {
    let report = filament_test(&looks(36, 3), percent(10.0), None)
        .unwrap()
        .report();
    let [Picture::Spans(spans)] = &report.pictures[..] else {
        panic!("{:?}", report.pictures)
    };
    let [alarms, missed] = &spans.rows[..] else {
        panic!()
    };
    assert!(alarms.text.starts_with("3 of 36") && (alarms.ends[1] - 100.0 / 12.0).abs() < 1e-9);
    assert_eq!((alarms.verdict, missed.verdict), (Verdict::Open, Verdict::Pass));
    assert!(
        missed.ends[0] == 0.0 && (missed.ends[2] - 9.74).abs() < 0.01,
        "{missed:?}"
    );
    assert!((spans.limit.as_ref().unwrap().at - 10.0).abs() < 1e-9);
}

/// A cell for each light, by the colour it was told: what it showed in letters, what is wrong marked, what was not tried open.
#[test]
fn the_picture_of_lights_holds_each_of_them() {
    let mut tried = strip(6, |place, told| if place >= 5 { Colour::Off } else { told });
    tried.retain(|light| (light.place, light.told) != (2, Colour::Blue));
    let found = light_test(
        &tried,
        LightAsk {
            lights: Some(7),
            far_end: None,
        },
    )
    .unwrap()
    .report();
    let [Picture::Cells(cells)] = &found.pictures[..] else {
        panic!("{:?}", found.pictures)
    };
    assert_eq!(cells.groups.len(), 4);
    let seen: Vec<(&str, Option<bool>)> = cells.groups[2]
        .cells
        .iter()
        .map(|c| (c.text.as_str(), c.right))
        .collect();
    let (blue, dark, open) = (("BU", Some(true)), ("–", Some(false)), ("", None));
    assert_eq!(seen, [blue, open, blue, blue, dark, dark, open]);
    assert_eq!(
        cells.groups[3].name,
        "told white: 2 of 6 wrong, the first is number 5"
    );
    // Neighbours of a long strip share a cell, and the one wrong light of 1000 is seen.
    let long = lights(
        1000,
        |place, told| if place == 777 { Colour::Other } else { told },
    );
    let [Picture::Cells(cells)] = &long.pictures[..] else {
        panic!()
    };
    let wrong = cells.groups[0]
        .cells
        .iter()
        .filter(|cell| cell.right == Some(false))
        .count();
    assert!(wrong == 1 && cells.groups[0].cells.len() <= 120);
}

#[test]
fn a_switch_the_wrong_way_round_is_recognised() {
    let all: Vec<Filament> = (0..10).map(|k| look(k % 2 == 0, k % 2 == 1)).collect();
    let report = filament_test(&all, percent(5.0), None).unwrap().report();
    assert!(report.sentence.contains("wrong way round") && report.verdict == Verdict::Fail);
    let one_state: Vec<Filament> = (0..10).map(|_| look(true, true)).collect();
    assert!(
        filament_test(&one_state, percent(5.0), None)
            .unwrap_err()
            .problem
            .contains("one state")
    );
}

#[test]
fn a_late_switch_fails_by_its_run_on() {
    let mut all = looks(80, 0);
    all[100].remaining_filament = Some(millimetre(130.0));
    let found = filament_test(&all, percent(5.0), Some(millimetre(120.0))).unwrap();
    assert_eq!(found.verdict(), Verdict::Fail);
    assert!(found.report().sentence.contains("130 mm"));
}

fn strip(count: u32, shown: impl Fn(u32, Colour) -> Colour) -> Vec<Light> {
    let told = [Colour::Red, Colour::Green, Colour::Blue, Colour::White];
    let light = |place: u32| {
        told.map(|told| Light {
            place,
            told,
            shown: shown(place, told),
            line: 0,
        })
    };
    (1..=count).flat_map(light).collect()
}

fn lights(count: u32, shown: impl Fn(u32, Colour) -> Colour) -> Report {
    light_test(&strip(count, shown), LightAsk::default())
        .unwrap()
        .report()
}

#[test]
fn one_wrong_light_is_one_and_no_share() {
    let one = lights(8, |place, told| if place == 8 { Colour::Off } else { told });
    let wrong = one.figures.iter().find(|figure| figure.id == "wrong");
    assert_eq!(wrong.map(evidence::Figure::shown).as_deref(), Some("1"));
    let json = serde_json::to_value(wrong).unwrap();
    assert_eq!(
        (&json["value"]["text"], &json["bare"]),
        (&"1".into(), &true.into())
    );
}

#[test]
fn lights_tell_what_is_wrong_with_them() {
    let right = lights(8, |_, told| told);
    assert_eq!(right.verdict, Verdict::Pass);
    let cut = lights(8, |place, told| if place >= 5 { Colour::Off } else { told });
    assert!(cut.sentence.contains("up to number 4"), "{}", cut.sentence);
    let exchanged = lights(8, |_, told| match told {
        Colour::Red => Colour::Green,
        Colour::Green => Colour::Red,
        other => other,
    });
    assert!(
        exchanged.sentence.starts_with("Red and green are interchanged"),
        "{}",
        exchanged.sentence
    );
    let fading = lights(8, |place, told| {
        if place >= 6 && told == Colour::White {
            Colour::Other
        } else {
            told
        }
    });
    assert!(
        fading.sentence.contains("white is wrong from light 6"),
        "{}",
        fading.sentence
    );
    assert!(
        lights(3, |_, _| Colour::Off)
            .sentence
            .starts_with("None of the 3")
    );
    let alone = lights(8, |place, told| if place == 3 { Colour::Off } else { told });
    assert!(alone.sentence.contains("Light 3 alone"), "{}", alone.sentence);
    let turned = lights(8, |_, told| match told {
        Colour::Red => Colour::Green,
        Colour::Green => Colour::Blue,
        Colour::Blue => Colour::Red,
        other => other,
    });
    assert!(
        turned.sentence.contains("stand for one another"),
        "{}",
        turned.sentence
    );
    let here_and_there = lights(8, |place, told| {
        if [3, 6].contains(&place) {
            Colour::Other
        } else {
            told
        }
    });
    assert!(
        here_and_there.sentence.contains("without a pattern"),
        "{}",
        here_and_there.sentence
    );
    assert!(light_test(&[], LightAsk::default()).is_err());
    // What the plan finds at the far end parts a sagging strip from a bad joint.
    let white_fades = |has: f64| {
        let fading = strip(8, |place, told| match told {
            Colour::White if place >= 6 => Colour::Other,
            _ => told,
        });
        let far_end = FarEnd {
            has: volt(has),
            needs: volt(4.5),
        };
        let ask = LightAsk {
            lights: Some(8),
            far_end: Some(far_end),
        };
        light_test(&fading, ask).unwrap().report().advice[0]
            .sentence
            .clone()
    };
    assert!(
        white_fades(4.0).contains("as little as 4 V"),
        "{}",
        white_fades(4.0)
    );
    assert!(
        white_fades(4.8).contains("in a joint or a plug"),
        "{}",
        white_fades(4.8)
    );
    assert_eq!(Colour::of_word(" Red "), Some(Colour::Red));
    assert_eq!(Colour::of_word("pink"), None);
}

/// 24.1 V behind 0.05 Ω.
fn sag(noise: &mut Noise) -> Vec<Voltage> {
    (0..30)
        .map(|k| {
            let current = if k % 3 == 0 { 2.0 } else { 14.0 + noise.normal(0.5) };
            Voltage {
                time: second(f64::from(k)),
                voltage: volt(24.1 - 0.05 * current + noise.normal(0.02)),
                current: Some(ampere(current)),
                line: 0,
            }
        })
        .collect()
}

fn supply_ask(lowest: f64) -> SupplyAsk {
    SupplyAsk {
        most: None,
        joint_heat: watt(3.0),
        of: [None, None],
        lowest: volt(lowest),
        highest: volt(25.5),
        meter: percent(0.5),
    }
}

#[test]
fn the_supply_is_judged_with_its_meter() {
    let readings = sag(&mut Noise::seeded(1));
    let verdict = |lowest: f64| supply_log(&readings, supply_ask(lowest)).unwrap().verdict();
    assert_eq!(verdict(22.8), Verdict::Pass);
    assert_eq!(verdict(23.3), Verdict::Open);
    assert_eq!(verdict(24.0), Verdict::Fail);
    let without: Vec<Voltage> = readings.iter().map(|r| Voltage { current: None, ..*r }).collect();
    assert!(
        supply_log(&without, supply_ask(22.8))
            .unwrap()
            .resistance
            .is_none()
    );
    assert!(supply_log(&readings[..2], supply_ask(22.8)).is_err());
    assert!(supply_log(&readings, supply_ask(26.0)).is_err());
}

/// A motor bound for 70 °C from 25 °C with a time constant of 20 min, a reading each half minute.
fn warming(minutes: u32, noise: &mut Noise) -> Vec<Warm> {
    (0..minutes * 2)
        .map(|k| {
            let t = 30.0 * f64::from(k);
            Warm {
                time: second(t),
                temperature: celsius(70.0 - 45.0 * (-t / 1200.0).exp() + noise.normal(0.3)),
                line: u64::from(k) + 2,
            }
        })
        .collect()
}

fn warmth_ask(highest: f64) -> WarmthAsk {
    WarmthAsk {
        what: "motor of Y".into(),
        highest: celsius(highest),
        air: Value::exact(celsius(25.0)),
        air_stated: true,
        hottest_air: celsius(35.0),
        current: Some(ampere(1.0)),
    }
}

/// The exact interval of a share is never less sure than it says, whatever the true share: summed over all outcomes, not drawn.
#[test]
fn shares_of_wrong_words_hold_the_truth() {
    for trials in [10_u32, 60, 150] {
        let found: Vec<_> = (0..=trials)
            .map(|wrong| {
                // As many looks with filament as without, and as many wrong words in each.
                let looks = (0..2 * trials).map(|at| (at % 2 == 0, at / 2 < wrong));
                let looks: Vec<Filament> = looks.map(|(there, wrong)| look(there, there != wrong)).collect();
                filament_test(&looks, percent(5.0), None).unwrap()
            })
            .collect();
        for share in [0.002, 0.01, 0.06, 0.2, 0.5] {
            let mut chance = (1.0_f64 - share).powi(trials.cast_signed());
            let (mut alarms, mut missed) = (0.0, 0.0);
            for (wrong, found) in (0..=trials).zip(&found) {
                alarms += if found.false_alarms.holds(share) {
                    chance
                } else {
                    0.0
                };
                missed += if found.missed.holds(share) { chance } else { 0.0 };
                chance *= f64::from(trials - wrong) / f64::from(wrong + 1) * share / (1.0 - share);
            }
            assert!(
                alarms >= 0.95 && missed >= 0.95,
                "{trials} looks, {share}: {alarms}, {missed}"
            );
        }
    }
}

#[test]
fn intervals_hold_the_truth() {
    assert_covers(|noise| {
        let supply = supply_log(&sag(noise), supply_ask(20.0)).unwrap();
        let warm = warmth_log(&warming(40, noise), warmth_ask(100.0)).unwrap();
        // Readings that stray together, as by a draught: each keeps four fifths of the stray before.
        let mut stray = 0.0;
        let together: Vec<Warm> = warming(60, noise)
            .into_iter()
            .map(|reading| {
                stray = 0.8 * stray + noise.normal(0.15);
                Warm {
                    temperature: celsius(reading.temperature.value - 273.15 + stray),
                    ..reading
                }
            })
            .collect();
        let together = warmth_log(&together, warmth_ask(100.0)).unwrap();
        vec![
            (
                "end of a log that strays together",
                together.end.holds(70.0 + 273.15),
            ),
            ("resistance", supply.resistance.unwrap().holds(0.05)),
            ("voltage without load", supply.unloaded.unwrap().holds(24.1)),
            ("end", warm.end.holds(70.0 + 273.15)),
            ("end in the hottest air", warm.end_at_hottest.holds(80.0 + 273.15)),
            ("time constant", warm.time_constant.holds(1200.0)),
        ]
    });
}

#[test]
fn a_motor_is_judged_for_the_hottest_day() {
    let log = |minutes: u32, highest: f64| {
        warmth_log(&warming(minutes, &mut Noise::seeded(2)), warmth_ask(highest))
            .unwrap()
            .report()
    };
    assert_eq!(log(45, 90.0).verdict, Verdict::Pass);
    let hot = log(45, 70.0);
    assert_eq!(hot.verdict, Verdict::Fail);
    // A rise of 45 K at 1 A, 35 K allowed: √(35/45) = 0.88 A.
    assert!(
        hot.advice[0].sentence.contains("about 88"),
        "{}",
        hot.advice[0].sentence
    );
    let short = log(8, 90.0);
    assert_eq!(short.verdict, Verdict::Open, "{}", short.sentence);
    assert!(short.sentence.contains("too short"));
    let mut back = warming(10, &mut Noise::seeded(3));
    back[7].time = second(0.0);
    assert!(
        warmth_log(&back, warmth_ask(90.0))
            .unwrap_err()
            .problem
            .contains("line 9")
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Any strip of lights gets an answer, and is wrong exactly where one light is.
    #[test]
    fn any_strip_is_answered(rows in prop::collection::vec((1_u32..9, 0_usize..6, 0_usize..6), 1..40)) {
        let colours = [Colour::Red, Colour::Green, Colour::Blue, Colour::White, Colour::Off, Colour::Other];
        let tried: Vec<Light> = rows
            .iter()
            .map(|(place, told, shown)| Light { place: *place, told: colours[*told], shown: colours[*shown], line: 1 })
            .collect();
        let found = light_test(&tried, LightAsk::default());
        // Refused where only darkness was asked for, and nowhere else.
        prop_assert_eq!(found.is_err(), tried.iter().all(|l| l.told == Colour::Off));
        let Ok(found) = found else { return Ok(()) };
        let report = found.report();
        prop_assert_eq!(report.verdict == Verdict::Pass, tried.iter().all(|l| l.told == l.shown));
    }
}

/// A current clamp that scatters by half an ampere flattens the line: its interval spans what either scatter may have done, and holds the
/// truth at least as often as it says.
#[test]
fn a_rough_current_does_not_hide_a_resistance() {
    let held = (0..200).filter(|seed| {
        let mut noise = Noise::seeded(*seed);
        let rough: Vec<Voltage> = sag(&mut noise)
            .into_iter()
            .map(|reading| Voltage {
                current: reading.current.map(|current| current + ampere(noise.normal(0.5))),
                ..reading
            })
            .collect();
        let found = supply_log(&rough, supply_ask(20.0)).unwrap();
        found.resistance.unwrap().holds(0.05)
    });
    assert!(held.count() >= 190);
}

/// 50 mΩ lie before the meter: right where the plan knows of 60 mΩ, a bad joint where it knows of 30 mΩ. At the 15 A or so of the log the 20 mΩ
/// too much turn `I² R`, some 4 W, into heat.
#[test]
fn a_bad_joint_fails_though_the_voltage_holds() {
    let readings = sag(&mut Noise::seeded(1));
    let with = |most: f64| {
        let ask = SupplyAsk {
            most: Some(ohm(most)),
            ..supply_ask(22.8)
        };
        supply_log(&readings, ask).unwrap().report()
    };
    assert_eq!(with(0.06).verdict, Verdict::Pass);
    let hint = with(0.04);
    assert_eq!(hint.verdict, Verdict::Pass);
    assert!(hint.advice[0].sentence.starts_with("Tighten the screws"));
    let bad = with(0.03);
    assert_eq!(bad.verdict, Verdict::Fail);
    assert!(
        bad.sentence.contains("within") && bad.sentence.contains("bad joint"),
        "{}",
        bad.sentence
    );
    assert!(
        bad.advice
            .iter()
            .any(|advice| advice.sentence.contains("someone qualified"))
    );
}

/// The room's temperature stands in for an air that nobody wrote down, with its tolerance, and the report says so.
#[test]
fn air_that_is_not_stated_widens_the_end() {
    let readings = warming(60, &mut Noise::seeded(4));
    let with = |air: Value<quantity::si::ThermodynamicTemperature>, air_stated: bool| {
        let ask = WarmthAsk {
            air,
            air_stated,
            ..warmth_ask(100.0)
        };
        warmth_log(&readings, ask).unwrap()
    };
    let exact = with(Value::exact(celsius(25.0)), true);
    let room = with(Value::between(celsius(21.0), celsius(25.0), celsius(29.0)), false);
    let (narrow, wide) = (exact.end_at_hottest, room.end_at_hottest);
    assert!((wide.high - narrow.high - 4.0).abs() < 1e-9 && (narrow.low - wide.low - 4.0).abs() < 1e-9);
    let told = room.report().troubles;
    assert!(told.iter().any(|trouble| trouble.what.contains("state `air`")));
    assert!(exact.report().troubles.is_empty());
}

/// A log at ten readings a second in which the voltage drops; the current follows as told.
fn with_dropouts(drops: &[(usize, usize, f64)], current: Option<f64>) -> Vec<Voltage> {
    let is_low = |at: usize| {
        drops
            .iter()
            .find(|(from, count, _)| (*from..from + count).contains(&at))
    };
    let reading = |at: usize| Voltage {
        time: second(at as f64 / 10.0),
        voltage: volt(is_low(at).map_or(24.0, |drop| drop.2)),
        current: current.map(|then| ampere(if is_low(at).is_some() { then } else { 5.0 })),
        line: at as u64 + 1,
    };
    (0..600).map(reading).collect()
}

#[test]
fn a_dropout_is_named_with_its_depth_and_length() {
    let said = |readings: &[Voltage]| {
        let report = supply_log(readings, supply_ask(22.0)).unwrap().report();
        let advice: Vec<String> = report.advice.iter().map(|own| own.sentence.clone()).collect();
        (report.sentence, advice.join(" "))
    };
    let (sentence, advice) = said(&with_dropouts(&[(200, 5, 17.0)], Some(14.0)));
    assert!(
        sentence.contains("it dropped to 17 V for 400 ms to 600 ms, at 20 s"),
        "{sentence}"
    );
    assert!(advice.contains("overloaded"), "{advice}");
    let (_, advice) = said(&with_dropouts(&[(200, 5, 17.0)], Some(0.1)));
    assert!(advice.contains("feed was interrupted"), "{advice}");
    let (sentence, advice) = said(&with_dropouts(&[(50, 1, 19.0), (200, 1, 16.0)], None));
    assert!(
        sentence.contains("it dropped 2 times, at the lowest to 16 V for at most 200 ms, at 20 s"),
        "{sentence}"
    );
    assert!(
        advice.contains("Log the current too") && advice.contains("every 10 ms"),
        "{advice}"
    );
}

#[test]
fn what_stays_low_is_no_dropout() {
    let dropouts = |drops: &[(usize, usize, f64)]| {
        let found = supply_log(&with_dropouts(drops, None), supply_ask(22.0)).unwrap();
        found.dropouts.len()
    };
    assert_eq!(dropouts(&[]), 0);
    assert_eq!(dropouts(&[(500, 100, 17.0)]), 0, "to the end");
    assert_eq!(dropouts(&[(0, 100, 17.0)]), 0, "from the beginning");
    assert_eq!(dropouts(&[(100, 400, 17.0)]), 0, "most of the time");
    // Within the accuracy of the meter it is not shown.
    assert_eq!(dropouts(&[(100, 5, 21.95)]), 0);
    assert_eq!(dropouts(&[(100, 5, 21.8), (300, 1, 21.0)]), 2);
    // The clock starts anew in the middle of a drop: how long it was nobody knows.
    let mut readings = with_dropouts(&[(300, 10, 17.0)], None);
    for (at, reading) in readings.iter_mut().enumerate().skip(305) {
        reading.time = second((at - 305) as f64 / 10.0);
    }
    assert!(
        supply_log(&readings, supply_ask(22.0))
            .unwrap()
            .dropouts
            .is_empty()
    );
}

#[test]
fn a_gap_leaves_a_good_supply_open() {
    let mut readings = with_dropouts(&[], None);
    assert_eq!(
        supply_log(&readings, supply_ask(22.0)).unwrap().verdict(),
        Verdict::Pass
    );
    readings.drain(200..210);
    let found = supply_log(&readings, supply_ask(22.0)).unwrap();
    assert_eq!(found.verdict(), Verdict::Open);
    let report = found.report();
    assert!(
        report.sentence.contains("not for 1.1 s from 19.9 s on"),
        "{}",
        report.sentence
    );
    assert!(
        report
            .advice
            .iter()
            .any(|own| own.sentence.contains("without a gap"))
    );
    // What failed is not better for a gap.
    let mut readings = with_dropouts(&[(100, 5, 17.0)], None);
    readings.drain(200..210);
    assert_eq!(
        supply_log(&readings, supply_ask(22.0)).unwrap().verdict(),
        Verdict::Fail
    );
}
