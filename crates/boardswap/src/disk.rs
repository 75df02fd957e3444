//! The disk: files of a swap folder in, whole files out.

use std::collections::BTreeMap;
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};

use model::{FileError, Files, LARGEST_FILE, OwnFile};

use crate::faults::Trouble;
use crate::{litter, moment, template};

/// A swap folder on disk.
pub struct Folder {
    path: PathBuf,
    own: Option<PathBuf>,
}

/// The variable that names the user's own folder, which serves all swaps.
pub const OWN_FOLDER: &str = "BOARDSWAP_CONFIG";

/// The user's own folder: as the variable says, else where the system keeps configurations.
fn own_folder() -> Option<PathBuf> {
    let of = |name: &str| {
        std::env::var_os(name)
            .filter(|value| !value.is_empty())
            .map(PathBuf::from)
    };
    if let Some(folder) = of(OWN_FOLDER) {
        return Some(folder);
    }
    // The XDG Base Directory Specification takes no relative path.
    let config = of("XDG_CONFIG_HOME").filter(|folder| folder.is_absolute());
    let config = config
        .or_else(|| Some(of("HOME")?.join(".config")))
        .or_else(|| of("APPDATA"));
    Some(config?.join("boardswap"))
}

impl Folder {
    /// A folder that may not hold a swap yet.
    pub fn at(path: &Path) -> Self {
        Self {
            path: path.to_owned(),
            own: own_folder(),
        }
    }
    /// The folder, which must be there.
    pub fn open(path: &Path) -> Result<Self, Trouble> {
        match std::fs::metadata(path) {
            Ok(data) if data.is_dir() => {}
            Ok(_) => {
                return Err(Trouble::user(
                    format!("`{}` is a file, not a folder", path.display()),
                    None,
                ));
            }
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                let help = "`boardswap new FOLDER` creates one".to_owned();
                return Err(Trouble::user(
                    format!("there is no folder `{}`", path.display()),
                    help,
                ));
            }
            Err(error) => return Err(Trouble::machine(format!("`{}`: {error}", path.display()))),
        }
        if !path.join("swap.toml").exists() {
            let help =
                "go to the folder of a swap or name it with --folder; `boardswap new FOLDER` creates one, `boardswap survey` asks for it, `boardswap demo` is an example"
                    .to_owned();
            return Err(Trouble::user(
                format!("there is no `swap.toml` in `{}`", path.display()),
                help,
            ));
        }
        Ok(Self::at(path))
    }
    /// Loads the swap; refuses one whose files are still the template in part.
    pub fn load(&self) -> Result<model::Swap, Trouble> {
        let swap = model::load(self).map_err(|faults| Trouble::Files(Box::new(faults)))?;
        let text = |path: &str| {
            let bytes = self.read(path).ok()?;
            Some(String::from_utf8_lossy(&bytes).into_owned())
        };
        template::refuse(text)?;
        Ok(swap)
    }
}

impl Files for Folder {
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError> {
        read(&self.path.join(path))
    }
    fn own(&self, path: &str) -> Result<OwnFile, FileError> {
        let path = self.own.as_ref().ok_or(FileError::Missing)?.join(path);
        Ok(OwnFile {
            bytes: read(&path)?,
            path: shown(&path),
        })
    }
    fn names(&self, folder: &str) -> Vec<String> {
        names(&self.path.join(folder))
    }
    fn own_names(&self, folder: &str) -> Vec<String> {
        self.own
            .as_ref()
            .map_or_else(Vec::new, |own| names(&own.join(folder)))
    }
}

/// The files of a swap, some of them as they would be.
pub struct Overlay<'f> {
    folder: &'f Folder,
    texts: BTreeMap<String, String>,
}

impl<'f> Overlay<'f> {
    /// Texts by their paths, in place of those in the folder.
    pub fn of(folder: &'f Folder, texts: impl IntoIterator<Item = (String, String)>) -> Self {
        Self {
            folder,
            texts: texts.into_iter().collect(),
        }
    }
}

