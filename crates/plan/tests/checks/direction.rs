//! `direction`: predicted from coils, socket and driver.

use crate::support::Case;
use model::board::PortKind;
use model::{Direction, Located, Pin};
use plan::Verdict;

fn socket(pins: &str) -> Case {
    Case::new().port("M1", &format!("pins = [{pins}]"))
}

#[test]
fn two_changes_cancel() {
    let base = Case::new();
    assert_eq!(base.pair("direction", "MX", "M1").verdict, Verdict::Pass);
    let crossed = socket("'B1', 'B2', 'A1', 'A2'");
    let finding = crossed.pair("direction", "MX", "M1");
    assert_eq!(finding.verdict, Verdict::Note);
    assert!(
        finding.headline.contains("becomes reversed"),
        "{}",
        finding.headline
    );
    let turned = crossed.driver("D1", "direction = 'reversed'");
    assert_eq!(turned.pair("direction", "MX", "M1").verdict, Verdict::Pass);
}

#[test]
fn coils_across_phases_are_moved() {
    let loaded = socket("'A1', 'B1', 'A2', 'B2'").load();
    let findings = loaded.pairs("direction", "MX", "M1");
    assert_eq!(findings.len(), 2, "{findings:#?}");
    assert_eq!(findings[0].verdict, Verdict::Caution);
    assert!(
        findings[0].headline.contains("must not be plugged"),
        "{}",
        findings[0].headline
    );
    // A plug that is made anew follows the socket: then there is nothing to warn of.
    let other = socket("'A1', 'B1', 'A2', 'B2'").port("M1", "connector = 'crimp 2.0 mm'");
    assert_eq!(other.load().pairs("direction", "MX", "M1").len(), 1);
}

#[test]
fn what_is_not_known_is_said() {
    let unknown = Case::new().without_line("machine.toml", "[[axis]]\nname = \"X\"", "old_direction");
    let finding = unknown.pair("direction", "MX", "M1");
    assert_eq!(finding.verdict, Verdict::Note);
    assert!(finding.headline.contains("is open"), "{}", finding.headline);
    let new = Case::new().cable_without("MX", "old_port");
    assert!(new.pair("direction", "MX", "M1").headline.contains("new"));
}

/// The ends of two coils, or of two phases, in every order of a connector.
fn orders() -> Vec<[Pin; 4]> {
    let ends = [Pin::A1, Pin::A2, Pin::B1, Pin::B2];
    let mut out = Vec::new();
    for a in ends {
        for b in ends {
            for c in ends {
                for d in ends {
                    let order = [a, b, c, d];
                    if ends.iter().all(|end| order.contains(end)) {
                        out.push(order);
                    }
                }
            }
        }
    }
    out
}

/// Which way the field of a motor turns when its plug meets a socket pin by pin: the driver feeds `cos` to phase A and `sin` to phase B, the
/// sign of the cross product of two moments tells; nothing where the field only goes to and fro (two-phase excitation, any book on stepping motors).
fn field(plug: [Pin; 4], socket: [Pin; 4]) -> Option<f64> {
    let at = |angle: f64| {
        let potential = |coil_end: Pin| {
            let pin = plug.iter().position(|own| *own == coil_end).expect("four ends");
            match socket[pin] {
                Pin::A1 => angle.cos(),
                Pin::A2 => -angle.cos(),
                Pin::B1 => angle.sin(),
                _ => -angle.sin(),
            }
        };
        [
            potential(Pin::A1) - potential(Pin::A2),
            potential(Pin::B1) - potential(Pin::B2),
        ]
    };
    let turns: Vec<f64> = (0..8)
        .map(|step| {
            let (now, next) = (f64::from(step) * 0.7, f64::from(step) * 0.7 + 0.5);
            let ([a, b], [c, d]) = (at(now), at(next));
            a * d - b * c
        })
        .collect();
    let one_way = turns
        .iter()
        .all(|turn| turn.abs() > 1e-9 && turn.signum() == turns[0].signum());
    one_way.then(|| turns[0].signum())
}

fn put(pins: &mut [Located<Pin>], order: [Pin; 4]) {
    for (pin, end) in pins.iter_mut().zip(order) {
        pin.value = end;
    }
}

