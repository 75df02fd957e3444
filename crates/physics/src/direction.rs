//! The sense in which a two-phase motor turns, from the order of its coil ends in the plug and of the phases in the socket.
//!
//! A phase that meets the wrong end of its coil turns the motor round; so do two phases that meet each other's coils. Two such
//! changes cancel. The sign of the permutation of the four pins alone does not tell: exchanging the coils is an
//! even permutation, and still turns the motor round.
//!
//! Of the 24 orders of a plug 8 put each phase across one coil: 4 turn one way and 4 the other. The remaining 16 split a
//! coil between two phases: the motor hums and does not turn.

use serde::Serialize;

use crate::Formula;

/// See [`turn_sense`].
pub static TURN_SENSE: Formula = Formula::new(
    "turn-sense",
    "Sense of rotation from the order of coil ends",
    "s = (−1)^(x + fₐ + f_b)",
    "stepping-motors-book",
    "two-phase excitation",
);

/// An end of a coil, or of a phase of a driver.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum CoilEnd {
    /// First end of the first coil.
    A1,
    /// Second end of the first coil.
    A2,
    /// First end of the second coil.
    B1,
    /// Second end of the second coil.
    B2,
}

impl CoilEnd {
    /// All ends.
    pub const ALL: [CoilEnd; 4] = [CoilEnd::A1, CoilEnd::A2, CoilEnd::B1, CoilEnd::B2];

    /// Its name: "A1".
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            CoilEnd::A1 => "A1",
            CoilEnd::A2 => "A2",
            CoilEnd::B1 => "B1",
            CoilEnd::B2 => "B2",
        }
    }

    fn is_first_coil(self) -> bool {
        matches!(self, CoilEnd::A1 | CoilEnd::A2)
    }
    fn is_first_end(self) -> bool {
        matches!(self, CoilEnd::A1 | CoilEnd::B1)
    }
}

impl core::fmt::Display for CoilEnd {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        formatter.write_str(self.name())
    }
}

/// The order of the four ends in a connector, pin 1 first; each end once.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct CoilOrder([CoilEnd; 4]);

/// An order that names an end twice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct EndTwice(pub CoilEnd);

impl core::fmt::Display for EndTwice {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(formatter, "the coil end {} stands twice", self.0)
    }
}

impl core::error::Error for EndTwice {}

impl CoilOrder {
    /// A1, A2, B1, B2.
    pub const STRAIGHT: Self = Self(CoilEnd::ALL);

    /// An order from its four ends.
    ///
    /// # Errors
    /// [`EndTwice`] where an end is missing because another stands twice.
    pub fn new(ends: [CoilEnd; 4]) -> Result<Self, EndTwice> {
        for (at, end) in ends.iter().enumerate() {
            if ends[..at].contains(end) {
                return Err(EndTwice(*end));
            }
        }
        Ok(Self(ends))
    }
    /// The ends in their order.
    #[must_use]
    pub fn ends(self) -> [CoilEnd; 4] {
        self.0
    }
    /// All 24 orders.
    #[must_use]
    pub fn all() -> Vec<Self> {
        let mut all = Vec::with_capacity(24);
        for a in CoilEnd::ALL {
            for b in CoilEnd::ALL {
                for c in CoilEnd::ALL {
                    for d in CoilEnd::ALL {
                        all.extend(Self::new([a, b, c, d]));
                    }
                }
            }
        }
        all
    }
    /// Reads an order such as "A1 A2 B1 B2"; blanks, commas and hyphens part the names, capitals do not matter.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let parts = text.split([' ', ',', '-']).filter(|part| !part.is_empty());
        let ends = parts.map(|part| {
            let named = |end: &CoilEnd| end.name().eq_ignore_ascii_case(part);
            CoilEnd::ALL.into_iter().find(named)
        });
        let ends: Option<Vec<CoilEnd>> = ends.collect();
        Self::new(ends?.try_into().ok()?).ok()
    }
    /// The order that a plug shows after its wires were moved: pin `n` of the result was pin `from[n]` (from 0).
    ///
    /// Nothing where `from` does not name each pin once.
    #[must_use]
    pub fn repinned(self, from: [usize; 4]) -> Option<Self> {
        let mut ends = self.0;
        for (end, index) in ends.iter_mut().zip(from) {
            *end = *self.0.get(index)?;
        }
        Self::new(ends).ok()
    }
}

