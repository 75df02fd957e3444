//! Control terms of hot end, bed and chamber: a start where power or sensing changed, to be tuned again.

use model::Zone;
use model::machine::{Detail, Heater};
use physics::control::Pid;
use physics::{Worked, electrics, named, work};
use plan::Pair;
use plan::control::Model;
use plan::heating::Heating;
use quantity::si::{ElectricPotential, Power, TemperatureCoefficient, Time};
use quantity::{Number, Value};

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, Old, SettingValue};
use crate::topics::thermometers::{reads_otherwise, sensed};
use crate::words::percent;
use model::Topic;

pub(crate) const TERMS: [Topic; 3] = [
    Topic::ControlProportional,
    Topic::ControlIntegral,
    Topic::ControlDerivative,
];

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    for zone in [Zone::HotEnd, Zone::Bed, Zone::Chamber] {
        if let Some((pair, heater)) = heater(job, zone) {
            terms(job, zone, &pair, heater, list);
        }
    }
}

/// The first connected heater of a part.
pub(crate) fn heater<'a>(job: &Job<'a>, zone: Zone) -> Option<(Pair<'a>, &'a Heater)> {
    job.setup.pairs().find_map(|pair| match &pair.device().detail {
        Detail::Heater(heater) if heater.zone == zone => Some((pair, heater.as_ref())),
        _ => None,
    })
}

/// The rated power at a voltage.
pub(crate) fn power_at(
    heater: &Heater,
    what: &'static str,
    voltage: Value<ElectricPotential>,
) -> Worked<Power> {
    let inputs = (
        named("Pᵣ", "rated power of the heater", heater.power.value),
        named("Uᵣ", "rated voltage of the heater", heater.voltage.value),
        named("U", what, voltage),
    );
    work(&electrics::POWER_AT_VOLTAGE, "P", inputs, |(p, r, u)| {
        electrics::power_at_voltage(p, r, u)
    })
}

/// The voltage at the old port; `None` for a new device, or where a jumper might have chosen any.
fn old_voltage(pair: &Pair<'_>) -> Option<Value<ElectricPotential>> {
    // A relay's load is fed by the mains, whatever the port gives.
    if !pair.device().is_direct_heater() {
        return None;
    }
    match plan::rails::old_voltages(pair.swap, pair.old_port()?)[..] {
        [gave] => Some(gave),
        _ => None,
    }
}

/// A heated part as its control sees it on the new board.
struct Part<'a> {
    heating: Heating<'a>,
    model: Model,
    /// Designed together with the heat-up monitoring.
    proposed: Pid,
    /// What full power counts as in the terms of the new controller, where that is known.
    full: Option<f64>,
}

impl<'a> Part<'a> {
    /// `None` where the machine's file does not tell its body.
    fn of(job: &Job<'a>, zone: Zone, pair: &Pair<'a>, list: &List<'_>) -> Option<Self> {
        let facts = job.setup.facts();
        let heating = facts.heating(pair.id)?.clone();
        Some(Self {
            model: facts.control(&heating)?.clone(),
            proposed: facts.proposed(&heating)?,
            heating,
            full: full(list, zone),
        })
    }

    /// The three terms of a setting; `None` where nobody knows what full power counts as in them.
    fn terms(&self, pid: Pid) -> Option<[f64; 3]> {
        let gain = pid.gain.base() * self.full?;
        let integral = pid.integral.map_or(0.0, |time| gain / time.base());
        Some([gain, integral, gain * pid.derivative.base()].map(rounded))
    }

    /// The setting of three terms.
    fn setting(&self, terms: [f64; 3]) -> Option<Pid> {
        pid(terms, self.full?)
    }

    fn kept(&self) -> f64 {
        self.heating.pair.limits().control_gain_margin.value.high().base()
    }
}

/// What full power counts as in the terms of the new controller.
fn full(list: &List<'_>, zone: Zone) -> Option<f64> {
    list.slot(Topic::ControlProportional, zone.word())?.word.full
}

