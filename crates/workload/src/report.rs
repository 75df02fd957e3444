//! What a workload means: a verdict on each question, in one or two sentences each, with what to do.

use physics::heat::State;
use quantity::Number as _;
use quantity::si::{Length, Power, Ratio, ThermodynamicTemperature, VolumeRate};
use quantity::{Range, Value};
use serde::Serialize;

use crate::given::{Board, Setup, Zone};
use crate::outcome::{BoardUse, Peak, Place, Work};
use crate::trouble::Skipped;
use crate::words::{brief, count, duration, percent};

/// The answer to one question; ordered from settled to worst.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Every limit holds.
    Pass,
    /// Something is not known that would settle it.
    Open,
    /// A limit does not hold.
    Fail,
}

impl Verdict {
    /// The word on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Pass => "Pass",
            Verdict::Open => "Open",
            Verdict::Fail => "Fail",
        }
    }
}

/// The answer to one question.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// A short name in kebab case, stable: other programs find it by this.
    pub id: &'static str,
    /// The answer.
    pub verdict: Verdict,
    /// What was found, with its limit.
    pub sentence: String,
    /// What to do about it; nothing where it passes.
    pub remedy: Option<String>,
}

impl Finding {
    fn new(id: &'static str, verdict: Verdict, sentence: impl Into<String>) -> Self {
        Self {
            id,
            verdict,
            sentence: sentence.into(),
            remedy: None,
        }
    }

    fn remedy(mut self, what: impl Into<String>) -> Self {
        self.remedy = Some(what.into());
        self
    }
}

/// What is assumed where nobody stated it.
#[derive(Clone, Copy, Debug)]
pub struct Assumed {
    /// The flow that a plain hot end melts: certain below, certainly too much above.
    pub melt: Range<VolumeRate>,
}

/// The sentence about one board that a comparison of boards takes up: `of 41 files none asks more than 23 % of this board`.
#[must_use]
pub fn board_sentence(work: &Work, board: &Board, asked: &BoardUse) -> String {
    let share = percent(asked.share);
    let files = work.programs;
    match (files, asked.programs_above) {
        (0, _) => "no file was read".to_owned(),
        (1, 0) => format!("the file asks no more than {share} of this board"),
        (_, 0) => format!(
            "of {} none asks more than {share} of this board",
            count(files, "file", "files")
        ),
        (1, _) => format!(
            "the file asks {share} of this board, which may give {}",
            percent(board.share)
        ),
        (_, above) => format!(
            "of {} {above} ask more than this board may give, up to {share}",
            count(files, "file", "files")
        ),
    }
}

/// The verdict on one board.
#[must_use]
pub fn board_verdict(work: &Work, board: &Board, asked: &BoardUse) -> Verdict {
    if asked.share > board.share {
        Verdict::Fail
    } else if work.pieces == 0 {
        Verdict::Open
    } else {
        Verdict::Pass
    }
}

/// The findings, worst first; boards are judged by [`board_verdict`].
#[must_use]
pub fn findings(setup: &Setup, work: &Work, assumed: &Assumed) -> Vec<Finding> {
    let mut all = Vec::new();
    all.extend(extents(setup, work));
    all.extend(flow(setup, work, assumed));
    all.extend(holding(setup, work));
    all.extend(out_of_reach(work));
    all.push(supply(setup, work));
    all.extend(links(setup, work));
    all.extend(words(work));
    all.extend(unclear(work));
    all.extend(skipped(work));
    all.extend(unknown_times(work));
    all.sort_by_key(|finding| core::cmp::Reverse(finding.verdict));
    all
}

fn at(place: Option<&Place>) -> String {
    place.map_or_else(String::new, |place| format!(" At {place}."))
}

/// A micrometre more or less is rounding.
const SLACK: f64 = 1e-6;

