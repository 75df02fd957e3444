//! The candidate boards side by side: a ranking that can be explained in a sentence a board, and the Pareto front.

use model::Swap;
use quantity::Price;
use serde::Serialize;

use crate::decisions::cables::cables;
use crate::decisions::plan::{Plan, plan};
use crate::decisions::shopping::shopping;
use crate::facts::shopping::Shopping;
use crate::rules::checks::check_named;
use crate::rules::judging::{ByHarm, Finding, Stake, Verdict};

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
    pub unassigned: i64,
    /// Findings that forbid it, needed devices without a port among them.
    pub blockers: usize,
    /// How many of them are open: a fact that nobody stated would settle them.
    #[serde(skip_serializing_if = "is_zero")]
    pub open: usize,
    /// The same by harm.
    pub blocked: ByHarm,
    /// The identifiers of these findings, worst harm first; that of the check alone where it was planned without words.
    pub blocked_by: Vec<String>,
    /// Cautions, whatever is left to do about them.
    pub cautions: usize,
    /// Cautions that a person has to decide: neither handled by the plan, nor accepted, nor a limit of the machine.
    pub to_decide: usize,
    /// The same by harm.
    pub decide: ByHarm,
    /// The identifiers of these findings, worst harm first.
    pub decide_on: Vec<String>,
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
    /// Settings that the reader has to change; those that change because of where devices go, where nobody has looked at the settings.
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

impl Comparison {
    /// The best candidate, if no finding forbids it; nothing is taken by default where all are forbidden.
    #[must_use]
    pub fn best(&self) -> Option<&Entry> {
        self.entries.first().filter(|entry| entry.is_free())
    }
    /// The first candidate that nothing forbids but what is not known yet, where no candidate is free; as a start to find that out.
    #[must_use]
    pub fn provisional(&self) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.open == entry.blockers)
    }
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "the signature that serde asks for"
)]
fn is_zero(count: &usize) -> bool {
    *count == 0
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
    let open: Vec<&Finding> = plan.to_decide();
    let open: Vec<&Finding> = open
        .into_iter()
        .filter(|finding| finding.verdict < Verdict::Blocker)
        .collect();
    // A lead that is just plugged over takes a minute.
    let connected = cables(plan).into_iter().filter(|row| row.new_port.is_some());
    let minutes: Vec<i64> = connected.map(|row| row.minutes).collect();
    Entry {
        board: plan.board.name.value.clone(),
        candidate,
        unassigned: plan.optimum.objective.unassigned.sum(),
        blockers: plan.count(Verdict::Blocker),
        open: plan
            .with(Verdict::Blocker)
            .iter()
            .filter(|finding| finding.open.is_some())
            .count(),
        blocked: plan.by_harm(Verdict::Blocker),
        blocked_by: plan
            .with(Verdict::Blocker)
            .into_iter()
            .map(|finding| finding.id.clone())
            .collect(),
        cautions: plan.count(Verdict::Caution),
        to_decide: open.len(),
        decide: open.iter().map(|finding| finding.stake).collect(),
        decide_on: open.iter().map(|finding| finding.id.clone()).collect(),
        wishes: (plan.wishes_served(), total),
        wishes_lost: lost.map(|(wish, _)| wish.name.value.clone()).collect(),
        tightest: tightest(plan),
        price: shopping.sum,
        shopping,
        settings: plan
            .settings_to_change
            .map_or(plan.optimum.objective.settings, |count| {
                i64::try_from(count).unwrap_or(i64::MAX)
            }),
        minutes: minutes.iter().sum(),
        cables_to_work_on: minutes.iter().filter(|minutes| **minutes > 1).count(),
        pareto: false,
        because: String::new(),
    }
}

