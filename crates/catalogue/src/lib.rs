//! The tables of `data/` built in: wires, connectors, sensors, holes, limits, sources; each row with its source.
