//! What was measured: for each report verdict, sentence, figures with intervals, pictures, tables, what was left out.

use ::evidence::{Report, Table as Data, Trouble, Verdict};
use catalogue::Catalogue;
use document::{
    Block, Brief, Column, Entry, Figure, Figures, Fitted, Fold, Mark, Opens, Origin, Phone, Picture, Row,
    Section, Table, Text,
};

use crate::about::{cite, working};
use crate::evidence::Measured;
use crate::words::{capital, first_clause, plural, sentence};

/// Columns that fit beside each other on a phone.
const ON_A_PHONE: usize = 4;

/// All measurements: one section for each report, and one for each file that was refused. Pictures are named by their place among all;
/// without a name they are left out.
pub(crate) fn measured(
    catalogue: &Catalogue,
    all: &[Measured],
    name: Option<&dyn Fn(usize) -> String>,
) -> Vec<Section> {
    let mut sections = Vec::new();
    let mut drawn = 0;
    for measured in all {
        let from = from(measured);
        if let Err(refused) = &measured.outcome {
            let problem = Text::marked(&sentence(&refused.problem));
            let mend = Text::default()
                .strong("Mend: ")
                .and_marked(&sentence(&refused.mend));
            let mut blocks = vec![
                Block::Verdict(Mark::Stop, "refused".to_owned(), problem),
                Block::say(mend),
            ];
            blocks.extend(troubles(&refused.troubles));
            blocks.push(from.clone());
            sections.push(Section::new(capital(measured.kind.word()), blocks));
        }
        for report in measured.reports() {
            let pictures = name.map(|name| {
                let numbered = (drawn..).zip(&report.pictures);
                let block = |(at, own): (usize, &::evidence::Picture)| picture(name(at), own.title());
                numbered.map(block).collect()
            });
            drawn += report.pictures.len();
            let mut blocks = self::report(catalogue, report, pictures.unwrap_or_default());
            blocks.push(from.clone());
            sections.push(Section::new(&report.title, blocks));
        }
    }
    sections
}

/// How many figures carry a measurement on a screen.
const FIGURES: usize = 3;

/// All measurements at one look, the urgent ones first: for each file its verdict, name and sentence, the figures that carry it, and what to do
/// where it does not pass; what was refused says why.
pub(crate) fn brief(all: &[Measured]) -> (Text, Block) {
    let urgency = |measured: &&Measured| {
        let verdicts = measured.reports().iter().map(|report| report.verdict);
        let verdict = |wanted| verdicts.clone().any(|verdict| verdict == wanted);
        match measured.outcome {
            Err(_) => 0,
            Ok(_) if verdict(Verdict::Fail) => 1,
            Ok(_) if verdict(Verdict::Open) => 2,
            Ok(_) => 3,
        }
    };
    let mut sorted: Vec<&Measured> = all.iter().collect();
    sorted.sort_by_key(urgency);
    let (folder, usual) = (folder(all), usual_board(all));
    let entries = sorted.into_iter().flat_map(|measured| {
        let name = &measured.file[folder.len()..];
        let board = measured.board.as_deref().filter(|board| *board != usual);
        let board = board.unwrap_or_default();
        let refused = measured.outcome.as_ref().err();
        let refused = refused.map(|refused| {
            let said = glance(Mark::Stop, "refused", name, &refused.problem);
            let mend = Text::default()
                .strong("Do: ")
                .and_marked(&sentence(&refused.mend));
            let mut lines = vec![Fitted::new(said, board), Fitted::new(mend, "")];
            lines.extend(left_out(&refused.troubles));
            Entry { presses: true, lines }
        });
        let reports = measured.reports().iter();
        let first = measured.reports().first().map_or("", |report| &report.title);
        let several = reports.len() > 1;
        let reports = reports.map(move |report| {
            // What a title repeats of the first one tells nothing.
            let own = report.title.strip_prefix(first);
            let which = match own {
                Some(rest) if several && !rest.is_empty() => rest.trim_start_matches([':', ' ']),
                None => &report.title,
                // The first needs its title where the others are no part of it.
                Some(_) if several && measured.reports().iter().any(|own| !own.title.starts_with(first)) => {
                    first
                }
                Some(_) => "",
            };
            of_report(report, name, board, which)
        });
        refused.into_iter().chain(reports)
    });
    let entries = vec![Brief {
        title: Text::default(),
        entries: entries.collect(),
    }];
    let mut places = Vec::new();
    if !folder.is_empty() {
        places.push(format!("in {folder}"));
    }
    if !usual.is_empty() {
        places.push(format!("on {usual}"));
    }
    let counts = counts(all);
    let counts = match counts.split_once(": ") {
        Some((files, verdicts)) if !places.is_empty() => format!("{files} {}: {verdicts}", places.join(", ")),
        _ => counts,
    };
    (Text::of(counts), Block::Brief(entries))
}

