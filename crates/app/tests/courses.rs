//! Laws of the pictures of the living bin: courses, strips, chances and the
//! scale of rations.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot read its own data has failed"
)]

#[path = "charts/laws.rs"]
mod laws;

use app::chart::Svg;
use app::chart::{
    Advice, Chance, ChancePoint, Course, CourseLimit, CourseLine, CourseMark, CoursePoint,
    CourseReading, FeedScale, MarkKind, ReadingKind, Size, Trouble, chance_strip, course_chart,
    course_spark, feed_scale,
};
use engine::quantity::Band;
use jiff::civil::date;
use laws::{Odd, lawful, number};

const SIZES: [Size; 2] = [Size::Narrow, Size::Wide];
const LONG: &str = "a <long> & \"odd\" name of something that was given, by hand, twice over";
const KINDS: [MarkKind; 8] = [
    MarkKind::Fed,
    MarkKind::Dosed,
    MarkKind::Watered,
    MarkKind::Bedding,
    MarkKind::Worms,
    MarkKind::Harvest,
    MarkKind::Moved,
    MarkKind::Other,
];

/// No two texts lie over each other.
fn no_texts_meet(svg: &Svg) {
    let tree = roxmltree::Document::parse(svg.as_str()).unwrap();
    let boxes: Vec<(f64, f64, f64, f64, &str)> = tree
        .descendants()
        .filter(|n| n.has_tag_name("text"))
        .map(|n| {
            let size = number(n, "font-size");
            let words = n.text().unwrap_or("");
            let wide = words.chars().count() as f64 * size * 0.55;
            let (x, y) = (number(n, "x"), number(n, "y"));
            let left = match n.attribute("text-anchor") {
                Some("middle") => x - wide / 2.0,
                Some("end") => x - wide,
                _ => x,
            };
            (left, left + wide, y - size * 0.75, y + size * 0.2, words)
        })
        .collect();
    for (i, a) in boxes.iter().enumerate() {
        for b in &boxes[i + 1..] {
            let meet = a.0 < b.1 && b.0 < a.1 && a.2 < b.3 && b.2 < a.3;
            assert!(!meet, "{:?} lies over {:?} in {svg}", a.4, b.4);
        }
    }
}

fn course() -> Course {
    Course::new("t", "Temperature of the bed", "°C", date(2026, 11, 1))
}

fn point(day: f64, median: f64, half: f64) -> CoursePoint {
    CoursePoint {
        day,
        median,
        low: median - half,
        high: median + half,
    }
}

/// Every picture of a course keeps the laws and is the same twice.
fn check(course: &Course) {
    for size in SIZES {
        let svg = course_chart(course, size);
        lawful(&svg);
        no_texts_meet(&svg);
        assert_eq!(svg, course_chart(course, size));
        let bytes = svg.as_str().len();
        assert!(bytes < 120_000, "{bytes} bytes");
    }
    lawful(&course_spark(course));
}

/// Classes of the elements of a chart, one entry for each element.
fn elements(course: &Course, class: &str) -> Vec<String> {
    let svg = course_chart(course, Size::Wide);
    let tree = roxmltree::Document::parse(svg.as_str()).unwrap();
    tree.descendants()
        .filter(|n| {
            n.attribute("class")
                .is_some_and(|c| c.split(' ').any(|w| w == class))
        })
        .map(|n| svg.as_str()[n.range()].to_owned())
        .collect()
}

