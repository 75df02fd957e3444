//! Formulas only, each with its range and source.
