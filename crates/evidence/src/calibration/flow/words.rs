//! The flow told.

use quantity::Value;
use quantity::si::millimetre;

use super::FlowCalibration;
use crate::Refused;
use crate::calibration::words::{of_ratio, off_by};
use crate::lengths::mm;
use crate::report::{Advice, Figure, Mark, Picture, Plot, Report, Series, Trouble, Verdict};

pub(super) fn no_width(line: u64) -> Refused {
    Refused::new(
        format!("line {line}: a width is not above zero"),
        "write the width that was set and the one that came out, both in millimetres",
    )
}

pub(super) fn too_few(walls: usize) -> Refused {
    Refused::new(
        format!("{walls} walls give no uncertainty"),
        "measure at least three places, better three on each of four walls",
    )
}

pub(super) fn no_flow() -> Refused {
    Refused::new(
        "the flow that was set, or the share that a width may be off, is not above zero",
        "write them such as \"100 %\" and \"2 %\"",
    )
}

impl FlowCalibration {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let verdict = self.verdict();
        Report {
            title: "Flow".into(),
            verdict,
            sentence: self.sentence(verdict),
            figures: self.figures(),
            advice: advice(verdict),
            tables: Vec::new(),
            pictures: vec![Picture::Plot(self.plot())],
            troubles: self.troubles(),
            sources: vec!["nist-handbook", "rosner-1983"],
        }
    }

    fn sentence(&self, verdict: Verdict) -> String {
        let off = off_by(self.width, ["too thin", "too thick"]);
        let allowed = Value::exact(self.ask.allowed);
        let flow = of_ratio(self.flow);
        match verdict {
            Verdict::Pass => {
                format!("Walls are {off}, within ± {allowed}: leave the flow as it is.")
            }
            Verdict::Fail => format!("Walls are {off}, more than ± {allowed}; the flow that fits is {flow}."),
            _ => format!(
                "Walls seem {off}, but these do not show whether that is within ± {allowed}; the flow that fits is {flow}."
            ),
        }
    }

    fn figures(&self) -> Vec<Figure> {
        vec![
            Figure::with_interval("flow", "flow to set", of_ratio(self.flow)),
            Figure::with_interval("width", "measured over set width", of_ratio(self.width)),
            Figure::with_interval(
                "deviation",
                "scatter of a single width, as a share",
                of_ratio(self.deviation),
            ),
            Figure::plain(
                "set-width",
                "width that was set, mean of the places",
                Value::exact(millimetre(self.set_width())),
            ),
        ]
    }

    fn plot(&self) -> Plot {
        let walls = self.walls.iter().enumerate();
        let measured = walls.map(|(at, w)| [at as f64 + 1.0, mm(w.measured)]);
        Plot::new(
            "Width of the walls",
            ["place", "width, mm"],
            vec![Series::dots("measured", measured)],
        )
        .marked([Mark::across("set", self.set_width())])
    }

    fn troubles(&self) -> Vec<Trouble> {
        let what = "stands out among the widths (Rosner's test at 5 %); it is counted all the same";
        let lines = self.outliers.iter();
        lines.map(|line| Trouble::at(*line, what)).collect()
    }
}

fn advice(verdict: Verdict) -> Vec<Advice> {
    let mut advice = vec![Advice::helps(
        "Calibrate the extruder's steps first: flow on top of wrong steps fits one speed at best.",
    )];
    match verdict {
        Verdict::Open => advice.push(Advice::helps(
            "Measure more places: the mean of four times as many is twice as sure.",
        )),
        Verdict::Pass => advice.push(Advice::in_vain(
            "Setting the new number would change nothing that these walls can show.",
        )),
        _ => {}
    }
    advice
}
