//! A thermometer at an input: its curve, the temperatures at which it works, and what the converter makes of it.

use std::borrow::Cow;
use std::sync::LazyLock;

use catalogue::Law;
use model::board::{Port, PortKind, ThermometerInput};
use model::machine::Detail;
use model::{Swap, Zone};
use physics::interval;
use physics::sensing::{self, RtCurve, RtTable, SteinhartHart};
use quantity::si::{
    ElectricalResistance, Ratio, TemperatureCoefficient, TemperatureInterval, ThermodynamicTemperature,
};
use quantity::{Number, Value, si};

use crate::facts::pair::Pair;

/// A thermometer at the input of a pair.
#[derive(Clone, Debug)]
pub struct Thermometry<'a> {
    /// The row of the catalogue.
    pub row: &'a catalogue::Thermometer,
    /// Its curve.
    pub curve: Curve,
    /// The input.
    pub input: &'a ThermometerInput,
    /// The room, where a swap begins.
    pub cold: Value<ThermodynamicTemperature>,
    /// The highest temperature at which it works.
    pub hot: Value<ThermodynamicTemperature>,
}

/// The thermometer of a pair; `None` for other devices and ports.
pub(crate) fn at<'a>(pair: &Pair<'a>) -> Option<Thermometry<'a>> {
    let (Detail::Thermometer(thermometer), PortKind::Thermometer(input)) =
        (&pair.device().detail, &pair.port().kind)
    else {
        return None;
    };
    let row = pair
        .swap
        .catalogue
        .thermometers()
        .get(&thermometer.sensor.value)?;
    let hot = working(pair.swap, thermometer);
    Some(Thermometry {
        row,
        curve: Curve::of(row)?,
        input,
        cold: pair.swap.ambient.temperature.value,
        hot,
    })
}

/// The circuit of a thermometer input of the old board.
pub(crate) fn input_of(port: &Port) -> Option<&ThermometerInput> {
    match &port.kind {
        PortKind::Thermometer(input) => Some(input),
        _ => None,
    }
}

/// The curves of the catalogue as it is shipped, made once: a table costs a logarithm a row.
static SHIPPED: LazyLock<Vec<(&'static catalogue::Thermometer, RtCurve)>> = LazyLock::new(|| {
    let rows = catalogue::built_in().thermometers().rows().iter();
    rows.filter_map(|row| Some((row, made(row)?))).collect()
});

fn made(row: &catalogue::Thermometer) -> Option<RtCurve> {
    Some(match row.law {
        Law::Platinum { resistance } => RtCurve::Platinum {
            at_zero: resistance.nominal(),
        },
        Law::Thermistor { .. } if row.points.len() > 1 => {
            let points = row
                .points
                .iter()
                .map(|point| (point.temperature, point.resistance));
            RtCurve::Table(RtTable::new(&points.collect::<Vec<_>>()).ok()?)
        }
        Law::Thermistor { .. } if row.coefficients.is_some() => {
            RtCurve::SteinhartHart(SteinhartHart::from_coefficients(row.coefficients?).ok()?)
        }
        Law::Thermistor {
            resistance,
            reference,
            beta,
            ..
        } => RtCurve::Beta {
            reference: resistance.nominal(),
            reference_temperature: reference,
            beta: beta.nominal(),
        },
    })
}

/// The curve of a kind of thermometer: its table where the catalogue has one, else its law; `None` where the table cannot be one.
#[must_use]
pub fn curve(row: &catalogue::Thermometer) -> Option<RtCurve> {
    Curve::of(row).map(|curve| curve.0.into_owned())
}

