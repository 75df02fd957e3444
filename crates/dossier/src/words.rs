//! Numbers and verdicts in words, the same in every document.

use physics::{Chance, Working};
use plan::{Finding, Kept, Verdict, WireRow};
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
pub(crate) fn share(margin: f64) -> String {
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

/// A margin of a finding: of temperatures in kelvins, "+12 K", of all else as a share of the limit.
pub(crate) fn room_of(finding: &Finding, margin: f64) -> String {
    match finding.kelvins(margin) {
        Some(kelvins) if margin < 0.0 => format!("−{}", brief(kelvins * -1.0)),
        Some(kelvins) if margin > 0.0 => format!("+{}", brief(kelvins)),
        Some(_) => "0 K".to_owned(),
        None => share(margin),
    }
}

/// As [`spare`]: of temperatures "12 K to spare", "229 K beyond the limit".
pub(crate) fn spare_of(finding: &Finding, margin: f64) -> String {
    match finding.kelvins(margin) {
        Some(kelvins) if margin < 0.0 => format!("{} beyond the limit", brief(kelvins * -1.0)),
        Some(kelvins) if margin > 0.0 => format!("{} to spare", brief(kelvins)),
        _ => spare(margin),
    }
}

/// How often something held: "97.3 % of machines (97.1 .. 97.4 %)", with the 95 % interval of the probability.
pub(crate) fn chance(chance: Chance) -> String {
    let (share, interval) = held(chance);
    match share.as_str() {
        "all" => format!("every trial ({interval} of machines)"),
        "none" => format!("no trial ({interval} of machines)"),
        _ => format!("{share} of machines ({interval})"),
    }
}

/// The share and its interval: "97.3 %" and "97.1 .. 97.4 %", "all" and "more than 99.8 %".
pub(crate) fn held(chance: Chance) -> (String, String) {
    let interval = chance.interval();
    let (low, high) = (digits(interval.low()), digits(interval.high()));
    match chance.held {
        held if held == chance.draws => ("all".to_owned(), format!("more than {low} %")),
        0 => ("none".to_owned(), format!("less than {high} %")),
        _ => (
            format!("{} %", digits(chance.share())),
            format!("{low} .. {high} %"),
        ),
    }
}

/// A percentage with as many digits as it takes to see how far it is from 0 and 100.
fn digits(ratio: Ratio) -> String {
    let percent = ratio.base() * 100.0;
    let digits = match percent.min(100.0 - percent) {
        far if far >= 1.0 => 1,
        near if near >= 0.1 => 2,
        _ => 3,
    };
    format!("{percent:.digits$}")
}

/// The margin at the worst corner, and those that 5 % and half of the draws stay below.
pub(crate) fn rooms(finding: &Finding, kept: &Kept) -> Vec<String> {
    let say = |margin: f64| {
        if margin <= Kept::LOWEST {
            "far beyond".to_owned()
        } else {
            room_of(finding, margin)
        }
    };
    let drawn = [0.05, 0.5]
        .into_iter()
        .filter_map(|part| kept.margin_at(part))
        .map(say);
    finding
        .margin
        .map(|margin| room_of(finding, margin))
        .into_iter()
        .chain(drawn)
        .collect()
}

/// The verdict in the plural: "2 passes", "1 blocker".
pub(crate) fn counted(count: usize, verdict: Verdict) -> String {
    let words = match (count, verdict) {
        (1, verdict) => verdict.word(),
        (_, Verdict::Pass) => "passes",
        (_, Verdict::Note) => "notes",
        (_, Verdict::Caution) => "actions required",
        (_, Verdict::Blocker) => "blockers",
    };
    format!("{count} {words}")
}

/// A count with its thousands parted.
pub(crate) fn thousands(count: u64) -> String {
    let digits = count.to_string();
    let mut out = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            out.push('\u{a0}');
        }
        out.push(digit);
    }
    out
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

/// The words up to the first `;` or end of a sentence outside brackets and code, and what follows.
pub(crate) fn first_clause(words: &str) -> (&str, &str) {
    words.split_at(end_of_first(words, true))
}

/// The first sentence without its stop, and what follows it.
pub(crate) fn first_sentence(words: &str) -> (&str, &str) {
    let (first, rest) = words.split_at(end_of_first(words, false));
    (first, rest.trim_start_matches(['.', ' ']))
}

fn end_of_first(words: &str, clause: bool) -> usize {
    let (mut depth, mut code) = (0_u32, false);
    for (at, letter) in words.char_indices() {
        match letter {
            '`' => code = !code,
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            ';' if clause && depth == 0 && !code && !words[at + 1..].trim().is_empty() => return at,
            // A decimal point ends no sentence.
            // Two dots are a range.
            '.' if depth == 0
                && !code
                && words[at + 1..].starts_with(' ')
                && !words[..at].ends_with(['.', ' ']) =>
            {
                return at;
            }
            _ => {}
        }
    }
    words.len()
}

/// The first letter as a capital; a name of a file or a key keeps its own.
pub(crate) fn capital(text: &str) -> String {
    let first = text.split(' ').next().unwrap_or_default();
    let name = |c: char| c.is_ascii_digit() || matches!(c, '.' | '_' | '/' | '`');
    let mut rest = text.chars();
    match rest.next() {
        Some(letter) if !first.trim_end_matches('.').contains(name) => {
            letter.to_uppercase().chain(rest).collect()
        }
        _ => text.to_owned(),
    }
}

/// What becomes of a wire that has no pin at the new port.
pub(crate) fn elsewhere(wire: &WireRow) -> &'static str {
    match wire.function.as_str() {
        "unused" => "",
        _ => wire.elsewhere.unwrap_or("insulate"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_screen_takes_the_first_clause() {
        let cases = [
            ("keep it off edges; fit a fuse", "keep it off edges"),
            ("fit a fuse (`a; b`; c. d) now", "fit a fuse (`a; b`; c. d) now"),
            ("fit a fuse; ", "fit a fuse; "),
            ("fit 2.5 A. Never more.", "fit 2.5 A"),
            ("from 11 V .. 16 V on. Never more.", "from 11 V .. 16 V on"),
            ("fit a fuse.", "fit a fuse."),
            ("", ""),
        ];
        for (words, first) in cases {
            assert_eq!(first_clause(words).0, first);
        }
        assert_eq!(
            first_sentence("fit 2.5 A. Never more."),
            ("fit 2.5 A", "Never more.")
        );
        assert_eq!(first_sentence("one; two. Three"), ("one; two", "Three"));
    }

    #[test]
    fn names_keep_their_case() {
        assert_eq!(capital("hot-end heater"), "Hot-end heater");
        assert_eq!(capital("open."), "Open.");
        for name in ["hot-end.csv less it", "e0 turns", "`cut_out` is new", "ω", ""] {
            assert_eq!(capital(name).to_lowercase(), name);
        }
        assert_eq!(capital("hot-end.csv less it"), "hot-end.csv less it");
        assert_eq!(sentence("a part, 12.5 V"), "A part, 12.5 V.");
    }
}
