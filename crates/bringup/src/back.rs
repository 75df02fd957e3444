//! The way back: the old board in again, where the new one fails. From the same plan, read the other way round.

use model::DeviceKind;
use model::machine::{Device, Drive};
use plan::{ActionKind, Plan, Row};
use quantity::{Value, si};

use crate::step::{Expected, Needs, Part, Phase, Step};

/// The end of a cable that was clamped on the old board, by its name in the catalogue.
const OPEN_WIRE: &str = "open wire";

/// The steps that put the old board back, in the order in which they are to be done.
#[must_use]
pub fn back(plan: &Plan<'_>) -> Vec<Step> {
    let rows = plan::cables(plan);
    vec![
        out(plan),
        cables(&rows),
        board(plan),
        plugs(&rows),
        meter(plan),
        power(plan),
        senses(plan),
        motion(plan),
        heat(plan),
    ]
}

/// The devices that the old board had.
fn known<'p>(plan: &'p Plan<'_>) -> impl Iterator<Item = &'p Device> {
    plan.swap.machine.devices.iter().filter(|device| !device.is_new())
}

fn out(plan: &Plan<'_>) -> Step {
    let wait = Value::exact(plan.setup().limits().safety_discharge_wait.value.high());
    Step::new(
        "back-out",
        Phase::Prepare,
        Needs::Unplugged,
        format!("Take {} out", plan.board.name),
        "Work on wiring is done on a de-energised machine only.",
    )
    .hazard("Mains and supply wiring belong to a qualified person and local codes. Hot parts must be cold.")
    .act(format!("Switch off, pull the mains plug, wait at least {wait}."))
    .act("Photograph the wiring as it is: it may hold the fault that you look for later.")
    .act("Tie its tag to each cable that has none, then unplug cable after cable.")
    .act("Undo the screws crosswise, lift the board by its edges, and keep it in an antistatic bag.")
    .expect(Expected::at_most(
        "DC voltage between + and - of the supply cable, before it is loosened",
        Value::exact(si::volt(1.0)),
    ))
    .otherwise("wait longer; do not short the wires")
    .takes(20, 0)
    .source("en-50110-1")
}

/// What the new board asked of each cable, undone where the old one cannot bear it.
fn cables(rows: &[Row]) -> Step {
    let parts = rows.iter().filter_map(|row| {
        let undone: Vec<String> = row
            .actions
            .iter()
            .filter_map(|action| undo(row, action.kind))
            .collect();
        let part = Part::new(
            format!("back-cable:{}", row.tag),
            format!("{} ({})", row.device, row.tag),
        )
        .tag(&row.tag);
        (!undone.is_empty()).then(|| undone.into_iter().fold(part, Part::act))
    });
    Step::new(
        "back-cables",
        Phase::Prepare,
        Needs::Unplugged,
        "Make the cables fit the old board again",
        "A plug that was changed for the new board may fit the old one and feed the wrong pin.",
    )
    .parts(parts)
    .hazard("Wear eye protection when cutting and stripping: wire ends fly.")
    .act("Do the work of the table. Fuses, longer wires and sleeves stay.")
    .act("Pull at each contact: it must hold.")
    .expect(Expected::seen(
        "contacts",
        "hold when pulled, at the pins of the tags",
    ))
    .after("back-out")
    .takes(5, 6)
}

