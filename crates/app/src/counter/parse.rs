//! From the fields of a form to what the log holds. Every fault is told with
//! the name of its field; nothing is guessed.

mod entry;
mod time;

pub(super) use entry::{ROWS, body};
pub(super) use time::{offer_times, when, without_time};

use super::around::sentence;
use crate::desk::Desk;
pub(super) use crate::typed::{number, short};
use crate::web::{Fields, OF_A_PART, SHOWN_IN};
use engine::bounds::{self, Bound};
use engine::log::{Part, PeatLabel};
use engine::measure::Amount;
use engine::table::Material;
use serde::de::DeserializeOwned;

/// Names of fields, each with what is wrong with it.
pub(super) type Faults = Vec<(String, String)>;

/// Collects faults while the rest of a form is still read.
#[derive(Debug, Default)]
pub(super) struct Check {
    /// The faults so far.
    pub(super) faults: Faults,
}

impl Check {
    /// The value, or its fault noted under `field`.
    pub(super) fn take<T>(&mut self, field: &str, read: Result<T, String>) -> Option<T> {
        match read {
            Ok(value) => Some(value),
            Err(fault) => {
                self.faults.push((field.to_owned(), fault));
                None
            }
        }
    }
}

/// One word of the log's own, as sent by chips and lists.
pub(super) fn known<T: DeserializeOwned>(text: &str, what: &str) -> Result<T, String> {
    serde_json::from_value(serde_json::Value::String(text.to_owned())).map_err(|_| {
        format!(
            "Choose {what} from the list; `{}` is not on it.",
            short(text)
        )
    })
}

/// As [`known`], with what is taken when nothing was chosen.
fn known_or<T: DeserializeOwned + Default>(text: &str, what: &str) -> Result<T, String> {
    if text.is_empty() {
        return Ok(T::default());
    }
    known(text, what)
}

/// Fields that go along with any form.
const ALONG: [&str; 4] = ["kind", "once", "confirmed", SHOWN_IN];
/// Fields that go along with any entry that says when it happened.
const OF_AN_ENTRY: [&str; 3] = ["when", "which_time", "reason"];

/// Notes fields that were sent and that nobody reads: a slip in a name must
/// not lose what was typed. `known` are the form's own; `rows` says that it
/// has parts in rows.
pub(super) fn only(fields: &Fields, known: &[&str], rows: bool, check: &mut Check) {
    let known: Vec<&str> = known.iter().chain(&OF_AN_ENTRY).copied().collect();
    only_these(fields, &known, rows, check);
}

/// As [`only`], for a form that does not ask when.
pub(super) fn only_these(fields: &Fields, known: &[&str], rows: bool, check: &mut Check) {
    let of_a_row = |name: &str| {
        let stem = name.trim_end_matches(|c: char| c.is_ascii_digit());
        rows && name.len() <= stem.len() + 1 && OF_A_PART.contains(&stem)
    };
    for (name, _) in &fields.0 {
        let name = name.as_str();
        if !(known.contains(&name) || ALONG.contains(&name) || of_a_row(name)) {
            let fault = format!("`{}` is not a field of this form.", short(name));
            check.faults.push((String::new(), fault));
        }
    }
    if let Err(fault) = yes_or_no(fields, "confirmed", false) {
        check.faults.push((String::new(), fault));
    }
}

/// One of two words of a form; `usual` when neither was sent.
pub(super) fn yes_or_no(fields: &Fields, name: &str, usual: bool) -> Result<bool, String> {
    match fields.get(name) {
        "" => Ok(usual),
        "yes" => Ok(true),
        "no" => Ok(false),
        other => Err(format!(
            "`{}` is neither yes nor no. Choose one of the two.",
            short(other)
        )),
    }
}

/// A number within a range; `None` when the field is empty.
pub(super) fn bounded(fields: &Fields, name: &str, bound: &Bound) -> Result<Option<f64>, String> {
    if !fields.has(name) {
        return Ok(None);
    }
    let value = number(fields.get(name))?;
    bound.check(value).map(Some).map_err(|e| sentence(&e))
}

/// A number that must be there, within a range.
pub(super) fn required(fields: &Fields, name: &str, bound: &Bound) -> Result<f64, String> {
    bounded(fields, name, bound)?.ok_or_else(|| {
        format!(
            "Give the {}, {} to {} {}.",
            bound.name, bound.low, bound.high, bound.unit
        )
    })
}

/// An amount that must be there.
pub(super) fn amount(fields: &Fields, name: &str) -> Result<Amount, String> {
    if !fields.has(name) {
        return Err("Say how much, with a unit: 20 L, 500 g, 3 cups.".into());
    }
    Amount::parse(fields.get(name)).map_err(|e| sentence(&e))
}

/// A material by its key, its name, the keeper's own name for it, or a search
/// that leaves only one.
pub(super) fn material<'a>(desk: &'a Desk, text: &str) -> Result<&'a Material, String> {
    material_among(desk, text, |_| true)
}

