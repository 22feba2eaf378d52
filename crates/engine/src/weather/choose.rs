//! Choosing the least set of measures that is enough.

use crate::quantity::Band;
use crate::weather::measure::{Kind, Measure, Sun};
use crate::weather::run::{Course, Spell};
use crate::weather::{Figures, Tried, WeatherAsk};

/// Amounts of ice or warm water at a time that are thought of [kg].
const KILOGRAMS: [f64; 7] = [0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0];

/// Each measure by itself, and the least set that is enough; the best there is
/// when none is.
pub(crate) fn choose(
    ask: &WeatherAsk<'_>,
    spell: &Spell<'_>,
    undone: &Course,
    figures: &Figures,
) -> (Vec<Tried>, Option<Tried>) {
    let at_hand = at_hand(ask, spell, undone, figures);
    let alone: Vec<Tried> = at_hand
        .iter()
        .map(|m| tried(spell, std::slice::from_ref(m)))
        .collect();
    let enough = spell.numbers.chance;
    let least = match alone.iter().find(|t| t.either < enough) {
        Some(one) => Some(one.clone()),
        None => pruned(spell, added_up(spell, &at_hand, &alone)),
    };
    let least = least.map(|l| lighter(spell, &at_hand, smaller(spell, l)));
    (alone, least)
}

/// Where bottles alone would do, whether half of them would with something
/// that need not be carried to and fro.
fn lighter(spell: &Spell<'_>, at_hand: &[Measure], best: Tried) -> Tried {
    let [only] = best.measures.as_slice() else {
        return best;
    };
    let Some(kg) = kilograms(only) else {
        return best;
    };
    let most = at_hand.iter().find(|m| m.kind() == only.kind());
    let easy = |m: &&Measure| m.kind() < Kind::Move;
    at_hand
        .iter()
        .filter(easy)
        .filter_map(|m| Some(tried(spell, &[m.clone(), most?.clone()])))
        .map(|t| smaller(spell, t))
        .filter(|t| t.either < spell.numbers.chance)
        .filter(|t| t.measures.iter().filter_map(kilograms).sum::<f64>() <= 0.5 * kg)
        .min_by(|a, b| a.either.total_cmp(&b.either))
        .unwrap_or(best)
}

/// Bottles at a time [kg].
fn kilograms(m: &Measure) -> Option<f64> {
    match m {
        Measure::Ice { kg, .. } | Measure::WarmBottles { kg, .. } => Some(*kg),
        _ => None,
    }
}

fn tried(spell: &Spell<'_>, measures: &[Measure]) -> Tried {
    let course = spell.run(measures);
    Tried {
        measures: measures.to_vec(),
        hot: course.hot,
        cold: course.cold,
        either: course.either,
        hottest: course.hottest,
        coldest: course.coldest,
    }
}

/// Measures that could help, the least work first, at their largest.
fn at_hand(
    ask: &WeatherAsk<'_>,
    spell: &Spell<'_>,
    undone: &Course,
    figures: &Figures,
) -> Vec<Measure> {
    let (hot, cold) = (undone.hot > 0.0, undone.cold > 0.0);
    let kg = most_kilograms(spell);
    Kind::ALL
        .into_iter()
        .filter(|k| (hot && k.cools()) || (cold && k.warms()))
        .filter(|k| !ask.without.contains(k))
        .filter_map(|k| {
            Some(match k {
                Kind::StopFeeding if !spell.feeding.is_empty() => Measure::StopFeeding,
                Kind::Shade if spell.sun != Sun::None => Measure::Shade,
                Kind::WetCover => Measure::WetCover,
                Kind::Wrap => Measure::Wrap,
                Kind::Move => Measure::Move {
                    celsius: ask.other_place?,
                },
                Kind::Ice => Measure::Ice {
                    kg,
                    swaps: ice_swaps(spell, undone, &figures.ice_lasts_hours),
                },
                Kind::WarmBottles => Measure::WarmBottles {
                    kg,
                    swaps: warm_swaps(spell, undone),
                },
                Kind::Heater => Measure::Heater {
                    watts: to_buy(figures.heater_watts.high),
                    target: figures.heater_target_celsius,
                },
                Kind::StopFeeding | Kind::Shade => return None,
            })
        })
        .collect()
}

/// Places tried [°C]: the nearest to the weather outside first.
const COOLER: [f64; 6] = [28.0, 26.0, 24.0, 22.0, 20.0, 18.0];
const WARMER: [f64; 6] = [4.0, 6.0, 8.0, 10.0, 12.0, 15.0];

/// How warm a place may be, or must be, for the bin to need nothing else [°C];
/// `None` where the keeper named a place, said there is none, or none would do.
pub(crate) fn enough_place(
    ask: &WeatherAsk<'_>,
    spell: &Spell<'_>,
    undone: &Course,
) -> Option<f64> {
    if ask.other_place.is_some() || ask.without.contains(&Kind::Move) {
        return None;
    }
    let places = if undone.hot > undone.cold {
        COOLER
    } else {
        WARMER
    };
    let does = |celsius: &f64| {
        let moved = tried(spell, &[Measure::Move { celsius: *celsius }]);
        moved.either < spell.numbers.chance
    };
    places.into_iter().find(does)
}

/// Watts as sold: the next five up.
fn to_buy(watts: f64) -> f64 {
    (watts / 5.0).ceil().max(1.0) * 5.0
}

