//! Simple shapes of a warped plate told.

use crate::height_map::Mode;

impl Mode {
    /// The words on pages.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Mode::Twist => "twist",
            Mode::Bowl => "bowl",
            Mode::Saddle => "saddle",
            Mode::SideWave => "S from left to right",
            Mode::DepthWave => "S from front to back",
            Mode::TurningBendAcross => "bend that turns over from front to back",
            Mode::TurningBendAlong => "bend that turns over from left to right",
        }
    }

    /// What it looks like with this sign.
    #[must_use]
    pub fn looks(self, positive: bool) -> &'static str {
        match (self, positive) {
            (Mode::Twist, true) => "front left and back right are high",
            (Mode::Twist, false) => "front right and back left are high",
            (Mode::Bowl, true) => "the middle is lower than the edge",
            (Mode::Bowl, false) => "the middle is higher than the edge",
            (Mode::Saddle, true) => "left and right are high, front and back low",
            (Mode::Saddle, false) => "front and back are high, left and right low",
            (Mode::SideWave, true) => "the right edge turns up, the left edge down",
            (Mode::SideWave, false) => "the left edge turns up, the right edge down",
            (Mode::DepthWave, true) => "the back edge turns up, the front edge down",
            (Mode::DepthWave, false) => "the front edge turns up, the back edge down",
            (Mode::TurningBendAcross, true) => "a trough at the back, a ridge at the front",
            (Mode::TurningBendAcross, false) => "a ridge at the back, a trough at the front",
            (Mode::TurningBendAlong, true) => "a trough on the right, a ridge on the left",
            (Mode::TurningBendAlong, false) => "a ridge on the right, a trough on the left",
        }
    }
}
