//! A fact written into the file where it belongs; comments and order stay.

use crate::date;
use model::{Assumed, Swap};
use toml_edit::{ArrayOfTables, Document, DocumentMut, InlineTable, Item, Table, TableLike, Value};

/// A step of the way to a table.
#[derive(Clone, Debug, PartialEq)]
enum Step {
    Key(String),
    At(usize),
}

/// Tables that stand under a key of the one that a fact belongs to.
const INNER: [&str; 6] = ["cable", "outline", "input", "processor", "case", "ambient"];

/// A value as TOML writes it: as it is where it is TOML already, else as text.
pub fn literal(value: &str) -> String {
    let as_is =
        value.starts_with(['"', '[', '\'']) || value.parse::<i64>().is_ok() || value.parse::<f64>().is_ok();
    if as_is && value.parse::<Value>().is_ok() {
        value.to_owned()
    } else {
        Value::from(value).to_string()
    }
}

/// The path of the file that lacks a fact, and its text with the fact in it, and how it was found in a comment where one can stand.
pub fn stated(
    swap: &Swap,
    fact: &Assumed,
    literal: &str,
    how: Option<&str>,
) -> Result<(String, String), String> {
    let file = swap.sources.file(fact.place.file);
    let mut value: Value = literal.parse().map_err(|_| format!("`{literal}` is no value"))?;
    let spans = Document::parse(file.text.to_string()).map_err(|error| error.to_string())?;
    let mut way = Vec::new();
    find(
        spans.as_table(),
        fact.place.start as usize,
        &mut Vec::new(),
        &mut way,
    );
    let mut document: DocumentMut = file.text.parse().map_err(|_| "the file is no TOML".to_owned())?;
    let own_list = ["axis", "driver", "jumper"].contains(&fact.of);
    if own_list && way.first() != Some(&Step::Key(fact.of.to_owned())) {
        appended(&mut document, fact, &value)?;
        return Ok((file.path.clone(), document.to_string()));
    }
    let table = table_at(document.as_item_mut(), &way).ok_or("its table is not in the file")?;
    let inside = way.last() == Some(&Step::Key(fact.of.to_owned()));
    if fact.of == "rail" && way.first() != Some(&Step::Key("rails".to_owned())) {
        let name = fact.owner.last().ok_or("the rail has no name")?;
        document["rails"][name.as_str()][fact.key] = Item::Value(value);
        return Ok((file.path.clone(), document.to_string()));
    }
    if INNER.contains(&fact.of) && !inside {
        if !table.contains_key(fact.of) {
            let mut inner = InlineTable::new();
            inner.insert(fact.key, value);
            insert(table, fact.of, Value::InlineTable(inner), None);
            return Ok((file.path.clone(), document.to_string()));
        }
        let inner = table.get_mut(fact.of).and_then(Item::as_table_like_mut);
        insert(
            inner.ok_or("its table is not in the file")?,
            fact.key,
            value,
            None,
        );
        return Ok((file.path.clone(), document.to_string()));
    }
    // A comment ends its line: there is none inside braces.
    let comment = how.map(|how| format!("  # found with: {}, {}", one_line(how), date::today()));
    let braces = is_inline(&spans, &way);
    value.decor_mut().clear();
    insert(table, fact.key, value, comment.filter(|_| !braces));
    Ok((file.path.clone(), document.to_string()))
}

fn one_line(text: &str) -> String {
    text.chars()
        .map(|letter| if letter.is_control() { ' ' } else { letter })
        .collect()
}

/// Whether the table at the end of a way stands in braces.
fn is_inline(spans: &Document<String>, way: &[Step]) -> bool {
    let mut item = spans.as_item();
    for step in way {
        let next = match step {
            Step::Key(key) => item.get(key.as_str()),
            Step::At(at) => item.get(*at),
        };
        match next {
            Some(next) => item = next,
            // An element of a list of values is no item of its own.
            None => return true,
        }
    }
    item.is_inline_table()
}