fn odd_course(odd: &mut Odd) -> Course {
    let mut c = course();
    c.title = odd.pick(&["pH", "Salt in the bed", LONG]).into();
    c.unit = odd.pick(&["", "°C", "mS/cm", LONG]).into();
    c.name = odd.pick(&["", "core", LONG]).into();
    let scale = odd.pick(&[0.0, 1e-4, 1.0, 40.0, 1e5, 1e12]);
    let days = odd.pick(&[0.0, 3.0, 14.0, 56.0, 365.0, 1e7]);
    let path = |odd: &mut Odd| -> Vec<CoursePoint> {
        let count = odd.pick(&[0, 1, 2, 30, 900]);
        (0..count)
            .map(|_| CoursePoint {
                day: odd.odd(-days, days),
                median: odd.odd(-scale, scale),
                low: odd.odd(-scale, scale),
                high: odd.odd(-scale, scale),
            })
            .collect()
    };
    c.band = path(odd);
    for _ in 0..odd.below(5) {
        let name = odd.pick(&["room", "refuge", "", LONG]).into();
        let points = path(odd);
        c.extra.push(CourseLine { name, points });
    }
    c.now = (odd.below(3) > 0).then(|| odd.odd(-days, days));
    c.shown = (odd.below(4) == 0).then(|| (odd.odd(-days, 0.0), odd.odd(0.0, days)));
    c.possible = (
        (odd.below(2) == 0).then(|| odd.odd(-1.0, 0.0)),
        (odd.below(3) == 0).then(|| odd.odd(0.0, scale)),
    );
    c.listed = odd.below(6);
    for _ in 0..odd.below(9) {
        let value = odd.odd(-scale, scale);
        c.readings.push(CourseReading {
            day: odd.odd(-days, days),
            value,
            low: odd.odd(-scale, scale),
            high: odd.odd(-scale, scale),
            kind: odd.pick(&[
                ReadingKind::Settled,
                ReadingKind::Local,
                ReadingKind::Doubtful,
            ]),
            what: odd.pick(&["", LONG]).into(),
        });
    }
    for _ in 0..odd.pick(&[0, 1, 5, 120]) {
        c.marks.push(CourseMark {
            day: odd.odd(-days, days),
            kind: odd.pick(&KINDS),
            label: odd.pick(&["", "200 g of scraps", LONG]).into(),
        });
    }
    for _ in 0..odd.below(4) {
        c.limits.push(CourseLimit {
            value: odd.odd(-scale, 2.0 * scale),
            trouble: odd.pick(&[Trouble::Above, Trouble::Below]),
            words: odd.pick(&["worms leave above 30 °C", LONG]).into(),
        });
    }
    c
}

#[test]
fn courses_of_odd_data_are_lawful() {
    let mut odd = Odd(23);
    for _ in 0..300 {
        check(&odd_course(&mut odd));
    }
}

#[test]
fn nothing_one_day_a_flat_line_a_huge_range_and_a_year() {
    let mut c = course();
    check(&c);
    assert!(
        course_chart(&c, Size::Wide)
            .as_str()
            .contains("nothing to draw yet")
    );
    c.band = vec![point(3.0, 18.0, 2.0)];
    check(&c);
    assert!(
        !course_chart(&c, Size::Wide)
            .as_str()
            .contains("nothing to draw yet")
    );
    c.band = (0..30).map(|d| point(f64::from(d), 18.0, 0.0)).collect();
    check(&c);
    assert!(
        course_chart(&c, Size::Wide)
            .as_str()
            .contains("stays at 18 °C")
    );
    c.band = (0..30).map(|d| point(f64::from(d), 18.0, 1e6)).collect();
    check(&c);
    c.band = (0..=365)
        .map(|d| point(f64::from(d), 15.0 + 9.0 * (f64::from(d) / 58.0).sin(), 3.0))
        .collect();
    c.marks = (0..52)
        .map(|w| CourseMark {
            day: f64::from(w) * 7.0,
            kind: MarkKind::Fed,
            label: String::new(),
        })
        .collect();
    c.now = Some(30.0);
    check(&c);
    // By the hour.
    c.band = (0..8760)
        .map(|h| point(f64::from(h) / 24.0, 15.0 + (f64::from(h) / 4.0).sin(), 1.0))
        .collect();
    check(&c);
}

#[test]
fn the_past_is_whole_and_what_is_to_come_is_broken() {
    let mut c = course();
    c.band = (0..30)
        .map(|d| point(f64::from(d), 18.0 + f64::from(d) / 5.0, 1.0))
        .collect();
    c.now = Some(10.5);
    let drawn = elements(&c, "median");
    let (past, future): (Vec<&String>, Vec<&String>) =
        drawn.iter().partition(|e| e.contains("past"));
    assert!(past.iter().all(|e| !e.contains("dasharray")));
    assert!(!future.is_empty() && future.iter().all(|e| e.contains("dasharray")));
    // The two meet at now.
    let end = past[0]
        .split('L')
        .next_back()
        .unwrap()
        .split('"')
        .next()
        .unwrap();
    assert!(
        future[0].contains(&format!("M{end}")),
        "{end} {}",
        future[0]
    );
    // Ruled more closely before now than after: told apart without colour.
    let hairs = elements(&c, "hair");
    assert!(hairs[0].matches('M').count() > hairs[1].matches('M').count());
}

