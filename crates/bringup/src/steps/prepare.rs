//! Before anything is touched: unplug, wait, prove dead; photographs and tags; board, jumpers and leads in place.

use model::board::PortSupply;
use plan::ActionKind;
use quantity::{Value, si};

use crate::job::Job;
use crate::step::{Expected, Needs, Part, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    let wait = job.setup.limits().safety_discharge_wait.value.high();
    job.push(
        Step::new(
            "unplug",
            Phase::Prepare,
            Needs::Unplugged,
            "Unplug and verify absence of voltage",
            "Work on wiring is done on a de-energised machine only.",
        )
        .hazard(
            "Mains and supply wiring belong to a qualified person and local codes. Do not open the supply.",
        )
        .act("Switch off, pull the mains plug, and keep it where nobody plugs it in again.")
        .act(format!(
            "Wait at least {}, longer where the supply's label says so.",
            Value::exact(wait)
        ))
        .act("Measure the DC voltage between + and - of the supply cable.")
        .expect(Expected::at_most(
            "DC voltage between + and - of the supply cable",
            Value::exact(si::volt(1.0)),
        ))
        .otherwise("wait longer; do not short the wires")
        .takes(10, 0)
        .source("en-50110-1"),
    );
    job.push(
        Step::new("protective-earth", Phase::Prepare, Needs::Unplugged, "Have the protective earth tested", "The frame must be safe to touch when something fails.")
            .hazard("A test for a qualified person: protective conductor and mains side of the supply.")
            .act("Let a qualified person measure from the earth pin of the mains plug to bare metal of the frame. Local codes count.")
            .expect(Expected::at_most("resistance of the protective conductor, tips subtracted", job.setup.limits().earth_resistance.value))
            .otherwise("stop here until it is repaired")
            .takes(10, 0)
            .after("unplug")
            .source("iec-60204-1"),
    );
    let tags = format!("one on each of the {} cables", old_cables(job));
    let step = Step::new(
        "old-board",
        Phase::Prepare,
        Needs::Unplugged,
        "Photograph the old board, tie on tags, take it out",
        "It is the fallback: it goes back in where the new one fails, so it must come out whole.",
    )
    .hazard("Do not lever at sockets, and do not pull at wires: hold each plug by its housing.")
    .part(
        Part::new("photographs", "photographs and tags")
            .act("photograph the board from above with all cables in place, then each plug close up")
            .act("tie its tag to each cable before it is unplugged (sheets of tags: pictures/tags-*.svg)")
            .expect(Expected::seen("tags", tags)),
    )
    .part(
        Part::new("old-board-out", "old board out")
            .act("unplug cable after cable, and check that its tag is on it; loosen clamped wires by their screws")
            .act("undo the screws crosswise, lift the board by its edges, and keep it with its screws in an antistatic bag")
            .expect(Expected::seen("old board", "out, in its bag; no cable without a tag; screws counted")),
    )
    .act("Do the rows of the table in order.")
    .otherwise("a plug holds fast: find its latch; hot glue loosens with isopropyl alcohol")
    .takes(15 + u32::try_from(old_cables(job)).unwrap_or_default(), 0)
    .after("unplug");
    job.push(step);
    job.push(
        Step::new("board", Phase::Prepare, Needs::Unplugged, "Put the board in", "Nothing may touch the board but its posts.")
            .hazard("Static charge destroys board and drivers: touch bare metal of the frame first, hold the board by its edges.")
            .act(format!("Screw {} onto the posts; no screw head and no washer may reach a track.", job.setup.board.name))
            .act("Look under it: no loose screw, no cut-off end of wire.")
            .expect(Expected::seen("board", "sits flat, moves nowhere, touches nothing but the posts"))
            .takes(15, 0)
            .after("old-board-out"),
    );
    jumpers(job);
    wiring(job);
}

fn old_cables(job: &Job<'_>) -> usize {
    job.setup
        .swap
        .machine
        .devices
        .iter()
        .filter(|device| !device.is_new())
        .count()
}

/// Where each jumper must stand before any power, by what hangs on it.
fn jumpers(job: &mut Job<'_>) {
    let mut step = Step::new(
        "jumpers",
        Phase::Prepare,
        Needs::Unplugged,
        "Set the jumpers",
        "A jumper selects the voltage of its ports. A wrong position destroys what is connected there.",
    )
    .act("Set each jumper of the table. Check it from above.")
    .after("board");
    for (at, jumper) in job.setup.board.jumpers.iter().enumerate() {
        if let (Some(purpose), Some(position)) = (&jumper.purpose, &jumper.position) {
            let part = Part::new(
                format!("jumper:{}", jumper.name),
                format!("jumper {}", jumper.name),
            )
            .act(format!("it {purpose}"))
            .expect(Expected::seen("position", position.value.clone()));
            step = step.part(part);
            continue;
        }
        let behind = |supply: PortSupply| matches!(supply, PortSupply::Jumper(id) if id.0 == at);
        let pairs: Vec<_> = job
            .setup
            .pairs()
            .filter(|pair| behind(pair.port().supply))
            .collect();
        let Some(rail) = pairs.first().and_then(plan::Pair::rail_name) else {
            continue;
        };
        let names: Vec<String> = pairs
            .iter()
            .map(|pair| format!("{} on {}", pair.device_name(), pair.port_name()))
            .collect();
        let part = Part::new(
            format!("jumper:{}", jumper.name),
            format!("jumper {}", jumper.name),
        )
        .act(format!("for {}", names.join(", ")))
        .expect(Expected::seen("position", rail));
        step = step.part(
            pairs
                .iter()
                .fold(part, |part, pair| part.tag(&pair.device().tag.value)),
        );
    }
    job.push_parted(step.takes(1, 1));
}

/// Every cable that is more than plugged over, listed; the plugs themselves stay off until their own step.
fn wiring(job: &mut Job<'_>) {
    let mut step = Step::new(
        "harness",
        Phase::Prepare,
        Needs::Unplugged,
        "Do the work on the cables, but plug nothing in yet",
        "Each cable is plugged in at its own step, after it was measured.",
    )
    .hazard("Wear eye protection when cutting and stripping: wire ends fly.")
    .after("board");
    let mut minutes = 5;
    for row in plan::cables(job.plan) {
        let work = row
            .actions
            .iter()
            .filter(|action| action.kind != ActionKind::PlugOver);
        // What is clamped now would have power before it was measured.
        let words = work.map(|action| match (action.kind, &row.new_port) {
            (ActionKind::Clamp, Some(port)) => {
                format!("crimp ferrules on the ends, for {port}; they are clamped at their own step")
            }
            _ => action.words.clone(),
        });
        let words: Vec<String> = words.collect();
        if !words.is_empty() {
            minutes += u32::try_from(row.minutes).unwrap_or_default();
            let part = Part::new(
                format!("harness:{}", row.tag),
                format!("{} ({})", row.device, row.tag),
            );
            let part = words.into_iter().fold(part, Part::act);
            step = step.part(part.tag(&row.tag));
        }
    }
    let todo = if step.parts.is_empty() {
        "Nothing to do: every cable is plugged over as it is."
    } else {
        "Do the work of the table."
    };
    step = step.act(todo).act("Pull at each new contact: it must hold.");
    step.minutes = minutes;
    job.push(step.expect(Expected::seen(
        "new contacts",
        "hold when pulled, and none is plugged in",
    )));
}
