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
    judge.say(Verdict::Note, || {
        let plate = Plate::of(facts);
        let headline = format!(
            "a plate of {} x {} carries {}, {}: the lower left corner of the board at {}, {} of the case",
            brief(plate.size.x),
            brief(plate.size.y),
            facts.board.name,
            seat.turned(),
            tenths(plate.board.x),
            tenths(plate.board.y),
        );
        let screw = &facts.swap.machine.case.screw_size;
        Finding::new(headline, "iso-273").at(place).remedy(format!(
            "measured from the lower left corner of the plate, drill for the posts at {}, and for the board at {}; holes for {screw}, countersunk above the posts; make it of plastic, or keep metal off the solder side",
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
            "in the plate a hole for a post and one for the board lie {} apart; each needs the room of a washer, {}",
            brief(web + washer),
            brief(washer)
        );
        let source = row.map_or("own-statement", |row| shipped_source(&row.washer_source));
        Finding::new(headline, source)
            .about(Subject::named("holes of the plate"))
            .at(place)
            .remedy("shift the board on its plate by some millimetres, or leave out the screw of that corner and set a distance piece there")
    });
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
    fn of(facts: &WholeFacts<'_>) -> Self {
        let (board, case, motion) = (
            facts.board,
            &facts.swap.machine.case,
            &facts.site.seats.new.motion,
        );
        let screw = facts.swap.catalogue.screws().get(&case.screw_size.value);
        // Around each hole as much as a washer covers.
        let margin = screw
            .and_then(|row| row.washer)
            .map_or(si::millimetre(4.0), |washer| washer.high() / 2.0);
        let posts: Vec<Point> = case
            .standoffs
            .iter()
            .map(|post| mounting::point(post.value))
            .collect();
        let holes: Vec<Point> = board
            .outline
            .holes
            .iter()
            .map(|hole| motion.place(mounting::point(hole.value)))
            .collect();
        let all = || posts.iter().chain(&holes);
        let (low, high) = bounds(all());
        let corner = Point::new(low.x - margin, low.y - margin);
        let from = |point: &Point| Point::new(point.x - corner.x, point.y - corner.y);
        Self {
            size: Point::new(high.x - low.x + margin * 2.0, high.y - low.y + margin * 2.0),
            board: bounds(mounting::corners(motion, board).iter()).0,
            posts: posts.iter().map(from).collect(),
            holes: holes.iter().map(from).collect(),
        }
    }
}

/// The lower left and the upper right corner of what holds all points; at least one.
fn bounds<'a>(points: impl Iterator<Item = &'a Point>) -> (Point, Point) {
    let (far, near) = (si::metre(f64::INFINITY), si::metre(f64::NEG_INFINITY));
    points.fold(
        (Point::new(far, far), Point::new(near, near)),
        |(low, high), point| {
            (
                Point::new(low.x.smaller(point.x), low.y.smaller(point.y)),
                Point::new(high.x.larger(point.x), high.y.larger(point.y)),
            )
        },
    )
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
