//! The names of lines, dots and areas at what they name: beside it where there is room, else at the end of a leader.
//!
//! Each name carries a piece of its line in front, since two lines may run side by side. A greedy choice among places, each of which is looked
//! up in sums over a grid of what is drawn. Where some name finds none, the caller gives more room above the axes, and asks again.

use super::{Along, Band, Frame, Plot, stroke, thinned};
use crate::geometry::{Area, Point};
use crate::metrics;
use crate::sheet::{Label, Sheet, open};

/// Size of the letters, and from line to line.
const SIZE: f64 = 11.0;
pub(super) const LINE: f64 = 14.0;
/// The piece of a line in front of its name, with the gap behind it.
const KEY: f64 = 24.0;
/// Edge of a cell of the grid.
const CELL: f64 = 2.0;
/// No leader is longer.
const LONGEST: f64 = 240.0;
/// A leader ends where no other line is nearer.
const APART: f64 = 6.0;

/// What is named.
#[derive(Clone, Copy)]
enum Shape<'a> {
    Line(usize),
    Dots(usize),
    Band(&'a Band),
}

/// A name with its place.
pub(super) struct Name<'a> {
    shape: Shape<'a>,
    labels: Vec<Label>,
    /// Letters with the piece of line in front.
    bounds: Area,
    /// From the name to its line.
    leader: Option<[Point; 2]>,
}

impl Name<'_> {
    pub(super) fn draw(self, sheet: &mut Sheet) {
        if let Some([from, to]) = self.leader {
            sheet.line(from, to, "s-ink", 0.8);
            sheet.circle(to, 1.8, "f-ink", 0.0);
        }
        let (left, y) = (self.bounds.left, self.bounds.top + SIZE * metrics::ASCENT - 4.0);
        match self.shape {
            Shape::Line(at) => stroke(
                sheet,
                &open(&[Point::new(left, y), Point::new(left + KEY - 4.0, y)]),
                at,
            ),
            // A mark in front of the name would be taken for a reading.
            Shape::Dots(_) => {}
            Shape::Band(_) => sheet.rect(
                &Area::new(left, y - 5.0, KEY - 4.0, 10.0),
                0.0,
                "f-plate s-rule",
                0.8,
            ),
        }
        self.labels.into_iter().for_each(|label| sheet.label(label));
    }
}

/// Places for all names, clear of what is drawn and of `others`; none where one finds no place. `last` takes any free place for those.
pub(super) fn places<'a>(
    input: &'a Plot,
    frame: &Frame,
    others: &[Label],
    last: bool,
) -> Option<Vec<Name<'a>>> {
    let whole = Area {
        left: frame.area.left + 4.0,
        top: frame.area.top - frame.head,
        ..frame.area
    };
    let mut room = Room::of(input, frame, others, whole);
    let series = input.series.iter().enumerate().map(|(at, series)| {
        let shape = if series.dots {
            Shape::Dots(at)
        } else {
            Shape::Line(at)
        };
        (shape, &series.name)
    });
    let bands = input.bands.iter().map(|band| (Shape::Band(band), &band.name));
    let mut out = Vec::new();
    for (shape, name) in series.chain(bands) {
        let points = outline(input, frame, shape);
        if name.is_empty() || points.is_empty() {
            continue;
        }
        let texts = wrappings(name, whole.width());
        let found = room
            .beside(shape, &points, &texts)
            .or_else(|| room.led(shape, &points, &texts))
            .or_else(|| last.then(|| room.anywhere(shape, &texts)).flatten())?;
        room.taken.push(found.bounds.grown(2.0));
        out.push(found);
    }
    Some(out)
}

/// The points of what is named, on the drawing.
fn outline(input: &Plot, frame: &Frame, shape: Shape<'_>) -> Vec<Point> {
    match shape {
        Shape::Line(at) | Shape::Dots(at) => {
            let points = input.series[at].points.iter();
            let points = points.filter(|point| point.iter().all(|own| own.is_finite()));
            points.map(|point| frame.point(point[0], point[1])).collect()
        }
        Shape::Band(band) => {
            let points = band.points.iter();
            let points = points.filter(|point| point.iter().all(|own| own.is_finite()));
            // Its middle, where a name lies in it, and its edges.
            let points = points
                .flat_map(|[x, low, high]| [low.midpoint(*high), *low, *high].map(|y| frame.point(*x, y)));
            points.collect()
        }
    }
}

