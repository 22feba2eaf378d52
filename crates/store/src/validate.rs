//! What a log entry may say. Numbers are held to the ranges of
//! [`engine::bounds`]; texts and lists have the lengths below. Input is refused
//! with a reason, never repaired.

use crate::StoreError;
use engine::bounds::{
    AMOUNT_GRAMS, AMOUNT_NUMBER, BIN_CM, BIN_DEPTH_CM, BIN_KG, Bound, EC_MS_CM, HOURS,
    LITRES_SEARCHED, LOGGED_CELSIUS, MOISTURE_PERCENT, NEUTRALISING_PERCENT, PARTICLE_MM, PH,
    SPOTS, WORM_COUNT, WORMS_GRAMS,
};
use engine::log::{
    BinDescription, Body, Dose, JarTest, Measured, Part, Reading, ShedItem, TrayTest, Word,
};

/// 1990-01-01 00:00 UTC [s since 1970-01-01 00:00 UTC].
pub(crate) const TIME_LOW: i64 = 631_152_000;
/// Last second of 2199 UTC [s since 1970-01-01 00:00 UTC].
pub(crate) const TIME_HIGH: i64 = 7_258_118_399;

/// Longest name, place, key or zone [characters].
pub const NAME_LONG: usize = 80;
/// Longest value of a setting [characters].
const VALUE_LONG: usize = 1_000;
/// Longest free text [characters].
const TEXT_LONG: usize = 10_000;
/// Longest list (parts, words, jars, own values).
pub(crate) const LIST_LONG: usize = 100;

/// Check that an entry can be taken into the log: every number in its range,
/// names not empty, texts and lists not endless, and the whole readable again
/// as it was written. Whether the bin or the corrected entry is there is
/// checked when the entry is appended.
///
/// # Errors
/// [`StoreError::Bound`] naming field, value, unit and allowed range, or
/// [`StoreError::Invalid`] naming the field and what is wrong with it.
pub fn validate(body: &Body) -> Result<(), StoreError> {
    match body {
        Body::Bin(bin) => description(bin)?,
        Body::Filled { parts } | Body::BeddingAdded { parts } | Body::Feeding { parts } => {
            parts_list(parts)?;
        }
        Body::Reading(given) => reading(given)?,
        Body::Observation { words, text } => observation(words, text)?,
        Body::Dose(Dose { material, .. }) => name("dose material", material)?,
        // Amounts are checked where they are read back, below.
        Body::Water { .. } | Body::Drain { .. } | Body::Harvest { .. } | Body::Turned => {}
        Body::WormsIn { grams, count, .. } => worms_in(*grams, *count)?,
        Body::WormCount {
            found,
            litres_searched,
            grams,
            ball,
        } => worm_count(*found, *litres_searched, *grams, *ball)?,
        Body::Move { place } => name("place", place)?,
        Body::JarTest(test) => jar_test(test)?,
        Body::TrayTest(test) => tray_test(test)?,
        Body::Note { text } => note(text)?,
        Body::Shed(item) => shed(item)?,
        Body::Setting {
            name: setting,
            value,
        } => {
            name("setting name", setting)?;
            text_within("setting value", value, VALUE_LONG)?;
        }
        Body::Correction { .. } => correction(body)?,
        _ => {
            return Err(StoreError::invalid(
                "entry",
                "is of a kind the store has no rule for",
            ));
        }
    }
    reads_back(body)
}

/// Which list of an entry that stands in a file is longer than any that is
/// taken in, and how long it is; what is shown would take as long as it likes.
pub(crate) fn endless_list(body: &Body) -> Option<(&'static str, usize)> {
    let (what, count) = match body {
        Body::Filled { parts } | Body::BeddingAdded { parts } | Body::Feeding { parts } => {
            ("parts", parts.len())
        }
        Body::Reading(reading) => ("spots", reading.spots.len()),
        Body::Observation { words, .. } => ("words", words.len()),
        Body::JarTest(test) => ("jars", test.jars.len()),
        Body::Shed(item) => ("own values", item.own.len()),
        Body::Correction {
            replacement: Some(new),
            ..
        } => return endless_list(new),
        _ => return None,
    };
    (count > LIST_LONG).then_some((what, count))
}

fn description(bin: &BinDescription) -> Result<(), StoreError> {
    name("bin name", &bin.name)?;
    number("inner length", &BIN_CM, bin.length_cm)?;
    number("inner width", &BIN_CM, bin.width_cm)?;
    number("inner depth", &BIN_DEPTH_CM, bin.depth_cm)?;
    let bedding = Bound {
        name: "bedding depth",
        unit: "cm",
        low: 0.0,
        high: bin.depth_cm,
        why: "bedding is no deeper than its bin",
    };
    optional("depth of bedding", &bedding, bin.bedding_depth_cm)?;
    line("place", &bin.place)
}

fn parts_list(parts: &[Part]) -> Result<(), StoreError> {
    list("list of parts", parts.len())?;
    (1..).zip(parts).try_for_each(|(place, p)| part(place, p))
}

