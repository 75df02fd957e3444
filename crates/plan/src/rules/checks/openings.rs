//! Card slot and USB behind their openings in the wall of the case.

use model::Role;
use model::board::Port;
use model::machine::Opening;
use physics::mechanics::{self, Behind};
use physics::{named, work};
use quantity::si::Length;
use quantity::{Number, Value};

use crate::facts::{WholeFacts, mounting};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "openings";

/// A socket that cannot be reached is lived with: by opening the case, or with a short extension.
///
/// Of several openings for one socket, and of several sockets for one opening, those that go together best count; what is left over of either is
/// a note.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let (board, case) = (facts.board, &facts.swap.machine.case);
    for role in [Role::Usb, Role::CardSlot] {
        let openings: Vec<&Opening> = case.opening.iter().filter(|own| own.role.value == role).collect();
        if facts.site.seats.new.is_known() {
            seated(facts, role, &openings, judge);
        } else if let Some(first) = openings.first() {
            // A board that fits nowhere is the business of another check.
            let fits = mounting::room_anywhere(board, case).base() >= 0.0;
            if fits && mounting::sockets(board, role).next().is_some() {
                judge.say(Verdict::Note, || {
                    let headline = format!(
                        "whether the {role} meets its opening is not known before the board has its place"
                    );
                    Finding::new(headline, "common-practice")
                        .about(Subject::named(role.to_string()))
                        .at(first.role.place)
                        .remedy("hold the board into the case, and mark where the socket looks")
                });
            }
        }
        if openings.is_empty() && !case.opening.is_empty() {
            for (port, _) in mounting::sockets(board, role) {
                judge.say(Verdict::Note, || {
                    let headline = format!("the case has no opening for {} ({role})", port.name);
                    Finding::new(headline, "common-practice")
                        .about(Subject::named(role.to_string()))
                        .at(port.place)
                        .remedy(way_out(role))
                });
            }
        }
    }
}

/// A socket and an opening for its role.
#[derive(Clone, Copy)]
struct Met<'a> {
    socket: &'a Port,
    opening: &'a Opening,
    /// `None` where the socket faces another wall.
    behind: Option<Behind>,
    /// What must pass.
    width: Length,
    play: Length,
}

impl Met<'_> {
    fn wide(&self) -> Length {
        self.opening.to.nominal() - self.opening.from.nominal()
    }
    fn needed(&self) -> Length {
        self.width / 2.0 - self.play
    }
    /// What is left on the narrower side, in metres; below zero where the plug does not pass.
    fn left(&self) -> f64 {
        let Some(behind) = self.behind else {
            return f64::NEG_INFINITY;
        };
        let (beside, over) = (behind.room - self.needed(), self.wide() - self.width);
        if over.base() < 0.0 {
            beside.smaller(over)
        } else {
            beside
        }
        .base()
    }
}

fn seated(facts: &WholeFacts<'_>, role: Role, openings: &[&Opening], judge: &mut Judge) {
    let (board, case) = (facts.board, &facts.swap.machine.case);
    let play = facts.limits().opening_play.value.nominal();
    let motion = &facts.site.seats.new.motion;
    let mut pairs: Vec<(usize, Met<'_>)> = mounting::sockets(board, role)
        .flat_map(|(socket, edge)| {
            let width = mounting::passing(facts.swap, &socket.connector.value);
            openings.iter().enumerate().map(move |(at, opening)| {
                let behind = mounting::behind(motion, socket, edge, case, opening);
                (
                    at,
                    Met {
                        socket,
                        opening,
                        behind,
                        width,
                        play,
                    },
                )
            })
        })
        .collect();
    let subject = |at: usize| {
        if openings.len() == 1 {
            return Subject::named(role.to_string());
        }
        Subject::named(format!("{role} {}", at + 1))
    };
    let mut met = Vec::new();
    while let Some((at, best)) = pairs
        .iter()
        .copied()
        .max_by(|one, other| one.1.left().total_cmp(&other.1.left()).then(other.0.cmp(&one.0)))
    {
        met.push((at, best));
        pairs.retain(|(other, pair)| *other != at && !core::ptr::eq(pair.socket, best.socket));
    }
    for (at, opening) in openings.iter().enumerate() {
        let Some((_, pair)) = met.iter().find(|(own, _)| *own == at) else {
            judge.say(Verdict::Note, || {
                let another = if met.is_empty() { "no" } else { "no other" };
                let headline = format!(
                    "the board has {another} {role} for the opening in the {} wall",
                    opening.edge.value
                );
                Finding::new(headline, "common-practice")
                    .about(subject(at))
                    .at(opening.role.place)
                    .remedy("close the opening, so that nothing falls onto the board")
            });
            continue;
        };
        judged(pair, role, || subject(at), judge);
    }
}

fn judged(pair: &Met<'_>, role: Role, subject: impl Fn() -> Subject, judge: &mut Judge) {
    let (port, opening, width) = (pair.socket, pair.opening, pair.width);
    let Some(behind) = pair.behind else {
        judge.say(Verdict::Caution, || {
            let headline = format!(
                "{} does not look at the opening in the {} wall",
                port.name, opening.edge.value
            );
            Finding::new(headline, "common-practice")
                .about(subject())
                .at(port.place)
                .remedy(way_out(role))
        });
        return;
    };
    let wide = pair.wide();
    if wide < width {
        // A plug that is wider than its opening gives way to neither side.
        judge.at_least(Value::exact(wide), Value::exact(width), Verdict::Caution, || {
            let headline = format!(
                "the opening for {} in the {} wall is {} wide. What goes in is {} wide",
                port.name,
                opening.edge.value,
                brief(wide),
                brief(width)
            );
            let finding = words(
                port.name.value.as_str(),
                role,
                opening,
                behind,
                (width, pair.play),
            );
            Finding { headline, ..finding }
                .about(subject())
                .at(opening.from.place)
        });
        return;
    }
    judge.at_least(
        Value::exact(behind.room),
        Value::exact(pair.needed()),
        Verdict::Caution,
        || {
            words(
                port.name.value.as_str(),
                role,
                opening,
                behind,
                (width, pair.play),
            )
            .about(subject())
            .at(port.at.place)
        },
    );
}

fn words(
    name: &str,
    role: Role,
    opening: &Opening,
    behind: Behind,
    (passing, play): (Length, Length),
) -> Finding {
    let headline = format!(
        "{name} looks {} past the middle of its opening in the {} wall, {} behind it. What goes in is {} wide and may give way by {}",
        brief(behind.off),
        opening.edge.value,
        brief(behind.depth),
        brief(passing),
        brief(play)
    );
    let inputs = (
        named(
            "w",
            "width of the opening",
            Value::exact(opening.to.nominal() - opening.from.nominal()),
        ),
        named(
            "o",
            "how far the socket looks past its middle",
            Value::exact(behind.off),
        ),
    );
    let room = work(&mechanics::ROOM_IN_OPENING, "r", inputs, |(width, off)| {
        mechanics::room_in_opening(width, off)
    });
    Finding::new(headline, "common-practice")
        .working(room.working)
        .remedy(way_out(role))
}

fn way_out(role: Role) -> &'static str {
    match role {
        Role::CardSlot => {
            "widen the opening with a file, or use an extension for the card. Else open the case for each card"
        }
        _ => "widen the opening with a file, or lead it out by a short extension",
    }
}
