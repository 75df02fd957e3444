//! A temperature log: its phases, the process behind it, where its swing comes from, and controllers that would suit.
//!
//! The order of work: [`phases`] cuts the log; [`process`] fits two lags and a dead time to heat-up and approach; [`swing`] takes the longest
//! soak apart; [`tuning`] simulates what published rules would make of it.
//!
//! One thing decides how the swing is split. In a closed loop the duty follows every reading, noise too: duty and reading are coherent
//! throughout, and coherence alone does not tell which moved the other. What the duty *moved* is what the identified process makes of it; the
//! rest is not control. Without a process only what is *not* coherent is known not to be control; without a duty, nothing is.

pub mod invent;
pub mod phases;
pub mod process;
mod report;
mod rounded;
pub mod steps;
pub mod swing;
pub mod tuning;
mod view;

use quantity::si::{Frequency, TemperatureInterval, ThermodynamicTemperature};
use quantity::{Number as _, Value};

pub use phases::{Phase, Span};
pub use process::Process;
pub use swing::Swing;
pub use tuning::Proposal;

use crate::read::{Channel, HOTTEST, Log, TemperatureScale};
use crate::{Refused, Trouble};
use view::View;

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
    let mut troubles = log.troubles.clone();
    let view = View::of(log, channel);
    let asked = asked_for_its_scale(&view, &ask).filter(|_| !channel.scale_is_told);
    let scale_in_doubt = asked.is_some();
    troubles.splice(0..0, asked);
    let spans = phases::phases(&view, &ask, &mut troubles);
    let near = near_heat_ups(log, channel, &view, &spans, &ask);
    let (quick, quick_spans) = near
        .first()
        .map_or((&view, &spans), |(view, spans)| (view, spans));
    let process = process::identify(quick, quick_spans, &ask, channel.duty.as_deref(), &mut troubles);
    let swing = swing::split(log, channel, &view, &spans, process.as_ref().ok());
    if let (Err(process), Err(swing)) = (&process, &swing) {
        return Err(Refused::new(
            format!(
                "the log says nothing about its heater: {}; {}",
                process.problem, swing.problem
            ),
            format!("{}; {}", process.mend, swing.mend),
        )
        .because_of(troubles));
    }
    let overshoots = if near.is_empty() {
        phases::overshoots(&view, &spans)
    } else {
        // Each view begins with its heat-up; what follows in it is another's.
        let firsts = near
            .iter()
            .map(|(view, spans)| phases::overshoots(view, spans).into_iter().next());
        firsts.flatten().collect()
    };
    Ok(Analysis {
        ask,
        spans,
        process,
        swing,
        overshoots,
        scale_in_doubt,
        troubles,
        view,
    })
}

/// The process of one heater alone, as [`analyse`] finds it.
///
/// # Errors
/// [`Refused`] where the log shows no heat-up from which a process could be told.
pub fn identify(log: &Log, channel: &Channel, ask: &Ask) -> Result<Process, Refused> {
    let mut troubles = Vec::new();
    let view = View::of(log, channel);
    let spans = phases::phases(&view, ask, &mut troubles);
    let near = near_heat_ups(log, channel, &view, &spans, ask);
    let (view, spans) = near
        .first()
        .map_or((&view, &spans), |(view, spans)| (view, spans));
    process::identify(view, spans, ask, channel.duty.as_deref(), &mut troubles)
}

/// At most so many heat-ups are looked at closely.
const MOST_HEAT_UPS: usize = 20;

/// Views of each heat-up and what follows it, sample by sample, where that of the whole log is of blocks: a block of half a minute has no
/// dead time. None where the whole log is as fine already, or has no heat-up.
fn near_heat_ups(
    log: &Log,
    channel: &Channel,
    view: &View,
    spans: &[Span],
    ask: &Ask,
) -> Vec<(View, Vec<Span>)> {
    if view.len() >= log.len() {
        return Vec::new();
    }
    let near = |(from, to): (usize, usize)| {
        let length = (log.time[to.min(log.len() - 1)] - log.time[from]).max(60.0);
        // What the identification looks at, and a little more on either side.
        let (begin, end) = (log.time[from] - 70.0, log.time[from] + 6.5 * length + 60.0);
        let first = log.time.partition_point(|time| *time < begin);
        let last = log.time.partition_point(|time| *time <= end);
        let near = View::between(log, channel, first, last, view::MOST_NEAR);
        // What is assumed of targets was told of the whole log.
        let spans = phases::phases(&near, ask, &mut Vec::new());
        (near, spans)
    };
    let heats = phases::heat_ups(log, channel, view, spans);
    heats.into_iter().take(MOST_HEAT_UPS).map(near).collect()
}

/// How far from the stated room a log may begin that begins cold, K; common practice, no source.
const NEAR_THE_ROOM: f64 = 5.0;

/// A log mostly begins at the temperature of the room. One that does only in another scale than the one taken is asked for its scale.
fn asked_for_its_scale(view: &View, ask: &Ask) -> Option<Trouble> {
    let mut first: Vec<f64> = view.measured.iter().copied().take(20).collect();
    first.sort_by(f64::total_cmp);
    let number = *first.get(first.len() / 2)?;
    let hottest = view.measured.iter().copied().fold(f64::MIN, f64::max);
    let room = ask.ambient.base() - 273.15;
    let likely = [
        (TemperatureScale::Fahrenheit, "°F"),
        (TemperatureScale::Kelvin, "K"),
    ];
    let (scale, unit) = likely
        .into_iter()
        .find(|(scale, _)| (scale.to_celsius(number) - room).abs() <= NEAR_THE_ROOM)?;
    // Above the hottest that a machine has the reader asked already.
    (hottest <= f64::from(HOTTEST)).then(|| {
        Trouble::of_all(format!(
            "the log begins at {number:.1} and names no unit: degrees Celsius were taken, but with the room at {room:.0} °C it would begin there in \
             {}, and reach {:.0} °C; write `({unit})` in the head, or state `scale` (`°C` if that is right): all that follows depends on it",
            scale.word(),
            scale.to_celsius(hottest)
        ))
    })
}

impl Analysis {
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
