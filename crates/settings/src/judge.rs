//! What the old controller reported, held against its kind, the files of the swap, and its neighbours in the report.
//!
//! A terminal loses and doubles characters, and a report may be of another machine. A value that is impossible, or far from what the
//! files state, is left out: no translator sees it, its setting stays open, and [`findings`] hands the contradiction to the plan. What
//! differs by less is used, and told.

use model::machine::Detail;
use model::{Counted, Place, Reports, Topic, Whose, Zone};
use plan::{Finding, Stake, Subject, Verdict};
use quantity::si::ThermodynamicTemperature;
use quantity::{AnyValue, Digits, Kind, Number as _, Value, show};
use serde::{Serialize, Serializer};

use crate::bounds::{self, Bound};
use crate::captured::{Report, Reported, Unread};
use crate::expected::Expected;
use crate::job::{Job, List, as_counted};
use crate::list::Settings;
use crate::setting::{Old, Setting};
use crate::topics::control::{TERMS, heater};
use crate::topics::steps::explained;
use crate::units::{self, Clash};

/// A reported value that contradicts something, or one that is missing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Doubt {
    /// What it is about.
    pub topic: Topic,
    /// Whose value it is.
    pub of: String,
    /// What it is called where it is about no single setting: "empty-Hazel-H4".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub whole: Option<String>,
    /// The value, with the line of the report; nothing where it is missing.
    pub old: Option<Old>,
    /// As it stood there: "M203 X-180".
    pub text: String,
    /// Whether it is left out, and its setting stays open.
    pub left_out: bool,
    /// How bad it is; [`Verdict::Pass`] where another doubt says it all.
    pub verdict: Verdict,
    /// What it can harm.
    #[serde(serialize_with = "stake")]
    pub stake: Stake,
    /// What is wrong, in a sentence without its stop.
    pub what: String,
    /// What to do.
    pub remedy: String,
    /// Key of the bibliography for what it was held against.
    pub source: &'static str,
    /// The word in the user's files that it contradicts.
    #[serde(skip)]
    pub place: Option<Place>,
}

fn stake<S: Serializer>(stake: &Stake, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(stake.words())
}

/// So many readings of a driven heater that differ by less than [`FLAT`] show that nothing gets warm, within [`NEAR_ROOM`] of the room (kelvin).
const FLAT_LINES: usize = 3;
const FLAT: f64 = 3.0;
const NEAR_ROOM: f64 = 15.0;

/// Within this share two numbers are one.
const NEAR: f64 = 0.02;

/// One value under judgement.
struct Case<'a> {
    value: &'a Reported,
    from: String,
    /// Its name in sentences: "top speed, X".
    name: String,
}

/// What is wrong with a value.
struct Fault {
    /// What stands against it: "machine.toml:73 says 180 mm/s".
    against: String,
    /// What it looks like.
    hint: Option<String>,
    left_out: bool,
    stake: Stake,
    place: Option<Place>,
    source: &'static str,
}

/// The source of rules that no row of the table states.
const PRACTICE: &str = "common-practice";

struct Judge<'j, 'a> {
    job: &'j Job<'a>,
    expected: Expected<'a>,
    /// Words whose unit is another one in the report.
    clashes: Vec<Clash>,
    doubts: Vec<Doubt>,
}

/// Judges everything that was reported.
pub(crate) fn judge(job: &Job<'_>) -> Vec<Doubt> {
    let mut judge = Judge {
        job,
        expected: Expected { swap: job.setup.swap },
        clashes: units::clashes(job.old_dialect, job.reports),
        doubts: Vec::new(),
    };
    for (topic, of) in parts(job.reports) {
        judge.one(topic, &of);
    }
    judge.terms();
    judge.shown_by_doubtful_sensors();
    judge.missing();
    judge.dead_sensors();
    judge.doubts
}

/// Each setting of each part that was reported, once, in the order of the reports.
fn parts(reports: &[Report]) -> Vec<(Topic, String)> {
    let mut out: Vec<(Topic, String)> = Vec::new();
    for value in reports.iter().flat_map(|report| &report.values) {
        let part = (value.topic, value.of.clone());
        if !out.contains(&part) {
            out.push(part);
        }
    }
    out
}

fn name_of(topic: Topic, of: &str) -> String {
    if of == "machine" {
        topic.title().to_owned()
    } else {
        format!("{}, {of}", topic.title())
    }
}

/// "180 mm/s": four digits.
fn brief(topic: Topic, value: &AnyValue) -> String {
    match topic.counted() {
        Counted::In(_) => {
            let exact = AnyValue {
                low: value.nominal,
                high: value.nominal,
                ..*value
            };
            show(&exact, Digits::new(4))
        }
        Counted::Number | Counted::Words => as_counted(topic, value).to_string(),
    }
}

