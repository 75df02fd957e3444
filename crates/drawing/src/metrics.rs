//! How wide a text can get: a cautious table for whatever sans-serif face the reader has.
//!
//! The face is unknown when the picture is made, so each character is given the advance it has in the widest of
//! the common sans-serif faces: DejaVu Sans, regular and bold, read from the `hmtx` table of the free font files,
//! version 2.37, rounded up to a thousandth of the font size. Cost: in a narrower face labels look loosely set.

/// How high a text reaches above its base line, in font sizes: capitals with an accent.
pub(crate) const ASCENT: f64 = 0.80;
/// How deep a text reaches below its base line, in font sizes.
pub(crate) const DESCENT: f64 = 0.24;

/// Advance width of `text` at `size`, at most.
pub(crate) fn width(text: &str, size: f64, bold: bool) -> f64 {
    let thousandths: u32 = text.chars().map(|c| advance(c, bold)).sum();
    f64::from(thousandths) * size / 1000.0
}

/// `text` broken at spaces (or inside a word that is too long) into lines of at most `room`.
pub(crate) fn wrap(text: &str, size: f64, bold: bool, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let joined = if line.is_empty() {
            word.to_owned()
        } else {
            format!("{line} {word}")
        };
        if width(&joined, size, bold) <= room {
            line = joined;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        line = break_word(word, size, bold, room, &mut lines);
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// `text` cut to `room`, with an ellipsis where something was cut.
pub(crate) fn cut(text: &str, size: f64, bold: bool, room: f64) -> String {
    if width(text, size, bold) <= room {
        return text.to_owned();
    }
    let mut kept = text.to_owned();
    while kept.pop().is_some() {
        let shown = format!("{}…", kept.trim_end());
        if width(&shown, size, bold) <= room {
            return shown;
        }
    }
    String::new()
}

/// Pushes full lines of a word that is wider than the room, and returns its rest.
fn break_word(word: &str, size: f64, bold: bool, room: f64, lines: &mut Vec<String>) -> String {
    let mut rest = String::new();
    for c in word.chars() {
        rest.push(c);
        if width(&rest, size, bold) > room && rest.chars().count() > 1 {
            rest.pop();
            lines.push(std::mem::replace(&mut rest, c.to_string()));
        }
    }
    rest
}

fn advance(c: char, bold: bool) -> u32 {
    let table = if bold { &BOLD } else { &REGULAR };
    let code = c as u32;
    if (32..127).contains(&code) {
        return u32::from(table[code as usize - 32]);
    }
    match c {
        // Letters and marks of the first blocks; the widest of those in common use is the ellipsis.
        '\u{a0}' | '·' => table[0].into(),
        '\u{a1}'..='\u{24f}' if c.is_lowercase() => 740,
        // Greek, general punctuation, arrows, mathematical signs.
        '\u{a1}'..='\u{3ff}' | '\u{2000}'..='\u{22ff}' => 1000,
        // Anything else may be a full square and more.
        _ => 1200,
    }
}

/// DejaVu Sans, U+0020 to U+007E.
const REGULAR: [u16; 95] = [
    318, 401, 460, 838, 637, 951, 780, 275, 391, 391, 500, 838, 318, 361, 318, 337, 637, 637, 637, 637, 637,
    637, 637, 637, 637, 637, 337, 337, 838, 838, 838, 531, 1000, 685, 687, 699, 771, 632, 576, 775, 752, 295,
    295, 656, 558, 863, 749, 788, 604, 788, 695, 635, 611, 732, 685, 989, 686, 611, 686, 391, 337, 391, 838,
    500, 500, 613, 635, 550, 635, 616, 353, 635, 634, 278, 278, 580, 278, 975, 634, 612, 635, 635, 412, 521,
    393, 634, 592, 818, 592, 592, 525, 637, 337, 637, 838,
];

/// DejaVu Sans Bold, U+0020 to U+007E.
const BOLD: [u16; 95] = [
    349, 457, 521, 838, 696, 1002, 873, 307, 458, 458, 523, 838, 380, 416, 380, 366, 696, 696, 696, 696, 696,
    696, 696, 696, 696, 696, 400, 400, 838, 838, 838, 581, 1000, 774, 763, 734, 831, 684, 684, 821, 837, 373,
    373, 775, 638, 996, 837, 851, 733, 851, 771, 721, 683, 813, 774, 1104, 771, 725, 726, 458, 366, 458, 838,
    500, 500, 675, 716, 593, 716, 679, 436, 716, 712, 343, 343, 666, 343, 1042, 712, 688, 716, 716, 494, 596,
    479, 712, 652, 924, 646, 652, 583, 712, 366, 712, 838,
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_add_up() {
        // "A" and "i" of the regular face: 685 + 278 thousandths (font file, `hmtx`).
        assert_eq!(width("Ai", 10.0, false), 9.63);
        assert!(width("Wire", 12.0, true) > width("Wire", 12.0, false));
    }

    #[test]
    fn wrapped_lines_keep_the_room_and_all_letters() {
        let text = "temperature-switched hot-end fan Donaudampfschifffahrtsgesellschaft end";
        let lines = wrap(text, 12.0, false, 90.0);
        assert!(lines.iter().all(|l| width(l, 12.0, false) <= 90.0), "{lines:?}");
        let squeezed = |s: &str| s.split_whitespace().collect::<String>();
        assert_eq!(squeezed(&lines.concat()), squeezed(text));
    }

    #[test]
    fn a_cut_text_says_so() {
        assert_eq!(cut("short", 10.0, false, 100.0), "short");
        let shown = cut("a rather long text", 10.0, false, 50.0);
        assert!(
            shown.ends_with('…') && width(&shown, 10.0, false) <= 50.0,
            "{shown}"
        );
    }
}
