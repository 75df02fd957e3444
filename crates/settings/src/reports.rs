//! What the files of reports hold as a whole: nothing, words that nobody can read, or what another controller said.
//!
//! A report that is empty, or of a controller whose words are not known, warns of nothing; that must not look better than one that does.

use model::{Captured, Controller, Swap, Topic};
use plan::{Stake, Verdict};

use crate::bounds::{self, Bound};
use crate::captured::Report;
use crate::guess::Unknown;
use crate::judge::Doubt;
use crate::understood::Understood;
use crate::units::Clash;

/// From this share of its words on, a report without a meaning is one whose words are not known.
const MANY: f64 = 0.3;

/// What is wrong with the files themselves.
pub(crate) fn doubts(
    swap: &Swap,
    (old, before): (&Controller, &Understood),
    (new, after): (&Controller, &Understood),
    unknown: &[Unknown],
) -> Vec<Doubt> {
    let loaded = after.reports.len().min(new.after_loading.len());
    let mut out: Vec<Doubt> = Vec::new();
    out.extend(empty(old, &before.reports, "what was set there"));
    out.extend(empty(new, &after.reports[..loaded], "which words it knows"));
    out.extend(not_known(old, &before.reports, unknown));
    out.extend(of_another(swap, new));
    out
}

fn whole(board: &str, what: &str, words: String, stake: Stake, remedy: String) -> Doubt {
    Doubt {
        topic: Topic::Lights,
        of: String::new(),
        whole: Some(format!("{what}-{}", board.replace(' ', "-"))),
        old: None,
        text: String::new(),
        left_out: false,
        verdict: Verdict::Caution,
        stake,
        what: words,
        remedy,
        source: "common-practice",
        place: None,
    }
}

/// A file in which nothing stands that tells a setting.
fn empty(controller: &Controller, reports: &[Report], unknown: &str) -> Option<Doubt> {
    let holds = |report: &Report| !report.values.is_empty() || !report.commands.is_empty();
    let empty: Vec<&str> = reports
        .iter()
        .filter(|report| !holds(report))
        .map(|report| report.path.as_str())
        .collect();
    let paths = empty.join(", ");
    (!empty.is_empty()).then(|| {
        whole(
            &controller.board,
            "empty",
            format!("the report {paths} holds no setting of {}: {unknown} is not known", controller.board),
            Stake::Safety,
            format!(
                "Save the report of {} once more, whole, and run Boardswap again. Where it is gone, take the file out, and check each value that stands in the settings",
                controller.board
            ),
        )
    })
}

/// Words of the old controller that no row gives a meaning: most of its report, or such as may hold what people or fire depend on.
fn not_known(controller: &Controller, reports: &[Report], unknown: &[Unknown]) -> Option<Doubt> {
    let mut all: Vec<&str> = reports
        .iter()
        .flat_map(|report| &report.commands)
        .map(|spoken| spoken.word.as_str())
        .collect();
    all.sort_unstable();
    all.dedup();
    let own = || unknown.iter().filter(|unknown| unknown.board == controller.board);
    let strange = own().filter(|unknown| !unknown.letters.is_empty());
    #[expect(clippy::cast_precision_loss, reason = "a few words")]
    let many = strange.count() as f64 >= MANY * all.len() as f64;
    // The likeliest guess stands first.
    let stake = |unknown: &Unknown| {
        let first = unknown.guesses.first()?;
        Some(bounds::bound(first.setting, "hot end").map_or(Stake::Function, Bound::stake))
    };
    let grave = |unknown: &&Unknown| stake(unknown) == Some(Stake::Safety);
    let named: Vec<&Unknown> = if many {
        own().collect()
    } else {
        own().filter(grave).collect()
    };
    let first = named.first()?;
    let mut words: Vec<&str> = named.iter().map(|unknown| unknown.word.as_str()).collect();
    words.dedup();
    let file = controller.files.last().map_or_else(
        || "write a file `words/NAME.toml`, and name it as `words` of its `[[controller]]`".to_owned(),
        |path| format!("add their rows to {path}"),
    );
    Some(whole(
        &controller.board,
        "words",
        format!(
            "what {} of {} mean is not known. What they hold is not carried over, and nothing warns of it",
            words.join(", "),
            first.path
        ),
        if many {
            Stake::Safety
        } else {
            Stake::Safety.min(stake(first).unwrap_or(Stake::Function))
        },
        format!(
            "Look these words up in the manual of that controller, and {file}. `settings --all` shows what they may hold"
        ),
    ))
}

/// A report of the new controller that another controller gave.
fn of_another(swap: &Swap, new: &Controller) -> Option<Doubt> {
    let others = swap.controllers.iter().filter(|other| other.board != new.board);
    let others = others.flat_map(|other| {
        other
            .after_loading
            .iter()
            .map(|report| (other.board.as_str(), report))
    });
    let old = swap
        .old_settings
        .iter()
        .map(|report| (swap.old.name.value.as_str(), report));
    let mut all = old.chain(others);
    let same = |own: &Captured, other: &Captured| own.text == other.text && !own.text.trim().is_empty();
    let (own, (board, other)) = new
        .after_loading
        .iter()
        .find_map(|own| Some((own, all.find(|(_, other)| same(own, other))?)))?;
    Some(whole(
        &new.board,
        "report",
        format!(
            "the file {} is named as the report of {}, and it is that of {board} ({}). It shows nothing of what {} knows",
            own.path, new.board, other.path, new.board
        ),
        Stake::Safety,
        format!(
            "Load {}, ask it for its settings, save the answer, and name that file as `after_loading`. Send nothing before",
            new.board
        ),
    ))
}

/// A word of the new controller whose unit its own report contradicts: nothing is told by it.
pub(crate) fn clashing(clash: &Clash, file: &str) -> Doubt {
    Doubt {
        topic: clash.topic,
        of: clash.word.clone(),
        whole: None,
        old: None,
        text: String::new(),
        left_out: false,
        verdict: Verdict::Caution,
        stake: bounds::bound(clash.topic, "hot end").map_or(Stake::Function, Bound::stake),
        what: format!("{}. Nothing is told by it", clash.what),
        remedy: format!("Read the unit at the controller, correct {file}, and run Boardswap again"),
        source: "common-practice",
        place: None,
    }
}
