//! Tables of small measurements: which columns each kind has, in which units, and what is done with a row that lacks one.
//!
//! A column is found by a word of its head; a file without a head has its columns in the order given here. A head may name
//! the unit (`height (µm)`); otherwise it is the one given here. A row without a needed number is left out and told.

use quantity::si::{Length, ThermodynamicTemperature, Time, celsius};
use quantity::{AnyValue, Number, Quantity};

use crate::calibration::{Corner, Measure, Print, Pull, Side, Wall};
use crate::height_map::Touch;
use crate::read::{Cell, Record, Records, listed};
use crate::simple::{Colour, Filament, Light, Voltage, Warm};
use crate::{Refused, Trouble};
use crate::{repeatability, stall};

/// Rows that were understood, and what was left out.
pub type Rows<T> = Result<(Vec<T>, Vec<Trouble>), Refused>;

/// Columns of a table by their words.
struct Columns<'t> {
    table: &'t Records,
    troubles: Vec<Trouble>,
}

/// A column with the unit of its numbers.
#[derive(Clone)]
struct Quantities {
    at: usize,
    name: String,
    unit: String,
}

impl<'t> Columns<'t> {
    /// The columns of a table; `order` is that of a file without a head.
    fn of(table: &'t Records, order: &[&str]) -> Result<Self, Refused> {
        let mut troubles = table.troubles.clone();
        if !table.has_head() {
            let count = table.columns.len();
            if count > order.len() {
                return Err(Refused::new(
                    format!("{count} columns without a head: nobody can tell which is which"),
                    format!("a first line with names, such as {}", quoted(order)),
                ));
            }
            let taken = quoted(&order[..count]);
            troubles.push(Trouble::of_all(format!(
                "the file has no head: its columns were taken as {taken}"
            )));
        }
        Ok(Self { table, troubles })
    }

    /// A column by its words, or by its place where the file has no head.
    fn find(&self, words: &[&str], place: usize) -> Option<usize> {
        if self.table.has_head() {
            return self.table.column(words);
        }
        (place < self.table.columns.len()).then_some(place)
    }

    fn need(&self, words: &[&str], place: usize) -> Result<usize, Refused> {
        self.find(words, place).ok_or_else(|| {
            let all = self.table.columns.iter().map(|column| column.name.as_str());
            let there = if self.table.has_head() {
                format!("the columns are {}", listed(all))
            } else {
                format!("the file has no head and {} columns", all.len())
            };
            Refused::new(
                format!("there is no column `{}`", words[0]),
                format!("{there}; a head with one of {} names it", quoted(words)),
            )
        })
    }

    /// A column of quantities of one kind. A unit that is none of that kind is refused.
    fn quantities<Q: Quantity>(&self, at: usize, unit: &str) -> Result<Quantities, Refused> {
        let column = &self.table.columns[at];
        let unit = column.unit.as_deref().unwrap_or(unit);
        let name = if column.name.is_empty() {
            format!("column {}", at + 1)
        } else {
            column.name.clone()
        };
        if AnyValue::in_unit(Q::KIND, 0.0, unit).is_none() {
            return Err(Refused::new(
                format!(
                    "`{unit}` in the head of `{name}` is no unit of a {}",
                    Q::KIND.name()
                ),
                format!("units are {}", Q::KIND.examples()),
            ));
        }
        Ok(Quantities {
            at,
            name,
            unit: unit.to_owned(),
        })
    }

    fn needed<Q: Quantity>(&self, words: &[&str], place: usize, unit: &str) -> Result<Quantities, Refused> {
        self.quantities::<Q>(self.need(words, place)?, unit)
    }

    fn optional<Q: Quantity>(
        &self,
        words: &[&str],
        place: usize,
        unit: &str,
    ) -> Result<Option<Quantities>, Refused> {
        self.find(words, place)
            .map(|at| self.quantities::<Q>(at, unit))
            .transpose()
    }

    /// The quantity of a row; a row without it is told.
    fn value<Q: Quantity>(&mut self, row: &Record, column: &Quantities) -> Option<Q> {
        let value = value(row, column);
        if value.is_none() {
            self.tell(
                row.line,
                format!("no number under `{}`; the row is left out", column.name),
            );
        }
        value
    }

    /// A word of a row out of a list; a row with another is told.
    fn word<T: Copy>(&mut self, row: &Record, at: usize, words: &[(&str, T)]) -> Option<T> {
        let text = label(row, Some(at)).unwrap_or_default().to_lowercase();
        let found = words
            .iter()
            .find(|(word, _)| *word == text)
            .map(|(_, value)| *value);
        if found.is_none() {
            let all: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            self.tell(
                row.line,
                format!("`{text}` is none of {}; the row is left out", quoted(&all)),
            );
        }
        found
    }

