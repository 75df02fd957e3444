//! A temperature log told: phases, process, swing by cause, proposals.

mod alarm;
mod figures;
mod mains;
mod open_loop;
mod pictures;
mod remedies;
mod tables;

pub(super) use self::tables::controllers;

use quantity::si::{TemperatureInterval, Time};
use quantity::{AnyValue, Number as _, Quantity, Value, show_nominal};

use super::swing::{Cause, NoiseFrom, Part};
use super::{Analysis, Phase, Proposal, Spikes, Swing};
use crate::read::TemperatureScale;
use crate::report::{Report, Verdict};
use crate::{Refused, Trouble};

pub(super) fn says_nothing(process: &Refused, swing: &Refused) -> Refused {
    Refused::new(
        format!(
            "the log says nothing about its heater: {}; {}",
            process.problem, swing.problem
        ),
        format!("{}; {}", process.mend, swing.mend),
    )
}

pub(super) fn switched_off() -> Refused {
    Refused::new(
        "the log shows a fault that has to be found first",
        "find the fault, then make a new log",
    )
}

pub(super) fn no_heat_up() -> Refused {
    Refused::new(
        "there is no heat-up in the log",
        "begin the log cold, before the target is set",
    )
}

pub(super) fn small_heat_up(points: usize, step: Time, rise: f64) -> Refused {
    Refused::new(
        format!(
            "the heat-up has {points} points, one each {:.1} s, and {rise:.0} K",
            step.base()
        ),
        "a heat-up of at least 15 K with a sample each second or faster",
    )
}

pub(super) fn never_heated() -> Refused {
    Refused::new(
        "its duty is 0 % throughout: this heater was off",
        "log the heater that was on, or name it as `channel`",
    )
}

pub(super) fn nothing_held() -> Refused {
    Refused::new(
        "the duty does not react to the reading: nothing was held",
        "log the heater under its controller, at its setpoint, for some minutes",
    )
}

pub(super) fn steady_duty() -> Refused {
    Refused::new(
        "the duty never changes where the process is to be told",
        "a log with a heat-up from cold",
    )
}

pub(super) fn no_process() -> Refused {
    Refused::new(
        "no process of two lags and a dead time fits the log",
        "a heat-up from cold to the target with the duty in the log, a sample each second or faster",
    )
}

pub(super) fn no_soak() -> Refused {
    Refused::new(
        "there is no soak in the log",
        "let the heater hold its target for some minutes",
    )
}

pub(super) fn short_soak(readings: usize) -> Refused {
    Refused::new(
        format!("the longest soak has {readings} readings"),
        format!(
            "at least {}: let the heater hold its target for some minutes",
            super::swing::FEWEST
        ),
    )
}

pub(super) fn soak_in_pieces() -> Refused {
    Refused::new(
        "gaps cut the soak into pieces that are too short",
        "a log without gaps of at least some minutes",
    )
}

pub(super) fn spikes(spikes: Spikes) -> Trouble {
    Trouble::of_all(format!("{}; what makes them is not known", jumping(spikes)))
}

/// Readings that jump and come back.
fn jumping(
    Spikes {
        count,
        largest,
        first,
    }: Spikes,
) -> String {
    let (readings, jump) = match count {
        1 => ("1 reading".to_owned(), "jumps by"),
        _ => (format!("{count} readings"), "jump by up to"),
    };
    format!(
        "from {:.0} s on {readings} {jump} {} and come{} back",
        first.base(),
        text(largest),
        if count == 1 { "s" } else { "" }
    )
}

pub(super) fn room_assumed(first: f64, room: f64) -> Trouble {
    Trouble::of_all(format!(
        "the log begins at {first:.1} °C, not cold: the room was taken as {room:.1} °C, give or take 5 K, and what came before as rest; begin a \
         log cold"
    ))
}

pub(super) fn full_power_assumed() -> Trouble {
    Trouble::of_all("the log tells no duty: full power was assumed until the target is near")
}

pub(super) fn target_assumed(level: f64) -> Trouble {
    Trouble::of_all(format!(
        "the log tells no target: {level:.1} °C was taken, the level at which it stays longest"
    ))
}

pub(super) fn scale_in_doubt(scale: TemperatureScale, number: f64, room: f64, hottest: f64) -> Trouble {
    Trouble::of_all(format!(
        "the log begins at {number:.1}, reaches {hottest:.1} and names no unit: degrees Celsius were taken, but with the room at {room:.0} °C it would begin near it in \
         {}, and reach {:.0} °C; write `({})` in the head, or state `scale` (`°C` if that is right): all that follows depends on it",
        scale.word(),
        scale.to_celsius(hottest),
        scale.unit()
    ))
}

impl Phase {
    /// The word on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Cold => "cold",
            Self::HeatUp => "heat-up",
            Self::Approach => "approach",
            Self::Soak => "soak",
            Self::Disturbance => "disturbance",
            Self::Cooling => "cooling",
            Self::Driven => "open loop",
        }
    }
}

impl Cause {
    /// The word on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Control => "control",
            Self::Noise => "sensor noise",
            Self::Steps => "steps of the input",
            Self::Drift => "drift",
            Self::PickUp => "pick-up",
            Self::Regular => "control or pick-up (cannot be told apart here)",
            Self::Rest => "not told apart",
        }
    }
}

