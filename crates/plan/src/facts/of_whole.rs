//! What follows from a whole assignment: each fact derived once, when it is first asked for.

use core::cell::OnceCell;
use core::ops::Deref;

use model::board::{PortId, RailId};
use model::machine::{Detail, DeviceId};
use physics::control::Pid;
use quantity::si::{ElectricCurrent, ElectricPotential, Power};
use quantity::{End, Number, Value};

use crate::facts::budget::{Budget, Drawn, State};
use crate::facts::control::{self, Model};
use crate::facts::guard::Guard;
use crate::facts::heating::Heating;
use crate::facts::losses::{self, Loser};
use crate::facts::of_pair::PairFacts;
use crate::facts::pair::Pair;
use crate::facts::protection::Protection;
use crate::facts::setup::Setup;

/// An assignment with what is derived of it: what whole checks read.
#[derive(Debug)]
pub struct WholeFacts<'a> {
    setup: Setup<'a>,
    pairs: Vec<PairFacts<'a>>,
    /// The place of each device among the pairs.
    places: Vec<Option<usize>>,
    /// Whether a lead is at each port.
    taken: Vec<bool>,
    budget: OnceCell<Budget<'a>>,
    heatings: Vec<OnceCell<Option<Heating<'a>>>>,
    models: Vec<OnceCell<Option<Model>>>,
    protections: Vec<OnceCell<Option<Protection>>>,
}

impl<'a> Deref for WholeFacts<'a> {
    type Target = Setup<'a>;
    fn deref(&self) -> &Setup<'a> {
        &self.setup
    }
}

impl<'a> Setup<'a> {
    /// What follows from it; nothing is derived yet but who shares a driver.
    #[must_use]
    pub fn facts(self) -> WholeFacts<'a> {
        let pairs: Vec<PairFacts<'a>> = self.pairs().map(Pair::facts).collect();
        let mut places = vec![None; self.ways.len()];
        let mut taken = vec![false; self.board.ports.len()];
        for (place, pair) in pairs.iter().enumerate() {
            places[pair.id.0] = Some(place);
            taken[pair.way.port.0] = true;
        }
        WholeFacts {
            heatings: vec![OnceCell::new(); pairs.len()],
            models: vec![OnceCell::new(); pairs.len()],
            protections: vec![OnceCell::new(); pairs.len()],
            pairs,
            places,
            taken,
            budget: OnceCell::new(),
            setup: self,
        }
    }
}

