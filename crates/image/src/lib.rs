//! Firmware images: readers of a file in any of five forms, told by its content.

mod content;
mod fault;
mod image;
mod read;

pub use content::{Content, Piece};
pub use fault::{Fault, Place, Refused};
pub use image::{Attributes, Elf, Image, Machine, Part, Region, Section};
pub use read::{Form, LARGEST, read};
