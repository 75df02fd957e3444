//! Drawings against published values and against themselves in other forms.
//!
//! `tests/files`: `tiny-*` are own work, a board of 40 x 20 mm with corners of 2 mm and three holes, whose values ezdxf and gerbonara gave (reference data of
//! the project, group 23). `differential-*` are fabrication files of a test board, Antmicro gerber2ems, commit 69060fc, Apache-2.0, unchanged but for remarks.

use import::{Drawn, Problem, Remark, Unit, read};
use proptest::prelude::*;

fn file(name: &str) -> Vec<u8> {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/files")
        .join(name);
    std::fs::read(path).unwrap()
}

fn drawn(names: &[&str]) -> Result<Drawn, Problem> {
    let shapes: Vec<_> = names
        .iter()
        .map(|name| read(&file(name), None))
        .collect::<Result<_, _>>()?;
    Drawn::of(&shapes)
}

fn millimetres(length: quantity::si::Length) -> f64 {
    quantity::Number::base(length) * 1e3
}

fn square(area: quantity::si::Area) -> f64 {
    quantity::Number::base(area) * 1e6
}

fn close(one: f64, other: f64, within: f64) {
    assert!((one - other).abs() <= within, "{one} is not {other}");
}

/// Area and edge by ezdxf; the hole as drawn.
#[test]
fn a_dxf_drawing_has_the_area_that_another_reader_finds() {
    let board = drawn(&["tiny-r12.dxf"]).unwrap();
    close(square(board.area), 796.566_371, 1e-5);
    close(millimetres(board.edge), 116.566_371, 1e-5);
    close(millimetres(board.size.0), 40.0, 1e-9);
    close(millimetres(board.size.1), 20.0, 1e-9);
    assert_eq!(board.holes.len(), 1);
    close(millimetres(board.holes[0].x), 36.5, 1e-9);
    close(millimetres(board.holes[0].y), 16.5, 1e-9);
    close(millimetres(board.holes[0].diameter), 3.2, 1e-9);
}

/// One board in a Gerber layer and three drill files, with and without the zeros.
#[test]
fn one_board_is_the_same_in_every_form() {
    let dxf = drawn(&["tiny-r12.dxf"]).unwrap();
    for (drill, within) in [
        ("tiny-decimal.drl", 1e-6),
        ("tiny-metric-tz.drl", 1e-6),
        // Inches, rounded to a tenth of a thousandth.
        ("tiny-inch-lz.drl", 0.002),
    ] {
        let board = drawn(&["tiny-profile.gbr", drill]).unwrap();
        close(square(board.area), square(dxf.area), 1e-5);
        close(millimetres(board.edge), millimetres(dxf.edge), 1e-5);
        assert_eq!(board.others, 2, "two holes of 1 mm");
        assert_eq!(board.holes.len(), 1);
        close(millimetres(board.holes[0].x), 36.5, within);
        close(millimetres(board.holes[0].y), 16.5, within);
        close(millimetres(board.holes[0].diameter), 3.2, within);
    }
    // With pads as well, the shift comes out as none.
    let board = drawn(&["tiny-profile.gbr", "tiny-copper.gbr", "tiny-decimal.drl"]).unwrap();
    close(millimetres(board.holes[0].x), 36.5, 1e-6);
}

/// Drill file and layers of this board have different origins: 31 holes fall on pads after a shift by (94.300, -119.336) mm.
#[test]
fn holes_are_matched_to_pads_where_origins_differ() {
    let alone = drawn(&["differential-Edge_Cuts.gbr", "differential-PTH.drl"]).unwrap_err();
    assert!(alone.what.contains("different origins"), "{alone}");
    let board = drawn(&[
        "differential-Edge_Cuts.gbr",
        "differential-F_Cu.gbr",
        "differential-PTH.drl",
    ])
    .unwrap();
    close(millimetres(board.size.0), 49.425, 1e-6);
    close(millimetres(board.size.1), 15.343_973, 1e-6);
    assert_eq!((board.holes.len(), board.others), (0, 31));
    let shifted = board.remarks.iter().find_map(|remark| match remark {
        Remark::Inferred(what) if what.contains("shifted") => Some(what.clone()),
        _ => None,
    });
    let shifted = shifted.unwrap();
    assert!(
        shifted.contains("94.300 mm, -119.336 mm") && shifted.contains("31 of 31"),
        "{shifted}"
    );
}

/// From 350° over 0° to 20° about (10, 10): ends by ezdxf, closed here by two straight lines.
#[test]
fn an_arc_over_zero_degrees_goes_the_short_way() {
    let text = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nARC\n10\n10\n20\n10\n40\n3\n50\n350\n51\n20\n0\nLINE\n10\n12.954423\n20\n9.479055\n11\n10\n21\n10\n0\nLINE\n10\n10\n20\n10\n11\n12.819078\n21\n11.026060\n0\nENDSEC\n0\nEOF\n";
    let board = Drawn::of(&[read(text.as_bytes(), None).unwrap()]).unwrap();
    // A sector of 30°: its area is r² · α / 2.
    close(square(board.area), 9.0 * 30_f64.to_radians() / 2.0, 1e-4);
    close(millimetres(board.size.0), 3.0, 1e-5);
}

