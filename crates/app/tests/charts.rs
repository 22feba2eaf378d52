//! Laws of the pictures: well-formed, no value that is not a number, text
//! inside the frame, marks inside the axes, words for those who cannot see,
//! and the same drawing from the same data.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot read its own data has failed"
)]

#[path = "charts/laws.rs"]
mod laws;

use app::chart::{
    ActedDay, ActedShare, BinSection, CurvePoint, DoseCurve, DoseMark, Feed, JarPlot, Moist,
    PathPoint, PhChart, PhReading, ReadingKind, SectionSize, Size, Spot, Tag, WhatIf, WormsAt,
    acted_share, bin_section, dose_curve, interval_bar, jar_plot, ph_chart,
};
use app::report::Units;
use engine::log::{Lid, Walls};
use engine::quantity::Band;
use jiff::civil::date;
use laws::{Odd, lawful, number};

const SIZES: [Size; 2] = [Size::Narrow, Size::Wide];
const LONG: &str =
    "ground limestone <from> the \"big\" bag & the small one, mixed in by hand twice";

fn empty() -> PhChart {
    PhChart {
        id: "b".into(),
        bin: "Box".into(),
        start: date(2026, 11, 1),
        now: 0.0,
        readings: vec![],
        doses: vec![],
        path: vec![],
        forecast: vec![],
        what_if: None,
        levels: None,
    }
}

fn reading(day: f64, ph: f64, kind: ReadingKind) -> PhReading {
    PhReading {
        day,
        ph,
        low: ph - 0.4,
        high: ph + 0.4,
        kind,
    }
}

fn point(day: f64, median: f64) -> PathPoint {
    PathPoint {
        day,
        median,
        low: median - 0.3,
        high: median + 0.3,
    }
}

trait OddPath {
    fn path(&mut self) -> Vec<PathPoint>;
}

impl OddPath for Odd {
    fn path(&mut self) -> Vec<PathPoint> {
        (0..self.below(40))
            .map(|_| point(self.odd(0.0, 90.0), self.odd(0.0, 14.0)))
            .collect()
    }
}

#[test]
fn ph_chart_of_odd_data_is_lawful() {
    let kinds = [
        ReadingKind::Settled,
        ReadingKind::Local,
        ReadingKind::Doubtful,
    ];
    let mut odd = Odd(7);
    for _ in 0..300 {
        let mut chart = empty();
        chart.bin = odd.pick(&["Box", "", LONG]).into();
        chart.now = odd.odd(-10.0, 400.0);
        for _ in 0..odd.below(9) {
            let r = reading(odd.odd(0.0, 300.0), odd.odd(0.0, 14.0), odd.pick(&kinds));
            chart.readings.push(r);
        }
        for _ in 0..odd.below(9) {
            chart.doses.push(DoseMark {
                day: odd.odd(0.0, 300.0),
                label: odd.pick(&["40 g", "", LONG]).into(),
            });
        }
        chart.path = odd.path();
        chart.forecast = odd.path();
        if odd.below(2) == 0 {
            chart.what_if = Some(WhatIf {
                label: odd.pick(&["with lime", LONG]).into(),
                path: odd.path(),
            });
        }
        for size in SIZES {
            let svg = ph_chart(&chart, size);
            lawful(&svg);
            assert_eq!(
                svg,
                ph_chart(&chart, size),
                "the same data, the same drawing"
            );
        }
    }
}

#[test]
fn ph_chart_of_nothing_one_thing_and_the_far_future() {
    let mut chart = empty();
    for size in SIZES {
        lawful(&ph_chart(&chart, size));
        assert!(ph_chart(&chart, size).as_str().contains("no reading yet"));
    }
    chart.readings.push(reading(3.0, 4.7, ReadingKind::Settled));
    lawful(&ph_chart(&chart, Size::Narrow));
    chart
        .readings
        .push(reading(1.0e7, 4.7, ReadingKind::Settled));
    lawful(&ph_chart(&chart, Size::Narrow));
}

