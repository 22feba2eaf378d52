//! The log of a bin as shown: newest first, nothing hidden.

use super::around::units;
use super::words;
use crate::desk::{BinState, Desk};
use crate::report;
use crate::web::{LogLine, LogPart};
use engine::estimate::{Estimate, Heard};
use engine::log::{Body, Entry, EntryId, Measured, Reading};
use engine::quantity::Band;
use std::collections::BTreeMap;

/// Half-width of an 80 % interval in standard deviations.
const Z80: f64 = 1.2816;
/// Grams of pure calcium carbonate in one meq of base [g/meq]: 100.09 / 2000.
pub(super) const PURE_LIME_G_PER_MEQ: f64 = 0.050_045;

/// Entries on one page.
const A_PAGE: usize = 200;

/// Characters of an entry among others; its own page shows it whole.
const IN_A_LIST: usize = 600;

/// A page of the entries, newest first, from so many after the newest. A
/// corrected or struck entry stays and is marked.
pub(super) fn lines(desk: &Desk, state: &BinState, from: usize) -> LogPart {
    let chain = Chain::of(&state.written);
    let mut order: Vec<&Entry> = state.written.iter().collect();
    order.sort_by_key(|e| std::cmp::Reverse((e.at_unix_seconds, e.id)));
    let from = if from < order.len() { from } else { 0 };
    // One page of the list: what comes before stands on the pages before.
    let shown = order.iter().skip(from).take(A_PAGE);
    LogPart {
        lines: shown
            .map(|e| shortened(line(desk, state, e, &chain)))
            .collect(),
        from,
        before: from.saturating_sub(A_PAGE),
        entries: order.len(),
    }
}

fn shortened(mut line: LogLine) -> LogLine {
    if let Some((end, _)) = line.words.char_indices().nth(IN_A_LIST) {
        line.words.truncate(end);
        line.words.push('…');
        line.cut = true;
    }
    line
}

/// Which entries were corrected, by which, and what each stands for.
struct Chain {
    corrected_by: BTreeMap<EntryId, EntryId>,
    root: BTreeMap<EntryId, EntryId>,
}

impl Chain {
    fn of(written: &[Entry]) -> Self {
        let mut corrected_by = BTreeMap::new();
        let mut root = BTreeMap::new();
        let mut last: BTreeMap<EntryId, EntryId> = BTreeMap::new();
        for entry in written {
            let Body::Correction { corrects, .. } = &entry.body else {
                continue;
            };
            let first = root.get(corrects).copied().unwrap_or(*corrects);
            root.insert(entry.id, first);
            corrected_by.insert(*corrects, entry.id);
            if let Some(before) = last.insert(first, entry.id) {
                corrected_by.insert(before, entry.id);
            }
            corrected_by.insert(first, entry.id);
        }
        Self { corrected_by, root }
    }
}

/// One entry as a line.
pub(super) fn one(desk: &Desk, state: &BinState, entry: &Entry) -> LogLine {
    line(desk, state, entry, &Chain::of(&state.written))
}

/// The later entry that stands in an entry's place.
pub(super) fn in_its_place<'a>(state: &'a BinState, entry: &Entry) -> Option<&'a Entry> {
    let chain = Chain::of(&state.written);
    let later = chain.corrected_by.get(&entry.id)?;
    state.written.iter().find(|e| e.id == *later)
}

fn line(desk: &Desk, state: &BinState, entry: &Entry, chain: &Chain) -> LogLine {
    let by = chain.corrected_by.get(&entry.id);
    let (kind, text) = match &entry.body {
        Body::Correction {
            corrects,
            replacement,
            at_unix_seconds,
            reason,
        } => correction(
            desk,
            state,
            *corrects,
            replacement.as_deref(),
            *at_unix_seconds,
            reason,
        ),
        body => (words::kind(body).to_owned(), words::body(desk, body)),
    };
    let note = match by.and_then(|id| state.written.iter().find(|e| e.id == *id)) {
        Some(later) => superseded(desk, later),
        None => worth(desk, state, chain.root.get(&entry.id).unwrap_or(&entry.id)),
    };
    LogLine {
        id: entry.id.0,
        when: words::when(desk, entry.at_unix_seconds),
        machine_time: words::machine_time(desk, entry.at_unix_seconds),
        kind,
        words: text,
        note,
        struck: by.is_some(),
        cut: false,
    }
}

