//! Wire colours: letter codes, names, and the hues in which wires are drawn.

use serde::Deserialize;

use crate::field;
use crate::table::{Row, Sure, Table, own_statement, row};

/// One letter code of a wire colour.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Colour {
    /// The letter code, such as `BK`.
    pub code: String,
    /// The name of the colour.
    pub name: String,
    /// The hue of the wire's body in drawings.
    #[serde(deserialize_with = "hue")]
    pub body: Rgb,
    /// The hue of a second stripe, for the one code that is two colours by itself.
    #[serde(default, deserialize_with = "some_hue")]
    pub stripe: Option<Rgb>,
    /// The edge around the body on a light ground: contrast at least 3 against white.
    #[serde(deserialize_with = "hue")]
    pub edge_on_light: Rgb,
    /// The edge around the body on a dark ground: contrast at least 3 against black.
    #[serde(deserialize_with = "hue")]
    pub edge_on_dark: Rgb,
    /// Key of the source of the code.
    #[serde(default = "own_statement")]
    pub source: String,
    /// How far to trust the code. The hues are our own choice.
    #[serde(default)]
    pub sure: Sure,
}

row!(Colour, "colour", code);

/// A colour on a screen, sRGB.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Rgb {
    /// Red, green and blue, 0 to 255.
    pub channels: [u8; 3],
}

impl Rgb {
    /// Reads `#rrggbb`.
    #[must_use]
    pub fn from_hex(text: &str) -> Option<Self> {
        let digits = text.strip_prefix('#')?;
        if digits.len() != 6 || !digits.bytes().all(|byte| byte.is_ascii_hexdigit()) {
            return None;
        }
        let mut channels = [0; 3];
        for (index, channel) in channels.iter_mut().enumerate() {
            *channel = u8::from_str_radix(&digits[2 * index..2 * index + 2], 16).ok()?;
        }
        Some(Self { channels })
    }
}

impl core::fmt::Display for Rgb {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let [red, green, blue] = self.channels;
        write!(formatter, "#{red:02x}{green:02x}{blue:02x}")
    }
}

/// The colour of a wire: one letter code, or two joined for a wire of two colours.
#[derive(Clone, Copy, Debug)]
pub struct WireColour<'a> {
    /// The first code.
    pub first: &'a Colour,
    /// The second code, of a wire with two colours.
    pub second: Option<&'a Colour>,
}

impl WireColour<'_> {
    /// The codes joined in the order of the standard's table, as the standard has it.
    #[must_use]
    pub fn code(&self) -> String {
        let second = self.second.map_or("", |colour| &colour.code);
        format!("{}{second}", self.first.code)
    }
}

/// Takes a written code apart: `RD`, `RDBU` (also `BURD`, `rd/bu`), `GNYE`; `None` where it is no code.
///
/// Two codes are put in the order of the table; green and yellow in either order are the one code GNYE.
#[must_use]
pub fn colours_of<'a>(table: &'a Table<Colour>, written: &str) -> Option<WireColour<'a>> {
    let separates = |character: char| " /-+".contains(character);
    let plain: String = written.split(separates).collect::<String>().to_ascii_uppercase();
    let place = |code: &str| table.rows().iter().position(|row| row.key() == code);
    let at = |index: usize| &table.rows()[index];
    if let Some(index) = place(&plain) {
        return Some(WireColour {
            first: at(index),
            second: None,
        });
    }
    let (left, right) = plain.split_at_checked(2)?;
    let (left, right) = (place(left)?, place(right)?);
    let (first, second) = (left.min(right), left.max(right));
    if first == second {
        return None;
    }
    let joined = format!("{}{}", at(second).code, at(first).code);
    if let Some(index) = place(&joined) {
        return Some(WireColour {
            first: at(index),
            second: None,
        });
    }
    Some(WireColour {
        first: at(first),
        second: Some(at(second)),
    })
}

fn hue<'de, D: serde::Deserializer<'de>>(from: D) -> Result<Rgb, D::Error> {
    field::text(from, |text| {
        Rgb::from_hex(text).ok_or_else(|| format!("`{text}` is no colour; expected `#rrggbb`"))
    })
}

fn some_hue<'de, D: serde::Deserializer<'de>>(from: D) -> Result<Option<Rgb>, D::Error> {
    hue(from).map(Some)
}
