//! How it is in there now, in words and small strips.

use super::courses::{Drawn, comfort};
use super::{figures, look};
use crate::chart::{course_spark, spark_scale};
use crate::counter::around::units;
use crate::counter::{cite, words};
use crate::desk::living::{Decision, WorthALook};
use crate::desk::ph_lesson::PhLesson;
use crate::desk::ph_scale::PhScale;
use crate::desk::taught;
use crate::desk::wetness::wetness;
use crate::desk::{BinState, Desk};
use crate::report::{self, Units};
use crate::web::widgets::Sources;
use crate::web::{NextLook, NowLine, NowPart, Taught};
use engine::advice::Remedy;
use engine::estimate::Estimate;
use engine::estimate::filter::Lesson;
use engine::estimate::track::Track;
use engine::living::comfort::Kindest;
use engine::living::trouble::Trouble;
use engine::quantity::Band;

/// Days of the past in a strip.
const BACK_DAYS: f64 = 56.0;
/// Days after which an old contradiction is no longer told.
const DOUBT_DAYS: i64 = 14;
const DAY: i64 = 86_400;

pub(in crate::counter) fn part(desk: &Desk, state: &BinState) -> NowPart {
    let id = state.id.0;
    let Ok(e) = &state.estimate else {
        return NowPart {
            id,
            ..NowPart::default()
        };
    };
    NowPart {
        id,
        lines: lines(desk, state, e),
        taught: e
            .lessons
            .iter()
            .rev()
            .filter_map(|l| taught(desk, state, l))
            .collect(),
        next_look: (desk.now_of(state).ok())
            .filter(|_| e.stocked)
            .and_then(|now| now.look)
            .map(|worth| next_look(state, &worth)),
        doubt: doubt(desk, e),
        sources: sources(desk),
    }
}

/// Figures shown, the most asked for first; those of worms once they are in.
const LINES: [Track; 9] = [
    Track::Ph,
    Track::Moisture,
    Track::Core,
    Track::FoodLeft,
    Track::WormKg,
    Track::Refuge,
    Track::Worms,
    Track::CastingsShare,
    Track::Salt,
];

fn lines(desk: &Desk, state: &BinState, e: &Estimate) -> Vec<NowLine> {
    let now = &e.moment;
    let drawn = Drawn::of(desk, state, e, &[], BACK_DAYS);
    let units = units(desk);
    let scale = PhScale::of(desk.tables).ok();
    LINES
        .into_iter()
        .filter(|t| e.stocked || !matches!(t, Track::WormKg | Track::Worms))
        .filter(|t| !e.fed.is_empty() || *t != Track::FoodLeft)
        .map(|track| {
            let band = now.band(track);
            let note = match track {
                Track::Moisture => {
                    wetness(desk.tables, state).map_or_else(String::new, |w| w.words().to_owned())
                }
                Track::FoodLeft => desk.food_words(state).unwrap_or_default(),
                _ => note(track, &band, now.band(Track::Castings), units, scale),
            };
            NowLine {
                label: label(track).to_owned(),
                words: match state.last_food() {
                    Some(food) if track == Track::FoodLeft => food.left_words(band, state.now),
                    _ => figures::words(track, &band, units),
                },
                note: warmth_note(desk, state, track, band.median).unwrap_or(note),
                scale: spark_scale(&drawn.course(track)),
                strip: Some(course_spark(&drawn.course(track))),
            }
        })
        .collect()
}

fn label(track: Track) -> &'static str {
    match track {
        Track::Ph => "pH",
        Track::Moisture => "Moisture",
        Track::Core => "Warmth in the middle",
        Track::Refuge => "Warmth where worms sit",
        Track::WormKg => "Worms by weight",
        Track::Worms => "Worms by number",
        Track::CastingsShare => "Castings",
        Track::FoodLeft => "Last food left",
        Track::Salt => "Salt",
        other => figures::name(other),
    }
}

/// A word on a warmth, by the worms kept.
fn warmth_note(desk: &Desk, state: &BinState, track: Track, celsius: f64) -> Option<String> {
    if !matches!(track, Track::Core | Track::Refuge) {
        return None;
    }
    let species = state.estimate.as_ref().ok()?.scene.species;
    let (comfort, kindest) = (
        comfort(desk, state)?,
        Kindest::of(desk.tables, species).ok()?,
    );
    let said = match celsius {
        v if v > comfort.hot_celsius => "too hot",
        v if v > f64::midpoint(kindest.to, comfort.hot_celsius) => "warm",
        v if v < comfort.cold_celsius => "too cold for them",
        v if v < comfort.hardly_eats_celsius => "very cold, hardly eating",
        v if v < kindest.from - 3.0 => "cold, slow",
        _ => "comfortable",
    };
    Some(said.to_owned())
}

