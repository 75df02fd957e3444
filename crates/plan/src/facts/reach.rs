//! How far a lead must reach inside the case, and how far it does.

use quantity::Number;
use quantity::si::Length;

use crate::facts::pair::Pair;
use crate::facts::place::Route;

/// How far a lead must reach, against how far it does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// The way inside the case to the old port.
    pub old_way: Route,
    /// The way inside the case to the new port.
    pub new_way: Route,
    /// What the lead is taken to have left over at its old port.
    pub reserve: Length,
}

impl Reach {
    /// How far into the case the lead reaches.
    #[must_use]
    pub fn reaches(&self) -> Length {
        self.old_way.length() + self.reserve
    }
    /// By how much the lead is too short, if it is.
    #[must_use]
    pub fn missing(&self) -> Option<Length> {
        let missing = self.new_way.length() - self.reaches();
        (missing.base() > 0.0).then_some(missing)
    }
}

/// The reach of a lead that was on the old board; `None` for a new lead, or where the case does not say where leads come in.
#[must_use]
pub fn reach(pair: &Pair<'_>) -> Option<Reach> {
    let name = pair.device().cable.old_port.as_ref()?;
    let old = pair.swap.old.port_named(&name.value)?;
    Some(Reach {
        old_way: pair.site.seats.old_way(old)?,
        new_way: pair.site.seats.new_way(pair.way.port)?,
        reserve: pair.limits().lead_reserve.value.low(),
    })
}
