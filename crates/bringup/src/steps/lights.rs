//! Light strips and panel: loads that neither heat nor move.

use model::machine::Detail;
use model::{DeviceKind, Pin};
use quantity::si;

use crate::job::Job;
use crate::step::{Expected, Needs, Part, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    let panels = job
        .of_kind(DeviceKind::Panel)
        .into_iter()
        .map(|pair| panel(job, &pair));
    let lights = job
        .of_kind(DeviceKind::LightStrip)
        .into_iter()
        .filter_map(|pair| light(job, &pair));
    let step = Step::new(
        "panel-and-lights",
        Phase::Senses,
        Needs::Power,
        "Plug in panel and lights",
        "The panel shows temperatures and states from now on. Full light is the largest load of its rail; the far end of a strip shows what it loses.",
    )
    .parts(panels.chain(lights))
    .act("With none of them plugged in, measure the supply at the pins of the table, if any.")
    .act("Switch off. Plug each into its port, look at pin 1 twice. Switch on.")
    .otherwise("another voltage at the port: the jumper or the board; do not plug it in")
    .otherwise("panel dark: supply or pin order; wrong characters: level, or the cable is too long")
    .otherwise("computer without connection: send and receive interchanged, or another speed or number of the serial port in the settings. Restarts under load: its supply is too weak")
    .otherwise("colours interchanged: the LED colour order; flicker: the level of the data line (see the findings)")
    .otherwise("yellowish far end: feed the strip again there")
    .otherwise("strip dark: reversed polarity, wrong port or wrong rail. Bright or dark only: the port has no PWM, which is no fault")
    .takes(2, 4);
    let step = job.power_gate(step);
    job.push_parted(step);
}

fn panel(job: &Job<'_>, pair: &plan::Pair<'_>) -> Part {
    let part = job.supplied(Part::of("panel", pair), pair);
    let part = part.expect(if is_computer(pair) {
        Expected::seen(
            "computer",
            "starts, connects over this port and shows the temperatures",
        )
    } else {
        Expected::seen(
            "panel",
            "shows text without wrong characters; its knob or touch answers",
        )
    });
    job.part_following(part, &format!("poles:{}", pair.device().tag))
}

fn light(job: &Job<'_>, pair: &plan::Pair<'_>) -> Option<Part> {
    let Detail::LightStrip(strip) = &pair.device().detail else {
        return None;
    };
    let tag = &pair.device().tag.value;
    let low = job.setup.limits().light_supply_low.value;
    let coloured = job.setup.swap.machine.carrier(pair.id, Pin::Data).is_some();
    let mut part = job.supplied(Part::of("lights", pair), pair).act(if coloured {
        "show red, green, blue, then white at full brightness"
    } else {
        "by command full light, half light, none"
    });
    if strip.voltage.nominal() < si::volt(6.0) {
        part = part.expect(Expected::at_least("voltage at the far end, full light", low));
    }
    let part = part.expect(if coloured {
        Expected::seen("colours", "as commanded, along the whole strip, without flicker")
    } else {
        Expected::seen("light", "bright, dimmer, dark, along the whole strip")
    });
    let part = job.part_following(part, &format!("poles:{tag}"));
    Some(job.part_following(part, &format!("converter:{tag}")))
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
