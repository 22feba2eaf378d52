//! How much to feed now: the largest amount with at most a tenth chance of
//! sour, hot, wet or ammonia trouble before the next look, never above what
//! worms and microbes can take, with the dry bedding to add beside it.

pub mod balance;
mod caps;
mod fed;
mod kitchen;
mod limits;
mod numbers;
mod published;

use crate::bed::fill::{FillError, Own};
use crate::estimate::Estimate;
use crate::estimate::ahead::{Ahead, Outlooker, Plan};
use crate::living::signs::Signs;
use crate::living::trouble::{EVEN, Trouble};
use crate::log::Part;
use crate::quantity::{Band, Celsius};
use crate::table::{TableError, Tables};
use caps::Caps;
pub use fed::may_be_fed;
use kitchen::Kitchen;
use numbers::Numbers;
pub use published::{Published, published};
use thiserror::Error;

/// How the feed was made ready.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Prepared {
    /// As it is, in pieces.
    #[default]
    Whole,
    /// Chopped small.
    Chopped,
    /// Blended to pulp.
    Blended,
    /// Frozen through and put in still frozen.
    Frozen,
    /// Frozen, thawed and drained.
    Thawed,
}

/// What is asked.
#[derive(Debug, Clone)]
pub struct RationAsk<'a> {
    /// The tables.
    pub tables: &'a Tables,
    /// The keeper's own values by material.
    pub own: &'a Own,
    /// How the bin stands.
    pub estimate: &'a Estimate,
    /// Bed temperature [°C].
    pub bed: Celsius,
    /// The feed, by its parts to each other: amounts say in what proportion.
    pub feed: Vec<Part>,
    /// How it was made ready.
    pub prepared: Prepared,
    /// Key of the dry bedding at hand.
    pub bedding: String,
    /// Days until the keeper can look again at the soonest [d].
    pub soonest_days: f64,
    /// Days until the keeper can look again at the latest [d].
    pub latest_days: f64,
    /// Members to look ahead with.
    pub members: usize,
    /// Troubles that the keeper saw, and that nothing written since says are
    /// over.
    pub seen: Vec<Trouble>,
    /// Share of the last feeding that the keeper saw is left, where that goes
    /// before the estimate [0 to 1].
    pub seen_left: Option<f64>,
}

/// Why there is no ration.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum RationError {
    /// The feed could not be used.
    #[error(transparent)]
    Fill(#[from] FillError),
    /// A number is missing.
    #[error(transparent)]
    Table(#[from] TableError),
    /// Nothing was named to feed.
    #[error("the feed names no material; name at least one, such as `kitchen_scraps_veg`")]
    NoFeed,
    /// The bedding beside the feed is not in the tables.
    #[error("bedding `{0}` is not in the tables; name one, such as `cardboard_corrugated`")]
    NoBedding(String),
    /// A material that is no bedding was named as the bedding at hand.
    #[error(
        "bedding `{material}` ({name}) is not a bedding; allowed are materials of role bedding, such as `cardboard_corrugated`"
    )]
    NotBedding {
        /// Key.
        material: String,
        /// Name.
        name: String,
    },
    /// A material that is no food for worms.
    #[error(
        "feed `{material}` ({name}) is {is}, which is not fed; allowed are materials of role feed, manures and papers. Write it down as what it is, a dose or bedding"
    )]
    NotFeed {
        /// Key.
        material: String,
        /// Name.
        name: String,
        /// What it is instead.
        is: &'static str,
    },
    /// A material that harms worms.
    #[error(
        "feed `{material}` ({name}) harms worms and is never fed; allowed are materials of role feed, manures and papers"
    )]
    NeverFed {
        /// Key.
        material: String,
        /// Name.
        name: String,
    },
    /// Water and nothing else.
    #[error(
        "feed `water` is no food; allowed are materials of role feed, manures and papers. Write water down as water"
    )]
    OnlyWater,
}

/// What holds the ration down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Held {
    /// What worms and microbes can take before the next look.
    Appetite,
    /// What the worms that live in it can eat before the next look.
    Mouths,
    /// Most worms keep off the bed and do not eat.
    OffTheBed,
    /// A chance of trouble that more food would bring.
    Trouble(Trouble),
    /// Trouble that is there, or likely with nothing fed, and that food makes
    /// worse: none is given.
    There(Trouble),
    /// Nothing was fed for weeks: half at first.
    Pause,
    /// A new bin is fed little at first.
    NewBin,
    /// Much of the last feeding is still there.
    FoodLeft,
    /// A rise of no more than half over the last ration at a time.
    Step,
    /// No worms are in.
    NoWorms,
    /// Too cold to eat.
    Cold,
    /// A cap of the food itself.
    Food(Sparing),
    /// Salt of the food: so much a week and no more.
    Salt,
    /// Frozen food chills the bed as it thaws.
    Chill,
    /// Food is given for a week at most, however long nobody looks.
    Look,
    /// No more room in the bin.
    Room,
}

