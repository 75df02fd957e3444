//! `tolerance`: the plan on very many machines drawn within the tolerances, on all cores.

use std::io::{IsTerminal as _, Write as _};
use std::process::ExitCode;
use std::sync::atomic::{AtomicU64, Ordering};

use dossier::screens;
use physics::{Chance, Spread};
use plan::{Draws, Effect, Finding, Plan, Tally, Verdict};
use quantity::Number as _;
use serde::Serialize;

use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::Out;

/// How machines are drawn.
#[derive(Clone, Debug, clap::Args)]
pub struct How {
    /// How many trials
    #[arg(long, alias = "draws", value_name = "COUNT", default_value_t = 100_000, value_parser = clap::value_parser!(u64).range(1..=100_000_000))]
    trials: u64,
    /// The seed: the same seed gives the same trials, on however many cores
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    seed: u64,
    /// The distribution of a value within its tolerance
    #[arg(
        long,
        alias = "spread",
        value_name = "DISTRIBUTION",
        default_value = "rectangular"
    )]
    distribution: Distribution,
}

/// The distribution of a value within its tolerance.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Distribution {
    /// Equally likely between the limits: the cautious choice.
    #[value(alias = "uniform")]
    Rectangular,
    /// Around the nominal, with the bounds at three standard deviations.
    Normal,
}

impl Distribution {
    fn spread(self) -> Spread {
        match self {
            Distribution::Rectangular => Spread::Uniform,
            Distribution::Normal => Spread::Normal,
        }
    }
}

#[derive(Serialize)]
struct Report<'a> {
    board: &'a str,
    invented: bool,
    trials: u64,
    seed: u64,
    distribution: Spread,
    without_blocker: Held,
    without_caution: Held,
    findings: Vec<Row<'a>>,
}

/// A share of the draws with the 95 % interval of the probability.
#[derive(Serialize)]
pub struct Held {
    share: f64,
    low: f64,
    high: f64,
}

impl Held {
    /// How often a limit fails that holds so often.
    pub fn failing(chance: Chance) -> Self {
        Self::of(Chance {
            held: chance.draws - chance.held,
            ..chance
        })
    }
    fn of(chance: Chance) -> Self {
        let interval = chance.interval();
        Self {
            share: interval.nominal().base(),
            low: interval.low().base(),
            high: interval.high().base(),
        }
    }
}

#[derive(Serialize)]
struct Row<'a> {
    id: &'a str,
    verdict: Verdict,
    worst_margin: Option<f64>,
    holds: Held,
    margin_5: Option<f64>,
    margin_50: Option<f64>,
    margin_95: Option<f64>,
    tolerances: Vec<Tolerance>,
}

/// What one tolerance does by itself.
#[derive(Clone, Debug, Serialize)]
pub struct Tolerance {
    name: String,
    value: quantity::AnyValue,
    #[serde(skip_serializing_if = "Option::is_none")]
    place: Option<String>,
    margin_at_low: Option<f64>,
    margin_at_high: Option<f64>,
}

impl Tolerance {
    fn of(plan: &Plan<'_>, draws: &Draws, effect: &Effect) -> Self {
        let input = &draws.inputs()[effect.input];
        Self {
            name: input.name(),
            value: input.value,
            place: input.place.map(|place| plan.swap.sources.show(place)),
            margin_at_low: effect.low,
            margin_at_high: effect.high,
        }
    }
}

/// Draws and prints.
pub fn run(args: &Args, board: &BoardArg, how: &How, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plan = super::wanted_plan(&swap, board)?;
    let draws = Draws::of(&plan);
    // The text tells of what the worst corner breaks; all else is known to hold and need not be drawn.
    let draws = if args.json {
        draws
    } else {
        draws.only(&plan.uncertain())
    };
    let tally = tally(&draws, how.distribution.spread(), how.seed, how.trials, true);
    if args.json {
        let findings = (0..plan.findings.len()).map(|at| row(&plan, &draws, &tally, at));
        out.json(&Report {
            board: &plan.board.name.value,
            invented: swap.invented,
            trials: how.trials,
            seed: how.seed,
            distribution: how.distribution.spread(),
            without_blocker: Held::of(tally.without_blocker),
            without_caution: Held::of(tally.without_caution),
            findings: findings.collect(),
        })?;
    } else {
        out.document(&screens::chances(
            &plan,
            &draws,
            &tally,
            how.distribution.spread(),
            how.seed,
        ));
    }
    Ok(ExitCode::SUCCESS)
}

