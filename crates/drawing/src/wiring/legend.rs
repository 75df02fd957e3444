//! What stands below the wiring: scale, kinds of lines, letters of the wires, ports left free, notes.

use super::paint::{coloured, line, line_style};
use super::plan::Plan;
use super::sizes::Sizes;
use super::{Kind, Wiring, port_title};
use crate::geometry::{Area, Point};
use crate::metrics;
use crate::palette::wire_codes;
use crate::sheet::{Label, Sheet, open};

const TEXT: f64 = 11.5;
const STEP: f64 = 19.0;

/// Draws the legend; returns the height of the picture.
pub(super) fn legend(sheet: &mut Sheet, input: &Wiring, sizes: &Sizes, plan: &Plan) -> f64 {
    let left = sizes.edge + 4.0;
    let mut row = Row {
        x: left,
        y: plan.bottom + 34.0,
        left,
        right: plan.width - left,
    };
    scale_bar(sheet, &mut row, plan);
    for kind in [Kind::Power, Kind::Motion, Kind::Air, Kind::Sense, Kind::Show] {
        if input.cables.iter().any(|l| input.devices[l.device].kind == kind) {
            let at = row.item(sheet, 34.0, kind.word(), line_style(kind).0);
            line(sheet, sizes, &[at, Point::new(at.x + 28.0, at.y)], kind);
        }
    }
    ports(sheet, &mut row, input, sizes, plan);
    row.new_line();
    for letters in letters(input) {
        let at = row.item(
            sheet,
            28.0,
            &format!("{letters} {}", colour_words(&letters)),
            "ink",
        );
        coloured(
            sheet,
            &open(&[at, Point::new(at.x + 22.0, at.y)]),
            &letters,
            sizes.wire,
        );
    }
    row.new_line();
    for text in sentences(input, sizes, plan) {
        row.paragraph(sheet, &text);
    }
    row.y - STEP + 12.0
}

/// Items side by side, in as many lines as they need.
struct Row {
    x: f64,
    y: f64,
    left: f64,
    right: f64,
}

impl Row {
    /// A sample of `room` with its words behind it; returns where the sample starts.
    fn item(&mut self, sheet: &mut Sheet, room: f64, words: &str, colour: &'static str) -> Point {
        let words = metrics::cut(words, TEXT, false, self.right - self.left - room);
        let width = room + metrics::width(&words, TEXT, false);
        if self.x > self.left && self.x + width > self.right {
            self.new_line();
        }
        let at = Point::new(self.x, self.y - 4.0);
        sheet.label(Label::new(words, self.x + room, self.y, TEXT).coloured(colour));
        self.x += width + 20.0;
        at
    }

    fn new_line(&mut self) {
        if self.x > self.left {
            self.x = self.left;
            self.y += STEP;
        }
    }

    fn paragraph(&mut self, sheet: &mut Sheet, text: &str) {
        // A line of about a hundred characters reads best.
        let room = (self.right - self.left).min(760.0);
        for line in metrics::wrap(text, TEXT, false, room) {
            sheet.label(Label::new(line, self.left, self.y, TEXT));
            self.y += 15.0;
        }
        self.y += 4.0;
    }
}

fn scale_bar(sheet: &mut Sheet, row: &mut Row, plan: &Plan) {
    let bar = 10.0 * plan.view.scale;
    let at = row.item(sheet, bar + 6.0, "10 mm on the board", "ink");
    sheet.rect(
        &Area::new(at.x, at.y - 3.0, bar / 2.0, 6.0),
        0.0,
        "f-ink s-ink",
        1.0,
    );
    sheet.rect(
        &Area::new(at.x + bar / 2.0, at.y - 3.0, bar / 2.0, 6.0),
        0.0,
        "f-paper s-ink",
        1.0,
    );
}

fn ports(sheet: &mut Sheet, row: &mut Row, input: &Wiring, sizes: &Sizes, plan: &Plan) {
    if plan.sockets.iter().any(|s| s.cables.is_empty()) {
        let at = row.item(sheet, 22.0, "port left free", "quiet");
        sheet.rect(&Area::new(at.x, at.y - 5.0, 16.0, 10.0), 1.5, "n s-rule d", 1.0);
    }
    if sizes.draws_pins && input.board.ports.iter().any(|p| !p.pins.is_empty()) {
        let at = row.item(sheet, 14.0, "pin 1", "ink");
        sheet.rect(&Area::new(at.x, at.y - 3.5, 7.0, 7.0), 0.0, "f-plate s-ink", 1.0);
    }
}

/// Letters in use, in their order of first use.
fn letters(input: &Wiring) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for wire in input.cables.iter().flat_map(|l| &l.wires) {
        if !wire.letters.is_empty() && !found.contains(&wire.letters) {
            found.push(wire.letters.clone());
        }
    }
    found.sort_by_key(|l| (l.len(), l.clone()));
    found
}

/// IEC 60757 in words.
fn colour_words(letters: &str) -> String {
    let words: Option<Vec<&str>> = wire_codes(letters)
        .into_iter()
        .map(|colour| Some(colour?.name))
        .collect();
    words.map_or_else(|| "colour not known".to_owned(), |words| words.join(" and "))
}

fn sentences(input: &Wiring, sizes: &Sizes, plan: &Plan) -> Vec<String> {
    let mut all = Vec::new();
    if sizes.narrow {
        let free: Vec<String> = (0..plan.sockets.len())
            .filter(|i| plan.sockets[*i].cables.is_empty())
            .map(|i| port_title(input, i))
            .collect();
        if !free.is_empty() {
            all.push(format!("Ports left free: {}.", free.join(", ")));
        }
    }
    let unnamed: Vec<&str> = (0..plan.names.len())
        .filter(|i| plan.names[*i].is_empty())
        .map(|i| input.board.ports[i].name.as_str())
        .collect();
    if !unnamed.is_empty() {
        all.push(format!(
            "No room beside their ports had the names {}.",
            unnamed.join(", ")
        ));
    }
    if plan.paths.iter().any(Vec::is_empty) {
        all.push(
            "An arrow head at both ends: no room for the line; port and card name each other.".to_owned(),
        );
    }
    all.extend(input.notes.iter().cloned());
    all
}
