//! The bring-up as actions to work through.

use bringup::{Expected, Needs, Part, Step, Totals};
use document::{Action, Block, Caution, Fold, Opens, Picture, Place, Reading, Section, Text, anchor};
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
pub(crate) fn steps(steps: &[Step], close_up: &dyn Fn(&Step) -> Option<Picture>) -> Vec<Block> {
    let mut blocks = vec![
        Block::Caution(Caution {
            title: Text::of("Live work"),
            lines: bringup::cautions()
                .iter()
                .map(|caution| Text::of(*caution))
                .collect(),
        }),
        Block::say(totals(steps)),
        Block::say(
            "Keep to the order: each step relies on those before it. Write down what you read; stop at the first reading \
             outside its limits and look for the cause.",
        ),
    ];
    let numbered: Vec<(usize, &Step)> = (1..).zip(steps).collect();
    for phase in numbered.chunk_by(|one, other| one.1.phase == other.1.phase) {
        let actions = phase
            .iter()
            .map(|(number, step)| action(*number, step, close_up(step)));
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

fn action(number: usize, step: &Step, close_up: Option<Picture>) -> Block {
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
        close_up,
        todo: step.actions.iter().map(marked).collect(),
        readings: step.expected.iter().map(reading).collect(),
        places: step.parts.iter().map(place).collect(),
        minutes: step.minutes,
        otherwise: otherwise.as_ref().map(marked).unwrap_or_default(),
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
