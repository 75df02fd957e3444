//! Every library that is built in must have a licence that lets anybody use and pass it on.

use serde_json::Value;

/// Licences that ask for no more than a notice.
const ALLOWED: &[&str] = &[
    "MIT",
    "MIT-0",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "Zlib",
    "Unicode-3.0",
    "Unlicense",
    "CC0-1.0",
    "0BSD",
    "BSL-1.0",
];

/// Packages whose licence offers no allowed choice.
pub fn faults(metadata: &Value) -> Vec<String> {
    let packages = metadata["packages"].as_array().into_iter().flatten();
    packages
        .filter_map(|package| {
            let licence = package["license"].as_str().unwrap_or("");
            let name = package["name"].as_str().unwrap_or("");
            (!is_allowed(licence))
                .then(|| format!("`{name}` has the licence `{licence}`, which is not in the list"))
        })
        .collect()
}

/// Whether an expression can be met: `OR` offers a choice, `AND` asks for all.
fn is_allowed(expression: &str) -> bool {
    let expression = expression.replace('/', " OR ").replace(['(', ')'], "");
    // `A OR B AND C`: AND binds stronger.
    expression.split(" OR ").any(|choice| {
        choice
            .split(" AND ")
            .all(|licence| ALLOWED.contains(&licence.trim()))
    })
}

#[cfg(test)]
mod tests {
    use super::is_allowed;

    #[test]
    fn expressions_are_read() {
        assert!(is_allowed("MIT OR Apache-2.0"));
        assert!(is_allowed("GPL-3.0 OR MIT"));
        assert!(is_allowed("MIT AND Unicode-3.0"));
        assert!(!is_allowed("MIT AND GPL-3.0"));
        assert!(!is_allowed("MPL-2.0"));
        assert!(!is_allowed(""));
    }
}
