//! Tables of small measurements: which columns each kind has, in which units, and what is done with a row that lacks one.
//!
//! A column is found by a word of its head; a file without a head has its columns in the order given here. A head may name
//! the unit (`height (µm)`); otherwise it is the one given here. A row without a needed number is left out and told.

mod columns;
mod order;
mod plausible;

use quantity::si::{Length, ThermodynamicTemperature, Time, celsius, millimetre};
use quantity::{Kind, Number};

use self::columns::{Columns, label};
use self::order::{Rule, Timed, in_order};
use self::plausible::Reach;
use crate::calibration::{Corner, Measure, Print, Pull, Side, Wall};
use crate::height_map::Touch;
use crate::read::{Cell, Record, Records, listed};
use crate::simple::{Colour, Filament, Light, Voltage, Warm};
use crate::{Refused, Trouble};
use crate::{repeatability, stall};

/// Rows that were understood, and what was left out.
pub type Rows<T> = Result<(Vec<T>, Vec<Trouble>), Refused>;

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
            line: row.line,
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
    let mut columns = Columns::told(table, table.troubles.clone());
    let reach = Reach::of(Kind::Length);
    let length = |number: f64| Some(millimetre(number)).filter(|length| reach.holds(length.base()));
    let beyond = |what: &str| format!("{what} is beyond {}: look at its digits", reach.words());
    if places.iter().any(|x| length(*x).is_none()) {
        return Some(Err(Refused::new(
            beyond("a place in the head of the grid"),
            "write x in millimetres along the first row",
        )));
    }
    let mut out = Vec::new();
    for row in &table.rows {
        let Some(y) = row.cells.first().and_then(Cell::number) else {
            columns.tell(row.line, "no y at the beginning of the row; the row is left out");
            continue;
        };
        let Some(y) = length(y) else {
            columns.tell(
                row.line,
                beyond("y at the beginning of the row") + "; the row is left out",
            );
            continue;
        };
        for (x, cell) in places.iter().zip(&row.cells[1..]) {
            match cell.number().map(length) {
                Some(Some(height)) => out.push(Touch {
                    at: physics::mechanics::Point::new(millimetre(*x), y),
                    height,
                    visit: None,
                    line: row.line,
                }),
                Some(None) => columns.tell(row.line, beyond("a height") + "; the place is left out"),
                None => columns.tell(row.line, "a place without height"),
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
    let at = columns.chosen(channel, &["position", "trigger", "height", "z"], 0)?;
    let position = columns.quantities::<Length>(at, "mm")?;
    let run = columns.find(&["run", "day", "start"], usize::MAX);
    let homing = columns.find(&["homing", "series"], usize::MAX);
    let time = columns.optional::<Time>(&["time"], usize::MAX, "s")?;
    let warmth = columns.find(&["temperature"], usize::MAX);
    let scale = warmth.map(|at| columns.scale(at)).transpose()?.flatten();
    let mut out = Vec::new();
    for row in &table.rows {
        let Some(at) = columns.value(row, &position) else {
            continue;
        };
        let temperature = warmth.and_then(|at| {
            let found = temperature(row, at, scale.unwrap_or(Scale::Celsius));
            found
                .map_err(|what| columns.tell(row.line, format!("{what}; the row counts without it")))
                .ok()
        });
        out.push(repeatability::Trial {
            at,
            run: label(row, run),
            homing: label(row, homing),
            time: time.as_ref().and_then(|time| columns.time(row, time)),
            temperature,
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
    let mut others = Vec::new();
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
            columns.tell(
                row.line,
                format!("of axis {own}, which is not the one asked for; the row is left out"),
            );
            others.push(own);
            continue;
        }
        out.push(stall::Trial {
            axis: own,
            speed: columns.beside(row, speed.as_ref()),
            current: columns.beside(row, current.as_ref()),
            threshold: threshold.base(),
            ending,
            line: row.line,
        });
    }
    refuse_others(out.is_empty(), axis, others, &columns.troubles)?;
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
    let mut others = Vec::new();
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
                format!("along axis {own}, which is not the one asked for; the row is left out"),
            );
            others.push(own);
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
    refuse_others(out.is_empty(), axis, others, &columns.troubles)?;
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
            (None, Some(at)) => columns.number(row, at).map(Measure::Score),
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

/// What is said of filament, and of what the switch reports.
const SAID: &[(&str, bool)] = &[
    ("yes", true),
    ("no", false),
    ("1", true),
    ("0", false),
    ("there", true),
    ("none", false),
    ("true", true),
    ("false", false),
];

/// `filament` and `reported` (`yes` or `no`); `run on` in millimetres where it was measured.
///
/// # Errors
/// As for [`touches`].
pub fn filament(table: &Records) -> Rows<Filament> {
    let mut columns = Columns::of(table, &["filament", "reported", "run on"])?;
    // Where every look is of words alone, the first one passes for a head.
    let first = |at: usize| table.columns.get(at).map(|column| column.name.to_lowercase());
    if [first(0), first(1)]
        .iter()
        .all(|name| SAID.iter().any(|(word, _)| name.as_deref() == Some(word)))
    {
        return Err(Refused::new(
            "the file has no head, and its first look was taken for one",
            "write `filament,reported` as the first line",
        ));
    }
    let there = columns.need(&["filament", "there"], 0)?;
    let reported = columns.need(&["reported", "switch"], 1)?;
    let run_on = columns.optional::<Length>(&["run"], 2, "mm")?;
    let mut out = Vec::new();
    for row in &table.rows {
        let Some(there) = columns.word(row, there, SAID) else {
            continue;
        };
        let Some(reported) = columns.word(row, reported, SAID) else {
            continue;
        };
        out.push(Filament {
            there,
            reported,
            run_on: columns.if_noted(row, run_on.as_ref()),
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
    let words = Colour::ALL.map(|colour| (colour.word(), colour));
    let mut out = Vec::new();
    for row in &table.rows {
        let number = row.cells.get(place).and_then(Cell::number);
        let Some(place) = number.filter(|n| (1.0..=100_000.0).contains(n) && n.fract() == 0.0) else {
            columns.tell(
                row.line,
                "the place of the light is no whole number from 1; the row is left out",
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
    let at = columns.chosen(channel, &["voltage"], 1)?;
    let voltage = columns.quantities::<quantity::si::ElectricPotential>(at, "V")?;
    let current = columns.optional::<quantity::si::ElectricCurrent>(&["current"], 2, "A")?;
    let mut out = Vec::new();
    for row in &table.rows {
        if let (Some(time), Some(voltage)) = (columns.time(row, &time), columns.value(row, &voltage)) {
            out.push(Voltage {
                time,
                voltage,
                current: columns.beside(row, current.as_ref()),
                line: row.line,
            });
        }
    }
    // A low reading is a low reading, whatever its time says.
    let rule = Rule {
        backward_counts: true,
        gap: "how low the voltage was meanwhile is not known",
        anew: "the clock starts anew here; all readings count. Was the log started again, or the board that keeps the clock, as it is when its supply sags?",
    };
    let out = in_order(&mut columns, out, &rule);
    Ok((out, columns.troubles))
}

impl Timed for Voltage {
    fn seconds(&self) -> f64 {
        self.time.base()
    }
    fn line(&self) -> u64 {
        self.line
    }
    fn says_the_same(&self, other: &Self) -> bool {
        (self.voltage, self.current) == (other.voltage, other.current)
    }
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

impl Scale {
    /// The scale that a unit names.
    fn of_unit(unit: &str) -> Option<Self> {
        match unit {
            "°F" | "degF" | "F" | "℉" => Some(Self::Fahrenheit),
            "K" => Some(Self::Kelvin),
            "°C" | "degC" | "C" | "℃" => Some(Self::Celsius),
            _ => None,
        }
    }

    fn in_celsius(self, number: f64) -> f64 {
        match self {
            Self::Celsius => number,
            Self::Fahrenheit => (number - 32.0) / 1.8,
            Self::Kelvin => number - 273.15,
        }
    }
}

impl Columns<'_> {
    /// The scale that the head of a column names; a unit of another kind is refused.
    fn scale(&self, at: usize) -> Result<Option<Scale>, Refused> {
        let Some(unit) = &self.table.columns[at].unit else {
            return Ok(None);
        };
        let unknown = || {
            Refused::new(
                format!(
                    "`{unit}` in the head of `{}` is no unit of a temperature",
                    self.name(at)
                ),
                "units are °C, °F, K",
            )
        };
        Scale::of_unit(unit).map(Some).ok_or_else(unknown)
    }
}

/// Colder than this is nothing, hotter than this no part of the machine.
const BELIEVED: core::ops::Range<f64> = -273.15..2000.0;

/// The temperature of a row, or what is wrong with its cell.
fn temperature(row: &Record, at: usize, scale: Scale) -> Result<ThermodynamicTemperature, &'static str> {
    let number = row.cells.get(at).and_then(Cell::number).ok_or("no temperature")?;
    let degrees = scale.in_celsius(number);
    if BELIEVED.contains(&degrees) {
        Ok(celsius(degrees))
    } else {
        Err(
            "a temperature below absolute zero, or above 2000 °C: look at its digits, and at the unit in the head",
        )
    }
}

/// The columns that hold temperatures, by their names or units.
#[must_use]
pub fn warmth_columns(table: &Records) -> Vec<&str> {
    let of_warmth = |column: &&crate::read::Column| {
        let by_unit = column
            .unit
            .as_deref()
            .is_some_and(|unit| Scale::of_unit(unit).is_some());
        by_unit || WARM.iter().any(|word| column.has_word(word))
    };
    table
        .columns
        .iter()
        .filter(of_warmth)
        .map(|column| column.name.as_str())
        .collect()
}

/// Words for a temperature.
const WARM: [&str; 3] = ["temperature", "temp", "case"];

/// `time` in seconds, and a column of temperatures: the one named, or the first after the time. `scale` is that of a column that names
/// none, where it was said.
///
/// # Errors
/// As for [`touches`].
pub fn warmth(table: &Records, channel: Option<&str>, scale: Option<Scale>) -> Rows<Warm> {
    let mut columns = Columns::of(table, &["time", "temperature"])?;
    let time = columns.needed::<Time>(&["time"], 0, "s")?;
    let at = match (channel, &warmth_columns(table)[..]) {
        // A unit alone tells a temperature too.
        (None, [only]) if !only.is_empty() => columns.need(&[only], 1)?,
        (None, [_, _, ..]) if table.column(&WARM).is_none() => {
            let names = warmth_columns(table);
            return Err(Refused::new(
                format!(
                    "{} hold temperatures, and nothing says which is meant",
                    listed(names.into_iter())
                ),
                "name one of them as `channel`",
            ));
        }
        _ => columns.chosen(channel, &WARM, 1)?,
    };
    let stated = columns.scale(at)?.or(scale);
    let mut out = Vec::new();
    for row in &table.rows {
        let Some(time) = columns.time(row, &time) else {
            continue;
        };
        match temperature(row, at, stated.unwrap_or(Scale::Celsius)) {
            Ok(temperature) => out.push(Warm {
                time,
                temperature,
                line: row.line,
            }),
            Err(what) => columns.tell(row.line, format!("{what}; the row is left out")),
        }
    }
    if stated.is_none() {
        columns.troubles.extend(out.first().and_then(asked_for_its_scale));
    }
    let rule = Rule {
        backward_counts: false,
        gap: "the curve is drawn over it",
        anew: "the clock starts anew here: a reset, or two logs in one file",
    };
    let out = in_order(&mut columns, out, &rule);
    Ok((out, columns.troubles))
}

/// A log begins near the temperature of a room. One that does only in another scale is asked for its scale.
fn asked_for_its_scale(first: &Warm) -> Option<Trouble> {
    let number = first.temperature.base() - 273.15;
    let room = 0.0..42.0;
    let likely = [
        (Scale::Fahrenheit, "Fahrenheit", "°F"),
        (Scale::Kelvin, "kelvin", "K"),
    ];
    let (_, name, unit) = likely
        .into_iter()
        .find(|(scale, _, _)| !room.contains(&number) && room.contains(&scale.in_celsius(number)))?;
    Some(Trouble::of_all(format!(
        "the log begins at {number:.0} and names no unit: degrees Celsius were taken, but it would begin near the room in {name}; write `({unit})` \
         in the head, or `scale` in the entry"
    )))
}

impl Timed for Warm {
    fn seconds(&self) -> f64 {
        self.time.base()
    }
    fn line(&self) -> u64 {
        self.line
    }
    fn says_the_same(&self, other: &Self) -> bool {
        self.temperature == other.temperature
    }
}

/// A file whose rows are all about other axes than the one asked for.
fn refuse_others(
    none_left: bool,
    axis: Option<&str>,
    mut others: Vec<String>,
    troubles: &[Trouble],
) -> Result<(), Refused> {
    let (true, Some(axis), false) = (none_left, axis, others.is_empty()) else {
        return Ok(());
    };
    others.sort();
    others.dedup();
    let mend = format!(
        "ask for an axis that the file has: {}",
        listed(others.iter().map(String::as_str))
    );
    let refused = Refused::new(format!("the file holds nothing about axis {axis}"), mend);
    Err(refused.because_of(troubles.to_vec()))
}
