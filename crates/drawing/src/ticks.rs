//! Ticks of an axis, on steps of 1, 2 or 5; of a logarithmic one on powers of ten.

/// Ticks from `low` to `high`, about `wanted` of them, and a range that they close.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Ticks {
    pub low: f64,
    pub high: f64,
    step: f64,
    decimals: usize,
    /// Whether equal ways are equal ratios; `low` and `high` are then powers of ten.
    logarithmic: bool,
}

impl Ticks {
    /// The range is widened to whole steps. A range of nothing is given room on both sides.
    pub fn over(low: f64, high: f64, wanted: usize) -> Self {
        let (low, high) = if low.is_finite() && high.is_finite() {
            (low.min(high), low.max(high))
        } else {
            (0.0, 1.0)
        };
        let (low, high) = if high - low > 1e-12 * high.abs().max(1e-12) {
            (low, high)
        } else {
            let room = if low == 0.0 { 1.0 } else { low.abs() * 0.1 };
            (low - room, high + room)
        };
        let (step, decimals) = step(high - low, wanted);
        Self {
            low: (low / step + 1e-9).floor() * step,
            high: (high / step - 1e-9).ceil() * step,
            step,
            decimals,
            logarithmic: false,
        }
    }

    /// Powers of ten around a positive range; at least one whole decade.
    pub fn decades(low: f64, high: f64, wanted: usize) -> Self {
        let positive = low.is_finite() && high.is_finite() && low > 0.0 && high >= low;
        let (low, high) = if positive { (low, high) } else { (0.1, 1.0) };
        let first = (low.log10() + 1e-9).floor();
        let last = (high.log10() - 1e-9).ceil().max(first + 1.0);
        Self {
            low: 10_f64.powf(first),
            high: 10_f64.powf(last),
            // So many decades lie between two ticks.
            step: ((last - first) / wanted.max(1) as f64).ceil(),
            decimals: 0,
            logarithmic: true,
        }
    }

    /// Values with their texts.
    pub fn values(&self) -> Vec<(f64, String)> {
        if self.logarithmic {
            return self.powers();
        }
        let count = ((self.high - self.low) / self.step).round() as i64;
        let first = (self.low / self.step).round() as i64;
        (first..=first + count)
            .map(|k| (k as f64 * self.step, self.text(k as f64 * self.step)))
            .collect()
    }

    /// Where a value is between the ends, 0 to 1, not clipped.
    pub fn share(&self, value: f64) -> f64 {
        if self.logarithmic {
            return (value / self.low).log10() / (self.high / self.low).log10();
        }
        (value - self.low) / (self.high - self.low)
    }

    fn powers(&self) -> Vec<(f64, String)> {
        let (first, last) = (self.low.log10().round() as i32, self.high.log10().round() as i32);
        (first..=last)
            .step_by(self.step as usize)
            .map(|power| {
                let text = match power {
                    -3..0 => format!("{:.*}", power.unsigned_abs() as usize, 10_f64.powi(power)),
                    0..=4 => format!("{}", 10_u32.pow(power.unsigned_abs())),
                    _ => format!("10{}", superscript(power)),
                };
                (10_f64.powi(power), text)
            })
            .collect()
    }

    fn text(&self, value: f64) -> String {
        // All ticks of an axis show the same decimals; far from one, as a power of ten.
        let far = self.decimals > 6 || self.step >= 1e7;
        let text = if far {
            format!("{value:.1e}")
        } else {
            format!("{value:.*}", self.decimals)
        };
        text.replace('-', "−")
    }
}

fn superscript(number: i32) -> String {
    number
        .to_string()
        .chars()
        .map(|character| match character {
            '-' => '⁻',
            digit => {
                ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'][digit.to_digit(10).unwrap_or(0) as usize]
            }
        })
        .collect()
}

/// The step out of 1, 2, 5 × 10ⁿ that comes closest to `wanted` intervals from above, and its decimals.
fn step(range: f64, wanted: usize) -> (f64, usize) {
    let rough = range / wanted.max(1) as f64;
    let mut power = 1.0;
    let mut exponent = 0_i32;
    while power > rough && exponent > -300 {
        exponent -= 1;
        power = 10_f64.powi(exponent);
    }
    while power * 10.0 <= rough && exponent < 300 {
        exponent += 1;
        power = 10_f64.powi(exponent);
    }
    for factor in [1.0, 2.0, 5.0] {
        if factor * power >= rough {
            return (factor * power, exponent.min(0).unsigned_abs() as usize);
        }
    }
    (10.0 * power, (exponent + 1).min(0).unsigned_abs() as usize)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn decades_close_their_range_and_divide_it_evenly() {
        let ticks = Ticks::decades(3e-5, 0.5, 8);
        let texts: Vec<String> = ticks.values().into_iter().map(|(_, text)| text).collect();
        assert_eq!(texts, ["10⁻⁵", "10⁻⁴", "0.001", "0.01", "0.1", "1"]);
        assert!((ticks.share(1e-3) - 0.4).abs() < 1e-12 && ticks.share(1.0) == 1.0);
        assert_eq!(Ticks::decades(2.0, 3.0, 4).values().len(), 2);
        assert!(Ticks::decades(-1.0, 0.0, 4).share(0.5).is_finite());
    }

    fn texts(low: f64, high: f64, wanted: usize) -> Vec<String> {
        Ticks::over(low, high, wanted)
            .values()
            .into_iter()
            .map(|(_, t)| t)
            .collect()
    }

    #[test]
    fn steps_are_one_two_five() {
        assert_eq!(texts(0.0, 10.0, 5), ["0", "2", "4", "6", "8", "10"]);
        assert_eq!(texts(-0.3, 0.42, 5), ["−0.4", "−0.2", "0.0", "0.2", "0.4", "0.6"]);
        assert_eq!(texts(20.0, 240.0, 6), ["0", "50", "100", "150", "200", "250"]);
        assert_eq!(
            texts(0.0, 0.004, 4),
            ["0.000", "0.001", "0.002", "0.003", "0.004"]
        );
        assert_eq!(texts(0.0, 2e-9, 2), ["0.0e0", "1.0e−9", "2.0e−9"]);
        assert!(texts(0.0, 1e300, 4).len() < 12);
        // A range of nothing still gets an axis around it.
        assert!(
            texts(7.0, 7.0, 4).contains(&"7.0".to_owned()),
            "{:?}",
            texts(7.0, 7.0, 4)
        );
    }

    proptest! {
        #[test]
        fn ticks_enclose_the_range(low in -1e6_f64..1e6, span in 1e-3_f64..1e6, wanted in 2_usize..12) {
            let t = Ticks::over(low, low + span, wanted);
            let values = t.values();
            prop_assert!(values[0].0 <= low + 1e-6 * span && values.last().unwrap().0 >= low + span - 1e-6 * span);
            prop_assert!((2..=wanted + 3).contains(&values.len()), "{}", values.len());
            let mantissa = t.step / 10_f64.powf(t.step.log10().floor() + 1e-9);
            let known = [1.0, 2.0, 5.0, 10.0].iter().any(|m| (mantissa / m - 1.0).abs() < 1e-6);
            prop_assert!(known, "{}", t.step);
        }
    }
}
