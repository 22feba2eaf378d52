//! Why a bedding is or is not ready, in plain words, each with its weight and
//! what puts it right.

use crate::bed::fill::ReadyPart;
use crate::bed::judge::{Chances, Levels, Reason, Sample, Topic, band};
use crate::bed::soak::LimeNeed;
use crate::measure::{System, describe_grams};
use crate::quantity::Band;
use crate::table::{Material, Property, Tables, inside_a_sentence};

/// Dry bedding that takes up what is too wet.
const CARD: &str = "cardboard_corrugated";

/// All reasons, in no order.
pub(crate) fn reasons(
    tables: &Tables,
    parts: &[ReadyPart],
    samples: &[Sample],
    c: &Chances,
    l: &Levels,
    lime: Option<&LimeNeed>,
) -> Vec<Reason> {
    let mut all = Vec::new();
    all.extend(acid(tables, parts, samples, c, l, lime));
    all.extend(alkaline(samples, c, l));
    all.extend(moisture(tables, samples, c, l));
    all.extend(air(samples, c, l));
    all.extend(salt(samples, c, l));
    all.extend(ammonia(samples, c, l));
    all.extend(heat(samples, c, l));
    all.extend(balance(samples, l));
    all.extend(
        parts
            .iter()
            .filter_map(|p| p.material.as_ref())
            .filter_map(|m| caution(m, l)),
    );
    all
}

fn percent(chance: f64) -> String {
    let tens = (chance * 10.0).round();
    if tens >= 10.0 {
        "nearly certain".into()
    } else if tens < 1.0 {
        "unlikely (under 1 in 10)".into()
    } else {
        format!("a chance of about {tens:.0} in 10")
    }
}

fn plain(topic: Topic, weight: f64, text: String) -> Reason {
    Reason {
        topic,
        weight,
        text,
        remedy: None,
        days: None,
        fatal: false,
    }
}

fn acid(
    tables: &Tables,
    parts: &[ReadyPart],
    samples: &[Sample],
    c: &Chances,
    l: &Levels,
    lime: Option<&LimeNeed>,
) -> Option<Reason> {
    let ph = band(samples, |s| s.ph);
    if c.sour < l.worth_a_word {
        let text = format!(
            "pH should settle near {:.1} ({:.1} to {:.1}); worms do best between {:.1} and {:.1}.",
            ph.median, ph.low, ph.high, l.best_ph.0, l.best_ph.1
        );
        return (ph.low >= l.uneasy_ph && ph.high <= l.alkaline_ph)
            .then(|| plain(Topic::Acid, l.weights.well, text));
    }
    let later = band(samples, |s| s.later);
    let comes_up = limed(parts) && later.median >= l.worth_waiting_ph;
    let why = acid_why(parts, comes_up.then_some(later));
    let text = format!(
        "{} too acid: pH near {:.1} ({:.1} to {:.1}). That it is below {:.1}, where worms grow uneasy and climb, is {}.{why}",
        how_likely(l, c.sour),
        ph.median,
        ph.low,
        ph.high,
        l.uneasy_ph,
        percent(c.sour)
    );
    let unsure = parts.iter().any(|p| p.maybe.is_some());
    let (remedy, days) = (c.sour >= l.asks_for_action)
        .then(|| {
            if unsure {
                measure_first(l)
            } else {
                acid_remedy(tables, l, lime, comes_up)
            }
        })
        .unzip();
    Some(Reason {
        topic: Topic::Acid,
        weight: c.sour,
        text,
        remedy,
        days,
        fatal: false,
    })
}

/// What makes a mix sour, when it is known; `later` when lime among the parts
/// will bring it up.
fn acid_why(parts: &[ReadyPart], later: Option<Band>) -> String {
    if let Some(later) = later {
        return format!(
            " The lime among the parts takes weeks to act; in four weeks it should be near {:.1} ({:.1} to {:.1}).",
            later.median, later.low, later.high
        );
    }
    if parts.iter().any(|p| p.maybe.is_some()) {
        return " The label does not say whether the peat was limed, and that decides it."
            .to_owned();
    }
    let peat = parts
        .iter()
        .filter_map(|p| p.material.as_ref())
        .any(|m| m.key == "peat_sphagnum_unlimed" || m.key == "peat_black_humified");
    match (peat, limed(parts)) {
        (true, false) => " The peat in it has had no lime: plain peat stays this sour for months, and wetting it does not change that.".to_owned(),
        (true, true) => " The lime among the parts is too little, too coarse or too slow for the peat in it.".to_owned(),
        (false, _) => String::new(),
    }
}

