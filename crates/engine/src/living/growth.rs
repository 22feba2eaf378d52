//! Growth of one worm, after von Bertalanffy.
//!
//! dW/dt = 3 r (Winf^(1/3) W^(2/3) - W), r = `r_B` `g_grow`(T) `g_moist` `g_air`,
//! which has the closed form used here. Winf falls with worms per kg of
//! substrate in pots, and with biomass over surface in beds. Constants: growth curves of the EGrowth data base (Mathieu
//! 2018), 10-35 °C, single pots of 0.02-0.3 kg.

use super::population;
use super::species::Vital;

/// Mass after `days` [g] of a worm of `mass_g` that grows towards `full_g` at
/// `rate` [1/d]: (Winf^(1/3) - (Winf^(1/3) - W0^(1/3)) exp(-r t))^3.
#[must_use]
pub fn mass_after(mass_g: f64, full_g: f64, rate: f64, days: f64) -> f64 {
    length_after(mass_g, full_g.max(0.0).cbrt(), (-rate * days).exp()).powi(3)
}

/// Cube root of the mass [g^1/3] of a worm of `mass_g` that grows towards the cube
/// of `full` and has `left` of the way to go of what it had.
fn length_after(mass_g: f64, full: f64, left: f64) -> f64 {
    full - (full - mass_g.max(0.0).cbrt()) * left
}

/// Days [d] until a worm of `mass_g` that grows towards `full_g` at `rate`
/// [1/d] weighs `wanted_g`; `None` when it never does.
#[must_use]
pub fn days_to(mass_g: f64, full_g: f64, rate: f64, wanted_g: f64) -> Option<f64> {
    let (start, full, wanted) = (mass_g.cbrt(), full_g.cbrt(), wanted_g.cbrt());
    if wanted <= start {
        return Some(0.0);
    }
    (rate > 0.0 && wanted < full).then(|| ((full - start) / (full - wanted)).ln() / rate)
}

/// Greatest mass [g] of a worm in company: Wsolo (1 + N/7)^-a, N worms per kg
/// of fresh substrate. a is 0.52 on manure and paper (three series, 7 to 107
/// worms per kg, rms 9 %), 0.15 on very rich food (Neuhauser 1980, sludge).
#[must_use]
pub fn full_mass(v: &Vital, solo_g: f64, worms_per_kg: f64, power: f64) -> f64 {
    solo_g * (1.0 + worms_per_kg.max(0.0) / v.density_solo_worms_per_kg).powf(-power)
}

/// Mass after `dt_days` [g] of a worm short of food: W exp(-s g (1 - kept) t),
/// `kept` the share of its maintenance it finds, `feeding` the factor of
/// warmth on eating. s is 0.006/d at 25 °C (0.0037-0.0097, Neuhauser 1980,
/// Fig. 6).
#[must_use]
pub fn shrunk(v: &Vital, mass_g: f64, kept: f64, feeding: f64, dt_days: f64) -> f64 {
    let short = (1.0 - kept).clamp(0.0, 1.0);
    if short == 0.0 {
        return mass_g;
    }
    mass_g * (-v.shrink_per_day * feeding * short * dt_days).exp()
}

/// Mass an adult is due [g] in company of `kg_m2` over the worked surface, on
/// food of quality `quality`:
///
/// ```text
/// W = W_soil s^0.4 (1 + (R - 1) s),  s = 1/(1 + b/Bw)
/// ```
///
/// At quality 1 it is the size law of the boxes of soil (Podolak 2025, 0.715 g
/// alone); the gain of rich food shrinks with company, which shares it. Beside
/// the law stand single worms on manure (1.5 g), and 1.19 to 0.60 g for one to
/// twelve on 150 g of dung (Garg 2008: 0.8 to 5 kg/m² at 15 cm depth).
#[must_use]
pub fn due_mass(v: &Vital, kg_m2: f64, quality: f64) -> f64 {
    let size = population::size(v, kg_m2);
    let gain = 1.0 + (richness(v, quality) - 1.0) * size;
    (v.adult_g * size.powf(v.size_power) * gain).max(population::adult_floor(v))
}

