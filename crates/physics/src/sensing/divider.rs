//! The usual thermometer input: pull-up, thermometer to ground, converter. Steps, kelvin per step, self-heating, range.

use quantity::si::{
    ElectricPotential, ElectricalResistance, Power, Ratio, TemperatureCoefficient, TemperatureInterval,
    ThermalConductance, ThermodynamicTemperature,
};
use quantity::{Number, Range};

use super::RtCurve;
use crate::electrics::divider;
use crate::{Formula, OutOfRange};

/// See [`converter_step`].
pub static CONVERTER_STEP: Formula = Formula::new(
    "converter-step",
    "Step of an analogue-digital converter",
    "U₁ = Uᵣ / 2^N",
    "bennett-1948",
    "",
);
/// See [`quantisation_noise`].
pub static QUANTISATION_NOISE: Formula = Formula::new(
    "quantisation-noise",
    "Noise of a converter's steps, root mean square",
    "Uₙ = U₁ / √12",
    "bennett-1948",
    "",
);
/// See [`divider_code`].
pub static DIVIDER_CODE: Formula = Formula::new(
    "divider-code",
    "Converter reading of a thermometer with pull-up",
    "c = U₀ / U₁ · R / (R + Rₚ)",
    "iec-80000-6",
    "",
);
/// See [`kelvin_per_step`].
pub static KELVIN_PER_STEP: Formula = Formula::new(
    "kelvin-per-step",
    "Temperature step of a thermometer input",
    "δϑ = U₁ · (R + Rₚ)² / (U₀ · R · Rₚ · |α|)",
    "iec-80000-6",
    "derivative of the divider",
);
/// See [`thermometer_power`].
pub static THERMOMETER_POWER: Formula = Formula::new(
    "thermometer-power",
    "Heat in a thermometer with pull-up",
    "P = U₀² · R / (R + Rₚ)²",
    "iec-80000-6",
    "",
);
/// See [`self_heating`].
pub static SELF_HEATING: Formula = Formula::new(
    "self-heating",
    "Self-heating of a thermometer",
    "Δϑ = P / G",
    "iec-60539-1",
    "dissipation factor",
);

/// Step of an analogue-digital converter.
///
/// `U₁ = Uᵣ / 2^N`
///
/// - `reference`: full scale, > 0 V.
/// - `bits`: of the result; bits gained by averaging count only where there is noise of about half a step.
///
/// Monotone in both.
///
/// # Source
/// A definition, as used in [bennett-1948].
#[must_use]
pub fn converter_step(reference: ElectricPotential, bits: Ratio) -> ElectricPotential {
    reference / bits.base().exp2()
}

/// Noise of a converter's steps, root mean square.
///
/// `Uₙ = U₁ / √12`. Monotone. Holds where the signal moves over several steps; a signal that rests shows no noise but an
/// error of up to half a step.
///
/// # Source
/// [bennett-1948].
#[must_use]
pub fn quantisation_noise(step: ElectricPotential) -> ElectricPotential {
    step / 12.0_f64.sqrt()
}

/// Converter reading of a thermometer to ground with a pull-up, before rounding to a whole number.
///
/// `c = U₀ / U₁ · R / (R + Rₚ)`
///
/// - `supply`: of the pull-up; `step`: of the converter ([`converter_step`]).
/// - `resistance`: of the thermometer, ≥ 0 Ω; `pull_up`: > 0 Ω.
///
/// Monotone in each.
///
/// # Source
/// Kirchhoff's laws, [iec-80000-6].
#[must_use]
pub fn divider_code(
    supply: ElectricPotential,
    step: ElectricPotential,
    resistance: ElectricalResistance,
    pull_up: ElectricalResistance,
) -> Ratio {
    divider(supply, pull_up, resistance) / step
}

/// Temperature that one step of the converter stands for.
///
/// `δϑ = U₁ · (R + Rₚ)² / (U₀ · R · Rₚ · |α|)`
///
/// - `step`: of the converter; `supply`: of the pull-up; both > 0 V.
/// - `resistance`: of the thermometer at the temperature in question; `pull_up`; both > 0 Ω.
/// - `slope`: relative slope of the thermometer there ([`RtCurve::relative_slope`]), not zero.
///
/// Convex in `resistance` and in `pull_up`, monotone in the others: its highest value is at a corner, its lowest may lie inside
/// (at `R = Rₚ`), so use [`crate::work_sampled`].
///
/// # Source
/// Derivative of the divider; algebra over [iec-80000-6].
#[must_use]
pub fn kelvin_per_step(
    step: ElectricPotential,
    supply: ElectricPotential,
    resistance: ElectricalResistance,
    pull_up: ElectricalResistance,
    slope: TemperatureCoefficient,
) -> TemperatureInterval {
    let share = (step / supply).base();
    let ratio = (resistance / pull_up).base();
    TemperatureInterval::from_base(share * (2.0 + ratio + 1.0 / ratio) / slope.base().abs())
}

/// Heat in a thermometer to ground with a pull-up.
///
/// `P = U₀² · R / (R + Rₚ)²`
///
/// Monotone in `supply`; in the resistances it has its peak where they are equal, so use [`crate::work_sampled`].
///
/// # Source
/// Joule's law, [iec-80000-6].
#[must_use]
pub fn thermometer_power(
    supply: ElectricPotential,
    resistance: ElectricalResistance,
    pull_up: ElectricalResistance,
) -> Power {
    let current = supply / (resistance + pull_up);
    current * current * resistance
}

