//! The case: its size, its posts, what stands in the way, its openings.

use catalogue::TableFile;
use quantity::Number;

use crate::check::Checker;
use crate::diagnostic::Diagnostic;
use crate::file::machine::{Case, Opening};
use crate::words::Role;

pub(super) fn case(case: &Case, checker: &mut Checker<'_>) {
    if case.size.x.base() <= 0.0 || case.size.y.base() <= 0.0 {
        let problem = "a case without area";
        checker.fault(
            Diagnostic::new("bad-value", case.size.place, problem, "not above zero")
                .expected("two lengths above zero"),
        );
    }
    let screws = checker
        .catalogue
        .screws()
        .rows()
        .iter()
        .map(|row| row.name.as_str());
    checker.in_catalogue(&case.screw_size, screws, "screw", TableFile::Holes);
    for keep_out in &case.keep_out {
        if keep_out.size.x.base() <= 0.0 || keep_out.size.y.base() <= 0.0 {
            let problem = "a keep-out without area";
            checker.fault(
                Diagnostic::new("bad-value", keep_out.size.place, problem, "not above zero")
                    .expected("two lengths above zero"),
            );
        }
    }
    for opening in &case.opening {
        self::opening(opening, checker);
    }
}

fn opening(opening: &Opening, checker: &mut Checker<'_>) {
    if !matches!(opening.role.value, Role::CardSlot | Role::Usb) {
        checker.fault(
            Diagnostic::new(
                "bad-value",
                opening.role.place,
                "an opening is for a card slot or USB",
                "not plugged in from outside",
            )
            .expected("`card slot` or `USB`"),
        );
    }
    if opening.from.nominal() >= opening.to.nominal() {
        checker.fault(
            Diagnostic::new(
                "bad-value",
                opening.to.place,
                "the opening ends before it begins",
                "not above `from`",
            )
            .other(opening.from.place, "it begins here"),
        );
    }
}
