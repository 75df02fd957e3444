//! The voltage along a light strip, what is left of its colours at the end, and where to feed in again.

use model::machine::{Detail, LightStrip};
use physics::electrics::{self, LightLoad};
use physics::{named, work};
use quantity::si::{ElectricCurrent, ElectricPotential, ElectricalResistance};
use quantity::{Number, Value, si};

use crate::finding::{Finding, Subject, Verdict, brief};
use crate::judge::Judge;
use crate::setup::{Pair, Setup};
use crate::wires;

pub(crate) const ID: &str = "light-strip";

/// All lights at full white; the far end counts.
pub(crate) fn check(setup: &Setup<'_>, judge: &mut Judge) {
    for pair in setup.pairs() {
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
                    .remedy(
                        "measure the strip; a strip longer than a metre or two turns yellow at its far end",
                    )
            });
            continue;
        };
        let (Some(supply), Some(lead)) = (pair.device_voltage(), wires::drop(&pair)) else {
            continue;
        };
        let per_length = strip
            .resistance
            .map_or(setup.limits().light_strip_resistance.value, |stated| stated.value);
        let whole = Value::corners(|end| {
            ElectricalResistance::from_base(per_length.at(end).base() * length.at(end).base())
        });
        let along = Along {
            pair,
            strip,
            feed: supply - lead.total,
            lead: lead.total,
            whole,
        };
        along.judge(judge);
    }
}

struct Along<'a> {
    pair: Pair<'a>,
    strip: &'a LightStrip,
    lead: Value<ElectricPotential>,
    /// Where the strip begins.
    feed: Value<ElectricPotential>,
    whole: Value<ElectricalResistance>,
}

impl Along<'_> {
    fn lights(&self) -> Option<f64> {
        self.strip.lights.map(|lights| f64::from(lights.value))
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
        if self.strip.lights.is_some() && self.strip.voltage.nominal() < si::volt(6.0) {
            return limits.light_supply_low.value;
        }
        let share = 1.0 - limits.device_voltage_tolerance.value.nominal().base();
        Value::exact(self.strip.voltage.nominal() * share)
    }

    fn judge(&self, judge: &mut Judge) {
        let (far, needed) = (self.feed - self.lost(), self.needed());
        judge.at_least(far, needed, Verdict::Caution, || {
            let headline = format!(
                "the last light of {} has {} at full white: {} are lost in the lead and {} along the strip",
                self.pair.device_name(),
                brief(far.low()),
                brief(self.lead.high()),
                brief(self.lost().high())
            );
            self.working(Finding::new(headline, "common-practice"))
                .about(Subject::device(self.pair.device().tag.value.clone()))
                .at(self.strip.voltage.place)
                .remedy(self.remedy(needed))
        });
        if self.strip.lights.is_none() {
            return;
        }
        let limits = self.pair.limits();
        let dark = limits.light_blue_dark.value;
        let share = Value::corners(|end| {
            electrics::channel_share(far.at(end), dark.at(end.other()), needed.at(end.other()))
        });
        judge.at_least(share, limits.light_blue_share.value, Verdict::Note, || {
            let headline = format!(
                "the last light of {} keeps {:.0} % of its blue at full white; red keeps all of it",
                self.pair.device_name(),
                share.low().base() * 100.0
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
                .about(Subject {
                    device: Some(self.pair.device().tag.value.clone()),
                    port: None,
                    other: Some("colour".to_owned()),
                })
                .at(self.strip.voltage.place)
                .working(worked.working)
                .remedy("feed the strip in again, or use it at less brightness: at half of it half is lost")
        });
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
        finding.working(worked.working)
    }

    /// Where to feed in, with the voltages that Kirchhoff's laws then give.
    fn remedy(&self, needed: Value<ElectricPotential>) -> String {
        let room = self.feed.low() - needed.high();
        if room.base() <= 0.0 {
            return format!(
                "its beginning has only {} at the worst: thicker or shorter wires to it, or a converter of its own",
                brief(self.feed.low())
            );
        }
        let Some(lights) = self.lights() else {
            return "feed it in at its middle or at both ends: a quarter of the voltage is then lost"
                .to_owned();
        };
        let (segment, each) = (self.segment(lights).high(), self.each(lights).high());
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most two thousand lights"
        )]
        let (count, reach) = (
            lights as usize,
            electrics::lights_per_feed(room, segment, each).base().floor() as usize,
        );
        let feeds = electrics::feed_places(count, reach);
        let voltages =
            electrics::strip_voltages(self.feed.low(), count, segment, LightLoad::Current(each), &feeds);
        let lowest = voltages.ok().and_then(|voltages| {
            voltages
                .into_iter()
                .min_by(|one, other| one.base().total_cmp(&other.base()))
        });
        let places: Vec<String> = feeds.iter().map(|feed| (feed + 1).to_string()).collect();
        format!(
            "join the wires to it at light {} in place of its beginning{}; or use it at less brightness",
            places.join(" and "),
            lowest.map_or_else(String::new, |lowest| format!(
                ": no light then has less than {}",
                brief(lowest)
            ))
        )
    }
}
