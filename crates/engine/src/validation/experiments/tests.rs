use super::*;

fn loaded() -> (Tables, Vec<Experiment>) {
    let tables = Tables::load().unwrap();
    let all = load(&tables).unwrap();
    (tables, all)
}

fn treatment<'a>(all: &'a [Experiment], experiment: &str, key: &str) -> &'a Treatment {
    let found = all.iter().find(|e| e.key == experiment).unwrap();
    found.treatment(key).unwrap()
}

#[test]
fn every_row_is_read() {
    let (_, all) = loaded();
    let treatments = || all.iter().flat_map(|e| &e.treatments);
    let points: usize = treatments().map(|t| t.points.len()).sum();
    let settings: usize = treatments().map(|t| t.settings.len()).sum();
    assert_eq!(points, EXPERIMENTS.cells().unwrap().len());
    assert_eq!(settings, EXPERIMENT_SETUPS.cells().unwrap().len());
    assert!(points > 700 && settings > 700, "{points} {settings}");
}

#[test]
fn every_treatment_is_set_up_measured_and_says_whether_it_is_blind() {
    let (_, all) = loaded();
    for experiment in &all {
        for t in &experiment.treatments {
            let name = format!("{} {}", experiment.key, t.key);
            assert!(!t.points.is_empty(), "{name}: nothing measured");
            assert!(!t.settings.is_empty(), "{name}: no setup");
            let blind = t.word("blind");
            assert!(
                matches!(blind, Some("yes" | "weak" | "no")),
                "{name}: {blind:?}"
            );
        }
    }
}

#[test]
fn no_number_of_an_experiment_is_from_memory() {
    let (tables, all) = loaded();
    for experiment in &all {
        for t in &experiment.treatments {
            for p in &t.points {
                assert_eq!(p.status, Status::Opened, "experiments.csv line {}", p.line);
                let read = &tables.source(&p.source).unwrap().read;
                let at = format!("experiments.csv line {}", p.line);
                assert!(
                    ["opened", "abstract", "reprint"].contains(&read.as_str()),
                    "{at}"
                );
                if read == "abstract" {
                    assert_eq!(p.place, "abstract", "{at}");
                }
            }
            for (property, setting) in &t.settings {
                if let Setting::Number(n) = setting {
                    assert_ne!(n.status, Status::Memory, "{} {property}", t.key);
                }
            }
        }
    }
}

#[test]
fn days_of_a_series_rise_and_values_can_be() {
    let (_, all) = loaded();
    for t in all.iter().flat_map(|e| &e.treatments) {
        for quantity in Quantity::ALL {
            let days: Vec<f64> = t.series(*quantity).map(|(day, _)| day).collect();
            assert!(
                days.windows(2).all(|d| d[0] < d[1]),
                "{} {quantity:?}",
                t.key
            );
        }
        for p in &t.points {
            let lowest = if p.quantity.name().ends_with("_change") {
                -100.0
            } else {
                0.0
            };
            assert!(p.value >= lowest, "line {}", p.line);
            assert!(p.sd.is_none_or(|sd| sd >= 0.0), "line {}", p.line);
            if p.quantity == Quantity::Ph {
                assert!((2.0..11.0).contains(&p.value), "line {}", p.line);
            }
        }
    }
}

#[test]
fn materials_named_are_ours() {
    let (tables, all) = loaded();
    for t in all.iter().flat_map(|e| &e.treatments) {
        for property in t.settings.keys().filter(|p| p.ends_with("material")) {
            let word = t.word(property).unwrap();
            assert!(
                word == "none_of_ours" || tables.material(word).is_ok(),
                "{} {property}: {word}",
                t.key
            );
        }
    }
}

