//! Parts as a keeper gives them, checked and with their ranges.

use crate::bed::product::{Product, Ranged};
use crate::bounds;
use crate::log::{Part, PeatLabel};
use crate::measure::AmountError;
use crate::table::{Material, TableError, Tables, inside_a_sentence};
use std::collections::BTreeMap;
use thiserror::Error;

/// Why parts could not be made a bed.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum FillError {
    /// A material or number is not in the tables.
    #[error(transparent)]
    Table(#[from] TableError),
    /// An amount does not fit the material.
    #[error("{material}: {source}")]
    Amount {
        /// Material key.
        material: String,
        /// What was wrong.
        source: Box<AmountError>,
    },
    /// A value outside its range.
    #[error("{material}: {source}")]
    Bound {
        /// Material key.
        material: String,
        /// What was wrong.
        source: bounds::BoundError,
    },
    /// More than can have been in the bin.
    #[error(
        "{what} `{given}` is outside the allowed range 0 to {most}: this bin holds {litres} L ({gallons} gallons), and more than that cannot have been in it or come out of it at once"
    )]
    NoRoom {
        /// What, by its key or name.
        what: String,
        /// As given, with its unit.
        given: String,
        /// Most this bin takes, in the same unit.
        most: String,
        /// Inner volume of the bin [L].
        litres: f64,
        /// The same [US gallons].
        gallons: f64,
    },
    /// More parts than are put in at once.
    #[error(transparent)]
    Parts(bounds::BoundError),
    /// Nothing to fill with.
    #[error(
        "there are no parts; name at least one material with an amount, such as `coir_pith` and `20 L`"
    )]
    Nothing,
    /// Water, lime and the like, but nothing worms could live in.
    #[error(
        "there is no bedding among the parts, only {found}; name at least one bedding with an amount, such as `coir_pith` and `20 L`"
    )]
    NoBedding {
        /// Names of what is there.
        found: String,
    },
}

/// What was wrong with an amount of a material.
pub(crate) fn amount_of(material: &str) -> impl Fn(AmountError) -> FillError {
    move |source| FillError::Amount {
        material: material.to_owned(),
        source: Box::new(source),
    }
}

/// Key under which plain water may stand among the parts.
pub const WATER: &str = "water";

/// What liquid drained off is called in an error.
pub(crate) const DRAINED: &str = "liquid drained";

/// A part made ready: the material with the keeper's own values, and ranges.
#[derive(Debug, Clone)]
pub struct ReadyPart {
    /// The material; `None` for water.
    pub material: Option<Material>,
    /// The other row of an unlabelled bag of peat, when the label does not say.
    pub maybe: Option<Material>,
    /// Wet mass [g].
    pub grams: Ranged,
    /// Loose volume [L].
    pub litres: Ranged,
    /// Own pH.
    pub ph: Option<f64>,
    /// Own moisture [% of wet mass].
    pub moisture_percent: Option<f64>,
    /// Name shown.
    pub name: String,
    /// Site capacities [cmol/kg dry at pKa 3..10] and their geometric spread.
    pub sites: [f64; 8],
    /// Geometric standard deviation of the buffer's strength [-].
    pub gsd: f64,
    /// A lime, ash or acid among the parts: it acts, but has no sites.
    pub reagent: Option<Product>,
}

impl ReadyPart {
    /// `factor` times as much of it.
    #[must_use]
    pub fn times(&self, factor: f64) -> Self {
        Self {
            grams: self.grams.times(factor),
            litres: self.litres.times(factor),
            ..self.clone()
        }
    }
}

/// The keeper's own values by material key.
pub type Own = BTreeMap<String, BTreeMap<String, f64>>;

/// Makes parts ready, checking every amount and value.
///
/// # Errors
/// [`FillError`] naming the material and what is wrong.
pub fn ready(tables: &Tables, parts: &[Part], own: &Own) -> Result<Vec<ReadyPart>, FillError> {
    if parts.is_empty() {
        return Err(FillError::Nothing);
    }
    parts.iter().map(|p| ready_part(tables, p, own)).collect()
}

/// As [`ready`], for a whole bed: something besides water, lime, ash or acid
/// must be there, or there is nothing with a pH of its own to speak of.
///
/// # Errors
/// As [`ready`], or [`FillError::NoBedding`].
pub fn ready_bed(tables: &Tables, parts: &[Part], own: &Own) -> Result<Vec<ReadyPart>, FillError> {
    let parts = ready(tables, parts, own)?;
    is_a_bed(&parts)?;
    Ok(parts)
}

