//! The bring-up as actions to work through.

use std::collections::BTreeSet;

use bringup::{Expected, Needs, Part, Step, Totals};
use document::{Action, Block, Caution, Fold, Opens, Picture, Place, Reading, Section, Text, anchor};
use plan::{Finding, Plan};

use crate::about::About;
use crate::parts::tools;
use crate::wiring;
use crate::words::{capital, sentence};

/// The heading of a list of steps that stands alone.
pub(crate) fn title(plan: &Plan<'_>) -> Text {
    Text::of(format!(
        "Bring-up of {} with {}",
        plan.swap.machine.name, plan.board.name
    ))
}

/// What a document has of a step beside its words.
pub(crate) struct Beside<'a> {
    /// Its connectors close up, where it is about any.
    pub close_up: &'a dyn Fn(&Step) -> Option<Picture>,
    /// Links to its cables and findings.
    pub see: &'a dyn Fn(&Step) -> Text,
}

/// How much there is to do and what it takes, the cautions, then the steps by phase.
pub(crate) fn steps(steps: &[Step], rows: &[plan::Row], beside: &Beside<'_>) -> Vec<Block> {
    let tools: Vec<&str> = tools(rows).into_iter().map(|(tool, _)| tool).collect();
    let mut blocks = vec![
        Block::say(totals(steps)),
        Block::say(
            Text::default()
                .strong("Tools: ")
                .and(format!("{}.", tools.join("; "))),
        ),
        Block::Caution(Caution {
            title: Text::of("Live work"),
            lines: bringup::cautions()
                .iter()
                .map(|caution| Text::of(*caution))
                .collect(),
        }),
        Block::say(
            "Keep to the order: each step relies on those before it. Write down what you read; stop at the first reading \
             outside its limits and look for the cause.",
        ),
    ];
    let numbered: Vec<(usize, &Step)> = (1..).zip(steps).collect();
    for phase in numbered.chunk_by(|one, other| one.1.phase == other.1.phase) {
        let actions = phase.iter().map(|(number, step)| action(*number, step, beside));
        blocks.push(Section::new(phase[0].1.phase.title(), actions.collect()).into());
    }
    blocks.push(Block::Blanks(
        ["done by", "date", "looked through by"].map(Text::of).to_vec(),
    ));
    blocks
}

/// How much there is to do: "43 steps, 160 things to do, 18 switch-offs, about 9 h".
pub(crate) fn totals(steps: &[Step]) -> String {
    let totals = Totals::of(steps);
    let hours = f64::from(totals.minutes) / 60.0;
    format!(
        "{} steps, {} things to do, {} switch-offs, about {hours:.0} h at the machine.",
        totals.steps, totals.actions, totals.switch_offs
    )
}

/// The workings of the expected readings, by step.
pub(crate) fn workings(about: &About<'_>, steps: &[Step]) -> Vec<Block> {
    let mut blocks = Vec::new();
    for step in steps {
        let of_parts = step.parts.iter().flat_map(|part| &part.expected);
        let inside: Vec<Block> = step
            .expected
            .iter()
            .chain(of_parts)
            .flat_map(|expected| about.workings::<Block>(&expected.working))
            .collect();
        if !inside.is_empty() {
            let title = Text::of(&step.title).and(" (").code(&step.id).and(")");
            blocks.push(Fold::new(Opens::Demand, title, inside).into());
        }
    }
    blocks
}

/// Links to what a step is about: its cables, and the findings that it deals with or whose cables it touches.
pub(crate) fn see(about: &About<'_>, step: &Step) -> Text {
    let mut tags: Vec<&String> = step
        .tags
        .iter()
        .chain(step.parts.iter().flat_map(|part| &part.tags))
        .collect();
    let mut seen = BTreeSet::new();
    tags.retain(|tag| seen.insert(*tag));
    let mut text = Text::default();
    for (at, tag) in tags.into_iter().enumerate() {
        let before = if at == 0 { "Wiring: " } else { ", " };
        text = text.and(before).link(Some(&wiring::place_of(tag)), tag);
    }
    let steps = std::slice::from_ref(step);
    let own = |finding: &&Finding| {
        let mut places = finding.handled_by.iter();
        places.any(|place| bringup::is_in_steps(place, steps))
    };
    let findings = about.plan.open_points().into_iter().filter(own);
    for (at, finding) in findings.enumerate() {
        let before = match (at, text.is_empty()) {
            (0, true) => "Findings: ",
            (0, false) => ". Findings: ",
            _ => ", ",
        };
        text = text.and(before).link(about.anchor(finding), &finding.id);
    }
    if text.is_empty() { text } else { text.and(".") }
}

/// A step with all that it says.
pub(crate) fn action(number: usize, step: &Step, beside: &Beside<'_>) -> Block {
    let marked = |words: &String| Text::marked(&sentence(words));
    let otherwise: Vec<String> = step.otherwise.iter().map(|words| sentence(words)).collect();
    Block::Action(Action {
        id: anchor("step", &step.id),
        name: step.id.clone(),
        number,
        title: Text::of(&step.title),
        needs: needs(step.needs).to_owned(),
        why: marked(&step.why),
        hazard: step.hazard.as_ref().map(marked).unwrap_or_default(),
        close_up: (beside.close_up)(step),
        see: (beside.see)(step),
        todo: step.actions.iter().map(marked).collect(),
        readings: step.expected.iter().map(reading).collect(),
        places: step.parts.iter().map(place).collect(),
        minutes: step.minutes,
        otherwise: Text::marked(&otherwise.join(" ")),
    })
}

fn place(part: &Part) -> Place {
    let mut ports: Vec<&str> = part.ports.iter().map(String::as_str).collect();
    ports.dedup();
    let readings = part.expected.iter().map(reading);
    Place {
        id: anchor("step", &part.id),
        name: part.id.clone(),
        what: Text::of(&part.what),
        at: Text::of(ports.join(", ")),
        todo: part.actions.iter().map(|words| Text::marked(words)).collect(),
        readings: readings.collect(),
    }
}

fn reading(expected: &Expected) -> Reading {
    Reading {
        what: Text::of(capital(&expected.what)),
        expected: Text::of(expected.words()),
        workings: Vec::new(),
    }
}

fn needs(needs: Needs) -> &'static str {
    match needs {
        Needs::Unplugged => "unplugged",
        Needs::Power => "under power",
        Needs::Motion => "moves",
        Needs::Heat => "heats",
    }
}
