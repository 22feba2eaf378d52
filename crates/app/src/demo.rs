//! The invented shelf: four bins with months of log, to look round in. Names
//! and numbers are made up; the times run back from now, so that it is never
//! out of date.

use crate::desk::{Desk, DeskError};
use crate::report;
use engine::log::{BinDescription, BinId, Body, Entry, EntryId, ShedItem};
use engine::measure::Amount;
use engine::reading::instrument::Instrument;
use engine::reading::question::questions;
use jiff::ToSpan;
use std::collections::BTreeSet;
use store::{BinView, New, NewBin, StoreError};

mod bins;

/// A bin with what was written about it: days ago, hour, minute, body.
pub(crate) struct Story {
    description: BinDescription,
    entries: Vec<(i32, i8, i8, Body)>,
}

/// What is on show of the invented shelf.
#[derive(Debug)]
pub struct There {
    /// Invented bins on the shelf.
    bins: Vec<BinView>,
    /// Invented things in the shed that the keeper has not changed.
    shed: Vec<ShedItem>,
    /// Bins of the keeper's own on the shelf.
    pub own_bins: usize,
    /// Entries the keeper wrote in invented bins.
    pub own_entries: usize,
}

impl There {
    /// What leaves the shelf when the demo is put away, and what stays.
    #[must_use]
    pub fn goes(&self) -> String {
        self.told([
            "The invented bins leave the shelf and the invented things leave the shed; the file keeps what they held.",
            "go with them and stay in the file.",
            "stay",
        ])
    }

    /// The same once it is done.
    #[must_use]
    pub fn gone(&self) -> String {
        self.told([
            "The invented bins left the shelf and the invented things left the shed; the file keeps what they held.",
            "went with them and stayed in the file.",
            "stayed",
        ])
    }

    fn told(&self, [what, with_them, stays]: [&str; 3]) -> String {
        let mut said = what.to_owned();
        if self.own_entries > 0 {
            let many = report::count(self.own_entries, "entry", "entries");
            said.push_str(&format!(
                " {many} of yours in the invented bins {with_them}"
            ));
        }
        said.push_str(&match self.own_bins {
            0 => format!(" Things you put in the shed yourself, or changed there, {stays}."),
            _ => format!(
                " Your own bins {stays}, and things you put in the shed yourself or changed there too."
            ),
        });
        said
    }
}

/// Opens the invented shelf in an empty log, whole or not at all. Each entry
/// is marked as invented. `once` is the key of the form that asks for it.
///
/// # Errors
/// [`DeskError::Unreadable`] when the log holds anything already;
/// [`StoreError::Already`] for a form that was sent before; otherwise
/// what was wrong with an entry.
pub fn open(desk: &Desk, once: Option<String>) -> Result<(), DeskError> {
    let stories = bins::all()?;
    for story in &stories {
        check(desk, story)?;
    }
    let mut shed = shed()?
        .into_iter()
        .map(Body::Shed)
        .chain([shown("yes")])
        .map(|body| {
            desk.check_materials(None, &body)?;
            Ok(new(desk, None, moment(desk, 120, 9, 30)?, body).demo(true))
        })
        .collect::<Result<Vec<_>, DeskError>>()?;
    let bins = stories
        .into_iter()
        .map(|s| opening(desk, s))
        .collect::<Result<Vec<_>, _>>()?;
    if let Some(first) = shed.first_mut() {
        first.once = once;
    }
    match desk.store().append_shelf(bins, shed) {
        Ok(_) => Ok(()),
        Err(StoreError::NotEmpty) => Err(DeskError::Unreadable(
            "the demo shelf opens only in an empty log, so that it never mixes with your own; name another file with `--data` to look at it".into(),
        )),
        Err(error) => Err(error.into()),
    }
}

/// The setting that says whether the invented shelf is on show.
fn shown(value: &str) -> Body {
    Body::Setting {
        name: "demo".into(),
        value: value.into(),
    }
}

/// What of the invented shelf is on show; `None` when nothing is.
///
/// # Errors
/// [`DeskError`] when the log cannot be read.
pub fn there(desk: &Desk) -> Result<Option<There>, DeskError> {
    if desk.settings()?.get("demo").is_none_or(|v| v != "yes") {
        return Ok(None);
    }
    let all = desk.store().all_entries()?;
    let mut marked = desk.store().demo_entries()?;
    if marked.is_empty() {
        marked = known(&all)?;
    }
    let is_own = |e: &Entry| !marked.contains(&e.id);
    let (bins, own): (Vec<_>, Vec<_>) = desk.bins()?.into_iter().partition(|bin| {
        let first = all.iter().find(|e| e.bin == Some(bin.id));
        first.is_some_and(|e| marked.contains(&e.id))
    });
    let own_entries = all
        .iter()
        .filter(|e| is_own(e) && bins.iter().any(|b| e.bin == Some(b.id)))
        .count();
    let touched: BTreeSet<&str> = all
        .iter()
        .filter(|e| is_own(e))
        .filter_map(material)
        .collect();
    let standing = desk.shed()?.into_iter();
    let shed = standing.filter(|i| i.have && !touched.contains(i.material.as_str()));
    Ok(Some(There {
        bins,
        shed: shed.collect(),
        own_bins: own.len(),
        own_entries,
    }))
}

