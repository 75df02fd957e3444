//! `new`: the folder of a new swap, with commented files to fill in.

use std::path::Path;
use std::process::ExitCode;

use crate::disk::write_all;
use crate::faults::Trouble;
use crate::out::Out;
use crate::template::TEMPLATE;

/// Makes the folder; refuses one that already holds a swap.
pub fn run(folder: &Path, out: &mut Out) -> Result<ExitCode, Trouble> {
    if folder.join("swap.toml").exists() {
        let help = "take another folder, or go on in this one".to_owned();
        return Err(Trouble::user(
            format!("`{}` already holds a swap", folder.display()),
            help,
        ));
    }
    write_all(folder, &files()?)?;
    out.line(format!("a new swap lies in {}", folder.display()));
    out.line("");
    out.line("1. survey   tag every lead, then write down machine.toml and boards/old-board.toml");
    out.line("            save what the old controller reports into captured/, before you unplug it");
    out.line("2. choose   one file in boards/ for each candidate; list them in swap.toml");
    out.line(format!("3. compute  boardswap -C {} compare", folder.display()));
    Ok(ExitCode::SUCCESS)
}

fn files() -> Result<Vec<(String, Vec<u8>)>, Trouble> {
    let mut files: Vec<(String, Vec<u8>)> = TEMPLATE
        .iter()
        .map(|(path, text)| ((*path).to_owned(), text.as_bytes().to_vec()))
        .collect();
    files.extend(schemas()?);
    Ok(files)
}

/// The schemas that the files of a swap refer to, for editors.
pub fn schemas() -> Result<Vec<(String, Vec<u8>)>, Trouble> {
    let mut files = Vec::new();
    for name in model::SCHEMAS {
        let schema = model::schema(name).unwrap_or_default();
        let text = serde_json::to_string_pretty(&schema)
            .map_err(|error| Trouble::machine(format!("JSON: {error}")))?;
        files.push((
            format!("schemas/{name}.schema.json"),
            format!("{text}\n").into_bytes(),
        ));
    }
    Ok(files)
}
