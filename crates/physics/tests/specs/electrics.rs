//! Electric formulas by name.

use physics::electrics::*;
use quantity::Number;
use quantity::si::*;

use crate::driver::{Row, Spec, by_text, spec};

pub fn specs() -> Vec<Spec> {
    let mut specs = power();
    specs.extend(wires());
    specs.extend(logic());
    specs.extend(protection());
    specs
}

fn power() -> Vec<Spec> {
    vec![
        spec!(HEATER_POWER => Power; u = "U": ElectricPotential in "0 V .. 60 V", r = "R": ElectricalResistance in "0.5 Ω .. 100 Ω"; Ok(heater_power(u, r))),
        spec!(RATED_RESISTANCE => ElectricalResistance; u = "U": ElectricPotential in "1 V .. 60 V", p = "P": Power in "1 W .. 800 W"; Ok(rated_resistance(u, p))),
        spec!(RESISTIVE_CURRENT => ElectricCurrent; u = "U": ElectricPotential in "0 V .. 60 V", r = "R": ElectricalResistance in "0.5 Ω .. 100 Ω"; Ok(resistive_current(u, r))),
        spec!(CURRENT_OF_POWER => ElectricCurrent; p = "P": Power in "0 W .. 800 W", u = "U": ElectricPotential in "1 V .. 60 V"; Ok(current_of_power(p, u))),
        spec!(POWER_OF_CURRENT => Power; u = "U": ElectricPotential in "0 V .. 60 V", i = "I": ElectricCurrent in "0 A .. 20 A"; Ok(power_of_current(u, i))),
        spec!(POWER_AT_VOLTAGE => Power; p = "Pᵣ": Power in "1 W .. 800 W", r = "Uᵣ": ElectricPotential in "5 V .. 60 V", u = "U": ElectricPotential in "0 V .. 60 V"; Ok(power_at_voltage(p, r, u))),
        spec!(PARALLEL => ElectricalResistance; a = "R₁": ElectricalResistance in "1 Ω .. 100 kΩ", b = "R₂": ElectricalResistance in "1 Ω .. 100 kΩ"; Ok(parallel(a, b))),
        spec!(REGULATOR_HEAT => Power; u = "U": ElectricPotential in "6 V .. 30 V", o = "U₀": ElectricPotential in "3.3 V .. 5 V", i = "I": ElectricCurrent in "0 A .. 2 A"; Ok(regulator_heat(u, o, i))),
        spec!(CONVERTER_CURRENT => ElectricCurrent; o = "U₀": ElectricPotential in "3.3 V .. 5 V", l = "I₀": ElectricCurrent in "0 A .. 3 A", n = "η": Ratio in "0.7 .. 0.95", u = "U": ElectricPotential in "10 V .. 30 V"; Ok(converter_current(o, l, n, u))),
        spec!(LOAD_SHARE => Ratio; p = "P": Power in "0 W .. 800 W", r = "Pᵣ": Power in "10 W .. 800 W"; Ok(load_share(p, r))),
        spec!(METERED_RESISTANCE => ElectricalResistance; a = "a": Ratio in "0.9 .. 1.1", r = "R": ElectricalResistance in "0.5 Ω .. 100 kΩ", l = "Rₗ": ElectricalResistance in "0 Ω .. 1 Ω", n = "n": Ratio in "-5 .. 5", q = "q": ElectricalResistance in "0.1 Ω .. 1 Ω"; Ok(metered_resistance(a, r, l, n, q))),
        spec!(METERED_VOLTAGE => ElectricPotential; a = "a": Ratio in "0.9 .. 1.1", u = "U": ElectricPotential in "0 V .. 60 V", n = "n": Ratio in "-5 .. 5", q = "q": ElectricPotential in "1 mV .. 100 mV"; Ok(metered_voltage(a, u, n, q))),
        by_text::<ElectricCurrent>(&CURRENT_SUM, |row| current_sum(&list(row)).base()),
        spec!(DERATED_POWER => Power; r = "Pᵣ": Power in "50 W .. 1000 W", a = "ϑ": ThermodynamicTemperature in "20 °C .. 80 °C", k = "k": TemperatureCoefficient in "0 %/K .. 3 %/K", f = "ϑ₀": ThermodynamicTemperature in "40 °C .. 60 °C"; Ok(derated_power(r, k, a, f))),
        by_text::<Power>(&POWER_SUM, |row| power_sum(&list(row)).base()),
        spec!(STRIP_CURRENT => ElectricCurrent; n = "n": Ratio in "1 .. 300", i = "I₁": ElectricCurrent in "1 mA .. 60 mA"; Ok(strip_current(n, i))),
        spec!(FRAME_TIME => Time; n = "n": Ratio in "1 .. 300", b = "b": Ratio in "24 .. 32", t = "t₁": Time in "1 µs .. 2 µs"; Ok(frame_time(n, b, t))),
    ]
}

