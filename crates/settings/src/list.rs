//! All settings of a swap on a board.

use model::{Captured, Controller, Dialect, GaveWay, Topic};
use plan::{Finding, Setup};
use serde::{Serialize, Serializer};

use crate::captured::Unread;
use crate::expected::Expected;
use crate::guess::{Unknown, unknown};
use crate::job::{Job, List};
use crate::judge::{self, Doubt};
use crate::of_board;
use crate::reports;
use crate::setting::{By, Fate, Setting};
use crate::thermometer::ThermometerTable;
use crate::told::{Shown, Untold};
use crate::topics::{TRANSLATORS, thermometers};
use crate::understood::{Decided, Understood, understood};
use crate::units::{self, Clash};

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
    /// What was captured and is impossible, or contradicts the machine's files; it is not used.
    pub doubtful: Vec<Unread>,
    /// Every contradiction in what was captured, those of values that are used among them.
    pub doubts: Vec<Doubt>,
    /// What reports of the controllers contradict in the files of their boards.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub of_board: Vec<Finding>,
    /// Words, or letters of them, that were captured and whose meaning is not known.
    pub unknown: Vec<Unknown>,
    /// Where controllers differ: what their reports made certain.
    pub decided: Vec<Decided>,
    /// The words of the two controllers.
    pub words: Words,
    /// What reports of the new controller showed: nothing else is told.
    #[serde(serialize_with = "paths")]
    pub shown: Shown,
    /// What the new controller speaks, as certain as its reports make it.
    #[serde(skip)]
    pub dialect: Dialect,
}

/// Where the words of the two controllers come from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Words {
    /// Files of the old controller, what goes before standing last; none for the shared words alone.
    pub old: Vec<String>,
    /// Files of the new one.
    pub new: Vec<String>,
    /// Rows that gave way, each as a sentence.
    pub gave_way: Vec<String>,
    /// Files that no controller of the swap speaks.
    pub unused: Vec<String>,
}

fn paths<S: Serializer>(shown: &Shown, serializer: S) -> Result<S::Ok, S::Error> {
    shown.reports.serialize(serializer)
}

/// The settings of an assignment: reads what the swap captured of the old controller and of the new one, and lets every translator
/// work.
#[must_use]
pub fn settings(setup: &Setup<'_>) -> Settings {
    let swap = setup.swap;
    let expected = Expected { swap };
    let (old, new) = (swap.controller(&swap.old), swap.controller(setup.board));
    let new_texts: Vec<Captured> = new.after_loading.iter().chain(&new.read_back).cloned().collect();
    let mut before = understood(old, &swap.old_settings, &expected);
    let after = understood(new, &new_texts, &expected);
    let mut doubts = judge::judge(&Job {
        setup: *setup,
        reports: &before.reports,
        old_dialect: &before.dialect,
    });
    judge::leave_out(&doubts, &mut before.reports);
    let mut clashes = units::clashes(&after.dialect, &after.reports);
    let loaded = after.reports.len().min(new.after_loading.len());
    for clash in units::absurd(&after.dialect, &after.reports[..loaded]) {
        if !clashes
            .iter()
            .any(|known| known.word == clash.word && known.letters == clash.letters)
        {
            clashes.push(clash);
        }
    }
    let shown = Shown::of(&after.reports, new.after_loading.len()).without(clashes.clone());
    let job = Job {
        setup: *setup,
        reports: &before.reports,
        old_dialect: &before.dialect,
    };
    let mut list = List::new(&after.dialect, &shown);
    for translate in TRANSLATORS {
        translate(&job, &mut list);
    }
    judge::open(&mut doubts, &mut list);
    clashes.extend(withheld(&after, loaded, &mut list.settings));
    let file = new
        .files
        .last()
        .map_or("the words of that controller", String::as_str);
    doubts.extend(clashes.iter().map(|clash| reports::clashing(clash, file)));
    let unknown = both(&before, &after, old, new, &expected);
    doubts.extend(reports::doubts(swap, (old, &before), (new, &after), &unknown));
    let (settings, tables) = (list.settings, thermometers::tables(&job));
    let mut unread: Vec<Unread> = before
        .reports
        .iter()
        .flat_map(|report| report.unread.iter().cloned())
        .collect();
    // What stands beside a good read-back is told with the measurements.
    let loaded = after.reports.iter().take(new.after_loading.len());
    unread.extend(loaded.flat_map(|report| report.unread.iter().cloned()));
    Settings {
        board: setup.board.name.value.clone(),
        swap: swap.name.value.clone(),
        invented: swap.invented,
        settings,
        tables,
        unread,
        unknown,
        of_board: of_board::findings(setup, &after.reports[..new.after_loading.len()], &new_texts),
        doubtful: judge::lines(&doubts),
        doubts,
        decided: [before.decided, after.decided].concat(),
        words: words(old, new, &swap.unused_words),
        shown,
        dialect: after.dialect,
    }
}

