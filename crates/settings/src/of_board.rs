//! What the report of a controller says of its board, held against the file of that board: another name, another processor, other parts.
//!
//! A report is easily saved under the wrong name, and a digit of a board's file is easily lost. Neither side is believed: both places are named.

use std::collections::HashSet;

use catalogue::Catalogue;
use model::board::{Board, Driver, PortKind, ThermometerInput};
use model::machine::Detail;
use model::{Captured, Circuit, CurrentDefinition, Place, Swap, Topic, Zone};
use plan::{CONTROLLER_REPORT, Finding, Setup, Stake, Subject, Verdict};
use quantity::si::{self, ElectricCurrent, ElectricalResistance, Frequency};
use quantity::{AnyValue, Digits, Number as _, Value, parse_value, show};

use crate::bounds;
use crate::captured::{Report, Reported};
use crate::expected::Expected;

/// Words that say that a line is about the processor.
const OF_PROCESSOR: [&str; 6] = ["processor", "cpu", "core", "clock", "mcu", "chip"];

/// Within this share two clocks are one.
const SAME_CLOCK: f64 = 0.03;

/// A shorter name of a board is a common word rather than a name.
const SHORTEST_NAME: usize = 3;

/// What the reports of the old controller and of the new one contradict in the files of their boards.
pub(crate) fn findings(setup: &Setup<'_>, loaded: &[Report], texts: &[Captured]) -> Vec<Finding> {
    let swap = setup.swap;
    let mut found = Vec::new();
    for text in &swap.old_settings {
        named(swap, &swap.old, text, &mut found);
    }
    for text in texts {
        named(swap, setup.board, text, &mut found);
    }
    pull_ups(setup, loaded, &mut found);
    drivers(setup, loaded, &mut found);
    found
}

fn contradiction(
    about: impl Into<String>,
    stake: Stake,
    place: Place,
    headline: String,
    remedy: String,
) -> Finding {
    let subject = Subject::named(about);
    Finding {
        id: format!(
            "{CONTROLLER_REPORT}:{}",
            subject.other.as_deref().unwrap_or_default().replace(' ', "-")
        ),
        check: CONTROLLER_REPORT,
        stake,
        verdict: Verdict::Caution,
        subject,
        place: Some(place),
        remedy: Some(remedy.into()),
        ..Finding::new(headline, "own-statement")
    }
}

/// A report that names another board of the swap, or a processor that its board does not have.
fn named(swap: &Swap, board: &Board, report: &Captured, found: &mut Vec<Finding>) {
    let text = report.text.to_lowercase();
    // What the controller said itself, then what somebody wrote above it.
    let spoken: Vec<&str> = text
        .lines()
        .map(|line| {
            if line.trim_start().starts_with(';') {
                ""
            } else {
                line
            }
        })
        .collect();
    let spoken = spoken.join("\n");
    let boards = || std::iter::once(&swap.old).chain(&swap.candidates);
    // Of very many boards most are named by no word of it.
    let words: HashSet<&str> = words_of(&text).collect();
    let other = |text: &str| {
        let says = |board: &Board| {
            let name = board.name.value.to_lowercase();
            let known = words_of(&name).all(|word| words.contains(word));
            known.then(|| is_named(text, &name)).flatten()
        };
        if says(board).is_some() {
            return None;
        }
        let mut others = boards().filter(|other| other.name.value != board.name.value);
        others.find_map(|other| Some((other, says(other)?)))
    };
    if let Some((other, line)) = other(&spoken).or_else(|| other(&text)) {
        found.push(contradiction(
            format!("{} name", report.path),
            Stake::Hardware,
            board.name.place,
            format!(
                "{}:{line} names {}, and the report stands as that of {}",
                report.path, other.name, board.name
            ),
            format!(
                "name the report of {} in swap.toml, or correct its line",
                board.name
            ),
        ));
    }
    processor(swap, board, report, &text, found);
}

/// The words of a text: what stands between characters that are no letters and no digits.
fn words_of(text: &str) -> impl Iterator<Item = &str> {
    let words = text.split(|character: char| !character.is_alphanumeric());
    words.filter(|word| !word.is_empty())
}

