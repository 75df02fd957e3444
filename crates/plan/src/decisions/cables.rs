//! The table of leads: for each, where it was, where it goes, what to do, with which wire and fuse.

use catalogue::WorkKind;
use model::Pin;
use model::machine::{Detail, DeviceId, UNKNOWN_COLOUR};
use quantity::{AnyValue, Value, WireSize};
use serde::Serialize;

use crate::decisions::plan::Plan;
use crate::facts::feed::{PortPart, Source};
pub use crate::facts::harness::ActionKind;
use crate::facts::harness::{self, Job, Part, permutation, work_of_part};
use crate::facts::shopping::minutes_of;
use crate::facts::{PairFacts, Way, WholeFacts};
use crate::rules::checks::unplugged;

/// One row of the table of leads.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// The tag tied to the lead.
    pub tag: String,
    /// What the device is called.
    pub device: String,
    /// The device by its place in the machine.
    #[serde(skip)]
    pub id: DeviceId,
    /// The old port; `None` for a new lead.
    pub old_port: Option<String>,
    /// The connector at the end of the lead.
    pub old_connector: String,
    /// The new port; `None` where the device is left out.
    pub new_port: Option<String>,
    /// The connector of the new port.
    pub new_connector: Option<String>,
    /// The way, for drawings.
    #[serde(skip)]
    pub way: Option<Way>,
    /// The rail that supplies it there.
    pub rail: Option<String>,
    /// What to do, step by step, each a short sentence; never empty.
    pub actions: Vec<Action>,
    /// Each wire with its colour and its new pin.
    pub wires: Vec<WireRow>,
    /// Size and length of the wires.
    pub wire: String,
    /// The largest current.
    pub current: Option<AnyValue>,
    /// Parts for this lead.
    pub parts: Vec<Part>,
    /// Time at the bench.
    pub minutes: i64,
}

/// One thing to do with a lead.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Action {
    /// What kind of work it is.
    pub kind: ActionKind,
    /// What to do, in a sentence.
    pub words: String,
    /// The part that it fits, by its name in the catalogue, where a finding asks for one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
}

/// One wire of a lead.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct WireRow {
    /// Its colour in IEC 60757 letters; `--` where it is not known.
    pub colour: String,
    /// Its function.
    pub function: String,
    /// The pin at the old connector, from 1.
    pub old_pin: usize,
    /// The pin at the new port, from 1; `None` where it goes somewhere else.
    pub new_pin: Option<usize>,
    /// The function of that pin.
    pub new_function: Option<String>,
    /// Where it goes instead of the port; `None` where it has a pin there, or goes nowhere.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub elsewhere: Option<&'static str>,
}

/// The table of leads of a plan, in the order of the machine's devices.
#[must_use]
pub fn cables(plan: &Plan<'_>) -> Vec<Row> {
    let facts = plan.facts();
    let devices = plan.swap.machine.device_ids();
    devices.map(|(id, _)| row(plan, &facts, id)).collect()
}

fn row(plan: &Plan<'_>, facts: &WholeFacts<'_>, id: DeviceId) -> Row {
    let device = plan.swap.machine.device(id);
    let cable = &device.cable;
    let mut row = Row {
        tag: device.tag.value.clone(),
        device: device.name.value.clone(),
        id,
        old_port: cable.old_port.as_ref().map(|port| port.value.clone()),
        old_connector: cable.connector.value.clone(),
        new_port: None,
        new_connector: None,
        way: None,
        rail: None,
        actions: Vec::new(),
        wires: wires(cable, None),
        wire: size(cable.wire.value, cable),
        current: None,
        parts: Vec::new(),
        minutes: 0,
    };
    let Some(pair) = facts.pair(id) else {
        row.actions.push(Action {
            kind: ActionKind::LeaveOff,
            words: if unplugged(facts, id) {
                "leave it unplugged: its axis homes by stall detection; tie the plug back, insulated"
                    .to_owned()
            } else {
                "leave it off this board; insulate the end and tie it back".to_owned()
            },
            part: None,
        });
        return row;
    };
    let job = pair.job().clone();
    row.new_port = Some(pair.port_name().to_owned());
    row.new_connector = Some(pair.port().connector.value.clone());
    row.way = Some(pair.way);
    row.rail = pair.rail_name().map(str::to_owned);
    row.wires = wires(cable, Some((pair, &job)));
    row.wire = size(pair.wire(), cable);
    row.current = pair.current().map(AnyValue::from);
    let outside = facts.budget().is_outside(pair);
    if outside {
        for wire in row
            .wires
            .iter_mut()
            .filter(|wire| wire.function != Pin::Unused.word())
        {
            wire.new_pin = None;
            wire.new_function = None;
            wire.elsewhere = Some("to the external switch");
        }
    }
    let tag = row.tag.clone();
    let mending = plan
        .findings
        .iter()
        .filter(|finding| finding.subject.device.as_deref() == Some(&tag))
        .flat_map(|finding| finding.parts.iter().map(|part| (part, finding.check)));
    let mending: Vec<(&Part, &str)> = mending.collect();
    row.actions = actions(pair, &job, outside, &mending);
    row.minutes = job.minutes
        + mending
            .iter()
            .map(|(part, _)| minutes_of(plan.swap, part))
            .sum::<i64>();
    row.parts = job.parts;
    row.parts
        .extend(mending.into_iter().map(|(part, _)| part.clone()));
    row
}

/// "14 AWG, 520 mm".
fn size(wire: WireSize, cable: &model::machine::Cable) -> String {
    format!("{wire}, {}", Value::exact(cable.length.nominal()))
}

