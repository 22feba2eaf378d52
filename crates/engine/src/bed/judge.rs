//! Will worms stay in this bedding? Judged before they go in, from parts and
//! whatever is known of them.

use crate::bed::draw::{Tape, in_range};
use crate::bed::fill::{self, Conditions, FillError, Own, ReadyPart, Totals};
use crate::bed::possible::PossibleBed;
use crate::bed::product::{Action, Product};
use crate::bed::reasons;
use crate::bed::risk::RiskNumbers;
use crate::bed::soak::{self, LimeNeed};
use crate::bed::squeeze::Squeeze;
use crate::bed::weights::{Remedies, Weights};
use crate::log::Part;
use crate::quantity::{Band, Celsius};
use crate::table::{TableError, Tables};

/// What is asked.
#[derive(Debug, Clone)]
pub struct Question<'a> {
    /// The parts.
    pub parts: &'a [Part],
    /// The keeper's own values of materials.
    pub own: &'a Own,
    /// Temperature where the bin will stand [°C].
    pub temperature: Celsius,
    /// Depth of bedding [cm]; the usual 20 when not given.
    pub depth_cm: Option<f64>,
    /// Liming material to plan with when the bedding is sour.
    pub lime: &'a str,
    /// Seed of the draws.
    pub seed: u64,
    /// Number of possible mixes drawn.
    pub draws: usize,
    /// So many of them, evenly taken, the lime is worked out of.
    pub lime_draws: usize,
}

/// One word for the keeper.
#[derive(Debug, Clone, PartialEq)]
pub enum Verdict {
    /// Worms may go in, after the tray test.
    Ready,
    /// Worms may go in after these things.
    ReadyAfter {
        /// What to do, in order.
        what: Vec<String>,
        /// Days it takes, soonest and latest.
        days: (f64, f64),
    },
    /// Not a bedding for worms.
    NotForWorms,
}

impl Verdict {
    /// The verdict as a stable key.
    #[must_use]
    pub fn key(&self) -> &'static str {
        match self {
            Self::Ready => "ready",
            Self::ReadyAfter { .. } => "ready_after",
            Self::NotForWorms => "not_for_worms",
        }
    }
}

/// What a reason is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Topic {
    /// Acid or alkaline.
    Acid,
    /// Wet or dry.
    Moisture,
    /// Salt.
    Salt,
    /// Ammonia.
    Ammonia,
    /// Heating.
    Heat,
    /// Air.
    Air,
    /// Food and bedding in balance.
    Balance,
    /// A material with a caution of its own.
    Material,
}

/// One reason, weightier first.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// What it is about.
    pub topic: Topic,
    /// How heavy it is [0 to 1]; chance of trouble times how bad.
    pub weight: f64,
    /// Plain words.
    pub text: String,
    /// What puts it right, if something does.
    pub remedy: Option<String>,
    /// Days the remedy takes, soonest and latest.
    pub days: Option<(f64, f64)>,
    /// Nothing puts it right.
    pub fatal: bool,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// pH in the first days, mixed and moist.
    pub ph: Band,
    /// pH after four weeks, when lime and filler in the parts have acted.
    pub ph_in_four_weeks: Band,
    /// Moisture [% of wet mass].
    pub moisture_percent: Band,
    /// Carbon to nitrogen [-].
    pub carbon_nitrogen: Band,
    /// Air-filled porosity [share of volume, 0 to 1].
    pub air_filled_porosity: Band,
    /// Salt as conductivity [mS/cm], on the scale of the tables.
    pub ec_ms_per_cm: Band,
    /// Dry mass [kg].
    pub dry_kg: Band,
    /// Volume of its parts as they come [L].
    pub loose_litres: Band,
    /// Volume it stands at, moist as it is, before it settles [L].
    pub wetted_litres: Band,
    /// Volume once it has settled under its own weight, before it rots [L].
    pub settled_litres: Band,
    /// Ammonia nitrogen the first ten days may set free [mg/g dry].
    pub ammonia_mg_per_g: Band,
    /// How far the middle may warm above the room [°C].
    pub heating_celsius: Band,
    /// Water to add for a good squeeze [L]; none where it holds more.
    pub water_to_add_litres: Band,
    /// Water it holds beyond a good squeeze [L]; none where it holds less.
    pub water_over_litres: Band,
    /// Chances of trouble.
    pub chances: Chances,
    /// Lime that would put a sour bedding right.
    pub lime: Option<LimeNeed>,
    /// One word.
    pub verdict: Verdict,
    /// Why, heaviest first.
    pub reasons: Vec<Reason>,
}

