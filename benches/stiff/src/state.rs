//! The bin as a state vector: where each part lies, and how it becomes the bin that
//! the engine's laws are asked of, and comes back from it after a feeding.

use crate::one::Bin;
use engine::bed::possible::{Grains, PossibleBed};
use engine::chemistry::lime::Shape;
use engine::living::life::Life;
use engine::living::population::Stages;
use engine::living::rot::{Kind, Matter};
use engine::living::worms::Worms;
use engine::measure::density;

/// Parts of the state that are one number each, in their order after the pools.
#[derive(Debug, Clone, Copy)]
#[repr(usize)]
pub enum Part {
    Ammonium,
    Nitrate,
    AcidPocket,
    AcidBed,
    Water,
    CellWater,
    Salt,
    SaltOfAcids,
    /// Base against all but the acids of food.
    Base,
    Celsius,
    Excess,
    Worked,
    Rise,
    Settling,
    Wetted,
    FreshLitres,
    Alkali,
    FoodLeft,
    Calcium,
    Chalk,
    ChalkUm,
    Condition,
}

/// How many those are.
const PARTS: usize = Part::Condition as usize + 1;
/// With less calcium in the water than this less falls as chalk [mol_c]: it does not
/// come to nought with a bend that an integrator stops at.
pub const LEAST_CALCIUM: f64 = 1e-5;

/// Where everything lies.
#[derive(Debug, Clone)]
pub struct Layout {
    /// Kinds of matter that are there, come as food or are dead worms.
    pub kinds: Vec<usize>,
    grains: usize,
}

impl Layout {
    /// Of a bin as filled, with what is fed to it.
    pub fn of(bin: &Bin) -> Self {
        let fed = bin.fed.load.kind;
        let there = |kind: &Kind| {
            let pools = &bin.life.organic.pools[*kind as usize];
            *kind == Kind::Meal || fed == Some(*kind) || pools.iter().any(|p| p.organic > 0.0)
        };
        Self {
            kinds: Kind::ALL
                .into_iter()
                .filter(there)
                .map(|k| k as usize)
                .collect(),
            grains: bin.bed.grains.len(),
        }
    }

    /// Where pool `j` of the kind at place `i` begins.
    pub fn pool(&self, i: usize, j: usize) -> usize {
        9 * i + 3 * j
    }

    pub fn microbes(&self) -> usize {
        9 * self.kinds.len()
    }

    pub fn humus(&self) -> usize {
        self.microbes() + 3
    }

    pub fn at(&self, part: Part) -> usize {
        self.microbes() + 6 + part as usize
    }

    /// How far the surface of each size of grains has gone back.
    pub fn retreat(&self) -> usize {
        self.microbes() + 6 + PARTS
    }

    pub fn cocoons(&self) -> usize {
        self.retreat() + self.grains
    }

    pub fn worms(&self) -> usize {
        self.cocoons() + 12
    }

    pub fn sizes(&self) -> usize {
        self.worms() + 6
    }

    /// How many numbers there are.
    pub fn len(&self) -> usize {
        self.sizes() + 6
    }

    /// What counts as little of each part: times the relative tolerance it is the
    /// absolute one.
    pub fn little(&self) -> Vec<f64> {
        use Part::{Calcium, Celsius, ChalkUm, Excess, FreshLitres, Rise, Settling, Wetted};
        let mut little = vec![1e-2; self.len()];
        for part in [
            Celsius,
            Excess,
            Rise,
            Settling,
            Wetted,
            FreshLitres,
            ChalkUm,
        ] {
            little[self.at(part)] = 1.0;
        }
        little[self.at(Calcium)] = LEAST_CALCIUM;
        little[self.retreat()..self.cocoons()].fill(1.0);
        little[self.cocoons()..].fill(10.0);
        little
    }
}

pub fn matter(y: &[f64], at: usize) -> Matter {
    Matter {
        organic: y[at],
        carbon: y[at + 1],
        nitrogen: y[at + 2],
    }
}

pub fn put(y: &mut [f64], at: usize, m: &Matter) {
    y[at] = m.organic;
    y[at + 1] = m.carbon;
    y[at + 2] = m.nitrogen;
}

/// Base the acids in the bed take while they are as far dissociated as it lets them,
/// and its pH then; the bed's base is that without them.
fn posted(bed: &mut PossibleBed, acid: f64, pka: f64) -> (f64, f64) {
    const ROUNDS: u32 = 50;
    const CLOSE_PH: f64 = 1e-13;
    let takes = |ph: f64| acid / (1.0 + 10f64.powf(pka - ph));
    let mut ph = bed.ph_with(-acid);
    for _ in 0..ROUNDS {
        let before = ph;
        ph = bed.ph_with(-takes(ph));
        if (ph - before).abs() < CLOSE_PH {
            break;
        }
    }
    (takes(ph), ph)
}

