//! The way back: every cable of the old board ends where it came from, in steps that rest on each other.

use std::collections::BTreeSet;

use bringup::{Needs, Step};
use plan::ActionKind;

fn each(check: impl Fn(&plan::Plan<'_>, &[Step])) {
    for example in ["demo", "second", "third"] {
        let swap = model::load(&samples::example(example)).unwrap();
        for board in &swap.candidates {
            let plan = plan::plan(&swap, board);
            check(&plan, &bringup::back(&plan));
        }
    }
}

fn step<'s>(steps: &'s [Step], id: &str) -> &'s Step {
    steps
        .iter()
        .find(|step| step.id == id)
        .unwrap_or_else(|| panic!("{id}"))
}

#[test]
fn every_cable_goes_back_to_its_old_port() {
    each(|plan, steps| {
        let plugs = step(steps, "back-plugs");
        let machine = &plan.swap.machine;
        let old: Vec<(&str, &str)> = machine
            .devices
            .iter()
            .filter_map(|device| {
                Some((
                    device.tag.value.as_str(),
                    device.cable.old_port.as_ref()?.value.as_str(),
                ))
            })
            .collect();
        assert!(!old.is_empty());
        let told: Vec<(&str, &str)> = plugs
            .parts
            .iter()
            .map(|part| (part.tags[0].as_str(), part.expected[0].what.as_str()))
            .collect();
        assert_eq!(old.iter().collect::<BTreeSet<_>>(), told.iter().collect());
        assert_eq!(told.len(), old.len());
    });
}

/// What was cut, moved or added for the new board is named; what was only plugged over is not.
#[test]
fn what_the_new_board_changed_is_taken_back() {
    let seen = std::cell::RefCell::new(BTreeSet::new());
    each(|plan, steps| {
        let cables = step(steps, "back-cables");
        for row in plan::cables(plan) {
            let part = cables.parts.iter().find(|part| part.tags == [row.tag.clone()]);
            let kinds: Vec<ActionKind> = row.actions.iter().map(|action| action.kind).collect();
            let stays = [
                ActionKind::PlugOver,
                ActionKind::Extend,
                ActionKind::Fuse,
                ActionKind::LeaveOff,
                ActionKind::NewCable,
            ];
            let clamped = row.old_connector == "open wire";
            let changed = kinds
                .iter()
                .any(|kind| !(stays.contains(kind) || clamped && *kind == ActionKind::Clamp));
            let new = kinds.contains(&ActionKind::NewCable);
            let named = if row.old_port.is_some() { changed } else { new };
            assert_eq!(part.is_some(), named, "{} {kinds:?}", row.tag);
            seen.borrow_mut().extend(kinds.iter().map(|kind| kind.word()));
            if let Some(part) = part.filter(|_| kinds == [ActionKind::RePin]) {
                // Moved back over all wires, each pin is the old one again.
                for wire in row
                    .wires
                    .iter()
                    .filter(|wire| wire.new_pin.is_some_and(|new| new != wire.old_pin))
                {
                    let back = format!("{}→{}", wire.new_pin.unwrap(), wire.old_pin);
                    assert!(part.actions[0].contains(&back), "{:?}", part.actions);
                }
            }
        }
    });
    assert!(seen.borrow().len() >= 5, "{:?}", seen.borrow());
}

#[test]
fn nothing_heats_or_moves_before_what_watches_it() {
    each(|_, steps| {
        let mut before: BTreeSet<&str> = BTreeSet::new();
        for step in steps {
            assert!(
                step.after.iter().all(|after| before.contains(after.as_str())),
                "{}",
                step.id
            );
            let live = step.needs >= Needs::Motion;
            assert!(
                !live || step.after.iter().any(|after| after == "back-senses"),
                "{}",
                step.id
            );
            assert!(
                step.needs < Needs::Power || step.hazard.is_some() || step.id == "back-senses",
                "{}",
                step.id
            );
            before.insert(&step.id);
        }
    });
    // Mains is somebody else's.
    let swap = model::load(&samples::example("third")).unwrap();
    let plan = plan::plan(&swap, &swap.candidates[0]);
    let steps = bringup::back(&plan);
    assert!(
        step(&steps, "back-heat")
            .hazard
            .as_ref()
            .unwrap()
            .contains("qualified person")
    );
}
