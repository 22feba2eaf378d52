//! `bedwright backup`, `restore`, `export`, `import`, `check` and `demo`: the
//! data file.

use super::session::{Fault, Reply, Session};
use serde_json::json;
use std::fs::File;
use std::io::{self, BufReader, Write};
use std::path::{Path, PathBuf};
use store::Store;

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

/// Arguments of `check` and `demo`.
#[derive(Debug, clap::Args)]
pub struct Plain {
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

fn shown(path: &Path) -> String {
    path.display().to_string()
}

pub(super) fn backup(a: &Backup, session: &Session) -> Result<Reply, Fault> {
    session.desk()?.store().backup_to(&a.path, a.replace)?;
    Reply::new(
        format!("Saved to {}.", shown(&a.path)),
        json!({ "schema": "bedwright-backup-1", "path": shown(&a.path) }),
    )
}

pub(super) fn restore(a: &Restore, session: &Session) -> Result<Reply, Fault> {
    if !a.path.exists() {
        return Err(Fault::input(format!("`{}` is not there", shown(&a.path))));
    }
    let to = session.data();
    if let Some(folder) = to.parent() {
        std::fs::create_dir_all(folder)
            .map_err(|e| Fault::Other(format!("could not make `{}`: {e}", shown(folder))))?;
    }
    let kept = Store::restore(&a.path, &to)?;
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

fn write_log(a: &Export, store: &Store, out: &mut impl Write) -> Result<usize, Fault> {
    Ok(if a.csv {
        store.export_csv(out)?
    } else {
        store.export_jsonl(out)?
    })
}

pub(super) fn export(a: &Export, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk()?;
    let store = desk.store();
    if a.path == Path::new("-") {
        write_log(a, &store, &mut io::stdout().lock())?;
        return Ok(Reply::nothing());
    }
    let failed = |e: io::Error| Fault::Other(format!("could not write `{}`: {e}", shown(&a.path)));
    let file = if a.replace {
        File::create(&a.path)
    } else {
        File::create_new(&a.path)
    };
    let mut file = match file {
        Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {
            return Err(Fault::input(format!(
                "`{}` is already there; choose another name or give --replace",
                shown(&a.path)
            )));
        }
        other => other.map_err(failed)?,
    };
    let entries = write_log(a, &store, &mut file)?;
    file.sync_all().map_err(failed)?;
    Reply::new(
        format!("{entries} entries written to {}.", shown(&a.path)),
        json!({ "schema": "bedwright-export-1", "path": shown(&a.path), "entries": entries }),
    )
}

pub(super) fn import(a: &Import, session: &Session) -> Result<Reply, Fault> {
    let file = File::open(&a.path)
        .map_err(|e| Fault::input(format!("{}: cannot be read: {e}", shown(&a.path))))?;
    let csv = a.csv || a.path.extension().is_some_and(|e| e == "csv");
    let desk = session.desk()?;
    let mut fits = desk.for_import()?;
    let mut store = desk.store();
    let done = if csv {
        store.import_csv(file, &mut fits)
    } else {
        store.import_jsonl(BufReader::new(file), &mut fits)
    };
    let done = done.map_err(|e| match Fault::from(e) {
        Fault::Input(list) => Fault::Input(
            list.iter()
                .map(|l| format!("{}: {l}; nothing was imported", shown(&a.path)))
                .collect(),
        ),
        other => other,
    })?;
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

pub(super) fn check(_a: &Plain, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk()?;
    let entries = {
        let store = desk.store();
        store.check()?;
        store.all_entries()?.len()
    };
    Reply::new(
        format!("{} is sound; {entries} entries.", shown(&session.data())),
        json!({
            "schema": "bedwright-check-1",
            "data": shown(&session.data()),
            "entries": entries,
            "sound": true,
        }),
    )
}
