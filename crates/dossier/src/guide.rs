//! What a person publishes who tried two boards on one machine: what the files and measurements say is written, and what only the author
//! knows stands in brackets.
//!
//! [`guide`] gives Markdown with its pictures, [`left_open`] the brackets of a text that somebody went on with.

use std::collections::BTreeMap;

use bringup::Phase;
use document::{Block, Caution, Column, Document, Row, Section, Table, Text, markdown};
use drawing::Layout;
use model::board::{Board, CurrentLaw, PortKind};
use model::{Mount, Role};
use plan::{ActionKind, Finding, Stake, Verdict};
use quantity::{Number as _, Value};
use settings::{Fate, Setting};

use crate::pictures::{self, FOLDER};
use crate::shown::Shown;
use crate::words::{capital, first_sentence, plural, sentence};
use crate::{File, Material, ends};

/// Begins what only the author knows; [`left_open`] finds it by this.
const YOURS: &str = "[your ";

/// A reader goes on for so many words.
const MOST_WORDS: usize = 1_400;

/// How many lines the lists have, the longest first: the first that keeps to the words is taken.
const LENGTHS: [Most; 4] = [
    Most {
        settings: 12,
        traps: 5,
        measured: 12,
        missing: 8,
        fits: 4,
    },
    Most {
        settings: 12,
        traps: 3,
        measured: 7,
        missing: 6,
        fits: 3,
    },
    Most {
        settings: 12,
        traps: 2,
        measured: 5,
        missing: 5,
        fits: 2,
    },
    Most {
        settings: 8,
        traps: 1,
        measured: 3,
        missing: 3,
        fits: 1,
    },
];

/// The longest that lists may be.
#[derive(Clone, Copy)]
struct Most {
    settings: usize,
    traps: usize,
    measured: usize,
    missing: usize,
    fits: usize,
}

