//! Steps of the belt axes from a measured print: nominal and measured lengths along each axis.
//!
//! A printed length is off for three reasons, and only one of them is the steps: the walls are a little wide, the same amount
//! whatever the length; the material shrinks, the same share along every axis; what is left is the axis. Lengths of several sizes,
//! outside and inside, part the first from the others; the known shrinkage is taken off; the steps follow.

use quantity::si::{Length, Ratio, StepDensity, millimetre, step_per_millimetre};
use quantity::{Number, Value};

use super::{mm, of_ratio, off_by_at_most, signed_percent};
use crate::Refused;
use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Picture, Plot, Report, Series, Table, Trouble, Verdict};
use statistics::{CONFIDENCE, Estimate, coverage_factor, linear_regression, welch_satterthwaite};

/// Which side of a wall was measured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Side {
    /// Over two outer faces: wide walls make it longer.
    #[default]
    Outside,
    /// Between two inner faces: wide walls make it shorter.
    Inside,
    /// From a face to the same face of the next: wide walls do not matter.
    Pitch,
}

impl Side {
    fn sign(self) -> f64 {
        match self {
            Side::Outside => 1.0,
            Side::Inside => -1.0,
            Side::Pitch => 0.0,
        }
    }
}

/// One measured length of a print.
#[derive(Clone, Debug, PartialEq)]
pub struct Print {
    /// The letter of the axis along which it lies.
    pub axis: String,
    /// The length that was drawn.
    pub nominal: Length,
    /// The length that came out, cold.
    pub measured: Length,
    /// Which side of the walls.
    pub side: Side,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// How motors move the axes, as far as it decides whose steps a length is a matter of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Drive {
    /// Each axis has motors of its own.
    #[default]
    Own,
    /// Two motors move X and Y together over crossed belts: both have one number of steps, and it moves both axes alike.
    Crossed,
    /// Three towers: a length along X or Y comes from the arms and their places, and from no axis of its own.
    Towers,
}

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct AxisAsk {
    /// How motors move the axes.
    pub drive: Drive,
    /// The steps that were set, by axis.
    pub steps: Vec<(String, StepDensity)>,
    /// How much the material shrinks, with its tolerance; zero to that where nothing is known.
    pub shrinkage: Value<Ratio>,
    /// The largest share by which an axis may be off.
    pub allowed: Ratio,
}

/// What the lengths along one axis say.
#[derive(Clone, Debug, PartialEq)]
pub struct AxisCalibration {
    /// The letter.
    pub axis: String,
    /// Measured over nominal, walls taken off; shrinkage still in it.
    pub scale: Estimate,
    /// Travel over what was commanded: the scale with shrinkage taken off, at the bounds of both.
    pub travel: Estimate,
    /// The steps to set: of both axes where crossed belts move them together; nothing where steps decide no length along this axis.
    pub steps: Option<Estimate>,
    /// What walls add to a length over outer faces, millimetres; nothing where the lengths cannot tell.
    pub walls: Option<Estimate>,
    /// Standard deviation of a single length, millimetres.
    pub deviation: Estimate,
    /// How the scale differs from that of the first other axis: a share, and the letter of that axis.
    pub against: Option<(String, Estimate)>,
    /// What was asked.
    pub ask: AxisAsk,
    error: f64,
    freedom: f64,
    prints: Vec<Print>,
}

