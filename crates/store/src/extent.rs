//! How much of a file is its own: one with a hole of any length at its end is
//! not copied to where there is no hole.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// So much of a file is copied whatever it says of itself [bytes]: far more
/// than the log of a long life.
pub(crate) const ANY: u64 = 256 * 1024 * 1024;

/// A log is at most so many times as long as the room it takes on its disk,
/// which may keep it smaller than it is.
const PACKED: u64 = 16;

/// Length beyond which a file is a hole, whatever it says of itself [bytes].
pub(crate) fn reach(file: &Path) -> io::Result<u64> {
    let about = std::fs::metadata(file)?;
    #[cfg(unix)]
    let on_disk = std::os::unix::fs::MetadataExt::blocks(&about).saturating_mul(512);
    #[cfg(not(unix))]
    let on_disk = about.len();
    Ok(on_disk.saturating_mul(PACKED).max(ANY))
}

/// Whether a file that says it is `own` long [bytes] is so by a hole.
pub(crate) fn is_hollow(file: &Path, own: u64) -> io::Result<bool> {
    Ok(own.min(std::fs::metadata(file)?.len()) > reach(file)?)
}

/// Length of a file by its own beginning [bytes], as SQLite reads it; `None`
/// where that does not say.
/// (The SQLite file format, section 1.3; <https://www.sqlite.org/fileformat2.html>.)
pub(crate) fn own_length(path: &Path) -> io::Result<Option<u64>> {
    let mut head = [0; 100];
    match File::open(path)?.read_exact(&mut head) {
        Err(e) if e.kind() == io::ErrorKind::UnexpectedEof => return Ok(None),
        read => read?,
    }
    let number = |at: usize| {
        head[at..at + 4]
            .iter()
            .fold(0, |n, b| n << 8 | u64::from(*b))
    };
    let page = match u64::from(head[16]) << 8 | u64::from(head[17]) {
        1 => 65_536,
        page => page,
    };
    let pages = number(28);
    let known = head.starts_with(b"SQLite format 3\0") && pages > 0 && number(24) == number(92);
    Ok((known && page >= 512 && page.is_power_of_two()).then_some(page * pages))
}

/// Copy the first bytes of a file, at most so many, over the one at `to`. Gives
/// how many were left.
pub(crate) fn copy_first(from: &mut File, to: &mut File, most: u64) -> io::Result<u64> {
    let long = from.metadata()?.len();
    io::copy(&mut from.take(most), to)?;
    Ok(long.saturating_sub(most))
}
