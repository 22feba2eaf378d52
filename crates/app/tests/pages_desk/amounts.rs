//! Amounts and times in forms: what cannot be used is refused beside its
//! field, what is far from likely is asked about, and what an old log holds
//! all the same is named.

use super::front_door::House;
use axum::http::StatusCode;
use engine::log::{BinId, Body, Entry};
use engine::measure::Amount;
use store::New;

/// A kind of entry, the fields of its form, and words of the answer.
type Case = (
    &'static str,
    &'static [(&'static str, &'static str)],
    &'static str,
);

const UNUSABLE: [Case; 8] = [
    ("water", &[("amount", "2 handfuls")], "is not a measure for"),
    ("drain", &[("amount", "3 sheets")], "is not a measure for"),
    (
        "harvest",
        &[("amount", "900000 L")],
        "is outside the allowed range 0 to",
    ),
    (
        "dose",
        &[("material", "limestone_calcitic"), ("amount", "3 sheets")],
        "is not a measure for",
    ),
    // None of these was ever in a bin of 42 L.
    (
        "water",
        &[("amount", "500 L")],
        "`500 L` is outside the allowed range 0 to 252 L",
    ),
    (
        "feeding",
        &[("material1", "apple"), ("amount1", "900 kg")],
        "`900 kg` is outside the allowed range 0 to ",
    ),
    (
        "harvest",
        &[("amount", "130 L")],
        "`130 L` is outside the allowed range 0 to 126 L",
    ),
    (
        "worm_count",
        &[("found", "500000")],
        "`500000 worms` is outside the allowed range 0 to 42000",
    ),
];

fn form<'a>(kind: &'a str, fields: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    [("kind", kind)]
        .into_iter()
        .chain(fields.iter().copied())
        .collect()
}

#[tokio::test]
async fn amounts_that_cannot_be_used_are_refused_on_the_page() {
    let house = House::with_bin().await;
    for (kind, fields, message) in UNUSABLE {
        house
            .refuses("/bins/1/log", &form(kind, fields), message)
            .await;
        let sure = [fields, &[("confirmed", "yes")]].concat();
        house
            .refuses("/bins/1/log", &form(kind, &sure), message)
            .await;
    }
    assert!(house.desk.bin(BinId(1)).unwrap().estimate.is_ok());
}

#[tokio::test]
async fn a_wrong_year_and_far_too_much_are_asked_about_on_the_page() {
    let house = House::with_bin().await;
    let fields: [Case; 5] = [
        (
            "note",
            &[("text", "moved"), ("when", "2006-11-24T12:00")],
            "2006-11-24",
        ),
        ("drain", &[("amount", "60 L")], "liquid drained"),
        ("harvest", &[("amount", "60 L")], "castings"),
        (
            "dose",
            &[("material", "limestone_calcitic"), ("amount", "20 kg")],
            "hardly ever given more",
        ),
        ("worm_count", &[("found", "400000")], "could hold"),
    ];
    for (kind, fields, words) in fields {
        let before = house.written();
        let got = house.post("/bins/1/log", &form(kind, fields)).await;
        assert!(
            got.text.contains("Is this right?") && got.text.contains(words),
            "{}",
            got.text
        );
        assert_eq!(house.written(), before);
        let sure = [fields, &[("confirmed", "yes")]].concat();
        house
            .takes("/bins/1/log", &form(kind, &sure), "/bins/1?said=logged")
            .await;
    }
}

/// As an older version wrote it.
#[tokio::test]
async fn an_old_entry_that_cannot_be_used_is_named_and_left_out() {
    let house = House::with_bin().await;
    let Entry {
        at_unix_seconds,
        zone,
        ..
    } = house.last();
    let amount = Amount::parse("2 handfuls").unwrap();
    let body = Body::Water {
        amount,
        soft: false,
    };
    let new = New::at(at_unix_seconds, zone, body).about(Some(BinId(1)));
    let id = house.desk.store().append(new).unwrap();
    let state = house.desk.bin(BinId(1)).unwrap();
    assert_eq!(state.estimated().unwrap().left_out[0].entry, id);
    let page = house.get("/bins/1").await.text;
    assert!(
        page.contains(&format!("Entry {} cannot be used", id.0)),
        "{page}"
    );
}

