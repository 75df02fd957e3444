//! The problem: items, their choices, resources with capacities, pairs of choices that exclude each other, and modes whose states do.

use std::collections::BTreeMap;
use std::ops::{Add, Sub};

/// How many cost tiers a caller has. Tier 0 of a [`Cost`] outweighs all later ones together, and so on.
pub const TIERS: usize = 10;

/// The largest cost in one tier, amount or capacity: 2⁴⁰, about 1.1 × 10¹². Sums then stay far inside `i64`.
pub const LARGEST: i64 = 1 << 40;

/// An item: something that wants exactly one of its choices, such as a device that wants a port.
/// The number counts the items of one problem from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Item(pub usize);

/// One way to serve one item, such as a device at a certain port.
/// The number counts the choices of one problem from 0, over all items.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Choice(pub usize);

/// Something of which only so much is there: a port (capacity 1), a set of ports that exclude each other (capacity 1),
/// a rail (its milliamperes). The number counts the resources of one problem from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Resource(pub usize);

/// Something that is in one of several states, the same for all that depend on it: a jumper that chooses the rail of its ports.
/// The number counts the modes of one problem from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Mode(pub usize);

/// What a choice costs, tier by tier; compared lexicographically. Each tier lies in `0..=LARGEST`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Cost(pub [i64; TIERS]);

impl Cost {
    /// Free in every tier.
    pub const ZERO: Cost = Cost([0; TIERS]);

    /// The first tiers as given, the rest 0. More than [`TIERS`] values are a mistake of the caller.
    ///
    /// # Panics
    /// Where `tiers` is longer than [`TIERS`].
    pub fn of(tiers: &[i64]) -> Cost {
        assert!(
            tiers.len() <= TIERS,
            "a cost has {TIERS} tiers, {} were given",
            tiers.len()
        );
        let mut cost = Cost::ZERO;
        cost.0[..tiers.len()].copy_from_slice(tiers);
        cost
    }
}

/// The cost of a whole assignment, or a bound on it: first how many required items stay unassigned, by their weight, then the sums of the
/// caller's tiers. Ordered lexicographically. A difference of two totals may be negative in any tier.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Total {
    /// Sum of the weights of the required items that stay unassigned: their number where each weighs 1.
    pub unassigned: i64,
    /// Sum over all items, tier by tier.
    pub tiers: [i64; TIERS],
}

impl Add for Total {
    type Output = Total;
    fn add(self, other: Total) -> Total {
        Total {
            unassigned: self.unassigned + other.unassigned,
            tiers: std::array::from_fn(|tier| self.tiers[tier] + other.tiers[tier]),
        }
    }
}

impl Sub for Total {
    type Output = Total;
    fn sub(self, other: Total) -> Total {
        Total {
            unassigned: self.unassigned - other.unassigned,
            tiers: std::array::from_fn(|tier| self.tiers[tier] - other.tiers[tier]),
        }
    }
}

/// Why a problem is not one. [`Builder::build`] returns all of them at once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Invalid {
    /// A cost outside `0..=LARGEST`, of a choice.
    ChoiceCost(Choice),
    /// A cost outside `0..=LARGEST`, of leaving an item unassigned; a weight outside `1..=LARGEST` of one that must be served.
    UnassignedCost(Item),
    /// A capacity outside `0..=LARGEST`.
    Capacity(Resource),
    /// An amount outside `0..=LARGEST`, summed where a resource was named twice.
    Amount(Choice, Resource),
    /// A choice for an item that was never added.
    UnknownItem(Choice),
    /// A choice that uses a resource that was never added.
    UnknownResource(Choice, Resource),
    /// A conflict that names a choice that was never added, or a choice with itself.
    Conflict(Choice, Choice),
    /// A choice bound to a mode or a state that was never added, one that was never added itself, or one bound to two states of a mode.
    State(Choice, Mode),
    /// More than 2²⁰ items or choices: sums could leave `i64`.
    TooLarge,
}

