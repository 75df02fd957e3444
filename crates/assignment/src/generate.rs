//! Invented instances for tests and benches, the same on every machine.

use crate::problem::{Builder, Choice, Cost, Item, Mode, Problem, Resource};

/// A small generator of numbers: a 64-bit linear congruential step, upper half mixed (the PCG family; O'Neill 2014,
/// from memory). Only its being the same everywhere matters here.
#[derive(Clone, Debug)]
pub struct Draw(u64);

impl Draw {
    /// A stream of its own for each seed.
    pub fn new(seed: u64) -> Draw {
        let mut draw = Draw(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x2545_f491_4f6c_dd1d);
        draw.bits();
        draw.bits();
        draw
    }

    fn bits(&mut self) -> u32 {
        let old = self.0;
        self.0 = old
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let mixed = (((old >> 18) ^ old) >> 27) as u32;
        mixed.rotate_right((old >> 59) as u32)
    }

    /// A whole number in `0..below`, `below` > 0 and at most 2³².
    pub fn below(&mut self, below: i64) -> i64 {
        (i64::from(self.bits()) * below) >> 32
    }

    /// A whole number in `from..=to`.
    pub fn between(&mut self, from: i64, to: i64) -> i64 {
        from + self.below(to - from + 1)
    }

    /// True `percent` times of 100.
    pub fn chance(&mut self, percent: i64) -> bool {
        self.below(100) < percent
    }
}

/// Small and wild: up to `items` items with few choices, all kinds of rows and conflicts, often impossible to serve.
/// Few different costs, so that there are ties.
pub fn wild(seed: u64, items: i64) -> Problem {
    let mut draw = Draw::new(seed);
    let mut builder = Builder::new();
    let ports: Vec<Resource> = (0..draw.between(1, items + 1))
        .map(|_| builder.resource(1))
        .collect();
    let rails: Vec<Resource> = (0..draw.below(3))
        .map(|_| builder.resource(draw.between(0, 12)))
        .collect();
    let dearest = [1, 3, 9, 1_000_000][draw.below(4) as usize];
    let cost = |draw: &mut Draw| {
        Cost(std::array::from_fn(|tier| {
            if tier < 3 || draw.chance(10) {
                draw.below(dearest + 1)
            } else {
                0
            }
        }))
    };
    let mut choices = Vec::new();
    for at in 0..draw.between(1, items) {
        let item = if draw.chance(60) {
            // Weights without a draw of their own: the draws that follow stay what they were.
            builder.required_weighing([1, 1, 3, 1_000][at as usize % 4])
        } else {
            builder.optional(cost(&mut draw))
        };
        for _ in 0..draw.below(5) {
            let mut uses = Vec::new();
            for _ in 0..draw.between(0, 2) {
                uses.push((ports[draw.below(ports.len() as i64) as usize], 1));
            }
            for &rail in &rails {
                if draw.chance(60) {
                    uses.push((rail, draw.below(8)));
                }
            }
            uses.dedup_by_key(|entry| entry.0);
            choices.push(builder.choice(item, cost(&mut draw), &uses));
        }
    }
    if choices.len() > 1 {
        for _ in 0..draw.below(6) {
            let a = choices[draw.below(choices.len() as i64) as usize];
            let b = choices[draw.below(choices.len() as i64) as usize];
            if a != b {
                builder.conflict(a, b);
            }
        }
    }
    checked(builder)
}

/// Modes with a state of each, by their numbers.
type States = Vec<(usize, i64)>;

