//! Ports that cannot be used together: which one the plan uses, and which must stay empty for it.

use model::board::{Board, Port, PortId, PortKind};

use crate::facts::WholeFacts;
use crate::rules::judging::{Finding, Judge, Subject, Verdict};

pub(crate) const ID: &str = "exclusions";

/// By the word of the board's file, or by a shared pin of the processor.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let board = facts.board;
    let used = |port: PortId| facts.at(port).next();
    let mut any = false;
    for (id, port) in board.port_ids() {
        let Some(pair) = used(id) else { continue };
        for (other_id, other) in board.port_ids() {
            let Some(why) = why(board, (id, port), (other_id, other)) else {
                continue;
            };
            let both = used(other_id);
            // A pair that is used on both sides is told once.
            if both.is_some() && other_id < id {
                continue;
            }
            any = true;
            let about = Subject {
                device: None,
                port: Some(port.name.value.clone()),
                other: Some(other.name.value.clone()),
            };
            match both {
                None => judge.say(Verdict::Note, || {
                    let words = format!(
                        "{} must stay empty: {} uses {}, and {why}",
                        other.name,
                        pair.device_name(),
                        port.name
                    );
                    Finding::new(words, "own-statement")
                        .about(about)
                        .at(other.place)
                        .remedy(format!(
                            "cover {} with tape, so that nothing is plugged in later",
                            other.name
                        ))
                }),
                Some(second) => judge.say(Verdict::Blocker, || {
                    let words = format!(
                        "{} at {} and {} at {} exclude each other: {why}",
                        pair.device_name(),
                        port.name,
                        second.device_name(),
                        other.name
                    );
                    Finding::new(words, "own-statement")
                        .about(about)
                        .at(other.place)
                        .remedy("move one of them to another port")
                }),
            }
        }
    }
    if !any {
        judge.say(Verdict::Pass, || {
            Finding::new("no port that is used excludes another", "own-statement")
        });
    }
}

fn why(board: &Board, (id, port): (PortId, &Port), (other_id, other): (PortId, &Port)) -> Option<String> {
    if id == other_id {
        return None;
    }
    let motors = [port, other].map(|port| matches!(port.kind, PortKind::Motor { .. }));
    if let (Some(pin), Some(other_pin)) = (&port.processor_pin, &other.processor_pin)
        && pin.value == other_pin.value
        && motors == [false, false]
    {
        return Some(format!("both are the processor pin {pin}"));
    }
    let named = port.excludes.contains(&other_id) || board.port(other_id).excludes.contains(&id);
    named.then(|| "the board's file says that they exclude each other".to_owned())
}
