//! A further supply: joined to the board with nothing on its rail, then under its load.

use model::DeviceKind;
use model::board::RailId;
use plan::Pair;
use plan::rails::brought_by;
use quantity::{Value, si};

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

/// The further supplies with the rails that they bring in.
fn further<'a>(job: &Job<'a>) -> Vec<(Pair<'a>, RailId)> {
    let board = job.setup.board;
    let supplies = job.of_kind(DeviceKind::Supply).into_iter();
    let brought = supplies.map(|pair| (pair, brought_by(board, pair.port())));
    brought.filter(|(_, rail)| *rail != RailId::INPUT).collect()
}

/// Where its rail is measured.
fn place(job: &Job<'_>, pair: &Pair<'_>, rail: RailId) -> String {
    let point = super::rail_points::point(job.setup.board, rail);
    point.unwrap_or_else(|| format!("the terminals of {}", pair.port_name()))
}

/// Joined to the board once that runs by itself: both minus poles meet there, and nothing hangs on the rail yet.
pub(crate) fn alone(job: &mut Job<'_>) {
    for (pair, rail) in further(job) {
        let (tag, name) = (
            pair.device().tag.value.clone(),
            job.setup.board.rail(rail).name.clone(),
        );
        let what = format!("rail {name} at {}", place(job, &pair, rail));
        let expected = job.metered_voltage(&what, job.rail(rail));
        let step = Step::new(
            format!("second-supply:{tag}"),
            Phase::BoardAlone,
            Needs::Power,
            format!("Connect {} and measure the rail {name} with nothing on it", pair.device_name()),
            "Two supplies meet in the board: reversed poles, or minus poles that are not joined, send their current through signals.",
        )
        .hazard("Two supplies, two mains plugs: unplug both, and wait, before a wire is moved. Their mains side and their protective earth belong to a qualified person.")
        .act(format!("Unplug both supplies and wait. Connect {tag} to {}, + to +, - to -. No device is on its rail.", pair.port_name()))
        .act("Measure the resistance between - of both supplies.")
        .expect(Expected::at_most(
            "resistance between - of both supplies",
            Value::exact(si::ohm(1.0)),
        ))
        .act("Switch on the first supply, then this one. Measure between - of both supplies, then the rail.")
        .expect(Expected::at_most(
            "DC voltage between - of both supplies, either sign",
            Value::exact(si::volt(0.1)),
        ))
        .expect(expected)
        .otherwise("the minus poles are not joined: unplug both; a qualified person looks for the reason")
        .otherwise("the rail is not as expected: unplug both; check the poles, the port and the jumper")
        .takes(10, 0)
        .at(&pair)
        .after("power-board")
        .after(format!("supply:{tag}"));
        job.push(step);
    }
}

/// Under load, once whatever hangs on the rail was tried by itself.
pub(crate) fn loaded(job: &mut Job<'_>) {
    for (pair, rail) in further(job) {
        let (tag, name) = (
            pair.device().tag.value.clone(),
            job.setup.board.rail(rail).name.clone(),
        );
        let on_rail: Vec<Pair<'_>> = job
            .setup
            .pairs()
            .filter(|own| own.way.rail == Some(rail) && own.id != pair.id)
            .collect();
        if on_rail.is_empty() {
            continue;
        }
        let tags: Vec<&str> = on_rail
            .iter()
            .map(|own| own.device().tag.value.as_str())
            .collect();
        let heats = on_rail
            .iter()
            .any(|own| own.device().kind() == DeviceKind::Heater);
        let what = format!("rail {name} at {}, under load", place(job, &pair, rail));
        let expected = job.metered_voltage(&what, job.rail(rail));
        let step = Step::new(
            format!("second-supply-load:{tag}"),
            Phase::Heat,
            if heats { Needs::Heat } else { Needs::Power },
            format!("Measure the rail {name} under its load"),
            "A supply that holds its voltage alone may drop it, or switch off, under load.",
        )
        .hazard("The supply stands behind these terminals: one hand, the black tip fixed, no slip.")
        .act(format!(
            "Switch on all that is on the rail at once: {}. Measure after a minute.",
            tags.join(", ")
        ))
        .expect(expected)
        .act("Hold the back of a hand near, not on, its cable, its plug and the supply.")
        .otherwise("too low, or it switches off: the supply is too weak, or its cable too thin")
        .takes(5, 0)
        .at(&pair)
        .after(format!("second-supply:{tag}"));
        let step = job.following(step, "working");
        job.push(step);
    }
}
