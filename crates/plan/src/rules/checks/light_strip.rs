//! The voltage along a light strip, what is left of its colours at the end, and where to feed in again.

use model::machine::{Detail, LightStrip};
use physics::electrics::{self, LightLoad};
use physics::{named, work};
use quantity::si::{ElectricCurrent, ElectricPotential, ElectricalResistance};
use quantity::{Number, Value, si};

use crate::facts::{Pair, WholeFacts};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "light-strip";

/// All lights at full white; the far end counts.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for pair in facts.pairs() {
        let Detail::LightStrip(strip) = &pair.device().detail else {
            continue;
        };
        let Some(length) = strip.length else {
            judge.say(Verdict::Note, || {
                let headline = format!(
                    "the voltage along {} is not computed: its file does not state `strip_length`",
                    pair.device_name()
                );
                Finding::new(headline, "iec-80000-6")
                    .about(Subject::device(pair.device().tag.value.clone()))
                    .at(pair.device().place)
                    .remedy("measure the strip. One longer than a metre or two turns yellow at its far end")
            });
            continue;
        };
        let (Some(supply), Some(cable)) = (pair.device_voltage(), pair.drop()) else {
            continue;
        };
        let per_length = strip
            .resistance
            .map_or(facts.limits().light_strip_resistance.value, |stated| stated.value);
        let whole = Value::corners(|end| {
            ElectricalResistance::from_base(per_length.at(end).base() * length.at(end).base())
        });
        let along = Along {
            pair,
            strip,
            supply,
            feed: supply - cable.total,
            cable: cable.total,
            whole,
        };
        along.judge(judge);
    }
}

struct Along<'a> {
    pair: &'a Pair<'a>,
    strip: &'a LightStrip,
    supply: Value<ElectricPotential>,
    cable: Value<ElectricPotential>,
    /// Where the strip begins, with all its lights at their full current.
    feed: Value<ElectricPotential>,
    whole: Value<ElectricalResistance>,
}

