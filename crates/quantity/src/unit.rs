//! The kinds of quantity that text can name, with the units of each.

use serde::Serialize;

/// A kind of quantity: what is measured, independent of the unit it is written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Electric potential difference; V.
    Voltage,
    /// Electric current; A.
    Current,
    /// Electrical resistance; Ω.
    Resistance,
    /// Power; W.
    Power,
    /// Energy; J.
    Energy,
    /// Inductance; H.
    Inductance,
    /// Capacitance; F.
    Capacitance,
    /// Frequency, also steps per second; Hz.
    Frequency,
    /// Length; m.
    Length,
    /// Area; m².
    Area,
    /// Mass; kg.
    Mass,
    /// Time; s.
    Time,
    /// Velocity; m/s.
    Velocity,
    /// Acceleration; m/s².
    Acceleration,
    /// Force; N.
    Force,
    /// Torque; N m.
    Torque,
    /// Moment of inertia; kg m².
    MomentOfInertia,
    /// Plane angle; rad.
    Angle,
    /// Speed of rotation; rad/s.
    AngularVelocity,
    /// A temperature on an absolute scale; K.
    Temperature,
    /// A difference of two temperatures; K.
    TemperatureDifference,
    /// Thermal resistance; K/W.
    ThermalResistance,
    /// Thermal conductance; W/K.
    ThermalConductance,
    /// Heat capacity; J/K.
    HeatCapacity,
    /// Relative change per kelvin; 1/K.
    TemperatureCoefficient,
    /// Microsteps per length of travel; 1/m.
    StepDensity,
    /// Resistance of a conductor per length; Ω/m.
    ResistancePerLength,
    /// Volume that passes in a second; m³/s.
    VolumeRate,
    /// Mass of a volume; kg/m³.
    Density,
    /// Heat that warms a mass by one kelvin; J/kg/K.
    SpecificHeat,
    /// A number without dimension.
    Ratio,
}

/// One unit of a kind. `base = number * factor + offset`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Unit {
    pub symbol: &'static str,
    pub factor: f64,
    pub offset: f64,
    /// Whether SI prefixes may stand before the symbol.
    pub prefixes: bool,
    /// Whether values are written in this unit (else it is only read).
    pub shown: bool,
}

const fn unit(symbol: &'static str, factor: f64) -> Unit {
    Unit {
        symbol,
        factor,
        offset: 0.0,
        prefixes: false,
        shown: false,
    }
}
const fn shown(symbol: &'static str, factor: f64) -> Unit {
    Unit {
        symbol,
        factor,
        offset: 0.0,
        prefixes: false,
        shown: true,
    }
}
/// A unit that takes prefixes, and is shown with them.
const fn scaled(symbol: &'static str) -> Unit {
    Unit {
        symbol,
        factor: 1.0,
        offset: 0.0,
        prefixes: true,
        shown: true,
    }
}

/// SI prefixes that the trade uses, smallest first; the micro sign stands for both of its characters and for `u`.
pub(crate) const PREFIXES: [(&str, f64); 8] = [
    ("p", 1e-12),
    ("n", 1e-9),
    ("µ", 1e-6),
    ("m", 1e-3),
    ("", 1.0),
    ("k", 1e3),
    ("M", 1e6),
    ("G", 1e9),
];

