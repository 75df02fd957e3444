//! The process behind a log: gain, two lags and a dead time, fitted to what the duty did.

use physics::control;
use quantity::si::{TemperatureInterval, ThermodynamicTemperature, Time, celsius, kelvin, second};
use quantity::{Number as _, Value};

use super::Ask;
use super::phases::{Phase, Span};
use super::view::View;
use crate::{Refused, Trouble};
use statistics::least_squares::{Fit, Model, least_squares_to};
use statistics::{CONFIDENCE, correlation_time, coverage_factor};

/// Points of the last fit, and of the first ones from several starts.
const POINTS: (usize, usize) = (4_000, 400);

/// A heated part as its log shows it: `K exp(−θ s) / ((τ₁ s + 1)(τ₂ s + 1))` over the room.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Process {
    /// Rise over the room at full power, in the end, with its 95 % interval.
    pub gain: Value<TemperatureInterval>,
    /// The larger lag.
    pub lag: Value<Time>,
    /// The smaller lag; nothing where the log does not show one.
    pub second_lag: Option<Value<Time>>,
    /// Dead time.
    pub delay: Value<Time>,
    /// The room, as the log shows it.
    pub room: ThermodynamicTemperature,
    /// Deviation of the readings from the fit, root mean square.
    pub left: TemperatureInterval,
    /// Whether the duty was in the log; else full power was assumed during heat-up.
    pub from_duty: bool,
}

impl Process {
    /// As control knows it, at the nominal values.
    #[must_use]
    pub fn model(&self) -> control::Process {
        let mut lags = vec![self.lag.nominal()];
        lags.extend(self.second_lag.map(|lag| lag.nominal()));
        control::Process {
            gain: self.gain.nominal(),
            lags,
            leads: Vec::new(),
            delay: self.delay.nominal(),
            integrating: false,
        }
    }

    pub(crate) fn plant(&self) -> Plant {
        Plant {
            gain: self.gain.nominal().base(),
            lags: [
                self.lag.nominal().base(),
                self.second_lag.map_or(0.0, |lag| lag.nominal().base()),
            ],
            delay: self.delay.nominal().base(),
        }
    }
}

/// Numbers of a process in seconds and kelvin.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Plant {
    pub gain: f64,
    pub lags: [f64; 2],
    pub delay: f64,
}

/// Runs a plant over an input that is held between its edges. Times rise from call to call.
#[derive(Clone, Debug)]
pub(crate) struct Runner {
    plant: Plant,
    states: [f64; 2],
    time: f64,
    /// Decays over the last step lengths, since logs have few different ones.
    memory: [(f64, [f64; 2]); 2],
    next: usize,
}

impl Runner {
    /// Begins at rest at a rise over the room.
    pub fn new(plant: Plant, time: f64, rise: f64) -> Self {
        Self {
            plant,
            states: [rise; 2],
            time,
            memory: [(f64::NAN, [0.0; 2]); 2],
            next: 0,
        }
    }

    /// Goes on for a time under one input; exact.
    pub fn hold(&mut self, input: f64, duration: f64) {
        if duration <= 0.0 {
            return;
        }
        let [one, two] = self.decays(duration);
        let [tau, other] = self.plant.lags;
        let end = self.plant.gain * input;
        let first = self.states[0] - end;
        self.states[0] = end + first * one;
        if other <= 0.0 {
            self.states[1] = self.states[0];
        } else {
            let near = (tau - other).abs() < 1e-6 * tau;
            let through = if near {
                duration / tau * one
            } else {
                tau / (tau - other) * (one - two)
            };
            self.states[1] = end + (self.states[1] - end) * two + first * through;
        }
        self.time += duration;
    }

    fn decays(&mut self, duration: f64) -> [f64; 2] {
        // Steps of a log differ by rounding only; a fresh exponential costs ten times as much as looking here.
        if let Some((_, known)) = self
            .memory
            .iter()
            .find(|(own, _)| (own - duration).abs() <= 1e-9 * duration)
        {
            return *known;
        }
        let [tau, other] = self.plant.lags;
        let second = if other > 0.0 {
            (-duration / other).exp()
        } else {
            0.0
        };
        let fresh = [(-duration / tau).exp(), second];
        self.memory[self.next] = (duration, fresh);
        self.next = 1 - self.next;
        fresh
    }

    pub fn time(&self) -> f64 {
        self.time
    }

    pub fn rise(&self) -> f64 {
        self.states[1]
    }
}

