//! From log entries to the events that move a bed, in order of time.

use crate::bed::fill::{self, Own, ReadyPart};
use crate::bed::product::{Action, Contact, Product, Ranged};
use crate::estimate::filter::EstimateError;
use crate::estimate::live::Living;
use crate::estimate::tuning::Tuning;
use crate::living::observe::{Sayings, count::Found};
use crate::log::{Applied, Body, Dose, Entry, EntryId, JarTest, Measured, Place, Reading, Word};
use crate::measure::Amount;
use crate::reading::combine::{Combined, combine};
use crate::reading::instrument::Instrument;
use crate::reading::medium::{Medium, MediumShift};
use crate::reading::settling::{Rules, Settling};
use crate::table::{TableError, Tables};
use std::collections::BTreeMap;

/// Hours between a dose that is not in the log and a reading that is, by the
/// reading's entry [h].
pub type Told = BTreeMap<EntryId, f64>;

/// One event.
#[derive(Debug, Clone)]
pub(crate) struct Timed {
    pub(crate) id: EntryId,
    pub(crate) at: i64,
    pub(crate) event: Event,
}

/// What moves or shows a bed.
#[derive(Debug, Clone)]
pub(crate) enum Event {
    Filled(Vec<ReadyPart>),
    Added(Vec<ReadyPart>),
    Dosed(Box<Dosed>),
    Turned,
    /// What moves or shows the living bin.
    Living(Living),
    /// Words, with ammonia smelt among them.
    Smelt(Vec<Word>),
    Heard(Box<HeardPh>),
    Jars(Box<Jars>),
}

impl Event {
    /// Something seen or measured, as against done.
    pub(crate) fn is_observation(&self) -> bool {
        match self {
            Self::Smelt(_) | Self::Heard(_) | Self::Jars(_) => true,
            Self::Living(event) => matches!(
                event,
                Living::Seen(_)
                    | Living::Counted(_)
                    | Living::Gauged(_)
                    | Living::Weighed(_)
                    | Living::Tray(_)
            ),
            _ => false,
        }
    }
}

/// A dose, ready to give.
#[derive(Debug, Clone)]
pub(crate) struct Dosed {
    pub(crate) product: Product,
    pub(crate) grams: Ranged,
    pub(crate) contact: ContactNumbers,
    /// Sour bedding mixed in, when that is what it is.
    pub(crate) parts: Option<Vec<ReadyPart>>,
}

/// How a dose meets the bed, with ranges.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ContactNumbers {
    pub(crate) how: Applied,
    pub(crate) touched: Ranged,
    pub(crate) tau_days: Ranged,
    pub(crate) steep_litres: f64,
}

/// A pH reading, combined.
#[derive(Debug, Clone)]
pub(crate) struct HeardPh {
    pub(crate) reading: Reading,
    pub(crate) instrument: Instrument,
    /// The spots combined, the instrument's error in it, the place not.
    pub(crate) combined: Combined,
    /// How far one kind of place may stand from the whole bed [pH].
    pub(crate) place_sd: f64,
    pub(crate) settling: Settling,
    pub(crate) medium: MediumShift,
}

/// A jar test, ready to weigh by.
#[derive(Debug, Clone)]
pub(crate) struct Jars {
    pub(crate) test: JarTest,
    pub(crate) product: Product,
    pub(crate) instrument: Instrument,
}

