//! The container of a scenario and the air around it.

use super::word;
use crate::command::toml_file::Table;
use crate::desk::outlook::AIR_CELSIUS;
use engine::bounds::{self, Bound};
use engine::living::room::Day;
use engine::log::{BinDescription, Lid, Walls};

const BIN: [&str; 7] = [
    "length_cm",
    "width_cm",
    "depth_cm",
    "walls",
    "lid",
    "drains",
    "place",
];
const WALLS: [(&str, Walls); 6] = [
    ("plastic", Walls::Plastic),
    ("wood", Walls::Wood),
    ("foam", Walls::Foam),
    ("metal", Walls::Metal),
    ("fabric", Walls::Fabric),
    ("masonry", Walls::Masonry),
];
const LIDS: [(&str, Lid); 4] = [
    ("open", Lid::Open),
    ("vented", Lid::Vented),
    ("tight", Lid::Tight),
    ("cover", Lid::Cover),
];
const AIR: [&str; 4] = ["celsius", "swing_celsius", "lows_celsius", "highs_celsius"];
const SWING: Bound = Bound {
    name: "swing",
    unit: "°C",
    low: 0.0,
    high: 40.0,
    why: "between the lowest and the highest of a day",
};
/// Mean air when the file gives none [°C].
const USUAL_CELSIUS: f64 = 20.0;

/// The container; `bin` when there is no `[bin]`.
pub(super) fn bin(mut bin: BinDescription, root: &Table<'_, '_>) -> BinDescription {
    let Some(t) = root.table("bin") else {
        return bin;
    };
    t.only(&BIN);
    for (key, bound, to) in [
        ("length_cm", &bounds::BIN_CM, &mut bin.length_cm),
        ("width_cm", &bounds::BIN_CM, &mut bin.width_cm),
        ("depth_cm", &bounds::BIN_DEPTH_CM, &mut bin.depth_cm),
    ] {
        if !t.has(key) {
            t.missing(key, "give the inner size in centimetres");
        }
        if let Some(value) = t.number(key, bound) {
            *to = value;
        }
    }
    bin.walls = word(&t, "walls", &WALLS).unwrap_or(bin.walls);
    bin.lid = word(&t, "lid", &LIDS).unwrap_or(bin.lid);
    bin.drains = t.truth("drains").unwrap_or(bin.drains);
    bin.place = t.text("place").unwrap_or_default().to_owned();
    bin
}

/// The air of the first days, and of all days after them.
pub(super) fn air(root: &Table<'_, '_>, usual_swing: f64) -> (Vec<Day>, Day) {
    let usual = Day::around(USUAL_CELSIUS, usual_swing);
    let Some(t) = root.table("air") else {
        return (Vec::new(), usual);
    };
    t.only(&AIR);
    let swing = t.number("swing_celsius", &SWING).unwrap_or(usual_swing);
    let celsius = t.number("celsius", &AIR_CELSIUS).unwrap_or(USUAL_CELSIUS);
    let lows = series(&t, "lows_celsius");
    let highs = series(&t, "highs_celsius");
    if lows.len() != highs.len() {
        t.say(
            "highs_celsius",
            format!(
                "[air] has {} lows and {} highs; give one of each a day",
                lows.len(),
                highs.len()
            ),
        );
    }
    let mut days = Vec::with_capacity(lows.len());
    for ((low, at), (high, _)) in lows.iter().zip(&highs) {
        if high < low {
            t.say_at(
                *at,
                format!(
                    "[air] day {}: the high, {high} °C, is below the low, {low} °C",
                    days.len()
                ),
            );
        }
        days.push(Day {
            low: *low,
            high: *high,
        });
    }
    (days, Day::around(celsius, swing))
}

/// One temperature a day, each with where it stands.
fn series(t: &Table<'_, '_>, key: &str) -> Vec<(f64, usize)> {
    let mut list = Vec::new();
    for (at, value) in t.numbers(key).unwrap_or_default() {
        match AIR_CELSIUS.check(value) {
            Ok(value) => list.push((value, at)),
            Err(e) => t.say_at(at, format!("[air] `{key}`: {e}")),
        }
    }
    list
}
