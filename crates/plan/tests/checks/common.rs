//! What holds for every check: sources resolve, words stand alone, counting and keeping agree.

use crate::support::Case;
use plan::{Finding, Judge, PAIR_CHECKS, Setup, Verdict, WHOLE_CHECKS, run_pair, run_whole};
use proptest::prelude::*;

#[test]
fn the_base_swap_loads_and_serves_everything() {
    let loaded = Case::new().load();
    let plan = loaded.plan();
    assert_eq!(plan.optimum.objective.unassigned.sum(), 0, "{:#?}", plan.findings);
    assert!(plan.ways.iter().all(Option::is_some), "{:#?}", plan.ways);
}

#[test]
fn identifiers_are_unique() {
    let mut ids: Vec<&str> = PAIR_CHECKS.iter().map(|check| check.id).collect();
    ids.extend(WHOLE_CHECKS.iter().map(|check| check.id));
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count);
}

/// What a reader may ask of every finding.
fn well_worded(finding: &Finding) {
    let (id, sources) = (&finding.id, catalogue::built_in().sources());
    assert!(sources.get(finding.source).is_some(), "{id}: {}", finding.source);
    let texts = [Some(&*finding.headline), finding.remedy.as_deref()];
    for text in texts.into_iter().flatten() {
        let odd = ["NaN", "inf ", "unbounded", "  ", " ,", "{", "()"];
        assert!(!text.is_empty() && !text.ends_with('.'), "{id}: {text}");
        assert!(!odd.iter().any(|odd| text.contains(odd)), "{id}: {text}");
    }
    if finding.verdict >= Verdict::Caution {
        assert!(finding.remedy.is_some(), "{id} does not say what to do");
    }
    for working in &finding.working {
        let source = working.formula.source;
        assert!(sources.get(source).is_some(), "{id}: {source}");
        assert!(
            working.result.low.is_finite() && working.result.high.is_finite(),
            "{id}: {working:?}"
        );
    }
    for part in &finding.parts {
        assert!(
            catalogue::built_in().parts().get(&part.name).is_some(),
            "{id}: {}",
            part.name
        );
    }
    let value = finding
        .value
        .iter()
        .all(|value| value.low.is_finite() && value.high.is_finite());
    assert!(value, "{id}: {:?}", finding.value);
}

#[test]
fn every_finding_has_words_and_a_source_that_resolves() {
    let loaded = Case::new().load();
    loaded.plan().findings.iter().for_each(well_worded);
    // Also of the ways that the plan does not take.
    for (id, device) in loaded.swap.machine.device_ids() {
        for candidate in loaded.candidates(id) {
            for check in PAIR_CHECKS {
                let findings = loaded.pairs_in(check.id, &device.tag.value, candidate.way);
                findings.iter().for_each(well_worded);
            }
        }
    }
}

#[test]
fn the_examples_get_findings_that_can_be_read() {
    for name in ["demo", "second", "third"] {
        let swap = crate::support::example(name);
        for board in &swap.candidates {
            let plan = plan::plan(&swap, board);
            assert!(plan.findings.len() > 100, "{name}, {}", board.name);
            plan.findings.iter().for_each(well_worded);
        }
    }
}

#[test]
fn the_whole_is_counted_as_it_is_kept() {
    let loaded = Case::new().load();
    let plan = loaded.plan();
    for check in WHOLE_CHECKS {
        let (mut counting, mut keeping) = (Judge::counting(), Judge::keeping());
        run_whole(check, &plan.facts(), &mut counting);
        run_whole(check, &plan.facts(), &mut keeping);
        assert_eq!(
            (counting.cautions(), counting.blockers()),
            (keeping.cautions(), keeping.blockers()),
            "{}",
            check.id
        );
    }
}

/// The solver counts, people read: both see the same verdicts for every way of every device.
#[test]
fn counting_and_keeping_agree() {
    let loaded = Case::new().load();
    for (id, device) in loaded.swap.machine.device_ids() {
        for candidate in loaded.candidates(id) {
            let pair = loaded.at(&device.tag.value, candidate.way);
            for check in PAIR_CHECKS {
                let (mut counting, mut keeping) = (Judge::counting(), Judge::keeping());
                run_pair(check, &pair, &mut counting);
                run_pair(check, &pair, &mut keeping);
                let (cautions, blockers) = (keeping.cautions(), keeping.blockers());
                let to_decide = keeping.to_decide();
                assert_eq!(counting.to_decide(), to_decide, "{}", check.id);
                assert_eq!(
                    (counting.cautions(), counting.blockers()),
                    (cautions, blockers),
                    "{}",
                    check.id
                );
                let findings = keeping.into_findings();
                let count = |verdict| {
                    findings
                        .iter()
                        .filter(|finding| finding.verdict == verdict)
                        .count()
                };
                assert_eq!(
                    count(Verdict::Caution),
                    usize::try_from(cautions.sum()).unwrap(),
                    "{}",
                    check.id
                );
                assert_eq!(count(Verdict::Blocker), blockers as usize, "{}", check.id);
                // What a finding says that the plan deals with leaves the assignment nothing to decide, but for a circuit beside the board.
                let beside = |place: &plan::Handling| {
                    use plan::ActionKind::{ExternalSwitch, OwnSupply};
                    matches!(
                        place,
                        plan::Handling::Wiring {
                            work: ExternalSwitch | OwnSupply,
                            ..
                        }
                    )
                };
                let open = findings.iter().filter(|finding| {
                    let dealt = !finding.handled_by.is_empty() && !finding.handled_by.iter().any(beside);
                    finding.verdict == Verdict::Caution && !dealt
                });
                let open: plan::ByHarm = open.map(|finding| finding.stake).collect();
                assert_eq!(open, to_decide, "{} {}", check.id, device.tag);
            }
        }
    }
}

