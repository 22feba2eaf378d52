//! The log as a file: whether it is there and sound, and whether it is backed
//! up. What is said of that is said here, for commands and pages alike.

use super::{Desk, DeskError};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::PoisonError;
use store::{Backups, Saved, StoreError};

/// Oldest a backup may be when entries were written since [d].
const OLDEST_DAYS: i64 = 7;
/// Longest without one when none is made of itself [d].
const LONGEST_DAYS: i64 = 30;
const DAY: i64 = 86_400;
/// Longest note of when a backup was saved by hand [bytes].
const NOTE_LONG: u64 = 64;

/// Backups of the log, as far as is known.
#[derive(Debug, Clone, Default)]
pub struct BackedUp {
    /// One is made on each day with a new entry.
    pub of_itself: bool,
    /// The folder they are in; `None` in memory.
    pub folder: Option<PathBuf>,
    /// Those made of this log without being asked, newest first.
    pub list: Vec<Saved>,
    /// Those of other logs that stood at its place, newest first.
    pub of_others: Vec<Saved>,
    /// Why the last one could not be made.
    pub failed: Option<String>,
    /// That it is time to save one, as a sentence.
    pub reminder: Option<String>,
}

impl Desk {
    /// Whether the log is there to be read and written.
    ///
    /// # Errors
    /// [`DeskError`] when it could not be opened, or is gone from its place.
    pub fn ready(&self) -> Result<(), DeskError> {
        match self.why_closed() {
            Some(why) => Err(DeskError::Closed(why)),
            None => Ok(self.store().mark().map(drop)?),
        }
    }

