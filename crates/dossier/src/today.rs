//! The page for a print tomorrow: wiring, settings, ten checks, and what may wait. It is for one day.

use std::sync::LazyLock;

use bringup::{Expected, Reading, Step};
use document::{Block, Column, Document, Row, Section, Table, Text};
use model::Topic;
use model::machine::Detail;
use plan::{ActionKind, Plan, Stake, Verdict};
use serde::Deserialize;
use settings::{Fate, Setting, Settings};

use crate::words::{plural, sentence};

/// Facts that are asked for on the page, at the most.
const FACTS: usize = 8;

/// What a page for one day is made from.
#[derive(Clone, Copy)]
pub struct Today<'a> {
    /// The plan of the board.
    pub plan: &'a Plan<'a>,
    /// Its settings.
    pub settings: &'a Settings,
    /// The settings that other answers to what nobody stated give.
    pub others: &'a [Settings],
    /// The steps of its bring-up.
    pub steps: &'a [Step],
    /// The day, such as 2026-11-30.
    pub day: &'a str,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Data {
    check: Vec<Check>,
    later: Vec<Later>,
}

/// A check that is never left out.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Check {
    title: String,
    #[serde(rename = "do")]
    act: String,
    expect: String,
    /// Steps of the bring-up whose readings stand here; one that ends with `*` stands for all that begin so.
    steps: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Later {
    what: String,
}

static DATA: LazyLock<Data> = LazyLock::new(|| {
    toml::from_str(include_str!("../../../data/today.toml")).expect("data/today.toml is tested")
});

/// What of the page belongs on a screen: the warnings, what to find out, the wiring.
#[must_use]
pub fn in_short(page: &Document) -> Document {
    let shown = |section: &&Section| ["facts", "wiring"].contains(&section.id.as_str());
    Document {
        sections: page.sections.iter().filter(shown).cloned().collect(),
        ..page.clone()
    }
}

/// The page.
#[must_use]
pub fn today(today: &Today<'_>) -> Document {
    let plan = today.plan;
    let mut sections = vec![
        Section::new("Wiring", wiring(plan)).at("wiring"),
        Section::new("Settings", told(today)).at("settings"),
    ];
    let facts = facts(plan);
    if !facts.is_empty() {
        sections.push(Section::new("Find out before the first heat", facts).at("facts"));
    }
    sections.push(Section::new("Ten checks, none left out", checks(today)).at("checks"));
    let later = DATA.later.iter().map(|later| later.what.as_str());
    sections.push(Section::new("What may wait", vec![Block::list(later)]).at("later"));
    Document {
        title: Text::of(format!(
            "{} in {}, for one print",
            plan.board.name, plan.swap.machine.name
        )),
        lead: Text::of(format!(
            "Made {}, for one day: the next start asks for the rest.",
            today.day
        )),
        front: front(plan),
        sections,
        ..Document::default()
    }
}

/// What is certain to be wrong, and the warnings.
fn front(plan: &Plan<'_>) -> Vec<Block> {
    let mut blocks = Vec::new();
    let certain = plan
        .findings
        .iter()
        .filter(|finding| finding.verdict == Verdict::Blocker && finding.open.is_none());
    let certain = certain.map(|finding| {
        let said = Text::default()
            .strong("Not like this: ")
            .and_marked(&sentence(&finding.headline));
        match &finding.remedy {
            Some(remedy) => said.and(" Do: ").and_marked(&sentence(remedy)),
            None => said,
        }
    });
    let certain: Vec<Text> = certain.collect();
    if !certain.is_empty() {
        blocks.push(Block::list(certain));
    }
    blocks.push(Block::list(warnings(plan)));
    blocks
}

