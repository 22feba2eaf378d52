//! A keeper who looks after such a bin and writes a log: feeds, waters what
//! seems dry, adds paper to what seems wet, limes what reads acid, looks, reads
//! and counts.

use super::chance::{Book, Chance};
use super::words::{Ask, Tongue};
use super::world::{BEDDINGS, Container, FOODS, World};
use crate::log::{
    Applied, BinId, Body, Dose, Entry, EntryId, Measured, Part, Place, Reading, Word,
};
use crate::measure::{Amount, AmountError};
use crate::validation::ValidationError;

/// Seconds in a day.
const DAY: i64 = 86_400;
/// Days in a week.
const WEEK: u32 = 7;
/// Day of the week of feeding.
const FEEDS_ON: u32 = 1;
/// Day of the second look.
const LOOKS_AGAIN_ON: u32 = 4;
/// Day of the look, the readings and the counts.
const LOOKS_ON: u32 = 6;
/// Day on which worms come.
const WORMS_ON: u32 = 3;
/// Weeks after which the keeper looks less.
const NEW_WEEKS: u32 = 8;
/// Days between two limings at least.
const LIMES_EVERY: u32 = 28;
/// pH below which the keeper limes.
const LIMES_BELOW: f64 = 5.6;
/// Most that is poured off at once [kg].
const MOST_POURED: f64 = 5.0;
/// Water for what seems dusty and for what seems weak, by volume of what is there
/// [L/L].
const WETS_DUSTY: f64 = 0.06;
const WETS_WEAK: f64 = 0.02;
/// Share of the feedings that are covered with paper.
const COVERS: f64 = 0.3;
/// Beddings by share of volume, and water by volume of bedding [L/L].
const BEDS: [(&[(usize, f64)], f64); 6] = [
    (&[(0, 0.5), (1, 0.5)], 0.08),
    (&[(2, 0.8), (5, 0.2)], 0.18),
    (&[(3, 0.5), (5, 0.5)], 0.08),
    (&[(1, 0.8), (4, 0.2)], 0.14),
    (&[(0, 0.7), (6, 0.3)], 0.05),
    (&[(3, 0.7), (2, 0.3)], 0.15),
];
/// Containers: a tote, a small tight tub, a wooden box.
pub(super) const CONTAINERS: [Container; 3] = [
    Container {
        size_cm: (60.0, 40.0, 30.0),
        floor_m2: 0.24,
        wood: false,
        drains: true,
    },
    Container {
        size_cm: (45.0, 32.0, 28.0),
        floor_m2: 0.144,
        wood: false,
        drains: false,
    },
    Container {
        size_cm: (60.0, 50.0, 30.0),
        floor_m2: 0.3,
        wood: true,
        drains: true,
    },
];

/// How one keeper reads and counts.
#[derive(Debug, Clone)]
struct Gauges {
    ph_weeks: f64,
    ph_bias: f64,
    ph_noise: f64,
    celsius_weeks: f64,
    celsius_bias: f64,
    celsius_noise: f64,
    air_weeks: f64,
    ec_weeks: f64,
    ec_bias_ln: f64,
    ec_noise_ln: f64,
    slip: f64,
    count_weeks: f64,
    count_litres: f64,
    found_share: f64,
    clump: f64,
}

/// A keeper with a bin.
pub(super) struct Keeper {
    chance: Chance,
    tongue: Tongue,
    gauges: Gauges,
    cups: f64,
    cup: f64,
    one_cup_ln: f64,
    looks_again: f64,
    later_looks: f64,
    limed_on: Option<u32>,
    /// The bin.
    pub(super) world: World,
    /// Its container.
    pub(super) container: Container,
    /// What the keeper says the room's usual warmth is [°C].
    pub(super) told_celsius: f64,
    /// The log.
    pub(super) log: Vec<Entry>,
}

