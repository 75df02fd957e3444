//! The file of a record.

use std::path::{Path, PathBuf};

use rusqlite::{Connection, OpenFlags, params};

use crate::problem::Problem;
use crate::row::{Entry, Kind, Row, Stamp, Verdict};

/// Tells our files from other databases; drawn at random.
const APPLICATION: i64 = 0x4b1e_63a7;
/// The form of the table; another number where it changes.
const FORM: i64 = 1;

const TABLE: &str = "
CREATE TABLE rows (
    number INTEGER PRIMARY KEY,
    at TEXT NOT NULL,
    who TEXT NOT NULL,
    board TEXT NOT NULL,
    files TEXT NOT NULL,
    kind TEXT NOT NULL,
    step TEXT NOT NULL,
    what TEXT NOT NULL,
    value TEXT NOT NULL,
    verdict TEXT,
    reason TEXT NOT NULL,
    basis TEXT NOT NULL,
    corrects INTEGER,
    before TEXT NOT NULL,
    hash TEXT NOT NULL
) STRICT;
CREATE TRIGGER rows_are_not_changed BEFORE UPDATE ON rows
BEGIN SELECT RAISE(ABORT, 'rows are only ever added'); END;
CREATE TRIGGER rows_are_not_deleted BEFORE DELETE ON rows
BEGIN SELECT RAISE(ABORT, 'rows are only ever added'); END;
";

/// A record that is being written: no other process can take it meanwhile.
#[derive(Debug)]
pub struct Record {
    path: PathBuf,
    connection: Connection,
    rows: Vec<Row>,
}

impl Record {
    /// Opens a record to add to it; begins one where there is none.
    ///
    /// # Errors
    /// [`Problem`]: in use, of a newer version, altered, no record, no place to write.
    pub fn open(path: &Path) -> Result<Self, Problem> {
        let (connection, rows) = connect(path, Use::Write)?;
        Ok(Self {
            path: path.to_owned(),
            connection,
            rows,
        })
    }

    /// The rows of a record, each held against the one before; none where there is no file.
    ///
    /// # Errors
    /// As [`Self::open`].
    pub fn read(path: &Path) -> Result<Vec<Row>, Problem> {
        if !path.exists() {
            return Ok(Vec::new());
        }
        connect(path, Use::Read).map(|(_, rows)| rows)
    }

    /// A record of rows that an export kept.
    ///
    /// # Errors
    /// [`Problem::NotEmpty`] where there are rows already, else as [`Self::open`].
    pub fn take_up(path: &Path, rows: Vec<Row>) -> Result<Self, Problem> {
        let mut record = Self::open(path)?;
        if !record.rows.is_empty() {
            return Err(Problem::NotEmpty(path.to_owned()));
        }
        record.put_all(&rows)?;
        record.rows = rows;
        Ok(record)
    }

    /// The rows, the first first.
    #[must_use]
    pub fn rows(&self) -> &[Row] {
        &self.rows
    }

    /// Adds a row. Once it is answered for, it is on the disk.
    ///
    /// Where the file was taken away meanwhile, the record is written again, whole.
    ///
    /// # Errors
    /// [`Problem::Full`] or [`Problem::Disk`]: then the row is not there, and all before it are.
    pub fn append(&mut self, stamp: &Stamp, entry: Entry) -> Result<&Row, Problem> {
        let fault = |error| Problem::of(&self.path, &error);
        let now = "SELECT strftime('%Y-%m-%dT%H:%M:%fZ', 'now')";
        let at: String = self
            .connection
            .query_row(now, [], |row| row.get(0))
            .map_err(fault)?;
        let row = Row::behind(self.rows.last(), at, stamp.clone(), entry);
        put(&self.connection, &row).map_err(fault)?;
        self.rows.push(row);
        if !self.path.exists() {
            self.write_again()?;
        }
        Ok(&self.rows[self.rows.len() - 1])
    }

