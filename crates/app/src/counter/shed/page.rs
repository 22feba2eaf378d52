//! One material: every number with range, status and source.

use super::own::form;
use super::role_word;
use crate::counter::around::{capital, shell};
use crate::counter::cite::{readable, status};
use crate::counter::once;
use crate::desk::Desk;
use crate::report;
use crate::web::widgets::Sources;
use crate::web::{Answer, Fields, MaterialPage, Nav, NumberRow, PageError};
use engine::log::ShedItem;
use engine::measure::{Amount, Unit};
use engine::table::{Material, Number, Property, Role, Status};
use std::collections::BTreeSet;

pub(in crate::counter) fn material(
    desk: &Desk,
    key: &str,
    fields: &Fields,
) -> Answer<MaterialPage> {
    let mut made = page(desk, key)?;
    made.shell = once::told(desk, made.shell, fields);
    Ok(made)
}

/// The page of a material that is in the tables.
pub(super) fn page(desk: &Desk, key: &str) -> Answer<MaterialPage> {
    let Ok(ours) = desk.tables.material(key) else {
        return Err(PageError::not_found("material of that name in the tables")
            .or("/shed", "Back to the shed"));
    };
    let item = item(desk, key);
    let mut values = item.as_ref().map(|i| i.own.clone()).unwrap_or_default();
    let particle = values.remove("particle_mm");
    let own = ours.with_own(&values).unwrap_or_else(|_| ours.clone());
    let mut numbers: Vec<NumberRow> = Property::ALL
        .iter()
        .filter_map(|p| number_row(desk, *p, ours, &own))
        .collect();
    if let Some(mm) = particle {
        numbers.push(NumberRow {
            name: "Particle size".into(),
            value: "a usual spread of sizes".into(),
            range: String::new(),
            status: "by its size classes".into(),
            source: String::new(),
            own: format!("{mm} mm"),
        });
    }
    Ok(MaterialPage {
        shell: shell(desk, &ours.name, Nav::Shed),
        key: key.to_owned(),
        name: ours.name.clone(),
        role: role_word(ours.role).to_owned(),
        about: about(ours),
        numbers,
        measures: measures(desk, &own),
        conflicts: conflicts(desk, ours),
        form: form(desk, ours, item.as_ref()),
        sources: Sources {
            lines: sources(desk, ours),
        },
    })
}

/// What the keeper said of a material last.
pub(super) fn item(desk: &Desk, key: &str) -> Option<ShedItem> {
    let all = desk.shed().unwrap_or_default();
    all.into_iter().find(|i| i.material == key)
}

fn about(m: &Material) -> String {
    let sure = match m.confidence.as_str() {
        "high" => "These numbers are well known.",
        "medium" => "These numbers are fairly well known; measure your own where it matters.",
        _ => "Little is known of these numbers; measure your own where it matters.",
    };
    if m.cautions.is_empty() {
        return sure.to_owned();
    }
    format!("{}. {sure}", capital(&readable(&m.cautions.join("; "))))
}

/// Name of a property as a keeper would say it.
pub(super) fn property_name(p: Property) -> &'static str {
    match p {
        Property::MoisturePercent => "Moisture",
        Property::NitrogenPercent => "Nitrogen",
        Property::CarbonPercent => "Organic carbon",
        Property::CarbonNitrogenRatio => "Carbon to nitrogen",
        Property::BulkDensityKgM3 => "Weight of a litre, loose",
        Property::AshPercent => "Ash",
        Property::Ph => "pH",
        Property::EcMsCm => "Salt (EC)",
        Property::CecCmolKg => "Exchange capacity",
        Property::WaterHoldingGPerG => "Water it holds",
        Property::PhosphorusPercent => "Phosphorus",
        Property::PotassiumPercent => "Potassium",
        Property::NeutralisingPercent => "Neutralising value",
        Property::LabileFraction => "Share that rots within weeks",
        Property::GramsPerCup => "Weight of a level US cup",
        Property::GramsPerLitre => "Weight of a litre, as used",
        _ => "Other",
    }
}

fn unit_words(p: Property) -> &'static str {
    match p {
        Property::Ph => "",
        Property::BulkDensityKgM3 | Property::GramsPerLitre => " g",
        Property::GramsPerCup => " g",
        Property::LabileFraction => "",
        Property::CarbonNitrogenRatio => "",
        _ => p.unit(),
    }
}

fn shown(p: Property, v: f64) -> String {
    let digits = match p {
        Property::Ph => report::decimals(v, 1),
        _ if v.abs() >= 100.0 => report::decimals(v, 0),
        _ => report::significant(v, 2),
    };
    let unit = unit_words(p);
    let gap = if unit.is_empty() || unit.starts_with(' ') {
        ""
    } else {
        " "
    };
    format!("{digits}{gap}{unit}")
}

fn number_row(desk: &Desk, p: Property, ours: &Material, own: &Material) -> Option<NumberRow> {
    let table = ours.numbers.get(&p).cloned().or_else(|| ours.number(p));
    let now = own.number(p);
    let is_own = |n: &Number| n.status == Status::Own;
    if table.is_none() && !now.as_ref().is_some_and(is_own) {
        return None;
    }
    let value = table.as_ref().and_then(|n| n.value);
    let bare = |v: f64| shown(p, v).split(' ').next().unwrap_or("").to_owned();
    let range = table
        .as_ref()
        .and_then(|n| Some((bare(n.low?), bare(n.high?))))
        .filter(|(low, high)| low != high)
        .map(|(low, high)| format!("{low} to {high}"));
    let mine = now.filter(|n| is_own(n) || n.value != value && p != Property::CarbonNitrogenRatio);
    Some(NumberRow {
        name: property_name(p).to_owned(),
        value: value.map_or_else(|| report::NOT_KNOWN.to_owned(), |v| shown(p, v)),
        range: range.unwrap_or_default(),
        status: table.as_ref().map_or_else(String::new, |n| {
            if n.value.is_none() {
                of_the_tables(&n.note)
            } else {
                status(n.status).to_owned()
            }
        }),
        source: table
            .as_ref()
            .map_or_else(String::new, |n| source_words(desk, n)),
        own: mine
            .and_then(|n| n.value)
            .map_or_else(String::new, |v| shown(p, v)),
    })
}

