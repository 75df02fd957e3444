//! The sheet a picture is drawn on: shapes, texts with their boxes, and the frame that makes an SVG of them.

use maud::{Markup, PreEscaped, html};

use crate::geometry::{Area, Point};
use crate::{metrics, palette};

/// What every picture is told: how to keep its identifiers apart from others on the same page, and what it shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Head {
    /// Prefix of every `id`; different for each picture of a page. Letters, digits and hyphens.
    pub prefix: String,
    /// Short title; drawn, and read out by screen readers.
    pub title: String,
    /// What the picture shows, in a sentence or two, for those who cannot see it.
    pub description: String,
}

/// For which width a picture is laid out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Layout {
    /// A desk screen of 1400 px, or A4 landscape.
    #[default]
    Wide,
    /// A phone of 390 px.
    Narrow,
}

/// How bad a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Stops the swap.
    Blocker,
    /// Works, with a risk or a condition.
    Caution,
    /// Worth knowing.
    Note,
    /// Holds in the worst case.
    Pass,
}

impl Verdict {
    /// The word that stands beside the mark.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Blocker => "blocker",
            Self::Caution => "action required",
            Self::Note => "note",
            Self::Pass => "pass",
        }
    }
    /// The name of its colour.
    pub const fn colour(self) -> &'static str {
        match self {
            Self::Caution => "caution",
            other => other.word(),
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// One line of text, with the box that it needs at most.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Label {
    pub text: String,
    /// Where the base line starts, has its middle or ends.
    pub at: Point,
    pub size: f64,
    pub bold: bool,
    pub anchor: Anchor,
    pub colour: &'static str,
    /// Turned to read from bottom to top.
    pub upright: bool,
    /// Lies over lines: a seam of paper keeps it legible.
    pub seam: bool,
}

impl Label {
    pub fn new(text: impl Into<String>, x: f64, y: f64, size: f64) -> Self {
        Self {
            text: text.into(),
            at: Point::new(x, y),
            size,
            bold: false,
            anchor: Anchor::Start,
            colour: "ink",
            upright: false,
            seam: false,
        }
    }

    pub const fn bold(mut self) -> Self {
        self.bold = true;
        self
    }

    pub const fn seamed(mut self) -> Self {
        self.seam = true;
        self
    }

    pub const fn anchored(mut self, anchor: Anchor) -> Self {
        self.anchor = anchor;
        self
    }

    pub const fn coloured(mut self, colour: &'static str) -> Self {
        self.colour = colour;
        self
    }

    pub fn width(&self) -> f64 {
        metrics::width(&self.text, self.size, self.bold)
    }

    pub fn bounds(&self) -> Area {
        let width = self.width();
        let before = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => width / 2.0,
            Anchor::End => width,
        };
        let (up, down) = (metrics::ASCENT * self.size, metrics::DESCENT * self.size);
        let Point { x, y } = self.at;
        if self.upright {
            return Area {
                left: x - up,
                right: x + down,
                top: y - (width - before),
                bottom: y + before,
            };
        }
        Area {
            left: x - before,
            right: x - before + width,
            top: y - up,
            bottom: y + down,
        }
    }

    fn markup(&self) -> Markup {
        let anchor = match self.anchor {
            Anchor::Start => None,
            Anchor::Middle => Some("middle"),
            Anchor::End => Some("end"),
        };
        let colour = (self.colour != "ink").then(|| format!("f-{}", self.colour));
        let classes = [
            colour,
            self.bold.then(|| "b".to_owned()),
            self.seam.then(|| "m".to_owned()),
        ];
        let classes: Vec<String> = classes.into_iter().flatten().collect();
        let class = (!classes.is_empty()).then(|| classes.join(" "));
        let (x, y) = (number(self.at.x), number(self.at.y));
        let turn = self.upright.then(|| format!("rotate(-90 {x} {y})"));
        html! {
            text x=(x) y=(y) font-size=(number(self.size)) text-anchor=[anchor] class=[class] transform=[turn] {
                (self.text)
            }
        }
    }
}

