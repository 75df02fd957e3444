//! Ports of a board from a table of its pins. Columns are found by what stands in them; what is concluded says why.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::Problem;
use crate::table::Table;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Words {
    role: Vec<Role>,
    pin: Vec<Pin>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Role {
    role: String,
    words: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Pin {
    pin: String,
    words: Vec<String>,
}

static WORDS: LazyLock<Words> = LazyLock::new(|| {
    toml::from_str(include_str!("../../../data/port-words.toml")).expect("data/port-words.toml is tested")
});

/// A port as a table tells it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Port {
    /// Its name.
    pub name: String,
    /// The lines of the table that it comes from.
    pub lines: (usize, usize),
    /// What it is for, with the word that says so; none where no word does.
    pub role: Option<(String, String)>,
    /// The functions of its pins in their order, as far as they are understood; what stands there where one is not.
    pub pins: Vec<Result<String, String>>,
    /// Its processor pin, of several pins that which carries no supply.
    pub processor_pin: Option<String>,
    /// Its largest current, as it is written.
    pub current: Option<String>,
}

/// What a column of a table holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Column {
    Name,
    Number,
    Function,
    Processor,
    Current,
    Other,
}

/// The ports of a table of pins: CSV, tabs, HTML or Markdown as pasted from a page.
///
/// # Errors
/// [`Problem`] where it is no table, or no column holds names.
pub fn ports(text: &str) -> Result<Vec<Port>, Problem> {
    let table = Table::read(text)?;
    let columns = columns(&table)?;
    let cell = |cells: &[String], wanted: Column| -> Option<String> {
        let at = columns.iter().position(|column| *column == wanted)?;
        cells.get(at).filter(|cell| !cell.is_empty()).cloned()
    };
    let mut ports: Vec<(Port, String)> = Vec::new();
    for (line, cells) in table.rows.iter().skip(1) {
        let named = cell(cells, Column::Name);
        let again = match (&named, ports.last()) {
            (None, Some(_)) => true,
            (Some(name), Some((last, _))) => *name == last.name,
            _ => false,
        };
        if !again {
            let Some(name) = named else { continue };
            ports.push((
                Port {
                    name,
                    lines: (*line, *line),
                    ..Port::default()
                },
                String::new(),
            ));
        }
        let Some((port, said)) = ports.last_mut() else {
            continue;
        };
        port.lines.1 = *line;
        // All words of the row may tell what it is for.
        said.push(' ');
        said.push_str(&cells.join(" "));
        let function = cell(cells, Column::Function);
        let processor = cell(cells, Column::Processor);
        if let Some(function) = function {
            let several: Vec<&str> = function.split([',', '/']).map(str::trim).collect();
            let known: Vec<Option<&str>> = several.iter().map(|one| pin(one)).collect();
            if several.len() > 1 && known.iter().all(Option::is_some) {
                port.pins
                    .extend(known.into_iter().flatten().map(|pin| Ok(pin.to_owned())));
            } else {
                port.pins.push(pin(&function).map(str::to_owned).ok_or(function));
            }
        } else if let Some(processor) = &processor
            && let Some(pin) = pin(processor)
        {
            // Where the column of the processor says `GND`.
            port.pins.push(Ok(pin.to_owned()));
        }
        if let Some(processor) = processor.filter(|word| is_processor_pin(word)) {
            port.processor_pin.get_or_insert(processor);
        }
        if let Some(current) = cell(cells, Column::Current) {
            port.current.get_or_insert(current);
        }
    }
    let ports = ports.into_iter().map(|(port, said)| {
        let role = role(&said);
        let pins = by_role(role.as_ref().map(|role| role.0.as_str()), port.pins);
        Port { role, pins, ..port }
    });
    Ok(ports.collect())
}

