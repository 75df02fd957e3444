//! What feeds a device on its way, and what the port has to carry for it: the one place that says so.
//!
//! Every check, the sums of currents and the model of heated parts read it, so that a way that a part mends is judged at the place where the
//! device really hangs.

use catalogue::Part;
use model::Side;
use model::board::{Port, PortKind, RailId};
use model::machine::{Detail, Device};
use quantity::si::{ElectricCurrent, ElectricPotential, Ratio};
use quantity::{Number, Value, si};

use crate::facts::loads;
use crate::facts::rails::supply_before;
use crate::facts::ratings::{TooMuch, too_weak};
use crate::facts::site::Site;
use crate::facts::way::Way;

/// The name of the switch module in the list of parts.
pub const EXTERNAL_SWITCH: &str = "external heater switch";

/// What feeds a device.
#[derive(Clone, Copy, Debug)]
pub struct Feed<'a> {
    /// From where.
    pub source: Source<'a>,
    /// The voltage at the beginning of the device's own lead; `None` where nothing feeds it.
    pub voltage: Option<Value<ElectricPotential>>,
}

/// From where a device is fed.
#[derive(Clone, Copy, Debug)]
pub enum Source<'a> {
    /// Nothing feeds it: a thermometer, a contact.
    Nothing,
    /// The rail of its way, through the port.
    Rail(RailId),
    /// The supply in front of the rail of its way, through a switch module that the port drives.
    ExternalSwitch(TooMuch),
    /// A converter of its own.
    Converter(Converter<'a>),
}

/// A converter for one device.
#[derive(Clone, Copy, Debug)]
pub struct Converter<'a> {
    /// The row of the list of parts; `None` where no row gives that voltage.
    pub part: Option<&'a Part>,
    /// What feeds the converter.
    pub input: Value<ElectricPotential>,
    /// What the port does beside it.
    pub port: PortPart,
}

/// What a port does for a device that has a converter of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PortPart {
    /// It feeds the converter from the rail of the way: an output that switches plus, or one that is always on.
    Feeds(RailId),
    /// The converter hangs on the supply, and the port switches the minus of the device.
    SwitchesMinus,
    /// The converter hangs on the supply, plus and minus of the device hang on the converter, and the port gives its signal alone.
    Signal,
}

impl<'a> Feed<'a> {
    /// What feeds a device on a way.
    #[must_use]
    pub fn of(site: &Site<'a>, device: &Device, way: Way) -> Self {
        let port = site.board.port(way.port);
        if way.own_supply {
            return Self::converted(site, device, way, port);
        }
        let Some(rail) = way.rail else {
            return Self {
                source: Source::Nothing,
                voltage: None,
            };
        };
        let voltage = site.rail_voltage(rail);
        let weak = match &device.detail {
            // The control side of a relay is no load.
            Detail::Heater(_) if device.is_direct_heater() => {
                let cold = site.limits().ambient_cold_start.value;
                loads::current(&device.detail, Some(voltage), cold)
                    .and_then(|current| too_weak(site, port, current))
            }
            _ => None,
        };
        match weak {
            Some(weak) => Self {
                source: Source::ExternalSwitch(weak),
                voltage: Some(supply_before(site.swap, site.board, rail)),
            },
            None => Self {
                source: Source::Rail(rail),
                voltage: Some(voltage),
            },
        }
    }

    fn converted(site: &Site<'a>, device: &Device, way: Way, port: &Port) -> Self {
        let does = match (&port.kind, way.rail) {
            (PortKind::Switched { side: Side::High, .. } | PortKind::Permanent, Some(rail)) => {
                PortPart::Feeds(rail)
            }
            (PortKind::Switched { .. }, _) => PortPart::SwitchesMinus,
            _ => PortPart::Signal,
        };
        let input = match does {
            PortPart::Feeds(rail) => site.rail_voltage(rail),
            PortPart::SwitchesMinus | PortPart::Signal => site.supply_voltage(),
        };
        let rated = loads::rated_voltage(&device.detail).map(|rated| rated.nominal());
        let current = loads::current(&device.detail, None, site.limits().ambient_cold_start.value);
        let part = rated.and_then(|rated| converter_for(site, input.nominal(), rated, current));
        Self {
            source: Source::Converter(Converter {
                part,
                input,
                port: does,
            }),
            voltage: rated.map(|rated| output(part, rated)),
        }
    }

