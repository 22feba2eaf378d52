//! Souring: acid is made while food sours short of air and burnt again; protein
//! that rots frees ammonia, which is turned to nitric acid or flies off; ash of
//! what rots, lime and tap water are bases. pH is read off a titration curve of
//! two steps, by base over what buffers.

use super::chance::{Book, Chance};
use super::matter::Freed;
use crate::table::TableError;

/// Mass of a mole of nitrogen [kg].
const NITROGEN: f64 = 0.014_007;
/// pKa of acetic acid, which stands for all acids of souring.
const SOUR_PKA: f64 = 4.76;
/// The titration curve: pH from which it starts, and height, middle and width of
/// each step along base over buffer.
const LOWEST: f64 = 3.0;
const STEPS: [(f64, f64, f64); 2] = [(3.6, -2.5, 0.9), (2.2, 0.3, 0.8)];

/// pH at so much base over buffer [pH units from the middle].
pub(super) fn titrated(base: f64) -> f64 {
    let step = |(height, middle, width): &(f64, f64, f64)| {
        height / (1.0 + (-(base - middle) / width).exp())
    };
    LOWEST + STEPS.iter().map(step).sum::<f64>()
}

/// Base over buffer at a pH: the inverse of [`titrated`].
pub(super) fn base_at(ph: f64) -> f64 {
    let (mut low, mut high) = (-12.0, 12.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if titrated(middle) < ph {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Lime that has been given.
#[derive(Debug, Clone)]
struct Lime {
    mol: f64,
    sour_days: f64,
    full_days: f64,
}

impl Lime {
    /// Share that has acted: by the root of the days in which it could.
    fn acted(&self, sour_days: f64) -> f64 {
        (sour_days / self.full_days).sqrt().min(1.0)
    }
}

/// What a day of souring depends on.
#[derive(Debug, Clone, Copy)]
pub(super) struct Day {
    /// Dry matter of the bed [kg].
    pub(super) dry: f64,
    /// What shifts the bed by a unit of pH [mol].
    pub(super) buffer: f64,
    /// Water of the bed [kg].
    pub(super) water: f64,
    /// Warm days lived in the day [-].
    pub(super) warm: f64,
    /// Air that reaches the bed, of what it could [0 to 1].
    pub(super) air: f64,
}

/// Acids and bases of a bin.
#[derive(Debug, Clone)]
pub(super) struct Sourness {
    base: f64,
    acid: f64,
    ammonia: f64,
    limes: Vec<Lime>,
    acid_made: f64,
    sour_least: f64,
    burnt: f64,
    burns_half: f64,
    ash_food: f64,
    ash_bed: f64,
    rots_free: f64,
    nitrifies: f64,
    flies: f64,
    lime_days: f64,
    filler_days: f64,
    tap: f64,
    /// pH.
    pub(super) ph: f64,
    /// Acid that is not dissociated [mmol/kg water].
    pub(super) whole_acid: f64,
    /// Ammonia and ammonium [mol/kg dry].
    pub(super) ammonia_load: f64,
}

impl Sourness {
    /// Of an empty bin.
    pub(super) fn drawn(book: Book<'_>, c: &mut Chance) -> Result<Self, TableError> {
        let mut n = |property: &str| book.draw("sour", property, c);
        Ok(Self {
            base: 0.0,
            acid: 0.0,
            ammonia: 0.0,
            limes: Vec::new(),
            acid_made: n("acid_mol_kg")?,
            sour_least: n("least_share")?,
            burnt: n("burnt_mol_kg_day")?,
            burns_half: n("burns_half_mol_kg")?,
            ash_food: n("ash_food_mol_kg")?,
            ash_bed: n("ash_bed_mol_kg")?,
            rots_free: n("nitrogen_free_share")?,
            nitrifies: n("nitrifies_mol_kg_day")?,
            flies: n("flies_per_day")?,
            lime_days: n("lime_full_days")?,
            filler_days: n("filler_full_days")?,
            tap: n("tap_mol_kg")?,
            ph: 7.0,
            whole_acid: 0.0,
            ammonia_load: 0.0,
        })
    }

    /// Matter of some pH comes, with so much buffer [mol per pH unit].
    pub(super) fn put(&mut self, ph: f64, buffer: f64) {
        self.base += buffer * base_at(ph);
    }

    /// Lime comes, mixed in, of so much base [mol].
    pub(super) fn lime(&mut self, mol: f64) {
        let full_days = self.lime_days;
        self.take(mol, full_days);
    }

    /// Chalk comes, as filler of paper, of so much base [mol].
    pub(super) fn chalk(&mut self, mol: f64) {
        let full_days = self.filler_days;
        self.take(mol, full_days);
    }

    fn take(&mut self, mol: f64, full_days: f64) {
        self.limes.push(Lime {
            mol,
            sour_days: 0.0,
            full_days,
        });
    }

    /// Tap water comes [kg].
    pub(super) fn tap(&mut self, kg: f64) {
        self.base += kg * self.tap;
    }

    /// A day.
    pub(super) fn live_a_day(&mut self, day: &Day, rotted: &Freed, eaten: &Freed) {
        self.sours(day, rotted);
        let food = rotted.food_gone + eaten.food_gone;
        let bed = rotted.gone + eaten.gone - food;
        self.base += food * self.ash_food + bed * self.ash_bed;
        let freed = (rotted.nitrogen + eaten.nitrogen) / NITROGEN * self.rots_free;
        self.ammonia += freed;
        self.base += freed;
        self.nitrify(day);
        self.dissolve();
        self.read(day);
    }

    fn sours(&mut self, day: &Day, rotted: &Freed) {
        let short = 1.0 - day.air;
        let share = self.sour_least + (1.0 - self.sour_least) * short;
        self.acid += self.acid_made * rotted.food_gone * share;
        let half = self.burns_half * day.dry;
        let burns = self.burnt * day.dry * day.warm * day.air.max(0.1);
        let burnt = burns * self.acid / (self.acid + half).max(1e-12);
        self.acid -= burnt.min(0.9 * self.acid);
    }

    /// Two bases are used up by each ammonium that is nitrified, one by each
    /// ammonia that flies off.
    fn nitrify(&mut self, day: &Day) {
        let likes = ((self.ph - 4.3) / 2.0).clamp(0.0, 1.0);
        let most = self.nitrifies * day.dry * day.warm * day.air * likes;
        let turned = most.min(0.5 * self.ammonia);
        self.ammonia -= turned;
        self.base -= 2.0 * turned;
        let flies = (self.flies * (self.ph - 7.5).max(0.0)).min(0.3) * self.ammonia;
        self.ammonia -= flies;
        self.base -= flies;
    }

    fn dissolve(&mut self) {
        let sours = ((8.0 - self.ph) / 1.8).clamp(0.0, 2.0);
        for lime in &mut self.limes {
            let later = lime.sour_days + sours;
            self.base += lime.mol * (lime.acted(later) - lime.acted(lime.sour_days));
            lime.sour_days = later;
        }
    }

    /// Reads pH off the curve.
    pub(super) fn read(&mut self, day: &Day) {
        let over = (self.base - self.acid) / day.buffer.max(1e-9);
        self.ph = titrated(over.clamp(-12.0, 12.0));
        let whole = 1.0 / (1.0 + 10f64.powf(self.ph - SOUR_PKA));
        self.whole_acid = 1000.0 * self.acid / day.water.max(0.1) * whole;
        self.ammonia_load = self.ammonia / day.dry.max(1e-9);
    }
}
