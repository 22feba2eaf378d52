use super::tables;
use engine::table::embedded::NUMBER_TABLES;
use engine::table::{Property, Role, Status};
use std::collections::BTreeSet;

fn place(row: &engine::table::Row) -> String {
    format!("{}.csv line {}", row.table, row.line)
}

#[test]
fn no_pair_is_listed_twice() {
    let tables = tables();
    let mut seen = BTreeSet::new();
    for row in tables.rows() {
        let id = (
            row.table,
            row.subject.clone(),
            row.property.clone(),
            row.number.basis.clone(),
        );
        assert!(seen.insert(id), "{}: listed twice", place(row));
    }
    assert!(seen.len() > 2300, "{} rows", seen.len());
}

#[test]
fn a_value_lies_in_its_range_and_an_unknown_has_a_note() {
    let tables = tables();
    for row in tables.rows() {
        let n = &row.number;
        match n.value {
            Some(value) => {
                let (low, high) = (n.low.unwrap(), n.high.unwrap());
                assert!(
                    low <= value && value <= high,
                    "{}: {low} {value} {high}",
                    place(row)
                );
                assert!(
                    [-1.0, -99.0, -999.0, 9999.0].iter().all(|v| *v != value)
                        || row.property.ends_with("_mol_acid")
                        || row.property.starts_with("ph_peat"),
                    "{}: {value} looks like a mark for unknown",
                    place(row)
                );
                assert_ne!(n.source, "none", "{}: a value needs a source", place(row));
            }
            None => {
                assert!(!n.note.is_empty(), "{}: no note", place(row));
                assert_eq!((n.low, n.high), (None, None), "{}", place(row));
                assert_eq!(n.source, "none", "{}", place(row));
            }
        }
    }
}

#[test]
fn every_source_exists_and_is_cited() {
    let tables = tables();
    let mut cited = BTreeSet::new();
    for row in tables.rows() {
        let key = &row.number.source;
        assert!(
            tables.source(key).is_ok(),
            "{}: source `{key}` is not in sources.csv",
            place(row)
        );
        cited.insert(key.clone());
    }
    for conflict in tables.conflicts() {
        assert!(tables.source(&conflict.source).is_ok(), "{}", conflict.key);
        cited.insert(conflict.source.clone());
    }
    for experiment in engine::validation::experiments::load(&tables).unwrap() {
        cited.extend(experiment.sources().map(str::to_owned));
    }
    for source in tables.sources() {
        assert!(
            cited.contains(&source.key),
            "sources.csv: `{}` is cited by no row",
            source.key
        );
    }
}

#[test]
fn opened_numbers_name_a_work_that_was_read() {
    let tables = tables();
    for row in tables.rows() {
        let n = &row.number;
        if n.status != Status::Opened {
            continue;
        }
        let read = tables.source(&n.source).unwrap().read.as_str();
        assert!(
            ["opened", "abstract", "reprint"].contains(&read),
            "{}: opened, but its source was read as `{read}`",
            place(row)
        );
    }
}

#[test]
fn every_material_has_every_stored_property_within_its_bounds() {
    let tables = tables();
    let optional = [
        Property::CarbonNitrogenRatio,
        Property::GramsPerCup,
        Property::GramsPerLitre,
    ];
    for material in tables.materials() {
        for property in Property::ALL {
            let Some(number) = material.numbers.get(property) else {
                assert!(
                    optional.contains(property),
                    "{} lacks {}",
                    material.key,
                    property.name()
                );
                continue;
            };
            assert_eq!(
                number.unit,
                property.unit(),
                "{} {}",
                material.key,
                property.name()
            );
            for value in [number.low, number.value, number.high]
                .into_iter()
                .flatten()
            {
                let checked = property.bound().check(value);
                assert!(checked.is_ok(), "{}: {checked:?}", material.key);
            }
        }
        assert!(
            !material
                .numbers
                .contains_key(&Property::CarbonNitrogenRatio)
        );
    }
}

#[test]
fn carbon_nitrogen_and_ash_can_be_true_together() {
    // Van Bemmelen: no organic matter without much fat passes 58 % carbon.
    // Avocado is 55 % fat; biochar is charred.
    let richer = ["avocado", "biochar"];
    for material in tables().materials() {
        let get = |p| material.value(p);
        if let (Some(c), Some(ash)) = (get(Property::CarbonPercent), get(Property::AshPercent)) {
            let organic = 100.0 - ash;
            let limit = if richer.contains(&material.key.as_str()) {
                0.85
            } else {
                0.58
            };
            assert!(
                c <= limit * organic,
                "{}: {c} % carbon in {organic} % organic",
                material.key
            );
            assert!(c + ash <= 100.0, "{}", material.key);
        }
        if let (Some(c), Some(n)) = (get(Property::CarbonPercent), get(Property::NitrogenPercent)) {
            assert!(n < c, "{}: more nitrogen than carbon", material.key);
        }
        // Ash of a feed or bedding holds its potassium and phosphorus.
        if let (Some(ash), Some(k), Some(p)) = (
            get(Property::AshPercent),
            get(Property::PotassiumPercent),
            get(Property::PhosphorusPercent),
        ) {
            assert!(k + p <= ash + 0.01, "{}: {k} + {p} > {ash}", material.key);
        }
    }
}

#[test]
fn every_bedding_feed_and_potting_material_has_sites() {
    let tables = tables();
    for material in tables.materials() {
        match tables.sites(&material.key) {
            Ok(sites) => {
                for q in sites.capacity_cmol_kg {
                    assert!(q > 0.0 && q < 100.0, "{}: {q}", material.key);
                }
                assert!(
                    sites.gsd > 1.0 && sites.gsd <= 2.5,
                    "{}: {}",
                    material.key,
                    sites.gsd
                );
                assert!(!sites.note.is_empty());
            }
            Err(e) => assert_eq!(material.role, Role::Amendment, "{e}"),
        }
    }
}

#[test]
fn size_classes_sum_to_one() {
    let tables = tables();
    for subject in tables.subjects("dissolution") {
        let shares: Vec<f64> = tables
            .rows()
            .filter(|r| {
                r.table == "dissolution" && r.subject == subject && r.property.starts_with("share_")
            })
            .filter_map(|r| r.number.value)
            .collect();
        let sum: f64 = shares.iter().sum();
        assert!(
            shares.is_empty() || (sum - 1.0).abs() < 1e-9,
            "{subject}: {sum}"
        );
    }
}

#[test]
fn conflicts_are_each_decided_once() {
    let tables = tables();
    let keys: BTreeSet<&str> = tables.conflicts().iter().map(|c| c.key.as_str()).collect();
    assert_eq!(keys.len(), tables.conflicts().len());
    for key in [
        "impossible_carbon",
        "newsprint_cn",
        "carbon_from_ash",
        "vegetable_cn",
        "tea",
        "coffee_ph",
        "food_scrap_density",
        "sawdust_water",
        "cardboard_563",
    ] {
        assert!(keys.contains(key), "{key}");
    }
}

#[test]
fn tables_are_named_and_filled() {
    let tables = tables();
    for table in NUMBER_TABLES {
        assert!(!tables.subjects(table.name).is_empty(), "{}", table.file);
    }
    assert_eq!(tables.materials().count(), 144);
}