/// The values of a row that lists them with blanks between: "n = 1 A 2 A".
pub(super) fn list<Q: quantity::Quantity>(row: &Row) -> Vec<Q> {
    row.text("n")
        .split('+')
        .map(|text| crate::driver::value::<Q>(text).nominal())
        .collect()
}

fn wires() -> Vec<Spec> {
    vec![
        spec!(COPPER_RESISTANCE => ElectricalResistance; r = "R₂₀": ElectricalResistance in "0.01 Ω .. 100 Ω", t = "ϑ": ThermodynamicTemperature in "-50 °C .. 200 °C"; copper_resistance(r, t)),
        spec!(COPPER_TEMPERATURE => ThermodynamicTemperature; r = "R₁": ElectricalResistance in "1 Ω .. 10 Ω", t = "ϑ₁": ThermodynamicTemperature in "0 °C .. 50 °C", n = "R₂": ElectricalResistance in "1 Ω .. 10 Ω"; Ok(copper_temperature(r, t, n))),
        spec!(WIRE_RESISTANCE => ResistancePerLength; s = "s": Ratio in "1 .. 1.16", a = "A": Area in "0.05 mm² .. 6 mm²"; Ok(wire_resistance(a, s))),
        spec!(LEAD_RESISTANCE => ElectricalResistance; l = "l": Length in "0 m .. 3 m", r = "R′": ResistancePerLength in "3 mΩ/m .. 350 mΩ/m", t = "ϑ": ThermodynamicTemperature in "-50 °C .. 200 °C"; lead_resistance(l, r, t)),
        spec!(LEAD_DROP => ElectricPotential; l = "l": Length in "0 m .. 3 m", r = "R′": ResistancePerLength in "3 mΩ/m .. 350 mΩ/m", t = "ϑ": ThermodynamicTemperature in "-50 °C .. 200 °C", i = "I": ElectricCurrent in "0 A .. 20 A"; lead_drop(l, r, t, i)),
        spec!(CONTACT_DROP => ElectricPotential; n = "n": Ratio in "1 .. 8", r = "Rₖ": ElectricalResistance in "1 mΩ .. 50 mΩ", i = "I": ElectricCurrent in "0 A .. 20 A"; Ok(contact_drop(n, r, i))),
        spec!(VOLTAGE_AT_LOAD => ElectricPotential; u = "U₀": ElectricPotential in "0 V .. 60 V", r = "R": ElectricalResistance in "0.5 Ω .. 100 Ω", l = "Rₗ": ElectricalResistance in "0 Ω .. 1 Ω"; Ok(voltage_at_load(u, r, l))),
        spec!(VOLTAGE_BEHIND_LEAD => ElectricPotential; u = "U₀": ElectricPotential in "0 V .. 60 V", i = "I": ElectricCurrent in "0 A .. 10 A", l = "Rₗ": ElectricalResistance in "0 Ω .. 1 Ω"; Ok(voltage_behind_lead(u, i, l))),
        spec!(POWER_BEHIND_LEAD => Power; u = "U₀": ElectricPotential in "0 V .. 60 V", r = "R": ElectricalResistance in "2 Ω .. 100 Ω", l = "Rₗ": ElectricalResistance in "0 Ω .. 1 Ω"; Ok(power_behind_lead(u, r, l))),
        spec!(LOSS => Power; i = "I": ElectricCurrent in "0 A .. 20 A", r = "R": ElectricalResistance in "1 mΩ .. 1 Ω"; Ok(loss(i, r))),
        spec!(TRACE_CURRENT => ElectricCurrent; w = "w": Length in "0.1 mm .. 20 mm", d = "d": Length in "17 µm .. 105 µm", t = "ΔT": TemperatureInterval in "5 K .. 100 K"; trace_current(w, d, t, Layer::Outer)),
        spec!(TRACE_WIDTH => Length; i = "I": ElectricCurrent in "0.1 A .. 20 A", d = "d": Length in "17 µm .. 105 µm", t = "ΔT": TemperatureInterval in "5 K .. 100 K"; trace_width(i, d, t, Layer::Outer)),
        by_text::<Time>(&OPENING_TIME, |row| {
            let class = match row.text("class") {
                "blade" => FuseClass::Blade,
                "glass quick" => FuseClass::GlassQuick,
                "glass slow" => FuseClass::GlassSlow,
                other => panic!("no fuse class {other}"),
            };
            let time = opening_time(class, row.get("I/Iᵣ")).expect("a positive multiple");
            match row.text("end") {
                "holds" => time.holds.base(),
                _ => time.opens.expect("the standard promises an end").base(),
            }
        }),
    ]
}

