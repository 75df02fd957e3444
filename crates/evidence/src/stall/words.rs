//! A stall-threshold test told: the threshold to set, the room it has, what is still to be tried, chances over the threshold.

use quantity::Number as _;
use quantity::Value;
use quantity::si::{Ratio, ratio};
use statistics::Estimate;

use super::{Count, Edge, Group, StallThresholdTest};
use crate::Refused;
use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Mark, Picture, Plot, Report, Series, Table, Trouble, Verdict};

pub(super) fn no_chance() -> Refused {
    Refused::new(
        "the allowed chance of a failed homing is not between 0 and 50 %",
        "write it as a share, such as \"5 %\"",
    )
}

pub(super) fn no_confidence() -> Refused {
    Refused::new(
        "the confidence is not between 50 and 100 %",
        "write it as a share, such as \"95 %\"; 100 % cannot be had from any number of trials",
    )
}

pub(super) fn no_threshold(line: u64) -> Refused {
    Refused::new(
        format!("line {line} holds no threshold"),
        "write the number that the controller was given",
    )
}

pub(super) fn nothing() -> Refused {
    Refused::new(
        "there is no trial",
        "home at several thresholds and note how each homing ended",
    )
}

pub(super) fn none_failed(axis: &str) -> Refused {
    Refused::new(
        format!("axis {axis}: no homing failed, so that no edge is known"),
        "try thresholds in both directions until homings fail; the room is measured from there",
    )
}

pub(super) fn unchanging(axis: &str) -> Refused {
    Refused::new(
        format!("axis {axis}: the outcomes do not change with the threshold"),
        "try at least two thresholds, a sensitive and an insensitive one",
    )
}

