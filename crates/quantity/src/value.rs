//! A quantity with its tolerance, and a range of a quantity.

use core::ops::{Add, Div, Mul, Neg, Sub};

use crate::number::Number;

/// An end of a tolerance, or the nominal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The lower bound.
    Low,
    /// The nominal.
    Nominal,
    /// The upper bound.
    High,
}

impl End {
    /// The opposite end; the nominal for itself.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            End::Low => End::High,
            End::Nominal => End::Nominal,
            End::High => End::Low,
        }
    }
}

/// A quantity with its tolerance: `low <= nominal <= high`.
///
/// Arithmetic treats both operands as independent and rounds outwards by one unit in the last place, so
/// the interval of a result contains each result of exact inputs from the input intervals.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Value<Q> {
    nominal: Q,
    low: Q,
    high: Q,
}

impl<Q: Number> Value<Q> {
    /// A value without tolerance.
    #[must_use]
    pub fn exact(nominal: Q) -> Self {
        Self {
            nominal,
            low: nominal,
            high: nominal,
        }
    }

    /// A value between two bounds; all three are put in order, so that `low <= nominal <= high` always holds.
    #[must_use]
    pub fn between(low: Q, nominal: Q, high: Q) -> Self {
        Self {
            nominal,
            low: low.smaller(high).smaller(nominal),
            high: high.larger(low).larger(nominal),
        }
    }

    /// The value of a result that rises or falls with each of its inputs, whatever the others are: `result` is worked out where it is least,
    /// at the nominal, and where it is most. Inputs with which it rises are taken `at(end)`, those with which it falls
    /// `at(end.other())`.
    ///
    /// ```
    /// use quantity::{Number, Value, si::{ohm, volt}};
    ///
    /// let (u, r) = (Value::relative(volt(24.0), 0.1), Value::relative(ohm(12.0), 0.25));
    /// let power = Value::corners(|end| u.at(end) * u.at(end) / r.at(end.other()));
    /// assert!((power.low().base() - 21.6 * 21.6 / 15.0).abs() < 1e-9);
    /// assert!((power.high().base() - 26.4 * 26.4 / 9.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn corners(result: impl Fn(End) -> Q) -> Self {
        Self::between(result(End::Low), result(End::Nominal), result(End::High))
    }

    /// One end, or the nominal.
    #[must_use]
    pub fn at(self, end: End) -> Q {
        match end {
            End::Low => self.low,
            End::Nominal => self.nominal,
            End::High => self.high,
        }
    }

    /// A value with a symmetric relative tolerance; 0.05 means ±5 % of the magnitude.
    #[must_use]
    pub fn relative(nominal: Q, tolerance: f64) -> Self {
        let base = nominal.base();
        let width = (base * tolerance).abs();
        Self::between(Q::from_base(base - width), nominal, Q::from_base(base + width))
    }

    /// The value that is written or meant.
    #[must_use]
    pub fn nominal(&self) -> Q {
        self.nominal
    }
    /// The smallest value that the tolerance allows.
    #[must_use]
    pub fn low(&self) -> Q {
        self.low
    }
    /// The largest value that the tolerance allows.
    #[must_use]
    pub fn high(&self) -> Q {
        self.high
    }
    /// Whether the value carries no tolerance.
    #[must_use]
    pub fn is_exact(&self) -> bool {
        self.low == self.high
    }
    /// Whether `quantity` lies within the tolerance, bounds included.
    #[must_use]
    pub fn contains(&self, quantity: Q) -> bool {
        self.low <= quantity && quantity <= self.high
    }
    /// The same interval with each point turned by a rising or falling function.
    #[must_use]
    pub fn map<R: Number>(&self, monotone: impl Fn(Q) -> R) -> Value<R> {
        Value::between(monotone(self.low), monotone(self.nominal), monotone(self.high))
    }
    /// The value times a number without dimension or tolerance.
    #[must_use]
    pub fn scale(&self, factor: f64) -> Self {
        self.map(|quantity| Q::from_base(quantity.base() * factor))
    }
    /// The smallest interval that holds both values; the nominal of `self` stays.
    #[must_use]
    pub fn hull(&self, other: &Self) -> Self {
        Self {
            nominal: self.nominal,
            low: self.low.smaller(other.low),
            high: self.high.larger(other.high),
        }
    }
}

