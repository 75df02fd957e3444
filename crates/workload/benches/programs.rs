//! Programs at size: reading beside `wc -l` on the same cached file and beside a general parsing library, the motion model in moves a
//! second, and memory, all in one run: `cargo bench -p workload`, and behind `--` one or more of `large`, `shapes`, `peer`.
//!
//! Each figure is the best of some runs, ours and theirs. The library is told to keep as little as it can: its visitor, which builds nothing,
//! and its tree. It can panic on odd input, so it runs behind a net.

#![allow(clippy::print_stdout, reason = "a bench prints its figures")]

#[path = "../tests/given.rs"]
mod given;

use std::fs::File;
use std::io::{BufReader, BufWriter, Read as _, Seek as _, SeekFrom, Write as _};
use std::ops::ControlFlow as Flow;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::mpsc;
use std::time::Instant;

use gcode::core::{
    BlockVisitor, CommandVisitor, ControlFlow, Diagnostics, HasDiagnostics, Number, ProgramVisitor, Span,
    Value,
};
use quantity::Number as _;
use workload::invent::{Shape, write};
use workload::{Batch, Count, Interpreter, Model, Work, count};

/// What the goals are stated for.
const LARGE: u64 = 1_000_000_000;

fn main() {
    let words: Vec<String> = std::env::args().collect();
    if let Some(at) = words.iter().position(|word| word == "--judge") {
        return in_a_process(Path::new(&words[at + 1]));
    }
    // `cargo test --benches` starts this too; without the flag of `cargo bench` there is nothing to do.
    if !words.iter().any(|word| word == "--bench") {
        return;
    }
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
    let wanted = |name: &str| {
        let mut names = words[1..].iter().filter(|word| !word.starts_with('-')).peekable();
        names.peek().is_none() || names.any(|own| own == name)
    };
    if wanted("large") {
        large(&folder);
    }
    if wanted("shapes") {
        shapes(&folder);
    }
    if wanted("peer") {
        peer(&folder);
    }
}

fn make(folder: &Path, shape: Shape, size: u64) -> PathBuf {
    let path = folder.join(format!("{}-{size}.gcode", shape.name()));
    let mut out = BufWriter::with_capacity(1 << 20, File::create(&path).unwrap());
    write(shape, size, &mut out).unwrap();
    out.flush().unwrap();
    path
}

fn best<T>(runs: usize, mut work: impl FnMut() -> T) -> f64 {
    (0..runs)
        .map(|_| {
            let start = Instant::now();
            std::hint::black_box(work());
            start.elapsed().as_secs_f64()
        })
        .fold(f64::INFINITY, f64::min)
}

/// The limit: a program that only looks for line ends.
fn line_ends(path: &Path) -> Option<f64> {
    let run = || Command::new("wc").arg("-l").arg(path).output();
    run().ok().filter(|output| output.status.success())?;
    Some(best(5, run))
}

/// Reads the words and numbers of both halves, each on a thread; halves end where lines end.
fn read_in_halves(path: &Path) -> Count {
    let mut file = File::open(path).unwrap();
    let size = file.metadata().unwrap().len();
    let mut head = vec![0; 1 << 16];
    file.seek(SeekFrom::Start(size / 2)).unwrap();
    let filled = file.read(&mut head).unwrap();
    let end = head[..filled].iter().position(|byte| *byte == b'\n').unwrap();
    let middle = size / 2 + 1 + end as u64;
    let part = move |from: u64, to: u64| {
        let mut file = File::open(path).unwrap();
        file.seek(SeekFrom::Start(from)).unwrap();
        count(&mut file.take(to - from)).unwrap()
    };
    std::thread::scope(|scope| {
        let later = scope.spawn(move || part(middle, size));
        let mut sum = part(0, middle);
        sum += later.join().unwrap();
        sum
    })
}

/// The whole model on two threads, as the command line has it.
fn judge(path: &Path) -> Work {
    let (setup, words) = (given::setup(), given::words());
    let mut file = File::open(path).unwrap();
    let mut interpreter = Interpreter::new(&setup, &words);
    let (full, to_run) = mpsc::sync_channel::<Batch>(4);
    let (used, to_fill) = mpsc::channel::<Batch>();
    let model = std::thread::scope(|scope| {
        let setup = &setup;
        let runner = scope.spawn(move || {
            let mut model = Model::new(setup);
            for mut batch in to_run {
                model.take(&batch);
                batch.clear();
                let _ = used.send(batch);
            }
            model
        });
        let mut batch = Batch::default();
        while interpreter.read(&mut file, &mut batch).unwrap() > 0 {
            let next = to_fill.try_recv().unwrap_or_default();
            full.send(std::mem::replace(&mut batch, next)).unwrap();
        }
        interpreter.finish(&mut batch);
        full.send(batch).unwrap();
        drop(full);
        runner.join().unwrap()
    });
    model.finish("bench", &interpreter).0
}

