//! How much to feed now: the largest amount with at most a tenth chance of
//! sour, hot, wet or ammonia trouble before the next look, never above what
//! worms and microbes can take, with the dry bedding to add beside it.

pub mod balance;

use crate::bed::fill::{FillError, Own, ReadyPart, ready};
use crate::bed::product::Ranged;
use crate::estimate::Estimate;
use crate::estimate::ahead::{Act, Ahead, Outlooker, Plan};
use crate::estimate::ensemble::Ensemble;
use crate::living::rot::{self, Kind};
use crate::living::signs::Signs;
use crate::living::trouble::Trouble;
use crate::log::Part;
use crate::measure::{Amount, Unit};
use crate::quantity::{Band, Celsius};
use crate::table::{TableError, Tables};
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
    /// An amount beside the feed could not be read.
    #[error("bedding `{0}` is not in the tables; name one, such as `cardboard_corrugated`")]
    NoBedding(String),
}

/// What holds the ration down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Held {
    /// What worms and microbes can take before the next look.
    Appetite,
    /// A chance of trouble.
    Trouble(Trouble),
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
    /// A cap of the material: citrus, salt, protein and the like.
    Material,
    /// No more room in the bin.
    Room,
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
}

/// Published advice on feed per worms and day [kg/kg/d], lowest and highest,
/// with where each is from.
pub const PUBLISHED: [(f64, &str); 4] = [
    (
        0.14,
        "university extension leaflet: a pound a week per pound of worms",
    ),
    (0.5, "city leaflet: half the worms' weight a day"),
    (0.75, "Ndegwa, Thompson & Das 2000: for the best castings"),
    (1.25, "Ndegwa, Thompson & Das 2000: for the most worms"),
];

/// Largest chance of trouble a ration may carry.
const CHANCE: f64 = 0.10;
/// Troubles food can bring on before the next look.
const BROUGHT: [Trouble; 5] = [
    Trouble::Souring,
    Trouble::TooHot,
    Trouble::Drowning,
    Trouble::Ammonia,
    Trouble::Leaving,
];

/// How much to feed now.
///
/// # Errors
/// [`RationError`] when the feed or bedding cannot be used.
pub fn ration(ask: &RationAsk<'_>) -> Result<Ration, RationError> {
    if ask.feed.is_empty() {
        return Err(RationError::NoFeed);
    }
    let kitchen = Kitchen::of(ask)?;
    let ensemble = ask.estimate.ensemble.thinned(ask.members);
    let signs = ensemble.signs(&ask.estimate.scene);
    let caps = caps(ask, &kitchen, &ensemble, &signs);
    let outlooker = Outlooker::new(ask.tables, ask.estimate, ask.bed)?;
    let days = caps.days.ceil().clamp(1.0, 30.0) as u32;
    let unfed = outlooker.ahead(&ensemble, &Plan::default(), days);
    let already = already(&unfed);
    let most = if already.is_some() { 0.0 } else { caps.grams };
    let try_with = |grams: f64| kitchen.try_with(&outlooker, &ensemble, &signs, grams, days);
    let fits = |ahead: &Ahead| worse(ahead, &unfed).is_none();
    let mut grams = 0.0;
    let mut held = caps.held.clone();
    held.splice(0..0, already.map(Held::Trouble));
    if most >= SMALLEST_GRAMS {
        let at_most = try_with(most);
        if fits(&at_most) {
            grams = most;
        } else {
            held.insert(
                0,
                Held::Trouble(worse(&at_most, &unfed).unwrap_or(Trouble::Souring)),
            );
            grams = bisect(most, |g| fits(&try_with(g)));
        }
    }
    if grams < SMALLEST_GRAMS {
        grams = 0.0;
    }
    let fed = try_with(grams);
    let (bedding_grams, water_grams) = kitchen.beside(&signs, &ensemble.weights, grams);
    Ok(Ration {
        grams: around(grams, &caps),
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
    })
}

/// Smallest ration worth carrying out [g].
const SMALLEST_GRAMS: f64 = 10.0;

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

