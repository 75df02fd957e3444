//! The extruder told.

use quantity::Value;
use quantity::si::ratio;

use super::ExtruderCalibration;
use crate::Refused;
use crate::calibration::words::{of_ratio, of_steps, off_by, signed_percent};
use crate::lengths::{interval, mm};
use crate::report::{Advice, Figure, Picture, Plot, Report, Series, Table, Trouble, Verdict};

pub(super) fn too_few(pulls: usize) -> Refused {
    Refused::new(
        format!("{pulls} pulls give no uncertainty"),
        "feed at least three times, better five times each of 50 mm, 100 mm and 200 mm",
    )
}

pub(super) fn no_length(line: u64) -> Refused {
    Refused::new(
        format!("line {line}: a length is not above zero"),
        "write the length commanded and the length that went in, both in millimetres",
    )
}

pub(super) fn no_steps() -> Refused {
    Refused::new(
        "the steps that were set, or the share that the feed may be off, are not above zero",
        "write them such as \"415 step/mm\" and \"0.5 %\"",
    )
}

pub(super) fn shorter() -> Refused {
    Refused::new(
        "longer commanded lengths gave shorter measured ones",
        "look whether the columns are mixed up, or the filament slipped",
    )
}

pub(super) fn no_line() -> Refused {
    Refused::new(
        "no line fits the pulls",
        "write lengths that are plain numbers, in millimetres",
    )
}

impl ExtruderCalibration {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let verdict = self.verdict();
        Report {
            title: "Extruder steps".into(),
            verdict,
            sentence: self.sentence(verdict),
            figures: self.figures(),
            advice: self.advice(verdict),
            tables: vec![self.table()],
            pictures: vec![Picture::Plot(self.plot())],
            troubles: self.troubles(),
            sources: vec!["nist-handbook"],
        }
    }

    fn sentence(&self, verdict: Verdict) -> String {
        let steps = self.steps.map(of_steps);
        let new = steps.map_or_else(String::new, |steps| format!("; the steps that fit are {steps}"));
        let off = off_by(self.feed, ["too little", "too much"]);
        let allowed = Value::exact(self.ask.allowed);
        match verdict {
            Verdict::Pass => {
                format!("The extruder feeds {off}, within ± {allowed}: leave the steps as they are.")
            }
            Verdict::Fail => {
                format!("The extruder feeds {off}, more than ± {allowed}{new}.")
            }
            _ => format!(
                "The extruder seems to feed {off}, but these pulls do not show whether that is within ± {allowed}{new}."
            ),
        }
    }

    fn figures(&self) -> Vec<Figure> {
        let mut figures = Vec::new();
        let steps = self.steps.map(of_steps);
        figures.extend(steps.map(|steps| Figure::with_interval("steps", "steps to set", steps)));
        figures.push(Figure::with_interval(
            "feed",
            "length fed over length commanded",
            of_ratio(self.feed),
        ));
        figures.push(interval(
            "deviation",
            "scatter of a single measured length",
            self.deviation,
        ));
        figures.extend(self.offset.map(|offset| {
            interval(
                "offset",
                "what each measured length is off by, whatever its size",
                offset,
            )
        }));
        figures
    }

    fn advice(&self, verdict: Verdict) -> Vec<Advice> {
        let mut advice = Vec::new();
        match verdict {
            Verdict::Fail => advice.push(Advice::helps(
                "Set the new steps, and pull once more to see that they fit.",
            )),
            Verdict::Pass => advice.push(Advice::in_vain(
                "Setting the new number would change nothing that these pulls can show.",
            )),
            _ => advice.push(Advice::helps(
                "Pull longer lengths: the reading errs by the same few tenths, and matters less.",
            )),
        }
        if self.offset.is_some_and(|offset| !offset.holds(0.0)) {
            advice.push(Advice::helps("Look at how the length is read: each is off by the same amount (a mark that is not at zero, slack in the filament). The steps above leave it out."));
        }
        advice.push(Advice::helps("Pull slowly, hot, with the nozzle as it prints or taken off: fast pulls slip, and then the number is about grip and not about steps."));
        advice
    }

    fn table(&self) -> Table {
        let rows = self.pulls.iter().map(|p| {
            let (commanded, measured) = (mm(p.commanded), mm(p.measured));
            vec![
                format!("{commanded:.2}"),
                format!("{measured:.2}"),
                signed_percent(measured / commanded - 1.0),
            ]
        });
        Table::of("Pulls", &["commanded, mm", "measured, mm", "off by"], rows)
    }

    fn plot(&self) -> Plot {
        let pulls = self.pulls.iter();
        let points = pulls.map(|p| [mm(p.commanded), mm(p.measured) - mm(p.commanded)]);
        let longest = self.pulls.iter().map(|p| mm(p.commanded)).fold(0.0, f64::max);
        let offset = self.offset.map_or(0.0, |o| o.value);
        let line = [0.0, longest].map(|x| [x, offset + (self.feed.value - 1.0) * x]);
        Plot::new(
            "What went in less what was commanded",
            ["commanded, mm", "difference, mm"],
            vec![Series::dots("pulls", points), Series::line("fitted", line)],
        )
    }

    fn troubles(&self) -> Vec<Trouble> {
        let mut troubles = Vec::new();
        if self.offset.is_none() {
            troubles.push(Trouble::of_all(
                "fewer than three different lengths: an error that every reading shares goes into the steps unseen",
            ));
        }
        let odd = Value::exact(ratio(self.feed.value));
        if !(0.5..=2.0).contains(&self.feed.value) {
            troubles.push(Trouble::of_all(format!(
                "the feed is {odd} of what was commanded: that is no matter of calibration; look at microsteps, gear and unit of the columns"
            )));
        }
        troubles
    }
}
