//! Measurements with a plain question: did the filament switch see it, do the lights obey, does the supply hold, what gets hot?
//!
//! Limits come from whoever asks: the plan, or the machine's own description.

mod filament;
mod lights;
mod supply;
mod warmth;

pub use filament::{Filament, FilamentTest, filament_test};
pub use lights::{Colour, FarEnd, LedTest, Light, LightAsk, light_test};
pub use supply::{SupplyAsk, SupplyLog, Voltage, supply_log};
pub use warmth::{Warm, WarmthAsk, WarmthLog, warmth_log};
