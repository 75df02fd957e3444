//! The current of the device against the rating of the contacts it passes.

use model::machine::Detail;
use quantity::Value;

use crate::bearing::external_switch;
use crate::finding::{Finding, Verdict, shipped_source};
use crate::judge::Judge;
use crate::setup::Pair;
use catalogue::WorkKind;

pub(crate) const ID: &str = "connector-current";

/// The weaker of the two families counts: the port's, and the lead's own where its plug stays on.
pub(crate) fn check(pair: &Pair<'_>, judge: &mut Judge) {
    if matches!(pair.device().detail, Detail::Supply(_)) || pair.way.own_supply {
        return;
    }
    let Some(current) = pair.current() else { return };
    if external_switch(pair).is_some() {
        return;
    }
    let connectors = pair.swap.catalogue.connectors();
    let (plug, socket) = (&pair.device().lead.connector, &pair.port().connector);
    let Some(port) = connectors.get(&socket.value) else { return };
    let stays = matches!(
        connectors.work(&plug.value, &socket.value),
        Some(WorkKind::PlugOver | WorkKind::PlugLoose | WorkKind::Adaptor)
    );
    let own = connectors.get(&plug.value).filter(|_| stays);
    let weaker = own
        .filter(|own| own.contact_current.low() < port.contact_current.low())
        .unwrap_or(port);
    let share = pair.limits().contact_continuous_share.value;
    let rating = weaker.contact_current;
    let long = pair.long_current().unwrap_or(current);
    let finding = || {
        let headline = format!(
            "{} sends up to {} through a contact of {} ({}), rated for {rating}",
            pair.device_name(),
            Value::exact(current.high()),
            pair.port_name(),
            weaker.name,
        );
        Finding::new(headline, shipped_source(&weaker.source)).at(socket.place)
    };
    if current.high() > rating.low() {
        judge.at_most(current, rating, Verdict::Blocker, || {
            finding().remedy(format!(
                "use a port with contacts for at least {}",
                Value::exact(current.high())
            ))
        });
        return;
    }
    judge.at_most(long, share * rating, Verdict::Caution, || {
        finding().remedy(format!(
            "use a port with contacts for at least {}: a contact in a housing bears {share} of its rating for long",
            Value::exact(long.high()) / share
        ))
    });
}
