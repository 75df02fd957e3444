//! Rows written once: several names, a row like another, bare numbers, drawings in inches. Held against the same written out.

use model::Swap;
use proptest::prelude::*;

use crate::support::{Folder, minimal, plain};

fn board(more: &str) -> Folder {
    let mut folder = minimal();
    let text = folder.get_mut("boards/new.toml").expect("the board");
    text.extend_from_slice(more.as_bytes());
    folder
}

fn load(folder: &Folder) -> Swap {
    model::load(folder).unwrap_or_else(|faults| panic!("{}", plain(&faults)))
}

const LONG: &str = r#"
[[port]]
name = "S1"
role = "switch input"
connector = "crimp 2.5 mm"
pins = ["signal", "-"]
at = ["5 mm", "20 mm"]
processor_pin = "Q1"
pull = "up"
max_input_voltage = "5 V"
excludes = ["S3"]

[[port]]
name = "S2"
role = "switch input"
connector = "crimp 2.5 mm"
pins = ["signal", "-"]
at = ["5 mm", "30 mm"]
processor_pin = "Q2"
pull = "up"
max_input_voltage = "5 V"
excludes = ["S3"]

[[port]]
name = "S3"
role = "switch input"
connector = "crimp 2.5 mm"
pins = ["+", "-", "signal"]
at = ["5 mm", "40 mm"]
pull = "up"
max_input_voltage = "5 V"
rail = "5V"
current = "0.2 A"
"#;

const SHORT: &str = r#"
[[port]]
names = ["S1", "S2"]
role = "switch input"
connector = "crimp 2.5 mm"
pins = ["signal", "-"]
at = [[5, 20], [5, 30]]
processor_pin = ["Q1", "Q2"]
pull = "up"
max_input_voltage = 5
excludes = ["S3"]

[[port]]
name = "S3"
like = "S2"
pins = ["+", "-", "signal"]
at = [5, 40.0]
rail = "5V"
current = "0.2 A"
"#;

#[test]
fn the_short_form_says_what_the_long_form_says() {
    let (long, short) = (load(&board(LONG)), load(&board(SHORT)));
    let ports = |swap: &Swap| {
        let ports = swap.candidates[0].ports.iter().cloned();
        // Places differ: each row stands where its name does.
        let ports = ports.map(|port| model::board::Port {
            place: swap.candidates[0].place,
            ..port
        });
        ports.collect::<Vec<_>>()
    };
    assert_eq!(ports(&long), ports(&short));
    assert!(short.assumed.is_empty(), "{:?}", short.assumed);
    let place = short.candidates[0]
        .port(short.candidates[0].port_named("S2").expect("S2"))
        .place;
    let shown = &short.sources.file(place.file).text[place.range()];
    assert_eq!(shown, "\"S2\"");
}

#[test]
fn a_device_like_another_takes_over_its_cable_but_not_its_place() {
    let mut folder = minimal();
    let text = folder.get_mut("machine.toml").expect("the machine");
    text.extend_from_slice(b"\n[[device]]\ntag = \"M2\"\nlike = \"M1\"\nname = \"second\"\naxis = \"Y\"\ncable = { length = 250 }\n");
    let swap = load(&folder);
    let of = |tag: &str| swap.machine.device(swap.machine.tagged(tag).expect("a device"));
    let (first, second) = (of("M1"), of("M2"));
    assert_eq!(first.cable.pins, second.cable.pins);
    assert_eq!(first.cable.wire, second.cable.wire);
    assert_eq!(second.cable.length.to_string(), "250 mm");
    assert!(second.cable.old_port.is_none() && first.cable.old_port.is_some());
    // The axis Y is named and not described: all of it is taken from what is usual.
    assert!(
        swap.assumed.iter().any(|own| own.words() == "`drive` of Y"),
        "{:?}",
        swap.assumed
    );
}

#[test]
fn a_drawing_in_inches_is_turned_into_millimetres() {
    let mut folder = minimal();
    let text = String::from_utf8(folder["boards/new.toml"].clone()).expect("UTF-8");
    let old = load(&folder);
    let size = old.candidates[0].outline.size.value;
    let inches = |length: quantity::si::Length| quantity::Number::base(length) / 0.0254;
    let start = text.find("size = ").expect("a size");
    let end = start + text[start..].find('\n').expect("a line");
    let short = format!(
        "{}unit = \"in\"\nsize = [{:.6}, {:.6}]{}",
        &text[..start],
        inches(size.x),
        inches(size.y),
        &text[end..]
    );
    folder.insert("boards/new.toml".to_owned(), short.into_bytes());
    let new = load(&folder).candidates[0].outline.size.value;
    let off = |one: quantity::si::Length, other: quantity::si::Length| {
        (quantity::Number::base(one) - quantity::Number::base(other)).abs()
    };
    assert!(off(size.x, new.x) < 1e-7 && off(size.y, new.y) < 1e-7, "{new:?}");
}

