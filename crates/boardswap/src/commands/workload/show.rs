//! The screen: the verdict, one for each board, what does not hold and what to do, and the figures behind it.

use document::{Block, Column, Document, Mark, Phone, Picture, Row, Section, Table, Text};
use plan::Comparison;
use quantity::si::{Time, ratio};
use quantity::{Number as _, Quantity, Value};
use workload::words::{count, duration, grouped, volume};
use workload::{Finding, Occurrence, Place, Purpose, Setup, Verdict, Work, Workload, flow_by_power};

use super::{BoardShown, Compared};

/// Files that are listed one by one.
const FILES: usize = 10;

/// Kinds of occurrences that are listed without `--all`.
const WORDS: usize = 12;

/// What is shown.
pub struct Screen<'a> {
    /// The machine and its boards.
    pub setup: &'a Setup,
    /// What the files ask for.
    pub workload: &'a Workload,
    /// The verdict on each board.
    pub boards: &'a [BoardShown],
    /// The answers to the other questions.
    pub findings: &'a [Finding],
    /// The board whose controller's words count.
    pub words_of: &'a str,
    /// Whether what passes is shown too, and each file.
    pub all: bool,
    /// The pictures that were written, each with its path.
    pub pictures: Vec<String>,
}

fn mark(verdict: Verdict) -> Mark {
    match verdict {
        Verdict::Pass => Mark::Pass,
        Verdict::Open => Mark::Caution,
        Verdict::Fail => Mark::Stop,
    }
}

fn said(verdict: Verdict) -> Text {
    Text::default().verdict(mark(verdict), verdict.word())
}

fn brief<Q: Quantity>(quantity: Q) -> String {
    let value = Value::exact(quantity).into();
    quantity::show(&value, quantity::Digits::new(3))
}

