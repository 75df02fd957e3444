//! How the machine was set while something was measured, held against what else the swap says of that setting: what the board is told, what its
//! controller reported, what the machine's file states.
//!
//! A measurement is of the setting that it was taken under. Where another file contradicts that one, nothing is shown of the machine as it will run:
//! the report is open, names both places, and tells what the result would be under the other value where that can be told.

use evidence::read::noted::{Noted, Setting, noted};
use evidence::{Advice, Report, Trouble, Verdict, read};
use model::machine::Detail;
use model::{EvidenceKind, Topic, Zone};
use quantity::si::{Ratio, ratio};
use quantity::{AnyValue, Digits, Number as _, Value, show};
use settings::Settings;

use super::{Job, Measured};

/// Steps of an axis that are further than this off what the mechanics give are no calibration of them; common practice, no source.
const OTHER_STEPS: f64 = 0.10;

/// A log that rises to less than this share of the way from the room to the working temperature says little of what happens there; common practice,
/// no source.
const FAR_BELOW: f64 = 1.0 / 3.0;

/// A value of a setting with the place where it stands.
#[derive(Clone, Debug, PartialEq)]
struct Stated {
    value: AnyValue,
    place: String,
}

/// A setting that a measurement was taken under.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Taken {
    /// Nothing for what no controller is told: the supply.
    topic: Option<Topic>,
    of: String,
    /// What the file or its entry says, each different value once.
    stated: Vec<Stated>,
    /// What the board is told by the plan, or what the old one reported.
    told: Vec<Stated>,
    /// The share by which two values of it may differ and be the same.
    within: f64,
}

/// A value that a controller reported.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Answer {
    topic: Topic,
    of: String,
    stated: Stated,
    line: u64,
    /// What the controller was told, where that is something else.
    instead_of: Option<String>,
}

impl Taken {
    fn same(&self, one: &AnyValue, other: &AnyValue) -> bool {
        (one.nominal - other.nominal).abs() <= self.within * one.nominal.abs().max(other.nominal.abs())
    }
    /// Whether the result of the measurement is a new value of this very setting.
    fn is_calibrated(&self) -> bool {
        matches!(self.topic, Some(Topic::StepsPerLength | Topic::Flow))
    }
    /// What it is in words, with whose it is.
    fn what(&self) -> String {
        match self.topic {
            Some(topic) => format!("{} of {}", topic.title(), self.of),
            None => "voltage of the supply".to_owned(),
        }
    }
    /// The value that the result was computed with.
    fn base(&self) -> Option<&Stated> {
        self.stated.first().or(self.told.first())
    }
}

/// What a file of a small measurement, its entry and the plan say of the settings that it was taken under.
pub(super) fn taken(job: &Job<'_>, bytes: &[u8]) -> Vec<Taken> {
    let kind = job.keys.kind.value;
    let wanted: &[Setting] = match kind {
        EvidenceKind::StallThresholdTest => &[Setting::Current, Setting::Speed, Setting::Supply],
        EvidenceKind::MotorAndDriverTemperatures => &[Setting::Current, Setting::Supply],
        EvidenceKind::ExtruderCalibration | EvidenceKind::AxisCalibration => &[Setting::Steps],
        EvidenceKind::FlowCalibration => &[Setting::Flow],
        _ => return Vec::new(),
    };
    let (Some(context), Ok(table)) = (job.context, read::table(bytes)) else {
        return Vec::new();
    };
    let notes = noted(bytes, &table, wanted);
    let told = Told::of(job);
    let machine = &context.swap.machine;
    let own_axis = job.keys.axis.as_ref().map(|axis| axis.value.clone()).or_else(|| {
        let of_device = job.devices().find_map(|device| plan::axis_of(&device.detail));
        of_device.map(|axis| machine.axis(axis).name.value.clone())
    });
    let limits = job.limits();
    let alike = limits.measured_same_setting.value.nominal().base();
    let place = |note: &Noted| Stated {
        value: note.value,
        place: format!("{}:{}", job.keys.file.value, note.line),
    };
    let mut out: Vec<Taken> = Vec::new();
    for setting in wanted {
        let topic = match setting {
            Setting::Current => Some(Topic::MotorCurrent),
            Setting::Speed => Some(Topic::HomingSpeed),
            Setting::Steps => Some(Topic::StepsPerLength),
            Setting::Flow => Some(Topic::Flow),
            Setting::Supply => None,
        };
        let within = match setting {
            Setting::Current | Setting::Speed | Setting::Supply => alike,
            Setting::Steps => limits.measured_travel_error.value.nominal().base(),
            Setting::Flow => limits.measured_meter_accuracy.value.nominal().base(),
        };
        let own: Vec<&Noted> = notes.iter().filter(|note| note.setting == *setting).collect();
        // Whose it is: of each axis in the table, else of the one that the entry is about.
        let mut whose: Vec<String> = match setting {
            Setting::Flow | Setting::Supply => vec!["machine".to_owned()],
            Setting::Current | Setting::Speed | Setting::Steps => axes_of(&table),
        };
        if whose.is_empty() {
            let usual = (kind == EvidenceKind::ExtruderCalibration).then(|| "E".to_owned());
            whose.extend(own_axis.clone().or(usual));
        }
        for of in whose {
            let by_entry = match setting {
                Setting::Steps => job
                    .keys
                    .steps
                    .map(|steps| (AnyValue::from(steps.value), steps.place)),
                Setting::Flow => job.keys.flow.map(|flow| (AnyValue::from(flow.value), flow.place)),
                Setting::Current | Setting::Speed | Setting::Supply => None,
            };
            let by_entry = by_entry.map(|(value, place)| Stated {
                value,
                place: at(&context.swap.sources, place),
            });
            let by_file = own
                .iter()
                .filter(|note| note.axis.as_ref().is_none_or(|axis| *axis == of))
                .map(|note| place(note));
            let mut stated: Vec<Stated> = by_entry.into_iter().chain(by_file).collect();
            let told = match topic {
                Some(topic) => told.value(topic, &of),
                None => supply(job).into_iter().collect(),
            };
            if stated.is_empty() && *setting == Setting::Flow {
                stated.push(Stated {
                    value: Value::<Ratio>::exact(ratio(1.0)).into(),
                    place: format!("assumed for {}", job.keys.file.value),
                });
            }
            if !(stated.is_empty() && told.is_empty()) {
                out.push(Taken {
                    topic,
                    of,
                    stated,
                    told,
                    within,
                });
            }
        }
    }
    out
}

