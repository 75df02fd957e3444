//! Where a rail of a board can be reached with a meter: named pins that exist.

use model::Pin;
use model::board::{Board, Port, PortKind, PortSupply, RailId};

/// The pins at which a rail is measured with nothing plugged in: "PROBE, pin 1 (+) and pin 3 (−)"; `None` where no port brings it out.
///
/// A port whose plus stands on the rail without a switch in between goes first; at a switched output the minus of the supply is taken.
pub(crate) fn point(board: &Board, rail: RailId) -> Option<String> {
    let on_rail = |port: &&Port| match port.supply {
        PortSupply::Rail(own) => own == rail,
        PortSupply::Jumper(_) | PortSupply::None => false,
    };
    let pin = |port: &Port, wanted: Pin| port.pins.iter().position(|pin| pin.value == wanted);
    let steady = |port: &&Port| !matches!(port.kind, PortKind::Switched { .. } | PortKind::Motor { .. });
    let both = |port: &Port| {
        let (plus, minus) = (pin(port, Pin::Plus)?, pin(port, Pin::Minus)?);
        Some(format!(
            "{}, pin {} (+) and pin {} (−)",
            port.name,
            plus + 1,
            minus + 1
        ))
    };
    let ports = || board.ports.iter().filter(on_rail);
    ports().filter(steady).find_map(both).or_else(|| {
        ports().find_map(|port| {
            let plus = pin(port, Pin::Plus)?;
            Some(format!(
                "{}, pin {} (+), and − of the supply",
                port.name,
                plus + 1
            ))
        })
    })
}
