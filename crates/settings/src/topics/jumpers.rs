//! Jumpers: the rail that each must choose before the board gets power.

use model::board::{JumperId, PortSupply};

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, SettingValue};
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    let board = job.setup.board;
    for (at, jumper) in board.jumpers.iter().enumerate() {
        if let (Some(purpose), Some(position)) = (&jumper.purpose, &jumper.position) {
            let reason = format!("It {purpose}. Set it with the board unplugged.");
            list.push(
                Draft::new(Topic::Jumper, jumper.name.value.clone(), Fate::New, reason)
                    .value(SettingValue::words(position.value.clone()))
                    .by_hand(),
            );
        }
        let users: Vec<_> = job
            .setup
            .pairs()
            .filter(|pair| pair.port().supply == PortSupply::Jumper(JumperId(at)))
            .collect();
        let Some(rail) = users.iter().find_map(|pair| pair.rail_name()) else {
            continue;
        };
        let whose: Vec<String> = users
            .iter()
            .map(|pair| format!("{} at {}", pair.device().tag, pair.port_name()))
            .collect();
        let reason = format!(
            "It supplies {}. Set it with the board unplugged, and measure before plugging them in.",
            whose.join(", ")
        );
        list.push(
            Draft::new(Topic::Jumper, jumper.name.value.clone(), Fate::New, reason)
                .value(SettingValue::words(rail))
                .by_hand(),
        );
    }
}
