//! Ammonium and nitrate: what microbes turn, what is lost, and what each step
//! does to the acid of the bed.

use super::chain::Chain;

/// How far nitrifiers go at a pH [0 to 1]: nothing below `stops`, full from
/// `full`.
#[must_use]
pub fn nitrifier_ph(ph: f64, stops: f64, full: f64) -> f64 {
    ((ph - stops) / (full - stops)).clamp(0.0, 1.0)
}

/// How far nitrifiers go under free ammonia and salt [0 to 1], each against
/// what halves them: `1/(1 + a) · 1/(1 + s²)`. Free ammonia stops them from
/// 10-150 mg/L of water (Anthonisen et al. 1976, from memory).
#[must_use]
pub fn nitrifier_harm(ammonia: f64, salt: f64) -> f64 {
    1.0 / (1.0 + ammonia.max(0.0)) / (1.0 + salt * salt)
}

/// Rates of one step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turning {
    /// Nitrification [1/d].
    pub nitrify: f64,
    /// Loss of ammonia to the air [1/d].
    pub volatilise: f64,
    /// Loss of nitrate without air [1/d].
    pub denitrify: f64,
}

/// What one step turned [mol].
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Turned {
    /// Ammonium to nitrate.
    pub nitrified: f64,
    /// Ammonia to the air.
    pub volatilised: f64,
    /// Nitrate to nitrogen gas.
    pub denitrified: f64,
}

impl Turned {
    /// Base gained by the bed [mol_c]: nitrifying makes two acids, ammonia
    /// going off leaves one, nitrate going off takes one away.
    #[must_use]
    pub fn base(&self) -> f64 {
        self.denitrified - self.volatilised - 2.0 * self.nitrified
    }
}

/// Turns ammonium and nitrate [mol] through `days` in which `freed` more
/// ammonium comes evenly [mol]; both ways out of ammonium share it by their
/// rates, so neither takes what is not there.
pub fn turn(
    ammonium: &mut f64,
    nitrate: &mut f64,
    freed: f64,
    rates: &Turning,
    days: f64,
) -> Turned {
    let chain = Chain {
        first: rates.nitrify + rates.volatilise,
        on: rates.nitrify,
        second: rates.denitrify,
    };
    let passed = chain.carry(ammonium, nitrate, freed, days);
    Turned {
        nitrified: passed.on,
        volatilised: passed.out - passed.on,
        denitrified: passed.away,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nitrogen_is_turned_and_none_is_made() {
        let (mut nh4, mut no3) = (1.0, 0.5);
        let rates = Turning {
            nitrify: 0.05,
            volatilise: 0.02,
            denitrify: 0.1,
        };
        let t = turn(&mut nh4, &mut no3, 0.2, &rates, 3.0);
        assert!((nh4 + no3 + t.volatilised + t.denitrified - 1.7).abs() < 1e-12);
        assert!(t.base() < 0.0 && nh4 > 0.0);
    }

    #[test]
    fn sour_beds_do_not_nitrify() {
        assert!(nitrifier_ph(4.8, 5.0, 6.5).abs() < 1e-12);
        assert!((nitrifier_ph(7.0, 5.0, 6.5) - 1.0).abs() < 1e-12);
        assert!((nitrifier_harm(1.0, 1.0) - 0.25).abs() < 1e-12);
    }
}