/// Events of one bin from its effective log, in order.
pub(crate) fn events(
    tables: &Tables,
    log: &[Entry],
    own: &Own,
    told: &Told,
) -> Result<Vec<Timed>, EstimateError> {
    let sayings = Sayings::load(tables)?;
    let rules = Rules::from_tables(tables)?;
    let tuning = Tuning::load(tables)?;
    let mut list = Vec::new();
    let mut last_dose: Option<(i64, bool)> = None;
    let mut last_water: Option<i64> = None;
    let mut ground = Ground::default();
    for entry in log {
        let at = entry.at_unix_seconds;
        ground.hear(at, &entry.body, &tuning);
        let named = |source| EstimateError::Entry {
            entry: entry.id,
            source,
        };
        let event = match &entry.body {
            Body::Filled { parts } => {
                (last_dose, last_water) = (None, None);
                Event::Filled(fill::ready_bed(tables, parts, own).map_err(named)?)
            }
            Body::BeddingAdded { parts } => {
                Event::Added(fill::ready(tables, parts, own).map_err(named)?)
            }
            Body::Dose(dose) => {
                last_dose = Some((at, dose.how == Applied::MixedIn));
                if dose.how == Applied::PouredLiquor || dose.how == Applied::PouredSlurry {
                    last_water = Some(at);
                }
                Event::Dosed(Box::new(dosed(tables, dose, own).map_err(named)?))
            }
            Body::Turned => Event::Turned,
            Body::Water { amount, .. } => {
                last_water = Some(at);
                Event::Living(Living::Watered(litres(tables, amount).map_err(named)?))
            }
            Body::Observation { words, .. } if words.contains(&Word::SmellAmmonia) => {
                Event::Smelt(words.clone())
            }
            Body::Reading(r) if r.what == Measured::Ph => {
                let hours = |t: i64| (at - t) as f64 / 3600.0;
                let logged = last_dose.map(|(t, mixed)| (hours(t), mixed));
                let settling = Settling::judge(
                    &rules,
                    later(logged, told.get(&entry.id).copied()),
                    last_water.map(hours),
                );
                match heard(tables, r, settling, ground.medium(at, &tuning))? {
                    Some(h) => Event::Heard(Box::new(h)),
                    None => continue,
                }
            }
            Body::JarTest(test) => Event::Jars(Box::new(jars(tables, test, own)?)),
            other => match living(tables, other, own, &sayings).map_err(named)? {
                Some(living) => Event::Living(living),
                None => continue,
            },
        };
        list.push(Timed {
            id: entry.id,
            at,
            event,
        });
    }
    Ok(list)
}

/// The dose closer to the reading: the last one logged, or one the keeper told
/// of without logging it. How the latter was given is not known, so it counts
/// as poured, the slower to settle.
fn later(logged: Option<(f64, bool)>, told_hours: Option<f64>) -> Option<(f64, bool)> {
    match (logged, told_hours) {
        (Some((hours, mixed)), Some(told)) if hours <= told => Some((hours, mixed)),
        (_, Some(told)) => Some((told, false)),
        (logged, None) => logged,
    }
}

/// What an entry does to the living bin, or shows of it.
fn living(
    tables: &Tables,
    body: &Body,
    own: &Own,
    sayings: &Sayings,
) -> Result<Option<Living>, fill::FillError> {
    Ok(Some(match body {
        Body::Feeding { parts } => Living::Fed(fill::ready(tables, parts, own)?),
        Body::Drain { amount } => Living::Drained(litres(tables, amount)?),
        Body::WormsIn { grams, count, .. } => Living::Stocked {
            grams: *grams,
            count: *count,
        },
        Body::Harvest { amount } => Living::Harvested(castings(tables, amount)?),
        Body::Observation { words, .. } if !words.is_empty() => Living::Seen(words.clone()),
        Body::WormCount {
            found,
            litres_searched,
            grams,
            ball,
        } => Living::Counted(Found {
            found: *found,
            litres: *litres_searched,
            grams: *grams,
            ball: *ball,
        }),
        Body::TrayTest(test) => Living::Tray(*test),
        Body::Reading(r) if r.what == Measured::BinKg => match r.spots.last() {
            Some(kg) => Living::Weighed(*kg),
            None => return Ok(None),
        },
        Body::Reading(r) => match sayings.gauge(r) {
            Some(gauge) => Living::Gauged(gauge),
            None => return Ok(None),
        },
        _ => return Ok(None),
    }))
}

/// Water or other liquid [kg].
fn litres(tables: &Tables, amount: &Amount) -> Result<Ranged, fill::FillError> {
    let given = amount
        .water_litres(tables)
        .map_err(|source| fill::FillError::Amount {
            material: fill::WATER.into(),
            source: Box::new(source),
        })?;
    Ok(Ranged {
        value: given.litres,
        low: given.low,
        high: given.high,
    })
}

/// Castings taken out, wet [kg].
fn castings(tables: &Tables, amount: &Amount) -> Result<Ranged, fill::FillError> {
    const KEY: &str = "vermicompost";
    let grams = amount
        .grams(tables.material(KEY)?, tables)
        .map_err(|source| fill::FillError::Amount {
            material: KEY.into(),
            source: Box::new(source),
        })?;
    Ok(Ranged {
        value: grams.grams / 1000.0,
        low: grams.low / 1000.0,
        high: grams.high / 1000.0,
    })
}

