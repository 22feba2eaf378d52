//! A keeper of this world: fills, stocks, feeds by appetite, looks less as months
//! pass, acts on what is said, forgets, and does not write all of it down.

use super::chance::{Book, Chance};
use super::matter::{BEDDINGS, FOODS};
use super::words::Tongue;
use super::world::{Container, Cover, World};
use crate::log::{
    Applied, BinId, Body, Dose, Entry, EntryId, Measured, Part, Place, Reading, Word,
};
use crate::measure::{Amount, AmountError};
use crate::validation::ValidationError;

/// Seconds in a day.
const DAY: i64 = 86_400;
/// Days in a week.
const WEEK: u32 = 7;
/// Litres of a cup.
const CUP: f64 = 0.2366;
/// Days of the week of the first and the second feeding, and of the look.
const FEEDS: [u32; 2] = [2, 5];
const LOOKS: u32 = 1;
/// Paper, among the beddings.
const PAPER: usize = 2;
/// Days between limings at least.
const LIMES_EVERY: u32 = 28;
/// Base in a kilogram of garden lime [mol], 95 % of pure.
const LIME: f64 = 19.0;
/// Beddings by share of volume, and water by volume of bedding [L/L] that brings
/// them to 65 to 75 % by the densities of the table.
const RECIPES: [(&[(usize, f64)], f64); 8] = [
    (&[(0, 0.5), (1, 0.5)], 0.05),
    (&[(2, 0.8), (5, 0.2)], 0.13),
    (&[(3, 0.6), (4, 0.4)], 0.16),
    (&[(1, 0.6), (6, 0.4)], 0.11),
    (&[(3, 0.5), (1, 0.5)], 0.17),
    (&[(0, 0.6), (5, 0.2), (2, 0.2)], 0.08),
    (&[(2, 1.0)], 0.14),
    (&[(4, 0.5), (1, 0.5)], 0.16),
];
/// Containers that keepers use.
const CONTAINERS: [Container; 4] = [
    Container {
        size_cm: (58.0, 38.0, 30.0),
        cover: Cover::Loose,
        drains: true,
    },
    Container {
        size_cm: (42.0, 32.0, 26.0),
        cover: Cover::Holes,
        drains: false,
    },
    Container {
        size_cm: (50.0, 38.0, 32.0),
        cover: Cover::Loose,
        drains: false,
    },
    Container {
        size_cm: (70.0, 45.0, 30.0),
        cover: Cover::Crate,
        drains: true,
    },
];

/// Habits and gauges of one keeper.
#[derive(Debug, Clone)]
struct Habits {
    feeds_twice: bool,
    cup: f64,
    cup_each: f64,
    looks: f64,
    looks_later: f64,
    looks_fade_weeks: f64,
    unwritten: f64,
    splash: f64,
    forgets: f64,
    holiday_weeks: f64,
    away: f64,
    ph: (f64, f64, f64),
    celsius: (f64, f64, f64),
    salt: (f64, f64, f64),
    room: f64,
    slips: f64,
    counts: f64,
    count_litres: f64,
    finds: f64,
    clumps: f64,
    limes_below: f64,
}

impl Habits {
    fn drawn(book: Book<'_>, c: &mut Chance) -> Result<Self, ValidationError> {
        let n = |property: &str| book.plain("keeper", property);
        let gauge = |name: &str, c: &mut Chance| {
            let weeks = book.draw(name, "weeks", c)?.min(1.0);
            let off = book.plain(name, "own")? * c.bell();
            Ok::<_, ValidationError>((weeks, off, book.plain(name, "each")?))
        };
        Ok(Self {
            feeds_twice: c.happens(0.5),
            cup: c.factor(n("cup_ln")?),
            cup_each: n("cup_each_ln")?,
            looks: book.draw("keeper", "looks", c)?.min(1.0),
            looks_later: book.draw("keeper", "looks_later", c)?.min(1.0),
            looks_fade_weeks: n("looks_fade_weeks")?,
            unwritten: n("unwritten")?,
            splash: n("splash_week")?,
            forgets: n("forgets_week")?,
            holiday_weeks: n("holiday_weeks")?,
            away: n("away_week")?,
            ph: gauge("pen", c)?,
            celsius: gauge("thermometer", c)?,
            salt: gauge("salt_meter", c)?,
            room: n("reads_room")?,
            slips: n("slips")?,
            counts: n("counts_week")?,
            count_litres: n("count_litres")?,
            finds: book.draw("keeper", "finds", c)?.min(1.0),
            clumps: n("clumps_ln")?,
            limes_below: book.draw("keeper", "limes_below", c)?,
        })
    }
}

