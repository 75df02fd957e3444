//! A process of two lags and a dead time run over an input that is held between its edges.

use physics::control;
use quantity::si::{kelvin, second};

/// Numbers of a process in seconds and kelvin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Plant {
    pub gain: f64,
    pub lags: [f64; 2],
    pub delay: f64,
}

impl Plant {
    /// As control knows it.
    pub fn model(&self) -> control::Process {
        let lags = self.lags.iter().filter(|lag| **lag > 0.0);
        control::Process {
            gain: kelvin(self.gain),
            lags: lags.map(|lag| second(*lag)).collect(),
            leads: Vec::new(),
            delay: second(self.delay),
            integrating: false,
        }
    }
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
pub(super) fn rises(plant: Plant, rise: f64, times: &[f64], edges: &[f64], input: &[f64], out: &mut [f64]) {
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

/// The rise of a plant from rest at each time.
pub(crate) fn course(plant: Plant, times: &[f64], edges: &[f64], input: &[f64]) -> Vec<f64> {
    let mut out = vec![0.0; times.len()];
    rises(plant, 0.0, times, edges, input, &mut out);
    out
}
