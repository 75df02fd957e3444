//! The second stage: pieces and events to times, rates, flow and power, as the machine runs through them.

mod rates;

use std::collections::VecDeque;
use std::sync::Arc;

use quantity::Number as _;
use quantity::si::{Energy, Frequency, Length, Time, Volume};

use crate::given::Setup;
use crate::heat::{Heating, area};
use crate::links::{Flow, LinkUse};
use crate::look_ahead::{LookAhead, Profile};
use crate::outcome::{Course, FlowUse, HeatUse, HeaterUse, Peak, Place, Times, Work};
use crate::program::Interpreter;
use crate::segment::{Batch, Event, Purpose, Segment, Wait, What};
use crate::track::{Bin, Map, TimeLine};
use rates::Rates;

/// What is looked at together: moves and flow in one second.
const TICK: f64 = 1.0;

/// A standstill or a slow move is passed in at most so many steps.
const MOST_STEPS: f64 = 64.0;

/// A print of more seconds than this, eleven days, is passed in longer and longer steps: whatever is told, it ends.
const LONG: f64 = 1e6;

/// Takes batches of one program in their order, and says at the end what they ask for.
#[derive(Debug)]
pub struct Model<'s> {
    ahead: LookAhead,
    /// Pieces taken so far.
    taken: u64,
    run: Run<'s>,
}

impl<'s> Model<'s> {
    /// For one program.
    #[must_use]
    pub fn new(setup: &'s Setup) -> Self {
        Self {
            ahead: LookAhead::new(setup.machine.look_ahead.map(core::num::NonZero::get)),
            taken: 0,
            run: Run::new(setup),
        }
    }

    /// Takes the next batch.
    pub fn take(&mut self, batch: &Batch) {
        let Self { ahead, taken, run } = self;
        let mut from = 0;
        let mut take = |segments: &[Segment], ahead: &mut LookAhead, run: &mut Run<'s>| {
            for segment in segments {
                ahead.push(segment, &mut |segment, begin2, end2| {
                    run.piece(segment, begin2, end2);
                });
            }
            *taken += segments.len() as u64;
        };
        for (place, event) in &batch.events {
            let place = *place as usize;
            take(&batch.segments[from..place], ahead, run);
            from = place;
            if stops(&event.what) {
                ahead.stop(&mut |segment, begin2, end2| run.piece(segment, begin2, end2));
                run.settle();
                run.event(event);
            } else {
                run.waiting.push_back((run.done + ahead.waiting() as u64, *event));
            }
        }
        take(&batch.segments[from..], ahead, run);
    }

    /// What the program asks for, and what a picture of it is drawn from.
    #[must_use]
    pub fn finish(mut self, name: &str, interpreter: &Interpreter<'_>) -> (Work, Course) {
        let run = &mut self.run;
        self.ahead
            .stop(&mut |segment, begin2, end2| run.piece(segment, begin2, end2));
        self.run.finish(name, interpreter)
    }
}

/// Whether the machine stands still for it.
fn stops(what: &What) -> bool {
    !matches!(what, What::Fan { .. } | What::Target { wait: Wait::No, .. })
}

/// The machine as it runs.
#[derive(Debug)]
struct Run<'s> {
    setup: &'s Setup,
    /// Events that stop nothing, each before the piece of that number.
    waiting: VecDeque<(u64, Event)>,
    /// Pieces run so far.
    done: u64,
    /// Speed at the end of the last piece, with its square.
    end: f64,
    end2: f64,
    now: f64,
    moving: [f64; 3],
    lengths: [f64; 3],
    phases: [f64; 3],
    homing: f64,
    dwell: f64,
    heating_time: f64,
    unknown_stops: u64,
    moves: u64,
    rates: Rates,
    filament_area: f64,
    volume: f64,
    peak_flow: (f64, u32),
    tick: Tick,
    peak_second: (f64, u32),
    peak_moves: (f64, u32),
    peak_lines: (f64, u32),
    links: Vec<(Flow, f64)>,
    heating: Heating<'s>,
    time_line: TimeLine,
    map: Map,
}

