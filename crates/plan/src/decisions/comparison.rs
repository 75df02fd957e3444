//! The candidate boards side by side: a ranking that can be explained in a sentence a board, and the Pareto front.

use model::Swap;
use quantity::Price;
use serde::Serialize;

use crate::decisions::plan::{Plan, plan};
use crate::decisions::shopping::shopping;
use crate::facts::shopping::Shopping;
use crate::rules::checks::check_named;
use crate::rules::judging::{Finding, Verdict};

/// So many of its tightest limits are named for each candidate.
const TIGHTEST: usize = 3;

/// A limit that holds, but not by much.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Tight {
    /// The identifier of the finding.
    pub finding: String,
    /// The heading of its check.
    pub title: &'static str,
    /// What is left to the limit at the worst corner, as a share of the limit; 0 or more.
    pub margin: f64,
}

/// One candidate in the comparison.
#[derive(Clone, Debug, Serialize)]
pub struct Entry {
    /// The name of the board.
    pub board: String,
    /// Its place among the candidates of the swap.
    pub candidate: usize,
    /// Needed devices without a port.
    pub unserved: i64,
    /// Findings that forbid it.
    pub blockers: usize,
    /// Findings to look at.
    pub cautions: usize,
    /// Value of the wishes it serves, and of all wishes.
    pub wishes: (i64, i64),
    /// The names of the wishes it does not serve.
    pub wishes_lost: Vec<String>,
    /// The tightest limits that hold, the tightest first, one for a check; what breaks its limit is counted as a blocker, a caution or a
    /// note already. Limits that are the machine's own, whatever the board, are left out.
    pub tightest: Vec<Tight>,
    /// What it costs with everything it needs.
    pub price: Option<Price>,
    /// The shopping list.
    pub shopping: Shopping,
    /// Settings that change because of where devices go.
    pub settings: i64,
    /// Minutes of harness work.
    pub minutes: i64,
    /// Leads that are not just plugged over.
    pub cables_to_work_on: usize,
    /// Whether no other candidate is better in one respect and as good in all.
    pub pareto: bool,
    /// Why it stands where it stands, in a sentence.
    pub because: String,
}

/// All candidates, best first.
#[derive(Clone, Debug, Serialize)]
pub struct Comparison {
    /// Best first.
    pub entries: Vec<Entry>,
}

/// Plans every candidate and ranks them.
#[must_use]
pub fn compare(swap: &Swap) -> Comparison {
    let plans: Vec<Plan<'_>> = swap.candidates.iter().map(|board| plan(swap, board)).collect();
    rank(
        &plans
            .iter()
            .enumerate()
            .map(|(at, plan)| entry(plan, at))
            .collect::<Vec<_>>(),
    )
}

/// The entry of one planned candidate, not yet ranked.
#[must_use]
pub fn entry(plan: &Plan<'_>, candidate: usize) -> Entry {
    let shopping = shopping(plan);
    let total: i64 = plan
        .swap
        .wishes
        .iter()
        .map(|wish| i64::from(wish.weight.value))
        .sum();
    let lost = plan
        .swap
        .wishes
        .iter()
        .zip(&plan.served)
        .filter(|(_, served)| !**served);
    // A lead that is just plugged over takes a minute.
    let minutes: Vec<i64> = plan.facts().pairs().map(|pair| pair.job().minutes).collect();
    Entry {
        board: plan.board.name.value.clone(),
        candidate,
        unserved: plan.optimum.objective.unserved,
        blockers: plan.count(Verdict::Blocker),
        cautions: plan.count(Verdict::Caution),
        wishes: (plan.wishes_served(), total),
        wishes_lost: lost.map(|(wish, _)| wish.name.value.clone()).collect(),
        tightest: tightest(plan),
        price: shopping.sum,
        shopping,
        settings: plan.optimum.objective.settings,
        minutes: minutes.iter().sum(),
        cables_to_work_on: minutes.iter().filter(|minutes| **minutes > 1).count(),
        pareto: false,
        because: String::new(),
    }
}

impl Entry {
    /// The smallest margin of all limits that hold; `None` where there is no limit.
    #[must_use]
    pub fn least_margin(&self) -> Option<f64> {
        self.tightest.first().map(|tight| tight.margin)
    }
}

fn tightest(plan: &Plan<'_>) -> Vec<Tight> {
    let mut held: Vec<(f64, &Finding)> = plan
        .findings
        .iter()
        .filter_map(|finding| Some((finding.margin?, finding)))
        .filter(|(margin, _)| *margin >= 0.0)
        .collect();
    held.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut tightest: Vec<Tight> = Vec::with_capacity(TIGHTEST);
    for (margin, finding) in held {
        if tightest.len() == TIGHTEST {
            break;
        }
        // Looked up last: a list of a thousand boards must not ask for each finding.
        let check = check_named(finding.check).filter(|check| !check.of_machine);
        let Some(check) = check.filter(|check| tightest.iter().all(|other| other.title != check.title))
        else {
            continue;
        };
        tightest.push(Tight {
            finding: finding.id.clone(),
            title: check.title,
            margin,
        });
    }
    tightest
}

