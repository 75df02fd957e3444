//! The settings: what becomes of each, with the reason; the program for the controller and the build sheet.

use document::{
    Block, Brief, Column, Document, Entry, Fitted, Fold, Mark, Opens, Phone, Row, Section, Table, Text,
};
use model::Topic;
use settings::captured::Unread;
use settings::{
    Awaiting, BuildSheet, By, Fate, Guess, Setting, Settings, SheetRow, ThermometerTable, Unknown, Untold,
    gcode,
};

use crate::about::About;
use crate::open::shortened;
use crate::words::{plural, sentence};

/// The heading of what stays.
const CARRIED: &str = "Carried over";

/// What changed comes before what stays.
const ORDER: [(Fate, &str, &str); 5] = [
    (
        Fate::Recomputed,
        "Recomputed",
        "The swap changes these; the old value would be wrong.",
    ),
    (
        Fate::MeasureAgain,
        "To be measured again",
        "A new value, where there is one, is a start for the measurement and no result.",
    ),
    (
        Fate::New,
        "New",
        "The old controller did not have these, or nobody knows what they were.",
    ),
    (Fate::Dropped, "Dropped", "Nothing of these is taken over."),
    (Fate::Carried, CARRIED, "Nothing in this swap changes these."),
];

/// What changes, with its reason, and the program for the controller; apart from it what is carried over. How each came about is left to
/// the proof.
pub(crate) fn paper(about: &About<'_>, all: &Settings) -> (Vec<Block>, Option<Vec<Block>>) {
    let mut blocks = settings(about, all);
    blocks.iter_mut().for_each(without_workings);
    let is_carried =
        |block: &Block| matches!(block, Block::Section(section) if section.title.words() == CARRIED);
    let carried = blocks.iter().position(is_carried).map(|at| blocks.remove(at));
    let carried = carried.map(|block| match block {
        Block::Section(section) => section.blocks,
        other => vec![other],
    });
    blocks.push(program(all));
    (blocks, carried)
}

fn without_workings(block: &mut Block) {
    match block {
        Block::Section(section) => section.blocks.iter_mut().for_each(without_workings),
        Block::Table(table) => {
            let rows = table.groups.iter_mut().flat_map(|group| &mut group.rows);
            rows.for_each(|row| row.behind.clear());
        }
        _ => {}
    }
}

/// How many there are, then each by what becomes of it, then what was not understood.
pub(crate) fn settings(about: &About<'_>, all: &Settings) -> Vec<Block> {
    let mut blocks = listed(about, all);
    blocks.extend(spoken(all));
    blocks.extend(unread(
        "Not read of what was captured",
        "These lines were saved, but not understood. Look whether one of them holds a setting that you miss above.",
        &all.unread,
    ));
    blocks.extend(unread(
        "Captured, but left out",
        "These are impossible, or contradict the files of the machine.",
        &all.doubtful,
    ));
    blocks.extend(unknown(all));
    blocks.extend(untold(all));
    blocks
}

/// How many there are, then each by what becomes of it.
pub(crate) fn listed(about: &About<'_>, all: &Settings) -> Vec<Block> {
    let counts: Vec<String> = ORDER
        .iter()
        .map(|(fate, _, _)| (all.count(*fate), fate))
        .filter(|(count, _)| *count > 0)
        .map(|(count, fate)| format!("{count} {}", fate.word()))
        .collect();
    let total = plural(all.settings.len(), "setting", "settings");
    let mut blocks = vec![Block::say(format!("{total}: {}.", counts.join(", ")))];
    for (fate, title, meaning) in ORDER {
        let rows = all.settings.iter().filter(|setting| setting.fate == fate);
        let rows: Vec<Row> = rows.map(|setting| row(about, setting)).collect();
        if !rows.is_empty() {
            let columns = ["Setting", "Of", "Old", "New", "By", "Why"].map(|heading| match heading {
                "By" => Column::short(heading),
                words => Column::text(words),
            });
            let table = Table::new(columns, rows).into();
            blocks.push(Section::new(title, vec![Block::remark(meaning), table]).into());
        }
    }
    blocks
}