/// What has been drawn so far: shapes below, texts above them.
#[derive(Default)]
pub(crate) struct Sheet {
    shapes: Vec<Markup>,
    pub labels: Vec<Label>,
    /// Where marks of verdicts are.
    pub marks: Vec<Area>,
}

impl Sheet {
    pub fn shape(&mut self, shape: Markup) {
        self.shapes.push(shape);
    }

    /// Draws below everything so far: for grids whose extent is known only at the end.
    pub fn behind(&mut self, draw: impl FnOnce(&mut Self)) {
        let mut back = Self::default();
        draw(&mut back);
        self.shapes.splice(0..0, back.shapes);
        self.labels.extend(back.labels);
        self.marks.extend(back.marks);
    }

    pub fn label(&mut self, label: Label) {
        if !label.text.is_empty() {
            self.labels.push(label);
        }
    }

    pub fn line(&mut self, from: Point, to: Point, class: &str, stroke: f64) {
        self.shape(html! {
            line x1=(number(from.x)) y1=(number(from.y)) x2=(number(to.x)) y2=(number(to.y))
                class=(class) stroke-width=(number(stroke)) {}
        });
    }

    pub fn rect(&mut self, area: &Area, radius: f64, class: &str, stroke: f64) {
        let width = (stroke > 0.0).then(|| number(stroke));
        let rx = (radius > 0.0).then(|| number(radius));
        self.shape(html! {
            rect x=(number(area.left)) y=(number(area.top)) width=(number(area.width()))
                height=(number(area.height())) rx=[rx] class=(class) stroke-width=[width] {}
        });
    }

    pub fn circle(&mut self, at: Point, radius: f64, class: &str, stroke: f64) {
        let width = (stroke > 0.0).then(|| number(stroke));
        self.shape(html! {
            circle cx=(number(at.x)) cy=(number(at.y)) r=(number(radius)) class=(class) stroke-width=[width] {}
        });
    }

    pub fn path(&mut self, d: &str, class: &str, stroke: f64) {
        let width = (stroke > 0.0).then(|| number(stroke));
        self.shape(html! { path d=(d) class=(class) stroke-width=[width] {} });
    }

    /// A path with dashes of its own; an empty text gives a solid one.
    pub fn dashed(&mut self, d: &str, class: &str, stroke: f64, dashes: &str) {
        let dashes = (!dashes.is_empty()).then_some(dashes);
        self.shape(html! {
            path d=(d) class=(class) stroke-width=(number(stroke)) stroke-dasharray=[dashes] {}
        });
    }

    /// A line in a shade of its own: a wire.
    pub fn shaded(&mut self, d: &str, shade: &str, stroke: f64, dashes: &str) {
        let dashes = (!dashes.is_empty()).then_some(dashes);
        self.shape(html! {
            path d=(d) class="n r" stroke=(shade) stroke-width=(number(stroke)) stroke-dasharray=[dashes] {}
        });
    }

    /// A box in a shade of its own: the colour of a wire.
    pub fn filled(&mut self, area: &Area, shade: &str) {
        self.shape(html! {
            rect x=(number(area.left)) y=(number(area.top)) width=(number(area.width()))
                height=(number(area.height())) fill=(shade) {}
        });
    }

