//! The JSON Schemas: the files in `schemas/` are what the declarations give, the examples hold to them, faults do not.
//!
//! `UPDATE=1` writes the files anew.

use std::path::{Path, PathBuf};

use serde_json::Value as Json;

use crate::faults::changed_by_case;
use crate::support::{Folder, entries, example, examples, minimal, text};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../schemas")
}

fn schema(name: &str) -> Json {
    model::schema(name).unwrap_or_else(|| panic!("no schema {name}"))
}

#[test]
fn the_files_are_what_the_declarations_give() {
    for name in model::SCHEMAS {
        let path = folder().join(format!("{name}.schema.json"));
        let mut made = serde_json::to_string_pretty(&schema(name)).expect("JSON");
        made.push('\n');
        if std::env::var_os("UPDATE").is_some() {
            std::fs::create_dir_all(folder()).expect("a folder");
            std::fs::write(&path, &made).expect("a writable file");
        }
        assert!(
            text(&path) == made,
            "{} is stale: UPDATE=1 writes it anew",
            path.display()
        );
    }
    // One more is not of a file that is read: what commands print, held by a test of `boardswap`.
    assert_eq!(
        entries(&folder()).len(),
        model::SCHEMAS.len() + 1,
        "a file too many"
    );
}

#[test]
fn there_is_no_schema_of_another_name() {
    assert_eq!(model::schema("wiring"), None);
}

#[test]
fn the_examples_hold_to_the_schemas() {
    let mut checked = 0;
    for folder in [example("demo"), example("second"), example("third"), minimal()] {
        for (path, kind) in kinds(&folder) {
            let found = violations(&schema(kind), &json(&folder, &path));
            assert!(found.is_empty(), "{path}: {found:#?}");
            checked += 1;
        }
    }
    assert!(checked >= 15, "{checked}");
}

/// Each file of the examples says where its schema is, the way that TOML editors understand, and it is there.
#[test]
fn the_examples_name_their_schemas() {
    for root in entries(&examples()) {
        let name = root.file_name().expect("a name").to_string_lossy().into_owned();
        let folder = example(&name);
        for (path, kind) in kinds(&folder) {
            let file = text(&root.join(&path));
            let first = file.lines().next().unwrap_or("");
            let named = first
                .strip_prefix("#:schema ")
                .unwrap_or_else(|| panic!("{path}: {first}"));
            let target = root.join(&path).parent().expect("a folder").join(named);
            let found = target
                .canonicalize()
                .unwrap_or_else(|error| panic!("{path}: {named}: {error}"));
            let wanted = crate::schemas::folder().join(format!("{kind}.schema.json"));
            assert_eq!(found, wanted.canonicalize().expect("the schema"), "{path}");
        }
    }
}

/// What an editor can see, it does see: faults of keys, words and types break the schema too.
#[test]
fn faults_of_keys_words_and_types_break_the_schemas() {
    for case in [
        "unknown-key",
        "unknown-table",
        "unknown-word",
        "wrong-type",
        "number-without-unit",
    ] {
        let folder = changed_by_case(case);
        let files = kinds(&folder);
        let broken = files
            .iter()
            .filter(|(path, kind)| !violations(&schema(kind), &json(&folder, path)).is_empty());
        assert!(broken.count() >= 1, "{case}");
    }
}

