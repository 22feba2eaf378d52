//! Warmth of the bed: heat made, passed through the walls, taken by vapour,
//! and kept back by water that freezes.
//!
//! One warmth for the bed, carried exactly through each step as
//! `C dT/dt = Q − UA (T − T_air)`; around it a core, an edge and a hot pocket
//! by steady profiles. Held against −30 to 60 °C.

use crate::living::comfort::Kindest;
use serde::{Deserialize, Serialize};

/// What holds the heat: state is heat above ice-free water at 0 °C [kJ].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Store {
    /// Heat per kelvin, thawed [kJ/K].
    pub thawed: f64,
    /// Heat per kelvin, frozen [kJ/K].
    pub frozen: f64,
    /// Heat to freeze or melt all its water [kJ].
    pub melting: f64,
}

impl Store {
    /// Temperature at a heat content [°C]; at 0 °C while water and ice stand
    /// together.
    #[must_use]
    pub fn celsius(&self, heat: f64) -> f64 {
        if heat >= 0.0 {
            heat / self.thawed
        } else if heat >= -self.melting {
            0.0
        } else {
            (heat + self.melting) / self.frozen
        }
    }

    /// Heat content at a temperature, water thawed at 0 °C [kJ].
    #[must_use]
    pub fn heat(&self, celsius: f64) -> f64 {
        if celsius >= 0.0 {
            celsius * self.thawed
        } else {
            celsius * self.frozen - self.melting
        }
    }

    /// Share of the water that is ice [0 to 1].
    #[must_use]
    pub fn ice(&self, heat: f64) -> f64 {
        (-heat / self.melting.max(1e-9)).clamp(0.0, 1.0)
    }
}

/// What acts on the bed through a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exchange {
    /// Heat made less heat taken by vapour [kJ/d].
    pub made: f64,
    /// Heat passing the walls [kJ/d/K].
    pub passing: f64,
    /// Air around [°C].
    pub air: f64,
}

/// Carries the heat through `days`; gives the new heat content and the mean
/// temperature on the way. Exact for constant exchange: an exponential where
/// all is thawed or all frozen, a straight line while it freezes or melts.
#[must_use]
pub fn carry(store: &Store, heat: f64, x: &Exchange, days: f64) -> (f64, f64) {
    let (mut heat, mut left, mut area) = (heat, days, 0.0);
    // At most: cool to 0, freeze, cool on; a fourth would be turning back.
    for _ in 0..4 {
        if left <= 1e-12 {
            break;
        }
        let (used, after, degree_days) = stretch(store, heat, x, left);
        heat = after;
        left -= used;
        area += degree_days;
    }
    (heat, area / days.max(1e-12))
}

/// One stretch within a phase: time used, heat after, degree-days on the way.
fn stretch(store: &Store, heat: f64, x: &Exchange, left: f64) -> (f64, f64, f64) {
    let flow = x.made + x.passing * x.air;
    let frozen = heat < -store.melting || heat <= -store.melting && flow <= 0.0;
    let thawed = heat > 0.0 || heat >= 0.0 && flow >= 0.0;
    if !frozen && !thawed {
        let to = if flow < 0.0 { -store.melting } else { 0.0 };
        let needed = if flow == 0.0 {
            left
        } else {
            (to - heat) / flow
        };
        return if needed >= left {
            (left, heat + flow * left, 0.0)
        } else {
            (needed, to, 0.0)
        };
    }
    let (capacity, base) = if thawed && !frozen {
        (store.thawed, 0.0)
    } else {
        (store.frozen, -store.melting)
    };
    let celsius = (heat - base) / capacity;
    let aim = x.air + x.made / x.passing.max(1e-9);
    let rate = x.passing.max(1e-9) / capacity;
    let end = aim + (celsius - aim) * (-rate * left).exp();
    let crosses = (celsius > 0.0 && end < 0.0) || (celsius < 0.0 && end > 0.0);
    let used = if crosses {
        ((celsius - aim) / -aim).ln() / rate
    } else {
        left
    };
    let end = if crosses { 0.0 } else { end };
    (
        used,
        base + end * capacity,
        aim * used + (celsius - end) / rate,
    )
}

/// Temperatures in one bed.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Zones {
    /// Middle [°C].
    pub core: f64,
    /// At the walls [°C].
    pub edge: f64,
    /// In the hottest pocket of food [°C].
    pub hot: f64,
    /// The kindest of them for worms [°C].
    pub refuge: f64,
}

impl Zones {
    /// The same warmth all through [°C].
    #[must_use]
    pub fn even(celsius: f64) -> Self {
        Self {
            core: celsius,
            edge: celsius,
            hot: celsius,
            refuge: celsius,
        }
    }

