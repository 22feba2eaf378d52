//! How far one daily course stands from another, by what is allowed of each figure;
//! as `benches/living.py` has it.

use std::collections::BTreeMap;

/// Largest gap allowed: share of the value, or plain.
const RELATIVE: f64 = 0.01;
const PLAIN: [(&str, f64); 4] = [
    ("ph", 0.02),
    ("bed_celsius", 0.2),
    ("core_day_mean_celsius", 0.2),
    ("hot_day_mean_celsius", 0.2),
];
/// Below this share of its largest value a figure is compared with that share.
const FLOOR: f64 = 0.01;
/// What goes through nought is compared with its largest value.
const THROUGH_NOUGHT: &str = "base_mol";
/// Less than this of anything is none.
const NOTHING: f64 = 1e-9;

/// Figures of every day, by name.
#[derive(Debug, Clone, Default)]
pub struct Course(pub BTreeMap<String, Vec<f64>>);

impl Course {
    /// Adds a day.
    pub fn add(&mut self, figures: Vec<(&str, f64)>) {
        for (name, value) in figures {
            self.0.entry(name.into()).or_default().push(value);
        }
    }
}

/// The largest gap of one figure.
#[derive(Debug, Clone)]
pub struct Gap {
    pub name: String,
    /// Of what is allowed [-].
    pub times: f64,
    /// Share of the value, or plain.
    pub gap: f64,
    /// Day on which it is so large.
    pub day: usize,
    /// Told plainly and not as a share.
    pub plain: bool,
}

/// Largest gap of each figure, the worst first.
pub fn gaps(ours: &Course, exact: &Course) -> Vec<Gap> {
    let mut found: Vec<Gap> = exact
        .0
        .iter()
        .map(|(name, course)| largest(name, &ours.0[name], course))
        .collect();
    found.sort_by(|a, b| b.times.total_cmp(&a.times));
    found
}

fn largest(name: &str, ours: &[f64], exact: &[f64]) -> Gap {
    let plain = PLAIN.iter().find(|(of, _)| *of == name);
    let most = exact.iter().fold(0.0f64, |most, x| most.max(x.abs()));
    let least = most * if name == THROUGH_NOUGHT { 1.0 } else { FLOOR };
    let (mut gap, mut day) = (0.0, 0);
    for (i, (a, b)) in ours.iter().zip(exact).enumerate() {
        let over = if plain.is_some() {
            1.0
        } else {
            b.abs().max(least).max(NOTHING)
        };
        let here = (a - b).abs() / over;
        if here > gap {
            (gap, day) = (here, i + 1);
        }
    }
    Gap {
        name: name.into(),
        times: gap / plain.map_or(RELATIVE, |(_, allowed)| *allowed),
        gap,
        day,
        plain: plain.is_some(),
    }
}
