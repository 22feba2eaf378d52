//! What a keeper would ask, end to end through the engine.

#![allow(
    clippy::unwrap_used,
    reason = "a helper of a test that cannot go on fails the test"
)]

use engine::bed::fill::Own;
use engine::bed::judge::{self, Judgement, Verdict};
use engine::bed::product::Product;
use engine::dose::{Answer, Ask, Direction, ShedProduct, answer};
use engine::estimate::{Estimate, Setup, Told, estimate, estimate_told};
use engine::log::*;
use engine::measure::{Amount, System};
use engine::quantity::Celsius;
use engine::table::Tables;
use std::collections::BTreeMap;

fn part(material: &str, amount: &str) -> Part {
    Part {
        material: material.into(),
        amount: Amount::parse(amount).unwrap(),
        ph: None,
        moisture_percent: None,
        label: PeatLabel::AsNamed,
    }
}

fn judged(parts: &[Part]) -> Judgement {
    let tables = Tables::load().unwrap();
    let own = Own::new();
    judge::judge(
        &tables,
        &judge::Question {
            parts,
            own: &own,
            temperature: Celsius(20.0),
            depth_cm: None,
            lime: "limestone_calcitic",
            seed: 1,
            draws: 400,
        },
    )
    .unwrap()
}

const DAY: i64 = 86_400;

struct Story {
    log: Vec<Entry>,
}

impl Story {
    fn new(parts: Vec<Part>) -> Self {
        let mut story = Self { log: Vec::new() };
        story.add(0.0, Body::Filled { parts });
        story
    }

    fn add(&mut self, day: f64, body: Body) {
        let at = (day * DAY as f64) as i64;
        self.log.push(Entry {
            id: EntryId(self.log.len() as i64 + 1),
            bin: Some(BinId(1)),
            at_unix_seconds: at,
            zone: "UTC".into(),
            written_unix_seconds: at,
            body,
        });
    }

    fn ph(&mut self, day: f64, instrument: &str, spots: &[f64]) {
        self.add(
            day,
            Body::Reading(Reading {
                what: Measured::Ph,
                spots: spots.to_vec(),
                instrument: instrument.into(),
                place: Place::Spread,
                text: String::new(),
                confirmed: false,
            }),
        );
    }

    fn dose(&mut self, day: f64, material: &str, amount: &str, how: Applied) {
        self.add(
            day,
            Body::Dose(Dose {
                material: material.into(),
                amount: Amount::parse(amount).unwrap(),
                how,
            }),
        );
    }

    fn worms(&mut self, day: f64) {
        self.add(
            day,
            Body::WormsIn {
                grams: Some(450.0),
                count: None,
            },
        );
    }

    fn estimate(&self, day: f64) -> Estimate {
        let tables = Tables::load().unwrap();
        let own = Own::new();
        estimate(
            &Setup {
                tables: &tables,
                own: &own,
                temperature: Celsius(20.0),
                now: (day * DAY as f64) as i64,
                seed: 7,
                members: 400,
            },
            &self.log,
        )
        .unwrap()
    }
}

fn asked(e: &Estimate, shed: &[&str], stocked: bool, target: Option<f64>) -> Answer {
    let tables = Tables::load().unwrap();
    let shed: Vec<ShedProduct> = shed
        .iter()
        .map(|k| ShedProduct {
            product: Product::from_tables(&tables, k, &BTreeMap::new()).unwrap(),
            material: tables.material(k).unwrap().clone(),
            available_grams: None,
        })
        .collect();
    answer(&Ask {
        tables: &tables,
        estimate: e,
        shed: &shed,
        stocked,
        target_ph: target,
        system: System::Metric,
        seed: 3,
    })
    .unwrap()
}

