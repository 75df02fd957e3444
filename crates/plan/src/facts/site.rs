//! A board at its machine: what hangs on swap and board alone, whatever goes where.

use std::borrow::Cow;
use std::sync::OnceLock;

use catalogue::Limits;
use model::Swap;
use model::board::{Board, RailId};
use physics::control::Pid;
use quantity::Value;
use quantity::si::{ElectricPotential, ElectricalResistance, ThermodynamicTemperature};

use crate::facts::air;
use crate::facts::place::Seats;
use crate::facts::{rails, supply_cable};

/// A board at its machine. Made once for a plan: every way and every assignment on the board shares it.
#[derive(Clone, Debug)]
pub struct Site<'a> {
    /// The swap.
    pub swap: &'a Swap,
    /// The board in question.
    pub board: &'a Board,
    /// How it and the old board sit in the case.
    pub seats: Cow<'a, Seats>,
    /// The settings that the controllers of heaters were told before this machine was drawn, by device; empty where they are still to be
    /// designed.
    pub told: &'a [Option<Pid>],
    air: OnceLock<Value<ThermodynamicTemperature>>,
    supply_cable: OnceLock<Value<ElectricalResistance>>,
}

impl<'a> Site<'a> {
    /// A board at the machine of a swap.
    #[must_use]
    pub fn of(swap: &'a Swap, board: &'a Board) -> Self {
        Self::seated(swap, board, Cow::Owned(Seats::of(swap, board)))
    }
    /// As [`Self::of`], where it is known how both boards sit.
    #[must_use]
    pub fn seated(swap: &'a Swap, board: &'a Board, seats: Cow<'a, Seats>) -> Self {
        Self {
            swap,
            board,
            seats,
            told: &[],
            air: OnceLock::new(),
            supply_cable: OnceLock::new(),
        }
    }
    /// The same with controllers of heaters that were told these settings.
    #[must_use]
    pub fn told(mut self, told: &'a [Option<Pid>]) -> Self {
        self.told = told;
        self
    }
    /// The limits, with the swap's own in place of the catalogue's.
    #[must_use]
    pub fn limits(&self) -> &'a Limits {
        self.swap.catalogue.limits()
    }
    /// The air around the board, from [`air::in_case`].
    #[must_use]
    pub fn air(&self) -> Value<ThermodynamicTemperature> {
        *self.air.get_or_init(|| air::in_case(self.swap, self.board))
    }
    /// Whether the air is neither stated nor follows from a stated loss of the case: walls and films stand in, to a factor of two at best.
    #[must_use]
    pub fn air_is_guessed(&self) -> bool {
        let case = &self.swap.machine.case;
        case.air.is_none()
            && case.thermal_conductance.is_none()
            && case.thermal_conductance_with_fan.is_none()
    }
    /// Resistance of the cable of the supply, as `supply_cable` works it out.
    #[must_use]
    pub fn supply_cable(&self) -> Value<ElectricalResistance> {
        *self
            .supply_cable
            .get_or_init(|| supply_cable::resistance(self.swap, self.board))
    }
    /// The supply voltage of the machine.
    #[must_use]
    pub fn supply_voltage(&self) -> Value<ElectricPotential> {
        rails::supply_voltage(self.swap)
    }
    /// The voltage of a rail of the board.
    #[must_use]
    pub fn rail_voltage(&self, rail: RailId) -> Value<ElectricPotential> {
        rails::rail_voltage(self.swap, self.board, rail)
    }
}
