//! Parts of a mix, from a file or from the command line.

use super::figures::slug;
use super::session::Fault;
use super::toml_file::Table;
use crate::shown;
use crate::typed;
use engine::bed::fill::{self, FillError, Own, WATER};
use engine::bounds;
use engine::log::{Part, PeatLabel};
use engine::measure::Amount;
use engine::table::{Material, Property, Tables};

/// Keys of one part in a file.
const KEYS: [&str; 5] = ["material", "amount", "ph", "moisture_percent", "label"];
/// What a label may say, as written in a file.
const LABELS: &str = "`lime-adjusted`, `not limed` or `not stated`";

/// Parts under a key of a file; every fault is noted there.
pub(super) fn from_file(tables: &Tables, under: &Table<'_, '_>, key: &str) -> Vec<Part> {
    let list = under.tables(key);
    if list.is_empty() && (!under.has(key) || under.inner_is_empty(key)) {
        under.missing(
            key,
            "give at least one part with `material` and `amount`, such as `coir_pith` and `20 L`",
        );
    }
    list.iter().filter_map(|t| one(tables, t)).collect()
}

fn one(tables: &Tables, t: &Table<'_, '_>) -> Option<Part> {
    t.only(&KEYS);
    let material = material(tables, t, true);
    let amount = amount(t, "amount", true);
    let label = label(t);
    let ph = t.number("ph", &bounds::BEDDING_PH);
    let moisture_percent = t.number("moisture_percent", &bounds::MOISTURE_PERCENT);
    let part = Part {
        material: material?,
        amount: amount?,
        ph,
        moisture_percent,
        label: label.unwrap_or_default(),
    };
    fits(tables, t, &part);
    Some(part)
}

/// Notes what keeps a part from being used.
fn fits(tables: &Tables, t: &Table<'_, '_>, part: &Part) {
    match fill::ready(tables, std::slice::from_ref(part), &Own::new()) {
        Ok(_) => {}
        Err(e @ FillError::Amount { .. }) => t.say("amount", e.to_string()),
        Err(e) => t.say("material", e.to_string()),
    }
}

/// The material named under `material`, by key or by its whole name.
pub(super) fn material(tables: &Tables, t: &Table<'_, '_>, water: bool) -> Option<String> {
    if !t.has("material") {
        t.missing("material", "`bedwright materials` lists the keys");
        return None;
    }
    let typed = t.text("material")?;
    if water && slug(typed) == WATER {
        return Some(WATER.to_owned());
    }
    match key_of(tables, typed) {
        Ok(key) => Some(key),
        Err(fault) => {
            t.say("material", fault);
            None
        }
    }
}

/// The key of a material typed as its key, its whole name, or a usual name
/// that only one material has.
pub(super) fn key_of(tables: &Tables, typed: &str) -> Result<String, String> {
    let asked = slug(typed);
    let exact = (tables.materials()).find(|m| m.key == asked || slug(&m.name) == asked);
    if let Some(found) = exact {
        return Ok(found.key.clone());
    }
    match tables.named(typed).as_slice() {
        [one] => Ok(one.key.clone()),
        [] => Err(match tables.material(typed) {
            Ok(_) => String::new(),
            Err(e) => e.to_string(),
        }),
        several => Err(may_be(typed, several)),
    }
}

/// Room for what was typed and the names offered where it may mean several
/// [characters]: what is said around them must stay one short line.
const OFFERED: usize = 190;

fn may_be(typed: &str, several: &[&Material]) -> String {
    let typed = engine::echo(typed);
    let mut names = Vec::new();
    let long = |text: &str| shown::line(text).chars().count();
    let mut room = OFFERED.saturating_sub(long(&typed));
    for m in several {
        let name = format!("`{}` ({})", m.key, m.name);
        let Some(left) = room.checked_sub(long(&name) + 2) else {
            break;
        };
        room = left;
        names.push(name);
    }
    let more = several.len() - names.len();
    let rest = if more > 0 {
        format!(", and {more} more; `bedwright materials` lists all")
    } else {
        String::new()
    };
    format!(
        "material `{typed}` may be {}{rest}; write which",
        names.join(", ")
    )
}

/// An amount; `needed` notes its absence.
pub(super) fn amount(t: &Table<'_, '_>, key: &str, needed: bool) -> Option<Amount> {
    if needed && !t.has(key) {
        t.missing(key, "give a number and a unit in quotes, such as \"20 L\"");
        return None;
    }
    match Amount::parse(t.text(key)?) {
        Ok(amount) => Some(amount),
        Err(e) => {
            t.say(key, e.to_string());
            None
        }
    }
}

/// What the label says about lime.
pub(super) fn label(t: &Table<'_, '_>) -> Option<PeatLabel> {
    let typed = t.text("label")?;
    let found = label_of(typed);
    if found.is_none() {
        t.say("label", format!("label `{typed}` is not one of {LABELS}"));
    }
    found
}

fn label_of(typed: &str) -> Option<PeatLabel> {
    Some(match slug(typed).as_str() {
        "lime_adjusted" | "limed" | "ph_adjusted" => PeatLabel::LimeAdjusted,
        "not_limed" | "unlimed" => PeatLabel::NotLimed,
        "not_stated" | "does_not_say" => PeatLabel::DoesNotSay,
        _ => return None,
    })
}

