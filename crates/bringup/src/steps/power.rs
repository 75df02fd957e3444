//! First power: the supply alone, then the board with nothing plugged in.

use model::board::RailId;
use model::{DeviceKind, RailSource};
use physics::{electrics, named, work_many};
use quantity::si::ElectricCurrent;
use quantity::{Number, Value};

use crate::job::{Job, tolerated};
use crate::step::{Expected, Needs, Part, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    for pair in job.of_kind(DeviceKind::Supply) {
        let tag = pair.device().tag.value.clone();
        let supply = plan::loads::rated_voltage(&pair.device().detail);
        let Some(supply) = supply else { continue };
        let supply = tolerated(supply, job.setup.limits().supply_voltage_tolerance.value);
        let expected = job.metered_voltage(
            &format!("DC voltage at the marked ends of {tag}, no load"),
            supply,
        );
        job.push(
            Step::new(
                format!("supply:{tag}"),
                Phase::BoardAlone,
                Needs::Power,
                format!("Measure {} before it meets the board", pair.device_name()),
                "A supply that is set to another voltage is noticed before it can reach anything.",
            )
            .hazard("Mains is live inside the supply: its cover stays on. Keep one hand on the power switch.")
            .act("Fix the two ends so that they touch nothing. Plug in, switch on, measure, switch off, unplug, wait.")
            .expect(expected)
            .otherwise("a qualified person sets the supply or replaces it")
            .takes(10, 0)
            .at(&pair)
            .after(format!("poles:{tag}"))
            .after("protective-earth"),
        );
    }
    board_alone(job);
    converters(job);
    super::image::step(job);
    told(job);
}

/// Each converter of the plan, before its device is connected to it.
fn converters(job: &mut Job<'_>) {
    let own = |pair: &plan::Pair<'_>| pair.way.own_supply;
    let pairs: Vec<_> = job.setup.pairs().filter(own).collect();
    let parts = pairs.iter().filter_map(|pair| {
        let voltage = pair.device_voltage()?;
        let what = format!(
            "DC voltage at the output of the converter of {}",
            pair.device().tag
        );
        Some(Part::of("converter", pair).expect(job.metered_voltage(&what, voltage)))
    });
    let step = Step::new(
        "converters",
        Phase::BoardAlone,
        Needs::Power,
        "Set the converters and measure them",
        "A converter that is set too high destroys the device the moment it is connected.",
    )
    .parts(parts)
    .hazard("Switch off before a wire is moved. The input of a converter is live as soon as there is power.")
    .act("With none of these devices connected, connect the input of each converter. Switch on, set it where it can be set, and measure its output.")
    .act("Switch off, connect each minus to that of the board, switch on and measure once more.")
    .otherwise("another voltage: the converter is not set, or not the one of the parts list")
    .takes(4, 4)
    .after("power-board");
    job.push_parted(step);
}

fn board_alone(job: &mut Job<'_>) {
    let board = job.setup.board;
    let mut step = Step::new(
        "power-board",
        Phase::BoardAlone,
        Needs::Power,
        "Power the board with nothing plugged in but the supply",
        "Whatever fails now takes nothing with it.",
    )
    .hazard("Smoke, heat or a smell: switch off at once, unplug, wait. Eyes not above the board at the first switch-on.")
    .act(format!("Connect the supply to {}, + to +, and nothing else.", supply_port(job)))
    .act("Switch on, keep one hand on the power switch, look and smell for ten seconds.")
    .act("Measure each rail at the pins named below, the black tip fixed, one hand only. Pin 1 is marked on the board.");
    for (at, rail) in board.rails.iter().enumerate() {
        let outside = rail
            .made
            .as_ref()
            .is_some_and(|made| made.source.value == RailSource::External);
        if !outside {
            match super::rail_points::point(board, RailId(at)) {
                Some(point) => {
                    let what = format!("rail {} at {point}", rail.name);
                    step = step.expect(job.metered_voltage(&what, job.rail(RailId(at))));
                }
                None => {
                    step = step.expect(Expected::seen(
                        format!("rail {}", rail.name),
                        "comes to no pin of its own: it is measured at its first port, before that is used",
                    ));
                }
            }
        }
    }
    step = step.expect(own_current(job));
    step = step
        .act("Touch no chip: hold the back of a finger near the largest ones; nothing may be hot.")
        .expect(Expected::seen(
            "processor and regulators",
            "at most hand-warm after one minute",
        ))
        .otherwise("a rail is missing: its fuse, its jumper, or the board; do not plug anything in")
        .otherwise("a rail is too high: do not use the board")
        .takes(10, 0)
        .after("shorts");
    for id in job.all("supply:").into_iter().chain(job.all("jumper:")) {
        step = step.after(id);
    }
    for id in job.all("resistance:").into_iter().chain(job.all("coils:")) {
        step = step.after(id);
    }
    for id in job.all("contact:").into_iter().chain(job.all("poles:")) {
        step = step.after(id);
    }
    for id in ["insulation", "fuse"] {
        step = job.following(step, id);
    }
    for id in job.all("fuse:") {
        step = step.after(id);
    }
    job.push(step);
}

