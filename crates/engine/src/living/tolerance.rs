//! What worms stand, and what drives them away.
//!
//! Factors of moisture, air, pH and salt are 1 where nothing is wrong and 0
//! where worms do nothing; they multiply. The urge to leave is the worst of
//! all discomforts and rises well before harm: ammonia is avoided at a
//! seventeenth of what kills (Zeguerrou et al. 2019), salt at a fifth
//! (Owojori and Reinecke 2009), acid about a pH unit above. Worms that want out
//! of the bedding sit on the walls first, see [`super::walls`].

use super::deaths::{acid, salt as salts};
use super::habitat::Habitat;
use super::species::Vital;
use super::{walls, warmth};
use crate::chemistry::ammonia::free_ammonia_fraction;
use crate::quantity::Celsius;

/// Power of the log-logistic effect of organic acids: their square, as in
/// [`acid::organic`].
const SQUARE: f64 = 2.0;
/// Days after which nothing is left of the wandering of the first ones [d].
const LONG_SETTLED: f64 = 30.0;
/// Beyond this exponentials are nothing or all [-].
const FAR: f64 = 60.0;

/// What is felt at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Felt {
    /// Factor of warmth on eating [0 to 1].
    pub feeding: f64,
    /// Factor of moisture [0 to 1].
    pub moisture: f64,
    /// Factor of air in the pores [0 to 1].
    pub air: f64,
    /// Factor of pH and organic acids [0 to 1].
    pub ph: f64,
    /// Further factor of pH on breeding [0 to 1].
    pub ph_breeding: f64,
    /// Factor of salt on growth [0 to 1].
    pub salt: f64,
    /// Factor of salt on breeding [0 to 1].
    pub salt_breeding: f64,
    /// Factor of ammonia on breeding [0 to 1].
    pub ammonia_breeding: f64,
    /// Ammonia as toxic as this much NH4OH in the soil of a trial [mg/g].
    pub ammonia_mg_per_g: f64,
    /// Undissociated organic acids [mmol/kg water].
    pub sour_mmol_per_kg: f64,
    /// Salt in the water, as table salt [mmol/kg].
    pub salt_mmol_per_kg: f64,
    /// Share of the worms down in the bedding; the rest sits on walls and lid,
    /// and neither eats, grows nor lays [0 to 1].
    pub down: f64,
    /// Urge to leave for ammonia, and for all that does not follow onto wet walls
    /// [0 to 1].
    ammonia_urge: f64,
    off_the_bedding: f64,
}

impl Felt {
    /// What worms feel in `h`.
    #[must_use]
    pub fn of(v: &Vital, h: &Habitat) -> Self {
        let ammonia_mg_per_g = ammonia_as_in_soil(v, h.ammonia_mg_per_g, h.ph, h.celsius);
        let water = h.water_per_dry();
        let sour_mmol_per_kg = acid::undissociated(v, h.sour_meq_per_kg / water, h.ph);
        let salt_mmol_per_kg = salts::in_water(v, h.ec_ms_per_cm, water);
        let breeding = effect(
            ammonia_mg_per_g,
            v.ammonia_breeding_mg_per_g,
            v.ammonia_breeding_power,
        );
        let mut felt = Self {
            feeding: warmth::feeding(v, h.celsius),
            moisture: moisture(v, h.moisture_percent),
            air: air(v, h.air_filled).min(oxygen(v, h.airless)),
            ph: ph(v, h.ph, sour_mmol_per_kg),
            ph_breeding: ph_breeding(v, h.ph),
            salt: salt(v, salt_mmol_per_kg),
            salt_breeding: salt_breeding(v, salt_mmol_per_kg),
            ammonia_breeding: breeding,
            ammonia_mg_per_g,
            sour_mmol_per_kg,
            salt_mmol_per_kg,
            down: 1.0,
            ammonia_urge: urge_ammonia(v, ammonia_mg_per_g),
            off_the_bedding: 0.0,
        };
        felt.off_the_bedding = urge_off_the_bedding(v, h, &felt);
        felt.down = 1.0 - walls::share(v, h, felt.off_the_bedding);
        felt
    }

    /// All factors of eating but warmth together [0 to 1].
    #[must_use]
    pub fn eating(&self) -> f64 {
        self.down * self.moisture * self.air
    }