/// What happened in the second under way.
#[derive(Clone, Copy, Debug, Default)]
struct Tick {
    time: f64,
    volume: f64,
    rate: f64,
    moves: u32,
    lines: u32,
    bytes: u32,
    sent: u32,
    /// The line that it began with.
    line: u32,
    tool: u8,
}

impl<'s> Run<'s> {
    fn new(setup: &'s Setup) -> Self {
        Self {
            setup,
            waiting: VecDeque::new(),
            done: 0,
            end: 0.0,
            end2: 0.0,
            now: 0.0,
            moving: [0.0; 3],
            lengths: [0.0; 3],
            phases: [0.0; 3],
            homing: 0.0,
            dwell: 0.0,
            heating_time: 0.0,
            unknown_stops: 0,
            moves: 0,
            rates: Rates::new(setup),
            filament_area: area(setup.machine.filament.diameter.base()),
            volume: 0.0,
            peak_flow: (0.0, 0),
            tick: Tick::default(),
            peak_second: (0.0, 0),
            peak_moves: (0.0, 0),
            peak_lines: (0.0, 0),
            links: setup.links.iter().map(|link| (Flow::new(link), 0.0)).collect(),
            heating: Heating::new(setup),
            time_line: TimeLine::default(),
            map: Map::default(),
        }
    }

    #[inline(always)]
    fn piece(&mut self, segment: &Segment, begin2: f64, end2: f64) {
        while let Some((place, event)) = self.waiting.front()
            && *place <= self.done
        {
            let event = *event;
            self.waiting.pop_front();
            self.event(&event);
        }
        self.done += 1;
        let begin = if begin2 == self.end2 {
            self.end
        } else {
            begin2.sqrt()
        };
        let profile = Profile::of(segment, begin, begin2, end2);
        (self.end, self.end2) = (profile.end, end2);
        let time = profile.time();
        let purpose = segment.purpose as usize;
        self.moving[purpose] += time;
        self.lengths[purpose] += segment.length;
        self.phases[0] += profile.up;
        self.phases[1] += profile.even;
        self.phases[2] += profile.down;
        let rate = self.rates.add(segment, &profile);
        self.map.go(segment.x, segment.y, rate);
        let flow = segment.filament.max(0.0) * self.filament_area;
        if segment.purpose == Purpose::Printing && flow * profile.peak > self.peak_flow.0 {
            self.peak_flow = (flow * profile.peak, segment.line);
        }
        for (link, _) in &mut self.links {
            link.piece(segment.line, segment.lines, segment.bytes, segment.sent, time);
        }
        // Lines between pieces count with the next piece, but only one move.
        let tick = &mut self.tick;
        tick.moves += u32::from(segment.lines > 0);
        tick.lines += segment.lines;
        tick.bytes += segment.bytes;
        tick.sent += segment.sent;
        tick.tool = segment.tool;
        self.moves += u64::from(segment.lines > 0);
        self.pass(time, flow * segment.length, rate, segment.line);
    }

    /// All events that wait for pieces which have run.
    fn settle(&mut self) {
        while let Some((_, event)) = self.waiting.pop_front() {
            self.event(&event);
        }
    }

    /// Lets time pass while a volume flows and motors step.
    #[inline(always)]
    fn pass(&mut self, time: f64, volume: f64, rate: f64, line: u32) {
        self.volume += volume;
        if self.tick.time == 0.0 {
            self.tick.line = line;
        }
        self.tick.rate = self.tick.rate.max(rate);
        if self.tick.time + time < TICK {
            self.tick.time += time;
            self.tick.volume += volume;
            return;
        }
        self.pass_ticks(time, volume, rate, line);
    }