/// A curve that goes on beyond the ends of its table with the slope that it has there.
#[derive(Clone, Debug)]
pub struct Curve(Cow<'static, RtCurve>);

impl Curve {
    fn of(row: &catalogue::Thermometer) -> Option<Self> {
        let same = |shipped: &&(&catalogue::Thermometer, RtCurve)| {
            shipped.0.name == row.name
                && shipped.0.law == row.law
                && shipped.0.points == row.points
                && shipped.0.coefficients == row.coefficients
        };
        Some(Self(match SHIPPED.iter().find(same) {
            Some((_, curve)) => Cow::Borrowed(curve),
            None => Cow::Owned(made(row)?),
        }))
    }

    /// Whether the curve itself reaches a temperature.
    pub fn reaches(&self, temperature: ThermodynamicTemperature) -> bool {
        let range = self.0.range();
        range.low() <= temperature && temperature <= range.high()
    }

    /// Resistance at a temperature.
    pub fn resistance(&self, temperature: ThermodynamicTemperature) -> ElectricalResistance {
        self.0.resistance(temperature).unwrap_or_else(|_| {
            let range = self.0.range();
            let cold = temperature < range.low();
            self.beyond(if cold { range.low() } else { range.high() })
                .resistance(temperature)
        })
    }

    /// Temperature at a resistance.
    pub fn temperature(&self, resistance: ElectricalResistance) -> ThermodynamicTemperature {
        self.0.temperature(resistance).unwrap_or_else(|_| {
            let range = self.0.range();
            let off = |end| (resistance.base() / self.resistance(end).base()).ln().abs();
            let nearer_cold = off(range.low()) < off(range.high());
            self.beyond(if nearer_cold { range.low() } else { range.high() })
                .temperature(resistance)
        })
    }

    /// Relative slope at a temperature.
    pub fn slope(&self, temperature: ThermodynamicTemperature) -> TemperatureCoefficient {
        self.0.relative_slope(temperature).unwrap_or_else(|_| {
            let range = self.0.range();
            let cold = temperature < range.low();
            self.beyond(if cold { range.low() } else { range.high() })
                .slope(temperature)
        })
    }

    fn beyond(&self, end: ThermodynamicTemperature) -> Beyond {
        let none = ElectricalResistance::from_base(f64::NAN);
        Beyond {
            end,
            resistance: self.0.resistance(end).unwrap_or(none),
            slope: self.0.relative_slope(end).map_or(f64::NAN, Number::base),
            straight: matches!(*self.0, RtCurve::Platinum { .. }),
        }
    }
}

/// How a curve goes on beyond one of its ends: a thermistor by the beta law, a metal in a straight line, each with the slope there.
struct Beyond {
    end: ThermodynamicTemperature,
    resistance: ElectricalResistance,
    /// Relative, per kelvin.
    slope: f64,
    straight: bool,
}

impl Beyond {
    fn beta(&self) -> TemperatureInterval {
        TemperatureInterval::from_base(-self.slope * self.end.base() * self.end.base())
    }

    fn resistance(&self, temperature: ThermodynamicTemperature) -> ElectricalResistance {
        if self.straight {
            let grown = 1.0 + self.slope * (temperature.base() - self.end.base());
            return self.resistance * grown.max(f64::MIN_POSITIVE);
        }
        sensing::beta_resistance(self.resistance, self.end, self.beta(), temperature)
    }

    fn temperature(&self, resistance: ElectricalResistance) -> ThermodynamicTemperature {
        if self.straight {
            let grown = (resistance / self.resistance).base() - 1.0;
            // Colder than the absolute zero is no reading.
            return ThermodynamicTemperature::from_base((self.end.base() + grown / self.slope).max(0.0));
        }
        sensing::beta_temperature(self.resistance, self.end, self.beta(), resistance)
    }

    fn slope(&self, temperature: ThermodynamicTemperature) -> TemperatureCoefficient {
        TemperatureCoefficient::from_base(if self.straight {
            self.slope / (1.0 + self.slope * (temperature.base() - self.end.base()))
        } else {
            -self.beta().base() / (temperature.base() * temperature.base())
        })
    }
}

/// The highest temperature that a thermometer is asked to read: its own, else that of the heater of its zone, else the usual one of its zone.
#[must_use]
pub fn working(swap: &Swap, thermometer: &model::machine::Thermometer) -> Value<ThermodynamicTemperature> {
    if let Some(own) = thermometer.working_temperature {
        return own.value;
    }
    let asked = swap
        .machine
        .devices
        .iter()
        .find_map(|device| match &device.detail {
            Detail::Heater(heater) if heater.zone == thermometer.zone => {
                Some(heater.working_temperature.value)
            }
            _ => None,
        });
    let limits = swap.catalogue.limits();
    asked.unwrap_or(match thermometer.zone {
        Zone::HotEnd => limits.hotend_working.value,
        Zone::Bed | Zone::Chamber => limits.bed_working.value,
    })
}

impl Thermometry<'_> {
    /// Whether it is a platinum resistor.
    pub fn is_platinum(&self) -> bool {
        matches!(self.row.law, Law::Platinum { .. })
    }

    /// What part of full scale the converter sees at a temperature, above 1 where the amplifier would have to go beyond its stop.
    pub fn share(&self, input: &ThermometerInput, temperature: ThermodynamicTemperature) -> Value<Ratio> {
        let resistance = self.curve.resistance(temperature);
        let gain = input.amplification;
        let share = |pull_up: ElectricalResistance, gain: Ratio| gain / (1.0 + (pull_up / resistance).base());
        let pull_up = input.pull_up.value;
        Value::corners(|end| share(pull_up.at(end.other()), gain.at(end)))
    }

    /// Kelvin for one step of a converter at a temperature, with the tolerances of pull-up and amplifier.
    ///
    /// Supply and reference are one voltage, so that it cancels.
    pub fn kelvin_per_step(
        &self,
        input: &ThermometerInput,
        temperature: ThermodynamicTemperature,
    ) -> Value<TemperatureInterval> {
        let (resistance, slope) = (self.curve.resistance(temperature), self.curve.slope(temperature));
        let reference = input.reference.nominal();
        let one = converter_step(input, reference);
        interval((input.pull_up.value, input.amplification), |(pull_up, gain)| {
            sensing::kelvin_per_step(one / gain.base(), reference, resistance, pull_up, slope)
        })
    }

    /// What a table for another input makes of the thermometer at a temperature; `None` where that input would be at its stop.
    pub fn read_as(
        &self,
        assumed: &ThermometerInput,
        pull_up: ElectricalResistance,
        gain: Ratio,
        temperature: ThermodynamicTemperature,
    ) -> Option<ThermodynamicTemperature> {
        let resistance = self.curve.resistance(temperature);
        let share = gain.base() / (1.0 + (pull_up / resistance).base());
        let of_open = share.min(1.0) / assumed.amplification.nominal().base();
        if of_open >= 1.0 {
            return None;
        }
        let read = assumed.pull_up.nominal() * (of_open / (1.0 - of_open));
        Some(self.curve.temperature(read))
    }

    /// The resistance at a temperature with the tolerance of the element.
    pub fn tolerated(&self, temperature: ThermodynamicTemperature) -> Value<ElectricalResistance> {
        let nominal = self.curve.resistance(temperature);
        match self.row.law {
            Law::Thermistor {
                resistance,
                reference,
                beta,
                ..
            } => {
                let inverse = 1.0 / temperature.base() - 1.0 / reference.base();
                let of = |resistance_off: f64, beta_off: f64| {
                    ElectricalResistance::from_base(
                        nominal.base() * resistance_off * (beta_off * inverse).exp(),
                    )
                };
                let middle = resistance.nominal();
                let (few, many) = (
                    (resistance.low() / middle).base(),
                    (resistance.high() / middle).base(),
                );
                let (flat, steep) = (
                    beta.low().base() - beta.nominal().base(),
                    beta.high().base() - beta.nominal().base(),
                );
                let corners = [of(few, flat), of(few, steep), of(many, flat), of(many, steep)];
                let low = corners.into_iter().fold(nominal, Number::smaller);
                let high = corners.into_iter().fold(nominal, Number::larger);
                Value::between(low, nominal, high)
            }
            Law::Platinum { .. } => {
                // The widest class that is sold.
                let off = self.row.classes.last().map_or(0.0, |class| {
                    let celsius = (temperature.base() - 273.15).abs();
                    class.at_zero.nominal().base() + class.share.nominal().base() * celsius
                });
                let beside = |off: f64| {
                    let beside = ThermodynamicTemperature::from_base(temperature.base() + off);
                    self.curve.resistance(beside)
                };
                Value::between(beside(-off), nominal, beside(off))
            }
        }
    }
}