/// Puts a value in place of `"?"`, whose remark stays, or behind the other keys.
fn insert(table: &mut dyn TableLike, key: &str, mut value: Value, comment: Option<String>) {
    if let Some(Item::Value(old)) = table.get(key) {
        *value.decor_mut() = old.decor().clone();
    } else if let Some((_, Item::Value(last))) = table.iter_mut().last()
        && comment.is_none()
        && last.decor().suffix().and_then(|suffix| suffix.as_str()) == Some(" ")
    {
        // The blank before the closing brace.
        last.decor_mut().set_suffix("");
        value.decor_mut().set_prefix(" ");
        value.decor_mut().set_suffix(" ");
    }
    if let Some(comment) = comment {
        let remark = value
            .decor()
            .suffix()
            .and_then(|suffix| suffix.as_str())
            .unwrap_or("")
            .to_owned();
        value
            .decor_mut()
            .set_suffix(format!("{}{comment}", remark.trim_end()));
    }
    table.insert(key, Item::Value(value));
}

/// A table of its own for what was only named before.
fn appended(document: &mut DocumentMut, fact: &Assumed, value: &Value) -> Result<(), String> {
    let name = fact.owner.last().ok_or("it has no name")?;
    let list = document
        .entry(fact.of)
        .or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
    match list {
        Item::ArrayOfTables(list) => {
            let mut table = Table::new();
            table.insert("name", Item::Value(Value::from(name.as_str())));
            table.insert(fact.key, Item::Value(value.clone()));
            list.push(table);
        }
        Item::Value(Value::Array(list)) => {
            let mut table = InlineTable::new();
            table.insert("name", Value::from(name.as_str()));
            table.insert(fact.key, value.clone());
            list.push(Value::InlineTable(table));
        }
        _ => return Err(format!("`{}` is no list of tables", fact.of)),
    }
    Ok(())
}

/// The way to the innermost table that begins at a place, or holds the name there.
fn find(table: &dyn TableLike, start: usize, way: &mut Vec<Step>, found: &mut Vec<Step>) {
    for (key, item) in table.iter() {
        way.push(Step::Key(key.to_owned()));
        if let Some(inner) = item.as_table_like() {
            if item.span().is_some_and(|span| span.start == start) {
                way.clone_into(found);
            }
            find(inner, start, way, found);
        } else if let Some(list) = item.as_array_of_tables() {
            for (at, inner) in list.iter().enumerate() {
                way.push(Step::At(at));
                if inner.span().is_some_and(|span| span.start == start) {
                    way.clone_into(found);
                }
                find(inner, start, way, found);
                way.pop();
            }
        } else if let Some(list) = item.as_array() {
            for (at, value) in list.iter().enumerate() {
                way.push(Step::At(at));
                let there = value.span().is_some_and(|span| span.start == start);
                match value.as_inline_table() {
                    Some(inner) => {
                        if there {
                            way.clone_into(found);
                        }
                        find(inner, start, way, found);
                    }
                    // One of several names: its row.
                    None if there => way[..way.len() - 2].clone_into(found),
                    None => {}
                }
                way.pop();
            }
        } else if item.span().is_some_and(|span| span.start == start) {
            way[..way.len() - 1].clone_into(found);
        }
        way.pop();
    }
}

fn table_at<'d>(item: &'d mut Item, way: &[Step]) -> Option<&'d mut dyn TableLike> {
    match way {
        [] => item.as_table_like_mut(),
        [Step::Key(key), rest @ ..] => table_at(item.as_table_like_mut()?.get_mut(key)?, rest),
        [Step::At(at), rest @ ..] => match item {
            Item::ArrayOfTables(list) => in_table(list.get_mut(*at)?, rest),
            Item::Value(Value::Array(list)) => in_table(list.get_mut(*at)?.as_inline_table_mut()?, rest),
            _ => None,
        },
    }
}

fn in_table<'d>(table: &'d mut dyn TableLike, way: &[Step]) -> Option<&'d mut dyn TableLike> {
    match way {
        [] => Some(table),
        [Step::Key(key), rest @ ..] => table_at(table.get_mut(key)?, rest),
        [Step::At(_), ..] => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_written_as_toml() {
        for (value, written) in [
            ("20 AWG", "\"20 AWG\""),
            ("16", "16"),
            ("[\"+\", \"-\"]", "[\"+\", \"-\"]"),
            ("\"24 V\"", "\"24 V\""),
            ("a \"b\"", "'a \"b\"'"),
        ] {
            assert_eq!(literal(value), written);
        }
    }
}