    #[inline(never)]
    fn pass_ticks(&mut self, time: f64, volume: f64, rate: f64, line: u32) {
        if !time.is_finite() {
            return;
        }
        let tool = self.tick.tool;
        let whole = (time / MOST_STEPS).max(self.now / LONG).max(TICK);
        let mut left = time;
        while left > 0.0 {
            let step = (whole - self.tick.time).min(left);
            self.tick.time += step;
            self.tick.volume += volume * (step / time);
            left -= step;
            if self.tick.time < whole * (1.0 - 1e-12) {
                return;
            }
            self.close();
            // What goes on goes on in the next one.
            self.tick = Tick {
                line,
                tool,
                rate: if left > 0.0 { rate } else { 0.0 },
                ..Tick::default()
            };
        }
    }

    /// Ends the second under way.
    fn close(&mut self) {
        let tick = core::mem::take(&mut self.tick);
        if tick.time <= 0.0 {
            return;
        }
        let higher = |peak: &mut (f64, u32), value: f64| {
            if value > peak.0 {
                *peak = (value, tick.line);
            }
        };
        // What is left at the end is no second, and says nothing about one.
        let per = tick.time.max(TICK);
        higher(&mut self.peak_second, tick.volume / per);
        higher(&mut self.peak_moves, f64::from(tick.moves) / per);
        higher(&mut self.peak_lines, f64::from(tick.lines) / per);
        for (link, (_, peak)) in self.setup.links.iter().zip(&mut self.links) {
            let bytes = if link.comments { tick.bytes } else { tick.sent };
            *peak = peak.max(f64::from(bytes) / per);
        }
        let tool = usize::from(tick.tool);
        let power = self
            .heating
            .pass(tick.time, (tick.volume, tool), self.now, u64::from(tick.line));
        self.time_line.add(
            self.now,
            &Bin {
                time: tick.time,
                rate: tick.rate,
                volume: tick.volume,
                heater_energy: power * tick.time,
                fan_energy: self.heating.fan_power() * tick.time,
                moves: u64::from(tick.moves),
            },
        );
        self.now += tick.time;
    }

    fn event(&mut self, event: &Event) {
        self.tick.lines += event.lines;
        self.tick.bytes += event.bytes;
        self.tick.sent += event.sent;
        if stops(&event.what) {
            (self.end, self.end2) = (0.0, 0.0);
        } else {
            for (link, _) in &mut self.links {
                link.pass(event.lines, event.bytes, event.sent);
            }
        }
        let before = self.now + self.tick.time;
        match event.what {
            What::Fan { number, share } => {
                // What was is over: a change within a second would count for all of it.
                self.close();
                self.heating.fan(number, share);
            }
            What::Target { zone, target, wait } => {
                self.close();
                match self.heating.target(zone, target) {
                    Some(heater) if wait != Wait::No => self.wait(&[heater], wait, event.line),
                    None if wait != Wait::No => self.unknown_stops += 1,
                    _ => {}
                }
            }
            What::WaitForHeat => {
                let all: Vec<usize> = (0..self.heating.count()).collect();
                self.wait(&all, Wait::Heating, event.line);
            }
            What::Dwell(time) => {
                self.dwell += time.base();
                self.pass(time.base(), 0.0, 0.0, event.line);
            }
            What::Home(Some(time)) => {
                self.homing += time.base();
                self.pass(time.base(), 0.0, 0.0, event.line);
            }
            What::Home(None) | What::Pause => self.unknown_stops += 1,
            What::Stop => {}
        }
        if stops(&event.what) {
            let time = self.now + self.tick.time - before;
            for (link, _) in &mut self.links {
                link.wait(event.lines, event.bytes, event.sent, time);
            }
        }
    }

