//! What is done and seen in a scenario, and on which day.

use super::{COUNT, Context, GRAMS, day, entry, word};
use crate::command::dose::input::find_instrument;
use crate::command::figures::from_key;
use crate::command::parts;
use crate::command::toml_file::Table;
use engine::bed::fill::{self, FillError, Own};
use engine::bounds::{self, Bound};
use engine::estimate::live::Staged;
use engine::living::species::Species;
use engine::log::{Applied, Body, Dose, Measured, Part, PeatLabel, Place, Reading, Word};
use engine::measure::Amount;
use engine::scenario::{Happening, MOST_HAPPENINGS, What};

const WORMS: [&str; 8] = [
    "day", "date", "grams", "count", "adults", "young", "cocoons", "species",
];
const ACTION: [&str; 9] = [
    "day",
    "date",
    "do",
    "material",
    "amount",
    "how",
    "every_days",
    "until_day",
    "moisture_percent",
];
const OBSERVATION: [&str; 10] = [
    "day",
    "date",
    "words",
    "of",
    "values",
    "instrument",
    "place",
    "found",
    "litres",
    "grams",
];
const EVERY: Bound = Bound {
    name: "every so many days",
    unit: "days",
    low: 0.25,
    high: 365.0,
    why: "from four times a day to once a year",
};
/// What may be done.
#[derive(Clone, Copy, PartialEq)]
enum Deed {
    Feed,
    Bedding,
    Water,
    Drain,
    Harvest,
    Dose,
    Turn,
}

const DEEDS: [(&str, Deed); 7] = [
    ("feed", Deed::Feed),
    ("bedding", Deed::Bedding),
    ("water", Deed::Water),
    ("drain", Deed::Drain),
    ("harvest", Deed::Harvest),
    ("dose", Deed::Dose),
    ("turn", Deed::Turn),
];
const HOW: [(&str, Applied); 4] = [
    ("mixed_in", Applied::MixedIn),
    ("on_top", Applied::OnTop),
    ("poured_slurry", Applied::PouredSlurry),
    ("poured_liquor", Applied::PouredLiquor),
];

/// Worms put in.
pub(super) fn worms(c: &Context<'_>, root: &Table<'_, '_>) -> Vec<Happening> {
    let mut species: Option<Species> = None;
    let mut list = Vec::new();
    for t in root.tables("worms") {
        t.only(&WORMS);
        let on = day(c, &t, "day", "date").unwrap_or(0.0);
        let kind = kind(&t);
        if let (Some(kind), Some(other)) = (kind, species)
            && kind != other
        {
            t.say(
                "species",
                format!(
                    "one bin holds one species; {} was put in before",
                    other.name()
                ),
            );
        }
        species = species.or(kind);
        let name = species.map_or("", Species::name).to_owned();
        let staged = ["adults", "young", "cocoons"].iter().any(|k| t.has(k));
        let number = |key: &str| t.number(key, &COUNT);
        let what = if staged {
            for key in ["grams", "count"].iter().filter(|k| t.has(k)) {
                t.say(
                    key,
                    format!("give either `{key}` or `adults`, `young` and `cocoons`"),
                );
            }
            let of = |key: &str| number(key).unwrap_or(0.0);
            let stages = Staged {
                adults: of("adults"),
                young: of("young"),
                cocoons: of("cocoons"),
            };
            What::Staged(stages, name)
        } else {
            if !t.has("grams") && !t.has("count") {
                t.missing(
                    "grams",
                    "give `grams`, `count`, or `adults`, `young` and `cocoons`",
                );
            }
            What::Entry(Body::WormsIn {
                grams: t.number("grams", &GRAMS),
                count: number("count"),
                species: name,
            })
        };
        list.push(Happening { day: on, what });
    }
    list
}

fn kind(t: &Table<'_, '_>) -> Option<Species> {
    let typed = t.text("species")?;
    let found = Species::parse(&crate::command::figures::slug(typed));
    if found.is_none() {
        let known: Vec<&str> = Species::ALL.iter().map(|s| s.name()).collect();
        t.say(
            "species",
            format!("species `{typed}` is not one of {}", known.join(", ")),
        );
    }
    found
}

