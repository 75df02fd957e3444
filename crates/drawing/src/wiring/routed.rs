//! The routed picture as plain geometry: what a test or another renderer can look at.

use crate::geometry::{Area, Point};

/// Where everything of a wiring picture lies, in CSS pixels of its view box.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Routed {
    /// Width and height of the picture.
    pub size: (f64, f64),
    /// Pixels for a millimetre of the board.
    pub scale: f64,
    /// Outline of the board.
    pub board: Area,
    /// Boxes around the mounting holes.
    pub holes: Vec<Area>,
    /// Housings of the ports, in the order of the input.
    pub ports: Vec<Area>,
    /// Cards of the devices, in the order of the input.
    pub devices: Vec<Area>,
    /// Leads, in the order of the input.
    pub cables: Vec<RoutedCable>,
    /// Every text with the box that it needs at most.
    pub texts: Vec<(String, Area)>,
}

/// A lead as it was routed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RoutedCable {
    /// Level and upright segments from where the wires join at the port to where they part at the card. Empty if the
    /// board is too crowded for the line: then port and card name each other, and arrow heads stand for the line.
    pub path: Vec<Point>,
    /// Where the wires join at the port.
    pub at_port: Point,
    /// Where they part at the card.
    pub at_card: Point,
}
