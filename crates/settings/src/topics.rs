//! The translators: each fills in the settings of one matter. The list is explicit and ordered; pages follow its order.

pub mod control;
mod currents;
mod direction;
mod fans;
mod filament;
mod heaters;
mod homing;
mod jumpers;
mod kinematics;
mod lights;
mod panel;
mod ports;
mod probe;
mod protection;
mod rest;
pub mod speeds;
pub mod steps;
mod switches;
pub mod thermometers;
mod warm_up;

use crate::job::{Job, List};

type Translator = fn(&Job<'_>, &mut List<'_>);

/// Every translator, in the order of pages. `rest` comes last: it carries whatever no other one took.
pub(crate) const TRANSLATORS: &[Translator] = &[
    kinematics::settings,
    steps::settings,
    direction::settings,
    currents::settings,
    speeds::settings,
    homing::settings,
    switches::settings,
    probe::settings,
    thermometers::settings,
    control::settings,
    heaters::settings,
    protection::settings,
    warm_up::settings,
    filament::settings,
    fans::settings,
    lights::settings,
    panel::settings,
    rest::settings,
    jumpers::settings,
    ports::settings,
];