/// A name in one line, and broken into several, as far as it then gets narrower.
fn wrappings(name: &str, width: f64) -> Vec<Vec<String>> {
    let mut out: Vec<Vec<String>> = Vec::new();
    for room in [width * 0.62, 170.0, 120.0, 90.0] {
        let lines = metrics::wrap(name, SIZE, false, room.min(width - KEY - 4.0));
        if out.last() != Some(&lines) {
            out.push(lines);
        }
    }
    out
}

/// What is drawn, in cells, and what else is in the way.
struct Room<'f> {
    frame: &'f Frame,
    whole: Area,
    /// Cells of all series, and of each by itself.
    all: Cells,
    own: Vec<Cells>,
    /// Cells of the edges of areas, which words keep off.
    edges: Cells,
    taken: Vec<Area>,
}

impl<'f> Room<'f> {
    fn of(input: &Plot, frame: &'f Frame, others: &[Label], whole: Area) -> Self {
        // What lies on an axis counts too.
        let drawn = Area {
            left: frame.area.left,
            ..whole
        }
        .grown(6.0);
        let mut own = Vec::new();
        let mut all = Cells::new(drawn);
        let mut edges = Cells::new(drawn);
        for band in &input.bands {
            for points in band_edges(frame, band) {
                points.windows(2).for_each(|ends| edges.line(ends[0], ends[1]));
            }
        }
        for series in &input.series {
            let mut cells = Cells::new(drawn);
            for run in series.points.split(|p| p.iter().any(|v| !v.is_finite())) {
                let run: Vec<Point> = run.iter().map(|p| frame.point(p[0], p[1])).collect();
                if series.dots {
                    run.iter()
                        .for_each(|at| cells.box_of(&Area::around(*at, 9.0, 9.0)));
                } else {
                    let run = thinned(&run);
                    run.windows(2).for_each(|ends| cells.line(ends[0], ends[1]));
                    run.first().into_iter().for_each(|at| cells.point(*at));
                }
            }
            all.add(&cells);
            own.push(cells.summed());
        }
        let mut taken: Vec<Area> = others.iter().map(|label| label.bounds().grown(2.0)).collect();
        for mark in &input.marks {
            let at = match mark.along {
                Along::X => frame.point(mark.at, frame.y.low).x,
                Along::Y => frame.point(frame.x.low, mark.at).y,
            };
            taken.push(match mark.along {
                Along::X => Area {
                    left: at - 2.0,
                    right: at + 2.0,
                    ..frame.area
                },
                Along::Y => Area {
                    top: at - 1.5,
                    bottom: at + 1.5,
                    ..frame.area
                },
            });
        }
        Self {
            frame,
            whole,
            all: all.summed(),
            edges: edges.summed(),
            own,
            taken,
        }
    }

    fn is_free(&self, bounds: &Area) -> bool {
        self.whole.contains(bounds)
            && self.all.within(&bounds.grown(2.0)) == 0
            && self.edges.within(bounds) == 0
            && !self.taken.iter().any(|own| own.overlaps(bounds))
    }

    /// How much of other series lies in a box.
    fn of_others(&self, shape: Shape<'_>, area: &Area) -> u32 {
        let own = match shape {
            Shape::Line(at) | Shape::Dots(at) => self.own[at].within(area),
            Shape::Band(_) => 0,
        };
        self.all.within(area).saturating_sub(own)
    }

