//! Keys that programs rely on.

use super::desk::{Desk, holds, keys, number};
use serde_json::Value;

#[test]
fn the_keys_of_the_contracts_stay() {
    let desk = Desk::new();
    let mix = desk.json(&["mix", "files/peat.toml", "--json"]);
    holds(
        &mix,
        &[
            "schema",
            "ph",
            "moisture_percent",
            "cn",
            "air_filled_porosity",
            "ec_ms_per_cm",
            "dry_kg",
            "volume_l",
            "verdict",
            "ready_after",
            "reasons",
            "ph_in_four_weeks",
            "water_to_add_l",
            "ammonia_mg_per_g",
            "heating_celsius",
            "lime",
            "chances",
        ],
    );
    for band in [
        "ph",
        "moisture_percent",
        "cn",
        "air_filled_porosity",
        "ec_ms_per_cm",
        "dry_kg",
        "volume_l",
    ] {
        assert_eq!(keys(&mix[band]), ["high", "low", "median"]);
        assert!(number(&mix[band], "/low") <= number(&mix[band], "/median"));
        assert!(number(&mix[band], "/median") <= number(&mix[band], "/high"));
    }
    holds(
        &mix["reasons"][0],
        &["topic", "weight", "text", "remedy", "days", "fatal"],
    );
    let weights: Vec<f64> = mix["reasons"]
        .as_array()
        .unwrap()
        .iter()
        .map(|r| number(r, "/weight"))
        .collect();
    assert!(weights.is_sorted_by(|a, b| a >= b), "{weights:?}");
    let dose = desk.json(&["dose", "files/acid.toml", "--json"]);
    holds(
        &dose,
        &[
            "schema",
            "ph",
            "ph_to_come",
            "direction",
            "why",
            "target_ph",
            "needed_base_meq",
            "options",
            "plan",
            "refused",
            "running_total",
            "readings",
            "also",
            "look_again_days",
            "questions",
        ],
    );
    holds(
        &dose["options"][0],
        &[
            "material",
            "grams",
            "measure",
            "acted",
            "path",
            "ec_rise_ms_per_cm",
            "ammonia_factor",
            "cautions",
            "enough",
        ],
    );
    holds(
        &dose["plan"]["steps"][0],
        &[
            "grams",
            "measure",
            "day",
            "ph_after",
            "reread_day",
            "if_lower",
            "as_expected",
            "if_higher",
            "how",
            "limit",
        ],
    );
}

#[test]
fn the_keys_of_the_living_contracts_stay() {
    let desk = Desk::new();
    assert!(desk.run(&["demo"]).status.success());
    let now = desk.json(&["now", "1", "--json"]);
    holds(
        &now,
        &[
            "schema",
            "bin",
            "name",
            "stocked",
            "now",
            "units",
            "troubles",
            "taught",
            "look",
            "fed_days_ago",
            "contradictions",
        ],
    );
    assert!(number(&now, "/now/worms_kg/median") > 0.0);
    let ration = desk.json(&["ration", "1", "300 g kitchen_scraps_veg", "--json"]);
    holds(
        &ration,
        &[
            "schema",
            "grams",
            "parts",
            "feed_from",
            "bedding",
            "water_grams",
            "look_in_days",
            "held_by",
            "chances",
            "could_take_grams_per_day",
            "kg_per_kg_worms_per_day",
            "published_kg_per_kg_worms_per_day",
            "food_left_share",
            "room_litres",
            "cautions",
        ],
    );
    let fed = desk.json(&["outlook", "2", "--days", "21", "--json"]);
    let starved = desk.json(&["outlook", "2", "--days", "21", "--no-feeding", "--json"]);
    assert_eq!(fed["days"].as_array().unwrap().len(), 22);
    assert_eq!(fed["present_plan"], true);
    assert_eq!(starved["present_plan"], false);
    assert_eq!(fed["days"][0], starved["days"][0]);
    let castings = |v: &Value| number(v, "/days/21/contents_kg/median");
    assert!(castings(&starved) < castings(&fed));
    for alarm in fed["alarms"].as_array().unwrap() {
        let days = alarm["chance_by_day"].as_array().unwrap();
        assert!(days.is_sorted_by(|a, b| a.as_f64() <= b.as_f64()));
    }
    let away = desk.json(&["away", "2", "3..17", "--json"]);
    holds(
        &away,
        &[
            "leave_date",
            "return_date",
            "latest_safe_date",
            "feed_grams",
            "bedding_grams",
            "done",
            "undone",
            "already",
            "advice",
        ],
    );
    // A wet bed freezes for days before its middle does.
    let mut frost = vec!["weather", "2", "--json"];
    frost.extend(["--day", "-15 -25"].repeat(5));
    let frost = desk.json(&frost);
    holds(
        &frost,
        &["undone", "done", "least", "alone", "figures", "cautions"],
    );
    let harm = |of: &str| number(&frost, &format!("/{of}/chance_of_harm"));
    assert!(harm("undone") > harm("done"));
    assert!(number(&frost, "/undone/coldest_celsius/median") < 1.0);
    let today = desk.json(&["today", "--json"]);
    holds(
        &today,
        &["schema", "bins", "now", "later", "nothing_until_days"],
    );
    assert_eq!(today["bins"], 4);
    for task in today["now"].as_array().unwrap() {
        holds(
            task,
            &["bin", "kind", "what", "why", "by_days", "if_it_waits"],
        );
        assert!(number(task, "/by_days") < 1.0);
    }
}

#[test]
fn a_heat_wave_in_a_file_warms_the_bin() {
    let desk = Desk::new();
    assert!(desk.run(&["demo"]).status.success());
    let hot = format!("low_celsius,high_celsius\n{}", "30,42\n".repeat(7));
    let file = desk.file("hot.csv", &hot);
    let with = desk.json(&["outlook", "2", "--days", "7", "--air", &file, "--json"]);
    let without = desk.json(&["outlook", "2", "--days", "7", "--json"]);
    let core = |v: &Value| number(v, "/days/7/core_celsius/median");
    assert!(core(&with) > core(&without) + 5.0);
    let bad = desk.file("bad.csv", "low_celsius,high_celsius\n20,10\nx,5\n");
    let (lines, code) = desk.refused(&["outlook", "2", "--air", &bad]);
    assert_eq!((lines.len(), code), (2, 2), "{lines:?}");
    assert!(lines[0].starts_with("bad.csv:2: "));
}
