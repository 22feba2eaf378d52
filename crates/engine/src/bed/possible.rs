//! One possible bed, carried through time: its dissolved base, its undissolved
//! grains, and the places a recent pour has touched.
//!
//! Base is posted once: what a dose brings is either dissolved or still in
//! grains, and the two always add up to what was given.

mod advance;

use crate::bed::curve::Curve;
pub use crate::bed::grains::{Chalk, Grains};
use crate::chemistry::lime::Law;
use crate::quantity::Celsius;
use serde::{Deserialize, Serialize};

/// Base (or, negative, acid) given up over time whatever the pH: the slow part
/// of a soluble dose soaking in, or sulphur turned to acid by microbes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Slow {
    /// Whole amount [mol_c].
    pub whole: f64,
    /// Days before it starts [d].
    pub lag_days: f64,
    /// Time constant of the release after that [d].
    pub tau_days: f64,
    /// Days since it was given [d].
    pub age_days: f64,
}

impl Slow {
    /// Share released by now [0 to 1].
    #[must_use]
    pub fn released_share(&self) -> f64 {
        1.0 - (-(self.age_days - self.lag_days).max(0.0) / self.tau_days).exp()
    }
}

/// A pour or dusting that has touched only part of the bed so far.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Touch {
    /// Fast base given to the touched part [mol_c].
    pub base: f64,
    /// Share of the bed touched [0 to 1].
    pub share: f64,
    /// Days since [d].
    pub age_days: f64,
    /// Time over which the touched part evens out [d].
    pub tau_days: f64,
}

/// One possible bed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PossibleBed {
    /// Titration curve of what lasts of the bed as filled, its water left out.
    pub curve: Curve,
    /// What a kilogram of its water holds, open to the carbon dioxide of the bed
    /// [mol_c/kg].
    pub water: Curve,
    /// How strong its buffer is against that curve [-].
    pub stretch: f64,
    /// Charge of the acid sites of humus [mol_c/kg], and the humus that came
    /// since it was filled [kg]: it comes as an acid, and what base it takes up
    /// to the bed's pH the rest of the bed loses.
    pub humus: Curve,
    /// See [`PossibleBed::humus`].
    pub humus_kg: f64,
    /// Titration curve of the food in the bed, counted from the pH it came at, and
    /// how much of it has not rotted [0 to 1]: with its acids goes the base they
    /// took up.
    pub food: Curve,
    /// See [`PossibleBed::food`].
    pub food_left: f64,
    /// Base dissolved since it was filled, less acid made [mol_c].
    pub base: f64,
    /// Undissolved particles.
    pub grains: Vec<Grains>,
    /// Slowly released base or acid.
    pub slow: Vec<Slow>,
    /// Recent pours.
    pub touches: Vec<Touch>,
    /// Dry mass [kg].
    pub dry_kg: f64,
    /// Water [kg].
    pub water_kg: f64,
    /// Temperature [°C].
    pub temperature: Celsius,
    /// Of the dissolved base, what came as caustic lime and has not yet turned
    /// to chalk [mol_c].
    pub lime: f64,
    /// Of the dissolved base, what stands against calcium set free by what rotted
    /// [mol_c]: it falls as chalk where the bed is above calcite saturation.
    pub calcium: f64,
    /// Most base that carbon dioxide can turn to chalk [mol_c/day]; what the
    /// living bin breathes out sets it, and nothing where nobody says.
    pub carbonic_per_day: f64,
    /// How fast lime dissolves in this possible bed.
    pub law: Law,
    /// What caustic lime turns to.
    pub chalk: Chalk,
}

impl PossibleBed {
    /// pH of the bed as a whole.
    #[must_use]
    pub fn ph(&self) -> f64 {
        self.ph_with(0.0)
    }

    /// pH of the bed as a whole if `base` [mol_c] more were dissolved.
    #[must_use]
    pub fn ph_with(&self, base: f64) -> f64 {
        // Somewhere in the middle: it moves nothing.
        const NEUTRAL: f64 = 7.0;
        self.ph_with_near(base, NEUTRAL)
    }

    /// The same, where the pH is known not to be far from `near`; quicker, and to
    /// the bit the same.
    pub(crate) fn ph_with_near(&self, base: f64, near: f64) -> f64 {
        Curve::ph_of_four(self.parts(), self.base + base, near)
    }

