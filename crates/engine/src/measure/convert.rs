//! Amounts of a material as grams and as litres, with range.
//!
//! Volumes are loose, as used; a level spoon or cup of powder, a bucket of
//! shredded bedding not pressed down. Grams per litre come, in this order,
//! from the keeper's own weighing, from a cup or litre of that material
//! weighed in print, from its bulk density. Ranges of measure and density are
//! taken as independent, so their relative widths add in quadrature.

use super::{Amount, AmountError, Kind, Unit};
use crate::table::{Material, Property, Role, Status, Tables};

/// A US cup [L]: half a US pint of 28.875 cubic inches.
pub(crate) const CUP_LITRES: f64 = 0.236_588_236_5;

/// Below this a bedding is taken up as loose fibre [g/L].
pub(crate) const FIBRE_GRAMS_PER_LITRE: f64 = 200.0;

/// Mass of an amount [g].
#[derive(Debug, Clone, PartialEq)]
pub struct GramsRange {
    /// Median.
    pub grams: f64,
    /// Low end, 90 % range.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// How it was worked out.
    pub how: String,
}

/// Loose volume of an amount [L].
#[derive(Debug, Clone, PartialEq)]
pub struct LitresRange {
    /// Median.
    pub litres: f64,
    /// Low end, 90 % range.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// How it was worked out.
    pub how: String,
}

/// Low, middle, high.
type Triple = (f64, f64, f64);

/// Product (or quotient) of two ranges taken as independent.
fn times(a: Triple, b: Triple) -> Triple {
    let middle = a.1 * b.1;
    let down = (a.1 / a.0).ln().hypot((b.1 / b.0).ln());
    let up = (a.2 / a.1).ln().hypot((b.2 / b.1).ln());
    (middle * (-down).exp(), middle, middle * up.exp())
}

fn over(a: Triple, b: Triple) -> Triple {
    times(a, (1.0 / b.2, 1.0 / b.1, 1.0 / b.0))
}

/// Grams per litre of a material, as used: low, middle, high [g/L]. A keeper's
/// own weighing of a cup or litre counts before ours.
///
/// # Errors
/// [`AmountError::NoDensity`].
pub fn grams_per_litre(material: &Material) -> Result<(f64, f64, f64), AmountError> {
    density(material).map(|(triple, _)| triple)
}

/// Grams per litre, with range and where from [g/L].
pub(crate) fn density(material: &Material) -> Result<(Triple, String), AmountError> {
    let order = [
        (Property::GramsPerCup, CUP_LITRES, "a cup"),
        (Property::GramsPerLitre, 1.0, "a litre"),
        (Property::BulkDensityKgM3, 1.0, "bulk density"),
    ];
    let pick = |own: bool| {
        order.iter().find_map(|&(property, litres, what)| {
            let number = material.number(property)?;
            ((number.status == Status::Own) == own).then_some((number.triple()?, litres, what, own))
        })
    };
    let Some((triple, litres, what, own)) = pick(true).or_else(|| pick(false)) else {
        return Err(AmountError::NoDensity {
            material: material.key.clone(),
        });
    };
    let per_litre = (triple.0 / litres, triple.1 / litres, triple.2 / litres);
    let whose = if own {
        "your own weighing"
    } else {
        "the tables"
    };
    let how = format!("{what} of it at {:.0} g/L, from {whose}", per_litre.1);
    Ok((per_litre, how))
}

/// Litres of one of a unit, with range [L].
pub(crate) fn unit_litres(unit: Unit, tables: &Tables) -> Result<Option<Triple>, AmountError> {
    if unit.kind() != Kind::Volume {
        return Ok(None);
    }
    let number = tables.number("measures", unit.key(), "litres")?;
    Ok(number.triple())
}

/// Litres of one of a unit as this material is taken up in it [L]: a handful
/// of powder is less than one of scraps, and that less than one of fibre.
pub(crate) fn litres_of(
    unit: Unit,
    material: &Material,
    tables: &Tables,
) -> Result<Option<Triple>, AmountError> {
    if unit != Unit::Handful {
        return unit_litres(unit, tables);
    }
    let light = density(material).is_ok_and(|(d, _)| d.1 < FIBRE_GRAMS_PER_LITRE);
    let property = match material.role {
        Role::Amendment => "litres_powder",
        Role::Bedding if light => "litres",
        _ => "litres_scraps",
    };
    Ok(tables.number("measures", unit.key(), property)?.triple())
}

