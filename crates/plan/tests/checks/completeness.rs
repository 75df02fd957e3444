//! `completeness`: what is left out of a machine is found.

use crate::support::{Case, example};
use plan::{Finding, Verdict};
use proptest::prelude::*;
use toml_edit::DocumentMut;

/// A Y axis with motor and switch: the base of these tests is a whole machine.
const Y: &str = "[[axis]]\nname = 'Y'\ndrive = 'belt'\npitch = '2 mm'\nteeth = 20\nmax_speed = '100 mm/s'\nhoming = 'by hand'\n";

fn found(case: &Case) -> Vec<Finding> {
    case.clone().add("machine.toml", Y).load().wholes("completeness")
}

fn verdict_of(findings: &[Finding], id: &str) -> Option<Verdict> {
    findings
        .iter()
        .find(|finding| finding.id == id)
        .map(|finding| finding.verdict)
}

#[test]
fn what_is_missing_is_named() {
    let base = found(&Case::new());
    assert_eq!(
        verdict_of(&base, "completeness:Y"),
        Some(Verdict::Blocker),
        "Y has no motor: {base:#?}"
    );
    for (tag, id, verdict) in [
        ("T2", "completeness:H2", Verdict::Blocker),
        ("T1", "completeness:H1", Verdict::Blocker),
        ("H1", "completeness:hot-end", Verdict::Blocker),
        ("H2", "completeness:T2", Verdict::Blocker),
        ("MX", "completeness:X", Verdict::Blocker),
        ("F2", "completeness:heat-sink-fan", Verdict::Caution),
    ] {
        assert_eq!(verdict_of(&base, id), None, "{id}");
        let without = found(&Case::new().without_device(tag));
        assert_eq!(verdict_of(&without, id), Some(verdict), "{tag}: {without:#?}");
    }
}

#[test]
fn a_ratio_that_is_not_stated_is_said_to_be_assumed() {
    assert_eq!(verdict_of(&found(&Case::new()), "completeness:E"), None);
    let without = Case::new().without_line("machine.toml", "[[axis]]\nname = \"E\"", "ratio");
    assert_eq!(
        verdict_of(&found(&without), "completeness:E"),
        Some(Verdict::Caution)
    );
}

#[test]
fn three_axes_and_an_extruder() {
    let two = Case::new().load().wholes("completeness");
    assert_eq!(verdict_of(&two, "completeness:axes"), Some(Verdict::Blocker));
    assert_eq!(verdict_of(&found(&Case::new()), "completeness:axes"), None);
}

/// Three axes are not enough where one of them is not the one that the kinematics needs.
#[test]
fn an_axis_that_the_kinematics_needs_is_missed_by_its_name() {
    for kinematics in ["cartesian", "crossed belts", "two carriages", "belt bed"] {
        let case = Case::new().replace(
            "machine.toml",
            "kinematics = \"cartesian\"",
            &format!("kinematics = \"{kinematics}\""),
        );
        let other = case.clone().add("machine.toml", &Y.replace("'Y'", "'U'")).load();
        let findings = other.wholes("completeness");
        let axes = findings
            .iter()
            .find(|finding| finding.id == "completeness:axes")
            .expect(kinematics);
        assert_eq!(axes.verdict, Verdict::Blocker);
        assert!(axes.headline.contains("no axis Y"), "{}", axes.headline);
        assert_eq!(
            verdict_of(&found(&case), "completeness:axes"),
            None,
            "{kinematics}"
        );
    }
    let numbered = Case::new()
        .replace("machine.toml", "name = \"Z\"", "name = \"Z1\"")
        .replace("machine.toml", "axis = \"Z\"", "axis = \"Z1\"")
        .replace("machine.toml", "axis = \"Z\"", "axis = \"Z1\"");
    assert_eq!(verdict_of(&found(&numbered), "completeness:axes"), None);
}

