//! The one way to open a log: folder, file, pragmas, schema.

use crate::StoreError;
use crate::backup::PAGES;
use crate::carve::{Found, carve};
use crate::health::{Health, examine};
use crate::journal::journal_is_of;
use crate::migrate::{STEPS, bring_up, check_shape, schema_of};
use crate::place::{
    BESIDE, can_be_named, folder_of, has_one_name, make_folder, make_keepers_only, names_no_part,
    plain_file, whole_name, with_end,
};
use crate::rolling::backups_folder;
use crate::standing::{Fate, Standing, Tally};
use crate::whole_file::place_whole;
use rusqlite::backup::Backup;
use rusqlite::{Connection, OpenFlags};
use std::cell::{Cell, RefCell};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// How long to wait for another program that is writing [s].
pub(crate) const BUSY_SECONDS: u64 = 10;

/// As much of a file is looked at for entries when it does not say what it is
/// [bytes].
const LOOKED_AT: u64 = 4 * 1024 * 1024;
/// Longest name of a folder in a message [characters].
const NAME_LONG: usize = 30;

/// How long to wait for another program, as [`BUSY_SECONDS`], when the journal
/// mode is changed, and between tries.
const MODE_WAIT: Duration = Duration::from_secs(BUSY_SECONDS);
const MODE_TRY: Duration = Duration::from_millis(25);

/// Open what is there; make nothing.
pub(crate) const READ_WRITE: OpenFlags =
    OpenFlags::SQLITE_OPEN_READ_WRITE.union(OpenFlags::SQLITE_OPEN_NO_MUTEX);

/// Look at what is there; make and change nothing.
pub(crate) const READ_ONLY: OpenFlags =
    OpenFlags::SQLITE_OPEN_READ_ONLY.union(OpenFlags::SQLITE_OPEN_NO_MUTEX);

/// The one way to connect to a file. Its path is made absolute: SQLite takes
/// some names for another file or none, such as `file:log.db?x=`, `:memory:`.
pub(crate) fn connect(path: &Path, flags: OpenFlags) -> rusqlite::Result<Connection> {
    Connection::open_with_flags(whole_name(path)?, flags)
}

/// Connect to a file where nothing may be written. SQLite needs files beside a
/// log unless it is told that nobody writes.
fn as_it_stands(real: &Path) -> Result<Connection, StoreError> {
    let no_journal = || journals(real).all(|j| is_empty(&j));
    let unwritten = || Ok(open_unwritten(real)?);
    if let Err(error) = has_one_name(real) {
        // A journal under this name may be of an older time.
        return match no_journal() {
            true => unwritten(),
            false => Err(error),
        };
    }
    journal_is_of(real, real)?;
    let db = connect(real, READ_ONLY).map_err(|e| StoreError::not_opened(real, e))?;
    db.busy_timeout(Duration::from_secs(BUSY_SECONDS))?;
    let looked = db.query_row("SELECT count(*) FROM sqlite_schema", [], |_| Ok(()));
    match looked.map_err(|error| StoreError::from(error).about(real)) {
        Ok(()) => Ok(db),
        // What is in a journal would be passed over.
        Err(StoreError::NotWritable(_)) if no_journal() => unwritten(),
        Err(error) => Err(error),
    }
}

/// Connect to a file that nobody writes: SQLite leaves nothing beside it.
pub(crate) fn open_unwritten(real: &Path) -> rusqlite::Result<Connection> {
    let whole = whole_name(real)?;
    Connection::open_with_flags(unwritten(&whole), READ_ONLY | OpenFlags::SQLITE_OPEN_URI)
}

/// Connect to a backup to read it. One that was opened as a log once would be
/// given journals beside it even so.
pub(crate) fn connect_to_backup(path: &Path) -> rusqlite::Result<Connection> {
    match journals(path).all(|j| is_empty(&j)) {
        true => open_unwritten(path),
        false => connect(path, READ_ONLY),
    }
}

fn journals(real: &Path) -> impl Iterator<Item = PathBuf> {
    ["-wal", "-journal"]
        .into_iter()
        .map(|end| with_end(real, end))
}

/// Whether there is nothing in the file, or no file.
pub(crate) fn is_empty(path: &Path) -> bool {
    std::fs::metadata(path).map_or(true, |found| found.len() == 0)
}

/// The address by which SQLite takes a file for one that nobody writes. Each
/// byte of its path but letters and digits is spelled out, so that no name is
/// read as anything else.
fn unwritten(real: &Path) -> String {
    let mut address = "file://".to_owned();
    let bytes = real.as_os_str().as_encoded_bytes();
    if bytes.first() != Some(&b'/') {
        address.push('/');
    }
    for byte in bytes {
        match byte {
            b'/' => address.push('/'),
            b'\\' if cfg!(windows) => address.push('/'),
            b if b.is_ascii_alphanumeric() => address.push(char::from(*b)),
            b':' if cfg!(windows) => address.push(':'),
            b => address.push_str(&format!("%{b:02X}")),
        }
    }
    address + "?immutable=1"
}

