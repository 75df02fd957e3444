//! What is better seen than read: torque over speed, the supply over the heat-up, how the control would hold.

use maud::{Markup, html};

use super::table::{cards, numbers, text, words};
use super::{Pictures, picture};
use crate::pictures::{heat_up, torque};
use crate::shown::{Held, Shown};
use crate::words::capital;

/// Torque at speed, the supply and control.
pub(super) fn section(shown: &Shown<'_>, pictures: &Pictures) -> Markup {
    html! {
        h3 id="torque" { "Torque over speed" }
        @if shown.curves.is_empty() {
            p { "Not drawn: the file of the machine does not tell resistance, inductance and holding torque of any motor." }
        } @else {
            p {
                "What each motor gives before it loses steps, from its winding, the switches of its driver and the supply, against what \
                 its axis asks. Iron losses, friction and resonance are left out; the reserve is for them."
            }
        }
        @for (curve, drawn) in shown.curves.iter().zip(&pictures.torque) {
            (picture(drawn, ""))
            p class="small" { (torque::words(curve)) }
        }
        h3 id="heat-up" { (heat_up::TITLE) }
        @match (&shown.heat_up, &pictures.heat_up) {
            (Some(courses), Some(drawn)) => {
                (picture(drawn, ""))
                p class="small" { (courses.words()) }
            }
            _ => { p { "Not drawn: the file of the machine does not tell heat capacity and loss of any heater." } }
        }
        h3 id="control" { "How the control would hold" }
        @if shown.control.is_empty() {
            p { "Not predicted: the file of the machine does not tell heat capacity and loss of any heated part." }
        } @else {
            p {
                "Settings by published rules, each run against this part and this thermometer input: limits of the power, pulses, steps \
                 and noise. The first is the one to begin with. Figures of a model: tune at the bring-up, under watch. The same as a file: "
                code { "temperature-control.csv" } "."
            }
            @for held in &shown.control {
                h4 { (capital(&held.heater)) }
                (table(held))
            }
        }
    }
}

fn table(held: &Held) -> Markup {
    let columns = [
        words("Rule"),
        numbers("Gain, % of full power per K"),
        numbers("Integral time, s"),
        numbers("Derivative time, s"),
        numbers("Overshoot, K; worst corner"),
        numbers("Within 1 K after, s; worst corner"),
        numbers("Swing, K; worst corner"),
        numbers("Peak of sensitivity, nominal and liveliest"),
        numbers("Gain margin, liveliest"),
    ];
    let rows: Vec<Vec<Markup>> = held
        .predictions
        .iter()
        .map(|row| {
            let [
                gain,
                integral,
                derivative,
                peak,
                peak_worst,
                margin,
                overshoot,
                overshoot_worst,
                settled,
                settled_worst,
                swing,
                swing_worst,
            ] = crate::sheets::figures(row);
            vec![
                text(row.rule),
                text(gain),
                text(if integral.is_empty() {
                    "none".to_owned()
                } else {
                    integral
                }),
                text(derivative),
                text(format!("{overshoot}; {overshoot_worst}")),
                text(format!("{settled}; {settled_worst}")),
                text(format!("{swing}; {swing_worst}")),
                text(format!("{peak}; {peak_worst}")),
                text(margin),
            ]
        })
        .collect();
    cards("", &columns, &rows, None)
}