impl std::fmt::Display for Invalid {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Invalid::ChoiceCost(choice) => write!(out, "choice {} has a cost outside 0..=2^40", choice.0),
            Invalid::UnassignedCost(item) => {
                write!(out, "item {} has an unassigned cost outside 0..=2^40", item.0)
            }
            Invalid::Capacity(resource) => {
                write!(out, "resource {} has a capacity outside 0..=2^40", resource.0)
            }
            Invalid::Amount(choice, resource) => {
                write!(
                    out,
                    "choice {} asks an amount outside 0..=2^40 of resource {}",
                    choice.0, resource.0
                )
            }
            Invalid::UnknownItem(choice) => write!(out, "choice {} belongs to no known item", choice.0),
            Invalid::UnknownResource(choice, resource) => {
                write!(
                    out,
                    "choice {} uses resource {}, which is not known",
                    choice.0, resource.0
                )
            }
            Invalid::Conflict(a, b) => write!(out, "choices {} and {} cannot be a conflict", a.0, b.0),
            Invalid::State(choice, mode) => {
                write!(
                    out,
                    "choice {} is bound to no state of mode {}, or to two",
                    choice.0, mode.0
                )
            }
            Invalid::TooLarge => write!(out, "more than 2^20 items or choices"),
        }
    }
}

impl std::error::Error for Invalid {}

/// Collects a problem piece by piece; [`build`](Builder::build) checks it.
///
/// ```
/// use assignment::{Builder, Cost, Limits, solve};
/// let mut builder = Builder::new();
/// let port = builder.resource(1);
/// let rail = builder.resource(2_000);
/// let lamp = builder.required();
/// let fan = builder.optional(Cost::of(&[5]));
/// let lamp_at_port = builder.choice(lamp, Cost::ZERO, &[(port, 1), (rail, 1_500)]);
/// builder.choice(fan, Cost::ZERO, &[(rail, 800)]);
/// let problem = builder.build().unwrap();
/// let solution = solve(&problem, &Limits::default());
/// assert_eq!(solution.chosen, [Some(lamp_at_port), None]); // the rail bears only one of the two
/// assert_eq!(solution.cost.tiers[0], 5);
/// ```
#[derive(Clone, Debug, Default)]
pub struct Builder {
    items: Vec<Need>,
    choices: Vec<Entry>,
    capacities: Vec<i64>,
    conflicts: Vec<(Choice, Choice)>,
    /// How many states each mode has.
    modes: Vec<usize>,
    bound: Vec<(Choice, Mode, usize)>,
}

/// How much an item wants one of its choices.
#[derive(Clone, Copy, Debug)]
enum Need {
    /// It must be served, with what it weighs where it is not, above 0.
    Required(i64),
    /// What it costs to leave it unassigned.
    Optional(Cost),
}

impl Builder {
    /// An empty problem.
    pub fn new() -> Builder {
        Builder::default()
    }

    /// Adds a resource with its capacity, `0..=LARGEST`.
    pub fn resource(&mut self, capacity: i64) -> Resource {
        self.capacities.push(capacity);
        Resource(self.capacities.len() - 1)
    }

    /// Adds an item that must be served. Where that cannot be, [`Total::unassigned`] counts it, before any other cost.
    pub fn required(&mut self) -> Item {
        self.required_weighing(1)
    }

    /// Adds an item that must be served, which counts as many as `weight` (`1..=LARGEST`) where it is not.
    pub fn required_weighing(&mut self, weight: i64) -> Item {
        self.items.push(Need::Required(weight));
        Item(self.items.len() - 1)
    }

    /// Adds an item that may stay unassigned, and what that costs.
    pub fn optional(&mut self, unassigned: Cost) -> Item {
        self.items.push(Need::Optional(unassigned));
        Item(self.items.len() - 1)
    }

    /// Adds a way to serve `item`: its cost, and how much it takes of which resources (each `0..=LARGEST`).
    pub fn choice(&mut self, item: Item, cost: Cost, uses: &[(Resource, i64)]) -> Choice {
        let mut sums: BTreeMap<Resource, i64> = BTreeMap::new();
        for &(resource, amount) in uses {
            let sum = sums.entry(resource).or_default();
            // A negative amount must not hide behind a positive one of the same resource.
            *sum = if amount < 0 || *sum < 0 {
                -1
            } else {
                sum.saturating_add(amount)
            };
        }
        self.choices.push(Entry {
            item,
            cost,
            uses: sums.into_iter().collect(),
            states: Vec::new(),
        });
        Choice(self.choices.len() - 1)
    }