/// A word on a figure.
fn note(track: Track, b: &Band, castings: Band, units: Units, scale: Option<PhScale>) -> String {
    let v = b.median;
    match track {
        Track::Ph => return scale.map_or("", |s| s.words(v)).to_owned(),
        Track::CastingsShare => {
            return format!(
                "of the bed; {} dry",
                figures::words(Track::Castings, &castings, units)
            );
        }
        Track::Salt if v < 3.0 => "low",
        Track::Salt if v < 6.0 => "middling",
        Track::Salt => Remedy::of(Trouble::Salty).short,
        _ => "",
    }
    .to_owned()
}

/// What an entry taught: the figures it moved or narrowed most.
fn taught(desk: &Desk, state: &BinState, lesson: &Lesson) -> Option<Taught> {
    const TOLD: usize = 2;
    let entry = state.log.iter().find(|e| e.id == lesson.entry)?;
    let units = units(desk);
    let mut moved: Vec<(f64, String)> = lesson
        .figures
        .iter()
        .filter_map(|(track, before, after)| {
            let (from, to) = (
                figures::words(*track, before, units),
                figures::words(*track, after, units),
            );
            let worth = taught::taught(*track, before, after)?;
            (from != to).then(|| {
                (
                    worth,
                    format!("{} {from} became {to}", figures::name(*track)),
                )
            })
        })
        .collect();
    moved.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut changed = moved
        .into_iter()
        .take(TOLD)
        .map(|m| m.1)
        .collect::<Vec<_>>()
        .join("; ");
    if changed.is_empty() {
        changed = "nothing much: it is what was expected".to_owned();
    }
    let of_ph = PhLesson::of(state, lesson).map(|l| l.words());
    if lesson.contradicted {
        changed = format!("against nearly all that was believed; {changed}");
    }
    Some(Taught {
        when: words::when(desk, lesson.at),
        entry: format!(
            "{}: {}",
            words::kind(&entry.body),
            words::body(desk, &entry.body)
        ),
        changed: match of_ph {
            Some(words) => format!("{} {words}", crate::counter::around::sentence(&changed)),
            None => crate::counter::around::sentence(&changed),
        },
    })
}

fn next_look(state: &BinState, worth: &WorthALook) -> NextLook {
    let gain = &worth.gain;
    let (what, form) = look::words(gain.look);
    let share = 100.0 * gain.narrows() / gain.spread_now.max(1e-9);
    let (decides, what_range) = match worth.decision {
        Decision::Feed => ("how much to feed next", "what they can take"),
        Decision::Trouble => (
            "whether trouble comes within a fortnight",
            "the chance of it",
        ),
    };
    NextLook {
        what: what.to_owned(),
        why: format!("For the few minutes it takes, it tells most about {decides}."),
        gain: format!(
            "It would narrow the range of {what_range} by about {}. Takes about {}.",
            report::percent(share),
            report::count(gain.minutes.round().max(1.0) as usize, "minute", "minutes"),
        ),
        href: format!("/bins/{}?open={form}#write-{form}", state.id.0),
        link: "Write it down".to_owned(),
    }
}

/// A late entry that went against nearly all that was believed.
fn doubt(desk: &Desk, e: &Estimate) -> String {
    let late = |l: &&Lesson| l.contradicted && e.now - l.at < DOUBT_DAYS * DAY;
    e.lessons.iter().rev().find(late).map_or_else(String::new, |l| {
        format!(
            "The entry of {} goes against nearly all that was worked out before. What you wrote counts: the figures now go by what could have led to it. One more look would make surer.",
            words::when(desk, l.at)
        )
    })
}

/// Where the limits come from.
pub(in crate::counter) fn sources(desk: &Desk) -> Sources {
    let alarm = |property: &str, what: &str| {
        let number = desk.tables.number("living", "alarm", property).ok()?;
        cite::cited(desk, what, number)
    };
    let lines = [
        (
            "hot_under_death_kelvin",
            "Too hot this far under what kills the species kept",
        ),
        (
            "cold_over_death_kelvin",
            "Too cold this far over what kills the species kept",
        ),
        ("dry_percent", "Too dry below"),
        ("air_filled", "Short of air below this share of air"),
        ("bed_ph", "The chance of turning sour counts a bed below pH"),
        ("bed_ph_high", "Too alkaline above pH"),
        ("free_ammonia_mg_per_kg", "Ammonia above"),
        ("crowded_kg_m2", "Crowded above"),
        ("salt_ms_per_cm", "Salty for worms above"),
        (
            "seedlings_salt_ms_per_cm",
            "Too salty to sow in undiluted above",
        ),
        ("ready_share", "Castings worth taking above this share"),
        (
            "over_rim_share",
            "Over the rim by more than this share of the depth",
        ),
    ];
    Sources {
        lines: lines.iter().filter_map(|(p, w)| alarm(p, w)).collect(),
    }
}
