//! The plan of speeds: the highest at each joint from which everything that follows can still be done.
//!
//! A pass from the end back gives each joint the highest speed from which the rest can stop or slow down in time; a pass forward
//! takes what the acceleration reaches of that. The result is the only greatest one: feasible squares of speeds are closed under maximum.
//!
//! Nobody knows the end of a file of any size. The pass back is therefore made twice at once, as if the pieces at hand ended at rest and as
//! if they ended at full speed; where both agree, nothing that follows can change a speed any more, and the pieces up to there are done.

use std::collections::VecDeque;

use crate::segment::Segment;

/// Pieces after which a plan is made.
const ENOUGH: usize = 2_048;

/// Pieces after which it is made without certainty: as if the last ended at rest. Some metres of the shortest pieces.
const MOST: usize = 1 << 15;

/// Collects pieces and hands them on with the squares of the speeds at which they begin and end.
#[derive(Debug)]
pub(crate) struct LookAhead {
    waiting: Vec<Segment>,
    /// Square of the speed with which the first of them begins.
    begin2: f64,
    /// Squares of the speeds at the joints, the first before the first piece.
    joints: Vec<f64>,
    /// How many pieces the controller knows; all where nothing is said.
    known: Option<usize>,
    /// Pieces from which the next plan is made.
    enough: usize,
}

impl LookAhead {
    pub fn new(known: Option<usize>) -> Self {
        Self {
            waiting: Vec::with_capacity(2 * ENOUGH),
            begin2: 0.0,
            joints: Vec::new(),
            known,
            enough: ENOUGH,
        }
    }

    /// How many pieces wait for their plan.
    pub fn waiting(&self) -> usize {
        self.waiting.len()
    }

    /// Takes a piece; hands on those that are certain.
    #[inline(always)]
    pub fn push(&mut self, segment: &Segment, done: &mut impl FnMut(&Segment, f64, f64)) {
        self.waiting.push(*segment);
        if self.waiting.len() >= self.enough {
            self.plan(false, done);
        }
    }

    /// Hands on everything; the last piece ends at rest.
    pub fn stop(&mut self, done: &mut impl FnMut(&Segment, f64, f64)) {
        self.plan(true, done);
        self.begin2 = 0.0;
    }

    #[inline(never)]
    fn plan(&mut self, last: bool, done: &mut impl FnMut(&Segment, f64, f64)) {
        let certain = match self.known {
            None => self.back(last),
            Some(known) => self.back_over(known, last),
        };
        for at in 0..certain {
            let segment = &self.waiting[at];
            let reach = self.begin2 + segment.twice_acceleration * segment.length;
            let end2 = self.joints[at + 1].min(reach);
            done(segment, self.begin2, end2);
            self.begin2 = end2;
        }
        self.waiting.drain(..certain);
        self.enough = self.waiting.len() + ENOUGH;
    }

    /// The pass back over all pieces; returns how many of them are certain.
    fn back(&mut self, last: bool) -> usize {
        let count = self.waiting.len();
        self.joints.resize(count + 1, 0.0);
        self.joints[count] = 0.0;
        // As if all ended at rest, and at full speed.
        let mut lowest = 0.0;
        let mut highest = if last { 0.0 } else { f64::INFINITY };
        let mut certain = if last { count } else { 0 };
        for at in (1..count).rev() {
            let segment = &self.waiting[at];
            let reach = segment.twice_acceleration * segment.length;
            let limit = joint_limit(&self.waiting[at - 1], segment);
            lowest = limit.min(lowest + reach);
            highest = limit.min(highest + reach);
            self.joints[at] = lowest;
            if certain == 0 && lowest == highest {
                certain = at;
            }
        }
        // So many pieces without one certain joint: the last ones are left, and the rest is as good as certain.
        if certain == 0 && count >= MOST {
            certain = count / 2;
        }
        certain
    }

