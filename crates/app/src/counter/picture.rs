//! From a bin's log and estimate to its drawing and its pH chart.

use super::around::units;
use super::words;
use crate::chart::{
    BinSection, DoseMark, Feed, Moist, PathPoint, PhChart, PhLevels, PhReading, ReadingKind, Spot,
    Tag, WormsAt,
};
use crate::desk::coming::meant;
use crate::desk::ph_scale::PhScale;
use crate::desk::wetness::{Wetness, wetness};
use crate::desk::{Attention, BinState, Desk};
use engine::advice::Remedy;
use engine::estimate::track::Track;
use engine::estimate::{Estimate, Heard};
use engine::log::{Body, Entry, Measured, Word};
use engine::quantity::Band;

const DAY: f64 = 86_400.0;
/// Days food is drawn after it was given.
const FOOD_DAYS: f64 = 14.0;
/// Days the chart looks ahead.
pub(super) const AHEAD_DAYS: u32 = 28;

/// The bin as drawn: its description, and what was last said of it.
pub(super) fn section(desk: &Desk, state: &BinState, attention: &Attention) -> BinSection {
    let b = &state.description;
    let said = |list: &[Word]| state.words.iter().any(|(_, w)| list.contains(w));
    BinSection {
        id: state.id.0.to_string(),
        name: b.name.clone(),
        length_cm: b.length_cm,
        depth_cm: b.depth_cm,
        bedding_cm: depth(desk, state),
        castings_cm: 0.0,
        walls: b.walls,
        lid: b.lid,
        drains: b.drains,
        moist: wetness(desk.tables, state).map_or(Moist::NotKnown, moist),
        wet_line_cm: said(&[Word::Pooling]).then_some(2.0),
        feed: fed_lately(state).then_some(Feed {
            along: 0.3,
            depth_cm: 6.0,
        }),
        worms: worms(state),
        tags: attention.wrong.iter().map(|w| tag(w)).collect(),
        units: units(desk),
    }
}

/// Depth of the bedding as written last, else by what the bin is thought to
/// hold [cm]; nothing logged draws an empty bin.
fn depth(desk: &Desk, state: &BinState) -> f64 {
    let depth = desk.depth_of(state);
    let deepest = DRAWN_FULL * state.description.depth_cm;
    let thought = depth.model_cm.map_or(0.0, |b| b.median.min(deepest));
    depth.written.map_or(thought, |(cm, _)| cm)
}

/// Bedding nobody measured is drawn no higher than this share of the depth.
const DRAWN_FULL: f64 = 0.92;

/// As drawn.
fn moist(wetness: Wetness) -> Moist {
    match wetness {
        Wetness::Dry => Moist::Dry,
        Wetness::DrySide => Moist::DrySide,
        Wetness::Comfortable => Moist::Right,
        Wetness::WetSide => Moist::WetSide,
        Wetness::Wet => Moist::Wet,
        Wetness::Soaked => Moist::Soaked,
    }
}

fn worms(state: &BinState) -> WormsAt {
    let seen = state.words.iter().find_map(|(_, w)| match w {
        Word::WormsSpread => Some(WormsAt::Spread),
        Word::WormsClimbing => Some(WormsAt::Climbing),
        Word::WormsAtEdge => Some(WormsAt::Edge),
        Word::WormsBalled => Some(WormsAt::Balled),
        Word::WormsLeft => Some(WormsAt::Left),
        _ => None,
    });
    if state.stocked {
        seen.unwrap_or(WormsAt::NotKnown)
    } else {
        WormsAt::None
    }
}

/// Food was given lately and was not said to be gone since.
fn fed_lately(state: &BinState) -> bool {
    state
        .last_food()
        .is_some_and(|food| !food.is_gone() && ((state.now - food.fed_at) as f64) < FOOD_DAYS * DAY)
}

fn tag(word: &str) -> Tag {
    let at = match word {
        "wet" => Spot::Bottom,
        "dry" => Spot::Top,
        "ammonia" => Spot::Air,
        _ => Spot::Bedding,
    };
    let short = meant(word).map_or(word, |trouble| Remedy::of(trouble).short);
    Tag {
        word: short.into(),
        at,
    }
}

/// pH over time from when the bin was filled to four weeks ahead: the same
/// past and the same days to come as on the outlook.
pub(super) fn ph_data(desk: &Desk, state: &BinState, e: &Estimate) -> PhChart {
    let start = words::day(desk, e.filled_at);
    let zone = desk.clock.now().time_zone().clone();
    let midnight = zone
        .to_zoned_datetime(start.at(0, 0, 0, 0))
        .map_or(e.filled_at, |z| z.timestamp().as_second());
    let day = |at: i64| (at - midnight) as f64 / DAY;
    let now = day(state.now);
    let outlook = desk.outlook_as_now(state, AHEAD_DAYS);
    let ahead = outlook.as_ref().map_or(&[][..], |o| &o.ahead.course);
    PhChart {
        id: format!("bin-{}", state.id.0),
        bin: state.description.name.clone(),
        start,
        now,
        readings: e.heard.iter().map(|h| reading(state, h, day)).collect(),
        doses: e
            .given
            .iter()
            .map(|g| DoseMark {
                day: day(g.at),
                label: dose_label(desk, state, g.entry.0, &g.name),
            })
            .collect(),
        path: (state.course().iter())
            .map(|m| point(day(m.at), &m.band(Track::Ph)))
            .collect(),
        forecast: ahead
            .iter()
            .map(|m| point(day(m.at), &m.band(Track::Ph)))
            .collect(),
        what_if: None,
        levels: levels(desk),
    }
}

/// What worms stand, by the tables.
fn levels(desk: &Desk) -> Option<PhLevels> {
    let scale = PhScale::of(desk.tables).ok()?;
    Some(PhLevels {
        best: scale.best,
        too_acid: scale.too_acid,
        too_alkaline: scale.too_alkaline,
    })
}

/// A band on a day.
pub(super) fn point(day: f64, band: &Band) -> PathPoint {
    PathPoint {
        day,
        median: band.median,
        low: band.low,
        high: band.high,
    }
}

fn entry(state: &BinState, id: i64) -> Option<&Entry> {
    state.log.iter().find(|e| e.id.0 == id)
}

fn dose_label(desk: &Desk, state: &BinState, id: i64, name: &str) -> String {
    match entry(state, id).map(|e| &e.body) {
        Some(Body::Dose(d)) => format!("{} {}", d.amount, words::material(desk, &d.material)),
        _ => name.to_owned(),
    }
}

fn reading(state: &BinState, heard: &Heard, day: impl Fn(i64) -> f64) -> PhReading {
    let kept = entry(state, heard.entry.0).is_some_and(
        |e| matches!(&e.body, Body::Reading(r) if r.confirmed && r.what == Measured::Ph),
    );
    let kind = if heard.settling.is_local() {
        ReadingKind::Local
    } else if kept || heard.contradicted {
        ReadingKind::Doubtful
    } else {
        ReadingKind::Settled
    };
    PhReading {
        day: day(heard.at),
        ph: heard.mean,
        low: heard.mean - heard.half_width,
        high: heard.mean + heard.half_width,
        kind,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_drawing_words_wetness_as_the_figures_do() {
        for w in [
            Wetness::Dry,
            Wetness::DrySide,
            Wetness::Comfortable,
            Wetness::WetSide,
            Wetness::Wet,
            Wetness::Soaked,
        ] {
            assert_eq!(moist(w).words(), w.words());
        }
    }
}