/// Mass of a worm alone on food of quality `quality` over that on food of
/// quality 1 [-]: R = q² (1 + h)/(q² + h), 1 at quality 1, `solo_g` over
/// `adult_g` at that of good manure, and level above, as activated sludge is
/// (2.07 g against 1.5, Neuhauser 1980). The form is a choice.
#[must_use]
pub fn richness(v: &Vital, quality: f64) -> f64 {
    let good = v.solo_quality.powi(2);
    let ratio = (v.solo_g / v.adult_g).clamp(1.0, v.most_rich.min(good));
    let level = good * (ratio - 1.0) / (good - ratio).max(1e-3);
    let square = quality.max(0.0).powi(2);
    square * (1.0 + level) / (square + level)
}

/// How fast worms grow on food of quality `quality` against worms on good manure
/// [-]: as the length of what they grow to, (R/Rgood)^(1/3), so that on the food of
/// the boxes of soil they grow at three quarters of the rate. A choice.
#[must_use]
pub fn briskness(v: &Vital, quality: f64) -> f64 {
    (richness(v, quality) / richness(v, v.solo_quality)).cbrt()
}

/// Size after `dt_days` [g] of a worm that is due `due_g`: after von Bertalanffy
/// at `rate` [1/d]; one too big for its company shrinks as one that hungers, and
/// no faster where it hungers too. `eats` is the factor of warmth on eating times
/// the share of its maintenance that it finds.
#[must_use]
pub fn sized(v: &Vital, size_g: f64, due_g: f64, eats: f64, rate: f64, dt_days: f64) -> f64 {
    let toward = Toward::of(due_g, rate, dt_days);
    sized_toward(v, size_g, &toward, eats)
}

/// What worms are due, and how they go there: the same for all in one place that
/// grow at one rate.
#[derive(Debug, Clone, Copy)]
pub(super) struct Toward {
    /// Mass due [g], and its cube root.
    due_g: f64,
    full: f64,
    rate: f64,
    days: f64,
    /// Of the way to go, on the scale of the cube root, what is left at the end.
    left: f64,
}

impl Toward {
    /// Worms that are due `due_g`, growing at `rate` [1/d] for `days`.
    pub(super) fn of(due_g: f64, rate: f64, days: f64) -> Self {
        Self {
            due_g,
            full: due_g.max(0.0).cbrt(),
            rate,
            days,
            left: (-rate * days).exp(),
        }
    }

    /// The same for as long at another rate [1/d].
    pub(super) fn at(&self, rate: f64) -> Self {
        Self {
            rate,
            left: (-rate * self.days).exp(),
            ..*self
        }
    }
}

/// [`sized`] where what it goes toward is worked out.
pub(super) fn sized_toward(v: &Vital, size_g: f64, to: &Toward, eats: f64) -> f64 {
    let (due_g, dt_days) = (to.due_g, to.days);
    if size_g > due_g {
        let over = ((size_g / due_g - 1.0) / v.oversize_share).min(1.0);
        return shrunk(v, size_g, 1.0 - over, eats, dt_days).max(due_g);
    }
    if to.rate <= 0.0 {
        return size_g;
    }
    length_after(size_g, to.full, to.left).powi(3)
}

/// Mass against the same worms well fed, after `dt_days` [0 to 1].
///
/// Below maintenance they shrink. Above, they go back to 1 as the cube of a
/// straight relaxation at `rate` [1/d], what food they find considered. `found` is
/// food eaten over maintenance, not capped at 1.
#[must_use]
pub fn condition_after(
    v: &Vital,
    condition: f64,
    found: f64,
    feeding: f64,
    rate: f64,
    dt_days: f64,
) -> f64 {
    if found < 1.0 {
        return shrunk(v, condition, found, feeding, dt_days);
    }
    mass_after(condition, 1.0, rate, dt_days)
}

/// The same where worms `grow` at the rate of which they go back.
pub(super) fn condition_toward(
    v: &Vital,
    condition: f64,
    found: f64,
    feeding: f64,
    grow: &Toward,
) -> f64 {
    if found < 1.0 {
        return shrunk(v, condition, found, feeding, grow.days);
    }
    length_after(condition, 1.0, grow.left).powi(3)
}

