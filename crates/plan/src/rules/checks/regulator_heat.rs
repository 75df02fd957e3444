//! How hot a linear regulator gets: it turns what it takes off the voltage into heat.

use model::RailSource;
use model::board::RailId;
use physics::{electrics, heat, named, work};
use quantity::Number;
use quantity::Value;
use quantity::si::{Power, TemperatureInterval};

use crate::facts::WholeFacts;
use crate::facts::budget::{State, sum};
use crate::rules::judging::{Finding, Judge, Subject, Verdict};

pub(crate) const ID: &str = "regulator-heat";

/// The rise above the air of the case, with the thermal resistance that is assumed for a part on a small copper area.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let budget = facts.budget();
    let limits = facts.limits();
    let theta = limits.switch_thermal_resistance.value;
    let air = facts.site.air();
    let limit = limits.switch_junction_limit.value;
    for (at, rail) in facts.board.rails.iter().enumerate() {
        let Some(made) = rail
            .made
            .as_ref()
            .filter(|made| made.source.value == RailSource::Linear)
        else {
            continue;
        };
        let load = sum(budget.rail(RailId(at), State::HeatUp));
        let feeder = facts.rail_voltage(made.fed_by);
        let out = made.voltage.value;
        let loss: Value<Power> = (feeder - out) * load;
        let rise = loss.map(|loss| loss.base()) * theta.map(|theta| theta.base());
        let rise = rise.map(TemperatureInterval::from_base);
        let allowed = Value::corners(|end| {
            TemperatureInterval::from_base(limit.at(end).base() - air.at(end.other()).base())
        });
        judge.at_most(rise, allowed, Verdict::Caution, || {
            let headline = format!(
                "the regulator of the rail {0} gets up to {2} hotter than the air around it. It turns up to {1} into heat",
                rail.name,
                Value::exact(loss.high()),
                Value::exact(rise.high())
            );
            let inputs = (
                named("U", "voltage of the feeding rail", feeder),
                named("U₀", "voltage of the rail", out),
                named("I", "all that hangs on it", load),
            );
            let heat = work(&electrics::REGULATOR_HEAT, "P", inputs, |(u, o, i)| {
                electrics::regulator_heat(u, o, i)
            });
            let inputs = (
                named("ϑₐ", "air around the board", air),
                named("P", "heat in the regulator", heat.value),
                named("θ", "junction to air, assumed", theta),
            );
            let junction = work(&heat::JUNCTION_TEMPERATURE, "ϑⱼ", inputs, |(air, power, theta)| {
                heat::junction_temperature(air, power, theta)
            });
            Finding::new(headline, "common-practice")
                .about(Subject::named(format!("rail {}", rail.name)))
                .at(made.source.place)
                .working(heat.working)
                .working(junction.working)
                .remedy("give the largest device of this rail a dedicated converter, and keep air moving over the regulator")
        });
    }
}
