//! `cargo xtask invent`: everything that examples and tests make up, drawn anew; the same seeds give the same bytes.
//!
//! What a product could be known by is drawn, not thought of: the processors of boards (`boards`), the words
//! of controllers (`words`), the layout of boards and the case of the third example (`layout`). What was measured and reported is
//! written by examples of the crates that judge it.

mod boards;
mod draw;
mod layout;
mod words;

use std::path::Path;

use crate::shell;

/// Draws boards and words anew, then writes what was measured and reported.
pub fn run() -> Result<(), String> {
    for (path, text) in drawn()? {
        std::fs::write(shell::root().join(&path), text).map_err(|error| format!("{path}: {error}"))?;
    }
    for (package, example) in [
        ("evidence", "invent"),
        ("evidence", "invent_bench"),
        ("dossier", "invent_reports"),
    ] {
        let words = ["run", "--quiet", "--locked", "-p", package, "--example", example];
        shell::cargo(&words, &[])?;
    }
    Ok(())
}

/// Each file that is drawn, with its text.
fn drawn() -> Result<Vec<(String, String)>, String> {
    let mut out = Vec::new();
    let boards = boards::SEEDS
        .iter()
        .map(|(path, seed)| (*path, *seed, boards::drawn as Draw));
    let words = words::SEEDS
        .iter()
        .map(|(path, seed)| (*path, *seed, words::drawn as Draw));
    for (path, seed, draw) in boards.chain(words) {
        let text = read(&shell::root().join(path))?;
        let text = draw(&text, seed).map_err(|problem| format!("{path}: {problem}"))?;
        out.push((path.to_owned(), text));
    }
    for (path, outline, seed) in layout::BOARDS {
        let known = out.iter_mut().find(|(known, _)| known == path);
        let (_, text) = known.ok_or_else(|| format!("{path}: its processor is not drawn"))?;
        *text = layout::board(text, *outline, *seed).map_err(|problem| format!("{path}: {problem}"))?;
    }
    let of = |path: &str, out: &[(String, String)]| {
        let known = out.iter().find(|(known, _)| known == path);
        known
            .map(|(_, text)| text.clone())
            .ok_or_else(|| format!("{path}: not drawn"))
    };
    let (path, old, seed) = layout::MACHINE;
    let machine = layout::machine(&read(&shell::root().join(path))?, &of(old, &out)?, seed)?;
    out.push((path.to_owned(), machine));
    let (path, words, seed) = layout::REPORT;
    let report = layout::report(&of(words, &out)?, seed)?;
    out.push((path.to_owned(), report));
    Ok(out)
}

/// Draws the text of a file anew from a seed.
type Draw = fn(&str, u64) -> Result<String, String>;

fn read(path: &Path) -> Result<String, String> {
    std::fs::read_to_string(path).map_err(|error| format!("{}: {error}", path.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drawn_again_the_files_are_as_they_stand() {
        for (path, text) in drawn().expect("files that can be drawn") {
            let stands = read(&shell::root().join(&path)).expect("the file");
            assert_eq!(stands, text, "{path}: run `cargo xtask invent`");
        }
    }
}
