//! Out of a damaged file, what can be read of it, into a new sound one.

use crate::carve::{Found, carve};
use crate::error::{io_at, is_no_room};
use crate::extent::{ANY, copy_first, own_length, reach};
use crate::health::{examine, known_lost};
use crate::journal::journal_is_of;
use crate::open::{READ_WRITE, begin, connect, set_journal};
use crate::place::{discard, make_keepers_only, plain_file, reserve, with_end};
use crate::seal::Record;
use crate::whole_file::place_whole;
use crate::{Missing, New, Store, StoreError, Unreadable};
use engine::log::{BinId, Body, EntryId};
use std::collections::BTreeMap;
use std::fs::{self, File};
use std::path::Path;

/// Lines about what was lost that the note in the new log holds.
const LINES: usize = 60;

/// What a rescue saved, and what it could not.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Rescued {
    /// Entries saved.
    pub saved: usize,
    /// Entries found that no longer say what was written.
    pub unreadable: Vec<Unreadable>,
    /// Entries not found.
    pub missing: Vec<Missing>,
    /// End of the file that was not looked at, as it goes on for much longer than
    /// it says it is [bytes]; mostly none.
    pub passed_over: u64,
}

impl Rescued {
    /// What was lost, a line each.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let unreadable = self.unreadable.iter().map(ToString::to_string);
        let missing = self.missing.iter().map(ToString::to_string);
        let end = (self.passed_over > 0).then(|| {
            format!(
                "the last {} MB of the file, far beyond what it says is its own, were not looked at",
                self.passed_over / 1_000_000
            )
        });
        unreadable.chain(missing).chain(end).collect()
    }

    fn note(&self) -> String {
        let lines = self.lines();
        let mut text = format!("Saved from a damaged log: {} entries.", self.saved);
        if lines.is_empty() {
            text.push_str(" None is known to be lost.");
        }
        for line in lines.iter().take(LINES) {
            text.push_str(&format!("\nLost: {line}."));
        }
        if lines.len() > LINES {
            text.push_str(&format!("\nAnd {} more.", lines.len() - LINES));
        }
        text
    }
}

impl Store {
    /// Save every entry that can be read out of the damaged log `from`, even
    /// one that cannot be opened, into a new log at `to`, which must not be
    /// there. Entries keep their numbers; a note at the end says what could
    /// not be saved. `from` is only read. It must not be open in this process:
    /// for that there is [`Store::rescue_to`].
    ///
    /// # Errors
    /// When `from` cannot be read or has no entry in it that can be; when `to`
    /// is there or cannot be written.
    pub fn rescue(from: &Path, to: &Path, now_unix_seconds: i64) -> Result<Rescued, StoreError> {
        let real = plain_file(from)?.ok_or_else(|| StoreError::NotThere(from.to_owned()))?;
        place_whole(to, false, Some(&real), |part| {
            let scratch = reserve(to, "reading")?;
            let done = copy(&real, &scratch, from, to).and_then(|passed_over| {
                let journal = with_end(&real, "-wal");
                // One of another time would be laid over what is to be saved.
                if journal.exists() && journal_is_of(&real, from).is_ok() {
                    copy(&journal, &with_end(&scratch, "-wal"), from, to)?;
                }
                save(&scratch, part, from, passed_over, now_unix_seconds)
            });
            discard(&scratch);
            done
        })
    }

    /// As [`Store::rescue`], from this log, which stays open. When its file is
    /// gone from its path, what is still held of it is saved: all of it, as it
    /// was, where it is still whole.
    ///
    /// # Errors
    /// As [`Store::rescue`].
    pub fn rescue_to(&self, to: &Path, now_unix_seconds: i64) -> Result<Rescued, StoreError> {
        if self.stands().is_err()
            && let Ok(saved) = self.copy_whole(to, false, true)
        {
            return Ok(Rescued {
                saved,
                ..Rescued::default()
            });
        }
        place_whole(to, false, self.path(), |part| {
            let scratch = reserve(to, "reading")?;
            let done = crate::backup::copy_pages(&self.db, &scratch)
                .and_then(|()| save(&scratch, part, &self.shown(), 0, now_unix_seconds));
            discard(&scratch);
            done
        })
    }
}

/// Copy a file that is to be read, for the keeper's eyes only; told of by the
/// names the keeper gave. Gives how much of its end was passed over [bytes].
fn copy(file: &Path, copied: &Path, from: &Path, to: &Path) -> Result<u64, StoreError> {
    let copy = || {
        // What was written since it last said how long it is may be there, too.
        let own = own_length(file)?.unwrap_or(0).saturating_mul(2);
        let own = own.min(reach(file)?);
        let mut target = File::create(copied)?;
        copy_first(&mut File::open(file)?, &mut target, own.max(ANY))
    };
    let passed_over = copy().map_err(|e| match is_no_room(&e) {
        true => io_at("write", to)(e),
        false => io_at("read", from)(e),
    })?;
    make_keepers_only(copied);
    Ok(passed_over)
}

/// Save what is in `scratch`, our own copy of `from`, in the new file `part`.
fn save(
    scratch: &Path,
    part: &Path,
    from: &Path,
    passed_over: u64,
    now: i64,
) -> Result<Rescued, StoreError> {
    let told = fold_in_the_journal(scratch);
    let mut found = Found::default();
    for end in ["", "-wal"] {
        match fs::read(with_end(scratch, end)) {
            Ok(bytes) => carve(&bytes, &mut found),
            Err(_) if !end.is_empty() => {}
            Err(e) => return Err(io_at("read", from)(e)),
        }
    }
    // Pages given back may still hold rows of the schema before.
    if !found.sealed.is_empty() || !found.broken.is_empty() {
        found.unsealed.clear();
    }
    if found.sealed.is_empty() && found.unsealed.is_empty() {
        return Err(StoreError::invalid(
            format!("`{}`", crate::error::shown(from)),
            "holds no entry that can be read",
        ));
    }
    write(found, told, part, passed_over, now)
}

