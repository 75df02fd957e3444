//! The documents of a dossier: the text, well-formed pages, and that what people wrote stays text.

mod absurd;
mod bad_input;
mod evidence;
mod joined;
mod markup;
mod sentences;
mod support;

use dossier::File;
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};
use support::{Folder, dossier_of, example, text_of};

fn html(documents: &[File]) -> &str {
    text_of(documents, "report.html")
}

/// The pages, each with the page that its links to places elsewhere lead to.
const PAGES: [(&str, &str); 6] = [
    ("report.html", "proof/proof.html"),
    ("checklist.html", "report.html"),
    ("choice.html", "report.html"),
    ("settings.html", "report.html"),
    ("proof/proof.html", "../report.html"),
    ("bench-sheet.html", ""),
];

/// Only the findings of three checks: the text must not change with each check that is added.
#[test]
fn the_markdown_of_the_second_example() {
    let documents = dossier_of(&example("second"), 0, &["port-current", "unassigned", "wishes"]);
    insta::assert_snapshot!(text_of(&documents, "proof/report.md"));
}

#[test]
fn the_steps_read_well() {
    let documents = dossier_of(&example("second"), 0, &[]);
    insta::assert_snapshot!(text_of(&documents, "proof/checklist.md"));
}

#[test]
fn the_build_sheet_of_the_demonstration() {
    let documents = dossier_of(&example("demo"), 0, &[]);
    insta::assert_snapshot!(text_of(&documents, "tables/build-sheet.txt"));
}

#[test]
fn the_page_is_well_formed_for_every_board() {
    for name in ["demo", "second"] {
        let folder = example(name);
        for shown in 0..support::candidates(&folder) {
            let documents = dossier_of(&folder, shown, &[]);
            for (name, _) in PAGES {
                markup::assert_well_formed(text_of(&documents, name));
            }
        }
    }
}

#[test]
fn every_picture_is_well_formed() {
    let documents = dossier_of(&example("demo"), 1, &[]);
    let pictures: Vec<_> = documents
        .iter()
        .filter(|document| document.name.ends_with(".svg"))
        .collect();
    assert!(pictures.len() >= 6);
    for picture in pictures {
        roxmltree::Document::parse(&picture.text).unwrap_or_else(|error| panic!("{}: {error}", picture.name));
    }
}

#[test]
fn identifiers_are_unique_and_links_lead_somewhere() {
    for shown in 0..4 {
        let documents = dossier_of(&example("demo"), shown, &[]);
        for (name, elsewhere) in PAGES {
            let page = markup::Page::of(text_of(&documents, name));
            let mut ids = page.values("id");
            ids.sort_unstable();
            let count = ids.len();
            ids.dedup();
            assert_eq!(count, ids.len(), "{name}: an identifier stands twice");
            let other = elsewhere.trim_start_matches("../");
            let there = documents.iter().find(|document| document.name == other);
            let there = there.map(|document| markup::Page::of(&document.text));
            let there = there.as_ref().map(|page| page.values("id")).unwrap_or_default();
            for link in page.values("href") {
                match link.strip_prefix('#') {
                    Some(place) => assert!(ids.contains(&place), "{name}: {link}"),
                    None => {
                        let place = link
                            .strip_prefix(elsewhere)
                            .and_then(|link| link.strip_prefix('#'));
                        let place = place.unwrap_or_else(|| panic!("{name}: {link}"));
                        assert!(there.contains(&place), "{name}: {link} leads nowhere");
                    }
                }
            }
        }
    }
}

/// Nothing is fetched: no element that could, and no address but in the text of citations.
#[test]
fn the_page_refers_to_nothing_outside() {
    let documents = dossier_of(&example("demo"), 1, &[]);
    let page = markup::Page::of(html(&documents));
    for name in [
        "script", "link", "img", "iframe", "object", "embed", "base", "form", "audio", "video", "image",
    ] {
        assert!(!page.elements().any(|own| own == name), "there is a <{name}>");
    }
    for (element, attribute, value) in page.attributes() {
        let namespace = attribute == "xmlns";
        assert!(
            namespace || !value.contains("//"),
            "{element} {attribute}={value}"
        );
        assert!(!attribute.starts_with("on"), "{element} {attribute}={value}");
        assert!(
            attribute != "href" || value.starts_with('#') || value.starts_with("proof/proof.html#"),
            "{element} {attribute}={value}"
        );
    }
    for style in html(&documents).split("<style>").skip(1) {
        let style = style.split("</style>").next().unwrap_or("");
        assert!(!style.contains("url(") && !style.contains("@import"));
    }
}

