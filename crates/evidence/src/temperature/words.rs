//! A temperature log told: phases, process, swing by cause, proposals.

use quantity::Number as _;
use quantity::si::TemperatureInterval;
use quantity::{AnyValue, Quantity, Value};

use super::process::Process;
use super::swing::{Cause, Coherence, NoiseFrom, Swing};
use super::{Analysis, Ask, Phase, Proposal};
use crate::report::{Advice, Figure, Mark, Picture, Plot, Report, Row, Series, Table, Verdict, thinned};
use statistics::CONFIDENCE;

impl Analysis {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let proposals = self.proposals();
        let mut sources = vec!["nist-sp1065", "welch-1967", "more-1978", "common-practice"];
        for proposal in &proposals {
            if !sources.contains(&proposal.source) {
                sources.push(proposal.source);
            }
        }
        if self.swing.as_ref().is_ok_and(|swing| swing.coherence.is_some()) {
            sources.push("carter-1973");
        }
        let mut troubles = self.troubles.clone();
        if let Err(refused) = &self.process {
            troubles.push(crate::Trouble::of_all(format!(
                "the process was not identified: {}; {}",
                refused.problem, refused.mend
            )));
        }
        if let Err(refused) = &self.swing {
            troubles.push(crate::Trouble::of_all(format!(
                "the swing was not taken apart: {}; {}",
                refused.problem, refused.mend
            )));
        }
        if let Ok(swing) = &self.swing
            && let (NoiseFrom::Hidden, Some(step)) = (swing.noise_from, swing.step())
        {
            troubles.push(crate::Trouble::of_all(format!(
                "the step of {} hides the noise: how much of the swing is the one and how much the other is uncertain",
                text(step)
            )));
        }
        Report {
            title: if self.ask.name.is_empty() {
                "Temperature".to_owned()
            } else {
                format!("Temperature of the {}", self.ask.name)
            },
            verdict: self.verdict(),
            sentence: self.sentence(),
            figures: self.figures(),
            advice: self.advice(&proposals),
            tables: self.tables(&proposals),
            pictures: self.pictures(),
            troubles,
            sources,
        }
    }

    /// Whether 99 % of the readings stay as near as was asked, at the bounds of the interval.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let Ok(swing) = &self.swing else {
            return Verdict::Measured;
        };
        let half = swing.half_width();
        if half.high() <= self.ask.within {
            Verdict::Holds
        } else if half.low() > self.ask.within {
            Verdict::Fails
        } else {
            Verdict::NotShown
        }
    }

    fn sentence(&self) -> String {
        let Ok(swing) = &self.swing else {
            let process = self.process.as_ref().map_or_else(
                |_| String::new(),
                |process| format!(": full power would raise it by {}", text(process.gain.nominal())),
            );
            return format!("The log shows a heat-up and no soak{process}.");
        };
        let half = swing.width.nominal() / 2.0;
        let asked = text(self.ask.within);
        let held = match self.verdict() {
            Verdict::Holds => {
                format!("which is within ± {asked}; a swing of about one kelvin is no fault by itself")
            }
            Verdict::Fails => format!("which is more than ± {asked}"),
            _ => format!("and it is not shown whether that is within ± {asked}"),
        };
        let main = swing.parts.first().map_or_else(String::new, |part| {
            format!(
                " Most of it is {} ({:.0} % of the variance).",
                part.cause.word(),
                part.share.base() * 100.0
            )
        });
        format!(
            "Held, 99 % of the readings lie within ± {}, {held}.{main}",
            text(half)
        )
    }

    fn figures(&self) -> Vec<Figure> {
        let mut out = Vec::new();
        if let Ok(swing) = &self.swing {
            swing_figures(swing, &mut out);
        }
        if let Some(overshoot) = self.overshoot() {
            out.push(exact("overshoot", "overshoot after the heat-up", overshoot));
        }
        if let Ok(process) = &self.process {
            process_figures(process, &mut out);
        }
        out
    }

    fn advice(&self, proposals: &[Proposal]) -> Vec<Advice> {
        let mut out = Vec::new();
        let Ok(swing) = &self.swing else { return out };
        if let Some(part) = swing.parts.first() {
            let (helps, in_vain) = remedies(part.cause, swing, proposals, &self.ask);
            out.push(Advice {
                sentence: helps,
                helps: true,
            });
            out.push(Advice {
                sentence: in_vain,
                helps: false,
            });
        }
        if let Some(part) = swing.parts.get(1).filter(|part| part.share.base() > 0.25) {
            out.push(Advice {
                sentence: remedies(part.cause, swing, proposals, &self.ask).0,
                helps: true,
            });
        }
        out
    }

    fn tables(&self, proposals: &[Proposal]) -> Vec<Table> {
        let mut out = vec![self.phase_table()];
        if let Ok(swing) = &self.swing {
            out.push(Table {
                title: "Where the swing comes from".to_owned(),
                columns: ["cause", "size, rms", "share of the variance"]
                    .map(str::to_owned)
                    .to_vec(),
                rows: swing
                    .parts
                    .iter()
                    .map(|part| Row {
                        cells: vec![
                            part.cause.word().to_owned(),
                            text(part.size),
                            format!("{:.1} %", part.share.base() * 100.0),
                        ],
                        chosen: false,
                    })
                    .collect(),
            });
        }
        if !proposals.is_empty() {
            out.push(proposal_table(proposals));
        }
        out
    }

    fn phase_table(&self) -> Table {
        let rows = self.spans.iter().map(|span| Row {
            cells: vec![
                span.phase.word().to_owned(),
                format!("{:.0} s", span.start.base()),
                format!("{:.0} s", (span.end - span.start).base()),
                span.target
                    .map_or_else(|| "–".to_owned(), |target| Value::exact(target).to_string()),
            ],
            chosen: false,
        });
        Table {
            title: "Phases of the log".to_owned(),
            columns: ["phase", "from", "for", "target"].map(str::to_owned).to_vec(),
            rows: rows.collect(),
        }
    }

    fn pictures(&self) -> Vec<Picture> {
        let mut out = vec![Picture::Plot(self.course())];
        if let Ok(swing) = &self.swing {
            out.push(Picture::Plot(soak(swing)));
            out.push(Picture::Plot(spectrum(swing)));
            out.extend(swing.coherence.as_ref().map(|own| Picture::Plot(coherence(own))));
            if swing.allan.len() > 2 {
                out.push(Picture::Plot(allan(swing)));
            }
        }
        out
    }

    fn course(&self) -> Plot {
        let view = &self.view;
        let curve = |values: &[f64]| -> Vec<[f64; 2]> {
            thinned(
                &view
                    .time
                    .iter()
                    .zip(values)
                    .map(|(time, value)| [*time, *value])
                    .collect::<Vec<_>>(),
            )
        };
        let mut series = vec![Series {
            name: "measured".to_owned(),
            points: curve(&view.measured),
            dots: false,
        }];
        if view.target.iter().any(|target| *target > 0.0) {
            let told: Vec<f64> = view
                .target
                .iter()
                .map(|target| if *target > 0.0 { *target } else { f64::NAN })
                .collect();
            series.push(Series {
                name: "target".to_owned(),
                points: curve(&told),
                dots: false,
            });
        }
        let starts = self
            .spans
            .iter()
            .filter(|span| matches!(span.phase, Phase::HeatUp | Phase::Soak | Phase::Disturbance));
        Plot {
            title: "The log".to_owned(),
            x: "time, s".to_owned(),
            y: "temperature, °C".to_owned(),
            series,
            // A log with many disturbances would be nothing but lines.
            marks: starts
                .take(6)
                .map(|span| Mark {
                    name: span.phase.word().to_owned(),
                    at: span.start.base(),
                    upright: true,
                })
                .collect(),
            logarithmic: [false, false],
        }
    }
}

