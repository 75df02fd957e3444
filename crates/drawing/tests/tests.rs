//! Tests from outside: geometry of routed pictures, snapshots, well-formed SVG.

mod routing;
#[path = "../examples/gallery/scenario.rs"]
mod scenario;
mod snapshots;
mod svg;
