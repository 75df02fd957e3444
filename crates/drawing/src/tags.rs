//! Wire tags to print, cut out and fold over: one SVG for each A4 page.

use crate::geometry::{Area, Point};
use crate::metrics;
use crate::palette::wire_colours;
use crate::sheet::{Anchor, Head, Label, Sheet};

/// All tags of a swap.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TagSheet {
    /// Prefix, title, description; the prefix gets the page number.
    pub head: Head,
    /// One for each lead.
    pub tags: Vec<Tag>,
}

/// The tag of one lead.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tag {
    /// The tag itself, such as `T07`.
    pub tag: String,
    /// Name of the device.
    pub device: String,
    /// Port of the new board.
    pub port: String,
    /// The wires in the order of the new port's pins: IEC 60757 letters and the pin.
    pub wires: Vec<TagWire>,
}

/// One wire on a tag.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TagWire {
    /// IEC 60757 letters.
    pub letters: String,
    /// Pin of the new port, such as `1 +`.
    pub pin: String,
}

// A4 in millimetres, and a flag: two halves that are folded around the lead and glued back to back.
const PAGE: (f64, f64) = (210.0, 297.0);
const FLAG: (f64, f64) = (94.0, 24.0);
/// The strip that goes around the lead.
const SPINE: f64 = 8.0;
const COLUMNS: usize = 2;
const TOP: f64 = 20.0;

/// Draws the pages.
///
/// Both halves carry the same text, so that a tag reads from either side of the lead; solid lines are cut, dashed
/// lines are folded.
pub fn tags(input: &TagSheet) -> Vec<String> {
    let per_page = COLUMNS * rows();
    let pages: Vec<&[Tag]> = if input.tags.is_empty() {
        vec![&[]]
    } else {
        input.tags.chunks(per_page).collect()
    };
    let count = pages.len();
    let page = |(i, tags): (usize, &&[Tag])| {
        let head = Head {
            prefix: format!("{}-{}", input.head.prefix, i + 1),
            ..input.head.clone()
        };
        draw(&head, tags, i + 1, count).finish(&head, PAGE, Some(PAGE))
    };
    pages.iter().enumerate().map(page).collect()
}

const fn rows() -> usize {
    ((PAGE.1 - TOP - 10.0) / FLAG.1) as usize
}

fn draw(head: &Head, tags: &[Tag], page: usize, pages: usize) -> Sheet {
    let mut sheet = Sheet::default();
    let title = metrics::cut(&head.title, 4.2, true, 150.0);
    sheet.label(Label::new(title, 11.0, 11.0, 4.2).bold());
    sheet.label(Label::new(format!("page {page} of {pages}"), 199.0, 11.0, 3.2).anchored(Anchor::End));
    let how = "Print at 100 %. Cut along the solid lines, lay the strip around the cable, fold at the dashed lines, glue.";
    sheet.label(Label::new(how, 11.0, 16.5, 3.0).coloured("quiet"));
    for (i, tag) in tags.iter().enumerate() {
        let left = 11.0 + (i % COLUMNS) as f64 * FLAG.0;
        let top = TOP + (i / COLUMNS) as f64 * FLAG.1;
        flag(&mut sheet, tag, &Area::new(left, top, FLAG.0, FLAG.1));
    }
    sheet
}

fn flag(sheet: &mut Sheet, tag: &Tag, area: &Area) {
    sheet.rect(area, 0.0, "n s-rule", 0.2);
    let half = (FLAG.0 - SPINE) / 2.0;
    for x in [area.left + half, area.right - half] {
        let class = "s-rule";
        // Dashes in millimetres: the class for dashes counts in pixels.
        let mut y = area.top + 0.6;
        while y + 1.2 < area.bottom {
            sheet.line(Point::new(x, y), Point::new(x, y + 1.2), class, 0.2);
            y += 2.4;
        }
    }
    side(sheet, tag, &Area::new(area.left, area.top, half, FLAG.1));
    side(sheet, tag, &Area::new(area.right - half, area.top, half, FLAG.1));
}

