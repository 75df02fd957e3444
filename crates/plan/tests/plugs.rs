//! Devices with several plugs: all of them are connected or none, at the least cost; each plug is judged by what it carries.

use std::collections::BTreeSet;

use model::machine::DeviceId;
use plan::compatible::{Candidate, WayCost};
use plan::{Stake, Verdict, Way, WhyNot, harm_unassigned, needs};

use crate::support::{Case, Loaded};

const PLUG: &str = "[[device.plug]]\nconnector = \"crimp 2.5 mm\"\npins = ";

/// The base with its probe in two plugs, and an input `IN3` of two pins.
fn split() -> Case {
    let probe = "pins = [\"+\", \"-\", \"control\", \"signal\"]\nwire = \"26 AWG\"\nlength = \"0.8 m\"";
    let halves = format!(
        "pins = [\"+\", \"-\", \"control\"]\nwire = \"26 AWG\"\nlength = \"0.8 m\"\n{PLUG}[\"signal\", \"-\"]"
    );
    Case::new()
        .replace("machine.toml", probe, &halves)
        .add("new.toml", &input("IN3", "S40", (40, 60)))
}

fn input(name: &str, pin: &str, (x, y): (u32, u32)) -> String {
    format!(
        "\n[[port]]\nname = \"{name}\"\nrole = \"switch input\"\nconnector = \"crimp 2.5 mm\"\npins = [\"signal\", \"-\"]\nat = \
         [\"{x} mm\", \"{y} mm\"]\nprocessor_pin = \"{pin}\"\npull = \"up\"\npull_resistor = \"10 kΩ\"\nmax_input_voltage = \"5 V\"\n"
    )
}

/// The probe port without its signal.
fn without_signal(case: Case) -> Case {
    let case = case.port("PROBE", "pins = [\"+\", \"-\", \"control\"]");
    let head = "[[port]]\nname = \"PROBE\"";
    ["pull", "pull_resistor", "max_input_voltage"]
        .into_iter()
        .fold(case, |case, key| case.without_line("new.toml", head, key))
}

fn port<'a>(loaded: &'a Loaded, ways: &[Option<Way>], tag: &str) -> Option<&'a str> {
    let way = ways[loaded.id(tag).0]?;
    Some(loaded.site().board.port(way.port).name.value.as_str())
}

#[test]
fn supply_and_signal_of_a_probe_go_to_two_ports() {
    let loaded = without_signal(split()).load();
    let plan = loaded.plan();
    assert_eq!(port(&loaded, &plan.ways, "BP"), Some("PROBE"));
    let signal = port(&loaded, &plan.ways, "BP.2").expect("an input");
    assert!(signal.starts_with("IN"), "{signal}");
    // What feeds the probe is judged at its cable alone, what it sends at the plug alone.
    assert_eq!(
        loaded.pair("device-voltage", "BP", "PROBE").verdict,
        Verdict::Pass
    );
    assert!(loaded.pairs("device-voltage", "BP.2", "IN3").is_empty());
    assert!(loaded.pairs("level-from-device", "BP", "PROBE").is_empty());
    assert_eq!(
        loaded.pair("level-from-device", "BP.2", "IN3").verdict,
        Verdict::Pass
    );
    assert_eq!(
        loaded.pair("level-to-device", "BP", "PROBE").verdict,
        Verdict::Pass
    );
    assert!(loaded.pairs("level-to-device", "BP.2", "IN3").is_empty());
    let facts = plan.facts();
    let drawn = |tag: &str| facts.pair(loaded.id(tag)).and_then(|pair| pair.current());
    assert!(drawn("BP").is_some(), "the cable carries the current");
    assert_eq!(drawn("BP.2"), None, "the signal carries none");
    // With its supply unplugged it is as dead as with a broken wire.
    let remedy = loaded
        .pair("broken-wire", "BP.2", "IN3")
        .remedy
        .expect("a remedy");
    assert!(remedy.starts_with("pull each of its plugs in turn"), "{remedy}");
    // A supply alone has no use for an input that has none to give.
    assert!(loaded.ways("BP", "IN3").is_empty());
    let told = plan::why_not(
        &plan,
        loaded.id("BP.2"),
        plan.board.port_named("PROBE").expect("the port"),
    );
    let WhyNot { answer, .. } = told;
    assert!(answer.contains("BP.2"), "{answer}");
}

