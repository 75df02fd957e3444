//! What the families of steps look at, and the list that they fill.

use model::board::RailId;
use model::machine::Detail;
use model::{DeviceKind, Pin};
use physics::{electrics, named, work};
use plan::{Pair, Plan, Setup};
use quantity::si::{ElectricPotential, ElectricalResistance, Ratio};
use quantity::{Number, Value, si};
use settings::Settings;

use crate::step::{Expected, Needs, Part, Step};

/// What every step with power comes after: the board alone, its image, its settings.
pub(crate) const GATES: [&str; 3] = ["power-board", "image", "settings-told"];

/// Everything that a family of steps may look at.
pub(crate) struct Job<'a> {
    /// The plan.
    pub plan: &'a Plan<'a>,
    /// Its assignment.
    pub setup: Setup<'a>,
    /// Its settings.
    pub settings: &'a Settings,
    /// The steps so far, in order.
    pub list: Vec<Step>,
}

impl<'a> Job<'a> {
    pub fn push(&mut self, step: Step) {
        self.list.push(step);
    }
    /// Adds a step that has parts, where there is any.
    pub fn push_parted(&mut self, step: Step) {
        if !step.parts.is_empty() {
            self.push(step);
        }
    }
    /// Whether a step or part of that identifier is in the list.
    pub fn has(&self, id: &str) -> bool {
        self.ids().any(|own| own == id)
    }
    /// Identifiers of all steps so far and of their parts.
    fn ids(&self) -> impl Iterator<Item = &str> {
        self.list.iter().flat_map(|step| {
            let parts = step.parts.iter().map(|part| part.id.as_str());
            core::iter::once(step.id.as_str()).chain(parts)
        })
    }
    /// A step that comes after another one, where that one is in the list.
    pub fn following(&self, step: Step, id: &str) -> Step {
        if self.has(id) { step.after(id) } else { step }
    }
    /// A part that comes after another step or part, where that one is in the list.
    pub fn part_following(&self, part: Part, id: &str) -> Part {
        if self.has(id) { part.after(id) } else { part }
    }
    /// Identifiers of all steps and parts so far that begin so.
    pub fn all(&self, beginning: &str) -> Vec<String> {
        let own = self.ids().filter(|id| id.starts_with(beginning));
        own.map(str::to_owned).collect()
    }
    /// The connected devices of a kind, in the order of the machine.
    pub fn of_kind(&self, kind: DeviceKind) -> Vec<Pair<'a>> {
        self.setup
            .pairs()
            .filter(|pair| pair.device().kind() == kind && pair.device().plug().is_none())
            .collect()
    }
    /// The further plugs of a connected device, as pairs.
    pub fn further(&self, pair: &Pair<'_>) -> Vec<Pair<'a>> {
        let own = pair.id;
        let further = |pair: &Pair<'_>| pair.device().plug().is_some_and(|plug| plug.of == own);
        self.setup.pairs().filter(further).collect()
    }
    /// The tag of the plug in which the signal of a connected device runs.
    pub fn signal_tag(&self, pair: &Pair<'_>) -> String {
        let machine = &self.setup.swap.machine;
        let carrier = machine.carrier(pair.id, Pin::Signal).unwrap_or(pair.id);
        machine.device(carrier).tag.value.clone()
    }
    /// The connected heaters, those behind relays among them, in the order of the machine.
    pub fn heaters(&self) -> Vec<Pair<'a>> {
        self.setup
            .pairs()
            .filter(|pair| matches!(pair.device().detail, Detail::Heater(_)))
            .collect()
    }
    /// The motors that have an axis of this name, as pairs.
    pub fn motors(&self) -> Vec<Pair<'a>> {
        self.of_kind(DeviceKind::Motor)
    }
    /// The name of the axis of a motor.
    pub fn axis_name(&self, pair: &Pair<'_>) -> &'a str {
        let axis = match &pair.device().detail {
            Detail::Motor(motor) => motor.axis,
            _ => model::machine::AxisId(0),
        };
        &self.setup.swap.machine.axis(axis).name.value
    }
    /// 1 with the relative error of a hand-held meter as its tolerance, for resistances.
    pub fn meter(&self) -> Value<Ratio> {
        Value::relative(
            si::ratio(1.0),
            self.setup.limits().meter_resistance_accuracy.value.high().value,
        )
    }
    /// The same for voltages.
    pub fn voltmeter(&self) -> Value<Ratio> {
        Value::relative(
            si::ratio(1.0),
            self.setup.limits().meter_voltage_accuracy.value.high().value,
        )
    }
    /// How many steps of its display a meter may be off, both ways.
    pub fn digits(&self) -> Value<Ratio> {
        let digits = self.setup.limits().meter_digits.value.high();
        Value::between(-digits, si::ratio(0.0), digits)
    }
    /// One step of the display of a meter that shows a resistance.
    pub fn ohm_step(&self, reading: ElectricalResistance) -> ElectricalResistance {
        let limits = self.setup.limits();
        electrics::display_step(
            reading,
            limits.meter_counts.value.nominal(),
            limits.meter_ohm_step.value.nominal(),
        )
    }
    /// A step that comes after the [`GATES`], where it has power.
    pub fn power_gate(&self, step: Step) -> Step {
        if step.needs == Needs::Unplugged {
            return step;
        }
        GATES
            .into_iter()
            .fold(step, |step, gate| self.following(step, gate))
    }
    /// A part of a device with its further plugs and their ports.
    pub fn with_plugs(&self, part: Part, pair: &Pair<'_>) -> Part {
        self.further(pair).iter().fold(part, |part, further| {
            self.part_following(part.at(further), &format!("poles:{}", further.device().tag))
        })
    }
    /// A part that measures what feeds a device before the device meets it: at its port, or at its own converter.
    pub fn supplied(&self, part: Part, pair: &Pair<'_>) -> Part {
        let tag = &pair.device().tag.value;
        let part = self.with_plugs(part, pair);
        let pin = |wanted: Pin| pair.port().pins.iter().position(|pin| pin.value == wanted);
        let rail = pair.way.rail.filter(|_| !pair.way.own_supply);
        match (rail, pin(Pin::Plus), pin(Pin::Minus)) {
            (Some(rail), Some(plus), Some(minus)) => {
                let (plus, minus) = (plus + 1, minus + 1);
                let what = format!("supply before it is plugged in, pin {plus} (+) to pin {minus} (−)");
                part.expect(self.metered_voltage(&what, self.rail(rail)))
            }
            _ => self.part_following(part, &format!("converter:{tag}")),
        }
    }
    /// The voltage of a rail, with the usual tolerance where its file states none.
    pub fn rail(&self, rail: RailId) -> Value<ElectricPotential> {
        let limits = self.setup.limits();
        let usual = if self.setup.board.rail(rail).made.is_some() {
            limits.rail_voltage_tolerance.value
        } else {
            limits.supply_voltage_tolerance.value
        };
        tolerated(self.setup.rail_voltage(rail), usual)
    }
    /// What a voltmeter shows.
    pub fn metered_voltage(&self, what: &str, value: Value<ElectricPotential>) -> Expected {
        let limits = self.setup.limits();
        let counts = limits.meter_counts.value.nominal();
        let step = electrics::display_step(value.high(), counts, limits.meter_volt_step.value.nominal());
        let inputs = (
            named("a", "accuracy of the meter", self.voltmeter()),
            named("U", what.to_owned(), value),
            named("n", "digits that its display may be off", self.digits()),
            named("q", "one digit in its range", Value::exact(step)),
        );
        let worked = work(&electrics::METERED_VOLTAGE, "Uₘ", inputs, |(a, u, n, q)| {
            electrics::metered_voltage(a, u, n, q)
        });
        Expected::between(what.to_owned(), worked.value).working(worked.working)
    }
}

/// A value with the usual tolerance where it states none.
pub(crate) fn tolerated<Q: quantity::Quantity>(stated: Value<Q>, usual: Value<Ratio>) -> Value<Q> {
    if stated.is_exact() {
        Value::relative(stated.nominal(), usual.high().base())
    } else {
        stated
    }
}
