//! A file that SQLite cannot read by itself, and a journal beside it: told by
//! their bytes.

use crate::StoreError;
use crate::carve::{Found, PAGES, carve};
use crate::error::io_at;
use crate::extent::{copy_first, reach};
use crate::open::{READ_WRITE, connect, set_journal};
use crate::place::{discard, make_keepers_only, reserve, with_end};
use std::collections::BTreeSet;
use std::fs;
use std::io::{BufReader, ErrorKind, Read, Seek, SeekFrom};
use std::path::Path;

/// Copy a file for our own eyes, up to where it is a hole.
pub(crate) fn copy_bytes(from: &Path, to: &Path) -> std::io::Result<()> {
    let mut copy = fs::File::create(to)?;
    make_keepers_only(to);
    copy_first(&mut fs::File::open(from)?, &mut copy, reach(from)?).map(drop)
}

/// Of a file that SQLite cannot read by itself: whether entries that can still be
/// found in its bytes are not in those of a copy over
/// which the journal was laid.
///
/// # Errors
/// When no copy can be made.
pub(crate) fn overwrites_entries(real: &Path, end: &str) -> Result<bool, StoreError> {
    let copied = reserve(real, "reading")?;
    let tried = || -> std::io::Result<bool> {
        copy_bytes(real, &copied)?;
        copy_bytes(&with_end(real, end), &with_end(&copied, end))?;
        let before = bodies_in(&copied)?;
        // Whatever fails here, it would when the file itself is opened.
        let _ = connect(&copied, READ_WRITE)
            .map_err(StoreError::from)
            .and_then(|db| set_journal(&db, "delete"));
        Ok(!before.is_subset(&bodies_in(&copied)?))
    };
    let overwrites = tried();
    discard(&copied);
    match overwrites {
        Err(e) if e.kind() == ErrorKind::NotFound => Ok(false),
        overwrites => overwrites.map_err(io_at("write", real)),
    }
}

/// The entries that can be found in the bytes of a file, by number and body.
fn bodies_in(file: &Path) -> std::io::Result<BTreeSet<(i64, String)>> {
    let mut found = Found::default();
    carve(&fs::read(file)?, &mut found);
    let of = match found.sealed.is_empty() {
        true => found.unsealed,
        false => found.sealed,
    };
    Ok(of.into_iter().map(|(id, r)| (id, r.body)).collect())
}

/// Whether a write-ahead journal was just being folded into a file, as a program
/// killed then leaves it, or a power cut in the midst of a page: something of what
/// the journal holds stands in the file already, at its place. The first page is
/// much the same in all logs, and so is what is nearly empty.
/// (The SQLite file format, section 4; <https://www.sqlite.org/fileformat2.html>.)
pub(crate) fn is_being_folded(real: &Path, journal: &Path) -> bool {
    let something_stands = || -> std::io::Result<bool> {
        let mut journal = BufReader::new(fs::File::open(journal)?.take(reach(journal)?));
        let mut file = fs::File::open(real)?;
        let (mut head, mut frame) = ([0; 32], [0; 24]);
        journal.read_exact(&mut head)?;
        let number = |from: &[u8]| from.iter().fold(0, |n: u64, b| n << 8 | u64::from(*b));
        let size = number(&head[8..12]);
        let long = usize::try_from(size).unwrap_or(0);
        if !matches!(number(&head[..4]), 0x377f_0682 | 0x377f_0683) || !PAGES.contains(&long) {
            return Ok(false);
        }
        let (mut new, mut there) = (vec![0; long], vec![0; long]);
        while journal.read_exact(&mut frame).is_ok() && frame[8..16] == head[16..24] {
            journal.read_exact(&mut new)?;
            let at = number(&frame[..4]);
            if at == 0 {
                break;
            }
            file.seek(SeekFrom::Start((at - 1) * size))?;
            let read = at > 1 && file.read_exact(&mut there).is_ok();
            let mut sectors = new.chunks(SECTOR).zip(there.chunks(SECTOR));
            if read && sectors.any(|(new, there)| new == there && says_something(new)) {
                return Ok(true);
            }
        }
        Ok(false)
    };
    something_stands().unwrap_or(false)
}

/// What a disk writes as a whole [bytes].
const SECTOR: usize = 512;

fn says_something(sector: &[u8]) -> bool {
    sector.iter().filter(|byte| **byte != 0).count() > SECTOR / 4
}
