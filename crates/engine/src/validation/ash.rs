//! Wood ash: composition, rate, and how far a strained liquor can move a bed.

use super::bedding::{bisect, sites};
use super::{Area, Basis, Check, From, ValidationError, about, between, near};
use crate::chemistry::ash::{Ash, liquor_meq, neutralising_from_oxides, relative_rate};
use crate::chemistry::neutralising::meq_per_gram;
use crate::chemistry::sites::{site_charge, site_slope};
use crate::table::{Property, Tables};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

pub(super) fn checks(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let mut all = composition(tables)?;
    all.extend(liquor(tables)?);
    Ok(all)
}

fn composition(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let percent = From {
        area: Area::Ash,
        source: "McGinnis et al. 1995, record 1857 of the Phyllis database; sum by hand",
        basis: Basis::Derived,
        unit: "% of CaCO3",
        decimals: 1,
    };
    let ohno = From {
        source: "Ohno 1992, J. Environ. Qual. 21:433, abstract",
        basis: Basis::Opened,
        ..percent
    };
    let rate = From {
        unit: "ratio",
        decimals: 2,
        ..ohno
    };
    let shaker = From {
        source: "Etiégni & Campbell 1991, Bioresour. Technol. 37:173, abstract",
        unit: "share",
        decimals: 2,
        ..ohno
    };
    let release = From {
        source: "Extension release, Wood ashes as a fertilizer and lime material, 1991",
        ..ohno
    };
    let n = |property: &str| tables.value("ash", "great_lakes_median", property);
    let oxides = [
        n("cao_percent")?,
        n("mgo_percent")?,
        n("k2o_percent")?,
        n("na2o_percent")?,
        n("so3_percent")?,
        n("p2o5_percent")?,
        n("cl_percent")?,
    ];
    let wood = tables.material("wood_ash")?;
    let default = wood
        .value(Property::NeutralisingPercent)
        .unwrap_or(f64::NAN);
    Ok(vec![
        percent.check(
            "22",
            "neutralising value of median ash from its oxides",
            near(44.0, 0.5),
            neutralising_from_oxides(oxides),
        ),
        ohno.check(
            "23",
            "neutralising value of one ash; ours is the default",
            about(48.0),
            default,
        ),
        release.check(
            "M18",
            "ash against limestone: a half to three quarters",
            between(50.0, 75.0),
            default,
        ),
        rate.check(
            "24",
            "rate of ash for one pH unit up",
            near(0.59, 1e-9),
            relative_rate(5.5) / relative_rate(4.5),
        ),
        shaker.check(
            "26",
            "potassium and sodium dissolved quickly",
            about(0.6),
            tables.value("ash", "wood_ash", "dissolved_at_once_share")?,
        ),
    ])
}

fn triangle(rng: &mut ChaCha8Rng, low: f64, mode: f64, high: f64) -> f64 {
    let u: f64 = rng.random();
    let at = (mode - low) / (high - low);
    if u < at {
        low + (u * (high - low) * (mode - low)).sqrt()
    } else {
        high - ((1.0 - u) * (high - low) * (high - mode)).sqrt()
    }
}

/// Draws of the Monte Carlo.
const DRAWS: usize = 20_000;

struct Poured {
    ash_g: Vec<f64>,
    liquor_meq: Vec<f64>,
    dry_kg: Vec<f64>,
    buffer_meq: Vec<f64>,
    rise: Vec<f64>,
    rise_if_all: Vec<f64>,
}

