//! How far a bring-up is: on the examples, from the first row to the last, and again after a change.

use std::collections::BTreeSet;

use bringup::{Duty, Expected, Progress, State, Step};
use quantity::{Value, si};
use record::{Entry, Kind, Row, Stamp, Verdict};
use settings::Settings;

/// Does something with the steps of an example, its cables and its settings.
fn with<T>(example: &str, use_it: impl FnOnce(&[Step], &plan::Plan<'_>, &Settings) -> T) -> T {
    let swap = model::load(&samples::example(example)).unwrap();
    // Of the demo the board that leaves no axis to its limit switches alone.
    let board = swap
        .candidates
        .iter()
        .find(|board| board.name.value == "Birch B6");
    let board = board.unwrap_or(&swap.candidates[0]);
    let plan = plan::plan(&swap, board);
    let settings = settings::settings(&plan.setup());
    let steps = bringup::steps(&plan, &settings);
    use_it(&steps, &plan, &settings)
}

fn on_demo<T>(use_it: impl FnOnce(Vec<Duty<'_>>) -> T) -> T {
    with("demo", |steps, plan, settings| {
        use_it(bringup::duties(steps, plan, settings))
    })
}

/// Records as a person does whose readings are all as expected.
#[derive(Default)]
struct Book(Vec<Row>);

impl Book {
    fn put(&mut self, entry: Entry) -> u64 {
        let at = format!("2026-01-01T00:00:{:02}.000Z", self.0.len() % 60);
        let row = Row::behind(self.0.last(), at, Stamp::default(), entry);
        self.0.push(row);
        self.0.len() as u64
    }

    fn read(&mut self, duty: &Duty<'_>, what: &str, verdict: Verdict, corrects: Option<u64>) -> u64 {
        self.put(Entry {
            what: what.to_owned(),
            value: "as described".to_owned(),
            verdict: Some(verdict),
            basis: serde_json::to_string(&duty.basis).unwrap(),
            corrects,
            ..Entry::of(Kind::Reading, duty.id)
        })
    }

    /// Does what comes next until nothing more can begin; the duties in their order.
    fn work(&mut self, duties: &[Duty<'_>]) -> Vec<String> {
        let mut order: Vec<String> = Vec::new();
        // No duty has more readings than this, so that a loop without end shows.
        for _ in 0..duties.len() * 12 {
            let progress = bringup::progress(duties.to_vec(), &self.0);
            let Some(next) = progress.next() else {
                return order;
            };
            assert!(progress.held_by(&next.duty).is_empty());
            if order.last().is_none_or(|last| last != next.duty.id) {
                order.push(next.duty.id.to_owned());
            }
            let what = next.missing.first().cloned().unwrap();
            self.read(&next.duty, &what, Verdict::Pass, None);
        }
        panic!("without end: {order:?}");
    }

    fn progress<'s>(&self, duties: &[Duty<'s>]) -> Progress<'s> {
        bringup::progress(duties.to_vec(), &self.0)
    }
}

fn state(progress: &Progress<'_>, id: &str) -> State {
    let own = progress.duties.iter().find(|own| own.duty.id == id);
    own.unwrap_or_else(|| panic!("{id}")).state.clone()
}

fn duty<'d, 's>(duties: &'d [Duty<'s>], id: &str) -> &'d Duty<'s> {
    duties
        .iter()
        .find(|own| own.id == id)
        .unwrap_or_else(|| panic!("{id}"))
}

#[test]
fn every_reading_of_the_examples_has_a_name_of_its_own() {
    for example in ["demo", "second", "third"] {
        with(example, |steps, plan, settings| {
            let duties = bringup::duties(steps, plan, settings);
            let ids: BTreeSet<&str> = duties.iter().map(|duty| duty.id).collect();
            assert_eq!(ids.len(), duties.len(), "{example}");
            for duty in &duties {
                let names: Vec<&str> = duty.readings().collect();
                let unlike: BTreeSet<&&str> = names.iter().collect();
                assert_eq!(unlike.len(), names.len(), "{example}: {} {names:?}", duty.id);
                for after in &duty.after {
                    let known = duties.iter().any(|own| own.id == *after || own.step.id == *after);
                    assert!(known, "{example}: {} comes after {after}", duty.id);
                }
            }
            let actions: usize = steps.iter().map(|step| step.parts.len().max(1)).sum();
            assert!(duties.len() >= actions);
        });
    }
}

