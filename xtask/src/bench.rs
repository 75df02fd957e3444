//! Benchmarks, each beside a named peer or a physical limit in one run, and the table of them in `docs/performance.md`.

use std::fmt::Write as _;
use std::io::{BufRead as _, BufReader};
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::Instant;

use crate::peers;
use crate::shell::{self, cargo, cargo_name, is_there, output, root};

/// What benches print for the tables begins with one of these; see the crate `peer`.
const FIGURE: &str = "figure;";
const GROWTH: &str = "growth;";

/// The benches, and what each section of the table is called.
const BENCHES: [(&str, &str); 6] = [
    ("assignment", "Assignment"),
    ("plan", "Plan"),
    ("physics", "Models and Monte Carlo"),
    ("statistics", "Statistics"),
    ("evidence", "Measurements"),
    ("workload", "G-code"),
];

/// Runs the benchmarks that are named, or all; all of them write the table.
pub fn run(names: &[String]) -> Result<(), String> {
    let wanted = |name: &str| names.is_empty() || names.iter().any(|own| own == name);
    if !peers::are_there() {
        println!("no peers: `cargo xtask peers` sets them up; figures stand alone until then");
    }
    let (mut table, mut grows) = (String::new(), Vec::new());
    for (package, title) in BENCHES {
        if wanted(package) {
            let figures = bench(package, &mut grows)?;
            section(&mut table, title, &figures);
        }
    }
    if wanted("process") {
        section(&mut table, "Whole process", &process()?);
    }
    growth(&mut table, &grows);
    if names.is_empty() {
        let path = root().join("docs").join("performance.md");
        let text = format!("{}{table}", head()?);
        std::fs::write(&path, text).map_err(|error| format!("{}: {error}", path.display()))?;
        println!("{}", path.display());
    } else {
        println!("{table}");
    }
    Ok(())
}

/// One row of the table.
struct Figure {
    what: String,
    ours: f64,
    /// In which unit it is told: `s`, or `MB`.
    unit: String,
    other: String,
    /// Of the peer or of the limit; nothing where there is none.
    theirs: Option<f64>,
    /// Whether the other one is a limit, which nothing can be quicker than.
    is_limit: bool,
    /// Times as fast as a peer at least, or times as long as a limit at most.
    goal: Option<f64>,
}

impl Figure {
    /// `figure;what;ours;unit;peer or limit;its name;its figure;goal`.
    fn read(line: &str) -> Option<Self> {
        let fields: Vec<&str> = line.strip_prefix(FIGURE)?.trim_end().split(';').collect();
        let [what, ours, unit, kind, other, theirs, goal] = fields[..] else {
            return None;
        };
        Some(Self {
            what: what.to_owned(),
            ours: ours.parse().ok()?,
            unit: unit.to_owned(),
            other: other.to_owned(),
            theirs: theirs.parse().ok(),
            is_limit: kind == "limit",
            goal: goal.parse().ok(),
        })
    }

    fn row(&self) -> String {
        let shown = |value: f64| match &self.unit[..] {
            "s" => seconds(value),
            unit => format!("{value:.3e}")
                .parse()
                .map_or_else(|_| String::new(), |value: f64| format!("{value} {unit}")),
        };
        let (theirs, ratio, goal) = match self.theirs {
            Some(theirs) if self.is_limit => (
                shown(theirs),
                format!("{:.2} × as much", self.ours / theirs),
                self.goal.map_or_else(String::new, |goal| format!("≤ {goal}")),
            ),
            Some(theirs) => (
                shown(theirs),
                format!("{:.1} × as fast", theirs / self.ours),
                self.goal.map_or_else(String::new, |goal| format!("≥ {goal}")),
            ),
            None => ("no peer".to_owned(), String::new(), String::new()),
        };
        let missed = self
            .theirs
            .is_some_and(|theirs| match (self.is_limit, self.goal) {
                (true, Some(goal)) => self.ours > goal * theirs,
                (false, Some(goal)) => theirs < goal * self.ours,
                (_, None) => false,
            });
        let mark = if missed { " **missed**" } else { "" };
        format!(
            "| {} | {} | {} | {theirs} | {ratio}{mark} | {goal} |",
            self.what,
            shown(self.ours),
            self.other
        )
    }
}