    /// Adds a mode with so many states. It costs nothing to be in any of them.
    pub fn mode(&mut self, states: usize) -> Mode {
        self.modes.push(states);
        Mode(self.modes.len() - 1)
    }

    /// Binds a choice to a state (from 0) of a mode: it excludes every choice that is bound to another state of that mode.
    ///
    /// It says the same as a conflict for each pair of them, in room that grows with their number and not with its square.
    pub fn only_in(&mut self, choice: Choice, mode: Mode, state: usize) {
        self.bound.push((choice, mode, state));
    }

    /// Forbids `a` and `b` together. A conflict within one item says nothing new and is dropped.
    pub fn conflict(&mut self, a: Choice, b: Choice) {
        self.conflicts.push((a.min(b), a.max(b)));
    }

    /// Checks everything that was added.
    ///
    /// # Errors
    /// All faults found, in the order: size, resources, items, choices, conflicts, modes.
    pub fn build(mut self) -> Result<Problem, Vec<Invalid>> {
        let faults = self.faults();
        if !faults.is_empty() {
            return Err(faults);
        }
        for entry in &mut self.choices {
            entry.uses.retain(|&(_, amount)| amount > 0);
        }
        self.bound.sort_unstable();
        self.bound.dedup();
        for &(choice, mode, state) in &self.bound {
            let states = &mut self.choices[choice.0].states;
            states.reserve_exact(1);
            states.push((mode, state));
        }
        let choices = &self.choices;
        self.conflicts
            .retain(|&(a, b)| choices[a.0].item != choices[b.0].item);
        self.conflicts.sort_unstable();
        self.conflicts.dedup();
        let mut of_item = vec![Vec::new(); self.items.len()];
        for (index, entry) in self.choices.iter().enumerate() {
            of_item[entry.item.0].push(Choice(index));
        }
        Ok(Problem {
            items: self.items,
            of_item,
            choices: self.choices,
            capacities: self.capacities,
            conflicts: self.conflicts,
            modes: self.modes.len(),
        })
    }

    fn faults(&self) -> Vec<Invalid> {
        let mut faults = Vec::new();
        let fits = |value: i64| (0..=LARGEST).contains(&value);
        let fits_all = |cost: &Cost| cost.0.iter().all(|&value| fits(value));
        if self.items.len().max(self.choices.len()) > 1 << 20 {
            faults.push(Invalid::TooLarge);
        }
        let capacities = self.capacities.iter().enumerate();
        faults.extend(
            capacities
                .filter(|(_, c)| !fits(**c))
                .map(|(r, _)| Invalid::Capacity(Resource(r))),
        );
        for (index, item) in self.items.iter().enumerate() {
            let sound = match item {
                Need::Required(weight) => fits(*weight) && *weight > 0,
                Need::Optional(cost) => fits_all(cost),
            };
            if !sound {
                faults.push(Invalid::UnassignedCost(Item(index)));
            }
        }
        for (index, entry) in self.choices.iter().enumerate() {
            let choice = Choice(index);
            if entry.item.0 >= self.items.len() {
                faults.push(Invalid::UnknownItem(choice));
            }
            if !fits_all(&entry.cost) {
                faults.push(Invalid::ChoiceCost(choice));
            }
            for &(resource, amount) in &entry.uses {
                if resource.0 >= self.capacities.len() {
                    faults.push(Invalid::UnknownResource(choice, resource));
                }
                if !fits(amount) {
                    faults.push(Invalid::Amount(choice, resource));
                }
            }
        }
        for &(a, b) in &self.conflicts {
            if a == b || b.0 >= self.choices.len() {
                faults.push(Invalid::Conflict(a, b));
            }
        }
        let mut state_of: BTreeMap<(Choice, Mode), usize> = BTreeMap::new();
        for &(choice, mode, state) in &self.bound {
            let known =
                choice.0 < self.choices.len() && self.modes.get(mode.0).is_some_and(|states| state < *states);
            if !known || *state_of.entry((choice, mode)).or_insert(state) != state {
                faults.push(Invalid::State(choice, mode));
            }
        }
        faults
    }
}

/// A checked problem. Made by [`Builder::build`]; cannot be changed.
#[derive(Clone, Debug)]
pub struct Problem {
    items: Vec<Need>,
    of_item: Vec<Vec<Choice>>,
    choices: Vec<Entry>,
    capacities: Vec<i64>,
    conflicts: Vec<(Choice, Choice)>,
    /// How many modes there are.
    modes: usize,
}

