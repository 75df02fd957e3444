//! The dossier as one document: which sections there are, in which order.

use document::{Block, Caution, Document, Figure, Figures, Paper, Section, Text};
use physics::Spread;
use plan::Verdict;
use settings::build_sheet;

use crate::about::mark;
use crate::cautions::ALWAYS;
use crate::pictures::{Pictures, evidence_name};
use crate::shown::Shown;
use crate::tolerances::Names;
use crate::words::{plural, sentence};
use crate::{
    alternatives, comparison, curves, ends, finding, parts, report, setting, step, tolerances, wiring,
};

/// The whole dossier.
pub(crate) fn page(shown: &Shown<'_>, pictures: &Pictures) -> Document {
    let (swap, board) = (shown.swap, shown.plan.board);
    Document {
        title: Text::of(swap.name.to_string()),
        lead: Text::of(format!(
            "{}: {} out, {} in",
            swap.machine.name, swap.old.name, board.name
        )),
        badge: badge(shown),
        front: front(shown),
        sections: sections(shown, pictures),
    }
}

/// The bring-up as a document of its own.
pub(crate) fn steps(shown: &Shown<'_>) -> Document {
    Document {
        title: step::title(shown.plan),
        badge: badge(shown),
        front: step::steps(&shown.about, shown.material.steps),
        ..Document::default()
    }
}

fn badge(shown: &Shown<'_>) -> Text {
    Text::of(if shown.invented() {
        "Invented: machine, boards and figures are made up for an example"
    } else {
        ""
    })
}

fn sections(shown: &Shown<'_>, pictures: &Pictures) -> Vec<Section> {
    let (about, plan, material) = (&shown.about, shown.plan, shown.material);
    let mut settings = setting::settings(about, material.settings);
    settings.push(setting::program(material.settings));
    settings.push(setting::sheet(about, &build_sheet(material.settings)));
    let mut chances = tolerances::chances(about, material.tally, Spread::Uniform, None, Names::Headlines);
    chances.extend(pictures.tornadoes());
    let evidence = report::measured(about.catalogue(), material.evidence, Some(&evidence_name));
    let remark = "Intervals are at the stated confidence. A measurement says how the machine was when it was made; \
                  it does not make the machine safe.";
    let mut measured = vec![Block::remark(remark)];
    measured.extend(evidence.into_iter().map(Block::Section));
    let sections = [
        Section::new("Board comparison", comparison::section(shown, pictures)).at("choice"),
        Section::new("Actions required before power-on", finding::open_points(about)).at("open-points"),
        Section::new("Bill of materials", parts::parts(shown.entry)).at("parts"),
        Section::new("Board in the case", ends::mounting(plan, pictures)).at("mounting"),
        Section::new("Wiring", wiring::section(shown, pictures)).at("wiring"),
        Section::new("Settings", settings).at("settings"),
        Section::new("Bring-up, step by step", step::steps(about, material.steps))
            .at("steps")
            .on(Paper::Columns),
        Section::new("All checks", finding::all(about, pictures.block("margins.svg")))
            .at("findings")
            .on(Paper::Columns),
        Section::new("Measurement results", measured)
            .at("evidence")
            .on(Paper::Pictures),
        Section::new(
            "Curves: torque, supply, control",
            curves::section(shown, pictures),
        )
        .at("curves")
        .on(Paper::Pictures),
        Section::new("Tolerance analysis", chances)
            .at("tolerances")
            .on(Paper::Pictures),
        Section::new(
            "Alternative port assignments",
            alternatives::alternatives(plan, &shown.alternatives),
        )
        .at("alternatives"),
        Section::new("What was not checked", ends::not_checked(plan)).at("not-checked"),
        Section::new("Sources", ends::sources(about)).at("sources"),
        Section::new("Files and versions", ends::files(shown.swap)).at("files"),
    ];
    let there = |section: &Section| section.id != "evidence" || !material.evidence.is_empty();
    sections.into_iter().filter(there).collect()
}

fn front(shown: &Shown<'_>) -> Vec<Block> {
    let (plan, entry) = (shown.plan, shown.entry);
    let mut blocks = vec![facts(shown)];
    if entry.blockers > 0 {
        let words = sentence(&format!("{} cannot be built like this", plan.board.name));
        let link = Text::default().strong(words).and(" ");
        blocks.push(Block::say(
            link.link(Some("open-points"), "What stands against it"),
        ));
    }
    blocks.push(Block::Caution(Caution {
        title: Text::of("Before you begin"),
        lines: ALWAYS.map(Text::of).to_vec(),
    }));
    blocks
}

fn facts(shown: &Shown<'_>) -> Block {
    let (plan, entry) = (shown.plan, shown.entry);
    let open = finding::all_counts(plan, &[Verdict::Blocker, Verdict::Caution]);
    let passed = plural(plan.count(Verdict::Pass), "check", "checks");
    let cables = plural(entry.cables_to_work_on, "lead", "leads");
    let proof = if plan.optimum.proved {
        "proved best"
    } else {
        "not proved best"
    };
    let price = entry
        .price
        .map_or_else(|| "not stated".to_owned(), |price| price.to_string());
    let facts = [
        ("Board", Text::of(plan.board.name.to_string())),
        ("Price with everything it needs", Text::of(price)),
        ("To settle first", open),
        (
            "Passed at the worst corner",
            Text::default().verdict(mark(Verdict::Pass), passed),
        ),
        (
            "Wishes",
            Text::of(format!("{} of {} points served", entry.wishes.0, entry.wishes.1)),
        ),
        (
            "Work on leads",
            Text::of(format!("about {} min, {cables}", entry.minutes)),
        ),
        ("Wiring", Text::default().link(Some("alternatives"), proof)),
    ];
    let items = facts.into_iter().map(|(name, value)| Figure {
        name: Text::of(name),
        value,
        confidence: None,
    });
    Block::Figures(Figures {
        items: items.collect(),
        glance: true,
    })
}
