//! Drill files: tools with their diameters, then places. A slot counts as a hole at each of its ends.

use crate::shapes::{Circle, Form, Shapes, Unit, sensible};
use crate::{MOST, Problem};

/// Which zeros of a number without a point are kept.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kept {
    Leading,
    Trailing,
}

struct Reader {
    unit: Option<Unit>,
    kept: Option<Kept>,
    /// Digits before and behind the point, where the file states them.
    digits: Option<(usize, usize)>,
    tools: Vec<(u32, f64)>,
    tool: Option<u32>,
    at: (f64, f64),
    relative: bool,
    shapes: Shapes,
}

/// # Errors
/// [`Problem`] where unit or digits are not certain, or a tool is not described.
pub(crate) fn read(text: &str, unit: Option<Unit>) -> Result<Shapes, Problem> {
    let mut reader = Reader {
        unit: None,
        kept: None,
        digits: None,
        tools: Vec::new(),
        tool: None,
        at: (0.0, 0.0),
        relative: false,
        shapes: Shapes::new(Form::Drill),
    };
    let mut header = true;
    let mut ended = false;
    for (at, line) in text.lines().enumerate() {
        let line = line.split(';').next().unwrap_or_default().trim();
        let number = at + 1;
        match line {
            "" | "M48" => {}
            "%" | "M95" => header = false,
            "M30" | "M00" => {
                ended = true;
                break;
            }
            "M71" => reader.unit = Some(Unit::Millimetre),
            "M72" => reader.unit = Some(Unit::Inch),
            "G90" => reader.relative = false,
            "G91" => reader.relative = true,
            line if line.starts_with("INCH") || line.starts_with("METRIC") => reader.units(line),
            line if header && line.starts_with('T') => reader.describe(line, unit, number)?,
            line if line.starts_with('T') => reader.select(line, number)?,
            line if line.starts_with(['X', 'Y']) => reader.hole(line, unit, number)?,
            _ => {}
        }
    }
    if !ended {
        return Err(Problem::new(
            None,
            "the drill file has no end (`M30`): it is cut short",
            "export it again",
        ));
    }
    Ok(reader.shapes)
}

fn no_unit(line: usize) -> Problem {
    Problem::new(
        line,
        "the drill file states no unit",
        "say which: --unit mm or --unit in",
    )
}

impl Reader {
    fn units(&mut self, line: &str) {
        for word in line.split(',').map(str::trim) {
            match word {
                "INCH" => self.unit = Some(Unit::Inch),
                "METRIC" => self.unit = Some(Unit::Millimetre),
                "LZ" => self.kept = Some(Kept::Leading),
                "TZ" => self.kept = Some(Kept::Trailing),
                word => {
                    if let Some((whole, rest)) = word.split_once('.')
                        && !whole.is_empty()
                        && word.bytes().all(|byte| byte == b'0' || byte == b'.')
                        && word.len() < 12
                    {
                        self.digits = Some((whole.len(), rest.len()));
                    }
                }
            }
        }
    }

    fn known(&self, unit: Option<Unit>, line: usize) -> Result<Unit, Problem> {
        self.unit.or(unit).ok_or_else(|| no_unit(line))
    }

    /// `T1C1.000`: a tool and its diameter.
    fn describe(&mut self, line: &str, unit: Option<Unit>, number: usize) -> Result<(), Problem> {
        let Some((tool, rest)) = line[1..].split_once('C') else {
            return Ok(());
        };
        let end = rest
            .find(|letter: char| letter != '.' && !letter.is_ascii_digit())
            .unwrap_or(rest.len());
        let (Ok(tool), Ok(diameter)) = (digits(tool).parse(), rest[..end].parse::<f64>()) else {
            return Err(Problem::new(
                number,
                format!("`{line}` is no tool"),
                "export it again",
            ));
        };
        let diameter = sensible(diameter * self.known(unit, number)?.millimetres(), number)?;
        if self.tools.len() > 10_000 {
            return Err(Problem::new(number, "more than 10000 tools", "export it again"));
        }
        self.tools.push((tool, diameter));
        Ok(())
    }

