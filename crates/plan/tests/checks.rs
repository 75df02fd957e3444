//! The checks, each held at its limits; one module a check, named after it.

mod broken_wire;
mod common;
mod connector_current;
mod device_voltage;
mod level_from_device;
mod level_to_device;
mod pin_bears;
mod pin_order;
mod polarity;
mod port_current;
mod pull_resistor;
mod sensor_sense;
mod switch_heating;
mod switch_wiring;
mod thermometer_circuit;
mod thermometer_element;
mod thermometer_lead;
mod thermometer_noise;
mod thermometer_old_table;
mod thermometer_range;
mod thermometer_resolution;
mod thermometer_self_heating;
mod thermometer_tolerance;
