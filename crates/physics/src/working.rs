//! One mechanism for tolerances: a formula at the corners of its inputs, and the working that shows how a number came about.
//!
//! [`work`] evaluates a formula at the nominal point and at every corner of the inputs that carry a tolerance. The interval of
//! the result is the hull of these values. That is exact for a function that is monotone in each argument, also where
//! the direction in one argument depends on the others. For others there is [`work_sampled`], which looks
//! at a grid inside the box as well, and may still miss a narrow peak between two of its points.
//!
//! The interval is not rounded outwards: "5 A" against a limit of 5 A must stay a tie. Containment therefore holds to the
//! rounding of the formula itself, some parts in 10¹⁵.

mod search;
mod text;

use std::borrow::Cow;

use quantity::{AnyValue, Quantity, Value};
use serde::Serialize;

use search::{Found, Function, Grid, hull_of_corners, search, search_by_direction};

/// A formula as it stands in its source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Formula {
    /// A short name in kebab case, unique in [`crate::FORMULAS`].
    pub id: &'static str,
    /// What it gives, as a heading.
    pub title: &'static str,
    /// The equation in symbols: "P = U² / R".
    pub law: &'static str,
    /// Key of the bibliography.
    pub source: &'static str,
    /// Where in the source: "table 1", "eq. (3)", or nothing.
    pub clause: &'static str,
}

impl Formula {
    /// A formula with its source; what the library's own formulas are made with.
    #[must_use]
    pub const fn new(
        id: &'static str,
        title: &'static str,
        law: &'static str,
        source: &'static str,
        clause: &'static str,
    ) -> Self {
        Self {
            id,
            title,
            law,
            source,
            clause,
        }
    }
}

/// An input of a formula with its symbol and its meaning.
#[derive(Clone, Debug)]
pub struct Named<Q> {
    /// The symbol that stands for it in the law.
    pub symbol: &'static str,
    /// What it is, in the words of the reader: "supply voltage".
    pub what: Cow<'static, str>,
    /// Its value with tolerance.
    pub value: Value<Q>,
}

/// Names an input of a formula: `named("U", "supply voltage", value)`.
pub fn named<Q>(symbol: &'static str, what: impl Into<Cow<'static, str>>, value: Value<Q>) -> Named<Q> {
    Named {
        symbol,
        what: what.into(),
        value,
    }
}

/// Where in its tolerance an input stands at an extreme of the result.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum End {
    /// At its lower bound.
    Low,
    /// At its upper bound.
    High,
    /// It has no tolerance, or the extreme does not depend on it.
    Either,
    /// Between its bounds; only sampled workings find this.
    Inside(AnyValue),
}

/// One input as the working keeps it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Input {
    /// The symbol that stands for it in the law.
    pub symbol: &'static str,
    /// What it is, in the words of the reader.
    pub what: Cow<'static, str>,
    /// Its value with tolerance.
    pub value: AnyValue,
    /// Where it stands when the result is lowest.
    pub lowest: End,
    /// Where it stands when the result is highest.
    pub highest: End,
    /// The result when only this input moves over its tolerance and the others stay nominal.
    pub swing: AnyValue,
}

/// How a number came about: the formula, its inputs, the result, and which corner makes it worst.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Working {
    /// The formula.
    pub formula: &'static Formula,
    /// Its inputs in the order of the formula.
    pub inputs: Vec<Input>,
    /// The symbol of the result.
    pub symbol: &'static str,
    /// The result with its interval.
    pub result: AnyValue,
}

/// A result together with its working.
#[derive(Clone, Debug, Serialize)]
#[serde(bound = "Q: Quantity")]
pub struct Worked<Q> {
    /// The result with its interval.
    pub value: Value<Q>,
    /// How it came about.
    pub working: Working,
}

/// Inputs of a formula: a tuple of one to nine [`Named`] quantities, or of their values alone.
pub trait Inputs {
    /// The plain quantities that the formula takes, as a tuple.
    type Point;
    /// The point whose coordinates in SI base units are `base`, in order.
    fn point(base: &[f64]) -> Self::Point;
    /// The value of each input.
    fn values(self) -> Vec<AnyValue>;
}

