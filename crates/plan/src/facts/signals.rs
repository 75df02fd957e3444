//! Logic levels: what each end of a signal lead sends, needs and bears.

use catalogue::{Catalogue, Level, LogicFamily};
use model::board::{PortKind, SwitchInput};
use model::machine::Sensor;
use model::{Output, Pin, Pull};
use quantity::si::ElectricPotential;
use quantity::{Number, Value, si};

use crate::facts::pair::Pair;

/// What an input needs to read a level for certain.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Needs {
    /// From this level up it reads high.
    pub high: Level,
    /// Down from this level it reads low.
    pub low: Level,
    /// The supply of the part that reads.
    pub supply: Value<ElectricPotential>,
}

impl Needs {
    fn of(family: &LogicFamily, supply: Value<ElectricPotential>) -> Self {
        let nothing = Level {
            share: si::ratio(0.0),
            fixed: si::volt(f64::NAN),
        };
        let input = family.input.as_ref();
        Self {
            high: input.map_or(nothing, |input| input.high),
            low: input.map_or(nothing, |input| input.low),
            supply,
        }
    }
    /// The lowest voltage that reads as high.
    pub fn high(&self) -> Value<ElectricPotential> {
        self.high.at(self.supply)
    }
    /// The highest voltage that reads as low.
    pub fn low(&self) -> Value<ElectricPotential> {
        self.low.at(self.supply)
    }
}

/// A row of the catalogue that this crate counts on; a test asks for each.
fn family<'a>(catalogue: &'a Catalogue, name: &'static str) -> &'a LogicFamily {
    let found = catalogue.families().get(name);
    found.unwrap_or_else(|| unreachable!("the logic family `{name}` is shipped"))
}

macro_rules! families {
    ($($name:ident = $text:literal;)*) => {
        $(const $name: &str = $text;)*
        #[cfg(test)]
        const FAMILIES: &[&str] = &[$($name),*];
    };
}
families! {
    PIN_AT_3V3 = "3.3 V processor pin";
    PIN_AT_5V = "5 V processor pin";
    CONTACT = "mechanical switch";
    COLLECTOR = "open collector";
    SOURCING = "proximity switch, sourcing";
    DRIVEN = "5 V push-pull output";
    PULSES = "servo pulse input";
    LIGHTS = "light strip data";
    CHIP = "5 V CMOS";
    OLD_CHIP = "5 V TTL";
}

/// What a pin of the processor needs.
pub(crate) fn processor_pin(pair: &Pair<'_>) -> Needs {
    let logic = pair.board.processor.logic.value;
    let name = if logic.nominal() > si::volt(4.0) {
        PIN_AT_5V
    } else {
        PIN_AT_3V3
    };
    Needs::of(family(&pair.swap.catalogue, name), logic)
}

/// By how much a pin bears more than the voltage that it is made for.
pub(crate) fn above_bearing(pair: &Pair<'_>) -> ElectricPotential {
    let input = family(&pair.swap.catalogue, PIN_AT_3V3).input.as_ref();
    input.map_or(si::volt(0.0), |input| input.maximum.fixed)
}

/// What the pulse input of a servo-like probe needs.
pub(crate) fn pulse_input(pair: &Pair<'_>, supply: Value<ElectricPotential>) -> Needs {
    Needs::of(family(&pair.swap.catalogue, PULSES), supply)
}
/// What the data input of addressable lights needs.
pub(crate) fn light_data(pair: &Pair<'_>, supply: Value<ElectricPotential>) -> Needs {
    Needs::of(family(&pair.swap.catalogue, LIGHTS), supply)
}
/// What a panel needs if its chips have CMOS inputs.
pub(crate) fn panel_input(pair: &Pair<'_>, supply: Value<ElectricPotential>) -> Needs {
    Needs::of(family(&pair.swap.catalogue, CHIP), supply)
}
/// What a panel needs if its chips have TTL inputs: the least that any panel needs.
pub(crate) fn panel_input_at_best(pair: &Pair<'_>, supply: Value<ElectricPotential>) -> Needs {
    Needs::of(family(&pair.swap.catalogue, OLD_CHIP), supply)
}

