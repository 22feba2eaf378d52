//! What is accepted can be used: whatever entry the rules of the store and of
//! the tables take, the estimate of a bin with that entry in its log answers,
//! in finite figures, and leaves nothing out.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use engine::bed::fill::Own;
use engine::bounds;
use engine::estimate::{Estimate, Setup, Track, estimate, usable};
use engine::log::*;
use engine::measure::{Amount, Unit};
use engine::quantity::Celsius;
use engine::table::Tables;
use proptest::prelude::*;
use std::sync::LazyLock;
use store::validate;

static TABLES: LazyLock<Tables> = LazyLock::new(|| Tables::load().unwrap());
const DAY: i64 = 86_400;

fn entry(id: i64, day: i64, body: Body) -> Entry {
    Entry {
        id: EntryId(id),
        bin: Some(BinId(1)),
        at_unix_seconds: day * DAY,
        zone: "UTC".into(),
        written_unix_seconds: day * DAY,
        body,
    }
}

fn part(material: &str, amount: &str) -> Part {
    Part::plain(material, Amount::parse(amount).unwrap())
}

fn tote() -> BinDescription {
    BinDescription {
        name: "Tote".into(),
        length_cm: 60.0,
        width_cm: 40.0,
        depth_cm: 30.0,
        bedding_depth_cm: None,
        walls: Walls::default(),
        lid: Lid::default(),
        drains: true,
        place: String::new(),
        retired: false,
    }
}

/// A usual bin with worms, `body` on the second day, five days on.
fn with(bin: &BinDescription, body: &Body) -> Estimate {
    // What a tiny bin has room for.
    let holds = bin.length_cm * bin.width_cm * bin.depth_cm / 1000.0;
    let (coir, water) = (holds.min(20.0), (0.3 * holds).min(6.0));
    let log = [
        entry(
            1,
            0,
            Body::Filled {
                parts: vec![
                    part("coir_pith", &format!("{coir} L")),
                    part("water", &format!("{water} L")),
                ],
            },
        ),
        entry(
            2,
            0,
            Body::WormsIn {
                grams: Some(holds.min(20.0) * 15.0),
                count: None,
                species: String::new(),
            },
        ),
        entry(3, 2, body.clone()),
    ];
    let own = Own::new();
    let setup = Setup {
        tables: &TABLES,
        own: &own,
        temperature: Celsius(20.0),
        now: 5 * DAY,
        seed: 7,
        members: 8,
        bin: Some(bin),
        air: None,
    };
    estimate(&setup, &log).unwrap_or_else(|e| panic!("{body:?} was accepted and then: {e}"))
}

fn taken(bin: &BinDescription, body: &Body) -> bool {
    validate(body).is_ok() && usable(&TABLES, &Own::new(), Some(bin), body).is_ok()
}

fn answers(bin: &BinDescription, body: &Body) {
    let e = with(bin, body);
    assert_eq!(e.left_out, [], "{body:?}");
    for band in [
        e.ph,
        e.ph_to_come,
        e.pending_meq,
        e.buffer_meq_per_ph,
        e.dry_kg,
        e.water_kg,
    ] {
        for figure in [band.low, band.median, band.high] {
            assert!(figure.is_finite(), "{body:?}: {band:?}");
        }
    }
    for moment in e.course() {
        for track in Track::ALL {
            let band = moment.band(*track);
            for figure in [band.low, band.median, band.high] {
                assert!(figure.is_finite(), "{body:?}: {track:?} {band:?}");
            }
        }
    }
}

/// A number spread over many sizes, its ends among them.
fn sized(low: f64, high: f64) -> impl Strategy<Value = f64> {
    let from = low.max(1e-6);
    prop_oneof![
        1 => Just(low),
        1 => Just(high),
        6 => (from.ln()..high.ln()).prop_map(f64::exp),
    ]
}

fn within(bound: bounds::Bound) -> impl Strategy<Value = f64> {
    prop_oneof![Just(bound.low), Just(bound.high), bound.low..bound.high]
}

fn amount() -> impl Strategy<Value = Amount> {
    (sized(1e-6, 1e6), prop::sample::select(Unit::ALL))
        .prop_filter_map("an amount", |(n, unit)| Amount::new(n, unit).ok())
}

fn material() -> impl Strategy<Value = String> {
    let mut keys: Vec<String> = TABLES.materials().map(|m| m.key.clone()).collect();
    keys.push("water".into());
    prop::sample::select(keys)
}

fn parts() -> impl Strategy<Value = Vec<Part>> {
    let one = (
        material(),
        amount(),
        prop::option::weighted(0.2, within(bounds::PH)),
        prop::option::weighted(0.2, within(bounds::MOISTURE_PERCENT)),
    )
        .prop_map(|(material, amount, ph, moisture_percent)| Part {
            ph,
            moisture_percent,
            ..Part::plain(material, amount)
        });
    prop::collection::vec(one, 1..4)
}

