//! Decisions: compatibility, assignment, checks and their findings, leads, comparison of boards.
