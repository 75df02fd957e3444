//! Temperature logs of known truth: the rate at which intervals hold it, the causes of a swing, hostile files.

use evidence::read::log::read;
use evidence::read::{Log, WhatIsKnown};
use evidence::temperature::invent::{Truth, log};
use evidence::temperature::swing::{Cause, NoiseFrom};
use evidence::temperature::{Analysis, Ask, Phase, Process, analyse};
use quantity::si::{celsius, hertz, kelvin, per_kelvin, second};
use quantity::{Number, Value};

#[path = "../examples/invent/truth.rs"]
mod truth;

fn ask() -> Ask {
    Ask {
        name: "hot end".to_owned(),
        ambient: celsius(22.0),
        within: kelvin(1.0),
        pulses: None,
    }
}

fn read_log(text: &str) -> Log {
    read(text.as_bytes(), WhatIsKnown::default()).unwrap()
}

fn analysed(truth: &Truth) -> Analysis {
    let log = read_log(&log(truth).text("a test"));
    analyse(&log, &log.channels[0], ask()).unwrap()
}

fn share(analysis: &Analysis, cause: Cause) -> f64 {
    let swing = analysis.swing.as_ref().unwrap();
    swing.part(cause).map_or(0.0, |part| part.share.base())
}

fn size(analysis: &Analysis, cause: Cause) -> f64 {
    let swing = analysis.swing.as_ref().unwrap();
    swing.part(cause).map_or(0.0, |part| part.size.base())
}

/// The rate that the issue states: 95 % intervals hold the truth in 91 to 98 % of 200 logs.
#[test]
fn intervals_hold_the_truth_as_often_as_they_say() {
    const SEEDS: u64 = 200;
    let mut held = [0_u32; 5];
    let mut false_lines = 0;
    for seed in 0..SEEDS {
        let truth = Truth::hot_end(seed);
        let analysis = analysed(&truth);
        let process = analysis.process.as_ref().unwrap();
        let swing = analysis.swing.as_ref().unwrap();
        fn holds<Q: Number + PartialOrd>(value: &Value<Q>, truth: Q) -> u32 {
            u32::from(value.low() <= truth && truth <= value.high())
        }
        held[0] += holds(&process.gain, truth.gain);
        held[1] += holds(&process.lag, truth.lag);
        held[2] += process.second_lag.map_or(0, |lag| holds(&lag, truth.second_lag));
        held[3] += holds(&process.delay, truth.delay);
        held[4] += holds(&swing.noise, truth.noise);
        false_lines += u32::from(!swing.lines.is_empty());
    }
    assert!(false_lines <= 6, "pick-up in {false_lines} logs that have none");
    for (what, held) in ["gain", "lag", "second lag", "delay", "noise"].iter().zip(held) {
        let rate = f64::from(held) / SEEDS as f64;
        assert!(
            (0.91..=0.98).contains(&rate),
            "{what}: {rate} ({held:?} of {SEEDS})"
        );
    }
}

/// The band foretold for a controller is the figure that the log's own swing is told by: the loop of the log, run by a calm rule again, has it.
#[test]
fn the_band_that_is_foretold_means_what_the_measured_one_means() {
    let truth = Truth::hot_end(9);
    let analysis = analysed(&truth);
    let proposals = analysis.proposals();
    let calm = proposals.iter().find(|proposal| proposal.outcome.chosen).unwrap();
    // The same machine under the proposed settings, logged: its measured band is near the one foretold, and not that of the temperature.
    let pid = &calm.outcome.pid;
    let again = analysed(&Truth {
        pid: (pid.gain, pid.integral.unwrap(), pid.derivative),
        ..Truth::hot_end(10)
    });
    let measured = again.swing.unwrap().width.nominal().base();
    assert!(
        (calm.width.unwrap().base() / measured - 1.0).abs() < 0.15,
        "{} of {measured}",
        calm.width.unwrap().base()
    );
    assert!(calm.outcome.nominal.swing.base() < 0.6 * measured, "{calm:?}");
    // Pick-up is a sine, whose band is narrower than that of noise of its size: no controller changes it, and none is foretold to.
    let analysis = analysed(&Truth {
        pick_up: (kelvin(0.6), hertz(0.37)),
        ..truth
    });
    let measured = analysis.swing.as_ref().unwrap().width.nominal().base();
    let proposals = analysis.proposals();
    let calm = proposals.iter().find(|proposal| proposal.outcome.chosen).unwrap();
    assert!(
        (calm.width.unwrap().base() / measured - 1.0).abs() < 0.1,
        "{} of {measured}",
        calm.width.unwrap().base()
    );
    let report = analysis.report();
    let table = report.tables.last().unwrap();
    assert!(
        table
            .columns
            .iter()
            .any(|own| own == "99 % of the readings, width, K"),
        "{:?}",
        table.columns
    );
    assert!(
        !table.columns.iter().any(|own| own == "swing, K"),
        "{:?}",
        table.columns
    );
}