/// The controller of a part as the settings so far tell it; `None` where they tell none, or nobody knows what full power counts as in them.
pub(crate) fn told(list: &List<'_>, zone: Zone) -> Option<Pid> {
    let number = |topic| match list.find(topic, zone.word())?.new.as_ref()? {
        SettingValue::Number(number) => Some(*number),
        _ => None,
    };
    let [gain, integral, derivative] = TERMS.map(number);
    pid([gain?, integral?, derivative?], full(list, zone)?)
}

/// A controller from three terms; `None` where they make none.
fn pid([gain, integral, derivative]: [f64; 3], full: f64) -> Option<Pid> {
    (gain > 0.0 && integral >= 0.0 && derivative >= 0.0).then(|| Pid {
        gain: TemperatureCoefficient::from_base(gain / full),
        integral: (integral > 0.0).then(|| Time::from_base(gain / integral)),
        derivative: Time::from_base(derivative / gain),
    })
}

/// What the numbers of the old controller become in the terms of the new one; `None` where it is not known of both what full power counts as,
/// and they do not speak the same words.
fn counted_anew(job: &Job<'_>, list: &List<'_>, zone: Zone) -> Option<f64> {
    let before = job
        .old_dialect
        .slot(Topic::ControlProportional, zone.word())
        .and_then(|slot| slot.word.full);
    match (before, full(list, zone)) {
        (Some(before), Some(after)) => Some(after / before),
        (None, None) => job.same_words().then_some(1.0),
        _ => None,
    }
}

/// What begins the tuning, and what of the old terms is known.
struct Start {
    terms: Option<[f64; 3]>,
    /// Whether they are those of the model and not the old ones.
    modelled: bool,
    /// What the gain of the old terms may grow by; `None` where they, or the part, are not known.
    margin: Option<f64>,
    /// A sentence about them.
    words: String,
}

/// The old terms, scaled by the power, where they keep their gain margin on this board; else those of the model.
fn start(part: Option<&Part<'_>>, old: Option<[f64; 3]>) -> Start {
    let Some(part) = part else {
        return Start {
            terms: old,
            modelled: false,
            margin: None,
            words: String::new(),
        };
    };
    let proposed = part.proposed;
    let terms = part.terms(proposed);
    let margin = old
        .and_then(|old| part.setting(old))
        .map(|pid| part.model.gain_margin(pid).base());
    let kept = part.kept();
    let numbers = terms.map_or_else(String::new, |terms| {
        let [gain, integral, derivative] = terms.map(SettingValue::Number);
        format!(" (P {gain}, I {integral}, D {derivative})")
    });
    let model = format!(
        "The model would begin with {} of full power for each kelvin{}{numbers}",
        percent(proposed.gain.base()),
        proposed.integral.map_or_else(String::new, |time| format!(
            " and {:.0} s of integral time",
            time.base()
        )),
    );
    match margin {
        Some(margin) if margin >= kept => Start {
            terms: old,
            modelled: false,
            margin: Some(margin),
            words: format!(
                " By the model of this part the gain of the old terms may still grow {margin:.1} times in its liveliest case. {model}."
            ),
        },
        Some(margin) => Start {
            terms,
            modelled: true,
            margin: Some(margin),
            words: if margin < 1.0 {
                format!(
                    " By the model of this part the old terms would swing without end in its liveliest case: their gain is {:.1} times what it bears. {model}.",
                    1.0 / margin
                )
            } else {
                format!(
                    " By the model of this part the gain of the old terms may grow only {margin:.1} times in its liveliest case, where {kept:.0} are to be kept. {model}."
                )
            },
        },
        None => Start {
            terms,
            modelled: terms.is_some(),
            margin: None,
            words: format!(" {model}."),
        },
    }
}

