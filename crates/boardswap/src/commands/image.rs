//! `image`: a firmware image held against a board, and the card that it is loaded from.

use std::fs::File;
use std::io::{Read as _, Seek as _, SeekFrom};
use std::path::Path;
use std::process::ExitCode;

use ::image::card::medium::{self, Medium};
use ::image::card::{Card, Entry, FileSystem};
use ::image::{Ask, Check, Comparison, Image, LARGEST, Refused, Report, Verdict, Wanted};
use bringup::firmware;
use document::{Block, Column, Document, Mark, Row, Table, Text};
use quantity::Memory;
use serde::Serialize;
use settings::{By, Untold};

use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::Out;

/// Which image, and what it is held against.
#[derive(Debug, clap::Args)]
pub struct Which {
    /// The image: raw binary, Intel HEX, S-record, ELF or UF2
    #[arg(value_name = "FILE")]
    file: std::path::PathBuf,
    /// The card that it is loaded from: a mounted folder, or an image of the card
    #[arg(long, value_name = "PATH")]
    card: Option<std::path::PathBuf>,
    /// What the controller replied when it was asked which one it is: a saved text
    #[arg(long, value_name = "FILE")]
    reported: Option<std::path::PathBuf>,
    /// Another image, such as the one loaded before: what differs
    #[arg(long, value_name = "FILE")]
    against: Option<std::path::PathBuf>,
}

#[derive(Serialize)]
struct Shown<'a> {
    #[serde(flatten)]
    report: &'a Report,
    #[serde(skip_serializing_if = "Option::is_none")]
    against: Option<&'a Comparison>,
}

/// Prints the verdicts; exit code 1 where one fails.
pub fn run(args: &Args, board: &BoardArg, which: &Which, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let image = read(&which.file)?;
    let other = which.against.as_deref().map(read).transpose()?;
    let card = which.card.as_deref().map(|path| card(path, &image)).transpose()?;
    let reported = which.reported.as_deref().map(reply).transpose()?;
    let plan = super::wanted_plan(&swap, board)?;
    let name = which.file.file_name().unwrap_or(which.file.as_os_str());
    let report = ::image::report(
        &image,
        &Ask {
            file_name: &name.to_string_lossy(),
            board: &firmware::board(plan.board, &swap.catalogue),
            limits: &firmware::limits(&swap.catalogue),
            wanted: &wanted(&plan),
            reported: reported.as_deref(),
            card: card.as_ref(),
        },
    );
    let comparison = other.map(|other| ::image::compare(&image, &other));
    if args.json {
        out.json(&Shown {
            report: &report,
            against: comparison.as_ref(),
        })?;
    } else {
        out.document(&screen(&report, comparison.as_ref()));
    }
    Ok(ExitCode::from(u8::from(report.verdict == Verdict::Fail)))
}

/// Fails first, then what is open; the fingerprint names the file that was judged.
fn screen(report: &Report, comparison: Option<&Comparison>) -> Document {
    let start = report
        .start
        .as_ref()
        .map_or_else(String::new, |start| format!(", begins at {start}"));
    let size = format!("{}, {} bytes{start}", report.form, report.size.bytes());
    let mut checks: Vec<&Check> = report.checks.iter().collect();
    checks.sort_by_key(|check| std::cmp::Reverse(check.verdict));
    let rows = checks.into_iter().map(|check| {
        let remedy = check
            .remedy
            .as_ref()
            .map_or_else(String::new, |remedy| format!(" Do: {remedy}"));
        let words = Text::of(format!("{}{remedy}", check.headline));
        Row::of([
            Text::default().verdict(mark(check.verdict), check.verdict.word()),
            Text::of(check.id),
            words,
        ])
        .marked(mark(check.verdict))
    });
    let columns = [Column::short("Verdict"), Column::short("Check"), Column::text("")];
    let mut blocks = vec![
        Block::remark(size),
        Block::remark(format!("SHA-256 {}", report.sha256)),
        Table::new(columns, rows).into(),
    ];
    blocks.extend(comparison.map(against));
    let mut counts = Text::default();
    for verdict in [Verdict::Fail, Verdict::Open, Verdict::Pass] {
        if !counts.is_empty() {
            counts = counts.and(", ");
        }
        let count = format!("{} {}", report.count(verdict), verdict.word());
        counts = counts.verdict(mark(verdict), count);
    }
    blocks.push(Block::say(counts));
    blocks.push(Block::remark(
        "Before loading: compare the revision of the board and its processor with its file (boardswap steps).",
    ));
    Document {
        title: Text::of(format!("{} for {}: ", report.file, report.board))
            .verdict(mark(report.verdict), report.verdict.word()),
        front: blocks,
        ..Document::default()
    }
}

