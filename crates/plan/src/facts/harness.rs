//! What has to be done to a lead so that it meets a port: connector, order of pins, length.

use catalogue::WorkKind;
use model::board::{Port, PortKind};
use model::machine::{Cable, Detail};
use model::{Located, Pin, Pull};
use physics::direction;
use quantity::si::Length;
use quantity::{Number, si};
use serde::Serialize;

use crate::facts::pair::Pair;

/// A part that the plan needs, by its name in the catalogue.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Part {
    /// Its name in `data/parts.toml`.
    pub name: String,
    /// What to ask for in the shop beyond its name, such as `10 A`; `None` where the name says all.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub size: Option<String>,
    /// How many.
    pub count: u32,
}

impl Part {
    /// One piece.
    #[must_use]
    pub fn one(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            size: None,
            count: 1,
        }
    }
    /// As it is, of a size.
    #[must_use]
    pub fn of_size(self, size: String) -> Self {
        Self {
            size: Some(size),
            ..self
        }
    }
    /// "fuse holder with blade fuse, 10 A".
    #[must_use]
    pub fn words(&self) -> String {
        match &self.size {
            Some(size) => format!("{}, {size}", self.name),
            None => self.name.clone(),
        }
    }
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
    /// A switch module that the port drives.
    ExternalSwitch,
    /// A fuse in the plus wire.
    Fuse,
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
            ActionKind::PlugOver => "move plug",
            ActionKind::RePin => "re-pin",
            ActionKind::ReCrimp => "re-crimp",
            ActionKind::Clamp => "clamp",
            ActionKind::Adaptor => "adaptor",
            ActionKind::Splice => "splice",
            ActionKind::Extend => "extend",
            ActionKind::YCable => "Y-lead",
            ActionKind::OwnSupply => "own supply",
            ActionKind::ExternalSwitch => "external switch",
            ActionKind::Fuse => "fuse",
            ActionKind::SignalPart => "signal part",
            ActionKind::NewCable => "new cable",
            ActionKind::LeaveOff => "leave off",
        }
    }
}

/// The work that fits a part which a check asked for. A converter is the only part that the check of voltages asks for at a device.
pub(crate) fn work_of_part(part: &str, check: &str) -> ActionKind {
    match (part, check) {
        (crate::facts::feed::EXTERNAL_SWITCH, _) => ActionKind::ExternalSwitch,
        (_, "device-voltage") => ActionKind::OwnSupply,
        ("fuse holder with blade fuse", _) => ActionKind::Fuse,
        ("thicker lead", _) => ActionKind::NewCable,
        ("splice", _) => ActionKind::Splice,
        ("connector adaptor", _) => ActionKind::Adaptor,
        _ => ActionKind::SignalPart,
    }
}

/// Where the wires of a lead go in a port.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PinMap {
    /// For each wire of the lead, in its order, the index of the pin of the port; `None` where the port has no pin for it.
    pub pin_of_wire: Vec<Option<usize>>,
    /// Every wire meets its pin when the plug is put on as it is.
    pub straight: bool,
}

impl PinMap {
    /// The wires for which the port has no pin.
    pub fn missing(&self) -> impl Iterator<Item = usize> + '_ {
        self.pin_of_wire
            .iter()
            .enumerate()
            .filter(|(_, pin)| pin.is_none())
            .map(|(wire, _)| wire)
    }
}

/// What to do with a lead.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Job {
    /// What the connector asks for; `None` where a connector is not known.
    #[serde(serialize_with = "work_name")]
    pub work: Option<WorkKind>,
    /// Where each wire goes.
    pub pins: PinMap,
    /// Whether contacts must change places in the housing (work that makes a new plug does that anyway).
    pub re_pin: bool,
    /// By how much the lead is too short.
    #[serde(skip)]
    pub extend: Option<Length>,
    /// Parts for all of that.
    pub parts: Vec<Part>,
    /// Time at the bench, in whole minutes.
    pub minutes: i64,
}

#[expect(clippy::ref_option, reason = "the signature that serde asks for")]
fn work_name<S: serde::Serializer>(work: &Option<WorkKind>, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(work.map_or("unknown", WorkKind::name))
}

/// Where the wires of the lead of a pair go.
#[must_use]
pub fn pins(pair: &Pair<'_>) -> PinMap {
    let device = pair.device();
    pin_map(&device.detail, &device.cable, pair.port(), pair.way.own_supply)
}

/// What the connectors of a pair ask for; `None` where one of them is not known.
#[must_use]
pub fn work(pair: &Pair<'_>) -> Option<WorkKind> {
    let (plug, socket) = (&pair.device().cable.connector, &pair.port().connector);
    pair.swap.catalogue.connectors().work(&plug.value, &socket.value)
}