/// Looks at the lengths of each axis.
///
/// # Errors
/// [`Refused`] for an axis with fewer than three lengths, lengths that are not above zero, limits without sense.
pub fn axes(prints: &[Print], ask: &AxisAsk) -> Result<Vec<AxisCalibration>, Refused> {
    if let Some(print) = prints
        .iter()
        .find(|p| !(mm(p.nominal) > 0.0 && mm(p.measured) > 0.0))
    {
        return Err(Refused::new(
            format!("line {}: a length is not above zero", print.line),
            "write the length that was drawn and the one that came out, both in millimetres",
        ));
    }
    let shrinkage = ask.shrinkage;
    let believable = shrinkage.low().base() > -0.1 && shrinkage.high().base() < 0.1;
    if !(believable && ask.allowed.base() > 0.0) {
        return Err(Refused::new(
            "the shrinkage is 10 % or more, or the share that an axis may be off is not above zero",
            "write them such as \"0.3 % ± 0.2 %\" and \"0.2 %\"",
        ));
    }
    let mut letters: Vec<&str> = Vec::new();
    for print in prints {
        if !letters.contains(&print.axis.as_str()) {
            letters.push(&print.axis);
        }
    }
    if letters.is_empty() {
        return Err(Refused::new(
            "there is no length",
            "measure a print along each axis",
        ));
    }
    let mut found = Vec::new();
    for axis in letters {
        let own: Vec<Print> = prints.iter().filter(|p| p.axis == axis).cloned().collect();
        found.push(one_axis(axis, own, ask)?);
    }
    let scales: Vec<(String, f64, f64, f64)> = found
        .iter()
        .map(|a| (a.axis.clone(), a.scale.value, a.error, a.freedom))
        .collect();
    for axis in &mut found {
        let shared = ["X", "Y"].contains(&axis.axis.as_str());
        axis.steps = match ask.drive {
            Drive::Own => axis.steps_for(axis.travel),
            Drive::Crossed if shared => {
                of_both(&scales).and_then(|scale| axis.steps_for(axis.travels(scale)))
            }
            Drive::Towers if shared => None,
            Drive::Crossed | Drive::Towers => axis.steps_for(axis.travel),
        };
    }
    for (at, axis) in found.iter_mut().enumerate() {
        let other = scales
            .iter()
            .enumerate()
            .find(|(other, _)| *other != at)
            .map(|(_, s)| s);
        axis.against = other.map(|(name, scale, error, freedom)| {
            let (spread, freedom) = welch((axis.error, axis.freedom), (*error, *freedom));
            let t = coverage_factor(freedom, CONFIDENCE);
            (
                name.clone(),
                Estimate::around(axis.scale.value - scale, t * spread),
            )
        });
    }
    Ok(found)
}

/// The standard error of a sum or difference of two estimates, each with its error and degrees of freedom, and its own by Welch.
fn welch((one, of_one): (f64, f64), (other, of_other): (f64, f64)) -> (f64, f64) {
    let (variance, freedom) = welch_satterthwaite(&[(one.powi(2), of_one), (other.powi(2), of_other)]);
    (variance.sqrt(), freedom)
}

/// The mean scale of X and Y, where there are both.
fn of_both(scales: &[(String, f64, f64, f64)]) -> Option<Estimate> {
    let of = |letter: &str| scales.iter().find(|(own, ..)| own == letter);
    let ((_, x, x_error, x_freedom), (_, y, y_error, y_freedom)) = (of("X")?, of("Y")?);
    let (spread, freedom) = welch((*x_error, *x_freedom), (*y_error, *y_freedom));
    let t = coverage_factor(freedom, CONFIDENCE);
    Some(Estimate::around(f64::midpoint(*x, *y), t * spread / 2.0))
}