fn logic() -> Vec<Spec> {
    vec![
        spec!(LEVEL_NEEDED => ElectricPotential; k = "k": Ratio in "0.2 .. 0.8", u = "U_DD": ElectricPotential in "1.8 V .. 5.5 V"; Ok(level_needed(k, u))),
        spec!(HIGH_MARGIN => ElectricPotential; o = "U_out": ElectricPotential in "0 V .. 5.5 V", k = "k": Ratio in "0.2 .. 0.8", u = "U_DD": ElectricPotential in "1.8 V .. 5.5 V"; Ok(high_margin(o, k, u))),
        spec!(LOW_MARGIN => ElectricPotential; o = "U_out": ElectricPotential in "0 V .. 5.5 V", k = "k": Ratio in "0.2 .. 0.8", u = "U_DD": ElectricPotential in "1.8 V .. 5.5 V"; Ok(low_margin(o, k, u))),
        spec!(DIVIDER => ElectricPotential; u = "U₀": ElectricPotential in "0 V .. 30 V", a = "R₁": ElectricalResistance in "100 Ω .. 100 kΩ", b = "R₂": ElectricalResistance in "0 Ω .. 1 MΩ"; Ok(divider(u, a, b))),
        spec!(SERIES_RESISTOR => ElectricalResistance; s = "U₀": ElectricPotential in "6 V .. 30 V", u = "U": ElectricPotential in "0 V .. 5 V", i = "I": ElectricCurrent in "1 mA .. 1 A"; series_resistor(s, u, i)),
        spec!(FILTER_CORNER => Frequency; r = "R": ElectricalResistance in "100 Ω .. 100 kΩ", c = "C": Capacitance in "1 nF .. 100 µF"; Ok(filter_corner(r, c))),
    ]
}

