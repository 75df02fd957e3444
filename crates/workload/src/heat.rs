//! Heaters and fans over the time of a program: temperatures, power, energy, and whether the supply has it.

use core::f64::consts::PI;

use physics::heat::{HeatedPart, State, Stepper};
use quantity::Number as _;
use quantity::si::{Power, ThermodynamicTemperature, Time};

use crate::given::{Heat, Setup, Zone};
use crate::segment::Wait;

/// All heaters and fans of a machine at work.
#[derive(Debug)]
pub(crate) struct Heating<'s> {
    heat: &'s Heat,
    warm: Vec<Warm>,
    /// Share of full speed, and energy.
    pub fans: Vec<(f64, f64)>,
    /// The most power of all heaters together, at the worst corner, with its line.
    pub peak: (f64, u64),
    /// Time for which they exceed the supply, and where first.
    pub over: (f64, Option<(f64, u64)>),
    /// Targets that were given up, with the line of the first.
    pub out_of_reach: (u64, Option<u64>),
    /// Heat that a cubic metre takes up for one kelvin.
    per_volume: f64,
}

/// One heater.
#[derive(Debug)]
struct Warm {
    target: Option<f64>,
    state: State,
    /// The stepper of the last step, kept as long as steps are equal.
    stepper: Option<(f64, Stepper)>,
    /// Whether it stands at its target.
    there: bool,
    pub energy: f64,
    /// The most that holding and melting took of full power, with its line.
    pub hold: (f64, u64),
    /// Power under way.
    power: f64,
}

/// What one heater did.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct HeaterSum {
    pub energy: f64,
    pub hold: (f64, u64),
}

impl<'s> Heating<'s> {
    pub fn new(setup: &'s Setup) -> Self {
        let heat = &setup.heat;
        let cold = |part: Option<HeatedPart>| {
            let air = part.map_or(heat.melt.room, |part| part.air);
            Warm {
                target: None,
                state: State::both(air),
                stepper: None,
                there: false,
                energy: 0.0,
                hold: (0.0, 0),
                power: 0.0,
            }
        };
        Self {
            heat,
            warm: heat.heaters.iter().map(|heater| cold(heater.part)).collect(),
            fans: vec![(0.0, 0.0); heat.fans.len()],
            peak: (0.0, 0),
            over: (0.0, None),
            out_of_reach: (0, None),
            per_volume: heat.melt.density.base() * heat.melt.heat.base(),
        }
    }

    fn find(&self, zone: Zone) -> Option<usize> {
        self.heat.heaters.iter().position(|heater| heater.zone == zone)
    }

    /// Sets a target; the heater it is for.
    pub fn target(&mut self, zone: Zone, target: Option<ThermodynamicTemperature>) -> Option<usize> {
        let at = self.find(zone)?;
        self.warm[at].target = target.map(quantity::Number::base);
        self.warm[at].there = false;
        Some(at)
    }

    pub fn fan(&mut self, number: usize, share: f64) {
        if let Some(fan) = self.fans.get_mut(number) {
            fan.0 = share;
        }
    }

    /// Whether a heater is where a program waits for it.
    pub fn is_there(&self, at: usize, wait: Wait) -> bool {
        let warm = &self.warm[at];
        let Some(target) = warm.target else { return true };
        let off = warm.state.heated.base() - target;
        let within = self.heat.within.base();
        off >= -within && (wait != Wait::Both || off <= within)
    }

    /// Whether the heater's behaviour is known.
    pub fn is_known(&self, at: usize) -> bool {
        self.heat.heaters[at].part.is_some()
    }

    /// Heaters by number.
    pub fn count(&self) -> usize {
        self.warm.len()
    }

    /// Lets time pass. `melted` is the volume that the hot end of a tool melts meanwhile. Returns the power of the heaters, nominal.
    pub fn pass(&mut self, time: f64, melted: (f64, usize), now: f64, line: u64) -> f64 {
        let (mut nominal, mut most) = (0.0, 0.0);
        for (warm, heater) in self.warm.iter_mut().zip(&self.heat.heaters) {
            let Some(part) = &heater.part else { continue };
            let melts = heater.zone == Zone::HotEnd(melted.1);
            let (volume, room) = if melts {
                (melted.0, self.heat.melt.room.base())
            } else {
                (0.0, 0.0)
            };
            let taken = volume / time * self.per_volume * (warm.state.heated.base() - room).max(0.0);
            warm.pass(part, time, taken, line, self.heat.within.base());
            nominal += warm.power;
            most += warm.power * heater.surplus.base();
        }
        if most > self.peak.0 {
            self.peak = (most, line);
        }
        if self.heat.supply.is_some_and(|supply| most > supply.base()) {
            self.over.0 += time;
            self.over.1.get_or_insert((now, line));
        }
        for ((share, energy), fan) in self.fans.iter_mut().zip(&self.heat.fans) {
            *energy += *share * fan.power.base() * time;
        }
        nominal
    }

    /// What each heater did.
    pub fn sums(&self) -> Vec<HeaterSum> {
        let sum = |warm: &Warm| HeaterSum {
            energy: warm.energy,
            hold: warm.hold,
        };
        self.warm.iter().map(sum).collect()
    }

    /// Power of the fans under way.
    pub fn fan_power(&self) -> f64 {
        let fans = self.fans.iter().zip(&self.heat.fans);
        fans.map(|((share, _), fan)| share * fan.power.base()).sum()
    }
}