    /// Of a bed whose core is `excess` warmer than its mean, `bed`, and whose edge
    /// stands `edge_share` of the way from there to `air`, with a pocket `rise`
    /// warmer than the core, for worms that like it best at `kindest`.
    #[must_use]
    pub fn with_core(
        (bed, excess): (f64, f64),
        (air, edge_share): (f64, f64),
        rise: f64,
        kindest: &Kindest,
    ) -> Self {
        let core = bed + excess;
        let edge = bed - edge_share * (bed - air);
        let mut refuge = bed;
        for zone in [core, edge] {
            if kindest.outside(zone) < kindest.outside(refuge) {
                refuge = zone;
            }
        }
        Self {
            core,
            edge,
            hot: core + rise,
            refuge,
        }
    }
}

/// How much of the steady difference between core and bed is left while water
/// and ice stand together [0 to 1]: none once the share `even` is frozen, or while
/// more than that has still to thaw. Ice and water are at 0 °C throughout.
#[must_use]
pub fn unevenness(ice: f64, even: f64) -> f64 {
    (1.0 - ice.min(1.0 - ice).max(0.0) / even).max(0.0)
}

/// How much warmer than the bed its core is [K], mean through a step and at its
/// end: it goes toward `aim`, a steady share of what the bed is above the air [K],
/// with the time constant of the bed, of which the step is `x`.
#[must_use]
pub fn core_excess(before: f64, aim: f64, x: f64) -> (f64, f64) {
    let gone = -(-x).exp_m1();
    let share = if x > 1e-9 { gone / x } else { 1.0 };
    (
        aim + (before - aim) * share,
        aim + (before - aim) * (1.0 - gone),
    )
}

/// Rise in the middle of a slab that makes heat, `q L² / 2k` [K]: heat [W/m³],
/// half thickness [m], conductivity [W/m/K].
#[must_use]
pub fn pocket_rise(watts_m3: f64, half_m: f64, w_m_k: f64) -> f64 {
    watts_m3 * half_m * half_m / (2.0 * w_m_k)
}

/// How slowly a pocket follows the heat made in it [d]: `τ = 4 h² C / (π² k)`, the
/// slowest mode of a slab between faces of one warmth (Carslaw and Jaeger 1959,
/// ch. 3, from memory); h half its thickness [m], k what conducts [W/m/K], C what
/// it holds [J/m³/K].
#[must_use]
pub fn pocket_days(half_m: f64, w_m_k: f64, j_m3_k: f64) -> f64 {
    const DAY_SECONDS: f64 = 86_400.0;
    let seconds = 4.0 * half_m * half_m * j_m3_k / (std::f64::consts::PI.powi(2) * w_m_k);
    (seconds / DAY_SECONDS).max(1e-9)
}

