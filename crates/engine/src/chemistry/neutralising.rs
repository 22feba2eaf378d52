//! Neutralising value: how much acid a gram of liming material takes up.
//!
//! `NV [% of pure CaCO3] = n · 100.087 / (2 M) · 100`, with `n` the moles of
//! H⁺ one mole takes up and `M` its molar mass [g/mol]; pure calcite is
//! 19.98 meq/g. Exact stoichiometry; carbonates deliver it in full only while
//! the end pH stays below about 6.5 or CO2 can leave.

/// Molar mass of calcite [g/mol].
pub const CALCITE_G_PER_MOL: f64 = 100.087;

/// Neutralising value [% of pure CaCO3].
#[must_use]
pub fn neutralising_percent(molar_mass_g_per_mol: f64, acid_per_mole: f64) -> f64 {
    acid_per_mole * CALCITE_G_PER_MOL / (2.0 * molar_mass_g_per_mol) * 100.0
}

/// Acid taken up by one gram [meq/g] at a neutralising value [% of CaCO3].
#[must_use]
pub fn meq_per_gram(neutralising_percent: f64) -> f64 {
    neutralising_percent / 100.0 * 2000.0 / CALCITE_G_PER_MOL
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pure_calcite_is_one_hundred_percent() {
        assert!((neutralising_percent(100.087, 2.0) - 100.0).abs() < 1e-12);
        assert!((meq_per_gram(100.0) - 19.98).abs() < 0.01);
    }
}
