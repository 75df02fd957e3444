//! The smallest set of demands that cannot hold together, as a sentence.

use assignment::{Conflict, Item, Size};
use model::board::Board;
use model::machine::{Detail, DeviceId};
use model::{Pin, Swap};

use crate::decisions::assign::{Programme, Scarce, is_stopped, programme};
use crate::decisions::compatible::{Candidate, Refusal, candidates};
use crate::facts::setup::Clash;
use crate::facts::{Setup, name_of};

/// What tells why devices of an assignment have no port.
pub const REASONS: Clash = Clash {
    of_all: of,
    of_one: left_off,
};

/// Why a device was left off, in a clause.
fn left_off(setup: &Setup<'_>, id: DeviceId) -> String {
    let (board, device) = (setup.board, setup.swap.machine.device(id));
    let judged = candidates(setup.site, id);
    let good: Vec<&Candidate> = judged.iter().filter(|own| own.outcome.is_ok()).collect();
    if judged.is_empty() {
        let lacks_count = match device.detail.share() {
            Detail::LightStrip(strip) => strip.led_count.is_none() && device.has_wire(Pin::Data),
            _ => false,
        };
        if lacks_count {
            return "its `led_count` is not stated, which lights with a data wire need".to_owned();
        }
        return format!(
            "{} has no port for a {} with its wires",
            board.name,
            device.kind()
        );
    }
    if good.is_empty() {
        return refused(board, &judged);
    }
    let mut taken: Vec<String> = Vec::new();
    for candidate in good {
        let port = &board.port(candidate.way.port).name.value;
        let mut others = setup.pairs().filter(|pair| pair.port().name.value == *port);
        let words = match others.next() {
            Some(other) => format!("{port} serves {}", other.device().tag),
            None => format!("{port} shares a pin, a rail or a jumper with what others need"),
        };
        if !taken.contains(&words) {
            taken.push(words);
        }
    }
    taken.join(", ")
}

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
    refused(board, &programme.candidates[item.0])
}

fn refused(board: &Board, candidates: &[Candidate]) -> String {
    let mut by_check: Vec<(&str, Vec<&str>)> = Vec::new();
    for candidate in candidates {
        let Err(Refusal::Check { check }) = &candidate.outcome else {
            continue;
        };
        let port = board.port(candidate.way.port).name.value.as_str();
        match by_check.iter_mut().find(|(own, _)| own == check) {
            Some((_, ports)) if ports.contains(&port) => {}
            Some((_, ports)) => ports.push(port),
            None => by_check.push((check, vec![port])),
        }
    }
    if by_check.is_empty() {
        return format!("{} has no port of its kind", board.name);
    }
    let refused = by_check
        .iter()
        .map(|(check, ports)| format!("{} by {check}", ports.join(", ")));
    let refused: Vec<String> = refused.collect();
    format!("every port of its kind is refused ({})", refused.join("; "))
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