#[test]
fn a_pnp_output_sends_what_the_other_plug_is_fed_with() {
    // The signal's port has a rail of 5 V beside it, which has nothing to do with the 24 V of the probe.
    let case = without_signal(split())
        .device("BP", "output = \"PNP\"")
        .device("BP", "voltage = \"24 V\"")
        .without_line("machine.toml", "[[device]]\ntag = \"BP\"", "level")
        .without_line("machine.toml", "[[device]]\ntag = \"BP\"", "max_input_voltage")
        .replace(
            "machine.toml",
            "pins = [\"+\", \"-\", \"control\"]",
            "pins = [\"+\", \"-\"]",
        )
        .port("IN2", "pull = \"down\"");
    let finding = case.pair("input-rating", "BP.2", "IN2");
    assert_eq!(finding.verdict, Verdict::Caution, "{}", finding.headline);
    assert!(finding.headline.contains("24 V"), "{}", finding.headline);
}

#[test]
fn a_tachometer_may_stay_unplugged_and_its_fan_turns() {
    let fan = |case: Case| {
        case.replace(
            "machine.toml",
            "old_port = \"FAN\"",
            &format!("old_port = \"FAN\"\n{PLUG}[\"signal\", \"-\"]"),
        )
        .device("F1", "output = \"open collector\"")
    };
    let none_left = fan(Case::new()).without_port("IN2").load();
    let plan = none_left.plan();
    assert!(port(&none_left, &plan.ways, "F1").is_some());
    assert_eq!(
        port(&none_left, &plan.ways, "F1.2"),
        None,
        "the limit switch needs the input"
    );
    let blockers = |plan: &plan::Plan<'_>| -> Vec<String> {
        let blockers = plan
            .findings
            .iter()
            .filter(|finding| finding.verdict == Verdict::Blocker);
        blockers.map(|finding| finding.id.clone()).collect()
    };
    let plain = Case::new().without_port("IN2").load();
    assert_eq!(blockers(&plan), blockers(&plain.plan()));
    let free = fan(Case::new())
        .add("new.toml", &input("IN3", "S40", (40, 60)))
        .load();
    assert!(port(&free, &free.plan().ways, "F1.2").is_some());
    // Pulses have no level at rest, and stop no axis.
    for check in ["active-level", "broken-wire"] {
        assert!(free.pairs(check, "F1.2", "IN3").is_empty(), "{check}");
    }
    assert!(!free.pairs("input-rating", "F1.2", "IN3").is_empty());
    // Without its fan there is nothing to count.
    let no_fan = fan(Case::new())
        .add("new.toml", &input("IN3", "S40", (40, 60)))
        .without_port("FAN1")
        .without_port("FAN2")
        .without_port("HEAT1")
        .without_port("BED")
        .load();
    assert_eq!(port(&no_fan, &no_fan.plan().ways, "F1"), None);
    assert_eq!(port(&no_fan, &no_fan.plan().ways, "F1.2"), None);
}

