//! A temperature log: time, and for each heater what was measured, what was wanted, and the duty of its heater.
//!
//! [`Layout::of`] finds from the first bytes how the file is written. Then any number of [`PartReader`]s read parts of it, each part
//! whole lines, on threads of the caller; [`Layout::join`] puts the parts together and time in order. Ten million samples of one
//! heater take about 160 MB: time in full, the rest in single precision (15 µK at 250 °C), targets only where they change.

use quantity::si::{ThermodynamicTemperature, Time, celsius, second};

use super::cells::{Writing, is_remark, text, text_only};
use super::columns::{listed, name_and_unit, words};
use super::json::{Flat, flat, is_object};
use super::lines::{Line, Lines};
use super::number::{Numeral, numeral, trimmed};
use super::order::order;
use super::stamp::{Stamp, leading, stamp};
use super::terminal::{Reported, Words, reported};
use super::troubles::Troubles;
use crate::{Refused, Trouble};

/// How much of the file [`Layout::of`] wants to see: the first so many bytes, or all.
pub const HEAD: usize = 1 << 16;

/// A scale of temperature.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TemperatureScale {
    /// Degrees Celsius.
    #[default]
    Celsius,
    /// Degrees Fahrenheit.
    Fahrenheit,
    /// Kelvin.
    Kelvin,
}

impl TemperatureScale {
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Celsius => "Celsius",
            Self::Fahrenheit => "Fahrenheit",
            Self::Kelvin => "kelvin",
        }
    }
    pub(crate) fn to_celsius(self, number: f64) -> f64 {
        match self {
            Self::Celsius => number,
            Self::Fahrenheit => (number - 32.0) / 1.8,
            Self::Kelvin => number - 273.15,
        }
    }
}

/// What is known about a log besides its bytes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WhatIsKnown {
    /// The labels of terminal text.
    pub words: Words,
    /// The time between reports where the log has no time stamps.
    pub interval: Option<Time>,
    /// The scale of temperatures without a unit.
    pub scale: Option<TemperatureScale>,
    /// The number that the log writes for full duty.
    pub full_duty: Option<f64>,
    /// The number that stands for full duty behind the labels of terminal text; tables count in their own way.
    pub full_duty_of_labels: Option<f64>,
}

/// What a column holds, with the place of its channel.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Role {
    Time,
    Measured(usize),
    Target(usize),
    Duty(usize),
    Nothing,
}

#[derive(Clone, Debug, PartialEq)]
enum Form {
    Separated { writing: Writing, roles: Vec<Role> },
    Json { keys: Vec<(String, Role)> },
    Terminal,
}

/// How a log is written.
#[derive(Clone, Debug)]
pub struct Layout {
    form: Form,
    /// The line of the head, if there is one.
    head: Option<u64>,
    /// Seconds in a unit of a time column.
    time_unit: f64,
    channels: Vec<ChannelLayout>,
    known: WhatIsKnown,
    /// What had to be assumed.
    remarks: Vec<String>,
}

#[derive(Clone, Debug, Default, PartialEq)]
struct ChannelLayout {
    name: String,
    scale: TemperatureScale,
    /// Whether a unit in the head tells the scale.
    scale_is_told: bool,
    /// The number for full duty that a unit tells.
    full_duty: Option<f64>,
}

/// One heater of a log.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Channel {
    /// What the log calls it; empty where it has no name.
    pub name: String,
    /// °C; NaN where there is no number.
    pub(crate) measured: Vec<f32>,
    /// °C, where the log tells it.
    pub(crate) target: Option<Runs>,
    /// Share of full power, where the log tells it.
    pub(crate) duty: Option<Vec<f32>>,
    /// Whether file or caller told the scale of temperature; else degrees Celsius were taken.
    pub(crate) scale_is_told: bool,
}

/// A log that was read: time rises throughout.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Log {
    /// s
    pub(crate) time: Vec<f64>,
    /// The heaters, at least one.
    pub channels: Vec<Channel>,
    /// First samples of the pieces between which time was lost; the first is 0.
    pub(crate) starts: Vec<usize>,
    /// What could not be read, was left out or assumed.
    pub troubles: Vec<Trouble>,
}

impl Log {
    /// How many samples there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.time.len()
    }
    /// Whether there is none; a log that was read has at least three.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.time.is_empty()
    }
    /// From first to last sample.
    #[must_use]
    pub fn duration(&self) -> Time {
        match (self.time.first(), self.time.last()) {
            (Some(first), Some(last)) => second(last - first),
            _ => second(0.0),
        }
    }
    /// The channel of that name, whatever its case.
    #[must_use]
    pub fn channel(&self, name: &str) -> Option<&Channel> {
        self.channels
            .iter()
            .find(|channel| channel.name.eq_ignore_ascii_case(name))
    }
}

impl Channel {
    /// The last target above 0 °C, if any was told.
    #[must_use]
    pub fn wanted(&self) -> Option<ThermodynamicTemperature> {
        let target = self.target.as_ref()?;
        let last = target.values.iter().rev().find(|value| **value > 0.0)?;
        Some(celsius(f64::from(*last)))
    }
}

/// Values that change seldom: where each begins.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Runs {
    pub starts: Vec<usize>,
    pub values: Vec<f32>,
}

