//! What would reduce a part of the swing, and what is often tried in vain.

use quantity::si::TemperatureInterval;
use quantity::{Number as _, Value};

use super::mains::mains;
use super::{text, told};
use crate::report::Advice;
use crate::temperature::swing::{Cause, Line};
use crate::temperature::{Analysis, Ask, Proposal, Swing};

/// A second cause with a larger share than this is worth a remedy, too.
const LARGE: f64 = 0.25;

impl Analysis {
    pub(super) fn advice(&self, proposals: &[Proposal]) -> Vec<Advice> {
        if let Some(alarm) = &self.alarm {
            return alarm.advice();
        }
        if self.scale_in_doubt {
            let state = "write the unit in the head of the column, such as `(°F)`, or state `scale`; then judge the log again";
            return vec![Advice::helps(state)];
        }
        if self.part_in_doubt {
            let name =
                "name the heater that was logged, or correct the machine's file; then judge the log again";
            return vec![Advice::helps(name)];
        }
        if self.spikes.is_some_and(|own| own.is_fault()) {
            return vec![
                Advice::helps(
                    "switch off and cool down; fasten the sensor's plug and crimps, and move its cable while you measure its resistance",
                ),
                Advice::helps("keep its cable apart from those of heaters and motors; then make a new log"),
            ];
        }
        let Ok(swing) = &self.swing else {
            return Vec::new();
        };
        let beside = swing.is_beside().then(|| {
            [
                Advice::helps(
                    "an integral gain above zero, and enough power to reach the target: compare the duty at the end with 100 %",
                ),
                Advice::in_vain("acting on the swing: the readings lie beside the target, not around it"),
            ]
        });
        let untold = (!self.has_target).then(|| Advice::helps("a log with the target in it"));
        let mut parts = swing.parts.iter();
        let first = parts.next().into_iter().flat_map(|part| {
            let (helps, in_vain) = remedies(part.cause, swing, proposals, &self.ask);
            [Advice::helps(helps), Advice::in_vain(in_vain)]
        });
        let second = parts.next().filter(|part| part.share.base() > LARGE);
        let second = second.map(|part| Advice::helps(remedies(part.cause, swing, proposals, &self.ask).0));
        let beside = beside.into_iter().flatten();
        untold
            .into_iter()
            .chain(beside)
            .chain(first)
            .chain(second)
            .collect()
    }
}

fn remedies(cause: Cause, swing: &Swing, proposals: &[Proposal], ask: &Ask) -> (String, String) {
    let both = |helps: &str, in_vain: &str| (helps.to_owned(), in_vain.to_owned());
    match cause {
        Cause::Control => (
            settings(swing, proposals),
            "a finer input, filtering or other wiring: the temperature itself swings".to_owned(),
        ),
        Cause::Noise => both(
            "the input circuit: a filter at the thermometer input, a quieter reference, a mean over more samples before the controller",
            "tuning: the part does not swing like that, the reading does; less derivative action only spares the duty the noise",
        ),
        Cause::Steps => both(
            "the input circuit: a pull-up nearer to the thermometer's resistance at this temperature, or more bits; a mean over samples where there is some noise between steps",
            "tuning and wiring: a reading cannot be steadier than its steps",
        ),
        Cause::Drift => both(
            "steady surroundings: a draught, a fan or an open door changes the heat that is taken; and a longer soak before the log begins",
            "filtering: slow changes pass every filter",
        ),
        Cause::PickUp => both(
            &wiring(swing, ask),
            if swing.has_duty {
                "tuning: the duty follows this line of the reading and does not make it"
            } else {
                "tuning: the log tells no duty, but the reading changes faster than full power heats"
            },
        ),
        Cause::Regular => both(
            &regular(swing, ask),
            "acting on this log alone: new settings as well as new wiring would be a guess",
        ),
        Cause::Rest => both(
            "a longer log with the duty in it and a heat-up from cold, so that the causes can be told apart",
            "acting on this log alone",
        ),
    }
}

fn settings(swing: &Swing, proposals: &[Proposal]) -> String {
    let chosen = proposals.iter().find(|proposal| proposal.outcome.chosen);
    // Settings that would hold it no better are no remedy.
    let better = |width: &TemperatureInterval| width.base() < 0.9 * swing.width.nominal().base();
    let chosen =
        chosen.and_then(|proposal| Some((proposal.outcome.rule.name, proposal.width.filter(better)?)));
    let switched = match swing.is_switched {
        true => "a steady control instead of switching on and off, with ",
        false => "",
    };
    chosen.map_or_else(
        || match swing.is_switched {
            true => "a steady control instead of switching on and off".to_owned(),
            false => "other controller settings".to_owned(),
        },
        |(rule, width)| {
            format!(
                "{switched}the controller settings of {rule}, with which the simulation has 99 % of the readings in a band of {} (now {})",
                text(width),
                told(&swing.width)
            )
        },
    )
}

fn line_by(swing: &Swing, cause: Cause) -> Option<&Line> {
    swing.lines.iter().find(|line| line.cause == cause)
}

fn wiring(swing: &Swing, ask: &Ask) -> String {
    let at = line_by(swing, Cause::PickUp).map_or_else(String::new, |line| {
        format!(
            " (it shows at {}; {})",
            Value::exact(line.frequency),
            mains(line, swing, ask)
        )
    });
    format!("wiring: sensor wires twisted, apart from heater and motor cables, one ground{at}")
}

/// What is said of a swing that control or pick-up may make.
fn regular(swing: &Swing, ask: &Ask) -> String {
    let at = line_by(swing, Cause::Regular).map_or_else(String::new, |line| {
        let period = line.frequency.base().recip();
        format!(
            " It shows at {}, a period of {period:.1} s{}; {}.",
            Value::exact(line.frequency),
            beside_its_own(swing, period),
            mains(line, swing, ask)
        )
    });
    let why = if swing.has_duty {
        "there is no process to tell what the duty moved, and pick-up reaches the duty through the controller, too: \
         a log with the duty and a heat-up from cold would tell control and pick-up apart."
    } else {
        "the log tells no duty, so control and pick-up cannot be told apart: a log with the duty in it and a heat-up from cold would."
    };
    format!("{why}{at}")
}

/// A period in seconds beside the one at which the process would oscillate.
fn beside_its_own(swing: &Swing, period: f64) -> String {
    let Some(own) = swing.period.map(|own| own.base()) else {
        return String::new();
    };
    let likely = if (0.5..=4.0).contains(&(period / own)) {
        ", so control is likely"
    } else {
        ""
    };
    let told = if swing.has_duty {
        ""
    } else {
        " (as full power during the heat-up tells)"
    };
    format!(
        "; a controller that is too lively would make the process oscillate at a period of about {own:.0} s{told}{likely}"
    )
}
