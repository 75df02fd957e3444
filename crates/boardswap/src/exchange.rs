//! A folder of results that is written whole or not at all, and never over what somebody else put there.
//!
//! All files are written into a folder beside it, with a manifest that names each by its SHA-256; then the two folders change places at
//! once. What the manifest of an earlier run names, and is still as that run left it, goes with the old folder. Everything else is the
//! user's and comes along; where it has the name of a file that is to be written, nothing is written.

use std::collections::BTreeSet;
use std::path::{Component, Path, PathBuf};

use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

use crate::disk::{cannot_write, write_all};
use crate::faults::Trouble;
use crate::{litter, moment};

/// The file that names the others.
pub const MANIFEST: &str = "manifest.json";

/// A manifest larger than this is none of ours.
const LARGEST: u64 = 4 << 20;

#[derive(Debug, Default, Serialize, Deserialize)]
struct Manifest {
    /// The version that wrote the files.
    boardswap: String,
    /// The files, by name.
    files: Vec<Entry>,
}

#[derive(Debug, Serialize, Deserialize)]
struct Entry {
    name: String,
    bytes: usize,
    sha256: String,
}

fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

impl Manifest {
    fn of(files: &[(String, Vec<u8>)]) -> Self {
        let entry = |(name, bytes): &(String, Vec<u8>)| Entry {
            name: name.clone(),
            bytes: bytes.len(),
            sha256: sha256(bytes),
        };
        Self {
            boardswap: env!("CARGO_PKG_VERSION").to_owned(),
            files: files.iter().map(entry).collect(),
        }
    }

    /// The one in a folder; empty where there is none that can be read. Names that lead out of the folder are none.
    fn read(folder: &Path) -> Self {
        let path = folder.join(MANIFEST);
        let small =
            std::fs::symlink_metadata(&path).is_ok_and(|data| data.is_file() && data.len() <= LARGEST);
        let text = small
            .then(|| std::fs::read(&path).ok())
            .flatten()
            .unwrap_or_default();
        let mut manifest: Self = serde_json::from_slice(&text).unwrap_or_default();
        let inside = |name: &str| {
            let mut parts = Path::new(name).components();
            !name.is_empty() && parts.all(|part| matches!(part, Component::Normal(_)))
        };
        manifest.files.retain(|entry| inside(&entry.name));
        manifest
    }

    /// The files of this manifest that are still as they were written, and the manifest itself.
    fn untouched(&self, folder: &Path) -> BTreeSet<PathBuf> {
        let same = |entry: &&Entry| {
            let path = folder.join(&entry.name);
            let plain = std::fs::symlink_metadata(&path)
                .is_ok_and(|data| data.is_file() && data.len() == entry.bytes as u64);
            plain && std::fs::read(&path).is_ok_and(|bytes| sha256(&bytes) == entry.sha256)
        };
        let files = self.files.iter().filter(same);
        let mut out: BTreeSet<PathBuf> = files.map(|entry| PathBuf::from(&entry.name)).collect();
        if !self.boardswap.is_empty() {
            out.insert(PathBuf::from(MANIFEST));
        }
        out
    }
}

