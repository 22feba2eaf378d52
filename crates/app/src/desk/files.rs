//! The log as files: a backup out, a backup in, an export out, an export in,
//! and what can be read of a damaged one.

use super::{Desk, DeskError};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::PoisonError;
use store::{Imported, Rescued, Store};

impl Desk {
    /// The whole log as one file's content, read back before it is given.
    ///
    /// # Errors
    /// [`DeskError`] when the log is damaged, or it cannot be written.
    pub fn backup(&self) -> Result<Vec<u8>, DeskError> {
        let path = self.scratch("backup")?;
        let done = self.store().backup_to(&path, false);
        let whole = done.map_err(DeskError::from).and_then(|_| content(&path));
        discard(&path);
        if whole.is_ok() {
            self.saved();
        }
        whole
    }

    /// What can be read of the log, as a new log's content.
    ///
    /// # Errors
    /// [`DeskError`] when nothing can be read, or it cannot be written.
    pub fn rescued(&self) -> Result<(Vec<u8>, Rescued), DeskError> {
        let from = self.path.clone().ok_or_else(in_memory)?;
        let path = self.scratch("rescue")?;
        let now = self.clock.unix_seconds();
        let done = match self.why_closed() {
            Some(_) => Store::rescue(&from, &path, now),
            None => self.store().rescue_to(&path, now),
        };
        let whole = done
            .map_err(DeskError::from)
            .and_then(|what| Ok((content(&path)?, what)));
        discard(&path);
        whole
    }

    /// Puts a backup in place of the log. It is read whole first; what it
    /// replaces is kept beside it, under the name given back.
    ///
    /// # Errors
    /// [`DeskError`] when the file is not a log of this tool, cannot be read
    /// whole, or this log is only in memory; the log is then as it was.
    pub fn restore(&self, file: &[u8]) -> Result<Option<PathBuf>, DeskError> {
        if self.path.is_none() {
            return Err(in_memory());
        }
        if !file.starts_with(b"SQLite format 3\0") {
            return Err(DeskError::Unreadable(
                "that file is not a Bedwright backup; choose one saved with `Save a backup`"
                    .to_owned(),
            ));
        }
        let path = self.scratch("restore")?;
        let written = store::write_whole(&path, false, None, |out| {
            out.write_all(file)
                .map_err(|e| unreadable("write the uploaded file", &e))
        });
        let done = written.and_then(|()| match self.why_closed() {
            Some(_) => self.restore_closed(&path),
            None => Ok(Some(self.store().restore_into(&path)?)),
        });
        discard(&path);
        if let Ok(kept) = &done {
            self.forget();
            self.set_aside
                .lock()
                .unwrap_or_else(PoisonError::into_inner)
                .clone_from(kept);
        }
        done
    }

    /// Puts a backup in place of a log that could not be opened, and opens it.
    fn restore_closed(&self, from: &Path) -> Result<Option<PathBuf>, DeskError> {
        let path = self.path.clone().ok_or_else(in_memory)?;
        let mut store = self.store();
        let kept = Store::restore(from, &path)?;
        *store = Store::open_existing(&path)?;
        *self.closed.lock().unwrap_or_else(PoisonError::into_inner) = None;
        Ok(kept)
    }

    /// Where the log that the last backup took the place of is kept.
    #[must_use]
    pub fn set_aside(&self) -> Option<PathBuf> {
        self.set_aside
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    /// Takes in an exported log, JSON Lines or CSV, all or none.
    ///
    /// # Errors
    /// [`DeskError`] naming the first line that cannot be taken.
    pub fn import(&self, file: &[u8]) -> Result<Imported, DeskError> {
        let text = file.strip_prefix("\u{feff}".as_bytes()).unwrap_or(file);
        let first = text.iter().find(|b| !b.is_ascii_whitespace());
        let mut fits = self.for_import()?;
        let mut store = self.store();
        Ok(match first {
            None => {
                return Err(DeskError::Unreadable(
                    "the file is empty; nothing was taken in".to_owned(),
                ));
            }
            Some(b'{') => store.import_jsonl(text, &mut fits)?,
            Some(_) => store.import_csv(text, &mut fits)?,
        })
    }

    /// Forgets every answer kept: the log is another one now.
    fn forget(&self) {
        self.kept
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clear();
        self.plans
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clear();
    }

    /// A free name for a file beside the log, or in the system's folder for
    /// such.
    fn scratch(&self, what: &str) -> Result<PathBuf, DeskError> {
        let folder = match self.path.as_deref().and_then(Path::parent) {
            Some(beside) if beside.as_os_str().is_empty() => PathBuf::from("."),
            Some(beside) if beside.is_dir() => beside.to_owned(),
            // In memory, or the folder itself is gone.
            _ => std::env::temp_dir(),
        };
        let name = |n: u32| folder.join(format!(".bedwright-{what}-{}-{n}", std::process::id()));
        let free = (0..1000)
            .map(name)
            .find(|p| fs::symlink_metadata(p).is_err());
        free.ok_or_else(|| {
            DeskError::Unreadable(format!("no free name for a file in `{}`", folder.display()))
        })
    }
}

fn in_memory() -> DeskError {
    DeskError::Unreadable("this shelf is only in memory, so there is no file to replace".to_owned())
}

fn content(path: &Path) -> Result<Vec<u8>, DeskError> {
    fs::read(path).map_err(|e| unreadable("read back what was saved", &e))
}

fn unreadable(what: &str, problem: &std::io::Error) -> DeskError {
    DeskError::Unreadable(format!("could not {what}: {problem}"))
}

/// Takes away our own scratch file and what SQLite left beside it. Best
/// effort: the answer is what matters by now.
fn discard(path: &Path) {
    for end in ["", "-wal", "-shm", "-journal"] {
        let mut name = path.as_os_str().to_owned();
        name.push(end);
        let _ = fs::remove_file(PathBuf::from(name));
    }
}