/// Takes back from the running controller what a word would tell in another unit than the controller came with: all its numbers are off by the
/// factor of a unit.
fn withheld(after: &Understood, loaded: usize, settings: &mut [Setting]) -> Vec<Clash> {
    let mut out = Vec::new();
    for row in after.dialect.setting_words() {
        let told = |setting: &Setting| {
            setting.topic == row.topic && setting.is_told() && row.slot(&setting.of).is_some()
        };
        let shown = |setting: &Setting| {
            let mut reports = after.reports[..loaded].iter().rev();
            reports.find_map(|report| Some((report, report.last(setting.topic, &setting.of)?)))
        };
        let own = || settings.iter().filter(|setting| told(setting));
        let pairs: Vec<(f64, f64)> = own()
            .filter_map(|setting| {
                Some((
                    row.number(&setting.new.as_ref()?.any()?)?,
                    shown(setting)?.1.number,
                ))
            })
            .collect();
        let Some(factor) = units::off_by_a_unit(row, &pairs) else {
            continue;
        };
        let Some((report, value)) = own().find_map(shown) else {
            continue;
        };
        let clash = Clash {
            word: row.word.clone(),
            letters: row.letters.clone(),
            topic: row.topic,
            path: report.path.clone(),
            line: value.line,
            what: format!(
                "the controller came with {}{} ({}:{}), and each number of {} would be told about {factor:.3} times what it came with: its unit `{}` looks wrong",
                value.letter,
                value.number,
                report.path,
                value.line,
                units::name(row),
                row.unit().unwrap_or_default()
            ),
        };
        for setting in settings.iter_mut().filter(|setting| told(setting)) {
            setting.by = By::Build;
            setting.untold = Some(Untold::Open(row.word.clone(), clash.why()));
        }
        out.push(clash);
    }
    out
}

fn both(
    before: &Understood,
    after: &Understood,
    old: &Controller,
    new: &Controller,
    expected: &Expected<'_>,
) -> Vec<Unknown> {
    let mut out = unknown(&old.board, before, expected);
    out.extend(unknown(&new.board, after, expected));
    out
}

fn words(old: &Controller, new: &Controller, unused: &[String]) -> Words {
    let mut gave_way: Vec<String> = Vec::new();
    for gone in old.gave_way.iter().chain(&new.gave_way) {
        let GaveWay { what, of, to } = gone;
        let of = of.as_deref().unwrap_or("the shared words");
        let sentence = format!(
            "{what} of {of} gives way to {}",
            to.as_deref().unwrap_or("another row")
        );
        if !gave_way.contains(&sentence) {
            gave_way.push(sentence);
        }
    }
    Words {
        old: old.files.clone(),
        new: new.files.clone(),
        gave_way,
        unused: unused.to_vec(),
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
    /// How many settings somebody has to change: all but those that are carried over.
    #[must_use]
    pub fn that_change(&self) -> usize {
        self.settings.len() - self.count(Fate::Carried)
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