/// A bag whose label does not say is measured before anything is mixed in.
fn measure_first(l: &Levels) -> (String, (f64, f64)) {
    (
        "Measure first: wet a handful of the peat well, leave it an hour, stir one part into five of rain or distilled water, wait half an hour and read the pH. Near 6 it has been limed: add none. Near 4 it has not: judge it again as not limed, and you will be told how much lime and how long to wait."
            .to_owned(),
        l.remedies.measure_first,
    )
}

/// What puts a sour mix right, and the days it takes.
fn acid_remedy(
    tables: &Tables,
    l: &Levels,
    lime: Option<&LimeNeed>,
    comes_up: bool,
) -> (String, (f64, f64)) {
    if comes_up {
        return (
            "Keep it moist, turn it now and then and let the lime in it act, then measure; add no more until it has."
                .to_owned(),
            l.remedies.lime_acts,
        );
    }
    match lime.filter(|n| n.grams.median > 0.0) {
        Some(n) => (lime_words(tables, n), wait_words(l, n)),
        None => (
            "Mix in finished compost or lime-adjusted peat, or lime it, and judge again."
                .to_owned(),
            l.remedies.compost,
        ),
    }
}

/// Lime or another base is among the parts already.
fn limed(parts: &[ReadyPart]) -> bool {
    parts
        .iter()
        .filter_map(|p| p.reagent.as_ref())
        .any(|r| r.action.raises())
}

/// No more certain than the chance is.
fn how_likely(l: &Levels, chance: f64) -> &'static str {
    let (is, likely) = l.is_and_likely;
    if chance >= is {
        "It is"
    } else if chance >= likely {
        "It is likely"
    } else {
        "It may be"
    }
}

fn wait_words(l: &Levels, n: &LimeNeed) -> (f64, f64) {
    let days = n.wait_days.unwrap_or(f64::from(l.wait_days.1));
    (days, (days * l.wait_again).ceil())
}

fn lime_words(tables: &Tables, n: &LimeNeed) -> String {
    let bucket = n.grams_per_litre * 10.0;
    let spoons = tables.material(&n.material).map_or_else(
        |_| format!("{bucket:.0} g"),
        |m| {
            describe_grams(bucket, m, tables, System::Metric)
                .map_or_else(|_| format!("{bucket:.0} g"), |h| h.text)
        },
    );
    let wait = n.wait_days.map_or_else(
        || "it is too coarse to act within eight weeks, so use a finer lime".to_owned(),
        |d| format!("keep it moist and turn it now and then for about {d:.0} days"),
    );
    format!(
        "Mix in {} of {} for the whole lot ({:.0} to {:.0} g), which is {spoons} to each 10-litre bucket; {wait}, then measure. \
         It should come to pH {:.1} ({:.1} to {:.1}); if it reads below 6, add half as much again and wait once more. Lime is dusty: keep it off your face and out of your eyes, and follow the bag.",
        grams_words(n.grams.median),
        inside_a_sentence(&n.name),
        n.grams.low,
        n.grams.high,
        n.ph_after.median,
        n.ph_after.low,
        n.ph_after.high
    )
}

fn grams_words(g: f64) -> String {
    if g >= 1000.0 {
        format!("{:.1} kg", g / 1000.0)
    } else if g >= 100.0 {
        format!("{:.0} g", (g / 10.0).round() * 10.0)
    } else {
        format!("{g:.0} g")
    }
}

fn alkaline(samples: &[Sample], c: &Chances, l: &Levels) -> Option<Reason> {
    let ph = band(samples, |s| s.ph);
    (c.alkaline >= l.worth_a_word).then(|| Reason {
        topic: Topic::Acid,
        weight: c.alkaline,
        text: format!(
            "{} too alkaline: pH near {:.1} ({:.1} to {:.1}); above {:.1} worms do not last, and any ammonia turns to gas.",
            how_likely(l, c.alkaline), ph.median, ph.low, ph.high, l.alkaline_ph
        ),
        remedy: (c.alkaline >= l.asks_for_action)
            .then(|| "Mix in plain (unlimed) peat or coir, wait a week, and measure.".to_owned()),
        days: Some(l.remedies.acid),
        fatal: false,
    })
}