/// The material of a shed entry, or of a correction that is one.
fn material(entry: &Entry) -> Option<&str> {
    match &entry.body {
        Body::Shed(item) => Some(&item.material),
        Body::Correction {
            replacement: Some(new),
            ..
        } => match &**new {
            Body::Shed(item) => Some(&item.material),
            _ => None,
        },
        _ => None,
    }
}

/// Entries of an invented shelf made before such entries were marked: those
/// that say to the letter what the shelf says, in bins that are to the letter
/// its own. Whatever is in doubt is the keeper's.
fn known(all: &[Entry]) -> Result<BTreeSet<EntryId>, DeskError> {
    let stories = bins::all()?;
    let mut loose: Vec<Body> = shed()?.into_iter().map(Body::Shed).collect();
    loose.push(shown("yes"));
    let story_of = |bin: BinId| {
        let first = all.iter().find(|e| e.bin == Some(bin))?;
        stories
            .iter()
            .find(|s| first.body == Body::Bin(s.description.clone()))
    };
    let is_invented = |e: &&Entry| match e.bin {
        // The keeper's entries are written when they are written; these were
        // all written at the time they tell of.
        _ if e.written_unix_seconds != e.at_unix_seconds => false,
        None => loose.contains(&e.body),
        Some(bin) => story_of(bin).is_some_and(|s| {
            e.body == Body::Bin(s.description.clone())
                || s.entries.iter().any(|(.., body)| *body == e.body)
        }),
    };
    Ok(all.iter().filter(is_invented).map(|e| e.id).collect())
}

/// Puts the invented shelf away: its bins leave the shelf and its things leave
/// the shed. The keeper's own bins, and what they put in the shed or changed
/// there, stay. Everything stays in the log. `once` is the key of the form that
/// asks for it.
///
/// # Errors
/// [`DeskError`] when the log cannot be written.
pub fn put_away(desk: &Desk, once: Option<String>) -> Result<(), DeskError> {
    let Some(demo) = there(desk)? else {
        return Ok(());
    };
    let now = desk.clock.unix_seconds();
    let mut news = Vec::new();
    for bin in demo.bins {
        let mut description = bin.description;
        description.retired = true;
        news.push(new(desk, Some(bin.id), now, Body::Bin(description)));
    }
    for mut item in demo.shed {
        item.have = false;
        item.own.clear();
        item.called.clear();
        news.push(new(desk, None, now, Body::Shed(item)));
    }
    news.push(new(desk, None, now, shown("no")).once(once));
    desk.store().append_all(news)?;
    Ok(())
}

/// The checks every entry passes on its way in; a reading must raise no
/// question.
fn check(desk: &Desk, story: &Story) -> Result<(), DeskError> {
    for (.., body) in &story.entries {
        desk.check_materials(Some(&story.description), body)?;
        if let Body::Reading(r) = body
            && let Ok(instrument) = Instrument::from_tables(desk.tables, &r.instrument)
        {
            let asked = questions(&r.spots, &instrument, None);
            if !asked.is_empty() {
                return Err(DeskError::Asked(asked));
            }
        }
    }
    Ok(())
}

/// A bin's description and what was written about it.
fn opening(desk: &Desk, story: Story) -> Result<NewBin, DeskError> {
    let opened = story
        .entries
        .first()
        .map_or(Ok(desk.clock.unix_seconds()), |(d, h, m, _)| {
            moment(desk, *d, *h, *m)
        })?;
    let entries = story
        .entries
        .into_iter()
        .map(|(d, h, m, body)| Ok(new(desk, None, moment(desk, d, h, m)?, body).demo(true)))
        .collect::<Result<_, DeskError>>()?;
    Ok(NewBin {
        description: new(desk, None, opened, Body::Bin(story.description)).demo(true),
        entries,
    })
}

fn new(desk: &Desk, bin: Option<BinId>, at: i64, body: Body) -> New {
    New::at(at, desk.clock.zone_name(), body).about(bin)
}

/// A time of day some days ago, never later than now [s since 1970-01-01
/// 00:00 UTC].
fn moment(desk: &Desk, days_ago: i32, hour: i8, minute: i8) -> Result<i64, DeskError> {
    let now = desk.clock.now();
    let unreadable = |e: jiff::Error| DeskError::Unreadable(e.to_string());
    let day = now
        .date()
        .checked_sub(days_ago.days())
        .map_err(unreadable)?;
    let at = now
        .time_zone()
        .to_zoned_datetime(day.at(hour, minute, 0, 0))
        .map_err(unreadable)?;
    Ok(at.timestamp().as_second().min(desk.clock.unix_seconds()))
}

/// What is in the invented shed.
fn shed() -> Result<Vec<ShedItem>, DeskError> {
    let item = |material: &str, called: &str, available: &str, own: &[(&str, f64)]| {
        Ok(ShedItem {
            material: material.into(),
            called: called.into(),
            available: Some(Amount::parse(available)?),
            have: true,
            own: own.iter().map(|(k, v)| ((*k).to_owned(), *v)).collect(),
        })
    };
    [
        item(
            "limestone_calcitic",
            "Garden lime",
            "2.5 kg",
            &[("grams_per_cup", 285.0)],
        ),
        item("dolomite", "", "800 g", &[]),
        item("eggshell_crushed", "Saved eggshell", "4 cups", &[]),
        item("hydrated_lime", "Builder's lime", "1 kg", &[]),
        item("coir_pith", "Coir", "30 L", &[]),
        item("cardboard_corrugated", "", "2 buckets", &[]),
        item("vermicompost", "Own castings", "6 L", &[]),
    ]
    .into_iter()
    .collect()
}
