//! Running other programs from the root of the project.

use std::path::PathBuf;
use std::process::{Command, Stdio};

/// The root of the project.
pub fn root() -> PathBuf {
    let own = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    own.parent().map_or(own.clone(), PathBuf::from)
}

/// Runs cargo with arguments and more arguments.
pub fn cargo(arguments: &[&str], more: &[String]) -> Result<(), String> {
    let mut command = Command::new(cargo_name());
    command.args(arguments).args(more);
    run(command)
}

/// Runs cargo with arguments and variables of the environment.
pub fn cargo_with(arguments: &[&str], variables: &[(&str, &str)]) -> Result<(), String> {
    let mut command = Command::new(cargo_name());
    command.args(arguments).envs(variables.iter().copied());
    run(command)
}

/// The cargo that runs this chore.
pub fn cargo_name() -> String {
    std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned())
}

/// Runs a command to its end; its output goes to the terminal.
pub fn run(mut command: Command) -> Result<(), String> {
    command.current_dir(root());
    let shown = format!("{command:?}");
    let status = command.status().map_err(|error| format!("{shown}: {error}"))?;
    if status.success() {
        Ok(())
    } else {
        Err(format!("{shown} ended with {status}"))
    }
}

/// Runs a command and gives what it printed.
pub fn output(mut command: Command) -> Result<String, String> {
    command.current_dir(root()).stderr(Stdio::inherit());
    let shown = format!("{command:?}");
    let output = command.output().map_err(|error| format!("{shown}: {error}"))?;
    if !output.status.success() {
        return Err(format!("{shown} ended with {}", output.status));
    }
    String::from_utf8(output.stdout).map_err(|_| format!("{shown} printed no UTF-8"))
}

/// Whether a program of that name is on the path.
pub fn is_there(program: &str) -> bool {
    let paths = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&paths).any(|folder| folder.join(program).is_file())
}
