//! Numbers read in print, typed here a second time from the reading notes.

use super::tables;
use engine::table::{Property, Property as P};

#[track_caller]
fn is(key: &str, property: Property, expected: f64, within: f64) {
    let tables = tables();
    let value = tables.material(key).unwrap().value(property).unwrap();
    assert!(
        (value - expected).abs() <= within,
        "{key} {}: {value}, printed {expected}",
        property.name()
    );
}

#[test]
fn usda_water() {
    // USDA SR28: water, % of fresh mass; kept to one decimal.
    for (key, water) in [
        ("apple", 85.56),
        ("banana_flesh", 74.91),
        ("carrot", 88.29),
        ("lettuce_leaf", 94.98),
        ("potato_peel", 83.29),
        ("bread_white", 36.34),
        ("rice_cooked", 68.44),
        ("cornmeal", 10.26),
    ] {
        is(key, P::MoisturePercent, water, 0.051);
    }
}

#[test]
fn usda_protein_gives_nitrogen() {
    // USDA SR28: protein g/100 g, water %, factor (rice 5.95).
    for (key, protein, water, factor) in [
        ("apple", 0.26, 85.56, 6.25),
        ("banana_flesh", 1.09, 74.91, 6.25),
        ("carrot", 0.93, 88.29, 6.25),
        ("potato_peel", 2.57, 83.29, 6.25),
        ("bread_white", 9.15, 36.34, 6.25),
        ("rice_cooked", 2.69, 68.44, 5.95),
    ] {
        is(
            key,
            P::NitrogenPercent,
            protein / factor / (100.0 - water) * 100.0,
            0.006,
        );
    }
}

#[test]
fn usda_grams_per_cup() {
    for (key, grams) in [
        ("apple", 125.0),
        ("banana_flesh", 150.0),
        ("watermelon_flesh", 152.0),
        ("cantaloupe", 156.0),
        ("carrot", 128.0),
        ("cabbage", 89.0),
        ("lettuce_leaf", 36.0),
        ("lettuce_iceberg", 72.0),
        ("tomato", 180.0),
        ("pumpkin", 116.0),
        ("onion", 160.0),
        ("spinach", 30.0),
        ("broccoli", 91.0),
        ("celery", 101.0),
        ("green_beans", 100.0),
        ("bread_white", 35.0),
        ("rice_cooked", 158.0),
        ("pasta_cooked", 124.0),
        ("oats_rolled", 81.0),
        ("oat_bran", 94.0),
        ("cornmeal", 122.0),
        ("wheat_bran", 58.0),
    ] {
        is(key, P::GramsPerCup, grams, 0.5);
    }
}

#[test]
fn printed_ranges_are_the_ranges() {
    let tables = tables();
    for (key, property, low, high) in [
        // University of Arkansas, Unit 7; Evans et al. 1996; Farmwest 2008.
        ("peat_sphagnum_unlimed", P::Ph, 3.0, 4.5),
        ("peat_sphagnum_unlimed", P::CecCmolKg, 90.0, 140.0),
        ("coir_pith", P::Ph, 5.6, 6.9),
        ("coir_pith", P::WaterHoldingGPerG, 7.5, 11.0),
        ("coir_pith", P::CecCmolKg, 31.7, 95.4),
        ("horse_manure_bedded_fresh", P::NitrogenPercent, 1.4, 2.3),
        ("horse_manure_bedded_fresh", P::MoisturePercent, 59.0, 79.0),
        ("sawdust", P::BulkDensityKgM3, 207.0, 267.0),
        ("veg_waste_nonlegume", P::NitrogenPercent, 2.5, 4.0),
        ("kitchen_compost_finished", P::Ph, 7.0, 8.5),
        ("perlite", P::BulkDensityKgM3, 80.0, 128.0),
    ] {
        let (l, _, h) = tables.material(key).unwrap().triple(property).unwrap();
        assert_eq!((l, h), (low, high), "{key} {}", property.name());
    }
}

#[test]
fn neutralising_values_agree_with_print() {
    // Nebraska Table 4.4 and Cornell Fact Sheet 7; tolerance 1, MgO 2.
    let tables = tables();
    for (key, printed, within) in [
        ("calcite", 100.0, 0.5),
        ("magnesium_carbonate", 119.0, 1.0),
        ("calcium_hydroxide", 135.0, 1.0),
        ("calcium_hydroxide", 136.0, 1.0),
        ("magnesium_hydroxide", 172.0, 1.0),
        ("calcium_oxide", 178.0, 1.0),
        ("calcium_oxide", 179.0, 1.0),
        ("magnesium_oxide", 250.0, 2.0),
        ("dolomite", 109.0, 1.0),
    ] {
        let value = tables
            .value("neutralising", key, "neutralising_percent")
            .unwrap();
        assert!((value - printed).abs() <= within, "{key}: {value}");
    }
    // Pounds equal to one short ton of CaCO3 (Nebraska Table 4.4).
    for (key, pounds) in [("calcium_oxide", 1120.0), ("calcium_hydroxide", 1480.0)] {
        let nv = tables
            .value("neutralising", key, "neutralising_percent")
            .unwrap();
        assert!((2000.0 / nv * 100.0 - pounds).abs() <= 5.0, "{key}");
    }
}

#[test]
fn neutralising_values_follow_from_the_formula() {
    let tables = tables();
    for key in tables.subjects("neutralising") {
        let Ok(mass) = tables.value("neutralising", key, "molar_mass_g_mol") else {
            continue;
        };
        let n = tables
            .value("neutralising", key, "acid_taken_up_mol_mol")
            .unwrap();
        let nv = tables
            .value("neutralising", key, "neutralising_percent")
            .unwrap();
        let meq = tables.value("neutralising", key, "meq_per_g").unwrap();
        assert!(
            (nv - n * 100.087 / (2.0 * mass) * 100.0).abs() < 1e-3,
            "{key}"
        );
        assert!((meq - 1000.0 * n / mass).abs() < 1e-3, "{key}");
    }
}

