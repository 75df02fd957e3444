//! The headless browser that the page tests need: found, or installed from the system's packages.

use std::process::Command;

use crate::shell::{is_there, run};

/// Names under which systems know the browser.
const NAMES: [&str; 2] = ["chromium", "chromium-browser"];

/// Installs Chromium where it is missing and the system has `apt-get`; says how to get it elsewhere.
pub fn install() -> Result<(), String> {
    if NAMES.iter().any(|name| is_there(name)) {
        return Ok(());
    }
    if !is_there("apt-get") {
        return Err(
            "the page tests need Chromium: install it with your system's packages and run this again"
                .to_owned(),
        );
    }
    println!("installing Chromium for the page tests");
    apt(&["update"])?;
    apt(&[
        "install",
        "-y",
        "--no-install-recommends",
        "chromium",
        "fonts-dejavu-core",
    ])
}

fn apt(arguments: &[&str]) -> Result<(), String> {
    let mut command = if is_there("sudo") {
        Command::new("sudo")
    } else {
        Command::new("apt-get")
    };
    if is_there("sudo") {
        command.arg("apt-get");
    }
    command.args(arguments).env("DEBIAN_FRONTEND", "noninteractive");
    run(command)
}
