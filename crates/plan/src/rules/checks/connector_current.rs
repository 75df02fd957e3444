//! The current of the device against the rating of the contacts it passes.

use catalogue::{Limits, WorkKind};
use model::machine::Detail;
use physics::electrics::{self, Bundled};
use physics::{Worked, Working, named, work};
use quantity::si::{ElectricCurrent, Ratio, ThermodynamicTemperature};
use quantity::{Number, Value, si};

use crate::facts::PairFacts;
use crate::rules::judging::{Finding, Judge, Verdict, brief, shipped_source};

pub(crate) const ID: &str = "connector-current";

/// The weaker of the two families counts: the port's, and the lead's own where its plug stays on.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    if matches!(pair.device().detail, Detail::Supply(_)) {
        return;
    }
    let Some(current) = pair.port_current() else {
        return;
    };
    let connectors = pair.swap.catalogue.connectors();
    let (plug, socket) = (&pair.device().cable.connector, &pair.port().connector);
    let Some(port) = connectors.get(&socket.value) else {
        return;
    };
    let stays = matches!(
        pair.work(),
        Some(WorkKind::PlugOver | WorkKind::PlugLoose | WorkKind::Adaptor)
    );
    let own = connectors.get(&plug.value).filter(|_| stays);
    let weaker = own
        .filter(|own| own.contact_current.low() < port.contact_current.low())
        .unwrap_or(port);
    let rating = weaker.contact_current;
    let derated = Derated::of(pair, rating);
    let long = pair.long_port_current().unwrap_or(current);
    let finding = |judged: Value<ElectricCurrent>, when: &str, bears: &str| {
        let headline = format!(
            "{} sends up to {}{when} through {} ({}). {bears}",
            pair.device_name(),
            Value::exact(judged.high()),
            pair.port_name(),
            weaker.name,
        );
        Finding::new(headline, shipped_source(&weaker.source)).at(socket.place)
    };
    if current.high() > rating.low() {
        judge.at_most(current, rating, Verdict::Blocker, || {
            finding(current, "", &format!("It is rated for {rating}")).remedy(format!(
                "use a port with contacts for at least {}",
                Value::exact(current.high())
            ))
        });
        return;
    }
    judge.at_most(long, derated.rating, Verdict::Caution, || {
        if derated.share <= 0.0 {
            let bears = format!("In air of {} no contact is rated for any current", derated.air);
            return finding(long, " continuously", &bears)
                .working(derated.working(pair, rating))
                .remedy("cool the air around the board first, as `enclosure-air` says");
        }
        let hot = derated.temperature(pair, long, rating);
        let bears = format!(
            "It is rated for {} of its {rating} continuously, and reaches {}",
            Value::exact(derated.rating.low()),
            brief(hot.value.high())
        );
        finding(long, " continuously", &bears).working(derated.working(pair, rating)).working(hot.working).remedy(format!(
            "use a port with contacts for at least {}. A contact {}, in air of {}, is rated for {:.0} % continuously",
            Value::exact(long.high() / derated.share),
            match derated.loaded {
                1 | 2 => "with two loaded contacts".to_owned(),
                loaded => format!("with {loaded} loaded contacts in its housing"),
            },
            derated.air,
            derated.share * 100.0,
        ))
    });
}

/// What is left of the rating of a contact for long: by its loaded neighbours, by the air around the board, and by the share that any
/// contact gets.
struct Derated {
    rating: Value<ElectricCurrent>,
    /// What loaded neighbours leave of the rating.
    neighbours: Ratio,
    /// Of the rating, for long and beside loaded neighbours.
    kept: f64,
    /// Of the rating, by the air as well.
    share: f64,
    loaded: usize,
    air: Value<ThermodynamicTemperature>,
}

impl Derated {
    fn of(pair: &PairFacts<'_>, rating: Value<ElectricCurrent>) -> Self {
        let limits = pair.limits();
        let loaded = loaded(pair);
        let neighbours =
            electrics::bundle_factor(Bundled::Contacts(u16::try_from(loaded).unwrap_or(u16::MAX)));
        let air = pair.site.air();
        let warm = warm(limits, si::ampere(1.0), air.high()).base();
        let kept = limits
            .contact_continuous_share
            .value
            .low()
            .base()
            .min(neighbours.base());
        let share = kept * warm;
        Self {
            rating: rating.scale(share),
            neighbours,
            kept,
            share,
            loaded,
            air,
        }
    }

    /// How hot the contact gets with a current through it for long.
    fn temperature(
        &self,
        pair: &PairFacts<'_>,
        current: Value<ElectricCurrent>,
        rating: Value<ElectricCurrent>,
    ) -> Worked<ThermodynamicTemperature> {
        let inputs = (
            named("ϑₐ", "air around the board", self.air),
            named(
                "ΔTᵣ",
                "rise of a contact at its rating",
                pair.limits().contact_temperature_rise.value,
            ),
            named("I", "current for long", current),
            named(
                "k",
                format!("what {} loaded contacts leave of the rating", self.loaded),
                Value::exact(self.neighbours),
            ),
            named("Iᵣ", "rating of one contact", rating),
        );
        work(
            &electrics::CONTACT_TEMPERATURE,
            "ϑ",
            inputs,
            |(air, rise, current, factor, rated)| {
                electrics::contact_temperature(air, rise, current, factor, rated)
            },
        )
    }

    fn working(&self, pair: &PairFacts<'_>, rating: Value<ElectricCurrent>) -> Working {
        let limits = pair.limits();
        let inputs = (
            named(
                "Iᵣ",
                format!(
                    "what one contact bears for long: {:.0} % of its rating, {rating}, with {} loaded",
                    self.kept * 100.0,
                    self.loaded
                ),
                rating.scale(self.kept),
            ),
            named(
                "ϑₘ",
                "how hot a contact may get",
                limits.contact_temperature_limit.value,
            ),
            named("ϑᵣ", "air of its rating", Value::exact(rated_air(limits))),
            // Air cooler than that of the rating does not raise it.
            named(
                "ϑ",
                "air around the board",
                self.air.map(|air| air.larger(rated_air(limits))),
            ),
        );
        let at = |(rating, limit, rated_air, air): (ElectricCurrent, ThermodynamicTemperature, _, _)| {
            electrics::warm_rating(rating, limit, rated_air, air).unwrap_or(ElectricCurrent::from_base(0.0))
        };
        work(&electrics::WARM_RATING, "I", inputs, at).working
    }
}

/// The contacts of a lead that carry its current: out and back, or all four of a motor.
fn loaded(pair: &PairFacts<'_>) -> usize {
    match pair.device().detail {
        Detail::Motor(_) => pair.device().cable.pins.len(),
        _ => 2,
    }
}

/// The air in which a rating is measured: the highest temperature of a contact less the rise that it may have.
fn rated_air(limits: &Limits) -> ThermodynamicTemperature {
    let (hot, rise) = (
        limits.contact_temperature_limit.value.low(),
        limits.contact_temperature_rise.value.nominal(),
    );
    ThermodynamicTemperature::from_base(hot.base() - rise.base())
}

/// The rating in warm air; never above that of its test.
fn warm(limits: &Limits, rating: ElectricCurrent, air: ThermodynamicTemperature) -> ElectricCurrent {
    let base = rated_air(limits);
    electrics::warm_rating(
        rating,
        limits.contact_temperature_limit.value.low(),
        base,
        air.larger(base),
    )
    .unwrap_or(ElectricCurrent::from_base(0.0))
}
