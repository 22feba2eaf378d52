//! Trouble the keeper saw, in the words of their log. It is told as seen: a
//! chance worked out by the model stands beside it and never in its place.

use super::{BinState, Desk};
use crate::report;
use engine::estimate::LeftOut;
use engine::estimate::ahead::Alarm;
use engine::living::trouble::{EVEN, Trouble};
use engine::log::{Body, Entry, Word};
use engine::table::inside_a_sentence;

/// A trouble that was seen and nothing written since says is over.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// What it is a sign of; `None` for dead worms, which may be of any.
    pub trouble: Option<Trouble>,
    /// Words of the log, each with when it was written, oldest first
    /// [s since 1970-01-01 00:00 UTC].
    pub words: Vec<(Word, Vec<i64>)>,
    /// The same in a sentence: `You saw worms climbing on Mon 23 Nov.`
    pub sentence: String,
}

/// What a word is a sign of, how it is told, and the words that end it.
struct Sign {
    word: Word,
    of: Option<Trouble>,
    told: &'static str,
    over: &'static [Word],
}

/// Words that say worms are at ease.
const AT_EASE: &[Word] = &[Word::WormsSpread];
/// Words that say the smell is gone.
const SWEET: &[Word] = &[Word::SmellEarthy];
/// Words that say it is neither soaked nor dusty.
const MOIST: &[Word] = &[Word::SqueezeWeak, Word::SqueezeDrops, Word::SqueezeSeveral];

const fn sign(word: Word, of: Option<Trouble>, told: &'static str, over: &'static [Word]) -> Sign {
    Sign {
        word,
        of,
        told,
        over,
    }
}

/// Most entries left out that are told one by one.
const MOST_TOLD: usize = 5;

/// Signs of trouble, the gravest first.
const SIGNS: [Sign; 13] = [
    sign(Word::WormsDead, None, "found dead worms", &[]),
    sign(
        Word::WormsLeft,
        Some(Trouble::Leaving),
        "found worms outside the bin",
        AT_EASE,
    ),
    sign(
        Word::WormsClimbing,
        Some(Trouble::Leaving),
        "saw worms climbing",
        AT_EASE,
    ),
    sign(
        Word::WormsBalled,
        Some(Trouble::Leaving),
        "saw worms in a ball",
        AT_EASE,
    ),
    sign(
        Word::WormsStrayMany,
        Some(Trouble::Leaving),
        "saw many worms out at night",
        &[Word::WormsStrayNone, Word::WormsStrayFew],
    ),
    sign(
        Word::SmellAmmonia,
        Some(Trouble::Ammonia),
        "smelt ammonia",
        SWEET,
    ),
    sign(
        Word::SmellSour,
        Some(Trouble::Souring),
        "smelt something sour",
        SWEET,
    ),
    sign(
        Word::SmellRotten,
        Some(Trouble::Drowning),
        "smelt rot",
        SWEET,
    ),
    sign(
        Word::SqueezeStream,
        Some(Trouble::Drowning),
        "squeezed out a stream",
        MOIST,
    ),
    sign(
        Word::SqueezeTrickle,
        Some(Trouble::Drowning),
        "squeezed out a trickle",
        MOIST,
    ),
    sign(
        Word::SqueezeDusty,
        Some(Trouble::Drying),
        "found it dusty",
        MOIST,
    ),
    sign(
        Word::Pooling,
        Some(Trouble::WetBase),
        "saw liquid standing",
        &[],
    ),
    sign(
        Word::WormsThin,
        Some(Trouble::Starving),
        "saw thin or slow worms",
        &[Word::WormsPlump],
    ),
];

/// Something done that ends a sign, whatever it said.
fn ends(body: &Body, sign: &Sign) -> bool {
    match body {
        Body::Observation { words, .. } => words.iter().any(|w| sign.over.contains(w)),
        Body::Drain { .. } => sign.word == Word::Pooling,
        Body::Filled { .. } => true,
        _ => false,
    }
}

/// When a word was written and not ended since, oldest first.
fn times(state: &BinState, sign: &Sign) -> Vec<i64> {
    let log: Vec<&Entry> = (state.log.iter())
        .filter(|e| e.at_unix_seconds <= state.now)
        .collect();
    let over = log.iter().rev().find(|e| ends(&e.body, sign));
    let since = over.map_or(i64::MIN, |e| e.at_unix_seconds);
    let mut list: Vec<i64> = (state.words.iter())
        .filter(|(at, word)| *word == sign.word && *at > since)
        .map(|(at, _)| *at)
        .collect();
    list.sort_unstable();
    list
}

impl Desk {
    /// Trouble seen in the last fortnight, the gravest first.
    #[must_use]
    pub fn seen(&self, state: &BinState) -> Vec<Seen> {
        let mut list: Vec<Seen> = Vec::new();
        for sign in &SIGNS {
            let at = times(state, sign);
            if at.is_empty() {
                continue;
            }
            let told = format!("{} on {}", sign.told, self.days_named(&at));
            match list.iter_mut().find(|s| s.trouble == sign.of) {
                Some(seen) => {
                    seen.sentence.truncate(seen.sentence.len() - 1);
                    seen.sentence.push_str(&format!("; you {told}."));
                    seen.words.push((sign.word, at));
                }
                None => list.push(Seen {
                    trouble: sign.of,
                    sentence: format!("You {told}."),
                    words: vec![(sign.word, at)],
                }),
            }
        }
        list
    }

