//! Entries that can hardly be: more than the bin could hold, or words that
//! contradict each other. They are asked about, never refused.

use super::contents;
use super::question::Question;
use crate::bed::fill::{Own, ReadyPart, WATER, ready};
use crate::bed::product::Ranged;
use crate::log::{
    BinDescription, Body, Dose, Entry, JarTest, Measured, Part, Reading, ShedItem, TrayTest, Word,
};
use crate::measure::Amount;
use crate::table::{TableError, Tables};

/// Seconds in a day.
const DAY: f64 = 86_400.0;

/// Words that cannot both be true of one look, with what each says.
const CONTRARY: [[(Word, &str); 2]; 5] = [
    [
        (Word::SqueezeDusty, "squeezed, it is dusty"),
        (Word::SqueezeStream, "squeezed, it gives a stream"),
    ],
    [
        (Word::SqueezeDusty, "squeezed, it is dusty"),
        (Word::SqueezeTrickle, "squeezed, it gives a trickle"),
    ],
    [
        (Word::SqueezeWeak, "squeezed, it gives no water"),
        (Word::SqueezeStream, "squeezed, it gives a stream"),
    ],
    [
        (Word::FoodGone, "the last food is gone"),
        (Word::FoodMost, "most of the last food is left"),
    ],
    [
        (Word::WormsStrayNone, "no worms are out at night"),
        (Word::WormsStrayMany, "many worms are out at night"),
    ],
];

/// What an entry is held against: the rest of the log of its bin.
#[derive(Debug, Clone, Copy)]
pub struct Past<'a> {
    /// The log as it stands ([`crate::log::effective`]), without the entry.
    pub log: &'a [Entry],
    /// When the entry happened [s since 1970-01-01 00:00 UTC].
    pub at: i64,
}

/// Questions an entry raises about a bin of this size, a pH and a temperature
/// aside ([`super::question`]). Parts that cannot be made ready raise none:
/// they are refused elsewhere.
///
/// # Errors
/// [`TableError`] when a threshold is missing.
pub fn doubts(
    tables: &Tables,
    own: &Own,
    bin: &BinDescription,
    past: &Past<'_>,
    body: &Body,
) -> Result<Vec<Question>, TableError> {
    let holds = bin.length_cm * bin.width_cm * bin.depth_cm / 1000.0;
    if holds.is_nan() || holds <= 0.0 {
        // Such a bin is refused by its sizes.
        return Ok(Vec::new());
    }
    let asker = Asker { tables, own, holds };
    let mut found = asker.by_size(past, body)?;
    // One question about one amount.
    if found.is_empty() {
        found.extend(asker.beyond_contents(past, body)?);
        found.extend(contents::too_little(tables, own, body)?);
    }
    Ok(found)
}

