//! The rules, each with its one name.

use physics::control::{
    FirstOrder, Pid, Process, SecondOrder, Terms, Ultimate, amigo, cohen_coon, relay_cycle, relay_gain,
    simc_pi, simc_pid, tyreus_luyben, ultimate, ziegler_nichols_reaction, ziegler_nichols_ultimate,
};
use quantity::si::{kelvin, ratio};

/// A published rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rule {
    /// Its name and the terms of its controller, as they are shown.
    pub name: &'static str,
    /// Key of the bibliography.
    pub source: &'static str,
}

const fn rule(name: &'static str, source: &'static str) -> Rule {
    Rule { name, source }
}

const SKOGESTAD_PI: Rule = rule("Skogestad, PI", "skogestad-2003");
const SKOGESTAD_PID: Rule = rule("Skogestad, PID", "skogestad-2003");
const ASTROM_PI: Rule = rule("Åström and Hägglund, PI", "astrom-hagglund-2006");
const ASTROM_PID: Rule = rule("Åström and Hägglund, PID", "astrom-hagglund-2006");
const ZIEGLER_REACTION: Rule = rule("Ziegler and Nichols, reaction curve, PID", "ziegler-nichols-1942");
const ZIEGLER_ULTIMATE: Rule = rule("Ziegler and Nichols, ultimate gain, PID", "ziegler-nichols-1942");
const RELAY: Rule = rule(
    "Relay test, then Ziegler and Nichols, PID",
    "astrom-hagglund-1984",
);
const COHEN: Rule = rule("Cohen and Coon, PID", "cohen-coon-1953");
const TYREUS_PI: Rule = rule("Tyreus and Luyben, PI", "tyreus-luyben-1992");
const TYREUS_PID: Rule = rule("Tyreus and Luyben, PID", "tyreus-luyben-1992");

impl Rule {
    /// PI by the rule of Skogestad, made calmer until it suits the worst case and the heat-up monitoring; who knows these computes it.
    pub const DETUNED: Self = rule(
        "Skogestad, PI, detuned for worst case and heat-up monitoring",
        "skogestad-2003",
    );
}

/// What every rule proposes for one part, as a process of first and of second order; a rule that does not apply to it is left out.
#[must_use]
pub fn by_rules(first: FirstOrder, second: SecondOrder) -> Vec<(Rule, Pid)> {
    let critical = ultimate(&Process::from(second));
    let by_ultimate = |of: &dyn Fn(Ultimate) -> Option<Pid>| critical.and_then(of);
    let all = [
        (SKOGESTAD_PI, Some(simc_pi(first, first.delay))),
        (SKOGESTAD_PID, Some(simc_pid(second, second.delay))),
        (ASTROM_PI, amigo(first, Terms::Pi)),
        (ASTROM_PID, amigo(first, Terms::Pid)),
        (
            ZIEGLER_REACTION,
            Some(ziegler_nichols_reaction(first, Terms::Pid)),
        ),
        (
            ZIEGLER_ULTIMATE,
            by_ultimate(&|own| Some(ziegler_nichols_ultimate(own, Terms::Pid))),
        ),
        (
            RELAY,
            relay_test(first).map(|own| ziegler_nichols_ultimate(own, Terms::Pid)),
        ),
        (COHEN, Some(cohen_coon(first, Terms::Pid))),
        (TYREUS_PI, by_ultimate(&|own| tyreus_luyben(own, Terms::Pi))),
        (TYREUS_PID, by_ultimate(&|own| tyreus_luyben(own, Terms::Pid))),
    ];
    all.into_iter()
        .filter_map(|(rule, pid)| Some((rule, pid?)))
        .collect()
}

/// What a test by switching between nothing and full power would take for the ultimate gain and period of a part.
fn relay_test(model: FirstOrder) -> Option<Ultimate> {
    let (half, none) = (ratio(0.5), kelvin(0.0));
    let (swing, period) = relay_cycle(model, half, none).ok()?;
    let gain = relay_gain(half, swing, none).ok()?;
    Some(Ultimate { gain, period })
}

#[cfg(test)]
mod tests {
    use quantity::Number as _;
    use quantity::si::second;

    use super::*;

    /// The rules as their papers print them, on K = 300 K, τ = 90 s, θ = 3 s: Skogestad 2003, `Kc = τ / (K · 2θ)`, `Tᵢ = 8θ`; Åström and Hägglund
    /// 2006, PID, `Kc = (0.2 + 0.45 τ/θ) / K`, `T_d = 0.5 θ τ / (0.3 θ + τ)` (arithmetic).
    #[test]
    fn each_name_has_its_own_rule() {
        let first = FirstOrder {
            gain: kelvin(300.0),
            lag: second(90.0),
            delay: second(3.0),
        };
        let second_order = SecondOrder {
            gain: first.gain,
            lag: first.lag,
            second_lag: second(1.0),
            delay: second(2.0),
        };
        let all = by_rules(first, second_order);
        let of = |rule: Rule| {
            let found = all.iter().find(|(own, _)| *own == rule);
            found.map(|(_, pid)| *pid).expect("the rule applies")
        };
        let pi = of(SKOGESTAD_PI);
        assert!((pi.gain.base() - 90.0 / (300.0 * 6.0)).abs() < 1e-9);
        assert!((pi.integral.expect("an integral time").base() - 24.0).abs() < 1e-9);
        let pid = of(ASTROM_PID);
        assert!((pid.gain.base() - (0.2 + 0.45 * 30.0) / 300.0).abs() < 1e-9);
        assert!((pid.derivative.base() - 0.5 * 3.0 * 90.0 / 90.9).abs() < 1e-9);
        // A relay that switches ± h makes a cycle of the amplitude a = K h (1 − e^(−θ/τ)) and the period 2 τ ln(2 e^(θ/τ) − 1) (algebra); from it the gain
        // 4h / (π a) is read (Åström and Hägglund 1984), of which Ziegler and Nichols take 0.6, half the period and an eighth.
        let amplitude = 300.0 * 0.5 * (1.0 - (-3.0_f64 / 90.0).exp());
        let period = 2.0 * 90.0 * (2.0 * (3.0_f64 / 90.0).exp() - 1.0).ln();
        let relay = of(RELAY);
        let near = |found: f64, expected: f64| {
            assert!((found / expected - 1.0).abs() < 0.01, "{found} for {expected}");
        };
        near(
            relay.gain.base(),
            0.6 * 4.0 * 0.5 / (core::f64::consts::PI * amplitude),
        );
        near(relay.integral.expect("an integral time").base(), period / 2.0);
        near(relay.derivative.base(), period / 8.0);
        // A controller has the terms that its name says, and no two rules have one name.
        for (at, (rule, pid)) in all.iter().enumerate() {
            assert_eq!(
                rule.name.ends_with(" PID"),
                pid.derivative.base() > 0.0,
                "{}",
                rule.name
            );
            assert!(pid.integral.is_some(), "{}", rule.name);
            assert!(all[..at].iter().all(|(other, _)| other.name != rule.name));
        }
    }
}