/// Writes the files, with a manifest, as the whole of what Boardswap has in this folder.
pub fn write(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), Trouble> {
    // A link is followed: what it leads to changes, not the link.
    let folder = std::fs::canonicalize(folder).unwrap_or_else(|_| folder.to_owned());
    let files = with_manifest(files)?;
    if let Some(parent) = parent_of(&folder) {
        litter::tell(&litter::clean(parent));
    }
    let before = Manifest::read(&folder);
    let old = before.untouched(&folder);
    // What an interrupted run left inside is nobody's.
    let is_litter = |path: &PathBuf| {
        let name = path.file_name().and_then(|name| name.to_str());
        name.is_some_and(litter::is_ours) && litter::hold(&folder.join(path)).is_some()
    };
    let users: Vec<PathBuf> = entries(&folder)?
        .into_iter()
        .filter(|path| !old.contains(path) && !is_litter(path))
        .collect();
    refuse(&folder, &users, &files)?;
    let Some(beside) = beside(&folder)? else {
        return in_place(&folder, before, &files);
    };
    let _held = litter::hold(beside.path());
    moment::pass();
    write_all(beside.path(), &files)?;
    for path in users
        .iter()
        .filter(|path| !files.iter().any(|(name, _)| Path::new(name) == path.as_path()))
    {
        moment::pass();
        carry(&folder.join(path), &beside.path().join(path))?;
    }
    moment::pass();
    let put = put(beside.path(), &folder);
    moment::pass();
    match put {
        // What is now beside is the old folder; it goes, all that was the user's being in the new one.
        Ok(()) => Ok(()),
        Err(error) if cannot_move(&error) => in_place(&folder, before, &files),
        Err(error) => Err(cannot_write(&folder, &error)),
    }
}

/// The files, and last the manifest that names them.
fn with_manifest(files: &[(String, Vec<u8>)]) -> Result<Vec<(String, Vec<u8>)>, Trouble> {
    let mut manifest = serde_json::to_vec_pretty(&Manifest::of(files))
        .map_err(|error| Trouble::machine(error.to_string()))?;
    manifest.push(b'\n');
    let mut files = files.to_vec();
    files.push((MANIFEST.to_owned(), manifest));
    Ok(files)
}

/// Every file and link below a folder, by its path from there; folders without any are left.
fn entries(folder: &Path) -> Result<Vec<PathBuf>, Trouble> {
    let mut found = Vec::new();
    let mut open = vec![PathBuf::new()];
    while let Some(at) = open.pop() {
        let list = match std::fs::read_dir(folder.join(&at)) {
            Ok(list) => list,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound && at.as_os_str().is_empty() => {
                return Ok(found);
            }
            Err(error) => return Err(cannot_write(&folder.join(&at), &error)),
        };
        for entry in list {
            let entry = entry.map_err(|error| cannot_write(folder, &error))?;
            let path = at.join(entry.file_name());
            // The kind of the entry itself: a link to a folder is a link.
            let is_folder = entry.file_type().is_ok_and(|kind| kind.is_dir());
            if is_folder {
                open.push(path);
            } else {
                found.push(path);
            }
        }
    }
    Ok(found)
}

/// Where a file of the user has the name of one that is to be written, or stands where one of them needs a folder.
fn refuse(folder: &Path, users: &[PathBuf], files: &[(String, Vec<u8>)]) -> Result<(), Trouble> {
    let in_the_way = |path: &&PathBuf| {
        files.iter().any(|(name, bytes)| {
            let name = Path::new(name);
            let same = name == path.as_path();
            let differs = same && std::fs::read(folder.join(path)).ok().as_ref() != Some(bytes);
            differs || (!same && (name.starts_with(path) || path.starts_with(name)))
        })
    };
    let names: Vec<String> = users
        .iter()
        .filter(in_the_way)
        .map(|path| format!("`{}`", folder.join(path).display()))
        .collect();
    if names.is_empty() {
        return Ok(());
    }
    let (is, was) = if names.len() == 1 {
        ("is", "was")
    } else {
        ("are", "were")
    };
    Err(Trouble::user(
        format!(
            "{} {is} not as Boardswap left it, or {was} never written by it; nothing was written",
            names.join(", ")
        ),
        "move it away, or name another folder with --out".to_owned(),
    ))
}

/// The folder that a folder lies in; `None` for one that has no name.
fn parent_of(folder: &Path) -> Option<&Path> {
    let parent = folder.parent().filter(|_| folder.file_name().is_some())?;
    Some(if parent.as_os_str().is_empty() {
        Path::new(".")
    } else {
        parent
    })
}