/// Marks lie inside the axes and keep the order of their values.
#[test]
fn readings_are_drawn_where_they_belong() {
    let mut chart = empty();
    for (day, ph) in [(1.0, 2.0), (5.0, 6.5), (9.0, 12.9)] {
        chart.readings.push(reading(day, ph, ReadingKind::Settled));
    }
    chart.now = 10.0;
    let svg = ph_chart(&chart, Size::Narrow);
    let tree = roxmltree::Document::parse(svg.as_str()).unwrap();
    let dots: Vec<(f64, f64)> = tree
        .descendants()
        .filter(|n| n.attribute("class") == Some("reading settled") && n.has_tag_name("circle"))
        .map(|n| (number(n, "cx"), number(n, "cy")))
        .filter(|(_, y)| *y < 261.0)
        .collect();
    assert_eq!(dots.len(), 3);
    assert!(dots[0].0 < dots[1].0 && dots[1].0 < dots[2].0);
    assert!(dots[0].1 > dots[1].1 && dots[1].1 > dots[2].1);
    assert!(
        dots.iter()
            .all(|(x, y)| (30.0..=318.0).contains(x) && (26.0..=260.0).contains(y))
    );
}

#[test]
fn each_kind_of_reading_has_its_own_shape_and_word() {
    let mut shapes = Vec::new();
    for (kind, word) in [
        (ReadingKind::Settled, "settled reading"),
        (ReadingKind::Local, "just after a dose"),
        (ReadingKind::Doubtful, "doubtful"),
    ] {
        let mut chart = empty();
        chart.readings.push(reading(1.0, 5.0, kind));
        let text = ph_chart(&chart, Size::Wide).to_string();
        assert!(text.contains(word), "{word}");
        let at = text.find("class=\"reading").unwrap();
        shapes.push(text[at..].split('>').next().unwrap().to_owned());
    }
    shapes.dedup();
    assert_eq!(shapes.len(), 3);
}

#[test]
fn the_forecast_is_dashed_and_said_in_words() {
    let mut chart = empty();
    chart.path = vec![point(0.0, 5.0), point(5.0, 5.2)];
    chart.forecast = vec![point(5.0, 5.2), point(20.0, 6.0)];
    let text = ph_chart(&chart, Size::Wide).to_string();
    let at = text.find("class=\"forecast\"").unwrap();
    assert!(
        text[at..]
            .split('>')
            .next()
            .unwrap()
            .contains("stroke-dasharray")
    );
    assert!(text.contains("The estimate now is pH 5.2 (4.9 to 5.5)"));
    assert!(text.contains("by 21 Nov: pH 6.0 (5.7 to 6.3)"));
}

#[test]
fn sections_of_odd_bins_are_lawful() {
    let mut odd = Odd(11);
    let walls = [
        Walls::Plastic,
        Walls::Wood,
        Walls::Foam,
        Walls::Metal,
        Walls::Fabric,
        Walls::Masonry,
    ];
    let lids = [Lid::Open, Lid::Vented, Lid::Tight, Lid::Cover];
    let moist = [
        Moist::NotKnown,
        Moist::Dry,
        Moist::Right,
        Moist::Wet,
        Moist::Soaked,
    ];
    let worms = [
        WormsAt::None,
        WormsAt::NotKnown,
        WormsAt::Spread,
        WormsAt::Climbing,
        WormsAt::Edge,
        WormsAt::Balled,
        WormsAt::Left,
    ];
    let spots = [
        Spot::Bedding,
        Spot::Top,
        Spot::Bottom,
        Spot::Food,
        Spot::Air,
    ];
    for _ in 0..400 {
        let tags = (0..odd.below(7))
            .map(|_| Tag {
                word: odd.pick(&["too acid", "salty", LONG]).into(),
                at: odd.pick(&spots),
            })
            .collect();
        let bin = BinSection {
            id: "b".into(),
            name: odd.pick(&["Box", LONG]).into(),
            length_cm: odd.odd(5.0, 1000.0),
            depth_cm: odd.odd(5.0, 200.0),
            bedding_cm: odd.odd(-5.0, 250.0),
            castings_cm: odd.odd(-5.0, 100.0),
            walls: odd.pick(&walls),
            lid: odd.pick(&lids),
            drains: odd.below(2) == 0,
            moist: odd.pick(&moist),
            wet_line_cm: Some(odd.odd(-1.0, 60.0)),
            feed: (odd.below(2) == 0).then(|| Feed {
                along: odd.odd(0.0, 1.0),
                depth_cm: odd.odd(0.0, 50.0),
            }),
            worms: odd.pick(&worms),
            tags,
            units: odd.pick(&[Units::Metric, Units::Us]),
        };
        for size in [SectionSize::Thumb, SectionSize::Narrow, SectionSize::Wide] {
            let svg = bin_section(&bin, size);
            lawful(&svg);
            assert_eq!(
                svg,
                bin_section(&bin, size),
                "the same bin, the same drawing"
            );
        }
    }
}

