//! Laws of the living bin: nothing is made or lost, nothing is less than
//! nothing, a shorter step tells the same story, and the same seed the same
//! story to the bit.

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

fn deeds(mild: bool) -> BoxedStrategy<Deed> {
    let (food, water, dose) = if mild { (600, 2.0, 60.0) } else { (8000, 20.0, 1000.0) };
    prop_oneof![
        4 => (0..FOODS.len(), 50u32..food).prop_map(|(f, g)| Deed::Feed(f, g)),
        1 => (0.1..water).prop_map(Deed::Pour),
        1 => (0.05f64..0.9).prop_map(Deed::Harvest),
        1 => (0..DOSES.len(), 5.0..dose).prop_map(|(d, g)| Deed::Dose(d, g)),
        1 => (10.0f64..1500.0).prop_map(Deed::Stock),
    ]
    .boxed()
}

/// Any story, or a mild one: a bin that somebody keeps.
fn stories(mild: bool) -> impl Strategy<Value = Story> {
    let (cold, hot) = if mild { (8.0, 30.0) } else { (-20.0, 45.0) };
    let days = prop::collection::vec((cold..hot, 0.0f64..15.0), 30..if mild { 61 } else { 121 });
    let size = (20.0f64..150.0, 15.0f64..100.0, 15.0f64..80.0);
    (
        (size, 0usize..6, 0usize..4, any::<bool>()),
        prop::collection::vec((0..BEDDINGS.len(), 3u32..60), 1..4),
        0u32..20,
        (0usize..4, 0u64..10_000),
        days,
        prop::collection::vec((0u32..110, deeds(mild)), 0..25),
    )
        .prop_map(|((size, walls, lid, drains), parts, water, (species, seed), days, deeds)| Story {
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
        })
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
            live(&s, step, |bin| days.push(bin.signs()));
            days
        };
        let (whole, half) = (tell(0.5), tell(0.25));
        for (day, (a, b)) in whole.iter().zip(&half).enumerate() {
            let gap = |x: f64, y: f64, least: f64| (x - y).abs() / x.max(y).max(least);
            prop_assert!((a.ph - b.ph).abs() < 0.05, "day {day} pH {} {}", a.ph, b.ph);
            let wet = (a.moisture_percent, b.moisture_percent);
            prop_assert!((wet.0 - wet.1).abs() < 0.5, "day {day} moisture {wet:?}");
            let worms = (a.worms_kg, b.worms_kg);
            prop_assert!(gap(worms.0, worms.1, 0.02) < 0.02, "day {day} worms {worms:?}");
            let cast = (a.castings_dry_kg, b.castings_dry_kg);
            prop_assert!(gap(cast.0, cast.1, 0.05) < 0.02, "day {day} castings {cast:?}");
            let core = (a.core_celsius, b.core_celsius);
            prop_assert!((core.0 - core.1).abs() < 0.5, "day {day} core {core:?}");
        }
    }
}
