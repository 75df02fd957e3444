//! The fuse at the input of the board: it must hold in use, open in a fault, and be no larger than what it protects.

use catalogue::FuseKind;
use model::Place;
use model::machine::Detail;
use physics::electrics;
use quantity::si::ElectricCurrent;
use quantity::{Number, Value};

use crate::facts::WholeFacts;
use crate::facts::budget::{State, sum};
use crate::rules::judging::{Finding, Judge, Subject, Verdict};
use crate::rules::workings::{with_long_rating, with_sum};

use super::lead_fuse::fuse_part;

pub(crate) const ID: &str = "input-fuse";

/// Four questions to one fuse; where there is none, that is said.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let board = facts.board;
    let budget = facts.budget();
    let (cold_lines, hot_lines) = (budget.input(State::HeatUp), budget.input(State::Hot));
    let (heat_up, hot) = (sum(cold_lines), sum(hot_lines));
    let Some(fuse) = board.input.fuse else {
        return none(facts, heat_up, hot, judge);
    };
    let about = |what: &str, headline: String, source: &'static str| {
        Finding::new(headline, source)
            .about(Subject::named(what))
            .at(fuse.place)
    };
    // Up to 1.1 times its rating a blade fuse holds for 100 h; from 1.35 times it has opened within ten minutes.
    let opens = electrics::FuseClass::Blade.opening_multiple();
    let opening = Value::exact(fuse.low() * opens);
    judge.graded(heat_up, fuse.value, opening, || {
        let headline = format!(
            "the fuse of {} carries up to {} at heat-up. It is rated for {}",
            board.name,
            Value::exact(heat_up.high()),
            fuse.value
        );
        with_sum(about("heat-up", headline, "iso-8820-3"), cold_lines)
            .remedy("heat the bed first and then the hot end, or move the bed to an external switch. Never fit a larger fuse")
    });
    let share = facts.limits().fuse_continuous_share.value;
    judge.at_most(hot, share * fuse.value, Verdict::Caution, || {
        let headline = format!(
            "the fuse of {} carries up to {} once all is hot. Use at most {share} of its {} continuously",
            board.name,
            Value::exact(hot.high()),
            fuse.value
        );
        let finding = with_sum(about("hot", headline, "common-practice"), hot_lines);
        with_long_rating(finding, share, "the fuse", fuse.value)
            .remedy("move the bed to an external switch, and never fit a larger fuse. Else it ages and may open without a fault")
    });
    let terminals = board.input.current;
    let larger = fuse.high() > terminals.low();
    judge.say(if larger { Verdict::Caution } else { Verdict::Pass }, || {
        let headline = format!(
            "the fuse of {} is for {}, its input terminals are for {terminals}",
            board.name, fuse.value
        );
        about("terminals", headline, "iec-60364-4-43").remedy(format!("fit a fuse of at most {terminals}"))
    });
    short_circuit(facts, fuse.value, false, fuse.place, judge);
}

/// Whether a short circuit opens a fuse, the one of the board or the one that the plan adds.
fn short_circuit(
    facts: &WholeFacts<'_>,
    fuse: Value<ElectricCurrent>,
    added: bool,
    place: Place,
    judge: &mut Judge,
) {
    let Some((_, supply)) = facts.swap.machine.supplies().next() else {
        return;
    };
    let name = if added {
        format!("the added fuse of {fuse}")
    } else {
        format!("the fuse of {}", facts.board.name)
    };
    let fault = supply.power.value / supply.voltage.value * facts.limits().supply_fault_share.value;
    let needed = facts.limits().fuse_opens_at.value * fuse;
    let opens_in_seconds = fault.low() >= needed.high();
    let verdict = if opens_in_seconds {
        Verdict::Pass
    } else {
        Verdict::Caution
    };
    judge.say(verdict, || {
        let headline = if opens_in_seconds {
            format!(
                "a short circuit opens {name} within seconds: the supply gives at least {}",
                Value::exact(fault.low())
            )
        } else {
            format!(
                "a short circuit may never open {name}. It needs {} for seconds, and the supply delivers between {} and {}",
                Value::exact(needed.high()),
                Value::exact(fault.low()),
                Value::exact(fault.high())
            )
        };
        Finding::new(headline, "iso-8820-3").about(Subject::named("short circuit")).at(place).remedy(
            "rely on the supply to switch off, not on this fuse. Small fuses in the cables of heaters open where this one does not",
        )
    });
}

/// A board without a fuse: the plan adds the smallest that holds the load and is not above the terminals.
fn none(
    facts: &WholeFacts<'_>,
    heat_up: Value<ElectricCurrent>,
    hot: Value<ElectricCurrent>,
    judge: &mut Judge,
) {
    let board = facts.board;
    let share = facts.limits().fuse_continuous_share.value;
    let needed = (hot.high() / share.low()).larger(heat_up.high());
    let blade = facts.swap.catalogue.fuses().get("blade fuse");
    let breaks = |kind: &&FuseKind| facts.supply_voltage().high() <= kind.voltage.low();
    let fits = blade
        .filter(breaks)
        .and_then(|kind| kind.rating_for(needed))
        .filter(|rating| rating.nominal() <= board.input.current.low());
    let supply = facts
        .pairs()
        .find(|pair| matches!(pair.device().detail, Detail::Supply(_)));
    let words = || {
        Finding::new(
            format!("{} has no fuse at its input", board.name),
            "iec-60364-4-43",
        )
        .about(Subject {
            device: supply.map(|pair| pair.device().tag.value.clone()),
            ..Subject::default()
        })
        .at(board.input.current.place)
    };
    match fits {
        Some(rating) => {
            judge.mended(fuse_part(rating.nominal()), || {
                words().remedy(format!(
                    "put a blade fuse of {rating} into the plus wire, close to the supply"
                ))
            });
            short_circuit(facts, rating, true, board.input.current.place, judge);
        }
        None => judge.say(Verdict::Caution, || {
            words().remedy(format!(
                "no blade fuse carries the load of {} within the {} of its terminals. Take heaters off the board, or let a qualified person choose the fuse",
                Value::exact(needed),
                board.input.current
            ))
        }),
    }
}