/// What changes, a line each; what wants to be read first, with its reason. The rest is counted.
pub(crate) fn that_change(all: &Settings) -> Vec<Block> {
    let carried = all.count(Fate::Carried);
    let mut blocks = vec![Block::say(format!(
        "{} change, {carried} are carried over.",
        plural(all.that_change(), "setting", "settings")
    ))];
    let careful = all
        .settings
        .iter()
        .filter(|setting| setting.caution && setting.fate != Fate::Carried);
    let careful: Vec<Text> = careful
        .map(|setting| {
            Text::default()
                .strong(format!("{}, {}", setting.title, setting.of))
                .and(": ")
                .and_marked(&sentence(&setting.reason))
        })
        .collect();
    if !careful.is_empty() {
        blocks.push(Section::new("Read before use", vec![Block::list(careful)]).into());
    }
    for (fate, title, _) in ORDER {
        let own = all.settings.iter().filter(|setting| setting.fate == fate);
        let rows: Vec<Row> = own.map(change).collect();
        if fate != Fate::Carried && !rows.is_empty() {
            let columns = ["Setting", "Of", "Old", "New"].map(Column::text);
            blocks.push(Section::new(title, vec![Table::new(columns, rows).into()]).into());
        }
    }
    blocks.extend(spoken(all));
    if all.shown.reports.is_empty() {
        blocks.extend(untold(all));
    }
    let left = [
        (all.unread.len(), "not understood"),
        (all.doubtful.len(), "left out as impossible"),
        (all.unknown.len(), "of unknown meaning"),
    ];
    let left: Vec<String> = left
        .iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, what)| format!("{count} {what}"))
        .collect();
    if !left.is_empty() {
        let words = format!(
            "Of what was captured: {}. --all shows the lines.",
            left.join(", ")
        );
        blocks.push(Block::Verdict(Mark::Caution, "open".to_owned(), Text::of(words)));
    }
    blocks
}

/// How many change, what to read before use and what changes in each area, at one look.
pub(crate) fn brief(all: &Settings) -> (Text, Block) {
    let mut counts = format!(
        "{} change, {} are carried over",
        plural(all.that_change(), "setting", "settings"),
        all.count(Fate::Carried)
    );
    let lost = all.unread.len() + all.doubtful.len() + all.unknown.len();
    if lost > 0 {
        let lines = plural(lost, "saved line is", "saved lines are");
        counts += &format!("; {lines} not used (--all)");
    }
    let changes: Vec<Entry> = areas(all)
        .into_iter()
        .map(|(area, own)| changed(area, &own))
        .collect();
    let mut groups = vec![
        Brief {
            title: Text::of("Read before use"),
            entries: careful(all),
        },
        Brief {
            title: Text::of("What changes"),
            entries: changes,
        },
    ];
    groups[1].entries.extend(waits(all));
    let unspoken = unspoken(all).map(|line| Entry {
        presses: false,
        lines: vec![Fitted::new(Text::marked(&sentence(&line)), "")],
    });
    groups[1].entries.extend(unspoken);
    groups.retain(|group| !group.entries.is_empty());
    (Text::of(format!("{counts}.")), Block::Brief(groups))
}

/// A line for each reason to read, with the old value and the new one.
fn careful(all: &Settings) -> Vec<Entry> {
    let mut groups: Vec<Vec<&Setting>> = Vec::new();
    for setting in all.settings.iter().filter(|setting| setting.caution) {
        let same =
            |group: &&mut Vec<&Setting>| group[0].of == setting.of && group[0].reason == setting.reason;
        match groups.iter_mut().find(same) {
            Some(group) => group.push(setting),
            None => groups.push(vec![setting]),
        }
    }
    let entry = |group: &Vec<&Setting>| {
        let setting = group[0];
        let more = match group.len() {
            1 => String::new(),
            count => format!(" and {} more", count - 1),
        };
        let head = Text::default()
            .strong(format!("{}{more}, {}", setting.title, setting.of))
            .and(": ")
            .join(shortened(&setting.reason));
        Entry {
            presses: true,
            lines: vec![Fitted::new(head, from_to(setting).unwrap_or_default())],
        }
    };
    groups.iter().map(entry).collect()
}

