//! How hot a motor or driver gets: where the temperature is bound for, on the hottest day.
//!
//! Few people wait two hours. The log is fitted with the rise of one body, `ϑ(t) = ϑ∞ − (ϑ∞ − ϑ₀) e^(−t/τ)`; for each time constant the rest is a
//! straight line, so that one search does, and the interval of the end comes from how much worse the fit gets (the likelihood ratio).
//! The end is moved by as much as the hottest air is above the air of the log. Leaves out that a real motor is more than one body:
//! a log shorter than one time constant says so and gives no verdict.

use quantity::si::{ElectricCurrent, TemperatureInterval, ThermodynamicTemperature, Time, kelvin, second};
use quantity::{Number, Value};

use crate::Refused;
use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Mark, Picture, Plot, Report, Series, Trouble, Verdict, thinned};
use statistics::{Bisection, CONFIDENCE, Estimate, autocorrelation, fisher_quantile, linear_regression};

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
    if readings.len() < 8 {
        return Err(Refused::new(
            format!(
                "{} readings are too few to tell where the temperature is bound for",
                readings.len()
            ),
            "log a reading a minute for at least half an hour",
        ));
    }
    let bad = |r: &&Warm| !(r.time.base().is_finite() && r.temperature.base().is_finite());
    if let Some(reading) = readings.iter().find(bad) {
        return Err(Refused::new(
            format!("line {} holds no time and temperature", reading.line),
            "write the time in seconds and the temperature in degrees Celsius",
        ));
    }
    if let Some(back) = readings.windows(2).find(|w| w[1].time < w[0].time) {
        return Err(Refused::new(
            format!("line {}: the time runs backwards", back[1].line),
            "cut the log where it was started anew, and give each piece by itself",
        ));
    }
    let origin = readings[0].time.base();
    let times: Vec<f64> = readings.iter().map(|r| r.time.base() - origin).collect();
    let heights: Vec<f64> = readings.iter().map(|r| r.temperature.base()).collect();
    let length = times[times.len() - 1];
    if !(length > 0.0) {
        return Err(Refused::new(
            "all readings have one time",
            "write the time of each reading in seconds",
        ));
    }
    let mut curve = Curve {
        times,
        heights,
        alike: 1.0,
    };
    let best = curve.best(length).ok_or_else(|| {
        Refused::new(
            "no curve of warming fits the log",
            "log from the moment the motor is switched on, without changing its current",
        )
    })?;
    let (alike, memory) = curve.alike(&best);
    curve.alike = alike;
    let end = curve.end_interval(&best, length);
    let warmer = |air: ThermodynamicTemperature| ask.hottest_air.base() - air.base();
    let freedom = curve.times.len() as f64 - 3.0;
    Ok(WarmthLog {
        end,
        // The cooler the air was, the more is still to come.
        end_at_hottest: Estimate {
            value: end.value + warmer(ask.air.nominal()),
            low: end.low + warmer(ask.air.high()),
            high: end.high + warmer(ask.air.low()),
        },
        memory,
        time_constant: curve.constant_interval(&best, length),
        deviation: (best.sum / freedom).sqrt(),
        length,
        start: best.start,
        ask,
        readings: readings.to_vec(),
    })
}

struct Curve {
    times: Vec<f64>,
    heights: Vec<f64>,
    /// How many readings say no more than one: 1 where what the curve leaves is independent.
    alike: f64,
}

/// The best curve of one time constant.
#[derive(Clone, Copy)]
struct Fitted {
    constant: f64,
    end: f64,
    start: f64,
    sum: f64,
}

impl Curve {
    /// For one time constant: `ϑ = ϑ∞ + b e^(−t/τ)`.
    fn at(&self, constant: f64) -> Option<Fitted> {
        let rows: Vec<Vec<f64>> = self
            .times
            .iter()
            .map(|t| vec![1.0, (-t / constant).exp()])
            .collect();
        let line = linear_regression(&rows, &self.heights).ok()?;
        Some(Fitted {
            constant,
            end: line.coefficients[0],
            start: line.coefficients[0] + line.coefficients[1],
            sum: line.residuals.iter().map(|r| r * r).sum(),
        })
    }

    /// With the end held: `ϑ − ϑ∞ = b e^(−t/τ)`.
    fn with_end(&self, end: f64, constant: f64) -> f64 {
        let (mut above, mut below) = (0.0, 0.0);
        for (t, h) in self.times.iter().zip(&self.heights) {
            let e = (-t / constant).exp();
            above += (h - end) * e;
            below += e * e;
        }
        let b = above / below;
        let rest = self
            .times
            .iter()
            .zip(&self.heights)
            .map(|(t, h)| (h - end - b * (-t / constant).exp()).powi(2));
        rest.sum()
    }

    fn best(&self, length: f64) -> Option<Fitted> {
        let sum = |log: f64| self.at(log.exp()).map_or(f64::INFINITY, |f| f.sum);
        self.at(least(ladder(length), &sum).exp())
    }