    /// All factors of growth together [0 to 1].
    #[must_use]
    pub fn growth(&self) -> f64 {
        self.down * self.moisture * self.air * self.ph * self.salt
    }

    /// All factors of breeding together [0 to 1].
    #[must_use]
    pub fn breeding(&self) -> f64 {
        let salted = self.salt_breeding * self.ammonia_breeding;
        self.down * self.moisture * self.air * self.ph * self.ph_breeding * salted
    }
}

/// Log-logistic effect [0 to 1]: 1/(1 + (x/ec50)^b).
#[must_use]
pub fn effect(x: f64, ec50: f64, power: f64) -> f64 {
    if x <= 0.0 {
        return 1.0;
    }
    1.0 / (1.0 + (x / ec50).powf(power))
}

/// Factor of moisture [0 to 1], of wet mass [%].
///
/// 1/(1+exp(-(m-m50)/s)) · 1/(1+exp((m-91)/1.5)). The dry side is a fit to
/// three series at 25 °C on cattle manure (Reinecke and Venter 1985, 1987), 42
/// to 72 %; it fails on pig manure between 65 and 75 % (Domínguez and Edwards
/// 1997). The wet side is judgement: 85 to 90 % is fine while there is air.
#[must_use]
pub fn moisture(v: &Vital, percent: f64) -> f64 {
    let dry = ((v.moisture_half_percent - percent) / v.moisture_slope_percent).min(FAR);
    let wet = ((percent - v.wet_half_percent) / v.wet_slope_percent).min(FAR);
    1.0 / ((1.0 + dry.exp()) * (1.0 + wet.exp()))
}

/// Factor of air [0 to 1]: straight from nothing at an air-filled porosity of
/// 0.03 to all at 0.13. Worms grew best in manures at 85 and 90 % moisture
/// (Domínguez and Edwards 1997, Gunadi 2003), which leaves little more air than
/// a drained bed keeps; the numbers are estimates.
#[must_use]
pub fn air(v: &Vital, air_filled: f64) -> f64 {
    ((air_filled - v.air_low) / (v.air_full - v.air_low)).clamp(0.0, 1.0)
}

/// Factor of oxygen [0 to 1], by the share of decay that finds none: worms sit
/// near the top and their burrows, so they do all while half of the bed has air,
/// and nothing where none of it has. Estimate.
#[must_use]
pub fn oxygen(v: &Vital, airless: f64) -> f64 {
    ((1.0 - airless) / (1.0 - v.airless_from)).clamp(0.0, 1.0)
}

/// Factor of pH [0 to 1]: nothing at 3.5, all from 5.0 to 8.5, nothing at
/// 10.5, and of undissociated organic acids [mmol/kg water] half at 8.
///
/// In peat of pH 3.6 to 4.3 worms burrowed, cast and breathed less (1986); in
/// soil of pH 5.0 they bred for years; in manures of pH 7.6 to 9.0 they grew for
/// 98 days (Garg, Kaushik and Dilbaghi 2005). The corners are judgement.
#[must_use]
pub fn ph(v: &Vital, ph: f64, sour_mmol_per_kg: f64) -> f64 {
    let sour = (ph - v.ph_low) / (v.ph_full_low - v.ph_low);
    let alkaline = (v.ph_high - ph) / (v.ph_high - v.ph_full_high);
    sour.min(alkaline).clamp(0.0, 1.0) * effect(sour_mmol_per_kg, v.sour_half_mmol_per_kg, SQUARE)
}

/// Further factor of pH on breeding [0 to 1]: fewer cocoons came from pH 7 up in
/// soil (van Gestel et al. 1992, abstract), a slope and no stop. Its height is
/// judgement.
#[must_use]
pub fn ph_breeding(v: &Vital, ph: f64) -> f64 {
    (1.0 - v.laying_fall_per_ph * (ph - v.laying_falls_from_ph).max(0.0)).max(0.0)
}

/// Factor of salt on growth [0 to 1], as table salt in the water [mmol/kg]:
/// log-logistic with the steepness of deaths.
#[must_use]
pub fn salt(v: &Vital, mmol_per_kg: f64) -> f64 {
    let half = v.salt_growth_over_death * v.salt_death_mmol_per_kg;
    effect(mmol_per_kg, half, v.salt_death_power)
}

