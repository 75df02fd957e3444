//! A heated part on this board: what its heater gets at the worst corners, its body or bodies, where it ends and how fast.

use core::cell::OnceCell;

use model::machine::{Body, Detail, Heater, Part};
use model::{Element, Material, Zone};
use physics::heat::{self, HeatedPart, Run, State, TwoBodies, Which};
use physics::{Working, electrics, interval, named, try_interval, try_work, work};
use quantity::si::{
    Area, ElectricPotential, ElectricalResistance, HeatCapacity, Power, ThermalConductance,
    ThermodynamicTemperature, Time,
};
use quantity::{Number, Value, si};

use crate::facts::loads;
use crate::facts::pair::Pair;

/// A second body, warmed through the first.
#[derive(Clone, Copy, Debug)]
pub struct Second {
    /// Heat that goes over for each kelvin between the two.
    pub coupling: Value<ThermalConductance>,
    /// Its heat capacity.
    pub capacity: Value<HeatCapacity>,
    /// Heat that it loses to the room.
    pub loss: Value<ThermalConductance>,
}

/// A heater at a port, with the part that it heats.
#[derive(Clone, Debug)]
pub struct Heating<'a> {
    /// The heater at its port.
    pub pair: Pair<'a>,
    /// The heater.
    pub heater: &'a Heater,
    /// The voltage at the beginning of its lead: at the port, or at the external switch.
    pub port_voltage: Value<ElectricPotential>,
    /// Resistance of its lead, out and back, contacts included.
    pub cable: Value<ElectricalResistance>,
    /// The room.
    pub room: Value<ThermodynamicTemperature>,
    /// Heat capacity of the heated body; `None` where the file tells neither it nor bodies.
    pub capacity: Option<Value<HeatCapacity>>,
    /// Heat that the heated body loses to the room; `None` where the file does not tell it.
    pub loss: Option<Value<ThermalConductance>>,
    /// The second body, where the file describes one.
    pub second: Option<Second>,
    voltage: OnceCell<Value<ElectricPotential>>,
    whole_loss: OnceCell<Value<ThermalConductance>>,
}

impl<'a> Heating<'a> {
    /// The heater of a pair with its voltage, behind a lead of that resistance; `None` for other devices.
    #[must_use]
    pub fn of(
        pair: &Pair<'a>,
        port_voltage: Value<ElectricPotential>,
        cable: Value<ElectricalResistance>,
    ) -> Option<Self> {
        let Detail::Heater(heater) = &pair.device().detail else {
            return None;
        };
        let second = heater
            .coupling
            .zip(heater.second_conductance)
            .and_then(|(coupling, loss)| {
                let stated = heater.second_capacity.map(|stated| stated.value);
                let capacity = stated.or_else(|| capacity_of(&heater.bodies, true))?;
                Some(Second {
                    coupling: coupling.value,
                    capacity,
                    loss: loss.value,
                })
            });
        Some(Self {
            pair: *pair,
            heater,
            port_voltage,
            cable,
            room: pair.swap.ambient.temperature.value,
            capacity: heater
                .heat_capacity
                .map(|stated| stated.value)
                .or_else(|| capacity_of(&heater.bodies, false)),
            loss: heater.thermal_conductance.map(|stated| stated.value),
            second,
            voltage: OnceCell::new(),
            whole_loss: OnceCell::new(),
        })
    }

    /// The highest temperature that is asked of it.
    #[must_use]
    pub fn working(&self) -> Value<ThermodynamicTemperature> {
        self.heater.working_temperature.value
    }

    /// Its resistance at 20 °C.
    #[must_use]
    pub fn at_20(&self) -> Value<ElectricalResistance> {
        loads::resistance_at(self.heater, Value::exact(si::celsius(20.0)))
    }

    /// The voltage at the heater when it is hot, behind its lead.
    #[must_use]
    pub fn voltage(&self) -> Value<ElectricPotential> {
        *self.voltage.get_or_init(|| self.voltage_at(self.working()))
    }

    /// The voltage at the heater behind its lead, with its track at a temperature.
    fn voltage_at(&self, at: Value<ThermodynamicTemperature>) -> Value<ElectricPotential> {
        let inputs = (
            self.port_voltage,
            loads::resistance_at(self.heater, at),
            self.cable,
        );
        interval(inputs, |(supply, load, cable)| {
            electrics::voltage_at_load(supply, load, cable)
        })
    }