impl Runs {
    fn push(&mut self, at: usize, value: f32) {
        if self
            .values
            .last()
            .is_none_or(|last| last.to_bits() != value.to_bits())
        {
            self.starts.push(at);
            self.values.push(value);
        }
    }
    /// The value at a sample; NaN before the first.
    pub fn at(&self, sample: usize) -> f32 {
        match self.starts.partition_point(|start| *start <= sample) {
            0 => f32::NAN,
            place => self.values[place - 1],
        }
    }
}

/// Time and channels side by side, while they are read and put in order.
#[derive(Clone, Debug, Default)]
pub(super) struct Columns {
    pub time: Vec<f64>,
    channels: Vec<Channel>,
}

impl Columns {
    /// Moves a sample forward over those that were left out.
    pub fn keep(&mut self, from: usize, to: usize, time: f64) {
        self.time[to] = time;
        for channel in &mut self.channels {
            channel.measured[to] = channel.measured[from];
            if let Some(duty) = &mut channel.duty {
                duty[to] = duty[from];
            }
            // Runs begin at a sample; those that began at one left out begin at the next that is kept.
            if let Some(target) = &mut channel.target
                && from != to
                && let Ok(place) = target.starts.binary_search(&from)
            {
                target.starts[place] = to;
            }
        }
    }
    pub fn truncate(&mut self, count: usize) {
        self.time.truncate(count);
        for channel in &mut self.channels {
            channel.measured.truncate(count);
            if let Some(duty) = &mut channel.duty {
                duty.truncate(count);
            }
            if let Some(target) = &mut channel.target {
                let kept = target.starts.iter().take_while(|start| **start < count).count();
                target.starts.truncate(kept);
                target.values.truncate(kept);
            }
        }
    }
}

/// A part of a log that was read.
#[derive(Clone, Debug, Default)]
pub struct Part {
    columns: Columns,
    lines: u64,
    /// Lines of terminal text that report nothing of ours.
    chatter: u64,
    clock: bool,
    troubles: Troubles,
}

/// Reads one part of a log; the pieces of bytes may end anywhere.
#[derive(Clone, Debug)]
pub struct PartReader<'l> {
    layout: &'l Layout,
    lines: Lines,
    part: Part,
    /// Whether the part begins the file, with its head.
    first: bool,
}

impl Layout {
    /// Finds how a log is written from its first [`HEAD`] bytes, or all.
    ///
    /// # Errors
    /// [`Refused`] where no temperature can be found, or where it is not clear which column holds what.
    pub fn of(head: &[u8], known: WhatIsKnown) -> Result<Self, Refused> {
        text_only(head)?;
        let mut lines: Vec<(u64, &[u8])> = head
            .split(|byte| *byte == b'\n')
            .zip(1..)
            .map(|(line, number)| {
                let line = line.strip_suffix(b"\r").unwrap_or(line);
                (number, line.strip_prefix("\u{feff}".as_bytes()).unwrap_or(line))
            })
            .filter(|(_, line)| !is_remark(line))
            .collect();
        // The last line may be cut.
        if lines.len() > 1 && head.len() >= HEAD {
            lines.pop();
        }
        let Some((_, first)) = lines.first() else {
            return Err(Refused::new(
                "the file holds no line of values",
                "a log with time and temperature in each line",
            ));
        };
        if is_object(first) {
            return Self::json(&lines, known);
        }
        if is_terminal(&lines, &known.words) {
            return Ok(Self::terminal(known));
        }
        Self::separated(&lines, known)
    }

    fn new(form: Form, head: Option<u64>, known: WhatIsKnown) -> Self {
        Self {
            form,
            head,
            time_unit: 1.0,
            channels: Vec::new(),
            known,
            remarks: Vec::new(),
        }
    }

    fn terminal(mut known: WhatIsKnown) -> Self {
        known.full_duty = known.full_duty.or(known.full_duty_of_labels);
        let scale = known.scale.unwrap_or_default();
        let channels = known.words.temperatures.iter().map(|label| ChannelLayout {
            name: label.clone(),
            scale,
            ..ChannelLayout::default()
        });
        Self {
            channels: channels.collect(),
            ..Self::new(Form::Terminal, None, known)
        }
    }

    fn json(lines: &[(u64, &[u8])], known: WhatIsKnown) -> Result<Self, Refused> {
        let mut keys: Vec<String> = Vec::new();
        for (_, line) in lines.iter().take(50) {
            for (key, value) in flat(line).unwrap_or_default() {
                let is_stamp = matches!(&value, Flat::Text(text) if stamp(text.as_bytes()).is_some());
                let useful = is_stamp || !matches!(value, Flat::Text(_));
                if useful && !keys.contains(&key) {
                    keys.push(key);
                }
            }
        }
        let mut layout = Self::new(Form::Terminal, None, known);
        let roles = layout.roles(&keys)?;
        layout.form = Form::Json {
            keys: keys.into_iter().zip(roles).collect(),
        };
        Ok(layout)
    }