/// `author year, place. Note`; nothing when there is no value.
fn source_words(desk: &Desk, n: &Number) -> String {
    if n.value.is_none() {
        return String::new();
    }
    let generic = ["estimate", "derived"].contains(&n.source.as_str());
    let citation = desk
        .tables
        .source(&n.source)
        .map_or_else(|_| n.source.clone(), |s| s.citation.clone());
    let mut parts: Vec<&str> = Vec::new();
    if !generic {
        parts.push(citation.as_str());
    }
    for more in [n.place.as_str(), n.basis.as_str(), n.note.as_str()] {
        if !more.is_empty() && !parts.iter().any(|p| p.contains(more)) {
            parts.push(more);
        }
    }
    of_the_tables(&parts.join("; "))
}

/// A note of the tables without the names of their files and columns.
fn of_the_tables(note: &str) -> String {
    readable(note)
        .replace("; site capacities are in sites.csv", "")
        .replace(
            "carbon_percent / nitrogen_percent",
            "organic carbon over nitrogen",
        )
        .replace("see conflicts", "see where sources disagree")
}

/// What household measures of it weigh.
fn measures(desk: &Desk, m: &Material) -> Vec<NumberRow> {
    let units: &[(&str, f64, Unit)] = &[
        ("1 level teaspoon", 1.0, Unit::Teaspoon),
        ("1 level tablespoon", 1.0, Unit::Tablespoon),
        ("1 level US cup", 1.0, Unit::Cup),
        ("1 handful", 1.0, Unit::Handful),
        ("1 bucket of 10 L", 10.0, Unit::Litre),
        ("1 eggshell", 1.0, Unit::Eggshell),
        ("1 sheet of newspaper", 1.0, Unit::Sheet),
        ("1 whole newspaper", 1.0, Unit::Newspaper),
    ];
    let spoons = |u: Unit| matches!(u, Unit::Teaspoon | Unit::Tablespoon);
    let fibre = m.role == Role::Bedding;
    let read_in = desk.units();
    units
        .iter()
        .filter(|(_, _, u)| !(fibre && spoons(*u)))
        .filter_map(|(name, number, unit)| {
            let amount = Amount::new(*number, *unit).ok()?;
            let g = amount.grams(m, desk.tables).ok()?;
            let n = |v: f64| report::grams(v, read_in);
            Some(NumberRow {
                name: (*name).to_owned(),
                value: n(g.grams),
                range: format!("{} to {}", n(g.low), n(g.high)),
                status: String::new(),
                source: g.how,
                own: String::new(),
            })
        })
        .collect()
}

/// Disagreements between sources that touch this material: by key, as the
/// table of conflicts names what it is about, not which rows it changed.
const TOUCHES: [(&str, &[&str]); 11] = [
    ("cardboard_563", &["cardboard"]),
    ("newsprint_cn", &["newsprint"]),
    ("vegetable_cn", &["vegetable"]),
    ("tea", &["tea_"]),
    ("coffee_ph", &["coffee"]),
    (
        "food_scrap_density",
        &["food_scrap", "vegetable_scraps", "kitchen"],
    ),
    ("sawdust_water", &["sawdust"]),
    ("wood_ash_value", &["wood_ash"]),
    ("wood_ash_cup", &["wood_ash"]),
    ("black_peat_cec", &["peat_black"]),
    ("hydroxide_nv", &["hydrated_lime", "quicklime"]),
];

fn conflicts(desk: &Desk, m: &Material) -> Vec<String> {
    let touches = |key: &str| {
        let words = TOUCHES.iter().find(|(k, _)| *k == key).map(|(_, w)| *w);
        match key {
            "carbon_from_ash" => m.role == Role::Feed,
            "impossible_carbon" => ["sawdust", "straw", "shavings", "cardboard", "grass"]
                .iter()
                .any(|w| m.key.contains(w)),
            _ => words.is_some_and(|w| w.iter().any(|w| m.key.contains(w))),
        }
    };
    desk.tables
        .conflicts()
        .iter()
        .filter(|c| touches(&c.key))
        .map(|c| {
            format!(
                "{}: {}. Taken: {}. Why: {}.",
                capital(&c.about),
                readable(&c.sources_say),
                c.choice,
                c.reason
            )
        })
        .collect()
}

/// Every source behind the numbers, with how it was read.
fn sources(desk: &Desk, m: &Material) -> Vec<String> {
    let keys: BTreeSet<&str> = m
        .numbers
        .values()
        .filter(|n| n.value.is_some())
        .map(|n| n.source.as_str())
        .collect();
    keys.into_iter()
        .filter(|k| !["estimate", "derived"].contains(k))
        .filter_map(|k| desk.tables.source(k).ok())
        .map(|s| {
            let read = match s.read.as_str() {
                "opened" => "read",
                "abstract" => "abstract read",
                "reprint" => "read in a reprint",
                "memory" => "from memory",
                _ => "not read",
            };
            let url = if s.url.is_empty() {
                String::new()
            } else {
                format!(" {}", s.url)
            };
            format!("{}.{url} ({read})", s.citation.trim_end_matches('.'))
        })
        .collect()
}
