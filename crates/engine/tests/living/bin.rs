//! One possible bin, kept by hand: for tests that need no log.

use engine::bed::fill::{self, Conditions, Own, ReadyPart};
use engine::bed::possible::PossibleBed;
use engine::bed::product::{Contact, Product};
use engine::estimate::scene::usual_tote;
use engine::living::draining;
use engine::living::heat::Zones;
use engine::living::home::Home;
use engine::living::ledger::Ledger;
use engine::living::life::{Life, Load};
use engine::living::load;
use engine::living::nature::{Nature, Priors};
use engine::living::room::{Day, Room};
use engine::living::signs::Signs;
use engine::living::species::{Species, Vital, VitalRanges};
use engine::living::step::{self, Around};
use engine::living::worms::Worms;
use engine::log::{Applied, BinDescription, Part};
use engine::measure::{Amount, Packing};
use engine::quantity::Celsius;
use engine::table::Tables;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;
use std::sync::LazyLock;

static TABLES: LazyLock<Tables> = LazyLock::new(|| Tables::load().unwrap());
static PRIORS: LazyLock<Priors> = LazyLock::new(|| Priors::load(&TABLES).unwrap());

/// A household tote.
pub(crate) fn tote() -> BinDescription {
    usual_tote(&TABLES).unwrap()
}

/// Bedding as a keeper would have it: card, coir, compost, wetted.
pub(crate) const GOOD: [(&str, &str); 4] = [
    ("cardboard_corrugated", "20 L"),
    ("coir_pith", "10 L"),
    ("yard_compost_finished", "5 L"),
    ("water", "5 L"),
];

/// One possible bin.
#[derive(Clone)]
pub(crate) struct Bin {
    pub(crate) life: Life,
    pub(crate) bed: PossibleBed,
    pub(crate) nature: Nature,
    pub(crate) vital: Vital,
    pub(crate) home: Home,
    pub(crate) room: Room,
    pub(crate) day: f64,
    pub(crate) step: f64,
    /// The air is held at its mean over so many days, whatever the step [d].
    pub(crate) air_by: Option<f64>,
    /// Mean of the core through the last whole day [°C].
    pub(crate) core: f64,
    random: ChaCha8Rng,
}

fn ready(parts: &[(&str, &str)]) -> Vec<ReadyPart> {
    let parts: Vec<Part> = parts
        .iter()
        .map(|(material, amount)| Part::plain(*material, Amount::parse(amount).unwrap()))
        .collect();
    if parts.is_empty() {
        return Vec::new();
    }
    fill::ready(&TABLES, &parts, &Own::new()).unwrap()
}

impl Bin {
    /// The most likely bin of that description, filled, in an even room.
    pub(crate) fn usual(of: &BinDescription, parts: &[(&str, &str)], celsius: f64) -> Self {
        let species = Species::EiseniaFetida;
        Self::made(of, parts, celsius, species, 1, false)
    }

    /// A bin with all its numbers drawn.
    pub(crate) fn drawn(
        of: &BinDescription,
        parts: &[(&str, &str)],
        celsius: f64,
        species: Species,
        seed: u64,
    ) -> Self {
        Self::made(of, parts, celsius, species, seed, true)
    }

