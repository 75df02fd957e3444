//! What the invented controllers of the demonstration swap report, and what is wrong with it.
//!
//! Each controller has an order and a layout of its own, drawn from a seed: no controller of this trade stood model for them.

use model::{Dialect, SettingWord, Slot, Swap, Topic};
use plan::Plan;
use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64;
use settings::SettingValue;

/// The board whose controller was told its settings.
pub const BOARD: &str = "Alder A4";

/// The boards that were loaded, with what each controller reported then.
pub const LOADED: [(&str, &str); 2] = [
    (BOARD, "captured/alder-after-loading.gcode"),
    ("Birch B6", "captured/birch-after-loading.gcode"),
];

/// What the old controller reported.
pub const OLD: &str = "captured/old-controller.gcode";

/// What the new one reported after it was told.
pub const READ_BACK: &str = "evidence/read-back.txt";

/// The setting that the controller did not take: what it was told, and what it reports.
pub const DIFFERS: (&str, &str, &str) = ("steps-per-length:E", "E417.5", "E405");

/// The setting whose lines were lost on the way, where the terminal was closed too early.
pub const LOST: Topic = Topic::Microsteps;

/// The seeds of the layouts: old and new controller.
const SEEDS: [u64; 2] = [7_501, 7_502];

/// All files by their path, made one after the other, since what is told follows from what was captured.
pub fn files(mut folder: samples::Folder) -> Vec<(&'static str, String)> {
    let loaded = LOADED.map(|(board, path)| (path, board));
    let paths = [(OLD, BOARD), loaded[0], loaded[1], (READ_BACK, BOARD)];
    for (path, _) in paths {
        folder.insert(path.to_owned(), Vec::new());
    }
    let mut out = Vec::new();
    for (path, name) in paths {
        let swap = model::load(&folder).unwrap_or_else(|faults| panic!("{:?}", faults.faults));
        let board = swap.candidates.iter().find(|board| board.name.value == name);
        let plan = plan::plan(&swap, board.expect("the demo has the board"));
        let text = match path {
            OLD => captured(&swap),
            READ_BACK => read_back(&plan),
            _ => after_loading(&plan),
        };
        folder.insert(path.to_owned(), text.clone().into_bytes());
        out.push((path, text));
    }
    out
}

/// What the old controller knew: the setting, whose, the number.
const KNOWN: &[(Topic, &str, f64)] = &[
    (Topic::StepsPerLength, "X", 80.0),
    (Topic::StepsPerLength, "Y", 80.32),
    (Topic::StepsPerLength, "Z", 400.0),
    (Topic::StepsPerLength, "E", 417.5),
    (Topic::TopSpeed, "X", 180.0),
    (Topic::TopSpeed, "Y", 150.0),
    (Topic::TopSpeed, "Z", 10.0),
    (Topic::TopSpeed, "E", 45.0),
    (Topic::Acceleration, "X", 1500.0),
    (Topic::Acceleration, "Y", 1000.0),
    (Topic::Acceleration, "Z", 100.0),
    (Topic::Acceleration, "E", 3000.0),
    (Topic::PrintAcceleration, "machine", 1000.0),
    (Topic::RetractAcceleration, "machine", 2500.0),
    (Topic::TravelAcceleration, "machine", 1200.0),
    (Topic::CornerSpeed, "X", 7.0),
    (Topic::CornerSpeed, "Y", 7.0),
    (Topic::CornerSpeed, "Z", 0.27),
    (Topic::CornerSpeed, "E", 3.6),
    (Topic::ZeroShift, "X", 0.0),
    (Topic::ZeroShift, "Y", 0.0),
    (Topic::ZeroShift, "Z", -0.35),
    (Topic::ControlProportional, "hot end", 51.7),
    (Topic::ControlIntegral, "hot end", 3.45),
    (Topic::ControlDerivative, "hot end", 193.4),
    (Topic::ControlProportional, "bed", 390.6),
    (Topic::ControlIntegral, "bed", 57.2),
    (Topic::ControlDerivative, "bed", 666.7),
    (Topic::ThermometerResistance, "hot end", 100_000.0),
    (Topic::ThermometerConstant, "hot end", 4036.0),
    (Topic::ThermometerPullUp, "hot end", 4700.0),
    (Topic::ThermometerResistance, "bed", 100_000.0),
    (Topic::ThermometerConstant, "bed", 3950.0),
    (Topic::ThermometerPullUp, "bed", 4700.0),
    (Topic::WarmUpHotEnd, "preset 0", 208.0),
    (Topic::WarmUpBed, "preset 0", 57.0),
    (Topic::WarmUpFan, "preset 0", 672.0),
    (Topic::WarmUpHotEnd, "preset 1", 234.0),
    (Topic::WarmUpBed, "preset 1", 92.0),
    (Topic::WarmUpFan, "preset 1", 0.0),
    (Topic::FilamentDiameter, "machine", 1.75),
];