fn one_axis(axis: &str, prints: Vec<Print>, ask: &AxisAsk) -> Result<AxisCalibration, Refused> {
    let row = |p: &Print, walls: bool| {
        let mut row = vec![mm(p.nominal)];
        if walls {
            row.push(p.side.sign());
        }
        row
    };
    let measured: Vec<f64> = prints.iter().map(|p| mm(p.measured)).collect();
    let fitted = |walls: bool| {
        let rows: Vec<Vec<f64>> = prints.iter().map(|p| row(p, walls)).collect();
        linear_regression(&rows, &measured)
            .ok()
            .filter(|f| f.freedom >= 1.0)
    };
    let (line, with_walls) = match fitted(true) {
        Some(line) if prints.len() >= 4 => (line, true),
        _ => (
            fitted(false).filter(|_| prints.len() >= 3).ok_or_else(|| {
                Refused::new(
                    format!("axis {axis}: {} lengths give no uncertainty", prints.len()),
                    "measure at least three lengths along each axis, better six of different sizes",
                )
            })?,
            false,
        ),
    };
    let scale = line.coefficient(0, CONFIDENCE);
    if !(scale.low > 0.0) {
        return Err(Refused::new(
            format!("axis {axis}: the lengths do not follow what was drawn"),
            "look whether the columns are mixed up",
        ));
    }
    Ok(AxisCalibration {
        axis: axis.to_owned(),
        scale,
        travel: travel(scale, ask.shrinkage),
        // Whose they are is known once all axes are.
        steps: None,
        walls: with_walls.then(|| line.coefficient(1, CONFIDENCE)),
        deviation: line.deviation_interval(CONFIDENCE),
        against: None,
        ask: ask.clone(),
        error: line.error_of(&if with_walls { vec![1.0, 0.0] } else { vec![1.0] }),
        freedom: line.freedom,
        prints,
    })
}

/// Travel over what was commanded, from a scale that still has the shrinkage in it.
fn travel(scale: Estimate, shrinkage: Value<Ratio>) -> Estimate {
    let kept = |shrinkage: Ratio| 1.0 - shrinkage.base();
    Estimate {
        value: scale.value / kept(shrinkage.nominal()),
        low: scale.low / kept(shrinkage.low()),
        high: scale.high / kept(shrinkage.high()),
    }
}

impl AxisCalibration {
    fn travels(&self, scale: Estimate) -> Estimate {
        travel(scale, self.ask.shrinkage)
    }

    /// The steps that make up for a travel; nothing where those that were set are not known.
    fn steps_for(&self, travel: Estimate) -> Option<Estimate> {
        let (_, steps) = self.ask.steps.iter().find(|(own, _)| *own == self.axis)?;
        let per_millimetre = steps.base() * 1e-3;
        Some(travel.map(|t| per_millimetre / t))
    }

    fn is_crossed(&self) -> bool {
        self.ask.drive == Drive::Crossed && ["X", "Y"].contains(&self.axis.as_str())
    }

    fn is_of_towers(&self) -> bool {
        self.ask.drive == Drive::Towers && ["X", "Y"].contains(&self.axis.as_str())
    }