fn proposal_table(proposals: &[Proposal]) -> Table {
    let rows = proposals.iter().map(|proposal| Row {
        cells: vec![
            proposal.rule.to_owned(),
            format!("{:.4}", proposal.pid.gain.base()),
            proposal
                .pid
                .integral
                .map_or_else(|| "–".to_owned(), |time| format!("{:.1}", time.base())),
            format!("{:.2}", proposal.pid.derivative.base()),
            format!("{:.1}", proposal.overshoot.base()),
            proposal
                .settled
                .map_or_else(|| "never".to_owned(), |time| format!("{:.0}", time.base())),
            format!("{:.2}", proposal.swing.base()),
            format!("{:.2}", proposal.width.base()),
            format!("{:.2}", proposal.sensitivity_peak.base()),
        ],
        chosen: proposal.chosen,
    });
    Table {
        title: "Controllers by published rules, each simulated from cold with the noise and the steps of this input".to_owned(),
        columns: [
            "rule",
            "gain, 1/K",
            "Tᵢ, s",
            "T_d, s",
            "overshoot, K",
            "within 1 K after, s",
            "temperature, lowest to highest, K",
            "99 % of the readings, width, K",
            "Ms",
        ]
        .map(str::to_owned)
        .to_vec(),
        rows: rows.collect(),
    }
}

