//! Files as the system sees them: which file stands at a path, who may read
//! it, names beside it.
//!
//! The log file itself is never opened here: on Unix, closing any handle of a
//! file drops the locks SQLite holds on it in the same process. It is only
//! looked at from outside.

use crate::StoreError;
use crate::error::io_at;
use std::ffi::OsString;
use std::fs::{self, File, FileType, Metadata, OpenOptions};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// What SQLite keeps beside a file, by the end of its name.
pub(crate) const BESIDE: [&str; 3] = ["-wal", "-shm", "-journal"];

/// Longest name of a log or backup with its folders [bytes]: SQLite takes 512,
/// with what it puts to it for the files beside it.
pub(crate) const NAME_LONG: usize = 500;

/// Longest name of a log or backup without its folders [bytes]: disks take 255,
/// with what is put to it for the files made beside it.
pub(crate) const OWN_NAME_LONG: usize = 230;

/// The folder of automatic backups beside a log, by the end of its name.
pub(crate) const BACKUPS: &str = ".backups";

/// Which file it is, whatever its name: device and number on it.
pub(crate) type Identity = (u64, u64);

/// The file that stands at `path` now, links followed; `None` when none does.
pub(crate) fn identity(path: &Path) -> Option<Identity> {
    fs::metadata(path).ok().map(|found| identity_of(&found))
}

#[cfg(unix)]
fn identity_of(found: &Metadata) -> Identity {
    use std::os::unix::fs::MetadataExt;
    (found.dev(), found.ino())
}

/// A file in use cannot be taken away here, so its time of making must do.
#[cfg(not(unix))]
fn identity_of(found: &Metadata) -> Identity {
    let made = found.created().ok();
    let since = made.and_then(|at| at.duration_since(std::time::UNIX_EPOCH).ok());
    (0, since.map_or(0, |d| d.as_secs()))
}

/// The log at `real` has one name on its disk. Under a second one SQLite looks
/// for other journals beside it, and what is written by way of the one is lost
/// by way of the other.
///
/// # Errors
/// [`StoreError::SeveralNames`], [`StoreError::Lent`].
pub(crate) fn has_one_name(real: &Path) -> Result<(), StoreError> {
    if is_mounted_alone(real) {
        return Err(StoreError::Lent(real.to_owned()));
    }
    if names(real) > 1 {
        // A command of ours cut off between giving a file its name and taking
        // away the one it was made under.
        for unfinished in same_file_beside(real, is_unfinished) {
            let _ = fs::remove_file(unfinished);
        }
    }
    match names(real) {
        0 | 1 => Ok(()),
        _ => Err(StoreError::SeveralNames {
            path: real.to_owned(),
            other: same_file_beside(real, |_| true)
                .next()
                .and_then(|p| Some(PathBuf::from(p.file_name()?))),
        }),
    }
}

/// Whether the file itself, and not a folder above it, is mounted at `real`, as
/// a file is lent to a container: it has another name elsewhere, which is not
/// counted among its names.
fn is_mounted_alone(real: &Path) -> bool {
    // Only where the system keeps such a list are files mounted so.
    let list = fs::read("/proc/self/mountinfo").unwrap_or_default();
    mount_points(&list).any(|point| point == real.as_os_str().as_encoded_bytes())
}

/// Where things are mounted, by the system's list: the fifth word of each line,
/// in which blanks are written as `\040`.
fn mount_points(list: &[u8]) -> impl Iterator<Item = Vec<u8>> {
    list.split(|b| *b == b'\n')
        .filter_map(|line| line.split(|b| *b == b' ').nth(4))
        .map(|word| {
            let mut point = Vec::with_capacity(word.len());
            let mut rest = word;
            while let Some((byte, after)) = rest.split_first() {
                let octal = after.get(..3).filter(|_| *byte == b'\\');
                let code = octal
                    .and_then(|o| std::str::from_utf8(o).ok())
                    .and_then(|o| u8::from_str_radix(o, 8).ok());
                point.push(code.unwrap_or(*byte));
                rest = code.map_or(after, |_| &after[3..]);
            }
            point
        })
}

/// How many names a file has; 0 where there is none.
#[cfg(unix)]
fn names(path: &Path) -> u64 {
    use std::os::unix::fs::MetadataExt;
    fs::metadata(path).map_or(0, |found| found.nlink())
}

/// Not told here.
#[cfg(not(unix))]
fn names(_path: &Path) -> u64 {
    1
}