/// The tally of the first `count` draws, on all cores. With `progress` a terminal is told how far it is.
pub fn tally(ready: &Draws, spread: Spread, seed: u64, count: u64, progress: bool) -> Tally {
    /// Small enough that no core waits long for another at the end.
    const PORTION: u64 = 1_000;
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let next = AtomicU64::new(0);
    let show = progress && std::io::stderr().is_terminal();
    let work = |shows: bool| {
        let mut own = ready.clone();
        let mut tally = own.tally(spread, seed, 0..0);
        loop {
            let first = next.fetch_add(PORTION, Ordering::Relaxed);
            if first >= count {
                return tally;
            }
            if shows && show {
                let mut stderr = std::io::stderr().lock();
                // Progress that cannot be shown is no reason to stop.
                let _ = write!(stderr, "\r{:3} %", first * 100 / count);
                let _ = stderr.flush();
            }
            tally = tally + own.tally(spread, seed, first..(first + PORTION).min(count));
        }
    };
    let tally = std::thread::scope(|scope| {
        let others: Vec<_> = (1..cores).map(|_| scope.spawn(|| work(false))).collect();
        let own = work(true);
        others.into_iter().fold(own, |sum, thread| {
            sum + thread
                .join()
                .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
        })
    });
    if show {
        let _ = write!(std::io::stderr().lock(), "\r     \r");
    }
    tally
}

fn row<'a>(plan: &'a Plan<'_>, draws: &Draws, tally: &Tally, at: usize) -> Row<'a> {
    let (finding, kept) = (&plan.findings[at], &tally.findings[at]);
    Row {
        id: &finding.id,
        verdict: finding.verdict,
        worst_margin: finding.margin,
        holds: Held::of(kept.chance),
        margin_5: kept.margin_at(0.05),
        margin_50: kept.margin_at(0.5),
        margin_95: kept.margin_at(0.95),
        tolerances: draws.alone().effects[at]
            .iter()
            .map(|effect| Tolerance::of(plan, draws, effect))
            .collect(),
    }
}

/// How likely the limits of findings hold; what holds at the worst corner is not drawn.
pub fn chances(plan: &Plan<'_>, draws: &Draws, findings: &[&Finding]) -> Vec<Chance> {
    // A trial takes about so long as devices are checked against ports.
    const DRAWS: u64 = 10_000;
    const FEWEST: u64 = 500;
    const USUAL_SIZE: u64 = 5_000;
    let size = (plan.swap.machine.devices.len() * plan.board.ports.len()) as u64;
    let count = (DRAWS * USUAL_SIZE / size.max(1)).clamp(FEWEST, DRAWS);
    let places = findings.iter().map(|finding| plan.place_of(finding));
    let uncertain = findings.iter().zip(places.clone());
    let uncertain: Vec<usize> = uncertain
        .filter(|(finding, _)| !finding.is_certain())
        .filter_map(|(_, at)| at)
        .collect();
    let all = Chance { held: 1, draws: 1 };
    if uncertain.is_empty() {
        return vec![all; findings.len()];
    }
    let tally = tally(&draws.clone().only(&uncertain), Spread::Uniform, 1, count, false);
    places
        .map(|at| at.map_or(all, |at| tally.findings[at].chance))
        .collect()
}

/// Every tolerance that moves the margin of a finding.
pub fn tolerances(plan: &Plan<'_>, draws: &Draws, finding: &Finding) -> Vec<Tolerance> {
    let at = plan.place_of(finding);
    let effects = at
        .map(|at| draws.alone().effects[at].as_slice())
        .unwrap_or_default();
    effects
        .iter()
        .map(|effect| Tolerance::of(plan, draws, effect))
        .collect()
}