/// A fresh folder beside; `None` where nothing can be put there.
fn beside(folder: &Path) -> Result<Option<tempfile::TempDir>, Trouble> {
    let Some(parent) = parent_of(folder) else {
        return Ok(None);
    };
    std::fs::create_dir_all(parent).map_err(|error| cannot_write(parent, &error))?;
    let fresh = tempfile::Builder::new().prefix(litter::PREFIX).tempdir_in(parent);
    let Ok(fresh) = fresh else { return Ok(None) };
    let like = std::fs::metadata(folder).map(|data| data.permissions());
    #[cfg(unix)]
    let like = {
        use std::os::unix::fs::PermissionsExt as _;
        like.or_else(|_| Ok::<_, std::io::Error>(std::fs::Permissions::from_mode(0o755)))
    };
    if let Ok(like) = like {
        let _ = std::fs::set_permissions(fresh.path(), like);
    }
    Ok(Some(fresh))
}

/// A file of the user into the new folder: the same file under a second name, or a copy where the disk knows no such thing.
fn carry(from: &Path, to: &Path) -> Result<(), Trouble> {
    let failed = |error: std::io::Error| cannot_write(to, &error);
    if let Some(parent) = to.parent() {
        std::fs::create_dir_all(parent).map_err(failed)?;
    }
    let data = std::fs::symlink_metadata(from).map_err(failed)?;
    #[cfg(unix)]
    if data.is_symlink() {
        let target = std::fs::read_link(from).map_err(failed)?;
        return std::os::unix::fs::symlink(target, to).map_err(failed);
    }
    if std::fs::hard_link(from, to).is_ok() {
        return Ok(());
    }
    if !data.is_file() {
        let why = std::io::Error::other("it is neither a file nor a link: move it away");
        return Err(cannot_write(from, &why));
    }
    std::fs::copy(from, to).map(|_| ()).map_err(failed)
}

/// The new folder into its place. Where there was one, both change places at once.
fn put(beside: &Path, folder: &Path) -> std::io::Result<()> {
    if std::fs::symlink_metadata(folder).is_err() {
        return std::fs::rename(beside, folder);
    }
    #[cfg(target_os = "linux")]
    {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        renameat_with(CWD, beside, CWD, folder, RenameFlags::EXCHANGE).map_err(Into::into)
    }
    #[cfg(not(target_os = "linux"))]
    {
        // Two renames: a kill between them leaves the old folder whole under its other name.
        let old = beside.with_extension("old");
        std::fs::rename(folder, &old)?;
        moment::pass();
        if let Err(error) = std::fs::rename(beside, folder) {
            std::fs::rename(&old, folder)?;
            return Err(error);
        }
        std::fs::rename(old, beside)
    }
}

/// Whether a folder cannot be moved at all: another disk is mounted there, somebody stands in it, or the disk knows no exchange.
fn cannot_move(error: &std::io::Error) -> bool {
    use std::io::ErrorKind;
    matches!(
        error.kind(),
        ErrorKind::CrossesDevices
            | ErrorKind::ResourceBusy
            | ErrorKind::InvalidInput
            | ErrorKind::Unsupported
    )
}

