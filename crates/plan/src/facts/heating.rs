//! A heated part on this board: what its heater gets at the worst corners, its body or bodies, where it ends and how fast.

use core::cell::OnceCell;

use model::machine::{Body, Detail, Heater, Part};
use model::{Element, Material, Zone};
use physics::heat::{self, HeatedPart, Run, State, TwoBodies, Which};
use physics::{OutOfRange, Working, electrics, interval, named, try_interval, try_work, work};
use quantity::si::{
    Area, ElectricPotential, ElectricalResistance, HeatCapacity, Power, ThermalConductance,
    ThermodynamicTemperature, Time,
};
use quantity::{End, Number, Value, si};

use crate::facts::loads;
use crate::facts::pair::{Pair, heated_name};

/// The voltage that a heater gets, where `fed` is that at the beginning of its cable: behind a relay that of its load.
#[must_use]
pub fn voltage(pair: &Pair<'_>, fed: Option<Value<ElectricPotential>>) -> Option<Value<ElectricPotential>> {
    match &pair.device().detail {
        Detail::Heater(heater) if heater.relay.is_some() => Some(load_voltage(heater)),
        _ => fed,
    }
}

/// The voltage of a relay's load: as stated, else the mains with the tolerance that supply systems keep.
fn load_voltage(heater: &Heater) -> Value<ElectricPotential> {
    /// Of the nominal voltage. IEC 60038, from memory.
    const MAINS_TOLERANCE: f64 = 0.1;
    let stated = heater.voltage.value;
    if stated.is_exact() {
        Value::relative(stated.nominal(), MAINS_TOLERANCE)
    } else {
        stated
    }
}

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
    /// The voltage at the port, or at the external switch, with everything else off.
    pub port_voltage: Value<ElectricPotential>,
    /// What is left of it beside all others: they load the cable of the supply.
    pub fed: Value<ElectricPotential>,
    /// What lies in series with it: its cable, out and back, with contacts, the switch of its port, and the cable of the supply.
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
    power_when_hot: OnceCell<Value<Power>>,
    whole_loss: OnceCell<Value<ThermalConductance>>,
}

