//! Trouble the keeper saw, for programs.

use crate::command::figures::key_of;
use crate::desk::outlook::SOON_DAYS;
use crate::desk::{BinState, Desk};
use engine::estimate::Track;
use engine::quantity::Band;
use serde_json::{Value, json};

/// What was seen, each with the model's chance beside it.
pub(in crate::command) fn json(desk: &Desk, state: &BinState) -> Value {
    let alarms = desk.soon(state).map(|s| s.ahead.alarms.as_slice());
    let day = |at: &i64| desk.clock.local(*at).date().to_string();
    let one = |seen: &crate::desk::seen::Seen| {
        let alarm = (alarms.as_ref().ok())
            .and_then(|all| all.iter().find(|a| Some(a.trouble) == seen.trouble));
        json!({
            "trouble": seen.trouble.map(|t| t.name()),
            "words": seen.words.iter().map(|(word, at)| json!({
                "word": key_of(word), "dates": at.iter().map(day).collect::<Vec<_>>(),
            })).collect::<Vec<_>>(),
            "sentence": seen.sentence,
            "model_chance_now": alarm.map(|a| a.now),
            "model_chance_ahead": alarm.map(|a| a.in_all()),
            "days_ahead": SOON_DAYS,
        })
    };
    desk.seen(state).iter().map(one).collect()
}

/// Share left of the last food: as the keeper last wrote of it, as the model
/// has it, and which of the two is used.
pub(in crate::command) fn food_left(state: &BinState) -> Value {
    let food = state.last_food();
    let written = food.and_then(|f| f.written());
    let model = food.and_then(|_| Some(state.estimated().ok()?.moment.band(Track::FoodLeft)));
    let is_written = |m: &Band| food.is_some_and(|f| f.seen(m, state.now).is_some());
    json!({
        "written": written.map(|(_, share)| share),
        "written_unix_seconds": written.map(|(at, _)| at),
        "model": model,
        "used": model.map(|m| if is_written(&m) { "written" } else { "model" }),
    })
}
