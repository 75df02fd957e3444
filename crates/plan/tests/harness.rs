//! Where the wires of a lead go.

use crate::support::Case;

#[test]
fn a_contact_never_joins_plus_and_minus() {
    // Pins of IN2: +, -, signal.
    let loaded = Case::new().load();
    let pins = |loaded: &crate::support::Loaded| {
        let way = loaded.ways("LX", "IN2")[0];
        loaded.at("LX", way).pins().pin_of_wire.clone()
    };
    let mut up = pins(&loaded);
    up.sort_unstable();
    assert_eq!(up, [Some(1), Some(2)], "between `-` and `signal`");
    let loaded = Case::new().port("IN2", "pull = 'down'").load();
    let mut down = pins(&loaded);
    down.sort_unstable();
    assert_eq!(down, [Some(0), Some(2)], "between `+` and `signal`");
}
