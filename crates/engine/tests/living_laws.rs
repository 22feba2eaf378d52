//! Laws of the living bin: nothing is made or lost, nothing is less than
//! nothing, a shorter step tells the same story, and the same seed the same
//! story to the bit.

#![allow(clippy::unwrap_used)] // tests may unwrap

#[allow(dead_code)] // each file of tests uses its own part of it
#[path = "living/bin.rs"]
mod bin;

use bin::{Bin, tote};
use engine::living::life::Told;
use engine::living::room::Day;
use engine::living::species::Species;
use engine::log::{BinDescription, Lid, Walls};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

const BEDDINGS: [&str; 12] = [
    "cardboard_corrugated",
    "coir_pith",
    "newsprint_shredded",
    "peat_sphagnum_unlimed",
    "yard_compost_finished",
    "leaves_dry",
    "straw_general",
    "horse_manure_aged",
    "wood_shavings_softwood",
    "sand_grit",
    "paper_office",
    "vermicompost",
];
const FOODS: [&str; 9] = [
    "kitchen_scraps_veg",
    "coffee_grounds",
    "bread_white",
    "grass_clippings",
    "citrus_peel",
    "soybean_meal",
    "banana_peel",
    "blood_meal",
    "watermelon_flesh",
];
const DOSES: [&str; 6] = [
    "limestone_calcitic",
    "hydrated_lime",
    "eggshell_powder",
    "wood_ash",
    "sodium_bicarbonate",
    "elemental_sulfur",
];

/// What a keeper does on one day.
#[derive(Debug, Clone)]
enum Deed {
    Feed(usize, u32),
    Pour(f64),
    Harvest(f64),
    Dose(usize, f64),
    Stock(f64),
}

/// A bin and what happens to it.
#[derive(Debug, Clone)]
struct Story {
    size: (f64, f64, f64),
    walls: usize,
    lid: usize,
    drains: bool,
    parts: Vec<(usize, u32)>,
    water: u32,
    species: usize,
    seed: u64,
    days: Vec<(f64, f64)>,
    deeds: Vec<(u32, Deed)>,
}

/// Most food [g], water [kg], dose [g] and worms [g] at a time.
fn deeds((food, water, dose, worms, taken): (f64, f64, f64, f64, f64)) -> BoxedStrategy<Deed> {
    prop_oneof![
        4 => (0..FOODS.len(), 0.02..1.0).prop_map(move |(f, x)| Deed::Feed(f, (x * food) as u32 + 1)),
        1 => (0.01..1.0).prop_map(move |x| Deed::Pour(x * water)),
        1 => (0.05..taken).prop_map(Deed::Harvest),
        1 => (0..DOSES.len(), 0.01..1.0).prop_map(move |(d, x)| {
            // Sulphur is given by the third of what lime is.
            Deed::Dose(d, x * dose * if d == 5 { 0.3 } else { 1.0 })
        }),
        1 => (0.01..1.0).prop_map(move |x| Deed::Stock(x * worms)),
    ]
    .boxed()
}

/// Any story, or a mild one: a bin that somebody keeps, with food, water, lime
/// and worms to suit its bedding.
fn stories(mild: bool) -> impl Strategy<Value = Story> {
    let (cold, hot) = if mild { (8.0, 30.0) } else { (-20.0, 45.0) };
    let days = prop::collection::vec((cold..hot, 0.0f64..15.0), 30..if mild { 61 } else { 121 });
    let size = (20.0f64..150.0, 15.0f64..100.0, 15.0f64..80.0);
    let parts = prop::collection::vec((0..BEDDINGS.len(), 3u32..60), 1..4);
    let told = parts.prop_flat_map(move |parts| {
        let litres: u32 = parts.iter().map(|p| p.1).sum();
        let per = f64::from(litres);
        let most = if mild {
            (25.0 * per, 0.1 * per, 3.0 * per, 10.0 * per, 0.4)
        } else {
            (8000.0, 20.0, 1000.0, 3000.0, 0.95)
        };
        let deeds = prop::collection::vec((0u32..110, deeds(most)), 0..25);
        let water = if mild {
            litres / 8..litres / 4 + 1
        } else {
            0..20
        };
        (Just(parts), water, deeds)
    });
    (
        (size, 0usize..6, 0usize..4, any::<bool>()),
        told,
        (0usize..4, 0u64..10_000),
        days,
    )
        .prop_map(
            |((size, walls, lid, drains), (parts, water, deeds), (species, seed), days)| Story {
                size,
                walls,
                lid,
                drains,
                parts,
                water,
                species,
                seed,
                days,
                deeds,
            },
        )
}