impl<'a> Judge<'_, 'a> {
    fn case(&self, topic: Topic, of: &str) -> Option<Case<'a>> {
        let (report, value) = self.job.reported(topic, of)?;
        Some(Case {
            value,
            from: format!("{}:{}", report.path, value.line),
            name: name_of(topic, of),
        })
    }

    fn number(&self, topic: Topic, of: &str) -> Option<f64> {
        Some(self.job.reported(topic, of)?.1.value.nominal)
    }

    fn knows(&self, topic: Topic, of: &str) -> bool {
        topic.whose() != Whose::Axis || self.expected.axes().any(|axis| axis == of)
    }

    /// The first fault of a value, the worst rule first.
    fn one(&mut self, topic: Topic, of: &str) {
        let Some(case) = self.case(topic, of).filter(|_| self.knows(topic, of)) else {
            return;
        };
        let bound = bounds::bound(topic, of);
        let fault = self
            .by_unit(topic, of, &case)
            .or_else(|| self.by_heat(topic, of, &case))
            .or_else(|| bound.and_then(|bound| self.by_kind(topic, of, &case, bound)))
            .or_else(|| self.by_files(topic, of, &case))
            .or_else(|| self.by_neighbours(topic, of, &case))
            .or_else(|| self.twice(topic, of, &case));
        if let Some(fault) = fault {
            self.take(&case, fault);
        }
    }

    fn take(&mut self, case: &Case<'_>, fault: Fault) {
        let Fault {
            against,
            hint,
            left_out,
            stake,
            place,
            source,
        } = fault;
        let (topic, of) = (case.value.topic, case.value.of.clone());
        let harmful = left_out && stake > Stake::Function;
        let verb = if left_out { "is left out" } else { "differs" };
        let hint = hint.map_or_else(String::new, |hint| format!(" ({hint})"));
        self.doubts.push(Doubt {
            whole: None,
            what: format!(
                "{} {verb}: {} says {}, {against}{hint}",
                case.name,
                case.from,
                brief(topic, &case.value.value)
            ),
            old: Some(Old {
                value: as_counted(topic, &case.value.value),
                from: case.from.clone(),
            }),
            text: format!("{} {}{}", case.value.word, case.value.letter, case.value.number),
            left_out,
            verdict: if harmful {
                Verdict::Blocker
            } else {
                Verdict::Caution
            },
            stake,
            remedy: remedy(
                &case.from,
                place.map(|place| self.expected.said(place)).as_deref(),
            ),
            place,
            source,
            topic,
            of,
        });
    }

    /// What the files state of a setting; of an axis with the microsteps that the report tells.
    fn stated(&self, topic: Topic, of: &str) -> Option<AnyValue> {
        let stated = self.expected.of(topic, of)?;
        if topic != Topic::StepsPerLength {
            return Some(stated);
        }
        let (old, new) = (
            self.expected
                .of(Topic::Microsteps, of)
                .map_or(16.0, |old| old.nominal),
            self.number(Topic::Microsteps, of),
        );
        let possible = |number: &f64| {
            bounds::bound(Topic::Microsteps, of).is_some_and(|bound| bound.holds(Topic::Microsteps, *number))
        };
        let factor = new.filter(possible).map_or(1.0, |new| new / old);
        Some(AnyValue {
            nominal: stated.nominal * factor,
            low: stated.low * factor,
            high: stated.high * factor,
            ..stated
        })
    }

    /// What the files say, with its place.
    fn says(&self, topic: Topic, of: &str, stated: &AnyValue) -> (String, Option<Place>) {
        let place = self.expected.place(topic, of);
        let at = place.map_or_else(
            || "the machine file".to_owned(),
            |place| self.expected.said(place),
        );
        let verb = if topic == Topic::StepsPerLength {
            "gives"
        } else {
            "says"
        };
        (format!("{at} {verb} {}", brief(topic, stated)), place)
    }

    /// Beside the unit that the report itself names.
    fn by_unit(&self, topic: Topic, of: &str, case: &Case<'_>) -> Option<Fault> {
        let value = case.value;
        let clash = self
            .clashes
            .iter()
            .find(|clash| clash.is_of(&value.word, value.letter))?;
        Some(Fault {
            against: format!("but {}", clash.what),
            hint: None,
            left_out: true,
            stake: bounds::bound(topic, of).map_or(Stake::Function, Bound::stake),
            place: None,
            source: PRACTICE,
        })
    }

    /// What is possible on no machine.
    fn by_kind(&self, topic: Topic, of: &str, case: &Case<'_>, bound: &'static Bound) -> Option<Fault> {
        let number = case.value.value.nominal;
        if bound.holds(topic, number) {
            return None;
        }
        let stated = self.stated(topic, of);
        let hint = stated.and_then(|stated| looks_like(topic, number, &stated, case.value));
        let hint = hint.or_else(|| (number < 0.0).then(|| "the sign may be wrong".to_owned()));
        let (says, place) = stated.map_or((None, None), |stated| {
            let (says, place) = self.says(topic, of, &stated);
            (Some(says), place)
        });
        let possible = format!("possible is {}", bound.words(topic));
        Some(Fault {
            against: says.map_or_else(|| possible.clone(), |says| format!("{says}, {possible}")),
            hint: hint
                .or_else(|| Some("a digit may be lost or gained, or the unit is another one".to_owned())),
            left_out: true,
            stake: bound.stake(),
            place,
            source: &bound.source,
        })
    }

    /// Temperatures that are asked of a part beside what it withstands.
    fn by_heat(&self, topic: Topic, of: &str, case: &Case<'_>) -> Option<Fault> {
        let zone = match topic {
            Topic::WarmUpHotEnd => Zone::HotEnd,
            Topic::WarmUpBed => Zone::Bed,
            Topic::HighestTemperature => *Zone::ALL.iter().find(|zone| zone.word() == of)?,
            _ => return None,
        };
        let shown = case.value.value.typed::<ThermodynamicTemperature>()?.nominal();
        if let Some((most, place, what)) = self.expected.hottest(zone)
            && shown > most
        {
            return Some(Fault {
                against: format!(
                    "at most {} fits: {what} ({})",
                    Value::exact(most),
                    self.expected.said(place)
                ),
                hint: None,
                left_out: true,
                stake: Stake::Safety,
                place: Some(place),
                source: PRACTICE,
            });
        }
        let highest = self.case(Topic::HighestTemperature, zone.word())?;
        let above = topic != Topic::HighestTemperature && shown.base() > highest.value.value.nominal;
        above.then(|| Fault {
            against: format!(
                "{} says {} as the highest temperature",
                highest.from,
                brief(highest.value.topic, &highest.value.value)
            ),
            hint: None,
            left_out: true,
            stake: Stake::Safety,
            place: None,
            source: PRACTICE,
        })
    }

    /// Beside what the files state.
    fn by_files(&self, topic: Topic, of: &str, case: &Case<'_>) -> Option<Fault> {
        let stated = self.stated(topic, of)?;
        let limits = self.job.setup.limits();
        let number = case.value.value.nominal;
        // The stated tolerance is no contradiction.
        let off = (number / stated.high).max(stated.low / number);
        let left_out = if topic == Topic::StepsPerLength {
            let wrong = limits.steps_deviation_blocker.value.nominal().base();
            let inside = stated.low.min(stated.nominal * (1.0 - wrong))
                ..=stated.high.max(stated.nominal * (1.0 + wrong));
            let caution = limits.steps_deviation_caution.value.nominal().base();
            // The wheel of an extruder bites into the filament: its steps are tuned.
            if inside.contains(&number) && (stated.low < stated.high || off < 1.0 + caution) {
                return None;
            }
            !inside.contains(&number)
        } else {
            let beside = bounds::beside(topic)?;
            if off < beside.told {
                return None;
            }
            off >= beside.left_out
        };
        let (against, place) = self.says(topic, of, &stated);
        Some(Fault {
            against,
            hint: looks_like(topic, number, &stated, case.value)
                .or_else(|| self.explained(topic, of, number / stated.nominal)),
            left_out,
            stake: bounds::bound(topic, of).map_or(Stake::Function, Bound::stake),
            place,
            source: bounds::beside(topic)
                .map_or(limits.steps_deviation_caution.source, |row| row.source.as_str()),
        })
    }

    /// What of the mechanics would make other steps right.
    fn explained(&self, topic: Topic, of: &str, ratio: f64) -> Option<String> {
        let machine = &self.job.setup.swap.machine;
        let axis = machine
            .axes
            .iter()
            .find(|axis| topic == Topic::StepsPerLength && axis.name.value == of)?;
        let old = self
            .expected
            .of(Topic::Microsteps, of)
            .map_or(16.0, |old| old.nominal);
        let motor = machine.devices.iter().find_map(|device| match &device.detail {
            Detail::Motor(motor) if machine.axis(motor.axis).name == axis.name => Some(motor),
            _ => None,
        })?;
        explained(axis, motor, old, ratio)
    }

    /// Beside others of the report, where the files say nothing.
    fn by_neighbours(&self, topic: Topic, of: &str, case: &Case<'_>) -> Option<Fault> {
        let number = case.value.value.nominal;
        let fault = |against: String| Fault {
            against,
            hint: None,
            left_out: true,
            stake: bounds::bound(topic, of).map_or(Stake::Function, Bound::stake),
            place: None,
            source: PRACTICE,
        };
        // What the files state was held against them.
        if matches!(topic, Topic::CornerSpeed | Topic::Acceleration) && self.stated(topic, of).is_some() {
            return None;
        }
        match topic {
            Topic::PrintAcceleration | Topic::TravelAcceleration | Topic::RetractAcceleration => {
                let of_axis = |axis: &&model::machine::Axis| {
                    let stated = axis.acceleration.map(|asked| asked.nominal().base());
                    stated.or_else(|| self.number(Topic::Acceleration, &axis.name.value))
                };
                let axes = self.expected.moved(topic)?;
                let all: Vec<f64> = axes.iter().filter_map(of_axis).collect();
                let (least, most) = (
                    all.iter().copied().reduce(f64::min)?,
                    all.iter().copied().reduce(f64::max)?,
                );
                let share = bounds::relation("acceleration of all axes, least share of the least axis");
                let said = |base: f64| brief(topic, &exact(case.value.value.kind, base));
                let place = self.expected.place(topic, of);
                let at = place.map_or_else(String::new, |place| format!(" ({})", self.expected.said(place)));
                let words = if number > most * (1.0 + 1e-6) {
                    format!("no axis that it moves does more than {}{at}", said(most))
                } else if number < share * least {
                    format!(
                        "each axis that it moves does {} or more{at}: a digit may be lost",
                        said(least)
                    )
                } else {
                    return None;
                };
                Some(Fault {
                    place,
                    ..fault(words)
                })
            }
            Topic::CornerSpeed => {
                let top = self.expected.of(Topic::TopSpeed, of)?;
                let place = self.expected.place(Topic::TopSpeed, of);
                let at = place.map_or_else(String::new, |place| format!(" ({})", self.expected.said(place)));
                let least = bounds::relation("sudden change, least share of the top speed");
                let most = bounds::relation("sudden change, largest share of the top speed");
                let share = number / top.nominal;
                let odd = if share < least {
                    "little"
                } else if share > most {
                    "much"
                } else {
                    return None;
                };
                Some(Fault {
                    place,
                    ..fault(format!(
                        "too {odd} beside its top speed of {}{at}: a digit may be lost or gained",
                        brief(Topic::TopSpeed, &top)
                    ))
                })
            }
            Topic::Acceleration => {
                let speed = self.number(Topic::TopSpeed, of)?;
                let axis = self
                    .job
                    .setup
                    .swap
                    .machine
                    .axes
                    .iter()
                    .find(|axis| axis.name.value == of)?;
                let travel = axis.travel?;
                let way = speed * speed / number;
                (way > travel.nominal().base()).then(|| Fault {
                    place: Some(travel.place),
                    ..fault(format!(
                        "its travel ({}) is too short to reach its top speed with it",
                        self.expected.said(travel.place)
                    ))
                })
            }
            Topic::WarmUpFan => {
                let full = self.job.old_dialect.slot(topic, of)?.word.full?;
                let least = bounds::relation("fan, least share of full speed");
                if number > full {
                    Some(fault(format!("full speed is {full}: a digit may be gained")))
                } else if number > 0.0 && number < least * full {
                    Some(fault(format!(
                        "a fan hardly starts on that, of {full}: a digit may be lost"
                    )))
                } else {
                    None
                }
            }
            _ => None,
        }
    }

    /// Two lines, or two reports, that say different things.
    fn twice(&self, topic: Topic, of: &str, case: &Case<'_>) -> Option<Fault> {
        let mut all = self.job.reports.iter().flat_map(|report| {
            let of_part = move |value: &&Reported| value.topic == topic && value.of == of;
            report
                .values
                .iter()
                .filter(of_part)
                .map(move |value| (report, value))
        });
        let number = case.value.value.nominal;
        let differs = |value: &Reported| {
            let (decimals, scale) = (
                number - value.value.nominal,
                number.abs().max(value.value.nominal.abs()),
            );
            decimals.abs() > 5e-3 * scale + 1e-9
        };
        let (report, other) = all.rfind(|(_, value)| differs(value))?;
        // Where the files do not say which of them is right, nobody does.
        let settled = self.stated(topic, of).is_some();
        Some(Fault {
            against: format!(
                "{}:{} says {}",
                report.path,
                other.line,
                brief(topic, &other.value)
            ),
            hint: settled.then(|| "the last one is used".to_owned()),
            left_out: !settled && report.path != case.from.rsplit_once(':').map_or("", |(path, _)| path),
            stake: Stake::Function,
            place: self.expected.place(topic, of),
            source: PRACTICE,
        })
    }

    /// The three terms of a control beside each other, and their gain beside the model.
    fn terms(&mut self) {
        for zone in [Zone::HotEnd, Zone::Bed, Zone::Chamber] {
            let of = zone.word();
            let cases = TERMS.map(|topic| self.case(topic, of));
            let doubtful = |judge: &Self, topic: Topic| {
                judge
                    .doubts
                    .iter()
                    .any(|doubt| doubt.topic == topic && doubt.of == of && doubt.left_out)
            };
            let alone = TERMS.iter().any(|topic| doubtful(self, *topic));
            if !alone && let [Some(gain), Some(integral), Some(derivative)] = &cases {
                let [p, i, d] = [gain, integral, derivative].map(|case| case.value.value.nominal);
                let ratio = p * p / (i * d);
                let least = bounds::relation("integral time, least multiple of the derivative time");
                let most = bounds::relation("integral time, largest multiple of the derivative time");
                let fault = |against: String| Fault {
                    against,
                    hint: None,
                    left_out: true,
                    stake: Stake::Safety,
                    place: None,
                    source: PRACTICE,
                };
                if d > 0.0 && !(least..=most).contains(&ratio) {
                    let what = format!(
                        "and {i} and {d} for integral and derivative: the integral time is {ratio:.2} times the derivative time, {least} to {most} \
                         is usual"
                    );
                    self.take(gain, fault(what));
                } else if let Some(factor) = self.gain_to_model(zone, p) {
                    let most = bounds::relation("gain, largest factor to the gain of the model");
                    if !(1.0 / most..=most).contains(&factor) {
                        let what = format!("which is {factor:.2} times what the model of this part needs");
                        self.take(gain, fault(what));
                    }
                }
            }
            // The three belong together: none is told without the others.
            if TERMS.iter().any(|topic| doubtful(self, *topic)) {
                for (topic, case) in TERMS.into_iter().zip(&cases) {
                    if let Some(case) = case.as_ref().filter(|_| !doubtful(self, topic)) {
                        self.quietly(case, "another of the three terms is doubtful");
                    }
                }
            }
        }
    }

    /// What the gain is beside the one of the model of its heated part.
    fn gain_to_model(&self, zone: Zone, gain: f64) -> Option<f64> {
        let slot = self
            .job
            .old_dialect
            .slot(Topic::ControlProportional, zone.word())?;
        let full = slot.word.full?;
        let (pair, _) = heater(self.job, zone)?;
        let facts = self.job.setup.facts();
        let pair_facts = pair.facts();
        let heating = pair_facts.heating()?;
        let model = plan::control::model(heating, facts.thermometer(heating))?;
        Some(gain / full / model.calmed(heating).gain.base())
    }

    /// Left out without a finding of its own.
    fn quietly(&mut self, case: &Case<'_>, why: &str) {
        let fault = Fault {
            against: why.to_owned(),
            hint: None,
            left_out: true,
            stake: Stake::Function,
            place: None,
            source: PRACTICE,
        };
        self.take(case, fault);
        if let Some(doubt) = self.doubts.last_mut() {
            doubt.verdict = Verdict::Pass;
        }
    }

    /// A temperature means nothing where nobody knows by which numbers the old controller read its sensor.
    fn shown_by_doubtful_sensors(&mut self) {
        for (topic, zone) in [(Topic::WarmUpHotEnd, Zone::HotEnd), (Topic::WarmUpBed, Zone::Bed)] {
            let of_sensor = |doubt: &&Doubt| {
                doubt.of == zone.word()
                    && matches!(
                        doubt.topic,
                        Topic::ThermometerResistance | Topic::ThermometerConstant | Topic::ThermometerPullUp
                    )
            };
            let Some(doubt) = self.doubts.iter().find(of_sensor) else {
                continue;
            };
            let why = format!("shown by a sensor whose {} is doubtful", doubt.topic.title());
            for (_, of) in parts(self.job.reports)
                .into_iter()
                .filter(|(other, _)| *other == topic)
            {
                let known = self
                    .doubts
                    .iter()
                    .any(|doubt| doubt.topic == topic && doubt.of == of);
                let Some(case) = self.case(topic, &of).filter(|_| !known) else {
                    continue;
                };
                // Off is off by any sensor.
                if case.value.number != 0.0 {
                    self.quietly(&case, &why);
                }
            }
        }
    }

    /// A temperature that stays where the room is while its heater is driven: the report tells of a sensor that sees nothing, or of a dead heater.
    fn dead_sensors(&mut self) {
        let room = self.job.setup.swap.ambient.temperature.value;
        for zone in Zone::ALL {
            let flat = self.job.reports.iter().find_map(|report| {
                let of = |line: usize, wanted: Reports| {
                    report.readings.iter().find(|reading| {
                        reading.line == line
                            && self
                                .job
                                .old_dialect
                                .label(&reading.label)
                                .is_some_and(|(what, about)| what == wanted && about == zone.word())
                    })
                };
                let mut lines: Vec<usize> = report.readings.iter().map(|reading| reading.line).collect();
                lines.dedup();
                let driven: Vec<(usize, f64)> = lines
                    .into_iter()
                    .filter(|line| of(*line, Reports::Drive).is_some_and(|drive| drive.number > 0.0))
                    .filter_map(|line| Some((line, of(line, Reports::Temperature)?.number)))
                    .collect();
                let most = driven.iter().map(|(_, read)| *read).reduce(f64::max)?;
                let least = driven.iter().map(|(_, read)| *read).reduce(f64::min)?;
                let cold = most < room.high().base() - 273.15 + NEAR_ROOM;
                (driven.len() >= FLAT_LINES && most - least < FLAT && cold)
                    .then(|| (report.path.clone(), driven[0].0, driven.len(), most))
            });
            let Some((path, line, count, most)) = flat else {
                continue;
            };
            self.doubts.push(Doubt {
                whole: None,
                topic: Topic::HeatUpRise,
                of: zone.word().to_owned(),
                old: None,
                text: String::new(),
                left_out: false,
                verdict: Verdict::Caution,
                stake: Stake::Safety,
                what: format!(
                    "the {} stays at {most} °C over {count} readings from {path}:{line} on, with its heater driven",
                    zone.word()
                ),
                remedy: "Check its sensor and its heater with a meter before the new board drives them: a sensor that sees nothing lets the heater run on"
                    .to_owned(),
                source: PRACTICE,
                place: None,
            });
        }
    }

    /// What the words of the old controller could tell, and no report does.
    fn missing(&mut self) {
        let Some(first) = self.job.reports.iter().find(|report| !report.values.is_empty()) else {
            return;
        };
        let machine = &self.job.setup.swap.machine;
        let zones_of = |is_of: fn(&Detail) -> Option<Zone>| -> Vec<String> {
            let zones = machine.devices.iter().filter(|device| !device.is_new());
            zones
                .filter_map(|device| Some(is_of(&device.detail)?.word().to_owned()))
                .collect()
        };
        let heated = zones_of(|detail| match detail {
            Detail::Heater(heater) => Some(heater.zone),
            _ => None,
        });
        let sensed = zones_of(|detail| match detail {
            Detail::Thermometer(thermometer) => Some(thermometer.zone),
            _ => None,
        });
        let axes: Vec<String> = self.expected.axes().map(str::to_owned).collect();
        let whole = vec!["machine".to_owned()];
        let wanted: [(Topic, &[String]); 14] = [
            (Topic::StepsPerLength, &axes),
            (Topic::TopSpeed, &axes),
            (Topic::Acceleration, &axes),
            (Topic::CornerSpeed, &axes),
            (Topic::PrintAcceleration, &whole),
            (Topic::RetractAcceleration, &whole),
            (Topic::TravelAcceleration, &whole),
            (Topic::FilamentDiameter, &whole),
            (Topic::ControlProportional, &heated),
            (Topic::ControlIntegral, &heated),
            (Topic::ControlDerivative, &heated),
            (Topic::ThermometerResistance, &sensed),
            (Topic::ThermometerConstant, &sensed),
            (Topic::ThermometerPullUp, &sensed),
        ];
        for (topic, parts) in wanted {
            let lacks = |of: &&String| {
                self.job.old_dialect.slot(topic, of).is_some() && self.job.reported(topic, of).is_none()
            };
            let lost: Vec<&str> = parts.iter().filter(lacks).map(String::as_str).collect();
            let Some(of) = lost.first() else { continue };
            // A word of the trade need not be one of this controller; where it told it of one part, it knows it.
            let own = self.job.old_dialect.rows().iter().any(|row| {
                let is_it = matches!(&row.meaning, model::Meaning::Setting(word) if word.topic == topic);
                is_it && row.from.is_some()
            });
            let own = own
                || matches!(
                    topic,
                    Topic::StepsPerLength | Topic::TopSpeed | Topic::Acceleration
                );
            if lost.len() == parts.len() && !own {
                continue;
            }
            let slot = self.job.old_dialect.slot(topic, of);
            let words = slot.map_or_else(String::new, |slot| slot.word.word.clone());
            self.doubts.push(Doubt {
                whole: None,
                topic,
                of: lost.join(", "),
                old: None,
                text: String::new(),
                left_out: false,
                verdict: Verdict::Caution,
                stake: Stake::Function,
                what: format!("{} is missing in {} ({words})", name_of(topic, &lost.join(", ")), first.path),
                remedy: "Read the report of the old controller once more and save it whole; where it is gone, check the value that stands in the settings"
                    .to_owned(),
                source: PRACTICE,
                place: None,
            });
        }
    }
}