fn terms(job: &Job<'_>, zone: Zone, pair: &Pair<'_>, heater: &Heater, list: &mut List<'_>) {
    let mut causes = Vec::new();
    let mut working = Vec::new();
    let mut factor = 1.0;
    if let (Some(before), Some(after)) = (old_voltage(pair), pair.facts().heater_voltage()) {
        let (before, after) = (
            power_at(heater, "voltage of the old port", before),
            power_at(heater, "voltage of the new port", after),
        );
        let ratio = before.value.nominal().base() / after.value.nominal().base();
        if (ratio - 1.0).abs() > 0.02 {
            causes.push(format!(
                "the heater gives {} of the power it gave",
                percent(1.0 / ratio)
            ));
            working.extend([before.working, after.working]);
            factor = ratio;
        }
    }
    let sensing = sensed(job).into_iter().find(|sensed| sensed.detail.zone == zone);
    causes.extend(sensing.as_ref().and_then(|sensed| reads_otherwise(job, sensed)));
    let of = zone.word();
    let anew = counted_anew(job, list, zone);
    let olds = TERMS.map(|topic| job.old(topic, of));
    let number = |old: &Option<Old>| Some(old.as_ref()?.value.any()?.nominal);
    let scaled = olds.each_ref().map(number);
    let scaled = match scaled {
        [Some(gain), Some(integral), Some(derivative)] => {
            anew.map(|anew| [gain, integral, derivative].map(|term| rounded(term * factor * anew)))
        }
        _ => None,
    };
    let part = Part::of(job, zone, pair, list);
    let start = start(part.as_ref(), scaled);
    if let Some(part) = &part {
        working.push(part.model.working(part.proposed));
    }
    let held = |margin: Option<f64>| {
        part.as_ref()
            .zip(margin)
            .is_none_or(|(part, margin)| margin >= part.kept())
    };
    for (at, (topic, old)) in TERMS.into_iter().zip(olds).enumerate() {
        let (fate, mut reason) = match (&old, &causes[..]) {
            (None, _) if start.terms.is_some() => (
                Fate::MeasureAgain,
                "Nothing was captured: tune it at the bring-up, under watch. The value is a start, no more.".to_owned(),
            ),
            (None, _) => (Fate::New, "Nothing was captured: tune it at the bring-up, under watch.".to_owned()),
            (Some(_), _) if anew.is_none() => (
                Fate::MeasureAgain,
                "What full power counts as in these numbers is not known of both controllers: tune it at the bring-up, under watch; `full` in \
                 their words would tell."
                    .to_owned(),
            ),
            (Some(_), []) if anew.is_some_and(|anew| (anew - 1.0).abs() > 1e-9) => (
                Fate::Recomputed,
                format!(
                    "Power and thermometer circuit stay; full power counts {} times what it did. Controllers may sample at another pace: look at the \
                     first heat-up, and tune again if it swings.",
                    SettingValue::Number(rounded(anew.unwrap_or(1.0)))
                ),
            ),
            (Some(_), []) => (
                Fate::Carried,
                "Power and thermometer circuit stay. Controllers may sample at another pace: look at the first heat-up, and tune again if it swings."
                    .to_owned(),
            ),
            (Some(_), causes) => (
                Fate::MeasureAgain,
                format!("Tune it again, for {}. The value is a start, no more.", causes.join(" and ")),
            ),
        };
        // Told once, with the first of the three.
        if at == 0 {
            reason.push_str(&start.words);
        }
        let own = old
            .as_ref()
            .and_then(|old| old.value.any())
            .map(|old| old.nominal);
        let value = match fate {
            Fate::Carried => own,
            Fate::Recomputed => own.zip(anew).map(|(own, anew)| rounded(own * anew)),
            _ => start
                .terms
                .map(|terms| terms[at])
                .or(own.zip(anew).map(|(own, anew)| rounded(own * factor * anew))),
        };
        let mut draft = Draft::new(topic, of, fate, reason)
            .old(old)
            .maybe(value.map(SettingValue::Number))
            .caution(matches!(fate, Fate::Carried | Fate::Recomputed) && !held(start.margin))
            .working(working.iter().cloned())
            .at(pair);
        if start.modelled && !matches!(fate, Fate::Carried | Fate::Recomputed) {
            draft = draft.source("skogestad-2003");
        }
        list.push(draft);
    }
}

/// Four decimals hide the rounding of a division and nothing that is told.
fn rounded(number: f64) -> f64 {
    (number * 1e4).round() / 1e4
}
