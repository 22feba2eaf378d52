//! A log in the making, for the tests.

use engine::bed::curve::Curve;
use engine::bed::fill::{self, Conditions, Own};
use engine::bed::product::Product;
use engine::estimate::{Estimate, Setup, estimate, jar};
use engine::log::*;
use engine::measure::Amount;
use engine::quantity::Celsius;
use engine::table::Tables;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;
use std::sync::LazyLock;

pub(crate) const DAY: i64 = 86_400;

static TABLES: LazyLock<Tables> = LazyLock::new(|| Tables::load().unwrap());

pub(crate) fn tables() -> &'static Tables {
    &TABLES
}

pub(crate) fn part(material: &str, amount: &str) -> Part {
    Part::plain(material, Amount::parse(amount).unwrap())
}

pub(crate) struct Story {
    pub(crate) log: Vec<Entry>,
    parts: Vec<Part>,
}

impl Story {
    pub(crate) fn new(parts: &[(&str, &str)]) -> Self {
        let parts: Vec<Part> = parts.iter().map(|(m, a)| part(m, a)).collect();
        let mut story = Self {
            log: Vec::new(),
            parts: parts.clone(),
        };
        story.add(0.0, Body::Filled { parts });
        story
    }

    pub(crate) fn add(&mut self, day: f64, body: Body) {
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

    pub(crate) fn ph(&mut self, day: f64, instrument: &str, spots: &[f64]) {
        self.ph_at(day, instrument, spots, Place::Spread);
    }

    pub(crate) fn ph_at(&mut self, day: f64, instrument: &str, spots: &[f64], place: Place) {
        self.add(
            day,
            Body::Reading(Reading {
                what: Measured::Ph,
                spots: spots.to_vec(),
                instrument: instrument.into(),
                place,
                text: String::new(),
                confirmed: false,
            }),
        );
    }

    pub(crate) fn dose(&mut self, day: f64, material: &str, amount: &str, how: Applied) {
        self.add(
            day,
            Body::Dose(Dose {
                material: material.into(),
                amount: Amount::parse(amount).unwrap(),
                how,
            }),
        );
    }

    pub(crate) fn worms(&mut self, day: f64) {
        self.add(
            day,
            Body::WormsIn {
                grams: Some(450.0),
                count: None,
                species: String::new(),
            },
        );
    }

    pub(crate) fn jar_test(&mut self, day: f64, jars: Vec<Jar>) {
        self.add(
            day,
            Body::JarTest(JarTest {
                wet_bedding_grams: 50.0,
                material: "limestone_calcitic".into(),
                hours: 48.0,
                jars,
                instrument: "good_pen".into(),
            }),
        );
    }

    pub(crate) fn estimate(&self, day: f64) -> Estimate {
        self.estimate_with(day, 7, 400)
    }

    pub(crate) fn estimate_with(&self, day: f64, seed: u64, members: usize) -> Estimate {
        let own = Own::new();
        estimate(
            &Setup {
                tables: tables(),
                own: &own,
                temperature: Celsius(20.0),
                now: (day * DAY as f64) as i64,
                seed,
                members,
                bin: None,
                air: None,
            },
            &self.log,
        )
        .unwrap()
    }

    /// A hidden bed drawn from the parts, its buffer [meq per pH], and what
    /// three jars of it would read, each with an error of `sd`.
    pub(crate) fn hidden_jars(&self, seed: u64, sd: f64) -> (f64, Vec<Jar>) {
        let mut rng = ChaCha8Rng::seed_from_u64(1000 + seed);
        let ready = fill::ready(tables(), &self.parts, &Own::new()).unwrap();
        let conditions = Conditions::usual(tables(), Celsius(20.0)).unwrap();
        let (bed, _) = fill::draw(&mut rng, &ready, &conditions);
        let lot = Product::from_tables(tables(), "limestone_calcitic", &BTreeMap::new())
            .unwrap()
            .draw(&mut rng);
        let jars: Vec<Jar> = [0.0, 0.15, 0.3]
            .map(|grams| Jar { grams, ph: 0.0 })
            .to_vec();
        let expected = jar::expected(&bed, &lot, 50.0, &jars, 2.0);
        let read = jars
            .into_iter()
            .zip(expected)
            .map(|(j, ph)| Jar {
                ph: ph + sd * engine::bed::draw::Chance::normal(&mut rng),
                ..j
            })
            .collect();
        let curve: &Curve = &bed.curve;
        (1000.0 * curve.buffer_at(bed.ph()) * bed.stretch, read)
    }
}
