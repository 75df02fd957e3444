//! The exact assignment: from judged ways to the integer programme, and back to a plan.
//!
//! Lexicographic order of the objective, the same by which boards are ranked: devices that the machine needs and that stay unassigned, by harm
//! (the solver's own first tier), value of wishes lost, what is left to decide by harm, settings changed, minutes of harness work, price of
//! parts; then millimetres of lead and disorder. Other blockers do not stand in that row, since a way with one of them is refused before.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use assignment::{Builder, Choice, Conflict, Cost, Demands, Item, Limits, Mode, Problem, Resource, Solution};
use model::Swap;
use model::board::{Board, PortKind, PortSupply, RailId};
use model::machine::{Detail, DeviceId};
use quantity::Number;
use quantity::si::ElectricCurrent;

use crate::decisions::compatible::{Candidate, candidates};
use crate::facts::needs::{is_needed, may_unplug};
use crate::facts::rails::{drawn_from_feeder, rating};
use crate::facts::{Pair, Site, Way};
use crate::rules::checks::{Pulses, harm_unassigned, load_homing_shown, pulses, spoils_wish};
use crate::rules::judging::{ByHarm, Stake};

/// Work after which a search hands back the best it has: some seconds, which no machine of the usual size comes near.
const WORK: u64 = 4_000_000_000;

/// Whether a search goes on until it is proved or stopped, whatever it takes.
static ENDLESS: AtomicBool = AtomicBool::new(false);

/// Lets searches go on until they are proved or stopped: for whoever has the patience.
pub fn search_without_end() {
    ENDLESS.store(true, Ordering::Relaxed);
}

/// Ends every search for an assignment, now and later.
static STOP: AtomicBool = AtomicBool::new(false);
/// How many searches run.
static RUNNING: AtomicUsize = AtomicUsize::new(0);

/// Ends the searches for an assignment that run, and those that begin later: each hands back the best it has, with how far from the best
/// that may be. Returns whether there was one to end; asked again, there is none.
pub fn stop_search() -> bool {
    RUNNING.load(Ordering::Relaxed) > 0 && !STOP.swap(true, Ordering::Relaxed)
}

/// Whether somebody ended the search: what follows then leaves out what only explains, so that the answer comes soon.
#[must_use]
pub fn is_stopped() -> bool {
    STOP.load(Ordering::Relaxed)
}

/// Whether a search for an assignment runs that [`stop_search`] would end.
#[must_use]
pub fn is_searching() -> bool {
    RUNNING.load(Ordering::Relaxed) > 0 && !is_stopped()
}

/// The best assignment, or the best that was found within the work of a search.
pub(crate) fn solve(problem: &Problem) -> Solution {
    RUNNING.fetch_add(1, Ordering::Relaxed);
    let solution = assignment::solve(problem, &limits());
    RUNNING.fetch_sub(1, Ordering::Relaxed);
    solution
}

pub(crate) fn limits() -> Limits {
    Limits {
        work: if ENDLESS.load(Ordering::Relaxed) {
            u64::MAX
        } else {
            WORK
        },
        stop: Some(&STOP),
        ..Limits::default()
    }
}

/// Why a resource of the programme is scarce, for sentences.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Scarce {
    /// A port takes one lead.
    Port(model::board::PortId),
    /// Two ports exclude each other.
    Exclusive(model::board::PortId, model::board::PortId),
    /// Ports on one processor pin.
    McuPin(String),
    /// A rail gives so many milliamperes.
    Rail(RailId),
}

/// What a choice of the programme stands for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// A device connected in a way.
    Connect(DeviceId, Way),
    /// A new device left out.
    LeaveOut(DeviceId),
    /// A wish fulfilled.
    Fulfil(usize),
    /// All loads on a timer ask for one kind of pulses, in words.
    Undisturbed(String, &'static str),
}

/// The programme with the meaning of its numbers.
#[derive(Clone, Debug)]
pub struct Programme {
    /// What the solver is given.
    pub problem: Problem,
    /// Meaning of each choice.
    pub meanings: Vec<Meaning>,
    /// Meaning of each resource.
    pub scarce: Vec<Scarce>,
    /// Judged ways of each device, refused ones included.
    pub candidates: Vec<Vec<Candidate>>,
    /// The plugs of each device that has several, which are all connected or none.
    plugs: Vec<Vec<DeviceId>>,
    /// How many wishes follow the devices.
    wishes: usize,
    /// Plugs that their device can do without, with that.
    spare: Vec<(DeviceId, DeviceId)>,
}