/// "(4036 K → 4188 K)", where both are short.
fn from_to(setting: &Setting) -> Option<String> {
    const SHORT: usize = 12;
    let short = |text: &String| text.chars().count() <= SHORT;
    let old = setting.old_text().filter(short)?;
    let new = setting.new_text().filter(short)?;
    Some(if old == new {
        format!("({new})")
    } else {
        format!("({old} → {new})")
    })
}

/// A change of more letters is not told at one look.
const SHORT_CHANGE: usize = 44;

/// What changes of an area: each setting once, with whose it is and what becomes of it.
fn changed(area: &str, own: &[&Setting]) -> Entry {
    let head = Text::default().strong(format!("{area} ({}):", own.len()));
    let kinds = own.chunk_by(|one, other| one.topic == other.topic);
    let each = kinds.flat_map(|alike| {
        alike.iter().enumerate().map(|(at, setting)| {
            let title = if at == 0 {
                format!("{} ", setting.title)
            } else {
                String::new()
            };
            let new = new_value(setting).words();
            let becomes = match setting.old_text() {
                Some(_) if setting.fate == Fate::Dropped => "dropped".to_owned(),
                Some(old) if old != new && setting.new.is_some() => format!("{old} → {new}"),
                _ => new,
            };
            // What would fill lines is told with its reasons only.
            let becomes = if becomes.chars().count() > SHORT_CHANGE {
                "changes".to_owned()
            } else {
                becomes
            };
            Text::of(format!("{title}{} {becomes}", setting.of))
        })
    });
    Entry {
        presses: false,
        lines: vec![Fitted::with(head, each.collect())],
    }
}

/// What waits for a report of the new controller.
fn waits(all: &Settings) -> Option<Entry> {
    let waits = |setting: &&Setting| matches!(setting.untold, Some(Untold::NoReport(_)));
    let count = all.settings.iter().filter(waits).count();
    let head = Text::default()
        .strong(format!("Not told yet ({count})"))
        .and(format!(": the words of {} are not known. ", all.board))
        .strong("Do: ")
        .and("Load it and save its report (--all).");
    (count > 0 && all.shown.reports.is_empty()).then(|| Entry {
        presses: false,
        lines: vec![Fitted::new(head, "")],
    })
}

/// What changes, by area; recomputed values come before those to measure and new ones.
fn areas(all: &Settings) -> Vec<(&'static str, Vec<&Setting>)> {
    let areas = AREAS.map(|area| {
        let mut own: Vec<&Setting> = all
            .settings
            .iter()
            .filter(|setting| setting.fate != Fate::Carried && self::area(setting.topic) == area)
            .collect();
        let place = |setting: &Setting| ORDER.iter().position(|(fate, ..)| *fate == setting.fate);
        own.sort_by_key(|setting| {
            let alike = || all.settings.iter().filter(|other| other.topic == setting.topic);
            let fate = alike().filter_map(place).min();
            let first = all.settings.iter().position(|other| other.topic == setting.topic);
            (fate, first, place(setting))
        });
        (area, own)
    });
    areas.into_iter().filter(|(_, own)| !own.is_empty()).collect()
}

