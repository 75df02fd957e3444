//! How far a bring-up is: what is done, failed, left out, fell due again, and what comes next.
//!
//! A [`Duty`] is what is recorded by itself: a step, or one row of its table. [`progress`] reads the rows of a record against the steps of
//! today. What rests on something that changed since is to be done again, and says what changed; what does not rest on it stays done.

use std::collections::{BTreeMap, BTreeSet};

use plan::{Plan, Row as Cable};
use record::{Kind, Row, Verdict};
use serde::Serialize;
use settings::{Setting, Settings};

use crate::job::GATES;
use crate::step::{Expected, Needs, Part, Step};

/// What is recorded by itself.
#[derive(Clone, Debug)]
pub struct Duty<'s> {
    /// The identifier of the step, or of its part.
    pub id: &'s str,
    /// The place of its step in the list, from 1.
    pub number: usize,
    /// The step.
    pub step: &'s Step,
    /// The row of its table; `None` for the step as a whole.
    pub part: Option<&'s Part>,
    /// What it expects.
    pub expected: &'s [Expected],
    /// Identifiers of what must be done before: steps or parts.
    pub after: Vec<&'s str>,
    /// What of the plan it rests on.
    pub basis: Basis,
}

/// What of the plan a duty rests on: a name and its content each, such as `cable H1` and `HEAT2`.
pub type Basis = BTreeMap<String, String>;

impl Duty<'_> {
    /// What it is called: the title of the step, and the place.
    #[must_use]
    pub fn title(&self) -> String {
        match self.part {
            Some(part) => format!("{}: {}", self.step.title, part.what),
            None => self.step.title.clone(),
        }
    }

    /// What it rests on, as a row of the record keeps it.
    #[must_use]
    pub fn basis_text(&self) -> String {
        serde_json::to_string(&self.basis).unwrap_or_default()
    }

    /// What must be read, by name; where nothing is, that it is done.
    pub fn readings(&self) -> impl Iterator<Item = &str> {
        let done = self.expected.is_empty().then_some("");
        self.expected
            .iter()
            .map(|expected| expected.what.as_str())
            .chain(done)
    }
}

/// Where a duty stands.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "state", content = "because")]
pub enum State {
    /// Nothing of it is recorded, or not all.
    Open,
    /// All its readings are as expected.
    Done,
    /// These readings are not.
    Failed(Vec<String>),
    /// Left out, for this reason.
    LeftOut(String),
    /// Was done, and is to be done again: what changed since.
    Stale(Vec<String>),
}

impl State {
    /// Whether something of it is still to be done.
    #[must_use]
    pub fn is_due(&self) -> bool {
        !matches!(self, Self::Done | Self::LeftOut(_))
    }
}

/// Nothing at all begins where this was left out: work on wiring is for a dead machine.
const DEAD: &str = "unplug";

/// Whether what was left out keeps a duty right after it from beginning: all that has power, moves or heats.
fn closes(left_out: &Duty<'_>, after: &Duty<'_>) -> bool {
    after.step.needs >= Needs::Power || left_out.id == DEAD
}

/// A duty with where it stands.
#[derive(Clone, Debug)]
pub struct Standing<'s> {
    /// The duty.
    pub duty: Duty<'s>,
    /// Where it stands.
    pub state: State,
    /// Of its readings those count that were taken after this row.
    since: u64,
    /// Its readings that are still to be taken.
    pub missing: Vec<String>,
}

/// How far a bring-up is.
#[derive(Clone, Debug)]
pub struct Progress<'s> {
    /// The duties in their order.
    pub duties: Vec<Standing<'s>>,
}

