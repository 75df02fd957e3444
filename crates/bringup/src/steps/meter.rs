//! Unplugged, with a meter: each heater, coil and thermometer at the open end of its lead; shorts between the poles.

use catalogue::{Law, Thermometer};
use model::machine::{Detail, Device, Heater, Motor};
use model::{DeviceKind, Output, Pin};
use physics::{electrics, named, work};
use plan::{Pair, loads};
use quantity::si::{ElectricalResistance, ThermodynamicTemperature};
use quantity::{Number, Value, si};

use crate::job::{Job, tolerated};
use crate::step::{Expected, Needs, Phase, Reading, Step};

/// The part of the list that goes into a plus wire.
const FUSE: &str = "fuse holder with blade fuse";

pub(crate) fn steps(job: &mut Job<'_>) {
    for pair in job.of_kind(DeviceKind::Heater) {
        if let Detail::Heater(heater) = &pair.device().detail {
            heater_step(job, &pair, heater);
        }
    }
    for pair in job.motors() {
        if let Detail::Motor(motor) = &pair.device().detail {
            motor_step(job, &pair, motor);
        }
    }
    for pair in job.of_kind(DeviceKind::Thermometer) {
        thermometer_step(job, &pair);
    }
    contacts(job);
    insulation(job);
    fuse(job);
    added_fuses(job);
    board_shorts(job);
    polarity(job);
}

/// The resistance of a lead, out and back, at room temperature.
fn lead_resistance(device: &Device) -> Value<ElectricalResistance> {
    // Strands may be up to the allowance of the standard longer than solid wire.
    let area = device.cable.wire.area();
    let loose = electrics::wire_resistance(area, electrics::stranded_at_most());
    let solid = electrics::wire_resistance(area, si::ratio(1.0));
    let length = device.cable.length.nominal() * 2.0;
    Value::between(solid * length, loose * length, loose * length)
}

/// What a meter shows at the end of a lead.
fn metered(job: &Job<'_>, device: &Device, part: &str, resistance: Value<ElectricalResistance>) -> Expected {
    let lead = lead_resistance(device);
    let step = job.ohm_step(resistance.high() + lead.high());
    let inputs = (
        named("a", "accuracy of the meter", job.meter()),
        named("R", part.to_owned(), resistance),
        named("Rₗ", "cable, out and back", lead),
        named("n", "digits that its display may be off", job.digits()),
        named("q", "one digit in its range", Value::exact(step)),
    );
    let worked = work(
        &electrics::METERED_RESISTANCE,
        "Rₘ",
        inputs,
        |(a, r, l, n, q)| electrics::metered_resistance(a, r, l, n, q),
    );
    // A display shows no less than nothing.
    let none = si::ohm(0.0);
    let shown = worked.value.map(|reading| reading.larger(none));
    Expected::between(format!("resistance of {part}, tips subtracted"), shown).working(worked.working)
}

/// How the meter is made ready for a small resistance.
fn subtract_tips(job: &Job<'_>) -> String {
    format!(
        "Set the meter to ohms, touch its tips together and note what it shows, usually {}; subtract that from each reading.",
        quantity::show_interval(
            &job.setup.limits().meter_lead_resistance.value.into(),
            quantity::Digits::new(2)
        )
    )
}

fn heater_step(job: &mut Job<'_>, pair: &Pair<'_>, heater: &Heater) {
    let tag = &pair.device().tag.value;
    let mut heater = heater.clone();
    let usual = job.setup.limits().heater_resistance_tolerance.value;
    heater.power.value = tolerated(heater.power.value, usual);
    let cold = loads::resistance_at(&heater, job.setup.swap.ambient.temperature.value);
    let expected = metered(
        job,
        pair.device(),
        &format!("{} between its two wires", pair.device_name()),
        cold,
    );
    job.push(
        Step::new(
            format!("resistance:{tag}"),
            Phase::Unpowered,
            Needs::Unplugged,
            format!("Measure {}", pair.device_name()),
            "A heater with too little resistance destroys its switch; an open one never warms; the wrong one is for another voltage.",
        )
        .act(subtract_tips(job))
        .act(format!("Measure between the two wires of {tag}."))
        .expect(expected)
        .otherwise("near zero: a short; find it before anything else")
        .otherwise("open: a broken wire or a loose crimp")
        .otherwise("a quarter or four times as much: a heater for half or twice the voltage")
        .at(pair)
        .after("harness"),
    );
}

