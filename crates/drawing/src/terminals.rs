//! Connectors close up: each port with its pins in their order, what each pin is for, and the colour of the wire that meets it.

use crate::geometry::{Area, Point};
use crate::metrics;
use crate::palette::wire_colours;
use crate::sheet::{Anchor, Head, Label, Layout, Sheet, heading, number};

/// Ports with what is plugged into them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Terminals {
    /// Prefix, title, description.
    pub head: Head,
    /// From where connectors are seen, in a sentence; may be empty.
    pub view: String,
    /// The ports, in the order in which they are read.
    pub terminals: Vec<Terminal>,
}

/// One port with its plug.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Terminal {
    /// The name of the port as printed on the board.
    pub port: String,
    /// The tag tied to the cable.
    pub tag: String,
    /// The device.
    pub device: String,
    /// The pins, pin 1 first.
    pub pins: Vec<TerminalPin>,
    /// What has to be done or fitted here, a line each.
    pub notes: Vec<String>,
}

/// One pin of a port.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TerminalPin {
    /// What it is for: `+`, `-`, `signal`.
    pub function: String,
    /// Colour of the wire that meets it in IEC 60757 letters; `None` where the pin stays free.
    pub wire: Option<String>,
    /// Its place in the old plug where it had another one, from 1.
    pub was: Option<usize>,
    /// Whether a fuse is fitted in this wire.
    pub fuse: bool,
}

/// No lettering is smaller: 1.8 mm high on A3.
const SMALL: f64 = 13.0;
const LARGE: f64 = 15.0;
const GAP: f64 = 8.0;
const PAD: f64 = 8.0;
/// From the upper edge of a connector to its functions (in one line, in two), pins, wires, letters.
const FUNCTIONS: [f64; 2] = [22.0, 40.0];
const PIN: f64 = 22.0;
const WIRE: f64 = 26.0;
const LETTERS: f64 = 18.0;

/// Draws them, in rows.
pub fn terminals(input: &Terminals, layout: Layout) -> String {
    let (sheet, size) = draw(input, layout);
    sheet.finish(&input.head, size, None)
}

fn draw(input: &Terminals, layout: Layout) -> (Sheet, (f64, f64)) {
    let width = match layout {
        Layout::Wide => 1240.0,
        Layout::Narrow => 390.0,
    };
    let mut sheet = Sheet::default();
    let left = 8.0;
    let room = width - 2.0 * left;
    let mut y = if input.head.title.is_empty() {
        4.0
    } else {
        heading(&mut sheet, &input.head, left, room)
    };
    for line in metrics::wrap(&input.view, SMALL, false, room) {
        sheet.label(Label::new(line, left, y + SMALL, SMALL).coloured("quiet"));
        y += 18.0;
    }
    y += GAP;
    let cells: Vec<Cell<'_>> = input.terminals.iter().map(|own| Cell::of(own, room)).collect();
    let (mut x, mut row) = (left, Vec::new());
    let mut rows: Vec<Vec<(f64, &Cell<'_>)>> = Vec::new();
    for cell in &cells {
        if x + cell.width > left + room && !row.is_empty() {
            rows.push(core::mem::take(&mut row));
            x = left;
        }
        row.push((x, cell));
        x += cell.width + GAP;
    }
    rows.extend((!row.is_empty()).then_some(row));
    for row in rows {
        let height = row.iter().map(|(_, cell)| cell.height).fold(0.0, f64::max);
        for (x, cell) in row {
            cell.draw(&mut sheet, &Area::new(x, y, cell.width, height));
        }
        y += height + GAP;
    }
    (sheet, (width, y + 2.0))
}

/// A terminal with its measures.
struct Cell<'t> {
    of: &'t Terminal,
    width: f64,
    height: f64,
    /// Width of one pin.
    pitch: f64,
    /// Pins in one row.
    in_row: usize,
    /// Height of the functions above the pins, and of what stands below them.
    function: f64,
    below: f64,
    device: Vec<String>,
    notes: Vec<String>,
}

