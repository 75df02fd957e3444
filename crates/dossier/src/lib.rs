//! The hand-over: one self-contained HTML file, Markdown, and the sheets.
