//! From log entries to the events that move a bed, in order of time.

use crate::bed::draw::Chance;
use crate::bed::fill::{self, FillError, Own, ReadyPart};
use crate::bed::product::{Action, Contact, Product, Ranged};
use crate::estimate::filter::EstimateError;
use crate::estimate::live::Living;
use crate::estimate::room::Room;
use crate::estimate::tuning::Tuning;
use crate::living::observe::{Sayings, count::Found};
use crate::log::{
    Applied, BinDescription, Body, Dose, Entry, EntryId, JarTest, Measured, Place, Reading,
    ShedItem, Word,
};
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

/// An entry of the log that the estimate could not use, wholly or in part.
/// None such is taken in now; older logs may hold one.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    /// Which entry.
    pub entry: EntryId,
    /// Why.
    pub why: FillError,
}

/// Whether an entry about `bin` can be used by the estimate and by every answer
/// built on it: each amount can be turned into what its kind needs and can have
/// been in a bin of that size, each material and instrument is known. It is asked at every way into the log, and what it
/// asks is what the estimate itself does with the entry.
///
/// # Errors
/// [`FillError`] naming what cannot be used and why.
pub fn usable(
    tables: &Tables,
    own: &Own,
    bin: Option<&BinDescription>,
    body: &Body,
) -> Result<(), FillError> {
    match body {
        Body::Correction {
            replacement: Some(new),
            ..
        } => usable(tables, own, bin, new),
        Body::Reading(r) if r.what == Measured::Ph => {
            heard(tables, r, Settling::Settled, Medium::default()).map(drop)
        }
        Body::Shed(item) => shed_item(tables, item),
        body => {
            if let Some((_, Some(why))) = done(tables, own, body)? {
                return Err(why);
            }
            match bin.map(|b| Room::of(tables, b)).transpose()?.flatten() {
                Some(room) => room.takes(tables, own, body),
                None => Ok(()),
            }
        }
    }
}

/// A shed item's own values and amount.
fn shed_item(tables: &Tables, item: &ShedItem) -> Result<(), FillError> {
    let own = Own::from([(item.material.clone(), item.own.clone())]);
    let material = fill::with_own(tables, &item.material, &own)?;
    if let Some(mm) = item.own.get("particle_mm") {
        let particle = crate::bounds::PARTICLE_MM.check(*mm);
        particle.map_err(|source| FillError::Bound {
            material: item.material.clone(),
            source,
        })?;
    }
    if let Some(amount) = item.available {
        amount
            .grams(&material, tables)
            .map_err(fill::amount_of(&item.material))?;
    }
    Ok(())
}

/// The entries of a bin's effective log that the estimate cannot use, wholly or
/// in part, with these own values.
///
/// # Errors
/// [`EstimateError`] when a table lacks what is needed.
pub fn left_out(tables: &Tables, log: &[Entry], own: &Own) -> Result<Vec<LeftOut>, EstimateError> {
    Ok(events(tables, None, log, own, &Told::new())?.1)
}

/// Events of one bin from its effective log, in order, and the entries that
/// could not be used.
pub(crate) fn events(
    tables: &Tables,
    bin: Option<&BinDescription>,
    log: &[Entry],
    own: &Own,
    told: &Told,
) -> Result<(Vec<Timed>, Vec<LeftOut>), EstimateError> {
    let mut reader = Reader {
        tables,
        own,
        told,
        room: Room::of_log(tables, bin, log)?,
        sayings: Sayings::load(tables)?,
        rules: Rules::from_tables(tables)?,
        tuning: Tuning::load(tables)?,
        last_dose: None,
        last_water: None,
        ground: Ground::default(),
        depth_cm: None,
    };
    let (mut list, mut left_out) = (Vec::new(), Vec::new());
    for entry in log {
        let (event, why) = match reader.read(entry) {
            Ok(Some((event, why))) => (Some(event), why),
            Ok(None) => (None, None),
            Err(why) => (None, Some(why)),
        };
        list.extend(event.map(|event| Timed {
            id: entry.id,
            at: entry.at_unix_seconds,
            event,
        }));
        left_out.extend(why.map(|why| LeftOut {
            entry: entry.id,
            why,
        }));
    }
    depth_after_filling(&mut list);
    Ok((list, left_out))
}