/// The board on which most was measured; empty where a file names none.
fn usual_board(all: &[Measured]) -> &str {
    if all.iter().any(|measured| measured.board.is_none()) {
        return "";
    }
    let boards = all.iter().filter_map(|measured| measured.board.as_deref());
    let times = |board: &str| {
        all.iter()
            .filter(|own| own.board.as_deref() == Some(board))
            .count()
    };
    boards.max_by_key(|board| times(board)).unwrap_or_default()
}

/// The folder in which all files are, with its stroke; empty where they are in several.
fn folder(all: &[Measured]) -> &str {
    let of = |measured: &'_ Measured| measured.file.rfind('/').map_or(0, |at| at + 1);
    let Some(first) = all.first() else {
        return "";
    };
    let folder = &first.file[..of(first)];
    let same = all
        .iter()
        .all(|measured| &measured.file[..of(measured)] == folder);
    if same { folder } else { "" }
}

fn glance(mark: Mark, word: &str, name: &str, said: &str) -> Text {
    let text = Text::default().verdict(mark, word).and(" ").strong(name);
    text.and(": ").and_marked(&sentence(said))
}

/// One report of a file; `which` tells it from others of that file.
fn of_report(report: &Report, name: &str, board: &str, which: &str) -> Entry {
    let asks = matches!(report.verdict, Verdict::Fail | Verdict::Open);
    let figures = report.figures.iter().take(FIGURES);
    let figures = figures.map(|figure| Text::of(format!("{} {}", figure.brief(), figure.at_a_glance())));
    let figures: Vec<Text> = figures.collect();
    let mark = mark(report.verdict);
    if !asks && !figures.is_empty() {
        // What passes has one line: its figures say it.
        let mut about: Vec<String> = Vec::new();
        if !which.is_empty() {
            about.push(format!(", {which}"));
        }
        if !board.is_empty() {
            about.push(format!(" on {board}"));
        }
        let remarks: u64 = report.troubles.iter().map(|trouble| trouble.count).sum();
        if remarks > 0 {
            about.push(format!(" ({})", plural(remarks, "remark", "remarks")));
        }
        let head = Text::default().verdict(mark, report.verdict.word());
        let head = head.and(" ").strong(name).and(format!("{}:", about.concat()));
        return Entry {
            presses: false,
            lines: vec![Fitted::with(head, figures)],
        };
    }
    let board = if board.is_empty() {
        String::new()
    } else {
        format!(" on {board}")
    };
    let (said, _) = first_clause(&report.sentence);
    let said = glance(mark, report.verdict.word(), &format!("{name}{board}"), said);
    let figures = figures.into_iter().enumerate().map(|(at, own)| match at {
        0 => Text::of(capital(&own.words())),
        _ => own,
    });
    let figures = figures.collect();
    let mut lines = vec![Fitted::with(said, figures)];
    let helps = report.advice.iter().find(|advice| asks && advice.helps);
    lines.extend(helps.map(|advice| {
        let text = Text::default().strong("Do: ");
        Fitted::new(text.and_marked(&sentence(&without_asides(&advice.sentence))), "")
    }));
    lines.extend(left_out(&report.troubles));
    Entry { presses: asks, lines }
}

/// A sentence without what it says in long brackets: the whole file shows that.
fn without_asides(sentence: &str) -> String {
    const LONG: usize = 30;
    let mut out = String::new();
    let mut rest = sentence;
    while let Some((before, (inside, after))) = rest
        .split_once('(')
        .and_then(|(before, behind)| Some((before, behind.split_once(')')?)))
    {
        out.push_str(before);
        if inside.chars().count() > LONG && !inside.contains('(') {
            out.truncate(out.trim_end().len());
        } else {
            out.push_str(&format!("({inside})"));
        }
        rest = after;
    }
    out + rest
}

/// How much of a file was not read, with the first reason.
fn left_out(troubles: &[Trouble]) -> Option<Fitted> {
    let lines: u64 = troubles.iter().map(|trouble| trouble.count).sum();
    let first = troubles.first()?;
    let count = plural(lines, "remark on the file", "remarks on the file");
    Some(Fitted::new(
        Text::of(format!("{count}: ")).and_marked(&first.to_string()),
        "",
    ))
}

