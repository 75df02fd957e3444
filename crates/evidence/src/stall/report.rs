//! A stall sweep told: the threshold to set, the room it has, what is still to be tried, chances over the threshold.

use quantity::si::{Ratio, ratio};
use quantity::{Number, Value};

use super::{Edge, Group, StallSweep, counts};
use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Mark, Picture, Plot, Report, Series, Table, Trouble, Verdict};
use statistics::Estimate;

impl StallSweep {
    /// Whether the proposed threshold is safe.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let shown = self.groups.iter().all(|g| g.needed == Some(0));
        if !(self.room.value > 0.0) {
            Verdict::Fails
        } else if self.room.low > 0.0 && shown {
            Verdict::Holds
        } else {
            Verdict::NotShown
        }
    }

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
        match verdict {
            Verdict::Fails => format!(
                "No threshold keeps both false triggers and misses at {allowed} or below{groups}: do not home axis {} by load as it is.",
                self.axis
            ),
            Verdict::Holds => format!(
                "Set the threshold to {}: both kinds of failure stay at {allowed} or below{groups} (with {sure} confidence), with room of {} to the nearer edge.",
                plain(self.proposed),
                plain(self.room.value),
            ),
            _ => format!(
                "{} has the most room on both sides ({} to the nearer edge), but {} with {sure} confidence that failures stay at {allowed} or below{groups}.",
                plain(self.proposed),
                plain(self.room.value),
                match self.still_needed() {
                    Some(0) => "the edges are not known well enough to show".to_owned(),
                    Some(more) => format!(
                        "{more} more clean {} there {} needed{} to show",
                        if more == 1 { "homing" } else { "homings" },
                        if more == 1 { "is" } else { "are" },
                        self.where_needed()
                    ),
                    None => "no number of trials would show".to_owned(),
                }
            ),
        }
    }

    /// Trials still needed over all groups together; nothing where no number would do.
    fn still_needed(&self) -> Option<u64> {
        self.groups.iter().map(|g| g.needed).sum()
    }

    /// The groups that still need trials, with how many.
    fn short_of_trials(&self) -> Vec<(&Group, u64)> {
        let groups = self.groups.iter();
        groups
            .filter_map(|group| Some((group, group.needed.filter(|more| *more > 0)?)))
            .collect()
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

    /// A number with its interval at the confidence that was asked for.
    fn with_interval(&self, id: &'static str, what: impl Into<String>, value: Value<Ratio>) -> Figure {
        Figure {
            confidence: Some(self.ask.confidence.base()),
            ..Figure::plain(id, what, value)
        }
    }

    fn figures(&self, verdict: Verdict) -> Vec<Figure> {
        let number = |e: Estimate| -> Value<Ratio> { e.of(ratio) };
        let mut figures = Vec::new();
        if verdict != Verdict::Fails {
            figures.push(
                Figure::plain(
                    "threshold",
                    "threshold with the most room",
                    Value::exact(ratio(self.proposed)),
                )
                .bare(),
            );
            if self.room.value.is_finite() {
                figures.push(
                    self.with_interval(
                        "room",
                        "room to the nearer edge, in its numbers",
                        number(self.room),
                    )
                    .bare(),
                );
            }
            if let Some(more) = self.still_needed().filter(|more| *more > 0) {
                figures.push(
                    Figure::plain(
                        "trials-needed",
                        "homings still needed at it, all of them clean",
                        Value::exact(ratio(more as f64)),
                    )
                    .bare(),
                );
            }
        }
        for group in &self.groups {
            for (id, what, edge) in [
                ("false-trigger-edge", "false triggers", group.touchy),
                ("miss-edge", "misses", group.numb),
            ] {
                if let Edge::Found { allowed, .. } = edge {
                    figures.push(
                        self.with_interval(
                            id,
                            format!(
                                "{what} are as frequent as allowed at this threshold{}",
                                with_label(group)
                            ),
                            number(allowed),
                        )
                        .bare(),
                    );
                }
            }
        }
        figures
    }

    fn advice(&self, verdict: Verdict) -> Vec<Advice> {
        let mut advice = Vec::new();
        if verdict == Verdict::Fails {
            advice.push(Advice::helps("Home faster or slower, or with another current, and sweep again: the load signal needs some speed, and a current that the stop can overcome."));
            advice.push(Advice::helps("Look for friction that comes and goes: a dry rail, a tight belt, a cable chain. It widens both edges."));
            advice.push(Advice::helps("Keep the limit switch for this axis."));
            advice.push(Advice::in_vain(
                "More trials at the same thresholds would not open a window that is not there.",
            ));
        }
        let beyond = |of: fn(&Group) -> Edge| self.groups.iter().any(|g| matches!(of(g), Edge::Beyond(_)));
        if beyond(|g| g.touchy) {
            advice.push(Advice::helps("Sweep on to more touchy thresholds: no false trigger was seen, so the room on that side is only as far as was tried."));
        }
        if beyond(|g| g.numb) {
            advice.push(Advice::helps("Sweep on to more numb thresholds, carefully: no miss was seen, so the room on that side is only as far as was tried."));
        }
        if verdict == Verdict::NotShown
            && let Some(more) = self.still_needed().filter(|more| *more > 0)
        {
            let each: Vec<String> = self
                .short_of_trials()
                .iter()
                .map(|(group, more)| format!("{more} {} more{}", times(*more), with_label(group)))
                .collect();
            let sure: Value<Ratio> = Value::exact(self.ask.confidence);
            let all = if each.len() > 1 {
                format!(", {more} in all")
            } else {
                String::new()
            };
            advice.push(Advice::helps(format!(
                "Home {} with the threshold {}{all}, and note each ending: that many clean ones show it with {sure} confidence; one failure among them puts the number up.",
                each.join(", "),
                plain(self.proposed),
            )));
        }
        advice.push(Advice::helps("A missed end drives the axis against its stop: low current, a hand at the switch, nothing in the way."));
        advice
    }

    fn tables(&self) -> Vec<Table> {
        let range = |e: Estimate| format!("{} ({} .. {})", plain(e.value), plain(e.low), plain(e.high));
        let edge = |edge: &Edge| match edge {
            Edge::Found {
                allowed, separated, ..
            } => {
                format!("{}{}", range(*allowed), if *separated { ", parted" } else { "" })
            }
            Edge::Beyond(last) => format!("not reached up to {}", plain(*last)),
            Edge::None => "no edge".to_owned(),
        };
        let rows = self.groups.iter().map(|g| {
            vec![
                if g.speed.is_none() && g.current.is_none() {
                    "all".to_owned()
                } else {
                    label(g)
                },
                g.trials.to_string(),
                edge(&g.touchy),
                edge(&g.numb),
                g.room.map_or_else(
                    || "–".to_owned(),
                    |[a, b]| format!("{}, {}", plain(a.value), plain(b.value)),
                ),
                g.needed.map_or_else(|| "–".to_owned(), |n| n.to_string()),
            ]
        });
        let columns = [
            "speed, current",
            "trials",
            "false triggers as allowed at",
            "misses as allowed at",
            "room at the proposed, touchy and numb",
            "homings still needed",
        ];
        let counts = counts(&self.trials, self.ask.confidence.base()).into_iter().map(
            |(threshold, n, [touchy, numb])| {
                let share = |e: Estimate| {
                    // The whole range says that no trial tells anything.
                    if e.high - e.low >= 1.0 {
                        return "–".to_owned();
                    }
                    let percent = |s: f64| format!("{:.0}", 100.0 * s);
                    format!(
                        "{} % ({} .. {})",
                        percent(e.value),
                        percent(e.low),
                        percent(e.high)
                    )
                };
                vec![plain(threshold), n.to_string(), share(touchy), share(numb)]
            },
        );
        vec![
            Table::of("Edges", &columns, rows),
            Table::of(
                format!(
                    "Trials at each threshold, with exact intervals at {}",
                    Value::<Ratio>::exact(self.ask.confidence)
                ),
                &[
                    "threshold",
                    "trials",
                    "false triggers",
                    "misses among those that reached the end",
                ],
                counts,
            ),
        ]
    }

    fn chances(&self) -> Plot {
        let all = counts(&self.trials, self.ask.confidence.base());
        let series = |name: &str, side: usize| Series {
            name: name.into(),
            points: all
                .iter()
                .filter(|(_, n, chances)| *n > 0 && chances[side].high - chances[side].low < 1.0)
                .map(|(threshold, _, chances)| [*threshold, 100.0 * chances[side].value])
                .collect(),
            dots: true,
        };
        let mut marks = Vec::new();
        if self.room.value > 0.0 {
            marks.push(Mark {
                name: "proposed".into(),
                at: self.proposed,
                upright: true,
            });
        }
        let (low, high) = (all[0].0, all[all.len() - 1].0);
        let curve = |name: String, edge: Edge| {
            // A logistic curve through its places of one half and of what is allowed.
            let Edge::Found { allowed, half, .. } = edge else {
                return None;
            };
            let odds = {
                let p = self.ask.allowed.base();
                (p / (1.0 - p)).ln()
            };
            let slope = odds / (allowed.value - half.value);
            let points = (0..=100).map(|k| low + (high - low) * f64::from(k) / 100.0);
            Some(Series {
                name,
                points: points
                    .map(|x| [x, 100.0 / (1.0 + (-slope * (x - half.value)).exp())])
                    .collect(),
                dots: false,
            })
        };
        let mut drawn = vec![series("false triggers", 0), series("misses", 1)];
        for group in self.groups.iter().take(2) {
            drawn.extend(curve(format!("fitted, false{}", with_label(group)), group.touchy));
            drawn.extend(curve(format!("fitted, missed{}", with_label(group)), group.numb));
        }
        Plot {
            title: format!("How often homing of axis {} fails", self.axis),
            x: "threshold".into(),
            y: "share of the trials, %".into(),
            series: drawn,
            marks,
            logarithmic: [false, false],
        }
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

fn times(count: u64) -> &'static str {
    if count == 1 { "time" } else { "times" }
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