/// Where the folder cannot be exchanged: each file beside its place, then all renamed, then what is left of the earlier run removed.
///
/// First comes a manifest that names the old files and the new ones: after a kill between two of them the next run still knows both as its own.
fn in_place(folder: &Path, before: Manifest, files: &[(String, Vec<u8>)]) -> Result<(), Trouble> {
    let old = before.untouched(folder);
    let mut both = Manifest::of(files);
    both.files.extend(before.files);
    let both = serde_json::to_vec(&both).map_err(|error| Trouble::machine(error.to_string()))?;
    write_all(folder, &[(MANIFEST.to_owned(), both)])?;
    write_all(folder, files)?;
    for path in &old {
        moment::pass();
        if !files.iter().any(|(name, _)| Path::new(name) == path.as_path()) {
            let path = folder.join(path);
            std::fs::remove_file(&path).map_err(|error| cannot_write(&path, &error))?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn files(names: &[(&str, &str)]) -> Vec<(String, Vec<u8>)> {
        names
            .iter()
            .map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec()))
            .collect()
    }

    fn listed(folder: &Path) -> Vec<String> {
        let mut all: Vec<String> = entries(folder)
            .unwrap()
            .iter()
            .map(|path| path.display().to_string())
            .collect();
        all.sort_unstable();
        all
    }

    #[test]
    fn what_an_earlier_run_wrote_goes_and_what_is_the_users_stays() {
        let swap = tempfile::tempdir().unwrap();
        let out = swap.path().join("out");
        write(&out, &files(&[("a.html", "1"), ("pictures/b.svg", "1")])).unwrap();
        std::fs::write(out.join("notes.txt"), "mine").unwrap();
        std::fs::create_dir(out.join("photographs")).unwrap();
        std::fs::write(out.join("photographs/1.jpg"), "mine").unwrap();
        write(&out, &files(&[("a.html", "2"), ("proof/c.html", "2")])).unwrap();
        assert_eq!(
            listed(&out),
            [
                "a.html",
                "manifest.json",
                "notes.txt",
                "photographs/1.jpg",
                "proof/c.html"
            ]
        );
        assert_eq!(std::fs::read_to_string(out.join("a.html")).unwrap(), "2");
        assert_eq!(std::fs::read_to_string(out.join("notes.txt")).unwrap(), "mine");
        // No litter.
        assert_eq!(std::fs::read_dir(swap.path()).unwrap().count(), 1);
    }

    #[test]
    fn nothing_of_the_users_is_written_over() {
        let swap = tempfile::tempdir().unwrap();
        let out = swap.path().join("out");
        let first = files(&[("a.html", "1"), ("b.gcode", "1")]);
        write(&out, &first).unwrap();
        std::fs::write(out.join("b.gcode"), "changed by hand").unwrap();
        assert!(write(&out, &files(&[("a.html", "2"), ("b.gcode", "2")])).is_err());
        assert_eq!(std::fs::read_to_string(out.join("a.html")).unwrap(), "1");
        assert_eq!(
            std::fs::read_to_string(out.join("b.gcode")).unwrap(),
            "changed by hand"
        );
        // A file in place of a folder that is needed, and the other way round.
        assert!(write(&out, &files(&[("b.gcode/c", "2")])).is_err());
        std::fs::remove_file(out.join("b.gcode")).unwrap();
        write(&out, &first).unwrap();
        // Of no earlier run.
        let other = swap.path().join("other");
        std::fs::create_dir(&other).unwrap();
        std::fs::write(other.join("a.html"), "mine").unwrap();
        assert!(write(&other, &first).is_err());
        assert_eq!(listed(&other), ["a.html"]);
    }

    #[test]
    fn a_manifest_that_names_files_elsewhere_removes_nothing() {
        let swap = tempfile::tempdir().unwrap();
        let (out, precious) = (swap.path().join("out"), swap.path().join("precious"));
        std::fs::write(&precious, "x").unwrap();
        std::fs::create_dir(&out).unwrap();
        let entry = |name: &str| Entry {
            name: name.to_owned(),
            bytes: 1,
            sha256: sha256(b"x"),
        };
        let names = ["../precious", precious.to_str().unwrap(), ""];
        let manifest = Manifest {
            boardswap: "0".to_owned(),
            files: names.map(entry).into(),
        };
        std::fs::write(out.join(MANIFEST), serde_json::to_vec(&manifest).unwrap()).unwrap();
        write(&out, &files(&[("a.html", "1")])).unwrap();
        in_place(&out, Manifest::read(&out), &files(&[("b.html", "1")])).unwrap();
        assert_eq!(std::fs::read_to_string(&precious).unwrap(), "x");
    }

    /// The process that dies in the test below; nothing where that did not start it.
    #[test]
    fn dies_where_it_is_told() {
        let Some(out) = std::env::var_os(OUT).map(PathBuf::from) else {
            return;
        };
        let new = files(&[("a.html", "new"), ("pictures/b.svg", "new"), ("c.md", "new")]);
        if std::env::var_os(IN_PLACE).is_some() {
            in_place(&out, Manifest::read(&out), &with_manifest(&new).unwrap()).unwrap();
        } else {
            write(&out, &new).unwrap();
        }
    }

    const OUT: &str = "BOARDSWAP_TEST_OUT";
    const IN_PLACE: &str = "BOARDSWAP_TEST_IN_PLACE";

    /// Runs that process with a death at each moment in turn until one comes through, and looks at what is there each time.
    fn killed_everywhere(in_place: bool, look: impl Fn(&Path)) -> usize {
        for at in 0.. {
            let swap = tempfile::tempdir().unwrap();
            let out = swap.path().join("out");
            write(&out, &files(&[("a.html", "old"), ("pictures/b.svg", "old")])).unwrap();
            std::fs::write(out.join("notes.txt"), "mine").unwrap();
            let mut child = std::process::Command::new(std::env::current_exe().unwrap());
            child.args(["--exact", "exchange::tests::dies_where_it_is_told"]);
            child.env(OUT, &out).env(moment::KILL_AT, at.to_string());
            if in_place {
                child.env(IN_PLACE, "1");
            }
            let ended = child.output().unwrap().status;
            look(&out);
            assert_eq!(std::fs::read_to_string(out.join("notes.txt")).unwrap(), "mine");
            // The next run comes through and leaves nothing of the dead one.
            write(&out, &files(&[("a.html", "next")])).unwrap();
            assert_eq!(
                listed(&out),
                ["a.html", "manifest.json", "notes.txt"],
                "killed at {at}"
            );
            assert_eq!(
                std::fs::read_dir(swap.path()).unwrap().count(),
                1,
                "killed at {at}"
            );
            if ended.success() {
                return at;
            }
        }
        0
    }

    #[test]
    fn a_kill_at_any_moment_leaves_the_old_folder_or_the_new_one() {
        let moments = killed_everywhere(false, |out| {
            let text = |name: &str| std::fs::read_to_string(out.join(name)).ok();
            let (a, b, c) = (
                text("a.html").unwrap(),
                text("pictures/b.svg").unwrap(),
                text("c.md"),
            );
            assert_eq!(a, b);
            assert_eq!(c.is_some(), a == "new");
        });
        assert!(moments > 8, "{moments}");
    }

    /// Where folders cannot be exchanged each file is whole, and none is lost.
    #[test]
    fn a_kill_while_files_are_put_in_place_leaves_each_whole() {
        killed_everywhere(true, |out| {
            for name in ["a.html", "pictures/b.svg"] {
                let text = std::fs::read_to_string(out.join(name)).unwrap();
                assert!(text == "old" || text == "new", "{name}: {text}");
            }
        });
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_a_link() {
        let swap = tempfile::tempdir().unwrap();
        let out = swap.path().join("out");
        write(&out, &files(&[("a.html", "1")])).unwrap();
        std::os::unix::fs::symlink("../elsewhere", out.join("link")).unwrap();
        write(&out, &files(&[("a.html", "2")])).unwrap();
        assert_eq!(
            std::fs::read_link(out.join("link")).unwrap(),
            Path::new("../elsewhere")
        );
        // The folder itself may be a link: what it leads to changes.
        let link = swap.path().join("way");
        std::os::unix::fs::symlink("out", &link).unwrap();
        write(&link, &files(&[("a.html", "3")])).unwrap();
        assert!(std::fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(std::fs::read_to_string(out.join("a.html")).unwrap(), "3");
    }
}
