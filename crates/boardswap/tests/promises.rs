//! What README, handbook and help promise of the command line, tried: commands and options exist, JSON is JSON, nothing is hidden from readers.

use std::collections::BTreeSet;
use std::path::PathBuf;

mod support;

use support::{demo, root, run, stdout};

/// README, and all pages under `docs/`, with their paths.
fn pages() -> Vec<(PathBuf, String)> {
    let mut folders = vec![root().join("docs")];
    let mut paths = vec![root().join("README.md")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|end| end == "md") {
                paths.push(path);
            }
        }
    }
    let read = |path: PathBuf| {
        let text = std::fs::read_to_string(&path).expect("a page");
        (path, text)
    };
    paths.into_iter().map(read).collect()
}

/// The commands that the help lists.
fn commands() -> Vec<String> {
    let help = stdout(&run(&root(), &["--help"]));
    let listed = help
        .lines()
        .skip_while(|line| !line.starts_with("Commands:"))
        .skip(1)
        .take_while(|line| line.starts_with("  "));
    let names = listed.filter(|line| !line.starts_with("   "));
    let names = names.filter_map(|line| line.split_whitespace().next().map(str::to_owned));
    names.filter(|name| name != "help").collect()
}

/// Lines of pages that show a command, with what stands behind `boardswap`.
fn shown(text: &str) -> impl Iterator<Item = Vec<&str>> {
    let spoken = text.split('`').skip(1).step_by(2);
    let blocks = text
        .lines()
        .filter(|line| line.starts_with("    "))
        .map(str::trim);
    let said = spoken.chain(blocks).filter_map(|line| {
        let line = line.split(" #").next()?.strip_prefix("boardswap ")?;
        Some(line.split_whitespace().collect::<Vec<_>>())
    });
    // Without a command it tells where the swap stands, or which version it is.
    said.filter(|words| !words.is_empty() && words[..] != ["--version"])
}

#[test]
fn commands_and_options_of_the_pages_exist() {
    let commands = commands();
    assert!(commands.len() >= 12, "{commands:?}");
    let mut seen = BTreeSet::new();
    for (path, text) in pages() {
        for words in shown(&text) {
            let Some(command) = words.iter().find(|word| commands.contains(&(**word).to_owned())) else {
                panic!(
                    "{}: no command in `boardswap {}`",
                    path.display(),
                    words.join(" ")
                );
            };
            seen.insert((*command).to_owned());
            let help = stdout(&run(&root(), &[command, "--help"]));
            let options = words.iter().filter_map(|word| word.strip_prefix("--"));
            for option in options.map(|option| option.split('=').next().unwrap_or(option)) {
                let long = format!("--{option}");
                let listed = help.split([' ', '\n', ',', '=']).any(|word| word == long);
                assert!(listed, "{}: `{command}` has no {long}", path.display());
            }
        }
    }
    let unnamed = commands.iter().filter(|name| !seen.contains(*name));
    let unnamed: Vec<_> = unnamed
        .filter(|name| !PLUMBING.contains(&name.as_str()))
        .collect();
    assert!(unnamed.is_empty(), "no page shows {unnamed:?}");
}

/// Commands for editors, shells and packages, which judge no swap.
const PLUMBING: [&str; 4] = ["schema", "demo", "completions", "man"];

/// Options that every command about a swap has: a reader tries them anywhere.
#[test]
fn common_options_are_common() {
    for command in commands() {
        let help = stdout(&run(&root(), &[&command, "--help"]));
        if command == "new" || PLUMBING.contains(&command.as_str()) {
            continue;
        }
        for option in ["--folder", "--color", "--json", "--help"] {
            assert!(help.contains(option), "{command} has no {option}");
        }
    }
}

/// Where help offers JSON, the demonstration gives JSON, and so does a folder with errors.
#[test]
fn json_is_json_with_and_without_errors() {
    let empty = tempfile::tempdir().expect("a folder");
    let mut offered = 0;
    for command in commands() {
        // These need a name or write files; tests of their own hold their JSON.
        let elsewhere = ["new", "image", "explain", "report", "guide"];
        if elsewhere.contains(&command.as_str()) || PLUMBING.contains(&command.as_str()) {
            continue;
        }
        offered += 1;
        let arguments = match command.as_str() {
            "tolerance" => vec!["tolerance", "--json", "--trials", "200"],
            _ => vec![command.as_str(), "--json"],
        };
        let found = run(&demo(), &arguments);
        let text = stdout(&found);
        assert!(
            serde_json::from_str::<serde_json::Value>(&text).is_ok(),
            "{command}: {}",
            text.chars().take(200).collect::<String>()
        );
        let refused = run(empty.path(), &arguments);
        assert_eq!(refused.status.code(), Some(2), "{command}");
        let text = stdout(&refused);
        assert!(
            serde_json::from_str::<serde_json::Value>(&text).is_ok(),
            "{command} with errors: {text}"
        );
    }
    assert!(offered >= 6, "{offered} commands offer JSON");
}
