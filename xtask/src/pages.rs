//! First lines of source files, and links of pages.

use std::path::{Path, PathBuf};

use crate::shell::root;

/// Source files without a first line that says what they hold, and links that lead nowhere.
pub fn faults() -> Result<Vec<String>, String> {
    let mut faults = Vec::new();
    let mut files = Vec::new();
    for folder in ["crates", "xtask"] {
        collect(&root().join(folder), &mut files)?;
    }
    for path in files
        .iter()
        .filter(|path| path.extension().is_some_and(|extension| extension == "rs"))
    {
        let text = read(path)?;
        if !text.starts_with("//!") {
            faults.push(format!(
                "{}: the first line must say what the file holds (`//! ...`)",
                shown(path)
            ));
        }
    }
    let mut pages = Vec::new();
    collect(&root().join("docs"), &mut pages)?;
    for page in ["README.md", "CHANGELOG.md"] {
        pages.push(root().join(page));
    }
    for page in pages
        .iter()
        .filter(|path| path.extension().is_some_and(|extension| extension == "md"))
    {
        let text = read(page)?;
        for target in links(&text) {
            let target = target.split('#').next().unwrap_or("");
            let folder = page.parent().unwrap_or(Path::new("."));
            if !target.is_empty() && !folder.join(target).exists() {
                faults.push(format!("{}: the link `{target}` leads nowhere", shown(page)));
            }
        }
    }
    Ok(faults)
}

fn shown(path: &Path) -> String {
    path.strip_prefix(root()).unwrap_or(path).display().to_string()
}

fn read(path: &Path) -> Result<String, String> {
    std::fs::read_to_string(path).map_err(|error| format!("{}: {error}", shown(path)))
}

fn collect(folder: &Path, out: &mut Vec<PathBuf>) -> Result<(), String> {
    let entries = std::fs::read_dir(folder).map_err(|error| format!("{}: {error}", shown(folder)))?;
    for entry in entries {
        let path = entry.map_err(|error| error.to_string())?.path();
        let skipped = path
            .file_name()
            .is_some_and(|name| name == "target" || name == "node_modules");
        if path.is_dir() && !skipped {
            collect(&path, out)?;
        } else if path.is_file() {
            out.push(path);
        }
    }
    Ok(())
}

/// Targets of Markdown links and pictures that lead to files of the project.
fn links(text: &str) -> Vec<String> {
    let mut out = Vec::new();
    for part in text.split("](").skip(1) {
        let Some(end) = part.find(')') else { continue };
        let target = part[..end].split(' ').next().unwrap_or("");
        if !target.contains("://") && !target.starts_with("mailto:") {
            out.push(target.to_owned());
        }
    }
    out
}