fn wires(cable: &model::machine::Cable, new: Option<(&PairFacts<'_>, &Job)>) -> Vec<WireRow> {
    cable
        .pins
        .iter()
        .enumerate()
        .map(|(at, pin)| {
            let target = new.and_then(|(pair, job)| {
                let pin = job.pins.pin_of_wire.get(at).copied().flatten()?;
                Some((pin, pair.port().pins.get(pin)?.value))
            });
            WireRow {
                colour: cable
                    .colours
                    .get(at)
                    .map_or_else(|| UNKNOWN_COLOUR.to_owned(), |colour| colour.value.clone()),
                function: pin.value.word().to_owned(),
                old_pin: at + 1,
                new_pin: target.map(|(pin, _)| pin + 1),
                new_function: target.map(|(_, function)| function.word().to_owned()),
                elsewhere: new
                    .filter(|(pair, _)| target.is_none() && harness::goes_to_converter(pair, pin.value))
                    .map(|_| "to the converter"),
            }
        })
        .collect()
}

/// "4-way "; nothing where the pins are not known.
fn ways(pins: usize) -> String {
    if pins == 0 {
        String::new()
    } else {
        format!("{pins}-way ")
    }
}

fn actions(pair: &PairFacts<'_>, job: &Job, outside: bool, mending: &[(&Part, &str)]) -> Vec<Action> {
    let mut out = Vec::new();
    let mut say = |kind, words: String| {
        out.push(Action {
            kind,
            words,
            part: None,
        });
    };
    let (cable, port) = (&pair.device().cable, pair.port());
    if pair.device().is_new() {
        say(
            ActionKind::NewCable,
            format!("route the new cable to {}", port.name),
        );
    }
    if outside {
        say(
            ActionKind::ExternalSwitch,
            format!(
                "clamp its wires into the output of the external switch. Two thin wires from {} drive that, and a cable of its own feeds it from the supply",
                port.name
            ),
        );
    }
    match job.work {
        _ if outside => {}
        Some(WorkKind::PlugOver) => {
            if cable.pins.is_empty() || port.pins.is_empty() {
                say(
                    ActionKind::PlugOver,
                    format!(
                        "move the plug to {}: compare pin 1 of both (a ribbon marks it by a coloured edge) and the number of ways; its pins are not known",
                        port.name
                    ),
                );
            } else if !job.re_pin && !pair.device().is_new() {
                say(ActionKind::PlugOver, format!("move the plug to {}", port.name));
            }
        }
        Some(WorkKind::PlugLoose) => {
            say(
                ActionKind::PlugOver,
                format!(
                    "put the plug on {}; it fits without latch or key: mark pin 1 on both and secure it",
                    port.name
                ),
            );
        }
        Some(WorkKind::ReCrimp) => say(
            ActionKind::ReCrimp,
            format!(
                "new contacts and a {}housing of {} (was {}{})",
                ways(port.pins.len()),
                port.connector,
                ways(cable.pins.len()),
                cable.connector
            ),
        ),
        Some(WorkKind::Clamp) => say(
            ActionKind::Clamp,
            format!("crimp ferrules on the ends and clamp them in {}", port.name),
        ),
        Some(WorkKind::Adaptor) => say(
            ActionKind::Adaptor,
            format!("adaptor from {} to {}", cable.connector, port.connector),
        ),
        Some(WorkKind::Splice) => say(
            ActionKind::Splice,
            format!("join the wires to a tail with {}", port.connector),
        ),
        None => say(
            ActionKind::ReCrimp,
            format!("a plug that fits {} ({})", port.name, port.connector),
        ),
    }
    if job.re_pin && !outside {
        say(
            ActionKind::RePin,
            format!("move contacts in the housing: {}", permutation(pair, job)),
        );
    }
    if let Some(missing) = job.extend {
        say(
            ActionKind::Extend,
            format!("make it longer by at least {}", Value::exact(missing)),
        );
    }
    if pair.way.second && !pair.has_second_socket() {
        say(
            ActionKind::YCable,
            format!(
                "over a Y-lead at {}, together with the first motor of the axis",
                port.name
            ),
        );
    }
    if matches!(&pair.device().detail, Detail::Heater(heater) if heater.relay.is_some()) {
        say(
            ActionKind::SignalPart,
            "control side only: the mains side of the relay is for a qualified person".to_owned(),
        );
    }
    if let Source::Converter(own) = &pair.feed().source {
        let words = match own.port {
            PortPart::Signal => format!(
                "plus and minus go to the output of a converter of its own. A thin wire joins its minus to - of {}",
                port.name
            ),
            PortPart::SwitchesMinus => {
                "plus comes from a converter of its own on the supply; join its minus to that of the board"
                    .to_owned()
            }
            PortPart::Feeds(_) => format!("put a converter of its own between {} and the lead", port.name),
        };
        say(ActionKind::OwnSupply, words);
    }
    for (part, check) in mending {
        let kind = work_of_part(&part.name, check);
        let size = part.size.as_deref().unwrap_or_default();
        let words = match kind {
            // Said above already.
            ActionKind::ExternalSwitch | ActionKind::OwnSupply => continue,
            ActionKind::Fuse => {
                format!("put a fuse of {size} in a holder into its plus wire, at the end that is fed")
            }
            ActionKind::NewCable => format!("make the lead anew of {size}"),
            ActionKind::Splice => format!("join a short tail of {size} to each wire"),
            ActionKind::Adaptor => format!("an adaptor at {} that crosses the wires", port.name),
            _ => format!("add: {} ({check})", part.words()),
        };
        out.push(Action {
            kind,
            words,
            part: Some(part.name.clone()),
        });
    }
    out
}