impl Layout {
    /// Makes of `life` and `bed` what `y` says of them, but for its heat and its
    /// grains; gives the pH of the bed.
    pub fn fill(&self, y: &[f64], bin: &Bin, (life, bed): (&mut Life, &mut PossibleBed)) -> f64 {
        let of = |part| y[self.at(part)];
        for (i, kind) in self.kinds.iter().enumerate() {
            for (j, pool) in life.organic.pools[*kind].iter_mut().enumerate() {
                *pool = matter(y, self.pool(i, j));
            }
        }
        life.organic.microbes = matter(y, self.microbes());
        life.organic.humus = matter(y, self.humus());
        life.ammonium = of(Part::Ammonium);
        life.nitrate = of(Part::Nitrate);
        life.acid_pocket = of(Part::AcidPocket);
        life.acid_bed = of(Part::AcidBed);
        life.water_kg = of(Part::Water);
        life.cell_water_kg = of(Part::CellWater);
        life.salt = of(Part::Salt);
        life.salt_of_acids = of(Part::SaltOfAcids);
        life.alkali = of(Part::Alkali);
        life.worked = of(Part::Worked);
        life.settling = of(Part::Settling);
        life.raw.soaked = of(Part::Wetted);
        life.fresh_litres = of(Part::FreshLitres);
        life.worms = self.herd(y, life);
        let dry = life.dry_kg(&bin.priors);
        life.load_kpa = density::load_kpa(dry + life.water_kg, bin.home.floor_m2);
        bed.base = of(Part::Base);
        bed.humus_kg = life.organic.humus.organic;
        bed.food_left = of(Part::FoodLeft);
        bed.water_kg = life.water_kg;
        bed.calcium = of(Part::Calcium);
        let (posted, ph) = posted(bed, life.acid_bed, bin.priors.constants.acid_pka);
        life.acid_posted = posted;
        bed.base -= posted;
        ph
    }

    /// The worms, as many and as heavy: flesh is not told from size.
    fn herd(&self, y: &[f64], life: &Life) -> Worms {
        let mut stages = Stages::default();
        stages
            .cocoons
            .copy_from_slice(&y[self.cocoons()..self.worms()]);
        stages.worms.copy_from_slice(&y[self.worms()..self.sizes()]);
        let condition = y[self.at(Part::Condition)];
        let grams = std::array::from_fn(|i| condition * y[self.sizes() + i]);
        Worms::of_stages(life.worms.species, stages, grams)
    }

    /// The same with its heat and its grains.
    pub fn fill_whole(&self, y: &[f64], bin: &Bin, (life, bed): (&mut Life, &mut PossibleBed)) {
        self.fill(y, bin, (life, bed));
        let store = life.store(&bin.priors, life.dry_kg(&bin.priors));
        life.heat = store.heat(y[self.at(Part::Celsius)]);
        life.carried.core_excess = y[self.at(Part::Excess)];
        life.carried.pocket_rise = y[self.at(Part::Rise)];
        bed.grains = bin.bed.grains.clone();
        for (i, grains) in bed.grains.iter_mut().enumerate() {
            grains.retreat_um = y[self.retreat() + i];
        }
        bed.grains.push(Grains {
            whole: y[self.at(Part::Chalk)],
            size_um: y[self.at(Part::ChalkUm)],
            shape: Shape::Grain,
            contact: 1.0,
            ash: false,
            retreat_um: 0.0,
        });
    }

    /// Writes to `y` what a feeding, a pour or worms that come change. Worms count as
    /// they come: none were there before.
    pub fn read(&self, y: &mut [f64], bin: &Bin, (life, bed): (&Life, &PossibleBed), came: bool) {
        for (i, kind) in self.kinds.iter().enumerate() {
            for (j, pool) in life.organic.pools[*kind].iter().enumerate() {
                put(y, self.pool(i, j), pool);
            }
        }
        put(y, self.microbes(), &life.organic.microbes);
        put(y, self.humus(), &life.organic.humus);
        let store = life.store(&bin.priors, life.dry_kg(&bin.priors));
        for (part, value) in [
            (Part::Ammonium, life.ammonium),
            (Part::Nitrate, life.nitrate),
            (Part::AcidPocket, life.acid_pocket),
            (Part::AcidBed, life.acid_bed),
            (Part::Water, life.water_kg),
            (Part::CellWater, life.cell_water_kg),
            (Part::Salt, life.salt),
            (Part::SaltOfAcids, life.salt_of_acids),
            (Part::Alkali, life.alkali),
            (Part::Worked, life.worked),
            (Part::Settling, life.settling),
            (Part::Wetted, life.raw.soaked),
            (Part::FreshLitres, life.fresh_litres),
            (Part::Base, bed.base + life.acid_posted),
            (Part::FoodLeft, bed.food_left),
            (Part::Calcium, bed.calcium),
            (Part::Celsius, store.celsius(life.heat)),
        ] {
            y[self.at(part)] = value;
        }
        if came {
            y[self.worms()..self.sizes()].copy_from_slice(&life.worms.stages().worms);
            y[self.sizes()..].copy_from_slice(life.worms.sizes());
            y[self.at(Part::Condition)] = life.worms.condition();
        }
    }
}