/// The order: no blockers before blockers, then wishes served, then price, then cautions, then work.
fn key(entry: &Entry) -> (bool, i64, i64, i64, usize, i64, usize) {
    let price = entry.price.map_or(i64::MAX, Price::hundredths);
    (
        entry.blockers > 0,
        entry.unserved,
        -entry.wishes.0,
        price,
        entry.cautions,
        entry.minutes,
        entry.candidate,
    )
}

/// Orders entries, marks the Pareto front, and says why each stands where it stands.
#[must_use]
pub fn rank(entries: &[Entry]) -> Comparison {
    let mut ranked: Vec<Entry> = entries.to_vec();
    ranked.sort_by_key(key);
    let marks: Vec<bool> = ranked
        .iter()
        .map(|entry| !ranked.iter().any(|other| dominates(other, entry)))
        .collect();
    let reasons: Vec<String> = (0..ranked.len()).map(|at| reason(&ranked, at)).collect();
    for ((entry, pareto), because) in ranked.iter_mut().zip(marks).zip(reasons) {
        entry.pareto = pareto;
        entry.because = because;
    }
    Comparison { entries: ranked }
}

/// At least as good in every respect and better in one: blockers, cautions, wishes, price, settings, work.
fn dominates(one: &Entry, other: &Entry) -> bool {
    let respects = |entry: &Entry| {
        let price = entry.price.map_or(i64::MAX, Price::hundredths);
        let count = |number: usize| i64::try_from(number).unwrap_or(i64::MAX);
        [
            count(entry.blockers),
            count(entry.cautions),
            -entry.wishes.0,
            price,
            entry.settings,
            entry.minutes,
        ]
    };
    let (one, other) = (respects(one), respects(other));
    one.iter().zip(&other).all(|(a, b)| a <= b) && one != other
}

/// By how much one price is above another.
fn difference(one: Option<Price>, other: Option<Price>) -> Option<Price> {
    let other = other?;
    let less = Price::new(-other.hundredths(), other.currency().as_bytes().try_into().ok()?);
    one?.checked_add(less).filter(|more| more.hundredths() > 0)
}

/// The wishes that the one serves and the other does not.
fn gained(one: &Entry, other: &Entry) -> String {
    let only: Vec<&str> = other
        .wishes_lost
        .iter()
        .filter(|wish| !one.wishes_lost.contains(wish))
        .map(String::as_str)
        .collect();
    only.join(", ")
}

fn reason(ranked: &[Entry], at: usize) -> String {
    let entry = &ranked[at];
    let wishes = format!("serves {} of {} points of wishes", entry.wishes.0, entry.wishes.1);
    let price = entry.price.map_or_else(
        || "its price is not stated".to_owned(),
        |price| format!("{price} with parts"),
    );
    if entry.blockers > 0 {
        let what = if entry.unserved > 0 {
            let s = if entry.unserved == 1 { "" } else { "s" };
            format!(
                "{} needed device{s} without a port among its {} blockers",
                entry.unserved, entry.blockers
            )
        } else if entry.blockers == 1 {
            "a blocker".to_owned()
        } else {
            format!("{} blockers", entry.blockers)
        };
        return format!("cannot be used as it is: {what}; {wishes}, {price}");
    }
    let Some(before) = at.checked_sub(1).map(|at| &ranked[at]) else {
        let rival = ranked.get(1).filter(|rival| rival.blockers == 0);
        return match rival {
            None => format!("the only one without a blocker; {wishes}, {price}"),
            Some(rival) if rival.wishes.0 < entry.wishes.0 => {
                let more = entry.wishes.0 - rival.wishes.0;
                let price = match difference(entry.price, rival.price) {
                    Some(dearer) => {
                        format!(
                            "{price}, {dearer} more than {} for {more} points: {}",
                            rival.board,
                            gained(entry, rival)
                        )
                    }
                    None => price,
                };
                format!("no blocker and the most wishes: {wishes}; {price}")
            }
            Some(rival) => {
                let theirs = rival
                    .price
                    .map_or_else(|| "an unknown price".to_owned(), |price| price.to_string());
                format!(
                    "no blocker, as many wishes as the next one, at the better price: {wishes}, {price} against {theirs}"
                )
            }
        };
    };
    if before.wishes.0 > entry.wishes.0 {
        let lost = entry.wishes_lost.join(", ");
        return format!("no blocker, but {wishes} (not served: {lost}); {price}");
    }
    if before.price.map(Price::hundredths) != entry.price.map(Price::hundredths) {
        let by = difference(entry.price, before.price).map_or_else(String::new, |by| format!(" by {by}"));
        return format!(
            "serves as many wishes as {}, but is dearer{by}: {price}",
            before.board
        );
    }
    format!(
        "level with {} in wishes and price; {} cautions, {} min of work",
        before.board, entry.cautions, entry.minutes
    )
}