/// The settings that somebody asks for: by area, title, identifier or whose they are; nothing where none is meant.
pub(crate) fn named(all: &Settings, name: &str) -> Option<Settings> {
    let name = name.to_lowercase();
    let has = |text: &str| text.to_lowercase().contains(&name);
    let meant = |setting: &&Setting| {
        setting.of.to_lowercase() == name
            || has(area(setting.topic))
            || has(setting.title)
            || has(&setting.id)
    };
    let own: Vec<Setting> = all.settings.iter().filter(meant).cloned().collect();
    (!own.is_empty()).then(|| Settings {
        settings: own,
        ..all.clone()
    })
}

/// The areas of settings, those first in which a mistake hurts most.
pub(crate) const AREAS: [&str; 11] = [
    "Monitoring",
    "Sensors",
    "Control",
    "Preheat",
    "Fans",
    "Ports",
    "Motors",
    "Homing",
    "Switches",
    "Filament",
    "Other",
];

fn area(topic: Topic) -> &'static str {
    match topic {
        Topic::HighestTemperature
        | Topic::LowestTemperature
        | Topic::ProtectionFall
        | Topic::ProtectionTime
        | Topic::HeatUpRise
        | Topic::HeatUpTime => "Monitoring",
        Topic::ThermometerKind
        | Topic::ThermometerTable
        | Topic::ThermometerResistance
        | Topic::ThermometerConstant
        | Topic::ThermometerPullUp
        | Topic::ThermometerAmplification => "Sensors",
        Topic::ControlProportional
        | Topic::ControlIntegral
        | Topic::ControlDerivative
        | Topic::HeaterShare => "Control",
        Topic::WarmUpHotEnd | Topic::WarmUpBed | Topic::WarmUpFan => "Preheat",
        Topic::FanControl | Topic::FanStart => "Fans",
        Topic::Jumper | Topic::Port => "Ports",
        Topic::Kinematics
        | Topic::StepsPerLength
        | Topic::Microsteps
        | Topic::Direction
        | Topic::MotorCurrent
        | Topic::DriverReference
        | Topic::TopSpeed
        | Topic::Acceleration
        | Topic::PrintAcceleration
        | Topic::RetractAcceleration
        | Topic::TravelAcceleration
        | Topic::CornerSpeed
        | Topic::Travel => "Motors",
        Topic::HomingEnd | Topic::HomingSpeed | Topic::HomingThreshold | Topic::ZeroShift => "Homing",
        Topic::SwitchSense
        | Topic::SwitchPull
        | Topic::ProbeOffset
        | Topic::LevellingMesh
        | Topic::LevellingEnd => "Switches",
        Topic::FilamentDiameter | Topic::Flow | Topic::PressureCompensation => "Filament",
        Topic::Lights | Topic::LightOrder | Topic::PanelInterface | Topic::SerialRate => "Other",
    }
}

fn change(setting: &Setting) -> Row {
    let row = Row::of([
        Text::of(setting.title),
        Text::of(&setting.of),
        Text::of(setting.old_text().unwrap_or_else(|| "–".to_owned())),
        new_value(setting),
    ]);
    Row {
        mark: setting.caution.then_some(Mark::Caution),
        ..row
    }
}

fn new_value(setting: &Setting) -> Text {
    let missing = if setting.fate == Fate::Dropped {
        "–"
    } else {
        match setting.untold {
            Some(Untold::Doubtful(_)) => "open",
            _ => "to be measured",
        }
    };
    match setting.new_text() {
        Some(new) => Text::default().strong(new),
        None => Text::of(missing),
    }
}

fn row(about: &About<'_>, setting: &Setting) -> Row {
    let by = match &setting.by {
        By::Word { word, letter } => Text::default().code(format!("{word} {letter}")),
        By::Build => Text::of("build"),
        By::Hand => Text::of("hand"),
    };
    let mut why = Text::default();
    if setting.caution {
        why = why.verdict(Mark::Caution, "read this:").and(" ");
    }
    let cells = [
        Text::of(setting.title),
        Text::of(&setting.of),
        Text::of(setting.old_text().unwrap_or_else(|| "–".to_owned())),
        new_value(setting),
        by,
        why.and_marked(&sentence(&setting.reason)),
    ];
    Row {
        mark: setting.caution.then_some(Mark::Caution),
        behind: behind(about, setting),
        ..Row::of(cells)
    }
}

