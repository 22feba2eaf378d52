//! A bedding judged, for the tests.

use crate::story::tables;
use engine::bed::fill::{FillError, Own};
use engine::bed::judge::{self, Judgement};
use engine::log::Part;
use engine::quantity::Celsius;

/// At 20 °C, by so many draws.
pub(crate) fn judged(parts: &[Part], draws: usize) -> Result<Judgement, FillError> {
    let own = Own::new();
    let question = judge::Question {
        parts,
        own: &own,
        temperature: Celsius(20.0),
        depth_cm: None,
        lime: "limestone_calcitic",
        seed: 1,
        draws,
        lime_draws: draws,
    };
    judge::judge(tables(), &question)
}
