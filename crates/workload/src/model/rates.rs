//! Rates of steps: of each motor, and of all together on each board.

use std::sync::Arc;

use quantity::Number as _;
use quantity::si::{Frequency, Ratio, Time, Velocity};

use crate::given::Setup;
use crate::histogram::Histogram;
use crate::look_ahead::Profile;
use crate::outcome::{BoardUse, MotorUse, Peak, RateTimes};
use crate::segment::{MOST_MOTORS, Segment};

/// Where histograms begin, far below every rate of a machine: they widen until all fits, so that at least half of their bins are used.
const FIRST_SPEED: f64 = 1e-3;
const FIRST_RATE: f64 = 1.0;

/// Rates as they grow.
#[derive(Debug)]
pub(super) struct Rates {
    /// Motors of the kinematics, then extruders: speeds.
    motors: Vec<Counted>,
    /// How many of them the kinematics move.
    moved: usize,
    /// Sets of steps per length: boards that make the same steps share one.
    sets: Vec<Set>,
}

/// Time by rate, and the highest rate with its line.
#[derive(Debug)]
struct Counted {
    times: Histogram,
    peak: f64,
    line: u32,
}

impl Counted {
    fn up_to(rate: f64) -> Self {
        Self {
            times: Histogram::up_to(rate),
            peak: 0.0,
            line: 0,
        }
    }

    #[inline(always)]
    fn add(&mut self, share: f64, profile: &Profile, line: u32) {
        self.times.add(share, profile);
        let peak = share * profile.peak;
        if peak > self.peak {
            (self.peak, self.line) = (peak, line);
        }
    }
}

/// Boards with the same steps per length.
#[derive(Debug)]
struct Set {
    steps: Vec<f64>,
    /// The first of them, those of the motors of the kinematics.
    moved: [f64; MOST_MOTORS],
    counted: Counted,
    /// The least that one of the boards may use.
    least: f64,
    /// For each board its number, what may be used of it, and the time above that.
    boards: Vec<(usize, f64, f64)>,
}

impl Rates {
    pub fn new(setup: &Setup) -> Self {
        let machine = &setup.machine;
        let moved = machine.kinematics.motors().len();
        let mut sets: Vec<Set> = Vec::new();
        for (number, board) in setup.boards.iter().enumerate() {
            let steps: Vec<f64> = board.steps.iter().map(|steps| steps.base()).collect();
            let usable = board.step_rate.base() * board.share.base();
            let at = sets.iter().position(|set| set.steps == steps).unwrap_or_else(|| {
                sets.push(Set {
                    moved: core::array::from_fn(|motor| {
                        if motor < moved {
                            steps.get(motor).copied().unwrap_or(0.0)
                        } else {
                            0.0
                        }
                    }),
                    steps,
                    counted: Counted::up_to(FIRST_RATE),
                    least: f64::INFINITY,
                    boards: Vec::new(),
                });
                sets.len() - 1
            });
            sets[at].least = sets[at].least.min(usable);
            sets[at].boards.push((number, usable, 0.0));
        }
        Self {
            motors: setup.motors.iter().map(|_| Counted::up_to(FIRST_SPEED)).collect(),
            moved,
            sets,
        }
    }

    /// Adds a piece; returns the highest rate over all motors on the first board.
    #[inline(always)]
    pub fn add(&mut self, segment: &Segment, profile: &Profile) -> f64 {
        let moved = self.moved.min(self.motors.len());
        let (moved, extruders) = self.motors.split_at_mut(moved);
        for (motor, share) in moved.iter_mut().zip(segment.shares) {
            if share > 0.0 {
                motor.add(share, profile, segment.line);
            }
        }
        let filament = segment.filament.abs();
        let tool = usize::from(segment.tool);
        if filament > 0.0
            && let Some(extruder) = extruders.get_mut(tool)
        {
            extruder.add(filament, profile, segment.line);
        }
        let mut first = 0.0;
        for (at, set) in self.sets.iter_mut().enumerate() {
            let mut share = filament * set.steps.get(self.moved + tool).copied().unwrap_or(0.0);
            for motor in 0..MOST_MOTORS {
                share += segment.shares[motor] * set.moved[motor];
            }
            if share > 0.0 {
                set.counted.add(share, profile, segment.line);
            }
            let peak = share * profile.peak;
            if peak > set.least {
                set.above(share, profile);
            }
            if at == 0 {
                first = peak;
            }
        }
        first
    }

    pub fn told(self, name: &Arc<str>, setup: &Setup) -> (Vec<MotorUse>, Vec<BoardUse>) {
        let motors = self
            .motors
            .into_iter()
            .zip(&setup.motors)
            .map(|(counted, motor)| {
                let steps = motor.steps.base();
                MotorUse {
                    peak: Peak::of(counted.peak * steps, u64::from(counted.line), name),
                    speed: Velocity::from_base(counted.peak),
                    times: RateTimes {
                        inner: counted.times,
                        scale: steps,
                    },
                }
            });
        let motors = motors.collect();
        let mut boards: Vec<(usize, BoardUse)> = Vec::new();
        for set in self.sets {
            for (number, _, above) in set.boards {
                let peak: Peak<Frequency> = Peak::of(set.counted.peak, u64::from(set.counted.line), name);
                let made = setup.boards[number].step_rate;
                let board = BoardUse {
                    share: Ratio::from_base(peak.value.base() / made.base()),
                    peak,
                    programs_above: u64::from(above > 0.0),
                    above: Time::from_base(above),
                    times: RateTimes {
                        inner: set.counted.times.clone(),
                        scale: 1.0,
                    },
                };
                boards.push((number, board));
            }
        }
        boards.sort_by_key(|(number, _)| *number);
        (motors, boards.into_iter().map(|(_, board)| board).collect())
    }
}

impl Set {
    /// Adds the time above what each board may use.
    #[cold]
    #[inline(never)]
    fn above(&mut self, share: f64, profile: &Profile) {
        for (_, usable, above) in &mut self.boards {
            let speed = *usable / share;
            if profile.peak > speed {
                let ramp = |from: f64| (profile.peak - speed.max(from)) * profile.inverse_acceleration;
                *above += profile.even + ramp(profile.begin) + ramp(profile.end);
            }
        }
    }
}
