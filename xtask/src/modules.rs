//! Which module of a crate may know which: the storeys of its folders, compared with the paths that its files name.
//!
//! A crate is given a row in [`STOREYS`]; none of its modules may then know one of a storey above, nor itself by way of others.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use proc_macro2::{Delimiter, TokenStream, TokenTree};

use crate::shell::root;

/// The storeys of one crate, the lowest first.
struct Storeys {
    /// The crate.
    name: &'static str,
    /// Each storey by the path of its module, with the storeys that it may know beside itself.
    floors: &'static [(&'static str, &'static [&'static str])],
}

/// The crates whose modules are guarded. A crate that is not in here is free inside.
const STOREYS: &[Storeys] = &[Storeys {
    name: "plan",
    floors: &[
        ("facts", &[]),
        ("rules::judging", &["facts"]),
        ("rules::workings", &["facts", "rules::judging"]),
        ("rules::checks", &["facts", "rules::judging", "rules::workings"]),
        ("decisions", &["facts", "rules::judging", "rules::checks"]),
    ],
}];

/// Arrows between modules that are not allowed, and modules that know themselves by way of others.
pub fn faults() -> Result<Vec<String>, String> {
    let mut faults = Vec::new();
    for storeys in STOREYS {
        let source = root().join("crates").join(storeys.name).join("src");
        let mut files = BTreeMap::new();
        read(&source, &mut Vec::new(), &mut files)?;
        faults.extend(storeys.faults(&files)?);
    }
    Ok(faults)
}

/// The files of a folder by the paths of their modules; that of the crate is empty.
fn read(
    folder: &Path,
    parents: &mut Vec<String>,
    files: &mut BTreeMap<String, String>,
) -> Result<(), String> {
    let problem = |error: std::io::Error| format!("{}: {error}", folder.display());
    for entry in std::fs::read_dir(folder).map_err(problem)? {
        let path = entry.map_err(problem)?.path();
        let stem = path
            .file_stem()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        if path.is_dir() {
            parents.push(stem);
            read(&path, parents, files)?;
            parents.pop();
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            let mut module = parents.clone();
            if !matches!(stem.as_str(), "lib" | "main" | "mod") {
                module.push(stem);
            }
            let text = std::fs::read_to_string(&path).map_err(problem)?;
            files.insert(module.join("::"), text);
        }
    }
    Ok(())
}

impl Storeys {
    fn faults(&self, files: &BTreeMap<String, String>) -> Result<Vec<String>, String> {
        let mut arrows: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
        for (module, text) in files {
            let tokens: TokenStream = text
                .parse()
                .map_err(|error| format!("{}, module `{module}`: {error}", self.name))?;
            let mut named = Named::default();
            named.look(&tokens, &split(module));
            let known = named.paths.iter().map(|path| longest(path, files));
            arrows
                .entry(module)
                .or_default()
                .extend(known.filter(|known| known != module));
        }
        let mut faults = self.wrong(&arrows);
        faults.extend(circles(&arrows).into_iter().map(|circle| {
            format!(
                "`{}`: modules that know themselves by way of others: {circle}",
                self.name
            )
        }));
        Ok(faults)
    }

    /// Arrows that the table does not allow, and modules that stand on no storey.
    fn wrong(&self, arrows: &BTreeMap<&str, BTreeSet<&str>>) -> Vec<String> {
        let mut faults = Vec::new();
        for (module, known) in arrows {
            let Some((floor, allowed)) = self.floor(module) else {
                if !self.floors.iter().any(|(floor, _)| is_within(floor, module)) {
                    faults.push(format!(
                        "`{}::{module}` stands on no storey (xtask/src/modules.rs)",
                        self.name
                    ));
                }
                continue;
            };
            for other in known {
                let may = self
                    .floor(other)
                    .is_none_or(|(theirs, _)| theirs == floor || allowed.contains(&theirs));
                if !may {
                    faults.push(format!("`{}::{module}` must not know `{other}`", self.name));
                }
            }
        }
        faults
    }

