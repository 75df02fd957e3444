//! First power: the supply alone, then the board with nothing plugged in.

use model::DeviceKind;
use model::board::RailId;
use physics::{electrics, named, work};

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    for pair in job.of_kind(DeviceKind::Supply) {
        let tag = pair.device().tag.value.clone();
        let supply = plan::loads::rated_voltage(&pair.device().detail);
        let Some(supply) = supply else { continue };
        let expected = voltage(
            job,
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
            .hazard("Mains is live inside the supply: its cover stays on. Keep a hand at the switch.")
            .act("Fix the two ends so that they touch nothing. Plug in, switch on, measure, switch off, unplug, wait.")
            .expect(expected)
            .otherwise("a qualified person sets the supply or replaces it")
            .tag(&tag)
            .after(format!("poles:{tag}"))
            .after("protective-earth"),
        );
    }
    board_alone(job);
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
    .act("Switch on, keep your hand at the switch, look and smell for ten seconds.")
    .act("Measure each rail between + and - of a free port that carries it, the black tip fixed, one hand only.");
    for (at, rail) in board.rails.iter().enumerate() {
        let value = job.setup.rail_voltage(RailId(at));
        step = step.expect(voltage(job, &format!("rail {}", rail.name), value));
    }
    step = step
        .act("Touch no chip: hold the back of a finger near the largest ones; nothing may be hot.")
        .expect(Expected::seen(
            "processor and regulators",
            "at most hand-warm after one minute",
        ))
        .otherwise("a rail is missing: its fuse, its jumper, or the board; do not plug anything in")
        .otherwise("a rail is too high: the board is not to be used")
        .after("shorts");
    for id in job.all("supply:").into_iter().chain(job.all("jumper:")) {
        step = step.after(id);
    }
    for id in job.all("resistance:").into_iter().chain(job.all("coils:")) {
        step = step.after(id);
    }
    step = job.following(step, "insulation");
    job.push(step);
}

fn supply_port(job: &Job<'_>) -> String {
    let supply = job.of_kind(DeviceKind::Supply);
    supply
        .first()
        .map_or_else(|| "its input".to_owned(), |pair| pair.port_name().to_owned())
}

fn voltage(job: &Job<'_>, what: &str, value: quantity::Value<quantity::si::ElectricPotential>) -> Expected {
    let inputs = (
        named("a", "accuracy of the meter", job.voltmeter()),
        named("U", what.to_owned(), value),
    );
    let worked = work(&electrics::METERED_VOLTAGE, "Uₘ", inputs, |(a, u)| {
        electrics::metered_voltage(a, u)
    });
    Expected::between(what.to_owned(), worked.value).working(worked.working)
}