    /// Adds a trouble; equal ones are counted.
    fn tell(&mut self, line: u64, what: String) {
        match self
            .troubles
            .iter_mut()
            .find(|t| t.what == what && t.line.is_some())
        {
            Some(same) => same.count += 1,
            None => self.troubles.push(Trouble::at(line, what)),
        }
    }
}

fn quoted(words: &[&str]) -> String {
    words
        .iter()
        .map(|w| format!("`{w}`"))
        .collect::<Vec<_>>()
        .join(", ")
}

fn value<Q: Quantity>(row: &Record, column: &Quantities) -> Option<Q> {
    let number = row.cells.get(column.at)?.number()?;
    let value = AnyValue::in_unit(Q::KIND, number, &column.unit)?.nominal;
    value.is_finite().then(|| Q::from_base(value))
}

/// A cell as a name: text as it stands, a number as it is written.
fn label(row: &Record, at: Option<usize>) -> Option<String> {
    match row.cells.get(at?)? {
        Cell::Missing => None,
        Cell::Number(number) => Some(number.to_string()),
        Cell::Text(text) => Some(text.trim().to_owned()).filter(|t| !t.is_empty()),
    }
}

/// `x`, `y`, `height` in millimetres, and under a head `visit` where the bed was touched several times. Or a grid: the first row holds x, the first
/// column y, with a corner cell that says so (`y\x` or anything with both letters).
///
/// # Errors
/// [`Refused`] for a column that is missing or has a unit of another kind; so for all readers here.
pub fn touches(table: &Records) -> Rows<Touch> {
    if let Some(found) = grid(table) {
        return found;
    }
    let mut columns = Columns::of(table, &["x", "y", "height"])?;
    let x = columns.needed::<Length>(&["x"], 0, "mm")?;
    let y = columns.needed::<Length>(&["y"], 1, "mm")?;
    let z = columns.needed::<Length>(&["height", "z"], 2, "mm")?;
    let visit = columns.find(&["visit", "pass"], usize::MAX);
    let mut names: Vec<String> = Vec::new();
    let mut out = Vec::new();
    for row in &table.rows {
        let (Some(x), Some(y), Some(height)) = (
            columns.value(row, &x),
            columns.value(row, &y),
            columns.value(row, &z),
        ) else {
            continue;
        };
        let visit = label(row, visit).map(|name| {
            let at = names.iter().position(|own| *own == name).unwrap_or_else(|| {
                names.push(name);
                names.len() - 1
            });
            at as u32
        });
        out.push(Touch {
            at: physics::mechanics::Point::new(x, y),
            height,
            visit,
        });
    }
    Ok((out, columns.troubles))
}

/// A table whose head holds numbers but for its first cell.
fn grid(table: &Records) -> Option<Rows<Touch>> {
    let number = |text: &str| {
        text.trim()
            .replace(',', ".")
            .parse::<f64>()
            .ok()
            .filter(|n| n.is_finite())
    };
    let (corner, heads) = table.columns.split_first()?;
    let places: Vec<f64> = heads.iter().filter_map(|c| number(&c.name)).collect();
    if corner.name.is_empty() || heads.len() < 2 || places.len() != heads.len() {
        return None;
    }
    let letters = corner.name.to_lowercase();
    if !(letters.contains('x') && letters.contains('y')) {
        return Some(Err(Refused::new(
            format!(
                "`{}` in the corner of the grid does not say what its sides are",
                corner.name
            ),
            "write `y\\x` there: x along the first row, y down the first column",
        )));
    }
    let mut columns = Columns {
        table,
        troubles: table.troubles.clone(),
    };
    let mut out = Vec::new();
    for row in &table.rows {
        let Some(y) = row.cells.first().and_then(Cell::number) else {
            columns.tell(
                row.line,
                "no y at the beginning of the row; the row is left out".into(),
            );
            continue;
        };
        for (x, cell) in places.iter().zip(&row.cells[1..]) {
            match cell.number() {
                Some(height) => out.push(Touch {
                    at: physics::mechanics::Point::in_millimetres(*x, y),
                    height: quantity::si::millimetre(height),
                    visit: None,
                }),
                None => columns.tell(row.line, "a place without height".into()),
            }
        }
    }
    Some(Ok((out, columns.troubles)))
}

