//! Collects what could not be read: the same trouble of many lines is told once, with the first line and their number.

use crate::Trouble;

/// What is said of the kinds that are not told one by one.
const REST: &str = "other lines that could not be read";
/// More kinds of trouble than this are not told one by one.
const KINDS: usize = 40;

#[derive(Clone, Debug, Default)]
pub(crate) struct Troubles {
    found: Vec<Trouble>,
}

impl Troubles {
    /// One more line with this trouble.
    pub fn add(&mut self, line: u64, what: &str) {
        if let Some(known) = self.found.iter_mut().find(|known| known.what == what) {
            known.count += 1;
            return;
        }
        if self.found.len() < KINDS {
            self.found.push(Trouble::at(line, what));
            return;
        }
        self.add_rest(line, 1);
    }

    /// One more row of a table that could not be read.
    pub fn lose(&mut self, line: u64, what: &str) {
        self.add(line, what);
        if let Some(own) = self
            .found
            .iter_mut()
            .rev()
            .find(|own| own.what == what || own.what == REST)
        {
            own.is_lost = true;
        }
    }

    /// Something about the whole.
    pub fn of_all(&mut self, what: impl Into<String>) {
        self.found.push(Trouble::of_all(what));
    }

    /// Those of a later part of the file, which began after so many lines.
    pub fn append(&mut self, later: Troubles, lines_before: u64) {
        for mut trouble in later.found {
            trouble.line = trouble.line.map(|line| line + lines_before);
            let known = self.found.iter().position(|known| known.what == trouble.what);
            match known {
                Some(at) if trouble.line.is_some() => self.found[at].count += trouble.count,
                Some(_) => {}
                None if self.found.len() < KINDS || trouble.line.is_none() => self.found.push(trouble),
                None => self.add_rest(trouble.line.unwrap_or(1), trouble.count),
            }
        }
    }

    /// How many lines these are, each trouble for itself.
    pub fn lines(&self) -> u64 {
        let of_lines = self.found.iter().filter(|trouble| trouble.line.is_some());
        of_lines.map(|trouble| trouble.count).sum()
    }

    pub fn into_inner(self) -> Vec<Trouble> {
        self.found
    }

    fn add_rest(&mut self, line: u64, count: u64) {
        let what = REST;
        match self.found.iter_mut().find(|known| known.what == what) {
            Some(rest) => rest.count += count,
            None => self.found.push(Trouble {
                count,
                ..Trouble::at(line, what)
            }),
        }
    }
}
