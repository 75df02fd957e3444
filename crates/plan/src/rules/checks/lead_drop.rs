//! Voltage lost along the lead and in its contacts, out and back.

use model::machine::Detail;
use quantity::{Value, WireSize};

use crate::facts::PairFacts;
use crate::facts::harness::Part;
use crate::facts::wires::{self, Drop};
use crate::rules::judging::{Finding, Judge, Side, Subject, Verdict};

pub(crate) const ID: &str = "lead-drop";

/// As a share of the voltage at the port. Motors are left out: their driver holds the current whatever the lead loses.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    if matches!(pair.device().detail, Detail::Supply(_) | Detail::Motor(_)) {
        return;
    }
    let (Some(drop), Some(share), Some(voltage)) = (pair.drop(), pair.lost_share(), pair.device_voltage())
    else {
        return;
    };
    let limits = pair.limits();
    let (caution, refused) = (limits.lead_drop_caution.value, limits.lead_drop_blocker.value);
    let finding = |which: &str, wire: WireSize, drop: &Drop| {
        let headline = format!(
            "the {which} of {} drops up to {} of {} at {}",
            pair.device_name(),
            Value::exact(drop.total.high()),
            Value::exact(voltage.nominal()),
            Value::exact(drop.current.high())
        );
        let finding = Finding::new(headline, "iec-60364-5-52").at(pair.device().cable.wire.place);
        finding.workings(wires::workings(pair, wire, drop))
    };
    let shorter = "shorten the cable or use thicker wire";
    let Some(anew) = pair.new_wire() else {
        judge.at_most(share, caution, Verdict::Caution, || {
            finding("cable", pair.wire(), drop).remedy(match pair.device().detail {
                Detail::Heater(_) => format!("{shorter}. The heater loses twice this share of its power"),
                _ => shorter.to_owned(),
            })
        });
        return;
    };
    if let Some((own, lost)) = pair.own_drop().zip(pair.own_lost_share())
        && pair.loses_too_much()
    {
        judge.mended(thicker_lead(pair, anew.size), || {
            finding("cable", pair.device().cable.wire.value, own)
                .against(lost, Side::AtMost, refused)
                .remedy(format!(
                    "make a new cable of {}, or bring the supply nearer",
                    anew.size
                ))
        });
    }
    judge.graded(share, caution, refused, || {
        finding(&format!("new cable of {}", anew.size), anew.size, drop)
            .about(Subject {
                device: Some(pair.device().tag.value.clone()),
                port: Some(pair.port_name().to_owned()),
                other: Some("new lead".to_owned()),
            })
            .remedy("bring the device nearer, or use one for a higher voltage")
    });
}

/// A new lead for a device, with its wire and its length.
pub(super) fn thicker_lead(pair: &PairFacts<'_>, wire: WireSize) -> Part {
    let own = pair.device().cable.length.value.nominal();
    let length = pair.missing().map_or(own, |missing| own + missing);
    Part::one("thicker lead").of_size(format!("{wire}, {}", Value::exact(length)))
}
