//! Motor current of a driver: the laws by which it is set, its steps, peak and root mean square.

use core::f64::consts::{FRAC_PI_2, SQRT_2};

use quantity::si::{ElectricCurrent, ElectricPotential, ElectricalResistance, Ratio};
use quantity::{Number, Range};

use crate::{Formula, OutOfRange};

/// See [`gain_current`].
pub static GAIN_CURRENT: Formula = Formula::new(
    "gain-current",
    "Motor current from reference voltage and sense resistor",
    "I = Uᵣ / (g · Rₛ)",
    "translator-driver-sheets",
    "current regulation",
);
/// See [`gain_reference`].
pub static GAIN_REFERENCE: Formula = Formula::new(
    "gain-reference",
    "Reference voltage for a motor current, with sense resistor",
    "Uᵣ = g · Rₛ · I",
    "translator-driver-sheets",
    "current regulation",
);
/// See [`scale_current`].
pub static SCALE_CURRENT: Formula = Formula::new(
    "scale-current",
    "Motor current from reference voltage alone",
    "I = Uᵣ / k",
    "integrated-sense-driver-sheets",
    "current regulation",
);
/// See [`scale_reference`].
pub static SCALE_REFERENCE: Formula = Formula::new(
    "scale-reference",
    "Reference voltage for a motor current, without sense resistor",
    "Uᵣ = k · I",
    "integrated-sense-driver-sheets",
    "current regulation",
);
/// See [`bus_current`].
pub static BUS_CURRENT: Formula = Formula::new(
    "bus-current",
    "Motor current set in steps over a bus",
    "I = I₁ · k / n",
    "common-practice",
    "",
);
/// See [`rms_of_peak`].
pub static RMS_OF_PEAK: Formula = Formula::new(
    "rms-of-peak",
    "Root mean square of a sine current",
    "I = Iₚ / √2",
    "iec-80000-6",
    "",
);
/// See [`microstep_current`].
pub static MICROSTEP_CURRENT: Formula = Formula::new(
    "microstep-current",
    "Current of one phase at a microstep",
    "I = Iₚ · sin(90° · k / n)",
    "eighth-step-sheet",
    "converter table",
);

/// Motor current from reference voltage and sense resistor, peak of one phase.
///
/// `I = Uᵣ / (g · Rₛ)`
///
/// - `reference`: at the driver's input; `gain`: of its comparator, from the data sheet.
/// - `sense`: the sense resistor, > 0 Ω. Boards differ: read it off the board.
///
/// Monotone in each.
///
/// # Source
/// [translator-driver-sheets], gain 8 in one family, 5 in another (from memory).
#[must_use]
pub fn gain_current(
    reference: ElectricPotential,
    gain: Ratio,
    sense: ElectricalResistance,
) -> ElectricCurrent {
    reference / (gain * sense)
}

/// Reference voltage for a motor current; the inverse of [`gain_current`].
///
/// `Uᵣ = g · Rₛ · I`. Monotone in each.
///
/// # Source
/// As for [`gain_current`].
#[must_use]
pub fn gain_reference(
    gain: Ratio,
    sense: ElectricalResistance,
    current: ElectricCurrent,
) -> ElectricPotential {
    gain * sense * current
}

/// Motor current from reference voltage where the driver senses inside, peak of one phase.
///
/// `I = Uᵣ / k`, `scale` in volt per ampere, that is ohm, from the data sheet. Monotone in both.
///
/// # Source
/// [integrated-sense-driver-sheets].
#[must_use]
pub fn scale_current(reference: ElectricPotential, scale: ElectricalResistance) -> ElectricCurrent {
    reference / scale
}

/// Reference voltage for a motor current; the inverse of [`scale_current`].
///
/// `Uᵣ = k · I`. Monotone in both.
///
/// # Source
/// As for [`scale_current`].
#[must_use]
pub fn scale_reference(scale: ElectricalResistance, current: ElectricCurrent) -> ElectricPotential {
    scale * current
}

/// Motor current that a driver on a bus makes of a step of its scale.
///
/// `I = I₁ · k / n`
///
/// - `full_scale`: current at the highest step; `step`: 1 to `steps`; `steps`: how many there are.
///
/// Monotone in each.
///
/// # Source
/// Common practice, no source; the data sheet of the driver decides.
#[must_use]
pub fn bus_current(full_scale: ElectricCurrent, step: Ratio, steps: Ratio) -> ElectricCurrent {
    full_scale * (step / steps).base()
}

/// Root mean square of a sine current of known peak.
///
/// `I = Iₚ / √2`. Monotone.
///
/// # Source
/// [iec-80000-6].
#[must_use]
pub fn rms_of_peak(peak: ElectricCurrent) -> ElectricCurrent {
    peak / SQRT_2
}

