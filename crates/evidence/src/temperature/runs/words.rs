//! Several logs of one part, told.

use quantity::si::ratio;
use quantity::{AnyValue, Number as _, Value, rounded};

use super::Runs;
use crate::Refused;
use crate::report::{Figure, Report, Table, Verdict};
use crate::temperature::words::{controllers, text, told};

pub(super) fn too_few(told: usize) -> Refused {
    Refused::new(
        format!("{told} of the logs show a process: runs are compared from two on"),
        "log the part again, from cold",
    )
}

/// From this difference of powers on, the gain of each is said.
const OTHER_POWER: f64 = 1.2;

impl Runs {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let next = &self.next;
        let mut figures = vec![
            Figure::with_interval("gain-next", "rise at full power, in the next run", next.gain),
            Figure::with_interval("lag-next", "larger time constant, in the next run", next.lag),
        ];
        figures.extend(next.second_lag.map(|lag| {
            Figure::with_interval("second-lag-next", "smaller time constant, in the next run", lag)
        }));
        figures.push(Figure::with_interval(
            "delay-next",
            "dead time, in the next run",
            next.delay,
        ));
        let share =
            |id, what: &str, share: f64| Figure::plain(id, what, AnyValue::from(Value::exact(ratio(share))));
        figures.push(share(
            "spread",
            "standard deviation of the gain from run to run",
            self.spread[0],
        ));
        figures.push(share(
            "noise-of-a-log",
            "standard deviation of the gain by the noise of one log",
            self.spread[1],
        ));
        let controllers = (!self.proposals.is_empty()).then(|| controllers(&self.proposals));
        Report {
            title: match &self.name[..] {
                "" => "Runs side by side".to_owned(),
                name => format!("Runs of the {name} side by side"),
            },
            verdict: Verdict::Result,
            sentence: self.sentence(),
            figures,
            advice: Vec::new(),
            tables: [self.table()].into_iter().chain(controllers).collect(),
            pictures: Vec::new(),
            troubles: Vec::new(),
            sources: vec!["common-practice"],
        }
    }

    fn sentence(&self) -> String {
        let gain = &self.next.gain;
        let differ = match self.by_noise < 0.05 {
            true => "more than the noise of the logs explains",
            false => "no more than the noise of the logs explains",
        };
        let [spread, noise] = self.spread.map(|share| share * 100.0);
        let by_power = self
            .by_power()
            .map_or_else(String::new, |words| format!(" {words}"));
        format!(
            "Over {} runs full power raises it by {}, in the next run by {} to {}. Runs differ by {spread:.1} % (standard deviation), \
             {differ} ({noise:.1} %).{by_power}",
            self.logs.len(),
            told(gain),
            text(gain.low()),
            text(gain.high()),
        )
    }

    /// The gain at the smallest and the largest power, where logs have different ones.
    fn by_power(&self) -> Option<String> {
        let mut each: Vec<(f64, f64)> = self
            .logs
            .iter()
            .filter_map(|log| {
                let power = log.process.full_power?.base();
                Some((power, log.process.gain.nominal().base() / power))
            })
            .collect();
        each.sort_by(|one, other| one.0.total_cmp(&other.0));
        let (least, most) = (each.first()?, each.last()?);
        (most.0 > OTHER_POWER * least.0 && self.by_noise < 0.05).then(|| {
            format!(
                "The gain is not constant: {} K/W at {} W, {} K/W at {} W.",
                rounded(least.1),
                rounded(least.0),
                rounded(most.1),
                rounded(most.0)
            )
        })
    }

    fn table(&self) -> Table {
        let columns = [
            "log",
            "rise at full power",
            "larger time constant",
            "smaller time constant",
            "dead time",
            "predicted from another run: off by, rms",
            "readings within that interval",
        ];
        let rows = self.logs.iter().map(|log| {
            let process = &log.process;
            let time = |time: &Value<quantity::si::Time>| told(time);
            vec![
                log.name.clone(),
                told(&process.gain),
                time(&process.lag),
                process
                    .second_lag
                    .map_or_else(|| "–".to_owned(), |lag| time(&lag)),
                time(&process.delay),
                text(log.foretold.off),
                format!("{:.0} %", log.foretold.within * 100.0),
            ]
        });
        Table::of("Each log by itself", &columns, rows)
    }
}