/// Jumpers: up to `items` items at ports whose rail a jumper chooses, few or many to a jumper, some choices bound to two of them; mostly not
/// all can be served. The same rule as conflicts of pairs where `paired`.
pub fn moded(seed: u64, items: i64, paired: bool) -> Problem {
    let mut draw = Draw::new(seed);
    let mut builder = Builder::new();
    let ports: Vec<Resource> = (0..draw.between(1, items + 2))
        .map(|_| builder.resource(1))
        .collect();
    let rail = builder.resource(draw.between(3, 30));
    let modes = draw.between(1, 4);
    let states: Vec<i64> = (0..modes).map(|_| draw.between(1, 3)).collect();
    let ids: Vec<Mode> = states
        .iter()
        .map(|&states| builder.mode(states as usize))
        .collect();
    let mode_of: Vec<usize> = ports.iter().map(|_| draw.below(modes) as usize).collect();
    let mut bound: Vec<(Choice, Item, States)> = Vec::new();
    for at in 0..draw.between(2, items) {
        let item = if draw.chance(70) {
            builder.required_weighing([1, 1, 3, 1_000][at as usize % 4])
        } else {
            builder.optional(Cost::of(&[draw.below(4)]))
        };
        for _ in 0..draw.below(6) {
            let port = draw.below(ports.len() as i64) as usize;
            let mut uses = vec![(rail, draw.below(6))];
            // Some choices share nothing but a mode.
            if draw.chance(80) {
                uses.push((ports[port], 1));
            }
            let choice = builder.choice(item, Cost::of(&[0, draw.below(4), draw.below(3)]), &uses);
            let mut at = vec![(mode_of[port], draw.below(states[mode_of[port]]))];
            let second = draw.below(modes) as usize;
            if second != mode_of[port] && draw.chance(30) {
                at.push((second, draw.below(states[second])));
            }
            if draw.chance(15) {
                at.clear();
            }
            bound.push((choice, item, at));
        }
    }
    for (place, (choice, item, at)) in bound.iter().enumerate() {
        for &(mode, state) in at {
            if !paired {
                builder.only_in(*choice, ids[mode], state as usize);
            }
        }
        for (other, of, its) in bound[..place].iter().filter(|_| paired) {
            let clash =
                |&(mode, state): &(usize, i64)| its.iter().any(|&(own, other)| own == mode && other != state);
            if of != item && at.iter().any(clash) {
                builder.conflict(*choice, *other);
            }
        }
    }
    checked(builder)
}

/// Adversarial: `items` required items, half of all pairs with `ports` ports allowed, costs `0..=dearest` in one tier, and tight
/// budgets over eight ports each. Ports are dealt to the budgets in turn, a port in two of them.
pub fn tight(seed: u64, items: i64, ports: i64, budgets: i64, dearest: i64) -> Problem {
    let mut draw = Draw::new(seed);
    let mut builder = Builder::new();
    let port: Vec<Resource> = (0..ports).map(|_| builder.resource(1)).collect();
    let budget: Vec<Resource> = (0..budgets)
        .map(|_| builder.resource(draw.between(4_000, 5_000)))
        .collect();
    let over: Vec<Vec<i64>> = (0..budgets)
        .map(|_| (0..8).map(|_| draw.below(ports)).collect::<Vec<_>>())
        .collect();
    for _ in 0..items {
        let item = builder.required();
        let current = draw.between(100, 1_500);
        for place in 0..ports {
            if !draw.chance(50) {
                continue;
            }
            let mut uses = vec![(port[place as usize], 1)];
            for (index, members) in over.iter().enumerate() {
                if members.contains(&place) {
                    uses.push((budget[index], current));
                }
            }
            builder.choice(item, Cost::of(&[draw.below(dearest + 1)]), &uses);
        }
    }
    checked(builder)
}

/// Kinds of devices of [`machine`]: share of 100 devices, current drawn in mA, and the kinds of port it can also use
/// at the price of a caution.
const KINDS: [Kind; 7] = [
    Kind {
        share: 20,
        current: (600, 1_400),
        also: &[],
    },
    Kind {
        share: 6,
        current: (2_000, 6_000),
        also: &[],
    },
    Kind {
        share: 10,
        current: (0, 0),
        also: &[],
    },
    Kind {
        share: 24,
        current: (80, 400),
        also: &[1, 5],
    },
    Kind {
        share: 25,
        current: (0, 20),
        also: &[6],
    },
    Kind {
        share: 9,
        current: (300, 1_200),
        also: &[3],
    },
    Kind {
        share: 6,
        current: (20, 150),
        also: &[4],
    },
];

struct Kind {
    share: i64,
    current: (i64, i64),
    also: &'static [usize],
}

/// Shaped like a machine: devices of seven kinds, ports of the same kinds, rails shared by ports of all kinds, ports that
/// exclude each other, conflicts, wishes beside demands, six tiers of cost with many ties in all but the last.
/// The rails bear somewhat more than the devices draw, so that mostly all demands can be met.
pub fn machine(seed: u64, devices: i64, ports: i64) -> Problem {
    shaped(seed, devices, ports, (100, 160))
}

