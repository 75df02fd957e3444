//! Holes on posts: laws, all correspondences, and the tightest fit against a search over positions.

use physics::mechanics::*;
use proptest::prelude::*;
use quantity::Number;
use quantity::si::*;

use crate::boxes::Draw;

fn mm(length: Length) -> f64 {
    length.base() * 1e3
}

fn at(points: &[(f64, f64)]) -> Vec<Point> {
    points
        .iter()
        .map(|(x, y)| Point::in_millimetres(*x, *y))
        .collect()
}

const BOARD: [(f64, f64); 4] = [(0.0, 0.0), (97.0, 0.0), (97.0, 71.0), (0.0, 71.0)];
const POSTS: [(f64, f64); 4] = [
    (12.5, -3.7),
    (109.3668, -1.3608),
    (107.3582, 69.8648),
    (10.5914, 67.3757),
];

/// Medium holes pass all four screws of the reference pattern, fine holes do not. [registration-reference], [iso-273]
#[test]
fn the_reference_pattern_takes_four_screws_in_medium_holes() {
    let play = |series| screw_play(clearance_hole(millimetre(3.0), series).unwrap(), millimetre(3.0));
    let medium = register(
        &at(&BOARD),
        &at(&POSTS),
        play(ClearanceSeries::Medium),
        Mirror::Never,
    );
    assert_eq!(
        medium.iter().map(|found| found.screws.len()).collect::<Vec<_>>(),
        [4, 4],
        "as drawn and turned round"
    );
    let best = &medium[0];
    assert!((best.motion.rotation.base().to_degrees() - 1.48).abs() < 0.1);
    assert!(
        mm(best.largest) <= 0.1807
            && best
                .screws
                .iter()
                .all(|screw| screw.off <= best.largest * (1.0 + 1e-9))
    );
    assert!(best.root_mean_square() <= best.largest);
    let fine = register(
        &at(&BOARD),
        &at(&POSTS),
        play(ClearanceSeries::Fine),
        Mirror::Never,
    );
    assert!(fine.iter().all(|found| found.screws.len() < 4));
}

#[test]
fn a_board_with_more_holes_than_posts_finds_its_own() {
    let mut holes = BOARD.to_vec();
    holes.extend([(20.0, 30.0), (50.0, 60.0)]);
    let posts = at(&[(10.0, 10.0), (10.0, 107.0), (-61.0, 107.0)]);
    // Three posts of the same rectangle, a quarter turn on: hole 0 stays in the corner.
    let found = register(&at(&holes), &posts, millimetre(0.1), Mirror::Never);
    let pairs: Vec<_> = found[0]
        .screws
        .iter()
        .map(|screw| (screw.hole, screw.post))
        .collect();
    assert_eq!(pairs, [(0, 0), (1, 1), (2, 2)]);
    assert!((found[0].motion.rotation.base().to_degrees() - 90.0).abs() < 1e-6);
    assert!(mm(found[0].largest) < 1e-9);
}

#[test]
fn more_posts_than_holes_offer_every_place() {
    // Two rows of posts, 50 mm apart: a board of two holes has three neighbours in each row, either way round.
    let posts = at(&[(0.0, 0.0), (50.0, 0.0), (100.0, 0.0), (150.0, 0.0)]);
    let found = register(
        &at(&[(0.0, 0.0), (50.0, 0.0)]),
        &posts,
        millimetre(0.2),
        Mirror::Never,
    );
    assert_eq!(found.len(), 6);
    assert!(found[0].motion.rotation.base().abs() < 1e-9, "as drawn first");
}

#[test]
fn a_board_on_its_face_needs_leave() {
    // An L of three different sides fits only as it is, or on its face onto its mirror image.
    let holes = at(&[(0.0, 0.0), (60.0, 0.0), (0.0, 40.0)]);
    let posts = at(&[(100.0, 0.0), (40.0, 0.0), (100.0, 40.0)]);
    let never = register(&holes, &posts, millimetre(0.1), Mirror::Never);
    assert!(never.iter().all(|found| found.screws.len() == 2));
    let allowed = register(&holes, &posts, millimetre(0.1), Mirror::Allowed);
    assert_eq!(allowed.len(), 1);
    assert!(allowed[0].motion.mirrored && allowed[0].screws.len() == 3);
    assert!(
        register(&holes, &posts[..1], millimetre(0.1), Mirror::Allowed).is_empty(),
        "one screw places nothing"
    );
}