fn extents(setup: &Setup, work: &Work) -> Vec<Finding> {
    let mut all = Vec::new();
    let mut within = Vec::new();
    for (axis, own) in setup.machine.axes.iter().enumerate() {
        let extent = work.extents.all[axis];
        if extent.is_empty() {
            continue;
        }
        let name = &own.name;
        let Some(travel) = own.travel else {
            all.push(
                Finding::new(
                    "extent",
                    Verdict::Open,
                    format!(
                        "{name} goes from {} to {}; its travel is not stated.",
                        brief(extent.low()),
                        brief(extent.high())
                    ),
                )
                .remedy(format!("state `travel` of {name} in the machine file.")),
            );
            continue;
        };
        let place = |end: usize, line: u64| Place {
            file: work.farthest[axis][end].clone(),
            line,
        };
        let (low, high) = (place(0, extent.low_line), place(1, extent.high_line));
        if (extent.high() - extent.low()).base() > travel.base() + SLACK {
            let needs = brief(extent.high() - extent.low());
            all.push(
                Finding::new(
                    "extent",
                    Verdict::Fail,
                    format!(
                        "{name} needs {needs} of travel; limit {}. At {low} and {high}.",
                        brief(travel)
                    ),
                )
                .remedy("prepare the file for this machine."),
            );
        } else if extent.low().base() < -SLACK || extent.high() > travel + Length::from_base(SLACK) {
            let (end, place) = if extent.low().base() < -SLACK {
                (extent.low(), low)
            } else {
                (extent.high(), high)
            };
            all.push(
                Finding::new(
                    "extent",
                    Verdict::Open,
                    format!(
                        "{name} goes to {}; travel counts from 0 to {}. At {place}.",
                        brief(end),
                        brief(travel)
                    ),
                )
                .remedy(format!("check where {name} has its zero.")),
            );
        } else {
            within.push(name.as_str());
        }
    }
    if let Some(radius) = setup.machine.reach
        && !work.extents.outward.is_empty()
    {
        let out = work.extents.outward.high();
        if out > radius + Length::from_base(SLACK) {
            all.push(
                Finding::new(
                    "extent",
                    Verdict::Fail,
                    format!(
                        "The nozzle goes {} from the middle; limit {}.",
                        brief(out),
                        brief(radius)
                    ),
                )
                .remedy("prepare the file for this machine."),
            );
        }
    }
    if !within.is_empty() {
        let stay = if within.len() == 1 { "stays" } else { "stay" };
        let axes = within.join(", ");
        all.push(Finding::new(
            "extent",
            Verdict::Pass,
            format!("{axes} {stay} within the travel."),
        ));
    }
    all
}

fn flow(setup: &Setup, work: &Work, assumed: &Assumed) -> Option<Finding> {
    let Peak { value, place } = &work.flow.second;
    let place = place.as_ref()?;
    let (stated, limit) = match setup.heat.melt.limit {
        Some(limit) => ("", Range::new(limit, limit)),
        None => (" for a usual hot end", assumed.melt),
    };
    let flow = brief(*value);
    let sentence = |limit: VolumeRate| {
        format!(
            "Flow reaches {flow} over a second; limit {}{stated}. At {place}.",
            brief(limit)
        )
    };
    Some(if *value > limit.high() {
        Finding::new("flow", Verdict::Fail, sentence(limit.high()))
            .remedy("print slower, or fit a hot end with a longer melt zone.")
    } else if *value > limit.low() {
        Finding::new("flow", Verdict::Open, sentence(limit.low()))
            .remedy("measure the flow that the hot end melts (a flow test at rising speed).")
    } else {
        Finding::new("flow", Verdict::Pass, sentence(limit.low()))
    })
}

fn holding(setup: &Setup, work: &Work) -> Vec<Finding> {
    let pairs = setup.heat.heaters.iter().zip(&work.heat.heaters);
    let mut all = Vec::new();
    for (heater, used) in pairs {
        let name = &heater.name;
        let Some(place) = &used.hold.place else {
            // A heater that nobody switches on needs nothing.
            if heater.part.is_none()
                && matches!(heater.zone, Zone::HotEnd(_))
                && work.flow.second.place.is_some()
            {
                all.push(
                    Finding::new(
                        "heater-power",
                        Verdict::Open,
                        format!("Power to hold and melt is not known for {name}."),
                    )
                    .remedy("state `heat_capacity` and `thermal_conductance` in the machine file."),
                );
            }
            continue;
        };
        let share = percent(used.hold.value);
        let sentence =
            format!("{name} needs up to {share} of its power to hold and melt; limit 100 %. At {place}.");
        let verdict = if used.hold.value > Ratio::from_base(1.0) {
            Verdict::Fail
        } else {
            Verdict::Pass
        };
        let finding = Finding::new("heater-power", verdict, sentence);
        all.push(match verdict {
            Verdict::Fail => finding.remedy("print slower or cooler, or fit a heater of higher power."),
            _ => finding,
        });
    }
    all
}

fn out_of_reach(work: &Work) -> Option<Finding> {
    (work.heat.out_of_reach > 0).then(|| {
        let times = count(work.heat.out_of_reach, "wait", "waits");
        Finding::new(
            "target",
            Verdict::Fail,
            format!(
                "{times} for a heater would not end: its setpoint is out of reach.{}",
                at(work.heat.first_out_of_reach.as_ref())
            ),
        )
        .remedy("lower the setpoint, or see the check of the attainable temperature.")
    })
}

fn supply(setup: &Setup, work: &Work) -> Finding {
    let unknown: Vec<&str> = setup
        .heat
        .heaters
        .iter()
        .filter(|heater| heater.part.is_none())
        .map(|heater| heater.name.as_str())
        .collect();
    let most = brief(work.heat.peak.value);
    match (&work.heat.first_over, setup.heat.supply) {
        (Some((time, place)), Some(limit)) => Finding::new(
            "supply",
            Verdict::Fail,
            format!(
                "The heaters alone draw {most} for {}; limit {}. First after {}, at {place}.",
                duration(work.heat.over),
                brief(limit),
                duration(*time)
            ),
        )
        .remedy("heat one after the other, or limit the duty cycle of the larger heater."),
        (None, Some(limit)) if unknown.is_empty() => Finding::new(
            "supply",
            Verdict::Pass,
            format!("The heaters draw at most {most}; limit {}.", brief(limit)),
        ),
        (None, Some(_)) => Finding::new(
            "supply",
            Verdict::Open,
            format!("The power over time is not known for {}.", unknown.join(", ")),
        )
        .remedy("state `heat_capacity` and `thermal_conductance` in the machine file."),
        (_, None) => Finding::new(
            "supply",
            Verdict::Open,
            format!("The heaters draw at most {most}; the power of the supply is not known."),
        )
        .remedy("state the supply in the machine file."),
    }
}

