//! A board: outline, rails and jumpers, and what its ports and drivers are to each other.

use quantity::{Number, Price, Value, si};

use super::Checker;
use super::driver::driver;
use super::port::{Context, port};
use crate::board::{
    Board, Driver, DriverId, Jumper, MadeRail, Port, PortId, PortKind, PortSupply, Rail, RailId,
};
use crate::diagnostic::Diagnostic;
use crate::file::board::{BoardFile, DriverFile, Input, JumperFile, Outline, PortFile, Processor, RailFile};
use crate::read::{Answer, Field, Map, Point};
use crate::source::{Located, Name, Place};
use crate::words::Role;

/// Checks a board, all of it, also where a needed part could not be read; ports and drivers with a fault of their own are
/// left out after it was reported.
pub(crate) fn board(file: BoardFile, path: &str, checker: &mut Checker<'_>) -> CheckedBoard {
    if file.port.is_empty() && !checker.is_lost(file.place, "port") {
        checker.fault(
            Diagnostic::new("missing-key", file.place, "the board has no port", "no [[port]]")
                .expected("a [[port]] for each place where a cable goes"),
        );
    }
    checked(file, path, checker)
}

/// The old board, and whether its ports are described: it may be known by its supply and its fuse alone.
pub(crate) fn old_board(file: BoardFile, path: &str, checker: &mut Checker<'_>) -> (CheckedBoard, bool) {
    let described = !file.port.is_empty() || checker.is_lost(file.place, "port");
    (checked(file, path, checker), described)
}

/// A board of which nothing is known, ports least of all.
pub(crate) fn unknown_board(file: BoardFile, checker: &mut Checker<'_>) -> CheckedBoard {
    checked(file, "", checker)
}

fn checked(mut file: BoardFile, path: &str, checker: &mut Checker<'_>) -> CheckedBoard {
    checker.assumptions.in_board = true;
    if let Some(outline) = &mut file.outline.0 {
        super::origin::board(outline, &mut file.port);
        laid(outline, &mut file.port, checker);
    }
    let drawn = file
        .outline
        .0
        .as_ref()
        .filter(|outline| !checker.assumptions.has(outline.place, "size"));
    if let Some(outline) = drawn {
        self::outline(outline, checker);
    }
    implied_rails(&mut file, checker);
    implied_jumpers(&mut file, checker);
    implied_drivers(&mut file, checker);
    let drawn = file
        .outline
        .0
        .as_ref()
        .filter(|outline| !checker.assumptions.has(outline.place, "size"));
    let mut rails = rails(&file.rails, checker);
    let signals: Vec<_> = file
        .jumper
        .iter()
        .map(|jumper| (jumper.driver.clone(), jumper.port.clone()))
        .collect();
    let mut jumpers = jumpers(file.jumper, &rails, checker);
    let drivers: Vec<Driver> = file
        .driver
        .into_iter()
        .filter_map(|file| {
            let name = file.name.clone();
            driver(file, checker).or_else(|| checker.refuse(&name))
        })
        .collect();
    checker.unique(drivers.iter().map(|driver| &driver.name), "driver");
    checker.unique(file.port.iter().map(|port| &port.name), "port");
    let names: Vec<String> = file.port.iter().map(|port| port.name.value.clone()).collect();
    let context = Context {
        rails: &rails,
        jumpers: &jumpers,
        drivers: &drivers,
        outline: drawn,
    };
    let mut ports = Vec::new();
    let mut excludes = Vec::new();
    for file in file.port {
        let wanted = file.excludes.clone();
        let name = file.name.clone();
        if let Some(port) = port(file, &context, checker).or_else(|| checker.refuse(&name)) {
            ports.push(port);
            excludes.push(wanted);
        }
    }
    for (at, wanted) in excludes.into_iter().enumerate() {
        for name in wanted {
            let own = ports[at].name.value.clone();
            if name.value == own {
                let problem = format!("`{own}` excludes itself");
                checker.fault(Diagnostic::new(
                    "self-reference",
                    name.place,
                    problem,
                    "the port itself",
                ));
                continue;
            }
            // A port that was refused is still known by its name here.
            if checker
                .find(&name, names.iter().map(String::as_str), "port")
                .is_some()
                && let Some(other) = ports.iter().position(|port| port.name.value == name.value)
            {
                ports[at].excludes.push(PortId(other));
            }
        }
    }
    for (jumper, signal) in jumpers.iter_mut().zip(signals) {
        jumper.stall_signal = stall_signal(&jumper.name, signal, (&names, &ports, &drivers), checker);
    }
    sockets(&ports, &drivers, checker);
    let mut input = file.input.0;
    supply_ports(&ports, &mut input, &mut rails);
    boot_offset(file.processor.0.as_ref(), checker);
    checker.assumptions.in_board = false;
    CheckedBoard {
        ports,
        rails,
        drivers,
        jumpers,
        path: path.to_owned(),
        name: file.name.0,
        invented: file.invented.is_some_and(|invented| invented.value),
        price: file.price,
        outline: file.outline.0,
        input,
        processor: file.processor.0,
        place: file.place,
    }
}

