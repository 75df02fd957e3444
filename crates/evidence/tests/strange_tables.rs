//! Height maps as strangers write them: the same touches in many writings, and matrices that say too little.

use evidence::height_map::Touch;
use evidence::{read, tables};
use quantity::Number as _;

/// A tilted bed: place and height in millimetres.
fn touched() -> Vec<[f64; 3]> {
    let sides = |from: f64| (0..5).map(move |at| from + 40.0 * f64::from(at));
    sides(15.0)
        .flat_map(|y| sides(20.0).map(move |x| [x, y, 0.001 * (x - 100.0) - 0.0006 * (y - 95.0)]))
        .collect()
}

fn touches(text: &[u8]) -> Result<(Vec<Touch>, Vec<evidence::Trouble>), evidence::Refused> {
    tables::touches(&read::table(text)?)
}

fn rows(head: &str, row: impl Fn(&[f64; 3]) -> String) -> String {
    let rows: Vec<String> = touched().iter().map(row).collect();
    format!("{head}\n{}\n", rows.join("\n"))
}

/// The matrix of heights, with y upwards or downwards.
fn matrix(between: &str, down: bool) -> Vec<String> {
    let all = touched();
    let mut rows: Vec<String> = all
        .chunks(5)
        .map(|row| {
            let cells: Vec<String> = row.iter().map(|own| format!("{:.3}", own[2])).collect();
            cells.join(between)
        })
        .collect();
    if down {
        rows.reverse();
    }
    rows
}

#[test]
fn one_bed_in_many_writings() {
    let comma = |own: &[f64; 3]| format!("{:.2};{:.2};{:.4}", own[0], own[1], own[2]).replace('.', ",");
    let plain = |own: &[f64; 3]| format!("{:.2},{:.2},{:.4}", own[0], own[1], own[2]);
    let micrometres = |own: &[f64; 3]| format!("{:.2},{:.2},{:.1}", own[0], own[1], own[2] * 1000.0);
    let sides = "20.0,60.0,100.0,140.0,180.0";
    let grid = |down: bool| {
        let mut places = ["15.0", "55.0", "95.0", "135.0", "175.0"];
        if down {
            places.reverse();
        }
        let rows: Vec<String> = matrix(",", down)
            .iter()
            .zip(places)
            .map(|(row, y)| format!("{y},{row}"))
            .collect();
        format!("y\\x,{sides}\n{}\n", rows.join("\n"))
    };
    let writings = [
        rows("Pos X [mm];Pos Y [mm];Height Z [mm]", comma),
        rows("\u{feff}x (mm),y (mm),height (mm)", plain).replace('\n', "\r\n"),
        rows("x,y,height", plain).replace('\n', "\r"),
        rows("x (mm),y (mm),height (µm)", micrometres),
        rows("x_mm,y_mm,z_um", micrometres),
        rows("x;y;height;", |own| comma(own) + ";"),
        rows("x,y,height\nmm,mm,µm", micrometres),
        rows("x;y;height\n[mm];[mm];[mm]", comma),
        rows("x,y,height", |own| {
            format!("{:.2} mm,{:.2}mm,{:.1} µm", own[0], own[1], own[2] * 1000.0)
        }),
        rows("x;y;height", |own| comma(own).replace(';', " mm;") + " mm"),
        rows("x,y,height", |own| plain(own).replace('-', "\u{2212}")),
        rows("n,x,y,height", |own| format!("7,{}", plain(own))),
        grid(false),
        grid(true),
        grid(false)
            .replace(sides, "20.0 mm,x=60,100 (mm),140.0,180")
            .replace("\n15.0,", "\ny=15 mm,"),
        rows("Heights of 3 November", |own| plain(own)).replace("November\n", "November\n\nx,y,z\n"),
        rows("| x | y | z |\n|---|---|:--|", |own| {
            format!("| {} |", plain(own).replace(',', " | "))
        }),
        rows("x,y,z", |own| format!("\u{1b}[32m{}\u{1b}[0m", plain(own))),
        rows("x,y,z", |own| format!("\"{}\"", comma(own).replace(';', "\",\""))),
        rows("", |own| format!("({})", plain(own).replace(',', ", "))),
        rows("", |own| {
            format!("X:{:.2} Y:{:.2} Z:{:.4}", own[0], own[1], own[2])
        }),
        rows("", |own| {
            format!(
                "> touch\n12:00:01 touch 7: x = {:.1}, y = {:.1}, height = {:.1} um\nok",
                own[0],
                own[1],
                own[2] * 1e3
            )
        }),
        rows("", |own| {
            format!("X{:.2} Y{:.2} Z{:.4} count X:7 Y:8", own[0], own[1], own[2])
        }),
        format!(
            "[{}]",
            rows("", |own| format!("[{}],", plain(own)))
                .trim()
                .trim_end_matches(',')
        ),
        format!(
            "{{\"bed\": {{\n \"unit\": \"mm\", \"touches\": [{}]}}}}",
            rows("", |own| format!(
                "{{\"x\": {},\n \"y\": {}, \"z\": {:.4}}},",
                own[0], own[1], own[2]
            ))
            .trim()
            .trim_end_matches(',')
        ),
    ];
    for text in writings {
        let (found, troubles) = touches(text.as_bytes()).unwrap();
        assert_eq!(found.len(), 25, "{text}\n{troubles:?}");
        for own in &found {
            let [x, y] = [own.at.x, own.at.y].map(|length| length.base() * 1000.0);
            let height = 0.001 * (x - 100.0) - 0.0006 * (y - 95.0);
            assert!(
                (own.height.base() * 1000.0 - height).abs() < 6e-4,
                "{text}\n{x} {y}"
            );
        }
    }
}

