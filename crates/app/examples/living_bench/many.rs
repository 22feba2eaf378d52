//! An ensemble through a log of words, readings and feedings.

use crate::one::{AIR, BEDDING, parts};
use engine::bed::fill::Own;
use engine::estimate::filter::{Along, Estimate, Setup, estimate_along};
use engine::estimate::hands::{Hands, ONE_PAIR};
use engine::estimate::scene::usual_tote;
use engine::estimate::timeline::Told;
use engine::log::{BinDescription, BinId, Body, Entry, EntryId, Measured, Place, Reading, Word};
use engine::measure::Amount;
use engine::quantity::Celsius;
use engine::table::Tables;
use std::error::Error;
use std::time::Instant;

/// Seconds in a day.
const DAY: i64 = 86_400;

/// A log and what is around it.
pub(crate) struct Many {
    tables: Tables,
    own: Own,
    bin: BinDescription,
    log: Vec<Entry>,
    days: u32,
}

impl Many {
    /// A bin of `days`, filled and stocked, with `entries` more entries spread
    /// over them.
    pub(crate) fn new(days: u32, entries: u32) -> Result<Self, Box<dyn Error>> {
        let mut log = Vec::new();
        let mut put = |seconds: i64, body: Body| {
            log.push(Entry {
                id: EntryId(log.len() as i64 + 1),
                bin: Some(BinId(1)),
                at_unix_seconds: seconds,
                zone: "UTC".into(),
                written_unix_seconds: seconds,
                body,
            });
        };
        let parts = parts(&BEDDING)?;
        put(0, Body::Filled { parts });
        let (grams, count, species) = (Some(450.0), None, String::new());
        put(
            3 * DAY,
            Body::WormsIn {
                grams,
                count,
                species,
            },
        );
        for i in 0..entries {
            let share = (f64::from(i) + 0.5) / f64::from(entries);
            let seconds = 4 * DAY + (share * f64::from(days - 5) * DAY as f64) as i64;
            put(seconds, said(i, entries)?);
        }
        let tables = Tables::load()?;
        Ok(Self {
            bin: usual_tote(&tables)?,
            tables,
            own: Own::new(),
            log,
            days,
        })
    }

    /// Runs it by the hands given; gives how it stands at the end.
    pub(crate) fn estimate(
        &self,
        members: usize,
        hands: &'static dyn Hands,
    ) -> Result<Estimate, Box<dyn Error>> {
        let told = Told::new();
        let mut along = Along {
            hands,
            ..Along::told(&told)
        };
        let setup = Setup {
            tables: &self.tables,
            own: &self.own,
            temperature: Celsius(19.0),
            now: i64::from(self.days) * DAY,
            seed: 1,
            members,
            bin: Some(&self.bin),
            air: Some(AIR),
        };
        Ok(estimate_along(&setup, &self.log, &mut along)?)
    }

    /// Runs it one by one; gives the processor's time [s].
    pub(crate) fn run(&self, members: usize) -> Result<f64, Box<dyn Error>> {
        let start = processor_s();
        std::hint::black_box(self.estimate(members, &ONE_PAIR)?);
        Ok(processor_s() - start)
    }

    /// Runs it by the hands given; gives the time on the clock [s].
    pub(crate) fn run_by(
        &self,
        members: usize,
        hands: &'static dyn Hands,
    ) -> Result<f64, Box<dyn Error>> {
        let start = Instant::now();
        std::hint::black_box(self.estimate(members, hands)?);
        Ok(start.elapsed().as_secs_f64())
    }
}

/// Time this thread has had of a processor [s], which others on the machine
/// do not lengthen; the clock where the system does not say.
pub(crate) fn processor_s() -> f64 {
    static CLOCK: std::sync::LazyLock<Instant> = std::sync::LazyLock::new(Instant::now);
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    let nanoseconds = told.split(' ').next().and_then(|n| n.parse::<f64>().ok());
    nanoseconds.map_or_else(|| CLOCK.elapsed().as_secs_f64(), |n| n / 1e9)
}

fn read(what: Measured, spots: &[f64], instrument: &str) -> Body {
    Body::Reading(Reading {
        what,
        spots: spots.to_vec(),
        instrument: instrument.into(),
        place: Place::Spread,
        text: "".into(),
        confirmed: false,
    })
}

/// The i-th entry: a third feedings, the rest words with a reading now and
/// then, none of them at odds with a bin that goes well.
fn said(i: u32, entries: u32) -> Result<Body, Box<dyn Error>> {
    // As much food in all, however many entries.
    let scraps = format!("{:.0} g", 10_000.0 / f64::from(entries));
    let words = |words: &[Word]| Body::Observation {
        words: words.to_vec(),
        text: "".into(),
    };
    Ok(match i % 9 {
        0 | 3 | 6 => Body::Feeding {
            parts: parts(&[("kitchen_scraps_veg", &scraps)])?,
        },
        1 => words(&[Word::SqueezeDrops, Word::SmellEarthy]),
        2 => words(&[Word::WormsSpread, Word::FoodHalf]),
        4 => read(Measured::Ph, &[6.9, 7.1, 6.8], "cheap_pen"),
        5 => words(&[Word::WormsPlump, Word::SmellEarthy]),
        7 if i % 18 == 7 => read(Measured::BeddingCelsius, &[19.5], "cheap_thermometer"),
        7 => Body::Water {
            amount: Amount::parse("300 ml")?,
            soft: false,
        },
        _ => words(&[Word::FoodGone]),
    })
}
