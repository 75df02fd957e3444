//! `import`: a board file from what its maker publishes: drawings, layers, drill files, tables of pins.

use std::path::PathBuf;
use std::process::ExitCode;

use ::import::{Drawn, Port, Problem, Shapes, Unit};
use serde::Serialize;

use crate::args::Args;
use crate::disk;
use crate::faults::Trouble;
use crate::out::Out;

/// The unit of a drawing that states none.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
pub enum Told {
    /// Millimetres.
    Mm,
    /// Inches.
    In,
}

#[derive(Serialize)]
struct Imported {
    /// The text of the board file.
    board: String,
    holes: usize,
    ports: usize,
    /// Names of ports whose role no word tells.
    without_role: Vec<String>,
}

/// Prints a board file of some drawings and tables.
pub fn run(args: &Args, files: &[PathBuf], unit: Option<Told>, out: &mut Out) -> Result<ExitCode, Trouble> {
    let unit = unit.map(|unit| match unit {
        Told::Mm => Unit::Millimetre,
        Told::In => Unit::Inch,
    });
    let (mut shapes, mut ports): (Vec<Shapes>, Vec<(String, Vec<Port>)>) = (Vec::new(), Vec::new());
    for path in files {
        let name = path
            .file_name()
            .map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        let refused = |problem: &Problem| {
            Trouble::user(
                format!("`{}`: {problem}", path.display()),
                problem.help.to_owned(),
            )
        };
        let bytes = disk::bytes(path, ::import::LARGEST as u64)?;
        if ::import::is_drawing(&bytes) {
            shapes.push(::import::read(&bytes, unit).map_err(|problem| refused(&problem))?);
        } else {
            let text = String::from_utf8_lossy(&bytes);
            let found = ::import::ports(&text).map_err(|problem| refused(&problem))?;
            ports.push((name, found));
        }
    }
    let mut board = String::from("name = \"?\"  # as printed on the board\n");
    let mut holes = 0;
    if !shapes.is_empty() {
        let drawn = Drawn::of(&shapes)
            .map_err(|problem| Trouble::user(problem.to_string(), problem.help.to_owned()))?;
        holes = drawn.holes.len();
        board.push('\n');
        board.push_str(&drawn.outline());
    }
    for (name, ports) in &ports {
        board.push_str(&::import::as_toml(ports, name));
    }
    if args.json {
        let all = || ports.iter().flat_map(|(_, ports)| ports);
        let without = all().filter(|port| port.role.is_none());
        out.json(&Imported {
            holes,
            ports: all().count(),
            without_role: without.map(|port| port.name.clone()).collect(),
            board,
        })?;
        return Ok(ExitCode::SUCCESS);
    }
    out.line(board.trim_end());
    Ok(ExitCode::SUCCESS)
}
