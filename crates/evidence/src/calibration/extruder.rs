//! Extruder steps: lengths of filament commanded and measured.

use quantity::si::{Length, Ratio, StepDensity, millimetre, ratio, step_per_millimetre};
use quantity::{Number, Value};

use super::{mm, of_ratio, off_by_at_most, signed_percent};
use crate::Refused;
use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Picture, Plot, Report, Series, Table, Trouble, Verdict};
use statistics::{CONFIDENCE, Estimate, LinearRegression, linear_regression};

/// One length of filament.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pull {
    /// What the controller was told to feed.
    pub commanded: Length,
    /// What went in.
    pub measured: Length,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExtruderAsk {
    /// The steps that were set; nothing where they are not known, and then only the factor is told.
    pub steps: Option<StepDensity>,
    /// The largest share by which the feed may be off.
    pub allowed: Ratio,
}

/// What the pulls say.
#[derive(Clone, Debug, PartialEq)]
pub struct ExtruderCalibration {
    /// Measured over commanded.
    pub feed: Estimate,
    /// The steps to set: those that were set over the feed.
    pub steps: Option<Estimate>,
    /// What every measured length is off by, whatever its size, in millimetres; known only from three different lengths.
    pub offset: Option<Estimate>,
    /// Standard deviation of a single measured length, millimetres.
    pub deviation: Estimate,
    /// What was asked.
    pub ask: ExtruderAsk,
    pulls: Vec<Pull>,
}

/// Looks at pulls. With three different lengths or more a straight line parts the feed from what each reading is off by; with fewer
/// a line through zero.
///
/// # Errors
/// [`Refused`] for fewer than three pulls, lengths that are not above zero, or limits without sense.
pub fn extruder(pulls: &[Pull], ask: ExtruderAsk) -> Result<ExtruderCalibration, Refused> {
    if pulls.len() < 3 {
        return Err(Refused::new(
            format!("{} pulls give no uncertainty", pulls.len()),
            "feed at least three times, better five times each of 50 mm, 100 mm and 200 mm",
        ));
    }
    if let Some(pull) = pulls
        .iter()
        .find(|p| !(mm(p.commanded) > 0.0 && mm(p.measured) > 0.0))
    {
        return Err(Refused::new(
            format!("line {}: a length is not above zero", pull.line),
            "write the length commanded and the length that went in, both in millimetres",
        ));
    }
    let steps_known = ask.steps.is_none_or(|s| s.base() > 0.0 && s.base().is_finite());
    if !steps_known || !(ask.allowed.base() > 0.0) {
        return Err(Refused::new(
            "the steps that were set, or the share that the feed may be off, are not above zero",
            "write them such as \"415 step/mm\" and \"0.5 %\"",
        ));
    }
    let (line, with_offset) = through(pulls)?;
    let feed = line.coefficient(usize::from(with_offset), CONFIDENCE);
    if !(feed.value > 0.0) {
        return Err(Refused::new(
            "longer commanded lengths gave shorter measured ones",
            "look whether the columns are mixed up, or the filament slipped",
        ));
    }
    Ok(ExtruderCalibration {
        feed,
        // A bound of the feed at or below zero leaves the steps without a bound above.
        steps: ask.steps.map(|steps| {
            let steps = steps.base() * 1e-3;
            Estimate {
                value: steps / feed.value,
                low: steps / feed.high,
                high: if feed.low > 0.0 {
                    steps / feed.low
                } else {
                    f64::INFINITY
                },
            }
        }),
        offset: with_offset.then(|| line.coefficient(0, CONFIDENCE)),
        deviation: line.deviation_interval(CONFIDENCE),
        ask,
        pulls: pulls.to_vec(),
    })
}

