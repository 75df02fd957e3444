//! Where the nozzle stands, and the pieces that its moves are made of, each with its limits.

use physics::motion::{Carriages, Kinematics, Place};
use quantity::Number as _;
use quantity::si::{Length, Velocity};

use crate::corner::{Leg, Rule};
use crate::extent::Extents;
use crate::given::{Axis, Corner, Setup};
use crate::scan::{Code, Line};
use crate::segment::{Batch, Event, MOST_MOTORS, Purpose, Segment, What};
use crate::vocabulary::Sets;

/// A move has no more pieces than this.
pub(super) const MOST_PIECES: u32 = 20_000;

/// For each motor its speed for one unit of speed along x, y and z.
type Rows = [[f64; 3]; MOST_MOTORS];

/// How motors follow the nozzle.
#[derive(Clone, Debug)]
enum Motors {
    /// The same everywhere, for the first tool and for the second: two carriages take turns.
    Linear([Rows; 2]),
    /// Another at each place.
    Varying(Kinematics),
}

/// Where the nozzle stands, what bounds its speed, and what was told since the last piece.
#[derive(Debug)]
pub(super) struct Geometry<'s> {
    setup: &'s Setup,
    motors: Motors,
    /// The place on the machine.
    pub at: [f64; 3],
    /// Filament that the program has counted.
    pub filament: f64,
    /// Whether the place is known, by homing or an absolute move.
    known: [bool; 3],
    /// One over the highest speed of x, y, z, filament; over the highest acceleration.
    inverse_speed: [f64; 4],
    inverse_acceleration: [f64; 4],
    rule: Rule,
    /// By purpose.
    pub accelerations: [f64; 3],
    /// The piece before; `None` where the machine stands still.
    before: Option<Leg>,
    pub extents: Extents,
    bytes: u32,
    sent: u32,
    lines: u32,
    pub tool: usize,
    /// The word of the last move that the controller was seen to know.
    pub last_known: Option<Code>,
}

/// A stretch of a move that becomes a piece.
#[derive(Clone, Copy)]
pub(super) struct Stretch {
    /// The line that it stands in.
    pub line: u64,
    /// Change of x, y, z.
    pub way: [f64; 3],
    /// Its length, which for a chord is that of its arc.
    pub length: f64,
    /// Filament that really moves.
    pub filament: f64,
    /// The speed that is asked for.
    pub speed: f64,
    /// The radius that it bends by.
    pub radius: f64,
}

impl<'s> Geometry<'s> {
    pub fn new(setup: &'s Setup) -> Self {
        let machine = &setup.machine;
        let (axes, filament) = (&machine.axes, &machine.filament);
        let inverse = |of: fn(&Axis) -> f64, filament: f64| {
            [of(&axes[0]), of(&axes[1]), of(&axes[2]), filament].map(|limit| 1.0 / limit)
        };
        let accelerations = [machine.printing, machine.travelling, machine.retracting];
        Self {
            setup,
            motors: motors(&machine.kinematics),
            at: [0.0; 3],
            filament: 0.0,
            known: [false; 3],
            inverse_speed: inverse(|axis| axis.top_speed.base(), filament.top_speed.base()),
            inverse_acceleration: inverse(|axis| axis.acceleration.base(), filament.acceleration.base()),
            rule: match machine.corner {
                Corner::SuddenChange => Rule::Sudden(inverse(
                    |axis| axis.sudden_change.base(),
                    filament.sudden_change.base(),
                )),
                Corner::Deviation(deviation) => Rule::Deviation(deviation.base()),
            },
            accelerations: accelerations.map(quantity::Number::base),
            before: None,
            extents: Extents::default(),
            bytes: 0,
            sent: 0,
            lines: 0,
            tool: 0,
            last_known: None,
        }
    }

