//! How often the intervals of the followed bins held the truth.

use crate::chart::{PlotAxis, PlotMark, PlotPanel, PlotSheet, Shape, Sign};
use engine::validation::following::WEEKS;
use engine::validation::scored::Following;

/// The figures, in the order of the page.
const TITLES: [&str; 5] = [
    "pH",
    "Moisture",
    "Temperature inside",
    "Worm biomass",
    "Castings, dry",
];
/// Share that is wanted [%].
const WANTED: (f64, f64) = (74.0, 86.0);
/// Normal deviate of a 95 % chance interval.
const CHANCE: f64 = 1.96;

pub(super) fn sheet(f: &Following) -> PlotSheet {
    PlotSheet {
        id: "coverage".into(),
        title: "Share of followed bins whose truth lay in the 80 % interval".into(),
        note: format!(
            "{} bins with a hidden truth, estimated from their logs alone, after 2, 4 and 8 weeks.",
            f.bins
        ),
        key: vec![
            (Sign::Range, "wanted: 74 to 86 %".into()),
            (Sign::Mark(Shape::Disc), "within".into()),
            (Sign::Mark(Shape::Cross), "outside (missed)".into()),
            (Sign::Mark(Shape::Ring), "had nobody looked".into()),
            (
                Sign::Bar,
                "where chance alone may move a share, 95 %".into(),
            ),
        ],
        panels: (0..TITLES.len()).map(|i| panel(f, i)).collect(),
        columns: 3,
    }
}

fn panel(f: &Following, figure: usize) -> PlotPanel {
    let bins = f.bins.max(1) as f64;
    let percent = |n: usize| 100.0 * n as f64 / bins;
    let mut marks = Vec::new();
    let mut misses = 0;
    for (w, week) in WEEKS.iter().enumerate() {
        let cell = &f.cells[w][figure];
        let share = percent(cell.looked.inside);
        let within = (WANTED.0..=WANTED.1).contains(&share);
        misses += usize::from(!within);
        let chance = CHANCE * (share * (100.0 - share) / bins).sqrt();
        let week = f64::from(*week);
        marks.push(PlotMark {
            x: week - 0.15,
            y: share,
            bar: Some((share - chance, share + chance)),
            shape: if within { Shape::Disc } else { Shape::Cross },
            label: None,
        });
        marks.push(PlotMark {
            x: week + 0.35,
            y: percent(cell.blind.inside),
            bar: None,
            shape: Shape::Ring,
            label: None,
        });
    }
    PlotPanel {
        title: format!("{}: {}", TITLES[figure], super::missed(misses, WEEKS.len())),
        x: PlotAxis {
            name: "after [weeks]".into(),
            low: 0.0,
            high: 10.0,
            log: false,
            ticks: WEEKS.iter().map(|w| f64::from(*w)).collect(),
        },
        y: PlotAxis {
            name: "truth in the interval [% of bins]".into(),
            low: 50.0,
            high: 100.0,
            log: false,
            ticks: Vec::new(),
        },
        range: Some(WANTED),
        lines: Vec::new(),
        marks,
    }
}