/// What arrives goes through the port: a stated current of it limits the input, or the rail that it feeds, below what is stated of that.
fn supply_ports(ports: &[Port], input: &mut Option<Input>, rails: &mut [Rail]) {
    let supplies = || {
        ports
            .iter()
            .filter(|port| matches!(port.kind, PortKind::SupplyInput))
    };
    for port in supplies() {
        let PortSupply::Rail(id) = port.supply else {
            continue;
        };
        if let (Some(current), Some(made)) = (port.current, &mut rails[id.0].made)
            && current.low() < made.current.low()
        {
            made.current = current;
        }
    }
    // The supply of the machine goes on one of those at the input.
    let at_input =
        supplies().filter(|port| !matches!(port.supply, PortSupply::Rail(id) if rails[id.0].made.is_some()));
    let most = at_input.map(|port| port.current).reduce(|most, next| {
        let (most, next) = (most?, next?);
        Some(if next.low() > most.low() { next } else { most })
    });
    if let (Some(Some(most)), Some(input)) = (most, input)
        && most.low() < input.current.low()
    {
        input.current = most;
    }
}

/// Ports of which the place is not stated, along an edge in the order of the file.
fn laid(outline: &Outline, ports: &mut [PortFile], checker: &Checker<'_>) {
    let unplaced: Vec<usize> = (0..ports.len())
        .filter(|at| checker.assumptions.has(ports[*at].place, "at"))
        .collect();
    let size = outline.size.value;
    let count = unplaced.len();
    let other = checker.assumptions.supposed.boards == Answer::High;
    for (order, at) in unplaced.into_iter().enumerate() {
        let order = if other { count - 1 - order } else { order };
        #[expect(
            clippy::cast_precision_loss,
            reason = "a board has less than a thousand ports"
        )]
        let share = (order as f64 + 0.5) / count as f64;
        let inset = ports[at].at.value.y;
        ports[at].at.value = Point {
            x: size.x * share,
            y: if other { size.y - inset } else { inset },
        };
    }
}

/// A table of which just the name is known.
fn nameless<T: Field>(name: &Name, checker: &mut Checker<'_>) -> Option<T> {
    let text = format!("name = {:?}", name.value);
    checker.assumptions.table(name.place, &text)
}

/// Rails that somebody names by their voltage and nobody described.
fn implied_rails(file: &mut BoardFile, checker: &mut Checker<'_>) {
    const USUAL: [&str; 5] = ["3.3V", "3V3", "5V", "12V", "24V"];
    let named = file.rails.0.iter().filter_map(|(_, rail)| rail.fed_by.clone());
    let of_ports = file.port.iter().filter_map(|port| port.rail.clone());
    let of_jumpers = file.jumper.iter().flat_map(|jumper| jumper.rails.clone());
    // What is usual for a probe port.
    let untold = file
        .port
        .iter()
        .filter(|port| port.role.value == Role::ProbePort && port.rail.is_none() && port.jumper.is_none());
    let of_probes = untold.map(|port| Name {
        value: "5V".to_owned(),
        place: port.place,
    });
    let named: Vec<Name> = named.chain(of_ports).chain(of_jumpers).chain(of_probes).collect();
    for name in named {
        let known = file.rails.0.iter().any(|(rail, _)| rail.value == name.value);
        if known || !USUAL.contains(&name.value.as_str()) || checker.refused.contains(&name.value) {
            continue;
        }
        if let Some(rail) = checker.assumptions.named_table::<RailFile>(&name) {
            file.rails.0.push((name, rail));
        }
    }
}

