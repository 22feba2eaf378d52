//! The log as files: a backup out, a backup in, an export out, an export in,
//! and what can be read of a damaged one.

use super::{Desk, DeskError};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::PoisonError;
use store::{Imported, Rescued, Store, StoreError};

impl Desk {
    /// The whole log as one file's content, read back before it is given.
    ///
    /// # Errors
    /// [`DeskError`] when the log is damaged, or it cannot be written.
    pub fn backup(&self) -> Result<Vec<u8>, DeskError> {
        let whole = self.copied("backup", |path| self.store().backup_to(path, false));
        if whole.is_ok() {
            self.saved();
        }
        Ok(whole?.0)
    }

    /// What can be read of the log, as a new log's content.
    ///
    /// # Errors
    /// [`DeskError`] when nothing can be read, or it cannot be written.
    pub fn rescued(&self) -> Result<(Vec<u8>, Rescued), DeskError> {
        let from = self.path.clone().ok_or_else(in_memory)?;
        let now = self.clock.unix_seconds();
        self.copied("rescue", |path| match self.why_closed() {
            Some(_) => Store::rescue(&from, path, now),
            None => self.store().rescue_to(path, now),
        })
    }

    /// The content of a copy that `make` makes beside the log or, where nothing
    /// may be written, in the system's folder for such; and what `make` said.
    fn copied<T>(
        &self,
        what: &str,
        make: impl Fn(&Path) -> Result<T, StoreError>,
    ) -> Result<(Vec<u8>, T), DeskError> {
        let try_in = |folder: &Path| {
            let path = scratch(folder, what)?;
            let done = make(&path);
            let is_ours = |at: &Path| at.file_name() == path.file_name();
            let made = done.map_err(|error| match error {
                // Our own name for it says nothing to a keeper.
                StoreError::NotWritable(at) if is_ours(&at) => {
                    StoreError::NotWritable(folder.to_owned())
                }
                error => error,
            });
            let read = made
                .map_err(DeskError::from)
                .and_then(|said| Ok((content(&path)?, said)));
            discard(&path);
            read
        };
        let beside = self.beside();
        match try_in(&beside) {
            Err(DeskError::Store(StoreError::NotWritable(at))) if at == beside => {
                try_in(&std::env::temp_dir())
            }
            done => done,
        }
    }

    /// Puts a backup in place of the log. It is read whole first; what it
    /// replaces is kept beside it, under the name given back.
    ///
    /// # Errors
    /// [`DeskError`] when the file is not a log of this tool, cannot be read
    /// whole, or this log is only in memory; the log is then as it was.
    ///
    /// `name` is what the keeper's side calls the file.
    pub fn restore(&self, file: &[u8], name: &str) -> Result<Option<PathBuf>, DeskError> {
        if self.path.is_none() {
            return Err(in_memory());
        }
        if !file.starts_with(b"SQLite format 3\0") {
            return Err(DeskError::Unreadable(
                "that file is not a Bedwright backup; choose one saved with `Save a backup`"
                    .to_owned(),
            ));
        }
        if self.why_closed().is_none() {
            self.store().may_be_written()?;
        }
        let path = scratch(&self.beside(), "restore")?;
        let written = store::write_whole(&path, false, None, |out| {
            out.write_all(file)
                .map_err(|e| unreadable("write the uploaded file", &e))
        });
        // The copy is ours: what may not be written to is where the log is.
        let written = written.map_err(|error| match (error, &self.path) {
            (DeskError::Store(StoreError::NotWritable(_)), Some(log)) => {
                DeskError::Store(StoreError::NotWritable(log.clone()))
            }
            (error, _) => error,
        });
        let done = written.and_then(|()| match self.why_closed() {
            Some(_) => self.restore_closed(&path),
            None => Ok(Some(self.store().restore_into(&path)?)),
        });
        discard(&path);
        let done = done.map_err(|error| by_its_name(error, &path, name));
        if let Ok(kept) = &done {
            self.forget();
            self.set_aside
                .lock()
                .unwrap_or_else(PoisonError::into_inner)
                .clone_from(kept);
        }
        done
    }

