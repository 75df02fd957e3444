//! `chance`: the plan on very many machines drawn within the tolerances, on all cores.

use std::io::{IsTerminal as _, Write as _};
use std::process::ExitCode;
use std::sync::atomic::{AtomicU64, Ordering};

use physics::{Chance, Spread};
use plan::{Draws, Effect, Finding, Plan, Tally, Verdict};
use quantity::{Number as _, Value, si::Ratio};
use serde::Serialize;

use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::{FAINT, HEADING, Out, styled, verdict_style};
use crate::table::{Table, terminal_width, wrapped};

/// How machines are drawn.
#[derive(Clone, Debug, clap::Args)]
pub struct How {
    /// How many machines to draw
    #[arg(long, value_name = "COUNT", default_value_t = 100_000, value_parser = clap::value_parser!(u64).range(1..=100_000_000))]
    draws: u64,
    /// The seed: the same seed draws the same machines, on however many cores
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    seed: u64,
    /// How values lie within their tolerances
    #[arg(long, value_name = "SPREAD", default_value = "uniform")]
    spread: Within,
}

/// How values lie within their tolerances.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Within {
    /// Anywhere between the bounds alike: the cautious choice.
    Uniform,
    /// Around the nominal, with the bounds at three standard deviations.
    Normal,
}

impl Within {
    fn spread(self) -> Spread {
        match self {
            Within::Uniform => Spread::Uniform,
            Within::Normal => Spread::Normal,
        }
    }
}

#[derive(Serialize)]
struct Report<'a> {
    board: &'a str,
    invented: bool,
    draws: u64,
    seed: u64,
    spread: Spread,
    without_blocker: Held,
    without_caution: Held,
    findings: Vec<Row<'a>>,
}

/// A share of the draws with the 95 % interval of the probability.
#[derive(Serialize)]
struct Held {
    share: f64,
    low: f64,
    high: f64,
}

