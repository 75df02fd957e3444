//! The shipped examples load without a fault, are marked invented, and hold what they are meant to teach.

use model::board::{Board, PortKind};
use model::machine::{Detail, Machine};
use model::{DeviceKind, Kinematics, Mount, Swap};
use quantity::Number;

use crate::support::{example, examples, plain};

fn loaded(name: &str) -> Swap {
    model::load(&example(name)).unwrap_or_else(|faults| panic!("{}", plain(&faults)))
}

fn candidate<'a>(swap: &'a Swap, name: &str) -> &'a Board {
    let found = swap.candidates.iter().find(|board| board.name.value == name);
    found.unwrap_or_else(|| panic!("no candidate {name}"))
}

fn motors(machine: &Machine) -> usize {
    let is_motor = |device: &&model::machine::Device| matches!(device.detail, Detail::Motor(_));
    machine.devices.iter().filter(is_motor).count()
}

#[test]
fn the_demonstration_swap_is_as_large_as_promised() {
    let swap = loaded("demo");
    assert!(swap.machine.devices.len() >= 18);
    assert_eq!(swap.candidates.len(), 4);
    assert_eq!(swap.wishes.len(), 7);
    assert_eq!((swap.old.drivers.len(), motors(&swap.machine)), (4, 5));
    assert!(
        swap.machine
            .devices
            .iter()
            .filter(|device| device.is_new())
            .count()
            >= 3
    );
    assert_eq!(swap.chosen_board, None);
}

#[test]
fn each_candidate_of_the_demonstration_teaches_its_lesson() {
    let swap = loaded("demo");
    let supply = swap.machine.supplies().next().expect("a supply").1.voltage;

    let (alder, birch) = (candidate(&swap, "Alder A4"), candidate(&swap, "Birch B6"));
    for board in [alder, birch] {
        assert!(board.input.voltage.holds(&supply), "{}", board.name);
        assert!(board.drivers.len() >= motors(&swap.machine), "{}", board.name);
    }
    let price = |board: &Board| board.price.expect("a price").hundredths();
    assert!(price(alder) < price(birch));
    assert!(!alder.drivers.iter().any(|driver| driver.stall_detection));
    assert!(birch.drivers.iter().all(|driver| driver.stall_detection));

    let cedar = candidate(&swap, "Cedar C3");
    assert!(!cedar.input.voltage.holds(&supply));
    assert!(cedar.outline.size.x > swap.machine.case.size.x);

    let dogwood = candidate(&swap, "Dogwood D1");
    let drivers: i64 = dogwood
        .drivers
        .iter()
        .map(|driver| driver.price.expect("a price").hundredths())
        .sum();
    assert!(
        dogwood
            .drivers
            .iter()
            .all(|driver| driver.mount == Mount::Socketed)
    );
    assert!(price(dogwood) < price(alder) && price(dogwood) + drivers > price(alder));
    let probe = dogwood.ports.iter().find_map(|port| match &port.kind {
        PortKind::Probe { input, .. } => input.as_ref().map(|input| input.max_input_voltage),
        _ => None,
    });
    assert!(probe.expect("a probe port").high().base() < 5.0);
}

#[test]
fn the_second_example_is_another_kind_of_machine() {
    let swap = loaded("second");
    assert_eq!(swap.machine.devices.len(), 7);
    assert_eq!(swap.machine.kinematics, Kinematics::CrossedBelts);
    assert_eq!(swap.candidates.len(), 2);
    let (_, supply) = swap.machine.supplies().next().expect("a supply");
    assert!((supply.voltage.nominal().base() - 12.0).abs() < 1e-9);
    assert!(swap.old_settings.is_empty());
    assert_eq!(swap.chosen_board, Some(0));
}

#[test]
fn the_third_example_has_a_mains_bed_behind_a_relay() {
    let swap = loaded("third");
    assert!(swap.machine.devices.len() >= 14);
    assert_eq!(swap.machine.kinematics, Kinematics::CrossedBelts);
    assert_eq!(swap.candidates.len(), 2);
    let relays = swap
        .machine
        .devices
        .iter()
        .filter(|device| device.kind() == DeviceKind::Relay);
    assert_eq!(relays.count(), 1);
    assert_eq!(swap.old_settings.len(), 1);
}

#[test]
fn every_file_is_marked_invented() {
    let folders = std::fs::read_dir(examples()).expect("the folder of examples");
    for folder in folders {
        let name = folder
            .expect("a readable folder")
            .file_name()
            .to_string_lossy()
            .into_owned();
        let swap = loaded(&name);
        assert!(
            swap.invented && swap.machine.invented && swap.old.invented,
            "{name}"
        );
        assert!(swap.candidates.iter().all(|board| board.invented), "{name}");
        for (path, bytes) in example(&name) {
            let text = String::from_utf8(bytes).expect("UTF-8");
            let top: Vec<&str> = text
                .lines()
                .take_while(|line| line.starts_with(['#', ';']))
                .collect();
            assert!(
                top.join("\n").contains("Invented for this example"),
                "{name}/{path}"
            );
        }
    }
}
