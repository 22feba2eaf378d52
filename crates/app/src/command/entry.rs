//! `bedwright log`, `correct` and `strike`: writing in the log.

use super::bins::{attention, worth};
use super::dose::input::find_instrument;
use super::figures::{from_key, key_of, slug};
use super::parts;
use super::session::{Fault, Reply, Session};
use super::{print_line, words};
use crate::desk::{Desk, DeskError};
use crate::{shown, typed, wanted};
use clap::Subcommand;
use engine::living::species::Species;
use engine::log::{Applied, BinId, Body, Dose, EntryId, Measured, Place, Reading, Word};
use engine::measure::Amount;
use engine::reading::question::Question;
use serde_json::json;
use std::time::Duration;

/// Arguments of `log`.
#[derive(Debug, clap::Args)]
pub struct Log {
    /// Number of the bin.
    bin: i64,
    /// What was seen or done.
    #[command(subcommand)]
    kind: Kind,
    /// When; now when not given.
    #[arg(long, global = true, value_name = "TIME")]
    when: Option<String>,
    /// What was given is unlikely and stands all the same.
    #[arg(long, global = true)]
    confirmed: bool,
    /// Print JSON.
    #[arg(long, global = true)]
    pub json: bool,
}

/// Arguments of `correct`.
#[derive(Debug, clap::Args)]
pub struct Correct {
    /// Number of the bin.
    bin: i64,
    /// Number of the entry that was wrong.
    entry: i64,
    /// What it should have said.
    #[command(subcommand)]
    kind: Kind,
    /// When it really happened; as it was when not given.
    #[arg(long, global = true, value_name = "TIME")]
    when: Option<String>,
    /// Why.
    #[arg(long, global = true, default_value = "")]
    reason: String,
    /// What was given is unlikely and stands all the same.
    #[arg(long, global = true)]
    confirmed: bool,
    /// Print JSON.
    #[arg(long, global = true)]
    pub json: bool,
}

