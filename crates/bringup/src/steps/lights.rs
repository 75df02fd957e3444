//! Light strip and panel: loads that neither heat nor move.

use model::machine::Detail;
use model::{DeviceKind, Pin};
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
        );
        let step = job.supplied(step, &pair).act(format!(
            "Switch off. Plug {tag} into {}, look at pin 1 twice. Switch on.",
            pair.port_name()
        ));
        let step = if is_computer(&pair) {
            step.expect(Expected::seen("computer", "starts, connects over this port and shows the temperatures"))
                .otherwise("no connection: send and receive exchanged, or another speed or number of the serial port in the settings")
                .otherwise("restarts under load: its supply is too weak")
        } else {
            step.expect(Expected::seen(
                "panel",
                "shows text without wrong characters; its knob or touch answers",
            ))
            .otherwise("dark: supply or pin order; wrong characters: level or lead too long")
        };
        let step = step.at(&pair);
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
            "Full light is the largest load of its rail; the far end shows what the strip loses.",
        );
        step = job.supplied(step, &pair);
        let coloured = pair.device().cable.pins.iter().any(|pin| pin.value == Pin::Data);
        step = if coloured {
            step.act(format!("Switch off. Plug {tag} into {}. Switch on, show red, green, blue, then white at full brightness.", pair.port_name()))
        } else {
            step.act(format!("Switch off. Plug {tag} into {}. Switch on, and tell the controller full light, half light, none.", pair.port_name()))
        };
        if strip.voltage.nominal() < si::volt(6.0) {
            step = step.expect(Expected::at_least("voltage at the far end, full light", low));
        }
        let step = if coloured {
            step.expect(Expected::seen("colours", "as asked for, along the whole strip, without flicker"))
                .otherwise("colours exchanged: the order of colours; flicker: the level of the data line (see the findings)")
                .otherwise("yellowish far end: feed the strip again there")
        } else {
            step.expect(Expected::seen(
                "light",
                "bright, dimmer, dark, along the whole strip",
            ))
            .otherwise("dark: reversed polarity, wrong port or wrong rail")
            .otherwise("bright or dark only: the port has no PWM; that is no fault")
        };
        let step = step.at(&pair);
        let step = job.following(step, &format!("poles:{tag}"));
        let step = job.following(step, &format!("converter:{tag}"));
        let step = job.power_gate(step);
        job.push(step);
    }
}

/// A computer has no knob, and shows no text of its own on this port.
fn is_computer(pair: &plan::Pair<'_>) -> bool {
    let Detail::Panel(panel) = &pair.device().detail else {
        return false;
    };
    let names = [panel.interface.value.as_str(), pair.device().name.value.as_str()];
    names
        .into_iter()
        .any(|name| name.to_lowercase().contains("computer"))
}