fn remedy(from: &str, file: Option<&str>) -> String {
    match file {
        Some(file) => format!(
            "Read the value at the old controller or measure it; correct {from} or {file}, whichever is wrong, and run Boardswap again"
        ),
        None => format!("Read the value at the old controller; correct {from}, and run Boardswap again"),
    }
}

fn exact(kind: Kind, base: f64) -> AnyValue {
    AnyValue {
        kind,
        nominal: base,
        low: base,
        high: base,
    }
}

/// What a wrong number looks like beside the right one.
fn looks_like(topic: Topic, number: f64, stated: &AnyValue, reported: &Reported) -> Option<String> {
    if matches!(topic.counted(), Counted::In(Kind::Temperature) | Counted::Words) {
        return None;
    }
    if number == 0.0 {
        return Some("it is zero".to_owned());
    }
    let ratio = number / stated.nominal;
    if ratio < 0.0 {
        return Some("the sign is wrong".to_owned());
    }
    let near = |goal: f64| (ratio / goal - 1.0).abs() < NEAR || (goal / ratio - 1.0).abs() < NEAR;
    let velocity = stated.kind == Kind::Velocity;
    if velocity && near(60.0) {
        return Some("it looks like mm/min".to_owned());
    }
    if velocity && near(1.0 / 60.0) {
        return Some("it looks as if mm/min was taken for mm/s".to_owned());
    }
    let decades = ratio.log10().round();
    if decades != 0.0 && near(10_f64.powf(decades)) {
        let way = if decades > 0.0 { "gained" } else { "lost" };
        return Some(format!("a digit was {way}, or the decimal point is moved"));
    }
    if matches!(
        stated.kind,
        Kind::Length | Kind::Velocity | Kind::Acceleration | Kind::StepDensity
    ) && (near(25.4) || near(1.0 / 25.4))
    {
        return Some("it looks like inches".to_owned());
    }
    if stated.kind == Kind::Current
        && (near(core::f64::consts::SQRT_2) || near(core::f64::consts::FRAC_1_SQRT_2))
    {
        return Some("it looks like the peak instead of the rms current, or the other way round".to_owned());
    }
    digit(reported.number, reported.number / ratio).map(str::to_owned)
}