/// The scale bar is as long as it says: bedding of 20 cm is twice a 10 cm bar.
#[test]
fn sections_are_drawn_to_scale() {
    let bin = BinSection {
        length_cm: 50.0,
        depth_cm: 40.0,
        bedding_cm: 20.0,
        walls: Walls::Metal,
        ..BinSection::default()
    };
    let svg = bin_section(&bin, SectionSize::Wide);
    let tree = roxmltree::Document::parse(svg.as_str()).unwrap();
    let path = |class: &str| -> Vec<f64> {
        let node = tree
            .descendants()
            .find(|n| n.attribute("class") == Some(class));
        let d = node.unwrap().attribute("d").unwrap().to_owned();
        d.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
            .filter(|p| !p.is_empty())
            .map(|p| p.parse().unwrap())
            .collect()
    };
    assert!(svg.as_str().contains(">10 cm</text>"));
    let bar = path("scale")[5];
    let surface = path("surface")[1] - 1.0;
    let wall = path("wall");
    let floor = wall[5] - 1.5;
    assert!(
        (floor - surface - 2.0 * bar).abs() < 0.05,
        "{floor} {surface} {bar}"
    );
}

fn curve(amount: f64, median: f64) -> CurvePoint {
    CurvePoint {
        amount,
        median,
        low: median - 0.2,
        high: median + 0.2,
    }
}

#[test]
fn curves_of_odd_data_are_lawful() {
    let mut odd = Odd(13);
    for _ in 0..300 {
        let top = odd.pick(&[0.0, 0.002, 1.0, 250.0, 1.0e6]);
        let points: Vec<CurvePoint> = (0..odd.below(30))
            .map(|_| curve(odd.odd(0.0, top), odd.odd(0.0, 14.0)))
            .collect();
        let data = DoseCurve {
            id: "c".into(),
            title: LONG.into(),
            unit: odd.pick(&["g", LONG]).into(),
            points: points.clone(),
            steps: (0..odd.below(6)).map(|_| odd.odd(0.0, top)).collect(),
            at: Some(odd.odd(0.0, top)),
            target: Some(odd.odd(0.0, 14.0)),
        };
        let jars = JarPlot {
            id: "j".into(),
            unit: "g".into(),
            jars: (0..odd.below(5))
                .map(|_| (odd.odd(0.0, top), odd.odd(0.0, 14.0)))
                .collect(),
            fit: points,
        };
        for size in SIZES {
            lawful(&dose_curve(&data, size));
            lawful(&jar_plot(&jars, size));
        }
    }
}

#[test]
fn the_slider_reads_the_curve_between_its_points() {
    let data = DoseCurve {
        points: vec![curve(0.0, 5.0), curve(100.0, 7.0)],
        unit: "g of lime".into(),
        at: Some(25.0),
        ..DoseCurve::default()
    };
    let text = dose_curve(&data, Size::Narrow).to_string();
    assert!(
        text.contains("At the slider, 25 g of lime: pH 5.5 (5.3 to 5.7)"),
        "{text}"
    );
}

#[test]
fn small_pictures_are_lawful() {
    let mut odd = Odd(17);
    for _ in 0..200 {
        let days = (0..odd.below(10))
            .map(|_| ActedDay {
                day: odd.odd(0.0, 365.0),
                share: odd.odd(-0.5, 1.5),
                low: odd.odd(-0.5, 1.5),
                high: odd.odd(-0.5, 1.5),
            })
            .collect();
        lawful(&acted_share(&ActedShare {
            id: "a".into(),
            material: LONG.into(),
            days,
        }));
        let band = Band {
            median: odd.odd(-5.0, 15.0),
            low: odd.odd(-5.0, 15.0),
            high: odd.odd(-5.0, 15.0),
        };
        let axis = (odd.odd(0.0, 5.0), odd.odd(0.0, 14.0));
        lawful(&interval_bar("i", &band, axis, "pH: 6.4 (5.9 to 6.8)"));
    }
}