/// Factor of salt on breeding [0 to 1], as table salt in the water [mmol/kg].
#[must_use]
pub fn salt_breeding(v: &Vital, mmol_per_kg: f64) -> f64 {
    effect(
        mmol_per_kg,
        v.salt_breeding_mmol_per_kg,
        v.salt_breeding_power,
    )
}

/// Ammonia as toxic as this much ammonium hydroxide in soil [mg/g]: total
/// times its free share over that at 20 °C and the pH of the trials, 8.3. They do
/// not tell it: so much base lifts a soil of pH 7 to 7.5 by a unit, and worms grow
/// in manures that would kill them were it 8.
#[must_use]
pub fn ammonia_as_in_soil(v: &Vital, total_mg_per_g: f64, ph: f64, celsius: f64) -> f64 {
    if total_mg_per_g <= 0.0 {
        return 0.0;
    }
    let free = |celsius, ph| free_ammonia_fraction(Celsius(celsius), ph);
    total_mg_per_g * free(celsius, ph) / free(v.ammonia_trial_celsius, v.ammonia_trial_ph)
}

/// Share of worms that choose the clean side of a tray for ammonia [0 to 1],
/// NH4OH [mg/g]: half at 0.05 in 48 h (Zeguerrou et al. 2019, abstract).
#[must_use]
pub fn avoids_ammonia(v: &Vital, mg_per_g: f64) -> f64 {
    1.0 - effect(mg_per_g, v.ammonia_avoid_mg_per_g, v.ammonia_avoid_power)
}

/// Urge to leave for ammonia [0 to 1], NH4OH as in soil [mg/g]: half at 0.2,
/// between what makes half choose the clean half of a tray (0.05) and what kills
/// half (0.85): a better place is chosen long before a bed is left for none.
/// Estimate; wastes are called fit up to 0.5 mg/g of wet mass (Earthworm Ecology
/// 2004, Table 18.3), 0.45 read as soil.
#[must_use]
pub fn urge_ammonia(v: &Vital, mg_per_g: f64) -> f64 {
    1.0 - effect(mg_per_g, v.ammonia_leave_mg_per_g, v.ammonia_avoid_power)
}

/// Share of worms that choose the clean side of a tray for salt [0 to 1], as
/// table salt in the water [mmol/kg]: half at 45 in 48 h, 1164 mg/kg of soil
/// (Owojori and Reinecke 2009, abstract).
#[must_use]
pub fn avoids_salt(v: &Vital, mmol_per_kg: f64) -> f64 {
    1.0 - effect(mmol_per_kg, v.salt_avoid_mmol_per_kg, v.salt_avoid_power)
}

/// Urge to leave for salt [0 to 1], as table salt in the water [mmol/kg]: half
/// at 125. As with ammonia a better place is chosen long before a bed is left
/// for none: home units of 7 to 9 mS/cm, 90 to 150 mmol, were not left
/// (Stejskal 2018).
#[must_use]
pub fn urge_salt(v: &Vital, mmol_per_kg: f64) -> f64 {
    1.0 - effect(mmol_per_kg, v.salt_leave_mmol_per_kg, v.salt_leave_power)
}

/// Urge to leave for heat or cold [0 to 1]: whole three degrees under the heat
/// that kills half in days, nothing three below that; cold drives little, for
/// it numbs. Estimates.
#[must_use]
pub fn urge_warmth(v: &Vital, celsius: f64) -> f64 {
    let whole = v.heat_death_celsius - v.heat_urge_under_kelvin;
    let hot = (1.0 + (celsius - whole) / v.heat_urge_width_kelvin).clamp(0.0, 1.0);
    let cold = v.growth_low_celsius + v.cold_urge_over_kelvin - celsius;
    let cold = (cold / v.cold_urge_width_kelvin).clamp(0.0, 1.0);
    hot.max(v.cold_urge_most * cold)
}

/// Urge to leave dry bedding [0 to 1]. Estimate.
#[must_use]
pub fn urge_dry(v: &Vital, percent: f64) -> f64 {
    ((v.moisture_half_percent - percent) / v.dry_urge_width_percent).clamp(0.0, 1.0)
}