/// Chances of trouble [0 to 1].
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Chances {
    /// pH below the level where worms grow uneasy.
    pub sour: f64,
    /// pH below which worms without a way out did not last a week.
    pub deadly_sour: f64,
    /// pH above what they stand.
    pub alkaline: f64,
    /// Too dry.
    pub dry: f64,
    /// Too wet.
    pub wet: f64,
    /// So wet that a squeeze runs where a few drops are wanted.
    pub runs: f64,
    /// Too little air.
    pub airless: f64,
    /// Too salty.
    pub salty: f64,
    /// Too much ammonia.
    pub ammonia: f64,
    /// Too hot in the middle.
    pub hot: f64,
}

/// Levels at which trouble starts, from the tables.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Levels {
    /// pH below which worms grow uneasy.
    pub uneasy_ph: f64,
    /// pH below which they did not last a week where they had no way out.
    pub deadly_ph: f64,
    /// pH between which they do best.
    pub best_ph: (f64, f64),
    /// pH above which they do not last.
    pub alkaline_ph: f64,
    /// Driest bedding [% of wet mass].
    pub dry_percent: f64,
    /// Wettest bedding [% of wet mass].
    pub wet_percent: f64,
    /// Moisture to aim for [% of wet mass].
    pub aim_percent: f64,
    /// Least air [share].
    pub least_air: f64,
    /// Most salt [mS/cm].
    pub most_ec: f64,
    /// Most ammonia nitrogen [mg/g dry].
    pub most_ammonia: f64,
    /// Hottest [°C].
    pub hottest: f64,
    /// A chance under this is not worth a word.
    pub worth_a_word: f64,
    /// A chance this large asks for something to be done.
    pub asks_for_action: f64,
    /// A chance, or a share of feed, this large says no.
    pub says_no: f64,
    /// pH in four weeks for which lime already in the mix is waited for.
    pub worth_waiting_ph: f64,
    /// Share of feed in the dry mass beyond which there is no refuge.
    pub mostly_feed: f64,
    /// pH a limed bedding is brought to.
    pub lime_target_ph: f64,
    /// Median pH at which worms may be tried.
    pub gate_ph: f64,
    /// So near to where the lime will end is there [pH].
    pub near_end_ph: f64,
    /// Shortest and longest wait after liming [d].
    pub wait_days: (u32, u32),
    /// Longest wait told beside the shortest [-].
    pub wait_again: f64,
    /// Days after mixing of which pH is told, first and later [d].
    pub days: (f64, f64),
    /// Depth of bedding when nobody says [cm].
    pub usual_depth_cm: f64,
    /// So far under what the mix wants is too dry [% of wet mass].
    pub dry_under_aim: f64,
    /// Moisture a mix wants, so far under what it holds and this at least
    /// [share of wet mass].
    pub aim_under_holding: f64,
    /// See [`Levels::aim_under_holding`].
    pub aim_least: f64,
    /// Chances from which on something is, and is likely.
    pub is_and_likely: (f64, f64),
    /// At which moisture a squeeze drops, and runs.
    pub squeeze: Squeeze,
    /// Weights of reasons.
    pub weights: Weights,
    /// Days that remedies take.
    pub remedies: Remedies,
}

impl Levels {
    /// From the tables.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn from_tables(tables: &Tables) -> Result<Self, TableError> {
        let n = |property: &str| tables.value("bed", "levels", property);
        let worms = |property: &str| tables.value("tolerances", "worms", property);
        let judge = |property: &str| tables.value("bed", "judge", property);
        Ok(Self {
            uneasy_ph: worms("ph_uncomfortable_below")?,
            deadly_ph: worms("ph_low")?,
            best_ph: (worms("ph_target_low")?, worms("ph_target_high")?),
            alkaline_ph: n("alkaline_ph")?,
            dry_percent: n("driest_percent")?,
            wet_percent: n("wettest_percent")?,
            aim_percent: n("aim_moisture_percent")?,
            least_air: n("least_air_share")?,
            most_ec: n("most_ec_ms_per_cm")?,
            most_ammonia: worms("ammonia_mg_g")?,
            hottest: worms("temperature_high_celsius")?,
            worth_a_word: judge("worth_a_word")?,
            asks_for_action: judge("asks_for_action")?,
            says_no: judge("says_no")?,
            worth_waiting_ph: judge("worth_waiting_ph")?,
            mostly_feed: judge("mostly_feed_share")?,
            lime_target_ph: judge("lime_target_ph")?,
            gate_ph: judge("gate_ph")?,
            near_end_ph: judge("near_its_end_ph")?,
            wait_days: (
                judge("shortest_wait_days")? as u32,
                judge("longest_wait_days")? as u32,
            ),
            wait_again: judge("wait_again")?,
            days: (judge("settled_days")?, judge("later_days")?),
            usual_depth_cm: judge("usual_depth_cm")?,
            dry_under_aim: judge("dry_under_aim_percent")?,
            aim_under_holding: judge("aim_under_holding_share")?,
            aim_least: judge("aim_least_share")?,
            is_and_likely: (judge("is_chance")?, judge("likely_chance")?),
            squeeze: Squeeze::load(tables)?,
            weights: Weights::load(tables)?,
            remedies: Remedies::load(tables)?,
        })
    }
}