    fn floor(&self, module: &str) -> Option<(&'static str, &'static [&'static str])> {
        let floors = self.floors.iter().copied();
        floors.into_iter().find(|(floor, _)| is_within(module, floor))
    }
}

/// Whether a module is another one, or lies within it; all lie within the crate.
fn is_within(module: &str, outer: &str) -> bool {
    let rest = module.strip_prefix(outer);
    outer.is_empty() || rest.is_some_and(|rest| rest.is_empty() || rest.starts_with("::"))
}

fn split(module: &str) -> Vec<String> {
    let parts = module.split("::").filter(|part| !part.is_empty());
    parts.map(str::to_owned).collect()
}

/// The module that a path leads to: what is behind it is an item.
fn longest<'a>(path: &[String], files: &'a BTreeMap<String, String>) -> &'a str {
    let found = (0..=path.len())
        .rev()
        .find_map(|length| files.get_key_value(&path[..length].join("::")));
    found.map_or("", |(module, _)| module)
}

/// The paths into its own crate that a file names, outside of its tests.
#[derive(Default)]
struct Named {
    paths: Vec<Vec<String>>,
}

impl Named {
    /// Looks through the tokens of a module: comments and texts are none of its paths.
    fn look(&mut self, tokens: &TokenStream, module: &[String]) {
        let tokens: Vec<TokenTree> = tokens.clone().into_iter().collect();
        let mut at = 0;
        while at < tokens.len() {
            match (&tokens[at], tokens.get(at + 1), tokens.get(at + 2)) {
                (TokenTree::Ident(word), Some(TokenTree::Ident(name)), after) if word == "mod" => {
                    let inner = [module, &[name.to_string()]].concat();
                    match after {
                        Some(TokenTree::Group(_)) if name == "tests" => {}
                        Some(TokenTree::Group(body)) => self.look(&body.stream(), &inner),
                        _ => self.paths.push(inner),
                    }
                    at += 3;
                }
                (TokenTree::Ident(word), Some(_), _) if leads(&tokens, at + 1) => {
                    let base = match word.to_string().as_str() {
                        "crate" => Some(Vec::new()),
                        "self" => Some(module.to_vec()),
                        "super" => Some(module[..module.len().saturating_sub(1)].to_vec()),
                        _ => None,
                    };
                    at = match base {
                        Some(base) => self.follow(&tokens, at + 3, base),
                        None => at + 3,
                    };
                }
                (TokenTree::Group(group), ..) => {
                    self.look(&group.stream(), module);
                    at += 1;
                }
                _ => at += 1,
            }
        }
    }

    /// Follows a path from behind its `::`, into each branch of braces; gives the place of the first token behind it.
    fn follow(&mut self, tokens: &[TokenTree], mut at: usize, mut path: Vec<String>) -> usize {
        loop {
            match tokens.get(at) {
                Some(TokenTree::Ident(word)) if word == "super" => {
                    path.pop();
                }
                Some(TokenTree::Ident(word)) => path.push(word.to_string()),
                Some(TokenTree::Group(group)) if group.delimiter() == Delimiter::Brace => {
                    let inner: Vec<TokenTree> = group.stream().into_iter().collect();
                    let mut branch = 0;
                    while branch < inner.len() {
                        branch = self.follow(&inner, branch, path.clone());
                        // On to the next comma: `as` gives another name.
                        while branch < inner.len() && !is_mark(&inner[branch], ',') {
                            branch += 1;
                        }
                        branch += 1;
                    }
                    return at + 1;
                }
                // A star takes all of the module.
                _ => break,
            }
            at += 1;
            if !leads(tokens, at) {
                break;
            }
            at += 2;
        }
        self.paths.push(path);
        at
    }
}

/// Whether `::` stands at a place.
fn leads(tokens: &[TokenTree], at: usize) -> bool {
    tokens.get(at).is_some_and(|token| is_mark(token, ':'))
        && tokens.get(at + 1).is_some_and(|token| is_mark(token, ':'))
}

fn is_mark(token: &TokenTree, mark: char) -> bool {
    matches!(token, TokenTree::Punct(punct) if punct.as_char() == mark)
}

/// The modules that a module knows, by way of others too.
fn reached<'a>(arrows: &BTreeMap<&'a str, BTreeSet<&'a str>>, from: &str) -> BTreeSet<&'a str> {
    let mut seen = BTreeSet::new();
    let mut open = vec![from];
    while let Some(module) = open.pop() {
        for next in arrows.get(module).into_iter().flatten() {
            if seen.insert(*next) {
                open.push(next);
            }
        }
    }
    seen
}