fn motor_step(job: &mut Job<'_>, pair: &Pair<'_>, motor: &Motor) {
    let tag = &pair.device().tag.value;
    let mut step = Step::new(
        format!("coils:{tag}"),
        Phase::Unpowered,
        Needs::Unplugged,
        format!("Find the coils of {}", pair.device_name()),
        "A driver whose phases do not each meet one coil can be destroyed, and the motor only buzzes.",
    )
    .act(subtract_tips(job))
    .act(format!("Measure between {} and between {}, then between one wire of each pair.", coil(pair, true), coil(pair, false)))
    .otherwise("a reading across the pairs: the order of the coils in the machine file is wrong; mend it and compute again")
    .otherwise("one coil open or much lower: a broken wire or a damaged winding")
    .at(pair)
    .after("harness");
    if let Some(resistance) = &motor.resistance {
        let usual = job.setup.limits().motor_resistance_tolerance.value;
        step = step.expect(metered(
            job,
            pair.device(),
            "each coil, one after the other",
            tolerated(resistance.value, usual),
        ));
    } else {
        step = step.expect(Expected::seen(
            "each coil",
            "the same few ohms, as the motor's sheet says",
        ));
    }
    job.push(step.expect(Expected::at_least(
        "resistance from one coil to the other",
        Value::exact(si::ohm(1e6)),
    )));
}

/// The two wires of a coil in words: place in the plug and colour.
fn coil(pair: &Pair<'_>, first: bool) -> String {
    let cable = &pair.device().cable;
    let wanted = if first {
        [Pin::A1, Pin::A2]
    } else {
        [Pin::B1, Pin::B2]
    };
    let wires: Vec<String> = cable
        .pins
        .iter()
        .enumerate()
        .filter(|(_, pin)| wanted.contains(&pin.value))
        .map(|(at, _)| match cable.colours.get(at) {
            Some(colour) if colour.value != "--" => format!("{} ({colour})", at + 1),
            _ => (at + 1).to_string(),
        })
        .collect();
    format!("wires {}", wires.join(" and "))
}

fn thermometer_step(job: &mut Job<'_>, pair: &Pair<'_>) {
    let device = pair.device();
    let Detail::Thermometer(thermometer) = &device.detail else {
        return;
    };
    let Some(kind) = job
        .setup
        .swap
        .catalogue
        .thermometers()
        .get(&thermometer.sensor.value)
    else {
        return;
    };
    let room = job.setup.swap.ambient.temperature.value;
    let Some(at_room) = at_temperature(kind, room) else {
        return;
    };
    let tag = &device.tag.value;
    let expected = metered(job, device, &format!("{} at {room}", pair.device_name()), at_room);
    job.push(
        Step::new(
            format!("resistance:{tag}"),
            Phase::Unpowered,
            Needs::Unplugged,
            format!("Measure {}", pair.device_name()),
            "It tells whether this is the thermometer that the file says, before anything is heated by its word.",
        )
        .act(format!("Measure between the two wires of {tag}; do not hold both tips with your fingers."))
        .expect(expected)
        .otherwise("a tenth or ten times as much: another kind of thermometer; find out which, and compute again")
        .otherwise("near zero or open: a damaged lead; replace it")
        .at(pair)
        .after("harness"),
    );
}

/// The resistance of a thermometer over a range of temperature, with the tolerance of its kind; `None` where its curve ends before.
fn at_temperature(
    kind: &Thermometer,
    room: Value<ThermodynamicTemperature>,
) -> Option<Value<ElectricalResistance>> {
    let curve = plan::curve(kind)?;
    let at = |temperature| curve.resistance(temperature).ok();
    let (cold, nominal, warm) = (at(room.low())?, at(room.nominal())?, at(room.high())?);
    let stated = match &kind.law {
        Law::Thermistor { resistance, .. } | Law::Platinum { resistance } => resistance,
    };
    let (less, more) = (stated.low() / stated.nominal(), stated.high() / stated.nominal());
    Some(Value::between(
        cold.smaller(warm) * less,
        nominal,
        cold.larger(warm) * more,
    ))
}

/// What a small contact may have when it is no longer new. Common practice, no source.
const CONTACT_OHM: f64 = 0.5;
/// An open contact: a meter shows the largest it can. Common practice, no source.
const OPEN_OHM: f64 = 1e5;

