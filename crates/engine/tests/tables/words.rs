use super::tables;
use engine::table::{Property, Status, TableError};
use std::collections::BTreeMap;

#[test]
fn an_unknown_key_names_the_nearest() {
    let text = tables().material("peat_sphagnum").unwrap_err().to_string();
    assert!(
        text.starts_with("material `peat_sphagnum` is not in the tables; nearest: `peat_sphagnum_"),
        "{text}"
    );
    let text = tables().material("limestone").unwrap_err().to_string();
    assert!(text.contains("`limestone_calcitic`"), "{text}");
    let text = tables()
        .number("instruments", "cheap_pen", "noise")
        .unwrap_err()
        .to_string();
    assert!(text.contains("cheap_pen noise_sd_ph"), "{text}");
    let text = tables().number("tool", "a", "b").unwrap_err().to_string();
    assert!(text.contains("no such table"), "{text}");
}

#[test]
fn an_unknown_value_says_why() {
    let error = tables()
        .value("instruments", "good_pen", "idle_ph")
        .unwrap_err();
    assert_eq!(
        error.to_string(),
        "`idle_ph` of `good_pen` is not known: has no resting value"
    );
    assert!(matches!(
        tables().sites("limestone_calcitic"),
        Err(TableError::NoSites { .. })
    ));
}

#[test]
fn search_forgives() {
    let tables = tables();
    let keys =
        |text: &str| -> Vec<String> { tables.search(text).iter().map(|m| m.key.clone()).collect() };
    assert_eq!(keys("").len(), 144);
    assert!(keys("unlimed peat")[0].starts_with("peat_sphagnum_unlimed"));
    assert!(keys("Limestone").contains(&"limestone_calcitic".to_owned()));
    assert!(keys("limstone").contains(&"limestone_calcitic".to_owned()));
    assert!(keys("egg shells").contains(&"eggshell_powder".to_owned()));
    assert!(keys("fruit flies").contains(&"apple".to_owned()));
    assert!(keys("feed").len() > 40);
    assert!(keys("zzzz").is_empty());
}

#[test]
fn a_keepers_own_numbers_take_the_place_of_ours() {
    let tables = tables();
    let peat = tables.material("peat_sphagnum_unlimed").unwrap();
    let own = BTreeMap::from([("ph".to_owned(), 4.1)]);
    let mine = peat.with_own(&own).unwrap();
    let ph = mine.number(Property::Ph).unwrap();
    assert_eq!((ph.value, ph.status), (Some(4.1), Status::Own));
    assert!(ph.high.unwrap() - ph.low.unwrap() < 0.5);
    assert_eq!(peat.value(Property::Ph), Some(3.8), "ours is untouched");
}

#[test]
fn own_moisture_moves_density_at_the_same_volume() {
    // 171 g/L at 45 % water is 94.05 g dry per litre; at 80 % that is 470 g/L.
    let tables = tables();
    let peat = tables.material("peat_sphagnum_unlimed").unwrap();
    let own = BTreeMap::from([("moisture_percent".to_owned(), 80.0)]);
    let wet = peat.with_own(&own).unwrap();
    let density = wet.value(Property::BulkDensityKgM3).unwrap();
    assert!((density - 470.25).abs() < 1e-6, "{density}");
}

#[test]
fn own_numbers_are_checked() {
    let tables = tables();
    let peat = tables.material("peat_sphagnum_unlimed").unwrap();
    let given = |name: &str, value: f64| {
        peat.with_own(&BTreeMap::from([(name.to_owned(), value)]))
            .unwrap_err()
            .to_string()
    };
    assert_eq!(
        given("ph", 41.0),
        "`ph` of `peat_sphagnum_unlimed`: bedding pH `41` pH is outside the allowed range 2 to 13 pH (no bedding material is sourer or more alkaline than this)"
    );
    assert!(given("moisture", 40.0).contains("nearest: `moisture_percent`"));
    assert!(given("carbon_nitrogen_ratio", 40.0).contains("is computed"));
    assert!(given("ph", f64::NAN).contains("not a finite number"));
}

#[test]
fn carbon_to_nitrogen_is_computed_with_range() {
    // Cardboard: 44 % carbon, 0.10 % nitrogen.
    let tables = tables();
    let board = tables.material("cardboard_corrugated").unwrap();
    let (low, ratio, high) = board.triple(Property::CarbonNitrogenRatio).unwrap();
    assert!((ratio - 440.0).abs() < 1e-9);
    assert!(low < 440.0 && high > 563.0, "{low} {high}");
    let lime = tables.material("limestone_calcitic").unwrap();
    assert_eq!(
        lime.carbon_nitrogen_ratio(),
        None,
        "carbonate carbon is not counted"
    );
}

#[test]
fn a_labels_particle_size_is_no_number_of_the_material() {
    let tables = tables();
    let lime = tables.material("limestone_calcitic").unwrap();
    let own = BTreeMap::from([("particle_mm".to_owned(), 0.1)]);
    assert_eq!(&lime.with_own(&own).unwrap(), lime);
}
