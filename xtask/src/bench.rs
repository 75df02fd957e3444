//! Benchmarks, each beside its goal or its peer in one run: the solver, the plan, the whole process.

use std::process::Command;
use std::time::Instant;

use crate::shell::{cargo, is_there, output, root};

/// Runs the benchmarks that are named, or all.
pub fn run(names: &[String]) -> Result<(), String> {
    let wanted = |name: &str| names.is_empty() || names.iter().any(|own| own == name);
    for package in ["assignment", "physics", "plan", "statistics", "evidence"] {
        if wanted(package) {
            cargo(&["bench", "-p", package, "--locked"], &[])?;
        }
    }
    if wanted("workload") {
        cargo(&["bench", "-p", "workload", "--locked"], &[])?;
    }
    if wanted("process") {
        process()?;
    }
    Ok(())
}

/// `boardswap check` on the demo as a whole process, against the cheapest process that does nothing.
fn process() -> Result<(), String> {
    cargo(&["build", "--release", "--locked", "-p", "boardswap"], &[])?;
    let target =
        std::env::var("CARGO_TARGET_DIR").map_or_else(|_| root().join("target"), std::path::PathBuf::from);
    let program = target.join("release").join("boardswap");
    let arguments = ["--folder", "examples/demo", "check", "--board", "Alder A4"];
    let check = median(&mut || {
        let mut command = Command::new(&program);
        command.args(arguments);
        // Blockers make `check` end with 1: only a process that cannot start is an error here.
        command
            .current_dir(root())
            .output()
            .map(drop)
            .map_err(|error| error.to_string())
    })?;
    let nothing = median(&mut || {
        Command::new("true")
            .output()
            .map(drop)
            .map_err(|error| error.to_string())
    })?;
    println!(
        "boardswap check (demo, whole process)  {:7.2} ms   goal 15 ms   {:.1} times `true`",
        check * 1e3,
        check / nothing
    );
    if is_there("time") {
        let mut command = Command::new("time");
        command.args(["-f", "%M"]).arg(&program).args(arguments);
        let output = command
            .current_dir(root())
            .output()
            .map_err(|error| error.to_string())?;
        let text = String::from_utf8_lossy(&output.stderr);
        let kibibytes = text
            .lines()
            .rev()
            .find_map(|line| line.trim().parse::<f64>().ok());
        if let Some(kibibytes) = kibibytes {
            println!(
                "peak memory                            {:7.1} MiB  goal 30 MB",
                kibibytes / 1024.0
            );
        }
    } else {
        println!("peak memory: not measured, there is no `time` program here");
    }
    let mut version = Command::new("uname");
    version.arg("-srm");
    println!("on {}", output(version)?.trim());
    Ok(())
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