/// How a setting came about.
fn behind(about: &About<'_>, setting: &Setting) -> Vec<Block> {
    let mut from = Text::default();
    if let Some(old) = &setting.old {
        from = from.and("Old value from ").code(&old.from).and(". ");
    }
    from = from.and(about.cite(setting.source).sentence("Rule"));
    if let Some(port) = &setting.port {
        from = from.and(format!(" Port {port}."));
    }
    if let Some(pin) = &setting.pin {
        from = from.and(format!(" Processor pin {pin}."));
    }
    let mut blocks: Vec<Block> = about.workings(&setting.working);
    blocks.push(Block::remark(from.and(" Name: ").code(&setting.id)));
    blocks
}

fn unread(title: &str, remark: &str, lines: &[Unread]) -> Option<Block> {
    let listed = lines.iter().map(|line| {
        let place = format!("{}:{}", line.path, line.line);
        let text = Text::default().code(place).and(" ").code(line.text.trim());
        text.and(" – ").and_marked(&line.reason)
    });
    let blocks = vec![Block::remark(remark), Block::list(listed)];
    (!lines.is_empty()).then(|| Section::new(title, blocks).into())
}

/// What the reports made certain of words that differ between controllers, and where words come from if that has to be said.
fn spoken(all: &Settings) -> Option<Block> {
    let decided = all.decided.iter().map(|decided| {
        let (board, word) = (&decided.board, &decided.word);
        let (meaning, because) = (&decided.meaning, &decided.because);
        format!("{word} of {board} counts in {meaning}: {because}")
    });
    let lines: Vec<Text> = decided
        .chain(all.words.gave_way.iter().cloned())
        .chain(unspoken(all))
        .map(|line| Text::marked(&sentence(&line)))
        .collect();
    let some = !lines.is_empty();
    some.then(|| Section::new("Words of the controllers", vec![Block::list(lines)]).into())
}

/// Words that no controller speaks.
fn unspoken(all: &Settings) -> impl Iterator<Item = String> {
    all.words.unused.iter().map(|path| {
        format!("`{path}` is spoken by no controller: name it as `words` of a board's `[[controller]]` in `swap.toml`")
    })
}

/// Captured words without a meaning, what they may hold, and the row that would say so.
fn unknown(all: &Settings) -> Option<Block> {
    if all.unknown.is_empty() {
        return None;
    }
    let mut blocks = vec![Block::remark(
        "What follows is guessed by size and place, and not used. Put the rows that are right into the words of the controller.",
    )];
    let mut files: Vec<Text> = Vec::new();
    for unknown in &all.unknown {
        blocks.extend(guessed(unknown));
        let of_new = unknown.board == all.board;
        let own = if of_new { &all.words.new } else { &all.words.old };
        let file = Text::of(format!("{}: ", unknown.board));
        let file = match own.last() {
            Some(path) => file.code(path).and("."),
            None => file.and_marked(
                "a file `words/NAME.toml`, named as `words = \"NAME\"` of its `[[controller]]` in `swap.toml`.",
            ),
        };
        if !files.contains(&file) {
            files.push(file);
        }
    }
    blocks.push(Block::say("The words of the controllers stand in:"));
    blocks.push(Block::list(files));
    Some(Section::new("Captured, and not understood", blocks).into())
}

fn guessed(unknown: &Unknown) -> Vec<Block> {
    let lines: Vec<String> = unknown.lines.iter().map(ToString::to_string).collect();
    let place = format!("{}:{}", unknown.path, lines.join(","));
    let head = Text::default().code(place).and(" ").code(unknown.text.trim());
    let head = head.and(" – ").and_marked(&unknown.why);
    if unknown.row.is_empty() {
        let nothing = "; nothing in the file of the machine is near these numbers.";
        return vec![Block::say(head.and(nothing))];
    }
    let guesses = unknown.guesses.iter().map(guess);
    let mut blocks = vec![Block::say(head), Block::list(guesses)];
    blocks.push(Block::Listing(unknown.row.trim_end().to_owned()));
    blocks
}

