//! Looking rows up: near misses, holes, colours, fits, and users' rows over shipped ones.

use std::path::Path;

use catalogue::{Catalogue, TableFile, WorkKind, built_in};
use quantity::si::{ampere, celsius, millimetre, ohm, percent, ratio, square_millimetre};
use quantity::{Number, WireSize};

#[test]
fn near_misses_are_proposed() {
    let connectors = built_in().connectors().families();
    assert_eq!(connectors.nearest("crimp 2.5mm"), Some("crimp 2.5 mm"));
    assert_eq!(
        connectors.nearest("screw terminals 5.0 mm"),
        Some("screw terminal 5.0 mm")
    );
    assert_eq!(connectors.nearest("banana"), None);
    let thermometers = built_in().thermometers();
    assert_eq!(
        thermometers.nearest("NTC 100 kohm glass B3950"),
        Some("NTC 100 kΩ glass B3950")
    );
    assert_eq!(thermometers.nearest("PT1000"), Some("Pt1000"));
    assert_eq!(
        catalogue::Limits::nearest("supply.continous_share"),
        Some("supply.continuous_share")
    );
    assert_eq!(TableFile::nearest("conectors.toml"), Some("connectors.toml"));
}

#[test]
fn a_hole_tells_the_screw() {
    let screw = |hole: f64| {
        built_in()
            .screw_for_hole(millimetre(hole))
            .map(|screw| screw.name.as_str())
    };
    assert_eq!(screw(3.2), Some("M3"));
    assert_eq!(screw(3.5), Some("M3"));
    assert_eq!(screw(3.1), Some("M2.5"));
    assert_eq!(screw(2.1), None);
    assert_eq!(screw(9.0), Some("M5"));
}

/// IEC 60757:2021, 5.1: codes are joined in table order (RDBU); GNYE is the only mix of GN and YE.
#[test]
fn colour_codes_are_taken_apart() {
    let code = |written: &str| built_in().wire_colour(written).map(|colour| colour.code());
    assert_eq!(code("RD").as_deref(), Some("RD"));
    assert_eq!(code("RDBU").as_deref(), Some("RDBU"));
    assert_eq!(code("BURD").as_deref(), Some("RDBU"));
    assert_eq!(code("wh/bk").as_deref(), Some("BKWH"));
    assert_eq!(code("GNYE").as_deref(), Some("GNYE"));
    assert_eq!(code("YEGN").as_deref(), Some("GNYE"));
    for wrong in ["", "XX", "RDRD", "RED", "RDBUGN", "é1é", "RDÉ"] {
        assert_eq!(code(wrong), None, "{wrong}");
    }
}

#[test]
fn wires_between_gauges_take_the_thinner_row() {
    let wires = built_in().wires();
    let name = |size| wires.gauge(size).map(|row| row.name.as_str());
    assert_eq!(name(WireSize::Awg(20)), Some("20 AWG"));
    assert_eq!(
        name(WireSize::CrossSection(square_millimetre(0.5))),
        Some("21 AWG")
    );
    assert_eq!(
        name(WireSize::CrossSection(square_millimetre(1.5))),
        Some("16 AWG")
    );
    assert_eq!(
        name(WireSize::Awg(4)),
        Some("8 AWG"),
        "thicker than the table: its thickest row"
    );
    assert_eq!(name(WireSize::Awg(34)), None, "thinner than the table");
}

#[test]
fn contacts_take_the_wires_of_their_range_in_either_system() {
    let takes = |name: &str, size| {
        let family = built_in().connectors().get(name).expect("a family of the table");
        family.takes(size)
    };
    let mm2 = |number| WireSize::CrossSection(square_millimetre(number));
    assert!(takes("crimp 2.5 mm", WireSize::Awg(22)) && takes("crimp 2.5 mm", WireSize::Awg(30)));
    assert!(!takes("crimp 2.5 mm", WireSize::Awg(20)) && !takes("crimp 2.5 mm", WireSize::Awg(32)));
    assert!(takes("crimp 2.5 mm", mm2(0.34)) && !takes("crimp 2.5 mm", mm2(0.5)));
    assert!(takes("crimp 2.0 mm", mm2(0.22)));
    assert!(takes("screw terminal 5.0 mm", mm2(1.5)) && !takes("screw terminal 5.0 mm", mm2(4.0)));
    assert!(!takes("USB-B", WireSize::Awg(24)), "moulded: takes no wire");
}