    /// What was given.
    pub fn setup(&self) -> &'s Setup {
        self.setup
    }

    /// Place and counted filament.
    pub fn here(&self) -> [f64; 4] {
        let [x, y, z] = self.at;
        [x, y, z, self.filament]
    }

    #[inline(always)]
    pub fn passed(&mut self, line: &Line) {
        self.bytes = self.bytes.saturating_add(line.bytes);
        self.sent = self.sent.saturating_add(line.sent);
        // A comment by itself is not sent.
        self.lines += u32::from(line.sent > 0);
    }

    /// What was told since the last piece, as an event.
    pub fn event(&mut self, number: u64, what: What) -> Event {
        let event = Event {
            line: line_number(number),
            bytes: self.bytes,
            sent: self.sent,
            lines: self.lines,
            what,
        };
        (self.bytes, self.sent, self.lines) = (0, 0, 0);
        event
    }

    /// The next piece begins at rest.
    pub fn stands_still(&mut self) {
        self.before = None;
    }

    /// Absolute coordinates tell where an axis stands.
    #[inline(always)]
    pub fn learn(&mut self, line: &Line, relative: bool) {
        if !relative {
            self.known[0] |= line.has(b'X');
            self.known[1] |= line.has(b'Y');
            self.known[2] |= line.has(b'Z');
        }
    }

    pub fn homed(&mut self, homed: [bool; 3]) {
        for (axis, homed) in homed.into_iter().enumerate() {
            if homed {
                self.known[axis] = true;
                self.at[axis] = self.setup.machine.axes[axis].home.base();
            }
        }
    }

    /// Takes up a limit, in SI units; whether it is one.
    pub fn set_limit(&mut self, what: Sets, limit: f64) -> bool {
        // A sudden change of nothing stands still at every corner: that can be meant, and a very small one does it.
        let limit = if matches!(what, Sets::SuddenChange(_)) && limit >= 0.0 {
            limit.max(1e-6)
        } else {
            limit
        };
        if !(limit > 0.0 && limit < 1e3) {
            return false;
        }
        match (what, &mut self.rule) {
            (Sets::Speed(axis), _) => self.inverse_speed[axis] = 1.0 / limit,
            (Sets::Acceleration(axis), _) => self.inverse_acceleration[axis] = 1.0 / limit,
            (Sets::SuddenChange(axis), Rule::Sudden(inverse)) => inverse[axis] = 1.0 / limit,
            (Sets::Printing, _) => self.accelerations[0] = limit,
            (Sets::Travelling, _) => self.accelerations[1] = limit,
            (Sets::Retracting, _) => self.accelerations[2] = limit,
            (Sets::SuddenChange(_), Rule::Deviation(_)) | (Sets::Flow | Sets::Diameter, _) => {}
        }
        true
    }

    /// A straight move to a place; `flow` scales the filament that really moves. Whether the arms reach.
    #[inline(always)]
    pub fn straight(
        &mut self,
        line: u64,
        target: [f64; 3],
        (filament, flow): (f64, f64),
        speed: f64,
        batch: &mut Batch,
    ) -> bool {
        let way: [f64; 3] = core::array::from_fn(|axis| target[axis] - self.at[axis]);
        let length = (way[0] * way[0] + way[1] * way[1] + way[2] * way[2]).sqrt();
        self.filament += filament;
        let stretch = Stretch {
            line,
            way,
            length,
            filament: filament * flow,
            speed,
            radius: f64::INFINITY,
        };
        let reached = self.stretch(&stretch, batch);
        // Without the error of the sums of pieces.
        self.at = target;
        if length > 0.0 {
            self.reach(line, target, filament > 0.0);
        }
        reached
    }

    /// Counts a place among the extents.
    #[inline(always)]
    pub fn reach(&mut self, line: u64, place: [f64; 3], printed: bool) {
        for (axis, place) in place.into_iter().enumerate() {
            if self.known[axis] {
                self.extents.all[axis].add(place, line);
                if printed {
                    self.extents.printed[axis].add(place, line);
                }
            }
        }
        if matches!(self.motors, Motors::Varying(_)) && self.known[0] && self.known[1] {
            self.extents.outward.add(place[0].hypot(place[1]), line);
        }
    }

    /// One stretch from where the nozzle stands: a piece, or several where motors do not follow evenly. Whether the arms reach.
    #[inline(always)]
    pub fn stretch(&mut self, stretch: &Stretch, batch: &mut Batch) -> bool {
        if stretch.length > 0.0 {
            if let Motors::Linear(rows) = &self.motors {
                let inverse = 1.0 / stretch.length;
                let unit = stretch.way.map(|way| way * inverse);
                let rows = &rows[usize::from(self.tool == 1)];
                let shares = core::array::from_fn(|motor| {
                    let [x, y, z] = rows[motor];
                    (x * unit[0] + y * unit[1] + z * unit[2]).abs()
                });
                self.piece(stretch, unit, shares, batch);
                return true;
            }
            return self.varying(stretch, batch);
        }
        if stretch.filament != 0.0 {
            let alone = Stretch {
                length: stretch.filament.abs(),
                ..*stretch
            };
            self.piece(&alone, [0.0; 3], [0.0; MOST_MOTORS], batch);
        }
        true
    }

    /// Pieces in which each motor's share is taken as the larger of both ends: it is off by little, and on the safe side.
    #[inline(never)]
    fn varying(&mut self, stretch: &Stretch, batch: &mut Batch) -> bool {
        let Motors::Varying(kinematics) = self.motors.clone() else {
            return true;
        };
        let unit = stretch.way.map(|way| way / stretch.length);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "saturates, then bounded"
        )]
        let count = ((stretch.length / self.setup.machine.piece.base()).ceil() as u32).clamp(1, MOST_PIECES);
        let part = 1.0 / f64::from(count);
        let piece = Stretch {
            way: stretch.way.map(|way| way * part),
            length: stretch.length * part,
            filament: stretch.filament * part,
            ..*stretch
        };
        let (start, mut reached) = (self.at, true);
        let mut shares_at = |place: [f64; 3]| {
            let shares = shares(&kinematics, place, unit);
            reached &= shares.is_some();
            shares.map_or([1.0; MOST_MOTORS], |shares| shares.map(f64::abs))
        };
        let mut before = shares_at(start);
        for at in 1..=count {
            let share = part * f64::from(at);
            let end = core::array::from_fn(|axis| start[axis] + stretch.way[axis] * share);
            let after = shares_at(end);
            let shares = core::array::from_fn(|motor| before[motor].max(after[motor]));
            self.piece(&piece, unit, shares, batch);
            self.at = end;
            before = after;
        }
        // A move goes on from here; who called sets the exact place.
        self.at = start;
        reached
    }

    /// One piece with its limits. Where the nozzle stands is left to the caller.
    #[inline(always)]
    fn piece(&mut self, stretch: &Stretch, unit: [f64; 3], shares: [f64; MOST_MOTORS], batch: &mut Batch) {
        let alone = unit == [0.0; 3];
        let purpose = if alone {
            Purpose::Filament
        } else if stretch.filament > 0.0 {
            Purpose::Printing
        } else {
            Purpose::Travelling
        };
        let unit = [unit[0], unit[1], unit[2], stretch.filament / stretch.length];
        let most =
            |inverse: &[f64; 4]| (0..4).fold(0.0_f64, |most, at| most.max(unit[at].abs() * inverse[at]));
        // Limits that do not bind cost no division.
        let (mut speed, limit) = (stretch.speed, most(&self.inverse_speed));
        if speed * limit > 1.0 {
            speed = 1.0 / limit;
        }
        let (mut acceleration, limit) = (
            self.accelerations[purpose as usize],
            most(&self.inverse_acceleration),
        );
        if acceleration * limit > 1.0 {
            acceleration = 1.0 / limit;
        }
        let leg = Leg {
            unit,
            length: stretch.length,
            acceleration,
            alone,
        };
        let corner2 = match &self.before {
            Some(before) => self.rule.speed2(before, &leg),
            None => 0.0,
        };
        self.before = Some(leg);
        #[expect(clippy::cast_possible_truncation, reason = "for a picture")]
        let (x, y) = (
            (self.at[0] + stretch.way[0]) as f32,
            (self.at[1] + stretch.way[1]) as f32,
        );
        #[expect(clippy::cast_possible_truncation, reason = "fewer tools than that")]
        let tool = self.tool as u8;
        batch.segments.push(Segment {
            length: stretch.length,
            // On a bend the acceleration is needed to keep to it.
            nominal2: (speed * speed).min(acceleration * stretch.radius),
            twice_acceleration: 2.0 * acceleration,
            corner2,
            shares,
            filament: unit[3],
            x,
            y,
            line: line_number(stretch.line),
            bytes: self.bytes,
            sent: self.sent,
            lines: self.lines,
            purpose,
            tool,
        });
        (self.bytes, self.sent, self.lines) = (0, 0, 0);
    }
}

