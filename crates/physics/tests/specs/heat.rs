//! Formulas of heat by name.

use physics::heat::*;
use quantity::si::*;

use crate::driver::{Spec, spec};

pub fn specs() -> Vec<Spec> {
    vec![
        spec!(BRIDGE_LOSS => Power; i = "Iₚ": ElectricCurrent in "0 A .. 3 A", h = "R_high": ElectricalResistance in "50 mΩ .. 500 mΩ", l = "R_low": ElectricalResistance in "50 mΩ .. 500 mΩ"; Ok(bridge_loss(i, h, l))),
        spec!(SWITCHING_LOSS => Power; u = "U": ElectricPotential in "0 V .. 30 V", i = "I": ElectricCurrent in "0 A .. 20 A", a = "t_on": Time in "10 ns .. 1 µs", b = "t_off": Time in "10 ns .. 1 µs", f = "f": Frequency in "10 Hz .. 50 kHz"; Ok(switching_loss(u, i, a, b, f))),
        spec!(HOT_RESISTANCE => ElectricalResistance; r = "R₂₅": ElectricalResistance in "1 mΩ .. 100 mΩ", k = "k": Ratio in "1 .. 2"; Ok(hot_resistance(r, k))),
        spec!(JUNCTION_TEMPERATURE => ThermodynamicTemperature; a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 70 °C", p = "P": Power in "0 W .. 5 W", r = "θ": ThermalResistance in "5 K/W .. 80 K/W"; Ok(junction_temperature(a, p, r))),
        spec!(CURRENT_BORNE => ElectricCurrent; j = "ϑⱼ": ThermodynamicTemperature in "100 °C .. 150 °C", a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 90 °C", t = "θ": ThermalResistance in "5 K/W .. 80 K/W", h = "R_high": ElectricalResistance in "50 mΩ .. 500 mΩ", l = "R_low": ElectricalResistance in "50 mΩ .. 500 mΩ"; current_borne(j, a, t, h, l)),
        spec!(FINAL_TEMPERATURE => ThermodynamicTemperature; a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 50 °C", p = "P": Power in "0 W .. 80 W", g = "G": ThermalConductance in "0.05 W/K .. 1 W/K"; Ok(final_temperature(a, p, g))),
        spec!(TIME_CONSTANT => Time; c = "C": HeatCapacity in "5 J/K .. 1000 J/K", g = "G": ThermalConductance in "0.05 W/K .. 5 W/K"; Ok(time_constant(c, g))),
        spec!(TEMPERATURE_AFTER => ThermodynamicTemperature; s = "ϑ₀": ThermodynamicTemperature in "30 °C .. 40 °C", a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 30 °C", p = "P": Power in "30 W .. 80 W", g = "G": ThermalConductance in "0.05 W/K .. 0.3 W/K", c = "C": HeatCapacity in "5 J/K .. 30 J/K", t = "t": Time in "0 s .. 600 s"; Ok(temperature_after(s, a, p, g, c, t))),
        spec!(TIME_TO => Time; s = "ϑ₀": ThermodynamicTemperature in "0 °C .. 40 °C", a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 40 °C", p = "P": Power in "40 W .. 80 W", g = "G": ThermalConductance in "0.05 W/K .. 0.12 W/K", c = "C": HeatCapacity in "5 J/K .. 30 J/K", t = "ϑ": ThermodynamicTemperature in "50 °C .. 300 °C"; Ok(time_to(t, s, a, p, g, c))),
        spec!(HOLD_DUTY => Ratio; t = "ϑ": ThermodynamicTemperature in "60 °C .. 300 °C", a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 50 °C", g = "G": ThermalConductance in "0.05 W/K .. 1 W/K", p = "P": Power in "20 W .. 80 W"; Ok(hold_duty(t, a, g, p))),
        spec!(TRACK_POWER => Power; u = "U": ElectricPotential in "10 V .. 30 V", r = "R₂₀": ElectricalResistance in "0.5 Ω .. 5 Ω", t = "ϑ": ThermodynamicTemperature in "0 °C .. 120 °C"; track_power(u, r, t)),
    ]
}