    /// Why the log could not be opened; `None` when it is open.
    #[must_use]
    pub fn why_closed(&self) -> Option<String> {
        self.closed
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    /// That the log is shown and takes nothing, and why; `None` when it can be
    /// written to.
    #[must_use]
    pub fn why_only_shown(&self) -> Option<String> {
        let store = self.store();
        let why = store
            .may_be_written()
            .err()
            .filter(|_| store.is_only_shown())?;
        Some(format!(
            "nothing can be written down, and what is shown is the log as it was when this was begun: {why}"
        ))
    }

    /// What is wrong with the log, a sentence each; empty when nothing is.
    #[must_use]
    pub fn damage(&self) -> Vec<String> {
        self.store().health().lines()
    }

    /// The same in one line beside an answer; empty when nothing is wrong.
    #[must_use]
    pub fn notices(&self) -> Vec<String> {
        let of_others = self.store().backups().unwrap_or_default().of_others;
        if let Ok(Some(said)) = self.stood_before(&of_others) {
            return vec![said];
        }
        let lines = self.damage();
        let more = lines.len().saturating_sub(1);
        lines
            .first()
            .map(|first| match more {
                0 => format!("{first}; `bedwright check` says what to do"),
                _ => format!("{first}; and {more} more: `bedwright check` names them"),
            })
            .into_iter()
            .collect()
    }

    /// The same in a few words on every page; empty when nothing is wrong.
    #[must_use]
    pub fn damage_in_short(&self) -> String {
        let health = self.store().health();
        let mut said = Vec::new();
        if !health.damage.is_empty() {
            said.push(
                "The file of the log is damaged, and nothing can be written in it.".to_owned(),
            );
        }
        match health.unreadable.len() {
            0 => {}
            1 => said.push("One entry cannot be read and is left out.".to_owned()),
            n => said.push(format!("{n} entries cannot be read and are left out.")),
        }
        let (unknown, counted): (Vec<_>, Vec<_>) =
            health.missing.iter().partition(|m| m.is_false_count());
        if !unknown.is_empty() {
            said.push("The count of entries in the file was changed or damaged.".to_owned());
        }
        match counted
            .iter()
            .map(|m| m.count())
            .fold(0, i64::saturating_add)
        {
            0 => {}
            1 => said.push("One entry is missing.".to_owned()),
            n => said.push(format!("{n} entries are missing.")),
        }
        said.join(" ")
    }

    /// Makes a backup where one is due. It is made after an entry was written
    /// and never in its way; that it failed is kept to be told.
    pub fn tend(&self) -> Option<String> {
        let now = self.clock.unix_seconds();
        let failed = match self.backs_up() {
            Ok(true) => match store::roll_backups(&self.store(), now) {
                // Another program made one in this very second.
                Ok(_) | Err(StoreError::Exists(_)) => None,
                Err(e) => Some(e.to_string()),
            },
            Ok(false) => None,
            Err(e) => Some(e.to_string()),
        };
        self.failed
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone_from(&failed);
        failed
    }

    /// Whether backups are made without being asked.
    fn backs_up(&self) -> Result<bool, DeskError> {
        let set = self.settings()?;
        let only_shown = self.store().is_only_shown();
        Ok(!only_shown && self.path.is_some() && set.get("backups").is_none_or(|v| v != "off"))
    }

    /// The backups of this log, and whether it is time to save one.
    ///
    /// # Errors
    /// [`DeskError`] when the log cannot be read.
    pub fn backed_up(&self) -> Result<BackedUp, DeskError> {
        let Some(path) = self.path.clone() else {
            return Ok(BackedUp::default());
        };
        let failed = self.failed.lock();
        let failed = failed.unwrap_or_else(PoisonError::into_inner).clone();
        let mut found = BackedUp {
            of_itself: self.backs_up()?,
            folder: Some(store::backups_folder(&path)),
            failed,
            ..BackedUp::default()
        };
        let all = match self.why_closed() {
            // There is no telling whose they are.
            Some(_) => store::backups(&path).map(|own| Backups {
                own,
                ..Backups::default()
            }),
            None => self.store().backups(),
        };
        match all {
            Ok(all) => (found.list, found.of_others) = (all.own, all.of_others),
            // The folder is in no state to hold any; all else is answered.
            Err(why) => found.failed = Some(why.to_string()),
        }
        found.reminder = match self.stood_before(&found.of_others)? {
            None => self.reminder(&found)?,
            said => said,
        };
        Ok(found)
    }

    /// Of a log just begun: that another stood at its place, and how to have
    /// it back.
    fn stood_before(&self, of_others: &[Saved]) -> Result<Option<String>, DeskError> {
        let newest = of_others.iter().find(|b| b.entries.is_some());
        let Some((newest, entries)) = newest.and_then(|b| Some((b, b.entries?))) else {
            return Ok(None);
        };
        if self.why_closed().is_some() || !self.store().is_empty()? {
            return Ok(None);
        }
        Ok(Some(format!(
            "This log is new, and another stood at its place before. Its newest backup, of {} with {}, is {}; it is put back under Settings or by `bedwright restore`.",
            self.clock.minute(newest.at_unix_seconds),
            crate::report::count(entries, "entry", "entries"),
            newest.path.display()
        )))
    }

    fn reminder(&self, found: &BackedUp) -> Result<Option<String>, DeskError> {
        // Of a day to come is one made by a clock that was ahead.
        let now = self.clock.unix_seconds();
        let readable = found.list.iter().filter(|b| b.entries.is_some());
        let made = readable.map(|b| b.at_unix_seconds).filter(|at| *at <= now);
        let newest = made.max().max(self.last_saved());
        let limit = match found.of_itself {
            true => OLDEST_DAYS,
            false => LONGEST_DAYS,
        };
        let days = |since: i64| (now - since) / DAY;
        if newest.is_some_and(|at| days(at) < limit) {
            return Ok(None);
        }
        // An invented entry is worth no backup.
        let invented = self.store().demo_entries()?;
        let all = self.store().all_entries()?;
        let own = all.iter().filter(|e| !invented.contains(&e.id));
        let written: Vec<i64> = own.map(|e| e.written_unix_seconds).collect();
        let (first, last) = (written.iter().min(), written.iter().max());
        Ok(match (newest, first, last) {
            (Some(at), _, Some(last)) if *last > at => Some(format!(
                "The newest backup is {} days old, and entries were written since.",
                days(at)
            )),
            (None, Some(first), _) if days(*first) >= limit => Some(format!(
                "This log was begun {} days ago and has no backup yet.",
                days(*first)
            )),
            _ => None,
        })
    }

    /// When the keeper last saved a backup [s since 1970-01-01 00:00 UTC], as
    /// far as is known.
    fn last_saved(&self) -> Option<i64> {
        let note = self.saved_note()?;
        // Another thing put there under that name may never end.
        let is_ours = |f: &fs::Metadata| f.is_file() && f.len() <= NOTE_LONG;
        fs::symlink_metadata(&note).ok().filter(is_ours)?;
        fs::read_to_string(note).ok()?.trim().parse().ok()
    }

    /// Remembers that the keeper saved a backup. Best effort: it is only for
    /// the reminder.
    pub fn saved(&self) {
        if let Some(note) = self.saved_note() {
            let now = self.clock.unix_seconds();
            let _ = note.parent().map(make_folder);
            let _ = store::write_whole(&note, true, self.path.as_deref(), |out| {
                writeln!(out, "{now}").map_err(|e| DeskError::Unreadable(e.to_string()))
            });
        }
    }

    /// A small file in the folder of backups: when one was last saved by hand.
    fn saved_note(&self) -> Option<PathBuf> {
        let folder = store::backups_folder(self.path.as_deref()?);
        Some(folder.join("last-saved-by-hand"))
    }
}

/// For the keeper's eyes only, like the log.
fn make_folder(folder: &Path) -> std::io::Result<()> {
    let mut maker = fs::DirBuilder::new();
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut maker, 0o700);
    maker.create(folder)
}

/// Whether what can be read of a log may be worth saving when this is why it
/// cannot be opened.
#[must_use]
pub fn may_be_rescued(error: &DeskError) -> bool {
    match error {
        DeskError::Store(e) => e.is_damage(),
        // Only such a log is kept closed.
        DeskError::Closed(_) => true,
        _ => false,
    }
}
