//! The log as files: a backup out, a backup in, an export out, an export in.

use super::{Desk, DeskError};
use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::PoisonError;
use store::{Imported, Store};

impl Desk {
    /// The whole log as one file's content.
    ///
    /// # Errors
    /// [`DeskError`] when it cannot be written or read back.
    pub fn backup(&self) -> Result<Vec<u8>, DeskError> {
        let (path, made) = self.scratch("backup")?;
        drop(made);
        let done = self
            .store()
            .backup_to(&path, true)
            .map_err(DeskError::from)
            .and_then(|_| fs::read(&path).map_err(|e| unreadable("read the backup", &e)));
        discard(&path);
        done
    }

    /// Puts a backup in place of the log. It is checked first; what it
    /// replaces is kept beside it, under the name given back.
    ///
    /// # Errors
    /// [`DeskError`] when the file is not a log of this tool, is damaged, or
    /// this log is only in memory; the log is then as it was.
    pub fn restore(&self, file: &[u8]) -> Result<Option<PathBuf>, DeskError> {
        let Some(to) = self.path.clone() else {
            return Err(DeskError::Unreadable(
                "this shelf is only in memory, so there is no file to replace".to_owned(),
            ));
        };
        let (path, mut made) = self.scratch("restore")?;
        let written = made.write_all(file).and_then(|()| made.sync_all());
        drop(made);
        let done = written
            .map_err(|e| unreadable("write the uploaded file", &e))
            .and_then(|()| checked(&path))
            .and_then(|()| self.swap(&path, &to));
        discard(&path);
        done
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

    /// Closes the log, puts `from` in its place and opens it again, whatever
    /// came of it.
    fn swap(&self, from: &Path, to: &Path) -> Result<Option<PathBuf>, DeskError> {
        let mut store = self.store();
        *store = Store::open_in_memory()?;
        let done = Store::restore(from, to);
        *store = Store::open(to)?;
        drop(store);
        self.forget();
        Ok(done?)
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

    /// A new empty file beside the log, or in the system's folder for such.
    fn scratch(&self, what: &str) -> Result<(PathBuf, File), DeskError> {
        let folder = match self.path.as_deref().and_then(Path::parent) {
            Some(beside) if !beside.as_os_str().is_empty() => beside.to_owned(),
            Some(_) => PathBuf::from("."),
            None => std::env::temp_dir(),
        };
        for n in 0..1000u32 {
            let name = format!(".bedwright-{what}-{}-{n}", std::process::id());
            let path = folder.join(name);
            match OpenOptions::new().write(true).create_new(true).open(&path) {
                Ok(file) => return Ok((path, file)),
                Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {}
                Err(e) => return Err(unreadable("make a file beside the log", &e)),
            }
        }
        Err(DeskError::Unreadable(format!(
            "no free name for a file in `{}`",
            folder.display()
        )))
    }
}

/// The upload opens as a log and every entry of it can be read.
fn checked(path: &Path) -> Result<(), DeskError> {
    let head = fs::read(path).map_err(|e| unreadable("read the uploaded file", &e))?;
    if !head.starts_with(b"SQLite format 3\0") {
        return Err(DeskError::Unreadable(
            "that file is not a Bedwright backup; choose one saved with `Save a backup`".to_owned(),
        ));
    }
    Ok(())
}

fn unreadable(what: &str, error: &io::Error) -> DeskError {
    DeskError::Unreadable(format!("could not {what}: {error}"))
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
