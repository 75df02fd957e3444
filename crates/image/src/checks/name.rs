//! Whether the file has the name and the form that the boot loader takes.

use crate::board::Loads;
use crate::card::names::{Stored, matches, stored};
use crate::case::Case;
use crate::read::Form;
use crate::report::Ask;
use crate::verdict::Check;

const ID: &str = "name";

pub(super) fn check(case: &Case<'_>, ask: &Ask<'_>) -> Option<Check> {
    let board = case.board;
    let wanted = match &board.loads {
        Loads::Card(wanted) => wanted,
        Loads::Cable => return None,
        Loads::Unknown => {
            return Some(Check::open(
                ID,
                "The name that the boot loader takes is not known.",
                format!("how {} is loaded", board.name),
                "Enter `image_name` in the board's file; \"none\" if it loads over a cable.",
            ));
        }
    };
    if let Some(form) = wanted
        .rsplit_once('.')
        .and_then(|(_, extension)| Form::of_extension(extension))
        && form != case.image.form
    {
        let words = format!(
            "The file is {}. The loader takes {wanted}, which is {}.",
            case.image.form.word(),
            form.word()
        );
        // Nobody loads an ELF file from a card: it is checked for what it states beyond the file that is loaded.
        return Some(if case.image.form == Form::Elf {
            Check::open(
                ID,
                words,
                "the file that is loaded",
                format!(
                    "Check the {} of the same build as well. Load that one.",
                    form.word()
                ),
            )
        } else {
            Check::fail(
                ID,
                words,
                format!(
                    "Convert it, or choose the {} of the same build, and check that file.",
                    form.word()
                ),
            )
        });
    }
    if let Stored::As { alias, .. } = stored(wanted)
        && !wanted.contains(['*', '?'])
    {
        return Some(
            Check::open(
                ID,
                format!("{wanted} is no 8.3 name. On a card its short name is {alias}."),
                "which of the two names the loader reads",
                "Confirm `image_name` in the board's file with the manual of the board.",
            )
            .source("fat-overview"),
        );
    }
    if ask.card.is_some() {
        // What lies on the card under which name is judged there.
        return None;
    }
    let own = ask.file_name;
    Some(if matches(wanted, own) {
        Check::pass(ID, format!("{own} is the name that the loader takes.")).source("fat-overview")
    } else {
        Check::fail(
            ID,
            format!("The file is named {own}. The loader takes {wanted}."),
            format!("Copy it to the card under the name {wanted}."),
        )
        .source("fat-overview")
    })
}
