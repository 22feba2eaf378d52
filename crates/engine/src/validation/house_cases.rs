//! Reports of keepers that carry numbers, asked of the engine. No source: what
//! people told. Arithmetic is done with the engine's own functions where it
//! has them; the rest is lived through by the living model, a hundred possible
//! bins each, with no number of the model tuned.
//!
//! Where a keeper does not say, the scene is ours, and after a first run some
//! scenes were changed: K13 (peat for loam, less feed), K74 (coir alone), K09
//! (a box that drains), P5 and P7 (less feed; card and coir). K42 and K61 are
//! read at the end of the run instead of at the start of its last step.

mod arithmetic;
mod cold;
mod growth;
mod heat;
mod new_bin;

use super::cases::{Case, load};
use super::experiments::{Blind, Quantity};
use super::predicted::{Kind, Prediction};
use super::trial::{Ran, said};
use super::{Area, Basis, Check, Expected, From, ValidationError, between};
use crate::quantity::Band;
use crate::table::{TableError, Tables};

const KEEPERS: From = From {
    area: Area::Cases,
    source: "keepers",
    basis: Basis::Practice,
    unit: "-",
    decimals: 2,
};

/// The cases, by key.
struct Told {
    cases: Vec<Case>,
}

impl Told {
    fn case(&self, key: &str) -> Result<&Case, ValidationError> {
        let found = self.cases.iter().find(|c| c.key == key);
        found.ok_or_else(|| missing(key, "any"))
    }

    /// A value given or seen.
    fn value(&self, key: &str, property: &str) -> Result<f64, ValidationError> {
        let number = self.case(key)?.number(property);
        number
            .map(|n| n.value)
            .ok_or_else(|| missing(key, property))
    }

    /// What was seen, with the tolerance that is fair.
    fn expected(&self, key: &str, property: &str) -> Result<Expected, ValidationError> {
        let number = self.case(key)?.number(property);
        let n = number.ok_or_else(|| missing(key, property))?;
        Ok(between(n.low, n.high))
    }
}

fn missing(key: &str, property: &str) -> ValidationError {
    ValidationError::Table(TableError::UnknownNumber {
        table: "case_numbers".to_owned(),
        subject: key.to_owned(),
        property: property.to_owned(),
        nearest: String::new(),
    })
}

/// A check of a number of a case.
fn told(
    cases: &Told,
    (key, property): (&str, &str),
    (unit, decimals): (&'static str, usize),
    what: &str,
    ours: f64,
) -> Result<Check, ValidationError> {
    let from = From {
        unit,
        decimals,
        ..KEEPERS
    };
    let short = property.trim_start_matches("out.").replace('_', " ");
    let expected = cases.expected(key, property)?;
    Ok(from.check(format!("{key} {short}"), what, expected, ours))
}

/// A check of a run, its interval in the note.
fn ran(
    (key, unit, decimals): (&str, &'static str, usize),
    what: &str,
    (low, high): (f64, f64),
    ours: &Band,
    note: &str,
) -> Check {
    let from = From {
        unit,
        decimals,
        ..KEEPERS
    };
    from.check(key, what, between(low, high), ours.median)
        .note(&format!("{}. {note}", said(ours, decimals)))
}

/// Share of the worms put in that live on.
fn alive(run: &Ran) -> Band {
    run.alive()
}

/// Something measured by a keeper and what was predicted of it.
fn measured(
    key: &str,
    quantity: Quantity,
    kind: Kind,
    (day, observed): (f64, f64),
    band: &Band,
) -> Prediction {
    Prediction {
        experiment: key.to_owned(),
        treatment: "keeper".to_owned(),
        blind: Blind::Yes,
        day,
        quantity,
        kind,
        observed,
        sd: None,
        median: band.median,
        low: band.low,
        high: band.high,
        assumed: "as the case says",
    }
}

/// The checks, and those of the numbers behind them that somebody measured.
pub(super) fn asked(tables: &Tables) -> Result<(Vec<Check>, Vec<Prediction>), ValidationError> {
    let cases = Told { cases: load()? };
    let mut seen = Vec::new();
    let mut all = arithmetic::checks(tables, &cases)?;
    all.extend(growth::checks(tables, &cases, &mut seen)?);
    all.extend(new_bin::checks(tables)?);
    all.extend(cold::checks(tables, &cases, &mut seen)?);
    all.extend(heat::checks(tables, &cases, &mut seen)?);
    Ok((all, seen))
}