fn guess(guess: &Guess) -> Text {
    let letters: String = guess.letters.iter().collect();
    let unit = if guess.unit.is_empty() {
        String::new()
    } else {
        format!(" in {}", guess.unit)
    };
    let because = match &guess.because[..] {
        [] => ".".to_owned(),
        because => format!(": {}.", because.join(", ")),
    };
    let text = Text::default().code(letters).and(" may be ");
    text.code(guess.setting.id()).and(format!("{unit}{because}"))
}

/// What a running controller could be told and is not.
fn untold(all: &Settings) -> Option<Block> {
    let title = "Not told to the controller";
    if all.shown.reports.is_empty() {
        let ask = all.dialect.word_that("asks for all settings");
        let waits = |setting: &&Setting| matches!(setting.untold, Some(Untold::NoReport(_)));
        let count = all.settings.iter().filter(waits).count();
        let text = Text::of(format!(
            "{} in the build sheet until a report of {} has shown their words. Load it, send ",
            plural(count, "setting stands", "settings stand"),
            all.board
        ));
        let text = match ask {
            Some(word) => text.code(word),
            None => text.and("the word that asks for them"),
        };
        let text = text.and_marked(
            ", and save the answer. Name the file as `after_loading` of its `[[controller]]` in `swap.toml`.",
        );
        return (count > 0).then(|| Section::new(title, vec![Block::say(text)]).into());
    }
    let reasons = settings::awaiting(all);
    (!reasons.is_empty()).then(|| Section::new(title, vec![waiting(&reasons)]).into())
}

fn waiting(reasons: &[Awaiting]) -> Block {
    Block::list(reasons.iter().map(|reason| Text::of(format!("{reason}."))))
}

/// The lines for a running controller.
pub(crate) fn program(all: &Settings) -> Block {
    let said = Text::of("The same lines are in ").code("settings.gcode").and(
        ". Send them only after the steps that prove board and sensors; nothing is stored until you tell the controller so.",
    );
    let lines = Fold::new(Opens::Demand, "The lines", vec![Block::Listing(gcode(all))]).into();
    let title = "For a running controller";
    Section::new(title, vec![Block::say(said), lines])
        .at("program")
        .into()
}

/// Where their reasons, the lines for the controller and the rows for the build are.
pub(crate) fn elsewhere() -> Block {
    let files = Text::of("Reasons, and what is carried over: ").code("settings.html");
    let files = files.and(". For a running controller: ").code("settings.gcode");
    let files = files.and(". For the build: ").code("tables/build-sheet.txt");
    Block::say(files.and("."))
}

/// What no running controller can be told, as a section of the proof.
pub(crate) fn sheet(about: &About<'_>, sheet: &BuildSheet) -> Block {
    let files = Text::of("What no running controller can be told. The same as a file: ");
    let files = files
        .code("tables/build-sheet.csv")
        .and(", ")
        .code("tables/build-sheet.txt")
        .and(".");
    let mut blocks = vec![Block::say(files)];
    blocks.extend(untold_of(sheet).map(Block::Section));
    blocks.extend(by_hand_and_built(sheet).map(Block::Section));
    for table in &sheet.tables {
        let (title, inside) = thermometer(about, table);
        blocks.push(Fold::new(Opens::Demand, title, inside).into());
    }
    Section::new("Build sheet", blocks).at("build-sheet").into()
}