impl Screen<'_> {
    /// All of it.
    pub fn document(&self) -> Document {
        let mut blocks = Vec::new();
        let mut title = Text::of("Workload: no file was read");
        let mut lead = Text::default();
        if let Some(work) = &self.workload.total {
            title = self.title(work);
            lead = times(work);
            blocks.push(self.boards(work));
            blocks.extend(self.findings());
            blocks.push(self.motors(work));
            if self.all {
                blocks.push(self.figures(work));
                blocks.extend(self.files());
            }
            let unknown = format!("Not seen in the controller of {}", self.words_of);
            for (heading, found) in [
                (unknown.as_str(), &work.unknown_words),
                ("Time not counted", &work.unmodelled_words),
                ("Skipped", &work.troubles),
            ] {
                blocks.extend(self.occurrences(heading, found));
            }
        }
        blocks.extend(self.refusals());
        blocks.extend(self.pictures.iter().map(|path| {
            Block::Picture(Picture {
                name: path.clone(),
                is_file: true,
                ..Picture::default()
            })
        }));
        Document {
            title,
            lead,
            front: blocks,
            ..Document::default()
        }
    }

    fn title(&self, work: &Work) -> Text {
        let title = format!("Workload of {}: ", count(work.programs, "file", "files"));
        let worst = super::worst(self.workload, self.boards, self.findings);
        Text::of(title).join(said(worst)).and(format!(
            "; {}, {} of motion",
            count(work.moves, "move", "moves"),
            duration(work.times.motion())
        ))
    }

    fn boards(&self, work: &Work) -> Block {
        let one = |(at, shown): (usize, &BoardShown)| {
            let (board, asked) = (&self.setup.boards[at], &work.boards[at]);
            let place = asked.peak.place.as_ref();
            let place = place.map_or_else(String::new, |place| format!(" at {place}"));
            let above = if asked.above > Time::from_base(0.0) {
                format!(" Above the limit for {}.", duration(asked.above))
            } else {
                String::new()
            };
            let text = format!(
                ": {}. Peak {}{place}; limit {}.{above}",
                shown.sentence,
                brief(asked.peak.value),
                brief(board.step_rate * board.share),
            );
            Row::of([Text::of(&board.name), said(shown.verdict).and(text)]).marked(mark(shown.verdict))
        };
        let rows: Vec<Row> = self.boards.iter().enumerate().map(one).collect();
        Table::new([Column::short("Board"), Column::text("")], rows).into()
    }

    fn findings(&self) -> Vec<Block> {
        let (shown, passed): (Vec<&Finding>, Vec<&Finding>) = self
            .findings
            .iter()
            .partition(|finding| self.all || finding.verdict != Verdict::Pass);
        let mut blocks: Vec<Block> = shown
            .into_iter()
            .map(|finding| {
                let remedy = finding.remedy.as_ref();
                let remedy = remedy.map_or_else(String::new, |remedy| format!(" Do: {remedy}"));
                Block::say(said(finding.verdict).and(format!(": {}{remedy}", finding.sentence)))
            })
            .collect();
        if !passed.is_empty() {
            let passed = count(passed.len() as u64, "limit holds", "limits hold");
            blocks.push(Block::remark(format!("{passed} (`--all` shows them)")));
        }
        blocks
    }

    fn motors(&self, work: &Work) -> Block {
        let columns = [
            Column::short("Motor"),
            Column::number("Peak step rate"),
            Column::number("99 % of its time below"),
            Column::number("Speed"),
            Column::short("At"),
        ];
        let rows = self.setup.motors.iter().zip(&work.motors);
        let rows = rows.filter_map(|(motor, used)| {
            let place = used.peak.place.as_ref()?;
            Some(Row::of([
                motor.name.clone(),
                brief(used.peak.value),
                // A bin is told by its upper edge.
                brief(used.times.below(ratio(0.99)).smaller(used.peak.value)),
                brief(used.speed),
                place.to_string(),
            ]))
        });
        let rows: Vec<Row> = rows.collect();
        Table::new(columns, rows).into()
    }

    fn figures(&self, work: &Work) -> Block {
        let mut rows = Vec::new();
        let mut row = |what: String, value: String, place: Option<&Place>| {
            let place = place.map_or_else(String::new, ToString::to_string);
            rows.push(Row::of([what, value, place]));
        };
        let times = &work.times;
        for (what, time) in [
            ("accelerating", times.speeding_up),
            ("constant speed", times.even),
            ("decelerating", times.slowing_down),
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
        let mut peak = |what: &str, value: String, place: &Option<Place>| {
            row(what.to_owned(), value, place.as_ref());
        };
        peak("flow, peak", brief(flow.peak.value), &flow.peak.place);
        peak("flow over a second", brief(flow.second.value), &flow.second.place);
        if let Some(most) = flow_by_power(self.setup, 0, quantity::si::celsius(220.0)) {
            let what = "flow that the heater's power allows at 220 °C";
            peak(what, brief(most.nominal()), &None);
        }
        let (moves, lines) = (&work.peak_moves, &work.peak_lines);
        peak("moves in a second, peak", brief(moves.value), &moves.place);
        peak("lines in a second, peak", brief(lines.value), &lines.place);
        for (link, used) in self.setup.links.iter().zip(&work.links) {
            let share = used.busy.base() / times.whole().base().max(1e-9) * 100.0;
            let value = format!("busy {share:.0} %, peak {} B/s", used.peak_bytes.base().round());
            row(link.name.clone(), value, used.first.as_ref());
        }
        let heat = &self.setup.heat;
        for (heater, used) in heat.heaters.iter().zip(&work.heat.heaters) {
            let value = energy(used.energy.base());
            row(format!("energy, {}", heater.name), value, None);
        }
        for (fan, used) in heat.fans.iter().zip(&work.heat.fans) {
            row(format!("energy, {}", fan.name), energy(used.base()), None);
        }
        let columns = [
            Column::short("Figure"),
            Column::number("Value"),
            Column::short("At"),
        ];
        Table::new(columns, rows).into()
    }

    fn files(&self) -> Vec<Block> {
        let names = self.boards.iter().map(|board| Column::number(&board.board));
        let columns: Vec<Column> = std::iter::once(Column::number("Time"))
            .chain(names)
            .chain([Column::short("File")])
            .collect();
        let rows = self.workload.files.iter().take(FILES).map(|file| {
            let shares = file
                .shares
                .iter()
                .map(|share| format!("{:.1} %", share.base() * 100.0));
            let cells = std::iter::once(duration(file.time)).chain(shares);
            Row::of(cells.chain([file.name.to_string()]))
        });
        let rows: Vec<Row> = rows.collect();
        let mut blocks = vec![Table::new(columns, rows).phone(Phone::Scroll).into()];
        let more = self.workload.files.len().saturating_sub(FILES);
        if more > 0 {
            blocks.push(Block::remark(format!(
                "and {} that ask for less",
                grouped(more as u64)
            )));
        }
        blocks
    }

    fn occurrences(&self, heading: &str, found: &[Occurrence]) -> Vec<Block> {
        if found.is_empty() {
            return Vec::new();
        }
        let shown = if self.all { found.len() } else { WORDS };
        let rows = found.iter().take(shown).map(|one| {
            let places: Vec<String> = one.places.iter().map(ToString::to_string).collect();
            Row::of([one.what.clone(), grouped(one.count), places.join(", ")])
        });
        let rows: Vec<Row> = rows.collect();
        let columns = [
            Column::text(heading),
            Column::number("Times"),
            Column::text("First at"),
        ];
        let mut blocks = vec![Table::new(columns, rows).into()];
        let more = found.len().saturating_sub(shown);
        if more > 0 {
            blocks.push(Block::remark(format!("and {more} more (`--all` shows them)")));
        }
        blocks
    }

    fn refusals(&self) -> Vec<Block> {
        let mut blocks = Vec::new();
        for (word, files) in [
            ("Refused", &self.workload.refused),
            ("Incomplete", &self.workload.cut),
        ] {
            blocks.extend(files.iter().map(|file| {
                let text = format!(": {}: {}.", file.name, file.why.trim_end_matches('.'));
                Block::say(Text::default().verdict(Mark::Stop, word).and(text))
            }));
        }
        if self.workload.others > 0 {
            blocks.push(Block::remark(format!(
                "{} not read: not named as G-code",
                count(self.workload.others, "other file was", "other files were")
            )));
        }
        blocks
    }
}

