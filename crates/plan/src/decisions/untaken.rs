//! Ways that were not taken because a fact of a port is not known: what it would save if that turned out well.
//!
//! The assignment is decided by what is likely, so that an unknown rating may send a device elsewhere, over a part that it would not need.
//! No check of the assignment that came of it says so: each such fact is an open finding of its own.

use std::collections::BTreeSet;

use model::board::{Board, PortId, PortKind, PortSupply};
use model::machine::DeviceId;
use model::{Answer, Assumed, Supposed, Swap};
use quantity::Price;

use crate::decisions::assign::is_stopped;
use crate::decisions::compatible::{Candidate, WayCost, candidates_at};
use crate::decisions::open::{Other, assumed_for, settle};
use crate::facts::needs::is_needed;
use crate::facts::{Site, Way, name_of};
use crate::rules::checks::{UNSTATED, harm_unassigned};
use crate::rules::judging::{Disposition, Finding, Open, Stake, Subject, Verdict};

/// Keys that move the work at a port by some minutes, whatever is found there.
const OF_LITTLE_WEIGHT: [&str; 3] = ["connector", "at", "edge"];

/// Less work, or less money in hundredths, is not worth a question.
const WORTH_ASKING: (i64, i64) = (5, 100);

/// A swap as it may be, and its board at its machine.
struct Tried<'s> {
    site: Site<'s>,
}

/// The open findings of an assignment: one for each device and port.
pub(crate) fn untaken(swap: &Swap, board: &Board, ways: &[Option<Way>]) -> Vec<Finding> {
    let Some(kept) = &swap.origin else {
        return Vec::new();
    };
    let facts: Vec<(&Assumed, Vec<PortId>)> = assumed_for(swap, board)
        .into_iter()
        .filter(|fact| fact.place.file == board.place.file && !OF_LITTLE_WEIGHT.contains(&fact.key))
        .map(|fact| (fact, touched(board, fact)))
        .filter(|(_, ports)| !ports.is_empty())
        .collect();
    if facts.is_empty() || is_stopped() {
        return Vec::new();
    }
    let Some(likely) = Other::likely(swap, board) else {
        return Vec::new();
    };
    let others: Vec<Other> = [Answer::Low, Answer::High]
        .into_iter()
        .filter_map(|boards| {
            let supposed = Supposed {
                machine: Answer::Likely,
                boards,
                only: None,
            };
            Other::of(kept, swap, board, &supposed)
        })
        .filter(|other| alike(other.board(board), board))
        .collect();
    if !alike(likely.board(board), board) {
        return Vec::new();
    }
    let base = tried(&likely, board);
    let others: Vec<Tried<'_>> = others.iter().map(|other| tried(other, board)).collect();
    let mut found = Vec::new();
    let touched: BTreeSet<PortId> = facts
        .iter()
        .flat_map(|(_, ports)| ports.iter().copied())
        .collect();
    for (id, device) in swap.machine.device_ids() {
        if device.plug().is_some() {
            continue;
        }
        let now = ways[id.0];
        let cost = now.and_then(|way| {
            let own = candidates_at(&base.site, id, way.port);
            own.into_iter().find(|own| own.way == way)?.outcome.ok()
        });
        if now.is_some() && cost.is_none() || now.is_none() && !is_needed(swap, id) && !is_wished(swap, id) {
            continue;
        }
        let better = |candidates: Vec<Candidate>| -> Option<WayCost> {
            let good = candidates
                .into_iter()
                .filter_map(|candidate| candidate.outcome.ok());
            good.filter(|other| saves(other, cost.as_ref())).min()
        };
        let best = touched
            .iter()
            .filter(|port| is_free(ways, **port, id))
            .filter(|port| better(candidates_at(&base.site, id, **port)).is_none())
            .filter_map(|port| {
                let of_others = others.iter().map(|other| candidates_at(&other.site, id, *port));
                Some((of_others.filter_map(&better).min()?, *port))
            })
            .min_by(|one, other| one.0.cmp(&other.0));
        let Some((saved, port)) = best else { continue };
        let own = facts
            .iter()
            .filter(|(_, ports)| ports.contains(&port))
            .map(|(fact, _)| *fact);
        let fact = own.min_by_key(|fact| fact.of != "port");
        if let Some(fact) = fact {
            found.push(finding(
                swap,
                board,
                (id, now, port),
                (cost.as_ref(), &saved),
                fact,
            ));
        }
    }
    found
}

fn tried<'s>(other: &'s Other, board: &'s Board) -> Tried<'s> {
    Tried {
        site: Site::of(other.swap(), other.board(board)),
    }
}

