//! Formulas of heat by name.

use physics::heat::*;
use quantity::Number;
use quantity::si::*;

use crate::driver::{Row, Spec, by_text, spec};

pub fn specs() -> Vec<Spec> {
    let mut specs = single();
    specs.extend(bodies());
    specs
}

fn single() -> Vec<Spec> {
    vec![
        spec!(BRIDGE_LOSS => Power; i = "Iₚ": ElectricCurrent in "0 A .. 3 A", h = "R_high": ElectricalResistance in "50 mΩ .. 500 mΩ", l = "R_low": ElectricalResistance in "50 mΩ .. 500 mΩ"; Ok(bridge_loss(i, h, l))),
        spec!(SWITCHING_LOSS => Power; u = "U": ElectricPotential in "0 V .. 30 V", i = "I": ElectricCurrent in "0 A .. 20 A", a = "t_on": Time in "10 ns .. 1 µs", b = "t_off": Time in "10 ns .. 1 µs", f = "f": Frequency in "10 Hz .. 50 kHz"; Ok(switching_loss(u, i, a, b, f))),
        spec!(HOT_RESISTANCE => ElectricalResistance; r = "R₂₅": ElectricalResistance in "1 mΩ .. 100 mΩ", k = "k": Ratio in "1 .. 2"; Ok(hot_resistance(r, k))),
        spec!(JUNCTION_TEMPERATURE => ThermodynamicTemperature; a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 70 °C", p = "P": Power in "0 W .. 5 W", r = "θ": ThermalResistance in "5 K/W .. 80 K/W"; Ok(junction_temperature(a, p, r))),
        spec!(CURRENT_BORNE => ElectricCurrent; j = "ϑⱼ": ThermodynamicTemperature in "100 °C .. 150 °C", a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 90 °C", t = "θ": ThermalResistance in "5 K/W .. 80 K/W", h = "R_high": ElectricalResistance in "50 mΩ .. 500 mΩ", l = "R_low": ElectricalResistance in "50 mΩ .. 500 mΩ"; current_borne(j, a, t, h, l)),
        spec!(FINAL_TEMPERATURE => ThermodynamicTemperature; a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 50 °C", p = "P": Power in "0 W .. 80 W", g = "G": ThermalConductance in "0.05 W/K .. 1 W/K"; Ok(final_temperature(a, p, g))),
        spec!(END_BEHIND_LEAD => ThermodynamicTemperature; a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 50 °C", u = "U₀": ElectricPotential in "10 V .. 30 V", r = "R": ElectricalResistance in "2 Ω .. 20 Ω", l = "Rₗ": ElectricalResistance in "0 Ω .. 1 Ω", g = "G": ThermalConductance in "0.05 W/K .. 1 W/K"; Ok(end_behind_lead(a, u, r, l, g))),
        spec!(TIME_CONSTANT => Time; c = "C": HeatCapacity in "5 J/K .. 1000 J/K", g = "G": ThermalConductance in "0.05 W/K .. 5 W/K"; Ok(time_constant(c, g))),
        spec!(TEMPERATURE_AFTER => ThermodynamicTemperature; s = "ϑ₀": ThermodynamicTemperature in "30 °C .. 40 °C", a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 30 °C", p = "P": Power in "30 W .. 80 W", g = "G": ThermalConductance in "0.05 W/K .. 0.3 W/K", c = "C": HeatCapacity in "5 J/K .. 30 J/K", t = "t": Time in "0 s .. 600 s"; Ok(temperature_after(s, a, p, g, c, t))),
        spec!(TIME_TO => Time; s = "ϑ₀": ThermodynamicTemperature in "0 °C .. 40 °C", a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 40 °C", p = "P": Power in "40 W .. 80 W", g = "G": ThermalConductance in "0.05 W/K .. 0.12 W/K", c = "C": HeatCapacity in "5 J/K .. 30 J/K", t = "ϑ": ThermodynamicTemperature in "50 °C .. 300 °C"; Ok(time_to(t, s, a, p, g, c))),
        spec!(HOLD_DUTY => Ratio; t = "ϑ": ThermodynamicTemperature in "60 °C .. 300 °C", a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 50 °C", g = "G": ThermalConductance in "0.05 W/K .. 1 W/K", p = "P": Power in "20 W .. 80 W"; Ok(hold_duty(t, a, g, p))),
        spec!(TRACK_POWER => Power; u = "U": ElectricPotential in "10 V .. 30 V", r = "R₂₀": ElectricalResistance in "0.5 Ω .. 5 Ω", t = "ϑ": ThermodynamicTemperature in "0 °C .. 120 °C"; track_power(u, r, t)),
    ]
}

fn bodies() -> Vec<Spec> {
    vec![
        spec!(TRACK_END => ThermodynamicTemperature; a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 40 °C", u = "U": ElectricPotential in "10 V .. 30 V", r = "R₂₀": ElectricalResistance in "1 Ω .. 5 Ω", g = "G": ThermalConductance in "2 W/K .. 10 W/K"; track_end(a, u, r, g)),
        spec!(TRACK_END_BEHIND_LEAD => ThermodynamicTemperature; a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 40 °C", u = "U₀": ElectricPotential in "10 V .. 30 V", r = "R₂₀": ElectricalResistance in "1 Ω .. 5 Ω", l = "Rₗ": ElectricalResistance in "0 Ω .. 0.2 Ω", k = "k": Ratio in "1.2 .. 1.4", g = "G": ThermalConductance in "2 W/K .. 10 W/K"; track_end(a, physics::electrics::voltage_at_load(u, r * k.base(), l), r, g)),
        spec!(HELD_POWER => Power; h = "ϑ₁": ThermodynamicTemperature in "60 °C .. 120 °C", o = "ϑ₂": ThermodynamicTemperature in "20 °C .. 60 °C", a = "ϑₐ": ThermodynamicTemperature in "0 °C .. 40 °C", g = "G₁": ThermalConductance in "0.1 W/K .. 5 W/K", k = "K": ThermalConductance in "0 W/K .. 30 W/K"; Ok(held_power(h, o, a, g, k))),
        by_text::<TemperatureInterval>(&HEALTHY_RISE, healthy_rise),
        by_text::<TemperatureInterval>(&HEALTHY_RISE_OF_TWO, healthy_rise),
        by_text::<ThermodynamicTemperature>(&TWO_BODIES, |row| {
            let air: ThermodynamicTemperature = row.get("ϑₐ");
            let bodies = two_bodies(row);
            let state = match row.given.contains("R₂₀") {
                false => bodies.after(State::both(air), row.get("P"), air, row.get("t")),
                true => {
                    let part = HeatedPart {
                        bodies,
                        heater: Heater::CopperTrack(row.get("R₂₀")),
                        voltage: row.get("U"),
                        air,
                    };
                    let run = Run {
                        step: second(0.001),
                        duration: row.get("t"),
                        keep: usize::MAX,
                    };
                    part.heat_up(State::both(air), None, run)
                        .map(|moments| moments.last().expect("the end").state)
                }
            };
            let state = state.expect("bodies that lose heat");
            if row.text("of") == "1" {
                state.heated.base()
            } else {
                state.other.base()
            }
        }),
        by_text::<Time>(&PASSES, |row| {
            let (air, start): (ThermodynamicTemperature, ThermodynamicTemperature) =
                (row.get("ϑₐ"), row.get("ϑ₀"));
            let (bodies, power): (TwoBodies, Power) = (two_bodies(row), row.get("P"));
            // 1 Ω, so that the power is the square of the voltage.
            let part = HeatedPart {
                bodies,
                heater: Heater::Resistor(ohm(1.0)),
                voltage: volt(power.base().sqrt()),
                air,
            };
            let share = (bodies.coupling / (bodies.coupling + bodies.other.loss)).base();
            let other = ThermodynamicTemperature::from_base(air.base() + (start.base() - air.base()) * share);
            let start = State { heated: start, other };
            let which = if row.text("of") == "1" {
                Which::Heated
            } else {
                Which::Other
            };
            let run = Run {
                step: second(0.2),
                duration: second(2000.0),
                keep: 1,
            };
            let time = part.passes(start, which, row.get("ϑ"), run);
            time.expect("bodies that lose heat").expect("a time").base()
        }),
        spec!(RISE_IN => TemperatureInterval; t = "ϑ": ThermodynamicTemperature in "50 °C .. 240 °C", a = "ϑₐ": ThermodynamicTemperature in "10 °C .. 40 °C", p = "P": Power in "30 W .. 60 W", g = "G": ThermalConductance in "0.05 W/K .. 0.1 W/K", c = "C": HeatCapacity in "5 J/K .. 30 J/K", s = "t": Time in "1 s .. 60 s"; Ok(rise_in(t, a, p, g, c, s))),
        spec!(LOSS_WITH_SECOND => ThermalConductance; g = "G₁": ThermalConductance in "0.1 W/K .. 2 W/K", k = "K": ThermalConductance in "1 W/K .. 20 W/K", o = "G₂": ThermalConductance in "0.1 W/K .. 2 W/K"; Ok(loss_with_second(g, k, o))),
        spec!(MISSED_UNTIL => Time; h = "s": Ratio in "0.1 .. 0.3", r = "Δϑ": TemperatureInterval in "1 K .. 4 K", w = "w": Time in "5 s .. 20 s", t = "ϑ": ThermodynamicTemperature in "20 °C .. 30 °C", a = "ϑₐ": ThermodynamicTemperature in "10 °C .. 20 °C", p = "P": Power in "60 W .. 80 W", g = "G": ThermalConductance in "0.1 W/K .. 0.11 W/K", c = "C": HeatCapacity in "9 J/K .. 11 J/K"; Ok(missed_until(h, (r, w), t, a, p, g, c))),
        spec!(SLIP_NOTICED => Time; r = "Δϑ": TemperatureInterval in "1 K .. 4 K", w = "w": Time in "5 s .. 20 s", t = "ϑ": ThermodynamicTemperature in "200 °C .. 260 °C", e = "ϑₑ": ThermodynamicTemperature in "400 °C .. 600 °C", c = "τ": Time in "80 s .. 120 s", n = "ϑₛ": ThermodynamicTemperature in "30 °C .. 60 °C", b = "τₛ": Time in "5 s .. 20 s"; Ok(slip_noticed((r, w), t, (e, c), (n, b)))),
        spec!(FALL_TIME => Time; c = "τ": Time in "2 s .. 30 s", a = "ϑ₁": ThermodynamicTemperature in "200 °C .. 280 °C", b = "ϑ₂": ThermodynamicTemperature in "60 °C .. 190 °C", r = "ϑₐ": ThermodynamicTemperature in "10 °C .. 50 °C"; Ok(fall_time(c, a, b, r))),
        spec!(SLAB_CAPACITY => HeatCapacity; a = "A": Area in "100 mm² .. 0.1 m²", d = "d": Length in "1 mm .. 20 mm"; Ok(slab_capacity(Material::Aluminium, a, d))),
        spec!(SLAB_CONDUCTANCE => ThermalConductance; a = "A": Area in "100 mm² .. 0.1 m²", d = "d": Length in "1 mm .. 20 mm"; Ok(slab_conductance(Material::Glass, a, d))),
        spec!(FILM_LOSS => ThermalConductance; a = "A": Area in "100 mm² .. 0.1 m²"; Ok(film_loss(FilmCoefficient::still(), a))),
        spec!(WALL_LOSS => ThermalConductance; a = "A": Area in "100 mm² .. 0.1 m²", k = "k": Ratio in "0.5 .. 2"; Ok(wall_loss(FilmCoefficient::still(), a, k))),
        spec!(RADIATED => Power; e = "ε": Ratio in "0.05 .. 0.95", a = "A": Area in "100 mm² .. 0.1 m²", t = "T": ThermodynamicTemperature in "50 °C .. 300 °C", r = "Tₐ": ThermodynamicTemperature in "0 °C .. 40 °C"; Ok(radiated(e, a, t, r))),
        spec!(AIRFLOW_CONDUCTANCE => ThermalConductance; a = "A": Area in "100 mm² .. 0.01 m²", v = "v": Velocity in "0 m/s .. 5 m/s"; Ok(airflow_conductance(a, v))),
    ]
}

fn two_bodies(row: &Row) -> TwoBodies {
    TwoBodies {
        heated: Body {
            capacity: row.get("C₁"),
            loss: row.get("G₁"),
        },
        other: Body {
            capacity: row.get("C₂"),
            loss: row.get("G₂"),
        },
        coupling: row.get("K"),
    }
}

fn held_power(
    heated: ThermodynamicTemperature,
    other: ThermodynamicTemperature,
    air: ThermodynamicTemperature,
    loss: ThermalConductance,
    coupling: ThermalConductance,
) -> Power {
    let body = |loss| Body {
        capacity: HeatCapacity::from_base(1.0),
        loss,
    };
    let bodies = TwoBodies {
        heated: body(loss),
        other: body(ThermalConductance::from_base(1.0)),
        coupling,
    };
    bodies.held_power(State { heated, other }, air)
}

fn healthy_rise(row: &Row) -> f64 {
    let single = !row.given.contains("K =");
    let power: Power = row.get("P");
    let approach = Approach {
        part: HeatedPart {
            bodies: TwoBodies {
                heated: Body {
                    capacity: row.get("C"),
                    loss: row.get("G"),
                },
                other: Body {
                    capacity: if single {
                        joule_per_kelvin(1.0)
                    } else {
                        row.get("C₂")
                    },
                    loss: if single {
                        watt_per_kelvin(0.0)
                    } else {
                        row.get("G₂")
                    },
                },
                coupling: if single {
                    watt_per_kelvin(0.0)
                } else {
                    row.get("K")
                },
            },
            // 1 Ω, so that the power is the square of the voltage.
            heater: Heater::Resistor(ohm(1.0)),
            voltage: volt(power.base().sqrt()),
            air: row.get("ϑₐ"),
        },
        dead_time: row.get("θ"),
        setpoint: row.get("ϑₛ"),
        near: row.get("Δϑₙ"),
        pid: physics::control::Pid {
            gain: row.get("Kc"),
            integral: Some(row.get("Tᵢ")),
            derivative: second(0.0),
        },
    };
    let climb = approach.climb(second(120.0)).expect("a part that loses heat");
    climb.least_rise(row.get("w")).base()
}
