//! What holds a ration down before any look ahead: appetite, settling in, food
//! left, cold, room, the last ration, and the feed itself.

use super::kitchen::Kitchen;
use super::numbers::{Most, Numbers};
use super::{Caution, Held, RationAsk, band};
use crate::bed::fill::ReadyPart;
use crate::estimate::ensemble::Ensemble;
use crate::living::rot::{self, Kind};
use crate::living::signs::Signs;
use crate::quantity::Band;

/// What caps the ration before any look ahead.
pub(super) struct Caps {
    /// Most to feed [g wet].
    pub(super) grams: f64,
    /// Days it is for [d].
    pub(super) days: f64,
    /// What worms and microbes could take [g wet/d].
    pub(super) could_take: Band,
    /// What holds it down, the tightest first.
    pub(super) held: Vec<Held>,
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
    let could_take = could_take(ask, n, k, e);
    let days = ask
        .latest_days
        .min(n.look_days)
        .max(ask.soonest_days)
        .max(1.0);
    // Midway between the 10th percentile and the median: fit for some seven
    // bins in ten.
    let fit = f64::midpoint(could_take.low, could_take.median) * days;
    let mut caps = Caps {
        grams: fit,
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
    cap(worms_g * k.most_per_worms * days, Held::Material);
    let settled = signs.iter().find_map(|s| s.stocked_days).unwrap_or(0.0);
    if settled < n.settling_days {
        let share = n.first_share + (1.0 - n.first_share) * settled / n.settling_days;
        cap(worms_g * share * n.settled_per_day * days, Held::NewBin);
    }
    let left = ask.seen_left.unwrap_or_else(|| median(|s| s.feed_left));
    if left > n.full_left {
        let share = (n.none_left - left) / (n.none_left - n.full_left);
        cap(fit * share.max(0.0), Held::FoodLeft);
    }
    if median(|s| s.refuge_celsius) < n.cold_celsius {
        cap(worms_g * n.cold_per_day * days, Held::Cold);
    }
    let room = ask.estimate.scene.home.litres() - median(|s| s.litres);
    cap((room * n.grams_per_litre).max(0.0), Held::Room);
    if let Some(last) = last_ration(ask, n) {
        cap(n.step_up * last * days, Held::Step);
    }
    caps
}

/// Wet feed that worms and microbes could take a day, over the possible bins
/// [g/d].
fn could_take(ask: &RationAsk<'_>, n: &Numbers, k: &Kitchen, e: &Ensemble) -> Band {
    let priors = &ask.estimate.scene.priors;
    let c = &priors.constants;
    let take: Vec<f64> = e
        .members
        .iter()
        .map(|m| {
            let worms = m.life.lately.appetite_kg * n.worms_share;
            let core = m.life.lately.zones.core;
            let warm = rot::warmth(core, c.q10, c.best_celsius, c.stops_celsius);
            let microbes =
                n.microbes_per_day * warm * m.life.dry_kg(priors) * n.hastened(ask.prepared);
            1000.0 * (worms + microbes) / k.dry_share.max(0.02)
        })
        .collect();
    Band::weighted(&take, &e.weights).unwrap_or(Band {
        median: 0.0,
        low: 0.0,
        high: 0.0,
    })
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

/// Caps and cautions of the materials: wet feed a day per worms [g/g/d].
pub(super) fn material_caps(
    ask: &RationAsk<'_>,
    n: &Numbers,
    shares: &[(String, f64)],
    parts: &[ReadyPart],
) -> (f64, Vec<Caution>) {
    let mut cap = n.caps.any;
    let mut cautions = Vec::new();
    for ((key, share), part) in shares.iter().zip(parts) {
        let kind = ask.estimate.scene.priors.rates.kinds.get(key).copied();
        let (most, text) = cap_of(&n.caps, key, kind);
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

/// Most of one feed a day per worms [g/g/d], and why: beside the heat and the
/// acid that the look ahead weighs.
fn cap_of(most: &Most, key: &str, kind: Option<Kind>) -> (Option<f64>, Option<&'static str>) {
    let (most, why) = match (key, kind) {
        ("citrus_peel" | "onion" | "onion_skins" | "garlic" | "ginger", _) => (
            most.repellent,
            "Worms keep off it while it is fresh. A little, at one side, so that they can.",
        ),
        (_, Some(Kind::Starch)) => (
            most.starch,
            "Starch sours and heats. Thin, mixed with bedding, never in one lump.",
        ),
        (_, Some(Kind::Meal)) => (
            most.meal,
            "Rich in protein: it heats and gives ammonia. A dusting, not a layer.",
        ),
        (_, Some(Kind::Green)) => (
            most.green,
            "Green leaf heats in a heap. Spread it thinner than two fingers, or let it wilt first.",
        ),
        ("kitchen_food_waste_mixed", _) => (
            most.leftovers,
            "Cooked leftovers carry salt and fat. Leave out meat; rinse what is salty.",
        ),
        (_, Some(Kind::Grounds)) => (
            most.grounds,
            "Up to a quarter of what you feed; more packs tight and goes airless.",
        ),
        _ => return (None, None),
    };
    (Some(most), Some(why))
}
