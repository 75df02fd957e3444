//! Voltage lost along the lead and in its contacts, out and back.

use model::machine::Detail;
use quantity::Value;

use crate::facts::harness::Part;
use crate::facts::{PairFacts, wires};
use crate::rules::judging::{Finding, Judge, Side, Verdict};

pub(crate) const ID: &str = "lead-drop";

/// As a share of the voltage at the port. Motors are left out: their driver holds the current whatever the lead loses.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    if matches!(pair.device().detail, Detail::Supply(_) | Detail::Motor(_)) {
        return;
    }
    let (Some((drop, share)), Some(voltage)) = (pair.drop().zip(pair.lost_share()), pair.device_voltage())
    else {
        return;
    };
    let limits = pair.limits();
    let (caution, refused) = (limits.lead_drop_caution.value, limits.lead_drop_blocker.value);
    let finding = || {
        let headline = format!(
            "the lead of {} loses up to {} of {} at {}",
            pair.device_name(),
            Value::exact(drop.total.high()),
            Value::exact(voltage.nominal()),
            Value::exact(drop.current.high())
        );
        let finding = Finding::new(headline, "iec-60364-5-52").at(pair.device().cable.wire.place);
        finding.workings(wires::workings(pair, drop))
    };
    if pair.loses_too_much() {
        judge.mended(Part::one("thicker lead"), || {
            finding()
                .against(share, Side::AtMost, refused)
                .remedy("make the lead anew of thicker wire, or bring the supply nearer")
        });
        return;
    }
    judge.at_most(share, caution, Verdict::Caution, || {
        finding().remedy(match pair.device().detail {
            Detail::Heater(_) if pair.device().is_direct_heater() => {
                "shorten the lead or make it of thicker wire; the heater loses twice this share of its power"
            }
            _ => "shorten the lead or make it of thicker wire",
        })
    });
}