impl Files for Overlay<'_> {
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError> {
        match self.texts.get(path) {
            Some(text) => Ok(text.clone().into_bytes()),
            None => self.folder.read(path),
        }
    }
    fn own(&self, path: &str) -> Result<OwnFile, FileError> {
        self.folder.own(path)
    }
    fn names(&self, folder: &str) -> Vec<String> {
        self.folder.names(folder)
    }
    fn own_names(&self, folder: &str) -> Vec<String> {
        self.folder.own_names(folder)
    }
}

/// A path for messages and for dossiers that are passed on: the home folder is nobody's business.
fn shown(path: &Path) -> String {
    let home = std::env::var_os("HOME").map(PathBuf::from);
    let inside = home.as_ref().and_then(|home| path.strip_prefix(home).ok());
    inside.map_or_else(
        || path.display().to_string(),
        |inside| format!("~/{}", inside.display()),
    )
}

/// How long a pipe may be without anybody who writes into it.
const PATIENCE: std::time::Duration = std::time::Duration::from_secs(3);

/// Opens a file for reading. Opening a pipe waits until somebody opens its other end; where nobody does, it is refused.
pub fn open(path: &Path) -> std::io::Result<std::fs::File> {
    if !is_pipe(path) {
        return std::fs::File::open(path);
    }
    let (sender, receiver) = std::sync::mpsc::channel();
    let own = path.to_owned();
    // Where nobody comes the thread waits on, and ends with the program.
    std::thread::spawn(move || sender.send(std::fs::File::open(own)));
    let _awaiting = crate::busy::Awaiting::new(&format!(
        "a program that writes into the pipe `{}`",
        path.display()
    ));
    receiver.recv_timeout(PATIENCE).unwrap_or_else(|_| {
        let why = "nobody writes into this pipe: start the program that does first";
        Err(std::io::Error::new(std::io::ErrorKind::TimedOut, why))
    })
}

/// A file to be read to its end; of a pipe that stays silent the sign says so.
pub fn patient(file: std::fs::File, path: &Path) -> Box<dyn std::io::Read> {
    if is_pipe(path) {
        let what = format!("the pipe `{}`", path.display());
        return Box::new(crate::busy::Patient::new(file, what));
    }
    Box::new(file)
}

/// Whether something is a pipe: it can be read once, and has no length.
pub fn is_pipe(path: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt as _;
        std::fs::metadata(path).is_ok_and(|data| data.file_type().is_fifo())
    }
    #[cfg(not(unix))]
    {
        let _ = path;
        false
    }
}

fn read(path: &Path) -> Result<Vec<u8>, FileError> {
    let refused = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::NotFound => FileError::Missing,
        _ => FileError::Refused(error.to_string()),
    };
    let file = open(path).map_err(refused)?;
    let data = file.metadata().map_err(refused)?;
    if data.is_dir() {
        return Err(FileError::Refused("it is a folder".to_owned()));
    }
    if data.len() > LARGEST_FILE {
        return Err(FileError::TooLarge(data.len()));
    }
    // A pipe or a growing file states no length: never take more than the limit and one byte.
    let mut bytes = Vec::new();
    patient(file, path)
        .take(LARGEST_FILE + 1)
        .read_to_end(&mut bytes)
        .map_err(refused)?;
    Ok(bytes)
}

/// A text of at most so many bytes that the user named.
pub fn text(path: &Path, largest: u64) -> Result<String, Trouble> {
    let bytes = bytes(path, largest)?;
    String::from_utf8(bytes).map_err(|_| {
        let help = "take the file as it was written".to_owned();
        Trouble::user(format!("`{}` is no text in UTF-8", path.display()), help)
    })
}