fn swing_figures(swing: &Swing, out: &mut Vec<Figure>) {
    out.push(with(
        "width",
        "width of the band with 99 % of the readings, held",
        swing.width,
    ));
    out.push(with(
        "deviation",
        "standard deviation of the reading, held",
        swing.deviation,
    ));
    out.push(exact("offset", "mean reading less target", swing.offset));
    for part in &swing.parts {
        let id = match part.cause {
            Cause::Control => "control",
            Cause::Noise => continue,
            Cause::Steps => "steps",
            Cause::Drift => "drift",
            Cause::PickUp => "pick-up",
            Cause::Regular => "control-or-pick-up",
            Cause::Rest => "rest",
        };
        out.push(exact(
            id,
            &format!("{}, root mean square", part.cause.word()),
            part.size,
        ));
    }
    let noise = match swing.noise_from {
        NoiseFrom::Floor => "white noise of sensor and input, root mean square",
        NoiseFrom::Jumps => {
            "white noise of sensor and input, root mean square (from how readings jump between coarser steps)"
        }
        NoiseFrom::Hidden => {
            "white noise of sensor and input, root mean square (the step hides it: only the upper bound is told)"
        }
    };
    out.push(with("noise", noise, swing.noise));
    if let Some(step) = swing.step() {
        let what = match swing.levels {
            Some(levels) if levels.of_the_digits => "step of the digits in the log; the input may be finer",
            _ => "step of the input",
        };
        out.push(exact("step", what, step));
    }
    for line in swing.lines.iter().take(2) {
        let what = match line.cause {
            Cause::PickUp => "frequency at which pick-up shows",
            _ => "frequency of a regular swing, by control or pick-up",
        };
        out.push(exact("line", what, line.frequency));
    }
    if let Some(own) = &swing.coherence {
        coherence_figures(own, out);
    }
}

fn coherence_figures(own: &Coherence, out: &mut Vec<Figure>) {
    let peak = Value::exact(own.peak);
    let mut share = |id, what: String, value| {
        out.push(Figure {
            bare: true,
            ..exact(id, &what, value)
        });
    };
    share(
        "coherence",
        format!(
            "coherence of reading and duty at {peak}, where the reading swings most (chance alone: {:.2})",
            own.by_chance.base()
        ),
        own.at_peak,
    );
    share(
        "coherence-mean",
        "coherence of reading and duty over all frequencies above the drift, weighted by the swing"
            .to_owned(),
        own.mean,
    );
    if let Some(band) = own.band {
        out.push(Figure {
            confidence: None,
            ..with(
                "coherence-band",
                "frequencies around it at which the coherence is above chance",
                Value::between(band.low(), own.peak, band.high()),
            )
        });
    }
}

fn process_figures(process: &Process, out: &mut Vec<Figure>) {
    out.push(with("gain", "rise at full power, in the end", process.gain));
    out.push(with("lag", "larger time constant", process.lag));
    out.extend(
        process
            .second_lag
            .map(|lag| with("second-lag", "smaller time constant", lag)),
    );
    out.push(with("delay", "dead time", process.delay));
    out.push(exact(
        "left",
        "deviation of the readings from the fitted process",
        process.left,
    ));
}