/// What differs from another image.
fn against(comparison: &Comparison) -> Block {
    let title = if comparison.same {
        "The same as the other image"
    } else {
        "Differs from the other image"
    };
    let rows = comparison.rows.iter();
    let rows = rows.map(|row| Row::of([Text::of(&row.section), Text::of(row.words())]));
    Table::new([Column::short(title), Column::text("")], rows).into()
}

fn mark(verdict: Verdict) -> Mark {
    match verdict {
        Verdict::Fail => Mark::Stop,
        Verdict::Open => Mark::Caution,
        Verdict::Pass => Mark::Pass,
    }
}

fn refused(path: &Path, refused: &Refused) -> Trouble {
    Trouble::user(format!("`{}`: {refused}", path.display()), refused.remedy.clone())
}

/// The bytes of a file, and not more than a limit.
fn bytes(path: &Path, most: u64) -> Result<Vec<u8>, Trouble> {
    let shown = path.display();
    let refused = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::NotFound => Trouble::user(format!("there is no file `{shown}`"), None),
        _ => Trouble::machine(format!("`{shown}`: {error}")),
    };
    let file = crate::disk::open(path).map_err(refused)?;
    if file.metadata().map_err(refused)?.is_dir() {
        return Err(Trouble::user(format!("`{shown}` is a folder, not a file"), None));
    }
    let mut bytes = Vec::new();
    let file = crate::disk::patient(file, path);
    file.take(most + 1).read_to_end(&mut bytes).map_err(refused)?;
    Ok(bytes)
}

fn read(path: &Path) -> Result<Image, Trouble> {
    ::image::read(&bytes(path, LARGEST)?).map_err(|why| refused(path, &why))
}

/// A reply is a few lines: what is longer is something else.
fn reply(path: &Path) -> Result<String, Trouble> {
    const MOST: u64 = 1 << 20;
    let bytes = bytes(path, MOST)?;
    if bytes.len() as u64 > MOST {
        let help = "save the reply alone".to_owned();
        return Err(Trouble::user(
            format!("`{}` is too long for a reply", path.display()),
            help,
        ));
    }
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// The words that this swap sends to its controller, or will send once its report shows them; each once.
fn wanted(plan: &plan::Plan<'_>) -> Vec<Wanted> {
    let settings = ::settings::settings(&plan.setup());
    let mut words: Vec<Wanted> = Vec::new();
    for setting in &settings.settings {
        let told = match &setting.by {
            By::Word { word, .. } if setting.is_told() => Some(word.as_str()),
            _ => setting.untold.as_ref().and_then(Untold::waiting_word),
        };
        if let Some(word) = told.filter(|told| words.iter().all(|wanted| wanted.word != *told)) {
            words.push(Wanted {
                word: word.to_owned(),
                what: setting.title.to_owned(),
            });
        }
    }
    words
}

/// A card: a mounted folder, or an image of one.
fn card(path: &Path, image: &Image) -> Result<Card, Trouble> {
    let shown = path.display();
    let trouble = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::NotFound => Trouble::user(format!("there is no card `{shown}`"), None),
        _ => Trouble::machine(format!("`{shown}`: {error}")),
    };
    if std::fs::metadata(path).map_err(trouble)?.is_dir() {
        return folder(path, image).map_err(trouble);
    }
    let mut file = File::open(path).map_err(trouble)?;
    // A device states its size only by its end.
    let size = file.seek(SeekFrom::End(0)).map_err(trouble)?;
    medium::read(&mut Disk { file, size }, image.file_size).map_err(|why| refused(path, &why))
}