/// Rise of a pocket [K], mean through a step and at its end, that was `last` and
/// goes toward `steady(rise)` as fast as τ says, of which the step is `x`; no
/// more than `most`. Warmth makes more warmth, so it is gone through in pieces,
/// until it moves no more.
pub fn pocket_through(last: f64, most: f64, x: f64, steady: impl Fn(f64) -> f64) -> (f64, f64) {
    const PIECE: f64 = 0.25;
    const MOST_PIECES: f64 = 32.0;
    const STILL_KELVIN: f64 = 1e-4;
    let pieces = (x / PIECE).ceil().clamp(1.0, MOST_PIECES);
    let follows = -(-x / pieces).exp_m1();
    let (mut rise, mut sum) = (last.clamp(0.0, most), 0.0);
    for piece in 1..=pieces as u32 {
        let next = rise + (steady(rise).clamp(0.0, most) - rise) * follows;
        sum += f64::midpoint(rise, next);
        let moved = next - rise;
        rise = next;
        if moved.abs() < STILL_KELVIN {
            sum += rise * (pieces - f64::from(piece));
            break;
        }
    }
    (sum / pieces, rise)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn steady(bed: f64, air: f64, kindest: &Kindest) -> Zones {
        Zones::with_core((bed, 0.25 * (bed - air)), (air, 0.5), 0.0, kindest)
    }

    fn store() -> Store {
        Store {
            thawed: 40.0,
            frozen: 22.0,
            melting: 3000.0,
        }
    }

    #[test]
    fn a_tote_cools_to_the_air_plus_its_own_heat() {
        // 8.6 W through 4.3 W/K is 2 K.
        let x = Exchange {
            made: 8.6 * 86.4,
            passing: 4.3 * 86.4,
            air: 18.0,
        };
        let s = store();
        let (heat, _) = carry(&s, s.heat(18.0), &x, 30.0);
        assert!((s.celsius(heat) - 20.0).abs() < 1e-6);
    }

    #[test]
    fn a_buried_pocket_warms_by_4_kelvin() {
        // worked: 8.3 W in 6 L, half 5 cm, 0.4 W/m/K.
        let rise = pocket_rise(8.3 / 0.006, 0.05, 0.4);
        assert!((rise - 4.3).abs() < 0.05, "{rise}");
    }

    #[test]
    fn heat_that_passes_is_heat_that_goes_whatever_the_step() {
        let s = store();
        for (start, air, made) in [(5.0, -20.0, 200.0), (-8.0, 25.0, 0.0), (20.0, 35.0, 900.0)] {
            let x = Exchange {
                made,
                passing: 370.0,
                air,
            };
            let (whole, mean) = carry(&s, s.heat(start), &x, 6.0);
            let books = s.heat(start) + 6.0 * (made - 370.0 * (mean - air));
            assert!(
                (whole - books).abs() < 1e-6 * books.abs().max(1.0),
                "{start}"
            );
            let mut heat = s.heat(start);
            for _ in 0..24 {
                heat = carry(&s, heat, &x, 0.25).0;
            }
            assert!(
                (whole - heat).abs() < 1e-6 * whole.abs().max(1.0),
                "{start} to {air}"
            );
        }
    }

    #[test]
    fn freezing_waits_at_nought() {
        let s = store();
        let x = Exchange {
            made: 0.0,
            passing: 370.0,
            air: -10.0,
        };
        let (heat, _) = carry(&s, s.heat(2.0), &x, 0.3);
        assert!(s.celsius(heat).abs() < 1e-12 && s.ice(heat) > 0.0 && s.ice(heat) < 1.0);
        let (heat, _) = carry(&s, heat, &x, 5.0);
        assert!(s.celsius(heat) < -9.0);
    }

    #[test]
    fn no_core_warms_because_the_room_cools() {
        let s = store();
        let (mut bed, mut excess, mut was) = (20.0, 0.0, 20.0);
        for _ in 0..48 {
            let x = Exchange {
                made: 0.0,
                passing: 370.0,
                air: 1.0,
            };
            let (heat, mean) = carry(&s, s.heat(bed), &x, 1.0 / 48.0);
            bed = s.celsius(heat);
            let (during, after) = core_excess(excess, 0.25 * (mean - 1.0), 370.0 / 40.0 / 48.0);
            assert!(mean + during < was + 1e-9);
            (was, excess) = (mean + during, after);
        }
    }

    /// A bed that freezes through in days of frost: its core stands at 0 °C
    /// while ice and water are together, however the air goes.
    #[test]
    fn a_freezing_core_follows_no_air() {
        let s = store();
        let (mut heat, mut excess) = (s.heat(6.0), 1.5);
        let mut between = Vec::new();
        for hour in 0..72 {
            let air = -14.0 + 6.0 * f64::from(hour % 24 - 12) / 12.0;
            let x = Exchange {
                made: 0.0,
                passing: 120.0,
                air,
            };
            let (after, mean) = carry(&s, heat, &x, 1.0 / 24.0);
            let over = (mean - air) * unevenness(s.ice(heat), 0.1);
            let (during, left) = core_excess(excess, 0.25 * over, 120.0 / 40.0 / 24.0);
            (heat, excess) = (after, left);
            if (0.4..0.9).contains(&s.ice(heat)) {
                between.push(mean + during);
            }
        }
        assert!(between.len() > 12, "{}", between.len());
        assert!(
            between.iter().all(|c| (-0.05..0.7).contains(c)),
            "{between:?}"
        );
        assert!(
            (unevenness(0.0, 0.1) - 1.0).abs() < 1e-12
                && (unevenness(1.0, 0.1) - 1.0).abs() < 1e-12
        );
    }

    #[test]
    fn worms_go_to_the_core_in_cold_and_the_edge_in_heat() {
        let red = Kindest {
            from: 15.0,
            to: 22.0,
        };
        assert!(steady(8.0, -4.0, &red).refuge > 8.0);
        assert!(steady(34.0, 26.0, &red).refuge < 34.0);
    }

    #[test]
    fn worms_of_warm_countries_seek_the_core_where_red_worms_stay() {
        let (red, warm) = (
            Kindest {
                from: 15.0,
                to: 22.0,
            },
            Kindest {
                from: 22.0,
                to: 27.0,
            },
        );
        let at = |k: &Kindest| steady(19.0, 15.0, k).refuge;
        assert!((at(&red) - 19.0).abs() < 1e-12);
        assert!((at(&warm) - 20.0).abs() < 1e-12);
    }
}