/// A depth written before anything went in is that of the bedding that did:
/// it is heard after the first filling.
fn depth_after_filling(list: &mut Vec<Timed>) {
    let Some(first) = list
        .iter()
        .position(|e| matches!(e.event, Event::Filled(_)))
    else {
        return;
    };
    let stood = |e: &Timed| matches!(e.event, Event::Living(Living::Stood(_)));
    let Some(last) = list[..first].iter().rposition(stood) else {
        return;
    };
    let mut level = list.remove(last);
    level.at = list[first - 1].at;
    list.insert(first, level);
}

/// What an entry comes to, and what of it could not be used.
type Came = (Event, Option<FillError>);

/// Reads the log entry by entry, keeping what later readings hang on.
struct Reader<'a> {
    tables: &'a Tables,
    own: &'a Own,
    told: &'a Told,
    room: Option<Room>,
    sayings: Sayings,
    rules: Rules,
    tuning: Tuning,
    last_dose: Option<(i64, bool)>,
    last_water: Option<i64>,
    ground: Ground,
    /// Depth of bedding last written [cm].
    depth_cm: Option<f64>,
}

impl Reader<'_> {
    fn read(&mut self, entry: &Entry) -> Result<Option<Came>, FillError> {
        let at = entry.at_unix_seconds;
        if let Some(room) = &self.room {
            room.takes(self.tables, self.own, &entry.body)?;
        }
        self.ground.hear(at, &entry.body, &self.tuning);
        let came = match &entry.body {
            Body::Observation { words, .. } if words.contains(&Word::SmellAmmonia) => {
                Some((Event::Smelt(words.clone()), None))
            }
            Body::Reading(r) if r.what == Measured::Ph => {
                let hours = |t: i64| (at - t) as f64 / 3600.0;
                let logged = self.last_dose.map(|(t, mixed)| (hours(t), mixed));
                let settling = Settling::judge(
                    &self.rules,
                    later(logged, self.told.get(&entry.id).copied()),
                    self.last_water.map(hours),
                );
                let medium = self.ground.medium(at, &self.tuning);
                let heard = heard(self.tables, r, settling, medium)?;
                heard.map(|h| (Event::Heard(Box::new(h)), None))
            }
            // A description written anew for another reason says nothing new.
            Body::Bin(b) if b.bedding_depth_cm != self.depth_cm => {
                self.depth_cm = b.bedding_depth_cm;
                let level = self.sayings.level(b);
                level.map(|l| (Event::Living(Living::Stood(l)), None))
            }
            other => match done(self.tables, self.own, other)? {
                Some(came) => Some(came),
                None => seen(other, &self.sayings).map(|l| (Event::Living(l), None)),
            },
        };
        self.remember(at, &entry.body);
        Ok(came)
    }

    /// What readings after this entry must know of it.
    fn remember(&mut self, at: i64, body: &Body) {
        match body {
            Body::Filled { .. } => (self.last_dose, self.last_water) = (None, None),
            Body::Dose(dose) => {
                self.last_dose = Some((at, dose.how == Applied::MixedIn));
                if dose.how == Applied::PouredLiquor || dose.how == Applied::PouredSlurry {
                    self.last_water = Some(at);
                }
            }
            Body::Water { .. } => self.last_water = Some(at),
            _ => {}
        }
    }
}

