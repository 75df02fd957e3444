//! Numbers and counts as people read them.

use quantity::si::{Ratio, Time, Volume};
use quantity::{AnyValue, Digits, Number as _, Quantity, Value, show};

/// A quantity to three digits.
pub(crate) fn brief<Q: Quantity>(quantity: Q) -> String {
    show(&AnyValue::from(Value::exact(quantity)), Digits::new(3))
}

/// A share in per cent: whole ones from 10 %, else two digits. Shares of a limit are rounded up, so that nothing looks better than it is.
pub(crate) fn percent(share: Ratio) -> String {
    let percent = share.base() * 100.0;
    if percent >= 10.0 {
        format!("{} %", (percent - 1e-9).ceil())
    } else if percent >= 1.0 {
        format!("{} %", ((percent - 1e-10) * 10.0).ceil() / 10.0)
    } else {
        show(&AnyValue::from(Value::exact(share)), Digits::new(2))
    }
}

/// A time in the two units that matter: `31 h 5 min`, `4 min 10 s`, `3.4 s`.
#[must_use]
pub fn duration(time: Time) -> String {
    let seconds = time.base();
    if !seconds.is_finite() {
        return "without end".to_owned();
    }
    let pair = |large: f64, one: &str, small: f64, other: &str| {
        let smalls = (seconds / small).round();
        let per = large / small;
        let (larges, rest) = ((smalls / per).floor(), smalls % per);
        if rest == 0.0 {
            format!("{larges} {one}")
        } else {
            format!("{larges} {one} {rest} {other}")
        }
    };
    match seconds {
        _ if seconds >= 86_400.0 => pair(86_400.0, "d", 3_600.0, "h"),
        _ if seconds >= 3_600.0 - 30.0 => pair(3_600.0, "h", 60.0, "min"),
        _ if seconds >= 60.0 - 0.5 => pair(60.0, "min", 1.0, "s"),
        _ => brief(time),
    }
}

/// A volume of plastic.
#[must_use]
pub fn volume(volume: Volume) -> String {
    let cubic = volume.base() * 1e6;
    if cubic >= 100.0 {
        format!("{} cm³", cubic.round())
    } else {
        format!("{} cm³", (cubic * 100.0).round() / 100.0)
    }
}

/// `1 file`, `3 files`.
#[must_use]
pub fn count(number: u64, one: &str, many: &str) -> String {
    format!("{} {}", grouped(number), if number == 1 { one } else { many })
}

/// A whole number with its thousands apart.
#[must_use]
pub fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let mut out = String::with_capacity(digits.len() + digits.len() / 3 * 2);
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            out.push('\u{a0}');
        }
        out.push(digit);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::si::{ratio, second};

    #[test]
    fn times_have_the_two_units_that_matter() {
        for (seconds, words) in [
            (0.0, "0 s"),
            (3.44, "3.44 s"),
            (59.6, "1 min"),
            (250.0, "4 min 10 s"),
            (3_599.0, "1 h"),
            (3_600.0 * 31.0 + 300.0, "1 d 7 h"),
            (3_600.0 * 5.0 + 301.0, "5 h 5 min"),
        ] {
            assert_eq!(duration(second(seconds)), words);
        }
    }

    #[test]
    fn shares_are_rounded_up() {
        for (share, words) in [
            (0.2201, "23 %"),
            (0.23, "23 %"),
            (0.0512, "5.2 %"),
            (0.05, "5 %"),
            (1.0, "100 %"),
        ] {
            assert_eq!(percent(ratio(share)), words);
        }
    }

    #[test]
    fn thousands_stand_apart() {
        assert_eq!(grouped(1_234_567), "1\u{a0}234\u{a0}567");
        assert_eq!(grouped(999), "999");
        assert_eq!(count(1, "file", "files"), "1 file");
    }
}
