//! What is said about a faulty file: every fault, each with its place.

use catalogue::{Catalogue, TableFile, built_in};

/// Reads `text` over the shipped table; each fault must be `place in the text: message`, in order.
#[track_caller]
fn check(file: TableFile, text: &str, expected: &[&str]) {
    let told = match Catalogue::new().override_with(file, text) {
        Ok(()) => Vec::new(),
        Err(faults) => faults
            .iter()
            .map(|fault| format!("{}: {}", text[fault.span.clone()].escape_debug(), fault.message))
            .collect(),
    };
    assert_eq!(told, expected);
}

const PART: &str = "[[part]]\nname = \"a\"\nwhat = \"b\"\nprice = \"1 EUR\"\neffort = \"3 min\"\n";

#[test]
fn a_good_row_is_taken() {
    check(TableFile::Parts, PART, &[]);
    check(TableFile::Parts, "", &[]);
}

#[test]
fn a_wrong_unit_is_told_with_the_units_that_fit() {
    check(
        TableFile::Parts,
        &PART.replace("3 min", "3 mm"),
        &[r#"\"3 mm\": `mm` is a unit of length, not of time; expected a time (s, ms, µs, min, h)"#],
    );
    check(
        TableFile::Thermometers,
        &thermometer("platinum = { resistance = \"100 V\" }"),
        &[
            r#"\"100 V\": `V` is a unit of voltage, not of resistance; expected a resistance (Ω, mΩ, kΩ (or ohm))"#,
        ],
    );
    check(
        TableFile::Wires,
        "[copper]\nsquare_millimetre = \"17 V\"\n",
        &[
            r#"\"17 V\": `V` is a unit of voltage, not of resistance per length; expected a resistance per length (Ω/km, mΩ/m, Ω/m)"#,
        ],
    );
}

#[test]
fn a_wrong_key_or_word_is_told_with_the_near_one() {
    check(
        TableFile::Parts,
        &PART.replace("effort", "efort"),
        &[
            "efort: unknown field `efort`, expected one of `name`, `what`, `price`, `effort`, `current`, `input`, `output`, `accuracy`, `wire`, `length`, `source`, `sure`, `note`; \
           did you mean `effort`?",
        ],
    );
    check(
        TableFile::Connectors,
        "[[fit]]\nname = \"a -> b\"\nplug = \"a\"\nsocket = \"b\"\nwork = \"splise\"\n",
        &[
            r#"\"splise\": unknown variant `splise`, expected one of `plug-over`, `plug-loose`, `clamp`, `re-crimp`, `adaptor`, `splice`; did you mean `splice`?"#,
        ],
    );
    check(
        TableFile::Parts,
        &PART.replace("what = \"b\"\n", ""),
        &["[[part]]: missing field `what`"],
    );
    check(
        TableFile::Parts,
        &PART.replace("[[part]]", "[[parts]]"),
        &["parts: `parts` is not a kind of row of this file"],
    );
}

#[test]
fn rows_that_are_no_list_or_no_rows_are_told() {
    for text in ["[part]\n", "part = 3"] {
        let place = if text == "[part]\n" { "[part]" } else { "3" };
        let expected = format!("{place}: `part` is no list of rows; expected `[[part]]`");
        check(TableFile::Parts, text, &[&expected]);
    }
    let row = "invalid type: integer `1`, expected struct Part";
    check(TableFile::Parts, "part = [1]", &[&format!("1: {row}")]);
    check(
        TableFile::Parts,
        "[[part]\n",
        &[": unclosed array table, expected `]`"],
    );
}

#[test]
fn all_faults_are_told_at_once() {
    check(
        TableFile::Parts,
        &format!("{}{}", PART.replace("1 EUR", "1"), PART.replace("3 min", "-")),
        &[
            r#"\"1\": a price without currency; expected the three capital letters of a currency (ISO 4217), such as EUR"#,
            r#"\"-\": `-` does not begin with a number; expected a time (s, ms, µs, min, h)"#,
        ],
    );
    check(
        TableFile::Limits,
        &format!(
            "{}{}",
            limit("supply.continous_share", "1"),
            limit("lead.drop_caution", "3 V")
        ),
        &[
            r#"\"supply.continous_share\": `supply.continous_share` is no limit; did you mean `supply.continuous_share`?"#,
            r#"\"3 V\": `lead.drop_caution`: `V` is a unit of voltage; expected a number (a plain number or %)"#,
        ],
    );
    check(
        TableFile::Sources,
        "[[source]]\nkey = \"A B\"\ncitation = \" \"\n",
        &[
            "[[source]]: `A B`: a key is small letters, digits and hyphens",
            "[[source]]: `A B`: the citation is empty",
        ],
    );
}

#[test]
fn rows_that_contradict_themselves_are_told() {
    check(
        TableFile::Parts,
        &format!("{PART}{PART}"),
        &["[[part]]: a second row named `a`"],
    );
    let family = "[[family]]\nname = \"x\"\nwhat = \"\"\nsupply = \"3 V .. 5 V\"\n";
    check(
        TableFile::Levels,
        family,
        &["[[family]]: `x`: neither `output` nor `input`"],
    );
    check(
        TableFile::Levels,
        &format!("{family}input = {{ high = \"30 %\", low = \"70 %\", maximum = \"5 V\" }}\n"),
        &["[[family]]: `x`: an input needs low below high below maximum"],
    );
    check(
        TableFile::Thermometers,
        &thermometer(""),
        &["[[thermometer]]: expected either `thermistor` or `platinum`"],
    );
    let platinum = "platinum = { resistance = \"100 Ω\" }\n";
    check(
        TableFile::Thermometers,
        &thermometer(&format!(
            "{platinum}points = [[\"0 °C\", \"100 Ω\"], [\"1 °C\", \"90 Ω\"]]"
        )),
        &["[[thermometer]]: `x`: the resistance must rise with temperature"],
    );
    check(
        TableFile::Thermometers,
        &thermometer(&format!("{platinum}table = \"no.csv\"")),
        &["[[thermometer]]: `no.csv` is no table of the catalogue; write your own as `points`"],
    );
    let glass = "thermistor = { resistance = \"100 kΩ\", reference = \"25 °C\", beta = \"3950 K\", beta_between = \"25 °C .. 50 °C\" }\n";
    check(
        TableFile::Thermometers,
        &thermometer(&format!("{glass}coefficients = [\"8e-4 1/K\", \"2e-4 1/K\"]")),
        &["[[thermometer]]: expected three `coefficients`: a, b and c"],
    );
    check(
        TableFile::Thermometers,
        &thermometer(&format!(
            "{glass}coefficients = [\"1e-3 1/K\", \"2.5e-4 1/K\", \"1e-7 1/K\"]"
        )),
        &[
            "[[thermometer]]: `x`: the coefficients give -25.1 °C for 100 kΩ, which is stated at 25.0 °C (they are for the natural logarithm of the resistance in Ω)",
        ],
    );
    check(
        TableFile::Thermometers,
        &thermometer(&format!(
            "{platinum}coefficients = [\"8e-4 1/K\", \"2e-4 1/K\", \"1e-7 1/K\"]"
        )),
        &["[[thermometer]]: `x`: `coefficients` are for thermistors"],
    );
    check(
        TableFile::Holes,
        "[[screw]]\nname = \"M3\"\ndiameter = \"3 mm\"\nfine = \"3 mm\"\nmedium = \"3.4 mm\"\ncoarse = \"3.6 mm\"\n",
        &["[[screw]]: `M3`: the hole must grow from thread over fine and medium to coarse"],
    );
    check(
        TableFile::Fuses,
        "[[fuse]]\nname = \"x\"\nwhat = \"\"\nvoltage = \"32 V\"\nratings = [\"2 A\", \"1 A\"]\nbands = [{ load = \"2\" }]\n",
        &[
            "[[fuse]]: `x`: the ratings are not in order",
            "[[fuse]]: `x`: a time band says neither `holds` nor `opens`",
        ],
    );
    check(
        TableFile::Connectors,
        "[[fit]]\nname = \"x\"\nplug = \"a\"\nsocket = \"b\"\nwork = \"clamp\"\n",
        &["[[fit]]: `x`: the name must be `a -> b`"],
    );
    check(
        TableFile::Resistors,
        "[[series]]\nname = \"x\"\nvalues = [1.0, 12.0]\n",
        &["[[series]]: `x`: the values must begin with 1.0, rise, and stay below 10"],
    );
}

#[test]
fn text_that_is_no_level_or_colour_is_told() {
    check(
        TableFile::Levels,
        "[[family]]\nname = \"x\"\nwhat = \"\"\nsupply = \"3 V .. 5 V\"\n\
         input = { high = \"70 %\", low = \"1 V\", maximum = \"100 % + 5 volts\" }\n",
        &[
            r#"\"100 % + 5 volts\": `volts` is no unit that is known here; expected a voltage (V, mV); write `5 V`"#,
        ],
    );
    check(
        TableFile::WireColours,
        "[[colour]]\ncode = \"XX\"\nname = \"x\"\nbody = \"red\"\nedge_on_light = \"#000000\"\nedge_on_dark = \"#ffffff\"\n",
        &[r#"\"red\": `red` is no colour; expected `#rrggbb`"#],
    );
}

fn thermometer(rest: &str) -> String {
    format!("[[thermometer]]\nname = \"x\"\nwhat = \"\"\nusable = \"0 °C .. 5 °C\"\n{rest}\n")
}

fn limit(key: &str, value: &str) -> String {
    format!("[[limit]]\nkey = \"{key}\"\nvalue = \"{value}\"\nreason = \"\"\n")
}

/// Seeded mutations of the shipped files: whatever is wrong, it is told with a place inside the text, and nothing panics.
#[test]
fn mutated_files_are_told_apart_without_panic() {
    let mut state = 1_234_567_890_u64;
    // The generator of Park and Miller; its first numbers are published in NIST SP 1065, p. 107.
    let mut next = move |below: usize| {
        state = state * 16_807 % 2_147_483_647;
        usize::try_from(state).expect("below 2^31") % below.max(1)
    };
    let scraps = [
        "[", "]]", "\"", "=", "\n", "± 5 %", "..", "-", "°C", "\u{0}", "{", "1e400", "nan", "é",
    ];
    let (mut taken, mut refused) = (0, 0);
    for (file, text) in SHIPPED {
        for _ in 0..40 {
            let mut mutated: Vec<char> = text.chars().collect();
            let at = next(mutated.len());
            let until = (at + next(12)).min(mutated.len());
            let scrap = scraps[next(scraps.len())];
            mutated.splice(at..until, scrap.chars());
            let mutated: String = mutated.into_iter().collect();
            match built_in().clone().override_with(file, &mutated) {
                Ok(()) => taken += 1,
                Err(faults) => {
                    refused += 1;
                    assert!(!faults.is_empty());
                    for fault in faults {
                        assert!(mutated.get(fault.span.clone()).is_some(), "{fault:?}");
                        assert!(!fault.message.is_empty());
                    }
                }
            }
        }
    }
    // Most mutations hit a name or a note, or break something; both must happen.
    assert!(taken > 50 && refused > 50, "{taken} taken, {refused} refused");
}

const SHIPPED: [(TableFile, &str); 12] = [
    (TableFile::Sources, include_str!("../../../data/sources.toml")),
    (TableFile::Wires, include_str!("../../../data/wires.toml")),
    (
        TableFile::Connectors,
        include_str!("../../../data/connectors.toml"),
    ),
    (
        TableFile::Thermometers,
        include_str!("../../../data/thermometers.toml"),
    ),
    (TableFile::Holes, include_str!("../../../data/holes.toml")),
    (TableFile::Fuses, include_str!("../../../data/fuses.toml")),
    (
        TableFile::WireColours,
        include_str!("../../../data/wire-colours.toml"),
    ),
    (TableFile::Limits, include_str!("../../../data/limits.toml")),
    (TableFile::Levels, include_str!("../../../data/levels.toml")),
    (TableFile::Parts, include_str!("../../../data/parts.toml")),
    (TableFile::Remedies, include_str!("../../../data/remedies.toml")),
    (TableFile::Resistors, include_str!("../../../data/resistors.toml")),
];
