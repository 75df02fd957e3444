//! Every thermometer at room temperature, open and shorted, before any heat.

use model::DeviceKind;
use quantity::{Number, Value};

use crate::job::Job;
use crate::step::{Expected, Needs, Part, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    let thermometers = job.of_kind(DeviceKind::Thermometer);
    if thermometers.is_empty() {
        return;
    }
    let room = job.setup.swap.ambient.temperature.value;
    let spread = job.setup.limits().bringup_ambient_spread.value.high();
    let around = Value::between(
        Number::from_base(room.low().base() - spread.base()),
        room.nominal(),
        Number::from_base(room.high().base() + spread.base()),
    );
    let part = |pair: &plan::Pair<'_>| {
        let tag = &pair.device().tag.value;
        let part = Part::of("ambient", pair)
            .expect(Expected::between(
                format!("temperature reported for {tag}"),
                around,
            ))
            .expect(Expected::seen(
                format!("{tag} when warmed by hand"),
                "rises by a few kelvin, the others stay",
            ));
        job.part_following(part, &format!("resistance:{tag}"))
    };
    let step = Step::new(
        "ambient",
        Phase::Senses,
        Needs::Power,
        "Read the temperature sensors at ambient temperature",
        "A wrong port, pull-up or coarse mistake of the table shows here, where it costs nothing. A table that agrees at room temperature is verified near 100 °C. No heater is plugged in yet.",
    )
    .parts(thermometers.iter().map(part))
    .act("Switch off. Plug each sensor into its port. Switch on and ask the controller for its temperatures.")
    .act("Warm one sensor after the other with your fingers: its reading, and no other, must rise.")
    .otherwise("far too hot or cold: the sensor type, its table or its pull-up is set wrongly (see the settings)")
    .otherwise("another reading rises: two sensors are interchanged, which is how a heater runs away")
    .otherwise("lowest or highest possible reading: open or short, or the wrong port")
    .act("Leave the machine cold and still for ten minutes, then read all sensors together.")
    .otherwise("one differs from the others: a wrong table or pull-up, or a bad contact")
    .part(
        Part::new("thermometers-agree", "all sensors together").expect(Expected::at_most(
            "difference between the highest and the lowest",
            Value::exact(spread),
        )),
    )
    .takes(14, 2);
    let step = job.power_gate(step);
    job.push(step);
    // One switch-off takes out a sensor and puts the one before it back: the others are in, so that none hides the fault of another.
    let tags = thermometers.iter().map(|pair| pair.device().tag.value.as_str());
    let before = core::iter::once(None).chain(tags.map(Some));
    let part = |(pair, before): (&plan::Pair<'_>, Option<&str>)| {
        let tag = &pair.device().tag.value;
        let words = match before {
            None => format!("switch off, unplug {tag}, switch on"),
            Some(before) => format!("switch off, plug {before} in again, unplug {tag}, switch on"),
        };
        Part::of("thermometer-open", pair)
            .act(words)
            .expect(Expected::seen(
                "controller",
                "reports a fault of this sensor and refuses to heat",
            ))
    };
    let step = Step::new(
        "thermometer-open",
        Phase::Senses,
        Needs::Power,
        "Verify that an unplugged sensor is detected",
        "The controller must refuse to heat without a sensor. It is tried while no heater is plugged in.",
    )
    .parts(thermometers.iter().zip(before).map(part))
    .act("Take the rows in order. At each, set a low setpoint for the part of the unplugged sensor.")
    .act("Switch off and plug the last sensor in again.")
    .otherwise("plug no heater in: the protection is not built in or not set")
    .takes(2, 3)
    .after("thermometers-agree");
    job.push(step);
}