impl Asker<'_> {
    /// What is asked by the size of the bin, or by any bin's.
    fn by_size(&self, past: &Past<'_>, body: &Body) -> Result<Vec<Question>, TableError> {
        let (asker, tables, holds) = (self, self.tables, self.holds);
        match body {
            Body::Bin(bin) => asker.sizes(bin),
            Body::Filled { parts } => {
                let mut found = asker.bedding(parts)?;
                found.extend(asker.again(past)?);
                Ok(found)
            }
            Body::BeddingAdded { parts } => asker.bedding(parts),
            Body::Feeding { parts } => asker.feed(parts),
            Body::Dose(dose) => asker.dose(dose),
            Body::Water { amount, .. } => asker.water(amount, past),
            Body::Drain { amount } => {
                let litres = amount.water_litres(tables).map_or(0.0, |l| l.litres);
                asker.over("liquid drained", litres)
            }
            Body::Harvest { amount } => {
                let litres = tables
                    .material("vermicompost")
                    .ok()
                    .and_then(|m| amount.litres(m, tables).ok());
                asker.over("castings", litres.map_or(0.0, |l| l.low))
            }
            Body::WormsIn { grams, count, .. } => asker.worms(*grams, *count, holds),
            Body::WormCount {
                found,
                litres_searched,
                grams,
                ..
            } => {
                let mut asked =
                    asker.over("bedding looked through", litres_searched.unwrap_or(0.0))?;
                let litres = litres_searched.map_or(holds, |l| l.min(holds));
                asked.extend(asker.worms(*grams, Some(*found), litres)?);
                Ok(asked)
            }
            Body::Reading(reading) => asker.reading(reading),
            Body::JarTest(test) => asker.jars(test),
            Body::TrayTest(test) => asker.tray(test),
            Body::Observation { words, .. } => Ok(contradictions(words)),
            _ => Ok(Vec::new()),
        }
    }

    /// More taken out than is in the bin by its log, or more feed at once than
    /// goes with what is in it.
    fn beyond_contents(
        &self,
        past: &Past<'_>,
        body: &Body,
    ) -> Result<Option<Question>, TableError> {
        let (what, kg, share) = match body {
            Body::Harvest { amount } => {
                let kg = contents::castings_kg(self.tables, amount);
                ("castings", kg, self.most("taken_share")?)
            }
            Body::Drain { amount } => {
                let litres = amount.water_litres(self.tables);
                let kg = litres.map_or(0.0, |l| l.low);
                ("liquid drained", kg, self.most("taken_share")?)
            }
            Body::Feeding { parts } => {
                let kg = amount(self.tables, self.own, parts).0.low;
                ("feed", kg, self.most("feed_share")?)
            }
            _ => return Ok(None),
        };
        let within = contents::heaviest_kg(self.tables, self.own, past);
        Ok(within
            .filter(|w| kg > share * w)
            .map(|within_kg| Question::BeyondContents {
                what,
                kg,
                within_kg,
            }))
    }
}

/// Words of one look that cannot both be true.
fn contradictions(words: &[Word]) -> Vec<Question> {
    CONTRARY
        .iter()
        .filter(|pair| pair.iter().all(|(w, _)| words.contains(w)))
        .map(|[(_, one), (_, other)]| Question::Contradiction { one, other })
        .collect()
}

/// Whether an amount put in the shed is far more than one is.
///
/// # Errors
/// [`TableError`] when a threshold is missing.
pub fn shed_doubts(tables: &Tables, item: &ShedItem) -> Result<Vec<Question>, TableError> {
    let most = tables.value("observations", "doubt", "shed_kg")?;
    let Some(amount) = item.available else {
        return Ok(Vec::new());
    };
    let grams = amount.grams(tables.material(&item.material)?, tables);
    let kg = grams.map_or(0.0, |g| g.low / 1000.0);
    Ok(unusual("the amount in the shed", kg, 0.0, most, "kg"))
}

/// Asks when a figure lies outside what is usual.
fn unusual(
    what: &'static str,
    given: f64,
    low: f64,
    high: f64,
    unit: &'static str,
) -> Vec<Question> {
    if (low..=high).contains(&given) {
        return Vec::new();
    }
    vec![Question::Unusual {
        what,
        given,
        low,
        high,
        unit,
    }]
}

/// One bin, with the thresholds of the table.
struct Asker<'a> {
    tables: &'a Tables,
    own: &'a Own,
    /// Inner volume of the bin [L].
    holds: f64,
}