/// "15 files: 2 fail, 3 open, 9 pass, 1 result".
pub(crate) fn counts(all: &[Measured]) -> String {
    let verdicts = [Verdict::Fail, Verdict::Open, Verdict::Pass, Verdict::Result];
    let count = |verdict: Verdict| {
        let reports = all.iter().flat_map(Measured::reports);
        reports.filter(|report| report.verdict == verdict).count()
    };
    let refused = all.iter().filter(|measured| measured.outcome.is_err()).count();
    let counted = verdicts.map(|verdict| (count(verdict), verdict.word()));
    let counted = std::iter::once((refused, "refused")).chain(counted);
    let words: Vec<String> = counted
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| format!("{count} {word}"))
        .collect();
    format!("{}: {}.", plural(all.len(), "file", "files"), words.join(", "))
}

fn picture(name: String, title: &str) -> Block {
    let picture = Picture {
        name,
        title: title.to_owned(),
        is_file: true,
        broad: false,
    };
    picture.into()
}

fn from(measured: &Measured) -> Block {
    let text = Text::of(format!("{} in ", capital(measured.kind.word()))).code(&measured.file);
    let board = measured
        .board
        .as_ref()
        .map(|board| format!(", measured on {board}"));
    Block::remark(text.and(board.unwrap_or_default()).and("."))
}

fn report(catalogue: &Catalogue, report: &Report, pictures: Vec<Block>) -> Vec<Block> {
    let word = report.verdict.word().to_owned();
    let said = Text::marked(&sentence(&report.sentence));
    let mut blocks = vec![Block::Verdict(mark(report.verdict), word, said)];
    if !report.figures.is_empty() {
        let items = report.figures.iter().map(figure).collect();
        blocks.push(Block::Figures(Figures { items, glance: false }));
    }
    if !report.advice.is_empty() {
        blocks.push(Block::list(report.advice.iter().map(|advice| {
            let word = if advice.helps {
                "Helps: "
            } else {
                "Does not help: "
            };
            Text::default()
                .strong(word)
                .and_marked(&sentence(&advice.sentence))
        })));
    }
    blocks.extend(pictures);
    blocks.extend(report.tables.iter().map(table));
    let workings = report.figures.iter().filter_map(|figure| figure.working.as_ref());
    let mut behind: Vec<Block> = workings.map(|own| working(catalogue, own).into()).collect();
    let methods = report
        .sources
        .iter()
        .map(|key| cite(catalogue, key, "").to_string());
    let methods = methods.collect::<Vec<_>>().join("; ");
    if !methods.is_empty() {
        behind.push(Block::remark(format!("Methods from: {methods}.")));
    }
    if !behind.is_empty() {
        blocks.push(Fold::new(Opens::Demand, "How this came about", behind).into());
    }
    blocks.extend(troubles(&report.troubles));
    blocks
}

fn figure(figure: &::evidence::Figure) -> Figure {
    let origin = if figure.bare {
        Origin::Counted
    } else {
        Origin::Measured
    };
    Figure {
        name: Text::marked(&capital(&figure.what)),
        value: Text::default().quantity(figure.value, origin),
        confidence: figure.confidence,
    }
}

/// Behind the row of a table that is the one to take.
pub(crate) const TAKE_THIS: &str = " (take\u{a0}this)";

fn table(data: &Data) -> Block {
    let rows = data.rows.iter().map(|row| {
        let mut cells: Vec<Text> = row.cells.iter().map(|cell| Text::marked(cell)).collect();
        if let Some(first) = cells.first_mut().filter(|_| row.chosen) {
            *first = core::mem::take(first).and(TAKE_THIS);
        }
        Row {
            stands_out: row.chosen,
            ..Row::of(cells)
        }
    });
    let columns: Vec<Column> = data.columns.iter().map(Column::text).collect();
    let phone = if columns.len() > ON_A_PHONE {
        Phone::Cards
    } else {
        Phone::Fits
    };
    let rows: Vec<Row> = rows.collect();
    Table::new(columns, rows).caption(&data.title).phone(phone).into()
}

/// Never left out where nothing can be clicked: what was not read may be what decides.
fn troubles(troubles: &[Trouble]) -> Option<Block> {
    let lines: u64 = troubles.iter().map(|trouble| trouble.count).sum();
    let title = plural(lines, "remark on the file", "remarks on the file");
    let list = Block::list(troubles.iter().map(|trouble| Text::marked(&trouble.to_string())));
    (!troubles.is_empty()).then(|| Fold::new(Opens::Needed, title, vec![list]).into())
}

/// Marks and colours are those of the findings.
fn mark(verdict: Verdict) -> Mark {
    match verdict {
        Verdict::Pass => Mark::Pass,
        Verdict::Result => Mark::Note,
        Verdict::Open => Mark::Caution,
        Verdict::Fail => Mark::Stop,
    }
}
