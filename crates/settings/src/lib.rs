//! What the old controller knew, what the new one needs, and why.