/// The build sheet as a document of its own.
pub(crate) fn sheet_alone(about: &About<'_>, sheet: &BuildSheet) -> Document {
    let tables = sheet.tables.iter().map(|table| {
        let (title, inside) = thermometer(about, table);
        Section::new(title, inside)
    });
    let badge = if sheet.invented {
        "Invented example: no such machine exists."
    } else {
        ""
    };
    Document {
        title: Text::of(format!(
            "Build sheet for the board {} ({})",
            sheet.board, sheet.swap
        )),
        badge: Text::of(badge),
        sections: untold_of(sheet)
            .into_iter()
            .chain(by_hand_and_built(sheet))
            .chain(tables)
            .collect(),
        ..Document::default()
    }
}

/// Why rows that a word could tell stand in the sheet.
fn untold_of(sheet: &BuildSheet) -> Option<Section> {
    let title = "A running controller could be told these, and is not";
    (!sheet.awaiting.is_empty()).then(|| Section::new(title, vec![waiting(&sheet.awaiting)]))
}

fn by_hand_and_built(sheet: &BuildSheet) -> impl Iterator<Item = Section> {
    let parts = [
        (true, "To be set by hand"),
        (false, "To be compiled or configured in"),
    ];
    parts.into_iter().filter_map(|(by_hand, title)| {
        let rows = sheet.rows.iter().filter(|row| row.by_hand == by_hand);
        let rows: Vec<Row> = rows.map(sheet_row).collect();
        let columns = ["Name", "Value", "Port", "Pin", "Kind"].map(Column::text);
        (!rows.is_empty()).then(|| Section::new(title, vec![Table::new(columns, rows).into()]))
    })
}

fn sheet_row(row: &SheetRow) -> Row {
    let value = match (&row.value, row.unit.as_str()) {
        (None, _) if row.open => "open".to_owned(),
        (None, _) => "to be measured".to_owned(),
        (Some(value), "") => value.clone(),
        (Some(value), unit) => format!("{value} {unit}"),
    };
    let mut kind = Text::of(row.fate.word());
    if row.caution {
        let read = kind.and(" ").verdict(Mark::Caution, "read this:").and(" ");
        kind = read.and_marked(&sentence(&row.reason));
    }
    let cells = [
        Text::of(&row.name),
        Text::default().strong(value),
        Text::of(row.port.clone().unwrap_or_default()),
        Text::of(row.pin.clone().unwrap_or_default()),
        kind,
    ];
    Row {
        mark: row.caution.then_some(Mark::Caution),
        ..Row::of(cells)
    }
}

/// The table of a thermometer: its heading, and what stands below it.
fn thermometer(about: &About<'_>, table: &ThermometerTable) -> (Text, Vec<Block>) {
    let pin = table
        .pin
        .as_ref()
        .map(|pin| format!(", pin {pin}"))
        .unwrap_or_default();
    let (tag, of, port) = (&table.tag, &table.of, &table.port);
    let title = format!("Table of the thermometer {tag} ({of}) at {port}{pin}");
    let curve = about.cite(&table.source).sentence("Curve");
    let (sensor, pull_up, bits) = (&table.sensor, table.pull_up, table.bits);
    let errors = table.error_words().unwrap_or_default();
    let said = format!("{sensor}, pull-up {pull_up}, {bits} bits. {curve} {errors}");
    let rows = table.rows.iter().map(|row| {
        let code = row
            .code
            .map_or_else(|| "–".to_owned(), |code| format!("{code:.1}"));
        let celsius = row.temperature.number_of("°C").unwrap_or(f64::NAN);
        let ohm = row.resistance.number_of("Ω").unwrap_or(f64::NAN);
        let digits = usize::from(ohm < 1000.0);
        Row::of([format!("{celsius:.0}"), format!("{ohm:.digits$}"), code])
    });
    let rows: Vec<Row> = rows.collect();
    let columns = ["Temperature, °C", "Resistance, Ω", "Code"].map(Column::number);
    let table = Table::new(columns, rows).phone(Phone::Fits);
    (
        Text::of(title),
        vec![Block::say(Text::marked(said.trim())), table.into()],
    )
}