impl core::fmt::Display for CoilOrder {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let [a, b, c, d] = self.0;
        write!(formatter, "{a} {b} {c} {d}")
    }
}

/// Which way a motor turns, against a reference.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sense {
    /// As the reference: first phase to first coil, first ends to first ends.
    Same,
    /// The other way round.
    Opposite,
}

impl Sense {
    /// Opposite where `yes`.
    #[must_use]
    pub fn opposite_if(yes: bool) -> Self {
        if yes { Sense::Opposite } else { Sense::Same }
    }
    /// +1 for the same sense, −1 for the opposite one.
    #[must_use]
    pub fn sign(self) -> i8 {
        match self {
            Sense::Same => 1,
            Sense::Opposite => -1,
        }
    }
    /// The sense of both together: two that are opposite cancel.
    #[must_use]
    pub fn with(self, other: Sense) -> Sense {
        if self == other {
            Sense::Same
        } else {
            Sense::Opposite
        }
    }
}

/// The phases of the driver do not each meet one coil: the motor cannot turn, and a phase may see an open or crossed winding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoCoils {
    /// The ends of the motor that the first phase meets.
    pub first_phase: (CoilEnd, CoilEnd),
}

impl core::fmt::Display for NoCoils {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let (one, other) = self.first_phase;
        write!(
            formatter,
            "the first phase of the driver lies between {one} and {other}: no coil is driven"
        )
    }
}

impl core::error::Error for NoCoils {}

/// The sense in which a motor turns when its plug is put on a socket, pin on pin.
///
/// With `x` = 1 where the phases meet each other's coils and `fₐ`, `f_b` = 1 where a phase meets its coil the wrong way round:
/// `sense = (−1)^(x + fₐ + f_b)`.
///
/// # Errors
/// [`NoCoils`] where a phase meets ends of two coils.
///
/// # Source
/// The field of two coils at right angles, fed with cos θ and sin θ, turns with θ (any machines textbook); held against the computed
/// field for all 24 orders.
pub fn turn_sense(lead: CoilOrder, port: CoilOrder) -> Result<Sense, NoCoils> {
    // The end of the motor that each terminal of the driver meets.
    let met = |terminal: CoilEnd| {
        let pin = port.0.iter().position(|end| *end == terminal).unwrap_or(0);
        lead.0[pin]
    };
    let (a1, a2, b1, b2) = (
        met(CoilEnd::A1),
        met(CoilEnd::A2),
        met(CoilEnd::B1),
        met(CoilEnd::B2),
    );
    if a1.is_first_coil() != a2.is_first_coil() {
        return Err(NoCoils {
            first_phase: (a1, a2),
        });
    }
    debug_assert_eq!(b1.is_first_coil(), b2.is_first_coil());
    let crossed = !a1.is_first_coil();
    let turned = [crossed, !a1.is_first_end(), !b1.is_first_end()]
        .iter()
        .filter(|turned| **turned)
        .count();
    Ok(Sense::opposite_if(turned % 2 == 1))
}

/// A motor on a driver: plug, socket, the driver's own sense, and the direction that is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct MotorConnection {
    /// Coil ends of the motor at the pins of the plug.
    pub lead: CoilOrder,
    /// Phases of the driver at the same pins of the socket.
    pub port: CoilOrder,
    /// The sense of the driver for the same direction signal.
    pub driver: Sense,
    /// Whether the setting inverts the direction.
    pub inverted: bool,
}

