//! The screen: a verdict for each board, what does not hold, and the figures behind it.

use std::path::Path;

use anstyle::Style;
use quantity::si::{Time, ratio};
use quantity::{Number as _, Quantity, Value};
use workload::words::{count, duration, grouped, volume};
use workload::{Finding, Occurrence, Purpose, Setup, Verdict, Work, Workload, flow_by_power};

use super::BoardShown;
use crate::out::{FAINT, HEADING, Out, styled, verdict_style};
use crate::table::{Table, hanging, terminal_width};

/// Files that are listed one by one.
const FILES: usize = 10;

/// Kinds of occurrences that are listed without `--all`.
const WORDS: usize = 12;

fn style(verdict: Verdict) -> Style {
    verdict_style(match verdict {
        Verdict::Pass => plan::Verdict::Pass,
        Verdict::Open => plan::Verdict::Caution,
        Verdict::Fail => plan::Verdict::Blocker,
    })
}

fn brief<Q: Quantity>(quantity: Q) -> String {
    let value = Value::exact(quantity).into();
    quantity::show(&value, quantity::Digits::new(3))
}

/// Prints everything; `all` adds what passes and the files one by one.
pub fn print(
    setup: &Setup,
    workload: &Workload,
    boards: &[BoardShown],
    findings: &[Finding],
    all: bool,
    out: &mut Out,
) {
    if let Some(work) = &workload.total {
        heading(work, out);
        for (at, board) in boards.iter().enumerate() {
            one_board(setup, work, at, board, out);
        }
        self::findings(findings, all, out);
        motors(setup, work, out);
        if all {
            figures(setup, work, out);
            files(workload, boards, out);
        }
        occurrences(
            "command not seen in the new controller",
            &work.unknown_words,
            all,
            out,
        );
        occurrences("time not counted", &work.unmodelled_words, all, out);
        occurrences("skipped", &work.troubles, all, out);
    }
    refusals(workload, out);
}

fn heading(work: &Work, out: &mut Out) {
    let times = &work.times;
    out.line(styled(
        format!(
            "Workload of {}: {}, {} of motion",
            count(work.programs, "file", "files"),
            count(work.moves, "move", "moves"),
            duration(times.motion())
        ),
        HEADING,
    ));
    let parts: Vec<String> = [
        ("printing", work.time_of(Purpose::Printing)),
        ("travelling", work.time_of(Purpose::Travelling)),
        ("filament alone", work.time_of(Purpose::Filament)),
        ("homing", times.homing),
        ("waiting", times.dwell),
        ("heating", times.heating),
    ]
    .into_iter()
    .filter(|(_, time)| *time > Time::from_base(0.0))
    .map(|(what, time)| format!("{what} {}", duration(time)))
    .collect();
    for line in hanging("", &parts.join(", "), 0, terminal_width()) {
        out.line(styled(line, FAINT));
    }
    out.line("");
}

fn one_board(setup: &Setup, work: &Work, at: usize, shown: &BoardShown, out: &mut Out) {
    let (board, asked) = (&setup.boards[at], &work.boards[at]);
    let place = asked.peak.place.as_ref();
    let place = place.map_or_else(String::new, |place| format!(" at {place}"));
    let above = if asked.above > Time::from_base(0.0) {
        format!(" Above the limit for {}.", duration(asked.above))
    } else {
        String::new()
    };
    let text = format!(
        "{}: {}. Peak {}{place}; limit {}.{above}",
        shown.verdict.word(),
        shown.sentence,
        brief(asked.peak.value),
        brief(board.step_rate * board.share),
    );
    let first = format!("{}  ", board.name);
    let indent = setup.boards.iter().map(|board| board.name.chars().count()).max();
    let indent = indent.unwrap_or(0) + 2;
    let first = format!("{first:indent$}");
    for (at, line) in hanging(&first, &text, indent, terminal_width())
        .into_iter()
        .enumerate()
    {
        if at == 0 {
            out.line(styled(line, style(shown.verdict)));
        } else {
            out.line(line);
        }
    }
}

fn findings(findings: &[Finding], all: bool, out: &mut Out) {
    out.line("");
    let (shown, passed): (Vec<&Finding>, Vec<&Finding>) = findings
        .iter()
        .partition(|finding| all || finding.verdict != Verdict::Pass);
    for finding in shown {
        let text = format!("{}: {}", finding.verdict.word(), finding.sentence);
        for (at, line) in hanging("", &text, 2, terminal_width()).into_iter().enumerate() {
            out.line(if at == 0 {
                styled(line, style(finding.verdict))
            } else {
                line
            });
        }
        if let Some(remedy) = &finding.remedy {
            for line in hanging("  ", &format!("Do: {remedy}"), 4, terminal_width()) {
                out.line(line);
            }
        }
    }
    if !passed.is_empty() {
        let passed = passed.len() as u64;
        let text = format!(
            "{} (`--all` shows them)",
            count(passed, "limit holds", "limits hold")
        );
        out.line(styled(text, FAINT));
    }
}

fn motors(setup: &Setup, work: &Work, out: &mut Out) {
    out.line("");
    let columns = ["motor", "peak step rate", "99 % of its time below", "speed", "at"];
    let mut table = Table::new(&columns, &[1, 2, 3]);
    for (motor, used) in setup.motors.iter().zip(&work.motors) {
        let Some(place) = &used.peak.place else { continue };
        table.row(
            vec![
                motor.name.clone(),
                brief(used.peak.value),
                // A bin is told by its upper edge.
                brief(used.times.below(ratio(0.99)).smaller(used.peak.value)),
                brief(used.speed),
                place.to_string(),
            ],
            None,
        );
    }
    for line in table.lines(terminal_width()) {
        out.line(line);
    }
}