    /// Waits until heaters are there.
    fn wait(&mut self, heaters: &[usize], wait: Wait, line: u32) {
        let (known, unknown): (Vec<usize>, Vec<usize>) =
            heaters.iter().partition(|heater| self.heating.is_known(**heater));
        if !unknown.is_empty() {
            self.unknown_stops += 1;
        }
        let longest = self.setup.heat.longest_wait.base();
        let mut waited = 0.0;
        while known.iter().any(|heater| !self.heating.is_there(*heater, wait)) {
            if waited >= longest {
                self.heating.out_of_reach.0 += 1;
                self.heating.out_of_reach.1.get_or_insert(u64::from(line));
                break;
            }
            self.close();
            self.pass(TICK, 0.0, 0.0, line);
            waited += TICK;
        }
        self.heating_time += waited;
    }

    fn finish(mut self, name: &str, interpreter: &Interpreter<'_>) -> (Work, Course) {
        self.settle();
        self.close();
        let name: Arc<str> = name.into();
        let summary = interpreter.summary(&name);
        let course = Course {
            time_line: self.time_line.told(),
            seen_from_above: self.map.told(),
        };
        let (motors, boards) = self.rates.told(&name, self.setup);
        let time = |seconds: f64| Time::from_base(seconds);
        let work = Work {
            programs: 1,
            bytes: summary.bytes,
            lines: summary.lines,
            understood: summary.understood,
            broken: summary.broken,
            moves: self.moves,
            pieces: self.done,
            times: Times {
                moving: self.moving.map(Time::from_base),
                speeding_up: time(self.phases[0]),
                even: time(self.phases[1]),
                slowing_down: time(self.phases[2]),
                homing: time(self.homing),
                dwell: time(self.dwell),
                heating: time(self.heating_time),
            },
            lengths: self.lengths.map(Length::from_base),
            unknown_stops: self.unknown_stops,
            motors,
            boards,
            links: self.links.iter().map(|link| link_use(link, &name)).collect(),
            peak_moves: peak(self.peak_moves, &name),
            peak_lines: peak(self.peak_lines, &name),
            flow: FlowUse {
                peak: peak(self.peak_flow, &name),
                second: peak(self.peak_second, &name),
                volume: Volume::from_base(self.volume),
            },
            heat: heat_use(&self.heating, &name),
            farthest: [(); 3].map(|()| [name.clone(), name.clone()]),
            extents: summary.extents,
            unknown_words: summary.unknown,
            unmodelled_words: summary.unmodelled,
            troubles: summary.troubles,
            lost: summary.lost,
            name,
        };
        (work, course)
    }
}

fn peak<Q: quantity::Number>((value, line): (f64, u32), name: &Arc<str>) -> Peak<Q> {
    Peak::of(value, u64::from(line), name)
}

fn link_use((link, peak_bytes): &(Flow, f64), name: &Arc<str>) -> LinkUse {
    LinkUse {
        dry: link.dry.count,
        dry_time: Time::from_base(link.dry.time),
        first: link.dry.first.map(|line| Place {
            file: name.clone(),
            line,
        }),
        busy: link.busy(),
        peak_bytes: Frequency::from_base(*peak_bytes),
    }
}

fn heat_use(heating: &Heating<'_>, name: &Arc<str>) -> HeatUse {
    let place = |line: u64| Place {
        file: name.clone(),
        line,
    };
    HeatUse {
        heaters: heating
            .sums()
            .into_iter()
            .map(|sum| HeaterUse {
                energy: Energy::from_base(sum.energy),
                hold: Peak::of(sum.hold.0, sum.hold.1, name),
            })
            .collect(),
        fans: heating
            .fans
            .iter()
            .map(|(_, energy)| Energy::from_base(*energy))
            .collect(),
        peak: Peak::of(heating.peak.0, heating.peak.1, name),
        over: Time::from_base(heating.over.0),
        first_over: heating
            .over
            .1
            .map(|(time, line)| (Time::from_base(time), place(line))),
        out_of_reach: heating.out_of_reach.0,
        first_out_of_reach: heating.out_of_reach.1.map(place),
    }
}