/// Every order of the plug at the old socket, every order of the new socket, both senses of both drivers: what the check says is what the
/// field does. Coils across two phases are found, and the contacts are moved until each meets its own.
#[test]
fn every_order_and_sense_is_what_the_field_does() {
    let mut loaded = Case::new().load();
    let way = loaded.ways("MX", "M1")[0];
    let device = loaded.id("MX").0;
    let orders = orders();
    assert_eq!(orders.len(), 24);
    let straight = [Pin::A1, Pin::A2, Pin::B1, Pin::B2];
    let (mut turned, mut crossed) = (0, 0);
    for plug in &orders {
        put(&mut loaded.swap.machine.devices[device].cable.pins, *plug);
        let old = field(*plug, straight);
        for socket in &orders {
            let board = &mut loaded.swap.candidates[0];
            let port = board.port_named("M1").expect("a port").0;
            put(&mut board.ports[port].pins, *socket);
            for (sense, turn) in [(1.0, Direction::Normal), (-1.0, Direction::Reversed)] {
                loaded.swap.candidates[0].drivers[0].direction = turn;
                let findings = loaded.pairs_in("direction", "MX", way);
                let words = || format!("{plug:?} at {socket:?}, {turn:?}: {findings:#?}");
                let as_it_is = field(*plug, *socket);
                let warned = findings[0].verdict == Verdict::Caution;
                assert_eq!(warned, as_it_is.is_none(), "{}", words());
                crossed += usize::from(warned);
                let said = findings.last().expect("a finding");
                let Some(old) = old else {
                    // On the old board it did not turn at all: nothing can be said of its setting.
                    assert!(said.headline.contains("is open"), "{}", words());
                    continue;
                };
                // With the contacts moved, each coil end meets its own.
                let new = as_it_is.unwrap_or(1.0) * sense;
                let reversed = new != old;
                turned += usize::from(reversed);
                assert_eq!(
                    said.headline.contains("becomes reversed"),
                    reversed,
                    "{}",
                    words()
                );
                assert_eq!(said.verdict == Verdict::Note, reversed, "{}", words());
                // Where a phase would lie between two coils, the plan moves contacts, and says which.
                let moves = loaded.pairs_in("pin-order", "MX", way);
                let says = moves[0].headline.contains("change places");
                assert_eq!(says, as_it_is.is_none(), "{}: {moves:#?}", words());
            }
        }
    }
    // Of 24 orders 8 turn, 4 one way and 4 the other; 16 split a coil, whichever way the driver counts.
    assert_eq!(crossed, 24 * 16 * 2);
    assert_eq!(turned, 8 * 24);
}

/// The whole product: every order of the plug, of the old socket and of the new one, both senses of both drivers and both old settings, through
/// the check: 24³ · 2³ machines.
#[test]
fn every_order_of_both_sockets_and_every_old_setting() {
    let mut loaded = Case::new().load();
    let way = loaded.ways("MX", "M1")[0];
    let device = loaded.id("MX").0;
    let orders = orders();
    let old_name = loaded.swap.machine.devices[device]
        .cable
        .old_port
        .as_ref()
        .expect("an old port")
        .value
        .clone();
    let old_port = loaded.swap.old.port_named(&old_name).expect("the port").0;
    let new_port = loaded.swap.candidates[0].port_named("M1").expect("a port").0;
    let PortKind::Motor { driver: old_driver } = loaded.swap.old.ports[old_port].kind else {
        panic!("a motor output");
    };
    let PortKind::Motor { driver: new_driver } = loaded.swap.candidates[0].ports[new_port].kind else {
        panic!("a motor output");
    };
    let axis = loaded
        .swap
        .machine
        .axes
        .iter()
        .position(|axis| axis.name.value == "X")
        .expect("X");
    let senses = [(1.0, Direction::Normal), (-1.0, Direction::Reversed)];
    let mut told = 0;
    for plug in &orders {
        put(&mut loaded.swap.machine.devices[device].cable.pins, *plug);
        for old_socket in &orders {
            put(&mut loaded.swap.old.ports[old_port].pins, *old_socket);
            let old = field(*plug, *old_socket);
            for new_socket in &orders {
                put(&mut loaded.swap.candidates[0].ports[new_port].pins, *new_socket);
                let new = field(*plug, *new_socket);
                for (old_sense, old_turn) in senses {
                    loaded.swap.old.drivers[old_driver.0].direction = old_turn;
                    for (new_sense, new_turn) in senses {
                        loaded.swap.candidates[0].drivers[new_driver.0].direction = new_turn;
                        for (_, setting) in senses {
                            if let Some(old_direction) = &mut loaded.swap.machine.axes[axis].old_direction {
                                old_direction.value = setting;
                            }
                            let findings = loaded.pairs_in("direction", "MX", way);
                            assert_eq!(findings[0].verdict == Verdict::Caution, new.is_none());
                            let said = findings.last().expect("a finding");
                            let Some(old) = old else {
                                assert!(said.headline.contains("is open"));
                                continue;
                            };
                            // Where contacts are moved each coil end meets its own, as in a straight plug.
                            let turns_round = old * old_sense != new.unwrap_or(1.0) * new_sense;
                            let wanted = (setting == Direction::Reversed) != turns_round;
                            let word = if wanted { "reversed" } else { "normal" };
                            let verb = if turns_round { "becomes" } else { "stays" };
                            assert!(
                                said.headline.contains(&format!("{verb} {word}")),
                                "{plug:?}, {old_socket:?} to {new_socket:?}, {old_turn:?} to {new_turn:?}, {setting:?}: {}",
                                said.headline
                            );
                            told += 1;
                        }
                    }
                }
            }
        }
    }
    // For each of 24 plugs 8 orders of the old socket turn.
    assert_eq!(told, 24 * 8 * 24 * 8);
}
