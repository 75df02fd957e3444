//! The day, for what is written down.

use std::time::{SystemTime, UNIX_EPOCH};

/// Seconds since the first of January 1970.
pub fn now() -> u64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    since.map_or(0, |since| since.as_secs())
}

/// Today, such as 2026-11-30, by universal time.
pub fn today() -> String {
    day(now())
}

/// The day of a moment in seconds since 1970.
pub fn day(seconds: u64) -> String {
    let (year, month, day) = civil(seconds / 86_400);
    format!("{year:04}-{month:02}-{day:02}")
}

/// The day of the Gregorian calendar so many days after 1970-01-01.
fn civil(days: u64) -> (u64, u64, u64) {
    let leap = |year: u64| year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    let (mut year, mut left) = (1970, days);
    loop {
        let length = if leap(year) { 366 } else { 365 };
        if left < length {
            break;
        }
        left -= length;
        year += 1;
    }
    let february = if leap(year) { 29 } else { 28 };
    let months = [31, february, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    let mut month = 1;
    for length in months {
        if left < length {
            break;
        }
        left -= length;
        month += 1;
    }
    (year, month, left + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 8601 names these days; from memory.
    #[test]
    fn days_are_counted_as_the_calendar_does() {
        assert_eq!(civil(0), (1970, 1, 1));
        assert_eq!(civil(11_016), (2000, 2, 29));
        assert_eq!(civil(20_454), (2026, 1, 1));
    }
}
