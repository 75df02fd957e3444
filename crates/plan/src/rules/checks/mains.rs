//! What stands on mains: never at a port, and never for who moves cables.

use model::machine::{Detail, Device, Heater};
use quantity::Value;
use quantity::si::ElectricPotential;

use crate::facts::{WholeFacts, heated_name, loads, name_of};
use crate::rules::judging::{Finding, Judge, Subject, Verdict};

pub(crate) const ID: &str = "mains";

/// A device above extra-low voltage without a relay is a blocker, whatever the board; the load of a relay is told to be for a qualified person.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let limits = facts.limits();
    let (dc, ac) = (
        limits.supply_extra_low_voltage_dc.value,
        limits.supply_extra_low_voltage_ac.value,
    );
    let above = |voltage: Value<ElectricPotential>| voltage.low() > dc.low();
    let mut found = false;
    for device in &facts.swap.machine.devices {
        let about = Subject::device(device.tag.value.clone());
        if let Detail::Heater(heater) = &device.detail
            && heater.relay.is_some()
        {
            if above(heater.voltage.value) {
                found = true;
                judge.say(Verdict::Note, || {
                    Finding::new(
                        format!("{} drives the heater of the {}: {} at mains voltage, {}", name_of(device), heater.zone, heater.power, heater.voltage),
                        "iec-60204-1",
                    )
                    .about(about)
                    .at(heater.voltage.place)
                    .remedy("connect and move its control side only. A qualified person connects, earths and tests the mains side under local codes")
                });
            }
            if !above(heater.voltage.value) {
                found = true;
                unfed(device, heater, judge);
            }
            continue;
        }
        let Some(rated) = loads::rated(&device.detail).filter(|rated| above(rated.value)) else {
            continue;
        };
        found = true;
        judge.at_most(Value::exact(rated.low()), dc, Verdict::Blocker, || {
            Finding::new(
                format!(
                    "{} is made for {}: above extra-low voltage ({dc} DC, {ac} AC) nothing may be on a port",
                    name_of(device),
                    rated.value
                ),
                "iec-60204-1",
            )
            .about(about)
            .at(rated.place)
            .remedy("describe the relay that switches it (kind = \"relay\") with this load. Let a port drive its control side. A qualified person connects the mains side")
        });
    }
    if !found {
        judge.say(Verdict::Pass, || {
            Finding::new("no device is made for more than extra-low voltage", "iec-60204-1")
        });
    }
}

/// The load of a relay is counted to no supply: at extra-low voltage it may well hang on that of the machine.
fn unfed(device: &Device, heater: &Heater, judge: &mut Judge) {
    judge.say(Verdict::Caution, || {
        Finding::new(
            format!(
                "what feeds {} is not described: its {} at {} are counted to no supply, cable or fuse",
                heated_name(device),
                heater.power,
                heater.voltage
            ),
            "own-statement",
        )
        .about(Subject::device(device.tag.value.clone()))
        .at(heater.voltage.place)
        .remedy(
            "where it hangs on the supply of the machine, describe it as a heater (kind = \"heater\"): the plan finds it a port, or an external switch; \
             else see that its own supply, cable and fuse bear it",
        )
    });
}