impl<'a> Heating<'a> {
    /// The heater of a pair with its voltage, behind what lies in series; `None` for other devices.
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
            fed: port_voltage,
            cable,
            room: pair.swap.ambient.temperature.value,
            capacity: heater
                .heat_capacity
                .map(|stated| stated.value)
                .or_else(|| capacity_of(&heater.bodies, false)),
            loss: heater.thermal_conductance.map(|stated| stated.value),
            second,
            voltage: OnceCell::new(),
            power_when_hot: OnceCell::new(),
            whole_loss: OnceCell::new(),
        })
    }

    /// The same with so much less at its port: what others lose in the cable of the supply.
    #[must_use]
    pub fn beside(&self, others: Value<ElectricPotential>) -> Self {
        let port = self.port_voltage;
        Self {
            fed: Value::corners(|end| port.at(end) - others.at(end.other())),
            voltage: OnceCell::new(),
            power_when_hot: OnceCell::new(),
            ..self.clone()
        }
    }

    /// What is heated, as a sentence names it: see [`heated_name`].
    #[must_use]
    pub fn name(&self) -> String {
        heated_name(self.pair.device())
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

    /// The voltage at the heater when it is hot, behind what lies in series with it.
    #[must_use]
    pub fn voltage(&self) -> Value<ElectricPotential> {
        let inputs = (self.fed, self.resistance(self.working()), self.cable);
        *self.voltage.get_or_init(|| {
            interval(inputs, |(supply, load, lead)| {
                electrics::voltage_at_load(supply, load, lead)
            })
        })
    }

    /// How [`Self::voltage`] comes about.
    #[must_use]
    pub fn voltage_working(&self) -> Working {
        let inputs = (
            named("U₀", FEED, self.fed),
            named("R", "heater, hot", self.resistance(self.working())),
            named("Rₗ", IN_SERIES, self.cable),
        );
        let at_load = |(supply, load, cable)| electrics::voltage_at_load(supply, load, cable);
        work(&electrics::VOLTAGE_AT_LOAD, "U", inputs, at_load).working
    }

    fn resistance(&self, at: Value<ThermodynamicTemperature>) -> Value<ElectricalResistance> {
        loads::resistance_at(self.heater, at)
    }

    /// Its power as it begins to heat, in the room: a copper track gives the most there.
    #[must_use]
    pub fn power_when_cold(&self) -> Value<Power> {
        self.power(self.room)
    }

    /// How [`Self::power_when_cold`] comes about.
    #[must_use]
    pub fn power_when_cold_working(&self) -> Working {
        self.power_working(self.room, "resistance of the heater, cold")
    }

    /// Its power when hot.
    #[must_use]
    pub fn power_when_hot(&self) -> Value<Power> {
        *self.power_when_hot.get_or_init(|| self.power(self.working()))
    }

    /// How [`Self::power_when_hot`] comes about.
    #[must_use]
    pub fn power_when_hot_working(&self) -> Working {
        self.power_working(self.working(), "resistance of the heater, hot")
    }

    /// One expression from the port on: the resistance of the heater stands in its voltage as well as in its power.
    fn power(&self, at: Value<ThermodynamicTemperature>) -> Value<Power> {
        let inputs = (self.fed, self.resistance(at), self.cable);
        interval(inputs, |(u, r, l)| electrics::power_behind_lead(u, r, l))
    }

    fn power_working(&self, at: Value<ThermodynamicTemperature>, what: &'static str) -> Working {
        let inputs = (
            named("U₀", FEED, self.fed),
            named("R", what, self.resistance(at)),
            named("Rₗ", IN_SERIES, self.cable),
        );
        let power = |(u, r, l)| electrics::power_behind_lead(u, r, l);
        work(&electrics::POWER_BEHIND_LEAD, "P", inputs, power).working
    }

    /// The power from hot at the least to cold at the most, for what must hold all the way.
    #[must_use]
    pub fn power_all_the_way(&self) -> Value<Power> {
        let hot = self.power_when_hot();
        let cold = self.resistance(self.room).low();
        Value::between(
            hot.low(),
            hot.nominal(),
            electrics::heater_power(self.port_voltage.high(), cold),
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

    /// Where it ends with its heater on for ever; `None` where its loss is not known.
    ///
    /// A copper track beyond the range of its law is taken to keep the resistance it has at 200 °C: an upper bound.
    #[must_use]
    pub fn end(&self) -> Option<Value<ThermodynamicTemperature>> {
        self.end_behind(self.fed, self.cable)
    }

    /// Where it ends with its heater on for ever at the whole voltage of the port: what lies in series only makes it less.
    #[must_use]
    pub fn end_at_most(&self) -> Option<Value<ThermodynamicTemperature>> {
        self.end_behind(self.port_voltage, Value::exact(si::ohm(0.0)))
    }

    fn end_behind(
        &self,
        fed: Value<ElectricPotential>,
        lead: Value<ElectricalResistance>,
    ) -> Option<Value<ThermodynamicTemperature>> {
        let loss = self.whole_loss()?;
        if self.heater.element == Element::Copper {
            let inputs = (self.room, fed, self.at_20(), lead, loss);
            let inside = try_interval(inputs, |(air, u, r, l, g)| self.track_end((air, u, r, l, g)));
            if let Ok(inside) = inside {
                return Some(inside);
            }
        }
        let inputs = (self.room, fed, self.hottest_resistance(), lead, loss);
        Some(interval(inputs, |(air, u, r, l, g)| {
            heat::end_behind_lead(air, u, r, l, g)
        }))
    }

    /// The end of a copper track with what its voltage is at the working temperature.
    fn track_end(
        &self,
        (air, port, at_20, lead, loss): (
            ThermodynamicTemperature,
            ElectricPotential,
            ElectricalResistance,
            ElectricalResistance,
            ThermalConductance,
        ),
    ) -> Result<ThermodynamicTemperature, OutOfRange> {
        let hot = at_20 * loads::copper_factor(self.working().nominal()).base();
        heat::track_end(air, electrics::voltage_at_load(port, hot, lead), at_20, loss)
    }

    fn hottest_resistance(&self) -> Value<ElectricalResistance> {
        self.resistance(Value::exact(si::celsius(200.0)))
    }

    /// How [`Self::end`] comes about.
    #[must_use]
    pub fn end_working(&self) -> Option<Working> {
        self.end_working_behind(self.fed, self.cable)
    }

    /// How [`Self::end_at_most`] comes about.
    #[must_use]
    pub fn end_at_most_working(&self) -> Option<Working> {
        self.end_working_behind(self.port_voltage, Value::exact(si::ohm(0.0)))
    }

    fn end_working_behind(
        &self,
        fed: Value<ElectricPotential>,
        lead: Value<ElectricalResistance>,
    ) -> Option<Working> {
        let loss = named("G", "heat lost per kelvin above the room", self.whole_loss()?);
        let air = named("ϑₐ", "room", self.room);
        let port = named("U₀", FEED, fed);
        let lead = named("Rₗ", IN_SERIES, lead);
        if self.heater.element == Element::Copper {
            let hot = loads::copper_factor(self.working().nominal());
            let inputs = (
                air.clone(),
                port.clone(),
                named("R₂₀", "copper track at 20 °C", self.at_20()),
                lead.clone(),
                named(
                    "k",
                    "its resistance at the working temperature, in times that",
                    Value::exact(hot),
                ),
                loss.clone(),
            );
            let inside = try_work(
                &heat::TRACK_END_BEHIND_LEAD,
                "ϑ",
                inputs,
                |(air, u, r, l, _, g)| self.track_end((air, u, r, l, g)),
            );
            if let Ok(inside) = inside {
                return Some(inside.working);
            }
        }
        let inputs = (
            air,
            port,
            named("R", "heater, hot", self.hottest_resistance()),
            lead,
            loss,
        );
        let end = |(air, u, r, l, g)| heat::end_behind_lead(air, u, r, l, g);
        Some(work(&heat::END_BEHIND_LEAD, "ϑ", inputs, end).working)
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
        // Without the loss in its cable, the fastest is an upper bound.
        let (fed, lead) = match power {
            Corner::Fastest => (self.port_voltage, Value::exact(si::ohm(0.0))),
            Corner::Slowest | Corner::Nominal => (self.fed, self.cable),
        };
        let slow = corner.slow();
        self.part((power.slow().other(), fed, lead), (slow, slow, slow))
    }

    /// The part with the power of its heater at one end behind what lies in series with it, and heat lost, heat stored, and what goes over to
    /// a second body each at an end of its own; `None` where its body is not known. The air goes with the heat lost.
    #[must_use]
    pub fn part(
        &self,
        (power, fed, lead): (End, Value<ElectricPotential>, Value<ElectricalResistance>),
        (lost, stored, over): (End, End, End),
    ) -> Option<HeatedPart> {
        let (loss, capacity) = (self.loss?, self.capacity?);
        let resists = power.other();
        let voltage = electrics::voltage_at_load(
            fed.at(power),
            self.resistance(self.working()).at(resists),
            lead.at(resists),
        );
        let at_20 = self.at_20().at(resists);
        let heater = match self.heater.element {
            Element::Copper => heat::Heater::CopperTrack(at_20),
            Element::Alloy => heat::Heater::Resistor(at_20),
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
                    capacity: capacity.at(stored),
                    loss: loss.at(lost),
                },
                other: heat::Body {
                    capacity: second_capacity.at(stored),
                    loss: second_conductance.at(lost),
                },
                coupling: coupling.at(over),
            },
            heater,
            voltage,
            air: self.room.at(lost.other()),
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

    /// What a part gets to: the second body ends colder than the heated one by what it loses.
    #[must_use]
    pub fn at_part(
        &self,
        part: &WeakPart,
        end: Value<ThermodynamicTemperature>,
    ) -> Value<ThermodynamicTemperature> {
        let Some(second) = self.second.filter(|_| part.second) else {
            return end;
        };
        let Some(own) = self.loss else { return end };
        // Heat goes over in the end of the heated body as well as in what it leaves: both at one corner.
        let whole = self.whole_loss().unwrap_or(own);
        let (room, k, g) = (self.room, second.coupling, second.loss);
        Value::corners(|at| {
            let (own, g, k) = (own.at(at.other()), g.at(at.other()), k.at(at));
            let corner = heat::loss_with_second(own, k, g);
            let heated = end.at(at).base() - room.at(at).base();
            let rise = heated * (whole.at(at.other()) / corner).base() * (k / (k + g)).base();
            ThermodynamicTemperature::from_base(room.at(at).base() + rise)
        })
    }

    /// What a part has where the heated body is held at a temperature: the second one stays colder.
    #[must_use]
    pub fn held_at(
        &self,
        part: &WeakPart,
        held: Value<ThermodynamicTemperature>,
    ) -> Value<ThermodynamicTemperature> {
        let Some(second) = self.second.filter(|_| part.second) else {
            return held;
        };
        let (room, k, g) = (self.room, second.coupling, second.loss);
        Value::corners(|at| {
            let share = (k.at(at) / (k.at(at) + g.at(at.other()))).base();
            let air = room.at(at).base();
            ThermodynamicTemperature::from_base(air + (held.at(at).base() - air) * share)
        })
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

    /// Of which body nobody stated what it bears: "heated body"; `None` where each has a part with a limit, or the weakest part of all is stated.
    #[must_use]
    pub fn without_limit(&self) -> Option<&'static str> {
        if self.heater.temperature_limit.is_some() {
            return None;
        }
        let lacks = |second: bool| !self.heater.parts.iter().any(|part| part.second == second);
        if lacks(false) {
            return Some("heated body");
        }
        (self.second.is_some() && lacks(true)).then_some("second body")
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
    /// The end of what makes a part slower where there is more of it.
    fn slow(self) -> End {
        match self {
            Corner::Slowest => End::High,
            Corner::Nominal => End::Nominal,
            Corner::Fastest => End::Low,
        }
    }
}

/// What feeds a heater, for a working.
const FEED: &str = "voltage at the port";
/// What lies between it and the heater, for a working.
pub(crate) const IN_SERIES: &str =
    "in series: its cable and contacts, the output switch, the cable of the supply";

/// The longest heat-up that is followed.
const FOLLOWED_S: f64 = 7200.0;

/// When a body of a part passes a temperature with its heater on; `None` where it does not within two hours.
///
/// The step is a hundredth of the part's own time constant: the power of a track hardly changes within one.
#[must_use]
pub fn time_to(
    part: &HeatedPart,
    start: State,
    which: Which,
    goal: ThermodynamicTemperature,
) -> Option<Time> {
    // What rests below the goal is not followed for hours.
    let end = part.switch_short().ok()?;
    let rests = match which {
        Which::Heated => end.heated,
        Which::Other => end.other,
    };
    if rests < goal {
        return None;
    }
    // A step is exact for a constant power, however fast heat goes over to the second body: only the power must hardly change within one.
    let constant = heat::time_constant(part.bodies.heated.capacity, part.bodies.heated.loss);
    let step = (constant.base() / 100.0).clamp(0.02, 4.0);
    let run = Run {
        step: si::second(step),
        duration: si::second(FOLLOWED_S.min(step * 5_000.0)),
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