impl Analysis {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let proposals = self.proposals();
        Report {
            title: if self.ask.name.is_empty() {
                "Temperature".to_owned()
            } else {
                format!("Temperature of the {}", self.ask.name)
            },
            verdict: self.verdict(),
            sentence: self.sentence(),
            figures: self.figures(),
            advice: self.advice(&proposals),
            tables: self.tables(&proposals),
            pictures: self.pictures(),
            troubles: self.all_troubles(),
            sources: self.sources(&proposals),
        }
    }

    fn sentence(&self) -> String {
        if let Some(alarm) = &self.alarm {
            return alarm.sentence();
        }
        if self.scale_in_doubt {
            return "Not judged: the log names no unit of temperature, and it may not be in degrees Celsius."
                .to_owned();
        }
        if self.part_in_doubt {
            return "Not judged: this looks like the log of another heater than the one it is named for."
                .to_owned();
        }
        if self.open_loop {
            return open_loop::sentence(self);
        }
        if let Some(spikes) = self.spikes.filter(Spikes::is_fault) {
            return format!(
                "The sensor has a loose contact, or its cable picks up pulses: {}.",
                jumping(spikes)
            );
        }
        let Ok(swing) = &self.swing else {
            let process = self.process.as_ref().map_or_else(
                |_| String::new(),
                |process| format!(": full power would raise it by {}", told(&process.gain)),
            );
            return format!("The log shows a heat-up and no soak{process}.");
        };
        let asked = text(self.ask.within);
        let held = match self.verdict() {
            Verdict::Pass => {
                format!("which is within ± {asked}; a swing of about one kelvin is no fault by itself")
            }
            Verdict::Fail => format!("which is more than ± {asked}"),
            _ if !self.has_target => {
                format!("where they stay longest. The log tells no target, so ± {asked} is open")
            }
            _ => format!("and it is not shown whether that is within ± {asked}"),
        };
        let of = match self.has_target {
            true => "the target".to_owned(),
            false => format!("{:.1} °C", swing.level()),
        };
        format!(
            "Held, 99 % of the readings lie within ± {} of {of}, {held}.{}{}",
            told(&swing.farthest),
            beside(swing),
            mostly(&swing.parts)
        )
    }

    fn all_troubles(&self) -> Vec<Trouble> {
        let failed = |what: &str, refused: &Refused| {
            Trouble::of_all(format!("{what}: {}; {}", refused.problem, refused.mend))
        };
        if self.alarm.is_some() {
            return self.troubles.clone();
        }
        let process = self.process.as_ref().err();
        let swing = self.swing.as_ref().err().filter(|_| !self.open_loop);
        let failed = [
            process.map(|refused| failed("the process was not identified", refused)),
            swing.map(|refused| failed("the swing was not taken apart", refused)),
            self.hidden_noise(),
            self.coarse_digits(),
        ];
        self.troubles
            .iter()
            .cloned()
            .chain(failed.into_iter().flatten())
            .collect()
    }

    fn hidden_noise(&self) -> Option<Trouble> {
        let swing = self.swing.as_ref().ok()?;
        let step = swing.step().filter(|_| swing.noise_from == NoiseFrom::Hidden)?;
        Some(Trouble::of_all(format!(
            "the step of {} hides the noise: how much of the swing is the one and how much the other is uncertain",
            text(step)
        )))
    }

    /// Digits that take a good share of what is allowed.
    fn coarse_digits(&self) -> Option<Trouble> {
        let swing = self.swing.as_ref().ok()?;
        let half = swing.digits / 2.0;
        (half.base() > 0.2 * self.ask.within.base()).then(|| {
            Trouble::of_all(format!(
                "the log writes readings in steps of {}: each may be off by {}, which is counted; log another decimal",
                text(swing.digits),
                text(half)
            ))
        })
    }

    fn sources(&self, proposals: &[Proposal]) -> Vec<&'static str> {
        if self.alarm.is_some() {
            return vec!["common-practice"];
        }
        let mut sources = vec!["nist-sp1065", "welch-1967", "more-1978", "common-practice"];
        for proposal in proposals {
            let source = proposal.outcome.rule.source;
            if !sources.contains(&source) {
                sources.push(source);
            }
        }
        let swing = self.swing.as_ref().ok();
        if swing.and_then(Swing::deciding_coherence).is_some() {
            sources.push("carter-1973");
        }
        sources
    }
}

/// What is said of a mean that lies beside its target.
fn beside(swing: &Swing) -> String {
    let offset = &swing.offset;
    if !swing.is_beside() {
        return String::new();
    }
    let (side, size) = match offset.nominal().base() < 0.0 {
        true => ("below", offset.scale(-1.0)),
        false => ("above", *offset),
    };
    format!(" The mean is {} {side} it.", told(&size))
}

/// The largest part of a swing; "most" is more than half.
fn mostly(parts: &[Part]) -> String {
    let Some(part) = parts.first() else {
        return String::new();
    };
    let share = part.share.base();
    let much = if share > 0.5 { "Most" } else { "The largest part" };
    format!(
        " {much} of the swing is {} ({:.0} % of the variance).",
        part.cause.word(),
        share * 100.0
    )
}

/// A quantity of the log in a sentence: its digits follow its interval.
pub(super) fn told<Q: Quantity>(value: &Value<Q>) -> String {
    show_nominal(&AnyValue::from(*value))
}

pub(super) fn text(value: TemperatureInterval) -> String {
    let number = value.base();
    let places = if number.abs() < 0.095 { 3 } else { 2 };
    if number.abs() >= 10.0 {
        format!("{number:.0} K")
    } else {
        format!("{number:.places$} K")
    }
}
