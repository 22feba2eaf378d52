//! Laws the water of the bed must obey, whatever is in it.
#![allow(
    clippy::unwrap_used,
    reason = "a helper of a test may panic like the test"
)]

use std::sync::LazyLock;

use engine::chemistry::{
    AqueousModel, Gas, Problem, SiteLoad, Solid, Solids, Totals, base_at_ph, equilibrate,
};
use engine::quantity::Celsius;
use proptest::prelude::*;

static MODEL: LazyLock<AqueousModel> = LazyLock::new(|| AqueousModel::load().unwrap());

/// Nothing, traces, ordinary amounts or the largest allowed [mol/kg].
fn total() -> impl Strategy<Value = f64> {
    prop_oneof![
        3 => Just(0.0),
        1 => 1e-12..1e-6f64,
        4 => (-6.0..-1.5f64).prop_map(|x| 10f64.powf(x)),
        1 => 0.0..1.0f64,
        1 => Just(1.0),
    ]
}

/// Ordinary amounts only [mol/kg].
fn mild() -> impl Strategy<Value = f64> {
    prop_oneof![2 => Just(0.0), 5 => (-6.0..-2.0f64).prop_map(|x| 10f64.powf(x))]
}

fn totals(each: impl Strategy<Value = f64>) -> impl Strategy<Value = Totals> {
    proptest::collection::vec(each, Totals::NAMES.len()).prop_map(|values| {
        let mut all = Totals::default();
        for (name, value) in Totals::NAMES.into_iter().zip(values) {
            *all.named_mut(name).unwrap() = value;
        }
        all
    })
}

fn gas() -> impl Strategy<Value = Gas> {
    prop_oneof![
        Just(Gas::Closed),
        (-5.0..0.0f64).prop_map(|x| Gas::Open {
            co2_atm: 10f64.powf(x)
        }),
    ]
}

fn solids(largest: f64) -> impl Strategy<Value = Solids> {
    let amount = prop_oneof![
        4 => Just(None),
        1 => Just(Some(0.0)),
        1 => (-6.0..largest).prop_map(|x| Some(10f64.powf(x))),
    ];
    proptest::collection::vec(amount, Solid::ALL.len()).prop_map(|amounts| {
        let mut all = Solids::NONE;
        for (solid, amount) in Solid::ALL.into_iter().zip(amounts) {
            if let Some(amount) = amount {
                all = all.with(solid, amount);
            }
        }
        all
    })
}

fn sites() -> impl Strategy<Value = SiteLoad> {
    let load = (
        prop::array::uniform8(0.0..0.4f64),
        0.001..20.0f64,
        3.0..9.0f64,
    )
        .prop_map(|(q, kg, ph)| SiteLoad::of_material(&q, kg, ph));
    prop_oneof![Just(SiteLoad::default()), load]
}

fn problem(each: impl Strategy<Value = f64>, largest_solid: f64) -> impl Strategy<Value = Problem> {
    (
        2.0..40.0f64,
        gas(),
        -2.0..3.0f64,
        totals(each),
        solids(largest_solid),
        sites(),
    )
        .prop_map(|(t, gas, ln_water, totals, solids, sites)| Problem {
            temperature: Celsius(t),
            gas,
            water_kg: ln_water.exp(),
            totals,
            solids,
            sites,
            added_base_mol: 0.0,
        })
}

/// Atoms of each element in a mole of each solid: Ca, Mg, SO4, carbonate.
fn atoms(solid: Solid) -> [f64; 4] {
    match solid {
        Solid::Calcite | Solid::Aragonite => [1.0, 0.0, 0.0, 1.0],
        Solid::Dolomite => [1.0, 1.0, 0.0, 2.0],
        Solid::Gypsum => [1.0, 0.0, 1.0, 0.0],
        Solid::Portlandite => [1.0, 0.0, 0.0, 0.0],
        Solid::Brucite => [0.0, 1.0, 0.0, 0.0],
    }
}

