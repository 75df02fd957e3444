//! The dossier as Markdown, for publishing: the same content, workings of blockers and cautions included.

use plan::{Finding, Group, Verdict};

use crate::cautions::{ALWAYS, BEFORE_WIRING};
use crate::page::{NOT_CHECKED, silent};
use crate::pictures::{evidence_name, heat_up, torque, torque_name};
use crate::sheets::figures;
use crate::shown::{Shown, title_of};
use crate::words::{
    capital, chance, corners, counted, rooms, sentence, share, spare, tightest, value_and_limit,
};

/// Lines of Markdown; text of users goes through [`text`].
#[derive(Default)]
struct Page(String);

impl Page {
    fn line(&mut self, line: impl AsRef<str>) {
        self.0.push_str(line.as_ref());
        self.0.push('\n');
    }
    fn paragraph(&mut self, words: impl AsRef<str>) {
        self.line(words);
        self.line("");
    }
    fn finish(self) -> String {
        format!("{}\n", self.0.trim_end())
    }
    fn heading(&mut self, level: usize, words: &str) {
        self.paragraph(format!("{} {}", "#".repeat(level), text(words)));
    }
    fn items<T: AsRef<str>>(&mut self, items: impl IntoIterator<Item = T>) {
        for item in items {
            self.line(format!("- {}", item.as_ref()));
        }
        self.line("");
    }
    fn table(&mut self, headings: &[&str], rows: impl IntoIterator<Item = Vec<String>>) {
        self.line(format!("| {} |", headings.join(" | ")));
        self.line(format!("|{}", " --- |".repeat(headings.len())));
        for row in rows {
            let mut cells: Vec<String> = row.iter().map(|cell| text(cell)).collect();
            // A row that has less to say leaves its last cells empty.
            cells.resize(headings.len().max(cells.len()), String::new());
            self.line(format!("| {} |", cells.join(" | ")));
        }
        self.line("");
    }
}

/// Text that cannot be taken for markup, in a paragraph or in a cell of a table.
fn text(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for character in words.chars() {
        match character {
            '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '#' | '~' | '$' | '!' => {
                out.push('\\');
                out.push(character);
            }
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '\n' | '\r' | '\t' => out.push(' '),
            other => out.push(other),
        }
    }
    out
}

/// The whole text.
pub(crate) fn markdown(shown: &Shown<'_>) -> String {
    let mut page = Page::default();
    head(&mut page, shown);
    choice(&mut page, shown);
    open_points(&mut page, shown);
    wiring(&mut page, shown);
    parts(&mut page, shown);
    settings(&mut page, shown);
    page.heading(2, "Bring-up, step by step");
    bring_up(&mut page, shown, 3);
    evidence(&mut page, shown);
    findings(&mut page, shown);
    curves(&mut page, shown);
    chances(&mut page, shown);
    ends(&mut page, shown);
    page.finish()
}

fn head(page: &mut Page, shown: &Shown<'_>) {
    let (swap, board) = (shown.swap, shown.plan.board);
    page.heading(1, &swap.name);
    page.paragraph(text(&format!(
        "{}: {} out, {} in.",
        swap.machine.name, swap.old.name, board.name
    )));
    invented(page, shown);
    page.heading(2, "Before you begin");
    page.items(ALWAYS);
}

fn invented(page: &mut Page, shown: &Shown<'_>) {
    if shown.invented() {
        page.paragraph("**Invented: machine, boards and figures are made up for an example.**");
    }
}

fn choice(page: &mut Page, shown: &Shown<'_>) {
    page.heading(2, "Which board");
    for (at, entry) in shown.material.comparison.entries.iter().enumerate() {
        page.line(format!(
            "{}. **{}**: {}",
            at + 1,
            text(&entry.board),
            text(&sentence(&entry.because))
        ));
    }
    page.line("");
    page.paragraph("![The candidates side by side](comparison.svg)");
    let rows = shown.material.comparison.entries.iter().map(|entry| {
        vec![
            entry.board.clone(),
            entry.blockers.to_string(),
            entry.cautions.to_string(),
            format!("{} of {}", entry.wishes.0, entry.wishes.1),
            entry
                .price
                .map_or_else(|| "not stated".to_owned(), |price| price.to_string()),
            entry.settings.to_string(),
            format!("{} min", entry.minutes),
            tightest(entry),
            (if entry.pareto { "yes" } else { "no" }).to_owned(),
        ]
    });
    page.table(
        &[
            "board",
            "blockers",
            "cautions",
            "wishes",
            "price with parts",
            "settings",
            "work",
            "tightest limits that hold",
            "Pareto front",
        ],
        rows,
    );
}