fn large(folder: &Path) {
    let path = make(folder, Shape::Vase, LARGE);
    println!("1 GB of curved walls in the cache:");
    let ours = best(5, || read_in_halves(&path));
    println!(
        "  words and numbers, two threads: {ours:.3} s, {:.0} MB/s",
        1e-6 * LARGE as f64 / ours
    );
    let one = best(3, || count(&mut File::open(&path).unwrap()).unwrap());
    println!(
        "  the same, one thread: {one:.3} s, {:.0} MB/s",
        1e-6 * LARGE as f64 / one
    );
    match line_ends(&path) {
        Some(limit) => {
            ::peer::figure(
                "words and numbers of 1 GB, two threads",
                ours,
                "s",
                ::peer::Beside::Limit("`wc -l` of the same file", 4.0),
                Some(limit),
            );
            println!(
                "  `wc -l`: {limit:.3} s; words and numbers take {:.2} times as long on two threads (goal at most 4), {:.2} on one",
                ours / limit,
                one / limit
            );
        }
        None => println!("  no limit: there is no `wc` here"),
    }
    let output = Command::new(std::env::current_exe().unwrap())
        .arg("--judge")
        .arg(&path)
        .output()
        .unwrap();
    print!("{}", String::from_utf8_lossy(&output.stdout));
    let smaller = [LARGE / 100, LARGE / 10].map(|size| {
        let path = make(folder, Shape::Vase, size);
        let times = (best(5, || read_in_halves(&path)), best(3, || judge(&path)));
        std::fs::remove_file(path).unwrap();
        times
    });
    let model = best(1, || judge(&path));
    std::fs::remove_file(path).unwrap();
    let grown = |what: &str, times: [f64; 3]| {
        let sizes = [0.01, 0.1, 1.0].map(|share| share * 1e-6 * LARGE as f64);
        let pairs: Vec<(f64, f64)> = sizes.into_iter().zip(times).collect();
        ::peer::growth(what, "MB of G-code", &pairs);
    };
    grown(
        "words and numbers, two threads",
        [smaller[0].0, smaller[1].0, ours],
    );
    grown("motion model, two threads", [smaller[0].1, smaller[1].1, model]);
}

fn in_a_process(path: &Path) {
    let start = Instant::now();
    let work = judge(path);
    let seconds = start.elapsed().as_secs_f64();
    let each_million = seconds / work.moves as f64 * 1e6;
    let bound = ::peer::Beside::Limit("ten million moves a second", 1.0);
    ::peer::figure(
        "motion model, a million moves, two threads",
        each_million,
        "s",
        bound,
        Some(0.1),
    );
    if let Some(bytes) = peak_bytes() {
        let bound = ::peer::Beside::Limit("a bound of 64 MB", 1.0);
        ::peer::figure(
            "its memory for 1 GB",
            1e-6 * bytes as f64,
            "MB",
            bound,
            Some(64.0),
        );
    }
    println!(
        "  with the motion model, two threads: {seconds:.2} s, {:.1} million moves a second (goal 10), {}",
        1e-6 * work.moves as f64 / seconds,
        peak_memory()
    );
}

/// The most memory that this process had at a time.
fn peak_bytes() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
    let kibibytes: u64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kibibytes * 1024)
}

fn peak_memory() -> String {
    peak_bytes().map_or_else(
        || "memory not known here".to_owned(),
        |bytes| format!("{} MB of memory at most (goal 64)", bytes / 1_000_000),
    )
}