/// Whether a board has the ports and rails of another one, so that their ways are the same.
fn alike(one: &Board, other: &Board) -> bool {
    one.ports.len() == other.ports.len() && one.rails.len() == other.rails.len()
}

/// The ports that a fact of a board is about.
fn touched(board: &Board, fact: &Assumed) -> Vec<PortId> {
    let Some(owner) = fact.owner.last() else {
        return Vec::new();
    };
    let of = |port: &model::board::Port| match fact.of {
        "port" => port.name.value == *owner,
        "rail" => board
            .rails_of(port)
            .iter()
            .any(|rail| board.rail(*rail).name.value == *owner),
        "driver" => {
            matches!(port.kind, PortKind::Motor { driver } if board.driver(driver).name.value == *owner)
        }
        "jumper" => {
            matches!(port.supply, PortSupply::Jumper(jumper) if board.jumpers[jumper.0].name.value == *owner)
        }
        _ => false,
    };
    board
        .port_ids()
        .filter(|(_, port)| of(port))
        .map(|(id, _)| id)
        .collect()
}

fn is_wished(swap: &Swap, id: DeviceId) -> bool {
    swap.wishes.iter().any(|wish| wish.devices.contains(&id))
}

/// Whether no other device is at a port.
fn is_free(ways: &[Option<Way>], port: PortId, id: DeviceId) -> bool {
    let others = ways.iter().enumerate().filter(|(at, _)| *at != id.0);
    others.flat_map(|(_, way)| way).all(|way| way.port != port)
}

/// Whether a way leaves less to decide than another, or as much with less work or money; any way is better than none.
fn saves(other: &WayCost, now: Option<&WayCost>) -> bool {
    let Some(now) = now else { return true };
    if other.decide != now.decide {
        return other.decide < now.decide;
    }
    let (minutes, price) = (now.minutes - other.minutes, now.price - other.price);
    minutes >= 0 && price >= 0 && (minutes >= WORTH_ASKING.0 || price >= WORTH_ASKING.1)
}

fn finding(
    swap: &Swap,
    board: &Board,
    (id, now, port): (DeviceId, Option<Way>, PortId),
    (cost, saved): (Option<&WayCost>, &WayCost),
    fact: &Assumed,
) -> Finding {
    let device = swap.machine.device(id);
    let (name, port) = (name_of(device), &board.port(port).name.value);
    let why = format!("{} is not stated", fact.words());
    let headline = match (now, cost) {
        (Some(way), Some(cost)) => {
            let gain = gain(board, cost, saved);
            if board.port(way.port).name.value == *port {
                format!(
                    "{name} is not connected to {port} directly, since {why}. Directly it may save {gain}"
                )
            } else {
                let here = &board.port(way.port).name;
                format!("{name} goes to {here}, since {why}. {port} may save {gain}")
            }
        }
        _ => format!("{name} has no port, since {why}. {port} may serve it"),
    };
    let subject = Subject {
        device: Some(device.tag.value.clone()),
        port: Some(port.clone()),
        other: None,
    };
    let mut finding = Finding {
        id: subject.identifier(UNSTATED),
        check: UNSTATED,
        stake: if now.is_none() {
            harm_unassigned(&device.detail)
        } else {
            Stake::Function
        },
        verdict: Verdict::Caution,
        subject,
        place: Some(fact.place),
        disposition: Disposition::ToDecide,
        assumed: true,
        asks: true,
        open: Some(Open::default()),
        ..Finding::new(headline, "own-statement")
    };
    settle(&mut finding, fact);
    finding
}

/// "2 actions required, 40 min and 9.00 EUR".
fn gain(board: &Board, now: &WayCost, other: &WayCost) -> String {
    let decide = now.decide.sum() - other.decide.sum();
    let mut parts = Vec::new();
    if decide > 0 {
        parts.push(format!(
            "{decide} action{} required",
            if decide == 1 { "" } else { "s" }
        ));
    } else if other.decide < now.decide {
        parts.push("what can hurt most".to_owned());
    }
    let minutes = now.minutes - other.minutes;
    if minutes > 0 {
        parts.push(format!("{minutes} min"));
    }
    let currency = board
        .price
        .as_ref()
        .map(|price| price.value.currency().to_owned());
    let code: Option<[u8; 3]> = currency.and_then(|code| code.into_bytes().try_into().ok());
    if now.price > other.price {
        let price = Price::new(now.price - other.price, code.unwrap_or(*b"EUR"));
        parts.push(price.to_string());
    }
    match parts.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, before)) => format!("{} and {last}", before.join(", ")),
        None => "work".to_owned(),
    }
}
