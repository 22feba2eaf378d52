//! What logs made of possible bins, kept in a folder beside the log so that one more
//! entry costs that entry. It is a cache: it may be deleted at any time, and what
//! cannot be read or written is as if it were not there.

use engine::estimate::settled::Settled;
use engine::log::BinId;
use std::collections::BTreeSet;
use std::collections::hash_map::DefaultHasher;
use std::ffi::OsString;
use std::fs;
use std::hash::{Hash, Hasher};
use std::path::{Path, PathBuf};

/// Of each week of the latest days, and of each four weeks before, the first is
/// kept too: for what is written of days gone by, or read of their air.
const LATEST_DAYS: i64 = 56;
const WEEK: i64 = 7 * 86_400;

/// The kept of one bin.
#[derive(Debug)]
pub(super) struct Kept {
    folder: Option<PathBuf>,
    prefix: String,
    /// With their files, in any order.
    files: Vec<PathBuf>,
    pub(super) settled: Vec<Settled>,
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
    let own = std::env::current_exe().and_then(fs::metadata);
    if let Ok(own) = own {
        own.len().hash(&mut hasher);
        own.modified().ok().hash(&mut hasher);
    }
    hasher.finish()
}

impl Kept {
    /// Reads those of a bin of a log.
    pub(super) fn of(log: Option<&Path>, bin: BinId) -> Self {
        let folder = log.filter(|log| log.exists()).map(folder);
        let prefix = format!("{:x}-{}-", build(), bin.0);
        let mut kept = Self {
            folder,
            prefix,
            files: Vec::new(),
            settled: Vec::new(),
        };
        for file in kept.listed() {
            let read = fs::read(&file).ok();
            if let Some(settled) = read.and_then(|bytes| postcard::from_bytes(&bytes).ok()) {
                kept.files.push(file);
                kept.settled.push(settled);
            }
        }
        kept
    }

    fn listed(&self) -> Vec<PathBuf> {
        let Some(all) = self.folder.as_ref().and_then(|f| fs::read_dir(f).ok()) else {
            return Vec::new();
        };
        let mine = |p: &PathBuf| {
            let name = p.file_name().and_then(|n| n.to_str());
            name.is_some_and(|n| n.starts_with(&self.prefix) && n.ends_with(".bin"))
        };
        let mut files: Vec<PathBuf> = all.flatten().map(|e| e.path()).filter(mine).collect();
        files.sort();
        files
    }

    /// Keeps one more, and of the others those that may serve again: none that is
    /// `stale`.
    pub(super) fn keep(&self, new: &Settled, stale: &[usize]) {
        let Some(folder) = &self.folder else {
            return;
        };
        for i in stale {
            let _ = fs::remove_file(&self.files[*i]);
        }
        let known = |s: &Settled| s.at() == new.at() && s.digest() == new.digest();
        if self.settled.iter().any(known) {
            return;
        }
        let name = format!("{}{}-{:x}.bin", self.prefix, new.at(), new.digest());
        let part = folder.join(format!("{name}.part"));
        let saved = fs::create_dir_all(folder).ok().and_then(|()| {
            let bytes = postcard::to_stdvec(new).ok()?;
            fs::write(&part, bytes).ok()?;
            fs::rename(&part, folder.join(name)).ok()
        });
        if saved.is_some() {
            self.thin(new, stale);
        }
    }

    /// Of the older ones keeps the first of each span of time.
    fn thin(&self, new: &Settled, stale: &[usize]) {
        let span = |i: usize| {
            let at = self.settled[i].at();
            let late = new.at() - at < LATEST_DAYS * 86_400;
            (late, at.div_euclid(if late { WEEK } else { 4 * WEEK }))
        };
        let mut old: Vec<usize> = (0..self.settled.len())
            .filter(|i| !stale.contains(i))
            .collect();
        old.sort_by_key(|i| self.settled[*i].at());
        let mut spans = BTreeSet::new();
        for i in old {
            if !spans.insert(span(i)) {
                let _ = fs::remove_file(&self.files[i]);
            }
        }
    }
}
