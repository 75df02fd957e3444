//! Formulas of motors and axes by name.

use physics::direction::{CoilOrder, TURN_SENSE, turn_sense};
use physics::motion::*;
use quantity::si::*;

use crate::driver::{Spec, by_text, spec};

pub fn specs() -> Vec<Spec> {
    let mut specs = travel();
    specs.extend(currents());
    specs.extend(windings());
    specs
}

fn travel() -> Vec<Spec> {
    vec![
        spec!(STEP_ANGLE => Angle; m = "m": Ratio in "2 .. 5", n = "Nᵣ": Ratio in "25 .. 100"; Ok(step_angle(m, n))),
        spec!(BELT_STEPS => StepDensity; a = "φ": Angle in "0.9 ° .. 1.8 °", n = "n": Ratio in "1 .. 256", i = "i": Ratio in "1 .. 5", p = "p": Length in "2 mm .. 5 mm", z = "z": Ratio in "12 .. 40"; Ok(belt_steps(a, n, i, p, z))),
        spec!(SCREW_STEPS => StepDensity; a = "φ": Angle in "0.9 ° .. 1.8 °", n = "n": Ratio in "1 .. 256", i = "i": Ratio in "1 .. 5", h = "h": Length in "1 mm .. 10 mm"; Ok(screw_steps(a, n, i, h))),
        spec!(ROLLER_STEPS => StepDensity; a = "φ": Angle in "0.9 ° .. 1.8 °", n = "n": Ratio in "1 .. 256", i = "i": Ratio in "1 .. 5", d = "d": Length in "5 mm .. 12 mm"; Ok(roller_steps(a, n, i, d))),
        spec!(SCALED_STEPS => StepDensity; s = "s₀": StepDensity in "50 step/mm .. 3200 step/mm", n = "n": Ratio in "1 .. 256", o = "n₀": Ratio in "1 .. 256"; Ok(scaled_steps(s, n, o))),
        spec!(TRAVEL_PER_STEP => Length; s = "s": StepDensity in "50 step/mm .. 3200 step/mm"; Ok(travel_per_step(s))),
        spec!(STEP_RATE => Frequency; v = "v": Velocity in "0 mm/s .. 500 mm/s", s = "s": StepDensity in "50 step/mm .. 3200 step/mm"; Ok(step_rate(v, s))),
        spec!(SPEED_OF_STEP_RATE => Velocity; f = "f": Frequency in "0 Hz .. 200 kHz", s = "s": StepDensity in "50 step/mm .. 3200 step/mm"; Ok(speed_of_step_rate(f, s))),
        spec!(TURN_RATE => AngularVelocity; v = "v": Velocity in "0 mm/s .. 500 mm/s", s = "s": StepDensity in "50 step/mm .. 3200 step/mm", n = "n": Ratio in "1 .. 256", a = "φ": Angle in "0.9 ° .. 1.8 °"; Ok(turn_rate(v, s, n, a))),
        spec!(MICROSTEP_TORQUE => Torque; m = "Mₕ": Torque in "0.1 N m .. 1 N m", n = "n": Ratio in "1 .. 256"; Ok(microstep_torque(m, n))),
        by_text::<Ratio>(&TURN_SENSE, |row| {
            let order = |symbol: &str| CoilOrder::parse(row.text(symbol)).expect("four coil ends");
            // An order that drives no coil is written as 0 in the rows.
            turn_sense(order("lead"), order("port")).map_or(0.0, |sense| f64::from(sense.sign()))
        }),
    ]
}

fn currents() -> Vec<Spec> {
    vec![
        spec!(GAIN_CURRENT => ElectricCurrent; u = "Uᵣ": ElectricPotential in "0.1 V .. 3 V", g = "g": Ratio in "5 .. 20", r = "Rₛ": ElectricalResistance in "0.05 Ω .. 0.3 Ω"; Ok(gain_current(u, g, r))),
        spec!(GAIN_REFERENCE => ElectricPotential; g = "g": Ratio in "5 .. 20", r = "Rₛ": ElectricalResistance in "0.05 Ω .. 0.3 Ω", i = "I": ElectricCurrent in "0.1 A .. 3 A"; Ok(gain_reference(g, r, i))),
        spec!(SCALE_CURRENT => ElectricCurrent; u = "Uᵣ": ElectricPotential in "0.1 V .. 3 V", k = "k": ElectricalResistance in "0.5 Ω .. 3 Ω"; Ok(scale_current(u, k))),
        spec!(SCALE_REFERENCE => ElectricPotential; k = "k": ElectricalResistance in "0.5 Ω .. 3 Ω", i = "I": ElectricCurrent in "0.1 A .. 3 A"; Ok(scale_reference(k, i))),
        spec!(BUS_CURRENT => ElectricCurrent; f = "I₁": ElectricCurrent in "1 A .. 3 A", k = "k": Ratio in "1 .. 32", n = "n": Ratio in "8 .. 32"; Ok(bus_current(f, k, n))),
        spec!(RMS_OF_PEAK => ElectricCurrent; p = "Iₚ": ElectricCurrent in "0 A .. 3 A"; Ok(rms_of_peak(p))),
        spec!(MICROSTEP_CURRENT => ElectricCurrent; p = "Iₚ": ElectricCurrent in "0 A .. 3 A", k = "k": Ratio in "0 .. 8", n = "n": Ratio in "8 .. 16"; Ok(microstep_current(p, k, n))),
    ]
}