/// The tables `[[port]]` of a board file; each line says whether it is stated, concluded or missing.
#[must_use]
pub fn as_toml(ports: &[Port], file: &str) -> String {
    let quoted = |text: &str| toml::Value::from(text).to_string();
    let mut out = String::new();
    for port in ports {
        let (first, last) = port.lines;
        let lines = if first == last {
            format!("line {first}")
        } else {
            format!("lines {first} to {last}")
        };
        out.push_str(&format!(
            "\n[[port]]  # {lines} of {}\n",
            file.replace(|letter: char| letter.is_control(), " ")
        ));
        out.push_str(&format!("name = {}\n", quoted(&port.name)));
        match &port.role {
            Some((role, word)) => out.push_str(&format!(
                "role = {}  # concluded from `{word}`, to be confirmed\n",
                quoted(role)
            )),
            None => out.push_str("# missing: role\n"),
        }
        let known: Option<Vec<&String>> = port.pins.iter().map(|pin| pin.as_ref().ok()).collect();
        match known {
            Some(pins) if !pins.is_empty() => {
                let pins: Vec<String> = pins.into_iter().map(|pin| quoted(pin)).collect();
                out.push_str(&format!(
                    "pins = [{}]  # concluded, to be confirmed: is pin 1 the first?\n",
                    pins.join(", ")
                ));
            }
            Some(_) => {}
            None => {
                let said: Vec<&str> = port
                    .pins
                    .iter()
                    .map(|pin| match pin {
                        Ok(pin) | Err(pin) => pin.as_str(),
                    })
                    .collect();
                out.push_str(&format!(
                    "# missing: pins, where the table says {}\n",
                    said.join(", ")
                ));
            }
        }
        if let Some(pin) = &port.processor_pin {
            out.push_str(&format!("processor_pin = {}  # stated\n", quoted(pin)));
        }
        if let Some(current) = &port.current {
            out.push_str(&format!("current = {}  # stated\n", quoted(current)));
        }
    }
    out
}

/// Heads of the column of names.
const NAMES: [&str; 6] = ["port", "connector", "name", "header", "socket", "label"];

/// What each column holds, by its head and by most of its cells.
fn columns(table: &Table) -> Result<Vec<Column>, Problem> {
    let width = table.rows.iter().map(|(_, cells)| cells.len()).max().unwrap_or(0);
    let head = &table.rows[0].1;
    let share = |at: usize, is: &dyn Fn(&str) -> bool| {
        let cells = table
            .rows
            .iter()
            .skip(1)
            .filter_map(|(_, cells)| cells.get(at))
            .filter(|cell| !cell.is_empty());
        let (all, own) = cells.fold((0_usize, 0_usize), |(all, own), cell| {
            (all + 1, own + usize::from(is(cell)))
        });
        if all == 0 { 0.0 } else { own as f64 / all as f64 }
    };
    let mut columns = vec![Column::Other; width];
    let taken = |columns: &mut Vec<Column>, wanted: Column, score: &dyn Fn(usize) -> f64, least: f64| {
        let best = (0..width)
            .filter(|at| columns[*at] == Column::Other)
            .map(|at| (score(at), at))
            .filter(|(score, _)| *score >= least)
            // Of equals the leftmost.
            .max_by(|one, other| one.0.total_cmp(&other.0).then(other.1.cmp(&one.1)));
        if let Some((_, at)) = best {
            columns[at] = wanted;
        }
    };
    let headed = |at: usize, words: &[&str]| {
        let head = head.get(at).map(|head| head.to_lowercase()).unwrap_or_default();
        if words.iter().any(|word| whole_word(&head, word)) {
            0.3
        } else {
            0.0
        }
    };
    taken(
        &mut columns,
        Column::Processor,
        &|at| {
            // Ports may be called as pins are: the head decides.
            share(at, &|cell| is_processor_pin(cell))
                + headed(at, &["processor", "cpu", "controller pin", "gpio", "io"])
                - 3.0 * headed(at, &NAMES)
        },
        0.5,
    );
    taken(
        &mut columns,
        Column::Current,
        &|at| share(at, &is_current) + headed(at, &["current", "max current", "amps"]),
        0.5,
    );
    taken(
        &mut columns,
        Column::Number,
        &|at| {
            share(at, &|cell| cell.parse::<u32>().is_ok_and(|number| number <= 60))
                + headed(at, &["pin", "no", "number"])
        },
        0.8,
    );
    taken(
        &mut columns,
        Column::Function,
        &|at| {
            share(at, &|cell| cell.split([',', '/']).all(|part| pin(part).is_some()))
                + headed(at, &["function", "signal", "signals", "pins", "pinout"])
        },
        0.45,
    );
    let named = |at: usize| {
        let filled = share(at, &|cell| cell.len() <= 24 && cell.split(' ').count() <= 3);
        filled * 0.5 + headed(at, &NAMES) - at as f64 * 0.01
    };
    taken(&mut columns, Column::Name, &named, 0.2);
    if !columns.contains(&Column::Name)
        && let Some(processor) = columns.iter().position(|column| *column == Column::Processor)
    {
        columns[processor] = Column::Name;
    }
    if columns.contains(&Column::Name) {
        return Ok(columns);
    }
    Err(Problem::new(
        None,
        "no column of the table holds names of ports",
        "paste the table with the names as printed on the board",
    ))
}