/// A file of at most so many bytes that the user named.
pub fn bytes(path: &Path, largest: u64) -> Result<Vec<u8>, Trouble> {
    let refused = |error: std::io::Error| {
        let help = "name a file that can be read".to_owned();
        Trouble::user(format!("`{}`: {error}", path.display()), help)
    };
    let mut bytes = Vec::new();
    let file = open(path).map_err(refused)?;
    file.take(largest + 1).read_to_end(&mut bytes).map_err(refused)?;
    if bytes.len() as u64 > largest {
        let help = format!("at most {} MiB are read", largest >> 20);
        return Err(Trouble::user(format!("`{}` is too large", path.display()), help));
    }
    Ok(bytes)
}

/// The files in a folder, in order; none where it cannot be read.
fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let files = entries.filter(|entry| entry.path().is_file());
    let mut names: Vec<String> = files
        .filter_map(|entry| entry.file_name().into_string().ok())
        .collect();
    names.sort_unstable();
    names
}

/// Writes files into a folder, all or none as far as a disk allows: each is written beside its place and synced, and only
/// when all are there are they renamed.
pub fn write_all(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), Trouble> {
    put_all(folder, files, true)
}

/// As [`write_all`], but never over a file: what came there meanwhile stays.
pub fn write_new(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), Trouble> {
    put_all(folder, files, false)
}

/// Which of these files, or of the folders that they need, are in the way of being written; those that hold the very bytes are not.
pub fn in_the_way(folder: &Path, files: &[(String, Vec<u8>)]) -> Vec<String> {
    let mut found = Vec::new();
    let mut take = |path: &Path| {
        let path = path.display().to_string();
        if !found.contains(&path) {
            found.push(path);
        }
    };
    for (name, bytes) in files {
        let target = folder.join(name);
        for parent in target
            .ancestors()
            .skip(1)
            .take_while(|parent| parent.starts_with(folder))
        {
            if std::fs::metadata(parent).is_ok_and(|data| !data.is_dir()) {
                take(parent);
            }
        }
        let there = std::fs::symlink_metadata(&target).is_ok();
        if there && std::fs::read(&target).ok().as_ref() != Some(bytes) {
            take(&target);
        }
    }
    found
}

fn put_all(folder: &Path, files: &[(String, Vec<u8>)], over: bool) -> Result<(), Trouble> {
    let mut ready = Vec::with_capacity(files.len());
    let mut parents: Vec<PathBuf> = files
        .iter()
        .filter_map(|(name, _)| folder.join(name).parent().map(Path::to_owned))
        .collect();
    parents.sort_unstable();
    parents.dedup();
    parents
        .iter()
        .for_each(|parent| litter::tell(&litter::clean(parent)));
    for (name, bytes) in files {
        let target = folder.join(name);
        let parent = target.parent().unwrap_or(folder);
        std::fs::create_dir_all(parent).map_err(|error| cannot_write(parent, &error))?;
        let mut file = tempfile::Builder::new()
            .prefix(litter::PREFIX)
            .tempfile_in(parent)
            .map_err(|error| cannot_write(parent, &error))?;
        // Held until it has its name, so that no other run takes it for litter.
        let _ = file.as_file().try_lock();
        moment::pass();
        file.write_all(bytes)
            .map_err(|error| cannot_write(&target, &error))?;
        file.as_file()
            .sync_all()
            .map_err(|error| cannot_write(&target, &error))?;
        readable_by_all(file.as_file());
        ready.push((file, target));
    }
    for (file, target) in ready {
        moment::pass();
        let put = if over {
            file.persist(&target)
        } else {
            file.persist_noclobber(&target)
        };
        put.map_err(|error| cannot_write(&target, &error.error))?;
    }
    Ok(())
}

/// Temporary files are private; what a person is to open and pass on should be as any other file.
fn readable_by_all(file: &std::fs::File) {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let _ = file.set_permissions(std::fs::Permissions::from_mode(0o644));
    }
    #[cfg(not(unix))]
    let _ = file;
}

pub fn cannot_write(path: &Path, error: &std::io::Error) -> Trouble {
    Trouble::machine(format!(
        "cannot write `{}`: {error}; nothing there was changed",
        path.display()
    ))
}