#[test]
fn stages_of_a_crowded_box_add_up_to_the_count() {
    // Podolak 2025, week 52: 2610 young + 190 nearly grown + 465 adult = 3265.
    let (_, all) = loaded();
    let t = treatment(&all, "podolak2025", "fetida");
    let last = |q| t.series(q).last().unwrap();
    let (day, worms) = last(Quantity::Worms);
    assert_eq!((day, worms.value, worms.sd), (364.0, 3265.0, Some(420.0)));
    let stages = [Quantity::Juveniles, Quantity::Subadults, Quantity::Adults];
    let sum: f64 = stages.iter().map(|q| last(*q).1.value).sum();
    assert_eq!(sum, 3265.0);
    assert_eq!(t.blind(), Blind::No);
    assert_eq!(t.value("filled_litres"), Some(8.0));
    assert_eq!(t.feeds(), BTreeSet::from(["household"]));
}

#[test]
fn what_is_not_known_is_not_a_number() {
    let (_, all) = loaded();
    let t = treatment(&all, "majlessi2012", "food_waste");
    assert_eq!(t.value("worms_start"), None);
    assert_eq!(t.blind(), Blind::Yes);
    let dated: Vec<f64> = t.series(Quantity::Ph).map(|(_, p)| p.value).collect();
    assert_eq!(dated, [5.6], "the last sampling has no day");
    assert_eq!(t.points.len(), 8);
}

#[test]
fn a_copied_table_says_so_in_every_row_and_nothing_else_does() {
    let (tables, all) = loaded();
    for experiment in &all {
        let copied = crate::validation::predicted::known::second_hand(&experiment.key);
        for p in experiment.treatments.iter().flat_map(|t| &t.points) {
            let at = format!("experiments.csv line {}", p.line);
            assert_eq!(p.note.starts_with("second hand:"), copied, "{at}");
            if copied {
                assert_eq!(tables.source(&p.source).unwrap().read, "reprint", "{at}");
            }
        }
    }
}

#[test]
fn the_newest_experiments_are_read_whole() {
    let (_, all) = loaded();
    let points = |experiment, key| treatment(&all, experiment, key).points.len();
    for t in ["t1", "t2", "t3", "t4"] {
        assert_eq!(points("srivastava2020", t), 6);
    }
    assert_eq!(points("amouei2017", "household"), 4);
    assert_eq!(points("cotta2015", "vegetable_dung"), 2);
    assert_eq!(points("cotta2015", "vegetable_sawdust"), 2);
    assert_eq!(points("kostecka2008", "with_manure"), 3);
    assert_eq!(points("kostecka2008", "duckweed_only"), 3);
    assert_eq!(points("gomezbrandon2013", "rabbit"), 2);
    assert_eq!(points("sharafi2012", "household"), 4);
    assert_eq!(points("neuhauser1980", "cow_alone"), 33);
    let marc = treatment(&all, "santana2020", "grape_marc");
    assert_eq!(marc.series(Quantity::Nitrate).count(), 7);
    assert_eq!(marc.points.len(), 28);
    let cow = treatment(&all, "neuhauser1980", "cow_alone");
    assert_eq!(cow.blind(), Blind::Weak);
}

#[test]
fn what_is_fresh_is_named_and_sealed() {
    use crate::validation::predicted::{FRESH, known};
    let (_, all) = loaded();
    let mut fresh = BTreeSet::new();
    let mut points = 0;
    for experiment in &all {
        for t in &experiment.treatments {
            for p in &t.points {
                if !known::seen_before(&experiment.key, &t.key, p.quantity) {
                    assert!(known::sealed_beforehand(&experiment.key, &t.key));
                    fresh.insert(experiment.key.as_str());
                    points += 1;
                }
            }
        }
    }
    assert_eq!(points, 47);
    assert_eq!(fresh.len(), 5, "{fresh:?}");
    let plain = |text: &str| text.to_lowercase().replace('-', "");
    for key in fresh {
        let (author, year) = key.split_at(key.len() - 4);
        let named = format!("{author} {year}");
        assert!(plain(FRESH).contains(&named), "{named}");
    }
}
