//! JSON Schemas of the four kinds of file, from the same declarations that read them.

use serde_json::{Value as Json, json};

use crate::file::board::BoardFile;
use crate::file::machine::MachineFile;
use crate::file::swap::SwapFile;
use crate::file::words::WordsFile;
use crate::read::Field;

/// The names of the schemas, which are also the names of the files: `swap`, `machine`, `board`, `words`.
pub const SCHEMAS: [&str; 4] = ["swap", "machine", "board", "words"];

/// The JSON Schema (draft 2020-12) of a kind of file; `None` where there is no such kind.
#[must_use]
pub fn schema(name: &str) -> Option<Json> {
    let mut schema = match name {
        "swap" => SwapFile::schema(),
        "machine" => MachineFile::schema(),
        "board" => BoardFile::schema(),
        "words" => WordsFile::schema(),
        _ => return None,
    };
    schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    schema["title"] = json!(format!("{name} file of a Boardswap folder"));
    Some(schema)
}
