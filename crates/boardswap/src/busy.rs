//! A sign that work goes on, or of what it waits for, once it has taken longer than somebody waits without one.

use std::io::{IsTerminal as _, Read, Write};
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// After so long a person begins to wonder.
const PATIENCE: Duration = Duration::from_secs(2);

/// How often the sign is written anew.
const PACE: Duration = Duration::from_secs(1);

/// What somebody else has to deliver before anything goes on, and since when.
static AWAITED: Mutex<Option<(String, Instant)>> = Mutex::new(None);

/// Shows the sign until it is dropped.
pub struct Busy {
    done: Option<Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

impl Busy {
    /// Begins to wait. Where standard error is no terminal nobody would see a sign that is written over itself: it says in one line what is
    /// waited for or that it searches, and nothing of other work. `works` is false for a command that counts for itself.
    pub fn start(works: bool) -> Self {
        let (done, waits) = channel();
        let sign = Sign {
            works,
            terminal: std::io::stderr().is_terminal(),
            patience: PATIENCE,
            pace: PACE,
        };
        let thread = std::thread::spawn(move || sign.show(&waits, &mut std::io::stderr()));
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

/// Tells the sign while it lives that something is waited for.
pub struct Awaiting(());

impl Awaiting {
    /// `what` is as a person would name it: the pipe `log`.
    pub fn new(what: &str) -> Self {
        set(Some((what.to_owned(), Instant::now())));
        Self(())
    }
}

impl Drop for Awaiting {
    fn drop(&mut self) {
        set(None);
    }
}

fn set(awaited: Option<(String, Instant)>) {
    *AWAITED.lock().unwrap_or_else(std::sync::PoisonError::into_inner) = awaited;
}

/// A reader of which somebody else decides when it goes on: a pipe, standard input.
pub struct Patient<R> {
    inner: R,
    what: String,
}

impl<R> Patient<R> {
    pub const fn new(inner: R, what: String) -> Self {
        Self { inner, what }
    }
}

impl<R: Read> Read for Patient<R> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let _awaiting = Awaiting::new(&self.what);
        self.inner.read(into)
    }
}

/// How the sign is shown.
struct Sign {
    works: bool,
    terminal: bool,
    patience: Duration,
    pace: Duration,
}

impl Sign {
    /// Writes the sign once `patience` is over, again at each `pace`, and takes it away at the end. Results are written whole or not at all, so
    /// that whoever stops the work loses nothing.
    fn show(&self, done: &Receiver<()>, to: &mut impl Write) {
        let began = Instant::now();
        let (mut shown, mut told, mut searches) = (false, None, false);
        let mut wait = self.patience;
        while matches!(done.recv_timeout(wait), Err(RecvTimeoutError::Timeout)) {
            wait = self.pace;
            let awaited = AWAITED.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
            let awaited = awaited
                .clone()
                .filter(|(_, since)| since.elapsed() >= self.patience);
            let words = match awaited {
                Some((what, since)) if !self.terminal => {
                    // Once for each wait: a log of many such lines would tell no more.
                    if told != Some(since) {
                        let _ = writeln!(to, "waiting for {what}: nothing came yet (Ctrl-C stops)");
                        let _ = to.flush();
                        told = Some(since);
                    }
                    continue;
                }
                Some((what, since)) => {
                    format!(
                        "waiting for {what}, {} s (Ctrl-C stops)",
                        since.elapsed().as_secs()
                    )
                }
                None if !self.works => continue,
                None if !self.terminal => {
                    if plan::is_searching() && !searches {
                        let _ = writeln!(to, "searching the best assignment (Ctrl-C takes the best so far)");
                        let _ = to.flush();
                        searches = true;
                    }
                    continue;
                }
                None => {
                    let seconds = began.elapsed().as_secs();
                    if plan::is_searching() {
                        format!("searching the best assignment, {seconds} s (Ctrl-C takes the best so far)")
                    } else {
                        format!("working, {seconds} s (Ctrl-C stops; nothing is left half written)")
                    }
                }
            };
            let _ = write!(to, "\r\x1b[2K{words}");
            let _ = to.flush();
            shown = true;
        }
        if shown {
            let _ = write!(to, "\r\x1b[2K");
            let _ = to.flush();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is written while somebody works, until `enough` is.
    fn written(terminal: bool, patience: Duration, enough: &str) -> String {
        struct Shared(std::sync::Arc<Mutex<Vec<u8>>>);
        impl Write for Shared {
            fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
                self.0.lock().unwrap().write(bytes)
            }
            fn flush(&mut self) -> std::io::Result<()> {
                Ok(())
            }
        }
        let text = std::sync::Arc::new(Mutex::new(Vec::new()));
        let (done, waits) = channel::<()>();
        let mut to = Shared(text.clone());
        let sign = Sign {
            works: true,
            terminal,
            patience,
            pace: Duration::from_millis(5),
        };
        let thread = std::thread::spawn(move || sign.show(&waits, &mut to));
        let now = || String::from_utf8(text.lock().unwrap().clone()).unwrap();
        // Ends with the test where it never comes.
        while !now().contains(enough) {
            std::thread::sleep(Duration::from_millis(1));
        }
        drop(done);
        thread.join().unwrap();
        now()
    }

    /// One test, since what is awaited is known to all of the process.
    #[test]
    fn the_sign_says_what_takes_so_long_and_goes_away() {
        let (long, short) = (Duration::from_secs(3600), Duration::from_millis(20));
        assert_eq!(written(true, long, ""), "");
        let work = written(true, short, "working");
        assert!(work.starts_with("\r\x1b[2Kworking, 0 s (Ctrl-C"), "{work:?}");
        assert!(work.ends_with("\r\x1b[2K"), "{work:?}");
        let awaiting = Awaiting::new("the pipe `log`");
        let seen = written(true, short, "waiting");
        assert!(seen.contains("waiting for the pipe `log`, 0 s"), "{seen:?}");
        let piped = written(false, short, "waiting");
        assert_eq!(
            piped,
            "waiting for the pipe `log`: nothing came yet (Ctrl-C stops)\n"
        );
        drop(awaiting);
    }
}
