//! `bedwright jar-test` and `tray-test`: how to do them, and what they say.

use super::dose::input::find_instrument;
use super::entry::{asked, kept};
use super::parts;
use super::session::{Fault, Reply, Session};
use crate::desk::{Desk, DeskError};
use crate::report;
use crate::typed;
use engine::chemistry::neutralising::meq_per_gram;
use engine::dose::tray::{self, Outcome};
use engine::estimate::Estimate;
use engine::log::{BinId, Body, Jar, JarTest, TrayTest};
use engine::measure::Amount;
use engine::table::Property;
use serde_json::json;

/// Arguments of `jar-test`.
#[derive(Debug, clap::Args)]
pub struct Jars {
    /// Number of the bin.
    bin: i64,
    /// One for each jar: grams of lime, `=`, pH read at the end, such as
    /// 0.4=6.1. Without any, says how to do the test.
    #[arg(long = "jar", value_name = "GRAMS=PH")]
    jars: Vec<String>,
    /// Wet bedding in each jar: 500 g to weigh in, and taken as 100 g when jars
    /// are entered without it.
    #[arg(long, value_name = "AMOUNT")]
    bedding: Option<String>,
    /// Key of the liming material.
    #[arg(long, default_value = "limestone_calcitic")]
    material: String,
    /// Hours between mixing and reading; a week is 168. Taken as 48 when jars
    /// are entered without it.
    #[arg(long, value_parser = typed::number)]
    hours: Option<f64>,
    /// What it was read with.
    #[arg(long)]
    instrument: Option<String>,
    /// When it was read; now when not given.
    #[arg(long, value_name = "TIME")]
    when: Option<String>,
    /// What was given is unlikely, or was entered a moment ago, and stands.
    #[arg(long)]
    confirmed: bool,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `tray-test`.
#[derive(Debug, clap::Args)]
pub struct Tray {
    /// Worms found in the suspect half. Without it, says how to do the test.
    #[arg(long, requires = "trusted")]
    suspect: Option<u32>,
    /// Worms found in the trusted half.
    #[arg(long, requires = "suspect")]
    trusted: Option<u32>,
    /// Worms dead or missing.
    #[arg(long, default_value_t = 0)]
    dead: u32,
    /// How long it ran [h].
    #[arg(long, default_value_t = 48.0, value_parser = typed::number)]
    hours: f64,
    /// Keep it in the log of this bin.
    #[arg(long)]
    bin: Option<i64>,
    /// It was entered a moment ago, and is entered again.
    #[arg(long)]
    confirmed: bool,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

fn estimate(state: &crate::desk::BinState) -> Result<&Estimate, Fault> {
    state
        .estimate
        .as_ref()
        .map_err(|e| DeskError::NoEstimate(e.clone()).into())
}

pub(super) fn jars(a: &Jars, session: &Session) -> Result<Reply, Fault> {
    let desk = match a.jars.is_empty() {
        true => session.desk()?,
        false => session.desk_there_to_write()?,
    };
    let material = parts::key_of(desk.tables, &a.material).map_err(Fault::input)?;
    desk.tables.product(&material)?;
    let usual = if a.jars.is_empty() { "500 g" } else { "100 g" };
    let bedding = bedding_grams(&desk, a.bedding.as_deref().unwrap_or(usual))?;
    if a.jars.is_empty() {
        return how_to_jars(&desk, a, &material, bedding);
    }
    let Some(typed) = &a.instrument else {
        return Err(Fault::input(
            "say what the jars were read with, --instrument",
        ));
    };
    let instrument = find_instrument(desk.tables, typed).map_err(Fault::input)?;
    let test = JarTest {
        wet_bedding_grams: bedding,
        material,
        hours: a.hours.unwrap_or(48.0),
        instrument: instrument.key,
        jars: read_jars(&a.jars)?,
    };
    let before = estimate(&*desk.bin(BinId(a.bin))?)?.buffer_meq_per_ph;
    let at = session.when(a.when.as_deref())?;
    let id = desk
        .write_asked(Some(BinId(a.bin)), at, Body::JarTest(test), a.confirmed)
        .map_err(asked)?;
    let state = desk.bin(BinId(a.bin))?;
    let after = estimate(&state)?.buffer_meq_per_ph;
    let width = |b: &engine::quantity::Band| b.high / b.low;
    let said = format!(
        "jar test; the buffer was thought to be {}, now it is {}; the ratio of high to low went from {} to {}",
        report::band(&before, "meq per pH"),
        report::band(&after, "meq per pH"),
        report::decimals(width(&before), 1),
        report::decimals(width(&after), 1)
    );
    let mut reply = kept(&desk, a.bin, id, &said, a.json)?;
    reply.json["schema"] = "bedwright-jar-test-1".into();
    reply.json["buffer_before_meq_per_ph"] = json!(before);
    reply.json["buffer_after_meq_per_ph"] = json!(after);
    Reply::new(reply.text, reply.json)
}

fn bedding_grams(_desk: &Desk, typed: &str) -> Result<f64, Fault> {
    let amount = Amount::parse(typed)?;
    amount
        .unit
        .grams()
        .map(|g| g * amount.number)
        .ok_or_else(|| Fault::input(format!("--bedding `{typed}` must be weighed, in grams")))
}

fn read_jars(given: &[String]) -> Result<Vec<Jar>, Fault> {
    let mut jars = Vec::new();
    let mut faults = Vec::new();
    for text in given {
        let jar = text.split_once('=').and_then(|(g, ph)| {
            let grams = typed::number(g.trim().trim_end_matches('g')).ok()?;
            Some(Jar {
                grams,
                ph: typed::number(ph).ok()?,
            })
        });
        match jar {
            Some(jar) => {
                if let Err(e) = engine::bounds::PH.check(jar.ph) {
                    faults.push(format!("--jar `{text}`: {e}"));
                }
                jars.push(jar);
            }
            None => faults.push(format!(
                "--jar `{text}` is not grams of lime and a pH, such as `0.4=6.1`"
            )),
        }
    }
    if jars.len() + faults.len() < 2 {
        faults.push("give at least two jars, one of them without lime (`--jar 0=4.7`)".to_owned());
    }
    if faults.is_empty() {
        Ok(jars)
    } else {
        Err(Fault::Input(faults))
    }
}

/// Most bedding for one jar [g].
const MOST_BEDDING: f64 = 1000.0;
/// Least lime a kitchen scale weighs well enough [g].
const LEAST_LIME: f64 = 2.0;

/// So much bedding that the lime for it is whole grams a kitchen scale can
/// weigh; as asked where that takes too much bedding.
fn whole_grams(bedding: f64, lime: f64) -> (f64, f64) {
    let whole = lime.ceil().max(LEAST_LIME);
    let more = (bedding * whole / lime.max(1e-9) / 10.0).round() * 10.0;
    if more <= MOST_BEDDING {
        (more, whole)
    } else {
        (bedding, lime)
    }
}

fn how_to_jars(desk: &Desk, a: &Jars, material: &str, bedding: f64) -> Result<Reply, Fault> {
    let state = desk.bin(BinId(a.bin))?;
    let e = estimate(&state)?;
    let m = desk.tables.material(material)?;
    let per_gram = meq_per_gram(m.value(Property::NeutralisingPercent).unwrap_or(100.0)).abs();
    let wet_grams = 1000.0 * (e.dry_kg.median + e.water_kg.median);
    // Enough for one pH unit in the middle jar and two in the last.
    let one = e.buffer_meq_per_ph.median * bedding / wet_grams / per_gram.max(1e-9);
    let (bedding, one) = if a.bedding.is_none() {
        whole_grams(bedding, one)
    } else {
        (bedding, one)
    };
    let grams = [0.0, one, 2.0 * one];
    let said: Vec<String> = grams.iter().map(|g| report::significant(*g, 2)).collect();
    let parted = if one.fract() > 1e-9 {
        "; without a scale for parts of a gram weigh 4 g, spread it in a line on paper and part it with a knife"
    } else {
        ""
    };
    let text = format!(
        "Weigh {} g of moist bedding, mixed from several places, into each of three jars.\n\
         Stir in {} g, {} g and {} g of {}, weighed{}.\n\
         Wet all three alike, cover them loosely, keep them at room temperature, stir now and then.\n\
         After a week read all three with the same probe, rinsed between, the jar without lime first.\n\
         Enter them: bedwright jar-test {} --bedding \"{} g\" --material {material} --hours 168 --instrument cheap_pen --jar {}=PH --jar {}=PH --jar {}=PH\n\
         Lime is dusty: keep it off your face and out of your eyes.\n",
        report::significant(bedding, 3),
        said[0],
        said[1],
        said[2],
        m.name_inside(),
        parted,
        a.bin,
        report::significant(bedding, 3),
        said[0],
        said[1],
        said[2],
    );
    Reply::new(
        text.clone(),
        json!({
            "schema": "bedwright-jar-test-how-1",
            "bin": a.bin,
            "material": material,
            "wet_bedding_grams": bedding,
            "lime_grams": grams,
            "hours": 168.0,
            "how": text,
        }),
    )
}

const TRAY_HOW: &str = "Fill one half of a tray with the bedding in question and the other with bedding you trust, both moist alike, and let them touch.\n\
Lay twenty worms on the line between them (ten at least), cover the tray, keep it dark and at room temperature.\n\
After one to two days part the halves quickly and count.\n\
Enter it: bedwright tray-test --suspect 9 --trusted 11 --dead 0 --hours 48\n";

pub(super) fn tray(a: &Tray, session: &Session) -> Result<Reply, Fault> {
    let (Some(suspect), Some(trusted)) = (a.suspect, a.trusted) else {
        return Reply::new(
            TRAY_HOW,
            json!({ "schema": "bedwright-tray-test-how-1", "how": TRAY_HOW }),
        );
    };
    let rules = tray::Rules::from_tables(session.empty_desk()?.tables)?;
    let (low, high) = rules.hours;
    if !(low..=high).contains(&a.hours) {
        return Err(Fault::input(format!(
            "--hours `{}` h is outside the allowed range {low} to {high} h (shorter, worms have not chosen; longer, both halves change)",
            a.hours
        )));
    }
    // More than can be counted here are more than there may be.
    let worms = suspect.saturating_add(trusted).saturating_add(a.dead);
    engine::bounds::WORM_COUNT.check(f64::from(worms))?;
    let test = TrayTest {
        worms,
        in_suspect: suspect,
        in_trusted: trusted,
        dead_or_missing: a.dead,
        hours: a.hours,
    };
    let Some(read) = tray::read(&test, &rules) else {
        return Err(Fault::input(
            "no worm was found in either half; a tray without worms says nothing",
        ));
    };
    let entry = match a.bin {
        None => None,
        Some(bin) => {
            let desk = session.desk_there_to_write()?;
            let at = session.when(None)?;
            let written = desk.write_asked(Some(BinId(bin)), at, Body::TrayTest(test), a.confirmed);
            Some(written.map_err(asked)?)
        }
    };
    let (key, said) = outcome(read.outcome);
    let share = engine::quantity::Band {
        median: 100.0 * read.share_in_suspect,
        low: 100.0 * read.share_low,
        high: 100.0 * read.share_high,
    };
    let text = format!(
        "{said}\nShare in the suspect half: {}. If worms did not care, a split this lopsided would come up {} of the time.\n",
        report::percent_band(&share),
        report::chance(read.by_chance)
    );
    Reply::new(
        text,
        json!({
            "schema": "bedwright-tray-test-1",
            "outcome": key,
            "said": said,
            "share_in_suspect": { "median": read.share_in_suspect, "low": read.share_low, "high": read.share_high },
            "by_chance": read.by_chance,
            "entry": entry.map(|e| e.0),
        }),
    )
}

fn outcome(o: Outcome) -> (&'static str, String) {
    match o {
        Outcome::Avoided => (
            "avoided",
            "They avoid it: do not put worms in this bedding yet.".to_owned(),
        ),
        Outcome::Accepted => (
            "accepted",
            "They do not avoid it: the bedding passes.".to_owned(),
        ),
        Outcome::Unclear { more_worms } => (
            "unclear",
            format!("It cannot be told yet: run it again with {more_worms} more worms."),
        ),
        Outcome::NotValid => (
            "not_valid",
            "Too many died or went missing: the run does not count. Dead worms in the suspect half mean it is not fit.".to_owned(),
        ),
    }
}
