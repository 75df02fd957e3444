//! A small swap in memory that tests edit by a few words, and the checks asked about it.
//!
//! ```ignore
//! let case = Case::new().device("H1", "power = '60 W'").port("HEAT1", "current = '2 A'");
//! let finding = case.load().pair("port-current", "H1", "HEAT1");
//! assert_eq!(finding.verdict, Verdict::Blocker);
//! ```

use std::borrow::Cow;
use std::collections::BTreeMap;

use model::machine::DeviceId;
use model::{Faults, FileError, Files, Swap};
use plan::compatible::Candidate;
use plan::place::Seats;
use plan::{
    Finding, Judge, PAIR_CHECKS, Pair, PairFacts, Plan, Setup, Site, WHOLE_CHECKS, Way, WholeFacts,
    compatible, run_pair, run_whole,
};

/// The swap before it is loaded: its files as text, to be edited.
#[derive(Clone)]
pub struct Case {
    files: BTreeMap<&'static str, String>,
}

impl Case {
    /// The base: a machine of 24 V with one device of each kind, an old board and one candidate that suits it.
    pub fn new() -> Self {
        let files = [
            ("swap.toml", include_str!("swap/swap.toml")),
            ("machine.toml", include_str!("swap/machine.toml")),
            ("old.toml", include_str!("swap/old.toml")),
            ("new.toml", include_str!("swap/new.toml")),
            ("catalogue/limits.toml", include_str!("swap/limits.toml")),
        ];
        Self {
            files: files.map(|(name, text)| (name, text.to_owned())).into(),
        }
    }

    /// The same with all limits as they are shipped.
    pub fn with_shipped_limits(mut self) -> Self {
        self.files.remove("catalogue/limits.toml");
        self
    }

    /// A line `key = value` of a device: put in place of the one with that key, or added.
    pub fn device(self, tag: &str, line: &str) -> Self {
        self.set("machine.toml", &format!("[[device]]\ntag = \"{tag}\""), line)
    }
    /// A line of the lead of a device.
    pub fn cable(mut self, tag: &str, line: &str) -> Self {
        let text = self.text("machine.toml");
        let device = section(text, &format!("[[device]]\ntag = \"{tag}\""));
        let cable = device.start
            + text[device.clone()]
                .find("[device.cable]")
                .expect("a device has a lead");
        put(text, cable..device.end, line);
        self
    }
    /// A line of the axis of that name.
    pub fn axis(self, name: &str, line: &str) -> Self {
        self.set("machine.toml", &format!("[[axis]]\nname = \"{name}\""), line)
    }
    /// A line of the case.
    pub fn housing(self, line: &str) -> Self {
        self.set("machine.toml", "[case]", line)
    }
    /// A line of a port of the candidate.
    pub fn port(self, name: &str, line: &str) -> Self {
        self.set("new.toml", &format!("[[port]]\nname = \"{name}\""), line)
    }
    /// A line of a port of the old board.
    pub fn old_port(self, name: &str, line: &str) -> Self {
        self.set("old.toml", &format!("[[port]]\nname = \"{name}\""), line)
    }
    /// A line of a driver of the candidate.
    pub fn driver(self, name: &str, line: &str) -> Self {
        self.set("new.toml", &format!("[[driver]]\nname = \"{name}\""), line)
    }
    /// A line of a driver of the old board.
    pub fn old_driver(self, name: &str, line: &str) -> Self {
        self.set("old.toml", &format!("[[driver]]\nname = \"{name}\""), line)
    }
    /// A line of a table of the candidate: `"[input]"`, `"[rails.5V]"`, `"[outline]"`, `"[processor]"`.
    pub fn board(self, table: &str, line: &str) -> Self {
        self.set("new.toml", table, line)
    }
    /// A line in the section of a file that begins with `head`.
    pub fn set(mut self, file: &str, head: &str, line: &str) -> Self {
        let text = self.text(file);
        let range = section(text, head);
        put(text, range, line);
        self
    }
    /// The lead of a device without the line of that key: without `old_port` the device is new.
    pub fn cable_without(self, tag: &str, key: &str) -> Self {
        self.without_line("machine.toml", &format!("[[device]]\ntag = \"{tag}\""), key)
    }
    /// A section of a file without the line of that key.
    pub fn without_line(mut self, file: &str, head: &str, key: &str) -> Self {
        let text = self.text(file);
        let range = section(text, head);
        let kept: Vec<&str> = text[range.clone()]
            .split_inclusive('\n')
            .filter(|line| line.split('=').next().is_none_or(|own| own.trim() != key))
            .collect();
        let kept = kept.concat();
        text.replace_range(range, &kept);
        self
    }
    /// A file without the section that begins with `head`.
    pub fn without(mut self, file: &str, head: &str) -> Self {
        let text = self.text(file);
        let range = section(text, head);
        text.replace_range(range, "");
        self
    }
    /// The machine without a device; its wishes go too.
    pub fn without_device(self, tag: &str) -> Self {
        let mut case = self.without("machine.toml", &format!("[[device]]\ntag = \"{tag}\""));
        let swap = case.text("swap.toml");
        while let Some(at) = swap.find(&format!("devices = [\"{tag}\"]")) {
            let start = swap[..at].rfind("[[wish]]").expect("a wish names devices");
            let end = section_end(swap, at);
            swap.replace_range(start..end, "");
        }
        case
    }
    /// The candidate without a port.
    pub fn without_port(self, name: &str) -> Self {
        self.without("new.toml", &format!("[[port]]\nname = \"{name}\""))
    }
    /// A file with other words in place of some that it holds.
    pub fn replace(mut self, file: &str, from: &str, to: &str) -> Self {
        let text = self.text(file);
        assert!(text.contains(from), "{file} does not hold {from}");
        *text = text.replacen(from, to, 1);
        self
    }
    /// Text at the end of a file: another device, port, wish.
    pub fn add(mut self, file: &str, more: &str) -> Self {
        let text = self.text(file);
        text.push('\n');
        text.push_str(more);
        self
    }

