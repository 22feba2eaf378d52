//! Entries that can hardly be: more than the bin could hold, or words that
//! contradict each other. They are asked about, never refused.

use super::question::Question;
use crate::bed::fill::{Own, ReadyPart, ready};
use crate::bed::product::Ranged;
use crate::log::{BinDescription, Body, Part, Word};
use crate::table::{TableError, Tables};

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

/// Questions an entry other than a reading raises about a bin of this size.
/// Parts that cannot be made ready raise none: they are refused elsewhere.
///
/// # Errors
/// [`TableError`] when a threshold is missing.
pub fn doubts(
    tables: &Tables,
    own: &Own,
    bin: &BinDescription,
    body: &Body,
) -> Result<Vec<Question>, TableError> {
    let holds = bin.length_cm * bin.width_cm * bin.depth_cm / 1000.0;
    if holds.is_nan() || holds <= 0.0 {
        // Such a bin is refused by its sizes.
        return Ok(Vec::new());
    }
    let most = |property| tables.value("observations", "doubt", property);
    let mut found = Vec::new();
    match body {
        Body::Feeding { parts } => {
            let (kg, litres) = amount(tables, own, parts);
            let most_kg = holds * most("feed_kg_per_litre")?;
            if kg.low > most_kg {
                let kg = kg.value;
                found.push(Question::TooMuchFeed { kg, most_kg, holds });
            } else {
                found.extend(overfull(
                    "feed",
                    litres,
                    holds * most("volume_share")?,
                    holds,
                ));
            }
        }
        Body::Filled { parts } | Body::BeddingAdded { parts } => {
            let litres = amount(tables, own, parts).1;
            found.extend(overfull(
                "bedding",
                litres,
                holds * most("volume_share")?,
                holds,
            ));
        }
        Body::Water { amount, .. } => {
            let litres = amount.water_litres(tables).map_or(0.0, |l| l.litres);
            let litres = Ranged::exactly(litres);
            found.extend(overfull(
                "water",
                litres,
                holds * most("volume_share")?,
                holds,
            ));
        }
        Body::WormsIn { grams, count, .. } => {
            let most_grams = holds * most("worms_grams_per_litre")?;
            let most_count = holds * most("worms_per_litre")?;
            for (said, most, unit) in [
                (grams, most_grams, "g of worms"),
                (count, most_count, "worms"),
            ] {
                found.extend(
                    said.filter(|n| *n > most)
                        .map(|given| Question::TooManyWorms {
                            given,
                            most,
                            unit,
                            holds,
                        }),
                );
            }
        }
        Body::Observation { words, .. } => {
            found.extend(
                CONTRARY
                    .iter()
                    .filter(|pair| pair.iter().all(|(w, _)| words.contains(w)))
                    .map(|[(_, one), (_, other)]| Question::Contradiction { one, other }),
            );
        }
        _ => {}
    }
    Ok(found)
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
    use crate::measure::Amount;

    /// A tote of 55 L.
    fn asked(body: &Body) -> Vec<Question> {
        let bin = BinDescription {
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
        };
        doubts(&Tables::load().unwrap(), &Own::new(), &bin, body).unwrap()
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
