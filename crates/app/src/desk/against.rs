//! What an entry is held against: the log of its bin without it, and without
//! what it takes the place of.

use engine::log::{Body, Entry, EntryId, effective};
use engine::reading::doubt::Past;
use engine::reading::early::{Early, begins_after, leaves_behind};
use std::collections::BTreeSet;

pub(super) fn is_filling(body: &Body) -> bool {
    matches!(body, Body::Filled { .. })
}

/// What an entry is held against.
pub(super) struct Against<'b> {
    /// The rest of the log as it stands.
    pub(super) rest: Vec<Entry>,
    /// What the entry says; nothing when it only strikes another.
    pub(super) said: Option<&'b Body>,
    /// When [s since 1970-01-01 00:00 UTC].
    pub(super) at: i64,
    /// What it takes the place of, as that stood.
    pub(super) old: Option<Entry>,
}

impl Against<'_> {
    pub(super) fn past(&self) -> Past<'_> {
        Past {
            log: &self.rest,
            at: self.at,
        }
    }

    /// What a filling that is moved, or comes late, leaves without a bed.
    pub(super) fn left_behind(&self) -> Option<Early> {
        self.said.filter(|said| is_filling(said))?;
        match self.old.as_ref().filter(|old| is_filling(&old.body)) {
            Some(stood) => leaves_behind(&self.past(), stood.at_unix_seconds),
            None => begins_after(&self.past()),
        }
    }

    /// The entry as it would stand, and the log with it; nothing when it only
    /// strikes another.
    pub(super) fn with_it(&self) -> Option<(Entry, Vec<Entry>)> {
        let mut entry = struck(EntryId(0));
        entry.id = self.old.as_ref().map_or(entry.id, |old| old.id);
        entry.at_unix_seconds = self.at;
        entry.body = self.said?.clone();
        let mut log = self.rest.clone();
        log.push(entry.clone());
        log.sort_by_key(|e| (e.at_unix_seconds, e.id));
        Some((entry, log))
    }
}

pub(super) fn against(mut written: Vec<Entry>, at: i64, body: &Body) -> Against<'_> {
    let Body::Correction {
        corrects,
        replacement,
        at_unix_seconds,
        ..
    } = body
    else {
        return Against {
            rest: effective(&written),
            said: Some(body),
            at,
            old: None,
        };
    };
    let before = effective(&written);
    written.push(struck(*corrects));
    let rest = effective(&written);
    let left: BTreeSet<EntryId> = rest.iter().map(|e| e.id).collect();
    let old = before.into_iter().find(|e| !left.contains(&e.id));
    let stood = old.as_ref().map(|e| e.at_unix_seconds);
    Against {
        rest,
        said: replacement.as_deref(),
        at: at_unix_seconds.or(stood).unwrap_or(at),
        old,
    }
}

/// A line that strikes an entry, to see the log without it.
fn struck(corrects: EntryId) -> Entry {
    Entry {
        id: EntryId(i64::MAX),
        bin: None,
        at_unix_seconds: 0,
        zone: String::new(),
        written_unix_seconds: 0,
        body: Body::Correction {
            corrects,
            replacement: None,
            at_unix_seconds: None,
            reason: String::new(),
        },
    }
}
