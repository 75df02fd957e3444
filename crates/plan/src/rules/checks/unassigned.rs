//! Devices that the machine needs and that got no port.

use model::Cooled;
use model::machine::{Detail, Device};

use crate::facts::needs::{is_needed, more_than_before};
use crate::facts::{WholeFacts, name_of};
use crate::rules::checks::load_homing::unplugged;
use crate::rules::judging::{Finding, Judge, Stake, Subject, Verdict, brief};

pub(crate) const ID: &str = "unassigned";

/// Each needed device without a port is a blocker; one more finding names the smallest set of demands that cannot hold together.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let machine = &facts.swap.machine;
    let unassigned: Vec<_> = machine
        .device_ids()
        .filter(|(id, _)| facts.ways[id.0].is_none() && is_needed(facts.swap, *id) && !unplugged(facts, *id))
        // The plugs of a device stay off with it, and are told of by it; a tachometer by itself.
        .filter(|(_, device)| {
            device
                .plug()
                .is_none_or(|plug| plug.spare && facts.ways[plug.of.0].is_some())
        })
        .collect();
    if unassigned.is_empty() {
        let served = facts.ways.iter().flatten().count();
        judge.say(Verdict::Pass, || {
            Finding::new(
                format!("every device that the machine needs has a port ({served} leads)"),
                "common-practice",
            )
        });
        return;
    }
    let only = machine.supplies().count() < 2;
    for (_, device) in &unassigned {
        judge.at_stake(harm_unassigned(&device.detail));
        judge.say(Verdict::Blocker, || {
            Finding::new(
                format!("{} has no port on this board", name_of(device)),
                "common-practice",
            )
            .about(Subject::device(device.tag.value.clone()))
            .at(device.tag.place)
            .remedy(match device.detail {
                Detail::Supply(_) if only => "read how the supply input of this board is joined: its connector, pins and `role`. A supply that cannot be clamped there needs another board".to_owned(),
                Detail::Supply(_) => "a further supply feeds a rail of `source = \"external\"` by a supply input that names that rail. Without one, take it out of the file".to_owned(),
                _ => reason(facts, device),
            })
        });
    }
    judge.at_stake(Stake::Function);
    if let Some(clash) = facts.clash {
        judge.say(Verdict::Note, || {
            Finding::new((clash.of_all)(facts), "common-practice").about(Subject::named("smallest set"))
        });
    }
}

/// What comes to harm where a device is left off: heat runs unwatched, a hot end jams or a board overheats, an axis strikes its end; else the
/// machine just does not do what it should.
#[must_use]
pub fn harm_unassigned(detail: &Detail) -> Stake {
    match detail {
        Detail::Thermometer(_) => Stake::Safety,
        Detail::Fan(fan) if fan.cools != Cooled::Part => Stake::Hardware,
        Detail::LimitSwitch { .. } | Detail::BedProbe(_) => Stake::Hardware,
        _ => Stake::Function,
    }
}

fn reason(facts: &WholeFacts<'_>, device: &Device) -> String {
    let board = facts.board;
    // It hung on a port that could not bear what is stated now: one of the two is a slip, and no other board helps.
    if let Some((port, given, taken)) = more_than_before(facts.swap, device) {
        return format!(
            "correct its current of {}, or that of its old port {}: {} is stated there, and it ran there",
            brief(taken.nominal()),
            port.name,
            given
        );
    }
    format!(
        "choose another board than {}, or take a device off it by a part of its own",
        board.name
    )
}
