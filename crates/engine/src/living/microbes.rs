//! Microbes: what of the rotting matter they make into themselves, and what
//! their dead leave.
//!
//! ```text
//! growth   G = y (D + (1 − h) M_dead)      carbon, y the yield
//! nitrogen G / (C:N)_m, from what rots and from what is dissolved within reach
//! humus    h M_dead                        carbon, h the share that lasts
//! burnt    all the rest
//! ```
//!
//! Where nitrogen is short the yield falls and more is burnt (Manzoni et al.
//! 2008 and 2012, from memory: 0.1 on poor litter to 0.6); only below the least
//! yield does decay itself slow. So matter gives off nitrogen at first below a
//! C:N near (C:N)_m/y, 18, and binds it above; later, as microbes die, half of
//! what they bound comes free. In the end `y h / (1 − y (1 − h))`, a quarter of
//! the carbon, stays as humus.

use super::nature::{Constants, Nature};
use super::rot::Matter;

/// What becomes of matter that rotted and of microbes that died [kg].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shared {
    /// New microbes.
    pub microbes: Matter,
    /// New humus.
    pub humus: Matter,
    /// Burnt; its nitrogen is set free as ammonium, or, where it is negative,
    /// taken from what is dissolved.
    pub burnt: Matter,
    /// How far microbes found the nitrogen that keeps decay going [0 to 1].
    pub enough: f64,
}

/// Shares out what rotted, `decayed`, and microbes that died, `dead`; at most
/// `reach` of dissolved nitrogen [kg] can be taken up.
#[must_use]
pub fn share(c: &Constants, n: &Nature, decayed: &Matter, dead: &Matter, reach: f64) -> Shared {
    let humus = humus_of(c, n, dead);
    let mut eaten = *decayed;
    eaten.add(&dead.less(&humus));
    let microbes = grown(c, n, &eaten, reach);
    let grown = microbes.carbon;
    let least = c.microbe_least_yield.min(n.microbe_yield) * eaten.carbon.max(0.0);
    let enough = if least > 1e-12 {
        (grown / least).min(1.0)
    } else {
        1.0
    };
    Shared {
        microbes,
        humus,
        burnt: eaten.less(&microbes),
        enough,
    }
}

/// Microbes that die in a time in which the share `dying` of `living` does,
/// while new ones grow evenly of what rots, `decayed`: half of that share of
/// them.
#[must_use]
pub fn dead(
    c: &Constants,
    n: &Nature,
    living: &Matter,
    decayed: &Matter,
    (reach, dying): (f64, f64),
) -> Matter {
    let mut dead = grown(c, n, decayed, reach).part(0.5 * dying);
    dead.add(&living.part(dying));
    dead
}

/// Microbes that what is eaten makes, with `reach` of dissolved nitrogen [kg].
fn grown(c: &Constants, n: &Nature, eaten: &Matter, reach: f64) -> Matter {
    let nitrogen = (eaten.nitrogen + reach).max(0.0);
    // Not more than there is organic matter to make it of.
    let by_mass = c.microbe_most_of_mass * eaten.organic.max(0.0) * c.microbe_carbon;
    let carbon = (n.microbe_yield * eaten.carbon.max(0.0))
        .min(nitrogen * c.microbe_cn)
        .min(by_mass);
    Matter {
        organic: carbon / c.microbe_carbon,
        carbon,
        nitrogen: carbon / c.microbe_cn,
    }
}

/// Humus that dead microbes leave: a share of their carbon, as far as their
/// nitrogen and mass make it.
fn humus_of(c: &Constants, n: &Nature, dead: &Matter) -> Matter {
    let carbon = (n.humus_share * dead.carbon)
        .min(dead.nitrogen * c.humus_cn)
        .min(dead.organic * c.humus_carbon);
    Matter {
        organic: carbon / c.humus_carbon,
        carbon,
        nitrogen: carbon / c.humus_cn,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::living::home::Home;
    use crate::living::nature::Priors;
    use crate::living::species::Species;
    use crate::table::Tables;

    fn numbers() -> (Constants, Nature) {
        let tables = Tables::load().unwrap();
        let priors = Priors::load(&tables).unwrap();
        let home = Home::of(
            &tables,
            &crate::estimate::scene::usual_tote(&tables).unwrap(),
            Species::EiseniaFetida,
        )
        .unwrap();
        (priors.constants, priors.usual(&home))
    }

    fn matter(carbon: f64, ratio: f64) -> Matter {
        Matter {
            organic: carbon / 0.45,
            carbon,
            nitrogen: carbon / ratio,
        }
    }

    #[test]
    fn nothing_is_made_or_lost() {
        let (c, n) = numbers();
        let (rotted, dead) = (matter(1.0, 30.0), matter(0.2, 8.0));
        let s = share(&c, &n, &rotted, &dead, 0.01);
        let mut sum = s.microbes;
        sum.add(&s.humus);
        sum.add(&s.burnt);
        assert!((sum.carbon - 1.2).abs() < 1e-12);
        assert!((sum.nitrogen - rotted.nitrogen - dead.nitrogen).abs() < 1e-12);
        assert!((sum.organic - rotted.organic - dead.organic).abs() < 1e-12);
        assert!(s.burnt.nitrogen >= -0.01 - 1e-12);
    }

    #[test]
    fn rich_matter_sets_nitrogen_free_and_poor_matter_binds_it() {
        let (c, n) = numbers();
        let none = Matter::default();
        let freed = |ratio: f64| {
            share(&c, &n, &matter(1.0, ratio), &none, 1.0)
                .burnt
                .nitrogen
        };
        let turns = c.microbe_cn / n.microbe_yield;
        assert!(freed(turns - 1.0) > 0.0 && freed(turns + 1.0) < 0.0);
    }

    #[test]
    fn without_nitrogen_more_is_burnt_before_decay_slows() {
        let (c, n) = numbers();
        let none = Matter::default();
        let at = |ratio: f64| share(&c, &n, &matter(1.0, ratio), &none, 0.0);
        let (leaf, paper) = (at(35.0), at(300.0));
        assert!(leaf.enough > 0.99 && leaf.burnt.carbon > 1.0 - n.microbe_yield);
        assert!(paper.enough < 0.2 && paper.burnt.carbon > 0.95);
    }

    /// Carried to the end, humus is `y h / (1 − y (1 − h))` of the carbon.
    #[test]
    fn a_quarter_stays_in_the_end() {
        let (c, n) = numbers();
        let none = Matter::default();
        let first = share(&c, &n, &matter(1.0, 15.0), &none, 1.0);
        let (mut microbes, mut humus) = (first.microbes, 0.0);
        for _ in 0..60 {
            let s = share(&c, &n, &none, &microbes, 1.0);
            humus += s.humus.carbon;
            microbes = s.microbes;
        }
        let (y, h) = (n.microbe_yield, n.humus_share);
        // Humus is richer in carbon and microbes in nitrogen: neither is short.
        assert!(
            (humus - y * h / (1.0 - y * (1.0 - h))).abs() < 0.02,
            "{humus}"
        );
    }
}
