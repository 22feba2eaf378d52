//! The one most important line of a bin, and when to look next.

use super::BinState;
use super::coming::{coming, meant};
use super::ph_scale::PhScale;
use super::wetness::{Wetness, felt};
use crate::report;
use engine::advice::Remedy;
use engine::estimate::ahead::Ahead;
use engine::estimate::{Estimate, EstimateError};
use engine::living::comfort::Comfort;
use engine::living::trouble::Trouble;
use engine::log::{Body, Entry, Measured, Word};
use engine::table::Tables;

mod by_eye;
mod foreseen;

/// How pressing it is. Said by word and shape, never by colour alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Do something now.
    Act,
    /// Look at something soon.
    Watch,
    /// Leave it be.
    Well,
    /// Not enough known to say.
    Unknown,
}

impl Level {
    /// One word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Act => "Act",
            Self::Watch => "Watch",
            Self::Well => "Well",
            Self::Unknown => "Not known yet",
        }
    }
}

/// The line.
#[derive(Debug, Clone, PartialEq)]
pub struct Attention {
    /// How pressing.
    pub level: Level,
    /// The line.
    pub line: String,
    /// Why, in a sentence.
    pub why: String,
    /// What happens if it waits.
    pub if_it_waits: String,
    /// Days from now until to look next.
    pub next_days: f64,
    /// Short words for what is wrong: `acid`, `wet`.
    pub wrong: Vec<String>,
    /// The dose page has the next move.
    pub dose: bool,
    /// What may come that the line is about.
    pub trouble: Option<Trouble>,
    /// Days from now until feeding is due [d]; `None` where food is not the
    /// question.
    pub feed_days: Option<f64>,
    /// Why then.
    pub feed_why: String,
}

impl Attention {
    /// Feeding is due today.
    #[must_use]
    pub fn feed_now(&self) -> bool {
        self.feed_days.is_some_and(|d| d < 1.0)
    }

    /// Days from now until to look next, or to feed when that is sooner [d].
    #[must_use]
    pub fn next_look(&self) -> f64 {
        self.feed_days
            .map_or(self.next_days, |d| d.min(self.next_days))
    }
}

const DAY: f64 = 86_400.0;
/// Days after which a pH reading is old.
const STALE_DAYS: f64 = 42.0;
/// Days a bed temperature stands for how hot it is now.
const HOT_DAYS: f64 = 3.0;
/// Days a salt reading stands for how salty it is now.
const SALT_DAYS: f64 = 42.0;
/// Days after which a caustic dose has done what harm it does.
const CAUSTIC_DAYS: f64 = 7.0;

/// The most important line of one bin; `ahead` is the next fortnight, where
/// there are worms to look out for.
#[must_use]
pub fn attention(tables: &Tables, state: &BinState, ahead: Option<&Ahead>) -> Attention {
    let e = match &state.estimate {
        Err(EstimateError::NotFilled) => return unknown(),
        Err(other) => return broken(other),
        Ok(e) => e,
    };
    let Ok(scale) = PhScale::of(tables) else {
        return unknown();
    };
    let mut found = by_words(state)
        .or_else(|| burnt(tables, state))
        .or_else(|| hot(tables, state))
        .or_else(|| acid_now(state, e, &scale))
        .or_else(|| reread(state, e))
        .or_else(|| acid(e, &scale).filter(|a| a.level == Level::Act && is_read(e)))
        .or_else(|| over_limed(e, &scale))
        .or_else(|| by_eye::cause(tables, state, e).filter(by_eye::is_airless))
        .or_else(|| acid(e, &scale).filter(|a| a.level == Level::Act))
        .or_else(|| by_eye::cause(tables, state, e))
        .or_else(|| by_eye::worms_on_the_move(state, e))
        .or_else(|| acid(e, &scale))
        .or_else(|| no_reading(state, e))
        .unwrap_or_else(|| well(e, &scale));
    found.wrong.extend(wrong_words(tables, state, e, &scale));
    found.wrong.dedup();
    match ahead {
        Some(ahead) => foreseen::foreseen(found, &coming(ahead, is_unread(e))),
        None => found,
    }
}

