//! Scenarios played through: balances close, runs repeat, hands do not matter.

#![allow(
    clippy::unwrap_used,
    reason = "a helper of a test that cannot go on fails the test"
)]

use engine::estimate::hands::ONE_PAIR;
use engine::estimate::live::Staged;
use engine::estimate::scene::usual_tote;
use engine::estimate::{Hands, Possible, Track};
use engine::living::room::Day;
use engine::living::signs::Signs;
use engine::log::{Body, Part, Word};
use engine::measure::Amount;
use engine::quantity::Band;
use engine::scenario::{Happening, Played, Scenario, What, play};
use engine::table::Tables;

fn part(material: &str, amount: &str) -> Part {
    Part::plain(material, Amount::parse(amount).unwrap())
}

fn entry(day: f64, body: Body) -> Happening {
    Happening {
        day,
        what: What::Entry(body),
    }
}

fn story(days: u32, members: usize) -> Scenario {
    let mut happenings = vec![
        Happening {
            day: 2.0,
            what: What::Staged(
                Staged {
                    adults: 300.0,
                    young: 400.0,
                    cocoons: 100.0,
                },
                "eisenia_fetida".into(),
            ),
        },
        entry(
            20.0,
            Body::Observation {
                words: vec![Word::SqueezeSeveral, Word::SmellEarthy],
                text: String::new().into(),
            },
        ),
        entry(
            30.0,
            Body::Water {
                amount: Amount::parse("0.5 L").unwrap(),
                soft: false,
            },
        ),
        entry(
            35.0,
            Body::Harvest {
                amount: Amount::parse("500 g").unwrap(),
            },
        ),
    ];
    for k in 0..8 {
        happenings.push(entry(
            4.0 + 5.0 * f64::from(k),
            Body::Feeding {
                parts: vec![part("kitchen_scraps_veg", "250 g")],
            },
        ));
    }
    Scenario {
        bin: usual_tote(&Tables::load().unwrap()).unwrap(),
        parts: vec![
            part("cardboard_corrugated", "30 L"),
            part("coir_pith", "10 L"),
            part("water", "5 L"),
        ],
        air: vec![Day::around(16.0, 6.0); 10],
        usual: Day::around(20.0, 4.0),
        happenings,
        days,
        seed: 7,
        members,
    }
}

fn played(s: &Scenario, hands: &'static dyn Hands) -> Played {
    play(&Tables::load().unwrap(), s, hands, &mut |_| {}).unwrap()
}

#[test]
fn the_books_of_a_scenario_close() {
    let p = played(&story(45, 40), &ONE_PAIR);
    for book in &p.balances.books {
        let turned = book.put_in.high.abs() + book.to_air.high.abs() + book.made.high.abs();
        assert!(turned > 0.0, "{} never moved", book.name);
        assert!(
            book.largest_gap <= 1e-9 * turned,
            "{}: gap {} of {turned}",
            book.name,
            book.largest_gap
        );
    }
}

#[test]
fn there_is_a_moment_a_day_and_chances_never_fall_without_evidence() {
    let mut s = story(45, 40);
    s.happenings.retain(|h| {
        !matches!(
            h.what,
            What::Entry(Body::Observation { .. } | Body::Harvest { .. })
        )
    });
    let p = played(&s, &ONE_PAIR);
    assert_eq!(p.course.len(), 46);
    for (day, moment) in p.course.iter().enumerate() {
        assert_eq!(moment.at, day as i64 * 86_400);
        for track in Track::ALL {
            let b = moment.band(*track);
            assert!(b.low <= b.median && b.median <= b.high, "{}", track.name());
        }
    }
    for chance in &p.chances {
        assert!(chance.come.is_sorted(), "{}", chance.trouble.name());
        assert_eq!(chance.come.len(), 46);
    }
    // Worms of known stages come in as counted on the second day.
    assert!(p.course[1].band(Track::Worms).high < 0.5);
    let in_then = p.course[3].band(Track::Worms);
    assert!(in_then.low > 400.0 && in_then.high < 800.0, "{in_then:?}");
}

/// Hands that start at the far end, as other cores might.
#[derive(Debug)]
struct Backwards;

impl Hands for Backwards {
    fn each(&self, members: &mut [Possible], work: &(dyn Fn(&mut Possible) + Sync)) {
        members.iter_mut().rev().for_each(work);
    }

    fn make(&self, count: usize, make: &(dyn Fn(usize) -> Possible + Sync)) -> Vec<Possible> {
        let mut list: Vec<Possible> = (0..count).rev().map(make).collect();
        list.reverse();
        list
    }

    fn rows(&self, count: usize, row: &(dyn Fn(usize) -> Vec<f64> + Sync)) -> Vec<Vec<f64>> {
        let mut list: Vec<Vec<f64>> = (0..count).rev().map(row).collect();
        list.reverse();
        list
    }

    fn signs(
        &self,
        members: &[Possible],
        read: &(dyn Fn(&Possible) -> Signs + Sync),
    ) -> Vec<Signs> {
        let mut list: Vec<Signs> = members.iter().rev().map(read).collect();
        list.reverse();
        list
    }

    fn days(
        &self,
        members: &mut [Possible],
        live: &(dyn Fn(&mut Possible) -> Vec<Signs> + Sync),
    ) -> Vec<Vec<Signs>> {
        let mut list: Vec<Vec<Signs>> = members.iter_mut().rev().map(live).collect();
        list.reverse();
        list
    }

    fn bands(&self, band: &(dyn Fn(Track) -> Band + Sync)) -> Vec<Band> {
        let mut list: Vec<Band> = Track::ALL.iter().rev().map(|t| band(*t)).collect();
        list.reverse();
        list
    }
}

#[test]
fn the_answer_is_the_same_to_the_bit_whoever_does_the_work() {
    let s = story(30, 25);
    let one = played(&s, &ONE_PAIR);
    let again = played(&s, &ONE_PAIR);
    let other = played(&s, &Backwards);
    assert_eq!(one.course, again.course);
    assert_eq!(one.course, other.course);
    assert_eq!(one.balances, other.balances);
    let mut changed = s.clone();
    changed.seed += 1;
    assert_ne!(one.course, played(&changed, &ONE_PAIR).course);
}