impl Warm {
    /// One step at the power that reaches the target and no more; `taken` leaves with the plastic.
    fn pass(&mut self, part: &HeatedPart, time: f64, taken: f64, line: u64, within: f64) {
        let stepper = match self.stepper {
            Some((of, stepper)) if of == time => stepper,
            _ => match part.bodies.stepper(Time::from_base(time)) {
                Ok(stepper) => {
                    self.stepper = Some((time, stepper));
                    stepper
                }
                // Bodies without capacity or loss: nothing can be said.
                Err(_) => return,
            },
        };
        let after = |power: f64| stepper.step(self.state, Power::from_base(power - taken), part.air);
        let full = part.heater.power(part.voltage, self.state.heated).base();
        self.power = match self.target {
            None => 0.0,
            Some(target) => {
                // The step is linear in the power: the one that ends at the target.
                let (low, high) = (after(0.0).heated.base(), after(full).heated.base());
                let wanted = if high > low {
                    full * (target - low) / (high - low)
                } else {
                    full
                };
                self.there |= self.state.heated.base() >= target - within;
                let hold = (part.bodies.held_power(self.state, part.air).base() + taken) / full;
                if self.there && hold > self.hold.0 {
                    self.hold = (hold, line);
                }
                wanted.clamp(0.0, full)
            }
        };
        self.state = after(self.power);
        self.energy += self.power * time;
    }
}

/// Area of a round filament.
pub(crate) fn area(diameter: f64) -> f64 {
    PI / 4.0 * diameter * diameter
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::given::{Heater, Melt};
    use physics::heat::{self, Body, TwoBodies};
    use quantity::si::{
        HeatCapacity, ThermalConductance, celsius, joule_per_kilogram_kelvin, kelvin,
        kilogram_per_cubic_metre, ohm, ratio, second, volt, watt,
    };

    /// 48 W on 13 J/K that lose 0.14 W/K: a single body, the second one hangs on by nothing.
    fn part() -> HeatedPart {
        let body = |capacity, loss| Body {
            capacity: HeatCapacity::from_base(capacity),
            loss: ThermalConductance::from_base(loss),
        };
        HeatedPart {
            bodies: TwoBodies {
                heated: body(13.0, 0.14),
                other: body(1.0, 0.0),
                coupling: ThermalConductance::from_base(0.0),
            },
            heater: heat::Heater::Resistor(ohm(12.0)),
            voltage: volt(24.0),
            air: celsius(20.0),
        }
    }

    pub(crate) fn heat() -> Heat {
        Heat {
            heaters: vec![Heater {
                name: "hot end".into(),
                zone: Zone::HotEnd(0),
                part: Some(part()),
                surplus: ratio(1.1),
            }],
            fans: Vec::new(),
            supply: Some(watt(50.0)),
            melt: Melt {
                density: kilogram_per_cubic_metre(1250.0),
                heat: joule_per_kilogram_kelvin(2000.0),
                room: celsius(20.0),
                limit: None,
            },
            within: kelvin(1.0),
            longest_wait: second(3600.0),
        }
    }

    fn heating(heat: &Heat) -> Heating<'_> {
        // Only the heat of a setup is read.
        Heating {
            heat,
            warm: vec![Warm {
                target: None,
                state: State::both(celsius(20.0)),
                stepper: None,
                there: false,
                energy: 0.0,
                hold: (0.0, 0),
                power: 0.0,
            }],
            fans: Vec::new(),
            peak: (0.0, 0),
            over: (0.0, None),
            out_of_reach: (0, None),
            per_volume: 1250.0 * 2000.0,
        }
    }

    /// The closed form of one body is the peer, from `physics`, where it is held against published values.
    #[test]
    fn the_heat_up_takes_the_time_of_the_closed_form() {
        let heat = heat();
        let mut heating = heating(&heat);
        heating.target(Zone::HotEnd(0), Some(celsius(210.0)));
        let mut seconds = 0.0;
        while !heating.is_there(0, Wait::Heating) {
            heating.pass(0.05, (0.0, 0), seconds, 1);
            seconds += 0.05;
        }
        // From 20 °C to 209 °C at 48 W.
        let lag: f64 = 13.0 / 0.14;
        let expected = -lag * (1.0_f64 - 189.0 / (48.0 / 0.14)).ln();
        assert!((seconds - expected).abs() < 0.1, "{seconds} {expected}");
        assert!((heating.sums()[0].energy / (48.0 * seconds) - 1.0).abs() < 1e-9);
        // 52.8 W at the worst corner are more than 50 W, all the way.
        assert!((heating.over.0 - seconds).abs() < 0.1);
    }

    /// Held at 210 °C it loses 26.6 W; 10 mm³/s of plastic take 4.75 W more.
    #[test]
    fn holding_and_melting_add_up() {
        let heat = heat();
        let mut heating = heating(&heat);
        heating.target(Zone::HotEnd(0), Some(celsius(210.0)));
        let mut power = 0.0;
        for second in 0..600 {
            power = heating.pass(1.0, (1e-8, 0), f64::from(second), 1);
        }
        assert!((power - (26.6 + 4.75)).abs() < 1e-3, "{power}");
        assert!((heating.sums()[0].hold.0 - (26.6 + 4.75) / 48.0).abs() < 1e-3);
    }
}
