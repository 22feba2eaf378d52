//! What logs made of possible bins, kept in a folder beside the log so that one more
//! entry costs that entry. It is a cache: it may be deleted at any time, and what
//! cannot be read or written is as if it were not there.
//!
//! Of each bin the latest is kept whole, its members alive (`.lived`), as it stood
//! before its last moves (`.before`), and beside it the one whose members are being
//! moved (`.moving`); of older ones, thinned by time, only what the members are made
//! from (`.seeds`): for what is written of days gone by.

use engine::estimate::Possible;
use engine::estimate::standing::Standing;
use engine::log::BinId;
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::collections::hash_map::DefaultHasher;
use std::ffi::OsString;
use std::fs;
use std::hash::{Hash, Hasher};
use std::iter::once_with;
use std::path::{Path, PathBuf};

/// Of each week of the latest days, and of each four weeks before, the first is
/// kept.
const LATEST_DAYS: i64 = 56;
const WEEK: i64 = 7 * 86_400;
/// Endings of their names.
const MOVING: &str = "moving";
const LIVED: &str = "lived";
const BEFORE: &str = "before";
const SEEDS: &str = "seeds";
/// Members written together: a core reads so many at a time.
const TOGETHER: usize = 16;

/// Those kept of one bin.
#[derive(Debug)]
pub(super) struct Kept {
    folder: Option<PathBuf>,
    prefix: String,
    /// The latest first.
    files: Vec<File>,
}

/// One of them: its name without ending, and when its last event was
/// [s since 1970-01-01 00:00 UTC].
#[derive(Debug, Clone, PartialEq, Eq)]
struct File {
    name: String,
    at: i64,
}

/// The folder of a log.
fn folder(log: &Path) -> PathBuf {
    let mut name: OsString = log.file_name().unwrap_or_default().to_owned();
    name.push(".settled");
    log.with_file_name(name)
}

/// Tells this build from others: what another worked out is not read.
fn build() -> u64 {
    let mut hasher = DefaultHasher::new();
    env!("CARGO_PKG_VERSION").hash(&mut hasher);
    if let Ok(own) = std::env::current_exe().and_then(fs::metadata) {
        own.len().hash(&mut hasher);
        own.modified().ok().hash(&mut hasher);
    }
    hasher.finish()
}

impl Kept {
    /// Lists those of a bin of a log.
    pub(super) fn of(log: Option<&Path>, bin: BinId) -> Self {
        let folder = log.filter(|log| log.exists()).map(folder);
        let prefix = format!("{:x}-{}-", build(), bin.0);
        let all = folder.as_ref().and_then(|f| fs::read_dir(f).ok());
        let names = all.into_iter().flatten().flatten().map(|e| e.file_name());
        let mut files: Vec<File> = names
            .filter_map(|name| File::named(name.to_str()?, &prefix))
            .collect();
        files.sort_by(|a, b| b.at.cmp(&a.at).then_with(|| b.name.cmp(&a.name)));
        files.dedup();
        Self {
            folder,
            prefix,
            files,
        }
    }

    /// Reads them, the latest first, and after each as it stood before its last
    /// moves. What cannot be read counts as of nothing.
    pub(super) fn read(&self) -> impl Iterator<Item = Standing> {
        self.files.iter().flat_map(|file| {
            let read = |ending: &str| {
                let name = format!("{}.{ending}", file.name);
                read(&fs::read(self.folder.as_ref()?.join(name)).ok()?)
            };
            let whole = move || [MOVING, LIVED, SEEDS].into_iter().find_map(read);
            let all = once_with(whole).chain(once_with(move || read(BEFORE)));
            all.flatten()
        })
    }

    /// Keeps one more, and of the others those that may serve again: none that are
    /// `stale`, by their digest, for they are of no beginning of this log. Gives
    /// whether it could be kept.
    pub(super) fn keep(&self, new: &Standing, stale: &[u64]) -> bool {
        let Some(folder) = &self.folder else {
            return false;
        };
        let (at, digest) = (new.settled.at(), new.settled.digest());
        let file = File {
            name: format!("{}{at}-{digest:x}", self.prefix),
            at,
        };
        let is_there = |ending| folder.join(format!("{}.{ending}", file.name)).exists();
        if new.is_whole() && is_there(LIVED) && !is_there(MOVING) {
            return true;
        }
        let saved = make_folder(folder)
            && if new.is_whole() {
                let (rest, before) = new.clone().without_before();
                write(folder, &file.name, SEEDS, new.seeds())
                    && before.is_none_or(|b| write(folder, &file.name, BEFORE, b))
                    && write(folder, &file.name, LIVED, rest)
            } else {
                write(folder, &file.name, MOVING, new.clone())
            };
        if saved {
            clear_of_other_builds(folder);
            self.clear(folder, (&file, new.is_whole()), stale);
        }
        saved
    }

