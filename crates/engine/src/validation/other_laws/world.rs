//! A bin of this world: its matter, water, salt, sourness, warmth and worms, a
//! day at a time. Everything it does is a few lines in one of the files beside
//! this one; here they meet.

use super::chance::{Book, Chance};
use super::food::{Batch, Bedding, Law, Matter};
use super::salt::Salt;
use super::sourness::Sourness;
use super::warmth::Warmth;
use super::water::Bucket;
use super::worms::{Flock, Met};
use crate::table::TableError;

/// Beddings of this world, by their keys in the log.
pub(super) const BEDDINGS: [&str; 7] = [
    "coir_pith",
    "cardboard_corrugated",
    "newsprint_shredded",
    "peat_sphagnum_limed",
    "leaf_mould",
    "yard_compost_finished",
    "horse_manure_aged",
];
/// Foods of this world.
pub(super) const FOODS: [&str; 4] = [
    "kitchen_scraps_veg",
    "fruit_scraps_mixed",
    "coffee_grounds",
    "veg_waste_nonlegume",
];
/// Days over which the habit of feeding is told.
const HABIT: u32 = 28;

/// A container.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Container {
    /// Inner length, width and depth [cm].
    pub(super) size_cm: (f64, f64, f64),
    /// Floor [m²].
    pub(super) floor_m2: f64,
    /// Of wood; of plastic otherwise.
    pub(super) wood: bool,
    /// Liquid drains out.
    pub(super) drains: bool,
}

/// What a material does, as drawn for one bin.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stuff {
    dry_per_litre: f64,
    moisture: f64,
    holds: f64,
    level_ph: f64,
    salt: f64,
    buffer: f64,
    drops: f64,
}

/// What a food is, as drawn for one bin.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Meal {
    cup_kg: f64,
    moisture: f64,
    level_ph: f64,
    salt: f64,
}

/// What can be seen, smelt, felt or measured of the bin.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Seen {
    /// pH.
    pub(super) ph: f64,
    /// Moisture [% of wet mass].
    pub(super) moisture: f64,
    /// At which the first drops come [% of wet mass].
    pub(super) drops: f64,
    /// Liquid that stands in it [kg].
    pub(super) standing_kg: f64,
    /// Temperature of the bin [°C].
    pub(super) celsius: f64,
    /// Temperature of the room [°C].
    pub(super) room: f64,
    /// Conductivity of a 1:5 extract [mS/cm].
    pub(super) ec: f64,
    /// Share left of the last feeding [0 to 1]; `None` when never fed.
    pub(super) food_left: Option<f64>,
    /// Food that is sour and fresh over all dry matter [g/kg].
    pub(super) sour: f64,
    /// Live worms [kg].
    pub(super) worms_kg: f64,
    /// Live worms.
    pub(super) worms: f64,
    /// Days since they came [d]; below 0 before.
    pub(super) here_days: f64,
    /// Over what feeds them [-].
    pub(super) crowding: f64,
    /// How far into its limits the worst stress lies [-].
    pub(super) worst: f64,
    /// Worms that died of late.
    pub(super) died: f64,
    /// Volume of what is in it [L].
    pub(super) litres: f64,
    /// Castings made here, dry [kg].
    pub(super) castings_kg: f64,
}

/// One bin.
#[derive(Debug, Clone)]
pub(super) struct World {
    chance: Chance,
    stuff: Vec<Stuff>,
    rates: Vec<f64>,
    fine: Stuff,
    meals: Vec<Meal>,
    held_share: f64,
    sour_ph: f64,
    law: Law,
    matter: Matter,
    warmth: Warmth,
    bucket: Bucket,
    salt: Salt,
    sourness: Sourness,
    flock: Flock,
    first_gram: f64,
    order_off_ln: f64,
    /// Whole days since it was filled.
    pub(super) day: u32,
}

