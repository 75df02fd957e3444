//! The shipped examples load without a fault, are marked invented, and hold what the handbook says of them.

use crate::support::{example, plain};

#[test]
fn the_demonstration_swap_loads() {
    let swap = model::load(&example("demo")).unwrap_or_else(|faults| panic!("{}", plain(&faults)));
    assert!(swap.machine.devices.len() >= 18);
    assert_eq!(swap.candidates.len(), 4);
}