    /// How many readings say no more than one, and how a reading resembles the one before; 1 and 0 where that is no more than chance.
    ///
    /// # Source
    /// `1 + 2 Σ rₖ` over the first pairs of correlations whose sum is positive: C. J. Geyer, Statistical Science 7 (1992) 473 (from
    /// memory). Each of the three fitted parameters takes as much of the slow strays as so many readings hold, which lowers every
    /// correlation.
    fn alike(&self, best: &Fitted) -> (f64, f64) {
        let left: Vec<f64> = self
            .times
            .iter()
            .zip(&self.heights)
            .map(|(t, h)| h - best.end - (best.start - best.end) * (-t / best.constant).exp())
            .collect();
        let (memory, chance) = autocorrelation(&left);
        if chance >= 0.5 || memory <= 0.0 {
            return (1.0, 0.0);
        }
        let n = left.len();
        let all: f64 = left.iter().map(|v| v * v).sum();
        let found: Vec<f64> = (0..(n / 4).max(4))
            .map(|lag| {
                let pairs = left.iter().zip(&left[lag..]);
                pairs.map(|(a, b)| a * b).sum::<f64>() / all
            })
            .collect();
        let mut alike = 1.0;
        for _ in 0..20 {
            let taken = 3.0 * alike / n as f64;
            let at = |lag: usize| (found[lag] + taken) / (1.0 + taken);
            let pairs = (0..found.len() / 2).map(|m| at(2 * m) + at(2 * m + 1));
            let sum: f64 = pairs.take_while(|pair| *pair > 2.0 * taken).sum();
            // White noise upon slow strays: the first correlation, and how fast those after it fade (an ARMA(1, 1) process). The
            // pairs alone stop too early in a short log, so the larger of the two counts.
            let fades = ((at(2) + at(3)) / (at(1) + at(2))).clamp(0.0, 0.95);
            alike = (2.0 * sum - 1.0)
                .max(1.0 + 2.0 * at(1) / (1.0 - fades))
                .clamp(1.0, n as f64 / 8.0);
        }
        (alike, memory)
    }

    /// The level of the sum of squares that is still believed: `S (1 + F(1, ν) / ν)`, with as many readings as are independent.
    fn level(&self, best: &Fitted) -> f64 {
        let freedom = ((self.times.len() as f64 - 3.0) / self.alike).max(1.0);
        best.sum * (1.0 + fisher_quantile(CONFIDENCE, 1.0, freedom) / freedom)
    }

    fn end_interval(&self, best: &Fitted, length: f64) -> Estimate {
        let sum = |end: f64| {
            let f = |log: f64| self.with_end(end, log.exp());
            f(least(ladder(length), &f))
        };
        bounds(
            best.end,
            (best.end - best.start).abs().max(1e-3),
            self.level(best),
            &sum,
        )
    }

    fn constant_interval(&self, best: &Fitted, length: f64) -> Estimate {
        let sum = |log: f64| self.at(log.exp()).map_or(f64::INFINITY, |f| f.sum);
        let (low, high) = ladder(length);
        let found = bounds(best.constant.ln(), 0.5, self.level(best), &sum);
        let cut = |log: f64| {
            if log <= low {
                0.0
            } else if log >= high {
                f64::INFINITY
            } else {
                log.exp()
            }
        };
        Estimate {
            value: best.constant,
            low: cut(found.low),
            high: cut(found.high),
        }
    }
}

/// Time constants that are looked at, as logarithms: from a fiftieth to fifty times the log.
fn ladder(length: f64) -> (f64, f64) {
    ((length / 50.0).ln(), (length * 50.0).ln())
}

/// The place of the least value: coarse first, then the golden section around it.
fn least((low, high): (f64, f64), f: &dyn Fn(f64) -> f64) -> f64 {
    const STEPS: u32 = 32;
    const SHARE: f64 = 0.618_033_988_749_894_8;
    let place = |k: u32| low + (high - low) * f64::from(k) / f64::from(STEPS);
    let best = (0..=STEPS)
        .min_by(|a, b| f(place(*a)).total_cmp(&f(place(*b))))
        .unwrap_or(0);
    let (mut left, mut right) = (place(best.saturating_sub(1)), place((best + 1).min(STEPS)));
    for _ in 0..36 {
        let (a, b) = (right - SHARE * (right - left), left + SHARE * (right - left));
        if f(a) <= f(b) { right = b } else { left = a }
    }
    f64::midpoint(left, right)
}

