//! Connectors close up: what each pin of a used port is for, and which wire meets it.

use bringup::Step;
use drawing::{Head, Terminal, TerminalPin, Terminals};
use model::board::PortSupply;
use plan::{ActionKind, Row};

use crate::shown::Shown;

/// From where connectors are seen.
const VIEW: &str = "View onto the header of the board, pin 1 (square) at the left; seen onto the wire side of the plug. \
                    Above each pin its function, below it the colour of its wire (IEC 60757).";

/// All that are used.
pub(super) fn all(shown: &Shown<'_>, prefix: String) -> Terminals {
    let title = format!("Connectors of {}, pin by pin", shown.plan.board.name);
    let description = format!(
        "Each used port of {} with functions and wire colours.",
        shown.plan.board.name
    );
    Terminals {
        head: super::head(shown, prefix, &title, description),
        view: VIEW.to_owned(),
        terminals: shown.rows.iter().filter_map(|row| terminal(shown, row)).collect(),
    }
}

/// Those that a step is about; nothing where it is about none.
pub(super) fn of_step(shown: &Shown<'_>, step: &Step, prefix: String) -> Option<Terminals> {
    let rows = shown.rows.iter().filter(|row| {
        let port = row.new_port.as_ref();
        step.tags.contains(&row.tag) && port.is_some_and(|port| step.ports.contains(port))
    });
    let terminals: Vec<Terminal> = rows.filter_map(|row| terminal(shown, row)).collect();
    (!terminals.is_empty()).then(|| Terminals {
        head: Head {
            prefix,
            title: String::new(),
            description: format!("The connectors of the step: {}", step.title),
        },
        view: String::new(),
        terminals,
    })
}

fn terminal(shown: &Shown<'_>, row: &Row) -> Option<Terminal> {
    let port = &shown.plan.board.ports[row.way?.port.0];
    let does = |kind| row.actions.iter().any(|action| action.kind == kind);
    let fused = does(ActionKind::Fuse);
    let moves = does(ActionKind::RePin) || does(ActionKind::ReCrimp);
    let pins = port.pins.iter().enumerate().map(|(at, pin)| {
        let wire = row.wires.iter().find(|wire| wire.new_pin == Some(at + 1));
        TerminalPin {
            function: pin.value.word().to_owned(),
            wire: wire.map(|wire| wire.colour.clone()),
            // Wires under clamps have no housing in which they could change places.
            was: wire
                .map(|wire| wire.old_pin)
                .filter(|old| moves && *old != at + 1),
            fuse: fused && pin.value == model::Pin::Plus && wire.is_some(),
        }
    });
    let mut notes: Vec<String> = Vec::new();
    let work: Vec<&str> = row
        .actions
        .iter()
        .map(|action| action.kind)
        // A fuse is named with its rating below.
        .filter(|kind| !matches!(kind, ActionKind::PlugOver | ActionKind::Fuse))
        .map(ActionKind::word)
        .collect();
    if !work.is_empty() {
        notes.push(work.join(", "));
    }
    if let (PortSupply::Jumper(id), Some(rail)) = (port.supply, &row.rail) {
        notes.push(format!(
            "jumper {} on {rail}",
            shown.plan.board.jumpers[id.0].name
        ));
    }
    let sizes = row
        .parts
        .iter()
        .filter_map(|part| Some((&part.name, part.size.as_ref()?)));
    notes.extend(sizes.map(|(name, size)| {
        let name = if name.contains("fuse") {
            "fuse"
        } else {
            name.as_str()
        };
        format!("{name} {size}")
    }));
    let apart = row.wires.iter().filter(|wire| wire.new_pin.is_none());
    notes.extend(apart.map(|wire| {
        format!(
            "{} ({}): {}",
            wire.colour,
            wire.function,
            crate::words::elsewhere(wire)
        )
    }));
    Some(Terminal {
        port: port.name.value.clone(),
        tag: row.tag.clone(),
        device: row.device.clone(),
        pins: pins.collect(),
        notes,
    })
}
