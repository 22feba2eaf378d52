//! How fast particles of lime dissolve in moist bedding.
//!
//! A grain is a shrinking sphere whose radius falls at the speed `v`
//! [µm/day]; a plate of shell thins from both faces at the same speed:
//!
//! `v = c · min( v_PWP(pH, T, pCO2, SI), v_max · exp(−Ea/R · (1/T − 1/298.15)) )`
//!
//! `v_PWP` is the calcite rate law of Plummer, Wigley & Parkhurst 1978
//! (constants as in the RATES block of phreeqc.dat), times the molar volume
//! of calcite; `v_max` is the constant speed that reproduces the six particle
//! size efficiencies of Huang, Fisher & Argo 2007 (HortScience 42:1268); `c`
//! is a contact factor (1 for calcite, less for dolomite and shell).
//! Holds for pH 3 to 9 and 2 to 40 °C; dissolution stops at calcite
//! saturation and never runs backwards here.

use crate::quantity::Celsius;
use serde::{Deserialize, Serialize};
use std::f64::consts::LN_10;

/// Numbers of the rate law.
#[derive(Debug, Clone, PartialEq)]
pub struct Parameters {
    /// Fastest retreat of a grain surface in bedding at 25 °C [µm/day].
    pub max_um_per_day: f64,
    /// Activation energy of that speed [kJ/mol].
    pub activation_kj_per_mol: f64,
    /// Calcium in the pore water [mol/L], which sets when calcite is saturated.
    pub pore_calcium_mol_per_l: f64,
}

/// State of the water around a grain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surroundings {
    /// Temperature [°C].
    pub temperature: Celsius,
    /// Carbon dioxide [atm].
    pub co2_atm: f64,
    /// Activity coefficient of a single charge [-].
    pub gamma1: f64,
}

/// µm/day for each mmol/cm²/s: 36.9 cm³/mol × 86 400 s/d × 10⁴ µm/cm × 10⁻³.
const RETREAT_PER_RATE: f64 = 36.9 * 86_400.0 * 1.0e4 * 1.0e-3;
/// Gas constant [kJ/mol/K].
const GAS_CONSTANT: f64 = 0.008_314;

/// Calcite dissolution rate far from saturation [mmol/cm²/s]: Plummer, Wigley
/// & Parkhurst 1978, `k1·aH + k2·aCO2 + k3·aH2O`.
///
/// `co2_aq` is the activity of dissolved CO2 [mol/kg].
#[must_use]
pub fn forward_rate_mmol_cm2_s(ph: f64, temperature: Celsius, co2_aq: f64) -> f64 {
    let t = temperature.kelvin();
    let k1 = 10f64.powf(0.198 - 444.0 / t);
    let k2 = 10f64.powf(2.84 - 2177.0 / t);
    let k3 = if t <= 298.15 {
        10f64.powf(-5.86 - 317.0 / t)
    } else {
        10f64.powf(-1.10 - 1737.0 / t)
    };
    k1 * 10f64.powf(-ph) + k2 * co2_aq + k3
}

/// The rate law with everything but pH worked out, for one possible bed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Law {
    k1: f64,
    rest: f64,
    cap: f64,
    saturation_ph: f64,
}

impl Law {
    /// The law in the given surroundings.
    #[must_use]
    pub fn new(p: &Parameters, at: &Surroundings) -> Self {
        let k = super::pore::Constants::at(at.temperature);
        let co2_aq = 10f64.powf(k.log_kh) * at.co2_atm;
        let inverse = 1.0 / at.temperature.kelvin() - 1.0 / 298.15;
        // SI = log(Ca γ2) + log(CO3) − log Ksp, with log(CO3) rising by 2 per pH.
        let gamma2 = at.gamma1.powi(4);
        let si_at_zero = (p.pore_calcium_mol_per_l * gamma2).log10() + co2_aq.log10()
            - k.log_co2_from_co3
            - k.log_ksp_calcite;
        let far = forward_rate_mmol_cm2_s(40.0, at.temperature, co2_aq);
        Self {
            k1: forward_rate_mmol_cm2_s(0.0, at.temperature, co2_aq) - far,
            rest: far,
            cap: p.max_um_per_day * (-p.activation_kj_per_mol / GAS_CONSTANT * inverse).exp(),
            saturation_ph: -si_at_zero / 2.0,
        }
    }

