//! What each column of a log holds, by the words and the unit in its head.

use std::sync::LazyLock;

use super::WhatIsKnown;
use crate::Refused;
use crate::read::TemperatureScale;
use crate::read::columns::{listed, name_and_unit, words};

/// What a column holds, with the place of its channel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Role {
    Time,
    Measured(usize),
    Target(usize),
    Duty(usize),
    Nothing,
}

/// What is known of a channel before its first row.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct ChannelLayout {
    pub name: String,
    pub scale: TemperatureScale,
    /// Whether a unit in the head tells the scale.
    pub scale_is_told: bool,
    /// The number for full duty that a unit tells.
    pub full_duty: Option<f64>,
    /// Watts in a unit of the duty, where that is a power.
    pub watts: Option<f64>,
}

impl ChannelLayout {
    pub fn named(name: impl Into<String>, known: &WhatIsKnown) -> Self {
        Self {
            name: name.into(),
            scale: known.scale.unwrap_or_default(),
            ..Self::default()
        }
    }
}

/// The columns of a log.
#[derive(Clone, Debug)]
pub(super) struct Heads {
    pub roles: Vec<Role>,
    pub channels: Vec<ChannelLayout>,
    /// Seconds in a unit of the time column.
    pub time_unit: f64,
    /// Whether a unit of the time is told.
    pub time_is_told: bool,
    /// What had to be assumed.
    pub remarks: Vec<String>,
}

/// Words of heads by what their columns hold.
static ALIASES: LazyLock<Vec<(&str, &str)>> = LazyLock::new(|| {
    let rows = include_str!("aliases.csv")
        .lines()
        .filter(|line| !line.starts_with('#'));
    rows.skip(1).filter_map(|line| line.split_once(',')).collect()
});

/// A duty, and a name as well.
const HEATER: &str = "heater";
const TIME: &str = "time";
const TARGET: &str = "target";
const DUTY: &str = "duty";
const MEASURED: &str = "measured";

/// Whether a word stands for a role.
fn means(word: &str, role: &str) -> bool {
    ALIASES.iter().any(|(own, of)| *own == word && *of == role)
}

impl Heads {
    /// Columns that are told otherwise than by names.
    pub fn told(roles: Vec<Role>, channels: Vec<ChannelLayout>) -> Self {
        Self {
            roles,
            channels,
            time_unit: 1.0,
            time_is_told: false,
            remarks: Vec::new(),
        }
    }

    /// The roles of named columns, by the words in their names; what is left of a name is that of the heater.
    pub fn of(names: &[String], known: &WhatIsKnown) -> Result<Self, Refused> {
        let mut heads = Self::told(Vec::with_capacity(names.len()), Vec::new());
        let small = small_units(names);
        for name in names {
            let role = match small.then(|| with_unit(name)).flatten() {
                Some(name) => heads.role(&name, known),
                None => heads.role(name, known),
            };
            // A column that repeats the role of another is not used.
            let role = if heads.roles.contains(&role) {
                Role::Nothing
            } else {
                role
            };
            heads.roles.push(role);
        }
        heads.take_bare_names(names, known);
        heads.drop_heaters_without_temperature();
        if heads.channels.is_empty() {
            return Err(Refused::new(
                format!(
                    "no column holds a temperature; the columns are {}",
                    listed(names.iter().map(String::as_str))
                ),
                "names with the words time, temperature, target, duty, such as `bed temperature (°C)`",
            ));
        }
        heads.tell_spare(names);
        Ok(heads)
    }

    fn role(&mut self, name: &str, known: &WhatIsKnown) -> Role {
        let (name, unit) = name_and_unit(name);
        let words = words(&name);
        // `T` beside a time column is a temperature; the first of them is time.
        let has_time = self.roles.contains(&Role::Time);
        if has(&words, TIME) && words.len() <= 2 && !has_time && name != "T" {
            self.take_time_unit(&name, unit.as_deref());
            return Role::Time;
        }
        let Some((heater, role)) = of_heater(&name, &words, unit.as_deref()) else {
            return Role::Nothing;
        };
        let at = self.channel(heater, known);
        let role = role(at);
        self.take_unit(role, &name, unit.as_deref());
        role
    }

    /// The place of the channel of a heater.
    fn channel(&mut self, heater: String, known: &WhatIsKnown) -> usize {
        let known_one = self.channels.iter().position(|own| own.name == heater);
        known_one.unwrap_or_else(|| {
            self.channels.push(ChannelLayout::named(heater, known));
            self.channels.len() - 1
        })
    }