/// Parts as typed on the command line: `20 L coir_pith`, then if known
/// `ph=6.1`, `moisture=60`, `label=not-limed`.
pub(super) fn from_words(tables: &Tables, typed: &[String]) -> Result<Vec<Part>, Fault> {
    let mut parts = Vec::new();
    let mut faults = Vec::new();
    for text in typed.iter().map(|t| t.trim()) {
        match part_of(tables, text) {
            Ok(part) => parts.push(part),
            Err(fault) => faults.push(format!("part `{text}`: {fault}")),
        }
    }
    if faults.is_empty() {
        Ok(parts)
    } else {
        Err(Fault::Input(faults))
    }
}

fn part_of(tables: &Tables, text: &str) -> Result<Part, String> {
    let part = read(tables, text)?;
    fill::ready(tables, std::slice::from_ref(&part), &Own::new()).map_err(|e| e.to_string())?;
    Ok(part)
}

/// An amount and a material as typed, not yet held against what beddings are.
pub(super) fn read(tables: &Tables, text: &str) -> Result<Part, String> {
    let (options, words): (Vec<&str>, Vec<&str>) =
        text.split_whitespace().partition(|w| w.contains('='));
    let Some((amount, material)) = amount_and_name(&words) else {
        return Err("write an amount and a material, such as `20 L coir_pith`".to_owned());
    };
    let material = if material == WATER {
        WATER.to_owned()
    } else {
        key_of(tables, &material)?
    };
    let mut part = Part {
        material,
        amount: Amount::parse(&amount).map_err(|e| e.to_string())?,
        ph: None,
        moisture_percent: None,
        label: PeatLabel::AsNamed,
    };
    for (n, option) in options.iter().enumerate() {
        let name = |o: &str| o.split('=').next().unwrap_or(o).to_owned();
        if options[..n]
            .iter()
            .any(|before| name(before) == name(option))
        {
            return Err(format!("`{}` is given twice", typed::short(&name(option))));
        }
        option_of(&mut part, option)?;
    }
    Ok(part)
}

/// An amount and the words after it, or before it: `20 L peat`, `peat 20 L`;
/// where neither end is an amount, the last word is the name.
fn amount_and_name(words: &[&str]) -> Option<(String, String)> {
    let last = words.len().checked_sub(1).filter(|n| *n > 0)?;
    let reads = |words: &[&str]| Amount::parse(&words.join(" ")).is_ok();
    let before = (1..=last).rev().find(|n| reads(&words[..*n]));
    let after = (1..=last).find(|n| reads(&words[*n..]));
    if let (None, Some(at)) = (before, after) {
        let name = words[..at].join(" ");
        return Some((
            words[at..].join(" "),
            name.trim_end_matches([',', ':']).to_owned(),
        ));
    }
    let at = before.unwrap_or(last);
    let name = match &words[at..] {
        ["of", rest @ ..] if !rest.is_empty() => rest,
        all => all,
    };
    Some((words[..at].join(" "), name.join(" ")))
}

fn option_of(part: &mut Part, option: &str) -> Result<(), String> {
    let (name, value) = option.split_once('=').unwrap_or((option, ""));
    let number = || typed::number(value).map_err(|fault| format!("{name}: {fault}"));
    match name {
        "ph" => part.ph = Some(number()?),
        "moisture" | "moisture_percent" => part.moisture_percent = Some(number()?),
        "label" => {
            part.label =
                label_of(value).ok_or_else(|| format!("label `{value}` is not one of {LABELS}"))?;
        }
        _ => {
            return Err(format!(
                "`{name}` is not known; known are ph, moisture and label"
            ));
        }
    }
    Ok(())
}

/// A bed given as dry mass and water, as one part.
pub(super) fn from_dry_mass(
    tables: &Tables,
    t: &Table<'_, '_>,
    dry_kg: f64,
    key: &str,
) -> Option<Part> {
    let material = tables.material(key).ok()?;
    let water_kg = t.number("water_kg", &WATER_KG);
    let percent = match water_kg {
        Some(water) => 100.0 * water / (dry_kg + water),
        None => material.value(Property::MoisturePercent).unwrap_or(0.0),
    };
    if let Err(e) = bounds::MOISTURE_PERCENT.check(percent) {
        t.say("water_kg", format!("with this `dry_kg`, {e}"));
        return None;
    }
    let wet_kg = dry_kg / (1.0 - percent / 100.0);
    let amount = match Amount::new(wet_kg, engine::measure::Unit::Kilogram) {
        Ok(amount) => amount,
        Err(e) => {
            t.say("dry_kg", e.to_string());
            return None;
        }
    };
    let part = Part {
        material: key.to_owned(),
        amount,
        ph: t.number("ph", &bounds::BEDDING_PH),
        moisture_percent: Some(percent),
        label: label(t).unwrap_or_default(),
    };
    fits(tables, t, &part);
    Some(part)
}

/// Dry bedding of a bin.
pub(super) const DRY_KG: bounds::Bound = bounds::Bound {
    name: "dry bedding",
    unit: "kg",
    low: 0.01,
    high: 1000.0,
    why: "from a handful to a tonne",
};

/// Water in a bin.
const WATER_KG: bounds::Bound = bounds::Bound {
    name: "water",
    unit: "kg",
    low: 0.0,
    high: 10_000.0,
    why: "ten tonnes is far beyond a home bin",
};
