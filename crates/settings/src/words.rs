//! Small pieces of sentences.

/// "0.4 %": one decimal, none where it is zero.
pub(crate) fn percent(share: f64) -> String {
    let text = format!("{:.1}", share * 100.0);
    format!("{} %", text.strip_suffix(".0").unwrap_or(&text))
}
