//! What files of a mix or a dose are answered.

use super::desk::{Desk, number};

#[test]
fn unlimed_peat_is_not_ready_and_its_lime_is_stated_with_the_wait() {
    let answer = Desk::new().json(&["mix", "files/peat.toml", "--json"]);
    assert_eq!(answer["verdict"], "ready_after");
    assert!(number(&answer, "/ph/high") < 5.5);
    assert!(number(&answer, "/lime/grams/median") > 50.0);
    assert!(number(&answer, "/ready_after/days/soonest") >= 7.0);
    let what = answer["ready_after"]["what"].as_array().unwrap();
    let steps: Vec<&str> = what.iter().filter_map(|w| w.as_str()).collect();
    let text = *steps.iter().find(|s| s.contains("limestone")).unwrap();
    let wet = steps.iter().position(|s| s.contains("litres of water"));
    assert!(wet.is_none_or(|at| at == 0), "water first: {steps:?}");
    for said in ["tablespoons", " g)", "10-litre bucket", "days", "eyes"] {
        assert!(text.contains(said), "{said}: {text}");
    }
}

#[test]
fn lime_adjusted_peat_with_outdoor_compost_reads_about_7_1() {
    let answer = Desk::new().json(&["mix", "files/limed-and-compost.toml", "--json"]);
    assert!(number(&answer, "/ph/low") <= 7.1 && number(&answer, "/ph/high") >= 7.1);
    assert!((number(&answer, "/ph/median") - 7.1).abs() <= 0.3);
}

#[test]
fn caustic_lime_is_refused_with_worms_in() {
    let answer = Desk::new().json(&["dose", "files/acid.toml", "--json"]);
    assert_eq!(answer["direction"], "raise");
    let refused = answer["refused"].as_array().unwrap();
    assert_eq!(refused.len(), 1);
    assert_eq!(refused[0]["material"], "hydrated_lime");
    assert!(refused[0]["reason"].as_str().unwrap().contains("Caustic"));
    for step in answer["plan"]["steps"].as_array().unwrap() {
        assert!(number(step, "/reread_day") > number(step, "/day"));
        assert!(number(step, "/grams") > 0.0);
    }
}

#[test]
fn an_over_limed_bed_is_brought_down() {
    let answer = Desk::new().json(&["dose", "files/over.toml", "--json"]);
    assert_eq!(answer["direction"], "lower");
    assert!(number(&answer, "/needed_base_meq/median") < 0.0);
    assert_eq!(answer["plan"]["material"], "peat_sphagnum_unlimed");
    assert!(number(&answer, "/plan/steps/0/ph_after/median") < number(&answer, "/ph/median"));
}

#[test]
fn a_bed_at_6_8_needs_no_dose() {
    let answer = Desk::new().json(&["dose", "files/well.toml", "--json"]);
    assert_eq!(answer["direction"], "stay");
    assert!(answer["plan"].is_null());
    assert!(answer["why"].as_str().unwrap().contains("No dose needed"));
}

#[test]
fn a_stocked_bed_without_a_settled_reading_gets_no_plan() {
    let desk = Desk::new();
    for file in ["files/unread.toml", "files/local.toml"] {
        let answer = desk.json(&["dose", file, "--json"]);
        assert!(answer["plan"].is_null(), "{file}");
        assert!(answer["why"].as_str().unwrap().contains("no settled pH"));
    }
    let local = desk.json(&["dose", "files/local.toml", "--json"]);
    assert_eq!(local["readings"][0]["settled"], false);
    assert_eq!(local["readings"][0]["local_after"], "dose");
    // The liquor's 5.6 is the place; the bed is not taken to have moved there.
    assert!(number(&local, "/ph/high") < 5.4);
}

#[test]
fn what_was_given_is_counted() {
    let answer = Desk::new().json(&["dose", "files/dosed.toml", "--json"]);
    assert_eq!(answer["running_total"]["doses"], 1);
    // 80 g of lime is at most 1600 meq.
    let given = number(&answer, "/running_total/given_meq");
    assert!((1000.0..=1650.0).contains(&given), "{given}");
}

#[test]
fn every_fault_has_its_line() {
    let desk = Desk::new();
    let file = desk.file(
        "two.toml",
        "[[parts]]\nmaterial = \"coir_pith\"\namount = \"20\"\nph = 56\n",
    );
    let (lines, code) = desk.refused(&["mix", &file, "--json"]);
    assert_eq!(code, 2);
    assert_eq!(lines.len(), 2, "{lines:?}");
    assert!(lines[0].starts_with("two.toml:3: "));
    assert!(lines[1].starts_with("two.toml:4: "));
}

#[test]
fn a_refusal_leaves_the_log_as_it_was() {
    let desk = Desk::new();
    desk.json(&[
        "add-bin",
        "A",
        "--length",
        "40",
        "--width",
        "30",
        "--depth",
        "25",
        "--filled",
        "20 L coir_pith",
        "--json",
    ]);
    let before = desk.run(&["export", "-"]).stdout;
    for refused in [
        vec!["log", "1", "reading", "56", "--instrument", "pen"],
        vec!["log", "1", "reading", "7.0", "--instrument", "probe"],
        vec!["log", "9", "turned"],
        vec!["log", "1", "dose", "2 spoons limestone_calcitic"],
        vec!["correct", "1", "77", "turned"],
        vec!["shed", "add", "dolomite", "--own", "ph=70"],
        vec!["settings", "units", "cubits"],
        vec![
            "add-bin", "B", "--length", "1", "--width", "30", "--depth", "25",
        ],
    ] {
        let (lines, code) = desk.refused(&refused);
        assert_eq!(code, 2, "{refused:?}");
        assert_eq!(lines.len(), 1, "{refused:?}: {lines:?}");
    }
    assert_eq!(desk.run(&["export", "-"]).stdout, before);
    let kept = desk.json(&[
        "log",
        "1",
        "reading",
        "7.0",
        "--instrument",
        "probe",
        "--confirmed",
        "--json",
    ]);
    assert_eq!(kept["bin"], 1);
}

#[test]
fn the_same_question_has_the_same_answer() {
    let desk = Desk::new();
    let ask = || desk.run(&["dose", "files/acid.toml", "--json"]).stdout;
    assert_eq!(ask(), ask());
}

#[test]
fn amounts_and_usual_names_are_taken_in_either_order_and_never_guessed() {
    let desk = Desk::new();
    let judged = |part: &str| desk.json(&["judge", part, "--json"])["parts"].clone();
    assert_eq!(judged("20 L coir"), judged("coir 20 L"));
    assert_eq!(judged("20 L coir")[0]["material"], "coir_pith");
    assert_eq!(
        judged("5 kg kitchen scraps")[0]["material"],
        "kitchen_scraps_veg"
    );
    let asked = desk.run(&["judge", "20 L peat"]);
    let said = String::from_utf8(asked.stderr).unwrap();
    assert!(!asked.status.success());
    assert!(
        said.contains("`peat` may be `peat_sphagnum_unlimed`") && said.contains("write which"),
        "{said}"
    );
}
