//! Discrete acid sites of bedding (replaced at merge).

/// Charge [mol_c] of sites with capacities [mol] at pKa 3 to 10.
#[must_use]
pub fn site_charge(capacity: &[f64; 8], ph: f64) -> f64 {
    capacity
        .iter()
        .zip(3u8..)
        .map(|(q, pka)| q / (1.0 + 10f64.powf(f64::from(pka) - ph)))
        .sum()
}
