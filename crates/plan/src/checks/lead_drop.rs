//! Voltage lost along the lead and in its contacts, out and back.

use model::machine::Detail;
use physics::{electrics, named, try_work, work};
use quantity::Value;

use crate::finding::{Finding, Side, Verdict};
use crate::harness::Part;
use crate::judge::Judge;
use crate::setup::Pair;
use crate::wires::{self, Drop};

pub(crate) const ID: &str = "lead-drop";

/// As a share of the voltage at the port. Motors are left out: their driver holds the current whatever the lead loses.
pub(crate) fn check(pair: &Pair<'_>, judge: &mut Judge) {
    if matches!(pair.device().detail, Detail::Supply(_) | Detail::Motor(_)) {
        return;
    }
    let (Some(drop), Some(voltage)) = (wires::drop(pair), pair.device_voltage()) else {
        return;
    };
    let share = drop.total / voltage;
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
        let finding = Finding::new(headline, "iec-60364-5-52").at(pair.device().lead.wire.place);
        with_workings(pair, &drop, finding)
    };
    if share.high() > refused.low() {
        judge.mended(Part::one("thicker lead"), || {
            finding()
                .against(share, Side::AtMost, refused)
                .remedy("make the lead anew of thicker wire, or bring the supply nearer")
        });
        return;
    }
    judge.at_most(share, caution, Verdict::Caution, || {
        finding().remedy(match pair.device().detail {
            Detail::Heater(_) => "shorten the lead or make it of thicker wire; the heater loses twice this share of its power",
            _ => "shorten the lead or make it of thicker wire",
        })
    });
}

/// The drop in the wires and in the contacts.
fn with_workings(pair: &Pair<'_>, drop: &Drop, finding: Finding) -> Finding {
    let lead = &pair.device().lead;
    let inputs = (
        named("l", "length of the lead, one way", drop.length),
        named("R′", format!("resistance of {} per length", lead.wire), drop.per_length),
        named("ϑ", "temperature of the copper", pair.limits().lead_copper_temperature.value),
        named("I", "current", drop.current),
    );
    let wires = try_work(&electrics::LEAD_DROP, "ΔU", inputs, |(l, r, t, i)| {
        electrics::lead_drop(l, r, t, i)
    });
    let inputs = (
        named("n", "contacts, out and back", drop.contacts),
        named("Rₖ", format!("resistance of a contact of {}", pair.port().connector), drop.contact),
        named("I", "current", drop.current),
    );
    let contacts = work(&electrics::CONTACT_DROP, "ΔU", inputs, |(n, r, i)| {
        electrics::contact_drop(n, r, i)
    });
    match wires {
        Ok(wires) => finding.working(wires.working).working(contacts.working),
        Err(_) => finding.working(contacts.working),
    }
}
