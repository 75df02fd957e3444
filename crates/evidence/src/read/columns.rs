//! Heads of columns: a name and a unit in one cell.

/// Names for a message: in quotes, the first dozen, none longer than a line bears, without what no terminal should be sent.
pub(crate) fn listed<'n>(names: impl ExactSizeIterator<Item = &'n str>) -> String {
    const MOST: usize = 12;
    const LONGEST: usize = 30;
    let left = names.len().saturating_sub(MOST);
    let short = |name: &str| {
        let plain: String = name.chars().filter(|c| !c.is_control()).collect();
        match plain.char_indices().nth(LONGEST) {
            Some((end, _)) => format!("`{}…`", &plain[..end]),
            None => format!("`{plain}`"),
        }
    };
    let mut all = names.take(MOST).map(short).collect::<Vec<_>>().join(", ");
    if left > 0 {
        all += &format!(" and {left} more");
    }
    all
}

/// Name and unit of a head such as `height (mm)`, `height [mm]`, `height, mm`, `height_mm`.
pub(crate) fn name_and_unit(head: &str) -> (String, Option<String>) {
    let head = head.trim();
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let Some(before) = head.strip_suffix(close)
            && let Some((name, unit)) = before.rsplit_once(open)
        {
            return (name.trim().to_owned(), some(unit));
        }
    }
    for separator in [',', '/', '_', ' '] {
        if let Some((name, unit)) = head.rsplit_once(separator)
            && is_unit(unit.trim())
            && !name.trim().is_empty()
        {
            return (name.trim().to_owned(), some(unit));
        }
    }
    (head.to_owned(), None)
}

fn some(unit: &str) -> Option<String> {
    let unit = unit.trim();
    (!unit.is_empty()).then(|| mended(unit))
}

/// A unit whose first sign was lost, since the file is not UTF-8: before C and F it was the sign of degrees, before others that of millionths.
fn mended(unit: &str) -> String {
    match unit.strip_prefix(char::REPLACEMENT_CHARACTER) {
        Some(rest @ ("C" | "F")) => format!("°{rest}"),
        Some(rest @ ("m" | "s" | "V" | "A")) => format!("µ{rest}"),
        _ => unit.to_owned(),
    }
}

/// Whether a text is one of the units that need no brackets.
pub(crate) fn is_unit(text: &str) -> bool {
    [
        "s", "ms", "min", "us", "µs", "°C", "°F", "degC", "degF", "C", "F", "K", "%", "mm", "µm", "um",
        "mm/s", "V", "mV", "A", "mA", "W",
    ]
    .contains(&text)
}

/// The words of a name in small letters, cut at everything that is no letter or digit.
pub(crate) fn words(name: &str) -> Vec<String> {
    name.split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_head_is_name_and_unit() {
        let check = |head, name: &str, unit: Option<&str>| {
            assert_eq!(
                name_and_unit(head),
                (name.to_owned(), unit.map(str::to_owned)),
                "{head}"
            );
        };
        check("time (s)", "time", Some("s"));
        check("bed temperature [°C]", "bed temperature", Some("°C"));
        check("height, mm", "height", Some("mm"));
        check("time_ms", "time", Some("ms"));
        check("duty %", "duty", Some("%"));
        check("run", "run", None);
        check("s", "s", None);
        // Latin-1, read as UTF-8.
        check("case (\u{fffd}F)", "case", Some("°F"));
        check("height (\u{fffd}m)", "height", Some("µm"));
    }
}