fn moisture(tables: &Tables, samples: &[Sample], c: &Chances, l: &Levels) -> Option<Reason> {
    let m = band(samples, |s| s.moisture);
    let water = band(samples, |s| s.water_short.max(0.0));
    let aim = band(samples, |s| s.aim).median;
    if c.dry >= l.asks_for_action && c.dry >= c.wet {
        return Some(Reason {
            topic: Topic::Moisture,
            weight: l.weights.moisture * c.dry,
            text: format!(
                "{} too dry as mixed: about {:.0} % water ({:.0} to {:.0}); this mix wants about {aim:.0} %, the feel of a wrung-out sponge.",
                how_likely(l, c.dry),
                m.median,
                m.low,
                m.high
            ),
            remedy: Some(format!(
                "Add about {:.1} litres of water ({:.1} to {:.1}) in two or three goes, let it soak a day, and squeeze: a few drops are right.",
                water.median, water.low, water.high
            )),
            days: Some(l.remedies.wet),
            fatal: false,
        });
    }
    if c.wet < l.asks_for_action {
        return runs(samples, c, l);
    }
    Some(Reason {
        topic: Topic::Moisture,
        weight: l.weights.moisture * c.wet,
        text: format!(
            "{} too wet: about {:.0} % water ({:.0} to {:.0}); above {:.0} % air is short.",
            how_likely(l, c.wet),
            m.median,
            m.low,
            m.high,
            l.wet_percent
        ),
        remedy: Some(format!(
            "Let out what drains, and mix in dry shredded card or paper{} a handful at a time until a squeeze gives only a few drops.",
            card_words(tables, samples)
        )),
        days: Some(l.remedies.dry),
        fatal: false,
    })
}

/// Wetter than a mix wants to be and no harm yet: it is wrung out before worms
/// go in, and no card is asked for.
fn runs(samples: &[Sample], c: &Chances, l: &Levels) -> Option<Reason> {
    let (m, aim) = (band(samples, |s| s.moisture), band(samples, |s| s.aim));
    let over = band(samples, |s| (-s.water_short).max(0.0));
    (c.runs >= l.is_and_likely.1).then(|| Reason {
        topic: Topic::Moisture,
        weight: l.weights.moisture * c.runs,
        text: format!(
            "{} wetter than it should be: about {:.0} % water ({:.0} to {:.0}), and a squeeze runs; at about {:.0} % it gives a few drops.",
            how_likely(l, c.runs),
            m.median, m.low, m.high, aim.median
        ),
        remedy: Some(format!(
            "Let it drain, or wring it out by the handful, until a squeeze gives only a few drops: about {:.1} litres of water are too much ({:.1} to {:.1}).",
            over.median, over.low, over.high
        )),
        days: Some(l.remedies.wring),
        fatal: false,
    })
}

/// Dry card that brings a wet mix to what it wants: `W / (a/(1-a) d - (1-d))`,
/// `W` the water over it, `a` the moisture wanted, `d` the dry share of card.
fn card_words(tables: &Tables, samples: &[Sample]) -> String {
    let card = tables.material(CARD).ok();
    let moisture = card.and_then(|m| m.triple(Property::MoisturePercent));
    let Some(dry) = moisture.map(|(_, percent, _)| 1.0 - percent / 100.0) else {
        return String::new();
    };
    let kg = band(samples, |s| {
        let ratio = s.aim / (100.0 - s.aim).max(1.0);
        (-s.water_short).max(0.0) / (ratio * dry - (1.0 - dry)).max(0.1)
    });
    format!(
        ", about {:.1} kg of it where none drains ({:.1} to {:.1}),",
        kg.median, kg.low, kg.high
    )
}

fn air(samples: &[Sample], c: &Chances, l: &Levels) -> Option<Reason> {
    let a = band(samples, |s| 100.0 * s.afp);
    // Water that is let out leaves air.
    let water = c.wet >= l.asks_for_action || c.runs >= l.is_and_likely.1;
    (c.airless >= l.asks_for_action).then(|| Reason {
        topic: Topic::Air,
        weight: l.weights.air * c.airless,
        text: format!(
            "{} {}: about {:.0} % air ({:.0} to {:.0}); below {:.0} % it goes sour and smelly.",
            how_likely(l, c.airless),
            if water { "short of air, for water stands in its pores" } else { "packed too tight" },
            a.median, a.low, a.high, 100.0 * l.least_air
        ),
        remedy: (!water).then(|| "Fluff it, and mix in about a third by volume of torn card, straw or other coarse fibre.".to_owned()),
        days: Some(l.remedies.fluff),
        fatal: false,
    })
}