impl StallThresholdTest {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let verdict = self.verdict();
        Report {
            title: format!("Stall threshold, axis {}", self.axis),
            verdict,
            sentence: self.sentence(verdict),
            figures: self.figures(verdict),
            advice: self.advice(verdict),
            tables: self.tables(),
            pictures: vec![Picture::Plot(self.chances())],
            troubles: self.troubles(),
            sources: vec!["firth-1993", "clopper-pearson-1934", "nist-handbook"],
        }
    }

    fn sentence(&self, verdict: Verdict) -> String {
        let allowed: Value<Ratio> = Value::exact(self.ask.allowed);
        let sure: Value<Ratio> = Value::exact(self.ask.confidence);
        let groups = if self.groups.len() > 1 {
            " at every speed and current tried"
        } else {
            ""
        };
        let (threshold, room) = (plain(self.proposed), plain(self.room.value));
        match verdict {
            Verdict::Fail => format!(
                "No threshold keeps both false triggers and misses at {allowed} or below{groups}: do not home axis {} by load as it is.",
                self.axis
            ),
            Verdict::Pass => format!(
                "Set the threshold to {threshold}: both kinds of failure stay at {allowed} or below{groups} (with {sure} confidence), with room of {room} to the nearer edge."
            ),
            _ => format!(
                "{threshold} has the most room on both sides ({room} to the nearer edge), but {} with {sure} confidence that failures stay at {allowed} or below{groups}.",
                self.what_is_missing()
            ),
        }
    }

    fn what_is_missing(&self) -> String {
        match self.still_needed() {
            Some(0) => "the edges are not known well enough to show".to_owned(),
            Some(more) => {
                let (homings, are) = if more == 1 {
                    ("homing", "is")
                } else {
                    ("homings", "are")
                };
                let at = self.where_needed();
                format!("{more} more clean {homings} there {are} needed{at} to show")
            }
            None => "no number of trials would show".to_owned(),
        }
    }

    /// At which speed and current, behind a number of homings: " at 40 mm/s", or " (30 at 40 mm/s, 58 at 80 mm/s)".
    fn where_needed(&self) -> String {
        match &self.short_of_trials()[..] {
            [(group, _)] => with_label(group),
            several => {
                let each: Vec<String> = several
                    .iter()
                    .map(|(group, more)| format!("{more}{}", with_label(group)))
                    .collect();
                format!(" ({})", each.join(", "))
            }
        }
    }

    fn figures(&self, verdict: Verdict) -> Vec<Figure> {
        let mut figures = Vec::new();
        if verdict != Verdict::Fail {
            figures.extend(self.figures_of_the_proposed());
        }
        for group in &self.groups {
            let edges = [
                ("false-trigger-edge", "false triggers", group.touchy),
                ("miss-edge", "misses", group.numb),
            ];
            for (id, what, edge) in edges {
                if let Edge::Found { allowed, .. } = edge {
                    let at = with_label(group);
                    let what = format!("{what} are as frequent as allowed at this threshold{at}");
                    figures.push(self.interval(id, what, allowed));
                }
            }
        }
        figures
    }

    fn figures_of_the_proposed(&self) -> Vec<Figure> {
        let exact = |id, what: &str, number: f64| Figure::plain(id, what, Value::exact(ratio(number))).bare();
        let mut figures = vec![exact("threshold", "threshold with the most room", self.proposed)];
        if self.room.value.is_finite() {
            figures.push(self.interval("room", "room to the nearer edge, in its numbers", self.room));
        }
        if let Some(more) = self.still_needed().filter(|more| *more > 0) {
            let what = "homings still needed at it, all of them clean";
            figures.push(exact("trials-needed", what, more as f64));
        }
        figures
    }

    /// A number of the controller with its interval at the confidence that was asked for.
    fn interval(&self, id: &'static str, what: impl Into<String>, number: Estimate) -> Figure {
        Figure {
            confidence: Some(self.ask.confidence.base()),
            ..Figure::plain(id, what, number.of(ratio)).bare()
        }
    }

    fn advice(&self, verdict: Verdict) -> Vec<Advice> {
        let mut advice = Vec::new();
        if verdict == Verdict::Fail {
            advice.push(Advice::helps("Home faster or slower, or with another current, and sweep again: the load signal needs some speed, and a current that the stop can overcome."));
            advice.push(Advice::helps("Look for friction that comes and goes: a dry rail, a tight belt, a cable chain. It widens both edges."));
            advice.push(Advice::helps("Keep the limit switch for this axis."));
            advice.push(Advice::in_vain(
                "More trials at the same thresholds would not open a window that is not there.",
            ));
        }
        let beyond = |of: fn(&Group) -> Edge| self.groups.iter().any(|g| matches!(of(g), Edge::Beyond(_)));
        if beyond(|g| g.touchy) {
            advice.push(Advice::helps("Sweep on to more sensitive thresholds: no false trigger was seen, so the room on that side is only as far as was tried."));
        }
        if beyond(|g| g.numb) {
            advice.push(Advice::helps("Sweep on to more numb thresholds, carefully: no miss was seen, so the room on that side is only as far as was tried."));
        }
        if verdict == Verdict::Open {
            let more = self.still_needed().filter(|more| *more > 0);
            advice.extend(more.map(|more| self.home_again(more)));
        }
        advice.push(Advice::helps("A missed end drives the axis against its stop: low current, a hand at the switch, nothing in the way."));
        advice
    }

    fn home_again(&self, more: u64) -> Advice {
        let short = self.short_of_trials();
        let each = short.iter().map(|(group, more)| {
            let times = if *more == 1 { "time" } else { "times" };
            format!("{more} {times} more{}", with_label(group))
        });
        let each: Vec<String> = each.collect();
        let sure: Value<Ratio> = Value::exact(self.ask.confidence);
        let all = if each.len() > 1 {
            format!(", {more} in all")
        } else {
            String::new()
        };
        Advice::helps(format!(
            "Home {} with the threshold {}{all}, and note each ending: that many clean ones show it with {sure} confidence; one failure among them puts the number up.",
            each.join(", "),
            plain(self.proposed),
        ))
    }

    fn tables(&self) -> Vec<Table> {
        let edges = [
            "speed, current",
            "trials",
            "false triggers as allowed at",
            "misses as allowed at",
            "room at the proposed, sensitive and insensitive",
            "homings still needed",
        ];
        let counts = [
            "threshold",
            "trials",
            "false triggers",
            "misses among those that reached the end",
        ];
        let intervals = format!(
            "Trials at each threshold, with exact intervals at {}",
            Value::<Ratio>::exact(self.ask.confidence)
        );
        vec![
            Table::of("Edges", &edges, self.groups.iter().map(group_row)),
            Table::of(intervals, &counts, self.counts().iter().map(count_row)),
        ]
    }

    fn chances(&self) -> Plot {
        let counts = self.counts();
        let seen = |name: &str, side: usize| {
            let told = counts.iter().filter(|own| tells(own.chances[side]));
            let points = told.map(|own| [own.threshold, 100.0 * own.chances[side].value]);
            Series::dots(name, points)
        };
        let (low, high) = (counts[0].threshold, counts[counts.len() - 1].threshold);
        let fitted = |what: &str, group: &Group, edge: Edge| {
            let curve = edge.curve(low, high, self.ask.allowed.base())?;
            Some(Series::line(
                format!("fitted, {what}{}", with_label(group)),
                curve,
            ))
        };
        let mut drawn = vec![seen("false triggers", 0), seen("misses", 1)];
        for group in self.groups.iter().take(2) {
            drawn.extend(fitted("false", group, group.touchy));
            drawn.extend(fitted("missed", group, group.numb));
        }
        let proposed = (self.room.value > 0.0).then(|| Mark::upright("proposed", self.proposed));
        Plot::new(
            format!("How often homing of axis {} fails", self.axis),
            ["threshold", "share of the trials, %"],
            drawn,
        )
        .marked(proposed)
    }

    fn troubles(&self) -> Vec<Trouble> {
        let mut troubles = Vec::new();
        for group in &self.groups {
            let none = matches!(group.touchy, Edge::None) || matches!(group.numb, Edge::None);
            if none {
                troubles.push(Trouble::of_all(format!(
                    "no edge can be fitted{}: every homing failed in one way, or failures become rarer in the wrong direction",
                    with_label(group)
                )));
            }
            if let (Edge::Found { separated: true, .. }, _) | (_, Edge::Found { separated: true, .. }) =
                (group.touchy, group.numb)
            {
                troubles.push(Trouble::of_all(format!(
                    "one value parts the outcomes{}: how steep the edge is can only be bounded; trials between the last clean and the first failed threshold would tell",
                    with_label(group)
                )));
            }
        }
        troubles
    }
}

