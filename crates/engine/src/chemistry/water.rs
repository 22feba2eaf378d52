//! Pure water at 1 atm: density, dielectric constant, viscosity, and the
//! Debye-Hückel coefficients that follow from them. 0 to 60 °C.

use std::f64::consts::{LN_10, PI};

use crate::quantity::Celsius;

/// Density of water [kg/L], 0-100 °C, within 1e-5. Kell 1975, J. Chem. Eng.
/// Data 20:97, equation from memory, checked at 4 and 25 °C.
#[must_use]
pub fn density_kg_per_l(temperature: Celsius) -> f64 {
    let t = temperature.0;
    let top = 999.839_52
        + t * (16.945_176
            + t * (-7.987_040_1e-3
                + t * (-46.170_461e-6 + t * (105.563_02e-9 - t * 280.542_53e-12))));
    top / (1.0 + 16.879_850e-3 * t) / 1000.0
}

/// Dielectric constant of water [1] at 1 atm. Bradley and Pitzer 1979,
/// J. Phys. Chem. 83:1599, coefficients as used by PHREEQC (from memory,
/// checked at 25 °C and through the activity coefficients).
#[must_use]
pub fn dielectric_constant(temperature: Celsius) -> f64 {
    let t = temperature.kelvin();
    let at_1000_bar = 342.79 * (t * (-5.0866e-3 + t * 9.469e-7)).exp();
    let c = -2.0525 + 3115.9 / (t - 182.89);
    let b = -8032.5 + 4.214_52e6 / t + 2.1417 * t;
    at_1000_bar + c * ((b + 1.013_25) / (b + 1000.0)).ln()
}

/// Viscosity of water [mPa s] at 0.1 MPa, -20 to 110 °C. IAPWS 2008 release on
/// viscosity, simplified equation for 0.1 MPa (from memory, checked at 20 and
/// 25 °C).
#[must_use]
pub fn viscosity_mpa_s(temperature: Celsius) -> f64 {
    let x = temperature.kelvin() / 300.0;
    (280.68 * x.powf(-1.9)
        + 511.45 * x.powf(-7.7)
        + 61.131 * x.powf(-19.6)
        + 0.459_03 * x.powf(-40.0))
        / 1000.0
}

/// Coefficients of the Debye-Hückel equation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DebyeHuckel {
    /// A, for decimal logarithms [(kg/mol)^0.5].
    pub a: f64,
    /// B [(kg/mol)^0.5 / angstrom].
    pub b: f64,
}

impl DebyeHuckel {
    /// Coefficients at `temperature`.
    #[must_use]
    pub fn at(temperature: Celsius) -> Self {
        // e^2 / k_B in esu: 4.803204e-10^2 / 1.38065e-16 [cm K].
        let length_cm = 1.671_008e-3 / (dielectric_constant(temperature) * temperature.kelvin());
        let per_cm =
            (8.0 * PI * 6.022_136_7e23 * length_cm * density_kg_per_l(temperature) / 1000.0).sqrt();
        Self {
            a: per_cm * length_cm / (2.0 * LN_10),
            b: per_cm / 1e8,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn density_at_known_points() {
        assert!((density_kg_per_l(Celsius(4.0)) - 0.999_975).abs() < 1e-5);
        assert!((density_kg_per_l(Celsius(25.0)) - 0.997_047).abs() < 1e-5);
    }

    #[test]
    fn dielectric_constant_at_25() {
        assert!((dielectric_constant(Celsius(25.0)) - 78.38).abs() < 0.05);
    }

    #[test]
    fn viscosity_at_known_points() {
        assert!((viscosity_mpa_s(Celsius(25.0)) - 0.8900).abs() < 3e-4);
        assert!((viscosity_mpa_s(Celsius(20.0)) - 1.0016).abs() < 3e-4);
    }

    #[test]
    fn debye_huckel_at_25() {
        let d = DebyeHuckel::at(Celsius(25.0));
        assert!((d.a - 0.510).abs() < 1e-3, "{d:?}");
        assert!((d.b - 0.3285).abs() < 1e-3, "{d:?}");
    }
}
