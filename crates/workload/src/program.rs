//! The first stage: words to straight pieces with their limits. It keeps what is modal and where the nozzle stands.

mod arc;
mod emit;
mod set;

use std::io::{self, Read};
use std::sync::Arc;

use quantity::si::Time;

use crate::extent::Extents;
use crate::given::{Rapid, Setup};
use crate::scan::{Code, Fault, Line, Lines, Sink, letters};
use crate::segment::{Batch, Retraction};
use crate::trouble::{Names, Occurrence, Skipped, Troubles};
use crate::vocabulary::{Meaning, Vocabulary};
use emit::Geometry;

/// Farther than this no machine goes: a slip of the point, or garbage.
const FARTHEST: f64 = 100.0;

/// More filament than this is on no reel.
const MOST_FILAMENT: f64 = 1e5;

const AXES: [u8; 4] = *b"XYZE";
const COORDINATES: u32 = letters(b"XYZE");
const PLACE: u32 = letters(b"XYZ");

/// Reads a program and makes pieces of it.
///
/// Hand its batches to a [`crate::Model`] in their order. What was read and could not be used stands in what the model says at the end.
#[derive(Debug)]
pub struct Interpreter<'s> {
    lines: Lines,
    state: State<'s>,
}

/// What was read of one program.
#[derive(Clone, Debug, Default)]
pub(crate) struct Summary {
    pub lines: u64,
    pub bytes: u64,
    /// Lines that had a word which was understood.
    pub understood: u64,
    /// Lines that could not be read.
    pub broken: u64,
    pub troubles: Vec<Occurrence>,
    pub lost: u64,
    /// Words that the controller was not seen to know.
    pub unknown: Vec<Occurrence>,
    /// Words that are known, whose time is not worked out.
    pub unmodelled: Vec<Occurrence>,
    pub extents: Extents,
}

impl<'s> Interpreter<'s> {
    /// At the start of a program: at zero, nothing set.
    #[must_use]
    pub fn new(setup: &'s Setup, words: &'s Vocabulary) -> Self {
        Self {
            lines: Lines::default(),
            state: State::new(setup, words),
        }
    }

    /// Reads once from a source, at most 256 KiB, and adds what it makes to a batch; returns how many bytes came, 0 at the end.
    ///
    /// # Errors
    /// Those of the source.
    pub fn read(&mut self, source: &mut impl Read, batch: &mut Batch) -> io::Result<usize> {
        let mut into = Into {
            state: &mut self.state,
            batch,
        };
        self.lines.read(source, &mut into)
    }

    /// Takes what stands behind the last line end.
    pub fn finish(&mut self, batch: &mut Batch) {
        let mut into = Into {
            state: &mut self.state,
            batch,
        };
        self.lines.finish(&mut into);
        self.state.end(batch);
    }

    /// What was read so far.
    pub(crate) fn summary(&self, file: &Arc<str>) -> Summary {
        let state = &self.state;
        Summary {
            lines: self.lines.count(),
            bytes: state.all_bytes,
            understood: state.understood,
            broken: state.broken,
            troubles: state.troubles.told(file),
            lost: state.troubles.lost(),
            unknown: state.unknown.told(file),
            unmodelled: state.unmodelled.told(file),
            extents: state.geometry.extents,
        }
    }
}

/// What a line goes to.
struct Into<'a, 's> {
    state: &'a mut State<'s>,
    batch: &'a mut Batch,
}

impl Sink for Into<'_, '_> {
    #[inline(always)]
    fn line(&mut self, number: u64, line: &Line) {
        self.state.line(number, line, self.batch);
    }
    fn named(&mut self, number: u64, name: &str, line: &Line) {
        self.state.passed(line);
        if !self.state.ended {
            self.state.unknown.add(number, name);
        }
    }
    fn broken(&mut self, number: u64, fault: Fault) {
        self.state.broken += 1;
        self.state.skip(number, Skipped::Line(fault));
    }
}

/// The motion that a line without a word of motion goes on with.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Motion {
    None,
    Straight { rapid: bool },
    Arc { clockwise: bool },
}