/// A keeper's log, open.
#[derive(Debug)]
pub struct Store {
    pub(crate) db: Connection,
    pub(crate) path: Option<PathBuf>,
    pub(crate) standing: Option<Standing>,
    pub(crate) tally: Tally,
    pub(crate) health: RefCell<Health>,
    pub(crate) gone: Cell<Option<Fate>>,
    /// A copy in memory of a log that cannot be written to.
    pub(crate) read_only: bool,
}

impl Store {
    /// Open the log at `path`, making the folder and the file when they are
    /// not there, for the keeper's eyes only, and bringing an older schema up
    /// to date (after a copy beside the file). A log with entries that cannot
    /// be read opens and shows all others: see [`Store::health`].
    ///
    /// # Errors
    /// When the file cannot be made or read, is empty, is not a log of this
    /// tool, is not as this tool makes it, or was written with a newer schema.
    /// Such a file is left untouched.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        match Self::open_existing(path) {
            Err(StoreError::NotThere(_)) => {
                can_be_named(path)?;
                make_folder(folder_of(path))?;
                match place_whole(path, false, None, begin) {
                    // Another program made one just now.
                    Ok(()) | Err(StoreError::Exists(_)) => Self::open_existing(path),
                    Err(error) => Err(error),
                }
            }
            other => other,
        }
    }

    /// Open the log at `path` when there is one. Makes no folder and no log.
    ///
    /// # Errors
    /// [`StoreError::NotThere`]; [`StoreError::Empty`] for a file without
    /// content, which a log never is; otherwise as [`Store::open`].
    pub fn open_existing(path: &Path) -> Result<Self, StoreError> {
        let Some(real) = plain_file(path)? else {
            names_no_part(path)?;
            return Err(StoreError::NotThere(path.to_owned()));
        };
        // SQLite takes a file of one byte for an empty one, too.
        let empty = |p: &Path| std::fs::metadata(p).map_or(true, |found| found.len() <= 1);
        if empty(&real) && BESIDE.iter().all(|end| empty(&with_end(&real, end))) {
            return Err(StoreError::Empty(path.to_owned()));
        }
        if BESIDE.iter().any(|end| {
            real.as_os_str()
                .as_encoded_bytes()
                .ends_with(end.as_bytes())
        }) {
            names_no_part(&real)?;
        }
        has_one_name(&real).map_err(|error| error.at(path))?;
        journal_is_of(&real, path)?;
        Self::open_file(path).map_err(|error| match error.about(path) {
            StoreError::NotOurs(_) => not_ours(path, &real),
            other => other,
        })
    }

    /// Open the log at `path` to read; where it, or its folder, cannot be
    /// written to, or it has a second name, too. What is written then is
    /// refused.
    ///
    /// # Errors
    /// As [`Store::open_existing`]; [`StoreError::NotWritable`] for a log that
    /// may not even be read, or whose last entries are in a journal that can be
    /// read only where it can be written to.
    pub fn open_to_read(path: &Path) -> Result<Self, StoreError> {
        match Self::open_existing(path) {
            Err(
                StoreError::NotWritable(_) | StoreError::SeveralNames { .. } | StoreError::Lent(_),
            ) => Self::read_only(path),
            opened => opened,
        }
    }

    /// The log at `path` as it stands, in memory: nothing is made or changed
    /// beside it, and nothing is taken in.
    fn read_only(path: &Path) -> Result<Self, StoreError> {
        let copy = || {
            let real = plain_file(path)?.ok_or_else(|| StoreError::NotThere(path.to_owned()))?;
            let from = as_it_stands(&real)?;
            let found = schema_of(&from, path, STEPS)?;
            check_shape(&from, path, found, STEPS)?;
            let mut db = Connection::open_in_memory()?;
            Backup::new(&from, &mut db)?.run_to_completion(
                PAGES,
                Duration::from_millis(1),
                None,
            )?;
            set_pragmas(&db)?;
            bring_up(&mut db, None, STEPS)?;
            Self::with(db, None)
        };
        let mut store = copy().map_err(|error: StoreError| error.about(path))?;
        store.path = Some(path.to_owned());
        store.read_only = true;
        Ok(store)
    }

    /// Whether this is a copy in memory of a log that could not be written to
    /// when it was opened.
    #[must_use]
    pub fn is_only_shown(&self) -> bool {
        self.read_only
    }

    /// The log was opened from where it can be written to, and has one name.
    ///
    /// # Errors
    /// [`StoreError::NotWritable`], [`StoreError::SeveralNames`], [`StoreError::Lent`].
    pub fn may_be_written(&self) -> Result<(), StoreError> {
        if let Some(real) = self.path.as_deref().map(plain_file).transpose()?.flatten() {
            has_one_name(&real).map_err(|error| error.at(&self.shown()))?;
        }
        match self.read_only {
            true => Err(StoreError::NotWritable(self.shown())),
            false => Ok(()),
        }
    }

    fn open_file(path: &Path) -> Result<Self, StoreError> {
        let mut db = connect(path, READ_WRITE)?;
        db.busy_timeout(Duration::from_secs(BUSY_SECONDS))?;
        // Look before anything is written: the file may be somebody else's.
        // In one transaction: another program may be making it just now.
        let look = db.unchecked_transaction()?;
        let found = schema_of(&look, path, STEPS)?;
        check_shape(&look, path, found, STEPS)?;
        look.finish()?;
        make_keepers_only(path);
        set_journal(&db, "wal")?;
        set_pragmas(&db)?;
        bring_up(&mut db, Some(path), STEPS)?;
        let store = Self::with(db, Some(path.to_owned()))?;
        store.fold_journal();
        Ok(store)
    }

    fn with(db: Connection, path: Option<PathBuf>) -> Result<Self, StoreError> {
        let health = examine(&db)?;
        let mut tally = Tally::default();
        if health.damage.is_empty() {
            tally.extend(&db, i64::MAX)?;
        }
        Ok(Self {
            standing: path.as_deref().map(Standing::of),
            db,
            path,
            tally,
            health: RefCell::new(health),
            gone: Cell::new(None),
            read_only: false,
        })
    }

    /// The content was replaced: know it anew.
    pub(crate) fn look_anew(&mut self) -> Result<(), StoreError> {
        let path = self.path.clone();
        let health = examine(&self.db)?;
        let mut tally = Tally::default();
        tally.extend(&self.db, i64::MAX)?;
        *self.health.borrow_mut() = health;
        self.tally = tally;
        self.standing = path.as_deref().map(Standing::of);
        Ok(())
    }

    /// A log in memory, for tests and for looking at an export.
    ///
    /// # Errors
    /// When SQLite cannot start.
    pub fn open_in_memory() -> Result<Self, StoreError> {
        let mut db = Connection::open_in_memory()?;
        set_pragmas(&db)?;
        bring_up(&mut db, None, STEPS)?;
        Self::with(db, None)
    }

    /// A log that is gone when it is closed, of any length: SQLite keeps what is
    /// too long for memory in a file of its own without a name. To try what is
    /// to be written in a log not yet made.
    ///
    /// # Errors
    /// When SQLite cannot start.
    pub fn open_to_try() -> Result<Self, StoreError> {
        let mut db = Connection::open("")?;
        set_pragmas(&db)?;
        bring_up(&mut db, None, STEPS)?;
        Self::with(db, None)
    }

    /// The file the log is in; `None` in memory.
    #[must_use]
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// The file's name for messages.
    pub(crate) fn shown(&self) -> PathBuf {
        self.path.clone().unwrap_or_else(|| ":memory:".into())
    }
}

