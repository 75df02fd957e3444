//! Before anything is touched: unplug, wait, prove dead; photographs and tags; board, jumpers and leads in place.

use model::board::PortSupply;
use plan::ActionKind;
use quantity::{Value, si};

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    let wait = job.setup.limits().safety_discharge_wait.value.high();
    job.push(
        Step::new(
            "unplug",
            Phase::Prepare,
            Needs::Unplugged,
            "Unplug and prove dead",
            "Work on wiring is done on a dead machine only.",
        )
        .hazard(
            "Mains and supply wiring belong to a qualified person and local codes. Do not open the supply.",
        )
        .act("Switch off, pull the mains plug, and keep it where nobody plugs it in again.")
        .act(format!(
            "Wait at least {}, longer where the supply's label says so.",
            Value::exact(wait)
        ))
        .act("Measure the DC voltage between + and - of the supply leads.")
        .expect(Expected::at_most(
            "DC voltage between + and - of the supply leads",
            Value::exact(si::volt(1.0)),
        ))
        .otherwise("wait on; do not short the leads")
        .source("en-50110-1"),
    );
    job.push(
        Step::new("protective-earth", Phase::Prepare, Needs::Unplugged, "Have the protective earth tested", "The frame must be safe to touch when something fails.")
            .hazard("A test for a qualified person: protective conductor and mains side of the supply.")
            .act("Let a qualified person measure from the earth pin of the mains plug to bare metal of the frame, as local codes ask.")
            .expect(Expected::at_most("resistance of the protective conductor, tips subtracted", job.setup.limits().earth_resistance.value))
            .otherwise("do not go on before it is mended")
            .after("unplug")
            .source("iec-60204-1"),
    );
    job.push(
        Step::new(
            "photographs",
            Phase::Prepare,
            Needs::Unplugged,
            "Photograph the old board and tie on tags",
            "It is the way back: the old board can be put in again.",
        )
        .act("Photograph the old board from above with all leads in place, then each plug close up.")
        .act("Tie its tag to each lead before it is unplugged (sheet of tags in the dossier).")
        .expect(Expected::seen(
            "tags",
            format!("one on each of the {} leads", old_cables(job)),
        ))
        .after("unplug"),
    );
    job.push(
        Step::new(
            "old-board-out",
            Phase::Prepare,
            Needs::Unplugged,
            "Take the old board out",
            "It goes back in where the new one fails, so it must come out whole.",
        )
        .hazard("Do not lever at sockets, and do not pull at wires: hold each plug by its housing.")
        .act("Unplug lead after lead, and look whether its tag is on it. Loosen clamped wires by their screws.")
        .act("Undo the screws crosswise, lift the board by its edges, and keep it with its screws in an antistatic bag.")
        .expect(Expected::seen("old board", "out, in its bag; no lead without a tag; screws counted"))
        .otherwise("a plug holds fast: find its latch; hot glue loosens with isopropyl alcohol")
        .after("photographs"),
    );
    job.push(
        Step::new("board", Phase::Prepare, Needs::Unplugged, "Put the board in", "Nothing may touch the board but its posts.")
            .hazard("Board and drivers do not bear static charge: touch bare metal of the frame first, hold the board by its edges.")
            .act(format!("Screw {} onto the posts; no screw head and no washer may reach a track.", job.setup.board.name))
            .act("Look under it: no loose screw, no cut-off end of wire.")
            .expect(Expected::seen("board", "sits flat, moves nowhere, touches nothing but the posts"))
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
    for (at, jumper) in job.setup.board.jumpers.iter().enumerate() {
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
            .map(|pair| format!("{} at {}", pair.device_name(), pair.port_name()))
            .collect();
        let mut step = Step::new(
            format!("jumper:{}", jumper.name),
            Phase::Prepare,
            Needs::Unplugged,
            format!("Set jumper {} to {rail}", jumper.name),
            format!(
                "It chooses the voltage for {}. A wrong position destroys what hangs on it.",
                names.join(", ")
            ),
        )
        .act(format!(
            "Put jumper {} on {rail}, and look at it again from above.",
            jumper.name
        ))
        .expect(Expected::seen(
            format!("jumper {}", jumper.name),
            format!("on {rail}"),
        ))
        .after("board");
        for pair in &pairs {
            step = step.tag(&pair.device().tag.value);
        }
        job.push(step);
    }
}

/// Every lead that is more than plugged over, listed; the plugs themselves stay off until their own step.
fn wiring(job: &mut Job<'_>) {
    let mut step = Step::new(
        "harness",
        Phase::Prepare,
        Needs::Unplugged,
        "Do the work on the leads, but plug nothing in yet",
        "Each lead is plugged in at its own step, after it was measured.",
    )
    .hazard("Eye protection when cutting and stripping: ends of wire fly.")
    .after("board");
    for row in plan::cables(job.plan) {
        let work = row
            .actions
            .iter()
            .filter(|action| action.kind != ActionKind::PlugOver);
        let words: Vec<&str> = work.map(|action| action.words.as_str()).collect();
        if !words.is_empty() {
            step = step
                .act(format!("{} ({}): {}.", row.tag, row.device, words.join("; ")))
                .tag(&row.tag);
        }
    }
    if step.actions.is_empty() {
        step = step.act("Nothing to do: every lead is plugged over as it is.");
    }
    step = step.act("Pull at each new contact: it must hold.");
    job.push(step.expect(Expected::seen(
        "new contacts",
        "hold when pulled, and none is plugged in",
    )));
}