fn line(level: Level, line: String, why: &str, waits: &str, next_days: f64) -> Attention {
    Attention {
        level,
        line,
        why: why.into(),
        if_it_waits: waits.into(),
        next_days,
        wrong: Vec::new(),
        dose: false,
        trouble: None,
        feed_days: None,
        feed_why: String::new(),
    }
}

/// A trouble that is there, by what was seen or measured (`seen` goes behind
/// its title), and what to do, in the words used for it everywhere.
fn told(level: Level, trouble: Trouble, seen: &str, next_days: f64) -> Attention {
    let remedy = Remedy::of(trouble);
    let act = engine::table::inside_a_sentence(remedy.act);
    let mut a = line(
        level,
        format!("{}{seen}: {act}", trouble.title()),
        remedy.why,
        remedy.waits,
        next_days,
    );
    a.trouble = Some(trouble);
    a
}

fn unknown() -> Attention {
    line(
        Level::Unknown,
        "Say what bedding is in it".into(),
        "Nothing can be worked out until the log says what went in.",
        "Nothing happens, but nothing is watched either.",
        1.0,
    )
}

/// An entry stops the estimate: say which and why.
fn broken(error: &EstimateError) -> Attention {
    line(
        Level::Unknown,
        "An entry cannot be used".into(),
        &format!("{error}. Correct that entry in the log, and the estimate comes back."),
        "Nothing is watched until it is corrected.",
        1.0,
    )
}

/// Signs that need no model.
fn by_words(state: &BinState) -> Option<Attention> {
    let recent = |w: Word| {
        state
            .words
            .iter()
            .any(|(at, x)| *x == w && ((state.now - at) as f64) < 3.0 * DAY)
    };
    if recent(Word::SmellAmmonia) {
        let mut a = told(Level::Act, Trouble::Ammonia, ", by the smell", 1.0);
        a.wrong.push("ammonia".into());
        return Some(a);
    }
    if recent(Word::WormsDead) {
        return Some(line(
            Level::Act,
            "Dead worms: move the live ones to fresh moist bedding today".into(),
            "Something in there kills. Heat, ammonia, salt and sour food are the usual causes.",
            "The rest follow within days.",
            1.0,
        ));
    }
    None
}

/// Something caustic went in with the worms.
fn burnt(tables: &Tables, state: &BinState) -> Option<Attention> {
    let material = state.log.iter().rev().find_map(|entry| match &entry.body {
        Body::Dose(d) if stocked_before(state, entry) && within(state, entry, CAUSTIC_DAYS) => {
            let product = tables.product(&d.material).ok()?;
            matches!(product.action.as_str(), "caustic" | "ash").then_some(&d.material)
        }
        _ => None,
    })?;
    let name = tables.material(material).map_or("It", |m| m.name.as_str());
    Some(line(
        Level::Act,
        format!("{name} went in with the worms: look at them today"),
        "It is caustic when wet and burns worms where it lies. Wear gloves and goggles, lift out what can still be seen, and give the worms fresh moist bedding at one end.",
        "Worms it touches die, and the rest crowd away from it.",
        1.0,
    ))
}

/// The middle is too warm, as measured.
fn hot(tables: &Tables, state: &BinState) -> Option<Attention> {
    let (celsius, _) = warm(tables, state)?;
    let seen = format!(", {celsius:.0} °C in the bedding");
    Some(told(Level::Act, Trouble::TooHot, &seen, 1.0))
}

/// Too wet, too dry or too salty, as said or measured.
fn water_and_salt(tables: &Tables, state: &BinState) -> Option<Attention> {
    let trouble = match moisture(state) {
        Some(word) => meant(word)?,
        None if salty(tables, state) => Trouble::Salty,
        None => return None,
    };
    Some(told(Level::Watch, trouble, "", 2.0))
}

