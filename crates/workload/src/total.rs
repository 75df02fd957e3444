//! Many programs together, whatever their number.

use std::sync::Arc;

use quantity::Number as _;
use quantity::si::{Ratio, Time};
use serde::Serialize;

use crate::outcome::{Course, Work, told};
use crate::words::{count, grouped};

/// Programs that are listed one by one; of more the most demanding ones.
const LISTED: usize = 1_000;

/// All programs of a run.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Workload {
    /// What they ask for together; `None` where none could be read.
    pub total: Option<Work>,
    /// Each by itself, the most demanding first.
    pub files: Vec<FileShare>,
    /// Files that were refused, with the reason.
    pub refused: Vec<Refusal>,
    /// Files of which the end is missing, with the reason.
    pub cut: Vec<Refusal>,
    /// Files that are no programs by their names.
    pub others: u64,
    /// The course of the most demanding program.
    #[serde(skip)]
    pub course: Option<(Arc<str>, Course)>,
}

/// What one program asks for, in short.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FileShare {
    /// Its name.
    pub name: Arc<str>,
    /// Its time, as far as it is known.
    #[serde(serialize_with = "told")]
    pub time: Time,
    /// For each board the share of it that is asked for.
    #[serde(serialize_with = "told_shares")]
    pub shares: Vec<Ratio>,
}

/// A file and what is wrong with it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Refusal {
    /// Its name.
    pub name: String,
    /// What is wrong.
    pub why: String,
}

fn told_shares<S: serde::Serializer>(shares: &[Ratio], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_seq(shares.iter().map(|share| quantity::Value::exact(*share)))
}

impl Workload {
    /// Adds a program. `cut` says why its end is missing, where it is.
    pub fn add(&mut self, work: Work, course: Course, cut: Option<String>) {
        if !work.is_program() {
            let (name, lines) = (work.name.to_string(), work.lines);
            let why = cut.unwrap_or_else(|| match (lines, work.understood) {
                (0, _) => "it is empty".to_owned(),
                (_, 0) => format!(
                    "it holds no G-code: no known command in {}",
                    count(lines, "line", "lines")
                ),
                _ => format!(
                    "{} of {} lines cannot be read",
                    grouped(work.broken),
                    grouped(lines)
                ),
            });
            return self.refuse(name, why);
        }
        if let Some(why) = cut {
            self.cut.push(Refusal {
                name: work.name.to_string(),
                why,
            });
        }
        let shares: Vec<Ratio> = work.boards.iter().map(|board| board.share).collect();
        let file = FileShare {
            name: work.name.clone(),
            time: work.times.whole(),
            shares,
        };
        let first = |file: &FileShare| file.shares.first().map_or(0.0, |share| share.base());
        // In falling order; equal ones in the order of reading.
        let at = self.files.partition_point(|other| first(other) >= first(&file));
        if at == 0 {
            self.course = Some((work.name.clone(), course));
        }
        self.files.insert(at, file);
        self.files.truncate(LISTED);
        match &mut self.total {
            None => self.total = Some(work),
            Some(total) => total.merge(&work),
        }
    }

    /// Notes a file that cannot be read at all.
    pub fn refuse(&mut self, name: impl Into<String>, why: impl Into<String>) {
        self.refused.push(Refusal {
            name: name.into(),
            why: why.into(),
        });
    }
}
