//! The families of steps, one file each, in the order of the bring-up.

mod align;
mod crossed;
mod drives;
mod finish;
mod heat_sinks;
mod heaters;
mod image;
mod lights;
mod meter;
mod old_controller;
mod power;
mod prepare;
mod probe;
mod rail_points;
mod reference;
mod second_supply;
mod switches;
mod thermometers;
mod tuning;
mod unassigned;

use plan::Plan;
use settings::Settings;

use crate::job::Job;
use crate::step::Step;

/// The order of the bring-up: each family adds its steps behind those of the families before.
const FAMILIES: &[fn(&mut Job<'_>)] = &[
    old_controller::steps,
    prepare::steps,
    heat_sinks::steps,
    unassigned::steps,
    meter::steps,
    power::steps,
    second_supply::alone,
    thermometers::steps,
    switches::steps,
    probe::steps,
    lights::steps,
    drives::steps,
    heaters::steps,
    second_supply::loaded,
    tuning::steps,
    finish::steps,
];

/// The steps for a plan with its settings, in the order in which they are to be done.
#[must_use]
pub fn steps(plan: &Plan<'_>, settings: &Settings) -> Vec<Step> {
    let mut job = Job {
        plan,
        setup: plan.setup(),
        settings,
        list: Vec::new(),
    };
    for family in FAMILIES {
        family(&mut job);
    }
    job.list
}
