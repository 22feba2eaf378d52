//! Matter by batches: each waits, then goes by a Weibull law of warm days, and is
//! eaten once it is soft. What has passed a gut is castings, batch by batch too.

use super::chance::{Book, Chance};
use crate::table::TableError;

/// Foods, by material.
pub(super) const FOODS: [&str; 10] = [
    "kitchen_scraps_veg",
    "coffee_grounds",
    "banana_peel",
    "apple",
    "carrot",
    "potato_peel",
    "lettuce_leaf",
    "bread_white",
    "watermelon_flesh",
    "pumpkin",
];
/// Beddings, by material.
pub(super) const BEDDINGS: [&str; 7] = [
    "coir_pith",
    "cardboard_corrugated",
    "newsprint_shredded",
    "peat_sphagnum_limed",
    "leaf_mould",
    "yard_compost_finished",
    "horse_manure_aged",
];
/// Name of the castings in the table.
const CASTINGS: &str = "castings";
/// Place of the castings among the kinds.
const CAST: usize = FOODS.len() + BEDDINGS.len();
/// Days for which castings are counted to one batch.
const CAST_DAYS: f64 = 7.0;
/// Batches lighter than this are swept into nothing but the account [kg].
const CRUMB: f64 = 1e-7;

/// What one kind of matter is like.
#[derive(Debug, Clone)]
pub(super) struct Kind {
    /// A litre as it is put in [kg].
    pub(super) litre_kg: f64,
    /// Dry share of wet mass [-].
    pub(super) dry: f64,
    /// Nitrogen, share of dry mass [-].
    pub(super) nitrogen: f64,
    /// pH as it is put in.
    pub(super) ph: f64,
    /// Salt that it holds, as conductivity of a 1:5 extract [mS/cm].
    pub(super) salt: f64,
    /// Water that it holds against draining [kg/kg dry].
    pub(super) holds: f64,
    /// Acid that shifts it by a unit of pH [mol/kg dry].
    pub(super) buffer: f64,
    /// Moisture at which a squeezed handful gives its first drop [% of wet mass].
    pub(super) drops: f64,
    lag: f64,
    scale: f64,
    shape: f64,
    limit: f64,
    softens: f64,
    liked: f64,
}

impl Kind {
    fn drawn(book: Book<'_>, name: &str, c: &mut Chance) -> Result<Self, TableError> {
        let mut n = |property: &str| book.draw(name, property, c);
        Ok(Self {
            litre_kg: n("litre_kg")?,
            dry: 1.0 - n("water_percent")?.min(97.0) / 100.0,
            nitrogen: n("nitrogen_percent")? / 100.0,
            ph: n("ph")?,
            salt: n("salt")?,
            holds: n("holds")?,
            buffer: n("buffer")?,
            drops: n("drops_percent")?,
            lag: n("lag_days")?,
            scale: n("scale_days")?,
            shape: n("shape")?,
            limit: n("limit")?.min(0.95),
            softens: n("softens_days")?,
            liked: n("liked")?,
        })
    }

    /// Share of a batch that rotting alone leaves at an age in warm days [-].
    pub(super) fn left(&self, age: f64) -> f64 {
        let since = (age - self.lag).max(0.0) / self.scale;
        1.0 - self.limit * (1.0 - (-since.powf(self.shape)).exp())
    }

    fn soft(&self, age: f64) -> f64 {
        1.0 - (-(age / self.softens).powi(2)).exp()
    }
}

/// What was put in at once.
#[derive(Debug, Clone)]
struct Batch {
    kind: usize,
    put: f64,
    dry: f64,
    age: f64,
    cell: f64,
    day: u32,
}

/// What a day of rotting or eating set free.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Freed {
    /// Dry matter that left the bed, as gas or into worms [kg].
    pub(super) gone: f64,
    /// Of it, food [kg].
    pub(super) food_gone: f64,
    /// Dry matter that was eaten [kg].
    pub(super) eaten: f64,
    /// Water let go by cells [kg].
    pub(super) water: f64,
    /// Nitrogen in what went [kg].
    pub(super) nitrogen: f64,
    /// Salt set free [kg dry x mS/cm].
    pub(super) salt: f64,
}