/// The rise at each time under an input that holds from each of its edges on.
fn rises(plant: Plant, rise: f64, times: &[f64], edges: &[f64], input: &[f64], out: &mut [f64]) {
    let begin = times[0].min(edges[0]);
    let mut runner = Runner::new(plant, begin, rise);
    // Before the first edge is felt, what kept the first rise goes on.
    let (mut held, mut next) = (rise / plant.gain, 0);
    for (time, out) in times.iter().zip(out) {
        while next < edges.len() && edges[next] + plant.delay <= *time {
            let at = edges[next] + plant.delay;
            runner.hold(held, at - runner.time);
            held = input[next];
            next += 1;
        }
        runner.hold(held, *time - runner.time);
        *out = runner.rise();
    }
}

/// The part of a log that is fitted.
struct Data {
    times: Vec<f64>,
    edges: Vec<f64>,
    input: Vec<f64>,
    measured: Vec<f64>,
    /// Root of the number of points that each one stands for.
    weight: Vec<f64>,
    /// So many points from the first on, up to where the target is held, tell lags and dead time.
    quick: usize,
    /// Where the log does not begin cold: the room, which it then cannot show.
    room: Option<f64>,
}

impl Data {
    /// At most about so many points, each the mean of a block; the quick ones are kept as they are where they leave room for the rest.
    fn thinned(&self, most: usize) -> Self {
        let count = self.times.len();
        let kept = if count > most && self.quick <= most * 3 / 4 {
            self.quick
        } else {
            0
        };
        let every = (count - kept).div_ceil(most - kept).max(1);
        let blocks: Vec<(usize, usize)> = (0..kept)
            .map(|at| (at, at + 1))
            .chain(
                (kept..count)
                    .step_by(every)
                    .map(|at| (at, (at + every).min(count))),
            )
            .collect();
        let mean = |values: &[f64]| -> Vec<f64> {
            let of =
                |(from, to): &(usize, usize)| values[*from..*to].iter().sum::<f64>() / (to - from) as f64;
            blocks.iter().map(of).collect()
        };
        let weights = blocks.iter().map(|(from, to)| ((to - from) as f64).sqrt());
        Self {
            times: mean(&self.times),
            edges: blocks.iter().map(|(from, _)| self.edges[*from]).collect(),
            input: mean(&self.input),
            measured: mean(&self.measured),
            weight: weights.collect(),
            quick: kept,
            room: self.room,
        }
    }

    /// Parameters: ln K, ln τ₁, ln θ, base, and ln τ₂ if there is one. The base is the room, or the first temperature where the room is known.
    fn fit(&self, start: &[f64], rest: f64) -> Result<Fit, statistics::least_squares::NoFit> {
        least_squares_to(rest, self, start, self.times.len())
    }
}

impl Model for &Data {
    fn residuals(&mut self, p: &[f64], out: &mut [f64]) {
        let plant = plant(p);
        let (room, rise) = match self.room {
            Some(room) => (room, p[3] - room),
            None => (p[3], 0.0),
        };
        if !(plant.gain.is_finite() && plant.lags[0].is_finite() && plant.delay < 1e5) {
            out.fill(f64::NAN);
            return;
        }
        rises(plant, rise, &self.times, &self.edges, &self.input, out);
        for ((out, measured), weight) in out.iter_mut().zip(&self.measured).zip(&self.weight) {
            *out = (*out + room - measured) * weight;
        }
    }

    /// From cold, the rise goes with the gain, and the base is added to it.
    fn slopes(&mut self, parameter: usize, p: &[f64], residuals: &[f64], out: &mut [f64]) -> bool {
        match (parameter, self.room) {
            (0, None) => {
                let told = residuals.iter().zip(&self.measured).zip(&self.weight);
                for (out, ((residual, measured), weight)) in out.iter_mut().zip(told) {
                    *out = residual + (measured - p[3]) * weight;
                }
            }
            (3, None) => out.copy_from_slice(&self.weight),
            _ => return false,
        }
        true
    }
}

fn plant(p: &[f64]) -> Plant {
    let other = p.get(4).map_or(0.0, |p| p.exp());
    Plant {
        gain: p[0].exp(),
        lags: [p[1].exp(), other],
        delay: p[2].exp(),
    }
}

