//! `bedwright backup`, `restore`, `export`, `import`, `check` and `rescue`: the
//! data file.

use super::session::{Fault, Reply, Session};
use crate::desk::Desk;
use crate::report;
use crate::shown::{self as hygiene, Through};
use serde_json::{Value, json};
use std::borrow::Cow;
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use store::{Form, Health, Imported, Missing, Saved, Store, StoreError, Unreadable};

/// Most things wrong with a log that are told one by one.
const MOST_TOLD: usize = 20;

/// Arguments of `backup`.
#[derive(Debug, clap::Args)]
pub struct Backup {
    /// File to write.
    path: PathBuf,
    /// Replace the file when it is there.
    #[arg(long)]
    replace: bool,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `restore`.
#[derive(Debug, clap::Args)]
pub struct Restore {
    /// Backup to put in place.
    path: PathBuf,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `export`.
#[derive(Debug, clap::Args)]
pub struct Export {
    /// File to write, or `-` for standard output.
    path: PathBuf,
    /// CSV instead of JSON Lines.
    #[arg(long)]
    csv: bool,
    /// Replace the file when it is there.
    #[arg(long)]
    replace: bool,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `import`.
#[derive(Debug, clap::Args)]
pub struct Import {
    /// File to read: JSON Lines, or CSV when its name ends in `.csv`.
    path: PathBuf,
    /// CSV, whatever its name.
    #[arg(long)]
    csv: bool,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `rescue`.
#[derive(Debug, clap::Args)]
pub struct Rescue {
    /// Damaged log to read; it is left as it is.
    from: PathBuf,
    /// New log to write what can be read to.
    to: PathBuf,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `check`.
#[derive(Debug, clap::Args)]
pub struct Plain {
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

fn shown(path: &Path) -> String {
    path.display().to_string()
}

/// A file already there may be replaced when that is asked for.
fn written(error: StoreError) -> Fault {
    match error {
        StoreError::Exists(path) => Fault::input(format!(
            "`{}` is already there; choose another name or give --replace",
            shown(&path)
        )),
        other => other.into(),
    }
}

pub(super) fn backup(a: &Backup, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk_there()?;
    let entries = desk
        .store()
        .backup_to(&a.path, a.replace)
        .map_err(written)?;
    desk.saved();
    let count = report::count(entries, "entry", "entries");
    Reply::new(
        format!("Saved to {}: {count}, read back whole.", shown(&a.path)),
        json!({ "schema": "bedwright-backup-1", "path": shown(&a.path), "entries": entries }),
    )
}

pub(super) fn restore(a: &Restore, session: &Session) -> Result<Reply, Fault> {
    // Before a folder is made for it.
    if !a.path.exists() {
        return Err(Fault::input(format!("`{}` is not there", shown(&a.path))));
    }
    let to = session.data();
    let kept = Store::restore(&a.path, &to)?.map(|k| beside(&to, k));
    let mut text = format!("{} is in place.", shown(&a.path));
    if let Some(old) = &kept {
        text.push_str(&format!(" What was there is kept as {}.", shown(old)));
    }
    Reply::new(
        text,
        json!({
            "schema": "bedwright-restore-1",
            "data": shown(&to),
            "kept": kept.as_deref().map(shown),
        }),
    )
}

/// A file beside the log, named the way the log was named.
fn beside(log: &Path, file: PathBuf) -> PathBuf {
    match file.file_name() {
        Some(name) if !log.is_symlink() => log.with_file_name(name),
        _ => file,
    }
}

pub(super) fn export(a: &Export, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk_there()?;
    let store = desk.store();
    if a.path == Path::new("-") {
        let mut out = Through::new(io::stdout().lock(), as_shown(a.csv));
        match a.csv {
            true => store.export_csv(&mut out)?,
            false => store.export_jsonl(&mut out)?,
        };
        out.flush()
            .map_err(|e| Fault::Other(format!("the log could not be printed: {e}")))?;
        return Ok(Reply::nothing());
    }
    let form = if a.csv { Form::Csv } else { Form::JsonLines };
    let entries = store.export_to(&a.path, form, a.replace).map_err(written)?;
    let count = report::count(entries, "entry", "entries");
    Reply::new(
        format!("{count} written to {}.", shown(&a.path)),
        json!({ "schema": "bedwright-export-1", "path": shown(&a.path), "entries": entries }),
    )
}

/// How an exported log is shown on standard output: JSON says everything with
/// its own escapes; a table cannot, and is left as it is unless somebody looks
/// on.
fn as_shown(csv: bool) -> fn(&str) -> Cow<'_, str> {
    match csv {
        false => hygiene::json,
        true if io::stdout().is_terminal() => hygiene::text,
        true => |text| Cow::Borrowed(text),
    }
}

pub(super) fn import(a: &Import, session: &Session) -> Result<Reply, Fault> {
    // Before a log is made for it.
    std::fs::metadata(&a.path)
        .map_err(|e| Fault::input(format!("{}: cannot be read: {e}", shown(&a.path))))?;
    let csv = a.csv || a.path.extension().is_some_and(|e| e == "csv");
    let form = if csv { Form::Csv } else { Form::JsonLines };
    let taken = |desk: &Desk| -> Result<Imported, Fault> {
        let mut fits = desk.for_import()?;
        let done = desk.store().import_from(&a.path, form, &mut fits);
        done.map_err(|e| nothing_imported(&a.path, e))
    };
    // What is refused makes no log.
    if matches!(session.desk_there(), Err(Fault::Input(_))) {
        taken(&Desk::to_try(session.clock.clone())?)?;
    }
    let _ = session.notices();
    let desk = session.desk_to_write()?;
    let last = desk.last_entry()?;
    let done = taken(&desk)?;
    for line in desk.odd_since(last)? {
        session.notice(line);
    }
    Reply::new(
        format!(
            "{} entries added, {} were there already.",
            done.added, done.already_there
        ),
        json!({
            "schema": "bedwright-import-1",
            "added": done.added,
            "already_there": done.already_there,
        }),
    )
}

fn nothing_imported(path: &Path, error: StoreError) -> Fault {
    match Fault::from(error) {
        Fault::Input(list) => Fault::Input(
            list.iter()
                .map(|l| format!("{}: {l}; nothing was imported", shown(path)))
                .collect(),
        ),
        other => other,
    }
}

/// What is wrong with a log, and how to save what can be read.
pub(super) fn check(_a: &Plain, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk_there()?;
    // Everything is said below, and not a second time beside it.
    let _ = session.notices();
    let health = desk.store().examine()?;
    let data = shown(&session.data());
    let json = checked_json(&desk, &health, session)?;
    let backups = desk.backed_up()?;
    let left = left_over(&session.data());
    if let Some(why) = &backups.failed {
        session.notice(format!("no automatic backup can be made: {why}"));
    }
    if health.is_sound() {
        let entries = report::count(health.entries, "entry", "entries");
        let mut text = format!("{data} is sound; {entries}.");
        if let Some((newest, holds)) = readable(&backups.list) {
            text.push_str(&format!(" Its newest backup is {}", shown(&newest.path)));
            text.push_str(&match health.entries.saturating_sub(holds) {
                0 => ".".to_owned(),
                since => format!(
                    "; {} written since.",
                    report::count(since, "entry was", "entries were")
                ),
            });
        }
        text.push_str(&left);
        return Reply::new(text, json);
    }
    let mut text = wrong(&health.lines());
    text.push_str(&format!("`bedwright rescue {data} NEW.db` saves what can be read in a new log; the file itself is left as it is."));
    if let Some((newest, _)) = readable(&backups.list) {
        text.push_str(&format!(
            "\nThe newest backup is {}; `bedwright restore` puts one in place.",
            shown(&newest.path)
        ));
    }
    text.push_str(&left);
    Ok(Reply::new(text, json)?.bad())
}

/// What is wrong, a line each, as far as anybody reads it.
fn wrong(lines: &[String]) -> String {
    let told = lines.iter().take(MOST_TOLD);
    let mut text: String = told.map(|l| format!("{l}\n")).collect();
    let more = lines.len().saturating_sub(MOST_TOLD);
    if more > 0 {
        text.push_str(&format!(
            "and {more} more; `bedwright check --json` names all\n"
        ));
    }
    text
}

/// The newest backup that can be read, and how many entries it holds.
fn readable(list: &[Saved]) -> Option<(&Saved, usize)> {
    list.iter().find_map(|saved| Some((saved, saved.entries?)))
}

/// Files of commands that were cut off, a line each. Best effort: the log is
/// what is checked.
fn left_over(log: &Path) -> String {
    let list = store::left_over(log).unwrap_or_default();
    let line = |path: &PathBuf| {
        format!(
            "\n{} was left by a command that was cut off more than a day ago. The log does not need it; take it away if you do not know it.",
            shown(path)
        )
    };
    list.iter().map(line).collect()
}

fn checked_json(desk: &Desk, health: &Health, session: &Session) -> Result<Value, Fault> {
    let backups = desk.backed_up()?;
    Ok(json!({
        "schema": "bedwright-check-1",
        "data": shown(&session.data()),
        "entries": health.entries,
        "sound": health.is_sound(),
        "damage": health.damage,
        "unreadable": unreadable(&health.unreadable),
        "missing": missing(&health.missing),
        "backups_in": backups.folder.as_deref().map(shown),
        "newest_backup": readable(&backups.list).map(|(b, _)| shown(&b.path)),
        "left_over": store::left_over(&session.data())
            .unwrap_or_default()
            .iter()
            .map(|path| shown(path))
            .collect::<Vec<_>>(),
    }))
}

fn unreadable(list: &[Unreadable]) -> Vec<Value> {
    let one = |u: &Unreadable| {
        json!({
            "entry": u.id.0,
            "bin": u.bin.map(|b| b.0),
            "kind": u.kind,
            "engine_version": u.engine_version,
            "as_written": u.intact,
            "problem": u.problem,
        })
    };
    list.iter().map(one).collect()
}

fn missing(list: &[Missing]) -> Vec<Value> {
    let one = |m: &Missing| {
        json!({
            "count": m.count(),
            "after_entry": m.after.map(|e| e.0),
            "before_entry": m.before.map(|e| e.0),
        })
    };
    list.iter().map(one).collect()
}

pub(super) fn rescue(a: &Rescue, session: &Session) -> Result<Reply, Fault> {
    let done = Store::rescue(&a.from, &a.to, session.clock.unix_seconds())?;
    let count = report::count(done.saved, "entry", "entries");
    let mut text = format!("{count} saved in {}.\n", shown(&a.to));
    for line in done.lines() {
        text.push_str(&format!("{line}\n"));
    }
    text.push_str(&format!(
        "{} is as it was. `bedwright restore {}` puts the new log in its place.",
        shown(&a.from),
        shown(&a.to)
    ));
    Reply::new(
        text,
        json!({
            "schema": "bedwright-rescue-1",
            "from": shown(&a.from),
            "path": shown(&a.to),
            "saved": done.saved,
            "unreadable": unreadable(&done.unreadable),
            "missing": missing(&done.missing),
            "lost": done.lines(),
        }),
    )
}

/// Makes a backup where one is due, after something was written. The entry is
/// on disk whatever comes of it; that none could be made is said.
pub(super) fn tend(session: &Session) {
    let failed = match session.desk_there() {
        Ok(desk) => desk.tend(),
        // The log could be opened a moment ago, or this was told already.
        Err(_) => None,
    };
    let _ = session.notices();
    if let Some(why) = failed {
        session.notice(format!(
            "no automatic backup could be made: {why}; what was written is in the log"
        ));
    }
}
