//! A temperature log: time, and for each heater what was measured, what was wanted, and the duty of its heater.
//!
//! [`Layout::of`] finds from the first bytes how the file is written. Then any number of [`PartReader`]s read parts of it, each part
//! whole lines, on threads of the caller; [`Layout::join`] puts the parts together and time in order. Ten million samples of one
//! heater take about 160 MB: time in full, the rest in single precision (15 µK at 250 °C), targets only where they change.
//!
//! Each way of writing a log has a room with both halves of its reading, the layout and the row: `separated`, `json`, `labelled`, `terminal`. A new
//! one is a file here, a variant of `Form` and a line in [`Layout::of`].

mod channel;
mod heads;
mod join;
mod json;
mod labelled;
mod layout;
mod order;
mod part;
mod samples;
mod separated;
mod terminal;

pub use channel::Channel;
pub use layout::{Layout, WhatIsKnown};
pub use part::{Part, PartReader};
pub use samples::Log;

use crate::Refused;

/// How much of the file [`Layout::of`] wants to see: the first so many bytes, or all.
pub const HEAD: usize = 1 << 16;

/// Reads a whole log that is in memory.
///
/// # Errors
/// As [`Layout::of`] and [`Layout::join`].
pub fn read(bytes: &[u8], known: WhatIsKnown) -> Result<Log, Refused> {
    let bytes = &*super::turned(bytes);
    let layout = Layout::of(&bytes[..bytes.len().min(HEAD)], known)?;
    let mut part = layout.part(true);
    part.push(bytes);
    layout.join(vec![part.finish()])
}

#[cfg(test)]
mod tests {
    use quantity::si::second;

    use super::*;
    use crate::read::Words;

    fn known() -> WhatIsKnown {
        WhatIsKnown {
            words: Words {
                temperatures: vec!["T".into(), "B".into()],
                duties: vec![("@".into(), "T".into()), ("B@".into(), "B".into())],
            },
            ..WhatIsKnown::default()
        }
    }

    fn good(text: &str) -> Log {
        read(text.as_bytes(), known()).unwrap()
    }

    fn names(log: &Log) -> Vec<&str> {
        log.channels.iter().map(|channel| channel.name.as_str()).collect()
    }

