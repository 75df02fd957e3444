//! A height map told: verdict, turns, shapes, grids, contour map and sections.

use quantity::si::{Angle, Length, Ratio, degree, millimetre, percent, ratio};
use quantity::{AnyValue, Number, Value};

use super::{GridError, HeightMap, Place, ScrewTurn, Stray, Witness, mm};
use crate::quantities::InUnit as _;
use crate::report::{
    Advice, Figure, Grid, Mark, Picture, Plot, Report, Row, Series, Table, Trouble, Verdict,
};
use statistics::{CONFIDENCE, Estimate};

/// Columns and rows of the surface in a picture.
const PICTURE: usize = 33;
/// A turn smaller than this is not worth a screwdriver: a twentieth, 18°.
const SMALL_TURN: f64 = 0.05;
/// More strays than this that are kept are told together.
const FEW_STRAYS: usize = 1;

impl HeightMap {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let verdict = self.verdict();
        Report {
            title: "Height of the bed".into(),
            verdict,
            sentence: self.sentence(),
            figures: self.figures(),
            advice: self.advice(verdict),
            tables: self.tables(),
            pictures: self.pictures(),
            troubles: self.troubles(),
            sources: vec!["wahba-1990", "breiman-1984", "nist-handbook"],
        }
    }

    /// As [`Self::without_strays`]; but where that hangs on touches that may be the bed itself, it is not shown.
    fn verdict(&self) -> Verdict {
        if self.hangs_on_strays() {
            Verdict::NotShown
        } else {
            self.without_strays()
        }
    }

    /// Whether the verdict is another with the touches that were left out, and no second touch says that they are wrong.
    fn hangs_on_strays(&self) -> bool {
        let alone = |stray: &Stray| stray.witness == Witness::Neighbours;
        let with = self.with_strays.as_ref().map(|with| with.without_strays());
        with.is_some_and(|with| with != self.without_strays()) && self.level.strays.found.iter().any(alone)
    }

    /// Whether the grid that was asked for leaves no more than is allowed, at the bounds of the noise.
    fn without_strays(&self) -> Verdict {
        let allowed = mm(self.ask.allowed);
        match self.asked_largest() {
            Some(error) if error.high <= allowed => Verdict::Holds,
            Some(error) if error.low > allowed => Verdict::Fails,
            Some(_) => Verdict::NotShown,
            None if self.grids.asked.is_some() => Verdict::NotShown,
            None => Verdict::Measured,
        }
    }

    /// The largest error with the grid asked for, where the touches tell it.
    fn asked_largest(&self) -> Option<Estimate> {
        self.grids.asked_largest.filter(|error| error.high.is_finite())
    }

    /// The grid from which on more points do not help.
    fn enough(&self) -> &GridError {
        &self.grids.squares[self.grids.enough]
    }

    fn sentence(&self) -> String {
        let verdict = self.without_strays();
        let tilt = &self.level.tilt;
        let tilted = if tilt.over_bed.low > 0.0 {
            format!(
                "The bed is tilted by {} from corner to corner",
                short(tilt.over_bed.value)
            )
        } else {
            "No tilt is shown".to_owned()
        };
        let warp = format!("its warp is {} from valley to peak", short(tilt.left_span));
        let share = |length: f64| format!("{:.0} %", 100.0 * length / mm(self.ask.layer));
        let grid = match (self.grids.asked, self.asked_largest()) {
            (Some(asked), Some(error)) => {
                let of_layer =
                    |length: f64| format!("{}, {} of the first layer", short(length), share(length));
                let left = match verdict {
                    Verdict::Holds => format!("at most {}: little enough", of_layer(error.high)),
                    Verdict::Fails => format!("at least {}: too much", of_layer(error.low)),
                    _ => format!(
                        "between {} and {}: not shown to be little enough",
                        short(error.low),
                        of_layer(error.high)
                    ),
                };
                format!(
                    "as its largest error, a grid of {} leaves {left}",
                    named(asked.grid)
                )
            }
            (Some(asked), None) => {
                format!(
                    "these touches do not show what a grid of {} leaves",
                    named(asked.grid)
                )
            }
            _ => format!("more touches than {} do not help", named(self.enough().grid)),
        };
        let strays = self.strays_in_sentence();
        format!("{tilted}, {warp}; {grid}{strays}.")
    }

    fn strays_in_sentence(&self) -> String {
        let Some(with) = &self.with_strays else {
            return String::new();
        };
        let strays = &self.level.strays.found;
        let count = strays.len();
        let all = self.level.visits.of.len() + count;
        let (s, them) = if count == 1 { ("s", "it") } else { ("", "them") };
        let told = match with.asked_largest() {
            Some(error) if with.without_strays() == Verdict::Fails => {
                format!("{}, at least {}", Verdict::Fails.word(), short(error.low))
            }
            Some(error) => format!("{}, at most {}", with.without_strays().word(), short(error.high)),
            None => format!("a warp of {}", short(with.level.tilt.left_span)),
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

    fn figures(&self) -> Vec<Figure> {
        let tilt = &self.level.tilt;
        let mut figures = vec![
            Figure::with_interval(
                "tilt-over-bed",
                "tilt from the lowest to the highest corner",
                length(tilt.over_bed),
            ),
            Figure::with_interval(
                "rise-right",
                "rise from left to right, per length",
                slope(tilt.right),
            ),
            Figure::with_interval(
                "rise-back",
                "rise from front to back, per length",
                slope(tilt.back),
            ),
            Figure::plain(
                "warp-rms",
                "what no screw takes away, root mean square",
                exact(tilt.left),
            ),
            Figure::plain(
                "warp-span",
                "what no screw takes away, valley to peak",
                exact(tilt.left_span),
            ),
            Figure::with_interval(
                "touch-deviation",
                "noise of a single touch, standard deviation",
                length(self.level.touch_deviation),
            ),
        ];
        for turn in self.level.tilt.turns.iter().filter(|turn| !turn.fixed) {
            let turned: Value<Angle> = turn.turns.of(|turns| degree(360.0 * turns));
            figures.push(Figure {
                id: "screw-turn",
                what: format!("screw `{}`: turn in the sense that raises", turn.name),
                value: turned.into(),
                bare: false,
                confidence: Some(CONFIDENCE),
                working: None,
            });
        }
        if let Some(shape) = &self.level.shape {
            for (mode, height) in shape.modes.iter().filter(|(_, h)| !h.holds(0.0)) {
                figures.push(Figure {
                    id: "warp-mode",
                    what: format!(
                        "{}, valley to peak: {}",
                        mode.words(),
                        mode.looks(height.value > 0.0)
                    ),
                    value: length(*height),
                    bare: false,
                    confidence: Some(CONFIDENCE),
                    working: None,
                });
            }
            let explained: Value<Ratio> = Value::exact(percent(100.0 * shape.explained));
            figures.push(Figure::plain(
                "warp-explained",
                "share of the warp that simple shapes make up",
                explained,
            ));
        }
        if let Some(with) = &self.with_strays {
            figures.push(
                Figure::plain(
                    "strays",
                    "touches that stray, left out of all others of these numbers",
                    Value::<Ratio>::exact(ratio(self.level.strays.found.len() as f64)),
                )
                .bare(),
            );
            figures.push(Figure::with_interval(
                "touch-deviation-with-strays",
                "noise of a single touch with them in, for comparison only",
                length(with.level.touch_deviation),
            ));
            if let Some(error) = with.asked_largest() {
                figures.push(Figure::with_interval(
                    "grid-largest-error-with-strays",
                    "largest error with the grid asked for with them in, for comparison only",
                    length(error),
                ));
            }
        }
        if let Some(error) = self.asked_largest() {
            figures.push(Figure::with_interval(
                "grid-largest-error",
                "largest error with the grid asked for",
                length(error),
            ));
        }
        let side = f64::from(self.enough().grid[0]);
        let points: Value<Ratio> = Value::exact(ratio(side * side));
        figures.push(
            Figure::plain(
                "grid-enough-points",
                "touches after which more do not help",
                points,
            )
            .bare(),
        );
        figures
    }

    fn advice(&self, verdict: Verdict) -> Vec<Advice> {
        let mut advice = Vec::new();
        let worth = |t: &&ScrewTurn| !t.fixed && t.turns.value.abs() >= SMALL_TURN && !t.turns.holds(0.0);
        let turns: Vec<String> = self
            .level
            .tilt
            .turns
            .iter()
            .filter(worth)
            .map(turn_words)
            .collect();
        if !turns.is_empty() {
            advice.push(Advice::helps(format!(
                "Turn {}, then touch the bed again.",
                turns.join("; ")
            )));
        } else if !self.level.tilt.turns.is_empty() {
            advice.push(Advice::in_vain("Turning the screws further would not make the bed more level: what is left is warp or noise."));
        }
        if !self.level.strays.found.is_empty() {
            advice.push(Advice::helps("Find out what happened at the touches that stray (filament on the nozzle, dirt on the plate, a cable that pulls), and touch those places again."));
            advice.push(Advice::helps("Let the controller touch each point three times and take the middle one: its own map has no second visit that tells such a touch from the bed."));
        }
        if let (Some(asked), Verdict::Fails | Verdict::NotShown) = (self.grids.asked, verdict) {
            let enough = self.enough();
            if asked.noise > asked.shape {
                advice.push(Advice::helps(
                    "Touch each point of the grid several times and take the mean: noise of the touches is the larger part.",
                ));
                advice.push(Advice::in_vain(
                    "A finer grid of single touches would not help: it takes the noise along.",
                ));
            } else if enough.grid[0] > asked.grid[0].max(asked.grid[1]) {
                advice.push(Advice::helps(format!(
                    "Touch a finer grid: {} helps still.",
                    named(enough.grid)
                )));
            } else {
                advice.push(Advice::helps("Take warp out of the plate (another plate, a heat soak before touching): a finer grid than the places of this map cannot be judged from it."));
            }
        }
        if let Some(asked) = self.grids.asked {
            let enough = self.enough();
            if verdict == Verdict::Holds && asked.grid[0] * asked.grid[1] > enough.grid[0] * enough.grid[1] {
                advice.push(Advice::in_vain(format!(
                    "More touches than {} make no difference here.",
                    named(enough.grid)
                )));
            }
        }
        advice.push(Advice::helps(
            "Measure the bed as hot and as long heated as it is when printing: plates bend as they warm.",
        ));
        advice
    }

    fn tables(&self) -> Vec<Table> {
        let mut tables = Vec::new();
        if !self.level.tilt.turns.is_empty() {
            tables.push(Table {
                title: "Screws".into(),
                columns: columns(&["screw", "bed must rise, mm", "interval, mm", "turns", "sense"]),
                rows: self.level.tilt.turns.iter().map(turn_row).collect(),
            });
        }
        let enough = self.grids.enough;
        let mut rows: Vec<Row> = self
            .grids
            .squares
            .iter()
            .enumerate()
            .map(|(at, g)| grid_row(g, at == enough))
            .collect();
        if let Some(asked) = &self.grids.asked {
            rows.push(Row {
                cells: {
                    let mut cells = grid_row(asked, false).cells;
                    cells[0] = format!("{} (asked for)", cells[0]);
                    cells
                },
                chosen: false,
            });
        }
        tables.push(Table {
            title: "What a grid leaves, root mean square".into(),
            columns: columns(&[
                "grid",
                "shape, mm",
                "noise, mm",
                "both, mm",
                "at places left out, mm",
            ]),
            rows,
        });
        if self.level.visits.shifts.len() > 1 {
            let rows = self
                .level
                .visits
                .shifts
                .iter()
                .enumerate()
                .map(|(at, shift)| Row {
                    cells: vec![format!("{}", at + 1), signed(*shift)],
                    chosen: false,
                });
            tables.push(Table {
                title: "Visits: shift of the whole bed against their mean".into(),
                columns: columns(&["visit", "shift, mm"]),
                rows: rows.collect(),
            });
        }
        tables
    }

    fn pictures(&self) -> Vec<Picture> {
        let bounds = super::grid::bounds(&self.level.visits.places);
        let middle = [
            f64::midpoint(bounds[0], bounds[1]),
            f64::midpoint(bounds[2], bounds[3]),
        ];
        let level = self.level.tilt.middle;
        let height = |x: f64, y: f64| self.level.surface.at(x, y) - level;
        let warp = |x: f64, y: f64| self.level.surface.at(x, y) - self.level.tilt.at(x, y);
        vec![
            Picture::Grid(self.grid("Height of the bed, tilt included", bounds, &height)),
            Picture::Grid(self.grid("Warp: height without tilt", bounds, &warp)),
            Picture::Plot(self.section("Section from left to right through the middle", 0, middle, bounds)),
            Picture::Plot(self.section("Section from front to back through the middle", 1, middle, bounds)),
            Picture::Plot(self.grid_curve()),
        ]
    }

    fn grid(
        &self,
        title: &str,
        [left, right, front, back]: [f64; 4],
        height: &dyn Fn(f64, f64) -> f64,
    ) -> Grid {
        let line = |low: f64, high: f64| -> Vec<f64> {
            (0..PICTURE)
                .map(|k| low + (high - low) * k as f64 / (PICTURE - 1) as f64)
                .collect()
        };
        let (x, y) = (line(left, right), line(front, back));
        let z = y
            .iter()
            .map(|y| x.iter().map(|x| height(*x, *y)).collect())
            .collect();
        let places = self
            .ask
            .screws
            .iter()
            .map(|s| (s.name.clone(), mm(s.at.x), mm(s.at.y)));
        Grid {
            title: title.into(),
            plane: "x and y, mm".into(),
            height: "height, mm".into(),
            x,
            y,
            z,
            places: places.collect(),
        }
    }

    /// Curve of the surface along one axis, and the places near that line.
    fn section(&self, title: &str, axis: usize, middle: [f64; 2], bounds: [f64; 4]) -> Plot {
        let (low, high) = (bounds[2 * axis], bounds[2 * axis + 1]);
        let across = bounds[3 - 2 * axis] - bounds[2 - 2 * axis];
        let at = |t: f64| {
            let (x, y) = if axis == 0 { (t, middle[1]) } else { (middle[0], t) };
            self.level.surface.at(x, y) - self.level.tilt.middle
        };
        let curve = (0..=80)
            .map(|k| low + (high - low) * f64::from(k) / 80.0)
            .map(|t| [t, at(t)]);
        let near = |p: &&Place| {
            let off = if axis == 0 {
                p.y - middle[1]
            } else {
                p.x - middle[0]
            };
            off.abs() <= 0.06 * across
        };
        let places = self.level.visits.places.iter().filter(near).map(|p| {
            [
                if axis == 0 { p.x } else { p.y },
                p.height - self.level.tilt.middle,
            ]
        });
        Plot {
            title: title.into(),
            x: (if axis == 0 { "x, mm" } else { "y, mm" }).into(),
            y: "height, mm".into(),
            series: vec![
                Series {
                    name: "smoothed surface".into(),
                    points: curve.collect(),
                    dots: false,
                },
                Series {
                    name: "places near the line, mean of their touches".into(),
                    points: places.collect(),
                    dots: true,
                },
            ],
            marks: Vec::new(),
            logarithmic: [false, false],
        }
    }

    fn grid_curve(&self) -> Plot {
        let curve = |name: &str, of: &dyn Fn(&GridError) -> Option<f64>, dots: bool| Series {
            name: name.into(),
            points: self
                .grids
                .squares
                .iter()
                .filter_map(|g| of(g).map(|error| [f64::from(g.grid[0]), error]))
                .collect(),
            dots,
        };
        Plot {
            title: "Error against the size of the grid".into(),
            x: "points along a side".into(),
            y: "root mean square, mm".into(),
            series: vec![
                curve("shape between the points", &|g| Some(g.shape), false),
                curve("noise of single touches", &|g| Some(g.noise), false),
                curve("at places left out", &|g| g.foretold, true),
            ],
            marks: vec![Mark {
                name: "more do not help".into(),
                at: f64::from(self.enough().grid[0]),
                upright: true,
            }],
            logarithmic: [false, false],
        }
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
        if self.noise_only() {
            troubles.push(Trouble::of_all(
                "the warp is no larger than the noise of the touches explains: do not read shapes into it",
            ));
        }
        troubles
    }

    /// Each stray touch with its line, what it is held against and what became of it.
    fn stray_troubles(&self) -> Vec<Trouble> {
        let strays = &self.level.strays;
        if !strays.left_out && strays.found.len() > FEW_STRAYS {
            return vec![Trouble {
                line: Some(strays.found[0].line).filter(|line| *line > 0),
                count: strays.found.len() as u64,
                what: "these touches lie far beyond the noise of most others: too many to be mishaps, so that none is left out".into(),
            }];
        }
        let fate = if strays.left_out {
            "left out of the shape"
        } else {
            "kept all the same: too little would be left without it"
        };
        let told = |stray: &Stray| {
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
                what: format!(
                    "the touch at x {x:.1} mm, y {y:.1} mm lies {} {side} {witness}{times}: {fate}{excuse}",
                    short(stray.off.abs())
                ),
            }
        };
        strays.found.iter().map(told).collect()
    }

    /// Whether repeated touches show no shape beyond the plane: their spread between places is that within places.
    fn noise_only(&self) -> bool {
        if self.level.visits.noise.is_none() {
            return false;
        }
        let freedom = self.level.touch_freedom;
        let groups: Vec<f64> = self
            .level
            .visits
            .places
            .iter()
            .map(|p| p.height - self.level.tilt.at(p.x, p.y))
            .collect();
        let touches = self.level.visits.of.len() as f64 / groups.len() as f64;
        let between =
            groups.iter().map(|g| g * g).sum::<f64>() * touches / (groups.len() as f64 - 3.0).max(1.0);
        let f = between / self.level.touch_deviation.value.powi(2);
        statistics::fisher_tail(f, (groups.len() as f64 - 3.0).max(1.0), freedom) > 1.0 - CONFIDENCE
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

fn turn_row(turn: &ScrewTurn) -> Row {
    let still = turn.fixed || turn.turns.value.abs() < SMALL_TURN;
    Row {
        cells: vec![
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
        ],
        chosen: false,
    }
}

fn grid_row(grid: &GridError, chosen: bool) -> Row {
    let number = |value: f64| format!("{value:.3}");
    Row {
        cells: vec![
            named(grid.grid),
            number(grid.shape),
            number(grid.noise),
            number(grid.together()),
            grid.foretold.map_or_else(|| "–".into(), number),
        ],
        chosen,
    }
}

fn named([columns, rows]: [u32; 2]) -> String {
    format!("{columns} by {rows}")
}

fn short(length: f64) -> String {
    Value::exact(millimetre(length)).to_string()
}

fn signed(value: f64) -> String {
    format!("{value:+.3}").replace('-', "−")
}

fn columns(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| (*name).to_owned()).collect()
}

fn length(estimate: Estimate) -> AnyValue {
    let value: Value<Length> = estimate.of(millimetre);
    value.into()
}

fn exact(number: f64) -> AnyValue {
    Value::exact(millimetre(number)).into()
}

/// Millimetres per metre are thousandths.
fn slope(estimate: Estimate) -> AnyValue {
    let value: Value<Ratio> = estimate.of(|per_metre| Ratio::from_base(per_metre * 1e-3));
    value.into()
}
