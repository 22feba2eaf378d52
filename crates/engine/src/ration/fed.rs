//! What may be fed: the one rule for a ration, an absence, the log and a
//! scenario. Entries already in a log are not held against it.

use super::RationError;
use crate::bed::fill::WATER;
use crate::living::rot::Rates;
use crate::log::Part;
use crate::table::{Material, Role, TableError, Tables};

/// Whether these parts may be given as feed: materials of role feed, and the
/// beddings that keepers feed (`feed_of_bedding` in `ration.csv`), never those
/// under `never_fed` there. Water may go beside feed.
///
/// # Errors
/// [`RationError::NotFeed`], [`RationError::NeverFed`] or
/// [`RationError::OnlyWater`] naming the material, and [`RationError::Table`]
/// when one is not known.
pub fn may_be_fed(tables: &Tables, parts: &[Part]) -> Result<(), RationError> {
    let food: Vec<&Part> = parts.iter().filter(|p| p.material != WATER).collect();
    if food.is_empty() && !parts.is_empty() {
        return Err(RationError::OnlyWater);
    }
    food.into_iter()
        .try_for_each(|p| one(tables, tables.material(&p.material)?))
}

fn one(tables: &Tables, m: &Material) -> Result<(), RationError> {
    if flagged(tables, "never_fed", &m.key) {
        return Err(RationError::NeverFed {
            material: m.key.clone(),
            name: m.name_inside(),
        });
    }
    let fits = match m.role {
        Role::Feed => true,
        Role::Bedding => bedding_is_fed(tables, m)?,
        Role::Amendment | Role::Potting => false,
    };
    if fits {
        return Ok(());
    }
    Err(RationError::NotFeed {
        material: m.key.clone(),
        name: m.name_inside(),
        is: match m.role {
            Role::Amendment => "an amendment",
            Role::Potting => "a potting material",
            Role::Bedding | Role::Feed => "bedding",
        },
    })
}

fn bedding_is_fed(tables: &Tables, m: &Material) -> Result<bool, TableError> {
    let kind = Rates::load(tables)?.kinds.get(&m.key).copied();
    Ok(flagged(tables, "feed_of_bedding", &m.key)
        || kind.is_some_and(|k| flagged(tables, "feed_of_bedding", k.name())))
}

pub(super) fn flagged(tables: &Tables, subject: &str, property: &str) -> bool {
    tables
        .value("ration", subject, property)
        .is_ok_and(|v| v > 0.5)
}

/// Whether a material may lie beside the feed as dry bedding.
///
/// # Errors
/// [`RationError::NoBedding`] when it is not known, [`RationError::NotBedding`]
/// when it is none.
pub(super) fn is_bedding(tables: &Tables, key: &str) -> Result<(), RationError> {
    match tables.material(key) {
        Err(_) => Err(RationError::NoBedding(key.to_owned())),
        Ok(m) if m.role == Role::Bedding => Ok(()),
        Ok(m) => Err(RationError::NotBedding {
            material: m.key.clone(),
            name: m.name_inside(),
        }),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)] // tests may unwrap

    use super::*;
    use crate::measure::Amount;

    fn asked(tables: &Tables, keys: &[&str]) -> Result<(), RationError> {
        let part = |k: &&str| Part::plain(*k, Amount::parse("100 g").unwrap());
        let parts: Vec<Part> = keys.iter().map(part).collect();
        may_be_fed(tables, &parts)
    }

    #[test]
    fn food_manure_and_paper_are_fed() {
        let tables = Tables::load().unwrap();
        for key in [
            "kitchen_scraps_veg",
            "bread_white",
            "coffee_grounds",
            "horse_manure_aged",
            "rabbit_manure_aged",
            "cow_manure_composted",
            "cardboard_corrugated",
            "newsprint_shredded",
        ] {
            assert_eq!(asked(&tables, &[key]), Ok(()), "{key}");
        }
        assert_eq!(asked(&tables, &["apple", "water"]), Ok(()));
    }

    #[test]
    fn lime_acid_and_fertiliser_are_not_fed_nor_anything_beside_them() {
        let tables = Tables::load().unwrap();
        for key in [
            "quicklime",
            "hydrated_lime",
            "wood_ash",
            "sodium_carbonate",
            "elemental_sulfur",
            "citric_acid",
            "vinegar",
            "blood_meal",
            "diatomaceous_earth",
            "perlite",
            "castings_potting",
            "coir_pith",
            "sawdust",
        ] {
            for keys in [vec![key], vec!["apple", key]] {
                let said = asked(&tables, &keys).unwrap_err().to_string();
                assert!(said.starts_with(&format!("feed `{key}`")), "{said}");
                assert!(said.contains("manures and papers"), "{said}");
            }
        }
        assert_eq!(asked(&tables, &["water"]), Err(RationError::OnlyWater));
    }

    #[test]
    fn every_amendment_and_potting_material_is_refused_and_every_feed_allowed() {
        let tables = Tables::load().unwrap();
        for m in tables.materials() {
            let fed = asked(&tables, &[&m.key]).is_ok();
            match m.role {
                Role::Feed => assert!(fed, "{}", m.key),
                Role::Amendment | Role::Potting => assert!(!fed, "{}", m.key),
                Role::Bedding => {}
            }
        }
    }

    #[test]
    fn every_flag_names_a_material_or_a_kind() {
        let tables = Tables::load().unwrap();
        let kinds = Rates::load(&tables).unwrap().kinds;
        for row in tables.rows().filter(|r| r.table == "ration") {
            let is_material = tables.material(&row.property).is_ok();
            match row.subject.as_str() {
                "never_fed" => assert!(is_material, "{}", row.property),
                "feed_of_bedding" => assert!(
                    is_material || kinds.values().any(|k| k.name() == row.property),
                    "{}",
                    row.property
                ),
                _ => {}
            }
        }
    }
}