/// All matter of a bin.
#[derive(Debug, Clone)]
pub(super) struct Heap {
    /// What the kinds are like: foods, beddings, castings.
    pub(super) kinds: Vec<Kind>,
    batches: Vec<Batch>,
    /// Share of what is eaten that the worms keep or breathe out [-].
    kept: f64,
    /// Salt of bedding that is free from the first day [-].
    free_at_first: f64,
    /// All dry matter ever put in [kg].
    pub(super) put_in: f64,
    /// All dry matter that ever left [kg].
    pub(super) gone: f64,
}

impl Heap {
    /// Nothing yet, with kinds drawn for one bin.
    pub(super) fn drawn(book: Book<'_>, c: &mut Chance) -> Result<Self, TableError> {
        let names = FOODS.iter().chain(&BEDDINGS).chain([&CASTINGS]);
        Ok(Self {
            kinds: names
                .map(|name| Kind::drawn(book, name, c))
                .collect::<Result<_, _>>()?,
            batches: Vec::new(),
            kept: book.draw("worms", "kept_share", c)?,
            free_at_first: book.plain("salt", "free_at_first")?,
            put_in: 0.0,
            gone: 0.0,
        })
    }

    /// Puts litres of a kind in; gives its dry mass, the free water that came
    /// with it [kg] and the salt that is free at once [kg dry x mS/cm].
    pub(super) fn put(&mut self, kind: usize, litres: f64, day: u32) -> (f64, f64, f64) {
        let k = &self.kinds[kind];
        let wet = litres * k.litre_kg;
        let (dry, water) = (wet * k.dry, wet * (1.0 - k.dry));
        let food = kind < FOODS.len();
        self.put_in += dry;
        self.batches.push(Batch {
            kind,
            put: dry,
            dry,
            age: 0.0,
            cell: if food { water } else { 0.0 },
            day,
        });
        if food {
            (dry, 0.0, 0.0)
        } else {
            (dry, water, dry * k.salt * self.free_at_first)
        }
    }

    /// Salt still bound in a kilogram of a kind [mS/cm].
    fn bound(&self, kind: usize) -> f64 {
        let share = if kind < FOODS.len() {
            1.0
        } else {
            1.0 - self.free_at_first
        };
        self.kinds[kind].salt * share
    }

    /// Rots for so many warm days.
    pub(super) fn rot(&mut self, warm_days: f64) -> Freed {
        let mut freed = Freed::default();
        for i in 0..self.batches.len() {
            let bound = self.bound(self.batches[i].kind);
            let b = &mut self.batches[i];
            let k = &self.kinds[b.kind];
            let later = b.age + warm_days;
            let gone = b.dry * (1.0 - k.left(later) / k.left(b.age));
            let hard = (1.0 - k.soft(b.age)).max(1e-12);
            let water = b.cell * ((k.soft(later) - k.soft(b.age)) / hard).clamp(0.0, 1.0);
            b.age = later;
            b.dry -= gone;
            b.cell -= water;
            freed.gone += gone;
            freed.food_gone += if b.kind < FOODS.len() { gone } else { 0.0 };
            freed.water += water;
            freed.nitrogen += gone * k.nitrogen;
            freed.salt += gone * bound;
        }
        self.gone += freed.gone;
        freed
    }

    /// What worms would take, by batch [kg dry].
    fn fare(&self) -> Vec<f64> {
        let of = |b: &Batch| {
            let k = &self.kinds[b.kind];
            b.dry * k.soft(b.age) * k.liked
        };
        self.batches.iter().map(of).collect()
    }

    /// All that worms would take [kg dry].
    pub(super) fn fare_kg(&self) -> f64 {
        self.fare().iter().sum()
    }