/// What the owner's G-code asks of each board, in the order of a comparison.
pub fn compared(compared: &Compared, comparison: &Comparison) -> Block {
    let blocks = match compared {
        Compared::Boards(boards) => {
            let entries = comparison.entries.iter();
            let rows = entries.filter_map(|entry| {
                let shown = boards.get(entry.candidate)?;
                let text = said(shown.verdict).and(format!(": {}", shown.sentence));
                Some(Row::of([Text::of(&shown.board), text]).marked(mark(shown.verdict)))
            });
            let rows: Vec<Row> = rows.collect();
            let more = "More, with the places: boardswap workload";
            vec![
                Table::new([Column::short("Board"), Column::text("")], rows).into(),
                Block::remark(more),
            ]
        }
        Compared::Unread(why) => {
            let text = format!(": {why}. Do: correct `[[workload]]` in swap.toml.");
            vec![Block::say(said(Verdict::Open).and(text))]
        }
    };
    Section::new("Your own G-code", blocks).into()
}

/// Where the time goes.
fn times(work: &Work) -> Text {
    let times = &work.times;
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
    Text::default().quiet(parts.join(", "))
}

fn energy(joule: f64) -> String {
    let watt_hours = joule / 3_600.0;
    if watt_hours >= 1_000.0 {
        format!("{:.1} kWh", watt_hours / 1_000.0)
    } else {
        format!("{watt_hours:.1} Wh")
    }
}