impl<'t> Cell<'t> {
    fn of(terminal: &'t Terminal, room: f64) -> Self {
        let word = |pin: &TerminalPin| {
            let widths = pin
                .function
                .split(' ')
                .map(|word| metrics::width(word, SMALL, true));
            widths.fold(0.0, f64::max) + 5.0
        };
        let pitch = terminal.pins.iter().map(word).fold(40.0, f64::max);
        let most = ((room - 2.0 * PAD) / pitch).floor().max(1.0);
        let in_row = terminal.pins.len().clamp(1, most as usize);
        let title = metrics::width(&terminal.tag, LARGE, true)
            + metrics::width(&format!("→ {}", terminal.port), LARGE, true);
        let inner = (pitch * in_row as f64)
            .max(title + 28.0)
            .max(165.0)
            .min(room - 2.0 * PAD);
        let device = metrics::wrap(&terminal.device, SMALL, false, inner);
        let notes: Vec<String> = terminal
            .notes
            .iter()
            .flat_map(|note| metrics::wrap(note, SMALL, false, inner))
            .collect();
        let pin_rows = terminal.pins.len().div_ceil(in_row) as f64;
        let moved = terminal.pins.iter().any(|pin| pin.was.is_some());
        let two = terminal.pins.iter().any(|pin| pin.function.contains(' '));
        let function = FUNCTIONS[usize::from(two)];
        let below = PIN + WIRE + LETTERS + if moved { 16.0 } else { 0.0 } + 4.0;
        let one = function + below;
        Self {
            of: terminal,
            width: inner + 2.0 * PAD,
            height: 28.0 + device.len() as f64 * 17.0 + pin_rows * one + notes.len() as f64 * 17.0 + PAD,
            pitch,
            in_row,
            function,
            below,
            device,
            notes,
        }
    }

    fn draw(&self, sheet: &mut Sheet, area: &Area) {
        sheet.rect(area, 5.0, "f-sheet s-rule", 1.0);
        let left = area.left + PAD;
        let tag = Label::new(self.of.tag.clone(), left + 5.0, area.top + 20.0, LARGE)
            .bold()
            .coloured("paper");
        let around = Area::new(left, area.top + 5.0, tag.width() + 10.0, 21.0);
        sheet.rect(&around, 4.0, "f-ink", 0.0);
        sheet.label(tag);
        let port = format!("→ {}", self.of.port);
        sheet.label(Label::new(port, around.right + 6.0, area.top + 20.0, LARGE).bold());
        let mut y = area.top + 28.0;
        for line in &self.device {
            sheet.label(Label::new(line.clone(), left, y + SMALL, SMALL).coloured("quiet"));
            y += 17.0;
        }
        for (row, pins) in self.of.pins.chunks(self.in_row).enumerate() {
            let body = Area::new(
                left,
                y + self.function - 2.0,
                self.pitch * pins.len() as f64,
                PIN + 4.0,
            );
            sheet.rect(&body, 2.0, "f-socket s-ink", 1.5);
            for (at, pin) in pins.iter().enumerate() {
                let middle = left + (at as f64 + 0.5) * self.pitch;
                self::pin(
                    sheet,
                    pin,
                    row * self.in_row + at + 1,
                    Point::new(middle, y + self.function),
                );
            }
            y += self.function + self.below;
        }
        for line in &self.notes {
            sheet.label(Label::new(line.clone(), left, y + SMALL, SMALL));
            y += 17.0;
        }
    }
}

