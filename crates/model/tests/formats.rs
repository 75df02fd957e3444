//! `docs/formats.md`: its tables are made from the declarations and from what the loader says, its examples are loaded.
//!
//! Between `<!-- made: ... -->` and `<!-- end -->` stands what [`made`] gives; `UPDATE=1` writes it anew.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::path::{Path, PathBuf};

use quantity::{AnyValue, Quantity, si};
use serde_json::Value as Json;

use crate::support::{Folder, entries, minimal, plain, tests, text};

const BEGIN: &str = "<!-- made: ";
const END: &str = "<!-- end -->";

/// The keys of rows that are written once: the page tells of them in one place.
const ROWS: [&str; 3] = ["names", "tags", "like"];

fn page() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/formats.md")
}

#[test]
fn the_made_parts_are_as_the_code_has_them() {
    let old = text(&page());
    let mut new = String::new();
    let mut rest = old.as_str();
    let mut parts = 0;
    while let Some(at) = rest.find(BEGIN) {
        let (before, part) = rest.split_at(at);
        let (head, _) = part.split_once(" -->").expect("a closed comment");
        let after = part.find(END).expect("an end");
        let _ = write!(new, "{before}{head} -->\n{}{END}", made(&head[BEGIN.len()..]));
        rest = &part[after + END.len()..];
        parts += 1;
    }
    new += rest;
    assert!(parts > 20, "{parts} parts");
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(page(), &new).expect("a writable page");
    }
    assert!(old == new, "docs/formats.md is stale: UPDATE=1 writes it anew");
}

/// Every table of the three files has a section of its own.
#[test]
fn no_table_is_left_out() {
    let page = text(&page());
    for file in model::SCHEMAS {
        let mut tables = Vec::new();
        collect(&schema(file), file, &mut tables);
        for (path, _) in tables {
            assert!(
                page.contains(&format!("{BEGIN}table {path} -->")),
                "no table of {path}"
            );
        }
    }
}

/// The example of the page, file by file, is a swap without a fault.
#[test]
fn the_example_loads() {
    let page = text(&page());
    let mut folder = Folder::new();
    for block in page.split("```toml\n# ").skip(1) {
        let (name, content) = block.split_once('\n').expect("a file name");
        let content = content.split("```").next().unwrap_or("");
        folder.insert(
            name.split(':').next().unwrap_or("").to_owned(),
            content.as_bytes().to_vec(),
        );
    }
    assert!(folder.len() >= 4, "{:?}", folder.keys());
    let swap = model::load(&folder).unwrap_or_else(|faults| panic!("{}", plain(&faults)));
    for (path, words) in folder.iter().filter(|(path, _)| path.starts_with("words/")) {
        let words = String::from_utf8_lossy(words);
        model::load_words(path, &words).unwrap_or_else(|faults| panic!("{}", plain(&faults)));
    }
    assert!(swap.invented && swap.machine.invented && swap.old.invented);
}

fn made(what: &str) -> String {
    match what.split_once(' ').unwrap_or((what, "")) {
        ("table", path) => table(path),
        ("values", _) => values(),
        ("units", _) => units(),
        ("words", _) => words(),
        ("needs", table) => needs(table),
        ("faults", _) => faults(),
        other => panic!("{other:?} cannot be made"),
    }
}

fn schema(file: &str) -> Json {
    model::schema(file).unwrap_or_else(|| panic!("no schema {file}"))
}

/// The table at a path such as `machine.case.keep_out`; lists and maps are passed through.
fn at(path: &str) -> Json {
    let mut keys = path.split('.');
    let mut found = schema(keys.next().expect("a file"));
    for key in keys {
        found = inner(&found["properties"][key]).clone();
        assert!(found.is_object(), "{path}: nothing at {key}");
    }
    found
}

fn inner(schema: &Json) -> &Json {
    if schema["type"] == "array" {
        return &schema["items"];
    }
    match &schema["additionalProperties"] {
        table @ Json::Object(_) => table,
        _ => schema,
    }
}

/// Every table of a schema with its path, in the order of the declarations.
fn collect(schema: &Json, path: &str, out: &mut Vec<(String, Json)>) {
    out.push((path.to_owned(), schema.clone()));
    for key in keys(schema) {
        let child = inner(&schema["properties"][&key]);
        if child["properties"].is_object() {
            collect(child, &format!("{path}.{key}"), out);
        }
    }
}

fn keys(schema: &Json) -> Vec<String> {
    let order = schema["propertyOrder"].as_array().expect("an order");
    order
        .iter()
        .map(|key| key.as_str().expect("a key").to_owned())
        .collect()
}