    /// The same where only so many pieces are known when one begins, the last of which is planned to end at rest.
    ///
    /// The limit of a joint is the least of (limit of a later joint + what the way to it takes off): a sliding minimum.
    fn back_over(&mut self, known: usize, last: bool) -> usize {
        let count = self.waiting.len();
        self.joints.resize(count + 1, 0.0);
        // The sum of twice the acceleration times the length, up to each joint.
        let mut sums = Vec::with_capacity(count + 1);
        let mut sum = 0.0;
        sums.push(sum);
        for segment in &self.waiting {
            sum += segment.twice_acceleration * segment.length;
            sums.push(sum);
        }
        let mut least: VecDeque<(usize, f64)> = VecDeque::new();
        let mut next = 1;
        for at in 0..count {
            if at + known > count && !last {
                return at;
            }
            // Joints that limit the end of this piece: those behind it, up to the last piece known.
            let end = (at + known).min(count);
            while next < end {
                let key = joint_limit(&self.waiting[next - 1], &self.waiting[next]) + sums[next];
                while least.back().is_some_and(|(_, other)| *other >= key) {
                    least.pop_back();
                }
                least.push_back((next, key));
                next += 1;
            }
            while least.front().is_some_and(|(joint, _)| *joint <= at) {
                least.pop_front();
            }
            let by_joints = least.front().map_or(f64::INFINITY, |(_, key)| *key);
            let by_sums = (by_joints.min(sums[end]) - sums[at + 1]).max(0.0);
            // Its own limit without the rounding of the sums.
            let own = match self.waiting.get(at + 1) {
                Some(after) => joint_limit(&self.waiting[at], after),
                None => 0.0,
            };
            self.joints[at + 1] = by_sums.min(own);
        }
        count
    }
}

/// Square of the highest speed between two pieces, whatever follows.
#[inline(always)]
fn joint_limit(before: &Segment, after: &Segment) -> f64 {
    after.corner2.min(before.nominal2).min(after.nominal2)
}

/// The speeds and times of one piece: up, even, down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Profile {
    pub begin: f64,
    pub peak: f64,
    pub end: f64,
    /// One over the acceleration.
    pub inverse_acceleration: f64,
    pub up: f64,
    pub even: f64,
    pub down: f64,
}

impl Profile {
    /// From the squares of the speeds at both ends; `begin` is the root of the first, which the piece before has found already.
    #[inline(always)]
    pub fn of(segment: &Segment, begin: f64, begin2: f64, end2: f64) -> Self {
        let ends = begin2 + end2;
        let peak2 = segment
            .nominal2
            .min((segment.twice_acceleration * segment.length + ends) / 2.0)
            .max(begin2)
            .max(end2);
        let (peak, end) = (peak2.sqrt(), end2.sqrt());
        let inverse = 1.0 / segment.twice_acceleration;
        let even = segment.length - (2.0 * peak2 - ends) * inverse;
        let inverse_acceleration = 2.0 * inverse;
        Self {
            begin,
            peak,
            end,
            inverse_acceleration,
            up: (peak - begin) * inverse_acceleration,
            even: even.max(0.0) / peak,
            down: (peak - end) * inverse_acceleration,
        }
    }

