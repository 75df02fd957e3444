//! Chances against probabilities that are known in closed form.

use physics::{Chance, Sampler, Spread, chance, named};
use proptest::prelude::*;
use quantity::si::{ratio, volt};
use quantity::{Number, Value};

const DRAWS: u64 = 200_000;

/// A share of draws lies within five standard errors of its probability.
fn agrees(chance: Chance, probability: f64) -> bool {
    let error = (probability * (1.0 - probability) / chance.draws as f64).sqrt();
    (chance.share().base() - probability).abs() <= 5.0 * error.max(1e-9)
}

/// The sum of two uniform quantities is triangular: it exceeds 1.5 of 2 in one case of eight. Textbook of probability
#[test]
fn the_sum_of_two_uniform_inputs() {
    let unit = Value::between(ratio(0.0), ratio(0.5), ratio(1.0));
    let inputs = (named("a", "one", unit), named("b", "other", unit));
    let got = chance(inputs, Spread::Uniform, 7, 0..DRAWS, |(a, b)| {
        (a + b).base() > 1.5
    });
    assert!(agrees(got, 0.125), "{got:?}");
}

/// 68.27 % of a normal quantity lie within one deviation, of one cut off at three deviations 68.27 / 0.9973 %. Normal table
#[test]
fn a_normal_input() {
    let value = Value::between(volt(21.0), volt(24.0), volt(27.0));
    let within = |spread| {
        chance((named("U", "supply", value),), spread, 7, 0..DRAWS, |(u,)| {
            (u.base() - 24.0).abs() < 1.0
        })
    };
    assert!(
        agrees(within(Spread::Normal), 0.682_689 / 0.997_300),
        "{:?}",
        within(Spread::Normal)
    );
    assert!(agrees(within(Spread::Uniform), 1.0 / 3.0));
    let skewed = Value::between(volt(23.0), volt(24.0), volt(27.0));
    let below = chance(
        (named("U", "supply", skewed),),
        Spread::Normal,
        7,
        0..DRAWS,
        |(u,)| u.base() < 24.0,
    );
    assert!(agrees(below, 0.5));
}

#[test]
fn draws_may_be_split_among_cores() {
    let value = Value::between(volt(21.0), volt(24.0), volt(27.0));
    let part = |draws| {
        chance((named("U", "supply", value),), Spread::Normal, 3, draws, |(u,)| {
            u.base() > 25.0
        })
    };
    assert_eq!(part(0..1000), part(0..313) + part(313..1000));
    assert_ne!(part(0..1000), part(1000..2000));
}

/// Eight of ten: 49.0 % to 94.3 %. Wilson's interval, recomputed
#[test]
fn the_interval_of_a_share() {
    let interval = Chance { held: 8, draws: 10 }.interval();
    assert!((interval.low().base() - 0.4902).abs() < 1e-4 && (interval.high().base() - 0.9433).abs() < 1e-4);
    let all = Chance {
        held: 1000,
        draws: 1000,
    }
    .interval();
    assert!((all.high().base() - 1.0).abs() < 1e-12 && all.low().base() < 0.9965 && all.low().base() > 0.995);
    assert_eq!(Chance::default().interval().high(), ratio(1.0));
}

proptest! {
    #[test]
    fn a_draw_stays_within_its_tolerance(low in -10.0..0.0_f64, nominal in 0.0..1.0_f64, high in 1.0..10.0_f64, seed: u64, draw: u64) {
        let value = Value::between(volt(low), volt(nominal), volt(high));
        for spread in [Spread::Uniform, Spread::Normal] {
            prop_assert!(value.contains(Sampler::new(seed, draw).value(value, spread)));
        }
        prop_assert_eq!(Sampler::new(seed, draw).value(Value::exact(volt(nominal)), Spread::Uniform), volt(nominal));
    }
}