/// A log of a night: blocks over all of it would be longer than the dead time. The heat-up is looked at sample by sample.
#[test]
fn a_long_log_is_identified_where_it_heats() {
    let mut sums = [0_u32; 4];
    let mut overshoots = 0;
    for seed in 0..40 {
        let truth = Truth::hot_end(seed);
        let short = text_of(
            &truth,
            "time,temperature,target,duty",
            |_, [time, reading, target, duty]| format!("{time},{reading:.3},{target},{duty:.4}\n"),
        );
        // The soak goes on for twelve hours, as it was.
        let rows: Vec<&str> = short.lines().skip(800).collect();
        let mut long = short.clone();
        let mut at = short.lines().count() - 1;
        while at < 12 * 7_200 {
            for row in &rows {
                let values = row.split_once(',').unwrap().1;
                long += &format!("{},{values}\n", at as f64 * 0.5);
                at += 1;
            }
        }
        let (of_short, of_long) = (analysed_text(&short, ask()), analysed_text(&long, ask()));
        let process = of_long.process.as_ref().unwrap();
        for (sum, held) in sums.iter_mut().zip(held(process, &truth)) {
            *sum += u32::from(held);
        }
        // The same stretch tells the same.
        let apart = process.delay.nominal().base() - of_short.process.unwrap().delay.nominal().base();
        assert!(apart.abs() < 0.02, "{apart}");
        overshoots += u32::from(of_long.overshoots == of_short.overshoots);
    }
    // 40 intervals of 95 %: fewer than 34 hold in one of two thousand sets (binomial).
    assert!(sums.iter().all(|sum| *sum >= 34), "{sums:?}");
    assert_eq!(overshoots, 40);
}

/// Which of the intervals of a process hold its truth: gain, lag, second lag, dead time.
fn held(process: &Process, truth: &Truth) -> [bool; 4] {
    fn holds<Q: Number + PartialOrd>(value: &Value<Q>, truth: Q) -> bool {
        value.low() <= truth && truth <= value.high()
    }
    [
        holds(&process.gain, truth.gain),
        holds(&process.lag, truth.lag),
        process
            .second_lag
            .is_some_and(|lag| holds(&lag, truth.second_lag)),
        holds(&process.delay, truth.delay),
    ]
}

/// A terminal tells the duty in whole steps, such as 150 for full power. The log's error in its input belongs into the intervals.
#[test]
fn a_rounded_duty_widens_the_intervals_as_it_must() {
    const SEEDS: u32 = 200;
    let mut sums = [0_u32; 4];
    for seed in 0..SEEDS {
        let truth = Truth {
            seed: u64::from(seed),
            ..truth::bed()
        };
        let text = text_of(
            &truth,
            "time,temperature,target,duty",
            |_, [time, reading, target, duty]| {
                format!(
                    "{time},{reading:.2},{target},{:.6}\n",
                    (duty * 150.0).round() / 150.0
                )
            },
        );
        let process = analysed_text(&text, ask()).process.unwrap();
        for (sum, held) in sums.iter_mut().zip(held(&process, &truth)) {
            *sum += u32::from(held);
        }
    }
    for (what, sum) in ["gain", "lag", "second lag", "delay"].iter().zip(sums) {
        let rate = f64::from(sum) / f64::from(SEEDS);
        // On the wide side: what rounding does is counted by itself, and part of it once more among the errors of the power.
        assert!((0.91..=0.99).contains(&rate), "{what}: {rate}");
    }
}

