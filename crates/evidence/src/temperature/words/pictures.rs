//! A temperature log drawn: its course, the soak, its spectrum, coherence and Allan deviation.

use quantity::Number as _;
use statistics::spectrum::Spectrum;

use crate::report::{Mark, Picture, Plot, Series, thinned};
use crate::temperature::swing::{Cause, Coherence, Line};
use crate::temperature::{Analysis, Phase, Swing};

impl Analysis {
    pub(super) fn pictures(&self) -> Vec<Picture> {
        let mut out = vec![self.course()];
        if let Ok(swing) = &self.swing {
            out.push(soak(swing));
            out.push(spectrum(swing));
            out.extend(swing.deciding_coherence().map(coherence));
            if swing.allan.len() > 2 {
                out.push(allan(swing));
            }
        }
        out.into_iter().map(Picture::Plot).collect()
    }

    fn course(&self) -> Plot {
        let view = &self.view;
        let curve = |name: &str, values: &[f64]| {
            let points = view.time.iter().zip(values);
            let points: Vec<[f64; 2]> = points.map(|(time, value)| [*time, *value]).collect();
            Series::line(name, thinned(&points))
        };
        let mut series = vec![curve("measured", &view.measured)];
        // Off is no temperature.
        let on = |target: &f64| if *target > 0.0 { *target } else { f64::NAN };
        let target: Vec<f64> = view.target.iter().map(on).collect();
        if target.iter().any(|target| !target.is_nan()) {
            series.push(curve("target", &target));
        }
        let starts = self
            .spans
            .iter()
            .filter(|span| matches!(span.phase, Phase::HeatUp | Phase::Soak | Phase::Disturbance));
        // A log with many disturbances would be nothing but lines.
        let marks = starts
            .take(6)
            .map(|span| Mark::upright(span.phase.word(), span.start.base()));
        let alarm = self.alarm.iter();
        let marks = marks.chain(alarm.map(|alarm| Mark::upright("switch off", alarm.at.base())));
        Plot::new("The log", ["time, s", "temperature, °C"], series).marked(marks)
    }
}

fn soak(swing: &Swing) -> Plot {
    let readings = &swing.readings;
    let mean = readings.iter().sum::<f64>() / readings.len() as f64;
    let start = swing.start.base();
    let points: Vec<[f64; 2]> = readings
        .iter()
        .enumerate()
        .map(|(at, reading)| [start + at as f64 * swing.reading_step, reading - mean])
        .collect();
    let half = swing.width.nominal().base() / 2.0;
    Plot::new(
        "The longest soak around its mean",
        ["time, s", "reading less mean, K"],
        vec![Series::line("measured", thinned(&points))],
    )
    .marked([half, -half].map(|at| Mark::across("99 %", at)))
}

fn spectrum(swing: &Swing) -> Plot {
    let (reading, moved) = &swing.spectra;
    let mut series = vec![Series::line("reading", densities(reading))];
    if let Some(moved) = moved.as_ref().filter(|_| swing.by_process) {
        // Far below the reading it says nothing and would squeeze the rest.
        let positive = reading.density.iter().copied().filter(|density| *density > 0.0);
        let least = positive.fold(f64::INFINITY, f64::min) / 10.0;
        let mut points = densities(moved);
        for point in points.iter_mut().filter(|point| point[1] < least) {
            point[1] = f64::NAN;
        }
        series.push(Series::line("what the duty moved", points));
    }
    let mark = |line: &Line| {
        let name = match line.cause {
            Cause::PickUp => "pick-up",
            _ => "regular swing",
        };
        Mark::upright(name, line.frequency.base())
    };
    let plot = Plot::new(
        "Spectrum of the swing",
        ["frequency, Hz", "density, K²/Hz"],
        series,
    );
    Plot {
        logarithmic: [true, true],
        ..plot.marked(swing.lines.iter().take(2).map(mark))
    }
}

/// The densities above nothing, by their frequencies.
fn densities(spectrum: &Spectrum) -> Vec<[f64; 2]> {
    let points = spectrum.frequencies.iter().zip(&spectrum.density).skip(1);
    let all: Vec<[f64; 2]> = points
        .filter(|(_, density)| **density > 0.0)
        .map(|(frequency, density)| [*frequency, *density])
        .collect();
    thinned(&all)
}

fn coherence(own: &Coherence) -> Plot {
    let plot = Plot::new(
        "Coherence of reading and duty",
        ["frequency, Hz", "coherence"],
        vec![Series::line("coherence", thinned(&own.curve))],
    );
    Plot {
        logarithmic: [true, false],
        ..plot.marked([
            Mark::across("by chance", own.by_chance.base()),
            Mark::upright("largest swing", own.peak.base()),
        ])
    }
}

fn allan(swing: &Swing) -> Plot {
    let points = swing.allan.iter().copied().filter(|point| point[1] > 0.0);
    Plot {
        logarithmic: [true, true],
        ..Plot::new(
            "Allan deviation: falling is noise, rising is drift",
            ["time of the mean, s", "Allan deviation, K"],
            vec![Series::line("reading", points)],
        )
    }
}