/// What to do with the lead of a pair whose connectors ask for that work, whose wires go there, and of which so much is missing.
#[must_use]
pub fn job(pair: &Pair<'_>, work: Option<WorkKind>, pins: PinMap, missing: Option<Length>) -> Job {
    let (cable, port) = (&pair.device().cable, pair.port());
    let connectors = pair.swap.catalogue.connectors();
    let mut work = work;
    // The same family with another number of contacts is another housing; where one of them is not known the plug is put over and compared.
    let known = !cable.pins.is_empty() && !port.pins.is_empty();
    if work == Some(WorkKind::PlugOver) && known && cable.pins.len() != port.pins.len() {
        work = Some(WorkKind::ReCrimp);
    }
    let makes_plug = matches!(
        work,
        Some(WorkKind::ReCrimp | WorkKind::Clamp | WorkKind::Splice) | None
    );
    let re_pin = !pins.straight && !makes_plug;
    let extend = missing;
    let mut names: Vec<&str> = work.iter().map(|work| work.name()).collect();
    names.extend(re_pin.then_some("re-pin"));
    let mut parts = Vec::new();
    let mut seconds = 0.0;
    if extend.is_some() {
        let part = match cable.pins.len() {
            _ if pair
                .current()
                .is_some_and(|current| current.high() > si::ampere(3.0)) =>
            {
                "extension lead, heavy, 2 wires"
            }
            0..=2 => "extension lead, 2 wires",
            3 => "extension lead, 3 wires",
            _ => "extension lead, 4 wires",
        };
        let row = pair.swap.catalogue.parts().get(part);
        let each = row.and_then(|row| row.length).map(|length| length.low());
        let pieces = extend
            .zip(each)
            .map_or(1.0, |(missing, each)| (missing / each).base().ceil());
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a handful of extensions"
        )]
        let count = pieces.clamp(1.0, 99.0) as u32;
        parts.push(Part {
            count,
            ..Part::one(part)
        });
        seconds += effort_of_part(pair, part) * f64::from(count);
    }
    for row in names.iter().filter_map(|name| connectors.works().get(name)) {
        seconds += row.effort.high().base();
        parts.extend(row.parts.iter().map(|name| Part::one(name)));
    }
    if pair.way.second && !pair.has_second_socket() {
        parts.push(Part::one("Y-lead for two motors"));
        seconds += effort_of_part(pair, "Y-lead for two motors");
    }
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a few thousand seconds at the most"
    )]
    let minutes = (seconds / 60.0).ceil() as i64;
    Job {
        work,
        pins,
        re_pin,
        extend,
        parts,
        minutes,
    }
}

fn effort_of_part(pair: &Pair<'_>, name: &str) -> f64 {
    pair.swap
        .catalogue
        .parts()
        .get(name)
        .map_or(0.0, |part| part.effort.high().base())
}

/// Where the wires of a lead go. A motor lead stays as it is where its order makes coils: the direction is then a setting.
#[must_use]
pub fn pin_map(detail: &Detail, cable: &Cable, port: &Port, own_supply: bool) -> PinMap {
    let (wires, pins) = (&cable.pins, &port.pins);
    let as_long = wires.len() == pins.len();
    let stays = match detail.share() {
        Detail::Motor(_) => as_long && matches!(turn_as_it_is(wires, pins), Some(Ok(_))),
        Detail::Panel(_) => as_long && wires.iter().zip(pins).all(|(wire, pin)| wire.value == pin.value),
        _ => false,
    };
    if stays || pins.is_empty() {
        let all = (0..wires.len()).map(Some).collect();
        return PinMap {
            pin_of_wire: all,
            straight: true,
        };
    }
    let mut taken = vec![false; pins.len()];
    let mut pin_of_wire = vec![None; wires.len()];
    // Wires that may go to one kind of pin only come first, ends without polarity take what is left; each prefers its own place.
    for loose in [false, true] {
        for (at, wire) in wires.iter().enumerate() {
            let ends = matches!(wire.value, Pin::End1 | Pin::End2);
            if ends != loose || pin_of_wire[at].is_some() {
                continue;
            }
            let fits = |pin: usize| {
                !taken[pin]
                    && accepts(pins[pin].value, wire.value)
                    && (!ends || takes_end(&port.kind, pins[pin].value))
            };
            let own_place = (at < pins.len() && fits(at)).then_some(at);
            let found = own_place.or_else(|| (0..pins.len()).find(|pin| fits(*pin)));
            if let Some(pin) = found {
                taken[pin] = true;
                pin_of_wire[at] = Some(pin);
            }
        }
    }
    if own_supply {
        for (at, wire) in wires.iter().enumerate() {
            if to_converter(&port.kind, wire.value) {
                pin_of_wire[at] = None;
            }
        }
    }
    let unused = |at: usize| wires[at].value == Pin::Unused;
    let straight = as_long
        && pin_of_wire
            .iter()
            .enumerate()
            .all(|(wire, pin)| *pin == Some(wire) || unused(wire));
    PinMap {
        pin_of_wire,
        straight,
    }
}