/// The line that names something as a word of its own.
fn is_named(text: &str, name: &str) -> Option<usize> {
    let name = name.to_lowercase();
    if name.chars().count() < SHORTEST_NAME {
        return None;
    }
    let apart = |character: Option<char>| character.is_none_or(|character| !character.is_alphanumeric());
    let mut found = text.match_indices(&name).filter(|(at, found)| {
        apart(text[..*at].chars().next_back()) && apart(text[at + found.len()..].chars().next())
    });
    let (at, _) = found.next()?;
    Some(text[..at].matches('\n').count() + 1)
}

fn processor(swap: &Swap, board: &Board, report: &Captured, text: &str, found: &mut Vec<Finding>) {
    let stated = |key: &str| {
        let of = |own: &&model::Assumed| {
            own.of == "processor" && own.key == key && own.place.file == board.place.file
        };
        swap.assumed.iter().find(of).is_none()
    };
    let processor = &board.processor;
    let mut say = |what: &str, line: usize, said: String, place: Place, own: String| {
        found.push(contradiction(
            format!("{} {what}", report.path),
            Stake::Hardware,
            place,
            format!(
                "{}:{line} says {said}, and the file of {} says {own}. Report or file is of another board",
                report.path, board.name
            ),
            "read the marking of the processor. Correct the board's file, or name the right report, before anything is loaded".to_owned(),
        ));
    };
    let own = family(&processor.core.value, &swap.catalogue);
    if let (true, Some(own)) = (stated("core"), own) {
        let cores = || lines(text).filter_map(|(at, line)| Some((at, family(line, &swap.catalogue)?)));
        if let Some((line, other)) = cores().next().filter(|_| cores().all(|(_, core)| core != own)) {
            say(
                "core",
                line,
                other,
                processor.core.place,
                processor.core.value.clone(),
            );
        }
    }
    if stated("clock") {
        let clock = processor.clock.value;
        let clocks = || lines(text).filter_map(|(at, line)| Some((at, clock_of(line)?)));
        let same = |other: Frequency| {
            let share = other / clock.nominal();
            share.base() < 1.0 + SAME_CLOCK && share.base() > 1.0 - SAME_CLOCK
        };
        if let Some((line, other)) = clocks()
            .next()
            .filter(|_| !clocks().any(|(_, other)| same(other)))
        {
            let said = format!("a clock of {}", Value::exact(other));
            say(
                "clock",
                line,
                said,
                processor.clock.place,
                processor.clock.value.to_string(),
            );
        }
    }
}

fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.lines().enumerate().map(|(at, line)| (at + 1, line))
}

/// The family of the core that a text names first: "cortex-m7" of "Cortex-M7 with double precision".
fn family(text: &str, catalogue: &Catalogue) -> Option<String> {
    let text = text.to_lowercase();
    let of_row = |name: &str| -> Option<(usize, String)> {
        let family = name.split(' ').next()?.to_lowercase();
        // An F behind the number tells of a floating-point unit: the family is the same.
        let family = match family.strip_suffix('f') {
            Some(short) if short.ends_with(|last: char| last.is_ascii_digit()) => short.to_owned(),
            _ => family,
        };
        let at = text.match_indices(&family).find(|(at, found)| {
            let before = text[..*at].chars().next_back();
            let after = text[at + found.len()..].chars().next();
            before.is_none_or(|before| !before.is_alphanumeric())
                && after.is_none_or(|after| {
                    !after.is_ascii_digit() && after != '+' && (!after.is_alphanumeric() || after == 'f')
                })
        });
        at.map(|(at, _)| (at, family))
    };
    let rows = catalogue.images().cores().rows().iter();
    let names = rows.flat_map(|core| {
        std::iter::once((&core.name, &core.name)).chain(core.also.iter().map(|also| (also, &core.name)))
    });
    let found = names.filter_map(|(written, name)| {
        Some((
            of_row(written)?.0,
            of_row(name).map_or_else(|| name.to_lowercase(), |own| own.1),
        ))
    });
    found.min_by_key(|(at, _)| *at).map(|(_, family)| family)
}

/// The clock that a line about the processor tells: a number in front of MHz.
fn clock_of(line: &str) -> Option<Frequency> {
    if !OF_PROCESSOR.iter().any(|word| is_named(line, word).is_some()) {
        return None;
    }
    let end = line.find("mhz")?;
    let number = line[..end].trim_end();
    let from = number
        .rfind(|c: char| !c.is_ascii_digit() && c != '.')
        .map_or(0, |at| at + 1);
    parse_value::<Frequency>(&format!("{} MHz", &number[from..]))
        .ok()
        .map(|clock| clock.nominal())
}

