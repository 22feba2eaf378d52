//! Troubles and hopes with their chances and dates.

use super::days::on;
use crate::chart::chances::chance_words;
use crate::chart::{Chance, ChancePoint};
use crate::counter::words;
use crate::desk::coming::WORTH_SAYING;
use crate::desk::outlook::Outlook;
use crate::desk::seen::Seen;
use crate::desk::{BinState, Desk};
use crate::web::AlarmLine;
use crate::web::widgets::Drift;
use engine::advice::Remedy;
use engine::estimate::ahead::Alarm;
use engine::living::trouble::Trouble;
use engine::log::Word;

/// Chance from which trouble is likely.
const LIKELY: f64 = 0.5;
/// What was seen comes before anything only thought.
const SEEN_FIRST: f64 = 4.0;

/// Alarms worth a word, gravest first; `days` were looked ahead.
pub(super) fn lines(desk: &Desk, state: &BinState, seen: &Outlook, days: u32) -> Vec<AlarmLine> {
    let by_eye = desk.seen(state);
    let eyes = |trouble: Option<Trouble>| by_eye.iter().find(|s| s.trouble == trouble);
    let acted: Vec<Trouble> = (seen.ahead.alarms.iter())
        .filter(|a| a.wants_act() || eyes(Some(a.trouble)).is_some())
        .map(|a| a.trouble)
        .collect();
    let mut said: Vec<(f64, AlarmLine)> = Vec::new();
    for a in &seen.ahead.alarms {
        let eyes = eyes(Some(a.trouble));
        if a.in_all() >= WORTH_SAYING || eyes.is_some() {
            let first = if eyes.is_some() { SEEN_FIRST } else { 0.0 };
            said.push((first + grave(a), line(desk, state, a, days, eyes, &acted)));
        }
    }
    let (losing, dead) = (seen.losing_worms, eyes(None));
    if losing >= WORTH_SAYING || dead.is_some() {
        let first = if dead.is_some() { SEEN_FIRST } else { 2.0 };
        said.push((first + losing, losing_line(desk, state, losing, days, dead)));
    }
    said.sort_by(|a, b| b.0.total_cmp(&a.0));
    said.into_iter().map(|(_, line)| line).collect()
}

/// Likely and soon before unlikely and late; what is good comes last.
fn grave(a: &Alarm) -> f64 {
    if !a.trouble.is_bad() {
        return -1.0;
    }
    let soon = a.day_of(LIKELY).map_or(0.0, |d| 1.0 / (1.0 + d as f64));
    a.in_all() + soon
}

fn drift(trouble: Trouble, chance: f64) -> Drift {
    match (trouble.is_bad(), chance >= LIKELY) {
        (false, _) => Drift::Good,
        (true, true) => Drift::Stop,
        (true, false) => Drift::Wait,
    }
}

/// By when how likely: `62 % by Fri 17 Jul; 1 in 10 by Sat 4 Jul`.
pub(super) fn by_when(desk: &Desk, now: i64, a: &Alarm, days: u32) -> String {
    let all = a.in_all();
    if a.now >= LIKELY && a.now > 0.9 * all {
        return format!("there now: {}", chance_words(a.now));
    }
    let mut text = format!(
        "{} by {}",
        chance_words(all),
        on(desk, now, f64::from(days))
    );
    if a.now >= 0.1 {
        text.push_str(&format!("; {} already", chance_words(a.now)));
    } else {
        let step = if all >= LIKELY {
            (0.5, "even chance")
        } else {
            (0.1, "1 in 10")
        };
        if let Some(day) = a.day_of(step.0).filter(|d| (*d as u32) < days) {
            text.push_str(&format!("; {} by {}", step.1, on(desk, now, day as f64)));
        }
    }
    text
}

fn line(
    desk: &Desk,
    state: &BinState,
    a: &Alarm,
    days: u32,
    seen: Option<&Seen>,
    acted: &[Trouble],
) -> AlarmLine {
    let id = state.id.0;
    let chance = Chance {
        id: format!("chance-{id}-{}", a.trouble.name().replace('_', "-")),
        what: a.trouble.title().to_owned(),
        start: words::day(desk, state.now),
        days: f64::from(days),
        points: a
            .by_day
            .iter()
            .enumerate()
            .map(|(day, share)| ChancePoint {
                day: day as f64,
                share: *share,
            })
            .collect(),
    };
    let remedy = Remedy::of(a.trouble);
    let doubtful = !a.wants_act() && seen.is_none();
    let what = match doubtful {
        true => remedy.look,
        false if a.trouble.is_settled_by(acted) => Remedy::settled(a.trouble),
        false => remedy.act,
    };
    let waits = remedy.waits;
    let words = format!("{what}. If it waits: {}", words::lower(waits));
    let by = by_when(desk, state.now, a, days);
    let mut line = AlarmLine::new(drift(a.trouble, a.in_all()), &chance, &by, &words);
    if let Some(seen) = seen {
        line = line.seen(&seen.sentence);
        line.drift = seen_drift(seen, line.drift);
    }
    match link(a.trouble) {
        Some((page, link)) => line.with_link(&format!("/bins/{id}{page}"), link),
        None => line,
    }
}

/// Where something is done about a trouble, beside the bin, and words for it.
pub(in crate::counter) fn link(trouble: Trouble) -> Option<(&'static str, &'static str)> {
    Some(match trouble {
        Trouble::TooHot | Trouble::Freezing => ("/weather", "Heat and cold"),
        Trouble::Acid | Trouble::Alkaline => ("/dose", "Dose plan"),
        Trouble::Starving => ("/ration", "What to feed"),
        Trouble::Ready | Trouble::OverRim => {
            ("?open=harvest#write-harvest", "Write down a harvest")
        }
        _ => return None,
    })
}

/// How grave what was seen is, whatever the model thinks of it.
fn seen_drift(seen: &Seen, thought: Drift) -> Drift {
    let gone = |(word, _): &(Word, Vec<i64>)| matches!(word, Word::WormsLeft | Word::WormsDead);
    if thought == Drift::Stop || seen.words.iter().any(gone) {
        Drift::Stop
    } else {
        Drift::Wait
    }
}

fn losing_line(
    desk: &Desk,
    state: &BinState,
    losing: f64,
    days: u32,
    dead: Option<&Seen>,
) -> AlarmLine {
    let thought = drift(Trouble::Leaving, losing);
    AlarmLine {
        what: "Losing worms".to_owned(),
        drift: dead.map_or(thought, |d| seen_drift(d, thought)),
        seen: dead.map_or_else(String::new, |d| d.sentence.clone()),
        chance: format!(
            "{} by {}",
            chance_words(losing),
            on(desk, state.now, f64::from(days))
        ),
        words: "The chance that a tenth of them die or leave, beyond the few that die in any bin."
            .to_owned(),
        strip: None,
        href: String::new(),
        link: String::new(),
    }
}

/// Chances of trouble without dates, those worth a word.
pub(super) fn chances(list: &[(Trouble, f64)], until: &str) -> Vec<AlarmLine> {
    const SAID: f64 = 0.01;
    list.iter()
        .filter(|(_, chance)| *chance >= SAID)
        .map(|(trouble, chance)| AlarmLine {
            what: trouble.title().to_owned(),
            seen: String::new(),
            drift: if *chance < WORTH_SAYING {
                Drift::Good
            } else {
                drift(*trouble, *chance)
            },
            chance: format!("{} {until}", chance_words(*chance)),
            words: String::new(),
            strip: None,
            href: String::new(),
            link: String::new(),
        })
        .collect()
}