/// The whole range says that no trial tells anything.
fn tells(chance: Estimate) -> bool {
    chance.high - chance.low < 1.0
}

fn group_row(group: &Group) -> Vec<String> {
    let edge = |edge: &Edge| match edge {
        Edge::Found {
            allowed, separated, ..
        } => format!(
            "{} ({} .. {}){}",
            plain(allowed.value),
            plain(allowed.low),
            plain(allowed.high),
            if *separated { ", parted" } else { "" }
        ),
        Edge::Beyond(last) => format!("not reached up to {}", plain(*last)),
        Edge::None => "no edge".to_owned(),
    };
    let none = || "–".to_owned();
    let speed_and_current = Some(label(group)).filter(|label| !label.is_empty());
    vec![
        speed_and_current.unwrap_or_else(|| "all".to_owned()),
        group.trials.to_string(),
        edge(&group.touchy),
        edge(&group.numb),
        group
            .room
            .map_or_else(none, |[a, b]| format!("{}, {}", plain(a.value), plain(b.value))),
        group.needed.map_or_else(none, |n| n.to_string()),
    ]
}

fn count_row(count: &Count) -> Vec<String> {
    let share = |chance: Estimate| {
        if !tells(chance) {
            return "–".to_owned();
        }
        let [value, low, high] =
            [chance.value, chance.low, chance.high].map(|share| format!("{:.0}", 100.0 * share));
        format!("{value} % ({low} .. {high})")
    };
    let [touchy, numb] = count.chances.map(share);
    vec![plain(count.threshold), count.trials.to_string(), touchy, numb]
}

fn label(group: &Group) -> String {
    let speed = group.speed.map(|s| Value::exact(s).to_string());
    let current = group.current.map(|c| Value::exact(c).to_string());
    [speed, current]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(", ")
}

fn with_label(group: &Group) -> String {
    match label(group) {
        text if text.is_empty() => text,
        text => format!(" at {text}"),
    }
}

/// A threshold as people write it: no decimals that were not tried.
fn plain(number: f64) -> String {
    if !number.is_finite() {
        return "unbounded".to_owned();
    }
    let text = format!("{number:.1}").replace('-', "−");
    text.strip_suffix(".0")
        .map_or_else(|| text.clone(), str::to_owned)
}