    /// The whole record into a new file.
    fn write_again(&mut self) -> Result<(), Problem> {
        // As it ends, the old connection removes a log of this name: not that of the new one.
        let none = Connection::open_in_memory().map_err(|error| Problem::of(&self.path, &error))?;
        drop(core::mem::replace(&mut self.connection, none));
        for more in ["-wal", "-shm"] {
            let mut name = self.path.clone().into_os_string();
            name.push(more);
            let _ = std::fs::remove_file(name);
        }
        self.connection = connect(&self.path, Use::Write)?.0;
        let rows = core::mem::take(&mut self.rows);
        let put = self.put_all(&rows);
        self.rows = rows;
        put
    }

    /// All of some rows, or none.
    fn put_all(&mut self, rows: &[Row]) -> Result<(), Problem> {
        let fault = |error| Problem::of(&self.path, &error);
        let all = self.connection.transaction().map_err(fault)?;
        for row in rows {
            put(&all, row).map_err(fault)?;
        }
        all.commit().map_err(fault)
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Use {
    Read,
    Write,
}

fn connect(path: &Path, to: Use) -> Result<(Connection, Vec<Row>), Problem> {
    let fault = |error| Problem::of(path, &error);
    let begin = if to == Use::Write {
        OpenFlags::SQLITE_OPEN_CREATE
    } else {
        OpenFlags::empty()
    };
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX | begin;
    // Whoever may only read still can, where nobody left a log behind.
    let connection = Connection::open_with_flags(path, flags)
        .or_else(|error| match to {
            Use::Read => Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_ONLY),
            Use::Write => Err(error),
        })
        .map_err(fault)?;
    connection
        .busy_timeout(std::time::Duration::from_millis(500))
        .map_err(fault)?;
    if to == Use::Write {
        // Held until the connection ends; in this mode the log needs no shared memory.
        connection
            .pragma_update(None, "locking_mode", "EXCLUSIVE")
            .map_err(fault)?;
        connection
            .pragma_update(None, "journal_mode", "WAL")
            .map_err(fault)?;
        connection
            .pragma_update(None, "synchronous", "FULL")
            .map_err(fault)?;
    }
    let pragma = |name: &str| -> Result<i64, Problem> {
        connection
            .pragma_query_value(None, name, |row| row.get(0))
            .map_err(fault)
    };
    let tables: i64 = connection
        .query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))
        .map_err(fault)?;
    if tables == 0 && to == Use::Write {
        let begin = format!(
            "BEGIN IMMEDIATE; PRAGMA application_id = {APPLICATION}; PRAGMA user_version = {FORM}; {TABLE} COMMIT;"
        );
        connection.execute_batch(&begin).map_err(fault)?;
        return Ok((connection, Vec::new()));
    }
    if tables == 0 {
        return Ok((connection, Vec::new()));
    }
    if pragma("application_id")? != APPLICATION {
        return Err(Problem::NoRecord(
            path.to_owned(),
            "a database of another program".to_owned(),
        ));
    }
    let form = pragma("user_version")?;
    if form > FORM {
        return Err(Problem::Newer(path.to_owned(), form));
    }
    let rows = rows(&connection, path)?;
    if to == Use::Write {
        // Take the lock now, not with the first row.
        connection
            .execute_batch("BEGIN IMMEDIATE; COMMIT;")
            .map_err(fault)?;
    }
    Ok((connection, rows))
}