/// How far worms that find `found` times their maintenance grow, ripen, lay and
/// hatch [0 to 1]: (1 - 1/φ), against that of the same worms in plenty, who find
/// `most` times their maintenance. What keeps those from eating slows their growth
/// already, as measured, and is not counted again.
#[must_use]
pub fn fed(v: &Vital, found: f64, most: f64) -> f64 {
    let surplus = |found: f64| 1.0 - 1.0 / found.max(1.0);
    (surplus(found) / surplus(most).max(v.least_surplus_share)).min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::living::species::Species;
    use crate::table::Tables;

    fn fetida() -> Vital {
        Vital::of(&Tables::load().unwrap(), Species::EiseniaFetida).unwrap()
    }

    #[test]
    fn worked_values() {
        for (day, g) in [
            (14.0, 0.1401),
            (28.0, 0.3512),
            (42.0, 0.5506),
            (56.0, 0.7038),
            (84.0, 0.8807),
        ] {
            assert!(
                (mass_after(0.01, 1.0, 0.035, day) - g).abs() < 1e-4,
                "{day}"
            );
        }
        let days = days_to(0.01, 1.0, 0.035, 0.35).unwrap();
        assert!((days - 27.9).abs() < 0.1, "{days}");
        assert_eq!(days_to(0.01, 0.3, 0.035, 0.35), None);
    }

    #[test]
    fn growth_in_halves_is_growth_in_one() {
        let one = mass_after(0.05, 0.8, 0.03, 10.0);
        let half = mass_after(mass_after(0.05, 0.8, 0.03, 4.0), 0.8, 0.03, 6.0);
        assert!((one - half).abs() < 1e-12);
    }

    #[test]
    fn hunger_shrinks_and_food_restores() {
        let v = fetida();
        let thin = condition_after(&v, 1.0, 0.0, 1.0, 0.035, 30.0);
        assert!((thin - (-0.18f64).exp()).abs() < 1e-9);
        let back = condition_after(&v, thin, 2.0, 1.0, 0.035, 120.0);
        assert!(back > 0.98 && back <= 1.0);
        let big = sized(&v, 1.3, 1.0, 1.0, 0.035, 1.0);
        assert!((big - 1.3 * (-0.006f64).exp()).abs() < 1e-9);
    }

    /// Boxes of soil and single worms by the tables; one to twelve worms on
    /// 150 g of dung (Garg 2008, day 52), whose mass over surface is that of
    /// 0.7 kg/L lying 15 cm deep, and one to sixteen on sludge (Neuhauser 1980).
    #[test]
    fn adults_are_due_what_pots_and_boxes_weighed() {
        let v = fetida();
        assert!((due_mass(&v, 0.0, 1.0) - v.adult_g).abs() < 1e-9);
        assert!((due_mass(&v, 0.0, v.solo_quality) - v.solo_g).abs() < 1e-9);
        assert!((due_mass(&v, 6.0, 1.0) - 0.425).abs() < 0.02);
        for (number, mg) in [
            (1.0, 1190.0),
            (2.0, 1130.0),
            (4.0, 834.0),
            (8.0, 677.0),
            (12.0, 603.0),
        ] {
            let kg_m2 = number * mg / 1e6 / (0.150 / 700.0 / v.box_depth_m);
            let ours = 1000.0 * due_mass(&v, kg_m2, v.solo_quality);
            assert!((ours / mg).ln().abs() < 0.2, "{number}: {ours}");
        }
        let sludge = due_mass(&v, 0.0, 4.0);
        assert!((1.7..2.3).contains(&sludge), "{sludge}");
        // Published adults at five a litre: 0.9 to 1.3 g.
        let five = due_mass(&v, 5.0 * 1.1 * v.box_depth_m, v.solo_quality);
        assert!((0.9..1.3).contains(&five), "{five}");
    }

    #[test]
    fn what_is_over_maintenance_is_what_grows() {
        let v = fetida();
        let most = v.appetite_g_per_g_day / v.maintenance_g_per_g_day;
        assert_eq!(fed(&v, 0.5, most), 0.0);
        assert_eq!(fed(&v, 1.0, most), 0.0);
        assert!((fed(&v, most, most) - 1.0).abs() < 1e-9);
        assert!((0.45..0.6).contains(&fed(&v, 1.5, most)));
        // Held up by the place and fed in full; held up so far that they hunger.
        assert!((fed(&v, 1.5, 1.5) - 1.0).abs() < 1e-9);
        assert_eq!(fed(&v, 0.8, 0.8), 0.0);
    }
}