    /// The mark of a verdict, about 14 px wide around `at`: each has a shape of its own.
    pub fn verdict(&mut self, verdict: Verdict, at: Point) {
        let Point { x, y } = at;
        let n = number;
        self.marks.push(Area::around(at, 14.0, 14.0));
        match verdict {
            Verdict::Blocker => {
                let (a, b) = (2.9, 7.0);
                let corners = [
                    (-a, -b),
                    (a, -b),
                    (b, -a),
                    (b, a),
                    (a, b),
                    (-a, b),
                    (-b, a),
                    (-b, -a),
                ];
                self.path(
                    &closed(&corners.map(|(dx, dy)| Point::new(x + dx, y + dy))),
                    "f-blocker",
                    0.0,
                );
                self.path(
                    &format!(
                        "M{} {}L{} {}M{} {}L{} {}",
                        n(x - 3.0),
                        n(y - 3.0),
                        n(x + 3.0),
                        n(y + 3.0),
                        n(x + 3.0),
                        n(y - 3.0),
                        n(x - 3.0),
                        n(y + 3.0)
                    ),
                    "n s-paper r",
                    2.0,
                );
            }
            Verdict::Caution => {
                let corners = [(0.0, -7.0), (7.5, 6.0), (-7.5, 6.0)];
                self.path(
                    &closed(&corners.map(|(dx, dy)| Point::new(x + dx, y + dy))),
                    "f-caution",
                    0.0,
                );
                self.line(Point::new(x, y - 2.5), Point::new(x, y + 1.5), "s-paper r", 1.8);
                self.circle(Point::new(x, y + 4.1), 1.0, "f-paper", 0.0);
            }
            Verdict::Note => {
                self.rect(&Area::around(at, 12.5, 12.5), 1.5, "n s-note", 1.8);
                self.circle(Point::new(x, y - 3.2), 1.1, "f-note", 0.0);
                self.line(Point::new(x, y - 0.4), Point::new(x, y + 3.6), "s-note r", 1.8);
            }
            Verdict::Pass => {
                self.circle(at, 7.0, "n s-pass", 1.8);
                self.path(
                    &format!(
                        "M{} {}L{} {}L{} {}",
                        n(x - 3.2),
                        n(y + 0.2),
                        n(x - 0.8),
                        n(y + 2.8),
                        n(x + 3.4),
                        n(y - 2.6)
                    ),
                    "n s-pass r",
                    1.8,
                );
            }
        }
    }

    /// The finished SVG. `size` is in the units of the view box; `print_mm` fixes the printed size.
    pub fn finish(self, head: &Head, size: (f64, f64), print_mm: Option<(f64, f64)>) -> String {
        let (width, height) = (number(size.0), number(size.1));
        let shapes: String = self.shapes.into_iter().map(|m| m.0).collect();
        let texts: String = self.labels.iter().map(|l| l.markup().0).collect();
        // The paper is a shape like any other: without it in the body a plot of bare lines would lose its colour, and be black.
        let paper = html! { rect class="f-paper" width=(width) height=(height) {} }.0;
        let body = format!("{paper}{shapes}{texts}");
        let (title_id, text_id) = (format!("{}-title", head.prefix), format!("{}-desc", head.prefix));
        let (wide, high) = match print_mm {
            Some((w, h)) => (format!("{}mm", number(w)), format!("{}mm", number(h))),
            None => (width.clone(), height.clone()),
        };
        html! {
            svg xmlns="http://www.w3.org/2000/svg" class="dwg" role="img" id=(head.prefix)
                width=(wide) height=(high) viewBox=(format!("0 0 {width} {height}"))
                aria-labelledby=(format!("{title_id} {text_id}")) {
                title id=(title_id) { (head.title) }
                desc id=(text_id) { (head.description) }
                style { (PreEscaped(palette::style(&body, print_mm.is_some()))) }
                (PreEscaped(body))
            }
        }
        .into_string()
    }
}

/// A coordinate as text: two decimals at most, no trailing zeros, no minus zero.
pub(crate) fn number(value: f64) -> String {
    // Through an integer, so that no platform's way of printing a float gets a say.
    let hundredths = (value * 100.0).round() as i64;
    let (sign, hundredths) = (if hundredths < 0 { "-" } else { "" }, hundredths.abs());
    let (whole, rest) = (hundredths / 100, hundredths % 100);
    match rest {
        0 => format!("{sign}{whole}"),
        r if r % 10 == 0 => format!("{sign}{whole}.{}", r / 10),
        r => format!("{sign}{whole}.{r:02}"),
    }
}