    /// A column that bears the bare name of a heater is its temperature, where other columns have its target or duty and none its temperature; one
    /// of per cent is its duty.
    fn take_bare_names(&mut self, names: &[String], known: &WhatIsKnown) {
        for (at, full) in names.iter().enumerate() {
            if self.roles[at] != Role::Nothing {
                continue;
            }
            let (name, unit) = name_and_unit(full);
            let name = words(&name).join(" ");
            let Some(channel) = self.channels.iter().position(|own| own.name == name) else {
                continue;
            };
            let role = match unit.as_deref() {
                Some("%") => Role::Duty(channel),
                None => Role::Measured(channel),
                Some(_) => continue,
            };
            if name.is_empty() || self.roles.contains(&role) {
                continue;
            }
            self.roles[at] = role;
            self.take_unit(role, full, unit.as_deref());
            if role == Role::Measured(channel) && known.scale.is_none() {
                self.remarks.push(format!(
                    "`{full}` was taken for the temperature of what its target or duty is about"
                ));
            }
        }
    }

    fn take_time_unit(&mut self, name: &str, unit: Option<&str>) {
        self.time_unit = 1.0;
        let Some(unit) = unit else { return };
        self.time_is_told = true;
        match time_unit(unit) {
            Some(seconds) => self.time_unit = seconds,
            None => self.remarks.push(format!(
                "`{unit}` in the head of `{name}` is no unit of a time: seconds were taken"
            )),
        }
    }

    /// Times without a unit: those since 1970 tell by their size what they count, and whole numbers with steps of hundreds are milliseconds.
    pub fn tell_untold_time_unit(&mut self, times: &[f64]) {
        /// Seconds since 1970 reach this in the year 5138.
        const EPOCH: f64 = 1e11;
        let Some(first) = times.first().filter(|_| !self.time_is_told) else {
            return;
        };
        let since_1970 = [
            (1e17, 1e-9, "nanoseconds"),
            (1e14, 1e-6, "microseconds"),
            (EPOCH, 1e-3, "milliseconds"),
        ];
        let found = since_1970.iter().find(|(from, ..)| first.abs() >= *from);
        let mut steps: Vec<f64> = times.windows(2).map(|two| two[1] - two[0]).collect();
        steps.sort_by(f64::total_cmp);
        let step = steps.get(steps.len() / 2).copied().unwrap_or(0.0);
        // A log of minutes has steps of whole minutes.
        let counts = (90.0..=10_000.0).contains(&step) && step % 60.0 != 0.0;
        let whole = times.iter().all(|time| time.fract() == 0.0) && steps.len() >= 2;
        let (unit, word) = match found {
            Some((_, unit, word)) => (*unit, *word),
            None if counts && whole => (1e-3, "milliseconds"),
            None => return,
        };
        self.time_unit = unit;
        self.remarks.push(format!(
            "the time has no unit: {word} were taken, by the size of its numbers; write the unit behind its name"
        ));
    }

    fn take_unit(&mut self, role: Role, name: &str, unit: Option<&str>) {
        match (role, unit) {
            (Role::Measured(at), Some(unit)) => {
                let channel = &mut self.channels[at];
                match TemperatureScale::of_unit(unit) {
                    Some(scale) => {
                        channel.scale = scale;
                        channel.scale_is_told = true;
                    }
                    None => self.remarks.push(format!(
                        "`{unit}` in the head of `{name}` is no unit of a temperature: {} was taken",
                        channel.scale.word()
                    )),
                }
            }
            (Role::Duty(at), Some("%")) => self.channels[at].full_duty = Some(100.0),
            (Role::Duty(at), Some(unit)) => self.channels[at].watts = watts(unit),
            _ => {}
        }
    }

    /// A target or duty alone is not a heater, unless there is just one with a temperature: then it is that one's.
    fn drop_heaters_without_temperature(&mut self) {
        let measured: Vec<usize> = (0..self.channels.len())
            .filter(|at| self.roles.contains(&Role::Measured(*at)))
            .collect();
        let only = (measured.len() == 1).then(|| measured[0]);
        for at in 0..self.roles.len() {
            let moved = match self.roles[at] {
                Role::Target(own) if !measured.contains(&own) => only.map(Role::Target),
                Role::Duty(own) if !measured.contains(&own) => only.map(Role::Duty),
                _ => continue,
            };
            let moved = moved.filter(|role| !self.roles.contains(role));
            if let (Some(Role::Duty(to)), Role::Duty(from)) = (moved, self.roles[at]) {
                self.channels[to].full_duty = self.channels[to].full_duty.or(self.channels[from].full_duty);
                self.channels[to].watts = self.channels[to].watts.or(self.channels[from].watts);
            }
            self.roles[at] = moved.unwrap_or(Role::Nothing);
        }
        let place = |own: usize| measured.iter().position(|at| *at == own).unwrap_or(0);
        for role in &mut self.roles {
            *role = match *role {
                Role::Measured(own) => Role::Measured(place(own)),
                Role::Target(own) => Role::Target(place(own)),
                Role::Duty(own) => Role::Duty(place(own)),
                other => other,
            };
        }
        self.channels = measured.iter().map(|at| self.channels[*at].clone()).collect();
    }

