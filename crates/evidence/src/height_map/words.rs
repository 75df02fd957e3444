//! A height map told: verdict, turns, shapes, grids, contour map and sections.

mod pictures;
mod shapes;
mod strays;

use quantity::si::{Ratio, degree, percent, ratio};
use quantity::{Number as _, Value};
use statistics::Estimate;

use super::{GridError, HeightMap, ScrewTurn, Sense, Shape};
use crate::Refused;
use crate::lengths::{exact, in_millimetres, interval, mm, signed, told_in_millimetres};
use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Report, Table, Trouble, Verdict};

/// A turn smaller than this is not worth a screwdriver: a twentieth, 18°.
const SMALL_TURN: f64 = 0.05;
pub(super) fn too_few(places: usize) -> Refused {
    Refused::new(
        format!("{places} different places are too few for a height map"),
        "touch at least four places that span the bed, better 5 by 5",
    )
}

pub(super) fn in_line() -> Refused {
    Refused::new(
        "all places lie in one line",
        "touch the bed in both directions: a plane needs three places that are not in one line",
    )
}

pub(super) fn no_number(touch: usize) -> Refused {
    Refused::new(
        format!("touch {touch} holds something that is no number"),
        "leave the touch out, or write its place and height in millimetres",
    )
}

pub(super) fn too_far(touch: usize) -> Refused {
    Refused::new(
        format!("touch {touch} lies more than 10 m away"),
        "look at the unit in the head of its column",
    )
}

pub(super) fn no_pitch(screw: &str) -> Refused {
    Refused::new(
        format!("the pitch of the screw `{screw}` is not above zero"),
        "write the travel for one turn, such as \"0.7 mm\"",
    )
}

pub(super) fn no_grid() -> Refused {
    Refused::new(
        "the grid has fewer than 2 or more than 100 points along a side",
        "write columns and rows, such as [5, 5]",
    )
}

pub(super) fn no_layer() -> Refused {
    Refused::new(
        "the first layer or what may be left of its height is not above zero",
        "write both as lengths, such as \"0.2 mm\"",
    )
}

