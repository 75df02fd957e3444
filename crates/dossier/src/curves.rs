//! What is better seen than read: torque over speed, the supply over the heat-up, how the control would hold.

use document::{Block, Cell, Column, Row, Section, Table, Text};
use model::Zone;
use tuning::{Outcome, WHICH};

use crate::pictures::{Pictures, heat_up, torque};
use crate::report::TAKE_THIS;
use crate::shown::{Held, Shown};
use crate::words::capital;

/// Torque at speed, the supply and control.
pub(crate) fn section(shown: &Shown<'_>, pictures: &Pictures) -> Vec<Block> {
    vec![
        Section::new("Torque over speed", torque_over_speed(shown, pictures))
            .at("torque")
            .into(),
        Section::new(heat_up::TITLE, heating_up(shown, pictures))
            .at("heat-up")
            .into(),
        Section::new("How the control would hold", control(shown))
            .at("control")
            .into(),
    ]
}

fn torque_over_speed(shown: &Shown<'_>, pictures: &Pictures) -> Vec<Block> {
    let mut blocks = vec![Block::say(if shown.curves.is_empty() {
        "Not drawn: the file of the machine does not tell resistance, inductance and holding torque of any motor."
    } else {
        "What each motor gives before it loses steps, from its winding, the switches of its driver and the supply, against what \
         its axis asks. Iron losses, friction and resonance are left out; the reserve is for them."
    })];
    for (curve, name) in shown.curves.iter().zip(torque::names(shown)) {
        blocks.extend(pictures.block(&name));
        blocks.push(Block::remark(torque::words(curve)));
    }
    blocks
}

fn heating_up(shown: &Shown<'_>, pictures: &Pictures) -> Vec<Block> {
    match &shown.heat_up {
        Some(courses) => {
            let picture = pictures.block("heat-up.svg");
            picture
                .into_iter()
                .chain([Block::remark(courses.words())])
                .collect()
        }
        None => vec![Block::say(
            "Not drawn: the file of the machine does not tell heat capacity and loss of any heater.",
        )],
    }
}

fn control(shown: &Shown<'_>) -> Vec<Block> {
    if shown.control.is_empty() {
        return vec![Block::say(
            "Not predicted: the file of the machine does not tell heat capacity and loss of any heated part.",
        )];
    }
    let said = Text::of(
        "Settings by published rules, each run against this part and this temperature input: limits of the power, pulses, steps \
         and noise. ",
    );
    let said = said.and(WHICH).and(" The same as a file: ");
    let mut blocks = vec![Block::say(said.code("temperature-control.csv").and("."))];
    let parts = shown.control.iter();
    blocks.extend(parts.map(|held| {
        let log = is_logged(shown, held.zone).then(|| Block::say(LOGGED));
        let inner = log.into_iter().chain([table(held).into()]).collect();
        Section::new(capital(&held.heater), inner).into()
    }));
    blocks
}

/// What is said of a part of which a log tells the process.
const LOGGED: &str = "A log of this part is under Measurement results: take the settings marked there.";

/// Whether a log tells how this part heats.
fn is_logged(shown: &Shown<'_>, zone: Zone) -> bool {
    let logs = shown.material.evidence.iter().flat_map(|own| &own.analyses);
    logs.filter(|log| log.ask.name == zone.word())
        .any(|log| log.process.is_ok() && !log.scale_in_doubt)
}

/// The rule, marked as in the tables of measurements.
fn name(row: &Outcome) -> Cell {
    let name = Text::of(row.rule.name);
    Cell::from(if row.chosen { name.and(TAKE_THIS) } else { name })
}

fn table(held: &Held) -> Table {
    let columns = [
        Column::text("Rule"),
        Column::number("Gain, % of full power per K"),
        Column::number("Integral time, s"),
        Column::number("Derivative time, s"),
        Column::number("Overshoot, K; worst case"),
        Column::number("Within 1 K after, s; worst case"),
        Column::number("Temperature swing, K; worst case"),
        Column::number("Peak of sensitivity, nominal and liveliest"),
        Column::number("Gain margin, liveliest"),
    ];
    let rows = held.predictions.iter().map(|row| {
        let [
            gain,
            integral,
            derivative,
            peak,
            peak_worst,
            margin,
            overshoot,
            overshoot_worst,
            settled,
            settled_worst,
            swing,
            swing_worst,
        ] = crate::sheets::figures(row);
        let integral = if integral.is_empty() {
            "none".to_owned()
        } else {
            integral
        };
        Row::of([
            name(row),
            gain.into(),
            integral.into(),
            derivative.into(),
            format!("{overshoot}; {overshoot_worst}").into(),
            format!("{settled}; {settled_worst}").into(),
            format!("{swing}; {swing_worst}").into(),
            format!("{peak}; {peak_worst}").into(),
            margin.into(),
        ])
    });
    Table::new(columns, rows)
}