/// One drawn mix, measured.
#[derive(Debug, Clone)]
pub(crate) struct Sample {
    pub(crate) bed: PossibleBed,
    pub(crate) ph: f64,
    pub(crate) later: f64,
    pub(crate) moisture: f64,
    pub(crate) cn: f64,
    pub(crate) afp: f64,
    pub(crate) ec: f64,
    pub(crate) dry: f64,
    pub(crate) loose: f64,
    pub(crate) litres: f64,
    pub(crate) settled: f64,
    pub(crate) ammonia: f64,
    pub(crate) heating: f64,
    /// Water to the aim [kg]; below nought where it holds more.
    pub(crate) water_short: f64,
    pub(crate) aim: f64,
    /// Moisture at which a squeeze runs [% of wet mass].
    pub(crate) runs_from: f64,
    pub(crate) feed_share: f64,
}

/// Judges a bedding.
///
/// # Errors
/// [`FillError`] when a part cannot be read, naming the part and the fault.
pub fn judge(tables: &Tables, q: &Question<'_>) -> Result<Judgement, FillError> {
    let parts = fill::ready_bed(tables, q.parts, q.own)?;
    let levels = Levels::from_tables(tables)?;
    let samples = sample(tables, q, &parts, &levels)?;
    let chances = chances(&samples, &levels, q.temperature);
    let lime = if chances.sour > levels.worth_a_word {
        let product = Product::from_tables(tables, q.lime, q.own.get(q.lime).unwrap_or(&no_own()))?;
        let few = evenly(&samples, q.lime_draws);
        soak::lime_need(&product, &few, &levels, q.seed)
    } else {
        None
    };
    let mut reasons = reasons::reasons(tables, &parts, &samples, &chances, &levels, lime.as_ref());
    reasons.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    Ok(Judgement {
        ph: band(&samples, |s| s.ph),
        ph_in_four_weeks: band(&samples, |s| s.later),
        moisture_percent: band(&samples, |s| s.moisture),
        carbon_nitrogen: band(&samples, |s| s.cn),
        air_filled_porosity: band(&samples, |s| s.afp),
        ec_ms_per_cm: band(&samples, |s| s.ec),
        dry_kg: band(&samples, |s| s.dry),
        loose_litres: band(&samples, |s| s.loose),
        wetted_litres: band(&samples, |s| s.litres),
        settled_litres: band(&samples, |s| s.settled),
        ammonia_mg_per_g: band(&samples, |s| s.ammonia),
        heating_celsius: band(&samples, |s| s.heating),
        water_to_add_litres: band(&samples, |s| s.water_short.max(0.0)),
        water_over_litres: band(&samples, |s| (-s.water_short).max(0.0)),
        chances,
        lime,
        verdict: verdict(&reasons),
        reasons,
    })
}

/// `count` of them, evenly taken.
fn evenly(samples: &[Sample], count: usize) -> Vec<Sample> {
    let count = count.clamp(1, samples.len().max(1));
    let each = samples.len() as f64 / count as f64;
    let place = |k: usize| ((k as f64 + 0.5) * each) as usize;
    (0..count)
        .filter_map(|k| samples.get(place(k)).cloned())
        .collect()
}

fn no_own() -> std::collections::BTreeMap<String, f64> {
    std::collections::BTreeMap::new()
}

