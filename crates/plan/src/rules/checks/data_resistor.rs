//! The resistor in series with the data line of addressable lights.

use model::board::PortKind;
use model::machine::Detail;
use quantity::Number as _;

use crate::facts::PairFacts;
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "data-resistor";

/// Without one the edge rings at the end of a long lead, and the first light shows wrong colours: a note.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let (Detail::LightStrip(_), PortKind::LightData { series_resistor, .. }) =
        (pair.device().detail.share(), &pair.port().kind)
    else {
        return;
    };
    let limits = pair.limits();
    let (least, most) = (
        limits.light_series_resistor_least.value,
        limits.light_series_resistor_most.value,
    );
    let remedy = "put a resistor of 330 Ω into the data wire, close to the board. Where colours flicker, add one at the first LED";
    let Some(resistor) = series_resistor else {
        judge.say(Verdict::Note, || {
            let headline = format!(
                "{} has no resistor in the data line to {}, or its file states none",
                pair.port_name(),
                pair.device_name()
            );
            Finding::new(headline, "common-practice")
                .at(pair.port().place)
                .remedy(remedy)
        });
        return;
    };
    let words = || {
        let headline = format!(
            "{} sends data to {} through {}. Usual are {} to {}",
            pair.port_name(),
            pair.device_name(),
            resistor,
            least,
            most
        );
        Finding::new(headline, "common-practice").at(resistor.place)
    };
    // The nearer of the two limits decides, so that the margin is the smaller of both.
    let room = |value: f64, limit: f64| value / limit;
    let below = room((resistor.low() - least.high()).base(), least.high().base());
    let above = room((most.low() - resistor.high()).base(), most.low().base());
    if below < above {
        judge.at_least(resistor.value, least, Verdict::Note, || words().remedy(remedy));
    } else {
        judge.at_most(resistor.value, most, Verdict::Note, || {
            words().remedy("keep the data wire short. A resistor as large as this rounds the edges")
        });
    }
}
