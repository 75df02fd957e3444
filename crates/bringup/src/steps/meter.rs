//! Unplugged, with a meter: each heater, coil and thermometer at the open end of its lead; shorts between the poles.

use catalogue::{Law, Thermometer};
use model::machine::{Detail, Device, UNKNOWN_COLOUR};
use model::{DeviceKind, Output, Pin};
use physics::{electrics, named, work};
use plan::{Pair, loads};
use quantity::si::{ElectricalResistance, ThermodynamicTemperature};
use quantity::{Number, Value, si};

use crate::job::{Job, tolerated};
use crate::step::{Expected, Needs, Part, Phase, Reading, Step};

/// The part of the list that goes into a plus wire.
const FUSE: &str = "fuse holder with blade fuse";

pub(crate) fn steps(job: &mut Job<'_>) {
    resistances(job);
    motors(job);
    contacts(job);
    insulation(job);
    fuses(job);
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

fn heaters(job: &Job<'_>) -> Vec<Part> {
    let parts = job.of_kind(DeviceKind::Heater).into_iter().filter_map(|pair| {
        let Detail::Heater(heater) = &pair.device().detail else {
            return None;
        };
        let mut heater = heater.clone();
        let usual = job.setup.limits().heater_resistance_tolerance.value;
        heater.power.value = tolerated(heater.power.value, usual);
        let cold = loads::resistance_at(&heater, job.setup.swap.ambient.temperature.value);
        let between = format!("{} between its two wires", pair.device_name());
        let expected = metered(job, pair.device(), &between, cold);
        Some(Part::of("resistance", &pair).expect(expected))
    });
    parts.collect()
}

/// Heaters and sensors between their two wires.
fn resistances(job: &mut Job<'_>) {
    let step = Step::new(
        "resistances",
        Phase::Unpowered,
        Needs::Unplugged,
        "Measure heaters and temperature sensors",
        "Too little resistance of a heater destroys its output switch; an open one never warms. A sensor that is not as in the file gives false readings.",
    )
    .parts(heaters(job).into_iter().chain(thermometers(job)))
    .act(subtract_tips(job))
    .act("Measure between the two wires of each; do not hold both tips with your fingers.")
    .otherwise("near zero: a short, or a damaged cable; find it before anything else")
    .otherwise("open: a broken wire or a loose crimp")
    .otherwise("heater, a quarter or four times as much: for half or twice the voltage")
    .otherwise("sensor, a tenth or ten times as much: another type; find out which, correct the file and run Boardswap again")
    .takes(2, 2)
    .after("harness");
    job.push_parted(step);
}

fn motors(job: &mut Job<'_>) {
    let parts = job.motors().into_iter().filter_map(|pair| {
        let Detail::Motor(motor) = &pair.device().detail else {
            return None;
        };
        let part = Part::of("coils", &pair).act(format!(
            "coil A: {}; coil B: {}",
            coil(&pair, true),
            coil(&pair, false)
        ));
        let part = match &motor.resistance {
            Some(resistance) => {
                let usual = job.setup.limits().motor_resistance_tolerance.value;
                let one = tolerated(resistance.value, usual);
                part.expect(metered(job, pair.device(), "each coil, one after the other", one))
            }
            None => part.expect(Expected::seen(
                "each coil",
                "the same few ohms, as the motor's sheet says",
            )),
        };
        Some(part.expect(Expected::at_least(
            "resistance from one coil to the other",
            Value::exact(si::ohm(1e6)),
        )))
    });
    let step = Step::new(
        "coils",
        Phase::Unpowered,
        Needs::Unplugged,
        "Find the coils of the motors",
        "A driver whose phases do not each meet one coil can be destroyed, and the motor only buzzes.",
    )
    .parts(parts)
    .act(subtract_tips(job))
    .act("Measure coil A, coil B, then between one wire of each, at each motor.")
    .otherwise("a reading across the pairs: the order of the coils in the machine file is wrong. Correct the file and run Boardswap again")
    .otherwise("one coil open or much lower: a broken wire or a damaged winding")
    .takes(1, 2)
    .after("harness");
    job.push_parted(step);
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
            Some(colour) if colour.value != UNKNOWN_COLOUR => format!("{} ({colour})", at + 1),
            _ => (at + 1).to_string(),
        })
        .collect();
    format!("wires {}", wires.join(" and "))
}

