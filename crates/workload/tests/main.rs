//! The crate as others use it: programs in, what they ask for out.

mod archives;
mod given;
mod grammar;
mod heat;
mod hostile;
mod invented;
mod motion;
mod reference;

mod report;
mod words;
