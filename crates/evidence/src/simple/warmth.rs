//! How hot a motor or driver gets: where the temperature is bound for, on the hottest day.
//!
//! Few people wait two hours. The log is fitted with the rise of one body, `ϑ(t) = ϑ∞ − (ϑ∞ − ϑ₀) e^(−t/τ)`; for each time constant the rest is a
//! straight line, so that one search does, and the interval of the end comes from how much worse the fit gets (the likelihood ratio).
//! The end is moved by as much as the hottest air is above the air of the log. Leaves out that a real motor is more than one body:
//! a log shorter than one time constant says so and gives no verdict.

mod curve;
mod words;

use quantity::si::{ElectricCurrent, ThermodynamicTemperature, Time};
use quantity::{Number as _, Value};
use statistics::Estimate;

use self::curve::Curve;
use crate::digits::written_degrees;
use crate::quantities::in_celsius;
use crate::{Refused, Verdict};

/// One reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Warm {
    /// When.
    pub time: Time,
    /// The temperature of the case of the motor or driver.
    pub temperature: ThermodynamicTemperature,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct WarmthAsk {
    /// What was measured, such as "motor of Y".
    pub what: String,
    /// The highest temperature that it may have there.
    pub highest: ThermodynamicTemperature,
    /// The air while it was measured.
    pub air: Value<ThermodynamicTemperature>,
    /// Whether that was stated for this log, and not taken from the swap.
    pub air_stated: bool,
    /// The hottest air that it will have to work in.
    pub hottest_air: ThermodynamicTemperature,
    /// The current it ran at, where known: for the words alone.
    pub current: Option<ElectricCurrent>,
}

/// What the log says; temperatures in kelvin, times in seconds.
#[derive(Clone, Debug, PartialEq)]
pub struct WarmthLog {
    /// Where it is bound for, in the air of the log.
    pub end: Estimate,
    /// The same in the hottest air.
    pub end_at_hottest: Estimate,
    /// Time constant.
    pub time_constant: Estimate,
    /// Deviation of a single reading from the curve.
    pub deviation: f64,
    /// Correlation of what the curve leaves with the reading before; zero where it is no more than chance. The intervals count with it.
    pub memory: f64,
    /// How long was logged.
    pub length: f64,
    ask: WarmthAsk,
    readings: Vec<Warm>,
    start: f64,
}

/// Looks at a log that begins when the motor is switched on.
///
/// # Errors
/// [`Refused`] for fewer than eight readings, numbers that are not finite, times that run backwards.
pub fn warmth_log(readings: &[Warm], ask: WarmthAsk) -> Result<WarmthLog, Refused> {
    refuse(readings)?;
    let origin = readings[0].time.base();
    let times: Vec<f64> = readings.iter().map(|r| r.time.base() - origin).collect();
    let heights: Vec<f64> = readings.iter().map(|r| r.temperature.base()).collect();
    let length = times[times.len() - 1];
    if !(length > 0.0) {
        return Err(words::one_time());
    }
    let mut curve = Curve::of(times, heights);
    let best = curve.best(length).ok_or_else(words::no_curve)?;
    let (alike, memory) = curve.alike(&best);
    curve.alike = alike;
    let end = curve.end_interval(&best, length);
    let half = written_degrees(readings.iter().map(|own| in_celsius(own.temperature))) / 2.0;
    let end = Estimate {
        low: end.low - half,
        high: end.high + half,
        ..end
    };
    let freedom = curve.count() as f64 - 3.0;
    Ok(WarmthLog {
        end,
        end_at_hottest: in_hottest_air(end, &ask),
        memory,
        time_constant: curve.constant_interval(&best, length),
        deviation: (best.sum / freedom).sqrt(),
        length,
        start: best.start,
        ask,
        readings: readings.to_vec(),
    })
}

/// Fewer readings than this say nothing.
const FEWEST: usize = 8;

fn refuse(readings: &[Warm]) -> Result<(), Refused> {
    if readings.len() < FEWEST {
        return Err(words::too_few(readings.len()));
    }
    let bad = |r: &&Warm| !(r.time.base().is_finite() && r.temperature.base().is_finite());
    if let Some(reading) = readings.iter().find(bad) {
        return Err(words::no_number(reading.line));
    }
    match readings.windows(2).find(|w| w[1].time < w[0].time) {
        Some(back) => Err(words::backwards(back[1].line)),
        None => Ok(()),
    }
}

/// The cooler the air of the log was, the more is still to come.
fn in_hottest_air(end: Estimate, ask: &WarmthAsk) -> Estimate {
    let warmer = |air: ThermodynamicTemperature| ask.hottest_air.base() - air.base();
    Estimate {
        value: end.value + warmer(ask.air.nominal()),
        low: end.low + warmer(ask.air.high()),
        high: end.high + warmer(ask.air.low()),
    }
}

impl WarmthLog {
    /// Whether the log is long enough for its end to be foretold.
    #[must_use]
    pub fn long_enough(&self) -> bool {
        self.length >= self.time_constant.value && self.end.low.is_finite() && self.end.high.is_finite()
    }

    /// Whether it stays cool enough on the hottest day.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let limit = self.ask.highest.base();
        let reached = self
            .readings
            .iter()
            .map(|r| r.temperature.base())
            .fold(f64::NEG_INFINITY, f64::max);
        if reached > limit {
            return Verdict::Fail;
        }
        if !self.long_enough() {
            return Verdict::Open;
        }
        Verdict::at_most(self.end_at_hottest.low, self.end_at_hottest.high, limit)
    }

    /// Rise above the air of the log, K.
    fn rise(&self) -> Estimate {
        let air = self.ask.air;
        Estimate {
            value: self.end.value - air.nominal().base(),
            low: self.end.low - air.high().base(),
            high: self.end.high - air.low().base(),
        }
    }

    /// The current at which it would stay within what is allowed on the hottest day: the loss goes with its square; what the iron adds is
    /// left out, which is on the safe side for a lower current. Nothing where no current would.
    fn bearable_current(&self) -> Option<ElectricCurrent> {
        let rise = self.end.value - self.ask.air.nominal().base();
        let room = self.ask.highest.base() - self.ask.hottest_air.base();
        let current = self.ask.current.filter(|_| room > 0.0 && rise > 0.0)?;
        Some(current * (room / rise).sqrt())
    }

    /// What was measured: minutes, °C.
    fn measured(&self) -> Vec<[f64; 2]> {
        let origin = self.readings[0].time.base();
        let readings = self.readings.iter();
        readings
            .map(|r| [(r.time.base() - origin) / 60.0, in_celsius(r.temperature)])
            .collect()
    }

    /// The fitted curve, beyond the log as far as it tells something: minutes, °C.
    fn fitted(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        let constant = self.time_constant.value;
        let reach = self.length.max(3.0 * constant.min(2.0 * self.length));
        (0..=80).map(move |k| {
            let t = reach * f64::from(k) / 80.0;
            let rest = (self.start - self.end.value) * (-t / constant).exp();
            [t / 60.0, self.end.value + rest - 273.15]
        })
    }
}
