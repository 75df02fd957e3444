//! What a setting should roughly be by the machine's file: what numbers of a report are compared with.

use catalogue::Law;
use model::board::PortKind;
use model::machine::{Axis, Detail, Drive, Motor, Thermometer};
use model::{Located, Place, Swap, Topic, Zone};
use quantity::si::{Acceleration, ThermodynamicTemperature};
use quantity::{AnyValue, Number, Value, si};

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

    /// Where the files say it: the word that a contradiction hangs on.
    pub fn place(&self, topic: Topic, of: &str) -> Option<Place> {
        let axis = self.swap.machine.axes.iter().find(|axis| axis.name.value == of);
        let of_axis = axis.and_then(|axis| match topic {
            Topic::TopSpeed => Some(axis.max_speed.place),
            Topic::Acceleration => axis.acceleration.map(|asked| asked.place),
            Topic::CornerSpeed => axis.corner_speed.map(|asked| asked.place),
            Topic::HomingSpeed => axis.homing_speed.map(|asked| asked.place),
            Topic::Travel => axis.travel.map(|travel| travel.place),
            Topic::Microsteps => axis.old_microsteps.as_ref().map(|old| old.place),
            Topic::MotorCurrent => self.motor(axis).map(|motor| motor.current.place),
            Topic::StepsPerLength => Some(match axis.drive {
                Drive::Belt { teeth, .. } => teeth.place,
                Drive::Screw { lead } => lead.place,
                Drive::Extruder { wheel } => wheel.place,
            }),
            _ => None,
        });
        of_axis.or_else(|| match topic {
            Topic::ThermometerConstant | Topic::ThermometerResistance => self
                .thermometer(of)
                .map(|(_, thermometer)| thermometer.sensor.place),
            Topic::ThermometerPullUp => {
                let name = self.thermometer(of)?.0.cable.old_port.as_ref()?;
                match &self.swap.old.port(self.swap.old.port_named(&name.value)?).kind {
                    PortKind::Thermometer(input) => Some(input.pull_up.place),
                    _ => None,
                }
            }
            Topic::PrintAcceleration | Topic::TravelAcceleration | Topic::RetractAcceleration => {
                let axes = self.moved(topic)?;
                let asked = axes.iter().filter_map(|axis| axis.acceleration);
                let base = |asked: &Located<Value<Acceleration>>| asked.nominal().base();
                asked
                    .min_by(|one, other| base(one).total_cmp(&base(other)))
                    .map(|asked| asked.place)
            }
            _ => None,
        })
    }

    /// The axes that an acceleration of all axes moves; `None` where it is none.
    pub fn moved(&self, topic: Topic) -> Option<Vec<&'a Axis>> {
        let is_of: fn(&Drive) -> bool = match topic {
            Topic::PrintAcceleration | Topic::TravelAcceleration => {
                |drive| matches!(drive, Drive::Belt { .. })
            }
            Topic::RetractAcceleration => |drive| matches!(drive, Drive::Extruder { .. }),
            _ => return None,
        };
        let axes = self.swap.machine.axes.iter();
        Some(axes.filter(|axis| is_of(&axis.drive)).collect())
    }

    /// What is the hottest that a heated part may be asked for, where that is written, and what it is.
    pub fn hottest(&self, zone: Zone) -> Option<(ThermodynamicTemperature, Place, &'static str)> {
        let headroom = self.swap.catalogue.limits().thermometer_headroom.value.nominal();
        let mut out: Option<(ThermodynamicTemperature, Place, &'static str)> = None;
        let mut take = |bound: ThermodynamicTemperature, place, what| {
            if out.is_none_or(|(least, _, _)| bound < least) {
                out = Some((bound, place, what));
            }
        };
        for device in &self.swap.machine.devices {
            match &device.detail {
                Detail::Heater(heater) if heater.zone == zone => {
                    let work = heater.working_temperature;
                    let above =
                        ThermodynamicTemperature::from_base(work.value.high().base() + headroom.base());
                    take(
                        above,
                        work.place,
                        "its working temperature and the headroom above it",
                    );
                    if let Some(weakest) = heater.temperature_limit {
                        take(
                            weakest.value.low(),
                            weakest.place,
                            "what its weakest part withstands",
                        );
                    }
                    for part in &heater.parts {
                        take(
                            part.temperature_limit.value.low(),
                            part.temperature_limit.place,
                            "what its weakest part withstands",
                        );
                    }
                    if let Some(cut_out) = heater.cut_out {
                        take(
                            cut_out.value.low(),
                            cut_out.place,
                            "where its thermal cut-out opens",
                        );
                    }
                }
                Detail::Thermometer(thermometer) if thermometer.zone == zone => {
                    let kind = self.swap.catalogue.thermometers().get(&thermometer.sensor.value);
                    if let Some(kind) = kind {
                        take(
                            kind.usable.high(),
                            thermometer.sensor.place,
                            "the range of its temperature sensor",
                        );
                    }
                }
                _ => {}
            }
        }
        out
    }

    /// A place as "machine.toml:45".
    pub fn said(&self, place: Place) -> String {
        let (line, _) = self.swap.sources.line_column(place);
        format!("{}:{line}", self.swap.sources.file(place.file).path)
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
        let axes = self.moved(topic)?;
        let asked = axes.iter().filter_map(|axis| Some(axis.acceleration?.value));
        let least = asked.min_by(|one, other| one.nominal().value.total_cmp(&other.nominal().value));
        least.map(Into::into)
    }
}