fn table(path: &str) -> String {
    let schema = at(path);
    let needed: Vec<&str> = schema["required"]
        .as_array()
        .map_or(Vec::new(), |keys| keys.iter().filter_map(Json::as_str).collect());
    let mut out = "| key | needed | what it is | what stands there |\n| --- | --- | --- | --- |\n".to_owned();
    for key in keys(&schema)
        .into_iter()
        .filter(|key| !ROWS.contains(&key.as_str()))
    {
        let property = &schema["properties"][&key];
        let (what, value) = said(path, &key, property);
        let needed = if needed.contains(&key.as_str()) { "yes" } else { "" };
        let _ = writeln!(out, "| `{key}` | {needed} | {what} | {value} |");
    }
    out
}

/// What a key is for, and what may stand there.
fn said(path: &str, key: &str, property: &Json) -> (String, String) {
    let (text, bound) = bound(property["description"].as_str().unwrap_or(""));
    let (what, quantity) = split(text);
    // Of several forms the plainest is shown; the page tells of the short ones.
    let property = property["anyOf"].get(0).unwrap_or(property);
    let value = match property["type"].as_str().unwrap_or("") {
        "array" if property["examples"].is_array() => value_of(path, key, property),
        "array" => format!("list of: {}", value_of(path, key, &property["items"])),
        "object" if property["properties"].is_null() => format!("tables `[{key}.NAME]`, see below"),
        _ => quantity.unwrap_or_else(|| value_of(path, key, property)),
    };
    let value = match bound {
        Some((low, high)) => format!("{value}, {low} to {high}"),
        None => value,
    };
    (
        what.trim_end_matches('.').replace('|', "\\|"),
        value.replace('|', "\\|"),
    )
}

/// A description, and the ends between which a value may lie.
fn bound(text: &str) -> (&str, Option<(&str, &str)>) {
    let ends = text.strip_suffix('.').and_then(|text| {
        let (text, bound) = text.rsplit_once(" From ")?;
        Some((text, bound.split_once(" to ")?))
    });
    ends.map_or((text, None), |(text, ends)| (text, Some(ends)))
}

/// The description of a key, and of the quantity there: "The height. A length with its unit (mm, m), ...".
fn split(text: &str) -> (&str, Option<String>) {
    let Some(unit) = text.find(" with its unit (") else {
        return (text, None);
    };
    let start = text[..unit].rfind("A ").unwrap_or(0);
    let rest = &text[unit + " with its unit (".len()..];
    let mut ends = ["), optionally", "), such as"]
        .iter()
        .filter_map(|end| rest.split_once(end));
    let units = ends.next().map_or(rest, |(units, _)| units);
    (
        text[..start].trim_end(),
        Some(format!("{} ({units})", &text[start + 2..unit])),
    )
}

fn value_of(path: &str, key: &str, schema: &Json) -> String {
    if let Some(words) = schema["enum"].as_array() {
        if words.len() <= 4 {
            let words: Vec<String> = words
                .iter()
                .filter_map(Json::as_str)
                .map(|word| format!("`{word}`"))
                .collect();
            return words.join(", ");
        }
        let lists = lists();
        let list = lists.iter().find(|(_, _, list)| *list == schema["enum"]);
        return format!("a word, see [{}](#words)", list.expect("a list of words").0);
    }
    if let Some(example) = schema["examples"].get(0) {
        return match example.as_str() {
            Some(text) => format!("such as `\"{text}\"`"),
            None => "a point, such as `[\"12 mm\", \"70 mm\"]`".to_owned(),
        };
    }
    match schema["type"].as_str() {
        Some("string") => "text".to_owned(),
        Some("integer") => "a whole number".to_owned(),
        Some("boolean") => "`true` or `false`".to_owned(),
        Some("object") => format!("table `{key}`, see below"),
        other => panic!("{path}.{key}: {other:?}"),
    }
}

/// How values are read, by reading them.
fn values() -> String {
    let mut out = "| text | smallest | nominal | largest |\n| --- | --- | --- | --- |\n".to_owned();
    fn row<Q: Quantity>(out: &mut String, text: &str) {
        let value = quantity::parse_value::<Q>(text).unwrap_or_else(|error| panic!("{text}: {error}"));
        let any = AnyValue::from(value);
        let nominal = AnyValue {
            low: any.nominal,
            high: any.nominal,
            ..any
        };
        let _ = writeln!(
            out,
            "| `{text}` | {} | {nominal} | {} |",
            any.at_low(),
            any.at_high()
        );
    }
    row::<si::ElectricPotential>(&mut out, "24 V");
    row::<si::ElectricPotential>(&mut out, "24V");
    row::<si::Power>(&mut out, "40 W ± 10 %");
    row::<si::Power>(&mut out, "40 W +- 4 W");
    row::<si::ElectricalResistance>(&mut out, "100 kΩ +1 % -2 %");
    row::<si::ElectricalResistance>(&mut out, "4.7 kohm");
    row::<si::ElectricPotential>(&mut out, "24 V (23 V .. 25.5 V)");
    row::<si::ElectricPotential>(&mut out, "12 V .. 24 V");
    row::<si::ThermodynamicTemperature>(&mut out, "25 °C ± 2 K");
    row::<si::Capacitance>(&mut out, "47 uF ± 20 %");
    row::<si::StepDensity>(&mut out, "80 step/mm");
    out
}

