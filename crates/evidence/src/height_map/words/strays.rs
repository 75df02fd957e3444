//! Touches that stray told: in the sentence, beside the figures, and each with its line.

use super::count;
use crate::height_map::{HeightMap, Stray, Witness};
use crate::lengths::{in_millimetres, interval};
use crate::report::{Figure, Trouble, Verdict};

/// More strays than this that are kept are told together.
const FEW_STRAYS: usize = 1;

impl HeightMap {
    pub(super) fn strays_in_sentence(&self) -> String {
        let Some(with) = &self.with_strays else {
            return String::new();
        };
        let strays = &self.level.strays.found;
        let count = strays.len();
        let all = self.level.visits.of.len() + count;
        let (s, them) = if count == 1 { ("s", "it") } else { ("", "them") };
        let told = match with.asked_largest() {
            Some(error) if with.without_strays() == Verdict::Fail => {
                format!("{}, at least {}", Verdict::Fail.word(), in_millimetres(error.low))
            }
            Some(error) => format!(
                "{}, at most {}",
                with.without_strays().word(),
                in_millimetres(error.high)
            ),
            None => format!("a warp of {}", in_millimetres(with.level.tilt.left_span)),
        };
        let decides = if self.hangs_on_strays() {
            format!(" and decide{s}: touch there again")
        } else {
            String::new()
        };
        format!(
            "; {count} of {all} touches stray{s} far and {} left out (with {them}: {told}){decides}",
            if count == 1 { "is" } else { "are" }
        )
    }

    pub(super) fn stray_figures(&self) -> Vec<Figure> {
        let Some(with) = &self.with_strays else {
            return Vec::new();
        };
        let strays = count(
            "strays",
            "touches that stray, left out of all others of these numbers",
            self.level.strays.found.len() as f64,
        );
        let noise = interval(
            "touch-deviation-with-strays",
            "noise of a single touch with them in, for comparison only",
            with.level.touch_deviation,
        );
        let largest = with.asked_largest().map(|error| {
            let what = "largest error with the grid asked for with them in, for comparison only";
            interval("grid-largest-error-with-strays", what, error)
        });
        [strays, noise].into_iter().chain(largest).collect()
    }

    /// Each stray touch with its line, what it is held against and what became of it.
    pub(super) fn stray_troubles(&self) -> Vec<Trouble> {
        let strays = &self.level.strays;
        if !strays.left_out && strays.found.len() > FEW_STRAYS {
            return vec![Trouble {
                line: Some(strays.found[0].line).filter(|line| *line > 0),
                count: strays.found.len() as u64,
                is_lost: false,
                what: "these touches lie far beyond the noise of most others: too many to be mishaps, so that none is left out".into(),
            }];
        }
        let fate = if strays.left_out {
            "left out of the shape"
        } else {
            "kept all the same: too little would be left without it"
        };
        strays.found.iter().map(|stray| told(stray, fate)).collect()
    }
}

fn told(stray: &Stray, fate: &str) -> Trouble {
    let [x, y] = stray.at;
    let side = if stray.off > 0.0 { "above" } else { "below" };
    let (witness, excuse) = match stray.witness {
        Witness::SamePlace => ("the others of its place", ""),
        Witness::Neighbours => (
            "what its neighbours tell",
            "; a dent or bump narrower than the touches are apart would look the same, so touch there again",
        ),
    };
    let times = if stray.times.is_finite() {
        format!(", {:.0} times the scatter", stray.times)
    } else {
        String::new()
    };
    Trouble {
        line: Some(stray.line).filter(|line| *line > 0),
        count: 1,
        is_lost: false,
        what: format!(
            "the touch at x {x:.1} mm, y {y:.1} mm lies {} {side} {witness}{times}: {fate}{excuse}",
            in_millimetres(stray.off.abs())
        ),
    }
}