    /// Trouble seen with what the model makes of it within a fortnight, in
    /// sentences.
    #[must_use]
    pub fn seen_words(&self, state: &BinState) -> Vec<String> {
        let outside = state.cause_outside(self);
        let alarms = self.soon(state).map(|s| s.ahead.alarms.as_slice());
        let told = |seen: &Seen| {
            let (Ok(all), Some(trouble)) = (&alarms, seen.trouble) else {
                return seen.sentence.clone();
            };
            let alarm = all.iter().find(|a| a.trouble == trouble);
            let likelier = (all.iter())
                .filter(|a| trouble.is_shown_by(a.trouble) && a.now >= EVEN)
                .max_by(|a, b| a.now.total_cmp(&b.now));
            match (alarm, likelier) {
                (Some(a), Some(b)) if b.now > a.now => {
                    format!("{} {}", seen.sentence, explained_words(b))
                }
                (Some(a), _) => format!("{} {}", seen.sentence, model_words(a, outside)),
                (None, _) => seen.sentence.clone(),
            }
        };
        let mut all = self.left_out_words(state);
        if state.still_settling {
            all.push(STILL_SETTLING.to_owned());
        }
        all.extend(self.passed_over_words(state));
        all.extend(self.seen(state).iter().map(told));
        all
    }

    /// What of a long past is followed less closely, in sentences.
    fn passed_over_words(&self, state: &BinState) -> Vec<String> {
        let Ok(e) = &state.estimate else {
            return Vec::new();
        };
        let day = |at: i64| self.clock.local(at).date().to_string();
        let silent = e.passed_over.iter().rev().take(MOST_TOLD).map(|(from, to)| {
            format!(
                "Nothing was written down for long; the time from {} to {} is passed over, as if nothing had changed in it.",
                day(*from),
                day(*to)
            )
        });
        silent.collect()
    }

    /// Entries that no figure is made from, each with why, in sentences.
    fn left_out_words(&self, state: &BinState) -> Vec<String> {
        let Ok(estimate) = &state.estimate else {
            return Vec::new();
        };
        let told = |l: &LeftOut| {
            let why = l.why.to_string();
            format!(
                "Entry {} cannot be used, wholly or in part, and is left out of every figure: {}. Correct it or strike it.",
                l.entry.0,
                why.trim_end_matches('.')
            )
        };
        let mut all: Vec<String> = estimate.left_out.iter().take(MOST_TOLD).map(told).collect();
        let more = estimate.left_out.len().saturating_sub(MOST_TOLD);
        if more > 0 {
            all.push(format!(
                "{more} more entries are left out for like reasons."
            ));
        }
        all
    }

    /// Days of moments, each once: `Mon 23 and Wed 25 Nov`.
    fn days_named(&self, at: &[i64]) -> String {
        let mut days: Vec<jiff::civil::Date> =
            at.iter().map(|at| self.clock.local(*at).date()).collect();
        days.dedup();
        let today = self.clock.now().date();
        let named: Vec<String> = days.iter().map(|d| report::date(*d, today)).collect();
        match named.split_last() {
            Some((last, [])) => last.clone(),
            Some((last, before)) => format!("{} and {last}", before.join(", ")),
            None => String::new(),
        }
    }
}

/// What it takes what was seen for, where something else explains it.
fn explained_words(a: &Alarm) -> String {
    format!(
        "With that weighed in, the model takes it for another trouble that shows the same: {}, a chance of {} now.",
        inside_a_sentence(a.trouble.title()),
        report::chance(a.now),
    )
}

/// What the model makes of it, what was seen weighed in, and what it leaves to
/// causes it does not know.
fn model_words(a: &Alarm, outside: f64) -> String {
    let known = format!(
        "With that weighed in, the model gives this a chance of {} now and {} within {} days",
        report::chance(a.now),
        report::chance(a.in_all()),
        super::outlook::SOON_DAYS,
    );
    let outside = if outside >= TOLD_OUTSIDE {
        format!(
            ", and {} to a cause it does not know: something rotten or harmful that nobody wrote down, a draught, a knock",
            report::chance(outside)
        )
    } else {
        String::new()
    };
    let by_sight = if a.now < EVEN {
        ". Go by what you saw."
    } else {
        "."
    };
    format!("{known}{outside}{by_sight}")
}

/// A smaller chance of a cause outside the model is not told of.
const TOLD_OUTSIDE: f64 = 0.05;
/// Said while a log has more to teach than was worked out.
pub const STILL_SETTLING_SHORT: &str = "Still settling: these figures may move.";
/// The same with what to do.
const STILL_SETTLING: &str = "Still settling: the log has more to teach than these figures hold yet, and they may move. Ask again in a moment.";
