//! What commands that were cut off left beside a log. It is named, never taken
//! away: such a file may be a whole copy of the log, other programs call their
//! own files so too, and a little litter costs less than one entry.

use crate::StoreError;
use crate::error::io_at;
use crate::place::{BESIDE, folder_of, identity, plain_file};
use crate::rolling::backups_folder;
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

/// A younger file may still be in use.
const OLD: Duration = Duration::from_secs(86_400);

/// Words between the name of a file and what is being made of it.
const WORDS: [&str; 2] = ["part", "reading"];

/// Files beside the log at `log`, and among its automatic backups, that are
/// named as this tool names what it has not finished, a backup under another
/// name among them, and are older than a day.
///
/// # Errors
/// When a folder is there and cannot be read.
pub fn left_over(log: &Path) -> Result<Vec<PathBuf>, StoreError> {
    let real = plain_file(log)?.unwrap_or_else(|| log.to_owned());
    let now = SystemTime::now();
    let mut found = Vec::new();
    for folder in [folder_of(&real).to_owned(), backups_folder(&real)] {
        let list = match fs::read_dir(&folder) {
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => continue,
            list => list.map_err(io_at("read the folder", &folder))?,
        };
        found.extend(list.filter_map(Result::ok).filter_map(|file| {
            let about = file.metadata().ok().filter(fs::Metadata::is_file)?;
            let age = now.duration_since(about.modified().ok()?).ok()?;
            let name = file.file_name();
            let name = name.to_str()?;
            // The log itself, under another name, is not opened here.
            let other = identity(&file.path()) != identity(&real);
            let ours =
                || is_unfinished(&real, name) || other && is_part_of_a_log(&file.path(), name);
            (age > OLD && ours()).then(|| file.path())
        }));
    }
    found.sort();
    Ok(found)
}

/// Whether a file of this name is one not finished: of the log, of a backup of
/// it, or of what a page was giving out.
fn is_unfinished(log: &Path, name: &str) -> bool {
    let name = BESIDE
        .iter()
        .find_map(|end| name.strip_suffix(end))
        .unwrap_or(name);
    let numbered = |rest: &str| rest.is_empty() || is_number(rest.strip_prefix('-'));
    let ours = |made: &str, rest: &str| {
        let log = log.file_name().and_then(|n| n.to_str());
        let automatic = ["automatic-", "damaged-"]
            .iter()
            .any(|b| made.starts_with(b));
        (Some(made) == log || automatic && made.ends_with(".db")) && numbered(rest)
    };
    let unfinished = WORDS.iter().any(|word| {
        let found = name.rsplit_once(&format!(".{word}"));
        found.is_some_and(|(made, rest)| ours(made, rest))
    });
    let scratch = ["backup", "rescue", "restore"].iter().any(|what| {
        let rest = name.strip_prefix(&format!(".bedwright-{what}-"));
        let parts = rest.and_then(|r| r.split_once('-'));
        parts.is_some_and(|(id, n)| is_number(Some(id)) && is_number(Some(n)))
    });
    unfinished || scratch
}

/// Whether a file is what a backup under another name had not finished: named
/// so, and a log by its own beginning.
fn is_part_of_a_log(path: &Path, name: &str) -> bool {
    let rest = name.rsplit_once(".part").map(|(_, rest)| rest);
    let named = rest.is_some_and(|r| r.is_empty() || is_number(r.strip_prefix('-')));
    let mut head = [0; 72];
    let mut read = || fs::File::open(path).and_then(|mut f| f.read_exact(&mut head));
    let read = named && read().is_ok();
    read && head.starts_with(b"SQLite format 3\0") && head.ends_with(b"BWRT")
}

fn is_number(text: Option<&str>) -> bool {
    text.is_some_and(|t| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_named_as_unfinished_is_ours() {
        let log = Path::new("/somewhere/log.db");
        for ours in [
            "log.db.part",
            "log.db.part-2",
            "log.db.part-journal",
            "log.db.part-3-wal",
            "log.db.reading",
            "automatic-2026-11-28-120000.db.part",
            ".bedwright-backup-123-0",
        ] {
            assert!(is_unfinished(log, ours), "{ours}");
        }
        for other in [
            "log.db",
            "log.db-wal",
            "film.part",
            "other.db.part",
            "log.db.part-two",
            "log.db.replaced",
            "log.db.partly",
            ".bedwright-backup-mine",
        ] {
            assert!(!is_unfinished(log, other), "{other}");
        }
    }
}
