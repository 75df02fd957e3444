//! Parts of a log put together: time in order, duties as shares, what is empty or doubled left out.

use quantity::Number as _;
use quantity::Value;
use quantity::si::watt;

use super::order::order;
use super::samples::Samples;
use super::{Channel, Layout, Log, Part};
use crate::Refused;
use crate::known::largest;
use crate::read::scale::HOTTEST;
use crate::read::troubles::Troubles;

/// Fewer samples than this say nothing.
const FEWEST: usize = 3;

impl Layout {
    /// Puts parts together, in their order, and time in order.
    ///
    /// # Errors
    /// [`Refused`] where there is no time, fewer than three samples, or no channel with numbers.
    pub fn join(&self, parts: Vec<Part>) -> Result<Log, Refused> {
        let Part {
            mut samples,
            chatter,
            clock,
            mut troubles,
            ..
        } = together(parts);
        for remark in &self.remarks {
            troubles.of_all(remark);
        }
        tell_chatter(chatter, &mut troubles);
        self.without_stamps(&mut samples, &mut troubles)?;
        drop_empty(&mut samples, &mut troubles);
        let count = samples.time.len();
        if count < FEWEST || samples.channels.is_empty() {
            let refused = Refused::new(
                format!("{count} samples with time and temperature: too few to say anything"),
                match troubles.lines() {
                    0 => "log at least some minutes, from cold to held".to_owned(),
                    unread => {
                        format!("mend the {unread} lines that could not be read, which are listed here")
                    }
                },
            );
            return Err(refused.because_of(troubles.into_inner()));
        }
        let starts = order(&mut samples, clock, &mut troubles);
        let first = samples.time[0];
        if first != 0.0 {
            samples.time.iter_mut().for_each(|time| *time -= first);
        }
        for channel in &mut samples.channels {
            self.scale(channel, &mut troubles);
        }
        Ok(Log {
            time: samples.time,
            channels: samples.channels,
            starts,
            troubles: troubles.into_inner(),
        })
    }

    /// Gives samples without a stamp the time that is known to lie between them.
    fn without_stamps(&self, samples: &mut Samples, troubles: &mut Troubles) -> Result<(), Refused> {
        let missing = samples.time.iter().filter(|time| time.is_nan()).count();
        if missing == 0 {
            return Ok(());
        }
        if missing < samples.time.len() {
            drop_without_stamp(samples);
            troubles.of_all(format!("{missing} samples without a time stamp were left out"));
            return Ok(());
        }
        let known = self.known.interval.map(|interval| interval.base());
        let Some(interval) = known.filter(|interval| *interval > 0.0) else {
            let refused = Refused::new(
                "the log has no time stamps",
                "state the time between its reports, such as `interval = \"1 s\"`, or log with time stamps",
            );
            return Err(refused.because_of(std::mem::take(troubles).into_inner()));
        };
        for (at, time) in samples.time.iter_mut().enumerate() {
            *time = at as f64 * interval;
        }
        troubles.of_all(format!(
            "the log has no time stamps: reports were taken as {interval} s apart"
        ));
        Ok(())
    }

    /// Duties as shares of full power, and whether the scale of temperature is told.
    fn scale(&self, channel: &mut Channel, troubles: &mut Troubles) {
        let own = self.channels.iter().find(|own| own.name == channel.name);
        let full = own.and_then(|own| own.full_duty).or(self.known.full_duty);
        match own.and_then(|own| own.watts) {
            Some(watts) => scale_power(channel, watts, self.known.full_duty, troubles),
            None => scale_duty(channel, full, troubles),
        }
        channel.scale_is_told = self.known.scale.is_some() || own.is_some_and(|own| own.scale_is_told);
        tell_hot(channel, troubles);
    }
}

fn together(parts: Vec<Part>) -> Part {
    let mut parts = parts.into_iter();
    let mut all = parts.next().unwrap_or_default();
    for part in parts {
        all.append(part);
    }
    all
}

fn tell_chatter(chatter: u64, troubles: &mut Troubles) {
    match chatter {
        0 => {}
        1 => troubles.of_all("1 line without a temperature was passed over"),
        more => troubles.of_all(format!("{more} lines without a temperature were passed over")),
    }
}

fn drop_without_stamp(samples: &mut Samples) {
    let time = std::mem::take(&mut samples.time);
    samples.time = vec![0.0; time.len()];
    let mut kept = 0;
    for (at, time) in time.iter().enumerate().filter(|(_, time)| !time.is_nan()) {
        samples.keep(at, kept, *time);
        kept += 1;
    }
    samples.truncate(kept);
}