/// The checker below against cases of the standard, so that it is not the one that lets all pass.
///
/// JSON Schema, draft 2020-12, "Validation", sections 6.1 to 6.5 and "Core", section 10.3; from memory.
#[test]
fn the_checker_refuses_what_the_standard_refuses() {
    let check = |schema: &str, value: &str| {
        let read = |text: &str| serde_json::from_str::<Json>(text).expect("JSON");
        violations(&read(schema), &read(value)).is_empty()
    };
    assert!(check(r#"{"type":"string","enum":["a","b"]}"#, r#""a""#));
    assert!(!check(r#"{"type":"string","enum":["a","b"]}"#, r#""c""#));
    assert!(!check(r#"{"type":"integer","minimum":0,"maximum":9}"#, "10"));
    assert!(!check(r#"{"type":"integer"}"#, "1.5"));
    assert!(!check(r#"{"type":"string","minLength":1}"#, r#""""#));
    assert!(check(r#"{"type":"string","maxLength":1}"#, r#""Ω""#));
    assert!(!check(r#"{"type":"string","pattern":"[0-9]"}"#, r#""V""#));
    assert!(!check(
        r#"{"type":"array","items":{"type":"string"},"minItems":2,"maxItems":2}"#,
        r#"["a"]"#
    ));
    assert!(!check(r#"{"type":"array","items":{"type":"string"}}"#, "[1]"));
    assert!(!check(r#"{"type":"object","required":["a"]}"#, "{}"));
    assert!(!check(
        r#"{"type":"object","properties":{},"additionalProperties":false}"#,
        r#"{"a":1}"#
    ));
    assert!(!check(
        r#"{"type":"object","additionalProperties":{"type":"boolean"}}"#,
        r#"{"a":1}"#
    ));
}

/// The TOML files of a folder with the kind of each.
fn kinds(folder: &Folder) -> Vec<(String, &'static str)> {
    let toml = folder
        .keys()
        .filter(|path| path.ends_with(".toml") && !path.starts_with("catalogue/"));
    let kind = |path: &String| match path.as_str() {
        "swap.toml" => "swap",
        board if board.starts_with("boards/") => "board",
        words if words.starts_with("words/") => "words",
        _ => "machine",
    };
    toml.map(|path| (path.clone(), kind(path))).collect()
}

fn json(folder: &Folder, path: &str) -> Json {
    let text = String::from_utf8(folder[path].clone()).expect("UTF-8");
    let table: toml::Table = text.parse().unwrap_or_else(|error| panic!("{path}: {error}"));
    serde_json::to_value(table).expect("JSON")
}

/// Where a value breaks a schema; knows just the keywords that ours use, and fails on another.
fn violations(schema: &Json, value: &Json) -> Vec<String> {
    let mut found = Vec::new();
    visit(schema, value, "", &mut found);
    found
}

fn visit(schema: &Json, value: &Json, at: &str, found: &mut Vec<String>) {
    let mut fail = |why: String| found.push(format!("{at}: {why}"));
    for (keyword, wanted) in schema.as_object().expect("a schema") {
        let number = wanted.as_f64().unwrap_or(f64::NAN);
        let length = value.as_str().map(|text| text.chars().count() as f64);
        let count = value.as_array().map(|items| items.len() as f64);
        let holds = match keyword.as_str() {
            "$schema" | "title" | "description" | "examples" | "enumDescriptions" | "propertyOrder" => true,
            "type" => is_a(value, wanted.as_str().expect("a type")),
            "enum" => wanted.as_array().expect("a list").contains(value),
            "minimum" => value.as_f64().is_none_or(|value| value >= number),
            "maximum" => value.as_f64().is_none_or(|value| value <= number),
            "minLength" => length.is_none_or(|length| length >= number),
            "maxLength" => length.is_none_or(|length| length <= number),
            "minItems" => count.is_none_or(|count| count >= number),
            "maxItems" => count.is_none_or(|count| count <= number),
            "pattern" => {
                assert_eq!(wanted, "[0-9]", "another pattern needs more of a checker");
                value
                    .as_str()
                    .is_none_or(|text| text.contains(|c: char| c.is_ascii_digit()))
            }
            "required" => wanted.as_array().expect("a list").iter().all(|key| {
                value
                    .as_object()
                    .is_none_or(|object| object.contains_key(key.as_str().expect("a key")))
            }),
            "anyOf" => wanted
                .as_array()
                .expect("a list")
                .iter()
                .any(|schema| violations(schema, value).is_empty()),
            "properties" | "additionalProperties" | "items" => true,
            other => panic!("the keyword {other} needs more of a checker"),
        };
        if !holds {
            fail(format!("{keyword} {wanted} does not hold for {value:.80}"));
        }
    }
    if let Some(object) = value.as_object() {
        for (key, value) in object {
            let at = format!("{at}/{key}");
            match (schema["properties"].get(key), &schema["additionalProperties"]) {
                (Some(schema), _) => visit(schema, value, &at, found),
                (None, Json::Bool(false)) => found.push(format!("{at}: no such key")),
                (None, schema @ Json::Object(_)) => visit(schema, value, &at, found),
                _ => {}
            }
        }
    }
    if let (Some(items), Some(schema)) = (value.as_array(), schema.get("items")) {
        for (index, item) in items.iter().enumerate() {
            visit(schema, item, &format!("{at}/{index}"), found);
        }
    }
}

fn is_a(value: &Json, kind: &str) -> bool {
    match kind {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "boolean" => value.is_boolean(),
        "integer" => value.is_i64() || value.is_u64(),
        other => panic!("the type {other} needs more of a checker"),
    }
}