fn thermometers(job: &Job<'_>) -> Vec<Part> {
    let parts = job
        .of_kind(DeviceKind::Thermometer)
        .into_iter()
        .filter_map(|pair| {
            let Detail::Thermometer(thermometer) = &pair.device().detail else {
                return None;
            };
            let kinds = job.setup.swap.catalogue.thermometers();
            let kind = kinds.get(&thermometer.sensor.value)?;
            let room = job.setup.swap.ambient.temperature.value;
            let at_room = at_temperature(kind, room)?;
            let what = format!("{} at {room}", pair.device_name());
            Some(Part::of("resistance", &pair).expect(metered(job, pair.device(), &what, at_room)))
        });
    parts.collect()
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
    let mut step = Step::new(
        "contacts",
        Phase::Unpowered,
        Needs::Unplugged,
        "Measure the contacts of the switches",
        "A switch that is wired to its other contact stops nothing, or stops everything.",
    )
    .act("Measure between the two wires of each switch at rest. Press it as far as the axis does, and measure again.")
    .otherwise("the other way round: the cable is on the other contact of the switch")
    .otherwise("never closed: a broken wire; never open: the wires touch, or the lever is bent")
    .after("harness");
    for pair in &pairs {
        let sensor = match &pair.device().detail {
            Detail::LimitSwitch { sensor, .. }
            | Detail::FilamentSwitch(sensor)
            | Detail::BedProbe(sensor) => sensor,
            _ => continue,
        };
        let closed_at_rest = match sensor.output.value {
            Output::NormallyClosed => true,
            Output::NormallyOpen => false,
            Output::OpenCollector | Output::Pnp | Output::PushPull => continue,
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
        step = step.part(Part::of("contact", pair).expect(first).expect(second));
    }
    job.push_parted(step.takes(1, 2));
}

/// The fuse of the board's input, and those that the plan adds: of the right rating, and in the wire that is fed.
fn fuses(job: &mut Job<'_>) {
    let mut step = Step::new(
        "fuses",
        Phase::Unpowered,
        Needs::Unplugged,
        "Read the fuse of the board, and fit those in the cables",
        "Each opens before the wires behind it get hot. In another wire, or of a higher rating, it protects nothing.",
    )
    .act("Read what is printed on each fuse. Never bridge one, never fit a higher rating.")
    .otherwise("another rating: take the one of the table");
    if let Some(fuse) = &job.setup.board.input.fuse {
        let rating = Expected::seen("rating printed on the fuse", fuse.value.to_string());
        step = step.part(Part::new("fuse", "input of the board").expect(rating));
    }
    let added: Vec<Part> = plan::cables(job.plan).iter().filter_map(added_fuse).collect();
    if !added.is_empty() {
        step = step
            .act("In a cable: put the holder into the plus wire, at the end that is fed.")
            .act("Measure from one end of that wire to the other. Take the fuse out and measure again; put it back.")
            .otherwise("closed with the fuse out: it sits in another wire")
            .otherwise("open with the fuse in: the fuse, or a crimp of its holder");
    }
    let step = step
        .parts(added)
        .takes(1, 2)
        .after("harness")
        .source("iso-8820-3");
    job.push_parted(step);
}

fn added_fuse(row: &plan::Row) -> Option<Part> {
    let fuses = row.parts.iter().filter(|part| part.name == FUSE);
    let size = fuses.filter_map(|part| part.size.clone()).next()?;
    let part = Part::new(
        format!("fuse:{}", row.tag),
        format!("{} ({})", row.device, row.tag),
    )
    .expect(Expected::seen("rating printed on the fuse", size))
    .expect(Expected::at_most(
        "resistance of the wire with the fuse in, tips subtracted",
        Value::exact(si::ohm(1.0)),
    ))
    .expect(Expected::seen("the wire with the fuse out", "open"));
    Some(part.tag(&row.tag))
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
    .act("Measure from one wire of each heater and motor to bare metal of hot end, bed and frame.")
    .expect(Expected::at_least(
        "resistance to the frame",
        job.setup.limits().insulation_minimum.value,
    ))
    .otherwise("find the chafed or pinched wire; stop here until it is repaired")
    .takes(5, 0)
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
            "A short on a rail costs nothing now, and a board once there is power.",
        )
        .act(format!(
            "With nothing plugged in, measure between + and − of each rail. {}.",
            rails.join(". ")
        ))
        .act("Wait while the reading climbs: capacitors charge from the meter.")
        .expect(Expected::at_least(
            "resistance between + and - of each rail",
            Value::exact(si::ohm(50.0)),
        ))
        .otherwise("look under the board and between its pins for a drop of solder or an end of wire")
        .takes(5, 0)
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
                format!("Check the polarity of {} with the meter", pair.device_name()),
                if job
                    .setup
                    .board
                    .input
                    .reverse_polarity
                    .as_ref()
                    .is_some_and(|borne| borne.value)
                {
                    "The board bears reversed polarity, but does not run on it."
                } else {
                    "Reversed polarity destroys most boards at once."
                },
            )
            .act(format!(
                "From each supply terminal follow the wire to its end at {}: + to +, - to -. Mark them.",
                pair.port_name()
            ))
            .expect(Expected::at_most(
                "resistance from terminal to marked end",
                Value::exact(si::ohm(1.0)),
            ))
            .otherwise("wire colours are not as in the file: go by the meter, and correct the file")
            .takes(5, 0)
            .at(&pair)
            .after("unplug"),
        );
    }
    let polarised = |pair: &Pair<'_>| {
        let pins = &pair.device().cable.pins;
        let poles = pins.iter().any(|pin| matches!(pin.value, Pin::Plus | Pin::Minus));
        poles && pair.device().kind() != DeviceKind::Supply
    };
    let step = Step::new(
        "plugs",
        Phase::Unpowered,
        Needs::Unplugged,
        "Compare the plugs with their ports",
        "Reversed polarity destroys most devices at once, and may take the port along.",
    )
    .parts(job.setup.pairs().filter(polarised).map(|pair| plug(&pair)))
    .act("Hold each plug beside its port, without plugging it in. Pin 1 is marked on the board.")
    .act("Compare each wire with the pin that it will meet.")
    .otherwise("contacts are still to be moved in the housing: see the wiring table")
    .otherwise("the plug is held upside down")
    .takes(1, 1)
    .after("harness");
    job.push_parted(step);
}

/// Each wire of a plug beside the pin that it will meet.
fn plug(pair: &Pair<'_>) -> Part {
    let cable = &pair.device().cable;
    let facts = pair.facts();
    let map = facts.pins();
    let mut part = Part::of("poles", pair);
    for (at, function) in cable
        .pins
        .iter()
        .enumerate()
        .filter(|(_, pin)| pin.value != Pin::Unused)
    {
        let colour = cable
            .colours
            .get(at)
            .map_or(UNKNOWN_COLOUR, |colour| colour.value.as_str());
        let pin = map.pin_of_wire.get(at).copied().flatten();
        let met = pin.and_then(|pin| Some((pin, pair.port().pins.get(pin)?.value)));
        let words = match met {
            Some((pin, met)) => format!("on pin {} ({met})", pin + 1),
            None if plan::harness::goes_to_converter(pair, function.value) => {
                "to its own converter".to_owned()
            }
            None => "on no pin; insulated".to_owned(),
        };
        part = part.expect(Expected::seen(
            format!("wire {} ({colour}, {})", at + 1, function.value),
            words,
        ));
    }
    part
}