impl<'s> Progress<'s> {
    /// The first duty that is open and may begin.
    #[must_use]
    pub fn next(&self) -> Option<&Standing<'s>> {
        let mut open = self.duties.iter().filter(|own| own.state.is_due());
        open.find(|own| self.held_by(&own.duty).is_empty())
    }

    /// What stands right before a duty.
    #[must_use]
    pub fn before(&self, duty: &Duty<'_>) -> Vec<&Standing<'s>> {
        let before = |own: &&Standing<'s>| own.duty.id != duty.id && comes_after(duty, &own.duty);
        self.duties.iter().filter(before).collect()
    }

    /// What keeps a duty from beginning: those before it that are not done.
    #[must_use]
    pub fn held_by(&self, duty: &Duty<'_>) -> Vec<&Standing<'s>> {
        let mut before = self.before(duty);
        before.retain(|own| match own.state {
            State::Done => false,
            State::LeftOut(_) => closes(&own.duty, duty),
            _ => true,
        });
        before
    }

    /// The duties that may not begin while another one is left out.
    #[must_use]
    pub fn closed_by(&self, left_out: &Duty<'_>) -> Vec<&Duty<'s>> {
        let duties = self.duties.iter().map(|own| &own.duty);
        let closed = duties.filter(|duty| duty.id != left_out.id && closes(left_out, duty));
        closed.filter(|duty| comes_after(duty, left_out)).collect()
    }

    /// How many duties are in a state.
    #[must_use]
    pub fn count(&self, of: impl Fn(&State) -> bool) -> usize {
        self.duties.iter().filter(|own| of(&own.state)).count()
    }

    /// Whether nothing is left to be done.
    #[must_use]
    pub fn is_finished(&self) -> bool {
        !self.duties.iter().any(|own| own.state.is_due())
    }
}

/// What the steps come to, in their order.
#[must_use]
pub fn duties<'s>(steps: &'s [Step], plan: &Plan<'_>, settings: &Settings) -> Vec<Duty<'s>> {
    let cables = plan::cables(plan);
    let mut duties = Vec::new();
    for (at, step) in steps.iter().enumerate() {
        let basis = |expected: &[Expected], tags: &[String], proves: &[String]| {
            let told = controller(&step.id, plan, settings);
            let mut basis = basis((expected, tags, proves), &cables, settings);
            basis.insert("board".to_owned(), plan.board.name.value.clone());
            basis.extend(told);
            basis
        };
        // What a part brought in counts for that part alone.
        let of_parts: BTreeSet<&str> = step
            .parts
            .iter()
            .flat_map(|part| &part.after)
            .map(String::as_str)
            .collect();
        let own = step
            .after
            .iter()
            .map(String::as_str)
            .filter(|after| !of_parts.contains(after));
        let own: Vec<&str> = own.collect();
        for part in &step.parts {
            let after = part.after.iter().map(String::as_str).chain(own.iter().copied());
            duties.push(Duty {
                id: &part.id,
                number: at + 1,
                step,
                part: Some(part),
                expected: &part.expected,
                after: after.collect(),
                basis: basis(&part.expected, &part.tags, &part.settings),
            });
        }
        if step.parts.is_empty() || !step.expected.is_empty() {
            let parts = step.parts.iter().map(|part| part.id.as_str());
            // What stands in the rows of its table counts for these.
            let (tags, proves): (&[String], &[String]) = if step.parts.is_empty() {
                (&step.tags, &step.settings)
            } else {
                (&[], &[])
            };
            duties.push(Duty {
                id: &step.id,
                number: at + 1,
                step,
                part: None,
                expected: &step.expected,
                after: own.iter().copied().chain(parts).collect(),
                basis: basis(&step.expected, tags, proves),
            });
        }
    }
    duties
}

/// The steps that make the controller know the machine: the image first.
const TOLD: [&str; 3] = ["image", "settings-told", "read-back"];

/// What these steps rest on: image, settings built in, settings told.
fn controller(step: &str, plan: &Plan<'_>, settings: &Settings) -> Basis {
    if !TOLD.contains(&step) {
        return Basis::new();
    }
    let image = step == TOLD[0];
    let mine = settings
        .settings
        .iter()
        .filter(|own| own.is_told() != image && own.new.is_some());
    let mut basis: Basis = mine
        .map(|own| {
            let pin = own
                .pin
                .as_ref()
                .map(|pin| format!(" on {pin}"))
                .unwrap_or_default();
            (format!("setting {}", own.id), format!("{}{pin}", shown(own)))
        })
        .collect();
    if image {
        let board = crate::firmware::board(plan.board, &plan.swap.catalogue);
        basis.insert("image".to_owned(), format!("{board:?}"));
    }
    basis
}

fn shown(setting: &Setting) -> String {
    let value = setting.new.as_ref();
    value.map_or_else(|| "to be measured".to_owned(), ToString::to_string)
}

fn basis(
    (expected, tags, proves): (&[Expected], &[String], &[String]),
    cables: &[Cable],
    settings: &Settings,
) -> Basis {
    let mut basis = Basis::new();
    for expected in expected {
        basis.insert(format!("expected {}", expected.what), expected.words());
    }
    for cable in cables.iter().filter(|cable| tags.contains(&cable.tag)) {
        let pins = cable.wires.iter().map(|wire| {
            let pin = wire.new_pin.map_or_else(|| "-".to_owned(), |pin| pin.to_string());
            format!("{} to {pin}", wire.colour)
        });
        let pins: Vec<String> = pins.collect();
        let port = cable.new_port.as_deref().unwrap_or("no port");
        basis.insert(
            format!("cable {}", cable.tag),
            format!("{port}, {}", pins.join(", ")),
        );
    }
    for setting in settings
        .settings
        .iter()
        .filter(|setting| proves.contains(&setting.id))
    {
        basis.insert(format!("setting {}", setting.id), shown(setting));
    }
    basis
}

/// The names under which two bases differ.
fn differing<'b>(before: &'b Basis, now: &'b Basis) -> impl Iterator<Item = &'b String> {
    let names: BTreeSet<&String> = before.keys().chain(now.keys()).collect();
    names
        .into_iter()
        .filter(|name| before.get(*name) != now.get(*name))
}

/// What changed between two bases, in words.
fn changes(before: &Basis, now: &Basis) -> Vec<String> {
    let changed = differing(before, now).map(|name| match (before.get(name), now.get(name)) {
        (Some(before), Some(now)) => format!("{name}: was {before}, now {now}"),
        (Some(before), None) => format!("{name}: was {before}, now gone"),
        (None, now) => format!("{name}: new, {}", now.map_or("", String::as_str)),
    });
    changed.collect()
}

/// Holds the rows of a record against the duties of today.
#[must_use]
pub fn progress<'s>(duties: Vec<Duty<'s>>, rows: &[Row]) -> Progress<'s> {
    let found = duties.into_iter().map(|duty| Standing {
        state: alone(&duty, rows),
        since: 0,
        missing: Vec::new(),
        duty,
    });
    let mut duties: Vec<Standing<'_>> = found.collect();
    follow(&mut duties, rows);
    for own in &mut duties {
        own.missing = missing(own, rows);
    }
    Progress { duties }
}