    /// Its numbers with their names: the speed at pH 0 and far from any acid
    /// [mmol/cm²/s], the fastest retreat [µm/day], and the pH of saturation.
    #[must_use]
    pub fn list(&self) -> Vec<(&'static str, f64)> {
        vec![
            ("k1", self.k1),
            ("rest", self.rest),
            ("cap", self.cap),
            ("saturation_ph", self.saturation_ph),
        ]
    }

    /// pH at which the pore water is saturated with calcite and lime stops acting.
    #[must_use]
    pub fn saturation_ph(&self) -> f64 {
        self.saturation_ph
    }

    /// Speed at which a surface retreats [µm/day] at contact factor 1.
    #[must_use]
    pub fn retreat_um_per_day(&self, ph: f64) -> f64 {
        if ph >= self.saturation_ph {
            return 0.0;
        }
        let away = 1.0 - (4.0 / 3.0 * LN_10 * (ph - self.saturation_ph)).exp();
        let law = (self.k1 * (-LN_10 * ph).exp() + self.rest) * RETREAT_PER_RATE * away;
        law.min(self.cap)
    }
}

/// Shape of a particle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Shape {
    /// Ground grain: size is the diameter.
    Grain,
    /// Shell plate: size is the thickness.
    Plate,
}

/// Share of a particle [0 to 1] that is gone once its surface has retreated
/// by `retreat_um`, for a starting size `size_um` (diameter or thickness).
#[must_use]
pub fn dissolved_share(shape: Shape, size_um: f64, retreat_um: f64) -> f64 {
    let left = (1.0 - 2.0 * retreat_um / size_um).max(0.0);
    match shape {
        Shape::Grain => 1.0 - left.powi(3),
        Shape::Plate => 1.0 - left,
    }
}

/// Share dissolved [0 to 1] of grains whose mass is spread evenly over the
/// diameters from `low_um` to `high_um`.
#[must_use]
pub fn dissolved_share_of_class(low_um: f64, high_um: f64, retreat_um: f64) -> f64 {
    const STEPS: u32 = 200;
    let step = (high_um - low_um) / f64::from(STEPS);
    (0..STEPS)
        .map(|i| low_um + (f64::from(i) + 0.5) * step)
        .map(|d| dissolved_share(Shape::Grain, d, retreat_um))
        .sum::<f64>()
        / f64::from(STEPS)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parameters() -> Parameters {
        Parameters {
            max_um_per_day: 6.0,
            activation_kj_per_mol: 35.0,
            pore_calcium_mol_per_l: 0.005,
        }
    }

    fn law() -> Law {
        let at = Surroundings {
            temperature: Celsius(25.0),
            co2_atm: 0.01,
            gamma1: 0.9,
        };
        Law::new(&parameters(), &at)
    }

    #[test]
    fn rate_law_gives_the_retreat_speeds_of_its_constants() {
        // Plummer, Wigley & Parkhurst 1978 at 25 °C, 1 % CO2, far from saturation.
        let co2_aq = 10f64.powf(-1.468) * 0.01;
        for (ph, um_day) in [
            (4.0, 167.0),
            (4.7, 37.0),
            (5.0, 20.0),
            (6.0, 5.8),
            (6.5, 4.7),
        ] {
            let v = forward_rate_mmol_cm2_s(ph, Celsius(25.0), co2_aq) * RETREAT_PER_RATE;
            assert!((v / um_day - 1.0).abs() < 0.03, "pH {ph}: {v}");
        }
    }

    #[test]
    fn seven_days_at_ph_six_take_about_forty_micrometres() {
        let retreat = 7.0 * law().retreat_um_per_day(6.0);
        assert!((38.5..41.5).contains(&retreat), "{retreat}");
    }

    #[test]
    fn nothing_dissolves_in_a_bed_saturated_with_calcite() {
        let law = law();
        assert!(law.retreat_um_per_day(law.saturation_ph() + 0.01).abs() < 1e-12);
        // Calcite in 5 mmol/L calcium and 1 % CO2 is saturated near pH 7.
        assert!(
            (6.9..7.2).contains(&law.saturation_ph()),
            "{}",
            law.saturation_ph()
        );
    }

    #[test]
    fn a_plate_thins_from_both_faces() {
        assert!((dissolved_share(Shape::Plate, 400.0, 100.0) - 0.5).abs() < 1e-12);
        assert!((dissolved_share(Shape::Grain, 100.0, 60.0) - 1.0).abs() < 1e-12);
    }
}