    /// The switch module of the list of parts, where it feeds the device.
    #[must_use]
    pub fn external_switch(&self, site: &Site<'a>) -> Option<&'a Part> {
        match self.source {
            Source::ExternalSwitch(_) => site.swap.catalogue.parts().get(EXTERNAL_SWITCH),
            _ => None,
        }
    }

    /// What flows through contacts and switch of the port, of a current that the device draws; `None` where the port carries a signal only.
    #[must_use]
    pub fn through_port(&self, drawn: Value<ElectricCurrent>) -> Option<Value<ElectricCurrent>> {
        match self.source {
            Source::Nothing | Source::Rail(_) => Some(drawn),
            Source::ExternalSwitch(_) => None,
            Source::Converter(converter) => match converter.port {
                PortPart::Feeds(_) => self.input_of_converter(&converter, drawn),
                PortPart::SwitchesMinus => Some(drawn),
                PortPart::Signal => None,
            },
        }
    }

    /// What is drawn from the rail of the way, of a current that the device draws; `None` where the rail does not feed it.
    #[must_use]
    pub fn from_rail(&self, drawn: Value<ElectricCurrent>) -> Option<Value<ElectricCurrent>> {
        match self.source {
            Source::Rail(_) => Some(drawn),
            Source::Converter(converter) if matches!(converter.port, PortPart::Feeds(_)) => {
                self.input_of_converter(&converter, drawn)
            }
            _ => None,
        }
    }

    /// Whether a converter of the device hangs on the supply itself.
    #[must_use]
    pub fn converts_from_supply(&self) -> bool {
        matches!(self.source, Source::Converter(converter) if !matches!(converter.port, PortPart::Feeds(_)))
    }

    fn input_of_converter(
        &self,
        converter: &Converter<'_>,
        drawn: Value<ElectricCurrent>,
    ) -> Option<Value<ElectricCurrent>> {
        Some(self.voltage? * drawn / converter_efficiency() / converter.input)
    }
}

/// A converter of its own, where nothing is known of it: as the loader takes converters of boards.
#[must_use]
pub fn converter_efficiency() -> Value<Ratio> {
    Value::relative(si::ratio(0.85), 0.08)
}

/// What a converter gives: the voltage that it is made for or set to, within its accuracy.
fn output(part: Option<&Part>, rated: ElectricPotential) -> Value<ElectricPotential> {
    let Some(part) = part else {
        return Value::exact(rated);
    };
    let marked = part
        .output
        .filter(Value::is_exact)
        .map_or(rated, |fixed| fixed.nominal());
    let accuracy = part.accuracy.map_or(0.0, |accuracy| accuracy.high().base());
    Value::relative(marked, accuracy)
}

/// The converter of the list of parts that gives a voltage: the first that bears the current for long, else the strongest.
fn converter_for<'a>(
    site: &Site<'a>,
    input: ElectricPotential,
    rated: ElectricPotential,
    current: Option<Value<ElectricCurrent>>,
) -> Option<&'a Part> {
    // A converter for 5 V serves what is rated for 5.2 V.
    const NEAR: f64 = 0.1;
    let gives = |part: &&Part| {
        let (Some(output), Some(from)) = (part.output, part.input) else {
            return false;
        };
        let within = |volts: Value<ElectricPotential>, asked: ElectricPotential, near: f64| {
            asked >= volts.low() * (1.0 - near) && asked <= volts.high() * (1.0 + near)
        };
        let near = if output.is_exact() { NEAR } else { 0.0 };
        within(output, rated, near) && within(from, input, 0.0) && input >= rated
    };
    let share = site.limits().port_continuous_share.value.low();
    let bears = |part: &Part| match (part.current, current) {
        (Some(rating), Some(current)) => current.high() <= rating.low() * share,
        _ => true,
    };
    let rows = || site.swap.catalogue.parts().rows().iter().filter(gives);
    let strongest = || {
        rows().max_by(|one, other| {
            let rating = |part: &Part| part.current.map_or(0.0, |current| current.low().base());
            rating(one).total_cmp(&rating(other))
        })
    };
    rows().find(|part| bears(part)).or_else(strongest)
}
