//! Points, boxes and lengths: millimetres for what is drawn, pixels for the drawing.

/// A length or coordinate of the real thing, in millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Mm(pub f64);

/// A place on the real thing: x to the right, y **upwards**, as on a mechanical drawing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Spot {
    /// To the right.
    pub x: Mm,
    /// Upwards.
    pub y: Mm,
}

impl Spot {
    /// The place `x` mm to the right and `y` mm up.
    pub const fn mm(x: f64, y: f64) -> Self {
        Self { x: Mm(x), y: Mm(y) }
    }
}

/// A place on the drawing, in CSS pixels: x to the right, y **downwards**, as SVG counts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Downwards.
    pub y: f64,
}

impl Point {
    /// The point at `x`, `y`.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }
}

/// An upright box on the drawing, in CSS pixels.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Area {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

impl Area {
    /// The box from its upper left corner and its size.
    pub const fn new(left: f64, top: f64, width: f64, height: f64) -> Self {
        Self {
            left,
            top,
            right: left + width,
            bottom: top + height,
        }
    }

    /// The box around a middle.
    pub const fn around(middle: Point, width: f64, height: f64) -> Self {
        Self::new(middle.x - width / 2.0, middle.y - height / 2.0, width, height)
    }

    /// Its width.
    pub const fn width(&self) -> f64 {
        self.right - self.left
    }

    /// Its height.
    pub const fn height(&self) -> f64 {
        self.bottom - self.top
    }

    /// Its middle.
    pub const fn middle(&self) -> Point {
        Point::new((self.left + self.right) / 2.0, (self.top + self.bottom) / 2.0)
    }

    /// The box grown by `by` on all four sides.
    pub const fn grown(&self, by: f64) -> Self {
        Self {
            left: self.left - by,
            top: self.top - by,
            right: self.right + by,
            bottom: self.bottom + by,
        }
    }

    /// Whether the two boxes share more than an edge.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    /// Whether `inner` lies within this box, edges included.
    pub fn contains(&self, inner: &Self) -> bool {
        self.left <= inner.left
            && self.top <= inner.top
            && self.right >= inner.right
            && self.bottom >= inner.bottom
    }

    /// Whether an upright or level segment runs through the inside of this box.
    pub fn is_crossed_by(&self, from: Point, to: Point) -> bool {
        let segment = Self {
            left: from.x.min(to.x),
            right: from.x.max(to.x),
            top: from.y.min(to.y),
            bottom: from.y.max(to.y),
        };
        self.overlaps(&segment)
    }
}