impl MotorConnection {
    /// Which way the axis moves for a positive command.
    ///
    /// # Errors
    /// [`NoCoils`] where the plug does not drive coils.
    pub fn sense(&self) -> Result<Sense, NoCoils> {
        let wired = turn_sense(self.lead, self.port)?;
        Ok(wired.with(self.driver).with(Sense::opposite_if(self.inverted)))
    }

    /// This connection with the direction setting that moves the axis as `old` did.
    ///
    /// # Errors
    /// [`NoCoils`] where one of the two plugs does not drive coils.
    pub fn turning_as(mut self, old: &Self) -> Result<Self, NoCoils> {
        if self.sense()? != old.sense()? {
            self.inverted = !self.inverted;
        }
        Ok(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The sense by computing the field: currents cos θ and sin θ enter at the first ends of the driver's phases.
    fn computed(lead: CoilOrder, port: CoilOrder) -> Option<Sense> {
        let field = |theta: f64| {
            let (mut x, mut y) = (0.0, 0.0);
            for (pin, terminal) in port.ends().into_iter().enumerate() {
                let current = if terminal.is_first_coil() {
                    theta.cos()
                } else {
                    theta.sin()
                };
                let into = if terminal.is_first_end() {
                    current
                } else {
                    -current
                };
                // Half the current enters at each end of a coil; entering at the second end counts backwards.
                let end = lead.ends()[pin];
                let share = if end.is_first_end() {
                    into / 2.0
                } else {
                    -into / 2.0
                };
                if end.is_first_coil() {
                    x += share;
                } else {
                    y += share;
                }
            }
            (x, y)
        };
        let mut turned = 0.0;
        for step in 0..16 {
            let theta = f64::from(step) * core::f64::consts::TAU / 16.0;
            let ((x, y), (u, v)) = (field(theta), field(theta + core::f64::consts::TAU / 16.0));
            let cross = x * v - y * u;
            if cross.abs() < 1e-9 {
                return None;
            }
            turned += cross.signum();
        }
        (turned.abs() > 15.0).then_some(if turned > 0.0 {
            Sense::Same
        } else {
            Sense::Opposite
        })
    }

    #[test]
    fn the_computed_field_agrees_for_all_orders_of_plug_and_socket() {
        let orders = CoilOrder::all();
        assert_eq!(orders.len(), 24);
        let mut coils = 0;
        for lead in &orders {
            for port in &orders {
                let ours = turn_sense(*lead, *port);
                assert_eq!(ours.ok(), computed(*lead, *port), "{lead:?} on {port:?}");
                coils += usize::from(ours.is_ok());
            }
        }
        // For each socket 8 of the 24 plugs form coils.
        assert_eq!(coils, 24 * 8);
    }

    #[test]
    fn a_plug_turned_round_turns_the_motor_round() {
        use CoilEnd::{A1, A2, B1, B2};
        let port = CoilOrder::new([A1, A2, B1, B2]).unwrap();
        let sense = |ends| turn_sense(CoilOrder::new(ends).unwrap(), port);
        assert_eq!(sense([A1, A2, B1, B2]), Ok(Sense::Same));
        assert_eq!(sense([B2, B1, A2, A1]), Ok(Sense::Opposite), "turned round");
        assert_eq!(
            sense([B1, B2, A1, A2]),
            Ok(Sense::Opposite),
            "coils exchanged: an even permutation"
        );
        assert_eq!(sense([A2, A1, B1, B2]), Ok(Sense::Opposite), "one coil turned");
        assert_eq!(sense([A2, A1, B2, B1]), Ok(Sense::Same), "both coils turned");
        assert!(sense([A1, B1, A2, B2]).is_err(), "no coils");
        assert_eq!(CoilOrder::new([A1, A1, B1, B2]), Err(EndTwice(A1)));
    }
}
