//! JSON lines: one object a line; keys of objects inside are joined with a point.

use serde_json::Value;

/// A value in a flat object.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Flat {
    Number(f64),
    Missing,
    Text(String),
}

/// The keys and values of a line, in its order; nothing where it is no object.
pub(crate) fn flat(line: &[u8]) -> Result<Vec<(String, Flat)>, String> {
    let value: Value = serde_json::from_slice(line).map_err(|error| format!("no JSON ({error})"))?;
    let Value::Object(_) = value else {
        return Err("no JSON object".to_owned());
    };
    let mut out = Vec::new();
    flatten("", value, &mut out);
    Ok(out)
}

fn flatten(name: &str, value: Value, out: &mut Vec<(String, Flat)>) {
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                let name = if name.is_empty() {
                    key
                } else {
                    format!("{name}.{key}")
                };
                flatten(&name, value, out);
            }
        }
        Value::Null => out.push((name.to_owned(), Flat::Missing)),
        Value::Number(number) => {
            let number = number.as_f64().filter(|number| number.is_finite());
            out.push((name.to_owned(), number.map_or(Flat::Missing, Flat::Number)));
        }
        Value::String(text) => out.push((name.to_owned(), Flat::Text(text))),
        Value::Bool(held) => out.push((name.to_owned(), Flat::Text(held.to_string()))),
        Value::Array(_) => out.push((name.to_owned(), Flat::Text(value.to_string()))),
    }
}

/// Whether a line looks like an object.
pub(crate) fn is_object(line: &[u8]) -> bool {
    line.trim_ascii_start().first() == Some(&b'{')
}
