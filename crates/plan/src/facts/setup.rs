//! A whole assignment on one board: which device is where, and beside which.

use catalogue::Limits;
use model::board::{Board, PortKind, RailId};
use model::machine::DeviceId;
use model::{Swap, WishKind};
use quantity::Value;
use quantity::si::ElectricPotential;

use crate::facts::pair::{Pair, Way};
use crate::facts::protection::Protections;
use crate::facts::site::Site;

/// What tells why devices have no port, each in a clause.
#[derive(Clone, Copy, Debug)]
pub struct Clash {
    /// Why not all needed devices of an assignment could be served.
    pub of_all: fn(&Setup<'_>) -> String,
    /// Why one device was left off.
    pub of_one: fn(&Setup<'_>, DeviceId) -> String,
}

/// A whole assignment on one board.
#[derive(Clone, Copy, Debug)]
pub struct Setup<'a> {
    /// The board at its machine.
    pub site: &'a Site<'a>,
    /// The swap.
    pub swap: &'a Swap,
    /// The board in question.
    pub board: &'a Board,
    /// How each device is connected, in the order of the devices; `None` where it is left out.
    pub ways: &'a [Option<Way>],
    /// Says which needed devices cannot be served together; asked where some are left out. Handed in by whoever assigns, for neither facts
    /// nor rules know how that is done.
    pub clash: Option<Clash>,
    /// Where the protections of this very assignment are kept beyond what is derived of it once; nowhere for one that is looked at once.
    pub protections: Option<&'a Protections>,
}

impl<'a> Setup<'a> {
    /// An assignment.
    #[must_use]
    pub fn new(site: &'a Site<'a>, ways: &'a [Option<Way>]) -> Self {
        Self {
            site,
            swap: site.swap,
            board: site.board,
            ways,
            clash: None,
            protections: None,
        }
    }
    /// With what says why devices are left out.
    #[must_use]
    pub fn explained_by(self, clash: Clash) -> Self {
        Self {
            clash: Some(clash),
            ..self
        }
    }
    /// With where its protections are kept.
    #[must_use]
    pub fn keeping(self, protections: &'a Protections) -> Self {
        Self {
            protections: Some(protections),
            ..self
        }
    }
    /// The limits, with the swap's own in place of the catalogue's.
    #[must_use]
    pub fn limits(&self) -> &'a Limits {
        self.swap.catalogue.limits()
    }
    /// All connected devices.
    pub fn pairs(&self) -> impl Iterator<Item = Pair<'a>> + use<'a> {
        let setup = *self;
        (0..self.ways.len()).filter_map(move |at| setup.pair(DeviceId(at)))
    }
    /// A device with its way, where it is connected.
    #[must_use]
    pub fn pair(&self, id: DeviceId) -> Option<Pair<'a>> {
        self.ways[id.0].map(|way| Pair {
            partner: self.partner(id, way),
            ..Pair::new(self.site, id, way)
        })
    }
    /// The other device on the driver of a motor's way.
    fn partner(&self, id: DeviceId, way: Way) -> Option<DeviceId> {
        let driver = |way: Way| match self.board.port(way.port).kind {
            PortKind::Motor { driver } => Some(driver),
            _ => None,
        };
        let own = driver(way)?;
        let shares = |at: &usize| *at != id.0 && self.ways[*at].and_then(driver) == Some(own);
        (0..self.ways.len()).find(shares).map(DeviceId)
    }
    /// The voltage of a rail of the board.
    #[must_use]
    pub fn rail_voltage(&self, rail: RailId) -> Value<ElectricPotential> {
        self.site.rail_voltage(rail)
    }
    /// The supply voltage of the machine.
    #[must_use]
    pub fn supply_voltage(&self) -> Value<ElectricPotential> {
        self.site.supply_voltage()
    }
    /// Whether a wish of that kind names the device.
    #[must_use]
    pub fn wished(&self, device: DeviceId, kind: WishKind) -> bool {
        self.swap
            .wishes
            .iter()
            .any(|wish| wish.kind == kind && wish.devices.contains(&device))
    }
}