fn warnings(plan: &Plan<'_>) -> Vec<String> {
    let machine = &plan.swap.machine;
    let tags = |wanted: &dyn Fn(&model::machine::Device) -> bool| -> Vec<String> {
        let devices = machine.devices.iter().filter(|device| wanted(device));
        devices.map(|device| device.tag.value.clone()).collect()
    };
    let unknown = |key: &str| -> Vec<String> {
        let facts = plan.swap.assumed.iter();
        let facts = facts.filter(|fact| fact.key == key);
        facts.filter_map(|fact| fact.owner.last().cloned()).collect()
    };
    let mut out = vec![
        "If a check fails there is no print tomorrow.".to_owned(),
        "Unplug before you open it. Mains and supply wiring belong to a qualified person and local codes."
            .to_owned(),
    ];
    let sensors = unknown("sensor");
    if !sensors.is_empty() {
        out.push(format!(
            "The kind of {} is not known: no more than 100 °C before check 10, and after it no more than you compared.",
            sensors.join(", ")
        ));
    }
    let open = tags(&|device| match &device.detail {
        Detail::Heater(heater) => heater.cut_out.is_none(),
        _ => false,
    });
    if !open.is_empty() {
        out.push(format!(
            "No cut-out is known at {}: somebody stays within reach of the switch until it is cold.",
            open.join(", ")
        ));
    }
    out.push(
        "The times of the monitoring are usual ones where the parts are not described: check 9 proves them."
            .to_owned(),
    );
    out
}

/// The facts on which people and fire depend, those that settle most first.
fn facts(plan: &Plan<'_>) -> Vec<Block> {
    let asks = plan::ask(plan.swap, core::slice::from_ref(plan));
    let asks: Vec<_> = asks
        .iter()
        .filter(|ask| ask.settles.iter().any(|finding| finding.stake == Stake::Safety))
        .collect();
    let rows = asks.iter().take(FACTS).map(|ask| {
        Row::of([
            Text::marked(&ask.fact.words()),
            Text::of(ask.fact.taken.replace('"', "")),
            Text::of(format!(
                "{} ({}, {} min)",
                ask.question.act, ask.question.tool, ask.question.minutes
            )),
        ])
    });
    let rows: Vec<Row> = rows.collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let left = asks.len() - rows.len();
    let columns = [Column::text("What"), Column::short("Assumed"), Column::text("Do")];
    let mut blocks = vec![Block::Table(Table::new(columns, rows))];
    if left > 0 {
        let more = plural(left, "more fact", "more facts");
        let more = Text::of(format!("{more}: ")).code("boardswap ask --all");
        blocks.push(Block::remark(more));
    }
    blocks
}

fn wiring(plan: &Plan<'_>) -> Vec<Block> {
    let cables = plan::cables(plan);
    let rows = cables.iter().map(|row| {
        let work = row.actions.iter().filter(|action| {
            !matches!(
                action.kind,
                ActionKind::NewCable | ActionKind::PlugOver | ActionKind::Clamp
            )
        });
        let work: Vec<String> = work.map(|action| sentence(&action.words)).collect();
        let wires = row.wires.iter().filter_map(|wire| {
            let pin = wire.new_pin?;
            Some(format!("{} to pin {pin}", wire.function))
        });
        let wires: Vec<String> = wires.collect();
        Row::of([
            Text::default().tag(&row.tag),
            Text::of(&row.device),
            Text::of(row.new_port.as_deref().unwrap_or("left off")),
            Text::of(wires.join(", ")),
            Text::of(work.join(" ")),
        ])
    });
    let columns = [
        Column::short("Tag"),
        Column::text("Device"),
        Column::short("Port"),
        Column::text("Wires"),
        Column::text("To fit"),
    ];
    let mut blocks = vec![Block::Table(Table::new(columns, rows))];
    if cables
        .iter()
        .any(|row| row.wires.iter().all(|wire| wire.new_pin.is_none()))
    {
        blocks.push(Block::say(
            "Where no pin stands: find plus and minus with the meter, compare pin 1 and the number of ways, before you plug.",
        ));
    }
    blocks
}

