//! The supply under load: how far its voltage sags, and what resistance lies before it.
//!
//! Noise in the current flattens a line of voltage over current, noise in the voltage flattens one of current over voltage: the
//! resistance lies between the two (R. Frisch, Statistical confluence analysis, 1934, from memory), and its interval spans both.

use quantity::si::{ElectricCurrent, ElectricPotential, ElectricalResistance, Power, Ratio, Time, ohm, volt};
use quantity::{Number, Value};

use crate::Refused;
use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Mark, Picture, Plot, Report, Series, Trouble, Verdict, thinned};
use statistics::{CONFIDENCE, Estimate, linear_regression, median};

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
    if readings.len() < 3 {
        return Err(Refused::new(
            format!("{} readings are too few", readings.len()),
            "log the voltage before, while and after all heaters are switched on",
        ));
    }
    if let Some(reading) = readings
        .iter()
        .find(|r| !(r.voltage.base().is_finite() && r.time.base().is_finite()))
    {
        return Err(Refused::new(
            format!("line {} holds no time and voltage", reading.line),
            "write the time in seconds and the voltage in volt",
        ));
    }
    if !(ask.lowest < ask.highest && ask.meter.base() >= 0.0 && ask.meter.base() < 0.5) {
        return Err(Refused::new(
            "the limits of the voltage do not enclose a range, or the accuracy of the meter is no share",
            "write a lowest and a higher highest voltage, and the accuracy such as \"1 %\"",
        ));
    }
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
    let loaded: Vec<&Voltage> = readings.iter().filter(|r| r.current.is_some()).collect();
    let rows: Vec<Vec<f64>> = loaded
        .iter()
        .map(|r| vec![1.0, r.current.map_or(0.0, Number::base)])
        .collect();
    let under_load: Vec<f64> = loaded.iter().map(|r| r.voltage.base()).collect();
    let line = linear_regression(&rows, &under_load)
        .ok()
        .filter(|f| f.freedom >= 1.0);
    let turned: Vec<Vec<f64>> = under_load.iter().map(|voltage| vec![1.0, *voltage]).collect();
    let currents: Vec<f64> = rows.iter().map(|row| row[1]).collect();
    let steep = linear_regression(&turned, &currents)
        .ok()
        .map(|f| f.coefficient(1, CONFIDENCE))
        .filter(|slope| slope.high < 0.0);
    let resistance = line.as_ref().map(|f| {
        let flat = f.coefficient(1, CONFIDENCE);
        // Where the current hardly follows the voltage the line turned round says nothing.
        let high = steep.map_or(-flat.low, |slope| -1.0 / slope.high);
        Estimate {
            value: -flat.value,
            low: -flat.high,
            high: high.max(-flat.low),
        }
    });
    Ok(SupplyLog {
        lowest: (low.voltage, low.time),
        highest: (high.voltage, high.time),
        middle: volt(median(&voltages)),
        resistance,
        unloaded: line.as_ref().map(|f| f.coefficient(0, CONFIDENCE)),
        ask,
        readings: readings.to_vec(),
    })
}