    fn separated(lines: &[(u64, &[u8])], known: WhatIsKnown) -> Result<Self, Refused> {
        let sample: Vec<&[u8]> = lines.iter().take(200).map(|(_, line)| *line).collect();
        let writing = Writing::of(&sample);
        let is_word =
            |cell: &[u8]| numeral(cell, writing.decimal) == Numeral::Other && stamp(trimmed(cell)).is_none();
        let (first_line, first) = lines[0];
        let cells: Vec<&[u8]> = writing.cells(first).collect();
        let has_head = cells.iter().any(|cell| is_word(cell));
        let mut layout = Self::new(Form::Terminal, has_head.then_some(first_line), known);
        let roles = if has_head {
            let names: Vec<String> = cells.iter().map(|cell| text(cell)).collect();
            layout.roles(&names)?
        } else {
            let count = cells.len();
            let all = [Role::Time, Role::Measured(0), Role::Target(0), Role::Duty(0)];
            if !(2..=4).contains(&count) {
                return Err(Refused::new(
                    format!("{count} columns without a head: nobody can tell which is which"),
                    "a first line with names, such as `time (s), temperature (°C), target (°C), duty (%)`",
                ));
            }
            let scale = layout.known.scale.unwrap_or_default();
            layout.channels.push(ChannelLayout {
                scale,
                ..ChannelLayout::default()
            });
            let names = ["time in seconds", "measured", "target", "duty"][..count].join(", ");
            layout
                .remarks
                .push(format!("the file has no head: its columns were taken as {names}"));
            all[..count].to_vec()
        };
        layout.form = Form::Separated { writing, roles };
        Ok(layout)
    }

    /// The roles of named columns, by the words in their names; what is left of a name is that of the heater.
    fn roles(&mut self, names: &[String]) -> Result<Vec<Role>, Refused> {
        const TIME: [&str; 9] = [
            "time",
            "t",
            "timestamp",
            "stamp",
            "clock",
            "elapsed",
            "seconds",
            "date",
            "s",
        ];
        const TARGET: [&str; 6] = ["target", "setpoint", "set", "wanted", "goal", "desired"];
        const DUTY: [&str; 6] = ["duty", "power", "output", "pwm", "drive", "heater"];
        const MEASURED: [&str; 6] = ["temperature", "temp", "measured", "actual", "reading", "current"];
        let mut heaters: Vec<String> = Vec::new();
        let mut roles = Vec::with_capacity(names.len());
        let has = |words: &[String], list: &[&str]| words.iter().any(|word| list.contains(&word.as_str()));
        let has_time = |roles: &[Role]| roles.contains(&Role::Time);
        for name in names {
            let (name, unit) = name_and_unit(name);
            let words = words(&name);
            let rest = |lists: &[&[&str]]| {
                let left = words
                    .iter()
                    .filter(|word| !lists.iter().any(|list| list.contains(&word.as_str())));
                left.cloned().collect::<Vec<_>>().join(" ")
            };
            // `T` beside a time column is a temperature; the first of them is time.
            let is_time = has(&words, &TIME) && words.len() <= 2 && !has_time(&roles) && name != "T";
            if is_time {
                self.time_unit = 1.0;
                if let Some(unit) = unit {
                    match time_unit(&unit) {
                        Some(seconds) => self.time_unit = seconds,
                        None => self.remarks.push(format!(
                            "`{unit}` in the head of `{name}` is no unit of a time: seconds were taken"
                        )),
                    }
                }
                roles.push(Role::Time);
                continue;
            }
            let (heater, role): (String, fn(usize) -> Role) = if has(&words, &TARGET) {
                (rest(&[&TARGET, &MEASURED, &["point"]]), Role::Target)
            } else if has(&words, &DUTY) {
                (rest(&[&DUTY]), Role::Duty)
            } else if has(&words, &MEASURED)
                || unit.as_deref().is_some_and(|unit| scale_of(unit).is_some())
                || name == "T"
            {
                (rest(&[&MEASURED]), Role::Measured)
            } else {
                roles.push(Role::Nothing);
                continue;
            };
            let heater = if heater == "t" && name == "T" {
                String::new()
            } else {
                heater
            };
            let at = heaters.iter().position(|own| *own == heater).unwrap_or_else(|| {
                heaters.push(heater.clone());
                self.channels.push(ChannelLayout {
                    name: heater,
                    scale: self.known.scale.unwrap_or_default(),
                    ..ChannelLayout::default()
                });
                heaters.len() - 1
            });
            let role = role(at);
            let channel = &mut self.channels[at];
            match (role, unit.as_deref()) {
                (Role::Measured(_), Some(unit)) => match scale_of(unit) {
                    Some(scale) => {
                        channel.scale = scale;
                        channel.scale_is_told = true;
                    }
                    None => self.remarks.push(format!(
                        "`{unit}` in the head of `{name}` is no unit of a temperature: {} was taken",
                        channel.scale.word()
                    )),
                },
                (Role::Duty(_), Some("%")) => channel.full_duty = Some(100.0),
                _ => {}
            }
            roles.push(if roles.contains(&role) {
                Role::Nothing
            } else {
                role
            });
        }
        self.drop_heaters_without_temperature(&mut roles);
        let spare: Vec<&str> = names
            .iter()
            .zip(&roles)
            .filter(|(_, role)| **role == Role::Nothing)
            .map(|(name, _)| name.as_str())
            .collect();
        if self.channels.is_empty() {
            return Err(Refused::new(
                format!(
                    "no column holds a temperature; the columns are {}",
                    listed(names.iter().map(String::as_str))
                ),
                "names with the words time, temperature, target, duty, such as `bed temperature (°C)`",
            ));
        }
        if !spare.is_empty() {
            self.remarks
                .push(format!("columns that are not used: {}", spare.join(", ")));
        }
        Ok(roles)
    }