/// The voltage of the supply that the machine's file states for the board of a measurement.
fn supply(job: &Job<'_>) -> Option<Stated> {
    let swap = job.context?.swap;
    swap.machine
        .devices
        .iter()
        .find_map(|device| match &device.detail {
            Detail::Supply(supply) => {
                let old = supply.old_voltage.filter(|_| job.on_old_board() == Some(true));
                let voltage = old.unwrap_or(supply.voltage);
                Some(Stated {
                    value: voltage.value.into(),
                    place: at(&swap.sources, voltage.place),
                })
            }
            _ => None,
        })
}

/// The axes of a table in their order.
fn axes_of(table: &read::Records) -> Vec<String> {
    let Some(at) = table.column(&["axis"]) else {
        return Vec::new();
    };
    let mut out: Vec<String> = Vec::new();
    for row in table.rows() {
        let own = row
            .cells
            .get(at)
            .and_then(|cell| Some(cell.text()?.trim().to_owned()));
        out.extend(own.filter(|own| !own.is_empty() && !out.contains(own)));
    }
    out
}

fn at(sources: &model::Sources, place: model::Place) -> String {
    format!(
        "{}:{}",
        sources.file(place.file).path,
        sources.line_column(place).0
    )
}

/// What the board of a measurement is told.
struct Told {
    settings: Option<Settings>,
    /// Whether the new values count, and the old ones; both where nobody said which board it was.
    counts: [bool; 2],
    board: String,
}

impl Told {
    fn of(job: &Job<'_>) -> Self {
        let on_old = job.on_old_board();
        let plan = job.context.map(|context| context.plan);
        // The plan of another board says nothing of this one.
        let own = plan.filter(|plan| {
            on_old != Some(false) || job.board().is_none_or(|board| board == plan.board.name.value)
        });
        Self {
            settings: own.map(|plan| settings::settings(&plan.setup())),
            counts: [on_old != Some(true), on_old != Some(false)],
            board: own.map_or_else(String::new, |plan| plan.board.name.value.clone()),
        }
    }

    fn value(&self, topic: Topic, of: &str) -> Vec<Stated> {
        let found = self
            .settings
            .as_ref()
            .and_then(|settings| settings.find(topic, of));
        let new = found
            .and_then(|setting| setting.new.as_ref()?.any())
            .map(|value| Stated {
                value,
                place: format!("the settings for {}", self.board),
            });
        let old = found.and_then(|setting| {
            let old = setting.old.as_ref()?;
            Some(Stated {
                value: old.value.any()?,
                place: old.from.clone(),
            })
        });
        let [new, old] = [new.filter(|_| self.counts[0]), old.filter(|_| self.counts[1])];
        new.into_iter().chain(old).collect()
    }
}

