//! Steps of the belt axes told.

use quantity::Number as _;
use quantity::Value;

use super::{AxisCalibration, Print, Side};
use crate::Refused;
use crate::calibration::words::{of_ratio, of_steps, off_by};
use crate::lengths::{interval, mm, signed};
use crate::report::{Advice, Figure, Picture, Plot, Report, Series, Table, Trouble, Verdict};

pub(super) fn no_length(line: u64) -> Refused {
    Refused::new(
        format!("line {line}: a length is not above zero"),
        "write the length that was drawn and the one that came out, both in millimetres",
    )
}

pub(super) fn no_share() -> Refused {
    Refused::new(
        "the shrinkage is 10 % or more, or the share that an axis may be off is not above zero",
        "write them such as \"0.3 % ± 0.2 %\" and \"0.2 %\"",
    )
}

pub(super) fn nothing() -> Refused {
    Refused::new("there is no length", "measure a print along each axis")
}

pub(super) fn too_few(axis: &str, lengths: usize) -> Refused {
    Refused::new(
        format!("axis {axis}: {lengths} lengths give no uncertainty"),
        "measure at least three lengths along each axis, better six of different sizes",
    )
}

pub(super) fn unlike(axis: &str) -> Refused {
    Refused::new(
        format!("axis {axis}: the lengths do not follow what was drawn"),
        "look whether the columns are mixed up",
    )
}

