//! The exact assignment of items to options under shared resources, with proof.