/// Outermost of the candidate results, rounded outwards; unbounded where one is not a number.
fn outermost<R: Number>(nominal: R, candidates: &[R]) -> Value<R> {
    if candidates.iter().any(|candidate| candidate.base().is_nan()) {
        return Value {
            nominal,
            low: R::from_base(f64::NEG_INFINITY),
            high: R::from_base(f64::INFINITY),
        };
    }
    let mut low = nominal;
    let mut high = nominal;
    for candidate in candidates {
        low = low.smaller(*candidate);
        high = high.larger(*candidate);
    }
    Value {
        nominal,
        low: low.down(),
        high: high.up(),
    }
}

impl<A, B> Add<Value<B>> for Value<A>
where
    A: Number + Add<B>,
    B: Number,
    A::Output: Number,
{
    type Output = Value<A::Output>;
    fn add(self, other: Value<B>) -> Self::Output {
        let nominal = self.nominal + other.nominal;
        if self.is_exact() && other.is_exact() {
            return Value::exact(nominal);
        }
        outermost(nominal, &[self.low + other.low, self.high + other.high])
    }
}

impl<A, B> Sub<Value<B>> for Value<A>
where
    A: Number + Sub<B>,
    B: Number,
    A::Output: Number,
{
    type Output = Value<A::Output>;
    fn sub(self, other: Value<B>) -> Self::Output {
        let nominal = self.nominal - other.nominal;
        if self.is_exact() && other.is_exact() {
            return Value::exact(nominal);
        }
        outermost(nominal, &[self.low - other.high, self.high - other.low])
    }
}

impl<A, B> Mul<Value<B>> for Value<A>
where
    A: Number + Mul<B>,
    B: Number,
    A::Output: Number,
{
    type Output = Value<A::Output>;
    fn mul(self, other: Value<B>) -> Self::Output {
        let nominal = self.nominal * other.nominal;
        if self.is_exact() && other.is_exact() {
            return Value::exact(nominal);
        }
        outermost(
            nominal,
            &[
                self.low * other.low,
                self.low * other.high,
                self.high * other.low,
                self.high * other.high,
            ],
        )
    }
}

/// Division by an interval that holds zero gives the unbounded interval.
impl<A, B> Div<Value<B>> for Value<A>
where
    A: Number + Div<B>,
    B: Number,
    A::Output: Number,
{
    type Output = Value<A::Output>;
    fn div(self, other: Value<B>) -> Self::Output {
        let nominal = self.nominal / other.nominal;
        if other.low.base() <= 0.0 && other.high.base() >= 0.0 {
            return outermost(nominal, &[A::Output::from_base(f64::NAN)]);
        }
        if self.is_exact() && other.is_exact() {
            return Value::exact(nominal);
        }
        outermost(
            nominal,
            &[
                self.low / other.low,
                self.low / other.high,
                self.high / other.low,
                self.high / other.high,
            ],
        )
    }
}

impl<Q: Number + Neg<Output = Q>> Neg for Value<Q> {
    type Output = Self;
    fn neg(self) -> Self {
        Self {
            nominal: -self.nominal,
            low: -self.high,
            high: -self.low,
        }
    }
}

/// Sums values of one kind; the empty sum is exactly zero.
impl<Q> core::iter::Sum for Value<Q>
where
    Q: Number + Add<Output = Q>,
{
    fn sum<I: Iterator<Item = Self>>(values: I) -> Self {
        values.fold(Value::exact(Q::from_base(0.0)), |sum, value| sum + value)
    }
}

/// A range that something bears or offers, such as an input voltage: `low <= high`. It has no nominal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range<Q> {
    low: Q,
    high: Q,
}

impl<Q: Number> Range<Q> {
    /// A range between two bounds, which are put in order.
    #[must_use]
    pub fn new(low: Q, high: Q) -> Self {
        Self {
            low: low.smaller(high),
            high: high.larger(low),
        }
    }
    /// The smallest value of the range.
    #[must_use]
    pub fn low(&self) -> Q {
        self.low
    }
    /// The largest value of the range.
    #[must_use]
    pub fn high(&self) -> Q {
        self.high
    }
    /// Whether the whole tolerance of `value` lies inside the range.
    #[must_use]
    pub fn holds(&self, value: &Value<Q>) -> bool {
        self.low <= value.low() && value.high() <= self.high
    }
}