    fn made(
        of: &BinDescription,
        parts: &[(&str, &str)],
        celsius: f64,
        species: Species,
        seed: u64,
        draw: bool,
    ) -> Self {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let home = Home::of(&TABLES, of, Species::EiseniaFetida).unwrap();
        let ranges = VitalRanges::of(&TABLES, species).unwrap();
        let (nature, vital) = if draw {
            // Of their own, so that a bed is the same however many numbers its
            // worms have.
            let mut of_worms = ChaCha8Rng::seed_from_u64(seed);
            of_worms.set_stream(1);
            (PRIORS.draw(&home, &mut random), ranges.draw(&mut of_worms))
        } else {
            (PRIORS.usual(&home), ranges.usual())
        };
        let conditions = Conditions::usual(&TABLES, Celsius(20.0)).unwrap();
        let mut life = Life::empty(Worms::none(species));
        let mut loads = Vec::new();
        let (mut bed, _) = fill::draw_each(&mut random, &ready(parts), &conditions, |part, d| {
            loads.push(load::of_drawn(part, d, &PRIORS));
        });
        for load in &mut loads {
            load.celsius = Some(celsius);
            load.feed = false;
            life.add(load, &PRIORS);
            load.sour(&mut bed);
        }
        life.warm_to(celsius, &PRIORS);
        life.told.zones = Zones::even(celsius);
        life.carried.air_celsius = celsius;
        Self {
            life,
            bed,
            nature,
            vital,
            home,
            room: Room::steady(
                Day::around(celsius, 0.0),
                PRIORS.constants.warmest_day_share,
            ),
            day: 0.0,
            step: step::STEP_DAYS,
            air_by: None,
            core: celsius,
            random,
        }
    }