/// Jumpers that a port names where the file describes none.
fn implied_jumpers(file: &mut BoardFile, checker: &mut Checker<'_>) {
    if file.jumper.is_empty() && !checker.is_lost(file.place, "jumper") {
        for name in file.port.iter().filter_map(|port| port.jumper.as_ref()) {
            if file.jumper.iter().all(|jumper| jumper.name.value != name.value) {
                file.jumper.extend(nameless::<JumperFile>(name, checker));
            }
        }
    }
    let mut all: Vec<String> = vec!["input".to_owned()];
    all.extend(file.rails.0.iter().map(|(name, _)| name.value.clone()));
    for jumper in &mut file.jumper {
        if !jumper.rails.is_empty() || checker.is_lost(jumper.place, "rails") {
            continue;
        }
        let usual: Option<Vec<Name>> = checker.assumptions.of_table(jumper.place, "rails");
        jumper.rails = usual.unwrap_or_default();
        // At worst it chooses the input alone.
        if checker.assumptions.supposed.boards != Answer::Low
            && let Some(name) = jumper.rails.first().cloned()
        {
            let named = all.iter().map(|rail| Located {
                value: rail.clone(),
                place: name.place,
            });
            jumper.rails = named.collect();
        }
    }
}

/// Each motor output has a driver: where the file names none, the next one that no output names, else one of which nothing is stated.
fn implied_drivers(file: &mut BoardFile, checker: &mut Checker<'_>) {
    let named: Vec<String> = file
        .port
        .iter()
        .filter_map(|port| Some(port.driver.as_ref()?.value.clone()))
        .collect();
    // A driver that has the name of an output is its own.
    let outputs: Vec<&str> = file.port.iter().map(|port| port.name.value.as_str()).collect();
    let own: Vec<String> = file
        .driver
        .iter()
        .map(|driver| driver.name.value.clone())
        .collect();
    let free = file.driver.iter().filter(|driver| {
        let name = &driver.name.value;
        !named.contains(name) && !outputs.contains(&name.as_str())
    });
    let mut free: Vec<String> = free.map(|driver| driver.name.value.clone()).collect();
    free.reverse();
    let described = !file.driver.is_empty() || checker.is_lost(file.place, "driver");
    for port in &mut file.port {
        if let (false, Some(name)) = (described, &port.driver) {
            let known = file.driver.iter().any(|driver| driver.name.value == name.value);
            if !known {
                file.driver.extend(nameless::<DriverFile>(name, checker));
            }
            continue;
        }
        let unnamed = port.role.value == Role::MotorOutput && port.driver.is_none();
        if !unnamed || checker.is_lost(port.place, "driver") {
            continue;
        }
        let Some(mut name) = checker.assumptions.of_table::<Name>(port.place, "driver") else {
            continue;
        };
        if !own.contains(&name.value) {
            match free.pop() {
                Some(next) => name.value = next,
                None => file.driver.extend(nameless::<DriverFile>(&name, checker)),
            }
        }
        port.driver = Some(name);
    }
}

/// What could be read of a board. Other files are held against it also where a needed part is missing.
pub(crate) struct CheckedBoard {
    pub ports: Vec<Port>,
    rails: Vec<Rail>,
    drivers: Vec<Driver>,
    jumpers: Vec<Jumper>,
    path: String,
    pub name: Option<Name>,
    invented: bool,
    price: Option<Located<Price>>,
    outline: Option<Outline>,
    input: Option<Input>,
    processor: Option<Processor>,
    place: Place,
}

impl CheckedBoard {
    /// The board, if no needed part is missing.
    pub fn whole(self) -> Option<Board> {
        Some(Board {
            name: self.name?,
            path: self.path,
            invented: self.invented,
            price: self.price,
            outline: self.outline?,
            input: self.input?,
            processor: self.processor?,
            rails: self.rails,
            drivers: self.drivers,
            jumpers: self.jumpers,
            ports: self.ports,
            place: self.place,
        })
    }
}

