//! Figures of a temperature log: swing, noise, coherence, process.

use quantity::si::Ratio;
use quantity::{AnyValue, Number, Quantity, Value};

use crate::report::Figure;
use crate::temperature::swing::{Cause, Coherence, Line, NoiseFrom, Part};
use crate::temperature::{Analysis, Process, Swing};

impl Analysis {
    pub(super) fn figures(&self) -> Vec<Figure> {
        if let Some(alarm) = &self.alarm {
            return alarm.figures();
        }
        let swing = self.swing.iter().flat_map(of_swing);
        let overshoot = self.overshoot();
        let overshoot =
            overshoot.map(|overshoot| exact("overshoot", "overshoot after the heat-up", overshoot));
        let process = self.process.iter().flat_map(of_process);
        swing.chain(overshoot).chain(process).collect()
    }
}

fn of_swing(swing: &Swing) -> Vec<Figure> {
    let mut out = vec![
        Figure::with_interval(
            "farthest",
            "99 % of the readings stay this near to the target, held",
            swing.farthest,
        ),
        Figure::with_interval(
            "width",
            "width of the band with 99 % of the readings, held",
            swing.width,
        ),
        Figure::with_interval(
            "deviation",
            "standard deviation of the reading, held",
            swing.deviation,
        ),
        Figure::with_interval("offset", "mean reading less target", swing.offset),
    ];
    out.extend(swing.parts.iter().filter_map(of_part));
    out.push(Figure::with_interval(
        "noise",
        swing.noise_from.words(),
        swing.noise,
    ));
    if let Some(step) = swing.step() {
        let what = match swing.levels {
            Some(levels) if levels.of_the_digits => "step of the digits in the log; the input may be finer",
            _ => "step of the input",
        };
        out.push(exact("step", what, step));
    }
    out.extend(swing.lines.iter().take(2).map(of_line));
    out.extend(swing.deciding_coherence().into_iter().flat_map(of_coherence));
    out
}

/// The noise has a figure of its own, with its interval.
fn of_part(part: &Part) -> Option<Figure> {
    let id = match part.cause {
        Cause::Control => "control",
        Cause::Noise => return None,
        Cause::Steps => "steps",
        Cause::Drift => "drift",
        Cause::PickUp => "pick-up",
        Cause::Regular => "control-or-pick-up",
        Cause::Rest => "rest",
    };
    let what = format!("{}, root mean square", part.cause.word());
    Some(exact(id, what, part.size))
}

fn of_line(line: &Line) -> Figure {
    let what = match line.cause {
        Cause::PickUp => "frequency at which pick-up shows",
        _ => "frequency of a regular swing, by control or pick-up",
    };
    exact("line", what, line.frequency)
}

fn of_coherence(own: &Coherence) -> Vec<Figure> {
    let share = |id, what: String, value: Ratio| exact(id, what, value).bare();
    let peak = format!(
        "coherence of reading and duty at {}, where the reading swings most (chance alone: {:.2})",
        Value::exact(own.peak),
        own.by_chance.base()
    );
    let mean = "coherence of reading and duty over all frequencies above the drift, weighted by the swing";
    let mut out = vec![
        share("coherence", peak, own.at_peak),
        share("coherence-mean", mean.to_owned(), own.mean),
    ];
    out.extend(own.band.map(|band| {
        Figure::plain(
            "coherence-band",
            "frequencies around it at which the coherence is above chance",
            Value::between(band.low(), own.peak, band.high()),
        )
    }));
    out
}

fn of_process(process: &Process) -> Vec<Figure> {
    let second_lag = process.second_lag;
    let second_lag = second_lag.map(|lag| Figure::with_interval("second-lag", "smaller time constant", lag));
    let left = "deviation of the readings from the fitted process";
    [
        Figure::with_interval("gain", "rise at full power, in the end", process.gain),
        Figure::with_interval("lag", "larger time constant", process.lag),
    ]
    .into_iter()
    .chain(second_lag)
    .chain([
        Figure::with_interval("delay", "dead time", process.delay),
        exact("left", left, process.left),
    ])
    .collect()
}

/// A number without an interval: three digits are as many as such a log bears.
fn exact<Q: Quantity>(id: &'static str, what: impl Into<String>, value: Q) -> Figure {
    Figure::plain(id, what, AnyValue::from(Value::exact(three_digits(value))))
}

fn three_digits<Q: Quantity>(value: Q) -> Q {
    let base = value.base();
    if base == 0.0 || !base.is_finite() {
        return value;
    }
    let scale = 10_f64.powf(2.0 - base.abs().log10().floor());
    Q::from_base((base * scale).round() / scale)
}

impl NoiseFrom {
    fn words(self) -> &'static str {
        match self {
            Self::Floor => "white noise of sensor and input, root mean square",
            Self::Jumps => {
                "white noise of sensor and input, root mean square (from how readings jump between coarser steps)"
            }
            Self::Hidden => {
                "white noise of sensor and input, root mean square (the step hides it: only the upper bound is told)"
            }
        }
    }
}
