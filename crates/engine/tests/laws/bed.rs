//! Laws of beds and doses.

use super::story::tables;
use engine::bed::fill::{self, Conditions, Own};
use engine::bed::possible::PossibleBed;
use engine::bed::product::{Contact, Lot, Product};
use engine::chemistry::pore::{Pore, Solutes};
use engine::chemistry::{AqueousModel, Gas, Problem, Totals, base_at_ph};
use engine::log::{Applied, Part};
use engine::measure::Amount;
use engine::quantity::Celsius;
use proptest::prelude::*;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;
use std::sync::LazyLock;

static MODEL: LazyLock<AqueousModel> = LazyLock::new(|| AqueousModel::load().unwrap());

/// Keys of materials a bed can be made of.
static BEDDINGS: LazyLock<Vec<String>> = LazyLock::new(|| {
    let usable = |key: &str| {
        tables().sites(key).is_ok()
            && Amount::parse("10 L")
                .unwrap()
                .grams(tables().material(key).unwrap(), tables())
                .is_ok()
    };
    let keys = tables().materials().map(|m| m.key.clone());
    keys.filter(|k| usable(k)).collect()
});

const HOW: [Applied; 4] = [
    Applied::MixedIn,
    Applied::OnTop,
    Applied::PouredSlurry,
    Applied::PouredLiquor,
];

fn bed_of(keys: &[usize], litres: &[u32], seed: u64) -> PossibleBed {
    let parts: Vec<Part> = keys
        .iter()
        .zip(litres)
        .map(|(k, l)| {
            Part::plain(
                BEDDINGS[k % BEDDINGS.len()].clone(),
                Amount::parse(&format!("{l} L")).unwrap(),
            )
        })
        .collect();
    let ready = fill::ready(tables(), &parts, &Own::new()).unwrap();
    let conditions = Conditions::usual(tables(), Celsius(20.0)).unwrap();
    fill::draw(&mut ChaCha8Rng::seed_from_u64(seed), &ready, &conditions).0
}

fn product(i: usize) -> Product {
    let rows = tables().products();
    Product::from_tables(tables(), &rows[i % rows.len()].key, &BTreeMap::new()).unwrap()
}

fn contact(i: usize) -> Contact {
    Contact {
        how: HOW[i % HOW.len()],
        touched_share: 0.2,
        tau_days: 5.0,
        steep_litres: 4.0,
    }
}

/// A random bed: keys, litres, seed.
fn beds() -> impl Strategy<Value = PossibleBed> {
    (
        prop::collection::vec(0usize..1000, 1..4),
        prop::collection::vec(5u32..60, 4),
        0u64..1000,
    )
        .prop_map(|(keys, litres, seed)| bed_of(&keys, &litres, seed))
}