/// A keeper with a bin and a log.
pub(super) struct Keeper {
    chance: Chance,
    tongue: Tongue,
    habits: Habits,
    cups: f64,
    cups_between: (f64, f64),
    stocks_on: u32,
    away_until: u32,
    held_until: u32,
    limed_on: Option<u32>,
    /// The bin.
    pub(super) world: World,
    /// What the keeper says the room's usual warmth is [°C].
    pub(super) told_celsius: f64,
    /// The log.
    pub(super) log: Vec<Entry>,
}

impl Keeper {
    /// Fills bin `bin` of a seed.
    pub(super) fn begin(book: Book<'_>, seed: u64, bin: u64) -> Result<Self, ValidationError> {
        let mut c = Chance::new(seed, 3 * bin);
        let container = CONTAINERS[c.one_of(CONTAINERS.len())];
        let world = World::begin(book, container, Chance::new(seed, 3 * bin + 1))?;
        let told_off = book.plain("room", "told_off_kelvin")? * c.bell();
        let mut keeper = Self {
            tongue: Tongue::drawn(book, &mut c)?,
            habits: Habits::drawn(book, &mut c)?,
            cups: 1.0,
            cups_between: (0.5, 2.0),
            stocks_on: 1 + c.one_of(7) as u32,
            away_until: 0,
            held_until: 0,
            limed_on: None,
            told_celsius: (world.room.mean + told_off).round(),
            world,
            log: Vec::new(),
            chance: c,
        };
        keeper.fill()?;
        Ok(keeper)
    }

    fn fill(&mut self) -> Result<(), ValidationError> {
        let c = &mut self.chance;
        let (shares, wetting) = RECIPES[c.one_of(RECIPES.len())];
        let litres = self.world.container.litres() * c.between(0.5, 0.8);
        let water = halves(litres * wetting * c.between(0.8, 1.3)).max(0.5);
        let each = self.habits.cup_each;
        let mut parts = Vec::new();
        for (bedding, share) in shares {
            let told = (share * litres).round().max(1.0);
            let put = told * self.chance.factor(each);
            self.world.bed(*bedding, put);
            parts.push(part(BEDDINGS[*bedding], &format!("{told} L"))?);
        }
        self.world.pour(water);
        parts.push(part("water", &format!("{water} L"))?);
        self.write(Body::Filled { parts });
        Ok(())
    }

    /// Lives a day, and does what the day asks for.
    pub(super) fn live_a_day(&mut self) -> Result<(), ValidationError> {
        self.world.live_a_day();
        let day = self.world.day;
        if day == self.stocks_on {
            self.stock();
        }
        if day.is_multiple_of(WEEK) {
            self.leave();
        }
        if day <= self.stocks_on || day < self.away_until {
            return Ok(());
        }
        let of_week = day % WEEK;
        if of_week == FEEDS[0] || of_week == FEEDS[1] && self.habits.feeds_twice {
            self.feed()?;
        }
        if of_week == LOOKS {
            self.tend(day / WEEK)?;
        }
        Ok(())
    }

    /// What a week's look brings with it.
    fn tend(&mut self, week: u32) -> Result<(), ValidationError> {
        let h = self.habits.clone();
        let fades = (-f64::from(week) / h.looks_fade_weeks).exp();
        let looks = h.looks_later + (h.looks - h.looks_later).max(0.0) * fades;
        if self.chance.happens(h.splash) {
            let litres = self.chance.between(0.1, 0.5);
            self.world.pour(litres);
        }
        if self.chance.happens(looks) {
            self.look()?;
            self.measure(fades.max(0.4))?;
        }
        self.count(week);
        Ok(())
    }