impl HeightMap {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        Report {
            title: "Height of the bed".into(),
            verdict: self.verdict(),
            sentence: self.sentence(),
            figures: self.figures(),
            advice: self.advice(),
            tables: self.tables(),
            pictures: self.pictures(),
            troubles: self.troubles(),
            sources: vec!["wahba-1990", "breiman-1984", "nist-handbook"],
        }
    }

    fn sentence(&self) -> String {
        let tilt = &self.level.tilt;
        let tilted = if tilt.over_bed.low > 0.0 {
            format!(
                "The bed is tilted by {} from corner to corner",
                told_in_millimetres(tilt.over_bed)
            )
        } else {
            "No tilt is shown".to_owned()
        };
        let warp = in_millimetres(tilt.left_span);
        let (grid, strays) = (self.grid_in_sentence(), self.strays_in_sentence());
        format!("{tilted}, its warp is {warp} from valley to peak; {grid}{strays}.")
    }

    fn grid_in_sentence(&self) -> String {
        let Some(asked) = self.grids.asked else {
            return format!("more touches than {} do not help", named(self.enough().grid));
        };
        let grid = named(asked.grid);
        let Some(error) = self.asked_largest() else {
            return format!("these touches do not show what a grid of {grid} leaves");
        };
        let of_layer = |length: f64| {
            let share = 100.0 * length / mm(self.ask.layer);
            format!("{}, {share:.0} % of the first layer", in_millimetres(length))
        };
        let left = match self.without_strays() {
            Verdict::Pass => format!("at most {}: little enough", of_layer(error.high)),
            Verdict::Fail => format!("at least {}: too much", of_layer(error.low)),
            _ => format!(
                "between {} and {}: not shown to be little enough",
                in_millimetres(error.low),
                of_layer(error.high)
            ),
        };
        format!("as its largest error, a grid of {grid} leaves {left}")
    }

    fn figures(&self) -> Vec<Figure> {
        let mut figures = self.figures_of_tilt_and_warp();
        let turned = self.level.tilt.turns.iter().filter(|turn| !turn.fixed);
        figures.extend(turned.map(|turn| {
            let what = format!("screw `{}`: turn in the sense that raises", turn.name);
            Figure::with_interval("screw-turn", what, turn.turns.of(|turns| degree(360.0 * turns)))
        }));
        figures.extend(self.level.shape.iter().flat_map(shape_figures));
        figures.extend(self.stray_figures());
        figures.extend(self.asked_largest().map(|error| {
            let what = "largest error with the grid asked for";
            interval("grid-largest-error", what, error)
        }));
        let side = f64::from(self.enough().grid[0]);
        figures.push(count(
            "grid-enough-points",
            "touches after which more do not help",
            side * side,
        ));
        figures
    }

    fn figures_of_tilt_and_warp(&self) -> Vec<Figure> {
        let tilt = &self.level.tilt;
        let right = slope("rise-right", "rise from left to right, per length", tilt.right);
        let back = slope("rise-back", "rise from front to back, per length", tilt.back);
        vec![
            interval(
                "tilt-over-bed",
                "tilt from the lowest to the highest corner",
                tilt.over_bed,
            ),
            right,
            back,
            exact(
                "warp-rms",
                "what no screw takes away, root mean square",
                tilt.left,
            ),
            exact(
                "warp-span",
                "what no screw takes away, valley to peak",
                tilt.left_span,
            ),
            interval(
                "touch-deviation",
                "noise of a single touch, standard deviation",
                self.level.touch_deviation,
            ),
        ]
    }

    fn advice(&self) -> Vec<Advice> {
        let mut advice = self.advice_on_screws();
        if !self.level.strays.found.is_empty() {
            advice.push(Advice::helps("Find out what happened at the touches that stray (filament on the nozzle, dirt on the plate, a cable that pulls), and touch those places again."));
            advice.push(Advice::helps("Let the controller touch each point three times and take the middle one: its own map has no second visit that tells such a touch from the bed."));
        }
        advice.extend(
            self.grids
                .asked
                .iter()
                .flat_map(|asked| self.advice_on_grid(asked)),
        );
        advice.push(Advice::helps(
            "Measure the bed as hot and as long heated as it is when printing: plates bend as they warm.",
        ));
        advice
    }

    fn advice_on_screws(&self) -> Vec<Advice> {
        let turns = &self.level.tilt.turns;
        let worth = |t: &&ScrewTurn| !t.fixed && t.turns.value.abs() >= SMALL_TURN && !t.turns.holds(0.0);
        let words: Vec<String> = turns.iter().filter(worth).map(turn_words).collect();
        if !words.is_empty() {
            let all = words.join("; ");
            return vec![Advice::helps(format!("Turn {all}, then touch the bed again."))];
        }
        if turns.is_empty() {
            return Vec::new();
        }
        vec![Advice::in_vain(
            "Turning the screws further would not make the bed more level: what is left is warp or noise.",
        )]
    }

    fn advice_on_grid(&self, asked: &GridError) -> Vec<Advice> {
        let enough = self.enough();
        let points = |grid: &GridError| grid.grid[0] * grid.grid[1];
        match self.verdict() {
            Verdict::Pass if points(asked) > points(enough) => vec![Advice::in_vain(format!(
                "More touches than {} make no difference here.",
                named(enough.grid)
            ))],
            Verdict::Fail | Verdict::Open if asked.noise > asked.shape => vec![
                Advice::helps(
                    "Touch each point of the grid several times and take the mean: noise of the touches is the larger part.",
                ),
                Advice::in_vain("A finer grid of single touches would not help: it takes the noise along."),
            ],
            Verdict::Fail | Verdict::Open if enough.grid[0] > asked.grid[0].max(asked.grid[1]) => {
                vec![Advice::helps(format!(
                    "Touch a finer grid: {} helps still.",
                    named(enough.grid)
                ))]
            }
            Verdict::Fail | Verdict::Open => vec![Advice::helps(
                "Take warp out of the plate (another plate, a heat soak before touching): a finer grid than the places of this map cannot be judged from it.",
            )],
            _ => Vec::new(),
        }
    }

    fn tables(&self) -> Vec<Table> {
        let turns = &self.level.tilt.turns;
        let screws = (!turns.is_empty()).then(|| {
            let columns = ["screw", "bed must rise, mm", "interval, mm", "turns", "sense"];
            Table::of("Screws", &columns, turns.iter().map(turn_row))
        });
        let shifts = &self.level.visits.shifts;
        let visits = (shifts.len() > 1).then(|| {
            let rows = (1..).zip(shifts);
            let rows = rows.map(|(visit, shift): (u32, _)| vec![visit.to_string(), signed(*shift)]);
            Table::of(
                "Visits: shift of the whole bed against their mean",
                &["visit", "shift, mm"],
                rows,
            )
        });
        screws
            .into_iter()
            .chain([self.grid_table()])
            .chain(visits)
            .collect()
    }

    fn grid_table(&self) -> Table {
        let asked = self.grids.asked.iter().map(|asked| {
            let mut row = grid_row(asked);
            row[0] += " (asked for)";
            row
        });
        let columns = [
            "grid",
            "shape, mm",
            "noise, mm",
            "both, mm",
            "at places left out, mm",
        ];
        let rows = self.grids.squares.iter().map(grid_row).chain(asked);
        Table::of("What a grid leaves, root mean square", &columns, rows).choosing(self.grids.enough)
    }

    fn troubles(&self) -> Vec<Trouble> {
        let mut troubles = self.stray_troubles();
        match &self.level.visits.noise {
            None => troubles.push(Trouble::of_all(
                "each place was touched once: noise and fine shape cannot be told apart; the deviation of a touch is what a smooth surface leaves. Touch the bed twice to know",
            )),
            Some(noise) if noise.freedom < 5.0 => troubles.push(Trouble::of_all(
                "few places were touched again: the noise is taken from what a smooth surface leaves",
            )),
            Some(_) => {}
        }
        if let Some(step) = self.drift_of_visits() {
            let side = if step > 0.0 { "higher" } else { "lower" };
            troubles.push(Trouble::of_all(format!(
                "each visit lies {side} than the one before, by {} on the average: bed or probe still warmed up, and what drifts during a visit reads as \
                 tilt of up to that; wait until two visits agree, then touch again",
                in_millimetres(step.abs())
            )));
        }
        if self.noise_only() {
            troubles.push(Trouble::of_all(
                "the warp is no larger than the noise of the touches explains: do not read shapes into it",
            ));
        }
        troubles
    }
}