/// The settings: computed from what was said, assumed, unknown.
fn told(today: &Today<'_>) -> Vec<Block> {
    let value = |settings: &Settings, id: &str| {
        let setting = settings.named(id)?;
        setting.new.as_ref().map(ToString::to_string)
    };
    // Ports stand in the wiring; a table is built in with the kind of its sensor.
    let elsewhere = [Topic::Port, Topic::ThermometerTable];
    let all = || {
        let settings = today.settings.settings.iter();
        settings.filter(|setting| !elsewhere.contains(&setting.topic))
    };
    let sure = |setting: &&Setting| {
        let own = setting.new.as_ref().map(ToString::to_string);
        setting.fate != Fate::MeasureAgain
            && today.others.iter().all(|other| value(other, &setting.id) == own)
    };
    let rows = |wanted: &dyn Fn(&&Setting) -> bool| -> Vec<Row> {
        // Equal values of one setting stand in one row.
        let mut rows: Vec<(&str, String, Vec<&str>)> = Vec::new();
        for setting in all().filter(wanted) {
            let Some(value) = &setting.new else { continue };
            let value = value.to_string();
            match rows
                .iter_mut()
                .find(|row| row.0 == setting.title && row.1 == value)
            {
                Some(row) => row.2.push(&setting.of),
                None => rows.push((setting.title, value, vec![&setting.of])),
            }
        }
        let rows = rows
            .into_iter()
            .map(|(title, value, of)| Row::of([Text::of(title), Text::of(of.join(", ")), Text::of(value)]));
        rows.collect()
    };
    let columns = [Column::text("Setting"), Column::text("Of"), Column::text("Value")];
    let mut blocks = Vec::new();
    let mut table = |title: &str, rows: Vec<Row>| {
        if !rows.is_empty() {
            blocks.push(Block::Table(Table::new(columns.clone(), rows).caption(title)));
        }
    };
    table("Computed from what you said", rows(&sure));
    table(
        "Assumed: usual, not known. Prove each before you rely on it",
        rows(&|setting| !sure(setting)),
    );
    let unknown = all().filter(|setting| setting.new.is_none() && setting.fate != Fate::Dropped);
    let unknown: Vec<String> = unknown
        .map(|setting| format!("{} of {}", setting.title, setting.of))
        .collect();
    if !unknown.is_empty() {
        blocks.push(Block::say(
            Text::default()
                .strong("Unknown, to be measured: ")
                .and(format!("{}.", unknown.join("; "))),
        ));
    }
    blocks
}

fn checks(today: &Today<'_>) -> Vec<Block> {
    let rows = DATA.check.iter().enumerate().map(|(at, check)| {
        let readings = check.steps.iter().flat_map(|name| readings(today.steps, name));
        let mut expect = vec![Text::of(sentence(&check.expect))];
        expect.extend(readings.map(Text::of));
        Row::of([
            document::Cell::from(Text::default().strong(format!("☐ {}. {}", at + 1, check.title))),
            document::Cell::from(Text::of(&check.act)),
            document::Cell::list(expect),
        ])
    });
    let columns = [Column::text("Check"), Column::text("Do"), Column::text("Expect")];
    vec![Block::Table(Table::new(columns, rows))]
}

/// The numbers that a step expects, a line each.
fn readings(steps: &[Step], name: &str) -> Vec<String> {
    let meant = |step: &&Step| match name.strip_suffix('*') {
        Some(begins) => step.id.starts_with(begins),
        None => step.id == name,
    };
    let shown = |expected: &Expected| match expected.reading {
        Reading::Seen(_) | Reading::Noted(_) => None,
        _ => Some(format!("{}: {}", expected.what, expected.words())),
    };
    let all = steps.iter().filter(meant).flat_map(|step| {
        let parts = step.parts.iter().flat_map(|part| &part.expected);
        step.expected.iter().chain(parts)
    });
    all.filter_map(shown).collect()
}