/// Fits the process.
///
/// Fitted is from the start of the log to the first disturbance or to five times the heat-up. With the duty in the log it does not
/// matter whether the loop was closed: readings differ from the fit by noise that no earlier duty knew of.
///
/// `duties` are those of the log as written, by which the step of their rounding is found.
pub(super) fn identify(
    view: &View,
    spans: &[Span],
    ask: &Ask,
    duties: Option<&[f32]>,
    troubles: &mut Vec<Trouble>,
) -> Result<Process, Refused> {
    let from_duty = !view.duty.is_empty();
    let data = window(view, spans, ask, from_duty)?;
    if from_duty {
        let most = data.input.iter().copied().fold(f64::MIN, f64::max);
        let least = data.input.iter().copied().fold(f64::MAX, f64::min);
        if most - least < 0.05 {
            return Err(Refused::new(
                "the duty never changes where the process is to be told",
                "a log with a heat-up from cold",
            ));
        }
    } else {
        troubles.push(Trouble::of_all(
            "the log tells no duty: full power was assumed until the target is near",
        ));
    }
    let none = || {
        Refused::new(
            "no process of two lags and a dead time fits the log",
            "a heat-up from cold to the target with the duty in the log, a sample each second or faster",
        )
    };
    let coarse = data.thinned(POINTS.1);
    let fine = data.thinned(POINTS.0);
    let starts = starts(&fine);
    // Which start leads to the best valley a rough fit tells.
    let from = |starts: &[Vec<f64>], parameters: usize| {
        let rough = starts
            .iter()
            .filter_map(|start| coarse.fit(&start[..parameters], 1e-4).ok());
        let best = rough.min_by(|one, other| one.sum_of_squares.total_cmp(&other.sum_of_squares))?;
        fine.fit(&best.parameters, 1e-9).ok().filter(determined)
    };
    let second = from(&starts, 5);
    let first = from(&starts[..2], 4);
    // A second lag has to pay for its parameter (Akaike's criterion, with a margin for residuals that hang together).
    let fit = match (first, second) {
        (Some(first), Some(second)) => {
            let count = fine.times.len() as f64;
            let gain = count * (first.sum_of_squares / second.sum_of_squares).ln();
            if gain > 10.0 { second } else { first }
        }
        (one, other) => one.or(other).ok_or_else(none)?,
    };
    let step = duties.map_or(0.0, duty_step);
    told(&fit, &data, &fine, step, from_duty).ok_or_else(none)
}

/// Every parameter is told to within a factor.
fn determined(fit: &Fit) -> bool {
    (0..fit.parameters.len())
        .filter(|at| *at != 3)
        .all(|at| fit.covariance[at][at].sqrt() < 1.0)
}

fn window(view: &View, spans: &[Span], ask: &Ask, from_duty: bool) -> Result<Data, Refused> {
    let at = spans
        .iter()
        .position(|span| span.phase == Phase::HeatUp)
        .ok_or_else(|| {
            Refused::new(
                "there is no heat-up in the log",
                "begin the log cold, before the target is set",
            )
        })?;
    let heat_up = spans[at].points;
    // From half a minute before the heat-up: the room is read there.
    let begin = (0..heat_up.0)
        .rev()
        .take_while(|at| view.time[heat_up.0] - view.time[*at] < 60.0)
        .filter(|at| {
            spans
                .iter()
                .any(|span| span.phase == Phase::Cold && (span.points.0..span.points.1).contains(at))
        })
        .last()
        .unwrap_or(heat_up.0);
    let length = view.time[heat_up.1 - 1] - view.time[heat_up.0];
    let last = spans[at + 1..]
        .iter()
        .take_while(|span| matches!(span.phase, Phase::Approach | Phase::Soak))
        .last()
        .map_or(heat_up.1, |span| span.points.1);
    let end = if from_duty {
        let enough = view.time[heat_up.0] + 6.0 * length.max(60.0);
        (heat_up.1..last)
            .find(|at| view.time[*at] > enough)
            .unwrap_or(last)
    } else {
        heat_up.1
    };
    let approach = match spans.get(at + 1) {
        Some(span) if span.phase == Phase::Approach => span.points.1,
        _ => heat_up.1,
    };
    let ambient = ask.ambient.base() - 273.15;
    let first = view.measured[begin];
    let rise = view.measured[begin..end].iter().copied().fold(f64::MIN, f64::max) - first;
    if end - begin < 12 || rise < 15.0 {
        return Err(Refused::new(
            format!(
                "the heat-up has {} points, one each {:.1} s, and {rise:.0} K",
                end - begin,
                view.step().base()
            ),
            "a heat-up of at least 15 K with a sample each second or faster",
        ));
    }
    let input = if from_duty {
        view.duty[begin..end].to_vec()
    } else {
        // Before the target is set nothing heats: taken as heated, the cold half minute would count as dead time.
        let cold = heat_up.0 - begin;
        (0..end - begin)
            .map(|at| if at < cold { 0.0 } else { 1.0 })
            .collect()
    };
    Ok(Data {
        times: view.time[begin..end].to_vec(),
        edges: view.start[begin..end].to_vec(),
        input,
        measured: view.measured[begin..end].to_vec(),
        weight: vec![1.0; end - begin],
        quick: approach.min(end) - begin,
        room: (first > ambient + 15.0).then_some(ambient),
    })
}

