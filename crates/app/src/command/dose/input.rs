//! The file of a bin to be dosed, read into log entries.

use crate::command::figures::{from_key, slug};
use crate::command::parts;
use crate::command::session::Fault;
use crate::command::toml_file::{File, Table};
use crate::typed;
use engine::bounds::{self, Bound};
use engine::estimate::Told;
use engine::log::{
    Applied, BinId, Body, Dose, Entry, EntryId, Measured, Part, Place, Reading, ShedItem,
};
use engine::quantity::Celsius;
use engine::reading::instrument::Instrument;
use engine::reading::question::questions;
use engine::table::Tables;
use std::collections::BTreeMap;

/// The moment a file is answered for [s since 1970-01-01 00:00 UTC]. Only
/// differences of time matter.
pub(super) const NOW: i64 = 946_728_000;
const DAY: f64 = 86_400.0;

/// What a file asks.
pub(in crate::command) struct Asked {
    pub(super) log: Vec<Entry>,
    pub(super) told: Told,
    pub(super) shed: Vec<ShedItem>,
    pub(super) stocked: bool,
    pub(super) temperature: Celsius,
    pub(super) target_ph: Option<f64>,
    /// What is odd about the readings.
    pub(super) questions: Vec<String>,
}

const ROOT: [&str; 5] = ["bin", "readings", "doses", "shed", "target_ph"];
const BIN: [&str; 9] = [
    "parts",
    "material",
    "dry_kg",
    "water_kg",
    "ph",
    "label",
    "stocked",
    "temperature_celsius",
    "filled_days_ago",
];
const READING: [&str; 6] = [
    "ph",
    "instrument",
    "spots",
    "hours_since_dose",
    "days_ago",
    "place",
];
const DOSE: [&str; 4] = ["material", "amount", "how", "days_ago"];
const SHED: [&str; 7] = [
    "material",
    "available",
    "neutralising_percent",
    "particle_mm",
    "grams_per_cup",
    "moisture_percent",
    "ph",
];

const DAYS_AGO: Bound = Bound {
    name: "days ago",
    unit: "days",
    low: 0.0,
    high: 3650.0,
    why: "ten years",
};
/// How long before the first reading or dose a bin was filled when the file
/// does not say [d].
const FILLED_BEFORE_DAYS: f64 = 28.0;

/// Something that happened, days ago.
struct Happened {
    days_ago: f64,
    body: Body,
    told_hours: Option<f64>,
}

/// Reads a file, or lists every fault in it.
pub(in crate::command) fn read(tables: &Tables, name: &str, text: &str) -> Result<Asked, Fault> {
    let file = File::new(name, text);
    let Some(whole) = file.parse() else {
        return Err(Fault::Input(file.faults()));
    };
    let root = file.root(&whole);
    root.only(&ROOT);
    let bin = root.table("bin");
    if !root.has("bin") {
        root.missing("bin", "give a table `[bin]` that says what is in it");
    }
    let filled = bin.as_ref().map_or_else(Vec::new, |b| filled(tables, b));
    let stocked = bin.as_ref().is_some_and(stocked);
    let temperature = bin
        .as_ref()
        .and_then(|b| b.number("temperature_celsius", &bounds::CHEMISTRY_CELSIUS))
        .unwrap_or(crate::command::mix::USUAL_CELSIUS);
    let mut odd = Vec::new();
    let mut events: Vec<Happened> = Vec::new();
    for t in root.tables("readings") {
        events.extend(reading(tables, &t, &file, &mut odd));
    }
    for t in root.tables("doses") {
        events.extend(dose(tables, &t));
    }
    let filled_days = bin
        .as_ref()
        .and_then(|b| filled_days_ago(b, &events))
        .unwrap_or(FILLED_BEFORE_DAYS);
    let shed = shed(tables, &root, &file);
    let target_ph = root.number("target_ph", &bounds::TARGET_PH);
    if !file.is_sound() {
        return Err(Fault::Input(file.faults()));
    }
    let (log, told) = log(filled, filled_days, stocked, events);
    Ok(Asked {
        log,
        told,
        shed,
        stocked,
        temperature: Celsius(temperature),
        target_ph,
        questions: odd,
    })
}

/// What is in the bin: parts, or a dry mass of one material.
fn filled(tables: &Tables, bin: &Table<'_, '_>) -> Vec<Part> {
    bin.only(&BIN);
    let by_mass = ["material", "dry_kg", "water_kg", "ph", "label"];
    if bin.has("parts") {
        for key in by_mass.iter().filter(|k| bin.has(k)) {
            bin.say(
                key,
                format!("give either `[[bin.parts]]` or `{key}` in `[bin]`, not both"),
            );
        }
        return parts::from_file(tables, bin, "parts");
    }
    if !bin.has("dry_kg") && !bin.has("material") {
        bin.missing("parts", "give `[[bin.parts]]`, or `material` and `dry_kg`");
        return Vec::new();
    }
    let key = parts::material(tables, bin, false);
    if !bin.has("dry_kg") {
        bin.missing("dry_kg", "give the dry bedding in kilograms");
    }
    let dry = bin.number("dry_kg", &parts::DRY_KG);
    match (key, dry) {
        (Some(key), Some(dry)) => parts::from_dry_mass(tables, bin, dry, &key)
            .into_iter()
            .collect(),
        _ => Vec::new(),
    }
}

