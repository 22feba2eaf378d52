//! Invented figures and drawings.

use app::chart::*;
use app::report::Units;
use app::web::widgets::Picture;
use engine::log::{Lid, Walls};
use engine::quantity::Band;
use jiff::civil::date;

pub(super) fn band(median: f64, low: f64, high: f64) -> Band {
    Band { median, low, high }
}

pub(super) fn sections() -> Vec<BinSection> {
    let base = BinSection {
        id: "1".into(),
        name: "Cellar box".into(),
        length_cm: 60.0,
        depth_cm: 32.0,
        bedding_cm: 20.0,
        castings_cm: 3.0,
        walls: Walls::Plastic,
        lid: Lid::Vented,
        drains: true,
        moist: Moist::Right,
        wet_line_cm: None,
        feed: Some(Feed {
            along: 0.3,
            depth_cm: 6.0,
        }),
        worms: WormsAt::Climbing,
        tags: vec![Tag {
            word: "too acid".into(),
            at: Spot::Bedding,
        }],
        units: Units::Metric,
    };
    vec![
        base.clone(),
        BinSection {
            id: "2".into(),
            name: "Kitchen stack".into(),
            length_cm: 38.0,
            depth_cm: 40.0,
            bedding_cm: 28.0,
            castings_cm: 12.0,
            walls: Walls::Wood,
            lid: Lid::Cover,
            worms: WormsAt::Spread,
            tags: vec![],
            ..base.clone()
        },
        BinSection {
            id: "3".into(),
            name: "Foam box in the garage".into(),
            length_cm: 50.0,
            depth_cm: 30.0,
            bedding_cm: 22.0,
            castings_cm: 5.0,
            walls: Walls::Foam,
            lid: Lid::Tight,
            drains: false,
            moist: Moist::Soaked,
            wet_line_cm: Some(4.0),
            worms: WormsAt::Edge,
            tags: vec![
                Tag {
                    word: "too wet".into(),
                    at: Spot::Bottom,
                },
                Tag {
                    word: "salty".into(),
                    at: Spot::Bedding,
                },
                Tag {
                    word: "hot at the food".into(),
                    at: Spot::Food,
                },
            ],
            ..base.clone()
        },
        BinSection {
            id: "4".into(),
            name: "Brick bed behind the greenhouse".into(),
            length_cm: 220.0,
            depth_cm: 60.0,
            bedding_cm: 35.0,
            castings_cm: 0.0,
            walls: Walls::Masonry,
            lid: Lid::Open,
            moist: Moist::Dry,
            worms: WormsAt::NotKnown,
            feed: None,
            tags: vec![Tag {
                word: "too dry".into(),
                at: Spot::Top,
            }],
            ..base
        },
    ]
}

fn path(from: i32, to: i32, start: f64, rate: f64, spread: f64) -> Vec<PathPoint> {
    (from..=to)
        .map(|d| {
            let day = f64::from(d);
            let along = f64::from(d - from);
            let median = start + rate * (1.0 - (-along / 9.0).exp());
            let half = spread + 0.012 * along;
            PathPoint {
                day,
                median,
                low: median - half,
                high: median + half,
            }
        })
        .collect()
}

pub(super) fn ph_data() -> PhChart {
    let reading = |day: f64, ph: f64, kind: ReadingKind| PhReading {
        day,
        ph,
        low: ph - 0.3,
        high: ph + 0.3,
        kind,
    };
    let dose = |day: f64, label: &str| DoseMark {
        day,
        label: label.into(),
    };
    let mut known = path(0, 10, 4.7, 0.05, 0.35);
    known.extend(path(11, 24, 4.8, 0.6, 0.28));
    PhChart {
        id: "1".into(),
        bin: "Cellar box".into(),
        start: date(2026, 11, 1),
        now: 24.0,
        readings: vec![
            reading(2.0, 4.6, ReadingKind::Settled),
            reading(5.0, 7.0, ReadingKind::Doubtful),
            reading(9.0, 4.8, ReadingKind::Settled),
            reading(10.6, 5.7, ReadingKind::Local),
            reading(17.0, 5.1, ReadingKind::Settled),
            reading(23.0, 5.3, ReadingKind::Settled),
        ],
        doses: vec![
            dose(10.5, "2 L wood-ash liquor, poured"),
            dose(12.0, "40 g ground limestone, mixed in"),
            dose(18.0, "40 g ground limestone, mixed in"),
        ],
        path: known,
        forecast: path(24, 45, 5.27, 0.25, 0.45),
        what_if: Some(WhatIf {
            label: "with 60 g limestone today".into(),
            path: path(24, 45, 5.27, 1.0, 0.5),
        }),
        levels: Some(PhLevels {
            best: (6.5, 7.5),
            too_acid: 5.5,
            too_alkaline: 8.5,
        }),
    }
}

pub(super) fn curve_data() -> DoseCurve {
    DoseCurve {
        id: "curve".into(),
        title: "pH in four weeks by ground limestone given today".into(),
        unit: "g of ground limestone".into(),
        points: (0..=24)
            .map(|i| {
                let amount = f64::from(i) * 10.0;
                let median = 5.2 + 2.0 * (1.0 - (-amount / 120.0).exp());
                CurvePoint {
                    amount,
                    median,
                    low: median - 0.2 - amount * 0.001,
                    high: median + 0.2 + amount * 0.0012,
                }
            })
            .collect(),
        steps: vec![60.0, 120.0],
        at: Some(60.0),
        target: Some(6.5),
    }
}

pub(super) fn jar_data() -> JarPlot {
    JarPlot {
        id: "jar".into(),
        unit: "g of limestone in each jar".into(),
        jars: vec![(0.0, 4.8), (0.25, 5.7), (0.5, 6.5)],
        fit: (0..=10)
            .map(|i| {
                let amount = f64::from(i) * 0.05;
                CurvePoint {
                    amount,
                    median: 4.83 + 3.4 * amount,
                    low: 4.63 + 3.3 * amount,
                    high: 5.03 + 3.5 * amount,
                }
            })
            .collect(),
    }
}

pub(super) fn acted_data(id: &str) -> ActedShare {
    let day = |day: f64, share: f64| ActedDay {
        day,
        share,
        low: share * 0.8,
        high: (share * 1.2_f64).min(1.0),
    };
    ActedShare {
        id: id.into(),
        material: "Ground limestone".into(),
        days: vec![
            day(1.0, 0.18),
            day(3.0, 0.36),
            day(7.0, 0.55),
            day(14.0, 0.73),
            day(28.0, 0.9),
        ],
    }
}

pub(super) fn section_picture(data: &BinSection) -> Picture {
    Picture {
        narrow: bin_section(data, SectionSize::Narrow),
        wide: bin_section(data, SectionSize::Wide),
        caption: String::new(),
    }
}