/// Opens the reports of a small measurement whose own places, or the settings of its board, contradict each other.
pub(super) fn by_settings(taken: &[Taken], reports: &mut [Report]) {
    for one in taken {
        let Some(own) = one.stated.first() else { continue };
        let other = if one.is_calibrated() {
            // Two places beside the readings, or a value that no mechanics give.
            let aside = one
                .stated
                .iter()
                .find(|other| !one.same(&other.value, &own.value));
            let far = |told: &&Stated| (own.value.nominal / told.value.nominal - 1.0).abs() > OTHER_STEPS;
            let assumed = own.place.starts_with("assumed");
            let apart = |told: &&Stated| far(told) || assumed && !one.same(&told.value, &own.value);
            aside.or_else(|| {
                one.told
                    .iter()
                    .find(apart)
                    .filter(|_| one.told.iter().all(|told| apart(&told)))
            })
        } else {
            let fits = |told: &Stated| one.stated.iter().any(|own| one.same(&own.value, &told.value));
            one.told.first().filter(|_| !one.told.iter().any(fits))
        };
        if let Some(other) = other {
            open(reports, one, own, other);
        }
    }
}

/// Opens the reports of measurements that the answers of the same board's controller contradict.
pub(super) fn by_answers(all: &mut [Measured]) {
    for at in 0..all.len() {
        for with in 0..all.len() {
            if at == with || !all[with].is_of(all[at].board.as_ref()) {
                continue;
            }
            let answers = all[with].answers.clone();
            // Behind what the read-back itself asks for: a short list has room for the first alone.
            let mut said: Vec<Advice> = Vec::new();
            let one = &mut all[at];
            let file = one.file.clone();
            let Ok(reports) = &mut one.outcome else { continue };
            for taken in &one.taken {
                for answer in answers
                    .iter()
                    .filter(|own| Some(own.topic) == taken.topic && own.of == taken.of)
                {
                    let Some(own) = taken.base() else { continue };
                    let other = &answer.stated;
                    let fits =
                        |stated: &[Stated]| stated.iter().any(|own| taken.same(&own.value, &other.value));
                    let is_known = fits(&taken.stated)
                        || taken.is_calibrated() && !taken.stated.is_empty() && fits(&taken.told)
                        || taken.stated.is_empty() && fits(&taken.told)
                        || taken.is_calibrated() && is_result(of_axis(reports, &taken.of), taken, other);
                    if !is_known && (taken.is_calibrated() || !taken.stated.is_empty()) {
                        open(reports, taken, own, other);
                        said.push(Advice::helps(format!(
                            "Look at line {} beside {file}: {} is {} here, and that was taken at {}.",
                            answer.line,
                            taken.what(),
                            shown(&other.value),
                            shown(&own.value)
                        )));
                    }
                }
            }
            for (report, analysis) in reports.iter_mut().zip(&one.analyses) {
                let of_part = |answer: &&Answer| {
                    answer.of == analysis.ask.name
                        && is_of_a_sensor(answer.topic)
                        && answer.instead_of.is_some()
                };
                for answer in answers.iter().filter(of_part) {
                    let told = answer.instead_of.clone().unwrap_or_default();
                    let clause = format!(
                        "the controller computes its temperatures with another {} ({} in {}) than it was told ({told})",
                        answer.topic.title(),
                        shown(&answer.stated.value),
                        answer.stated.place
                    );
                    let mend = "Tell the controller its sensor again, then log anew: until then nobody knows how hot it was.";
                    opened(report, &clause, mend);
                    said.push(Advice::helps(format!(
                        "Look at line {} beside {file}: its readings were computed with this value.",
                        answer.line
                    )));
                }
            }
            if let Ok(own) = &mut all[with].outcome
                && let Some(first) = own.first_mut()
            {
                first.advice.extend(said);
            }
        }
    }
}

/// Whether a value lies within the interval of what a calibration found.
fn is_result(report: Option<&Report>, taken: &Taken, other: &Stated) -> bool {
    let figure = report.and_then(|report| {
        report
            .figures
            .iter()
            .find(|own| own.id == "steps" || own.id == "flow")
    });
    figure.is_some_and(|figure| {
        let slack = taken.within * figure.value.nominal.abs();
        figure.value.low - slack <= other.value.nominal && other.value.nominal <= figure.value.high + slack
    })
}

/// The report about an axis, else the first.
fn of_axis<'r>(reports: &'r [Report], of: &str) -> Option<&'r Report> {
    reports
        .iter()
        .find(|report| names(report, of))
        .or(reports.first())
}

fn names(report: &Report, of: &str) -> bool {
    let behind = report.title.split_once("axis ").map(|(_, behind)| behind);
    behind.is_some_and(|behind| behind.split_whitespace().next() == Some(of))
}