/// Why a file that does not say it is a log cannot be opened: one with entries
/// of ours in it is a log whose beginning was lost.
fn not_ours(path: &Path, real: &Path) -> StoreError {
    let folder = backups_folder(real);
    let name = folder.file_name().unwrap_or_default().to_string_lossy();
    let name = crate::plain(&name, NAME_LONG);
    let saved = folder.is_dir();
    match holds_entries(real) {
        true if saved => StoreError::damaged(
            path,
            format!("its beginning was written over (its backups are in `{name}`)"),
        ),
        true => StoreError::damaged(path, "its beginning was written over"),
        false if saved => StoreError::invalid(
            format!("`{}`", crate::error::shown(path)),
            format!("is not a Bedwright log; backups of the log that stood there are in `{name}`"),
        ),
        false => StoreError::NotOurs(path.to_owned()),
    }
}

/// Whether entries of ours are found in the first part of a file. It is not
/// open here: SQLite would not have it.
fn holds_entries(real: &Path) -> bool {
    let mut bytes = Vec::new();
    let read = std::fs::File::open(real).and_then(|f| f.take(LOOKED_AT).read_to_end(&mut bytes));
    let mut found = Found::default();
    carve(&bytes, &mut found);
    read.is_ok() && !(found.sealed.is_empty() && found.unsealed.is_empty())
}

/// Make the empty file `part` a log in which nothing is written yet.
pub(crate) fn begin(part: &Path) -> Result<(), StoreError> {
    let mut db = connect(part, READ_WRITE)?;
    set_pragmas(&db)?;
    bring_up(&mut db, None, STEPS)?;
    db.close().map_err(|(_, error)| StoreError::from(error))
}