/// Inputs with their names, for a working.
pub trait NamedInputs: Inputs {
    #[doc(hidden)]
    fn search(self, grid: Grid, result: AsValue, f: Function<'_>) -> Searched;
}

/// Inputs without names, for [`interval`].
pub trait PlainInputs: Inputs {
    #[doc(hidden)]
    fn hull(self, f: Function<'_>) -> (f64, f64, f64);
}

/// What a search found, with each input at its extremes.
#[doc(hidden)]
pub struct Searched {
    nominal: f64,
    bounds: (f64, f64),
    inputs: Vec<Input>,
}

/// Lowest, nominal and highest result in SI base units, as a value of its kind.
type AsValue = fn(f64, f64, f64) -> AnyValue;

fn as_value<Q: Quantity>(low: f64, nominal: f64, high: f64) -> AnyValue {
    Value::between(Q::from_base(low), Q::from_base(nominal), Q::from_base(high)).into()
}

/// Symbol, meaning and value of an input.
type Part = (&'static str, Cow<'static, str>, AnyValue);

impl Searched {
    fn of<P: AsMut<[f64]>, B: AsMut<[bool]>, S: AsRef<[(f64, f64)]>>(
        parts: impl IntoIterator<Item = Part>,
        found: &mut Found<P, B, S>,
        result: AsValue,
    ) -> Self {
        let swings = found.swings.as_ref();
        let mut inputs = Vec::with_capacity(swings.len());
        for ((symbol, what, value), (at, swing)) in parts.into_iter().zip(swings.iter().enumerate()) {
            inputs.push(Input {
                symbol,
                what,
                value,
                lowest: found.lowest.end(at, value),
                highest: found.highest.end(at, value),
                swing: result(swing.0, found.nominal, swing.1),
            });
        }
        Self {
            nominal: found.nominal,
            bounds: (found.lowest.result, found.highest.result),
            inputs,
        }
    }

