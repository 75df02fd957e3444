//! The interval of a working contains every sample from inside the box, for every registered formula.

use quantity::AnyValue;

use crate::driver::{Call, Slot};
use crate::specs::specs;

/// A small generator of our own, so that a failure comes back with every run.
pub struct Draw(pub u64);

impl Draw {
    pub fn share(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// A value with tolerance inside the range of a slot; now and then without tolerance.
    fn value(&mut self, slot: &Slot) -> AnyValue {
        let middle = self.between(slot.range.low, slot.range.high);
        let width = if self.share() < 0.2 {
            0.0
        } else {
            0.3 * self.share()
        };
        let low = middle + (slot.range.low - middle) * width;
        let high = middle + (slot.range.high - middle) * width;
        AnyValue {
            nominal: self.between(low, high).clamp(low, high),
            low,
            high,
            ..slot.range
        }
    }
}

#[test]
fn no_sample_leaves_the_interval() {
    let mut draw = Draw(20_26);
    for spec in specs() {
        let Call::Slots {
            slots,
            evaluate,
            work,
            slack,
        } = &spec.call
        else {
            continue;
        };
        let mut held = 0;
        for _ in 0..40 {
            let values: Vec<AnyValue> = slots.iter().map(|slot| draw.value(slot)).collect();
            // A box that reaches out of the range of its law has no result to contain anything.
            let Ok(working) = work(&values) else { continue };
            let result = working.result;
            held += 1;
            for _ in 0..40 {
                let point: Vec<f64> = values
                    .iter()
                    .map(|value| draw.between(value.low, value.high))
                    .collect();
                let sample = evaluate(&point).expect("inside a box whose corners are all in range");
                let slack = slack * (result.high - result.low) + 1e-12 * sample.abs();
                let id = spec.formula.id;
                assert!(
                    result.low - slack <= sample && sample <= result.high + slack,
                    "{id}: {sample} outside {} .. {} at {point:?}",
                    result.low,
                    result.high
                );
            }
        }
        assert!(held >= 5, "{}: hardly any box lies in its range", spec.formula.id);
    }
}

/// A reader must find each input in the law, or the law with numbers says nothing.
#[test]
fn each_symbol_stands_in_its_law() {
    for spec in specs() {
        let Call::Slots { slots, .. } = &spec.call else {
            continue;
        };
        for slot in slots {
            let symbol = slot.symbol;
            let whole = |(at, _): (usize, &str)| {
                let name = |character: char| character.is_alphanumeric() && !"²³⁴".contains(character);
                let law = spec.formula.law;
                !law[..at].ends_with(name) && !law[at + symbol.len()..].starts_with(name)
            };
            assert!(
                spec.formula.law.match_indices(symbol).any(whole),
                "{}: no {symbol} in {}",
                spec.formula.id,
                spec.formula.law
            );
        }
    }
}

/// The page that tells why writes every input as a number: none is left as a symbol, and each shows its unit.
#[test]
fn each_law_can_be_written_with_numbers() {
    let mut page = String::new();
    for spec in specs() {
        let Call::Slots { slots, work, .. } = &spec.call else {
            continue;
        };
        let middle = |slot: &Slot| {
            let nominal = f64::midpoint(slot.range.low, slot.range.high);
            AnyValue {
                nominal,
                low: nominal,
                high: nominal,
                ..slot.range
            }
        };
        let values: Vec<AnyValue> = slots.iter().map(middle).collect();
        let working = work(&values).expect("the middle of the range");
        let right = working.with_numbers();
        let right = right.split_once('=').expect("a law").1.replace("°C", "");
        let words: Vec<&str> = right
            .split(|character: char| !(character.is_alphanumeric() || "_′".contains(character)))
            .collect();
        for slot in slots {
            // A symbol that is also a unit ("A", "K") may stand behind a number.
            let is_unit = ["A", "K", "W", "V", "m", "s", "g", "f", "t", "R", "d", "h"].contains(&slot.symbol);
            assert!(
                is_unit || !words.contains(&slot.symbol),
                "{}: {} left in {right}",
                spec.formula.id,
                slot.symbol
            );
        }
        page += &format!("{}: {}\n", spec.formula.id, working.with_numbers());
    }
    assert!(!page.contains("NaN") && !page.contains("unbounded"), "{page}");
}