/// Urge to leave airless bedding [0 to 1]. Estimates.
#[must_use]
pub fn urge_air(v: &Vital, air_filled: f64, airless: f64) -> f64 {
    // 0.01 only keeps drawn numbers apart.
    let from = v.air_urge_from_share * v.air_full;
    let drowned = (from - air_filled) / (from - v.air_low).max(0.01);
    let stale = v.stale_urge_factor * (1.0 - oxygen(v, airless));
    drowned.max(stale).clamp(0.0, 1.0)
}

/// Urge to leave for acid [0 to 1]: whole 1.8 above the pH at which half die in
/// a day, that is at 4.5, nothing at 6.2; and half at 2.7 mmol of undissociated
/// acids per kg of water. Worms in plain peat, pH 4.7, gather on walls and lid
/// (common practice). Estimates.
#[must_use]
pub fn urge_acid(v: &Vital, ph: f64, sour_mmol_per_kg: f64) -> f64 {
    let whole = v.acid_one_day_ph + v.acid_urge_over_ph;
    let acid = (1.0 + (whole - ph) / v.acid_urge_width_ph).clamp(0.0, 1.0);
    acid.max(1.0 - effect(sour_mmol_per_kg, v.sour_avoid_mmol_per_kg, SQUARE))
}

/// Urge to leave for base [0 to 1]: whole 0.8 under the pH at which half die in
/// a day, that is at 10, nothing at 8.5. Estimates.
#[must_use]
pub fn urge_alkaline(v: &Vital, ph: f64) -> f64 {
    let whole = v.alkaline_one_day_ph - v.alkaline_urge_under_ph;
    (1.0 + (ph - whole) / v.alkaline_urge_width_ph).clamp(0.0, 1.0)
}

/// Urge to leave what does not follow onto wet walls [0 to 1]: acid, base, salt,
/// dry, stale or drowned bedding, and ammonia as far as there is less of it there.
fn urge_off_the_bedding(v: &Vital, h: &Habitat, felt: &Felt) -> f64 {
    urge_acid(v, h.ph, felt.sour_mmol_per_kg)
        .max(urge_dry(v, h.moisture_percent))
        .max(urge_alkaline(v, h.ph))
        .max((1.0 - v.wall_ammonia_share) * felt.ammonia_urge)
        .max(urge_salt(v, felt.salt_mmol_per_kg))
        .max(urge_air(v, h.air_filled, h.airless))
}

/// Urge to wander in a new bin [0 to 1], by days since the worms came:
/// common practice has it settle within a week.
#[must_use]
pub fn urge_new(v: &Vital, settled_days: f64) -> f64 {
    if settled_days > LONG_SETTLED {
        return 0.0;
    }
    v.wandering * (-settled_days.max(0.0) / v.wandering_days).exp()
}

/// Urge to leave for want of food or room [0 to 1]: `kept` is the share of
/// maintenance that is met. Crowding is felt from 40 g/L, what a well-fed box
/// held after a year (Podolak 2025), to 200 g/L. Estimates.
#[must_use]
pub fn urge_want(v: &Vital, kept: f64, grams_per_litre: f64) -> f64 {
    let hunger = v.hunger_urge_most * (1.0 - kept);
    let over = grams_per_litre - v.crowd_urge_from_g_per_l;
    let crowd = (over / v.crowd_urge_width_g_per_l).clamp(0.0, 1.0);
    hunger.max(crowd)
}

/// Urge to leave for what is in the bin [0 to 1]: the worst of all discomforts
/// counts.
#[must_use]
pub fn urge_of_the_bin(
    v: &Vital,
    h: &Habitat,
    felt: &Felt,
    kept: f64,
    grams_per_litre: f64,
) -> f64 {
    felt.off_the_bedding
        .max(felt.ammonia_urge)
        .max(urge_warmth(v, h.celsius))
        .max(urge_want(v, kept, grams_per_litre))
        .clamp(0.0, 1.0)
}

/// Urge to leave [0 to 1]: for what is in the bin, or for its being new.
#[must_use]
pub fn urge_to_leave(v: &Vital, h: &Habitat, felt: &Felt, kept: f64, grams_per_litre: f64) -> f64 {
    urge_of_the_bin(v, h, felt, kept, grams_per_litre)
        .max(urge_new(v, h.settled_days))
        .clamp(0.0, 1.0)
}

