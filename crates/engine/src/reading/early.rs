//! Times that can hardly be meant: long before the rest of a bin's log, or
//! before there was a bed. They are asked about, never refused.

use super::doubt::Past;
use crate::log::{Body, Entry, EntryId, Measured};
use crate::table::{TableError, Tables};

/// Seconds in a day.
const DAY: f64 = 86_400.0;

/// What is odd about a time [s since 1970-01-01 00:00 UTC].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Early {
    /// Done to a bed before there was one; when it was first filled.
    BeforeFilled(i64),
    /// Long before what was written last; when that was.
    LongBefore(i64),
    /// A filling at, or moved to, a time after something was done to the bed:
    /// the first such entry, and when that was.
    LeavesBehind(EntryId, i64),
}

/// Whether so long went by without an entry that the clock may be ahead, `last`
/// being the latest time anything was written down and `now` that of the next
/// [s since 1970-01-01 00:00 UTC].
///
/// # Errors
/// [`TableError`] when a threshold is missing.
pub fn after_silence(tables: &Tables, last: i64, now: i64) -> Result<bool, TableError> {
    let most = tables.value("observations", "doubt", "silence_days")?;
    Ok(now.saturating_sub(last) as f64 > most * DAY)
}

/// What is odd about the time of an entry.
///
/// # Errors
/// [`TableError`] when a threshold is missing.
pub fn early(tables: &Tables, past: &Past<'_>, body: &Body) -> Result<Option<Early>, TableError> {
    let gap = tables.value("observations", "doubt", "log_gap_days")?;
    let last = past.log.iter().map(|e| e.at_unix_seconds).max();
    if let Some(last) = last.filter(|last| ((last - past.at) as f64) > gap * DAY) {
        return Ok(Some(Early::LongBefore(last)));
    }
    Ok(before_filled(past, body))
}

/// As [`early`], of an entry whose time stands near where it stood.
#[must_use]
pub fn before_filled(past: &Past<'_>, body: &Body) -> Option<Early> {
    let filled = past
        .log
        .iter()
        .filter(|e| matches!(e.body, Body::Filled { .. }))
        .map(|e| e.at_unix_seconds)
        .min();
    filled
        .filter(|from| past.at < *from && of_the_bed(body))
        .map(Early::BeforeFilled)
}

/// The first filling of a bin to which something was done before: before there
/// was a bed that counts for nothing.
#[must_use]
pub fn begins_after(past: &Past<'_>) -> Option<Early> {
    let is_before =
        |e: &Entry| matches!(e.body, Body::Filled { .. }) && e.at_unix_seconds <= past.at;
    match past.log.iter().any(is_before) {
        true => None,
        false => leaves_behind(past, i64::MIN),
    }
}

/// A filling that stood at `from` and is moved to the time of `past` [s since
/// 1970-01-01 00:00 UTC] leaves behind what was done to the bed between: before
/// there was a bed it counts for nothing.
#[must_use]
pub fn leaves_behind(past: &Past<'_>, from: i64) -> Option<Early> {
    let between = |e: &&Entry| (from..past.at).contains(&e.at_unix_seconds) && of_the_bed(&e.body);
    let first = past.log.iter().filter(between);
    first
        .min_by_key(|e| (e.at_unix_seconds, e.id))
        .map(|e| Early::LeavesBehind(e.id, e.at_unix_seconds))
}

/// Whether something is done to or seen of the bed, which must be there.
fn of_the_bed(body: &Body) -> bool {
    match body {
        Body::Reading(r) => r.what != Measured::AirCelsius,
        Body::Bin(_) | Body::Filled { .. } | Body::Note { .. } | Body::Move { .. } => false,
        _ => true,
    }
}

/// Whether a bin said to be begun then was begun improbably long before `now`
/// [s since 1970-01-01 00:00 UTC].
///
/// # Errors
/// [`TableError`] when a threshold is missing.
pub fn begun_long_ago(tables: &Tables, at: i64, now: i64) -> Result<bool, TableError> {
    let most = tables.value("observations", "doubt", "new_bin_days")?;
    Ok((now - at) as f64 > most * DAY)
}