#[test]
fn the_words_tell_now_the_end_and_when_a_limit_is_crossed() {
    let mut c = course();
    c.band = (0..=40)
        .map(|d| point(f64::from(d), 20.0 + f64::from(d) / 2.0, 2.0))
        .collect();
    c.now = Some(10.0);
    c.limits = vec![
        CourseLimit {
            value: 30.0,
            trouble: Trouble::Above,
            words: "worms leave above 30 °C".into(),
        },
        CourseLimit {
            value: 10.0,
            trouble: Trouble::Below,
            words: "slow below 10 °C".into(),
        },
    ];
    c.readings.push(CourseReading {
        day: 9.0,
        value: 24.0,
        low: 23.0,
        high: 25.0,
        kind: ReadingKind::Settled,
        what: "probe, three spots".into(),
    });
    c.marks.push(CourseMark {
        day: 12.0,
        kind: MarkKind::Fed,
        label: String::new(),
    });
    let text = course_chart(&c, Size::Narrow).to_string();
    for said in [
        "From 1 Nov to 11 Dec.",
        "Now, on 11 Nov: 25 °C (23 to 27).",
        "On 11 Dec: 40 °C (38 to 42).",
        "Limit, worms leave above 30 °C: crossed by the middle value on 22 Nov.",
        "Limit, slow below 10 °C: not reached.",
        "Read on 10 Nov: 24 °C (probe, three spots)",
        "Fed, planned once.",
    ] {
        let said = said.replace('\'', "&#39;");
        assert!(text.contains(said.trim_end_matches('.')), "{said}: {text}");
    }
    // Only the range reaches it.
    c.limits[0].value = 41.0;
    let text = course_chart(&c, Size::Narrow).to_string();
    assert!(
        text.contains("within the range from 10 Dec, not crossed by the middle value"),
        "{text}"
    );
}

/// A line that turns too often to be seen is drawn calmly, says so, and the
/// words still tell the day itself.
#[test]
fn a_restless_line_is_calmed_and_says_so() {
    let mut c = course();
    c.band = (0..=200)
        .map(|d| point(f64::from(d), 20.0 + f64::from(d % 4), 0.5))
        .collect();
    c.now = Some(51.0);
    let text = course_chart(&c, Size::Narrow).to_string();
    assert!(text.contains("means over"), "{text}");
    assert!(text.contains("Now, on 22 Dec: 23 °C (22 to 24)"), "{text}");
    c.band = (0..=200)
        .map(|d| point(f64::from(d), 20.0 + f64::from(d) / 9.0, 0.5))
        .collect();
    assert!(
        !course_chart(&c, Size::Narrow)
            .as_str()
            .contains("means over")
    );
}

#[test]
fn things_done_close_together_are_joined_and_each_kind_has_its_row_and_shape() {
    let mut c = course();
    c.band = (0..=365).map(|d| point(f64::from(d), 18.0, 2.0)).collect();
    c.marks = (0..180)
        .map(|d| CourseMark {
            day: f64::from(d) * 2.0,
            kind: MarkKind::Fed,
            label: String::new(),
        })
        .collect();
    assert!(elements(&c, "mark").len() <= 3, "one run and one key");
    assert!(
        course_chart(&c, Size::Wide)
            .as_str()
            .contains("fed 180 times")
    );
    c.marks = KINDS
        .iter()
        .map(|kind| CourseMark {
            day: 20.0,
            kind: *kind,
            label: String::new(),
        })
        .collect();
    let svg = course_chart(&c, Size::Narrow);
    let tree = roxmltree::Document::parse(svg.as_str()).unwrap();
    let mut shapes: Vec<String> = tree
        .descendants()
        .filter(|n| n.attribute("class") == Some("marks"))
        .map(|n| {
            let shape = n.first_element_child().unwrap();
            match shape.attribute("d") {
                // Without its place.
                Some(d) => d
                    .split_once(|c: char| c.is_ascii_lowercase())
                    .unwrap()
                    .1
                    .to_owned(),
                None => "circle".to_owned(),
            }
        })
        .collect();
    assert_eq!(shapes.len(), KINDS.len());
    shapes.sort();
    shapes.dedup();
    assert_eq!(shapes.len(), KINDS.len(), "{shapes:?}");
}

