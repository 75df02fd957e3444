//! `price`: the board and what others ask for.

use crate::support::Case;
use plan::{WHOLE_CHECKS, shopping};

#[test]
fn the_sum_is_that_of_the_shopping_list() {
    let loaded = Case::new().device("LS", "led_count = 60").load();
    let plan = loaded.plan();
    let finding = plan.finding("price").expect("a finding about the price");
    let sum = shopping(&plan).sum.expect("a sum");
    assert!(
        finding.headline.contains(&sum.to_string()),
        "{} {sum}",
        finding.headline
    );
    assert!(plan.findings.iter().any(|finding| !finding.parts.is_empty()));
}

#[test]
fn it_comes_last_so_that_it_counts_all_parts() {
    assert_eq!(WHOLE_CHECKS.last().map(|check| check.id), Some("price"));
}

#[test]
fn a_board_without_a_price_says_so() {
    let case = Case::new().without_line("new.toml", "name = \"New board\"", "price");
    let finding = case.whole("price");
    assert!(
        finding.headline.contains("not in its file"),
        "{}",
        finding.headline
    );
}
