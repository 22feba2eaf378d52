//! What a keeper would ask, end to end through the engine.

use engine::bed::fill::Own;
use engine::bed::judge::{self, Judgement, Verdict};
use engine::bed::product::Product;
use engine::dose::{Answer, Ask, Direction, ShedProduct, answer};
use engine::estimate::{Estimate, Setup, estimate};
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
fn explore() {
    let j = judged(&[
        part("peat_sphagnum_limed", "30 L"),
        part("yard_compost_finished", "30 L"),
    ]);
    println!("limed+compost {j:#?}");
    let j = judged(&[part("peat_sphagnum_unlimed", "60 L")]);
    println!("peat {j:#?}");
    let mut s = Story::new(vec![
        part("peat_sphagnum_unlimed", "100 L"),
        Part {
            ..part("water", "20 L")
        },
    ]);
    s.worms(1.0);
    s.ph(40.0, "cheap_pen", &[4.6, 4.8, 4.7]);
    let t = std::time::Instant::now();
    let e = s.estimate(41.0);
    println!("estimate took {:?}", t.elapsed());
    println!(
        "ph {:?} buffer {:?} -> {:?}",
        e.ph, e.buffer_at_start, e.buffer_meq_per_ph
    );
    s.dose(41.0, "wood_ash", "2 cups", Applied::PouredLiquor);
    s.ph(41.3, "cheap_pen", &[5.6, 5.7]);
    let e2 = s.estimate(41.5);
    println!(
        "after ash: {:?} heard {:#?} given {:#?} change {:?}",
        e2.ph,
        e2.heard.last(),
        e2.given,
        e2.change
    );
    let t = std::time::Instant::now();
    let a = asked(
        &e,
        &[
            "limestone_calcitic",
            "dolomite",
            "eggshell_crushed",
            "hydrated_lime",
            "wood_ash",
            "sodium_bicarbonate",
            "potassium_bicarbonate",
            "vinegar",
        ],
        true,
        None,
    );
    println!("answer took {:?}", t.elapsed());
    println!(
        "dir {:?} why {} need {:?}",
        a.direction, a.why, a.needed_base_meq
    );
    for o in &a.options {
        println!(
            "{} {:?} {} step {} {} {:?} acted {:?} ec {:?} nh3 {:?}",
            o.material,
            o.grams,
            o.measure,
            o.step_grams,
            o.step_measure,
            o.step_limit,
            o.acted
                .iter()
                .map(|(d, b)| (*d, (b.median * 100.0).round()))
                .collect::<Vec<_>>(),
            o.ec_rise,
            o.ammonia_factor
        );
    }
    for r in &a.refused {
        println!("refused {} {}", r.material, r.reason);
    }
    if let Some(p) = &a.plan {
        for st in &p.steps {
            println!("{st:?}");
        }
        println!("goes on {} total {}", p.goes_on, p.total_grams);
    }
    assert_eq!(a.direction, Direction::Raise);
    let _ = Verdict::Ready;
}

#[test]
fn looking_ahead_starts_from_now_widens_and_leaves_the_estimate_alone() {
    let mut story = Story::new(vec![part("peat_sphagnum_unlimed", "30 L")]);
    story.ph(5.0, "good_pen", &[4.4, 4.3, 4.5]);
    let bare = story.estimate(6.0);
    let ahead = bare.outlook(28);
    assert_eq!(ahead.len(), 29);
    assert_eq!(ahead[0], (0, bare.ph));
    assert!(ahead[28].1.half_width() > ahead[0].1.half_width());
    assert_eq!(bare.outlook(28), ahead);
    // Lime given today has yet to act: the way ahead climbs to where it goes.
    story.add(
        6.0,
        Body::Dose(Dose {
            material: "limestone_calcitic".into(),
            amount: Amount::parse("60 g").unwrap(),
            how: Applied::MixedIn,
        }),
    );
    let limed = story.estimate(6.1);
    let ahead = limed.outlook(28);
    assert!(ahead[28].1.median > ahead[0].1.median + 0.2);
    assert!(ahead[28].1.median < limed.ph_to_come.median + 0.2);
}
