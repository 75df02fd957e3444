//! Machine, board and swap: from files to checked types, or diagnostics.
