//! Expressions and parameters of NISTIR 6556, 3.3.2: `[1 + 2 * #3]`, `sqrt[2]`, `atan[1]/[2]`. Angles in degrees.

use std::collections::BTreeMap;

use super::Fault;
use crate::number::{PAD, number};

/// The largest number of a parameter, as the report has it.
const LAST: f64 = 5399.0;

/// Brackets within brackets, more than which nobody writes: each takes room on the stack.
const DEEPEST: usize = 40;

/// Parameters that a program has set.
#[derive(Clone, Debug, Default)]
pub(crate) struct Parameters(BTreeMap<u16, f64>);

impl Parameters {
    fn get(&self, index: f64) -> Result<f64, Fault> {
        Ok(self.0.get(&place(index)?).copied().unwrap_or(0.0))
    }

    pub fn set(&mut self, index: f64, value: f64) -> Result<(), Fault> {
        self.0.insert(place(index)?, value);
        Ok(())
    }
}

fn place(index: f64) -> Result<u16, Fault> {
    let whole = index.round();
    if !((1.0..=LAST).contains(&whole) && (index - whole).abs() < 1e-4) {
        return Err(Fault::Expression);
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "1 to 5399"
    )]
    Ok(whole as u16)
}

/// Reads the value that begins at `at` in a line of capitals without blanks; returns it with the place behind it.
pub(super) fn value(text: &[u8], at: usize, parameters: &Parameters) -> Result<(f64, usize), Fault> {
    let mut reader = Reader {
        text,
        at,
        parameters,
        depth: 0,
    };
    let value = reader.value()?;
    if value.is_finite() {
        Ok((value, reader.at))
    } else {
        Err(Fault::Expression)
    }
}

struct Reader<'a> {
    text: &'a [u8],
    at: usize,
    parameters: &'a Parameters,
    depth: usize,
}

/// An operation on two values: its name, how strongly it binds, what it does.
type Binary = (&'static [u8], u8, fn(f64, f64) -> f64);

/// An operation on one value.
type Unary = (&'static [u8], fn(f64) -> f64);

/// Operations that join two values.
const BINARY: [Binary; 9] = [
    (b"**", 3, f64::powf),
    (b"*", 2, |a, b| a * b),
    (b"/", 2, |a, b| a / b),
    (b"MOD", 2, f64::rem_euclid),
    (b"+", 1, |a, b| a + b),
    (b"-", 1, |a, b| a - b),
    (b"AND", 1, |a, b| truth(a != 0.0 && b != 0.0)),
    (b"XOR", 1, |a, b| truth((a != 0.0) != (b != 0.0))),
    (b"OR", 1, |a, b| truth(a != 0.0 || b != 0.0)),
];

/// Operations on one value; `ATAN` takes two.
const UNARY: [Unary; 12] = [
    (b"ABS", f64::abs),
    (b"ACOS", |x| x.acos().to_degrees()),
    (b"ASIN", |x| x.asin().to_degrees()),
    (b"COS", |x| x.to_radians().cos()),
    (b"EXP", f64::exp),
    (b"FIX", f64::floor),
    (b"FUP", f64::ceil),
    (b"LN", f64::ln),
    (b"ROUND", f64::round),
    (b"SIN", |x| x.to_radians().sin()),
    (b"SQRT", f64::sqrt),
    (b"TAN", |x| x.to_radians().tan()),
];

fn truth(holds: bool) -> f64 {
    f64::from(u8::from(holds))
}

impl Reader<'_> {
    fn value(&mut self) -> Result<f64, Fault> {
        match self.text.get(self.at) {
            Some(b'[') => self.brackets(),
            Some(b'#') => {
                self.at += 1;
                self.deeper(Self::value)
                    .and_then(|index| self.parameters.get(index))
            }
            Some(b'A'..=b'Z') => self.function(),
            // A sign may stand before all of these only inside brackets: `[1 - -3]` has a number there.
            _ => self.plain(),
        }
    }

    fn plain(&mut self) -> Result<f64, Fault> {
        // The line is no buffer: what is read ahead is made here.
        let rest = &self.text[self.at.min(self.text.len())..];
        let is_part = |byte: &u8| byte.is_ascii_digit() || matches!(byte, b'.' | b'+' | b'-');
        let length = rest.iter().take_while(|byte| is_part(byte)).count();
        let mut padded = rest[..length].to_vec();
        padded.extend([b'\n'; PAD]);
        let (value, end) = number(&padded, 0).ok_or(Fault::NoNumber)?;
        self.at += end;
        Ok(value)
    }

    fn function(&mut self) -> Result<f64, Fault> {
        if self.eat(b"ATAN") {
            let y = self.brackets()?;
            if !self.eat(b"/") {
                return Err(Fault::Expression);
            }
            return Ok(y.atan2(self.brackets()?).to_degrees());
        }
        for (name, work) in UNARY {
            if self.eat(name) {
                return Ok(work(self.brackets()?));
            }
        }
        // A letter behind a letter: the word has no number.
        Err(Fault::NoNumber)
    }

    fn brackets(&mut self) -> Result<f64, Fault> {
        if !self.eat(b"[") {
            return Err(Fault::Expression);
        }
        let value = self.deeper(|reader| reader.joined(1))?;
        if self.eat(b"]") {
            Ok(value)
        } else {
            Err(Fault::Expression)
        }
    }

    /// Values joined by operations that bind at least so strongly; equal ones from left to right.
    fn joined(&mut self, strength: u8) -> Result<f64, Fault> {
        if strength > 3 {
            return self.value();
        }
        let mut left = self.joined(strength + 1)?;
        loop {
            let found = BINARY
                .iter()
                .find(|(name, own, _)| {
                    *own == strength && self.text[self.at.min(self.text.len())..].starts_with(name)
                })
                // A single star is none where it is the first of two.
                .filter(|(name, _, _)| *name != b"*" || self.text.get(self.at + 1) != Some(&b'*'));
            let Some((name, _, work)) = found else {
                return Ok(left);
            };
            self.at += name.len();
            left = work(left, self.joined(strength + 1)?);
        }
    }

    fn deeper(&mut self, read: impl FnOnce(&mut Self) -> Result<f64, Fault>) -> Result<f64, Fault> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(Fault::Expression);
        }
        let value = read(self);
        self.depth -= 1;
        value
    }

    fn eat(&mut self, name: &[u8]) -> bool {
        let here = self.text[self.at.min(self.text.len())..].starts_with(name);
        if here {
            self.at += name.len();
        }
        here
    }
}