/// What is done, each as often as said. No more are made than are played.
pub(super) fn actions(c: &Context<'_>, root: &Table<'_, '_>) -> Vec<Happening> {
    let mut list = Vec::new();
    let mut asked = 0;
    for t in root.tables("actions") {
        t.only(&ACTION);
        if !t.has("do") {
            t.missing("do", "say what is done, such as \"feed\"");
        }
        if !t.has("day") && !t.has("date") {
            t.missing("day", "say on which day after filling");
        }
        let on = day(c, &t, "day", "date");
        let body = word(&t, "do", &DEEDS).and_then(|deed| body(c, &t, deed));
        let body = body.filter(|body| c.usable(&t, "amount", body).is_some());
        let days = repeated(c, &t, on.unwrap_or(0.0));
        if let (Some(_), Some(body)) = (on, body) {
            asked += days.len();
            if asked <= MOST_HAPPENINGS {
                list.extend(days.into_iter().map(|d| entry(d, body.clone())));
            }
        }
    }
    if asked > MOST_HAPPENINGS {
        root.say(
            "actions",
            format!(
                "the actions happen {asked} times in all; at most {MOST_HAPPENINGS} are played"
            ),
        );
    }
    list
}

/// The days of something done every so many days.
fn repeated(c: &Context<'_>, t: &Table<'_, '_>, first: f64) -> Vec<f64> {
    let every = t.number("every_days", &EVERY);
    let until = Bound {
        name: "last day",
        unit: "days after filling",
        low: first,
        high: c.days,
        why: "from the first time to the last day run",
    };
    let last = t.number("until_day", &until);
    if last.is_some() && every.is_none() && !t.has("every_days") {
        t.say("until_day", "`until_day` needs `every_days`");
    }
    let Some(every) = every else {
        return vec![first];
    };
    let last = last.unwrap_or(c.days);
    let mut days = Vec::new();
    let mut on = first;
    while on <= last + 1e-9 {
        days.push(on);
        on += every;
    }
    days
}

fn body(c: &Context<'_>, t: &Table<'_, '_>, deed: Deed) -> Option<Body> {
    let of_material = matches!(deed, Deed::Feed | Deed::Bedding | Deed::Dose);
    for (key, fits) in [
        ("material", of_material),
        (
            "moisture_percent",
            matches!(deed, Deed::Feed | Deed::Bedding),
        ),
        ("how", deed == Deed::Dose),
        ("amount", deed != Deed::Turn),
    ] {
        if t.has(key) && !fits {
            t.say(key, format!("`{key}` does not belong to this action"));
        }
    }
    match deed {
        Deed::Feed => feeding(c, t),
        Deed::Bedding => Some(Body::BeddingAdded {
            parts: vec![part(c, t)?],
        }),
        Deed::Dose => dose(c, t),
        Deed::Water => Some(Body::Water {
            amount: liquid(c, t)?,
            soft: false,
        }),
        Deed::Drain => Some(Body::Drain {
            amount: liquid(c, t)?,
        }),
        Deed::Harvest => harvest(c, t),
        Deed::Turn => Some(Body::Turned),
    }
}

fn feeding(c: &Context<'_>, t: &Table<'_, '_>) -> Option<Body> {
    let parts = vec![part(c, t)?];
    match engine::ration::may_be_fed(c.tables, &parts) {
        Ok(()) => Some(Body::Feeding { parts }),
        Err(e) => {
            t.say("material", e.to_string());
            None
        }
    }
}

fn part(c: &Context<'_>, t: &Table<'_, '_>) -> Option<Part> {
    let material = parts::material(c.tables, t, false);
    let amount = parts::amount(t, "amount", true);
    let moisture_percent = t.number("moisture_percent", &bounds::MOISTURE_PERCENT);
    let part = Part {
        material: material?,
        amount: amount?,
        ph: None,
        moisture_percent,
        label: PeatLabel::AsNamed,
    };
    match fill::ready(c.tables, std::slice::from_ref(&part), &Own::new()) {
        Ok(_) => Some(part),
        Err(e @ FillError::Amount { .. }) => {
            t.say("amount", e.to_string());
            None
        }
        Err(e) => {
            t.say("material", e.to_string());
            None
        }
    }
}

fn dose(c: &Context<'_>, t: &Table<'_, '_>) -> Option<Body> {
    let material = parts::material(c.tables, t, false);
    let amount = parts::amount(t, "amount", true);
    let how = word(t, "how", &HOW).unwrap_or_default();
    let (material, amount) = (material?, amount?);
    if let Err(e) = c.tables.product(&material) {
        t.say(
            "material",
            format!("it is not a liming or acidifying material: {e}"),
        );
        return None;
    }
    weighable(c, t, &material, &amount)?;
    Some(Body::Dose(Dose {
        material,
        amount,
        how,
    }))
}

/// Notes an amount that cannot be weighed out.
fn weighable(c: &Context<'_>, t: &Table<'_, '_>, key: &str, amount: &Amount) -> Option<()> {
    let material = c.tables.material(key).ok()?;
    match amount.grams(material, c.tables) {
        Ok(_) => Some(()),
        Err(e) => {
            t.say("amount", e.to_string());
            None
        }
    }
}

