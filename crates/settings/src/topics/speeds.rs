//! Speeds and accelerations: carried, unless the processor cannot make the steps, or the motors no longer give the torque at the worst corner.

use model::machine::{Axis, AxisId, Drive};
use physics::{Worked, motion, named, work};
use plan::torque::{self, On, Reach};
use quantity::si::{Acceleration, Frequency, StepDensity, Velocity};
use quantity::{AnyValue, Digits, Number, Quantity, Value, show};

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, Old, SettingValue};
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    let machine = &job.setup.swap.machine;
    let served = || {
        (0..machine.axes.len())
            .map(AxisId)
            .filter(|id| job.motors(*id).next().is_some())
    };
    let motions: Vec<Motion<'_>> = served().map(|id| Motion::of(job, id, list)).collect();
    for motion in &motions {
        list.push(motion.max_speed());
    }
    for motion in &motions {
        if let Some(draft) = motion.acceleration() {
            list.push(draft);
        }
    }
    of_machine(job, Topic::PrintAcceleration, "X and Y", is_level, list);
    of_machine(job, Topic::RetractAcceleration, "the extruder", is_extruder, list);
    of_machine(job, Topic::TravelAcceleration, "X and Y", is_level, list);
    for id in (0..machine.axes.len()).map(AxisId) {
        corner_speed(job, id, list);
    }
}

/// Whether nobody stated how many steps the processor of the board makes.
fn is_step_rate_assumed(job: &Job<'_>) -> bool {
    let file = job.setup.board.place.file;
    let mut assumed = job.setup.swap.assumed.iter();
    assumed.any(|own| own.of == "processor" && own.key == "step_rate" && own.place.file == file)
}

fn is_extruder(axis: &Axis) -> bool {
    matches!(axis.drive, Drive::Extruder { .. })
}

fn is_level(axis: &Axis) -> bool {
    matches!(axis.drive, Drive::Belt { .. })
}

/// "643 mm/s": three digits.
fn brief<Q: Quantity>(quantity: Q) -> String {
    show(&AnyValue::from(Value::exact(quantity)), Digits::new(3))
}

/// Two digits, rounded down: a setting is no more than what holds.
fn floored<Q: Number>(quantity: Q) -> Q {
    let base = quantity.base();
    if base <= 0.0 {
        return Q::from_base(0.0);
    }
    // Speeds and accelerations are set in millimetres.
    let milli = base * 1e3;
    let step = 10_f64.powf(milli.log10().floor() - 1.0);
    Q::from_base((milli / step * (1.0 + 1e-9)).floor() * step / 1e3)
}

/// The top speed and the acceleration of one axis, and what becomes of both.
struct Motion<'a> {
    axis: &'a Axis,
    old_speed: Option<Old>,
    old_acceleration: Option<Old>,
    /// What the old controller, or else the machine's file, asks for.
    speed: Velocity,
    /// The same; `None` where neither asks for any.
    acceleration: Option<Acceleration>,
    /// The processor's own limit, where it is below the speed.
    processor: Option<Worked<Velocity>>,
    /// Whether only a step rate that nobody stated is below it: that cuts nothing, but is told.
    open: bool,
    torque: Torque,
}

/// What the torque at the worst corner says.
enum Torque {
    /// The files do not tell enough.
    Unknown,
    /// Both hold.
    Holds(Reach),
    /// They do not, but the old board gave no more.
    AsBefore(Reach),
    /// The speed is to be lowered, which is less of a change.
    Speed(Reach, Velocity),
    /// The acceleration is to be lowered.
    Acceleration(Reach, Acceleration),
}

impl<'a> Motion<'a> {
    fn of(job: &Job<'a>, id: AxisId, list: &List<'_>) -> Self {
        let axis = job.setup.swap.machine.axis(id);
        let name = &axis.name.value;
        let old_speed = job.old(Topic::TopSpeed, name);
        let old_acceleration = job.old(Topic::Acceleration, name);
        let speed: Velocity = captured(old_speed.as_ref()).unwrap_or(axis.max_speed.nominal());
        let stated = axis.acceleration.map(|asked| asked.nominal());
        let acceleration = captured(old_acceleration.as_ref()).or(stated);
        let steps = list
            .find(Topic::StepsPerLength, name)
            .and_then(|setting| setting.new.as_ref()?.any()?.typed::<StepDensity>());
        let processor = steps
            .map(|steps| processor_limit(job, steps.nominal()))
            .filter(|limit| limit.value.nominal() < speed);
        let open = processor.is_some() && is_step_rate_assumed(job);
        let processor = processor.filter(|_| !open);
        let reached = processor.as_ref().map_or(speed, |limit| limit.value.nominal());
        Self {
            axis,
            old_speed,
            old_acceleration,
            speed,
            acceleration,
            processor,
            open,
            torque: torque(job, id, reached, acceleration),
        }
    }