fn place_of(swap: &Swap, place: Place) -> String {
    Expected { swap }.said(place)
}

/// The last of what was reported of a setting, with its report.
fn last<'r>(reports: &'r [Report], topic: Topic, of: &str) -> Option<(&'r Report, &'r Reported)> {
    reports
        .iter()
        .rev()
        .find_map(|report| Some((report, report.last(topic, of)?)))
}

fn in_short(value: &AnyValue) -> String {
    show(value, Digits::new(4))
}

/// Pull-ups that the controller counts with, beside those of the inputs that its sensors are at; an input that none is at is named where it
/// looks like a slip of one digit.
fn pull_ups(setup: &Setup<'_>, reports: &[Report], found: &mut Vec<Finding>) {
    let (swap, board) = (setup.swap, setup.board);
    let mut reported: Vec<(&Report, &Reported, ElectricalResistance)> = Vec::new();
    for zone in Zone::ALL {
        let Some((report, value)) = last(reports, Topic::ThermometerPullUp, zone.word()) else {
            continue;
        };
        let Some(told) = value
            .value
            .typed::<ElectricalResistance>()
            .map(|told| told.nominal())
        else {
            continue;
        };
        reported.push((report, value, told));
        let sensor = setup
            .pairs()
            .find(|pair| matches!(&pair.device().detail, Detail::Thermometer(own) if own.zone == *zone));
        let Some(pair) = sensor else { continue };
        let port = pair.port();
        if let Some(input) = divider(&port.kind).filter(|input| differs(told, input)) {
            found.push(pull_up(swap, board, &port.name.value, input, (report, value)));
        }
    }
    for port in &board.ports {
        let used = setup.pairs().any(|pair| pair.port().name == port.name);
        let Some(input) = divider(&port.kind).filter(|_| !used) else {
            continue;
        };
        let all_differ = !reported.is_empty() && reported.iter().all(|(_, _, told)| differs(*told, input));
        let slip = reported.iter().find(|(_, _, told)| {
            let decades = (*told / input.pull_up.nominal()).base().log10();
            decades.round() != 0.0 && (decades - decades.round()).abs() < 0.01
        });
        if let Some((report, value, _)) = slip.filter(|_| all_differ) {
            found.push(pull_up(swap, board, &port.name.value, input, (report, value)));
        }
    }
}

fn divider(kind: &PortKind) -> Option<&ThermometerInput> {
    match kind {
        PortKind::Thermometer(input) if input.circuit.value == Circuit::Divider => Some(input),
        _ => None,
    }
}

fn differs(told: ElectricalResistance, input: &ThermometerInput) -> bool {
    let allowed = bounds::beside(Topic::ThermometerPullUp).map_or(1.0, |row| row.told);
    let stated = input.pull_up.value;
    // What nobody stated is an interval, and contradicts nothing within it.
    (told / stated.high()).base() > allowed || (stated.low() / told).base() > allowed
}

fn pull_up(
    swap: &Swap,
    board: &Board,
    port: &str,
    input: &ThermometerInput,
    (report, value): (&Report, &Reported),
) -> Finding {
    let own = AnyValue::from(Value::exact(input.pull_up.nominal()));
    contradiction(
        format!("{} {port} pull-up", board.name),
        Stake::Safety,
        input.pull_up.place,
        format!(
            "the pull-up of {port} is {} in {}, and {}:{} counts with {} for the {}. Temperatures from the wrong one are wrong",
            in_short(&own),
            place_of(swap, input.pull_up.place),
            report.path,
            value.line,
            in_short(&value.value),
            value.of
        ),
        format!(
            "measure {port} with power off and the sensor unplugged, from its signal to the 3.3 V or 5 V of the logic, and correct the file. Or load firmware that is built for this board"
        ),
    )
}

