//! Acid sites of bedding: how much base a material takes up per unit of pH.
//!
//! E1: Q(pH) = sum over pKa = 3..10 of q / (1 + 10^(pKa - pH)) [mol_c].
//! Eight classes of weak acid, one pH unit apart; each capacity reads as the
//! charge gained per pH unit near its pKa. pKa are conditional (they hold at
//! the salt level of a bed); no electrostatics. Holds from pH 2 to 11.
//! Capacities of peat were fitted to Rippy and Nelson 2007 (HortScience
//! 42:349), Bishko, Fisher and Argo 2002 (HortScience 37:511) and limed peat
//! trials; compost to Costello and Sullivan 2014 (Waste Biomass Valor. 5:505).
//!
//! E2: a material arrives charged to Q at its own pH, balanced by bases of its
//! own; only the change from there counts in the charge balance.

use std::f64::consts::LN_10;

/// Number of site classes.
pub const SITE_CLASSES: usize = 8;

/// pKa of the first site class; the others follow one unit apart.
pub const FIRST_PKA: f64 = 3.0;

/// 10^pKa of the eight classes.
const TEN_TO_PKA: [f64; SITE_CLASSES] = [1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10];

/// Charge of the sites at `ph` [same unit as `capacities`], E1.
///
/// ```
/// use engine::chemistry::sites::site_charge;
/// let one_class = [0.0, 0.0, 2.0, 0.0, 0.0, 0.0, 0.0, 0.0];
/// assert_eq!(site_charge(&one_class, 5.0), 1.0);
/// ```
#[must_use]
pub fn site_charge(capacities: &[f64; SITE_CLASSES], ph: f64) -> f64 {
    charge_and_slope(capacities, 10f64.powf(-ph)).0
}

/// Slope of the charge, dQ/dpH [unit of `capacities` per pH].
#[must_use]
pub fn site_slope(capacities: &[f64; SITE_CLASSES], ph: f64) -> f64 {
    charge_and_slope(capacities, 10f64.powf(-ph)).1 * LN_10
}

/// Charge, and its slope against -ln(activity of H+), at hydrogen activity `h`.
pub(crate) fn charge_and_slope(capacities: &[f64; SITE_CLASSES], h: f64) -> (f64, f64) {
    let (mut charge, mut slope) = (0.0, 0.0);
    for (q, ten_to_pka) in capacities.iter().zip(TEN_TO_PKA) {
        let open = 1.0 / (1.0 + h * ten_to_pka);
        charge += q * open;
        slope += q * open * (1.0 - open);
    }
    (charge, slope)
}

/// All the sites in contact with one body of water [mol_c].
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SiteLoad {
    /// Capacity of the classes pKa 3 to 10 [mol_c].
    pub capacity_mol: [f64; SITE_CLASSES],
    /// Charge balanced by the material's own bases [mol_c].
    pub reference_charge_mol: f64,
}

impl SiteLoad {
    /// `dry_kg` of a material of `capacity` [mol_c/kg], as received at `ph`.
    #[must_use]
    pub fn of_material(capacity: &[f64; SITE_CLASSES], dry_kg: f64, ph: f64) -> Self {
        Self {
            capacity_mol: capacity.map(|q| q * dry_kg),
            reference_charge_mol: dry_kg * site_charge(capacity, ph),
        }
    }

    /// Both loads in the same water; charge adds.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        let mut sum = *self;
        for (mine, theirs) in sum.capacity_mol.iter_mut().zip(other.capacity_mol) {
            *mine += theirs;
        }
        sum.reference_charge_mol += other.reference_charge_mol;
        sum
    }

    /// Charge gained since arrival at `ph` [mol_c]: base taken up by the sites.
    #[must_use]
    pub fn base_taken_up(&self, ph: f64) -> f64 {
        site_charge(&self.capacity_mol, ph) - self.reference_charge_mol
    }

    /// Whether there are any sites or any reference charge at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.reference_charge_mol == 0.0 && self.capacity_mol.iter().all(|q| *q == 0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Sphagnum peat [mol_c/kg dry].
    const PEAT: [f64; 8] = [0.25, 0.29, 0.29, 0.25, 0.18, 0.13, 0.16, 0.20];

    #[test]
    fn peat_charge_table() {
        for (ph, q) in [
            (3.0, 0.1545),
            (3.5, 0.2693),
            (3.8, 0.3469),
            (4.0, 0.4013),
            (4.5, 0.5406),
            (5.0, 0.6808),
            (5.5, 0.8167),
            (6.0, 0.9433),
            (6.5, 1.0579),
            (7.0, 1.1577),
            (7.5, 1.2448),
            (8.0, 1.3224),
            (8.2, 1.3523),
        ] {
            assert!((site_charge(&PEAT, ph) - q).abs() < 6e-5, "pH {ph}");
        }
    }

    #[test]
    fn peat_slope_is_the_buffer_of_the_table() {
        for (ph, beta) in [(5.0, 0.280), (6.0, 0.244), (7.0, 0.187)] {
            assert!((site_slope(&PEAT, ph) - beta).abs() < 6e-4, "pH {ph}");
        }
    }

    #[test]
    fn ten_kilograms_of_peat_from_4_2() {
        let load = SiteLoad::of_material(&PEAT, 10.0, 4.2);
        for (meq, ph) in [
            (50.0, 4.2179),
            (130.0, 4.2466),
            (250.0, 4.2896),
            (420.0, 4.3505),
            (1000.0, 4.5581),
            (2000.0, 4.9145),
            (2700.0, 5.1657),
            (4000.0, 5.6549),
        ] {
            let needed = 1000.0 * load.base_taken_up(ph);
            assert!((needed - meq).abs() < 0.2, "{meq} meq: {needed}");
        }
        assert!((load.base_taken_up(5.2) - 2.794).abs() < 5e-4);
        assert!((load.base_taken_up(6.0) - 4.865).abs() < 5e-4);
    }

    proptest! {
        #[test]
        fn slope_is_the_derivative(q in prop::array::uniform8(0.0..2.0f64), ph in 2.0..12.0f64) {
            let h = 1e-5;
            let numeric = (site_charge(&q, ph + h) - site_charge(&q, ph - h)) / (2.0 * h);
            prop_assert!((numeric - site_slope(&q, ph)).abs() < 1e-6);
        }
    }
}
