//! A sign that work goes on, once it has taken longer than somebody waits without one.

use std::io::{IsTerminal as _, Write};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// After so long a person begins to wonder.
const PATIENCE: Duration = Duration::from_secs(2);

/// How often the sign is written anew.
const PACE: Duration = Duration::from_secs(1);

/// Shows the sign on a terminal until it is dropped.
pub struct Busy {
    done: Option<Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

impl Busy {
    /// Begins to wait; where standard error is no terminal nobody would see a sign.
    pub fn start() -> Self {
        if !std::io::stderr().is_terminal() {
            return Self {
                done: None,
                thread: None,
            };
        }
        let (done, waits) = channel();
        let thread = std::thread::spawn(move || show(&waits, &mut std::io::stderr(), PATIENCE, PACE));
        Self {
            done: Some(done),
            thread: Some(thread),
        }
    }
}

impl Drop for Busy {
    fn drop(&mut self) {
        drop(self.done.take());
        if let Some(thread) = self.thread.take() {
            // A sign that could not be shown is no trouble.
            let _ = thread.join();
        }
    }
}

/// Writes the sign once `patience` is over, again at each `pace`, and takes it away at the end. Results are written whole or not at all, so
/// that whoever stops the work loses nothing.
fn show(done: &Receiver<()>, to: &mut impl Write, patience: Duration, pace: Duration) {
    let began = Instant::now();
    let mut wait = patience;
    let mut shown = false;
    while matches!(done.recv_timeout(wait), Err(RecvTimeoutError::Timeout)) {
        let seconds = began.elapsed().as_secs();
        let _ = write!(
            to,
            "\rworking, {seconds} s (Ctrl-C stops; nothing is left half written)"
        );
        let _ = to.flush();
        (wait, shown) = (pace, true);
    }
    if shown {
        let _ = write!(to, "\r\x1b[2K");
        let _ = to.flush();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(work: Option<Duration>) -> String {
        let (done, waits) = channel::<()>();
        let thread = std::thread::spawn(move || {
            let mut text = Vec::new();
            show(
                &waits,
                &mut text,
                Duration::from_millis(20),
                Duration::from_millis(5),
            );
            String::from_utf8(text).unwrap()
        });
        if let Some(work) = work {
            std::thread::sleep(work);
        }
        drop(done);
        thread.join().unwrap()
    }

    #[test]
    fn short_work_shows_nothing_and_long_work_cleans_up() {
        assert_eq!(written(None), "");
        let long = written(Some(Duration::from_millis(400)));
        assert!(long.starts_with("\rworking, 0 s"), "{long:?}");
        assert!(long.ends_with("\r\x1b[2K"), "{long:?}");
    }
}
