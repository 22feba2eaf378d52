//! The walls and the lid above the bedding: the kindest place within reach when
//! the bedding itself is bad.
//!
//! Under a lid they stay wet, and what worms meet in that film is neither the
//! bedding's acid nor its salt; of its ammonia and stale air so much reaches
//! them as the gas over the bed holds, of its warmth all. Common practice has
//! worms sit there for two weeks and more over plain peat, alive, and go down
//! again when it is limed. An open bin has no such film: there they leave.
//!
//! ```text
//! share on the walls = most x film x how far the urge has risen
//! ```
//!
//! They find nothing to eat there, so they shrink, and neither grow nor lay.
//! Judgement throughout; the share follows the urge at once.

use super::habitat::Habitat;
use super::species::Vital;

/// Share of the worms on walls and lid [0 to 1], by the urge to leave what of
/// the bedding does not follow them there [0 to 1].
#[must_use]
pub fn share(v: &Vital, h: &Habitat, urge: f64) -> f64 {
    let risen = (urge - v.wall_urge_from) / (v.wall_urge_full - v.wall_urge_from);
    v.wall_most_share * h.film * risen.clamp(0.0, 1.0)
}

/// How wet the film is [0 to 1] over a bed of this moisture [% of wet mass]:
/// what is too dry gives no more vapour than walls can lose.
#[must_use]
pub fn film(v: &Vital, moisture_percent: f64) -> f64 {
    let width = v.wall_wet_from_percent - v.wall_dry_percent;
    ((moisture_percent - v.wall_dry_percent) / width).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::super::deaths::testing::fetida;
    use super::*;

    #[test]
    fn worms_climb_only_where_a_lid_keeps_the_walls_wet() {
        let v = fetida();
        let shut = Habitat {
            film: film(&v, 75.0),
            ..Habitat::kind(20.0)
        };
        assert!((share(&v, &shut, 1.0) - v.wall_most_share).abs() < 1e-12);
        assert_eq!(share(&v, &shut, 0.2), 0.0);
        assert_eq!(share(&v, &Habitat::kind(20.0), 1.0), 0.0);
        assert!(film(&v, 14.0) < 1e-12 && (film(&v, 30.0) - 1.0).abs() < 1e-12);
    }
}