/// Every kind of quantity that a key takes, with its units.
fn units() -> String {
    let mut kinds: BTreeMap<String, String> = BTreeMap::new();
    for file in model::SCHEMAS {
        let mut tables = Vec::new();
        collect(&schema(file), file, &mut tables);
        for (path, table) in tables {
            for key in keys(&table) {
                let (_, value) = said(&path, &key, &table["properties"][&key]);
                let alone = value
                    .split_once("),")
                    .map(|(value, _)| value)
                    .or_else(|| value.strip_suffix(')'));
                if let Some((kind, units)) = alone.and_then(|value| value.split_once(" (")) {
                    let kind = kind.trim_start_matches("range of ");
                    kinds.insert(kind.to_owned(), units.to_owned());
                }
            }
        }
    }
    let mut out = "| quantity | units |\n| --- | --- |\n".to_owned();
    for (kind, units) in kinds {
        let _ = writeln!(out, "| {kind} | {units} |");
    }
    out
}

/// Every closed list of words once: where it stands first, the schema there, the words.
fn lists() -> Vec<(String, Json, Json)> {
    let mut out: Vec<(String, Json, Json)> = Vec::new();
    for file in ["board", "machine", "swap", "words"] {
        let mut tables = Vec::new();
        collect(&schema(file), file, &mut tables);
        for (path, table) in tables {
            let name = path.rsplit('.').next().unwrap_or(&path);
            for key in keys(&table) {
                let property = &table["properties"][&key];
                let schema = if property["type"] == "array" {
                    &property["items"]
                } else {
                    property
                };
                if schema["enum"].is_array() && !out.iter().any(|(_, _, list)| *list == schema["enum"]) {
                    out.push((
                        format!("`{key}` of {name}"),
                        schema.clone(),
                        schema["enum"].clone(),
                    ));
                }
            }
        }
    }
    out
}

/// What each word means.
fn words() -> String {
    let mut out = String::new();
    for (name, schema, words) in lists() {
        let _ = writeln!(out, "**{name}**\n");
        let meanings = schema["enumDescriptions"].as_array().expect("a meaning for each");
        for (word, meaning) in words.as_array().expect("words").iter().zip(meanings) {
            let (word, meaning) = (word.as_str().expect("text"), meaning.as_str().expect("text"));
            let _ = writeln!(out, "- `{word}`: {meaning}");
        }
        out.push('\n');
    }
    out
}