#[test]
fn every_pair_of_families_has_a_work_and_none_plugs_over_by_chance() {
    let connectors = built_in().connectors();
    for plug in connectors.families().rows() {
        for socket in connectors.families().rows() {
            let work = connectors.work(&plug.name, &socket.name).expect("both are known");
            if work == WorkKind::PlugOver && plug.name != socket.name {
                assert!(
                    connectors.fit(&plug.name, &socket.name).is_some(),
                    "{} {}",
                    plug.name,
                    socket.name
                );
            }
        }
    }
    let work = |plug, socket| connectors.work(plug, socket);
    assert_eq!(work("crimp 2.5 mm", "crimp 2.5 mm"), Some(WorkKind::PlugOver));
    assert_eq!(work("open wire", "screw terminal 5.0 mm"), Some(WorkKind::Clamp));
    assert_eq!(
        work("crimp 2.5 mm", "screw terminal 5.0 mm"),
        Some(WorkKind::Clamp)
    );
    assert_eq!(work("open wire", "crimp 2.5 mm"), Some(WorkKind::ReCrimp));
    assert_eq!(
        work("square post 2.54 mm", "crimp 2.5 mm"),
        Some(WorkKind::PlugLoose)
    );
    assert_eq!(
        work("crimp 2.5 mm", "square post 2.54 mm"),
        Some(WorkKind::ReCrimp)
    );
    assert_eq!(work("USB-A", "USB-B"), Some(WorkKind::Adaptor));
    assert_eq!(
        work("box header 2x5 2.54 mm", "crimp 2.5 mm"),
        Some(WorkKind::Adaptor)
    );
    assert_eq!(work("crimp 2.5 mm", "no such thing"), None);
}

#[test]
fn fuses_are_rounded_up_to_a_rating_that_is_made() {
    let blade = built_in().fuses().get("blade fuse").expect("the blade fuse");
    assert_eq!(
        blade.rating_for(ampere(10.1)).map(|rating| rating.nominal()),
        Some(ampere(15.0))
    );
    assert_eq!(
        blade.rating_for(ampere(15.0)).map(|rating| rating.nominal()),
        Some(ampere(15.0))
    );
    assert_eq!(blade.rating_for(ampere(41.0)), None);
    let certain = blade.certain_to_open().expect("a band with an end");
    assert_eq!(certain.load.nominal(), ratio(1.35));
}

#[test]
fn resistors_are_rounded_to_their_series() {
    let nearest = |name: &str, value: f64| {
        let series = built_in().series().get(name).expect("a series");
        series
            .nearest(ohm(value))
            .map(|ohm| (ohm.base() * 1e6).round() / 1e6)
    };
    assert_eq!(nearest("E24", 4650.0), Some(4700.0));
    assert_eq!(nearest("E12", 0.052), Some(0.056));
    assert_eq!(nearest("E6", 9.0), Some(10.0));
    assert_eq!(nearest("E24", 0.0), None);
    assert_eq!(nearest("E24", f64::NAN), None);
}

