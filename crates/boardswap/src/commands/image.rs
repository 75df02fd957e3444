//! `image`: a firmware image held against a board, and the card that it is loaded from.

use std::fs::File;
use std::io::{Read as _, Seek as _, SeekFrom};
use std::path::Path;
use std::process::ExitCode;

use ::image::card::medium::{self, Medium};
use ::image::card::{Card, Entry, FileSystem};
use ::image::{Ask, Check, Comparison, Image, LARGEST, Refused, Report, Verdict, Wanted};
use bringup::firmware;
use quantity::Memory;
use serde::Serialize;
use settings::{By, Dialect};

use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::{FAINT, HEADING, Out, styled, verdict_style};
use crate::table::{Table, terminal_width};

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
        print(&report, comparison.as_ref(), out);
    }
    Ok(ExitCode::from(u8::from(report.verdict == Verdict::Fail)))
}

fn print(report: &Report, comparison: Option<&Comparison>, out: &mut Out) {
    let verdict = styled(report.verdict.word(), style(report.verdict));
    out.line(format!(
        "{}: {verdict}",
        styled(format!("{} for {}", report.file, report.board), HEADING)
    ));
    let start = report
        .start
        .as_ref()
        .map_or_else(String::new, |start| format!(", begins at {start}"));
    out.line(styled(
        format!("{}, {} bytes{start}", report.form, report.size.bytes()),
        FAINT,
    ));
    out.line(styled(format!("SHA-256 {}", report.sha256), FAINT));
    out.line("");
    let mut table = Table::new(&["verdict", "check", ""], &[]);
    let mut checks: Vec<&Check> = report.checks.iter().collect();
    checks.sort_by_key(|check| std::cmp::Reverse(check.verdict));
    for check in checks {
        let remedy = check
            .remedy
            .as_ref()
            .map_or_else(String::new, |remedy| format!(" Do: {remedy}"));
        table.row(
            vec![
                check.verdict.word().to_owned(),
                check.id.to_owned(),
                format!("{}{remedy}", check.headline),
            ],
            Some(style(check.verdict)),
        );
    }
    table
        .lines(terminal_width())
        .iter()
        .for_each(|line| out.line(line));
    if let Some(comparison) = comparison {
        out.line("");
        let title = if comparison.same {
            "the same as the other image"
        } else {
            "differs from the other image"
        };
        let mut table = Table::new(&[title, ""], &[]);
        for row in &comparison.rows {
            table.row(vec![row.section.clone(), row.words()], None);
        }
        table
            .lines(terminal_width())
            .iter()
            .for_each(|line| out.line(line));
    }
    out.line("");
    let counts = [Verdict::Fail, Verdict::Open, Verdict::Pass].map(|verdict| {
        styled(
            format!("{} {}", report.count(verdict), verdict.word()),
            style(verdict),
        )
    });
    out.line(counts.join(", "));
    let hint =
        "before loading: compare the revision of the board and its processor with its file (boardswap steps)";
    out.line(styled(hint, FAINT));
}

fn style(verdict: Verdict) -> anstyle::Style {
    verdict_style(match verdict {
        Verdict::Fail => plan::Verdict::Blocker,
        Verdict::Open => plan::Verdict::Caution,
        Verdict::Pass => plan::Verdict::Pass,
    })
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
    let file = File::open(path).map_err(refused)?;
    if file.metadata().map_err(refused)?.is_dir() {
        return Err(Trouble::user(format!("`{shown}` is a folder, not a file"), None));
    }
    let mut bytes = Vec::new();
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

/// The words that this swap sends to its controller, each once.
fn wanted(plan: &plan::Plan<'_>) -> Vec<Wanted> {
    let settings = ::settings::settings(&plan.setup(), Dialect::common());
    let mut words: Vec<Wanted> = Vec::new();
    for setting in settings.settings.iter().filter(|setting| setting.is_told()) {
        let By::Word { word, .. } = &setting.by else {
            continue;
        };
        if words.iter().all(|wanted| wanted.word != *word) {
            words.push(Wanted {
                word: word.clone(),
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