    /// How [`Self::voltage`] comes about.
    #[must_use]
    pub fn voltage_working(&self) -> Working {
        let hot = loads::resistance_at(self.heater, self.working());
        let inputs = (
            named("U₀", "voltage at the beginning of its lead", self.port_voltage),
            named("R", "heater, hot", hot),
            named("Rₗ", "its lead, out and back, with contacts", self.cable),
        );
        let at_load = |(supply, load, cable)| electrics::voltage_at_load(supply, load, cable);
        work(&electrics::VOLTAGE_AT_LOAD, "U", inputs, at_load).working
    }

    /// Its power as it begins to heat, in the room: a copper track gives the most there.
    #[must_use]
    pub fn power_when_cold(&self) -> Value<Power> {
        self.power(self.voltage_at(self.room), self.room)
    }

    /// How [`Self::power_when_cold`] comes about.
    #[must_use]
    pub fn power_when_cold_working(&self) -> Working {
        self.power_working(
            self.voltage_at(self.room),
            self.room,
            "resistance of the heater, cold",
        )
    }

    /// Its power when hot.
    #[must_use]
    pub fn power_when_hot(&self) -> Value<Power> {
        self.power(self.voltage(), self.working())
    }

    /// How [`Self::power_when_hot`] comes about.
    #[must_use]
    pub fn power_when_hot_working(&self) -> Working {
        self.power_working(self.voltage(), self.working(), "resistance of the heater, hot")
    }

    fn power(&self, voltage: Value<ElectricPotential>, at: Value<ThermodynamicTemperature>) -> Value<Power> {
        let inputs = (voltage, loads::resistance_at(self.heater, at));
        interval(inputs, |(u, r)| electrics::heater_power(u, r))
    }

    fn power_working(
        &self,
        voltage: Value<ElectricPotential>,
        at: Value<ThermodynamicTemperature>,
        what: &'static str,
    ) -> Working {
        let inputs = (
            named("U", "voltage at the heater", voltage),
            named("R", what, loads::resistance_at(self.heater, at)),
        );
        let power = |(u, r)| electrics::heater_power(u, r);
        work(&electrics::HEATER_POWER, "P", inputs, power).working
    }

    /// The power from hot at the least to cold at the most, for what must hold all the way.
    #[must_use]
    pub fn power_all_the_way(&self) -> Value<Power> {
        let hot = loads::resistance_at(self.heater, self.working());
        let cold = loads::resistance_at(self.heater, self.room);
        let low = electrics::voltage_at_load(self.port_voltage.low(), hot.high(), self.cable.high());
        Value::between(
            electrics::heater_power(low, hot.high()),
            electrics::heater_power(self.port_voltage.nominal(), hot.nominal()),
            electrics::heater_power(self.port_voltage.high(), cold.low()),
        )
    }

    /// What leaves the heated body once all is at rest, per kelvin above the room, over the second body too where there is one.
    #[must_use]
    pub fn whole_loss(&self) -> Option<Value<ThermalConductance>> {
        let own = self.loss?;
        let Some(second) = self.second else {
            return Some(own);
        };
        Some(*self.whole_loss.get_or_init(|| {
            interval((own, second.coupling, second.loss), |(own, coupling, second)| {
                heat::loss_with_second(own, coupling, second)
            })
        }))
    }

    /// How [`Self::whole_loss`] comes about over a second body.
    #[must_use]
    pub fn whole_loss_working(&self) -> Option<Working> {
        let own = self.loss?;
        let second = self.second?;
        let inputs = (
            named("G₁", "loss of the heated body", own),
            named("K", "heat over to the second body, per kelvin", second.coupling),
            named("G₂", "loss of the second body", second.loss),
        );
        let loss = |(own, coupling, second)| heat::loss_with_second(own, coupling, second);
        Some(work(&heat::LOSS_WITH_SECOND, "G", inputs, loss).working)
    }

    /// Where it ends with its heater on for ever, at a voltage at the heater; `None` where its loss is not known.
    ///
    /// A copper track beyond the range of its law is taken to keep the resistance it has at 200 °C: an upper bound.
    #[must_use]
    pub fn end(&self, voltage: Value<ElectricPotential>) -> Option<Value<ThermodynamicTemperature>> {
        let loss = self.whole_loss()?;
        if self.heater.element == Element::Copper {
            let inputs = (self.room, voltage, self.at_20(), loss);
            let inside = try_interval(inputs, |(air, u, r, g)| heat::track_end(air, u, r, g));
            if let Ok(inside) = inside {
                return Some(inside);
            }
        }
        let inputs = (self.room, self.power_at_200(voltage), loss);
        Some(interval(inputs, |(air, power, loss)| {
            heat::final_temperature(air, power, loss)
        }))
    }

