//! Warmth told.

use quantity::si::{ThermodynamicTemperature, kelvin, second};
use quantity::{Number as _, Value};
use statistics::Estimate;

use super::WarmthLog;
use crate::Refused;
use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Mark, Picture, Plot, Report, Series, Trouble, Verdict, thinned};

pub(super) fn too_few(readings: usize) -> Refused {
    Refused::new(
        format!("{readings} readings are too few to tell where the temperature is bound for"),
        "log a reading a minute for at least half an hour",
    )
}

pub(super) fn no_number(line: u64) -> Refused {
    Refused::new(
        format!("line {line} holds no time and temperature"),
        "write the time in seconds and the temperature in degrees Celsius",
    )
}

pub(super) fn backwards(line: u64) -> Refused {
    Refused::new(
        format!("line {line}: the time runs backwards"),
        "cut the log where it was started anew, and give each piece by itself",
    )
}

pub(super) fn one_time() -> Refused {
    Refused::new(
        "all readings have one time",
        "write the time of each reading in seconds",
    )
}

pub(super) fn no_curve() -> Refused {
    Refused::new(
        "no curve of warming fits the log",
        "log from the moment the motor is switched on, without changing its current",
    )
}

impl WarmthLog {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        Report {
            title: format!("Warmth of the {}", self.ask.what),
            verdict: self.verdict(),
            sentence: self.sentence(),
            figures: self.figures(),
            advice: self.advice(),
            tables: Vec::new(),
            pictures: vec![Picture::Plot(self.picture())],
            troubles: self.troubles(),
            sources: vec!["heat-transfer-textbook", "nist-handbook"],
        }
    }

    fn sentence(&self) -> String {
        let limit = Value::exact(self.ask.highest);
        let end = temperature(self.end_at_hottest);
        let air = Value::exact(self.ask.hottest_air);
        let what = &self.ask.what;
        match self.verdict() {
            Verdict::Pass => {
                format!("The {what} will settle at {end} in air of {air}, within the {limit} allowed.")
            }
            Verdict::Fail => format!(
                "The {what} gets hotter than the {limit} allowed: it is bound for {end} in air of {air}."
            ),
            _ if self.long_enough() => format!(
                "The {what} is bound for {end} in air of {air}: whether that is within {limit} is not shown."
            ),
            _ => format!("The log of the {what} is too short to foretell where its temperature ends."),
        }
    }

    fn figures(&self) -> Vec<Figure> {
        let end = |id, what: &str, end| Figure::with_interval(id, what, temperature(end));
        vec![
            end(
                "end-at-hottest",
                "temperature at the end, in the hottest air",
                self.end_at_hottest,
            ),
            end("end", "temperature at the end, in the air of the log", self.end),
            Figure::with_interval("rise", "rise above the air", self.rise().of(kelvin)),
            Figure::with_interval("time-constant", "time constant", self.time_constant.of(second)),
            Figure::plain(
                "deviation",
                "scatter of a single reading",
                Value::exact(kelvin(self.deviation)),
            ),
        ]
    }

    fn advice(&self) -> Vec<Advice> {
        let mut advice = Vec::new();
        match self.verdict() {
            Verdict::Fail => {
                let current = self.bearable_current();
                let lower = current.map_or_else(
                    || "the current".to_owned(),
                    |current| format!("the current to about {}", Value::exact(current)),
                );
                advice.push(Advice::helps(format!(
                    "Lower {lower} (the rise goes with its square), and log again."
                )));
                advice.push(Advice::helps(
                    "Move air over it, or give a driver its heat sink. Hot parts: let them cool before touching.",
                ));
            }
            Verdict::Open => advice.push(Advice::helps(
                "Log for at least two time constants: half an hour for a driver, two hours for a motor.",
            )),
            _ => {}
        }
        advice.push(Advice::in_vain(
            "Touching it: bare metal at 55 °C already hurts within seconds, and most motors bear more.",
        ));
        advice
    }

    fn picture(&self) -> Plot {
        let measured = self.measured();
        let hotter = self.ask.hottest_air.base() - self.ask.air.nominal().base();
        let allowed = self.ask.highest.base() - hotter - 273.15;
        let series = vec![
            Series {
                dots: measured.len() <= 120,
                ..Series::line("measured", thinned(&measured))
            },
            Series::line("fitted, one body", self.fitted()),
        ];
        let title = format!("Temperature of the {}", self.ask.what);
        Plot::new(title, ["time, min", "temperature, °C"], series)
            .marked([Mark::across("highest allowed, less the hotter air", allowed)])
    }

    fn troubles(&self) -> Vec<Trouble> {
        let mut troubles = Vec::new();
        if !self.long_enough() {
            troubles.push(Trouble::of_all(
                "the log is shorter than the time constant: the end is a guess",
            ));
        }
        if !self.ask.air_stated {
            troubles.push(Trouble::of_all(format!(
                "the air while it was logged is not stated, so the room of the swap is taken, {}: state `air` as you measured it, and the end \
                 is told more narrowly",
                self.ask.air
            )));
        }
        if self.memory > 0.0 {
            troubles.push(Trouble::of_all(format!(
                "readings stray together from the curve (correlation {:.2} with the one before): they count as fewer, and the intervals are \
                 as much wider",
                self.memory
            )));
        }
        troubles
    }
}

fn temperature(estimate: Estimate) -> Value<ThermodynamicTemperature> {
    estimate.of(ThermodynamicTemperature::from_base)
}