impl Along<'_> {
    fn lights(&self) -> Option<f64> {
        self.strip.led_count.map(|lights| f64::from(lights.value))
    }
    fn segment(&self, lights: f64) -> Value<ElectricalResistance> {
        self.whole.scale(1.0 / lights)
    }
    fn each(&self, lights: f64) -> Value<ElectricCurrent> {
        self.strip.current.scale(1.0 / lights)
    }
    fn lost(&self) -> Value<ElectricPotential> {
        let current = self.strip.current;
        match self.lights() {
            Some(lights) => {
                let (segment, each, lights) = (self.segment(lights), self.each(lights), si::ratio(lights));
                Value::corners(|end| electrics::strip_drop(segment.at(end), each.at(end), lights))
            }
            None => Value::corners(|end| electrics::even_drop(current.at(end), self.whole.at(end))),
        }
    }
    /// The lowest voltage at which the lights have their full colours.
    fn needed(&self) -> Value<ElectricPotential> {
        let limits = self.pair.limits();
        if self.strip.led_count.is_some() && self.strip.voltage.nominal() < si::volt(6.0) {
            return limits.light_supply_low.value;
        }
        let share = 1.0 - limits.device_voltage_tolerance.value.nominal().base();
        Value::exact(self.strip.voltage.nominal() * share)
    }

    /// The voltages at which a light takes nothing, and from which it takes all: between the two its colours go out one by one.
    fn dims(&self) -> [Value<ElectricPotential>; 2] {
        let limits = self.pair.limits();
        [limits.light_red_dark.value, limits.light_blue_dark.value]
    }
    /// The voltage at the last light, and whether its lights starve: they then take less than their full current, so that none is left with
    /// less than what takes nothing.
    fn far(&self) -> (Value<ElectricPotential>, bool) {
        let whole = self.feed - self.lost();
        let [dark, full] = self.dims();
        let Some(lights) = self.lights() else {
            let none = ElectricPotential::from_base(0.0);
            return (whole.map(|voltage| voltage.larger(none)), whole.low() <= none);
        };
        if whole.low() >= full.high() {
            return (whole, false);
        }
        let (segment, each, wires) = (self.segment(lights), self.each(lights), self.wires());
        let far = Value::corners(|end| {
            let other = end.other();
            electrics::starved_end(
                (self.supply.at(end), wires.at(other)),
                segment.at(other),
                (each.at(other), si::ratio(lights)),
                (dark.at(end), full.at(end)),
            )
        });
        (far, true)
    }
    /// The wires to the strip, out and back, with their contacts.
    fn wires(&self) -> Value<ElectricalResistance> {
        let current = self.strip.current;
        Value::corners(|end| {
            let (cable, current) = (self.cable.at(end), current.at(end));
            if current.base() > 0.0 {
                cable / current
            } else {
                ElectricalResistance::from_base(0.0)
            }
        })
    }

    fn judge(&self, judge: &mut Judge) {
        let ((far, starves), needed) = (self.far(), self.needed());
        judge.at_least(far, needed, Verdict::Caution, || {
            let headline = if starves {
                format!(
                    "{0} cannot run so at full white: its last LED would get {4}. The cable would drop {1} and the strip {2}, of {3}",
                    self.pair.device_name(),
                    brief(self.cable.high()),
                    brief(self.lost().high()),
                    brief(self.supply.low()),
                    brief(far.low())
                )
            } else {
                format!(
                    "the last LED of {} gets {} at full white. The cable drops {} and the strip {}",
                    self.pair.device_name(),
                    brief(far.low()),
                    brief(self.cable.high()),
                    brief(self.lost().high())
                )
            };
            self.working(Finding::new(headline, "common-practice"))
                .about(Subject::device(self.pair.device().tag.value.clone()))
                .at(self.strip.voltage.place)
                .remedy(self.remedy(needed))
        });
        if self.strip.led_count.is_none() {
            return;
        }
        let limits = self.pair.limits();
        let dark = limits.light_blue_dark.value;
        let share = Value::corners(|end| {
            electrics::channel_share(far.at(end), dark.at(end.other()), needed.at(end.other()))
        });
        judge.at_least(share, limits.light_blue_share.value, Verdict::Note, || {
            let headline = format!(
                "the last LED of {} keeps {:.0} % of its blue at full white. Red keeps {}",
                self.pair.device_name(),
                share.low().base() * 100.0,
                self.red(far, needed)
            );
            let inputs = (
                named("U", "voltage at the last light", far),
                named("U₀", "at which blue is dark", dark),
                named("U₁", "from which it is full", needed),
            );
            let worked = work(&electrics::CHANNEL_SHARE, "k", inputs, |(far, dark, full)| {
                electrics::channel_share(far, dark, full)
            });
            Finding::new(headline, "common-practice")
                .about(Subject::aspect(self.pair.device(), "colour"))
                .at(self.strip.voltage.place)
                .working(worked.working)
                .remedy("feed the strip at a second place, or run it at less brightness. Half the brightness halves the drop")
        });
    }

    /// What red keeps at the worst: it needs as much above its own voltage as blue does above its own.
    fn red(&self, far: Value<ElectricPotential>, needed: Value<ElectricPotential>) -> String {
        let [red, blue] = self.dims();
        let full = red.high() + (needed.high() - blue.high());
        let share = electrics::channel_share(far.low(), red.high(), full).base();
        if share >= 1.0 {
            "all of it".to_owned()
        } else {
            format!("{:.0} %", share * 100.0)
        }
    }

    fn working(&self, finding: Finding) -> Finding {
        let worked = match self.lights() {
            Some(lights) => {
                let inputs = (
                    named(
                        "r",
                        "from one light to the next, out and back",
                        self.segment(lights),
                    ),
                    named("I₁", "current of one light", self.each(lights)),
                    named("n", "lights", Value::exact(si::ratio(lights))),
                );
                work(
                    &electrics::STRIP_DROP,
                    "ΔU",
                    inputs,
                    |(segment, each, lights)| electrics::strip_drop(segment, each, lights),
                )
            }
            None => {
                let inputs = (
                    named("I", "current of the strip", self.strip.current),
                    named("R", "the whole strip, out and back", self.whole),
                );
                work(&electrics::EVEN_DROP, "ΔU", inputs, |(current, whole)| {
                    electrics::even_drop(current, whole)
                })
            }
        };
        let finding = finding.working(worked.working);
        let Some(lights) = self.lights().filter(|_| self.far().1) else {
            return finding;
        };
        let [dark, full] = self.dims();
        let inputs = (
            named("Uₛ", "what feeds the lead", self.supply),
            named("Rₗ", "the lead, out and back, with contacts", self.wires()),
            named(
                "r",
                "from one light to the next, out and back",
                self.segment(lights),
            ),
            named("I₁", "current of one light", self.each(lights)),
            named("n", "lights", Value::exact(si::ratio(lights))),
            named("U₀", "at which a light is dark", dark),
            named("U₁", "from which it takes all its current", full),
        );
        let starved = work(
            &electrics::STARVED_END,
            "U",
            inputs,
            |(supply, cable, segment, each, lights, dark, full)| {
                electrics::starved_end((supply, cable), segment, (each, lights), (dark, full))
            },
        );
        finding.working(starved.working)
    }

    /// Where to feed in and how often, with the voltages that Kirchhoff's laws then give.
    fn remedy(&self, needed: Value<ElectricPotential>) -> String {
        let Some(lights) = self.lights() else {
            if self.feed.low() <= needed.high() {
                return self.beginning();
            }
            return "feed it at its middle or at both ends. A quarter of the voltage is then lost".to_owned();
        };
        let (segment, each) = (self.segment(lights).high(), self.each(lights).high());
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most two thousand lights"
        )]
        let (count, reach_of) = (lights as usize, |room: ElectricPotential| {
            electrics::lights_per_feed(room, segment, each).base().floor() as usize
        });
        // Each feed has wires of its own, like those of the beginning, so that they share the current.
        let found = (1..=count).find_map(|number| {
            let feed = self.supply.low() - self.cable.high() / number as f64;
            let room = feed - needed.high();
            if room.base() <= 0.0 {
                return None;
            }
            let places = electrics::feed_places(count, reach_of(room));
            (places.len() <= number).then_some((feed, places))
        });
        let Some((feed, places)) = found else {
            return self.beginning();
        };
        let voltages = electrics::strip_voltages(feed, count, segment, LightLoad::Current(each), &places);
        let lowest = voltages.ok().and_then(|voltages| {
            voltages
                .into_iter()
                .min_by(|one, other| one.base().total_cmp(&other.base()))
        });
        format!(
            "{}{}. Or run it at less brightness",
            self.places(&places),
            lowest.map_or_else(String::new, |lowest| format!(
                ". No LED then has less than {}",
                brief(lowest)
            ))
        )
    }

    fn beginning(&self) -> String {
        let other = if self.pair.way.own_supply {
            "set its converter higher, within the rating of the strip"
        } else {
            "use a dedicated converter"
        };
        format!(
            "use thicker or shorter wires to it, or {other}. Its beginning has only {} in the worst case",
            brief(self.feed.low().larger(ElectricPotential::from_base(0.0)))
        )
    }

    fn places(&self, places: &[usize]) -> String {
        let lights = self.lights().unwrap_or(1.0);
        let metres = |light: usize| {
            let whole = self
                .strip
                .length
                .map_or(si::Length::from_base(0.0), |length| length.value.nominal());
            brief(whole * (light as f64 / lights))
        };
        match places {
            [] => String::new(),
            [one] => format!(
                "connect the wires at LED {} instead of its beginning, {} along",
                one + 1,
                metres(one + 1)
            ),
            places if places.len() <= 4 => {
                let words: Vec<String> = places
                    .iter()
                    .map(|place| format!("{} ({} along)", place + 1, metres(place + 1)))
                    .collect();
                format!(
                    "connect {} pairs of wires to it, alike and from the same supply, instead of at its beginning. Places: LED {}",
                    places.len(),
                    words.join(", ")
                )
            }
            [first, second, ..] => format!(
                "connect {} pairs of wires to it, alike and from the same supply, instead of at its beginning. Places: LED {}, then every {} LEDs ({})",
                places.len(),
                first + 1,
                second - first,
                metres(second - first)
            ),
        }
    }
}