impl Programme {
    /// The item of a device.
    #[must_use]
    pub fn item_of(device: DeviceId) -> Item {
        // Devices are added first, in their order; wishes follow, then timers.
        Item(device.0)
    }
    /// The choice that stands for a device connected in a way.
    #[must_use]
    pub fn choice_of(&self, device: DeviceId, way: Way) -> Option<Choice> {
        self.meanings
            .iter()
            .position(|meaning| *meaning == Meaning::Connect(device, way))
            .map(Choice)
    }
    /// The ways of a solution, by device.
    #[must_use]
    pub fn ways(&self, solution: &Solution) -> Vec<Option<Way>> {
        let choice = |device: usize| solution.chosen[device].map(|choice| &self.meanings[choice.0]);
        let ways: Vec<Option<Way>> = (0..self.candidates.len())
            .map(|device| match choice(device) {
                Some(Meaning::Connect(_, way)) => Some(*way),
                _ => None,
            })
            .collect();
        // Where one plug of a device found no port, the others stay unplugged with it; that costs the objective nothing.
        let incomplete = |plugs: &Vec<DeviceId>| plugs.iter().any(|plug| ways[plug.0].is_none());
        let mut kept = ways.clone();
        for plug in self.plugs.iter().filter(|plugs| incomplete(plugs)).flatten() {
            kept[plug.0] = None;
        }
        for (spare, owner) in &self.spare {
            if kept[owner.0].is_none() {
                kept[spare.0] = None;
            }
        }
        kept
    }
    /// Whether each wish is fulfilled in a solution.
    #[must_use]
    pub fn fulfilled(&self, solution: &Solution) -> Vec<bool> {
        let wishes = solution.chosen[self.candidates.len()..].iter().take(self.wishes);
        wishes.map(Option::is_some).collect()
    }
    /// The smallest set of needed devices that cannot be served together; `None` where all can.
    #[must_use]
    pub fn clash(&self) -> Option<Conflict> {
        // A thousand nodes settle any real machine; the answer says where they did not.
        match assignment::smallest_conflict(
            &self.problem,
            &Limits {
                nodes: 20_000,
                work: WORK / 16,
                ..limits()
            },
        ) {
            Demands::Clash(conflict) => Some(conflict),
            Demands::Hold | Demands::Unknown => None,
        }
    }
}

/// So many unassigned devices of one harm weigh as one of the next: more than a machine has.
const HEAVIER: i64 = 1 << 12;

/// What an unassigned device weighs: harm goes before number.
fn weight(stake: Stake) -> i64 {
    match stake {
        Stake::Function => 1,
        Stake::Hardware => HEAVIER,
        Stake::Safety => HEAVIER * HEAVIER,
    }
}

/// The unassigned devices of a sum of weights, or of a difference of two.
pub(crate) fn unassigned(weights: i64) -> ByHarm {
    // A difference may take from one digit and add to another: each digit is the nearest to zero.
    let digit = |number: i64| (number + HEAVIER / 2).rem_euclid(HEAVIER) - HEAVIER / 2;
    let function = digit(weights);
    let rest = (weights - function) / HEAVIER;
    let hardware = digit(rest);
    ByHarm {
        safety: (rest - hardware) / HEAVIER,
        hardware,
        function,
    }
}

/// A choice that connects a device, with what decides whether two of them exclude each other.
struct Connected {
    choice: usize,
    device: DeviceId,
    way: Way,
    axis: Option<model::machine::AxisId>,
    /// Whether it is the first motor of its axis, which the others follow.
    primary: bool,
}

/// The limit switches that need not be plugged in under an assignment: each motor of their axis is connected where it finds the end by its load.
#[must_use]
pub fn unpluggable(site: &Site<'_>, ways: &[Option<Way>]) -> Vec<DeviceId> {
    let shown = |motor: DeviceId| {
        let way = ways[motor.0];
        way.is_some_and(|way| load_homing_shown(&Pair::new(site, motor, way).facts()))
    };
    let machine = &site.swap.machine;
    let of = |id: DeviceId| may_unplug(site.swap, id).is_some_and(|axis| machine.motors_of(axis).all(shown));
    machine
        .device_ids()
        .map(|(id, _)| id)
        .filter(|id| of(*id))
        .collect()
}

