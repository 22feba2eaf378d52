//! What an entry cannot say, whatever the bin and the log: refused at every
//! door.

use super::{Body, JarTest, Measured, Reading, ShedItem, Word};
use crate::bounds::{AMOUNT_GRAMS, Bound, BoundError, WORM_COUNT, WORMS_GRAMS};
use crate::echo::Said;
use crate::living::species::Species;
use crate::table::{Property, Role, TableError, Tables};
use thiserror::Error;

/// Why an entry cannot be.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum Impossible {
    /// A word of one look more than once.
    #[error("words: `{0}` is given more than once; give each word once")]
    Twice(String),
    /// Part of a worm.
    #[error(
        "number of worms `{}` is not a whole number; give one from 0 to {} worms",
        Said(*.0), Said(WORM_COUNT.high)
    )]
    PartOfOne(f64),
    /// No worms put in.
    #[error(
        "worms put in: 0 g and 0 worms are none; give more than 0, to {} g or {} worms",
        Said(WORMS_GRAMS.high), Said(WORM_COUNT.high)
    )]
    NoWorms,
    /// Worms too heavy or too light for their number.
    #[error("{} g for {} worms: {bound}", Said(*.grams), Said(*.count))]
    Worm {
        /// Of all of them [g].
        grams: f64,
        /// How many.
        count: f64,
        /// Of one.
        bound: BoundError,
    },
    /// An instrument that reads something else.
    #[error(
        "instrument `{instrument}` reads pH and cannot read {what}; name what that was read with, or name nothing"
    )]
    Instrument {
        /// Key of the instrument.
        instrument: String,
        /// What it was to read.
        what: &'static str,
    },
    /// A lime that would neutralise nothing.
    #[error(
        "`neutralising_percent` of `{material}`: `{}` % of pure CaCO3 is no lime, and no amount of it would act; give what its label says, {} to {} % by what is known of it",
        Said(*.given), Said(*.low), Said(*.high)
    )]
    NoLime {
        /// Key of the material.
        material: String,
        /// As given [% of pure CaCO3].
        given: f64,
        /// Lowest known [% of pure CaCO3].
        low: f64,
        /// Highest known [% of pure CaCO3].
        high: f64,
    },
    /// Jars that all have the same in them.
    #[error(
        "jars: every jar has `{}` g, which teaches nothing; give at least two different amounts from {} to {} g",
        Said(*.0), Said(AMOUNT_GRAMS.low), Said(AMOUNT_GRAMS.high)
    )]
    SameDose(f64),
    /// The tables lack what is needed.
    #[error(transparent)]
    Table(#[from] TableError),
}

/// Whether an entry says something that can be.
///
/// # Errors
/// [`Impossible`] naming what cannot.
pub fn possible(tables: &Tables, body: &Body) -> Result<(), Impossible> {
    match body {
        Body::Correction {
            replacement: Some(new),
            ..
        } => possible(tables, new),
        Body::Observation { words, .. } => each_once(words),
        Body::WormsIn {
            grams,
            count,
            species,
        } => {
            let none = |n: &Option<f64>| n.is_none_or(|n| n == 0.0);
            if none(grams) && none(count) {
                return Err(Impossible::NoWorms);
            }
            worms(tables, *grams, *count, species)
        }
        // Worms weighed and not counted stand as none found.
        Body::WormCount { found, grams, .. } => {
            let found = Some(*found).filter(|n| *n > 0.0 || grams.is_none());
            worms(tables, *grams, found, "")
        }
        Body::Reading(reading) => reads_it(tables, reading),
        Body::JarTest(test) => differ(test),
        Body::Shed(item) => is_lime(tables, item),
        _ => Ok(()),
    }
}

fn each_once(words: &[Word]) -> Result<(), Impossible> {
    for (n, word) in words.iter().enumerate() {
        if words[..n].contains(word) {
            return Err(Impossible::Twice(typed(*word)));
        }
    }
    Ok(())
}

/// A word as it is typed, `worms-spread`.
fn typed(word: Word) -> String {
    let mut said = String::new();
    for letter in format!("{word:?}").chars() {
        if letter.is_ascii_uppercase() && !said.is_empty() {
            said.push('-');
        }
        said.push(letter.to_ascii_lowercase());
    }
    said
}

/// A whole number of worms, and each as heavy as one of its kind can be.
fn worms(
    tables: &Tables,
    grams: Option<f64>,
    count: Option<f64>,
    species: &str,
) -> Result<(), Impossible> {
    let Some(count) = count else {
        return Ok(());
    };
    if count.fract() != 0.0 {
        return Err(Impossible::PartOfOne(count));
    }
    let Some(grams) = grams else {
        return Ok(());
    };
    let of_one = mass_of_one(
        tables,
        Species::parse(species).filter(|_| !species.is_empty()),
    )?;
    match of_one.check(grams / count) {
        Ok(_) => Ok(()),
        Err(bound) => Err(Impossible::Worm {
            grams,
            count,
            bound,
        }),
    }
}

/// From the lightest just hatched to the heaviest alone on good food; of every
/// kind where it is not known which.
fn mass_of_one(tables: &Tables, species: Option<Species>) -> Result<Bound, TableError> {
    let kinds = species.map_or(Species::ALL.to_vec(), |one| vec![one]);
    let (mut low, mut high) = (f64::INFINITY, 0.0f64);
    for kind in kinds {
        low = low.min(tables.triple("species", kind.name(), "hatch_g")?.0);
        high = high.max(tables.triple("species", kind.name(), "solo_g")?.2);
    }
    Ok(Bound {
        name: "mass of one worm",
        unit: "g",
        low,
        high,
        why: "from just hatched to the heaviest of its kind",
    })
}

