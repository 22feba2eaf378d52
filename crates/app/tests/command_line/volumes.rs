//! One bag, asked about by each command: the same dry mass, the same litres of
//! one name, the same lime.

use super::desk::{Desk, number};
use serde_json::Value;

const FILLED: &str = "2026-03-01T09:00";
const AN_HOUR_ON: &str = "2026-03-01T10:00";
const SIX_WEEKS_ON: &str = "2026-04-12T10:00";

/// What the commands say of one filling.
struct Told {
    judged: Value,
    now: Value,
    later: Value,
    plan: Value,
}

fn told(parts: &[&str], more: &[&str]) -> Told {
    let desk = Desk::new();
    desk.done(&["shed", "add", "limestone_calcitic", "--now", FILLED]);
    let mut add = vec!["add-bin", "Tub", "--length", "60", "--width", "40"];
    add.extend(["--depth", "40", "--now", FILLED]);
    add.extend(parts.iter().flat_map(|p| ["--filled", p]));
    add.extend(more);
    desk.done(&add);
    let mut judge = vec!["judge", "--json"];
    judge.extend(parts);
    let now = |at| desk.json(&["now", "1", "--json", "--now", at])["now"].clone();
    Told {
        judged: desk.json(&judge),
        now: now(AN_HOUR_ON),
        later: now(SIX_WEEKS_ON),
        plan: desk.json(&["plan", "1", "--json", "--now", AN_HOUR_ON]),
    }
}

fn near(a: f64, b: f64, share: f64) -> bool {
    (a / b - 1.0).abs() <= share
}

/// Dry mass and lime, held to agree between the commands [kg, g].
fn agreed(parts: &[&str]) -> (f64, f64) {
    let t = told(parts, &[]);
    let dry = number(&t.judged, "/dry_kg/median");
    let dry_now = number(&t.now, "/dry_kg/median");
    assert!(near(dry, dry_now, 0.005), "{parts:?} {dry} {dry_now}");
    let litres = number(&t.judged, "/wetted_l/median");
    let litres_now = number(&t.now, "/litres/median");
    assert!(
        near(litres, litres_now, 0.03),
        "{parts:?} {litres} {litres_now}"
    );
    let lime = t.judged["lime"]
        .as_object()
        .map_or(0.0, |_| number(&t.judged, "/lime/grams/median"));
    let options = t.plan["options"].as_array().unwrap();
    let planned = options.first().map_or(0.0, |o| number(o, "/grams/median"));
    // Under a teaspoon, 6.5 g of ground limestone, nobody doses either way.
    let close = near(lime, planned, 0.05) || lime.max(planned) < 6.5;
    assert!(close, "{parts:?} {lime} {planned}");
    (dry, lime)
}

#[test]
fn peat_is_the_same_peat_whether_its_moisture_was_typed_or_not() {
    let said = ["", " moisture=50", " moisture=75"]
        .map(|m| agreed(&[&format!("60 L peat_sphagnum_unlimed label=not-limed{m}")]));
    for (dry, lime) in said {
        assert!(
            near(dry, said[0].0, 0.005) && near(lime, said[0].1, 0.05),
            "{said:?}"
        );
    }
    assert!((4.5..7.0).contains(&said[0].0), "{said:?}");
}

#[test]
fn a_bag_whose_label_does_not_say_is_limed_alike() {
    agreed(&["60 L peat_sphagnum_unlimed label=does-not-say"]);
    agreed(&["60 L peat_sphagnum_unlimed label=does-not-say moisture=75"]);
}

#[test]
fn coir_newsprint_and_a_mix_agree() {
    let coir = agreed(&["40 L coir_pith"]).0;
    assert!(near(coir, agreed(&["40 L coir_pith moisture=60"]).0, 0.005));
    let paper = agreed(&["40 L newsprint_shredded"]).0;
    for moisture in [10, 50, 75] {
        let typed = agreed(&[&format!("40 L newsprint_shredded moisture={moisture}")]).0;
        assert!(near(paper, typed, 0.005), "{paper} {typed}");
    }
    agreed(&[
        "30 L peat_sphagnum_unlimed label=not-limed",
        "20 L newsprint_shredded",
        "5 L vermicompost",
        "10 L water",
    ]);
}

#[test]
fn sixty_litres_of_moist_peat_stand_near_sixty_and_settle_over_weeks() {
    let t = told(
        &["60 L peat_sphagnum_unlimed label=not-limed moisture=75"],
        &[],
    );
    let litres = |v: &Value| number(v, "/litres/median");
    assert!((52.0..60.0).contains(&litres(&t.now)), "{}", litres(&t.now));
    let left = litres(&t.later) / litres(&t.now);
    assert!((0.80..0.95).contains(&left), "{left}");
    let settled = number(&t.judged, "/volume_l/median") / number(&t.judged, "/wetted_l/median");
    assert!((0.85..0.97).contains(&settled), "{settled}");
    assert!(near(number(&t.judged, "/loose_l/median"), 60.0, 0.01));
}

/// Ten litres of strips wetted to 75 % fall to six and a quarter.
#[test]
fn paper_falls_in_when_it_is_wetted() {
    let t = told(&["40 L newsprint_shredded", "5.1 L water"], &[]);
    let litres = number(&t.now, "/litres/median");
    assert!((23.0..29.0).contains(&litres), "{litres}");
}

#[test]
fn a_written_depth_is_an_observation_of_volume() {
    let parts = ["60 L peat_sphagnum_unlimed label=not-limed"];
    let litres = |more: &[&str]| {
        let now = told(&parts, more).now;
        let at = |end: &str| number(&now, &format!("/litres/{end}"));
        (at("low"), at("median"), at("high"))
    };
    // 60 by 40 cm, 22 cm deep: 52.8 L.
    let (unread, read) = (litres(&[]), litres(&["--bedding-depth", "22"]));
    assert!(
        read.1 < 0.97 * unread.1 && read.1 > 52.0,
        "{unread:?} {read:?}"
    );
    assert!(read.2 - read.0 < unread.2 - unread.0, "{unread:?} {read:?}");
}

#[test]
fn castings_brought_in_are_no_product() {
    let parts = ["30 L vermicompost", "5 L coir_pith", "3 L water"];
    let t = told(&parts, &["--worms-grams", "300"]);
    assert!(
        number(&t.now, "/castings_dry_kg/median") < 0.05,
        "{}",
        t.now
    );
    assert!(number(&t.now, "/castings_share/median") < 0.05);
    // What is worked from then on is.
    assert!(number(&t.later, "/castings_dry_kg/median") > 0.05);
}