fn open_points(page: &mut Page, shown: &Shown<'_>) {
    page.heading(2, "Settle these first");
    let points = shown.plan.open_points();
    if points.is_empty() {
        page.paragraph("Nothing: no check found a blocker or a caution.");
    }
    for finding in points {
        page.heading(
            3,
            &format!("{}: {}", capital(finding.verdict.word()), finding.headline),
        );
        numbers(page, finding);
        if let Some(remedy) = &finding.remedy {
            page.paragraph(format!("**Do:** {}", text(remedy)));
        }
        for part in &finding.parts {
            page.paragraph(format!("**Needs:** {} × {}", part.count, text(&part.name)));
        }
        for working in &finding.working {
            page.line(format!("{}:", capital(working.formula.title)));
            page.line("");
            for line in [
                working.law().to_owned(),
                working.with_numbers(),
                working.result_line(),
            ] {
                page.line(format!("    {}", line.replace(['\n', '\r'], " ")));
            }
            page.line("");
            let corners = corners(working).map_or_else(String::new, |corners| {
                format!("The result is {}. ", text(&corners))
            });
            page.paragraph(format!(
                "{corners}Formula from: {}.",
                text(&shown.formula_source(working))
            ));
        }
        page.paragraph(format!("From: {}.", text(shown.citation(finding.source))));
    }
}

fn numbers(page: &mut Page, finding: &Finding) {
    if let Some((value, limit)) = value_and_limit(finding) {
        let room = finding
            .margin
            .map_or_else(String::new, |margin| format!("; {}", spare(margin)));
        page.paragraph(text(&format!("Value {value}; limit {limit}{room}.")));
    }
}

fn wiring(page: &mut Page, shown: &Shown<'_>) {
    page.heading(2, "Wiring");
    page.paragraph(format!("> {BEFORE_WIRING}"));
    page.paragraph("![Wiring](wiring.svg)");
    let rows = shown.rows.iter().map(|row| {
        let actions: Vec<&str> = row.actions.iter().map(|action| action.words.as_str()).collect();
        vec![
            row.tag.clone(),
            row.device.clone(),
            row.old_port.clone().unwrap_or_else(|| "new".to_owned()),
            row.new_port.clone().unwrap_or_else(|| "left off".to_owned()),
            actions.join("; "),
        ]
    });
    page.table(&["tag", "device", "from", "to", "do"], rows);
    page.heading(3, "Wire by wire");
    let rows = shown.rows.iter().flat_map(|row| {
        row.wires.iter().map(|wire| {
            vec![
                row.tag.clone(),
                wire.colour.clone(),
                wire.function.clone(),
                wire.old_pin.to_string(),
                match (wire.new_pin, &wire.new_function) {
                    (Some(pin), Some(function)) => format!("{pin} ({function})"),
                    _ => "–".to_owned(),
                },
            ]
        })
    });
    page.table(&["tag", "wire", "for", "old pin", "new pin"], rows);
}

fn parts(page: &mut Page, shown: &Shown<'_>) {
    page.heading(2, "Parts to buy");
    let shopping = &shown.entry.shopping;
    let price = |price: Option<quantity::Price>| {
        price.map_or_else(|| "not stated".to_owned(), |price| price.to_string())
    };
    let rows = shopping.lines.iter().map(|line| {
        vec![
            line.name.clone(),
            line.count.to_string(),
            price(line.each),
            line.purpose.clone(),
        ]
    });
    page.table(&["part", "count", "each", "for"], rows);
    page.paragraph(format!("Sum: **{}**.", price(shopping.sum)));
    if !shopping.not_summed.is_empty() {
        page.paragraph(format!(
            "Not in the sum: {}.",
            text(&shopping.not_summed.join(", "))
        ));
    }
}

fn settings(page: &mut Page, shown: &Shown<'_>) {
    page.heading(2, "Settings");
    page.paragraph(
        "The lines for a running controller are in `settings.gcode`, the rest in `build-sheet.txt`.",
    );
    let all = &shown.material.settings.settings;
    let rows = all.iter().map(|setting| {
        let mark = if setting.caution { "Read this: " } else { "" };
        vec![
            format!("{}, {}", setting.title, setting.of),
            setting.fate.word().to_owned(),
            setting.old_text().unwrap_or_else(|| "–".to_owned()),
            setting.new_text().unwrap_or_else(|| "–".to_owned()),
            format!("{mark}{}", sentence(&setting.reason)),
        ]
    });
    page.table(&["setting", "fate", "old", "new", "why"], rows);
    let unread = shown.material.settings.not_used();
    if !unread.is_empty() {
        page.paragraph("Not used of what was captured:");
        page.items(unread.iter().map(|line| {
            text(&format!(
                "{}:{}: {} ({})",
                line.path,
                line.line,
                line.text.trim(),
                line.reason
            ))
        }));
    }
}

