//! One heater of a log.

use quantity::si::{Power, ThermodynamicTemperature, celsius};

/// One heater of a log.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Channel {
    /// What the log calls it; empty where it has no name.
    pub name: String,
    /// °C; NaN where there is no number.
    pub(crate) measured: Vec<f32>,
    /// °C, where the log tells it.
    pub(crate) target: Option<Runs>,
    /// Share of full power, where the log tells it.
    pub(crate) duty: Option<Vec<f32>>,
    /// Whether file or caller told the scale of temperature; else degrees Celsius were taken.
    pub(crate) scale_is_told: bool,
    /// What a duty of one stands for, where the log tells powers instead of duties: the largest of them.
    pub(crate) full_power: Option<Power>,
}

impl Channel {
    /// The last target above 0 °C, if any was told.
    #[must_use]
    pub fn wanted(&self) -> Option<ThermodynamicTemperature> {
        let target = self.target.as_ref()?;
        let last = target.values.iter().rev().find(|value| **value > 0.0)?;
        Some(celsius(f64::from(*last)))
    }

    /// Adds the values of the next sample, whose place is `at`; what is not told is NaN.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "values are stored in single precision"
    )]
    pub(super) fn push(&mut self, at: usize, measured: f64, target: f64, duty: f64) {
        self.measured.push(measured as f32);
        if !target.is_nan() {
            self.target.get_or_insert_default().push(at, target as f32);
        }
        match &mut self.duty {
            Some(all) => all.push(duty as f32),
            None if duty.is_nan() => {}
            None => {
                let mut all = vec![f32::NAN; at];
                all.push(duty as f32);
                self.duty = Some(all);
            }
        }
    }

    /// Adds a later part of the same channel behind `before` samples.
    pub(super) fn append(&mut self, before: usize, later: Self) {
        let count = later.measured.len();
        self.measured.reserve_exact(count);
        self.measured.extend_from_slice(&later.measured);
        drop(later.measured);
        match (&mut self.duty, later.duty) {
            (Some(own), Some(later)) => own.extend_from_slice(&later),
            (Some(own), None) => own.resize(own.len() + count, f32::NAN),
            (None, Some(later)) => {
                let mut all = vec![f32::NAN; before];
                all.extend_from_slice(&later);
                self.duty = Some(all);
            }
            (None, None) => {}
        }
        if let Some(runs) = later.target {
            let target = self.target.get_or_insert_default();
            for (start, value) in runs.starts.into_iter().zip(runs.values) {
                target.push(before + start, value);
            }
        }
    }

    /// Moves a sample forward over those that were left out.
    pub(super) fn keep(&mut self, from: usize, to: usize) {
        self.measured[to] = self.measured[from];
        if let Some(duty) = &mut self.duty {
            duty[to] = duty[from];
        }
        // Runs begin at a sample; those that began at one left out begin at the next that is kept.
        if let Some(target) = &mut self.target
            && from != to
            && let Ok(place) = target.starts.binary_search(&from)
        {
            target.starts[place] = to;
        }
    }

    /// Whether two samples hold the same values.
    pub(super) fn equal(&self, one: usize, other: usize) -> bool {
        let same = |values: &[f32]| values[one].to_bits() == values[other].to_bits();
        let targets = self.target.as_ref();
        same(&self.measured)
            && self.duty.as_ref().is_none_or(|duty| same(duty))
            && targets.is_none_or(|runs| runs.at(one).to_bits() == runs.at(other).to_bits())
    }

    pub(super) fn truncate(&mut self, count: usize) {
        self.measured.truncate(count);
        if let Some(duty) = &mut self.duty {
            duty.truncate(count);
        }
        if let Some(target) = &mut self.target {
            let kept = target.starts.iter().take_while(|start| **start < count).count();
            target.starts.truncate(kept);
            target.values.truncate(kept);
        }
    }

    /// Whether both say the same throughout.
    pub(super) fn measures_the_same(&self, other: &Self) -> bool {
        let mut both = self.measured.iter().zip(&other.measured);
        both.all(|(one, other)| one.to_bits() == other.to_bits())
    }
}

/// Values that change seldom: where each begins.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Runs {
    pub starts: Vec<usize>,
    pub values: Vec<f32>,
}

impl Runs {
    fn push(&mut self, at: usize, value: f32) {
        if self
            .values
            .last()
            .is_none_or(|last| last.to_bits() != value.to_bits())
        {
            self.starts.push(at);
            self.values.push(value);
        }
    }

    /// The value at a sample; NaN before the first.
    pub fn at(&self, sample: usize) -> f32 {
        match self.starts.partition_point(|start| *start <= sample) {
            0 => f32::NAN,
            place => self.values[place - 1],
        }
    }
}
