//! Formulas of mechanics by name.

use physics::mechanics::*;
use quantity::Number;
use quantity::si::*;

use super::electrics::list;
use crate::driver::{Row, Spec, by_text, spec};

pub fn specs() -> Vec<Spec> {
    vec![
        spec!(SCREW_PLAY => Length; h = "D": Length in "2 mm .. 6 mm", s = "d": Length in "2 mm .. 5 mm"; Ok(screw_play(h, s))),
        by_text::<Length>(&CLEARANCE_HOLE, |row| {
            let series = match row.text("series") {
                "fine" => ClearanceSeries::Fine,
                "medium" => ClearanceSeries::Medium,
                "coarse" => ClearanceSeries::Coarse,
                other => panic!("no series {other}"),
            };
            clearance_hole(row.get("d"), series)
                .expect("a screw of the table")
                .base()
        }),
        spec!(FLANGE_SIDE => Length; d = "D": Length in "10 mm .. 100 mm"; Ok(flange_side(d))),
        by_text::<Angle>(&FIT_ANGLE, |row| {
            best_fit(&pairs(row), false)
                .expect("two pairs or more")
                .rotation
                .base()
        }),
        by_text::<Length>(&FIT_SHIFT, |row| {
            let pairs = pairs(row);
            let motion = best_fit(&pairs, false).expect("two pairs or more");
            let off: Vec<f64> = residuals(&motion, &pairs).into_iter().map(Number::base).collect();
            match row.text("of") {
                "x" => motion.shift.x.base(),
                "y" => motion.shift.y.base(),
                "rms" => (off.iter().map(|off| off * off).sum::<f64>() / off.len() as f64).sqrt(),
                index => off[index.parse::<usize>().expect("a hole from 1") - 1],
            }
        }),
        by_text::<Length>(&TIGHTEST_FIT, |row| {
            tightest_fit(&pairs(row), false)
                .expect("two pairs or more")
                .1
                .base()
        }),
        by_text::<Length>(&ROOM_INSIDE, |row| {
            let corner = |symbol: &str| points(row.text(symbol))[0];
            room_inside(&points(row.text("outline")), corner("low"), corner("high")).base()
        }),
        by_text::<Length>(&GAP, |row| {
            gap(&points(row.text("p")), &points(row.text("q"))).base()
        }),
        by_text::<Length>(&BEHIND_OPENING, |row| {
            let edges = points(row.text("edges"));
            let seen = behind(points(row.text("p"))[0], row.get("facing"), (edges[0], edges[1]))
                .expect("an opening ahead");
            match row.text("of") {
                "depth" => seen.depth.base(),
                "room" => seen.room.base(),
                _ => seen.off.base(),
            }
        }),
        spec!(ROOM_IN_OPENING => Length; w = "w": Length in "5 mm .. 50 mm", o = "o": Length in "0 mm .. 30 mm"; Ok(room_in_opening(w, o))),
        by_text::<Length>(&LENGTH_SUM, |row| length_sum(&list(row)).base()),
        by_text::<Length>(&WAY, |row| way(&points(row.text("p"))).base()),
        by_text::<Length>(&ROUTE, |row| {
            let outlines: Vec<_> = row.text("outlines").split('/').map(points).collect();
            let routes = Routes::new(points(row.text("from"))[0], &outlines, |_| true);
            let to = points(row.text("to"))[0];
            routes.to(to).map_or(f64::INFINITY, Number::base)
        }),
    ]
}

fn pairs(row: &Row) -> Vec<(Point, Point)> {
    points(row.text("holes"))
        .into_iter()
        .zip(points(row.text("posts")))
        .collect()
}

/// Points of a row, in millimetres: "0:0 97:0".
pub fn points(text: &str) -> Vec<Point> {
    let point = |part: &str| {
        let (x, y) = part.split_once(':').expect("x:y");
        Point::in_millimetres(x.parse().expect("a number"), y.parse().expect("a number"))
    };
    text.split_whitespace().map(point).collect()
}