/// As [`material`]; a search looks only among those that `fits`.
fn material_among<'a>(
    desk: &'a Desk,
    text: &str,
    fits: impl Fn(&Material) -> bool,
) -> Result<&'a Material, String> {
    let asked = text.trim();
    if asked.is_empty() {
        return Err("Say which material.".into());
    }
    let same = |a: &str| a.trim().to_lowercase() == asked.to_lowercase();
    let mut all = desk.tables.materials();
    if let Some(found) = all.find(|m| m.key == asked || same(&m.name)) {
        return Ok(found);
    }
    let shed = desk.shed().unwrap_or_default();
    if let Some(item) = shed.iter().find(|i| same(&i.called)) {
        return desk
            .tables
            .material(&item.material)
            .map_err(|e| sentence(&e));
    }
    if let Some(unfed) = desk.tables.unfed(asked) {
        return Err(unfed.text());
    }
    let mut found = desk.tables.search(asked);
    found.retain(|m| fits(m));
    // Near misses are offered only when nothing is named so.
    let mut named = desk.tables.named(asked);
    named.retain(|m| fits(m));
    if !named.is_empty() {
        found = named;
    }
    match found.as_slice() {
        [one] => Ok(one),
        [] => Err(format!(
            "`{}` is not in the tables. Try a plainer word, or find it under Shed.",
            short(asked)
        )),
        several => {
            let names: Vec<String> = several.iter().take(5).map(|m| m.name.clone()).collect();
            let more = several.len().saturating_sub(names.len());
            let rest = if more > 0 {
                format!(" (and {more} more)")
            } else {
                String::new()
            };
            Err(format!(
                "`{}` may be {}{rest}. Pick one.",
                short(asked),
                names.join("; or ")
            ))
        }
    }
}

/// What and how much, under `material` and `amount` with `suffix`.
/// `None` when both are empty.
fn part(desk: &Desk, fields: &Fields, suffix: &str, check: &mut Check) -> Option<Part> {
    let name = |field: &str| format!("{field}{suffix}");
    let has = |field: &str| fields.has(&name(field));
    if !has("material") && !has("amount") {
        return None;
    }
    let found = material(desk, fields.get(&name("material")));
    let found = check.take(&name("material"), found);
    let much = check.take(&name("amount"), amount(fields, &name("amount")));
    let ph = check.take(
        &name("ph"),
        bounded(fields, &name("ph"), &bounds::BEDDING_PH),
    );
    let moisture = check.take(
        &name("moisture"),
        bounded(fields, &name("moisture"), &bounds::MOISTURE_PERCENT),
    );
    let label: Option<PeatLabel> = check.take(
        &name("label"),
        known_or(fields.get(&name("label")), "what the label says"),
    );
    let (found, amount) = (found?, much?);
    if let Err(e) = amount.grams(found, desk.tables) {
        check.faults.push((name("amount"), sentence(&e)));
        return None;
    }
    Some(Part {
        material: found.key.clone(),
        amount,
        ph: ph?,
        moisture_percent: moisture?,
        label: label?,
    })
}

/// Parts from rows `material1`, `amount1`, `ph1`, `moisture1`, `label1` to
/// `rows`; empty rows are passed over.
///
/// # Errors
/// Fields with what is wrong with them.
pub(super) fn parts(desk: &Desk, fields: &Fields, rows: usize) -> Result<Vec<Part>, Faults> {
    let mut check = Check::default();
    let list = (1..=rows)
        .filter_map(|n| part(desk, fields, &n.to_string(), &mut check))
        .collect();
    if check.faults.is_empty() {
        Ok(list)
    } else {
        Err(check.faults)
    }
}

/// The values of the spots: spaces, semicolons, or a comma and a space
/// between. A bare comma between digits may be a decimal and is refused.
pub(super) fn spots(text: &str) -> Result<Vec<f64>, String> {
    if text.trim().is_empty() {
        return Err("Give the value read at each spot: 5.8 6.1 5.9.".into());
    }
    let between_digits = text
        .as_bytes()
        .windows(3)
        .any(|w| w[1] == b',' && w[0].is_ascii_digit() && w[2].is_ascii_digit());
    if between_digits && !text.contains('.') {
        return Err(format!(
            "`{0}` may be a decimal or two spots. Write a point for decimals and a space between spots: 5.8 6.1.",
            short(text)
        ));
    }
    let split = |c: char| c.is_whitespace() || c == ',' || c == ';';
    text.split(split)
        .filter(|s| !s.is_empty())
        .map(number)
        .collect()
}

/// Minutes a time may lie ahead of the clock without being asked about.
const AHEAD_MINUTES: i64 = 5;

/// Whether a time is in the future by more than a few minutes.
pub(super) fn ahead(desk: &Desk, at: i64) -> bool {
    at > desk.clock.unix_seconds() + AHEAD_MINUTES * 60
}