fn harvest(c: &Context<'_>, t: &Table<'_, '_>) -> Option<Body> {
    let amount = parts::amount(t, "amount", true)?;
    weighable(c, t, "vermicompost", &amount)?;
    Some(Body::Harvest { amount })
}

fn liquid(c: &Context<'_>, t: &Table<'_, '_>) -> Option<Amount> {
    let amount = parts::amount(t, "amount", true)?;
    match amount.water_litres(c.tables) {
        Ok(_) => Some(amount),
        Err(e) => {
            t.say("amount", e.to_string());
            None
        }
    }
}

/// What is seen, counted and measured.
pub(super) fn observations(c: &Context<'_>, root: &Table<'_, '_>) -> Vec<Happening> {
    let mut list = Vec::new();
    for t in root.tables("observations") {
        t.only(&OBSERVATION);
        if !t.has("day") && !t.has("date") {
            t.missing("day", "say on which day after filling");
        }
        let on = day(c, &t, "day", "date");
        let kinds = ["words", "of", "found"];
        let given: Vec<&&str> = kinds.iter().filter(|k| t.has(k)).collect();
        let seen = match given.as_slice() {
            [one] if **one == "words" => words(&t),
            [one] if **one == "of" => reading(c, &t),
            [_] => count(&t),
            _ => {
                t.missing(
                    "words",
                    "give one of `words`, `of` (with `values`), or `found`",
                );
                None
            }
        };
        let key = if t.has("values") { "values" } else { "found" };
        let seen = seen.filter(|body| c.usable(&t, key, body).is_some());
        if let (Some(on), Some(body)) = (on, seen) {
            list.push(entry(on, body));
        }
    }
    list
}

fn words(t: &Table<'_, '_>) -> Option<Body> {
    let mut words: Vec<Word> = Vec::new();
    let typed = t.texts("words")?;
    if typed.is_empty() {
        t.say("words", "`words` is empty; give at least one word");
    }
    for (at, typed) in typed {
        match from_key(typed) {
            Some(word) => words.push(word),
            None => t.say_at(
                at,
                format!("word `{typed}` is not known; `bedwright log --help` lists them"),
            ),
        }
    }
    (!words.is_empty()).then_some(Body::Observation {
        words,
        text: "".into(),
    })
}

fn count(t: &Table<'_, '_>) -> Option<Body> {
    Some(Body::WormCount {
        found: t.number("found", &COUNT)?,
        litres_searched: t.number("litres", &bounds::LITRES_SEARCHED),
        grams: t.number("grams", &GRAMS),
        ball: false,
    })
}

const MEASURED: [(&str, Measured); 6] = [
    ("ph", Measured::Ph),
    ("bedding_celsius", Measured::BeddingCelsius),
    ("air_celsius", Measured::AirCelsius),
    ("ec_ms_cm", Measured::EcMsCm),
    ("moisture_percent", Measured::MoisturePercent),
    ("bin_kg", Measured::BinKg),
];
const PLACES: [(&str, Place); 6] = [
    ("spread", Place::Spread),
    ("top", Place::Top),
    ("middle", Place::Middle),
    ("bottom", Place::Bottom),
    ("edge", Place::Edge),
    ("food", Place::Food),
];

fn reading(c: &Context<'_>, t: &Table<'_, '_>) -> Option<Body> {
    let what = word(t, "of", &MEASURED)?;
    let place = word(t, "place", &PLACES).unwrap_or_default();
    if !t.has("values") {
        t.missing("values", "give the value read, or a list with one a spot");
    }
    let bound = match what {
        Measured::Ph => &bounds::PH,
        Measured::EcMsCm => &bounds::EC_MS_CM,
        Measured::MoisturePercent => &bounds::MOISTURE_PERCENT,
        Measured::BinKg => &bounds::BIN_KG,
        _ => &bounds::LOGGED_CELSIUS,
    };
    let mut spots = Vec::new();
    for (at, value) in t.numbers("values")? {
        match bound.check(value) {
            Ok(value) => spots.push(value),
            Err(e) => t.say_at(at, format!("`values`: {e}")),
        }
    }
    let instrument = match t.text("instrument") {
        Some(typed) => match find_instrument(c.tables, typed) {
            Ok(found) => found.key,
            Err(fault) => {
                t.say("instrument", fault);
                return None;
            }
        },
        None if what == Measured::Ph => {
            t.missing("instrument", "a pH needs one, such as \"cheap_pen\"");
            return None;
        }
        None => String::new(),
    };
    (!spots.is_empty()).then_some(Body::Reading(Reading {
        what,
        spots,
        instrument,
        place,
        text: String::new(),
        confirmed: false,
    }))
}
