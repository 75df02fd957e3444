//! The peers of the benches: general libraries of Python in `target/peer`, at stated versions.

use std::path::PathBuf;
use std::process::Command;

use crate::shell::{is_there, root, run};

/// The interpreter that benches use unless `PEER_PYTHON` names another.
pub fn python() -> PathBuf {
    std::env::var_os("PEER_PYTHON").map_or_else(|| root().join("target/peer/bin/python"), PathBuf::from)
}

/// Whether they are set up.
pub fn are_there() -> bool {
    let mut command = Command::new(python());
    command.args(["-c", "import allantools, highspy, numpy, scipy"]);
    command.output().is_ok_and(|output| output.status.success())
}

/// Sets them up; needs the network.
pub fn install() -> Result<(), String> {
    if !is_there("python3") {
        return Err("python3 with its module venv is needed, and is not on the path".to_owned());
    }
    let folder = root().join("target").join("peer");
    let mut make = Command::new("python3");
    make.args(["-m", "venv"]).arg(&folder);
    run(make)?;
    let mut install = Command::new(folder.join("bin").join("python"));
    install
        // The list is whole: what else a peer asks for draws pictures and tests the peer.
        .args(["-m", "pip", "install", "--quiet", "--no-deps", "-r"])
        .arg(root().join("xtask").join("peers").join("requirements.txt"));
    run(install)?;
    println!("the peers of `cargo xtask bench` are in {}", folder.display());
    Ok(())
}
