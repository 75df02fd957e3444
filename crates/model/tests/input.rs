//! Files that are no fair text: wrong encodings, huge, deeply nested, with other line ends.

use model::{FileError, Files, LARGEST_FILE};

use crate::support::{Folder, assert_promises, faults, minimal, plain};

fn with(path: &str, bytes: impl Into<Vec<u8>>) -> Folder {
    let mut folder = minimal();
    folder.insert(path.to_owned(), bytes.into());
    folder
}

fn minimal_text(path: &str) -> String {
    String::from_utf8(minimal()[path].clone()).expect("UTF-8")
}

/// The lines of all faults that say where and what.
fn heads(folder: &Folder) -> Vec<String> {
    let text = plain(&faults(folder));
    text.lines()
        .filter(|line| !line.starts_with(' ') && !line.is_empty())
        .map(str::to_owned)
        .collect()
}

#[test]
fn a_file_that_is_not_utf_8_is_told_where_it_ends_to_be() {
    let mut bytes = b"name = \"Z\xc3\xbcrgel\"\ninvented = true # caf".to_vec();
    bytes.push(0xe9);
    bytes.extend_from_slice(b"\n");
    assert_eq!(
        heads(&with("machine.toml", bytes)),
        ["machine.toml:2:22 not-utf-8: the file `machine.toml` is not UTF-8 text"]
    );
    let utf_16: Vec<u8> = minimal_text("swap.toml")
        .encode_utf16()
        .flat_map(u16::to_le_bytes)
        .collect();
    let found = heads(&with("boards/old.toml", [vec![0xff, 0xfe], utf_16].concat()));
    assert_eq!(
        found,
        ["boards/old.toml:1:1 not-utf-8: the file `boards/old.toml` is not UTF-8 text"]
    );
}

/// Terminals cut characters in two: what was captured is kept as it can be read.
#[test]
fn a_captured_file_may_hold_broken_characters() {
    let swap = model::load(&with("captured.gcode", b"ok T:21.4 \xe2\x84".to_vec())).expect("no fault");
    assert!(swap.old_settings[0].text.starts_with("ok T:21.4 "));
}

/// The disk says how large a file is before anybody reads it.
struct Huge(Folder);

impl Files for Huge {
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError> {
        match path {
            "machine.toml" | "captured.gcode" => Err(FileError::TooLarge(100 << 20)),
            "boards/old.toml" => Err(FileError::Refused("permission denied".to_owned())),
            _ => self.0.read(path),
        }
    }
}

#[test]
fn a_file_of_100_mb_is_refused_unread_and_the_others_are_read() {
    let mut folder = minimal();
    let wrong = minimal_text("boards/new.toml").replace("19 MHz", "19 MV");
    folder.insert("boards/new.toml".to_owned(), wrong.into_bytes());
    let found = model::load(&Huge(folder)).expect_err("faults");
    assert_promises(&found);
    let heads: Vec<(&str, &str)> = found
        .faults
        .iter()
        .map(|fault| (fault.code, fault.headline.as_str()))
        .collect();
    assert_eq!(
        heads,
        [
            (
                "file-too-large",
                "the file `machine.toml` has 100 MiB, more than the 4 MiB that are read"
            ),
            (
                "file-unreadable",
                "the file `boards/old.toml` cannot be read: permission denied"
            ),
            (
                "file-too-large",
                "the file `captured.gcode` has 100 MiB, more than the 4 MiB that are read"
            ),
            ("bad-value", "`MV` is a unit of voltage"),
        ]
    );
}

/// A source of files that does not look at sizes cannot bring a huge text into the parser.
#[test]
fn what_is_handed_over_too_large_is_refused() {
    let limit = usize::try_from(LARGEST_FILE).expect("a small limit");
    let found = heads(&with("machine.toml", vec![b'#'; limit + 1]));
    assert_eq!(
        found,
        [
            "swap.toml:2:1 file-too-large: the file `machine.toml` has 5 MiB, more than the 4 MiB that are read"
        ]
    );
}

/// As large as is read, and full of faults: still all of them, and soon.
#[test]
fn a_large_file_of_faults_is_read() {
    let device = "[[device]]\ntag = \"A\"\n";
    let start = std::time::Instant::now();
    let count = usize::try_from(LARGEST_FILE).expect("a small limit") / 8 / device.len();
    for text in [
        device.repeat(count),
        "= \n".repeat(count),
        "a = x\n".repeat(count),
    ] {
        let found = faults(&with("machine.toml", text));
        assert!(found.faults.len() >= count);
    }
    assert!(start.elapsed().as_secs() < 60, "{:?}", start.elapsed());
}

