//! `new`: the folder of a new swap, with commented files to fill in.

use std::path::Path;
use std::process::ExitCode;

use crate::disk::{in_the_way, write_new};
use crate::faults::Trouble;
use crate::out::Out;
use crate::template::TEMPLATE;

/// Makes the folder; refuses one that already holds a swap, or a file of the user's where one of its own would go.
pub fn run(folder: &Path, json: bool, out: &mut Out) -> Result<ExitCode, Trouble> {
    if folder.join("swap.toml").exists() {
        let help = "take another folder, or go on in this one".to_owned();
        return Err(Trouble::user(
            format!("`{}` already holds a swap", folder.display()),
            help,
        ));
    }
    let mut files = files()?;
    refuse_overwriting(folder, &files)?;
    files.retain(|(name, _)| !folder.join(name).exists());
    write_new(folder, &files)?;
    if json {
        let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
        out.json(&serde_json::json!({ "folder": folder.display().to_string(), "files": names }))?;
        return Ok(ExitCode::SUCCESS);
    }
    out.line(format!("a new swap lies in {}", folder.display()));
    out.line("");
    out.line("1. survey   tag every cable, then write down machine.toml and boards/old-board.toml");
    out.line("            save what the old controller reports into captured/, before you unplug it");
    out.line("2. choose   one file in boards/ for each candidate; list them in swap.toml");
    out.line(format!("3. compute  boardswap -C {} compare", folder.display()));
    Ok(ExitCode::SUCCESS)
}

/// A fault that names every file in the way.
pub fn refuse_overwriting(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), Trouble> {
    let found = in_the_way(folder, files);
    if found.is_empty() {
        return Ok(());
    }
    let shown: Vec<String> = found.iter().map(|path| format!("`{path}`")).collect();
    let stand = if found.len() == 1 {
        "is there already"
    } else {
        "are there already"
    };
    Err(Trouble::user(
        format!("{} {stand}; nothing was written", shown.join(", ")),
        "take another folder, or move these away".to_owned(),
    ))
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
