//! Free ammonia: the share of ammonia nitrogen that is NH3 and not NH4+.
//!
//! f = 1 / (1 + 10^(pKa - pH)), pKa = 0.0901821 + 2729.92 / T, T [K].
//! Holds in fresh water from 0 to 50 °C; salt lowers the share (about a tenth
//! less in 0.01 mol/kg salt, a quarter less in 0.1), which the full solver
//! counts and this equation does not.
//! Source: Emerson, Russo, Lund and Thurston 1975, J. Fish. Res. Board Can.
//! 32:2379. The constant is confirmed by several independent codes; one
//! printed copy has 2727.92, a slip.

use crate::quantity::Celsius;
use std::f64::consts::LN_10;

/// Acid constant of ammonium, pKa [pH], 0-50 °C.
#[must_use]
pub fn ammonium_pka(temperature: Celsius) -> f64 {
    0.090_182_1 + 2729.92 / temperature.kelvin()
}

/// Share of ammonia nitrogen present as free NH3 [fraction].
#[must_use]
pub fn free_ammonia_fraction(temperature: Celsius, ph: f64) -> f64 {
    1.0 / (1.0 + (LN_10 * (ammonium_pka(temperature) - ph)).exp())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Tables;

    #[test]
    fn the_law_is_that_of_the_table() {
        let tables = Tables::load().unwrap();
        let of = |p| tables.value("gases", "ammonia", p).unwrap();
        for celsius in [0.0, 20.0, 50.0] {
            let t = Celsius(celsius);
            let pka = of("pka_a") + of("pka_b") / t.kelvin();
            assert!((ammonium_pka(t) - pka).abs() < 1e-12, "{celsius}");
        }
    }

    /// Computed with 273.15 K from the equation above, in percent, at pH 6.5,
    /// 7.0, 7.5, 8.0, 8.5 and 9.0.
    const TABLE: [(f64, f64, [f64; 6]); 6] = [
        (5.0, 9.9047, [0.0394, 0.1244, 0.3922, 1.2299, 3.789, 11.07]),
        (10.0, 9.7314, [0.0587, 0.1853, 0.5835, 1.8221, 5.544, 15.65]),
        (15.0, 9.5641, [0.0862, 0.2721, 0.8553, 2.6557, 7.942, 21.43]),
        (20.0, 9.4025, [0.1250, 0.3942, 1.2361, 3.8071, 11.12, 28.36]),
        (25.0, 9.2464, [0.1790, 0.5639, 1.7616, 5.3662, 15.21, 36.19]),
        (30.0, 9.0954, [0.2532, 0.7965, 2.4760, 7.4319, 20.25, 44.53]),
    ];

    #[test]
    fn agrees_with_the_table_of_emerson() {
        for (t, pka, row) in TABLE {
            assert!((ammonium_pka(Celsius(t)) - pka).abs() < 6e-5, "{t}");
            for (i, percent) in row.into_iter().enumerate() {
                let ph = 6.5 + 0.5 * i as f64;
                let ours = 100.0 * free_ammonia_fraction(Celsius(t), ph);
                assert!(
                    (ours / percent - 1.0).abs() < 2e-3,
                    "{t} {ph}: {ours} {percent}"
                );
            }
        }
    }

    #[test]
    fn agrees_with_other_published_fractions() {
        // Clegg and Whitfield 1995 as worked in the R package wq: 0.0183 and
        // 0.0539 at pH 8, 10 and 25 °C; 2 %.
        assert!((free_ammonia_fraction(Celsius(10.0), 8.0) / 0.0183 - 1.0).abs() < 0.02);
        assert!((free_ammonia_fraction(Celsius(25.0), 8.0) / 0.0539 - 1.0).abs() < 0.02);
    }
}