    /// Worms eat so much, of each batch by how soft and how liked it is; what
    /// they do not keep is castings at once.
    pub(super) fn eat(&mut self, wanted_kg: f64, day: u32) -> Freed {
        let fare = self.fare();
        let all: f64 = fare.iter().sum();
        let mut freed = Freed::default();
        if all <= 0.0 {
            return freed;
        }
        let share = (wanted_kg / all).clamp(0.0, 1.0);
        for (i, fare) in fare.iter().enumerate() {
            let bound = self.bound(self.batches[i].kind);
            let b = &mut self.batches[i];
            let eaten = (fare * share).min(b.dry);
            let water = b.cell * eaten / b.dry.max(CRUMB);
            b.dry -= eaten;
            b.cell -= water;
            let gone = eaten * self.kept;
            freed.eaten += eaten;
            freed.gone += gone;
            freed.food_gone += if b.kind < FOODS.len() { gone } else { 0.0 };
            freed.water += water;
            freed.nitrogen += gone * self.kinds[b.kind].nitrogen;
            freed.salt += eaten * bound;
        }
        self.gone += freed.gone;
        self.cast(freed.eaten - freed.gone, day);
        freed
    }

    fn cast(&mut self, kg: f64, day: u32) {
        let recent = self
            .batches
            .iter_mut()
            .rev()
            .find(|b| b.kind == CAST && f64::from(day - b.day) < CAST_DAYS);
        if let Some(b) = recent {
            b.age *= b.dry / (b.dry + kg).max(CRUMB);
            b.dry += kg;
            b.put += kg;
            return;
        }
        self.batches.push(Batch {
            kind: CAST,
            put: kg,
            dry: kg,
            age: 0.0,
            cell: 0.0,
            day,
        });
    }

    /// A sum over the batches of dry mass times what `of` says of their kind.
    pub(super) fn sum(&self, of: impl Fn(&Kind) -> f64) -> f64 {
        let of = |b: &Batch| b.dry * of(&self.kinds[b.kind]);
        self.batches.iter().map(of).sum()
    }

    /// Dry matter in the bin [kg].
    pub(super) fn dry_kg(&self) -> f64 {
        self.sum(|_| 1.0)
    }

    /// Castings in the bin [kg dry].
    pub(super) fn castings_kg(&self) -> f64 {
        let cast = self.batches.iter().filter(|b| b.kind == CAST);
        cast.map(|b| b.dry).sum()
    }

    /// Water that is still in cells of food [kg].
    pub(super) fn cell_kg(&self) -> f64 {
        self.batches.iter().map(|b| b.cell).sum()
    }

    /// Room that it takes, pressed by its own weight [L].
    pub(super) fn litres(&self, pressed: f64) -> f64 {
        self.sum(|k| 1.0 / (k.litre_kg * k.dry)) / pressed
    }

    /// Salt still bound [kg dry x mS/cm].
    pub(super) fn bound_salt(&self) -> f64 {
        let of = |b: &Batch| b.dry * self.bound(b.kind);
        self.batches.iter().map(of).sum()
    }

    /// Moisture of the first drop of a handful, without the food [% of wet mass].
    pub(super) fn drops(&self) -> f64 {
        let bed = self.batches.iter().filter(|b| b.kind >= FOODS.len());
        let (mut dry, mut sum) = (0.0, 0.0);
        for b in bed {
            dry += b.dry;
            sum += b.dry * self.kinds[b.kind].drops;
        }
        sum / dry.max(CRUMB)
    }

    /// Share of the last food that an eye would still find [-].
    pub(super) fn food_left(&self) -> Option<f64> {
        let food = |b: &&Batch| b.kind < FOODS.len();
        let last = self.batches.iter().filter(food).map(|b| b.day).max()?;
        let (mut put, mut left) = (0.0, 0.0);
        for b in self.batches.iter().filter(food).filter(|b| b.day == last) {
            let k = &self.kinds[b.kind];
            // What no longer rots has no shape either, once it is soft.
            let crumbs = (1.0 - k.limit) * k.soft(b.age) * b.put;
            put += b.put - crumbs;
            left += (b.dry - crumbs).max(0.0);
        }
        (put > 0.0).then(|| left / put)
    }
}