    fn max_speed(&self) -> Draft {
        let (name, asked) = (&self.axis.name.value, self.axis.max_speed.value);
        let draft = |fate, reason: String| {
            Draft::new(Topic::TopSpeed, name.clone(), fate, reason).old(self.old_speed.clone())
        };
        if let Torque::Speed(reach, speed) = &self.torque {
            let reason = format!(
                "On this board {} keeps its reserve of torque up to {} at the worst corner{}; faster it may lose steps.",
                reach.motor,
                brief(reach.speed),
                self.with_acceleration(reach)
            );
            return draft(Fate::Recomputed, reason)
                .value(SettingValue::exact(*speed))
                .source("electric-machines-textbook")
                .caution(true)
                .working([reach.working.clone()]);
        }
        if let Some(limit) = &self.processor {
            let value = Velocity::from_base((limit.value.nominal().base() * 1e5).floor() / 1e5);
            let reason = format!(
                "At {} the processor would have to make more steps than it can beside its other work; take fewer microsteps to go faster.",
                Value::exact(self.speed)
            );
            return draft(Fate::Recomputed, reason)
                .value(SettingValue::exact(value))
                .caution(true)
                .working([limit.working.clone()]);
        }
        let (fate, mut reason) = match &self.old_speed {
            Some(_) => (Fate::Carried, "The processor makes the steps of it.".to_owned()),
            None => (
                Fate::New,
                "Nothing was captured; the machine file asks for it.".to_owned(),
            ),
        };
        if self.open {
            reason = "Whether the processor makes the steps of it is open: the `step_rate` of the board is not stated.".to_owned();
        }
        reason.push_str(&self.torque_words());
        let differs = self.old_speed.is_some() && ((self.speed / asked.nominal()).base() - 1.0).abs() > 0.01;
        if differs {
            reason = format!("{reason} The machine file asks for {asked}.");
        }
        draft(fate, reason)
            .value(SettingValue::exact(self.speed))
            .caution(differs || self.open || matches!(self.torque, Torque::AsBefore(_)))
    }

    fn acceleration(&self) -> Option<Draft> {
        let asked = self.acceleration?;
        let draft = |fate, reason: String| {
            Draft::new(Topic::Acceleration, self.axis.name.value.clone(), fate, reason)
                .old(self.old_acceleration.clone())
        };
        if let Torque::Acceleration(reach, holds) = &self.torque {
            let reason = format!(
                "On this board {} keeps its reserve of torque at {} up to {} at the worst corner; with more it may lose steps.",
                reach.motor,
                brief(self.speed),
                brief(*holds)
            );
            return Some(
                draft(Fate::Recomputed, reason)
                    .value(SettingValue::exact(*holds))
                    .source("iso-80000-4")
                    .caution(true)
                    .working([reach.working.clone()]),
            );
        }
        let (fate, reason) = match (&self.old_acceleration, &self.torque) {
            (None, _) => (
                Fate::New,
                "Nothing was captured; the machine file asks for it.".to_owned(),
            ),
            (Some(_), Torque::Unknown) => (
                Fate::Carried,
                "Mass, motor and mechanics stay; what the motor gives at speed is not known.".to_owned(),
            ),
            (Some(_), Torque::Holds(reach)) if reach.acceleration.is_some() => (
                Fate::Carried,
                "Mass and mechanics stay, and the motor gives it at the worst corner.".to_owned(),
            ),
            (Some(_), Torque::Speed(..)) => (
                Fate::Carried,
                "Mass and mechanics stay; it holds up to the new top speed.".to_owned(),
            ),
            (Some(_), _) => (Fate::Carried, "Mass, motor and mechanics stay.".to_owned()),
        };
        Some(draft(fate, reason).value(match &self.old_acceleration {
            Some(old) => old.value.clone(),
            None => SettingValue::exact(asked),
        }))
    }

    /// Only where the mass is known does the acceleration count.
    fn with_acceleration(&self, reach: &Reach) -> String {
        self.acceleration
            .filter(|_| reach.acceleration.is_some())
            .map_or_else(String::new, |asked| format!(", accelerating at {}", brief(asked)))
    }

    fn torque_words(&self) -> String {
        match &self.torque {
            Torque::Unknown => " What the motor gives at speed is not known.".to_owned(),
            Torque::Holds(reach) | Torque::Acceleration(reach, _) if reach.speed >= self.speed => format!(
                " At the worst corner {} keeps its reserve of torque up to {}{}.",
                reach.motor,
                brief(reach.speed),
                self.with_acceleration(reach)
            ),
            Torque::AsBefore(reach) => format!(
                " At the worst corner {} keeps its reserve of torque only up to {}{}, but the old board gave it no more.",
                reach.motor,
                brief(reach.speed),
                self.with_acceleration(reach)
            ),
            Torque::Acceleration(..) => " It holds with the lower acceleration.".to_owned(),
            _ => String::new(),
        }
    }
}

fn captured<Q: Quantity>(old: Option<&Old>) -> Option<Q> {
    Some(old?.value.any()?.typed::<Q>()?.nominal())
}

