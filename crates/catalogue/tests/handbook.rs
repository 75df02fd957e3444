//! The generated tables of the handbook page are up to date.

use std::fmt::Write;
use std::path::Path;

use catalogue::built_in;

/// Run with `UPDATE=1` to write the tables anew.
#[test]
fn the_generated_tables_of_the_page_are_up_to_date() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/handbook/data.md");
    let page = std::fs::read_to_string(&path).expect("docs/handbook/data.md can be read");
    let fresh = replaced(&replaced(&page, "limits", &limits()), "sources", &sources());
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&path, &fresh).expect("docs/handbook/data.md can be written");
    } else {
        assert!(
            page == fresh,
            "docs/handbook/data.md is stale: run this test with UPDATE=1"
        );
    }
}

/// The page with what stands between the two marks of `name` exchanged.
fn replaced(page: &str, name: &str, table: &str) -> String {
    let (begin, end) = (format!("<!-- begin {name} -->\n"), format!("<!-- end {name} -->"));
    let (before, rest) = page.split_once(&begin).expect("the mark where the table begins");
    let (_, after) = rest.split_once(&end).expect("the mark where the table ends");
    format!("{before}{begin}{table}{end}{after}")
}

fn limits() -> String {
    let mut out = String::from(
        "| key | value | what | why this figure | source | sure |\n| --- | --- | --- | --- | --- | --- |\n",
    );
    for limit in built_in().limits().all() {
        let (key, value, what, reason) = (limit.key, limit.value, limit.what, limit.reason);
        let _ = writeln!(
            out,
            "| `{key}` | {value} | {what} | {reason} | `{}` | {} |",
            limit.source, limit.sure
        );
    }
    out
}

fn sources() -> String {
    let mut out = String::from("| key | citation | document | note |\n| --- | --- | --- | --- |\n");
    for source in built_in().sources().rows() {
        let _ = writeln!(
            out,
            "| `{}` | {} | {} | {} |",
            source.key, source.citation, source.document, source.note
        );
    }
    out
}
