//! Words of controllers: from the swap, from the user's own folder, from both, and which goes before.

use model::{FileError, Files, OwnFile, Swap, Topic};

use crate::support::{Folder, minimal, plain};

/// A swap folder beside a folder of the user's own.
struct Both {
    swap: Folder,
    own: Folder,
}

impl Files for Both {
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError> {
        self.swap.read(path)
    }
    fn own(&self, path: &str) -> Result<OwnFile, FileError> {
        let bytes = self.own.read(path)?;
        Ok(OwnFile {
            path: format!("/home/somebody/{path}"),
            bytes,
        })
    }
    fn names(&self, folder: &str) -> Vec<String> {
        self.swap.names(folder)
    }
    fn own_names(&self, folder: &str) -> Vec<String> {
        self.own.names(folder)
    }
}

const CURRENT: &str = "[[word]]\nword = \"M906\"\nletters = [\"X\", \"Y\"]\nsetting = \"motor-current\"\nabout = \"letter\"\nunit = \"mA\"\n";

/// The small swap whose boards speak `tarn`, with words in the swap and in the user's own folder.
fn both(swap: &[(&str, &str)], own: &[(&str, &str)]) -> Both {
    let mut folder = minimal();
    let controllers = "\n[[controller]]\nboard = \"Sallow S1\"\nwords = \"tarn\"\n\n[[controller]]\nboard = \"Spindle S2\"\nwords = \"tarn\"\nafter_loading = [\"loaded.gcode\"]\n";
    folder
        .get_mut("swap.toml")
        .expect("the swap")
        .extend(controllers.bytes());
    folder.insert("loaded.gcode".to_owned(), b"M92 X80\n".to_vec());
    let files = |files: &[(&str, &str)]| -> Vec<(String, Vec<u8>)> {
        files
            .iter()
            .map(|(path, text)| ((*path).to_owned(), text.as_bytes().to_vec()))
            .collect()
    };
    folder.extend(files(swap));
    Both {
        swap: folder,
        own: files(own).into_iter().collect(),
    }
}

fn loaded(both: &Both) -> Swap {
    model::load(both).unwrap_or_else(|faults| panic!("{}", plain(&faults)))
}

/// What the old controller's current of X means: the measure, and the file of the row.
fn current(swap: &Swap) -> (Option<&'static str>, Option<&str>) {
    let dialect = &swap.controller(&swap.old).dialect;
    let word = dialect.slot(Topic::MotorCurrent, "X").expect("a word").word;
    let row = dialect
        .rows()
        .iter()
        .rev()
        .find(|row| row.name() == "M906")
        .expect("a row");
    (
        word.measure.map(model::CurrentDefinition::word),
        row.from.as_deref(),
    )
}

#[test]
fn words_come_from_the_swap_or_from_the_users_own_folder() {
    let peak = format!("{CURRENT}current_definition = \"peak\"\n");
    let swap = loaded(&both(&[("words/tarn.toml", &peak)], &[]));
    assert_eq!(current(&swap), (Some("peak"), Some("words/tarn.toml")));
    let swap = loaded(&both(&[], &[("words/tarn.toml", &peak)]));
    assert_eq!(
        current(&swap),
        (Some("peak"), Some("/home/somebody/words/tarn.toml"))
    );
    assert_eq!(swap.controllers[1].after_loading[0].path, "loaded.gcode");
}

#[test]
fn the_swap_goes_before_the_users_own_folder_and_both_before_the_shared_words() {
    let (peak, rms) = (
        format!("{CURRENT}current_definition = \"peak\"\n"),
        format!("{CURRENT}current_definition = \"rms\"\n"),
    );
    let speed = "[[word]]\nword = \"M906\"\nletters = [\"X\"]\nsetting = \"top-speed\"\nabout = \"letter\"\nunit = \"mm/s\"\n";
    let swap = loaded(&both(&[("words/tarn.toml", &rms)], &[("words/tarn.toml", &peak)]));
    let controller = swap.controller(&swap.old);
    assert_eq!(current(&swap), (Some("rms"), Some("words/tarn.toml")));
    assert_eq!(
        controller.files,
        ["/home/somebody/words/tarn.toml", "words/tarn.toml"]
    );
    assert!(
        controller.gave_way.is_empty(),
        "a meaning made certain contradicts nothing: {:?}",
        controller.gave_way
    );
    let swap = loaded(&both(
        &[("words/tarn.toml", speed)],
        &[("words/tarn.toml", &peak)],
    ));
    let gave_way: Vec<(&str, Option<&str>)> = swap
        .controller(&swap.old)
        .gave_way
        .iter()
        .map(|gone| (gone.what.as_str(), gone.of.as_deref()))
        .collect();
    assert_eq!(gave_way, [("M906 X", Some("/home/somebody/words/tarn.toml"))]);
    let dialect = &swap.controller(&swap.old).dialect;
    assert!(
        dialect.slot(Topic::MotorCurrent, "X").is_none() && dialect.slot(Topic::MotorCurrent, "Y").is_some()
    );
}

/// Faults of both files are told at once, each once although two boards speak the words, with its place.
#[test]
fn faults_of_both_places_are_told_at_once_and_once() {
    let unit = CURRENT.replace("mA", "V");
    let files = both(
        &[("words/tarn.toml", &unit)],
        &[("words/tarn.toml", "[[word]]\nword = \"M5000\"\n")],
    );
    let faults = model::load(&files).expect_err("faults");
    let told: Vec<(String, &str)> = faults
        .faults
        .iter()
        .map(|fault| {
            (
                faults.sources.file(fault.place.file).path.clone(),
                fault.headline.as_str(),
            )
        })
        .collect();
    assert_eq!(
        told,
        [
            (
                "/home/somebody/words/tarn.toml".to_owned(),
                "`setting` is missing: a word that tells settings needs it"
            ),
            (
                "/home/somebody/words/tarn.toml".to_owned(),
                "`letters` is missing: a word that tells settings needs it"
            ),
            ("words/tarn.toml".to_owned(), "`V` is no unit of current"),
        ]
    );
}

#[test]
fn words_that_are_nowhere_are_told_at_each_board_with_what_was_meant() {
    let files = both(&[("words/tern.toml", CURRENT)], &[("words/moor.toml", CURRENT)]);
    let faults = model::load(&files).expect_err("faults");
    let told: Vec<(&str, Option<&str>, Option<&str>)> = faults
        .faults
        .iter()
        .map(|fault| {
            (
                fault.headline.as_str(),
                fault.expected.as_deref(),
                fault.help.as_deref(),
            )
        })
        .collect();
    let one = (
        "there are no words `tarn`",
        Some("`moor` or `tern`"),
        Some("did you mean `tern`?"),
    );
    assert_eq!(told, [one, one]);
}

#[test]
fn a_words_file_that_no_board_speaks_is_told() {
    let swap = loaded(&both(
        &[
            ("words/tarn.toml", CURRENT),
            ("words/moor.toml", "nonsense"),
            ("words/notes.txt", ""),
        ],
        &[],
    ));
    assert_eq!(swap.unused_words, ["words/moor.toml"]);
}
