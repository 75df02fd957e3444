//! Flow: widths of single walls as set and as measured.

use quantity::si::{Length, Ratio, millimetre};
use quantity::{Number, Value};

use super::{mm, of_ratio, off_by_at_most, signed_percent};
use crate::Refused;
use crate::report::{Advice, Figure, Mark, Picture, Plot, Report, Series, Trouble, Verdict};
use statistics::{
    CONFIDENCE, Estimate, mean_interval, rosner_outliers, standard_deviation, standard_deviation_interval,
};

/// One wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wall {
    /// The width that was set.
    pub set: Length,
    /// The width that came out.
    pub measured: Length,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlowAsk {
    /// The flow that was set; 1 where nothing was changed.
    pub flow: Ratio,
    /// The largest share by which the width may be off.
    pub allowed: Ratio,
}

/// What the walls say.
#[derive(Clone, Debug, PartialEq)]
pub struct FlowCalibration {
    /// Measured over set width.
    pub width: Estimate,
    /// The flow to set: the one that was set over that.
    pub flow: Estimate,
    /// Standard deviation of a single width, as a share.
    pub deviation: Estimate,
    /// What was asked.
    pub ask: FlowAsk,
    walls: Vec<Wall>,
    outliers: Vec<u64>,
}

/// Looks at walls.
///
/// # Errors
/// [`Refused`] for fewer than three walls, widths that are not above zero, a flow without sense.
pub fn flow(walls: &[Wall], ask: FlowAsk) -> Result<FlowCalibration, Refused> {
    if let Some(wall) = walls.iter().find(|w| !(mm(w.set) > 0.0 && mm(w.measured) > 0.0)) {
        return Err(Refused::new(
            format!("line {}: a width is not above zero", wall.line),
            "write the width that was set and the one that came out, both in millimetres",
        ));
    }
    if walls.len() < 3 {
        return Err(Refused::new(
            format!("{} walls give no uncertainty", walls.len()),
            "measure at least three places, better three on each of four walls",
        ));
    }
    if !(ask.flow.base() > 0.0 && ask.flow.base().is_finite() && ask.allowed.base() > 0.0) {
        return Err(Refused::new(
            "the flow that was set, or the share that a width may be off, is not above zero",
            "write them such as \"100 %\" and \"2 %\"",
        ));
    }
    let shares: Vec<f64> = walls.iter().map(|w| mm(w.measured) / mm(w.set)).collect();
    let width = mean_interval(&shares, CONFIDENCE);
    let (outliers, _) = rosner_outliers(&shares, (shares.len() / 8).max(1), 0.05);
    Ok(FlowCalibration {
        width,
        flow: Estimate {
            value: ask.flow.base() / width.value,
            low: ask.flow.base() / width.high,
            high: if width.low > 0.0 {
                ask.flow.base() / width.low
            } else {
                f64::INFINITY
            },
        },
        deviation: standard_deviation_interval(
            standard_deviation(&shares),
            shares.len() as f64 - 1.0,
            CONFIDENCE,
        ),
        ask,
        outliers: outliers.iter().map(|o| walls[o.at].line).collect(),
        walls: walls.to_vec(),
    })
}

impl FlowCalibration {
    /// Whether the walls are as wide as set.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        off_by_at_most(self.width, self.ask.allowed.base())
    }

    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let verdict = self.verdict();
        let off = signed_percent(self.width.value - 1.0);
        let allowed = Value::exact(self.ask.allowed);
        let flow = of_ratio(self.flow);
        let sentence = match verdict {
            Verdict::Holds => {
                format!("Walls are {off} off the width set, within ± {allowed}: leave the flow as it is.")
            }
            Verdict::Fails => format!(
                "Walls are {off} off the width set, more than ± {allowed}; the flow that fits is {flow}."
            ),
            _ => format!(
                "Walls seem {off} off the width set, but these do not show whether that is within ± {allowed}; the flow that fits is {flow}."
            ),
        };
        let mut advice = vec![Advice::helps(
            "Calibrate the extruder's steps first: flow on top of wrong steps fits one speed at best.",
        )];
        match verdict {
            Verdict::NotShown => advice.push(Advice::helps(
                "Measure more places: the mean of four times as many is twice as sure.",
            )),
            Verdict::Holds => advice.push(Advice::in_vain(
                "Setting the new number would change nothing that these walls can show.",
            )),
            _ => {}
        }
        let measured = self
            .walls
            .iter()
            .enumerate()
            .map(|(at, w)| [at as f64 + 1.0, mm(w.measured)]);
        let set: f64 = self.walls.iter().map(|w| mm(w.set)).sum::<f64>() / self.walls.len() as f64;
        let plot = Plot {
            title: "Width of the walls".into(),
            x: "place".into(),
            y: "width, mm".into(),
            series: vec![Series {
                name: "measured".into(),
                points: measured.collect(),
                dots: true,
            }],
            marks: vec![Mark {
                name: "set".into(),
                at: set,
                upright: false,
            }],
            logarithmic: [false, false],
        };
        let set_width: Value<Length> = Value::exact(millimetre(set));
        Report {
            title: "Flow".into(),
            verdict,
            sentence,
            figures: vec![
                Figure::with_interval("flow", "flow to set", flow),
                Figure::with_interval("width", "measured over set width", of_ratio(self.width)),
                Figure::with_interval(
                    "deviation",
                    "scatter of a single width, as a share",
                    of_ratio(self.deviation),
                ),
                Figure::plain("set-width", "width that was set, mean of the places", set_width),
            ],
            advice,
            tables: Vec::new(),
            pictures: vec![Picture::Plot(plot)],
            troubles: self
                .outliers
                .iter()
                .map(|line| {
                    Trouble::at(
                        *line,
                        "stands out among the widths (Rosner's test at 5 %); it is counted all the same",
                    )
                })
                .collect(),
            sources: vec!["nist-handbook", "rosner-1983"],
        }
    }
}