    fn said(log: &Log) -> Vec<String> {
        log.troubles.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn units_that_are_none_are_told() {
        let told = said(&good("time (ticks),temperature (V)\n0,21.5\n1,22.0\n2,22.5\n"));
        for words in [
            "`ticks` in the head of `time`",
            "`V` in the head of `temperature` is no unit",
        ] {
            assert!(
                told.iter().any(|own| own.contains(words)),
                "no {words} in {told:?}"
            );
        }
    }

    #[test]
    fn several_heaters_with_a_head() {
        let log = good(
            "# invented\ntime (s);hot end temperature (°C);hot end target (°C);hot end duty (%);bed temperature (°C)\n\
             0,0;21,5;210;100;20\n0,5;22,0;210;50;20\n1,0;NaN;210;0;20\n",
        );
        assert_eq!(names(&log), ["hot end", "bed"]);
        assert_eq!(log.time, [0.0, 0.5, 1.0]);
        let hot = &log.channels[0];
        assert_eq!(hot.measured[..2], [21.5, 22.0]);
        assert!(hot.measured[2].is_nan());
        assert_eq!(hot.target.as_ref().unwrap().at(2), 210.0);
        assert_eq!(hot.duty.as_ref().unwrap()[..2], [1.0, 0.5]);
        assert!(log.channels[1].target.is_none());
    }

    #[test]
    fn no_head_and_json_lines() {
        let log = good("0,21\n1,22\n2,23\n");
        assert_eq!(names(&log), [""]);
        assert!(said(&log)[0].contains("no head"));
        let log = good(
            "{\"time\":\"2026-01-01T00:00:00Z\",\"bed\":{\"temp\":20,\"target\":60}}\n\
             {\"time\":\"2026-01-01T00:00:02Z\",\"bed\":{\"temp\":20.5,\"target\":60}}\n{broken\n\
             {\"time\":\"2026-01-01T00:00:04Z\",\"bed\":{\"temp\":21,\"target\":60}}\n",
        );
        assert_eq!(
            (names(&log), log.time.clone()),
            (vec!["bed"], vec![0.0, 2.0, 4.0])
        );
        assert_eq!(log.troubles[0].line, Some(3));
    }

    #[test]
    fn terminal_text_with_stamps_and_chatter() {
        let log = good(
            "connected\n23:59:58.000 ok T:21.5 /0.0 B:22.0 /60.0 @:0 B@:340\nechoed words\n\
             23:59:59.000 T:21.5 /0.0 B:2x.0 /60.0\n00:00:00.000 T:21.6 /0.0 B:22.4 /60.0 @:0 B@:340\n\
             00:00:01.000 T:21.6 /0.0 B:22.6 /60.0 @:0 B@:171\n",
        );
        assert_eq!(names(&log), ["T", "B"]);
        assert_eq!(log.time, [0.0, 2.0, 3.0]);
        let all = said(&log).join("; ");
        assert!(
            all.contains("line 4: no number behind `B:`") && all.contains("2 lines without"),
            "{all}"
        );
        assert!(all.contains("past midnight") && all.contains("340"), "{all}");
    }

    #[test]
    fn terminal_text_without_stamps_needs_the_interval() {
        let text = "T:21.5 /0.0\nT:21.6 /0.0\nT:21.7 /0.0\n";
        let refused = read(text.as_bytes(), known()).unwrap_err();
        assert!(refused.mend.contains("interval"), "{refused}");
        let told = WhatIsKnown {
            interval: Some(second(2.0)),
            ..known()
        };
        assert_eq!(read(text.as_bytes(), told).unwrap().time, [0.0, 2.0, 4.0]);
    }

    #[test]
    fn time_that_does_not_rise_is_named() {
        let log = good("t,temp\n0,1\n1,2\n1,2\n2,3\n1.5,9\n3,4\n20,5\n21,6\n0,7\n1,8\n2,9\n");
        assert_eq!(log.time, [0.0, 1.0, 2.0, 3.0, 20.0, 21.0, 22.0, 23.0, 24.0]);
        assert_eq!(
            log.channels[0].measured,
            [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0]
        );
        assert_eq!(log.starts, [0, 4, 6]);
        let all = said(&log).join("; ");
        assert!(
            all.contains("line 4: the time stamp is that of the line before"),
            "{all}"
        );
        assert!(
            all.contains("line 6 and 1 more: the time stamp goes backward"),
            "{all}"
        );
        assert!(
            all.contains("a gap of 17.0 s") && all.contains("a reset"),
            "{all}"
        );
    }

    #[test]
    fn a_coarse_clock_is_spread() {
        let log = good("t,temp\n0,1\n0,2\n1,3\n1,4\n2,5\n2,6\n");
        assert_eq!(log.time, [0.0, 0.5, 1.0, 1.5, 2.0, 2.5]);
    }

    #[test]
    fn fahrenheit_is_turned_or_suspected() {
        let log = good("time,temp (°F)\n0,32\n1,212\n2,410\n");
        assert_eq!(log.channels[0].measured, [0.0, 100.0, 210.0]);
        let log = good("time,temp\n0,32\n1,212\n2,410\n");
        assert!(said(&log)[0].contains("Fahrenheit"), "{:?}", log.troubles);
    }

    #[test]
    fn what_says_nothing_is_refused_with_a_reason() {
        let problem = |text: &str| read(text.as_bytes(), known()).unwrap_err().problem;
        assert!(problem("").contains("no line"));
        assert!(problem("a\0b\0c\n").contains("not text"));
        let long = problem(&format!("{}\n{}\n", "x".repeat(50_000), "y".repeat(300)));
        assert!(long.chars().count() < 200, "{long}");
        assert!(problem("time,temp\n0,1\n1,2\n").contains("2 samples"));
        assert!(problem("1,2,3,4,5\n1,2,3,4,5\n").contains("5 columns without a head"));
        assert!(problem("time,height\n1,2\n2,3\n3,4\n").contains("no column holds a temperature"));
    }

    /// Wherever a log is cut into parts, and whatever the pieces, the result is the same.
    #[test]
    fn parts_make_the_whole() {
        let mut text = "t,temp,target,duty\n".to_owned();
        for at in 0..100 {
            let target = if at < 50 { 200 } else { 0 };
            text += &format!("{at},{},{target},{}\n", at % 7, f64::from(at % 3) / 2.0);
            if at == 60 {
                text += "broken\n";
            }
        }
        let whole = good(&text);
        let layout = Layout::of(text.as_bytes(), known()).unwrap();
        for cut in [19, 300, 700, text.len()] {
            let cut = text[..cut].rfind('\n').map_or(0, |at| at + 1);
            let (first, second) = text.as_bytes().split_at(cut);
            let parts = [(first, true), (second, false)].map(|(bytes, is_first)| {
                let mut reader = layout.part(is_first);
                bytes.chunks(13).for_each(|piece| reader.push(piece));
                reader.finish()
            });
            assert_eq!(layout.join(parts.into()).unwrap(), whole, "{cut}");
        }
    }
}