/// Builds the programme of one board; the limit switches `unplugged` may be left out where their axis homes by load.
#[must_use]
pub fn programme(site: &Site<'_>, unplugged: &[DeviceId]) -> Programme {
    let swap = site.swap;
    let judged: Vec<Vec<Candidate>> = swap
        .machine
        .device_ids()
        .map(|(id, _)| candidates(site, id))
        .collect();
    let mut work = Work::new(site);
    for (id, device) in swap.machine.device_ids() {
        // A device that is not needed can be left out by a choice of its own, so that nothing weighs here.
        let item = work
            .builder
            .required_weighing(weight(harm_unassigned(device.detail.share())));
        for candidate in &judged[id.0] {
            if let Ok(cost) = &candidate.outcome {
                let cost = Cost::of(&[
                    0,
                    cost.decide.safety,
                    cost.decide.hardware,
                    cost.decide.function,
                    cost.settings,
                    cost.minutes,
                    cost.price,
                    cost.millimetres,
                    cost.disorder,
                ]);
                let uses = work.uses(&Pair::new(site, id, candidate.way));
                work.choice(item, Meaning::Connect(id, candidate.way), cost, &uses);
                work.jumper(candidate.way);
            }
        }
        if device.plug().is_some_and(|plug| !plug.spare) {
            // A plug is left out with its device, which weighs for all of them: see `plugs`.
            work.choice(item, Meaning::LeaveOut(id), Cost::ZERO, &[]);
        } else if !is_needed(swap, id) {
            // A new device that no wish asks for still counts as a wish of value 1.
            let asked = swap.wishes.iter().any(|wish| wish.devices.contains(&id));
            work.choice(item, Meaning::LeaveOut(id), Cost::of(&[i64::from(!asked)]), &[]);
        } else if unplugged.contains(&id) {
            work.choice(item, Meaning::LeaveOut(id), Cost::ZERO, &[]);
        }
    }
    for (at, wish) in swap.wishes.iter().enumerate() {
        let item = work.builder.optional(Cost::of(&[i64::from(wish.weight.value)]));
        work.choice(item, Meaning::Fulfil(at), Cost::ZERO, &[]);
    }
    work.timers();
    work.conflicts();
    let Work {
        builder,
        meanings,
        scarce,
        ..
    } = work;
    // The builder only refuses numbers out of range, and those made here are small.
    let problem = builder
        .build()
        .unwrap_or_else(|faults| unreachable!("the plan's own programme: {faults:?}"));
    let machine = &swap.machine;
    let together = |id: DeviceId| {
        let spare = |id: &DeviceId| machine.device(*id).plug().is_some_and(|plug| plug.spare);
        machine.plugs_of(id).filter(|id| !spare(id)).collect::<Vec<_>>()
    };
    let several = machine.device_ids().map(|(id, _)| together(id));
    let spare = |(id, device): (DeviceId, &model::machine::Device)| {
        let plug = device.plug().filter(|plug| plug.spare)?;
        Some((id, plug.of))
    };
    Programme {
        problem,
        meanings,
        scarce,
        candidates: judged,
        plugs: several.filter(|plugs| plugs.len() > 1).collect(),
        wishes: swap.wishes.len(),
        spare: machine.device_ids().filter_map(spare).collect(),
    }
}

struct Work<'a> {
    site: &'a Site<'a>,
    swap: &'a Swap,
    board: &'a Board,
    builder: Builder,
    meanings: Vec<Meaning>,
    scarce: Vec<Scarce>,
    ports: Vec<Resource>,
    exclusive: Vec<Vec<Resource>>,
    rails: Vec<Option<Resource>>,
    jumpers: Vec<Mode>,
}

