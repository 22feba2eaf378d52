//! What if.

use crate::bins::{Kept, part, tables};
use engine::bed::fill::{Own, ready};
use engine::estimate::ahead::{Act, Outlooker, Plan};
use engine::estimate::track::Track;
use engine::living::room::Day;
use engine::quantity::Celsius;
use engine::what_if::{away, fed_times, habit, moved, present_plan, wave, with_bedding};

fn feedings(plan: &Plan) -> Vec<(f64, f64)> {
    plan.acts
        .iter()
        .filter_map(|(at, act)| match act {
            Act::Feed(parts) => Some((*at, parts.iter().map(|p| p.grams.value).sum())),
            _ => None,
        })
        .collect()
}

#[test]
fn the_habit_is_what_was_done_and_goes_on() {
    let e = Kept {
        members: 20,
        ..Kept::default()
    }
    .estimate();
    let h = habit(&e).unwrap();
    assert!((h.every_days - 4.0).abs() < 1e-9, "{}", h.every_days);
    assert!((h.grams - 300.0).abs() < 1e-6);
    // Fed three days ago: the next is due tomorrow.
    assert!((h.next_in_days - 1.0).abs() < 1e-9);
    let plan = feedings(&present_plan(&e, 14.0));
    assert_eq!(plan.len(), 4);
    for (i, (at, grams)) in plan.iter().enumerate() {
        assert!((at - (1.0 + 4.0 * i as f64)).abs() < 1e-9);
        assert!((grams - 300.0).abs() < 1e-6);
    }
    let double = feedings(&fed_times(&e, 2.0, 14.0));
    assert!((double[0].1 - 600.0).abs() < 1e-6);
    assert!(fed_times(&e, 0.0, 14.0).acts.is_empty());
    let gone = feedings(&away(present_plan(&e, 14.0), 4.0, 12.0));
    assert_eq!(
        gone.iter().map(|f| f.0.round() as i32).collect::<Vec<_>>(),
        [1, 13]
    );
}

#[test]
fn never_fed_has_no_habit() {
    let e = Kept {
        members: 20,
        days: 4,
        ..Kept::default()
    }
    .estimate();
    assert!(habit(&e).is_none());
    assert!(present_plan(&e, 30.0).acts.is_empty());
}

#[test]
fn plans_move_the_bin_as_they_should() {
    let e = Kept {
        members: 40,
        ..Kept::default()
    }
    .estimate();
    let o = Outlooker::new(tables(), &e, Celsius(20.0)).unwrap();
    let end = |plan: &Plan, track: Track| {
        let a = o.ahead(&e.ensemble, plan, 21);
        a.course[21].band(track).median
    };
    let present = present_plan(&e, 21.0);
    let more = fed_times(&e, 2.0, 21.0);
    assert!(end(&more, Track::Contents) > end(&present, Track::Contents));
    let shed = moved(present.clone(), Day::around(8.0, 4.0));
    assert!(end(&shed, Track::Core) < end(&present, Track::Core) - 8.0);
    let card = ready(
        tables(),
        &[part("cardboard_corrugated", "500 g")],
        &Own::new(),
    )
    .unwrap();
    let bedded = with_bedding(present.clone(), card, 2.0);
    assert!(end(&bedded, Track::Litres) > end(&present, Track::Litres));
    let hot = wave(&e, present.clone(), 19, &[Day::around(35.0, 6.0); 2]);
    assert!(end(&hot, Track::Core) > end(&present, Track::Core) + 8.0);
    // Before the wave nothing is changed.
    let (a, b) = (
        o.ahead(&e.ensemble, &hot, 18),
        o.ahead(&e.ensemble, &present, 18),
    );
    assert_eq!(a.course, b.course);
}
