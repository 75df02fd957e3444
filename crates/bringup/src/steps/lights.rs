//! Light strip and panel: loads that neither heat nor move.

use model::DeviceKind;
use model::machine::Detail;
use quantity::si;

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    for pair in job.of_kind(DeviceKind::Panel) {
        let tag = &pair.device().tag.value;
        let step = Step::new(
            format!("panel:{tag}"),
            Phase::Senses,
            Needs::Power,
            format!("Plug in {}", pair.device_name()),
            "It shows temperatures and states from now on.",
        )
        .act(format!(
            "Switch off. Plug {tag} into {}, look at pin 1 twice. Switch on.",
            pair.port_name()
        ))
        .expect(Expected::seen(
            "panel",
            "shows text without wrong characters; its knob or touch answers",
        ))
        .otherwise("dark: supply or pin order; wrong characters: level, or the cable is too long")
        .takes(4, 0)
        .at(&pair);
        let step = job.following(step, &format!("poles:{tag}"));
        let step = job.power_gate(step);
        job.push(step);
    }
    for pair in job.of_kind(DeviceKind::LightStrip) {
        let Detail::LightStrip(strip) = &pair.device().detail else {
            continue;
        };
        let tag = &pair.device().tag.value;
        let low = job.setup.limits().light_supply_low.value;
        let mut step = Step::new(
            format!("lights:{tag}"),
            Phase::Senses,
            Needs::Power,
            format!("Light {}", pair.device_name()),
            "Full white is the largest load of its rail; the far end shows what the strip loses.",
        )
        .act(format!("Switch off. Plug {tag} into {}. Switch on, show red, green, blue, then white at full brightness.", pair.port_name()));
        if strip.voltage.nominal() < si::volt(6.0) {
            step = step.expect(Expected::at_least("voltage at the far end, full white", low));
        }
        let step = step
            .expect(Expected::seen("colours", "as asked for, along the whole strip, without flicker"))
            .otherwise("colours exchanged: the order of colours; flicker: the level of the data line (see the findings)")
            .otherwise("yellowish far end: feed the strip again there")
            .takes(5, 0)
            .at(&pair);
        let step = job.following(step, &format!("poles:{tag}"));
        let step = job.following(step, &format!("converter:{tag}"));
        let step = job.power_gate(step);
        job.push(step);
    }
}
