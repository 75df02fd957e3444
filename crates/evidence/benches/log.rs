//! Logs at size, beside scipy and numpy doing the same in one run: `cargo bench -p evidence`, and behind `--` one or more of
//! `large`, `table`, `hour` and `peers`.
//!
//! The peer is Python; `benches/peer.py` says how to install it. Without it only our own times are told.
//! Each of our figures is the best of some runs, as are the peer's.

#![allow(clippy::print_stdout, reason = "a bench prints its figures")]

use std::fs::File;
use std::io::{BufWriter, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

use evidence::read::log::{HEAD, read};
use evidence::read::{Layout, Log, Part, WhatIsKnown};
use evidence::temperature::invent::{Truth, log};
use evidence::temperature::{Ask, analyse, identify};
use peer::Beside::{Limit, Peer};
use peer::{best_seconds, figure};
use quantity::Number as _;
use quantity::si::{celsius, kelvin, second};

const SAMPLES: usize = 10_000_000;

fn main() {
    let words: Vec<String> = std::env::args().collect();
    if let Some(at) = words.iter().position(|word| word == "--analyse") {
        return in_a_process(Path::new(&words[at + 1]));
    }
    if let Some(at) = words.iter().position(|word| word == "--table") {
        return table_in_a_process(Path::new(&words[at + 1]));
    }
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
    let wanted = |name: &str| {
        let mut names = words[1..].iter().filter(|word| !word.starts_with('-')).peekable();
        names.peek().is_none() || names.any(|own| own == name)
    };
    if wanted("large") {
        large(&folder);
    }
    if wanted("table") {
        table(&folder);
    }
    if wanted("hour") {
        hour();
    }
    if wanted("peers") {
        peers(&folder);
    }
}

/// Ten million samples: a heat-up, then the rows of a soak over and over with time going on.
fn make(path: &Path) {
    let truth = Truth {
        sample: second(0.1),
        durations: [second(20.0), second(10_000.0), second(0.0)],
        ..Truth::hot_end(1)
    };
    let made = log(&truth);
    let mut out = BufWriter::new(File::create(path).unwrap());
    writeln!(out, "time (s),temperature (°C),target (°C),duty (%)").unwrap();
    let soak = &made.rows[50_000..];
    for at in 0..SAMPLES {
        let row = made
            .rows
            .get(at)
            .unwrap_or_else(|| &soak[(at - made.rows.len()) % soak.len()]);
        let time = at as f64 * 0.1;
        writeln!(out, "{time:.1},{:.3},{:.0},{:.1}", row[1], row[2], row[3] * 100.0).unwrap();
    }
}

fn large(folder: &Path) {
    let path = folder.join("large-log.csv");
    make(&path);
    let size = std::fs::metadata(&path).unwrap().len();
    let output = Command::new(std::env::current_exe().unwrap())
        .arg("--analyse")
        .arg(&path)
        .output()
        .unwrap();
    println!(
        "10 million samples ({} MB), read and analysed in a process of its own:",
        size / 1_000_000
    );
    print!("{}", String::from_utf8_lossy(&output.stdout));
    let whole = |path: &Path| {
        let log = read_in_halves(path);
        analyse(&log, &log.channels[0], ask()).unwrap().report()
    };
    // Pairs in the same run: what a busy machine does to one it does to the other.
    let counted = || Command::new("wc").arg("-l").arg(&path).output();
    if counted().is_ok_and(|output| output.status.success()) {
        let limit = best_seconds(5, counted);
        let ours = best_seconds(5, || whole(&path));
        figure(
            "log of ten million lines, read and analysed on two threads",
            ours,
            "s",
            Limit("`wc -l` of the same file", 10.0),
            Some(limit),
        );
        // The same log up to fewer lines.
        let text = std::fs::read(&path).unwrap();
        let smaller = [SAMPLES / 100, SAMPLES / 10].map(|count| {
            let part = folder.join("part-of-log.csv");
            let end = memchr::memchr_iter(b'\n', &text).nth(count).unwrap();
            std::fs::write(&part, &text[..=end]).unwrap();
            let seconds = best_seconds(5, || whole(&part));
            std::fs::remove_file(part).unwrap();
            (count as f64, seconds)
        });
        let all = [smaller[0], smaller[1], (SAMPLES as f64, ours)];
        peer::growth("temperature log, read and analysed", "lines", &all);
    }
    std::fs::remove_file(path).unwrap();
}

fn in_a_process(path: &Path) {
    let start = Instant::now();
    let log = read_in_halves(path);
    let read = start.elapsed().as_secs_f64();
    let analysis = analyse(&log, &log.channels[0], ask()).unwrap();
    // The heat-up is a hundredth of a thousandth of the log; it must be found in it all the same.
    let delay = analysis.process.as_ref().unwrap().delay;
    assert!((delay.nominal() / second(2.0)).base() < 1.1, "{delay}");
    let report = analysis.report();
    let whole = start.elapsed().as_secs_f64();
    assert!(report.sentence.contains("within"), "{}", report.sentence);
    println!("  read {read:.2} s, whole {whole:.2} s");
    tell_memory("memory for the log of ten million lines");
}

/// A figure of the most memory that this process had at a time, where the system tells.
fn tell_memory(what: &str) {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM"));
    let kibibytes: Option<u64> = line.and_then(|line| line.split_whitespace().nth(1)?.parse().ok());
    if let Some(kibibytes) = kibibytes {
        let megabytes = kibibytes as f64 * 1024e-6;
        figure(
            what,
            megabytes,
            "MB",
            Limit("a bound of 250 MB", 1.0),
            Some(250.0),
        );
    }
}

/// A table of 60 MB read in a process of its own.
fn table(folder: &Path) {
    let path = folder.join("large-table.csv");
    let mut out = BufWriter::new(File::create(&path).unwrap());
    writeln!(out, "x (mm),y (mm),height (mm),visit").unwrap();
    let mut size = 0;
    for at in 0_u32.. {
        let row = format!(
            "{:.2},{:.2},{:.4},{}\n",
            f64::from(at % 1_000) * 0.25,
            f64::from(at / 1_000 % 1_000) * 0.25,
            f64::from(at % 97) * 1e-3,
            at / 1_000_000
        );
        size += row.len();
        out.write_all(row.as_bytes()).unwrap();
        if size > 60_000_000 {
            break;
        }
    }
    drop(out);
    let output = Command::new(std::env::current_exe().unwrap())
        .arg("--table")
        .arg(&path)
        .output()
        .unwrap();
    println!("table of 60 MB, read in a process of its own:");
    print!("{}", String::from_utf8_lossy(&output.stdout));
    std::fs::remove_file(path).unwrap();
}

fn table_in_a_process(path: &Path) {
    let start = Instant::now();
    let bytes = std::fs::read(path).unwrap();
    let table = evidence::read::table(&bytes).unwrap();
    drop(bytes);
    let (touches, _) = evidence::tables::touches(&table).unwrap();
    println!(
        "  {} touches in {:.2} s",
        touches.len(),
        start.elapsed().as_secs_f64()
    );
    tell_memory("memory for a table of 60 MB");
}

fn read_in_halves(path: &Path) -> Log {
    let mut head = vec![0; HEAD];
    let mut file = File::open(path).unwrap();
    file.read_exact(&mut head).unwrap();
    let layout = Layout::of(&head, WhatIsKnown::default()).unwrap();
    let size = file.metadata().unwrap().len();
    file.seek(SeekFrom::Start(size / 2)).unwrap();
    file.read_exact(&mut head).unwrap();
    let middle = size / 2 + 1 + head.iter().position(|byte| *byte == b'\n').unwrap() as u64;
    let parts = std::thread::scope(|scope| {
        let later = scope.spawn(|| part(&layout, path, middle, size));
        vec![part(&layout, path, 0, middle), later.join().unwrap()]
    });
    layout.join(parts).unwrap()
}

fn part(layout: &Layout, path: &Path, from: u64, to: u64) -> Part {
    let mut file = File::open(path).unwrap();
    file.seek(SeekFrom::Start(from)).unwrap();
    let mut reader = layout.part(from == 0);
    let mut file = file.take(to - from);
    let mut buffer = vec![0; 1 << 20];
    loop {
        let count = file.read(&mut buffer).unwrap();
        if count == 0 {
            return reader.finish();
        }
        reader.push(&buffer[..count]);
    }
}

fn ask() -> Ask {
    Ask {
        name: "hot end".to_owned(),
        ambient: celsius(22.0),
        within: kelvin(1.0),
        pulses: None,
    }
}

/// A hot end over an hour, two readings a second.
fn of_an_hour() -> Truth {
    Truth {
        sample: second(0.5),
        durations: [second(20.0), second(3_580.0), second(0.0)],
        ..Truth::hot_end(1)
    }
}

/// A log of an hour: process, swing and intervals; with the proposals apart.
fn hour() {
    let text = log(&of_an_hour()).text("a bench");
    let read_log = read(text.as_bytes(), WhatIsKnown::default()).unwrap();
    let looked = best_seconds(5, || analyse(&read_log, &read_log.channels[0], ask()));
    let analysis = analyse(&read_log, &read_log.channels[0], ask()).unwrap();
    let proposed = best_seconds(5, || analysis.proposals());
    println!(
        "log of one hour ({} samples): analysed in {:.0} ms (goal 100 ms), nine controllers simulated in {:.0} ms",
        read_log.len(),
        looked * 1e3,
        proposed * 1e3
    );
}

/// Ours against the peer's, each doing the same work on the same numbers.
fn peers(folder: &Path) {
    let mut n: u64 = 1_234_567_890;
    let mut noise = || {
        n = n * 16_807 % 2_147_483_647;
        n as f64 / 2_147_483_647.0
    };
    let values: Vec<f64> = (0..1_000_000).map(|_| noise()).collect();
    let rows = 200_000;
    let text: String = (0..rows)
        .map(|at| {
            format!(
                "{at},{:.3},210,{:.1}\n",
                209.0 + 2.0 * values[at],
                100.0 * values[at + 1]
            )
        })
        .collect();
    let csv = folder.join("peer.csv");
    std::fs::write(&csv, &text).unwrap();
    let made = log(&of_an_hour());
    let hour_csv = folder.join("peer-hour.csv");
    let rows: String = made
        .rows
        .iter()
        .map(|row| format!("{},{},{},{}\n", row[0], row[1], row[2], row[3]))
        .collect();
    std::fs::write(&hour_csv, rows).unwrap();
    let hour = read(made.text("a bench").as_bytes(), WhatIsKnown::default()).unwrap();
    let identified = best_seconds(5, || identify(&hour, &hour.channels[0], &ask()));
    let ours = [
        (
            "read 200,000 rows",
            Peer("numpy `loadtxt`", 1.0),
            best_seconds(5, || read(text.as_bytes(), WhatIsKnown::default())),
        ),
        (
            "process of a log of an hour with its intervals, beside one fit alone",
            Peer("scipy `least_squares`", 5.0),
            identified,
        ),
        (
            "the same beside that fit with intervals from the same errors",
            Peer("scipy and numpy", 5.0),
            identified,
        ),
    ];
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/peer.py");
    let theirs = peer::beside(script, &[&csv, &hour_csv], &ours);
    for file in [csv, hour_csv] {
        std::fs::remove_file(file).unwrap();
    }
    let Some(theirs) = theirs else { return };
    let process = identify(&hour, &hour.channels[0], &ask()).unwrap();
    let second_lag = process.second_lag.map_or(0.0, |lag| lag.nominal().base());
    println!(
        "the process: rise {:.1} K, time constants {:.2} s and {second_lag:.2} s, dead time {:.2} s; peer {}",
        process.gain.nominal().base(),
        process.lag.nominal().base(),
        process.delay.nominal().base(),
        theirs
    );
}