/// All that is modal.
#[derive(Debug)]
struct State<'s> {
    words: &'s Vocabulary,
    rapid: Rapid,
    geometry: Geometry<'s>,
    /// Added to what a program says, to have the place on the machine: x, y, z, filament.
    offset: [f64; 4],
    suspended: [f64; 4],
    /// Metres in one unit of length.
    unit: f64,
    relative: bool,
    filament_relative: bool,
    motion: Motion,
    /// The axis that stands upon the plane of arcs.
    plane: usize,
    /// The feed as it was told, in metres a second; 0 before any was.
    feed: f64,
    speed_factor: f64,
    flow_factor: f64,
    /// Metres of filament in one unit of its length; another one where it is counted by volume.
    volume_area: Option<f64>,
    retraction: Option<Retraction>,
    retracted: bool,
    ended: bool,
    all_bytes: u64,
    understood: u64,
    broken: u64,
    troubles: Troubles,
    unknown: Names,
    unmodelled: Names,
    tools: usize,
    homing: [Option<Time>; 3],
}

impl<'s> State<'s> {
    fn new(setup: &'s Setup, words: &'s Vocabulary) -> Self {
        let machine = &setup.machine;
        let homing = machine
            .axes
            .each_ref()
            .map(|axis| Some(axis.travel? / axis.homing_speed?));
        Self {
            words,
            rapid: machine.rapid,
            geometry: Geometry::new(setup),
            offset: [0.0; 4],
            suspended: [0.0; 4],
            unit: 1e-3,
            relative: false,
            filament_relative: false,
            motion: Motion::None,
            plane: 2,
            feed: 0.0,
            speed_factor: 1.0,
            flow_factor: 1.0,
            volume_area: None,
            retraction: None,
            retracted: false,
            ended: false,
            all_bytes: 0,
            understood: 0,
            broken: 0,
            troubles: Troubles::default(),
            unknown: Names::default(),
            unmodelled: Names::default(),
            tools: setup
                .motors
                .len()
                .saturating_sub(machine.kinematics.motors().len())
                .max(1),
            homing,
        }
    }

    #[cold]
    fn skip(&mut self, number: u64, what: Skipped) {
        if !self.ended {
            self.troubles.add(number, what);
        }
    }

    /// Counts the bytes of a line.
    #[inline(always)]
    fn passed(&mut self, line: &Line) {
        self.all_bytes += u64::from(line.bytes);
        self.geometry.passed(line);
    }

    #[inline(always)]
    fn line(&mut self, number: u64, line: &Line, batch: &mut Batch) {
        self.passed(line);
        // Most lines of a program: one straight move. It is the same as below with all else left out.
        if let [code] = line.commands()
            && let Some(Meaning::Move) = self.words.meaning(*code)
            && line.fault.is_none()
            && !self.ended
        {
            self.note(*code, number);
            self.understood += 1;
            self.motion = Motion::Straight { rapid: false };
            self.set_feed(number, line);
            self.straight(number, line, false, batch);
            return;
        }
        self.any_line(number, line, batch);
    }

    #[inline(never)]
    fn any_line(&mut self, number: u64, line: &Line, batch: &mut Batch) {
        if self.ended {
            if !line.commands().is_empty() {
                self.troubles.add(number, Skipped::BehindEnd);
            }
            return;
        }
        let meaning = |code: &Code| self.words.meaning(*code);
        let understood = line.commands().iter().any(|code| meaning(code).is_some());
        if let Some(fault) = line.fault {
            // Only the words of a command that is understood matter; whose rest is a text is none of ours.
            let matters = line
                .commands()
                .iter()
                .any(|code| meaning(code).is_some_and(|meaning| meaning != Meaning::Nothing));
            if matters {
                self.broken += 1;
                self.troubles.add(number, Skipped::Line(fault));
                return;
            }
        }
        for code in line.commands() {
            self.note(*code, number);
        }
        self.understood += u64::from(understood);
        self.set_feed(number, line);
        if line.has(b'T') && (line.commands().is_empty() || !understood) {
            self.change_tool(number, line);
        }
        // In the order of the report's table 8: what sets comes before what moves, wherever it stands.
        let mut motion = None;
        let mut takes_axes = false;
        for at in 0..line.commands().len() {
            let Some(meaning) = self.words.meaning(line.commands()[at]) else {
                continue;
            };
            match meaning {
                Meaning::Move => motion = Some(Motion::Straight { rapid: false }),
                Meaning::Rapid => motion = Some(Motion::Straight { rapid: true }),
                Meaning::Arc { clockwise } => motion = Some(Motion::Arc { clockwise }),
                Meaning::SetPosition | Meaning::Home => takes_axes = true,
                // Its letters are no coordinates, though some of them look alike.
                Meaning::Sets(_) | Meaning::Nothing | Meaning::Unmodelled | Meaning::Unclear => {
                    takes_axes = true;
                }
                _ => {}
            }
            self.set(meaning, number, line, batch);
        }
        if let Some(motion) = motion {
            self.motion = motion;
        } else if takes_axes || !understood && !line.commands().is_empty() {
            return;
        }
        if motion.is_some() || line.has_any(COORDINATES) {
            self.understood += u64::from(line.commands().is_empty() && self.motion != Motion::None);
            match self.motion {
                Motion::None => {}
                Motion::Straight { rapid } => self.straight(number, line, rapid, batch),
                Motion::Arc { clockwise } => self.arc(number, line, clockwise, batch),
            }
        }
        for at in 0..line.commands().len() {
            if self.words.meaning(line.commands()[at]) == Some(Meaning::End) {
                self.end(batch);
                self.ended = true;
            }
        }
    }

