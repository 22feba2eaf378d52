//! A sign that is likelier under a cause than under every rival never lowers
//! the chance of that cause, whatever the word. A sign is a word and what an
//! entry of it leaves unsaid.

use crate::bed::fill::Own;
use crate::estimate::{Ensemble, Estimate, Setup, estimate};
use crate::living::observe::Sayings;
use crate::living::signs::Signs;
use crate::living::trouble::{Limits, Trouble};
use crate::log::{BinDescription, BinId, Body, Entry, EntryId, Lid, Part, PeatLabel, Word};
use crate::measure::Amount;
use crate::quantity::Celsius;
use crate::table::Tables;

const DAY: i64 = 86_400;
/// Least weight of a cause or a rival that can be told from chance [share].
const LEAST: f64 = 0.05;
/// So many times likelier is likelier, and no tie of slips of the pen [-].
const LIKELIER: f64 = 1.05;
/// How far rounding moves a chance [0 to 1].
const BY_CHANCE: f64 = 1e-9;

fn part(material: &str, amount: &str) -> Part {
    Part::plain(material, Amount::parse(amount).unwrap())
}

/// Bins in which much may be wrong, three weeks on.
fn bins(tables: &Tables) -> Vec<Estimate> {
    let peat = Part {
        label: PeatLabel::DoesNotSay,
        ..part("peat_sphagnum_unlimed", "60 L")
    };
    let wet = part("water", "12 L");
    let card = part("cardboard_corrugated", "40 L");
    let scraps = Some(part("kitchen_food_waste_mixed", "2500 g"));
    let meal = Some(part("soybean_meal", "400 g"));
    [
        (vec![peat.clone(), wet.clone()], None, 20.0),
        (vec![peat], None, 20.0),
        (vec![card.clone(), wet.clone()], scraps, 24.0),
        (vec![card.clone(), part("water", "4 L")], meal.clone(), 31.0),
        (vec![card, part("water", "1 L")], meal, 24.0),
    ]
    .into_iter()
    .map(|(parts, food, celsius)| {
        let mut log = vec![
            Body::Filled { parts },
            Body::WormsIn {
                grams: Some(454.0),
                count: None,
                species: String::new(),
            },
        ];
        log.extend(food.map(|f| Body::Feeding { parts: vec![f] }));
        let log: Vec<Entry> = log
            .into_iter()
            .enumerate()
            .map(|(i, body)| Entry {
                id: EntryId(i as i64 + 1),
                bin: Some(BinId(1)),
                at_unix_seconds: if i < 2 { 0 } else { 17 * DAY },
                zone: "UTC".into(),
                written_unix_seconds: 0,
                body,
            })
            .collect();
        let bin = BinDescription {
            lid: Lid::Vented,
            drains: false,
            ..crate::estimate::scene::usual_tote(tables).unwrap()
        };
        let setup = Setup {
            tables,
            own: &Own::new(),
            temperature: Celsius(celsius),
            now: 21 * DAY,
            seed: 11,
            members: 400,
            bin: Some(&bin),
            air: None,
        };
        estimate(&setup, &log).unwrap()
    })
    .collect()
}

/// Mean chance of the word where `who`, and their weight.
fn mean(e: &Ensemble, signs: &[Signs], chance: &[f64], who: impl Fn(&Signs) -> bool) -> (f64, f64) {
    let (mut sum, mut weight) = (0.0, 0.0);
    for ((s, c), w) in signs.iter().zip(chance).zip(&e.weights) {
        if who(s) {
            sum += w * c;
            weight += w;
        }
    }
    (sum / f64::max(weight, 1e-12), weight)
}

#[test]
fn a_sign_likelier_under_a_cause_than_under_every_rival_never_lowers_it() {
    let tables = Tables::load().unwrap();
    let sayings = Sayings::load(&tables).unwrap();
    let (mut asked, mut wrong) = (0, Vec::new());
    for (i, e) in bins(&tables).into_iter().enumerate() {
        let limits = Limits::load(&tables, e.scene.species).unwrap();
        for word in Word::ALL {
            let before = &e.ensemble;
            let signs = before.signs(&e.scene);
            let says = |s: &Signs| sayings.words_log_likelihood(&[word], s);
            let chance: Vec<f64> = signs.iter().map(|s| says(s).exp()).collect();
            let mut after = before.clone();
            for (m, s) in after.members.iter_mut().zip(&signs) {
                m.heard_last = says(s);
            }
            after.weigh(1.0);
            let causes = Trouble::ALL.iter().copied().filter(|t| t.is_bad());
            for cause in causes.clone() {
                let meets = |s: &Signs| limits.meets(cause, s);
                let (own, weight) = mean(before, &signs, &chance, meets);
                let none = mean(before, &signs, &chance, |s| !meets(s));
                if weight < LEAST || none.1 < LEAST || own < LIKELIER * none.0 {
                    continue;
                }
                let likelier =
                    |(other, weight): (f64, f64)| weight < LEAST || own > LIKELIER * other;
                let rivals = causes.clone().filter(|t| *t != cause).all(|rival| {
                    let only = |s: &Signs| limits.meets(rival, s) && !meets(s);
                    likelier(mean(before, &signs, &chance, only))
                });
                let fine = |s: &Signs| !causes.clone().any(|t| limits.meets(t, s));
                if !rivals || !likelier(mean(before, &signs, &chance, fine)) {
                    continue;
                }
                asked += 1;
                let now = mean(&after, &signs, &chance, meets).1;
                if now < weight - BY_CHANCE {
                    wrong.push(format!(
                        "bin {i}, {word:?}: {cause:?} from {weight:.3} to {now:.3}"
                    ));
                }
            }
        }
    }
    assert!(asked > 60, "only {asked} were asked");
    assert!(wrong.is_empty(), "{asked} asked: {wrong:#?}");
}