/// Twenty years of silence, then an entry: told in a few seconds, and said.
#[tokio::test]
async fn a_bin_begun_twenty_years_ago_is_no_slow_page() {
    let house = House::with_bin().await;
    let Entry {
        at_unix_seconds,
        zone,
        ..
    } = house.last();
    let parts = vec![engine::log::Part::plain(
        "coir_pith",
        Amount::parse("20 L").unwrap(),
    )];
    let correct = house.desk.store().entries(Some(BinId(1))).unwrap();
    let filled = correct
        .iter()
        .find(|e| matches!(e.body, Body::Filled { .. }))
        .unwrap();
    let body = Body::Correction {
        corrects: filled.id,
        replacement: Some(Box::new(Body::Filled { parts })),
        at_unix_seconds: Some(at_unix_seconds - 20 * 365 * 86_400),
        reason: String::new(),
    };
    let new = New::at(at_unix_seconds, zone, body).about(Some(BinId(1)));
    house.desk.store().append(new).unwrap();
    let began = std::time::Instant::now();
    let page = house.get("/bins/1").await.text;
    assert!(page.contains("is passed over"), "{page}");
    // It took minutes; a busy machine is allowed for.
    assert!(began.elapsed().as_secs() < 40, "{:?}", began.elapsed());
}

/// Nine hundred litres of water were never in a bin of 42 L: the estimate
/// leaves them out, and so do the questions.
#[tokio::test]
async fn an_old_watering_that_cannot_be_counts_for_nothing_in_the_week() {
    let house = House::with_bin().await;
    let Entry {
        at_unix_seconds,
        zone,
        ..
    } = house.last();
    let body = Body::Water {
        amount: Amount::parse("900 L").unwrap(),
        soft: false,
    };
    let old = New::at(at_unix_seconds + 9 * 86_400, zone, body).about(Some(BinId(1)));
    house.desk.store().append(old).unwrap();
    let fields = [("kind", "water"), ("amount", "1 L")];
    house
        .takes("/bins/1/log", &fields, "/bins/1?said=logged")
        .await;
}

#[tokio::test]
async fn more_than_twenty_things_at_once_are_refused_and_left_out_of_an_old_log() {
    let house = House::with_bin().await;
    let Entry {
        at_unix_seconds,
        zone,
        ..
    } = house.last();
    let fed = |parts: usize| {
        let part = || engine::log::Part::plain("apple", Amount::parse("5 g").unwrap());
        Body::Feeding {
            parts: (0..parts).map(|_| part()).collect(),
        }
    };
    let write = |parts| {
        house
            .desk
            .write(Some(BinId(1)), at_unix_seconds + 3600, fed(parts))
    };
    assert!(write(20).is_ok());
    let refused = write(21).unwrap_err().to_string();
    assert!(
        refused.contains("number of parts `21` parts is outside the allowed range 1 to 20 parts"),
        "{refused}"
    );
    let old = New::at(at_unix_seconds + 7200, zone, fed(21)).about(Some(BinId(1)));
    let id = house.desk.store().append(old).unwrap();
    let state = house.desk.bin(BinId(1)).unwrap();
    assert_eq!(state.estimated().unwrap().left_out[0].entry, id);
    let page = house.get("/bins/1").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.text.contains("number of parts"), "{}", page.text);
}

/// A keeper who reads °F and left the field in °C, and one who set °F before.
#[tokio::test]
async fn a_room_too_warm_is_refused_in_the_keepers_own_degrees() {
    let house = House::with_bin().await;
    let changed = [("units", "us"), ("room_celsius", "68")];
    house
        .refuses("/settings", &changed, "68 °F is 20.0 °C")
        .await;
    let body = Body::Setting {
        name: "units".into(),
        value: "us".into(),
    };
    let now = house.desk.clock.unix_seconds();
    house.desk.write(None, now, body).unwrap();
    let fields = [("units", "us"), ("room_fahrenheit", "110")];
    house
        .refuses(
            "/settings",
            &fields,
            "`110` °F is outside the allowed range 36 to 104 °F",
        )
        .await;
}
