//! How much lime to put in which jar, from the bed's buffer as it is thought
//! to be, so that the jars spread over a useful range of pH.

use crate::counter::words;
use crate::desk::Desk;
use engine::dose::option::Choice;
use engine::dose::plan;
use engine::estimate::Estimate;
use engine::log::{BinId, Body};
use engine::measure::describe_grams;

/// Usual jar and the largest asked for [g wet].
const SMALL_JAR: f64 = 50.0;
const JARS: [f64; 5] = [50.0, 100.0, 200.0, 300.0, 500.0];
/// Least lime in a jar that a kitchen scale weighs well enough [g].
const WEIGHABLE: f64 = 2.0;
/// How far the two limed jars should rise [pH].
const RISES: [f64; 2] = [0.7, 1.5];
/// Every how many members answer; a rough amount is enough.
const EVERY: usize = 8;
/// Days the jars stand: ground lime is slow.
const GROUND_DAYS: u32 = 7;
const SOLUBLE_DAYS: u32 = 2;
/// Materials worth a jar test, best first; the first when the shed has none.
const LIMES: [&str; 6] = [
    "limestone_calcitic",
    "dolomite",
    "oyster_shell_flour",
    "eggshell_powder",
    "potassium_bicarbonate",
    "sodium_bicarbonate",
];

/// A jar test laid out.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Layout {
    /// Material key.
    pub(super) material: String,
    /// Its name.
    pub(super) name: String,
    /// Wet bedding a jar [g].
    pub(super) wet: f64,
    /// Lime in the second and third jar [g].
    pub(super) lime: [f64; 2],
    /// The same in household measures.
    pub(super) spoons: [String; 2],
    /// pH each should rise by.
    pub(super) rise: [f64; 2],
    /// Lime for the usual small jar, for a scale that reads 0.1 g [g].
    pub(super) small: [f64; 2],
    /// Days to wait.
    pub(super) days: u32,
}

/// The best the keeper has of what is worth a jar test.
fn lime(desk: &Desk) -> String {
    let shed = desk.shed().unwrap_or_default();
    let has = |key: &&&str| shed.iter().any(|i| i.have && i.material == **key);
    let found = LIMES.iter().find(has);
    found.map_or(LIMES[0], |key| key).to_owned()
}

/// Lays out a jar test; `None` when the bed cannot be raised or is not known.
pub(super) fn layout(desk: &Desk, bin: i64) -> Option<Layout> {
    let state = desk.bin(BinId(bin)).ok()?;
    let estimate = state.estimated().ok()?;
    let material = lime(desk);
    let action = &desk.tables.product(&material).ok()?.action;
    let days = if action == "ground" {
        GROUND_DAYS
    } else {
        SOLUBLE_DAYS
    };
    let target = (estimate.ph_to_come.median + RISES[1]).clamp(5.0, 8.0);
    let made = desk.trial(BinId(bin), &material, target).ok()?;
    let choice = made.option(&material)?;
    let whole = RISES.map(|rise| whole_bed(choice, estimate, rise, days));
    let wet_bed = 1000.0 * (estimate.dry_kg.median + estimate.water_kg.median);
    let in_jar = |wet: f64| whole.map(|g| g * wet / wet_bed.max(1.0));
    let enough = |wet: &&f64| in_jar(**wet)[0] >= WEIGHABLE;
    let wet = JARS.iter().find(enough).copied().unwrap_or(500.0);
    let lime = spread(in_jar(wet).map(round));
    let back = lime.map(|g| g * wet_bed / wet);
    let rise = back.map(|g| risen(choice, estimate, g, days));
    let product = desk.product(&material).ok()?;
    let say = |g: f64| {
        describe_grams(g, &product.material, desk.tables, desk.system())
            .map_or_else(|_| format!("{g} g"), |h| h.text)
    };
    Some(Layout {
        name: words::material(desk, &material),
        material,
        wet,
        lime,
        spoons: lime.map(say),
        rise,
        small: in_jar(SMALL_JAR),
        days,
    })
}

/// What can be weighed: whole grams, or where that is off by more than a
/// tenth, quarters, made by parting a weighed heap.
fn round(grams: f64) -> f64 {
    if (grams.round() / grams).ln().abs() < 0.1 {
        grams.round()
    } else {
        ((grams * 4.0).round() / 4.0).max(0.25)
    }
}

/// The two limed jars must differ.
fn spread([a, b]: [f64; 2]) -> [f64; 2] {
    if b > a { [a, b] } else { [a, a * 2.0] }
}

fn risen(choice: &Choice, e: &Estimate, grams: f64, days: u32) -> f64 {
    let end = |g: f64| {
        let path = plan::what_if(choice, &e.ensemble, g, days, EVERY);
        path.last().map_or(0.0, |(_, b)| b.median)
    };
    end(grams) - end(0.0)
}

/// Grams for the whole bed that raise it by `rise` within the wait [g].
fn whole_bed(choice: &Choice, e: &Estimate, rise: f64, days: u32) -> f64 {
    let mut high = choice.grams.high.max(1.0);
    for _ in 0..6 {
        if risen(choice, e, high, days) >= rise {
            break;
        }
        high *= 2.0;
    }
    let mut low = 0.0;
    for _ in 0..12 {
        let middle = f64::midpoint(low, high);
        if risen(choice, e, middle, days) < rise {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// Key of the instrument used last in a bin.
pub(super) fn last_instrument(desk: &Desk, bin: i64) -> Option<String> {
    let state = desk.bin(BinId(bin)).ok()?;
    state.log.iter().rev().find_map(|e| match &e.body {
        Body::Reading(r) => Some(r.instrument.clone()),
        _ => None,
    })
}