/// The logs of the demonstration are what their generator writes, and their intervals hold the truth behind them: of fifteen intervals of
/// 95 % one misses in every other set of logs, so one may. The seeds are not chosen to please.
#[test]
fn the_logs_of_the_demonstration_hold_their_truth() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/demo/evidence");
    let truths = [
        truth::hot_end_on_the_old_board(),
        truth::hot_end_on_the_new_board(),
        truth::bed(),
    ];
    let mut missed = Vec::new();
    for ((name, fresh), truth) in truth::files().into_iter().zip(truths) {
        let path = folder.join(name);
        if std::env::var_os("UPDATE").is_some() {
            std::fs::write(&path, &fresh).unwrap();
        }
        let text = std::fs::read_to_string(path).unwrap();
        assert!(text == fresh, "{name} is stale: `cargo xtask invent`");
        assert!(text.starts_with("# Invented"));
        // The labels of a terminal that the demonstration's controller writes.
        let known = WhatIsKnown {
            words: evidence::read::Words {
                temperatures: vec!["T".into(), "B".into()],
                duties: vec![("@".into(), "T".into()), ("B@".into(), "B".into())],
            },
            full_duty: Some(truth::FULL_DUTY).filter(|_| name.ends_with(".txt")),
            ..WhatIsKnown::default()
        };
        let log = read(text.as_bytes(), known).unwrap();
        let channel = log.channel("B").or(log.channels.last()).unwrap();
        let analysis = analyse(&log, channel, ask()).unwrap();
        let process = analysis.process.as_ref().unwrap();
        let swing = analysis.swing.as_ref().unwrap();
        let noise = &swing.noise;
        let of_noise = noise.low() <= truth.noise && truth.noise <= noise.high();
        let held = held(process, &truth).into_iter().chain([of_noise]);
        let whats = ["gain", "lag", "second lag", "delay", "noise"];
        missed.extend(
            whats
                .iter()
                .zip(held)
                .filter(|(_, held)| !held)
                .map(|(what, _)| format!("{name}: {what}")),
        );
        let step = swing.step().unwrap();
        assert!(
            (step / truth.step).base() > 0.99 && (step / truth.step).base() < 1.01,
            "{name}: {step:?}"
        );
        let lines: Vec<f64> = swing.lines.iter().map(|line| line.frequency.base()).collect();
        match truth.pick_up.0.base() {
            0.0 => assert_eq!(lines, [] as [f64; 0], "{name}"),
            _ => assert!(
                (lines[0] - truth.pick_up.1.base()).abs() < 0.01,
                "{name}: {lines:?}"
            ),
        }
    }
    assert!(missed.len() <= 1, "{missed:?}");
}

#[test]
fn a_quiet_log_is_told_whole() {
    let mut truth = Truth::hot_end(7);
    truth.durations[2] = second(200.0);
    let analysis = analysed(&truth);
    let phases: Vec<Phase> = analysis.spans.iter().map(|span| span.phase).collect();
    assert_eq!(
        phases,
        [
            Phase::Cold,
            Phase::HeatUp,
            Phase::Approach,
            Phase::Soak,
            Phase::Cooling
        ]
    );
    assert!(
        share(&analysis, Cause::Noise) > 0.8,
        "{:?}",
        analysis.swing.as_ref().unwrap().parts
    );
    assert!(
        analysis
            .proposals()
            .iter()
            .filter(|proposal| proposal.outcome.chosen)
            .count()
            == 1
    );
    let report = analysis.report();
    assert_eq!(report.verdict, evidence::Verdict::Pass, "{}", report.sentence);
    assert!(
        report.sentence.contains("no fault by itself"),
        "{}",
        report.sentence
    );
}