#[test]
fn readings_stand_where_they_belong() {
    let mut c = course();
    for (day, value) in [(1.0, 12.0), (5.0, 18.0), (9.0, 27.0)] {
        c.readings.push(CourseReading {
            day,
            value,
            low: value - 1.0,
            high: value + 1.0,
            kind: ReadingKind::Settled,
            what: String::new(),
        });
    }
    let svg = course_chart(&c, Size::Narrow);
    let tree = roxmltree::Document::parse(svg.as_str()).unwrap();
    let dots: Vec<(f64, f64)> = tree
        .descendants()
        .filter(|n| n.attribute("class") == Some("reading settled"))
        .map(|n| (number(n, "cx"), number(n, "cy")))
        .take(3)
        .collect();
    assert!(dots[0].0 < dots[1].0 && dots[1].0 < dots[2].0);
    assert!(dots[0].1 > dots[1].1 && dots[1].1 > dots[2].1);
    let ratio = (dots[0].1 - dots[1].1) / (dots[1].1 - dots[2].1);
    assert!((ratio - 6.0 / 9.0).abs() < 0.01, "{ratio}");
}

#[test]
fn chances_of_odd_data_are_lawful_and_never_rounded_to_certainty() {
    let mut odd = Odd(29);
    for _ in 0..300 {
        let days = odd.pick(&[0.0, 14.0, 56.0, 365.0, f64::NAN, 1e9]);
        let chance = Chance {
            id: "hot".into(),
            what: odd.pick(&["Too hot", LONG]).into(),
            start: date(2026, 11, 24),
            days,
            points: (0..odd.below(60))
                .map(|_| ChancePoint {
                    day: odd.odd(0.0, 60.0),
                    share: odd.odd(-0.2, 1.2),
                })
                .collect(),
        };
        for size in SIZES {
            let svg = chance_strip(&chance, size);
            lawful(&svg);
            no_texts_meet(&svg);
        }
    }
    let words = app::chart::chances::chance_words;
    assert_eq!(words(0.004), "under 1 %");
    assert_eq!(words(0.998), "over 99 %");
    assert_eq!(words(0.0), "under 1 %");
    assert_eq!(words(1.0), "over 99 %");
    assert_eq!(words(0.62), "62 %");
    assert_eq!(words(f64::NAN), "not known");
}

#[test]
fn a_chance_says_when_it_is_one_in_ten_and_when_it_is_even() {
    let chance = Chance {
        id: "hot".into(),
        what: "Too hot for worms".into(),
        start: date(2026, 7, 1),
        days: 56.0,
        points: (0..=56)
            .map(|d| ChancePoint {
                day: f64::from(d),
                share: f64::from(d) / 80.0,
            })
            .collect(),
    };
    let text = chance_strip(&chance, Size::Wide).to_string();
    for said in [
        "70 % by 26 Aug",
        "1 in 10 by 9 Jul",
        "even chance by 10 Aug",
    ] {
        assert!(text.contains(said), "{said}: {text}");
    }
}

#[test]
fn the_scale_of_rations_keeps_order_and_the_laws() {
    let advice = |value: f64, whose: &str| Advice {
        value,
        whose: whose.into(),
    };
    let mut data = FeedScale {
        id: "scale".into(),
        ours: Some(Band {
            median: 0.22,
            low: 0.15,
            high: 0.3,
        }),
        advice: vec![
            advice(0.14, "a leaflet"),
            advice(0.5, "a city"),
            advice(1.25, LONG),
        ],
    };
    for size in SIZES {
        let svg = feed_scale(&data, size);
        lawful(&svg);
        no_texts_meet(&svg);
    }
    let text = feed_scale(&data, Size::Wide).to_string();
    let mark = "class=\"advice\" d=\"M";
    let at: Vec<f64> = text
        .match_indices(mark)
        .map(|(i, _)| &text[i + mark.len()..])
        .map(|r| r.split(' ').next().unwrap().parse().unwrap())
        .collect();
    assert!(at[0] < at[1] && at[1] < at[2]);
    assert!(text.contains("This ration: 0.22 kg/kg/d (0.15 to 0.30)"));
    data.ours = None;
    data.advice = vec![
        advice(f64::NAN, "nobody"),
        advice(-1.0, "nobody"),
        advice(900.0, "a dream"),
    ];
    for size in SIZES {
        lawful(&feed_scale(&data, size));
    }
}
