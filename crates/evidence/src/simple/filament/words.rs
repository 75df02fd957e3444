//! The filament switch told.

use quantity::si::ratio;
use quantity::{Digits, Value, show};
use statistics::{CONFIDENCE, Estimate};

use super::{Filament, FilamentTest};
use crate::Refused;
use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Mark, Picture, Report, Span, Spans, Table, Trouble, Verdict};

pub(super) fn one_state() -> Refused {
    Refused::new(
        "the switch was tried in one state only",
        "look at it with filament and without, several times each: a switch that is stuck looks fine in one of them",
    )
}

pub(super) fn no_share() -> Refused {
    Refused::new(
        "the allowed share of wrong words is not between 0 and 100 %",
        "write it such as \"5 %\"",
    )
}

impl FilamentTest {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        Report {
            title: "Filament switch".into(),
            verdict: self.verdict(),
            sentence: self.sentence(),
            figures: self.figures(),
            advice: self.advice(),
            tables: vec![self.table()],
            pictures: vec![Picture::Spans(self.picture())],
            troubles: self.troubles(),
            sources: vec!["clopper-pearson-1934"],
        }
    }

    fn sentence(&self) -> String {
        let allowed = Value::exact(self.allowed);
        let count = self.looks.len();
        let wrong = self.wrong().count();
        if self.inverted {
            return format!(
                "The switch says the opposite in all {count} looks: its sense is set the wrong way round."
            );
        }
        if let Some(said) = self.stuck {
            let said = if said { "filament" } else { "no filament" };
            return format!("The switch says {said} in all {count} looks, with and without it.");
        }
        if wrong > 0 {
            return format!("The switch was wrong in {wrong} of {count} looks.");
        }
        match self.verdict() {
            Verdict::Pass => {
                format!("The switch was right in all {count} looks: wrong words stay at {allowed} or below.")
            }
            Verdict::Fail => {
                let longest = self
                    .longest
                    .map_or_else(String::new, |l| Value::exact(l).to_string());
                format!(
                    "The switch was right in all {count} looks, but {longest} of filament ran on before it spoke: more than there is."
                )
            }
            _ => format!(
                "The switch was right in all {count} looks, which are too few to show that wrong words stay at {allowed} or below."
            ),
        }
    }

    fn figures(&self) -> Vec<Figure> {
        let share = |id, what: &str, share: Estimate| Figure::with_interval(id, what, share.of(ratio));
        let mut figures = vec![
            share("false-alarms", FALSE_ALARM, self.false_alarms),
            share("missed", MISSED, self.missed),
        ];
        figures.extend(self.longest.map(|longest| {
            Figure::plain(
                "run-on",
                "longest run-on before the switch spoke",
                Value::exact(longest),
            )
        }));
        figures
    }

    fn advice(&self) -> Vec<Advice> {
        let mut advice = Vec::new();
        let some_wrong = self.wrong().next().is_some();
        if self.inverted {
            advice.push(Advice::helps("Turn the sense of the input round in the settings. Mind what a broken wire then looks like: it should read as no filament."));
        } else if self.stuck.is_some() {
            advice.push(Advice::helps("Work the lever by hand with a meter on the contacts. If it switches, look for a broken or shorted wire, the pin and the pull-up setting of the input; if not, replace the switch."));
        } else if some_wrong {
            advice.push(Advice::helps("Move the cable while looking: a contact that comes and goes shows. Then look at dust and the lever."));
        }
        if self.verdict() == Verdict::Open
            && !some_wrong
            && let Some(more) = self.still_needed()
        {
            advice.push(Advice::helps(format!(
                "Look {more} more times in each state, or accept a larger share."
            )));
        }
        advice.push(Advice::in_vain(
            "One look with filament in place shows nothing: a switch that is stuck passes it.",
        ));
        advice
    }

    fn table(&self) -> Table {
        let rows = [(true, "there"), (false, "none")].map(|(there, word)| {
            let own = |reported: bool| self.count(there, reported).to_string();
            vec![word.to_owned(), own(true), own(false)]
        });
        Table::of(
            "Looks",
            &["filament", "switch says there", "switch says none"],
            rows,
        )
    }

    /// The two shares of wrong words against the one that is allowed.
    fn picture(&self) -> Spans {
        Spans {
            title: "Wrong words of the switch".into(),
            axis: format!(
                "share of looks, %; exact intervals at {:.0} %",
                100.0 * CONFIDENCE
            ),
            rows: vec![
                self.span(true, FALSE_ALARM, self.false_alarms),
                self.span(false, MISSED, self.missed),
            ],
            limit: Some(Mark::upright(
                format!("allowed: {} or less", Value::exact(self.allowed)),
                100.0 * self.allowed.value,
            )),
        }
    }

    fn span(&self, there: bool, name: &str, share: Estimate) -> Span {
        let (wrong, right) = (self.count(there, !there), self.count(there, there));
        Span {
            name: name.into(),
            ends: [share.low, share.value, share.high].map(|share| 100.0 * share),
            text: format!(
                "{wrong} of {} looks wrong: {}",
                wrong + right,
                show(&share.of(ratio).into(), Digits::default())
            ),
            verdict: Verdict::at_most(share.low, share.high, self.allowed.value),
        }
    }

    fn troubles(&self) -> Vec<Trouble> {
        let told = |look: &Filament| {
            let what = if look.there {
                "filament was there, the switch said none"
            } else {
                "no filament, the switch said there is"
            };
            Trouble::at(look.line, what)
        };
        let wrong = self
            .wrong()
            .filter(|look| look.line > 0 && !self.inverted && self.stuck.is_none());
        wrong.map(told).collect()
    }
}

const FALSE_ALARM: &str = "filament there, switch says none";
const MISSED: &str = "no filament, switch says there is";
