//! Values of the keeper's own, far from what is known of the material.

use super::figures::unusual;
use crate::log::ShedItem;
use crate::measure::convert::CUP_LITRES;
use crate::measure::grams_per_litre;
use crate::reading::question::Question;
use crate::table::{Material, Property, TableError, Tables};

/// Asks about each own value far outside the range of its material; where the
/// tables have none, outside that of materials of its kind.
///
/// # Errors
/// [`TableError`] when a threshold is missing.
pub(super) fn far_from_its_material(
    tables: &Tables,
    material: &Material,
    item: &ShedItem,
) -> Result<Vec<Question>, TableError> {
    let widths = tables.value("observations", "doubt", "own_beyond_widths")?;
    let least = tables.value("observations", "doubt", "own_least_share")?;
    let mut asked = Vec::new();
    for &property in Property::ALL {
        let given = item.own.get(property.name());
        let Some(given) = given else {
            continue;
        };
        let of_it = known(material, property);
        let Some((low, high)) = of_it.or_else(|| of_its_kind(tables, material, property)) else {
            continue;
        };
        let (bound, beyond) = (property.bound(), widths * (high - low));
        // A wide range does not reach down to nothing.
        let floor = if of_it.is_some() && low > 0.0 {
            least * low
        } else {
            f64::NEG_INFINITY
        };
        // No more than what a good measurement of it may be off.
        let spread = property.own_spread();
        let low = (low - beyond).max(floor).min(low - spread.half(low));
        let high = (high + beyond).max(high + spread.half(high));
        let (low, high) = (low.max(bound.low), high.min(bound.high));
        let (what, unit) = called(property);
        asked.extend(unusual(what, *given, low, high, unit));
    }
    Ok(asked)
}

/// What the tables know of a property: lowest and highest. How much a cup or a
/// litre weighs follows from any of the three ways it is told.
fn known(material: &Material, property: Property) -> Option<(f64, f64)> {
    let listed = material.number(property);
    if let Some(range) = listed.and_then(|n| Some((n.low?, n.high?))) {
        return Some(range);
    }
    let litres = match property {
        Property::GramsPerCup => CUP_LITRES,
        Property::GramsPerLitre | Property::BulkDensityKgM3 => 1.0,
        _ => return None,
    };
    let (low, _, high) = grams_per_litre(material).ok()?;
    Some((low * litres, high * litres))
}

/// Lowest and highest of a property where that of the material is not known:
/// of the materials used as it is, or of all where no such one has it.
fn of_its_kind(tables: &Tables, material: &Material, property: Property) -> Option<(f64, f64)> {
    let range = |with: &dyn Fn(&Material) -> bool| {
        let those = tables.materials().filter(|m| with(m));
        those
            .filter_map(|m| known(m, property))
            .reduce(|(low, high), (l, h)| (low.min(l), high.max(h)))
    };
    range(&|m| m.role == material.role).or_else(|| range(&|_| true))
}

/// What an own value is called in a question, and its unit there.
const fn called(property: Property) -> (&'static str, &'static str) {
    match property {
        Property::MoisturePercent => ("your own moisture of it", "%"),
        Property::NitrogenPercent => ("your own nitrogen of it", "% of dry mass"),
        Property::CarbonPercent => ("your own carbon of it", "% of dry mass"),
        Property::CarbonNitrogenRatio => ("your own carbon to nitrogen of it", "to 1"),
        Property::BulkDensityKgM3 => ("your own density of it", "kg/m3"),
        Property::AshPercent => ("your own ash of it", "% of dry mass"),
        Property::Ph => ("your own pH of it", ""),
        Property::EcMsCm => ("your own salt reading (EC) of it", "mS/cm"),
        Property::CecCmolKg => ("your own exchange capacity of it", "cmol/kg"),
        Property::WaterHoldingGPerG => ("your own water holding of it", "g/g"),
        Property::PhosphorusPercent => ("your own phosphorus of it", "% of dry mass"),
        Property::PotassiumPercent => ("your own potassium of it", "% of dry mass"),
        Property::NeutralisingPercent => ("your own neutralising value of it", "%"),
        Property::LabileFraction => ("your own share of it that rots easily", ""),
        Property::GramsPerCup => ("your own weight of a cup of it", "g"),
        Property::GramsPerLitre => ("your own weight of a litre of it", "g"),
    }
}