fn protection() -> Vec<Spec> {
    vec![
        spec!(STRIP_DROP => ElectricPotential; r = "r": ElectricalResistance in "1 mΩ .. 50 mΩ", i = "I₁": ElectricCurrent in "1 mA .. 60 mA", n = "n": Ratio in "1 .. 300"; Ok(strip_drop(r, i, n))),
        spec!(LIGHTS_PER_FEED => Ratio; u = "ΔU": ElectricPotential in "0 V .. 2 V", r = "r": ElectricalResistance in "1 mΩ .. 50 mΩ", i = "I₁": ElectricCurrent in "1 mA .. 60 mA"; Ok(lights_per_feed(u, r, i))),
        spec!(STARVED_END => ElectricPotential; u = "Uₛ": ElectricPotential in "4.5 V .. 5.5 V", l = "Rₗ": ElectricalResistance in "0 Ω .. 50 mΩ", r = "r": ElectricalResistance in "1 mΩ .. 50 mΩ", i = "I₁": ElectricCurrent in "20 mA .. 60 mA", n = "n": Ratio in "50 .. 300", d = "U₀": ElectricPotential in "1.6 V .. 2 V", f = "U₁": ElectricPotential in "2.8 V .. 3.2 V"; Ok(starved_end((u, l), r, (i, n), (d, f)))),
        by_text::<ElectricPotential>(&STRIP_LADDER, |row| {
            let whole = |symbol: &str| row.text(symbol).parse::<usize>().expect("a whole number");
            let load = match row.text("load") {
                text if text.ends_with('A') => LightLoad::Current(row.get("load")),
                _ => LightLoad::Resistance(row.get("load")),
            };
            let feeds: Vec<usize> = row
                .text("feeds")
                .split('+')
                .map(|feed| feed.trim().parse().expect("a light"))
                .collect();
            let voltages =
                strip_voltages(row.get("U"), whole("n"), row.get("r"), load, &feeds).expect("a strip");
            voltages[whole("light")].base()
        }),
        spec!(OVERLOAD_SHARE => Ratio; k = "k₂": Ratio in "1 .. 2.1", i = "Iₙ": ElectricCurrent in "1 A .. 20 A", z = "I_z": ElectricCurrent in "1 A .. 20 A"; Ok(overload_share(k, i, z))),
        spec!(WITHSTAND_TIME => Time; a = "A": Area in "0.1 mm² .. 6 mm²", i = "I": ElectricCurrent in "10 A .. 500 A"; Ok(withstand_time(a, i))),
        spec!(CHARGE_TIME => Time; r = "R": ElectricalResistance in "10 mΩ .. 100 Ω", c = "C": Capacitance in "10 µF .. 10 mF"; Ok(charge_time(r, c))),
        spec!(INRUSH_RATING => ElectricCurrent; u = "U": ElectricPotential in "5 V .. 30 V", c = "C": Capacitance in "100 µF .. 10 mF", r = "R": ElectricalResistance in "10 mΩ .. 1 Ω", k = "k": Time in "0.1 s .. 1 s"; Ok(inrush_rating(u, c, r, k))),
        spec!(RAMP_CURRENT => ElectricCurrent; c = "C": Capacitance in "100 µF .. 10 mF", u = "U": ElectricPotential in "3 V .. 30 V", t = "t": Time in "1 ms .. 20 ms"; Ok(ramp_current(c, u, t))),
        spec!(EVEN_DROP => ElectricPotential; i = "I": ElectricCurrent in "0 A .. 5 A", r = "R": ElectricalResistance in "10 mΩ .. 2 Ω"; Ok(even_drop(i, r))),
        spec!(CHANNEL_SHARE => Ratio; u = "U": ElectricPotential in "2 V .. 6 V", d = "U₀": ElectricPotential in "2.5 V .. 3.4 V", f = "U₁": ElectricPotential in "4 V .. 5 V"; Ok(channel_share(u, d, f))),
        spec!(sampled INRUSH_AFTER => ElectricCurrent; u = "U": ElectricPotential in "5 V .. 30 V", r = "R": ElectricalResistance in "10 mΩ .. 1 Ω", t = "t": Time in "0 ms .. 1 ms", c = "C": Capacitance in "100 µF .. 10 mF"; Ok(inrush_after(u, r, c, t))),
        spec!(CONTINUOUS_CURRENT => ElectricCurrent; s = "s": Ratio in "0.5 .. 1", i = "Iᵣ": ElectricCurrent in "1 A .. 50 A"; Ok(continuous_current(s, i))),
        spec!(CONTACT_TEMPERATURE => ThermodynamicTemperature; a = "ϑₐ": ThermodynamicTemperature in "20 °C .. 60 °C", t = "ΔTᵣ": TemperatureInterval in "20 K .. 45 K", i = "I": ElectricCurrent in "0.1 A .. 10 A", k = "k": Ratio in "0.4 .. 1", r = "Iᵣ": ElectricCurrent in "1 A .. 20 A"; Ok(contact_temperature(a, t, i, k, r))),
        spec!(EVEN_SHARE => ElectricCurrent; i = "I": ElectricCurrent in "0 A .. 50 A", n = "n": Ratio in "1 .. 4"; Ok(even_share(i, n))),
        spec!(UNBUNDLED => ElectricCurrent; b = "I_b": ElectricCurrent in "1 A .. 50 A", k = "k": Ratio in "0.38 .. 1"; Ok(unbundled(b, k))),
        spec!(WARM_RATING => ElectricCurrent; i = "Iᵣ": ElectricCurrent in "1 A .. 20 A", m = "ϑₘ": ThermodynamicTemperature in "80 °C .. 105 °C", r = "ϑᵣ": ThermodynamicTemperature in "20 °C .. 30 °C", t = "ϑ": ThermodynamicTemperature in "30 °C .. 85 °C"; warm_rating(i, m, r, t)),
        by_text::<Ratio>(&BUNDLE_FACTOR, |row| {
            let count = |symbol: &str| row.text(symbol).parse::<u16>().expect("a whole number");
            let bundled = if row.given.contains("circuits") {
                Bundled::Circuits(count("circuits"))
            } else {
                Bundled::Contacts(count("contacts"))
            };
            bundle_factor(bundled).base()
        }),
    ]
}