/// Other names of a file in its own folder, of those that `wanted` takes.
fn same_file_beside(real: &Path, wanted: impl Fn(&str) -> bool) -> impl Iterator<Item = PathBuf> {
    let itself = real.file_name().map(ToOwned::to_owned);
    let at = identity(real);
    let list = fs::read_dir(folder_of(real)).into_iter().flatten();
    list.filter_map(Result::ok).filter_map(move |file| {
        let name = file.file_name();
        let other = Some(&name) != itself.as_ref() && name.to_str().is_some_and(&wanted);
        let path = file.path();
        let same = || fs::symlink_metadata(&path).is_ok_and(|f| Some(identity_of(&f)) == at);
        (other && same()).then_some(path)
    })
}

/// Whether this is a name files are made under before they are whole.
fn is_unfinished(name: &str) -> bool {
    name.rsplit_once(".part").is_some_and(|(_, rest)| {
        let number = rest.strip_prefix('-').unwrap_or(rest);
        number.bytes().all(|b| b.is_ascii_digit())
    })
}

/// A log, or a file to be written, does not go under a name that belongs to a
/// part of a log: SQLite takes such files away, or reads them as its own, and
/// the folder of automatic backups has its name too.
///
/// # Errors
/// [`StoreError::Invalid`].
pub(crate) fn names_no_part(path: &Path) -> Result<(), StoreError> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let why = match BESIDE.iter().find(|end| name.ends_with(*end)) {
        Some(end) => format!("what ends in `{end}` is a part of a log and is taken away with it"),
        None if name.ends_with(BACKUPS) => {
            format!("what ends in `{BACKUPS}` is the folder of the automatic backups of a log")
        }
        None => return Ok(()),
    };
    Err(StoreError::invalid(
        format!("the name `{}`", crate::plain(&name, 50)),
        format!("cannot be used: {why}; give another name"),
    ))
}

/// The whole name of a file that SQLite is to open.
///
/// # Errors
/// [`rusqlite::Error::InvalidPath`] when it is longer than SQLite takes.
pub(crate) fn whole_name(path: &Path) -> rusqlite::Result<PathBuf> {
    let odd = || rusqlite::Error::InvalidPath(path.to_owned());
    let whole = std::path::absolute(path).map_err(|_| odd())?;
    match whole.as_os_str().len() {
        0..=NAME_LONG => Ok(whole),
        _ => Err(odd()),
    }
}

/// A log or backup can go under this name, and what is made beside it too.
///
/// # Errors
/// [`StoreError::Invalid`] when it is too long.
pub(crate) fn can_be_named(path: &Path) -> Result<(), StoreError> {
    whole_name(path)?;
    match path.file_name().map_or(0, |name| name.len()) {
        0..=OWN_NAME_LONG => Ok(()),
        _ => Err(StoreError::too_long(path)),
    }
}

/// The plain file at `path`, links followed; `None` when there is nothing.
///
/// # Errors
/// [`StoreError::NotAFile`] for a folder, a device, a link to nothing;
/// [`StoreError::NotReadable`] where it may not be looked at.
pub(crate) fn plain_file(path: &Path) -> Result<Option<PathBuf>, StoreError> {
    let refuse = |what| {
        Err(StoreError::NotAFile {
            path: path.to_owned(),
            what,
        })
    };
    let may_not = |e: &std::io::Error| e.kind() == ErrorKind::PermissionDenied;
    let itself = match fs::symlink_metadata(path) {
        Err(e) if may_not(&e) => return Err(StoreError::not_entered(path)),
        Err(_) => return has_folders(path).map(|()| None),
        Ok(found) => found,
    };
    match fs::metadata(path) {
        Err(e) if may_not(&e) => Err(StoreError::not_entered(path)),
        Err(_) if itself.file_type().is_symlink() => refuse("a link to nothing"),
        Err(e) => Err(io_at("look at", path)(e)),
        Ok(found) if found.is_file() => {
            let real = fs::canonicalize(path).map_err(io_at("look at", path))?;
            Ok(Some(real))
        }
        Ok(found) => refuse(sort(found.file_type())),
    }
}

/// What stands at the names SQLite keeps its journals at are plain files, as far
/// as there is anything.
///
/// # Errors
/// [`StoreError::NotAFile`].
pub(crate) fn plain_beside(real: &Path) -> Result<(), StoreError> {
    for path in BESIDE.map(|end| with_end(real, end)) {
        match fs::symlink_metadata(&path) {
            Ok(found) if !found.is_file() => {
                let what = sort(found.file_type());
                return Err(StoreError::NotAFile { path, what });
            }
            _ => {}
        }
    }
    Ok(())
}

/// What stands above `path` are folders, as far as there is anything.
fn has_folders(path: &Path) -> Result<(), StoreError> {
    let above = path.ancestors().skip(1);
    let nearest = above
        .map(|p| (p, fs::metadata(p)))
        .find_map(|(p, f)| Some((p, f.ok()?)));
    match nearest {
        Some((p, found)) if !found.is_dir() => Err(StoreError::NotAFolder(p.to_owned())),
        _ => Ok(()),
    }
}