    fn finish<Q: Quantity>(self, formula: &'static Formula, symbol: &'static str) -> Worked<Q> {
        let (low, high) = self.bounds;
        let value = Value::between(Q::from_base(low), Q::from_base(self.nominal), Q::from_base(high));
        Worked {
            value,
            working: Working {
                formula,
                inputs: self.inputs,
                symbol,
                result: value.into(),
            },
        }
    }
}

macro_rules! inputs {
    ($($quantity:ident . $index:tt),*) => {
        impl<$($quantity: Quantity),*> Inputs for ($(Named<$quantity>,)*) {
            type Point = ($($quantity,)*);
            fn point(base: &[f64]) -> Self::Point {
                ($($quantity::from_base(base[$index]),)*)
            }
            fn values(self) -> Vec<AnyValue> {
                vec![$(AnyValue::from(self.$index.value)),*]
            }
        }
        impl<$($quantity: Quantity),*> NamedInputs for ($(Named<$quantity>,)*) {
            fn search(self, grid: Grid, result: AsValue, f: Function<'_>) -> Searched {
                let bounds = [$(AnyValue::from(self.$index.value)),*];
                let mut found = search(&bounds, grid, f);
                let parts = [$((self.$index.symbol, self.$index.what, bounds[$index])),*];
                Searched::of(parts, &mut found, result)
            }
        }
        impl<$($quantity: Quantity),*> Inputs for ($(Value<$quantity>,)*) {
            type Point = ($($quantity,)*);
            fn point(base: &[f64]) -> Self::Point {
                ($($quantity::from_base(base[$index]),)*)
            }
            fn values(self) -> Vec<AnyValue> {
                vec![$(AnyValue::from(self.$index)),*]
            }
        }
        impl<$($quantity: Quantity),*> PlainInputs for ($(Value<$quantity>,)*) {
            fn hull(self, f: Function<'_>) -> (f64, f64, f64) {
                hull_of_corners(&[$(AnyValue::from(self.$index)),*], f)
            }
        }
    };
}
inputs!(A.0);
inputs!(A.0, B.1);
inputs!(A.0, B.1, C.2);
inputs!(A.0, B.1, C.2, D.3);
inputs!(A.0, B.1, C.2, D.3, E.4);
inputs!(A.0, B.1, C.2, D.3, E.4, F.5);
inputs!(A.0, B.1, C.2, D.3, E.4, F.5, G.6);
inputs!(A.0, B.1, C.2, D.3, E.4, F.5, G.6, H.7);
inputs!(A.0, B.1, C.2, D.3, E.4, F.5, G.6, H.7, J.8);

/// The value of [`work`] without its working, for a fraction of the cost.
///
/// ```
/// use physics::{electrics, interval};
/// use quantity::{Value, si::{ohm, volt}};
///
/// let (supply, heater) = (Value::relative(volt(24.0), 0.05), Value::relative(ohm(14.4), 0.10));
/// let power = interval((supply, heater), |(u, r)| electrics::heater_power(u, r));
/// assert_eq!(power.to_string(), "40 W (32.82 .. 49 W)");
/// ```
pub fn interval<I: PlainInputs, Q: Quantity>(inputs: I, f: impl Fn(I::Point) -> Q) -> Value<Q> {
    let (low, nominal, high) = inputs.hull(&|base| f(I::point(base)).base());
    Value::between(Q::from_base(low), Q::from_base(nominal), Q::from_base(high))
}

/// As [`interval`], for a formula that may be asked outside its range.
///
/// # Errors
/// As for [`try_work`].
pub fn try_interval<I: PlainInputs, Q: Quantity, E>(
    inputs: I,
    f: impl Fn(I::Point) -> Result<Q, E>,
) -> Result<Value<Q>, E> {
    caught(
        |f| {
            let (low, nominal, high) = inputs.hull(f);
            Value::between(Q::from_base(low), Q::from_base(nominal), Q::from_base(high))
        },
        |base| f(I::point(base)),
    )
}

/// Evaluates a formula with the tolerance of its inputs; exact where `f` is monotone in each argument.
///
/// A corner where `f` gives no number makes the interval unbounded.
///
/// ```
/// use physics::{electrics, named, work};
/// use quantity::{Value, si::{ohm, volt}};
///
/// let supply = named("U", "supply voltage", Value::relative(volt(24.0), 0.05));
/// let heater = named("R", "heater resistance", Value::relative(ohm(14.4), 0.10));
/// let power = work(&electrics::HEATER_POWER, "P", (supply, heater), |(u, r)| electrics::heater_power(u, r));
/// assert_eq!(power.working.with_numbers(), "P = (24 V)² / 14.4 Ω");
/// assert_eq!(power.working.highest_at().as_deref(), Some("highest at U = 25.2 V and R = 12.96 Ω"));
/// ```
pub fn work<I: NamedInputs, Q: Quantity>(
    formula: &'static Formula,
    symbol: &'static str,
    inputs: I,
    f: impl Fn(I::Point) -> Q,
) -> Worked<Q> {
    let found = inputs.search(Grid::Corners, as_value::<Q>, &|base| f(I::point(base)).base());
    found.finish(formula, symbol)
}

/// As [`work`], for a formula that may be asked outside its range.
///
/// # Errors
/// The error of the formula at the nominal point, else at the first corner that fails: a tolerance that reaches out of the range
/// of the law is no result.
pub fn try_work<I: NamedInputs, Q: Quantity, E>(
    formula: &'static Formula,
    symbol: &'static str,
    inputs: I,
    f: impl Fn(I::Point) -> Result<Q, E>,
) -> Result<Worked<Q>, E> {
    attempt(formula, symbol, inputs, Grid::Corners, f)
}

/// As [`work`], but looks at a grid inside the box too: for formulas that are not monotone.
///
/// `points` are taken along each input that has a tolerance, 3 at the least; so many inputs that the grid would pass
/// 20,000 points make it coarser. An extreme between two points is missed by as much as the formula bends there.
pub fn work_sampled<I: NamedInputs, Q: Quantity>(
    formula: &'static Formula,
    symbol: &'static str,
    inputs: I,
    points: usize,
    f: impl Fn(I::Point) -> Q,
) -> Worked<Q> {
    let found = inputs.search(Grid::Inside(points), as_value::<Q>, &|base| {
        f(I::point(base)).base()
    });
    found.finish(formula, symbol)
}

/// As [`work_sampled`], for a formula that may be asked outside its range.
///
/// # Errors
/// As for [`try_work`].
pub fn try_work_sampled<I: NamedInputs, Q: Quantity, E>(
    formula: &'static Formula,
    symbol: &'static str,
    inputs: I,
    points: usize,
    f: impl Fn(I::Point) -> Result<Q, E>,
) -> Result<Worked<Q>, E> {
    attempt(formula, symbol, inputs, Grid::Inside(points), f)
}

/// Evaluates a formula over any number of inputs of one kind, such as a sum of currents.
///
/// Each input is moved alone to find its direction, then all are moved at once: exact for a function that rises in some
/// inputs and falls in others whatever the rest is, at the cost of `2 n + 3` evaluations. A law with `Σ` is written out by
/// [`Working::with_numbers`] as the sum of its inputs.
pub fn work_many<A: Quantity, Q: Quantity>(
    formula: &'static Formula,
    symbol: &'static str,
    inputs: Vec<Named<A>>,
    f: impl Fn(&[A]) -> Q,
) -> Worked<Q> {
    let bounds: Vec<AnyValue> = inputs.iter().map(|input| AnyValue::from(input.value)).collect();
    let point = core::cell::RefCell::new(Vec::with_capacity(bounds.len()));
    let mut found = search_by_direction(&bounds, &|base| {
        let mut point = point.borrow_mut();
        point.clear();
        point.extend(base.iter().map(|base| A::from_base(*base)));
        f(&point).base()
    });
    let parts = inputs.into_iter().zip(&bounds);
    let parts = parts.map(|(input, value)| (input.symbol, input.what, *value));
    Searched::of(parts, &mut found, as_value::<Q>).finish(formula, symbol)
}

fn attempt<I: NamedInputs, Q: Quantity, E>(
    formula: &'static Formula,
    symbol: &'static str,
    inputs: I,
    grid: Grid,
    f: impl Fn(I::Point) -> Result<Q, E>,
) -> Result<Worked<Q>, E> {
    caught(
        |f| inputs.search(grid, as_value::<Q>, f).finish(formula, symbol),
        |base| f(I::point(base)),
    )
}

/// What is made of a formula, or its first error.
fn caught<Q: Quantity, E, R>(
    made: impl FnOnce(Function<'_>) -> R,
    f: impl Fn(&[f64]) -> Result<Q, E>,
) -> Result<R, E> {
    let failure = core::cell::RefCell::new(None);
    let made = made(&|base| match f(base) {
        Ok(quantity) => quantity.base(),
        Err(error) => {
            failure.borrow_mut().get_or_insert(error);
            f64::NAN
        }
    });
    match failure.into_inner() {
        Some(error) => Err(error),
        None => Ok(made),
    }
}

#[cfg(test)]
mod tests;