/// A dose with its product and grams.
pub(crate) fn dosed(tables: &Tables, dose: &Dose, own: &Own) -> Result<Dosed, fill::FillError> {
    let empty = BTreeMap::new();
    let values = own.get(&dose.material).unwrap_or(&empty);
    let product = Product::from_tables(tables, &dose.material, values)?;
    let material = fill::with_own(tables, &dose.material, own)?;
    let grams = dose
        .amount
        .grams(&material, tables)
        .map_err(|source| fill::FillError::Amount {
            material: dose.material.clone(),
            source: Box::new(source),
        })?;
    let parts = matches!(product.action, Action::SourBedding | Action::Passing)
        .then(|| {
            let part = crate::log::Part::plain(dose.material.clone(), dose.amount);
            fill::ready(tables, &[part], own)
        })
        .transpose()?;
    Ok(Dosed {
        product,
        grams: Ranged {
            value: grams.grams,
            low: grams.low,
            high: grams.high,
        },
        contact: ContactNumbers::usual(tables, dose.how)?,
        parts,
    })
}

impl ContactNumbers {
    /// Usual numbers for a way of giving.
    pub(crate) fn usual(tables: &Tables, how: Applied) -> Result<Self, TableError> {
        Ok(Self {
            how,
            touched: Ranged::of(tables, "constants", "dose", "contacted_share_poured")?,
            tau_days: Ranged::of(tables, "constants", "dose", "mixing_days")?,
            steep_litres: tables.value("bed", "bed", "steep_litres")?,
        })
    }

    pub(crate) fn draw(&self, rng: &mut rand_chacha::ChaCha8Rng) -> Contact {
        Contact {
            how: self.how,
            touched_share: self.touched.draw_log(rng).min(1.0),
            tau_days: self.tau_days.draw_log(rng),
            steep_litres: self.steep_litres,
        }
    }
}

/// How wet and salty the bedding was last said to be.
#[derive(Debug, Clone, Copy, Default)]
struct Ground {
    dry_at: Option<i64>,
    ec_ms_cm: Option<f64>,
}

impl Ground {
    fn hear(&mut self, at: i64, body: &Body, tuning: &Tuning) {
        match body {
            Body::Observation { words, .. } => {
                let dry = |w: &Word| matches!(w, Word::SqueezeDusty | Word::SqueezeWeak);
                let wet = |w: &Word| {
                    matches!(
                        w,
                        Word::SqueezeSeveral | Word::SqueezeTrickle | Word::SqueezeStream
                    )
                };
                if words.iter().any(dry) {
                    self.dry_at = Some(at);
                } else if words.iter().any(wet) {
                    self.dry_at = None;
                }
            }
            Body::Water { .. } | Body::Filled { .. } => self.dry_at = None,
            Body::Reading(r) if !r.spots.is_empty() => {
                let mean = r.spots.iter().sum::<f64>() / r.spots.len() as f64;
                match r.what {
                    Measured::MoisturePercent => {
                        self.dry_at = (mean < tuning.dry_percent).then_some(at);
                    }
                    Measured::EcMsCm => self.ec_ms_cm = Some(mean),
                    _ => {}
                }
            }
            _ => {}
        }
    }

    fn medium(&self, at: i64, tuning: &Tuning) -> Medium {
        Medium {
            dry: self
                .dry_at
                .is_some_and(|t| (at - t) as f64 <= tuning.dry_days * 86_400.0),
            ec_ms_cm: self.ec_ms_cm,
        }
    }
}

fn heard(
    tables: &Tables,
    reading: &Reading,
    settling: Settling,
    medium: Medium,
) -> Result<Option<HeardPh>, EstimateError> {
    let instrument = Instrument::from_tables(tables, &reading.instrument)?;
    let medium = medium.shift(tables, &instrument)?;
    let place_sd = place_sd(tables, reading.place)?.hypot(medium.dry_sd);
    Ok(
        combine(&reading.spots, &instrument).map(|combined| HeardPh {
            reading: reading.clone(),
            instrument,
            combined: Combined {
                mean: combined.mean + medium.dry_shift,
                ..combined
            },
            place_sd,
            settling,
            medium,
        }),
    )
}

/// How far one kind of place may stand from the whole bed [pH]. It is no part
/// of the instrument's bias: the next reading may be taken elsewhere.
fn place_sd(tables: &Tables, place: Place) -> Result<f64, TableError> {
    let property = match place {
        Place::Spread | Place::Middle => return Ok(0.0),
        Place::Top | Place::Bottom => "top_or_bottom_sd_ph",
        Place::Edge | Place::Food => "edge_or_food_sd_ph",
    };
    tables.value("bed", "reading", property)
}

fn jars(tables: &Tables, test: &JarTest, own: &Own) -> Result<Jars, EstimateError> {
    let empty = BTreeMap::new();
    Ok(Jars {
        test: test.clone(),
        product: Product::from_tables(
            tables,
            &test.material,
            own.get(&test.material).unwrap_or(&empty),
        )?,
        instrument: Instrument::from_tables(tables, &test.instrument)?,
    })
}
