//! What counts as handled is in the plan: each place that a finding names is taken out, and the finding is open again.

use model::Swap;
use plan::{Disposition, Finding, Handling, Plan, Verdict};
use samples::Folder;

fn load(folder: &Folder) -> Swap {
    model::load(folder).unwrap_or_else(|faults| panic!("{:?}", faults.faults))
}

/// Every board of both examples, settled.
fn each(check: impl Fn(&Plan<'_>, &settings::Settings, &[bringup::Step])) {
    for name in ["demo", "second"] {
        let swap = load(&samples::example(name));
        for board in &swap.candidates {
            let plan = plan::plan(&swap, board);
            let found = settings::of_plan(&plan);
            let plan = plan.also(found);
            let settings = settings::settings(&plan.setup());
            let steps = bringup::steps(&plan, &settings);
            check(&plan, &settings, &steps);
        }
    }
}

fn handled<'p>(plan: &'p Plan<'_>) -> Vec<&'p Finding> {
    plan.disposed(Disposition::Handled)
}

#[test]
fn deleting_what_a_finding_names_brings_it_back() {
    let seen = std::cell::RefCell::new(std::collections::BTreeSet::new());
    each(|plan, settings, steps| {
        let rows = plan::cables(plan);
        let whole = bringup::settled(plan.clone(), settings, steps);
        for finding in handled(&whole) {
            assert!(!finding.handled_by.is_empty(), "{}: handled nowhere", finding.id);
            for place in &finding.handled_by {
                let (mut rows, mut settings, mut steps) = (rows.clone(), settings.clone(), steps.to_vec());
                match place {
                    Handling::Wiring { tag, .. } => rows.retain(|row| row.tag != *tag),
                    Handling::Setting { id } => settings.settings.retain(|own| own.id != *id),
                    Handling::Step { family, of } => {
                        let is_it = |id: &str, tags: &[String]| {
                            let (own, name) = id.split_once(':').unwrap_or((id, ""));
                            own == family && of.as_ref().is_none_or(|of| name == of || tags.contains(of))
                        };
                        steps.retain(|step| !is_it(&step.id, &step.tags));
                        for step in &mut steps {
                            step.parts.retain(|part| !is_it(&part.id, &part.tags));
                        }
                    }
                }
                let without = plan
                    .clone()
                    .settled(|place| bringup::stands_in(place, &rows, &settings, &steps));
                let again = without.finding(&finding.id).unwrap();
                let open = [Disposition::ToDecide, Disposition::AsTheMachineIs];
                assert!(
                    open.contains(&again.disposition),
                    "{} on {}: still {:?} without {}",
                    finding.id,
                    plan.board.name,
                    again.disposition,
                    place.words()
                );
                let kind = match place {
                    Handling::Wiring { .. } => "wiring",
                    Handling::Setting { .. } => "setting",
                    Handling::Step { .. } => "step",
                };
                seen.borrow_mut().insert(kind);
            }
        }
    });
    assert_eq!(seen.into_inner().len(), 3, "each kind of place was deleted once");
}

/// Deleting only the part, the work or the value is enough: a row, a setting or a step that is empty handles nothing.
#[test]
fn a_place_without_its_part_or_its_value_handles_nothing() {
    each(|plan, settings, steps| {
        let rows = plan::cables(plan);
        for finding in &plan.findings {
            for place in &finding.handled_by {
                let (mut rows, mut settings) = (rows.clone(), settings.clone());
                match place {
                    Handling::Wiring { part: Some(_), .. } => {
                        rows.iter_mut().for_each(|row| row.parts.clear());
                    }
                    Handling::Wiring { work, .. } => rows
                        .iter_mut()
                        .for_each(|row| row.actions.retain(|action| action.kind != *work)),
                    Handling::Setting { .. } => settings.settings.iter_mut().for_each(|own| own.new = None),
                    Handling::Step { .. } => continue,
                }
                assert!(
                    !bringup::stands_in(place, &rows, &settings, steps),
                    "{}: {}",
                    finding.id,
                    place.words()
                );
            }
        }
    });
}

#[test]
fn every_finding_has_one_disposition_and_a_blocker_stays_open() {
    each(|plan, settings, steps| {
        let whole = bringup::settled(plan.clone(), settings, steps);
        assert_eq!(whole.findings.len(), plan.findings.len());
        for finding in &whole.findings {
            let open = finding.disposition != Disposition::NothingToDo;
            match finding.verdict {
                Verdict::Pass => assert!(!open, "{}", finding.id),
                Verdict::Note => {}
                Verdict::Caution => assert!(open, "{}", finding.id),
                Verdict::Blocker => assert_eq!(finding.disposition, Disposition::ToDecide, "{}", finding.id),
            }
        }
    });
}

/// What another crate found and never said what is left to do is open too.
#[test]
fn a_finding_of_another_crate_is_open() {
    let swap = load(&samples::example("demo"));
    let mut found = Finding::new("something that nobody looked at", "common-practice");
    found.verdict = Verdict::Blocker;
    found.id = "old-settings:made-up".to_owned();
    found.check = plan::OLD_SETTINGS;
    for verdict in [Verdict::Blocker, Verdict::Caution] {
        let one = Finding {
            verdict,
            ..found.clone()
        };
        let plan = plan::plan(&swap, &swap.candidates[0]).also(vec![one]);
        let settings = settings::settings(&plan.setup());
        let steps = bringup::steps(&plan, &settings);
        let plan = bringup::settled(plan, &settings, &steps);
        let open = plan.to_decide();
        assert!(open.iter().any(|finding| finding.id == found.id), "{verdict:?}");
    }
}

/// What nobody stated is no limit of the machine: a person can find it out.
#[test]
fn a_fact_that_is_not_stated_is_left_to_decide() {
    let mut folder = samples::example("demo");
    let file = folder.get_mut("machine.toml").expect("a machine");
    let text = String::from_utf8(file.clone()).expect("text");
    let at = text.find("tag = \"H2\"").expect("a bed heater");
    let line = at + text[at..].find("thermal_conductance").expect("its loss");
    let end = line + text[line..].find('\n').expect("an end");
    *file = format!("{}{}", &text[..line], &text[end..]).into_bytes();
    let swap = load(&folder);
    let mut asked = 0;
    for board in &swap.candidates {
        let plan = plan::plan(&swap, board);
        let settings = settings::settings(&plan.setup());
        let steps = bringup::steps(&plan, &settings);
        let plan = bringup::settled(plan, &settings, &steps);
        if let Some(short) = plan.finding("switch-short:H2") {
            asked += 1;
            assert_eq!(short.disposition, Disposition::ToDecide, "{}", board.name);
        }
    }
    assert!(asked > 1, "asked on {asked} boards");
}

/// What nobody looked at never counts as handled, and settling twice changes nothing.
#[test]
fn an_unsettled_plan_handles_nothing() {
    each(|plan, settings, steps| {
        assert!(handled(plan).is_empty());
        let nowhere = plan.clone().settled(|_| false);
        assert!(handled(&nowhere).is_empty());
        let once = bringup::settled(plan.clone(), settings, steps);
        let twice = bringup::settled(once.clone(), settings, steps);
        assert_eq!(once.findings, twice.findings);
    });
}

/// The comparison of many boards makes no words; it counts alike.
#[test]
fn a_brief_plan_counts_as_a_whole_one_does() {
    let swap = load(&samples::example("demo"));
    for (at, board) in swap.candidates.iter().enumerate() {
        let both = [plan::plan(&swap, board), plan::plan_briefly(&swap, board)];
        let entries = both.map(|plan| {
            let settings = settings::settings(&plan.setup());
            let steps = bringup::steps(&plan, &settings);
            plan::entry(&bringup::settled(plan, &settings, &steps), at)
        });
        let [whole, brief] = &entries;
        assert_eq!(whole.to_decide, brief.to_decide, "{}", board.name);
        assert_eq!(whole.decide, brief.decide, "{}", board.name);
        assert_eq!(whole.decide_on, brief.decide_on, "{}", board.name);
        assert_eq!(whole.blocked_by, brief.blocked_by, "{}", board.name);
    }
}

/// The demonstration with an entry `[[accepted]]`, and what became of the finding on Birch B6.
fn accepted(entry: &str, id: &str) -> Finding {
    let mut folder = samples::example("demo");
    let text = String::from_utf8(folder["swap.toml"].clone()).unwrap();
    folder.insert(
        "swap.toml".to_owned(),
        format!("{text}\n[[accepted]]\n{entry}").into_bytes(),
    );
    let swap = load(&folder);
    let board = swap
        .candidates
        .iter()
        .find(|board| board.name.value == "Birch B6")
        .unwrap();
    let plan = plan::plan(&swap, board);
    let settings = settings::settings(&plan.setup());
    let steps = bringup::steps(&plan, &settings);
    let plan = bringup::settled(plan, &settings, &steps);
    plan.finding(id).cloned().unwrap_or_else(|| panic!("{id}"))
}

#[test]
fn an_acceptance_counts_until_the_value_worsens() {
    let entry = |value: &str| {
        format!(
            "finding = \"enclosure-air:without-fan\"\nvalue = \"{value}\"\nreason = \"watched\"\nby = \"A. Example\"\n"
        )
    };
    let worst = accepted(&entry("500 °C"), "enclosure-air:without-fan");
    assert_eq!(worst.disposition, Disposition::Accepted);
    let now = worst.worst().unwrap().number_of("°C").unwrap();
    let just = accepted(&entry(&format!("{now:.1} °C")), "enclosure-air:without-fan");
    assert_eq!(just.disposition, Disposition::Accepted);
    let lapsed = accepted(
        &entry(&format!("{:.1} °C", now - 1.0)),
        "enclosure-air:without-fan",
    );
    assert_eq!(lapsed.disposition, Disposition::ToDecide);
    let why = lapsed.acceptance.unwrap().refused.unwrap();
    assert!(why.starts_with("lapsed"), "{why}");
    let other = accepted(&entry("3 A"), "enclosure-air:without-fan")
        .acceptance
        .unwrap();
    assert!(other.refused.unwrap().contains("another kind"));
    let none = "finding = \"enclosure-air:without-fan\"\nreason = \"watched\"\nby = \"A. Example\"\n";
    let none = accepted(none, "enclosure-air:without-fan");
    assert_eq!(none.disposition, Disposition::ToDecide);
    assert!(none.acceptance.unwrap().refused.unwrap().contains("value = \""));
}

#[test]
fn what_stakes_people_or_fire_cannot_be_accepted_where_it_fails() {
    for id in ["input-fuse:short-circuit", "switch-short:H1", "lead-fuse:H2"] {
        let entry = format!("finding = \"{id}\"\nreason = \"why not\"\nby = \"A. Example\"\n");
        let found = accepted(&entry, id);
        assert_ne!(found.disposition, Disposition::Accepted, "{id}");
        assert!(
            found
                .acceptance
                .unwrap()
                .refused
                .unwrap()
                .contains("people or fire"),
            "{id}"
        );
    }
}

#[test]
fn an_acceptance_of_nothing_is_told() {
    let entry =
        "finding = \"enclosure-air:fan\"\nboard = \"Birch B6\"\nreason = \"watched\"\nby = \"A. Example\"\n";
    let found = accepted(entry, "accepted:enclosure-air:fan");
    assert_eq!(
        (found.verdict, found.disposition),
        (Verdict::Caution, Disposition::ToDecide)
    );
    let elsewhere =
        "finding = \"enclosure-air:fan\"\nboard = \"Alder A4\"\nreason = \"watched\"\nby = \"A. Example\"\n";
    let found = accepted(
        &format!("{elsewhere}\n[[accepted]]\n{entry}"),
        "accepted:enclosure-air:fan",
    );
    assert!(found.headline.contains("no such finding"));
}
