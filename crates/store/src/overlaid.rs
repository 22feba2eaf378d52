//! A file that SQLite cannot read by itself, and a journal beside it: told by
//! their bytes.

use crate::StoreError;
use crate::carve::{Found, PAGES, carve};
use crate::error::io_at;
use crate::extent::{copy_first, reach};
use crate::open::{READ_WRITE, connect, set_journal};
use crate::place::{discard, make_keepers_only, reserve, with_end};
use crate::seal::Record;
use std::collections::BTreeSet;
use std::fs;
use std::io::{ErrorKind, Read};
use std::path::Path;

/// Copy a file for our own eyes, up to where it is a hole.
pub(crate) fn copy_bytes(from: &Path, to: &Path) -> std::io::Result<()> {
    let mut copy = fs::File::create(to)?;
    make_keepers_only(to);
    copy_first(&mut fs::File::open(from)?, &mut copy, reach(from)?).map(drop)
}

/// A file that SQLite cannot read by itself, and what of it is gone with the
/// journal.
pub(crate) struct Overlaid {
    /// The bytes of the file.
    pub(crate) bytes: Vec<u8>,
    /// Device and sequence of the entries that can be found in these and are not in
    /// a copy over which the journal was laid.
    pub(crate) gone: Vec<(String, i64)>,
}

impl Overlaid {
    fn of(bytes: Vec<u8>, after: &[u8]) -> Self {
        let after: BTreeSet<_> = entries_in(after).map(said).collect();
        let gone = entries_in(&bytes).filter(|record| !after.contains(&said(record.clone())));
        let gone = gone
            .map(|record| (record.device, record.sequence))
            .collect();
        Self { bytes, gone }
    }
}

/// What a write-ahead journal would do to a file: its pages are put over those of
/// the file in memory, up to the last that ends a transaction.
/// (The SQLite file format, section 4; <https://www.sqlite.org/fileformat2.html>.)
///
/// # Errors
/// When one cannot be read.
pub(crate) fn with_journal(real: &Path, journal: &Path) -> Result<Overlaid, StoreError> {
    let read = |path: &Path| read_own(path).map_err(io_at("read", path));
    let (bytes, journal) = (read(real)?, read(journal)?);
    let number = |at: usize| {
        let four = journal.get(at..at + 4)?;
        Some(four.iter().fold(0, |n, b| n << 8 | usize::from(*b)))
    };
    let size = number(8).filter(|size| PAGES.contains(size)).unwrap_or(0);
    let is_one = matches!(number(0), Some(0x377f_0682 | 0x377f_0683)) && size > 0;
    let mut after = bytes.clone();
    let mut pending = Vec::new();
    let mut at = HEAD;
    while is_one
        && let Some(page) = journal.get(at + FRAME..at + FRAME + size)
        && journal[at + 8..at + 16] == journal[16..24]
        && let Some(place) = number(at).and_then(|n| n.checked_sub(1))
    {
        pending.push((place, page));
        if let Some(pages) = number(at + 4).filter(|pages| *pages > 0) {
            for (place, page) in pending.drain(..) {
                let start = place * size;
                // Further out is a hole.
                if start <= bytes.len() + journal.len() {
                    after.resize(after.len().max(start + size), 0);
                    after[start..start + size].copy_from_slice(page);
                }
            }
            after.truncate(pages * size);
        }
        at += FRAME + size;
    }
    Ok(Overlaid::of(bytes, &after))
}

/// Heads of a write-ahead journal and of each of its pages [bytes].
const HEAD: usize = 32;
const FRAME: usize = 24;

/// What is a file's own, up to where it is a hole; nothing of one that is not there.
fn read_own(path: &Path) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    match fs::File::open(path) {
        Err(e) if e.kind() == ErrorKind::NotFound => {}
        file => {
            file?.take(reach(path)?).read_to_end(&mut bytes)?;
        }
    }
    Ok(bytes)
}

/// What a journal that takes back would do to a file, tried on a copy.
///
/// # Errors
/// When no copy can be made.
pub(crate) fn rolled_back(real: &Path, journal: &Path) -> Result<Overlaid, StoreError> {
    let copied = reserve(real, "reading")?;
    let tried = || -> std::io::Result<Overlaid> {
        copy_bytes(real, &copied)?;
        copy_bytes(journal, &with_end(&copied, "-journal"))?;
        let bytes = fs::read(&copied)?;
        // Whatever fails here, it would when the file itself is opened.
        let _ = connect(&copied, READ_WRITE)
            .map_err(StoreError::from)
            .and_then(|db| set_journal(&db, "delete"));
        Ok(Overlaid::of(bytes, &fs::read(&copied)?))
    };
    let overlaid = tried();
    discard(&copied);
    match overlaid {
        Err(e) if e.kind() == ErrorKind::NotFound => Ok(Overlaid::of(Vec::new(), &[])),
        overlaid => overlaid.map_err(io_at("write", real)),
    }
}

/// The entries that can be found in the bytes of a file.
fn entries_in(bytes: &[u8]) -> impl Iterator<Item = Record> + use<> {
    let mut found = Found::default();
    carve(bytes, &mut found);
    let of = match found.sealed.is_empty() {
        true => found.unsealed,
        false => found.sealed,
    };
    of.into_values()
}

/// What makes an entry the same before and after it is sealed.
fn said(record: Record) -> (i64, String) {
    (record.id, record.body)
}
