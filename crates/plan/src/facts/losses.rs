//! What an assignment makes the board turn into heat.

use model::board::RailId;
use model::machine::Detail;
use physics::{Named, named};
use quantity::Number;
use quantity::si::Power;

use crate::facts::air::{bridges, making};
use crate::facts::budget::{Budget, State, sum};
use crate::facts::of_pair::PairFacts;
use crate::facts::ratings::switch;
use crate::facts::site::Site;

/// What the board turns into heat with everything on, line by line.
#[must_use]
pub fn losses(site: &Site<'_>, pairs: &[PairFacts<'_>], budget: &Budget<'_>) -> Vec<Named<Power>> {
    let mut lines = Vec::new();
    for pair in pairs {
        match &pair.device().detail {
            // Of two motors on one driver the first stands for both.
            Detail::Motor(_) if pair.way.second && pair.partner.is_some() => {}
            Detail::Motor(_) => {
                let driven = pair.driver().zip(pair.driver_current());
                let loss = driven.and_then(|(driver, current)| bridges(site.swap, driver, current));
                lines.extend(loss.map(|loss| named("Pₙ", format!("driver of {}", pair.port_name()), loss)));
            }
            _ if pair.way.own_supply || budget.is_outside(pair) => {}
            _ => {
                let loss = pair
                    .long_current()
                    .and_then(|current| switch(pair, current))
                    .map(|switch| switch.loss);
                lines.extend(loss.map(|loss| named("Pₙ", format!("switch of {}", pair.port_name()), loss)));
            }
        }
    }
    for (at, rail) in site.board.rails.iter().enumerate() {
        let Some(made) = &rail.made else { continue };
        let out = site.rail_voltage(RailId(at));
        let load = sum(budget.rail(RailId(at), State::HeatUp));
        let loss = making(site.swap, site.board, RailId(at), load);
        if loss.high().base() > 0.0 {
            lines.push(named("Pₙ", format!("what makes {}", rail.name), loss));
        }
        if made.own_use.high().base() > 0.0 {
            lines.push(named(
                "Pₙ",
                format!("the board itself, from {}", rail.name),
                made.own_use * out,
            ));
        }
    }
    lines
}