fn stocked(bin: &Table<'_, '_>) -> bool {
    if !bin.has("stocked") {
        bin.missing("stocked", "say `true` when worms are in, `false` when not");
    }
    bin.truth("stocked").unwrap_or(false)
}

fn filled_days_ago(bin: &Table<'_, '_>, events: &[Happened]) -> Option<f64> {
    let first = events.iter().map(|e| e.days_ago).fold(0.0, f64::max);
    if !bin.has("filled_days_ago") {
        return Some(first + FILLED_BEFORE_DAYS);
    }
    let days = bin.number("filled_days_ago", &DAYS_AGO)?;
    if days < first {
        bin.say(
            "filled_days_ago",
            format!("[bin] `filled_days_ago` is {days}, but something happened in the bin {first} days ago"),
        );
    }
    Some(days)
}

fn reading(
    tables: &Tables,
    t: &Table<'_, '_>,
    file: &File<'_>,
    odd: &mut Vec<String>,
) -> Option<Happened> {
    t.only(&READING);
    if !t.has("ph") {
        t.missing("ph", "give the value read, or a list with one value a spot");
    }
    let instrument = instrument(tables, t);
    let hours = t.number("hours_since_dose", &bounds::HOURS);
    let days_ago = t.number("days_ago", &DAYS_AGO).unwrap_or(0.0);
    let place = place(t).unwrap_or_default();
    let spots = t.number("spots", &bounds::SPOTS);
    let values = t.numbers("ph")?;
    let counted = counted(t, spots, values.len())?;
    let typed: Vec<f64> = values.iter().map(|(_, v)| *v).collect();
    let any = Instrument::from_tables(tables, "lab").ok();
    for (at, value) in &values {
        for q in any.iter().flat_map(|i| questions(&[*value], i, None)) {
            if q.refuses() {
                file.say(*at, q.text());
            }
        }
    }
    let instrument = instrument?;
    let asked = questions(&typed, &instrument, None);
    odd.extend(asked.iter().filter(|q| !q.refuses()).map(|q| q.text()));
    let spots = match typed.as_slice() {
        [mean] if counted > 1 => spread(*mean, counted, &instrument),
        _ => typed,
    };
    Some(Happened {
        days_ago,
        body: Body::Reading(Reading {
            what: Measured::Ph,
            spots,
            instrument: instrument.key,
            place,
            text: String::new(),
            confirmed: false,
        }),
        told_hours: hours,
    })
}

/// Number of spots behind a reading; must agree with a list of values.
fn counted(t: &Table<'_, '_>, spots: Option<f64>, values: usize) -> Option<usize> {
    let Some(spots) = spots else {
        return Some(values);
    };
    if spots.fract() != 0.0 {
        t.say("spots", format!("`spots` is {spots}; give a whole number"));
        return None;
    }
    // Checked to lie between 1 and 60.
    let spots = spots as usize;
    if values > 1 && values != spots {
        t.say(
            "spots",
            format!("`spots` is {spots}, but `ph` lists {values} values"),
        );
        return None;
    }
    Some(spots)
}

/// A mean of several spots whose scatter is not told, as spots that scatter
/// as much as spots usually do.
fn spread(mean: f64, spots: usize, instrument: &Instrument) -> Vec<f64> {
    let variance = instrument.expected.spot_sd.powi(2) + instrument.noise_sd.powi(2);
    let pairs = spots / 2;
    let off = ((spots - 1) as f64 * variance / (2 * pairs) as f64).sqrt();
    let mut list = Vec::with_capacity(spots);
    for _ in 0..pairs {
        list.extend([mean - off, mean + off]);
    }
    if spots % 2 == 1 {
        list.push(mean);
    }
    list
}

fn place(t: &Table<'_, '_>) -> Option<Place> {
    let typed = t.text("place")?;
    let found = from_key(typed);
    if found.is_none() {
        t.say(
            "place",
            format!("place `{typed}` is not one of spread, top, middle, bottom, edge, food"),
        );
    }
    found
}

fn instrument(tables: &Tables, t: &Table<'_, '_>) -> Option<Instrument> {
    if !t.has("instrument") {
        let known: Vec<&str> = tables
            .instruments()
            .iter()
            .map(|i| i.key.as_str())
            .collect();
        t.missing("instrument", &format!("known are {}", known.join(", ")));
        return None;
    }
    let typed = t.text("instrument")?;
    match find_instrument(tables, typed) {
        Ok(found) => Some(found),
        Err(fault) => {
            t.say("instrument", fault);
            None
        }
    }
}