fn with<Q: Quantity>(id: &'static str, what: &str, value: Value<Q>) -> Figure {
    Figure {
        id,
        what: what.to_owned(),
        value: AnyValue::from(value),
        bare: false,
        confidence: Some(CONFIDENCE),
        working: None,
    }
}

fn exact<Q: Quantity>(id: &'static str, what: &str, value: Q) -> Figure {
    Figure {
        id,
        what: what.to_owned(),
        value: AnyValue::from(Value::exact(value)),
        bare: false,
        confidence: None,
        working: None,
    }
}

fn text(value: TemperatureInterval) -> String {
    let number = value.base();
    let places = if number.abs() < 0.095 { 3 } else { 2 };
    if number.abs() >= 10.0 {
        format!("{number:.0} K")
    } else {
        format!("{number:.places$} K")
    }
}

/// What would reduce a part of the swing, and what is often tried in vain.
fn remedies(cause: Cause, swing: &Swing, proposals: &[Proposal], ask: &Ask) -> (String, String) {
    let both = |helps: &str, in_vain: &str| (helps.to_owned(), in_vain.to_owned());
    match cause {
        Cause::Control => {
            let take = proposals.iter().find(|proposal| proposal.chosen).map_or_else(
                || "other controller settings".to_owned(),
                |proposal| {
                    format!(
                        "the controller settings of {}, with which the simulation has 99 % of the readings in a band of {} (now {})",
                        proposal.rule,
                        text(proposal.width),
                        text(swing.width.nominal())
                    )
                },
            );
            (
                take,
                "a finer input, filtering or other wiring: the temperature itself swings".to_owned(),
            )
        }
        Cause::Noise => both(
            "the input circuit: a filter at the thermometer input, a quieter reference, a mean over more samples before the controller",
            "tuning: the part does not swing like that, the reading does; less derivative action only spares the duty the noise",
        ),
        Cause::Steps => both(
            "the input circuit: a pull-up nearer to the thermometer's resistance at this temperature, or more bits; a mean over samples where there is some noise between steps",
            "tuning and wiring: a reading cannot be steadier than its steps",
        ),
        Cause::Drift => both(
            "steady surroundings: a draught, a fan or an open door changes the heat that is taken; and a longer soak before the log begins",
            "filtering: slow changes pass every filter",
        ),
        Cause::PickUp => {
            let line = swing.lines.iter().find(|line| line.cause == Cause::PickUp);
            let at = line.map_or_else(String::new, |line| {
                format!(
                    " (it shows at {}; {})",
                    Value::exact(line.frequency),
                    mains(line, swing, ask)
                )
            });
            let in_vain = if swing.has_duty {
                "tuning: the duty does not make it"
            } else {
                "tuning: the log tells no duty, but the reading changes faster than full power heats"
            };
            (
                format!(
                    "wiring: thermometer leads twisted, apart from heater and motor leads, one ground{at}"
                ),
                in_vain.to_owned(),
            )
        }
        Cause::Regular => regular(swing, ask),
        Cause::Rest => both(
            "a longer log with the duty in it and a heat-up from cold, so that the causes can be told apart",
            "acting on this log alone",
        ),
    }
}

/// What is said of a swing that control or pick-up may make.
fn regular(swing: &Swing, ask: &Ask) -> (String, String) {
    let line = swing.lines.iter().find(|line| line.cause == Cause::Regular);
    let at = line.map_or_else(String::new, |line| {
        let period = line.frequency.base().recip();
        let own = swing.period.map_or_else(String::new, |own| {
            let times = period / own.base();
            let likely = if (0.5..=4.0).contains(&times) {
                ", so control is likely"
            } else {
                ""
            };
            format!(
                "; a controller that is too lively would make the process oscillate at a period of about {:.0} s{told}{likely}",
                own.base(),
                told = if swing.has_duty { "" } else { " (as full power during the heat-up tells)" }
            )
        });
        format!(
            " It shows at {}, a period of {period:.1} s{own}; {}.",
            Value::exact(line.frequency),
            mains(line, swing, ask)
        )
    });
    let why = if swing.has_duty {
        "there is no process to tell what the duty moved, and pick-up reaches the duty through the controller, too: \
         a log with the duty and a heat-up from cold would tell control and pick-up apart."
    } else {
        "the log tells no duty, so control and pick-up cannot be told apart: a log with the duty in it and a heat-up from cold would."
    };
    (
        format!("{why}{at}"),
        "acting on this log alone: new settings as well as new wiring would be a guess".to_owned(),
    )
}