/// What takes back one kind of work; nothing where it stays.
fn undo(row: &Row, kind: ActionKind) -> Option<String> {
    if row.old_port.is_none() {
        // Once is enough for a cable that the old board never had.
        return (kind == ActionKind::NewCable)
            .then(|| "leave it off, and insulate its ends one by one".to_owned());
    }
    match kind {
        ActionKind::RePin => {
            let moved = row.wires.iter().filter_map(|wire| {
                let new = wire.new_pin.filter(|new| *new != wire.old_pin)?;
                Some(format!("{new}→{}", wire.old_pin))
            });
            let moved: Vec<String> = moved.collect();
            Some(format!("move contacts back: {}", moved.join(", ")))
        }
        // A ferrule fits a clamp of the old board as well.
        ActionKind::Clamp if row.old_connector == OPEN_WIRE => None,
        ActionKind::ReCrimp | ActionKind::Clamp | ActionKind::Splice => Some(format!(
            "end it again as the old port needs: {}, {}",
            row.old_connector,
            pins(row)
        )),
        ActionKind::Adaptor
        | ActionKind::YCable
        | ActionKind::OwnSupply
        | ActionKind::ExternalSwitch
        | ActionKind::SignalPart => Some(format!(
            "take out what was added for the new board ({})",
            kind.word()
        )),
        ActionKind::PlugOver
        | ActionKind::Extend
        | ActionKind::Fuse
        | ActionKind::NewCable
        | ActionKind::LeaveOff => None,
    }
}

/// Each wire with its pin at the old port.
fn pins(row: &Row) -> String {
    let pins = row
        .wires
        .iter()
        .map(|wire| format!("{} {}", wire.colour, wire.old_pin));
    pins.collect::<Vec<_>>().join(", ")
}

fn board(plan: &Plan<'_>) -> Step {
    Step::new(
        "back-board",
        Phase::Prepare,
        Needs::Unplugged,
        format!("Put {} in again", plan.swap.old.name),
        "Nothing may touch the board but its posts.",
    )
    .hazard("Static charge destroys board and drivers: touch bare metal of the frame first, hold the board by its edges.")
    .act("Compare it with your photographs: jumpers, drivers, heat sinks, trimmers as they were.")
    .act("Screw it onto the posts; no screw head and no washer may reach a track.")
    .expect(Expected::seen("old board", "as in the photographs; sits flat, touches nothing but the posts"))
    .after("back-out")
    .takes(15, 0)
}

/// Each plug beside the port that it came from.
fn plugs(rows: &[Row]) -> Step {
    let parts = rows.iter().filter_map(|row| {
        let port = row.old_port.as_ref()?;
        let part = Part::new(
            format!("back-plug:{}", row.tag),
            format!("{} ({})", row.device, row.tag),
        );
        Some(part.tag(&row.tag).expect(Expected::seen(port.clone(), pins(row))))
    });
    Step::new(
        "back-plugs",
        Phase::Unpowered,
        Needs::Unplugged,
        "Compare each plug with its old port, then plug in all but heaters and motors",
        "A plug in the wrong socket, or turned, destroys what is connected there.",
    )
    .parts(parts)
    .act("Compare tag, colours and pins with the table and your photographs.")
    .act("Plug each in but heaters and motors: these come last.")
    .otherwise("two cables want one socket: look at the tags and the photographs; do not try")
    .after("back-cables")
    .after("back-board")
    .takes(2, 1)
}

fn meter(plan: &Plan<'_>) -> Step {
    let heaters = known(plan).filter(|device| device.kind() == DeviceKind::Heater);
    let heaters: Vec<String> = heaters.map(|device| device.tag.value.clone()).collect();
    let step = Step::new(
        "back-shorts",
        Phase::Unpowered,
        Needs::Unplugged,
        "Look for shorts before any power",
        "A short that stopped the new board would stop the old one too.",
    )
    .act("Measure between + and − of the board's input, both ways round.")
    .expect(Expected::at_least(
        "resistance between + and −, once it no longer rises",
        Value::exact(si::ohm(100.0)),
    ))
    .otherwise("near zero: unplug cable after cable until it rises; the last one has the short")
    .after("back-plugs")
    .takes(5, 0);
    if heaters.is_empty() {
        return step;
    }
    step.act(format!(
        "At its plug, measure each heater ({}) against the frame.",
        heaters.join(", ")
    ))
    .expect(Expected::at_least(
        "resistance of each heater to the frame",
        Value::exact(si::ohm(1e6)),
    ))
}

