//! One board over the posts of a case: which screws fit, what is in the way, what lines up with which opening.

mod geometry;
mod names;
mod shapes;

use crate::geometry::{Mm, Spot};
use crate::sheet::{Head, Layout, Sheet, Verdict, heading};
use geometry::{View, enlargement, extent, placed};

/// A board laid into a case. Everything is in the coordinates of the case, x right and y up, except the board's holes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BoardInCase {
    /// Prefix, title, description.
    pub head: Head,
    /// Name of the board.
    pub name: String,
    /// Width of the board.
    pub width: Mm,
    /// Height of the board in the plane.
    pub height: Mm,
    /// Where the board's lower left corner lands in the case.
    pub shift: Spot,
    /// By how much the board is turned about that corner, counter-clockwise, in degrees.
    pub turn_degrees: f64,
    /// Holes of the board, in the board's own coordinates.
    pub holes: Vec<BoardHole>,
    /// Posts of the case.
    pub posts: Vec<Post>,
    /// Places that the board must leave free.
    pub keep_outs: Vec<KeepOut>,
    /// Openings in the walls.
    pub openings: Vec<Opening>,
    /// Ports of the board.
    pub ports: Vec<BoardPort>,
}

/// A hole, and the post that it is meant for.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BoardHole {
    /// Name, such as `H1`.
    pub name: String,
    /// Middle, in the board's coordinates.
    pub at: Spot,
    /// Diameter.
    pub diameter: Mm,
    /// Index of its post, if one is meant for it.
    pub post: Option<usize>,
    /// Whether the screw passes, as the check found.
    pub passes: bool,
}

/// A post with its screw.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Post {
    /// Name, such as `P1`.
    pub name: String,
    /// Middle.
    pub at: Spot,
    /// Outer diameter of the post.
    pub diameter: Mm,
    /// Diameter of the screw.
    pub screw: Mm,
}

/// A place that must stay free.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct KeepOut {
    /// What is there.
    pub name: String,
    /// Lower left corner.
    pub at: Spot,
    /// Width.
    pub width: Mm,
    /// Height in the plane.
    pub height: Mm,
    /// Whether the board runs into it, as the check found.
    pub hit: bool,
}

/// A port of the board.
#[derive(Clone, Debug, PartialEq)]
pub struct BoardPort {
    /// Its name as printed on the board.
    pub name: String,
    /// Its middle, in board coordinates.
    pub at: Spot,
}

/// An opening in a wall, and the socket of the board that should lie behind it.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// What it is for, such as `USB`.
    pub name: String,
    /// One end of the opening along the wall.
    pub from: Spot,
    /// The other end.
    pub to: Spot,
    /// Middle of the socket, in case coordinates, if the board has it.
    pub socket: Option<Spot>,
    /// What the check found.
    pub verdict: Verdict,
}

/// Draws the board over the posts.
///
/// At each hole an arrow, enlarged ten times or more as the legend says, shows how far the hole's middle lies from the
/// post's; the circle around it is the play of the screw in the hole, enlarged alike: a tip inside the circle is a
/// screw that passes.
pub fn board(input: &BoardInCase, layout: Layout) -> String {
    let (sheet, size) = draw(input, layout);
    sheet.finish(&input.head, size, None)
}

fn draw(input: &BoardInCase, layout: Layout) -> (Sheet, (f64, f64)) {
    let (width, edge) = match layout {
        Layout::Wide => (900.0, 24.0),
        Layout::Narrow => (390.0, 14.0),
    };
    let mut sheet = Sheet::default();
    let top = heading(&mut sheet, &input.head, edge, width - 2.0 * edge);
    let (low, high) = extent(input);
    // Room around the outermost things for names and enlarged residuals.
    let air = 46.0;
    let scale = ((width - 2.0 * (edge + air)) / (high.x.0 - low.x.0).max(1.0)).min(9.0);
    let wide = (high.x.0 - low.x.0) * scale;
    let view = View {
        scale,
        left: (width - wide) / 2.0,
        top: top + air - 14.0,
        min_x: low.x.0,
        max_y: high.y.0,
        enlarged: enlargement(input, scale),
        width,
        middle: 0.0,
        in_place: layout == Layout::Wide,
    };
    let middle = view.point(placed(input, Spot::mm(input.width.0 / 2.0, input.height.0 / 2.0)));
    let view = View {
        middle: middle.x,
        ..view
    };
    let bottom = view.point(low).y + air;
    shapes::outline(&mut sheet, input, &view);
    shapes::keep_outs(&mut sheet, input, &view);
    shapes::openings(&mut sheet, input, &view);
    shapes::ports(&mut sheet, input, &view);
    shapes::holes(&mut sheet, input, &view);
    names::name_of_board(&mut sheet, input, &view, middle);
    names::edges(&mut sheet, input, &view);
    shapes::port_names(&mut sheet, input, &view);
    let end = names::legend(&mut sheet, input, &view, bottom, (edge, width - edge));
    (sheet, (width, end))
}

