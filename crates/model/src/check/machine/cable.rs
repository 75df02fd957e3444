//! The lead of a device: its wires, their colours, its connector.

use catalogue::TableFile;

use crate::check::Checker;
use crate::diagnostic::{Diagnostic, did_you_mean, listed};
use crate::file::machine::Cable;
use crate::machine::{UNKNOWN_COLOUR, UNKNOWN_PORT};
use crate::read::UNKNOWN;
use crate::source::Name;

/// The cable of a device that has no further plug: what its wires are for is usual where nothing is said.
pub(super) fn alone(cable: &mut Cable, tag: &Name, checker: &mut Checker<'_>) {
    let unstated = cable.pins.is_empty() && !checker.is_lost(cable.place, "pins");
    if unstated && let Some(usual) = checker.assumptions.of_table(cable.place, "pins") {
        cable.pins = usual;
    }
    checked(cable, tag, unstated && !cable.pins.is_empty(), checker);
}

/// Checks a cable; `unstated` where it need not state its pins.
pub(super) fn checked(cable: &mut Cable, tag: &Name, unstated: bool, checker: &mut Checker<'_>) {
    if let Some(port) = cable.old_port.as_mut().filter(|port| port.value == UNKNOWN) {
        UNKNOWN_PORT.clone_into(&mut port.value);
    }
    if cable.pins.is_empty() && !unstated && !checker.is_lost(cable.place, "pins") {
        let problem = format!("the cable `{}` has no wires", tag.value);
        checker.fault(
            Diagnostic::new("missing-key", cable.place, problem, "no `pins`")
                .expected("`pins` with the function of each wire"),
        );
    }
    let connectors = checker.catalogue.connectors().families().rows().iter();
    let names = connectors.map(|row| row.name.as_str());
    checker.in_catalogue(&cable.connector, names, "connector", TableFile::Connectors);
    for colour in &cable.colours {
        self::colour(colour, checker);
    }
    if let Some(outside) = cable
        .outside
        .filter(|outside| outside.low() > cable.length.high())
    {
        let problem = format!(
            "the cable `{}` is longer outside the case than as a whole",
            tag.value
        );
        checker.fault(
            Diagnostic::new("contradiction", outside.place, problem, "more than all of it")
                .other(cable.length.place, "its length from the device to the board")
                .expected("`outside` as a part of `length`"),
        );
    }
    if !cable.colours.is_empty() && !unstated && cable.colours.len() != cable.pins.len() {
        let problem = format!(
            "the cable `{}` has {} wires and {} colours",
            tag.value,
            cable.pins.len(),
            cable.colours.len()
        );
        let place = cable.colours.first().map_or(cable.place, |colour| colour.place);
        checker.fault(
            Diagnostic::new("contradiction", place, problem, "not one for each wire")
                .expected("one colour for each wire, or none at all")
                .help("write `--` for a wire whose colour is not known".to_owned()),
        );
    }
}

/// A letter code of IEC 60757, two of them joined, or `--` where the colour is not known.
fn colour(written: &Name, checker: &mut Checker<'_>) {
    let catalogue = checker.catalogue;
    if written.value == UNKNOWN_COLOUR || catalogue.wire_colour(&written.value).is_some() {
        return;
    }
    let colours = catalogue.colours().rows();
    let named = colours
        .iter()
        .find(|row| row.name.eq_ignore_ascii_case(&written.value));
    let help = match named {
        Some(row) => Some(format!("did you mean `{}`?", row.code)),
        None => did_you_mean(&written.value, colours.iter().map(|row| row.code.as_str())),
    };
    checker.fault(
        Diagnostic::new(
            "not-in-catalogue",
            written.place,
            format!("`{}` is no code of a wire colour", written.value),
            "no such colour",
        )
        .expected(format!(
            "letters of IEC 60757 ({}), two of them joined, or `--` where the colour is not known",
            listed(colours.iter().map(|row| row.code.as_str()))
        ))
        .help(help),
    );
}