/// A guide on two boards, each with what it is made of: `guide.md` and its pictures.
#[must_use]
pub fn guide(materials: &[Material<'_>; 2]) -> Vec<File> {
    let both = [Shown::of(&materials[0]), Shown::of(&materials[1])];
    let texts = LENGTHS.map(|most| markdown::document(&document(&both, most)));
    let short = texts.iter().find(|text| words(text) <= MOST_WORDS);
    let text = short.or(texts.last()).cloned().unwrap_or_default();
    let mut files = vec![File::new("guide.md", text)];
    for shown in &both {
        let drawn = pictures::wiring_alone(shown, Layout::Wide);
        files.push(File::new(picture_of("wiring", shown), format!("{drawn}\n")));
        let drawn = pictures::board_alone(shown, Layout::Wide);
        files.push(File::new(picture_of("board", shown), format!("{drawn}\n")));
    }
    if let Some((report, picture)) = overlaid(&both) {
        let head = drawing::Head {
            prefix: "overlaid".to_owned(),
            title: picture.title().to_owned(),
            description: pictures::evidence::description(report),
        };
        let drawn = pictures::evidence::draw(picture, head, Layout::Wide);
        files.push(File::new(OVERLAID, format!("{drawn}\n")));
    }
    files
}

/// How many words a reader of a text meets: what holds a letter or a digit, addresses of pictures left out.
#[must_use]
pub fn words(text: &str) -> usize {
    let lines = text.lines().filter(|line| !line.starts_with("!["));
    let words = lines.flat_map(str::split_whitespace);
    words
        .filter(|word| word.chars().any(char::is_alphanumeric))
        .count()
}

fn document(both: &[Shown<'_>; 2], most: Most) -> Document {
    let boards = both.each_ref().map(|shown| shown.plan.board.name.as_str());
    let machine = &both[0].swap.machine.name;
    Document {
        title: Text::of(format!("{} and {} on {machine}", boards[0], boards[1])),
        lead: Text::of(format!(
            "{} out, one of two boards in: what was planned, what was measured, what is open.",
            both[0].swap.old.name
        )),
        badge: Text::of(if both.iter().any(Shown::invented) {
            "Example data: machine, boards and figures are made up."
        } else {
            ""
        }),
        front: vec![yours("name, the date, and why you changed the board")],
        sections: vec![
            Section::new("In short", in_short(both)),
            Section::new("On paper", vec![on_paper(both)]),
            Section::new("Does it fit", fits(both, most)),
            Section::new("Wiring", wiring(both, most)),
            Section::new("What differs", differs(both, most)),
            Section::new("New devices, one by one", add_ons(both)),
            Section::new("First measurements", measured(both, most)),
            Section::new("First power", first_power(both)),
            Section::new("Not checked", not_checked(both)),
        ],
    }
}

/// The picture of both boards in one.
const OVERLAID: &str = "pictures/compared.svg";

/// A bracket that the author has not filled yet, with its line, counted from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bracket {
    /// The line of the text.
    pub line: usize,
    /// What it asks for.
    pub asks: String,
}

/// What of a guide is still the author's to say. Markdown may hold the bracket with a backslash before it.
#[must_use]
pub fn left_open(text: &str) -> Vec<Bracket> {
    let mut out = Vec::new();
    for (at, line) in text.lines().enumerate() {
        let lower = line.to_lowercase();
        for (from, _) in lower.match_indices(YOURS) {
            let rest: &str = line.get(from..).unwrap_or(line);
            let asks: String = rest.chars().take_while(|letter| *letter != ']').collect();
            let asks = asks.trim_end_matches('\\').to_owned();
            out.push(Bracket {
                line: at + 1,
                asks: format!("{asks}]"),
            });
        }
    }
    out
}

fn yours(what: &str) -> Block {
    Block::say(Text::default().strong(format!("{YOURS}{what}]")))
}

/// The name of a board as part of the name of a file.
fn picture_of(kind: &str, shown: &Shown<'_>) -> String {
    let board = document::anchor(kind, &shown.plan.board.name);
    format!("{FOLDER}{board}.svg")
}

fn picture(name: String, title: String) -> Block {
    let picture = document::Picture {
        name,
        title,
        is_file: true,
        broad: false,
    };
    picture.into()
}

fn in_short(both: &[Shown<'_>; 2]) -> Vec<Block> {
    let line = |shown: &Shown<'_>| {
        let entry = shown.entry;
        let price = entry
            .price
            .map_or_else(|| "price not stated".to_owned(), |price| price.to_string());
        let (met, all) = entry.wishes;
        Text::default().strong(&entry.board).and(format!(
            ": {price} with parts, wish list {met} of {all}, {} to decide, {} of work on cables, {} to change.",
            entry.to_decide,
            plural(entry.minutes, "minute", "minutes"),
            plural(entry.settings, "setting", "settings"),
        ))
    };
    let entries = both.each_ref().map(|shown| shown.entry);
    let place = |entry: &plan::Entry| {
        let entries = &both[0].material.comparison.entries;
        entries
            .iter()
            .position(|own| own.candidate == entry.candidate)
            .unwrap_or(0)
            + 1
    };
    let of = both[0].material.comparison.entries.len();
    let third = Text::of(format!(
        "Of {} compared, {} is at place {} and {} at place {}.",
        plural(of, "board", "boards"),
        entries[0].board,
        place(entries[0]),
        entries[1].board,
        place(entries[1])
    ));
    vec![
        Block::list([line(&both[0]), line(&both[1]), third]),
        yours("verdict: which board would you take, and for whom"),
    ]
}

/// A table with a column for each board.
fn two(both: &[Shown<'_>; 2], first: &str, rows: Vec<[String; 3]>) -> Block {
    let [one, other] = both.each_ref().map(|shown| shown.plan.board.name.as_str());
    let columns = [first, one, other].map(Column::text);
    Table::new(columns, rows.into_iter().map(Row::of).collect::<Vec<_>>()).into()
}

fn on_paper(both: &[Shown<'_>; 2]) -> Block {
    type Says = fn(&Shown<'_>) -> String;
    let rows: [(&str, Says); 14] = [
        ("Board alone", |shown| {
            let price = shown.plan.board.price.as_ref();
            price.map_or_else(|| "not stated".to_owned(), |price| price.value.to_string())
        }),
        ("With all parts", |shown| {
            let price = shown.entry.price;
            price.map_or_else(|| "not stated".to_owned(), |price| price.to_string())
        }),
        ("Size", |shown| {
            let size = shown.plan.board.outline.size.value;
            format!("{:.0} mm × {:.0} mm", size.x.base() * 1e3, size.y.base() * 1e3)
        }),
        ("Processor", |shown| {
            let own = &shown.plan.board.processor;
            format!("{}, {}", own.core, own.clock.value)
        }),
        ("Memory", |shown| {
            let own = &shown.plan.board.processor;
            format!("{} flash, {} RAM", own.flash.value, own.ram.value)
        }),
        ("Supply", |shown| {
            let range = &shown.plan.board.input.voltage;
            format!("{} to {}", Value::exact(range.low()), Value::exact(range.high()))
        }),
        ("Drivers", |shown| {
            let drivers = &shown.plan.board.drivers;
            let loose = drivers.iter().filter(|own| own.mount == Mount::Socketed).count();
            match loose {
                0 => format!("{}, soldered", drivers.len()),
                count => format!("{}, {count} on sockets", drivers.len()),
            }
        }),
        ("Motor current, rms", |shown| {
            let currents = shown
                .plan
                .board
                .drivers
                .iter()
                .map(|own| Value::exact(own.rms_range().high()).to_string());
            once_each(currents, "up to ")
        }),
        ("Current set by", |shown| {
            let ways = shown.plan.board.drivers.iter().map(|own| {
                match own.law {
                    CurrentLaw::Levels { .. } => "controller",
                    CurrentLaw::SenseResistor { .. } | CurrentLaw::PerAmpere { .. } => "trimmer",
                }
                .to_owned()
            });
            once_each(ways, "")
        }),
        ("Microsteps", |shown| {
            let steps = shown.plan.board.drivers.iter().map(|own| {
                own.fixed_microsteps
                    .as_ref()
                    .unwrap_or(&own.max_microsteps)
                    .value
                    .to_string()
            });
            once_each(steps, "")
        }),
        ("Outputs", |shown| outputs(shown.plan.board)),
        ("Inputs", |shown| inputs(shown.plan.board)),
        ("Rails made on board", |shown| {
            let rails = shown.plan.board.rails.iter().filter_map(|rail| {
                let made = rail.made.as_ref()?;
                Some(format!("{} ({})", rail.name, made.current.value))
            });
            let rails: Vec<String> = rails.collect();
            if rails.is_empty() {
                "none".to_owned()
            } else {
                rails.join(", ")
            }
        }),
        ("Ports left free", |shown| free(shown)),
    ];
    let rows = rows.map(|(name, says)| [name.to_owned(), says(&both[0]), says(&both[1])]);
    two(both, "", rows.to_vec())
}

/// Each text once, in the order in which they come first.
fn once_each(texts: impl Iterator<Item = String>, before: &str) -> String {
    let mut seen: Vec<String> = Vec::new();
    for text in texts {
        if !seen.contains(&text) {
            seen.push(text);
        }
    }
    if seen.is_empty() {
        return "none".to_owned();
    }
    format!("{before}{}", seen.join(", "))
}

fn count(board: &Board, is: impl Fn(&PortKind) -> bool) -> usize {
    board.ports.iter().filter(|port| is(&port.kind)).count()
}

fn listed(counts: impl IntoIterator<Item = (usize, &'static str)>) -> String {
    let there = counts.into_iter().filter(|(count, _)| *count > 0);
    let words: Vec<String> = there.map(|(count, what)| format!("{count} {what}")).collect();
    if words.is_empty() {
        "none".to_owned()
    } else {
        words.join(", ")
    }
}

fn outputs(board: &Board) -> String {
    let of = |role: Role| board.ports.iter().filter(|port| port.role() == role).count();
    let pwm = count(board, |kind| {
        matches!(kind, PortKind::Switched { pwm: Some(true), .. })
    });
    listed([
        (of(Role::HeaterOutput), "heater"),
        (of(Role::SwitchedOutput), "switched"),
        (pwm, "of these PWM"),
        (of(Role::PermanentOutput), "always-on"),
        (of(Role::LightData), "LED data"),
    ])
}

fn inputs(board: &Board) -> String {
    let of = |role: Role| board.ports.iter().filter(|port| port.role() == role).count();
    let amplified = count(
        board,
        |kind| matches!(kind, PortKind::Thermometer(input) if input.amplification.nominal().base() > 1.0),
    );
    listed([
        (of(Role::ThermometerInput) - amplified, "sensor dividers"),
        (amplified, "sensor amplifiers"),
        (of(Role::SwitchInput), "switch"),
        (of(Role::ProbePort), "probe"),
        (of(Role::Serial) + of(Role::Display), "serial or display"),
    ])
}

/// Ports without a cable, by role.
fn free(shown: &Shown<'_>) -> String {
    let used = |port: &model::board::Port| {
        if matches!(port.role(), Role::Usb | Role::CardSlot | Role::SupplyInput) {
            return true;
        }
        let name = port.name.value.as_str();
        shown.rows.iter().any(|row| row.new_port.as_deref() == Some(name))
    };
    let mut roles: Vec<(Role, usize)> = Vec::new();
    for port in shown.plan.board.ports.iter().filter(|port| !used(port)) {
        match roles.iter_mut().find(|(role, _)| *role == port.role()) {
            Some((_, count)) => *count += 1,
            None => roles.push((port.role(), 1)),
        }
    }
    let words: Vec<String> = roles
        .into_iter()
        .map(|(role, count)| format!("{count} {role}"))
        .collect();
    if words.is_empty() {
        "none".to_owned()
    } else {
        words.join(", ")
    }
}

/// What a check says about the board of a plan, its first sentence.
fn said(finding: &Finding) -> String {
    let (first, _) = first_sentence(&finding.headline);
    format!("{} ({})", capital(first), finding.verdict.word())
}

/// The findings of checks, the worst first.
fn of_checks<'p>(shown: &Shown<'p>, checks: &[&str]) -> Vec<&'p Finding> {
    let findings = shown.plan.findings.iter();
    let mut found: Vec<&Finding> = findings
        .filter(|finding| checks.contains(&finding.check))
        .collect();
    found.sort_by_key(|finding| core::cmp::Reverse((finding.verdict, finding.stake)));
    found
}

fn fits(both: &[Shown<'_>; 2], most: Most) -> Vec<Block> {
    const CHECKS: [&str; 4] = ["hole-pattern", "outline", "board-height", "openings"];
    let mut blocks = Vec::new();
    for shown in both {
        let name = &shown.plan.board.name;
        let lines: Vec<Text> = of_checks(shown, &CHECKS)
            .into_iter()
            .take(most.fits)
            .map(|finding| Text::marked(&format!("{}.", said(finding))))
            .collect();
        blocks.push(Block::say(Text::default().strong(name.as_str()).and(":")));
        blocks.push(Block::list(lines));
        blocks.push(picture(picture_of("board", shown), format!("{name} in its case")));
    }
    blocks
}

fn wiring(both: &[Shown<'_>; 2], most: Most) -> Vec<Block> {
    let mut blocks: Vec<Block> = both
        .iter()
        .map(|shown| {
            let title = format!("Wiring on {}", shown.plan.board.name);
            picture(picture_of("wiring", shown), title)
        })
        .collect();
    let goes = |row: &plan::Row| {
        let port = row.new_port.as_deref().unwrap_or("left off");
        let work: Vec<&str> = row
            .actions
            .iter()
            .map(|action| action.kind)
            .filter(|kind| !matches!(kind, ActionKind::PlugOver | ActionKind::LeaveOff))
            .map(ActionKind::word)
            .collect();
        if work.is_empty() {
            port.to_owned()
        } else {
            format!("{port}: {}", work.join(", "))
        }
    };
    let rows = both[0].rows.iter().map(|row| {
        let other = both[1].rows.iter().find(|own| own.tag == row.tag);
        let from = row.old_port.as_deref().unwrap_or("new");
        [
            format!("{} ({from})", row.tag),
            goes(row),
            other.map_or_else(String::new, goes),
        ]
    });
    blocks.push(two(both, "Cable (old port)", rows.collect()));
    for shown in both {
        let jumpers = of_checks(shown, &["jumpers"]);
        let traps = of_checks(shown, &["polarity", "direction", "active-level", "input-rating"]);
        let traps: Vec<&Finding> = traps
            .into_iter()
            .filter(|own| own.verdict >= Verdict::Note)
            .collect();
        let left = traps.len().saturating_sub(most.traps);
        let lines = jumpers.into_iter().chain(traps.into_iter().take(most.traps));
        let mut lines: Vec<Text> = lines
            .map(|finding| {
                let (first, _) = first_sentence(&finding.headline);
                Text::marked(&sentence(first))
            })
            .collect();
        if left > 0 {
            lines.push(Text::of(format!("{left} more in the report.")));
        }
        let title = Text::default().strong(format!("Jumpers and polarity on {}", shown.plan.board.name));
        blocks.push(Block::say(title.and(":")));
        blocks.push(if lines.is_empty() {
            Block::say("No jumper to set, and no plug that fits wrongly.")
        } else {
            Block::list(lines)
        });
    }
    blocks.push(yours(
        "photograph of the finished wiring, and what took longer than planned",
    ));
    blocks
}

fn differs(both: &[Shown<'_>; 2], most: Most) -> Vec<Block> {
    let kinds = both.each_ref().map(|shown| {
        let mut kinds: BTreeMap<ActionKind, usize> = BTreeMap::new();
        for action in shown.rows.iter().flat_map(|row| &row.actions) {
            *kinds.entry(action.kind).or_default() += 1;
        }
        kinds
    });
    let all: BTreeMap<ActionKind, ()> = kinds.iter().flatten().map(|(kind, _)| (*kind, ())).collect();
    let number = |at: usize, kind: ActionKind| kinds[at].get(&kind).copied().unwrap_or(0).to_string();
    let rows = all
        .keys()
        .map(|kind| [capital(kind.word()), number(0, *kind), number(1, *kind)]);
    let mut blocks = vec![two(both, "Cables by kind of work", rows.collect())];
    let settings = both.each_ref().map(|shown| &shown.material.settings.settings);
    let new = |setting: &Setting| setting.new_text().unwrap_or_else(|| "measure".to_owned());
    let pairs = settings[0].iter().filter_map(|own| {
        let other = settings[1].iter().find(|other| other.id == own.id)?;
        let differ = own.new_text() != other.new_text();
        let change = own.fate != Fate::Carried || other.fate != Fate::Carried;
        (differ && change).then_some((own, other, own.caution || other.caution))
    });
    let mut pairs: Vec<(&Setting, &Setting, bool)> = pairs.collect();
    pairs.sort_by_key(|(_, _, dangerous)| !dangerous);
    let left = pairs.len().saturating_sub(most.settings);
    let rows = pairs.iter().take(most.settings).map(|(own, other, dangerous)| {
        let read = if *dangerous { "! " } else { "" };
        [
            format!("{read}{}, {}", capital(own.title), own.of),
            new(own),
            new(other),
        ]
    });
    let rows: Vec<[String; 3]> = rows.collect();
    if !rows.is_empty() {
        blocks.push(two(both, "Settings (! = read the reason before use)", rows));
    }
    if left > 0 {
        blocks.push(Block::say(format!(
            "{left} more settings differ; `boardswap settings` lists them."
        )));
    }
    blocks
}

fn add_ons(both: &[Shown<'_>; 2]) -> Vec<Block> {
    let new = both[0].rows.iter().filter(|row| row.old_port.is_none());
    let lines: Vec<Text> = new.map(|row| add_on(both, row)).collect();
    if lines.is_empty() {
        return vec![Block::say("No device is new: all of them were on the old board.")];
    }
    vec![Block::list(lines)]
}

fn add_on(both: &[Shown<'_>; 2], row: &plan::Row) -> Text {
    let ports = both.each_ref().map(|shown| {
        let own = shown.rows.iter().find(|own| own.tag == row.tag);
        own.and_then(|own| own.new_port.clone())
    });
    let place = |at: usize| {
        let board = &both[at].plan.board.name;
        ports[at].as_ref().map_or_else(
            || format!("no port on {board}"),
            |port| format!("{port} on {board}"),
        )
    };
    let parts: Vec<String> = both
        .iter()
        .flat_map(|shown| shown.rows.iter().filter(|own| own.tag == row.tag))
        .flat_map(|own| own.parts.iter().map(|part| part.words()))
        .collect();
    let parts = once_each(parts.into_iter(), "");
    let settings = both[0].material.settings.settings.iter();
    let changes = settings.filter(|setting| setting.of == row.tag && setting.fate != Fate::Carried);
    let changes = once_each(changes.map(|setting| setting.title.to_owned()), "");
    let mut steps = both[0].material.steps.iter();
    let test = steps.find(|step| {
        let parts = step.parts.iter().flat_map(|part| &part.tags);
        let about = step.tags.iter().chain(parts).any(|tag| *tag == row.tag);
        about && step.phase >= Phase::Senses
    });
    let test = test.map_or_else(|| "none".to_owned(), |step| step.title.clone());
    Text::default().strong(&row.device).and(format!(
        ": {}; {}. Parts: {parts}. Settings: {changes}. First test: {test}.",
        place(0),
        place(1)
    ))
}

/// The report that lays two boards over each other, with its picture: both of the guide, else one of them and another.
fn overlaid<'m>(both: &[Shown<'m>; 2]) -> Option<(&'m evidence::Report, &'m evidence::Picture)> {
    let reports = || {
        both[0]
            .material
            .evidence
            .iter()
            .flat_map(|measured| measured.reports())
    };
    let has = |report: &&evidence::Report, least: usize| {
        let named = both
            .iter()
            .filter(|shown| report.title.contains(shown.plan.board.name.as_str()));
        named.count() >= least
    };
    let found = reports()
        .find(|report| has(report, 2))
        .or_else(|| reports().find(|report| has(report, 1)));
    found.and_then(|report| Some((report, report.pictures.first()?)))
}

fn measured(both: &[Shown<'_>; 2], most: Most) -> Vec<Block> {
    let boards = both.each_ref().map(|shown| shown.plan.board.name.as_str());
    let all = both[0].material.evidence.iter();
    let own = all.filter(|measured| measured.board.as_deref().is_none_or(|own| boards.contains(&own)));
    let mut rows: Vec<[String; 4]> = Vec::new();
    let mut on: BTreeMap<String, [bool; 2]> = BTreeMap::new();
    for one in own {
        for report in one.reports() {
            // A comparison names its boards.
            let compares = boards.iter().any(|board| report.title.contains(board));
            let board = if compares {
                "compared"
            } else {
                one.board.as_deref().unwrap_or("not stated")
            };
            let figure = report.figures.first();
            let figure = figure.map_or_else(String::new, |figure| {
                let (what, _) = figure.what.split_once(',').unwrap_or((&figure.what, ""));
                format!("{what}: {}", figure.shown())
            });
            rows.push([
                report.title.clone(),
                board.to_owned(),
                figure,
                report.verdict.word().to_owned(),
            ]);
            if !compares {
                let seen = on.entry(report.title.clone()).or_default();
                for (at, name) in boards.iter().enumerate() {
                    seen[at] |= one.board.as_deref() == Some(name);
                }
            }
        }
    }
    if rows.is_empty() {
        return vec![
            Block::say("Nothing was measured yet."),
            yours("first measurements on each board"),
        ];
    }
    let left = rows.len().saturating_sub(most.measured);
    let columns = ["Measured", "Board", "Result", "Verdict"].map(Column::text);
    let table = rows.into_iter().take(most.measured).map(Row::of);
    let mut blocks = vec![Table::new(columns, table.collect::<Vec<_>>()).into()];
    if left > 0 {
        blocks.push(Block::say(format!("{left} more in the proof of the report.")));
    }
    match overlaid(both) {
        Some((report, _)) => blocks.push(picture(OVERLAID.to_owned(), report.title.clone())),
        None => blocks.push(Block::say(
            "No part was measured on two boards: there is no picture of both in one.",
        )),
    }
    for (at, board) in boards.iter().enumerate() {
        let missing: Vec<&str> = on
            .iter()
            .filter(|(_, seen)| !seen[at])
            .map(|(title, _)| title.as_str())
            .collect();
        let left = match missing.len().saturating_sub(most.missing) {
            0 => String::new(),
            more => format!("; and {more} more"),
        };
        if !missing.is_empty() {
            let first = missing.iter().take(most.missing).copied().collect::<Vec<_>>();
            blocks.push(Block::say(format!(
                "Not shown on {board}: {}{left}.",
                first.join("; ")
            )));
        }
    }
    blocks.push(yours("own impression: noise, print quality, what no file says"));
    blocks
}

fn first_power(both: &[Shown<'_>; 2]) -> Vec<Block> {
    const PHASES: [Phase; 5] = [
        Phase::Unpowered,
        Phase::BoardAlone,
        Phase::Senses,
        Phase::Motion,
        Phase::Heat,
    ];
    let lines = PHASES.into_iter().flat_map(|phase| {
        let steps = both[0]
            .material
            .steps
            .iter()
            .filter(move |step| step.phase == phase);
        steps.take(2).map(|step| Text::of(sentence(&step.title)))
    });
    // The last one is about the list of steps itself.
    let hazards = bringup::cautions()
        .split_last()
        .map_or(&[][..], |(_, hazards)| hazards);
    let hazards: Vec<Text> = hazards.iter().map(|line| Text::of(*line)).collect();
    vec![
        Block::Caution(Caution {
            title: Text::default(),
            lines: hazards,
        }),
        Block::ordered(lines.collect::<Vec<_>>()),
        Block::say(
            "The checklist of the report has every step, with the readings to expect and their limits.",
        ),
        yours("account of the first power-on: what read otherwise than expected"),
    ]
}

fn not_checked(both: &[Shown<'_>; 2]) -> Vec<Block> {
    // Those that a reader of another machine cannot do without.
    let lines = [0, 1, 3, 5].map(|at| ends::NOT_CHECKED[at]);
    let mut blocks = vec![Block::list(lines)];
    let open = both.each_ref().map(|shown| {
        let open = shown.plan.to_decide().into_iter();
        let risky = open.filter(|finding| finding.stake == Stake::Safety);
        let lines = risky.map(|finding| sentence(first_sentence(&finding.headline).0));
        lines.collect::<Vec<String>>()
    });
    let on_both = |line: &&String| open[1].contains(line);
    let apart = |at: usize| -> Vec<&String> {
        let other = &open[1 - at];
        open[at].iter().filter(|line| !other.contains(line)).collect()
    };
    let lists: [(String, Vec<&String>); 3] = [
        ("both boards".to_owned(), open[0].iter().filter(on_both).collect()),
        (both[0].plan.board.name.to_string(), apart(0)),
        (both[1].plan.board.name.to_string(), apart(1)),
    ];
    for (of, lines) in lists {
        if !lines.is_empty() {
            let title = Text::default().strong(format!("Open on {of}, for people and fire"));
            blocks.push(Block::say(title.and(":")));
            blocks.push(Block::list(lines.into_iter().map(|line| Text::marked(line))));
        }
    }
    blocks.push(yours("list of what you left out"));
    blocks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn brackets_are_found_with_and_without_a_backslash() {
        let text = "# A\n\n**\\[your verdict: which\\]**\nsaid [here](a.md)\n[Your name] and [your date]";
        let found = left_open(text);
        let lines: Vec<(usize, &str)> = found.iter().map(|own| (own.line, own.asks.as_str())).collect();
        assert_eq!(
            lines,
            [
                (3, "[your verdict: which]"),
                (5, "[Your name]"),
                (5, "[your date]")
            ]
        );
    }
}