    /// The same with how steeply the pH rises there [pH/mol_c].
    pub(crate) fn ph_and_slope_near(&self, base: f64, near: f64) -> (f64, f64) {
        Curve::ph_and_slope_of_four(self.parts(), self.base + base, near)
    }

    /// The same with `times` as much carbon dioxide over its water.
    pub(crate) fn ph_under(&self, times: f64, base: f64, near: f64) -> f64 {
        let mut parts = self.parts();
        parts[3].1 *= times;
        Curve::ph_of_four(parts, self.base + base, near)
    }

    /// Base given but not yet acting: in grains or released slowly [mol_c].
    #[must_use]
    pub fn pending(&self) -> f64 {
        let grains: f64 = self.grains.iter().map(Grains::left).sum();
        let slow: f64 = self
            .slow
            .iter()
            .map(|s| s.whole * (1.0 - s.released_share()))
            .sum();
        grains + slow
    }

    /// Acid still to come of sulphur [mol_c]: what of it has come stands in
    /// the water as sulphate.
    #[must_use]
    pub fn acid_to_come(&self) -> f64 {
        let sour = self.slow.iter().filter(|s| s.whole < 0.0);
        sour.map(|s| -s.whole * (1.0 - s.released_share())).sum()
    }

    /// Base in grains, and base released slowly, not yet acting [mol_c].
    fn pending_parts(&self) -> (f64, f64) {
        let slow: f64 = self
            .slow
            .iter()
            .map(|s| s.whole * (1.0 - s.released_share()))
            .sum();
        (self.pending() - slow, slow)
    }

    /// pH the bed will come to when all base given so far has acted, or the
    /// lime stops at calcite saturation.
    #[must_use]
    pub fn ph_when_all_has_acted(&self) -> f64 {
        self.ph_to_come_with(0.0, 0.0)
    }

    /// The same with `free` more base that acts whatever the pH, and `ground`
    /// more in grains, which stop at calcite saturation [mol_c].
    #[must_use]
    pub fn ph_to_come_with(&self, free: f64, ground: f64) -> f64 {
        let (grains, slow) = self.pending_parts();
        let after_slow = self.ph_with(slow + free);
        let saturated = self.law.saturation_ph();
        let grains = grains + ground;
        if grains <= 0.0 || after_slow >= saturated {
            return after_slow;
        }
        self.ph_with(slow + free + grains).min(saturated)
    }

    /// Base to add beyond what is already in the bed to come to `ph` [mol_c]:
    /// what it takes, less what is still to act. Lime grains do not act above
    /// calcite saturation, so for a higher `ph` they are not counted.
    #[must_use]
    pub fn base_still_needed(&self, ph: f64) -> f64 {
        let (grains, slow) = self.pending_parts();
        let acting = if ph <= self.law.saturation_ph() {
            grains
        } else {
            0.0
        };
        self.base_to_reach(ph) - slow - acting
    }

    /// Leaves only `share` of the grains, each as far gone as it is: another
    /// possible bed, for when a reading says that the lime thought to be there is not.
    pub fn lose_grains(&mut self, share: f64) {
        for g in &mut self.grains {
            g.whole *= share;
        }
    }

    /// The same bed in another size: `factor` times as much of everything.
    #[must_use]
    pub fn scaled(mut self, factor: f64) -> Self {
        self.curve = self.curve.scaled(factor);
        self.food = self.food.scaled(factor);
        self.humus_kg *= factor;
        self.base *= factor;
        self.dry_kg *= factor;
        self.water_kg *= factor;
        self.lime *= factor;
        self.calcium *= factor;
        self.carbonic_per_day *= factor;
        for g in &mut self.grains {
            g.whole *= factor;
        }
        for s in &mut self.slow {
            s.whole *= factor;
        }
        for t in &mut self.touches {
            t.base *= factor;
        }
        self
    }

    /// Base that must still be dissolved to reach `ph` [mol_c]; negative when
    /// the bed is above it. Grains already in the bed are not counted.
    #[must_use]
    pub fn base_to_reach(&self, ph: f64) -> f64 {
        self.base_at(ph) - self.base
    }

    /// Moves to `ph` by setting the dissolved base.
    pub fn set_ph(&mut self, ph: f64) {
        self.base = self.base_at(ph);
    }

    /// Base that holds the bed at `ph` [mol_c].
    fn base_at(&self, ph: f64) -> f64 {
        self.parts().iter().map(|(c, x)| c.base_at(ph) * x).sum()
    }

