//! Nitrogen of a bed: ammonium, nitrate, what goes off and what runs off.

#![allow(clippy::unwrap_used)] // tests may unwrap

#[allow(dead_code)] // each file of tests uses its own part of it
#[path = "living/bin.rs"]
mod bin;

use bin::{Bin, tote};

const MANURE: [(&str, &str); 1] = [("cow_manure_solid", "15 kg")];
const CARD: [(&str, &str); 3] = [
    ("cardboard_corrugated", "20 L"),
    ("cow_manure_solid", "5 kg"),
    ("water", "5 L"),
];

/// Ammonium and nitrate of a bed with a kilogram of worms in it, by day [mol].
fn by_day(bed: &[(&str, &str)], step: f64) -> Vec<[f64; 2]> {
    let mut bin = Bin::usual(&tote(), bed, 22.0);
    bin.step = step;
    bin.stock(1000.0);
    (0..60)
        .map(|_| {
            bin.live(1.0);
            [bin.life.ammonium, bin.life.nitrate]
        })
        .collect()
}

/// What worms give off is turned and taken up as it comes, so that the step does
/// not decide how much of it lies there, nor where microbes want all of it.
#[test]
fn half_days_find_the_ammonium_that_three_quarters_of_an_hour_find() {
    for bed in [&MANURE[..], &CARD] {
        let (coarse, fine) = (by_day(bed, 0.5), by_day(bed, 0.5 / 16.0));
        for (day, (c, f)) in coarse.iter().zip(&fine).enumerate() {
            for (c, f) in c.iter().zip(f) {
                assert!((c / f - 1.0).abs() < 0.08, "day {day}: {c} {f}");
            }
        }
    }
}

/// A tenth of the nitrogen of stored cattle manure is ammonium when it comes.
#[test]
fn manure_brings_ammonium_whether_filled_or_fed() {
    let filled = Bin::usual(&tote(), &MANURE, 20.0);
    let mut fed = Bin::usual(&tote(), &[("coir_pith", "20 L")], 20.0);
    assert!(fed.life.ammonium.abs() < 1e-12);
    fed.feed(&MANURE);
    for (life, coir) in [(&filled.life, 0.0), (&fed.life, 0.012)] {
        let nitrogen = life.books.nitrogen_in - coir;
        let ammonium = life.ammonium / 71.39;
        assert!(
            (ammonium / nitrogen - 0.1).abs() < 0.02,
            "{ammonium} of {nitrogen}"
        );
    }
}
