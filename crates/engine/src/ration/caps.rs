//! What holds a ration down before any look ahead: appetite, settling in, food
//! left, cold, salt, chill, room, the last ration, and the feed itself.

use super::fed::flagged;
use super::kitchen::Kitchen;
use super::limits;
use super::numbers::Numbers;
use super::{Caution, Held, RationAsk, Sparing, band};
use crate::bed::fill::ReadyPart;
use crate::estimate::ensemble::Ensemble;
use crate::living::rot::Kind;
use crate::living::signs::Signs;
use crate::living::trouble::EVEN;
use crate::quantity::Band;
use crate::table::Tables;

/// What caps the ration before any look ahead.
pub(super) struct Caps {
    /// Most to feed [g wet].
    pub(super) grams: f64,
    /// Days until the next look [d].
    pub(super) days: f64,
    /// What worms and microbes could take [g wet/d].
    pub(super) could_take: Band,
    /// What holds it down, the tightest first.
    pub(super) held: Vec<Held>,
}

impl Caps {
    /// Holds the ration to `grams`, if that is less.
    fn cap(&mut self, grams: f64, why: Held) {
        if grams < self.grams {
            self.grams = grams;
            self.held.retain(|held| *held != why);
            self.held.insert(0, why);
        }
    }
}

/// What worms and microbes could take, and all that holds it down but the look
/// ahead.
pub(super) fn caps(
    ask: &RationAsk<'_>,
    n: &Numbers,
    k: &Kitchen,
    e: &Ensemble,
    signs: &[Signs],
) -> Caps {
    let (worms_take, could_take) = could_take(ask, n, k, e);
    let days = ask
        .latest_days
        .min(n.look_days)
        .max(ask.soonest_days)
        .max(1.0);
    // Food for a longer absence would lie there and spoil.
    let fed_for = days.min(n.look_days);
    // Midway between the 10th percentile and the median: fit for some seven
    // bins in ten.
    let fits = |take: &Band| f64::midpoint(take.low, take.median) * fed_for;
    let fit = fits(&could_take);
    let mut caps = Caps {
        grams: fit,
        days,
        could_take,
        held: vec![Held::Appetite],
    };
    if ask.latest_days > n.look_days {
        caps.held.insert(0, Held::Look);
    }
    let median = |of: fn(&Signs) -> f64| band(signs, &e.weights, of).median;
    of_worms(&mut caps, n, k, signs, median(|s| s.worms_kg), fed_for);
    // Microbes of a large bed take up much, but not what worms are fed for.
    caps.cap(fits(&worms_take), Held::Mouths);
    // Worms off the bed do not eat; half of them astir is a restless bin.
    let at_home = (1.0 - median(|s| s.driven_to_leave)) / (1.0 - EVEN);
    if at_home < 1.0 {
        caps.cap(fits(&worms_take) * at_home, Held::OffTheBed);
    }
    let left = ask.seen_left.unwrap_or_else(|| median(|s| s.feed_left));
    if left > n.full_left {
        let share = (n.none_left - left) / (n.none_left - n.full_left);
        caps.cap(fit * share.max(0.0), Held::FoodLeft);
    }
    if median(|s| s.refuge_celsius) < n.comfort.hardly_eats_celsius {
        let worms_g = 1000.0 * median(|s| s.worms_kg);
        caps.cap(worms_g * n.cold_per_day * fed_for, Held::Cold);
    }
    let by_salt = limits::most_by_salt(ask, n, e, k.salt_per_gram, fed_for);
    caps.cap(by_salt, Held::Salt);
    if k.thaw_kj_per_gram > 0.0 {
        let by_chill = limits::most_by_chill(ask, n, e, &n.comfort, k.thaw_kj_per_gram);
        caps.cap(by_chill, Held::Chill);
    }
    let room = ask.estimate.scene.home.litres() - median(|s| s.litres);
    caps.cap((room * n.grams_per_litre).max(0.0), Held::Room);
    match last_ration(ask, n) {
        Some(last) => caps.cap(n.step_up * last * fed_for, Held::Step),
        None if stocked_days(signs) > n.lately_days => {
            caps.cap(n.after_pause * fit, Held::Pause);
        }
        None => {}
    }
    if k.share_of_ration < 1.0 {
        let part = caps.grams * k.share_of_ration;
        caps.cap(part, Held::Food(Sparing::Grounds));
    }
    caps
}

/// What so many worms [kg] are given at most: none without worms, little of
/// some foods, little in a new bin.
fn of_worms(
    caps: &mut Caps,
    n: &Numbers,
    k: &Kitchen,
    signs: &[Signs],
    worms_kg: f64,
    fed_for: f64,
) {
    let worms_g = 1000.0 * worms_kg;
    if worms_g < 1.0 {
        caps.cap(0.0, Held::NoWorms);
    }
    let (most, sparing) = k.most_per_worms;
    caps.cap(worms_g * most * fed_for, Held::Food(sparing));
    let settled = stocked_days(signs);
    if settled < n.settling_days {
        let share = n.first_share + (1.0 - n.first_share) * settled / n.settling_days;
        caps.cap(worms_g * share * n.settled_per_day * fed_for, Held::NewBin);
    }
}

