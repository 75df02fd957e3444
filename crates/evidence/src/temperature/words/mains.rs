//! Which mains, and which pulses of a heater, would show where a line does.

use quantity::Number as _;

use crate::temperature::swing::Line;
use crate::temperature::{Ask, Swing};

/// Mains and twice mains, as a rectifier makes it, in hertz; IEC 60038 (from memory).
const MAINS: [(&str, f64); 4] = [
    ("mains of 50 Hz", 50.0),
    ("mains of 60 Hz", 60.0),
    ("twice mains of 50 Hz", 100.0),
    ("twice mains of 60 Hz", 120.0),
];
/// How far the clock of a logger may be off, as a share; common practice, no source.
const CLOCK: f64 = 1e-4;

/// Which mains would show where a line does, sampled at the mean rate of the soak, and which pulses of a heater may.
pub(super) fn mains(line: &Line, swing: &Swing, ask: &Ask) -> String {
    let frequencies = &swing.spectra.0.frequencies;
    let (Some(bin), Some(highest)) = (frequencies.get(1), frequencies.last()) else {
        return "what causes it may be an alias away".to_owned();
    };
    let (line, rate) = (line.frequency.base(), 2.0 * highest);
    let found = would_show(line, rate, *bin);
    let sampled = format!("at {rate:.3} samples a second");
    let of_mains = if found.is_empty() {
        format!("{sampled} mains of 50 or 60 Hz would show elsewhere")
    } else {
        format!("{sampled} {} would show there", found.join(" or "))
    };
    let pulses =
        ask.pulses.and_then(|usual| {
            let nearest = pulses_at(line, rate, usual.nominal().base());
            (usual.low().base()..=usual.high().base()).contains(&nearest).then(|| {
            format!(
                ", and pulses of a heater may, such as of {nearest:.2} Hz; usual are {:.0} to {:.0} Hz",
                usual.low().base(),
                usual.high().base()
            )
        })
        });
    format!("{of_mains}{}", pulses.unwrap_or_default())
}

/// The frequency nearest to `usual` of all whose alias at the rate `r` is the line: `k r ± f`; all in hertz.
fn pulses_at(line: f64, rate: f64, usual: f64) -> f64 {
    let near = |side: f64| (((usual - side) / rate).round() * rate + side).abs();
    let (one, other) = (near(line), near(-line));
    if (one - usual).abs() <= (other - usual).abs() {
        one
    } else {
        other
    }
}

/// The mains whose alias `|f − k r|` at the rate `r` lies within a bin, and what the clock may be off, of a line; all in hertz.
fn would_show(line: f64, rate: f64, bin: f64) -> Vec<&'static str> {
    let shows = |frequency: f64| {
        let alias = (frequency - (frequency / rate).round() * rate).abs();
        (alias - line).abs() <= bin + CLOCK * frequency
    };
    let found = MAINS.iter().filter(|(_, frequency)| shows(*frequency));
    found.map(|(name, _)| *name).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sampled every 0.505 s, 50 Hz are 25 whole turns and 0.495 a second more, 60 Hz are 30 turns and 0.594 (arithmetic).
    #[test]
    fn mains_are_known_by_their_alias() {
        let rate = 1.0 / 0.505;
        assert_eq!(would_show(0.495, rate, 0.01), ["mains of 50 Hz"]);
        assert_eq!(would_show(0.594, rate, 0.01), ["mains of 60 Hz"]);
        assert!(would_show(0.37, rate, 0.01).is_empty());
        // Two samples a second: 50 Hz stand still, and no line is theirs.
        assert!(would_show(0.37, 2.0, 0.01).is_empty());
        // Pulses near 7.7 Hz of which two samples a second make 0.37 Hz: 4 · 2 − 0.37 (arithmetic).
        assert!((pulses_at(0.37, 2.0, 1.0 / 0.13) - 7.63).abs() < 1e-9);
        assert!((pulses_at(0.37, 2.0, 8.3) - 8.37).abs() < 1e-9);
        // Fast enough, it shows where it is.
        assert_eq!(would_show(50.0, 1000.0, 0.1), ["mains of 50 Hz"]);
    }
}
