use super::report::how_blind;
use super::*;
use crate::bed::fill::ready;

fn prediction(experiment: &str, treatment: &str, quantity: Quantity, blind: Blind) -> Prediction {
    Prediction {
        experiment: experiment.to_owned(),
        treatment: treatment.to_owned(),
        blind,
        day: 1.0,
        quantity,
        kind: Kind::of(quantity).unwrap(),
        observed: 7.0,
        sd: None,
        median: 7.0,
        low: 6.0,
        high: 8.0,
        assumed: "",
    }
}

#[test]
fn fresh_and_seen_are_counted_apart() {
    let of = |e: &str, t: &str, observed: f64| Prediction {
        observed,
        ..prediction(e, t, Quantity::CarbonToNitrogen, Blind::Yes)
    };
    let all = [
        of("ramos2022", "cattle", 7.0),
        of("li2016", "mean_of_mixtures", 9.0),
        of("sharafi2012", "household", 9.0),
    ];
    let share = |group| share_inside(&all, Kind::CarbonNitrogen, Blind::Yes, group);
    assert_eq!(share(Some(Group::Seen)), Some((0.5, 2, 2)));
    assert_eq!(share(Some(Group::Fresh)), Some((0.0, 1, 1)));
    let (both, boxes, values) = share(None).unwrap();
    assert!((both - 1.0 / 3.0).abs() < 1e-12 && (boxes, values) == (3, 3));
    assert_eq!(
        share_inside(&all, Kind::Salt, Blind::Yes, Some(Group::Fresh)),
        None
    );
}

#[test]
fn what_was_known_is_said_as_it_was() {
    let said = |e, t, q, blind| how_blind(&prediction(e, t, q, blind));
    let (yes, weak) = (Blind::Yes, Blind::Weak);
    let left = "and left as it was";
    let changed = "changed after its outcome had been seen";
    let first = "no law was changed because of its outcome";
    let copy = "second hand";
    for (said, holds, lacks) in [
        (
            said("ramos2022", "cattle", Quantity::Ph, yes),
            vec![changed, copy],
            vec![left, first],
        ),
        (
            said("amouei2017", "household", Quantity::CarbonToNitrogen, yes),
            vec![left, first],
            vec![changed],
        ),
        (
            said(
                "cotta2015",
                "vegetable_dung",
                Quantity::CarbonToNitrogen,
                yes,
            ),
            vec![left, first],
            vec![changed, copy],
        ),
        (
            said("santana2020", "grape_marc", Quantity::Nitrate, yes),
            vec![changed, copy],
            vec![left, first],
        ),
        (
            said("amouei2017", "household", Quantity::Ph, yes),
            vec![changed],
            vec![first],
        ),
        (
            said("santana2020", "grape_marc", Quantity::Ph, yes),
            vec![changed, copy],
            vec![left, first],
        ),
        (
            said("neuhauser1980", "cow_alone", Quantity::MeanWormMass, weak),
            vec![left, first, "not this one"],
            vec![changed, copy, "with it in view"],
        ),
        (
            said("neuhauser1980", "horse_alone", Quantity::MeanWormMass, weak),
            vec![changed, "with it in view"],
            vec![left, first, copy],
        ),
        (
            said("li2016", "mean_of_mixtures", Quantity::RatioChange, yes),
            vec![changed, "No number was fitted"],
            vec![left, first, copy],
        ),
    ] {
        assert!(holds.iter().all(|h| said.contains(h)), "{said}");
        assert!(!lacks.iter().any(|l| said.contains(l)), "{said}");
    }
}

/// Set up, not run.
#[test]
fn every_treatment_sealed_beforehand_can_be_set_up() {
    let tables = Tables::load().unwrap();
    let mut made = 0;
    for e in &load(&tables).unwrap() {
        for t in &e.treatments {
            if !known::sealed_beforehand(&e.key, &t.key) {
                continue;
            }
            let name = format!("{} {}", e.key, t.key);
            let plan = planned(&tables, &e.key, t).unwrap();
            let plan = plan.unwrap_or_else(|| panic!("{name}: no plan"));
            ready(&tables, &plan.trial.parts, &plan.trial.own).unwrap();
            assert!(plan.trial.days >= setups::before(&e.key), "{name}");
            assert!(!asked(t, plan.trial.days, &e.key).is_empty(), "{name}");
            made += 1;
        }
    }
    assert_eq!(made, 10);
}