impl SupplyLog {
    /// Whether the voltage stayed within its limits, and no more resistance lies before the meter than the plan knows of; the meter's
    /// accuracy on the unfavourable side.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        self.of_voltage().max(match self.lost_in_a_joint() {
            Some(heat) if heat >= self.ask.joint_heat => Verdict::Fails,
            _ => Verdict::Holds,
        })
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

    /// The heat that is lost in more resistance than there should be, at the largest current; nothing where that is not shown.
    fn lost_in_a_joint(&self) -> Option<Power> {
        let (found, most) = (self.with_meter()?, self.ask.most?);
        let current = self.readings.iter().filter_map(|reading| reading.current);
        let current = current.fold(ElectricCurrent::from_base(0.0), Number::larger);
        let more = ohm(found.value) - most;
        (found.low > most.base()).then(|| more * current * current)
    }

    fn of_voltage(&self) -> Verdict {
        let meter = self.ask.meter.base();
        let (low, high) = (self.lowest.0.base(), self.highest.0.base());
        let (least, most) = (self.ask.lowest.base(), self.ask.highest.base());
        // At least: turned round, at most.
        let sag = Verdict::at_most(-low * (1.0 + meter), -low * (1.0 - meter), -least);
        sag.max(Verdict::at_most(high * (1.0 - meter), high * (1.0 + meter), most))
    }

    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let verdict = self.verdict();
        let (low, high) = (Value::exact(self.lowest.0), Value::exact(self.highest.0));
        let of = |which: usize| {
            let whose = self.ask.of[which].as_ref();
            whose.map_or_else(String::new, |whose| format!(" for {whose}"))
        };
        let limits = format!(
            "{}{} .. {}{}",
            Value::exact(self.ask.lowest),
            of(0),
            Value::exact(self.ask.highest),
            of(1)
        );
        let more = self.lost_in_a_joint().zip(self.ask.most);
        let bad_joint = more.filter(|(heat, _)| *heat >= self.ask.joint_heat);
        let joint = bad_joint.map_or_else(String::new, |(heat, most)| {
            format!(
                " Before the meter lies more resistance than the {} that lead, contacts and supply should have: some {} of heat in a bad joint.",
                Value::exact(most),
                Value::exact(heat)
            )
        });
        let sentence = match self.of_voltage() {
            Verdict::Holds => format!("The supply stays between {low} and {high}, within {limits}."),
            Verdict::Fails => format!(
                "The supply leaves {limits}: it was at {low} at the lowest and {high} at the highest."
            ),
            _ => format!(
                "The supply was between {low} and {high}: whether that is within {limits} is closer than the meter can tell."
            ),
        } + &joint;
        let with_meter = |v: ElectricPotential| Value::relative(v, self.ask.meter.base());
        let mut figures = vec![
            Figure::plain(
                "lowest",
                "lowest voltage, with the meter's accuracy",
                with_meter(self.lowest.0),
            ),
            Figure::plain(
                "highest",
                "highest voltage, with the meter's accuracy",
                with_meter(self.highest.0),
            ),
            Figure::plain("middle", "median voltage", Value::exact(self.middle)),
        ];
        if let (Some(resistance), Some(unloaded)) = (self.with_meter(), self.unloaded) {
            let resistance: Value<ElectricalResistance> = resistance.of(ohm);
            let unloaded: Value<ElectricPotential> = unloaded.of(volt);
            figures.push(Figure::with_interval(
                "resistance",
                "resistance of supply, wires and contacts up to the meter, with the meter's accuracy",
                resistance,
            ));
            figures.push(Figure::with_interval(
                "unloaded",
                "voltage without load, from the same line",
                unloaded,
            ));
        }
        let mut advice = Vec::new();
        if let Some((heat, most)) = more.filter(|_| bad_joint.is_none()) {
            advice.push(Advice::helps(format!(
                "Tighten the screws between supply and board, power off: before the meter lies a little more than the {} that the plan \
                 knows of, which makes some {} of heat.",
                Value::exact(most),
                Value::exact(heat)
            )));
        }
        if bad_joint.is_some() || (verdict != Verdict::Holds && self.lowest.0 < self.ask.lowest) {
            advice.push(Advice::helps("Measure at the supply's own terminals too: what is lost between there and the board is wire and contact, the rest is the supply."));
            advice.push(Advice::helps("Have terminals and wires on the supply side looked at by someone qualified; unplug from the mains first and wait."));
            advice.push(Advice::in_vain(
                "Turning the supply's trimmer up hides a bad contact, and the contact goes on heating.",
            ));
        }
        // Where the clock starts anew, the line breaks.
        let points: Vec<[f64; 2]> = self
            .readings
            .iter()
            .map(|r| [r.time.base(), r.voltage.base()])
            .collect();
        let pieces = points.chunk_by(|one, next| one[0] <= next[0]).map(thinned);
        let mark = |name: &str, v: ElectricPotential| Mark {
            name: name.into(),
            at: v.base(),
            upright: false,
        };
        let plot = Plot {
            title: "Voltage of the supply".into(),
            x: "time, s".into(),
            y: "voltage, V".into(),
            series: vec![Series {
                name: "measured".into(),
                points: pieces.collect::<Vec<_>>().join(&[f64::NAN; 2]),
                dots: false,
            }],
            marks: vec![
                mark("lowest allowed", self.ask.lowest),
                mark("highest allowed", self.ask.highest),
            ],
            logarithmic: [false, false],
        };
        let mut troubles = Vec::new();
        if self.resistance.is_some_and(|r| r.high < 0.0) {
            troubles.push(Trouble::of_all(
                "the voltage rises with the current: look whether the columns are mixed up",
            ));
        }
        // Nowhere near what is asked for: not a sag, another thing.
        let middle = self.middle.base();
        if middle < 0.5 * self.ask.lowest.base() || middle > 2.0 * self.ask.highest.base() {
            troubles.push(Trouble::of_all(format!(
                "most readings are near {}, far from the {limits} asked for: is it the log of another rail, or another unit?",
                Value::exact(self.middle)
            )));
        }
        if self.resistance.is_none() {
            troubles.push(Trouble::of_all("no current was logged, or it did not change: what resistance makes the voltage sag is not known"));
        }
        Report {
            title: "Supply under load".into(),
            verdict,
            sentence,
            figures,
            advice,
            tables: Vec::new(),
            pictures: vec![Picture::Plot(plot)],
            troubles,
            sources: vec!["nist-handbook"],
        }
    }
}
