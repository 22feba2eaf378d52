//! What a judgement says: no more certain than its chances, and nothing of
//! parts that are no bedding.

#![allow(clippy::unwrap_used)] // tests may unwrap

#[path = "laws/story.rs"]
#[allow(dead_code)] // shared with the laws, which use more of it
mod story;

#[path = "judging/ask.rs"]
mod ask;

use engine::bed::fill::FillError;
use engine::bed::judge::{self, Judgement, Topic};
use engine::log::Part;
use story::part;

fn judged(parts: &[Part]) -> Result<Judgement, FillError> {
    ask::judged(parts, 400)
}

fn acid(j: &Judgement) -> &judge::Reason {
    j.reasons.iter().find(|r| r.topic == Topic::Acid).unwrap()
}

#[test]
fn water_lime_and_ash_are_no_bedding() {
    for parts in [
        vec![part("water", "2 L")],
        vec![part("limestone_calcitic", "3 L")],
        vec![part("water", "2 L"), part("wood_ash", "1 cup")],
    ] {
        let refused = judged(&parts).unwrap_err();
        assert!(
            matches!(refused, FillError::NoBedding { .. }),
            "{refused:?}"
        );
    }
    assert!(judged(&[part("vermicompost", "3 L")]).is_ok());
}

#[test]
fn a_small_chance_is_not_called_likely() {
    let sour = judged(&[part("peat_sphagnum_unlimed", "20 L"), part("water", "9 L")]).unwrap();
    assert!(sour.chances.sour > 0.9);
    assert!(acid(&sour).text.starts_with("It is too acid"));
    assert!(acid(&sour).text.contains("has had no lime"));
    let limed = judged(&[
        part("peat_sphagnum_unlimed", "20 L"),
        part("water", "9 L"),
        part("limestone_calcitic", "1/2 cup"),
    ])
    .unwrap();
    let chance = limed.chances.sour;
    assert!((0.1..0.5).contains(&chance), "{chance}");
    assert!(acid(&limed).text.starts_with("It may be too acid"));
    assert!(!acid(&limed).text.contains("has had no lime"));
}

#[test]
fn lime_already_in_the_mix_is_waited_for_not_doubled() {
    let limed = judged(&[
        part("peat_sphagnum_unlimed", "20 L"),
        part("water", "9 L"),
        part("limestone_calcitic", "4 tbsp"),
    ])
    .unwrap();
    assert!(limed.chances.sour > 0.2 && limed.ph_in_four_weeks.median > 6.0);
    let remedy = acid(&limed).remedy.as_deref().unwrap();
    assert!(remedy.contains("add no more until it has"), "{remedy}");
}

#[test]
fn water_to_add_is_never_below_nought() {
    let coir = judged(&[part("coir_pith", "20 L")]).unwrap();
    let (add, over) = (coir.water_to_add_litres, coir.water_over_litres);
    assert!(add.low.abs() < 1e-12 && add.median.abs() < 1e-12, "{add:?}");
    assert!(over.median > 0.2 && over.low >= 0.0, "{over:?}");
    let card = judged(&[part("cardboard_corrugated", "1 kg")]).unwrap();
    assert!(card.water_to_add_litres.low > 0.5 && card.water_over_litres.high.abs() < 1e-12);
}

#[test]
fn a_soaked_bedding_is_told_how_much_dry_card_it_takes() {
    let soaked = judged(&[part("newsprint_shredded", "1 kg"), part("water", "15 L")]).unwrap();
    let of_water = |r: &&judge::Reason| r.topic == Topic::Moisture;
    let reason = soaked.reasons.iter().find(of_water).unwrap();
    let remedy = reason.remedy.as_deref().unwrap();
    assert!(remedy.contains("kg of it where none drains"), "{remedy}");
}