    fn text(&mut self, file: &str) -> &mut String {
        self.files
            .get_mut(file)
            .unwrap_or_else(|| panic!("no file {file}"))
    }

    /// The swap, loaded.
    #[track_caller]
    pub fn load(&self) -> Loaded {
        let files: BTreeMap<String, Vec<u8>> = self
            .files
            .iter()
            .map(|(name, text)| ((*name).to_owned(), text.clone().into_bytes()))
            .collect();
        match model::load(&Idealised(files)) {
            Ok(swap) => Loaded {
                seats: Seats::of(&swap, &swap.candidates[0]),
                swap,
            },
            Err(faults) => panic!("{}", plain(&faults)),
        }
    }
    /// Loads and asks a pair check, which must give just one finding.
    #[track_caller]
    pub fn pair(&self, check: &str, tag: &str, port: &str) -> Finding {
        self.load().pair(check, tag, port)
    }
    /// Loads, plans and asks a whole check, which must give just one finding.
    #[track_caller]
    pub fn whole(&self, check: &str) -> Finding {
        one(self.load().wholes(check), check)
    }
}

/// A swap of `examples/`.
pub fn example(name: &str) -> Swap {
    match model::load(&samples::example(name)) {
        Ok(swap) => swap,
        Err(faults) => panic!("{}", plain(&faults)),
    }
}

/// The files of a worked example, whose parts are ideal: without inertia, with edges that take no time.
struct Idealised(BTreeMap<String, Vec<u8>>);

impl Files for Idealised {
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError> {
        self.0.read(path)
    }
    fn bounded(&self) -> bool {
        false
    }
}

/// A loaded swap with its one candidate.
pub struct Loaded {
    /// The swap.
    pub swap: Swap,
    /// How its old board and the candidate sit in the case.
    pub seats: Seats,
}

