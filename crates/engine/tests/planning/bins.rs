//! Bins to plan for.

use engine::bed::fill::Own;
use engine::estimate::{Estimate, Setup, estimate};
use engine::living::room::Day;
use engine::log::*;
use engine::measure::Amount;
use engine::quantity::Celsius;
use engine::table::Tables;
use std::sync::OnceLock;

pub(crate) fn tables() -> &'static Tables {
    static TABLES: OnceLock<Tables> = OnceLock::new();
    TABLES.get_or_init(|| Tables::load().unwrap())
}

pub(crate) fn part(material: &str, amount: &str) -> Part {
    Part::plain(material, Amount::parse(amount).unwrap())
}

/// A bin and how it was kept.
pub(crate) struct Kept {
    pub(crate) litres: f64,
    pub(crate) walls: Walls,
    pub(crate) lid: Lid,
    pub(crate) air: Day,
    pub(crate) days: u32,
    pub(crate) feed: &'static str,
    pub(crate) members: usize,
    /// Last reading of the bed's moisture [% of wet mass].
    pub(crate) moisture: Option<f64>,
    /// What was seen and smelt yesterday.
    pub(crate) seen: Vec<Word>,
    /// Length, width, depth [cm].
    pub(crate) size: (f64, f64, f64),
    /// Species, by its stable name; empty for red worms.
    pub(crate) species: &'static str,
    /// Mixed in the day before yesterday, with its amount.
    pub(crate) dosed: Option<(&'static str, &'static str)>,
}

impl Default for Kept {
    fn default() -> Self {
        Self {
            litres: 40.0,
            walls: Walls::Plastic,
            lid: Lid::Vented,
            air: Day::around(20.0, 4.0),
            days: 60,
            feed: "300 g",
            members: 80,
            moisture: Some(76.0),
            seen: vec![
                Word::SmellEarthy,
                Word::WormsSpread,
                Word::WormsPlump,
                Word::WormsStrayNone,
            ],
            size: (60.0, 40.0, 30.0),
            species: "",
            dosed: None,
        }
    }
}

impl Kept {
    /// Its estimate, fed every four days, the last feeding three days ago.
    pub(crate) fn estimate(&self) -> Estimate {
        let bin = BinDescription {
            name: "bin".into(),
            length_cm: self.size.0,
            width_cm: self.size.1,
            depth_cm: self.size.2,
            bedding_depth_cm: None,
            walls: self.walls,
            lid: self.lid,
            drains: true,
            place: String::new(),
            retired: false,
        };
        let own = Own::default();
        estimate(
            &Setup {
                tables: tables(),
                own: &own,
                temperature: Celsius((self.air.low + self.air.high) / 2.0),
                now: i64::from(self.days) * 86_400,
                seed: 7,
                members: self.members,
                bin: Some(&bin),
                air: Some(self.air),
            },
            &self.log(),
        )
        .unwrap()
    }

    fn log(&self) -> Vec<Entry> {
        let l = self.litres;
        let mut bodies = vec![
            (
                0,
                Body::Filled {
                    parts: vec![
                        part("cardboard_corrugated", &format!("{:.1} L", 0.6 * l)),
                        part("coir_pith", &format!("{:.1} L", 0.25 * l)),
                        part("yard_compost_finished", &format!("{:.1} L", 0.15 * l)),
                        part("water", &format!("{:.1} L", 0.15 * l)),
                    ],
                },
            ),
            (
                2,
                Body::WormsIn {
                    grams: Some(11.0 * l),
                    count: None,
                    species: self.species.to_owned(),
                },
            ),
        ];
        let mut day = self.days.saturating_sub(3) % 4;
        while day < self.days {
            if day > 4 {
                bodies.push((
                    day,
                    Body::Feeding {
                        parts: vec![part("kitchen_scraps_veg", self.feed)],
                    },
                ));
            }
            day += 4;
        }
        bodies.push((
            self.days - 1,
            Body::Observation {
                words: self.seen.clone(),
                text: String::new().into(),
            },
        ));
        if let Some(percent) = self.moisture {
            bodies.push((
                self.days - 1,
                Body::Reading(Reading {
                    what: Measured::MoisturePercent,
                    spots: vec![percent, percent - 1.0, percent + 1.0],
                    instrument: "oven_moisture".into(),
                    place: Place::Spread,
                    text: String::new(),
                    confirmed: true,
                }),
            ));
        }
        if let Some((material, amount)) = self.dosed {
            bodies.push((
                self.days - 2,
                Body::Dose(Dose {
                    material: material.into(),
                    amount: Amount::parse(amount).unwrap(),
                    how: Applied::MixedIn,
                }),
            ));
        }
        bodies.sort_by_key(|b| b.0);
        bodies
            .into_iter()
            .enumerate()
            .map(|(i, (day, body))| Entry {
                id: EntryId(i as i64 + 1),
                bin: Some(BinId(1)),
                at_unix_seconds: i64::from(day) * 86_400,
                zone: "UTC".into(),
                written_unix_seconds: i64::from(day) * 86_400,
                body,
            })
            .collect()
    }
}