    fn power_at_200(&self, voltage: Value<ElectricPotential>) -> Value<Power> {
        self.power(voltage, Value::exact(si::celsius(200.0)))
    }

    /// How [`Self::end`] comes about.
    #[must_use]
    pub fn end_working(&self, voltage: Value<ElectricPotential>) -> Option<Working> {
        let loss = named("G", "heat lost per kelvin above the room", self.whole_loss()?);
        let air = named("ϑₐ", "room", self.room);
        if self.heater.element == Element::Copper {
            let inputs = (
                air.clone(),
                named("U", "voltage at the heater", voltage),
                named("R₂₀", "copper track at 20 °C", self.at_20()),
                loss.clone(),
            );
            let inside = try_work(&heat::TRACK_END, "ϑ", inputs, |(air, u, r, g)| {
                heat::track_end(air, u, r, g)
            });
            if let Ok(inside) = inside {
                return Some(inside.working);
            }
        }
        let inputs = (
            air,
            named("P", "power of the heater", self.power_at_200(voltage)),
            loss,
        );
        let end = |(air, power, loss)| heat::final_temperature(air, power, loss);
        Some(work(&heat::FINAL_TEMPERATURE, "ϑ", inputs, end).working)
    }

    /// Power, loss and heat capacity as one lumped body that is at no corner slower or faster than the part: for what must hold for it.
    #[must_use]
    pub fn lumped(&self) -> Option<(Value<Power>, Value<ThermalConductance>, Value<HeatCapacity>)> {
        let (own, capacity) = (self.loss?, self.capacity?);
        let power = self.power_all_the_way();
        let Some(second) = self.second else {
            return Some((power, own, capacity));
        };
        let whole = self.whole_loss()?;
        // With the second body still cold, or not yet there: at most all that goes over is lost, at least nothing.
        let loss = Value::between(own.low(), whole.nominal(), whole.high());
        let all = capacity + second.capacity;
        // Where the second body loses less than the first, the last kelvins are slower than those of one body of both capacities: the
        // slower of the two rates of the pair is no less than with its capacity taken so many times.
        let (coupling, other) = (second.coupling.low(), second.loss.low());
        let factor = ((own.high() + coupling) / (other + coupling)).base().max(1.0);
        let capacity = Value::between(
            capacity.low(),
            all.nominal(),
            capacity.high() + second.capacity.high() * factor,
        );
        Some((power, loss, capacity))
    }

    /// The part at one corner of its tolerances; `None` where its body is not known.
    #[must_use]
    pub fn corner(&self, corner: Corner) -> Option<HeatedPart> {
        self.corner_of(corner, corner)
    }

    /// The part with its power at one corner and all that is warmed at another; `None` where its body is not known.
    #[must_use]
    pub fn corner_of(&self, power: Corner, corner: Corner) -> Option<HeatedPart> {
        let (loss, capacity) = (self.loss?, self.capacity?);
        let hot = loads::resistance_at(self.heater, self.working());
        let at_cable = |supply, load, cable| electrics::voltage_at_load(supply, load, cable);
        let (voltage, resistance) = match power {
            Corner::Slowest => (
                at_cable(self.port_voltage.low(), hot.low(), self.cable.high()),
                self.at_20().high(),
            ),
            Corner::Nominal => (
                at_cable(self.port_voltage.nominal(), hot.nominal(), self.cable.nominal()),
                self.at_20().nominal(),
            ),
            Corner::Fastest => (self.port_voltage.high(), self.at_20().low()),
        };
        let heater = match self.heater.element {
            Element::Copper => heat::Heater::CopperTrack(resistance),
            Element::Alloy => heat::Heater::Resistor(resistance),
        };
        let none = (
            Value::exact(ThermalConductance::from_base(0.0)),
            Value::exact(HeatCapacity::from_base(1.0)),
            Value::exact(ThermalConductance::from_base(0.0)),
        );
        let (coupling, second_capacity, second_conductance) = self
            .second
            .map_or(none, |second| (second.coupling, second.capacity, second.loss));
        Some(HeatedPart {
            bodies: TwoBodies {
                heated: heat::Body {
                    capacity: corner.slow_high(capacity),
                    loss: corner.slow_high(loss),
                },
                other: heat::Body {
                    capacity: corner.slow_high(second_capacity),
                    loss: corner.slow_high(second_conductance),
                },
                coupling: corner.slow_high(coupling),
            },
            heater,
            voltage,
            air: corner.slow_low(self.room),
        })
    }