#[test]
fn steps_are_found_and_named() {
    let truth = Truth {
        noise: kelvin(0.26),
        step: kelvin(0.37),
        ..Truth::hot_end(3)
    };
    let analysis = analysed(&truth);
    let step = analysis.swing.as_ref().unwrap().step().unwrap().base();
    assert!((step - 0.37).abs() < 0.002, "{step}");
    let expected = 0.37 / 12.0_f64.sqrt();
    assert!(
        (size(&analysis, Cause::Steps) / expected - 1.0).abs() < 0.05,
        "{:?}",
        analysis.swing.unwrap().parts
    );
    // A loop that keeps between two levels of a coarser step reads the one or the other: what noise and steps make together is what the
    // readings are off the true temperature.
    let truth = Truth {
        noise: kelvin(0.1),
        step: kelvin(0.37),
        ..Truth::hot_end(3)
    };
    let (made, analysis) = (log(&truth), analysed(&truth));
    let swing = analysis.swing.as_ref().unwrap();
    let rows = made.rows.iter().zip(&made.true_celsius);
    let off: Vec<f64> = rows
        .filter(|(row, _)| (swing.start.base()..=swing.end.base()).contains(&row[0]))
        .map(|(row, temperature)| row[1] - temperature)
        .collect();
    let expected = statistics::standard_deviation(&off);
    let both = size(&analysis, Cause::Steps).hypot(size(&analysis, Cause::Noise));
    assert!(
        (both / expected - 1.0).abs() < 0.05,
        "{both} of {expected}: {:?}",
        swing.parts
    );
}

/// Steps that are coarser than the noise: `q²/12` is then not what they add, and the spectrum shows them and not the noise. The noise is
/// told from how readings jump, as often as it says.
#[test]
fn the_noise_is_told_under_coarse_steps() {
    let mut held = 0;
    for seed in 0..200 {
        let analysis = analysed(&Truth {
            noise: kelvin(0.05),
            step: kelvin(0.142),
            ..Truth::hot_end(seed)
        });
        let swing = analysis.swing.unwrap();
        assert_eq!(swing.noise_from, NoiseFrom::Jumps);
        assert!(swing.noise.high() < kelvin(0.06), "{}", swing.noise);
        held += u32::from(swing.noise.low() <= kelvin(0.05) && kelvin(0.05) <= swing.noise.high());
    }
    // 91 to 98 % of 200.
    assert!((182..=196).contains(&held), "{held} of 200");
}

/// A fifth of a step and less: the interval is wide, holds, and the page says why.
#[test]
fn a_step_that_hides_the_noise_is_said_to() {
    for (noise, seeds) in [(0.12, 0..40), (0.05, 40..60)] {
        for seed in seeds {
            let truth = Truth {
                noise: kelvin(noise),
                step: kelvin(0.57),
                ..Truth::hot_end(seed)
            };
            let analysis = analysed(&truth);
            let swing = analysis.swing.as_ref().unwrap();
            assert_eq!(swing.noise_from, NoiseFrom::Hidden);
            assert!(
                swing.noise.low() <= truth.noise && truth.noise <= swing.noise.high(),
                "{}",
                swing.noise
            );
            assert!(swing.noise.high() < kelvin(0.285), "{}", swing.noise);
            let troubles: String = analysis
                .report()
                .troubles
                .iter()
                .map(ToString::to_string)
                .collect();
            assert!(
                troubles.contains("the step of 0.57 K hides the noise"),
                "{troubles}"
            );
            assert_eq!(analysis.swing.unwrap().parts[0].cause, Cause::Steps);
        }
    }
    // Without a duty nobody knows what moved under the steps.
    let truth = Truth {
        noise: kelvin(0.12),
        step: kelvin(0.57),
        ..Truth::hot_end(1)
    };
    let text = text_of(
        &truth,
        "time,temperature,target",
        |_, [time, reading, target, _]| format!("{time},{reading:.3},{target}\n"),
    );
    let swing = analysed_text(&text, ask()).swing.unwrap();
    assert_eq!(swing.noise_from, NoiseFrom::Hidden);
    assert!(
        swing.noise.low() == kelvin(0.0) && swing.noise.high() >= kelvin(0.28),
        "{}",
        swing.noise
    );
}