#[test]
fn what_is_not_certain_is_asked_for_and_not_guessed() {
    let no_unit = String::from_utf8(file("tiny-r12.dxf"))
        .unwrap()
        .replace("$INSUNITS", "$NOTHING");
    assert!(
        read(no_unit.as_bytes(), None)
            .unwrap_err()
            .what
            .contains("no unit")
    );
    let inches = read(no_unit.as_bytes(), Some(Unit::Inch)).unwrap();
    close(millimetres(Drawn::of(&[inches]).unwrap().size.0), 1016.0, 1e-6);
    let drill = String::from_utf8(file("tiny-metric-tz.drl")).unwrap();
    let no_digits = drill.replace(",000.000", "");
    assert!(
        read(no_digits.as_bytes(), None)
            .unwrap_err()
            .what
            .contains("does not say where it stands")
    );
    for (name, end) in [
        ("tiny-r12.dxf", "EOF"),
        ("tiny-profile.gbr", "M02"),
        ("tiny-decimal.drl", "M30"),
    ] {
        let text = String::from_utf8(file(name)).unwrap();
        let cut = &text[..text.rfind(end).unwrap()];
        assert!(
            read(cut.as_bytes(), None).unwrap_err().what.contains("cut short"),
            "{name}"
        );
    }
    assert!(read(b"hello", None).is_err());
}

/// A block that inserts itself, ten levels of ten blocks, coordinates beyond all measure.
#[test]
fn hostile_drawings_end_soon() {
    let wrap = |blocks: &str, entities: &str| {
        format!(
            "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
        )
    };
    let insert = |name: &str| format!("0\nINSERT\n2\n{name}\n10\n0\n20\n0\n");
    let itself = wrap(
        &format!("0\nBLOCK\n2\nA\n10\n0\n20\n0\n{}0\nENDBLK\n", insert("A")),
        &insert("A"),
    );
    assert!(
        read(itself.as_bytes(), None)
            .unwrap_err()
            .what
            .contains("in itself")
    );
    let mut blocks =
        String::from("0\nBLOCK\n2\nB0\n10\n0\n20\n0\n0\nLINE\n10\n0\n20\n0\n11\n1\n21\n1\n0\nENDBLK\n");
    for level in 1..8 {
        let inside = insert(&format!("B{}", level - 1)).repeat(10);
        blocks += &format!("0\nBLOCK\n2\nB{level}\n10\n0\n20\n0\n{inside}0\nENDBLK\n");
    }
    let bomb = wrap(&blocks, &insert("B7"));
    assert!(
        read(bomb.as_bytes(), None)
            .unwrap_err()
            .what
            .contains("as often as they are inserted")
    );
    let far = wrap("", "0\nLINE\n10\n1e300\n20\n0\n11\n1\n21\n1\n");
    assert!(read(far.as_bytes(), None).is_err());
    let nan = wrap("", "0\nCIRCLE\n10\nNaN\n20\n0\n40\n1\n");
    assert!(read(nan.as_bytes(), None).is_err());
}

#[test]
fn the_table_says_what_is_sure() {
    let board = drawn(&["tiny-profile.gbr", "tiny-decimal.drl"]).unwrap();
    let text = board.outline();
    for line in [
        "# stated: the edge: the largest closed line of the Gerber layer",
        "# missing: the height of the tallest part, and the ports",
        "size = [\"40 mm\", \"20 mm\"]",
        "holes = [[\"36.5 mm\", \"16.5 mm\"]]",
        "hole_diameter = \"3.2 mm\"",
    ] {
        assert!(text.contains(line), "{line} in {text}");
    }
}

const MARKDOWN: &str = "\
| Port | Pin | Function | Processor | Max current | What |
|------|-----|----------|-----------|-------------|------|
| HE   | 1   | +        |           | 6 A         | Heater of the hot end |
|      | 2   | -        | PB7       |             |      |
| TA   | 1   | SIG      | PC3       |             | Thermistor, 4.7k pull-up |
|      | 2   | GND      |           |             |      |
| MX   | 1   | A1       |           | 1.4 A       | X stepper motor |
|      | 2   | A2       |           |             |      |
|      | 3   | B1       |           |             |      |
|      | 4   | B2       |           |             |      |
| K1   | 1   | +        |           | 1 A         | Fan 1 |
|      | 2   | -        | PD12      |             |      |
| XL   | 1   | widget   | PE2       |             | Endstop X |
";