fn windings() -> Vec<Spec> {
    vec![
        spec!(BACK_EMF => ElectricPotential; m = "Mₕ": Torque in "0.1 N m .. 1 N m", i = "Iᵣ": ElectricCurrent in "0.5 A .. 3 A", w = "ω": AngularVelocity in "0 rev/s .. 20 rev/s"; Ok(back_emf(m, i, w))),
        spec!(TORQUE_AT_CURRENT => Torque; m = "Mₕ": Torque in "0.1 N m .. 1 N m", i = "I": ElectricCurrent in "0 A .. 3 A", r = "Iᵣ": ElectricCurrent in "0.5 A .. 3 A"; Ok(torque_at_current(m, r, i))),
        spec!(VOLTAGE_AT_SPEED => ElectricPotential; r = "R": ElectricalResistance in "0.5 Ω .. 5 Ω", i = "I": ElectricCurrent in "0 A .. 3 A", e = "E": ElectricPotential in "0 V .. 20 V", n = "Nᵣ": Ratio in "50 .. 100", w = "ω": AngularVelocity in "0 rev/s .. 20 rev/s", l = "L": Inductance in "1 mH .. 10 mH"; Ok(voltage_at_speed(r, l, i, e, n, w))),
        spec!(CURRENT_AT_SPEED => ElectricCurrent; u = "U": ElectricPotential in "10 V .. 30 V", r = "R": ElectricalResistance in "0.5 Ω .. 5 Ω", e = "E": ElectricPotential in "0 V .. 32 V", n = "Nᵣ": Ratio in "50 .. 100", w = "ω": AngularVelocity in "0 rev/s .. 20 rev/s", l = "L": Inductance in "1 mH .. 10 mH"; Ok(current_at_speed(u, r, l, e, n, w))),
        spec!(CURRENT_RISE => ElectricCurrent; u = "U": ElectricPotential in "10 V .. 30 V", r = "R": ElectricalResistance in "0.5 Ω .. 10 Ω", t = "t": Time in "0 ms .. 5 ms", l = "L": Inductance in "1 mH .. 10 mH"; Ok(current_rise(u, r, l, t))),
        spec!(VOLTAGE_FOR_RISE => ElectricPotential; i = "I": ElectricCurrent in "0 A .. 3 A", r = "R": ElectricalResistance in "0.5 Ω .. 10 Ω", t = "t": Time in "0.1 ms .. 5 ms", l = "L": Inductance in "1 mH .. 10 mH"; Ok(voltage_for_rise(i, r, l, t))),
        spec!(WINDING_TIME => Time; l = "L": Inductance in "1 mH .. 10 mH", r = "R": ElectricalResistance in "0.5 Ω .. 10 Ω"; Ok(winding_time(l, r))),
        spec!(REVERSAL_TIME => Time; l = "L": Inductance in "1 mH .. 10 mH", i = "I": ElectricCurrent in "0 A .. 3 A", u = "U": ElectricPotential in "10 V .. 30 V"; Ok(reversal_time(l, i, u))),
        spec!(SIGNAL_SHARE => Ratio; e = "E": ElectricPotential in "0 V .. 10 V", f = "E₀": ElectricPotential in "0.1 V .. 2 V"; Ok(signal_share(e, f))),
        spec!(SERIES => ElectricalResistance; a = "R₁": ElectricalResistance in "0.5 Ω .. 5 Ω", b = "R₂": ElectricalResistance in "0.5 Ω .. 5 Ω"; Ok(series(a, b))),
        spec!(CURRENT_SHARE => ElectricCurrent; i = "I": ElectricCurrent in "0 A .. 3 A", a = "R₁": ElectricalResistance in "0.5 Ω .. 5 Ω", b = "R₂": ElectricalResistance in "0.5 Ω .. 5 Ω"; Ok(current_share(i, a, b))),
    ]
}
