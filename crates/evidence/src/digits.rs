//! The digits in which readings are written: one that is written in whole degrees may be off by half of one, which no number of readings averages
//! where their noise does not reach from step to step.

/// The step of the digits, by all readings: whole ones, tenths, or hundredths; 0 where they are finer, or where nothing moves, for then nobody knows.
pub(crate) fn written(readings: impl Iterator<Item = f64>) -> f64 {
    let seen = different(readings);
    place(&seen).unwrap_or(0.0)
}

/// The same of temperatures in °C, which may have been written on any scale, in K.
pub(crate) fn written_degrees(readings: impl Iterator<Item = f64>) -> f64 {
    let seen = different(readings);
    // Celsius, Fahrenheit, kelvin: a degree in kelvin, and the number of 0 °C.
    let scales = [(1.0, 0.0), (1.0 / 1.8, 32.0), (1.0, 273.15)];
    let steps = scales.iter().filter_map(|(degree, zero)| {
        let numbers: Vec<f64> = seen.iter().map(|value| value / degree + zero).collect();
        Some(place(&numbers)? * degree)
    });
    steps.fold(0.0, f64::max)
}

fn different(readings: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut seen: Vec<f64> = readings.filter(|value| value.is_finite()).collect();
    seen.sort_by(f64::total_cmp);
    seen.dedup();
    seen
}

/// The last decimal place of different numbers.
fn place(seen: &[f64]) -> Option<f64> {
    let is_on = |place: f64| {
        let off = |value: &f64| (value / place - (value / place).round()).abs() * place;
        // Logs are kept in single precision.
        seen.iter().all(|value| off(value) < 5e-4_f64.min(0.05 * place))
    };
    (seen.len() > 1).then(|| [1.0, 0.1, 0.01].into_iter().find(|place| is_on(*place)))?
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_told_on_any_scale() {
        let held = |places: f64| {
            (0..300).map(move |at| ((20.0 + f64::from(at).sqrt() * 11.3) / places).round() * places)
        };
        let of = |all: Vec<f64>| written_degrees(all.into_iter().map(|value| f64::from(value as f32)));
        assert_eq!(of(held(1.0).collect()), 1.0);
        assert_eq!(of(held(0.1).collect()), 0.1);
        assert_eq!(
            of(held(1.0).map(|degrees| (degrees - 32.0) / 1.8).collect()),
            1.0 / 1.8
        );
        assert_eq!(of(held(0.142).collect()), 0.0);
        assert_eq!(of(vec![210.0; 50]), 0.0);
    }
}