impl Kind {
    /// The name of the kind as it stands in messages.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.row().0
    }

    /// The symbol of the coherent SI unit in which [`crate::Number::base`] counts.
    #[must_use]
    pub fn base_symbol(self) -> &'static str {
        self.row().1
    }

    /// Units that text may use, for messages: "V, mV, kV".
    #[must_use]
    pub fn examples(self) -> &'static str {
        self.row().2
    }

    pub(crate) fn units(self) -> &'static [Unit] {
        self.row().3
    }

    #[rustfmt::skip]
    fn row(self) -> (&'static str, &'static str, &'static str, &'static [Unit]) {
        const DEGREE: f64 = core::f64::consts::PI / 180.0;
        const TURN: f64 = core::f64::consts::TAU;
        match self {
            Kind::Voltage => ("voltage", "V", "V, mV", const { &[scaled("V")] }),
            Kind::Current => ("current", "A", "A, mA", const { &[scaled("A")] }),
            Kind::Resistance => ("resistance", "Ω", "Ω, mΩ, kΩ (or ohm)", const { &[scaled("Ω")] }),
            Kind::Power => ("power", "W", "W, mW, kW", const { &[scaled("W")] }),
            Kind::Energy => ("energy", "J", "J, kJ, Wh", const { &[scaled("J"), unit("Wh", 3600.0)] }),
            Kind::Inductance => ("inductance", "H", "mH, µH", const { &[scaled("H")] }),
            Kind::Capacitance => ("capacitance", "F", "µF, nF", const { &[scaled("F")] }),
            Kind::Frequency => ("frequency", "Hz", "Hz, kHz, step/s",
                const { &[scaled("Hz"), unit("step/s", 1.0), unit("kstep/s", 1e3), unit("1/s", 1.0), unit("/s", 1.0)] }),
            Kind::Length => ("length", "m", "mm, m, µm, in",
                const { &[shown("mm", 1e-3), shown("m", 1.0), shown("µm", 1e-6), unit("cm", 1e-2), unit("km", 1e3), unit("in", 0.0254)] }),
            Kind::Area => ("area", "m²", "mm², m²", const { &[shown("mm²", 1e-6), unit("m²", 1.0), unit("cm²", 1e-4)] }),
            Kind::Mass => ("mass", "kg", "g, kg", const { &[shown("g", 1e-3), shown("kg", 1.0), unit("mg", 1e-6)] }),
            Kind::Time => ("time", "s", "s, ms, µs, min, h",
                const { &[scaled("s"), unit("min", 60.0), unit("h", 3600.0), unit("d", 86400.0)] }),
            Kind::Velocity => ("velocity", "m/s", "mm/s, mm/min, m/s",
                const { &[shown("mm/s", 1e-3), unit("m/s", 1.0), unit("mm/min", 1e-3 / 60.0)] }),
            Kind::Acceleration => ("acceleration", "m/s²", "mm/s², m/s²", const { &[shown("mm/s²", 1e-3), unit("m/s²", 1.0)] }),
            Kind::Force => ("force", "N", "N", const { &[scaled("N")] }),
            Kind::Torque => ("torque", "N m", "N m, N cm, mN m",
                const { &[shown("N m", 1.0), unit("N cm", 1e-2), shown("mN m", 1e-3)] }),
            Kind::MomentOfInertia => ("moment of inertia", "kg m²", "g cm², kg cm², kg m²",
                const { &[shown("g cm²", 1e-7), unit("kg cm²", 1e-4), unit("kg m²", 1.0)] }),
            Kind::Angle => ("angle", "rad", "°, rad, mrad", const { &[shown("°", DEGREE), unit("deg", DEGREE), unit("rad", 1.0), unit("mrad", 1e-3)] }),
            Kind::AngularVelocity => ("speed of rotation", "rad/s", "rev/s, rev/min, rad/s",
                const { &[shown("rev/s", TURN), unit("rev/min", TURN / 60.0), unit("rpm", TURN / 60.0), unit("rad/s", 1.0)] }),
            Kind::Temperature => ("temperature", "K", "°C, K",
                const { &[Unit { symbol: "°C", factor: 1.0, offset: 273.15, prefixes: false, shown: true }, unit("K", 1.0)] }),
            Kind::TemperatureDifference => ("temperature difference", "K", "K, mK",
                const { &[shown("K", 1.0), shown("mK", 1e-3), unit("µK", 1e-6), unit("°C", 1.0)] }),
            Kind::ThermalResistance => ("thermal resistance", "K/W", "K/W", const { &[shown("K/W", 1.0), unit("°C/W", 1.0)] }),
            Kind::ThermalConductance => ("thermal conductance", "W/K", "W/K, mW/K", const { &[shown("W/K", 1.0), shown("mW/K", 1e-3)] }),
            Kind::HeatCapacity => ("heat capacity", "J/K", "J/K", const { &[shown("J/K", 1.0), unit("kJ/K", 1e3)] }),
            Kind::TemperatureCoefficient => ("temperature coefficient", "1/K", "%/K, ppm/K, 1/K",
                const { &[shown("%/K", 1e-2), shown("ppm/K", 1e-6), unit("1/K", 1.0), unit("/K", 1.0)] }),
            Kind::StepDensity => ("steps per length", "1/m", "step/mm", const { &[shown("step/mm", 1e3), unit("step/m", 1.0), unit("1/m", 1.0), unit("/mm", 1e3), unit("1/mm", 1e3)] }),
            Kind::ResistancePerLength => ("resistance per length", "Ω/m", "Ω/km, mΩ/m, Ω/m",
                const { &[shown("mΩ/m", 1e-3), shown("Ω/m", 1.0), unit("Ω/km", 1e-3)] }),
            Kind::VolumeRate => ("volume rate", "m³/s", "mm³/s", const { &[shown("mm³/s", 1e-9), unit("m³/s", 1.0)] }),
            Kind::Density => ("density", "kg/m³", "g/cm³, kg/m³", const { &[shown("g/cm³", 1e3), unit("kg/m³", 1.0)] }),
            Kind::SpecificHeat => ("specific heat capacity", "J/kg/K", "J/kg/K, kJ/kg/K",
                const { &[shown("J/kg/K", 1.0), unit("kJ/kg/K", 1e3), unit("J/g/K", 1e3)] }),
            Kind::Ratio => ("number", "1", "a plain number or %", const { &[shown("%", 1e-2), unit("", 1.0), unit("ppm", 1e-6)] }),
        }
    }

    /// Finds the unit that `symbol` names: (factor, offset) to base units.
    pub(crate) fn find(self, symbol: &str) -> Option<(f64, f64)> {
        // Most text is written as the table has it: no text is made for that.
        if let Some(found) = self.as_written(symbol) {
            return Some(found);
        }
        let symbol = normalised(symbol);
        if let Some(unit) = self.units().iter().find(|unit| normalised(unit.symbol) == symbol) {
            return Some((unit.factor, unit.offset));
        }
        let prefixed = self.units().iter().filter(|unit| unit.prefixes);
        for unit in prefixed {
            let Some(prefix) = symbol.strip_suffix(&normalised(unit.symbol)) else {
                continue;
            };
            if let Some((_, factor)) = PREFIXES.iter().find(|(name, _)| *name == prefix) {
                return Some((unit.factor * factor, unit.offset));
            }
            if prefix == "u" {
                return Some((unit.factor * 1e-6, unit.offset));
            }
        }
        None
    }

    /// The unit whose symbol is `symbol` to the letter, prefixes included.
    fn as_written(self, symbol: &str) -> Option<(f64, f64)> {
        for unit in self.units() {
            let Some(prefix) = symbol.strip_suffix(unit.symbol) else {
                continue;
            };
            if prefix.is_empty() {
                return Some((unit.factor, unit.offset));
            }
            if let Some((_, factor)) = PREFIXES.iter().find(|(name, _)| unit.prefixes && *name == prefix) {
                return Some((unit.factor * factor, unit.offset));
            }
        }
        None
    }

    /// Every kind, for looking up what a unit means where the kind is not known.
    pub const ALL: [Kind; 31] = [
        Kind::Voltage,
        Kind::Current,
        Kind::Resistance,
        Kind::Power,
        Kind::Energy,
        Kind::Inductance,
        Kind::Capacitance,
        Kind::Frequency,
        Kind::Length,
        Kind::Area,
        Kind::Mass,
        Kind::Time,
        Kind::Velocity,
        Kind::Acceleration,
        Kind::Force,
        Kind::Torque,
        Kind::MomentOfInertia,
        Kind::Angle,
        Kind::AngularVelocity,
        Kind::Temperature,
        Kind::TemperatureDifference,
        Kind::ThermalResistance,
        Kind::ThermalConductance,
        Kind::HeatCapacity,
        Kind::TemperatureCoefficient,
        Kind::StepDensity,
        Kind::ResistancePerLength,
        Kind::VolumeRate,
        Kind::Density,
        Kind::SpecificHeat,
        Kind::Ratio,
    ];
}

