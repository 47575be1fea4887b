//! The whole file: copied while it is in use, and put back.
//!
//! A copy is looked at before it replaces anything: SQLite's own `integrity_check` and
//! `foreign_key_check`, every drawing against its hash, and that its layout is known here. What it replaces is kept beside it.

use crate::migrations;
use crate::{Store, StoreError};
use language::say;
use rusqlite::backup::{Backup, StepResult};
use rusqlite::{Connection, OpenFlags};
use sha2::{Digest as _, Sha256};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// What was put back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restored {
    /// Where the file that was there before stands now; nothing when there was none.
    pub kept: Option<PathBuf>,
}

impl Store {
    /// Copies the whole store into a new file, as it stands at one moment; others may go on writing meanwhile.
    /// The copy is checked, and has its name only when it is whole and on the disk.
    ///
    /// # Errors
    /// [`StoreError::Exists`], [`StoreError::Full`], [`StoreError::File`], [`StoreError::Database`].
    pub fn back_up(&self, to: &Path) -> Result<(), StoreError> {
        if to.exists() {
            return Err(StoreError::Exists { path: to.to_owned() });
        }
        let part = beside(to, "part");
        let copied = match &self.path {
            // A reader of its own: the store's calls need not wait for a long copy.
            Some(path) => read_only(path).and_then(|source| copy(&source, &part)),
            None => copy(&*self.connection()?, &part),
        };
        let whole = copied.and_then(|()| check(&read_only(&part)?, &part)).and_then(|()| rename(&part, to));
        discarded_unless(whole, &part)
    }

    /// Puts a copy in the place of all that the store holds, while it is in use: all or nothing. What it
    /// held is kept beside the store's file. The devices of the copy stay out.
    ///
    /// # Errors
    /// [`StoreError::Damaged`], [`StoreError::Foreign`], [`StoreError::Newer`], [`StoreError::Full`],
    /// [`StoreError::File`], [`StoreError::Database`]; nothing is replaced then.
    pub fn restore(&self, from: &Path) -> Result<Restored, StoreError> {
        let part = beside(self.path.as_deref().unwrap_or(from), "incoming");
        let done = sound_copy(from, &part).and_then(|()| {
            let kept = self.path.as_deref().map(free_name);
            if let Some(kept) = &kept {
                self.back_up(kept)?;
            }
            let mut db = self.connection()?;
            whole(&Backup::new(&read_only(&part)?, &mut db)?)?;
            Ok(Restored { kept })
        });
        discarded_unless(done, &part)
    }

    /// Whether the file holds together, by SQLite's own checks and the drawings' hashes.
    ///
    /// # Errors
    /// [`StoreError::Damaged`], [`StoreError::Database`].
    pub fn check(&self) -> Result<(), StoreError> {
        check(&*self.connection()?, self.path.as_deref().unwrap_or(Path::new("the store")))
    }
}

/// Puts a copy in the place of the file at `data`. A file that is too damaged to open is kept beside it as it is.
///
/// # Errors
/// As [`Store::restore`]; nothing is replaced then.
pub fn restore(data: &Path, from: &Path) -> Result<Restored, StoreError> {
    if data.exists()
        && let Ok(store) = Store::open(data)
        && store.check().is_ok()
    {
        return store.restore(from);
    }
    let part = beside(data, "incoming");
    let done = sound_copy(from, &part).and_then(|()| {
        let kept = data.exists().then(|| free_name(data));
        if let Some(kept) = &kept {
            set_aside(data, kept)?;
        }
        rename(&part, data)?;
        Ok(Restored { kept })
    });
    discarded_unless(done, &part)
}

/// Moves a file that does not open, with its log, which may hold what the file lacks.
fn set_aside(data: &Path, kept: &Path) -> Result<(), StoreError> {
    rename(data, kept)?;
    for tail in ["-wal", "-shm"] {
        let (from, to) = (with_tail(data, tail), with_tail(kept, tail));
        if from.exists() {
            rename(&from, &to)?;
        }
    }
    Ok(())
}

