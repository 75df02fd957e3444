//! The filament switch: whether its word agrees with what was there, time after time.

use quantity::si::{Length, Ratio, ratio};
use quantity::{Digits, Value, show};

use crate::Refused;
use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Mark, Picture, Report, Span, Spans, Table, Trouble, Verdict};
use statistics::{CONFIDENCE, Estimate, proportion_interval, trials_for};

/// One look at the switch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Filament {
    /// Whether filament was there.
    pub there: bool,
    /// Whether the switch said so.
    pub reported: bool,
    /// How much filament had run on when the switch spoke, where it was measured.
    pub run_on: Option<Length>,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// What the looks say.
#[derive(Clone, Debug, PartialEq)]
pub struct FilamentTest {
    /// Share of looks at filament that the switch did not report: the printer would stop for nothing.
    pub false_alarms: Estimate,
    /// Share of looks without filament that the switch took for filament: the printer would print air.
    pub missed: Estimate,
    /// Whether the switch says the opposite every time.
    pub inverted: bool,
    /// The longest run-on that was measured.
    pub longest: Option<Length>,
    allowed: Ratio,
    allowed_run_on: Option<Length>,
    looks: Vec<Filament>,
}

/// Looks at a test with and without filament. `allowed` is the largest share of wrong words of either kind; `allowed_run_on` the
/// filament between the switch and the place where printing must have stopped.
///
/// # Errors
/// [`Refused`] where one of the two states was never tried, or the allowed share is not between 0 and 1.
pub fn filament_test(
    looks: &[Filament],
    allowed: Ratio,
    allowed_run_on: Option<Length>,
) -> Result<FilamentTest, Refused> {
    let with: Vec<&Filament> = looks.iter().filter(|l| l.there).collect();
    let without: Vec<&Filament> = looks.iter().filter(|l| !l.there).collect();
    if with.is_empty() || without.is_empty() {
        return Err(Refused::new(
            "the switch was tried in one state only",
            "look at it with filament and without, several times each: a switch that is stuck looks fine in one of them",
        ));
    }
    if !(allowed.value > 0.0 && allowed.value < 1.0) {
        return Err(Refused::new(
            "the allowed share of wrong words is not between 0 and 100 %",
            "write it such as \"5 %\"",
        ));
    }
    let wrong = |of: &[&Filament]| of.iter().filter(|l| l.reported != l.there).count() as u64;
    let share = |of: &[&Filament]| proportion_interval(wrong(of), of.len() as u64, CONFIDENCE);
    let longest = looks
        .iter()
        .filter_map(|l| l.run_on)
        .fold(None, |most: Option<Length>, l| Some(most.map_or(l, |m| m.max(l))));
    Ok(FilamentTest {
        false_alarms: share(&with),
        missed: share(&without),
        inverted: looks.iter().all(|l| l.reported != l.there),
        longest,
        allowed,
        allowed_run_on,
        looks: looks.to_vec(),
    })
}

