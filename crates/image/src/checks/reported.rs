//! Whether what the controller says it is stands in the checked image: then that image is the one that runs.

use crate::case::Case;
use crate::report::Ask;
use crate::texts::{contains, identities};
use crate::verdict::{Amount, Check, list};

const ID: &str = "reported";

pub(super) fn check(case: &Case<'_>, ask: &Ask<'_>) -> Option<Check> {
    let reported = ask.reported?;
    let told = identities(reported);
    let source = "common-practice";
    if told.is_empty() {
        return Some(Check::open(
            ID,
            "The reply has no version, date or name to compare.",
            "what the controller reports",
            "Ask again which controller it is, and save the whole reply.",
        ));
    }
    let absent: Vec<String> = told
        .iter()
        .filter(|text| !contains(&case.content, text))
        .cloned()
        .collect();
    let found = told.len() - absent.len();
    // Numbers tell one build from the next; names mostly stay.
    let versions: Vec<&String> = told
        .iter()
        .filter(|text| text.bytes().any(|byte| byte.is_ascii_digit()))
        .collect();
    let versions_absent = versions.iter().filter(|text| absent.contains(text)).count();
    let check = if absent.is_empty() && !versions.is_empty() {
        Check::pass(ID, format!("The reply is in the image: {}.", list(&told, 4)))
    } else if !versions.is_empty() && versions_absent == versions.len() {
        Check::fail(
            ID,
            format!("Another firmware answers: {} not in this image.", is_are(&absent)),
            "Load the image again. Check its name on the card and that the loader took it.",
        )
    } else {
        Check::open(
            ID,
            if absent.is_empty() {
                "The names of the reply are in the image; it states no version.".to_owned()
            } else {
                format!(
                    "{found} of {} texts of the reply are in the image. {} not.",
                    told.len(),
                    is_are(&absent)
                )
            },
            "whether the rest of the reply is made up while it runs",
            "Compare the version and the date with those of the build.",
        )
    };
    Some(
        check
            .value(Amount::Count(found as u64))
            .limit(Amount::Count(told.len() as u64))
            .source(source),
    )
}

fn is_are(items: &[String]) -> String {
    format!(
        "{} {}",
        list(items, 3),
        if items.len() == 1 { "is" } else { "are" }
    )
}