/// Whether one number has the digits of the other but for one that was lost or gained.
fn digit(number: f64, right: f64) -> Option<&'static str> {
    let digits = |number: f64| -> Vec<u8> {
        let text = format!("{:.3}", number.abs());
        let text = text.trim_end_matches('0').trim_end_matches('.');
        text.bytes().filter(u8::is_ascii_digit).collect()
    };
    let without_one = |long: &[u8], short: &[u8]| {
        long.len() == short.len() + 1
            && (0..long.len()).any(|at| {
                let rest = long[..at].iter().chain(&long[at + 1..]);
                rest.eq(short)
            })
    };
    let (number, right) = (digits(number), digits(right));
    if without_one(&right, &number) {
        Some("a digit was lost")
    } else if without_one(&number, &right) {
        Some("a digit was gained")
    } else {
        None
    }
}

/// Takes what is left out from the reports, wherever a line tells it.
pub(crate) fn leave_out(doubts: &[Doubt], reports: &mut [Report]) {
    for report in reports {
        report.values.retain(|value| {
            !doubts
                .iter()
                .any(|doubt| doubt.left_out && doubt.topic == value.topic && doubt.of == value.of)
        });
    }
}

/// What was left out as lines of the report.
pub(crate) fn lines(doubts: &[Doubt]) -> Vec<Unread> {
    let left_out = doubts.iter().filter(|doubt| doubt.left_out);
    let line = |doubt: &Doubt| {
        let (path, line) = doubt.old.as_ref()?.from.rsplit_once(':')?;
        Some(Unread {
            path: path.to_owned(),
            line: line.parse().ok()?,
            text: doubt.text.clone(),
            reason: doubt.what.clone(),
        })
    };
    left_out.filter_map(line).collect()
}

