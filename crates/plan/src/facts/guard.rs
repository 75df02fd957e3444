//! What opens first in front of a lead: the fuse of the board, the limit of the supply, of a rail, of a converter; and the fuse that the plan
//! adds where none of them protects the wires.

use model::board::RailId;
use model::machine::Detail;
use physics::electrics;
use quantity::si::{ElectricCurrent, Ratio};
use quantity::{Value, si};

use crate::facts::feed::{PortPart, Source};
use crate::facts::of_pair::PairFacts;
use crate::facts::rails::{Outside, fed_from_outside, outside_before};
use crate::facts::wires;

/// What stands in front of a lead.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// The fuse at the input of the board.
    BoardFuse,
    /// The supply switches off.
    Supply,
    /// What makes the rail switches off.
    Rail,
    /// The converter of the device switches off.
    Converter,
    /// A supply from outside that feeds the rail, of which no limit is known: the rating of the rail limits nothing.
    Outside,
}

impl What {
    /// The words in a sentence.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            What::BoardFuse => "the fuse of the board",
            What::Supply => "the limit of the supply",
            What::Rail => "the limit of the rail",
            What::Converter => "the limit of its converter",
            What::Outside => "the supply from outside",
        }
    }
}

/// What opens first in front of a lead, and what it lets pass as a share of what the wires bear for long in a bundle.
#[derive(Clone, Copy, Debug)]
pub struct Guard {
    /// What it is.
    pub what: What,
    /// The multiple of its rating at which it is sure to open.
    pub multiple: Value<Ratio>,
    /// Its rating.
    pub rating: Value<ElectricCurrent>,
    /// What the wires bear.
    pub bears: Value<ElectricCurrent>,
    /// What it lets pass, as a share of that.
    pub share: Value<Ratio>,
}

impl Guard {
    /// What stands in front of the lead of a device, which hangs outside the board where `outside` says so; `None` for leads that nothing
    /// feeds, for those of motors and supplies, and for wires outside the table.
    #[must_use]
    pub fn of(pair: &PairFacts<'_>, outside: bool) -> Option<Self> {
        if matches!(pair.device().detail, Detail::Supply(_) | Detail::Motor(_)) {
            return None;
        }
        pair.current()?;
        let bears = pair.wire_bears()?;
        let limit = pair.limits().supply_fault_share.value;
        let guard = |what, multiple: Value<Ratio>, rating: Value<ElectricCurrent>| Self {
            what,
            multiple,
            rating,
            bears,
            share: overload(multiple, rating, bears),
        };
        let rail = match pair.feed().source {
            Source::Nothing => return None,
            Source::Converter(own) => match own.part.and_then(|part| part.current) {
                Some(rating) => return Some(guard(What::Converter, limit, rating)),
                None => match own.port {
                    PortPart::Feeds(rail) => Some(rail),
                    PortPart::SwitchesMinus | PortPart::Signal => None,
                },
            },
            // A switch module is fed by the supply in front of the rail of its port.
            Source::ExternalSwitch(_) => {
                let outside = pair
                    .way
                    .rail
                    .and_then(|rail| outside_before(pair.swap, pair.board, rail));
                match outside {
                    None => None,
                    Some(Outside::Supply(_, supply)) => {
                        let rating = supply.power.value / supply.voltage.value;
                        return Some(guard(What::Supply, limit, rating));
                    }
                    Some(Outside::Unknown) => pair.way.rail,
                }
            }
            Source::Rail(rail) => Some(rail).filter(|_| !outside),
        };
        if let Some(rail) = rail.filter(|rail| *rail != RailId::INPUT)
            && let Some(made) = &pair.board.rail(rail).made
        {
            match fed_from_outside(pair.swap, pair.board, rail) {
                None => {}
                Some(Outside::Supply(_, supply)) => {
                    return Some(guard(
                        What::Supply,
                        limit,
                        supply.power.value / supply.voltage.value,
                    ));
                }
                Some(Outside::Unknown) => {
                    return Some(Self {
                        share: Value::exact(si::ratio(f64::INFINITY)),
                        ..guard(What::Outside, limit, made.current.value)
                    });
                }
            }
            return Some(guard(What::Rail, limit, made.current.value));
        }
        let (_, supply) = pair.swap.machine.supplies().next()?;
        let by_supply = guard(What::Supply, limit, supply.power.value / supply.voltage.value);
        let opens = Value::exact(electrics::FuseClass::Blade.opening_multiple());
        // What hangs outside the board has the fuse of the board beside it, not before it.
        let fuse = pair.board.input.fuse.filter(|_| rail.is_some());
        let by_fuse = fuse.map(|fuse| guard(What::BoardFuse, opens, fuse.value));
        Some(match by_fuse {
            Some(by_fuse) if by_fuse.share.high() < by_supply.share.high() => by_fuse,
            _ => by_supply,
        })
    }

    /// Whether it opens before the wires carry more than they bear.
    #[must_use]
    pub fn protects(&self) -> bool {
        self.share.high() <= si::ratio(1.0)
    }

    /// What opens in front of the lead in the plan.
    #[must_use]
    pub fn front(&self, pair: &PairFacts<'_>) -> Front {
        let fits = fuse_below(pair, self.bears.low());
        if !self.protects() {
            return fits.map_or(Front::NoneFits, Front::Added);
        }
        let fitted = self.rating.nominal();
        if self.what == What::BoardFuse {
            Front::Fitted(fitted, fits.filter(|fits| *fits < fitted))
        } else {
            Front::Limit
        }
    }
}

/// What opens in front of the lead of a heater.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Front {
    /// The fuse of the board, and the smaller one that would hold the load too, where there is one.
    Fitted(ElectricCurrent, Option<ElectricCurrent>),
    /// The blade fuse that the plan adds, the smallest that holds the load.
    Added(ElectricCurrent),
    /// The wires need a fuse, and none holds the load without being above them.
    NoneFits,
    /// The limit of the supply, of a rail or of a converter protects the wires.
    Limit,
}

/// The smallest blade fuse that holds the load of a device for long, breaks its voltage, and is not above what wires bear.
#[must_use]
pub fn fuse_below(pair: &PairFacts<'_>, bears: ElectricCurrent) -> Option<ElectricCurrent> {
    fuse_for(pair).filter(|rating| *rating <= bears)
}

/// The smallest blade fuse that holds the load of a device for long and breaks its voltage.
#[must_use]
pub fn fuse_for(pair: &PairFacts<'_>) -> Option<ElectricCurrent> {
    wires::fuse_for(pair, pair.long_current()?, pair.current()?, pair.device_voltage())
}

/// The fuse that fits where the wires of a lead lie by themselves, with what they bear there.
#[must_use]
pub fn fuse_alone(pair: &PairFacts<'_>) -> Option<(ElectricCurrent, Value<ElectricCurrent>)> {
    let alone = wires::bears_alone(&pair.swap.catalogue, pair.wire())?;
    Some((fuse_below(pair, alone.low())?, alone))
}

/// What a guard lets pass for long, against what the wires behind it bear in a bundle; above 1 it does not protect them.
#[must_use]
pub fn overload(
    multiple: Value<Ratio>,
    rating: Value<ElectricCurrent>,
    bears: Value<ElectricCurrent>,
) -> Value<Ratio> {
    Value::corners(|end| electrics::overload_share(multiple.at(end), rating.at(end), bears.at(end.other())))
}