impl Held {
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
    let tally = tally(&draws, how.spread.spread(), how.seed, how.draws, true);
    if args.json {
        let findings = (0..plan.findings.len()).map(|at| row(&plan, &draws, &tally, at));
        out.json(&Report {
            board: &plan.board.name.value,
            invented: swap.invented,
            draws: how.draws,
            seed: how.seed,
            spread: how.spread.spread(),
            without_blocker: Held::of(tally.without_blocker),
            without_caution: Held::of(tally.without_caution),
            findings: findings.collect(),
        })?;
    } else {
        print(&plan, &draws, &tally, how, out);
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

fn print(plan: &Plan<'_>, draws: &Draws, tally: &Tally, how: &How, out: &mut Out) {
    let width = terminal_width();
    out.line(styled(
        format!("{} on {}", plan.board.name, plan.swap.machine.name),
        HEADING,
    ));
    let spread = match how.spread {
        Within::Uniform => "anywhere in it alike",
        Within::Normal => "around the nominal, bounds at three standard deviations",
    };
    let words = format!(
        "{} machines drawn, {} values each within its tolerance ({spread}), seed {}",
        thousands(how.draws),
        draws.inputs().len(),
        how.seed
    );
    for line in wrapped(&words, width) {
        out.line(line);
    }
    out.line("");
    out.line(format!("no blocker on    {}", percent(tally.without_blocker)));
    out.line(format!("no caution on    {}", percent(tally.without_caution)));
    let broken = plan.broken();
    if !broken.is_empty() {
        out.line("");
        let mut table = Table::new(
            &[
                "broken at the worst corner",
                "holds on",
                "worst",
                "5 %",
                "half",
                "costliest tolerance",
            ],
            &[1, 2, 3, 4],
        );
        for at in broken {
            let (finding, kept) = (&plan.findings[at], &tally.findings[at]);
            table.row(
                vec![
                    finding.id.clone(),
                    share(kept.chance),
                    margin(finding.margin),
                    margin(kept.margin_at(0.05)),
                    margin(kept.margin_at(0.5)),
                    costliest(draws, at),
                ],
                Some(verdict_style(finding.verdict)),
            );
        }
        for line in table.lines(width) {
            out.line(line);
        }
    }
    out.line("");
    let uncertain = plan.uncertain().len();
    let certain = plan.findings.len() - uncertain;
    let others = uncertain - plan.broken().len();
    let words = format!(
        "worst, 5 %, half: the room to the limit at the worst corner, and what 5 % and half of the draws stay below. {certain} findings \
         hold at the worst corner, so on every draw. {others} blockers and cautions are no question of tolerances."
    );
    for line in wrapped(&words, width) {
        out.line(styled(line, FAINT));
    }
}

fn costliest(draws: &Draws, at: usize) -> String {
    let alone = draws.alone();
    let (Some(nominal), Some(effect)) = (alone.nominal[at], alone.effects[at].first()) else {
        return "none: it is so at nominal values".to_owned();
    };
    let input = &draws.inputs()[effect.input];
    format!(
        "{} {} takes {} of {}",
        input.name(),
        input.value,
        margin(Some(effect.cost(nominal))).trim_start_matches('+'),
        margin(Some(nominal))
    )
}

/// The tolerances behind a finding, and how likely its limit holds; for `why`.
pub fn lines(plan: &Plan<'_>, draws: &Draws, finding: &Finding) -> Vec<String> {
    const SHOWN: usize = 6;
    const DRAWS: u64 = 10_000;
    let Some(at) = plan.place_of(finding) else {
        return Vec::new();
    };
    let alone = draws.alone();
    let effects = &alone.effects[at];
    let mut lines = Vec::new();
    let Some(nominal) = alone.nominal[at].filter(|_| !effects.is_empty()) else {
        return lines;
    };
    lines.push(format!(
        "each tolerance by itself, the costliest first; margin with all values nominal {:+.1} %",
        nominal * 100.0
    ));
    let mut table = Table::new(&["value", "", "margin at its ends", ""], &[]);
    for effect in effects.iter().take(SHOWN) {
        let tolerance = Tolerance::of(plan, draws, effect);
        table.row(
            vec![
                tolerance.name,
                tolerance.value.to_string(),
                format!("{} .. {}", end(effect.low), end(effect.high)),
                tolerance.place.unwrap_or_default(),
            ],
            None,
        );
    }
    lines.extend(
        table
            .lines(terminal_width().saturating_sub(2))
            .into_iter()
            .skip(1)
            .map(|line| format!("  {line}")),
    );
    if effects.len() > SHOWN {
        lines.push(format!("  and {} more", effects.len() - SHOWN));
    }
    lines.push(if finding.is_certain() {
        "it holds at the worst corner, so on every machine within the tolerances".to_owned()
    } else {
        let tally = tally(&draws.clone().only(&[at]), Spread::Uniform, 1, DRAWS, false);
        format!(
            "it holds on {} of machines drawn within the tolerances",
            percent(tally.findings[at].chance)
        )
    });
    lines
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

/// A margin; near the limit a decimal tells on which side. Beyond what the draws count only that it is.
fn margin(margin: Option<f64>) -> String {
    let Some(margin) = margin else {
        return String::new();
    };
    match margin * 100.0 {
        percent if percent <= -200.0 => "< -200 %".to_owned(),
        percent if percent.abs() < 0.995 => format!("{percent:+.2} %"),
        percent => format!("{percent:+.0} %"),
    }
}

/// The margin with an input at one end of its tolerance.
fn end(margin: Option<f64>) -> String {
    margin.map_or_else(
        || "another limit counts".to_owned(),
        |margin| format!("{:+.1} %", margin * 100.0),
    )
}

/// "97.3 % (97.1 % .. 97.4 %)"; the interval is that of the probability, at 95 %.
fn percent(chance: Chance) -> String {
    let interval: Value<Ratio> = chance.interval();
    let show = |ratio: Ratio| format!("{} %", digits(ratio.base() * 100.0));
    if chance.held == chance.draws {
        return format!("every draw (more than {} of machines)", show(interval.low()));
    }
    if chance.held == 0 {
        return format!("no draw (less than {} of machines)", show(interval.high()));
    }
    format!(
        "{} ({} .. {})",
        show(interval.nominal()),
        show(interval.low()),
        show(interval.high())
    )
}

/// The share alone.
fn share(chance: Chance) -> String {
    match chance.held {
        0 => "none".to_owned(),
        held if held == chance.draws => "all".to_owned(),
        _ => format!("{} %", digits(chance.share().base() * 100.0)),
    }
}

/// A percentage with as many digits as it takes to see the distance from 0 and 100.
fn digits(percent: f64) -> String {
    let distance = percent.min(100.0 - percent);
    if distance >= 1.0 {
        format!("{percent:.1}")
    } else if distance >= 0.1 {
        format!("{percent:.2}")
    } else {
        format!("{percent:.3}")
    }
}

fn thousands(number: u64) -> String {
    let text = number.to_string();
    let mut out = String::new();
    for (at, digit) in text.chars().enumerate() {
        if at > 0 && (text.len() - at).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}