    /// A target or duty alone is not a heater, unless there is just one with a temperature: then it is that one's.
    fn drop_heaters_without_temperature(&mut self, roles: &mut [Role]) {
        let measured: Vec<usize> = (0..self.channels.len())
            .filter(|at| roles.contains(&Role::Measured(*at)))
            .collect();
        let only = (measured.len() == 1).then(|| measured[0]);
        for at in 0..roles.len() {
            let moved = match roles[at] {
                Role::Target(own) if !measured.contains(&own) => only.map(Role::Target),
                Role::Duty(own) if !measured.contains(&own) => only.map(Role::Duty),
                _ => continue,
            };
            let moved = moved.filter(|role| !roles.contains(role));
            if let (Some(Role::Duty(to)), Role::Duty(from)) = (moved, roles[at]) {
                self.channels[to].full_duty = self.channels[to].full_duty.or(self.channels[from].full_duty);
            }
            roles[at] = moved.unwrap_or(Role::Nothing);
        }
        let place = |own: usize| measured.iter().position(|at| *at == own).unwrap_or(0);
        for role in roles.iter_mut() {
            *role = match *role {
                Role::Measured(own) => Role::Measured(place(own)),
                Role::Target(own) => Role::Target(place(own)),
                Role::Duty(own) => Role::Duty(place(own)),
                other => other,
            };
        }
        self.channels = measured.iter().map(|at| self.channels[*at].clone()).collect();
    }

    /// A reader for a part: the first one with the head of the file, or a later one. A part is made of whole lines.
    #[must_use]
    pub fn part(&self, first: bool) -> PartReader<'_> {
        let channel = |own: &ChannelLayout| Channel {
            name: own.name.clone(),
            ..Channel::default()
        };
        PartReader {
            layout: self,
            lines: Lines::default(),
            part: Part {
                columns: Columns {
                    time: Vec::new(),
                    channels: self.channels.iter().map(channel).collect(),
                },
                ..Part::default()
            },
            first,
        }
    }

    /// Puts parts together, in their order, and time in order.
    ///
    /// # Errors
    /// [`Refused`] where there is no time, fewer than three samples, or no channel with numbers.
    pub fn join(&self, parts: Vec<Part>) -> Result<Log, Refused> {
        let mut parts = parts.into_iter();
        let mut all = parts.next().unwrap_or_default();
        for part in parts {
            all.append(part);
        }
        let Part {
            mut columns,
            lines: _,
            chatter,
            clock,
            mut troubles,
        } = all;
        for remark in &self.remarks {
            troubles.of_all(remark);
        }
        if chatter > 0 {
            let (lines, were) = if chatter == 1 {
                ("line", "was")
            } else {
                ("lines", "were")
            };
            troubles.of_all(format!(
                "{chatter} {lines} without a temperature {were} passed over"
            ));
        }
        self.without_stamps(&mut columns, &mut troubles)?;
        drop_empty(&mut columns, &mut troubles);
        if columns.time.len() < 3 || columns.channels.is_empty() {
            let count = columns.time.len();
            let refused = Refused::new(
                format!("{count} samples with time and temperature: too few to say anything"),
                "a log of at least some minutes; see the lines that could not be read",
            );
            return Err(refused.because_of(troubles.into_inner()));
        }
        let starts = order(&mut columns, clock, &mut troubles);
        let first = columns.time[0];
        for time in &mut columns.time {
            *time -= first;
        }
        for channel in &mut columns.channels {
            self.scale_duty(channel, &mut troubles);
            let told = self.channels.iter().find(|own| own.name == channel.name);
            channel.scale_is_told = self.known.scale.is_some() || told.is_some_and(|own| own.scale_is_told);
            hot(channel, &mut troubles);
        }
        Ok(Log {
            time: columns.time,
            channels: columns.channels,
            starts,
            troubles: troubles.into_inner(),
        })
    }

    /// Gives samples without a stamp the time that is known to lie between them.
    fn without_stamps(&self, columns: &mut Columns, troubles: &mut Troubles) -> Result<(), Refused> {
        let missing = columns.time.iter().filter(|time| time.is_nan()).count();
        if missing == 0 {
            return Ok(());
        }
        if missing < columns.time.len() {
            let time = std::mem::take(&mut columns.time);
            columns.time = vec![0.0; time.len()];
            let mut kept = 0;
            for (at, time) in time.iter().enumerate().filter(|(_, time)| !time.is_nan()) {
                columns.keep(at, kept, *time);
                kept += 1;
            }
            columns.truncate(kept);
            troubles.of_all(format!("{missing} samples without a time stamp were left out"));
            return Ok(());
        }
        let Some(interval) = self
            .known
            .interval
            .map(quantity::Number::base)
            .filter(|interval| *interval > 0.0)
        else {
            let refused = Refused::new(
                "the log has no time stamps",
                "state the time between its reports, such as `interval = \"1 s\"`, or log with time stamps",
            );
            return Err(refused.because_of(std::mem::take(troubles).into_inner()));
        };
        for (at, time) in columns.time.iter_mut().enumerate() {
            *time = at as f64 * interval;
        }
        troubles.of_all(format!(
            "the log has no time stamps: reports were taken as {interval} s apart"
        ));
        Ok(())
    }

    fn scale_duty(&self, channel: &mut Channel, troubles: &mut Troubles) {
        let own = self.channels.iter().find(|own| own.name == channel.name);
        let Some(duty) = &mut channel.duty else { return };
        let most = duty.iter().copied().fold(0.0, f32::max);
        let told = own.and_then(|own| own.full_duty).or(self.known.full_duty);
        #[expect(
            clippy::cast_possible_truncation,
            reason = "duties are stored in single precision"
        )]
        let full = told.map_or(if most <= 1.0 { 1.0 } else { most }, |full| full as f32);
        if told.is_none() && most > 1.0 {
            troubles.of_all(format!(
                "the log does not say what it writes for full duty: {most}, its largest value, was taken; \
                 state `full_duty` if it is another one"
            ));
        }
        for value in duty {
            *value /= full;
        }
    }
}

