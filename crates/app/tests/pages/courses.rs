//! Invented courses of the figures of a living bin. No number here is a result.

use super::living::{NOW, START};
use super::*;

pub(super) fn wave(day: f64, long: f64) -> f64 {
    (day / long * std::f64::consts::TAU).sin()
}

/// A course through `middle`, its range widening from now on.
pub(super) fn drawn(
    mut course: Course,
    days: f64,
    half: f64,
    middle: impl Fn(f64) -> f64,
) -> Course {
    let last = NOW + days;
    course.now = Some(NOW);
    course.band = (0..=last as i32)
        .map(|d| {
            let day = f64::from(d);
            let ahead = (day - NOW).max(0.0);
            let half = half * (1.0 + ahead.sqrt() * 0.35) * (1.0 + 0.6 * (-day / 9.0).exp());
            CoursePoint {
                day,
                median: middle(day),
                low: middle(day) - half,
                high: middle(day) + half * 1.2,
            }
        })
        .collect();
    course
}

pub(super) fn read(day: f64, value: f64, half: f64, what: &str) -> CourseReading {
    CourseReading {
        day,
        value,
        low: value - half,
        high: value + half,
        kind: ReadingKind::Settled,
        what: what.into(),
    }
}

pub(super) fn limit(value: f64, trouble: Trouble, words: &str) -> CourseLimit {
    CourseLimit {
        value,
        trouble,
        words: words.into(),
    }
}

pub(super) fn marks(days: f64) -> Vec<CourseMark> {
    let mark = |day: f64, kind: MarkKind, label: &str| CourseMark {
        day,
        kind,
        label: label.into(),
    };
    let mut list: Vec<CourseMark> = (0..)
        .map(|i| 3.0 + 4.0 * f64::from(i))
        .take_while(|d| *d < NOW + days)
        .map(|d| mark(d, MarkKind::Fed, "300 g of kitchen scraps"))
        .collect();
    list.extend([
        mark(8.0, MarkKind::Dosed, "40 g of ground limestone"),
        mark(15.0, MarkKind::Dosed, "40 g of ground limestone"),
        mark(16.0, MarkKind::Watered, "1 L of water"),
        mark(24.0, MarkKind::Bedding, "10 L of coir"),
        mark(44.0, MarkKind::Moved, "to the shed"),
    ]);
    list
}

pub(super) fn temperature(days: f64) -> Course {
    let room = |d: f64| 13.0 - 6.0 * (d - 10.0) / 80.0 + 2.0 * wave(d, 9.0);
    let mut c = Course::new("temperature", "Temperature", "°C", START);
    c.name = "core".into();
    let heat = |d: f64| room(d) + 6.5 + 2.0 * wave(d, 4.0).max(0.0);
    let mut c = drawn(c, days, 1.1, heat);
    let line = |name: &str, above: f64| CourseLine {
        name: name.into(),
        points: (0..=(NOW + days) as i32)
            .map(|d| CoursePoint::sure(f64::from(d), room(f64::from(d)) + above))
            .collect(),
    };
    c.extra = vec![line("refuge", 3.0), line("room", 0.0)];
    c.readings = vec![
        read(6.0, 19.5, 1.0, "thermometer in the middle"),
        read(21.0, 20.0, 1.0, "thermometer in the middle"),
        read(37.0, 17.0, 1.0, "thermometer in the middle"),
        read(48.0, 16.5, 1.0, "thermometer in the middle"),
    ];
    c.limits = vec![
        limit(30.0, Trouble::Above, "worms leave above 30 °C"),
        limit(5.0, Trouble::Below, "hardly eat below 5 °C"),
    ];
    c.marks = marks(days);
    c.listed = 3;
    c
}

pub(super) fn moisture(days: f64) -> Course {
    let mut c = Course::new("moisture", "Moisture", "%", START);
    c.possible = (Some(0.0), Some(100.0));
    let mut c = drawn(c, days, 3.5, |d| 74.0 - 0.11 * d + 1.5 * wave(d, 8.0));
    c.readings = vec![
        read(12.0, 75.0, 5.0, "squeeze, a drop or two"),
        read(40.0, 68.0, 5.0, "squeeze, damp only"),
    ];
    c.limits = vec![
        limit(60.0, Trouble::Below, "too dry below 60 %"),
        limit(85.0, Trouble::Above, "too wet above 85 %"),
    ];
    c
}

pub(super) fn worms(days: f64) -> Course {
    let mut c = Course::new("worms", "Worms by mass", "g", START);
    c.possible = (Some(0.0), None);
    let mut c = drawn(c, days, 45.0, |d| 260.0 * (d / 95.0).exp2());
    c.readings = vec![CourseReading {
        kind: ReadingKind::Local,
        ..read(33.0, 280.0, 90.0, "counted in half a litre")
    }];
    c
}

pub(super) fn ph(days: f64) -> Course {
    let c = Course::new("acid", "pH of the bed", "", START);
    let mut c = drawn(c, days, 0.22, |d| {
        4.9 + 1.6 * (1.0 - (-d / 16.0).exp()) - 0.006 * (d - 30.0).max(0.0)
    });
    c.readings = vec![
        read(2.0, 4.8, 0.3, "pH pen"),
        CourseReading {
            kind: ReadingKind::Doubtful,
            ..read(5.0, 7.0, 0.3, "two-metal probe")
        },
        CourseReading {
            kind: ReadingKind::Local,
            ..read(15.4, 6.9, 0.3, "pH pen")
        },
        read(28.0, 6.1, 0.3, "pH pen"),
        read(46.0, 6.4, 0.3, "pH pen"),
    ];
    c.limits = vec![limit(5.0, Trouble::Below, "worms leave or die below 5.0")];
    c
}

pub(super) fn food(days: f64) -> Course {
    let mut c = Course::new("food", "Food left", "g", START);
    c.possible = (Some(0.0), None);
    drawn(c, days, 20.0, |d| {
        let since = (d - 3.0).rem_euclid(4.0);
        40.0 + 300.0 * (-since / 2.2).exp()
    })
}

pub(super) fn flat(days: f64) -> Course {
    let mut c = Course::new("salt", "Salt", "mS/cm", START);
    c.possible = (Some(0.0), None);
    let mut c = drawn(c, days, 0.2, |d| 1.1 + 0.004 * d);
    c.limits = vec![limit(4.0, Trouble::Above, "worms slow down above 4 mS/cm")];
    c
}

pub(super) fn views(days: f64) -> Vec<CourseView> {
    let mut moist = moisture(days);
    moist.marks = vec![];
    vec![
        CourseView::new(
            "Temperature",
            "Coldest about Fri 18 Dec: core 13 °C, kindest corner 9 °C.",
            &temperature(days),
        ),
        CourseView::new(
            "Moisture",
            "Drying slowly; a litre of water about Thu 10 Dec keeps it right.",
            &moist,
        ),
        CourseView::new(
            "pH",
            "Holds near 6.4 and falls a little as the food is eaten.",
            &ph(days),
        ),
        CourseView::new(
            "Worms",
            "From about 370 g to 560 g by mid January.",
            &worms(days),
        ),
        CourseView::new(
            "Food left",
            "Each feeding is nearly gone when the next comes.",
            &food(days),
        ),
        CourseView::new("Salt", "Well under what worms mind.", &flat(days)),
    ]
}