/// Which of the two is to be lowered, if any: the one that changes by less.
fn torque(job: &Job<'_>, id: AxisId, speed: Velocity, acceleration: Option<Acceleration>) -> Torque {
    let facts = job.setup.facts();
    let reach = |on| torque::reach(&facts, id, on, speed, acceleration);
    let Some(new) = reach(On::New) else {
        return Torque::Unknown;
    };
    // A hair below is the halving that finds the speed.
    let slack = 1.0 + 1e-6;
    if new.speed * slack >= speed {
        return Torque::Holds(new);
    }
    // Rotors and rails that ran do not ask what the worst corner says of them, as long as nothing gets worse.
    if let Some(old) = reach(On::Old)
        && new.speed * slack >= old.speed
        && new
            .acceleration
            .zip(old.acceleration)
            .is_none_or(|(new, old)| new * slack >= old)
    {
        return Torque::AsBefore(new);
    }
    let faster = (new.speed / speed).base();
    let sharper = new
        .acceleration
        .zip(acceleration)
        .map(|(holds, asked)| (holds, (holds / asked).base()));
    match sharper {
        Some((holds, share)) if share > faster => {
            let holds = floored(holds);
            Torque::Acceleration(new, holds)
        }
        _ => {
            let holds = floored(new.speed);
            Torque::Speed(new, holds)
        }
    }
}

/// An acceleration for all axes of a kind at once: no more than each of them holds.
fn of_machine(job: &Job<'_>, topic: Topic, kind: &str, is_of: fn(&Axis) -> bool, list: &mut List<'_>) {
    const OF: &str = "machine";
    let Some(old) = job.old(topic, OF) else { return };
    let lowered = job.setup.swap.machine.axes.iter().filter(|axis| is_of(axis));
    let lowered = lowered.filter_map(|axis| {
        let own = list.find(Topic::Acceleration, &axis.name.value)?;
        let holds: Acceleration = own.new.as_ref()?.any()?.typed::<Acceleration>()?.nominal();
        (own.fate == Fate::Recomputed).then_some((axis.name.value.clone(), holds))
    });
    let least = lowered.min_by(|one, other| one.1.base().total_cmp(&other.1.base()));
    let before: Option<Acceleration> = captured(Some(&old));
    let draft = match least.zip(before).filter(|((_, holds), before)| holds < before) {
        Some(((axis, holds), _)) => Draft::new(
            topic,
            OF,
            Fate::Recomputed,
            format!("{axis} holds no more on this board, see its acceleration."),
        )
        .value(SettingValue::exact(holds))
        .caution(true),
        None => {
            let value = old.value.clone();
            let reason = format!(
                "Mass, motor and mechanics stay, and no acceleration of {kind} was lowered below it."
            );
            Draft::new(topic, OF, Fate::Carried, reason).value(value)
        }
    };
    list.push(draft.old(Some(old)));
}

/// The sudden change of speed at corners: carried, unless the motor follows less of it than on the old board.
fn corner_speed(job: &Job<'_>, id: AxisId, list: &mut List<'_>) {
    let of = &job.setup.swap.machine.axis(id).name.value;
    let Some(old) = job.old(Topic::CornerSpeed, of) else {
        return;
    };
    let facts = job.setup.facts();
    let corners = |on| torque::corners(&facts, id, on);
    let asked: Option<Velocity> = captured(Some(&old));
    let (new, before) = (corners(On::New), corners(On::Old));
    let draft = match new.zip(asked) {
        None => Draft::new(
            Topic::CornerSpeed,
            of,
            Fate::Carried,
            "Mass, motor and mechanics stay.",
        )
        .value(old.value.clone()),
        Some((corners, asked)) => {
            let holds = corners.speed.low();
            let less = before.is_none_or(|before| holds * (1.0 + 1e-6) < before.speed.low());
            if asked > holds && less {
                let reason = format!(
                    "On this board the motor follows a sudden change of {} at the worst corner.",
                    brief(holds)
                );
                Draft::new(Topic::CornerSpeed, of, Fate::Recomputed, reason)
                    .value(SettingValue::exact(floored(holds)))
                    .source("iso-80000-3")
                    .caution(true)
                    .working([corners.working()])
            } else {
                let but = if asked > holds {
                    " only, but on the old board it followed no more"
                } else {
                    ""
                };
                let reason = format!(
                    "Mass and mechanics stay; at the worst corner the motor follows {}{but}.",
                    brief(holds)
                );
                Draft::new(Topic::CornerSpeed, of, Fate::Carried, reason)
                    .value(old.value.clone())
                    .caution(asked > holds)
            }
        }
    };
    list.push(draft.old(Some(old)));
}

/// The highest speed at which the processor still makes the steps of one axis.
fn processor_limit(job: &Job<'_>, steps: StepDensity) -> Worked<Velocity> {
    let share = job
        .setup
        .limits()
        .processor_step_rate_share
        .value
        .nominal()
        .base();
    let rate: Value<Frequency> = job.setup.board.processor.step_rate.value.scale(share);
    let inputs = (
        named(
            "f",
            "step rate that the processor may be asked for",
            Value::exact(rate.low()),
        ),
        named("s", "steps per length", Value::exact(steps)),
    );
    work(&motion::SPEED_OF_STEP_RATE, "v", inputs, |(f, s)| {
        motion::speed_of_step_rate(f, s)
    })
}
