//! What can be wrong with a record.

use std::path::PathBuf;

/// Why a record cannot be read or written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Problem {
    /// Another run of the program is recording into it.
    InUse(PathBuf),
    /// A newer version of the program wrote it: the number of its form.
    Newer(PathBuf, i64),
    /// The file is something else.
    NoRecord(PathBuf, String),
    /// A row is not as it was written: its number, and what tells.
    Altered(u64, String),
    /// The disk is full: the row that was to be written is not there, all before it are.
    Full(PathBuf),
    /// Trouble of the machine.
    Disk(PathBuf, String),
    /// A line of an export is no row: its number, and why.
    Line(usize, String),
    /// Rows are to be taken up where rows are already.
    NotEmpty(PathBuf),
}

impl Problem {
    /// How it is mended.
    #[must_use]
    pub fn help(&self) -> &'static str {
        match self {
            Self::InUse(_) => "end the other bring-up first, or wait for it",
            Self::Newer(..) => "read it with the version of boardswap that wrote it",
            Self::NoRecord(..) => "move the file away; a record is begun anew where there is none",
            Self::Altered(..) => {
                "put back the file as it was, or move it away and take up an export with `boardswap record --import`"
            }
            Self::Full(_) => "free some space, then go on: what was recorded before is there",
            Self::Disk(..) => "look at the disk and its permissions, then go on",
            Self::Line(..) => "take the file as `boardswap record --export` wrote it",
            Self::NotEmpty(_) => "move the record away first; rows of two records are not joined",
        }
    }

    /// Whether the machine is to blame, not what the user gave.
    #[must_use]
    pub fn of_the_machine(&self) -> bool {
        matches!(self, Self::Full(_) | Self::Disk(..))
    }

    #[cfg(feature = "disk")]
    pub(crate) fn of(path: &std::path::Path, error: &rusqlite::Error) -> Self {
        use rusqlite::ErrorCode;
        let path = path.to_owned();
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::InUse(path),
            Some(ErrorCode::DiskFull) => Self::Full(path),
            Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt) => {
                Self::NoRecord(path, error.to_string())
            }
            _ => Self::Disk(path, error.to_string()),
        }
    }
}

impl core::fmt::Display for Problem {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::InUse(path) => write!(formatter, "another run is recording into `{}`", path.display()),
            Self::Newer(path, form) => write!(
                formatter,
                "`{}` was written by a newer version (form {form})",
                path.display()
            ),
            Self::NoRecord(path, why) => write!(formatter, "`{}` is no record: {why}", path.display()),
            Self::Altered(number, why) => write!(formatter, "row {number} of the record was altered: {why}"),
            Self::Full(path) => write!(
                formatter,
                "the disk is full: the last row is not in `{}`, all before it are",
                path.display()
            ),
            Self::Disk(path, why) => write!(formatter, "`{}`: {why}", path.display()),
            Self::Line(number, why) => write!(formatter, "line {number} is no row of a record: {why}"),
            Self::NotEmpty(path) => write!(formatter, "`{}` holds rows already", path.display()),
        }
    }
}

impl core::error::Error for Problem {}
