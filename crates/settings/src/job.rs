//! What translators look at, and the list that they fill.

use model::machine::{AxisId, Detail, DeviceId};
use model::{Counted, Dialect, Located, Slot, Topic, Wish, WishKind};
use physics::Working;
use plan::{Pair, Setup};
use quantity::AnyValue;

use crate::captured::{Report, Reported};
use crate::setting::{By, Fate, Old, Setting, SettingValue};
use crate::told::Shown;

/// Everything that a translator may look at.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Job<'a> {
    /// The assignment.
    pub setup: Setup<'a>,
    /// What the old controller reported, one for each file, in their order.
    pub reports: &'a [Report],
    /// What the old controller speaks, as certain as its reports make it.
    pub old_dialect: &'a Dialect,
}

impl<'a> Job<'a> {
    /// The last value that the old controller reported.
    pub(crate) fn reported(&self, topic: Topic, of: &str) -> Option<(&'a Report, &'a Reported)> {
        let reports = self.reports;
        reports
            .iter()
            .rev()
            .find_map(|report| Some((report, report.last(topic, of)?)))
    }
    /// Whether old and new controller speak the same words of their own: their numbers then count alike.
    pub(crate) fn same_words(&self) -> bool {
        let swap = self.setup.swap;
        let words = |board| {
            swap.controller(board)
                .words
                .as_ref()
                .map(|words| words.value.clone())
        };
        words(&swap.old).is_some() && words(&swap.old) == words(self.setup.board)
    }
    /// The same as the old value of a setting.
    pub(crate) fn old(&self, topic: Topic, of: &str) -> Option<Old> {
        let (report, value) = self.reported(topic, of)?;
        let from = format!("{}:{}", report.path, value.line);
        Some(Old {
            value: as_counted(topic, &value.value),
            from,
        })
    }
    /// A value of the machine's files as the old value of a setting.
    pub(crate) fn written<T>(&self, located: &Located<T>, value: SettingValue) -> Old {
        let (line, _) = self.setup.swap.sources.line_column(located.place);
        let path = &self.setup.swap.sources.file(located.place.file).path;
        Old {
            value,
            from: format!("{path}:{line}"),
        }
    }
    /// The connected motors of an axis.
    pub(crate) fn motors(&self, axis: AxisId) -> impl Iterator<Item = Pair<'a>> + use<'a> {
        let setup = self.setup;
        setup
            .pairs()
            .filter(move |pair| matches!(&pair.device().detail, Detail::Motor(motor) if motor.axis == axis))
    }
    /// The connected bed probe.
    pub(crate) fn probe(&self) -> Option<Pair<'a>> {
        self.setup
            .pairs()
            .find(|pair| matches!(pair.device().detail, Detail::BedProbe(_)))
    }
    /// Whether an axis finds its end by measuring the load.
    pub(crate) fn homes_by_load(&self, axis: AxisId) -> bool {
        homes_by_load(&self.setup, axis)
    }
}

/// Whether an axis finds its end by measuring the load: wished, and not spoiled by where its motors went.
#[must_use]
pub fn homes_by_load(setup: &Setup<'_>, axis: AxisId) -> bool {
    let is_of = |id: DeviceId| matches!(&setup.swap.machine.device(id).detail, Detail::Motor(motor) if motor.axis == axis);
    let unspoiled = |id: DeviceId, wish: &Wish| {
        setup
            .pair(id)
            .is_some_and(|pair| !plan::spoils_wish(&pair.facts(), wish))
    };
    setup.swap.wishes.iter().any(|wish| {
        wish.kind == WishKind::StallDetectionHoming
            && wish.devices.iter().any(|id| is_of(*id))
            && wish.devices.iter().all(|id| unspoiled(*id, wish))
    })
}

/// A quantity as the value of a topic: topics that are plain numbers are never shown in per cent.
pub(crate) fn as_counted(topic: Topic, value: &AnyValue) -> SettingValue {
    match topic.counted() {
        Counted::In(_) => SettingValue::Quantity(*value),
        Counted::Number | Counted::Words => SettingValue::Number(value.nominal),
    }
}