#[test]
fn deep_nesting_is_a_fault_and_no_overflow() {
    const LEVELS: usize = 10_000;
    let arrays = format!("name = {}1{}\n", "[".repeat(LEVELS), "]".repeat(LEVELS));
    let open_arrays = format!("name = {}", "[".repeat(LEVELS));
    let tables = format!("name = {}1{}\n", "{ a = ".repeat(LEVELS), " }".repeat(LEVELS));
    let open_tables = format!("name = {}", "{ a = ".repeat(LEVELS));
    let dotted = format!("{}name = 1\n", "a.".repeat(LEVELS));
    let header = format!("[{}a]\nname = 1\n", "a.".repeat(LEVELS));
    let headers = format!("[[{}a]]\nname = 1\n", "a.".repeat(LEVELS));
    let mixed = format!("name = {}1", "[{ a = ".repeat(LEVELS));
    let strings = "name = \"\"\"".repeat(LEVELS);
    for text in [
        arrays,
        open_arrays,
        tables,
        open_tables,
        dotted,
        header,
        headers,
        mixed,
        strings,
    ] {
        for path in [
            "swap.toml",
            "machine.toml",
            "boards/new.toml",
            "catalogue/parts.toml",
        ] {
            let start = std::time::Instant::now();
            let found = faults(&with(path, text.clone()));
            assert!(start.elapsed().as_secs() < 20, "{text:.40}");
            let own = found
                .faults
                .iter()
                .filter(|fault| found.sources.file(fault.place.file).path == path);
            assert!(own.count() >= 1, "{path}: {text:.40}");
        }
    }
}

#[test]
fn other_line_ends_and_a_byte_order_mark_make_no_difference() {
    let crlf = |path: &str| minimal_text(path).replace('\n', "\r\n");
    let mut folder = minimal();
    for path in ["swap.toml", "machine.toml", "boards/old.toml", "boards/new.toml"] {
        folder.insert(path.to_owned(), format!("\u{feff}{}", crlf(path)).into_bytes());
    }
    let swap = model::load(&folder).unwrap_or_else(|faults| panic!("{}", plain(&faults)));
    assert_eq!(swap.machine.name.value, "Pipit 90");

    let wrong = format!(
        "\u{feff}{}",
        crlf("machine.toml").replace("\"48 W ± 8 %\"", "\"48 W ± 8 Ω\"")
    );
    folder.insert("machine.toml".to_owned(), wrong.into_bytes());
    assert_eq!(
        plain(&faults(&folder)).lines().take(3).collect::<Vec<_>>(),
        [
            "machine.toml:46:19 bad-value: `Ω` is a unit of resistance",
            "  | power = \"48 W ± 8 Ω\"",
            "  |                   ^ `Ω` is a unit of resistance",
        ]
    );
}

/// The first line counts its columns without the byte order mark, which nobody sees.
#[test]
fn the_byte_order_mark_is_no_column() {
    let text = minimal_text("machine.toml").replacen("name = \"Pipit 90\"", "nam = \"Pipit 90\"", 1);
    let found = heads(&with("machine.toml", format!("\u{feff}{text}")));
    assert_eq!(
        found,
        ["machine.toml:1:1 unknown-key: a machine has no key `nam`"]
    );
}

#[test]
fn escapes_and_long_strings_keep_their_places() {
    let machine = minimal_text("machine.toml");
    let escaped = machine.replace("\"240 W\"", r#""240 \u0056""#);
    assert_eq!(
        heads(&with("machine.toml", escaped)),
        ["machine.toml:31:9 bad-value: `V` is a unit of voltage"]
    );
    let literal = machine.replace("\"240 W\"", "'''240 V'''");
    assert_eq!(
        heads(&with("machine.toml", literal)),
        ["machine.toml:31:16 bad-value: `V` is a unit of voltage"]
    );
    let lines = machine.replace("\"240 W\"", "\"\"\"\n240\nV\"\"\"");
    assert_eq!(
        heads(&with("machine.toml", lines)),
        ["machine.toml:31:9 bad-value: `V` is a unit of voltage"]
    );
}

/// Messages stay readable whatever a file holds.
#[test]
fn long_keys_words_and_values_are_cut_in_messages() {
    let long = "x".repeat(100_000);
    let machine = minimal_text("machine.toml");
    let texts = [
        format!("{long} = 1\n{machine}"),
        machine.replace("\"cartesian\"", &format!("\"{long}\"")),
        machine.replace("\"240 W\"", &format!("\"240 W {long}\"")),
        machine.replace("\"240 W\"", &format!("\"{long}\"")),
        machine.replace("\"240 W\"", &format!("\"240 {long}\"")),
        machine.replace("\"240 W\"", &format!("\"{}\"", "9".repeat(10_000))),
        machine.replace("\"M3\"", &format!("\"{}\"", &long[..200])),
        machine.replace("\"HEAT\"", &format!("\"{}\"", &long[..200])),
        machine.replace("\"RD\"", &format!("\"{}\"", &long[..200])),
    ];
    for text in texts {
        for fault in faults(&with("machine.toml", text)).faults {
            let said = [
                Some(fault.headline),
                Some(fault.label),
                fault.expected,
                fault.help,
            ];
            for text in said.into_iter().flatten() {
                assert!(
                    text.chars().count() < 1000,
                    "{} characters: {text:.80}",
                    text.chars().count()
                );
            }
        }
    }
}

#[test]
fn a_board_is_loaded_by_itself() {
    let (board, _) = model::load_board(&minimal(), "boards/old.toml").expect("no fault");
    assert_eq!(board.name.value, "Sallow S1");
    for path in [
        "",
        ".",
        "..",
        "/",
        "boards",
        "boards/none.toml",
        "../boards/old.toml",
    ] {
        let found = model::load_board(&minimal(), path).expect_err(path);
        assert_promises(&found);
    }
}