fn reading() -> impl Strategy<Value = Body> {
    let instruments: Vec<String> = TABLES.instruments().iter().map(|i| i.key.clone()).collect();
    let what = prop_oneof![
        within(bounds::PH).prop_map(|v| (Measured::Ph, v)),
        within(bounds::LOGGED_CELSIUS).prop_map(|v| (Measured::BeddingCelsius, v)),
        within(bounds::LOGGED_CELSIUS).prop_map(|v| (Measured::AirCelsius, v)),
        within(bounds::EC_MS_CM).prop_map(|v| (Measured::EcMsCm, v)),
        within(bounds::MOISTURE_PERCENT).prop_map(|v| (Measured::MoisturePercent, v)),
        sized(0.0, 1000.0).prop_map(|v| (Measured::BinKg, v)),
    ];
    let place = prop::sample::select(&[Place::Spread, Place::Top, Place::Edge, Place::Food][..]);
    (what, 1..60usize, prop::sample::select(instruments), place).prop_map(
        |((what, value), spots, instrument, place)| {
            Body::Reading(Reading {
                what,
                spots: vec![value; spots],
                instrument,
                place,
                text: String::new(),
                confirmed: true,
            })
        },
    )
}

fn jars() -> impl Strategy<Value = Body> {
    let instruments: Vec<String> = TABLES.instruments().iter().map(|i| i.key.clone()).collect();
    let jar = (sized(0.0, 1e6), within(bounds::PH)).prop_map(|(grams, ph)| Jar { grams, ph });
    (
        sized(0.0, 1e6),
        material(),
        within(bounds::HOURS),
        prop::sample::select(instruments),
        prop::collection::vec(jar, 1..5),
    )
        .prop_map(|(wet_bedding_grams, material, hours, instrument, jars)| {
            Body::JarTest(JarTest {
                wet_bedding_grams,
                material,
                hours,
                instrument,
                jars,
            })
        })
}

fn worms() -> impl Strategy<Value = Body> {
    let count = || prop::option::of(sized(0.0, 500_000.0));
    let grams = || prop::option::of(sized(0.0, 50_000.0));
    prop_oneof![
        (grams(), count()).prop_map(|(grams, count)| Body::WormsIn {
            grams,
            count,
            species: String::new(),
        }),
        (
            sized(0.0, 500_000.0),
            prop::option::of(sized(0.01, 1000.0)),
            grams(),
            any::<bool>()
        )
            .prop_map(|(found, litres_searched, grams, ball)| Body::WormCount {
                found,
                litres_searched,
                grams,
                ball,
            }),
        (
            0..500_000u32,
            0..500_000u32,
            0..500_000u32,
            within(bounds::HOURS)
        )
            .prop_map(|(in_suspect, in_trusted, dead_or_missing, hours)| {
                Body::TrayTest(TrayTest {
                    worms: in_suspect + in_trusted + dead_or_missing,
                    in_suspect,
                    in_trusted,
                    dead_or_missing,
                    hours,
                })
            }),
    ]
}

fn body() -> impl Strategy<Value = Body> {
    use Applied::{MixedIn, OnTop, PouredLiquor, PouredSlurry};
    let how = prop::sample::select(&[MixedIn, OnTop, PouredLiquor, PouredSlurry][..]);
    let words = prop::collection::vec(prop::sample::select(&Word::ALL[..]), 1..6);
    prop_oneof![
        2 => parts().prop_map(|parts| Body::Filled { parts }),
        2 => parts().prop_map(|parts| Body::BeddingAdded { parts }),
        2 => parts().prop_map(|parts| Body::Feeding { parts }),
        3 => reading(),
        2 => jars(),
        3 => worms(),
        3 => (material(), amount(), how).prop_map(|(material, amount, how)| {
            Body::Dose(Dose { material, amount, how })
        }),
        1 => amount().prop_map(|amount| Body::Water { amount, soft: false }),
        1 => amount().prop_map(|amount| Body::Drain { amount }),
        1 => amount().prop_map(|amount| Body::Harvest { amount }),
        1 => words.prop_map(|words| Body::Observation { words, text: "".into() }),
        1 => Just(Body::Turned),
    ]
}

fn bin() -> impl Strategy<Value = BinDescription> {
    let side = || prop_oneof![2 => Just(50.0), 1 => Just(5.0), 1 => Just(1000.0), 1 => 5.0..1000.0];
    let depth = prop_oneof![2 => Just(30.0), 1 => Just(5.0), 1 => Just(200.0)];
    (side(), side(), depth, prop::option::of(0.0..1.0)).prop_map(
        |(length_cm, width_cm, depth_cm, share)| BinDescription {
            length_cm,
            width_cm,
            depth_cm,
            bedding_depth_cm: share.map(|s: f64| s * depth_cm),
            ..tote()
        },
    )
}

