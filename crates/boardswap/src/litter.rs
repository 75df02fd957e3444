//! What an interrupted run left: folders and files beside the results, with names that no other program gives.
//!
//! A run holds a lock on each of its own while it lives; the system lets go of it with the process, however that ends. What nobody holds is
//! litter, and the next run takes it away.

use std::fs::File;
use std::path::{Path, PathBuf};

/// Begins the name of everything that is not finished.
pub const PREFIX: &str = ".boardswap-";

/// Letters and digits behind it.
const RANDOM: usize = 6;

/// Holds a folder or file for as long as the handle lives; nothing where the disk knows no locks: it is then never taken for litter, since
/// [`clean`] cannot lock it either.
pub fn hold(path: &Path) -> Option<File> {
    let file = File::open(path).ok()?;
    file.try_lock().ok()?;
    Some(file)
}

/// Whether a name is one of ours.
pub fn is_ours(name: &str) -> bool {
    let random = name.strip_prefix(PREFIX).unwrap_or_default();
    random.len() == RANDOM && random.bytes().all(|byte| byte.is_ascii_alphanumeric())
}

/// Takes away what interrupted runs left in a folder, and says which.
pub fn clean(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let ours = entries.filter(|entry| entry.file_name().to_str().is_some_and(is_ours));
    let mut removed: Vec<PathBuf> = ours
        .filter_map(|entry| {
            let path = entry.path();
            // The kind of the entry itself: a link leads to what is somebody else's.
            let kind = entry.file_type().ok()?;
            let held = hold(&path)?;
            let gone = if kind.is_dir() {
                std::fs::remove_dir_all(&path)
            } else if kind.is_file() {
                std::fs::remove_file(&path)
            } else {
                return None;
            };
            drop(held);
            gone.ok().map(|()| path)
        })
        .collect();
    removed.sort_unstable();
    removed
}

/// Tells on standard error what was taken away.
pub fn tell(removed: &[PathBuf]) {
    for path in removed {
        anstream::eprintln!("note: removed `{}`, left by an interrupted run", path.display());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_held_or_not_ours_stays() {
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name);
        for name in [".boardswap-aaaaaa", ".boardswap-bbbbbb", ".boardswap-notes"] {
            std::fs::create_dir(path(name)).unwrap();
            std::fs::write(path(name).join("x"), "x").unwrap();
        }
        std::fs::write(path(".boardswap-cccccc"), "x").unwrap();
        std::fs::write(path("boardswap-dddddd"), "x").unwrap();
        #[cfg(unix)]
        std::os::unix::fs::symlink("boardswap-dddddd", path(".boardswap-eeeeee")).unwrap();
        let held = hold(&path(".boardswap-bbbbbb"));
        assert!(held.is_some());
        assert_eq!(
            clean(folder.path()),
            [path(".boardswap-aaaaaa"), path(".boardswap-cccccc")]
        );
        assert!(path(".boardswap-bbbbbb").exists() && path(".boardswap-notes").exists());
        assert!(path("boardswap-dddddd").exists());
        drop(held);
        assert_eq!(clean(folder.path()), [path(".boardswap-bbbbbb")]);
    }
}