impl<'a> Work<'a> {
    fn new(site: &'a Site<'a>) -> Self {
        let (swap, board) = (site.swap, site.board);
        let mut work = Work {
            site,
            swap,
            board,
            builder: Builder::new(),
            meanings: Vec::new(),
            scarce: Vec::new(),
            ports: Vec::new(),
            exclusive: vec![Vec::new(); board.ports.len()],
            rails: Vec::new(),
            jumpers: Vec::new(),
        };
        for _ in &board.jumpers {
            // A position for each rail there is, and one for none.
            let jumper = work.builder.mode(board.rails.len() + 1);
            work.jumpers.push(jumper);
        }
        for (id, _) in board.port_ids() {
            let resource = work.resource(1, Scarce::Port(id));
            work.ports.push(resource);
        }
        work.exclusions();
        for (at, rail) in board.rails.iter().enumerate() {
            let resource = rail.made.as_ref().map(|made| {
                let share = swap.catalogue.limits().rail_continuous_share.value.low();
                // As the check of the rail takes it: a supply from outside may be weaker than its rail.
                let rating = rating(swap, board, RailId(at)).unwrap_or(made.current);
                let left = rating.low() * share - made.board_current.high();
                work.resource(milliamperes(left, f64::floor).max(0), Scarce::Rail(RailId(at)))
            });
            work.rails.push(resource);
        }
        work
    }

    fn resource(&mut self, capacity: i64, scarce: Scarce) -> Resource {
        self.scarce.push(scarce);
        self.builder.resource(capacity)
    }

    fn choice(&mut self, item: Item, meaning: Meaning, cost: Cost, uses: &[(Resource, i64)]) {
        self.builder.choice(item, cost, uses);
        self.meanings.push(meaning);
    }

    /// Binds the last choice to the position of its port's jumper, which chooses one rail for all its ports.
    fn jumper(&mut self, way: Way) {
        if let PortSupply::Jumper(jumper) = self.board.port(way.port).supply {
            let position = way.rail.map_or(self.board.rails.len(), |rail| rail.0);
            let choice = Choice(self.meanings.len() - 1);
            self.builder.only_in(choice, self.jumpers[jumper.0], position);
        }
    }

    /// Ports that exclude each other by word or by a shared processor pin; outputs of one driver belong together.
    fn exclusions(&mut self) {
        for (id, port) in self.board.port_ids() {
            for other in &port.excludes {
                // An exclusion counts both ways, and once where both ports name it.
                let named_by_both = self.board.port(*other).excludes.contains(&id);
                if id < *other || !named_by_both {
                    let resource = self.resource(1, Scarce::Exclusive(id, *other));
                    self.exclusive[id.0].push(resource);
                    self.exclusive[other.0].push(resource);
                }
            }
        }
        let mut pins: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
        for (at, port) in self.board.ports.iter().enumerate() {
            if let Some(pin) = &port.processor_pin
                && !matches!(port.kind, PortKind::Motor { .. })
            {
                pins.entry(pin.value.as_str()).or_default().push(at);
            }
        }
        for (pin, ports) in pins.into_iter().filter(|(_, ports)| ports.len() > 1) {
            let resource = self.resource(1, Scarce::McuPin(pin.to_owned()));
            for port in ports {
                self.exclusive[port].push(resource);
            }
        }
    }

    /// What a way takes: its port, exclusions, and current of its rail and of every made rail that feeds it.
    fn uses(&self, pair: &Pair<'_>) -> Vec<(Resource, i64)> {
        let way = pair.way;
        let mut uses: Vec<(Resource, i64)> = Vec::new();
        // Over a Y-lead the second motor takes no port of its own; the conflicts bind it to the first.
        if !way.second || pair.has_second_socket() {
            uses.push((self.ports[way.port.0], 1));
        }
        uses.extend(self.exclusive[way.port.0].iter().map(|resource| (*resource, 1)));
        // A supply feeds its rail.
        let load = !matches!(pair.device().detail, Detail::Supply(_));
        let drawn = pair
            .current()
            .filter(|_| load)
            .and_then(|current| pair.feed().from_rail(current));
        let Some(mut current) = drawn else {
            return uses;
        };
        let mut rail = way.rail.unwrap_or(RailId::INPUT);
        while let (Some(resource), Some(made)) = (self.rails[rail.0], &self.board.rail(rail).made) {
            uses.push((resource, milliamperes(current.high(), f64::ceil)));
            current = drawn_from_feeder(self.swap, self.board, rail, current);
            rail = made.fed_by;
        }
        uses
    }