fn coherence(own: &Coherence) -> Plot {
    Plot {
        title: "Coherence of reading and duty".to_owned(),
        x: "frequency, Hz".to_owned(),
        y: "coherence".to_owned(),
        series: vec![Series {
            name: "coherence".to_owned(),
            points: thinned(&own.curve),
            dots: false,
        }],
        marks: vec![
            Mark {
                name: "by chance".to_owned(),
                at: own.by_chance.base(),
                upright: false,
            },
            Mark {
                name: "largest swing".to_owned(),
                at: own.peak.base(),
                upright: true,
            },
        ],
        logarithmic: [true, false],
    }
}

fn soak(swing: &Swing) -> Plot {
    let mean = swing.readings.iter().sum::<f64>() / swing.readings.len() as f64;
    let start = swing.start.base();
    let points: Vec<[f64; 2]> = swing
        .readings
        .iter()
        .enumerate()
        .map(|(at, reading)| [start + at as f64 * swing.reading_step, reading - mean])
        .collect();
    let half = swing.width.nominal().base() / 2.0;
    Plot {
        title: "The longest soak around its mean".to_owned(),
        x: "time, s".to_owned(),
        y: "reading less mean, K".to_owned(),
        series: vec![Series {
            name: "measured".to_owned(),
            points: thinned(&points),
            dots: false,
        }],
        marks: [half, -half]
            .into_iter()
            .map(|at| Mark {
                name: "99 %".to_owned(),
                at,
                upright: false,
            })
            .collect(),
        logarithmic: [false, false],
    }
}

fn spectrum(swing: &Swing) -> Plot {
    let curve = |spectrum: &statistics::spectrum::Spectrum| -> Vec<[f64; 2]> {
        let points = spectrum.frequencies.iter().zip(&spectrum.density).skip(1);
        let all: Vec<[f64; 2]> = points
            .filter(|(_, density)| **density > 0.0)
            .map(|(frequency, density)| [*frequency, *density])
            .collect();
        thinned(&all)
    };
    let (reading, moved) = &swing.spectra;
    let mut series = vec![Series {
        name: "reading".to_owned(),
        points: curve(reading),
        dots: false,
    }];
    if let Some(moved) = moved.as_ref().filter(|_| swing.by_process) {
        // Far below the reading it says nothing and would squeeze the rest.
        let least = reading
            .density
            .iter()
            .copied()
            .filter(|density| *density > 0.0)
            .fold(f64::INFINITY, f64::min)
            / 10.0;
        let mut points = curve(moved);
        for point in points.iter_mut().filter(|point| point[1] < least) {
            point[1] = f64::NAN;
        }
        series.push(Series {
            name: "what the duty moved".to_owned(),
            points,
            dots: false,
        });
    }
    Plot {
        title: "Spectrum of the swing".to_owned(),
        x: "frequency, Hz".to_owned(),
        y: "density, K²/Hz".to_owned(),
        series,
        marks: swing
            .lines
            .iter()
            .take(2)
            .map(|line| Mark {
                name: match line.cause {
                    Cause::PickUp => "pick-up",
                    _ => "regular swing",
                }
                .to_owned(),
                at: line.frequency.base(),
                upright: true,
            })
            .collect(),
        logarithmic: [true, true],
    }
}

fn allan(swing: &Swing) -> Plot {
    Plot {
        title: "Allan deviation: falling is noise, rising is drift".to_owned(),
        x: "time of the mean, s".to_owned(),
        y: "Allan deviation, K".to_owned(),
        series: vec![Series {
            name: "reading".to_owned(),
            points: swing
                .allan
                .iter()
                .copied()
                .filter(|point| point[1] > 0.0)
                .collect(),
            dots: false,
        }],
        marks: Vec::new(),
        logarithmic: [true, true],
    }
}

