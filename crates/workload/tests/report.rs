//! What a workload means, in sentences.

use quantity::si::cubic_millimetre_per_second;
use workload::{Finding, Setup, Verdict, Work, Workload, board_sentence, board_verdict, findings};

use crate::given::{assumed, run, run_with, setup, words};

fn find<'a>(all: &'a [Finding], id: &str) -> &'a Finding {
    all.iter()
        .find(|finding| finding.id == id)
        .unwrap_or_else(|| panic!("{id}: {all:?}"))
}

fn found(work: &Work) -> Vec<Finding> {
    findings(&setup(), work, &assumed())
}

fn sentence(setup: &Setup, work: &Work, board: usize) -> String {
    board_sentence(work, &setup.boards[board], &work.boards[board])
}

#[test]
fn boards_are_judged_in_a_sentence() {
    let setup = setup();
    let work = run("G1 X100 F6000\n");
    assert_eq!(
        sentence(&setup, &work, 0),
        "the file asks no more than 22 % of this board"
    );
    assert_eq!(
        sentence(&setup, &work, 1),
        "the file asks no more than 2.5 % of this board"
    );
    assert_eq!(
        board_verdict(&work, &setup.boards[0], &work.boards[0]),
        Verdict::Pass
    );
    let mut all = Workload::default();
    for name in 0..41 {
        let (mut work, course) = run_with(&setup, &words(), &b"G1 X100 F6000\n"[..]);
        work.name = name.to_string().into();
        all.add(work, course, None);
    }
    let total = all.total.unwrap();
    assert_eq!(
        sentence(&setup, &total, 0),
        "of 41 files none asks more than 22 % of this board"
    );
    let mut slow = setup.clone();
    slow.boards[0].step_rate = quantity::si::hertz(5e3);
    let (work, _) = run_with(&slow, &words(), &b"G1 X100 F6000\n"[..]);
    assert_eq!(
        sentence(&slow, &work, 0),
        "the file asks 160 % of this board, which may give 80 %"
    );
    assert_eq!(
        board_verdict(&work, &slow.boards[0], &work.boards[0]),
        Verdict::Fail
    );
    let mut both = work.clone();
    both.merge(&work);
    assert_eq!(
        sentence(&slow, &both, 0),
        "of 2 files 2 ask more than this board may give, up to 160 %"
    );
    let still = run("M105\n");
    assert_eq!(
        board_verdict(&still, &setup.boards[0], &still.boards[0]),
        Verdict::Open
    );
}

#[test]
fn extents_are_held_against_the_machine() {
    let all = found(&run("G28\nG1 X-5 F600\nG1 X240\nG1 Z10\n"));
    let wide = find(&all, "extent");
    assert_eq!(wide.verdict, Verdict::Fail);
    assert_eq!(
        wide.sentence,
        "X needs 245 mm of travel; limit 230 mm. At program:2 and program:3."
    );
    let all = found(&run("G28\nG1 X-5 F600\nG1 X20\n"));
    assert_eq!(find(&all, "extent").verdict, Verdict::Open);
    let all = found(&run("G28\nG1 X5 F600\nG1 X20\n"));
    assert_eq!(find(&all, "extent").sentence, "X, Y, Z stay within the travel.");
}

#[test]
fn flow_is_held_against_what_is_usual_or_measured() {
    let text = "M109 S210\nM83\nG1 X200 E16 F3000\n";
    // 0.08 · 2.405 mm² · 50 mm/s: 9.6 mm³/s.
    let work = run(text);
    assert_eq!(find(&found(&work), "flow").verdict, Verdict::Open);
    let mut measured = setup();
    measured.heat.melt.limit = Some(cubic_millimetre_per_second(12.0));
    assert_eq!(
        find(&findings(&measured, &work, &assumed()), "flow").verdict,
        Verdict::Pass
    );
    measured.heat.melt.limit = Some(cubic_millimetre_per_second(9.0));
    let all = findings(&measured, &work, &assumed());
    assert_eq!(find(&all, "flow").verdict, Verdict::Fail);
    assert_eq!(all[0].id, "flow");
}

#[test]
fn supply_links_and_words() {
    let all = found(&run("M140 S60\nM104 S210\nM190 S60\nM109 S210\nG5\n"));
    let supply = find(&all, "supply");
    assert_eq!(supply.verdict, Verdict::Fail);
    assert!(
        supply.sentence.starts_with("The heaters alone draw 273 W for "),
        "{}",
        supply.sentence
    );
    assert_eq!(find(&all, "words").verdict, Verdict::Open);
    assert_eq!(find(&all, "link").verdict, Verdict::Pass);
    // Worst first.
    let order: Vec<Verdict> = all.iter().map(|finding| finding.verdict).collect();
    assert!(order.is_sorted_by(|one, other| one >= other));
}

/// At most 20 words in a sentence, an action wherever it does not pass, and no word that is forbidden in messages.
#[test]
fn sentences_are_short_and_have_an_action() {
    let texts = [
        "M140 S60\nM104 S210\nM190 S60\nM109 S500\nG28\nG29\nG5\nG1 X-5 F600\nG1 X240 E30\nG1 XNaN\n",
        "G1 X-5 F600\nG1 X20\n",
        "M105\n",
    ];
    for text in texts {
        for finding in found(&run(text)) {
            for part in finding.sentence.split(". ") {
                let words = part.split_whitespace().count();
                assert!(words <= 20, "{words}: {part}");
            }
            assert_eq!(
                finding.remedy.is_some(),
                finding.verdict != Verdict::Pass,
                "{finding:?}"
            );
        }
    }
}

#[test]
fn files_are_refused_or_cut_with_a_reason() {
    let setup = setup();
    let mut all = Workload::default();
    let add = |all: &mut Workload, name: &str, text: &str, cut: Option<&str>| {
        let (mut work, course) = run_with(&setup, &words(), text.as_bytes());
        work.name = name.into();
        all.add(work, course, cut.map(str::to_owned));
    };
    add(&mut all, "empty", "", None);
    add(&mut all, "letter", "Dear all,\nhello you there,\n", None);
    add(&mut all, "cut", "G1 X10 F600\n", Some("it ends too early"));
    add(&mut all, "good", "G1 X100 F6000\n", None);
    let told: Vec<(&str, &str)> = all
        .refused
        .iter()
        .map(|refused| (refused.name.as_str(), refused.why.as_str()))
        .collect();
    assert_eq!(
        told,
        [
            ("empty", "it is empty"),
            ("letter", "it holds no G-code: no known command in 2 lines")
        ]
    );
    assert_eq!(all.cut.len(), 1);
    let names: Vec<&str> = all.files.iter().map(|file| &*file.name).collect();
    assert_eq!(names, ["good", "cut"]);
    assert_eq!(all.course.as_ref().map(|(name, _)| &**name), Some("good"));
    assert_eq!(all.total.unwrap().programs, 2);
}