fn part(place: usize, part: &Part) -> Result<(), StoreError> {
    name(&format!("material of part {place}"), &part.material)?;
    optional(&format!("part {place}"), &PH, part.ph)?;
    optional(
        &format!("part {place}"),
        &MOISTURE_PERCENT,
        part.moisture_percent,
    )
}

fn reading(reading: &Reading) -> Result<(), StoreError> {
    let bound = match reading.what {
        Measured::Ph => PH,
        Measured::BeddingCelsius | Measured::AirCelsius => LOGGED_CELSIUS,
        Measured::EcMsCm => EC_MS_CM,
        Measured::MoisturePercent => MOISTURE_PERCENT,
        Measured::BinKg => BIN_KG,
        _ => {
            return Err(StoreError::invalid(
                "reading",
                "is of something the store has no rule for",
            ));
        }
    };
    // A count this small is exact in an f64.
    number("reading", &SPOTS, reading.spots.len() as f64)?;
    for (n, value) in reading.spots.iter().enumerate() {
        number(&format!("reading at spot {}", n + 1), &bound, *value)?;
    }
    name("instrument", &reading.instrument)?;
    free("reading text", &reading.text)
}

fn observation(words: &[Word], text: &str) -> Result<(), StoreError> {
    if words.is_empty() && text.trim().is_empty() {
        return Err(StoreError::invalid(
            "observation",
            "is empty; choose a word or write a text",
        ));
    }
    at_most("list of words", words.len())?;
    free("observation text", text)
}

fn note(text: &str) -> Result<(), StoreError> {
    if text.trim().is_empty() {
        return Err(StoreError::invalid("note", "is empty; write a text"));
    }
    free("note", text)
}

fn worm_count(
    found: f64,
    litres_searched: Option<f64>,
    grams: Option<f64>,
    ball: bool,
) -> Result<(), StoreError> {
    number("worms found", &WORM_COUNT, found)?;
    optional("worms found", &WORMS_GRAMS, grams)?;
    if ball && grams.is_none() {
        return Err(StoreError::invalid(
            "ball of worms",
            "has no mass; give its grams",
        ));
    }
    optional(
        "litres of bedding looked through",
        &LITRES_SEARCHED,
        litres_searched,
    )
}

fn worms_in(grams: Option<f64>, count: Option<f64>) -> Result<(), StoreError> {
    if grams.is_none() && count.is_none() {
        return Err(StoreError::invalid(
            "worms put in",
            "has neither mass nor number; give one",
        ));
    }
    optional("worms put in", &WORMS_GRAMS, grams)?;
    optional("worms put in", &WORM_COUNT, count)
}

fn jar_test(test: &JarTest) -> Result<(), StoreError> {
    number(
        "wet bedding in each jar",
        &AMOUNT_GRAMS,
        test.wet_bedding_grams,
    )?;
    name("jar test material", &test.material)?;
    number("jar test", &HOURS, test.hours)?;
    name("instrument", &test.instrument)?;
    list("list of jars", test.jars.len())?;
    for (n, jar) in test.jars.iter().enumerate() {
        number(&format!("lime in jar {}", n + 1), &AMOUNT_GRAMS, jar.grams)?;
        number(&format!("jar {}", n + 1), &PH, jar.ph)?;
    }
    Ok(())
}

fn tray_test(test: &TrayTest) -> Result<(), StoreError> {
    number("worms on the line", &WORM_COUNT, f64::from(test.worms))?;
    number("tray test", &HOURS, test.hours)?;
    let found = [test.in_suspect, test.in_trusted, test.dead_or_missing];
    let found: u64 = found.iter().copied().map(u64::from).sum();
    if found != u64::from(test.worms) {
        let put = test.worms;
        return Err(StoreError::invalid(
            "tray test",
            format!(
                "accounts for {found} worms of {put}; the two halves and the dead or missing must add up to {put}"
            ),
        ));
    }
    Ok(())
}

fn shed(item: &ShedItem) -> Result<(), StoreError> {
    name("shed material", &item.material)?;
    line("own name of the material", &item.called)?;
    at_most("list of own values", item.own.len())?;
    for (property, value) in &item.own {
        name("name of an own value", property)?;
        let bound = match property.as_str() {
            "ph" => PH,
            "moisture_percent" => MOISTURE_PERCENT,
            "neutralising_percent" => NEUTRALISING_PERCENT,
            "grams_per_cup" => AMOUNT_GRAMS,
            property if property.ends_with("_mm") => PARTICLE_MM,
            _ => AMOUNT_NUMBER,
        };
        number(&format!("own value `{property}`"), &bound, *value)?;
    }
    Ok(())
}

fn correction(body: &Body) -> Result<(), StoreError> {
    let Body::Correction {
        replacement,
        at_unix_seconds,
        reason,
        ..
    } = body
    else {
        return Ok(());
    };
    free("reason", reason)?;
    if let Some(at) = at_unix_seconds {
        time("corrected time", *at)?;
    }
    match replacement.as_deref() {
        Some(Body::Correction { .. }) => Err(StoreError::invalid(
            "correction",
            "cannot have a correction as replacement; correct the entry itself",
        )),
        Some(inner) => validate(inner),
        None => Ok(()),
    }
}

