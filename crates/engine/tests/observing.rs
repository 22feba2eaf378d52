//! What keepers say and measure, held to the laws of chance, to what is known
//! of worms, and to plain sense.

// Helper functions of tests may unwrap as the tests themselves do.
#![allow(clippy::unwrap_used)]

#[path = "observing/counts.rs"]
mod counts;
#[path = "observing/gain.rs"]
mod gain;
#[path = "observing/gauges.rs"]
mod gauges;
#[path = "observing/heard.rs"]
mod heard;
#[path = "observing/laws.rs"]
mod laws;
#[path = "observing/unseen.rs"]
mod unseen;
#[path = "observing/words.rs"]
mod words;

use engine::estimate::ahead::Alarm;
use engine::living::observe::Sayings;
use engine::living::signs::Signs;
use engine::living::species::Species;
use engine::living::trouble::{Limits, Trouble};
use engine::table::Tables;
use std::sync::LazyLock;

static SAYINGS: LazyLock<Sayings> = LazyLock::new(|| {
    let tables = Tables::load().unwrap_or_else(|e| panic!("{e}"));
    Sayings::load(&tables).unwrap_or_else(|e| panic!("{e}"))
});

/// A quiet, settled household bin.
fn quiet() -> Signs {
    Signs {
        age_days: 120.0,
        stocked_days: Some(110.0),
        ph: 7.0,
        pocket_ph: 6.5,
        moisture_percent: 75.0,
        moisture_felt_percent: 75.0,
        top_moisture_percent: 72.0,
        drop_moisture_percent: 60.0,
        pooled_kg: 0.0,
        condensing: 0.3,
        core_celsius: 21.0,
        hot_celsius: 23.0,
        refuge_celsius: 20.0,
        refuge_low_celsius: 20.0,
        refuge_high_celsius: 20.0,
        day: engine::living::life::DayMeans {
            core_celsius: 21.0,
            refuge_celsius: 20.0,
            air_celsius: 19.0,
        },
        air_celsius: 19.0,
        fed_days: Some(4.0),
        food_share: 0.0,
        feed_left: 0.4,
        sour_meq_per_kg: 10.0,
        free_ammonia_mg_per_kg: 1.0,
        airless: 0.05,
        air_filled: 0.35,
        ec_ms_per_cm: 2.0,
        worms: 3000.0,
        adults: 900.0,
        worms_kg: 0.6,
        worms_kg_m2: 2.5,
        condition: 1.0,
        cocoons: 400.0,
        urge_to_leave: 0.02,
        driven_to_leave: 0.02,
        habitable: 0.95,
        dying_per_day: 0.0005,
        castings_dry_kg: 1.0,
        castings_share: 0.4,
        made_dry_kg: 1.0,
        made_share: 0.4,
        dry_kg: 3.0,
        contents_kg: 14.0,
        litres: 25.0,
        over_rim: 0.0,
    }
}

/// A harvest too soon takes cocoons and food half eaten along: under two to one
/// it is a look, and for six weeks from stocking there is none.
#[test]
fn castings_are_acted_on_when_likely_ready_and_never_soon_after_stocking() {
    let limits = Limits::load(&Tables::load().unwrap(), Species::EiseniaFetida).unwrap();
    let alarm = |trouble, now, in_all| Alarm {
        trouble,
        by_day: vec![now, in_all],
        now,
        act_from: limits.act_from(trouble),
    };
    assert!(!alarm(Trouble::Ready, 0.42, 0.55).wants_act());
    assert!(!alarm(Trouble::Ready, 0.42, 0.9).wants_act());
    assert!(alarm(Trouble::Ready, 0.8, 0.9).wants_act());
    assert!(alarm(Trouble::Souring, 0.1, 0.55).wants_act());
    let made = |days| Signs {
        made_share: 0.9,
        stocked_days: days,
        ..quiet()
    };
    assert!(limits.meets(Trouble::Ready, &made(Some(50.0))));
    assert!(!limits.meets(Trouble::Ready, &made(Some(30.0))));
    assert!(!limits.meets(Trouble::Ready, &made(None)));
    let frost = Signs {
        refuge_celsius: 3.0,
        ..made(Some(50.0))
    };
    assert!(!limits.meets(Trouble::Ready, &frost));
}
