//! The holes of the board on the posts of the case.

use physics::{mechanics, named, work};
use quantity::{Number, Value, si};

use crate::facts::WholeFacts;
use crate::facts::harness::Part;
use crate::facts::mounting::{self, Held};
use crate::rules::judging::{Finding, Judge, Side, Subject, Verdict, brief};

pub(crate) const ID: &str = "hole-pattern";

/// Enough screws hold it; else a plate between board and posts mends it, where the board fits into the case at all.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let (board, case) = (facts.board, &facts.swap.machine.case);
    let (holes, posts) = (board.outline.holes.len(), case.standoffs.len());
    let possible = holes.min(posts);
    let place = board.outline.hole_diameter.place;
    if possible < 2 {
        judge.say(Verdict::Caution, || {
            let headline = format!("whether the board fits the posts is open: {holes} holes and {posts} posts are described");
            Finding::new(headline, "kabsch-1976")
                .at(place)
                .asking()
                .remedy("measure the centres of holes and posts with a caliper and state them, or hold the board into the case")
        });
        return;
    }
    let play = mounting::play(facts.swap, board).unwrap_or(si::metre(f64::NAN));
    let seat = &facts.site.seats.new;
    let screws = seat.screws;
    let with_play = |finding: Finding| {
        let inputs = (
            named("D", "hole of the board", board.outline.hole_diameter.value),
            named("d", format!("screw {}", case.screw_size), screw(facts)),
        );
        let worked = work(&mechanics::SCREW_PLAY, "p", inputs, |(hole, screw)| {
            mechanics::screw_play(hole, screw)
        });
        finding.working(worked.working)
    };
    if seat.held == Held::Posts {
        pressed(facts, judge);
        // Where holes and posts lie is itself known to some tenths of a millimetre.
        let limits = facts.limits();
        let off =
            limits.hole_position_tolerance.value.high() + limits.standoff_position_tolerance.value.high();
        let none = si::metre(0.0);
        let largest = Value::between(
            (seat.largest - off).larger(none),
            seat.largest,
            seat.largest + off,
        );
        let play = Value::exact(play);
        let broken = if seat.largest > play.nominal() {
            Verdict::Caution
        } else {
            Verdict::Note
        };
        let words = || {
            let headline = format!(
                "{screws} of {holes} holes meet a post, {}. The worst of them is {} off, and a screw {} has {} of play",
                seat.turned(),
                brief(seat.largest),
                case.screw_size,
                brief(play.nominal())
            );
            with_play(Finding::new(headline, "iso-273").at(place))
        };
        if screws == possible {
            judge.at_most(largest, play, broken, || {
                words().remedy(format!(
                    "lay the board on the posts before you undo the old wiring. Holes and posts are known to {} in all, more than the play",
                    brief(off)
                ))
            });
        } else {
            judge.say(Verdict::Caution, || {
                words()
                    .against(largest, Side::AtMost, play)
                    .remedy("set a distance piece below the free corner. Without it the board moves when plugs are pushed in")
            });
        }
        return;
    }
    let words = || {
        let headline = match (play.base() < 0.0, screws) {
            (true, _) => format!(
                "screws {} do not pass the holes of {}",
                case.screw_size,
                brief(board.outline.hole_diameter.nominal())
            ),
            (false, 0) => "the holes of the board meet no two posts".to_owned(),
            (false, _) => format!("only {screws} of {holes} holes meet a post"),
        };
        with_play(Finding::new(headline, "iso-273").at(place))
    };
    if seat.held == Held::Plate {
        judge.mended(Part::one("adaptor plate"), || {
            words().remedy("make a plastic plate with the posts' pattern and the board's, the board on distance pieces. The check `adaptor-plate` gives its holes")
        });
    } else {
        judge.say(Verdict::Blocker, || {
            words().remedy("the board does not fit into this case: see the check `outline`")
        });
    }
}

/// A post without a hole above it touches solder joints and bends the board.
fn pressed(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let case = &facts.swap.machine.case;
    let seat = &facts.site.seats.new;
    for post in mounting::pressing(facts.swap, facts.board, &seat.motion) {
        let at = &case.standoffs[post];
        judge.say(Verdict::Caution, || {
            let headline = format!(
                "the post at {}, {} stands under the board where it has no hole. It presses on the solder side",
                brief(at.value.x),
                brief(at.value.y)
            );
            Finding::new(headline, "common-practice")
                .about(Subject::named(format!("post {}", post + 1)))
                .at(at.place)
                .remedy("take the post out or shorten it by 3 mm. Else put plastic between, and check that the board lies flat")
        });
    }
}

fn screw(facts: &WholeFacts<'_>) -> Value<si::Length> {
    let row = facts
        .swap
        .catalogue
        .screws()
        .get(&facts.swap.machine.case.screw_size.value);
    row.map_or(Value::exact(si::metre(f64::NAN)), |row| row.diameter)
}