/// What is written must be what is read: an amount whose text cannot be read
/// again, or a number JSON cannot carry, is refused here.
fn reads_back(body: &Body) -> Result<(), StoreError> {
    let text =
        serde_json::to_string(body).map_err(|e| StoreError::invalid("entry", e.to_string()))?;
    match serde_json::from_str::<Body>(&text) {
        Ok(back) if back == *body => Ok(()),
        Ok(_) => Err(StoreError::invalid(
            "entry",
            format!("would not be read back as it is: {}", engine::echo(&text)),
        )),
        Err(error) => Err(StoreError::invalid(
            "entry",
            format!("could not be read back: {error}"),
        )),
    }
}

pub(crate) fn time(what: &'static str, value: i64) -> Result<(), StoreError> {
    if (TIME_LOW..=TIME_HIGH).contains(&value) {
        return Ok(());
    }
    Err(StoreError::Time {
        what,
        value,
        low: TIME_LOW,
        high: TIME_HIGH,
    })
}

pub(crate) fn zone(zone: &str) -> Result<(), StoreError> {
    let fits = |c: char| c.is_ascii_alphanumeric() || "/_+-:".contains(c);
    if zone.len() <= NAME_LONG
        && zone.starts_with(|c: char| c.is_ascii_alphabetic())
        && zone.chars().all(fits)
    {
        return Ok(());
    }
    Err(StoreError::invalid(
        format!(
            "time zone `{}`",
            engine::echo(&zone.escape_debug().to_string())
        ),
        "is not a zone name such as `Europe/Paris` or `UTC`",
    ))
}

fn number(what: &str, bound: &Bound, value: f64) -> Result<(), StoreError> {
    match bound.check(value) {
        Ok(_) => Ok(()),
        Err(problem) => Err(StoreError::Bound {
            what: what.to_owned(),
            problem,
        }),
    }
}

fn optional(what: &str, bound: &Bound, value: Option<f64>) -> Result<(), StoreError> {
    value.map_or(Ok(()), |value| number(what, bound, value))
}

/// One line that says something.
pub(crate) fn name(what: &str, text: &str) -> Result<(), StoreError> {
    if text.trim().is_empty() {
        return Err(StoreError::invalid(what, "is empty"));
    }
    if text.chars().all(|c| c.is_whitespace() || is_unseen(c)) {
        let problem = "has no character that can be seen; write one that has";
        return Err(StoreError::invalid(what, problem));
    }
    line(what, text)
}

/// A character that takes no room and leaves no mark.
fn is_unseen(c: char) -> bool {
    matches!(
        c,
        '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}'
    )
}

/// One line, perhaps empty.
fn line(what: &str, text: &str) -> Result<(), StoreError> {
    if text.chars().any(char::is_control) {
        return Err(StoreError::invalid(
            what,
            "holds a line break or control character; write one plain line",
        ));
    }
    text_within(what, text, NAME_LONG)
}

fn free(what: &str, text: &str) -> Result<(), StoreError> {
    text_within(what, text, TEXT_LONG)
}

/// What a keeper writes freely is lines of plain text: asked where an entry comes
/// in. What a log holds already stays as it is, and goes out and comes back whole.
///
/// # Errors
/// [`StoreError::Invalid`] naming the text, the character and its place.
pub fn plain_text(body: &Body) -> Result<(), StoreError> {
    match body {
        Body::Note { text } => plain("note", text),
        Body::Observation { text, .. } => plain("observation text", text),
        Body::Reading(reading) => plain("reading text", &reading.text),
        Body::Correction {
            reason,
            replacement,
            ..
        } => {
            plain("reason", reason)?;
            replacement.as_deref().map_or(Ok(()), plain_text)
        }
        _ => Ok(()),
    }
}

fn plain(what: &str, text: &str) -> Result<(), StoreError> {
    let ends_line = |at: usize| text[at..].starts_with("\r\n");
    let odd = |(at, c): &(usize, char)| c.is_control() && !"\n\t".contains(*c) && !ends_line(*at);
    let Some((at, c)) = text.char_indices().find(odd) else {
        return Ok(());
    };
    Err(StoreError::invalid(
        what,
        format!(
            "holds the control character U+{:04X} as character {}; write plain text",
            u32::from(c),
            text[..at].chars().count() + 1
        ),
    ))
}

fn text_within(what: &str, text: &str, most: usize) -> Result<(), StoreError> {
    let long = text.chars().count();
    if long <= most {
        return Ok(());
    }
    Err(StoreError::invalid(
        what,
        format!("is {long} characters long; at most {most} are taken"),
    ))
}

fn list(what: &str, long: usize) -> Result<(), StoreError> {
    if long == 0 {
        return Err(StoreError::invalid(what, "is empty"));
    }
    at_most(what, long)
}

fn at_most(what: &str, long: usize) -> Result<(), StoreError> {
    if long <= LIST_LONG {
        return Ok(());
    }
    Err(StoreError::invalid(
        what,
        format!("has {long} items; at most {LIST_LONG} are taken"),
    ))
}
