//! Parts whose every range is closed to its value.

use super::ValidationError;
use crate::bed::fill::{ReadyPart, charge_of};
use crate::bed::product::Ranged;
use crate::measure::{Packing, density};
use crate::table::{Property, TableError, Tables};
use std::sync::Arc;

/// A part of exactly known numbers: the table's values, some replaced.
pub(super) fn exact_part(
    tables: &Tables,
    key: &str,
    replaced: &[(&str, f64)],
    grams: f64,
) -> Result<ReadyPart, ValidationError> {
    let mut material = tables.material(key)?.clone();
    for (name, value) in replaced {
        let property = Property::from_name(name).ok_or_else(|| TableError::UnknownProperty {
            name: (*name).to_owned(),
            nearest: String::new(),
        })?;
        if let Some(number) = Arc::make_mut(&mut material.numbers).get_mut(&property) {
            number.value = Some(*value);
        }
    }
    for number in Arc::make_mut(&mut material.numbers).values_mut() {
        (number.low, number.high) = (number.value, number.value);
    }
    let sites = tables.sites(key)?;
    let dry_per_litre = 500.0 * (1.0 - density::moisture_as_it_comes(&material));
    Ok(ReadyPart {
        name: material.name.clone(),
        material: Some(material),
        maybe: None,
        grams: Ranged::exactly(grams),
        litres: Ranged::exactly(grams / 500.0),
        by_volume: false,
        dry_per_litre: Ranged::exactly(dry_per_litre),
        packing: Packing::firm(1000.0 / dry_per_litre),
        ph: None,
        moisture_percent: None,
        sites: sites.capacity_cmol_kg,
        charge: charge_of(&sites.capacity_cmol_kg),
        gsd: 1.0,
        reagent: None,
    })
}

/// Plain water.
pub(super) fn water(grams: f64) -> ReadyPart {
    ReadyPart {
        name: "Water".to_owned(),
        material: None,
        maybe: None,
        grams: Ranged::exactly(grams),
        litres: Ranged::exactly(0.0),
        by_volume: false,
        dry_per_litre: Ranged::exactly(0.0),
        packing: Packing::default(),
        ph: None,
        moisture_percent: None,
        sites: [0.0; 8],
        charge: charge_of(&[0.0; 8]),
        gsd: 1.0,
        reagent: None,
    }
}
