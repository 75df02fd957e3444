//! The power of the supply while everything heats up from cold, against its rating.

use drawing::{Along, Mark, Plot, Series};
use plan::heat_up::{Course, HeatUp, rating};
use quantity::si::Power;
use quantity::{Number, Value};

use super::Picture;
use crate::shown::Shown;
use crate::words::brief;

/// A course of power that takes longer than this is drawn in minutes.
const IN_MINUTES_S: f64 = 600.0;

/// What is drawn.
pub(crate) struct Courses {
    worst: Course,
    nominal: Course,
    turns: Course,
    rated: Value<Power>,
    /// What the supply may give for long.
    level: Value<Power>,
    /// The heaters, the strongest first.
    heaters: Vec<String>,
}

impl Courses {
    /// The courses of a plan; `None` where there is no supply or no heater of which enough is known.
    pub fn of(facts: &plan::WholeFacts<'_>) -> Option<Self> {
        let rated = rating(facts.swap)?;
        let heat_up = HeatUp::of(facts);
        let heaters = heat_up.names();
        (!heaters.is_empty()).then(|| Self {
            worst: heat_up.worst(),
            nominal: heat_up.nominal(),
            turns: heat_up.in_turns(),
            rated,
            level: facts.limits().supply_continuous_share.value * rated,
            heaters,
        })
    }

    /// What it shows, in sentences.
    pub fn words(&self) -> String {
        let together = format!(
            "Everything at once takes up to {} at the worst corner (strongest heaters, most to warm, motors holding still), {} with nominal figures; \
             the supply may give {}, for long {}. ",
            brief(self.worst.peak()),
            brief(self.nominal.peak()),
            brief(self.rated.low()),
            brief(self.level.low())
        );
        let above = self.worst.above(self.level.low());
        let above = if self.worst.stays_above(self.level.low()) {
            "Once all is warm it still gives more than that. ".to_owned()
        } else if above.base() > 0.0 {
            format!("It gives more than that for up to {}. ", brief(above))
        } else {
            String::new()
        };
        let done = |course: &Course| {
            course.done.map_or_else(
                || "not within two hours".to_owned(),
                |done| format!("after {}", brief(done)),
            )
        };
        let turns = if self.heaters.len() > 1 {
            format!(
                "One after the other, {} first, the peak is {}; all are then warm {} instead of {}. ",
                self.heaters[0],
                brief(self.turns.peak()),
                done(&self.turns),
                done(&self.worst)
            )
        } else {
            String::new()
        };
        format!(
            "{together}{above}{turns}A heater that is warm counts with the mean of its pulses; in a pulse it still takes all it can."
        )
    }
}

/// The title without what is made up.
pub(crate) const TITLE: &str = "The supply while all heats up from cold";

/// The picture, where there is anything to draw.
pub(super) fn picture(shown: &Shown<'_>) -> Option<Picture> {
    let courses = shown.heat_up.as_ref()?;
    Some(Picture::of(
        "heat-up",
        TITLE,
        |prefix| plot(shown, courses, prefix),
        drawing::plot,
    ))
}

fn plot(shown: &Shown<'_>, courses: &Courses, prefix: String) -> Plot {
    let mut drawn = vec![
        ("all at once, worst case", &courses.worst),
        ("all at once, nominal", &courses.nominal),
    ];
    let turns = format!("{} first, then the rest, worst case", courses.heaters[0]);
    if courses.heaters.len() > 1 {
        drawn.push((turns.as_str(), &courses.turns));
    }
    let longest = drawn
        .iter()
        .filter_map(|(_, course)| Some(course.moments.last()?.time.base()))
        .fold(0.0, f64::max);
    let (unit, scale) = if longest > IN_MINUTES_S {
        ("min", 60.0)
    } else {
        ("s", 1.0)
    };
    let series = drawn.iter().map(|(name, course)| Series {
        name: (*name).to_owned(),
        points: course
            .moments
            .iter()
            .map(|moment| [moment.time.base() / scale, moment.power.base()])
            .collect(),
        dots: false,
    });
    let mark = |name: String, power: Power| Mark {
        name,
        at: power.base(),
        along: Along::Y,
    };
    // A scale from nothing: the share of the rating is what is looked for.
    let floor = Series {
        name: String::new(),
        points: vec![[0.0, 0.0]],
        dots: false,
    };
    Plot {
        head: super::head(shown, prefix, TITLE, courses.words()),
        x: format!("time since everything was switched on, {unit}"),
        y: "power that the supply gives, W".to_owned(),
        bands: Vec::new(),
        series: series.chain([floor]).collect(),
        marks: vec![
            mark(
                format!("rating: {}", brief(courses.rated.low())),
                courses.rated.low(),
            ),
            mark(
                format!("for long: {}", brief(courses.level.low())),
                courses.level.low(),
            ),
        ],
        logarithmic: [false; 2],
    }
}
