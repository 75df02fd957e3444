//! A heater on an output that is not built for heaters.

use model::board::PortKind;
use model::machine::Detail;

use crate::facts::PairFacts;
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "output-kind";

/// Outputs for heaters are off while the processor starts or hangs; of others nobody promises that.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let (Detail::Heater(_), PortKind::Switched { heater, .. }) = (&pair.device().detail, &pair.port().kind)
    else {
        return;
    };
    let (device, port) = (|| pair.device_name(), pair.port_name());
    if *heater {
        judge.say(Verdict::Pass, || {
            let words = format!("{} is on {port}, which is built for heaters", device());
            Finding::new(words, "common-practice").at(pair.port().place)
        });
        return;
    }
    judge.say(Verdict::Caution, || {
        let through = if pair.external_switch().is_some() {
            ", by way of an external switch"
        } else {
            ""
        };
        let words = format!("{} is on {port}{through}, which is not built for heaters", device());
        Finding::new(words, "common-practice").at(pair.port().place).remedy(
            "verify that the output stays off while the board starts, resets and loads firmware. Do so before you connect a heater",
        )
    });
}