    /// Pairs that exclude each other. Only motors, plugs and wishes can: everything else meets in resources and jumpers.
    fn conflicts(&mut self) {
        let motors =
            self.choices(|work, way| matches!(work.board.port(way.port).kind, PortKind::Motor { .. }));
        let mut pairs: Vec<(usize, usize)> = Vec::new();
        for (at, one) in motors.iter().enumerate() {
            for other in &motors[at + 1..] {
                if one.device != other.device && self.motors_clash(one, other) {
                    pairs.push((one.choice, other.choice));
                }
            }
        }
        for (choice, meaning) in self.meanings.iter().enumerate() {
            if let Meaning::Fulfil(wish) = meaning {
                let spoilers = self
                    .meanings
                    .iter()
                    .enumerate()
                    .filter(|(_, other)| self.spoils(*wish, other));
                pairs.extend(spoilers.map(|(spoiler, _)| (spoiler, choice)));
            }
        }
        pairs.extend(self.disturbed());
        pairs.extend(self.unplugged());
        pairs.extend(self.plugs());
        for (a, b) in pairs {
            self.builder.conflict(Choice(a), Choice(b));
        }
    }

    /// The timer of each choice that asks for pulses, with their kind.
    fn pulsed(&self) -> Vec<(usize, String, Pulses)> {
        let connected = self.choices(|work, way| work.board.port(way.port).timer.is_some());
        let pulsed = connected.into_iter().filter_map(|own| {
            let timer = self.board.port(own.way.port).timer.as_ref()?;
            let kind = pulses(&Pair::new(self.site, own.device, own.way).facts())?;
            Some((own.choice, timer.value.clone(), kind))
        });
        pulsed.collect()
    }

    /// A timer whose loads may ask for different pulses is an item that is served by one kind of them; where it is not, the check of timers
    /// finds something to decide, and it costs that much.
    fn timers(&mut self) {
        let mut kinds: BTreeMap<String, BTreeSet<Pulses>> = BTreeMap::new();
        for (_, timer, kind) in self.pulsed() {
            kinds.entry(timer).or_default().insert(kind);
        }
        for (timer, kinds) in kinds.into_iter().filter(|(_, kinds)| kinds.len() > 1) {
            let mut one = ByHarm::NONE;
            one.add(Stake::Function);
            let item = self
                .builder
                .optional(Cost::of(&[0, one.safety, one.hardware, one.function]));
            for kind in kinds {
                self.choice(
                    item,
                    Meaning::Undisturbed(timer.clone(), kind.words()),
                    Cost::ZERO,
                    &[],
                );
            }
        }
    }

    /// A load that asks for other pulses than those that its timer serves.
    fn disturbed(&self) -> Vec<(usize, usize)> {
        let pulsed = self.pulsed();
        let mut pairs = Vec::new();
        for (choice, meaning) in self.meanings.iter().enumerate() {
            let Meaning::Undisturbed(timer, kind) = meaning else {
                continue;
            };
            let others = pulsed
                .iter()
                .filter(|(_, own, other)| own == timer && other.words() != *kind);
            pairs.extend(others.map(|(other, _, _)| (*other, choice)));
        }
        pairs
    }

    /// The choices that connect a device in a way that passes.
    fn choices(&self, passes: impl Fn(&Self, Way) -> bool) -> Vec<Connected> {
        let connected = self
            .meanings
            .iter()
            .enumerate()
            .filter_map(|(choice, meaning)| match meaning {
                Meaning::Connect(device, way) if passes(self, *way) => Some((choice, *device, *way)),
                _ => None,
            });
        connected
            .map(|(choice, device, way)| Connected {
                choice,
                device,
                way,
                axis: crate::facts::pair::axis_of(&self.swap.machine.device(device).detail),
                primary: self.is_primary(device),
            })
            .collect()
    }

