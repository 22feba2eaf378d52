//! The worms of one possible bin.
//!
//! Numbers by stage, the size the worms of each stage have grown to, and how
//! much of it is flesh: tissue is `condition` times size. Size grows after von
//! Bertalanffy toward what is due to a grown worm in this company and on this
//! food, and goes on with those that ripen; hunger takes flesh first, and a worm
//! too large for its company shrinks without hungering. At a harvest or after a
//! die-off the survivors are not heavier at once. Book-keeping, true of every
//! step to rounding:
//!
//! ```text
//! grams after = grams before + grown - died - left
//! ```
//!
//! The mass is that of living tissue; cocoons (14 mg each) are left out of it,
//! and the mass of a hatchling counts as grown.

use super::habitat::Habitat;
use super::population::{self, Flow, Rates, STAGES, Stages};
use super::species::{Species, Vital};
use super::stock::{self, mean, mixed, shares_of};
use super::tolerance::{Felt, leaving_per_day, urge_new, urge_of_the_bin, urge_to_leave};
use super::{growth, mortality, warmth};
use serde::{Deserialize, Serialize};

/// Least bedding counted, so that none divides by nothing [L].
const LEAST_LITRES: f64 = 0.1;

/// Worms of one species in one bin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Worms {
    /// Species.
    pub species: Species,
    stages: Stages,
    /// Size of all worms of each stage together [g].
    sizes: [f64; STAGES],
    /// Flesh against size [0 to 1].
    condition: f64,
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
    /// The same without the wandering of the first days [0 to 1].
    pub driven: f64,
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
            sizes: [0.0; STAGES],
            condition: 1.0,
        }
    }

    /// Worms as they come by post or out of another bin.
    ///
    /// Mass and number together tell how large they are, down to newly hatched,
    /// and so how many of them are grown. With only one of the two known they are
    /// taken for the usual mixed stock, a third of it with a clitellum. All are a
    /// little shrunken on the way. With neither there are none.
    #[must_use]
    pub fn stocked(species: Species, grams: Option<f64>, count: Option<f64>, v: &Vital) -> Self {
        let full = population::masses(v, 0.0);
        let posted = v.posted_share;
        let usual = mean(&mixed(v), &full) * posted;
        let (grams, count) = match (grams, count) {
            (Some(g), Some(n)) => (g, n),
            (Some(g), None) => (g, g / usual),
            (None, Some(n)) => (n * usual, n),
            (None, None) => (0.0, 0.0),
        };
        if !(grams > 0.0 && count > 0.0 && grams.is_finite() && count.is_finite()) {
            return Self::none(species);
        }
        let shares = shares_of(v, grams / count / posted, &full);
        let worms = shares.map(|share| share * count);
        let sizes: [f64; STAGES] = std::array::from_fn(|i| worms[i] * full[i]);
        let scale = grams / posted / sizes.iter().sum::<f64>();
        Self {
            species,
            stages: Stages {
                cocoons: [0.0; 12],
                worms,
            },
            sizes: sizes.map(|g| g * scale),
            condition: posted,
        }
    }

    /// Worms and cocoons counted by stage, well fed, with the mass of all worms
    /// of each stage [g].
    #[must_use]
    pub fn of_stages(species: Species, stages: Stages, grams: [f64; STAGES]) -> Self {
        Self {
            species,
            stages,
            sizes: grams.map(|g| g.max(0.0)),
            condition: 1.0,
        }
    }

    /// Counted worms, well fed and with room: grown ones, young of mixed ages,
    /// and cocoons of all ages.
    #[must_use]
    pub fn counted(species: Species, adults: f64, young: f64, cocoons: f64, v: &Vital) -> Self {
        let full = population::masses(v, 0.0);
        let mut worms = stock::young(v).map(|share| share * young.max(0.0));
        worms[STAGES - 1] += adults.max(0.0);
        let stages = Stages {
            cocoons: [cocoons.max(0.0) / 12.0; 12],
            worms,
        };
        let grams = std::array::from_fn(|i| stages.worms[i] * full[i]);
        Self::of_stages(species, stages, grams)
    }

    /// Adds `other`, taken to be of this species.
    pub fn join(&mut self, other: &Self) {
        for (n, more) in self.stages.cocoons.iter_mut().zip(other.stages.cocoons) {
            *n += more;
        }
        for (n, more) in self.stages.worms.iter_mut().zip(other.stages.worms) {
            *n += more;
        }
        let grams = self.grams() + other.grams();
        for (g, more) in self.sizes.iter_mut().zip(other.sizes) {
            *g += more;
        }
        let size: f64 = self.sizes.iter().sum();
        if size > 0.0 {
            self.condition = grams / size;
        }
    }

    /// Loses tissue but no worms [g]: what they could not grow for want of
    /// anything to make it of.
    pub(crate) fn thin(&mut self, grams: f64) {
        let had = self.grams();
        if had > 0.0 {
            let stays = (1.0 - grams / had).max(0.0);
            self.sizes = self.sizes.map(|g| g * stays);
        }
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
            sizes: self.sizes.map(|g| g * w),
            condition: self.condition,
        };
        self.stages.cocoons = self.stages.cocoons.map(|n| n * (1.0 - c));
        self.stages.worms = self.stages.worms.map(|n| n * (1.0 - w));
        self.sizes = self.sizes.map(|g| g * (1.0 - w));
        taken
    }

    /// Takes all but the grown worms out; gives them.
    pub fn take_young(&mut self) -> Self {
        let mut young = *self;
        young.stages.cocoons = [0.0; 12];
        young.stages.worms[STAGES - 1] = 0.0;
        young.sizes[STAGES - 1] = 0.0;
        self.stages.worms[..STAGES - 1].fill(0.0);
        self.sizes[..STAGES - 1].fill(0.0);
        young
    }

    /// Numbers by stage.
    #[must_use]
    pub fn stages(&self) -> &Stages {
        &self.stages
    }

    /// Size of all worms of each stage together [g]: flesh is `condition` times it.
    #[must_use]
    pub fn sizes(&self) -> &[f64; STAGES] {
        &self.sizes
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
        self.condition * self.sizes.iter().sum::<f64>()
    }

    /// Mean mass of a worm [g]; 0 when there are none.
    #[must_use]
    pub fn mean_grams(&self) -> f64 {
        let number = self.number();
        if number > 0.0 {
            self.grams() / number
        } else {
            0.0
        }
    }

    /// Mean mass of an adult [g]; 0 when there are none.
    #[must_use]
    pub fn mean_adult_grams(&self) -> f64 {
        self.condition * each(&self.stages, &self.sizes, STAGES - 1)
    }

    /// Mass against the same worms well fed [0 to 1]; 1 when there are none.
    #[must_use]
    pub fn condition(&self) -> f64 {
        self.condition
    }

    /// Dry food worms of this mass eat in full appetite [g DM/d]:
    /// `I_max` `g_feed`(T) `g_moist` `g_air` B.
    #[must_use]
    pub fn appetite_g_dm_per_day(&self, v: &Vital, h: &Habitat) -> f64 {
        self.appetite(v, &Felt::of(v, h))
    }

    /// The same where what they feel is known.
    pub(super) fn appetite(&self, v: &Vital, felt: &Felt) -> f64 {
        v.appetite_g_per_g_day * felt.feeding * felt.eating() * self.grams()
    }

    /// Share of the worms' maintenance that their food meets, by its dry mass or
    /// by its nitrogen, whichever is less; not capped [-]. What a worm excretes
    /// of nitrogen it must take up again, or it shrinks: bare paper feeds none.
    #[must_use]
    pub fn found_over_maintenance(v: &Vital, h: &Habitat, felt: &Felt) -> f64 {
        let most = v.appetite_g_per_g_day * felt.eating();
        let eaten = h.food_supply.clamp(0.0, 1.0) * most;
        let nitrogen = 1000.0 * eaten * h.food_nitrogen * v.nitrogen_taken_share;
        (eaten / v.maintenance_g_per_g_day).min(nitrogen / v.nitrogen_kept_mg_per_g_day)
    }

    /// How far what they find keeps them from leaving for hunger [0 to 1]: worms
    /// in full flesh stay where food is short, thin ones the less the thinner
    /// they are. Judgement.
    fn sated(&self, v: &Vital, found: f64) -> f64 {
        let thin = ((1.0 - self.condition) / v.thin_full_share).min(1.0);
        1.0 - thin * (1.0 - found.min(1.0))
    }

    /// Urge to leave [0 to 1] at `h`, all discomforts considered.
    #[must_use]
    pub fn urge_to_leave(&self, v: &Vital, h: &Habitat) -> f64 {
        if self.number() <= 0.0 {
            return 0.0;
        }
        let felt = Felt::of(v, h);
        let kept = self.sated(v, Self::found_over_maintenance(v, h, &felt));
        urge_to_leave(v, h, &felt, kept, self.grams() / h.litres.max(LEAST_LITRES))
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
        let place = self.place(v, h);
        let found = Self::found_over_maintenance(v, h, felt);
        let packed = self.grams() / h.litres.max(LEAST_LITRES);
        let driven = urge_of_the_bin(v, h, felt, self.sated(v, found), packed);
        let urge = driven.max(urge_new(v, h.settled_days));
        let most = felt.eating() * v.appetite_g_per_g_day / v.maintenance_g_per_g_day;
        let fed = growth::fed(v, found, most);
        let deadly = mortality::Deadly::of(v, h, felt);
        let mut rates = self.rates(v, h, felt, &place, (&deadly, fed, dt_days));
        rates.dying = mortality::per_day_by(v, h, felt, &deadly, (self.condition, packed));
        rates.leaving = leaving_per_day(v, urge, h.celsius, lid_escape);

        let (after, flow) = population::step(&self.stages, &rates, dt_days);
        let mean = std::array::from_fn(|i| each(&self.stages, &self.sizes, i));
        let sum = |n: &[f64; STAGES]| -> f64 {
            self.condition * n.iter().zip(&mean).map(|(n, m)| n * m).sum::<f64>()
        };
        let (died_g, left_g) = (sum(&flow.died), sum(&flow.left));
        let hatched_g = self.condition * flow.hatched * v.hatch_g;
        self.sizes = moved(v, &mean, &flow, &after);
        self.stages = after;
        let fattened = self.fatten(v, h, felt, &place, (found, fed, dt_days));
        let last = self.die_out();
        Change {
            grown_g: hatched_g + fattened,
            died_g: died_g + last.grams(),
            left_g,
            died: flow.died.iter().sum::<f64>() + last.number(),
            left: flow.left.iter().sum(),
            hatched: flow.hatched,
            laid: flow.laid,
            urge_to_leave: urge,
            driven,
            dying_per_day: rates.dying,
        }
    }

    /// Growth and hunger through `days` on `found` times maintenance, `fed` the
    /// factor of food on growth; gives the tissue gained [g].
    fn fatten(
        &mut self,
        v: &Vital,
        h: &Habitat,
        felt: &Felt,
        place: &Place,
        (found, fed, days): (f64, f64, f64),
    ) -> f64 {
        let before = self.grams();
        let eats = felt.feeding * found.min(1.0);
        let rate = v.growth_rate_per_day * growth::briskness(v, h.food_quality);
        let rate = rate * warmth::growth(v, h.celsius) * felt.growth();
        let grown = rate * fed;
        // The young are held up somewhat more than their coming of age is; how
        // far company holds back the grown is in what they are due.
        let held = place.maturing.powf(v.growth_crowd_power);
        let grown = growth::Toward::of(place.due, grown, days);
        let young = grown.at(rate * fed * held);
        for i in 0..STAGES {
            let each = each(&self.stages, &self.sizes, i);
            let to = if i == STAGES - 1 { &grown } else { &young };
            if each > 0.0 {
                let sized = growth::sized_toward(v, each, to, eats);
                self.sizes[i] *= sized / each;
            }
        }
        let condition = self.condition;
        self.condition = growth::condition_toward(v, condition, found, felt.feeding, &grown);
        let gained = self.grams() - before;
        // Worms thin for long become small worms.
        let smaller = growth::shrunk(v, 1.0, self.condition, felt.feeding, days);
        self.sizes = self.sizes.map(|g| g * smaller);
        self.condition = (self.condition / smaller).min(1.0);
        gained
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

    /// Rates of everything but death and leaving, mean through `days`, `fed` the
    /// factor of food, `deadly` what kills cocoons.
    fn rates(
        &self,
        v: &Vital,
        h: &Habitat,
        felt: &Felt,
        place: &Place,
        (deadly, fed, days): (&mortality::Deadly, f64, f64),
    ) -> Rates {
        let adult = self.mean_adult_grams().min(v.largest_laying * v.laying_g);
        let mut rates = population::rates_at(v, place.maturing, place.crowding, adult);
        let breed = warmth::breeding(v, h.celsius) / v.breed_at_reference;
        let grow = warmth::growth(v, h.celsius) / v.grow_at_reference;
        let maturing = grow * felt.growth() * fed;
        rates.laid_per_adult *= mates(self.adults());
        rates.growing_up *= maturing;
        rates.ripening *= maturing;
        rates.young_per_cocoon *= felt.breeding() * fed;
        rates.development = warmth::development_per_day(v, h.celsius);
        rates.cocoons_lost = mortality::of_cocoons_by(v, felt, deadly);
        // In the step in which the lag ends they lay for the rest of it.
        let laying = ((h.settled_days + days - v.lag_days) / days.max(1e-9)).clamp(0.0, 1.0);
        rates.laid_per_adult *= laying * breed * felt.breeding() * fed;
        rates
    }

    fn place(&self, v: &Vital, h: &Habitat) -> Place {
        let kg_m2 = self.grams() / 1000.0 / h.worked_m2(v);
        let crowding = kg_m2 / h.food_quality.max(LEAST_QUALITY);
        Place {
            crowding,
            maturing: population::maturing(v, crowding),
            due: growth::due_mass(v, kg_m2, h.food_quality),
        }
    }
}