/// Seconds in the unit of a time column.
fn time_unit(unit: &str) -> Option<f64> {
    Some(match unit {
        "s" | "sec" => 1.0,
        "ms" => 1e-3,
        "us" | "µs" => 1e-6,
        "min" => 60.0,
        "h" => 3600.0,
        _ => return None,
    })
}

fn scale_of(unit: &str) -> Option<TemperatureScale> {
    match unit {
        "°C" | "degC" | "C" | "℃" => Some(TemperatureScale::Celsius),
        "°F" | "degF" | "F" | "℉" => Some(TemperatureScale::Fahrenheit),
        "K" => Some(TemperatureScale::Kelvin),
        _ => None,
    }
}

/// Terminal text: some line has a temperature behind its label.
fn is_terminal(lines: &[(u64, &[u8])], words: &Words) -> bool {
    lines.iter().take(2_000).any(|(_, line)| {
        let mut found = false;
        let read = reported(line, words, |what| {
            found |= matches!(what, Reported::Temperature(..));
        });
        found || read.is_err()
    })
}

/// Heaters without a single number are not in the log, and one that only repeats another is not a second one.
fn drop_empty(columns: &mut Columns, troubles: &mut Troubles) {
    columns
        .channels
        .retain(|channel| channel.measured.iter().any(|value| value.is_finite()));
    let mut at = 1;
    while at < columns.channels.len() {
        let same = |one: &Channel, other: &Channel| {
            one.measured
                .iter()
                .zip(&other.measured)
                .all(|(one, other)| one.to_bits() == other.to_bits())
        };
        let twin = (0..at).find(|first| same(&columns.channels[*first], &columns.channels[at]));
        if let Some(first) = twin {
            let dropped = columns.channels.remove(at);
            let kept = &columns.channels[first].name;
            troubles.of_all(format!(
                "`{}` says the same as `{kept}` throughout and was left out",
                dropped.name
            ));
        } else {
            at += 1;
        }
    }
}

/// Hotter than any part of such a machine, °C; common practice, no source.
pub(crate) const HOTTEST: f32 = 330.0;

/// A temperature that no part of such a machine has, if it is meant in degrees Celsius.
fn hot(channel: &Channel, troubles: &mut Troubles) {
    let most = channel.measured.iter().copied().fold(f32::MIN, f32::max);
    if most > HOTTEST && !channel.scale_is_told {
        troubles.of_all(format!(
            "temperatures up to {most:.0} °C: if the log is in degrees Fahrenheit, state `scale = \"°F\"`"
        ));
    }
}

impl Part {
    fn append(&mut self, later: Part) {
        let before = self.columns.time.len();
        if let (Some(last), Some(first)) = (self.columns.time.last(), later.columns.time.first())
            && let Some(what) = disorder(*last, *first)
        {
            self.troubles.add(self.lines + 1, what);
        }
        self.troubles.append(later.troubles, self.lines);
        self.lines += later.lines;
        self.chatter += later.chatter;
        self.clock |= later.clock;
        let Columns { time, channels } = later.columns;
        self.columns.time.reserve_exact(time.len());
        self.columns.time.extend_from_slice(&time);
        drop(time);
        for (own, later) in self.columns.channels.iter_mut().zip(channels) {
            own.measured.reserve_exact(later.measured.len());
            own.measured.extend_from_slice(&later.measured);
            drop(later.measured);
            match (&mut own.duty, later.duty) {
                (Some(own), Some(later)) => own.extend_from_slice(&later),
                (Some(own), None) => own.resize(own.len() + later_len(&self.columns.time, before), f32::NAN),
                (None, Some(later)) => {
                    let mut all = vec![f32::NAN; before];
                    all.extend_from_slice(&later);
                    own.duty = Some(all);
                }
                (None, None) => {}
            }
            if let Some(runs) = later.target {
                let target = own.target.get_or_insert_default();
                for (start, value) in runs.starts.into_iter().zip(runs.values) {
                    target.push(before + start, value);
                }
            }
        }
    }
}