/// Lines beyond 2³² are told as that.
#[inline(always)]
fn line_number(number: u64) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// The rows of kinematics that are the same everywhere, asked of the formula once for each direction.
fn motors(kinematics: &Kinematics) -> Motors {
    if matches!(kinematics, Kinematics::Delta { .. }) {
        return Motors::Varying(*kinematics);
    }
    let second = match kinematics {
        Kinematics::TwoCarriages {
            moving: Carriages::First,
        } => Kinematics::TwoCarriages {
            moving: Carriages::Second,
        },
        other => *other,
    };
    Motors::Linear([rows(kinematics), rows(&second)])
}

fn rows(kinematics: &Kinematics) -> Rows {
    let along = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
        .map(|unit| shares(kinematics, [0.0; 3], unit).unwrap_or([0.0; MOST_MOTORS]));
    core::array::from_fn(|motor| along.map(|shares| shares[motor]))
}

/// Speed of each motor for a velocity at a place; `None` where the arms do not reach.
fn shares(kinematics: &Kinematics, place: [f64; 3], unit: [f64; 3]) -> Option<[f64; MOST_MOTORS]> {
    let [x, y, z] = place.map(Length::from_base);
    let speeds = kinematics
        .speeds(Place { x, y, z }, unit.map(Velocity::from_base))
        .ok()?;
    let mut out = [0.0; MOST_MOTORS];
    for (share, speed) in out.iter_mut().zip(speeds) {
        *share = speed.base();
    }
    Some(out)
}
