//! Every thermometer at room temperature, open and shorted, before any heat.

use model::DeviceKind;
use quantity::{Number, Value};

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

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
    for pair in &thermometers {
        let tag = &pair.device().tag.value;
        let step = Step::new(
            format!("ambient:{tag}"),
            Phase::Senses,
            Needs::Power,
            format!("Read {} at room temperature", pair.device_name()),
            "A wrong port, pull-up or coarse mistake of the table shows here, where it costs nothing. A table that agrees at room temperature is proved near 100 °C. No heater is plugged in yet.",
        )
        .act(format!("Switch off. Plug {tag} into {}. Switch on and ask the controller for its temperatures.", pair.port_name()))
        .expect(Expected::between(format!("temperature reported for {tag}"), around))
        .act(format!("Warm the sensor of {tag} with your fingers: its reading, and no other, must rise."))
        .expect(Expected::seen(format!("{tag} when warmed by hand"), "rises by a few kelvin, the others stay"))
        .otherwise("far too hot or cold: the kind of thermometer, its table or its pull-up is set wrongly (see the settings)")
        .otherwise("another reading rises: two thermometers are exchanged, which is how a heater runs away")
        .otherwise("lowest or highest possible reading: open or short, or the wrong port")
        .at(pair)
        .after(format!("resistance:{tag}"));
        let step = job.power_gate(step);
        job.push(step);
    }
    let mut step = Step::new(
        "thermometers-agree",
        Phase::Senses,
        Needs::Power,
        "Compare all thermometers with the room",
        "They all hang in the same air; a difference is an error of one of them.",
    )
    .act("Leave the machine cold and still for ten minutes, then read all thermometers together.")
    .expect(Expected::at_most(
        "difference between the highest and the lowest",
        Value::exact(spread),
    ))
    .otherwise("the odd one out has a wrong table or pull-up, or a bad contact");
    for pair in &thermometers {
        step = step
            .after(format!("ambient:{}", pair.device().tag))
            .tag(&pair.device().tag.value);
    }
    job.push(step);
    let mut step = Step::new(
        "thermometer-open",
        Phase::Senses,
        Needs::Power,
        "See that an unplugged thermometer is noticed",
        "The controller must refuse to heat without a sensor. It is tried while no heater is plugged in.",
    )
    .act("For one thermometer after the other: switch off, pull its plug, switch on, and ask for a low target of its part. Switch off, plug it in again.")
    .expect(Expected::seen("controller", "reports a fault of this thermometer and refuses to heat"))
    .otherwise("do not plug a heater in: the protection is not built in or not set")
    .after("thermometers-agree");
    for pair in &thermometers {
        step = step.tag(&pair.device().tag.value);
    }
    job.push(step);
}