fn superseded(desk: &Desk, later: &Entry) -> String {
    let what = if is_strike(later) {
        "Struck out"
    } else {
        "Corrected"
    };
    format!("{what} {}.", words::when(desk, later.at_unix_seconds))
}

/// Whether an entry says that another should not be there.
pub(super) fn is_strike(entry: &Entry) -> bool {
    matches!(
        entry.body,
        Body::Correction {
            replacement: None,
            ..
        }
    )
}

fn correction(
    desk: &Desk,
    state: &BinState,
    corrects: EntryId,
    replacement: Option<&Body>,
    at: Option<i64>,
    reason: &str,
) -> (String, String) {
    let of = state.written.iter().find(|e| e.id == corrects);
    let of_when = of.map_or_else(String::new, |e| words::when(desk, e.at_unix_seconds));
    let mut text = match replacement {
        Some(body) => words::body(desk, body),
        None => "Should not be there".to_owned(),
    };
    let moved = at.filter(|at| of.is_some_and(|e| e.at_unix_seconds != *at));
    if let Some(at) = moved {
        text = format!("{text}, at {}", words::when(desk, at));
    }
    if !reason.is_empty() {
        text = format!("{text} ({reason})");
    }
    let kind = replacement.map_or("Struck out".to_owned(), |b| {
        format!("{}, corrected", words::kind(b))
    });
    (kind, format!("{text}. Stands for the entry of {of_when}"))
}

/// What an entry was worth to the estimate.
fn worth(desk: &Desk, state: &BinState, id: &EntryId) -> String {
    let Ok(e) = &state.estimate else {
        return String::new();
    };
    if let Some(heard) = e.heard.iter().find(|h| h.entry == *id) {
        let kept = state.log.iter().any(|x| {
            x.id == *id
                && matches!(
                    &x.body,
                    Body::Reading(Reading {
                        confirmed: true,
                        ..
                    })
                )
        });
        return heard_worth(heard, kept);
    }
    let before = state
        .log
        .iter()
        .any(|x| x.id == *id && counts(&x.body) && x.at_unix_seconds < e.filled_at);
    if before {
        return "From before the bin was filled, so not counted now.".into();
    }
    given_worth(desk, e, id)
}

/// The kinds of entry the estimate is made from.
fn counts(body: &Body) -> bool {
    matches!(body, Body::Dose(_) | Body::JarTest(_))
        || matches!(body, Body::Reading(r) if r.what == Measured::Ph)
}

fn heard_worth(heard: &Heard, kept: bool) -> String {
    let mut said: Vec<String> = Vec::new();
    if heard.settling.is_local() {
        said.push(format!(
            "Soon after a dose or watering, so it shows the place. The bed then was probably {}.",
            report::ph_band(&heard.bed)
        ));
    }
    if heard.contradicted {
        said.push("It went against nearly all that was believed.".into());
    }
    if kept {
        said.push("Kept on your word.".into());
    }
    let spread = |sd: f64| report::decimals(Z80 * sd, 1);
    let (before, after) = heard.taught;
    if said.is_empty() && after < before && spread(after) != spread(before) {
        said.push(format!(
            "Narrowed the bed's pH from ±\u{a0}{} to ±\u{a0}{}.",
            spread(before),
            spread(after)
        ));
    }
    said.join(" ")
}

fn given_worth(desk: &Desk, e: &Estimate, id: &EntryId) -> String {
    let Some(given) = e.given.iter().find(|g| g.entry == *id) else {
        return String::new();
    };
    let sign = if given.base_meq.median < 0.0 {
        -1.0
    } else {
        1.0
    };
    let ends = [given.base_meq.low, given.base_meq.high].map(|b| sign * b * PURE_LIME_G_PER_MEQ);
    let pure = Band {
        median: sign * given.base_meq.median * PURE_LIME_G_PER_MEQ,
        low: ends[0].min(ends[1]),
        high: ends[0].max(ends[1]),
    };
    let does = if sign > 0.0 { "Worth" } else { "Takes away" };
    format!(
        "{does} {} of pure lime once all has acted.",
        report::grams_band(&pure, units(desk))
    )
}