    /// Takes away what the one just kept makes needless.
    fn clear(&self, folder: &Path, (new, whole): (&File, bool), stale: &[u64]) {
        let remove = |file: &File, ending: &str| {
            let _ = fs::remove_file(folder.join(format!("{}.{ending}", file.name)));
        };
        if whole {
            remove(new, MOVING);
        }
        for file in self.files.iter().filter(|f| *f != new) {
            remove(file, MOVING);
            let is_stale = stale
                .iter()
                .any(|d| file.name.ends_with(&format!("-{d:x}")));
            if whole || is_stale {
                remove(file, LIVED);
                remove(file, BEFORE);
            }
            if is_stale || (whole && !self.is_first_of_its_span(file, new.at)) {
                remove(file, SEEDS);
            }
        }
    }

    /// Whether none before it is of the same span of time.
    fn is_first_of_its_span(&self, file: &File, newest: i64) -> bool {
        let span = |at: i64| {
            let late = newest - at < LATEST_DAYS * 86_400;
            (late, at.div_euclid(if late { WEEK } else { 4 * WEEK }))
        };
        let own = span(file.at);
        let before = self.files.iter().rev().take_while(|f| *f != file);
        let spans: BTreeSet<(bool, i64)> = before.map(|f| span(f.at)).collect();
        !spans.contains(&own)
    }
}

impl File {
    fn named(name: &str, prefix: &str) -> Option<Self> {
        let (stem, ending) = name.rsplit_once('.')?;
        if ![MOVING, LIVED, BEFORE, SEEDS].contains(&ending) {
            return None;
        }
        let (at, _) = stem.strip_prefix(prefix)?.rsplit_once('-')?;
        Some(Self {
            name: stem.to_owned(),
            at: at.parse().ok()?,
        })
    }
}

/// Makes the folder, for its owner alone as the log is.
fn make_folder(folder: &Path) -> bool {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder).is_ok()
}

/// Takes away what other builds kept: nobody reads it any more.
fn clear_of_other_builds(folder: &Path) {
    let own = format!("{:x}-", build());
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let is_own = |n: &str| n.starts_with(&own);
        if !entry.file_name().to_str().is_some_and(is_own) {
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// One as it is written: how many bytes each part takes, then the parts, the first of
/// them all but the members.
fn written(standing: Standing) -> postcard::Result<Vec<u8>> {
    let (rest, members) = standing.without_members();
    let mut parts = vec![postcard::to_stdvec(&rest)?];
    for some in members.chunks(TOGETHER) {
        parts.push(postcard::to_stdvec(some)?);
    }
    let lengths: Vec<usize> = parts.iter().map(Vec::len).collect();
    let mut all = postcard::to_stdvec(&lengths)?;
    all.extend(parts.into_iter().flatten());
    Ok(all)
}

/// One as it was written, read by all cores.
fn read(bytes: &[u8]) -> Option<Standing> {
    let (lengths, mut left) = postcard::take_from_bytes::<Vec<usize>>(bytes).ok()?;
    let mut parts = Vec::new();
    for length in lengths {
        let (part, after) = left.split_at_checked(length)?;
        parts.push(part);
        left = after;
    }
    let (rest, members) = parts.split_first()?;
    let some = |part: &&[u8]| postcard::from_bytes::<Vec<Possible>>(part).ok();
    let (rest, members) = rayon::join(
        || postcard::from_bytes::<Standing>(rest).ok(),
        || members.par_iter().map(some).collect::<Option<Vec<_>>>(),
    );
    Some(rest?.with_members(members?.into_iter().flatten().collect()))
}

/// Writes one whole or not at all.
fn write(folder: &Path, name: &str, ending: &str, standing: Standing) -> bool {
    let part = folder.join(format!("{name}.{ending}.part{}", std::process::id()));
    let Ok(bytes) = written(standing) else {
        return false;
    };
    let done = fs::write(&part, bytes).is_ok()
        && fs::rename(&part, folder.join(format!("{name}.{ending}"))).is_ok();
    if !done {
        let _ = fs::remove_file(&part);
    }
    done
}