/// How the time of some work grows with its size.
struct Growth {
    what: String,
    /// What the sizes count.
    of: String,
    /// Size, seconds.
    times: Vec<[f64; 2]>,
}

impl Growth {
    /// `growth;what;what is counted;size,seconds size,seconds …`.
    fn read(line: &str) -> Option<Self> {
        let fields: Vec<&str> = line.strip_prefix(GROWTH)?.trim_end().split(';').collect();
        let [what, of, times] = fields[..] else {
            return None;
        };
        let pair = |text: &str| {
            let (size, seconds) = text.split_once(',')?;
            Some([size.parse().ok()?, seconds.parse().ok()?])
        };
        let times: Option<Vec<[f64; 2]>> = times.split(' ').map(pair).collect();
        Some(Self {
            what: what.to_owned(),
            of: of.to_owned(),
            times: times.filter(|times| times.len() == 3)?,
        })
    }

    fn row(&self) -> String {
        let [size, least] = self.times[0];
        let [largest, most] = self.times[2];
        let exponent = (most / least).ln() / (largest / size).ln();
        let times: Vec<String> = self.times.iter().map(|[_, time]| seconds(*time)).collect();
        format!(
            "| {} | {size:.0} {} | {} | {exponent:.2} |",
            self.what,
            self.of,
            times.join(" | ")
        )
    }
}

fn growth(table: &mut String, grows: &[Growth]) {
    if grows.is_empty() {
        return;
    }
    // Writing to a string cannot fail.
    let _ = write!(
        table,
        "\n## Growth\n\nTime at a size, at ten and at a hundred times as much; an exponent of 1 is proportional.\n\n\
         | what | 1 is | 1 | 10 | 100 | exponent |\n| --- | --- | --- | --- | --- | --- |\n"
    );
    for own in grows {
        let _ = writeln!(table, "{}", own.row());
    }
}

fn seconds(value: f64) -> String {
    match value {
        value if value < 1e-3 => format!("{:.3} ms", value * 1e3),
        value if value < 1.0 => format!("{:.1} ms", value * 1e3),
        value => format!("{value:.2} s"),
    }
}

fn section(table: &mut String, title: &str, figures: &[Figure]) {
    if figures.is_empty() {
        return;
    }
    // Writing to a string cannot fail.
    let _ = write!(
        table,
        "\n## {title}\n\n| what | ours | peer or limit | its figure | ratio | goal |\n| --- | --- | --- | --- | --- | --- |\n"
    );
    for figure in figures {
        let _ = writeln!(table, "{}", figure.row());
    }
}

/// Machine and date, and how to read the table.
fn head() -> Result<String, String> {
    let mut date = Command::new("date");
    date.args(["-u", "+%Y-%m-%d"]);
    let mut system = Command::new("uname");
    system.arg("-srm");
    let mut compiler = Command::new("rustc");
    compiler.arg("--version");
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let processor = std::fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let processor = processor
        .lines()
        .find_map(|line| line.strip_prefix("model name")?.split_once(':'));
    let peers = std::fs::read_to_string(root().join("xtask/peers/requirements.txt")).unwrap_or_default();
    let peers: Vec<&str> = peers.lines().collect();
    let load = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    let load: Option<f64> = load.split(' ').nth(1).and_then(|load| load.parse().ok());
    let busy = load
        .filter(|load| *load > cores as f64 + 0.5)
        .map_or_else(String::new, |load| {
            format!(
                " **Other work kept the machine busy (a load of {load:.0}): run it again on a calm one.**"
            )
        });
    let missing = if peers::are_there() {
        ""
    } else {
        " **The peers were not there: figures stand alone.**"
    };
    Ok(format!(
        "# Performance\n\nWritten by `cargo xtask bench`; `cargo xtask peers` sets up the peers ({}). Each figure is the best or the median of several runs, and stands beside \
         a named peer or a physical limit that was timed in the same run. Read the ratios: times depend on the machine and on what else it does. What misses its goal is marked.{busy}{missing}\n\n\
         {}, {cores} cores{}, {}, {}.\n",
        peers.join(", "),
        output(date)?.trim(),
        processor.map_or_else(String::new, |(_, name)| format!(" of {}", name.trim())),
        output(system)?.trim(),
        output(compiler)?.trim(),
    ))
}

