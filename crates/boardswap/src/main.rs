//! The command line of Boardswap: thin; files, time and terminal live here.
fn main() {}