/// Size of one worm of stage `i` [g]; 0 when there are none.
fn each(stages: &Stages, sizes: &[f64; STAGES], i: usize) -> f64 {
    let n = stages.worms[i];
    if n > 0.0 { sizes[i] / n } else { 0.0 }
}

/// Sizes of all worms of each stage [g] once `flow` has come about, before
/// growth: worms ripen at the mean size of those they were among.
fn moved(v: &Vital, mean: &[f64; STAGES], flow: &Flow, after: &Stages) -> [f64; STAGES] {
    let mut come = (flow.hatched, v.hatch_g);
    std::array::from_fn(|i| {
        let stayed = (after.worms[i] - come.0).max(0.0);
        let sizes = stayed * mean[i] + come.0 * come.1;
        come = (flow.risen[i], mean[i]);
        sizes
    })
}

/// Share of adults that find a mate [0 to 1]: none where there is one, all from
/// two on. They are hermaphrodites, but lay after mating.
fn mates(adults: f64) -> f64 {
    (adults - 1.0).clamp(0.0, 1.0)
}

/// Least food quality counted, so that none divides by nothing [-].
const LEAST_QUALITY: f64 = 0.05;

/// What a place and its company hold for worms.
#[derive(Debug, Clone, Copy)]
struct Place {
    /// Biomass over worked surface, food quality considered [kg/m²].
    crowding: f64,
    /// Maturing there against maturing in plenty of room [0 to 1].
    maturing: f64,
    /// Mass due to a grown worm [g].
    due: f64,
}

#[cfg(test)]
mod tests;
