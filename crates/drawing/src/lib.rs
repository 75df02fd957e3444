//! Pictures as SVG: wiring, boards, charts. Knows data to draw and no file formats.
