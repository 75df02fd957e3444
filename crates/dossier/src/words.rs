//! Numbers and verdicts in words, the same in every document.

use physics::{Chance, Working};
use plan::{Entry, Finding, Kept, Limit, Row, Side, Verdict, WireRow};
use quantity::{AnyValue, Digits, Number as _, Quantity, Value, show, si::Ratio};

/// Below this share of the limit, other than 0, a margin is only said to be smaller.
const LEAST: f64 = 0.0005;

/// Beyond this share of the limit a percentage is no longer read but counted.
const FAR: f64 = 2.0;

/// A quantity in a sentence or a picture: three digits, no tolerance.
pub(crate) fn brief<Q: Quantity>(quantity: Q) -> String {
    show(&AnyValue::from(Value::exact(quantity)), Digits::new(3))
}

/// A margin as a share of the limit: "+12 %", "−3 %"; far from it a multiple says more: "21 × the limit".
#[must_use]
pub fn share(margin: f64) -> String {
    if margin < -FAR {
        return format!("{:.0} × the limit", 1.0 - margin);
    }
    if margin > FAR {
        return format!("over +{:.0} %", FAR * 100.0);
    }
    if margin == 0.0 {
        return "0 %".to_owned();
    }
    let sign = if margin < 0.0 { "−" } else { "+" };
    if margin.abs() < LEAST {
        return format!("under {sign}0.1 %");
    }
    format!("{sign}{}", percent(margin.abs()))
}

/// The tightest limits of a board: "+0.5 % air around the board, +1.9 % voltage of the device".
#[must_use]
pub fn tightest(entry: &Entry) -> String {
    let named = entry
        .tightest
        .iter()
        .map(|tight| format!("{} {}", share(tight.margin), uncapital(tight.title)));
    named.collect::<Vec<_>>().join(", ")
}

/// A share as a percentage; near the limit a decimal tells on which side.
pub(crate) fn percent(share: f64) -> String {
    if share > 0.0 && share < LEAST {
        return "under 0.1 %".to_owned();
    }
    let percent = share * 100.0;
    if percent > 0.0 && percent < 1.0 {
        return format!("{percent:.1} %");
    }
    format!("{percent:.0} %")
}

/// A margin as a clause: "12 % of the limit to spare", "3 % beyond the limit".
pub(crate) fn spare(margin: f64) -> String {
    if margin < -FAR {
        return format!("{:.0} times the limit", 1.0 - margin);
    }
    if margin == 0.0 {
        return "at the limit".to_owned();
    }
    let percent = percent(margin.abs());
    if margin < 0.0 {
        format!("{percent} beyond the limit")
    } else {
        format!("{percent} of the limit to spare")
    }
}

/// How often something held: "97.3 % of machines (97.1 .. 97.4 %)", with the 95 % interval of the probability.
pub(crate) fn chance(chance: Chance) -> String {
    let interval = chance.interval();
    let show = |ratio: Ratio| {
        let percent = ratio.base() * 100.0;
        let digits = if percent.min(100.0 - percent) < 1.0 { 3 } else { 1 };
        format!("{percent:.digits$}")
    };
    match chance.held {
        held if held == chance.draws => {
            format!("every draw (more than {} % of machines)", show(interval.low()))
        }
        0 => format!("no draw (less than {} % of machines)", show(interval.high())),
        _ => format!(
            "{} % of machines ({} .. {} %)",
            show(interval.nominal()),
            show(interval.low()),
            show(interval.high())
        ),
    }
}

/// The margin at the worst corner, and those that 5 % and half of the draws stay below.
pub(crate) fn rooms(finding: &Finding, kept: &Kept) -> Vec<String> {
    let say = |margin: f64| {
        if margin <= Kept::LOWEST {
            "far beyond".to_owned()
        } else {
            share(margin)
        }
    };
    let drawn = [0.05, 0.5]
        .into_iter()
        .filter_map(|part| kept.margin_at(part))
        .map(say);
    finding.margin.map(share).into_iter().chain(drawn).collect()
}

/// "at most 1.5 A".
pub(crate) fn limit(limit: &Limit) -> String {
    let side = match limit.side {
        Side::AtMost => "at most",
        Side::AtLeast => "at least",
    };
    format!("{side} {}", limit.bound)
}

/// The verdict in the plural: "2 passes", "1 blocker".
pub(crate) fn counted(count: usize, verdict: Verdict) -> String {
    let ending = match (count, verdict) {
        (1, _) => "",
        (_, Verdict::Pass) => "es",
        _ => "s",
    };
    format!("{count} {}{ending}", verdict.word())
}

/// "1 minute", "3 minutes".
pub(crate) fn plural(count: impl TryInto<i64> + Copy, one: &str, many: &str) -> String {
    let count: i64 = count.try_into().unwrap_or(i64::MAX);
    format!("{count} {}", if count == 1 { one } else { many })
}

/// The corners at which a result is lowest and highest.
pub(crate) fn corners(working: &Working) -> Option<String> {
    let parts: Vec<String> = [working.lowest_at(), working.highest_at()]
        .into_iter()
        .flatten()
        .collect();
    (!parts.is_empty()).then(|| parts.join("; "))
}

/// A sentence with a capital at its start and a full stop; names of devices keep their own case.
pub(crate) fn sentence(text: &str) -> String {
    let mut out = capital(text);
    if !out.ends_with(['.', '!', '?']) {
        out.push('.');
    }
    out
}

/// A heading inside a sentence: its first letter small.
pub(crate) fn uncapital(text: &str) -> String {
    let mut rest = text.chars();
    rest.next()
        .map_or_else(String::new, |first| first.to_lowercase().chain(rest).collect())
}

/// The first letter as a capital.
pub(crate) fn capital(text: &str) -> String {
    let mut rest = text.chars();
    match rest.next() {
        Some(first) => first.to_uppercase().chain(rest).collect(),
        None => String::new(),
    }
}

/// The value that was judged and its limit, where there are both: "1.2 A, at most 1.5 A".
pub(crate) fn value_and_limit(finding: &Finding) -> Option<(String, String)> {
    let (value, bound) = (finding.value.as_ref()?, finding.limit.as_ref()?);
    Some((value.to_string(), limit(bound)))
}

/// What becomes of a wire that has no pin at the new port.
pub(crate) fn elsewhere(row: &Row, wire: &WireRow) -> &'static str {
    let own_supply = row.way.is_some_and(|way| way.own_supply);
    match (&row.new_port, wire.function.as_str()) {
        (_, "unused") => "",
        (Some(_), "+") if own_supply => "to the converter",
        _ => "insulate",
    }
}
