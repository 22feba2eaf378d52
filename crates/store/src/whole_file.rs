//! The one way a file is written: beside its place, checked, flushed, and only
//! then given its name. What was there stays until then, and stays for good
//! when anything fails.

use crate::StoreError;
use crate::error::io_at;
use crate::journal::no_journal_waits;
use crate::place::{
    BESIDE, discard, flush, folder_of, free_name, identity, names_no_part, plain_file, reserve,
    sync_folder, with_end,
};
use std::fs::{self, File};
use std::io::{self, BufReader, BufWriter, Read, Write};
use std::path::{Path, PathBuf};

/// Write a whole file at `path`. `log` is a log that must not be written over,
/// nor anything that belongs to it. Gives back what `write` gives.
///
/// # Errors
/// When `path` is the log or not a plain file; when it is there and not to be
/// replaced; when `write` fails, the disk is full, or what is read back is not
/// what was written. What was there is then as it was.
pub fn write_whole<T, E: From<StoreError>>(
    path: &Path,
    replace: bool,
    log: Option<&Path>,
    write: impl FnOnce(&mut dyn Write) -> Result<T, E>,
) -> Result<T, E> {
    place_whole(path, replace, log, |part| {
        let file = File::options()
            .write(true)
            .open(part)
            .map_err(io_at("open", part))?;
        let mut out = Summed::new(BufWriter::new(file));
        let given = write(&mut out)?;
        out.inner.flush().map_err(io_at("write", path))?;
        let (sum, long) = (out.sum.finalize(), out.long);
        out.inner
            .get_ref()
            .sync_all()
            .map_err(io_at("flush", path))?;
        reads_back(part, sum, long).map_err(io_at("read back", path))?;
        Ok(given)
    })
}

/// Have `make` fill the new file it is given, then put it at
/// `path`.
pub(crate) fn place_whole<T, E: From<StoreError>>(
    path: &Path,
    replace: bool,
    log: Option<&Path>,
    make: impl FnOnce(&Path) -> Result<T, E>,
) -> Result<T, E> {
    let target = target(path, replace, log)?;
    let part = reserve(&target, "part")?;
    let done = make(&part).and_then(|given| {
        flush(&part)?;
        put(&part, &target, replace)?;
        Ok(given)
    });
    if done.is_err() {
        discard(&part);
    }
    done
}

/// Where the file will stand, links followed, when it may.
fn target(path: &Path, replace: bool, log: Option<&Path>) -> Result<PathBuf, StoreError> {
    let there = plain_file(path)?;
    if log.is_some_and(|log| belongs_to(path, log)) {
        return Err(StoreError::invalid(
            "the file to write",
            "cannot be the log itself or a part of it; give another name",
        ));
    }
    names_no_part(path)?;
    match there {
        Some(_) if !replace => Err(StoreError::Exists(path.to_owned())),
        Some(real) => Ok(real),
        None => no_journal_waits(path).map(|()| path.to_owned()),
    }
}

/// Whether `path` is the log, under whatever name, or a file SQLite keeps or
/// may look for beside it.
pub(crate) fn belongs_to(path: &Path, log: &Path) -> bool {
    let real = fs::canonicalize(log).unwrap_or_else(|_| log.to_owned());
    let own = || std::iter::once(real.clone()).chain(BESIDE.map(|end| with_end(&real, end)));
    let same_file = identity(path).is_some_and(|at| own().any(|o| identity(&o) == Some(at)));
    let named = |p: &Path| {
        let folder = fs::canonicalize(folder_of(p)).ok()?;
        Some(folder.join(p.file_name()?))
    };
    same_file || named(path).is_some_and(|at| own().any(|o| named(&o).as_ref() == Some(&at)))
}

/// Have `make` fill a new file, then keep it beside `path` as `PATH.WORD`, or
/// the first of `PATH.WORD-2`, `PATH.WORD-3`, ... not taken. Gives that name.
pub(crate) fn keep_beside(
    path: &Path,
    word: &str,
    make: impl FnOnce(&Path) -> Result<(), StoreError>,
) -> Result<PathBuf, StoreError> {
    let part = reserve(path, "part")?;
    let done = make(&part).and_then(|()| {
        flush(&part)?;
        loop {
            let name = free_name(path, word);
            match put(&part, &name, false) {
                // Another program took the name just now.
                Err(StoreError::Exists(_)) => {}
                other => return other.map(|()| name),
            }
        }
    });
    if done.is_err() {
        discard(&part);
    }
    done
}

/// Give the finished file its name. One that came to stand there meanwhile is
/// not written over unless it may be.
fn put(part: &Path, target: &Path, replace: bool) -> Result<(), StoreError> {
    if replace {
        fs::rename(part, target).map_err(io_at("write", target))?;
    } else {
        match fs::hard_link(part, target) {
            // Another program may have seen the second name and taken it away.
            Ok(()) => match fs::remove_file(part) {
                Err(e) if e.kind() != io::ErrorKind::NotFound => {
                    return Err(io_at("take away", part)(e));
                }
                _ => {}
            },
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {
                return Err(StoreError::Exists(target.to_owned()));
            }
            // Not every disk knows hard links.
            Err(_) => fs::rename(part, target).map_err(io_at("write", target))?,
        }
    }
    sync_folder(target)
}

/// Counts and sums what goes through.
struct Summed<W> {
    inner: W,
    sum: crc32fast::Hasher,
    long: u64,
}

impl<W> Summed<W> {
    fn new(inner: W) -> Self {
        Self {
            inner,
            sum: crc32fast::Hasher::new(),
            long: 0,
        }
    }
}

impl<W: Write> Write for Summed<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let taken = self.inner.write(bytes)?;
        self.sum.update(&bytes[..taken]);
        self.long += taken as u64;
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.inner.flush()
    }
}

fn reads_back(part: &Path, sum: u32, long: u64) -> io::Result<()> {
    let mut input = BufReader::new(File::open(part)?);
    let mut again = Summed::new(io::sink());
    let read = io::copy(&mut input.by_ref(), &mut again)?;
    if read == long && again.sum.finalize() == sum {
        return Ok(());
    }
    Err(io::Error::other("it does not say what was written"))
}
