//! The supply told.

use quantity::Number as _;
use quantity::Value;
use quantity::si::{ElectricPotential, Time, ohm, volt};

use super::{Dropout, Joint, SupplyLog};
use crate::Refused;
use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Mark, Picture, Plot, Report, Series, Trouble, Verdict, thinned};

pub(super) fn too_few(readings: usize) -> Refused {
    Refused::new(
        format!("{readings} readings are too few"),
        "log the voltage before, while and after all heaters are switched on",
    )
}

pub(super) fn no_number(line: u64) -> Refused {
    Refused::new(
        format!("line {line} holds no time and voltage"),
        "write the time in seconds and the voltage in volt",
    )
}

pub(super) fn no_range() -> Refused {
    Refused::new(
        "the limits of the voltage do not enclose a range, or the accuracy of the meter is no share",
        "write a lowest and a higher highest voltage, and the accuracy such as \"1 %\"",
    )
}

impl SupplyLog {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let joint = self.joint();
        Report {
            title: "Supply under load".into(),
            verdict: self.verdict(),
            sentence: self.sentence(joint.as_ref()),
            figures: self.figures(),
            advice: self.advice(joint.as_ref()),
            tables: Vec::new(),
            pictures: vec![Picture::Plot(self.picture())],
            troubles: self.troubles(),
            sources: vec!["nist-handbook"],
        }
    }

    fn sentence(&self, joint: Option<&Joint>) -> String {
        let (low, high) = (Value::exact(self.lowest.0), Value::exact(self.highest.0));
        let limits = self.limits();
        let held = match self.of_voltage() {
            Verdict::Pass => match self.gap {
                Some((at, length)) => format!(
                    "The supply stays between {low} and {high}, within {limits}, wherever it was read: not for {} from {} on.",
                    Value::exact(length),
                    Value::exact(at)
                ),
                None => format!("The supply stays between {low} and {high}, within {limits}."),
            },
            Verdict::Fail => match self.dropouts_told() {
                Some(dropouts) => format!("The supply leaves {limits}: {dropouts}."),
                None => format!(
                    "The supply leaves {limits}: it was at {low} at the lowest and {high} at the highest."
                ),
            },
            _ => format!(
                "The supply was between {low} and {high}: whether that is within {limits} is closer than the meter can tell."
            ),
        };
        let bad = joint.filter(|joint| joint.is_bad).map_or_else(String::new, |joint| {
            format!(
                " Before the meter lies more resistance than the {} that cable, contacts and supply should have: some {} of heat in a bad joint.",
                Value::exact(joint.most),
                Value::exact(joint.heat)
            )
        });
        held + &bad
    }

    /// The deepest dropout with its length, and how many there are.
    fn dropouts_told(&self) -> Option<String> {
        let deepest = self.deepest()?;
        let time = |time: Time| Value::exact(time);
        let length = if deepest.least.base() > 0.0 {
            format!("for {} to {}", time(deepest.least), time(deepest.most))
        } else {
            format!("for at most {}", time(deepest.most))
        };
        let low = Value::exact(deepest.lowest);
        let at = time(deepest.at);
        Some(match self.dropouts.len() {
            1 => format!("it dropped to {low} {length}, at {at}"),
            count => format!("it dropped {count} times, at the lowest to {low} {length}, at {at}"),
        })
    }

    fn deepest(&self) -> Option<&Dropout> {
        let mut all = self.dropouts.iter();
        let first = all.next()?;
        Some(all.fold(first, |low, own| if own.lowest < low.lowest { own } else { low }))
    }

    /// What to do about dropouts: by whether the current fell with the voltage.
    fn against_dropouts(&self) -> Vec<Advice> {
        let Some(deepest) = self.deepest() else {
            return Vec::new();
        };
        let mut advice = vec![match deepest.current_fell {
            Some(true) => Advice::helps(
                "Voltage and current fell together, so the feed was interrupted: power off, unplug from the mains, tighten every terminal from mains to board.",
            ),
            Some(false) => Advice::helps(
                "The current rose as the voltage dropped, so the supply is overloaded: find the load that switched on then, and compare it with the rating.",
            ),
            None => Advice::helps(format!(
                "Log the current too, and note what switches at {}: an overloaded supply drops under more current, an interrupted feed under less.",
                Value::exact(deepest.at)
            )),
        }];
        if deepest.least.base() <= 0.0 {
            advice.push(Advice::helps(format!(
                "One reading alone shows it: log at least every {} to see depth and length.",
                Value::exact(deepest.most / 20.0)
            )));
        }
        advice
    }

    /// The limits with whose they are.
    fn limits(&self) -> String {
        let of = |whose: &Option<String>| {
            whose
                .as_ref()
                .map_or_else(String::new, |whose| format!(" for {whose}"))
        };
        let [lowest, highest] = &self.ask.of;
        format!(
            "{}{} .. {}{}",
            Value::exact(self.ask.lowest),
            of(lowest),
            Value::exact(self.ask.highest),
            of(highest)
        )
    }

    fn figures(&self) -> Vec<Figure> {
        let with_meter = |v: ElectricPotential| Value::relative(v, self.ask.meter.base());
        let mut figures = vec![
            Figure::plain(
                "lowest",
                "lowest voltage, with the meter's accuracy",
                with_meter(self.lowest.0),
            ),
            Figure::plain(
                "highest",
                "highest voltage, with the meter's accuracy",
                with_meter(self.highest.0),
            ),
            Figure::plain("middle", "median voltage", Value::exact(self.middle)),
        ];
        if let (Some(resistance), Some(unloaded)) = (self.with_meter(), self.unloaded) {
            figures.push(Figure::with_interval(
                "resistance",
                "resistance of supply, wires and contacts up to the meter, with the meter's accuracy",
                resistance.of(ohm),
            ));
            figures.push(Figure::with_interval(
                "unloaded",
                "voltage without load, from the same line",
                unloaded.of(volt),
            ));
        }
        figures
    }

    fn advice(&self, joint: Option<&Joint>) -> Vec<Advice> {
        let mut advice = Vec::new();
        if let Some(joint) = joint.filter(|joint| !joint.is_bad) {
            advice.push(Advice::helps(format!(
                "Tighten the screws between supply and board, power off: before the meter lies a little more than the {} that the plan \
                 knows of, which makes some {} of heat.",
                Value::exact(joint.most),
                Value::exact(joint.heat)
            )));
        }
        advice.extend(self.against_dropouts());
        if self.verdict() == Verdict::Open && self.gap.is_some() {
            advice.push(Advice::helps(
                "Log once more without a gap, with a meter or logger that the same supply does not feed.",
            ));
        }
        let sags = self.verdict() != Verdict::Pass && self.lowest.0 < self.ask.lowest;
        if sags || joint.is_some_and(|joint| joint.is_bad) {
            advice.push(Advice::helps("Measure at the supply's own terminals too: what is lost between there and the board is wire and contact, the rest is the supply."));
            advice.push(Advice::helps("Have terminals and wires on the supply side looked at by someone qualified; unplug from the mains first and wait."));
            advice.push(Advice::in_vain(
                "Turning the supply's trimmer up hides a bad contact, and the contact goes on heating.",
            ));
        }
        advice
    }

    fn picture(&self) -> Plot {
        let pieces: Vec<Vec<[f64; 2]>> = self.course().iter().map(|piece| thinned(piece)).collect();
        let measured = Series::line("measured", pieces.join(&[f64::NAN; 2]));
        Plot::new("Voltage of the supply", ["time, s", "voltage, V"], vec![measured]).marked([
            Mark::across("lowest allowed", self.ask.lowest.base()),
            Mark::across("highest allowed", self.ask.highest.base()),
        ])
    }

    fn troubles(&self) -> Vec<Trouble> {
        let mut troubles = Vec::new();
        if self.resistance.is_some_and(|r| r.high < 0.0) {
            troubles.push(Trouble::of_all(
                "the voltage rises with the current: look whether the columns are mixed up",
            ));
        }
        if self.is_far_off() {
            troubles.push(Trouble::of_all(format!(
                "most readings are near {}, far from the {} asked for: is it the log of another rail, or another unit?",
                Value::exact(self.middle),
                self.limits()
            )));
        }
        if self.resistance.is_none() {
            troubles.push(Trouble::of_all("no current was logged, or it did not change: what resistance makes the voltage sag is not known"));
        }
        troubles
    }
}