    /// Goes away, or forgets the bin, for some weeks.
    fn leave(&mut self) {
        let (h, day) = (&self.habits, self.world.day);
        if day <= 3 * WEEK || day < self.away_until {
            return;
        }
        if self.chance.happens(h.away) {
            let weeks = 1.0 + self.chance.even() * (h.holiday_weeks - 1.0);
            self.away_until = day + (weeks * f64::from(WEEK)).round() as u32;
        } else if self.chance.happens(h.forgets) {
            self.away_until = day + WEEK;
        }
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
        let grams = 50.0 * (3.0 + self.chance.one_of(16) as f64);
        self.world.stock(grams / 1000.0);
        // From a pound of food a week by pound of worms to about three.
        let cups = grams / 450.0 * self.chance.between(4.0, 12.0);
        let times = if self.habits.feeds_twice { 2.0 } else { 1.0 };
        self.cups = (cups / times).max(0.5);
        self.cups_between = (0.5 * self.cups, 2.2 * self.cups);
        self.write(Body::WormsIn {
            grams: Some(grams),
            count: None,
            species: String::new(),
        });
    }

    fn feed(&mut self) -> Result<(), ValidationError> {
        if self.world.day < self.held_until && self.chance.happens(0.85) {
            return Ok(());
        }
        let new = self.world.day < self.stocks_on + 2 * WEEK;
        let wanted = self.cups * if new { 0.5 } else { 1.0 };
        let cups = halves(wanted + 0.4 * self.chance.bell()).max(0.5);
        let food = if self.chance.happens(0.4) {
            0
        } else {
            self.chance.one_of(FOODS.len())
        };
        let heaped = self.habits.cup * self.chance.factor(self.habits.cup_each);
        self.world.feed(food, cups * heaped * CUP);
        if !self.chance.happens(self.habits.unwritten) {
            let parts = vec![part(FOODS[food], &format!("{cups} cups"))?];
            self.write(Body::Feeding { parts });
        }
        Ok(())
    }

    fn look(&mut self) -> Result<(), ValidationError> {
        let seen = self.world.seen();
        let words = self.tongue.look(&mut self.chance, &seen);
        if words.is_empty() {
            return Ok(());
        }
        self.write(Body::Observation {
            words: words.clone(),
            text: "".into(),
        });
        let said = |some: &[Word]| some.iter().any(|w| words.contains(w));
        self.mind_food(said(&[Word::FoodGone]), said(&[Word::FoodMost]));
        if said(&[Word::SmellSour, Word::SmellAmmonia, Word::SmellRotten]) {
            self.held_until = self.world.day + WEEK;
        }
        let wets = match () {
            () if said(&[Word::SqueezeDusty]) => 0.10,
            () if said(&[Word::SqueezeWeak]) => 0.06,
            () if said(&[Word::SqueezeDrops]) && self.chance.happens(0.5) => 0.03,
            () => 0.0,
        };
        if wets > 0.0 {
            self.wet(wets * seen.litres)?;
        }
        if said(&[Word::Pooling, Word::SqueezeStream])
            || self.world.container.drains && self.chance.happens(0.5)
        {
            self.empty()?;
        }
        let wet = said(&[Word::SqueezeTrickle]) && self.chance.happens(0.6)
            || said(&[Word::SqueezeStream, Word::Pooling]);
        if wet && seen.litres < 0.9 * self.world.container.litres() {
            let litres = self.chance.between(5.0, 12.0).round();
            self.world.bed(PAPER, litres);
            let parts = vec![part(BEDDINGS[PAPER], &format!("{litres} L"))?];
            self.write(Body::BeddingAdded { parts });
        }
        Ok(())
    }

    /// More when all is gone, less and later when most is left.
    fn mind_food(&mut self, gone: bool, most: bool) {
        if gone {
            self.cups = (1.08 * self.cups).min(self.cups_between.1);
        }
        if most {
            self.cups = (0.93 * self.cups).max(self.cups_between.0);
            self.held_until = self.world.day + 3;
        }
    }

