//! What the commands show: each picks sections of the same documents.

use bringup::Step;
use catalogue::Catalogue;
use document::{Block, Column, Document, Mark, Row, Section, Table, Text};
use physics::{Chance, Spread};
use plan::{Alternative, Comparison, Draws, Finding, Plan, Tally, Verdict, WhyNot};
use settings::{Settings, build_sheet};

use crate::about::About;
use crate::evidence::Measured;
use crate::tolerances::Names;
use crate::words::{plural, sentence};
use crate::{
    File, alternatives, compare, comparison as compared, finding, open, page, report, setting, step,
    tolerances, wiring,
};

fn titled(title: String, front: Vec<Block>) -> Document {
    Document {
        title: Text::of(title),
        front,
        ..Document::default()
    }
}

/// What is left to decide on a board and what no board changes, on one screen; every finding where all is asked for.
#[must_use]
pub fn check(plan: &Plan<'_>, chances: &[(&Finding, Chance)], all: bool) -> Document {
    let mut blocks: Vec<Block> = unproved(plan).into_iter().collect();
    if all {
        blocks.extend(open::to_decide(plan, chances));
        blocks.extend(open::of_machine(plan, chances));
        blocks.extend(open::handled(plan));
        blocks.extend(open::accepted(plan));
        blocks.extend(finding::tables(&About::of(plan, None)));
        blocks.push(Block::remark("Details: boardswap explain FINDING"));
    } else {
        let (entries, left) = open::brief(plan, chances);
        blocks.push(entries);
        let rest = match left {
            0 => "What is handled, notes, passes: --all".to_owned(),
            left => format!("{left} more, what is handled, passes: --all"),
        };
        let details = format!("Details: boardswap explain FINDING. {rest}");
        blocks.push(Block::remark(details));
    }
    Document {
        lead: open::counts(plan).and("."),
        ..titled(
            format!("{} on {}", plan.board.name, plan.swap.machine.name),
            blocks,
        )
    }
}

/// The candidates side by side.
#[must_use]
pub fn comparison(title: String, comparison: &Comparison) -> Document {
    titled(title, compare::screen(comparison))
}

/// Which board to take, and what to look at first; nothing where the comparison does not have the board.
#[must_use]
pub fn choice(plan: &Plan<'_>, comparison: &Comparison, shown: usize) -> Option<Section> {
    let mut entries = comparison.entries.iter();
    let entry = entries.find(|entry| entry.candidate == shown)?;
    Some(compared::choice(plan, entry, page::POINTS))
}

/// That another assignment may be better, since the search for it was stopped.
fn unproved(plan: &Plan<'_>) -> Option<Block> {
    let said = Text::of(sentence(&plan.optimum.proof));
    (!plan.optimum.proved).then(|| Block::Verdict(Mark::Caution, "open".to_owned(), said))
}

/// What has to be known first: that findings forbid a board that was named or chosen, and that its assignment is not proved best.
fn first(plan: &Plan<'_>) -> Vec<Block> {
    unproved(plan).into_iter().chain(blocked(plan)).collect()
}

/// So many of what blocks are named; `check` names all.
const BLOCKERS: usize = 4;

/// That a board was named or chosen although findings forbid it.
fn blocked(plan: &Plan<'_>) -> Option<Block> {
    let blockers = plan.with(Verdict::Blocker);
    let names: Vec<&str> = blockers
        .iter()
        .take(BLOCKERS)
        .map(|finding| finding.id.as_str())
        .collect();
    let more = match blockers.len().saturating_sub(names.len()) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let text = format!(
        "Not usable without changes: {} on {}: {}{more}. Do: settle them first.",
        plan.blocking(),
        plan.board.name,
        names.join(", ")
    );
    (!blockers.is_empty()).then(|| Block::say(text))
}

