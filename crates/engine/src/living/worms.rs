//! The worms of one possible bin.
//!
//! Numbers by stage, and the mass of all of them as a pool of its own: at a
//! harvest or after a die-off the survivors are not heavier at once, but grow
//! into the room they have. Book-keeping, true of every step to rounding:
//!
//! ```text
//! grams after = grams before + grown - died - left
//! ```
//!
//! The mass is that of living tissue; cocoons (14 mg each) are left out of it,
//! and the mass of a hatchling counts as grown.

use super::habitat::Habitat;
use super::population::{self, Rates, STAGES, Stages};
use super::species::{Species, Vital};
use super::tolerance::{Felt, leaving_per_day, urge_to_leave};
use super::{growth, mortality, warmth};

/// Mass of worms out of the post against the same worms well fed [-]: 10 to
/// 25 % of water is lost on the way (common practice).
const POSTED: f64 = 0.82;
/// Least bedding counted [L].
const LEAST_LITRES: f64 = 0.1;
/// Largest adult against one that lays in full: no more is laid beyond [-].
const LARGEST_LAYING: f64 = 1.5;

/// Worms of one species in one bin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worms {
    /// Species.
    pub species: Species,
    stages: Stages,
    grams: f64,
}

/// What a step did to the worms.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Change {
    /// Tissue gained less tissue lost by shrinking, fresh [g].
    pub grown_g: f64,
    /// Tissue that died [g].
    pub died_g: f64,
    /// Tissue that left the bin [g].
    pub left_g: f64,
    /// Worms that died.
    pub died: f64,
    /// Worms that left the bin.
    pub left: f64,
    /// Young hatched.
    pub hatched: f64,
    /// Cocoons laid.
    pub laid: f64,
    /// Urge to leave [0 to 1].
    pub urge_to_leave: f64,
    /// Share that dies per day [1/d].
    pub dying_per_day: f64,
}

impl Worms {
    /// No worms of that species.
    #[must_use]
    pub fn none(species: Species) -> Self {
        Self {
            species,
            stages: Stages::default(),
            grams: 0.0,
        }
    }

    /// Worms as they come by post or out of another bin.
    ///
    /// Mass and number together tell how large they are, and so how many of
    /// them are grown. With only one of the two known they are taken for the
    /// usual mixed stock, a third of it with a clitellum, and a little shrunken
    /// on the way. With neither there are none.
    #[must_use]
    pub fn stocked(species: Species, grams: Option<f64>, count: Option<f64>, v: &Vital) -> Self {
        let full = population::masses(v, 0.0);
        let usual = mean(&MIXED, &full) * POSTED;
        let (grams, count) = match (grams, count) {
            (Some(g), Some(n)) => (g, n),
            (Some(g), None) => (g, g / usual),
            (None, Some(n)) => (n * usual, n),
            (None, None) => (0.0, 0.0),
        };
        if !(grams > 0.0 && count > 0.0 && grams.is_finite() && count.is_finite()) {
            return Self::none(species);
        }
        let shares = shares_of(grams / count / POSTED, &full);
        Self {
            species,
            stages: Stages {
                cocoons: [0.0; 12],
                worms: shares.map(|share| share * count),
            },
            grams,
        }
    }

    /// Counted worms, well fed and with room: grown ones, young of mixed ages,
    /// and cocoons of all ages.
    #[must_use]
    pub fn counted(species: Species, adults: f64, young: f64, cocoons: f64, v: &Vital) -> Self {
        let full = population::masses(v, 0.0);
        let mut worms = YOUNG.map(|share| share * young.max(0.0));
        worms[STAGES - 1] += adults.max(0.0);
        let stages = Stages {
            cocoons: [cocoons.max(0.0) / 12.0; 12],
            worms,
        };
        Self {
            species,
            grams: stages.grams(&full),
            stages,
        }
    }