/// A letter of a port of the processor with a number, perhaps with a `P` in front, or a number with a point: `B4`, `PB4`, `P1.23`.
fn is_processor_pin(text: &str) -> bool {
    let text = text.trim();
    if pin(text).is_some() {
        return false;
    }
    let rest = text
        .strip_prefix(['P', 'p'])
        .filter(|rest| rest.len() > 1)
        .unwrap_or(text);
    if let Some((port, number)) = rest.split_once('.') {
        return rest.len() < text.len()
            && !port.is_empty()
            && port.len() + number.len() <= 4
            && (port.to_owned() + number)
                .bytes()
                .all(|byte| byte.is_ascii_digit());
    }
    let mut letters = rest.chars();
    let letter = letters.next().is_some_and(|letter| letter.is_ascii_uppercase());
    let number = letters.as_str();
    letter && (1..=2).contains(&number.len()) && number.bytes().all(|byte| byte.is_ascii_digit())
}

fn is_current(text: &str) -> bool {
    let text = text.trim();
    let number = text.strip_suffix("mA").or_else(|| text.strip_suffix('A'));
    number.is_some_and(|number| number.trim().parse::<f64>().is_ok_and(|number| number > 0.0))
}

/// The pin of a word.
fn pin(text: &str) -> Option<&'static str> {
    let text = text.trim().to_lowercase();
    let found = WORDS.pin.iter().find(|own| own.words.contains(&text));
    found.map(|own| own.pin.as_str())
}

/// What a port is for, and the word that says so: the first row of the words that fits.
fn role(said: &str) -> Option<(String, String)> {
    let said = said.to_lowercase();
    WORDS.role.iter().find_map(|own| {
        let word = own.words.iter().find(|word| whole_word(&said, word))?;
        Some((own.role.clone(), word.clone()))
    })
}

/// Whether a word stands in a text by itself; digits may follow it, as in `fan2`.
fn whole_word(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let after = text[at + word.len()..]
            .chars()
            .find(|letter| !letter.is_ascii_digit());
        !before.is_some_and(char::is_alphabetic) && !after.is_some_and(char::is_alphabetic)
    })
}

/// A switched output names the pole that it switches; two pins of a heater without polarity stay as they are told.
fn by_role(role: Option<&str>, pins: Vec<Result<String, String>>) -> Vec<Result<String, String>> {
    let switched = matches!(role, Some("heater output" | "switched output"));
    let poles: Vec<&str> = pins.iter().filter_map(|pin| pin.as_deref().ok()).collect();
    // With plus and minus told, which of them is switched is not: it is to be confirmed.
    if switched
        && poles.len() == pins.len()
        && poles.contains(&"+")
        && poles.contains(&"-")
        && pins.len() == 2
    {
        return pins
            .into_iter()
            .map(|pin| pin.map(|pin| if pin == "-" { "switched -".to_owned() } else { pin }))
            .collect();
    }
    pins
}