fn low_of(pair: &Pair<'_>, name: &'static str, supply: Value<ElectricPotential>) -> Value<ElectricPotential> {
    let output = family(&pair.swap.catalogue, name).output.as_ref();
    let low = output.and_then(|output| output.low);
    low.map_or(Value::exact(si::volt(0.0)), |low| low.at(supply))
}

/// The input of a port that reads a switch.
pub(crate) fn input(kind: &PortKind) -> Option<&SwitchInput> {
    match kind {
        PortKind::Switch(input) => Some(input),
        PortKind::Probe { input, .. } => input.as_ref(),
        _ => None,
    }
}

/// Whether a sensor is a bare contact.
pub(crate) fn is_contact(sensor: &Sensor) -> bool {
    matches!(sensor.output.value, Output::NormallyClosed | Output::NormallyOpen)
}

/// Whether the port of a pair has a pin of that function.
pub(crate) fn has_pin(pair: &Pair<'_>, function: Pin) -> bool {
    pair.port().pins.iter().any(|pin| pin.value == function)
}

/// Whether the lead of a pair has a wire of that function.
pub(crate) fn has_wire(pair: &Pair<'_>, function: Pin) -> bool {
    pair.device().has_wire(function)
}

/// What arrives at the input of the board.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sent {
    /// The high level, with its tolerance.
    pub high: Value<ElectricPotential>,
    /// The low level, with its tolerance.
    pub low: Value<ElectricPotential>,
    /// What makes the high: the device, or the pull-up of the input.
    pub by_pull_up: bool,
}

/// What a sensor sends into the input of its port; `None` where it cannot work there at all (see the check `switch-wiring`).
pub(crate) fn sent(pair: &Pair<'_>, sensor: &Sensor, input: &SwitchInput) -> Option<Sent> {
    let logic = pair.board.processor.logic.value;
    let level = sensor.level.map(|level| level.value);
    if sensor.output.value == Output::Pnp {
        // Against a pull-up, or none, it cannot pull low; what it then needs keeps its voltage off the pin.
        return (input.pull.value == Pull::Down).then_some(Sent {
            high: level.or_else(|| pulled_up(pair, sensor))?,
            low: Value::exact(si::volt(0.0)),
            by_pull_up: false,
        });
    }
    if sensor.output.value == Output::PushPull {
        let high = level?;
        return Some(Sent {
            high,
            low: low_of(pair, DRIVEN, high),
            by_pull_up: false,
        });
    }
    let family = if is_contact(sensor) { CONTACT } else { COLLECTOR };
    let low = low_of(pair, family, logic);
    match (input.pull.value, level) {
        // A contact to the supply pin of the port lifts the input to that rail.
        (Pull::Down, _) => Some(Sent {
            high: pair.rail_voltage().filter(|_| is_contact(sensor))?,
            low: Value::exact(si::volt(0.0)),
            by_pull_up: false,
        }),
        // Two pull-ups to different supplies: the voltage lies between both.
        (Pull::Up, Some(level)) => Some(Sent {
            high: Value::between(
                level.low().smaller(logic.low()),
                level.nominal().smaller(logic.nominal()),
                level.high().larger(logic.high()),
            ),
            low,
            by_pull_up: true,
        }),
        (Pull::None, Some(level)) => Some(Sent {
            high: level,
            low,
            by_pull_up: false,
        }),
        // Without any pull the plan adds one to the logic supply.
        (Pull::Up | Pull::None, None) => Some(Sent {
            high: logic,
            low,
            by_pull_up: true,
        }),
    }
}

/// What a transistor to plus gives: its supply less the drop that such sensors may have.
fn pulled_up(pair: &Pair<'_>, sensor: &Sensor) -> Option<Value<ElectricPotential>> {
    let supply = sensor.voltage?.value;
    let fed = pair.rail_voltage().unwrap_or(supply);
    let output = family(&pair.swap.catalogue, SOURCING).output.as_ref()?;
    let least = output.high?.at(fed).low();
    Some(Value::between(least, fed.nominal(), fed.high()))
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_families_are_shipped() {
        for name in super::FAMILIES {
            assert!(
                catalogue::built_in().families().get(name).is_some(),
                "no family `{name}`"
            );
        }
    }
}
