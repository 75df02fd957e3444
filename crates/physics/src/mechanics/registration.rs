//! The holes of a board on the posts of a case, over all correspondences: how many screws fit, and how the board lies then.

use quantity::Number;
use quantity::si::{Angle, Length};
use serde::Serialize;

use super::plane::{Point, RigidMotion, residuals, tightest_fit};

/// Whether a board may be mounted on its face.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mirror {
    /// Components up, as usual.
    #[default]
    Never,
    /// Both sides are tried.
    Allowed,
}

/// One screw through a hole into a post.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Screw {
    /// Index of the hole.
    pub hole: usize,
    /// Index of the post.
    pub post: usize,
    /// How far the middles lie apart.
    pub off: Length,
}

/// A way to mount a board.
#[derive(Clone, Debug, PartialEq)]
pub struct Registration {
    /// How the board lies.
    pub motion: RigidMotion,
    /// The screws that fit, in the order of the holes.
    pub screws: Vec<Screw>,
    /// The largest distance of a hole from its post in the best position; at most the play.
    pub largest: Length,
}

impl Registration {
    /// Root mean square of the distances in this position.
    #[must_use]
    pub fn root_mean_square(&self) -> Length {
        let squares: f64 = self
            .screws
            .iter()
            .map(|screw| screw.off.base() * screw.off.base())
            .sum();
        Length::from_base((squares / self.screws.len().max(1) as f64).sqrt())
    }
}

/// All ways to mount a board with the greatest possible number of screws, at least two; the best centred one first.
///
/// - `holes`: of the board; `posts`: of the case; any number of each.
/// - `play`: by how much a screw may sit beside the middle of its hole ([`super::screw_play`]).
///
/// Every assignment of holes to posts is tried, except those in which two holes are not as far apart as their posts, within twice
/// the play. A way counts where one position brings *all* its screws within their play ([`tightest_fit`]); that a least-squares
/// position does not is no proof against it. Two ways that differ only in which hole meets which post are two ways:
/// a rectangle fits turned by 180° too, and the card slot decides.
#[must_use]
pub fn register(holes: &[Point], posts: &[Point], play: Length, mirror: Mirror) -> Vec<Registration> {
    let sides: &[bool] = match mirror {
        Mirror::Never => &[false],
        Mirror::Allowed => &[false, true],
    };
    let mut found = Vec::new();
    // Two screws at the least: one alone says nothing about how the board lies.
    let mut most = 2;
    for mirrored in sides {
        let mut search = Search {
            holes,
            posts,
            play: play.base() * (1.0 + 1e-9),
            mirrored: *mirrored,
            chosen: Vec::new(),
            most,
            found: Vec::new(),
        };
        search.descend(0);
        if search.most > most {
            found.clear();
        }
        most = search.most;
        found.append(&mut search.found);
    }
    found.sort_by(|a, b| {
        order(a)
            .0
            .total_cmp(&order(b).0)
            .then(order(a).1.total_cmp(&order(b).1))
    });
    found
}

/// Smallest residual first, among equals the smallest turn: a board that fits both ways is left as it was drawn.
fn order(registration: &Registration) -> (f64, f64) {
    let turn: Angle = registration.motion.rotation;
    let step = 1e-7;
    ((registration.largest.base() / step).round(), turn.base().abs())
}

struct Search<'a> {
    holes: &'a [Point],
    posts: &'a [Point],
    play: f64,
    mirrored: bool,
    chosen: Vec<(usize, usize)>,
    most: usize,
    found: Vec<Registration>,
}

impl Search<'_> {
    /// Decides hole after hole: one of the free posts, or none.
    fn descend(&mut self, hole: usize) {
        if self.chosen.len() + self.holes.len() - hole < self.most {
            return;
        }
        if hole == self.holes.len() {
            self.keep();
            return;
        }
        for post in 0..self.posts.len() {
            if self.agrees(hole, post) {
                self.chosen.push((hole, post));
                if self.fit().is_some() {
                    self.descend(hole + 1);
                }
                self.chosen.pop();
            }
        }
        self.descend(hole + 1);
    }

    fn agrees(&self, hole: usize, post: usize) -> bool {
        self.chosen.iter().all(|(other_hole, other_post)| {
            let apart = self.holes[hole].distance(self.holes[*other_hole]).base();
            let wanted = self.posts[post].distance(self.posts[*other_post]).base();
            *other_post != post && (apart - wanted).abs() <= 2.0 * self.play
        })
    }

    /// The position that brings all chosen screws within their play; a single screw always fits.
    fn fit(&self) -> Option<(RigidMotion, Length)> {
        if self.chosen.len() < 2 {
            return Some((RigidMotion::none(), Length::from_base(0.0)));
        }
        let fit = tightest_fit(&self.pairs(), self.mirrored)?;
        (fit.1.base() <= self.play).then_some(fit)
    }

    fn pairs(&self) -> Vec<(Point, Point)> {
        let pair = |(hole, post): &(usize, usize)| (self.holes[*hole], self.posts[*post]);
        self.chosen.iter().map(pair).collect()
    }

    fn keep(&mut self) {
        let count = self.chosen.len();
        let Some((motion, largest)) = self.fit() else {
            return;
        };
        if count > self.most {
            self.most = count;
            self.found.clear();
        }
        let off = residuals(&motion, &self.pairs());
        let screw = |((hole, post), off): (&(usize, usize), Length)| Screw {
            hole: *hole,
            post: *post,
            off,
        };
        let screws = self.chosen.iter().zip(off).map(screw).collect();
        self.found.push(Registration {
            motion,
            screws,
            largest,
        });
    }
}
