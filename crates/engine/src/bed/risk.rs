//! Air, ammonia and heat of a mix before worms go in.

use crate::bed::draw::{Chance, in_range, in_range_log};
use crate::bed::fill::Totals;
use crate::bed::product::Ranged;
use crate::measure::density;
use crate::table::{TableError, Tables};

/// Densities of what has no pores [kg/m³].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Solids {
    /// Organic matter.
    pub organic: f64,
    /// Ash and minerals.
    pub mineral: f64,
}

impl Solids {
    /// From the tables.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn from_tables(tables: &Tables) -> Result<Self, TableError> {
        let n = |property: &str| tables.value("constants", "solids", property);
        Ok(Self {
            organic: n("organic_density_kg_m3")?,
            mineral: n("ash_density_kg_m3")?,
        })
    }

    /// Air-filled porosity [share of volume]:
    /// `AFP = 1 − ρ_wet [ (1 − M)/ρ_s + M/1000 ]`, `1/ρ_s = (1 − a)/1550 + a/2650`.
    #[must_use]
    pub fn air_filled_porosity(&self, t: &Totals, litres: f64) -> f64 {
        let m3 = (litres / 1000.0).max(1e-9);
        (1.0 - (self.cubic_metres(t) + t.water_kg / 1000.0) / m3).max(0.0)
    }

    /// Volume of the solids alone [m³].
    fn cubic_metres(&self, t: &Totals) -> f64 {
        (t.dry_kg - t.ash_kg) / self.organic + t.ash_kg / self.mineral
    }
}

/// Numbers of the ammonia and heat estimates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RiskNumbers {
    labile_per_day: Ranged,
    critical_cn: Ranged,
    heat_kj_per_g: Ranged,
    conductivity: Ranged,
    /// Days over which ammonia may gather before worms or microbes take it up
    /// [d].
    ammonia_days: f64,
    /// Densities of solids.
    pub solids: Solids,
    /// Air a bed keeps once drained [share of volume].
    pub drained_air: f64,
}

impl RiskNumbers {
    /// From the tables.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn from_tables(tables: &Tables) -> Result<Self, TableError> {
        let n = |property: &str| Ranged::of(tables, "bed", "risk", property);
        Ok(Self {
            labile_per_day: n("labile_decay_per_day")?,
            critical_cn: n("critical_carbon_nitrogen")?,
            heat_kj_per_g: n("heat_kj_per_g_decayed")?,
            conductivity: n("conductivity_w_per_m_k")?,
            ammonia_days: n("ammonia_days")?.value,
            solids: Solids::from_tables(tables)?,
            drained_air: tables.value("living", "air", "drained_share")?,
        })
    }

    /// Volume a mix stands at before it settles [L].
    #[must_use]
    pub fn stands_at(&self, t: &Totals) -> f64 {
        let solids = 1000.0 * self.solids.cubic_metres(t);
        let held = t.water_kg.min(t.holds_kg);
        density::stands_at(
            t.wetted_litres(),
            solids,
            (held, t.water_kg),
            self.drained_air,
        )
    }

    /// Ammonia nitrogen set free in the first ten days [mg/g dry]: nitrogen of
    /// what rots beyond what microbes need for its carbon,
    /// `(N_labile − C_labile/CN_crit) · (1 − e^(−k t)) / dry`.
    #[must_use]
    pub fn ammonia_mg_per_g(&self, t: &Totals, noise: f64) -> f64 {
        let k = self.labile_per_day.value
            * (self.labile_per_day.high / self.labile_per_day.value).powf(noise);
        let critical =
            self.critical_cn.value + noise * (self.critical_cn.high - self.critical_cn.low) / 2.0;
        let spare = (t.labile_nitrogen_kg - t.labile_carbon_kg / critical).max(0.0);
        1000.0 * spare * (1.0 - (-k * self.ammonia_days).exp()) / t.dry_kg.max(1e-9)
    }

    /// How far the middle of a bed warms above the room [°C]: steady
    /// conduction from a layer that makes heat evenly,
    /// `ΔT = q L² / (2 k)`, L half the depth.
    pub fn heating(&self, rng: &mut dyn Chance, t: &Totals, litres: f64, depth_m: f64) -> f64 {
        let n = &self.labile_per_day;
        let k = in_range_log(rng, n.value, n.low, n.high);
        let h = &self.heat_kj_per_g;
        let heat = in_range(rng, h.value, h.low, h.high);
        let c = &self.conductivity;
        let conductivity = in_range_log(rng, c.value, c.low, c.high);
        let watts = t.labile_kg * 1.0e3 * k * heat * 1.0e3 / 86_400.0;
        let half = depth_m / 2.0;
        watts / (litres / 1000.0).max(1e-9) * half * half / (2.0 * conductivity)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn worked_porosities() {
        // ρ 600 kg/m³, 75 % water, 10 % ash: 0.457; ρ 800, 60 %, 20 %: 0.331.
        let solids = Solids::from_tables(&Tables::load().unwrap()).unwrap();
        for (rho, m, ash, afp) in [(600.0, 0.75, 0.10, 0.457), (800.0, 0.60, 0.20, 0.331)] {
            let dry = rho * (1.0 - m);
            let t = Totals {
                wet_kg: rho,
                dry_kg: dry,
                water_kg: rho * m,
                ash_kg: dry * ash,
                ..Totals::default()
            };
            assert!((solids.air_filled_porosity(&t, 1000.0) - afp).abs() < 0.001);
        }
    }

    #[test]
    fn carbon_rich_bedding_frees_no_ammonia() {
        let r = |value: f64, low: f64, high: f64| Ranged { value, low, high };
        let numbers = RiskNumbers {
            labile_per_day: r(0.06, 0.03, 0.12),
            critical_cn: r(20.0, 15.0, 25.0),
            heat_kj_per_g: r(20.0, 17.0, 23.0),
            conductivity: r(0.4, 0.25, 0.6),
            ammonia_days: 10.0,
            solids: Solids {
                organic: 1550.0,
                mineral: 2650.0,
            },
            drained_air: 0.15,
        };
        let paper = Totals {
            dry_kg: 1.0,
            labile_carbon_kg: 0.2,
            labile_nitrogen_kg: 0.001,
            ..Totals::default()
        };
        assert!(numbers.ammonia_mg_per_g(&paper, 0.0).abs() < 1e-12);
        let meal = Totals {
            dry_kg: 1.0,
            labile_carbon_kg: 0.35,
            labile_nitrogen_kg: 0.10,
            ..Totals::default()
        };
        assert!(numbers.ammonia_mg_per_g(&meal, 0.0) > 10.0);
    }
}
