//! Ammonium and nitrate: what microbes turn and take up, what is lost, and what
//! each step does to the acid of the bed.
//!
//! ```text
//! dA/dt = s − (n + v + u) A          s freed by decay and given off by worms
//! dN/dt = n A − (d + u) N
//! ```
//!
//! n nitrification, v loss to the air, d loss of nitrate, u uptake by microbes
//! that find too little nitrogen in what they eat. All run together and are
//! solved exactly ([`Chain`]), so that a coarse step tells the same as a fine one.

use super::chain::Chain;
use super::in_place;
use super::life::Life;
use super::now::Now;
use super::salt;
use super::step::Around;
use crate::bed::possible::PossibleBed;
use crate::chemistry::ammonia::free_ammonia_fraction;
use crate::quantity::Celsius;
use crate::table::{TableError, Tables};
use std::collections::BTreeMap;

/// Share of the nitrogen of each material that is ammonium as it comes, where it
/// is listed with some [0 to 1].
///
/// # Errors
/// [`TableError`] when a number is missing.
pub(super) fn ammonium_shares(tables: &Tables) -> Result<BTreeMap<String, f64>, TableError> {
    let mut all = BTreeMap::new();
    for m in tables.materials() {
        if let Some(share) = tables.value_if_listed("living", &m.key, "ammonium_share")? {
            all.insert(m.key.clone(), share);
        }
    }
    Ok(all)
}

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

impl Turning {
    /// With microbes that take up both at `uptake` besides [1/d].
    fn with(&self, uptake: f64) -> Chain {
        Chain {
            first: self.nitrify + self.volatilise + uptake,
            on: self.nitrify,
            second: self.denitrify + uptake,
        }
    }

    /// Both pools [mol] through `days` while `comes` [mol] more ammonium comes
    /// evenly: what was turned, and what was taken up at that rate.
    fn carry(&self, pools: (f64, f64), comes: f64, uptake: f64, days: f64) -> (Turned, [f64; 2]) {
        let chain = self.with(uptake);
        let passed = chain.carry(pools, comes, days);
        let of = |all: f64, rate: f64, of: f64| if of > 0.0 { all * rate / of } else { 0.0 };
        let took = [
            of(passed.out, uptake, chain.first),
            of(passed.away, uptake, chain.second),
        ];
        let turned = Turned {
            ammonium: passed.first,
            nitrate: passed.second,
            nitrified: passed.on,
            volatilised: passed.out - passed.on - took[0],
            denitrified: passed.away - took[1],
            ..Turned::default()
        };
        (turned, took)
    }
}

/// What one step turned, and what it left [mol].
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Turned {
    /// Ammonium at the end.
    pub ammonium: f64,
    /// Nitrate at the end.
    pub nitrate: f64,
    /// Ammonium to nitrate.
    pub nitrified: f64,
    /// Ammonia to the air.
    pub volatilised: f64,
    /// Nitrate to nitrogen gas.
    pub denitrified: f64,
    /// Ammonium taken up by microbes.
    pub ammonium_taken: f64,
    /// Nitrate taken up by microbes.
    pub nitrate_taken: f64,
}

impl Turned {
    /// Base gained by the bed [mol_c]: nitrifying makes two acids, ammonia
    /// going off or taken up leaves one, nitrate going off or taken up takes one
    /// away.
    #[must_use]
    pub fn base(&self) -> f64 {
        self.denitrified + self.nitrate_taken
            - self.volatilised
            - self.ammonium_taken
            - 2.0 * self.nitrified
    }
}

/// What microbes could take up in `days` at `uptake` [1/d] of both pools while
/// `comes` [mol] more comes [mol].
#[must_use]
pub fn within_reach(pools: (f64, f64), comes: f64, rates: &Turning, uptake: f64, days: f64) -> f64 {
    let (_, took) = rates.carry(pools, comes, uptake, days);
    took.iter().sum()
}

/// What comes and goes besides while ammonium and nitrate are turned.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Besides {
    /// Ammonium that comes [mol].
    pub comes: f64,
    /// What microbes take up of both [mol], and what they could
    /// ([`within_reach`]).
    pub taken: f64,
    /// See [`Besides::taken`].
    pub reach: f64,
    /// How fast they would take up that [1/d].
    pub uptake: f64,
}

