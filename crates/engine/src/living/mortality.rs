//! Deaths per day, all causes together: age and mishap, hunger, crush, and each
//! of [`super::deaths`] where it reaches the worms, in the bedding or on the
//! walls above it ([`super::walls`]).

use super::deaths::{AT_ONCE, acid, air, ammonia, cold, drought, heat, salt};
use super::habitat::Habitat;
use super::species::Vital;
use super::tolerance::Felt;

/// Deaths by starvation [1/d]: from half the mass of a well-fed worm down,
/// 0.05 a day at three tenths. Estimate.
#[must_use]
pub fn starved(v: &Vital, condition: f64) -> f64 {
    let thin = (v.starve_from_condition - condition) / v.starve_width;
    v.starve_death_per_day * thin.clamp(0.0, v.starve_most)
}

/// Deaths in a heap of worms [1/d]: from 300 g/L up, 0.5 a day where there are
/// worms and nothing else. Estimate; 100 g/L was held for weeks (Wevers et al.
/// 2022).
#[must_use]
pub fn crushed(v: &Vital, grams_per_litre: f64) -> f64 {
    let over = (grams_per_litre - v.crush_from_g_per_l) / v.crush_width_g_per_l;
    v.crush_death_per_day * over.clamp(0.0, 1.0)
}

/// Deaths by acids and bases of the water [1/d].
fn by_ph(v: &Vital, h: &Habitat, felt: &Felt) -> f64 {
    acid::by_ph(v, h.ph) + acid::caustic(v, h.ph) + acid::organic(v, felt.sour_mmol_per_kg)
}

/// Deaths that come over worms and cocoons alike [1/d].
#[derive(Debug, Clone, Copy)]
pub(super) struct Deadly {
    heat: f64,
    drought: f64,
    ph: f64,
}

impl Deadly {
    pub(super) fn of(v: &Vital, h: &Habitat, felt: &Felt) -> Self {
        Self {
            heat: heat::per_day(v, h.celsius),
            drought: drought::per_day(v, h.moisture_percent),
            ph: by_ph(v, h, felt),
        }
    }
}

/// Share of worms that die per day [1/d]: what there is in the water of the
/// bedding kills those down in it, and of what fills the air so much those on
/// the walls as reaches there.
#[must_use]
pub fn per_day(v: &Vital, h: &Habitat, felt: &Felt, condition: f64, grams_per_litre: f64) -> f64 {
    let deadly = Deadly::of(v, h, felt);
    per_day_by(v, h, felt, &deadly, (condition, grams_per_litre))
}

/// The same where what is deadly to cocoons too is known.
pub(super) fn per_day_by(
    v: &Vital,
    h: &Habitat,
    felt: &Felt,
    deadly: &Deadly,
    (condition, grams_per_litre): (f64, f64),
) -> f64 {
    let anywhere = v.death_per_day
        + deadly.heat
        + cold::per_day(v, h.celsius)
        + starved(v, condition)
        + crushed(v, grams_per_litre);
    let lack = air::lack(v, h.air_filled, h.airless);
    let down = deadly.ph
        + ammonia::per_day(v, felt.ammonia_mg_per_g)
        + salt::per_day(v, felt.salt_mmol_per_kg)
        + deadly.drought
        + air::per_day(v, lack, h.celsius);
    let up = ammonia::per_day(v, v.wall_ammonia_share * felt.ammonia_mg_per_g)
        + air::per_day(v, h.film_stale * lack, h.celsius);
    (anywhere + felt.down * down + (1.0 - felt.down) * up).min(AT_ONCE)
}

/// Share of cocoons lost per day [1/d]: heat, drought and pH as for worms in
/// the bedding, ammonia at twice the dose (no effect on hatching up to 1 mg/g;
/// Zeguerrou and Adjroudi). Cocoons outlast the winter. Estimate.
#[must_use]
pub fn of_cocoons(v: &Vital, h: &Habitat, felt: &Felt) -> f64 {
    of_cocoons_by(v, felt, &Deadly::of(v, h, felt))
}

/// The same where what is deadly to worms too is known.
pub(super) fn of_cocoons_by(v: &Vital, felt: &Felt, deadly: &Deadly) -> f64 {
    let rate = deadly.heat
        + deadly.drought
        + deadly.ph
        + ammonia::per_day(v, v.cocoon_ammonia_share * felt.ammonia_mg_per_g);
    rate.min(AT_ONCE)
}

#[cfg(test)]
mod tests {
    use super::super::deaths::testing::fetida;
    use super::*;
    use crate::living::tolerance::urge_to_leave;

    /// One trouble at a time, growing: worms want out before they die of it.
    #[test]
    fn avoidance_comes_before_harm() {
        let v = fetida();
        let kind = Habitat::kind(20.0);
        type Trouble = (&'static str, fn(Habitat, f64) -> Habitat);
        let troubles: [Trouble; 8] = [
            ("heat", |h, x| Habitat {
                celsius: 20.0 + 25.0 * x,
                ..h
            }),
            ("dry", |h, x| Habitat {
                moisture_percent: 75.0 - 60.0 * x,
                ..h
            }),
            ("airless", |h, x| Habitat {
                air_filled: 0.35 * (1.0 - x),
                ..h
            }),
            ("acid", |h, x| Habitat {
                ph: 7.0 - 4.0 * x,
                ..h
            }),
            ("sour", |h, x| Habitat {
                ph: 7.0 - 4.0 * x,
                sour_meq_per_kg: 400.0 * x,
                ..h
            }),
            ("alkaline", |h, x| Habitat {
                ph: 7.0 + 4.0 * x,
                ..h
            }),
            ("ammonia", |h, x| Habitat {
                ph: 8.0,
                ammonia_mg_per_g: 3.0 * x,
                ..h
            }),
            ("salt", |h, x| Habitat {
                ec_ms_per_cm: 1.0 + 20.0 * x,
                ..h
            }),
        ];
        for (name, trouble) in troubles {
            let mut dying = false;
            for i in 0..=1000 {
                let h = trouble(kind, f64::from(i) / 1000.0);
                let felt = Felt::of(&v, &h);
                let rate = per_day(&v, &h, &felt, 1.0, 10.0);
                if rate > 0.005 {
                    let urge = urge_to_leave(&v, &h, &felt, 1.0, 10.0);
                    assert!(urge > 0.55, "{name} at {i}: urge {urge}, deaths {rate}");
                    dying = true;
                }
            }
            assert!(dying, "{name} never kills");
        }
    }

    /// Over deadly bedding most sit on the wet walls and live; in the open, or
    /// in what fills the air too, they die.
    #[test]
    fn the_walls_save_from_water_but_not_from_heat() {
        let v = fetida();
        let of = |h: Habitat| per_day(&v, &h, &Felt::of(&v, &h), 1.0, 10.0);
        let lidded = |h: Habitat| Habitat {
            film: 1.0,
            film_stale: 0.0,
            ..h
        };
        let acid = Habitat {
            ph: 3.2,
            ..Habitat::kind(20.0)
        };
        assert!(of(lidded(acid)) < 0.25 * of(acid));
        let hot = Habitat {
            celsius: 35.0,
            ..Habitat::kind(20.0)
        };
        assert!((of(lidded(hot)) - of(hot)).abs() < 1e-12);
    }
}
