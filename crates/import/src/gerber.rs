//! Gerber layers, as far as an outline or pads need them: straight and circular moves, flashes, regions. Apertures count by their places alone.

use crate::drill::letters;
use crate::shapes::{Form, Piece, Point, Shapes, Unit, arc, sensible};
use crate::{MOST, Problem};

struct Reader {
    unit: Option<Unit>,
    /// Digits before and behind the point of X, then of Y.
    digits: Option<[(usize, usize); 2]>,
    /// Whether trailing zeros are left out, as in old files; else leading ones.
    no_trailing: bool,
    at: Point,
    /// 1 straight, 2 clockwise, 3 counter-clockwise.
    mode: u32,
    /// Whether arcs may be longer than a quarter.
    multi: bool,
    /// 1 draw, 2 move, 3 flash: what a place without one does.
    last: u32,
    shapes: Shapes,
}

/// # Errors
/// [`Problem`] where unit or digits are not stated, or the file has no end.
pub(crate) fn read(text: &str) -> Result<Shapes, Problem> {
    let mut reader = Reader {
        unit: None,
        digits: None,
        no_trailing: false,
        at: (0.0, 0.0),
        mode: 1,
        multi: true,
        last: 2,
        shapes: Shapes::new(Form::Gerber),
    };
    let mut line = 1;
    let mut ended = false;
    for word in text.split('*') {
        let begins = line;
        line += word.bytes().filter(|byte| *byte == b'\n').count();
        let word: String = word
            .chars()
            .filter(|letter| !letter.is_whitespace() && *letter != '%')
            .collect();
        let word = word.as_str();
        if word == "M02" || word == "M00" {
            ended = true;
            break;
        }
        if let Some(rest) = word.strip_prefix("FS") {
            reader.format(rest, begins)?;
        } else if let Some(rest) = word.strip_prefix("MO") {
            reader.unit = match rest {
                "MM" => Some(Unit::Millimetre),
                "IN" => Some(Unit::Inch),
                _ => None,
            };
        } else if !word.starts_with("G04") && word.starts_with(['G', 'X', 'Y', 'D', 'I', 'J']) {
            reader.word(word, begins)?;
        }
    }
    if !ended {
        return Err(Problem::new(
            None,
            "the Gerber file has no end (`M02`): it is cut short",
            "export it again",
        ));
    }
    Ok(reader.shapes)
}

impl Reader {
    /// `LAX46Y46`.
    fn format(&mut self, text: &str, line: usize) -> Result<(), Problem> {
        let wrong = || {
            Problem::new(
                line,
                format!("`%FS{text}` is no format of numbers"),
                "export it again",
            )
        };
        self.no_trailing = text.starts_with('T');
        if text.chars().nth(1) == Some('I') {
            return Err(Problem::new(
                line,
                "places are told relative to each other",
                "export it with absolute places",
            ));
        }
        let mut found = [None, None];
        for (letter, value) in letters(text) {
            let digits: Vec<usize> = value
                .bytes()
                .map(|byte| usize::from(byte.wrapping_sub(b'0')))
                .collect();
            let place = match letter {
                'X' => 0,
                'Y' => 1,
                _ => continue,
            };
            let [whole, behind] = digits[..] else {
                return Err(wrong());
            };
            if whole > 9 || behind > 9 {
                return Err(wrong());
            }
            found[place] = Some((whole, behind));
        }
        let [Some(x), Some(y)] = found else {
            return Err(wrong());
        };
        self.digits = Some([x, y]);
        Ok(())
    }

    fn word(&mut self, word: &str, line: usize) -> Result<(), Problem> {
        let (mut to, mut centre) = (self.at, (0.0, 0.0));
        let mut does = None;
        let mut placed = false;
        for (letter, value) in letters(word) {
            match letter {
                'G' => match value.parse::<u32>() {
                    Ok(mode @ 1..=3) => self.mode = mode,
                    Ok(74) => self.multi = false,
                    Ok(75) => self.multi = true,
                    Ok(4) => return Ok(()),
                    _ => {}
                },
                'D' => does = value.parse::<u32>().ok(),
                'X' => (to.0, placed) = (self.number(value, 0, line)?, true),
                'Y' => (to.1, placed) = (self.number(value, 1, line)?, true),
                'I' => centre.0 = self.number(value, 0, line)?,
                'J' => centre.1 = self.number(value, 1, line)?,
                _ => {}
            }
        }
        if let Some(does) = does
            && does >= 10
        {
            return Ok(());
        }
        if does.is_none() && !placed {
            return Ok(());
        }
        let does = does.unwrap_or(self.last);
        self.last = does;
        match does {
            1 if self.mode == 1 => self.shapes.pieces.push(Piece {
                from: self.at,
                to,
                bulge: 0.0,
            }),
            1 => {
                let centre = if self.multi {
                    (self.at.0 + centre.0, self.at.1 + centre.1)
                } else {
                    self.quarter(to, centre)
                };
                self.shapes
                    .pieces
                    .extend(arc(self.at, to, centre, self.mode == 3));
            }
            3 => self.shapes.pads.push(to),
            _ => {}
        }
        self.at = to;
        if self.shapes.pieces.len() + self.shapes.pads.len() > MOST {
            self.shapes.check(line)?;
        }
        Ok(())
    }

    /// The centre of an arc of at most a quarter, whose distances have no sign: the one that is as far from both ends and turns by no more.
    fn quarter(&self, to: Point, distance: Point) -> Point {
        let signs = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)];
        let centres = signs.map(|(x, y)| (self.at.0 + x * distance.0, self.at.1 + y * distance.1));
        let miss = |centre: &Point| {
            let radius = |point: Point| (point.0 - centre.0).hypot(point.1 - centre.1);
            let cross =
                (self.at.0 - centre.0) * (to.1 - centre.1) - (self.at.1 - centre.1) * (to.0 - centre.0);
            let wrong_way = (cross > 0.0) != (self.mode == 3) && cross.abs() > 1e-9;
            (radius(self.at) - radius(to)).abs() + if wrong_way { 1e9 } else { 0.0 }
        };
        let best = centres
            .into_iter()
            .min_by(|one, other| miss(one).total_cmp(&miss(other)));
        best.unwrap_or(self.at)
    }

    fn number(&self, text: &str, of: usize, line: usize) -> Result<f64, Problem> {
        let wrong = || Problem::new(line, format!("`{text}` is no coordinate"), "export it again");
        let (Some(unit), Some(digits)) = (self.unit, self.digits) else {
            return Err(Problem::new(
                line,
                "a place before unit and format of numbers are stated",
                "export it again",
            ));
        };
        let (whole, behind) = digits[of];
        let figures = text.trim_start_matches(['-', '+']);
        if figures.is_empty() || figures.len() > 18 || !figures.bytes().all(|byte| byte.is_ascii_digit()) {
            return Err(wrong());
        }
        let value: f64 = text.parse().map_err(|_| wrong())?;
        let places = if self.no_trailing {
            i32::try_from(figures.len()).unwrap_or(0) - i32::try_from(whole).unwrap_or(0)
        } else {
            i32::try_from(behind).unwrap_or(0)
        };
        sensible(value / 10_f64.powi(places) * unit.millimetres(), line)
    }
}
