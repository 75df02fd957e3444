//! What is left free on the board for later.

use model::Role;
use model::board::{PortId, PortKind};

use crate::facts::WholeFacts;
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "spare-ports";

/// Ports without a lead that nothing excludes; of a driver with two sockets only the driver counts.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    judge.say(Verdict::Note, || {
        let words: Vec<String> = ROLES.iter().filter_map(|role| of_role(facts, *role)).collect();
        let words = if words.is_empty() {
            "no port is left free".to_owned()
        } else {
            format!("left free: {}", words.join("; "))
        };
        Finding::new(words, "own-statement").at(facts.board.place)
    });
}

/// Roles that something can be added to.
const ROLES: [Role; 9] = [
    Role::MotorOutput,
    Role::HeaterOutput,
    Role::SwitchedOutput,
    Role::PermanentOutput,
    Role::ThermometerInput,
    Role::SwitchInput,
    Role::ProbePort,
    Role::LightData,
    Role::Serial,
];

/// "2 switched outputs (FAN2, FAN3)".
fn of_role(facts: &WholeFacts<'_>, role: Role) -> Option<String> {
    let board = facts.board;
    let free: Vec<&str> = board
        .port_ids()
        .filter(|(id, port)| port.role() == role && is_free(facts, *id))
        .map(|(_, port)| port.name.value.as_str())
        .collect();
    let s = if free.len() == 1 { "" } else { "s" };
    let what = match role {
        Role::LightData => format!("output{s} for light data"),
        Role::Serial => format!("serial line{s}"),
        role => format!("{role}{s}"),
    };
    (!free.is_empty()).then(|| format!("{} {what} ({})", free.len(), free.join(", ")))
}

fn is_free(facts: &WholeFacts<'_>, id: PortId) -> bool {
    let board = facts.board;
    let port = board.port(id);
    if port.undriven.is_some() {
        return false;
    }
    let used = |port: PortId| facts.is_taken(port);
    if let PortKind::Motor { driver } = port.kind {
        let first = board.sockets(driver).next() == Some(id);
        return first && !board.sockets(driver).any(used);
    }
    let shares_pin = |other: &model::board::Port| {
        port.processor_pin.is_some()
            && port.processor_pin == other.processor_pin
            && !matches!(other.kind, PortKind::Motor { .. })
    };
    let excluded = board.port_ids().any(|(other_id, other)| {
        other_id != id
            && used(other_id)
            && (shares_pin(other) || other.excludes.contains(&id) || port.excludes.contains(&other_id))
    });
    !used(id) && !excluded
}