/// For each word that decides which keys a table has: the needed and the possible ones, found by asking the loader.
fn needs(table: &str) -> String {
    let (path, file, header, deciding, base) = match table {
        "device" => (
            "machine.device",
            "machine.toml",
            "[[device]]",
            "kind",
            "tag = \"ZZ\"\nname = \"asked\"\n",
        ),
        "port" => (
            "board.port",
            "boards/new.toml",
            "[[port]]",
            "role",
            "name = \"ZZ\"\nconnector = \"open wire\"\npins = []\nat = [\"1 mm\", \"1 mm\"]\n",
        ),
        "axis" => (
            "machine.axis",
            "machine.toml",
            "[[axis]]",
            "drive",
            "name = \"ZZ\"\nmax_speed = \"1 mm/s\"\n",
        ),
        "evidence" => (
            "swap.evidence",
            "swap.toml",
            "[[evidence]]",
            "kind",
            "file = \"ZZ\"\n",
        ),
        other => panic!("nobody asks for {other}"),
    };
    let tail = match table {
        "device" => {
            "[device.cable]\nconnector = \"open wire\"\npins = [\"+\"]\nwire = \"20 AWG\"\nlength = \"1 m\"\n"
        }
        _ => "",
    };
    let schema = at(path);
    let always: Vec<&str> = base.lines().filter_map(|line| line.split(" = ").next()).collect();
    let own: Vec<String> = keys(&schema)
        .into_iter()
        .filter(|key| !always.contains(&key.as_str()) && key != deciding && key != "cable")
        .filter(|key| !ROWS.contains(&key.as_str()))
        .collect();
    let ask = |word: &str, keys: &str| -> Vec<(&'static str, String)> {
        let mut folder = minimal();
        let bytes = folder.get_mut(file).expect("the file");
        let start = bytes.len();
        bytes.extend_from_slice(format!("{header}\n{base}{deciding} = \"{word}\"\n{keys}{tail}").as_bytes());
        let Err(found) = model::load(&folder) else {
            return Vec::new();
        };
        let own = found.faults.iter().filter(|fault| {
            found.sources.file(fault.place.file).path == file && fault.place.start as usize >= start
        });
        own.filter_map(|fault| Some((fault.code, fault.headline.split('`').nth(1)?.to_owned())))
            .collect()
    };
    let all: String = own
        .iter()
        .map(|key| format!("{key} = {}\n", sample(&schema["properties"][key])))
        .collect();
    let mut out = format!("| {deciding} | needs | may have |\n| --- | --- | --- |\n");
    for word in schema["properties"][deciding]["enum"].as_array().expect("words") {
        let word = word.as_str().expect("a word");
        let with = |code: &str, asked: Vec<(&str, String)>| -> BTreeSet<String> {
            asked
                .into_iter()
                .filter(|(found, _)| *found == code)
                .map(|(_, key)| key)
                .collect()
        };
        let needed = with("missing-key", ask(word, ""));
        let meaningless = with("meaningless-key", ask(word, &all));
        let ticked = |keep: &dyn Fn(&&String) -> bool| {
            own.iter()
                .filter(keep)
                .map(|key| format!("`{key}`"))
                .collect::<Vec<_>>()
                .join(", ")
        };
        let may = ticked(&|key| !needed.contains(*key) && !meaningless.contains(*key));
        let _ = writeln!(
            out,
            "| `{word}` | {} | {may} |",
            ticked(&|key| needed.contains(*key))
        );
    }
    out
}

/// Some value that can be read at a key.
fn sample(property: &Json) -> String {
    if let Some(word) = property["enum"].get(0) {
        return word.to_string();
    }
    let (text, ends) = bound(property["description"].as_str().unwrap_or(""));
    if let (Some("string"), Some((low, _))) = (property["type"].as_str(), ends)
        && text.contains(" with its unit (")
    {
        return format!("\"{low}\"");
    }
    match (property["type"].as_str(), text.split(" with its unit (").nth(1)) {
        (Some("integer"), _) => "16".to_owned(),
        (Some("boolean"), _) => "true".to_owned(),
        // A list of tables counts as written only with a table in it.
        (Some("array"), _) if property["items"]["properties"].is_object() => {
            let table = &property["items"];
            // A name, and what such a table cannot do without.
            let mut names: BTreeSet<&str> = table["required"].as_array().map_or_else(BTreeSet::new, |keys| {
                keys.iter().filter_map(Json::as_str).collect()
            });
            names.extend(table["properties"]["name"].is_object().then_some("name"));
            let keys: Vec<String> = names
                .into_iter()
                .map(|key| format!("{key} = {}", sample(&table["properties"][key])))
                .collect();
            format!("[{{ {} }}]", keys.join(", "))
        }
        // Nor does an empty list count.
        (Some("array"), _) if property["items"]["type"] == "integer" => "[5, 5]".to_owned(),
        (Some("array"), _) => "[]".to_owned(),
        (_, Some(units)) if units.starts_with("a plain") => "\"2\"".to_owned(),
        (_, Some(units)) => format!("\"2 {}\"", units.split([',', ')']).next().unwrap_or("")),
        _ => property["examples"]
            .get(0)
            .map_or("\"X\"".to_owned(), Json::to_string),
    }
}

/// The kinds of fault with a headline each, from the cases that show them.
fn faults() -> String {
    let mut shown: BTreeMap<String, String> = BTreeMap::new();
    for path in entries(&tests().join("faults")) {
        let case = text(&path);
        let expected = case.split_once("====\n").expect("a case").1;
        for line in expected.lines().filter(|line| !line.starts_with(' ')) {
            if let Some((code, headline)) = line.split_once(' ').and_then(|(_, rest)| rest.split_once(": ")) {
                shown
                    .entry(code.to_owned())
                    .or_insert_with(|| headline.to_owned());
            }
        }
    }
    let mut out = "| fault | for instance |\n| --- | --- |\n".to_owned();
    for (code, headline) in shown {
        let _ = writeln!(out, "| `{code}` | {} |", headline.replace('|', "\\|"));
    }
    out
}