/// Whether the new value of a setting follows from the files alone.
fn from_files(topic: Topic) -> bool {
    matches!(
        topic,
        Topic::ThermometerResistance
            | Topic::ThermometerConstant
            | Topic::ThermometerPullUp
            | Topic::ThermometerAmplification
            | Topic::MotorCurrent
            | Topic::DriverReference
            | Topic::HighestTemperature
            | Topic::LowestTemperature
            | Topic::ProtectionFall
            | Topic::ProtectionTime
            | Topic::HeatUpRise
            | Topic::HeatUpTime
            | Topic::HeaterShare
            | Topic::Microsteps
            | Topic::Travel
            | Topic::HomingSpeed
            | Topic::FanStart
            | Topic::Lights
    )
}

/// Opens the settings whose reported value was left out, and each whose new value is impossible.
pub(crate) fn open(doubts: &mut Vec<Doubt>, list: &mut List<'_>) {
    for doubt in doubts.iter() {
        let Some(old) = doubt.old.clone() else { continue };
        if !doubt.left_out {
            if let Some(setting) = list.find_mut(doubt.topic, &doubt.of) {
                setting.caution = true;
                setting.reason = format!("{} {}.", setting.reason, doubt.what);
            }
            continue;
        }
        if list.find(doubt.topic, &doubt.of).is_none() {
            list.open(doubt.topic, &doubt.of);
        }
        let Some(setting) = list.find_mut(doubt.topic, &doubt.of) else {
            continue;
        };
        setting.old = Some(old);
        if from_files(doubt.topic) && setting.new.is_some() {
            setting.caution = true;
            setting.reason = format!("{} {}.", setting.reason, doubt.what);
        } else {
            setting.withhold(format!("{}.", doubt.what));
        }
    }
    for setting in &mut list.settings {
        let Some(value) = setting.new.as_ref().and_then(crate::setting::SettingValue::any) else {
            continue;
        };
        let possible = bounds::bound(setting.topic, &setting.of).is_none_or(|bound| {
            [value.nominal, value.low, value.high]
                .iter()
                .all(|end| bound.holds(setting.topic, *end))
        });
        // Terms of the model may be as small as their counting makes them.
        let computed = setting.topic.is_control_term() && value.nominal >= 0.0 && value.nominal.is_finite();
        if possible || computed || list_exempt(setting) {
            continue;
        }
        let what = format!(
            "{} is left out: it comes to {}, which is impossible",
            name_of(setting.topic, &setting.of),
            setting.new_text().unwrap_or_default()
        );
        doubts.push(Doubt {
            whole: None,
            topic: setting.topic,
            of: setting.of.clone(),
            old: setting.old.clone(),
            text: String::new(),
            left_out: true,
            verdict: Verdict::Caution,
            stake: Stake::Function,
            remedy: "Check the values of the machine's files that it follows from".to_owned(),
            what: what.clone(),
            source: PRACTICE,
            place: None,
        });
        setting.withhold(format!("{what}."));
    }
}

