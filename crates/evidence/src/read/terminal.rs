//! Temperature reports in captured terminal text. The labels are given; they live in the data of the project.

use super::number::number;

/// The labels of temperature reports.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Words {
    /// Labels before a temperature, such as one letter for each heater.
    pub temperatures: Vec<String>,
    /// Labels before the drive of a heater, each with the label of that heater's temperature.
    pub duties: Vec<(String, String)>,
}

/// A number behind a label.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Reported {
    /// A temperature by the place of its label, with the target behind a slash.
    Temperature(usize, f64, Option<f64>),
    /// A drive by the place of its label.
    Duty(usize, f64),
}

/// What a line reports; an error names a label whose number cannot be read.
pub(crate) fn reported(line: &[u8], words: &Words, mut take: impl FnMut(Reported)) -> Result<(), String> {
    let mut rest = line;
    while let Some(colon) = memchr::memchr(b':', rest) {
        let label = label_before(&rest[..colon]);
        let behind = &rest[colon + 1..];
        rest = behind;
        let is = |word: &str| word.as_bytes() == label;
        if let Some(at) = words.temperatures.iter().position(|word| is(word)) {
            let (measured, behind) = leading_number(behind).ok_or_else(|| unread(label))?;
            let target = behind
                .trim_ascii_start()
                .strip_prefix(b"/")
                .map(|behind| leading_number(behind).ok_or_else(|| unread(label)))
                .transpose()?;
            take(Reported::Temperature(
                at,
                measured,
                target.map(|(target, _)| target),
            ));
        } else if let Some(at) = words.duties.iter().position(|(word, _)| is(word)) {
            let (duty, _) = leading_number(behind).ok_or_else(|| unread(label))?;
            take(Reported::Duty(at, duty));
        }
    }
    Ok(())
}

fn unread(label: &[u8]) -> String {
    format!("no number behind `{}:`", String::from_utf8_lossy(label))
}

fn label_before(text: &[u8]) -> &[u8] {
    let is_part = |byte: &u8| byte.is_ascii_alphanumeric() || *byte == b'@';
    let start = text
        .iter()
        .rposition(|byte| !is_part(byte))
        .map_or(0, |at| at + 1);
    &text[start..]
}

/// A number at the start, behind blanks, and what follows; it must end where a word ends.
fn leading_number(text: &[u8]) -> Option<(f64, &[u8])> {
    let text = text.trim_ascii_start();
    let is_part = |byte: &u8| byte.is_ascii_digit() || matches!(byte, b'+' | b'-' | b'.');
    let end = text.iter().position(|byte| !is_part(byte)).unwrap_or(text.len());
    let (digits, rest) = text.split_at(end);
    let ends = rest
        .first()
        .is_none_or(|byte| !byte.is_ascii_alphanumeric() || byte.is_ascii_uppercase());
    ends.then(|| number(digits, b'.'))
        .flatten()
        .map(|number| (number, rest))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words() -> Words {
        Words {
            temperatures: vec!["T".into(), "B".into()],
            duties: vec![("@".into(), "T".into()), ("B@".into(), "B".into())],
        }
    }

    fn read(line: &str) -> Result<Vec<Reported>, String> {
        let mut out = Vec::new();
        reported(line.as_bytes(), &words(), |found| out.push(found))?;
        Ok(out)
    }

    #[test]
    fn a_report_with_two_heaters() {
        use Reported::{Duty, Temperature};
        assert_eq!(
            read("[12:00:01] ok T:209.8 /210.0 B:60.1/60 @:64 B@:0 X:1"),
            Ok(vec![
                Temperature(0, 209.8, Some(210.0)),
                Temperature(1, 60.1, Some(60.0)),
                Duty(0, 64.0),
                Duty(1, 0.0)
            ])
        );
        assert_eq!(read("ok"), Ok(vec![]));
        assert!(read("T:2x0 /210").is_err() && read("T: /210").is_err());
    }
}
