//! All settings of a swap on a board.

use plan::Setup;
use serde::Serialize;

use crate::captured::{Report, Unread, read_file};
use crate::dialect::Dialect;
use crate::job::{Job, List};
use crate::setting::{Fate, Setting};
use crate::thermometer::ThermometerTable;
use crate::topic::Topic;
use crate::topics::{TRANSLATORS, thermometers};

/// The settings of a board, with what could not be read of the old ones.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Settings {
    /// The name of the board.
    pub board: String,
    /// The name of the swap.
    pub swap: String,
    /// Whether the swap is made up for an example.
    pub invented: bool,
    /// The settings, in the order of the translators.
    pub settings: Vec<Setting>,
    /// Tables of the thermometers, for the build.
    pub tables: Vec<ThermometerTable>,
    /// What could not be read of what the old controller reported.
    pub unread: Vec<Unread>,
}

/// The settings of an assignment: reads what the swap captured, and lets every translator work.
#[must_use]
pub fn settings(setup: &Setup<'_>, dialect: &Dialect) -> Settings {
    let captured = &setup.swap.captured;
    let reports: Vec<Report> = captured
        .iter()
        .map(|file| read_file(&file.path, &file.text, dialect))
        .collect();
    from_reports(setup, &reports, dialect)
}

/// As [`settings`], from reports that were read before. `dialect` is that of the new controller.
#[must_use]
pub fn from_reports(setup: &Setup<'_>, reports: &[Report], dialect: &Dialect) -> Settings {
    let job = Job {
        setup: *setup,
        reports,
    };
    let mut list = List::new(dialect);
    for translate in TRANSLATORS {
        translate(&job, &mut list);
    }
    Settings {
        board: setup.board.name.value.clone(),
        swap: setup.swap.name.value.clone(),
        invented: setup.swap.invented,
        settings: list.settings,
        tables: thermometers::tables(&job),
        unread: reports
            .iter()
            .flat_map(|report| report.unread.iter().cloned())
            .collect(),
    }
}

impl Settings {
    /// The setting of a topic for a part.
    #[must_use]
    pub fn find(&self, topic: Topic, of: &str) -> Option<&Setting> {
        self.settings
            .iter()
            .find(|setting| setting.topic == topic && setting.of == of)
    }
    /// The setting with that identifier.
    #[must_use]
    pub fn named(&self, id: &str) -> Option<&Setting> {
        self.settings.iter().find(|setting| setting.id == id)
    }
    /// How many settings have a fate.
    #[must_use]
    pub fn count(&self, fate: Fate) -> usize {
        self.settings
            .iter()
            .filter(|setting| setting.fate == fate)
            .count()
    }
}