/// Bare contacts: closed and open, at rest and pressed.
fn contacts(job: &mut Job<'_>) {
    let kinds = [
        DeviceKind::LimitSwitch,
        DeviceKind::FilamentSwitch,
        DeviceKind::BedProbe,
    ];
    let pairs: Vec<Pair<'_>> = kinds.into_iter().flat_map(|kind| job.of_kind(kind)).collect();
    for pair in pairs {
        let sensor = match &pair.device().detail {
            Detail::LimitSwitch { sensor, .. }
            | Detail::FilamentSwitch(sensor)
            | Detail::BedProbe(sensor) => sensor,
            _ => continue,
        };
        let closed_at_rest = match sensor.output.value {
            Output::NormallyClosed => true,
            Output::NormallyOpen => false,
            Output::OpenCollector | Output::PushPull => continue,
        };
        let tag = &pair.device().tag.value;
        let contact = Value::between(si::ohm(0.0), si::ohm(0.1), si::ohm(CONTACT_OHM));
        let closed = |what: &str| {
            let metered = metered(job, pair.device(), what, contact);
            match metered.reading {
                Reading::Between(value) => Expected {
                    reading: Reading::AtMost(value.at_high()),
                    ..metered
                },
                _ => metered,
            }
        };
        let open =
            |what: &str| Expected::at_least(format!("resistance of {what}"), Value::exact(si::ohm(OPEN_OHM)));
        let (rest, met) = (format!("{tag} at rest"), format!("{tag} pressed"));
        let (first, second) = if closed_at_rest {
            (closed(&rest), open(&met))
        } else {
            (open(&rest), closed(&met))
        };
        job.push(
            Step::new(
                format!("contact:{tag}"),
                Phase::Unpowered,
                Needs::Unplugged,
                format!("Measure the contact of {}", pair.device_name()),
                "A switch that is wired to its other contact stops nothing, or stops everything.",
            )
            .act(
                "Measure between its two wires at rest; press it as far as the axis does, and measure again.",
            )
            .expect(first)
            .expect(second)
            .otherwise("the other way round: the lead is on the other contact of the switch")
            .otherwise("never closed: a broken wire; never open: the wires touch, or the lever is bent")
            .at(&pair)
            .after("harness"),
        );
    }
}

/// The fuse of the board's input.
fn fuse(job: &mut Job<'_>) {
    let Some(fuse) = &job.setup.board.input.fuse else {
        return;
    };
    job.push(
        Step::new(
            "fuse",
            Phase::Unpowered,
            Needs::Unplugged,
            "Read the fuse of the board's input",
            "It protects the wires behind it; a stronger one protects nothing.",
        )
        .act("Read what is printed on it. Never bridge it, never take a stronger one.")
        .expect(Expected::seen(
            "rating printed on the fuse",
            fuse.value.to_string(),
        ))
        .otherwise("take one of the rating that the board's maker states")
        .after("board")
        .source("iso-8820-3"),
    );
}

/// The fuses that the plan adds: fitted, of the right rating, and in the wire that is fed.
fn added_fuses(job: &mut Job<'_>) {
    for row in plan::cables(job.plan) {
        let fuses = row.parts.iter().filter(|part| part.name == FUSE);
        let Some(size) = fuses.filter_map(|part| part.size.clone()).next() else {
            continue;
        };
        job.push(
            Step::new(
                format!("fuse:{}", row.tag),
                Phase::Unpowered,
                Needs::Unplugged,
                format!("Fit the fuse of {} ({})", row.tag, row.device),
                "It opens before the wires of this lead get hot; in another wire, or of another rating, it protects nothing.",
            )
            .act(format!(
                "Put the holder into the plus wire of {}, at the end that is fed, and a fuse of {size} into it.",
                row.tag
            ))
            .act("Measure from one end of that wire to the other, then take the fuse out and measure again.")
            .expect(Expected::seen("rating printed on the fuse", size))
            .expect(Expected::at_most(
                "resistance of the wire with the fuse in, tips subtracted",
                Value::exact(si::ohm(1.0)),
            ))
            .expect(Expected::seen("the wire with the fuse out", "open"))
            .otherwise("closed with the fuse out: it sits in another wire")
            .otherwise("open with the fuse in: the fuse, or a crimp of its holder")
            .tag(&row.tag)
            .after("harness")
            .source("iso-8820-3"),
        );
    }
}