#[test]
fn all_is_done_once_all_is_read() {
    for example in ["demo", "second", "third"] {
        with(example, |steps, plan, settings| {
            let duties = bringup::duties(steps, plan, settings);
            let mut book = Book::default();
            let order = book.work(&duties);
            let ids: Vec<&str> = duties.iter().map(|duty| duty.id).collect();
            assert_eq!(order, ids, "{example}");
            let progress = book.progress(&duties);
            assert!(progress.is_finished());
            assert_eq!(progress.count(|state| *state == State::Done), duties.len());
        });
    }
}

/// A lead moved: all that rests on it is done again, and nothing else.
#[test]
fn what_a_moved_lead_changes_is_done_again() {
    on_demo(|mut duties| {
        let mut book = Book::default();
        book.work(&duties);
        let all = book.0.len();
        for duty in &mut duties {
            if let Some(cable) = duty.basis.get_mut("cable H1") {
                *cable = "HEAT9, RD to 1".to_owned();
            }
        }
        let progress = book.progress(&duties);
        for id in [
            "harness:H1",
            "resistance:H1",
            "insulation",
            "fuse:H1",
            "power-board",
            "heater-off:H1",
            "protection:H1",
            "heat:H1",
            "thermometer-lost:H1",
            "working:H1",
            "control:H1",
            "first-print",
            "sign",
        ] {
            assert!(matches!(state(&progress, id), State::Stale(_)), "{id}");
        }
        for id in [
            "unplug",
            "board",
            "harness:H2",
            "resistance:H2",
            "coils:MX",
            "poles:F1",
            "switch:LZ",
            "probe:BP",
            "direction:X",
            "threshold:X",
            "home:X",
            "home:Z",
            "fan:F1",
            "heater-off:H2",
            "heat:H2",
            "working:H2",
            "level",
            "image",
            "settings-told",
        ] {
            assert_eq!(state(&progress, id), State::Done, "{id}");
        }
        let State::Stale(changed) = state(&progress, "resistance:H1") else {
            panic!();
        };
        assert!(changed.iter().any(|words| words.starts_with("cable H1: was HEAT") && words.ends_with("now HEAT9, RD to 1")), "{changed:?}");
        // Done again, from the cable to the signature.
        let again = book.work(&duties);
        assert_eq!(again.first().map(String::as_str), Some("harness:H1"));
        assert!(book.progress(&duties).is_finished());
        assert!(book.0.len() - all < all / 2, "{} of {all}", book.0.len() - all);
    });
}

#[test]
fn what_was_left_out_keeps_closed_what_rests_on_it() {
    on_demo(|duties| {
        let mut book = Book::default();
        for left_out in ["thermometer-open:T1", "probe:BP", "old-behaviour"] {
            book.put(Entry {
                reason: "no time".to_owned(),
                ..Entry::of(Kind::LeftOut, left_out)
            });
        }
        book.work(&duties);
        let progress = book.progress(&duties);
        for id in ["heat:H1", "heat:H2", "home:Z", "level", "first-print"] {
            assert_eq!(state(&progress, id), State::Open, "{id}");
        }
        // Nothing rests right on what the old controller showed.
        for id in ["supply:PS", "power-board", "direction:X", "home:X"] {
            assert_eq!(state(&progress, id), State::Done, "{id}");
        }
        let closed = progress.closed_by(duty(&duties, "thermometer-open:T1"));
        let closed: Vec<&str> = closed.iter().map(|duty| duty.id).collect();
        assert!(
            closed.contains(&"heat:H1") && closed.contains(&"heat:H2"),
            "{closed:?}"
        );
        assert!(!progress.is_finished() && progress.next().is_none());
        // Done after all, it opens the rest.
        let open = duty(&duties, "thermometer-open:T1");
        for what in open.readings() {
            book.read(open, what, Verdict::Pass, None);
        }
        book.work(&duties);
        assert_eq!(state(&book.progress(&duties), "heat:H1"), State::Done);
    });
}