/// The leads and the next-best assignments.
#[must_use]
pub fn cables(plan: &Plan<'_>, rows: &[plan::Row], others: &[Alternative]) -> Document {
    let table = wiring::cables(&About::of(plan, None), rows);
    let minutes: i64 = rows.iter().map(|row| row.minutes).sum();
    let mut blocks = first(plan);
    blocks.extend([
        wiring::caution(),
        table.only(&["Tag", "Device", "From", "To", "Do"]).into(),
        Block::remark(format!(
            "About {minutes} min at the bench; {}.",
            plan.optimum.proof
        )),
    ]);
    if !others.is_empty() {
        blocks.push(Section::new("Next best", vec![alternatives::list(plan, others)]).into());
    }
    titled(
        format!("Cables of {} on {}", plan.swap.machine.name, plan.board.name),
        blocks,
    )
}

/// What changes in the settings, on one screen; what becomes of each of them, and why, where all are asked for.
#[must_use]
pub fn settings(plan: &Plan<'_>, settings: &Settings, all: bool) -> Document {
    let mut blocks = first(plan);
    let mut lead = Text::default();
    if all {
        blocks.extend(setting::settings(&About::of(plan, None), settings));
        blocks.push(Block::remark(
            "For the controller: --gcode; for the build: --build-sheet.",
        ));
    } else {
        let (counts, entries) = setting::brief(settings);
        lead = counts;
        blocks.push(entries);
        blocks.push(Block::remark(
            "Reasons: boardswap settings NAME. All: --all. Files: --gcode, --build-sheet.",
        ));
    }
    Document {
        lead,
        ..titled(format!("Settings for {}", settings.board), blocks)
    }
}

/// The settings that somebody asks for: by area, title, identifier or whose they are; nothing where none has that name.
#[must_use]
pub fn settings_meant(settings: &Settings, name: &str) -> Option<Settings> {
    setting::named(settings, name)
}

/// What becomes of the settings that somebody asked for by a name, and why.
#[must_use]
pub fn settings_named(plan: &Plan<'_>, meant: &Settings, name: &str) -> Document {
    let mut blocks = first(plan);
    blocks.extend(setting::listed(&About::of(plan, None), meant));
    titled(format!("Settings for {}: {name}", meant.board), blocks)
}

/// The areas by which settings can be asked for.
#[must_use]
pub fn setting_areas() -> &'static [&'static str] {
    &setting::AREAS
}

/// What no running controller can be told.
#[must_use]
pub fn build(plan: &Plan<'_>, settings: &Settings) -> Document {
    setting::sheet_alone(&About::of(plan, None), &build_sheet(settings))
}

/// The bring-up.
#[must_use]
pub fn bring_up(plan: &Plan<'_>, steps: &[Step]) -> Document {
    listed(plan, steps, step::title(plan))
}

/// The way back to the old board.
#[must_use]
pub fn way_back(plan: &Plan<'_>, steps: &[Step]) -> Document {
    let title = format!(
        "{} out, {} in again: the way back",
        plan.board.name, plan.swap.old.name
    );
    listed(plan, steps, Text::of(title))
}

fn listed(plan: &Plan<'_>, steps: &[Step], title: Text) -> Document {
    let mut front = first(plan);
    let beside = step::Beside {
        close_up: &|_| None,
        see: &|_| Text::default(),
    };
    front.extend(step::steps(steps, &plan::cables(plan), &beside));
    Document {
        title,
        front,
        ..Document::default()
    }
}

/// One step of the bring-up, by its place in the list, from 1; nothing where there is none.
#[must_use]
pub fn bring_up_step(steps: &[Step], number: usize) -> Document {
    let beside = step::Beside {
        close_up: &|_| None,
        see: &|_| Text::default(),
    };
    let step = number.checked_sub(1).and_then(|at| steps.get(at));
    Document {
        front: step
            .map(|own| step::action(number, own, &beside))
            .into_iter()
            .collect(),
        ..Document::default()
    }
}

/// What the bring-up recorded.
#[must_use]
pub fn recorded(rows: &[record::Row]) -> Document {
    if rows.is_empty() {
        let begin = Text::of("Begin with ").code("boardswap bring-up").and(".");
        return titled("Nothing is recorded yet".to_owned(), vec![Block::say(begin)]);
    }
    titled(
        format!("{} rows are recorded", rows.len()),
        crate::recorded::blocks(rows),
    )
}

