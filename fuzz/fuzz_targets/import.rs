//! Any bytes as a drawing, a drill file or a table of pins: read or refused, with finite numbers, and what is written is TOML.
#![no_main]

use import::{Drawn, Unit, as_toml, ports, read};
use libfuzzer_sys::fuzz_target;
use quantity::Number;

fuzz_target!(|bytes: &[u8]| {
    for unit in [None, Some(Unit::Inch)] {
        let Ok(shapes) = read(bytes, unit) else { continue };
        let Ok(board) = Drawn::of(&[shapes]) else { continue };
        assert!(board.size.0.base().is_finite() && board.size.1.base().is_finite() && board.area.base().is_finite());
        assert!(board.outline().parse::<toml::Table>().is_ok());
    }
    let text = String::from_utf8_lossy(bytes);
    if let Ok(found) = ports(&text) {
        assert!(as_toml(&found, "table").parse::<toml::Table>().is_ok() || found.is_empty());
    }
});
