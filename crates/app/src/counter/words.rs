//! The log in plain words: kinds, entries, times.

use super::around::units;
use crate::desk::{BinState, Desk};
use crate::report::{self, Units};
use crate::web::species_words;
use engine::living::species::Species;
use engine::log::{
    Applied, BinDescription, Body, Dose, JarTest, Measured, Part, PeatLabel, Place, Reading,
    ShedItem, TrayTest, Word,
};
use engine::measure::{GRAMS_PER_POUND, fahrenheit};
use jiff::civil::Date;

/// Kind of an entry, in a word or two.
pub(super) fn kind(body: &Body) -> &'static str {
    match body {
        Body::Bin(_) => "Bin",
        Body::Filled { .. } => "Filled",
        Body::BeddingAdded { .. } => "Bedding added",
        Body::Feeding { .. } => "Fed",
        Body::Reading(_) => "Reading",
        Body::Observation { .. } => "Seen",
        Body::Dose(_) => "Dose",
        Body::Water { .. } => "Watered",
        Body::Drain { .. } => "Drained",
        Body::WormsIn { .. } => "Worms in",
        Body::WormCount { .. } => "Worm count",
        Body::Harvest { .. } => "Harvest",
        Body::Move { .. } => "Moved",
        Body::Turned => "Turned",
        Body::JarTest(_) => "Jar test",
        Body::TrayTest(_) => "Tray test",
        Body::Note { .. } => "Note",
        Body::Shed(_) => "Shed",
        Body::Setting { .. } => "Setting",
        Body::Correction { .. } => "Correction",
        _ => "Entry",
    }
}

/// An entry in plain words.
pub(super) fn body(desk: &Desk, body: &Body) -> String {
    match body {
        Body::Bin(b) => bin(b, units(desk)),
        Body::Filled { parts } | Body::BeddingAdded { parts } | Body::Feeding { parts } => {
            self::parts(desk, parts)
        }
        Body::Reading(r) => reading(desk, r),
        Body::Observation { words, text } => observation(words, text),
        Body::Dose(d) => dose(desk, d),
        Body::Water { amount, soft } => {
            format!("{amount} of {}", if *soft { "soft water" } else { "water" })
        }
        Body::Drain { amount } => format!("{amount} drained off"),
        Body::WormsIn {
            grams,
            count,
            species,
        } => worms_in(*grams, *count, species, units(desk)),
        Body::WormCount {
            found,
            litres_searched,
            grams,
            ball,
        } => worm_count(
            *found,
            *grams,
            litres_searched.map(|l| report::litres(l, units(desk))),
            *ball,
        ),
        Body::Harvest { amount } => format!("{amount} of castings taken out"),
        Body::Move { place } => format!("to {place}"),
        Body::Turned => "the bedding mixed through".into(),
        Body::JarTest(t) => jar_test(desk, t),
        Body::TrayTest(t) => tray_test(t),
        Body::Note { text } => text.to_string(),
        Body::Shed(item) => shed(desk, item),
        Body::Setting { name, value } => format!("{name} = {value}"),
        Body::Correction {
            replacement,
            reason,
            ..
        } => {
            let what = replacement
                .as_ref()
                .map_or_else(|| "Struck out".to_owned(), |b| self::body(desk, b));
            if reason.is_empty() {
                what
            } else {
                format!("{what} ({reason})")
            }
        }
        _ => String::new(),
    }
}

fn bin(b: &BinDescription, units: Units) -> String {
    let (scale, unit) = match units {
        Units::Metric => (1.0, "cm"),
        Units::Us => (1.0 / 2.54, "in"),
    };
    let size = |cm: f64| report::decimals(cm * scale, 0);
    let put_away = if b.retired { ", put away" } else { "" };
    format!(
        "{}, {} × {} × {} {unit} inside{put_away}",
        b.name,
        size(b.length_cm),
        size(b.width_cm),
        size(b.depth_cm)
    )
}

/// Name of a material as a keeper says it: their own name for it first.
pub(super) fn material(desk: &Desk, key: &str) -> String {
    let called = desk
        .shed()
        .unwrap_or_default()
        .into_iter()
        .find(|i| i.material == key && !i.called.is_empty())
        .map(|i| i.called);
    called.unwrap_or_else(|| {
        desk.tables
            .material(key)
            .map_or_else(|_| key.to_owned(), |m| m.name.clone())
    })
}

/// As [`material`], for the middle of a sentence: the keeper's own names stay
/// as written.
pub(super) fn of_material(desk: &Desk, key: &str) -> String {
    let name = material(desk, key);
    match desk.tables.material(key) {
        Ok(m) if m.name == name => lower(&name),
        _ => name,
    }
}