fn power(plan: &Plan<'_>) -> Step {
    Step::new(
        "back-power",
        Phase::BoardAlone,
        Needs::Power,
        "Switch on without heaters and motors",
        "The old board may have suffered: it shows so before anything depends on it.",
    )
    .hazard("One hand stays at the switch. Smell, smoke or a hot part: switch off, pull the plug.")
    .act("Heaters and motors are unplugged. Switch on and wait for half a minute.")
    .act(format!(
        "Connect as before and ask {} for its settings.",
        plan.swap.old.name
    ))
    .expect(Expected::seen(
        "board",
        "starts as it used to; nothing smells or gets hot",
    ))
    .expect(Expected::seen(
        "its report",
        "the same as the one that was kept, line by line",
    ))
    .otherwise("no report, or another one: its memory or image was changed; do not heat with it")
    .after("back-shorts")
    .takes(10, 0)
}

fn senses(plan: &Plan<'_>) -> Step {
    let switches = [
        DeviceKind::LimitSwitch,
        DeviceKind::BedProbe,
        DeviceKind::FilamentSwitch,
    ];
    let switched = known(plan).any(|device| switches.contains(&device.kind()));
    let mut step = Step::new(
        "back-senses",
        Phase::Senses,
        Needs::Power,
        "Sensors and switches as before",
        "Nothing heats or moves before what watches it is proved.",
    )
    .act("Ask for all temperatures, cold. Pull each sensor's plug once with the power off, and look what it reads then.")
    .expect(Expected::seen("temperatures", "those of the room, within 3 K of each other"))
    .expect(Expected::seen("a pulled sensor", "is noticed as an error"))
    .otherwise("a temperature is off: two sensors are interchanged, or one is on another port")
    .after("back-power")
    .takes(10, 0);
    if switched {
        step = step
            .act("Operate each switch and the probe by hand, and ask for its state before and after.")
            .expect(Expected::seen(
                "each switch",
                "changes its state, and no other does",
            ));
    }
    step
}

fn motion(plan: &Plan<'_>) -> Step {
    // Cold filament is not pushed.
    let axes = plan
        .swap
        .machine
        .axes
        .iter()
        .filter(|axis| !matches!(axis.drive, Drive::Extruder { .. }));
    let axes: Vec<&str> = axes.map(|axis| axis.name.value.as_str()).collect();
    Step::new(
        "back-motion",
        Phase::Motion,
        Needs::Motion,
        format!("Move {}, then home", axes.join(", ")),
        "A motor plug turned round moves an axis into its end.",
    )
    .hazard("Moving parts: fingers, hair and tools away, one hand at the switch.")
    .act("Switch off, plug the motors in, push the axes to mid-travel, switch on.")
    .act("Move each axis by +10 mm, then home one axis at a time, Z last.")
    .expect(Expected::seen(
        "directions and ends",
        "those that were noted before the old board came out",
    ))
    .otherwise("an axis moves the other way: its plug is turned round or in another socket")
    .after("back-senses")
    .takes(10, 0)
}

fn heat(plan: &Plan<'_>) -> Step {
    let first = Value::exact(plan.setup().limits().bringup_first_heat.value.nominal());
    let step = Step::new(
        "back-heat",
        Phase::Heat,
        Needs::Heat,
        format!("Heat each part to {first}, one after the other"),
        "It proves that each heater warms its own sensor again.",
    )
    .hazard("Fire and burns: stay with the machine, an extinguisher at hand. Do not touch to feel.")
    .act("Switch off and plug one heater in. Switch on: it must stay off by itself.")
    .act(format!(
        "Set {first}, watch its sensor, drop the setpoint. Then the next."
    ))
    .expect(Expected::seen(
        "each sensor",
        "rises at once, and falls once the setpoint is dropped",
    ))
    .expect(Expected::seen("the other sensors", "stay where they are"))
    .otherwise("its sensor does not rise: switch off; heater and sensor belong to different parts")
    .after("back-senses")
    .takes(15, 0);
    if known(plan).any(|device| device.kind() == DeviceKind::Relay) {
        return step.hazard(
            "The load side of a relay is mains: a qualified person looks at it first where it was touched.",
        );
    }
    step
}
