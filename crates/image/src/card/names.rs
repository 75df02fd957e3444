//! Names on a FAT file system: eight letters and three, and what becomes of longer ones. Source: [fat-overview].

/// How a name is stored.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Stored {
    /// As it is, in capitals.
    Same(String),
    /// Under another short name, beside the long one.
    As {
        /// The short name that it gets where no other file has it.
        alias: String,
    },
}

/// Letters that a short name cannot have, beside those below the blank.
const FORBIDDEN: &str = "\"*+,./:;<=>?[\\]|";

/// How a name is stored.
#[must_use]
pub fn stored(name: &str) -> Stored {
    let (base, extension) = match name.rsplit_once('.') {
        Some((base, extension)) if !base.is_empty() => (base, extension),
        _ => (name, ""),
    };
    let fits = |part: &str, most: usize| {
        part.len() <= most && part.bytes().all(|byte| allowed(byte) && byte != b' ')
    };
    let ends_in_dot = name.ends_with('.');
    if !base.is_empty() && fits(base, 8) && fits(extension, 3) && !ends_in_dot {
        return Stored::Same(name.to_ascii_uppercase());
    }
    // The basis: no blanks, no leading dots, what is not allowed becomes `_`; six letters and a number.
    let short = |part: &str, most: usize| -> String {
        let letters = part.chars().filter(|letter| !matches!(letter, ' ' | '.'));
        let mapped = letters.map(|letter| match u8::try_from(letter) {
            Ok(byte) if allowed(byte) => letter.to_ascii_uppercase(),
            _ => '_',
        });
        mapped.take(most).collect()
    };
    let (base, extension) = (short(base, 6), short(extension, 3));
    let dot = if extension.is_empty() { "" } else { "." };
    Stored::As {
        alias: format!("{base}~1{dot}{extension}"),
    }
}

fn allowed(byte: u8) -> bool {
    (0x20..0x7F).contains(&byte) && !FORBIDDEN.contains(char::from(byte))
}

/// Whether a name is the wanted one, whatever its case; in `wanted`, `*` stands for any letters and `?` for one.
#[must_use]
pub fn matches(wanted: &str, name: &str) -> bool {
    let wanted: Vec<char> = wanted.chars().flat_map(char::to_lowercase).collect();
    let name: Vec<char> = name.chars().flat_map(char::to_lowercase).collect();
    // Where the last star stood and what of the name it has eaten.
    let (mut at, mut in_name, mut star) = (0, 0, None);
    while in_name < name.len() {
        match wanted.get(at) {
            Some('*') => {
                star = Some((at, in_name));
                at += 1;
            }
            Some(letter) if *letter == '?' || *letter == name[in_name] => {
                at += 1;
                in_name += 1;
            }
            _ => match star {
                Some((place, eaten)) => {
                    star = Some((place, eaten + 1));
                    (at, in_name) = (place + 1, eaten + 1);
                }
                None => return false,
            },
        }
    }
    wanted[at..].iter().all(|letter| *letter == '*')
}

/// The short name of the eleven bytes of an entry; `lower` are the bits that Windows keeps in byte 12.
#[must_use]
pub fn shown(bytes: &[u8; 11]) -> String {
    let letter = |byte: &u8| -> char {
        // 05 stands for E5, which would mark a deleted entry; what else is below the blank is damage. Letters beyond ASCII depend
        // on a code page that nobody states.
        match byte {
            ..0x20 | 0x7F.. => '_',
            byte => char::from(*byte),
        }
    };
    let part = |bytes: &[u8]| bytes.iter().map(letter).collect::<String>().trim_end().to_owned();
    let (base, extension) = (part(&bytes[..8]), part(&bytes[8..]));
    if extension.is_empty() {
        base
    } else {
        format!("{base}.{extension}")
    }
}

/// The sum that ties long entries to their short one.
#[must_use]
pub fn checksum(bytes: &[u8; 11]) -> u8 {
    bytes
        .iter()
        .fold(0u8, |sum, byte| sum.rotate_right(1).wrapping_add(*byte))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn alias(name: &str) -> String {
        match stored(name) {
            Stored::Same(short) => short,
            Stored::As { alias } => format!("~{alias}"),
        }
    }

    /// The rules of [fat-overview]; `board image 2.bin` as two independent programs store it.
    #[test]
    fn names_are_stored_by_the_rules() {
        assert_eq!(alias("birch.bin"), "BIRCH.BIN");
        assert_eq!(alias("board image 2.bin"), "~BOARDI~1.BIN");
        assert_eq!(alias("firmware-v2.bin"), "~FIRMWA~1.BIN");
        assert_eq!(alias("image.html"), "~IMAGE~1.HTM");
        assert_eq!(alias("a+b.bin"), "~A_B~1.BIN");
        assert_eq!(alias("._birch.bin"), "~_BIRCH~1.BIN");
        assert_eq!(alias("image"), "IMAGE");
        assert_eq!(alias("two.dots.bin"), "~TWODOT~1.BIN");
    }

    /// Sums from published pages and from file systems that other programs wrote.
    #[test]
    fn sums_of_short_names() {
        for (name, sum) in [
            (b"BOARDI~1BIN", 0x68),
            (b"BOARDI~2BIN", 0x08),
            (b"README  TXT", 0x73),
            (b"FIRMWAREBIN", 0x57),
            (b"IMAGE   BIN", 0xE2),
            (b"LONGFI~1BIN", 0x42),
        ] {
            assert_eq!(checksum(name), sum, "{}", String::from_utf8_lossy(name));
        }
    }

    #[test]
    fn stars_and_marks() {
        assert!(matches("BIRCH.BIN", "birch.bin"));
        assert!(matches("*.bin", "X.BIN"));
        assert!(matches("b*ch?.bin", "BIRCH6.BIN"));
        assert!(!matches("BIRCH.BIN", "BIRCH.BIN2"));
        assert!(!matches("b*.bin", "alder.bin"));
        assert!(matches("*a*a*a", "banana"));
        assert!(!matches("*a*a*a*a", "banana"));
    }
}
