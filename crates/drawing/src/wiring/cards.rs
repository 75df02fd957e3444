//! The card of a device: tag, name, and for each of its leads the port, the work to do, and the wires at one edge.

use super::sizes::Sizes;
use super::sockets::Side;
use super::{Action, Wiring};
use crate::geometry::{Area, Point};
use crate::metrics;
use crate::sheet::{Anchor, Label};

/// A card, laid out from its own upper left corner.
#[derive(Clone, Debug)]
pub(super) struct Card {
    pub device: usize,
    /// The edge on which the wires end.
    pub edge: Side,
    pub width: f64,
    pub height: f64,
    pub labels: Vec<Label>,
    pub pill: Area,
    pub badges: Vec<Badge>,
    pub ends: Vec<End>,
}

/// One action, drawn as sign and words.
#[derive(Clone, Debug)]
pub(super) struct Badge {
    pub action: Action,
    pub area: Area,
}

/// Where a lead ends on a card.
#[derive(Clone, Debug)]
pub(super) struct End {
    pub cable: usize,
    /// Height of the joint.
    pub joint: f64,
    /// Height of each wire.
    pub wires: Vec<f64>,
    /// Whether each wire goes to the port, or stays free.
    pub connected: Vec<bool>,
}

/// Length of the coloured wire inside the card.
pub(super) const STUB: f64 = 26.0;
const PAD: f64 = 9.0;
const WIRE_STEP: f64 = 15.0;
const BADGE_STEP: f64 = 17.0;
const TEXT: f64 = 11.5;

/// Lays out the card of `device`; `port_name` words a port.
pub(super) fn card(
    input: &Wiring,
    device: usize,
    cables: &[usize],
    edge: Side,
    width: f64,
    port_name: &dyn Fn(usize) -> String,
) -> Card {
    let mut card = Card {
        device,
        edge,
        width,
        height: 0.0,
        labels: Vec::new(),
        pill: Area::default(),
        badges: Vec::new(),
        ends: Vec::new(),
    };
    let (mut y, in_head) = head(&mut card, input);
    // Without room behind the name, the remark stands beside the wires of the first lead.
    let mut note = if in_head {
        ""
    } else {
        input.devices[device].note.as_str()
    };
    for &cable in cables {
        y = block(&mut card, input, cable, y + 1.0, (note, port_name));
        note = "";
    }
    if cables.is_empty() {
        let top = y + 1.0;
        y = badges(&mut card, &[Action::LeaveOff], PAD, top);
        // The remark stands behind the badge.
        let left = card.badges.last().map_or(PAD, |b| b.area.right + 6.0);
        y = y.max(small(&mut card, note, left, width - PAD - left, top));
    }
    card.height = y + 5.0;
    card
}

/// Tag, name, and the remark if it fits behind the name; returns the height below, and whether it did.
fn head(card: &mut Card, input: &Wiring) -> (f64, bool) {
    let device = &input.devices[card.device];
    let tag = Label::new(metrics::cut(&device.tag, 12.0, true, 70.0), PAD + 5.0, 20.0, 12.0).bold();
    let pill = tag.bounds();
    card.pill = Area {
        left: pill.left - 5.0,
        right: pill.right + 5.0,
        top: 7.0,
        bottom: 25.0,
    };
    let left = card.pill.right + 7.0;
    card.labels.push(tag.coloured("paper"));
    let mut y = 21.0;
    for line in metrics::wrap(&device.name, 13.0, true, card.width - PAD - left) {
        card.labels.push(Label::new(line, left, y, 13.0).bold());
        y += 16.0;
    }
    let bottom = (y - 16.0).max(21.0) + 6.0;
    let name_end = card.labels.last().map_or(left, |l| l.bounds().right);
    let note = Label::new(&device.note, name_end + 8.0, bottom - 6.0, 11.0).coloured("quiet");
    let fits = note.bounds().right <= card.width - PAD;
    if fits && !device.note.is_empty() {
        card.labels.push(note);
    }
    (bottom, fits)
}

/// Lines of a remark; returns the height below.
fn small(card: &mut Card, text: &str, left: f64, room: f64, top: f64) -> f64 {
    let mut y = top;
    for line in metrics::wrap(text, 11.0, false, room) {
        card.labels
            .push(Label::new(line, left, y + 11.0, 11.0).coloured("quiet"));
        y += 14.0;
    }
    y
}

