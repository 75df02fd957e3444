//! The table of leads: for each, where it was, where it goes, what to do, with which wire and fuse.

use catalogue::WorkKind;
use model::machine::{Detail, DeviceId};
use quantity::{AnyValue, Value};
use serde::Serialize;

use crate::decisions::plan::Plan;
use crate::facts::harness::{Job, Part, permutation};
use crate::facts::{PairFacts, Way};

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
}

/// Kinds of work on a lead.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ActionKind {
    /// Put the plug over as it is.
    PlugOver,
    /// Move contacts inside the housing.
    RePin,
    /// New contacts and a new housing.
    ReCrimp,
    /// Ferrules under a clamp.
    Clamp,
    /// A ready adaptor.
    Adaptor,
    /// Join to a tail.
    Splice,
    /// Make it longer.
    Extend,
    /// A Y-lead for two motors.
    YCable,
    /// A converter of its own.
    OwnSupply,
    /// A level shifter or another part in the signal.
    SignalPart,
    /// A lead that was not there before.
    NewCable,
    /// Leave it off; cap the end.
    LeaveOff,
}

impl ActionKind {
    /// The words on tags and drawings.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            ActionKind::PlugOver => "plug over",
            ActionKind::RePin => "re-pin",
            ActionKind::ReCrimp => "re-crimp",
            ActionKind::Clamp => "clamp",
            ActionKind::Adaptor => "adaptor",
            ActionKind::Splice => "splice",
            ActionKind::Extend => "extend",
            ActionKind::YCable => "Y-lead",
            ActionKind::OwnSupply => "own supply",
            ActionKind::SignalPart => "signal part",
            ActionKind::NewCable => "new lead",
            ActionKind::LeaveOff => "leave off",
        }
    }
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
}

/// The table of leads of a plan, in the order of the machine's devices.
#[must_use]
pub fn cables(plan: &Plan<'_>) -> Vec<Row> {
    plan.swap
        .machine
        .device_ids()
        .map(|(id, _)| row(plan, id))
        .collect()
}

fn row(plan: &Plan<'_>, id: DeviceId) -> Row {
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
        wire: format!("{}, {}", cable.wire, Value::exact(cable.length.nominal())),
        current: None,
        parts: Vec::new(),
        minutes: 0,
    };
    let facts = plan.facts();
    let Some(pair) = facts.pair(id) else {
        row.actions.push(Action {
            kind: ActionKind::LeaveOff,
            words: "leave it off this board; insulate the end and tie it back".to_owned(),
        });
        return row;
    };
    let job = pair.job().clone();
    row.new_port = Some(pair.port_name().to_owned());
    row.new_connector = Some(pair.port().connector.value.clone());
    row.way = Some(pair.way);
    row.rail = pair.rail_name().map(str::to_owned);
    row.wires = wires(cable, Some((pair, &job)));
    row.current = pair.current().map(AnyValue::from);
    row.actions = actions(plan, pair, &job);
    row.minutes = job.minutes;
    row.parts = job.parts;
    let mended = plan
        .findings
        .iter()
        .filter(|finding| finding.subject.device.as_deref() == Some(&row.tag));
    row.parts
        .extend(mended.flat_map(|finding| finding.parts.iter().cloned()));
    row
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
                    .map_or_else(|| "--".to_owned(), |colour| colour.value.clone()),
                function: pin.value.word().to_owned(),
                old_pin: at + 1,
                new_pin: target.map(|(pin, _)| pin + 1),
                new_function: target.map(|(_, function)| function.word().to_owned()),
            }
        })
        .collect()
}

fn actions(plan: &Plan<'_>, pair: &PairFacts<'_>, job: &Job) -> Vec<Action> {
    let mut out = Vec::new();
    let mut say = |kind, words: String| out.push(Action { kind, words });
    let (cable, port) = (&pair.device().cable, pair.port());
    if pair.device().is_new() {
        say(
            ActionKind::NewCable,
            format!("bring the new lead in to {}", port.name),
        );
    }
    match job.work {
        Some(WorkKind::PlugOver) => {
            if !job.re_pin && !pair.device().is_new() {
                say(
                    ActionKind::PlugOver,
                    format!("put the plug over to {} as it is", port.name),
                );
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
                "new contacts and a {}-way housing of {} (was {})",
                port.pins.len(),
                port.connector,
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
    if job.re_pin {
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
    if pair.way.own_supply {
        say(
            ActionKind::OwnSupply,
            "its supply comes from a converter of its own; join the grounds".to_owned(),
        );
    }
    let tag = &pair.device().tag.value;
    for finding in plan
        .findings
        .iter()
        .filter(|finding| finding.subject.device.as_ref() == Some(tag))
    {
        for part in finding
            .parts
            .iter()
            .filter(|_| !pair.way.own_supply || finding.check != "device-voltage")
        {
            say(
                ActionKind::SignalPart,
                format!("add: {} ({})", part.name, finding.check),
            );
        }
    }
    out
}
