//! What a setting should roughly be by the machine's file: what numbers of a report are compared with.

use catalogue::Law;
use model::board::PortKind;
use model::machine::{Axis, Detail, Drive, Motor, Thermometer};
use model::{Swap, Topic, Zone};
use quantity::{AnyValue, Value, si};

use crate::topics::steps::from_mechanics;

/// The machine as a measure of numbers.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Expected<'a> {
    pub swap: &'a Swap,
}

impl<'a> Expected<'a> {
    /// What the machine's file makes of a setting; `None` where it says nothing of it.
    pub fn of(&self, topic: Topic, of: &str) -> Option<AnyValue> {
        self.of_axis(topic, of)
            .or_else(|| self.of_zone(topic, of))
            .or_else(|| self.of_machine(topic))
    }

    /// The names of the axes.
    pub fn axes(&self) -> impl Iterator<Item = &'a str> {
        self.swap.machine.axes.iter().map(|axis| axis.name.value.as_str())
    }

    fn of_axis(&self, topic: Topic, of: &str) -> Option<AnyValue> {
        let axis = self.swap.machine.axes.iter().find(|axis| axis.name.value == of)?;
        let exact = |number: u32| AnyValue::from(Value::exact(si::ratio(f64::from(number))));
        match topic {
            Topic::TopSpeed => Some(axis.max_speed.value.into()),
            Topic::Acceleration => axis.acceleration.map(|asked| asked.value.into()),
            Topic::CornerSpeed => axis.corner_speed.map(|asked| asked.value.into()),
            Topic::HomingSpeed => axis.homing_speed.map(|asked| asked.value.into()),
            Topic::Travel => axis.travel.map(|travel| travel.value.into()),
            Topic::Microsteps => axis.old_microsteps.as_ref().map(|old| exact(old.value)),
            Topic::MotorCurrent => self.motor(axis).map(|motor| motor.run_current.into()),
            Topic::StepsPerLength => {
                let microsteps = axis.old_microsteps.as_ref().map_or(16, |old| old.value);
                Some(from_mechanics(axis, self.motor(axis)?, microsteps).value.into())
            }
            _ => None,
        }
    }

    fn motor(&self, axis: &Axis) -> Option<&'a Motor> {
        let machine = &self.swap.machine;
        machine.devices.iter().find_map(|device| match &device.detail {
            Detail::Motor(motor) if machine.axis(motor.axis).name == axis.name => Some(motor),
            _ => None,
        })
    }

    fn of_zone(&self, topic: Topic, of: &str) -> Option<AnyValue> {
        let (device, thermometer) = self.thermometer(of)?;
        let kind = self.swap.catalogue.thermometers().get(&thermometer.sensor.value);
        match topic {
            Topic::ThermometerConstant => match kind?.law {
                Law::Thermistor { beta, .. } => Some(beta.into()),
                _ => None,
            },
            Topic::ThermometerResistance => {
                let curve = plan::curve(kind?)?;
                curve
                    .resistance(si::celsius(25.0))
                    .ok()
                    .map(|at| Value::exact(at).into())
            }
            Topic::ThermometerPullUp => {
                let name = device.cable.old_port.as_ref()?;
                let port = self.swap.old.port(self.swap.old.port_named(&name.value)?);
                match &port.kind {
                    PortKind::Thermometer(input) => Some(input.pull_up.value.into()),
                    _ => None,
                }
            }
            _ => None,
        }
    }

    fn thermometer(&self, zone: &str) -> Option<(&'a model::machine::Device, &'a Thermometer)> {
        let zone = Zone::ALL.iter().find(|known| known.word() == zone)?;
        self.swap
            .machine
            .devices
            .iter()
            .find_map(|device| match &device.detail {
                Detail::Thermometer(thermometer) if thermometer.zone == *zone => Some((device, thermometer)),
                _ => None,
            })
    }

    /// Accelerations of all axes at once: about those of the axes that they move.
    fn of_machine(&self, topic: Topic) -> Option<AnyValue> {
        let is_of: fn(&Drive) -> bool = match topic {
            Topic::PrintAcceleration | Topic::TravelAcceleration => {
                |drive| matches!(drive, Drive::Belt { .. })
            }
            Topic::RetractAcceleration => |drive| matches!(drive, Drive::Extruder { .. }),
            _ => return None,
        };
        let axes = self.swap.machine.axes.iter().filter(|axis| is_of(&axis.drive));
        let asked = axes.filter_map(|axis| Some(axis.acceleration?.value));
        let least = asked.min_by(|one, other| one.nominal().value.total_cmp(&other.nominal().value));
        least.map(Into::into)
    }
}
