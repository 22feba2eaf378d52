//! The planning pages over a real desk in memory: judge, dose, jar test, tray
//! test, shed and settings, with good and bad input.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot read its own data has failed"
)]

#[path = "pages/house_of_one.rs"]
mod house_of_one;

use axum::http::StatusCode;
use engine::log::BinId;
use house_of_one::{House, on_disk, part};

#[tokio::test]
async fn unlimed_peat_is_recognised_and_its_lime_stated() {
    let house = House::new();
    let got = house
        .get("/judge?material1=peat_sphagnum_unlimed&amount1=60+L&material2=&amount2=")
        .await;
    assert_eq!(got.status, StatusCode::OK);
    let words = got.words();
    assert!(words.contains("Ready after"), "{words}");
    assert!(words.contains("too acid"), "{words}");
    assert!(words.contains("peat in it has had no lime"), "{words}");
    assert!(words.contains("10-litre bucket"), "{words}");
    assert!(got.text.contains("href=\"/tray-test\""));
    assert!(words.contains("Where this comes from"));
    assert_eq!(house.entries(), 0);
}

#[tokio::test]
async fn limed_peat_and_compost_come_near_neutral() {
    let house = House::new();
    let path = "/judge?material1=peat_sphagnum_limed&amount1=30+L&material2=yard_compost_finished&amount2=30+L";
    let words = house.get(path).await.words();
    let after = words.split("pH in the first days ").nth(1).unwrap();
    let ph: f64 = after.split(' ').next().unwrap().parse().unwrap();
    assert!((ph - 7.1).abs() <= 0.3, "{ph}");
}

#[tokio::test]
async fn a_bad_part_is_told_beside_its_own_row() {
    let house = House::new();
    let got = house
        .get("/judge?material1=coir_pith&amount1=60&material2=nosuchthing&amount2=2+L&ph2=44")
        .await;
    assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY);
    for id in [
        "f-judge-amount1-error",
        "f-judge-material2-error",
        "f-judge-ph2-error",
    ] {
        assert!(got.text.contains(id), "{id}");
    }
    assert!(!got.text.contains("f-judge-amount2-error"));
    assert!(got.words().contains("has no unit"));
    assert!(!got.words().contains("Before worms go in"));
}

#[tokio::test]
async fn an_acid_bed_gets_steps_with_dates_and_a_form_ready_to_send() {
    let house = House::acid().has(&["limestone_calcitic", "hydrated_lime", "vinegar"]);
    let got = house.get("/bins/1/dose").await;
    assert_eq!(got.status, StatusCode::OK);
    let words = got.words();
    assert!(words.contains("Raise it"), "{words}");
    assert!(words.contains("Today, Wed 25 Nov"), "{words}");
    assert!(words.contains("meq"), "{words}");
    assert!(words.contains("Caustic: it burns worms"), "{words}");
    assert!(words.contains("does not hold"), "{words}");
    assert!(got.text.contains("name=\"kind\" value=\"dose\""));
    assert!(words.contains("What would prove it wrong"));
}

#[tokio::test]
async fn the_dose_form_writes_what_the_plan_says() {
    let house = House::acid().has(&["limestone_calcitic"]);
    let page = house.get("/bins/1/dose").await.text;
    let value = |name: &str| {
        let at = page.find(&format!("name=\"{name}\" value=\"")).unwrap();
        let rest = &page[at + name.len() + 15..];
        rest[..rest.find('"').unwrap()].to_owned()
    };
    assert!(value("amount").ends_with(" g"), "{}", value("amount"));
    let form = format!(
        "kind=dose&material={}&amount={}&how=mixed_in&when={}",
        value("material")
            .replace(' ', "+")
            .replace('(', "%28")
            .replace(')', "%29"),
        value("amount").replace(' ', "+"),
        value("when").replace(':', "%3A"),
    );
    let before = house.entries();
    let done = house.post("/bins/1/log", &form).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.words());
    assert_eq!(house.entries(), before + 1);
    let words = house.get("/bins/1/dose").await.words();
    assert!(words.contains("Already given"), "{words}");
}

#[tokio::test]
async fn an_empty_shed_is_offered_lime_and_one_tap_makes_the_plan() {
    let house = House::acid();
    let got = house.get("/bins/1/dose").await;
    assert!(got.words().contains("Nothing in the shed for it"));
    assert!(got.text.contains("action=\"/shed/limestone_calcitic\""));
    let done = house.post("/shed/limestone_calcitic", "quick=1").await;
    assert_eq!(done.to, "/bins/1/dose");
    assert!(house.get("/bins/1/dose").await.words().contains("Raise it"));
}