/// A chain and a crowd of like rows: bounded, and no panic.
#[test]
fn crowds_of_like_rows_are_bounded() {
    let names: Vec<String> = (0..4_000).map(|at| format!("\"N{at}\"")).collect();
    let row = format!(
        "\n[[port]]\nnames = [{}]\nrole = \"switch input\"\n",
        names.join(", ")
    );
    let crowd = format!("{row}{}", row.replace('N', "P").repeat(12));
    assert!(model::load(&board(&crowd)).is_err());
    let chain: String = (1..1000)
        .map(|at| format!("\n[[port]]\nname = \"L{at}\"\nlike = \"L{}\"\n", at - 1))
        .collect();
    assert!(model::load(&board(&chain)).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever stands in the keys of such rows: faults that point into the file, or a swap.
    #[test]
    fn nothing_in_such_rows_panics(names in "[\\[\\]{}\"a-cS0-3, ?=]{0,24}", like in "[\\[\"S0-3a?]{0,6}", at in "[\\[\\]\"0-9 m,.?]{0,20}") {
        let more = format!("{SHORT}\n[[port]]\nnames = {names}\nlike = {like}\nat = {at}\n");
        if let Err(faults) = model::load(&board(&more)) {
            crate::support::assert_promises(&faults);
        }
    }
}

/// Further plugs come along with a row that is like another: what they state, but the ports of the old board. What is not said of a plug is as in
/// the cable; both are plugs of their own device.
#[test]
fn plugs_of_a_like_row_are_its_own() {
    let mut folder = minimal();
    let text = folder.get_mut("machine.toml").expect("the machine");
    text.extend_from_slice(
        b"\n[[device]]\ntag = \"B1\"\nname = \"probe\"\nkind = \"bed probe\"\noutput = \"PNP\"\nvoltage = \"24 V\"\ncurrent = \"20 mA\"\n\
          [device.cable]\nconnector = \"crimp 2.5 mm\"\npins = [\"+\", \"-\"]\nwire = \"26 AWG\"\nlength = \"600 mm\"\noutside = \"500 mm\"\n\
          [[device.plug]]\nconnector = \"crimp 2.0 mm\"\npins = [\"signal\"]\nold_port = \"unknown\"\n\
          [[device]]\ntag = \"B2\"\nlike = \"B1\"\nname = \"other\"\n[device.cable]\nlength = \"900 mm\"\n",
    );
    let swap = load(&folder);
    let machine = &swap.machine;
    let [first, second] = ["B1.2", "B2.2"].map(|tag| machine.tagged(tag).expect("a plug"));
    for (plug, owner, length) in [(first, "B1", 0.6), (second, "B2", 0.9)] {
        assert_eq!(machine.owner(plug), machine.tagged(owner).expect("a device"));
        let plug = machine.device(plug);
        assert_eq!(plug.cable.connector.value, "crimp 2.0 mm");
        let metres = quantity::Number::base(plug.cable.length.nominal());
        assert!((metres - length).abs() < 1e-9, "{metres}");
        assert!(plug.cable.outside.is_some(), "as far outside as the cable");
        // Its share has no supply, and sends what the device is fed with.
        let sensor = plug.signal().expect("a signal");
        assert!(sensor.voltage.is_none() && sensor.current.is_none());
        assert!(sensor.level.is_some());
        assert!(plug.price.is_none());
    }
    assert!(machine.device(first).is_from_unknown_port());
    assert!(
        machine.device(second).is_new(),
        "an old port belongs to one plug alone"
    );
    let own = machine.device(machine.owner(first));
    assert!(own.signal().is_none() && own.detail.sensor().expect("a sensor").voltage.is_some());
    let plugs: Vec<_> = machine.plugs_of(machine.owner(first)).collect();
    assert_eq!(plugs, [machine.owner(first), first]);
    assert_eq!(machine.plugs_of(first).count(), 0);
    assert_eq!(machine.carrier(plugs[0], model::Pin::Signal), Some(first));
    assert_eq!(machine.carrier(first, model::Pin::Plus), Some(plugs[0]));
}

/// The ports of the new board, all at one place.
fn ports(folder: &Folder) -> Vec<model::board::Port> {
    let swap = load(folder);
    let place = swap.candidates[0].place;
    let ports = swap.candidates[0].ports.iter().cloned();
    ports.map(|port| model::board::Port { place, ..port }).collect()
}

#[test]
fn series_rows_along_an_edge_and_kinds_say_what_the_long_form_says() {
    let own = "[[kind]]\nname = \"port of an edge\"\nof = \"port\"\n\
        states = { role = \"switch input\", connector = \"crimp 2.5 mm\", pins = [\"signal\", \"-\"], pull = \"up\", max_input_voltage = 5 }\n";
    let short = "
[[port]]
names = \"S1 .. S2\"
like = \"port of an edge\"
at = [5, [20, 30]]
processor_pin = \"Q1 .. Q2\"
excludes = [\"S3\"]

[[port]]
name = \"S3\"
like = \"port of an edge\"
pins = [\"+\", \"-\", \"signal\"]
at = [5, 40]
rail = \"5V\"
current = \"0.2 A\"
";
    let mut folder = board(short);
    folder.insert("catalogue/kinds.toml".to_owned(), own.as_bytes().to_vec());
    let mut long = board(LONG);
    long.insert("catalogue/kinds.toml".to_owned(), own.as_bytes().to_vec());
    assert_eq!(ports(&folder), ports(&long));
    assert!(load(&folder).assumed.is_empty());
    // A row above goes before a kind of the same name.
    let named = short.replace("port of an edge", "S0");
    let above = "\n[[port]]\nname = \"S0\"\nrole = \"switch input\"\nconnector = \"crimp 2.5 mm\"\npins = [\"signal\", \"-\"]\n\
        at = [5, 10]\npull = \"up\"\nmax_input_voltage = 5\n";
    let mut both = board(&format!("{above}{named}"));
    let other = own.replace("port of an edge", "S0").replace("= 5 ", "= 3.3 ");
    both.insert("catalogue/kinds.toml".to_owned(), other.into_bytes());
    let volts = |folder: &Folder| format!("{:?}", ports(folder).last().map(|port| port.kind.clone()));
    assert!(!volts(&both).contains("3.3"), "{}", volts(&both));
}

#[test]
fn crossings_are_points_row_by_row() {
    let mut folder = minimal();
    let text = String::from_utf8(folder["boards/new.toml"].clone()).expect("UTF-8");
    let start = text.find("holes = ").expect("holes");
    let end = start + text[start..].find('\n').expect("a line");
    let with = |holes: &str| format!("{}{holes}{}", &text[..start], &text[end..]);
    let mut holes = |line: &str| {
        folder.insert("boards/new.toml".to_owned(), with(line).into_bytes());
        load(&folder).candidates[0].outline.holes.clone()
    };
    let crossed = holes("holes = { x = [4, 84.5], y = [\"4 mm\", \"64 mm\"] }");
    assert_eq!(crossed, holes("holes = [[4, 4], [84.5, 4], [4, 64], [84.5, 64]]"));
}

#[test]
fn each_kind_of_the_catalogue_is_a_row_that_can_be_read() {
    let kinds = catalogue::built_in().kinds().rows();
    assert!(kinds.iter().any(|kind| kind.of == "device") && kinds.iter().any(|kind| kind.of == "port"));
    for kind in kinds {
        let row = format!(
            "\n[[{}]]\n{} = \"ZZ\"\nlike = \"{}\"\n",
            kind.of,
            if kind.of == "device" { "tag" } else { "name" },
            kind.name
        );
        let mut folder = minimal();
        let file = if kind.of == "device" {
            "machine.toml"
        } else {
            "boards/new.toml"
        };
        let text = folder.get_mut(file).expect("the file");
        text.extend_from_slice(row.as_bytes());
        // What the row lacks is asked for; no key or word of the kind is refused.
        if let Err(faults) = model::load(&folder) {
            let lacks = ["missing-key", "needed-key"];
            let refused: Vec<_> = faults
                .faults
                .iter()
                .filter(|fault| !lacks.contains(&fault.code))
                .collect();
            assert!(refused.is_empty(), "{}: {refused:#?}", kind.name);
        }
    }
}

#[test]
fn what_is_no_series_and_no_kind_is_told() {
    for (row, code) in [
        (
            "names = \"S1\"\nrole = \"switch input\"\nat = [5, 20]",
            "wrong-type",
        ),
        (
            "names = \"S3 .. S1\"\nrole = \"switch input\"\nat = [5, 20]",
            "wrong-type",
        ),
        (
            "names = \"S1 .. S900000\"\nrole = \"switch input\"\nat = [5, 20]",
            "wrong-type",
        ),
        (
            "name = \"S1\"\nlike = \"heater, two bare wires\"\nat = [5, 20]",
            "unknown-reference",
        ),
    ] {
        let faults = model::load(&board(&format!("\n[[port]]\n{row}\n"))).expect_err(row);
        assert!(
            faults.faults.iter().any(|fault| fault.code == code),
            "{row}: {}",
            plain(&faults)
        );
    }
}

#[test]
fn facts_of_a_series_belong_to_each_of_its_names() {
    let row = "\n[[port]]\nnames = \"S1 .. S40\"\nrole = \"switch input\"\nconnector = \"crimp 2.5 mm\"\npins = [\"signal\", \"-\"]\nat = [5, 20]\n";
    let swap = load(&board(row));
    for name in ["S1", "S9", "S40"] {
        let id = format!("{}.{name}.pull", swap.candidates[0].name.value);
        let own = swap.assumed.iter().filter(|fact| fact.id() == id).count();
        assert_eq!(own, 1, "{id}");
    }
    let places: std::collections::BTreeSet<_> =
        swap.candidates[0].ports.iter().map(|port| port.place).collect();
    assert_eq!(places.len(), swap.candidates[0].ports.len());
}