/// A checked copy at `to`, brought to the latest layout, its devices withdrawn: whoever was shut out since the
/// copy was made stays out.
fn sound_copy(from: &Path, to: &Path) -> Result<(), StoreError> {
    // A part of an earlier attempt that did not end.
    remove(to);
    let source = read_only(from)?;
    let damaged = |fault: StoreError| match fault {
        StoreError::Database(fault) => StoreError::Damaged { path: from.to_owned(), found: fault.to_string() },
        other => other,
    };
    if migrations::layout(&source).map_err(damaged)? == 0 {
        return Err(StoreError::Foreign);
    }
    check(&source, from).map_err(damaged)?;
    copy(&source, to)?;
    let mut db = Connection::open(to)?;
    migrations::migrate(&mut db)?;
    db.execute("INSERT OR IGNORE INTO withdrawn (device) SELECT id FROM device", [])?;
    Ok(())
}

fn check(db: &Connection, path: &Path) -> Result<(), StoreError> {
    let damaged = |found: String| StoreError::Damaged { path: path.to_owned(), found };
    let said: String = db.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
    if said != "ok" {
        return Err(damaged(said));
    }
    let lost = db.query_row("PRAGMA foreign_key_check", [], |row| row.get::<_, String>(0));
    match lost {
        Ok(table) => return Err(damaged(say!("a row of {table} belongs to nothing"))),
        Err(rusqlite::Error::QueryReturnedNoRows) => {}
        Err(other) => return Err(other.into()),
    }
    // SQLite does not see a changed byte inside a drawing; its own hash does.
    let mut drawings = db.prepare("SELECT sha256, bytes FROM artwork")?;
    let mut rows = drawings.query([])?;
    while let Some(row) = rows.next()? {
        let (hash, bytes): ([u8; 32], Vec<u8>) = (row.get(0)?, row.get(1)?);
        if <[u8; 32]>::from(Sha256::digest(&bytes)) != hash {
            return Err(damaged(say!("a drawing is not what was kept").to_owned()));
        }
    }
    Ok(())
}

fn copy(source: &Connection, to: &Path) -> Result<(), StoreError> {
    let mut target = Connection::open(to).map_err(|fault| StoreError::Open { path: to.to_owned(), fault })?;
    whole(&Backup::new(source, &mut target)?)?;
    // One file, without a log beside it.
    Ok(target.pragma_update(None, "journal_mode", "DELETE")?)
}

/// The whole copy in one step: a snapshot that no writer can start over again.
fn whole(backup: &Backup<'_, '_>) -> Result<(), StoreError> {
    const TRIES: u32 = 50;
    const PAUSE: Duration = Duration::from_millis(100);
    for _ in 0..TRIES {
        match backup.step(-1)? {
            StepResult::Done => return Ok(()),
            _ => std::thread::sleep(PAUSE),
        }
    }
    Err(StoreError::Busy)
}

fn read_only(path: &Path) -> Result<Connection, StoreError> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    Connection::open_with_flags(path, flags).map_err(|fault| StoreError::Open { path: path.to_owned(), fault })
}

/// A name beside the file that is not taken: `pieces.db.before-1`, `-2` and on.
fn free_name(path: &Path) -> PathBuf {
    let names = (1..).map(|number: u32| beside(path, &format!("before-{number}")));
    names.into_iter().find(|name| !name.exists()).unwrap_or_else(|| beside(path, "before"))
}

fn beside(path: &Path, tail: &str) -> PathBuf {
    with_tail(path, &format!(".{tail}"))
}

fn with_tail(path: &Path, tail: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(tail);
    PathBuf::from(name)
}

/// Renames, after the bytes are on the disk, and puts the new name on the disk too.
fn rename(from: &Path, to: &Path) -> Result<(), StoreError> {
    let fault = |doing| move |fault| StoreError::File { path: to.to_owned(), doing, fault };
    fs::File::open(from).and_then(|file| file.sync_all()).map_err(fault(say!("writing")))?;
    fs::rename(from, to).map_err(fault(say!("renaming")))?;
    let folder = to.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    // A folder cannot be opened on every system; where it can, its new entry is made to last.
    if let Ok(folder) = fs::File::open(folder) {
        let _ = folder.sync_all();
    }
    Ok(())
}

/// Passes the outcome on; the part is gone either way, or has become the file.
fn discarded_unless<T>(outcome: Result<T, StoreError>, part: &Path) -> Result<T, StoreError> {
    remove(part);
    outcome
}

fn remove(part: &Path) {
    for tail in ["", "-journal", "-wal", "-shm"] {
        // Best effort: most of these are not there.
        let _ = fs::remove_file(with_tail(part, tail));
    }
}
