//! Laws of the electric formulas beyond single values.

use physics::electrics::*;
use proptest::prelude::*;
use quantity::Number;
use quantity::si::*;

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

proptest! {
    #[test]
    fn width_and_current_of_a_trace_undo_each_other(width in 0.05..30.0_f64, rise in 1.0..100.0_f64, inner: bool) {
        let layer = if inner { Layer::Inner } else { Layer::Outer };
        let (width, thickness, rise) = (millimetre(width), millimetre(0.035), kelvin(rise));
        let current = trace_current(width, thickness, rise, layer).unwrap();
        prop_assert!(close(trace_width(current, thickness, rise, layer).unwrap().base(), width.base()));
    }

    #[test]
    fn a_rated_heater_has_its_power_at_its_voltage(voltage in 1.0..60.0_f64, power in 1.0..900.0_f64) {
        let resistance = rated_resistance(volt(voltage), watt(power));
        prop_assert!(close(heater_power(volt(voltage), resistance).base(), power));
    }

    #[test]
    fn what_the_lead_takes_and_what_arrives_add_up(supply in 1.0..60.0_f64, load in 0.5..100.0_f64, lead in 0.001..2.0_f64) {
        let arrives = voltage_at_load(volt(supply), ohm(load), ohm(lead));
        let current = resistive_current(volt(supply), ohm(load + lead));
        prop_assert!(close(arrives.base() + (current * ohm(lead)).base(), supply));
    }

    #[test]
    fn more_current_never_opens_a_fuse_later(low in 0.0..6.0_f64, more in 0.0..6.0_f64) {
        for class in [FuseClass::Blade, FuseClass::GlassQuick, FuseClass::GlassSlow] {
            let at = |multiple: f64| opening_time(class, ratio(multiple)).unwrap();
            let (little, much) = (at(low), at(low + more));
            prop_assert!(much.holds <= little.holds);
            let opens = |time: OpeningTime| time.opens.map_or(f64::INFINITY, Number::base);
            prop_assert!(opens(much) <= opens(little));
            prop_assert!(opens(little) >= little.holds.base());
        }
    }
}

/// The inner layer needs 2^(1/0.725) = 2.601 times the width of the outer one. [ipc-2221]
#[test]
fn an_inner_trace_is_wider() {
    let width = |layer| {
        trace_width(ampere(1.0), millimetre(0.035), kelvin(10.0), layer)
            .unwrap()
            .base()
    };
    assert!((width(Layer::Inner) / width(Layer::Outer) - 2.601).abs() < 0.001);
    assert!((width(Layer::Inner) / 0.781e-3 - 1.0).abs() < 0.002);
}

#[test]
fn the_share_above_the_rating_at_which_a_fuse_opens() {
    assert!((FuseClass::Blade.opening_multiple().base() - 1.35).abs() < 1e-12);
    assert!((FuseClass::Blade.holding_multiple().base() - 1.10).abs() < 1e-12);
    assert!(
        opening_time(FuseClass::Blade, ratio(1.2))
            .unwrap()
            .opens
            .is_none()
    );
    assert!(
        opening_time(FuseClass::Blade, ratio(1.2))
            .unwrap()
            .band()
            .is_none()
    );
    assert!(opening_time(FuseClass::Blade, ratio(-1.0)).is_err());
}

#[test]
fn a_resistor_cannot_raise_the_voltage() {
    let error = series_resistor(volt(5.0), volt(12.0), ampere(0.1)).unwrap_err();
    assert_eq!(
        error.to_string(),
        "voltage left for the resistor is -7 V, outside 0 V and above"
    );
    assert!(series_resistor(volt(12.0), volt(5.0), ampere(0.0)).is_err());
}

#[test]
fn copper_beyond_its_linear_law_is_refused() {
    let error = copper_resistance(ohm(1.0), celsius(300.0)).unwrap_err();
    assert_eq!(
        error.to_string(),
        "temperature of the copper is 300 °C, outside -50 °C .. 200 °C"
    );
}