fn sample(
    tables: &Tables,
    q: &Question<'_>,
    parts: &[ReadyPart],
    levels: &Levels,
) -> Result<Vec<Sample>, FillError> {
    let conditions = Conditions::usual(tables, q.temperature)?;
    let numbers = RiskNumbers::from_tables(tables)?;
    let depth_m = q.depth_cm.unwrap_or(levels.usual_depth_cm) / 100.0;
    Ok((0..q.draws)
        .map(|i| {
            // As a possible bin is drawn when it is filled, so that both are
            // the same bed.
            let mut rng = Tape::new(q.seed, i);
            let (mut bed, totals) = fill::draw(&mut rng, parts, &conditions);
            fill::astray(&mut rng, &mut bed, &conditions);
            let litres = numbers.stands_at(&totals);
            let heating = numbers.heating(&mut rng, &totals, litres, depth_m);
            let noise = in_range(&mut rng, 0.0, -1.0, 1.0);
            measure(
                bed,
                &totals,
                (litres, depth_m),
                heating,
                &numbers,
                levels,
                noise,
            )
        })
        .collect())
}

fn measure(
    bed: PossibleBed,
    t: &Totals,
    (litres, depth_m): (f64, f64),
    heating: f64,
    numbers: &RiskNumbers,
    levels: &Levels,
    noise: f64,
) -> Sample {
    let mut settled = bed.clone();
    let (first, later) = levels.days;
    settled.advance(first);
    let ph = settled.ph();
    settled.advance(later - first);
    let later = settled.ph();
    let moisture = 100.0 * t.water_kg / t.wet_kg.max(1e-9);
    let aim = t.aim_moisture(levels);
    let settled_litres = litres * (1.0 - t.settled_share(depth_m));
    Sample {
        ph,
        later,
        moisture,
        cn: t.carbon_kg / t.nitrogen_kg.max(1e-9),
        afp: numbers.solids.air_filled_porosity(t, settled_litres),
        ec: (t.litres_ec / t.litres.max(1e-9)).max(0.0),
        dry: t.dry_kg,
        loose: t.litres,
        litres,
        settled: settled_litres,
        ammonia: numbers.ammonia_mg_per_g(t, noise),
        heating,
        water_short: t.dry_kg / (1.0 - aim) - t.wet_kg,
        aim: 100.0 * aim,
        runs_from: t.runs_from(levels),
        feed_share: t.feed_kg / t.dry_kg.max(1e-9),
        bed,
    }
}

fn chances(samples: &[Sample], l: &Levels, room: Celsius) -> Chances {
    let share = |f: &dyn Fn(&Sample) -> bool| {
        samples.iter().filter(|s| f(s)).count() as f64 / samples.len().max(1) as f64
    };
    Chances {
        sour: share(&|s| s.ph < l.uneasy_ph),
        deadly_sour: share(&|s| s.ph < l.deadly_ph),
        alkaline: share(&|s| s.ph > l.alkaline_ph),
        dry: share(&|s| s.moisture < l.dry_percent.min(s.aim - l.dry_under_aim)),
        wet: share(&|s| s.moisture > l.wet_percent),
        runs: share(&|s| s.moisture > s.runs_from),
        airless: share(&|s| s.afp < l.least_air),
        salty: share(&|s| s.ec > l.most_ec),
        ammonia: share(&|s| s.ammonia > l.most_ammonia),
        hot: share(&|s| room.value() + s.heating > l.hottest),
    }
}

pub(crate) fn band(samples: &[Sample], f: impl Fn(&Sample) -> f64) -> Band {
    let values: Vec<f64> = samples.iter().map(f).collect();
    Band::of(&values).unwrap_or(Band {
        median: f64::NAN,
        low: f64::NAN,
        high: f64::NAN,
    })
}

fn verdict(reasons: &[Reason]) -> Verdict {
    if reasons.iter().any(|r| r.fatal) {
        return Verdict::NotForWorms;
    }
    // Water first: what is mixed into a bed that runs is wrung out with it.
    let mut asked: Vec<&Reason> = reasons.iter().filter(|r| r.remedy.is_some()).collect();
    asked.sort_by_key(|r| r.topic != Topic::Moisture);
    let what: Vec<String> = asked.iter().filter_map(|r| r.remedy.clone()).collect();
    if what.is_empty() {
        return Verdict::Ready;
    }
    let days = asked
        .iter()
        .filter_map(|r| r.days)
        .fold((0.0f64, 0.0f64), |a, b| (a.0.max(b.0), a.1.max(b.1)));
    Verdict::ReadyAfter { what, days }
}

/// Whether a product may be offered for bedding without worms in it.
pub(crate) fn fit_for_bedding(action: Action) -> bool {
    matches!(action, Action::Ground | Action::Soluble)
}