    /// What its curve is made of, and how much of each.
    fn parts(&self) -> [(&Curve, f64); 4] {
        [
            (&self.curve, self.stretch),
            (&self.humus, self.humus_kg),
            (&self.food, self.food_left),
            (&self.water, self.water_kg),
        ]
    }

    /// Buffer near `ph` [mol_c per pH unit].
    #[must_use]
    pub fn buffer_at(&self, ph: f64) -> f64 {
        self.parts().iter().map(|(c, x)| c.buffer_at(ph) * x).sum()
    }

    /// Makes the buffer `factor` times as strong as it was filled, keeping the pH.
    pub fn restretch(&mut self, factor: f64) {
        let ph = self.ph();
        let before = self.base_at(ph);
        self.stretch *= factor;
        self.base += self.base_at(ph) - before;
    }

    /// pH an instrument would meet now: the whole bed's, pulled toward the
    /// touched part's while that evens out,
    /// `pH_bulk + (pH_touched − pH_bulk) e^(−t/τ)`.
    #[must_use]
    pub fn ph_met(&self) -> f64 {
        let bulk = self.ph();
        let pull: f64 = self
            .touches
            .iter()
            .map(|t| {
                let rest = t.base / t.share - t.base;
                (self.ph_with(rest) - bulk) * (-t.age_days / t.tau_days).exp()
            })
            .sum();
        (bulk + pull).clamp(2.0, 13.0)
    }

    /// Mixes the bed through: what a pour touched is now everywhere.
    pub fn turn(&mut self) {
        self.touches.clear();
    }

    /// Mixes another bed in. Each brings its own charge: a bed's base is
    /// counted from the pH its own curve starts at, so curves and bases add.
    pub fn join(&mut self, other: Self) {
        self.curve = self.curve.joined(self.stretch, &other.curve, other.stretch);
        self.join_food(&other.food, other.food_left);
        self.base += other.base;
        self.stretch = 1.0;
        self.humus_kg += other.humus_kg;
        self.dry_kg += other.dry_kg;
        let all = self.water_kg + other.water_kg;
        if all > 0.0 {
            let share = self.water_kg / all;
            self.water = self.water.joined(share, &other.water, 1.0 - share);
        }
        self.water_kg = all;
        self.lime += other.lime;
        self.calcium += other.calcium;
        for g in other.grains {
            self.put_grains(g);
        }
        self.slow.extend(other.slow);
    }

    /// Mixes so much of a food in, whose `curve` counts from the pH it comes at.
    pub fn join_food(&mut self, curve: &Curve, times: f64) {
        self.food = self.food.joined(self.food_left, curve, times);
        self.food_left = 1.0;
    }