#[test]
fn a_lively_loop_swings_by_control() {
    // Three times the gain and a short integral: a swing that the tuning makes.
    let truth = Truth {
        noise: kelvin(0.05),
        pid: (per_kelvin(0.12), second(9.0), second(0.0)),
        ..Truth::hot_end(5)
    };
    let made = log(&truth);
    let analysis = analysed(&truth);
    assert!(
        share(&analysis, Cause::Control) > 0.9,
        "{:?}",
        analysis.swing.as_ref().unwrap().parts
    );
    let swing = analysis.swing.as_ref().unwrap();
    let soak: Vec<f64> = made
        .rows
        .iter()
        .zip(&made.true_celsius)
        .filter(|(row, _)| (swing.start.base()..swing.end.base()).contains(&row[0]))
        .map(|(_, temperature)| *temperature)
        .collect();
    let mean = soak.iter().sum::<f64>() / soak.len() as f64;
    let truth = (soak.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / soak.len() as f64).sqrt();
    assert!(
        (size(&analysis, Cause::Control) / truth - 1.0).abs() < 0.1,
        "{truth}"
    );
    let advice = &analysis.report().advice[0];
    assert!(
        advice.helps && advice.sentence.contains("controller settings"),
        "{}",
        advice.sentence
    );
}

#[test]
fn pick_up_is_a_line_at_its_place() {
    let truth = Truth {
        pick_up: (kelvin(0.4), hertz(0.31)),
        ..Truth::hot_end(11)
    };
    let analysis = analysed(&truth);
    let swing = analysis.swing.as_ref().unwrap();
    assert_eq!(swing.lines.len(), 1, "{:?}", swing.lines);
    assert!((swing.lines[0].frequency.base() - 0.31).abs() < 0.01);
    let expected = 0.4 / 2.0_f64.sqrt();
    assert!(
        (size(&analysis, Cause::PickUp) / expected - 1.0).abs() < 0.15,
        "{:?}",
        swing.parts
    );
    assert!(
        (swing.noise.nominal().base() / 0.12 - 1.0).abs() < 0.1,
        "{}",
        swing.noise
    );
}

/// A log as text, with what becomes of each row.
fn text_of(truth: &Truth, head: &str, row: impl Fn(usize, [f64; 4]) -> String) -> String {
    let rows = log(truth).rows;
    let rows = rows.iter().enumerate().map(|(at, own)| row(at, *own));
    std::iter::once(format!("{head}\n")).chain(rows).collect()
}

fn analysed_text(text: &str, ask: Ask) -> Analysis {
    let log = read_log(text);
    analyse(&log, &log.channels[0], ask).unwrap()
}

/// A swing of 20 s or 12 s, as a switch with a dead band makes it, in a log without a duty: nobody can say that the duty did not make it.
#[test]
fn without_a_duty_a_slow_swing_is_not_called_pick_up() {
    let with = |frequency: f64| Truth {
        pick_up: (kelvin(1.0), hertz(frequency)),
        sample: second(1.0),
        ..Truth::hot_end(4)
    };
    let without_duty = |truth: &Truth| {
        text_of(
            truth,
            "time,temperature,target",
            |_, [time, reading, target, _]| format!("{time},{reading:.3},{target}\n"),
        )
    };
    for frequency in [1.0 / 20.0, 1.0 / 12.0] {
        let pulses = Value::between(hertz(1.0), hertz(7.7), hertz(20.0));
        let ask = Ask {
            pulses: Some(pulses),
            ..ask()
        };
        let analysis = analysed_text(&without_duty(&with(frequency)), ask);
        assert!(share(&analysis, Cause::Regular) > 0.9, "{:?}", analysis.swing);
        assert!(share(&analysis, Cause::PickUp) < 0.02, "{:?}", analysis.swing);
        let report = analysis.report();
        let [helps, in_vain, ..] = &report.advice[..] else {
            panic!("{:?}", report.advice)
        };
        assert!(helps.sentence.contains("the log tells no duty"), "{helps:?}");
        assert!(
            helps.sentence.contains("pulses of a heater may, such as of 7."),
            "{helps:?}"
        );
        assert!(
            !in_vain.sentence.contains("the duty does not make it"),
            "{in_vain:?}"
        );
        assert!(analysis.swing.unwrap().coherence.is_none());
    }
    // A loop that oscillates by itself: not told apart either, but its period is that of the process.
    let lively = Truth {
        noise: kelvin(0.05),
        pick_up: (kelvin(0.0), hertz(1.0)),
        pid: (per_kelvin(0.3), second(1e6), second(0.0)),
        ..with(1.0)
    };
    let analysis = analysed_text(&without_duty(&lively), ask());
    assert!(share(&analysis, Cause::Regular) > 0.9, "{:?}", analysis.swing);
    let advice = analysis.report().advice;
    assert!(advice[0].sentence.contains("so control is likely"), "{advice:?}");
    // Faster than full power heats: no control makes that, and nothing is said of a duty that nobody saw.
    let quick = Truth {
        sample: second(0.5),
        ..with(0.7)
    };
    let analysis = analysed_text(&without_duty(&quick), ask());
    assert!(share(&analysis, Cause::PickUp) > 0.9, "{:?}", analysis.swing);
    let advice = analysis.report().advice;
    assert!(
        advice[1].sentence.contains("faster than full power"),
        "{advice:?}"
    );
}