    /// A driver serves motors of one axis: one of them, or the first and one second.
    fn motors_clash(&self, one: &Connected, other: &Connected) -> bool {
        let driver = |connected: &Connected| match self.board.port(connected.way.port).kind {
            PortKind::Motor { driver } => Some(driver),
            _ => None,
        };
        let same_driver = driver(one) == driver(other);
        if one.axis != other.axis {
            return same_driver;
        }
        match (one.way.second, other.way.second) {
            (false, false) | (true, true) => same_driver,
            (false, true) => one.primary && !same_driver,
            (true, false) => other.primary && !same_driver,
        }
    }

    fn is_primary(&self, id: DeviceId) -> bool {
        let axis = crate::facts::pair::axis_of(&self.swap.machine.device(id).detail);
        axis.is_some_and(|axis| self.swap.machine.motors_of(axis).next() == Some(id))
    }

    /// A limit switch stays unplugged only where each motor of its axis finds the end by its load.
    fn unplugged(&self) -> Vec<(usize, usize)> {
        let meanings = || self.meanings.iter().enumerate();
        let switches = meanings().filter_map(|(choice, meaning)| match meaning {
            Meaning::LeaveOut(id) => Some((choice, may_unplug(self.swap, *id)?)),
            _ => None,
        });
        switches
            .flat_map(|(left_out, axis)| {
                let fails = move |meaning: &Meaning| match meaning {
                    Meaning::Connect(id, way) => {
                        crate::facts::pair::axis_of(&self.swap.machine.device(*id).detail) == Some(axis)
                            && !load_homing_shown(&Pair::new(self.site, *id, *way).facts())
                    }
                    _ => false,
                };
                meanings()
                    .filter(move |(_, meaning)| fails(meaning))
                    .map(move |(choice, _)| (left_out, choice))
            })
            .collect()
    }

    /// The plugs of a device are connected together, or left out together. That a device which must be served, and is not, has none of them
    /// connected needs no pair: it would gain nothing.
    fn plugs(&self) -> Vec<(usize, usize)> {
        let meanings = || self.meanings.iter().enumerate();
        let mut pairs = Vec::new();
        for (choice, meaning) in meanings() {
            let (id, connected) = match meaning {
                Meaning::Connect(id, _) => (*id, true),
                Meaning::LeaveOut(id) => (*id, false),
                Meaning::Fulfil(_) | Meaning::Undisturbed(..) => continue,
            };
            let Some(plug) = self.swap.machine.device(id).plug() else {
                continue;
            };
            let apart = |owner: &Meaning| match owner {
                Meaning::Connect(of, _) => *of == plug.of && !connected && !plug.spare,
                Meaning::LeaveOut(of) => *of == plug.of && connected,
                Meaning::Fulfil(_) | Meaning::Undisturbed(..) => false,
            };
            pairs.extend(
                meanings()
                    .filter(|(_, owner)| apart(owner))
                    .map(|(owner, _)| (owner, choice)),
            );
        }
        pairs
    }

    /// Whether a choice makes a wish impossible.
    fn spoils(&self, wish: usize, choice: &Meaning) -> bool {
        let wish = &self.swap.wishes[wish];
        let (id, way) = match choice {
            Meaning::LeaveOut(id) => return wish.devices.contains(id),
            Meaning::Connect(id, way) => (*id, *way),
            Meaning::Fulfil(_) | Meaning::Undisturbed(..) => return false,
        };
        spoils_wish(&Pair::new(self.site, id, way).facts(), wish)
    }
}

fn milliamperes(current: ElectricCurrent, round: fn(f64) -> f64) -> i64 {
    // One part in 10⁹ keeps a sum that just fits from failing by rounding.
    let number = round(current.base() * 1e3 * (1.0 - 1e-9));
    #[expect(clippy::cast_possible_truncation, reason = "clamped to a range of i64")]
    let whole = number.clamp(-1e9, 1e9) as i64;
    whole
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_tell_the_unassigned_of_each_harm() {
        for (safety, hardware, function) in [(0, 0, 0), (1, 2, 3), (0, -1, 4), (2, -3, -1), (-1, 0, 100)] {
            let sum = safety * weight(Stake::Safety) + hardware * weight(Stake::Hardware) + function;
            let expected = ByHarm {
                safety,
                hardware,
                function,
            };
            assert_eq!(unassigned(sum), expected);
        }
        assert!(
            weight(Stake::Hardware) > 1000 * weight(Stake::Function),
            "harm before number"
        );
    }
}
