//! Sense of rotation: text of orders, re-pinned plugs, and the setting that keeps an axis going its way.

use physics::direction::*;

#[test]
fn each_socket_has_four_plugs_for_either_sense() {
    for port in CoilOrder::all() {
        let senses = CoilOrder::all().into_iter().map(|lead| turn_sense(lead, port));
        let (mut same, mut opposite, mut split) = (0, 0, 0);
        for sense in senses {
            match sense {
                Ok(Sense::Same) => same += 1,
                Ok(Sense::Opposite) => opposite += 1,
                Err(_) => split += 1,
            }
        }
        assert_eq!((same, opposite, split), (4, 4, 16), "{port}");
    }
}

#[test]
fn turning_the_plug_round_reverses() {
    for lead in CoilOrder::all() {
        let round = lead.repinned([3, 2, 1, 0]).unwrap();
        let straight = turn_sense(lead, CoilOrder::STRAIGHT);
        // It exchanges the coils, and the ends of both coils: three reversals.
        let expected = straight.map(|sense| sense.with(Sense::Opposite));
        assert_eq!(turn_sense(round, CoilOrder::STRAIGHT).ok(), expected.ok());
    }
}

#[test]
fn the_new_setting_moves_the_axis_as_the_old_one_did() {
    let mut checked = 0;
    for port in CoilOrder::all() {
        for lead in CoilOrder::all() {
            for driver in [Sense::Same, Sense::Opposite] {
                for inverted in [false, true] {
                    let old = MotorConnection {
                        lead: CoilOrder::STRAIGHT,
                        port: CoilOrder::STRAIGHT,
                        driver,
                        inverted,
                    };
                    let new = MotorConnection {
                        lead,
                        port,
                        driver: Sense::Same,
                        inverted: false,
                    };
                    let Ok(new) = new.turning_as(&old) else { continue };
                    assert_eq!(new.sense(), old.sense());
                    checked += 1;
                }
            }
        }
    }
    assert_eq!(checked, 4 * 24 * 8);
}

#[test]
fn orders_as_text() {
    let order = CoilOrder::parse("a1, B1 -a2 b2").unwrap();
    assert_eq!(order.to_string(), "A1 B1 A2 B2");
    assert_eq!(CoilOrder::parse("A1 A2 B1"), None);
    assert_eq!(CoilOrder::parse("A1 A2 B1 B1"), None);
    assert_eq!(CoilOrder::parse("A1 A2 B1 B3"), None);
    assert_eq!(CoilOrder::STRAIGHT.repinned([0, 1, 2, 4]), None);
    let error = turn_sense(order, CoilOrder::STRAIGHT).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the first phase of the driver lies between A1 and B1: no coil is driven"
    );
}