#[test]
fn an_old_port_that_nobody_knows_is_a_word() {
    let unassigned = |line: Option<&str>| {
        let case = Case::new().without_port("PANEL");
        let case = match line {
            Some(line) => case.cable("PA", line),
            None => case.cable_without("PA", "old_port"),
        };
        let loaded = case.load();
        verdict_of(&loaded.plan().findings, "unassigned:PA")
    };
    assert_eq!(unassigned(Some("old_port = 'unknown'")), Some(Verdict::Blocker));
    assert_eq!(unassigned(None), None, "a new panel is optional");
    let two = Case::new()
        .cable("H2", "old_port = 'unknown'")
        .cable("F1", "old_port = 'unknown'");
    assert_eq!(two.load().plan().optimum.objective.unassigned.sum(), 0);
}

/// No cable names an old port: what the machine needs is needed all the same.
#[test]
fn needed_devices_are_needed_without_an_old_port() {
    for (tag, ports, missed) in [
        ("T2", &["TH2"][..], "unassigned:T"),
        ("H2", &["BED", "FAN1", "FAN2"], "unassigned:H"),
        ("LX", &["IN1", "IN2", "PROBE"], "unassigned:LX"),
    ] {
        let case = Case::new().cable_without(tag, "old_port");
        let case = ports.iter().fold(case, |case, port| case.without_port(port));
        let loaded = case.load();
        let plan = loaded.plan();
        let is_missed =
            |finding: &Finding| finding.id.starts_with(missed) && finding.verdict == Verdict::Blocker;
        assert!(plan.findings.iter().any(is_missed), "{tag}");
    }
}

/// The blockers of each board, by harm.
fn blocked(folder: &samples::Folder) -> Option<Vec<plan::ByHarm>> {
    let swap = model::load(folder).ok()?;
    let plans = swap
        .candidates
        .iter()
        .map(|board| plan::plan_briefly(&swap, board));
    Some(plans.map(|plan| plan.by_harm(Verdict::Blocker)).collect())
}

/// Every key and table of a file, as a way from its root.
fn ways(table: &dyn toml_edit::TableLike, before: &[Step], out: &mut Vec<Vec<Step>>) {
    for (key, item) in table.iter() {
        let way: Vec<Step> = before
            .iter()
            .cloned()
            .chain([Step::Key(key.to_owned())])
            .collect();
        out.push(way.clone());
        if let Some(array) = item.as_array_of_tables() {
            for (at, inner) in array.iter().enumerate() {
                let way: Vec<Step> = way.iter().cloned().chain([Step::Place(at)]).collect();
                out.push(way.clone());
                ways(inner, &way, out);
            }
        } else if let Some(inner) = item.as_table_like() {
            ways(inner, &way, out);
        }
    }
}

#[derive(Clone, Debug, PartialEq)]
enum Step {
    Key(String),
    Place(usize),
}

fn remove(document: &mut DocumentMut, way: &[Step]) {
    let (last, before) = way.split_last().expect("a way");
    let mut item = document.as_item_mut();
    for step in before {
        item = match step {
            Step::Key(key) => item.get_mut(key.as_str()),
            Step::Place(at) => item.get_mut(*at),
        }
        .expect("the way was walked before");
    }
    match last {
        Step::Key(key) => drop(item.as_table_like_mut().expect("a table").remove(key)),
        Step::Place(at) => drop(item.as_array_of_tables_mut().expect("tables").remove(*at)),
    }
}

