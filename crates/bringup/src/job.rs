//! What the families of steps look at, and the list that they fill.

use model::DeviceKind;
use model::machine::Detail;
use plan::{Pair, Plan, Setup};
use quantity::si::{ElectricalResistance, Ratio};
use quantity::{Value, si};
use settings::Settings;

use crate::step::{Needs, Step};

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
    /// Whether a step of that identifier is in the list.
    pub fn has(&self, id: &str) -> bool {
        self.list.iter().any(|step| step.id == id)
    }
    /// A step that comes after another one, where that one is in the list.
    pub fn following(&self, step: Step, id: &str) -> Step {
        if self.has(id) { step.after(id) } else { step }
    }
    /// Identifiers of all steps so far whose identifier begins so.
    pub fn all(&self, beginning: &str) -> Vec<String> {
        self.list
            .iter()
            .filter(|step| step.id.starts_with(beginning))
            .map(|step| step.id.clone())
            .collect()
    }
    /// The connected devices of a kind, in the order of the machine.
    pub fn of_kind(&self, kind: DeviceKind) -> Vec<Pair<'a>> {
        self.setup
            .pairs()
            .filter(|pair| pair.device().kind() == kind)
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
    /// The resistance of the meter's own leads.
    pub fn tips(&self) -> Value<ElectricalResistance> {
        self.setup.limits().meter_lead_resistance.value
    }
    /// The step that every step with power comes after.
    pub fn power_gate(&self, step: Step) -> Step {
        match step.needs {
            Needs::Unplugged => step,
            _ => self.following(step, "power-board"),
        }
    }
}
