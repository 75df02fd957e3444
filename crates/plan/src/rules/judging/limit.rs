//! A limit, and whether a value holds it at the worst corner.

use physics::{End, Formula, Input, Working};
use quantity::si::{TemperatureInterval, kelvin};
use quantity::{AnyValue, Kind};
use serde::Serialize;

static ROOM_BELOW: Formula = Formula::new(
    "room-below",
    "Room below the limit",
    "d = b − v",
    "common-practice",
    "",
);
static ROOM_ABOVE: Formula = Formula::new(
    "room-above",
    "Room above the limit",
    "d = v − b",
    "common-practice",
    "",
);

/// Which side of its limit a value must stay on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// The value must not be above the limit.
    AtMost,
    /// The value must not be below the limit.
    AtLeast,
}

/// A limit, with the side on which a value must stay.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Limit {
    /// The side.
    pub side: Side,
    /// The bound; where it has a tolerance its unfavourable end counts.
    pub bound: AnyValue,
}

impl Limit {
    /// What is left between the worst value and the worst bound, as a share of the bound; negative where it is broken. A temperature counts
    /// from 20 °C: the share is that of the permitted rise above usual surroundings.
    ///
    /// `None` where the bound is zero or unbounded and a share has no meaning.
    #[must_use]
    pub fn margin(&self, value: &AnyValue) -> Option<f64> {
        let corner = self.corner(value);
        let share = (corner.more - corner.less) / self.whole(&corner);
        share.is_finite().then_some(share)
    }
    /// A margin of [`Self::margin`] in kelvins, where the limit is a temperature; `None` for others.
    #[must_use]
    pub fn kelvins(&self, margin: f64) -> Option<TemperatureInterval> {
        let worst = match self.side {
            Side::AtMost => self.bound.low,
            Side::AtLeast => self.bound.high,
        };
        let is_temperature = self.bound.kind == Kind::Temperature;
        is_temperature.then(|| kelvin(margin * rise(worst)))
    }
    /// What a margin is a share of.
    pub(super) fn whole(&self, corner: &LimitCorner) -> f64 {
        match self.bound.kind {
            Kind::Temperature => rise(corner.bound),
            _ => corner.bound.abs(),
        }
    }
    /// Whether the value holds the limit at the worst corner.
    #[must_use]
    pub fn holds(&self, value: &AnyValue) -> bool {
        let corner = self.corner(value);
        corner.less <= corner.more
    }
    /// What is left between value and bound as a working: for a finding whose value stands in the files and follows from no formula.
    pub(super) fn room(&self, value: &AnyValue) -> Working {
        let kind = match value.kind {
            Kind::Temperature => Kind::TemperatureDifference,
            other => other,
        };
        let of = |nominal: f64, low: f64, high: f64| AnyValue {
            kind,
            nominal,
            low,
            high,
        };
        let bound = &self.bound;
        let (formula, more, less) = match self.side {
            Side::AtMost => (&ROOM_BELOW, bound, value),
            Side::AtLeast => (&ROOM_ABOVE, value, bound),
        };
        let result = of(
            more.nominal - less.nominal,
            more.low - less.high,
            more.high - less.low,
        );
        let input = |symbol, what: &'static str, own: &AnyValue| {
            let grows = std::ptr::eq(own, more);
            let (lowest, highest) = if grows {
                (End::Low, End::High)
            } else {
                (End::High, End::Low)
            };
            let swing = if grows {
                of(result.nominal, own.low - less.nominal, own.high - less.nominal)
            } else {
                of(result.nominal, more.nominal - own.high, more.nominal - own.low)
            };
            Input {
                symbol,
                what: what.into(),
                value: *own,
                lowest,
                highest,
                swing,
            }
        };
        Working {
            formula,
            inputs: vec![
                input("v", "value, as the files state it", value),
                input("b", "limit", bound),
            ],
            symbol: "d",
            result,
        }
    }
    pub(super) fn corner(&self, value: &AnyValue) -> LimitCorner {
        let (bound, worst) = match self.side {
            Side::AtMost => (self.bound.low, value.high),
            Side::AtLeast => (self.bound.high, value.low),
        };
        let (more, less) = match self.side {
            Side::AtMost => (bound, worst),
            Side::AtLeast => (worst, bound),
        };
        LimitCorner { bound, more, less }
    }
}

/// Usual surroundings, 20 °C (ISO 1), from which permitted rises count.
pub(super) const SURROUNDINGS: f64 = 293.15;

/// The rise that a bound permits above usual surroundings; a bound near these is judged as one 20 K away.
fn rise(bound: f64) -> f64 {
    (bound - SURROUNDINGS).abs().max(20.0)
}

/// Worst value and worst bound, in SI base units: the limit holds as long as `less` is no more than `more`.
pub(super) struct LimitCorner {
    pub bound: f64,
    pub more: f64,
    pub less: f64,
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn volts(low: f64, nominal: f64, high: f64) -> AnyValue {
        let kind = Kind::Voltage;
        AnyValue {
            kind,
            nominal,
            low,
            high,
        }
    }

    fn limit(side: Side, bound: AnyValue) -> Limit {
        Limit { side, bound }
    }

