//! Firmware images: readers of a file in any of five forms, told by its content.

mod content;
mod fault;
mod image;
mod origin;
mod read;
pub mod thumb;
mod vectors;
mod walk;

pub use content::{Content, Piece};
pub use fault::{Fault, Place, Refused};
pub use image::{Attributes, Elf, Image, Machine, Part, Region, Section};
pub use origin::{Evidence, Origin, origin};
pub use read::{Form, LARGEST, read};
pub use vectors::{Table, Vector, eight_bit_jumps};
pub use walk::{Code, Need, begins_function, begins_with_code, walk};