/// The settings found so far.
#[derive(Debug)]
pub(crate) struct List<'a> {
    dialect: &'a Dialect,
    shown: &'a Shown,
    pub settings: Vec<Setting>,
}

/// What a translator says of one setting; [`List::push`] fills in the rest.
#[derive(Debug)]
pub(crate) struct Draft {
    topic: Topic,
    of: String,
    fate: Fate,
    reason: String,
    old: Option<Old>,
    new: Option<SettingValue>,
    caution: bool,
    working: Vec<Working>,
    source: &'static str,
    hand: bool,
    port: Option<String>,
    pin: Option<String>,
}

impl Draft {
    pub fn new(topic: Topic, of: impl Into<String>, fate: Fate, reason: impl Into<String>) -> Self {
        Self {
            topic,
            of: of.into(),
            fate,
            reason: reason.into(),
            old: None,
            new: None,
            caution: false,
            working: Vec::new(),
            source: "common-practice",
            hand: false,
            port: None,
            pin: None,
        }
    }
    pub fn old(mut self, old: Option<Old>) -> Self {
        self.old = old;
        self
    }
    pub fn value(mut self, new: SettingValue) -> Self {
        self.new = Some(new);
        self
    }
    pub fn maybe(mut self, new: Option<SettingValue>) -> Self {
        self.new = new;
        self
    }
    pub fn caution(mut self, caution: bool) -> Self {
        self.caution |= caution;
        self
    }
    pub fn working(mut self, working: impl IntoIterator<Item = Working>) -> Self {
        self.working.extend(working);
        self
    }
    pub fn source(mut self, source: &'static str) -> Self {
        self.source = source;
        self
    }
    /// A hand sets it, whatever the dialect says.
    pub fn by_hand(mut self) -> Self {
        self.hand = true;
        self
    }
    /// At the port of a pair.
    pub fn at(mut self, pair: &Pair<'_>) -> Self {
        let port = pair.port();
        self.port = Some(port.name.value.clone());
        self.pin = port.processor_pin.as_ref().map(|pin| pin.value.clone());
        self
    }
}

impl<'a> List<'a> {
    pub fn new(dialect: &'a Dialect, shown: &'a Shown) -> Self {
        Self {
            dialect,
            shown,
            settings: Vec::new(),
        }
    }
    /// Takes a setting; a second one of the same topic and part is a mistake of a translator and left out.
    pub fn push(&mut self, draft: Draft) {
        debug_assert!(
            self.find(draft.topic, &draft.of).is_none(),
            "{:?} {}",
            draft.topic,
            draft.of
        );
        let slot = self.shown.slot(self.dialect, draft.topic, &draft.of);
        let (by, untold) = match slot {
            _ if draft.hand => (By::Hand, None),
            Some(Ok(slot)) => {
                let word = By::Word {
                    word: slot.word.word.clone(),
                    letter: slot.letter,
                };
                (word, None)
            }
            Some(Err(untold)) => (By::Build, Some(untold)),
            None => (By::Build, None),
        };
        self.settings.push(Setting {
            id: format!("{}:{}", draft.topic.id(), draft.of.replace(' ', "-")),
            topic: draft.topic,
            title: draft.topic.title(),
            of: draft.of,
            fate: draft.fate,
            old: draft.old,
            new: draft.new,
            reason: draft.reason,
            caution: draft.caution,
            working: draft.working,
            source: draft.source,
            by,
            untold,
            port: draft.port,
            pin: draft.pin,
        });
    }
    /// Where a setting stands in the dialect of the new controller.
    pub fn slot(&self, topic: Topic, of: &str) -> Option<Slot<'a>> {
        self.dialect.slot(topic, of)
    }
    pub fn find(&self, topic: Topic, of: &str) -> Option<&Setting> {
        self.settings
            .iter()
            .find(|setting| setting.topic == topic && setting.of == of)
    }
}