/// A duty that has nothing to do with the reading did not make its swing; a coherent one may have, where no process tells.
#[test]
fn coherence_with_the_duty_tells_what_is_not_control() {
    let truth = Truth {
        pick_up: (kelvin(1.0), hertz(0.05)),
        ..Truth::hot_end(6)
    };
    let soak = |duty: &dyn Fn(usize, f64) -> f64| {
        let text = text_of(
            &truth,
            "time,temperature,target,duty (%)",
            |at, [time, reading, target, own]| {
                let duty = 100.0 * duty(at, own);
                if time < 300.0 {
                    String::new()
                } else {
                    format!("{time},{reading:.3},{target},{duty:.3}\n")
                }
            },
        );
        analysed_text(&text, ask())
    };
    let of_loop = soak(&|_, own| own);
    assert!(of_loop.process.is_err());
    let coherence = of_loop.swing.as_ref().unwrap().coherence.clone().unwrap();
    assert!((coherence.peak.base() - 0.05).abs() < 0.01, "{coherence:?}");
    assert!(coherence.at_peak.base() > 0.95, "{coherence:?}");
    assert!(coherence.band.unwrap().low() <= coherence.peak);
    assert!(share(&of_loop, Cause::Regular) > 0.9, "{:?}", of_loop.swing);
    // A whole number in each step that knows nothing of the reading: 32-bit hash by multiplication (Knuth).
    let of_chance = soak(&|at, _| {
        let hash = u32::try_from(at).unwrap().wrapping_mul(2_654_435_761) >> 8;
        0.4 + f64::from(hash) / f64::from(1_u32 << 24) * 0.1
    });
    let coherence = of_chance.swing.as_ref().unwrap().coherence.clone().unwrap();
    assert!(coherence.at_peak < coherence.by_chance * 2.0, "{coherence:?}");
    assert!(share(&of_chance, Cause::PickUp) > 0.9, "{:?}", of_chance.swing);
}

/// Where nothing else tells what the duty moved, coherence stands in the report, as a number at the largest swing, its band, and a picture. Where
/// a process tells it, coherence would only seem to contradict: it is high for whatever the duty follows.
#[test]
fn the_report_shows_the_coherence_where_it_decides() {
    let truth = Truth {
        noise: kelvin(0.05),
        pid: (per_kelvin(0.12), second(9.0), second(0.0)),
        ..Truth::hot_end(5)
    };
    let analysis = analysed(&truth);
    assert!(analysis.swing.as_ref().unwrap().coherence.is_some());
    let whole = analysis.report();
    assert!(
        whole
            .figures
            .iter()
            .all(|figure| !figure.id.starts_with("coherence"))
    );
    let mut text = "time,temp,target,duty\n".to_owned();
    for [time, reading, target, duty] in log(&truth).rows.iter().skip_while(|row| row[0] < 250.0) {
        text += &format!("{time},{reading:.3},{target},{duty:.4}\n");
    }
    let soak = read_log(&text);
    let report = analyse(&soak, &soak.channels[0], ask()).unwrap().report();
    let figure = |id: &str| report.figures.iter().find(|figure| figure.id == id);
    for id in ["coherence", "coherence-mean"] {
        let shown: f64 = figure(id).unwrap().shown().parse().unwrap();
        assert!(shown > 0.9 && shown <= 1.0, "{id}: {shown}");
    }
    assert!(figure("coherence-band").is_some());
    let titles: Vec<&str> = report.pictures.iter().map(evidence::Picture::title).collect();
    assert!(titles.contains(&"Coherence of reading and duty"), "{titles:?}");
}