/// Worms were in before this entry.
fn stocked_before(state: &BinState, entry: &Entry) -> bool {
    state.log.iter().any(|e| {
        matches!(e.body, Body::WormsIn { .. }) && e.at_unix_seconds <= entry.at_unix_seconds
    })
}

/// The entry lies in the last `days`.
fn within(state: &BinState, entry: &Entry, days: f64) -> bool {
    let ago = (state.now - entry.at_unix_seconds) as f64 / DAY;
    (0.0..=days).contains(&ago)
}

fn range(b: &engine::quantity::Band) -> String {
    report::ph_band(b)
}

/// A local reading waits for its second look.
fn reread(state: &BinState, e: &Estimate) -> Option<Attention> {
    let last = e.heard.last()?;
    let due = last.reread_at?;
    let days = ((due - state.now) as f64 / DAY).max(0.0);
    let text = if days < 0.04 {
        "Read the pH again now".to_owned()
    } else {
        "Read the pH again before believing the last one".to_owned()
    };
    let mut a = line(
        if days < 0.04 {
            Level::Act
        } else {
            Level::Watch
        },
        text,
        &format!(
            "The last reading ({}) was taken just after a dose or watering, so it shows the place, not the bed. The bed is probably at {}.",
            report::ph(last.mean),
            range(&e.ph)
        ),
        "You may dose for a change that did not happen, or miss one that did.",
        days,
    );
    a.dose = true;
    Some(a)
}

/// A bed that is acid now stays the first line, whatever a local reading says;
/// the doubt about that reading goes with it.
fn acid_now(state: &BinState, e: &Estimate, scale: &PhScale) -> Option<Attention> {
    let doubt = reread(state, e)?;
    let mut a = acid(e, scale).filter(|a| a.level == Level::Act)?;
    a.line = format!("Acid, pH {}: read it again", range(&e.ph));
    a.why = format!("{} {}", doubt.why, a.why);
    a.next_days = doubt.next_days;
    Some(a)
}

fn acid(e: &Estimate, scale: &PhScale) -> Option<Attention> {
    let low = e
        .ensemble
        .chance(|m| m.bed.ph_when_all_has_acted() < scale.too_acid);
    if low < 0.25 && e.ph_to_come.median >= 5.8 {
        let now_low = e.ph.median < scale.too_acid;
        return now_low.then(|| {
            line(
                Level::Watch,
                format!("Acid now, pH {}, and coming up", range(&e.ph)),
                &format!(
                    "{} should bring it to {}.",
                    if e.given.iter().any(|g| g.base_meq.median > 0.0) {
                        "Lime already in the bed"
                    } else {
                        "Chalk that may be in the castings or the bedding, a guess,"
                    },
                    range(&e.ph_to_come)
                ),
                "Nothing: let it act, and read again.",
                7.0,
            )
        });
    }
    // With worms in, no dose is planned by what went in alone.
    let unread = is_unread(e);
    let mut a = line(
        if e.ph.median < scale.too_acid {
            Level::Act
        } else {
            Level::Watch
        },
        if e.wait_until.is_some_and(|t| t > e.now) {
            format!("Acid, pH {}: let the dose act", range(&e.ph))
        } else if unread {
            format!(
                "Probably acid, pH {}: read it before you lime",
                range(&e.ph)
            )
        } else {
            format!("Acid, pH {}: plan a dose", range(&e.ph))
        },
        Remedy::of(Trouble::Acid).why,
        Remedy::of(Trouble::Acid).waits,
        2.0,
    );
    a.dose = !unread;
    Some(a)
}

/// Worms are in, and nobody read the pH.
#[must_use]
pub fn is_unread(e: &Estimate) -> bool {
    e.stocked && !is_read(e)
}

/// The pH was read, and not beside a fresh dose.
fn is_read(e: &Estimate) -> bool {
    e.heard.iter().any(|h| !h.settling.is_local())
}