#[cfg(test)]
mod tests {
    use super::geometry::{play, residual_of};
    use super::*;
    use crate::sheet::assert_legible;

    /// Worked example of a rigid registration in the plane, angle and shift in the complex form (Kabsch, Acta Cryst.
    /// A32 (1976) 922; Umeyama, IEEE PAMI 13 (1991) 376; numbers recomputed with an independent library).
    fn worked() -> BoardInCase {
        let posts = [
            (12.5, -3.7),
            (109.3668, -1.3608),
            (107.3582, 69.8648),
            (10.5914, 67.3757),
        ];
        let holes = [(0.0, 0.0), (97.0, 0.0), (97.0, 71.0), (0.0, 71.0)];
        BoardInCase {
            head: Head {
                prefix: "b".into(),
                title: "Board in case".into(),
                description: "Invented.".into(),
            },
            name: "Invented".into(),
            width: Mm(97.0),
            height: Mm(71.0),
            shift: Spot::mm(12.387_369, -3.696_143),
            turn_degrees: 1.480_304_4,
            holes: (0..4)
                .map(|i| BoardHole {
                    name: format!("H{}", i + 1),
                    at: Spot::mm(holes[i].0, holes[i].1),
                    diameter: Mm(3.4),
                    post: Some(i),
                    passes: true,
                })
                .collect(),
            posts: posts
                .iter()
                .map(|(x, y)| Post {
                    name: "P".into(),
                    at: Spot::mm(*x, *y),
                    diameter: Mm(6.0),
                    screw: Mm(3.0),
                })
                .collect(),
            ..BoardInCase::default()
        }
    }

    #[test]
    fn residuals_are_those_of_the_worked_example() {
        let input = worked();
        let published = [0.112_697, 0.170_896, 0.180_719, 0.102_891];
        for (hole, residual) in input.holes.iter().zip(published) {
            let found = residual_of(&input, hole, &input.posts[hole.post.unwrap()]).1;
            assert!((found - residual).abs() < 2e-6, "{}: {found}", hole.name);
        }
    }

    /// ISO 273, medium: a 3.4 mm hole leaves an M3 screw 0.20 mm on each side.
    #[test]
    fn play_is_half_the_difference() {
        let input = worked();
        assert!((play(&input.holes[0], &input.posts[0]) - 0.2).abs() < 1e-12);
    }

    #[test]
    fn texts_stay_apart_even_where_all_is_close() {
        let mut input = worked();
        input.holes[1].passes = false;
        input.holes.push(BoardHole {
            name: "H5".into(),
            at: Spot::mm(4.0, 3.0),
            diameter: Mm(3.4),
            ..BoardHole::default()
        });
        input.posts.push(Post {
            name: "P5".into(),
            at: Spot::mm(18.0, 2.0),
            diameter: Mm(6.0),
            screw: Mm(3.0),
        });
        for i in 0..4 {
            let at = Spot::mm(40.0 + 3.0 * f64::from(i), 60.0);
            let keep_out = KeepOut {
                name: format!("thing {i}"),
                at,
                width: Mm(9.0),
                height: Mm(9.0),
                hit: i % 2 == 0,
            };
            input.keep_outs.push(keep_out);
            let from = Spot::mm(112.0, 10.0 + 9.0 * f64::from(i));
            let to = Spot::mm(112.0, 18.0 + 9.0 * f64::from(i));
            let verdict = [Verdict::Pass, Verdict::Blocker, Verdict::Note, Verdict::Caution][i as usize];
            input.openings.push(Opening {
                name: format!("slot {i}"),
                from,
                to,
                socket: None,
                verdict,
            });
        }
        for layout in [Layout::Wide, Layout::Narrow] {
            let (sheet, size) = draw(&input, layout);
            assert_legible(&sheet, size);
        }
    }
}