/// Where to begin: gain from the level that the mean duty held, lag from the steepest rise, the rest from when the rise began.
fn starts(data: &Data) -> Vec<Vec<f64>> {
    let count = data.times.len();
    let first = data.measured[0];
    let room = data.room.unwrap_or(first);
    let tail = count * 4 / 5..count;
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len().max(1) as f64;
    let held = mean(&data.input[tail.clone()]).max(0.02);
    let high = data.measured.iter().copied().fold(f64::MIN, f64::max);
    let by_level = (mean(&data.measured[tail]) - room).max(5.0) / held;
    let gain = by_level.clamp((high - room) * 1.02, (high - room) * 50.0);
    let width = (count / 50).max(2);
    let slope = |at: usize| {
        let power = mean(&data.input[at..at + width]).max(0.05);
        (data.measured[at + width] - data.measured[at]) / (data.times[at + width] - data.times[at]) / power
    };
    let steepest = (0..count - width).map(slope).fold(1e-3, f64::max);
    let lag = (gain / steepest).max(data.times[1] - data.times[0]);
    let on = data.input.iter().position(|input| *input > 0.02).unwrap_or(0);
    let step = (data.times[count - 1] - data.times[0]) / count as f64;
    let risen = (on..count)
        .find(|at| data.measured[*at] > first + 2.0)
        .unwrap_or(on);
    let wait = (data.times[risen] - data.times[on]).max(step).min(lag);
    let base = if data.room.is_some() { first } else { room };
    [(0.5, 0.5), (0.2, 1.0), (0.8, 0.2), (0.5, 3.0)]
        .iter()
        .map(|(delay, second)| {
            vec![
                gain.ln(),
                lag.ln(),
                (wait * delay).ln(),
                base,
                (wait * second).ln(),
            ]
        })
        .collect()
}

/// The step to which duties are rounded, as a share of full power; 0 where they lie on none.
fn duty_step(duties: &[f32]) -> f64 {
    const LOOKED_AT: usize = 20_000;
    let every = duties.len().div_ceil(LOOKED_AT).max(1);
    let mut seen: Vec<f64> = duties
        .iter()
        .step_by(every)
        .filter(|duty| duty.is_finite())
        .map(|duty| f64::from(*duty))
        .collect();
    seen.sort_by(f64::total_cmp);
    // Single precision keeps seven digits.
    seen.dedup_by(|one, other| (*one - *other).abs() < 2e-6);
    let gaps = seen.windows(2).map(|pair| pair[1] - pair[0]);
    let step = gaps.fold(f64::INFINITY, f64::min);
    // Two levels and their gap say nothing: a heater that is just switched on and off has no rounding.
    if seen.len() < 3 {
        return 0.0;
    }
    let off = |duty: &f64| (duty / step - (duty / step).round()).abs() * step;
    if seen.iter().all(|duty| off(duty) < 0.02 * step + 1e-6) {
        step
    } else {
        0.0
    }
}

