//! The supply under load: how far its voltage sags, and what resistance lies before it.
//!
//! Noise in the current flattens a line of voltage over current, noise in the voltage flattens one of current over voltage: the
//! resistance lies between the two (R. Frisch, Statistical confluence analysis, 1934, from memory), and its interval spans both.

mod dropouts;
mod words;

use quantity::Number as _;
use quantity::si::{ElectricCurrent, ElectricPotential, ElectricalResistance, Power, Ratio, Time, ohm, volt};
use statistics::{CONFIDENCE, Estimate, LinearRegression, linear_regression, median};

pub use self::dropouts::Dropout;
use crate::digits::written;
use crate::read::{GAP, ordinary_step};
use crate::{Refused, Verdict};

/// One reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Voltage {
    /// When.
    pub time: Time,
    /// The voltage.
    pub voltage: ElectricPotential,
    /// The current that was drawn, where it was measured.
    pub current: Option<ElectricCurrent>,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// What is asked.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SupplyAsk {
    /// The lowest voltage that all loads bear.
    pub lowest: ElectricPotential,
    /// The highest voltage that all loads bear.
    pub highest: ElectricPotential,
    /// Whose limits these are, lowest and highest, such as "H1 hot end": for the words alone.
    pub of: [Option<String>; 2],
    /// Accuracy of the meter, as a share of the reading.
    pub meter: Ratio,
    /// The most that supply, wires and contacts up to the meter may have by the plan; nothing where that is not known.
    pub most: Option<ElectricalResistance>,
    /// The heat in more resistance than that from which on a joint counts as bad.
    pub joint_heat: Power,
}

/// What the log says.
#[derive(Clone, Debug, PartialEq)]
pub struct SupplyLog {
    /// The lowest reading, and when.
    pub lowest: (ElectricPotential, Time),
    /// The highest reading, and when.
    pub highest: (ElectricPotential, Time),
    /// The middle reading.
    pub middle: ElectricPotential,
    /// When it dropped below what all loads bear and came back.
    pub dropouts: Vec<Dropout>,
    /// The longest stretch without a reading, of more than five ordinary steps, with the reading before it: how low the voltage was meanwhile is
    /// not known.
    pub gap: Option<(Time, Time)>,
    /// Resistance of supply, wires and contacts up to the meter, in ohm, by the scatter of the readings; known where the current was
    /// measured and changed.
    pub resistance: Option<Estimate>,
    /// The voltage without load that goes with it, in volt.
    pub unloaded: Option<Estimate>,
    ask: SupplyAsk,
    readings: Vec<Voltage>,
}

/// Looks at a log.
///
/// # Errors
/// [`Refused`] for fewer than three readings, a voltage or time that is not finite, limits the wrong way round.
pub fn supply_log(readings: &[Voltage], ask: SupplyAsk) -> Result<SupplyLog, Refused> {
    refuse(readings, &ask)?;
    let by = |better: fn(f64, f64) -> bool| {
        readings.iter().skip(1).fold(readings[0], |best, r| {
            if better(r.voltage.base(), best.voltage.base()) {
                *r
            } else {
                best
            }
        })
    };
    let (low, high) = (by(|a, b| a < b), by(|a, b| a > b));
    let voltages: Vec<f64> = readings.iter().map(|r| r.voltage.base()).collect();
    let source = Source::of(readings);
    Ok(SupplyLog {
        lowest: (low.voltage, low.time),
        highest: (high.voltage, high.time),
        middle: volt(median(&voltages)),
        dropouts: dropouts::dropouts(readings, &ask),
        gap: longest_gap(readings),
        resistance: source.map(|source| source.resistance),
        unloaded: source.map(|source| source.unloaded),
        ask,
        readings: readings.to_vec(),
    })
}

/// When the longest gap began, and how long it was.
fn longest_gap(readings: &[Voltage]) -> Option<(Time, Time)> {
    let times: Vec<f64> = readings.iter().map(|own| own.time.base()).collect();
    let most = Time::from_base(GAP * ordinary_step(&times));
    let gaps = readings
        .windows(2)
        .map(|two| (two[0].time, two[1].time - two[0].time));
    gaps.filter(|(_, length)| *length > most)
        .reduce(|long, own| if own.1 > long.1 { own } else { long })
}

/// Fewer readings than this say nothing.
const FEWEST: usize = 3;

fn refuse(readings: &[Voltage], ask: &SupplyAsk) -> Result<(), Refused> {
    if readings.len() < FEWEST {
        return Err(words::too_few(readings.len()));
    }
    let bad = |r: &&Voltage| !(r.voltage.base().is_finite() && r.time.base().is_finite());
    if let Some(reading) = readings.iter().find(bad) {
        return Err(words::no_number(reading.line));
    }
    if !(ask.lowest < ask.highest && ask.meter.base() >= 0.0 && ask.meter.base() < 0.5) {
        return Err(words::no_range());
    }
    Ok(())
}