/// Share of the worms that leave per day [1/d], at an urge and where the lid
/// lets them. Below an urge of one half they stay: what is avoided for a
/// better place is not yet left for none. Numb worms do not walk. Estimates.
#[must_use]
pub fn leaving_per_day(v: &Vital, urge: f64, celsius: f64, lid_escape: f64) -> f64 {
    let will = ((urge - v.leave_urge_from) / (1.0 - v.leave_urge_from)).clamp(0.0, 1.0);
    let walks = ((celsius - v.feeding_low_celsius) / v.walk_width_kelvin).clamp(0.0, 1.0);
    v.leaving_per_day * will * will * walks * lid_escape.clamp(0.0, 1.0)
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
    fn moisture_has_its_worked_values() {
        let v = fetida();
        for (m, g) in [
            (50.0, 0.057),
            (55.0, 0.185),
            (60.0, 0.460),
            (65.0, 0.763),
            (70.0, 0.924),
            (75.0, 0.979),
            (85.0, 0.980),
            (90.0, 0.660),
        ] {
            // Worked with s 3.78, of which the table keeps 3.8.
            assert!(
                (moisture(&v, m) - g).abs() < 2.5e-3,
                "{m}: {}",
                moisture(&v, m)
            );
        }
    }

    #[test]
    fn ammonia_is_read_to_the_ph_and_warmth_of_trials() {
        let soil = |mg, ph, celsius| ammonia_as_in_soil(&fetida(), mg, ph, celsius);
        assert!((soil(0.5, 8.3, 20.0) - 0.5).abs() < 1e-4);
        assert!((soil(0.5, 7.0, 20.0) - 0.0269).abs() < 1e-3);
        assert!(soil(0.5, 9.0, 30.0) > 2.5);
    }

    /// Worms live in plain peat and breed in acid soil, but want out of peat; sour
    /// food stops and drives them at a pH that by itself does neither.
    #[test]
    fn acid_peat_is_stood_better_than_sour_food() {
        let v = fetida();
        let peat = Habitat {
            ph: 5.0,
            ..Habitat::kind(20.0)
        };
        let sour = Habitat {
            sour_meq_per_kg: 200.0,
            ..peat
        };
        let (a, b) = (Felt::of(&v, &peat), Felt::of(&v, &sour));
        assert!((a.ph - 1.0).abs() < 1e-9 && b.ph < 0.3, "{a:?} {b:?}");
        let urge = |ph: f64, f: &Felt| urge_acid(&v, ph, f.sour_mmol_per_kg);
        assert!((0.6..0.8).contains(&urge(5.0, &a)) && urge(4.7, &a) > 0.8);
        assert!(urge(5.5, &a) < 0.5 && urge(6.2, &a) < 1e-9);
        assert!(urge(5.0, &b) > 0.95);
        assert!(urge_acid(&v, 6.5, 8.0) > 0.7);
    }

    /// Cocoon output falls from pH 7 up; it does not stop, nor does growth, between
    /// 8 and 9.
    #[test]
    fn manure_of_ph_9_slows_laying_and_stops_nothing() {
        let v = fetida();
        let mut before = 1.0;
        for i in 0..=20 {
            let at = 7.0 + 0.1 * f64::from(i);
            let lays = ph(&v, at, 0.0) * ph_breeding(&v, at);
            assert!(lays <= before && lays > 0.4, "{at}: {lays}");
            before = lays;
        }
        assert!(before < 0.9 && ph(&v, 9.0, 0.0) > 0.6);
    }

    #[test]
    fn a_kind_place_is_not_left() {
        let v = fetida();
        let h = Habitat::kind(20.0);
        let felt = Felt::of(&v, &h);
        let urge = urge_to_leave(&v, &h, &felt, 1.0, 10.0);
        assert!(urge < 0.05, "{urge}");
        assert_eq!(leaving_per_day(&v, urge, 20.0, 1.0), 0.0);
        assert!(felt.breeding() > 0.96);
    }

    #[test]
    fn wandering_settles_within_a_week() {
        let v = fetida();
        assert!(urge_new(&v, 0.0) > 0.5 && urge_new(&v, 7.0) < 0.05);
    }
}
