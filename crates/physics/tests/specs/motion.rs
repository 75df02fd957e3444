//! Formulas of motors and axes by name.

use physics::direction::{CoilOrder, TURN_SENSE, turn_sense};
use physics::motion::*;
use quantity::Number;
use quantity::si::*;

use crate::driver::{Row, Spec, by_text, spec};

pub fn specs() -> Vec<Spec> {
    let mut specs = travel();
    specs.extend(currents());
    specs.extend(windings());
    specs.extend(torques());
    specs.extend(kinematics());
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
        spec!(LOAD_LAG => Length; h = "h": Length in "2 mm .. 60 mm", m = "M": Torque in "0 N m .. 0.1 N m", k = "Mₕ": Torque in "0.1 N m .. 0.5 N m", n = "Nᵣ": Ratio in "50 .. 100"; load_lag(h, m, k, n)),
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
        spec!(SERIES_CURRENT => ElectricCurrent; a = "I₁": ElectricCurrent in "0 A .. 3 A", b = "I₂": ElectricCurrent in "0 A .. 3 A"; Ok(series_current(a, b))),
    ]
}

fn torques() -> Vec<Spec> {
    vec![
        by_text::<Torque>(&PULL_OUT, |row| {
            let drive = MotorDrive {
                holding: row.get("Mₕ"),
                rated: row.get("Iᵣ"),
                resistance: row.get("R"),
                inductance: row.get("L"),
                rotor_teeth: row.get("Nᵣ"),
                supply: row.get("U"),
                current: row.get("I"),
                drag: row.get("τ"),
            };
            drive.torque(row.get("ω")).base()
        }),
        spec!(AXIS_FORCE => Force; m = "m": Mass in "0.1 kg .. 3 kg", a = "a": Acceleration in "0 m/s² .. 20 m/s²", s = "s": Ratio in "0 .. 1", f = "Fᵣ": Force in "0 N .. 20 N"; Ok(axis_force(m, a, s, f))),
        spec!(AXIS_TORQUE => Torque; f = "F": Force in "0 N .. 100 N", h = "h": Length in "1 mm .. 60 mm", n = "η": Ratio in "0.2 .. 1"; Ok(axis_torque(f, h, n))),
        spec!(REACHABLE_ACCELERATION => Acceleration; m = "M": Torque in "0.3 N m .. 0.5 N m", h = "h": Length in "8 mm .. 40 mm", n = "η": Ratio in "0.8 .. 1", f = "Fᵣ": Force in "0 N .. 5 N", k = "m": Mass in "0.1 kg .. 2 kg", s = "s": Ratio in "0 .. 1"; Ok(reachable_acceleration(m, h, n, f, k, s))),
        spec!(ROTOR_MASS => Mass; j = "J": MomentOfInertia in "10 g cm² .. 300 g cm²", h = "h": Length in "1 mm .. 60 mm"; Ok(rotor_mass(j, h))),
        spec!(CORNER_SPEED => Velocity; a = "a": Acceleration in "0 m/s² .. 20 m/s²", d = "δ": Length in "0.01 mm .. 0.5 mm"; Ok(corner_speed(a, d))),
        spec!(PEAK_SPEED => Velocity; a = "a": Acceleration in "0 m/s² .. 20 m/s²", l = "l": Length in "0 mm .. 400 mm"; Ok(peak_speed(a, l))),
        spec!(DEVIATION_RADIUS => Length; d = "d": Length in "0.01 mm .. 0.2 mm", t = "θ": Angle in "0 ° .. 175 °"; Ok(deviation_radius(d, t))),
        spec!(CHORD_RADIUS => Length; l = "l": Length in "0.01 mm .. 10 mm", t = "θ": Angle in "0 ° .. 175 °"; Ok(chord_radius(l, t))),
        spec!(CURVE_SPEED => Velocity; a = "a": Acceleration in "0 m/s² .. 20 m/s²", r = "R": Length in "0 mm .. 400 mm"; Ok(curve_speed(a, r))),
        spec!(MOVE_TIME => Time; l = "l": Length in "1 mm .. 200 mm", v = "v": Velocity in "60 mm/s .. 300 mm/s", a = "a": Acceleration in "1 m/s² .. 3 m/s²", v0 = "v₀": Velocity in "0 mm/s .. 30 mm/s", v1 = "v₁": Velocity in "0 mm/s .. 30 mm/s"; Ok(move_time(l, v, a, v0, v1))),
        spec!(LOOK_AHEAD_SPEED => Velocity; a = "a": Acceleration in "0 m/s² .. 20 m/s²", n = "n": Ratio in "1 .. 32", l = "l": Length in "0.01 mm .. 10 mm"; Ok(look_ahead_speed(a, n, l))),
    ]
}

/// The travel of one motor, by its number from 0.
fn travel_of(kinematics: Kinematics, row: &Row) -> f64 {
    let place = Place {
        x: row.get("x"),
        y: row.get("y"),
        z: row.get("z"),
    };
    let motor: usize = row.text("motor").parse().expect("a number");
    kinematics.travels(place).expect("in reach")[motor].base()
}

fn kinematics() -> Vec<Spec> {
    vec![
        by_text::<Length>(&CROSSED_BELTS, |row| travel_of(Kinematics::CrossedBelts, row)),
        by_text::<Length>(&DELTA_CARRIAGE, |row| {
            travel_of(
                Kinematics::Delta {
                    arm: row.get("L"),
                    radius: row.get("radius"),
                },
                row,
            )
        }),
        by_text::<Force>(&MOTOR_FORCES, |row| {
            let kinematics = match row.text("of") {
                "crossed belts" => Kinematics::CrossedBelts,
                "belt bed" => Kinematics::BeltBed { tilt: row.get("α") },
                _ => Kinematics::Delta {
                    arm: row.get("L"),
                    radius: row.get("radius"),
                },
            };
            let zero = millimetre(0.0);
            let (x, y) = match row.text("of") {
                "delta" => (row.get("x"), row.get("y")),
                _ => (zero, zero),
            };
            let force = [row.get("fx"), row.get("fy"), row.get("fz")];
            let motor: usize = row.text("motor").parse().expect("a number");
            let forces = kinematics
                .forces(Place { x, y, z: zero }, force)
                .expect("in reach");
            forces[motor].base()
        }),
        by_text::<Frequency>(&LARGEST_SUM, |row| {
            let kinematics = match row.text("of") {
                "crossed belts" => Kinematics::CrossedBelts,
                _ => Kinematics::Delta {
                    arm: row.get("L"),
                    radius: row.get("radius"),
                },
            };
            let zero = millimetre(0.0);
            let (x, y) = match row.text("of") {
                "delta" => (row.get("x"), row.get("y")),
                _ => (zero, zero),
            };
            let rates = ["f0", "f1", "f2"].map(|rate| row.get(rate));
            let sum = kinematics.largest_sum(Place { x, y, z: zero }, &rates);
            sum.expect("in reach").base()
        }),
        by_text::<Length>(&BELT_BED, |row| {
            travel_of(Kinematics::BeltBed { tilt: row.get("α") }, row)
        }),
    ]
}