/// A line of a report: a word with the letter that picks a part, and what follows it.
struct Line<'a> {
    row: &'a SettingWord,
    pick: Option<(char, usize)>,
    numbers: Vec<(char, f64)>,
}

/// The lines of numbers, each setting at its place in the dialect; letters in the order of the rows.
fn lines<'a>(dialect: &'a Dialect, known: &[(Topic, String, f64)]) -> Vec<Line<'a>> {
    let mut out: Vec<Line<'a>> = Vec::new();
    for (topic, of, number) in known {
        let Some(Slot { word, letter, pick }) = dialect.slot(*topic, of) else {
            continue;
        };
        match out
            .iter_mut()
            .find(|line| line.row.word == word.word && line.pick == pick)
        {
            Some(line) => line.numbers.push((letter, *number)),
            None => out.push(Line {
                row: word,
                pick,
                numbers: vec![(letter, *number)],
            }),
        }
    }
    out
}

/// The decimals that a number needs, up to three.
fn needed(number: f64) -> usize {
    (0..3)
        .find(|digits| format!("{number:.digits$}").parse() == Ok(number))
        .unwrap_or(3)
}

fn shuffled<T>(mut items: Vec<T>, random: &mut Pcg64) -> Vec<T> {
    for at in (1..items.len()).rev() {
        items.swap(at, random.random_range(0..=at));
    }
    items
}

fn picked(pick: Option<(char, usize)>) -> String {
    pick.map_or_else(String::new, |(letter, number)| format!(" {letter}{number}"))
}

/// The unit of a row in the words of a controller; where families differ, the old one counts by the second.
fn unit(row: &SettingWord) -> String {
    row.units
        .first()
        .filter(|unit| !unit.is_empty())
        .map_or_else(String::new, |unit| format!(" [{}]", unit.replace('²', "2")))
}

/// The old controller: each line says behind it what it is, with as many decimals as its widest number needs, or one more.
fn captured(swap: &Swap) -> String {
    let dialect = &swap.controller(&swap.old).dialect;
    let known: Vec<(Topic, String, f64)> = KNOWN
        .iter()
        .map(|(topic, of, number)| (*topic, (*of).to_owned(), *number))
        .collect();
    let mut random = Pcg64::seed_from_u64(SEEDS[0]);
    let lines = shuffled(lines(dialect, &known), &mut random);
    let mut out = "; What the old controller of the demonstration swap reported before it was unplugged.\n\
                   ; Invented for this example: saved from a terminal, with what terminals add and lose.\n\
                   ; Traps to learn from: a switch position that no longer counts, a steps value that somebody bent until a test cube\n\
                   ; measured right, a thermometer constant that was fitted to the old input, a word that no row explains, and lines that\n\
                   ; arrived in pieces.\n\
                   awake\n> M503\n"
        .to_owned();
    for (at, line) in lines.iter().enumerate() {
        let digits = line
            .numbers
            .iter()
            .map(|(_, number)| needed(*number))
            .max()
            .unwrap_or(0);
        let digits = digits + random.random_range(0..2);
        let numbers: Vec<String> = line
            .numbers
            .iter()
            .map(|(letter, number)| format!(" {letter}{number:.digits$}"))
            .collect();
        let said = title(line.row.topic).to_owned() + &unit(line.row);
        out += &format!(
            "{}{}{} ({said})\n",
            line.row.word,
            picked(line.pick),
            numbers.concat()
        );
        if at == 8 {
            out += "M7316 Q0.064 (pressure of the filament)\n";
        }
    }
    let probe = dialect
        .slot(Topic::ProbeOffset, "X")
        .map_or("M1", |slot| slot.word.word.as_str());
    out += &format!(" M9\n2 X80.00 Y8\npr#be {probe} X-?? Y\nno more\n");
    out += &heat_up(dialect);
    out
}

/// What a line is called in a report of the old controller.
fn title(topic: Topic) -> &'static str {
    match topic {
        Topic::PrintAcceleration | Topic::RetractAcceleration | Topic::TravelAcceleration => {
            "acceleration: printing, filament alone, travelling"
        }
        Topic::ThermometerResistance | Topic::ThermometerConstant | Topic::ThermometerPullUp => {
            "thermistor: at 25 degrees, constant, pull-up"
        }
        Topic::WarmUpHotEnd | Topic::WarmUpBed | Topic::WarmUpFan => "warm-up",
        Topic::ControlProportional | Topic::ControlIntegral | Topic::ControlDerivative => "control",
        Topic::TopSpeed => "highest speed",
        other => other.title(),
    }
}