/// Sourness, heat, wet or ammonia that is too likely with nothing fed: it is
/// settled first, and worms live on the bedding meanwhile.
fn already(unfed: &Ahead) -> Option<Trouble> {
    BROUGHT
        .into_iter()
        .find(|t| *t != Trouble::Leaving && unfed.alarm(*t).in_all() > CHANCE)
}

/// The trouble a feeding makes too likely: over a tenth, and more likely than
/// with nothing fed.
fn worse(fed: &Ahead, unfed: &Ahead) -> Option<Trouble> {
    const MORE: f64 = 0.02;
    BROUGHT.into_iter().find(|t| {
        let (with, without) = (fed.alarm(*t).in_all(), unfed.alarm(*t).in_all());
        with > CHANCE && with > without + MORE
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

/// The ration with what it would be were the appetite at either end.
fn around(grams: f64, caps: &Caps) -> Band {
    let take = caps.could_take;
    let low = grams * (take.low / take.median.max(1e-9)).clamp(0.0, 1.0);
    let high = grams * (take.high / take.median.max(1e-9)).clamp(1.0, 4.0);
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

/// The feed and bedding at hand, made ready.
struct Kitchen {
    /// One gram of the feed, part by part.
    parts: Vec<ReadyPart>,
    shares: Vec<(String, f64)>,
    bedding: ReadyPart,
    prepared: Prepared,
    balance: balance::Balance,
    dry_share: f64,
    cap_g_per_g_worms: f64,
    cautions: Vec<Caution>,
}

impl Kitchen {
    fn of(ask: &RationAsk<'_>) -> Result<Self, RationError> {
        let parts = ready(ask.tables, &ask.feed, ask.own)?;
        let total: f64 = parts.iter().map(|p| p.grams.value).sum();
        let bedding_part = Part::plain(
            ask.bedding.clone(),
            Amount {
                number: 100.0,
                unit: Unit::Gram,
            },
        );
        let bedding = ready(ask.tables, &[bedding_part], ask.own)
            .map_err(|_| RationError::NoBedding(ask.bedding.clone()))?
            .remove(0);
        let shares: Vec<(String, f64)> = ask
            .feed
            .iter()
            .zip(&parts)
            .map(|(asked, p)| (asked.material.clone(), p.grams.value / total))
            .collect();
        let scaled: Vec<ReadyPart> = parts.iter().map(|p| p.times(1.0 / total)).collect();
        let balance = balance::Balance::of(&scaled, &bedding);
        let (cap_g_per_g_worms, cautions) = material_caps(ask, &shares, &parts);
        Ok(Self {
            dry_share: balance.feed_dry,
            parts: scaled,
            shares,
            bedding,
            prepared: ask.prepared,
            balance,
            cap_g_per_g_worms,
            cautions,
        })
    }

    fn shares(&self, grams: f64) -> Vec<(String, f64)> {
        self.shares
            .iter()
            .map(|(k, s)| (k.clone(), s * grams))
            .collect()
    }

    /// Dry bedding and water to add beside `grams` of feed [g].
    fn beside(&self, signs: &[Signs], weights: &[f64], grams: f64) -> (f64, f64) {
        let moisture = band(signs, weights, |s| s.moisture_percent);
        let drop = band(signs, weights, |s| s.drop_moisture_percent);
        let contents = band(signs, weights, |s| s.contents_kg);
        self.balance
            .beside(grams, moisture.median, drop.median, contents.median)
    }

    /// Looks ahead with `grams` fed now, bedding beside it.
    fn try_with(
        &self,
        o: &Outlooker<'_>,
        ensemble: &Ensemble,
        signs: &[Signs],
        grams: f64,
        days: u32,
    ) -> Ahead {
        if grams <= 0.0 {
            return o.ahead(ensemble, &Plan::default(), days);
        }
        let feed: Vec<ReadyPart> = self.parts.iter().map(|p| p.times(grams)).collect();
        let mut acts = vec![(0.0, Act::Feed(feed))];
        let (bedding, water) = self.beside(signs, &ensemble.weights, grams);
        if bedding > 0.0 {
            let part = self.bedding.times(bedding / self.bedding.grams.value);
            acts.push((0.0, Act::Bedding(vec![part])));
        }
        if water > 0.0 {
            acts.push((0.0, Act::Water(Ranged::exactly(water / 1000.0))));
        }
        if self.prepared == Prepared::Frozen {
            acts.push((
                0.0,
                Act::Heat(-grams / 1000.0 * (1.0 - self.dry_share) * FREEZE_KJ),
            ));
        }
        let plan = Plan {
            acts,
            ..Plan::default()
        };
        o.ahead(ensemble, &plan, days)
    }
}

/// Heat that frozen feed takes up to thaw and warm to the bed [kJ/kg water]:
/// melting and 18 degrees of ice, by the constants of the living bin.
const FREEZE_KJ: f64 = 334.0 + 2.1 * 18.0 + 4.19 * 18.0;

/// How far prepared feed goes faster than whole [-] (estimate).
fn hastened(prepared: Prepared) -> f64 {
    match prepared {
        Prepared::Whole => 1.0,
        Prepared::Chopped => 1.2,
        Prepared::Thawed | Prepared::Frozen => 1.35,
        Prepared::Blended => 1.6,
    }
}

/// What caps the ration before any look ahead.
struct Caps {
    grams: f64,
    days: f64,
    could_take: Band,
    held: Vec<Held>,
}

/// Days worms need to settle into a new bin before full rations (common
/// practice: half until two weeks, full by three to four).
const SETTLING_DAYS: f64 = 21.0;

fn caps(ask: &RationAsk<'_>, k: &Kitchen, e: &Ensemble, signs: &[Signs]) -> Caps {
    // Wet feed that worms and microbes could take a day, in each possible bin.
    let c = &ask.estimate.scene.priors.constants;
    let take: Vec<f64> = e
        .members
        .iter()
        .map(|m| {
            let worms = m.life.lately.appetite_kg * WORMS_SHARE;
            let warm = rot::warmth(
                m.life.lately.zones.core,
                c.q10,
                c.best_celsius,
                c.stops_celsius,
            );
            let microbes = MICROBES_G_PER_G
                * warm
                * m.life.dry_kg(&ask.estimate.scene.priors)
                * hastened(ask.prepared);
            1000.0 * (worms + microbes) / k.dry_share.max(0.02)
        })
        .collect();
    let could_take = Band::weighted(&take, &e.weights).unwrap_or(Band {
        median: 0.0,
        low: 0.0,
        high: 0.0,
    });
    let days = ask.latest_days.min(7.0).max(ask.soonest_days).max(1.0);
    // Fit for four bins in five.
    let mut caps = Caps {
        grams: f64::midpoint(could_take.low, could_take.median) * days,
        days,
        could_take,
        held: vec![Held::Appetite],
    };
    let mut cap = |grams: f64, why: Held| {
        if grams < caps.grams {
            caps.grams = grams;
            caps.held.insert(0, why);
        }
    };
    let median = |of: fn(&Signs) -> f64| band(signs, &e.weights, of).median;
    let worms_g = 1000.0 * median(|s| s.worms_kg);
    if worms_g < 1.0 {
        cap(0.0, Held::NoWorms);
    }
    cap(worms_g * k.cap_g_per_g_worms * days, Held::Material);
    let settled = signs.iter().find_map(|s| s.stocked_days).unwrap_or(0.0);
    if settled < SETTLING_DAYS {
        let share = 0.2 + 0.8 * settled / SETTLING_DAYS;
        cap(worms_g * share * 0.25 * days, Held::NewBin);
    }
    let left = median(|s| s.feed_left);
    if left > 0.5 {
        cap(0.0, Held::FoodLeft);
    } else if left > 0.2 {
        let room = caps_now(could_take, days) * (0.5 - left) / 0.3;
        cap(room, Held::FoodLeft);
    }
    if median(|s| s.refuge_celsius) < 6.0 {
        cap(worms_g * 0.02 * days, Held::Cold);
    }
    let room = ask.estimate.scene.home.litres() - median(|s| s.litres);
    cap((room * 600.0).max(0.0), Held::Room);
    if let Some(last) = last_ration(ask) {
        cap(STEP_UP * last * days, Held::Step);
    }
    caps
}

fn caps_now(could_take: Band, days: f64) -> f64 {
    f64::midpoint(could_take.low, could_take.median) * days
}

/// Share of the worms' appetite that fresh feed may meet; the rest they find
/// in bedding.
const WORMS_SHARE: f64 = 0.6;
/// Dry feed microbes of a moist bed take a day at 20 °C, per dry bed [g/g/d]
/// (estimate).
const MICROBES_G_PER_G: f64 = 0.0025;
/// Largest rise over the last ration.
const STEP_UP: f64 = 1.5;
/// Days over which the last rations are counted.
const LAST_DAYS: f64 = 21.0;

/// Mean wet feed per day over the last three weeks, by the most likely bin
/// [g/d]; `None` when nothing was fed then.
fn last_ration(ask: &RationAsk<'_>) -> Option<f64> {
    let e = ask.estimate;
    let fed: Vec<_> = e
        .fed
        .iter()
        .filter(|f| (e.now - f.at) as f64 <= LAST_DAYS * 86_400.0 && f.at <= e.now)
        .collect();
    let first = fed.iter().map(|f| f.at).min()?;
    let days = ((e.now - first) as f64 / 86_400.0).max(2.0);
    Some(fed.iter().map(|f| f.grams).sum::<f64>() / days)
}

/// Caps and cautions of the materials: wet feed a day per worms [g/g/d].
fn material_caps(
    ask: &RationAsk<'_>,
    shares: &[(String, f64)],
    parts: &[ReadyPart],
) -> (f64, Vec<Caution>) {
    let mut cap: f64 = 2.0;
    let mut cautions = Vec::new();
    for ((key, share), part) in shares.iter().zip(parts) {
        let kind = ask.estimate.scene.priors.rates.kinds.get(key).copied();
        let (most, text) = cap_of(key, kind);
        if let Some(most) = most {
            cap = cap.min(most / share.max(0.02));
        }
        let own = part
            .material
            .iter()
            .flat_map(|m| m.cautions.iter().cloned());
        for text in text.map(str::to_owned).into_iter().chain(own) {
            cautions.push(Caution {
                material: key.clone(),
                text,
            });
        }
    }
    (cap, cautions)
}

/// Most of one feed a day per worms [g/g/d], and why (common practice, no
/// source, but for the heat and acid the look ahead weighs besides).
fn cap_of(key: &str, kind: Option<Kind>) -> (Option<f64>, Option<&'static str>) {
    match (key, kind) {
        ("citrus_peel" | "onion" | "onion_skins" | "garlic" | "ginger", _) => (
            Some(0.02),
            Some("Worms keep off it while it is fresh. A little, at one side, so that they can."),
        ),
        (_, Some(Kind::Starch)) => (
            Some(0.04),
            Some("Starch sours and heats. Thin, mixed with bedding, never in one lump."),
        ),
        (_, Some(Kind::Meal)) => (
            Some(0.02),
            Some("Rich in protein: it heats and gives ammonia. A dusting, not a layer."),
        ),
        (_, Some(Kind::Green)) => (
            Some(0.06),
            Some(
                "Green leaf heats in a heap. Spread it thinner than two fingers, or let it wilt first.",
            ),
        ),
        ("kitchen_food_waste_mixed", _) => (
            Some(0.05),
            Some("Cooked leftovers carry salt and fat. Leave out meat; rinse what is salty."),
        ),
        (_, Some(Kind::Grounds)) => (
            Some(0.1),
            Some("Up to a quarter of what you feed; more packs tight and goes airless."),
        ),
        _ => (None, None),
    }
}
