//! What an assignment makes the board turn into heat.

use model::board::{Rail, RailId};
use model::machine::Detail;
use quantity::si::Power;
use quantity::{Number, Value};

use crate::facts::air::{bridges, making};
use crate::facts::budget::{Budget, State, sum};
use crate::facts::of_pair::PairFacts;
use crate::facts::site::Site;
use crate::facts::switches::switch_of;

/// What turns something into heat.
#[derive(Clone, Copy, Debug)]
pub enum Loser<'a> {
    /// The driver behind a port.
    Driver(&'a str),
    /// The switch of a port.
    Switch(&'a str),
    /// What makes a rail.
    Rail(&'a Rail),
    /// The board itself, from a rail.
    Board(&'a Rail),
}

impl Loser<'_> {
    /// What it is, for a working.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Loser::Driver(port) => format!("driver of {port}"),
            Loser::Switch(port) => format!("switch of {port}"),
            Loser::Rail(rail) => format!("what makes {}", rail.name),
            Loser::Board(rail) => format!("the board itself, from {}", rail.name),
        }
    }
}

/// What the board turns into heat with everything on, line by line.
#[must_use]
pub fn losses<'a>(
    site: &Site<'a>,
    pairs: &[PairFacts<'a>],
    budget: &Budget<'_>,
) -> Vec<(Loser<'a>, Value<Power>)> {
    let mut lines = Vec::new();
    for pair in pairs {
        match &pair.device().detail {
            // Of two motors on one driver the first stands for both.
            Detail::Motor(_) if pair.way.second && pair.partner.is_some() => {}
            Detail::Motor(_) => {
                let driven = pair.driver().zip(pair.driver_current());
                let loss = driven.and_then(|(driver, current)| bridges(site.swap, driver, current));
                lines.extend(loss.map(|loss| (Loser::Driver(pair.port_name()), loss)));
            }
            _ if budget.is_outside(pair) => {}
            _ => {
                let current = pair.long_port_current();
                let switch = current.and_then(|current| switch_of(site.swap, pair.port(), current));
                lines.extend(switch.map(|switch| (Loser::Switch(pair.port_name()), switch.loss)));
            }
        }
    }
    for (at, rail) in site.board.rails.iter().enumerate() {
        let Some(made) = &rail.made else { continue };
        let load = sum(budget.rail(RailId(at), State::HeatUp));
        let loss = making(site.swap, site.board, RailId(at), load);
        if loss.high().base() > 0.0 {
            lines.push((Loser::Rail(rail), loss));
        }
        if made.board_current.high().base() > 0.0 {
            lines.push((
                Loser::Board(rail),
                made.board_current * site.rail_voltage(RailId(at)),
            ));
        }
    }
    lines
}