#[test]
fn a_panel_with_two_ribbons_needs_both_ports() {
    let second = "\n[[port]]\nname = \"PANEL2\"\nrole = \"display\"\nconnector = \"crimp 2.5 mm\"\npins = [\"signal\", \"data\"]\nat = [\"60 mm\", \
                  \"60 mm\"]\ninterface = \"second ribbon\"\nlevel = \"3.3 V\"\nmax_input_voltage = \"5 V\"\n";
    let panel = Case::new().replace(
        "machine.toml",
        "old_port = \"PANEL\"",
        &format!("old_port = \"PANEL\"\n{PLUG}[\"signal\", \"data\"]\ninterface = \"second ribbon\""),
    );
    let both = panel.clone().add("new.toml", second).load();
    let plan = both.plan();
    assert_eq!(port(&both, &plan.ways, "PA"), Some("PANEL"));
    assert_eq!(port(&both, &plan.ways, "PA.2"), Some("PANEL2"));
    let one = panel.load();
    let plan = one.plan();
    assert_eq!(port(&one, &plan.ways, "PA"), None, "half a panel is none");
    let unassigned: Vec<&str> = plan
        .findings
        .iter()
        .filter(|finding| finding.check == "unassigned" && finding.verdict == Verdict::Blocker)
        .filter_map(|finding| finding.subject.device.as_deref())
        .collect();
    assert_eq!(unassigned, ["PA"], "told once, for the device");
}

#[test]
fn lights_take_their_supply_and_their_data_from_two_ports() {
    let supply = "\n[[port]]\nname = \"FIVE\"\nrole = \"permanent output\"\nconnector = \"crimp 2.5 mm\"\npins = [\"+\", \"-\"]\nat = [\"60 mm\", \"60 \
                  mm\"]\nrail = \"5V\"\ncurrent = \"2.5 A\"\n";
    let lights = Case::new()
        .cable("LS", "pins = [\"+\", \"-\"]")
        .add("new.toml", supply);
    let text = "tag = \"LS\"";
    let plug = format!("{PLUG}[\"data\", \"-\"]\n");
    let loaded = lights.add("machine.toml", &plug);
    // The lights are the last device of the file: the plug at its end is theirs.
    let loaded = loaded.load();
    assert!(loaded.swap.machine.tagged("LS.2").is_some(), "{text}");
    let plan = loaded.plan();
    assert_eq!(port(&loaded, &plan.ways, "LS"), Some("FIVE"));
    assert_eq!(port(&loaded, &plan.ways, "LS.2"), Some("LIGHT"));
    assert!(loaded.ways("LS", "LIGHT").is_empty());
    assert!(loaded.ways("LS.2", "FIVE").is_empty());
    // The data is held against what the lights need at what they are fed with, though its plug brings no supply.
    let level = loaded.pairs("level-to-device", "LS.2", "LIGHT");
    assert!(!level.is_empty());
    let asked = plan.findings.iter().filter(|finding| finding.check == "unstated");
    assert!(
        asked
            .into_iter()
            .all(|finding| !finding.headline.contains("LS.2")),
        "its port feeds it nothing"
    );
    let facts = plan.facts();
    let current = |tag: &str| facts.pair(loaded.id(tag)).and_then(|pair| pair.current());
    assert!(current("LS").is_some() && current("LS.2").is_none());
}

/// The example of the handbook's page, at a board that has a second output which is always on.
#[test]
fn the_example_of_the_page_is_judged_as_the_page_says() {
    let page = include_str!("../../../docs/handbook/plugs.md");
    let device = page
        .split("```")
        .nth(1)
        .expect("an example")
        .trim_start_matches("toml\n");
    let always = "\n[[port]]\nname = \"ALWAYS2\"\nrole = \"permanent output\"\nconnector = \"crimp 2.5 mm\"\npins = [\"+\", \"-\"]\nat = [\"60 mm\", \
                  \"60 mm\"]\nrail = \"input\"\ncurrent = \"0.5 A\"\n";
    let loaded = Case::new()
        .without_device("BP")
        .add("machine.toml", &device.replace("LIM-Z", "unknown"))
        .add("new.toml", always)
        .add("new.toml", &input("IN3", "S40", (40, 60)))
        .load();
    let plan = loaded.plan();
    let supply = port(&loaded, &plan.ways, "BP").expect("a port for the supply");
    assert!(supply.starts_with("ALWAYS"), "{supply}");
    let signal = port(&loaded, &plan.ways, "BP.2").expect("an input");
    assert!(signal.starts_with("IN"), "{signal}");
    assert_eq!(loaded.pair("device-voltage", "BP", supply).verdict, Verdict::Pass);
    assert_eq!(
        loaded.pair("pull-resistor", "BP.2", signal).verdict,
        Verdict::Pass
    );
    let rows = plan::cables(&plan);
    let tags: Vec<&str> = rows.iter().map(|row| row.tag.as_str()).collect();
    assert!(tags.contains(&"BP") && tags.contains(&"BP.2"), "{tags:?}");
}

