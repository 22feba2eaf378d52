//! Troubles to be warned of: alkaline beds, cold by the species, contents over
//! the rim.

use crate::bins::{Kept, tables};
use engine::advice::Remedy;
use engine::estimate::Estimate;
use engine::estimate::ahead::{Ahead, Outlooker, Plan};
use engine::living::room::Day;
use engine::living::signs::Signs;
use engine::living::species::Species;
use engine::living::trouble::{Limits, Trouble};
use engine::quantity::Celsius;

fn ahead(e: &Estimate, days: u32) -> Ahead {
    let o = Outlooker::new(tables(), e, Celsius(20.0)).unwrap();
    o.ahead(&e.ensemble, &Plan::default(), days)
}

fn limits(species: Species) -> Limits {
    Limits::load(tables(), species).unwrap()
}

/// Kaplan et al. 1980: all died within a week above pH 9; full growth to pH 8.
#[test]
fn an_alkaline_bed_is_warned_of_before_worms_die_and_not_while_they_thrive() {
    let limits = limits(Species::EiseniaFetida);
    let at = |ph| {
        limits.meets(
            Trouble::Alkaline,
            &Signs {
                ph,
                ..Signs::default()
            },
        )
    };
    assert!(!at(7.0) && !at(8.0));
    // In manures of extract pH to 9.0 none died (Garg, Kaushik and Dilbaghi 2005).
    assert!(at(8.9) && at(9.0));
    assert!(Trouble::Alkaline.is_bad());
    let says = Remedy::of(Trouble::Alkaline);
    assert!(says.act.contains("no more lime"), "{}", says.act);
}

#[test]
fn washing_soda_by_the_cupful_raises_the_alarm() {
    let quiet = Kept {
        members: 400,
        ..Kept::default()
    }
    .estimate();
    let by_itself = ahead(&quiet, 7).alarm(Trouble::Alkaline).in_all();
    assert!(by_itself < 0.05, "{by_itself} {:?}", quiet.ph);
    let over = Kept {
        dosed: Some(("sodium_carbonate", "600 g")),
        ..Kept::default()
    }
    .estimate();
    let chance = ahead(&over, 7).alarm(Trouble::Alkaline).in_all();
    assert!(chance > 0.5, "{chance} at pH {:?}", over.ph);
}

#[test]
fn worms_of_warm_countries_are_warned_of_cold_well_above_freezing() {
    let cold = Signs {
        refuge_celsius: 6.0,
        refuge_low_celsius: 6.0,
        worms: 100.0,
        ..Signs::default()
    };
    let meets = |s| limits(s).meets(Trouble::Freezing, &cold);
    assert!(meets(Species::EudrilusEugeniae) && meets(Species::PerionyxExcavatus));
    assert!(!meets(Species::EiseniaFetida) && !meets(Species::DendrobaenaVeneta));
    let chance = |species| {
        let e = Kept {
            species,
            air: Day::around(5.0, 4.0),
            members: 40,
            ..Kept::default()
        }
        .estimate();
        ahead(&e, 7).alarm(Trouble::Freezing).in_all()
    };
    assert!(chance("eudrilus_eugeniae") > 0.8);
    assert!(chance("") < 0.1);
}

#[test]
fn heat_is_warned_of_by_the_species() {
    let hot = Signs {
        refuge_celsius: 29.0,
        refuge_high_celsius: 29.0,
        ..Signs::default()
    };
    let meets = |s| limits(s).meets(Trouble::TooHot, &hot);
    assert!(meets(Species::DendrobaenaVeneta));
    assert!(!meets(Species::EiseniaFetida) && !meets(Species::PerionyxExcavatus));
}

#[test]
fn contents_over_the_rim_are_warned_of() {
    let e = Kept {
        size: (60.0, 40.0, 5.6),
        ..Kept::default()
    }
    .estimate();
    let over = ahead(&e, 1).alarm(Trouble::OverRim).in_all();
    assert!(over > 0.5, "{over}");
    let fits = ahead(&Kept::default().estimate(), 1);
    assert!(fits.alarm(Trouble::OverRim).in_all() < 0.05);
    assert!(Remedy::of(Trouble::OverRim).act.contains("second bin"));
}