/// The modules that know themselves by way of others, each circle in one line.
fn circles(arrows: &BTreeMap<&str, BTreeSet<&str>>) -> BTreeSet<String> {
    let reached: BTreeMap<&str, BTreeSet<&str>> = arrows
        .keys()
        .map(|module| (*module, reached(arrows, module)))
        .collect();
    let within = reached.iter().filter(|(module, from)| from.contains(*module));
    within
        .map(|(module, from)| {
            let back = |other: &&&str| reached.get(**other).is_some_and(|theirs| theirs.contains(module));
            let all: Vec<&str> = from.iter().filter(back).copied().collect();
            all.join(", ")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUSE: Storeys = Storeys {
        name: "house",
        floors: &[
            ("cellar", &[]),
            ("hall", &["cellar"]),
            ("roof", &["cellar", "hall"]),
        ],
    };

    fn faults(files: &[(&str, &str)]) -> Vec<String> {
        let owned = files
            .iter()
            .map(|(module, text)| ((*module).to_owned(), (*text).to_owned()));
        let mut files: BTreeMap<String, String> = owned.collect();
        files.insert(String::new(), "mod cellar; mod hall; mod roof;".to_owned());
        HOUSE.faults(&files).expect("Rust")
    }

    #[test]
    fn arrows_down_and_within_a_storey_are_no_fault() {
        let files = [
            ("cellar", "pub mod coal; pub mod wine;"),
            ("cellar::coal", "pub struct Coal;"),
            (
                "cellar::wine",
                "use super::coal::Coal; pub fn cool(_: &crate::cellar::coal::Coal) {}",
            ),
            ("hall", "use crate::cellar::{wine, coal::Coal as Black};"),
            ("roof", "fn f() { let _ = format!(\"{}\", crate::hall::door()); }"),
        ];
        assert_eq!(faults(&files), Vec::<String>::new());
    }

    #[test]
    fn an_arrow_up_is_found_wherever_it_is_written() {
        for planted in [
            "use crate::roof;",
            "use crate::{hall::Door, roof::Tile};",
            "use super::super::roof::Tile as Other;",
            "fn f(_: &crate::roof::Tile) {}",
            "fn f() { println!(\"{}\", crate::roof::height()) }",
            "mod inner { use super::super::super::roof::*; }",
        ] {
            let found = faults(&[
                ("cellar", "mod coal;"),
                ("cellar::coal", planted),
                ("hall", ""),
                ("roof", ""),
            ]);
            assert!(
                found
                    .iter()
                    .any(|fault| fault == "`house::cellar::coal` must not know `roof`"),
                "{planted}: {found:?}"
            );
        }
    }

    #[test]
    fn comments_texts_tests_and_foreign_paths_are_no_arrows() {
        let text = "//! See [`crate::roof`].\n/* use crate::roof; */ const A: &str = \"crate::roof::Tile\";\n\
            use std::crate_like::roof; fn f() { model::roof::g() }\n\
            #[cfg(test)] mod tests { use crate::roof::Tile; }";
        assert_eq!(
            faults(&[("cellar", text), ("hall", ""), ("roof", "")]),
            Vec::<String>::new()
        );
    }

    #[test]
    fn a_circle_within_a_storey_is_found() {
        let found = faults(&[
            ("cellar", "mod coal; mod wine;"),
            ("cellar::coal", "use crate::cellar::wine::Wine;"),
            ("cellar::wine", "use crate::cellar::coal::Coal;"),
            ("hall", ""),
            ("roof", ""),
        ]);
        assert_eq!(
            found,
            ["`house`: modules that know themselves by way of others: cellar::coal, cellar::wine"]
        );
    }

    #[test]
    fn a_module_on_no_storey_is_found() {
        let found = faults(&[("cellar", ""), ("hall", ""), ("roof", ""), ("shed", "")]);
        assert_eq!(
            found,
            ["`house::shed` stands on no storey (xtask/src/modules.rs)"]
        );
    }
}