impl HeightMap {
    /// The mean shift from visit to visit where all of three and more go the same way, further than noise and than a fifth of the allowed error.
    fn drift_of_visits(&self) -> Option<f64> {
        let visits = &self.level.visits;
        let steps: Vec<f64> = visits.shifts.windows(2).map(|two| two[1] - two[0]).collect();
        let noise = visits.noise.as_ref()?.deviation / (visits.places.len() as f64).sqrt();
        let least = (6.0 * noise).max(0.2 * mm(self.ask.allowed));
        let goes = |sign: f64| steps.iter().all(|step| sign * step > least);
        (steps.len() >= 2 && (goes(1.0) || goes(-1.0)))
            .then(|| steps.iter().sum::<f64>() / steps.len() as f64)
    }
}

fn turn_words(turn: &ScrewTurn) -> String {
    format!(
        "`{}` {} turn {}",
        turn.name,
        fraction(turn.turns.value.abs()),
        turn.sense.word()
    )
}

/// A number of turns in eighths where it is near one, else with two decimals.
fn fraction(turns: f64) -> String {
    let eighths = (turns * 8.0).round();
    if eighths >= 1.0 && (turns - eighths / 8.0).abs() <= 0.03 {
        let (whole, part) = ((eighths / 8.0).floor(), eighths as u32 % 8);
        let part = ["", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"][part as usize];
        return match (whole as u32, part) {
            (0, part) => part.to_owned(),
            (whole, "") => format!("{whole}"),
            (whole, part) => format!("{whole} {part}"),
        };
    }
    format!("{turns:.2}")
}

fn turn_row(turn: &ScrewTurn) -> Vec<String> {
    let still = turn.fixed || turn.turns.value.abs() < SMALL_TURN;
    vec![
        turn.name.clone(),
        signed(turn.rise.value),
        format!("{} .. {}", signed(turn.rise.low), signed(turn.rise.high)),
        if turn.fixed {
            "fixed".into()
        } else {
            fraction(turn.turns.value.abs())
        },
        if still {
            "leave".into()
        } else {
            turn.sense.word().into()
        },
    ]
}

fn grid_row(grid: &GridError) -> Vec<String> {
    let number = |value: f64| format!("{value:.3}");
    vec![
        named(grid.grid),
        number(grid.shape),
        number(grid.noise),
        number(grid.together()),
        grid.foretold.map_or_else(|| "–".into(), number),
    ]
}

fn shape_figures(shape: &Shape) -> Vec<Figure> {
    let shown = shape.modes.iter().filter(|(_, height)| !height.holds(0.0));
    let mode = shown.map(|(mode, height)| {
        let looks = mode.looks(height.value > 0.0);
        let what = format!("{}, valley to peak: {looks}", mode.words());
        interval("warp-mode", what, *height)
    });
    let explained: Value<Ratio> = Value::exact(percent(100.0 * shape.explained));
    let share = Figure::plain(
        "warp-explained",
        "share of the warp that simple shapes make up",
        explained,
    );
    mode.chain([share]).collect()
}

impl Sense {
    /// The word on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Sense::Clockwise => "clockwise",
            Sense::CounterClockwise => "counter-clockwise",
        }
    }
}

fn named([columns, rows]: [u32; 2]) -> String {
    format!("{columns} by {rows}")
}

fn count(id: &'static str, what: &str, count: f64) -> Figure {
    Figure::plain(id, what, Value::exact(ratio(count))).bare()
}

/// Millimetres per metre are thousandths.
fn slope(id: &'static str, what: &str, slope: Estimate) -> Figure {
    Figure::with_interval(id, what, slope.of(|per_metre| Ratio::from_base(per_metre * 1e-3)))
}
