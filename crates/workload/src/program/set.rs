//! What words set, and what stops the motion: units, offsets, limits, heaters, fans, tools.

use quantity::Number as _;
use quantity::si::{ThermodynamicTemperature, Time, Velocity, celsius};

use super::{AXES, COORDINATES, FARTHEST, MOST_FILAMENT, PLACE, State};
use crate::given::Zone;
use crate::scan::Line;
use crate::segment::{Batch, Retraction, Wait, What};
use crate::trouble::Skipped;
use crate::vocabulary::{Letter, Meaning, Sets};

impl State<'_> {
    /// What sets something, or stops the motion.
    pub(super) fn set(&mut self, meaning: Meaning, number: u64, line: &Line, batch: &mut Batch) {
        match meaning {
            Meaning::Plane(axis) => self.plane = axis,
            Meaning::Inches => self.unit = 0.0254,
            Meaning::Millimetres => self.unit = 1e-3,
            Meaning::Absolute => self.relative = false,
            Meaning::Relative => self.relative = true,
            Meaning::FilamentAbsolute => self.filament_relative = false,
            Meaning::FilamentRelative => self.filament_relative = true,
            Meaning::SetPosition => self.set_position(number, line),
            Meaning::ClearOffsets => (self.offset, self.suspended) = ([0.0; 4], [0.0; 4]),
            Meaning::SuspendOffsets => {
                self.suspended = self.offset;
                self.offset = [0.0; 4];
            }
            Meaning::RestoreOffsets => self.offset = self.suspended,
            Meaning::Home => self.home(number, line, batch),
            Meaning::Retract => self.retract(number, true, batch),
            Meaning::Unretract => self.retract(number, false, batch),
            Meaning::SetRetraction => self.set_retraction(number, line),
            Meaning::Dwell => {
                let waits = line.get(b'S').unwrap_or(0.0) + line.get(b'P').unwrap_or(0.0) / 1e3;
                if (0.0..=1e6).contains(&waits) {
                    self.happen(number, What::Dwell(Time::from_base(waits)), batch);
                } else {
                    self.skip(number, Skipped::Setting);
                }
            }
            Meaning::Synchronise => self.happen(number, What::Stop, batch),
            Meaning::WaitForPerson | Meaning::Unmodelled => self.happen(number, What::Pause, batch),
            Meaning::HotEnd { wait } => {
                // Without a tool it is the one in use.
                let tool = match line.get(b'T') {
                    #[expect(
                        clippy::cast_possible_truncation,
                        clippy::cast_sign_loss,
                        reason = "saturates, and no machine has that many tools"
                    )]
                    Some(tool) => tool as usize,
                    None => self.geometry.tool,
                };
                self.heat(number, Zone::HotEnd(tool), wait, line, batch);
            }
            Meaning::Bed { wait } => self.heat(number, Zone::Bed, wait, line, batch),
            Meaning::Chamber { wait } => self.heat(number, Zone::Chamber, wait, line, batch),
            Meaning::WaitForHeat => self.happen(number, What::WaitForHeat, batch),
            Meaning::Fan => {
                let share = (line.get(b'S').unwrap_or(255.0) / 255.0).clamp(0.0, 1.0);
                self.fan(number, line, share, batch);
            }
            Meaning::FanOff => self.fan(number, line, 0.0, batch),
            Meaning::SpeedFactor => match line.get(b'S') {
                Some(percent) if is_factor(percent / 100.0) => self.speed_factor = percent / 100.0,
                Some(_) => self.skip(number, Skipped::Setting),
                None => {}
            },
            Meaning::Sets(letters) => {
                let words = self.words;
                for letter in words.letters(letters) {
                    self.set_by_letter(*letter, number, line);
                }
            }
            Meaning::Unclear => self.skip(number, Skipped::Action),
            Meaning::Move | Meaning::Rapid | Meaning::Arc { .. } | Meaning::End | Meaning::Nothing => {}
        }
    }

    /// Takes up the value behind a letter, where it stands in the line.
    fn set_by_letter(&mut self, letter: Letter, number: u64, line: &Line) {
        #[expect(clippy::cast_precision_loss, reason = "no machine has that many parts")]
        let is_picked = |(by, wanted): (u8, usize)| line.get(by) == Some(wanted as f64);
        let Some(told) = line.get(letter.letter) else {
            return;
        };
        if !letter.beside.is_none_or(is_picked) {
            return;
        }
        let Some(one) = letter.one else {
            self.skip(number, Skipped::Unit);
            return;
        };
        let (plain, value) = (told * one, told * one * self.unit / 1e-3);
        let set = match letter.sets {
            Sets::Flow => {
                let is_factor = is_factor(plain);
                if is_factor {
                    self.flow_factor = plain;
                }
                is_factor
            }
            Sets::Diameter => {
                let radius = value / 2.0;
                self.volume_area = (radius > 0.0).then_some(core::f64::consts::PI * radius * radius);
                true
            }
            limit => self.geometry.set_limit(limit, value),
        };
        if !set {
            self.skip(number, Skipped::Setting);
        }
    }

    pub(super) fn happen(&mut self, number: u64, what: What, batch: &mut Batch) {
        if !matches!(what, What::Fan { .. }) && !matches!(what, What::Target { wait: Wait::No, .. }) {
            self.geometry.stands_still();
        }
        let event = self.geometry.event(number, what);
        #[expect(clippy::cast_possible_truncation, reason = "a batch is far shorter")]
        batch.events.push((batch.segments.len() as u32, event));
    }

    fn heat(&mut self, number: u64, zone: Zone, wait: bool, line: &Line, batch: &mut Batch) {
        let (heating, both) = (line.get(b'S'), line.get(b'R'));
        let Some(degrees) = heating.or(both) else {
            return;
        };
        if !(-50.0..=600.0).contains(&degrees) {
            self.skip(number, Skipped::Setting);
            return;
        }
        let wait = match (wait, both) {
            (false, _) => Wait::No,
            (true, None) => Wait::Heating,
            (true, Some(_)) => Wait::Both,
        };
        // Zero means off.
        let target: Option<ThermodynamicTemperature> = (degrees > 0.0).then(|| celsius(degrees));
        self.happen(number, What::Target { zone, target, wait }, batch);
    }

    fn fan(&mut self, number: u64, line: &Line, share: f64, batch: &mut Batch) {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "saturates"
        )]
        let fan = line.get(b'P').unwrap_or(0.0) as usize;
        self.happen(number, What::Fan { number: fan, share }, batch);
    }

    /// Names the current point; nothing moves. Without an axis all are zero.
    fn set_position(&mut self, number: u64, line: &Line) {
        let here = self.geometry.here();
        if !line.has_any(COORDINATES) {
            self.offset = here;
            return;
        }
        for axis in 0..4 {
            let Some(said) = line.get(AXES[axis]) else {
                continue;
            };
            let unit = if axis == 3 {
                self.filament_unit()
            } else {
                self.unit
            };
            let offset = here[axis] - said * unit;
            let most = if axis == 3 { MOST_FILAMENT } else { FARTHEST };
            if offset.abs() <= most {
                self.offset[axis] = offset;
            } else {
                self.skip(number, Skipped::TooFar);
            }
        }
    }

    fn home(&mut self, number: u64, line: &Line, batch: &mut Batch) {
        let all = !line.has_any(PLACE);
        let homed: [bool; 3] = core::array::from_fn(|axis| all || line.has(AXES[axis]));
        let mut time = Some(Time::from_base(0.0));
        for (axis, homed) in homed.into_iter().enumerate() {
            if homed {
                self.offset[axis] = 0.0;
                time = time.zip(self.homing[axis]).map(|(time, own)| time + own);
            }
        }
        self.happen(number, What::Home(time), batch);
        self.geometry.homed(homed);
    }

    fn set_retraction(&mut self, number: u64, line: &Line) {
        let old = self.retraction;
        let length = line.get(b'S').map(|length| length * self.unit);
        let speed = line.get(b'F').map(|speed| speed * self.unit / 60.0);
        let (Some(length), Some(speed)) = (
            length.or(old.map(|old| old.length.base())),
            speed.or(old.map(|old| old.speed.base())),
        ) else {
            return;
        };
        if length > 0.0 && speed > 0.0 && length <= FARTHEST {
            self.retraction = Some(Retraction {
                length: quantity::si::metre(length),
                speed: Velocity::from_base(speed),
            });
        } else {
            self.skip(number, Skipped::Setting);
        }
    }

    fn retract(&mut self, number: u64, back: bool, batch: &mut Batch) {
        if self.retracted == back {
            return;
        }
        let Some(retraction) = self.retraction else {
            self.skip(number, Skipped::Retraction);
            return;
        };
        self.retracted = back;
        let way = retraction.length.base() * if back { -1.0 } else { 1.0 };
        let here = self.geometry.at;
        self.geometry
            .straight(number, here, (way, 1.0), retraction.speed.base(), batch);
        // The program's count of filament does not notice.
        self.geometry.filament -= way;
    }

    pub(super) fn change_tool(&mut self, number: u64, line: &Line) {
        let Some(tool) = line.get(b'T') else { return };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "saturates"
        )]
        let wanted = tool as usize;
        self.understood += 1;
        if tool < 0.0 || wanted >= self.tools {
            self.skip(number, Skipped::Tool);
            self.unknown.add(number, &format!("T{tool}"));
            return;
        }
        self.geometry.tool = wanted;
    }

    /// Hands on the bytes behind the last piece.
    pub(super) fn end(&mut self, batch: &mut Batch) {
        if !self.ended {
            self.happen(0, What::Stop, batch);
        }
    }
}

/// Whether something can be scaled by it.
fn is_factor(factor: f64) -> bool {
    factor > 0.0 && factor <= 100.0
}
