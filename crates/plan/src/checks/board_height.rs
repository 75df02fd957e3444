//! The height of the board with its plugs under the lid of the case.

use quantity::Value;

use crate::finding::{Finding, brief};
use crate::judge::Judge;
use crate::setup::Setup;

pub(crate) const ID: &str = "board-height";

/// Higher than the case is a blocker; too little air above is a caution.
pub(crate) fn check(setup: &Setup<'_>, judge: &mut Judge) {
    let (height, free) = (setup.board.outline.height, setup.swap.machine.case.height.value);
    let above = setup.limits().board_clearance_above.value;
    judge.graded(height.value, free - above, free, || {
        let headline = format!(
            "the board stands {} above its posts, plugs included; the case has {}",
            brief(height.high()),
            brief(Value::exact(free.low()).nominal())
        );
        Finding::new(headline, "common-practice")
            .at(height.place)
            .remedy("use shorter posts (but keep 3 mm below the solder side), angled plugs, or a higher lid; drivers need moving air above them")
    });
}
