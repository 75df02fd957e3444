//! The height of the board with its plugs under the lid of the case.

use physics::{mechanics, named, work_many};

use crate::facts::WholeFacts;
use crate::facts::mounting::{self, Held};
use crate::rules::judging::{Finding, Judge, brief};

pub(crate) const ID: &str = "board-height";

/// Higher than the case is a blocker; too little air above is a caution.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let (height, free) = (facts.board.outline.height, facts.swap.machine.case.height.value);
    let above = facts.limits().board_clearance_above.value;
    let raised = mounting::raised(facts.swap, &facts.site.seats.new);
    let lifted = facts.site.seats.new.held == Held::Plate;
    let total = height.value + raised;
    judge.graded(total, free - above, free, || {
        let headline = format!(
            "the board stands {} above its posts, plugs included{}. The case has {}",
            brief(total.high()),
            if lifted { format!(", {} of it plate and distance pieces", brief(raised.high())) } else { String::new() },
            brief(free.low())
        );
        let mut finding = Finding::new(headline, "common-practice");
        if lifted {
            let limits = facts.limits();
            let stack = vec![
                named("lₙ", "board with its plugs", height.value),
                named("lₙ", "adaptor plate", limits.plate_thickness.value),
                named("lₙ", "distance pieces", limits.plate_spacer.value),
            ];
            let sum = work_many(&mechanics::LENGTH_SUM, "l", stack, mechanics::length_sum);
            finding = finding.working(sum.working);
        }
        finding
            .at(height.place)
            .remedy(if lifted {
                "use a thinner plate or shorter distance pieces, angled plugs, or a higher lid. Keep 3 mm below the solder side. Drivers need moving air above them"
            } else {
                "use shorter posts, angled plugs, or a higher lid. Keep 3 mm below the solder side. Drivers need moving air above them"
            })
    });
}