/// What the board draws by itself: the own use of each rail, carried up to the input; half as much again for what no file states.
fn own_current(job: &Job<'_>) -> Expected {
    let what = "current that the board draws by itself (display of a bench supply, or a meter in the cable)";
    let board = job.setup.board;
    let used: Vec<_> = board
        .rails
        .iter()
        .enumerate()
        .filter_map(|(at, rail)| {
            let own = rail.made.as_ref()?.board_current;
            let at_input = at_input(job, RailId(at), own);
            (own.high().base() > 0.0).then(|| {
                named(
                    "Iₙ",
                    format!("own use of the rail {}, at the input", rail.name),
                    at_input,
                )
            })
        })
        .collect();
    if used.is_empty() {
        let usual = job.setup.limits().rail_board_own_current.value;
        return Expected::at_most(what, Value::exact(usual.high()));
    }
    let sum = work_many(&electrics::CURRENT_SUM, "I", used, electrics::current_sum);
    Expected::at_most(what, Value::exact(sum.value.high() * 1.5)).working(sum.working)
}

fn at_input(job: &Job<'_>, rail: RailId, load: Value<ElectricCurrent>) -> Value<ElectricCurrent> {
    let (board, mut rail, mut load) = (job.setup.board, rail, load);
    while let Some(made) = &board.rail(rail).made {
        load = plan::rails::drawn_from_feeder(job.setup.swap, board, rail, load);
        rail = made.fed_by;
    }
    load
}

/// The program of settings, told and read back.
fn told(job: &mut Job<'_>) {
    let told = job
        .settings
        .settings
        .iter()
        .filter(|setting| setting.is_told())
        .count();
    if told == 0 {
        if job.settings.shown.reports.is_empty() {
            ask(job);
        }
        return;
    }
    job.push(
        Step::new(
            "settings-told",
            Phase::BoardAlone,
            Needs::Power,
            "Send the settings and read them back",
            "A setting that was not taken is found here, and not by an axis that runs too far.",
        )
        .act("Send the program of this swap, one line at a time. Store nothing yet.")
        .act("Save what the controller then reports, and compare.")
        .expect(Expected::seen(
            "settings that read back as sent",
            format!("all {told}"),
        ))
        .otherwise("the word means something else to this controller: set it in the build instead")
        .takes(10, 0)
        .after("image"),
    );
}

/// What the controller knows, asked for before it is told anything.
fn ask(job: &mut Job<'_>) {
    let word = job.settings.dialect.word_that("asks for all settings");
    let word = word.map_or_else(
        || "the word that asks for all settings".to_owned(),
        |word| format!("`{word}`"),
    );
    job.push(
        Step::new(
            "settings-asked",
            Phase::BoardAlone,
            Needs::Power,
            "Ask the controller for all its settings",
            "Its own report shows which words it knows; none is told before.",
        )
        .act(format!("Send {word} and save the answer."))
        .act("Name the file as `after_loading` of this board's `[[controller]]` in swap.toml, and run Boardswap again.")
        .expect(Expected::seen("settings in the answer", "each with its word and number"))
        .otherwise("no answer that can be read: the settings of the build sheet are then the only way")
        .takes(5, 0)
        .after("image"),
    );
}

fn supply_port(job: &Job<'_>) -> String {
    let supply = job.of_kind(DeviceKind::Supply);
    supply
        .first()
        .map_or_else(|| "its input".to_owned(), |pair| pair.port_name().to_owned())
}
