//! Reference values from independent libraries, written into the data files of the tests. Needs Python and the network; the files are
//! committed, so nothing else does.

use std::process::Command;

use crate::shell::{is_there, output, root, run};

/// Each script with the file that it fills.
const SCRIPTS: &[(&str, &str)] = &[
    ("loops.py", "crates/physics/tests/data/reference-control.csv"),
    ("heat.py", "crates/physics/tests/data/reference-heat.csv"),
    ("measured.py", "crates/evidence/tests/data/reference-measured.csv"),
    ("motion.py", "crates/workload/tests/data/reference-motion.csv"),
];

/// Installs the libraries at the stated versions into `target/reference`, and writes every file anew.
pub fn run_all() -> Result<(), String> {
    if !is_there("python3") {
        return Err("python3 with its module venv is needed, and is not on the path".to_owned());
    }
    let folder = root().join("target").join("reference");
    let mut make = Command::new("python3");
    make.args(["-m", "venv"]).arg(&folder);
    run(make)?;
    let python = folder.join("bin").join("python");
    let scripts = root().join("xtask").join("reference");
    let mut install = Command::new(&python);
    install
        .args(["-m", "pip", "install", "--quiet", "-r"])
        .arg(scripts.join("requirements.txt"));
    run(install)?;
    for (script, file) in SCRIPTS {
        let mut command = Command::new(&python);
        command.arg(scripts.join(script));
        let rows = output(command)?;
        // Written beside and renamed: a script that fails half-way leaves the old file.
        let (file, beside) = (root().join(file), root().join(format!("{file}.new")));
        std::fs::write(&beside, rows).map_err(|error| format!("{}: {error}", beside.display()))?;
        std::fs::rename(&beside, &file).map_err(|error| format!("{}: {error}", file.display()))?;
        println!("{}", file.display());
    }
    Ok(())
}