fn open(reports: &mut [Report], taken: &Taken, own: &Stated, other: &Stated) {
    let at = reports
        .iter()
        .position(|report| names(report, &taken.of))
        .unwrap_or(0);
    let Some(report) = reports.get_mut(at) else { return };
    let figure = report
        .figures
        .iter()
        .find(|figure| figure.id == "steps" || figure.id == "flow");
    let instead = figure
        .filter(|_| taken.is_calibrated())
        .map_or_else(String::new, |figure| {
            let nominal = figure.value.nominal * other.value.nominal / own.value.nominal;
            let value = AnyValue {
                nominal,
                low: nominal,
                high: nominal,
                ..figure.value
            };
            format!(". At the latter the result is {}", show(&value, Digits::new(4)))
        });
    let clause = format!(
        "{} is {} by {}, and {} by {}{instead}",
        taken.what(),
        shown(&own.value),
        own.place,
        shown(&other.value),
        other.place,
    );
    let mend = if taken.is_calibrated() {
        "Ask the controller which of the two it holds, and correct the other place."
    } else {
        "Measure again at the value that the machine will run at, or correct the place that is wrong."
    };
    opened(report, &clause, mend);
}

/// The report of which nothing is settled for two places that contradict each other.
pub(super) fn opened(report: &mut Report, clause: &str, mend: &str) {
    if report.sentence.starts_with(CONTRADICTION) {
        report.troubles.push(Trouble::of_all(clause));
        return;
    }
    report.verdict = report.verdict.max(Verdict::Open);
    report.sentence = format!("{CONTRADICTION}{clause}. By this file alone: {}", report.sentence);
    report.advice.insert(0, Advice::helps(mend));
}

const CONTRADICTION: &str = "Contradiction: ";

fn is_of_a_sensor(topic: Topic) -> bool {
    matches!(
        topic,
        Topic::ThermometerKind
            | Topic::ThermometerTable
            | Topic::ThermometerResistance
            | Topic::ThermometerConstant
            | Topic::ThermometerPullUp
            | Topic::ThermometerAmplification
    )
}

/// Opens the report of a heater that was held far below what is asked of it.
pub(super) fn by_target(job: &Job<'_>, analysis: &evidence::temperature::Analysis, report: &mut Report) {
    let Some(context) = job
        .context
        .filter(|_| analysis.has_target && analysis.alarm.is_none())
    else {
        return;
    };
    let heaters = context.swap.machine.heaters();
    let heaters = heaters.filter(|(_, heater)| Zone::word(heater.zone) == analysis.ask.name);
    let room = context.swap.ambient.temperature.value.nominal();
    for (device, heater) in heaters {
        let asked = heater.working_temperature.value.nominal();
        let share = (analysis.wanted().base() - room.base()) / (asked.base() - room.base());
        if report.verdict == Verdict::Pass && share < FAR_BELOW {
            let clause = format!(
                "the log holds {} ({}), and {} is asked of {} ({})",
                Value::exact(analysis.wanted()),
                job.keys.file.value,
                Value::exact(asked),
                device.name.value,
                at(&context.swap.sources, heater.working_temperature.place)
            );
            opened(
                report,
                &clause,
                "Log again at the temperature that it will work at.",
            );
        }
    }
}

/// What a controller reported, as answers to what others were taken under.
pub(super) fn answers(
    file: &str,
    read: &settings::captured::Report,
    compared: &[settings::Compared],
) -> Vec<Answer> {
    let values = read.values.iter().filter(|value| !value.overridden);
    values
        .map(|value| {
            let id = format!("{}:{}", value.topic.id(), value.of.replace(' ', "-"));
            let differs = compared
                .iter()
                .find(|own| own.id == id && own.result == settings::Match::Differs);
            Answer {
                topic: value.topic,
                of: value.of.clone(),
                stated: Stated {
                    value: value.value,
                    place: format!("{file}:{}", value.line),
                },
                line: value.line as u64,
                instead_of: differs
                    .and_then(|own| own.meant.as_ref())
                    .map(ToString::to_string),
            }
        })
        .collect()
}

/// A value in a sentence, without its tolerance.
fn shown(value: &AnyValue) -> String {
    let nominal = AnyValue {
        low: value.nominal,
        high: value.nominal,
        ..*value
    };
    show(&nominal, Digits::new(5))
}

impl Measured {
    /// Whether it was made on this board, as far as anybody said.
    fn is_of(&self, board: Option<&String>) -> bool {
        match (&self.board, board) {
            (Some(own), Some(other)) => own == other,
            _ => true,
        }
    }
}