    /// Adds `other`, taken to be of this species.
    pub fn join(&mut self, other: &Self) {
        for (n, more) in self.stages.cocoons.iter_mut().zip(other.stages.cocoons) {
            *n += more;
        }
        for (n, more) in self.stages.worms.iter_mut().zip(other.stages.worms) {
            *n += more;
        }
        self.grams += other.grams;
    }

    /// Adds cocoons of all ages.
    pub fn add_cocoons(&mut self, count: f64) {
        for n in &mut self.stages.cocoons {
            *n += count.max(0.0) / 12.0;
        }
    }

    /// Takes out a share [0 to 1] of worms and cocoons alike; gives back what
    /// was taken.
    pub fn take_out(&mut self, share: f64) -> Self {
        self.take(share, share)
    }

    /// Takes out shares [0 to 1] of the worms and of the cocoons; gives back
    /// what was taken.
    pub fn take(&mut self, of_worms: f64, of_cocoons: f64) -> Self {
        let (w, c) = (of_worms.clamp(0.0, 1.0), of_cocoons.clamp(0.0, 1.0));
        let taken = Self {
            species: self.species,
            stages: Stages {
                cocoons: self.stages.cocoons.map(|n| n * c),
                worms: self.stages.worms.map(|n| n * w),
            },
            grams: self.grams * w,
        };
        self.stages.cocoons = self.stages.cocoons.map(|n| n * (1.0 - c));
        self.stages.worms = self.stages.worms.map(|n| n * (1.0 - w));
        self.grams *= 1.0 - w;
        taken
    }

    /// Numbers by stage.
    #[must_use]
    pub fn stages(&self) -> &Stages {
        &self.stages
    }

    /// Live worms, cocoons not counted.
    #[must_use]
    pub fn number(&self) -> f64 {
        self.stages.number()
    }

    /// Worms with a clitellum.
    #[must_use]
    pub fn adults(&self) -> f64 {
        self.stages.adults()
    }

    /// Cocoons.
    #[must_use]
    pub fn cocoon_count(&self) -> f64 {
        self.stages.cocoon_count()
    }

    /// Live mass [g], cocoons not counted.
    #[must_use]
    pub fn grams(&self) -> f64 {
        self.grams
    }

    /// Mean mass of a worm [g]; 0 when there are none.
    #[must_use]
    pub fn mean_grams(&self) -> f64 {
        let number = self.number();
        if number > 0.0 {
            self.grams / number
        } else {
            0.0
        }
    }

    /// Mean mass of an adult [g].
    #[must_use]
    pub fn mean_adult_grams(&self, v: &Vital, litres: f64, quality: f64) -> f64 {
        let place = self.place(v, litres, quality);
        place.condition * place.full[STAGES - 1]
    }

    /// Mass against the same worms well fed at this crowding [-]; 1 when there
    /// are none.
    #[must_use]
    pub fn condition(&self, v: &Vital, litres: f64, quality: f64) -> f64 {
        self.place(v, litres, quality).condition
    }

    /// Dry food worms of this mass eat in full appetite [g DM/d]:
    /// `I_max` `g_feed`(T) `g_moist` `g_air` B.
    #[must_use]
    pub fn appetite_g_dm_per_day(&self, v: &Vital, h: &Habitat) -> f64 {
        let felt = Felt::of(v, h);
        let warm = warmth::feeding(v, h.celsius);
        v.appetite_g_per_g_day * warm * felt.moisture * felt.air * self.grams
    }

    /// Share of the worms' maintenance that their food meets, not capped [-].
    #[must_use]
    pub fn found_over_maintenance(v: &Vital, h: &Habitat, felt: &Felt) -> f64 {
        let eaten = h.food_supply.clamp(0.0, 1.0) * v.appetite_g_per_g_day;
        eaten * felt.moisture * felt.air / v.maintenance_g_per_g_day
    }