/// What the line of voltage over current says, in ohm and volt.
#[derive(Clone, Copy)]
struct Source {
    resistance: Estimate,
    unloaded: Estimate,
}

impl Source {
    /// Nothing where no current was measured, or it did not change.
    fn of(readings: &[Voltage]) -> Option<Self> {
        let loaded: Vec<(f64, f64)> = readings
            .iter()
            .filter_map(|r| Some((r.current?.base(), r.voltage.base())))
            .collect();
        let fitted = line(loaded.iter().copied()).filter(|line| line.freedom >= 1.0)?;
        let flat = fitted.coefficient(1, CONFIDENCE);
        let turned = line(loaded.iter().map(|(current, voltage)| (*voltage, *current)));
        // Where the current hardly follows the voltage the line turned round says nothing.
        let steep = turned
            .map(|line| line.coefficient(1, CONFIDENCE))
            .filter(|slope| slope.high < 0.0);
        let high = steep.map_or(-flat.low, |slope| -1.0 / slope.high);
        Some(Self {
            resistance: Estimate {
                value: -flat.value,
                low: -flat.high,
                high: high.max(-flat.low),
            },
            unloaded: fitted.coefficient(0, CONFIDENCE),
        })
    }
}

/// A straight line through points.
fn line(points: impl Iterator<Item = (f64, f64)>) -> Option<LinearRegression> {
    let (rows, heights): (Vec<Vec<f64>>, Vec<f64>) = points.map(|(x, y)| (vec![1.0, x], y)).unzip();
    linear_regression(&rows, &heights).ok()
}

impl SupplyLog {
    /// Whether the voltage stayed within its limits, and no more resistance lies before the meter than the plan knows of; the meter's
    /// accuracy on the unfavourable side. Open where it passes but for a gap: a supply that drops may take its log with it.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let joint = match self.joint() {
            Some(joint) if joint.is_bad => Verdict::Fail,
            _ => Verdict::Pass,
        };
        match self.of_voltage().max(joint) {
            Verdict::Pass if self.gap.is_some() => Verdict::Open,
            verdict => verdict,
        }
    }

    /// The resistance with the accuracy of the meter in voltage and in current.
    fn with_meter(&self) -> Option<Estimate> {
        let meter = self.ask.meter.base();
        let apart = (1.0 + meter) / (1.0 - meter);
        self.resistance.map(|found| Estimate {
            value: found.value,
            low: found.low / apart,
            high: found.high * apart,
        })
    }

    /// More resistance than there should be, at the largest current; nothing where that is not shown.
    fn joint(&self) -> Option<Joint> {
        let (found, most) = (self.with_meter()?, self.ask.most?);
        let current = self.readings.iter().filter_map(|reading| reading.current);
        let current = current.fold(ElectricCurrent::from_base(0.0), |most, own| most.larger(own));
        let heat = (ohm(found.value) - most) * current * current;
        (found.low > most.base()).then(|| Joint {
            heat,
            most,
            is_bad: heat >= self.ask.joint_heat,
        })
    }

    /// The voltage over time in seconds, broken where the clock starts anew.
    fn course(&self) -> Vec<Vec<[f64; 2]>> {
        let points: Vec<[f64; 2]> = self
            .readings
            .iter()
            .map(|r| [r.time.base(), r.voltage.base()])
            .collect();
        let pieces = points.chunk_by(|one, next| one[0] <= next[0]);
        pieces.map(<[_]>::to_vec).collect()
    }

    /// Nowhere near what is asked for: not a sag, another thing.
    fn is_far_off(&self) -> bool {
        let middle = self.middle.base();
        middle < 0.5 * self.ask.lowest.base() || middle > 2.0 * self.ask.highest.base()
    }

    fn of_voltage(&self) -> Verdict {
        let meter = self.ask.meter.base();
        let (low, high) = (self.lowest.0.base(), self.highest.0.base());
        let (least, most) = (self.ask.lowest.base(), self.ask.highest.base());
        // At least: turned round, at most.
        let half = written(self.readings.iter().map(|own| own.voltage.base())) / 2.0;
        let sag = Verdict::at_most(-low * (1.0 + meter) - half, -low * (1.0 - meter) + half, -least);
        sag.max(Verdict::at_most(
            high * (1.0 - meter) - half,
            high * (1.0 + meter) + half,
            most,
        ))
    }
}

/// Resistance that no lead or contact should have.
struct Joint {
    /// The heat in it.
    heat: Power,
    /// The resistance that there should be.
    most: ElectricalResistance,
    /// Whether so much heat makes it a bad one.
    is_bad: bool,
}