/// What an assignment of some devices costs, in the order of the objective; `None` where it cannot be.
type Cost = ([i64; 3], i64, WayCost);

/// Numbers that follow a seed (the multiplier of Knuth's MMIX).
struct Drawn(u64);

impl Drawn {
    fn of(&mut self, most: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % most
    }
    fn once_in(&mut self, count: u64) -> bool {
        self.of(count) == 0
    }
}

/// A board and a machine whose sensors compete for inputs, in plugs of one or of two.
fn drawn(seed: u64) -> Case {
    let mut drawn = Drawn(seed);
    for _ in 0..8 {
        drawn.of(2);
    }
    let mut case = split();
    if drawn.once_in(2) {
        case = without_signal(case);
    }
    if drawn.once_in(4) {
        case = case.port("PROBE", "processor_pin = \"S40\"");
    }
    for name in ["PROBE", "IN2", "IN3"] {
        if drawn.once_in(4) {
            case = case.without_port(name);
        }
    }
    for (at, name) in (0..).zip(["IN4", "IN5"]) {
        if drawn.once_in(2) {
            case = case.add("new.toml", &input(name, &format!("S5{at}"), (48 + 8 * at, 60)));
        }
    }
    if drawn.once_in(3) {
        // The old board had the signal: the probe is needed.
        case = case
            .replace(
                "machine.toml",
                "pins = [\"signal\", \"-\"]",
                "pins = [\"signal\", \"-\"]\nold_port = \"unknown\"",
            )
            .without("swap.toml", "[[wish]]\nname = \"a bed probe\"");
    }
    if drawn.once_in(2) {
        case = case.replace(
            "machine.toml",
            "pins = [\"+\", \"-\", \"signal\"]",
            &format!("pins = [\"+\", \"-\"]\nwire = \"26 AWG\"\nlength = \"0.5 m\"\n{PLUG}[\"signal\"]"),
        );
    }
    if drawn.once_in(2) {
        case = case
            .replace(
                "machine.toml",
                "old_port = \"FAN\"",
                &format!("old_port = \"FAN\"\n{PLUG}[\"signal\", \"-\"]"),
            )
            .device("F1", "output = \"open collector\"");
    }
    case
}