    #[test]
    fn the_unfavourable_ends_are_compared_and_equal_holds() {
        let bound = volts(9.0, 10.0, 11.0);
        let most = limit(Side::AtMost, bound);
        assert!(most.holds(&volts(1.0, 2.0, 9.0)));
        assert!(!most.holds(&volts(1.0, 2.0, 9.1)));
        let least = limit(Side::AtLeast, bound);
        assert!(least.holds(&volts(11.0, 20.0, 30.0)));
        assert!(!least.holds(&volts(10.9, 20.0, 30.0)));
    }

    #[test]
    fn a_margin_is_a_share_of_the_bound_that_counts() {
        let bound = volts(8.0, 10.0, 12.0);
        // (8 − 6) / 8 and (15 − 12) / 12.
        assert_eq!(
            limit(Side::AtMost, bound).margin(&volts(1.0, 2.0, 6.0)),
            Some(0.25)
        );
        assert_eq!(
            limit(Side::AtLeast, bound).margin(&volts(15.0, 20.0, 30.0)),
            Some(0.25)
        );
        // (8 − 10) / 8 and (6 − 12) / 12.
        assert_eq!(
            limit(Side::AtMost, bound).margin(&volts(1.0, 2.0, 10.0)),
            Some(-0.25)
        );
        assert_eq!(
            limit(Side::AtLeast, bound).margin(&volts(6.0, 20.0, 30.0)),
            Some(-0.5)
        );
        assert_eq!(
            limit(Side::AtMost, volts(0.0, 0.0, 0.0)).margin(&volts(1.0, 1.0, 1.0)),
            None
        );
        assert_eq!(
            limit(Side::AtMost, volts(-4.0, -4.0, -4.0)).margin(&volts(-6.0, -6.0, -5.0)),
            Some(0.25)
        );
    }

    #[test]
    fn a_temperature_is_a_share_of_the_rise_it_permits() {
        let kind = Kind::Temperature;
        let at = |celsius: f64| {
            let kelvin = celsius + 273.15;
            AnyValue {
                kind,
                nominal: kelvin,
                low: kelvin,
                high: kelvin,
            }
        };
        // 120 °C permits a rise of 100 K above 20 °C; 25 °C counts as one of 20 K.
        let margin = |bound: f64, value: f64| limit(Side::AtMost, at(bound)).margin(&at(value));
        assert!((margin(120.0, 90.0).expect("a margin") - 0.3).abs() < 1e-12);
        assert!((margin(25.0, 21.0).expect("a margin") - 0.2).abs() < 1e-12);
        let most = limit(Side::AtMost, at(120.0));
        assert!((most.kelvins(0.3).expect("a temperature").value - 30.0).abs() < 1e-9);
        assert!(limit(Side::AtMost, volts(1.0, 1.0, 1.0)).kelvins(0.3).is_none());
    }

    #[test]
    fn what_is_no_number_holds_no_limit() {
        let nan = volts(f64::NAN, f64::NAN, f64::NAN);
        for side in [Side::AtMost, Side::AtLeast] {
            assert!(!limit(side, volts(1.0, 1.0, 1.0)).holds(&nan));
            assert_eq!(limit(side, volts(1.0, 1.0, 1.0)).margin(&nan), None);
        }
    }

    fn interval() -> impl Strategy<Value = AnyValue> {
        (0.1..100.0, 0.0..10.0, 0.0..10.0).prop_map(|(nominal, below, above)| {
            let low: f64 = nominal - below;
            volts(low, nominal, nominal + above)
        })
    }

    proptest! {
        /// It holds where, and only where, every value within its tolerance holds every bound within its own.
        #[test]
        fn it_holds_for_all_corners_or_not_at_all(bound in interval(), value in interval()) {
            let corners = |holds: fn(f64, f64) -> bool| {
                [bound.low, bound.nominal, bound.high].iter().all(|bound| {
                    [value.low, value.nominal, value.high].iter().all(|value| holds(*value, *bound))
                })
            };
            prop_assert_eq!(limit(Side::AtMost, bound).holds(&value), corners(|value, bound| value <= bound));
            prop_assert_eq!(limit(Side::AtLeast, bound).holds(&value), corners(|value, bound| value >= bound));
        }

        /// The sign of a margin is the verdict, and the room as a working has the worst room as its low end.
        #[test]
        fn margin_verdict_and_room_agree(bound in interval(), value in interval()) {
            for side in [Side::AtMost, Side::AtLeast] {
                let limit = limit(side, bound);
                let corner = limit.corner(&value);
                if let Some(margin) = limit.margin(&value) {
                    prop_assert_eq!(margin >= 0.0, limit.holds(&value));
                }
                let room = limit.room(&value).result;
                prop_assert!((room.low - (corner.more - corner.less)).abs() < 1e-9);
                prop_assert!(room.low <= room.nominal && room.nominal <= room.high);
            }
        }

        /// A wider tolerance of either never helps.
        #[test]
        fn a_wider_tolerance_never_helps(bound in interval(), value in interval(), more in 0.0..5.0) {
            let wider = |of: &AnyValue| volts(of.low - more, of.nominal, of.high + more);
            for side in [Side::AtMost, Side::AtLeast] {
                let holds = limit(side, bound).holds(&value);
                prop_assert!(holds || !limit(side, bound).holds(&wider(&value)));
                prop_assert!(holds || !limit(side, wider(&bound)).holds(&value));
            }
        }
    }
}