/// No heater may reach the frame.
fn insulation(job: &mut Job<'_>) {
    let heaters = job.of_kind(DeviceKind::Heater);
    if heaters.is_empty() {
        return;
    }
    let mut step = Step::new(
        "insulation",
        Phase::Unpowered,
        Needs::Unplugged,
        "Measure from each heater and motor to the frame",
        "A damaged insulation puts current on metal that people touch, and on the processor.",
    )
    .act(
        "Measure from one wire of each heater and motor to bare metal of the hot end, the bed and the frame.",
    )
    .expect(Expected::at_least(
        "resistance to the frame",
        job.setup.limits().insulation_minimum.value,
    ))
    .otherwise("find the chafed or pinched wire; do not go on")
    .after("harness");
    for pair in heaters {
        step = step.tag(&pair.device().tag.value);
    }
    job.push(step);
}

fn board_shorts(job: &mut Job<'_>) {
    let board = job.setup.board;
    let rails: Vec<String> = board
        .rails
        .iter()
        .enumerate()
        .filter_map(|(at, rail)| {
            let point = super::rail_points::point(board, model::board::RailId(at))?;
            Some(format!("{} at {point}", rail.name))
        })
        .collect();
    job.push(
        Step::new(
            "shorts",
            Phase::Unpowered,
            Needs::Unplugged,
            "Look for shorts on the bare board",
            "A short between the poles of a rail is found now for nothing, with power for the price of a board.",
        )
        .act(format!("With nothing plugged in, measure between + and − of each rail of the board: {}.", rails.join("; ")))
        .act("Wait while the reading climbs: capacitors charge from the meter.")
        .expect(Expected::at_least("resistance between + and - of each rail", Value::exact(si::ohm(50.0))))
        .otherwise("look under the board and between its pins for a drop of solder or an end of wire")
        .after("board"),
    );
}

/// The poles of the supply lead before it meets the board.
fn polarity(job: &mut Job<'_>) {
    for pair in job.of_kind(DeviceKind::Supply) {
        let tag = &pair.device().tag.value;
        job.push(
            Step::new(
                format!("poles:{tag}"),
                Phase::Unpowered,
                Needs::Unplugged,
                format!("Follow the poles of {} with the meter", pair.device_name()),
                "Exchanged poles destroy most boards at once.",
            )
            .act(format!(
                "From each supply terminal follow the wire to the end that goes to {}: + to +, - to -; mark them.",
                pair.port_name()
            ))
            .expect(Expected::at_most("resistance from terminal to marked end", Value::exact(si::ohm(1.0))))
            .otherwise("the colours lie: trust the meter, and mend the file")
            .at(&pair)
            .after("unplug"),
        );
    }
    for pair in job.setup.pairs() {
        let supply = pair.device().kind() == DeviceKind::Supply;
        let poles = pair
            .device()
            .cable
            .pins
            .iter()
            .any(|pin| matches!(pin.value, Pin::Plus | Pin::Minus));
        if poles && !supply {
            plug_poles(job, &pair);
        }
    }
}

/// Each wire of a plug beside the pin that it will meet.
fn plug_poles(job: &mut Job<'_>, pair: &Pair<'_>) {
    let tag = &pair.device().tag.value;
    let cable = &pair.device().cable;
    let facts = pair.facts();
    let map = facts.pins();
    let mut step = Step::new(
        format!("poles:{tag}"),
        Phase::Unpowered,
        Needs::Unplugged,
        format!("Hold the plug of {} beside {}", pair.device_name(), pair.port_name()),
        "Exchanged poles destroy most devices at once, and may take the port along.",
    )
    .act("Compare each wire with the pin that it will meet, without plugging it in. Pin 1 is marked on the board.");
    for (at, function) in cable
        .pins
        .iter()
        .enumerate()
        .filter(|(_, pin)| pin.value != Pin::Unused)
    {
        let colour = cable.colours.get(at).map_or("--", |colour| colour.value.as_str());
        let pin = map.pin_of_wire.get(at).copied().flatten();
        let met = pin.and_then(|pin| Some((pin, pair.port().pins.get(pin)?.value)));
        let words = match met {
            Some((pin, met)) => format!("on pin {} ({met})", pin + 1),
            None if plan::harness::goes_to_converter(pair, function.value) => {
                "to its own converter".to_owned()
            }
            None => "on no pin; insulated".to_owned(),
        };
        step = step.expect(Expected::seen(
            format!("wire {} ({colour}, {})", at + 1, function.value),
            words,
        ));
    }
    job.push(
        step.otherwise("contacts are still to be moved in the housing: see the table of leads")
            .otherwise("the plug is held upside down")
            .at(pair)
            .after("harness"),
    );
}