    /// Urge to leave [0 to 1] at `h`, all discomforts considered.
    #[must_use]
    pub fn urge_to_leave(&self, v: &Vital, h: &Habitat) -> f64 {
        if self.number() <= 0.0 {
            return 0.0;
        }
        let felt = Felt::of(v, h);
        let kept = Self::found_over_maintenance(v, h, &felt).min(1.0);
        urge_to_leave(v, h, &felt, kept, self.grams / h.litres.max(LEAST_LITRES))
    }

    /// One step of `dt_days`, up to a day. `lid_escape` is how easily they get
    /// out [0 to 1]: 0 a tight lid, 1 an open box.
    pub fn advance(&mut self, v: &Vital, h: &Habitat, lid_escape: f64, dt_days: f64) -> Change {
        if self.number() + self.cocoon_count() <= 0.0 {
            return Change::default();
        }
        let felt = Felt::of(v, h);
        let place = self.place(v, h.litres, h.food_quality);
        let found = Self::found_over_maintenance(v, h, &felt);
        let kept = found.min(1.0);
        let packed = self.grams / h.litres.max(LEAST_LITRES);
        let urge = urge_to_leave(v, h, &felt, kept, packed);
        let mut rates = self.rates(v, h, &felt, &place, kept);
        rates.dying = mortality::per_day(v, h, &felt, place.condition, packed);
        rates.leaving = leaving_per_day(v, urge, h.celsius, lid_escape);

        let (after, flow) = population::step(&self.stages, &rates, dt_days);
        let mass = place.full.map(|m| m * place.condition);
        let sum = |n: &[f64; STAGES]| -> f64 { n.iter().zip(&mass).map(|(n, m)| n * m).sum() };
        let risen: f64 = (0..STAGES - 1)
            .map(|i| flow.risen[i] * (mass[i + 1] - mass[i]))
            .sum();
        let rate = v.growth_rate_per_day * warmth::growth(v, h.celsius) * felt.growth();
        let warm = warmth::feeding(v, h.celsius);
        let plump = growth::condition_after(v, place.condition, found, warm, rate, dt_days);
        let fattened = (plump - place.condition) * after.grams(&place.full);

        self.grams = plump * after.grams(&place.full);
        self.stages = after;
        Change {
            grown_g: flow.hatched * mass[0] + risen + fattened,
            died_g: sum(&flow.died),
            left_g: sum(&flow.left),
            died: flow.died.iter().sum(),
            left: flow.left.iter().sum(),
            hatched: flow.hatched,
            laid: flow.laid,
            urge_to_leave: urge,
            dying_per_day: rates.dying,
        }
    }

    /// Rates of everything but death and leaving.
    fn rates(&self, v: &Vital, h: &Habitat, felt: &Felt, place: &Place, kept: f64) -> Rates {
        let adult = place.condition * place.full[STAGES - 1];
        let adult = adult.min(LARGEST_LAYING * v.laying_g);
        let mut rates = population::reference_rates(v, place.crowding, place.crowding, adult);
        let warm = warmth::growth(v, h.celsius) / v.grow_at_reference;
        let breed = warmth::breeding(v, h.celsius) / v.breed_at_reference;
        let maturing = warm * felt.growth() * kept;
        rates.growing_up *= maturing;
        rates.ripening *= maturing;
        rates.young_per_cocoon *= felt.breeding() * kept;
        rates.development = warmth::development_per_day(v, h.celsius);
        rates.cocoons_lost = mortality::of_cocoons(v, h, felt);
        rates.laid_per_adult *= if h.settled_days > v.lag_days {
            breed * felt.breeding() * kept
        } else {
            0.0
        };
        rates
    }

    fn place(&self, v: &Vital, litres: f64, quality: f64) -> Place {
        let room = (litres * quality).max(LEAST_LITRES * 0.1);
        let crowding = self.grams / room;
        let full = population::masses(v, crowding);
        let due = self.stages.grams(&full);
        let condition = if due > 0.0 { self.grams / due } else { 1.0 };
        Place {
            crowding,
            full,
            condition,
        }
    }
}