/// As [`machine`], with rails that bear less than the devices draw: some demands cannot be met.
pub fn starved(seed: u64, devices: i64, ports: i64) -> Problem {
    shaped(seed, devices, ports, (60, 110))
}

/// `supply`: what a rail bears, in percent of an equal share of the current drawn by all devices.
fn shaped(seed: u64, devices: i64, ports: i64, supply: (i64, i64)) -> Problem {
    let mut draw = Draw::new(seed);
    let mut builder = Builder::new();
    let kinds: Vec<usize> = (0..devices).map(|device| kind_at(device, devices)).collect();
    let currents: Vec<i64> = kinds
        .iter()
        .map(|&kind| draw.between(KINDS[kind].current.0, KINDS[kind].current.1) / 10 * 10)
        .collect();
    let count = (ports / 15).max(2);
    let share = currents.iter().sum::<i64>() / count;
    let rails: Vec<Resource> = (0..count)
        .map(|_| builder.resource(share * draw.between(supply.0, supply.1) / 1000 * 10))
        .collect();
    let board = Board::new(&mut builder, &mut draw, ports, &rails);
    let mut by_kind: Vec<Vec<(Item, Choice)>> = vec![Vec::new(); KINDS.len()];
    for (device, (&kind, &current)) in kinds.iter().zip(&currents).enumerate() {
        let wish = draw.chance(15);
        let item = if wish {
            builder.optional(Cost::of(&[draw.between(1, 5)]))
        } else {
            builder.required()
        };
        let (x, y) = (draw.below(200), draw.below(150));
        for port in &board.ports {
            let native = port.kind == kind;
            if !native && !KINDS[kind].also.contains(&port.kind) {
                continue;
            }
            let length = ((port.x - x).abs() + (port.y - y).abs()) / 5;
            let tiers = [
                0,
                i64::from(!native && draw.chance(10)),
                i64::from(!native) + i64::from(draw.chance(8)),
                draw.below(3),
                i64::from(port.plug != device as i64 % 3) * 4,
                length,
            ];
            let mut uses = port.uses.clone();
            uses.push((port.rail, current));
            let choice = builder.choice(item, Cost::of(&tiers), &uses);
            by_kind[kind].push((item, choice));
        }
    }
    for list in &by_kind {
        for _ in 0..list.len() / 20 {
            let (a, b) = (
                list[draw.below(list.len() as i64) as usize],
                list[draw.below(list.len() as i64) as usize],
            );
            if a.0 != b.0 {
                builder.conflict(a.1, b.1);
            }
        }
    }
    checked(builder)
}

struct Board {
    ports: Vec<Port>,
}

struct Port {
    kind: usize,
    rail: Resource,
    plug: i64,
    x: i64,
    y: i64,
    /// The port itself, and what it shares a pin or timer with.
    uses: Vec<(Resource, i64)>,
}

impl Board {
    fn new(builder: &mut Builder, draw: &mut Draw, count: i64, rails: &[Resource]) -> Board {
        let mut ports: Vec<Port> = (0..count)
            .map(|port| Port {
                kind: kind_at(port, count),
                rail: rails[draw.below(rails.len() as i64) as usize],
                plug: draw.below(3),
                x: draw.below(20) * 5,
                y: draw.below(2) * 75,
                uses: vec![(builder.resource(1), 1)],
            })
            .collect();
        for _ in 0..count / 10 {
            let shared = builder.resource(1);
            let (a, b) = (draw.below(count) as usize, draw.below(count) as usize);
            for port in if a == b { vec![a] } else { vec![a, b] } {
                ports[port].uses.push((shared, 1));
            }
        }
        Board { ports }
    }
}

/// Deals kinds in proportion to their shares. More ports than devices are then also more of each kind, or as many.
fn kind_at(index: i64, count: i64) -> usize {
    let mut percent = index * 100 / count;
    for (kind, entry) in KINDS.iter().enumerate() {
        percent -= entry.share;
        if percent < 0 {
            return kind;
        }
    }
    KINDS.len() - 1
}

fn checked(builder: Builder) -> Problem {
    match builder.build() {
        Ok(problem) => problem,
        // The generators stay inside every range; an error here is a mistake in them.
        Err(faults) => unreachable!("{faults:?}"),
    }
}