/// One half: tag and port in bold, the device, and the wires.
fn side(sheet: &mut Sheet, tag: &Tag, area: &Area) {
    let room = area.width() - 4.0;
    let left = area.left + 2.0;
    let name = metrics::cut(&tag.tag, 4.6, true, room * 0.45);
    let mark = Label::new(name, left, area.top + 5.4, 4.6).bold();
    let port_room = area.right - 2.0 - mark.bounds().right - 2.0;
    sheet.label(mark);
    let port = metrics::cut(&format!("→ {}", tag.port), 3.6, true, port_room);
    sheet.label(
        Label::new(port, area.right - 2.0, area.top + 5.4, 3.6)
            .bold()
            .anchored(Anchor::End),
    );
    sheet.label(Label::new(
        metrics::cut(&tag.device, 2.9, false, room),
        left,
        area.top + 9.4,
        2.9,
    ));
    wires(sheet, tag, left, area.top + 13.0, room);
}

fn wires(sheet: &mut Sheet, tag: &Tag, left: f64, top: f64, room: f64) {
    // One column for up to four wires, two for up to eight; more are counted, not squeezed.
    let columns = if tag.wires.len() > ROWS { 2 } else { 1 };
    let shown = if tag.wires.len() > 2 * ROWS {
        2 * ROWS - 1
    } else {
        tag.wires.len()
    };
    let column = room / columns as f64;
    let place = |i: usize| (left + (i / ROWS) as f64 * column, top + (i % ROWS) as f64 * 3.15);
    for (i, wire) in tag.wires.iter().take(shown).enumerate() {
        let (x, y) = place(i);
        swatch(sheet, &wire.letters, x, y - 0.9);
        let text = metrics::cut(
            &format!("{} {}", wire.letters, wire.pin),
            2.7,
            false,
            column - 6.0,
        );
        sheet.label(Label::new(text, x + 5.2, y, 2.7));
    }
    if shown < tag.wires.len() {
        let (x, y) = place(shown);
        let more = format!("and {} more", tag.wires.len() - shown);
        sheet.label(Label::new(more, x + 5.2, y, 2.7).coloured("quiet"));
    }
}

/// Wires below each other.
const ROWS: usize = 4;

fn swatch(sheet: &mut Sheet, letters: &str, x: f64, y: f64) {
    let shades = wire_colours(letters);
    let area = Area::new(x, y - 0.7, 4.2, 1.4);
    sheet.rect(&area, 0.0, "f-paper", 0.0);
    let share = area.width() / shades.len().max(1) as f64;
    for (i, shade) in shades.iter().enumerate() {
        let part = Area::new(x + i as f64 * share, area.top, share, 1.4);
        sheet.filled(&part, shade);
    }
    sheet.rect(&area, 0.0, "n s-casing", 0.25);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::assert_legible;

    fn tag(i: usize, wires: usize) -> Tag {
        let letters = ["BK", "RD", "BU", "GNYE", "WH", "OG", "VT", "YE"];
        let wires = (0..wires)
            .map(|w| TagWire {
                letters: letters[w % 8].into(),
                pin: format!("{} long pin name", w + 1),
            })
            .collect();
        Tag {
            tag: format!("T{i:02}"),
            device: "Part cooling fan, left duct, invented".into(),
            port: "FAN-AUX-1".into(),
            wires,
        }
    }

    #[test]
    fn every_tag_is_on_exactly_one_page() {
        let tags_in: Vec<Tag> = (0..50).map(|i| tag(i, i % 11)).collect();
        let pages = tags(&TagSheet {
            head: Head {
                prefix: "t".into(),
                ..Head::default()
            },
            tags: tags_in,
        });
        assert_eq!(pages.len(), 50_usize.div_ceil(COLUMNS * rows()));
        let all = pages.concat();
        for i in 0..50 {
            // Twice: once on each half of the flag.
            assert_eq!(all.matches(&format!(">T{i:02}<")).count(), 2, "T{i:02}");
        }
        for page in &pages {
            let tree = roxmltree::Document::parse(page).unwrap();
            assert_eq!(tree.root_element().attribute("width"), Some("210mm"));
        }
    }

    #[test]
    fn texts_stay_apart_and_on_the_page() {
        let tags: Vec<Tag> = (0..COLUMNS * rows()).map(|i| tag(i, i % 11)).collect();
        let head = Head {
            title: "Tags".into(),
            ..Head::default()
        };
        assert_legible(&draw(&head, &tags, 1, 1), PAGE);
    }
}
