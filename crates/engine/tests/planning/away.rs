//! An absence.

use crate::bins::{Kept, part, tables};
use engine::away::{Away, AwayAsk, Harm, away};
use engine::bed::fill::Own;
use engine::estimate::Estimate;
use engine::living::room::Day;
use engine::living::trouble::Trouble;
use engine::log::{Lid, Part};
use engine::quantity::Celsius;
use engine::what_if::habit;

fn asked(e: &Estimate, days: u32, air: Vec<Day>) -> Away {
    let feed = vec![part("kitchen_scraps_veg", "100 g")];
    asked_with(e, days, air, feed)
}

fn asked_with(e: &Estimate, days: u32, air: Vec<Day>, feed: Vec<Part>) -> Away {
    let own = Own::default();
    away(&AwayAsk {
        tables: tables(),
        own: &own,
        estimate: e,
        bed: Celsius(20.0),
        leave_in_days: 2,
        days_away: days,
        feed,
        most_feed: None,
        bedding: "cardboard_corrugated".into(),
        air,
        members: 80,
    })
    .unwrap()
}

#[test]
fn a_fortnight_takes_an_ordinary_ration_at_most() {
    let e = Kept::default().estimate();
    let a = asked(&e, 14, Vec::new());
    let h = habit(&e).unwrap();
    // Never more than the keeper's own week.
    assert!(a.feed_grams.high <= h.grams * 7.0 / h.every_days + 1e-9);
    assert!(a.done.at_return <= a.undone.at_return + 0.02);
    assert!(a.done.at_return < 0.1, "{}", a.done.at_return);
    assert!(a.done.latest_safe_days.is_none_or(|d| d >= 14));
    // No treat and no lime (case K25).
    assert!(a.advice.iter().any(|l| l.text().contains("no lime")));
}

#[test]
fn chances_of_harm_only_rise_and_safe_days_follow_from_them() {
    let e = Kept {
        lid: Lid::Open,
        moisture: Some(62.0),
        ..Kept::default()
    }
    .estimate();
    let a = asked(&e, 21, Vec::new());
    for c in [&a.done, &a.undone] {
        assert!(c.by_day.windows(2).all(|w| w[0] <= w[1] + 1e-12));
        assert_eq!(c.by_day.len() as u32, c.looked_days + 1);
        if let Some(d) = c.latest_safe_days {
            assert!(c.by_day[d as usize] <= 0.1 + 1e-9);
            assert!(c.by_day[d as usize + 1] > 0.1);
        }
        let [ten, fifty, ninety] = c.harm_day;
        assert!(ten.unwrap_or(999) <= fifty.unwrap_or(999));
        assert!(fifty.unwrap_or(999) <= ninety.unwrap_or(999));
        let sum: f64 = c.first.iter().map(|f| f.1).sum();
        assert!((sum - c.at_return).abs() < 1e-9);
    }
    // An open lid dries the bin: water and moist bedding buy time.
    let drying = |c: &engine::away::Course| {
        let dry = c.chances.iter().find(|f| f.0 == Trouble::Drying);
        dry.unwrap().1
    };
    assert!(drying(&a.undone) > 0.2, "{}", drying(&a.undone));
    assert!(a.water_grams + a.soak_grams > 0.0);
    assert!(drying(&a.done) < drying(&a.undone));
}

/// Case K64: a week away, well fed, on a glazed porch in a heat wave: dead.
#[test]
fn an_absence_in_a_heat_wave_is_not_answered_with_food() {
    let e = Kept::default().estimate();
    let a = asked(
        &e,
        7,
        vec![
            Day {
                low: 28.0,
                high: 42.0
            };
            9
        ],
    );
    assert!(a.feed_grams.median.abs() < 1e-12, "{:?}", a.feed_grams);
    // The heat is there before leaving.
    assert!(a.done.at_return > 0.5 || !a.already.is_empty());
    assert!(a.advice.iter().any(|l| l.text().contains("coolest room")));
}

/// Published advice on holidays runs from three weeks to six months: the
/// limit is water and warmth, not food.
#[test]
fn a_moist_covered_bin_lasts_weeks_without_food() {
    let e = Kept {
        lid: Lid::Tight,
        ..Kept::default()
    }
    .estimate();
    let a = asked_with(&e, 42, Vec::new(), Vec::new());
    assert!(a.feed_grams.median.abs() < 1e-12);
    // Worms lose 0.4 to 1 % a day when food is out: at six weeks, 0.66 or more.
    assert!(a.done.condition.median > 0.6, "{:?}", a.done.condition);
    let starved = a.done.first.iter().find(|f| f.0 == Harm::Starved).unwrap();
    assert!(starved.1 < 0.1, "{starved:?}");
}

#[test]
fn days_out_of_range_are_told() {
    let e = Kept {
        members: 20,
        days: 10,
        ..Kept::default()
    }
    .estimate();
    let own = Own::default();
    let mut ask = AwayAsk {
        tables: tables(),
        own: &own,
        estimate: &e,
        bed: Celsius(20.0),
        leave_in_days: 0,
        days_away: 400,
        feed: Vec::new(),
        most_feed: None,
        bedding: "cardboard_corrugated".into(),
        air: Vec::new(),
        members: 20,
    };
    assert_eq!(
        away(&ask).unwrap_err().to_string(),
        "days away 400 d is outside the allowed range 1 to 180 d"
    );
    ask.days_away = 5;
    ask.bedding = "gold_leaf".into();
    assert!(
        away(&ask)
            .unwrap_err()
            .to_string()
            .starts_with("bedding `gold_leaf`")
    );
}