#[cfg(unix)]
fn sort(kind: FileType) -> &'static str {
    use std::os::unix::fs::FileTypeExt;
    match kind {
        k if k.is_dir() => "a folder",
        k if k.is_fifo() => "a pipe",
        k if k.is_socket() => "a socket",
        k if k.is_char_device() || k.is_block_device() => "a device",
        _ => "something else",
    }
}

#[cfg(not(unix))]
fn sort(kind: FileType) -> &'static str {
    if kind.is_dir() {
        "a folder"
    } else {
        "something else"
    }
}

/// Make the folder, and those above it, for the keeper alone.
pub(crate) fn make_folder(folder: &Path) -> Result<(), StoreError> {
    let mut make = fs::DirBuilder::new();
    make.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut make, 0o700);
    make.create(folder)
        .map_err(io_at("make the folder", folder))
}

/// A new empty file at `path` that only the keeper may read.
pub(crate) fn make_private(path: &Path) -> std::io::Result<File> {
    let mut how = OpenOptions::new();
    how.read(true).write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut how, 0o600);
    how.open(path)
}

/// A new empty file beside `path`, ours alone: `PATH.WORD`, or the first of
/// `PATH.WORD-2`, `PATH.WORD-3`, ... not taken.
///
/// # Errors
/// As [`can_be_named`], and when it cannot be made.
pub(crate) fn reserve(path: &Path, word: &str) -> Result<PathBuf, StoreError> {
    can_be_named(path)?;
    loop {
        let name = free_name(path, word);
        match make_private(&name) {
            Ok(_) => return Ok(name),
            // Another program took the name just now.
            Err(e) if e.kind() == ErrorKind::AlreadyExists => {}
            // Told of by the name the keeper gave.
            Err(e) => return Err(io_at("write", path)(e)),
        }
    }
}

/// Take from everybody but the keeper the right to read `path`. Best effort: a
/// file of somebody else's is as open as they want it.
#[cfg(unix)]
pub(crate) fn make_keepers_only(path: &Path) {
    use std::os::unix::fs::PermissionsExt;
    if let Ok(found) = fs::metadata(path) {
        let mode = found.permissions().mode();
        if mode & 0o077 != 0 {
            let _ = fs::set_permissions(path, fs::Permissions::from_mode(mode & 0o700));
        }
    }
}

/// Folders of a keeper are their own here.
#[cfg(not(unix))]
pub(crate) fn make_keepers_only(_path: &Path) {}

/// The folder `path` is in.
pub(crate) fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// Flush the folder, so that a new name survives a power cut.
#[cfg(unix)]
pub(crate) fn sync_folder(path: &Path) -> Result<(), StoreError> {
    let folder = folder_of(path);
    let flushed = File::open(folder).and_then(|f| f.sync_all());
    flushed.map_err(io_at("flush the folder", folder))
}

/// Folders cannot be flushed here.
#[cfg(not(unix))]
pub(crate) fn sync_folder(_path: &Path) -> Result<(), StoreError> {
    Ok(())
}

/// Flush a file nobody has open to disk.
pub(crate) fn flush(path: &Path) -> Result<(), StoreError> {
    let file = File::open(path).map_err(io_at("open", path))?;
    file.sync_all().map_err(io_at("flush", path))
}

/// `path` with `end` put to its name.
pub(crate) fn with_end(path: &Path, end: &str) -> PathBuf {
    let mut name = OsString::from(path);
    name.push(end);
    name.into()
}

pub(crate) fn free_name(path: &Path, word: &str) -> PathBuf {
    let first = with_end(path, &format!(".{word}"));
    let later = (2u64..).map(|n| with_end(path, &format!(".{word}-{n}")));
    std::iter::once(first.clone())
        .chain(later)
        .find(|p| fs::symlink_metadata(p).is_err())
        .unwrap_or(first)
}

/// Take away our own unfinished file and what SQLite left beside it: this first,
/// while no other can have taken the name. Best effort: what failed is already
/// being reported.
pub(crate) fn discard(part: &Path) {
    for end in BESIDE {
        let _ = fs::remove_file(with_end(part, end));
    }
    let _ = fs::remove_file(part);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mount_points_are_read_as_they_are_named() {
        let list = b"22 1 8:1 / / rw - ext4 /dev/a rw\n\
            31 22 8:1 /home/log.db /data/my\\040log\\134.db rw - ext4 /dev/a rw\nodd";
        let points: Vec<Vec<u8>> = mount_points(list).collect();
        assert_eq!(points, [&b"/"[..], b"/data/my log\\.db"]);
    }
}