fn bring_up(page: &mut Page, shown: &Shown<'_>, level: usize) {
    page.items(bringup::cautions().iter().map(|caution| text(caution)));
    let mut phase = None;
    for (at, step) in shown.material.steps.iter().enumerate() {
        if phase != Some(step.phase) {
            phase = Some(step.phase);
            page.heading(level, step.phase.title());
        }
        page.heading(level + 1, &format!("{}. {}", at + 1, step.title));
        page.paragraph(text(&sentence(&step.why)));
        if let Some(hazard) = &step.hazard {
            page.paragraph(format!("**Caution:** {}", text(&sentence(hazard))));
        }
        page.items(step.actions.iter().map(|action| text(&sentence(action))));
        if !step.expected.is_empty() {
            page.items(step.expected.iter().map(|expected| {
                format!(
                    "[ ] {}: **{}**, read: \\_\\_\\_\\_\\_\\_",
                    text(&capital(&expected.what)),
                    text(&expected.words())
                )
            }));
        }
        if !step.otherwise.is_empty() {
            page.paragraph(format!(
                "Otherwise: {}",
                text(&sentence(&step.otherwise.join("; ")))
            ));
        }
    }
}

fn evidence(page: &mut Page, shown: &Shown<'_>) {
    if shown.material.evidence.is_empty() {
        return;
    }
    page.heading(2, "What was measured");
    let mut drawn = 0;
    for measured in shown.material.evidence {
        if let Err(refused) = &measured.outcome {
            page.heading(3, measured.kind.word());
            page.paragraph(format!(
                "**Refused:** {} {}",
                text(&sentence(&refused.problem)),
                text(&sentence(&refused.mend))
            ));
            page.items(refused.troubles.iter().map(|trouble| text(&trouble.to_string())));
        }
        for report in measured.reports() {
            drawn = self::report(page, report, drawn);
        }
        let board = measured
            .board
            .as_ref()
            .map(|board| format!(", measured on {board}"));
        page.paragraph(text(&format!(
            "From {} ({}{}).",
            measured.file,
            measured.kind,
            board.unwrap_or_default()
        )));
    }
}

/// One report; `drawn` pictures stand before it, the number with its own comes back.
fn report(page: &mut Page, report: &evidence::Report, drawn: usize) -> usize {
    page.heading(3, &report.title);
    page.paragraph(format!(
        "**{}:** {}",
        capital(report.verdict.word()),
        text(&sentence(&report.sentence))
    ));
    if !report.figures.is_empty() {
        page.items(report.figures.iter().map(|figure| {
            let confidence = figure
                .confidence
                .map(|share| format!(" ({} %)", (share * 1000.0).round() / 10.0));
            text(&format!(
                "{}: {}{}",
                figure.what,
                figure.shown(),
                confidence.unwrap_or_default()
            ))
        }));
    }
    if !report.advice.is_empty() {
        page.items(report.advice.iter().map(|advice| {
            let word = if advice.helps { "Helps" } else { "Does not help" };
            format!("**{word}:** {}", text(&sentence(&advice.sentence)))
        }));
    }
    for at in drawn..drawn + report.pictures.len() {
        page.paragraph(format!("![{}]({})", text(&report.title), evidence_name(at)));
    }
    for table in &report.tables {
        page.paragraph(format!("{}:", text(&table.title)));
        let columns: Vec<&str> = table.columns.iter().map(String::as_str).collect();
        let rows = table.rows.iter().map(|row| {
            let mut cells = row.cells.clone();
            if row.chosen
                && let Some(first) = cells.first_mut()
            {
                first.push_str(" (take this)");
            }
            cells
        });
        page.table(&columns, rows);
    }
    if !report.troubles.is_empty() {
        page.paragraph("Remarks on the file:");
        page.items(report.troubles.iter().map(|trouble| text(&trouble.to_string())));
    }
    drawn + report.pictures.len()
}

/// The bring-up as a document of its own.
pub(crate) fn steps(shown: &Shown<'_>) -> String {
    let mut page = Page::default();
    page.heading(
        1,
        &format!(
            "Bring-up of {} with {}",
            shown.swap.machine.name, shown.plan.board.name
        ),
    );
    invented(&mut page, shown);
    bring_up(&mut page, shown, 2);
    page.finish()
}

fn findings(page: &mut Page, shown: &Shown<'_>) {
    page.heading(2, "All checks");
    let counts: Vec<String> = Verdict::WORST_FIRST
        .iter()
        .map(|verdict| counted(shown.plan.count(*verdict), *verdict))
        .collect();
    page.paragraph(format!("{}.", counts.join(", ")));
    if shown.plan.findings.iter().any(|finding| finding.margin.is_some()) {
        page.paragraph("![Room to the limits](margins.svg)");
    }
    for group in Group::ALL {
        let findings = shown.of_group(group);
        if findings.is_empty() {
            continue;
        }
        page.heading(3, group.title());
        let rows = findings.into_iter().map(|finding| {
            vec![
                finding.verdict.word().to_owned(),
                title_of(finding).to_owned(),
                finding.headline.clone(),
                finding.margin.map_or_else(String::new, share),
            ]
        });
        page.table(&["verdict", "check", "found", "room"], rows);
    }
}

