//! A plate between posts and board, where the holes of the board miss the posts: where its holes are, and whether they leave it whole.

use physics::mechanics::Point;
use quantity::si::Length;
use quantity::{Number, Value, si};

use crate::facts::WholeFacts;
use crate::facts::mounting::{self, Held};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief, shipped_source};

pub(crate) const ID: &str = "adaptor-plate";

/// Says nothing where the board sits on the posts. Holes too near to each other are a caution: the plate breaks, or a head lies below a
/// distance piece.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let seat = &facts.site.seats.new;
    if seat.held != Held::Plate {
        return;
    }
    let place = facts.board.outline.hole_diameter.place;
    let Some(plate) = Plate::of(facts) else { return };
    body(facts, judge);
    judge.say(Verdict::Note, || {
        let headline = format!(
            "a plate of {} x {} carries {}, {}. The lower left corner of the board is at {}, {} of the case",
            brief(plate.size.x),
            brief(plate.size.y),
            facts.board.name,
            seat.turned(),
            tenths(plate.board.x),
            tenths(plate.board.y),
        );
        let screw = &facts.swap.machine.case.screw_size;
        Finding::new(headline, "iso-273").at(place).remedy(format!(
            "drill the plate as listed, measured from its lower left corner. Posts: {}. Board: {}. Drill for {screw}, countersunk above the posts. Make it of plastic, or keep metal off the solder side",
            listed(&plate.posts),
            listed(&plate.holes),
        ))
    });
    let Some(web) = mounting::web(&seat.motion, facts.swap, facts.board) else {
        return;
    };
    let row = facts
        .swap
        .catalogue
        .screws()
        .get(&facts.swap.machine.case.screw_size.value);
    let washer = row
        .and_then(|row| row.washer)
        .map_or(si::metre(f64::NAN), |washer| washer.high());
    judge.at_least(Value::exact(web + washer), Value::exact(washer), Verdict::Caution, || {
        let headline = format!(
            "two holes of the plate, for a post and for the board, are {} apart. A washer needs {}",
            brief(web + washer),
            brief(washer)
        );
        let source = row.map_or("own-statement", |row| shipped_source(&row.washer_source));
        Finding::new(headline, source)
            .about(Subject::named("holes of the plate"))
            .at(place)
            .remedy("shift the board on its plate by some millimetres, or replace the screw of that corner by a distance piece")
    });
}

/// The plate is a body too: it stands in the case, and on nothing but the posts.
fn body(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let case = &facts.swap.machine.case;
    let Some(plate) = mounting::Plate::of(facts.swap, facts.board, &facts.site.seats.new.motion) else {
        return;
    };
    let room = plate.room(case);
    if room.base() < 0.0 {
        judge.say(Verdict::Caution, || {
            Finding::new(
                format!("the plate would stand {} out of the case", brief(-room)),
                "iso-80000-3",
            )
            .about(Subject::named("outline of the plate"))
            .at(case.size.place)
            .remedy("cut the plate off at the wall. Leave out a screw whose washer then has no room")
        });
    }
    for keep_out in case
        .keep_out
        .iter()
        .filter(|keep_out| plate.meets(keep_out, facts.swap))
    {
        judge.say(Verdict::Caution, || {
            let headline = format!(
                "{} stands where the plate would lie, by {}",
                keep_out.name,
                brief(-plate.gap(keep_out))
            );
            Finding::new(headline, "separating-axis")
                .about(Subject::named(keep_out.name.value.clone()))
                .at(keep_out.at.place)
                .remedy("cut the plate out around it, and keep the room of a washer around each hole")
        });
    }
}

/// A plate by its holes, from its own lower left corner.
struct Plate {
    size: Point,
    /// The lower left corner of the board, from the corner of the case.
    board: Point,
    posts: Vec<Point>,
    holes: Vec<Point>,
}

impl Plate {
    fn of(facts: &WholeFacts<'_>) -> Option<Self> {
        let (board, case, motion) = (
            facts.board,
            &facts.swap.machine.case,
            &facts.site.seats.new.motion,
        );
        let body = mounting::Plate::of(facts.swap, board, motion)?;
        let from = |point: Point| Point::new(point.x - body.low.x, point.y - body.low.y);
        let outline = mounting::corners(motion, board);
        let low = outline.iter().fold(outline[0], |low, corner| {
            Point::new(low.x.smaller(corner.x), low.y.smaller(corner.y))
        });
        let posts = case.standoffs.iter().map(|post| mounting::point(post.value));
        let holes = board
            .outline
            .holes
            .iter()
            .map(|hole| motion.place(mounting::point(hole.value)));
        Some(Self {
            size: body.size(),
            board: low,
            posts: posts.map(from).collect(),
            holes: holes.map(from).collect(),
        })
    }
}

fn tenths(length: Length) -> String {
    let length = Value::exact(si::millimetre((length.base() * 1e4).round() / 10.0));
    length.to_string()
}

/// "7 / 7 mm, 91 / 7 mm": rounded to the tenth, as a hand can drill.
fn listed(points: &[Point]) -> String {
    let number = |length: Length| format!("{}", (length.base() * 1e4).round() / 10.0);
    let words: Vec<String> = points
        .iter()
        .map(|point| format!("{} / {} mm", number(point.x), number(point.y)))
        .collect();
    words.join(", ")
}