fn shapes(folder: &Path) {
    println!("100 MB of each shape with the motion model, two threads:");
    let mut worst: Option<(f64, &str)> = None;
    for shape in Shape::ALL {
        let path = make(folder, shape, LARGE / 10);
        let mut work = None;
        let seconds = best(3, || work = Some(judge(&path)));
        let work = work.unwrap();
        println!(
            "  {:9} {seconds:6.2} s, {:5.1} million pieces a second, {:5.1} million moves, {:6.0} h of print",
            shape.name(),
            1e-6 * work.pieces as f64 / seconds,
            1e-6 * work.moves as f64 / seconds,
            work.times.whole().base() / 3600.0
        );
        let each_million = seconds / work.pieces as f64 * 1e6;
        if worst.is_none_or(|(most, _)| each_million > most) {
            worst = Some((each_million, shape.name()));
        }
        std::fs::remove_file(path).unwrap();
    }
    if let Some((seconds, name)) = worst {
        let bound = ::peer::Beside::Limit("ten million segments a second", 1.0);
        let what = format!("motion model, a million segments, two threads, the worst shape: {name}");
        ::peer::figure(&what, seconds, "s", bound, Some(0.1));
    }
}

fn peer(folder: &Path) {
    let path = make(folder, Shape::Vase, LARGE / 50);
    let mut text = String::new();
    BufReader::new(File::open(&path).unwrap())
        .read_to_string(&mut text)
        .unwrap();
    let speed = |seconds: f64| 1e-6 * text.len() as f64 / seconds;
    let ours = best(5, || count(&mut text.as_bytes()).unwrap());
    println!("20 MB beside the library `gcode` 0.7, one thread:");
    println!("  ours: {:.0} MB/s", speed(ours));
    let told = |name: &str, seconds: Result<f64, ()>| match seconds {
        Ok(seconds) => {
            let library = match name {
                "visitor" => "library `gcode` 0.7, its visitor",
                _ => "library `gcode` 0.7, its tree",
            };
            let bound = ::peer::Beside::Peer(library, 10.0);
            ::peer::figure(
                "words and numbers of 20 MB, one thread",
                ours,
                "s",
                bound,
                Some(seconds),
            );
            println!(
                "  its {name}: {:.0} MB/s; ours is {:.1} times as fast (goal 10)",
                speed(seconds),
                seconds / ours
            );
        }
        Err(()) => println!("  its {name} panicked"),
    };
    let behind_a_net = |work: &dyn Fn() -> u64| {
        let work = std::panic::AssertUnwindSafe(|| best(3, work));
        std::panic::catch_unwind(work).map_err(drop)
    };
    told("visitor", behind_a_net(&|| visited(&text)));
    told(
        "tree",
        behind_a_net(&|| gcode::parse(&text).map_or(0, |program| program.blocks.len() as u64)),
    );
    std::fs::remove_file(path).unwrap();
}

/// Words that the library's visitor was shown.
fn visited(text: &str) -> u64 {
    let mut visitor = Visitor {
        words: 0,
        sum: 0.0,
        nothing: Nothing,
    };
    gcode::core::parse(text, &mut visitor);
    std::hint::black_box(visitor.sum);
    visitor.words
}

struct Nothing;

impl Diagnostics for Nothing {}

struct Visitor {
    words: u64,
    sum: f32,
    nothing: Nothing,
}

impl HasDiagnostics for Visitor {
    fn diagnostics(&mut self) -> &mut dyn Diagnostics {
        &mut self.nothing
    }
}

struct Within<'v>(&'v mut Visitor);

impl HasDiagnostics for Within<'_> {
    fn diagnostics(&mut self) -> &mut dyn Diagnostics {
        &mut self.0.nothing
    }
}

impl ProgramVisitor for Visitor {
    fn start_block(&mut self) -> ControlFlow<impl BlockVisitor + '_> {
        Flow::Continue(Within(self))
    }
}

impl BlockVisitor for Within<'_> {
    fn start_general_code(&mut self, _: Number) -> ControlFlow<impl CommandVisitor + '_> {
        self.0.words += 1;
        Flow::Continue(Within(self.0))
    }
    fn start_miscellaneous_code(&mut self, _: Number) -> ControlFlow<impl CommandVisitor + '_> {
        self.0.words += 1;
        Flow::Continue(Within(self.0))
    }
    fn start_tool_change_code(&mut self, _: Number) -> ControlFlow<impl CommandVisitor + '_> {
        self.0.words += 1;
        Flow::Continue(Within(self.0))
    }
    fn end_line(self, _: Span) {}
}

impl CommandVisitor for Within<'_> {
    fn argument(&mut self, _: char, value: Value<'_>, _: Span) {
        self.0.words += 1;
        if let Value::Literal(number) = value {
            self.0.sum += number;
        }
    }
    fn end_command(self, _: Span) {}
}