/// Two cups of loose ash, its liquor poured over about 100 L of moist peat.
fn pour(tables: &Tables) -> Result<Poured, ValidationError> {
    let mut rng = ChaCha8Rng::seed_from_u64(32);
    let q = sites(tables, "peat_sphagnum_unlimed")?;
    let mut p = Poured {
        ash_g: Vec::new(),
        liquor_meq: Vec::new(),
        dry_kg: Vec::new(),
        buffer_meq: Vec::new(),
        rise: Vec::new(),
        rise_if_all: Vec::new(),
    };
    for _ in 0..DRAWS {
        let grams = 473.0 * triangle(&mut rng, 0.35, 0.55, 0.90);
        let ash = Ash {
            neutralising_percent: triangle(&mut rng, 25.0, 50.0, 85.0),
            potassium_percent: triangle(&mut rng, 2.0, 6.0, 12.0),
            sodium_percent: 0.0,
            alkaline_share: triangle(&mut rng, 0.3, 0.65, 0.9),
            steeped_share: triangle(&mut rng, 0.5, 0.6, 0.9),
            recovered_share: triangle(&mut rng, 0.8, 0.9, 0.97),
            free_lime_share: triangle(&mut rng, 0.0, 0.1, 0.35),
            lime_water_meq_per_l: triangle(&mut rng, 0.0, 20.0, 40.8),
        };
        let meq = liquor_meq(&ash, grams, 4.0);
        let dry = 98.4 * triangle(&mut rng, 0.07, 0.10, 0.14);
        // Scale of the sites so that the buffer at the start is the one drawn.
        let start = 4.7;
        let scale = triangle(&mut rng, 18.0, 28.0, 45.0) / (100.0 * site_slope(&q, start));
        let after = |meq: f64| {
            let base = meq / 1000.0;
            let load = q.map(|c| c * scale * dry);
            bisect(|ph| site_charge(&load, ph) - site_charge(&load, start) - base) - start
        };
        p.buffer_meq
            .push(1000.0 * scale * dry * site_slope(&q, start));
        p.rise.push(after(meq));
        p.rise_if_all
            .push(after(grams * meq_per_gram(ash.neutralising_percent)));
        p.ash_g.push(grams);
        p.liquor_meq.push(meq);
        p.dry_kg.push(dry);
    }
    Ok(p)
}

fn liquor(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let from = From {
        area: Area::Ash,
        source: "Monte Carlo of 400,000 draws made for this work, apart from the engine",
        basis: Basis::Derived,
        unit: "g",
        decimals: 0,
    };
    let meq = From {
        unit: "meq",
        ..from
    };
    let kg = From {
        unit: "kg",
        decimals: 1,
        ..from
    };
    let buffer = From {
        unit: "meq/pH",
        ..from
    };
    let ph = From {
        unit: "pH",
        decimals: 2,
        ..from
    };
    let mut p = pour(tables)?;
    let mut all = Vec::new();
    let rows: [(&str, From, &str, &mut Vec<f64>, [f64; 3]); 6] = [
        (
            "ash",
            from,
            "two cups of loose ash",
            &mut p.ash_g,
            [215.0, 279.0, 360.0],
        ),
        (
            "liquor",
            meq,
            "base in the strained liquor",
            &mut p.liquor_meq,
            [129.0, 254.0, 420.0],
        ),
        (
            "dry",
            kg,
            "dry bedding in about 100 L of moist peat",
            &mut p.dry_kg,
            [8.2, 10.1, 12.2],
        ),
        (
            "buffer",
            buffer,
            "its buffer",
            &mut p.buffer_meq,
            [2190.0, 3010.0, 4080.0],
        ),
        (
            "rise",
            ph,
            "rise of the whole bed from the liquor",
            &mut p.rise,
            [0.04, 0.08, 0.15],
        ),
        (
            "rise if all",
            ph,
            "rise if all the ash went in and acted",
            &mut p.rise_if_all,
            [0.58, 0.97, 1.6],
        ),
    ];
    for (key, from, what, values, [low, middle, high]) in rows {
        values.sort_by(f64::total_cmp);
        let at = |share: f64| values[(share * (DRAWS - 1) as f64) as usize];
        all.push(from.check(format!("3.2 {key}"), format!("{what}, median"), between(low, high), at(0.5))
            .note(&format!("the other program's median is {middle}; its 10th and 90th percentiles are the range")));
        all.push(from.check(
            format!("3.2 {key} low"),
            format!("{what}, 10th percentile"),
            about(low),
            at(0.1),
        ));
        all.push(from.check(
            format!("3.2 {key} high"),
            format!("{what}, 90th percentile"),
            about(high),
            at(0.9),
        ));
    }
    Ok(all)
}