/// One spelling for each unit: no blanks or dots, one omega, one micro sign, superscripts.
fn normalised(symbol: &str) -> String {
    let mut out = String::with_capacity(symbol.len());
    for character in symbol.chars() {
        match character {
            ' ' | '\u{a0}' | '\u{202f}' | '·' | '*' => {}
            '\u{2126}' => out.push('Ω'),
            'μ' => out.push('µ'),
            other => out.push(other),
        }
    }
    let out = out
        .replace("^2", "²")
        .replace("^3", "³")
        .replace("ohms", "Ω")
        .replace("Ohms", "Ω")
        .replace("Ohm", "Ω")
        .replace("ohm", "Ω");
    match out.strip_prefix("um") {
        Some("") => "µm".to_owned(),
        _ => match out.as_str() {
            "mm2" => "mm²".to_owned(),
            "mm3/s" => "mm³/s".to_owned(),
            "g/cm3" => "g/cm³".to_owned(),
            "uK" => "µK".to_owned(),
            _ => out,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::{Kind, PREFIXES};

    /// SI Brochure, 9th edition (2019), table 7: names and factors of prefixes. From memory.
    #[test]
    fn prefixes_are_those_of_the_si() {
        let table = [
            ("p", -12),
            ("n", -9),
            ("µ", -6),
            ("m", -3),
            ("", 0),
            ("k", 3),
            ("M", 6),
            ("G", 9),
        ];
        for ((name, factor), (symbol, power)) in PREFIXES.into_iter().zip(table) {
            assert_eq!((name, factor), (symbol, 10_f64.powi(power)), "{name}");
        }
    }

    /// No text names two units of one kind: `min` must not be a milli-inch, nor `mm` a milli-metre by another factor.
    #[test]
    fn no_symbol_is_ambiguous_within_a_kind() {
        for kind in Kind::ALL {
            let mut seen: Vec<(String, f64)> = Vec::new();
            for unit in kind.units() {
                let prefixes = if unit.prefixes {
                    &PREFIXES[..]
                } else {
                    &PREFIXES[4..5]
                };
                for (prefix, factor) in prefixes {
                    let symbol = super::normalised(&format!("{prefix}{}", unit.symbol));
                    let factor = unit.factor * factor;
                    if let Some((_, other)) = seen.iter().find(|(other, _)| *other == symbol) {
                        assert!((other / factor - 1.0).abs() < 1e-12, "{kind:?}: {symbol}");
                    }
                    assert_eq!(
                        kind.find(&symbol).map(|(found, _)| found),
                        Some(factor),
                        "{kind:?}: {symbol}"
                    );
                    seen.push((symbol, factor));
                }
            }
        }
    }

    #[test]
    fn every_kind_has_a_base_unit_and_is_listed_once() {
        for (at, kind) in Kind::ALL.into_iter().enumerate() {
            assert!(!Kind::ALL[..at].contains(&kind));
            let base = if kind == Kind::Ratio {
                ""
            } else {
                kind.base_symbol()
            };
            assert_eq!(kind.find(base), Some((1.0, 0.0)), "{kind:?}");
            assert!(kind.units().iter().any(|unit| unit.shown), "{kind:?}");
        }
    }

    #[test]
    fn other_spellings_mean_the_same() {
        for (kind, one, other) in [
            (Kind::Resistance, "kΩ", "kohm"),
            (Kind::Resistance, "kΩ", "k\u{2126}"),
            (Kind::Resistance, "Ω", "Ohms"),
            (Kind::Capacitance, "µF", "uF"),
            (Kind::Capacitance, "µF", "μF"),
            (Kind::Length, "µm", "um"),
            (Kind::Area, "mm²", "mm^2"),
            (Kind::Area, "mm²", "mm2"),
            (Kind::Torque, "N m", "N·m"),
            (Kind::Torque, "N m", "Nm"),
            (Kind::TemperatureDifference, "µK", "uK"),
        ] {
            assert!(
                kind.find(one).is_some() && kind.find(one) == kind.find(other),
                "{one} {other}"
            );
        }
        assert_eq!(Kind::Length.find("V"), None);
        assert_eq!(Kind::Voltage.find("kkV"), None);
        assert_eq!(Kind::Voltage.find(""), None);
    }
}
