//! The compensation of pressure told.

use quantity::Value;
use quantity::si::{Time, second};
use statistics::Estimate;

use super::{ExtrusionPressureTest, Measure};
use crate::Refused;
use crate::lengths::{interval, mm, signed};
use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Mark, Picture, Plot, Report, Series, Table, Trouble};

pub(super) fn mixed() -> Refused {
    Refused::new(
        "widths and scores are mixed",
        "give one file for the widths and another for the scores",
    )
}

pub(super) fn no_number(line: u64) -> Refused {
    Refused::new(
        format!("line {line} holds something that is no number"),
        "write the value of the compensation in seconds, and what was seen there",
    )
}

pub(super) fn too_few(places: usize, values: usize, needed: usize) -> Refused {
    Refused::new(
        format!("{places} places at {values} values are too few"),
        format!(
            "print at least {needed} values, and measure {} places",
            needed + 1
        ),
    )
}

pub(super) fn no_curve() -> Refused {
    Refused::new("no curve fits the pattern", "print values that differ more")
}

impl ExtrusionPressureTest {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        Report {
            title: "Pressure compensation".into(),
            verdict: self.verdict(),
            sentence: self.sentence(),
            figures: self.figures(),
            advice: self.advice(),
            tables: self.tables(),
            pictures: vec![Picture::Plot(self.plot())],
            troubles: self.troubles(),
            sources: vec!["fieller-1954", "nist-handbook"],
        }
    }

    fn sentence(&self) -> String {
        match self.best {
            Some(best) if self.bracketed => format!("The compensation that fits is {}.", time(best)),
            Some(_) => "The best compensation lies beyond the values that were printed: extend the pattern to that side.".to_owned(),
            None => "The pattern does not show a best compensation: what was seen does not change with it beyond its scatter.".to_owned(),
        }
    }

    fn figures(&self) -> Vec<Figure> {
        let best = self
            .best
            .map(|best| Figure::with_interval("compensation", "compensation that fits", time(best)));
        // A score has no unit, and is no share of anything: it stands in a table.
        let width = (!self.by_score).then(|| {
            let what = "scatter of a single width";
            interval("width-deviation", what, self.deviation)
        });
        best.into_iter().chain(width).collect()
    }

    fn advice(&self) -> Vec<Advice> {
        let mut advice = Vec::new();
        if !self.bracketed {
            advice.push(Advice::helps(
                "Print a wider range of values, and measure three places at each.",
            ));
        }
        if self.by_score {
            advice.push(Advice::helps("Measure widths instead of scoring by eye: the same pattern then tells the value several times as well."));
        }
        advice.push(Advice::helps(
            "Calibrate steps and flow before: they shift every width.",
        ));
        advice.push(Advice::in_vain("Taking the value over to another material or nozzle: it belongs to the melt, its heat and its bore."));
        advice
    }

    fn tables(&self) -> Vec<Table> {
        let rows = self.corners.iter().map(|c| {
            let seen = match c.measure {
                Measure::Bulge(width) => format!("{} mm", signed(mm(width))),
                Measure::Score(score) => format!("{score}"),
            };
            vec![Value::exact(c.compensation).to_string(), seen]
        });
        let seen = if self.by_score { "score" } else { "bulge" };
        let places = Table::of("Places of the pattern", &["compensation", seen], rows);
        let scatter = self.by_score.then(|| {
            let row = [self.deviation.value, self.deviation.low, self.deviation.high];
            Table::of(
                "Scatter of a single score",
                &["standard deviation", "from", "to"],
                [row.map(|score| format!("{score:.2}")).to_vec()],
            )
        });
        [places].into_iter().chain(scatter).collect()
    }

    fn plot(&self) -> Plot {
        let (title, y) = if self.by_score {
            ("Score over compensation", "score")
        } else {
            ("Bulge over compensation", "width less width elsewhere, mm")
        };
        let series = vec![
            Series::dots("seen", self.seen()),
            Series::line("fitted", self.fitted()),
        ];
        let best = self.best.filter(|_| self.bracketed);
        Plot::new(title, ["compensation, s", y], series)
            .marked(best.map(|best| Mark::upright("fits", best.value)))
    }

    fn troubles(&self) -> Vec<Trouble> {
        let bends = self.bends.then(|| {
            Trouble::of_all("the widths do not follow a straight line: print a narrower range about the value, or look whether lines touched")
        });
        let peak = self.by_peak.then(|| {
            Trouble::of_all("the scores have a peak: higher is taken to be better; where you gave low scores to what was good, this pattern shows no best value")
        });
        bends.into_iter().chain(peak).collect()
    }
}

fn time(estimate: Estimate) -> Value<Time> {
    estimate.of(second)
}