/// A random dose: lot, contact, grams per kg of dry bedding.
fn doses() -> impl Strategy<Value = (Lot, Contact, f64)> {
    (0usize..100, 0usize..4, 0u64..1000, 0.1f64..40.0).prop_map(|(p, how, seed, grams)| {
        let lot = product(p).draw(&mut ChaCha8Rng::seed_from_u64(seed));
        (lot, contact(how), grams)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    #[test]
    fn base_is_conserved_whatever_is_given(
        mut bed in beds(),
        given in prop::collection::vec((doses(), 0.0f64..20.0), 1..5),
    ) {
        let mut expected = bed.base + bed.pending();
        for ((lot, contact, per_kg), days) in given {
            let grams = per_kg * bed.dry_kg;
            expected += lot.base(grams, &contact);
            lot.give(&mut bed, grams, &contact);
            bed.advance(days);
        }
        let held = bed.base + bed.pending();
        prop_assert!((held - expected).abs() < 1e-9 * (1.0 + expected.abs()), "{held} {expected}");
    }

    #[test]
    fn ph_stays_a_ph(
        mut bed in beds(),
        given in prop::collection::vec((doses(), 0.0f64..20.0), 1..5),
    ) {
        for ((lot, contact, per_kg), days) in given {
            let grams = per_kg * bed.dry_kg;
            lot.give(&mut bed, grams, &contact);
            for ph in [bed.ph(), bed.ph_met(), bed.ph_when_all_has_acted()] {
                prop_assert!((2.0..=13.0).contains(&ph), "{ph}");
            }
            bed.advance(days);
            prop_assert!(bed.base.is_finite() && bed.pending().is_finite());
        }
    }

    #[test]
    fn more_base_never_lowers_ph(bed in beds(), a in -2.0f64..2.0, b in 0.0f64..2.0) {
        let (a, b) = (a * bed.dry_kg, b * bed.dry_kg);
        prop_assert!(bed.ph_with(a + b) >= bed.ph_with(a));
        prop_assert!(bed.ph_to_come_with(a + b, 0.0) >= bed.ph_to_come_with(a, 0.0));
        prop_assert!(bed.ph_to_come_with(a, b) >= bed.ph_to_come_with(a, 0.0));
    }

    #[test]
    fn beds_that_join_keep_their_water_dry_mass_and_base(
        a in beds(), b in beds(), stretch in 0.5f64..2.0, shift in -0.5f64..0.5,
    ) {
        let (mut a, mut b) = (a, b);
        a.set_ph((a.ph() + shift).clamp(3.0, 10.0));
        b.restretch(stretch);
        let (dry, water) = (a.dry_kg + b.dry_kg, a.water_kg + b.water_kg);
        let base = a.base + b.base + a.pending() + b.pending();
        let (low, high) = (a.ph().min(b.ph()), a.ph().max(b.ph()));
        // What takes each to one pH takes the joined bed there.
        let middle = f64::midpoint(low, high);
        let need = a.base_to_reach(middle) + b.base_to_reach(middle);
        let mut whole = a.clone();
        whole.join(b.clone());
        prop_assert!((whole.dry_kg - dry).abs() < 1e-9 && (whole.water_kg - water).abs() < 1e-9);
        prop_assert!((whole.base + whole.pending() - base).abs() < 1e-9 * (1.0 + base.abs()));
        prop_assert!((low - 1e-6..=high + 1e-6).contains(&whole.ph()), "{low} {} {high}", whole.ph());
        prop_assert!((whole.base_to_reach(middle) - need).abs() < 1e-9 * (1.0 + need.abs()));
    }

    #[test]
    fn a_bed_twice_the_size_is_the_same_bed(bed in beds(), factor in 0.1f64..10.0, per_kg in -1.0f64..1.0) {
        let base = per_kg * bed.dry_kg;
        let big = bed.clone().scaled(factor);
        prop_assert!((big.ph_with(base * factor) - bed.ph_with(base)).abs() < 1e-9);
        prop_assert!((big.pending() - factor * bed.pending()).abs() < 1e-9 * (1.0 + big.pending()));
    }

    #[test]
    fn half_the_time_step_changes_little(bed in beds(), dose in doses()) {
        let (lot, contact, per_kg) = dose;
        let run = |step: f64| {
            let mut bed = bed.clone();
            let grams = per_kg * bed.dry_kg;
            lot.give(&mut bed, grams, &contact);
            for _ in 0..(28.0 / step) as u32 {
                bed.advance(step);
            }
            bed.ph()
        };
        let (usual, half) = (run(0.5), run(0.25));
        prop_assert!((usual - half).abs() < 0.02, "{usual} {half}");
    }

    #[test]
    fn the_light_water_agrees_with_the_full_solver(
        celsius in 5.0f64..35.0, log_co2 in -3.4f64..-1.0, ph in 4.0f64..8.5,
    ) {
        // Salt of the strength the light water assumes; carbonate only.
        let strength = 0.02;
        let co2_atm = 10f64.powf(log_co2);
        let pore = Pore::new(Celsius(celsius), co2_atm, strength, Solutes::default());
        let charge = pore.charge(ph);
        // Where bicarbonate itself is most of the salt the assumption is not met.
        prop_assume!(charge.abs() < 0.01);
        let problem = Problem {
            temperature: Celsius(celsius),
            gas: Gas::Open { co2_atm },
            totals: Totals { na: strength - charge.max(0.0), cl: strength - charge.max(0.0), ..Totals::default() },
            ..Problem::water()
        };
        // The pH at which the full solver wants the light water's base.
        let (mut low, mut high) = (ph - 0.5, ph + 0.5);
        for _ in 0..40 {
            let middle = f64::midpoint(low, high);
            if base_at_ph(&MODEL, &problem, middle).unwrap() > charge { high = middle } else { low = middle }
        }
        prop_assert!((low - ph).abs() < 0.03, "{low} {ph} at {co2_atm} atm");
    }
}

#[test]
fn there_are_many_beddings_to_draw_from() {
    assert!(BEDDINGS.len() > 90, "{}", BEDDINGS.len());
}