    /// Whether the axis travels what it is told.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        off_by_at_most(self.travel, self.ask.allowed.base())
    }

    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let verdict = self.verdict();
        let steps: Option<Value<StepDensity>> = self.steps.map(|s| s.of(step_per_millimetre));
        let off = signed_percent(self.travel.value - 1.0);
        let allowed = Value::exact(self.ask.allowed);
        let of_both = if self.is_crossed() {
            " X and Y together"
        } else {
            ""
        };
        let new = steps.map_or_else(String::new, |steps| {
            format!("; the steps that fit{of_both} are {steps}")
        });
        let sentence = match verdict {
            Verdict::Holds => format!(
                "Axis {} travels what it is told ({off}, within ± {allowed}): leave its steps as the mechanics give them.",
                self.axis
            ),
            Verdict::Fails => format!(
                "Axis {} is off by {off}, more than ± {allowed}, with walls and shrinkage taken off{new}.",
                self.axis
            ),
            _ => format!(
                "Axis {} seems off by {off}, but this print does not show whether that is within ± {allowed}: leave its steps as the mechanics give them.",
                self.axis
            ),
        };
        let length = |e: Estimate| -> Value<Length> { e.of(millimetre) };
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
        if let Some(steps) = steps {
            let what = if self.is_crossed() {
                "steps that fit X and Y together"
            } else {
                "steps that fit"
            };
            figures.push(Figure::with_interval("steps", what, steps));
        }
        if let Some(walls) = self.walls {
            figures.push(Figure::with_interval(
                "walls",
                "what walls add to a length over outer faces",
                length(walls),
            ));
        }
        if let Some((other, difference)) = &self.against {
            figures.push(Figure::with_interval(
                "against",
                format!("scale less that of axis {other}"),
                of_ratio(*difference),
            ));
        }
        figures.push(Figure::with_interval(
            "deviation",
            "scatter of a single length",
            length(self.deviation),
        ));
        Report {
            title: format!("Steps of axis {} from a print", self.axis),
            verdict,
            sentence,
            figures,
            advice: self.advice(verdict),
            tables: vec![self.table()],
            pictures: vec![Picture::Plot(self.plot())],
            troubles: self.troubles(),
            sources: vec!["nist-handbook", "common-practice"],
        }
    }

    fn advice(&self, verdict: Verdict) -> Vec<Advice> {
        let mut advice = Vec::new();
        if let Some((other, difference)) = &self.against {
            if difference.holds(0.0) {
                advice.push(Advice::in_vain(format!("Changing the steps of {} alone would not help: it is off by the same share as {other}, which is the material (or the scale of the drawing), not a belt.", self.axis)));
            } else if self.is_crossed() {
                advice.push(Advice::in_vain(format!("Changing the steps of {} alone cannot help: both motors move X and Y together over crossed belts, so both axes get longer or shorter alike.", self.axis)));
                advice.push(Advice::helps("Look at the frame and the guides: with crossed belts no step and no belt makes X differ from Y. A pulley with other teeth or a belt that stretches shows as a square that leans."));
            } else if self.is_of_towers() {
                advice.push(Advice::helps("Look at the lengths of the arms and the places of the towers: with towers they make X differ from Y, and no axis has steps of its own."));
            } else {
                advice.push(Advice::helps(format!("Look at the mechanics of {} and {other}: they differ by more than the readings explain (teeth, belt tension, a square frame), and shrinkage is alike along both.", self.axis)));
            }
        }
        if verdict == Verdict::Fails && self.is_of_towers() {
            advice.push(Advice::helps("Correct the length of the arms that the controller reckons with: it scales X and Y together. The steps of the towers follow from pulley and belt, and the height shows whether they are right."));
        } else if verdict == Verdict::Fails {
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

    fn table(&self) -> Table {
        let rows = self.prints.iter().map(|p| {
            let side = match p.side {
                Side::Outside => "outside",
                Side::Inside => "inside",
                Side::Pitch => "pitch",
            };
            vec![
                format!("{:.2}", mm(p.nominal)),
                format!("{:.3}", mm(p.measured)),
                side.to_owned(),
                format!("{:+.3}", mm(p.measured) - mm(p.nominal)).replace('-', "−"),
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
        let points = self.prints.iter().map(|p| {
            [
                mm(p.nominal),
                mm(p.measured) - mm(p.nominal) - walls * p.side.sign(),
            ]
        });
        let longest = self.prints.iter().map(|p| mm(p.nominal)).fold(0.0, f64::max);
        Plot {
            title: format!("Axis {}: measured less drawn, walls taken off", self.axis),
            x: "drawn, mm".into(),
            y: "difference, mm".into(),
            series: vec![
                Series {
                    name: "lengths".into(),
                    points: points.collect(),
                    dots: true,
                },
                Series {
                    name: "fitted".into(),
                    points: vec![[0.0, 0.0], [longest, (self.scale.value - 1.0) * longest]],
                    dots: false,
                },
            ],
            marks: Vec::new(),
            logarithmic: [false, false],
        }
    }

    fn troubles(&self) -> Vec<Trouble> {
        let mut troubles = Vec::new();
        let lonely = !self
            .against
            .as_ref()
            .is_some_and(|(other, _)| ["X", "Y"].contains(&other.as_str()));
        if self.is_crossed() && lonely && !self.ask.steps.is_empty() {
            troubles.push(Trouble::of_all(format!(
                "axis {}: crossed belts move X and Y together, so that no steps are told from one of them; measure along both",
                self.axis
            )));
        }
        if self.walls.is_none() {
            troubles.push(Trouble::of_all(format!(
                "axis {}: the lengths do not part walls from scale; measure at least four, of different sizes, outside and inside",
                self.axis
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
