//! A temperature log: its phases, the process behind it, where its swing comes from, and controllers that would suit.
//!
//! The order of work: [`phases`] cuts the log; [`process`] fits two lags and a dead time to heat-up and approach; [`swing`] takes the longest
//! soak apart; [`tuning`] simulates what published rules would make of it. All of them give data, which `words` tells. Before all that
//! [`alarm()`] looks for a heater out of hand and for a sensor that is not to be believed: then nothing else is computed.
//!
//! One thing decides how the swing is split. In a closed loop the duty follows every reading, noise too: duty and reading are coherent
//! throughout, and coherence alone does not tell which moved the other. What the duty *moved* is what the identified process makes of it; the
//! rest is not control. Without a process only what is *not* coherent is known not to be control; without a duty, nothing is.

pub mod alarm;
mod course;
pub mod invent;
mod open_loop;
pub mod phases;
pub mod process;
pub mod runs;
pub mod spikes;
pub mod swing;
pub mod tuning;
mod view;
mod words;

use quantity::si::{Frequency, TemperatureInterval, ThermodynamicTemperature};
use quantity::{Number as _, Value};

pub use alarm::Alarm;
pub use phases::{Phase, Span};
pub use process::Process;
pub use spikes::Spikes;
pub use swing::{Swing, steps};
pub use tuning::Proposal;

use self::course::Course;
use self::view::View;
use crate::quantities::in_celsius;
use crate::read::{Channel, HOTTEST, Log, TemperatureScale};
use crate::{Refused, Trouble, Verdict};

/// What is asked of a log.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// What the heater is called on the page, such as "hot end".
    pub name: String,
    /// Temperature of the room.
    pub ambient: ThermodynamicTemperature,
    /// Within how much of the target readings are to stay; ± 1 K where nobody says more.
    pub within: TemperatureInterval,
    /// How often the board may pulse the heater, where that is known or usual: pick-up is held against it.
    pub pulses: Option<Value<Frequency>>,
}

/// What a log says about one heater.
#[derive(Clone, Debug, PartialEq)]
pub struct Analysis {
    /// What was asked.
    pub ask: Ask,
    /// What has to be stopped before anything is measured; then there is neither phase, process nor swing.
    pub alarm: Option<Alarm>,
    /// The phases in their order.
    pub spans: Vec<Span>,
    /// The process, or why it could not be told.
    pub process: Result<Process, Refused>,
    /// Whether the duty does not react to the reading: then nothing was held, and there is no swing of a soak.
    pub open_loop: bool,
    /// The swing of the longest soak, or why it could not be told.
    pub swing: Result<Swing, Refused>,
    /// By how much the target was exceeded after each heat-up to the first one's target; none where it was never met.
    pub overshoots: Vec<TemperatureInterval>,
    /// Readings that jump and come back.
    pub spikes: Option<Spikes>,
    /// Whether the log tells a target; else readings are held against the level at which they stay.
    pub has_target: bool,
    /// Whether the log names no unit and would begin at the temperature of the room in another scale than degrees Celsius only.
    pub scale_in_doubt: bool,
    /// Whether it looks like the log of another part than the one it is named for, as whoever knows the machine tells: then nothing is shown of
    /// that one.
    pub part_in_doubt: bool,
    /// What was left out or assumed.
    pub troubles: Vec<Trouble>,
    /// The log in few points, for pictures.
    view: View,
}

/// Looks at one heater of a log.
///
/// # Errors
/// [`Refused`] where the log shows neither a heat-up nor a soak.
pub fn analyse(log: &Log, channel: &Channel, ask: Ask) -> Result<Analysis, Refused> {
    let view = View::of(log, channel);
    let asked = asked_for_its_scale(&view, &ask).filter(|_| !channel.scale_is_told);
    let scale_in_doubt = asked.is_some();
    let mut troubles: Vec<Trouble> = asked.into_iter().chain(log.troubles.iter().cloned()).collect();
    if let Some(alarm) = alarm::first(log, channel, &ask, !scale_in_doubt) {
        return Ok(Analysis {
            ask,
            alarm: Some(alarm),
            open_loop: false,
            spans: Vec::new(),
            process: Err(words::switched_off()),
            swing: Err(words::switched_off()),
            overshoots: Vec::new(),
            spikes: None,
            has_target: view.target.iter().any(|target| *target > 0.0),
            scale_in_doubt,
            part_in_doubt: false,
            troubles,
            view,
        });
    }
    let spikes = spikes::spikes(log, channel);
    troubles.extend(spikes.filter(|own| !own.is_fault()).map(words::spikes));
    let has_target = view.target.iter().any(|target| *target > 0.0);
    let course = Course::of(log, channel, view, &ask, &mut troubles);
    let process = course.process(channel, &ask, &mut troubles);
    let swing = if course.open_loop {
        Err(words::nothing_held())
    } else {
        swing::split(log, channel, &course.view, &course.spans, process.as_ref().ok())
    };
    if let (Err(process), Err(swing)) = (&process, &swing) {
        let refused = if course.open_loop {
            process.clone()
        } else {
            words::says_nothing(process, swing)
        };
        return Err(refused.because_of(troubles));
    }
    Ok(Analysis {
        ask,
        alarm: None,
        overshoots: course.overshoots(),
        open_loop: course.open_loop,
        spans: course.spans,
        process,
        swing,
        has_target,
        spikes,
        scale_in_doubt,
        part_in_doubt: false,
        troubles,
        view: course.view,
    })
}