/// Ammonium and nitrate [mol] turned through `days`; all ways out share them by
/// their rates, so none takes what is not there.
///
/// Uptake grows less than with its rate: at a rate in proportion to what is
/// taken no less is taken, and what is too much stays.
#[must_use]
pub fn turn(pools: (f64, f64), besides: &Besides, rates: &Turning, days: f64) -> Turned {
    let share = if besides.reach > 0.0 {
        (besides.taken / besides.reach).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let uptake = besides.uptake * share;
    let (turned, took) = rates.carry(pools, besides.comes, uptake, days);
    let all = took[0] + took[1];
    let kept = if all > 0.0 { besides.taken / all } else { 0.0 };
    let taken = took.map(|mol| mol * kept);
    Turned {
        ammonium: turned.ammonium + (took[0] - taken[0]),
        nitrate: turned.nitrate + (took[1] - taken[1]),
        ammonium_taken: taken[0],
        nitrate_taken: taken[1],
        ..turned
    }
}

/// How fast ammonium and nitrate are turned as the bed stands.
pub(super) fn rates(life: &Life, bed: &PossibleBed, a: &Around<'_>, now: &Now) -> Turning {
    let (c, n) = (&a.priors.constants, a.nature);
    let celsius = f64::midpoint(now.zones.core, now.zones.edge);
    let warm = a.priors.nitrifies.at(celsius);
    let airless = life.carried.airless.bed;
    // Microbes live in the bed; ammonia goes off where its water is open to the air.
    let open = now.ph;
    let ph = in_place::ph(life, bed, a.priors, open, airless);
    let air = 1.0 - airless;
    let free = |ph| free_ammonia_fraction(Celsius(celsius.clamp(0.0, 60.0)), ph);
    let dry = now.size.dry_kg;
    let ammonia = life.ammonium * free(ph) / c.mol_per_kg * 1e6 / dry.max(1e-6);
    let salt = salt::ec_at(life, a.priors, open, dry);
    Turning {
        nitrify: n.nitrify
            * nitrifier_harm(ammonia / c.nitrify_ammonia, salt / c.nitrify_salt)
            * warm
            * air
            * nitrifier_ph(ph, c.nitrify_stops, c.nitrify_full),
        volatilise: n.volatilise * free(open) * n.lid_air,
        denitrify: n.denitrify * warm * (1.0 - air + n.denitrify_with_air * air),
    }
}

/// What is turned in `dt` days at these `rates`, while so much is `freed` by what
/// rots, or, negative, taken up of what is within `reach`, and so much is foreseen
/// to come of worms [mol].
pub(super) fn turned(
    life: &Life,
    a: &Around<'_>,
    rates: &Turning,
    (freed, reach, foreseen): (f64, f64, f64),
    dt: f64,
) -> Turned {
    let besides = Besides {
        comes: freed.max(0.0) + foreseen,
        taken: (-freed).max(0.0),
        reach,
        uptake: a.priors.constants.nitrogen_taken_up,
    };
    turn((life.ammonium, life.nitrate), &besides, rates, dt)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nitrogen_is_turned_and_none_is_made() {
        let rates = Turning {
            nitrify: 0.05,
            volatilise: 0.02,
            denitrify: 0.1,
        };
        let besides = Besides {
            comes: 0.2,
            ..Besides::default()
        };
        let t = turn((1.0, 0.5), &besides, &rates, 3.0);
        let left = t.ammonium + t.nitrate;
        assert!((left + t.volatilised + t.denitrified - 1.7).abs() < 1e-12);
        assert!(t.base() < 0.0 && t.ammonium > 0.0);
    }

    #[test]
    fn what_microbes_take_is_there_and_is_gone() {
        let rates = Turning {
            nitrify: 0.4,
            volatilise: 0.1,
            denitrify: 0.3,
        };
        for days in [0.01, 0.5, 4.0] {
            for share in [0.0, 0.3, 0.9, 1.0] {
                let pools = (0.3, 0.2);
                let reach = within_reach(pools, 0.5, &rates, 1.4, days);
                let besides = Besides {
                    comes: 0.5,
                    taken: share * reach,
                    reach,
                    uptake: 1.4,
                };
                let t = turn(pools, &besides, &rates, days);
                let left = t.ammonium + t.nitrate;
                let gone = t.volatilised + t.denitrified + t.ammonium_taken + t.nitrate_taken;
                assert!((left + gone - 1.0).abs() < 1e-12);
                assert!((t.ammonium_taken + t.nitrate_taken - besides.taken).abs() < 1e-12);
                assert!(t.ammonium >= 0.0 && t.nitrate >= 0.0 && reach < 1.0);
            }
        }
    }

    #[test]
    fn sour_beds_do_not_nitrify() {
        assert!(nitrifier_ph(4.8, 5.0, 6.5).abs() < 1e-12);
        assert!((nitrifier_ph(7.0, 5.0, 6.5) - 1.0).abs() < 1e-12);
        assert!((nitrifier_harm(1.0, 1.0) - 0.25).abs() < 1e-12);
    }
}
