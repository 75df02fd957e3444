//! The questions as `data/survey.toml` has them.

use std::sync::LazyLock;

use serde::Deserialize;

/// One row of `data/survey.toml`.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Row {
    /// Its name.
    pub id: String,
    /// What is asked.
    pub ask: String,
    /// What an answer may look like.
    pub hint: Option<String>,
    /// What it makes: a kind of device, `port` or `board`.
    pub makes: Option<String>,
    /// What its key belongs to: `machine`, `ambient`, `supply`, a kind of device, `axis`, `cable`, `input`, `port`, `driver`.
    pub of: Option<String>,
    /// The role of the ports that it makes, or is about.
    pub role: Option<String>,
    /// Asked only where the machine has such a device.
    #[serde(rename = "where")]
    pub has: Option<String>,
    /// The letters that tags of made devices begin with.
    pub tag: Option<String>,
    /// The key that an answer fills.
    pub key: Option<String>,
    /// Further keys that the same answer fills, each behind a comma.
    #[serde(default)]
    pub also: Vec<String>,
    /// The units of bare numbers under the key and those further ones.
    #[serde(default)]
    pub units: Vec<String>,
    /// The words that may be answered; any text where there are none.
    #[serde(default)]
    pub choices: Vec<String>,
    /// Whether other words than the choices may be answered too.
    #[serde(default)]
    pub free: bool,
    /// The unit of a bare number.
    pub unit: Option<String>,
    /// What is proposed.
    pub usual: Option<String>,
    /// `resistance`: a heater's power may be told by its resistance.
    #[serde(rename = "or")]
    pub instead: Option<String>,
    /// Whether nothing is planned without it.
    #[serde(default)]
    pub needed: bool,
    /// Whether a print tomorrow cannot do without it.
    #[serde(default)]
    pub today: bool,
    /// Whether it is asked for each thing by itself.
    #[serde(default)]
    pub each: bool,
    /// Whether an answer is a list of words.
    #[serde(default)]
    pub words: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    question: Vec<Row>,
}

static ROWS: LazyLock<Vec<Row>> = LazyLock::new(|| {
    let text = include_str!("../../../data/survey.toml");
    let file: File = toml::from_str(text).expect("data/survey.toml is tested");
    file.question
});

/// All questions, in their order.
pub(crate) fn all() -> &'static [Row] {
    &ROWS
}

impl Row {
    /// Whether it is about a candidate board, of which there may be several.
    pub fn is_of_board(&self) -> bool {
        let of = self.of.as_deref();
        self.makes.as_deref() == Some("port") || matches!(of, Some("input" | "port" | "driver"))
    }
}