/// Mains and twice mains, as a rectifier makes it, in hertz; IEC 60038 (from memory).
const MAINS: [(&str, f64); 4] = [
    ("mains of 50 Hz", 50.0),
    ("mains of 60 Hz", 60.0),
    ("twice mains of 50 Hz", 100.0),
    ("twice mains of 60 Hz", 120.0),
];
/// How far the clock of a logger may be off, as a share; common practice, no source.
const CLOCK: f64 = 1e-4;

/// Which mains would show where a line does, sampled at the mean rate of the soak, and which pulses of a heater may.
fn mains(line: &super::swing::Line, swing: &Swing, ask: &Ask) -> String {
    let frequencies = &swing.spectra.0.frequencies;
    let (Some(bin), Some(highest)) = (frequencies.get(1), frequencies.last()) else {
        return "what causes it may be an alias away".to_owned();
    };
    let (line, rate) = (line.frequency.base(), 2.0 * highest);
    let found = would_show(line, rate, *bin);
    let sampled = format!("at {rate:.3} samples a second");
    let of_mains = if found.is_empty() {
        format!("{sampled} mains of 50 or 60 Hz would show elsewhere")
    } else {
        format!("{sampled} {} would show there", found.join(" or "))
    };
    let pulses =
        ask.pulses.and_then(|usual| {
            let nearest = pulses_at(line, rate, usual.nominal().base());
            (usual.low().base()..=usual.high().base()).contains(&nearest).then(|| {
            format!(
                ", and pulses of a heater may, such as of {nearest:.2} Hz; usual are {:.0} to {:.0} Hz",
                usual.low().base(),
                usual.high().base()
            )
        })
        });
    format!("{of_mains}{}", pulses.unwrap_or_default())
}

/// The frequency nearest to `usual` of all whose alias at the rate `r` is the line: `k r ± f`; all in hertz.
fn pulses_at(line: f64, rate: f64, usual: f64) -> f64 {
    let near = |side: f64| (((usual - side) / rate).round() * rate + side).abs();
    let (one, other) = (near(line), near(-line));
    if (one - usual).abs() <= (other - usual).abs() {
        one
    } else {
        other
    }
}

/// The mains whose alias `|f − k r|` at the rate `r` lies within a bin, and what the clock may be off, of a line; all in hertz.
fn would_show(line: f64, rate: f64, bin: f64) -> Vec<&'static str> {
    let shows = |frequency: f64| {
        let alias = (frequency - (frequency / rate).round() * rate).abs();
        (alias - line).abs() <= bin + CLOCK * frequency
    };
    let found = MAINS.iter().filter(|(_, frequency)| shows(*frequency));
    found.map(|(name, _)| *name).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sampled every 0.505 s, 50 Hz are 25 whole turns and 0.495 a second more, 60 Hz are 30 turns and 0.594 (arithmetic).
    #[test]
    fn mains_are_known_by_their_alias() {
        let rate = 1.0 / 0.505;
        assert_eq!(would_show(0.495, rate, 0.01), ["mains of 50 Hz"]);
        assert_eq!(would_show(0.594, rate, 0.01), ["mains of 60 Hz"]);
        assert!(would_show(0.37, rate, 0.01).is_empty());
        // Two samples a second: 50 Hz stand still, and no line is theirs.
        assert!(would_show(0.37, 2.0, 0.01).is_empty());
        // Pulses near 7.7 Hz of which two samples a second make 0.37 Hz: 4 · 2 − 0.37 (arithmetic).
        assert!((pulses_at(0.37, 2.0, 1.0 / 0.13) - 7.63).abs() < 1e-9);
        assert!((pulses_at(0.37, 2.0, 8.3) - 8.37).abs() < 1e-9);
        // Fast enough, it shows where it is.
        assert_eq!(would_show(50.0, 1000.0, 0.1), ["mains of 50 Hz"]);
    }
}
