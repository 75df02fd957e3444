//! The dossier as one document: which sections there are, in which order.

use document::{Block, Caution, Document, Figure, Figures, Paper, Section, Text};
use physics::Spread;
use plan::Verdict;
use settings::build_sheet;

use crate::about::mark;
use crate::cautions::ALWAYS;
use crate::pictures::{self, FOLDER, Pictures};
use crate::shown::Shown;
use crate::tolerances::Names;
use crate::words::{plural, sentence};
use crate::{
    alternatives, bench, comparison, curves, ends, finding, open, parts, report, setting, step, tolerances,
    wiring,
};

/// The page: what decides, what the bench needs, what to buy and to set.
pub(crate) fn page(shown: &Shown<'_>, pictures: &Pictures) -> Document {
    Document {
        front: front(shown),
        sections: sections(shown, pictures),
        ..headed(shown, Text::of(shown.swap.name.to_string()))
    }
}

/// The choice as a document of its own, on one sheet.
pub(crate) fn choice(shown: &Shown<'_>) -> Document {
    let mut front = comparison::choice(shown.plan, shown.entry, 0);
    front.id = "choice".to_owned();
    let title = format!("Boards for {}", shown.swap.machine.name);
    Document {
        front: vec![front.into()],
        sections: comparison::sheet(shown),
        ..headed(shown, Text::of(title))
    }
}

/// The settings that change as a document of its own; those that are carried over are its appendix.
pub(crate) fn settings(shown: &Shown<'_>) -> Document {
    let about = &shown.about;
    let (front, carried) = setting::paper(about, shown.material.settings);
    let title = format!("Settings for {}", shown.plan.board.name);
    let appendix = carried.map(|carried| Section::new("Appendix: carried over", carried).at("carried"));
    let build = setting::sheet(about, &build_sheet(shown.material.settings));
    Document {
        front,
        sections: [Section::new("For the build", vec![build]).at("build")]
            .into_iter()
            .chain(appendix)
            .collect(),
        ..headed(shown, Text::of(title))
    }
}

/// The bring-up as a document of its own.
pub(crate) fn steps(shown: &Shown<'_>, pictures: &Pictures) -> Document {
    let beside = step::Beside {
        close_up: &|step| pictures.close_up(step),
        see: &|step| step::see(&shown.about, step),
    };
    let mut front = step::steps(shown.material.steps, &shown.rows, &beside);
    let first = front.iter().position(|block| matches!(block, Block::Section(_)));
    let mut sections: Vec<Section> = Vec::new();
    for block in front.split_off(first.unwrap_or(front.len())) {
        match (block, sections.last_mut()) {
            (Block::Section(section), _) => {
                let place = document::anchor("phase", &section.title.words());
                sections.push(section.at(place));
            }
            (other, Some(last)) => last.blocks.push(other),
            (other, None) => front.push(other),
        }
    }
    Document {
        front,
        sections,
        ..headed(shown, step::title(shown.plan))
    }
}

/// All that stands behind the page: every check, working, measurement and source.
pub(crate) fn proof(shown: &Shown<'_>, pictures: &Pictures) -> Document {
    let title = format!(
        "Proof: {} with {}",
        shown.swap.machine.name, shown.plan.board.name
    );
    let say = "Behind every number of the page: formula, inputs, worst corner and source.";
    Document {
        front: vec![Block::say(say)],
        sections: proofs(shown, pictures),
        ..headed(shown, Text::of(title))
    }
}