impl World {
    /// Draws the laws of a bin and fills it with so many litres of each
    /// bedding, loose, and of water.
    pub(super) fn filled(
        book: Book<'_>,
        mut c: Chance,
        bin: &Container,
        bed: &[(usize, f64)],
        water_kg: f64,
    ) -> Result<Self, TableError> {
        let stuff = BEDDINGS.map(|key| bedding(book, &mut c, key));
        let meals = FOODS.map(|key| meal(book, &mut c, key));
        let rates = BEDDINGS.map(|key| book.times((key, "lost_per_day"), &mut c));
        let mut world = Self {
            stuff: stuff.into_iter().collect::<Result<_, _>>()?,
            rates: rates.into_iter().collect::<Result<_, _>>()?,
            fine: fine(book, &mut c)?,
            meals: meals.into_iter().collect::<Result<_, _>>()?,
            held_share: book.around(("water", "held_share"), &mut c)?,
            sour_ph: book.plain("nose", "sour_ph")?,
            law: Law::drawn(book, &mut c)?,
            matter: Matter::default(),
            warmth: Warmth::drawn(book, &mut c, bin.floor_m2)?,
            bucket: Bucket::drawn(book, &mut c, bin)?,
            salt: Salt::drawn(book, &mut c)?,
            sourness: Sourness::drawn(book, &mut c)?,
            flock: Flock::drawn(book, &mut c, bin.floor_m2)?,
            first_gram: book.times(("worms", "first_gram"), &mut c)?,
            order_off_ln: book.plain("worms", "order_off_ln")?,
            day: 0,
            chance: c,
        };
        for (material, litres) in bed {
            world.bed(*material, *litres);
        }
        world.water(water_kg);
        world.sourness.begin(world.level());
        Ok(world)
    }

    /// Bedding comes in, loose [L]; its salt is free.
    pub(super) fn bed(&mut self, material: usize, litres: f64) {
        let s = self.stuff[material];
        let dry_kg = litres * s.dry_per_litre / 1000.0;
        self.salt.free(s.salt * dry_kg);
        self.bucket.kg += dry_kg * s.moisture / (100.0 - s.moisture);
        let there = self.matter.bedding.iter_mut();
        match there.into_iter().find(|b| b.material == material) {
            Some(b) => b.dry_kg += dry_kg,
            None => self.matter.bedding.push(Bedding { material, dry_kg }),
        }
    }

    /// Water comes in [kg].
    pub(super) fn water(&mut self, kg: f64) {
        self.bucket.kg += kg;
    }

    /// Liquid that stands is poured off, so much at most; gives how much [kg].
    pub(super) fn pour_off(&mut self, most_kg: f64) -> f64 {
        let off = (self.bucket.kg - self.holds_kg()).clamp(0.0, most_kg);
        self.salt.drain(off / self.bucket.kg.max(1e-9));
        self.bucket.kg -= off;
        off
    }

    /// Food comes in, by cups.
    pub(super) fn feed(&mut self, food: usize, cups: f64) {
        let meal = self.meals[food];
        let wet = cups * meal.cup_kg;
        let dry_kg = wet * (1.0 - meal.moisture / 100.0);
        self.bucket.kg += wet - dry_kg;
        self.salt.load(meal.salt * dry_kg);
        self.matter.food.push(Batch {
            food,
            day: self.day,
            fresh_kg: dry_kg,
            dry_kg,
        });
    }

    /// Ground limestone is mixed in [kg].
    pub(super) fn lime(&mut self, kg: f64) {
        self.sourness.lime(kg);
    }

    /// Worms come in, as written [kg].
    pub(super) fn stock(&mut self, kg: f64) {
        let off = (self.order_off_ln * self.chance.bell()).exp();
        self.flock.come(kg * off, self.first_gram);
    }

    /// What the keeper would call the usual warmth of the room [°C].
    pub(super) fn usual_celsius(&self) -> f64 {
        self.warmth.usual()
    }

    /// A sum over dry matter: of each bedding by its own, of the rest as fine.
    fn over_dry(&self, of: fn(&Stuff) -> f64) -> f64 {
        let m = &self.matter;
        let bedding = m.bedding.iter();
        let sum: f64 = bedding
            .map(|b| b.dry_kg * of(&self.stuff[b.material]))
            .sum();
        sum + (m.food_kg() + m.fine_kg()) * of(&self.fine)
    }

    fn holds_kg(&self) -> f64 {
        self.held_share * self.over_dry(|s| s.holds)
    }

    /// The level pH goes to: the mean of what lies there, food by its own.
    fn level(&self) -> f64 {
        let food = self.matter.food.iter();
        let sourer: f64 = food
            .map(|b| b.dry_kg * (self.meals[b.food].level_ph - self.fine.level_ph))
            .sum();
        (self.over_dry(|s| s.level_ph) + sourer) / self.matter.dry_kg().max(1e-9)
    }

    /// Dry food a day over the days of the habit, or since the first feeding
    /// [kg/d].
    fn food_kg_day(&self) -> f64 {
        let since = self.day.saturating_sub(HABIT);
        let food = &self.matter.food;
        let fed: f64 = food
            .iter()
            .filter(|b| b.day >= since)
            .map(|b| b.fresh_kg)
            .sum();
        fed / f64::from(self.day.clamp(1, HABIT))
    }

