//! Every block in every rendering, and that text stays text.

mod everything;
mod hostile;
mod html;
mod markdown;
mod terminal;
