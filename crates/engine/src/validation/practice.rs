//! What keepers know from use. No source; the tool must still not disagree.

use super::{Area, Basis, Check, From, ValidationError, between, near};
use crate::bed::fill::Own;
use crate::bed::judge::{self, Judgement};
use crate::estimate::{Estimate, Setup, estimate};
use crate::log::{Applied, BinId, Body, Dose, Entry, EntryId, Measured, Part, Place, Reading};
use crate::measure::Amount;
use crate::quantity::Celsius;
use crate::table::Tables;

fn part(material: &str, amount: &str) -> Result<Part, ValidationError> {
    Ok(Part::plain(material, Amount::parse(amount)?))
}

fn judged(tables: &Tables, parts: &[Part]) -> Result<Judgement, ValidationError> {
    let own = Own::new();
    let question = judge::Question {
        parts,
        own: &own,
        temperature: Celsius(20.0),
        depth_cm: None,
        lime: "limestone_calcitic",
        seed: 1,
        draws: 1000,
        lime_draws: 1000,
    };
    Ok(judge::judge(tables, &question)?)
}

const DAY: i64 = 86_400;

fn entry(id: i64, day: f64, body: Body) -> Entry {
    let at = (day * DAY as f64) as i64;
    Entry {
        id: EntryId(id),
        bin: Some(BinId(1)),
        at_unix_seconds: at,
        zone: "UTC".to_owned(),
        written_unix_seconds: at,
        body,
    }
}

fn read(spots: &[f64]) -> Body {
    Body::Reading(Reading {
        what: Measured::Ph,
        spots: spots.to_vec(),
        instrument: "cheap_pen".to_owned(),
        place: Place::Spread,
        text: String::new(),
        confirmed: false,
    })
}

/// A peat bin read at 4.7, given the liquor of two cups of ash, and read at
/// 5.6 to 5.7 the same day.
fn after_liquor(tables: &Tables) -> Result<(Estimate, Estimate), ValidationError> {
    let own = Own::new();
    let mut log = vec![
        entry(
            1,
            0.0,
            Body::Filled {
                parts: vec![
                    part("peat_sphagnum_unlimed", "100 L")?,
                    part("water", "20 L")?,
                ],
            },
        ),
        entry(
            2,
            1.0,
            Body::WormsIn {
                grams: Some(450.0),
                count: None,
                species: String::new(),
            },
        ),
        entry(3, 40.0, read(&[4.6, 4.8, 4.7])),
    ];
    let run = |log: &[Entry], day: f64| {
        let setup = Setup {
            tables,
            own: &own,
            temperature: Celsius(20.0),
            now: (day * DAY as f64) as i64,
            seed: 7,
            members: 1000,
            bin: None,
            air: None,
        };
        estimate(&setup, log)
    };
    let before = run(&log, 41.0)?;
    log.push(entry(
        4,
        41.0,
        Body::Dose(Dose {
            material: "wood_ash".to_owned(),
            amount: Amount::parse("2 cups")?,
            how: Applied::PouredLiquor,
        }),
    ));
    log.push(entry(5, 41.3, read(&[5.6, 5.7])));
    Ok((before, run(&log, 41.5)?))
}

pub(super) fn checks(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let ph = From {
        area: Area::Practice,
        source: "keepers",
        basis: Basis::Practice,
        unit: "pH",
        decimals: 2,
    };
    let chance = From {
        unit: "chance",
        ..ph
    };
    let limed = judged(
        tables,
        &[
            part("peat_sphagnum_limed", "30 L")?,
            part("yard_compost_finished", "30 L")?,
        ],
    )?;
    let peat = judged(tables, &[part("peat_sphagnum_unlimed", "60 L")?])?;
    let (before, after) = after_liquor(tables)?;
    let (rise, real) = after
        .change
        .map_or((f64::NAN, f64::NAN), |(b, c)| (b.median, c));
    let sour = |e: &Estimate| e.ensemble.chance(|m| m.bed.ph() < 5.5);
    Ok(vec![
        ph.check("P1", "lime-adjusted peat and outdoor compost, 1:1 by volume", near(7.1, 0.3), limed.ph.median),
        ph.check("P1 range", "the 7.1 of practice lies in our 80 % interval: low end", between(5.0, 7.1), limed.ph.low),
        chance.check("P2", "plain peat: chance that worms are uneasy, before they go in", between(0.9, 1.0), peat.chances.sour),
        ph.check("P2 range", "plain peat in a bin reads about 4.7; ours at first", near(4.7, 0.5), peat.ph.median)
            .note("ours is fresh peat in plain water; a bin of it has had tap water, food and months. An estimate allows for that from its first reading"),
        ph.check("P3", "two cups of ash as liquor on 100 L of peat, read 5.6 to 5.7 the same day: rise of the whole bed", between(0.0, 0.25), rise),
        chance.check("P3 real", "the same: chance that the whole bed rose by more than 0.2", between(0.0, 0.2), real),
        ph.check("P3 after", "the same: the bed as a whole, nearer its settled 4.7 than the 5.65 just read", between(4.2, 5.1), after.ph.median),
        chance.check("P4", "a peat bin read at 4.7: chance that it is below 5.5", between(0.9, 1.0), sour(&before)),
    ])
}