pub(crate) fn set_pragmas(db: &Connection) -> Result<(), StoreError> {
    db.pragma_update(None, "synchronous", "FULL")?;
    db.pragma_update(None, "fullfsync", true)?;
    db.pragma_update(None, "checkpoint_fullfsync", true)?;
    db.pragma_update(None, "foreign_keys", true)?;
    db.pragma_update(None, "recursive_triggers", true)?;
    db.pragma_update(None, "trusted_schema", false)?;
    Ok(())
}

/// Set the journal mode. SQLite does not wait for others when it changes this
/// mode, so the waiting is done here.
pub(crate) fn set_journal(db: &Connection, mode: &str) -> Result<(), StoreError> {
    let set = || db.pragma_update_and_check(None, "journal_mode", mode, |r| r.get::<_, String>(0));
    let begun = Instant::now();
    loop {
        match set().map_err(StoreError::from) {
            // Where it does wait for others, one wait is enough.
            Err(StoreError::Busy) if begun.elapsed() < MODE_WAIT => {
                std::thread::sleep(MODE_TRY);
            }
            Err(error) => return Err(error),
            Ok(got) if got.eq_ignore_ascii_case(mode) => return Ok(()),
            Ok(_) => {
                return Err(StoreError::invalid(
                    "the file system of the log",
                    format!("does not support journal mode `{mode}`; keep the log on a local disk"),
                ));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_full_disk_is_said_to_be_one_and_nothing_is_written() {
        let dir = tempfile::tempdir().unwrap();
        let mut store = Store::open(&dir.path().join("log.db")).unwrap();
        let pages: i64 = store
            .db
            .pragma_query_value(None, "page_count", |r| r.get(0))
            .unwrap();
        store
            .db
            .pragma_update(None, "max_page_count", pages)
            .unwrap();
        let text: std::sync::Arc<str> = "long ".repeat(700).into();
        let long = crate::New::at(1_760_000_000, "UTC", engine::log::Body::Note { text });
        let mut filled = 0;
        let refused = loop {
            match store.append(long.clone()) {
                Ok(_) => filled += 1,
                Err(error) => break error,
            }
        };
        assert!(matches!(refused, StoreError::NoRoom), "{refused:?}");
        assert!(refused.to_string().contains("NOT written"), "{refused}");
        assert_eq!(store.all_entries().unwrap().len(), filled);
    }

    #[test]
    fn a_log_read_where_nothing_may_be_written_is_whole_and_takes_nothing() {
        let dir = tempfile::tempdir().unwrap();
        // A name that is an address of another file, read otherwise.
        let path = dir.path().join("log?mode=memory&a%41#.db");
        let note = |text: &str| {
            let text = text.into();
            crate::New::at(1_760_000_000, "UTC", engine::log::Body::Note { text })
        };
        let mut store = Store::open(&path).unwrap();
        store.append(note("one")).unwrap();
        let all = store.all_entries().unwrap();
        drop(store);
        let unwritten =
            Connection::open_with_flags(unwritten(&path), READ_ONLY | OpenFlags::SQLITE_OPEN_URI);
        let count = unwritten
            .unwrap()
            .query_row("SELECT count(*) FROM entry", [], |r| r.get::<_, i64>(0));
        assert_eq!(count, Ok(1));
        let mut store = Store::read_only(&path).unwrap();
        assert_eq!(store.all_entries().unwrap(), all);
        let refused = store.append(note("two")).unwrap_err();
        assert!(matches!(refused, StoreError::NotWritable(_)), "{refused}");
        let refused = store.restore_into(&path).unwrap_err();
        assert!(matches!(refused, StoreError::NotWritable(_)), "{refused}");
        assert_eq!(Store::open(&path).unwrap().all_entries().unwrap(), all);
    }

    #[test]
    fn the_log_is_opened_for_full_safety() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(&dir.path().join("log.db")).unwrap();
        let number = |name: &str| {
            store
                .db
                .pragma_query_value(None, name, |r| r.get::<_, i64>(0))
        };
        for (name, value) in [
            ("synchronous", 2),
            ("foreign_keys", 1),
            ("recursive_triggers", 1),
            ("trusted_schema", 0),
            ("busy_timeout", 10_000),
            ("user_version", 2),
            ("application_id", crate::migrate::APPLICATION_ID),
        ] {
            assert_eq!(number(name).unwrap(), value, "{name}");
        }
        let mode: String = store
            .db
            .pragma_query_value(None, "journal_mode", |r| r.get(0))
            .unwrap();
        assert_eq!(mode, "wal");
    }
}