/// The same table as Markdown, with tabs, commas, semicolons and as HTML with cells over several rows.
#[test]
fn a_table_of_pins_gives_the_same_ports_in_every_form() {
    let rows: Vec<Vec<&str>> = MARKDOWN
        .lines()
        .filter(|line| !line.contains("---"))
        .map(|line| line.trim_matches('|').split('|').map(str::trim).collect())
        .collect();
    let joined = |separator: &str| {
        let lines = rows.iter().map(|cells| {
            let cells = cells.iter().map(|cell| {
                if cell.contains(',') {
                    format!("\"{cell}\"")
                } else {
                    (*cell).to_owned()
                }
            });
            cells.collect::<Vec<_>>().join(separator)
        });
        lines.collect::<Vec<_>>().join("\n")
    };
    let html: String = rows
        .iter()
        .map(|cells| {
            let cells: String = cells
                .iter()
                .map(|cell| format!("<td class=x><b>{cell}</b>&nbsp;</td>"))
                .collect();
            format!("<tr>{cells}</tr>\n")
        })
        .collect();
    let without_lines = |text: &str| {
        let ports = import::ports(text).unwrap();
        ports
            .into_iter()
            .map(|port| import::Port {
                lines: (0, 0),
                ..port
            })
            .collect::<Vec<_>>()
    };
    let known = without_lines(MARKDOWN);
    for other in [
        joined("\t"),
        joined(","),
        joined(";"),
        format!("<html><table>{html}</table>"),
    ] {
        assert_eq!(without_lines(&other), known, "{other}");
    }
    let roles: Vec<(&str, Option<&str>)> = known
        .iter()
        .map(|port| (port.name.as_str(), port.role.as_ref().map(|role| role.0.as_str())))
        .collect();
    assert_eq!(
        roles,
        [
            ("HE", Some("heater output")),
            ("TA", Some("thermometer input")),
            ("MX", Some("motor output")),
            ("K1", Some("switched output")),
            ("XL", Some("switch input")),
        ]
    );
    let text = import::as_toml(&import::ports(MARKDOWN).unwrap(), "pins.md");
    for line in [
        "[[port]]  # lines 3 to 4 of pins.md\nname = \"HE\"\nrole = \"heater output\"  # concluded from `heater`",
        "pins = [\"+\", \"switched -\"]",
        "processor_pin = \"PB7\"  # stated\ncurrent = \"6 A\"  # stated",
        "pins = [\"A1\", \"A2\", \"B1\", \"B2\"]",
        "# missing: pins, where the table says widget",
    ] {
        assert!(text.contains(line), "{line}\nin {text}");
    }
}

/// What is plugged in counts before the place that it belongs to.
#[test]
fn the_fan_of_a_hot_end_is_a_fan() {
    for (what, role) in [
        ("hot end fan", Some("switched output")),
        ("fan of the heated bed", Some("switched output")),
        ("bed thermistor", Some("thermometer input")),
        ("bed probe", Some("probe port")),
        ("bed heater", Some("heater output")),
        ("LED strip", Some("light data")),
        ("fancy thing", None),
        ("bedding", None),
    ] {
        let table = format!("Port,What\nP1,{what}\nP2,{what}\n");
        let ports = import::ports(&table).unwrap();
        let found = ports[0].role.as_ref().map(|role| role.0.as_str());
        assert_eq!(found, role, "{what}");
    }
}

#[test]
fn a_cell_over_several_rows_stands_in_each() {
    let html = "<table><tr><th>Port<th>Pin<th>Function</tr><tr><td rowspan=\"2\">FAN2<td>1<td>+</tr><tr><td>2<td>-</tr><tr><td>USB<td>1<td>NC</tr></table>";
    let ports = import::ports(html).unwrap();
    assert_eq!(ports.len(), 2, "{ports:?}");
    assert_eq!(ports[0].pins.len(), 2);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_a_table_or_is_refused(text in "(\\PC|\n|\t|\\||<tr>|<td>|,|;|\"){0,200}") {
        if let Ok(ports) = import::ports(&text) {
            let written = import::as_toml(&ports, "x");
            prop_assert!(written.parse::<toml::Table>().is_ok() || ports.is_empty(), "{}", written);
        }
    }

    /// Any change of some bytes of a file is read or refused, and never panics.
    #[test]
    fn changed_files_never_panic(
        which in 0_usize..9,
        changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..12),
        cut in any::<prop::sample::Index>(),
    ) {
        let names = [
            "tiny-r12.dxf", "tiny-profile.gbr", "tiny-copper.gbr", "tiny-decimal.drl", "tiny-inch-lz.drl",
            "tiny-metric-tz.drl", "differential-Edge_Cuts.gbr", "differential-F_Cu.gbr", "differential-PTH.drl",
        ];
        let mut bytes = file(names[which]);
        for (at, byte) in changes {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        for bytes in [&bytes[..], &bytes[..cut.index(bytes.len())]] {
            let board = read(bytes, Some(Unit::Millimetre)).and_then(|shapes| Drawn::of(&[shapes]));
            if let Ok(board) = board {
                prop_assert!(millimetres(board.size.0).is_finite() && square(board.area).is_finite());
            }
        }
    }
}
