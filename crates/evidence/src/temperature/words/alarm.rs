//! An alarm told: switch off, what was seen, what to look at.

use quantity::{AnyValue, Number as _, Value};

use crate::quantities::in_celsius;
use crate::report::{Advice, Figure};
use crate::temperature::alarm::{Alarm, Kind};

impl Alarm {
    /// One sentence: what to do, what was seen, with its time and value.
    pub(super) fn sentence(&self) -> String {
        let reading = self
            .reading
            .map_or_else(String::new, |own| format!("{:.1} °C", in_celsius(own)));
        let target = self
            .target
            .map_or_else(String::new, |own| format!("{:.0} °C", in_celsius(own)));
        let duty = self
            .duty
            .map_or_else(String::new, |own| format!("{:.0} %", own.base() * 100.0));
        let (from, to) = (time(self.at.base()), time(self.until.base()));
        let seen = match self.kind {
            Kind::DrivenAboveTarget => format!(
                "from {from} on the reading rises above its target of {target}, to {reading} at {to}, with the heater at {duty}"
            ),
            Kind::HeldAboveTarget => format!(
                "from {from} on the reading stays above its target of {target}, at {reading} at {to}, with the heater at {duty}"
            ),
            Kind::HeatsWhileOff => {
                format!("from {from} on the reading rises to {reading} at {to} although the heater is off")
            }
            Kind::HotWhileOff => {
                format!("from {from} to {to} the reading stays at {reading} although the heater is off")
            }
            Kind::RisesAboveTarget => {
                format!("from {from} on the reading rises above its target of {target}, to {reading} at {to}")
            }
            Kind::NoRise => match self.duty {
                Some(_) => {
                    format!("from {from} to {to} the reading stays at {reading} with the heater at {duty}")
                }
                None => format!("from {from} to {to} the reading stays at {reading}, its target is {target}"),
            },
            Kind::FallsAtFullDuty => {
                format!("from {from} on the reading falls to {reading} at {to} with the heater at {duty}")
            }
            Kind::LeavesTarget => {
                format!(
                    "at {from} the reading leaves its target of {target} and does not come back, {reading} at {to}"
                )
            }
            Kind::OutOfReach => match self.duty {
                Some(_) => format!(
                    "the target of {target} is out of reach: {reading} at {to}, with the heater at {duty} since {from}"
                ),
                None => format!(
                    "the target of {target} is out of reach: {reading} at {to}, asked for since {from}"
                ),
            },
            Kind::BelowScale => {
                format!(
                    "the reading is {reading} at {from}, colder than the machine can be: sensor open or shorted"
                )
            }
            Kind::AboveScale => {
                format!(
                    "the reading is {reading} at {from}, hotter than the machine may be: sensor fault or runaway"
                )
            }
            Kind::NoReading => format!("from {from} to {to} there is no reading while the heater is on"),
            Kind::Frozen => {
                format!(
                    "from {from} to {to} the reading stands at exactly {reading}: it is not measured any more"
                )
            }
            Kind::SuddenDrop => {
                format!(
                    "at {from} the reading drops to {reading}, faster than a part can cool: a detached sensor"
                )
            }
            Kind::SuddenRise => {
                format!(
                    "at {from} the reading jumps to {reading}, faster than a part can heat: a loose contact"
                )
            }
        };
        format!("Switch off: {seen}.")
    }

    /// What to look at, cold and without supply; and that nothing else is judged.
    pub(super) fn advice(&self) -> Vec<Advice> {
        let look = match self.kind {
            Kind::DrivenAboveTarget | Kind::HeldAboveTarget | Kind::RisesAboveTarget => {
                "check that this sensor sits in the part that this heater heats; then measure the heater output with the target at 0 °C; if both are right, the integral term winds up: limit it or lower the integral gain"
            }
            Kind::HeatsWhileOff | Kind::HotWhileOff => {
                "disconnect the heater and measure its output with the target at 0 °C: an output switch that fails on must be replaced"
            }
            Kind::NoRise => {
                "measure the heater's resistance and its supply at the output; check that the sensor sits in the part that this heater heats"
            }
            Kind::FallsAtFullDuty | Kind::LeavesTarget => {
                "fix the sensor in its part; measure the heater's resistance, and follow its cable and fuse"
            }
            Kind::OutOfReach => {
                "measure voltage and current at the heater; compare its power with the file, and check the insulation"
            }
            Kind::BelowScale | Kind::AboveScale | Kind::NoReading => {
                "unplug the sensor and measure its resistance at room temperature; move its cable while you measure"
            }
            Kind::Frozen => "find out why the controller reports an old reading before anything is heated",
            Kind::SuddenDrop | Kind::SuddenRise => {
                "fix the sensor in its part; move its cable while you measure its resistance"
            }
        };
        let first = "take the supply away and let the part cool before you touch it";
        [
            first,
            look,
            "make a new log from cold, with one hand on the power switch",
        ]
        .map(Advice::helps)
        .into()
    }

    /// When, and what was read.
    pub(super) fn figures(&self) -> Vec<Figure> {
        let exact = |id, what: &str, value: AnyValue| Figure::plain(id, what, value);
        let mut out = vec![exact("alarm", "begin of the fault", Value::exact(self.at).into())];
        out.extend(
            self.reading
                .map(|own| exact("alarm-reading", "reading then", Value::exact(own).into())),
        );
        out.extend(
            self.target
                .map(|own| exact("alarm-target", "target then", Value::exact(own).into())),
        );
        out.extend(
            self.duty
                .map(|own| exact("alarm-duty", "mean duty since", Value::exact(own).into())),
        );
        out
    }
}

/// A time of the log, as people read it off the picture.
fn time(seconds: f64) -> String {
    format!("{seconds:.0} s")
}
