//! Which crate may know which: one table, compared with what cargo says.

use std::process::Command;

use serde_json::Value;

use crate::shell::{cargo_name, output};

/// The allowed arrows: a crate, and the crates of ours that it may use outside its tests.
const ALLOWED: &[(&str, &[&str])] = &[
    ("quantity", &[]),
    ("assignment", &[]),
    ("drawing", &[]),
    ("document", &["quantity", "writing"]),
    ("peer", &[]),
    ("record", &[]),
    ("samples", &[]),
    ("statistics", &[]),
    ("survey", &[]),
    ("writing", &[]),
    ("catalogue", &["quantity"]),
    ("import", &["quantity"]),
    ("physics", &["quantity"]),
    ("tuning", &["physics", "quantity"]),
    ("model", &["catalogue", "quantity", "writing"]),
    (
        "plan",
        &[
            "assignment",
            "catalogue",
            "model",
            "physics",
            "quantity",
            "tuning",
        ],
    ),
    ("settings", &["catalogue", "model", "physics", "plan", "quantity"]),
    ("evidence", &["physics", "quantity", "statistics", "tuning"]),
    ("image", &["quantity"]),
    ("workload", &["physics", "quantity"]),
    (
        "bringup",
        &[
            "catalogue",
            "image",
            "model",
            "physics",
            "plan",
            "quantity",
            "record",
            "settings",
        ],
    ),
    (
        "dossier",
        &[
            "bringup",
            "catalogue",
            "document",
            "drawing",
            "evidence",
            "model",
            "physics",
            "plan",
            "quantity",
            "record",
            "settings",
            "tuning",
        ],
    ),
    (
        "boardswap",
        &[
            "bringup",
            "catalogue",
            "document",
            "dossier",
            "drawing",
            "evidence",
            "image",
            "import",
            "model",
            "physics",
            "plan",
            "quantity",
            "record",
            "settings",
            "survey",
            "workload",
        ],
    ),
    ("browser-tests", &[]),
    ("xtask", &[]),
];

/// Crates of the core, which must not pull in what touches files, clocks, threads or sockets.
const CORE: &[&str] = &[
    "quantity",
    "assignment",
    "document",
    "drawing",
    "statistics",
    "writing",
    "catalogue",
    "physics",
    "tuning",
    "model",
    "plan",
    "settings",
    "evidence",
    "image",
    "workload",
    "bringup",
    "dossier",
];

/// Libraries that the core must not use.
const FORBIDDEN_IN_CORE: &[&str] = &[
    "tokio", "tempfile", "clap", "rusqlite", "serial2", "axum", "rayon",
];

/// What cargo knows about the workspace.
pub fn metadata() -> Result<Value, String> {
    let mut command = Command::new(cargo_name());
    command.args(["metadata", "--format-version", "1", "--locked"]);
    serde_json::from_str(&output(command)?).map_err(|error| format!("cargo metadata: {error}"))
}

/// Arrows that are not allowed, crates that are not in the table.
pub fn faults(metadata: &Value) -> Vec<String> {
    let members: Vec<&str> = metadata["workspace_members"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .collect();
    let packages = metadata["packages"].as_array().into_iter().flatten();
    let mut faults = Vec::new();
    for package in packages.filter(|package| package["id"].as_str().is_some_and(|id| members.contains(&id))) {
        let name = package["name"].as_str().unwrap_or("");
        let Some((_, allowed)) = ALLOWED.iter().find(|(own, _)| *own == name) else {
            faults.push(format!(
                "the crate `{name}` is not in the table of arrows (xtask/src/arrows.rs)"
            ));
            continue;
        };
        for dependency in package["dependencies"].as_array().into_iter().flatten() {
            let other = dependency["name"].as_str().unwrap_or("");
            let in_build = dependency["kind"].is_null();
            let ours = dependency["path"].is_string();
            if ours && in_build && !allowed.contains(&other) {
                faults.push(format!("`{name}` must not know `{other}`"));
            }
            if in_build && CORE.contains(&name) && FORBIDDEN_IN_CORE.contains(&other) {
                faults.push(format!("`{name}` is core: it must not use `{other}`"));
            }
        }
    }
    faults
}
