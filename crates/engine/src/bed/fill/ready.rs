//! Parts as a keeper gives them, checked and with their ranges.

use crate::bed::curve::Curve;
use crate::bed::product::{Product, Ranged};
use crate::bounds;
use crate::chemistry::sites::site_charge;
use crate::log::{Part, PeatLabel};
use crate::measure::{AmountError, GramsRange, Kind, LitresRange, Packing, density};
use crate::table::{Material, Role, TableError, Tables, inside_a_sentence};
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
        "{what} `{given}` is outside the allowed range 0 to {most}: this bin holds {litres} L ({gallons} gallon{}), and more than that cannot have been in it or come out of it at once",
        if *gallons == 1.0 { "" } else { "s" }
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
    /// Volume as it comes [L].
    pub litres: Ranged,
    /// Given by volume: its dry mass is that of so many litres, whatever its
    /// moisture.
    pub by_volume: bool,
    /// Dry matter in a litre as it comes [g/L].
    pub dry_per_litre: Ranged,
    /// How it packs.
    pub packing: Packing,
    /// Own pH.
    pub ph: Option<f64>,
    /// Own moisture [% of wet mass].
    pub moisture_percent: Option<f64>,
    /// Name shown.
    pub name: String,
    /// Site capacities [cmol/kg dry at pKa 3..10] and their geometric spread.
    pub sites: [f64; 8],
    /// Their charge against pH [mol_c/kg dry].
    pub charge: Curve,
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
    let stands = stated(tables, part, &material, moisture_percent).map_err(amount_error)?;
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
        grams: stands.grams,
        litres: stands.litres,
        by_volume: stands.by_volume,
        dry_per_litre: stands.dry_per_litre,
        packing: stands.packing,
        ph,
        moisture_percent,
        sites,
        charge: charge_of(&sites),
        gsd,
        reagent,
        material: Some(material),
        maybe,
    })
}

/// An amount of a material in litres and kilograms.
struct Stated {
    grams: Ranged,
    litres: Ranged,
    by_volume: bool,
    dry_per_litre: Ranged,
    packing: Packing,
}

/// What an amount is. So many litres hold the dry matter they hold as the
/// material comes; moisture typed beside them adds water and takes no dry
/// matter. What is weighed is weighed wet. Food measured by volume and of no
/// moisture typed weighs what the measure weighs.
fn stated(
    tables: &Tables,
    part: &Part,
    material: &Material,
    moisture_percent: Option<f64>,
) -> Result<Stated, AmountError> {
    let as_it_comes = density::moisture_as_it_comes(material);
    let moisture = moisture_percent.map_or(as_it_comes, |m| m / 100.0);
    let wet = Ranged::from(part.amount.grams(material, tables)?);
    let litres = Ranged::from(part.amount.litres(material, tables)?);
    let (low, value, high) = density::dry_grams_per_litre(material)?;
    let is_volume = part.amount.unit.kind() == Kind::Volume;
    let (grams, litres) = if is_volume {
        (wet.times((1.0 - as_it_comes) / (1.0 - moisture)), litres)
    } else {
        (wet, litres.times((1.0 - moisture) / (1.0 - as_it_comes)))
    };
    Ok(Stated {
        grams,
        litres,
        by_volume: is_volume && (material.role != Role::Feed || moisture_percent.is_some()),
        dry_per_litre: Ranged { value, low, high },
        packing: Packing::of(material, tables)?,
    })
}

impl From<GramsRange> for Ranged {
    fn from(g: GramsRange) -> Self {
        Self {
            value: g.grams,
            low: g.low,
            high: g.high,
        }
    }
}

impl From<LitresRange> for Ranged {
    fn from(l: LitresRange) -> Self {
        Self {
            value: l.litres,
            low: l.low,
            high: l.high,
        }
    }
}

fn water_part(litres: f64) -> ReadyPart {
    let of = Ranged::exactly;
    ReadyPart {
        material: None,
        maybe: None,
        grams: of(litres * 1000.0),
        litres: of(0.0),
        by_volume: false,
        dry_per_litre: of(0.0),
        packing: Packing::default(),
        ph: None,
        moisture_percent: None,
        name: "Water".into(),
        sites: [0.0; 8],
        charge: charge_of(&[0.0; 8]),
        gsd: 1.0,
        reagent: None,
    }
}

/// Charge of sites [cmol/kg] against pH [mol_c/kg].
#[must_use]
pub fn charge_of(sites: &[f64; 8]) -> Curve {
    Curve::tabulate(|ph| site_charge(sites, ph) / 100.0)
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