/// Parts in words: `20 L of coconut coir pith; 10 L of ...`.
pub(super) fn parts(desk: &Desk, parts: &[Part]) -> String {
    let one = |p: &Part| {
        let mut known = Vec::new();
        if let Some(ph) = p.ph {
            known.push(format!("pH {}", report::ph(ph)));
        }
        if let Some(m) = p.moisture_percent {
            known.push(format!("{} moist", report::percent(m)));
        }
        known.extend(match p.label {
            PeatLabel::AsNamed => None,
            PeatLabel::LimeAdjusted => Some("label says limed".to_owned()),
            PeatLabel::NotLimed => Some("label says not limed".to_owned()),
            PeatLabel::DoesNotSay => Some("label does not say".to_owned()),
        });
        let more = if known.is_empty() {
            String::new()
        } else {
            format!(" ({})", known.join(", "))
        };
        format!("{} of {}{more}", p.amount, of_material(desk, &p.material))
    };
    parts.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// What was measured.
pub(super) fn measured(what: Measured) -> &'static str {
    match what {
        Measured::Ph => "pH",
        Measured::BeddingCelsius => "Bed temperature",
        Measured::AirCelsius => "Air temperature",
        Measured::EcMsCm => "Salt (EC)",
        Measured::MoisturePercent => "Moisture",
        Measured::BinKg => "Bin weight",
        _ => "Reading",
    }
}

fn place(place: Place) -> &'static str {
    match place {
        Place::Spread => "",
        Place::Top => "at the top",
        Place::Middle => "in the middle",
        Place::Bottom => "at the bottom",
        Place::Edge => "at the wall",
        Place::Food => "by the food",
    }
}

/// Value of a spot in the keeper's units, without the unit.
pub(super) fn spot(what: Measured, value: f64, units: Units) -> String {
    match (what, units) {
        (Measured::Ph, _) if (value * 10.0).fract().abs() < 1e-9 => report::ph(value),
        (Measured::BeddingCelsius | Measured::AirCelsius, Units::Us) => {
            report::decimals(fahrenheit(value), 0)
        }
        (Measured::BinKg, Units::Us) => report::plain(1000.0 * value / GRAMS_PER_POUND),
        _ => report::plain(value),
    }
}

fn unit(what: Measured, units: Units) -> &'static str {
    match (what, units) {
        (Measured::BeddingCelsius | Measured::AirCelsius, Units::Metric) => " °C",
        (Measured::BeddingCelsius | Measured::AirCelsius, Units::Us) => " °F",
        (Measured::EcMsCm, _) => " mS/cm",
        (Measured::MoisturePercent, _) => " %",
        (Measured::BinKg, Units::Metric) => " kg",
        (Measured::BinKg, Units::Us) => " lb",
        _ => "",
    }
}

fn reading(desk: &Desk, r: &Reading) -> String {
    let units = units(desk);
    let values: Vec<String> = r.spots.iter().map(|s| spot(r.what, *s, units)).collect();
    let mut text = format!(
        "{} {}{}",
        measured(r.what),
        values.join(", "),
        unit(r.what, units)
    );
    if let Ok(i) = desk.tables.instrument(&r.instrument) {
        text = format!("{text}, {}", lower(&i.name));
    }
    for more in [place(r.place), r.text.as_str()] {
        if !more.is_empty() {
            text = format!("{text}, {more}");
        }
    }
    text
}

/// With a small letter at its head, unless it is an abbreviation.
pub(super) fn lower(text: &str) -> String {
    engine::table::inside_a_sentence(text)
}

fn worm_count(found: f64, grams: Option<f64>, litres: Option<String>, ball: bool) -> String {
    let what = match grams {
        Some(g) if found > 0.0 => format!("{found} worms, {g} g,"),
        Some(g) if g > 0.0 => format!("{g} g of worms"),
        _ => format!("{found} worms"),
    };
    match litres {
        _ if ball => format!("{what} in a ball"),
        Some(l) => format!("{what} in {l} of bedding"),
        None => format!("{what} in the whole bin"),
    }
}

fn observation(words: &[Word], text: &str) -> String {
    let mut said: Vec<String> = words.iter().map(|w| word(*w).to_owned()).collect();
    if !text.is_empty() {
        said.push(text.to_owned());
    }
    said.join("; ")
}

