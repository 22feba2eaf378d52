//! Laws of the living bin: nothing is made or lost, nothing is less than
//! nothing, a shorter step tells the same story, and the same seed the same
//! story to the bit.

#[allow(dead_code, reason = "each file of tests uses its own part of it")]
#[path = "living/bin.rs"]
mod bin;

use bin::{Bin, tote};
use engine::living::room::{Day, Room};
use engine::living::species::Species;
use engine::log::{BinDescription, Lid, Walls};
use proptest::prelude::*;

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
fn deeds((food, water, dose, worms): (f64, f64, f64, f64)) -> BoxedStrategy<Deed> {
    prop_oneof![
        4 => (0..FOODS.len(), 0.02..1.0).prop_map(move |(f, x)| Deed::Feed(f, (x * food) as u32 + 1)),
        1 => (0.01..1.0).prop_map(move |x| Deed::Pour(x * water)),
        1 => (0.05f64..0.9).prop_map(Deed::Harvest),
        1 => (0..DOSES.len(), 0.01..1.0).prop_map(move |(d, x)| Deed::Dose(d, x * dose)),
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
            (25.0 * per, 0.1 * per, 3.0 * per, 20.0 * per)
        } else {
            (8000.0, 20.0, 1000.0, 3000.0)
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
    bin.room = Room::new(days.collect(), Day::around(18.0, 4.0));
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
            let given = bin.bed.trend_per_day;
            bin.live(1.0);
            if let Err(gap) = bin.ledger().check(&before, given) {
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

    /// In a bin that somebody keeps, halving the step changes nothing that
    /// matters: pH by less than 0.05, moisture by half a point, the day's mean
    /// in the core by half a kelvin, worms and castings by 2 %.
    #[test]
    fn half_the_step_tells_the_same_story(s in stories(true)) {
        let tell = |step: f64| {
            let mut days = Vec::new();
            live(&s, step, |bin| days.push((bin.signs(), bin.core)));
            days
        };
        let (whole, half) = (tell(0.5), tell(0.25));
        for (day, ((a, a_core), (b, b_core))) in whole.iter().zip(&half).enumerate() {
            let gap = |x: f64, y: f64, least: f64| (x - y).abs() / x.max(y).max(least);
            prop_assert!((a.ph - b.ph).abs() < 0.05, "day {day} pH {} {}", a.ph, b.ph);
            let wet = (a.moisture_percent, b.moisture_percent);
            prop_assert!((wet.0 - wet.1).abs() < 0.5, "day {day} moisture {wet:?}");
            let worms = (a.worms_kg, b.worms_kg);
            prop_assert!(gap(worms.0, worms.1, 0.02) < 0.02, "day {day} worms {worms:?}");
            let cast = (a.castings_dry_kg, b.castings_dry_kg);
            prop_assert!(gap(cast.0, cast.1, 0.05) < 0.02, "day {day} castings {cast:?}");
            let core = (a_core, b_core);
            prop_assert!((core.0 - core.1).abs() < 0.5, "day {day} core {core:?}");
        }
    }
}
