//! What was measured: for each report verdict, sentence, figures with intervals, pictures, tables, what was left out.

use ::evidence::{Report, Table as Data, Trouble, Verdict};
use catalogue::Catalogue;
use document::{
    Block, Column, Figure, Figures, Fold, Mark, Opens, Origin, Phone, Picture, Row, Section, Table, Text,
};

use crate::about::{cite, working};
use crate::evidence::Measured;
use crate::words::{capital, plural, sentence};

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

/// All measurements, for each file its name, the verdict, the figures that carry it and what to do; what was refused says why.
pub(crate) fn brief(all: &[Measured]) -> Vec<Block> {
    let mut blocks = vec![Block::say(counts(all))];
    // What asks for something comes first.
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
    for measured in sorted {
        let board = measured
            .board
            .as_ref()
            .map_or_else(String::new, |board| format!(", {board}"));
        let mut own = Vec::new();
        if let Err(refused) = &measured.outcome {
            let problem = Text::marked(&sentence(&refused.problem));
            let said = problem.strong(" Do: ").and_marked(&sentence(&refused.mend));
            own.push(Block::Verdict(Mark::Stop, "refused".to_owned(), said));
            own.extend(troubles(&refused.troubles));
        }
        let reports = measured.reports();
        for report in reports {
            let said = Text::marked(&sentence(&report.sentence));
            let word = report.verdict.word();
            // Several reports of one file say what each is about.
            let word = if reports.len() > 1 {
                format!("{}, {word}", report.title)
            } else {
                word.to_owned()
            };
            own.push(Block::Verdict(mark(report.verdict), word, said));
            let first = report.figures.iter().take(FIGURES);
            let items: Vec<Figure> = first.map(figure).collect();
            if !items.is_empty() {
                own.push(Block::Figures(Figures { items, glance: false }));
            }
            let asks = matches!(report.verdict, Verdict::Fail | Verdict::Open);
            let helps = report.advice.iter().find(|advice| asks && advice.helps);
            own.extend(helps.map(|advice| {
                let text = Text::default().strong("Do: ");
                Block::say(text.and_marked(&sentence(&advice.sentence)))
            }));
            own.extend(troubles(&report.troubles));
        }
        let title = match reports {
            [one] => one.title.clone(),
            _ => capital(measured.kind.word()),
        };
        let title = format!("{}: {title}{board}", measured.file);
        blocks.push(Section::new(title, own).into());
    }
    blocks.push(Block::remark(
        "All figures, tables and methods: --all. Pictures: --pictures FOLDER.",
    ));
    blocks
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