/// A word of the fixed list, as a keeper reads it.
pub(super) fn word(word: Word) -> &'static str {
    match word {
        Word::SqueezeDusty => "squeeze: dusty, no ball",
        Word::SqueezeWeak => "squeeze: weak ball, no water",
        Word::SqueezeDrops => "squeeze: a drop or two",
        Word::SqueezeSeveral => "squeeze: several drops",
        Word::SqueezeTrickle => "squeeze: short trickle",
        Word::SqueezeStream => "squeeze: stream",
        Word::SmellEarthy => "smells earthy",
        Word::SmellSour => "smells sour",
        Word::SmellRotten => "smells rotten",
        Word::SmellAmmonia => "smells of ammonia",
        Word::WormsSpread => "worms spread through",
        Word::WormsClimbing => "worms climbing",
        Word::WormsBalled => "worms in a ball",
        Word::WormsAtEdge => "worms at edges or bottom",
        Word::WormsLeft => "worms outside the bin",
        Word::WormsStrayNone => "no worms out at night",
        Word::WormsStrayFew => "a few worms out at night",
        Word::WormsStrayMany => "many worms out at night",
        Word::WormsPlump => "worms plump and lively",
        Word::WormsThin => "worms thin or slow",
        Word::WormsDead => "dead worms",
        Word::FoodGone => "food gone",
        Word::FoodHalf => "half the food left",
        Word::FoodMost => "most food left",
        Word::Condensation => "droplets on the lid",
        Word::Pooling => "standing liquid",
        Word::Mould => "white mould",
        Word::Mites => "many mites",
        Word::Potworms => "white potworms",
        Word::Flies => "flies or larvae",
        Word::FeelsWarm => "feels warm",
        Word::FeelsCold => "feels cold",
        _ => "something seen",
    }
}

/// How a dose was given.
pub(super) fn applied(how: Applied) -> &'static str {
    match how {
        Applied::MixedIn => "mixed in",
        Applied::OnTop => "dusted on top",
        Applied::PouredSlurry => "stirred in water and poured",
        Applied::PouredLiquor => "steeped, strained and poured",
    }
}

fn dose(desk: &Desk, d: &Dose) -> String {
    format!(
        "{} of {}, {}",
        d.amount,
        of_material(desk, &d.material),
        applied(d.how)
    )
}

fn worms_in(grams: Option<f64>, count: Option<f64>, species: &str, units: Units) -> String {
    let weight = grams.map(|g| format!("{} of worms", report::grams(g, units)));
    let number = count.map(|c| format!("{c:.0} worms"));
    let kind = Species::parse(species).map(|s| lower(species_words(s)));
    [weight, number, kind]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(", ")
}

fn jar_test(desk: &Desk, t: &JarTest) -> String {
    let jars: Vec<String> = t
        .jars
        .iter()
        .map(|j| {
            format!(
                "{} g to pH {}",
                report::significant(j.grams, 2),
                report::ph(j.ph)
            )
        })
        .collect();
    format!(
        "{} with {}: {}",
        report::count(t.jars.len(), "jar", "jars"),
        material(desk, &t.material),
        jars.join(", ")
    )
}

fn tray_test(t: &TrayTest) -> String {
    format!(
        "{} of {} worms chose the bedding tested, {} the trusted one, {} dead or missing, after {:.0} h",
        t.in_suspect, t.worms, t.in_trusted, t.dead_or_missing, t.hours
    )
}

fn shed(desk: &Desk, item: &ShedItem) -> String {
    let name = material(desk, &item.material);
    match (&item.available, item.have) {
        (_, false) => format!("{name}: none left"),
        (Some(a), true) => format!("{name}: {a}"),
        (None, true) => name,
    }
}

/// The day of a moment in the keeper's zone.
pub(super) fn day(desk: &Desk, at: i64) -> Date {
    desk.clock.local(at).date()
}

/// Today.
pub(super) fn today(desk: &Desk) -> Date {
    desk.clock.now().date()
}

/// A moment in words: `Tue 24 Nov, 18:05`.
pub(super) fn when(desk: &Desk, at: i64) -> String {
    let local = desk.clock.local(at);
    format!(
        "{}, {:02}:{:02}",
        report::date(local.date(), today(desk)),
        local.hour(),
        local.minute()
    )
}

/// A day in words with its distance: `Fri 27 Nov (in 3 days)`.
pub(super) fn day_words(desk: &Desk, at: i64) -> String {
    report::date_and_distance(day(desk, at), today(desk))
}

/// A moment for machines and date fields: `2026-11-24T18:05`.
pub(super) fn machine_time(desk: &Desk, at: i64) -> String {
    desk.clock.local(at).strftime("%Y-%m-%dT%H:%M").to_string()
}

/// Where a bin stands: where it was last moved to, or as described.
pub(super) fn place_of(state: &BinState) -> String {
    let told = state.log.iter().rev().find_map(|e| match &e.body {
        Body::Move { place } => Some(place.clone()),
        Body::Bin(b) => Some(b.place.clone()),
        _ => None,
    });
    told.unwrap_or_else(|| state.description.place.clone())
}
