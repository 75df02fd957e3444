//! The smallest set of demands that cannot hold together, as a sentence.

use assignment::{Conflict, Item, Size};
use model::Swap;
use model::board::Board;
use model::machine::DeviceId;

use crate::decisions::assign::{Programme, Scarce, is_stopped, programme};
use crate::decisions::compatible::Refusal;
use crate::facts::{Setup, name_of};

/// Which needed devices cannot be served together, and on what it fails.
#[must_use]
pub fn of(setup: &Setup<'_>) -> String {
    let (swap, board) = (setup.swap, setup.board);
    if is_stopped() {
        return "why these devices have no port was not looked for: the search was stopped".to_owned();
    }
    let programme = &programme(setup.site, &[]);
    let Some(conflict) = programme.clash() else {
        return "all devices that the machine needs can be served together".to_owned();
    };
    let names: Vec<String> = conflict
        .items
        .iter()
        .filter_map(|item| device_name(swap, *item))
        .collect();
    let all = match names.as_slice() {
        [one] => format!(
            "{one} alone cannot be served: {}",
            alone(board, programme, conflict.items[0])
        ),
        _ => format!(
            "{} cannot hold together: {}",
            names.join(", "),
            together(board, programme, &conflict)
        ),
    };
    match conflict.size {
        Size::Smallest => format!("{all} (no smaller set fails)"),
        Size::Minimal { .. } => format!("{all} (each smaller part of it could be served)"),
        Size::Unreduced { .. } => all,
    }
}

fn device_name(swap: &Swap, item: Item) -> Option<String> {
    (item.0 < swap.machine.devices.len()).then(|| name_of(swap.machine.device(DeviceId(item.0))))
}

fn alone(board: &Board, programme: &Programme, item: Item) -> String {
    let candidates = &programme.candidates[item.0];
    let refused: Vec<String> = candidates
        .iter()
        .filter_map(|candidate| match &candidate.outcome {
            Err(Refusal::Check { check }) => {
                Some(format!("{} by {check}", board.port(candidate.way.port).name))
            }
            _ => None,
        })
        .collect();
    if refused.is_empty() {
        return format!("{} has no port of its kind", board.name);
    }
    let mut refused = refused;
    refused.dedup();
    format!("every port of its kind is refused ({})", refused.join(", "))
}

fn together(board: &Board, programme: &Programme, conflict: &Conflict) -> String {
    let mut words: Vec<String> = conflict
        .resources
        .iter()
        .map(|resource| scarce(board, &programme.scarce[resource.0]))
        .collect();
    let jumpers = conflict.modes.iter().filter_map(|mode| board.jumpers.get(mode.0));
    words.extend(jumpers.map(|jumper| format!("the position of the jumper {}", jumper.name)));
    if !conflict.conflicts.is_empty() {
        words.push("a driver can serve only one of them".to_owned());
    }
    words.dedup();
    if words.is_empty() {
        return "what they compete for was not searched to the end".to_owned();
    }
    let shown = words.len().min(6);
    let more = words.len() - shown;
    let tail = if more > 0 {
        format!(" and {more} more")
    } else {
        String::new()
    };
    format!("they compete for {}{tail}", words[..shown].join(", "))
}

/// A scarce thing in words.
#[must_use]
pub fn scarce(board: &Board, scarce: &Scarce) -> String {
    match scarce {
        Scarce::Port(port) => format!("the port {}", board.port(*port).name),
        Scarce::Exclusive(one, other) => format!(
            "{} or {} (not both)",
            board.port(*one).name,
            board.port(*other).name
        ),
        Scarce::McuPin(pin) => format!("the processor pin {pin}"),
        Scarce::Rail(rail) => format!("the current of the {} rail", board.rail(*rail).name),
    }
}
