//! Cases that need no bin: area, worms, masses, moisture, counts, chance.

use super::{KEEPERS, Told, told};
use crate::living::habitat::Habitat;
use crate::living::species::{Species, Vital};
use crate::living::worms::Worms;
use crate::measure::Amount;
use crate::table::Tables;
use crate::validation::trial::{Trial, kilos, tote};
use crate::validation::{Check, From, ValidationError, about, between};

/// Metres in a foot, kilograms in a pound.
const FOOT: f64 = 0.3048;
const POUND: f64 = 0.453_592_37;

pub(super) fn checks(tables: &Tables, cases: &Told) -> Result<Vec<Check>, ValidationError> {
    let v = Vital::of(tables, Species::EiseniaFetida)?;
    let mut all = rules(cases)?;
    all.extend(weighed_start(tables, cases)?);
    all.extend(masses(tables, cases, &v)?);
    all.extend(census(cases)?);
    all.extend(rates(cases, &v)?);
    all.extend(chance(cases)?);
    Ok(all)
}

/// K01: three rules for one household.
fn rules(cases: &Told) -> Result<Vec<Check>, ValidationError> {
    let week = |n: u8| cases.value("K01", &format!("in.scraps_week_{n}_kg"));
    let most = week(1)?.max(week(2)?).max(week(3)?);
    let pounds = most / POUND;
    let note = "The published rules disagree threefold; the spread is the answer.";
    let m2 = ("m2", 3);
    Ok(vec![
        told(
            cases,
            ("K01", "out.area_rule_a_m2"),
            m2,
            "floor for the heaviest week, one square foot a pound",
            pounds * FOOT * FOOT,
        )?
        .note(note),
        told(
            cases,
            ("K01", "out.area_rule_b_m2"),
            m2,
            "floor for the heaviest week, a third of it",
            pounds * FOOT * FOOT / 3.0,
        )?
        .note(note),
        told(
            cases,
            ("K01", "out.volume_rule_c_litres"),
            ("L", 0),
            "volume for the heaviest week, one cubic foot a pound",
            pounds * FOOT.powi(3) * 1000.0,
        )?
        .note(note),
        told(
            cases,
            ("K01", "out.worms_rule_c_kg"),
            ("kg", 2),
            "worms for the heaviest week, weight for weight",
            most,
        )?,
    ])
}

/// K03, K04: a weighed start and a filled volume, through the engine's own
/// filling.
fn weighed_start(tables: &Tables, cases: &Told) -> Result<Vec<Check>, ValidationError> {
    let get = |property: &str| cases.value("K03", property);
    let (water, strips) = (get("in.water_kg")?, get("in.strips_dry_kg")?);
    let moisture = |paper: f64| -> Result<(f64, f64), ValidationError> {
        let parts = vec![
            kilos("newsprint_shredded", paper, None)?,
            kilos("water", water, None)?,
        ];
        let run = Trial::new(tote(45.0, 35.0, 24.0), parts, 20.0, 1.0).run(tables)?;
        let at = |of: fn(&crate::validation::trial::Look) -> f64| run.band(0.0, of).median;
        Ok((
            at(|l| l.signs.moisture_percent),
            at(|l| l.signs.contents_kg),
        ))
    };
    let (base, cap) = (get("in.base_paper_kg")?, get("in.cap_paper_kg")?);
    let (of_strips, strips_kg) = moisture(strips)?;
    let (of_all, _) = moisture(strips + base + cap)?;
    let gross = strips_kg + base + get("in.tare_kg")?;
    let percent = ("% of wet mass", 1);
    let litres = Amount::parse(&format!("{} L", cases.value("K04", "in.volume_litres")?))?;
    let paper = litres
        .grams(tables.material("newsprint_shredded")?, tables)?
        .grams
        / 1000.0;
    Ok(vec![
        told(
            cases,
            ("K03", "out.strips_moisture_percent"),
            percent,
            "newsprint strips wetted by weight",
            of_strips,
        )?
        .note("Air-dry paper brings water of its own, which the 71.4 of the keeper leaves out."),
        told(
            cases,
            ("K03", "out.whole_moisture_percent"),
            percent,
            "the same with dry paper under and over it",
            of_all,
        )?,
        told(
            cases,
            ("K03", "out.gross_kg"),
            ("kg", 2),
            "box, dry base, strips and water",
            gross,
        )?,
        told(
            cases,
            ("K04", "out.paper_kg"),
            ("kg", 2),
            "newsprint that fills a volume",
            paper,
        )?
        .note("48 kg/m3 in our table (21 to 53); the keeper packed 40, another 20."),
        told(
            cases,
            ("K04", "out.water_for_75_percent_kg"),
            ("kg", 2),
            "water for 75 % moisture of it",
            3.0 * 0.94 * paper - 0.06 * paper,
        )?
        .note("Follows from the paper."),
    ])
}