/// Names come from files that may come from strangers.
#[test]
fn what_people_wrote_stays_text() {
    let evil = "<script>alert(1)</script>|`*_[x](javascript:y) & ";
    let mut folder = example("demo");
    let swaps = [
        ("swap.toml", "A quieter board for the Dunnock"),
        ("swap.toml", "light on the print"),
        ("machine.toml", "part fan"),
        ("machine.toml", "Dunnock 230"),
        ("machine.toml", "fan in the lid"),
    ];
    for (file, name) in swaps {
        replace(
            &mut folder,
            file,
            &format!("\"{name}\""),
            &format!("'''{evil}{name}'''"),
        );
    }
    let documents = dossier_of(&folder, 1, &[]);
    let page = markup::Page::of(html(&documents));
    markup::assert_well_formed(html(&documents));
    assert!(!page.elements().any(|name| name == "script"));
    assert!(html(&documents).contains("&lt;script&gt;alert(1)"));
    let markdown = text_of(&documents, "proof/report.md");
    assert!(markdown.contains("&lt;script>alert(1)"));
    // What a reader of Markdown takes for markup; names in code marks may hold signs, and stay code.
    let markup: Vec<Event<'_>> = Parser::new_ext(markdown, Options::ENABLE_TABLES)
        .filter(|event| {
            matches!(
                event,
                Event::Html(_) | Event::InlineHtml(_) | Event::Start(Tag::Link { .. })
            )
        })
        .collect();
    assert!(markup.is_empty(), "{markup:?}");
    for document in &documents {
        if document.name.ends_with(".svg") {
            let tree = roxmltree::Document::parse(&document.text)
                .unwrap_or_else(|error| panic!("{}: {error}", document.name));
            assert!(
                tree.descendants().all(|node| !node.has_tag_name("script")),
                "{}",
                document.name
            );
        }
    }
}

fn replace(folder: &mut Folder, file: &str, from: &str, to: &str) {
    let bytes = folder.get_mut(file).unwrap_or_else(|| panic!("no {file}"));
    let text = String::from_utf8(bytes.clone()).unwrap();
    assert!(text.contains(from), "`{from}` is not in {file}");
    *bytes = text.replace(from, to).into_bytes();
}

#[test]
fn the_same_swap_gives_the_same_bytes() {
    let folder = example("demo");
    assert_eq!(dossier_of(&folder, 1, &[]), dossier_of(&folder, 1, &[]));
}

#[test]
fn every_finding_is_in_the_proof_with_its_working() {
    let folder = example("demo");
    let documents = dossier_of(&folder, 1, &[]);
    let page = text_of(&documents, "proof/proof.html");
    support::with_plan(&folder, 1, |plan| {
        assert!(!plan.findings.is_empty());
        for finding in &plan.findings {
            assert!(
                page.contains(&markup::escaped(&finding.id)),
                "{} is missing",
                finding.id
            );
            for working in &finding.working {
                assert!(
                    page.contains(&markup::escaped(&working.with_numbers())),
                    "{}",
                    finding.id
                );
            }
        }
    });
}

/// Goal: a page that opens at once on a phone, and can be sent by mail.
#[test]
fn the_page_of_the_demo_stays_small_enough_to_send() {
    let documents = dossier_of(&example("demo"), 1, &[]);
    for name in ["report.html", "checklist.html", "bench-sheet.html"] {
        let bytes = text_of(&documents, name).len();
        assert!(bytes < 600_000, "{name}: {bytes} bytes");
    }
}

/// At most seven files, the manifest among them, and three folders.
#[test]
fn few_files_are_handed_over() {
    let documents = dossier_of(&example("demo"), 1, &[]);
    let named = documents
        .iter()
        .filter(|document| !document.name.contains('/'))
        .count();
    assert!(named <= 6, "{named} and the manifest");
    for document in &documents {
        let folder = document.name.split_once('/').map(|(folder, _)| folder);
        assert!(
            folder.is_none_or(|own| ["pictures", "tables", "proof"].contains(&own)),
            "{}",
            document.name
        );
    }
}

