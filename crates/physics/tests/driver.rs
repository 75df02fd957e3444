//! How a formula is called by name with text: the slots of each formula, and the rows of the data files.

use physics::{Formula, OutOfRange, Working};
use quantity::{AnyValue, Kind, Quantity, Value, parse_value};

/// One input of a formula as the rows name it.
pub struct Slot {
    pub symbol: &'static str,
    /// The range in which the containment test draws its boxes.
    pub range: AnyValue,
    pub read: fn(&str) -> f64,
}

impl Slot {
    pub fn new<Q: Quantity>(symbol: &'static str, range: &str) -> Self {
        Self {
            symbol,
            range: value::<Q>(range).into(),
            read: |text| value::<Q>(text).nominal().base(),
        }
    }
}

pub fn value<Q: Quantity>(text: &str) -> Value<Q> {
    parse_value(text).unwrap_or_else(|error| panic!("{text}: {error}"))
}

/// How a formula is called.
pub enum Call {
    /// With numbers in SI base units, and with tolerances through the working.
    Slots {
        slots: Vec<Slot>,
        evaluate: fn(&[f64]) -> Result<f64, OutOfRange>,
        work: fn(&[AnyValue]) -> Result<Working, OutOfRange>,
        /// By how much of its width the interval may be missed.
        slack: f64,
    },
    /// With the text of the row, where inputs or results are no plain quantities.
    Text(fn(&Row) -> f64),
}

/// A formula that rows can name.
pub struct Spec {
    pub formula: &'static Formula,
    pub kind: Kind,
    /// Whether a text is a value of the result's kind; a formula with results of several kinds has a spec for each.
    pub accepts: fn(&str) -> bool,
    pub read: fn(&str) -> f64,
    pub call: Call,
}

/// Makes a [`Spec`]: `spec!(FORMULA => Result; name = "symbol": Quantity in "range", ...; expression)`.
///
/// With `sampled` before the formula the working looks inside the box, and its lowest value may be missed a little.
macro_rules! spec {
    (sampled $($rest:tt)*) => {
        $crate::driver::spec!(@with 0.02, |formula, inputs, f| physics::try_work_sampled(formula, "x", inputs, 15, f); $($rest)*)
    };
    (@with $slack:expr, |$f:ident, $i:ident, $c:ident| $work:expr; $formula:expr => $out:ty; $($name:ident = $symbol:literal: $quantity:ident in $range:literal),+ ; $body:expr) => {
        $crate::driver::Spec {
            formula: &$formula,
            kind: <$out as quantity::Quantity>::KIND,
            accepts: |text| quantity::parse_value::<$out>(text).is_ok(),
            read: |text| quantity::Number::base($crate::driver::value::<$out>(text).nominal()),
            call: $crate::driver::Call::Slots {
                slots: vec![$($crate::driver::Slot::new::<$quantity>($symbol, $range)),+],
                evaluate: |base| {
                    let [$($name),+] = base else { unreachable!("as many numbers as slots") };
                    $(let $name = <$quantity as quantity::Number>::from_base(*$name);)+
                    let result: Result<$out, physics::OutOfRange> = $body;
                    result.map(quantity::Number::base)
                },
                work: |values| {
                    let [$($name),+] = values else { unreachable!("as many values as slots") };
                    let $i = ($(physics::named($symbol, "", $name.typed::<$quantity>().expect("the kind of the slot")),)+);
                    let $f = &$formula;
                    let $c = |($($name,)+): ($($quantity,)+)| -> Result<$out, physics::OutOfRange> { $body };
                    $work.map(|worked| worked.working)
                },
                slack: $slack,
            },
        }
    };
    ($formula:expr => $($rest:tt)*) => {
        $crate::driver::spec!(@with 1e-9, |formula, inputs, f| physics::try_work(formula, "x", inputs, f); $formula => $($rest)*)
    };
}
pub(crate) use spec;

/// Makes a [`Spec`] that reads the text of the row itself.
pub fn by_text<Q: Quantity>(formula: &'static Formula, call: fn(&Row) -> f64) -> Spec {
    Spec {
        formula,
        kind: Q::KIND,
        accepts: |text| parse_value::<Q>(text).is_ok(),
        read: |text| value::<Q>(text).nominal().base(),
        call: Call::Text(call),
    }
}

/// A reference check: a row of a data file held against a formula.
#[derive(Clone, Debug)]
pub struct Row {
    pub file: &'static str,
    pub line: usize,
    pub formula: String,
    pub given: String,
    pub expect: String,
    pub within: String,
    pub source: String,
    pub sure: String,
}

impl Row {
    /// The text behind `symbol =` in the inputs.
    pub fn text(&self, symbol: &str) -> &str {
        let mut pairs = self.given.split(',').filter_map(|pair| pair.split_once('='));
        match pairs.find(|(name, _)| name.trim() == symbol) {
            Some((_, text)) => text.trim(),
            None => panic!("{}:{}: no input {symbol}", self.file, self.line),
        }
    }

    /// The quantity behind `symbol =` in the inputs.
    pub fn get<Q: Quantity>(&self, symbol: &str) -> Q {
        value::<Q>(self.text(symbol)).nominal()
    }

    pub fn evaluate(&self, spec: &Spec) -> f64 {
        match &spec.call {
            Call::Text(call) => call(self),
            Call::Slots { slots, evaluate, .. } => {
                let base: Vec<f64> = slots
                    .iter()
                    .map(|slot| (slot.read)(self.text(slot.symbol)))
                    .collect();
                evaluate(&base).unwrap_or_else(|error| panic!("{}:{}: {error}", self.file, self.line))
            }
        }
    }
}

const FILES: &[(&str, &str)] = &[
    ("electrics.csv", include_str!("data/electrics.csv")),
    ("sensing.csv", include_str!("data/sensing.csv")),
    ("motion.csv", include_str!("data/motion.csv")),
    ("mechanics.csv", include_str!("data/mechanics.csv")),
    ("heat.csv", include_str!("data/heat.csv")),
    ("control.csv", include_str!("data/control.csv")),
    (
        "reference-control.csv",
        include_str!("data/reference-control.csv"),
    ),
    ("reference-heat.csv", include_str!("data/reference-heat.csv")),
];

/// The lines of a data file with their numbers: without comments, blank lines and the heading.
pub fn lines(text: &'static str) -> impl Iterator<Item = (usize, &'static str)> {
    let lines = text
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.starts_with('#') && !line.is_empty());
    lines.skip(1).map(|(index, line)| (index + 1, line))
}

/// All rows of all data files, those of the published tables among them.
pub fn rows() -> Vec<Row> {
    let mut rows = crate::tables::rows();
    rows.extend(crate::tables::control_rows());
    for (file, text) in FILES {
        for (line, text) in lines(text) {
            let fields: Vec<String> = text.split(';').map(|field| field.trim().to_owned()).collect();
            let [formula, given, expect, within, source, sure] = fields
                .try_into()
                .unwrap_or_else(|fields| panic!("{file}:{line}: not six fields: {fields:?}"));
            rows.push(Row {
                file,
                line,
                formula,
                given,
                expect,
                within,
                source,
                sure,
            });
        }
    }
    rows
}