/// K06, K20, K38, K73: worms by number and mass, a spoon, an overload.
fn masses(tables: &Tables, cases: &Told, v: &Vital) -> Result<Vec<Check>, ValidationError> {
    let species = Species::EiseniaFetida;
    let number = cases.value("K06", "in.worms_count")?;
    let kg = Worms::stocked(species, None, Some(number), v).grams() / 1000.0;
    let density = kg / cases.value("K06", "in.area_m2")?;
    let a_kilo = Worms::stocked(species, Some(1000.0), None, v).number();
    let spoon = Amount::parse("1 tbsp")?;
    let lime = spoon
        .grams(tables.material("limestone_calcitic")?, tables)?
        .grams;
    let (feed, worms) = (
        cases.value("K38", "in.feed_kg")?,
        cases.value("K38", "in.worms_kg")?,
    );
    let few = Worms::stocked(species, Some(1000.0 * worms), None, v);
    let scraps = tables.material("kitchen_scraps_veg")?;
    let moisture = scraps
        .value(crate::table::Property::MoisturePercent)
        .unwrap_or(85.0);
    let appetite = few.appetite_g_dm_per_day(v, &Habitat::kind(15.0)) / 1000.0;
    let days = feed * (1.0 - moisture / 100.0) / appetite;
    let stocking = ("kg/m2", 2);
    Ok(vec![
        told(
            cases,
            ("K06", "out.stocking_kg_per_m2"),
            stocking,
            "1000 worms as bought on 0.74 m2",
            density,
        )?
        .note("Ours counts a third of a stock as grown, and a little water lost on the way."),
        told(
            cases,
            ("K06", "out.times_below_rule"),
            ("times", 1),
            "how far below a pound a square foot",
            POUND / FOOT / FOOT / density,
        )?
        .note("Follows from the mass of a worm."),
        told(
            cases,
            ("K20", "out.lime_g"),
            ("g", 1),
            "a level tablespoon of garden lime",
            lime,
        )?,
        told(
            cases,
            ("K38", "out.feed_to_worms"),
            ("kg/kg", 1),
            "feed given at once over worms",
            feed / worms,
        )?,
        told(
            cases,
            ("K38", "out.days_of_food"),
            ("d", 0),
            "the same in days of their appetite at 18 °C",
            days,
        )?
        .note("More than ten days is an overload."),
        told(
            cases,
            ("K73", "out.worms_per_kg"),
            ("worms/kg", 0),
            "worms in a kilogram of mixed stock",
            a_kilo,
        )?,
    ])
}

/// K72: twelve samples.
fn census(cases: &Told) -> Result<Vec<Check>, ValidationError> {
    let n = cases.value("K72", "in.samples")?;
    let counts: Vec<f64> = (1..=12)
        .map(|i| cases.value("K72", &format!("in.count_{i:02}")))
        .collect::<Result<_, _>>()?;
    let scale = cases.value("K72", "in.bed_litres")? / cases.value("K72", "in.sample_litres")?;
    let mean = counts.iter().sum::<f64>() / n;
    let variance = counts.iter().map(|c| (c - mean).powi(2)).sum::<f64>() / (n - 1.0);
    // Student t, 11 degrees of freedom, two-sided 95 %.
    let half = 2.201 * (variance / n).sqrt();
    let needed = (1.96 / 0.2 / mean).powi(2) * variance;
    let worms = ("worms", 0);
    Ok(vec![
        told(
            cases,
            ("K72", "out.worms"),
            worms,
            "census from twelve samples",
            mean * scale,
        )?,
        told(
            cases,
            ("K72", "out.low_95"),
            worms,
            "its 95 % interval, low",
            (mean - half) * scale,
        )?,
        told(
            cases,
            ("K72", "out.high_95"),
            worms,
            "its 95 % interval, high",
            (mean + half) * scale,
        )?,
        told(
            cases,
            ("K72", "out.variance_to_mean"),
            ("-", 3),
            "variance over mean of the samples",
            variance / mean,
        )?,
        told(
            cases,
            ("K72", "out.samples_for_20_percent"),
            ("samples", 0),
            "samples for a fifth either way",
            needed,
        )?
        .note("Normal approximation; with Student t one or two more."),
    ])
}