/// All rows, each held against the one before.
fn rows(connection: &Connection, path: &Path) -> Result<Vec<Row>, Problem> {
    let fault = |error| Problem::of(path, &error);
    let columns = "SELECT number, at, who, board, files, kind, step, what, value, verdict, reason, basis, corrects, before, hash
                   FROM rows ORDER BY number";
    let mut query = connection.prepare(columns).map_err(fault)?;
    let mut found = query.query([]).map_err(fault)?;
    let mut rows: Vec<Row> = Vec::new();
    while let Some(row) = found.next().map_err(fault)? {
        let number: i64 = row.get(0).map_err(fault)?;
        let number = u64::try_from(number).unwrap_or(0);
        let altered = |what: &str| Problem::Altered(number, what.to_owned());
        let text = |at: usize| row.get::<_, String>(at).map_err(|_| altered("a text is missing"));
        let kind = text(5)?;
        let kind = Kind::ALL.into_iter().find(|own| own.word() == kind);
        let verdict: Option<String> = row.get(9).map_err(|_| altered("its verdict is no text"))?;
        let verdict = verdict.map(|word| {
            let known = Verdict::ALL.into_iter().find(|own| own.word() == word);
            known.ok_or_else(|| altered("its verdict is none that is known"))
        });
        let verdict = verdict.transpose()?;
        let corrects: Option<i64> = row
            .get(12)
            .map_err(|_| altered("what it corrects is no number"))?;
        let row = Row {
            number,
            at: text(1)?,
            stamp: Stamp {
                who: text(2)?,
                board: text(3)?,
                files: text(4)?,
            },
            entry: Entry {
                kind: kind.ok_or_else(|| altered("its kind is none that is known"))?,
                step: text(6)?,
                what: text(7)?,
                value: text(8)?,
                verdict,
                reason: text(10)?,
                basis: text(11)?,
                corrects: corrects.and_then(|number| u64::try_from(number).ok()),
            },
            before: text(13)?,
            hash: text(14)?,
        };
        if let Some(why) = row.fault(rows.last()) {
            return Err(altered(why));
        }
        rows.push(row);
    }
    Ok(rows)
}

fn put(connection: &Connection, row: &Row) -> rusqlite::Result<()> {
    let (stamp, entry) = (&row.stamp, &row.entry);
    let number = |number: u64| i64::try_from(number).unwrap_or(i64::MAX);
    connection
        .execute(
            "INSERT INTO rows VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15)",
            params![
                number(row.number),
                row.at,
                stamp.who,
                stamp.board,
                stamp.files,
                entry.kind.word(),
                entry.step,
                entry.what,
                entry.value,
                entry.verdict.map(Verdict::word),
                entry.reason,
                entry.basis,
                entry.corrects.map(number),
                row.before,
                row.hash,
            ],
        )
        .map(|_| ())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry(value: &str) -> Entry {
        Entry {
            value: value.to_owned(),
            verdict: Some(Verdict::Pass),
            ..Entry::of(Kind::Reading, "resistance:H1")
        }
    }

    /// SQLite's own bound of a file stands for a full disk.
    #[test]
    fn a_full_disk_loses_nothing_that_was_answered_for() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("record.sqlite");
        let mut record = Record::open(&path).unwrap();
        record
            .connection
            .pragma_update(None, "max_page_count", 12)
            .unwrap();
        let long = "x".repeat(4_000);
        let mut answered = 0;
        let problem = loop {
            match record.append(&Stamp::default(), entry(&long)) {
                Ok(row) => answered = row.number,
                Err(problem) => break problem,
            }
        };
        assert_eq!(problem, Problem::Full(path.clone()));
        assert!(answered > 2);
        assert_eq!(record.rows().len() as u64, answered);
        // It goes on where there is room again.
        record
            .connection
            .pragma_update(None, "max_page_count", 1_000)
            .unwrap();
        assert_eq!(
            record.append(&Stamp::default(), entry("2 Ω")).unwrap().number,
            answered + 1
        );
        drop(record);
        assert_eq!(Record::read(&path).unwrap().len() as u64, answered + 1);
    }

    #[test]
    fn rows_are_only_ever_added() {
        let folder = tempfile::tempdir().unwrap();
        let mut record = Record::open(&folder.path().join("record.sqlite")).unwrap();
        record.append(&Stamp::default(), entry("1 Ω")).unwrap();
        for change in ["UPDATE rows SET value = '2 Ω'", "DELETE FROM rows"] {
            let refused = record.connection.execute(change, []).unwrap_err();
            assert!(
                refused.to_string().contains("rows are only ever added"),
                "{refused}"
            );
        }
    }
}