fn later_len(time: &[f64], before: usize) -> usize {
    time.len() - before
}

/// What is wrong with the order of two stamps.
fn disorder(last: f64, next: f64) -> Option<&'static str> {
    if next == last {
        Some("the time stamp is that of the line before")
    } else if next < last {
        Some("the time stamp goes backward")
    } else {
        None
    }
}

/// The values of one row, while it is read.
#[derive(Clone, Copy, Debug)]
struct Value {
    role: Role,
    number: f64,
}

impl PartReader<'_> {
    /// Takes a piece of the part.
    pub fn push(&mut self, piece: &[u8]) {
        let Self {
            layout,
            lines,
            part,
            first,
        } = self;
        lines.push(piece, |line| part.take(layout, *first, &line));
    }

    /// The part, whole.
    #[must_use]
    pub fn finish(self) -> Part {
        let Self {
            layout,
            mut lines,
            mut part,
            first,
        } = self;
        lines.finish(|line| part.take(layout, first, &line));
        part.lines = lines.count();
        part
    }
}

impl Part {
    fn take(&mut self, layout: &Layout, first: bool, line: &Line<'_>) {
        let Some(text) = line.text else {
            self.troubles.add(line.number, "a line of more than 64 KiB");
            return;
        };
        if is_remark(text) || first && layout.head == Some(line.number) {
            return;
        }
        match &layout.form {
            Form::Separated { writing, roles } => self.take_cells(layout, *writing, roles, line.number, text),
            Form::Json { keys } => self.take_object(layout, keys, line.number, text),
            Form::Terminal => self.take_report(layout, line.number, text),
        }
    }

    fn take_cells(&mut self, layout: &Layout, writing: Writing, roles: &[Role], line: u64, text: &[u8]) {
        let mut values = [Value {
            role: Role::Nothing,
            number: f64::NAN,
        }; 32];
        let (mut count, mut cells) = (0, 0);
        let mut time = f64::NAN;
        for cell in writing.cells(text) {
            let role = roles.get(cells).copied().unwrap_or(Role::Nothing);
            cells += 1;
            if role == Role::Nothing {
                continue;
            }
            let number = match numeral(cell, writing.decimal) {
                Numeral::Number(number) => number,
                Numeral::Missing => f64::NAN,
                Numeral::Other => {
                    match stamp(trimmed(cell)).filter(|_| role == Role::Time) {
                        Some(found) => self.stamped(found) / layout.time_unit,
                        // The cell is named; a broken number may hide others, so the row is left out whole.
                        None => {
                            self.troubles
                                .add(line, &format!("column {cells} holds no number"));
                            return;
                        }
                    }
                }
            };
            if role == Role::Time {
                time = number * layout.time_unit;
            } else if count < values.len() {
                values[count] = Value { role, number };
                count += 1;
            }
        }
        if cells != roles.len() {
            let hint = if writing.separator == b',' && cells == 2 * roles.len() {
                "; decimal commas? save the file with semicolons"
            } else {
                ""
            };
            let what = format!("{cells} cells where {} were expected{hint}", roles.len());
            self.troubles.add(line, &what);
            return;
        }
        if time.is_nan() && roles.contains(&Role::Time) {
            self.troubles.add(line, "no time");
            return;
        }
        self.row(layout, line, time, &values[..count]);
    }

    fn take_object(&mut self, layout: &Layout, keys: &[(String, Role)], line: u64, text: &[u8]) {
        let pairs = match flat(text) {
            Ok(pairs) => pairs,
            Err(what) => {
                // The parser's words name a column of the line and so differ from line to line.
                let what = what.split(" (").next().unwrap_or("no JSON");
                self.troubles.add(line, what);
                return;
            }
        };
        let mut time = f64::NAN;
        let mut values = Vec::with_capacity(keys.len());
        for (key, value) in pairs {
            let Some((_, role)) = keys.iter().find(|(own, _)| *own == key) else {
                continue;
            };
            let number = match value {
                Flat::Number(number) => number,
                Flat::Missing => f64::NAN,
                Flat::Text(text) => match stamp(text.as_bytes()).filter(|_| *role == Role::Time) {
                    Some(found) => self.stamped(found) / layout.time_unit,
                    None if *role == Role::Nothing => continue,
                    None => {
                        self.troubles.add(line, &format!("`{key}` holds no number"));
                        return;
                    }
                },
            };
            match role {
                Role::Time => time = number * layout.time_unit,
                role => values.push(Value { role: *role, number }),
            }
        }
        if time.is_nan() && keys.iter().any(|(_, role)| *role == Role::Time) {
            self.troubles.add(line, "no time");
            return;
        }
        self.row(layout, line, time, &values);
    }