/// How worms stand at a crowding.
#[derive(Debug, Clone, Copy)]
struct Place {
    /// Biomass over bedding, food quality considered [g/L].
    crowding: f64,
    /// Mass of each stage, well fed [g].
    full: [f64; STAGES],
    /// Mass against that [-].
    condition: f64,
}

/// Stock of mostly young worms, by number.
const YOUNG: [f64; STAGES] = [0.0, 0.2, 0.4, 0.4, 0.0, 0.0];
/// Usual mixed stock, by number.
const MIXED: [f64; STAGES] = [0.0, 0.1, 0.2, 0.2, 0.15, 0.35];
/// Stock of mostly grown worms, by number.
const GROWN: [f64; STAGES] = [0.0, 0.0, 0.0, 0.0, 0.3, 0.7];
/// Only worms with a clitellum.
const ADULT: [f64; STAGES] = [0.0, 0.0, 0.0, 0.0, 0.0, 1.0];

fn mean(shares: &[f64; STAGES], masses: &[f64; STAGES]) -> f64 {
    shares.iter().zip(masses).map(|(s, m)| s * m).sum()
}

/// The stock whose worms weigh `wanted` on the mean [g], as far as there is
/// one between mostly young and all grown.
fn shares_of(wanted: f64, masses: &[f64; STAGES]) -> [f64; STAGES] {
    let steps = [YOUNG, MIXED, GROWN, ADULT];
    for pair in steps.windows(2) {
        let (low, high) = (mean(&pair[0], masses), mean(&pair[1], masses));
        if wanted <= high {
            let x = ((wanted - low) / (high - low).max(1e-12)).clamp(0.0, 1.0);
            return std::array::from_fn(|i| pair[0][i] + x * (pair[1][i] - pair[0][i]));
        }
    }
    ADULT
}

/// Oxygen worms use [g/kg fresh/d]: 200 µL/g/h at 20 °C (100-300), Q10 1.93
/// over 6-15 °C (Phillipson and Bolton 1976, two other epigeic worms at 10 °C:
/// 112 and 156); held to what is used at 40 °C above it. Oxygen as a gas at
/// 0 °C, 1.429 mg/mL.
#[must_use]
pub fn oxygen_g_per_kg_day(v: &Vital, celsius: f64) -> f64 {
    const MG_PER_ML: f64 = 1.429;
    let warm = (v.respiration_q10.ln() * 0.1 * (celsius.min(40.0) - 20.0)).exp();
    v.oxygen_ul_per_g_hour * 24.0 / 1000.0 * MG_PER_ML * warm
}

/// Carbon worms breathe out [g C/kg fresh/d], respiratory quotient 0.8.
#[must_use]
pub fn carbon_g_per_kg_day(v: &Vital, celsius: f64) -> f64 {
    oxygen_g_per_kg_day(v, celsius) / 31.998 * v.respiratory_quotient * 12.011
}