    fn tell_spare(&mut self, names: &[String]) {
        let roles = names.iter().zip(&self.roles);
        let spare: Vec<&str> = roles
            .filter(|(_, role)| **role == Role::Nothing)
            .map(|(name, _)| name.as_str())
            .collect();
        if !spare.is_empty() {
            self.remarks
                .push(format!("columns that are not used: {}", spare.join(", ")));
        }
    }
}

/// Whether `_c` and `_w` behind names are units: where there are `_a` or `_b` as well, they are letters that count.
fn small_units(names: &[String]) -> bool {
    !names
        .iter()
        .any(|name| name.ends_with("_a") || name.ends_with("_b"))
}

/// A name whose unit stands behind it in small letters, with that unit as it is written.
fn with_unit(name: &str) -> Option<String> {
    let units = [
        ("_c", "°C"),
        ("_degc", "°C"),
        ("_f", "°F"),
        ("_degf", "°F"),
        ("_w", "W"),
    ];
    let found = units
        .iter()
        .find_map(|(end, unit)| Some((name.strip_suffix(end)?, unit)))?;
    let (name, unit) = found;
    (!name.is_empty()).then(|| format!("{name} ({unit})"))
}

/// What a column holds, once its channel has a place.
type OfChannel = fn(usize) -> Role;

/// The heater of a column that is not time, and what of it the column holds.
fn of_heater(name: &str, words: &[String], unit: Option<&str>) -> Option<(String, OfChannel)> {
    let rest = |roles: &[&str]| {
        let left = words.iter().filter(|word| {
            !roles
                .iter()
                .any(|role| means(word, role) || *role == word.as_str())
        });
        left.cloned().collect::<Vec<_>>().join(" ")
    };
    if let Some(found) = by_symbol(name) {
        return Some(found);
    }
    // "Heater" is the duty of a heater, or just its name beside a word that says more.
    let says_more =
        |word: &String| word != HEATER && [TARGET, DUTY, MEASURED].iter().any(|role| means(word, role));
    let is_only_named = words.iter().any(|word| word == HEATER) && words.iter().any(says_more);
    let is_duty = |word: &String| means(word, DUTY) && !(is_only_named && word == HEATER);
    let is_measured = has(words, MEASURED)
        || unit.is_some_and(|unit| TemperatureScale::of_unit(unit).is_some())
        || name == "T";
    let (heater, role): (String, OfChannel) = if has(words, TARGET) {
        (rest(&[TARGET, MEASURED, "point"]), Role::Target)
    } else if words.iter().any(is_duty) || unit == Some("%") && matches!(name, "P" | "U" | "u") {
        let left = rest(&[DUTY]);
        let is_all = left.is_empty() && is_only_named && words.len() == 2;
        (if is_all { HEATER.to_owned() } else { left }, Role::Duty)
    } else if is_measured {
        (rest(&[MEASURED]), Role::Measured)
    } else {
        return None;
    };
    let is_letter = heater == "t" && name == "T";
    Some((if is_letter { String::new() } else { heater }, role))
}

/// A symbol with a number, as textbooks of control and of heat write them: `T1` is a temperature, `Q1`, `P1` and `U1` (heat flow, power, control
/// variable) drive what it measures.
fn by_symbol(name: &str) -> Option<(String, OfChannel)> {
    let mut letters = name.chars();
    let letter = letters.next()?;
    let number = letters.as_str();
    let is_number = (1..=2).contains(&number.len()) && number.bytes().all(|digit| digit.is_ascii_digit());
    let role: OfChannel = match letter {
        _ if !is_number => return None,
        'T' => Role::Measured,
        'Q' | 'P' | 'U' => Role::Duty,
        _ => return None,
    };
    Some((format!("T{number}"), role))
}

fn has(words: &[String], role: &str) -> bool {
    words.iter().any(|word| means(word, role))
}

/// Watts in the unit of a column of power.
fn watts(unit: &str) -> Option<f64> {
    Some(match unit {
        "W" => 1.0,
        "mW" => 1e-3,
        "kW" => 1e3,
        _ => return None,
    })
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
