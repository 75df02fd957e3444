//! Settings as the new controller reports them, held against what it was told.

use evidence::{
    Advice, Cell, CellGroup, Cells, Outcome, Picture, Refused, Report, Row, Table, Trouble, Verdict,
};
use settings::{Compared, Match};

use super::Job;
use super::joined::{self, Answer};

/// What the controller of a read-back says of each setting; nothing where the file says nothing.
pub(super) fn answers(job: &Job<'_>, bytes: &[u8]) -> Vec<Answer> {
    let Some(context) = job.context.filter(|_| job.on_old_board() != Some(true)) else {
        return Vec::new();
    };
    let told = settings::settings(&context.plan.setup());
    let read = settings::captured::read(&String::from_utf8_lossy(bytes), &told.dialect);
    joined::answers(&job.keys.file.value, &read, &settings::read_back(&told, &read))
}

pub(super) fn reports(job: &Job<'_>, bytes: &[u8]) -> Outcome {
    let Some(context) = job.context else {
        return Err(Refused::new(
            "a read-back by itself has nothing to be held against",
            "add it to the swap: `[[evidence]]` with kind = \"settings read-back\"",
        ));
    };
    if job.on_old_board() == Some(true) {
        return Err(Refused::new(
            "the old controller was told nothing by this plan",
            "name as `board` the board whose controller reported; what the old one reported belongs into `old_settings`",
        ));
    }
    let text = String::from_utf8_lossy(bytes);
    let told = settings::settings(&context.plan.setup());
    let read = settings::captured::read(&text, &told.dialect);
    if read.values.is_empty() {
        return Err(Refused::new(
            "the file holds no value of a setting",
            "save what the new controller reports when it is asked for its settings",
        ));
    }
    let compared = settings::read_back(&told, &read);
    let mut report = report(&compared);
    let unread = read
        .unread
        .iter()
        .map(|unread| Trouble::at(unread.line as u64, format!("not read: {}", unread.reason)));
    report.troubles.extend(unread);
    Ok(vec![report])
}

fn report(compared: &[Compared]) -> Report {
    let count = |result: Match| compared.iter().filter(|row| row.result == result).count();
    let (same, differs, missing) = (count(Match::Same), count(Match::Differs), count(Match::Missing));
    let verdict = match (differs, missing) {
        (0, 0) => Verdict::Pass,
        (0, _) => Verdict::Open,
        _ => Verdict::Fail,
    };
    let asked = same + differs + missing;
    let sentence = match verdict {
        Verdict::Pass => format!(
            "All {asked} settings that the controller was told are what it reports, within its digits."
        ),
        Verdict::Fail if missing > 0 => format!(
            "{} not what the controller was told, and {missing} do not stand in its report.",
            of_all(differs, asked)
        ),
        Verdict::Fail => format!("{} not what the controller was told.", of_all(differs, asked)),
        _ => format!(
            "{missing} of {asked} settings that the controller was told do not stand in its report; the others are as told."
        ),
    };
    let mut advice = Vec::new();
    if differs > 0 {
        advice.push(Advice::helps("Tell the controller those settings again, store them, and ask for the report anew before anything heats or moves."));
    }
    if missing > 0 {
        advice.push(Advice::helps("Look whether the report was cut off, or the controller does not know these settings: they then belong into its build."));
    }
    let shown = |value: &Option<settings::SettingValue>| {
        value.as_ref().map_or_else(|| "–".to_owned(), ToString::to_string)
    };
    let row = |row: &Compared| Row {
        cells: vec![
            row.id.clone(),
            shown(&row.meant),
            shown(&row.reported),
            word(row.result).to_owned(),
            row.line.map_or_else(|| "–".to_owned(), |line| line.to_string()),
        ],
        chosen: false,
    };
    let columns = ["setting", "told", "reported", "result", "line"].map(str::to_owned);
    // What differs first, then what is missing; what nobody told last.
    let order = [Match::Differs, Match::Missing, Match::Same, Match::NotMeant];
    let rows = order
        .iter()
        .copied()
        .flat_map(|result| compared.iter().filter(move |row| row.result == result).map(row));
    let counts = Table {
        title: "How many".into(),
        columns: ["result", "settings"].map(str::to_owned).to_vec(),
        rows: order
            .into_iter()
            .map(|result| Row {
                cells: vec![word(result).to_owned(), count(result).to_string()],
                chosen: false,
            })
            .collect(),
    };
    Report {
        title: "Settings read back".into(),
        verdict,
        sentence,
        // Counts are no quantities: they stand in a table.
        figures: Vec::new(),
        advice,
        tables: vec![
            Table {
                title: "Settings, those that differ first".into(),
                columns: columns.to_vec(),
                rows: rows.collect(),
            },
            counts,
        ],
        pictures: vec![Picture::Cells(picture(compared))],
        troubles: Vec::new(),
        sources: Vec::new(),
    }
}

/// A cell for each setting, by what came of it: how many there are of each is seen at once.
fn picture(compared: &[Compared]) -> Cells {
    let kinds = [
        (Match::Differs, "≠", Some(false), "not as told"),
        (Match::Missing, "–", None, "not reported"),
        (Match::Same, "=", Some(true), "as told"),
        (Match::NotMeant, "+", None, "reported, but not told"),
    ];
    let groups = kinds.iter().filter_map(|(result, sign, right, what)| {
        let own: Vec<&Compared> = compared.iter().filter(|row| row.result == *result).collect();
        let cell = Cell {
            text: (*sign).into(),
            colour: None,
            right: *right,
        };
        // The first few names say where to look; the table has them all.
        let wrong = matches!(result, Match::Differs | Match::Missing);
        let names: Vec<&str> = own.iter().take(3).map(|row| row.id.as_str()).collect();
        let names = match own.len() {
            _ if !wrong => String::new(),
            0..=3 => format!(" ({})", names.join(", ")),
            more => format!(" ({} and {} more)", names.join(", "), more - 3),
        };
        (!own.is_empty()).then(|| CellGroup {
            name: format!("{what}: {}{names}", own.len()),
            cells: vec![cell; own.len()],
            counted: false,
            each: 1,
        })
    });
    Cells {
        title: "Settings by what came back, one cell each".into(),
        groups: groups.collect(),
        key: Vec::new(),
    }
}

fn of_all(differs: usize, asked: usize) -> String {
    let verb = if differs == 1 { "is" } else { "are" };
    format!("{differs} of {asked} settings {verb}")
}

fn word(result: Match) -> &'static str {
    match result {
        Match::Same => "as told",
        Match::Differs => "differs",
        Match::Missing => "not reported",
        Match::NotMeant => "not told",
    }
}