struct Disk {
    file: File,
    size: u64,
}

impl Medium for Disk {
    fn size(&self) -> u64 {
        self.size
    }
    fn read(&mut self, at: u64, into: &mut [u8]) -> Result<(), String> {
        let read = self
            .file
            .seek(SeekFrom::Start(at))
            .and_then(|_| self.file.read_exact(into));
        read.map_err(|error| error.to_string())
    }
}

/// What a computer shows of a mounted card: its root, and the folders below as far as the image may have been put there.
fn folder(path: &Path, image: &Image) -> std::io::Result<Card> {
    const MOST: usize = 5000;
    const DEEPEST: usize = 3;
    let mut entries = Vec::new();
    let mut waiting = vec![(path.to_owned(), String::new(), 0)];
    while let Some((folder, name, depth)) = waiting.pop() {
        let list = match std::fs::read_dir(&folder) {
            Ok(list) => list,
            // A folder below that may not be looked into is no obstacle.
            Err(_) if depth > 0 => continue,
            Err(error) => return Err(error),
        };
        for entry in list {
            let entry = entry?;
            let data = entry.metadata()?;
            let own = entry.file_name().to_string_lossy().into_owned();
            if entries.len() >= MOST {
                break;
            }
            if data.is_dir() && depth < DEEPEST {
                let below = if name.is_empty() {
                    own.clone()
                } else {
                    format!("{name}/{own}")
                };
                waiting.push((entry.path(), below, depth + 1));
            }
            let same_size = data.is_file() && data.len() == image.file_size.bytes();
            entries.push(Entry {
                folder: name.clone(),
                name: own,
                short: None,
                is_folder: data.is_dir(),
                size: data.len(),
                // Only equal bytes matter: the same image read again has the same hash.
                sha256: same_size
                    .then(|| std::fs::read(entry.path()).ok())
                    .flatten()
                    .and_then(|bytes| ::image::read(&bytes).ok())
                    .map(|own| own.sha256),
            });
        }
    }
    // The order of a directory is that of the disk.
    entries.sort_by(|one, other| (&one.folder, &one.name).cmp(&(&other.folder, &other.name)));
    let (file_system, cluster, free) = file_system(path);
    Ok(Card {
        file_system,
        cluster: cluster.map(Memory::from_bytes),
        free: free.map(Memory::from_bytes),
        entries,
        damage: None,
    })
}

/// The file system of a mounted folder, its cluster and what is free; nothing where it is that of a disk and not of a card.
#[cfg(target_os = "linux")]
fn file_system(path: &Path) -> (FileSystem, Option<u64>, Option<u64>) {
    // Numbers of the kernel's `magic.h`.
    const FAT: i64 = 0x4D44;
    const EXFAT: i64 = 0x2011_BAB0;
    const NTFS: [i64; 2] = [0x5346_544E, 0x7366_746E];
    let Ok(state) = rustix::fs::statfs(path) else {
        return (FileSystem::Unknown, None, None);
    };
    #[expect(
        clippy::unnecessary_cast,
        reason = "the width of the field differs from machine to machine"
    )]
    let kind = state.f_type as i64;
    let system = match kind {
        FAT => FileSystem::Fat,
        EXFAT => FileSystem::Other("exFAT".to_owned()),
        kind if NTFS.contains(&kind) => FileSystem::Other("NTFS".to_owned()),
        _ => return (FileSystem::Unknown, None, None),
    };
    let block = u64::try_from(state.f_bsize).ok();
    (
        system,
        block,
        block.map(|block| block.saturating_mul(state.f_bavail)),
    )
}

#[cfg(not(target_os = "linux"))]
fn file_system(_: &Path) -> (FileSystem, Option<u64>, Option<u64>) {
    (FileSystem::Unknown, None, None)
}