/// Currents and microsteps that the drivers of the file cannot have.
fn drivers(setup: &Setup<'_>, reports: &[Report], found: &mut Vec<Finding>) {
    let swap = setup.swap;
    for pair in setup.pairs() {
        let (Detail::Motor(motor), Some(driver)) = (&pair.device().detail, pair.driver()) else {
            continue;
        };
        let axis = &swap.machine.axis(motor.axis).name.value;
        if pair.way.second {
            continue;
        }
        let mut say = |what: &str,
                       (report, value): (&Report, &Reported),
                       said: String,
                       place: Place,
                       most: String| {
            let file = place_of(swap, place);
            found.push(contradiction(
                format!("{} {} {what}", setup.board.name, driver.name),
                Stake::Hardware,
                place,
                format!(
                    "{}:{} says {said} for {axis}, and {file} gives its driver {} at most {most}. Driver or report is another one",
                    report.path, value.line, driver.name
                ),
                "read the marking of the driver, and correct the board's file or name the right report".to_owned(),
            ));
        };
        if let Some(told) = last(reports, Topic::MotorCurrent, axis)
            && let Some(current) = told
                .1
                .value
                .typed::<ElectricCurrent>()
                .map(|current| current.nominal())
        {
            let most = most_rms(driver);
            if current.base() > most.base() * 1.02 {
                let most = in_short(&AnyValue::from(Value::exact(most)));
                say(
                    "current",
                    told,
                    in_short(&told.1.value),
                    driver.current.place,
                    most,
                );
            }
        }
        if let Some(told) = last(reports, Topic::Microsteps, axis)
            && told.1.number > f64::from(driver.max_microsteps.value)
        {
            let most = format!("{} microsteps", driver.max_microsteps.value);
            say(
                "microsteps",
                told,
                format!("{} microsteps", told.1.number),
                driver.max_microsteps.place,
                most,
            );
        }
    }
}

/// The largest effective current of a driver.
fn most_rms(driver: &Driver) -> ElectricCurrent {
    let most = driver.current.high();
    match driver.current_definition {
        CurrentDefinition::Rms => most,
        CurrentDefinition::Peak => si::ampere(most.base() * core::f64::consts::FRAC_1_SQRT_2),
    }
}

#[cfg(test)]
mod tests {
    use quantity::Number as _;

    use super::{clock_of, family, is_named, words_of};

    #[test]
    fn a_name_is_found_as_line_by_line() {
        let by_lines = |text: &str, name: &str| {
            let apart = |end: Option<char>| end.is_none_or(|end| !end.is_alphanumeric());
            let whole = |line: &str| {
                line.match_indices(name).any(|(at, found)| {
                    apart(line[..at].chars().next_back()) && apart(line[at + found.len()..].chars().next())
                })
            };
            text.lines().position(whole).map(|at| at + 1)
        };
        let texts = [
            "birch b6",
            "xbirch b6\nbirch b60\r\n;birch b6,\nbirch b6",
            "birch\nb6",
            "ünbirch b6 birch b6",
            "",
            "\n\nbirch b6\n",
            "birch b6birch b6",
        ];
        for text in texts {
            assert_eq!(is_named(text, "birch b6"), by_lines(text, "birch b6"), "{text}");
            if is_named(text, "birch b6").is_some() {
                let words: Vec<&str> = words_of(text).collect();
                assert!(words_of("birch b6").all(|word| words.contains(&word)), "{text}");
            }
        }
    }

    #[test]
    fn names_and_cores_are_words_of_their_own() {
        let catalogue = catalogue::built_in();
        let of = |text: &str| family(text, catalogue);
        assert_eq!(
            of("Cortex-M7 with double precision").as_deref(),
            Some("cortex-m7")
        );
        assert_eq!(
            of("runs on a cortex-m4f at 110 MHz").as_deref(),
            Some("cortex-m4")
        );
        assert_eq!(of("cortex-m33").as_deref(), Some("cortex-m33"));
        assert_eq!(of("cortex-m0+").as_deref(), Some("cortex-m0+"));
        assert_eq!(of("AVR").as_deref(), Some("8-bit"));
        assert_eq!(of("nothing of the kind"), None);
        assert_eq!(is_named("x\nfor birch b6, say", "Birch B6"), Some(2));
        assert_eq!(is_named("birch b60", "Birch B6"), None);
        assert_eq!(
            clock_of("processor: 72 mhz").map(|clock| clock.base()),
            Some(72e6)
        );
        assert_eq!(clock_of("bus at 8 mhz"), None);
    }
}