#[derive(Clone, Debug)]
struct Entry {
    item: Item,
    cost: Cost,
    uses: Vec<(Resource, i64)>,
    states: Vec<(Mode, usize)>,
}

impl Problem {
    /// All items, in the order in which they were added.
    pub fn items(&self) -> impl ExactSizeIterator<Item = Item> + use<> {
        (0..self.items.len()).map(Item)
    }

    /// How many choices there are over all items.
    pub fn choice_count(&self) -> usize {
        self.choices.len()
    }

    /// How many resources there are.
    pub fn resource_count(&self) -> usize {
        self.capacities.len()
    }

    /// Whether `item` must be served.
    pub fn is_required(&self, item: Item) -> bool {
        matches!(self.items[item.0], Need::Required(_))
    }

    /// What it costs to leave `item` unassigned; a required one counts in [`Total::unassigned`] instead.
    pub fn unassigned_cost(&self, item: Item) -> Total {
        match self.items[item.0] {
            Need::Required(weight) => Total {
                unassigned: weight,
                tiers: [0; TIERS],
            },
            Need::Optional(cost) => Total {
                unassigned: 0,
                tiers: cost.0,
            },
        }
    }

    /// The choices of `item`, in the order in which they were added.
    pub fn choices_of(&self, item: Item) -> &[Choice] {
        &self.of_item[item.0]
    }

    /// The item that `choice` serves.
    pub fn item_of(&self, choice: Choice) -> Item {
        self.choices[choice.0].item
    }

    /// What `choice` costs.
    pub fn cost_of(&self, choice: Choice) -> Cost {
        self.choices[choice.0].cost
    }

    /// What `choice` takes: each resource once, by rising index, amounts above 0.
    pub fn uses_of(&self, choice: Choice) -> &[(Resource, i64)] {
        &self.choices[choice.0].uses
    }

    /// How much there is of `resource`.
    pub fn capacity_of(&self, resource: Resource) -> i64 {
        self.capacities[resource.0]
    }

    /// The pairs that exclude each other, smaller index first, sorted, each once, never within one item.
    pub fn conflicts(&self) -> &[(Choice, Choice)] {
        &self.conflicts
    }

    /// How many modes there are.
    pub fn mode_count(&self) -> usize {
        self.modes
    }

    /// The states that `choice` is bound to: each mode once, by rising index.
    pub fn states_of(&self, choice: Choice) -> &[(Mode, usize)] {
        &self.choices[choice.0].states
    }

    /// Whether `a` and `b` are bound to different states of a mode.
    pub fn differ_in_state(&self, a: Choice, b: Choice) -> bool {
        let other = |mode: Mode| self.states_of(b).iter().find(|own| own.0 == mode);
        self.states_of(a)
            .iter()
            .any(|&(mode, state)| other(mode).is_some_and(|&(_, other)| other != state))
    }

    /// The same problem with only these resources, conflicts and modes (each list sorted) still in force.
    pub(crate) fn relaxed(
        &self,
        resources: &[Resource],
        conflicts: &[(Choice, Choice)],
        modes: &[Mode],
    ) -> Problem {
        let mut relaxed = self.clone();
        for entry in &mut relaxed.choices {
            entry
                .uses
                .retain(|(resource, _)| resources.binary_search(resource).is_ok());
            entry.states.retain(|(mode, _)| modes.binary_search(mode).is_ok());
        }
        relaxed.conflicts = conflicts.to_vec();
        relaxed
    }

    /// The cost of a complete selection: one entry per item, `None` where it stays unassigned.
    ///
    /// # Panics
    /// Where `chosen` has not one entry per item.
    pub fn total(&self, chosen: &[Option<Choice>]) -> Total {
        assert_eq!(chosen.len(), self.items.len(), "one entry per item");
        let parts = chosen.iter().enumerate().map(|(item, choice)| match choice {
            Some(choice) => Total {
                unassigned: 0,
                tiers: self.cost_of(*choice).0,
            },
            None => self.unassigned_cost(Item(item)),
        });
        parts.fold(Total::default(), |sum, part| sum + part)
    }
}
