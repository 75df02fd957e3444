//! The step "load the image" as text: what to compare and save before, what to do, what shows success, what to do otherwise.

use serde::Serialize;

use crate::board::Board;
use crate::verdict::{hex, size};

/// How an image is loaded.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Loading {
    /// Why the image is checked before.
    pub why: String,
    /// What may go wrong for good.
    pub hazard: String,
    /// What to compare and save before.
    pub before: Vec<String>,
    /// What to do.
    pub actions: Vec<String>,
    /// What is looked at, and what it shows where it went well.
    pub success: Vec<(String, String)>,
    /// What to do where it did not.
    pub otherwise: Vec<String>,
}

/// The step for a board; `boardswap image` checks the file itself. `identity` is the word that asks the controller which one it is.
#[must_use]
pub fn loading(board: &Board, identity: Option<&str>) -> Loading {
    let name = &board.name;
    let core = &board.core.name;
    let memory = format!(
        "{} flash, {} RAM",
        size(board.flash.bytes()),
        size(board.ram.bytes())
    );
    let start = board
        .image_start()
        .map_or_else(String::new, |start| format!(", to begin at {}", hex(start)));
    let before = vec![
        format!(
            "Read the revision on the board and the marking of its processor. Compare them with its file: {core}, {memory}."
        ),
        format!(
            "Check the image for {name}{start}: boardswap image FILE --board \"{name}\". Do not load an image that fails."
        ),
        "Save the old image if the loader or a programmer can read it. Keep it with its SHA-256.".to_owned(),
        "If it cannot be read, save the reports of identity and settings. Have the maker's image at hand."
            .to_owned(),
    ];
    let mut loading = Loading {
        why: "An image for another processor or another place does not start, and then nothing answers."
            .to_owned(),
        hazard: "Do not switch off while the image is being loaded: half an image does not start.".to_owned(),
        before,
        actions: Vec::new(),
        success: Vec::new(),
        otherwise: Vec::new(),
    };
    let ask = match identity {
        Some(word) => format!("Ask the controller which one it is ({word}). Save its reply."),
        None => "Ask the controller which one it is. Save its reply.".to_owned(),
    };
    let identity = (
        "identity that the controller reports, saved as REPLY".to_owned(),
        "that of the checked image: boardswap image FILE --reported REPLY passes".to_owned(),
    );
    if let Some(file) = board.image_name() {
        loading.actions = vec![
            format!("Switch off. Copy the image to the root of a FAT32 card as {file}, the only image on it."),
            "Check the card: boardswap image FILE --card FOLDER. Eject it in the computer before you pull it.".to_owned(),
            "Insert the card and switch on. Wait one minute.".to_owned(),
            ask,
        ];
        loading.success = vec![
            identity,
            (
                format!("{file} on the card afterwards"),
                "renamed or removed, where the manual of the board says so".to_owned(),
            ),
        ];
        loading.otherwise = vec![
            format!("{file} is unchanged and the old build answers: the loader did not take it. Check name, card and file system"),
            "nothing answers: switch off, wait ten seconds, switch on. Compare port and bit rate with the build sheet".to_owned(),
            "still nothing: load the saved image or the maker's image in the same way".to_owned(),
            "still nothing: stop here; the boot loader needs a programmer".to_owned(),
        ];
    } else {
        loading.actions = vec![
            "Load the image over the cable as the manual of the board says.".to_owned(),
            "Let the loading tool read the memory back and compare it, if it can.".to_owned(),
            ask,
        ];
        loading.success = vec![identity];
        loading.otherwise = vec![
            "the tool finds no board: check cable, port and the jumper for loading".to_owned(),
            "nothing answers: switch off, wait ten seconds, switch on. Compare port and bit rate with the build sheet".to_owned(),
            "still nothing: load the saved image or the maker's image in the same way".to_owned(),
            "still nothing: stop here; the boot loader needs a programmer".to_owned(),
        ];
    }
    loading
}