/// Some temperatures after the settings, one of them in pieces.
fn heat_up(dialect: &Dialect) -> String {
    let full = full(dialect);
    let at = |hot: &str, target: &str, bed: &str, share: f64| {
        format!("B:{bed} /0 T:{hot} /{target} B@:0 @:{:.0}\n", full * share)
    };
    [
        "> M105\n".to_owned(),
        at("21.6", "0", "21.9", 0.0),
        "> M104 S210\n> M105\n".to_owned(),
        at("63.4", "210", "21.9", 1.0),
        at("118.9", "210", "22.0", 1.0),
        at("171.2", "210", "22.1", 1.0),
        "B:22.2 /0 T:20?.7 /210 B@".to_owned() + "\n",
        at("210.4", "210", "22.3", 0.48),
        "> M104 S0\n> M114\nX:0.00 Y:0.00 Z:0.00 E:0.00\n".to_owned(),
    ]
    .concat()
}

/// What full power of a heater counts as in the reports of a controller.
pub fn full(dialect: &Dialect) -> f64 {
    let mut drives = dialect.rows().iter().filter_map(|row| match row.meaning {
        model::Meaning::Report { full, .. } => full,
        _ => None,
    });
    drives.next_back().expect("the words tell it")
}

/// The settings of a plan that the new controller has a word for, with the numbers that they shall have.
fn meant(plan: &Plan<'_>) -> Vec<(Topic, String, f64)> {
    let settings = settings::settings(&plan.setup());
    let dialect = &settings.dialect;
    let number = |setting: &settings::Setting| {
        let slot = dialect
            .slot(setting.topic, &setting.of)
            .filter(|slot| slot.word.running)?;
        let value = setting.new.as_ref().and_then(SettingValue::any);
        let mut row = slot.word.clone();
        // Before its report was read it is not certain how it counts; the truth is that it counts the effective value, by the second.
        row.measure = row.measure.or(Some(model::CurrentDefinition::Rms));
        row.units.truncate(1);
        let number = value.and_then(|value| row.number(&value)).unwrap_or(0.0);
        Some((setting.topic, setting.of.clone(), number))
    };
    settings.settings.iter().filter_map(number).collect()
}

/// The new controller: numbered lines under headings, no more decimals than a number needs.
fn report(plan: &Plan<'_>, numbers: &[(Topic, String, f64)], head: &str) -> String {
    let dialect = &plan.swap.controller(plan.board).dialect;
    let mut random = Pcg64::seed_from_u64(SEEDS[1]);
    // In an order that does not hang on what a report leaves out.
    let every = meant(plan);
    let all = shuffled(lines(dialect, &every), &mut random);
    let known = lines(dialect, numbers);
    let mut out = head.to_owned() + "> M503\n";
    let mut before = None;
    let mut count = 0;
    for place in all {
        let line = known
            .iter()
            .find(|line| line.row.word == place.row.word && line.pick == place.pick);
        let Some(line) = line else { continue };
        let heading = match line.row.topic {
            Topic::MotorCurrent => "motor current, rms [mA]".to_owned(),
            topic => format!("{}{}", topic.title(), unit(line.row)),
        };
        if before.as_ref() != Some(&heading) {
            out += &format!("-- {heading} --\n");
            before = Some(heading);
        }
        count += 1;
        let numbers: Vec<String> = line
            .numbers
            .iter()
            .map(|(letter, number)| format!(" {letter}{number:.digits$}", digits = needed(*number)))
            .collect();
        out += &format!(
            "{count:02}> {}{}{}\n",
            line.row.word,
            picked(line.pick),
            numbers.concat()
        );
    }
    out + "-- that is all --\n"
}

/// What the new controller comes with: other numbers than it shall have.
fn after_loading(plan: &Plan<'_>) -> String {
    let mut random = Pcg64::seed_from_u64(SEEDS[1] + 1);
    let mut numbers = meant(plan);
    for (topic, _, number) in &mut numbers {
        let factor = f64::from(random.random_range(6_u32..=13)) / 10.0;
        let drawn = *number * factor;
        let digits = 10_f64.powf((drawn.abs().max(1e-3)).log10().floor() - 1.0);
        *number = match topic {
            Topic::Microsteps => f64::from(1_u32 << random.random_range(3..=5)),
            Topic::FilamentDiameter => *number,
            _ => ((drawn / digits).round() * digits * 1e3).round() / 1e3,
        };
    }
    let head = format!(
        "; Invented for this example, nothing was asked: what the new controller of {} reports after it was loaded, before it is told\n\
         ; anything. The numbers are those it came with; that it knows these words and letters is what counts.\n",
        plan.board.name
    );
    report(plan, &numbers, &head)
}

/// What it reports once it was told, with the two faults above.
fn read_back(plan: &Plan<'_>) -> String {
    let settings = settings::settings(&plan.setup());
    let told = settings::captured::read(&settings::gcode(&settings), &settings.dialect);
    let told = told.values.into_iter().filter(|value| value.topic != LOST);
    let numbers: Vec<(Topic, String, f64)> =
        told.map(|value| (value.topic, value.of, value.number)).collect();
    let head = format!(
        "; Invented for this example, nothing was asked: what the new controller of {BOARD} reports of its settings.\n\
         ; Traps to learn from: a value that was told and not taken, and lines that were lost.\n"
    );
    report(plan, &numbers, &head).replace(DIFFERS.1, DIFFERS.2)
}
