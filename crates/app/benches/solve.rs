//! Times inside one process, printed as JSON: one charge-balance solve, and
//! one titration point. `benches/run.py` sets them beside PHREEQC.

use engine::chemistry::{AqueousModel, Gas, Problem, SiteLoad, Solid, Solids, Totals};
use engine::quantity::Celsius;
use std::hint::black_box;
use std::time::Instant;

fn problem(temperature: f64, gas: Gas, solids: Solids, sites: SiteLoad) -> Problem {
    Problem {
        temperature: Celsius(temperature),
        gas,
        water_kg: 1.0,
        totals: Totals {
            k: 0.010,
            na: 0.002,
            ca: 0.004,
            mg: 0.001,
            nh4: 0.001,
            cl: 0.003,
            so4: 0.002,
            acetate: 0.002,
            ..Totals::default()
        },
        solids,
        sites,
        added_base_mol: 0.0,
    }
}

/// Median nanoseconds of one call, over 21 rounds.
fn median_ns(mut call: impl FnMut()) -> f64 {
    let rounds = 21;
    let calls = 400u32;
    let mut times: Vec<f64> = (0..rounds)
        .map(|_| {
            let start = Instant::now();
            for _ in 0..calls {
                call();
            }
            start.elapsed().as_nanos() as f64 / f64::from(calls)
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[rounds / 2]
}

fn main() {
    let model = AqueousModel::load().expect("the table of constants is tested");
    let constants = model.at(Celsius(20.0)).expect("20 °C is in range");
    let peat = [0.25, 0.29, 0.29, 0.25, 0.18, 0.13, 0.16, 0.20];
    let open = Gas::Open { co2_atm: 0.01 };
    let cases = [
        (
            "water_open",
            problem(20.0, open, Solids::NONE, SiteLoad::default()),
        ),
        (
            "water_closed",
            problem(20.0, Gas::Closed, Solids::NONE, SiteLoad::default()),
        ),
        (
            "bed_open",
            problem(
                20.0,
                open,
                Solids::NONE,
                SiteLoad::of_material(&peat, 0.3, 4.5),
            ),
        ),
        (
            "calcite_open",
            problem(
                20.0,
                open,
                Solids::NONE.with(Solid::Calcite, 0.01),
                SiteLoad::default(),
            ),
        ),
    ];
    let mut parts = Vec::new();
    for (name, case) in &cases {
        let ns = median_ns(|| {
            black_box(
                constants
                    .equilibrate(black_box(case))
                    .expect("a valid case"),
            );
        });
        parts.push(format!("\"{name}_ns\": {ns:.0}"));
    }
    println!("{{{}}}", parts.join(", "));
}
