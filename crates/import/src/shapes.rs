//! What a drawing holds, in millimetres and its own coordinates.

pub use quantity::si::Length;

use crate::{MOST, Problem};

/// The form of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// DXF, as text.
    Dxf,
    /// A Gerber layer: outline or copper.
    Gerber,
    /// A drill file.
    Drill,
}

/// The unit of a drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres.
    Millimetre,
    /// Inches.
    Inch,
}

impl Unit {
    pub(crate) fn millimetres(self) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            // By definition.
            Self::Inch => 25.4,
        }
    }
}

/// A point in millimetres.
pub(crate) type Point = (f64, f64);

/// One piece of a line: straight, or an arc by its bulge (the tangent of a quarter of its angle, counter-clockwise positive).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Piece {
    pub from: Point,
    pub to: Point,
    pub bulge: f64,
}

/// A circle: of a drawing, a drilled hole, or a pad.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Circle {
    pub at: Point,
    pub diameter: f64,
}

/// The lines and circles of one file.
#[derive(Clone, Debug, PartialEq)]
pub struct Shapes {
    /// What it was read as.
    pub form: Form,
    pub(crate) pieces: Vec<Piece>,
    pub(crate) circles: Vec<Circle>,
    pub(crate) holes: Vec<Circle>,
    pub(crate) pads: Vec<Point>,
}

impl Shapes {
    pub(crate) fn new(form: Form) -> Self {
        Self {
            form,
            pieces: Vec::new(),
            circles: Vec::new(),
            holes: Vec::new(),
            pads: Vec::new(),
        }
    }

    /// Refuses more shapes than anybody draws, and numbers that are none.
    pub(crate) fn check(&self, line: usize) -> Result<(), Problem> {
        let count = self.pieces.len() + self.circles.len() + self.holes.len() + self.pads.len();
        if count > MOST {
            return Err(Problem::new(
                line,
                format!("more than {MOST} shapes"),
                "export the outline and the holes alone",
            ));
        }
        Ok(())
    }
}

/// No board is a kilometre wide: what is beyond is a slip of the file, and would drown the rest in rounding.
pub(crate) const FAR: f64 = 1e6;

/// A number of a file in millimetres.
pub(crate) fn sensible(value: f64, line: usize) -> Result<f64, Problem> {
    if value.is_finite() && value.abs() <= FAR {
        return Ok(value);
    }
    Err(Problem::new(
        line,
        "a coordinate that is no number, or a kilometre away",
        "export the drawing again",
    ))
}

/// The bulge of an arc about a centre from one point to another; a whole circle comes as two halves.
pub(crate) fn arc(from: Point, to: Point, centre: Point, counter_clockwise: bool) -> Vec<Piece> {
    let angle = |point: Point| (point.1 - centre.1).atan2(point.0 - centre.0);
    let whole = core::f64::consts::TAU;
    let mut turn = angle(to) - angle(from);
    let same = (from.0 - to.0).hypot(from.1 - to.1) < 1e-9;
    if counter_clockwise {
        if turn <= 0.0 || same {
            turn += whole;
        }
    } else if turn >= 0.0 || same {
        turn -= whole;
    }
    // Beyond a half turn a bulge loses its digits: two pieces then.
    let half = turn / 2.0;
    let radius = (from.0 - centre.0).hypot(from.1 - centre.1);
    let begin = angle(from);
    let middle = (
        centre.0 + radius * (begin + half).cos(),
        centre.1 + radius * (begin + half).sin(),
    );
    let bulge = (half / 4.0).tan();
    vec![
        Piece {
            from,
            to: middle,
            bulge,
        },
        Piece {
            from: middle,
            to,
            bulge,
        },
    ]
}
