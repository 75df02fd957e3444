//! What has to be bought: the board, drivers for its sockets, parts that leads and mended findings need, new devices.

use std::collections::BTreeMap;

use model::board::PortKind;
use model::{Mount, Swap};
use quantity::si::Time;
use quantity::{Number as _, Price, Value};
use serde::Serialize;

use crate::facts::harness::Part;
use crate::facts::of_whole::WholeFacts;

/// One line of the shopping list.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Line {
    /// What to buy.
    pub name: String,
    /// How many.
    pub count: u32,
    /// The price of one; `None` where nobody stated one.
    pub each: Option<Price>,
    /// What it is for: tags, or the board itself.
    pub purpose: String,
}

/// The shopping list with its sum.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Shopping {
    /// The lines, the board first.
    pub lines: Vec<Line>,
    /// The sum of all prices in the currency of the board; `None` where the board has no price.
    pub sum: Option<Price>,
    /// Lines without a price, or in another currency: they are missing in the sum.
    pub not_summed: Vec<String>,
}

/// What something costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outlay {
    /// It takes no part.
    Nothing,
    /// So much.
    Price(Price),
    /// Nobody stated it, or it depends on what is chosen.
    NotKnown,
}

/// What it takes to settle a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// The price of its parts.
    pub price: Outlay,
    /// Whole minutes of work, by someone who has done it before.
    pub minutes: i64,
}

impl Effort {
    /// "6.00 EUR, 30 min"; without a price where it takes no part, without minutes where none are known.
    #[must_use]
    pub fn words(&self) -> String {
        let price = match self.price {
            Outlay::Nothing => None,
            Outlay::Price(price) => Some(price.to_string()),
            Outlay::NotKnown => Some("price not known".to_owned()),
        };
        let minutes = (self.minutes > 0).then(|| format!("{} min", self.minutes));
        let words: Vec<String> = price.into_iter().chain(minutes).collect();
        words.join(", ")
    }
}

/// What has to be bought for an assignment and the parts that mend its blockers.
pub(crate) fn shopping_for<'a>(
    facts: &WholeFacts<'_>,
    mended: impl Iterator<Item = (&'a Part, String)>,
) -> Shopping {
    let board = facts.board;
    let mut lines = vec![Line {
        name: format!("board {}", board.name),
        count: 1,
        each: board.price.as_ref().map(|price| price.value),
        purpose: "the board itself".to_owned(),
    }];
    lines.extend(drivers(facts));
    lines.extend(parts(facts, mended));
    for pair in facts.pairs() {
        let device = pair.device();
        if device.is_new()
            && let Some(price) = &device.price
        {
            lines.push(Line {
                name: device.name.value.clone(),
                count: 1,
                each: Some(price.value),
                purpose: format!("new device {}", device.tag),
            });
        }
    }
    sum(lines)
}

/// Drivers that are not part of the board, for the sockets that are used.
fn drivers(facts: &WholeFacts<'_>) -> Vec<Line> {
    let mut out: Vec<Line> = Vec::new();
    for (at, driver) in facts.board.drivers.iter().enumerate() {
        let used = facts
            .pairs()
            .any(|pair| matches!(pair.port().kind, PortKind::Motor { driver } if driver.0 == at));
        if used
            && driver.mount == Mount::Socketed
            && let Some(price) = &driver.price
        {
            out.push(Line {
                name: "plug-in driver".to_owned(),
                count: 1,
                each: Some(price.value),
                purpose: driver.name.value.clone(),
            });
        }
    }
    out
}

/// Parts of leads and of mended findings, one line for each kind.
fn parts<'a>(facts: &WholeFacts<'_>, mended: impl Iterator<Item = (&'a Part, String)>) -> Vec<Line> {
    let mut wanted: BTreeMap<(String, Option<String>), (u32, Vec<String>)> = BTreeMap::new();
    let mut add = |part: &Part, purpose: &str| {
        let entry = wanted.entry((part.name.clone(), part.size.clone())).or_default();
        entry.0 += part.count;
        if !purpose.is_empty() && !entry.1.iter().any(|known| known == purpose) {
            entry.1.push(purpose.to_owned());
        }
    };
    for pair in facts.pairs() {
        for part in &pair.job().parts {
            add(part, &pair.device().tag.value);
        }
    }
    for (part, purpose) in mended {
        add(part, &purpose);
    }
    wanted
        .into_iter()
        .map(|((name, size), (count, purposes))| Line {
            each: part_price(facts.swap, &name),
            purpose: purposes.join(", "),
            name: size.map_or(name.clone(), |size| format!("{name}, {size}")),
            count,
        })
        .collect()
}

/// The price of a part: the user's own, else that of the catalogue.
pub(crate) fn part_price(swap: &Swap, name: &str) -> Option<Price> {
    let mut own = swap.part_prices.iter();
    own.find(|part| part.name.value == name)
        .map(|part| part.price.value)
        .or_else(|| swap.catalogue.parts().get(name).map(|part| part.price))
}

/// The time to fit a part that mends a finding, in whole minutes.
pub(crate) fn minutes_of(swap: &Swap, part: &Part) -> i64 {
    let row = swap.catalogue.parts().get(&part.name);
    row.map_or(0, |row| minutes(row.effort)) * i64::from(part.count)
}

/// A time in whole minutes, rounded up.
pub(crate) fn minutes(effort: Value<Time>) -> i64 {
    let minutes = (effort.high().base() / 60.0).ceil();
    #[expect(clippy::cast_possible_truncation, reason = "an hour or two at the most")]
    let whole = minutes as i64;
    whole
}

fn sum(lines: Vec<Line>) -> Shopping {
    let mut sum = lines.first().and_then(|board| board.each);
    let mut not_summed = Vec::new();
    for line in lines.iter().skip(1) {
        let added = match (sum, line.each) {
            (Some(sum), Some(each)) => sum.checked_add(each.times(line.count)),
            _ => None,
        };
        match added {
            Some(_) => sum = added,
            None => not_summed.push(line.name.clone()),
        }
    }
    Shopping {
        lines,
        sum,
        not_summed,
    }
}
