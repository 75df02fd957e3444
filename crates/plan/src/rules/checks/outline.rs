//! The outline of the board in the case: room to the walls, and what stands in the way.

use model::machine::KeepOut;
use physics::mechanics;
use quantity::si::Length;
use quantity::{Number, Value, si};

use crate::facts::WholeFacts;
use crate::facts::mounting::{self, Held, Seat};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "outline";

/// A board that stands out of the case cannot be built in; too little room is a caution, since metal beside solder joints is a short.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let (board, case) = (facts.board, &facts.swap.machine.case);
    let place = board.outline.size.place;
    let seat = &facts.site.seats.new;
    let room = if seat.is_known() {
        mounting::room(&seat.motion, board, case)
    } else {
        mounting::room_anywhere(board, case)
    };
    let clearance = facts.limits().board_clearance.value;
    let none = Value::exact(si::metre(0.0));
    judge.graded_from_below(Value::exact(room), clearance, none, || {
        let size = board.outline.size.value;
        let headline = format!(
            "the board ({} x {}) has {} to the nearest wall{}",
            brief(size.x),
            brief(size.y),
            brief(room),
            match seat.held {
                Held::Posts => " on these posts",
                Held::Plate => " on its plate",
                Held::Unknown => ", if centred in the case",
            }
        );
        let headline = if room.base() < 0.0 {
            format!(
                "the board of {} x {} does not fit the case of {} x {}. It is {} too large",
                brief(size.x),
                brief(size.y),
                brief(case.size.value.x),
                brief(case.size.value.y),
                brief(-room)
            )
        } else {
            headline
        };
        let finding = Finding::new(headline, "iso-80000-3");
        let finding = match seat.is_known() {
            true => finding.working(mounting::room_working(&seat.motion, board, case)),
            false => finding,
        };
        finding
            .at(place)
            .remedy("choose a smaller board, or a case of its own beside the machine. Keep metal away from the solder side with a plastic sheet")
    });
    if seat.is_known() {
        for keep_out in &case.keep_out {
            stands_in_the_way(facts, judge, seat, keep_out, clearance);
        }
    }
}

fn stands_in_the_way(
    facts: &WholeFacts<'_>,
    judge: &mut Judge,
    seat: &Seat,
    keep_out: &KeepOut,
    clearance: Value<Length>,
) {
    let board = facts.board;
    let gap = mounting::settled(mechanics::gap(
        &mounting::corners(&seat.motion, board),
        &mounting::of_keep_out(keep_out),
    ));
    // A plate lifts the board.
    let height = board.outline.height.value + mounting::raised(facts.swap, &facts.site.seats.new);
    let free = keep_out.height.value;
    let name = &keep_out.name;
    let nothing_fits = free.high().base() <= 0.0;
    // Above a board that is lower it may stand as it likes; below one it is a question of where the tall parts are.
    let (value, verdict) = match (gap.base() < 0.0, nothing_fits) {
        (true, true) => (gap, Verdict::Blocker),
        (false, true) => (gap, Verdict::Caution),
        (true, false) if height.high() > free.low() => {
            judge.at_most(height, free, Verdict::Caution, || {
                let headline = format!(
                    "{name} leaves {} above the posts, and the tallest part of the board stands {}",
                    brief(free.low()),
                    brief(height.high())
                );
                Finding::new(headline, "iso-80000-3")
                    .about(Subject::named(name.value.clone()))
                    .at(keep_out.height.place)
                    .remedy("look where the tall parts stand on the board, before it is screwed down")
            });
            return;
        }
        _ => return,
    };
    let limit = if verdict == Verdict::Blocker {
        Value::exact(si::metre(0.0))
    } else {
        clearance
    };
    judge.at_least(Value::exact(value), limit, verdict, || {
        let headline = if verdict == Verdict::Blocker {
            format!("{name} stands where the board would lie, by {}", brief(-value))
        } else {
            format!("{name} stands {} beside the board", brief(value))
        };
        Finding::new(headline, "separating-axis")
            .about(Subject::named(name.value.clone()))
            .at(keep_out.at.place)
            .remedy("move it, or choose a smaller board")
    });
}
