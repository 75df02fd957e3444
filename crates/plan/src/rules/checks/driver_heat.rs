//! How hot a driver gets at the run current, in the air of the case.

use model::Cooled;
use model::machine::Detail;
use physics::{heat, motion, named, work};
use quantity::si::{ElectricCurrent, Power, ThermalResistance, ThermodynamicTemperature};
use quantity::{Number, Value};

use crate::facts::PairFacts;
use crate::facts::drivers::Loss;
use crate::facts::harness::Part;
use crate::rules::judging::{Finding, Judge, Side, Verdict, brief};

pub(crate) const ID: &str = "driver-heat";

/// Too hot is mended by a heat sink where the board's file knows what it gains; less current is always a way out, unless too little is left.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let (Some(driver), Some(current)) = (pair.driver(), pair.driver_current()) else {
        return;
    };
    let bare = driver.thermal_resistance.map(|theta| theta.value);
    let sink = driver.thermal_resistance_with_sink.map(|theta| theta.value);
    let as_is = if driver.heat_sink { sink.or(bare) } else { bare };
    let (Some(loss), Some(as_is)) = (Loss::of(pair.swap, driver, current), as_is) else {
        judge.say(Verdict::Note, || {
            let headline = format!(
                "the temperature of the driver of {} is open. The board's file states no on-resistance or no thermal resistance",
                pair.port_name()
            );
            Finding::new(headline, "jesd51-2")
                .at(driver.place)
                .remedy("do not touch it while it runs. Where steps are lost after some minutes, lower the current or blow air on it")
        });
        return;
    };
    let limits = pair.limits();
    let fan = has_board_fan(pair);
    let blown = |theta: Value<ThermalResistance>| {
        if fan {
            theta * limits.driver_forced_air_factor.value
        } else {
            theta
        }
    };
    let power = loss.total();
    let air = pair.site.air();
    let junction = |theta| junction(air, power, theta);
    let (caution, most) = (
        limits.driver_junction_caution.value,
        limits.driver_junction_limit.value,
    );
    let theta = blown(as_is);
    let value = junction(theta);
    let words = || words(pair, &loss, (air, power, theta), value);
    if value.high() <= most.low() {
        judge.at_most(value, caution, Verdict::Caution, || {
            words().remedy("lower the run current a little, or let a fan blow over the drivers")
        });
        return;
    }
    let with_sink = sink
        .filter(|_| !driver.heat_sink)
        .map(|sink| junction(blown(sink)));
    if let Some(cooler) = with_sink.filter(|cooler| cooler.high() <= most.low()) {
        judge.mended(Part::one("heat sink for a driver"), || {
            words().against(value, Side::AtMost, most).remedy(format!(
                "fit a heat sink: with it the driver reaches up to {}",
                brief(cooler.high())
            ))
        });
        return;
    }
    // The best that can be had: heat sink, if there is one for it, and moving air.
    let best = sink.unwrap_or(as_is) * limits.driver_forced_air_factor.value;
    let half = loss.half().high();
    // What switching and the driver itself add is counted as warmer air: with less current it is less, so this bears no more than there is.
    let warmer = heat::junction_temperature(
        air.high(),
        loss.switching().high() + loss.own().high(),
        best.high(),
    );
    let borne = heat::current_borne(most.low(), warmer, best.high(), half, half);
    let borne = borne
        .map(motion::rms_of_peak)
        .unwrap_or(ElectricCurrent::from_base(0.0));
    let share = (borne / current.nominal()).base();
    let too_little = share < limits.motor_current_share_low.value.high().base();
    let words = || {
        words().remedy(format!(
            "set at most {1} (rms) with {0}moving air, or use a driver with less resistance",
            if sink.is_some() { "a heat sink and " } else { "" },
            brief(borne)
        ))
    };
    if too_little && pair.site.air_is_guessed() && value.nominal() <= most.low() {
        // What refuses here is the guess: with the air stated it may well do.
        judge.say(Verdict::Caution, || {
            let finding = words();
            let headline = format!("{}. That is open: the air around the board is guessed", finding.headline);
            Finding { headline, ..finding }
                .against(value, Side::AtMost, most)
                .asking()
                .remedy("measure the air at the board in a long print and state it as `air` of [case], or `thermal_conductance` of the case")
        });
    } else if too_little {
        judge.at_most(value, most, Verdict::Blocker, words);
    } else if with_sink.is_some() {
        // Less current and a heat sink together do it.
        judge.partly_mended(Part::one("heat sink for a driver"), || {
            words().against(value, Side::AtMost, most)
        });
    } else {
        judge.at_most(value, most, Verdict::Caution, words);
    }
}

fn junction(
    air: Value<ThermodynamicTemperature>,
    power: Value<Power>,
    theta: Value<ThermalResistance>,
) -> Value<ThermodynamicTemperature> {
    Value::corners(|end| heat::junction_temperature(air.at(end), power.at(end), theta.at(end)))
}

/// Whether the machine has a fan over its electronics.
fn has_board_fan(pair: &PairFacts<'_>) -> bool {
    let machine = &pair.swap.machine;
    machine
        .device_ids()
        .any(|(_, device)| matches!(&device.detail, Detail::Fan(fan) if fan.cools == Cooled::Board))
}

type Path = (
    Value<ThermodynamicTemperature>,
    Value<Power>,
    Value<ThermalResistance>,
);

fn words(
    pair: &PairFacts<'_>,
    loss: &Loss,
    (air, power, theta): Path,
    value: Value<ThermodynamicTemperature>,
) -> Finding {
    let fan = if has_board_fan(pair) {
        ", in the air of the board fan"
    } else {
        ""
    };
    let inputs = (
        named("ϑₐ", "air in the case", air),
        named(
            "P",
            "loss of the driver: conducting, switching, its own circuits",
            power,
        ),
        named("θ", format!("junction to air{fan}"), theta),
    );
    let hot = work(
        &heat::JUNCTION_TEMPERATURE,
        "ϑⱼ",
        inputs,
        |(air, power, theta)| heat::junction_temperature(air, power, theta),
    );
    let cooled = match pair.driver() {
        Some(driver) if driver.heat_sink => "with its heat sink",
        _ => "without heat sink",
    };
    let parts = loss.workings();
    let headline = format!(
        "the driver of {} reaches up to {} {cooled}{fan}",
        pair.port_name(),
        brief(value.high())
    );
    let place = pair.driver().map_or(pair.port().place, |driver| driver.place);
    Finding::new(headline, "jesd51-2")
        .at(place)
        .workings(parts)
        .working(hot.working)
}