#[test]
fn drift_is_told_from_noise() {
    // A loop without integral lets the reading drift.
    let truth = Truth {
        drift: kelvin(1.0),
        pid: (per_kelvin(0.02), second(1e6), second(4.0)),
        target: celsius(60.0),
        durations: [second(20.0), second(1800.0), second(0.0)],
        ..Truth::hot_end(13)
    };
    let analysis = analysed(&truth);
    assert!(
        share(&analysis, Cause::Drift) > 0.4,
        "{:?}",
        analysis.swing.unwrap().parts
    );
}

#[test]
fn without_duty_or_heat_up_what_cannot_be_told_is_said() {
    let made = log(&Truth::hot_end(1));
    let mut text = "time,temp\n".to_owned();
    for [time, reading, _, _] in &made.rows {
        text += &format!("{time},{reading:.3}\n");
    }
    let log = read_log(&text);
    let analysis = analyse(&log, &log.channels[0], ask()).unwrap();
    let process = analysis.process.as_ref().unwrap();
    assert!(
        !process.from_duty && (process.gain.nominal().base() / 330.0 - 1.0).abs() < 0.3,
        "{process:?}"
    );
    // The half minute before the target is no dead time, where the log tells the target.
    let text = text_of(
        &Truth::hot_end(1),
        "time,temp,target",
        |_, [time, reading, target, _]| format!("{time},{reading:.3},{target}\n"),
    );
    let delay = analysed_text(&text, ask()).process.unwrap().delay;
    assert!((delay.nominal().base() - 2.0).abs() < 1.0, "{delay:?}");
    let troubles: String = analysis.troubles.iter().map(ToString::to_string).collect();
    assert!(
        troubles.contains("no target") && troubles.contains("no duty"),
        "{troubles}"
    );
    let soak: String = std::iter::once("time,temp,target\n".to_owned())
        .chain(
            made.rows[800..]
                .iter()
                .map(|row| format!("{},{},210\n", row[0], row[1])),
        )
        .collect();
    let log = read_log(&soak);
    let analysis = analyse(&log, &log.channels[0], ask()).unwrap();
    assert!(analysis.process.is_err() && analysis.swing.is_ok());
    let report = analysis.report();
    assert!(
        report
            .troubles
            .iter()
            .any(|trouble| trouble.what.contains("heat-up")),
        "{:?}",
        report.troubles
    );
}

#[test]
fn three_points_say_nothing() {
    let log = read_log("time,temp,target\n0,20,210\n1,21,210\n2,22,210\n");
    let refused = analyse(&log, &log.channels[0], ask()).unwrap_err();
    assert!(
        refused.problem.contains("3 points") && refused.problem.contains("no soak"),
        "{refused}"
    );
}

/// Bytes changed at random: a log, or a refusal with a reason, and never a panic.
#[test]
fn broken_files_are_named() {
    use rand::{RngExt as _, SeedableRng as _};
    let mut random = rand_pcg::Pcg64::seed_from_u64(42);
    let mut truth = Truth::hot_end(2);
    truth.sample = second(4.0);
    let text = log(&truth).text("a test").into_bytes();
    let (mut read_well, mut refused) = (0, 0);
    for _ in 0..400 {
        let mut bytes = text.clone();
        for _ in 0..random.random_range(1..12) {
            let at = random.random_range(0..bytes.len());
            match random.random_range(0..5) {
                0 => bytes[at] = random.random(),
                1 => drop(bytes.remove(at)),
                2 => bytes.insert(at, b",;\n\t\"e-:9"[random.random_range(0..9)]),
                3 => bytes.truncate(at.max(1)),
                _ => {
                    let end = (at + random.random_range(0..200)).min(bytes.len());
                    let part = bytes[at..end].to_vec();
                    let to = random.random_range(0..bytes.len());
                    bytes.splice(to..to, part);
                }
            }
        }
        match read(&bytes, WhatIsKnown::default()).and_then(|log| analyse(&log, &log.channels[0], ask())) {
            Ok(analysis) => {
                drop(analysis.report());
                read_well += 1;
            }
            Err(reason) => {
                assert!(!reason.problem.is_empty() && !reason.mend.is_empty());
                refused += 1;
            }
        }
    }
    assert!(
        read_well > 100 && refused > 5,
        "{read_well} read, {refused} refused"
    );
}