impl<'a> WholeFacts<'a> {
    /// All connected devices.
    pub fn pairs(&self) -> core::slice::Iter<'_, PairFacts<'a>> {
        self.pairs.iter()
    }
    /// A device with its way, where it is connected.
    #[must_use]
    pub fn pair(&self, id: DeviceId) -> Option<&PairFacts<'a>> {
        self.places[id.0].map(|place| &self.pairs[place])
    }
    /// The devices at a port; two only where motors share it by a Y-lead.
    pub fn at(&self, port: PortId) -> impl Iterator<Item = &PairFacts<'a>> {
        self.pairs.iter().filter(move |pair| pair.way.port == port)
    }
    /// Whether a lead is at a port.
    #[must_use]
    pub fn is_taken(&self, port: PortId) -> bool {
        self.taken[port.0]
    }
    /// What everything draws.
    #[must_use]
    pub fn budget(&self) -> &Budget<'a> {
        self.budget.get_or_init(|| Budget::of(self.site, &self.pairs))
    }
    /// What opens first in front of the lead of a device; `None` where nothing feeds it: see [`Guard::of`].
    #[must_use]
    pub fn guard(&self, pair: &PairFacts<'_>) -> Option<Guard> {
        Guard::of(pair, self.budget().is_outside(pair))
    }
    /// What the board turns into heat with everything on, line by line.
    #[must_use]
    pub fn losses(&self) -> Vec<(Loser<'a>, Value<Power>)> {
        losses::losses(self.site, &self.pairs, self.budget())
    }
    /// The heaters that get a voltage.
    pub fn heated(&self) -> impl Iterator<Item = &Heating<'a>> {
        self.pairs.iter().filter_map(|pair| self.heating(pair.id))
    }
    /// A heater with the part that it heats, at what the currents of all others leave of the voltage of the input; `None` for other devices.
    #[must_use]
    pub fn heating(&self, id: DeviceId) -> Option<&Heating<'a>> {
        let place = self.places[id.0]?;
        let of = || {
            let pair = &self.pairs[place];
            let heating = pair.heating()?;
            let alone =
                pair.way.rail != Some(RailId::INPUT) || pair.way.own_supply || self.budget().is_outside(pair);
            Some(if alone {
                heating.clone()
            } else {
                heating.beside(self.others(pair))
            })
        };
        self.heatings[place].get_or_init(of).as_ref()
    }
    /// What all others on the input lose of its voltage in the cable of the supply: nothing where they are off, the most once all is hot.
    fn others(&self, pair: &PairFacts<'a>) -> Value<ElectricPotential> {
        let lines = self.budget().input(State::Hot).iter();
        let others = lines.filter(|line| !matches!(line.what, Drawn::Heater(own, _) if own.id == pair.id));
        let current: Value<ElectricCurrent> = others.map(|line| line.amount).sum();
        let cable = self.site.supply_cable();
        let lost = |end: End| cable.at(end) * current.at(end);
        Value::between(
            ElectricPotential::from_base(0.0),
            lost(End::Nominal),
            lost(End::High),
        )
    }
    /// The thermometer of a heated part at its input.
    #[must_use]
    pub fn thermometer(&self, heating: &Heating<'_>) -> Option<&PairFacts<'a>> {
        self.pairs.iter().find(|pair| {
            matches!(&pair.device().detail, Detail::Thermometer(thermometer) if thermometer.zone == heating.heater.zone)
                && pair.thermometry().is_some()
        })
    }
    /// The model of a heated part; `None` where its body is not known.
    #[must_use]
    pub fn control(&self, heating: &Heating<'_>) -> Option<&Model> {
        let place = self.places[heating.pair.id.0]?;
        let of = || {
            let own = self.heating(heating.pair.id)?;
            control::model(own, self.thermometer(own))
        };
        self.models[place].get_or_init(of).as_ref()
    }
    /// The windows of the protection of a heated part, designed together with its controller; `None` where its body, or what its weakest part
    /// bears, is not known.
    #[must_use]
    pub fn protection(&self, heating: &Heating<'_>) -> Option<&Protection> {
        let place = self.places[heating.pair.id.0]?;
        let of = || {
            let own = self.heating(heating.pair.id)?;
            let (thermometer, model) = (self.thermometer(own), self.control(own)?);
            match self.site.told.get(heating.pair.id.0) {
                Some(Some(pid)) => Protection::under(own, thermometer, model, *pid),
                _ => Protection::of(own, thermometer, model),
            }
        };
        match self.setup.protections {
            Some(kept) => kept.get(heating.pair.id, of),
            None => self.protections[place].get_or_init(of).as_ref(),
        }
    }
    /// The setting that is proposed for the controller of a heated part: with [`Self::protection`], or by its model alone.
    #[must_use]
    pub fn proposed(&self, heating: &Heating<'_>) -> Option<Pid> {
        let designed = self.protection(heating).map(|protection| protection.pid);
        designed.or_else(|| Some(self.control(heating)?.calmed(heating)))
    }
    /// The settings that are proposed for the controllers of all heaters, by device.
    #[must_use]
    pub fn told(&self) -> Vec<Option<Pid>> {
        let mut told = vec![None; self.places.len()];
        for heating in self.heated() {
            told[heating.pair.id.0] = self.proposed(heating);
        }
        told
    }
}
