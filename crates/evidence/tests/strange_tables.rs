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
