//! The interview against the reader of the files, and against answers that nobody should give.

use std::collections::{BTreeMap, BTreeSet};

use model::{FileError, Files, OwnFile};
use proptest::prelude::*;
use survey::{Extent, Outcome, Question, Survey};

/// A swap in memory.
#[derive(Clone, Default)]
struct Swap {
    texts: BTreeMap<String, String>,
    nothing: BTreeSet<String>,
}

impl Files for Swap {
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError> {
        let text = self.texts.get(path).ok_or(FileError::Missing)?;
        Ok(text.clone().into_bytes())
    }
    fn own(&self, _: &str) -> Result<OwnFile, FileError> {
        Err(FileError::Missing)
    }
    fn names(&self, _: &str) -> Vec<String> {
        Vec::new()
    }
    fn own_names(&self, _: &str) -> Vec<String> {
        Vec::new()
    }
}

impl Swap {
    fn survey(&self) -> Survey {
        Survey::of(&self.texts, self.nothing.clone()).unwrap()
    }
    fn next(&self, extent: Extent) -> Option<Question> {
        self.survey().next(extent, &[])
    }
    fn answer(&mut self, question: &Question, answer: &str) -> Result<(), String> {
        match self.survey().answered(question, answer)? {
            Outcome::Nothing => {
                self.nothing.insert(question.id.clone());
            }
            Outcome::Written(files) => {
                self.texts
                    .extend(files.into_iter().map(|file| (file.path, file.text)));
            }
        }
        Ok(())
    }
}

/// What somebody with the machine at hand answers, by the id of the question up to its first colon. Invented.
fn told(id: &str) -> &'static str {
    match id.split(':').next().unwrap_or_default() {
        "kinematics" => "crossed belts",
        "supply-power" => "350",
        "heater-power" => "40, 3.2 Ω",
        "heater-temperature" => "250, 90",
        "relays" => "none",
        "sensor" => "NTC 100 kΩ, kind unknown",
        "motor-current" => "1.2, 1.2, 0.9, 1",
        "fan-current" => "0.1, 0.15 A",
        "switch-output" => "1",
        "filament-output" => "2",
        "probes" | "filament" | "lights" | "panels" => "1",
        "probe-voltage" => "5",
        "probe-current" | "panel-current" => "0.2",
        "probe-output" => "push-pull",
        "lights-voltage" => "24",
        "lights-current" => "0.5",
        "board-input" => "12 V .. 26 V",
        "heater-ports" => "HE, HB",
        "heater-port-current" => "6, 12",
        "thermometer-ports" => "TA, TB",
        "pull-up" => "4.7 kΩ",
        "motor-ports" => "P1, P2, P3, P4, P5",
        "driver-current" => "0.3 A .. 1.4 A",
        "driver-definition" => "rms",
        "driver-set-by" => "bus",
        "switched-ports" => "K1, K2, K3",
        "switched-port-current" => "1",
        "switch-ports" => "S1, S2, S3, S4",
        "probe-ports" => "BED",
        "display-ports" => "LCD",
        "old-settings" => "none",
        "axis-drive" => "belt, belt, lead screw, geared extruder",
        "axis-speed" => "180, 180, 10, 45",
        "cable" => "20 AWG, 600, ?",
        "pins" => "?",
        "old-port" => "unknown",
        _ => "",
    }
}

/// Everything answered; how many questions it took.
fn answered(extent: Extent, told: fn(&str) -> &'static str) -> (Swap, usize) {
    let mut swap = Swap::default();
    let mut count = 0;
    while let Some(question) = swap.next(extent) {
        count += 1;
        assert!(count < 200, "{question:?} comes again");
        let answer = told(&question.id);
        let answer = if answer.is_empty() && question.usual.is_none() {
            "?"
        } else {
            answer
        };
        swap.answer(&question, answer)
            .unwrap_or_else(|why| panic!("{}: {why}", question.id));
    }
    (swap, count)
}

#[test]
fn what_is_answered_loads_and_is_what_was_said() {
    let (files, _) = answered(Extent::Whole, told);
    let swap = model::load(&files).unwrap_or_else(|faults| panic!("{:?}", faults.faults));
    assert_eq!(swap.machine.name.value, "my machine");
    let power = |tag: &str| {
        let device = swap.machine.devices.iter().find(|device| device.tag.value == tag);
        match &device.unwrap().detail {
            model::machine::Detail::Heater(heater) => heater.power.value.nominal(),
            _ => panic!("{tag} is no heater"),
        }
    };
    // Joule's law: 24² / 3.2.
    assert_eq!(power("H2"), quantity::si::watt(180.0));
    assert_eq!(power("H1"), quantity::si::watt(40.0));
    let board = &swap.candidates[0];
    assert_eq!(board.ports.len(), 1 + 2 + 2 + 5 + 3 + 4 + 1 + 1);
    assert_eq!(swap.machine.axes.len(), 4);
    // The layout that a person reads: one key a line, a table each.
    let machine = &files.texts["machine.toml"];
    for line in [
        "[[device]]\ntag = \"H1\"\nname = \"hot end heater\"",
        "power = \"180 W\"  # from 3.2 Ω at 24 V, cold",
        "[device.cable]\nwire = \"20 AWG\"\nlength = \"600 mm\"\nconnector = \"?\"",
        "[[axis]]\nname = \"X\"\ndrive = \"belt\"\nmax_speed = \"180 mm/s\"",
    ] {
        assert!(machine.contains(line), "{line} in\n{machine}");
    }
}

