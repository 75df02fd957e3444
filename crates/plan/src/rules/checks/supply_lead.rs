//! The lead from the supply to the board: its wires, its contacts, its drop.

use model::Pin;
use model::machine::Detail;
use physics::{electrics, named, work};
use quantity::Value;
use quantity::si::{self, ElectricCurrent, Ratio};

use crate::facts::budget::{Line, State, sum};
use crate::facts::{PairFacts, WholeFacts, wires};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, shipped_source};
use crate::rules::workings::{with_long_rating, with_sum};

pub(crate) const ID: &str = "supply-lead";

/// The share of its rating that a wire is protected up to (IEC 60364-4-43, 433.1, from memory).
const OVERLOAD: f64 = 1.45;

/// The sum of all currents shares the wires of a pole where there are several.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let supplies = |pair: &&PairFacts<'_>| matches!(pair.device().detail, Detail::Supply(_));
    let Some(pair) = facts.pairs().find(supplies) else {
        return;
    };
    let budget = facts.budget();
    let (cold, hot) = (budget.input(State::HeatUp), budget.input(State::Hot));
    let cable = &pair.device().cable;
    let conductors = wires::conductors(cable);
    let terminals = pair.port().pins.iter().filter(|pin| pin.value == Pin::Plus);
    let terminals = terminals.count().clamp(1, conductors);
    wire(pair, &Share::of(hot, conductors), judge);
    contact(
        pair,
        &Share::of(cold, terminals),
        &Share::of(hot, terminals),
        judge,
    );
    drop(pair, Share::of(cold, conductors).current(), judge);
}

/// What one of several wires or terminals side by side carries of a sum.
struct Share<'a> {
    lines: &'a [Line<'a, ElectricCurrent>],
    of: usize,
}

impl<'a> Share<'a> {
    fn of(lines: &'a [Line<'a, ElectricCurrent>], of: usize) -> Self {
        Self { lines, of }
    }
    #[expect(clippy::cast_precision_loss, reason = "a handful of wires")]
    fn count(&self) -> Value<Ratio> {
        Value::exact(si::ratio(self.of as f64))
    }
    fn current(&self) -> Value<ElectricCurrent> {
        sum(self.lines) / self.count()
    }
    fn with_working(&self, finding: Finding) -> Finding {
        let finding = with_sum(finding, self.lines);
        if self.of == 1 {
            return finding;
        }
        let inputs = (
            named("I", "all together", sum(self.lines)),
            named("n", "wires of a pole side by side", self.count()),
        );
        let one = work(&electrics::EVEN_SHARE, "I₁", inputs, |(all, count)| {
            electrics::even_share(all, count)
        });
        finding.working(one.working)
    }
}

fn about(pair: &PairFacts<'_>, what: &str) -> Subject {
    Subject::aspect(pair.device(), what)
}

fn wire(pair: &PairFacts<'_>, part: &Share<'_>, judge: &mut Judge) {
    let hot = part.current();
    let wire = pair.device().cable.wire;
    let Some(bears) = wires::bears_alone(&pair.swap.catalogue, wire.value) else {
        return;
    };
    // By IEC 60364-4-43 a wire is let carry up to 1.45 times its rating for a while, never for long.
    let melts = hot.nominal() > bears.low() * OVERLOAD;
    let broken = if melts { Verdict::Blocker } else { Verdict::Caution };
    judge.at_most(hot, bears, broken, || {
        let headline = format!(
            "each wire of {} carries up to {} once all is hot. On its own {wire} is rated for {bears}",
            pair.device_name(),
            Value::exact(hot.high())
        );
        let row = pair.swap.catalogue.wires().gauge(wire.value);
        let source = row.map_or("own-statement", |row| shipped_source(&row.bundled_source));
        let finding = part.with_working(Finding::new(headline, source).about(about(pair, "wire")));
        finding.workings(wires::unbundled(&pair.swap.catalogue, wire.value))
            .at(wire.place)
            .remedy("lay a second pair of wires, or thicker ones, apart from other loaded cables. Local codes decide about the wiring of supplies")
    });
}

fn contact(pair: &PairFacts<'_>, cold_part: &Share<'_>, hot_part: &Share<'_>, judge: &mut Judge) {
    let (cold, hot) = (cold_part.current(), hot_part.current());
    let connector = &pair.port().connector;
    let Some(family) = pair.swap.catalogue.connectors().get(&connector.value) else {
        return;
    };
    let rating = family.contact_current;
    let share = pair.limits().contact_continuous_share.value;
    let words = |part: &Share<'_>, when: &str| {
        let current = part.current();
        let headline = format!(
            "a terminal of {} ({connector}) carries up to {} {when}. It is rated for {rating}",
            pair.port_name(),
            Value::exact(current.high())
        );
        part.with_working(Finding::new(headline, shipped_source(&family.source)))
            .about(about(pair, "contact"))
            .at(connector.place)
            .remedy("use ferrules, and tighten the screws again after a week. Feel beside the terminal after a long print. Or move the bed to an external switch")
    };
    if cold.high() > rating.low() {
        // The board's maker rates the input above what its terminals are commonly rated for: worth a look, not a refusal.
        judge.at_most(cold, rating, Verdict::Caution, || words(cold_part, "at heat-up"));
    } else {
        judge.at_most(hot, share * rating, Verdict::Caution, || {
            let what = format!("a terminal of {}", pair.port_name());
            with_long_rating(words(hot_part, "once all is hot"), share, &what, rating)
        });
    }
}

fn drop(pair: &PairFacts<'_>, cold: Value<ElectricCurrent>, judge: &mut Judge) {
    let cable = &pair.device().cable;
    let Some(family) = pair.swap.catalogue.connectors().get(&pair.port().connector.value) else {
        return;
    };
    let most = family.contact_resistance.high();
    let contacts = (
        Value::exact(si::ratio(2.0)),
        Value::between(si::ohm(0.0), most, most),
    );
    let drop = wires::through(pair, cable.wire.value, cable.length.value, contacts, cold);
    let supply = crate::facts::rails::supply_voltage(pair.swap);
    let share = drop.total / supply;
    judge.at_most(
        share,
        pair.limits().lead_drop_caution.value,
        Verdict::Caution,
        || {
            let headline = format!(
                "the cable of {} drops up to {} of {} at {} a wire",
                pair.device_name(),
                Value::exact(drop.total.high()),
                Value::exact(supply.nominal()),
                Value::exact(cold.high())
            );
            let finding = Finding::new(headline, "iec-60364-5-52")
                .about(about(pair, "drop"))
                .at(cable.wire.place)
                .remedy("shorten it, or lay a second pair of wires");
            finding.workings(wires::workings(pair, cable.wire.value, &drop))
        },
    );
}