    pub(crate) fn around(&self) -> Around<'_> {
        Around {
            priors: &PRIORS,
            home: &self.home,
            nature: &self.nature,
            vital: &self.vital,
        }
    }

    pub(crate) fn signs(&self) -> Signs {
        Signs::of(&self.life, &self.bed, &self.around())
    }

    pub(crate) fn ledger(&self) -> Ledger {
        Ledger::of(&self.life, &self.bed, &PRIORS)
    }

    /// Puts worms in [g].
    pub(crate) fn stock(&mut self, grams: f64) {
        let new = Worms::stocked(self.life.worms.species, Some(grams), None, &self.vital);
        self.life.worms.join(&new);
        self.life.came_in(new.grams(), &PRIORS);
    }

    /// Feeds.
    pub(crate) fn feed(&mut self, parts: &[(&str, &str)]) {
        for part in ready(parts) {
            let mut fed = load::fed(&mut self.random, &part, &self.nature, &PRIORS);
            fed.load.celsius = Some(self.life.carried.air_celsius);
            fed.meet(&mut self.bed);
            self.life.add(&fed.load, &PRIORS);
        }
    }

    /// Mixes in more of what a bed is filled with.
    pub(crate) fn add(&mut self, parts: &[(&str, &str)]) {
        let conditions = Conditions::usual(&TABLES, Celsius(20.0)).unwrap();
        let (life, bed) = (&mut self.life, &mut self.bed);
        let (other, _) = fill::draw_each(&mut self.random, &ready(parts), &conditions, |p, d| {
            let mut load = load::of_drawn(p, d, &PRIORS);
            load.celsius = Some(life.carried.air_celsius);
            load.feed = false;
            life.add(&load, &PRIORS);
            load.sour(bed);
        });
        bed.join(other);
    }

    /// Pours water in [kg].
    pub(crate) fn pour(&mut self, kg: f64) {
        let celsius = self.life.carried.air_celsius;
        self.life.pour(kg, Some(celsius), &PRIORS);
        self.bed.water_kg = self.life.water_kg;
    }

    /// Takes liquid off [kg].
    pub(crate) fn take_off(&mut self, kg: f64) -> f64 {
        let around = Around {
            priors: &PRIORS,
            home: &self.home,
            nature: &self.nature,
            vital: &self.vital,
        };
        draining::take_off(&mut self.life, &mut self.bed, &around, kg)
    }

    /// Takes a share of the bedding out, a tenth of the worms in it missed.
    pub(crate) fn harvest(&mut self, share: f64) {
        self.life.take_out(share, 0.1 * share, &PRIORS);
        self.bed = self.bed.clone().scaled(1.0 - share);
    }

    /// Mixes a product in [g].
    pub(crate) fn dose(&mut self, product: &str, grams: f64) {
        let product = Product::from_tables(&TABLES, product, &BTreeMap::new()).unwrap();
        let lot = product.draw(&mut self.random);
        let contact = Contact {
            how: Applied::MixedIn,
            touched_share: 1.0,
            tau_days: 1.0,
            steep_litres: 4.0,
        };
        lot.give(&mut self.bed, grams, &contact);
        let kg = grams / 1000.0;
        let load = Load {
            dry_kg: kg,
            salt: lot.salt(grams, &contact) * PRIORS.constants.anion_ec,
            holds_kg: 0.3 * kg,
            packing: Packing::firm(0.7),
            ..Load::default()
        };
        self.life.add(&load, &PRIORS);
    }

    /// One step.
    pub(crate) fn once(&mut self) {
        let from = match self.air_by {
            Some(days) => ((self.day + 1e-9) / days).floor() * days,
            None => self.day,
        };
        let to = from + self.air_by.unwrap_or(self.step);
        let air = self.room.mean(from, to);
        let around = Around {
            priors: &PRIORS,
            home: &self.home,
            nature: &self.nature,
            vital: &self.vital,
        };
        step::step(&mut self.life, &mut self.bed, &around, self.step, air);
        self.day += self.step;
    }

    /// So many days.
    pub(crate) fn live(&mut self, days: f64) {
        let steps = (days / self.step).round() as u32;
        let mut sum = 0.0;
        for _ in 0..steps {
            self.once();
            sum += self.life.told.zones.core;
        }
        self.core = sum / f64::from(steps.max(1));
    }

    /// Goes into air of another warmth for good.
    pub(crate) fn move_to(&mut self, celsius: f64) {
        self.room.usual_from(0, Day::around(celsius, 0.0));
    }

    /// What is in it, worms included [kg].
    pub(crate) fn kg(&self) -> f64 {
        self.life.dry_kg(&PRIORS) + self.life.water_kg + self.life.worms.grams() / 1000.0
    }

    /// Everything wrong that no bin can be: less than nothing, more than all.
    pub(crate) fn impossible(&self) -> Option<String> {
        let (l, s) = (&self.life, self.signs());
        let mut least = vec![
            ("ash", l.ash_kg),
            ("water", l.water_kg),
            ("ammonium", l.ammonium),
            ("nitrate", l.nitrate),
            ("acid in food", l.acid_pocket),
            ("acid in bed", l.acid_bed),
            ("salt", l.salt),
            ("salt of acids", l.salt_of_acids),
            ("food seen", l.seen_kg),
            ("worm grams", l.worms.grams()),
            ("litres", s.litres),
            ("condition", s.condition),
            ("lime", self.bed.lime),
        ];
        for pool in l.organic.pools.iter().flatten().chain([&l.organic.humus]) {
            least.extend([
                ("organic", pool.organic),
                ("carbon", pool.carbon),
                ("nitrogen", pool.nitrogen),
            ]);
        }
        least.extend(self.bed.grains.iter().map(|g| ("grains", g.left())));
        let stages = l.worms.stages();
        least.extend(stages.cocoons.map(|n| ("cocoons", n)));
        least.extend(stages.worms.map(|n| ("worms", n)));
        let shares = [
            ("worked", l.worked),
            ("air-filled", s.air_filled),
            ("airless", s.airless),
            ("urge", s.urge_to_leave),
            ("habitable", s.habitable),
            ("food left", s.feed_left),
            ("condensing", s.condensing),
            ("nitrogen found", l.carried.nitrogen),
            ("moisture", s.moisture_percent / 100.0),
        ];
        let between = [
            ("pH", s.ph, 2.0, 13.0),
            ("pocket pH", s.pocket_ph, 2.0, 13.0),
            ("core", s.core_celsius, -60.0, 80.0),
            ("hot", s.hot_celsius, -60.0, 80.0),
            ("refuge", s.refuge_celsius, -60.0, 80.0),
        ];
        let tiny = -1e-12;
        least
            .into_iter()
            .map(|(name, x)| (name, x, tiny, f64::MAX))
            .chain(shares.into_iter().map(|(n, x)| (n, x, tiny, 1.0 + 1e-12)))
            .chain(between)
            .find(|(_, x, low, high)| !(low..=high).contains(&x))
            .map(|(name, x, _, _)| format!("{name} is {x} on day {}", self.day))
    }
}