/// Heat worms give off [W/kg fresh], 14.0 kJ/g of oxygen.
#[must_use]
pub fn heat_w_per_kg(v: &Vital, celsius: f64) -> f64 {
    oxygen_g_per_kg_day(v, celsius) * v.heat_kj_per_g_oxygen * 1000.0 / 86_400.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Tables;
    use proptest::prelude::*;
    use std::sync::LazyLock;

    static FETIDA: LazyLock<Vital> =
        LazyLock::new(|| Vital::of(&Tables::load().unwrap(), Species::EiseniaFetida).unwrap());

    fn stock(grams: f64) -> Worms {
        Worms::stocked(Species::EiseniaFetida, Some(grams), None, &FETIDA)
    }

    fn live(mut w: Worms, h: &Habitat, days: f64, dt: f64) -> Worms {
        let mut h = *h;
        for _ in 0..(days / dt).round() as usize {
            w.advance(&FETIDA, &h, 0.0, dt);
            h.settled_days += dt;
        }
        w
    }

    #[test]
    fn stock_is_what_was_said() {
        let v = &*FETIDA;
        let both = Worms::stocked(Species::EiseniaFetida, Some(500.0), Some(1000.0), v);
        assert!((both.grams() - 500.0).abs() < 1e-9 && (both.number() - 1000.0).abs() < 1e-9);
        assert!(both.adults() > 600.0);
        let counted = Worms::stocked(Species::EiseniaFetida, None, Some(1000.0), v);
        assert!(
            (counted.grams() - 290.0).abs() < 10.0,
            "{}",
            counted.grams()
        );
        let weighed = stock(290.0);
        assert!((weighed.number() / counted.number() - 1.0).abs() < 0.03);
        assert!((weighed.adults() / weighed.number() - 0.35).abs() < 0.01);
        let none = Worms::stocked(Species::EiseniaFetida, Some(f64::NAN), None, v);
        assert_eq!(none.number(), 0.0);
    }

    #[test]
    fn a_starved_bin_loses_worms_slowly_and_shrinks_them() {
        let h = Habitat {
            food_supply: 0.0,
            ..Habitat::kind(30.0)
        };
        let w = live(stock(500.0), &h, 30.0, 0.5);
        let lost = 1.0 - w.grams() / 500.0;
        assert!((0.08..0.25).contains(&lost), "{lost}");
        assert!(w.number() > 0.95 * stock(500.0).number());
        assert_eq!(w.cocoon_count(), 0.0);
    }

    #[test]
    fn halving_the_step_changes_little() {
        for h in [
            Habitat::kind(30.0),
            Habitat {
                celsius: 25.0,
                food_supply: 0.5,
                ..Habitat::kind(30.0)
            },
            Habitat {
                celsius: 32.0,
                ..Habitat::kind(30.0)
            },
        ] {
            let coarse = live(stock(300.0), &h, 180.0, 0.5);
            let fine = live(stock(300.0), &h, 180.0, 0.25);
            for (a, b) in [
                (coarse.grams(), fine.grams()),
                (coarse.number(), fine.number()),
                (coarse.cocoon_count(), fine.cocoon_count()),
            ] {
                assert!((a / b - 1.0).abs() < 0.02, "{h:?}: {a} {b}");
            }
        }
    }

    #[test]
    fn at_harvest_nobody_grows_heavier_at_once() {
        let v = &*FETIDA;
        let h = Habitat::kind(8.0);
        let mut w = live(stock(100.0), &h, 200.0, 0.5);
        let (grams, each) = (w.grams(), w.mean_grams());
        let taken = w.take_out(0.5);
        assert!((taken.grams() + w.grams() - grams).abs() < 1e-9);
        assert!((w.mean_grams() - each).abs() < 1e-12);
        assert!(w.condition(v, 8.0, 1.0) < 1.0);
        let later = live(w, &h, 60.0, 0.5);
        assert!(later.grams() > w.grams());
    }

    #[test]
    fn worms_leave_before_they_die() {
        let v = &*FETIDA;
        let h = Habitat {
            ph: 8.5,
            ammonia_mg_per_g: 0.3,
            ..Habitat::kind(30.0)
        };
        let mut open = stock(500.0);
        let change = open.advance(v, &h, 1.0, 0.5);
        assert!(change.left > 10.0 * change.died, "{change:?}");
        let mut shut = stock(500.0);
        assert_eq!(shut.advance(v, &h, 0.0, 0.5).left, 0.0);
    }

    #[test]
    fn respiration_has_its_worked_values() {
        let v = &*FETIDA;
        assert!((oxygen_g_per_kg_day(v, 20.0) - 6.86).abs() < 0.01);
        assert!((carbon_g_per_kg_day(v, 20.0) - 2.06).abs() < 0.01);
        assert!((heat_w_per_kg(v, 20.0) - 1.11).abs() < 0.01);
    }

    fn habitats() -> impl Strategy<Value = Habitat> {
        let a = (-30.0..60.0f64, 0.0..100.0f64, 0.0..1.0f64, 2.0..13.0f64);
        let b = (0.0..20.0f64, 0.0..30.0f64, 0.0..2000.0f64, 0.0..3.0f64);
        let c = (0.0..200.0f64, 0.01..10.0f64, 0.0..400.0f64);
        (a, b, c).prop_map(|(a, b, c)| Habitat {
            celsius: a.0,
            moisture_percent: a.1,
            air_filled: a.2,
            ph: a.3,
            ammonia_mg_per_g: b.0,
            ec_ms_per_cm: b.1,
            sour_meq_per_kg: b.2,
            food_supply: b.3,
            litres: c.0,
            food_quality: c.1,
            settled_days: c.2,
        })
    }

    proptest! {
        /// Whatever the place: the books close, nothing is negative or lost.
        #[test]
        fn books_close(
            places in prop::collection::vec(habitats(), 1..12),
            grams in 0.0..50_000.0f64,
            kind in 0usize..4,
            lid in 0.0..1.0f64,
            dt in 0.01..1.0f64,
        ) {
            let species = Species::ALL[kind];
            let v = Vital::of(&Tables::load().unwrap(), species).unwrap();
            let mut w = Worms::stocked(species, Some(grams), None, &v);
            w.add_cocoons(200.0);
            for h in &places {
                for _ in 0..20 {
                    let before = w;
                    let c = w.advance(&v, h, lid, dt);
                    let due = before.grams() + c.grown_g - c.died_g - c.left_g;
                    prop_assert!((w.grams() - due).abs() <= 1e-9 * (1.0 + before.grams()));
                    let heads = before.number() + c.hatched - c.died - c.left;
                    prop_assert!((w.number() - heads).abs() <= 1e-9 * (1.0 + heads.abs()));
                    for x in [c.died_g, c.left_g, c.died, c.left, c.hatched, c.laid] {
                        prop_assert!(x >= 0.0 && x.is_finite());
                    }
                    prop_assert!(c.died_g + c.left_g <= before.grams() * (1.0 + 1e-9));
                    prop_assert!((0.0..=1.0).contains(&c.urge_to_leave));
                    let all = w.stages().worms.iter().chain(&w.stages().cocoons);
                    for n in all {
                        prop_assert!(*n >= 0.0 && n.is_finite());
                    }
                    prop_assert!(w.grams() >= 0.0 && w.grams().is_finite());
                    let condition = w.condition(&v, h.litres, h.food_quality);
                    prop_assert!(condition.is_finite() && condition >= 0.0);
                }
            }
        }

        /// The pool of tissue is what the worms of each stage weigh together.
        #[test]
        fn tissue_is_the_sum_of_the_worms(h in habitats(), grams in 1.0..5000.0f64) {
            let v = &*FETIDA;
            let mut w = stock(grams);
            for _ in 0..10 {
                w.advance(v, &h, 0.5, 0.5);
            }
            let place = w.place(v, h.litres, h.food_quality);
            let sum = place.condition * w.stages.grams(&place.full);
            prop_assert!((sum - w.grams()).abs() <= 1e-9 * (1.0 + sum));
        }

        /// No food, no growth.
        #[test]
        fn nothing_grows_on_nothing(h in habitats(), grams in 1.0..5000.0f64) {
            let h = Habitat { food_supply: 0.0, ..h };
            let mut w = stock(grams);
            w.add_cocoons(100.0);
            let c = w.advance(&FETIDA, &h, 0.0, 0.5);
            prop_assert!(c.grown_g <= 1e-12 && c.laid == 0.0 && c.hatched == 0.0);
        }
    }
}
