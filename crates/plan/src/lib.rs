//! From checked types to decisions, in three storeys; each knows only those below it.
//!
//! - `facts`: what follows from the files, and nothing else: rails, currents, heat, axes, places.
//! - `rules`: the checks, which read facts and hand over findings.
//! - `decisions`: [`compatible`] lists the ways in which each device could be connected and lets the pair checks judge each; [`assign`]
//!   turns them into an integer programme and the solver into an assignment that is proved best; then every check runs once more over the
//!   result and keeps its words and workings ([`Plan`]). [`cables()`], [`shopping()`], [`compare`] and [`Draws`] read the plan.
//!
//! One rule is written once: the checks that refuse a way are the checks whose findings are shown.
//!
//! What this crate must not know: files, terminals, pictures, G-code. It is given checked types and gives data.

mod decisions;
mod facts;
mod rules;

pub use decisions::ask::{Ask, ask};
pub use decisions::assign::{is_searching, is_stopped, search_without_end, stop_search};
pub use decisions::cables::{Action, ActionKind, Row, WireRow, cables};
pub use decisions::comparison::{Comparison, Entry, Tight, compare, entry, rank};
pub use decisions::monte_carlo::{Alone, Draws, Effect, Input, Kept, Tally};
pub use decisions::open::assumed_for;
pub use decisions::plan::{Alternative, Objective, Optimum, Plan, findings, plan, plan_briefly};
pub use decisions::shopping::shopping;
pub use decisions::why::{WayAnswer, WhyNot, why_not, words};
pub use decisions::{assign, compatible};
pub use facts::harness::permutation;
pub use facts::rails::{rail_voltage, supply_voltage};
pub use facts::shopping::{Effort, Line, Outlay, Shopping};
pub use facts::thermometry::{curve, working as thermometer_working};
pub use facts::{
    Clash, Pair, PairFacts, Setup, Site, Way, WholeFacts, axis_of, driver, heated_name, name_of, old_port,
};
pub use facts::{
    air, axes, budget, changes, control, drivers, driving, feed, guard, harness, heat_up, heating,
    kinematics, loads, losses, mounting, needs, place, protection, rails, ratings, reach, switches, torque,
    wires,
};
pub use rules::checks::{
    ACCEPTED, CONTROLLER_REPORT, Check, Group, LATER_CHECKS, OLD_SETTINGS, PAIR_CHECKS, PairCheck,
    WHOLE_CHECKS, WISHES, WholeCheck, check_named, harm_unassigned, load_homing_works, refuse_below,
    run_pair, run_whole, spoils_wish, unplugged,
};
pub use rules::judging::{
    Acceptance, ByHarm, Disposition, Finding, Handling, Judge, Limit, Open, Remedy, Side, Stake, Subject,
    Verdict,
};