fn described(s: &Story) -> BinDescription {
    const WALLS: [Walls; 6] = [
        Walls::Plastic,
        Walls::Wood,
        Walls::Foam,
        Walls::Metal,
        Walls::Fabric,
        Walls::Masonry,
    ];
    const LIDS: [Lid; 4] = [Lid::Open, Lid::Cover, Lid::Vented, Lid::Tight];
    BinDescription {
        length_cm: s.size.0,
        width_cm: s.size.1,
        depth_cm: s.size.2,
        walls: WALLS[s.walls],
        lid: LIDS[s.lid],
        drains: s.drains,
        ..tote()
    }
}

/// The bin of a story before anything happens.
fn begin(s: &Story) -> Bin {
    let mut parts: Vec<(&str, String)> = s
        .parts
        .iter()
        .map(|(b, litres)| (BEDDINGS[*b], format!("{litres} L")))
        .collect();
    if s.water > 0 {
        parts.push(("water", format!("{} L", s.water)));
    }
    let parts: Vec<(&str, &str)> = parts.iter().map(|(m, a)| (*m, a.as_str())).collect();
    let species = Species::ALL[s.species];
    let mut bin = Bin::drawn(&described(s), &parts, s.days[0].0, species, s.seed);
    let days = s.days.iter().map(|(c, swing)| Day::around(*c, *swing));
    bin.room.usual_from(0, Day::around(18.0, 4.0));
    bin.room.set(0, &days.collect::<Vec<_>>());
    bin
}

fn act(bin: &mut Bin, deed: &Deed) {
    match deed {
        Deed::Feed(food, grams) => bin.feed(&[(FOODS[*food], &format!("{grams} g"))]),
        Deed::Pour(kg) => bin.pour(*kg),
        Deed::Harvest(share) => bin.harvest(*share),
        Deed::Dose(dose, grams) => bin.dose(DOSES[*dose], *grams),
        Deed::Stock(grams) => bin.stock(*grams),
    }
}

