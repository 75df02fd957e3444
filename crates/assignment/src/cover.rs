//! Rows that the relaxation breaks and whole selections cannot: covers.
//!
//! Where some items together ask more of a row than it has, not all of them can be on it: of `n` such items at most `n − 1`. The
//! relaxation may hold parts of all. An item outside the cover that asks as much as the `h` largest members counts `h` times
//! (lifting after Balas 1975, from memory).

use crate::model::Model;

/// Violations below this are not worth a row.
const WORTH: f64 = 0.02;

/// A row to add: options with amounts, and a capacity.
pub(crate) type Row = (Vec<(usize, i64)>, i64);

/// The covers of the first `rows` rows that `value`, the use of each option in the relaxation, breaks.
pub(crate) fn broken(model: &Model, rows: usize, value: impl Fn(usize) -> f64) -> Vec<Row> {
    (0..rows).filter_map(|row| of_row(model, row, &value)).collect()
}

/// An item of a row from a certain amount on.
#[derive(Clone, Copy)]
struct Member {
    item: usize,
    amount: i64,
    /// How much of the item is on options that take at least `amount`.
    share: f64,
}

fn of_row(model: &Model, row: usize, value: &impl Fn(usize) -> f64) -> Option<Row> {
    let entries = model.entries_of(row);
    let capacity = model.capacity[row];
    if entries.iter().all(|entry| entry.1 == entries[0].1) {
        return None;
    }
    let mut members: Vec<Member> = entries
        .chunk_by(|a, b| model.item[a.0] == model.item[b.0])
        .filter_map(|list| member(model, list, value))
        .collect();
    members.sort_by(|a, b| {
        let price = |member: &Member| (1.0 - member.share) / member.amount as f64;
        price(a)
            .total_cmp(&price(b))
            .then(b.amount.cmp(&a.amount))
            .then(a.item.cmp(&b.item))
    });
    let mut sum = 0i64;
    let size = members.iter().position(|member| {
        sum += member.amount;
        sum > capacity
    })? + 1;
    members.truncate(size);
    // Minimal: the members that are used least go first.
    members.sort_by(|a, b| a.share.total_cmp(&b.share).then(a.item.cmp(&b.item)));
    members.retain(|member| {
        let needed = sum - member.amount <= capacity;
        sum -= if needed { 0 } else { member.amount };
        needed
    });
    lifted(model, row, members, value)
}

/// The threshold at which one item weighs most for its share.
fn member(model: &Model, list: &[(usize, i64)], value: &impl Fn(usize) -> f64) -> Option<Member> {
    let item = model.item[list[0].0];
    let share = |least: i64| {
        list.iter()
            .filter(|entry| entry.1 >= least)
            .map(|entry| value(entry.0))
            .sum()
    };
    let thresholds = list.iter().map(|&(_, amount)| Member {
        item,
        amount,
        share: share(amount),
    });
    let price = |member: &Member| (1.0 - member.share) / member.amount as f64;
    thresholds
        .filter(|member| member.share > 1e-6)
        .min_by(|a, b| price(a).total_cmp(&price(b)))
}

fn lifted(model: &Model, row: usize, mut members: Vec<Member>, value: &impl Fn(usize) -> f64) -> Option<Row> {
    members.sort_by(|a, b| b.amount.cmp(&a.amount).then(a.item.cmp(&b.item)));
    let sums: Vec<i64> = members
        .iter()
        .scan(0, |sum, member| {
            *sum += member.amount;
            Some(*sum)
        })
        .collect();
    let limit = members.len() as i64 - 1;
    let mut options = Vec::new();
    let mut used = 0.0;
    for &(option, amount) in model.entries_of(row) {
        let times = match members.iter().find(|member| member.item == model.item[option]) {
            Some(member) => i64::from(amount >= member.amount),
            None => sums.partition_point(|&sum| sum <= amount) as i64,
        };
        // An amount above the whole row was removed before; `limit` also keeps the row's own rules.
        let times = times.min(limit);
        if times > 0 {
            options.push((option, times));
            used += times as f64 * value(option);
        }
    }
    (used > limit as f64 + WORTH && limit > 0).then_some((options, limit))
}