impl Keeper {
    /// Bin `bin` of a seed, filled.
    pub(super) fn begin(book: Book<'_>, seed: u64, bin: u64) -> Result<Self, ValidationError> {
        let mut c = Chance::new(seed, 2 * bin);
        let container = CONTAINERS[c.one_of(CONTAINERS.len())];
        let (bed, water) = recipe(&mut c, &container);
        let parts = written(&bed, water)?;
        let world = World::filled(
            book,
            Chance::new(seed, 2 * bin + 1),
            &container,
            &bed,
            water,
        )?;
        let off = book.plain("room", "told_off_celsius")? * c.bell();
        let cup_ln = book.plain("keeper", "cup_ln")?;
        let mut keeper = Self {
            tongue: Tongue::drawn(book, &mut c)?,
            gauges: Gauges::drawn(book, &mut c)?,
            cups: 1.0 + 2.5 * c.even(),
            cup: (cup_ln * c.bell()).exp(),
            one_cup_ln: book.plain("keeper", "one_cup_ln")?,
            looks_again: book.plain("keeper", "looks_again")?,
            later_looks: book.plain("keeper", "later_looks")?,
            limed_on: None,
            told_celsius: (world.usual_celsius() + off).round(),
            world,
            container,
            log: Vec::new(),
            chance: c,
        };
        keeper.write(Body::Filled { parts });
        keeper.pour_off()?;
        Ok(keeper)
    }

    /// Lives a day, and then does what the day of the week asks for.
    pub(super) fn live_a_day(&mut self) -> Result<(), ValidationError> {
        self.world.live_a_day();
        let (week, day) = (self.world.day / WEEK, self.world.day % WEEK);
        if self.world.day == WORMS_ON {
            self.stock();
        }
        if day == FEEDS_ON && self.world.day > WORMS_ON {
            self.feed()?;
        }
        let again = if week < NEW_WEEKS {
            self.looks_again
        } else {
            0.0
        };
        let looks = if week < NEW_WEEKS {
            1.0
        } else {
            self.later_looks
        };
        if day == LOOKS_AGAIN_ON && self.chance.happens(again)
            || day == LOOKS_ON && self.chance.happens(looks)
        {
            self.look()?;
        }
        if day == LOOKS_ON {
            self.measure()?;
            self.count(week);
        }
        Ok(())
    }

    fn write(&mut self, body: Body) {
        let at = i64::from(self.world.day) * DAY;
        self.log.push(Entry {
            id: EntryId(self.log.len() as i64 + 1),
            bin: Some(BinId(1)),
            at_unix_seconds: at,
            zone: "UTC".to_owned(),
            written_unix_seconds: at,
            body,
        });
    }

    fn stock(&mut self) {
        let grams = 10.0 * (15.0 + 45.0 * self.chance.even()).floor();
        self.world.stock(grams / 1000.0);
        self.write(Body::WormsIn {
            grams: Some(grams),
            count: None,
            species: String::new(),
        });
    }

    /// Nothing, mostly, while most of the last food lies there or it smells.
    fn feed(&mut self) -> Result<(), ValidationError> {
        let today = self.world.day;
        let of_late = |ask: Ask| {
            let last = self.tongue.last(ask);
            last.filter(|(then, _)| today - then < WEEK).map(|l| l.1)
        };
        let held = of_late(Ask::Food) == Some(Word::FoodMost)
            || of_late(Ask::Smell) == Some(Word::SmellSour);
        if held && self.chance.happens(0.8) {
            return Ok(());
        }
        let food = self.chance.one_of(FOODS.len());
        let cups = (self.cups + self.chance.bell() / 2.0).round().max(1.0);
        let heaped = self.cup * (self.one_cup_ln * self.chance.bell()).exp();
        self.world.feed(food, cups * heaped);
        let parts = vec![part(FOODS[food], &format!("{cups} cups"))?];
        self.write(Body::Feeding { parts });
        if self.chance.happens(COVERS) && self.world.seen().litres < self.brim() {
            self.add_paper(3.0)?;
        }
        Ok(())
    }