/// The readings of a duty that nobody took against the plan of today and since what it rests on was done, or that failed.
fn missing(own: &Standing<'_>, rows: &[Row]) -> Vec<String> {
    let duty = &own.duty;
    let counts = |row: &Row| {
        let fits = read_basis(&row.entry.basis) == duty.basis;
        fits && row.number > own.since && row.entry.verdict == Some(Verdict::Pass)
    };
    let missing = duty
        .readings()
        .filter(|what| !latest(duty, what, rows).is_some_and(counts));
    missing.map(str::to_owned).collect()
}

/// The state of a duty by its own rows.
fn alone(duty: &Duty<'_>, rows: &[Row]) -> State {
    let mut own = rows.iter().rev().filter(|row| row.entry.step == duty.id);
    match own.find(|row| matches!(row.entry.kind, Kind::LeftOut | Kind::Reading)) {
        None => return State::Open,
        Some(row) if row.entry.kind == Kind::LeftOut => return State::LeftOut(row.entry.reason.clone()),
        Some(_) => {}
    }
    let latest: Vec<(&str, Option<&Row>)> = duty
        .readings()
        .map(|what| (what, latest(duty, what, rows)))
        .collect();
    let changed = latest
        .iter()
        .filter_map(|(_, row)| *row)
        .map(|row| changes(&read_basis(&row.entry.basis), &duty.basis))
        .find(|changed| !changed.is_empty());
    if let Some(changed) = changed {
        return State::Stale(changed);
    }
    let failed = latest
        .iter()
        .filter(|(_, row)| row.is_some_and(|row| row.entry.verdict != Some(Verdict::Pass)));
    let failed: Vec<String> = failed.map(|(what, _)| (*what).to_owned()).collect();
    if !failed.is_empty() {
        State::Failed(failed)
    } else if latest.iter().all(|(_, row)| row.is_some()) {
        State::Done
    } else {
        State::Open
    }
}

