//! What to do about a finding, in words.

use core::fmt;
use core::ops::Deref;
use std::sync::{Arc, LazyLock};

use serde::{Serialize, Serializer};

/// What to do about a finding: text that is at hand, or that is worked out when it is first read. Most are never read: of another answer to an
/// open fact, only verdicts count.
#[derive(Clone)]
pub struct Remedy(Words);

#[derive(Clone)]
enum Words {
    Said(String),
    Later(Arc<LazyLock<String, Box<dyn FnOnce() -> String + Send>>>),
}

impl Remedy {
    /// One that is worked out when it is first read, once for all copies.
    #[must_use]
    pub fn later(words: impl FnOnce() -> String + Send + 'static) -> Self {
        Self(Words::Later(Arc::new(LazyLock::new(Box::new(words)))))
    }
}

impl Deref for Remedy {
    type Target = str;
    fn deref(&self) -> &str {
        match &self.0 {
            Words::Said(words) => words,
            Words::Later(words) => words,
        }
    }
}

impl<S: Into<String>> From<S> for Remedy {
    fn from(words: S) -> Self {
        Self(Words::Said(words.into()))
    }
}

impl fmt::Display for Remedy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self)
    }
}

impl fmt::Debug for Remedy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&**self, f)
    }
}

impl PartialEq for Remedy {
    fn eq(&self, other: &Self) -> bool {
        **self == **other
    }
}

impl Serialize for Remedy {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self)
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicU32, Ordering};

    use super::*;

    #[test]
    fn it_is_worked_out_once_for_all_copies_and_not_before_it_is_read() {
        let asked = Arc::new(AtomicU32::new(0));
        let counted = Arc::clone(&asked);
        let remedy = Remedy::later(move || {
            counted.fetch_add(1, Ordering::Relaxed);
            "another fan".to_owned()
        });
        let copy = remedy.clone();
        assert_eq!(asked.load(Ordering::Relaxed), 0);
        assert_eq!(&*copy, "another fan");
        assert_eq!(remedy, Remedy::from("another fan"));
        assert_eq!(serde_json::to_string(&remedy).unwrap(), "\"another fan\"");
        assert_eq!(asked.load(Ordering::Relaxed), 1);
    }
}