/// Food that is given sparingly, whatever the look ahead says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sparing {
    /// Citrus, onion, garlic, ginger: worms keep off it.
    Repellent,
    /// Bread, rice, pasta: starch sours and heats.
    Starch,
    /// Bran, meal, mash: protein gives heat and ammonia.
    Protein,
    /// Grass and green leaf heat in a heap.
    Green,
    /// Cooked leftovers: salt and fat.
    Leftovers,
    /// Coffee grounds pack tight.
    Grounds,
    /// Anything at all: nothing is fed faster.
    Any,
}

impl Sparing {
    /// Stable name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Repellent => "repellent",
            Self::Starch => "starch",
            Self::Protein => "protein",
            Self::Green => "green",
            Self::Leftovers => "leftovers",
            Self::Grounds => "grounds",
            Self::Any => "any_food",
        }
    }

    /// Why there is a limit, as part of a sentence.
    #[must_use]
    pub const fn why(self) -> &'static str {
        match self {
            Self::Repellent => "worms keep off citrus, onion and garlic while it is fresh",
            Self::Starch => "starch sours and heats",
            Self::Protein => "food rich in protein heats and gives ammonia",
            Self::Green => "green leaf heats in a heap",
            Self::Leftovers => "cooked leftovers carry salt and fat",
            Self::Grounds => {
                "coffee grounds pack tight and go airless, so they are a quarter of a ration at most, with three times as much of other scraps"
            }
            Self::Any => "nothing is fed faster than this, whatever it is",
        }
    }
}

/// A caution about one feed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// Material.
    pub material: String,
    /// What to mind.
    pub text: String,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Ration {
    /// Feed now, wet [g]: the amount to give, and what it would be if the
    /// estimate lay at either end of its interval.
    pub grams: Band,
    /// The same by material, in the order asked [g].
    pub parts: Vec<(String, f64)>,
    /// Days to the next look.
    pub look_in_days: f64,
    /// Dry bedding to add with it [g].
    pub bedding_grams: f64,
    /// Water to add with it [g]; when the bed is dry.
    pub water_grams: f64,
    /// What holds it down, the tightest first.
    pub held: Vec<Held>,
    /// Chance of trouble before the next look with this ration, by trouble.
    pub chances: Vec<(Trouble, f64)>,
    /// The same with nothing fed.
    pub chances_unfed: Vec<(Trouble, f64)>,
    /// What worms and microbes could take a day, wet feed [g/d].
    pub could_take_per_day: Band,
    /// Feed per worms and day at this ration [kg/kg/d].
    pub per_worms_per_day: Option<Band>,
    /// Cautions of the materials.
    pub cautions: Vec<Caution>,
    /// Share of the last feeding still to be seen.
    pub food_left: Band,
    /// Room left under the rim [L]; below nought where the contents stand over
    /// it.
    pub room_litres: Band,
}

/// Troubles food can bring on before the next look.
const BROUGHT: [Trouble; 7] = [
    Trouble::Souring,
    Trouble::Acid,
    Trouble::TooHot,
    Trouble::Drowning,
    Trouble::Ammonia,
    Trouble::Salty,
    Trouble::Leaving,
];

/// Troubles that food does not bring on, and in which none is given.
const STANDING: [Trouble; 2] = [Trouble::WetBase, Trouble::Freezing];

