//! Two boards side by side told.

use quantity::si::TemperatureInterval;
use quantity::{Number as _, rounded};

use super::{Compared, Comparison, Difference, Shown};
use crate::report::{Advice, Figure, Picture, Plot, Report, Series, Table, Verdict};
use crate::{Refused, Trouble};

pub(super) fn no_soak(board: &str, refused: &Refused) -> Refused {
    Refused::new(
        format!("the log of {board} cannot be compared: {}", refused.problem),
        refused.mend.clone(),
    )
}

pub(super) fn scale_in_doubt(board: &str) -> Refused {
    Refused::new(
        format!("the log of {board} cannot be compared: it names no unit of temperature"),
        "write the unit in the head of the column, or state `scale`",
    )
}

pub(super) fn other_target([one, two]: [f64; 2]) -> Trouble {
    Trouble::of_all(format!(
        "the targets differ ({one:.0} °C and {two:.0} °C): noise in kelvin depends on the temperature"
    ))
}

impl Comparison {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        Report {
            title: self.title(),
            verdict: self.verdict(),
            sentence: self.sentence(),
            figures: self.figures(),
            advice: self.advice(),
            tables: vec![self.table()],
            pictures: vec![Picture::Plot(self.plot())],
            troubles: self.troubles.clone(),
            sources: vec![
                "politis-romano-1992",
                "nist-handbook",
                "davison-hinkley-1997",
                "kuensch-1989",
                "geyer-1992",
            ],
        }
    }

    fn title(&self) -> String {
        let [first, second] = &self.boards;
        let of = if self.name.is_empty() {
            String::new()
        } else {
            format!(" of the {}", self.name)
        };
        format!("Temperature{of}: {first} and {second}")
    }

    fn sentence(&self) -> String {
        let [first, second] = &self.boards;
        let Some(main) = self.main() else {
            return String::new();
        };
        let [one, two] = main.values;
        let (better, worse) = match main.of {
            Compared::Width => ("steadier", "less steadily"),
            _ => ("nearer to its target", "less near to its target"),
        };
        let said = match (main.shown, two < one) {
            (Shown::Different, true) => format!("{second} holds it {better} than {first}"),
            (Shown::Different, false) => format!("{second} holds it {worse} than {first}"),
            (Shown::Equal, _) => format!(
                "{first} and {second} are equal within {}",
                size(self.equal_within)
            ),
            (Shown::NotShownToDiffer | Shown::NoSpread, _) => {
                format!("{first} and {second} are not shown to differ; longer logs would decide")
            }
        };
        let what = format!("the {}", main.what());
        let (one, two) = (size(one), size(two));
        format!(
            "{said}: {what} is {one} on {first}, {two} on {second}.{}",
            self.but()
        )
    }

    /// What differs besides the quantity that decides: no sentence may contradict its own table.
    fn but(&self) -> String {
        let main = self.main().map(|own| own.of);
        let others = self.differences.iter().filter(|own| Some(own.of) != main);
        let differ = others.filter(|own| own.shown == Shown::Different);
        let said: Vec<&str> = differ.map(Difference::what).collect();
        match &said[..] {
            [] => String::new(),
            [one] => format!(" The {one} differs, too."),
            several => format!(" These differ, too: {}.", several.join("; ")),
        }
    }

    fn figures(&self) -> Vec<Figure> {
        let [first, second] = &self.boards;
        let figure = |own: &Difference| {
            let what = format!("{}, {second} less {first}", own.what());
            Some(Figure::with_interval(own.of.id(), what, own.difference?))
        };
        self.differences.iter().filter_map(figure).collect()
    }

    fn advice(&self) -> Vec<Advice> {
        let longer = "a soak of half an hour on each board, on the same day, at the same target";
        let unclear = self.verdict() == Verdict::Open;
        unclear.then(|| Advice::helps(longer)).into_iter().collect()
    }

    fn table(&self) -> Table {
        let [first, second] = &self.boards;
        let rows = self.differences.iter().map(|own| {
            let [one, two] = own.values.map(size);
            vec![own.what().to_owned(), one, two, self.shown(own.shown)]
        });
        Table::of("Side by side", &["what", first, second, "shown"], rows)
    }

    fn shown(&self, shown: Shown) -> String {
        match shown {
            Shown::Different => "different".to_owned(),
            Shown::Equal => format!("equal within {}", size(self.equal_within)),
            Shown::NotShownToDiffer => "not shown to differ".to_owned(),
            Shown::NoSpread => {
                "not told: one heat-up on a board tells no spread; log three or more on each".to_owned()
            }
        }
    }

    fn plot(&self) -> Plot {
        let boards = self.boards.iter().zip(&self.readings);
        let series = boards.map(|(board, points)| Series::line(board, points.iter().copied()));
        Plot::new(
            "Start of the soaks, around their means",
            ["time, s", "reading less mean, K"],
            series.collect(),
        )
    }
}

impl Difference {
    fn what(&self) -> &'static str {
        match (self.of, self.shown) {
            (Compared::Farthest, _) => "distance from the target that 99 % of the readings keep",
            (Compared::Deviation, _) => "standard deviation of the reading",
            (Compared::Width, _) => "width of the band with 99 % of the readings",
            (Compared::Noise, _) => "white noise of sensor and input",
            (Compared::Overshoot, Shown::NoSpread) => "overshoot after the heat-up",
            (Compared::Overshoot, _) => "overshoot, mean of the heat-ups",
        }
    }
}

fn size(value: TemperatureInterval) -> String {
    format!("{} K", rounded(value.base()))
}