/// Some forty questions, with a plain machine: no relay, probe, panel.
#[test]
fn a_print_tomorrow_takes_some_forty_questions() {
    fn plain(id: &str) -> &'static str {
        match id {
            "probes" | "filament" | "panels" => "none",
            id => told(id),
        }
    }
    let (files, count) = answered(Extent::Today, plain);
    assert!((30..=45).contains(&count), "{count}");
    model::load(&files).unwrap_or_else(|faults| panic!("{:?}", faults.faults));
    // The rest is asked by the whole survey, and nothing twice.
    let whole = answered(Extent::Whole, plain).1;
    let mut files = files;
    let mut more = 0;
    while let Some(question) = files.next(Extent::Whole) {
        more += 1;
        let answer = plain(&question.id);
        let answer = if answer.is_empty() && question.usual.is_none() {
            "?"
        } else {
            answer
        };
        files.answer(&question, answer).unwrap();
    }
    assert_eq!(count + more, whole);
}

/// A machine of which nothing is known but what is needed: each other question takes `?`.
#[test]
fn what_nobody_knows_is_no_hindrance() {
    let mut swap = Swap::default();
    let mut needed = 0;
    while let Some(question) = swap.next(Extent::Whole) {
        if swap.answer(&question, "?").is_err() {
            needed += 1;
            let answer = told(&question.id);
            swap.answer(&question, answer).unwrap();
        }
    }
    assert!(needed < 12, "{needed} questions take no `?`");
}

#[test]
fn a_wrong_answer_says_why_and_changes_nothing() {
    let mut swap = Swap::default();
    let at = |swap: &mut Swap, id: &str| loop {
        let question = swap.next(Extent::Whole).unwrap();
        if question.id.split(':').next() == Some(id) {
            return question;
        }
        let answer = told(&question.id);
        swap.answer(&question, answer).unwrap();
    };
    for (id, answer, why) in [
        ("supply-power", "?", "nothing is planned without it"),
        ("supply-power", "", "nothing is proposed"),
        ("heaters", "nozzle", "`nozzle` is none of hot end; bed; chamber"),
        ("heater-power", "40, 50, 60", "3 answers for 2"),
        ("heater-power", "40,", "an empty answer stands between two others"),
        ("heater-power", "0 Ω", "no resistance of a heater"),
        ("heater-power", "-3 Ω", "no resistance of a heater"),
        ("motors", "1.2 A", "no axis"),
        ("probes", "many", "no count"),
        ("board", "none", "it needs some name"),
        ("heater-ports", "HE, HE", "`HE` stands twice"),
        ("heater-ports", "supply", "`supply` stands twice"),
        ("cable", "20 AWG", "3 answers with commas"),
    ] {
        let question = at(&mut swap, id);
        let before = swap.texts.clone();
        let said = swap.answer(&question, answer).unwrap_err();
        assert!(said.contains(why), "{id} = {answer}: {said}");
        assert_eq!(swap.texts, before);
    }
}

#[test]
fn rows_written_by_hand_are_known_and_kept() {
    let mut swap = Swap::default();
    let machine = "# mine\nname = \"Lark\" # own\nkinematics = \"cartesian\"\ndevice = [\n    { tag = \"PS\", kind = \"supply\", voltage = 24, power = 350 }, # bought\n    { tags = [\"HA\", \"HB\"], kind = \"heater\", voltage = 24 },\n]\n";
    swap.texts.insert("machine.toml".to_owned(), machine.to_owned());
    swap.texts
        .insert("swap.toml".to_owned(), "old_board = \"?\"\n".to_owned());
    let question = swap.next(Extent::Today).unwrap();
    assert_eq!(question.id, "heater-power");
    assert_eq!(question.about, ["HA", "HB"]);
    swap.answer(&question, "40, 200").unwrap();
    let text = &swap.texts["machine.toml"];
    assert!(text.contains("power = [\"40 W\", \"200 W\"]"), "{text}");
    for kept in ["# mine", "# own", "# bought"] {
        assert!(text.contains(kept), "{text}");
    }
}

/// The choices of the survey are the kinds of the catalogue.
#[test]
fn sensors_are_those_of_the_catalogue() {
    let mut swap = Swap::default();
    let question = loop {
        let question = swap.next(Extent::Today).unwrap();
        if question.id == "sensor" {
            break question;
        }
        swap.answer(&question, told(&question.id)).unwrap();
    };
    let mut choices = question.choices;
    choices.sort_unstable();
    let mut known: Vec<String> = catalogue::built_in()
        .thermometers()
        .rows()
        .iter()
        .map(|row| row.name.clone())
        .collect();
    known.sort_unstable();
    assert_eq!(choices, known);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, ..ProptestConfig::default() })]

    /// Whatever is answered: no panic, files stay TOML, and no question that was answered comes again.
    #[test]
    fn any_answers_leave_files_that_can_be_read(answers in proptest::collection::vec("[ -~°Ω]{0,20}|\\?|none|[0-9]{1,3}|X, Y|bed|\\PC{0,12}", 0..60)) {
        let mut swap = Swap::default();
        let mut seen = BTreeSet::new();
        for answer in answers {
            let Some(question) = swap.next(Extent::Whole) else { break };
            let taken = swap.answer(&question, &answer).is_ok();
            if !taken {
                // A slip; the next answer is a good one.
                let known = told(&question.id);
                if swap.answer(&question, known).is_err() && swap.answer(&question, "?").is_err() {
                    break;
                }
            }
            let again = swap.next(Extent::Whole);
            prop_assert!(again.is_none_or(|again| again.id != question.id || again.about != question.about));
            seen.insert(question.id);
        }
    }
}