    /// A day.
    pub(super) fn live_a_day(&mut self) {
        let celsius = self.warmth.bin;
        let rotted = self
            .law
            .day(&mut self.matter, celsius, self.flock.kg, &self.rates);
        self.bucket.kg += rotted.water_kg;
        let day = f64::from(self.day);
        self.warmth.day(&mut self.chance, day, rotted.food_kg);
        let dry = self.matter.dry_kg();
        let drained = self.bucket.day(celsius, dry, self.holds_kg());
        self.salt.day();
        self.salt.drain(drained);
        let (level, buffer) = (self.level(), self.over_dry(|s| s.buffer));
        self.sourness.day(&mut self.chance, level, buffer);
        self.day += 1;
        let seen = self.seen();
        self.flock.day(&Met {
            celsius: seen.celsius,
            moisture: seen.moisture,
            filled: self.bucket.kg / self.holds_kg().max(1e-9),
            ph: seen.ph,
            ec: seen.ec,
            food_kg_day: self.food_kg_day(),
            bedding_kg: self.matter.bedding_kg(),
        });
    }

    /// What can be seen of it now.
    pub(super) fn seen(&self) -> Seen {
        let m = &self.matter;
        let dry = m.dry_kg();
        let water = self.bucket.kg;
        let sour: f64 = m
            .food
            .iter()
            .filter(|b| self.meals[b.food].level_ph < self.sour_ph)
            .map(|b| b.dry_kg)
            .sum();
        let litres = |kg: f64, s: &Stuff| 1000.0 * kg / s.dry_per_litre;
        let bedding = m.bedding.iter();
        let bedding: f64 = bedding
            .map(|b| litres(b.dry_kg, &self.stuff[b.material]))
            .sum();
        let last = m.food.last();
        Seen {
            ph: self.sourness.ph(),
            moisture: 100.0 * water / (water + dry).max(1e-9),
            drops: self.over_dry(|s| s.drops) / dry.max(1e-9),
            standing_kg: (water - self.holds_kg()).max(0.0),
            celsius: self.warmth.bin,
            room: self.warmth.room,
            ec: self.salt.ec(dry),
            food_left: last.map(|b| b.dry_kg / b.fresh_kg),
            sour: 1000.0 * sour / dry.max(1e-9),
            worms_kg: self.flock.kg,
            worms: self.flock.number,
            here_days: self.flock.here_days,
            crowding: self.flock.crowding,
            worst: self.flock.worst,
            died: self.flock.died_lately(),
            litres: bedding + litres(m.food_kg() + m.fine_kg(), &self.fine),
            castings_kg: m.castings_kg,
        }
    }
}

fn bedding(book: Book<'_>, c: &mut Chance, key: &str) -> Result<Stuff, TableError> {
    Ok(Stuff {
        dry_per_litre: book.times((key, "dry_gram_per_litre"), c)?,
        moisture: book.around((key, "moisture_percent"), c)?,
        holds: book.times((key, "holds_gram_per_gram"), c)?,
        level_ph: book.around((key, "level_ph"), c)?,
        salt: book.times((key, "salt_ms_cm"), c)?,
        buffer: book.times((key, "buffer_mol_c_per_ph"), c)?,
        drops: book.around((key, "drops_percent"), c)?,
    })
}

/// What is neither bedding nor fresh food counts as castings do; it came in as
/// something else, with the water and the salt of that.
fn fine(book: Book<'_>, c: &mut Chance) -> Result<Stuff, TableError> {
    let key = "castings";
    Ok(Stuff {
        dry_per_litre: book.times((key, "dry_gram_per_litre"), c)?,
        moisture: 0.0,
        holds: book.times((key, "holds_gram_per_gram"), c)?,
        level_ph: book.around((key, "level_ph"), c)?,
        salt: 0.0,
        buffer: book.times((key, "buffer_mol_c_per_ph"), c)?,
        drops: book.around((key, "drops_percent"), c)?,
    })
}

fn meal(book: Book<'_>, c: &mut Chance, key: &str) -> Result<Meal, TableError> {
    Ok(Meal {
        cup_kg: book.times((key, "cup_gram"), c)? / 1000.0,
        moisture: book.around((key, "moisture_percent"), c)?,
        level_ph: book.around((key, "level_ph"), c)?,
        salt: book.times((key, "salt_ms_cm"), c)?,
    })
}
