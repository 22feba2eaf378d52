//! Entries of the log, in few words.

use crate::desk::DeskError;
use engine::log::{Applied, Body, Dose, Measured, Part, Place, Reading, Word};
use engine::measure::Amount;

pub(super) fn parts(list: &[(&str, &str)]) -> Result<Vec<Part>, DeskError> {
    list.iter()
        .map(|(material, amount)| Ok(Part::plain(*material, Amount::parse(amount)?)))
        .collect()
}

pub(super) fn filled(list: &[(&str, &str)]) -> Result<Body, DeskError> {
    Ok(Body::Filled {
        parts: parts(list)?,
    })
}

pub(super) fn fed(material: &str, amount: &str) -> Result<Body, DeskError> {
    Ok(Body::Feeding {
        parts: parts(&[(material, amount)])?,
    })
}

pub(super) fn read(what: Measured, spots: &[f64], instrument: &str, place: Place) -> Body {
    Body::Reading(Reading {
        what,
        spots: spots.to_vec(),
        instrument: instrument.into(),
        place,
        text: String::new(),
        confirmed: false,
    })
}

pub(super) fn ph(spots: &[f64]) -> Body {
    read(Measured::Ph, spots, "cheap_pen", Place::Spread)
}

pub(super) fn probe(spots: &[f64]) -> Body {
    read(Measured::Ph, spots, "two_metal_probe", Place::Spread)
}

pub(super) fn warmth(celsius: f64) -> Body {
    read(Measured::BeddingCelsius, &[celsius], "own", Place::Middle)
}

pub(super) fn seen(words: &[Word], text: &str) -> Body {
    Body::Observation {
        words: words.to_vec(),
        text: text.into(),
    }
}

pub(super) fn dose(material: &str, amount: &str, how: Applied) -> Result<Body, DeskError> {
    Ok(Body::Dose(Dose {
        material: material.into(),
        amount: Amount::parse(amount)?,
        how,
    }))
}

pub(super) fn water(amount: &str) -> Result<Body, DeskError> {
    Ok(Body::Water {
        amount: Amount::parse(amount)?,
        soft: false,
    })
}

pub(super) fn worms(grams: f64) -> Body {
    Body::WormsIn {
        grams: Some(grams),
        count: None,
        species: String::new(),
    }
}

/// Worms found in some litres, and weighed.
pub(super) fn counted(found: f64, litres: f64, grams: f64) -> Body {
    Body::WormCount {
        found,
        litres_searched: Some(litres),
        grams: Some(grams),
        ball: false,
    }
}

pub(super) fn air(celsius: f64) -> Body {
    read(Measured::AirCelsius, &[celsius], "own", Place::Spread)
}

pub(super) fn note(text: &str) -> Body {
    Body::Note { text: text.into() }
}
