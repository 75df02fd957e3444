//! Files and folders in, programs through two threads: one reads and interprets, the other runs the machine.

use std::fs::File;
use std::io::{self, IsTerminal as _, Read, Seek, SeekFrom, Write as _};
use std::path::{Path, PathBuf};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use workload::archive::{is_named_as_program, programs, why};
use workload::{Batch, Interpreter, Model, Setup, Vocabulary, Workload};

use crate::faults::Trouble;

/// Folders inside each other.
const DEEPEST: usize = 16;

/// Batches under way between the threads.
const BATCHES: usize = 4;

/// A file to be read, as it shall be called.
pub struct Source {
    path: PathBuf,
    name: String,
}

/// The files of what was named; folders give those that are named as programs, in the order of their names.
pub fn sources(named: &[(PathBuf, String)]) -> Result<(Vec<Source>, u64), Trouble> {
    let (mut found, mut others, mut missing) = (Vec::new(), 0, Vec::new());
    for (path, name) in named {
        match std::fs::metadata(path) {
            Ok(data) if data.is_dir() => folder(path, name, 0, &mut found, &mut others)?,
            Ok(_) => found.push(Source {
                path: path.clone(),
                name: name.clone(),
            }),
            Err(error) if error.kind() == io::ErrorKind::NotFound => missing.push(name.as_str()),
            Err(error) => return Err(Trouble::machine(format!("`{name}`: {error}"))),
        }
    }
    if !missing.is_empty() {
        return Err(Trouble::user(
            format!("not found: `{}`", missing.join("`, `")),
            None,
        ));
    }
    Ok((found, others))
}

fn folder(
    path: &Path,
    name: &str,
    depth: usize,
    found: &mut Vec<Source>,
    others: &mut u64,
) -> Result<(), Trouble> {
    if depth > DEEPEST {
        return Ok(());
    }
    let trouble = |error: io::Error| Trouble::machine(format!("`{name}`: {error}"));
    let mut entries = std::fs::read_dir(path)
        .map_err(trouble)?
        .collect::<io::Result<Vec<_>>>()
        .map_err(trouble)?;
    entries.sort_by_key(std::fs::DirEntry::file_name);
    for entry in entries {
        let own = entry.file_name().to_string_lossy().into_owned();
        let inside = format!("{}/{own}", name.trim_end_matches('/'));
        // A link to a folder could lead back here.
        let kind = entry.file_type().map_err(trouble)?;
        if kind.is_dir() {
            folder(&entry.path(), &inside, depth + 1, found, others)?;
        } else if is_named_as_program(&own) && entry.path().is_file() {
            found.push(Source {
                path: entry.path(),
                name: inside,
            });
        } else {
            *others += 1;
        }
    }
    Ok(())
}

/// Reads all files. What cannot be read is refused with its reason, and the rest goes on.
pub fn read(sources: &[Source], setup: &Setup, words: &Vocabulary) -> Workload {
    let mut all = Workload::default();
    let mut progress = Progress::new(sources);
    for source in sources {
        progress.file(&source.name);
        match crate::disk::open(&source.path) {
            Ok(file) => {
                let pipe = crate::disk::is_pipe(&source.path);
                let watched = Watched {
                    file,
                    pipe: pipe.then(|| format!("the pipe `{}`", source.name)),
                    progress: &mut progress,
                };
                one(source, watched, setup, words, &mut all);
            }
            Err(error) => all.refuse(source.name.clone(), error.to_string()),
        }
    }
    progress.end();
    all
}

fn one(source: &Source, file: Watched<'_>, setup: &Setup, words: &Vocabulary, all: &mut Workload) {
    let found = programs(file, &mut |inside, text| {
        let name = inside.map_or_else(
            || source.name.clone(),
            |inside| format!("{}/{inside}", source.name),
        );
        let (model, interpreter, cut) = run(text, setup, words);
        let (work, course) = model.finish(&name, &interpreter);
        all.add(work, course, cut);
        Ok(())
    });
    match found {
        Ok(found) => all.others += found.others,
        Err(why) => all.refuse(source.name.clone(), why),
    }
}

/// Runs one program; the reason where its end is missing.
fn run<'s>(
    text: &mut dyn Read,
    setup: &'s Setup,
    words: &'s Vocabulary,
) -> (Model<'s>, Interpreter<'s>, Option<String>) {
    let mut interpreter = Interpreter::new(setup, words);
    let (full, to_run) = mpsc::sync_channel::<Batch>(BATCHES);
    let (used, to_fill) = mpsc::channel::<Batch>();
    std::thread::scope(|scope| {
        let runner = scope.spawn(move || {
            let mut model = Model::new(setup);
            for mut batch in to_run {
                model.take(&batch);
                batch.clear();
                // Nobody wants it back once all is read.
                let _ = used.send(batch);
            }
            model
        });
        let mut source = text;
        let mut batch = Batch::default();
        let cut = loop {
            match interpreter.read(&mut source, &mut batch) {
                Ok(0) => break None,
                Ok(_) if batch.is_empty() => {}
                Ok(_) => {
                    let next = to_fill.try_recv().unwrap_or_default();
                    // It takes them all: only a panic ends it before.
                    if full.send(core::mem::replace(&mut batch, next)).is_err() {
                        break None;
                    }
                }
                Err(error) => break Some(why(&error)),
            }
        };
        interpreter.finish(&mut batch);
        let _ = full.send(batch);
        drop(full);
        let model = runner
            .join()
            .unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        (model, interpreter, cut)
    })
}

/// Tells on standard error how far the reading is, where somebody looks on and it takes long.
struct Progress {
    shown: bool,
    started: Instant,
    last: Instant,
    whole: u64,
    read: u64,
    name: String,
    told: bool,
}

impl Progress {
    fn new(sources: &[Source]) -> Self {
        let sizes = sources
            .iter()
            .filter_map(|source| std::fs::metadata(&source.path).ok());
        let now = Instant::now();
        Self {
            shown: io::stderr().is_terminal(),
            started: now,
            last: now,
            whole: sizes.map(|data| data.len()).sum(),
            read: 0,
            name: String::new(),
            told: false,
        }
    }

    fn file(&mut self, name: &str) {
        name.clone_into(&mut self.name);
    }

    fn add(&mut self, bytes: usize) {
        self.read += bytes as u64;
        if !self.shown || self.last.elapsed() < Duration::from_millis(200) {
            return;
        }
        self.last = Instant::now();
        if self.started.elapsed() > Duration::from_secs(1) {
            self.told = true;
            let share = (self.read * 100).checked_div(self.whole).unwrap_or(0).min(100);
            let _ = write!(io::stderr(), "\r\x1b[K{share} % read, {}", self.name);
        }
    }

    fn end(&self) {
        if self.told {
            let _ = write!(io::stderr(), "\r\x1b[K");
        }
    }
}

/// A file whose reading is watched.
struct Watched<'p> {
    file: File,
    /// How it is called where somebody else decides when it goes on.
    pipe: Option<String>,
    progress: &'p mut Progress,
}

impl Read for Watched<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let awaiting = self.pipe.as_deref().map(crate::busy::Awaiting::new);
        let count = self.file.read(buffer)?;
        drop(awaiting);
        self.progress.add(count);
        Ok(count)
    }
}

impl Seek for Watched<'_> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.file.seek(to)
    }
}
