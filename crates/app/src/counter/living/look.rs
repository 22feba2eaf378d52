//! The one observation most worth its trouble: what would narrow the amount
//! to feed most for each minute.

use crate::desk::{BinState, Desk};
use engine::estimate::Estimate;
use engine::living::observe::Sayings;
use engine::living::observe::gain::{Gain, Kit, Look, PhLook, Possibles};
use engine::living::signs::Signs;
use engine::living::trouble::{Limits, Trouble};
use engine::log::{Body, Measured};
use engine::reading::instrument::Instrument;

/// Least width of the decision's interval worth narrowing [g dry food a day].
const MATTERS: f64 = 1.0;

/// Troubles in which nothing is to be fed.
const STOPS: [Trouble; 6] = [
    Trouble::TooHot,
    Trouble::Drying,
    Trouble::Drowning,
    Trouble::Souring,
    Trouble::Ammonia,
    Trouble::Leaving,
];

/// The look, with what it would bring. The decision is how much dry food a day
/// to give: none where the bin is in trouble, else what its worms would eat of
/// what is not still lying there.
pub(in crate::counter) fn best(desk: &Desk, state: &BinState, e: &Estimate) -> Option<Gain> {
    let sayings = Sayings::load(&desk.tables).ok()?;
    let limits = Limits::load(&desk.tables).ok()?;
    let signs = e.ensemble.signs(&e.scene);
    let members = e.ensemble.members.iter().zip(&signs);
    let decision: Vec<f64> = members
        .map(|(m, s)| {
            let stop = STOPS.iter().any(|t| limits.meets(*t, s));
            if stop {
                0.0
            } else {
                1000.0 * m.life.lately.appetite_kg * (1.0 - s.feed_left)
            }
        })
        .collect();
    let possibles = Possibles {
        signs: &signs,
        weights: &e.ensemble.weights,
        decision: &decision,
    };
    let used = |what: Measured| {
        state.log.iter().rev().find_map(|x| match &x.body {
            Body::Reading(r) if r.what == what => Some(r.instrument.clone()),
            _ => None,
        })
    };
    let instrument =
        used(Measured::Ph).and_then(|key| Instrument::from_tables(&desk.tables, &key).ok());
    let key = instrument.as_ref().map_or("", |i| i.key.as_str());
    let shown = |i: usize, s: &Signs| {
        let bias = e.ensemble.members[i].bias.get(key).copied();
        s.ph + bias.unwrap_or(0.0)
    };
    let tares: Option<Vec<_>> = e.ensemble.members.iter().map(|m| m.tare).collect();
    let kit = Kit {
        thermometer: used(Measured::BeddingCelsius).is_some(),
        scale: tares.as_deref().filter(|_| used(Measured::BinKg).is_some()),
        ph: instrument.as_ref().map(|i| PhLook {
            shown: &shown,
            sd: i.noise_sd,
            in_bedding: true,
        }),
    };
    sayings.rank(&possibles, &kit)?.best(MATTERS).copied()
}

/// What to do, and the form to write it in.
pub(in crate::counter) fn words(look: Look) -> (&'static str, &'static str) {
    match look {
        Look::Squeeze => ("Squeeze a handful from the middle, hard.", "observation"),
        Look::Smell => ("Smell the bedding where food lies.", "observation"),
        Look::Lid => (
            "Look under the lid: droplets, and where the worms are.",
            "observation",
        ),
        Look::FoodLeft => ("See how much of the last food is left.", "observation"),
        Look::Thermometer => ("Put a thermometer in the middle.", "reading"),
        Look::Ph => ("Read the pH.", "reading"),
        Look::CoreCount => ("Count the worms in half a litre of bedding.", "worm_count"),
        Look::Weigh => ("Weigh the whole bin.", "reading"),
    }
}
