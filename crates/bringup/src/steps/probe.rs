//! The bed probe by hand, before the first search for the bed.

use model::{DeviceKind, Pin};

use crate::job::Job;
use crate::step::{Expected, Needs, Part, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    let parts = job.of_kind(DeviceKind::BedProbe).into_iter().map(|pair| {
        let tag = &pair.device().tag.value;
        let mut part = job.supplied(Part::of("probe", &pair), &pair);
        let machine = &job.setup.swap.machine;
        if machine.carrier(pair.id, Pin::Control).is_some() {
            part = part
                .act("by command set the probe out and take it back, five times")
                .expect(Expected::seen("probe", "goes out and comes back each time"));
        }
        let part = part
            .expect(Expected::seen(
                "state",
                "changes each time it is triggered, and back",
            ))
            .setting(format!("switch-sense:{}", job.signal_tag(&pair)));
        job.part_following(part, &format!("poles:{tag}"))
    });
    let step = Step::new(
        "probe",
        Phase::Senses,
        Needs::Power,
        "Trigger the bed probe by hand, far above the bed",
        "A probe that does not answer lets the nozzle be driven into the bed.",
    )
    .parts(parts)
    .act("With the probe not plugged in, measure its supply at the pins of the table, if any.")
    .act("Switch off. Plug it into its port. Switch on.")
    .act("Trigger it by hand and ask the controller for its state, three times.")
    .otherwise("another voltage at the port: the jumper or the board; do not plug it in")
    .otherwise("no change: wrong pin order, no supply, or a level that the input does not see")
    .otherwise("the wrong way round: the active level is set wrongly (see the settings)")
    .takes(1, 5);
    let step = job.power_gate(step);
    job.push_parted(step);
}
