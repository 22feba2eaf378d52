//! A file that SQLite cannot read by itself, and a journal beside it: told by
//! their bytes.

use crate::StoreError;
use crate::carve::{Found, carve};
use crate::error::io_at;
use crate::extent::{copy_first, reach};
use crate::open::{READ_WRITE, connect, set_journal};
use crate::place::{discard, make_keepers_only, reserve, with_end};
use crate::seal::Record;
use std::collections::BTreeSet;
use std::fs;
use std::io::ErrorKind;
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

/// What the journal with this end would do to a file, tried on a copy.
///
/// # Errors
/// When no copy can be made.
pub(crate) fn overlaid(real: &Path, end: &str) -> Result<Overlaid, StoreError> {
    let copied = reserve(real, "reading")?;
    let tried = || -> std::io::Result<Overlaid> {
        copy_bytes(real, &copied)?;
        copy_bytes(&with_end(real, end), &with_end(&copied, end))?;
        let bytes = fs::read(&copied)?;
        // Whatever fails here, it would when the file itself is opened.
        let _ = connect(&copied, READ_WRITE)
            .map_err(StoreError::from)
            .and_then(|db| set_journal(&db, "delete"));
        let after: BTreeSet<_> = entries_in(&fs::read(&copied)?).map(said).collect();
        let gone = entries_in(&bytes).filter(|record| !after.contains(&said(record.clone())));
        let gone = gone
            .map(|record| (record.device, record.sequence))
            .collect();
        Ok(Overlaid { bytes, gone })
    };
    let overlaid = tried();
    discard(&copied);
    match overlaid {
        Err(e) if e.kind() == ErrorKind::NotFound => Ok(Overlaid {
            bytes: Vec::new(),
            gone: Vec::new(),
        }),
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