impl Loaded {
    /// The device with a tag.
    #[track_caller]
    pub fn id(&self, tag: &str) -> DeviceId {
        self.swap
            .machine
            .tagged(tag)
            .unwrap_or_else(|| panic!("no device {tag}"))
    }
    /// The candidate at its machine, as it is now.
    pub fn site(&self) -> &Site<'_> {
        let seats = Cow::Borrowed(&self.seats);
        // A few words for each call, let go with the run of the tests.
        Box::leak(Box::new(Site::seated(
            &self.swap,
            &self.swap.candidates[0],
            seats,
        )))
    }
    /// All ways of a device, refused ones too.
    pub fn candidates(&self, id: DeviceId) -> Vec<Candidate> {
        compatible::candidates(self.site(), id)
    }
    /// All ways of a device at a port, refused ones too.
    #[track_caller]
    pub fn ways(&self, tag: &str, port: &str) -> Vec<Way> {
        let board = &self.swap.candidates[0];
        let port = board.port_named(port).unwrap_or_else(|| panic!("no port {port}"));
        self.candidates(self.id(tag))
            .into_iter()
            .map(|candidate| candidate.way)
            .filter(|way| way.port == port)
            .collect()
    }
    /// A device in a way.
    pub fn at(&self, tag: &str, way: Way) -> PairFacts<'_> {
        Pair::new(self.site(), self.id(tag), way).facts()
    }
    /// All findings of a pair check about the first way of a device at a port.
    #[track_caller]
    pub fn pairs(&self, check: &str, tag: &str, port: &str) -> Vec<Finding> {
        let ways = self.ways(tag, port);
        let way = ways
            .first()
            .unwrap_or_else(|| panic!("{tag} has no way at {port}"));
        self.pairs_in(check, tag, *way)
    }
    /// All findings of a pair check about one way.
    #[track_caller]
    pub fn pairs_in(&self, check: &str, tag: &str, way: Way) -> Vec<Finding> {
        let check = PAIR_CHECKS
            .iter()
            .find(|known| known.id == check)
            .unwrap_or_else(|| panic!("no pair check {check}"));
        let mut judge = Judge::keeping();
        run_pair(check, &self.at(tag, way), &mut judge);
        judge.into_findings()
    }
    /// The one finding of a pair check.
    #[track_caller]
    pub fn pair(&self, check: &str, tag: &str, port: &str) -> Finding {
        one(self.pairs(check, tag, port), check)
    }
    /// The best plan for the candidate.
    pub fn plan(&self) -> Plan<'_> {
        plan::plan(&self.swap, &self.swap.candidates[0])
    }
    /// All findings of a whole check over the best plan.
    #[track_caller]
    pub fn wholes(&self, check: &str) -> Vec<Finding> {
        let plan = self.plan();
        self.wholes_of(check, &plan.ways)
    }
    /// All findings of a whole check over an assignment that is given by tags and ports; the rest is left out.
    #[track_caller]
    pub fn wholes_at(&self, check: &str, places: &[(&str, &str)]) -> Vec<Finding> {
        self.wholes_of(check, &self.ways_at(places))
    }
    /// An assignment that is given by tags and ports; the rest is left out.
    pub fn ways_at(&self, places: &[(&str, &str)]) -> Vec<Option<Way>> {
        let mut ways = vec![None; self.swap.machine.devices.len()];
        for (tag, port) in places {
            ways[self.id(tag).0] = Some(self.ways(tag, port)[0]);
        }
        ways
    }
    /// An assignment as checks see it.
    pub fn facts<'a>(&'a self, ways: &'a [Option<Way>]) -> WholeFacts<'a> {
        Setup::new(self.site(), ways).facts()
    }
    /// All findings of a whole check over an assignment.
    #[track_caller]
    pub fn wholes_of(&self, check: &str, ways: &[Option<Way>]) -> Vec<Finding> {
        let check = WHOLE_CHECKS
            .iter()
            .find(|known| known.id == check)
            .unwrap_or_else(|| panic!("no whole check {check}"));
        let mut judge = Judge::keeping();
        run_whole(check, &self.facts(ways), &mut judge);
        judge.into_findings()
    }
}

/// The only finding.
#[track_caller]
pub fn one(mut findings: Vec<Finding>, check: &str) -> Finding {
    assert_eq!(findings.len(), 1, "{check} gave {findings:#?}");
    findings.remove(0)
}

/// Where a section begins and ends: it goes on to the next table of the outermost level.
#[track_caller]
fn section(text: &str, head: &str) -> core::ops::Range<usize> {
    let start = text
        .find(&format!("{head}\n"))
        .unwrap_or_else(|| panic!("no section that begins with {head}"));
    start..section_end(text, start + head.len())
}

fn section_end(text: &str, from: usize) -> usize {
    let own = |at: usize| text[at + 1..].starts_with("[device.");
    text[from..]
        .match_indices("\n[")
        .map(|(at, _)| from + at)
        .find(|at| !own(*at))
        .map_or(text.len(), |at| at + 1)
}

/// Puts a line in place of the one with its key, or behind the head of the section.
fn put(text: &mut String, range: core::ops::Range<usize>, line: &str) {
    let key = line.split('=').next().expect("a line has a key").trim();
    let mut at = range.start;
    // A table of an array is told by the key below its head, which a test looks for: a new line goes behind that one.
    let mut behind = None;
    let mut in_array = false;
    for (number, old) in text[range].split_inclusive('\n').enumerate() {
        let end = at + old.len();
        if number == 0 {
            in_array = old.starts_with("[[");
        } else if old.starts_with('[') {
            break;
        }
        if old.split('=').next().is_some_and(|own| own.trim() == key) {
            text.replace_range(at..end, &format!("{line}\n"));
            return;
        }
        if number <= usize::from(in_array) {
            behind = Some(end);
        }
        at = end;
    }
    let behind = behind.expect("a section has a head");
    text.insert_str(behind, &format!("{line}\n"));
}

/// The faults of a fixture that does not load, as text.
fn plain(faults: &Faults) -> String {
    let lines = faults
        .faults
        .iter()
        .map(|fault| format!("{}: {}", faults.sources.show(fault.place), fault.headline));
    lines.collect::<Vec<_>>().join("\n")
}
