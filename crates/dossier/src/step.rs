//! The bring-up as actions to work through.

use bringup::{Expected, Needs, Part, Step};
use document::{Action, Block, Caution, Place, Reading, Section, Text, anchor};
use plan::Plan;

use crate::about::About;
use crate::words::{capital, sentence};

/// The heading of a list of steps that stands alone.
pub(crate) fn title(plan: &Plan<'_>) -> Text {
    Text::of(format!(
        "Bring-up of {} with {}",
        plan.swap.machine.name, plan.board.name
    ))
}

/// The cautions, then the steps by phase.
pub(crate) fn steps(about: &About<'_>, steps: &[Step]) -> Vec<Block> {
    let mut blocks = vec![
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
        let actions = phase.iter().map(|(number, step)| action(about, *number, step));
        blocks.push(Section::new(phase[0].1.phase.title(), actions.collect()).into());
    }
    blocks.push(Block::Blanks(
        ["done by", "date", "looked through by"].map(Text::of).to_vec(),
    ));
    blocks
}

fn action(about: &About<'_>, number: usize, step: &Step) -> Block {
    let marked = |words: &String| Text::marked(&sentence(words));
    let otherwise = Some(step.otherwise.join("; ")).filter(|words| !words.is_empty());
    Block::Action(Action {
        id: anchor("step", &step.id),
        name: step.id.clone(),
        number,
        title: Text::of(&step.title),
        needs: needs(step.needs).to_owned(),
        why: marked(&step.why),
        hazard: step.hazard.as_ref().map(marked).unwrap_or_default(),
        todo: step.actions.iter().map(marked).collect(),
        readings: step
            .expected
            .iter()
            .map(|expected| reading(about, expected))
            .collect(),
        places: step.parts.iter().map(|part| place(about, part)).collect(),
        minutes: step.minutes,
        otherwise: otherwise.as_ref().map(marked).unwrap_or_default(),
    })
}

fn place(about: &About<'_>, part: &Part) -> Place {
    let mut ports: Vec<&str> = part.ports.iter().map(String::as_str).collect();
    ports.dedup();
    let readings = part.expected.iter().map(|expected| reading(about, expected));
    Place {
        id: anchor("step", &part.id),
        name: part.id.clone(),
        what: Text::of(&part.what),
        at: Text::of(ports.join(", ")),
        todo: part.actions.iter().map(|words| Text::marked(words)).collect(),
        readings: readings.collect(),
    }
}

fn reading(about: &About<'_>, expected: &Expected) -> Reading {
    Reading {
        what: Text::of(capital(&expected.what)),
        expected: Text::of(expected.words()),
        workings: about.workings(&expected.working),
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