/// Arguments of `strike`.
#[derive(Debug, clap::Args)]
pub struct Strike {
    /// Number of the bin.
    bin: i64,
    /// Number of the entry that should not be there.
    entry: i64,
    /// Why.
    #[arg(long, default_value = "")]
    reason: String,
    /// It was struck a moment ago, and is struck again.
    #[arg(long)]
    confirmed: bool,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// What was seen or done.
#[derive(Debug, Subcommand)]
pub enum Kind {
    /// A measured value, one for each spot.
    Reading {
        /// Values, one for each spot.
        #[arg(required = true, allow_negative_numbers = true, value_parser = typed::number)]
        values: Vec<f64>,
        /// ph, bedding-celsius, air-celsius, ec-ms-cm, moisture-percent or bin-kg.
        #[arg(long, default_value = "ph")]
        of: String,
        /// What it was read with; needed for pH.
        #[arg(long)]
        instrument: Option<String>,
        /// spread, top, middle, bottom, edge or food.
        #[arg(long, default_value = "spread")]
        at: String,
        /// Free text.
        #[arg(long, default_value = "")]
        text: String,
    },
    /// What eyes, nose and hands say, such as `worms-climbing smell-sour`.
    Look {
        /// Words from the list.
        #[arg(help = format!("Words from the list: {}.", known_words()))]
        words: Vec<String>,
        /// Free text.
        #[arg(long, default_value = "")]
        text: String,
    },
    /// Food, such as "200 g apple".
    Fed {
        /// Parts.
        #[arg(required = true)]
        parts: Vec<String>,
    },
    /// A liming or acidifying material, such as "2 tbsp limestone_calcitic".
    Dose {
        /// Amount and material.
        dose: String,
        /// mixed-in, on-top, poured-slurry or poured-liquor.
        #[arg(long, default_value = "mixed-in")]
        how: String,
    },
    /// Water given, such as "1 L".
    Water {
        /// How much.
        amount: String,
        /// Rain or other soft water.
        #[arg(long)]
        soft: bool,
    },
    /// Liquid drained off.
    Drain {
        /// How much.
        amount: String,
    },
    /// What the bin was filled with, from empty.
    Filled {
        /// Parts.
        #[arg(required = true)]
        parts: Vec<String>,
    },
    /// More bedding.
    Bedding {
        /// Parts.
        #[arg(required = true)]
        parts: Vec<String>,
    },
    /// Worms put in.
    Worms {
        /// Live mass [g].
        #[arg(long, allow_negative_numbers = true, value_parser = typed::number)]
        grams: Option<f64>,
        /// Number.
        #[arg(long, allow_negative_numbers = true, value_parser = typed::number)]
        count: Option<f64>,
        /// eisenia_fetida, dendrobaena_veneta, eudrilus_eugeniae or
        /// perionyx_excavatus; not known when not given.
        #[arg(long)]
        species: Option<String>,
    },
    /// Worms counted.
    WormCount {
        /// Number found.
        #[arg(allow_negative_numbers = true, value_parser = typed::number)]
        found: f64,
        /// Litres of bedding looked through; the whole bin when not given.
        #[arg(long, allow_negative_numbers = true, value_parser = typed::number)]
        litres: Option<f64>,
    },
    /// The bedding was turned or mixed through.
    Turned,
    /// Castings taken out.
    Harvest {
        /// How much.
        amount: String,
    },
    /// The bin was moved.
    Move {
        /// Where it stands now.
        place: String,
    },
    /// Free text.
    Note {
        /// The text.
        text: String,
    },
}

pub(super) fn log(a: &Log, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk_there_to_write()?;
    let body = body(&desk, &a.kind, a.confirmed)?;
    let at = session.when(a.when.as_deref())?;
    let said = words::say(desk.tables, &body);
    desk.check_materials(None, &body)?;
    desk.description(BinId(a.bin))?;
    let id = desk
        .write_asked(Some(BinId(a.bin)), at, body, a.confirmed)
        .map_err(asked)?;
    kept(&desk, a.bin, id, &said, a.json)
}

pub(super) fn correct(a: &Correct, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk_there_to_write()?;
    let body = body(&desk, &a.kind, a.confirmed)?;
    let when = a
        .when
        .as_deref()
        .map(|w| session.when(Some(w)))
        .transpose()?;
    let said = format!(
        "entry {} now says: {}",
        a.entry,
        words::say(desk.tables, &body)
    );
    let correction = Body::Correction {
        corrects: EntryId(a.entry),
        replacement: Some(Box::new(body)),
        at_unix_seconds: when,
        reason: a.reason.clone(),
    };
    let given = (a.confirmed, a.json);
    write(&desk, session, a.bin, correction, given, &said)
}

pub(super) fn strike(a: &Strike, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk_there_to_write()?;
    let correction = Body::Correction {
        corrects: EntryId(a.entry),
        replacement: None,
        at_unix_seconds: None,
        reason: a.reason.clone(),
    };
    let said = format!("entry {} is struck out; it stays in the file", a.entry);
    let given = (a.confirmed, a.json);
    write(&desk, session, a.bin, correction, given, &said)
}

fn write(
    desk: &Desk,
    session: &Session,
    bin: i64,
    body: Body,
    (confirmed, json): (bool, bool),
    said: &str,
) -> Result<Reply, Fault> {
    desk.description(BinId(bin))?;
    let at = session.when(None)?;
    let id = desk
        .write_asked(Some(BinId(bin)), at, body, confirmed)
        .map_err(asked)?;
    kept(desk, bin, id, said, json)
}

/// A question that `--confirmed` would answer says so.
pub(super) fn asked(error: DeskError) -> Fault {
    let questions = match &error {
        DeskError::Asked(questions) => questions,
        DeskError::Again { .. } => {
            return Fault::input(format!(
                "{error}. Nothing was saved; if it happened twice, give --confirmed."
            ));
        }
        _ => return error.into(),
    };
    let more = if questions.iter().any(Question::refuses) {
        " Nothing was saved."
    } else {
        " Nothing was saved; if it stands, give --confirmed."
    };
    Fault::Input(
        questions
            .iter()
            .map(|q| format!("{}{more}", q.text()))
            .collect(),
    )
}

/// Longest that is waited, once an entry is written, for what it was worth and
/// how the bin stands.
const AFTERWARDS: Duration = Duration::from_secs(20);

/// What was kept, said as soon as it is; then what it was worth, and how the
/// bin stands now, where that can be worked out in time. The entry is written
/// whatever comes of that.
pub(super) fn kept(
    desk: &Desk,
    bin: i64,
    id: EntryId,
    said: &str,
    json: bool,
) -> Result<Reply, Fault> {
    if !json {
        let line = format!("Entry {} of bin {bin}: {said}.", id.0);
        print_line(&shown::text(&line))?;
    }
    let stands = wanted::within(AFTERWARDS, || {
        let state = desk.bin(BinId(bin))?;
        let attention = desk.attention(&state);
        Ok::<_, DeskError>((state, attention))
    });
    let (stands, late) = match stands {
        Some(Ok(stands)) => (Some(stands), String::new()),
        Some(Err(error)) => (None, format!("How the bin stands is not known: {error}.\n")),
        None => (
            None,
            format!("How the bin stands takes long to work out; `bedwright bin {bin}` tells it.\n"),
        ),
    };
    let estimate = stands.as_ref().and_then(|(s, _)| s.estimate.as_ref().ok());
    let heard = estimate.and_then(|e| e.heard.iter().find(|h| h.entry == id));
    let mut text = late;
    if let Some(h) = heard {
        text.push_str(&format!("{}\n", worth(h)));
    }
    if let Some((_, a)) = &stands {
        text.push_str(&format!("{}: {}\n", a.level.word(), a.line));
    }
    Reply::new(
        text,
        json!({
            "schema": "bedwright-entry-1",
            "entry": id.0,
            "bin": bin,
            "said": said,
            "worth": heard.map(worth),
            "ph": estimate.map(|e| e.ph),
            "attention": stands.as_ref().map(|(_, a)| attention(a)),
        }),
    )
}

fn amount(text: &str) -> Result<Amount, Fault> {
    Ok(Amount::parse(text.trim())?)
}

fn body(desk: &Desk, kind: &Kind, confirmed: bool) -> Result<Body, Fault> {
    let parts = |typed: &[String]| parts::from_words(desk.tables, typed);
    Ok(match kind {
        Kind::Reading { .. } => Body::Reading(reading(desk, kind, confirmed)?),
        Kind::Look { words, text } => Body::Observation {
            words: looked(words)?,
            text: text.as_str().into(),
        },
        Kind::Fed { parts: p } => Body::Feeding { parts: parts(p)? },
        Kind::Filled { parts: p } => Body::Filled { parts: parts(p)? },
        Kind::Bedding { parts: p } => Body::BeddingAdded { parts: parts(p)? },
        Kind::Dose { dose, how } => Body::Dose(dosed(desk, dose, how)?),
        Kind::Water { amount: a, soft } => Body::Water {
            amount: amount(a)?,
            soft: *soft,
        },
        Kind::Drain { amount: a } => Body::Drain { amount: amount(a)? },
        Kind::Worms {
            grams,
            count,
            species: kind,
        } => Body::WormsIn {
            grams: *grams,
            count: *count,
            species: species(kind.as_deref())?,
        },
        Kind::WormCount { found, litres } => Body::WormCount {
            found: *found,
            litres_searched: *litres,
            grams: None,
            ball: false,
        },
        Kind::Turned => Body::Turned,
        Kind::Harvest { amount: a } => Body::Harvest { amount: amount(a)? },
        Kind::Move { place } => Body::Move {
            place: place.clone(),
        },
        Kind::Note { text } => Body::Note {
            text: text.trim().into(),
        },
    })
}

/// The stable name of the species typed; empty when none was.
pub(super) fn species(typed: Option<&str>) -> Result<String, Fault> {
    let Some(typed) = typed else {
        return Ok(String::new());
    };
    match Species::parse(&slug(typed)) {
        Some(species) => Ok(species.name().to_owned()),
        None => {
            let known: Vec<&str> = Species::ALL.iter().map(|s| s.name()).collect();
            Err(Fault::input(format!(
                "--species `{typed}` is not one of {}",
                known.join(", ")
            )))
        }
    }
}

fn reading(desk: &Desk, kind: &Kind, confirmed: bool) -> Result<Reading, Fault> {
    let Kind::Reading {
        values,
        of,
        instrument,
        at,
        text,
    } = kind
    else {
        return Err(Fault::input("not a reading"));
    };
    let what: Measured = from_key(of).ok_or_else(|| {
        Fault::input(format!("--of `{of}` is not one of ph, bedding-celsius, air-celsius, ec-ms-cm, moisture-percent, bin-kg"))
    })?;
    let place: Place = from_key(at).ok_or_else(|| {
        Fault::input(format!(
            "--at `{at}` is not one of spread, top, middle, bottom, edge, food"
        ))
    })?;
    let instrument = match (what, instrument) {
        (Measured::Ph, Some(typed)) => {
            find_instrument(desk.tables, typed)
                .map_err(Fault::input)?
                .key
        }
        (Measured::Ph, None) => {
            let known: Vec<&str> = desk
                .tables
                .instruments()
                .iter()
                .map(|i| i.key.as_str())
                .collect();
            return Err(Fault::input(format!(
                "say what the pH was read with, --instrument; known are {}",
                known.join(", ")
            )));
        }
        (_, Some(typed)) => typed.clone(),
        (Measured::BeddingCelsius | Measured::AirCelsius, None) => "thermometer".to_owned(),
        (Measured::EcMsCm, None) => "salt_meter".to_owned(),
        (Measured::BinKg, None) => "scale".to_owned(),
        (_, None) => "by_hand".to_owned(),
    };
    Ok(Reading {
        what,
        spots: values.clone(),
        instrument,
        place,
        text: text.clone(),
        confirmed,
    })
}

/// All words, as they are typed.
fn known_words() -> String {
    let words: Vec<String> = Word::ALL
        .iter()
        .map(|w| key_of(w).replace('_', "-"))
        .collect();
    words.join(", ")
}

fn looked(typed: &[String]) -> Result<Vec<Word>, Fault> {
    let mut faults = Vec::new();
    let mut words = Vec::new();
    for text in typed {
        match from_key(text) {
            Some(word) => words.push(word),
            None => {
                faults.push(format!(
                    "`{text}` is not a word of the list, which `log 1 look --help` shows; anything else goes in --text"
                ));
            }
        }
    }
    if faults.is_empty() {
        Ok(words)
    } else {
        Err(Fault::Input(faults))
    }
}

fn dosed(desk: &Desk, typed: &str, how: &str) -> Result<Dose, Fault> {
    let how: Applied = from_key(how).ok_or_else(|| {
        Fault::input(format!(
            "--how `{how}` is not one of mixed-in, on-top, poured-slurry, poured-liquor"
        ))
    })?;
    let typed = typed.trim();
    let part = parts::read(desk.tables, typed)
        .map_err(|fault| Fault::input(format!("dose `{typed}`: {fault}")))?;
    Ok(Dose {
        material: part.material,
        amount: part.amount,
        how,
    })
}