/// Peak of a sine current of known root mean square; the inverse of [`rms_of_peak`].
#[must_use]
pub fn peak_of_rms(rms: ElectricCurrent) -> ElectricCurrent {
    rms * SQRT_2
}

/// Current of one phase at a microstep.
///
/// `I = Iₚ · sin(90° · k / n)`
///
/// - `peak`: as set; `microstep`: 0 to `microsteps`; `microsteps`: in one full step.
///
/// Monotone in each in this range.
///
/// # Source
/// [eighth-step-sheet], whose table follows the sine within 0.1 % but for its last step.
#[must_use]
pub fn microstep_current(peak: ElectricCurrent, microstep: Ratio, microsteps: Ratio) -> ElectricCurrent {
    peak * (FRAC_PI_2 * (microstep / microsteps).base()).sin()
}

/// How the current of a driver is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CurrentLaw {
    /// By a reference voltage and a sense resistor on the board.
    Gain {
        /// Gain of the comparator.
        gain: Ratio,
        /// The sense resistor.
        sense: ElectricalResistance,
    },
    /// By a reference voltage alone.
    Scale {
        /// Volt per ampere.
        scale: ElectricalResistance,
    },
    /// In steps over a bus.
    Bus {
        /// Current at the highest step.
        full_scale: ElectricCurrent,
        /// How many steps there are.
        steps: u16,
    },
}

/// What a driver is told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CurrentSetting {
    /// A reference voltage, measured at the driver's trimmer.
    Reference(ElectricPotential),
    /// A step of its scale, from 1.
    Step(u16),
}

impl CurrentLaw {
    /// Peak current that a setting makes.
    ///
    /// # Errors
    /// [`OutOfRange`] where the setting is no setting of this law, is negative, or is beyond the scale.
    pub fn current(&self, setting: CurrentSetting) -> Result<ElectricCurrent, OutOfRange> {
        let positive = |voltage: ElectricPotential| {
            let range = Range::new(
                ElectricPotential::from_base(0.0),
                ElectricPotential::from_base(f64::INFINITY),
            );
            OutOfRange::check("reference voltage", voltage, range)
        };
        match (*self, setting) {
            (Self::Gain { gain, sense }, CurrentSetting::Reference(voltage)) => {
                Ok(gain_current(positive(voltage)?, gain, sense))
            }
            (Self::Scale { scale }, CurrentSetting::Reference(voltage)) => {
                Ok(scale_current(positive(voltage)?, scale))
            }
            (Self::Bus { full_scale, steps }, CurrentSetting::Step(step)) => {
                let range = Range::new(whole(1), whole(steps));
                let step = OutOfRange::check("step of the current scale", whole(step), range)?;
                Ok(bus_current(full_scale, step, whole(steps)))
            }
            (_, CurrentSetting::Step(step)) => {
                Err(no_setting("step of a driver that takes a voltage", whole(step)))
            }
            (Self::Bus { .. }, CurrentSetting::Reference(voltage)) => Err(no_setting(
                "reference voltage of a driver that takes steps",
                voltage,
            )),
        }
    }

    /// The setting whose current comes nearest to a wished one; the lower of two that are equally near.
    ///
    /// # Errors
    /// [`OutOfRange`] where the wish is not positive.
    pub fn nearest(&self, wished: ElectricCurrent) -> Result<CurrentSetting, OutOfRange> {
        let wished = OutOfRange::check_positive("motor current", wished)?;
        Ok(match *self {
            Self::Gain { gain, sense } => CurrentSetting::Reference(gain_reference(gain, sense, wished)),
            Self::Scale { scale } => CurrentSetting::Reference(scale_reference(scale, wished)),
            Self::Bus { full_scale, steps } => {
                let distance = |step: u16| {
                    (bus_current(full_scale, whole(step), whole(steps)) - wished)
                        .base()
                        .abs()
                };
                let nearest = (1..=steps.max(1)).min_by(|a, b| distance(*a).total_cmp(&distance(*b)));
                CurrentSetting::Step(nearest.unwrap_or(1))
            }
        })
    }

    /// The difference between two neighbouring settings; nothing where a trimmer sets the current without steps.
    #[must_use]
    pub fn resolution(&self) -> Option<ElectricCurrent> {
        match *self {
            Self::Bus { full_scale, steps } => Some(full_scale / f64::from(steps.max(1))),
            Self::Gain { .. } | Self::Scale { .. } => None,
        }
    }
}

fn whole(number: u16) -> Ratio {
    Ratio::from_base(f64::from(number))
}

/// The range is empty: no value of this kind is a setting here.
fn no_setting<Q: quantity::Quantity>(what: &'static str, value: Q) -> OutOfRange {
    let none = quantity::Value::exact(Q::from_base(f64::NAN));
    OutOfRange {
        what,
        value: quantity::Value::exact(value).into(),
        range: none.into(),
    }
}