#[test]
fn ash_water_moves_the_reading_and_not_the_bed() {
    let mut s = Story::new(vec![
        part("peat_sphagnum_unlimed", "100 L"),
        part("water", "20 L"),
    ]);
    s.worms(1.0);
    s.ph(40.0, "cheap_pen", &[4.6, 4.8, 4.7]);
    let before = s.estimate(41.0);
    s.dose(41.0, "wood_ash", "2 cups", Applied::PouredLiquor);
    s.ph(41.3, "cheap_pen", &[5.6, 5.7]);
    let after = s.estimate(41.5);
    assert!(after.heard[1].settling.is_local());
    assert!(after.ph.median - before.ph.median < 0.4, "{:?}", after.ph);
    let a = asked(
        &before,
        &["limestone_calcitic", "hydrated_lime", "wood_ash", "vinegar"],
        true,
        None,
    );
    assert_eq!(a.direction, Direction::Raise);
    let refused: Vec<&str> = a.refused.iter().map(|r| r.material.as_str()).collect();
    assert_eq!(refused, ["hydrated_lime", "wood_ash", "vinegar"]);
    assert_eq!(a.plan.unwrap().material, "limestone_calcitic");
}

#[test]
fn plain_peat_is_not_ready_and_limed_peat_with_compost_is_not_sour() {
    let peat = judged(&[part("peat_sphagnum_unlimed", "60 L")]);
    assert!(matches!(peat.verdict, Verdict::ReadyAfter { .. }));
    let mixed = judged(&[
        part("peat_sphagnum_limed", "30 L"),
        part("yard_compost_finished", "30 L"),
    ]);
    assert!(mixed.chances.sour < 0.1);
}

#[test]
fn a_reading_told_to_follow_a_dose_is_local_though_the_dose_is_not_logged() {
    let tables = Tables::load().unwrap();
    let own = Own::new();
    let mut story = Story::new(vec![part("peat_sphagnum_unlimed", "100 L")]);
    story.ph(40.0, "cheap_pen", &[4.7, 4.6]);
    story.ph(41.0, "cheap_pen", &[5.6, 5.7]);
    let last = story.log.last().unwrap().id;
    let setup = Setup {
        tables: &tables,
        own: &own,
        temperature: Celsius(20.0),
        now: (41.1 * DAY as f64) as i64,
        seed: 7,
        members: 400,
    };
    let settled = estimate(&setup, &story.log).unwrap();
    let told = estimate_told(&setup, &story.log, &Told::from([(last, 6.0)])).unwrap();
    assert!(!settled.heard[1].settling.is_local());
    assert!(told.heard[1].settling.is_local());
    assert!(told.ph.median < settled.ph.median);
    let reread = told.heard[1].reread_at.unwrap();
    assert_eq!(reread, 41 * DAY + 42 * 3600);
}

#[test]
fn a_label_with_a_grain_size_does_not_stop_the_estimate() {
    let tables = Tables::load().unwrap();
    let values = BTreeMap::from([("particle_mm".to_owned(), 0.2)]);
    let own = Own::from([("limestone_calcitic".to_owned(), values)]);
    let mut story = Story::new(vec![part("peat_sphagnum_unlimed", "100 L")]);
    story.dose(1.0, "limestone_calcitic", "100 g", Applied::MixedIn);
    let e = estimate(
        &Setup {
            tables: &tables,
            own: &own,
            temperature: Celsius(20.0),
            now: 2 * DAY,
            seed: 7,
            members: 100,
        },
        &story.log,
    )
    .unwrap();
    assert_eq!(e.given.len(), 1);
}

#[test]
fn a_settled_reading_far_from_all_belief_is_believed_and_marked() {
    let mut story = Story::new(vec![part("peat_sphagnum_limed", "100 L")]);
    story.ph(30.0, "good_pen", &[8.4, 8.5, 8.6]);
    let e = story.estimate(30.1);
    assert!(e.heard[0].contradicted);
    assert!(
        e.ph.low < 8.5 && e.ph.high > 8.5 && e.ph.half_width() < 0.8,
        "{:?}",
        e.ph
    );
    let answer = asked(&e, &["peat_sphagnum_unlimed"], false, None);
    assert_eq!(answer.direction, Direction::Lower);
}