/// What the rounding of the duty adds to the covariance of the parameters.
///
/// A duty that is written in steps of `q` is off by `q/√12`, and by the same as long as it stays on one step. What an error from one moment on does to
/// each parameter is `(JᵀJ)⁻¹ Jᵀ K S(t − θ)`, with `S` the answer of the two lags to a step. Nothing and full power are not rounded.
fn by_rounding(fit: &Fit, all: &Data, fine: &Data, step: f64) -> Option<Vec<Vec<f64>>> {
    let plant = plant(&fit.parameters);
    let one = plant.lags[0];
    // The two must differ for the formula; by so little that it makes none.
    let two = match plant.lags[1] {
        other if (one - other).abs() < 1e-4 * one => one * (1.0 - 1e-4),
        other => other.max(1e-6),
    };
    let size = fit.parameters.len();
    let columns: Vec<&[f64]> = (0..size).map(|at| fit.slopes(at)).collect();
    // From the end back: sums of the slopes at later times, plain and damped by each lag.
    let mut sums = vec![[0.0; 3]; size];
    let mut next = fine.times.len();
    let mut last = f64::INFINITY;
    let mut step_from = |edge: f64| -> Vec<f64> {
        if last.is_finite() {
            let damp = [1.0, (-(last - edge) / one).exp(), (-(last - edge) / two).exp()];
            for sums in &mut sums {
                sums.iter_mut().zip(damp).for_each(|(sum, damp)| *sum *= damp);
            }
        }
        while next > 0 && fine.times[next - 1] >= edge + plant.delay {
            next -= 1;
            let since = fine.times[next] - plant.delay - edge;
            let damp = [1.0, (-since / one).exp(), (-since / two).exp()];
            for (sums, column) in sums.iter_mut().zip(&columns) {
                // The residual is weighted, and so is what an error does to it.
                let slope = column[next] * fine.weight[next];
                sums.iter_mut()
                    .zip(damp)
                    .for_each(|(sum, damp)| *sum += slope * damp);
            }
        }
        last = edge;
        let answer =
            |[plain, slow, quick]: &[f64; 3]| plant.gain * (plain - (one * slow - two * quick) / (one - two));
        sums.iter().map(answer).collect()
    };
    let mut middle = vec![vec![0.0; size]; size];
    let mut later = vec![0.0; size];
    let mut at = all.input.len();
    while at > 0 {
        let duty = all.input[at - 1];
        let mut from = at - 1;
        while from > 0 && (all.input[from - 1] - duty).abs() < 2e-6 {
            from -= 1;
        }
        let own = step_from(all.edges[from]);
        if duty > step / 4.0 && duty < 1.0 - step / 4.0 {
            for (one, row) in middle.iter_mut().enumerate() {
                for (other, cell) in row.iter_mut().enumerate() {
                    *cell += (own[one] - later[one]) * (own[other] - later[other]) * step * step / 12.0;
                }
            }
        }
        later = own;
        at = from;
    }
    let out = fit.propagated(&middle);
    out.iter().flatten().all(|cell| cell.is_finite()).then_some(out)
}

fn told(fit: &Fit, all: &Data, data: &Data, step: f64, from_duty: bool) -> Option<Process> {
    let room = data.room.unwrap_or(fit.parameters[3]);
    let together = correlation_time(&fit.residuals);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at most the number of points"
    )]
    let lags = (2.0 * together).ceil() as usize;
    // White residuals have the plain covariance; estimating what hangs together would only add scatter to it.
    let covariance = if together > 1.5 {
        fit.robust_covariance(lags)
    } else {
        fit.covariance.clone()
    };
    let rounding = match from_duty && step > 0.0 {
        true => by_rounding(fit, all, data, step),
        false => None,
    };
    let wide = coverage_factor(fit.freedom, CONFIDENCE);
    let bounds = |at: usize| -> Option<[f64; 3]> {
        // What rounding adds hangs together, so that the robust covariance may hold part of it already.
        let own = fit.covariance[at][at] + rounding.as_ref().map_or(0.0, |rounding| rounding[at][at]);
        let half = wide * covariance[at][at].max(own).sqrt();
        let middle = fit.parameters[at];
        let all = [middle - half, middle, middle + half].map(f64::exp);
        all.iter().all(|value| value.is_finite()).then_some(all)
    };
    let time = |[low, middle, high]: [f64; 3]| Value::between(second(low), second(middle), second(high));
    let [low, middle, high] = bounds(0)?;
    let one = time(bounds(1)?);
    let two = match fit.parameters.len() {
        5 => Some(time(bounds(4)?)),
        _ => None,
    };
    // Which of the lags comes first cannot be told; the larger one is named first.
    let (lag, second_lag) = match two {
        Some(two) if two.nominal() > one.nominal() => (two, Some(one)),
        two => (one, two),
    };
    Some(Process {
        gain: Value::between(kelvin(low), kelvin(middle), kelvin(high)),
        lag,
        second_lag,
        delay: time(bounds(2)?),
        room: celsius(room),
        left: kelvin(fit.deviation),
        from_duty,
    })
}
