//! Thermometer formulas by name.

use physics::sensing::*;
use quantity::Number;
use quantity::si::*;

use crate::driver::{Row, Spec, by_text, spec};
use crate::tables::{thermistor, thermistor_table};

pub fn specs() -> Vec<Spec> {
    let mut specs = thermistors();
    specs.extend(platinum());
    specs.extend(inputs());
    specs.extend(noise());
    specs
}

fn thermistors() -> Vec<Spec> {
    vec![
        spec!(BETA_RESISTANCE => ElectricalResistance; r = "Rᵣ": ElectricalResistance in "1 kΩ .. 1 MΩ", q = "Tᵣ": ThermodynamicTemperature in "0 °C .. 100 °C", b = "B": TemperatureInterval in "2500 K .. 5000 K", t = "T": ThermodynamicTemperature in "-40 °C .. 300 °C"; Ok(beta_resistance(r, q, b, t))),
        spec!(BETA_TEMPERATURE => ThermodynamicTemperature; r = "Rᵣ": ElectricalResistance in "10 kΩ .. 200 kΩ", q = "Tᵣ": ThermodynamicTemperature in "0 °C .. 100 °C", b = "B": TemperatureInterval in "2500 K .. 5000 K", x = "R": ElectricalResistance in "50 Ω .. 1 MΩ"; Ok(beta_temperature(r, q, b, x))),
        spec!(BETA_BETWEEN => TemperatureInterval; a = "R₁": ElectricalResistance in "50 kΩ .. 200 kΩ", s = "T₁": ThermodynamicTemperature in "0 °C .. 50 °C", b = "R₂": ElectricalResistance in "1 kΩ .. 20 kΩ", t = "T₂": ThermodynamicTemperature in "60 °C .. 150 °C"; Ok(beta_between(a, s, b, t))),
        by_text::<ElectricalResistance>(&RESISTANCE_NEAR, |row| {
            resistance_near(row.get("Rₓ"), row.get("α"), row.get("Tₓ"), row.get("T")).base()
        }),
        by_text::<ThermodynamicTemperature>(&STEINHART_HART, |row| {
            let at = |degrees: f64| {
                let points = thermistor(row.text("table"));
                *points
                    .iter()
                    .find(|point| (point.0.base() - 273.15 - degrees).abs() < 0.01)
                    .expect("a row of the table")
            };
            let law = SteinhartHart::through([at(25.0), at(100.0), at(200.0)]).expect("a falling curve");
            law.temperature(row.get("R")).expect("in range").base()
        }),
        by_text::<ElectricalResistance>(&FOUR_TERM_RESISTANCE, |row| {
            disc().resistance(row.get("ϑ")).expect("in range").base()
        }),
        by_text::<ThermodynamicTemperature>(&FOUR_TERM_TEMPERATURE, |row| {
            disc().temperature(row.get("R")).expect("in range").base()
        }),
        by_text::<ElectricalResistance>(&TABLE_RESISTANCE, |row| {
            let left_out: ThermodynamicTemperature = row.get("left out");
            let rest: Vec<_> = thermistor(row.text("table"))
                .into_iter()
                .filter(|point| point.0 != left_out)
                .collect();
            RtTable::new(&rest)
                .expect("a table")
                .resistance(left_out)
                .expect("inside")
                .base()
        }),
    ]
}

/// The disc thermistor whose coefficients for both directions are published.
fn disc() -> FourTerm {
    FourTerm {
        at_25: ohm(10_000.0),
        direct_kelvin: [-14.6337, 4791.842, -115_334.0, -3.730_535e6],
        inverse_per_kelvin: [3.354_016e-3, 2.569_850e-4, 2.620_131e-6, 6.383_091e-8],
        range: quantity::Range::new(celsius(-40.0), celsius(150.5)),
    }
}

fn platinum() -> Vec<Spec> {
    vec![
        spec!(PLATINUM_RESISTANCE => ElectricalResistance; r = "R₀": ElectricalResistance in "99 Ω .. 1001 Ω", t = "ϑ": ThermodynamicTemperature in "-200 °C .. 850 °C"; platinum_resistance(r, t)),
        spec!(PLATINUM_TEMPERATURE => ThermodynamicTemperature; r = "R₀": ElectricalResistance in "99.9 Ω .. 100.1 Ω", x = "R": ElectricalResistance in "20 Ω .. 380 Ω"; platinum_temperature(r, x)),
        by_text::<TemperatureInterval>(&PLATINUM_TOLERANCE, |row| {
            let class = if row.text("class") == "A" {
                PlatinumClass::A
            } else {
                PlatinumClass::B
            };
            platinum_tolerance(class, row.get("ϑ")).base()
        }),
    ]
}

