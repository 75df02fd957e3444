//! How far a lead must reach inside the case, and how far it does.

use quantity::Number;
use quantity::si::Length;

use crate::facts::pair::Pair;
use crate::facts::place::Route;

/// How far a lead must reach, against how far it does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// The way inside the case to the old port; `None` for a new lead.
    pub old_way: Option<Route>,
    /// The way inside the case to the new port.
    pub new_way: Route,
    /// How far into the case it reaches at the least.
    pub reaches: Length,
    /// How that is known.
    pub by: By,
}

/// How it is known how far a lead reaches into the case.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum By {
    /// From its length and its way outside.
    Outside(Length),
    /// It reached its old port, with so much taken to be left over.
    OldPort(Length),
    /// Its way outside is not known: at the most all of it is inside.
    Length,
}

impl Reach {
    /// By how much the lead is too short, if it is.
    #[must_use]
    pub fn missing(&self) -> Option<Length> {
        let missing = self.new_way.length() - self.reaches;
        (missing.base() > 0.0).then_some(missing)
    }
}

/// The reach of a lead; `None` where the case does not say where leads come in.
#[must_use]
pub fn reach(pair: &Pair<'_>) -> Option<Reach> {
    let cable = &pair.device().cable;
    let new_way = pair.site.seats.new_way(pair.way.port)?;
    let old = cable
        .old_port
        .as_ref()
        .and_then(|name| pair.swap.old.port_named(&name.value));
    let old_way = old.and_then(|old| pair.site.seats.old_way(old));
    let reserve = pair.limits().lead_reserve.value.low();
    let whole = cable.length.high();
    let (reaches, by) = match (&cable.outside, old_way) {
        (Some(outside), _) => (cable.length.low() - outside.high(), By::Outside(outside.high())),
        // Nothing reaches farther than it is long.
        (None, Some(way)) => ((way.length() + reserve).smaller(whole), By::OldPort(reserve)),
        (None, None) => (cable.length.low(), By::Length),
    };
    Some(Reach {
        old_way,
        new_way,
        reaches,
        by,
    })
}

/// What a lead would need to be as its old port and its way outside have it, where it is shorter than that: the file is wrong about one of them.
#[must_use]
pub fn too_short_for_old(pair: &Pair<'_>) -> Option<Length> {
    let cable = &pair.device().cable;
    let old_way = reach(pair)?.old_way?.length();
    let needed = cable
        .outside
        .as_ref()
        .map_or(old_way, |outside| outside.low() + old_way);
    (needed > cable.length.high()).then_some(needed)
}