/// `position` in millimetres; `run`, `homing`, `time` in seconds and `temperature` in degrees Celsius where there are any.
///
/// # Errors
/// As for [`touches`].
pub fn repeated(table: &Records, channel: Option<&str>) -> Rows<repeatability::Trial> {
    let mut columns = Columns::of(table, &["position"])?;
    let words = ["position", "trigger", "height", "z"];
    let named: Vec<&str> = channel.into_iter().chain(words).collect();
    let at = match channel {
        Some(channel) => columns.need(&[channel], usize::MAX)?,
        None => columns.need(&named, 0)?,
    };
    let position = columns.quantities::<Length>(at, "mm")?;
    let run = columns.find(&["run", "day", "start"], usize::MAX);
    let homing = columns.find(&["homing", "series"], usize::MAX);
    let time = columns.optional::<Time>(&["time"], usize::MAX, "s")?;
    let warmth = columns.find(&["temperature"], usize::MAX);
    let mut out = Vec::new();
    for row in &table.rows {
        let Some(at) = columns.value(row, &position) else {
            continue;
        };
        out.push(repeatability::Trial {
            at,
            run: label(row, run),
            homing: label(row, homing),
            time: time.as_ref().and_then(|c| value(row, c)),
            temperature: warmth.and_then(|at| temperature(table, row, at, Scale::Celsius)),
            line: row.line,
        });
    }
    Ok((out, columns.troubles))
}

/// `axis`, `threshold`, `outcome` (`false trigger`, `clean`, `missed`); `speed` in mm/s and `current` in mA where they were noted.
/// Without a column `axis` all trials are of the axis given.
///
/// # Errors
/// As for [`touches`].
pub fn stalls(table: &Records, axis: Option<&str>) -> Rows<stall::Trial> {
    let mut columns = Columns::of(table, &["threshold", "outcome", "speed", "current"])?;
    let of_axis = columns.find(&["axis"], usize::MAX);
    if of_axis.is_none() && axis.is_none() {
        return Err(Refused::new(
            "neither the file nor the entry says which axis was homed",
            "add a column `axis`, or the key `axis`",
        ));
    }
    let threshold = columns.needed::<quantity::si::Ratio>(&["threshold"], 0, "")?;
    let outcome = columns.need(&["outcome", "ending", "result"], 1)?;
    let speed = columns.optional::<quantity::si::Velocity>(&["speed"], 2, "mm/s")?;
    let current = columns.optional::<quantity::si::ElectricCurrent>(&["current"], 3, "mA")?;
    let words = [
        ("false trigger", stall::Ending::FalseTrigger),
        ("false", stall::Ending::FalseTrigger),
        ("early", stall::Ending::FalseTrigger),
        ("clean", stall::Ending::Clean),
        ("ok", stall::Ending::Clean),
        ("missed", stall::Ending::Missed),
        ("late", stall::Ending::Missed),
    ];
    let mut out = Vec::new();
    for row in &table.rows {
        let Some(threshold) = columns.value::<quantity::si::Ratio>(row, &threshold) else {
            continue;
        };
        let Some(ending) = columns.word(row, outcome, &words) else {
            continue;
        };
        let own = label(row, of_axis)
            .or_else(|| axis.map(str::to_owned))
            .unwrap_or_default();
        if axis.is_some_and(|axis| axis != own) {
            columns.tell(row.line, format!("of axis {own}, which is not the one asked for"));
            continue;
        }
        out.push(stall::Trial {
            axis: own,
            speed: speed.as_ref().and_then(|c| value(row, c)),
            current: current.as_ref().and_then(|c| value(row, c)),
            threshold: threshold.base(),
            ending,
            line: row.line,
        });
    }
    Ok((out, columns.troubles))
}

/// `commanded` and `measured` in millimetres.
///
/// # Errors
/// As for [`touches`].
pub fn pulls(table: &Records) -> Rows<Pull> {
    let mut columns = Columns::of(table, &["commanded", "measured"])?;
    let commanded = columns.needed::<Length>(&["commanded", "asked"], 0, "mm")?;
    let measured = columns.needed::<Length>(&["measured", "fed"], 1, "mm")?;
    let mut out = Vec::new();
    for row in &table.rows {
        if let (Some(commanded), Some(measured)) =
            (columns.value(row, &commanded), columns.value(row, &measured))
        {
            out.push(Pull {
                commanded,
                measured,
                line: row.line,
            });
        }
    }
    Ok((out, columns.troubles))
}