/// What a file that can still be opened tells of itself.
#[derive(Default)]
struct Told {
    unreadable: Vec<Unreadable>,
    /// Its device, and the last sequence given.
    given: Option<(String, i64)>,
    /// The last number given to an entry.
    numbered: i64,
    /// Places known to be lost.
    lost: Vec<(String, i64, i64)>,
}

/// Bring what is in the write-ahead journal into the file, as far as SQLite
/// can, and ask the file how it is. Whatever fails here, the bytes are read.
fn fold_in_the_journal(scratch: &Path) -> Told {
    let mut told = Told::default();
    let Ok(db) = connect(scratch, READ_WRITE) else {
        return told;
    };
    // Best effort, all of it.
    let _ = set_journal(&db, "delete");
    told.lost = known_lost(&db).unwrap_or_default();
    told.given = db
        .query_row("SELECT device, sequence FROM this_log", [], |r| {
            Ok((r.get(0)?, r.get(1)?))
        })
        .ok();
    let numbered = "SELECT max(seq) FROM sqlite_sequence WHERE name = 'entry'";
    told.numbered = db.query_row(numbered, [], |r| r.get(0)).unwrap_or(0);
    told.unreadable = examine(&db).map_or_else(|_| Vec::new(), |h| h.unreadable);
    told
}

fn write(
    found: Found,
    told: Told,
    part: &Path,
    passed_over: u64,
    now: i64,
) -> Result<Rescued, StoreError> {
    let unreadable = changed(&found, told.unreadable);
    let mut missing = left_out(&found.unsealed);
    missing.extend(cut_off(&found, told.given, told.numbered));
    begin(part)?;
    let mut store = Store::open_existing(part)?;
    let saved = store.in_one_go(|pen| {
        for (device, first, last) in &told.lost {
            pen.lose(device, *first, *last)?;
        }
        let records = found
            .sealed
            .into_values()
            .chain(found.unsealed.into_values());
        let mut count = 0;
        for record in records {
            pen.put(record)?;
            count += 1;
        }
        Ok(count)
    })?;
    let gaps = store.examine()?.missing;
    missing.splice(0..0, gaps.iter().cloned());
    missing.retain(|gap| !gap.is_told_by(&unreadable));
    let rescued = Rescued {
        saved,
        unreadable,
        missing,
        passed_over,
    };
    store.in_one_go(|pen| {
        for gap in &gaps {
            pen.lose(&gap.device, gap.first, gap.last)?;
        }
        let text = rescued.note().into();
        pen.take(&New::at(now, "UTC", Body::Note { text }))
    })?;
    set_journal(&store.db, "delete")?;
    match examine(&store.db)?.first_damage() {
        None => Ok(rescued),
        Some(problem) => Err(StoreError::not_whole(part, problem)),
    }
}

/// The end that was written and not found.
fn cut_off(found: &Found, given: Option<(String, i64)>, numbered: i64) -> Option<Missing> {
    let ids = found.sealed.keys().chain(found.unsealed.keys());
    let last = ids.copied().max().unwrap_or(0);
    let mut end = (numbered > last).then(|| (String::new(), last, numbered));
    if let Some((device, given)) = given {
        let own = found.sealed.values().filter(|r| r.device == device);
        let last = own.map(|r| r.sequence).max().unwrap_or(0);
        if given > last {
            end = Some((device, last, given));
        }
    }
    let (device, before, given) = end?;
    Some(Missing {
        device,
        first: before.saturating_add(1),
        last: given,
        after: (last > 0).then_some(EntryId(last)),
        before: None,
    })
}

/// Numbers left out among entries of schema 1, which had no other count.
fn left_out(unsealed: &BTreeMap<i64, Record>) -> Vec<Missing> {
    let ids: Vec<i64> = unsealed.keys().copied().collect();
    let gaps = ids.windows(2).filter(|pair| pair[1] > pair[0] + 1);
    gaps.map(|pair| Missing {
        device: String::new(),
        first: pair[0] + 1,
        last: pair[1] - 1,
        after: Some(EntryId(pair[0])),
        before: Some(EntryId(pair[1])),
    })
    .collect()
}

/// The entries that were found and no longer say what was written.
fn changed(found: &Found, told: Vec<Unreadable>) -> Vec<Unreadable> {
    let told = told.into_iter().filter(|u| !u.intact);
    let mut all: BTreeMap<EntryId, Unreadable> = told.map(|u| (u.id, u)).collect();
    for record in found.broken.values() {
        all.entry(EntryId(record.id))
            .or_insert_with(|| broken(record));
    }
    all.retain(|id, _| !found.sealed.contains_key(&id.0));
    all.into_values().collect()
}

fn broken(record: &Record) -> Unreadable {
    Unreadable {
        id: EntryId(record.id),
        bin: record.bin.map(BinId),
        at_unix_seconds: Some(record.at_unix_seconds),
        kind: crate::plain(&record.kind, 24),
        engine_version: crate::plain(&record.engine_version, 16),
        intact: false,
        problem: "its checksum does not fit".to_owned(),
    }
}