fn figures(setup: &Setup, work: &Work, out: &mut Out) {
    out.line("");
    let mut table = Table::new(&["figure", "value", "at"], &[]);
    let mut row = |what: String, value: String, place: Option<&workload::Place>| {
        let place = place.map_or_else(String::new, ToString::to_string);
        table.row(vec![what, value, place], None);
    };
    let times = &work.times;
    for (what, time) in [
        ("speeding up", times.speeding_up),
        ("constant speed", times.even),
        ("slowing down", times.slowing_down),
    ] {
        row(what.to_owned(), duration(time), None);
    }
    for (at, what) in ["printed", "travelled", "filament moved alone"]
        .into_iter()
        .enumerate()
    {
        row(what.to_owned(), brief(work.lengths[at]), None);
    }
    row("plastic".to_owned(), volume(work.flow.volume), None);
    let flow = &work.flow;
    row(
        "flow, peak".to_owned(),
        brief(flow.peak.value),
        flow.peak.place.as_ref(),
    );
    row(
        "flow over a second".to_owned(),
        brief(flow.second.value),
        flow.second.place.as_ref(),
    );
    if let Some(most) = flow_by_power(setup, 0, quantity::si::celsius(220.0)) {
        row(
            "flow that the heater's power allows at 220 °C".to_owned(),
            brief(most.nominal()),
            None,
        );
    }
    let moves = &work.peak_moves;
    row(
        "moves in a second, peak".to_owned(),
        brief(moves.value),
        moves.place.as_ref(),
    );
    let lines = &work.peak_lines;
    row(
        "lines in a second, peak".to_owned(),
        brief(lines.value),
        lines.place.as_ref(),
    );
    for (link, used) in setup.links.iter().zip(&work.links) {
        let share = used.busy.base() / times.whole().base().max(1e-9) * 100.0;
        let value = format!("busy {share:.0} %, peak {} B/s", used.peak_bytes.base().round());
        row(link.name.clone(), value, used.first.as_ref());
    }
    for (heater, used) in setup.heat.heaters.iter().zip(&work.heat.heaters) {
        row(
            format!("energy, {}", heater.name),
            energy(used.energy.base()),
            None,
        );
    }
    for (fan, used) in setup.heat.fans.iter().zip(&work.heat.fans) {
        row(format!("energy, {}", fan.name), energy(used.base()), None);
    }
    for line in table.lines(terminal_width()) {
        out.line(line);
    }
}

fn energy(joule: f64) -> String {
    let watt_hours = joule / 3_600.0;
    if watt_hours >= 1_000.0 {
        format!("{:.1} kWh", watt_hours / 1_000.0)
    } else {
        format!("{watt_hours:.1} Wh")
    }
}

fn files(workload: &Workload, boards: &[BoardShown], out: &mut Out) {
    out.line("");
    let names: Vec<&str> = boards.iter().map(|board| board.board.as_str()).collect();
    let columns: Vec<&str> = ["time"]
        .into_iter()
        .chain(names.iter().copied())
        .chain(["file"])
        .collect();
    let right: Vec<usize> = (0..=names.len()).collect();
    let mut table = Table::new(&columns, &right);
    for file in workload.files.iter().take(FILES) {
        let shares = file
            .shares
            .iter()
            .map(|share| format!("{:.1} %", share.base() * 100.0));
        let cells = std::iter::once(duration(file.time)).chain(shares);
        table.row(cells.chain([file.name.to_string()]).collect(), None);
    }
    for line in table.lines(terminal_width()) {
        out.line(line);
    }
    let more = workload.files.len().saturating_sub(FILES);
    if more > 0 {
        out.line(styled(
            format!("and {} that ask for less", grouped(more as u64)),
            FAINT,
        ));
    }
}

fn occurrences(heading: &str, found: &[Occurrence], all: bool, out: &mut Out) {
    if found.is_empty() {
        return;
    }
    out.line("");
    let mut table = Table::new(&[heading, "times", "first at"], &[1]);
    let shown = if all { found.len() } else { WORDS };
    for one in found.iter().take(shown) {
        let places: Vec<String> = one.places.iter().map(ToString::to_string).collect();
        table.row(
            vec![one.what.clone(), grouped(one.count), places.join(", ")],
            None,
        );
    }
    for line in table.lines(terminal_width()) {
        out.line(line);
    }
    let more = found.len().saturating_sub(shown);
    if more > 0 {
        out.line(styled(format!("and {more} more (`--all` shows them)"), FAINT));
    }
}

fn refusals(workload: &Workload, out: &mut Out) {
    for (word, files) in [("Refused", &workload.refused), ("Incomplete", &workload.cut)] {
        if files.is_empty() {
            continue;
        }
        out.line("");
        for file in files {
            let text = format!("{word}: {}: {}.", file.name, file.why.trim_end_matches('.'));
            for line in hanging("", &text, 2, terminal_width()) {
                out.line(styled(line, style(Verdict::Fail)));
            }
        }
    }
    if workload.others > 0 {
        let text = format!(
            "{} not read: not named as G-code",
            count(workload.others, "other file was", "other files were")
        );
        out.line(styled(text, FAINT));
    }
}

/// Which pictures were written.
pub fn pictures(folder: &Path, written: &[String], out: &mut Out) {
    out.line("");
    if written.is_empty() {
        out.line("there is no picture");
        return;
    }
    let heading = format!("pictures in {}, each also narrow for a phone", folder.display());
    out.line(styled(heading, HEADING));
    for name in written.iter().filter(|name| !name.ends_with("-narrow.svg")) {
        out.line(format!("  {name}"));
    }
}