impl FilamentTest {
    /// Whether the switch can be trusted.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let limit = self.allowed.value;
        let word = |e: Estimate| Verdict::at_most(e.low, e.high, limit);
        let run_on = match (self.longest, self.allowed_run_on) {
            (Some(longest), Some(allowed)) if longest > allowed => Verdict::Fails,
            _ => Verdict::Holds,
        };
        word(self.false_alarms).max(word(self.missed)).max(run_on)
    }

    fn wrong(&self) -> usize {
        self.looks.iter().filter(|l| l.reported != l.there).count()
    }

    /// The two shares of wrong words against the one that is allowed.
    fn picture(&self) -> Spans {
        let row = |there: bool, name: &str, share: Estimate| {
            let (looks, wrong) = self
                .looks
                .iter()
                .filter(|look| look.there == there)
                .fold((0, 0), |(looks, wrong), look| {
                    (looks + 1, wrong + u32::from(look.reported != there))
                });
            let shown: Value<Ratio> = share.of(ratio);
            Span {
                name: name.into(),
                ends: [share.low, share.value, share.high].map(|share| 100.0 * share),
                text: format!(
                    "{wrong} of {looks} looks wrong: {}",
                    show(&shown.into(), Digits::default())
                ),
                verdict: Verdict::at_most(share.low, share.high, self.allowed.value),
            }
        };
        Spans {
            title: "Wrong words of the switch".into(),
            axis: format!(
                "share of looks, %; exact intervals at {:.0} %",
                100.0 * CONFIDENCE
            ),
            rows: vec![
                row(true, "filament there, switch says none", self.false_alarms),
                row(false, "no filament, switch says there is", self.missed),
            ],
            limit: Some(Mark {
                name: format!("allowed: {} or less", Value::exact(self.allowed)),
                at: 100.0 * self.allowed.value,
                upright: true,
            }),
        }
    }

    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let verdict = self.verdict();
        let allowed = Value::exact(self.allowed);
        let count = self.looks.len();
        let sentence = if self.inverted {
            format!(
                "The switch says the opposite in all {count} looks: its sense is set the wrong way round."
            )
        } else if self.wrong() > 0 {
            format!("The switch was wrong in {} of {count} looks.", self.wrong())
        } else if verdict == Verdict::Holds {
            format!("The switch was right in all {count} looks: wrong words stay at {allowed} or below.")
        } else if verdict == Verdict::Fails {
            let longest = self
                .longest
                .map_or_else(String::new, |l| Value::exact(l).to_string());
            format!(
                "The switch was right in all {count} looks, but {longest} of filament ran on before it spoke: more than there is."
            )
        } else {
            format!(
                "The switch was right in all {count} looks, which are too few to show that wrong words stay at {allowed} or below."
            )
        };
        let share = |e: Estimate| -> Value<Ratio> { e.of(ratio) };
        let mut figures = vec![
            Figure::with_interval(
                "false-alarms",
                "filament there, switch says none",
                share(self.false_alarms),
            ),
            Figure::with_interval("missed", "no filament, switch says there is", share(self.missed)),
        ];
        if let Some(longest) = self.longest {
            figures.push(Figure::plain(
                "run-on",
                "longest run-on before the switch spoke",
                Value::exact(longest),
            ));
        }
        let mut advice = Vec::new();
        if self.inverted {
            advice.push(Advice::helps("Turn the sense of the input round in the settings. Mind what a broken wire then looks like: it should read as no filament."));
        } else if self.wrong() > 0 {
            advice.push(Advice::helps("Move the lead while looking: a contact that comes and goes shows. Then look at dust and the lever."));
        }
        if verdict == Verdict::NotShown {
            let state = |there: bool| self.looks.iter().filter(|l| l.there == there).count() as u64;
            let fewer = state(true).min(state(false));
            if let Some(all) =
                trials_for(self.allowed.value, 0, 0.5 + CONFIDENCE / 2.0).filter(|_| self.wrong() == 0)
            {
                advice.push(Advice::helps(format!(
                    "Look {} more times in each state, or accept a larger share.",
                    all.saturating_sub(fewer)
                )));
            }
        }
        advice.push(Advice::in_vain(
            "One look with filament in place shows nothing: a switch that is stuck passes it.",
        ));
        let rows = [(true, "there"), (false, "none")].map(|(there, word)| {
            let own = |reported: bool| {
                self.looks
                    .iter()
                    .filter(|l| l.there == there && l.reported == reported)
                    .count()
            };
            vec![word.to_owned(), own(true).to_string(), own(false).to_string()]
        });
        Report {
            title: "Filament switch".into(),
            verdict,
            sentence,
            figures,
            advice,
            tables: vec![Table::of(
                "Looks",
                &["filament", "switch says there", "switch says none"],
                rows,
            )],
            pictures: vec![Picture::Spans(self.picture())],
            troubles: self
                .looks
                .iter()
                .filter(|l| l.line > 0 && l.reported != l.there && !self.inverted)
                .map(|l| {
                    Trouble::at(
                        l.line,
                        if l.there {
                            "filament was there, the switch said none"
                        } else {
                            "no filament, the switch said there is"
                        },
                    )
                })
                .collect(),
            sources: vec!["clopper-pearson-1934"],
        }
    }
}