/// What can hurt is on the paper that lies at the bench: of steps, of findings that put people at risk, of settings.
#[test]
fn no_hazard_is_lost_on_the_bench() {
    for name in ["demo", "second"] {
        let folder = example(name);
        for shown in 0..support::candidates(&folder) {
            let documents = dossier_of(&folder, shown, &[]);
            let bench = words_of_page(text_of(&documents, "bench-sheet.html"));
            let checklist = words_of_page(text_of(&documents, "checklist.html"));
            let program = text_of(&documents, "settings.gcode").replace("\n;", " ");
            let program = words(&program);
            let build = words(&text_of(&documents, "tables/build-sheet.txt").replace('|', " "));
            support::with_plan(&folder, shown, |plan| {
                let settings = settings::settings(&plan.setup());
                for step in bringup::steps(plan, &settings) {
                    for hazard in step.hazard.iter().flat_map(|hazard| hazard.split_inclusive(". ")) {
                        let hazard = words(hazard);
                        assert!(checklist.contains(&hazard), "{name} {shown}: {hazard}");
                        assert!(
                            bench.contains(hazard.trim_end_matches('.')),
                            "{name} {shown}: {hazard}"
                        );
                    }
                }
                for finding in plan.open_points() {
                    let said: String = words(&finding.headline).chars().skip(1).collect();
                    let risky = finding.stake == plan::Stake::Safety;
                    assert!(!risky || bench.contains(&said), "{name} {shown}: {said}");
                }
                for setting in settings.settings.iter().filter(|setting| setting.caution) {
                    let reason: String = words(&setting.reason).chars().skip(1).collect();
                    assert!(bench.contains(&reason), "{name} {shown}: {reason}");
                    let at_hand = program.contains(&reason) || build.contains("read this");
                    assert!(at_hand, "{name} {shown}: {reason}");
                }
            });
        }
    }
}

/// Pictures of README and handbook. After a change that is meant: run this test with `UPDATE=1` and look at them.
#[test]
fn the_pictures_of_the_docs_are_those_of_the_demo() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/pictures");
    let documents = dossier_of(&example("demo"), 1, &[]);
    let names = [
        ("wiring.svg", "pictures/wiring.svg"),
        ("comparison.svg", "pictures/comparison.svg"),
        ("margins.svg", "pictures/margins.svg"),
        ("torque.svg", "pictures/torque-x.svg"),
        ("heat-up.svg", "pictures/heat-up.svg"),
    ];
    for (name, document) in names {
        let path = folder.join(name);
        let text = text_of(&documents, document);
        if std::env::var_os("UPDATE").is_some() {
            std::fs::create_dir_all(&folder).unwrap();
            std::fs::write(&path, text).unwrap();
        }
        let on_disk = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            on_disk == text,
            "docs/pictures/{name} is out of date: run `UPDATE=1 cargo test -p dossier` and look at it"
        );
    }
}

#[test]
fn curves_and_their_tables_are_in_every_document() {
    let documents = dossier_of(&example("demo"), 1, &[]);
    let axes = ["X", "Y", "Z", "E"];
    for axis in axes {
        let name = format!("pictures/torque-{}.svg", axis.to_lowercase());
        let svg = text_of(&documents, &name);
        for words in [
            "torque of one motor, mN m",
            "top speed asked",
            "needed with reserve",
        ] {
            assert!(svg.contains(words), "`{words}` is missing for {axis}");
        }
        assert!(svg.contains(&format!("speed of {axis}, mm/s")));
    }
    let (page, markdown) = (
        text_of(&documents, "proof/proof.html"),
        text_of(&documents, "proof/proof.md"),
    );
    let table = text_of(&documents, "tables/temperature-control.csv");
    let rules: std::collections::BTreeSet<_> = table
        .lines()
        .skip(1)
        .filter_map(|line| line.split(',').next_back())
        .collect();
    assert!(rules.len() >= 4, "{rules:?}");
    for text in [page, markdown] {
        assert!(text.contains("Torque over speed") && text.contains("How the control would hold"));
        assert!(text.contains("Skogestad, PI, detuned for worst case and heat-up monitoring"));
    }
    assert!(
        markdown.contains("(../pictures/torque-e.svg)") && markdown.contains("(../pictures/heat-up.svg)")
    );
    let supply = text_of(&documents, "pictures/heat-up.svg");
    for words in [
        "rating: 400 W",
        "for long: 360 W",
        "all at once, worst case",
        ">0<",
    ] {
        assert!(supply.contains(words), "`{words}` is missing");
    }
}