    fn look(&mut self) -> Result<(), ValidationError> {
        let seen = self.world.seen();
        let words = self.tongue.look(&mut self.chance, &seen, self.world.day);
        if words.is_empty() {
            return Ok(());
        }
        self.write(Body::Observation {
            words: words.clone(),
            text: "".into(),
        });
        let said = |some: &[Word]| some.iter().any(|w| words.contains(w));
        if said(&[Word::SqueezeDusty, Word::SqueezeWeak]) {
            let dusty = said(&[Word::SqueezeDusty]);
            let share = if dusty { WETS_DUSTY } else { WETS_WEAK };
            let litres = halves(share * seen.litres).max(0.5);
            self.world.water(litres);
            let amount = amount(&format!("{litres} L"))?;
            self.write(Body::Water {
                amount,
                soft: false,
            });
        }
        if said(&[Word::Pooling]) {
            self.pour_off()?;
        }
        if said(&[Word::SqueezeStream, Word::Pooling]) && seen.litres < self.brim() {
            self.add_paper(5.0)?;
        }
        Ok(())
    }

    fn add_paper(&mut self, litres: f64) -> Result<(), ValidationError> {
        self.world.bed(PAPER, litres);
        let parts = vec![part(BEDDINGS[PAPER], &format!("{litres} L"))?];
        self.write(Body::BeddingAdded { parts });
        Ok(())
    }

    /// What stands is poured off and measured.
    fn pour_off(&mut self) -> Result<(), ValidationError> {
        let litres = tenths(self.world.pour_off(MOST_POURED));
        if litres > 0.0 {
            let amount = amount(&format!("{litres} L"))?;
            self.write(Body::Drain { amount });
        }
        Ok(())
    }

    /// Most litres that the keeper lets it hold.
    fn brim(&self) -> f64 {
        let (length, width, depth) = self.container.size_cm;
        0.9 * length * width * depth / 1000.0
    }

    fn measure(&mut self) -> Result<(), ValidationError> {
        let (seen, g) = (self.world.seen(), self.gauges.clone());
        let c = &mut self.chance;
        if c.happens(g.celsius_weeks) {
            let shown = seen.celsius + g.celsius_bias + g.celsius_noise * c.bell();
            let shown = halves(slipped(c, g.slip, shown, 10.0));
            self.read(Measured::BeddingCelsius, vec![shown], "own", Place::Middle);
        }
        let c = &mut self.chance;
        if c.happens(g.air_weeks) {
            let shown = halves(seen.room + g.celsius_bias + g.celsius_noise * c.bell());
            self.read(Measured::AirCelsius, vec![shown], "own", Place::Spread);
        }
        let c = &mut self.chance;
        if c.happens(g.ec_weeks) {
            let off = (g.ec_bias_ln + g.ec_noise_ln * c.bell()).exp();
            let shown = (100.0 * seen.ec * off).round() / 100.0;
            self.read(Measured::EcMsCm, vec![shown], "own", Place::Spread);
        }
        let c = &mut self.chance;
        if c.happens(g.ph_weeks) {
            let met = slipped(c, g.slip, seen.ph + g.ph_bias, 1.5);
            let shown = [0, 1].map(|_| tenths(met + g.ph_noise * c.bell()));
            self.read(Measured::Ph, shown.to_vec(), "cheap_pen", Place::Spread);
            self.lime(shown.iter().sum::<f64>() / 2.0)?;
        }
        Ok(())
    }

    fn read(&mut self, what: Measured, spots: Vec<f64>, instrument: &str, place: Place) {
        self.write(Body::Reading(Reading {
            what,
            spots,
            instrument: instrument.into(),
            place,
            text: String::new(),
            confirmed: true,
        }));
    }

