//! The bibliography: what each `source` key of the tables and formulas stands for.

use serde::Deserialize;

use crate::table::{Row, Sure};

/// One source, as it is cited.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// The key, in kebab-case, by which rows and formulas name it.
    pub key: String,
    /// Who, what, which edition: enough to find it.
    pub citation: String,
    /// Whose paper it is, where it is one of many of a kind: for the bibliography alone, since outputs cite by kind.
    #[serde(default)]
    pub document: String,
    /// What to know about our use of it; empty where there is nothing to say.
    #[serde(default)]
    pub note: String,
}

impl Row for Source {
    const ARRAY: &'static str = "source";
    fn key(&self) -> &str {
        &self.key
    }
    /// Itself.
    fn source(&self) -> &str {
        &self.key
    }
    fn sure(&self) -> Sure {
        Sure::AsStated
    }
    fn contradictions(&self) -> Vec<String> {
        let kebab = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        let mut out = Vec::new();
        if self.key.is_empty() || !self.key.chars().all(kebab) {
            out.push("a key is small letters, digits and hyphens".to_owned());
        }
        if self.citation.trim().is_empty() {
            out.push("the citation is empty".to_owned());
        }
        out
    }
}