/// How much a thermometer reads too hot because it warms itself.
///
/// `Δϑ = P / G`
///
/// - `power`: in the thermometer ([`thermometer_power`]).
/// - `dissipation`: of the mounted thermometer, > 0 W/K; the data sheet's value is for still air, a clamped bead has more.
///
/// Monotone in both.
///
/// # Source
/// [iec-60539-1], dissipation factor.
#[must_use]
pub fn self_heating(power: Power, dissipation: ThermalConductance) -> TemperatureInterval {
    TemperatureInterval::from_base(power.base() / dissipation.base())
}

/// A thermometer input with a pull-up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DividerInput {
    /// Voltage behind the pull-up.
    pub supply: ElectricPotential,
    /// The pull-up.
    pub pull_up: ElectricalResistance,
    /// Full scale of the converter.
    pub reference: ElectricPotential,
    /// Bits of the converter.
    pub bits: u8,
}

impl DividerInput {
    /// An input whose pull-up and converter share one voltage, as is usual.
    #[must_use]
    pub fn ratiometric(supply: ElectricPotential, pull_up: ElectricalResistance, bits: u8) -> Self {
        Self {
            supply,
            pull_up,
            reference: supply,
            bits,
        }
    }

    /// Step of the converter.
    #[must_use]
    pub fn step(&self) -> ElectricPotential {
        converter_step(self.reference, Ratio::from_base(f64::from(self.bits)))
    }

    /// Voltage at the converter.
    #[must_use]
    pub fn voltage(&self, resistance: ElectricalResistance) -> ElectricPotential {
        divider(self.supply, self.pull_up, resistance)
    }

    /// Converter reading before rounding; at most full scale.
    #[must_use]
    pub fn code(&self, resistance: ElectricalResistance) -> Ratio {
        let full = Ratio::from_base(f64::from(self.bits).exp2());
        divider_code(self.supply, self.step(), resistance, self.pull_up).smaller(full)
    }

    /// Resistance that gives a converter reading.
    ///
    /// # Errors
    /// [`OutOfRange`] where the reading is negative, or as high as an open input gives.
    pub fn resistance(&self, code: Ratio) -> Result<ElectricalResistance, OutOfRange> {
        let open = self.supply / self.step();
        let below_open = Range::new(Ratio::from_base(0.0), Ratio::from_base(open.base().next_down()));
        let share = OutOfRange::check("converter reading", code, below_open)? / open;
        Ok(self.pull_up * (share.base() / (1.0 - share.base())))
    }

    /// Temperature that one step stands for with a thermometer at a temperature.
    ///
    /// # Errors
    /// [`OutOfRange`] where the curve does not reach.
    pub fn kelvin_per_step(
        &self,
        curve: &RtCurve,
        temperature: ThermodynamicTemperature,
    ) -> Result<TemperatureInterval, OutOfRange> {
        let resistance = curve.resistance(temperature)?;
        let slope = curve.relative_slope(temperature)?;
        Ok(kelvin_per_step(
            self.step(),
            self.supply,
            resistance,
            self.pull_up,
            slope,
        ))
    }

    /// How much the thermometer reads too hot because it warms itself.
    ///
    /// # Errors
    /// [`OutOfRange`] where the curve does not reach.
    pub fn self_heating(
        &self,
        curve: &RtCurve,
        temperature: ThermodynamicTemperature,
        dissipation: ThermalConductance,
    ) -> Result<TemperatureInterval, OutOfRange> {
        let power = thermometer_power(self.supply, curve.resistance(temperature)?, self.pull_up);
        Ok(self_heating(power, dissipation))
    }

    /// The temperatures that the input reads with steps no coarser than `coarsest`.
    ///
    /// Looked up on a grid of 1 K and then narrowed to a thousandth; of several such ranges the widest counts.
    /// Nothing where no temperature is read that finely.
    #[must_use]
    pub fn range(
        &self,
        curve: &RtCurve,
        coarsest: TemperatureInterval,
    ) -> Option<Range<ThermodynamicTemperature>> {
        let fine = |kelvin: f64| {
            let temperature = ThermodynamicTemperature::from_base(kelvin);
            self.kelvin_per_step(curve, temperature)
                .is_ok_and(|step| step <= coarsest)
        };
        let (low, high) = (curve.range().low().base(), curve.range().high().base());
        widest_run(low, high, &fine).map(|(from, to)| {
            Range::new(
                ThermodynamicTemperature::from_base(from),
                ThermodynamicTemperature::from_base(to),
            )
        })
    }
}

/// The widest stretch of `low ..= high` on which `holds` is true.
fn widest_run(low: f64, high: f64, holds: &dyn Fn(f64) -> bool) -> Option<(f64, f64)> {
    let steps = (high - low).ceil().max(1.0);
    let at = |index: f64| low + (high - low) * index / steps;
    let mut best: Option<(f64, f64)> = None;
    let mut start = None;
    let mut index = 0.0;
    while index <= steps {
        let here = at(index);
        if holds(here) {
            let begin = *start.get_or_insert_with(|| {
                if index == 0.0 {
                    here
                } else {
                    edge(here, at(index - 1.0), holds)
                }
            });
            let end = if index == steps {
                here
            } else {
                edge(here, at(index + 1.0), holds)
            };
            if best.is_none_or(|(from, to)| end - begin > to - from) {
                best = Some((begin, end));
            }
        } else {
            start = None;
        }
        index += 1.0;
    }
    best
}

/// The last place from `inside` towards `outside` that still holds.
fn edge(mut inside: f64, mut outside: f64, holds: &dyn Fn(f64) -> bool) -> f64 {
    if holds(outside) {
        return outside;
    }
    while (outside - inside).abs() > 1e-3 {
        let middle = f64::midpoint(inside, outside);
        if holds(middle) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    inside
}
