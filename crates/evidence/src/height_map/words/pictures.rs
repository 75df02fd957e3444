//! A height map drawn: surface, warp, sections, and the error against the size of the grid.

use crate::height_map::{GridError, HeightMap, Place, grid};
use crate::lengths::mm;
use crate::report::{Grid, Mark, Picture, Plot, Series};

/// Columns and rows of the surface in a picture.
const PICTURE: usize = 33;

impl HeightMap {
    pub(super) fn pictures(&self) -> Vec<Picture> {
        let bounds = grid::bounds(&self.level.visits.places);
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
        let level = self.level.tilt.middle;
        let curve = (0..=80)
            .map(|k| low + (high - low) * f64::from(k) / 80.0)
            .map(|t| {
                let mut at = middle;
                at[axis] = t;
                [t, self.level.surface.at(at[0], at[1]) - level]
            });
        let near = |p: &&Place| ([p.x, p.y][1 - axis] - middle[1 - axis]).abs() <= 0.06 * across;
        let places = self.level.visits.places.iter().filter(near);
        let places = places.map(|p| [[p.x, p.y][axis], p.height - level]);
        Plot::new(
            title,
            [["x, mm", "y, mm"][axis], "height, mm"],
            vec![
                Series::line("smoothed surface", curve),
                Series::dots("places near the line, mean of their touches", places),
            ],
        )
    }

    fn grid_curve(&self) -> Plot {
        let points = |of: &dyn Fn(&GridError) -> Option<f64>| -> Vec<[f64; 2]> {
            let squares = self.grids.squares.iter();
            let point = |g: &GridError| Some([f64::from(g.grid[0]), of(g)?]);
            squares.filter_map(point).collect()
        };
        let series = vec![
            Series::line("shape between the points", points(&|g| Some(g.shape))),
            Series::line("noise of single touches", points(&|g| Some(g.noise))),
            Series::dots("at places left out", points(&|g| g.foretold)),
        ];
        Plot::new(
            "Error against the size of the grid",
            ["points along a side", "root mean square, mm"],
            series,
        )
        .marked([Mark::upright(
            "more do not help",
            f64::from(self.enough().grid[0]),
        )])
    }
}
