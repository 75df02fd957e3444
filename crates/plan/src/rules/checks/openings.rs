//! Card slot and USB behind their openings in the wall of the case.

use model::Role;
use model::board::PortKind;
use model::machine::Opening;
use physics::mechanics::{self, Behind};
use physics::{named, work};
use quantity::Value;
use quantity::si::Length;

use crate::facts::{WholeFacts, mounting};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "openings";

/// A socket that cannot be reached is lived with: by opening the case, or with a short extension.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let (board, case) = (facts.board, &facts.swap.machine.case);
    let seat = &facts.site.seats.new;
    for opening in &case.opening {
        let role = opening.role.value;
        let subject = || Subject::named(role.to_string());
        if !seat.is_known() {
            // A board that fits nowhere is the business of another check.
            let fits = quantity::Number::base(mounting::room_anywhere(board, case)) >= 0.0;
            if fits && mounting::sockets(board, opening).next().is_some() {
                judge.say(Verdict::Note, || {
                    let headline = format!(
                        "whether the {role} meets its opening is not known before the board has its place"
                    );
                    Finding::new(headline, "common-practice")
                        .about(subject())
                        .at(opening.role.place)
                        .remedy("hold the board into the case, and mark where the socket looks")
                });
            }
            continue;
        }
        // The socket that looks at it best.
        let seen = mounting::sockets(board, opening)
            .map(|(port, edge)| (port, mounting::behind(&seat.motion, port, edge, case, opening)))
            .max_by(|one, other| room(one.1).total_cmp(&room(other.1)));
        let Some((port, behind)) = seen else {
            judge.say(Verdict::Note, || {
                let headline = format!(
                    "the board has no {role} for the opening in the {} wall",
                    opening.edge.value
                );
                Finding::new(headline, "common-practice")
                    .about(subject())
                    .at(opening.role.place)
                    .remedy("close the opening, so that nothing falls onto the board")
            });
            continue;
        };
        let Some(behind) = behind else {
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
            continue;
        };
        let width = mounting::passing(facts.swap, &port.connector.value);
        let play = facts.limits().opening_play.value.nominal();
        let needed = width / 2.0 - play;
        let wide = opening.to.nominal() - opening.from.nominal();
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
                let finding = words(port.name.value.as_str(), role, opening, behind, (width, play));
                Finding { headline, ..finding }
                    .about(subject())
                    .at(opening.from.place)
            });
            continue;
        }
        judge.at_least(
            Value::exact(behind.room),
            Value::exact(needed),
            Verdict::Caution,
            || {
                words(port.name.value.as_str(), role, opening, behind, (width, play))
                    .about(subject())
                    .at(port.at.place)
            },
        );
    }
    for port in &board.ports {
        let role = port.role();
        let opened = case.opening.iter().any(|opening| opening.role.value == role);
        if matches!(port.kind, PortKind::CardSlot { .. } | PortKind::Usb { .. })
            && !opened
            && !case.opening.is_empty()
        {
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

fn room(behind: Option<Behind>) -> f64 {
    behind.map_or(f64::NEG_INFINITY, |behind| quantity::Number::base(behind.room))
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