/// Heaters without a single number are not in the log, and one that only repeats another is not a second one.
fn drop_empty(samples: &mut Samples, troubles: &mut Troubles) {
    let channels = &mut samples.channels;
    channels.retain(|channel| channel.measured.iter().any(|value| value.is_finite()));
    let mut at = 1;
    while at < channels.len() {
        let twin = (0..at).find(|first| channels[*first].measures_the_same(&channels[at]));
        if let Some(first) = twin {
            let dropped = channels.remove(at);
            troubles.of_all(format!(
                "`{}` says the same as `{}` throughout and was left out",
                dropped.name, channels[first].name
            ));
        } else {
            at += 1;
        }
    }
}

/// `full` is the number for full duty, where file or caller tell it.
fn scale_duty(channel: &mut Channel, full: Option<f64>, troubles: &mut Troubles) {
    let Some(duty) = &mut channel.duty else { return };
    let most = largest(duty).max(0.0);
    if full.is_none() && most > 1.0 && most < 100.0 && !stays_at_its_largest(duty, most) {
        troubles.of_all(format!(
            "the log does not say what it writes for full duty: per cent were taken, of which it reaches {most}; \
             state `full_duty` if it is another number"
        ));
        duty.iter_mut().for_each(|value| *value /= 100.0);
        return;
    }
    // Driven by hand it need not have been at its limit: whole numbers above 100 are counts of a timer.
    let counts = full.is_none()
        && most > 100.0
        && !stays_at_its_largest(duty, most)
        && !is_switched(duty, most)
        && duty.iter().all(|value| value.is_nan() || value.fract() == 0.0);
    let timer = TIMERS.iter().copied().find(|timer| counts && most <= *timer);
    if let Some(timer) = timer {
        troubles.of_all(format!(
            "the log does not say what it writes for full duty: {timer} was taken, since it writes whole numbers up to {most}; \
             state `full_duty` if it is another one"
        ));
        duty.iter_mut().for_each(|value| *value /= timer);
        return;
    }
    if full.is_none() && most > 1.0 && most != 100.0 {
        troubles.of_all(format!(
            "the log does not say what it writes for full duty: {most}, its largest value, was taken; \
             state `full_duty` if it is another one"
        ));
    }
    #[expect(
        clippy::cast_possible_truncation,
        reason = "duties are stored in single precision"
    )]
    let full = full.map_or(if most <= 1.0 { 1.0 } else { most }, |full| full as f32);
    for value in duty {
        *value /= full;
    }
}

/// Powers as shares of the full one: that which the caller states, else the largest.
fn scale_power(channel: &mut Channel, watts: f64, full: Option<f64>, troubles: &mut Troubles) {
    let Some(duty) = &mut channel.duty else { return };
    let most = f64::from(largest(duty).max(0.0));
    let full = full.unwrap_or(most);
    if !(full > 0.0) {
        return;
    }
    troubles.of_all(format!(
        "the log tells powers: full power means {} here, {}",
        Value::exact(watt((full * watts * 1e3).round() / 1e3)),
        if full == most {
            "the largest in it"
        } else {
            "as stated"
        }
    ));
    channel.full_power = Some(watt(full * watts));
    for value in duty {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "duties are stored in single precision"
        )]
        let share = (f64::from(*value) / full) as f32;
        *value = share;
    }
}

/// Whether a duty looks like that of a control that was at its limit for a while: many different values, and a run of the largest.
fn stays_at_its_largest(duty: &[f32], most: f32) -> bool {
    let at_most = duty.iter().filter(|value| **value == most).count();
    let mut different = Vec::new();
    for value in duty.iter().map(|value| value.to_bits()) {
        if different.len() <= MANY_VALUES && !different.contains(&value) {
            different.push(value);
        }
    }
    different.len() > MANY_VALUES && at_most >= RUN.max(duty.len() / 100)
}

/// Full duty of timers of 8, 10, 12 and 16 bits.
const TIMERS: [f32; 4] = [255.0, 1_023.0, 4_095.0, 65_535.0];

/// Whether a duty goes from nothing to its largest again and again, as a switch with a dead band has it.
fn is_switched(duty: &[f32], most: f32) -> bool {
    duty.windows(2)
        .filter(|two| two[0] == 0.0 && two[1] == most)
        .count()
        >= 3
}

/// More values than steps by hand have, and fewer samples than a heat-up at the limit; common practice, no source.
const MANY_VALUES: usize = 12;
const RUN: usize = 5;

/// A temperature that no part of such a machine has, if it is meant in degrees Celsius.
fn tell_hot(channel: &Channel, troubles: &mut Troubles) {
    let most = largest(&channel.measured);
    if most > HOTTEST && !channel.scale_is_told {
        troubles.of_all(format!(
            "temperatures up to {most:.0} °C: if the log is in degrees Fahrenheit, state `scale = \"°F\"`"
        ));
    }
}
