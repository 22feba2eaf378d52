//! The thin water of moist bedding, open to the bed's carbon dioxide: what
//! its bicarbonate, carbonate and hydroxide add to the charge balance.
//!
//! Constants are the temperature functions of phreeqc.dat (Plummer &
//! Busenberg 1982 for carbonate; Parkhurst & Appelo 2013 for water); activity
//! by Davies at a fixed background ionic strength. This is the light cousin
//! of the full solver, used where a bed's sites carry nearly all the buffer
//! and thousands of possible beds are weighed; a test holds the two together.

use crate::quantity::Celsius;

/// Equilibrium constants at one temperature, as log10.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Constants {
    /// CO2 gas to dissolved CO2 [mol/kg/atm].
    pub log_kh: f64,
    /// CO3²⁻ + H⁺ = HCO3⁻.
    pub log_hco3_from_co3: f64,
    /// CO3²⁻ + 2 H⁺ = CO2 + H2O.
    pub log_co2_from_co3: f64,
    /// Solubility product of calcite.
    pub log_ksp_calcite: f64,
    /// Ion product of water.
    pub log_kw: f64,
}

impl Constants {
    /// Constants at a temperature (2 to 40 °C).
    #[must_use]
    pub fn at(temperature: Celsius) -> Self {
        let t = temperature.kelvin();
        let lt = t.log10();
        Self {
            log_kh: 10.5624 - 0.023_547 * t - 3972.8 / t + 5.8746e5 / (t * t) + 1.9194e-5 * t * t,
            log_hco3_from_co3: 107.8871 + 0.032_528_49 * t - 5151.79 / t - 38.925_61 * lt
                + 563_713.9 / (t * t),
            log_co2_from_co3: 464.1965 + 0.093_448_13 * t - 26_986.16 / t - 165.759_51 * lt
                + 2_248_628.9 / (t * t),
            log_ksp_calcite: -171.9065 - 0.077_993 * t + 2839.319 / t + 71.595 * lt,
            log_kw: 293.292_27 + 0.136_083_3 * t
                - 10_576.913 / t
                - 123.731_58 * lt
                - 6.996_455e-5 * t * t,
        }
    }
}

/// Davies activity coefficient of a single charge [-] at ionic strength
/// `ionic_strength` [mol/kg]; holds to about 0.5 mol/kg.
#[must_use]
pub fn davies_gamma1(temperature: Celsius, ionic_strength: f64) -> f64 {
    let a = 0.4883 + 8.074e-4 * temperature.value();
    let root = ionic_strength.max(0.0).sqrt();
    10f64.powf(-a * (root / (1.0 + root) - 0.3 * ionic_strength))
}

/// What the pore water holds besides carbonate.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Solutes {
    /// Ammonia nitrogen, both forms [mol/kg water].
    pub ammonia_n: f64,
    /// Acetic-type organic acids, both forms [mol/kg water], pKa 4.76.
    pub acetate: f64,
}

/// Pore water that can say its charge at any pH.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pore {
    k: Constants,
    /// Constants of carbonate, not as logarithms.
    co2_from_co3: f64,
    hco3_from_co3: f64,
    co2_aq: f64,
    gamma1: f64,
    pka_ammonia: f64,
    solutes: Solutes,
}

impl Pore {
    /// Pore water at a temperature, gas and background ionic strength.
    #[must_use]
    pub fn new(temperature: Celsius, co2_atm: f64, ionic_strength: f64, solutes: Solutes) -> Self {
        let k = Constants::at(temperature);
        Self {
            k,
            co2_from_co3: 10f64.powf(k.log_co2_from_co3),
            hco3_from_co3: 10f64.powf(k.log_hco3_from_co3),
            co2_aq: 10f64.powf(k.log_kh) * co2_atm,
            gamma1: davies_gamma1(temperature, ionic_strength),
            pka_ammonia: 0.090_182_1 + 2729.92 / temperature.kelvin(),
            solutes,
        }
    }

    /// Activity coefficient of a single charge [-].
    #[must_use]
    pub fn gamma1(&self) -> f64 {
        self.gamma1
    }

    /// Net anion charge of the weak species [mol_c/kg water]:
    /// `HCO3 + 2 CO3 + OH − H + acetate − NH4`, rising with pH.
    #[must_use]
    pub fn charge(&self, ph: f64) -> f64 {
        let h = 10f64.powf(-ph);
        let g1 = self.gamma1;
        let oh = 10f64.powf(self.k.log_kw) / h;
        let acetate = self.solutes.acetate / (1.0 + h * 10f64.powf(4.757) * g1);
        let ammonium = self.solutes.ammonia_n / (1.0 + 10f64.powf(ph - self.pka_ammonia));
        self.carbonate(ph) + oh / g1 - h / g1 + acetate - ammonium
    }

    /// Of it bicarbonate and carbonate, `HCO3 + 2 CO3` [mol_c/kg water].
    #[must_use]
    pub fn carbonate(&self, ph: f64) -> f64 {
        let h = 10f64.powf(-ph);
        let g1 = self.gamma1;
        let g2 = g1 * g1 * g1 * g1;
        let co3 = self.co2_aq / (self.co2_from_co3 * h * h);
        let hco3 = co3 * h * self.hco3_from_co3;
        hco3 / g1 + 2.0 * co3 / g2
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn constants_at_25_degrees_are_the_published_ones() {
        // Plummer & Busenberg 1982 as printed in phreeqc.dat.
        let k = Constants::at(Celsius(25.0));
        assert!((k.log_kh + 1.468).abs() < 0.001);
        assert!((k.log_hco3_from_co3 - 10.329).abs() < 0.001);
        assert!((k.log_co2_from_co3 - 16.681).abs() < 0.001);
        assert!((k.log_ksp_calcite + 8.480).abs() < 0.001);
        assert!((k.log_kw + 13.995).abs() < 0.01);
    }

    #[test]
    fn air_equilibrated_water_is_neutral_in_charge_near_five_point_six() {
        let pore = Pore::new(Celsius(25.0), 0.000_42, 0.0, Solutes::default());
        assert!(pore.charge(5.55) < 0.0);
        assert!(pore.charge(5.65) > 0.0);
    }

    #[test]
    fn charge_rises_with_ph() {
        let pore = Pore::new(
            Celsius(20.0),
            0.01,
            0.02,
            Solutes {
                ammonia_n: 0.01,
                acetate: 0.01,
            },
        );
        let mut last = f64::NEG_INFINITY;
        for step in 0..110 {
            let now = pore.charge(2.0 + 0.1 * f64::from(step));
            assert!(now > last);
            last = now;
        }
    }
}