/// Days since worms went in; nought without any [d].
fn stocked_days(signs: &[Signs]) -> f64 {
    signs.iter().find_map(|s| s.stocked_days).unwrap_or(0.0)
}

/// Wet feed that worms could eat a day if they ate nothing else, and that worms
/// and microbes could take, over the possible bins [g/d].
fn could_take(ask: &RationAsk<'_>, n: &Numbers, k: &Kitchen, e: &Ensemble) -> (Band, Band) {
    let priors = &ask.estimate.scene.priors;
    let wet = |dry_kg: f64| 1000.0 * dry_kg / k.dry_share.max(0.02);
    let worms = e.band(|m| wet(m.life.carried.appetite_kg));
    let both = e.band(|m| {
        let worms = m.life.carried.appetite_kg * n.worms_share;
        let core = m.life.told.zones.core;
        let warm = priors.decays.at(core);
        let microbes = n.microbes_per_day * warm * m.life.dry_kg(priors) * n.hastened(ask.prepared);
        wet(worms + microbes)
    });
    (worms, both)
}

/// Mean wet feed per day lately, by the most likely bin
/// [g/d]; `None` when nothing was fed then.
fn last_ration(ask: &RationAsk<'_>, n: &Numbers) -> Option<f64> {
    let e = ask.estimate;
    let fed: Vec<_> = e
        .fed
        .iter()
        .filter(|f| (e.now - f.at) as f64 <= n.lately_days * 86_400.0 && f.at <= e.now)
        .collect();
    let first = fed.iter().map(|f| f.at).min()?;
    let days = ((e.now - first) as f64 / 86_400.0).max(2.0);
    Some(fed.iter().map(|f| f.grams).sum::<f64>() / days)
}

/// Caps and cautions of the materials: wet feed a day per worms [g/g/d], with
/// what kind of food sets it.
pub(super) fn material_caps(
    ask: &RationAsk<'_>,
    n: &Numbers,
    shares: &[(String, f64)],
    parts: &[ReadyPart],
) -> ((f64, Sparing), Vec<Caution>) {
    let mut cap = (n.caps.any, Sparing::Any);
    let mut cautions = Vec::new();
    for ((key, share), part) in shares.iter().zip(parts) {
        let kind = ask.estimate.scene.priors.rates.kinds.get(key).copied();
        let sparing = sparing(ask.tables, key, kind);
        if let Some(sparing) = sparing {
            let most = n.caps.of(sparing) / share.max(0.02);
            if most < cap.0 {
                cap = (most, sparing);
            }
        }
        let own = part
            .material
            .iter()
            .flat_map(|m| m.cautions.iter().cloned());
        let said = sparing.map(|s| caution(s).to_owned());
        for text in said.into_iter().chain(own) {
            cautions.push(Caution {
                material: key.clone(),
                text,
            });
        }
    }
    (cap, cautions)
}

/// Share of a ration that a feed may be [0 to 1]: all of it, but where it is
/// mostly coffee grounds; the rest is to be other food.
pub(super) fn share_of_ration(ask: &RationAsk<'_>, n: &Numbers, shares: &[(String, f64)]) -> f64 {
    let kinds = &ask.estimate.scene.priors.rates.kinds;
    let is_grounds = |key: &str| {
        let kind = kinds.get(key).copied();
        sparing(ask.tables, key, kind) == Some(Sparing::Grounds)
    };
    let grounds: f64 = shares
        .iter()
        .filter(|(key, _)| is_grounds(key))
        .map(|(_, share)| share)
        .sum();
    (n.most_grounds / grounds.max(1e-9)).min(1.0)
}

/// Whether a food is given sparingly, beside the heat and the acid that the
/// look ahead weighs: by its row under `sparing` in `ration.csv`, or its kind.
fn sparing(tables: &Tables, key: &str, kind: Option<Kind>) -> Option<Sparing> {
    if flagged(tables, "repellent", key) {
        return Some(Sparing::Repellent);
    }
    if flagged(tables, "leftovers", key) {
        return Some(Sparing::Leftovers);
    }
    match kind? {
        Kind::Starch => Some(Sparing::Starch),
        Kind::Meal => Some(Sparing::Protein),
        Kind::Green => Some(Sparing::Green),
        Kind::Grounds => Some(Sparing::Grounds),
        _ => None,
    }
}

const fn caution(of: Sparing) -> &'static str {
    match of {
        Sparing::Repellent => {
            "Worms keep off it while it is fresh. A little, at one side, so that they can."
        }
        Sparing::Starch => "Starch sours and heats. Thin, mixed with bedding, never in one lump.",
        Sparing::Protein => "Rich in protein: it heats and gives ammonia. A dusting, not a layer.",
        Sparing::Green => {
            "Green leaf heats in a heap. Spread it thinner than two fingers, or let it wilt first."
        }
        Sparing::Leftovers => {
            "Cooked leftovers carry salt and fat. Leave out meat; rinse what is salty."
        }
        Sparing::Grounds => {
            "Up to a quarter of what you feed: with it goes three times as much of other scraps. More packs tight and goes airless."
        }
        Sparing::Any => "",
    }
}