/// An instrument by key, whole name, or a short word for it.
pub(in crate::command) fn find_instrument(
    tables: &Tables,
    typed: &str,
) -> Result<Instrument, String> {
    const SHORT: [(&str, &str); 11] = [
        ("probe", "two_metal_probe"),
        ("soil_probe", "two_metal_probe"),
        ("pen", "cheap_pen"),
        ("ph_pen", "cheap_pen"),
        ("meter", "cheap_pen"),
        ("ph_meter", "cheap_pen"),
        ("strip", "strips"),
        ("ph_strips", "strips"),
        ("glass", "glass_electrode"),
        ("slurry", "slurry_1_5"),
        ("laboratory", "lab"),
    ];
    let asked = slug(typed);
    let asked = SHORT
        .iter()
        .find(|(short, _)| *short == asked)
        .map_or(asked.as_str(), |(_, key)| *key);
    let named = tables.instruments().iter().find(|i| slug(&i.name) == asked);
    let key = named.map_or(asked, |i| i.key.as_str());
    if !tables.instruments().iter().any(|i| i.key == key) {
        let known: Vec<&str> = tables
            .instruments()
            .iter()
            .map(|i| i.key.as_str())
            .collect();
        return Err(format!(
            "instrument `{}` is not known; known are {}",
            typed::short(typed),
            known.join(", ")
        ));
    }
    Instrument::from_tables(tables, key).map_err(|e| e.to_string())
}

fn dose(tables: &Tables, t: &Table<'_, '_>) -> Option<Happened> {
    t.only(&DOSE);
    let key = parts::material(tables, t, false);
    let amount = parts::amount(t, "amount", true);
    let how = match t.text("how") {
        None => Applied::MixedIn,
        Some(typed) => from_key(typed).unwrap_or_else(|| {
            t.say(
                "how",
                format!(
                    "how `{typed}` is not one of mixed in, on top, poured slurry, poured liquor"
                ),
            );
            Applied::MixedIn
        }),
    };
    let days_ago = t.number("days_ago", &DAYS_AGO);
    if !t.has("days_ago") {
        t.missing("days_ago", "say how many days ago it was given");
    }
    let key = key?;
    if let Err(e) = tables.product(&key) {
        t.say(
            "material",
            format!("it is not a liming or acidifying material: {e}"),
        );
        return None;
    }
    let amount = amount?;
    if let Ok(material) = tables.material(&key)
        && let Err(e) = amount.grams(material, tables)
    {
        t.say("amount", e.to_string());
    }
    Some(Happened {
        days_ago: days_ago?,
        body: Body::Dose(Dose {
            material: key,
            amount,
            how,
        }),
        told_hours: None,
    })
}

fn shed(tables: &Tables, root: &Table<'_, '_>, file: &File<'_>) -> Vec<ShedItem> {
    let mut items: Vec<ShedItem> = Vec::new();
    for t in root.tables("shed") {
        t.only(&SHED);
        let material = parts::material(tables, &t, false);
        let available = parts::amount(&t, "available", false);
        let own = own_values(&t);
        let Some(material) = material else { continue };
        if items.iter().any(|i| i.material == material) {
            file.say(
                t.at("material"),
                format!("`{material}` is in the shed twice"),
            );
            continue;
        }
        if let (Some(amount), Ok(m)) = (available, tables.material(&material))
            && let Err(e) = amount.grams(m, tables)
        {
            t.say("available", e.to_string());
        }
        items.push(ShedItem {
            material,
            called: String::new(),
            available,
            have: true,
            own,
        });
    }
    items
}

fn own_values(t: &Table<'_, '_>) -> BTreeMap<String, f64> {
    let known: [(&str, Bound); 5] = [
        ("neutralising_percent", bounds::NEUTRALISING_PERCENT),
        ("particle_mm", bounds::PARTICLE_MM),
        ("grams_per_cup", bounds::GRAMS_PER_CUP),
        ("moisture_percent", bounds::MOISTURE_PERCENT),
        ("ph", bounds::BEDDING_PH),
    ];
    known
        .iter()
        .filter_map(|(key, bound)| Some(((*key).to_owned(), t.number(key, bound)?)))
        .collect()
}

/// Entries in order of time, and the hours told between doses and readings.
fn log(
    parts: Vec<Part>,
    filled_days: f64,
    stocked: bool,
    mut events: Vec<Happened>,
) -> (Vec<Entry>, Told) {
    events.sort_by(|a, b| b.days_ago.total_cmp(&a.days_ago));
    let mut all = vec![Happened {
        days_ago: filled_days,
        body: Body::Filled { parts },
        told_hours: None,
    }];
    if stocked {
        all.push(Happened {
            days_ago: filled_days,
            body: Body::WormsIn {
                grams: None,
                count: None,
                species: String::new(),
            },
            told_hours: None,
        });
    }
    all.extend(events);
    let mut told = Told::new();
    let mut log = Vec::with_capacity(all.len());
    for (id, event) in (1..).map(EntryId).zip(all) {
        let at = NOW - (event.days_ago * DAY) as i64;
        if let Some(hours) = event.told_hours {
            told.insert(id, hours);
        }
        log.push(Entry {
            id,
            bin: Some(BinId(1)),
            at_unix_seconds: at,
            zone: "UTC".to_owned(),
            written_unix_seconds: at,
            body: event.body,
        });
    }
    (log, told)
}