fn links(setup: &Setup, work: &Work) -> Vec<Finding> {
    let one = |(link, used): (&crate::given::Link, &crate::links::LinkUse)| {
        let name = &link.name;
        let moves = link.moves_ahead;
        if used.dry == 0 {
            return Finding::new(
                "link",
                Verdict::Pass,
                format!("{name} keeps a buffer of {moves} moves filled."),
            );
        }
        Finding::new(
            "link",
            Verdict::Fail,
            format!(
                "Over {name} a buffer of {moves} moves runs dry {} for {} in all.{}",
                count(used.dry, "time", "times"),
                duration(used.dry_time),
                at(used.first.as_ref())
            ),
        )
        .remedy("print from the card, raise the bit rate, or prepare the file with longer segments.")
    };
    setup.links.iter().zip(&work.links).map(one).collect()
}

fn words(work: &Work) -> Option<Finding> {
    let kinds = work.unknown_words.len() as u64;
    let first = work.unknown_words.first()?;
    let total: u64 = work.unknown_words.iter().map(|word| word.count).sum();
    Some(
        Finding::new(
            "words",
            Verdict::Open,
            format!(
                "{} in {} not seen in the new controller.{}",
                count(kinds, "command", "commands"),
                count(total, "line was", "lines were"),
                at(first.places.first())
            ),
        )
        .remedy("send each to the controller by hand before the first print, or remove it."),
    )
}

/// What a words file leaves unsaid.
fn unclear(work: &Work) -> Vec<Finding> {
    let one = |(kind, what, remedy): (Skipped, &str, &str)| {
        let told = work.troubles.iter().find(|told| told.what == kind.words())?;
        let lines = count(told.count, "line", "lines");
        let finding = Finding::new(
            "unclear-words",
            Verdict::Open,
            format!("{what} in {lines} not judged.{}", at(told.places.first())),
        );
        Some(finding.remedy(remedy))
    };
    [
        (
            Skipped::Unit,
            "Values of unknown unit",
            "state the `unit` of the command in words/NAME.toml.",
        ),
        (
            Skipped::Action,
            "Commands of unknown action",
            "write the `action` in words/NAME.toml as docs/handbook/workload.md lists it.",
        ),
    ]
    .into_iter()
    .filter_map(one)
    .collect()
}

fn skipped(work: &Work) -> Option<Finding> {
    (work.lost > 0).then(|| {
        let stays = |what: &str| Skipped::NO_MOTION.iter().any(|kind| kind.words() == what);
        let first = work.troubles.iter().find(|trouble| !stays(&trouble.what));
        Finding::new(
            "skipped",
            Verdict::Open,
            format!(
                "{} not judged, because skipped.{}",
                count(work.lost, "line is", "lines are"),
                at(first.and_then(|trouble| trouble.places.first()))
            ),
        )
        .remedy("correct or export the file again.")
    })
}

fn unknown_times(work: &Work) -> Option<Finding> {
    (work.unknown_stops > 0).then(|| {
        Finding::new(
            "times",
            Verdict::Open,
            format!(
                "The time of {} is not known and not counted.",
                count(work.unknown_stops, "stop", "stops")
            ),
        )
        .remedy("measure it once where the whole time matters.")
    })
}

/// The flow that a hot end could melt by its power: what is left beside holding its temperature.
///
/// `None` where the heater's data are not known.
#[must_use]
pub fn flow_by_power(
    setup: &Setup,
    tool: usize,
    target: ThermodynamicTemperature,
) -> Option<Value<VolumeRate>> {
    let heater = setup
        .heat
        .heaters
        .iter()
        .find(|heater| heater.zone == Zone::HotEnd(tool))?;
    let part = heater.part.as_ref()?;
    let full = part.heater.power(part.voltage, target);
    // At rest: the second body as warm as its own loss leaves it.
    let held = part
        .bodies
        .end(full, part.air)
        .ok()
        .map(|end| {
            let share = (target.base() - part.air.base()) / (end.heated.base() - part.air.base());
            Power::from_base(full.base() * share)
        })
        .unwrap_or_else(|| part.bodies.held_power(State::both(target), part.air));
    let melt = &setup.heat.melt;
    let taken = melt.density.base() * melt.heat.base() * (target.base() - melt.room.base());
    let left = (full.base() - held.base()).max(0.0) / taken;
    Some(Value::exact(VolumeRate::from_base(left)))
}