/// The tightest fit against ten thousand positions around it: none is better, and least squares never is.
#[test]
fn no_position_is_tighter_than_the_tightest_fit() {
    let mut draw = Draw(7);
    for _ in 0..20 {
        let mut noise = || (draw.share() - 0.5) * 0.6;
        let pairs: Vec<(Point, Point)> = BOARD
            .iter()
            .map(|(x, y)| {
                (
                    Point::in_millimetres(*x, *y),
                    Point::in_millimetres(x + 5.0 + noise(), y - 3.0 + noise()),
                )
            })
            .collect();
        let (motion, largest) = tightest_fit(&pairs, false).unwrap();
        let worst = |motion: &RigidMotion| residuals(motion, &pairs).into_iter().map(mm).fold(0.0, f64::max);
        assert!((worst(&motion) - mm(largest)).abs() < 1e-9);
        assert!(mm(largest) <= worst(&best_fit(&pairs, false).unwrap()) + 1e-12);
        for _ in 0..10_000 {
            let mut step = |size: f64| (draw.share() - 0.5) * size;
            let moved = RigidMotion {
                rotation: motion.rotation + radian(step(0.004)),
                shift: Point::new(
                    motion.shift.x + millimetre(step(0.2)),
                    motion.shift.y + millimetre(step(0.2)),
                ),
                ..motion
            };
            assert!(worst(&moved) >= mm(largest) - 1e-9);
        }
    }
}

proptest! {
    #[test]
    fn a_moved_pattern_is_found_again(angle in -180.0..180.0_f64, x in -200.0..200.0_f64, y in -200.0..200.0_f64, mirrored: bool) {
        // An irregular pattern, so that only one correspondence fits.
        let holes = at(&[(0.0, 0.0), (90.0, 3.0), (70.0, 60.0), (5.0, 50.0), (33.0, 21.0)]);
        let motion = RigidMotion { mirrored, rotation: degree(angle), shift: Point::in_millimetres(x, y) };
        let posts = placed(&motion, &holes);
        let found = register(&holes, &posts, millimetre(0.2), Mirror::Allowed);
        prop_assert_eq!(found.len(), 1);
        prop_assert_eq!(found[0].screws.len(), 5);
        prop_assert_eq!(found[0].motion.mirrored, mirrored);
        prop_assert!(mm(found[0].largest) < 1e-6);
        for (hole, post) in holes.iter().zip(&posts) {
            prop_assert!(mm(found[0].motion.place(*hole).distance(*post)) < 1e-6);
        }
    }

    #[test]
    fn a_motion_keeps_distances_and_turns_directions(angle in -180.0..180.0_f64, way in -180.0..180.0_f64, mirrored: bool) {
        let motion = RigidMotion { mirrored, rotation: degree(angle), shift: Point::in_millimetres(3.0, -7.0) };
        let origin = Point::in_millimetres(1.0, 2.0);
        let (sin, cos) = way.to_radians().sin_cos();
        let ahead = Point::in_millimetres(1.0 + cos, 2.0 + sin);
        let (from, to) = (motion.place(origin), motion.place(ahead));
        prop_assert!((mm(from.distance(to)) - 1.0).abs() < 1e-9);
        let turned = motion.turn(degree(way)).base();
        prop_assert!((mm(to.x - from.x) - turned.cos()).abs() < 1e-9);
        prop_assert!((mm(to.y - from.y) - turned.sin()).abs() < 1e-9);
        prop_assert!(turned.abs() <= core::f64::consts::PI + 1e-12, "{turned}");
    }

    #[test]
    fn a_gap_is_mutual_and_shrinks_by_the_shift(x in 25.0..60.0_f64, angle in 0.0..90.0_f64, shift in 0.0..5.0_f64) {
        let one = rectangle(Point::in_millimetres(20.0, 10.0));
        let motion = RigidMotion { mirrored: false, rotation: degree(angle), shift: Point::in_millimetres(x + 15.0, 0.0) };
        let other = placed(&motion, &one);
        prop_assert!((mm(gap(&one, &other)) - mm(gap(&other, &one))).abs() < 1e-9);
        let nearer = placed(&RigidMotion { shift: Point::in_millimetres(x + 15.0 - shift, 0.0), ..motion }, &one);
        prop_assert!(mm(gap(&one, &other)) - mm(gap(&one, &nearer)) <= shift + 1e-9);
    }
}

/// A square on its corner, 5 mm from the corner of another one along the diagonal: only its own sides part the two (own geometry).
#[test]
fn the_sides_of_a_turned_rectangle_part_it_too() {
    let square = rectangle(Point::in_millimetres(10.0, 10.0));
    let side = 10.0 / 2.0_f64.sqrt();
    let motion = RigidMotion {
        mirrored: false,
        rotation: degree(45.0),
        shift: Point::in_millimetres(10.0 + side, 10.0 + side - side),
    };
    let turned = placed(&motion, &square);
    assert!(
        (mm(gap(&square, &turned)) - 5.0).abs() < 1e-9,
        "{}",
        mm(gap(&square, &turned))
    );
}

