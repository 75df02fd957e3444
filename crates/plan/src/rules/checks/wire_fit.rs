//! Whether the wires of the lead go into the new contact or clamp.

use catalogue::WorkKind;
use quantity::Number;

use crate::facts::PairFacts;
use crate::facts::harness::Part;
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "wire-fit";

/// The trade pairs cross-sections with the next thinner gauge: 2.5 mm² with 14 AWG, 1.5 with 16, 1 with 18; up to a fifth apart.
const PAIRED: f64 = 1.25;

/// Asked only where the end is made anew: a plug that is put over has its contacts already.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let (cable, socket) = (&pair.device().cable, &pair.port().connector);
    let connectors = pair.swap.catalogue.connectors();
    let work = pair.work();
    let Some(family) = connectors.get(&socket.value) else {
        return;
    };
    let (Some(thinnest), Some(thickest)) = (family.thinnest, family.thickest) else {
        return;
    };
    let same_plug = cable.connector.value == socket.value && cable.pins.len() == pair.port().pins.len();
    let clamps = work == Some(WorkKind::Clamp);
    if !clamps && (same_plug || work != Some(WorkKind::ReCrimp)) {
        return;
    }
    let share = |size: quantity::WireSize| cable.wire.area().base() / size.area().base();
    let words = |fits: &str| {
        format!(
            "the wires of {} are {}, {fits} {} of {} ({thinnest} to {thickest})",
            pair.device_name(),
            cable.wire,
            socket,
            pair.port_name()
        )
    };
    if share(thickest) > PAIRED && clamps {
        judge.say(Verdict::Caution, || {
            Finding::new(words("thicker than is meant for a"), "common-practice")
                .at(cable.wire.place)
                .remedy("try it with a ferrule; never cut strands off to make it go in: splice a thinner tail instead")
        });
    } else if share(thickest) > PAIRED {
        judge.mended(Part::one("splice"), || {
            Finding::new(words("too thick for a contact of"), "common-practice")
                .at(cable.wire.place)
                .remedy(format!(
                    "join a short tail of {thickest} with the right contacts to the lead"
                ))
        });
    } else if share(thinnest) * PAIRED < 1.0 {
        judge.say(Verdict::Caution, || {
            Finding::new(words("thinner than is meant for a"), "common-practice")
                .at(cable.wire.place)
                .remedy("fold the strands double or use a ferrule, and pull at each wire")
        });
    } else {
        judge.say(Verdict::Pass, || {
            Finding::new(words("which fits a"), "common-practice").at(cable.wire.place)
        });
    }
}