    #[inline(always)]
    pub fn time(&self) -> f64 {
        self.up + self.even + self.down
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::segment::{MOST_MOTORS, Purpose};
    use proptest::prelude::*;

    fn piece(length: f64, speed: f64, acceleration: f64, corner: f64) -> Segment {
        Segment {
            length,
            nominal2: speed * speed,
            twice_acceleration: 2.0 * acceleration,
            corner2: corner * corner,
            shares: [0.0; MOST_MOTORS],
            filament: 0.0,
            x: 0.0,
            y: 0.0,
            line: 0,
            bytes: 0,
            sent: 0,
            lines: 1,
            purpose: Purpose::Travelling,
            tool: 0,
        }
    }

    /// The time, and the speeds at the joints.
    fn run(pieces: &[Segment], known: Option<usize>) -> (f64, Vec<f64>) {
        let (mut time, mut joints) = (0.0, vec![0.0]);
        let mut take = |segment: &Segment, begin2: f64, end2: f64| {
            time += Profile::of(segment, begin2.sqrt(), begin2, end2).time();
            joints.push(end2.sqrt());
        };
        let mut ahead = LookAhead::new(known);
        for piece in pieces {
            ahead.push(piece, &mut take);
        }
        ahead.stop(&mut take);
        (time, joints)
    }

    /// Algebra, recomputed; the linear programme of another program agrees: lengths 10 1 0.2 5 10 mm, 1 m/s², 100 mm/s.
    #[test]
    fn both_passes_of_the_published_example() {
        for (corners, speeds, expected) in [
            (
                [0.0, 20.0, 30.0, 15.0, 40.0],
                [0.0, 20.0, 25.0, 15.0, 40.0, 0.0],
                0.491_567,
            ),
            (
                [0.0, 60.0, 60.0, 60.0, 40.0],
                [0.0, 60.0, 60.0, 60.0, 40.0, 0.0],
                0.419_291,
            ),
        ] {
            let pieces: Vec<Segment> = [10.0, 1.0, 0.2, 5.0, 10.0]
                .iter()
                .zip(corners)
                .map(|(length, corner)| piece(length * 1e-3, 0.1, 1.0, corner * 1e-3))
                .collect();
            let (time, joints) = run(&pieces, None);
            for (found, expected) in joints.iter().zip(speeds) {
                assert!((found * 1e3 - expected).abs() < 1e-9, "{joints:?}");
            }
            assert!((time - expected).abs() < 1e-6, "{time}");
        }
    }

    /// Simulated by another program: 20 pieces of 1 mm at 1 m/s² and 100 mm/s, straight on, of which so many are known.
    #[test]
    fn few_known_pieces_slow_down() {
        let pieces: Vec<Segment> = (0..20).map(|_| piece(1e-3, 0.1, 1.0, 1e9)).collect();
        for (known, expected) in [
            (1, 1.264_911),
            (2, 0.451_275),
            (3, 0.365_375),
            (5, 0.309_100),
            (10, 0.300_000),
            (15, 0.300_000),
        ] {
            let (time, joints) = run(&pieces, Some(known));
            assert!((time - expected).abs() < 1e-6, "{known}: {time}");
            let most = (2.0 * (known as f64 - 1.0) * 1e-3).sqrt();
            assert!(joints.iter().all(|speed| *speed <= most + 1e-12));
        }
    }

    /// Rest to rest and from one speed to another: `physics::motion::move_time` is held against published figures.
    #[test]
    fn one_piece_takes_the_time_of_the_formula() {
        use quantity::Number as _;
        use quantity::si::{Acceleration, Length, Velocity};
        for (length, speed, acceleration, begin, end) in [
            (0.1, 0.1, 1.0, 0.0, 0.0),
            (5e-3, 0.1, 1.0, 0.0, 0.0),
            (1e-3, 0.15, 1.5, 0.0, 0.0),
            (1e-2, 0.1, 1.0, 0.02, 0.0),
            (3e-2, 0.1, 1.0, 0.02, 0.05),
        ] {
            let found = Profile::of(
                &piece(length, speed, acceleration, 0.0),
                begin,
                begin * begin,
                end * end,
            )
            .time();
            let expected = physics::motion::move_time(
                Length::from_base(length),
                Velocity::from_base(speed),
                Acceleration::from_base(acceleration),
                Velocity::from_base(begin),
                Velocity::from_base(end),
            );
            assert!((found - expected.base()).abs() < 1e-12);
        }
    }

    fn pieces(count: core::ops::Range<usize>) -> impl Strategy<Value = Vec<Segment>> {
        let one = (1e-5_f64..5e-2, 0.01_f64..0.4, 0.1_f64..5.0, 0.0_f64..0.2)
            .prop_map(|(length, speed, acceleration, corner)| piece(length, speed, acceleration, corner));
        proptest::collection::vec(one, count)
    }

    proptest! {
        /// Never faster than a limit, and every change of speed within the acceleration.
        #[test]
        fn all_limits_hold(pieces in pieces(1..60), known in proptest::option::of(1_usize..12)) {
            let (_, joints) = run(&pieces, known);
            for (at, piece) in pieces.iter().enumerate() {
                let (begin, end) = (joints[at], joints[at + 1]);
                prop_assert!(begin * begin <= piece.nominal2.min(piece.corner2) * (1.0 + 1e-12) || at == 0);
                prop_assert!(end * end <= piece.nominal2 * (1.0 + 1e-12));
                let change = (begin * begin - end * end).abs();
                prop_assert!(change <= piece.twice_acceleration * piece.length * (1.0 + 1e-9) + 1e-15);
            }
            prop_assert_eq!(joints[pieces.len()], 0.0);
        }

        /// Raising a limit never lowers a speed; more known pieces neither.
        #[test]
        fn higher_limits_are_never_slower(pieces in pieces(2..40), at in 0_usize..40, known in 1_usize..12) {
            let mut higher = pieces.clone();
            let at = at % higher.len();
            higher[at].corner2 *= 2.0;
            higher[at].nominal2 *= 2.0;
            let all = |pieces: &[Segment], known| run(pieces, known).1;
            for (low, high) in all(&pieces, None).iter().zip(all(&higher, None)) {
                prop_assert!(*low <= high + 1e-12);
            }
            for (low, high) in all(&pieces, Some(known)).iter().zip(all(&pieces, Some(known + 1))) {
                prop_assert!(*low <= high + 1e-7, "{low} {high}");
            }
        }

        /// A sliding minimum over all pieces is the pass back.
        #[test]
        fn all_known_is_no_bound(pieces in pieces(1..60)) {
            let count = pieces.len();
            for (one, other) in run(&pieces, None).1.iter().zip(run(&pieces, Some(count)).1) {
                prop_assert!((one - other).abs() < 1e-7, "{one} {other}");
            }
        }

        /// Plans in parts are the plan of the whole.
        #[test]
        fn parts_do_not_matter(seed in pieces(1..50), times in 100_usize..400) {
            let many: Vec<Segment> = seed.iter().cycle().take(seed.len() * times).copied().collect();
            let mut whole = LookAhead::new(None);
            whole.enough = usize::MAX;
            let mut joints = vec![0.0];
            let mut take = |_: &Segment, _: f64, end2: f64| joints.push(end2.sqrt());
            for piece in &many {
                whole.push(piece, &mut take);
            }
            whole.stop(&mut take);
            prop_assert_eq!(run(&many, None).1, joints);
        }

        /// Splitting a straight piece changes nothing.
        #[test]
        fn a_split_changes_no_time(pieces in pieces(1..20), at in 0_usize..20, share in 0.01_f64..0.99) {
            let at = at % pieces.len();
            let mut split = pieces.clone();
            let mut second = split[at];
            second.length *= 1.0 - share;
            second.corner2 = f64::INFINITY;
            split[at].length *= share;
            split.insert(at + 1, second);
            let (one, other) = (run(&pieces, None).0, run(&split, None).0);
            prop_assert!((one / other - 1.0).abs() < 1e-9, "{one} {other}");
        }

        /// All lengths times k and accelerations times k at the same speeds: the same with times k... squares of speeds scale with both.
        #[test]
        fn times_scale(pieces in pieces(1..30), k in 0.1_f64..10.0) {
            let scaled: Vec<Segment> = pieces
                .iter()
                .map(|piece| Segment {
                    length: piece.length * k,
                    nominal2: piece.nominal2 * k,
                    corner2: piece.corner2 * k,
                    ..*piece
                })
                .collect();
            // Lengths k, speeds √k, accelerations 1: times √k.
            let (one, other) = (run(&pieces, None).0, run(&scaled, None).0);
            prop_assert!((other / one / k.sqrt() - 1.0).abs() < 1e-9);
        }
    }
}