/// Older versions took such entries; a log keeps what it holds.
#[test]
fn an_old_entry_that_cannot_be_used_is_left_out_and_named() {
    let amount = |text: &str| Amount::parse(text).unwrap();
    for (body, wanted) in [
        (
            Body::Water {
                amount: amount("2 handfuls"),
                soft: false,
            },
            "not a measure for `water`",
        ),
        (
            Body::Harvest {
                amount: amount("900000 L"),
            },
            "`900000 L` is outside the allowed range",
        ),
        (
            Body::Drain {
                amount: amount("3 sheets"),
            },
            "not a measure for `water`",
        ),
        (
            Body::Feeding {
                parts: vec![part("apple", "200 g"), part("apple", "3 eggshells")],
            },
            "not a measure for `apple`",
        ),
        (
            Body::Filled {
                parts: vec![part("no_such_bedding", "20 L")],
            },
            "no_such_bedding",
        ),
    ] {
        let e = with(&tote(), &body);
        assert_eq!(e.left_out.len(), 1, "{body:?}");
        assert_eq!(e.left_out[0].entry, EntryId(3));
        let why = e.left_out[0].why.to_string();
        assert!(why.contains(wanted), "{why}");
        assert!(why.chars().count() <= 300, "{why}");
        assert!(e.ph.median.is_finite() && e.stocked);
        // What of it can be used is.
        assert_eq!(
            e.fed.len(),
            usize::from(matches!(body, Body::Feeding { .. }))
        );
    }
}

/// A tote holds 72 L: none of these was ever in it. The range is told in the
/// unit typed.
#[test]
fn what_cannot_have_been_in_the_bin_is_refused_and_in_an_old_log_left_out() {
    let amount = |text: &str| Amount::parse(text).unwrap();
    let worms = |grams, count| Body::WormsIn {
        grams,
        count,
        species: String::new(),
    };
    let fed = |amount| Body::Feeding {
        parts: vec![part("apple", amount)],
    };
    let closed = BinDescription {
        drains: false,
        ..tote()
    };
    let water = |text| Body::Water {
        amount: amount(text),
        soft: false,
    };
    let harvest = |text| Body::Harvest {
        amount: amount(text),
    };
    for (bin, body, said) in [
        (
            tote(),
            water("500 L"),
            "water `500 L` is outside the allowed range 0 to 432 L: this bin holds 72 L (19 gallons)",
        ),
        (
            closed.clone(),
            water("50 gallons"),
            "`50 gallons` is outside the allowed range 0 to 38 gallons",
        ),
        (
            tote(),
            fed("900 kg"),
            "apple `900 kg` is outside the allowed range 0 to ",
        ),
        (tote(), fed("2000 lb"), " lb: this bin holds"),
        (
            tote(),
            harvest("300 L"),
            "castings `300 L` is outside the allowed range 0 to 216 L",
        ),
        (
            tote(),
            Body::Drain {
                amount: amount("500 L"),
            },
            "liquid drained `500 L`",
        ),
        (
            tote(),
            worms(Some(80_000.0), None),
            "worms `80000 g` is outside the allowed range 0 to 72000 g",
        ),
        (
            tote(),
            worms(None, Some(800_000.0)),
            "worm count `800000 worms`",
        ),
        (
            tote(),
            Body::BeddingAdded {
                parts: vec![part("coir_pith", "200 L"), part("coir_pith", "100 L")],
            },
            "coir_pith `100 L` is outside the allowed range 0 to 16 L",
        ),
    ] {
        let refused = usable(&TABLES, &Own::new(), Some(&bin), &body).unwrap_err();
        let refused = refused.to_string();
        assert!(refused.contains(said), "{refused}");
        assert!(refused.chars().count() <= 300, "{refused}");
        let correction = Body::Correction {
            corrects: EntryId(3),
            replacement: Some(Box::new(body.clone())),
            at_unix_seconds: None,
            reason: String::new(),
        };
        assert!(usable(&TABLES, &Own::new(), Some(&bin), &correction).is_err());
        let e = with(&bin, &body);
        assert_eq!(e.left_out.len(), 1, "{body:?}");
        assert_eq!(e.left_out[0].entry, EntryId(3));
        assert_eq!(e.left_out[0].why.to_string(), refused);
        assert!(e.water_kg.high < 50.0, "{:?}", e.water_kg);
    }
    // A bin that drains may be rinsed; a larger one takes more.
    assert!(usable(&TABLES, &Own::new(), Some(&tote()), &water("300 L")).is_ok());
    assert!(usable(&TABLES, &Own::new(), Some(&closed), &water("300 L")).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]
    #[test]
    fn every_entry_that_is_accepted_can_be_used(bin in bin(), body in body()) {
        if taken(&bin, &body) {
            answers(&bin, &body);
        }
    }
}