    fn take_report(&mut self, layout: &Layout, line: u64, text: &[u8]) {
        let known = &layout.known.words;
        let mut values: Vec<Value> = Vec::new();
        let read = reported(text, known, |what| match what {
            Reported::Temperature(at, number, target) => {
                values.push(Value {
                    role: Role::Measured(at),
                    number,
                });
                values.extend(target.map(|number| Value {
                    role: Role::Target(at),
                    number,
                }));
            }
            Reported::Duty(at, number) => {
                let heater = &known.duties[at].1;
                if let Some(at) = known.temperatures.iter().position(|own| own == heater) {
                    values.push(Value {
                        role: Role::Duty(at),
                        number,
                    });
                }
            }
        });
        if let Err(what) = read {
            self.troubles.add(line, &what);
            return;
        }
        if !values.iter().any(|value| matches!(value.role, Role::Measured(_))) {
            self.chatter += 1;
            return;
        }
        let time = leading(text).map_or(f64::NAN, |found| self.stamped(found));
        self.row(layout, line, time, &values);
    }

    fn stamped(&mut self, stamp: Stamp) -> f64 {
        match stamp {
            Stamp::Clock(seconds) => {
                self.clock = true;
                seconds
            }
            Stamp::Date(seconds) => seconds,
        }
    }

    #[expect(
        clippy::cast_possible_truncation,
        reason = "values are stored in single precision"
    )]
    fn row(&mut self, layout: &Layout, line: u64, time: f64, values: &[Value]) {
        if let Some(what) = self.columns.time.last().and_then(|last| disorder(*last, time)) {
            self.troubles.add(line, what);
        }
        let at = self.columns.time.len();
        self.columns.time.push(time);
        for (place, channel) in self.columns.channels.iter_mut().enumerate() {
            let scale = layout.channels[place].scale;
            let (mut measured, mut target, mut duty) = (f64::NAN, f64::NAN, f64::NAN);
            for value in values {
                match value.role {
                    Role::Measured(own) if own == place => measured = scale.to_celsius(value.number),
                    Role::Target(own) if own == place => target = value.number,
                    Role::Duty(own) if own == place => duty = value.number,
                    _ => {}
                }
            }
            if measured.is_nan() && values.len() > 1 && layout.channels.len() == 1 {
                self.troubles.add(line, "no temperature");
            }
            channel.measured.push(measured as f32);
            if !target.is_nan() {
                // A heater that is off has the target 0 on every scale.
                let told = if target == 0.0 {
                    0.0
                } else {
                    scale.to_celsius(target)
                };
                channel.target.get_or_insert_default().push(at, told as f32);
            }
            match &mut channel.duty {
                Some(all) => all.push(duty as f32),
                None if duty.is_nan() => {}
                None => {
                    let mut all = vec![f32::NAN; at];
                    all.push(duty as f32);
                    channel.duty = Some(all);
                }
            }
        }
    }
}