/// Words with blanks drawn together, without marks of code.
fn words(text: &str) -> String {
    let text = text.replace('`', "");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The words of a page, without tags and pictures.
fn words_of_page(page: &str) -> String {
    let (_, body) = page.split_once("</style>").unwrap();
    let outside = body
        .split("<svg")
        .map(|part| part.split_once("</svg>").map_or(part, |(_, after)| after));
    let tagless = |part: &str| {
        part.split_once('>')
            .map_or_else(|| part.to_owned(), |(_, text)| text.to_owned())
    };
    let text: String = outside.collect::<String>().split('<').map(tagless).collect();
    let signs = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&amp;", "&")];
    words(
        &signs
            .iter()
            .fold(text, |text, (written, sign)| text.replace(written, sign)),
    )
}

/// The words of Markdown.
fn words_of_markdown(text: &str) -> String {
    let mut out = String::new();
    for event in Parser::new_ext(text, Options::ENABLE_TABLES | Options::ENABLE_TASKLISTS) {
        match event {
            Event::Text(text) | Event::Code(text) => out.push_str(&text),
            Event::Start(Tag::Strong) | Event::End(TagEnd::Strong) => {}
            _ => out.push('\n'),
        }
    }
    words(&out)
}

/// The words of a screen that is wide enough for everything.
fn words_of_screen(screen: &document::Document) -> String {
    let terminal = document::terminal::Terminal {
        width: 100_000,
        colour: false,
    };
    words(&terminal.document(screen))
}

#[test]
fn all_renderings_say_the_same() {
    let folder = example("demo");
    let files = dossier_of(&folder, 1, &[]);
    let page = [
        "report.html",
        "checklist.html",
        "settings.html",
        "proof/proof.html",
    ]
    .map(|name| words_of_page(text_of(&files, name)));
    let markdown = ["proof/report.md", "proof/checklist.md", "proof/proof.md"]
        .map(|name| words_of_markdown(text_of(&files, name)));
    let (page, markdown) = (page.join(" "), markdown.join(" "));
    let assert_in = |screen: &str, said: &str| {
        let said = words(said);
        for (name, text) in [
            ("page", page.as_str()),
            ("Markdown", &markdown),
            ("screen", screen),
        ] {
            assert!(text.contains(&said), "no `{said}` in the {name}");
        }
    };
    // A sentence begins with a capital, which names keep: its second letter on is the same.
    let rest = |text: &str| text.chars().skip(1).collect::<String>();
    support::with_plan(&folder, 1, |plan| {
        let settings = settings::settings(&plan.setup());
        let steps = bringup::steps(plan, &settings);
        let check = words_of_screen(&dossier::screens::check(plan, &[], true));
        for finding in &plan.findings {
            assert_in(&check, &rest(&finding.headline));
            if finding.verdict >= plan::Verdict::Caution {
                finding
                    .remedy
                    .iter()
                    .for_each(|remedy| assert_in(&check, &rest(remedy)));
            }
        }
        let screen = words_of_screen(&dossier::screens::settings(plan, &settings, true));
        for setting in &settings.settings {
            assert_in(&screen, &rest(&setting.reason));
            setting.new_text().iter().for_each(|new| assert_in(&screen, new));
        }
        let screen = words_of_screen(&dossier::screens::bring_up(plan, &steps));
        for step in &steps {
            let said = [&step.title, &step.why]
                .into_iter()
                .chain(&step.hazard)
                .chain(&step.actions);
            said.for_each(|said| assert_in(&screen, &rest(said)));
            let parts = step.parts.iter();
            parts
                .clone()
                .flat_map(|part| &part.actions)
                .for_each(|words| assert_in(&screen, words));
            step.expected
                .iter()
                .chain(parts.flat_map(|part| &part.expected))
                .for_each(|expected| assert_in(&screen, &expected.words()));
        }
        let cables = plan::cables(plan);
        let screen = words_of_screen(&dossier::screens::cables(plan, &cables, &[]));
        for action in cables.iter().flat_map(|cable| &cable.actions) {
            assert_in(&screen, &rest(&action.words));
        }
    });
}

/// Short ones: the text must not change with each check that is added.
#[test]
fn screens_of_the_second_example() {
    let terminal = document::terminal::Terminal {
        width: 100,
        colour: false,
    };
    let folder = example("second");
    let mut text = String::new();
    support::with_plan(&folder, 0, |plan| {
        let rows = plan::cables(plan);
        text.push_str(&terminal.document(&dossier::screens::cables(plan, &rows, &plan.alternatives(1))));
        let draws = plan::Draws::of(plan);
        let finding = plan
            .findings
            .iter()
            .find(|finding| finding.id.starts_with("switch-short"));
        let half = physics::Chance { held: 50, draws: 100 };
        text.push('\n');
        text.push_str(&terminal.document(&dossier::screens::opened(
            plan,
            &draws,
            &[(finding.unwrap(), half)],
        )));
    });
    insta::assert_snapshot!(text);
}

/// "(From memory.)." and "Transfer).," were written once.
#[test]
fn no_stop_is_written_twice() {
    let files = dossier_of(&example("demo"), 1, &[]);
    for text in [
        words_of_page(html(&files)),
        words_of_page(text_of(&files, "proof/proof.html")),
        words_of_markdown(text_of(&files, "proof/report.md")),
        words_of_markdown(text_of(&files, "proof/proof.md")),
    ] {
        for twice in [".,", "..", ".;", ".)."] {
            for (at, _) in text.match_indices(twice) {
                let before = text[..at].chars().next_back();
                let captured = text[..at].ends_with("X-??") || text[..at].ends_with("/205");
                assert!(
                    before == Some(' ') || captured,
                    "…{}…",
                    &text[at.saturating_sub(40)..at + 6]
                );
            }
        }
    }
}

#[test]
fn the_cautions_stand_in_page_and_text() {
    let documents = dossier_of(&example("demo"), 1, &[]);
    for name in ["report.html", "proof/report.md"] {
        let text = text_of(&documents, name);
        for words in [
            "qualified person and local codes",
            "unplugged from the mains",
            "does not state that a machine is safe",
        ] {
            assert!(text.contains(words), "`{words}` is missing in {name}");
        }
    }
}

/// Pictures know no table of data, so that hues and names of wires stand in both.
#[test]
fn pictures_draw_wires_as_the_table_of_colours_says() {
    // The codes of one colour of IEC 60757, table 1.
    let codes = "BK BN RD OG YE GN BU VT GY WH PK GD TQ SR";
    for code in codes.split(' ') {
        let drawn = drawing::wire_colour(code).expect(code);
        let table = catalogue::built_in().wire_colour(code).expect(code).first;
        assert_eq!(
            (drawn.body, drawn.name),
            (table.body.to_string().as_str(), table.name.as_str())
        );
    }
}

/// However many there are, no blocker and nothing that can hurt leaves the first screens, and nothing at all is lost uncounted.
#[test]
fn the_first_screens_keep_all_that_presses() {
    let terminal = document::terminal::Terminal {
        width: 80,
        colour: false,
    };
    for name in ["demo", "second", "third"] {
        let folder = example(name);
        for shown in 0..support::candidates(&folder) {
            support::with_plan(&folder, shown, |plan| {
                let text = terminal.document(&dossier::screens::check(plan, &[], false));
                let lines = text.lines().count();
                let mut named = 0;
                let mut open = plan.to_decide();
                open.extend(plan.disposed(plan::Disposition::AsTheMachineIs));
                for finding in &open {
                    // Of several of one check the first is named whole.
                    let (check, own) = finding.id.split_once(':').unwrap_or((&*finding.id, ""));
                    // Another check's finding may end alike.
                    let behind = |line: &str| {
                        let names = line.split_once(&format!("`{check}:")).map(|(_, names)| names);
                        names.is_some_and(|names| names.split(", ").skip(1).any(|name| name == own))
                    };
                    let is_named = text.contains(&format!("`{}`", finding.id)) || text.lines().any(behind);
                    let presses =
                        finding.verdict == plan::Verdict::Blocker || finding.stake == plan::Stake::Safety;
                    assert!(is_named || !presses, "{name} {shown} {}: {text}", finding.id);
                    named += usize::from(is_named);
                }
                let left = open.len() - named;
                assert!(
                    left == 0 || text.contains(&format!("{left} more")),
                    "{left} of {name} {shown}: {text}"
                );
                assert!(lines <= 25, "{lines} lines of {name} {shown}: {text}");
                let settings = settings::settings(&plan.setup());
                let screen = terminal.document(&dossier::screens::settings(plan, &settings, false));
                for setting in settings.settings.iter().filter(|setting| setting.caution) {
                    let line = format!(", {}: ", setting.of);
                    assert!(screen.contains(&line), "{}: {screen}", setting.id);
                }
            });
        }
    }
}
