//! A bin of this world, from day to day.

use super::acid::{Day, Sourness};
use super::air::{Room, Warmth};
use super::chance::{Book, Chance};
use super::matter::{FOODS, Heap};
use super::water::{Layers, vapour_kpa};
use super::worms::{Herd, Lived};
use crate::table::TableError;

/// Rooms a bin may stand in, by their rows.
const ROOMS: [&str; 3] = ["room_lived_in", "room_cellar", "room_garage"];
/// Days in a week.
const WEEK: u32 = 7;
/// Water made from a kilogram of dry matter that goes [kg].
const WATER_MADE: f64 = 0.55;
/// Places of the papers with chalk among the beddings, and their rows.
const CARDBOARD: usize = 1;
const NEWSPRINT: usize = 2;
/// Moisture of the first drop of manure, in which worms were tried [% of wet mass].
const MANURE_DROPS: f64 = 50.0;
/// Base in a kilogram of pure chalk [mol].
const CHALK: f64 = 19.98;

/// How a bin is covered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Cover {
    /// A plastic box, closed but for small holes.
    Holes,
    /// A plastic tote with a loose lid.
    Loose,
    /// A wooden crate.
    Crate,
}

impl Cover {
    /// Its rows in the table.
    const fn row(self) -> &'static str {
        match self {
            Self::Holes => "lid_holes",
            Self::Loose => "lid_loose",
            Self::Crate => "lid_crate",
        }
    }
}

/// A container.
#[derive(Debug, Clone, Copy)]
pub(super) struct Container {
    /// Inner length, width and depth [cm].
    pub(super) size_cm: (f64, f64, f64),
    /// Its lid and walls.
    pub(super) cover: Cover,
    /// Whether liquid can drain out.
    pub(super) drains: bool,
}

impl Container {
    /// What it holds to the rim [L].
    pub(super) fn litres(&self) -> f64 {
        let (length, width, depth) = self.size_cm;
        length * width * depth / 1000.0
    }

    /// Floor [m2].
    fn floor_m2(&self) -> f64 {
        self.size_cm.0 * self.size_cm.1 / 1e4
    }

    /// Floor, top and walls [m2].
    fn surface_m2(&self) -> f64 {
        let (length, width, depth) = self.size_cm;
        2.0 * (length * width + depth * (length + width)) / 1e4
    }
}

/// What there is to see of a bin.
#[derive(Debug, Clone)]
pub(super) struct Seen {
    /// pH.
    pub(super) ph: f64,
    /// Water of wet mass of all that is in it [%].
    pub(super) moisture: f64,
    /// Free water of wet mass, without cells of food [%].
    pub(super) felt: f64,
    /// Middle of the bed [°C].
    pub(super) celsius: f64,
    /// Room [°C].
    pub(super) room: f64,
    /// Live worms [kg].
    pub(super) worms_kg: f64,
    /// Worms without cocoons.
    pub(super) worms: f64,
    /// Castings [kg dry].
    pub(super) castings_kg: f64,
    /// Conductivity of a 1:5 extract by dry mass [mS/cm].
    pub(super) salt: f64,
    /// Room that the bed takes [L].
    pub(super) litres: f64,
    /// Moisture of the first drop of a handful [% of wet mass].
    pub(super) drops: f64,
    /// Share of the last food that is left [-].
    pub(super) food_left: Option<f64>,
    /// Water that stands at the bottom [kg].
    pub(super) standing: f64,
    /// Acid of souring, not dissociated [mmol/kg water].
    pub(super) acid: f64,
    /// Ammonia and ammonium [mol/kg dry].
    pub(super) ammonia: f64,
    /// Worst trouble of the last week [standard deviations of tolerance].
    pub(super) worst: f64,
    /// Died in the last week [worms].
    pub(super) died: f64,
    /// Mass of a worm of that when well fed [-].
    pub(super) plump: f64,
    /// Days since worms came.
    pub(super) here_days: Option<u32>,
}

/// A bin.
#[derive(Debug, Clone)]
pub(super) struct World {
    /// Days since it was filled.
    pub(super) day: u32,
    /// Its container.
    pub(super) container: Container,
    /// Its matter.
    pub(super) heap: Heap,
    /// Its water.
    pub(super) water: Layers,
    /// Its room.
    pub(super) room: Room,
    chance: Chance,
    warmth: Warmth,
    sour: Sourness,
    herd: Herd,
    came_on: Option<u32>,
    salt: f64,
    salt_seen: f64,
    salt_leaches: f64,
    tap_salt: f64,
    drained: f64,
    air: f64,
    base_celsius: f64,
    dry_stops: f64,
    wet_chokes: f64,
    rot_chokes: f64,
    worms_help: f64,
    pressed: f64,
    chalk: [f64; 2],
    per_kg: f64,
    grown_share: f64,
    lost_coming: f64,
}