    /// A place right beside what is named.
    fn beside<'a>(&self, shape: Shape<'a>, points: &[Point], texts: &[Vec<String>]) -> Option<Name<'a>> {
        let mut best: Option<(f64, Area, &Vec<String>)> = None;
        let (first, last) = (points[0].x, points[points.len() - 1].x);
        for lines in texts {
            let (width, height) = size(shape, lines);
            for step in 1..20 {
                let share = f64::from(step) / 20.0;
                for near in nearest(points, first + (last - first) * share) {
                    for bounds in around(shape, near, width, height) {
                        if !self.is_free(&bounds) {
                            continue;
                        }
                        let crowd = self.of_others(shape, &bounds.grown(9.0)) > 0;
                        let cost = 10.0 * (share - 0.8).abs()
                            + 4.0 * lines.len() as f64
                            + if crowd { 12.0 } else { 0.0 };
                        if best.is_none_or(|(least, _, _)| cost < least) {
                            best = Some((cost, bounds, lines));
                        }
                    }
                }
            }
        }
        best.map(|(_, bounds, lines)| named(shape, bounds, lines, None))
    }

    /// A free place with a leader to a point that no other line is near.
    fn led<'a>(&self, shape: Shape<'a>, points: &[Point], texts: &[Vec<String>]) -> Option<Name<'a>> {
        let (first, last) = (points[0].x, points[points.len() - 1].x);
        let ends = (0..=32).flat_map(|step| nearest(points, first + (last - first) * f64::from(step) / 32.0));
        let mut ends: Vec<Point> = ends.collect();
        ends.dedup();
        // Where it runs along others all the way, its own dashes in front of the name have to tell.
        let crowd = |at: &Point, near: f64| self.of_others(shape, &Area::around(*at, 2.0 * near, 2.0 * near));
        let alone = [APART, APART / 2.0, 1.0]
            .into_iter()
            .find(|near| ends.iter().any(|at| crowd(at, *near) == 0));
        if let Some(near) = alone {
            ends.retain(|at| crowd(at, near) == 0);
        }
        let mut best: Option<(f64, Area, &Vec<String>, [Point; 2])> = None;
        for lines in texts {
            let (width, height) = size(shape, lines);
            let (across, down) = (self.whole.width() - width, self.whole.height() - height);
            let mut top = 0.0;
            while top <= down {
                let mut left = 0.0;
                while left <= across {
                    let bounds = Area::new(self.whole.left + left, self.whole.top + top, width, height);
                    left += 9.0;
                    if !self.is_free(&bounds) {
                        continue;
                    }
                    for end in &ends {
                        let from = Point::new(
                            end.x.clamp(bounds.left, bounds.right),
                            end.y.clamp(bounds.top, bounds.bottom),
                        );
                        let length = (from.x - end.x).hypot(from.y - end.y);
                        let cost = length + 5.0 * lines.len() as f64;
                        let beaten = best.as_ref().is_some_and(|(least, ..)| *least <= cost);
                        if beaten || !(4.0..=LONGEST).contains(&length) {
                            continue;
                        }
                        let Some(crossed) = self.crossed(shape, from, *end) else {
                            continue;
                        };
                        let cost = cost + 14.0 * crossed;
                        if best.as_ref().is_none_or(|(least, ..)| cost < *least) {
                            best = Some((cost, bounds, lines, [from, *end]));
                        }
                    }
                }
                top += 7.0;
            }
        }
        best.map(|(_, bounds, lines, leader)| named(shape, bounds, lines, Some(leader)))
    }

    /// How many times a leader crosses other lines; none where it runs over words.
    fn crossed(&self, shape: Shape<'_>, from: Point, to: Point) -> Option<f64> {
        let steps = ((from.x - to.x).hypot(from.y - to.y) / CELL).ceil().max(1.0);
        let (mut crossings, mut inside) = (0.0, false);
        let mut at = 0.0;
        while at <= steps {
            let share = at / steps;
            let here = Point::new(from.x + (to.x - from.x) * share, from.y + (to.y - from.y) * share);
            let spot = Area::around(here, 1.0, 1.0);
            let words = |own: &&Area| own.overlaps(&spot) && own.height() > 6.0 && own.width() > 6.0;
            if self.taken.iter().any(|own| words(&own)) {
                return None;
            }
            let on = self.of_others(shape, &spot) > 0;
            crossings += f64::from(u8::from(on && !inside));
            (inside, at) = (on, at + 1.0);
        }
        Some(crossings)
    }

    /// The first free row above the axes.
    fn anywhere<'a>(&self, shape: Shape<'a>, texts: &[Vec<String>]) -> Option<Name<'a>> {
        let lines = texts.first()?;
        let (width, height) = size(shape, lines);
        let rows = std::iter::successors(Some(self.whole.top), |top| Some(top + LINE));
        let rows = rows.take_while(|top| top + height <= self.frame.area.top + height);
        let mut places = rows.map(|top| Area::new(self.whole.left, top, width, height));
        let bounds = places.find(|bounds| self.is_free(bounds))?;
        Some(named(shape, bounds, lines, None))
    }
}

/// The room for the piece of line or area in front of a name; dots stand for themselves.
const fn key(shape: Shape<'_>) -> f64 {
    match shape {
        Shape::Dots(_) => 0.0,
        Shape::Line(_) | Shape::Band(_) => KEY,
    }
}

fn size(shape: Shape<'_>, lines: &[String]) -> (f64, f64) {
    let width = lines.iter().map(|line| metrics::width(line, SIZE, false));
    let letters = SIZE * (metrics::ASCENT + metrics::DESCENT);
    let height = letters + LINE * (lines.len().max(1) - 1) as f64;
    (key(shape) + width.fold(0.0, f64::max), height)
}

fn named<'a>(shape: Shape<'a>, bounds: Area, lines: &[String], leader: Option<[Point; 2]>) -> Name<'a> {
    let base = bounds.top + SIZE * metrics::ASCENT;
    let label = |(row, line): (usize, &String)| {
        Label::new(
            line.clone(),
            bounds.left + key(shape),
            base + LINE * row as f64,
            SIZE,
        )
    };
    Name {
        shape,
        labels: lines.iter().enumerate().map(label).collect(),
        bounds,
        leader,
    }
}