impl Asker<'_> {
    fn most(&self, property: &str) -> Result<f64, TableError> {
        self.tables.value("observations", "doubt", property)
    }

    /// Asks about more of something than the bin has room for [L].
    fn over(&self, what: &'static str, litres: f64) -> Result<Vec<Question>, TableError> {
        let most = self.holds * self.most("volume_share")?;
        let asked = overfull(what, Ranged::exactly(litres), most, self.holds);
        Ok(asked.into_iter().collect())
    }

    fn bedding(&self, parts: &[Part]) -> Result<Vec<Question>, TableError> {
        let litres = amount(self.tables, self.own, parts).1;
        let mut found: Vec<Question> = Vec::new();
        let most = self.holds * self.most("volume_share")?;
        found.extend(overfull("bedding", litres, most, self.holds));
        let water = parts.iter().filter(|p| p.material == WATER);
        let water: f64 = water
            .filter_map(|p| p.amount.water_litres(self.tables).ok())
            .map(|l| l.litres)
            .sum();
        found.extend(self.over("water", water)?);
        Ok(found)
    }

    fn feed(&self, parts: &[Part]) -> Result<Vec<Question>, TableError> {
        let (kg, litres) = amount(self.tables, self.own, parts);
        let holds = self.holds;
        let most_kg = holds * self.most("feed_kg_per_litre")?;
        if kg.low > most_kg {
            let kg = kg.value;
            return Ok(vec![Question::TooMuchFeed { kg, most_kg, holds }]);
        }
        let most = holds * self.most("volume_share")?;
        Ok(overfull("feed", litres, most, holds).into_iter().collect())
    }

    fn dose(&self, dose: &Dose) -> Result<Vec<Question>, TableError> {
        let part = Part::plain(dose.material.clone(), dose.amount);
        let sour = self
            .tables
            .product(&dose.material)
            .is_ok_and(|p| p.action == "sour_bedding");
        if sour {
            return self.bedding(&[part]);
        }
        let kg = amount(self.tables, self.own, &[part]).0;
        let most_kg = self.holds * self.most("dose_grams_per_litre")? / 1000.0;
        Ok((kg.low > most_kg)
            .then_some(Question::TooMuchDose {
                kg: kg.value,
                most_kg,
                holds: self.holds,
            })
            .into_iter()
            .collect())
    }

    /// Water at once, and with what was poured in the week before.
    fn water(&self, amount: &Amount, past: &Past<'_>) -> Result<Vec<Question>, TableError> {
        let litres = |a: &Amount| a.water_litres(self.tables).map_or(0.0, |l| l.litres);
        let once = self.over("water", litres(amount))?;
        if !once.is_empty() {
            return Ok(once);
        }
        let days = self.most("water_days")?;
        let week = past.at - (days * DAY) as i64..=past.at;
        let before: f64 = past
            .log
            .iter()
            .filter(|e| week.contains(&e.at_unix_seconds))
            .filter_map(|e| match &e.body {
                Body::Water { amount, .. } => Some(litres(amount)),
                _ => None,
            })
            .sum();
        self.over("water within a week", before + litres(amount))
    }

    fn worms(
        &self,
        grams: Option<f64>,
        count: Option<f64>,
        litres: f64,
    ) -> Result<Vec<Question>, TableError> {
        let most_grams = litres * self.most("worms_grams_per_litre")?;
        let most_count = litres * self.most("worms_per_litre")?;
        let said = [
            (grams, most_grams, "g of worms"),
            (count, most_count, "worms"),
        ];
        let over = |(said, most, unit): (Option<f64>, f64, &'static str)| {
            said.filter(|n| *n > most)
                .map(|given| Question::TooManyWorms {
                    given,
                    most,
                    unit,
                    holds: litres,
                })
        };
        Ok(said.into_iter().filter_map(over).collect())
    }

    fn reading(&self, reading: &Reading) -> Result<Vec<Question>, TableError> {
        let (what, low, high, unit) = match reading.what {
            Measured::MoisturePercent => (
                "the moisture",
                self.most("moisture_low_percent")?,
                self.most("moisture_high_percent")?,
                "% of wet mass",
            ),
            Measured::EcMsCm => (
                "the salt reading (EC)",
                0.0,
                self.most("ec_ms_cm")?,
                "mS/cm",
            ),
            Measured::BinKg => (
                "the mass of the bin",
                self.holds * self.most("bin_low_kg_per_litre")?,
                self.holds * self.most("bin_high_kg_per_litre")?,
                "kg",
            ),
            _ => return Ok(Vec::new()),
        };
        let odd = reading.spots.iter().find(|v| !(low..=high).contains(*v));
        Ok(odd.map_or_else(Vec::new, |v| unusual(what, *v, low, high, unit)))
    }

    fn jars(&self, test: &JarTest) -> Result<Vec<Question>, TableError> {
        let wet = test.wet_bedding_grams;
        let (low, high) = (self.most("jar_low_grams")?, self.most("jar_high_grams")?);
        let mut found = unusual("the bedding in each jar", wet, low, high, "g");
        let lime = test.jars.iter().map(|j| j.grams).fold(0.0, f64::max);
        let most = wet * self.most("jar_lime_share")?;
        found.extend(unusual("the lime in a jar", lime, 0.0, most, "g"));
        let most = self.most("jar_hours")?;
        found.extend(unusual("the wait", test.hours, 0.0, most, "h"));
        Ok(found)
    }

    fn tray(&self, test: &TrayTest) -> Result<Vec<Question>, TableError> {
        let most = self.most("tray_worms")?;
        let worms = f64::from(test.worms);
        Ok(unusual("the number on the line", worms, 0.0, most, "worms"))
    }

    /// Filled anew soon after it was filled: bedding added was meant, or the
    /// same was written twice.
    fn again(&self, past: &Past<'_>) -> Result<Vec<Question>, TableError> {
        let days = self.most("filled_again_days")?;
        let near = |t: i64| ((past.at - t) as f64).abs() <= days * DAY;
        let twice = past
            .log
            .iter()
            .any(|e| matches!(e.body, Body::Filled { .. }) && near(e.at_unix_seconds));
        Ok(twice
            .then_some(Question::FilledTwice { days })
            .into_iter()
            .collect())
    }

    /// Sizes of a bin that can hardly be meant.
    fn sizes(&self, bin: &BinDescription) -> Result<Vec<Question>, TableError> {
        let (low, high) = (self.most("bin_low_litres")?, self.most("bin_high_litres")?);
        let litres = bin.length_cm * bin.width_cm * bin.depth_cm / 1000.0;
        let mut found = unusual("what the bin holds", litres, low, high, "L");
        let sides = [bin.length_cm, bin.width_cm, bin.depth_cm];
        let longest = sides.into_iter().fold(0.0, f64::max);
        let shortest = sides.into_iter().fold(f64::INFINITY, f64::min);
        if longest > shortest * self.most("bin_sides")? {
            found.push(Question::OddSides { longest, shortest });
        }
        Ok(found)
    }
}