fn over_limed(e: &Estimate, scale: &PhScale) -> Option<Attention> {
    if e.ph_to_come.median <= scale.over_limed {
        return None;
    }
    let mut a = line(
        Level::Act,
        format!(
            "Too alkaline, pH {}: plan the way back",
            range(&e.ph_to_come)
        ),
        Remedy::of(Trouble::Alkaline).why,
        "It comes down only slowly by itself.",
        3.0,
    );
    a.dose = true;
    Some(a)
}

fn no_reading(state: &BinState, e: &Estimate) -> Option<Attention> {
    let settled = e.heard.iter().rev().find(|h| !h.settling.is_local());
    let wide = e.ph.half_width() > 0.6;
    match settled {
        None => Some(line(
            Level::Watch,
            "Take a first pH reading".into(),
            &format!(
                "From what went in, the bed should stand near {}, but nobody has measured it.",
                range(&e.ph)
            ),
            "A sour bed shows itself only when worms climb.",
            1.0,
        )),
        Some(h) if wide && (state.now - h.at) as f64 > STALE_DAYS * DAY => Some(line(
            Level::Watch,
            "Read the pH again: the last reading is old".into(),
            &format!(
                "Since then it may have wandered; it is now thought to be {}.",
                range(&e.ph)
            ),
            "Slow souring goes unseen.",
            3.0,
        )),
        _ => None,
    }
}

fn well(e: &Estimate, scale: &PhScale) -> Attention {
    line(
        Level::Well,
        format!("pH {}: leave it be", range(&e.ph)),
        &scale.sentence(),
        "Nothing.",
        14.0,
    )
}

fn wrong_words(tables: &Tables, state: &BinState, e: &Estimate, scale: &PhScale) -> Vec<String> {
    let mut list = Vec::new();
    if e.ph.median < scale.too_acid {
        list.push("acid".to_owned());
    } else if e.ph.median > scale.too_alkaline {
        list.push("over-limed".to_owned());
    }
    list.extend(moisture(state).map(str::to_owned));
    if warm(tables, state).is_some() {
        list.push("hot".to_owned());
    }
    if salty(tables, state) {
        list.push("salty".to_owned());
    }
    list
}

/// Bed temperature above what worms of the species stand, when lately measured,
/// and what they stand [°C].
fn warm(tables: &Tables, state: &BinState) -> Option<(f64, f64)> {
    let species = engine::estimate::scene::species(&state.log);
    let limit = Comfort::of(tables, species).ok()?.hot_celsius;
    let celsius = latest(state, Measured::BeddingCelsius, HOT_DAYS)?;
    (celsius > limit).then_some((celsius, limit))
}

/// Salt over where the alarm begins, when lately measured.
fn salty(tables: &Tables, state: &BinState) -> bool {
    let limit = tables.value("living", "alarm", "salt_ms_per_cm");
    latest(state, Measured::EcMsCm, SALT_DAYS).is_some_and(|ec| limit.is_ok_and(|l| ec > l))
}

/// Too wet or too dry by the keeper's hand and eye.
fn moisture(state: &BinState) -> Option<&'static str> {
    match felt(state) {
        Some(w) if w <= Wetness::DrySide => Some("dry"),
        Some(w) if w >= Wetness::Wet => Some("wet"),
        Some(_) => None,
        None => pooled(state).then_some("wet"),
    }
}

/// Liquid was seen to stand in it, and was not drained nor the bedding
/// squeezed since.
fn pooled(state: &BinState) -> bool {
    let Some((at, _)) = state.words.iter().find(|(_, w)| *w == Word::Pooling) else {
        return false;
    };
    let drained = |e: &Entry| matches!(e.body, Body::Drain { .. }) && e.at_unix_seconds > *at;
    !state.log.iter().any(drained)
}

/// The latest reading of something in the last `days`, mean of its spots.
#[must_use]
pub fn latest(state: &BinState, what: Measured, days: f64) -> Option<f64> {
    state.log.iter().rev().find_map(|entry| match &entry.body {
        Body::Reading(r) if r.what == what && !r.spots.is_empty() && within(state, entry, days) => {
            Some(r.spots.iter().sum::<f64>() / r.spots.len() as f64)
        }
        _ => None,
    })
}