fn curves(page: &mut Page, shown: &Shown<'_>) {
    if !shown.curves.is_empty() {
        page.heading(2, "Torque over speed");
    }
    for (at, curve) in shown.curves.iter().enumerate() {
        page.paragraph(format!("![{}]({})", text(&torque::title(curve)), torque_name(at)));
        page.paragraph(text(&torque::words(curve)));
    }
    if let Some(courses) = &shown.heat_up {
        page.heading(2, heat_up::TITLE);
        page.paragraph(format!("![{}](heat-up.svg)", heat_up::TITLE));
        page.paragraph(text(&courses.words()));
    }
    if !shown.control.is_empty() {
        page.heading(2, "How the control would hold");
        page.paragraph(
            "Settings by published rules, each run against this part and this thermometer input; the first is the one to begin with. \
             Overshoot, settling and swing as named, then the worst of that and both corners of the tolerances. Tune at the bring-up, under watch. All figures: `temperature-control.csv`.",
        );
    }
    for held in &shown.control {
        page.heading(3, &held.heater);
        let rows = held.predictions.iter().map(|row| {
            let [
                gain,
                integral,
                derivative,
                ..,
                margin,
                overshoot,
                overshoot_worst,
                settled,
                settled_worst,
                swing,
                swing_worst,
            ] = figures(row);
            vec![
                row.rule.to_owned(),
                gain,
                integral,
                derivative,
                format!("{overshoot}; {overshoot_worst}"),
                format!("{settled}; {settled_worst}"),
                format!("{swing}; {swing_worst}"),
                margin,
            ]
        });
        page.table(
            &[
                "rule",
                "gain, % per K",
                "integral time, s",
                "derivative time, s",
                "overshoot, K; worst",
                "within 1 K after, s; worst",
                "swing, K; worst",
                "gain margin, liveliest",
            ],
            rows,
        );
    }
}

fn chances(page: &mut Page, shown: &Shown<'_>) {
    let tally = shown.material.tally;
    page.heading(2, "How likely the limits hold");
    page.paragraph(format!(
        "Of {} machines, each of {} values drawn anywhere within its tolerance: nothing is a blocker on {}; nothing is a blocker or \
         a caution on {}.",
        tally.without_blocker.draws,
        shown.material.draws.inputs().len(),
        chance(tally.without_blocker),
        chance(tally.without_caution),
    ));
    let headings = [
        "broken at the worst corner",
        "holds on",
        "room at worst",
        "5 % below",
        "half below",
    ];
    let rows: Vec<Vec<String>> = shown
        .plan
        .broken()
        .into_iter()
        .map(|at| {
            let (finding, kept) = (&shown.plan.findings[at], &tally.findings[at]);
            let mut row = vec![finding.headline.clone(), chance(kept.chance)];
            row.extend(rooms(finding, kept));
            row
        })
        .collect();
    if !rows.is_empty() {
        page.table(&headings, rows);
    }
}

fn ends(page: &mut Page, shown: &Shown<'_>) {
    page.heading(2, "Other ways to wire it");
    page.paragraph(text(&format!(
        "The wiring above is {}",
        sentence(&shown.plan.optimum.proof)
    )));
    for (at, alternative) in shown.alternatives.iter().enumerate() {
        let moves: Vec<String> = alternative
            .moved
            .iter()
            .map(|id| {
                let place = alternative.ways[id.0]
                    .map_or_else(|| "left off".to_owned(), |way| plan::words(shown.plan, way));
                format!("{} {place}", shown.swap.machine.device(*id).tag)
            })
            .collect();
        let words = format!(
            "{}; it costs {} more.",
            moves.join("; "),
            alternative.more.words()
        );
        page.line(format!("{}. {}", at + 1, text(&words)));
    }
    page.line("");
    page.heading(2, "What was not checked");
    page.items(NOT_CHECKED);
    let silent = silent(shown);
    if !silent.is_empty() {
        page.paragraph(format!(
            "Checks that found nothing to look at on this board: {}.",
            silent.join(", ")
        ));
    }
    page.heading(2, "Sources");
    page.items(shown.sources().into_iter().map(|key| text(shown.citation(key))));
    page.heading(2, "Files and versions");
    page.paragraph(format!(
        "Computed by Boardswap {} from:",
        env!("CARGO_PKG_VERSION")
    ));
    page.items(shown.swap.sources.files().iter().map(|file| text(&file.path)));
}