    /// Notes a word that is not known, or whose time is not.
    #[inline(always)]
    fn note(&mut self, code: Code, number: u64) {
        // Moves are asked for so often that the answer is kept.
        if self.geometry.last_known != Some(code) {
            self.note_slowly(code, number);
        }
    }

    #[inline(never)]
    fn note_slowly(&mut self, code: Code, number: u64) {
        if !self.words.knows(code) {
            self.unknown.add(number, &code.to_string());
        } else if self.words.meaning(code) == Some(Meaning::Move) {
            self.geometry.last_known = Some(code);
        }
        if matches!(
            self.words.meaning(code),
            Some(Meaning::Unmodelled | Meaning::WaitForPerson)
        ) {
            self.unmodelled.add(number, &code.to_string());
        }
    }

    #[inline(always)]
    fn set_feed(&mut self, number: u64, line: &Line) {
        if let Some(feed) = line.get(b'F') {
            let feed = feed * self.unit / 60.0;
            if feed > 0.0 {
                self.feed = feed;
            } else if line.has_any(COORDINATES) || line.commands().is_empty() || self.moves(line) {
                self.skip(number, Skipped::Feed);
            }
        }
    }

    fn moves(&self, line: &Line) -> bool {
        let mut meanings = line.commands().iter().map(|code| self.words.meaning(*code));
        meanings.any(|meaning| {
            matches!(
                meaning,
                Some(Meaning::Move | Meaning::Rapid | Meaning::Arc { .. })
            )
        })
    }

    /// The speed that a move asks for.
    #[inline(always)]
    fn speed(&self, rapid: bool) -> f64 {
        // Before any feed is told, a controller uses some of its own: the axes bound it.
        if rapid && self.rapid == Rapid::Fastest || self.feed == 0.0 {
            f64::INFINITY
        } else {
            self.feed * self.speed_factor
        }
    }

    /// Where the coordinates of a line lead, on the machine, with the way of the filament; `None` where that is beyond all machines.
    #[inline(always)]
    fn target(&self, line: &Line) -> Option<([f64; 3], f64)> {
        let mut target = self.geometry.at;
        for axis in 0..3 {
            if let Some(number) = line.get(AXES[axis]) {
                let said = number * self.unit;
                target[axis] = said
                    + if self.relative {
                        target[axis]
                    } else {
                        self.offset[axis]
                    };
            }
        }
        let mut filament = 0.0;
        if let Some(number) = line.get(b'E') {
            let said = number * self.filament_unit();
            let relative = self.relative || self.filament_relative;
            let here = self.geometry.filament;
            filament = if relative {
                said
            } else {
                said + self.offset[3] - here
            };
        }
        let near = target.iter().all(|place| place.abs() <= FARTHEST);
        (near && filament.abs() <= MOST_FILAMENT).then_some((target, filament))
    }

    /// Metres of filament in one unit of an E word.
    #[inline(always)]
    fn filament_unit(&self) -> f64 {
        // By volume: a cube of the unit over the area of the filament.
        match self.volume_area {
            None => self.unit,
            Some(area) => self.unit.powi(3) / area,
        }
    }

    #[inline(always)]
    fn straight(&mut self, number: u64, line: &Line, rapid: bool, batch: &mut Batch) {
        let Some((target, filament)) = self.target(line) else {
            self.skip(number, Skipped::TooFar);
            return;
        };
        self.geometry.learn(line, self.relative);
        let speed = self.speed(rapid);
        let way = (filament, self.flow_factor);
        if !self.geometry.straight(number, target, way, speed, batch) {
            self.skip(number, Skipped::Reach);
        }
    }
}