/// Where a function that is least at `middle` passes a level on both sides; infinite where it does not within some 10,000 steps of `step`.
fn bounds(middle: f64, step: f64, level: f64, f: &dyn Fn(f64) -> f64) -> Estimate {
    let walk = Bisection {
        first: step * 0.02,
        growth: 1.8,
        farthest: step * 14_000.0,
        halvings: 30,
    };
    walk.interval(middle, |x| f(x) <= level)
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
            return Verdict::Fails;
        }
        if !self.long_enough() {
            return Verdict::NotShown;
        }
        Verdict::at_most(self.end_at_hottest.low, self.end_at_hottest.high, limit)
    }

    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let verdict = self.verdict();
        let temperature =
            |e: Estimate| -> Value<ThermodynamicTemperature> { e.of(ThermodynamicTemperature::from_base) };
        let limit = Value::exact(self.ask.highest);
        let end = temperature(self.end_at_hottest);
        let air = Value::exact(self.ask.hottest_air);
        let what = &self.ask.what;
        let sentence = match verdict {
            Verdict::Holds => {
                format!("The {what} will settle at {end} in air of {air}, within the {limit} allowed.")
            }
            Verdict::Fails => format!(
                "The {what} gets hotter than the {limit} allowed: it is bound for {end} in air of {air}."
            ),
            _ if self.long_enough() => format!(
                "The {what} is bound for {end} in air of {air}: whether that is within {limit} is not shown."
            ),
            _ => format!("The log of the {what} is too short to foretell where its temperature ends."),
        };
        let air_then = self.ask.air;
        let rise = Estimate {
            value: self.end.value - air_then.nominal().base(),
            low: self.end.low - air_then.high().base(),
            high: self.end.high - air_then.low().base(),
        };
        let rise: Value<TemperatureInterval> = rise.of(kelvin);
        let constant: Value<Time> = self.time_constant.of(second);
        let figures = vec![
            Figure::with_interval(
                "end-at-hottest",
                "temperature at the end, in the hottest air",
                end,
            ),
            Figure::with_interval(
                "end",
                "temperature at the end, in the air of the log",
                temperature(self.end),
            ),
            Figure::with_interval("rise", "rise above the air", rise),
            Figure::with_interval("time-constant", "time constant", constant),
            Figure::plain(
                "deviation",
                "scatter of a single reading",
                Value::exact(kelvin(self.deviation)),
            ),
        ];
        let mut advice = Vec::new();
        if verdict == Verdict::Fails {
            let bound = self.end.value - self.ask.air.nominal().base();
            let room = self.ask.highest.base() - self.ask.hottest_air.base();
            if let Some(current) = self.ask.current
                && room > 0.0
                && bound > 0.0
            {
                // The loss goes with the square of the current; what the iron adds is left out, which is on the safe side for a lower current.
                let less = Value::exact(current * (room / bound).sqrt());
                advice.push(Advice::helps(format!(
                    "Lower the current to about {less} (the rise goes with its square), and log again."
                )));
            } else {
                advice.push(Advice::helps(
                    "Lower the current (the rise goes with its square), and log again.",
                ));
            }
            advice.push(Advice::helps(
                "Move air over it, or give a driver its heat sink. Hot parts: let them cool before touching.",
            ));
        }
        if verdict == Verdict::NotShown {
            advice.push(Advice::helps(
                "Log for at least two time constants: half an hour for a driver, two hours for a motor.",
            ));
        }
        advice.push(Advice::in_vain(
            "Touching it: bare metal at 55 °C already hurts within seconds, and most motors bear more.",
        ));
        let origin = self.readings[0].time.base();
        let measured: Vec<[f64; 2]> = self
            .readings
            .iter()
            .map(|r| [(r.time.base() - origin) / 60.0, r.temperature.base() - 273.15])
            .collect();
        let reach = self
            .length
            .max(3.0 * self.time_constant.value.min(2.0 * self.length));
        let curve = (0..=80).map(|k| {
            let t = reach * f64::from(k) / 80.0;
            let rest = (self.start - self.end.value) * (-t / self.time_constant.value).exp();
            [t / 60.0, self.end.value + rest - 273.15]
        });
        let plot = Plot {
            title: format!("Temperature of the {what}"),
            x: "time, min".into(),
            y: "temperature, °C".into(),
            series: vec![
                Series {
                    name: "measured".into(),
                    points: thinned(&measured),
                    dots: measured.len() <= 120,
                },
                Series {
                    name: "fitted, one body".into(),
                    points: curve.collect(),
                    dots: false,
                },
            ],
            marks: vec![Mark {
                name: "highest allowed, less the hotter air".into(),
                at: self.ask.highest.base()
                    - (self.ask.hottest_air.base() - self.ask.air.nominal().base())
                    - 273.15,
                upright: false,
            }],
            logarithmic: [false, false],
        };
        let mut troubles = Vec::new();
        if !self.long_enough() {
            troubles.push(Trouble::of_all(
                "the log is shorter than the time constant: the end is a guess",
            ));
        }
        if !self.ask.air_stated {
            troubles.push(Trouble::of_all(format!(
                "the air while it was logged is not stated, so the room of the swap is taken, {}: state `air` as you measured it, and the end \
                 is told more narrowly",
                self.ask.air
            )));
        }
        if self.memory > 0.0 {
            troubles.push(Trouble::of_all(format!(
                "readings stray together from the curve (correlation {:.2} with the one before): they count as fewer, and the intervals are \
                 as much wider",
                self.memory
            )));
        }
        Report {
            title: format!("Warmth of the {what}"),
            verdict,
            sentence,
            figures,
            advice,
            tables: Vec::new(),
            pictures: vec![Picture::Plot(plot)],
            troubles,
            sources: vec!["heat-transfer-textbook", "nist-handbook"],
        }
    }
}