/// The lower and the upper edge of an area, on the drawing.
fn band_edges(frame: &Frame, band: &Band) -> [Vec<Point>; 2] {
    let finite = band.points.iter().filter(|p| p.iter().all(|v| v.is_finite()));
    let finite: Vec<&[f64; 3]> = finite.collect();
    [1, 2].map(|edge| finite.iter().map(|p| frame.point(p[0], p[edge])).collect())
}

/// The boxes right beside a point: above, below, behind and before it; on it for what lies in an area.
fn around(shape: Shape<'_>, near: Point, width: f64, height: f64) -> Vec<Area> {
    let (x, y) = (near.x, near.y);
    let dots = if matches!(shape, Shape::Dots(_)) { 2.0 } else { 0.0 };
    let mut corners = vec![
        (x - width / 2.0, y - 5.0 - dots - height),
        (x - width / 2.0, y + 5.0 + dots),
        (x + 6.0 + dots, y - height / 2.0),
        (x - width - 6.0 - dots, y - height / 2.0),
    ];
    if matches!(shape, Shape::Band(_)) {
        corners.insert(0, (x - width / 2.0, y - height / 2.0));
    }
    let corners = corners.into_iter();
    corners
        .map(|(left, top)| Area::new(left, top, width, height))
        .collect()
}

/// The points nearest to a place on the level: several where some stand above each other.
fn nearest(points: &[Point], x: f64) -> impl Iterator<Item = Point> {
    let near = points
        .iter()
        .min_by(|a, b| (a.x - x).abs().total_cmp(&(b.x - x).abs()));
    let at = near.map_or(x, |near| near.x);
    points.iter().filter(move |point| point.x == at).copied().take(3)
}

/// A grid over the picture; once summed, how many cells of a box are drawn on.
struct Cells {
    area: Area,
    columns: usize,
    rows: usize,
    /// One column and row more than there are cells.
    counts: Vec<u32>,
}

impl Cells {
    fn new(area: Area) -> Self {
        let cells = |length: f64| (length / CELL).ceil().max(1.0) as usize;
        let (columns, rows) = (cells(area.width()), cells(area.height()));
        Self {
            area,
            columns,
            rows,
            counts: vec![0; (columns + 1) * (rows + 1)],
        }
    }

    fn column(&self, x: f64) -> usize {
        (((x - self.area.left) / CELL).max(0.0) as usize).min(self.columns)
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.area.top) / CELL).max(0.0) as usize).min(self.rows)
    }

    fn point(&mut self, at: Point) {
        let (column, row) = (self.column(at.x), self.row(at.y));
        if column < self.columns && row < self.rows {
            self.counts[(row + 1) * (self.columns + 1) + column + 1] = 1;
        }
    }

    fn line(&mut self, from: Point, to: Point) {
        let length = (from.x - to.x).abs().max((from.y - to.y).abs());
        let steps = (length / (CELL / 2.0)).ceil().max(1.0);
        let mut at = 0.0;
        while at <= steps {
            let share = at / steps;
            self.point(Point::new(
                from.x + (to.x - from.x) * share,
                from.y + (to.y - from.y) * share,
            ));
            at += 1.0;
        }
    }

    fn box_of(&mut self, area: &Area) {
        let mut y = area.top;
        while y <= area.bottom {
            self.line(Point::new(area.left, y), Point::new(area.right, y));
            y += CELL / 2.0;
        }
    }

    fn add(&mut self, other: &Self) {
        for (own, more) in self.counts.iter_mut().zip(&other.counts) {
            *own += more;
        }
    }

    /// Each number becomes that of everything above and to the left.
    fn summed(mut self) -> Self {
        let wide = self.columns + 1;
        for row in 1..=self.rows {
            let mut sum = 0;
            for column in 1..wide {
                sum += self.counts[row * wide + column];
                self.counts[row * wide + column] = sum + self.counts[(row - 1) * wide + column];
            }
        }
        self
    }

    fn within(&self, area: &Area) -> u32 {
        let (left, top) = (self.column(area.left), self.row(area.top));
        let right = self.column(area.right + CELL).max(left);
        let bottom = self.row(area.bottom + CELL).max(top);
        let sum = |column: usize, row: usize| self.counts[row * (self.columns + 1) + column];
        sum(right, bottom) + sum(left, top) - sum(left, bottom) - sum(right, top)
    }
}