/// What was done to the bin, its amounts turned into what the bed needs;
/// `None` for what was seen.
fn done(tables: &Tables, own: &Own, body: &Body) -> Result<Option<Came>, FillError> {
    let whole = |event| Ok(Some((event, None)));
    match body {
        Body::Filled { parts } => {
            let (ready, why) = fill::ready_those(tables, parts, own)?;
            fill::is_a_bed(&ready)?;
            Ok(Some((Event::Filled(ready), why)))
        }
        Body::BeddingAdded { parts } => {
            let (ready, why) = fill::ready_those(tables, parts, own)?;
            Ok(Some((Event::Added(ready), why)))
        }
        Body::Feeding { parts } => {
            let (ready, why) = fill::ready_those(tables, parts, own)?;
            Ok(Some((Event::Living(Living::Fed(ready)), why)))
        }
        Body::Dose(dose) => whole(Event::Dosed(Box::new(dosed(tables, dose, own)?))),
        Body::Turned => whole(Event::Turned),
        Body::Water { amount, .. } => whole(Event::Living(Living::Watered(litres(
            tables,
            fill::WATER,
            amount,
        )?))),
        Body::Drain { amount } => {
            let drained = litres(tables, fill::DRAINED, amount)?;
            whole(Event::Living(Living::Drained(drained)))
        }
        Body::Harvest { amount } => {
            whole(Event::Living(Living::Harvested(castings(tables, amount)?)))
        }
        Body::JarTest(test) => whole(Event::Jars(Box::new(jars(tables, test, own)?))),
        _ => Ok(None),
    }
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

/// What an entry shows of the living bin, and worms put in.
fn seen(body: &Body, sayings: &Sayings) -> Option<Living> {
    match body {
        Body::WormsIn { grams, count, .. } => Some(Living::Stocked {
            grams: *grams,
            count: *count,
        }),
        Body::Observation { words, .. } if !words.is_empty() => Some(Living::Seen(words.clone())),
        Body::WormCount {
            found,
            litres_searched,
            grams,
            ball,
        } => Some(Living::Counted(Found {
            found: *found,
            litres: *litres_searched,
            grams: *grams,
            ball: *ball,
        })),
        Body::TrayTest(test) => Some(Living::Tray(*test)),
        Body::Reading(r) if r.what == Measured::BinKg => {
            r.spots.last().map(|kg| Living::Weighed(*kg))
        }
        Body::Reading(r) => sayings.gauge(r).map(Living::Gauged),
        _ => None,
    }
}

/// Water or other liquid [kg].
fn litres(tables: &Tables, what: &str, amount: &Amount) -> Result<Ranged, FillError> {
    let given = amount.water_litres(tables).map_err(fill::amount_of(what))?;
    Ok(Ranged {
        value: given.litres,
        low: given.low,
        high: given.high,
    })
}

/// Castings taken out, wet [kg].
fn castings(tables: &Tables, amount: &Amount) -> Result<Ranged, FillError> {
    const KEY: &str = "vermicompost";
    let grams = amount
        .grams(tables.material(KEY)?, tables)
        .map_err(fill::amount_of(KEY))?;
    Ok(Ranged {
        value: grams.grams / 1000.0,
        low: grams.low / 1000.0,
        high: grams.high / 1000.0,
    })
}

/// A dose with its product and grams.
pub(crate) fn dosed(tables: &Tables, dose: &Dose, own: &Own) -> Result<Dosed, FillError> {
    let empty = BTreeMap::new();
    let values = own.get(&dose.material).unwrap_or(&empty);
    let product = Product::from_tables(tables, &dose.material, values)?;
    let material = fill::with_own(tables, &dose.material, own)?;
    let grams = dose
        .amount
        .grams(&material, tables)
        .map_err(fill::amount_of(&dose.material))?;
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

    pub(crate) fn draw(&self, rng: &mut dyn Chance) -> Contact {
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
) -> Result<Option<HeardPh>, FillError> {
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

fn jars(tables: &Tables, test: &JarTest, own: &Own) -> Result<Jars, FillError> {
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