fn salt(samples: &[Sample], c: &Chances, l: &Levels) -> Option<Reason> {
    let ec = band(samples, |s| s.ec);
    (c.salty >= l.worth_a_word).then(|| Reason {
        topic: Topic::Salt,
        weight: l.weights.salt * c.salty,
        text: format!(
            "{} too salty: about {:.1} mS/cm ({:.1} to {:.1}); worms keep away from much more than {:.0}.",
            how_likely(l, c.salty),
            ec.median, ec.low, ec.high, l.most_ec
        ),
        remedy: (c.salty >= l.asks_for_action).then(|| format!(
            "Rinse it through with rain water, draining, two or three times, or thin it with plain bedding until it is under {:.0} mS/cm.",
            l.most_ec
        )),
        days: Some(l.remedies.rinse),
        fatal: false,
    })
}

fn ammonia(samples: &[Sample], c: &Chances, l: &Levels) -> Option<Reason> {
    let a = band(samples, |s| s.ammonia);
    (c.ammonia >= l.worth_a_word).then(|| Reason {
        topic: Topic::Ammonia,
        weight: c.ammonia,
        text: format!(
            "Rich in nitrogen: the first ten days may set free {:.1} mg ammonia-N per g dry ({:.1} to {:.1}); worms leave well before {:.1}.",
            a.median, a.low, a.high, l.most_ammonia
        ),
        remedy: (c.ammonia >= l.asks_for_action).then(|| {
            "Let it rot in an open heap first, turned weekly, until it has no sharp smell and no warmth; or mix in three times its volume of torn card or dry leaves and wait.".to_owned()
        }),
        days: Some(l.remedies.rot),
        fatal: false,
    })
}

fn heat(samples: &[Sample], c: &Chances, l: &Levels) -> Option<Reason> {
    let h = band(samples, |s| s.heating);
    (c.hot >= l.worth_a_word).then(|| Reason {
        topic: Topic::Heat,
        weight: c.hot,
        text: format!(
            "{} going to heat: the middle may run {:.0} °C above the room ({:.0} to {:.0}); above {:.0} °C worms die.",
            how_likely(l, c.hot),
            h.median, h.low, h.high, l.hottest
        ),
        remedy: (c.hot >= l.asks_for_action).then(|| {
            "Wet it, heap it and let the heat pass before any worm goes in: ready when the middle is within 3 °C of the room three days running. Wear a mask when turning: warm heaps carry spores and, rarely, Legionella.".to_owned()
        }),
        days: Some(l.remedies.heat),
        fatal: false,
    })
}

fn balance(samples: &[Sample], l: &Levels) -> Option<Reason> {
    let feed = band(samples, |s| s.feed_share).median;
    if feed > l.mostly_feed {
        return Some(Reason {
            topic: Topic::Balance,
            weight: l.weights.never,
            text: format!(
                "This is mostly food ({:.0} % of the dry mass): worms need bedding to draw back into when food heats or sours.",
                100.0 * feed
            ),
            remedy: None,
            days: None,
            fatal: feed > l.says_no,
        });
    }
    None
}

/// A material whose own cautions keep worms out.
fn caution(m: &Material, l: &Levels) -> Option<Reason> {
    let (w, takes) = (&l.weights, &l.remedies);
    let (weight, fatal, remedy, days) = match m.key.as_str() {
        "quicklime" => (w.never, true, None, None),
        "hydrated_lime" => (
            w.caustic,
            false,
            Some("Caustic: wear gloves and goggles. Mix it in well, keep it moist, wait at least two weeks, and go on only when the pH is below 8.".to_owned()),
            Some(takes.caustic),
        ),
        "wood_ash" => (
            w.ash,
            false,
            Some("Ash is caustic when wet: mix it in well with gloves on, keep it moist, wait two weeks, and go on only when the pH is below 8. Never ash of painted or treated wood, coal or briquettes.".to_owned()),
            Some(takes.caustic),
        ),
        "blood_meal" | "soybean_meal" | "cottonseed_meal" => (w.never, true, None, None),
        "horse_manure_bedded_fresh" | "horse_manure_straw" | "horse_manure_shavings"
        | "cow_manure_solid" | "sheep_manure" => (
            w.manure,
            false,
            Some("Fresh manure: age it until it no longer heats or smells sharp, and ask about worming medicine, which kills worms.".to_owned()),
            Some(takes.age),
        ),
        _ => return None,
    };
    Some(Reason {
        topic: Topic::Material,
        weight,
        text: format!("{}: {}.", m.name, m.cautions.join("; ")),
        remedy,
        days,
        fatal,
    })
}