/// `axis`, `nominal` and `measured` in millimetres; `side` (`outside`, `inside`, `pitch`), outside where there is no such column.
///
/// # Errors
/// As for [`touches`].
pub fn prints(table: &Records, axis: Option<&str>) -> Rows<Print> {
    let mut columns = Columns::of(table, &["nominal", "measured", "side"])?;
    let of_axis = columns.find(&["axis"], usize::MAX);
    if of_axis.is_none() && axis.is_none() {
        return Err(Refused::new(
            "neither the file nor the entry says along which axis the lengths lie",
            "add a column `axis`, or the key `axis`",
        ));
    }
    let nominal = columns.needed::<Length>(&["nominal", "drawn"], 0, "mm")?;
    let measured = columns.needed::<Length>(&["measured"], 1, "mm")?;
    let side = columns.find(&["side"], 2);
    let words = [
        ("outside", Side::Outside),
        ("inside", Side::Inside),
        ("pitch", Side::Pitch),
    ];
    let mut out = Vec::new();
    for row in &table.rows {
        let (Some(nominal), Some(measured)) = (columns.value(row, &nominal), columns.value(row, &measured))
        else {
            continue;
        };
        let side = match side {
            Some(at) => match columns.word(row, at, &words) {
                Some(side) => side,
                None => continue,
            },
            None => Side::Outside,
        };
        let own = label(row, of_axis)
            .or_else(|| axis.map(str::to_owned))
            .unwrap_or_default();
        if axis.is_some_and(|axis| axis != own) {
            columns.tell(
                row.line,
                format!("along axis {own}, which is not the one asked for"),
            );
            continue;
        }
        out.push(Print {
            axis: own,
            nominal,
            measured,
            side,
            line: row.line,
        });
    }
    Ok((out, columns.troubles))
}

/// `compensation` in seconds, and either `bulge` in millimetres or `score`.
///
/// # Errors
/// As for [`touches`].
pub fn corners(table: &Records) -> Rows<Corner> {
    let mut columns = Columns::of(table, &["compensation", "bulge"])?;
    let compensation = columns.needed::<Time>(&["compensation", "value"], 0, "s")?;
    let bulge = columns.optional::<Length>(&["bulge", "width"], 1, "mm")?;
    let score = columns.find(&["score"], usize::MAX);
    let mut out = Vec::new();
    for row in &table.rows {
        let Some(compensation) = columns.value(row, &compensation) else {
            continue;
        };
        let measure = match (&bulge, score) {
            (Some(bulge), _) => columns.value(row, bulge).map(Measure::Bulge),
            (None, Some(at)) => {
                let number = row.cells.get(at).and_then(Cell::number);
                if number.is_none() {
                    columns.tell(row.line, "no number under `score`; the row is left out".into());
                }
                number.map(Measure::Score)
            }
            (None, None) => {
                columns.need(&["bulge", "score"], usize::MAX)?;
                None
            }
        };
        if let Some(measure) = measure {
            out.push(Corner {
                compensation,
                measure,
                line: row.line,
            });
        }
    }
    Ok((out, columns.troubles))
}

/// `set` and `measured` width in millimetres.
///
/// # Errors
/// As for [`touches`].
pub fn walls(table: &Records) -> Rows<Wall> {
    let mut columns = Columns::of(table, &["set", "measured"])?;
    let set = columns.needed::<Length>(&["set", "nominal"], 0, "mm")?;
    let measured = columns.needed::<Length>(&["measured"], 1, "mm")?;
    let mut out = Vec::new();
    for row in &table.rows {
        if let (Some(set), Some(measured)) = (columns.value(row, &set), columns.value(row, &measured)) {
            out.push(Wall {
                set,
                measured,
                line: row.line,
            });
        }
    }
    Ok((out, columns.troubles))
}

/// `filament` and `reported` (`yes` or `no`); `run on` in millimetres where it was measured.
///
/// # Errors
/// As for [`touches`].
pub fn filament(table: &Records) -> Rows<Filament> {
    let mut columns = Columns::of(table, &["filament", "reported", "run on"])?;
    let there = columns.need(&["filament", "there"], 0)?;
    let reported = columns.need(&["reported", "switch"], 1)?;
    let run_on = columns.optional::<Length>(&["run"], 2, "mm")?;
    let words = [
        ("yes", true),
        ("no", false),
        ("1", true),
        ("0", false),
        ("there", true),
        ("none", false),
        ("true", true),
        ("false", false),
    ];
    let mut out = Vec::new();
    for row in &table.rows {
        let Some(there) = columns.word(row, there, &words) else {
            continue;
        };
        let Some(reported) = columns.word(row, reported, &words) else {
            continue;
        };
        out.push(Filament {
            there,
            reported,
            run_on: run_on.as_ref().and_then(|c| value(row, c)),
            line: row.line,
        });
    }
    Ok((out, columns.troubles))
}

