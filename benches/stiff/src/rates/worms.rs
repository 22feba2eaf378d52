//! Worms: their stages, sizes and flesh, what they eat and give back. How they fare
//! at a place is asked of the engine; it moves the stages in one explicit step and
//! grows worms along the closed form of von Bertalanffy, and here are the rates.

use super::rot::Rot;
use super::{At, add, add_matter};
use crate::state::{Part, matter, put};
use engine::living::habitat::Habitat;
use engine::living::population::{self, STAGES};
use engine::living::rot::{Kind, Matter};
use engine::living::tolerance::{self, Felt};
use engine::living::worms::Worms;
use engine::living::{breath, growth, mortality, warmth};

/// Least food quality and least bedding counted [-, L].
const LEAST_QUALITY: f64 = 0.05;
const LEAST_LITRES: f64 = 0.1;

/// How worms fare.
struct Fares {
    /// Share that die and leave [1/d].
    dying: f64,
    leaving: f64,
    /// Food found over maintenance, and what it does for growth [0 to 1].
    found: f64,
    fed: f64,
    /// Worms on this food in this company: crowding, maturing [0 to 1], mass due [g].
    crowding: f64,
    matures: f64,
    due: f64,
}

/// What they gained and lost [g/d].
struct Tissue {
    grown: f64,
    died: f64,
}

/// Adds what worms do.
pub fn rates(at: &At<'_>, rot: &Rot, d: &mut [f64]) {
    let (v, c, life) = (&at.bin.vital, &at.bin.priors.constants, at.life);
    let mut h = at.m.habitat;
    let felt = Felt::of(v, &h);
    let grams = life.worms.grams();
    let appetite = v.appetite_g_per_g_day * felt.feeding * felt.eating() * grams / 1000.0;
    h.food_supply = c.food_of_decay * rot.food.organic / appetite.max(1e-9);
    h.food_nitrogen = rot.food.nitrogen / rot.food.organic.max(1e-12);
    let fares = fares(at, &h, &felt);
    let hatched = stages(at, (&h, &felt), &fares, d);
    let grown = grow(at, (&h, &felt), &fares, hatched, d);
    let worked = (1.0 - life.worked) * at.bin.nature.turnover * appetite / at.m.dry_kg.max(1e-9);
    add(at, d, Part::Worked, worked);
    let tissue = Tissue {
        grown,
        died: fares.dying * grams,
    };
    let breath = breath::oxygen_g_per_kg_day(v, h.celsius) / 1000.0;
    let breathed = breath * grams / 1000.0 * fares.found.min(1.0) / c.oxygen_per_vs;
    eat(at, &tissue, breathed, d);
}

fn fares(at: &At<'_>, h: &Habitat, felt: &Felt) -> Fares {
    let (v, grams) = (&at.bin.vital, at.life.worms.grams());
    let condition = at.of(Part::Condition);
    let found = Worms::found_over_maintenance(v, h, felt);
    let packed = grams / h.litres.max(LEAST_LITRES);
    let thin = ((1.0 - condition) / v.thin_full_share).min(1.0);
    let sated = 1.0 - thin * (1.0 - found.min(1.0));
    let urge = tolerance::urge_to_leave(v, h, felt, sated, packed);
    let most = felt.eating() * v.appetite_g_per_g_day / v.maintenance_g_per_g_day;
    let kg_m2 = grams / 1000.0 / h.worked_m2(v);
    let crowding = kg_m2 / h.food_quality.max(LEAST_QUALITY);
    Fares {
        dying: mortality::per_day(v, h, felt, condition, packed),
        leaving: tolerance::leaving_per_day(v, urge, h.celsius, at.bin.home.escape),
        found,
        fed: growth::fed(v, found, most),
        crowding,
        matures: population::maturing(v, crowding),
        due: growth::due_mass(v, kg_m2, h.food_quality),
    }
}

/// Mean size of the worms of each stage [g].
fn each(at: &At<'_>) -> [f64; STAGES] {
    let (worms, sizes) = (at.layout.worms(), at.layout.sizes());
    std::array::from_fn(|i| {
        let n = at.y[worms + i];
        if n > 1e-12 {
            at.y[sizes + i].max(0.0) / n
        } else {
            0.0
        }
    })
}

/// Adds what moves from stage to stage; gives what hatches [1/d].
fn stages(at: &At<'_>, (h, felt): (&Habitat, &Felt), fares: &Fares, d: &mut [f64]) -> f64 {
    let (v, layout) = (&at.bin.vital, at.layout);
    let (cocoons, worms, sizes) = (layout.cocoons(), layout.worms(), layout.sizes());
    let mean = each(at);
    let adults = at.y[worms + STAGES - 1];
    let adult = (at.of(Part::Condition) * mean[STAGES - 1]).min(v.largest_laying * v.laying_g);
    let reference = population::reference_rates(v, fares.crowding, fares.crowding, adult);
    let breeds = felt.breeding() * fares.fed;
    let warm = warmth::breeding(v, h.celsius) / v.breed_at_reference;
    let mates = (adults - 1.0).clamp(0.0, 1.0);
    let mut come = if h.settled_days > v.lag_days {
        reference.laid_per_adult * mates * warm * breeds * adults
    } else {
        0.0
    };
    let on = 12.0 * warmth::development_per_day(v, h.celsius);
    let lost = mortality::of_cocoons(v, h, felt);
    for i in cocoons..worms {
        d[i] += come - (lost + on) * at.y[i];
        come = on * at.y[i];
    }
    let hatched = come * reference.young_per_cocoon * breeds;
    let warm = warmth::growth(v, h.celsius) / v.grow_at_reference;
    let maturing = warm * felt.growth() * fares.fed;
    let out = fares.dying + fares.leaving;
    let (mut come, mut size) = (hatched, hatched * v.hatch_g);
    for i in 0..STAGES {
        let rises = match i {
            0..4 => 4.0 * reference.growing_up * maturing,
            4 => reference.ripening * maturing,
            _ => 0.0,
        };
        let n = at.y[worms + i];
        d[worms + i] += come - (out + rises) * n;
        d[sizes + i] += size - out * at.y[sizes + i] - rises * n * mean[i];
        (come, size) = (rises * n, rises * n * mean[i]);
    }
    hatched
}