/// How much to feed now.
///
/// # Errors
/// [`RationError`] when the feed or bedding cannot be used.
pub fn ration(ask: &RationAsk<'_>) -> Result<Ration, RationError> {
    if ask.feed.is_empty() {
        return Err(RationError::NoFeed);
    }
    let numbers = Numbers::load(ask.tables, ask.estimate.scene.species)?;
    let kitchen = Kitchen::of(ask, &numbers)?;
    let ensemble = ask.estimate.ensemble.thinned(ask.members);
    let signs = ensemble.signs(&ask.estimate.scene);
    let caps = caps::caps(ask, &numbers, &kitchen, &ensemble, &signs);
    let outlooker = Outlooker::new(ask.tables, ask.estimate, ask.bed)?;
    let days = caps.days.ceil().clamp(1.0, 30.0) as u32;
    let unfed = outlooker.ahead(&ensemble, &Plan::default(), days);
    let already = already(&ask.seen, &unfed, &numbers);
    let most = if already.is_some() { 0.0 } else { caps.grams };
    let try_with = |grams: f64| kitchen.try_with(&outlooker, &ensemble, &signs, grams, days);
    let fits = |ahead: &Ahead| worse(ahead, &unfed, &numbers).is_none();
    let mut grams = 0.0;
    let mut held = caps.held.clone();
    held.splice(0..0, already.map(Held::There));
    if most >= numbers.smallest_grams {
        let at_most = try_with(most);
        if fits(&at_most) {
            grams = most;
        } else {
            held.insert(
                0,
                Held::Trouble(worse(&at_most, &unfed, &numbers).unwrap_or(Trouble::Souring)),
            );
            grams = bisect(most, |g| fits(&try_with(g)));
        }
    }
    if grams < numbers.smallest_grams {
        grams = 0.0;
    }
    let fed = try_with(grams);
    let (bedding_grams, water_grams) = kitchen.beside(&signs, &ensemble.weights, grams);
    Ok(Ration {
        grams: around(grams, &caps, &held),
        parts: kitchen.shares(grams),
        look_in_days: if grams > 0.0 {
            caps.days
        } else {
            ask.soonest_days.max(2.0)
        },
        bedding_grams,
        water_grams,
        held,
        chances: chances(&fed),
        chances_unfed: chances(&unfed),
        could_take_per_day: caps.could_take,
        per_worms_per_day: per_worms(grams / caps.days, &signs, &ensemble.weights),
        cautions: kitchen.cautions.clone(),
        food_left: band(&signs, &ensemble.weights, |s| s.feed_left),
        room_litres: band(&signs, &ensemble.weights, |s| {
            ask.estimate.scene.home.litres() - s.litres
        }),
    })
}

/// The largest amount up to `most` that fits, to a few per cent.
fn bisect(most: f64, fits: impl Fn(f64) -> bool) -> f64 {
    const ROUNDS: u32 = 6;
    let (mut low, mut high) = (0.0, most);
    for _ in 0..ROUNDS {
        let middle = f64::midpoint(low, high);
        if fits(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// Trouble that is settled before anything is fed, worms living on the bedding
/// meanwhile: what the keeper saw of sourness, heat, wet or ammonia, any of
/// these too likely with nothing fed, liquid or frost as likely as not today.
/// Salt does not pass with waiting, so worms in a salty bed are fed.
fn already(seen: &[Trouble], unfed: &Ahead, n: &Numbers) -> Option<Trouble> {
    let by_eye = seen.iter().find(|t| t.is_fed_by_food()).copied();
    let soon = |t: &Trouble| t.is_fed_by_food() && unfed.alarm(*t).in_all() > n.chance;
    let here = |t: &Trouble| unfed.alarm(*t).now >= EVEN;
    by_eye
        .or_else(|| BROUGHT.into_iter().find(soon))
        .or_else(|| STANDING.into_iter().find(here))
}

/// The trouble a feeding makes too likely: over a tenth, and more likely than
/// with nothing fed.
fn worse(fed: &Ahead, unfed: &Ahead, n: &Numbers) -> Option<Trouble> {
    BROUGHT.into_iter().find(|t| {
        let (with, without) = (fed.alarm(*t).in_all(), unfed.alarm(*t).in_all());
        with > n.chance && with > without + n.more
    })
}

fn chances(ahead: &Ahead) -> Vec<(Trouble, f64)> {
    BROUGHT
        .iter()
        .map(|t| (*t, ahead.alarm(*t).in_all()))
        .collect()
}

fn band(signs: &[Signs], weights: &[f64], of: impl Fn(&Signs) -> f64) -> Band {
    let values: Vec<f64> = signs.iter().map(of).collect();
    Band::weighted(&values, weights).unwrap_or(Band {
        median: 0.0,
        low: 0.0,
        high: 0.0,
    })
}

/// The ration with what it would be were the appetite at either end. More than
/// the ration only where nothing but appetite holds it down.
fn around(grams: f64, caps: &Caps, held: &[Held]) -> Band {
    let take = caps.could_take;
    let low = grams * (take.low / take.median.max(1e-9)).clamp(0.0, 1.0);
    let high = match held.first() {
        Some(Held::Appetite | Held::Look) => {
            grams * (take.high / take.median.max(1e-9)).clamp(1.0, 4.0)
        }
        _ => grams,
    };
    Band {
        median: grams,
        low,
        high,
    }
}

fn per_worms(grams_per_day: f64, signs: &[Signs], weights: &[f64]) -> Option<Band> {
    let kg = band(signs, weights, |s| s.worms_kg);
    (kg.low > 1e-4).then(|| Band {
        median: grams_per_day / 1000.0 / kg.median,
        low: grams_per_day / 1000.0 / kg.high,
        high: grams_per_day / 1000.0 / kg.low,
    })
}