    fn lime(&mut self, read: f64) -> Result<(), ValidationError> {
        let today = self.world.day;
        let lately = self.limed_on.is_some_and(|on| today - on < LIMES_EVERY);
        if read >= LIMES_BELOW || lately {
            return Ok(());
        }
        let grams = 10 * (1 + self.chance.one_of(4));
        self.limed_on = Some(today);
        self.world.lime(grams as f64 / 1000.0);
        let amount = amount(&format!("{grams} g"))?;
        self.write(Body::Dose(Dose {
            material: "limestone_calcitic".to_owned(),
            amount,
            how: Applied::MixedIn,
        }));
        Ok(())
    }

    /// Four cores, sorted by hand.
    fn count(&mut self, week: u32) {
        let g = &self.gauges;
        if week < 2 || !self.chance.happens(g.count_weeks) {
            return;
        }
        let seen = self.world.seen();
        let share = (g.count_litres / seen.litres.max(g.count_litres)).min(1.0);
        let mean = seen.worms * share * g.found_share;
        let mean = mean * self.chance.clumped(g.clump);
        let litres = g.count_litres;
        let found = self.chance.tally(mean);
        self.write(Body::WormCount {
            found,
            litres_searched: Some(litres),
            grams: None,
            ball: false,
        });
    }
}

/// Paper, by its place in [`BEDDINGS`].
const PAPER: usize = 2;

impl Gauges {
    fn drawn(book: Book<'_>, c: &mut Chance) -> Result<Self, ValidationError> {
        let n = |property| book.plain("gauge", property);
        Ok(Self {
            ph_weeks: n("ph_weeks")?,
            ph_bias: n("ph_bias")? * c.bell(),
            ph_noise: n("ph_noise")?,
            celsius_weeks: n("celsius_weeks")?,
            celsius_bias: n("celsius_bias")? * c.bell(),
            celsius_noise: n("celsius_noise")?,
            air_weeks: n("air_weeks")?,
            ec_weeks: n("ec_weeks")?,
            ec_bias_ln: n("ec_bias_ln")? * c.bell(),
            ec_noise_ln: n("ec_noise_ln")?,
            slip: n("slip")?,
            count_weeks: book.plain("count", "weeks")?,
            count_litres: book.plain("count", "litres")?,
            found_share: book.around(("count", "found_share"), c)?,
            clump: book.plain("count", "clump")?,
        })
    }
}

/// Litres of each bedding and of water that a keeper fills a container with.
fn recipe(c: &mut Chance, container: &Container) -> (Vec<(usize, f64)>, f64) {
    let (shares, wetting) = BEDS[c.one_of(BEDS.len())];
    let (length, width, depth) = container.size_cm;
    let litres = length * width * depth / 1000.0 * (0.5 + 0.25 * c.even());
    let of = |(material, share): &(usize, f64)| (*material, (share * litres).round());
    let water = halves(litres * wetting * (0.8 + 0.4 * c.even()));
    (shares.iter().map(of).collect(), water)
}

/// A recipe as a keeper writes it.
fn written(bed: &[(usize, f64)], water: f64) -> Result<Vec<Part>, AmountError> {
    let bedding = bed
        .iter()
        .map(|(material, litres)| part(BEDDINGS[*material], &format!("{litres} L")));
    let water = part("water", &format!("{water} L"));
    bedding.chain([water]).collect()
}

fn amount(text: &str) -> Result<Amount, AmountError> {
    Amount::parse(text)
}

fn part(material: &str, text: &str) -> Result<Part, AmountError> {
    Ok(Part::plain(material, amount(text)?))
}

fn halves(x: f64) -> f64 {
    (2.0 * x).round() / 2.0
}

fn tenths(x: f64) -> f64 {
    (10.0 * x).round() / 10.0
}

/// Another number, off by up to twice `by` either way, in so many of all.
fn slipped(c: &mut Chance, share: f64, x: f64, by: f64) -> f64 {
    if c.happens(share) {
        x + 2.0 * by * (2.0 * c.even() - 1.0)
    } else {
        x
    }
}
