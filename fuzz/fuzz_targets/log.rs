//! Any bytes as a temperature log: parts make the whole, time rises, and analysis ends in a report or a reason.
#![no_main]

use evidence::read::log::{HEAD, read};
use evidence::read::{Layout, WhatIsKnown, Words};
use evidence::temperature::{Ask, analyse};
use libfuzzer_sys::fuzz_target;
use quantity::si::{celsius, kelvin, second};

fuzz_target!(|bytes: &[u8]| {
    let known = || WhatIsKnown {
        words: Words {
            temperatures: vec!["T".into(), "B".into()],
            duties: vec![("@".into(), "T".into()), ("B@".into(), "B".into())],
        },
        interval: Some(second(1.0)),
        ..WhatIsKnown::default()
    };
    let whole = read(bytes, known());
    // The same in two parts, cut behind the first line end of the second half.
    if let Ok(layout) = Layout::of(&bytes[..bytes.len().min(HEAD)], known()) {
        let half = bytes.len() / 2;
        let cut = bytes[half..].iter().position(|byte| *byte == b'\n').map_or(bytes.len(), |at| half + at + 1);
        let parts = [(&bytes[..cut], true), (&bytes[cut..], false)].map(|(bytes, first)| {
            let mut reader = layout.part(first);
            bytes.chunks(7).for_each(|piece| reader.push(piece));
            reader.finish()
        });
        let joined = layout.join(parts.into());
        assert_eq!(joined.is_ok(), whole.is_ok());
        if let (Ok(joined), Ok(whole)) = (&joined, &whole) {
            assert_eq!(joined.len(), whole.len());
        }
    }
    let Ok(log) = whole else { return };
    assert!(log.duration() >= second(0.0));
    for channel in &log.channels {
        let ask = Ask {
            name: channel.name.clone(),
            ambient: celsius(22.0),
            within: kelvin(1.0),
            pulses: None,
        };
        match analyse(&log, channel, ask) {
            Ok(analysis) => assert!(!analysis.report().sentence.is_empty()),
            Err(reason) => assert!(!reason.problem.is_empty() && !reason.mend.is_empty()),
        }
    }
});