/// Adds growth and hunger; gives the tissue gained [g/d].
fn grow(
    at: &At<'_>,
    (h, felt): (&Habitat, &Felt),
    fares: &Fares,
    hatched: f64,
    d: &mut [f64],
) -> f64 {
    let (v, layout) = (&at.bin.vital, at.layout);
    let condition = at.of(Part::Condition);
    let mean = each(at);
    let rate = v.growth_rate_per_day * growth::briskness(v, h.food_quality);
    let rate = rate * warmth::growth(v, h.celsius) * felt.growth() * fares.fed;
    let young = rate * fares.matures.powf(v.growth_crowd_power);
    let shrinks = v.shrink_per_day * felt.feeding;
    let full = fares.due.max(0.0).cbrt();
    // Worms thin for long become small worms.
    let smaller = shrinks * (1.0 - condition);
    let (mut grown, mut size) = (0.0, 0.0);
    for i in 0..STAGES {
        let one = if mean[i] > fares.due {
            let over = ((mean[i] / fares.due - 1.0) / v.oversize_share).min(1.0);
            -shrinks * fares.found.min(1.0) * over * mean[i]
        } else {
            let rate = if i == STAGES - 1 { rate } else { young };
            3.0 * rate * (full * mean[i].cbrt().powi(2) - mean[i])
        };
        let gains = at.y[layout.worms() + i] * one;
        let has = at.y[layout.sizes() + i];
        d[layout.sizes() + i] += gains - smaller * has;
        grown += gains;
        size += has;
    }
    let plump = if fares.found < 1.0 {
        -shrinks * (1.0 - fares.found) * condition
    } else {
        3.0 * rate * (condition.max(0.0).cbrt().powi(2) - condition)
    };
    add(at, d, Part::Condition, plump + smaller * condition);
    condition * (hatched * v.hatch_g + grown) + plump * size
}

/// Adds what worms eat, make into tissue, breathe and give off, and their dead.
fn eat(at: &At<'_>, tissue: &Tissue, breathed: f64, d: &mut [f64]) {
    let (c, layout, organic) = (&at.bin.priors.constants, at.layout, &at.life.organic);
    let body = |grams: f64| {
        let kg = grams / 1000.0 * c.worm_dry;
        Matter {
            organic: kg,
            carbon: kg * c.worm_carbon,
            nitrogen: kg * c.worm_nitrogen,
        }
    };
    let wanted = body(tissue.grown);
    let (labile, later) = organic.edible();
    // Microbes are eaten with the best of it, slow matter less.
    let there = organic.microbes.organic + labile.organic + c.slow_reach * later.organic;
    let share = (breathed + c.eaten_per_grown * wanted.organic.max(0.0)) / there.max(1e-12);
    let mut eaten = organic.microbes.part(share);
    eaten.add(&labile.part(share));
    eaten.add(&later.part(c.slow_reach * share));
    let mut of_microbes = share;
    let mut given = eaten.less(&wanted);
    if tissue.grown > 0.0 {
        let mut made = eaten.part(1.0 - breathed / (share * there).max(1e-12));
        let more = short(&wanted, &made, &organic.microbes);
        made.add(&organic.microbes.part(more));
        given.add(&organic.microbes.part(more));
        of_microbes += more;
        let more = short(&wanted, &made, &organic.humus);
        given.add(&organic.humus.part(more));
        add_matter(d, layout.humus(), &organic.humus.part(-more));
    }
    for (i, kind) in layout.kinds.iter().enumerate() {
        for (j, reach) in [(0, 1.0), (1, c.slow_reach)] {
            let bite = organic.pools[*kind][j].part(-reach * share);
            add_matter(d, layout.pool(i, j), &bite);
        }
        if *kind == Kind::Meal as usize {
            add_matter(d, layout.pool(i, 0), &body(tissue.died));
        }
    }
    let microbes = matter(d, layout.microbes()).less(&organic.microbes.part(of_microbes));
    put(d, layout.microbes(), &microbes);
    let wet = (tissue.died - tissue.grown) / 1000.0 * (1.0 - c.worm_dry);
    add(at, d, Part::Water, wet + given.organic * c.water_per_vs);
    let freed = given.nitrogen * c.mol_per_kg;
    add(at, d, Part::Ammonium, freed);
    add(at, d, Part::Base, freed);
}

/// Share of `more` a day that makes up for what is lacking of what is wanted [1/d].
fn short(wanted: &Matter, had: &Matter, more: &Matter) -> f64 {
    let of = |want: f64, had: f64, more: f64| (want - had) / more.max(1e-12);
    of(wanted.organic, had.organic, more.organic)
        .max(of(wanted.carbon, had.carbon, more.carbon))
        .max(of(wanted.nitrogen, had.nitrogen, more.nitrogen))
        .max(0.0)
}