/// Whether a counted thing is this material.
fn counted_for(unit: Unit, material: &Material) -> Result<(), AmountError> {
    let (fits, works): (&[&str], _) = match unit {
        Unit::Sheet | Unit::Newspaper => (
            &["newsprint_shredded", "newsprint_loose_stack"],
            "grams, litres, cups or handfuls; sheets and newspapers are for newsprint",
        ),
        Unit::Eggshell => (
            &["eggshell_powder", "eggshell_crushed"],
            "grams, spoons or cups; eggshells are for eggshell",
        ),
        Unit::EggCarton => (
            &["egg_carton_pulp"],
            "grams, litres, cups or handfuls; egg cartons are for egg carton",
        ),
        _ => return Ok(()),
    };
    if fits.contains(&material.key.as_str()) {
        return Ok(());
    }
    Err(AmountError::NotForMaterial {
        measure: unit.one(),
        material: material.key.clone(),
        works,
    })
}

/// Grams of one of a unit of that material.
fn unit_grams(
    unit: Unit,
    material: &Material,
    tables: &Tables,
) -> Result<(Triple, String), AmountError> {
    if let Some(grams) = unit.grams() {
        return Ok(((grams, grams, grams), "by weight".to_owned()));
    }
    if let Some(litres) = litres_of(unit, material, tables)? {
        let (per_litre, how) = density(material)?;
        return Ok((times(litres, per_litre), how));
    }
    counted_for(unit, material)?;
    let number = tables.number("measures", unit.key(), "grams")?;
    let triple = number.triple().ok_or_else(|| AmountError::NoDensity {
        material: material.key.clone(),
    })?;
    Ok((triple, format!("{:.0} g for one {}", triple.1, unit.one())))
}

impl Amount {
    /// Mass of this amount of a material [g], as it lies in the measure.
    ///
    /// # Errors
    /// [`AmountError`] when the measure makes no sense for the material, its
    /// density is not known, or the mass is outside the allowed range.
    pub fn grams(&self, material: &Material, tables: &Tables) -> Result<GramsRange, AmountError> {
        let (one, how) = unit_grams(self.unit, material, tables)?;
        match litres_of(self.unit, material, tables)? {
            Some(litres) => self.of_litres_and_grams_each(litres.1, one.1)?,
            None => self.of_grams_each(one.1)?,
        }
        Ok(GramsRange {
            grams: one.1 * self.number,
            low: one.0 * self.number,
            high: one.2 * self.number,
            how,
        })
    }

    /// Loose volume of this amount of a material [L], as used.
    ///
    /// # Errors
    /// As [`Amount::grams`].
    pub fn litres(&self, material: &Material, tables: &Tables) -> Result<LitresRange, AmountError> {
        let (one, how) = if let Some(litres) = litres_of(self.unit, material, tables)? {
            (litres, format!("the volume of a {}", self.unit.one()))
        } else {
            let (grams, _) = unit_grams(self.unit, material, tables)?;
            let (per_litre, how) = density(material)?;
            (over(grams, per_litre), how)
        };
        Ok(LitresRange {
            litres: one.1 * self.number,
            low: one.0 * self.number,
            high: one.2 * self.number,
            how,
        })
    }

    /// Volume of this amount of water [L], for watering and draining: one
    /// kilogram is one litre.
    ///
    /// # Errors
    /// [`AmountError::NotForMaterial`] for counted things, handfuls, shovels
    /// and bags; [`AmountError::TooMuch`] above a tonne.
    pub fn water_litres(&self, tables: &Tables) -> Result<LitresRange, AmountError> {
        let dry_only = matches!(self.unit, Unit::Handful | Unit::Shovel | Unit::CarrierBag);
        let volume = unit_litres(self.unit, tables)?.filter(|_| !dry_only);
        let one = match (self.unit.grams(), volume) {
            (Some(grams), _) => (grams / 1000.0, grams / 1000.0, grams / 1000.0),
            (None, Some(litres)) => litres,
            (None, None) => {
                return Err(AmountError::NotForMaterial {
                    measure: self.unit.one(),
                    material: "water".to_owned(),
                    works: "litres, cups, gallons or grams",
                });
            }
        };
        self.of_grams_each(1000.0 * one.1)?;
        Ok(LitresRange {
            litres: one.1 * self.number,
            low: one.0 * self.number,
            high: one.2 * self.number,
            how: "one kilogram of water is one litre".to_owned(),
        })
    }
}
