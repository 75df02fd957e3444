//! Any bytes as one file of a small swap: it loads, or every fault points into its file.
//!
//! The first byte says which file the others are: `s`wap, `m`achine, `o`ld or `n`ew board, rows of `c`onnectors, `t`hermometers or
//! `p`arts, `w`ords of the old controller; any other byte takes the new board, by itself.
#![no_main]

use std::collections::BTreeMap;

use libfuzzer_sys::fuzz_target;
use model::Faults;

macro_rules! small {
    ($($path:literal),*) => {
        [$(($path, include_str!(concat!("../../crates/model/tests/minimal/", $path)))),*]
    };
}

const SMALL: [(&str, &str); 5] =
    small!["swap.toml", "machine.toml", "boards/old.toml", "boards/new.toml", "captured.gcode"];

fuzz_target!(|bytes: &[u8]| {
    let Some((which, file)) = bytes.split_first() else {
        return;
    };
    let path = match which {
        b's' => "swap.toml",
        b'm' => "machine.toml",
        b'o' => "boards/old.toml",
        b'c' => "catalogue/connectors.toml",
        b't' => "catalogue/thermometers.toml",
        b'p' => "catalogue/parts.toml",
        b'w' => "words/own.toml",
        _ => "boards/new.toml",
    };
    let small = SMALL.map(|(path, text)| (path.to_owned(), text.as_bytes().to_vec()));
    let mut folder = BTreeMap::from(small);
    if *which == b'w' {
        let swap = folder.entry("swap.toml".to_owned()).or_default();
        swap.extend_from_slice(b"\n[[controller]]\nboard = \"Sallow S1\"\nwords = \"own\"\n");
    }
    folder.insert(path.to_owned(), file.to_vec());
    let faults = match which {
        b's' | b'm' | b'o' | b'n' | b'c' | b't' | b'p' | b'w' => model::load(&folder).err(),
        _ => model::load_board(&folder, path).err(),
    };
    if let Some(faults) = faults {
        hold(&faults);
    }
});

fn hold(Faults { faults, sources }: &Faults) {
    assert!(!faults.is_empty(), "refused without a fault");
    assert!(faults.is_sorted_by_key(|fault| fault.place), "not in order");
    for fault in faults {
        assert!(!fault.headline.is_empty() && !fault.label.is_empty(), "{fault:?}");
        assert!(fault.headline.chars().count() < 1000, "{fault:?}");
        for place in std::iter::once(fault.place).chain(fault.others.iter().map(|(place, _)| *place)) {
            assert!(sources.file(place.file).text.get(place.range()).is_some(), "{fault:?}");
            assert!(sources.line_column(place) >= (1, 1));
        }
    }
}