/// A closed shape through the points.
pub(crate) fn closed(points: &[Point]) -> String {
    format!("{}Z", open(points))
}

/// An open line through the points.
pub(crate) fn open(points: &[Point]) -> String {
    let mut d = String::new();
    for (i, p) in points.iter().enumerate() {
        let letter = if i == 0 { 'M' } else { 'L' };
        d.push_str(&format!("{letter}{} {}", number(p.x), number(p.y)));
    }
    d
}

/// The title line of a picture; returns the y below it.
pub(crate) fn heading(sheet: &mut Sheet, head: &Head, left: f64, width: f64) -> f64 {
    let size = if width < 500.0 { 15.0 } else { 18.0 };
    let mut y = 12.0;
    for line in metrics::wrap(&head.title, size, true, width) {
        y += size * 1.25;
        sheet.label(Label::new(line, left, y - size * 0.25, size).bold());
    }
    y + 6.0
}

/// Fails where a text of a sheet overlaps another or a mark, or leaves the picture.
#[cfg(test)]
pub(crate) fn assert_legible(sheet: &Sheet, size: (f64, f64)) {
    let whole = Area::new(0.0, 0.0, size.0, size.1);
    for (i, a) in sheet.labels.iter().enumerate() {
        let bounds = a.bounds();
        assert!(
            whole.contains(&bounds),
            "'{}' leaves the picture: {bounds:?} in {whole:?}",
            a.text
        );
        for b in &sheet.labels[i + 1..] {
            assert!(
                !bounds.overlaps(&b.bounds()),
                "'{}' {bounds:?} overlaps '{}' {:?}",
                a.text,
                b.text,
                b.bounds()
            );
        }
        for mark in &sheet.marks {
            assert!(
                !bounds.overlaps(mark),
                "'{}' {bounds:?} overlaps a mark {mark:?}",
                a.text
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_plain() {
        let cases = [
            (0.0, "0"),
            (-0.001, "0"),
            (1.5, "1.5"),
            (-2.05, "-2.05"),
            (7.456, "7.46"),
            (12.999, "13"),
        ];
        for (value, text) in cases {
            assert_eq!(number(value), text);
        }
    }

    #[test]
    fn bounds_follow_the_anchor() {
        let at = |anchor| Label::new("ABC", 100.0, 50.0, 10.0).anchored(anchor).bounds();
        let width = at(Anchor::Start).width();
        assert_eq!(at(Anchor::Start).left, 100.0);
        assert_eq!(at(Anchor::End).right, 100.0);
        assert!((at(Anchor::Middle).middle().x - 100.0).abs() < 1e-9);
        let upright = Label {
            upright: true,
            ..Label::new("ABC", 100.0, 50.0, 10.0)
        }
        .bounds();
        assert!((upright.height() - width).abs() < 1e-9 && upright.bottom == 50.0);
    }

    #[test]
    fn text_from_outside_is_escaped_and_identifiers_take_the_prefix() {
        let mut sheet = Sheet::default();
        sheet.label(Label::new("<b> & \"c\"", 10.0, 20.0, 10.0));
        let head = Head {
            prefix: "p1".into(),
            title: "A < B".into(),
            description: "C & D".into(),
        };
        let svg = sheet.finish(&head, (100.0, 50.0), None);
        let tree = roxmltree::Document::parse(&svg).unwrap();
        let texts: Vec<_> = tree.descendants().filter_map(|n| n.text()).collect();
        assert!(texts.contains(&"<b> & \"c\"") && texts.contains(&"A < B") && texts.contains(&"C & D"));
        let ids = tree.descendants().filter_map(|n| n.attribute("id"));
        assert!(ids.into_iter().all(|id| id.starts_with("p1")));
    }
}