/// Element amounts in water and solids [mol].
fn inventory(totals: &Totals, solids: &Solids, water_kg: f64) -> [f64; 4] {
    let mut sum = [totals.ca, totals.mg, totals.so4, totals.carbonate].map(|t| t * water_kg);
    for (solid, amount) in solids.iter() {
        for (s, n) in sum.iter_mut().zip(atoms(solid)) {
            *s += n * amount;
        }
    }
    sum
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn any_valid_water_has_an_answer_that_balances(p in problem(total(), 2.0)) {
        let answer = equilibrate(&MODEL, &p).unwrap();
        prop_assert!(answer.ph.is_finite() && answer.ec_ms_per_cm.is_finite());
        prop_assert!(answer.ec_ms_per_cm > 0.0 && answer.ionic_strength > 0.0);
        let scale = p.water_kg * (1.0 + answer.ionic_strength)
            + p.sites.reference_charge_mol;
        prop_assert!(answer.residual_charge_mol.abs() < 1e-9 * scale, "{answer:?}");
        let before = inventory(&p.totals, &p.solids, p.water_kg);
        let after = inventory(&answer.totals, &answer.solids_left, p.water_kg);
        // A solid's amount carries the rounding of all its elements.
        let rounding = 1e-13 * before.iter().chain(&after).sum::<f64>();
        let kept = if p.gas == Gas::Closed { 4 } else { 3 };
        for i in 0..kept {
            let gap = (before[i] - after[i]).abs();
            prop_assert!(gap <= 1e-9 * before[i] + rounding, "{i}: {before:?} {after:?}");
        }
        for (name, (b, a)) in Totals::NAMES
            .into_iter()
            .zip(p.totals.values().into_iter().zip(answer.totals.values()))
        {
            if !["Ca", "Mg", "SO4", "carbonate"].contains(&name) {
                prop_assert!((a - b).abs() <= 1e-9 * b + 1e-24, "{name} {b} {a}");
            }
        }
        for (solid, amount) in answer.solids_left.iter() {
            prop_assert!(amount >= 0.0);
            if let Some(si) = answer.saturation_index[solid as usize] {
                prop_assert!(si < 1e-6, "{solid:?} {si}");
                prop_assert!(amount == 0.0 || si > -1e-6, "{solid:?} {amount} {si}");
            }
        }
    }

    #[test]
    fn base_never_lowers_ph(p in problem(mild(), -1.0), ln_dose in -12.0..-1.0f64) {
        let dosed = Problem { added_base_mol: ln_dose.exp() * p.water_kg, ..p };
        let before = equilibrate(&MODEL, &p).unwrap().ph;
        let after = equilibrate(&MODEL, &dosed).unwrap().ph;
        prop_assert!(after >= before - 1e-7, "{before} {after}");
    }

    #[test]
    fn base_at_ph_and_equilibrate_are_inverse(p in problem(mild(), -1.0), ph in 3.0..11.0f64) {
        let base = base_at_ph(&MODEL, &p, ph).unwrap();
        // Where solids take up all base given, pH has no say; where carbonate
        // would pass 1 mol/kg the model does not hold.
        prop_assume!(base.abs() < 0.5 * p.water_kg + 10.0 * p.sites.reference_charge_mol);
        let answer = equilibrate(&MODEL, &Problem { added_base_mol: base, ..p }).unwrap();
        let again = base_at_ph(&MODEL, &p, answer.ph).unwrap();
        prop_assert!((again - base).abs() < 1e-6 * (1.0 + base.abs()), "{base} {again}");
        prop_assert!((answer.ph - ph).abs() < 1e-4, "{ph} {}", answer.ph);
    }

    #[test]
    fn base_rises_with_ph(p in problem(mild(), -1.0), ph in 3.0..11.0f64, rise in 0.001..1.0f64) {
        let low = base_at_ph(&MODEL, &p, ph).unwrap();
        let high = base_at_ph(&MODEL, &p, ph + rise).unwrap();
        prop_assert!(high >= low - 1e-9 * low.abs().max(1.0), "{low} {high}");
    }
}

#[test]
fn bad_values_are_named_with_their_range() {
    let says = |p: Problem| equilibrate(&MODEL, &p).unwrap_err().to_string();
    assert_eq!(
        says(Problem {
            temperature: Celsius(41.0),
            ..Problem::water()
        }),
        "temperature_celsius `41` °C is outside the allowed range 2 to 40 °C (the chemistry is checked from 2 to 40 °C)"
    );
    assert_eq!(
        says(Problem {
            gas: Gas::Open { co2_atm: 0.0 },
            ..Problem::water()
        }),
        "co2_atm `0` atm is outside the allowed range 0.00001 to 1 atm (from cleaner than outdoor air to pure gas)"
    );
    assert_eq!(
        says(Problem {
            water_kg: f64::NAN,
            ..Problem::water()
        }),
        "water_kg is not a finite number; give a value from 0.000001 to 100000 kg"
    );
    assert_eq!(
        base_at_ph(&MODEL, &Problem::water(), 15.0)
            .unwrap_err()
            .to_string(),
        "ph `15` pH is outside the allowed range 0 to 14 pH (the pH scale of a water slurry)"
    );
}

#[test]
fn the_largest_and_smallest_of_everything_are_solved() {
    let mut all = Totals::default();
    for name in Totals::NAMES {
        *all.named_mut(name).unwrap() = 1.0;
    }
    let peat = SiteLoad::of_material(&[0.3; 8], 1000.0, 4.0);
    for t in [2.0, 40.0] {
        for gas in [
            Gas::Closed,
            Gas::Open { co2_atm: 1e-5 },
            Gas::Open { co2_atm: 1.0 },
        ] {
            for water_kg in [1e-6, 1e5] {
                for totals in [Totals::default(), all] {
                    for sites in [SiteLoad::default(), peat] {
                        for amount in [None, Some(0.0), Some(1e5)] {
                            let mut solids = Solids::NONE;
                            for solid in Solid::ALL {
                                if let Some(n) = amount {
                                    solids = solids.with(solid, n);
                                }
                            }
                            let p = Problem {
                                temperature: Celsius(t),
                                gas,
                                water_kg,
                                totals,
                                solids,
                                sites,
                                added_base_mol: 0.0,
                            };
                            let answer = equilibrate(&MODEL, &p);
                            assert!(answer.is_ok_and(|a| a.ph.is_finite()), "{p:?}");
                        }
                    }
                }
            }
        }
    }
}
