//! Tuning and proving: control of temperature, extruder, level, height, first print.

use model::DriveKind;
use model::machine::Detail;
use model::machine::Drive;
use quantity::{Value, si};

use crate::job::Job;
use crate::step::{Expected, Needs, Part, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    let parts = job.heaters().into_iter().map(|pair| {
        let zone = match &pair.device().detail {
            Detail::Heater(heater) => heater.zone.word().replace(' ', "-"),
            _ => String::new(),
        };
        let part = Part::heated("control", &pair).expect(Expected::seen(
            "peak-to-peak variation at rest",
            "about one kelvin or less; about one kelvin is no fault by itself",
        ));
        let terms = ["control-proportional", "control-integral", "control-derivative"];
        let part = terms
            .into_iter()
            .fold(part, |part, term| part.setting(format!("{term}:{zone}")));
        job.part_following(part, &format!("working:{}", pair.device().tag))
    });
    let step = Step::new(
        "control",
        Phase::Prove,
        Needs::Heat,
        "Tune the temperature controllers",
        "Supply, output switch and sensor input are new: the old gains are a start, no more.",
    )
    .parts(parts)
    .hazard("Hot parts: stay with the machine.")
    .act("At each: run the controller's own tuning at the temperature at which you print, part fan as when printing. Store its gains.")
    .act("At each: log setpoint and temperature for ten minutes at that temperature.")
    .otherwise("larger and slow: the gains; larger and jumping: the sensor input or its wiring")
    .takes(0, 25);
    job.push_parted(step);
    extruder(job);
    level(job);
}

fn extruder(job: &mut Job<'_>) {
    let machine = &job.setup.swap.machine;
    let axis = machine
        .axes
        .iter()
        .find(|axis| matches!(axis.drive, Drive::Extruder { .. }));
    let Some(name) = axis.map(|axis| axis.name.value.clone()) else {
        return;
    };
    debug_assert_eq!(DriveKind::Extruder.word(), "geared extruder");
    let mut step = Step::new(
        "feed",
        Phase::Prove,
        Needs::Heat,
        "Measure the feed of the extruder",
        "Wheel and gears are known on paper only; the filament shows it.",
    )
    .hazard("Hot nozzle and molten plastic.")
    .act("Hot end at printing temperature. Mark the filament 120 mm above the extruder, feed 100 mm slowly, measure what is left.")
    .expect(Expected::between("length fed", Value::between(si::millimetre(98.0), si::millimetre(100.0), si::millimetre(102.0))))
    .otherwise("too long or too short: correct the steps per length in proportion")
    .otherwise("turns the wrong way: the direction setting; clicks: current, temperature or a jam")
    .takes(10, 0);
    step = job
        .following(step, &format!("direction:{name}"))
        .setting(format!("steps-per-length:{name}"));
    for id in job.all("working:") {
        step = step.after(id);
    }
    job.push(step);
}

fn level(job: &mut Job<'_>) {
    if !job.has("home:Z") {
        return;
    }
    let aligned = super::align::steps(job);
    let mut step = Step::new(
        "level",
        Phase::Prove,
        Needs::Motion,
        "Level the bed and take its height map",
        "A height map of the old controller is not carried over.",
    )
    .hazard("Moving parts; a warm bed.")
    .act("Bed at printing temperature for ten minutes. Level it, then measure the height map twice.")
    .expect(Expected::seen(
        "both maps",
        "differ by less than a tenth of the first layer",
    ))
    .otherwise("they differ more: a loose probe, a bed still warming, dirt on the nozzle")
    .takes(30, 0)
    .after("home:Z");
    for id in job.all("probe:").into_iter().chain(aligned) {
        step = step.after(id);
    }
    job.push(step);
    let probe = job
        .setup
        .pairs()
        .any(|pair| matches!(pair.device().detail, Detail::BedProbe(_)));
    let words = if probe {
        "the probe offset to the nozzle"
    } else {
        "the zero of Z"
    };
    job.push(
        Step::new(
            "first-height",
            Phase::Prove,
            Needs::Motion,
            format!("Set {words}"),
            "It decides the first layer, and differs after every change of hot end, probe or switch.",
        )
        .hazard("The nozzle comes near the bed: move in steps of a tenth of a millimetre.")
        .act("All at printing temperature. Lower the nozzle until a sheet of paper just drags. Store the value.")
        .expect(Expected::seen("sheet of paper", "drags a little, at three places of the bed"))
        .takes(10, 0)
        .after("level"),
    );
    let mut step = Step::new(
        "first-print",
        Phase::Prove,
        Needs::Heat,
        "Watch a first print from beginning to end",
        "Everything runs together for the first time, and for longer than a minute.",
    )
    .hazard("A person stays at the machine the whole time, for this print and the next few.")
    .act("Print something small that uses all axes, bed and fan. Read temperatures of motors, drivers and supply on the way.")
    .expect(Expected::seen("print", "in its size, no layer shifted"))
    .expect(Expected::seen("motors and supply", "warm, not too hot to keep a hand on"))
    .otherwise("a shifted layer: current, speed or a driver too hot")
    .takes(60, 0)
    .after("first-height");
    step = job.following(step, "feed");
    for id in job.all("control:") {
        step = step.after(id);
    }
    job.push(step);
}
