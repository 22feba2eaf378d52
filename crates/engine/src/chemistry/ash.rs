//! Wood ash, dry and as a strained liquor: three pools that act at three
//! speeds.
//!
//! 1. soluble potassium and sodium alkali: `(K%/39.1 + Na%/23.0) · 10 ·
//!    alkaline share` [meq/g]; part of it dissolves in a short steep;
//! 2. free lime (hydroxide and oxide), a share of the whole, minutes;
//! 3. fine porous calcite, the rest, over one to three weeks.
//!
//! A strained liquor carries pool 1's dissolved part and a little dissolved
//! lime (saturated lime water holds about 41 meq/L), and none of pool 3.
//! Sources: Etiégni & Campbell 1991 (soluble share, liquor), Ohno 1992 (rate
//! against pH), Ulery, Graham & Amrhein 1993 (calcite), Phyllis record 1857
//! after McGinnis et al. 1995 (composition).

/// One possible ash.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ash {
    /// Whole neutralising value [% of pure CaCO3].
    pub neutralising_percent: f64,
    /// Potassium [% of dry mass].
    pub potassium_percent: f64,
    /// Sodium [% of dry mass].
    pub sodium_percent: f64,
    /// Share of K and Na that is alkali rather than sulphate or chloride [0 to 1].
    pub alkaline_share: f64,
    /// Share of the soluble alkali that goes into a short steep [0 to 1].
    pub steeped_share: f64,
    /// Share of the liquor recovered through a strainer [0 to 1].
    pub recovered_share: f64,
    /// Share of the whole neutralising value that is free lime [0 to 1].
    pub free_lime_share: f64,
    /// Alkalinity that dissolved lime adds to the liquor [meq/L].
    pub lime_water_meq_per_l: f64,
}

/// Base by pool, each [meq per g of ash].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pools {
    /// Soluble potassium and sodium alkali.
    pub soluble: f64,
    /// Free lime.
    pub free_lime: f64,
    /// Fine calcite.
    pub calcite: f64,
}

/// The three pools of a dry ash [meq/g]. Pools never exceed the whole.
#[must_use]
pub fn pools(ash: &Ash) -> Pools {
    let whole = super::neutralising::meq_per_gram(ash.neutralising_percent);
    let alkali = (ash.potassium_percent / 39.1 + ash.sodium_percent / 23.0) * 10.0;
    let soluble = (alkali * ash.alkaline_share).min(whole);
    let free_lime = (whole * ash.free_lime_share).min(whole - soluble);
    Pools {
        soluble,
        free_lime,
        calcite: whole - soluble - free_lime,
    }
}

/// Potassium and sodium that came as sulphate and chloride: salt, and no base
/// [meq per g of ash].
#[must_use]
pub fn neutral_salt(ash: &Ash) -> f64 {
    (ash.potassium_percent / 39.1 + ash.sodium_percent / 23.0) * 10.0 * (1.0 - ash.alkaline_share)
}

/// Alkalinity carried by a strained liquor [meq], made by steeping
/// `ash_grams` in `litres` of water for about half an hour.
#[must_use]
pub fn liquor_meq(ash: &Ash, ash_grams: f64, litres: f64) -> f64 {
    let p = pools(ash);
    let alkali = p.soluble * ash.steeped_share * ash_grams;
    let lime = (p.free_lime * ash_grams).min(ash.lime_water_meq_per_l * litres);
    (alkali + lime) * ash.recovered_share
}

/// How fast ash takes up acid at `ph`, relative to pH 4.7 [-]: 41 % slower
/// for each pH unit up (Ohno 1992, pH 3.8 to 6.2; held at the ends outside).
#[must_use]
pub fn relative_rate(ph: f64) -> f64 {
    0.59f64.powf(ph.clamp(3.8, 6.2) - 4.7)
}

/// Neutralising value of an ash from its oxides [% of pure CaCO3]: bases minus
/// sulphate, chloride and H2PO4⁻. Oxides in % of dry mass, in the order
/// CaO, MgO, K2O, Na2O, SO3, P2O5, Cl.
#[must_use]
pub fn neutralising_from_oxides(oxides: [f64; 7]) -> f64 {
    let [cao, mgo, k2o, na2o, so3, p2o5, cl] = oxides;
    let bases = cao * 2.0 / 56.08 + mgo * 2.0 / 40.30 + k2o * 2.0 / 94.20 + na2o * 2.0 / 61.98;
    let acids = so3 * 2.0 / 80.06 + p2o5 * 2.0 / 141.94 + cl / 35.45;
    let meq_per_g = (bases - acids) * 10.0;
    meq_per_g / super::neutralising::meq_per_gram(100.0) * 100.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn central() -> Ash {
        Ash {
            neutralising_percent: 50.0,
            potassium_percent: 6.0,
            sodium_percent: 0.2,
            alkaline_share: 0.65,
            steeped_share: 0.65,
            recovered_share: 0.9,
            free_lime_share: 0.1,
            lime_water_meq_per_l: 20.0,
        }
    }

    #[test]
    fn pools_add_up_to_the_whole() {
        let p = pools(&central());
        let whole = super::super::neutralising::meq_per_gram(50.0);
        assert!((p.soluble + p.free_lime + p.calcite - whole).abs() < 1e-12);
        assert!(p.soluble > 0.9 && p.soluble < 1.2);
    }

    #[test]
    fn a_steep_of_two_cups_carries_a_few_hundred_milliequivalents() {
        let meq = liquor_meq(&central(), 280.0, 4.0);
        assert!((120.0..420.0).contains(&meq), "{meq}");
        let everything = 280.0 * super::super::neutralising::meq_per_gram(50.0);
        assert!(meq < 0.15 * everything);
    }

    #[test]
    fn median_great_lakes_ash_is_44_percent() {
        // Phyllis record 1857 after McGinnis et al. 1995.
        let nv = neutralising_from_oxides([23.8, 1.9, 3.61, 0.26, 5.30, 1.00, 0.09]);
        assert!((nv - 44.0).abs() < 0.5, "{nv}");
    }

    #[test]
    fn one_ph_unit_up_slows_ash_by_41_percent() {
        // Ohno 1992.
        let tables = crate::table::Tables::load().unwrap();
        let of = |p| tables.value("ash", "wood_ash", p).unwrap();
        let reference = of("rate_reference_ph");
        assert!((relative_rate(reference) - 1.0).abs() < 1e-12);
        assert!((relative_rate(reference + 1.0) - of("rate_factor_per_ph")).abs() < 1e-12);
        assert!((relative_rate(5.7) / relative_rate(4.7) - 0.59).abs() < 1e-12);
    }
}