/// `light` (its place, from 1), `told` and `shown` (`red`, `green`, `blue`, `white`, `off`, `other`).
///
/// # Errors
/// As for [`touches`].
pub fn lights(table: &Records) -> Rows<Light> {
    let mut columns = Columns::of(table, &["light", "told", "shown"])?;
    let place = columns.need(&["light", "place"], 0)?;
    let told = columns.need(&["told"], 1)?;
    let shown = columns.need(&["shown"], 2)?;
    let all = [
        Colour::Red,
        Colour::Green,
        Colour::Blue,
        Colour::White,
        Colour::Off,
        Colour::Other,
    ];
    let words = all.map(|colour| (colour.word(), colour));
    let mut out = Vec::new();
    for row in &table.rows {
        let number = row.cells.get(place).and_then(Cell::number);
        let Some(place) = number.filter(|n| (1.0..=100_000.0).contains(n) && n.fract() == 0.0) else {
            columns.tell(
                row.line,
                "the place of the light is no whole number from 1; the row is left out".into(),
            );
            continue;
        };
        let Some(told) = columns.word(row, told, &words) else {
            continue;
        };
        let Some(shown) = columns.word(row, shown, &words) else {
            continue;
        };
        out.push(Light {
            place: place as u32,
            told,
            shown,
            line: row.line,
        });
    }
    Ok((out, columns.troubles))
}

/// `time` in seconds and `voltage` in volt; `current` in ampere where it was measured.
///
/// # Errors
/// As for [`touches`].
pub fn voltages(table: &Records, channel: Option<&str>) -> Rows<Voltage> {
    let mut columns = Columns::of(table, &["time", "voltage", "current"])?;
    let time = columns.needed::<Time>(&["time"], 0, "s")?;
    let at = match channel {
        Some(channel) => columns.need(&[channel], usize::MAX)?,
        None => columns.need(&["voltage"], 1)?,
    };
    let voltage = columns.quantities::<quantity::si::ElectricPotential>(at, "V")?;
    let current = columns.optional::<quantity::si::ElectricCurrent>(&["current"], 2, "A")?;
    let mut out = Vec::new();
    for row in &table.rows {
        if let (Some(time), Some(voltage)) = (columns.value(row, &time), columns.value(row, &voltage)) {
            out.push(Voltage {
                time,
                voltage,
                current: current.as_ref().and_then(|c| value(row, c)),
                line: row.line,
            });
        }
    }
    Ok((out, columns.troubles))
}

/// A scale of temperature for a column that names none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// Degrees Celsius.
    Celsius,
    /// Degrees Fahrenheit.
    Fahrenheit,
    /// Kelvin.
    Kelvin,
}

fn temperature(table: &Records, row: &Record, at: usize, scale: Scale) -> Option<ThermodynamicTemperature> {
    let number = row.cells.get(at)?.number()?;
    let unit = table.columns[at].unit.as_deref();
    let scale = match unit {
        Some("°F" | "degF" | "F") => Scale::Fahrenheit,
        Some("K") => Scale::Kelvin,
        Some("°C" | "degC" | "C") => Scale::Celsius,
        _ => scale,
    };
    let degrees = match scale {
        Scale::Celsius => number,
        Scale::Fahrenheit => (number - 32.0) / 1.8,
        Scale::Kelvin => number - 273.15,
    };
    (-273.15..2000.0).contains(&degrees).then(|| celsius(degrees))
}

/// `time` in seconds, and a column of temperatures: the one named, or the first after the time.
///
/// # Errors
/// As for [`touches`].
pub fn warmth(table: &Records, channel: Option<&str>, scale: Scale) -> Rows<Warm> {
    let mut columns = Columns::of(table, &["time", "temperature"])?;
    let time = columns.needed::<Time>(&["time"], 0, "s")?;
    let at = match channel {
        Some(channel) => columns.need(&[channel], usize::MAX)?,
        None => columns
            .find(&["temperature", "case"], 1)
            .map_or_else(|| columns.need(&["temperature"], 1), Ok)?,
    };
    let mut out = Vec::new();
    for row in &table.rows {
        let Some(time) = columns.value(row, &time) else {
            continue;
        };
        match temperature(table, row, at, scale) {
            Some(temperature) => out.push(Warm {
                time,
                temperature,
                line: row.line,
            }),
            None => columns.tell(row.line, "no temperature; the row is left out".into()),
        }
    }
    Ok((out, columns.troubles))
}