/// What is no number of a report: it has its limits elsewhere.
fn list_exempt(setting: &Setting) -> bool {
    matches!(
        setting.topic,
        Topic::DriverReference | Topic::HighestTemperature | Topic::LowestTemperature
    ) && setting
        .new
        .as_ref()
        .and_then(crate::setting::SettingValue::any)
        .is_some_and(|value| value.nominal.is_finite())
}

/// The contradictions as findings, for a plan of the same board.
#[must_use]
pub fn findings(settings: &Settings) -> Vec<Finding> {
    let said = settings
        .doubts
        .iter()
        .filter(|doubt| doubt.verdict > Verdict::Pass);
    said.map(|doubt| {
        let id = match &doubt.whole {
            Some(whole) => format!("{}:{whole}", plan::OLD_SETTINGS),
            None => format!(
                "{}:{}-{}",
                plan::OLD_SETTINGS,
                doubt.topic.id(),
                doubt.of.replace([' ', ','], "-")
            ),
        };
        Finding {
            id,
            check: plan::OLD_SETTINGS,
            stake: doubt.stake,
            verdict: doubt.verdict,
            subject: Subject::named(match &doubt.whole {
                Some(whole) => whole.clone(),
                None => name_of(doubt.topic, &doubt.of),
            }),
            place: doubt.place,
            remedy: Some(doubt.remedy.clone().into()),
            ..Finding::new(capital(&doubt.what), doubt.source)
        }
    })
    .collect()
}

fn capital(text: &str) -> String {
    let mut rest = text.chars();
    let first = rest.next().map(char::to_uppercase);
    first.into_iter().flatten().chain(rest).collect()
}

/// The contradictions of a swap whose old controller reported something; where it did not, that alone is told.
#[must_use]
pub fn of_plan(plan: &plan::Plan<'_>) -> Vec<Finding> {
    let settings = crate::settings(&plan.setup());
    let mut found = Vec::new();
    if plan.swap.old_settings.is_empty() {
        let headline =
            "no report of the old controller is named: what was set there is measured again, or guessed";
        let remedy = "where it still runs, save its report before it is unplugged, and name the file in `old_settings`";
        found.push(Finding {
            id: plan::OLD_SETTINGS.to_owned(),
            check: plan::OLD_SETTINGS,
            verdict: Verdict::Note,
            remedy: Some(remedy.into()),
            ..Finding::new(capital(headline), PRACTICE)
        });
    }
    found.extend(findings(&settings));
    found.extend(settings.of_board);
    found
}