    /// Whether the file form with this key was carried out since the program
    /// began.
    #[must_use]
    pub fn took(&self, once: &str) -> bool {
        let taken = self.taken.lock();
        let taken = taken.unwrap_or_else(PoisonError::into_inner);
        taken.contains(once)
    }

    /// Keeps in mind that it was.
    pub fn take_note(&self, once: &str) {
        if !once.is_empty() {
            let taken = self.taken.lock();
            let mut taken = taken.unwrap_or_else(PoisonError::into_inner);
            taken.insert(once.to_owned());
        }
    }

    /// Takes away copies of files sent to be restored, beside the log, of
    /// programs that were ended before they could. The keeper has the files
    /// they are copies of. Best effort.
    pub fn tidy(&self) {
        let Some(log) = self.path.as_deref() else {
            return;
        };
        let folder = match log.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder,
            _ => Path::new("."),
        };
        for file in fs::read_dir(folder).into_iter().flatten().flatten() {
            let name = file.file_name();
            let of = name
                .to_str()
                .and_then(|n| n.strip_prefix(SENT)?.split_once('-'));
            if of.is_some_and(|(program, _)| has_ended(program, &file.path())) {
                let _ = fs::remove_file(file.path());
            }
        }
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
        self.lasting
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .take();
        self.plans
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clear();
    }

    /// The folder the log is in, or the system's for files that do not last.
    fn beside(&self) -> PathBuf {
        match self.path.as_deref().and_then(Path::parent) {
            Some(beside) if beside.as_os_str().is_empty() => PathBuf::from("."),
            Some(beside) if beside.is_dir() => beside.to_owned(),
            // In memory, or the folder itself is gone.
            _ => std::env::temp_dir(),
        }
    }
}

/// A free name for a file of ours in a folder.
fn scratch(folder: &Path, what: &str) -> Result<PathBuf, DeskError> {
    let name = |n: u32| folder.join(format!(".bedwright-{what}-{}-{n}", std::process::id()));
    let free = (0..1000)
        .map(name)
        .find(|p| fs::symlink_metadata(p).is_err());
    free.ok_or_else(|| {
        DeskError::Unreadable(format!("no free name for a file in `{}`", folder.display()))
    })
}

/// How copies of files sent to be restored are named; a program's number
/// follows.
const SENT: &str = ".bedwright-restore-";

/// Whether the program of this number runs no more.
fn has_ended(program: &str, file: &Path) -> bool {
    if program.is_empty() || !program.bytes().all(|b| b.is_ascii_digit()) {
        return false;
    }
    if cfg!(target_os = "linux") {
        return !Path::new("/proc").join(program).exists();
    }
    // Not told here: none takes a day over it.
    let made = fs::metadata(file).and_then(|found| found.modified());
    let age = made.ok().and_then(|at| at.elapsed().ok());
    age.is_some_and(|age| age.as_secs() > 86_400)
}

/// What was wrong with a file that was sent, by the name the keeper knows it
/// by, and not that of our copy.
fn by_its_name(error: DeskError, copy: &Path, name: &str) -> DeskError {
    let said = error.to_string();
    let own = copy.file_name().unwrap_or_default().to_string_lossy();
    if !said.contains(&*own) {
        return error;
    }
    let name = match name {
        "" => "the file you chose".to_owned(),
        name => format!("`{}`", store::plain(name, 60)),
    };
    // Names stand between backticks.
    let pieces: Vec<&str> = said.split('`').collect();
    let mut told = String::new();
    for (n, piece) in pieces.iter().enumerate() {
        match n % 2 {
            1 if piece.ends_with(&*own) => told.push_str(&name),
            1 => told.push_str(&format!("`{piece}`")),
            _ => told.push_str(piece),
        }
    }
    DeskError::Unreadable(told)
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