/// Whether a wire of a device with a converter of its own goes to that: its plus, and its minus too where the port gives a signal only. What
/// comes back through a switched minus stays at the port.
fn to_converter(kind: &PortKind, wire: Pin) -> bool {
    let signal = !matches!(kind, PortKind::Switched { .. } | PortKind::Permanent);
    wire == Pin::Plus || (signal && wire == Pin::Minus)
}

/// Whether a wire of the lead goes to the converter of the device.
#[must_use]
pub fn goes_to_converter(pair: &Pair<'_>, wire: Pin) -> bool {
    pair.way.own_supply && to_converter(&pair.port().kind, wire)
}

/// "1→2, 2→1": old pin to new pin, for the wires that move.
#[must_use]
pub fn permutation(pair: &Pair<'_>, job: &Job) -> String {
    let words: Vec<String> = job
        .pins
        .pin_of_wire
        .iter()
        .enumerate()
        .filter(|(wire, pin)| **pin != Some(*wire))
        .filter(|(wire, _)| pair.device().cable.pins[*wire].value != Pin::Unused)
        .map(|(wire, pin)| match pin {
            Some(pin) => format!("{}→{}", wire + 1, pin + 1),
            None if goes_to_converter(pair, pair.device().cable.pins[wire].value) => {
                format!("{}→its converter", wire + 1)
            }
            None => format!("{} stays out", wire + 1),
        })
        .collect();
    words.join(", ")
}

/// How a motor lead that is put on as it is turns the motor, or that a phase of the driver would lie between two coils; `None` where one
/// of the two does not hold each coil end once.
pub(crate) fn turn_as_it_is(
    wires: &[Located<Pin>],
    pins: &[Located<Pin>],
) -> Option<Result<direction::Sense, direction::NoCoils>> {
    let order = |pins: &[Located<Pin>]| coil_order(pins.iter().map(|pin| pin.value));
    Some(direction::turn_sense(order(wires)?, order(pins)?))
}

/// The order of a four-pin motor connector, where it holds each coil end once.
#[must_use]
pub fn coil_order(pins: impl IntoIterator<Item = Pin>) -> Option<direction::CoilOrder> {
    let mut pins = pins.into_iter().map(|pin| match pin {
        Pin::A1 => Some(direction::CoilEnd::A1),
        Pin::A2 => Some(direction::CoilEnd::A2),
        Pin::B1 => Some(direction::CoilEnd::B1),
        Pin::B2 => Some(direction::CoilEnd::B2),
        _ => None,
    });
    let mut next = || pins.next().flatten();
    let ends = [next()?, next()?, next()?, next()?];
    if pins.next().is_some() {
        return None;
    }
    direction::CoilOrder::new(ends).ok()
}

/// Whether a pin of an input is one of the two between which a contact or a thermometer goes; outputs leave no choice.
///
/// Across `+` and `-` of a three-pin input a closed contact would short the rail.
fn takes_end(kind: &PortKind, pin: Pin) -> bool {
    match kind {
        PortKind::Switch(input)
        | PortKind::Probe {
            input: Some(input), ..
        } if input.pull.value == Pull::Down => {
            matches!(pin, Pin::Signal | Pin::Plus)
        }
        PortKind::Switch(_) | PortKind::Probe { .. } | PortKind::Thermometer(_) => {
            matches!(pin, Pin::Signal | Pin::Minus)
        }
        _ => true,
    }
}

/// Whether a pin of a port takes a wire of that function.
fn accepts(pin: Pin, wire: Pin) -> bool {
    match wire {
        Pin::Plus => matches!(pin, Pin::Plus | Pin::SwitchedPlus),
        Pin::Minus => matches!(pin, Pin::Minus | Pin::SwitchedMinus),
        Pin::End1 | Pin::End2 => matches!(
            pin,
            Pin::End1
                | Pin::End2
                | Pin::Plus
                | Pin::Minus
                | Pin::SwitchedPlus
                | Pin::SwitchedMinus
                | Pin::Signal
        ),
        Pin::Transmit => pin == Pin::Receive,
        Pin::Receive => pin == Pin::Transmit,
        Pin::Unused => false,
        same => pin == same,
    }
}
