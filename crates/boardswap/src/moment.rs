//! Moments at which a run may be killed: nothing in the program, a death in tests that ask for it.

/// Between two changes to the disk.
#[cfg(not(test))]
pub const fn pass() {}

/// Between two changes to the disk: ends the process, without any of its destructors, where the variable counts down to it.
#[cfg(test)]
pub fn pass() {
    use std::sync::atomic::{AtomicUsize, Ordering};
    static SEEN: AtomicUsize = AtomicUsize::new(0);
    let Some(at) = std::env::var(KILL_AT)
        .ok()
        .and_then(|at| at.parse::<usize>().ok())
    else {
        return;
    };
    if SEEN.fetch_add(1, Ordering::Relaxed) == at {
        std::process::abort();
    }
}

/// Names the moment at which a test wants to die.
#[cfg(test)]
pub const KILL_AT: &str = "BOARDSWAP_TEST_KILL_AT";
