//! Pictures of a workload: time by step rate with the limits of the boards, what happens when, the way from above.

use drawing::{Along, Halftone, Head, Layout, Mark, Plot, Series, halftone, plot};
use quantity::Number as _;
use quantity::si::Frequency;
use workload::{Course, Moment, RateTimes, Setup, Work, Workload};

/// Every picture, wide and narrow, by the name of its file.
pub fn pictures(setup: &Setup, workload: &Workload) -> Vec<(String, Vec<u8>)> {
    let mut out = Vec::new();
    let mut add = |name: &str, draw: &dyn Fn(Layout) -> String| {
        for (layout, end) in [(Layout::Wide, ""), (Layout::Narrow, "-narrow")] {
            out.push((format!("workload-{name}{end}.svg"), draw(layout).into_bytes()));
        }
    };
    if let Some(work) = &workload.total {
        let boards = boards(setup, work);
        add("boards", &|layout| plot(&boards, layout));
        let motors = motors(setup, work);
        add("motors", &|layout| plot(&motors, layout));
    }
    if let Some((name, course)) = &workload.course {
        // The folders above it would not fit into a title.
        let name = name.rsplit(['/', '\\']).next().unwrap_or(name);
        let line = time_line(setup, name, course);
        add("time-line", &|layout| plot(&line, layout));
        if let Some(map) = map(name, course) {
            add("from-above", &|layout| halftone(&map, layout));
        }
    }
    out
}

fn head(prefix: &str, title: String, description: String) -> Head {
    Head {
        prefix: prefix.to_owned(),
        title,
        description,
    }
}

/// A histogram as the outline of its bars; on a logarithmic axis what is zero leaves a gap.
fn outline(times: &RateTimes) -> Vec<[f64; 2]> {
    let width = times.width().base() / 1e3;
    let mut points = Vec::new();
    for (at, time) in times.times().iter().enumerate() {
        let seconds = time.base();
        let (left, right) = (width * at as f64, width * (at as f64 + 1.0));
        if seconds > 0.0 {
            points.push([left.max(width / 10.0), seconds]);
            points.push([right, seconds]);
        } else if points.last().is_some_and(|[_, last]| last.is_finite()) {
            points.push([f64::NAN; 2]);
        }
    }
    points
}

/// Step rates over all motors, one series for each set of steps, with what each board may give.
fn boards(setup: &Setup, work: &Work) -> Plot {
    let mut series: Vec<(Series, &[quantity::si::StepDensity])> = Vec::new();
    for (board, asked) in setup.boards.iter().zip(&work.boards) {
        match series.iter_mut().find(|(_, steps)| *steps == board.steps) {
            Some((own, _)) => own.name.push_str(&format!(", {}", board.name)),
            None => series.push((
                Series {
                    name: board.name.clone(),
                    points: outline(&asked.times),
                    dots: false,
                },
                &board.steps,
            )),
        }
    }
    let mark = |board: &workload::Board| Mark {
        name: board.name.clone(),
        at: (board.step_rate * board.share).base() / 1e3,
        along: Along::X,
    };
    Plot {
        head: head(
            "wb",
            "Time by step rate over all motors".to_owned(),
            format!(
                "How long all motors together are asked for a step rate, over {} files, and what each board may give.",
                work.programs
            ),
        ),
        x: "steps per second over all motors, kHz".to_owned(),
        y: "time, s".to_owned(),
        series: series.into_iter().map(|(series, _)| series).collect(),
        marks: setup.boards.iter().map(mark).collect(),
        logarithmic: [true, true],
        ..Plot::default()
    }
}

fn motors(setup: &Setup, work: &Work) -> Plot {
    let used = setup.motors.iter().zip(&work.motors);
    let series = used
        .filter(|(_, used)| used.peak.place.is_some())
        .map(|(motor, used)| Series {
            name: motor.name.clone(),
            points: outline(&used.times),
            dots: false,
        });
    Plot {
        head: head(
            "wm",
            "Time by step rate of each motor".to_owned(),
            "How long each motor makes a step rate, while it moves.".to_owned(),
        ),
        x: "steps per second of the motor, kHz".to_owned(),
        y: "time, s".to_owned(),
        series: series.collect(),
        logarithmic: [false, true],
        ..Plot::default()
    }
}

/// What happens when, each as a share of its own limit.
fn time_line(setup: &Setup, name: &str, course: &Course) -> Plot {
    let last = course.time_line.last().map_or(0.0, |moment| moment.begin.base());
    let (unit, per) = match last {
        _ if last > 3.0 * 3_600.0 => ("h", 3_600.0),
        _ if last > 180.0 => ("min", 60.0),
        _ => ("s", 1.0),
    };
    let series = |name: String, value: &dyn Fn(&Moment) -> f64| Series {
        name,
        points: course
            .time_line
            .iter()
            .map(|moment| [moment.begin.base() / per, value(moment)])
            .collect(),
        dots: false,
    };
    // All boards that make the same steps as the first have its rates; the tightest of them counts.
    let like_first = setup
        .boards
        .iter()
        .filter(|board| Some(&board.steps) == setup.boards.first().map(|board| &board.steps));
    let tightest = like_first.min_by(|one, other| {
        let limit = |board: &workload::Board| (board.step_rate * board.share).base();
        limit(one).total_cmp(&limit(other))
    });
    let mut all = Vec::new();
    if let Some(board) = tightest {
        let limit: Frequency = board.step_rate * board.share;
        let name = format!("step rate (limit of {})", board.name);
        all.push(series(name, &|moment| {
            100.0 * moment.step_rate.base() / limit.base()
        }));
    }
    if let Some(supply) = setup.heat.supply {
        all.push(series("heaters (power of the supply)".to_owned(), &|moment| {
            100.0 * moment.heaters.base() / supply.base()
        }));
    }
    let most = course
        .time_line
        .iter()
        .map(|moment| moment.flow.base())
        .fold(0.0, f64::max);
    if most > 0.0 {
        all.push(series("flow (its peak)".to_owned(), &|moment| {
            100.0 * moment.flow.base() / most
        }));
    }
    let fans: f64 = setup.heat.fans.iter().map(|fan| fan.power.base()).sum();
    if fans > 0.0 {
        all.push(series("fans (full speed)".to_owned(), &|moment| {
            100.0 * moment.fans.base() / fans
        }));
    }
    Plot {
        head: head(
            "wt",
            format!("Course of {name}"),
            "Step rate, power of the heaters, flow and fans over time, each as a share of its limit."
                .to_owned(),
        ),
        x: format!("time, {unit}"),
        y: "% of what stands in brackets".to_owned(),
        series: all,
        marks: vec![Mark {
            name: "limit".to_owned(),
            at: 100.0,
            along: Along::Y,
        }],
        ..Plot::default()
    }
}

fn map(name: &str, course: &Course) -> Option<Halftone> {
    let seen = course.seen_from_above.as_ref()?;
    let millimetres = |length: quantity::si::Length| length.base() * 1e3;
    Some(Halftone {
        head: head(
            "wa",
            format!("Step rate along the way of {name}"),
            "The way of the nozzle from above; darker to lighter and small to large dots for a rising step rate over all motors."
                .to_owned(),
        ),
        x: "x, mm".to_owned(),
        y: "y, mm".to_owned(),
        quantity: "highest step rate over all motors, kHz".to_owned(),
        left: millimetres(seen.left),
        bottom: millimetres(seen.bottom),
        cell: millimetres(seen.cell),
        rows: seen
            .rows
            .iter()
            .map(|row| row.iter().map(|rate| rate.base() / 1e3).collect())
            .collect(),
    })
}