/// The last row of a reading.
fn latest<'r>(duty: &Duty<'_>, what: &str, rows: &'r [Row]) -> Option<&'r Row> {
    rows.iter().rev().find(|row| {
        let entry = &row.entry;
        entry.kind == Kind::Reading && entry.step == duty.id && entry.what == what
    })
}

fn read_basis(text: &str) -> Basis {
    serde_json::from_str(text).unwrap_or_default()
}

/// What was done before something that it rests on was done anew, or has to be, and is about the same cables.
fn follow(found: &mut [Standing<'_>], rows: &[Row]) {
    let direct: Vec<Vec<usize>> = (0..found.len())
        .map(|at| {
            let before = found[..at].iter().enumerate();
            let before = before.filter(|(_, before)| comes_after(&found[at].duty, &before.duty));
            before.map(|(place, _)| place).collect()
        })
        .collect();
    let watched = watched(found);
    // By place: all that it comes after, and the cables that it is about.
    let mut all: Vec<BTreeSet<usize>> = Vec::with_capacity(found.len());
    let mut about: Vec<BTreeSet<String>> = Vec::with_capacity(found.len());
    for (at, before) in direct.iter().enumerate() {
        let mut far: BTreeSet<usize> = before.iter().copied().collect();
        before.iter().for_each(|place| far.extend(&all[*place]));
        all.push(far);
        let mut tags = named(&found[at].duty);
        let watched = watched.iter().filter(|(heater, _)| tags.contains(*heater));
        let sensors: Vec<String> = watched.flat_map(|(_, sensors)| sensors.iter().cloned()).collect();
        tags.extend(sensors);
        if cables(&found[at].duty).is_empty() {
            // Those of what it comes after, but for the gates that everything comes after.
            let gate = |place: &&usize| GATES.contains(&found[**place].duty.step.id.as_str());
            let before = before.iter().filter(|place| !gate(place));
            before.for_each(|place| tags.extend(about[*place].iter().cloned()));
        }
        about.push(tags);
    }
    let events: Vec<Vec<Event>> = found.iter().map(|own| events(own, rows)).collect();
    for at in 0..found.len() {
        if found[at].state != State::Done {
            continue;
        }
        let duty = &found[at].duty;
        let own = duty.readings().filter_map(|what| latest(duty, what, rows));
        let oldest = own.map(|row| row.number).min().unwrap_or(0);
        let (mut because, mut since) = (None, 0);
        for place in &all[at] {
            for event in &events[*place] {
                if event.tags.is_disjoint(&about[at]) || event.number.is_some_and(|number| number < oldest) {
                    continue;
                }
                let id = found[*place].duty.id;
                because.get_or_insert_with(|| match event.number {
                    None => format!("`{id}` is to be done again"),
                    Some(_) => format!("`{id}` was changed since"),
                });
                since = since.max(event.number.unwrap_or(0));
            }
        }
        if let Some(because) = because {
            found[at].state = State::Stale(vec![because]);
            found[at].since = since;
        }
    }
}

/// Something that what comes after a duty has to be done again for.
struct Event {
    /// The row with which it was mended; none where it is not yet.
    number: Option<u64>,
    /// The cables that it concerns.
    tags: BTreeSet<String>,
}

/// What changed at a duty: what it rests on, or a reading that failed and then passed. Reading once more changes nothing.
fn events(own: &Standing<'_>, rows: &[Row]) -> Vec<Event> {
    let duty = &own.duty;
    let mut events = Vec::new();
    let corrected: BTreeSet<u64> = rows.iter().filter_map(|row| row.entry.corrects).collect();
    let readings = rows
        .iter()
        .filter(|row| row.entry.step == duty.id && row.entry.kind == Kind::Reading);
    let readings = readings.filter(|row| !corrected.contains(&row.number));
    // What the rows since the last event rested on that is otherwise today, and which readings failed.
    let mut other: BTreeSet<String> = BTreeSet::new();
    let mut failed: BTreeSet<&str> = BTreeSet::new();
    for row in readings {
        let moved = moved(&read_basis(&row.entry.basis), duty);
        let what = row.entry.what.as_str();
        let mended = row.entry.verdict == Some(Verdict::Pass) && failed.remove(what);
        if row.entry.verdict == Some(Verdict::Fail) {
            failed.insert(what);
        }
        let renewed = moved.is_empty() && !other.is_empty();
        if renewed || mended {
            let mut tags = core::mem::take(&mut other);
            if mended {
                tags.extend(named(duty));
            }
            events.push(Event {
                number: Some(row.number),
                tags,
            });
        }
        other.extend(moved);
    }
    if !failed.is_empty() {
        other.extend(named(duty));
    }
    if !other.is_empty() {
        events.push(Event {
            number: None,
            tags: other,
        });
    }
    events
}

/// The cables of a duty whose part of a basis is otherwise today; all of them where something else is.
fn moved(before: &Basis, duty: &Duty<'_>) -> BTreeSet<String> {
    let mut tags = BTreeSet::new();
    for name in differing(before, &duty.basis) {
        match name.strip_prefix("cable ") {
            Some(tag) => tags.extend([tag.to_owned()]),
            None => tags.extend(named(duty)),
        }
    }
    tags
}

/// The sensors by which each heater is watched: what changes at them makes due what the heater proved, not the other way round.
fn watched(found: &[Standing<'_>]) -> BTreeMap<String, Vec<String>> {
    let parts = found.iter().filter_map(|own| {
        let heater = own.duty.id.strip_prefix("heat:")?;
        let sensors = cables(&own.duty).iter().filter(|tag| *tag != heater);
        Some((heater.to_owned(), sensors.cloned().collect()))
    });
    parts.collect()
}

/// Stands among cables for what the controller was built with and told.
const CONTROLLER: &str = "*controller";

/// What a duty names itself: its cables, and the controller where it makes it know the machine.
fn named(duty: &Duty<'_>) -> BTreeSet<String> {
    let mut names: BTreeSet<String> = cables(duty).iter().cloned().collect();
    if TOLD.contains(&duty.id) {
        names.insert(CONTROLLER.to_owned());
    }
    names
}

/// The cables that a duty names itself; what is done once after all parts of a step names none.
fn cables<'d>(duty: &'d Duty<'_>) -> &'d [String] {
    match duty.part {
        Some(part) => &part.tags[..],
        None if duty.step.parts.is_empty() => &duty.step.tags,
        None => &[],
    }
}

fn comes_after(duty: &Duty<'_>, before: &Duty<'_>) -> bool {
    duty.after
        .iter()
        .any(|after| *after == before.id || *after == before.step.id)
}