    fn select(&mut self, line: &str, number: usize) -> Result<(), Problem> {
        let tool = digits(&line[1..]);
        let tool: u32 = tool
            .parse()
            .map_err(|_| Problem::new(number, format!("`{line}` is no tool"), "export it again"))?;
        // T0 lays the tool down.
        self.tool = (tool != 0).then_some(tool);
        Ok(())
    }

    fn hole(&mut self, line: &str, unit: Option<Unit>, number: usize) -> Result<(), Problem> {
        let millimetres = self.known(unit, number)?.millimetres();
        let tool = self
            .tool
            .and_then(|tool| self.tools.iter().find(|own| own.0 == tool));
        let Some((_, diameter)) = tool.copied() else {
            return Err(Problem::new(
                number,
                "a hole whose tool is not described",
                "export it with its tools in the header",
            ));
        };
        for part in line.split("G85") {
            let mut to = if self.relative { (0.0, 0.0) } else { self.at };
            for (letter, value) in letters(part) {
                let value = self.number(value, number)? * millimetres;
                match letter {
                    'X' => to.0 = value,
                    'Y' => to.1 = value,
                    _ => {}
                }
            }
            if self.relative {
                to = (self.at.0 + to.0, self.at.1 + to.1);
            }
            self.at = (sensible(to.0, number)?, sensible(to.1, number)?);
            self.shapes.holes.push(Circle {
                at: self.at,
                diameter,
            });
            if self.shapes.holes.len() > MOST {
                self.shapes.check(number)?;
            }
        }
        Ok(())
    }

    /// A coordinate in the unit of the file.
    fn number(&self, text: &str, line: usize) -> Result<f64, Problem> {
        let wrong = || Problem::new(line, format!("`{text}` is no coordinate"), "export it again");
        if text.contains('.') {
            return text.parse().map_err(|_| wrong());
        }
        let (sign, figures) = match text.strip_prefix('-') {
            Some(rest) => (-1.0, rest),
            None => (1.0, text.strip_prefix('+').unwrap_or(text)),
        };
        if figures.is_empty() || figures.len() > 12 || !figures.bytes().all(|byte| byte.is_ascii_digit()) {
            return Err(wrong());
        }
        let usual = match self.unit {
            Some(Unit::Inch) => Some((2, 4)),
            _ => None,
        };
        let (Some(kept), Some((whole, behind))) = (self.kept, self.digits.or(usual)) else {
            return Err(Problem::new(
                line,
                "coordinates without a point, and the header does not say where it stands",
                "export it with decimal points",
            ));
        };
        let value: f64 = figures.parse().map_err(|_| wrong())?;
        let places = match kept {
            Kept::Trailing => behind,
            // Leading zeros are kept: the figures are filled up from behind.
            Kept::Leading => figures.len().saturating_sub(whole),
        };
        let filled = if kept == Kept::Leading && figures.len() < whole {
            value * 10_f64.powi(i32::try_from(whole - figures.len()).unwrap_or(0))
        } else {
            value
        };
        Ok(sign * filled / 10_f64.powi(i32::try_from(places).unwrap_or(0)))
    }
}

/// The digits that a text begins with.
fn digits(text: &str) -> &str {
    let end = text
        .find(|letter: char| !letter.is_ascii_digit())
        .unwrap_or(text.len());
    &text[..end]
}

/// Letters, each with the number behind it.
pub(crate) fn letters(text: &str) -> impl Iterator<Item = (char, &str)> {
    let mut rest = text;
    core::iter::from_fn(move || {
        let start = rest.find(|letter: char| letter.is_ascii_alphabetic())?;
        let letter = rest[start..].chars().next()?;
        let value = &rest[start + 1..];
        let end = value
            .find(|letter: char| !(letter.is_ascii_digit() || matches!(letter, '.' | '-' | '+')))
            .unwrap_or(value.len());
        rest = &value[end..];
        Some((letter, &value[..end]))
    })
}
