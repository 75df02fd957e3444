//! Invents programs of any size with totals that are known by construction, for tests, benches and trials. The same shape and size
//! give the same bytes.

use std::io::{self, Write};

use quantity::Number as _;
use quantity::si::{Length, millimetre};

/// What a program looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// Squares of long straight walls, layer on layer.
    Tower,
    /// Rings of short chords, as curved walls are.
    Vase,
    /// Rings as arcs.
    Arcs,
    /// Short strokes to and fro, as infill is, with travel and retraction between.
    Infill,
    /// Short pieces that turn at random, in increments.
    Scribble,
}

impl Shape {
    /// All of them.
    pub const ALL: [Shape; 5] = [
        Shape::Tower,
        Shape::Vase,
        Shape::Arcs,
        Shape::Infill,
        Shape::Scribble,
    ];

    /// Its name, for files and arguments.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Shape::Tower => "tower",
            Shape::Vase => "vase",
            Shape::Arcs => "arcs",
            Shape::Infill => "infill",
            Shape::Scribble => "scribble",
        }
    }
}

/// What a program holds, counted while it is written.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Totals {
    /// Lines.
    pub lines: u64,
    /// Bytes.
    pub bytes: u64,
    /// Lines of motion.
    pub moves: u64,
    /// Length of the ways that lay down plastic, from the numbers as written.
    pub printed: Length,
    /// Length of the ways that do not.
    pub travelled: Length,
    /// Filament laid down, as written.
    pub filament: Length,
}

/// Writes a program of at least so many bytes, and little more.
///
/// # Errors
/// Those of the writer.
pub fn write(shape: Shape, size: u64, out: &mut impl Write) -> io::Result<Totals> {
    let mut writer = Writer::new(out);
    writer.start()?;
    let mut layer = 0;
    while writer.totals.bytes + END_BYTES < size {
        writer.layer(shape, layer, size)?;
        layer += 1;
    }
    writer.end()?;
    Ok(writer.totals)
}

struct Writer<'w, W> {
    out: &'w mut W,
    totals: Totals,
    /// Place in thousandths of a millimetre, as it is written; filament in hundred-thousandths.
    at: [i64; 2],
    filament: i64,
    relative: bool,
    seed: u64,
    line: String,
}

const MIDDLE: i64 = 110_000;

/// The lines at the end, and how many bytes they take.
const END: [&str; 4] = ["M107", "M104 S0", "M140 S0", "M84"];
const END_BYTES: u64 = 25;

impl<'w, W: Write> Writer<'w, W> {
    fn new(out: &'w mut W) -> Self {
        Self {
            out,
            totals: Totals::default(),
            at: [0, 0],
            filament: 0,
            relative: false,
            seed: 1,
            line: String::new(),
        }
    }

    fn put(&mut self, text: &str) -> io::Result<()> {
        self.out.write_all(text.as_bytes())?;
        self.out.write_all(b"\n")?;
        self.totals.lines += 1;
        self.totals.bytes += text.len() as u64 + 1;
        Ok(())
    }

    fn start(&mut self) -> io::Result<()> {
        for line in [
            "; invented program",
            "M140 S60",
            "M104 S210",
            "G28",
            "M190 S60",
            "M109 S210",
            "G90",
            "M82",
            "G92 E0",
        ] {
            self.put(line)?;
        }
        Ok(())
    }

    fn end(&mut self) -> io::Result<()> {
        for line in END {
            self.put(line)?;
        }
        Ok(())
    }