/// As [`ready`], without the parts that cannot be used, and why the first of
/// them cannot.
///
/// # Errors
/// [`FillError`] when none can be used.
pub(crate) fn ready_those(
    tables: &Tables,
    parts: &[Part],
    own: &Own,
) -> Result<(Vec<ReadyPart>, Option<FillError>), FillError> {
    bounds::PARTS
        .check(parts.len().max(1) as f64)
        .map_err(FillError::Parts)?;
    let mut why = None;
    let mut found = Vec::with_capacity(parts.len());
    for part in parts {
        match ready_part(tables, part, own) {
            Ok(part) => found.push(part),
            Err(e) => why = why.or(Some(e)),
        }
    }
    if found.is_empty() {
        return Err(why.unwrap_or(FillError::Nothing));
    }
    Ok((found, why))
}

/// Something besides water, lime, ash or acid is among them.
pub(crate) fn is_a_bed(parts: &[ReadyPart]) -> Result<(), FillError> {
    let is_bedding = |p: &ReadyPart| p.material.is_some() && p.reagent.is_none();
    if parts.iter().any(is_bedding) {
        return Ok(());
    }
    let names: Vec<String> = parts.iter().map(|p| inside_a_sentence(&p.name)).collect();
    Err(FillError::NoBedding {
        found: names.join(", "),
    })
}

fn ready_part(tables: &Tables, part: &Part, own: &Own) -> Result<ReadyPart, FillError> {
    let bound = |b: &bounds::Bound, v: Option<f64>| -> Result<Option<f64>, FillError> {
        v.map(|v| b.check(v))
            .transpose()
            .map_err(|source| FillError::Bound {
                material: part.material.clone(),
                source,
            })
    };
    let ph = bound(&bounds::BEDDING_PH, part.ph)?;
    let moisture_percent = bound(&bounds::MOISTURE_PERCENT, part.moisture_percent)?;
    let amount_error = amount_of(&part.material);
    if part.material == WATER {
        let litres = part
            .amount
            .water_litres(tables)
            .map_err(&amount_error)?
            .litres;
        return Ok(water_part(litres));
    }
    let (key, maybe_key) = peat_rows(&part.material, part.label);
    let material = with_own(tables, key, own)?;
    let maybe = maybe_key.map(|k| with_own(tables, k, own)).transpose()?;
    let grams = part
        .amount
        .grams(&material, tables)
        .map_err(&amount_error)?;
    let litres = part
        .amount
        .litres(&material, tables)
        .map_err(amount_error)?;
    let (sites, gsd, reagent) = match tables.sites(key) {
        Ok(found) => (found.capacity_cmol_kg, found.gsd, None),
        Err(TableError::NoSites { .. }) => {
            let empty = BTreeMap::new();
            let values = own.get(key).unwrap_or(&empty);
            ([0.0; 8], 1.0, Some(Product::of(tables, &material, values)?))
        }
        Err(other) => return Err(other.into()),
    };
    Ok(ReadyPart {
        name: material.name.clone(),
        grams: Ranged {
            value: grams.grams,
            low: grams.low,
            high: grams.high,
        },
        litres: Ranged {
            value: litres.litres,
            low: litres.low,
            high: litres.high,
        },
        ph,
        moisture_percent,
        sites,
        gsd,
        reagent,
        material: Some(material),
        maybe,
    })
}

fn water_part(litres: f64) -> ReadyPart {
    let of = Ranged::exactly;
    ReadyPart {
        material: None,
        maybe: None,
        grams: of(litres * 1000.0),
        litres: of(0.0),
        ph: None,
        moisture_percent: None,
        name: "Water".into(),
        sites: [0.0; 8],
        gsd: 1.0,
        reagent: None,
    }
}

/// The material with the keeper's own values. The grain size of a label is
/// not a number of the material: it goes to the product made of it.
pub(crate) fn with_own(tables: &Tables, key: &str, own: &Own) -> Result<Material, TableError> {
    let material = tables.material(key)?;
    let Some(values) = own.get(key) else {
        return Ok(material.clone());
    };
    let mut values = values.clone();
    values.remove("particle_mm");
    material.with_own(&values)
}

/// The peat row a label points to, and the other one when it does not say.
fn peat_rows(key: &str, label: PeatLabel) -> (&str, Option<&'static str>) {
    const SOUR: &str = "peat_sphagnum_unlimed";
    const LIMED: &str = "peat_sphagnum_limed";
    if key != SOUR && key != LIMED {
        return (key, None);
    }
    match label {
        PeatLabel::AsNamed => (key, None),
        PeatLabel::LimeAdjusted => (LIMED, None),
        PeatLabel::NotLimed => (SOUR, None),
        PeatLabel::DoesNotSay => (SOUR, Some(LIMED)),
    }
}