    /// The time in which the heated body comes from the room to a temperature at one corner; `None` where it never does, or where its
    /// body is not known.
    #[must_use]
    pub fn heat_up_time(&self, corner: Corner, goal: ThermodynamicTemperature) -> Option<Time> {
        let part = self.corner(corner)?;
        time_to(&part, State::both(part.air), Which::Heated, goal)
    }

    /// Everything of which the file, or the catalogue, says what it bears, weakest first.
    #[must_use]
    pub fn weak_parts(&self) -> Vec<WeakPart> {
        let named = self.heater.parts.iter().map(|part: &Part| WeakPart {
            name: part.name.value.clone(),
            bears: part.temperature_limit.value,
            second: part.second && self.second.is_some(),
        });
        let weakest = self.heater.temperature_limit.iter().map(|bears| WeakPart {
            name: "weakest part".to_owned(),
            bears: bears.value,
            second: false,
        });
        let mut parts: Vec<WeakPart> = named.chain(weakest).chain(self.thermometer_part()).collect();
        parts.sort_by(|one, other| one.bears.low().base().total_cmp(&other.bears.low().base()));
        parts
    }

    /// What a part gets to, from the end of the heated body: the second one ends colder by what it loses.
    #[must_use]
    pub fn at_part(
        &self,
        part: &WeakPart,
        end: Value<ThermodynamicTemperature>,
    ) -> Value<ThermodynamicTemperature> {
        let Some(second) = self.second.filter(|_| part.second) else {
            return end;
        };
        let of = |air: ThermodynamicTemperature, hot: ThermodynamicTemperature, share: f64| {
            ThermodynamicTemperature::from_base(air.base() + (hot.base() - air.base()) * share)
        };
        let share = |k: ThermalConductance, g: ThermalConductance| (k / (k + g)).base();
        let (k, g) = (second.coupling, second.loss);
        Value::corners(|at| of(self.room.at(at), end.at(at), share(k.at(at), g.at(at.other()))))
    }

    /// Between which temperatures of the heated body a cut-out may open: above what is asked of it with its overshoot, and before any part is past
    /// what it bears; `None` where there is no room between the two, or nothing is known to be weak.
    #[must_use]
    pub fn cut_out_window(&self) -> Option<(ThermodynamicTemperature, ThermodynamicTemperature)> {
        let from = self.overshot().high();
        // A part on the second body stays colder; what is right for the first is safe for it.
        let to = self.weak_parts().first()?.bears.low();
        (from < to).then_some((from, to))
    }

    /// The highest temperature that is asked of it, with the overshoot of its control.
    #[must_use]
    pub fn overshot(&self) -> Value<ThermodynamicTemperature> {
        let over = self.pair.limits().heater_overshoot.value.high().base();
        self.working()
            .map(|asked| ThermodynamicTemperature::from_base(asked.base() + over))
    }

    /// The lowest temperature that something bears; cheaper than [`Self::weak_parts`].
    #[must_use]
    pub fn weakest(&self) -> Option<Value<ThermodynamicTemperature>> {
        let named = self.heater.parts.iter().map(|part| part.temperature_limit.value);
        let weakest = self.heater.temperature_limit.map(|bears| bears.value);
        named
            .chain(weakest)
            .reduce(|least, next| if next.low() < least.low() { next } else { least })
    }

    /// The element of the thermometer that belongs to this part.
    fn thermometer_part(&self) -> Option<WeakPart> {
        let swap = self.pair.swap;
        let mut devices = swap.machine.device_ids();
        devices.find_map(|(_, device)| match &device.detail {
            Detail::Thermometer(thermometer) if thermometer.zone == self.heater.zone => {
                let row = swap.catalogue.thermometers().get(&thermometer.sensor.value)?;
                Some(WeakPart {
                    name: format!("range of the thermometer {}", device.tag),
                    bears: Value::exact(row.usable.high()),
                    second: false,
                })
            }
            _ => None,
        })
    }