/// Nothing has power before what was left out of the measurements, and nothing at all begins on a machine that may be live.
#[test]
fn power_waits_for_the_meter() {
    on_demo(|duties| {
        for (left_out, closed) in [
            ("unplug", "old-board-out"),
            ("shorts", "power-board"),
            ("protective-earth", "supply:PS"),
            ("insulation", "power-board"),
        ] {
            let mut book = Book::default();
            book.put(Entry {
                reason: "no meter".to_owned(),
                ..Entry::of(Kind::LeftOut, left_out)
            });
            book.work(&duties);
            let progress = book.progress(&duties);
            assert_eq!(state(&progress, closed), State::Open, "{left_out}");
            let live = progress
                .duties
                .iter()
                .filter(|own| own.duty.step.needs > bringup::Needs::Unplugged);
            let done = live.filter(|own| {
                own.state == State::Done && own.duty.step.id != "old-controller" && own.duty.id != "supply:PS"
            });
            assert_eq!(done.count(), 0, "{left_out}");
        }
    });
}

/// Another image or another sensor: what rests on it, as far as the controller and the heater.
#[test]
fn what_the_controller_knows_is_told_again() {
    on_demo(|mut duties| {
        let mut book = Book::default();
        book.work(&duties);
        let mut image = duties.clone();
        let built = image.iter_mut().find(|duty| duty.id == "image").unwrap();
        assert!(built.basis.keys().any(|key| key.starts_with("setting ")));
        assert!(
            built
                .basis
                .insert("image".to_owned(), "another offset".to_owned())
                .is_some()
        );
        let progress = book.progress(&image);
        for id in ["image", "settings-told", "read-back", "sign"] {
            assert!(matches!(state(&progress, id), State::Stale(_)), "{id}");
        }
        assert_eq!(state(&progress, "heat:H1"), State::Done);
        for duty in &mut duties {
            if let Some(cable) = duty.basis.get_mut("cable T1") {
                *cable = "TH9, WH to 1".to_owned();
            }
        }
        let progress = book.progress(&duties);
        for id in [
            "resistance:T1",
            "ambient:T1",
            "thermometer-open:T1",
            "protection:H1",
            "heat:H1",
            "reference:T1",
            "working:H1",
            "control:H1",
            "first-print",
            "sign",
        ] {
            assert!(matches!(state(&progress, id), State::Stale(_)), "{id}");
        }
        for id in ["resistance:H1", "heat:H2", "control:H2", "home:X", "fan:F1"] {
            assert_eq!(state(&progress, id), State::Done, "{id}");
        }
    });
}

#[test]
fn what_failed_holds_what_comes_after_until_it_passes() {
    on_demo(|duties| {
        let mut book = Book::default();
        book.work(&duties[..4]);
        let failing = duty(&duties, "shorts");
        let what = failing.readings().next().unwrap().to_owned();
        book.read(failing, &what, Verdict::Fail, None);
        let progress = book.progress(&duties);
        assert_eq!(state(&progress, "shorts"), State::Failed(vec![what.clone()]));
        let held = progress.held_by(duty(&duties, "power-board"));
        assert!(held.iter().any(|own| own.duty.id == "shorts"));
        book.read(failing, &what, Verdict::Pass, None);
        assert_eq!(state(&book.progress(&duties), "shorts"), State::Done);
    });
}

