//! Predicted against measured, one panel per kind of figure and unit.

use crate::chart::{Dash, PlotAxis, PlotLine, PlotMark, PlotPanel, PlotSheet, Shape, Sign};
use engine::validation::experiments::{Blind, Quantity};
use engine::validation::predicted::Prediction;

/// A panel: its title, its unit, the quantities in it, which predictions, and
/// its axes: least and greatest, by factors or plainly.
struct Kind {
    title: &'static str,
    unit: &'static str,
    of: &'static [Quantity],
    weak: Option<bool>,
    span: (f64, f64),
    log: bool,
}

const fn kind(
    title: &'static str,
    unit: &'static str,
    of: &'static [Quantity],
    span: (f64, f64),
    log: bool,
) -> Kind {
    Kind {
        title,
        unit,
        of,
        weak: None,
        span,
        log,
    }
}

const EACH: &[Quantity] = &[Quantity::MeanWormMass];

const KINDS: [Kind; 13] = [
    kind("pH", "pH", &[Quantity::Ph], (4.0, 10.0), false),
    kind("EC", "mS/cm", &[Quantity::Conductivity], (1.0, 30.0), true),
    kind(
        "C:N",
        "g/g",
        &[Quantity::CarbonToNitrogen],
        (5.0, 30.0),
        false,
    ),
    kind(
        "Changes",
        "% of start",
        &[
            Quantity::PhChange,
            Quantity::ConductivityChange,
            Quantity::RatioChange,
        ],
        (-80.0, 100.0),
        false,
    ),
    Kind {
        weak: Some(false),
        ..kind("Worm mass, blind", "mg", EACH, (1.0, 3000.0), true)
    },
    Kind {
        weak: Some(true),
        ..kind("Worm mass, weak", "mg", EACH, (1.0, 3000.0), true)
    },
    kind(
        "Mass of all worms",
        "g",
        &[Quantity::WormMass],
        (1.0, 3000.0),
        true,
    ),
    kind(
        "Worm mass kept",
        "% of start",
        &[Quantity::WormMassKept],
        (0.0, 140.0),
        false,
    ),
    kind(
        "Worm number",
        "worms",
        &[Quantity::Worms, Quantity::Juveniles],
        (1.0, 30_000.0),
        true,
    ),
    kind(
        "Worms over start",
        "fold",
        &[Quantity::WormsFold],
        (0.01, 100.0),
        true,
    ),
    kind(
        "Loss of mass",
        "%",
        &[
            Quantity::DryMassLoss,
            Quantity::WetMassLoss,
            Quantity::RespirationFall,
        ],
        (0.0, 100.0),
        false,
    ),
    kind(
        "Nitrate",
        "mg/kg",
        &[Quantity::Nitrate],
        (10.0, 40_000.0),
        true,
    ),
    kind(
        "Temperature",
        "°C",
        &[
            Quantity::Temperature,
            Quantity::LowestTemperature,
            Quantity::HighestTemperature,
        ],
        (0.0, 60.0),
        false,
    ),
];

fn in_kind(kind: &Kind, p: &Prediction) -> bool {
    kind.of.contains(&p.quantity)
        && kind
            .weak
            .is_none_or(|weak| weak == (p.blind == Blind::Weak))
}

pub(super) fn sheet(evidence: &[Prediction]) -> PlotSheet {
    let misses = evidence.iter().filter(|p| !p.inside()).count();
    debug_assert!(
        evidence
            .iter()
            .all(|p| KINDS.iter().filter(|k| in_kind(k, p)).count() == 1),
        "every prediction is drawn once"
    );
    PlotSheet {
        id: "experiments".into(),
        title: format!(
            "Predicted against measured: {}",
            super::missed(misses, evidence.len())
        ),
        note: "Experiments others published, and what keepers measured, predicted with no number fitted to them; the laws of the model were changed after most had been seen. Points on the slanted line are right. Each point is the median; a value beyond an axis is drawn on its edge. Weak: a constant of the model was chosen with the experiment in view.".into(),
        key: vec![
            (Sign::Mark(Shape::Disc), "measured value inside the 80 % interval".into()),
            (Sign::Mark(Shape::Cross), "outside (missed)".into()),
            (Sign::Mark(Shape::Ring), "inside, weak".into()),
            (Sign::Mark(Shape::Plus), "outside, weak (missed)".into()),
            (Sign::Bar, "80 % interval".into()),
            (Sign::Line(Dash::Dashed), "predicted = measured".into()),
        ],
        panels: KINDS.iter().map(|k| panel(k, evidence)).collect(),
        columns: 3,
    }
}

fn panel(kind: &Kind, evidence: &[Prediction]) -> PlotPanel {
    let of: Vec<&Prediction> = evidence.iter().filter(|p| in_kind(kind, p)).collect();
    let misses = of.iter().filter(|p| !p.inside()).count();
    let axis = |side: &str| PlotAxis {
        name: format!("{side} [{}]", kind.unit),
        low: kind.span.0,
        high: kind.span.1,
        log: kind.log,
        ticks: Vec::new(),
    };
    let (low, high) = kind.span;
    PlotPanel {
        title: format!("{}: {}", kind.title, super::missed(misses, of.len())),
        x: axis("measured"),
        y: axis("predicted"),
        range: None,
        lines: vec![PlotLine {
            points: vec![(low, low), (high, high)],
            dash: Dash::Dashed,
        }],
        marks: of.iter().map(|p| mark(p)).collect(),
    }
}

fn mark(p: &Prediction) -> PlotMark {
    let shape = match (p.blind == Blind::Weak, p.inside()) {
        (false, true) => Shape::Disc,
        (false, false) => Shape::Cross,
        (true, true) => Shape::Ring,
        (true, false) => Shape::Plus,
    };
    let label = match p.quantity {
        Quantity::PhChange => Some("pH"),
        Quantity::ConductivityChange => Some("EC"),
        Quantity::RatioChange => Some("C:N"),
        _ => None,
    };
    PlotMark {
        x: p.observed,
        y: p.median,
        bar: Some((p.low, p.high)),
        shape,
        label: label.map(str::to_owned),
    }
}