/// Tolerances that the properties below draw samples from: where it stands, the line with the nominal value, per cent.
const TOLERANT: [(&str, &str, f64, &str, f64); 8] = [
    ("PS", "voltage", 24.0, "V", 4.0),
    ("H1", "power", 40.0, "W", 9.0),
    ("H2", "power", 192.0, "W", 8.0),
    ("F1", "current", 0.2, "A", 20.0),
    ("PA", "current", 0.2, "A", 30.0),
    ("BP", "current", 0.4, "A", 25.0),
    ("MX", "resistance", 1.65, "Ω", 10.0),
    ("MZ", "holding_torque", 0.35, "N m", 10.0),
];
const TOLERANT_PORTS: [(&str, &str, f64, &str, f64); 3] = [
    ("HEAT1", "switch_resistance", 6.0, "mΩ", 40.0),
    ("BED", "switch_resistance", 4.0, "mΩ", 40.0),
    ("TH1", "pull_up", 4.7, "kΩ", 1.0),
];

/// The base with each of these values as `text` writes it.
fn written(text: &mut dyn FnMut(f64, &str, f64) -> String) -> Case {
    let mut case = Case::new();
    for (tag, key, nominal, unit, percent) in TOLERANT {
        case = case.device(tag, &format!("{key} = '{}'", text(nominal, unit, percent)));
    }
    for (port, key, nominal, unit, percent) in TOLERANT_PORTS {
        case = case.port(port, &format!("{key} = '{}'", text(nominal, unit, percent)));
    }
    case
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Whatever the true values inside the tolerances are, the number of a finding lies in its interval.
    #[test]
    fn intervals_hold_every_sample(shares in proptest::collection::vec(-1.0..=1.0_f64, 11)) {
        let tolerant = written(&mut |nominal, unit, percent| format!("{nominal} {unit} ± {percent} %")).load();
        let mut shares = shares.into_iter();
        let sampled = written(&mut |nominal, unit, percent| {
            let share = shares.next().expect("a share for each value");
            format!("{} {unit}", nominal * (1.0 + share * percent / 100.0))
        })
        .load();
        let plan = tolerant.plan();
        let setup = Setup::new(sampled.site(), &plan.ways);
        let exact = plan::findings(&setup.facts());
        for finding in &plan.findings {
            let Some(interval) = finding.value else { continue };
            let Some(sample) = exact.iter().find(|other| other.id == finding.id) else { continue };
            let Some(value) = sample.value else { continue };
            let slack = 1e-9 * value.nominal.abs();
            prop_assert!(
                interval.low - slack <= value.nominal && value.nominal <= interval.high + slack,
                "{}: {} is not in {}", finding.id, value, interval
            );
        }
    }
}

/// Each number opens into its formula: no finding with a figure has an empty working.
#[test]
fn each_figure_has_its_working() {
    for name in ["demo", "second", "third"] {
        let swap = model::load(&samples::example(name)).expect("an example");
        let mut figures = 0;
        for board in &swap.candidates {
            for finding in plan::plan(&swap, board).findings {
                if finding.value.is_some() || finding.margin.is_some() {
                    figures += 1;
                    assert!(
                        !finding.working.is_empty(),
                        "{}: {}",
                        finding.id,
                        finding.headline
                    );
                }
            }
        }
        assert!(figures > 50, "{name}: {figures}");
    }
}

/// What is accepted is left to nobody to decide; a blocker stays, whatever somebody accepts.
#[test]
fn what_is_accepted_is_settled_and_a_blocker_is_not() {
    let accepted = |finding: &str| {
        format!(
            "\n[[accepted]]\nfinding = \"{finding}\"\nreason = \"it is pressed by hand each day\"\nby = \"somebody\"\n"
        )
    };
    let open = Case::new().device("LX", "output = 'contact, normally open'");
    let loaded = open.add("swap.toml", &accepted("broken-wire:LX-IN1")).load();
    let plan = loaded.plan().settled(|_| false);
    let found = plan
        .findings
        .iter()
        .find(|finding| finding.id == "broken-wire:LX-IN1");
    let found = found.expect("the finding");
    assert_eq!(found.disposition, plan::Disposition::Accepted);
    assert_eq!(found.acceptance.as_ref().expect("who").refused, None);
    let left_off = Case::new().without_port("IN1").without_port("IN2");
    let loaded = left_off.add("swap.toml", &accepted("unassigned:LX")).load();
    let plan = loaded.plan().settled(|_| false);
    let found = plan.findings.iter().find(|finding| finding.id == "unassigned:LX");
    let found = found.expect("the finding");
    assert_eq!(found.disposition, plan::Disposition::ToDecide);
    assert!(found.acceptance.as_ref().expect("who").refused.is_some());
}

/// An entry about a finding that is not there is to be mended where no other board could have it.
#[test]
fn what_is_accepted_and_not_there_is_told() {
    let entry = "\n[[accepted]]\nfinding = \"broken-wire:NOBODY\"\nreason = \"once it was there\"\nby = \"somebody\"\n";
    let loaded = Case::new().add("swap.toml", entry).load();
    let plan = loaded.plan().settled(|_| false);
    let told: Vec<&Finding> = plan
        .findings
        .iter()
        .filter(|finding| finding.check == plan::ACCEPTED)
        .collect();
    assert_eq!(told.len(), 1);
    assert_eq!(
        told[0].verdict,
        Verdict::Caution,
        "this board is the one candidate"
    );
}