/// Whether leaving this out may take a blocker away: an optional device, a wish or the like is no longer asked for.
fn asks(way: &[Step], document: &DocumentMut) -> bool {
    let text = |at: usize| match way.get(at) {
        Some(Step::Key(key)) => key.clone(),
        _ => String::new(),
    };
    let device = |at: usize| {
        let devices = document
            .get("device")
            .and_then(toml_edit::Item::as_array_of_tables);
        let kind = devices
            .and_then(|devices| devices.get(at))
            .and_then(|device| device.get("kind"));
        kind.and_then(toml_edit::Item::as_str)
            .unwrap_or_default()
            .to_owned()
    };
    match (text(0).as_str(), way.get(1), way.len()) {
        // What stands in the way of a board, or must be met: the case as it is.
        ("case" | "bed", ..) | ("device", None, 1) => true,
        ("device", Some(Step::Place(at)), 2) => {
            matches!(
                device(*at).as_str(),
                "panel" | "light strip" | "filament switch" | "bed probe" | "fan"
            )
        }
        // A device without a port on the old board is one that the machine did not have.
        ("device", Some(Step::Place(at)), _) => {
            way.iter().any(|step| *step == Step::Key("old_port".to_owned()))
                && matches!(
                    device(*at).as_str(),
                    "panel" | "light strip" | "filament switch" | "bed probe" | "fan"
                )
        }
        _ => false,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    /// Leaving something out of a machine that it cannot do without never takes a blocker away from any board.
    #[test]
    fn leaving_out_never_improves(second in any::<bool>(), place in any::<prop::sample::Index>()) {
        let (name, file) = if second { ("second", "turnstone.toml") } else { ("demo", "machine.toml") };
        let mut folder = samples::example(name);
        let before = blocked(&folder).expect("the example loads");
        let text = String::from_utf8(folder[file].clone()).expect("UTF-8");
        let mut document: DocumentMut = text.parse().expect("TOML");
        let mut all = Vec::new();
        ways(document.as_table(), &[], &mut all);
        let way = place.get(&all);
        prop_assume!(!asks(way, &document));
        remove(&mut document, way);
        folder.insert(file.to_owned(), document.to_string().into_bytes());
        // A folder that does not load ends with exit code 2.
        if let Some(after) = blocked(&folder) {
            for (before, after) in before.iter().zip(&after) {
                prop_assert!(after >= before, "{way:?}: {before:?} became {after:?}");
            }
        }
    }
}

#[test]
fn both_examples_lack_nothing_that_blocks() {
    for name in ["demo", "second"] {
        let swap = example(name);
        for board in &swap.candidates {
            let plan = plan::plan(&swap, board);
            let blockers = plan
                .findings
                .iter()
                .filter(|finding| finding.check == "completeness" && finding.verdict == Verdict::Blocker);
            assert_eq!(blockers.count(), 0, "{name}: {}", board.name);
        }
    }
}

const SECOND: &str = "[[device]]\ntag = 'P2'\nname = 'second supply'\nkind = 'supply'\nvoltage = '12 V'\npower = '36 W'\n\
    cable = { connector = 'open wire', pins = ['+', '-'], wire = '18 AWG', length = '300 mm' }\n";
const ENTERS: &str = "[[port]]\nname = 'P12'\nrole = 'supply input'\nconnector = 'screw terminal 5.0 mm'\npins = ['+', '-']\n\
    at = ['90 mm', '76 mm']\nrail = '12V'\ncurrent = '5 A'\n";

/// A further supply feeds the rail that comes from outside, and is no load of it; the first feeds the input, whatever the order of ports.
#[test]
fn a_second_supply_feeds_its_rail() {
    let outside = Case::new()
        .board("[rails.12V]", "source = 'external'")
        .port("FAN1", "rail = '12V'")
        .device("F1", "voltage = '12 V'")
        .add("new.toml", ENTERS);
    let id = "completeness:rail-12V";
    assert_eq!(verdict_of(&found(&outside), id), Some(Verdict::Caution));
    let described = outside.add("machine.toml", SECOND);
    assert_eq!(verdict_of(&found(&described), id), None);
    let loaded = described.load();
    let plan = loaded.plan();
    let at = |tag: &str| {
        let way = plan.ways[loaded.id(tag).0];
        way.map(|way| plan.board.port(way.port).name.value.clone())
    };
    assert_eq!(at("P2").as_deref(), Some("P12"));
    assert_eq!(at("PS").as_deref(), Some("POWER"));
    // Without such a rail it has no port, and takes none of the first.
    let loaded = Case::new().add("machine.toml", SECOND).load();
    let plan = loaded.plan();
    assert!(plan.ways[loaded.id("P2").0].is_none() && plan.ways[loaded.id("PS").0].is_some());
}