/// Asks only when even the least the amount may be is too much.
fn overfull(what: &'static str, amount: Ranged, most: f64, holds: f64) -> Option<Question> {
    (amount.low > most).then_some(Question::Overfull {
        what,
        litres: amount.value,
        holds,
    })
}

/// Mass [kg] and loose volume [L] of the parts, water left out: it sits in the
/// pores.
fn amount(tables: &Tables, own: &Own, parts: &[Part]) -> (Ranged, Ranged) {
    let ready = ready(tables, parts, own).unwrap_or_default();
    let solid: Vec<_> = ready.iter().filter(|p| p.material.is_some()).collect();
    let sum = |of: fn(&ReadyPart) -> Ranged| {
        let add = |a: Ranged, b: Ranged| Ranged {
            value: a.value + b.value,
            low: a.low + b.low,
            high: a.high + b.high,
        };
        solid
            .iter()
            .fold(Ranged::exactly(0.0), |a, p| add(a, of(p)))
    };
    (sum(|p| p.grams.times(0.001)), sum(|p| p.litres))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)] // tests may unwrap

    use super::*;

    fn asked(body: &Body) -> Vec<Question> {
        let past = Past { log: &[], at: 0 };
        doubts(&Tables::load().unwrap(), &Own::new(), &tote(), &past, body).unwrap()
    }

    /// A tote of 55 L.
    fn tote() -> BinDescription {
        BinDescription {
            name: "Tote".into(),
            length_cm: 50.0,
            width_cm: 40.0,
            depth_cm: 27.5,
            bedding_depth_cm: None,
            walls: Default::default(),
            lid: Default::default(),
            drains: false,
            place: String::new(),
            retired: false,
        }
    }

    fn parts(list: &[(&str, &str)]) -> Vec<Part> {
        list.iter()
            .map(|(m, a)| Part::plain(*m, Amount::parse(a).unwrap()))
            .collect()
    }

    fn fed(material: &str, amount: &str) -> Vec<Question> {
        asked(&Body::Feeding {
            parts: parts(&[(material, amount)]),
        })
    }

    fn worms(grams: Option<f64>, count: Option<f64>) -> Vec<Question> {
        asked(&Body::WormsIn {
            grams,
            count,
            species: String::new(),
        })
    }

    #[test]
    fn feed_beyond_the_bin_is_asked_about() {
        assert!(fed("apple", "2 kg").is_empty());
        assert!(matches!(
            fed("apple", "200 kg")[..],
            [Question::TooMuchFeed { kg, .. }] if (kg - 200.0).abs() < 1e-9
        ));
        assert!(fed("lettuce_leaf", "54 L").is_empty());
        assert!(matches!(
            fed("lettuce_leaf", "60 L")[..],
            [Question::Overfull { what: "feed", .. }]
        ));
    }

    #[test]
    fn bedding_and_water_beyond_the_bin_are_asked_about() {
        let filled = |amount: &str| {
            asked(&Body::Filled {
                parts: parts(&[("coir_pith", amount), ("water", "10 L")]),
            })
        };
        assert!(filled("50 L").is_empty());
        assert_eq!(filled("80 L").len(), 1);
        let water = |amount: &str| {
            asked(&Body::Water {
                amount: Amount::parse(amount).unwrap(),
                soft: false,
            })
        };
        assert!(water("5 L").is_empty());
        assert_eq!(water("80 L").len(), 1);
    }

    /// Thirty litres of coir and eight of water in a tote of 55 L.
    #[test]
    fn more_than_is_in_the_bin_and_less_than_can_be_measured_is_asked_about() {
        let tables = Tables::load().unwrap();
        let filled = Entry {
            id: crate::log::EntryId(1),
            bin: None,
            at_unix_seconds: 0,
            zone: "UTC".into(),
            written_unix_seconds: 0,
            body: Body::Filled {
                parts: parts(&[("coir_pith", "30 L"), ("water", "8 L")]),
            },
        };
        let log = [filled];
        let past = Past { log: &log, at: 10 };
        let asked = |body: Body| {
            let found = doubts(&tables, &Own::new(), &tote(), &past, &body).unwrap();
            found
                .iter()
                .map(Question::text)
                .collect::<Vec<_>>()
                .join(" ")
        };
        let amount = |text: &str| Amount::parse(text).unwrap();
        let harvest = |a| Body::Harvest { amount: amount(a) };
        let drain = |a| Body::Drain { amount: amount(a) };
        let water = |a| Body::Water {
            amount: amount(a),
            soft: false,
        };
        let feed = |a| Body::Feeding {
            parts: parts(&[("apple", a)]),
        };
        for body in [
            harvest("50 L"),
            harvest("30 kg"),
            drain("45 L"),
            feed("20 kg"),
        ] {
            let said = asked(body);
            assert!(
                said.contains("by the log, all that is in this bin"),
                "{said}"
            );
        }
        for body in [water("0.0000001 L"), feed("0.0001 g"), harvest("0.001 g")] {
            let said = asked(body);
            assert!(said.contains("too little to be measured"), "{said}");
        }
        for body in [harvest("3 L"), drain("1 L"), feed("500 g"), water("1 cup")] {
            assert_eq!(asked(body), "");
        }
    }

    #[test]
    fn worms_beyond_the_bin_are_asked_about() {
        assert!(worms(Some(1000.0), None).is_empty());
        assert_eq!(worms(Some(25_000.0), None).len(), 1);
        assert!(worms(None, Some(4000.0)).is_empty());
        assert_eq!(worms(None, Some(400_000.0)).len(), 1);
    }

    #[test]
    fn dusty_and_streaming_contradict() {
        let look = |words: &[Word]| {
            asked(&Body::Observation {
                words: words.to_vec(),
                text: String::new(),
            })
        };
        assert!(look(&[Word::SqueezeDrops, Word::SqueezeSeveral]).is_empty());
        let found = look(&[Word::SqueezeStream, Word::SmellSour, Word::SqueezeDusty]);
        assert_eq!(found.len(), 1);
        let said = found[0].text();
        assert!(said.contains("dusty") && said.contains("stream"), "{said}");
        assert!(!found[0].refuses());
    }
}
