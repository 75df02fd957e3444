//! Scales of temperature: what a unit names, and which one a number was meant in where no unit stands.

/// Hotter than any part of such a machine, °C; common practice, no source.
pub(crate) const HOTTEST: f32 = 330.0;

/// A scale of temperature.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TemperatureScale {
    /// Degrees Celsius.
    #[default]
    Celsius,
    /// Degrees Fahrenheit.
    Fahrenheit,
    /// Kelvin.
    Kelvin,
}

impl TemperatureScale {
    /// The scale that a unit names.
    pub(crate) fn of_unit(unit: &str) -> Option<Self> {
        match unit {
            "°C" | "degC" | "C" | "℃" => Some(Self::Celsius),
            "°F" | "degF" | "F" | "℉" => Some(Self::Fahrenheit),
            "K" => Some(Self::Kelvin),
            _ => None,
        }
    }

    /// The scale, other than degrees Celsius, in which a number fits.
    pub(crate) fn in_which(number: f64, fits: impl Fn(f64) -> bool) -> Option<Self> {
        let others = [Self::Fahrenheit, Self::Kelvin];
        others.into_iter().find(|scale| fits(scale.to_celsius(number)))
    }

    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Celsius => "Celsius",
            Self::Fahrenheit => "Fahrenheit",
            Self::Kelvin => "kelvin",
        }
    }

    /// The unit as a head is to name it.
    pub(crate) fn unit(self) -> &'static str {
        match self {
            Self::Celsius => "°C",
            Self::Fahrenheit => "°F",
            Self::Kelvin => "K",
        }
    }

    pub(crate) fn to_celsius(self, number: f64) -> f64 {
        match self {
            Self::Celsius => number,
            Self::Fahrenheit => (number - 32.0) / 1.8,
            Self::Kelvin => number - 273.15,
        }
    }
}
