//! Laws of the loader: no text makes it panic, and what it says of a text does not depend on what cannot matter.

use proptest::prelude::*;

use crate::support::{Folder, assert_promises, minimal};

fn load(path: &str, bytes: Vec<u8>) {
    let mut folder = minimal();
    folder.insert(path.to_owned(), bytes);
    if let Err(faults) = model::load(&folder) {
        assert_promises(&faults);
    }
}

const PATHS: [&str; 5] = [
    "swap.toml",
    "machine.toml",
    "boards/old.toml",
    "boards/new.toml",
    "catalogue/holes.toml",
];

/// A text made of what the files are made of, in any order.
fn pieces() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        Just("[[device]]\n".to_owned()),
        Just("[device.cable]\n".to_owned()),
        Just("[[port]]\n".to_owned()),
        Just("[[driver]]\n".to_owned()),
        Just("[rails.5V]\n".to_owned()),
        Just("[case]\n".to_owned()),
        Just("[[wish]]\n".to_owned()),
        "(name|tag|kind|role|pins|at|voltage|current|rail|driver|fed_by|excludes|colours|old_port|cable) = ",
        "\"(X|MX|input|5V|motor|heater|motor output|switch input|A1|24 V|1.5 A ± 10 %|crimp 2.5 mm)\"\n",
        "\\[\"[+A1B2 a-z-]{0,8}\"(, \"[+A1B2 a-z-]{0,8}\")?\\]\n",
        "-?[0-9]{1,12}\n",
        "[\\[\\]{}\"'=#,.\n]{1,4}",
        "\\PC{0,10}",
    ];
    prop::collection::vec(piece, 0..40).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 250, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_bytes_make_the_loader_panic(at in 0..PATHS.len(), bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        load(PATHS[at], bytes);
    }

    #[test]
    fn no_text_makes_the_loader_panic(at in 0..PATHS.len(), text in pieces()) {
        load(PATHS[at], text.into_bytes());
    }

    /// A value of any text is read or refused with a place inside it.
    #[test]
    fn no_value_makes_the_loader_panic(text in "\\PC{0,30}", key in 0usize..6) {
        let quoted = text.replace('\\', "\\\\").replace('"', "\\\"");
        let keys = ["power = \"240 W\"", "wire = \"20 AWG\"", "height = \"30 mm\"", "screw_size = \"M3\"", "kind = \"motor\"", "tag = \"T1\""];
        let (name, _) = keys[key].split_once(" = ").expect("a key");
        let machine = String::from_utf8(minimal()["machine.toml"].clone()).expect("UTF-8");
        load("machine.toml", machine.replace(keys[key], &format!("{name} = \"{quoted}\"")).into_bytes());
    }

    /// The order of files in the folder, and files that nobody names, change nothing.
    #[test]
    fn files_that_are_not_named_do_not_matter(name in "[a-z]{1,8}\\.toml", bytes in prop::collection::vec(any::<u8>(), 0..100)) {
        let mut folder: Folder = minimal();
        folder.entry(format!("notes/{name}")).or_insert(bytes);
        prop_assert!(model::load(&folder).is_ok());
    }

    /// Comments and blank lines move places, and nothing else.
    #[test]
    fn comments_move_places_only(lines in 1usize..50, comment in "[^\\p{Cc}]{0,40}") {
        let mut folder = minimal();
        let machine = String::from_utf8(folder["machine.toml"].clone()).expect("UTF-8").replace("240 W", "240 V");
        folder.insert("machine.toml".to_owned(), machine.clone().into_bytes());
        let before = model::load(&folder).expect_err("a wrong unit");
        let moved = format!("{}{machine}", format!("# {comment}\n").repeat(lines));
        folder.insert("machine.toml".to_owned(), moved.into_bytes());
        let after = model::load(&folder).expect_err("a wrong unit");
        prop_assert_eq!(before.faults.len(), after.faults.len());
        let (one, other) = (&before.faults[0], &after.faults[0]);
        prop_assert_eq!(&one.headline, &other.headline);
        let (line, column) = before.sources.line_column(one.place);
        prop_assert_eq!(after.sources.line_column(other.place), (line + lines, column));
    }
}