/// A pH instrument reads nothing else, but for those that have more feelers.
fn reads_it(tables: &Tables, reading: &Reading) -> Result<(), Impossible> {
    let Ok(known) = tables.instrument(&reading.instrument) else {
        // Of the keeper's own.
        return Ok(());
    };
    let what = match reading.what {
        Measured::Ph => return Ok(()),
        Measured::BinKg => "the mass of a bin",
        _ if known.reads_more => return Ok(()),
        Measured::BeddingCelsius => "the temperature of the bed",
        Measured::AirCelsius => "the temperature of the air",
        Measured::EcMsCm => "salt (EC)",
        Measured::MoisturePercent => "moisture",
    };
    Err(Impossible::Instrument {
        instrument: known.key.clone(),
        what,
    })
}

/// A keeper's own lime neutralises something.
fn is_lime(tables: &Tables, item: &ShedItem) -> Result<(), Impossible> {
    let property = Property::NeutralisingPercent;
    let material = tables.material(&item.material)?;
    let given = item.own.get(property.name()).copied();
    let Some((given, known)) = given.zip(material.number(property)) else {
        return Ok(());
    };
    match (known.low, known.high) {
        (Some(low), Some(high))
            if material.role == Role::Amendment && low > 0.0 && given <= 0.0 =>
        {
            Err(Impossible::NoLime {
                material: item.material.clone(),
                given,
                low,
                high,
            })
        }
        _ => Ok(()),
    }
}

fn differ(test: &JarTest) -> Result<(), Impossible> {
    let Some(first) = test.jars.first() else {
        return Ok(());
    };
    let same = |grams: f64| (grams - first.grams).abs() < 1e-9;
    match test.jars.iter().all(|jar| same(jar.grams)) {
        true => Err(Impossible::SameDose(first.grams)),
        false => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::{Jar, Place};

    fn said(body: &Body) -> String {
        let tables = Tables::load().unwrap();
        possible(&tables, body).map_or_else(|e| e.to_string(), |()| "possible".into())
    }

    fn put_in(grams: Option<f64>, count: Option<f64>, species: &str) -> Body {
        Body::WormsIn {
            grams,
            count,
            species: species.into(),
        }
    }

    #[test]
    fn worms_are_whole_and_as_heavy_as_worms() {
        let of = |g, n, kind: &str| said(&put_in(g, n, kind));
        assert_eq!(of(Some(250.0), Some(600.0), ""), "possible");
        assert_eq!(of(Some(3.5), Some(1.0), "eudrilus_eugeniae"), "possible");
        assert_eq!(of(Some(0.0), None, ""), of(Some(0.0), Some(0.0), ""));
        assert!(of(Some(0.0), Some(0.0), "").contains("are none"));
        assert!(of(None, Some(1.5), "").starts_with("number of worms `1.5` is not"));
        assert_eq!(
            of(Some(1000.0), Some(1.0), "eisenia_fetida"),
            "1000 g for 1 worms: mass of one worm `1000` g is outside the allowed range 0.002 to 2.4 g (from just hatched to the heaviest of its kind)"
        );
        assert!(of(Some(3.5), Some(1.0), "eisenia_fetida").contains("2.4 g"));
        let found = Body::WormCount {
            found: 0.0,
            litres_searched: None,
            grams: Some(40.0),
            ball: false,
        };
        assert_eq!(said(&found), "possible");
    }

    #[test]
    fn a_word_twice_and_an_instrument_for_something_else_are_refused() {
        let look = |words: &[Word]| {
            said(&Body::Observation {
                words: words.to_vec(),
                text: "".into(),
            })
        };
        assert_eq!(look(&Word::ALL), "possible");
        assert!(look(&[Word::Mites, Word::FoodGone, Word::Mites]).contains("`mites`"));
        let read = |what, instrument: &str| {
            said(&Body::Reading(Reading {
                what,
                spots: vec![20.0],
                instrument: instrument.into(),
                place: Place::Spread,
                text: String::new(),
                confirmed: false,
            }))
        };
        let warmth = Measured::BeddingCelsius;
        assert!(
            read(warmth, "cheap_pen").contains("`cheap_pen` reads pH and cannot read the temp")
        );
        assert_eq!(read(warmth, "meat thermometer"), "possible");
        assert_eq!(
            read(Measured::MoisturePercent, "digital_soil_probe"),
            "possible"
        );
        assert!(read(Measured::BinKg, "digital_soil_probe").contains("mass of a bin"));
    }

    #[test]
    fn jars_of_one_dose_are_refused() {
        let jars = |doses: &[f64]| {
            let jar = |grams: &f64| Jar {
                grams: *grams,
                ph: 6.0,
            };
            said(&Body::JarTest(JarTest {
                wet_bedding_grams: 100.0,
                material: "limestone_calcitic".into(),
                hours: 48.0,
                instrument: "good_pen".into(),
                jars: doses.iter().map(jar).collect(),
            }))
        };
        assert_eq!(jars(&[0.0, 1.0, 1.0]), "possible");
        assert!(jars(&[0.0, 0.0, 0.0]).starts_with("jars: every jar has `0` g"));
    }
}
