//! What it takes to settle a finding: price and minutes.

use plan::{LATER_CHECKS, Outlay, PAIR_CHECKS, WHOLE_CHECKS, plan};
use samples::Folder;

#[test]
fn each_check_says_what_its_first_remedy_takes() {
    let table = catalogue::built_in();
    let ids = PAIR_CHECKS.iter().map(|check| check.id);
    let ids = ids.chain(WHOLE_CHECKS.iter().map(|check| check.id));
    let ids: Vec<&str> = ids.chain(LATER_CHECKS.iter().map(|check| check.id)).collect();
    let missing: Vec<&&str> = ids
        .iter()
        .filter(|id| table.remedies().of(id).is_none())
        .collect();
    assert!(missing.is_empty(), "no row of remedies.toml for {missing:?}");
    for row in table.remedies().rows() {
        let check = row.name.split(':').next().unwrap_or_default();
        assert!(ids.contains(&check), "`{}` is of no check", row.name);
        for part in &row.parts {
            assert!(
                table.parts().get(part).is_some(),
                "`{}`: no part `{part}`",
                row.name
            );
        }
    }
}

#[test]
fn what_is_left_to_decide_has_its_price_and_minutes() {
    let swap = model::load(&samples::example("demo")).expect("the demo");
    let board = swap
        .candidates
        .iter()
        .find(|board| board.name.value == "Birch B6");
    let found = plan(&swap, board.expect("a board of the demo"));
    assert!(found.to_decide().len() >= 5);
    for finding in found.to_decide() {
        let effort = found.effort(finding).expect(&finding.id);
        assert!(
            effort.price != Outlay::Nothing || effort.minutes > 0,
            "{}",
            finding.id
        );
    }
    let said = |id: &str| {
        let finding = found.findings.iter().find(|finding| finding.id == id);
        found.effort(finding.expect(id)).expect(id).words()
    };
    // A new cable at 6.00 EUR and 30 min, a fuse with its holder at 3.00 EUR and 20 min: rows of parts.toml.
    assert_eq!(said("lead-fuse:H2"), "9 EUR, 50 min");
    assert_eq!(said("input-fuse:short-circuit"), "1 min");
}

/// A user's own price counts, and his own row of what a remedy takes.
#[test]
fn rows_of_the_users_own_go_before() {
    let mut folder: Folder = samples::example("demo");
    let own = "[[remedy]]\nname = \"input-fuse:short-circuit\"\neffort = \"7 min\"\n";
    folder.insert("catalogue/remedies.toml".to_owned(), own.into());
    let swap = model::load(&folder).expect("the demo");
    let found = plan(&swap, &swap.candidates[1]);
    let finding = found
        .findings
        .iter()
        .find(|finding| finding.id == "input-fuse:short-circuit");
    let effort = found.effort(finding.expect("the finding"));
    assert_eq!(effort.map(|effort| effort.words()).as_deref(), Some("7 min"));
}
