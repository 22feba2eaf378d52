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
use super::stock::{MIXED, YOUNG, mean, shares_of};
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

    /// Worms and cocoons counted by stage, with the mass of the worms [g].
    #[must_use]
    pub fn of_stages(species: Species, stages: Stages, grams: f64) -> Self {
        Self {
            species,
            stages,
            grams: grams.max(0.0),
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

    /// Loses tissue but no worms [g]: what they could not grow for want of
    /// anything to make it of.
    pub(crate) fn thin(&mut self, grams: f64) {
        self.grams = (self.grams - grams).max(0.0);
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
        self.appetite(v, &Felt::of(v, h))
    }

    /// The same where what they feel is known.
    pub(super) fn appetite(&self, v: &Vital, felt: &Felt) -> f64 {
        v.appetite_g_per_g_day * felt.feeding * felt.moisture * felt.air * felt.down * self.grams
    }

    /// Share of the worms' maintenance that their food meets, by its dry mass or
    /// by its nitrogen, whichever is less; not capped [-]. What a worm excretes
    /// of nitrogen it must take up again, or it shrinks: bare paper feeds none.
    #[must_use]
    pub fn found_over_maintenance(v: &Vital, h: &Habitat, felt: &Felt) -> f64 {
        let eaten = h.food_supply.clamp(0.0, 1.0) * v.appetite_g_per_g_day;
        let eaten = eaten * felt.moisture * felt.air * felt.down;
        let nitrogen = 1000.0 * eaten * h.food_nitrogen * v.nitrogen_taken_share;
        (eaten / v.maintenance_g_per_g_day).min(nitrogen / v.nitrogen_kept_mg_per_g_day)
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
        self.advance_feeling(v, (h, &Felt::of(v, h)), lid_escape, dt_days)
    }

    /// The same where what they feel is known.
    pub(super) fn advance_feeling(
        &mut self,
        v: &Vital,
        (h, felt): (&Habitat, &Felt),
        lid_escape: f64,
        dt_days: f64,
    ) -> Change {
        if self.number() + self.cocoon_count() <= 0.0 {
            return Change::default();
        }
        let place = self.place(v, h.litres, h.food_quality);
        let found = Self::found_over_maintenance(v, h, felt);
        let kept = found.min(1.0);
        let packed = self.grams / h.litres.max(LEAST_LITRES);
        let urge = urge_to_leave(v, h, felt, kept, packed);
        let grow = warmth::growth(v, h.celsius);
        let mut rates = Self::rates(v, h, felt, &place, (found, grow, dt_days, self.adults()));
        rates.dying = mortality::per_day(v, h, felt, place.condition, packed);
        rates.leaving = leaving_per_day(v, urge, h.celsius, lid_escape);

        let (after, flow) = population::step(&self.stages, &rates, dt_days);
        let mass = place.full.map(|m| m * place.condition);
        let sum = |n: &[f64; STAGES]| -> f64 { n.iter().zip(&mass).map(|(n, m)| n * m).sum() };
        let risen: f64 = (0..STAGES - 1)
            .map(|i| flow.risen[i] * (mass[i + 1] - mass[i]))
            .sum();
        let rate = v.growth_rate_per_day * grow * felt.growth();
        let plump = growth::condition_after(v, place.condition, found, felt.feeding, rate, dt_days);
        let fattened = (plump - place.condition) * after.grams(&place.full);

        self.grams = plump * after.grams(&place.full);
        self.stages = after;
        let last = self.die_out();
        Change {
            grown_g: flow.hatched * mass[0] + risen + fattened,
            died_g: sum(&flow.died) + last.grams,
            left_g: sum(&flow.left),
            died: flow.died.iter().sum::<f64>() + last.number(),
            left: flow.left.iter().sum(),
            hatched: flow.hatched,
            laid: flow.laid,
            urge_to_leave: urge,
            dying_per_day: rates.dying,
        }
    }

    /// Part of a worm is none: where less than half a worm and half a cocoon are
    /// left, nothing lives; gives what that was.
    fn die_out(&mut self) -> Self {
        const NONE: f64 = 0.5;
        if self.number() >= NONE || self.cocoon_count() >= NONE {
            return Self::none(self.species);
        }
        std::mem::replace(self, Self::none(self.species))
    }

    /// Rates of everything but death and leaving, mean through `days`; `grow` is
    /// growth by warmth, `found` food over maintenance.
    fn rates(
        v: &Vital,
        h: &Habitat,
        felt: &Felt,
        place: &Place,
        (found, grow, days, adults): (f64, f64, f64, f64),
    ) -> Rates {
        let kept = found.min(1.0);
        let adult = place.condition * place.full[STAGES - 1];
        let adult = adult.min(LARGEST_LAYING * v.laying_g);
        let mut rates = population::reference_rates(v, place.crowding, place.crowding, adult);
        let breed = warmth::breeding(v, h.celsius) / v.breed_at_reference;
        let maturing = grow / v.grow_at_reference * felt.growth() * growth::fed(found);
        rates.laid_per_adult *= mates(adults);
        rates.growing_up *= maturing;
        rates.ripening *= maturing;
        rates.young_per_cocoon *= felt.breeding() * kept;
        rates.development = warmth::development_per_day(v, h.celsius);
        rates.cocoons_lost = mortality::of_cocoons(v, h, felt);
        // In the step in which the lag ends they lay for the rest of it.
        let laying = ((h.settled_days + days - v.lag_days) / days.max(1e-9)).clamp(0.0, 1.0);
        rates.laid_per_adult *= laying * breed * felt.breeding() * kept;
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

/// Share of adults that find a mate [0 to 1]: none where there is one, all from
/// two on. They are hermaphrodites, but lay after mating.
fn mates(adults: f64) -> f64 {
    (adults - 1.0).clamp(0.0, 1.0)
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

#[cfg(test)]
mod tests;
