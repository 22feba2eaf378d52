//! The line of a bin against what the next fortnight is likely to bring.

use super::{Attention, Level, line};
use crate::desk::coming::{Coming, meant};
use crate::desk::outlook::SOON_DAYS;
use crate::report;
use engine::advice::Remedy;
use engine::living::trouble::Trouble;

/// Days before a likely trouble at which to act on it.
const ACT_DAYS: f64 = 3.0;

/// The line, or a graver one of what is coming. What was seen or read and asks
/// for a deed stands; a line that says all is well, or only asks for a look,
/// gives way, and so do worms on the move to what drives them out. The likeliest
/// comes first, but nothing that another deed settles: salt is not rinsed out of
/// a bed that stands in liquid.
pub(super) fn foreseen(found: Attention, coming: &[Coming]) -> Attention {
    let seen = found.trouble.is_some_and(|t| t != Trouble::Leaving);
    if seen || matches!(found.level, Level::Act | Level::Unknown) {
        return found;
    }
    let acted: Vec<Trouble> = coming.iter().filter(|c| c.act).map(|c| c.trouble).collect();
    let is_new = |c: &&Coming| {
        c.trouble.is_bad()
            && !c.trouble.is_settled_by(&acted)
            && found.trouble != Some(c.trouble)
            && !found.wrong.iter().any(|w| meant(w) == Some(c.trouble))
    };
    let new: Vec<Coming> = coming.iter().filter(is_new).copied().collect();
    let acts = |c: &&Coming| c.act && c.likely_days.is_some_and(|d| d <= ACT_DAYS);
    let by = |a: &&Coming, b: &&Coming| a.chance.total_cmp(&b.chance);
    if let Some(c) = new.iter().filter(acts).max_by(by) {
        return warned(found, c, Level::Act);
    }
    if found.level == Level::Watch {
        return found;
    }
    if let Some(c) = new.iter().filter(|c| c.act).max_by(by) {
        return warned(found, c, Level::Watch);
    }
    if let Some(c) = coming.iter().find(|c| c.trouble == Trouble::Ready) {
        return warned(found, c, Level::Well);
    }
    let mut found = found;
    if let Some(c) = new.iter().filter(|c| c.by_days < 1.0).max_by(by) {
        let title = engine::table::inside_a_sentence(c.trouble.title());
        let percent = report::chance(c.chance);
        found.line = format!("{}; look out for: {title}, {percent}", found.line);
    }
    for c in coming {
        found.next_days = found.next_days.min(c.by_days.max(1.0));
    }
    found
}

/// A line about something to come.
fn warned(found: Attention, c: &Coming, level: Level) -> Attention {
    let percent = report::chance(c.chance);
    let days = c.likely_days.map_or(0.0, f64::ceil) as usize;
    let when = match (c.trouble.is_bad(), days) {
        (false, _) | (_, 0) => String::new(),
        (_, 1) => " by tomorrow".to_owned(),
        (_, n) => format!(" within {n} days"),
    };
    let mut a = line(
        level,
        if c.act {
            format!(
                "{}{when}: {}",
                c.trouble.title(),
                engine::table::inside_a_sentence(c.what())
            )
        } else {
            c.what().to_owned()
        },
        &format!("The chance is {percent} within {SOON_DAYS} days, fed and watered as lately."),
        Remedy::of(c.trouble).waits,
        match level {
            Level::Well => found.next_days,
            _ => c.by_days.clamp(1.0, 3.0),
        },
    );
    a.trouble = Some(c.trouble);
    a.wrong = found.wrong;
    a
}
