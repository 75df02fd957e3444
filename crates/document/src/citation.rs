//! Citations: what a source is called, where in it, and what to know about it; each said once, and with one stop.

/// A source as it is cited.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Citation {
    /// What it is called, without full stop.
    pub source: String,
    /// Where in it: "table 1"; empty for the whole.
    pub clause: String,
    /// What to know about its use, such as that it is from memory; empty where there is nothing to say.
    pub remark: String,
}

impl Citation {
    /// A source; a full stop at the end of its parts is taken away.
    #[must_use]
    pub fn new(source: &str, clause: &str, remark: &str) -> Self {
        let bare = |text: &str| text.trim().trim_end_matches('.').to_owned();
        Self {
            source: bare(source),
            clause: bare(clause),
            remark: bare(remark),
        }
    }
    /// The sentence that names it: "Formula from: IEC 60028, table 1."
    #[must_use]
    pub fn sentence(&self, what: &str) -> String {
        format!("{what} from: {self}.")
    }
    /// Its line in a list of sources, with the remark.
    #[must_use]
    pub fn listed(&self) -> crate::Text {
        let remark = Some(format!(" ({})", self.remark)).filter(|_| !self.remark.is_empty());
        crate::Text::of(self.to_string()).quiet(remark.unwrap_or_default())
    }
}

impl core::fmt::Display for Citation {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        formatter.write_str(&self.source)?;
        if self.clause.is_empty() {
            return Ok(());
        }
        write!(formatter, ", {}", self.clause)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_stop_is_written_twice() {
        let cited = Citation::new(
            "Any textbook (Fundamentals of Heat Transfer).",
            "lumped body.",
            "From memory.",
        );
        assert_eq!(
            cited.sentence("Formula"),
            "Formula from: Any textbook (Fundamentals of Heat Transfer), lumped body."
        );
        assert_eq!(
            cited.listed().words(),
            "Any textbook (Fundamentals of Heat Transfer), lumped body (From memory)"
        );
    }
}