fn through(pulls: &[Pull]) -> Result<(LinearRegression, bool), Refused> {
    let mut lengths: Vec<f64> = pulls.iter().map(|p| mm(p.commanded)).collect();
    let measured: Vec<f64> = pulls.iter().map(|p| mm(p.measured)).collect();
    let line = |rows: Vec<Vec<f64>>| {
        linear_regression(&rows, &measured).map_err(|_| {
            Refused::new(
                "no line fits the pulls",
                "write lengths that are plain numbers, in millimetres",
            )
        })
    };
    let rows = lengths.iter().map(|x| vec![1.0, *x]).collect();
    let alone = lengths.iter().map(|x| vec![*x]).collect();
    lengths.sort_by(f64::total_cmp);
    lengths.dedup();
    // A line with an offset has two columns; its deviation needs a pull more.
    if lengths.len() >= 3 && pulls.len() >= 4 {
        Ok((line(rows)?, true))
    } else {
        Ok((line(alone)?, false))
    }
}

impl ExtruderCalibration {
    /// Whether the feed is right as it is.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        off_by_at_most(self.feed, self.ask.allowed.base())
    }

    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let verdict = self.verdict();
        let steps: Option<Value<StepDensity>> = self.steps.map(|s| s.of(step_per_millimetre));
        let new = steps.map_or_else(String::new, |steps| format!("; the steps that fit are {steps}"));
        let off = signed_percent(self.feed.value - 1.0);
        let allowed = Value::exact(self.ask.allowed);
        let sentence = match verdict {
            Verdict::Holds => format!(
                "The extruder feeds {off} of what it is told, within ± {allowed}: leave the steps as they are."
            ),
            Verdict::Fails => {
                format!("The extruder feeds {off} of what it is told, more than ± {allowed}{new}.")
            }
            _ => format!(
                "The extruder seems to feed {off} of what it is told, but these pulls do not show whether that is within ± {allowed}{new}."
            ),
        };
        let mut figures = vec![Figure::with_interval(
            "feed",
            "length fed over length commanded",
            of_ratio(self.feed),
        )];
        if let Some(steps) = steps {
            figures.insert(0, Figure::with_interval("steps", "steps to set", steps));
        }
        let length = |e: Estimate| -> Value<Length> { e.of(millimetre) };
        figures.push(Figure::with_interval(
            "deviation",
            "scatter of a single measured length",
            length(self.deviation),
        ));
        if let Some(offset) = self.offset {
            figures.push(Figure::with_interval(
                "offset",
                "what each measured length is off by, whatever its size",
                length(offset),
            ));
        }
        Report {
            title: "Extruder steps".into(),
            verdict,
            sentence: sentence.replace("feeds +", "feeds ").replace("feed +", "feed "),
            figures,
            advice: self.advice(verdict),
            tables: vec![self.table()],
            pictures: vec![Picture::Plot(self.plot())],
            troubles: self.troubles(),
            sources: vec!["nist-handbook"],
        }
    }

    fn advice(&self, verdict: Verdict) -> Vec<Advice> {
        let mut advice = Vec::new();
        match verdict {
            Verdict::Fails => advice.push(Advice::helps(
                "Set the new steps, and pull once more to see that they fit.",
            )),
            Verdict::Holds => advice.push(Advice::in_vain(
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
        let points = self
            .pulls
            .iter()
            .map(|p| [mm(p.commanded), mm(p.measured) - mm(p.commanded)]);
        let longest = self.pulls.iter().map(|p| mm(p.commanded)).fold(0.0, f64::max);
        let offset = self.offset.map_or(0.0, |o| o.value);
        let line = [0.0, longest].map(|x| [x, offset + (self.feed.value - 1.0) * x]);
        Plot {
            title: "What went in less what was commanded".into(),
            x: "commanded, mm".into(),
            y: "difference, mm".into(),
            series: vec![
                Series {
                    name: "pulls".into(),
                    points: points.collect(),
                    dots: true,
                },
                Series {
                    name: "fitted".into(),
                    points: line.to_vec(),
                    dots: false,
                },
            ],
            marks: Vec::new(),
            logarithmic: [false, false],
        }
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
