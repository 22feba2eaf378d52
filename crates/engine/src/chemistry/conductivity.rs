//! Electrical conductivity from the dissolved species.
//!
//! SC = F^2/(R 298.15 K) x sum(z^2 D m f) x viscosity(25)/viscosity(T), with D
//! the diffusion coefficient at 25 °C and the slowing of ions by one another
//! ln f = -1.6 A |z| sqrt(I) / (1 + 4.73 B sqrt(I) / (1 + I^0.75)),
//! A and B of Debye and Hückel. Same form as PHREEQC (Appelo 2017, Cem. Concr.
//! Res. 101:102, from memory; the constants were found again from the contributions of single
//! ions that PHREEQC prints, 0.001-0.3 mol/kg). Against measured KCl, within
//! 1.5 % to 0.01 mol/kg.

use super::constants::{Constants, Line};
use super::species::{CHLORIDE, POTASSIUM};
use super::water::DebyeHuckel;

/// F^2 / (R x 298.15 K) [mS/cm per (mol/kg x m2/s)].
const SCALE: f64 = 96_485.33 * 96_485.33 / (8.314_46 * 298.15) * 1e4;

/// -ln f of a monovalent ion at ionic strength `strength` [mol/kg].
fn slowing(d: &DebyeHuckel, strength: f64) -> f64 {
    let root = strength.sqrt();
    1.6 * d.a * root / (1.0 + 4.73 * d.b * root / (1.0 + root * root.sqrt()))
}

/// Conductivity at the temperature of the solution and referred to 25 °C
/// [mS/cm], from molalities [mol/kg] in the order of the constants.
///
/// `inert_mol_per_kg` is the monovalent ion behind added base (as K+) or acid
/// (as Cl-).
pub(crate) fn conductivity(
    constants: &Constants,
    molality: &[f64],
    strength: f64,
    inert_mol_per_kg: f64,
) -> (f64, f64) {
    let slow = slowing(&constants.debye_huckel, strength);
    // Charges are 1, 2 or 3.
    let factor = [1.0, 2.0, 3.0].map(|z: f64| z * z * (-slow * z).exp());
    let one = |line: &Line, m: f64| match line.charge.abs() as usize {
        0 => 0.0,
        z => m * line.diffusion * factor[z - 1],
    };
    let mut sum: f64 = constants
        .lines
        .iter()
        .zip(molality)
        .map(|(line, m)| one(line, *m))
        .sum();
    if inert_mol_per_kg > 0.0 {
        sum += one(&constants.lines[POTASSIUM], inert_mol_per_kg);
    } else if inert_mol_per_kg < 0.0 {
        sum += one(&constants.lines[CHLORIDE], -inert_mol_per_kg);
    }
    let at_25 = sum * SCALE;
    (at_25 * constants.relative_fluidity, at_25)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Celsius;

    /// f of single ions in PHREEQC runs: KCl 0.01 and 0.1 mol/kg at 25 and
    /// 5 °C, CaCl2 0.1 mol/kg (Ca).
    #[test]
    fn slowing_of_single_ions() {
        for (t, strength, z, f) in [
            (25.0, 0.01, 1.0, 0.93169),
            (5.0, 0.01, 1.0, 0.93366),
            (25.0, 0.1, 1.0, 0.83366),
            (5.0, 0.1, 1.0, 0.83796),
            (25.0, 0.3, 2.0, 0.57315),
        ] {
            let ours = (-z * slowing(&DebyeHuckel::at(Celsius(t)), strength)).exp();
            assert!((ours - f).abs() < 5e-4, "{t} {strength}: {ours} {f}");
        }
    }
}