impl AxisCalibration {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let verdict = self.verdict();
        Report {
            title: format!("Steps of axis {} from a print", self.axis),
            verdict,
            sentence: self.sentence(verdict),
            figures: self.figures(),
            advice: self.advice(verdict),
            tables: vec![self.table()],
            pictures: vec![Picture::Plot(self.plot())],
            troubles: self.troubles(),
            sources: vec!["nist-handbook", "common-practice"],
        }
    }

    fn sentence(&self, verdict: Verdict) -> String {
        let off = off_by(self.travel, ["too little", "too much"]);
        let allowed = Value::exact(self.ask.allowed);
        let of_both = if self.is_crossed() {
            " X and Y together"
        } else {
            ""
        };
        let new = self.steps.map(of_steps).map_or_else(String::new, |steps| {
            format!("; the steps that fit{of_both} are {steps}")
        });
        match verdict {
            Verdict::Pass => format!(
                "Axis {} travels {off}, within ± {allowed}: leave its steps as the mechanics give them.",
                self.axis
            ),
            Verdict::Fail => format!(
                "Axis {} travels {off}, more than ± {allowed}, with walls and shrinkage taken off{new}.",
                self.axis
            ),
            _ => format!(
                "Axis {} seems to travel {off}, but this print does not show whether that is within ± {allowed}: leave its steps as the mechanics give them.",
                self.axis
            ),
        }
    }

    fn figures(&self) -> Vec<Figure> {
        let mut figures = vec![
            Figure::with_interval(
                "travel",
                "travel over what was commanded, walls and shrinkage taken off",
                of_ratio(self.travel),
            ),
            Figure::with_interval(
                "scale",
                "length over what was drawn, walls taken off",
                of_ratio(self.scale),
            ),
        ];
        let steps_of = if self.is_crossed() {
            "steps that fit X and Y together"
        } else {
            "steps that fit"
        };
        let steps = self.steps.map(of_steps);
        figures.extend(steps.map(|steps| Figure::with_interval("steps", steps_of, steps)));
        let walls_of = "what walls add to a length over outer faces";
        let walls = self.walls;
        figures.extend(walls.map(|walls| interval("walls", walls_of, walls)));
        figures.extend(self.against.as_ref().map(|(other, difference)| {
            let what = format!("scale less that of axis {other}");
            Figure::with_interval("against", what, of_ratio(*difference))
        }));
        figures.push(interval(
            "deviation",
            "scatter of a single length",
            self.deviation,
        ));
        figures
    }

    fn advice(&self, verdict: Verdict) -> Vec<Advice> {
        let mut advice = self.advice_on_the_other();
        if verdict == Verdict::Fail && self.is_of_towers() {
            advice.push(Advice::helps("Correct the length of the arms that the controller reckons with: it scales X and Y together. The steps of the towers follow from pulley and belt, and the height shows whether they are right."));
        } else if verdict == Verdict::Fail {
            advice.push(Advice::helps("Check the steps against pulley and belt first: those are exact, a print is not. Change them only where a dial gauge on the bare axis says the same."));
        }
        if self.walls.is_some_and(|walls| !walls.holds(0.0)) {
            advice.push(Advice::helps(
                "Calibrate the flow first: the walls are off, and that is no matter of steps.",
            ));
        }
        advice.push(Advice::in_vain("Hiding shrinkage in the steps: it fits one material, and every other, and every travel, gets worse."));
        advice
    }

    /// What follows from how the axis stands to another.
    fn advice_on_the_other(&self) -> Vec<Advice> {
        let own = &self.axis;
        let Some((other, difference)) = &self.against else {
            return Vec::new();
        };
        if difference.holds(0.0) {
            return vec![Advice::in_vain(format!(
                "Changing the steps of {own} alone would not help: it is off by the same share as {other}, which is the material (or the scale of the drawing), not a belt."
            ))];
        }
        if self.is_crossed() {
            return vec![
                Advice::in_vain(format!(
                    "Changing the steps of {own} alone cannot help: both motors move X and Y together over crossed belts, so both axes get longer or shorter alike."
                )),
                Advice::helps(
                    "Look at the frame and the guides: with crossed belts no step and no belt makes X differ from Y. A pulley with other teeth or a belt that stretches shows as a square that leans.",
                ),
            ];
        }
        vec![Advice::helps(if self.is_of_towers() {
            "Look at the lengths of the arms and the places of the towers: with towers they make X differ from Y, and no axis has steps of its own.".to_owned()
        } else {
            format!(
                "Look at the mechanics of {own} and {other}: they differ by more than the readings explain (teeth, belt tension, a square frame), and shrinkage is alike along both."
            )
        })]
    }

    fn table(&self) -> Table {
        let rows = self.prints.iter().map(|p| {
            vec![
                format!("{:.2}", mm(p.nominal)),
                format!("{:.3}", mm(p.measured)),
                p.side.word().to_owned(),
                signed(mm(p.measured) - mm(p.nominal)),
            ]
        });
        Table::of(
            format!("Lengths along {}", self.axis),
            &["drawn, mm", "measured, mm", "side", "off by, mm"],
            rows,
        )
    }

    fn plot(&self) -> Plot {
        let walls = self.walls.map_or(0.0, |w| w.value);
        let off = |p: &Print| mm(p.measured) - mm(p.nominal) - walls * p.side.sign();
        let points = self.prints.iter().map(|p| [mm(p.nominal), off(p)]);
        let longest = self.prints.iter().map(|p| mm(p.nominal)).fold(0.0, f64::max);
        let line = [[0.0, 0.0], [longest, (self.scale.value - 1.0) * longest]];
        Plot::new(
            format!("Axis {}: measured less drawn, walls taken off", self.axis),
            ["drawn, mm", "difference, mm"],
            vec![Series::dots("lengths", points), Series::line("fitted", line)],
        )
    }

    fn troubles(&self) -> Vec<Trouble> {
        let axis = &self.axis;
        let mut troubles = Vec::new();
        if self.lacks_its_twin() && !self.ask.steps.is_empty() {
            troubles.push(Trouble::of_all(format!(
                "axis {axis}: crossed belts move X and Y together, so that no steps are told from one of them; measure along both"
            )));
        }
        if self.walls.is_none() {
            troubles.push(Trouble::of_all(format!(
                "axis {axis}: the lengths do not part walls from scale; measure at least four, of different sizes, outside and inside"
            )));
        }
        if self.ask.shrinkage.nominal().base() == 0.0 {
            troubles.push(Trouble::of_all(
                "no shrinkage was stated: whatever the material shrinks stands in the result as if the axis were off",
            ));
        }
        troubles
    }
}

impl Side {
    fn word(self) -> &'static str {
        match self {
            Side::Outside => "outside",
            Side::Inside => "inside",
            Side::Pitch => "pitch",
        }
    }
}