/// Two series that hang together, of known deviation: the interval of the difference holds it as often as it says.
#[test]
fn the_interval_of_a_difference_holds_the_truth() {
    use crate::coverage::Noise;
    let series = |noise: &mut Noise, deviation: f64| -> Vec<f64> {
        let mut last = 0.0;
        let innovation = deviation * (1.0_f64 - 0.6 * 0.6).sqrt();
        (0..1_500)
            .map(|_| {
                last = 0.6 * last + noise.normal(innovation);
                last
            })
            .collect()
    };
    crate::coverage::assert_covers(|noise| {
        let (one, two) = (series(noise, 0.5), series(noise, 0.65));
        let found =
            evidence::comparison::difference(&one, &two, |values| statistics::standard_deviation(values));
        vec![("difference", found.low <= 0.15 && 0.15 <= found.high)]
    });
}

#[test]
fn boards_are_compared() {
    use evidence::comparison::{Shown, Side, compare};
    let quiet = analysed(&Truth::hot_end(1));
    let same = analysed(&Truth::hot_end(2));
    let noisy = analysed(&Truth {
        noise: kelvin(0.45),
        ..Truth::hot_end(3)
    });
    let side = |board, analysis| Side { board, analysis };
    let equal = compare(side("old", &quiet), side("new", &same), kelvin(0.1)).unwrap();
    assert_eq!(equal.differences[0].shown, Shown::Equal);
    assert_eq!(equal.verdict(), evidence::Verdict::Pass);
    let worse = compare(side("old", &quiet), side("new", &noisy), kelvin(0.1)).unwrap();
    assert_eq!(worse.differences[0].shown, Shown::Different);
    let report = worse.report();
    assert_eq!(report.verdict, evidence::Verdict::Fail, "{}", report.sentence);
    assert!(
        report.sentence.contains("less near to its target"),
        "{}",
        report.sentence
    );
    let unclear = compare(side("old", &quiet), side("new", &same), kelvin(0.0001)).unwrap();
    assert_eq!(unclear.differences[0].shown, Shown::NotShownToDiffer);
}

/// Several heat-ups in each log: their overshoots are compared with an interval; one each tells no spread, and that is said.
#[test]
fn overshoots_are_compared_where_there_are_several() {
    use evidence::comparison::{Shown, Side, compare};
    let cycles = |count: u64, integral: f64, begin: u64| {
        let mut text = "time,temperature,target,duty\n".to_owned();
        for cycle in 0..count {
            let truth = Truth {
                pid: (per_kelvin(0.03), second(integral), second(4.0)),
                durations: [second(20.0), second(400.0), second(600.0)],
                ..Truth::hot_end(begin + cycle)
            };
            for [time, reading, target, duty] in log(&truth).rows {
                text += &format!(
                    "{},{reading:.3},{target},{duty:.4}\n",
                    time + 1_020.0 * cycle as f64
                );
            }
        }
        analysed_text(&text, ask())
    };
    let (calm, lively) = (cycles(4, 40.0, 0), cycles(3, 12.0, 10));
    assert_eq!((calm.overshoots.len(), lively.overshoots.len()), (4, 3));
    let side = |board, analysis| Side { board, analysis };
    let of = |one, two| {
        let found = compare(side("old", one), side("new", two), kelvin(0.1)).unwrap();
        let own = *found
            .differences
            .iter()
            .find(|own| own.of.id() == "overshoot")
            .unwrap();
        (own, format!("{:?}", found.report().tables))
    };
    let (own, _) = of(&calm, &lively);
    assert_eq!(own.shown, Shown::Different, "{own:?}");
    assert!(own.difference.unwrap().low().base() > 0.0, "{own:?}");
    let (own, tables) = of(&calm, &cycles(1, 12.0, 20));
    assert_eq!((own.shown, own.difference), (Shown::NoSpread, None));
    assert!(
        tables.contains("one heat-up on a board tells no spread"),
        "{tables}"
    );
}