fn outline(outline: &Outline, checker: &mut Checker<'_>) {
    let size = outline.size.value;
    if !has_area(outline) {
        checker.fault(
            Diagnostic::new(
                "bad-value",
                outline.size.place,
                "a board without area",
                "not above zero",
            )
            .expected("two lengths above zero"),
        );
        return;
    }
    for hole in &outline.holes {
        if !inside(hole.value, size) {
            checker.fault(
                Diagnostic::new(
                    "outside-outline",
                    hole.place,
                    "a hole outside the board",
                    "not on the board",
                )
                .other(outline.size.place, "the size of the board")
                .expected("a centre between the corners of the board"),
            );
        }
    }
}

pub(crate) fn has_area(outline: &Outline) -> bool {
    outline.size.x.base() > 0.0 && outline.size.y.base() > 0.0
}

pub(crate) fn inside(point: Point, size: Point) -> bool {
    let zero = si::metre(0.0);
    point.x >= zero && point.y >= zero && point.x <= size.x && point.y <= size.y
}

fn rails(files: &Map<RailFile>, checker: &mut Checker<'_>) -> Vec<Rail> {
    let names: Vec<Name> = files.0.iter().map(|(name, _)| name.clone()).collect();
    let place = names.first().map(|name| name.place);
    let mut all: Vec<&str> = vec!["input"];
    all.extend(names.iter().map(|name| name.value.as_str()));
    let mut rails = vec![Rail {
        name: Located {
            value: "input".to_owned(),
            place: place.unwrap_or(Place::nowhere()),
        },
        made: None,
    }];
    let mut feeders: Vec<(usize, Name)> = Vec::new();
    for (name, file) in &files.0 {
        if name.value == "input" {
            checker.fault(
                Diagnostic::new(
                    "duplicate-name",
                    name.place,
                    "the rail `input` is always there",
                    "not needed",
                )
                .help("describe the supply of the board under [input]".to_owned()),
            );
            continue;
        }
        if let Some(feeder) = &file.fed_by {
            feeders.push((rails.len(), feeder.clone()));
        }
        rails.push(Rail {
            name: name.clone(),
            made: Some(made_rail(file)),
        });
    }
    for (at, feeder) in feeders {
        let found = checker.find(&feeder, all.iter().copied(), "rail");
        let target = found.and_then(|_| rails.iter().position(|rail| rail.name.value == feeder.value));
        if let (Some(target), Some(made)) = (target, &mut rails[at].made) {
            made.fed_by = RailId(target);
        }
    }
    break_circles(&mut rails, checker);
    rails
}

fn made_rail(file: &RailFile) -> MadeRail {
    MadeRail {
        source: file.source,
        voltage: file.voltage,
        current: file.current,
        board_current: file
            .board_current
            .map_or(Value::exact(si::ampere(0.0)), |own| own.value),
        fed_by: RailId::INPUT,
        efficiency: file.efficiency.map_or(
            Value::between(si::percent(77.0), si::percent(85.0), si::percent(93.0)),
            |given| given.value,
        ),
        start_time: file.start_time,
    }
}

/// Following the feeders must end at the input; the first rail of a circle is hung there after the fault.
fn break_circles(rails: &mut [Rail], checker: &mut Checker<'_>) {
    for start in 1..rails.len() {
        let mut at = start;
        for _ in 0..rails.len() {
            at = rails[at].made.as_ref().map_or(0, |made| made.fed_by.0);
        }
        if at != 0 {
            let name = rails[start].name.clone();
            checker.fault(
                Diagnostic::new(
                    "circular-rail",
                    name.place,
                    format!("the rail `{}` feeds itself", name.value),
                    "part of a circle",
                )
                .expected("feeders that lead to the rail `input`"),
            );
            if let Some(made) = &mut rails[start].made {
                made.fed_by = RailId::INPUT;
            }
        }
    }
}

