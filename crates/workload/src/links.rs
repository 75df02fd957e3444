//! Whether lines come fast enough: a buffer of moves that a link fills and the motion empties.

use quantity::Number as _;
use quantity::si::{Frequency, Time};

use crate::given::Link;
use crate::outcome::{Place, told};

/// A link at work.
#[derive(Clone, Debug)]
pub(crate) struct Flow {
    /// One over the bytes in a second.
    per_byte: f64,
    per_line: f64,
    comments: bool,
    /// When the last so many moves ended, in a ring.
    ends: Vec<f64>,
    next: usize,
    /// When the last line was there.
    arrived: f64,
    /// When the motion so far ends on this link.
    end: f64,
    /// Whether the move under way is the first after a standstill.
    fresh: bool,
    /// Time of the lines themselves, were there no buffer to wait for.
    busy: f64,
    pub dry: Dry,
}

/// How often and how long the buffer was empty while the machine should have moved.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Dry {
    pub count: u64,
    pub time: f64,
    pub first: Option<u64>,
}

impl Flow {
    pub fn new(link: &Link) -> Self {
        let per_byte = 1.0 / link.bytes.base();
        Self {
            per_byte,
            per_line: link.turn_round.base() + f64::from(link.answer) * per_byte,
            comments: link.comments,
            ends: vec![0.0; link.moves_ahead.get()],
            next: 0,
            arrived: 0.0,
            end: 0.0,
            fresh: true,
            busy: 0.0,
            dry: Dry::default(),
        }
    }

    /// The time that lines take on the way.
    #[inline(always)]
    fn cost(&self, lines: u32, bytes: u32, sent: u32) -> f64 {
        let bytes = if self.comments { bytes } else { sent };
        f64::from(bytes) * self.per_byte + f64::from(lines) * self.per_line
    }

    /// A piece; `lines` is 0 for a further piece of the same move.
    #[inline(always)]
    pub fn piece(&mut self, line: u32, lines: u32, bytes: u32, sent: u32, time: f64) {
        if lines > 0 {
            let cost = self.cost(lines, bytes, sent);
            self.busy += cost;
            // There is room for it once the move that stands there has ended.
            let room = self.ends[self.next];
            self.arrived = self.arrived.max(room) + cost;
            let late = self.arrived - self.end;
            if late > 0.0 {
                // Under a microsecond it is the rounding of sums.
                if !self.fresh && late > 1e-6 {
                    self.dry.count += 1;
                    self.dry.time += late;
                    self.dry.first.get_or_insert(u64::from(line));
                }
                self.end = self.arrived;
            }
            self.fresh = false;
        }
        self.end += time;
        if lines > 0 {
            self.next = if self.next + 1 == self.ends.len() {
                0
            } else {
                self.next + 1
            };
        }
        // The slot of the move under way: the one before the next.
        let slot = if self.next == 0 {
            self.ends.len()
        } else {
            self.next
        } - 1;
        self.ends[slot] = self.end;
    }

    /// Lines between moves; the machine stands still for a time.
    pub fn wait(&mut self, lines: u32, bytes: u32, sent: u32, time: f64) {
        let cost = self.cost(lines, bytes, sent);
        self.busy += cost;
        self.arrived += cost;
        self.end = self.end.max(self.arrived) + time;
        self.fresh = true;
    }

    /// Lines that stop nothing.
    pub fn pass(&mut self, lines: u32, bytes: u32, sent: u32) {
        let cost = self.cost(lines, bytes, sent);
        self.busy += cost;
        self.arrived += cost;
    }

    pub fn busy(&self) -> Time {
        Time::from_base(self.busy)
    }
}

/// How a link did over a file.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct LinkUse {
    /// How often the buffer ran dry while the machine should have moved.
    pub dry: u64,
    /// For how long in all.
    #[serde(serialize_with = "told")]
    pub dry_time: Time,
    /// Where first.
    pub first: Option<Place>,
    /// Time of all lines on the way.
    #[serde(serialize_with = "told")]
    pub busy: Time,
    /// The highest rate of bytes over one second that the motion asks for.
    #[serde(serialize_with = "told")]
    pub peak_bytes: Frequency,
}