    /// From a change of power to the first change at the thermometer.
    #[must_use]
    pub fn dead_time(&self) -> Value<Time> {
        let limits = self.pair.limits();
        self.heater.dead_time.map_or_else(
            || match self.heater.zone {
                Zone::HotEnd => limits.hotend_dead_time.value,
                Zone::Bed | Zone::Chamber => limits.bed_dead_time.value,
            },
            |stated| stated.value,
        )
    }
}

/// Something that bears no more than a temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct WeakPart {
    /// What it is.
    pub name: String,
    /// What it bears.
    pub bears: Value<ThermodynamicTemperature>,
    /// Whether it has the temperature of the second body.
    pub second: bool,
}

/// A corner of the tolerances of a heated part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Corner {
    /// Lowest voltage, highest resistance, most to warm, most lost, coldest room.
    Slowest,
    /// Every value as it is named.
    Nominal,
    /// Highest voltage without loss in the lead, lowest resistance, least to warm, least lost, warmest room.
    Fastest,
}

impl Corner {
    fn slow_high<Q: Number>(self, value: Value<Q>) -> Q {
        match self {
            Corner::Slowest => value.high(),
            Corner::Nominal => value.nominal(),
            Corner::Fastest => value.low(),
        }
    }
    fn slow_low<Q: Number>(self, value: Value<Q>) -> Q {
        match self {
            Corner::Slowest => value.low(),
            Corner::Nominal => value.nominal(),
            Corner::Fastest => value.high(),
        }
    }
}

/// The longest heat-up that is followed.
const FOLLOWED_S: f64 = 7200.0;

/// When a body of a part passes a temperature with its heater on; `None` where it does not within two hours.
///
/// The step is a four-hundredth of the part's own time constant: the power of a track hardly changes within one.
#[must_use]
pub fn time_to(
    part: &HeatedPart,
    start: State,
    which: Which,
    goal: ThermodynamicTemperature,
) -> Option<Time> {
    // What rests below the goal is not followed for hours.
    let end = part.failed_closed().ok()?;
    let rests = match which {
        Which::Heated => end.heated,
        Which::Other => end.other,
    };
    if rests < goal {
        return None;
    }
    // A step is exact for a constant power, however fast heat goes over to the second body: only the power must hardly change within one.
    let constant = heat::time_constant(part.bodies.heated.capacity, part.bodies.heated.loss);
    let step = (constant.base() / 400.0).clamp(0.02, 1.0);
    let run = Run {
        step: si::second(step),
        duration: si::second(FOLLOWED_S.min(step * 20_000.0)),
        keep: 1,
    };
    part.passes(start, which, goal, run).ok().flatten()
}

/// The heat capacity of the bodies of one place; `None` where none is described.
#[must_use]
pub fn capacity_of(bodies: &[Body], second: bool) -> Option<Value<HeatCapacity>> {
    let of = |body: &Body| {
        let [x, y, z] = body.size;
        let slab = |x: si::Length, y: si::Length, z: si::Length| {
            heat::slab_capacity(material(body.material), Area::from_base(x.base() * y.base()), z)
        };
        Value::corners(|end| slab(x.at(end), y.at(end), z.at(end)))
    };
    let mut bodies = bodies.iter().filter(|body| body.second == second).map(of);
    let first = bodies.next()?;
    Some(bodies.fold(first, |sum, next| sum + next))
}

/// The heat capacities of the bodies, each with its working.
pub(crate) fn body_workings(heater: &Heater, second: bool) -> Vec<Working> {
    let bodies = heater.bodies.iter().filter(|body| body.second == second);
    let of = |body: &Body| {
        let [x, y, z] = body.size;
        let area = Value::corners(|end| Area::from_base(x.at(end).base() * y.at(end).base()));
        let inputs = (
            named("A", format!("{}: area of the {}", body.name, body.material), area),
            named("d", "its thickness", z),
        );
        work(&heat::SLAB_CAPACITY, "C", inputs, |(area, thickness)| {
            heat::slab_capacity(material(body.material), area, thickness)
        })
        .working
    };
    bodies.map(of).collect()
}

fn material(word: Material) -> heat::Material {
    match word {
        Material::Aluminium => heat::Material::Aluminium,
        Material::Copper => heat::Material::Copper,
        Material::Brass => heat::Material::Brass,
        Material::Steel => heat::Material::Steel,
        Material::Glass => heat::Material::Glass,
    }
}