fn most_kilograms(spell: &Spell<'_>) -> f64 {
    let contents = spell
        .ensemble
        .band(|m| m.life.water_kg + m.life.dry_kg(&spell.scene.priors));
    KILOGRAMS
        .into_iter()
        .rev()
        .find(|kg| *kg <= spell.numbers.keeping.most_of_contents * contents.median)
        .unwrap_or(KILOGRAMS[0])
}

/// Hours from now at which ice goes in: from a little before the bed nears the
/// limit, then each time the last has melted, while the keeper is up.
fn ice_swaps(spell: &Spell<'_>, undone: &Course, lasts: &Band) -> Vec<u32> {
    let keeping = &spell.numbers.keeping;
    let every = lasts.median.floor().clamp(3.0, 12.0);
    let near = spell.numbers.hot - keeping.ahead_kelvin;
    let needed = |hour: u32| {
        let soon = (hour + keeping.early_hours as u32 + 1).min(spell.hours);
        (hour..soon).any(|h| undone.hours[h as usize].refuge.high > near)
    };
    let mut swaps = Vec::new();
    let mut next = 0.0;
    for hour in 0..spell.hours {
        let of_day = (spell.start_hour + f64::from(hour)).rem_euclid(24.0);
        let awake = (keeping.up_hours.0..=keeping.up_hours.1).contains(&of_day);
        if awake && f64::from(hour) >= next && needed(hour) {
            swaps.push(hour);
            next = f64::from(hour) + every;
        }
    }
    swaps
}

/// Night and morning, through the cold.
fn warm_swaps(spell: &Spell<'_>, undone: &Course) -> Vec<u32> {
    let keeping = &spell.numbers.keeping;
    let near = spell.numbers.cold + keeping.ahead_kelvin;
    (0..spell.hours)
        .filter(|hour| {
            let of_day = (spell.start_hour + f64::from(*hour)).rem_euclid(24.0);
            keeping
                .filled_hours
                .iter()
                .any(|at| (of_day - at).abs() < 0.5)
        })
        .filter(|hour| {
            let soon = (hour + 14).min(spell.hours);
            (*hour..soon).any(|h| undone.hours[h as usize].refuge.low < near)
        })
        .collect()
}

/// Adds measures one by one, each time the one that leaves the least chance,
/// until it is enough or all are taken.
fn added_up(spell: &Spell<'_>, at_hand: &[Measure], alone: &[Tried]) -> Option<Tried> {
    let mut best = alone
        .iter()
        .min_by(|a, b| a.either.total_cmp(&b.either).then(cooler(a, b)))?
        .clone();
    while best.either >= spell.numbers.chance {
        let next = at_hand
            .iter()
            .filter(|m| best.measures.iter().all(|b| b.kind() != m.kind()))
            .map(|m| {
                let mut set = best.measures.clone();
                set.push(m.clone());
                tried(spell, &set)
            })
            .min_by(|a, b| a.either.total_cmp(&b.either).then(cooler(a, b)));
        match next {
            Some(next) if gains(&next, &best, spell.numbers.keeping.worth_kelvin) => best = next,
            _ => break,
        }
    }
    Some(best)
}

/// Of two that leave the same chance, the milder.
fn cooler(a: &Tried, b: &Tried) -> std::cmp::Ordering {
    let reach = |t: &Tried| t.hot * t.hottest.median - t.cold * t.coldest.median;
    reach(a).total_cmp(&reach(b))
}

/// Worth its work: less chance, or so many degrees.
fn gains(next: &Tried, best: &Tried, degrees: f64) -> bool {
    next.either < best.either - 1e-9
        || (next.hot > 0.0 && next.hottest.median < best.hottest.median - degrees)
        || (next.cold > 0.0 && next.coldest.median > best.coldest.median + degrees)
}

/// Leaves out what turned out not to be needed, the most work first.
fn pruned(spell: &Spell<'_>, best: Option<Tried>) -> Option<Tried> {
    let mut best = best?;
    if best.either >= spell.numbers.chance {
        return Some(best);
    }
    best.measures.sort_by_key(Measure::kind);
    for kind in Kind::ALL.into_iter().rev() {
        if best.measures.len() < 2 || best.measures.iter().all(|m| m.kind() != kind) {
            continue;
        }
        let mut fewer = best.measures.clone();
        fewer.retain(|m| m.kind() != kind);
        let without = tried(spell, &fewer);
        if without.either < spell.numbers.chance {
            best = without;
        }
    }
    Some(best)
}

/// The least ice or warm water that still does.
fn smaller(spell: &Spell<'_>, best: Tried) -> Tried {
    if best.either >= spell.numbers.chance {
        return best;
    }
    let Some(most) = best.measures.iter().find_map(kilograms) else {
        return best;
    };
    for less in KILOGRAMS.into_iter().filter(|kg| *kg < most) {
        let set: Vec<Measure> = best.measures.iter().map(|m| with_kg(m, less)).collect();
        let tried = tried(spell, &set);
        if tried.either < spell.numbers.chance {
            return tried;
        }
    }
    best
}

fn with_kg(m: &Measure, kg: f64) -> Measure {
    match m {
        Measure::Ice { swaps, .. } => Measure::Ice {
            kg,
            swaps: swaps.clone(),
        },
        Measure::WarmBottles { swaps, .. } => Measure::WarmBottles {
            kg,
            swaps: swaps.clone(),
        },
        other => other.clone(),
    }
}