/// Reading once more changes nothing; a fault that was found late and mended does, but not where the reading was a slip of the pen.
#[test]
fn what_was_mended_late_is_no_second_reading() {
    on_demo(|duties| {
        let mut book = Book::default();
        book.work(&duties);
        let read = duty(&duties, "resistance:H2");
        let what = read.readings().next().unwrap().to_owned();
        book.read(read, &what, Verdict::Pass, None);
        assert!(book.progress(&duties).is_finished());
        let slip = book.read(read, &what, Verdict::Fail, None);
        let progress = book.progress(&duties);
        assert!(matches!(state(&progress, "heat:H2"), State::Stale(_)));
        assert_eq!(progress.next().unwrap().duty.id, "resistance:H2");
        let mut put_right = Book(book.0.clone());
        put_right.read(read, &what, Verdict::Pass, Some(slip));
        assert!(put_right.progress(&duties).is_finished());
        book.read(read, &what, Verdict::Pass, None);
        let progress = book.progress(&duties);
        for id in ["heat:H2", "power-board", "first-print"] {
            assert!(matches!(state(&progress, id), State::Stale(_)), "{id}");
        }
        for id in ["heat:H1", "home:X", "coils:MX"] {
            assert_eq!(state(&progress, id), State::Done, "{id}");
        }
        book.work(&duties);
        assert!(book.progress(&duties).is_finished());
    });
}

#[test]
fn a_reading_is_judged_by_the_limits_as_they_are_shown() {
    let passes = |expected: &Expected, text: &str| expected.judge(text).map(|judged| judged.unwrap().1).ok();
    // 2.0004 Ω shows as 2 Ω, 13.58 Ω as 13.6 Ω.
    let expected = Expected::between("", Value::between(si::ohm(2.0004), si::ohm(5.0), si::ohm(13.58)));
    for (text, pass) in [
        ("2 Ω", Some(true)),
        ("2", Some(true)),
        ("13.6", Some(true)),
        ("13,6 Ω", Some(true)),
        ("13.7", Some(false)),
        ("1.99", Some(false)),
        ("-5", Some(false)),
        ("0.013 kΩ", Some(true)),
        ("0.013k", Some(true)),
        ("OL", Some(false)),
        ("> 20 Ω", Some(false)),
        ("> 1 Ω", None),
        ("", None),
        ("12 V", None),
        ("-", None),
        ("12 Ω ± 1 Ω", None),
        ("about 12", None),
    ] {
        assert_eq!(passes(&expected, text), pass, "{text}");
    }
    // A meter in ohms shows 0.3 where 100 mΩ are the limit: it must not pass as 0.3 mΩ.
    let small = Expected::at_most("", Value::exact(si::ohm(0.1)));
    for (text, pass) in [
        ("0.3", None),
        ("0.3 Ω", Some(false)),
        ("90 mΩ", Some(true)),
        ("open", Some(false)),
    ] {
        assert_eq!(passes(&small, text), pass, "{text}");
    }
    // No sign makes a supply dead, or two thermometers agree.
    let dead = Expected::at_most("", Value::exact(si::volt(1.0)));
    let apart = Expected::at_most("", Value::exact(si::kelvin(3.0)));
    for (expected, text, pass) in [
        (&dead, "-24 V", false),
        (&dead, "24 V", false),
        (&dead, "-0.1 V", true),
        (&apart, "-30 K", false),
        (&apart, "-2 K", true),
    ] {
        assert_eq!(passes(expected, text), Some(pass), "{text}");
    }
    // What is cold may be below nothing.
    let cold = Expected::at_most("", Value::exact(si::celsius(30.0)));
    assert_eq!(passes(&cold, "-5 °C"), Some(true));
    let least = Expected::at_least("", Value::exact(si::ohm(1e6)));
    for (text, pass) in [
        ("OL", Some(true)),
        ("open", Some(true)),
        (">20 MΩ", Some(true)),
        ("> 20M", Some(true)),
        ("> 2 kΩ", None),
        ("100k", Some(false)),
        ("4.7M", Some(true)),
    ] {
        assert_eq!(passes(&least, text), pass, "{text}");
    }
    assert_eq!(Expected::seen("light", "on").judge("5 V").unwrap(), None);
    assert_eq!(
        Expected::noted("set-point", "to 0.01 V").judge("0.5 V").unwrap(),
        None
    );
}