#[test]
fn the_screw_of_a_hole() {
    assert!((mm(screw_for(millimetre(3.3)).unwrap()) - 3.0).abs() < 1e-9);
    assert!((mm(screw_for(millimetre(3.2)).unwrap()) - 3.0).abs() < 1e-9);
    assert!((mm(screw_for(millimetre(3.1)).unwrap()) - 2.5).abs() < 1e-9);
    assert!(screw_for(millimetre(1.0)).is_none());
    assert!(clearance_hole(millimetre(3.2), ClearanceSeries::Fine).is_none());
}

proptest! {
    /// A board moved together with its case looks at its opening as before.
    #[test]
    fn an_opening_is_seen_alike_from_everywhere(angle in -180.0..180.0_f64, x in -200.0..200.0_f64, y in -200.0..200.0_f64) {
        let motion = RigidMotion { mirrored: false, rotation: degree(angle), shift: Point::in_millimetres(x, y) };
        let (socket, edges) = (Point::in_millimetres(90.0, 20.0), [(100.0, 10.0), (104.0, 26.0)]);
        let edges = edges.map(|(x, y)| Point::in_millimetres(x, y));
        let here = behind(socket, degree(0.0), (edges[0], edges[1])).unwrap();
        let there = behind(motion.place(socket), motion.turn(degree(0.0)), (motion.place(edges[0]), motion.place(edges[1]))).unwrap();
        prop_assert!((mm(here.depth) - mm(there.depth)).abs() < 1e-9);
        prop_assert!((mm(here.room) - mm(there.room)).abs() < 1e-9);
        prop_assert!(behind(socket, degree(180.0), (edges[0], edges[1])).is_none(), "faces away");
    }
}

/// Left, bottom, right and top, each from the nearest corner; negative beyond the wall.
#[test]
fn the_room_to_each_wall() {
    let outline = at(&[(3.0, 5.0), (40.0, 2.0), (44.0, 61.0)]);
    let (low, high) = (Point::in_millimetres(1.0, 1.5), Point::in_millimetres(50.0, 60.0));
    let found = rooms(&outline, low, high).map(mm);
    for (found, expected) in found.into_iter().zip([2.0, 0.5, 6.0, -1.0]) {
        assert!((found - expected).abs() < 1e-9, "{found} for {expected}");
    }
    assert!((mm(room_inside(&outline, low, high)) + 1.0).abs() < 1e-9);
}

/// Of positions that fit alike the one with the smallest turn comes first, and a better fit before both.
#[test]
fn what_fits_alike_is_left_as_it_was_drawn() {
    let square = at(&[(0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0)]);
    let found = register(&square, &square, millimetre(0.1), Mirror::Never);
    let turns: Vec<f64> = found
        .iter()
        .map(|one| one.motion.rotation.base().to_degrees().round())
        .collect();
    assert_eq!(turns[0].abs(), 0.0);
    assert_eq!(turns.iter().filter(|turn| turn.abs() == 90.0).count(), 2);
    assert_eq!(turns.last().map(|turn| turn.abs()), Some(180.0));
    // Posts that are 0.05 mm nearer to each other the other way round.
    let posts = at(&[(0.0, 0.0), (50.0, 0.0), (100.06, 0.0)]);
    let holes = at(&[(0.0, 0.0), (50.06, 0.0)]);
    let found = register(&holes, &posts, millimetre(0.1), Mirror::Never);
    assert!(mm(found[0].largest) < 1e-6, "{:?}", found[0].largest);
    assert!(
        found
            .windows(2)
            .all(|two| two[0].largest.base() <= two[1].largest.base() + 1e-7)
    );
}

/// A slanted edge parts them: the line x + y = 6 bounds the triangle, the square's corner (7, 7) lies 8/√2 beyond it. Only the normal of that edge tells.
#[test]
fn a_slanted_edge_parts_two_outlines() {
    let triangle = at(&[(0.0, 0.0), (6.0, 0.0), (0.0, 6.0)]);
    let square = at(&[(7.0, 7.0), (9.0, 7.0), (9.0, 9.0), (7.0, 9.0)]);
    assert!((mm(gap(&triangle, &square)) - 8.0 / 2.0_f64.sqrt()).abs() < 1e-9);
    // Beside it on the other diagonal neither the square's nor its own other edges part them farther.
    let beside = at(&[(7.0, -3.0), (9.0, -3.0), (9.0, -1.0), (7.0, -1.0)]);
    assert!((mm(gap(&triangle, &beside)) - 1.0).abs() < 1e-9);
}

/// Holes and posts in one line, one row stretched: what is left over is shared by both ends.
#[test]
fn a_stretched_row_is_met_in_its_middle() {
    let pairs: Vec<(Point, Point)> = at(&[(0.0, 0.0), (50.0, 0.0), (100.0, 0.0)])
        .into_iter()
        .zip(at(&[(20.0, 5.0), (70.1, 5.0), (120.2, 5.0)]))
        .collect();
    let (_, largest) = tightest_fit(&pairs, false).expect("three pairs");
    assert!((mm(largest) - 0.1).abs() < 1e-6, "{}", mm(largest));
}