impl World {
    /// An empty container in a room.
    pub(super) fn begin(
        book: Book<'_>,
        container: Container,
        mut c: Chance,
    ) -> Result<Self, TableError> {
        let row = container.cover.row();
        let room = Room::drawn(book, ROOMS[c.one_of(ROOMS.len())], &mut c)?;
        let around = (container.surface_m2(), room.celsius(0));
        let n = |subject: &str, property: &str, c: &mut Chance| book.draw(subject, property, c);
        Ok(Self {
            day: 0,
            container,
            heap: Heap::drawn(book, &mut c)?,
            water: Layers::drawn(book, row, &mut c)?,
            room,
            warmth: Warmth::drawn(book, row, around, &mut c)?,
            sour: Sourness::drawn(book, &mut c)?,
            herd: Herd::drawn(book, &mut c)?,
            came_on: None,
            salt: 0.0,
            salt_seen: n("salt", "bound_seen", &mut c)?,
            salt_leaches: n("salt", "leaches", &mut c)?,
            tap_salt: n("salt", "tap", &mut c)?,
            drained: 0.0,
            air: 1.0,
            base_celsius: n("rot", "base_celsius", &mut c)?,
            dry_stops: n("rot", "dry_stops_percent", &mut c)?,
            wet_chokes: n("rot", "wet_chokes", &mut c)?,
            rot_chokes: n("rot", "rot_chokes_per_day", &mut c)?,
            worms_help: n("rot", "worms_help", &mut c)?,
            pressed: n("rot", "pressed", &mut c)?,
            chalk: [
                n("cardboard_corrugated", "chalk", &mut c)?,
                n("newsprint_shredded", "chalk", &mut c)?,
            ],
            per_kg: n("worms", "per_kg", &mut c)?,
            grown_share: n("worms", "grown_share", &mut c)?.min(1.0),
            lost_coming: n("worms", "lost_coming", &mut c)?,
            chance: c,
        })
    }

    /// Food is put in [L].
    pub(super) fn feed(&mut self, food: usize, litres: f64) {
        self.put(food, litres);
    }

    /// Bedding is put in [L].
    pub(super) fn bed(&mut self, bedding: usize, litres: f64) {
        let dry = self.put(FOODS.len() + bedding, litres);
        let chalk = match bedding {
            CARDBOARD => self.chalk[0],
            NEWSPRINT => self.chalk[1],
            _ => 0.0,
        };
        self.sour.chalk(dry * chalk * CHALK);
    }

    fn put(&mut self, kind: usize, litres: f64) -> f64 {
        let (dry, water, salt) = self.heap.put(kind, litres, self.day);
        let (ph, buffer) = (self.heap.kinds[kind].ph, self.heap.kinds[kind].buffer);
        self.water.spread(water);
        self.salt += salt;
        self.sour.put(ph, dry * buffer);
        dry
    }

    /// Tap water is poured over it, or mixed in at filling [kg].
    pub(super) fn pour(&mut self, kg: f64) {
        if self.day == 0 {
            self.water.spread(kg);
        } else {
            self.water.add(kg, 0.8);
        }
        self.sour.tap(kg);
        self.salt += kg * self.tap_salt / 5.0;
    }

    /// Lime is mixed in, of so much base [mol].
    pub(super) fn lime(&mut self, mol: f64) {
        self.sour.lime(mol);
    }

    /// Worms come [kg]; some have died or die on the way.
    pub(super) fn stock(&mut self, kg: f64) {
        let alive = 1.0 - self.lost_coming.clamp(0.0, 0.5);
        let number = kg * self.per_kg * alive;
        self.herd.stock(number, kg * alive, self.grown_share);
        self.came_on = Some(self.day);
    }

    /// What stands at the bottom is poured off, or the tray under a drain
    /// emptied [kg].
    pub(super) fn pour_off(&mut self) -> f64 {
        if self.container.drains {
            return std::mem::take(&mut self.drained);
        }
        let standing = self.water.standing(self.holds());
        let salt = self.pore_salt();
        let kg = self.water.pour(standing);
        self.leach(kg, salt);
        kg
    }

    /// Water the matter can hold against draining [kg].
    fn holds(&self) -> f64 {
        self.heap.sum(|k| k.holds)
    }

    /// Conductivity of the water in the bed [mS/cm].
    fn pore_salt(&self) -> f64 {
        5.0 * self.salt / self.water.kg().max(0.05 * self.heap.dry_kg())
    }

