//! The bed probe by hand, before the first search for the bed.

use model::{DeviceKind, Pin};

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    for pair in job.of_kind(DeviceKind::BedProbe) {
        let tag = &pair.device().tag.value;
        let mut step = Step::new(
            format!("probe:{tag}"),
            Phase::Senses,
            Needs::Power,
            format!("Trigger {} by hand, far above the bed", pair.device_name()),
            "A probe that does not answer lets the nozzle be driven into the bed.",
        )
        .act(format!(
            "Switch off. Plug {tag} into {}. Switch on.",
            pair.port_name()
        ));
        if pair
            .device()
            .cable
            .pins
            .iter()
            .any(|pin| pin.value == Pin::Control)
        {
            step = step
                .act("Tell the controller to set the probe out and take it back, five times.")
                .expect(Expected::seen("probe", "goes out and comes back each time"));
        }
        let step = step
            .act("Trigger it by hand and ask the controller for its state, three times.")
            .expect(Expected::seen(
                "state",
                "changes each time it is triggered, and back",
            ))
            .otherwise("no change: wrong pin order, no supply, or a level that the input does not see")
            .otherwise("the wrong way round: the active level is set wrongly (see the settings)")
            .takes(5, 0)
            .at(&pair)
            .setting(format!("switch-sense:{tag}"));
        let step = job.following(step, &format!("poles:{tag}"));
        let step = job.power_gate(step);
        job.push(step);
    }
}
