//! Writes an invented program: `cargo run -p workload --example invent -- SHAPE BYTES FILE`, or `all BYTES FOLDER`.

#![allow(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "an example talks to its terminal"
)]

use std::fs::File;
use std::io::{self, BufWriter, Write as _};
use std::path::Path;
use std::process::ExitCode;

use quantity::Value;
use workload::invent::{Shape, write};

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [shape, size, path] = &words[..] else {
        return usage();
    };
    let Ok(size) = size.parse() else { return usage() };
    let shapes: Vec<Shape> = Shape::ALL
        .into_iter()
        .filter(|own| shape == "all" || own.name() == shape)
        .collect();
    if shapes.is_empty() {
        return usage();
    }
    for own in shapes {
        let name = format!("{}.gcode", own.name());
        let path = if shape == "all" {
            Path::new(path).join(name)
        } else {
            path.into()
        };
        if let Err(error) = one(own, size, &path) {
            eprintln!("{}: {error}", path.display());
            return ExitCode::FAILURE;
        }
    }
    ExitCode::SUCCESS
}

fn one(shape: Shape, size: u64, path: &Path) -> io::Result<()> {
    let mut out = BufWriter::new(File::create(path)?);
    let totals = write(shape, size, &mut out)?;
    out.flush()?;
    println!(
        "{}: {} lines, {} bytes, {} moves, printed {}, travelled {}, filament {}",
        path.display(),
        totals.lines,
        totals.bytes,
        totals.moves,
        Value::exact(totals.printed),
        Value::exact(totals.travelled),
        Value::exact(totals.filament),
    );
    Ok(())
}

fn usage() -> ExitCode {
    let names: Vec<&str> = Shape::ALL.iter().map(|shape| shape.name()).collect();
    eprintln!(
        "invent SHAPE BYTES FILE, SHAPE one of {}; or invent all BYTES FOLDER",
        names.join(", ")
    );
    ExitCode::from(2)
}