/// What measurements mean, each in a sentence with the figures that carry it.
#[must_use]
pub fn measured(all: &[Measured]) -> Document {
    let (counts, entries) = report::brief(all);
    let rest = "One with all its figures: --only FILE. All: --all. Pictures: --pictures FOLDER.";
    Document {
        title: counts,
        front: vec![entries, Block::remark(rest)],
        ..Document::default()
    }
}

/// What measurements mean, with all that stands behind it. Pictures are named where they were written.
#[must_use]
pub fn measurements(
    catalogue: &Catalogue,
    all: &[Measured],
    pictures: Option<&dyn Fn(usize) -> String>,
) -> Document {
    Document {
        sections: report::measured(catalogue, all, pictures),
        ..Document::default()
    }
}

/// How numbers came about: findings with all that stands behind them, each with the chance that its limit holds.
#[must_use]
pub fn opened(plan: &Plan<'_>, draws: &Draws, findings: &[(&Finding, Chance)]) -> Document {
    let about = About::of(plan, Some(draws));
    let cards = findings
        .iter()
        .map(|(finding, chance)| finding::opened(&about, finding, Some(*chance)));
    Document {
        front: cards.collect(),
        ..Document::default()
    }
}

/// Why a device is not at a port.
#[must_use]
pub fn why_not(plan: &Plan<'_>, answer: &WhyNot) -> Document {
    let about = About::of(plan, None);
    let ways = answer.ways.iter().map(|way| {
        let findings = way
            .findings
            .iter()
            .map(|finding| finding::opened(&about, finding, None));
        Section::new(format!("{}: {}", way.way, way.answer), findings.collect())
    });
    Document {
        title: Text::of(&answer.answer),
        sections: ways.collect(),
        ..Document::default()
    }
}

/// How likely the limits hold that the worst corner breaks.
#[must_use]
pub fn chances(plan: &Plan<'_>, draws: &Draws, tally: &Tally, spread: Spread, seed: u64) -> Document {
    let about = About::of(plan, Some(draws));
    titled(
        format!("{} on {}", plan.board.name, plan.swap.machine.name),
        tolerances::chances(&about, tally, spread, Some(seed), Names::Ids),
    )
}

/// Which files were written: each by name, those in folders counted.
#[must_use]
pub fn written(plan: &Plan<'_>, files: &[File], path: &dyn Fn(&str) -> String) -> Document {
    let kilobytes = |bytes: usize| format!("{} kB", bytes.div_ceil(1000));
    let mut rows: Vec<Row> = Vec::new();
    let mut folders: Vec<(&str, usize, usize)> = Vec::new();
    for file in files {
        let Some((folder, _)) = file.name.split_once('/') else {
            rows.push(Row::of([
                kilobytes(file.text.len()),
                path(&file.name),
                String::new(),
            ]));
            continue;
        };
        match folders.iter_mut().find(|(own, _, _)| *own == folder) {
            Some((_, count, bytes)) => {
                *count += 1;
                *bytes += file.text.len();
            }
            None => folders.push((folder, 1, file.text.len())),
        }
    }
    rows.extend(folders.into_iter().map(|(folder, count, bytes)| {
        Row::of([kilobytes(bytes), path(folder), plural(count, "file", "files")])
    }));
    let table = Table::new([Column::number(""), Column::short(""), Column::short("")], rows);
    titled(
        format!("Report on {} with {}", plan.swap.machine.name, plan.board.name),
        vec![table.into()],
    )
}

/// What to do with a dossier.
#[must_use]
pub fn next(plan: &Plan<'_>, page: &str) -> Vec<Block> {
    let blockers = plan.count(Verdict::Blocker);
    let what = if blockers > 0 {
        let said = format!(
            "settle first what blocks it ({}), or take another board.",
            plan.blocking()
        );
        let word = format!("{} cannot be built like this", plan.board.name);
        Block::Verdict(Mark::Stop, word, Text::of(said))
    } else {
        Block::say(format!(
            "Next: open {page} in a browser. Settle what stands first: `boardswap check` says how. Then print bench-sheet.html and checklist.html beside it."
        ))
    };
    let mains = "Mains and supply wiring belong to a qualified person and local codes.";
    vec![what, Block::remark(mains)]
}
