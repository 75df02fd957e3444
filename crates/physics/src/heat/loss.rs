//! The constants of a lumped body from its geometry: heat capacity, loss to the air, radiation, air that a fan moves.

use quantity::Number;
use quantity::si::{
    Area, HeatCapacity, Length, Power, Ratio, ThermalConductance, ThermodynamicTemperature, Velocity,
};
use serde::Serialize;

use crate::Formula;

/// See [`slab_capacity`].
pub static SLAB_CAPACITY: Formula = Formula::new(
    "slab-capacity",
    "Heat capacity of a slab",
    "C = ρ · c · A · d",
    "heat-transfer-textbook",
    "tables of solids",
);
/// See [`slab_conductance`].
pub static SLAB_CONDUCTANCE: Formula = Formula::new(
    "slab-conductance",
    "Heat through a slab",
    "G = λ · A / d",
    "heat-transfer-textbook",
    "tables of solids",
);
/// See [`film_loss`].
pub static FILM_LOSS: Formula = Formula::new(
    "film-loss",
    "Loss of a surface to air",
    "G = h · A",
    "heat-transfer-textbook",
    "typical coefficients",
);
/// See [`wall_loss`].
pub static WALL_LOSS: Formula = Formula::new(
    "wall-loss",
    "Loss of the air in a case through its thin walls",
    "G = k · h · A / 2",
    "heat-transfer-textbook",
    "two films in series",
);
/// See [`radiated`].
pub static RADIATED: Formula = Formula::new(
    "radiated",
    "Heat that a surface radiates",
    "P = ε · σ · A · (T⁴ − Tₐ⁴)",
    "heat-transfer-textbook",
    "law of Stefan and Boltzmann",
);
/// See [`airflow_conductance`].
pub static AIRFLOW_CONDUCTANCE: Formula = Formula::new(
    "airflow-conductance",
    "Heat that moved air carries away, per kelvin",
    "G = ρ · c · A · v",
    "heat-transfer-textbook",
    "tables of air",
);

/// What a body is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Material {
    /// Pure or nearly pure aluminium.
    Aluminium,
    /// Copper.
    Copper,
    /// Brass.
    Brass,
    /// Plain carbon steel.
    Steel,
    /// Plate glass.
    Glass,
}

impl Material {
    /// Density in kg/m³, specific heat in J/(kg K), conductivity in W/(m K), near 300 K. [heat-transfer-textbook], tables of solids
    fn properties(self) -> (f64, f64, f64) {
        match self {
            Self::Aluminium => (2702.0, 903.0, 237.0),
            Self::Copper => (8933.0, 385.0, 401.0),
            Self::Brass => (8530.0, 380.0, 110.0),
            Self::Steel => (7854.0, 434.0, 60.5),
            Self::Glass => (2500.0, 750.0, 1.4),
        }
    }
}

/// How well air takes heat from a surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FilmCoefficient {
    /// In W/(m² K).
    pub watt_per_square_metre_kelvin: f64,
}

impl FilmCoefficient {
    /// Still air, its share of radiation included: about 10 W/(m² K).
    #[must_use]
    pub fn still() -> Self {
        Self {
            watt_per_square_metre_kelvin: 10.0,
        }
    }

    /// A fan's draught: about 50 W/(m² K); from 25 to 250 are found.
    #[must_use]
    pub fn draught() -> Self {
        Self {
            watt_per_square_metre_kelvin: 50.0,
        }
    }
}

/// Heat capacity of a slab, or of any body of that volume.
///
/// `C = ρ · c · A · d`
///
/// - `area`, `thickness`: of the slab.
///
/// Monotone in both. Alloys differ by some per cent.
///
/// # Source
/// [heat-transfer-textbook], tables of solids at 300 K (from memory).
#[must_use]
pub fn slab_capacity(material: Material, area: Area, thickness: Length) -> HeatCapacity {
    let (density, specific, _) = material.properties();
    HeatCapacity::from_base(density * specific * area.base() * thickness.base())
}

/// Heat through a slab, per kelvin between its faces.
///
/// `G = λ · A / d`. Monotone in both. Leaves out: the contacts on both sides, which often resist more than the slab.
///
/// # Source
/// [heat-transfer-textbook], tables of solids at 300 K (from memory).
#[must_use]
pub fn slab_conductance(material: Material, area: Area, thickness: Length) -> ThermalConductance {
    let (_, _, conductivity) = material.properties();
    ThermalConductance::from_base(conductivity * area.base() / thickness.base())
}

/// Loss of a surface to air, per kelvin.
///
/// `G = h · A`. Monotone in the area. The coefficient is known to a factor of two at best: measure the loss where it matters.
///
/// # Source
/// [heat-transfer-textbook], typical coefficients (from memory).
#[must_use]
pub fn film_loss(film: FilmCoefficient, area: Area) -> ThermalConductance {
    ThermalConductance::from_base(film.watt_per_square_metre_kelvin * area.base())
}

/// Loss of the air in a case through its thin walls to the air outside, per kelvin: a film on either side.
///
/// `G = k · h · A / 2`
///
/// - `film`: on either side; `area`: of the walls; `off`: k, by which factor the film may be off, nominally 1.
///
/// Monotone in each. Leaves out: what the wall itself resists, slots, and warm neighbours such as a bed above.
///
/// # Source
/// [heat-transfer-textbook], conductances in series; typical coefficients (from memory).
#[must_use]
pub fn wall_loss(film: FilmCoefficient, area: Area, off: Ratio) -> ThermalConductance {
    film_loss(film, area) * (off.base() / 2.0)
}

/// Heat that a surface radiates to surroundings of one temperature.
///
/// `P = ε · σ · A · (T⁴ − Tₐ⁴)`, σ = 5.670374419·10⁻⁸ W/(m² K⁴)
///
/// - `emissivity`: 0.05 to 0.1 for bright metal, 0.9 for paint, glass, silicone.
/// - `surface`, `around`: temperatures.
///
/// Monotone in each while the surface is the hotter.
///
/// # Source
/// [heat-transfer-textbook], law of Stefan and Boltzmann.
#[must_use]
pub fn radiated(
    emissivity: Ratio,
    area: Area,
    surface: ThermodynamicTemperature,
    around: ThermodynamicTemperature,
) -> Power {
    const SIGMA: f64 = 5.670_374_419e-8;
    let fourth = |temperature: ThermodynamicTemperature| temperature.base().powi(4);
    Power::from_base(emissivity.base() * SIGMA * area.base() * (fourth(surface) - fourth(around)))
}

/// Heat that moved air carries away, for each kelvin by which it leaves warmer than it came.
///
/// `G = ρ · c · A · v`, ρ = 1.161 kg/m³ and c = 1007 J/(kg K) at 300 K
///
/// - `opening`: its free area; `speed`: of the air in it.
///
/// Monotone in both. For a closed case with a fan this is the conductance from the air inside to the room.
///
/// # Source
/// [heat-transfer-textbook], tables of air (from memory).
#[must_use]
pub fn airflow_conductance(opening: Area, speed: Velocity) -> ThermalConductance {
    ThermalConductance::from_base(1.161 * 1007.0 * opening.base() * speed.base())
}
