//! Names, tables and draws of the species.

use super::*;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

#[test]
fn names_are_read_back() {
    for s in Species::ALL {
        assert_eq!(Species::parse(s.name()), Some(s));
    }
    assert_eq!(
        Species::parse("eisenia_andrei"),
        Some(Species::EiseniaFetida)
    );
    assert_eq!(Species::parse("lumbricus"), None);
}

#[test]
fn the_tables_hold_every_species_whole() {
    let tables = Tables::load().unwrap();
    for s in Species::ALL {
        let v = Vital::of(&tables, s).unwrap();
        assert!(v.hatchlings() > 0.3 && v.hatchlings() < 5.0, "{s:?}");
        assert!(v.adult_g > v.premature_g * v.adult_g / 0.715);
    }
    let v = Vital::of(&tables, Species::EiseniaFetida).unwrap();
    assert!((v.hatchlings() - 2.625).abs() < 0.01);
    // 38.8 g in 8 L, 15 cm deep.
    let floor = 0.008 / v.box_depth_m;
    assert!((v.crowd_half_kg_m2 * 1000.0 * floor - 38.8).abs() < 1e-9);
}

#[test]
fn draws_repeat_and_spread() {
    let tables = Tables::load().unwrap();
    let ranges = VitalRanges::of(&tables, Species::EiseniaFetida).unwrap();
    let draw = |seed| ranges.draw(&mut ChaCha8Rng::seed_from_u64(seed));
    assert_eq!(draw(1), draw(1));
    assert_ne!(draw(1), draw(2));
    let inside = (0..1000)
        .filter(|&s| (0.84..=1.25).contains(&draw(s).young_per_adult_day))
        .count();
    assert!((870..=930).contains(&inside), "{inside}");
}