/// Port and badges on one half, wires on the half at the edge.
fn block(
    card: &mut Card,
    input: &Wiring,
    cable: usize,
    top: f64,
    words: (&str, &dyn Fn(usize) -> String),
) -> f64 {
    let (note, port_name) = words;
    let l = &input.cables[cable];
    let wires_room = wires_room(card.width);
    let text_room = card.width - wires_room - PAD - 6.0;
    let left = if card.edge == Side::Right {
        PAD
    } else {
        wires_room + 6.0
    };
    let mut y = small(card, note, left, text_room, top);
    for line in metrics::wrap(&format!("→ {}", port_name(l.port)), 12.0, true, text_room) {
        card.labels.push(Label::new(line, left, y + 12.0, 12.0).bold());
        y += 15.0;
    }
    y += 1.0;
    y = badges(card, &l.actions, left, y);
    let wires_bottom = wires(card, input, cable, top, wires_room);
    y.max(wires_bottom)
}

/// One badge below the other; returns the height below.
fn badges(card: &mut Card, actions: &[Action], left: f64, top: f64) -> f64 {
    let mut y = top;
    for &action in actions {
        let words = Label::new(action.words(), left + 18.0, y + 12.0, 11.0);
        let area = Area {
            left,
            right: words.bounds().right + 5.0,
            top: y,
            bottom: y + 15.0,
        };
        card.labels.push(words);
        card.badges.push(Badge { action, area });
        y += BADGE_STEP;
    }
    y
}

/// Stub, letters and pin text take this much at the edge.
const fn wires_room(width: f64) -> f64 {
    // A narrow card gives up some of the room of its pin names.
    if width < 250.0 { 132.0 } else { 150.0 }
}

fn wires(card: &mut Card, input: &Wiring, cable: usize, top: f64, room: f64) -> f64 {
    let l = &input.cables[cable];
    let pins = input.board.ports.get(l.port).map_or(&[][..], |p| &p.pins);
    let at = |inset: f64| {
        if card.edge == Side::Right {
            card.width - inset
        } else {
            inset
        }
    };
    let anchor = if card.edge == Side::Right {
        Anchor::End
    } else {
        Anchor::Start
    };
    let mut heights = Vec::new();
    let mut labels = Vec::new();
    for (i, wire) in l.wires.iter().enumerate() {
        let middle = top + 8.0 + i as f64 * WIRE_STEP;
        heights.push(middle);
        let letters = Label::new(&wire.letters, at(STUB + 5.0), middle + 4.0, TEXT)
            .bold()
            .anchored(anchor);
        let taken = STUB + 5.0 + letters.width().max(21.0) + 7.0;
        labels.push(letters);
        let text = match wire.pin {
            Some(p) => pin_text(p, pins.get(p).map_or("", String::as_str)),
            None if wire.elsewhere.is_empty() => "not here".to_owned(),
            None => wire.elsewhere.clone(),
        };
        let text = metrics::cut(text.trim(), 11.0, false, room - taken);
        labels.push(Label::new(text, at(taken), middle + 4.0, 11.0).anchored(anchor));
    }
    card.labels.extend(labels);
    let bottom = top + l.wires.len() as f64 * WIRE_STEP;
    let joint = if heights.is_empty() {
        top + 8.0
    } else {
        (heights[0] + heights[heights.len() - 1]) / 2.0
    };
    let connected = l.wires.iter().map(|w| w.pin.is_some()).collect();
    card.ends.push(End {
        cable,
        joint,
        wires: heights,
        connected,
    });
    bottom
}

/// Number and name of a pin; a name that is the number is not said twice.
fn pin_text(pin: usize, name: &str) -> String {
    let number = (pin + 1).to_string();
    if name == number {
        number
    } else {
        format!("{number} {name}")
    }
}

/// A card at its place on the sheet.
#[derive(Clone, Debug)]
pub(super) struct PlacedCard {
    pub card: Card,
    pub corner: Point,
}

impl PlacedCard {
    pub const fn area(&self) -> Area {
        Area::new(self.corner.x, self.corner.y, self.card.width, self.card.height)
    }

    /// The joint of an end, outside the card.
    pub fn joint(&self, end: &End, sizes: &Sizes) -> Point {
        let area = self.area();
        let x = if self.card.edge == Side::Right {
            area.right + sizes.card_fan
        } else {
            area.left - sizes.card_fan
        };
        Point::new(x, self.corner.y + end.joint)
    }
}
