//! Whether the wires of the lead go into the new contact or clamp.

use catalogue::WorkKind;
use quantity::{Number, WireSize};

use crate::facts::harness::Part;
use crate::facts::{PairFacts, wires};
use crate::rules::judging::{Finding, Judge, Subject, Verdict};

pub(crate) const ID: &str = "wire-fit";

/// The trade pairs cross-sections with the next thinner gauge: 2.5 mm² with 14 AWG, 1.5 with 16, 1 with 18; up to a fifth apart.
const PAIRED: f64 = 1.25;

/// Asked of the contact that the wires end in: a new one of the port, or that of the plug that stays on the lead.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    own_plug(pair, judge);
    // The lead then ends in the terminals of the switch module.
    if pair.external_switch().is_some() {
        return;
    }
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
    let anew = pair.new_wire().is_some();
    if !clamps && !anew && (same_plug || work != Some(WorkKind::ReCrimp)) {
        return;
    }
    let wire = pair.wire();
    let words = |fits: &str| {
        let whose = if anew { "new wires" } else { "wires" };
        format!(
            "the {whose} of {} are {wire}, {fits} {} of {}. It takes {thinnest} to {thickest}",
            pair.device_name(),
            socket,
            pair.port_name()
        )
    };
    match Fit::of(wire, thinnest, thickest) {
        Fit::TooThick if clamps => judge.say(Verdict::Caution, || {
            Finding::new(words("thicker than is meant for a"), "common-practice")
                .at(cable.wire.place)
                .remedy(
                    "try it with a ferrule, or splice a thinner tail. Never cut strands off to make it go in",
                )
        }),
        Fit::TooThick => tail(pair, thickest, || words("too thick for a contact of"), judge),
        Fit::TooThin => judge.say(Verdict::Caution, || {
            Finding::new(words("thinner than is meant for a"), "common-practice")
                .at(cable.wire.place)
                .remedy("fold the strands double or use a ferrule, and pull at each wire")
        }),
        Fit::Fits => judge.say(Verdict::Pass, || {
            Finding::new(words("which fits a"), "common-practice").at(cable.wire.place)
        }),
    }
}

/// How a wire fits a range of sizes.
enum Fit {
    TooThick,
    TooThin,
    Fits,
}

impl Fit {
    fn of(wire: WireSize, thinnest: WireSize, thickest: WireSize) -> Self {
        let share = |size: WireSize| wire.area().base() / size.area().base();
        if share(thickest) > PAIRED {
            Fit::TooThick
        } else if share(thinnest) * PAIRED < 1.0 {
            Fit::TooThin
        } else {
            Fit::Fits
        }
    }
}

/// The plug that is on the lead was put on wires of its range, or the file is wrong about one of the two, or the contacts do not hold.
fn own_plug(pair: &PairFacts<'_>, judge: &mut Judge) {
    let cable = &pair.device().cable;
    let connectors = pair.swap.catalogue.connectors();
    let Some(family) = connectors.get(&cable.connector.value) else {
        return;
    };
    let (Some(thinnest), Some(thickest)) = (family.thinnest, family.thickest) else {
        return;
    };
    let how = match Fit::of(cable.wire.value, thinnest, thickest) {
        Fit::TooThick => "thicker",
        Fit::TooThin => "thinner",
        Fit::Fits => return,
    };
    // A plug that comes off takes its fault along; the file is then wrong all the same.
    let stays = matches!(
        pair.work(),
        Some(WorkKind::PlugOver | WorkKind::PlugLoose | WorkKind::Adaptor)
    );
    let verdict = if stays && pair.new_wire().is_none() {
        Verdict::Caution
    } else {
        Verdict::Note
    };
    judge.say(verdict, || {
        let words = format!(
            "the wires of {} are {}, {how} than its own {} allows. That takes {thinnest} to {thickest}",
            pair.device_name(),
            cable.wire,
            cable.connector
        );
        Finding::new(words, "common-practice")
            .about(Subject::aspect(pair.device(), "own plug"))
            .at(cable.wire.place)
            .remedy("correct `wire` or `connector` in the file. Where the contacts do not hold, re-terminate the cable")
    });
}

/// A short tail of the thickest wire that the contact takes carries all of the current: where it bears that, it mends the way.
fn tail(pair: &PairFacts<'_>, thickest: WireSize, words: impl Fn() -> String, judge: &mut Judge) {
    let cable = &pair.device().cable;
    let current = pair.long_current();
    let bears = wires::bears_alone(&pair.swap.catalogue, thickest);
    if let (Some(current), Some(bears)) = (current, bears)
        && current.high() > bears.low()
    {
        judge.at_most(current, bears, Verdict::Blocker, || {
            let headline = format!("{}. A tail of {thickest} is not rated for its current", words());
            Finding::new(headline, "common-practice")
                .at(cable.wire.place)
                .remedy("use a port with stronger contacts or terminals")
        });
        return;
    }
    judge.mended(Part::one("splice").of_size(thickest.to_string()), || {
        Finding::new(words(), "common-practice")
            .at(cable.wire.place)
            .remedy(format!(
                "join a short tail of {thickest} with the right contacts to the cable"
            ))
    });
}