/// The published-by-formula drop and the solved ladder agree for a constant current, and a second feed shortens the way.
#[test]
fn a_strip_solved_light_by_light() {
    let load = LightLoad::Current(milliampere(60.0));
    // Light 0 is the feed itself; 60 lights behind it.
    let one_end = strip_voltages(volt(5.0), 61, ohm(0.01), load, &[0]).unwrap();
    let drop = strip_drop(ohm(0.01), milliampere(60.0), ratio(60.0));
    assert!(close(5.0 - one_end[60].base(), drop.base()));
    let both_ends = strip_voltages(volt(5.0), 61, ohm(0.01), load, &[0, 60]).unwrap();
    let least = both_ends
        .iter()
        .map(|voltage| voltage.base())
        .fold(f64::INFINITY, f64::min);
    assert!(close(least, both_ends[30].base()), "lowest in the middle");
    // 29.5 lights on either side of the middle one lose a quarter of what 59 lose from one end.
    assert!((5.0 - least) * 3.5 < drop.base());
    assert!(strip_voltages(volt(5.0), 61, ohm(0.01), load, &[]).is_err());
    assert!(strip_voltages(volt(5.0), 61, ohm(0.01), load, &[61]).is_err());
    assert!(strip_voltages(volt(5.0), 61, ohm(0.0), load, &[0]).is_err());
}

proptest! {
    #[test]
    fn currents_of_a_ladder_add_up_at_every_light(lights in 2_usize..80, segment in 0.001..1.0_f64, load in 1.0..500.0_f64, feed in 0.0..1.0_f64) {
        let feed = (feed * (lights - 1) as f64) as usize;
        let voltages = strip_voltages(volt(12.0), lights, ohm(segment), LightLoad::Resistance(ohm(load)), &[feed]).unwrap();
        for light in (0..lights).filter(|light| *light != feed) {
            let here = voltages[light].base();
            let from = |other: usize| voltages.get(other).map_or(0.0, |there| (there.base() - here) / segment);
            let arriving = from(light.wrapping_sub(1)) + from(light + 1);
            prop_assert!((arriving - here / load).abs() < 1e-6 * 12.0 / segment, "light {light}");
        }
    }

    #[test]
    fn more_loaded_contacts_never_bear_more(one in 1_u16..40, more in 0_u16..40) {
        prop_assert!(bundle_factor(Bundled::Contacts(one + more)) <= bundle_factor(Bundled::Contacts(one)));
        prop_assert!(bundle_factor(Bundled::Circuits(one)) <= bundle_factor(Bundled::Contacts(one)));
    }
}

#[test]
fn air_hotter_than_the_contact_may_be_is_refused() {
    assert!(warm_rating(ampere(3.0), celsius(85.0), celsius(25.0), celsius(90.0)).is_err());
    assert!(close(
        warm_rating(ampere(3.0), celsius(85.0), celsius(25.0), celsius(85.0))
            .unwrap()
            .base()
            + 1.0,
        1.0
    ));
}

proptest! {
    #[test]
    fn every_light_is_within_reach_of_a_feed(lights in 1_usize..400, reach in 0_usize..80) {
        let feeds = feed_places(lights, reach);
        for light in 0..lights {
            prop_assert!(feeds.iter().any(|feed| feed.abs_diff(light) <= reach), "{light} of {lights}, {reach}: {feeds:?}");
        }
        prop_assert_eq!(feeds.len(), lights.div_ceil(2 * reach + 1), "as few as can be");
    }

    #[test]
    fn lights_fed_as_advised_keep_their_voltage(lights in 1_usize..300, each in 0.01..0.06_f64, segment in 0.005..0.05_f64) {
        let allowed = volt(0.5);
        let reach = lights_per_feed(allowed, ohm(segment), ampere(each)).base().floor() as usize;
        let feeds = feed_places(lights, reach);
        let voltages = strip_voltages(volt(5.0), lights, ohm(segment), LightLoad::Current(ampere(each)), &feeds).unwrap();
        prop_assert!(voltages.iter().all(|voltage| voltage.base() >= 4.5 - 1e-9));
    }
}

/// The middle of a band over decades is its geometric middle.
#[test]
fn the_band_of_an_opening_time_has_its_geometric_middle() {
    let time = opening_time(FuseClass::Blade, ratio(2.0)).unwrap();
    let (holds, opens) = (time.holds.base(), time.opens.unwrap().base());
    let band = time.band().expect("blade fuses open at twice their rating");
    assert!(0.0 < holds && holds < opens);
    assert_eq!((band.low().base(), band.high().base()), (holds, opens));
    assert!((band.nominal().base().powi(2) / (holds * opens) - 1.0).abs() < 1e-12);
}