/// Function above, number inside, wire with its letters below; `at` is the middle of its upper edge.
fn pin(sheet: &mut Sheet, pin: &TerminalPin, number: usize, at: Point) {
    let Point { x, y } = at;
    let words: Vec<String> = pin
        .function
        .split(' ')
        .map(|word| word.replace('-', "−"))
        .collect();
    for (line, word) in words.iter().rev().enumerate() {
        let y = y - 7.0 - line as f64 * 18.0;
        let size = if word.chars().count() == 1 { 17.0 } else { SMALL };
        sheet.label(
            Label::new(word.clone(), x, y, size)
                .bold()
                .anchored(Anchor::Middle),
        );
    }
    let box_ = Area::new(x - 10.0, y + 1.0, 20.0, 20.0);
    if number == 1 {
        sheet.rect(&box_, 0.0, "n s-ink", 2.2);
    } else {
        sheet.circle(box_.middle(), 10.0, "n s-ink", 1.1);
    }
    sheet.label(Label::new(number.to_string(), x, y + 15.5, SMALL).anchored(Anchor::Middle));
    let (from, to) = (y + PIN + 2.0, y + PIN + WIRE - 2.0);
    let below = y + PIN + WIRE + SMALL - 1.0;
    let Some(letters) = &pin.wire else {
        sheet.label(
            Label::new("free", x, below, SMALL)
                .anchored(Anchor::Middle)
                .coloured("quiet"),
        );
        return;
    };
    wire(sheet, letters, x, from, to);
    if pin.fuse {
        // IEC 60617: a rectangle with the conductor through it.
        let around = Area::around(Point::new(x, (from + to) / 2.0), 12.0, 20.0);
        sheet.rect(&around, 0.0, "f-paper s-ink", 1.6);
        sheet.line(
            Point::new(x, around.top),
            Point::new(x, around.bottom),
            "s-ink",
            1.6,
        );
    }
    sheet.label(
        Label::new(letters.clone(), x, below, 14.0)
            .bold()
            .anchored(Anchor::Middle),
    );
    if let Some(was) = pin.was {
        let was = format!("was {was}");
        sheet.label(Label::new(was, x, below + 16.0, SMALL).anchored(Anchor::Middle));
    }
}

/// A wire in its colours within a seam; one of unknown colour is the seam alone, dashed.
fn wire(sheet: &mut Sheet, letters: &str, x: f64, from: f64, to: f64) {
    let d = format!("M{} {}V{}", number(x), number(from), number(to));
    let shades = wire_colours(letters);
    let dashes = if shades.is_empty() { "4 3" } else { "" };
    sheet.dashed(&d, "n s-casing", 9.0, dashes);
    if let Some(first) = shades.first() {
        sheet.shaded(&d, first, 6.0, "");
    }
    if let Some(second) = shades.get(1) {
        sheet.shaded(&d, second, 6.0, "5 5");
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::assert_legible;

    fn port(pins: usize) -> Terminal {
        let functions = ["switched -", "+", "signal", "transmit", "control"];
        let letters = ["BK", "WH", "GNYE", "--", "RD"];
        let pin = |at: usize| TerminalPin {
            function: functions[at % 5].into(),
            wire: (at % 4 != 3).then(|| letters[at % 5].into()),
            was: (at % 2 == 1).then_some(at + 2),
            fuse: at == 1,
        };
        Terminal {
            port: "OUT-EXTRA-1".into(),
            tag: "K17".into(),
            device: "a fan with a name that needs more than one line".into(),
            pins: (0..pins).map(pin).collect(),
            notes: vec![
                "re-pin".into(),
                "fuse 5 A in the plus wire, at the fed end of it".into(),
            ],
        }
    }

    #[test]
    fn nothing_overlaps_or_leaves_the_picture() {
        let input = Terminals {
            head: Head {
                title: "Connectors".into(),
                prefix: "t".into(),
                ..Head::default()
            },
            view: "View onto the header; pin 1 at the left.".into(),
            terminals: (1..=14).map(port).collect(),
        };
        for layout in [Layout::Wide, Layout::Narrow] {
            let (sheet, size) = draw(&input, layout);
            assert_legible(&sheet, size);
            // 1.8 mm at the width that the sheet gives it, 250 mm: capitals are 0.7 of the size.
            if layout == Layout::Wide {
                for label in &sheet.labels {
                    assert!(label.size * 0.7 * 250.0 / size.0 >= 1.8, "{label:?}");
                }
            }
        }
    }

    #[test]
    fn each_pin_says_function_number_and_letters() {
        let input = Terminals {
            terminals: vec![port(3)],
            ..Terminals::default()
        };
        let (sheet, _) = draw(&input, Layout::Narrow);
        let texts: Vec<&str> = sheet.labels.iter().map(|label| label.text.as_str()).collect();
        for word in [
            "K17",
            "→ OUT-EXTRA-1",
            "switched",
            "−",
            "+",
            "signal",
            "1",
            "2",
            "3",
            "BK",
            "WH",
            "GNYE",
            "was 3",
        ] {
            assert!(texts.contains(&word), "{word} in {texts:?}");
        }
        let svg = terminals(&input, Layout::Wide);
        roxmltree::Document::parse(&svg).unwrap();
    }
}