fn headed(shown: &Shown<'_>, title: Text) -> Document {
    let (swap, board) = (shown.swap, shown.plan.board);
    Document {
        title,
        lead: Text::of(format!(
            "{}: {} out, {} in. Files {}.",
            swap.machine.name,
            swap.old.name,
            board.name,
            bench::fingerprint(swap)
        )),
        badge: badge(shown),
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
    let mut settings = setting::that_change(material.settings);
    settings.push(setting::elsewhere());
    let mut open = vec![Block::Caution(Caution {
        title: Text::of("Before you begin"),
        lines: ALWAYS.map(Text::of).to_vec(),
    })];
    open.extend(finding::open_points(about, &shown.chances()));
    let steps = Block::say(
        Text::of(step::totals(material.steps))
            .and(" They are in ")
            .code("checklist.html")
            .and(", to print or for a phone."),
    );
    vec![
        Section::new("Bench sheet", bench::section(shown, pictures)).at("bench"),
        Section::new("Actions required before power-on", open).at("open-points"),
        Section::new("Bill of materials", parts::parts(shown)).at("parts"),
        Section::new("Bring-up", vec![steps]).at("steps"),
        Section::new("Wiring", wiring::section(shown, pictures)).at("wiring"),
        Section::new("Settings", settings).at("settings"),
        Section::new("Board comparison", comparison::section(shown, pictures)).at("comparison"),
        Section::new("Board in the case", ends::mounting(plan, pictures)).at("mounting"),
        Section::new("What was not checked", ends::not_checked(plan)).at("not-checked"),
        Section::new("Files and versions", ends::files(shown.swap)).at("files"),
    ]
}

fn proofs(shown: &Shown<'_>, pictures: &Pictures) -> Vec<Section> {
    let (about, plan, material) = (&shown.about, shown.plan, shown.material);
    let mut chances = tolerances::chances(about, material.tally, Spread::Uniform, None, Names::Headlines);
    chances.extend(pictures.tornadoes());
    let names = pictures::evidence::names(material.evidence);
    let name = |at: usize| format!("{FOLDER}{}", names.get(at).map_or("", String::as_str));
    let evidence = report::measured(about.catalogue(), material.evidence, Some(&name));
    let remark = "Intervals are at the stated confidence. A measurement says how the machine was when it was made; \
                  it does not make the machine safe.";
    let mut measured = vec![Block::remark(remark)];
    measured.extend(evidence.into_iter().map(Block::Section));
    let mut settings = setting::settings(about, material.settings);
    settings.push(setting::sheet(about, &build_sheet(material.settings)));
    let sections = [
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
        Section::new("Wire by wire", wiring::by_wire(shown)).at("wires"),
        Section::new("Settings, each with its reason", settings).at("all-settings"),
        Section::new(
            "How the expected readings were calculated",
            step::workings(about, material.steps),
        )
        .at("readings"),
        Section::new(
            "Alternative port assignments",
            alternatives::alternatives(plan, &shown.alternatives),
        )
        .at("alternatives"),
        Section::new("Sources", ends::sources(about)).at("sources"),
    ];
    let there = |section: &Section| section.id != "evidence" || !material.evidence.is_empty();
    let record = crate::recorded::section(material.record);
    record
        .into_iter()
        .chain(sections.into_iter().filter(there))
        .collect()
}

/// How many open points the first screen tells.
pub(crate) const POINTS: usize = 3;

fn front(shown: &Shown<'_>) -> Vec<Block> {
    let (plan, entry) = (shown.plan, shown.entry);
    let mut choice = comparison::choice(plan, entry, POINTS);
    choice.id = "choice".to_owned();
    let mut blocks = vec![choice.into(), facts(shown)];
    if entry.blockers > 0 {
        let words = sentence(&format!("{} cannot be built like this", plan.board.name));
        let link = Text::default().strong(words).and(" ");
        blocks.push(Block::say(
            link.link(Some("open-points"), "What stands against it"),
        ));
    }
    blocks
}

fn facts(shown: &Shown<'_>) -> Block {
    let plan = shown.plan;
    let open = open::counts(plan);
    let passed = plural(plan.count(Verdict::Pass), "check", "checks");
    let facts = [
        ("To settle first", open),
        (
            "Passed in the worst case",
            Text::default().verdict(mark(Verdict::Pass), passed),
        ),
        (
            "Bring-up",
            Text::default().link(Some("steps"), step::totals(shown.material.steps)),
        ),
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
