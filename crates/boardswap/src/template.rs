//! The folder that a new swap begins with, and what of it still stands in the files of a swap: figures that nobody measured.

use toml::{Table, Value};

use crate::faults::Trouble;

const OLD_BOARD: &str = include_str!("../template/boards/old-board.toml");
const CANDIDATE: &str = include_str!("../template/boards/candidate.toml");
const MACHINE: &str = include_str!("../template/machine.toml");
const SWAP: &str = include_str!("../template/swap.toml");

/// The files of a new swap: path inside the folder, and text.
pub const TEMPLATE: [(&str, &str); 4] = [
    ("swap.toml", SWAP),
    ("machine.toml", MACHINE),
    ("boards/old-board.toml", OLD_BOARD),
    ("boards/candidate.toml", CANDIDATE),
];

/// Tables that two machines or boards do not share by chance.
const TELLING: [&str; 7] = ["case", "axis", "device", "outline", "processor", "driver", "port"];

/// Refuses a swap with names or whole tables of the template in its files; `text` gives a file of the swap.
///
/// # Errors
/// What still stands there, file by file.
pub fn refuse(text: impl Fn(&str) -> Option<String>) -> Result<(), Trouble> {
    let read = |path: &str| text(path).and_then(|text| text.parse::<Table>().ok());
    let Some(swap) = read("swap.toml") else {
        return Ok(());
    };
    let word = |key: &str| swap.get(key).and_then(Value::as_str);
    let machine = word("machine").unwrap_or("machine.toml");
    let candidates = swap.get("candidates").and_then(Value::as_array);
    let boards = candidates
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .chain(word("old_board"));
    let [of_swap, of_machine, of_old, of_candidate] =
        [SWAP, MACHINE, OLD_BOARD, CANDIDATE].map(|text| text.parse::<Table>().unwrap_or_default());
    let mut files = vec![("swap.toml", vec![&of_swap]), (machine, vec![&of_machine])];
    files.extend(boards.map(|path| (path, vec![&of_old, &of_candidate])));
    let mut found: Vec<String> = Vec::new();
    for (path, templates) in files {
        let own = read(path);
        let mut left: Vec<String> = own.map_or_else(Vec::new, |own| {
            templates.iter().flat_map(|template| of(&own, template)).collect()
        });
        left.sort_unstable();
        left.dedup();
        let line = format!("{path}: {}", left.join(", "));
        if !left.is_empty() && !found.contains(&line) {
            found.push(line);
        }
    }
    if found.is_empty() {
        return Ok(());
    }
    let help = format!(
        "put your own figures in their place, and take out what your machine has not:\n{}",
        found.join("\n")
    );
    Err(Trouble::user("this swap is still the template in part", help))
}

/// What a file still has of its template: its name, and tables with every key unchanged.
fn of(own: &Table, template: &Table) -> Vec<String> {
    let mut left = Vec::new();
    if let (Some(name), true) = (own.get("name"), own.get("name") == template.get("name")) {
        left.push(format!("name = {name}"));
    }
    for key in TELLING {
        let tables = |table: &Table| match table.get(key) {
            Some(Value::Array(list)) => list.clone(),
            Some(one) => vec![one.clone()],
            None => Vec::new(),
        };
        let templates = tables(template);
        for table in tables(own).iter().filter(|table| templates.contains(table)) {
            let name = ["tag", "name"].iter().find_map(|name| table.get(name)?.as_str());
            left.push(name.map_or_else(|| format!("[{key}]"), |name| format!("{key} {name}")));
        }
    }
    left
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(edit: impl Fn(&str, &str) -> String) -> Option<String> {
        let files = TEMPLATE.map(|(path, text)| (path, edit(path, text)));
        let text = |path: &str| {
            files
                .iter()
                .find(|(own, _)| *own == path)
                .map(|(_, text)| text.clone())
        };
        match refuse(text) {
            Err(Trouble::User { help, .. }) => help,
            _ => None,
        }
    }

    #[test]
    fn the_template_is_refused_whole_and_in_part() {
        let whole = refused(|_, text| text.to_owned()).expect("refused");
        for word in [
            "my swap",
            "my machine",
            "device HH",
            "axis X",
            "port HOT END",
            "candidate board",
            "[case]",
        ] {
            assert!(whole.contains(word), "{word}: {whole}");
        }
        // Names are changed, and one figure of the supply: the rest still stands.
        let part = refused(|_, text| {
            let renamed = ["my swap", "my machine", "candidate board", "old board"];
            renamed.iter().fold(text.replace("350 W", "360 W"), |text, name| {
                text.replace(name, "mine")
            })
        });
        let part = part.expect("refused");
        assert!(
            part.contains("device HH") && !part.contains("device PS") && !part.contains("my swap"),
            "{part}"
        );
    }

    #[test]
    fn a_swap_of_its_own_is_not_refused() {
        assert_eq!(refused(|_, _| "name = \"another\"\n".to_owned()), None);
    }
}