    fn layer(&mut self, shape: Shape, layer: i64, size: u64) -> io::Result<()> {
        self.relative = false;
        self.put(&format!(";layer {layer}"))?;
        if layer == 1 {
            self.put("M106 S255")?;
        }
        if self.filament > 100_000_000 {
            self.put("G92 E0")?;
            self.filament = 0;
        }
        let height = layer % 1_100 * 200 + 200;
        self.line.clear();
        self.put(&format!("G1 Z{} F600", thousandths(height)))?;
        self.totals.moves += 1;
        // A tower of layers: each goes up by as much, but for the first one and those that begin a new tower.
        let risen = if layer == 0 {
            200
        } else if height == 200 {
            1_099 * 200
        } else {
            200
        };
        self.totals.travelled += millimetre(risen as f64 / 1e3);
        match shape {
            Shape::Tower => {
                self.travel([MIDDLE - 40_000, MIDDLE - 40_000])?;
                self.feed(3_600)?;
                for wall in 0..4 {
                    let half = 40_000 - wall * 450;
                    for corner in [[-1, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]] {
                        self.print([MIDDLE + corner[0] * half, MIDDLE + corner[1] * half])?;
                    }
                }
            }
            Shape::Vase => {
                self.travel([MIDDLE + 30_000, MIDDLE])?;
                self.feed(4_800)?;
                for step in 1..=360 {
                    let (sin, cos) = f64::from(step).to_radians().sin_cos();
                    #[expect(clippy::cast_possible_truncation, reason = "small")]
                    let place = [cos, sin].map(|share| MIDDLE + (share * 30_000.0).round() as i64);
                    self.print(place)?;
                }
            }
            Shape::Arcs => {
                for ring in 1..=8 {
                    let radius = ring * 4_000;
                    self.travel([MIDDLE + radius, MIDDLE])?;
                    self.feed(4_800)?;
                    self.ring(radius, ring % 2 == 0)?;
                }
            }
            Shape::Infill => {
                for stroke in 0..60 {
                    let x = MIDDLE - 24_000 + stroke * 800;
                    self.retract(-80_000)?;
                    self.travel([x, MIDDLE - 20_000])?;
                    self.retract(80_000)?;
                    self.feed(5_400)?;
                    self.print([x + 400, MIDDLE + 20_000])?;
                    self.print([x + 800, MIDDLE - 20_000])?;
                }
            }
            Shape::Scribble => {
                self.travel([MIDDLE, MIDDLE])?;
                self.feed(3_000)?;
                self.put("G91")?;
                self.relative = true;
                for _ in 0..2_000 {
                    if self.totals.bytes + 200 >= size {
                        break;
                    }
                    let way = [self.random(), self.random()];
                    // Back towards the middle where it strays.
                    let place: [i64; 2] = core::array::from_fn(|axis| {
                        let to = self.at[axis] + way[axis];
                        if (to - MIDDLE).abs() > 60_000 {
                            self.at[axis] - way[axis]
                        } else {
                            to
                        }
                    });
                    self.print(place)?;
                }
                self.put("G90")?;
                self.put("M82")?;
                self.relative = false;
            }
        }
        Ok(())
    }

    /// From −999 to 999, never 0.
    fn random(&mut self) -> i64 {
        // Knuth's linear congruential generator, MMIX.
        self.seed = self
            .seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let size = i64::try_from((self.seed >> 40) % 999).unwrap_or(0) + 1;
        if self.seed >> 63 == 0 { size } else { -size }
    }

    fn feed(&mut self, feed: i64) -> io::Result<()> {
        self.put(&format!("G1 F{feed}"))
    }

    fn travel(&mut self, place: [i64; 2]) -> io::Result<()> {
        if place == self.at {
            return Ok(());
        }
        self.totals.travelled += self.way(place);
        self.at = place;
        self.totals.moves += 1;
        let [x, y] = place.map(thousandths);
        self.put(&format!("G0 X{x} Y{y} F9000"))
    }

    fn retract(&mut self, way: i64) -> io::Result<()> {
        self.filament += way;
        self.totals.moves += 1;
        let filament = hundred_thousandths(self.filament);
        self.put(&format!("G1 E{filament} F1800"))
    }

    fn way(&self, place: [i64; 2]) -> Length {
        let way = [0, 1].map(|axis| (place[axis] - self.at[axis]) as f64);
        millimetre(way[0].hypot(way[1]) / 1e3)
    }

    /// Counts filament for a way: a bead of 0.45 mm by 0.2 mm from a filament of 1.75 mm, rounded as it is written.
    fn lay(&mut self, way: Length) -> i64 {
        let share = 0.45 * 0.2 / (core::f64::consts::PI / 4.0 * 1.75 * 1.75);
        #[expect(clippy::cast_possible_truncation, reason = "small")]
        let laid = (way.base() * 1e3 * share * 1e5).round().max(1.0) as i64;
        self.totals.printed += way;
        self.totals.filament += millimetre(laid as f64 / 1e5);
        self.totals.moves += 1;
        self.filament += laid;
        laid
    }

    fn print(&mut self, place: [i64; 2]) -> io::Result<()> {
        if place == self.at {
            return Ok(());
        }
        let laid = self.lay(self.way(place));
        let (x, y) = if self.relative {
            (place[0] - self.at[0], place[1] - self.at[1])
        } else {
            (place[0], place[1])
        };
        self.at = place;
        let filament = hundred_thousandths(if self.relative { laid } else { self.filament });
        let line = format!("G1 X{} Y{} E{filament}", thousandths(x), thousandths(y));
        self.put(&line)
    }

    /// A full turn about the middle.
    fn ring(&mut self, radius: i64, clockwise: bool) -> io::Result<()> {
        let around = millimetre(core::f64::consts::TAU * radius as f64 / 1e3);
        self.lay(around);
        let word = if clockwise { "G2" } else { "G3" };
        let filament = hundred_thousandths(self.filament);
        let line = format!(
            "{word} X{} Y{} I{} J0 E{filament}",
            thousandths(self.at[0]),
            thousandths(self.at[1]),
            thousandths(-radius)
        );
        self.put(&line)
    }
}

/// A number of thousandths as a decimal number.
fn thousandths(number: i64) -> String {
    decimal(number, 1_000, 3)
}

fn hundred_thousandths(number: i64) -> String {
    decimal(number, 100_000, 5)
}

fn decimal(number: i64, of: i64, places: usize) -> String {
    let sign = if number < 0 { "-" } else { "" };
    let number = number.abs();
    format!("{sign}{}.{:0places$}", number / of, number % of)
}