#[test]
fn peat_sites_hold_the_published_exchange_capacity() {
    // Rippy & Nelson 2007: 1.08-1.62 mol/kg up to about pH 8.2. The table of
    // charge by pH was computed by hand from the fitted capacities.
    let tables = tables();
    let peat = tables.sites("peat_sphagnum_unlimed").unwrap();
    assert!((1.08..=1.62).contains(&peat.charge_mol_kg(8.2)));
    for (ph, charge) in [
        (3.0, 0.1545),
        (3.8, 0.3469),
        (4.5, 0.5406),
        (5.0, 0.6808),
        (6.0, 0.9433),
        (7.0, 1.1577),
        (8.2, 1.3523),
    ] {
        assert!((peat.charge_mol_kg(ph) - charge).abs() < 1e-4, "{ph}");
    }
    // Abad et al. 2002: coir 31.7-95.4 cmol/kg.
    let coir = tables.sites("coir_pith").unwrap();
    assert!((0.317..=0.954).contains(&coir.charge_mol_kg(8.2)));
    // Costello & Sullivan 2014: compost 0.21-0.45 mol per kg and pH unit.
    let compost = tables.sites("yard_compost_finished").unwrap();
    let slope = compost.charge_mol_kg(6.5) - compost.charge_mol_kg(5.5);
    assert!((0.21..=0.45).contains(&slope), "{slope}");
}

#[test]
fn fineness_is_as_printed() {
    let tables = tables();
    // Huang, Fisher & Argo 2007.
    for (class, efficiency) in [
        ("huang_2000_850", 0.13),
        ("huang_850_250", 0.40),
        ("huang_250_150", 0.78),
        ("huang_150_75", 0.97),
        ("huang_75_45", 1.0),
        ("huang_45_10", 1.0),
    ] {
        let value = tables.value("fineness", class, "efficiency_day_7").unwrap();
        assert!((value - efficiency).abs() < 1e-12, "{class}");
    }
    let ny = |p| tables.value("fineness", "new_york", p).unwrap();
    assert_eq!(
        [
            ny("factor_passes_100"),
            ny("factor_60_to_100"),
            ny("factor_20_to_60")
        ],
        [1.0, 0.8, 0.4]
    );
}

#[test]
fn ash_value_follows_from_its_oxides() {
    // McGinnis et al. 1995, wt %; charge per gram less SO4, Cl and H2PO4.
    let tables = tables();
    let ash = |p| tables.value("ash", "great_lakes_median", p).unwrap();
    let base = ash("cao_percent") / 56.08 * 2.0
        + ash("mgo_percent") / 40.30 * 2.0
        + ash("k2o_percent") / 94.20 * 2.0
        + ash("na2o_percent") / 61.98 * 2.0;
    let acid = ash("so3_percent") / 80.06 * 2.0
        + ash("cl_percent") / 35.45
        + ash("p2o5_percent") / 141.94 * 2.0;
    let percent = (base - acid) * 10.0 * 100.087 / 2.0 / 10.0;
    assert!(
        (percent - ash("neutralising_percent")).abs() < 0.5,
        "{percent}"
    );
}

#[test]
fn a_basket_of_ten_foods_has_the_ratio_worked_out_from_usda() {
    // Equal wet mass of ten foods: water 88.6 %, nitrogen 1.55 % and carbon
    // 42.8 % of dry mass, ratio 27.5, worked out from USDA SR28 by hand.
    let tables = tables();
    let (mut dry, mut n, mut c) = (0.0, 0.0, 0.0);
    let basket = [
        "apple",
        "banana_flesh",
        "carrot",
        "potato_peel",
        "lettuce_leaf",
        "cabbage",
        "tomato",
        "watermelon_flesh",
        "onion",
        "pumpkin",
    ];
    for key in basket {
        let food = tables.material(key).unwrap();
        let d = 1.0 - food.value(P::MoisturePercent).unwrap() / 100.0;
        dry += d;
        n += d * food.value(P::NitrogenPercent).unwrap();
        c += d * food.value(P::CarbonPercent).unwrap();
    }
    assert!((100.0 * (1.0 - dry / 10.0) - 88.6).abs() < 0.1);
    assert!((n / dry - 1.55).abs() < 0.02, "{}", n / dry);
    assert!((c / dry - 42.8).abs() < 0.1, "{}", c / dry);
    assert!((c / n - 27.5).abs() < 0.3, "{}", c / n);
}

#[test]
fn printed_carbon_ratios_lie_in_our_ranges() {
    // Bedding table of Munroe, and Farmwest 2008 for household paper: C:N of
    // beddings, ends of the printed range.
    let tables = tables();
    for (key, low, high) in [
        ("peat_sphagnum_unlimed", 58.0, 58.0),
        ("newsprint_shredded", 170.0, 170.0),
        ("cardboard_corrugated", 563.0, 563.0),
        ("straw_wheat", 100.0, 150.0),
        ("corn_stalks_chopped", 60.0, 73.0),
        ("wood_chips_hardwood", 451.0, 819.0),
        ("leaves_dry", 40.0, 80.0),
        ("paper_domestic_mixed", 127.0, 178.0),
    ] {
        let (l, _, h) = tables
            .material(key)
            .unwrap()
            .triple(P::CarbonNitrogenRatio)
            .unwrap();
        assert!(
            l <= low && high <= h,
            "{key}: {l} to {h}, printed {low} to {high}"
        );
    }
}
