//! What holds for every check: sources resolve, words stand alone, counting and keeping agree.

use crate::support::Case;
use plan::{Judge, PAIR_CHECKS, Verdict, WHOLE_CHECKS, compatible, run_pair};

#[test]
fn the_base_swap_loads_and_serves_everything() {
    let loaded = Case::new().load();
    let plan = loaded.plan();
    assert_eq!(plan.optimum.objective.unserved, 0, "{:#?}", plan.findings);
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

#[test]
fn every_finding_has_words_and_a_source_that_resolves() {
    let sources = catalogue::built_in().sources();
    for finding in &Case::new().load().plan().findings {
        assert!(
            sources.get(finding.source).is_some(),
            "{}: {}",
            finding.id,
            finding.source
        );
        assert!(
            !finding.headline.is_empty() && !finding.headline.ends_with('.'),
            "{}",
            finding.id
        );
        if finding.verdict >= Verdict::Caution {
            assert!(finding.remedy.is_some(), "{} does not say what to do", finding.id);
        }
        for working in &finding.working {
            assert!(
                sources.get(working.formula.source).is_some(),
                "{}",
                working.formula.id
            );
        }
    }
}

/// The solver counts, people read: both see the same verdicts for every way of every device.
#[test]
fn counting_and_keeping_agree() {
    let loaded = Case::new().load();
    let board = &loaded.swap.candidates[0];
    for (id, device) in loaded.swap.machine.device_ids() {
        for candidate in compatible::candidates(&loaded.swap, board, id) {
            let pair = loaded.at(&device.tag.value, candidate.way);
            for check in PAIR_CHECKS {
                let (mut counting, mut keeping) = (Judge::counting(), Judge::keeping());
                run_pair(check, &pair, &mut counting);
                run_pair(check, &pair, &mut keeping);
                let (cautions, blockers) = (keeping.cautions(), keeping.blockers());
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
                assert_eq!(count(Verdict::Caution), cautions as usize, "{}", check.id);
                assert_eq!(count(Verdict::Blocker), blockers as usize, "{}", check.id);
            }
        }
    }
}
