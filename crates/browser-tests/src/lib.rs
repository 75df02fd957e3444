//! Pages of the project in a real browser: see `tests`. The library itself is empty; the crate exists so that only these tests
//! pay for the browser's protocol, which takes half a minute to compile.