#[test]
fn a_users_rows_replace_and_add() {
    let mut catalogue = Catalogue::new();
    let parts = "[[part]]\nname = \"splice\"\nwhat = \"mine\"\nprice = \"1.50 EUR\"\neffort = \"3 min\"\n\
        [[part]]\nname = \"magic\"\nwhat = \"mine\"\nprice = \"2 EUR\"\neffort = \"1 min\"\n";
    catalogue
        .override_with(TableFile::Parts, parts)
        .expect("a good file");
    let shipped = built_in().parts().rows().len();
    assert_eq!(catalogue.parts().rows().len(), shipped + 1);
    let splice = catalogue.parts().get("splice").expect("the splice");
    assert_eq!(
        (splice.price.hundredths(), splice.source.as_str()),
        (150, "own-statement")
    );
    assert_eq!(
        built_in()
            .parts()
            .get("splice")
            .map(|part| part.price.hundredths()),
        Some(80)
    );

    let limits = "[[limit]]\nkey = \"supply.continuous_share\"\nvalue = \"70 %\"\nreason = \"old supply\"\n";
    catalogue
        .override_with(TableFile::Limits, limits)
        .expect("a good file");
    let changed = &catalogue.limits().supply_continuous_share;
    assert_eq!(
        (changed.value.nominal(), changed.reason),
        (percent(70.0), "old supply")
    );
    assert_eq!(
        catalogue.limits().lead_drop_caution.value,
        built_in().limits().lead_drop_caution.value
    );

    let wires = "[[stranded]]\nname = \"0.14 mm²\"\nsize = \"0.14 mm²\"\nresistance = \"138 Ω/km\"\n";
    catalogue
        .override_with(TableFile::Wires, wires)
        .expect("copper may be left out");
    assert!(catalogue.wires().stranded().get("0.14 mm²").is_some());
    assert!(catalogue.wires().gauges().get("20 AWG").is_some());

    let thermometers = "[[thermometer]]\nname = \"mine\"\nwhat = \"x\"\nusable = \"0 °C .. 300 °C\"\n\
        thermistor = { resistance = \"100 kΩ\", reference = \"25 °C\", beta = \"4000 K\", beta_between = \"25 °C .. 85 °C\" }\n\
        points = [[\"25 °C\", \"100 kΩ\"], [\"200 °C\", \"600 Ω\"]]\n";
    catalogue
        .override_with(TableFile::Thermometers, thermometers)
        .expect("a good file");
    let mine = catalogue.thermometers().get("mine").expect("the new row");
    assert_eq!(mine.points[1].temperature, celsius(200.0));
    assert_eq!(mine.points[1].resistance, ohm(600.0));
}

#[test]
fn a_users_source_comes_before_the_rows_that_name_it() {
    let part = "[[part]]\nname = \"splice\"\nwhat = \"x\"\nprice = \"1 EUR\"\neffort = \"3 min\"\nsource = \"my-shop\"\n";
    let mut catalogue = Catalogue::new();
    let faults = catalogue
        .override_with(TableFile::Parts, part)
        .expect_err("an unknown source");
    assert_eq!(&part[faults[0].span.clone()], "\"my-shop\"");
    assert_eq!(
        catalogue
            .parts()
            .get("splice")
            .map(|part| part.price.hundredths()),
        Some(80),
        "left as it was"
    );
    let source = "[[source]]\nkey = \"my-shop\"\ncitation = \"receipt of May\"\n";
    catalogue
        .override_with(TableFile::Sources, source)
        .expect("a good file");
    catalogue
        .override_with(TableFile::Parts, part)
        .expect("now it is known");
    assert_eq!(
        catalogue
            .parts()
            .get("splice")
            .map(|part| part.price.hundredths()),
        Some(100)
    );
}

#[test]
fn a_core_is_found_by_the_longest_name_that_its_text_begins_with() {
    let images = built_in().images();
    let core = |text: &str| images.core(text).map(|core| core.name.as_str());
    assert_eq!(core("Cortex-M4F"), Some("Cortex-M4F"));
    assert_eq!(core("Arm Cortex-M0+, two cores"), Some("Cortex-M0+"));
    assert_eq!(core("cortex-m0"), Some("Cortex-M0"));
    assert_eq!(
        core("Cortex-M7 with double precision"),
        Some("Cortex-M7 with double precision")
    );
    assert_eq!(core("Cortex-M7 with cache"), Some("Cortex-M7"));
    assert_eq!(core("AVR"), Some("8-bit"));
    assert_eq!(core("Cortex-M45"), None);
    assert_eq!(core("Z80"), None);
}

#[test]
fn every_core_of_the_examples_is_known_and_every_family_has_a_number() {
    let images = built_in().images();
    assert!(images.families().rows().iter().all(|family| family.number() > 0));
    for name in ["demo", "second"] {
        let boards = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../examples/{name}/boards"));
        for board in std::fs::read_dir(boards).unwrap() {
            let text = std::fs::read_to_string(board.unwrap().path()).unwrap();
            let core = text
                .lines()
                .find_map(|line| line.strip_prefix("core = "))
                .unwrap()
                .trim_matches('"');
            assert!(images.core(core).is_some(), "{core}");
        }
    }
}