/// Lives the story; `see` is shown the bin after every day.
fn live(s: &Story, step: f64, mut see: impl FnMut(&Bin)) -> Bin {
    let mut bin = begin(s);
    bin.step = step;
    bin.air_by = Some(0.5);
    for day in 0..s.days.len() as u32 {
        for (_, deed) in s.deeds.iter().filter(|(d, _)| *d == day) {
            act(&mut bin, deed);
        }
        bin.live(1.0);
        see(&bin);
    }
    bin
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// Through everything a keeper may do the books of matter, water, heat
    /// and charge close; through each day of life alone the bed's base does.
    #[test]
    fn nothing_is_made_or_lost_and_nothing_is_less_than_nothing(s in stories(false)) {
        let mut bin = begin(&s);
        for day in 0..s.days.len() as u32 {
            for (_, deed) in s.deeds.iter().filter(|(d, _)| *d == day) {
                act(&mut bin, deed);
            }
            let before = bin.ledger();
            bin.live(1.0);
            if let Err(gap) = bin.ledger().check(&before, 0.0) {
                prop_assert!(false, "day {day}: {gap}");
            }
            if let Some(what) = bin.impossible() {
                prop_assert!(false, "{what}");
            }
        }
        if let Err(gap) = bin.ledger().check_from_empty() {
            prop_assert!(false, "from empty: {gap}");
        }
    }

    #[test]
    fn the_same_story_is_the_same_to_the_bit(s in stories(false)) {
        let (a, b) = (live(&s, 0.5, |_| {}), live(&s, 0.5, |_| {}));
        prop_assert_eq!(format!("{:?}{:?}", a.life, a.bed), format!("{:?}{:?}", b.life, b.bed));
    }

    /// What a step tells is for those who look: taken away before every step, it
    /// is missed by nobody.
    #[test]
    fn no_process_reads_what_is_told(s in stories(false)) {
        let (mut usual, mut untold) = (begin(&s), begin(&s));
        for day in 0..s.days.len() as u32 {
            for bin in [&mut usual, &mut untold] {
                for (_, deed) in s.deeds.iter().filter(|(d, _)| *d == day) {
                    act(bin, deed);
                }
            }
            for _ in 0..2 {
                untold.life.told = Told::default();
                usual.once();
                untold.once();
            }
            prop_assert_eq!(format!("{:?}", usual.life), format!("{:?}", untold.life));
            prop_assert_eq!(&usual.bed, &untold.bed);
        }
    }
}

/// How far two tellings of one story lie apart on the worst day of each
/// quantity, against what would matter: 0.05 pH, half a point of moisture, half
/// a kelvin in the day's mean of the core, 2 % of worms and of castings (of 20 g
/// and of 50 g where there are fewer).
fn apart(s: &Story) -> [f64; 5] {
    let tell = |step: f64| {
        let mut days = Vec::new();
        live(s, step, |bin| days.push((bin.signs(), bin.core)));
        days
    };
    let mut worst = [0.0f64; 5];
    for ((a, a_core), (b, b_core)) in tell(0.5).iter().zip(&tell(0.25)) {
        let share = |x: f64, y: f64, least: f64| (x - y).abs() / x.max(y).max(least);
        let day = [
            (a.ph - b.ph).abs() / 0.05,
            (a.moisture_percent - b.moisture_percent).abs() / 0.5,
            (a_core - b_core).abs() / 0.5,
            share(a.worms_kg, b.worms_kg, 0.02) / 0.02,
            share(a.castings_dry_kg, b.castings_dry_kg, 0.05) / 0.02,
        ];
        for (w, d) in worst.iter_mut().zip(day) {
            *w = w.max(d);
        }
    }
    worst
}

/// In bins that somebody keeps, halving the step changes nothing that matters.
///
/// It does not hold to the last: in a few bins in a hundred, in the days of a
/// die-off or when a bed heats itself past 30 °C, one quantity differs by more
/// for a day or two. How many, and by how much at the most, is held here.
#[test]
fn half_the_step_tells_the_same_story() {
    const STORIES: usize = 300;
    let mut runner = TestRunner::deterministic();
    let all: Vec<[f64; 5]> = (0..STORIES)
        .map(|_| apart(&stories(true).new_tree(&mut runner).unwrap().current()))
        .collect();
    for (i, name) in ["pH", "moisture", "core", "worms", "castings"]
        .iter()
        .enumerate()
    {
        let mut gaps: Vec<f64> = all.iter().map(|w| w[i]).collect();
        gaps.sort_by(f64::total_cmp);
        let (middle, most, worst) = (
            gaps[STORIES / 2],
            gaps[STORIES * 95 / 100],
            gaps[STORIES - 1],
        );
        assert!(middle < 0.2, "{name}: half the bins beyond {middle}");
        assert!(most < 1.0, "{name}: a twentieth of the bins beyond {most}");
        assert!(worst < 5.0, "{name}: the worst is {worst}");
    }
    let clean = all.iter().filter(|w| w.iter().all(|x| *x < 1.0)).count();
    assert!(clean * 100 >= STORIES * 92, "{clean} of {STORIES}");
}
