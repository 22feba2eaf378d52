//! What a setting may say, whichever door it comes through.

use super::SETTINGS;
use crate::typed;
use engine::measure::fahrenheit;

/// The mark of the invented shelf; not for the keeper to set.
pub const DEMO: &str = "demo";

/// As [`may_be_set`], for what stands in a log: the mark of the invented shelf
/// too.
///
/// # Errors
/// As [`may_be_set`].
pub fn may_stand(name: &str, value: &str) -> Result<(), String> {
    match name {
        DEMO => one_of(name, value, &["yes", "no"]),
        _ => may_be_set(name, value),
    }
}

/// Whether a keeper may set this to that value.
///
/// # Errors
/// What is wrong, naming the setting, its value and what it may be.
pub fn may_be_set(name: &str, value: &str) -> Result<(), String> {
    match name {
        "units" => one_of(name, value, &["metric", "us"]),
        "backups" => one_of(name, value, &["on", "off"]),
        "room_celsius" => room(value),
        _ => {
            let known = SETTINGS.iter().map(|(n, _)| *n).filter(|n| *n != DEMO);
            let known: Vec<&str> = known.collect();
            Err(format!(
                "setting `{}` is not known; known are {}",
                typed::short(name),
                known.join(", ")
            ))
        }
    }
}

fn one_of(name: &str, value: &str, choices: &[&str]) -> Result<(), String> {
    match choices.contains(&value) {
        true => Ok(()),
        false => Err(format!(
            "setting {name} `{}` is not one of {}",
            typed::short(value),
            choices.join(", ")
        )),
    }
}

/// What a room temperature in °C is in °F, and what may be given, for a keeper
/// who reads °F.
#[must_use]
pub fn in_fahrenheit(celsius: &str) -> String {
    let bound = engine::bounds::CHEMISTRY_CELSIUS;
    let [low, high] = [bound.low, bound.high].map(fahrenheit);
    let (low, high) = (low.ceil(), high.floor());
    match typed::number(celsius) {
        Ok(meant) if (low..=high).contains(&meant) => format!(
            "From {low:.0} to {high:.0} °F is taken, given in °C: {meant} °F is {:.1} °C.",
            (meant - 32.0) / 1.8
        ),
        _ => format!("From {low:.0} to {high:.0} °F is taken, given in °C."),
    }
}

fn room(value: &str) -> Result<(), String> {
    let celsius = typed::number(value).map_err(|fault| format!("setting room_celsius: {fault}"))?;
    let within = engine::bounds::CHEMISTRY_CELSIUS.check(celsius);
    within
        .map(drop)
        .map_err(|e| format!("setting room_celsius: {e}"))
}