/// The alarm of one heater alone, as [`analyse`] finds it; nothing where the log shows none.
#[must_use]
pub fn alarm(log: &Log, channel: &Channel, ask: &Ask) -> Option<Alarm> {
    let view = View::of(log, channel);
    let is_told = channel.scale_is_told || asked_for_its_scale(&view, ask).is_none();
    alarm::first(log, channel, ask, is_told)
}

/// The process of one heater alone, as [`analyse`] finds it.
///
/// # Errors
/// [`Refused`] where the log shows no heat-up from which a process could be told.
pub fn identify(log: &Log, channel: &Channel, ask: &Ask) -> Result<Process, Refused> {
    let mut troubles = Vec::new();
    let view = View::of(log, channel);
    Course::of(log, channel, view, ask, &mut troubles).process(channel, ask, &mut troubles)
}

/// How far from the stated room a log may begin that begins cold, K; common practice, no source.
const NEAR_THE_ROOM: f64 = 5.0;

/// A part that rests begins within this of a room that nobody stated exactly, K; common practice, no source.
const AT_REST: f64 = 15.0;

/// A log mostly begins at the temperature of the room. One that does only in another scale than the one taken is asked for its scale; so is
/// one that is hotter than any part, unless it begins at the room as it stands.
fn asked_for_its_scale(view: &View, ask: &Ask) -> Option<Trouble> {
    let mut first: Vec<f64> = view.measured.iter().copied().take(20).collect();
    first.sort_by(f64::total_cmp);
    let number = *first.get(first.len() / 2)?;
    let hottest = view.measured.iter().copied().fold(f64::MIN, f64::max);
    let room = in_celsius(ask.ambient);
    let from_the_room = (number - room).abs();
    let near = if begins_at_rest(view) && from_the_room > AT_REST {
        AT_REST
    } else {
        NEAR_THE_ROOM
    };
    let other = TemperatureScale::in_which(number, |degrees| (degrees - room).abs() <= near);
    let hot = hottest > f64::from(HOTTEST) && from_the_room > AT_REST;
    let scale = other.or_else(|| hot.then_some(TemperatureScale::Fahrenheit))?;
    Some(words::scale_in_doubt(scale, number, room, hottest))
}

/// Whether the log begins with the heater off and a reading that stands: a warm part would cool.
fn begins_at_rest(view: &View) -> bool {
    const FOR: f64 = 5.0;
    const STANDS: f64 = 0.5;
    let Some(first) = view.time.first() else {
        return false;
    };
    let until = view.time.partition_point(|time| time - first < FOR);
    let off = |at: usize| view.duty.get(at).is_none_or(|duty| *duty <= 0.01) && !(view.target[at] > 0.0);
    let told = !view.duty.is_empty() || view.target.iter().any(|target| *target > 0.0);
    let (begin, end) = (view.measured[0], view.measured[until.saturating_sub(1)]);
    told && until >= 4 && (0..until).all(off) && (begin - end).abs() <= STANDS
}

impl Analysis {
    /// Whether 99 % of the readings stay as near to the target as was asked, at the bounds of the interval; open where the scale is in doubt,
    /// or where no target is told and they would.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        if self.alarm.is_some() {
            return Verdict::Fail;
        }
        if self.scale_in_doubt || self.part_in_doubt {
            return Verdict::Open;
        }
        if self.spikes.is_some_and(|own| own.is_fault()) {
            return Verdict::Fail;
        }
        let Ok(swing) = &self.swing else {
            return Verdict::Result;
        };
        let [low, high] = [swing.farthest.low(), swing.farthest.high()].map(|own| own.base());
        match Verdict::at_most(low, high, self.ask.within.base()) {
            // Nobody knows how far the level is off its target.
            Verdict::Pass if !self.has_target => Verdict::Open,
            verdict => verdict,
        }
    }

    /// The highest temperature that lasted: a spike of a reading or four does not count.
    #[must_use]
    pub fn hottest(&self) -> ThermodynamicTemperature {
        self.view.hottest()
    }

    /// By how much the target was exceeded after the first heat-up.
    #[must_use]
    pub fn overshoot(&self) -> Option<TemperatureInterval> {
        self.overshoots.first().copied()
    }

    /// The last target, else the temperature at the end.
    #[must_use]
    pub fn wanted(&self) -> ThermodynamicTemperature {
        self.view.wanted()
    }

    /// Controllers that published rules propose, each simulated, the one to take first; none where there is no process.
    #[must_use]
    pub fn proposals(&self) -> Vec<Proposal> {
        let Ok(process) = &self.process else {
            return Vec::new();
        };
        tuning::proposals(
            process,
            self.swing.as_ref().ok(),
            self.view.wanted(),
            self.view.step(),
        )
    }
}