/// K77, K102, K104: steady take-off, loading, a layer.
fn rates(cases: &Told, v: &Vital) -> Result<Vec<Check>, ValidationError> {
    let doubling = cases.value("K77", "in.doubling_days")?;
    let week = 2f64.powf(7.0 / doubling) - 1.0;
    let area = cases.value("K102", "in.area_m2")?;
    let loading = |p: &str| Ok::<f64, ValidationError>(cases.value("K102", p)? / area);
    let (low, high) = (
        loading("in.feed_low_kg_per_week")?,
        loading("in.feed_high_kg_per_week")?,
    );
    // What the densest stock on record, 4.6 kg/m2, eats in full appetite of
    // matter of 75 % moisture at 22 °C.
    let stock = Worms::stocked(Species::EiseniaFetida, Some(4600.0), None, v);
    let warm = Habitat {
        celsius: 22.0,
        ..Habitat::kind(150.0)
    };
    let eats = stock.appetite_g_dm_per_day(v, &warm) / 1000.0 * 7.0 / 0.25;
    let pail = cases.value("K104", "in.pail_litres")? / 1000.0;
    // A bed of 1.394 m2 as long as two widths, less 5 cm all round.
    let m2 = cases.value("K104", "in.area_m2")?;
    let width = (m2 / 2.0).sqrt();
    let fed = (width - 0.1) * (2.0 * width - 0.1);
    Ok(vec![
        told(
            cases,
            ("K77", "out.stock_kg"),
            ("kg", 0),
            "stock for 45.36 kg a week",
            cases.value("K77", "in.take_off_kg_per_week")? / week,
        )?,
        told(
            cases,
            ("K77", "out.year_factor"),
            ("-", 1),
            "a year of doubling in 90 d",
            2f64.powf(365.0 / doubling),
        )?,
        told(
            cases,
            ("K77", "out.from_4_54_kg_per_week_kg"),
            ("kg", 3),
            "what 4.54 kg yields a week",
            4.54 * week,
        )?,
        told(
            cases,
            ("K102", "out.loading_low"),
            ("kg/m2/week", 2),
            "loading of a trough, low",
            low,
        )?,
        told(
            cases,
            ("K102", "out.loading_high"),
            ("kg/m2/week", 2),
            "loading of a trough, high",
            high,
        )?,
        From {
            unit: "ratio",
            ..KEEPERS
        }
        .check(
            "K102 flagged",
            "the high loading over what the densest stock on record would eat",
            between(1.0, 100.0),
            high / eats,
        )
        .note("4.6 kg/m2, feed of 75 % moisture: above 1 the loading must be flagged."),
        From {
            unit: "ratio",
            ..KEEPERS
        }
        .check(
            "K102 low eaten",
            "the low loading over the same",
            between(0.0, 1.0),
            low / eats,
        )
        .note("The low one can be eaten by a dense stock."),
        told(
            cases,
            ("K104", "out.layer_cm"),
            ("cm", 1),
            "a pail over the bed less its margins",
            100.0 * pail / fed,
        )?,
    ])
}

/// K13: is 33 against 12 more than chance.
fn chance(cases: &Told) -> Result<Vec<Check>, ValidationError> {
    let (food, paper) = (
        cases.value("K13", "out.young_food")?,
        cases.value("K13", "out.young_paper")?,
    );
    let n = food + paper;
    let ln_choose = |k: f64| -> f64 {
        (1..=k as u32)
            .map(|i| ((n - k + f64::from(i)) / f64::from(i)).ln())
            .sum()
    };
    let tail: f64 = (0..=paper as u32)
        .map(|k| (ln_choose(f64::from(k)) - n * 2f64.ln()).exp())
        .sum();
    Ok(vec![
        told(
            cases,
            ("K13", "out.p_value"),
            ("-", 4),
            "exact two-sided chance of 33 against 12",
            2.0 * tail,
        )?,
        From {
            unit: "ratio",
            ..KEEPERS
        }
        .check(
            "K13 counted",
            "ratio of the two counts",
            about(2.75),
            food / paper,
        ),
    ])
}