/// Runs the bench of a crate; what it prints goes to the terminal but for the lines of the tables.
fn bench(package: &str, grows: &mut Vec<Growth>) -> Result<Vec<Figure>, String> {
    let mut command = Command::new(cargo_name());
    command
        .args(["bench", "-p", package, "--locked"])
        .current_dir(root())
        .stdout(Stdio::piped());
    let mut child = command.spawn().map_err(|error| format!("cargo bench: {error}"))?;
    let mut figures = Vec::new();
    if let Some(printed) = child.stdout.take() {
        for line in BufReader::new(printed).lines().map_while(Result::ok) {
            match (Figure::read(&line), Growth::read(&line)) {
                (Some(figure), _) => figures.push(figure),
                (None, Some(own)) => grows.push(own),
                (None, None) => println!("{line}"),
            }
        }
    }
    let status = child.wait().map_err(|error| error.to_string())?;
    if !status.success() {
        return Err(format!("the bench of {package} ended with {status}"));
    }
    Ok(figures)
}

/// The cheapest process that Rust makes, compiled beside ours.
fn empty_process() -> Result<PathBuf, String> {
    let folder = root().join("target").join("bench");
    std::fs::create_dir_all(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    let (source, program) = (folder.join("empty.rs"), folder.join("empty"));
    std::fs::write(&source, "fn main() {}\n").map_err(|error| format!("{}: {error}", source.display()))?;
    let mut compile = Command::new("rustc");
    compile.args(["-O", "-o"]).arg(&program).arg(&source);
    shell::run(compile)?;
    Ok(program)
}

/// Commands on the demo as whole processes, against the cheapest process that does nothing.
fn process() -> Result<Vec<Figure>, String> {
    cargo(&["build", "--release", "--locked", "-p", "boardswap"], &[])?;
    let target = std::env::var("CARGO_TARGET_DIR").map_or_else(|_| root().join("target"), PathBuf::from);
    let program = target.join("release").join("boardswap");
    let arguments = ["--folder", "examples/demo", "check", "--board", "Alder A4"];
    let run = |arguments: &[&str]| {
        median(&mut || {
            let mut command = Command::new(&program);
            command.args(arguments);
            // Blockers make `check` end with 1: only a process that cannot start is an error here.
            command
                .current_dir(root())
                .output()
                .map(drop)
                .map_err(|error| error.to_string())
        })
    };
    let (start, check) = (run(&["--version"])?, run(&arguments)?);
    let empty = empty_process()?;
    let nothing = median(&mut || {
        Command::new(&empty)
            .output()
            .map(drop)
            .map_err(|error| error.to_string())
    })?;
    let figure = |what: &str, ours: f64| Figure {
        what: what.to_owned(),
        ours,
        unit: "s".to_owned(),
        other: "an empty Rust process".to_owned(),
        theirs: Some(nothing),
        is_limit: true,
        goal: None,
    };
    let mut figures = vec![
        figure("start of a process (`boardswap --version`)", start),
        figure("`boardswap check` of the demo", check),
    ];
    if is_there("time") {
        let memory = |program: &std::path::Path, arguments: &[&str]| {
            let mut command = Command::new("time");
            command.args(["-f", "%M"]).arg(program).args(arguments);
            let output = command.current_dir(root()).output().ok()?;
            let text = String::from_utf8_lossy(&output.stderr);
            let mut kibibytes = text
                .lines()
                .rev()
                .filter_map(|line| line.trim().parse::<f64>().ok());
            Some(kibibytes.next()? * 1024.0 / 1e6)
        };
        if let Some((ours, least)) = memory(&program, &arguments).zip(memory(&empty, &[])) {
            figures.push(Figure {
                what: "its memory at most".to_owned(),
                ours,
                unit: "MB".to_owned(),
                other: "an empty Rust process".to_owned(),
                theirs: Some(least),
                is_limit: true,
                goal: None,
            });
        }
    }
    Ok(figures)
}

/// The median of 21 runs after 3 that warm up, in seconds.
fn median(run: &mut dyn FnMut() -> Result<(), String>) -> Result<f64, String> {
    for _ in 0..3 {
        run()?;
    }
    let mut times = Vec::new();
    for _ in 0..21 {
        let start = Instant::now();
        run()?;
        times.push(start.elapsed().as_secs_f64());
    }
    times.sort_by(f64::total_cmp);
    Ok(times[times.len() / 2])
}
