//! A quick entry of the log, read from its form.

use super::{
    Check, Faults, amount, bounded, known, known_or, material_among, only, part, short, spots,
    yes_or_no,
};
use crate::counter::around::{sentence, units_of};
use crate::desk::Desk;
use crate::report::Units;
use crate::web::Fields;
use engine::bounds::{self, Bound};
use engine::living::species::Species;
use engine::log::{Applied, Body, Dose, Measured, Part, Place, Reading, Word};
use engine::measure::fahrenheit as as_fahrenheit;
use engine::table::Material;

/// Fields of each kind of entry besides those that go along with any, and
/// whether it has parts in rows.
const OWN_FIELDS: [(&str, &[&str], bool); 14] = [
    (
        "reading",
        &["what", "spots", "instrument", "place", "text"],
        false,
    ),
    ("observation", &["word", "text"], false),
    ("feeding", &[], true),
    ("bedding_added", &[], true),
    ("filled", &[], true),
    ("dose", &["material", "amount", "how"], false),
    ("water", &["amount", "soft"], false),
    ("drain", &["amount"], false),
    ("harvest", &["amount"], false),
    ("worms_in", &["grams", "count", "species"], false),
    ("worm_count", &["found", "grams", "ball", "litres"], false),
    ("turned", &[], false),
    ("move", &["place"], false),
    ("note", &["text"], false),
];

/// The body of a quick entry; `kind` names the form.
///
/// # Errors
/// Fields with what is wrong with them.
pub(in crate::counter) fn body(desk: &Desk, fields: &Fields) -> Result<Body, Faults> {
    let mut check = Check::default();
    let kind = fields.get("kind");
    if let Some((_, known, rows)) = OWN_FIELDS.iter().find(|(name, ..)| *name == kind) {
        only(fields, known, *rows, &mut check);
    }
    let body = match kind {
        "reading" => reading(desk, fields, &mut check),
        "observation" => observation(fields, &mut check),
        "feeding" => rows(desk, fields, &mut check).map(|parts| Body::Feeding { parts }),
        "bedding_added" => rows(desk, fields, &mut check).map(|parts| Body::BeddingAdded { parts }),
        "filled" => rows(desk, fields, &mut check).map(|parts| Body::Filled { parts }),
        "dose" => dose(desk, fields, &mut check),
        "water" => water(fields, &mut check),
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
            .map(|text| Body::Note { text: text.into() }),
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

fn water(fields: &Fields, check: &mut Check) -> Option<Body> {
    let amount = check.take("amount", amount(fields, "amount"));
    let soft = check.take("soft", yes_or_no(fields, "soft", false));
    Some(Body::Water {
        amount: amount?,
        soft: soft?,
    })
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
pub(in crate::counter) const ROWS: usize = 6;

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
    let read_in = units_of(desk, fields);
    let values = check.take("spots", in_range(read_in, what, values?))?;
    Some(Body::Reading(Reading {
        what,
        spots: values,
        instrument: instrument?,
        place: place?,
        text: fields.get("text").to_owned(),
        confirmed: fields.get("confirmed") == "yes",
    }))
}

/// Values turned from the keeper's units into the log's, and held to their
/// range. A pH off the scale is left for the questions to catch.
fn in_range(read_in: Units, what: Measured, values: Vec<f64>) -> Result<Vec<f64>, String> {
    bounds::SPOTS
        .check(values.len() as f64)
        .map_err(|e| sentence(&e))?;
    let bound = match what {
        Measured::BeddingCelsius | Measured::AirCelsius => bounds::LOGGED_CELSIUS,
        Measured::EcMsCm => bounds::EC_MS_CM,
        Measured::MoisturePercent => bounds::MOISTURE_PERCENT,
        Measured::BinKg => bounds::BIN_KG,
        _ => return Ok(values),
    };
    let us = read_in == Units::Us;
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
        words.push(word);
    }
    let text = fields.get("text").to_owned();
    if words.is_empty() && text.is_empty() {
        let fault = "Choose at least one word, or write something.".to_owned();
        check.faults.push((String::new(), fault));
        return None;
    }
    let text = text.into();
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
    if let Err(e) = amount.grams(found, desk.tables) {
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
    let litres = check.take(
        "litres",
        bounded(fields, "litres", &bounds::LITRES_SEARCHED),
    )?;
    let ball = check.take("ball", yes_or_no(fields, "ball", false))?;
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
