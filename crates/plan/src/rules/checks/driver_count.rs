//! Drivers of the board against the motors of the machine.

use crate::facts::{WholeFacts, axes};
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "driver-count";

/// Enough for each motor, enough for each axis with some motors sharing, or not even that.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let machine = &facts.swap.machine;
    let motors = || {
        machine
            .devices
            .iter()
            .filter_map(|device| axes::motor(&device.detail))
    };
    let count = motors().count();
    if count == 0 {
        return;
    }
    let drivers = facts.board.drivers.len();
    let moved = (0..machine.axes.len())
        .filter(|axis| motors().any(|motor| motor.axis.0 == *axis))
        .count();
    let shared = facts.pairs().filter(|pair| pair.way.second).count();
    let verdict = if drivers < moved {
        Verdict::Blocker
    } else if drivers < count {
        Verdict::Note
    } else {
        Verdict::Pass
    };
    judge.say(verdict, || {
        let spare = drivers.saturating_sub(count);
        let headline = match verdict {
            Verdict::Blocker => format!("{drivers} drivers for {moved} axes: not even one for each"),
            Verdict::Note => format!("{drivers} drivers for {count} motors on {moved} axes: motors of one axis must share"),
            _ => format!(
                "{drivers} drivers for {count} motors{}{}",
                if shared > 0 { format!(", although {shared} of them share one") } else { String::new() },
                match spare {
                    0 => String::new(),
                    1 => ", one to spare".to_owned(),
                    _ => format!(", {spare} to spare"),
                }
            ),
        };
        let finding = Finding::new(headline, "common-practice").at(facts.board.place);
        match verdict {
            Verdict::Pass => finding,
            Verdict::Note => finding.remedy("two motors that share a driver need twice the current (side by side) or twice the voltage (in series)"),
            _ => finding.remedy("choose a board with more drivers"),
        }
    });
}
