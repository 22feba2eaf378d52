//! From the fields of a form to what the log holds. Every fault is told with
//! the name of its field; nothing is guessed.

use super::around::sentence;
use crate::desk::Desk;
use crate::web::Fields;
use engine::bounds::{self, Bound};
use engine::living::species::Species;
use engine::log::{Applied, Body, Dose, Measured, Part, PeatLabel, Place, Reading, Word};
use engine::measure::fahrenheit as as_fahrenheit;
use engine::measure::{Amount, System};
use engine::table::Material;
use jiff::civil::DateTime;
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

/// The head of what was typed, for repeating it in a message.
pub(super) fn short(text: &str) -> String {
    let mut head: String = text.chars().take(40).collect();
    if head.len() < text.len() {
        head.push('…');
    }
    head
}

/// A plain number. A comma is refused where it may mean two things.
pub(super) fn number(text: &str) -> Result<f64, String> {
    if text.contains(',') {
        return Err(format!(
            "`{}` has a comma, which may mean a decimal or thousands. Write a point for decimals: 1.5.",
            short(text)
        ));
    }
    match text.trim().parse::<f64>() {
        Ok(n) if n.is_finite() => Ok(n),
        _ => Err(format!("`{}` is not a number.", short(text))),
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
    let named: Vec<&Material> = found.iter().copied().filter(|m| begins(m, asked)).collect();
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

/// Every word asked for begins a word of the material's name or key.
fn begins(material: &Material, asked: &str) -> bool {
    let words = |text: &str| -> Vec<String> {
        text.to_lowercase()
            .split(|c: char| !c.is_alphanumeric())
            .filter(|w| !w.is_empty())
            .map(str::to_owned)
            .collect()
    };
    let named = words(&format!("{} {}", material.key, material.name));
    words(asked)
        .iter()
        .all(|w| named.iter().any(|n| n.starts_with(w.as_str())))
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
    if let Err(e) = amount.grams(found, &desk.tables) {
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

/// A local date and time in the keeper's zone [s since 1970-01-01 00:00 UTC];
/// now when empty.
pub(super) fn when(desk: &Desk, text: &str) -> Result<i64, String> {
    if text.is_empty() {
        return Ok(desk.clock.unix_seconds());
    }
    let unreadable = || {
        format!(
            "`{}` is not a date and time. Write it as 2026-11-24T18:05.",
            short(text)
        )
    };
    let typed: DateTime = text.replace(' ', "T").parse().map_err(|_| unreadable())?;
    let zone = desk.clock.now().time_zone().clone();
    let at = zone.to_zoned_datetime(typed).map_err(|_| unreadable())?;
    Ok(at.timestamp().as_second())
}

/// Minutes a time may lie ahead of the clock without being asked about.
const AHEAD_MINUTES: i64 = 5;

/// Whether a time is in the future by more than a few minutes.
pub(super) fn ahead(desk: &Desk, at: i64) -> bool {
    at > desk.clock.unix_seconds() + AHEAD_MINUTES * 60
}

/// The body of a quick entry; `kind` names the form.
///
/// # Errors
/// Fields with what is wrong with them.
pub(super) fn body(desk: &Desk, fields: &Fields) -> Result<Body, Faults> {
    let mut check = Check::default();
    let body = match fields.get("kind") {
        "reading" => reading(desk, fields, &mut check),
        "observation" => observation(fields, &mut check),
        "feeding" => rows(desk, fields, &mut check).map(|parts| Body::Feeding { parts }),
        "bedding_added" => rows(desk, fields, &mut check).map(|parts| Body::BeddingAdded { parts }),
        "filled" => rows(desk, fields, &mut check).map(|parts| Body::Filled { parts }),
        "dose" => dose(desk, fields, &mut check),
        "water" => check
            .take("amount", amount(fields, "amount"))
            .map(|amount| Body::Water {
                amount,
                soft: fields.get("soft") == "yes",
            }),
        "drain" => check
            .take("amount", amount(fields, "amount"))
            .map(|amount| Body::Drain { amount }),
        "harvest" => check
            .take("amount", amount(fields, "amount"))
            .map(|amount| Body::Harvest { amount }),
        "worms_in" => worms_in(fields, &mut check),
        "worm_count" => worm_count(fields, &mut check),
        "turned" => Some(Body::Turned),
        "move" => said(fields, "place", "Say where it stands now.", &mut check)
            .map(|place| Body::Move { place }),
        "note" => said(fields, "text", "Write something first.", &mut check)
            .map(|text| Body::Note { text }),
        other => {
            let fault = format!("`{}` is not a kind of entry.", short(other));
            check.faults.push((String::new(), fault));
            None
        }
    };
    match body {
        Some(body) if check.faults.is_empty() => Ok(body),
        _ => Err(check.faults),
    }
}

fn said(fields: &Fields, name: &str, fault: &str, check: &mut Check) -> Option<String> {
    let text = fields.get(name);
    let read = if text.is_empty() {
        Err(fault.to_owned())
    } else {
        Ok(text.to_owned())
    };
    check.take(name, read)
}

/// Most parts in one entry.
pub(super) const ROWS: usize = 6;

/// Parts of one entry: the single pair of the quick form, or numbered rows.
fn rows(desk: &Desk, fields: &Fields, check: &mut Check) -> Option<Vec<Part>> {
    let mut list = Vec::new();
    list.extend(part(desk, fields, "", check));
    for n in 1..=ROWS {
        list.extend(part(desk, fields, &n.to_string(), check));
    }
    if list.is_empty() && check.faults.is_empty() {
        let first = if fields.0.iter().any(|(n, _)| n == "material1") {
            "material1"
        } else {
            "material"
        };
        check
            .faults
            .push((first.into(), "Say which material.".into()));
    }
    (!list.is_empty()).then_some(list)
}

fn reading(desk: &Desk, fields: &Fields, check: &mut Check) -> Option<Body> {
    let what: Measured = check.take("what", known(fields.get("what"), "what was measured"))?;
    let values = check.take("spots", spots(fields.get("spots")));
    let place: Option<Place> = check.take("place", known_or(fields.get("place"), "a place"));
    let key = fields.get("instrument");
    let instrument = if what == Measured::Ph {
        let found = desk.tables.instrument(key).map(|i| i.key.clone());
        check.take(
            "instrument",
            found.map_err(|_| "Choose the instrument or method from the list.".to_owned()),
        )
    } else {
        Some("own".to_owned())
    };
    let values = check.take("spots", in_range(desk, what, values?))?;
    Some(Body::Reading(Reading {
        what,
        spots: values,
        instrument: instrument?,
        place: place?,
        text: fields.get("text").to_owned(),
        confirmed: fields.get("confirmed") == "yes",
    }))
}

/// Gross mass of a bin [kg].
const BIN_KG: Bound = Bound {
    name: "bin mass",
    unit: "kg",
    low: 0.0,
    high: 1000.0,
    why: bounds::AMOUNT_GRAMS.why,
};

/// Values turned from the keeper's units into the log's, and held to their
/// range. A pH off the scale is left for the questions to catch.
fn in_range(desk: &Desk, what: Measured, values: Vec<f64>) -> Result<Vec<f64>, String> {
    bounds::SPOTS
        .check(values.len() as f64)
        .map_err(|e| sentence(&e))?;
    let bound = match what {
        Measured::BeddingCelsius | Measured::AirCelsius => bounds::LOGGED_CELSIUS,
        Measured::EcMsCm => bounds::EC_MS_CM,
        Measured::MoisturePercent => bounds::MOISTURE_PERCENT,
        Measured::BinKg => BIN_KG,
        _ => return Ok(values),
    };
    let us = desk.system() == System::Us;
    values
        .into_iter()
        .map(|typed| match (what, us) {
            (Measured::BeddingCelsius | Measured::AirCelsius, true) => fahrenheit(typed, &bound),
            (Measured::BinKg, true) => bound.check(typed * 0.453_592_37).map_err(|_| {
                format!("Bin mass `{typed}` lb is outside the allowed range 0 to 2204 lb.")
            }),
            _ => bound.check(typed).map_err(|e| sentence(&e)),
        })
        .collect()
}

/// A temperature typed in °F, in °C.
fn fahrenheit(typed: f64, bound: &Bound) -> Result<f64, String> {
    let celsius = ((typed - 32.0) / 1.8 * 100.0).round() / 100.0;
    bound.check(celsius).map_err(|_| {
        format!(
            "Temperature `{typed}` °F is outside the allowed range {:.0} to {:.0} °F ({}).",
            as_fahrenheit(bound.low),
            as_fahrenheit(bound.high),
            bound.why
        )
    })
}

fn observation(fields: &Fields, check: &mut Check) -> Option<Body> {
    let mut words: Vec<Word> = Vec::new();
    for sent in fields.all("word") {
        if sent.is_empty() {
            continue;
        }
        let word = check.take("word", known(sent, "words"))?;
        if !words.contains(&word) {
            words.push(word);
        }
    }
    let text = fields.get("text").to_owned();
    if words.is_empty() && text.is_empty() {
        let fault = "Choose at least one word, or write something.".to_owned();
        check.faults.push((String::new(), fault));
        return None;
    }
    Some(Body::Observation { words, text })
}

fn dose(desk: &Desk, fields: &Fields, check: &mut Check) -> Option<Body> {
    let product = |m: &Material| desk.tables.product(&m.key).is_ok();
    let found = check.take(
        "material",
        material_among(desk, fields.get("material"), product),
    );
    let much = check.take("amount", amount(fields, "amount"));
    let how: Option<Applied> = check.take("how", known_or(fields.get("how"), "how it was given"));
    let (found, amount) = (found?, much?);
    if desk.tables.product(&found.key).is_err() {
        let fault = format!(
            "{} is not a liming or acid material. Write it under bedding or food instead.",
            found.name
        );
        check.faults.push(("material".into(), fault));
        return None;
    }
    if let Err(e) = amount.grams(found, &desk.tables) {
        check.faults.push(("amount".into(), sentence(&e)));
        return None;
    }
    Some(Body::Dose(Dose {
        material: found.key.clone(),
        amount,
        how: how?,
    }))
}

fn worm_count(fields: &Fields, check: &mut Check) -> Option<Body> {
    let found = check.take("found", bounded(fields, "found", &bounds::WORM_COUNT))?;
    let grams = check.take("grams", bounded(fields, "grams", &bounds::WORMS_GRAMS))?;
    let litres = check.take("litres", bounded(fields, "litres", &LITRES_SEARCHED))?;
    let ball = fields.get("ball") == "yes";
    if found.is_none() && grams.is_none() {
        let fault = "Give the number found, or their weight.".to_owned();
        check.faults.push(("found".into(), fault));
        return None;
    }
    if ball && grams.is_none() {
        let fault = "A ball tells something only when it is weighed. Give its weight.".to_owned();
        check.faults.push(("grams".into(), fault));
        return None;
    }
    if ball && litres.is_some() {
        let fault =
            "A ball has gathered from further off. Leave the litres empty for it.".to_owned();
        check.faults.push(("litres".into(), fault));
        return None;
    }
    Some(Body::WormCount {
        found: found.unwrap_or(0.0),
        litres_searched: litres,
        grams,
        ball,
    })
}

/// Bedding looked through for worms [L].
const LITRES_SEARCHED: Bound = Bound {
    name: "bedding looked through",
    unit: "L",
    low: 0.01,
    high: 1000.0,
    why: "from a spoonful to a cubic metre",
};

fn worms_in(fields: &Fields, check: &mut Check) -> Option<Body> {
    let grams = check.take("grams", bounded(fields, "grams", &bounds::WORMS_GRAMS))?;
    let count = check.take("count", bounded(fields, "count", &bounds::WORM_COUNT))?;
    if grams.is_none() && count.is_none() {
        let fault = "Give the weight or the number.".to_owned();
        check.faults.push(("grams".into(), fault));
        return None;
    }
    let species = fields.get("species");
    if !species.is_empty() && Species::parse(species).is_none() {
        let fault = "Choose the worms from the list.".to_owned();
        check.faults.push(("species".into(), fault));
        return None;
    }
    Some(Body::WormsIn {
        grams,
        count,
        species: species.to_owned(),
    })
}