    fn leach(&mut self, kg: f64, pore_salt: f64) {
        let salt = kg * pore_salt / 5.0 * self.salt_leaches;
        self.salt -= salt.min(0.5 * self.salt);
    }

    /// How many warm days a day is.
    fn warm_days(&self, moisture: f64) -> f64 {
        let warm = (self.warmth.core - self.base_celsius) / (20.0 - self.base_celsius);
        let moist = ((moisture - self.dry_stops) / 35.0).clamp(0.0, 1.0);
        let crowd = self.herd.kg() / self.container.floor_m2() / 2.0;
        let worms = 1.0 + self.worms_help * crowd.min(1.0);
        warm.clamp(0.0, 2.5) * moist * worms * (0.4 + 0.6 * self.air)
    }

    /// What the worms live through: they sit in the wetter layer.
    fn lived(&self) -> Lived {
        let (holds, dry) = (self.holds(), self.heap.dry_kg());
        let (upper, lower) = self.water.moisture(dry);
        Lived {
            celsius: self.warmth.core,
            moisture: (upper.max(lower) + MANURE_DROPS - self.heap.drops()).clamp(1.0, 99.0),
            saturation: self.water.saturation(holds).0,
            acid: self.sour.whole_acid,
            ph: self.sour.ph,
            pore_salt: self.pore_salt(),
        }
    }

    /// Lives a day.
    pub(super) fn live_a_day(&mut self) {
        self.day += 1;
        self.room.next(&mut self.chance);
        let (holds, dry) = (self.holds(), self.heap.dry_kg());
        let moisture = 100.0 * self.water.kg() / (self.water.kg() + dry).max(1e-9);
        let warm = self.warm_days(moisture);
        let rotted = self.heap.rot(warm);
        let lived = self.lived();
        let wanted = self.herd.wants(self.heap.fare_kg(), &lived);
        let eaten = self.heap.eat(wanted, self.day);
        let gone = rotted.gone + eaten.gone;
        self.water.add(rotted.water + eaten.water, 0.6);
        self.water.spread(WATER_MADE * gone);
        self.salt += rotted.salt + eaten.salt;
        let over = vapour_kpa(self.warmth.core) - self.room.vapour(self.day);
        let around = (self.container.floor_m2(), over);
        let pore = self.pore_salt();
        let drains = self.container.drains;
        let took = self.water.live_a_day((holds, dry), around, drains);
        self.drained += took.drain;
        self.leach(took.drain, pore);
        let room = self.room.celsius(self.day);
        self.warmth.live_a_day(room, gone, took.air, moisture);
        self.breathe(holds, rotted.food_gone / dry.max(1e-9));
        let day = self.sour_day(warm);
        self.sour.live_a_day(&day, &rotted, &eaten);
        let whole = self.day.is_multiple_of(WEEK);
        let lived = self.lived();
        self.herd
            .live_a_day(&lived, eaten.eaten, whole, &mut self.chance);
    }

    fn sour_day(&self, warm: f64) -> Day {
        Day {
            dry: self.heap.dry_kg(),
            buffer: self.heap.sum(|k| k.buffer),
            water: self.water.kg(),
            warm,
            air: self.air,
        }
    }

    /// Water shuts air out, and rot uses it up.
    fn breathe(&mut self, holds: f64, rots: f64) {
        let (upper, lower) = self.water.saturation(holds);
        let full = (upper + 2.0 * lower) / 3.0;
        let wet = 1.0 / (1.0 + (full / self.wet_chokes).powi(8));
        self.air = wet / (1.0 + rots / self.rot_chokes);
    }

    /// What there is to see.
    pub(super) fn seen(&self) -> Seen {
        let mut sour = self.sour.clone();
        sour.read(&self.sour_day(0.0));
        let (dry, free) = (self.heap.dry_kg(), self.water.kg());
        let all = free + self.heap.cell_kg();
        let bound = self.salt_seen * self.heap.bound_salt();
        Seen {
            ph: sour.ph,
            moisture: 100.0 * all / (all + dry).max(1e-9),
            felt: 100.0 * free / (free + dry).max(1e-9),
            celsius: self.warmth.core,
            room: self.room.celsius(self.day),
            worms_kg: self.herd.kg(),
            worms: self.herd.number(),
            castings_kg: self.heap.castings_kg(),
            salt: (self.salt + bound) / dry.max(1e-9),
            litres: self.heap.litres(self.pressed),
            drops: self.heap.drops(),
            food_left: self.heap.food_left(),
            standing: self.water.standing(self.holds()),
            acid: sour.whole_acid,
            ammonia: sour.ammonia_load,
            worst: self.herd.worst,
            died: self.herd.died,
            plump: self.herd.plump(),
            here_days: self.came_on.map(|on| self.day - on),
        }
    }
}
