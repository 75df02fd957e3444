//! A temperature log: its phases, the process behind it, where its swing comes from, and controllers that would suit.
//!
//! The order of work: [`phases`] cuts the log; [`process`] fits two lags and a dead time to heat-up and approach; [`swing`] takes the longest
//! soak apart; [`tuning`] simulates what published rules would make of it. All of them give data, which `words` tells. What is to be
//! said before anything is reckoned, such as of a heater out of hand, has its place in [`analyse`] behind the cut into phases.
//!
//! One thing decides how the swing is split. In a closed loop the duty follows every reading, noise too: duty and reading are coherent
//! throughout, and coherence alone does not tell which moved the other. What the duty *moved* is what the identified process makes of it; the
//! rest is not control. Without a process only what is *not* coherent is known not to be control; without a duty, nothing is.

mod course;
pub mod invent;
pub mod phases;
pub mod process;
pub mod swing;
pub mod tuning;
mod view;
mod words;

use quantity::Value;
use quantity::si::{Frequency, TemperatureInterval, ThermodynamicTemperature};

pub use phases::{Phase, Span};
pub use process::Process;
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
    /// The phases in their order.
    pub spans: Vec<Span>,
    /// The process, or why it could not be told.
    pub process: Result<Process, Refused>,
    /// The swing of the longest soak, or why it could not be told.
    pub swing: Result<Swing, Refused>,
    /// By how much the target was exceeded after each heat-up to the first one's target; none where it was never met.
    pub overshoots: Vec<TemperatureInterval>,
    /// Whether the log names no unit and would begin at the temperature of the room in another scale than degrees Celsius only.
    pub scale_in_doubt: bool,
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
    let course = Course::of(log, channel, view, &ask, &mut troubles);
    let process = course.process(channel, &ask, &mut troubles);
    let swing = swing::split(log, channel, &course.view, &course.spans, process.as_ref().ok());
    if let (Err(process), Err(swing)) = (&process, &swing) {
        return Err(words::says_nothing(process, swing).because_of(troubles));
    }
    Ok(Analysis {
        ask,
        overshoots: course.overshoots(),
        spans: course.spans,
        process,
        swing,
        scale_in_doubt,
        troubles,
        view: course.view,
    })
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

/// A log mostly begins at the temperature of the room. One that does only in another scale than the one taken is asked for its scale.
fn asked_for_its_scale(view: &View, ask: &Ask) -> Option<Trouble> {
    let mut first: Vec<f64> = view.measured.iter().copied().take(20).collect();
    first.sort_by(f64::total_cmp);
    let number = *first.get(first.len() / 2)?;
    let hottest = view.measured.iter().copied().fold(f64::MIN, f64::max);
    let room = in_celsius(ask.ambient);
    let scale = TemperatureScale::in_which(number, |degrees| (degrees - room).abs() <= NEAR_THE_ROOM)?;
    // Above the hottest that a machine has the reader asked already.
    (hottest <= f64::from(HOTTEST)).then(|| words::scale_in_doubt(scale, number, room, hottest))
}

impl Analysis {
    /// Whether 99 % of the readings stay as near as was asked, at the bounds of the interval.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let Ok(swing) = &self.swing else {
            return Verdict::Result;
        };
        let half = swing.half_width();
        if half.high() <= self.ask.within {
            Verdict::Pass
        } else if half.low() > self.ask.within {
            Verdict::Fail
        } else {
            Verdict::Open
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