/// Reads a whole log that is in memory.
///
/// # Errors
/// As [`Layout::of`] and [`Layout::join`].
pub fn read(bytes: &[u8], known: WhatIsKnown) -> Result<Log, Refused> {
    let layout = Layout::of(&bytes[..bytes.len().min(HEAD)], known)?;
    let mut part = layout.part(true);
    part.push(bytes);
    layout.join(vec![part.finish()])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn known() -> WhatIsKnown {
        WhatIsKnown {
            words: Words {
                temperatures: vec!["T".into(), "B".into()],
                duties: vec![("@".into(), "T".into()), ("B@".into(), "B".into())],
            },
            ..WhatIsKnown::default()
        }
    }

    fn good(text: &str) -> Log {
        read(text.as_bytes(), known()).unwrap()
    }

    fn names(log: &Log) -> Vec<&str> {
        log.channels.iter().map(|channel| channel.name.as_str()).collect()
    }

    fn said(log: &Log) -> Vec<String> {
        log.troubles.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn units_that_are_none_are_told() {
        let told = said(&good("time (ticks),temperature (V)\n0,21.5\n1,22.0\n2,22.5\n"));
        for words in [
            "`ticks` in the head of `time`",
            "`V` in the head of `temperature` is no unit",
        ] {
            assert!(
                told.iter().any(|own| own.contains(words)),
                "no {words} in {told:?}"
            );
        }
    }

    #[test]
    fn several_heaters_with_a_head() {
        let log = good(
            "# invented\ntime (s);hot end temperature (°C);hot end target (°C);hot end duty (%);bed temperature (°C)\n\
             0,0;21,5;210;100;20\n0,5;22,0;210;50;20\n1,0;NaN;210;0;20\n",
        );
        assert_eq!(names(&log), ["hot end", "bed"]);
        assert_eq!(log.time, [0.0, 0.5, 1.0]);
        let hot = &log.channels[0];
        assert_eq!(hot.measured[..2], [21.5, 22.0]);
        assert!(hot.measured[2].is_nan());
        assert_eq!(hot.target.as_ref().unwrap().at(2), 210.0);
        assert_eq!(hot.duty.as_ref().unwrap()[..2], [1.0, 0.5]);
        assert!(log.channels[1].target.is_none());
    }

    #[test]
    fn no_head_and_json_lines() {
        let log = good("0,21\n1,22\n2,23\n");
        assert_eq!(names(&log), [""]);
        assert!(said(&log)[0].contains("no head"));
        let log = good(
            "{\"time\":\"2026-01-01T00:00:00Z\",\"bed\":{\"temp\":20,\"target\":60}}\n\
             {\"time\":\"2026-01-01T00:00:02Z\",\"bed\":{\"temp\":20.5,\"target\":60}}\n{broken\n\
             {\"time\":\"2026-01-01T00:00:04Z\",\"bed\":{\"temp\":21,\"target\":60}}\n",
        );
        assert_eq!(
            (names(&log), log.time.clone()),
            (vec!["bed"], vec![0.0, 2.0, 4.0])
        );
        assert_eq!(log.troubles[0].line, Some(3));
    }

    #[test]
    fn terminal_text_with_stamps_and_chatter() {
        let log = good(
            "connected\n23:59:58.000 ok T:21.5 /0.0 B:22.0 /60.0 @:0 B@:340\nechoed words\n\
             23:59:59.000 T:21.5 /0.0 B:2x.0 /60.0\n00:00:00.000 T:21.6 /0.0 B:22.4 /60.0 @:0 B@:340\n\
             00:00:01.000 T:21.6 /0.0 B:22.6 /60.0 @:0 B@:171\n",
        );
        assert_eq!(names(&log), ["T", "B"]);
        assert_eq!(log.time, [0.0, 2.0, 3.0]);
        let all = said(&log).join("; ");
        assert!(
            all.contains("line 4: no number behind `B:`") && all.contains("2 lines without"),
            "{all}"
        );
        assert!(all.contains("past midnight") && all.contains("340"), "{all}");
    }

    #[test]
    fn terminal_text_without_stamps_needs_the_interval() {
        let text = "T:21.5 /0.0\nT:21.6 /0.0\nT:21.7 /0.0\n";
        let refused = read(text.as_bytes(), known()).unwrap_err();
        assert!(refused.mend.contains("interval"), "{refused}");
        let told = WhatIsKnown {
            interval: Some(second(2.0)),
            ..known()
        };
        assert_eq!(read(text.as_bytes(), told).unwrap().time, [0.0, 2.0, 4.0]);
    }

    #[test]
    fn time_that_does_not_rise_is_named() {
        let log = good("t,temp\n0,1\n1,2\n1,2\n2,3\n1.5,9\n3,4\n20,5\n21,6\n0,7\n1,8\n2,9\n");
        assert_eq!(log.time, [0.0, 1.0, 2.0, 3.0, 20.0, 21.0, 22.0, 23.0, 24.0]);
        assert_eq!(
            log.channels[0].measured,
            [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0]
        );
        assert_eq!(log.starts, [0, 4, 6]);
        let all = said(&log).join("; ");
        assert!(
            all.contains("line 4: the time stamp is that of the line before"),
            "{all}"
        );
        assert!(
            all.contains("line 6 and 1 more: the time stamp goes backward"),
            "{all}"
        );
        assert!(
            all.contains("a gap of 17.0 s") && all.contains("a reset"),
            "{all}"
        );
    }

    #[test]
    fn a_coarse_clock_is_spread() {
        let log = good("t,temp\n0,1\n0,2\n1,3\n1,4\n2,5\n2,6\n");
        assert_eq!(log.time, [0.0, 0.5, 1.0, 1.5, 2.0, 2.5]);
    }

    #[test]
    fn fahrenheit_is_turned_or_suspected() {
        let log = good("time,temp (°F)\n0,32\n1,212\n2,410\n");
        assert_eq!(log.channels[0].measured, [0.0, 100.0, 210.0]);
        let log = good("time,temp\n0,32\n1,212\n2,410\n");
        assert!(said(&log)[0].contains("Fahrenheit"), "{:?}", log.troubles);
    }

    #[test]
    fn what_says_nothing_is_refused_with_a_reason() {
        let problem = |text: &str| read(text.as_bytes(), known()).unwrap_err().problem;
        assert!(problem("").contains("no line"));
        assert!(problem("a\0b\0c\n").contains("not text"));
        let long = problem(&format!("{}\n{}\n", "x".repeat(50_000), "y".repeat(300)));
        assert!(long.chars().count() < 200, "{long}");
        assert!(problem("time,temp\n0,1\n1,2\n").contains("2 samples"));
        assert!(problem("1,2,3,4,5\n1,2,3,4,5\n").contains("5 columns without a head"));
        assert!(problem("time,height\n1,2\n2,3\n3,4\n").contains("no column holds a temperature"));
    }

    /// Wherever a log is cut into parts, and whatever the pieces, the result is the same.
    #[test]
    fn parts_make_the_whole() {
        let mut text = "t,temp,target,duty\n".to_owned();
        for at in 0..100 {
            let target = if at < 50 { 200 } else { 0 };
            text += &format!("{at},{},{target},{}\n", at % 7, f64::from(at % 3) / 2.0);
            if at == 60 {
                text += "broken\n";
            }
        }
        let whole = good(&text);
        let layout = Layout::of(text.as_bytes(), known()).unwrap();
        for cut in [19, 300, 700, text.len()] {
            let cut = text[..cut].rfind('\n').map_or(0, |at| at + 1);
            let (first, second) = text.as_bytes().split_at(cut);
            let parts = [(first, true), (second, false)].map(|(bytes, is_first)| {
                let mut reader = layout.part(is_first);
                bytes.chunks(13).for_each(|piece| reader.push(piece));
                reader.finish()
            });
            assert_eq!(layout.join(parts.into()).unwrap(), whole, "{cut}");
        }
    }
}