/// The cost of the sensors in these ways, by rules that know no programme.
fn cost(loaded: &Loaded, sensors: &[DeviceId], ways: &[Option<&Candidate>], fan: bool) -> Option<Cost> {
    let (swap, board) = (&loaded.swap, loaded.site().board);
    let mut taken = BTreeSet::new();
    let mut pins = BTreeSet::new();
    for way in ways.iter().flatten() {
        let port = board.port(way.way.port);
        if !taken.insert(way.way.port.0)
            || port
                .processor_pin
                .as_ref()
                .is_some_and(|pin| !pins.insert(&pin.value))
        {
            return None;
        }
    }
    let way_of = |id: DeviceId| ways[sensors.iter().position(|own| *own == id).expect("a sensor")];
    let (mut harm, mut lost, mut sum) = ([0; 3], 0, WayCost::default());
    for (id, way) in sensors.iter().zip(ways) {
        let device = swap.machine.device(*id);
        if let Some(plug) = device.plug() {
            let owner = if plug.spare {
                fan
            } else {
                way_of(plug.of).is_some()
            };
            match (plug.spare, way.is_some(), owner) {
                (_, true, false) | (false, false, true) => return None,
                (true, false, _) => lost += 1,
                _ => {}
            }
        } else if way.is_none() {
            if needs::is_needed(swap, *id) {
                let stake = harm_unassigned(&device.detail);
                harm[[Stake::Safety, Stake::Hardware, Stake::Function]
                    .iter()
                    .position(|own| *own == stake)?] += 1;
            } else {
                let wishes = swap.wishes.iter().filter(|wish| wish.devices.contains(id));
                let weights: Vec<i64> = wishes.map(|wish| i64::from(wish.weight.value)).collect();
                lost += if weights.is_empty() {
                    1
                } else {
                    weights.iter().sum()
                };
            }
        }
        if let Some(Ok(own)) = way.map(|way| &way.outcome) {
            sum.decide.safety += own.decide.safety;
            sum.decide.hardware += own.decide.hardware;
            sum.decide.function += own.decide.function;
            sum.settings += own.settings;
            sum.minutes += own.minutes;
            sum.price += own.price;
            sum.millimetres += own.millimetres;
            sum.disorder += own.disorder;
        }
    }
    Some((harm, lost, sum))
}

#[test]
fn no_other_assignment_of_all_plugs_costs_less() {
    let (mut whole, mut left_out, mut shared) = (0, 0, 0);
    for seed in 1..=48 {
        let loaded = drawn(seed).load();
        assert!(
            loaded.swap.assumed.is_empty(),
            "seed {seed}: {:?}",
            loaded.swap.assumed
        );
        let machine = &loaded.swap.machine;
        let sensors: Vec<DeviceId> = machine
            .device_ids()
            .filter(|(_, device)| device.detail.share().sensor().is_some())
            .map(|(id, _)| id)
            .collect();
        let candidates: Vec<Vec<Candidate>> = sensors
            .iter()
            .map(|id| {
                let mut all = loaded.candidates(*id);
                all.retain(|candidate| candidate.outcome.is_ok());
                all
            })
            .collect();
        let plan = loaded.plan();
        let fan = plan.ways[loaded.id("F1").0].is_some();
        let chosen: Vec<Option<&Candidate>> = sensors
            .iter()
            .zip(&candidates)
            .map(|(id, own)| {
                let way = plan.ways[id.0]?;
                Some(
                    own.iter()
                        .find(|candidate| candidate.way == way)
                        .expect("a way that is offered"),
                )
            })
            .collect();
        let found = cost(&loaded, &sensors, &chosen, fan);
        assert!(found.is_some(), "seed {seed}: half a device is connected");
        // Every assignment there is, counted through like the wheels of a counter.
        let mut wheels = vec![0; sensors.len()];
        let mut least = None;
        loop {
            let ways: Vec<Option<&Candidate>> = wheels
                .iter()
                .zip(&candidates)
                .map(|(at, own)| own.get(*at))
                .collect();
            if let Some(cost) = cost(&loaded, &sensors, &ways, fan)
                && least.as_ref().is_none_or(|least| cost < *least)
            {
                least = Some(cost);
            }
            let Some(at) = (0..wheels.len()).find(|at| wheels[*at] < candidates[*at].len()) else {
                break;
            };
            wheels[at] += 1;
            wheels[..at].fill(0);
        }
        assert_eq!(found, least, "seed {seed}");
        let probe = plan.ways[loaded.id("BP").0].is_some();
        whole += usize::from(probe);
        left_out += usize::from(!probe);
        shared += usize::from(machine.tagged("F1.2").is_some_and(|id| plan.ways[id.0].is_none()));
    }
    assert!(
        whole > 10 && left_out > 5 && shared > 0,
        "{whole} {left_out} {shared}"
    );
}
