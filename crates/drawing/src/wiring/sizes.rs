//! The measures of the two layouts, in CSS pixels.

use crate::sheet::Layout;

pub(super) struct Sizes {
    pub narrow: bool,
    /// The width that the picture aims at.
    pub width: f64,
    /// Margin of the sheet.
    pub edge: f64,
    /// Distance of two leads side by side.
    pub pitch: f64,
    /// From a port to where its wires become one line.
    pub port_fan: f64,
    /// The same at a card.
    pub card_fan: f64,
    /// Width of a card; a narrow picture gives its cards what the channels leave.
    pub card: f64,
    pub port_text: f64,
    pub name_gap: f64,
    /// Whether ports are large enough for pins and names, or only for a number.
    pub draws_pins: bool,
    /// Widths of the five kinds of lines are multiples of this.
    pub stroke: f64,
    pub wire: f64,
    /// Bounds of the scale, in pixels for a millimetre.
    pub least_scale: f64,
    pub largest_scale: f64,
}

impl Sizes {
    pub const fn of(layout: Layout) -> Self {
        match layout {
            Layout::Wide => Self {
                narrow: false,
                width: 1400.0,
                edge: 16.0,
                pitch: 8.0,
                port_fan: 13.0,
                card_fan: 20.0,
                card: 268.0,
                port_text: 11.5,
                name_gap: 3.0,
                draws_pins: true,
                stroke: 1.0,
                wire: 2.2,
                least_scale: 4.0,
                largest_scale: 14.0,
            },
            Layout::Narrow => Self {
                narrow: true,
                width: 390.0,
                edge: 6.0,
                pitch: 4.0,
                port_fan: 4.0,
                card_fan: 14.0,
                card: 0.0,
                port_text: 11.0,
                name_gap: 1.5,
                draws_pins: false,
                stroke: 0.55,
                wire: 1.8,
                least_scale: 1.0,
                largest_scale: 8.0,
            },
        }
    }

    /// A guess of how far the rim lies outside the board, and of the air beside the channel.
    pub const fn rim(&self) -> f64 {
        3.0 * self.pitch + self.channel_air()
    }

    /// Between the outermost track and the joints of the cards.
    pub const fn channel_air(&self) -> f64 {
        if self.narrow { 0.0 } else { self.pitch }
    }

    /// What the cards take on one side.
    pub const fn card_column(&self) -> f64 {
        if self.narrow {
            0.0
        } else {
            self.card + self.card_fan
        }
    }

    /// The scale that leaves `beside` free on the sheet, for a board of `across` millimetres.
    pub fn scale_for(&self, across: f64, beside: f64) -> f64 {
        // A very large board gets a smaller scale rather than an endless sheet.
        let least = self.least_scale.min(1600.0 / across);
        ((self.width - beside) / across).clamp(least, self.largest_scale)
    }
}