/// The step of a converter with a reference.
pub(crate) fn converter_step(
    input: &ThermometerInput,
    reference: si::ElectricPotential,
) -> si::ElectricPotential {
    sensing::converter_step(reference, si::ratio(f64::from(*input.adc_bits)))
}

/// The step of a converter, seen at the thermometer: divided by what the amplifier makes larger.
pub(crate) fn step(input: &ThermometerInput) -> si::ElectricPotential {
    converter_step(input, input.reference.nominal()) / input.amplification.nominal().base()
}

/// The pull-up of an input, with the usual tolerance where its file states none.
pub(crate) fn tolerated_pull_up(pair: &Pair<'_>, input: &ThermometerInput) -> Value<ElectricalResistance> {
    let stated = input.pull_up.value;
    if stated.is_exact() {
        let usual = pair.limits().thermometer_pullup_tolerance.value;
        return Value::relative(stated.nominal(), usual.nominal().base());
    }
    stated
}

/// A temperature difference for a headline, always in kelvin.
pub(crate) fn kelvin(difference: TemperatureInterval) -> String {
    let number = difference.base();
    match number.abs() {
        size if size < 0.1 => format!("{number:.3} K"),
        size if size < 10.0 => format!("{number:.2} K"),
        _ => format!("{number:.1} K"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve(name: &str) -> Curve {
        let row = catalogue::built_in().thermometers().get(name).expect("a row");
        Curve::of(row).expect("a curve")
    }

    /// The coefficients go through three points of the maker's table (25 °C, 100 °C, 200 °C) and must read its other points.
    #[test]
    fn coefficients_of_steinhart_and_hart_read_the_makers_table() {
        let mut own = catalogue::Catalogue::new();
        let row = "[[thermometer]]\nname = \"mine\"\nwhat = \"x\"\nusable = \"0 °C .. 300 °C\"\n\
            thermistor = { resistance = \"100 kΩ\", reference = \"25 °C\", beta = \"3950 K\", beta_between = \"25 °C .. 50 °C\" }\n\
            coefficients = [\"0.00075647 1/K\", \"0.00020827 1/K\", \"1.3087e-07 1/K\"]\n";
        own.override_with(catalogue::TableFile::Thermometers, row)
            .expect("a good row");
        let curve = Curve::of(own.thermometers().get("mine").expect("the row")).expect("a curve");
        let table = own.thermometers().get("NTC 100 kΩ glass B3950").expect("a row");
        for point in &table.points {
            let celsius = point.temperature.base() - 273.15;
            if (0.0..=250.0).contains(&celsius) {
                let off = curve.temperature(point.resistance).base() - point.temperature.base();
                assert!(off.abs() < 1.0, "{off} K at {celsius} °C");
            }
        }
    }

    /// Inside the table and beyond both of its ends, where a thermistor and a metal go on by laws of their own.
    #[test]
    fn the_slope_is_what_the_resistance_grows_by() {
        for row in catalogue::built_in().thermometers().rows() {
            let curve = Curve::of(row).expect("a curve");
            let range = curve.0.range();
            let kelvins = [range.low().base() - 20.0, range.high().base() + 20.0];
            for kelvin in kelvins.into_iter().filter(|kelvin| *kelvin > 10.0) {
                let log = |kelvin: f64| {
                    curve
                        .resistance(ThermodynamicTemperature::from_base(kelvin))
                        .base()
                        .ln()
                };
                let grown = (log(kelvin + 0.01) - log(kelvin - 0.01)) / 0.02;
                let slope = curve.slope(ThermodynamicTemperature::from_base(kelvin)).base();
                assert!(
                    (slope / grown - 1.0).abs() < 1e-4,
                    "{}: {slope} {grown} at {kelvin} K",
                    row.name
                );
            }
        }
    }

    #[test]
    fn beyond_its_range_each_curve_goes_on_the_way_it_went() {
        for (name, rises) in [
            ("Pt100", true),
            ("Pt1000", true),
            ("NTC 100 kΩ glass B3950", false),
        ] {
            let curve = curve(name);
            let range = curve.0.range();
            for (end, far) in [(range.low(), -20.0), (range.high(), 150.0)] {
                let far = ThermodynamicTemperature::from_base(end.base() + far);
                let (at_end, at_far) = (curve.resistance(end), curve.resistance(far));
                assert_eq!(at_far > at_end, (far > end) == rises, "{name}");
                let back = curve.temperature(at_far);
                assert!(
                    (back.base() - far.base()).abs() < 1e-6,
                    "{name}: {back:?} for {far:?}"
                );
            }
        }
        // An open wire: the resistance of a platinum element is far above its hottest, so it reads hot.
        let pt = curve("Pt100");
        assert!(pt.temperature(si::ohm(1e6)) > pt.0.range().high());
        assert!(pt.temperature(si::ohm(1.0)) < pt.0.range().low());
    }
}