fn inputs() -> Vec<Spec> {
    vec![
        spec!(CONVERTER_STEP => ElectricPotential; u = "Uᵣ": ElectricPotential in "1 V .. 5 V", n = "N": Ratio in "8 .. 16"; Ok(converter_step(u, n))),
        by_text::<ElectricPotential>(&QUANTISATION_NOISE, |row| {
            quantisation_noise(row.get("U₁")).base()
        }),
        spec!(DIVIDER_CODE => Ratio; u = "U₀": ElectricPotential in "3 V .. 5.2 V", s = "U₁": ElectricPotential in "0.1 mV .. 5 mV", r = "R": ElectricalResistance in "10 Ω .. 1 MΩ", p = "Rₚ": ElectricalResistance in "1 kΩ .. 10 kΩ"; Ok(divider_code(u, s, r, p))),
        spec!(sampled KELVIN_PER_STEP => TemperatureInterval; s = "U₁": ElectricPotential in "0.1 mV .. 5 mV", u = "U₀": ElectricPotential in "3 V .. 5.2 V", r = "R": ElectricalResistance in "500 Ω .. 20 kΩ", p = "Rₚ": ElectricalResistance in "1 kΩ .. 10 kΩ", a = "α": TemperatureCoefficient in "-0.05 1/K .. -0.01 1/K"; Ok(kelvin_per_step(s, u, r, p, a))),
        spec!(sampled THERMOMETER_POWER => Power; u = "U₀": ElectricPotential in "3 V .. 5.2 V", r = "R": ElectricalResistance in "500 Ω .. 20 kΩ", p = "Rₚ": ElectricalResistance in "1 kΩ .. 10 kΩ"; Ok(thermometer_power(u, r, p))),
        spec!(SELF_HEATING => TemperatureInterval; p = "P": Power in "0 W .. 10 mW", g = "G": ThermalConductance in "1 mW/K .. 10 mW/K"; Ok(self_heating(p, g))),
        spec!(AMPLIFIED => ElectricPotential; g = "g": Ratio in "1 .. 100", i = "Uᵢ": ElectricPotential in "0 V .. 5 V", o = "Uₒ": ElectricPotential in "0 V .. 1 V"; Ok(amplified(g, i, o))),
        spec!(ASSUMED_RESISTANCE => ElectricalResistance; r = "R": ElectricalResistance in "50 Ω .. 1 MΩ", a = "Rₚₐ": ElectricalResistance in "1 kΩ .. 10 kΩ", p = "Rₚ": ElectricalResistance in "1 kΩ .. 10 kΩ"; Ok(assumed_resistance(r, a, p))),
        by_text::<TemperatureInterval>(&READING_ERROR, |row| {
            let scale: Ratio = row.get("scale");
            let points = thermistor(row.text("table"));
            let scaled: Vec<_> = points.into_iter().map(|(t, r)| (t, r * scale)).collect();
            let real = RtCurve::Table(RtTable::new(&scaled).expect("a table"));
            let pull_up = |symbol: &str| row.get::<ElectricalResistance>(symbol);
            reading_error(&real, pull_up("Rₚ"), &assumed(row), pull_up("Rₚₐ"), row.get("ϑ"))
                .expect("in range")
                .base()
        }),
    ]
}

fn assumed(row: &Row) -> RtCurve {
    match row.text("assumed").strip_prefix("beta ") {
        Some(beta) => {
            let at_25 = thermistor_table(row.text("table"))
                .resistance(celsius(25.0))
                .expect("a row of the table");
            RtCurve::beta(at_25, crate::driver::value(beta).nominal())
        }
        None => RtCurve::Table(thermistor_table(row.text("assumed"))),
    }
}

fn noise() -> Vec<Spec> {
    vec![
        spec!(THERMAL_NOISE => ElectricPotential; t = "T": ThermodynamicTemperature in "0 °C .. 300 °C", r = "R": ElectricalResistance in "100 Ω .. 10 kΩ", b = "B": Frequency in "1 Hz .. 100 kHz"; Ok(thermal_noise(t, r, b))),
        spec!(NOISE_IN_KELVIN => TemperatureInterval; d = "δϑ": TemperatureInterval in "0.01 K .. 1 K", n = "Uₙ": ElectricPotential in "0 mV .. 5 mV", s = "U₁": ElectricPotential in "0.1 mV .. 5 mV"; Ok(noise_in_kelvin(d, n, s))),
        spec!(AVERAGED_NOISE => TemperatureInterval; s = "σ₁": TemperatureInterval in "0 K .. 1 K", n = "n": Ratio in "1 .. 256"; Ok(averaged_noise(s, n))),
        spec!(NOISE_SUM => ElectricPotential; a = "U₁": ElectricPotential in "0 mV .. 5 mV", b = "U₂": ElectricPotential in "0 mV .. 5 mV"; Ok(noise_sum(a, b))),
        spec!(REFERENCE_ERROR => TemperatureInterval; e = "e": Ratio in "0 % .. 3 %", r = "R": ElectricalResistance in "50 Ω .. 100 kΩ", p = "Rₚ": ElectricalResistance in "1 kΩ .. 10 kΩ", a = "α": TemperatureCoefficient in "-0.05 1/K .. -0.01 1/K"; Ok(reference_error(e, r, p, a))),
    ]
}
