//! The invented shelf: four bins with months of log, to look round in. Names
//! and numbers are made up; the times run back from now, so that it is never
//! out of date.

use crate::desk::{Desk, DeskError};
use engine::log::{BinDescription, BinId, Body, ShedItem};
use engine::measure::Amount;
use engine::reading::instrument::Instrument;
use engine::reading::question::questions;
use jiff::ToSpan;
use store::New;

mod bins;

/// A bin with what was written about it: days ago, hour, minute, body.
pub(crate) struct Story {
    description: BinDescription,
    entries: Vec<(i32, i8, i8, Body)>,
}

/// Opens the invented shelf in an empty log.
///
/// # Errors
/// [`DeskError::Unreadable`] when the log holds anything already; otherwise
/// what was wrong with an entry.
pub fn open(desk: &Desk) -> Result<(), DeskError> {
    if !desk.store().is_empty()? {
        return Err(DeskError::Unreadable(
            "the demo shelf opens only in an empty log, so that it never mixes with your own; name another file with `--data` to look at it".into(),
        ));
    }
    let stories = bins::all()?;
    for story in &stories {
        check(desk, story)?;
    }
    let shed = shed()?
        .into_iter()
        .map(Body::Shed)
        .chain([Body::Setting {
            name: "demo".into(),
            value: "yes".into(),
        }])
        .map(|body| {
            desk.check_materials(&body)?;
            Ok(new(desk, None, moment(desk, 120, 9, 30)?, body))
        })
        .collect::<Result<Vec<_>, DeskError>>()?;
    desk.store().append_all(shed)?;
    stories.into_iter().try_for_each(|s| put(desk, s))
}

/// Puts the invented shelf away: its bins leave the shelf and its shed is
/// emptied. Everything stays in the log.
///
/// # Errors
/// [`DeskError`] when the log cannot be written.
pub fn put_away(desk: &Desk) -> Result<(), DeskError> {
    let now = desk.clock.unix_seconds();
    let mut news = Vec::new();
    for bin in desk.bins()? {
        let mut description = bin.description;
        description.retired = true;
        news.push(new(desk, Some(bin.id), now, Body::Bin(description)));
    }
    for mut item in desk.shed()? {
        item.have = false;
        item.own.clear();
        item.called.clear();
        news.push(new(desk, None, now, Body::Shed(item)));
    }
    let demo = Body::Setting {
        name: "demo".into(),
        value: "no".into(),
    };
    news.push(new(desk, None, now, demo));
    desk.store().append_all(news)?;
    Ok(())
}

/// The checks every entry passes on its way in; a reading must raise no
/// question.
fn check(desk: &Desk, story: &Story) -> Result<(), DeskError> {
    for (.., body) in &story.entries {
        desk.check_materials(body)?;
        if let Body::Reading(r) = body
            && let Ok(instrument) = Instrument::from_tables(&desk.tables, &r.instrument)
        {
            let asked = questions(&r.spots, &instrument, None);
            if !asked.is_empty() {
                return Err(DeskError::Asked(asked));
            }
        }
    }
    Ok(())
}

fn put(desk: &Desk, story: Story) -> Result<(), DeskError> {
    let opened = story
        .entries
        .first()
        .map_or(Ok(desk.clock.unix_seconds()), |(d, h, m, _)| {
            moment(desk, *d, *h, *m)
        })?;
    let zone = desk.clock.zone_name();
    let mut store = desk.store();
    let (bin, _) = store.create_bin(story.description, opened, &zone, opened)?;
    let news = story
        .entries
        .into_iter()
        .map(|(d, h, m, body)| Ok(new(desk, Some(bin), moment(desk, d, h, m)?, body)))
        .collect::<Result<Vec<_>, DeskError>>()?;
    store.append_all(news)?;
    Ok(())
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