#[tokio::test]
async fn a_bed_nobody_read_is_not_dosed_and_a_good_bed_is_left_alone() {
    let parts = vec![part("peat_sphagnum_unlimed", "40 L"), part("water", "10 L")];
    let blind = House::with_bin(parts, &[]).has(&["limestone_calcitic"]);
    let got = blind.get("/bins/1/dose").await;
    assert!(got.words().contains("Read the pH first"));
    assert!(got.words().contains("How to read it"));
    assert!(!got.text.contains("class=\"steps\""));
    let well = House::with_bin(vec![part("coir_pith", "30 L")], &[6.5, 6.6, 6.4]);
    assert!(
        well.get("/bins/1/dose")
            .await
            .words()
            .contains("No dose needed")
    );
    let none = blind.get("/bins/9/dose").await;
    assert_eq!(none.status, StatusCode::NOT_FOUND);
    let far = blind.get("/bins/1/dose?target=11").await;
    assert_eq!(far.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(far.words().contains("5 to 8"), "{}", far.words());
}

#[tokio::test]
async fn more_lime_is_never_told_to_end_lower_and_too_much_is_cautioned() {
    let house = House::acid().has(&["limestone_calcitic"]);
    let planned = house.desk.planned(BinId(1), None).unwrap();
    let step = planned.option("limestone_calcitic").unwrap().step_grams;
    let mut last = 0.0;
    for grams in [0, 10, 30, 60, 100] {
        let path = format!("/bins/1/dose/what-if?material=limestone_calcitic&amount={grams}");
        let got = house.get(&path).await;
        assert_eq!(got.status, StatusCode::OK);
        let words = got.words();
        let after = words.split("In four weeks").nth(1).unwrap();
        let ph: f64 = after.split("pH ").nth(1).unwrap()[..3].parse().unwrap();
        assert!(ph >= last, "{grams} g: {ph} after {last}");
        last = ph;
        let cautioned = words.contains("Too much at once");
        assert_eq!(
            cautioned,
            f64::from(grams) > step * 1.05,
            "{grams}: {words}"
        );
    }
    assert!(last > 5.5, "{last}");
    for bad in [
        "material=vinegar&amount=10",
        "material=limestone_calcitic&amount=x",
    ] {
        let got = house.get(&format!("/bins/1/dose/what-if?{bad}")).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{bad}");
    }
}

const JARS: &str = "kind=jar_test&material=limestone_calcitic&wet=500&hours=168&instrument=good_pen&grams1=0&ph1=4.8&grams2=2&ph2=5.6&grams3=4&ph3=6.4";

#[tokio::test]
async fn a_jar_test_is_laid_out_written_down_and_read() {
    let house = House::acid().has(&["limestone_calcitic"]);
    let words = house.get("/bins/1/jar-test").await.words();
    assert!(
        words.contains("Weigh") && words.contains("above jar 1"),
        "{words}"
    );
    assert!(!words.contains("What it taught"));
    let before = house.entries();
    let done = house.post("/bins/1/jar-test", JARS).await;
    assert_eq!(done.to, "/bins/1/jar-test?said=logged", "{}", done.words());
    assert_eq!(house.entries(), before + 1);
    let words = house.get("/bins/1/jar-test?said=logged").await.words();
    assert!(words.contains("narrowed the buffer"), "{words}");
    assert!(words.contains("Buffer before") && words.contains("Buffer after"));
}

#[tokio::test]
async fn a_bad_jar_test_writes_nothing() {
    let house = House::acid();
    let before = house.entries();
    for (from, to, said) in [
        ("ph2=5.6", "ph2=56", "0 to 14"),
        ("wet=500", "wet=2", "at least 10 g"),
        ("grams2=2", "grams2=", "amount"),
        ("instrument=good_pen", "instrument=nose", "from the list"),
        ("limestone_calcitic", "coir_pith", "not a liming or acid"),
        ("hours=168", "hours=1%2C5", "comma"),
    ] {
        let got = house
            .post("/bins/1/jar-test", &JARS.replace(from, to))
            .await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{to}");
        assert!(got.words().contains(said), "{to}: {}", got.words());
    }
    let same = JARS
        .replace("grams2=2", "grams2=0")
        .replace("grams3=4", "grams3=0");
    let got = house.post("/bins/1/jar-test", &same).await;
    assert!(got.words().contains("teaches nothing"));
    assert_eq!(house.entries(), before);
}

#[tokio::test]
async fn a_tray_is_read_and_kept_in_a_log() {
    let house = House::acid();
    let counts = "worms=20&in_suspect=4&in_trusted=16&dead=0&hours=48";
    let got = house.get(&format!("/tray-test?{counts}")).await;
    let words = got.words();
    assert!(words.contains("They avoid it"), "{words}");
    assert!(words.contains("20 % (9 to 36)"), "{words}");
    assert!(words.contains("1 in 170"), "{words}");
    let before = house.entries();
    let form = format!("kind=tray_test&{counts}");
    let done = house.post("/bins/1/log", &form).await;
    assert_eq!(done.to, "/bins/1?said=logged");
    assert_eq!(house.entries(), before + 1);
    let few = house
        .get("/tray-test?worms=4&in_suspect=1&in_trusted=3&dead=0&hours=48")
        .await;
    assert!(few.words().contains("Too early to say"));
    let sum = "worms=20&in_suspect=4&in_trusted=6&dead=0&hours=48";
    let got = house.get(&format!("/tray-test?{sum}")).await;
    assert!(got.words().contains("make 10, but 20 were put in"));
    let bad = house
        .post("/bins/1/log", &format!("kind=tray_test&{sum}"))
        .await;
    assert_eq!(bad.status, StatusCode::UNPROCESSABLE_ENTITY);
    let half = house
        .get("/tray-test?worms=2.5&in_suspect=1&in_trusted=1&hours=48")
        .await;
    assert!(half.words().contains("not a whole number"));
    assert_eq!(house.entries(), before + 1);
}

#[tokio::test]
async fn the_shed_is_searched_and_shows_what_is_mine() {
    let house = House::new().has(&["limestone_calcitic"]);
    let all = house.get("/shed?role=all").await;
    let count = all.text.matches("<li><a href=\"/shed/").count();
    assert_eq!(count, house.desk.tables.materials().count() + 1);
    let lime = house.get("/shed?q=garden+lime").await;
    assert!(lime.text.matches("/shed/limestone_calcitic").count() >= 2);
    let feed = house.get("/shed?role=feed&q=coffee").await;
    assert!(feed.words().contains("Coffee") || feed.words().contains("coffee"));
    let none = house.get("/shed?q=zzzzzz").await;
    assert!(
        none.words()
            .contains("Nothing in the tables is called that")
    );
}

#[tokio::test]
async fn every_material_has_a_page_with_sources_and_measures() {
    let house = House::new();
    let keys: Vec<String> = house
        .desk
        .tables
        .materials()
        .map(|m| m.key.clone())
        .collect();
    assert!(keys.len() >= 138);
    for key in keys {
        let got = house.get(&format!("/shed/{key}")).await;
        assert_eq!(got.status, StatusCode::OK, "{key}");
        assert!(got.text.contains("class=\"numbers\""), "{key}");
        assert!(!got.text.contains("NaN"), "{key}");
    }
    let ash = house.get("/shed/wood_ash").await.words();
    assert!(
        ash.contains("Where sources disagree") && ash.contains("1 level teaspoon"),
        "{ash}"
    );
    let none = house.get("/shed/moon_dust").await;
    assert_eq!(none.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn own_values_are_kept_shown_and_cleared() {
    let house = House::acid().has(&["limestone_calcitic"]);
    let form = "kind=own&have=yes&available=2+kg&called=Old+bag&neutralising_percent=88&particle_mm=0.1&moisture_percent=";
    let done = house.post("/shed/limestone_calcitic", form).await;
    assert_eq!(
        done.to,
        "/shed/limestone_calcitic?said=saved",
        "{}",
        done.words()
    );
    let words = house.get("/shed/limestone_calcitic").await.words();
    assert!(words.contains("88 % of pure CaCO3 yours"), "{words}");
    assert!(words.contains("0.1 mm yours"), "{words}");
    // A label's particle size must not stop the estimate or the plan.
    assert!(house.get("/bins/1/dose").await.words().contains("Raise it"));
    let shed = house.get("/shed").await.words();
    assert!(shed.contains("Old bag") && shed.contains("2 kg"), "{shed}");
    house
        .post("/shed/limestone_calcitic", "kind=own&have=yes")
        .await;
    let words = house.get("/shed/limestone_calcitic").await.words();
    assert!(!words.contains("yours"), "{words}");
}

#[tokio::test]
async fn own_values_out_of_range_are_told_beside_the_field() {
    let house = House::new();
    for (form, id) in [
        ("have=yes&neutralising_percent=880", "neutralising_percent"),
        ("have=yes&moisture_percent=99", "moisture_percent"),
        ("have=yes&grams_per_cup=abc", "grams_per_cup"),
        ("have=yes&available=2", "available"),
        ("have=yes&available=3+eggshells", "available"),
        ("have=yes&particle_mm=50", "particle_mm"),
    ] {
        let got = house.post("/shed/limestone_calcitic", form).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{form}");
        assert!(got.text.contains(&format!("f-own-{id}-error")), "{form}");
    }
    assert_eq!(house.entries(), 0);
}

#[tokio::test]
async fn settings_are_kept_and_refused_kindly() {
    let house = House::acid();
    let before = house.entries();
    let bad = house
        .post("/settings", "units=metric&room_celsius=80")
        .await;
    assert_eq!(bad.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(bad.words().contains("2 to 40"));
    let bad = house.post("/settings", "units=stone&room_celsius=18").await;
    assert_eq!(bad.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(house.entries(), before);
    let done = house.post("/settings", "units=us&room_celsius=18").await;
    assert_eq!(done.to, "/settings?said=saved");
    let words = house.get("/settings?said=saved").await.words();
    assert!(words.contains("Saved."), "{words}");
    let judged = house
        .get("/judge?material1=coir_pith&amount1=20+L")
        .await
        .words();
    assert!(judged.contains("gal"), "{judged}");
    // Saying the same again writes nothing.
    let entries = house.entries();
    house.post("/settings", "units=us&room_celsius=18").await;
    assert_eq!(house.entries(), entries);
}

#[tokio::test]
async fn a_backup_comes_back_and_what_it_replaced_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let house = on_disk(folder.path()).has(&["limestone_calcitic"]);
    let backup = house.get("/settings/backup").await;
    assert!(backup.bytes.starts_with(b"SQLite format 3"));
    house.post("/settings", "units=us&room_celsius=18").await;
    assert_eq!(house.entries(), 3);
    let done = house.upload("/settings/restore", &backup.bytes).await;
    assert_eq!(done.to, "/settings?said=restored", "{}", done.words());
    assert_eq!(house.entries(), 1);
    assert!(house.get("/settings").await.words().contains("1 entry"));
    // The log goes on where the backup left off.
    house.post("/shed/dolomite", "quick=yes").await;
    assert_eq!(house.entries(), 2);
    let names: Vec<String> = std::fs::read_dir(folder.path())
        .unwrap()
        .map(|f| f.unwrap().file_name().into_string().unwrap())
        .collect();
    assert!(names.iter().any(|n| n.contains("replaced")), "{names:?}");
    assert!(
        !names.iter().any(|n| n.starts_with(".bedwright")),
        "{names:?}"
    );
}

#[tokio::test]
async fn a_file_that_is_no_backup_replaces_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let house = on_disk(folder.path()).has(&["limestone_calcitic"]);
    let whole = house.get("/settings/backup").await.bytes;
    let mut torn = whole.clone();
    torn.truncate(whole.len() / 2);
    let empty_db = {
        let other = folder.path().join("other.db");
        std::fs::write(
            &other,
            [b"SQLite format 3\0".as_slice(), &[0; 100]].concat(),
        )
        .unwrap();
        std::fs::read(&other).unwrap()
    };
    for file in [b"hello".as_slice(), b"", &torn, &empty_db] {
        let got = house.upload("/settings/restore", file).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(
            got.words().contains("Nothing was replaced"),
            "{}",
            got.words()
        );
        assert_eq!(house.entries(), 1);
    }
    let memory = House::new();
    let got = memory.upload("/settings/restore", &whole).await;
    assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn an_export_comes_back_in_either_form_and_a_bad_line_is_named() {
    let house = House::acid().has(&["limestone_calcitic"]);
    let lines = house.get("/settings/log.jsonl").await.bytes;
    let table = house.get("/settings/log.csv").await.bytes;
    for file in [&lines, &table] {
        let other = House::new();
        let done = other.upload("/settings/import", file).await;
        assert_eq!(done.to, "/settings?said=imported", "{}", done.words());
        assert_eq!(other.entries(), house.entries());
    }
    let mut broken = lines.clone();
    broken.extend_from_slice(b"{\"id\": 99}\n");
    let other = House::new();
    let got = other.upload("/settings/import", &broken).await;
    assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY);
    let line = house.entries() + 1;
    assert!(
        got.words().contains(&format!("Line {line}")),
        "{}",
        got.words()
    );
    assert_eq!(other.entries(), 0);
    let got = other.upload("/settings/import", b"  \n").await;
    assert!(got.words().contains("empty"));
}