    /// Mixes so much of what lasts in, whose `curve` counts from the pH it comes at.
    pub fn join_lasting(&mut self, curve: &Curve, times: f64) {
        self.curve = self.curve.joined(self.stretch, curve, times);
        self.stretch = 1.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chemistry::lime::{self, Shape};
    use crate::chemistry::sites::site_charge;
    use proptest::prelude::*;

    fn peat_bed() -> PossibleBed {
        let q = [25.0, 29.0, 29.0, 25.0, 18.0, 13.0, 16.0, 20.0].map(|c| c / 100.0 * 10.0);
        PossibleBed {
            curve: Curve::tabulate(|ph| site_charge(&q, ph) - site_charge(&q, 4.2)),
            water: Curve::tabulate(|_| 0.0),
            stretch: 1.0,
            humus: Curve::tabulate(|_| 0.0),
            humus_kg: 0.0,
            food: Curve::tabulate(|_| 0.0),
            food_left: 1.0,
            base: 0.0,
            grains: Vec::new(),
            slow: Vec::new(),
            touches: Vec::new(),
            dry_kg: 10.0,
            water_kg: 30.0,
            temperature: Celsius(20.0),
            lime: 0.0,
            calcium: 0.0,
            carbonic_per_day: f64::INFINITY,
            chalk: Chalk {
                per_day: 0.15,
                grain_um: 5.0,
            },
            law: Law::new(
                &lime::Parameters {
                    max_um_per_day: 6.0,
                    activation_kj_per_mol: 35.0,
                    pore_calcium_mol_per_l: 0.005,
                },
                &lime::Surroundings {
                    temperature: Celsius(20.0),
                    co2_atm: 0.01,
                    gamma1: 0.9,
                },
            ),
        }
    }

    fn grains(whole: f64, size_um: f64) -> Grains {
        Grains {
            whole,
            size_um,
            shape: Shape::Grain,
            contact: 1.0,
            ash: false,
            retreat_um: 0.0,
        }
    }

    #[test]
    fn a_pour_reads_high_at_first_and_fades() {
        let mut bed = peat_bed();
        bed.base += 0.25;
        bed.touches.push(Touch {
            base: 0.25,
            share: 0.1,
            age_days: 0.0,
            tau_days: 5.0,
        });
        let first = bed.ph_met();
        assert!(first > bed.ph() + 0.5, "{first}");
        bed.advance(30.0);
        assert!((bed.ph_met() - bed.ph()).abs() < 0.01);
    }

    #[test]
    fn lime_raises_ph_and_stops_below_calcite_saturation() {
        let mut bed = peat_bed();
        bed.grains.push(grains(40.0, 50.0));
        bed.advance(200.0);
        let ph = bed.ph();
        assert!((6.5..7.4).contains(&ph), "{ph}");
    }

    #[test]
    fn lime_in_the_bed_counts_only_as_far_as_it_acts() {
        let mut bed = peat_bed();
        let (below, above) = (6.0, bed.law.saturation_ph() + 0.2);
        let (need_below, need_above) = (bed.base_still_needed(below), bed.base_still_needed(above));
        bed.grains.push(grains(40.0, 50.0));
        assert!((need_below - bed.base_still_needed(below) - 40.0).abs() < 1e-9);
        assert!((need_above - bed.base_still_needed(above)).abs() < 1e-9);
        // A little soluble base more changes little, however much chalk waits.
        let waiting = bed.ph_when_all_has_acted();
        assert!((waiting - bed.law.saturation_ph()).abs() < 1e-9);
        assert!(bed.ph_to_come_with(0.01, 0.0) - waiting < 0.05);
        bed.lose_grains(0.25);
        assert!((bed.pending() - 10.0).abs() < 1e-9);
    }

    #[test]
    fn too_much_caustic_lime_turns_to_chalk_in_weeks() {
        let mut bed = peat_bed();
        bed.base += 30.0;
        bed.lime = 30.0;
        let first = bed.ph();
        assert!(first > 10.0, "{first}");
        bed.advance(60.0);
        let ph = bed.ph();
        assert!((bed.base + bed.pending() - 30.0).abs() < 1e-9);
        assert!((ph - bed.law.saturation_ph()).abs() < 0.3, "{ph}");
        // Without carbon dioxide it does not.
        let mut shut = peat_bed();
        shut.base += 30.0;
        shut.lime = 30.0;
        shut.carbonic_per_day = 0.0;
        shut.advance(60.0);
        assert!((shut.ph() - first).abs() < 1e-9);
    }

    #[test]
    fn many_doses_keep_few_sizes_and_all_their_base() {
        let mut bed = peat_bed();
        let mut given = 0.0;
        for i in 0..500 {
            let f = f64::from(i);
            let size = 30.0 + 7.0 * (f * 0.37).fract() * f;
            bed.put_grains(grains(0.05, size));
            given += 0.05;
            bed.advance(0.5);
        }
        assert!(bed.grains.len() <= crate::bed::grains::MOST_GRAINS);
        assert!((bed.base + bed.pending() - given).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn base_is_never_made_or_lost(
            whole in 0.01f64..20.0, size in 20.0f64..2000.0, days in 0.1f64..120.0
        ) {
            let mut bed = peat_bed();
            bed.grains.push(grains(whole, size));
            bed.slow.push(Slow { whole: 0.5, lag_days: 2.0, tau_days: 9.0, age_days: 0.0 });
            let whole = whole + 0.5;
            bed.advance(days);
            let total = bed.base + bed.pending();
            prop_assert!((total - whole).abs() < 1e-9 * whole.max(1.0), "{total} of {whole}");
        }

        #[test]
        fn more_lime_never_lowers_ph(
            whole in 0.01f64..10.0, size in 20.0f64..2000.0, days in 0.1f64..60.0
        ) {
            let mut less = peat_bed();
            less.grains.push(grains(whole, size));
            let mut more = peat_bed();
            more.grains.push(grains(2.0 * whole, size));
            less.advance(days);
            more.advance(days);
            prop_assert!(more.ph() >= less.ph() - 1e-9);
        }
    }
}