    fn wet(&mut self, litres: f64) -> Result<(), ValidationError> {
        let litres = halves(litres).clamp(0.5, 4.0);
        self.world.pour(litres * self.chance.factor(0.1));
        let amount = amount(&format!("{litres} L"))?;
        self.write(Body::Water {
            amount,
            soft: false,
        });
        Ok(())
    }

    /// Empties the tray, or tips the box.
    fn empty(&mut self) -> Result<(), ValidationError> {
        let litres = tenths(self.world.pour_off());
        if litres >= 0.1 && !self.chance.happens(self.habits.unwritten) {
            let amount = amount(&format!("{litres} L"))?;
            self.write(Body::Drain { amount });
        }
        Ok(())
    }

    fn measure(&mut self, often: f64) -> Result<(), ValidationError> {
        let (seen, h) = (self.world.seen(), self.habits.clone());
        let c = &mut self.chance;
        let (weeks, off, each) = h.celsius;
        if c.happens(weeks * often) {
            let shown = seen.celsius + off + each * c.bell();
            let shown = halves(slipped(c, h.slips, shown, 8.0));
            self.read(Measured::BeddingCelsius, vec![shown], "own", Place::Middle);
        }
        let c = &mut self.chance;
        if c.happens(h.room * often) {
            let shown = halves(seen.room + off + each * c.bell());
            self.read(Measured::AirCelsius, vec![shown], "own", Place::Spread);
        }
        let c = &mut self.chance;
        let (weeks, off, each) = h.salt;
        if c.happens(weeks * often) {
            let shown = seen.salt * (off + each * c.bell()).exp();
            let shown = (100.0 * shown).round() / 100.0;
            self.read(Measured::EcMsCm, vec![shown], "own", Place::Spread);
        }
        let c = &mut self.chance;
        let (weeks, off, each) = h.ph;
        if c.happens(weeks * often) {
            let met = slipped(c, h.slips, seen.ph + off, 1.2);
            let spots = 1 + c.one_of(3);
            let shown: Vec<f64> = (0..spots)
                .map(|_| tenths(met + each * c.bell()).clamp(2.5, 10.5))
                .collect();
            let mean = shown.iter().sum::<f64>() / shown.len() as f64;
            self.read(Measured::Ph, shown, "cheap_pen", Place::Spread);
            self.lime(mean)?;
        }
        Ok(())
    }

    fn read(&mut self, what: Measured, spots: Vec<f64>, instrument: &str, place: Place) {
        self.write(Body::Reading(Reading {
            what,
            spots,
            instrument: instrument.to_owned(),
            place,
            text: String::new(),
            confirmed: true,
        }));
    }

    fn lime(&mut self, read: f64) -> Result<(), ValidationError> {
        let today = self.world.day;
        let lately = self.limed_on.is_some_and(|on| today - on < LIMES_EVERY);
        if read >= self.habits.limes_below || lately {
            return Ok(());
        }
        let grams = 10.0 * (1.0 + self.chance.one_of(5) as f64);
        self.limed_on = Some(today);
        self.world
            .lime(grams / 1000.0 * LIME * self.chance.factor(0.1));
        let amount = amount(&format!("{grams} g"))?;
        self.write(Body::Dose(Dose {
            material: "limestone_calcitic".to_owned(),
            amount,
            how: Applied::MixedIn,
        }));
        Ok(())
    }

    /// Cores through the whole depth, sorted by hand.
    fn count(&mut self, week: u32) {
        let h = self.habits.clone();
        if week < 3 || !self.chance.happens(h.counts) {
            return;
        }
        let seen = self.world.seen();
        let share = (h.count_litres / seen.litres.max(h.count_litres)).min(1.0);
        let met = seen.worms * share * h.finds * self.chance.factor(h.clumps);
        let found = self.chance.tally(met);
        self.write(Body::WormCount {
            found,
            litres_searched: Some(h.count_litres),
            grams: None,
            ball: false,
        });
    }
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

/// In so many of all, a number that is off by up to `by` either way.
fn slipped(c: &mut Chance, share: f64, x: f64, by: f64) -> f64 {
    if c.happens(share) {
        x + by * c.between(-1.0, 1.0)
    } else {
        x
    }
}
