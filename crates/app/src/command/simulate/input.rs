//! The file of a scenario.

mod happenings;
mod place;

use crate::command::parts;
use crate::command::session::Fault;
use crate::command::toml_file::{File, Table};
use engine::bed::fill::Own;
use engine::bounds::{self, Bound};
use engine::estimate::scene::usual_tote;
use engine::living::room::usual_swing;
use engine::log::{BinDescription, Body, Part};
use engine::scenario::{Happening, MOST_DAYS, MOST_MEMBERS, MOST_WORK, Scenario, What};
use engine::table::Tables;
use jiff::civil::Date;

/// What a file asks.
pub(in crate::command) struct Asked {
    pub(super) scenario: Scenario,
    /// The date of day 0, when given.
    pub(super) start: Option<Date>,
}

const ROOT: [&str; 11] = [
    "days",
    "seed",
    "members",
    "start",
    "bin",
    "air",
    "parts",
    "worms",
    "actions",
    "observations",
    "note",
];

const DAYS: Bound = Bound {
    name: "days",
    unit: "days",
    low: 1.0,
    high: MOST_DAYS as f64,
    why: "two years",
};
const MEMBERS: Bound = Bound {
    name: "members",
    unit: "members",
    low: 1.0,
    high: MOST_MEMBERS as f64,
    why: "more say the same, later",
};
const SEED: Bound = Bound {
    name: "seed",
    unit: "",
    low: 0.0,
    high: 9_007_199_254_740_991.0,
    why: "a whole number this file can hold exactly",
};
/// Seed and members when the file gives none.
const USUAL_SEED: f64 = 20.0;
const USUAL_MEMBERS: f64 = 1000.0;

/// What the tables of a file are read with.
struct Context<'a> {
    tables: &'a Tables,
    start: Option<Date>,
    days: f64,
    bin: &'a BinDescription,
}

impl Context<'_> {
    /// Notes at `key` what keeps an entry from being used: an amount that the
    /// bin cannot hold, too.
    fn usable(&self, t: &Table<'_, '_>, key: &str, body: &Body) -> Option<()> {
        let used = engine::estimate::usable(self.tables, &Own::new(), Some(self.bin), body);
        used.map_err(|e| t.say(key, format!("`{key}`: {e}"))).ok()
    }
}

/// Reads a file, or lists every fault in it.
pub(in crate::command) fn read(tables: &Tables, name: &str, text: &str) -> Result<Asked, Fault> {
    let file = File::new(name, text);
    let Some(whole) = file.parse() else {
        return Err(Fault::Input(file.faults()));
    };
    let root = file.root(&whole);
    root.only(&ROOT);
    let start = start(&root);
    if !root.has("days") {
        root.missing("days", "give the number of days to run, such as 90");
    }
    let days = whole_number(&root, "days", &DAYS).unwrap_or(DAYS.high);
    let bin = place::bin(usual_tote(tables)?, &root);
    let context = Context {
        tables,
        start,
        days,
        bin: &bin,
    };
    let (air, usual) = place::air(&root, usual_swing(tables)?);
    let parts = filled(&context, &root);
    let mut happenings = happenings::worms(&context, &root);
    happenings.extend(happenings::actions(&context, &root));
    happenings.extend(happenings::observations(&context, &root));
    let seed = whole_number(&root, "seed", &SEED).unwrap_or(USUAL_SEED);
    let members = whole_number(&root, "members", &MEMBERS).unwrap_or(USUAL_MEMBERS);
    let work = happenings.len() * members as usize;
    if work > MOST_WORK {
        root.say(
            "members",
            format!(
                "{} happenings with {members} members are too many to play; with so many happenings at most {} members",
                happenings.len(),
                MOST_WORK / happenings.len().max(1)
            ),
        );
    }
    if root.has("note") {
        let _ = root.text("note");
    }
    if !file.is_sound() {
        return Err(Fault::Input(file.faults()));
    }
    Ok(Asked {
        scenario: Scenario {
            bin,
            parts,
            air,
            usual,
            happenings,
            days: days as u32,
            seed: seed as u64,
            members: members as usize,
        },
        start,
    })
}

/// What the bin is filled with; must be a bed as a whole, and one it can hold.
fn filled(c: &Context<'_>, root: &Table<'_, '_>) -> Vec<Part> {
    let list = parts::from_file(c.tables, root, "parts");
    let given = root.tables("parts");
    if list.is_empty() || given.len() != list.len() {
        return list;
    }
    if let Err(e) = engine::bed::fill::ready_bed(c.tables, &list, &Own::new()) {
        root.say("parts", e.to_string());
        return list;
    }
    // The part with which it is too much.
    for (n, table) in given.iter().enumerate() {
        let parts = list.iter().take(n + 1).cloned().collect();
        if c.usable(table, "amount", &Body::Filled { parts }).is_none() {
            break;
        }
    }
    list
}

/// The date of day 0.
fn start(root: &Table<'_, '_>) -> Option<Date> {
    let typed = root.text("start")?;
    let date = typed.parse::<Date>().ok();
    if date.is_none() {
        root.say(
            "start",
            format!("`start` is \"{typed}\"; give a date in quotes such as \"2026-03-01\""),
        );
    }
    date
}

fn whole_number(t: &Table<'_, '_>, key: &str, bound: &Bound) -> Option<f64> {
    let value = t.number(key, bound)?;
    if value.fract() != 0.0 {
        t.say(
            key,
            format!(
                "`{key}` is {value}; give a whole number from {} to {}",
                bound.low, bound.high
            ),
        );
        return None;
    }
    Some(value)
}

/// The day of something: `day`, or `date` after `start`.
fn day(c: &Context<'_>, t: &Table<'_, '_>, key: &str, date_key: &str) -> Option<f64> {
    let within = Bound {
        name: "day",
        unit: "days after filling",
        low: 0.0,
        high: c.days,
        why: "from filling to the last day run",
    };
    if t.has(key) && t.has(date_key) {
        t.say(date_key, format!("give either `{key}` or `{date_key}`"));
    }
    if !t.has(date_key) {
        return t.number(key, &within);
    }
    let typed = t.text(date_key)?;
    let Ok(date) = typed.parse::<Date>() else {
        t.say(
            date_key,
            format!("`{date_key}` is \"{typed}\"; give a date such as \"2026-03-01\""),
        );
        return None;
    };
    let Some(start) = c.start else {
        t.say(
            date_key,
            format!("`{date_key}` needs `start`, the date of day 0, at the top of the file"),
        );
        return None;
    };
    let days = (date.duration_since(start).as_hours() / 24) as f64;
    match within.check(days) {
        Ok(days) => Some(days),
        Err(e) => {
            t.say(date_key, format!("`{date_key}` \"{typed}\": {e}"));
            None
        }
    }
}

fn entry(day: f64, body: Body) -> Happening {
    Happening {
        day,
        what: What::Entry(body),
    }
}

/// One of a fixed list of words.
fn word<'w, T: Copy>(t: &Table<'_, '_>, key: &str, known: &[(&'w str, T)]) -> Option<T> {
    let typed = t.text(key)?;
    let asked = crate::command::figures::slug(typed);
    let found = known.iter().find(|(name, _)| *name == asked);
    if found.is_none() {
        let names: Vec<&'w str> = known.iter().map(|(name, _)| *name).collect();
        t.say(
            key,
            format!("`{key}` is \"{typed}\"; give one of {}", names.join(", ")),
        );
    }
    found.map(|(_, value)| *value)
}

/// Worms are in grams or numbers.
const GRAMS: Bound = bounds::WORMS_GRAMS;
const COUNT: Bound = bounds::WORM_COUNT;