#[test]
fn a_matrix_without_coordinates_is_asked_for_them() {
    let refused = |text: &str| match touches(text.as_bytes()) {
        Ok((found, _)) => panic!("{} touches of {text}", found.len()),
        Err(refused) => format!("{} {}", refused.problem, refused.mend),
    };
    let numbered: Vec<String> = matrix(" ", false)
        .iter()
        .enumerate()
        .map(|(at, row)| format!("{at} {row}"))
        .collect();
    let three: Vec<String> = matrix(",", false)[..3]
        .iter()
        .map(|row| row.split(',').take(3).collect::<Vec<_>>().join(","))
        .collect();
    let texts = [
        matrix(",", false).join("\n"),
        matrix("  ", false).join("\n"),
        matrix("\t", true).join("\n"),
        matrix(";", false).join("\n").replace('.', ","),
        matrix(",", false).join("\n").replacen("0.000", "nan", 1),
        three.join("\n"),
        format!("c1,c2,c3,c4,c5\n{}", matrix(",", false).join("\n")),
        format!("  0 1 2 3 4\n{}", numbered.join("\n")),
    ];
    for text in texts {
        let said = refused(&text);
        assert!(
            said.contains("no coordinates") && said.contains("`y\\x`"),
            "{text}\n{said}"
        );
    }
}

#[test]
fn an_empty_corner_is_asked_what_its_sides_are() {
    let text = format!(
        ",20,60,100,140,180\n15,{}\n55,{}\n",
        matrix(",", false)[0],
        matrix(",", false)[1]
    );
    let refused = touches(text.as_bytes()).unwrap_err();
    assert!(
        refused.problem.contains("corner of the grid is empty"),
        "{refused}"
    );
}

/// A small table of places is none.
#[test]
fn three_columns_of_places_are_no_matrix() {
    let text = rows("20,15,0.1", |own| format!("{},{},{}", own[0], own[1], own[2]));
    assert_eq!(touches(text.as_bytes()).unwrap().0.len(), 26);
}

/// With another name on each side of the stroke the grid is turned; without one that says which is which it is refused.
#[test]
fn the_corner_of_a_grid_says_which_side_is_which() {
    let grid = |corner: &str| format!("{corner},20,60,100\n15,0.1,0.2,0.3\n55,0.1,0.2,0.3\n");
    let first = |corner: &str| touches(grid(corner).as_bytes()).unwrap().0[1].at;
    for (corner, x, y) in [
        ("y\\x", 0.06, 0.015),
        ("Y / X (mm)", 0.06, 0.015),
        ("x\\y", 0.015, 0.06),
    ] {
        let at = first(corner);
        assert_eq!((at.x.base(), at.y.base()), (x, y), "{corner}");
    }
    for corner in ["x/y", "x, y", "xy"] {
        let text = grid(corner).replace(corner, &format!("\"{corner}\""));
        let refused = touches(text.as_bytes()).unwrap_err();
        assert!(
            refused.problem.contains("which of its sides is which"),
            "{corner}: {refused}"
        );
        assert!(
            refused.mend.contains("`x\\y` for the other way round"),
            "{refused}"
        );
    }
}

/// A file of which no row is understood is told what was seen in it, not that it holds too little.
#[test]
fn a_form_that_is_not_understood_is_no_small_measurement() {
    let problem = |text: &str| touches(text.as_bytes()).unwrap_err().to_string();
    let commas = problem(&rows("x,y,z", |own| {
        format!("{:.1},{:.1},{:.1}", own[0], own[1], own[2]).replace(',', ",0,")
    }));
    assert!(commas.contains("decimal sign"), "{commas}");
    let words = problem("x,y,z\na,b,c\nd,e,f\n");
    assert!(
        words.contains("no number under `x`") && words.contains("any of the rows"),
        "{words}"
    );
    let counted = problem("  0  1  2\n0: +0.1 +0.2 +0.3\n1: +0.1 +0.2 +0.3\n2: +0.1 +0.2 +0.3\n");
    assert!(counted.contains("3 rows of 3 heights"), "{counted}");
}
