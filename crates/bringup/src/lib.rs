//! The ordered steps of the bring-up and what each expects.
