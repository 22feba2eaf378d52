//! What confused somebody who saw the pages for the first time.

use super::front_door::{House, encoded};
use engine::log::{BinId, Body, Word};

/// Text of a page between two marks.
fn between<'a>(page: &'a str, from: &str, to: &str) -> &'a str {
    let (_, rest) = page.split_once(from).unwrap();
    rest.split_once(to).map_or(rest, |(part, _)| part)
}

fn looked(house: &House, bin: i64, words: &[Word]) {
    let body = Body::Observation {
        words: words.to_vec(),
        text: "".into(),
    };
    let now = house.desk.clock.unix_seconds();
    house.desk.write(Some(BinId(bin)), now, body).unwrap();
}

#[tokio::test]
async fn meat_is_refused_in_plain_words_and_no_vegetables_offered() {
    let house = House::demo();
    for asked in ["meat", "cheese", "fish", "cat litter"] {
        let path = format!("/bins/3/ration?material={}", encoded(asked));
        let page = house.get(&path).await.text;
        assert!(page.contains("is left out of the tables"), "{asked}");
        assert!(!page.contains("as fed last"), "{asked}");
    }
    let shed = house.get("/shed?q=meat").await.text;
    assert!(shed.contains("Meat is left out of the tables"));
    assert!(!between(&shed, "id=\"all\"", "</main>").contains("vegetable"));
    let vegetables = house.get("/shed?q=vegetable").await.text;
    assert!(between(&vegetables, "id=\"all\"", "</main>").contains("vegetable"));
}

#[tokio::test]
async fn a_what_if_gone_wrong_says_so_at_the_top_with_the_way_to_the_field() {
    let house = House::demo();
    let page = house
        .get("/bins/1/outlook?feed=2&bedding=coir_pith&bedding_amount=plenty&place_celsius=900")
        .await
        .text;
    let top = between(&page, "<h1>Outlook</h1>", "class=\"horizons\"");
    for field in ["bedding_amount", "place_celsius"] {
        assert!(top.contains(&format!("href=\"#f-if-{field}\"")), "{field}");
        assert!(
            page.contains(&format!("id=\"f-if-{field}-error\"")),
            "{field}"
        );
    }
    assert!(top.contains("plenty") && page.contains("value=\"plenty\""));
    assert!(page.contains("value=\"900\""), "what was typed is kept");
    assert!(top.contains("if things go on as now"));
    for path in [
        "/bins/1/ration?amount=plenty&material=apple",
        "/bins/1/weather?weather=hot",
        "/bins/1/away?from=2026-12-20&to=2026-12-01",
    ] {
        let page = house.get(path).await.text;
        let top = between(&page, "<h1>", "<form");
        assert!(top.contains("This could not be worked out"), "{path}");
        assert!(top.contains("href=\"#"), "{path}");
    }
}

#[tokio::test]
async fn the_drawing_and_the_figures_judge_wetness_alike() {
    let house = House::demo();
    for (word, said) in [
        (Word::SqueezeSeveral, "a little wet"),
        (Word::SqueezeDrops, "moist enough"),
        (Word::SqueezeDusty, "too dry"),
    ] {
        looked(&house, 2, &[word]);
        let page = house.get("/bins/2").await.text;
        let drawing = between(&page, "class=\"section\"", "</svg>");
        assert!(drawing.contains(&format!(", {said}")), "{said}");
        let line = between(&page, "<dt>Moisture</dt>", "</dd>");
        assert!(line.contains(said), "{line}");
    }
}

#[tokio::test]
async fn food_left_goes_by_the_last_word_and_says_what_it_is_of() {
    let house = House::demo();
    let page = house.get("/bins/2").await.text;
    let line = between(&page, "<dt>Last food left</dt>", "</dd>");
    assert!(line.contains("of what was fed on Fri 20 Nov"), "{line}");
    assert!(line.contains("of the food before it you wrote on Wed 18 Nov: gone"));
    looked(&house, 2, &[Word::FoodGone]);
    let page = house.get("/bins/2").await.text;
    let line = between(&page, "<dt>Last food left</dt>", "</dd>");
    assert!(line.contains(">none<"), "{line}");
    assert!(page.contains("Feed it."));
    let ration = house.get("/bins/2/ration").await.text;
    assert!(ration.contains("Food left: none of what was fed on Fri 20 Nov"));
    assert!(!ration.contains("Much of the last feeding is still there"));
}

#[tokio::test]
async fn one_trouble_has_one_wording() {
    let house = House::demo();
    looked(&house, 2, &[Word::SmellAmmonia]);
    let said = "Ammonia, by the smell: stop feeding, turn it and mix in dry card";
    for path in ["/", "/bins/2", "/today"] {
        let page = house.get(path).await.text;
        assert!(page.contains(said), "{path}");
    }
}

#[tokio::test]
async fn what_is_seldom_needed_is_folded_and_still_there() {
    let house = House::demo();
    let bin = house.get("/bins/2").await.text;
    let more = between(&bin, "More figures:", "</details>");
    assert!(more.contains("Worms by number") && more.contains("Salt"));
    let outlook = house.get("/bins/2/outlook").await.text;
    let more = between(&outlook, "More charts:", "</details>");
    assert!(more.contains("id=\"course-2-salt\"") || more.contains("Salt"));
    assert_eq!(outlook.matches("class=\"course\"").count(), 9);
}