fn jumpers(files: Vec<JumperFile>, rails: &[Rail], checker: &mut Checker<'_>) -> Vec<Jumper> {
    checker.unique(files.iter().map(|jumper| &jumper.name), "jumper");
    let names: Vec<&str> = rails.iter().map(|rail| rail.name.value.as_str()).collect();
    let mut out = Vec::new();
    for file in files {
        let ids: Vec<RailId> = file
            .rails
            .iter()
            .filter_map(|name| checker.find(name, names.iter().copied(), "rail"))
            .map(RailId)
            .collect();
        let other = [&file.purpose, &file.position, &file.driver, &file.port];
        let stated = other.into_iter().flatten().next();
        match (&file.purpose, stated) {
            (None, _) if file.rails.is_empty() => {
                let problem = format!("the jumper `{}` offers no rail", file.name.value);
                checker.fault(
                    Diagnostic::new("missing-key", file.place, problem, "no rail")
                        .expected("`rails` with at least one name, or `purpose`: what else it does"),
                );
            }
            (_, Some(stated)) if !file.rails.is_empty() => {
                let problem = format!(
                    "the jumper `{}` chooses a rail and does something else",
                    file.name.value
                );
                checker.fault(
                    Diagnostic::new("contradiction", stated.place, problem, "beside `rails`")
                        .expected("`rails`, or `purpose` with `position`"),
                );
            }
            _ => {}
        }
        out.push(Jumper {
            name: file.name,
            rails: ids,
            purpose: file.purpose,
            position: file.position,
            stall_signal: None,
        });
    }
    out
}

/// The driver whose stall signal a jumper joins to a switch input; both are named, or neither.
fn stall_signal(
    jumper: &Name,
    (driver, port): (Option<Name>, Option<Name>),
    (names, ports, drivers): (&[String], &[Port], &[Driver]),
    checker: &mut Checker<'_>,
) -> Option<(DriverId, PortId)> {
    let (driver, port) = match (driver, port) {
        (Some(driver), Some(port)) => (driver, port),
        (None, None) => return None,
        (Some(lone), None) | (None, Some(lone)) => {
            let problem = format!(
                "the jumper `{jumper}` joins the stall signal of a driver to a port: one of both is missing"
            );
            checker.fault(
                Diagnostic::new("missing-key", lone.place, problem, "alone")
                    .expected("`driver` and `port`, or neither"),
            );
            return None;
        }
    };
    let found = checker.find(
        &driver,
        drivers.iter().map(|driver| driver.name.value.as_str()),
        "driver",
    );
    checker.find(&port, names.iter().map(String::as_str), "port")?;
    let at = ports.iter().position(|own| own.name.value == port.value)?;
    if !matches!(ports[at].kind, PortKind::Switch(_)) {
        let problem = format!("`{port}` is a {}, no switch input", ports[at].role());
        checker.fault(
            Diagnostic::new("bad-reference", port.place, problem, "not a switch input")
                .expected("the switch input that carries the stall signal"),
        );
        return None;
    }
    Some((DriverId(found?), PortId(at)))
}

/// A driver has one or two motor outputs.
fn sockets(ports: &[Port], drivers: &[Driver], checker: &mut Checker<'_>) {
    for (at, driver) in drivers.iter().enumerate() {
        let own: Vec<&Port> = ports
            .iter()
            .filter(|port| matches!(port.kind, PortKind::Motor { driver } if driver.0 == at))
            .collect();
        if own.len() > 2 {
            checker.fault(
                Diagnostic::new(
                    "contradiction",
                    own[2].place,
                    format!(
                        "the driver `{}` has more than two motor outputs",
                        driver.name.value
                    ),
                    "the third",
                )
                .other(driver.name.place, "the driver"),
            );
        }
        // The output may be one of those that were refused.
        let clean = !checker
            .faults
            .iter()
            .any(|fault| fault.place.file == driver.place.file);
        if own.is_empty() && clean {
            checker.fault(
                Diagnostic::new(
                    "contradiction",
                    driver.name.place,
                    format!("no motor output belongs to the driver `{}`", driver.name.value),
                    "without output",
                )
                .expected("a port of the role `motor output` that names the driver"),
            );
        }
    }
}

/// The program begins inside the flash.
fn boot_offset(processor: Option<&Processor>, checker: &mut Checker<'_>) {
    let Some((processor, offset)) = processor.and_then(|own| Some((own, own.boot_offset.as_ref()?))) else {
        return;
    };
    if offset.value.bytes() < processor.flash.value.bytes() {
        return;
    }
    checker.fault(
        Diagnostic::new(
            "contradiction",
            offset.place,
            "the program would begin beyond the end of the flash",
            "not inside the flash",
        )
        .other(processor.flash.place, "the flash")
        .expected("a `boot_offset` smaller than `flash`"),
    );
}