impl Entry {
    /// Whether no finding forbids it.
    #[must_use]
    pub fn is_free(&self) -> bool {
        self.blockers == 0
    }
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

/// The order, that of plans: blockers by harm, then wishes by value, then what is left to decide by harm, settings, work on cables, price; the
/// place in the file settles what is equal else. A price that is not stated counts as the highest.
fn key(entry: &Entry) -> (ByHarm, i64, ByHarm, i64, i64, i64, usize) {
    let price = entry.price.map_or(i64::MAX, Price::hundredths);
    (
        entry.blocked,
        -entry.wishes.0,
        entry.decide,
        entry.settings,
        entry.minutes,
        price,
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

/// At least as good in every respect and better in one: blockers and what is left to decide, each by harm, wishes, price, settings, work.
fn dominates(one: &Entry, other: &Entry) -> bool {
    let respects = |entry: &Entry| {
        let price = entry.price.map_or(i64::MAX, Price::hundredths);
        (
            entry.blocked,
            entry.decide,
            [-entry.wishes.0, price, entry.settings, entry.minutes],
        )
    };
    let (one, other) = (respects(one), respects(other));
    one.0 <= other.0 && one.1 <= other.1 && one.2.iter().zip(&other.2).all(|(a, b)| a <= b) && one != other
}

/// By how much one price is above another.
fn difference(one: Option<Price>, other: Option<Price>) -> Option<Price> {
    let other = other?;
    let less = Price::new(-other.hundredths(), other.currency().as_bytes().try_into().ok()?);
    one?.checked_add(less).filter(|more| more.hundredths() > 0)
}

/// The wishes that the one serves and the other does not.
fn gained<'a>(one: &Entry, other: &'a Entry) -> Vec<&'a str> {
    let lost = other.wishes_lost.iter();
    lost.filter(|wish| !one.wishes_lost.contains(wish))
        .map(String::as_str)
        .collect()
}

/// How many there are of each harm, in words: "2 for people and fire, 1 for parts".
fn harms(count: ByHarm) -> String {
    let harms = [
        (count.safety, Stake::Safety),
        (count.hardware, Stake::Hardware),
        (count.function, Stake::Function),
    ];
    let words: Vec<String> = harms
        .iter()
        .filter(|(number, _)| *number > 0)
        .map(|(number, stake)| format!("{number} for {}", stake.words()))
        .collect();
    words.join(", ")
}

/// The first of some identifiers, and how many more there are.
fn named(ids: &[String], most: usize) -> String {
    let first = ids.iter().take(most).cloned().collect::<Vec<_>>().join(", ");
    match ids.len().saturating_sub(most) {
        0 => first,
        more => format!("{first} and {more} more"),
    }
}

/// What a board has over another: wishes that only it meets, then what it has less of; `words` says in whose words: "fewer" and "less", or
/// "more" of what the other one has to bear.
fn advantages(one: &Entry, other: &Entry, (fewer, less): (&str, &str)) -> Vec<String> {
    let mut out: Vec<String> = gained(one, other).into_iter().map(str::to_owned).collect();
    out.extend(difference(other.price, one.price).map(|by| format!("{by} {less}")));
    let minutes = other.minutes - one.minutes;
    let decide = other.decide.sum() - one.decide.sum();
    let safety = other.decide.safety - one.decide.safety;
    if minutes > 0 {
        out.push(format!("{minutes} min {less} work"));
    }
    // How many of them are for people and fire stands in the table; here where the sum would hide it.
    if decide > 0 {
        out.push(format!("{decide} {fewer} to decide"));
    } else if safety > 0 {
        out.push(format!("{safety} {fewer} to decide for people and fire"));
    }
    out
}

/// What can hurt somebody while it is open.
fn hurts(entry: &Entry) -> Option<String> {
    const NAMED: usize = 1;
    let count = usize::try_from(entry.decide.safety).unwrap_or(0);
    // Those that stake people come first.
    let ids = entry.decide_on.get(..count).unwrap_or_default();
    (count > 0).then(|| format!("Can hurt: {}", named(ids, NAMED)))
}

/// Against the first board, and for the first against the next: what one gains, what one loses, what can hurt; blockers by name.
fn reason(ranked: &[Entry], at: usize) -> String {
    const NAMED: usize = 4;
    let entry = &ranked[at];
    let mut parts = Vec::new();
    if !entry.is_free() {
        parts.push(format!(
            "Not usable, {} ({}): {}",
            crate::decisions::plan::blocking(entry.blockers, entry.open),
            harms(entry.blocked),
            named(&entry.blocked_by, NAMED)
        ));
    }
    let rival = if at == 0 { ranked.get(1) } else { ranked.first() };
    let Some(rival) = rival else {
        parts.extend(hurts(entry));
        return if parts.is_empty() {
            "The only candidate, nothing forbids it".to_owned()
        } else {
            parts.join(". ")
        };
    };
    let gains = advantages(entry, rival, ("fewer", "less"));
    let loses = advantages(rival, entry, ("more", "more"));
    if !gains.is_empty() {
        parts.push(format!("Gains over {}: {}", rival.board, gains.join(", ")));
    }
    if !loses.is_empty() {
        parts.push(format!("Loses: {}", loses.join(", ")));
    }
    if gains.is_empty() && loses.is_empty() {
        parts.push(format!("Level with {}", rival.board));
    }
    // Of a board that nobody can use as it is its blockers say enough.
    parts.extend(hurts(entry).filter(|_| entry.is_free()));
    parts.join(". ")
}
