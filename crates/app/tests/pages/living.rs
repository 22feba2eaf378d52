//! Invented answers for the living bin. No number here is a result.

use super::courses::*;
use super::*;
use app::web::widgets::Table;
use jiff::civil::{Date, date};

pub(super) const START: Date = date(2026, 10, 5);
pub(super) const NOW: f64 = 50.0;

fn chance(id: &str, what: &str, days: f64, top: f64, middle: f64) -> Chance {
    Chance {
        id: id.into(),
        what: what.into(),
        start: date(2026, 11, 24),
        days,
        points: (0..=days as i32)
            .map(|d| ChancePoint {
                day: f64::from(d),
                share: top / (1.0 + (-(f64::from(d) - middle * days) / (days * 0.07)).exp()),
            })
            .collect(),
    }
}

fn alarms(days: f64) -> Vec<AlarmLine> {
    vec![
        AlarmLine::new(
            Drift::Stop,
            &chance("dry", "Too dry", days, 0.7, 0.5),
            "68 % by Tue 19 Jan",
            "The shed is dry and the lid is loose. A litre of water in early December takes this under 1 in 10.",
        )
        .with_link("/bins/1?open=water#write-water", "Write down water"),
        AlarmLine::new(
            Drift::Wait,
            &chance("frost", "Freezing at the edge", days, 0.22, 0.7),
            "22 % by Tue 19 Jan",
            "Worms keep to the middle. Stand the bin off the floor or wrap it.",
        ),
        AlarmLine::new(
            Drift::Good,
            &chance("harvest", "Ready to harvest", days, 0.9, 0.8),
            "84 % by Tue 19 Jan",
            "",
        ),
    ]
}

fn horizon(bin: i64, fields: &Fields) -> (f64, Vec<Choice>) {
    let asked = fields.get("days").parse().unwrap_or(56);
    let list = [
        (14, "2 weeks"),
        (56, "8 weeks"),
        (182, "Half a year"),
        (365, "A year"),
    ];
    let choices = list.map(|(days, words)| Choice {
        href: format!("/bins/{bin}/outlook?days={days}"),
        words: words.into(),
        chosen: days == asked,
    });
    (f64::from(asked), choices.to_vec())
}

pub(super) fn outlook_page(bin: i64, fields: &Fields) -> OutlookPage {
    let (days, horizons) = horizon(bin, fields);
    let is_what_if = fields.has("feed");
    OutlookPage {
        shell: shell("Outlook", Nav::Shelf),
        id: bin,
        name: "Cellar box".into(),
        verdict: verdict(
            Drift::Wait,
            "Water it before mid December",
            "Otherwise all well: no souring, no heat, worms still growing.",
        ),
        horizons,
        water: String::new(),
        plan: vec![
            "Fed as in the last four weeks: 300 g of kitchen scraps every 4 days.".into(),
            "In the shed, 7 °C on average and falling.".into(),
        ],
        is_what_if,
        alarms: alarms(days),
        charts: views(days),
        folds: outlook_folds(fields, &[], "°C"),
        hidden: vec![("days".into(), fields.get("days").into())],
        error: String::new(),
        table: Some(Table {
            caption: "Outlook by week".into(),
            head: ["Week of", "Core °C", "Moisture %", "pH", "Worms g"].map(String::from).to_vec(),
            rows: (0..8)
                .map(|w| {
                    vec![
                        format!("{} Dec", 1 + 3 * w),
                        "17 (15 to 19)".into(),
                        "68 (63 to 72)".into(),
                        "6.4 (6.1 to 6.7)".into(),
                        "380 (320 to 450)".into(),
                    ]
                })
                .collect(),
        }),
        trust: "Temperature and moisture can be trusted for about a month; worm mass is a rough guess until you count some.".into(),
        materials: materials(),
        sources: sources(),
    }
}

pub(crate) fn now_part() -> NowPart {
    let line = |label: &str, words: &str, note: &str, course: &Course| NowLine {
        label: label.into(),
        words: words.into(),
        note: note.into(),
        scale: String::new(),
        strip: Some(course_spark(course)),
    };
    NowPart {
        id: 1,
        lines: vec![
            line(
                "Temperature, core",
                "17 °C (15 to 19)",
                "comfortable",
                &temperature(14.0),
            ),
            line(
                "Moisture",
                "68 % (63 to 73)",
                "a little dry",
                &moisture(14.0),
            ),
            line("pH", "6.4 (6.1 to 6.7)", "comfortable", &ph(14.0)),
            line("Worms", "370 g (310 to 450)", "about 900", &worms(14.0)),
            line("Food left", "120 g (60 to 210)", "", &food(14.0)),
        ],
        taught: vec![
            Taught {
                when: "Sun 22 Nov".into(),
                entry: "Temperature 16.5 °C".into(),
                changed: "core 19 °C (16 to 22) became 17 °C (15 to 19)".into(),
            },
            Taught {
                when: "Sat 14 Nov".into(),
                entry: "Squeeze: damp only".into(),
                changed: "moisture 72 % (62 to 80) became 69 % (64 to 74)".into(),
            },
        ],
        next_look: Some(NextLook {
            what: "Squeeze a handful from the middle.".into(),
            why: "It decides whether to water before the weekend.".into(),
            gain: "Moisture would be known to about 4 points in place of 10.".into(),
            href: "/bins/1?open=observation".into(),
            link: "Write down how it looks".into(),
        }),
        doubt: String::new(),
        sources: Sources::default(),
    }
}

fn ration_answer() -> RationAnswer {
    let advice = |value: f64, whose: &str| Advice {
        value,
        whose: whose.into(),
    };
    let scale = FeedScale {
        id: "scale".into(),
        ours: Some(band(0.22, 0.16, 0.29)),
        advice: vec![
            advice(0.14, "extension leaflet"),
            advice(0.5, "city leaflet"),
            advice(0.75, "best castings, Ndegwa 2000"),
            advice(1.25, "most worms, Ndegwa 2000"),
        ],
    };
    RationAnswer {
        verdict: verdict(
            Drift::Good,
            "Feed 240 g",
            "The last feeding is nearly gone, and the bed is warm enough to take the next.",
        ),
        grams: "240 g of kitchen scraps".into(),
        handfuls: "about 3 handfuls".into(),
        dry: "60 g of shredded cardboard".into(),
        dry_why: "about 4 loose handfuls, so that it gets neither wet nor sour".into(),
        look_again: "Sat 28 Nov (in 4 days)".into(),
        look_for: "Feed the same again if less than a fifth is left.".into(),
        how: vec![
            "Chop it, and lay the dry bedding down first.".into(),
            "Bury it 5 cm deep, on the side away from the last feeding.".into(),
        ],
        reasons: Reasons {
            list: vec![
                (Weight::Decides, "370 g of worms at 17 °C take about 60 g of this a day.".into()),
                (Weight::Counts, "More than 400 g would heat the pocket past 30 °C one time in ten.".into()),
                (Weight::Note, "You look in every 4 days.".into()),
            ],
        },
        cautions: vec!["Citrus peel: no more than a fifth of it.".into()],
        left_over: "Of the 1 kg on hand, freeze 760 g for later; thaw it before use.".into(),
        chances: vec![AlarmLine::new(
            Drift::Wait,
            &chance("sour", "Sour at the food", 4.0, 0.06, 0.6),
            "6 % by Sat 28 Nov",
            "",
        )],
        scale: Picture::of(|size| feed_scale(&scale, size), ""),
        scale_line: "Published advice spans ninefold. Ours is on the low side: the bed is cool, and the bedding feeds the worms as well.".into(),
        log_form: Some(entry("feeding").remove(2)),
    }
}

pub(super) fn ration_page(bin: i64, fields: &Fields) -> RationPage {
    let asked = fields.has("material");
    let wrong = [(
        "amount".to_owned(),
        "`lots` is not an amount; say 500 g or 2 handfuls".to_owned(),
    )];
    let errors: &[(String, String)] = if fields.get("amount") == "lots" {
        &wrong
    } else {
        &[]
    };
    RationPage {
        shell: shell("What to feed now", Nav::Shelf),
        id: bin,
        name: "Cellar box".into(),
        controls: ration_controls(fields, errors),
        error: String::new(),
        answer: (asked && errors.is_empty()).then(ration_answer),
        materials: materials(),
        sources: sources(),
    }
}

pub(super) fn away_page(bin: i64, fields: &Fields) -> AwayPage {
    AwayPage {
        shell: shell("Going away", Nav::Shelf),
        id: bin,
        name: "Cellar box".into(),
        controls: away_controls(fields, &[], "°C"),
        error: String::new(),
        answer: fields.has("from").then(|| AwayAnswer {
            verdict: verdict(
                Drift::Good,
                "Four weeks is safe",
                "Water it and lay on bedding; it will do without food.",
            ),
            before: vec![
                "Pour on 1.5 L of water, a little at a time, two days before you leave.".into(),
                "Lay 10 L of damp shredded cardboard on top.".into(),
                "Give one usual feeding of 240 g, not more.".into(),
            ],
            not: vec![
                "Do not feed for the whole absence at once: it would turn sour and hot.".into(),
                "Do not close the lid tighter than usual.".into(),
            ],
            latest_return: "Sun 31 Jan (7 weeks from leaving)".into(),
            latest_why: "From then on the bed is likelier than 1 in 10 to be too dry.".into(),
            alarms: alarms(49.0),
            back: vec![
                "Squeeze a handful, then water.".into(),
                "Start again at half the ration.".into(),
            ],
            charts: vec![CourseView::new(
                "Moisture",
                "Down to about 63 % by the end.",
                &moisture(49.0),
            )],
        }),
        sources: sources(),
    }
}

pub(super) fn weather_page(bin: i64, fields: &Fields) -> WeatherPage {
    WeatherPage {
        shell: shell("Heat and cold", Nav::Shelf),
        id: bin,
        name: "Cellar box".into(),
        controls: weather_controls(fields, &[], "°C"),
        error: String::new(),
        answer: fields.has("weather").then(|| {
            let hour = |h: i32| f64::from(h) / 24.0;
            let air = |d: f64| 29.0 + 7.0 * wave(d - 0.375, 1.0);
            let mut c = Course::new("hours", "Temperature by the hour", "°C", date(2026, 7, 3));
            c.name = "core".into();
            c.band = (0..=96)
                .map(|h| {
                    let d = hour(h);
                    let t = 24.0 + 4.0 * (1.0 - (-d / 1.5).exp()) + 2.0 * wave(d - 0.6, 1.0);
                    CoursePoint {
                        day: d,
                        median: t,
                        low: t - 1.2,
                        high: t + 1.5,
                    }
                })
                .collect();
            let line = |name: &str, f: &dyn Fn(f64) -> f64| CourseLine {
                name: name.into(),
                points: (0..=96)
                    .map(|h| CoursePoint::sure(hour(h), f(hour(h))))
                    .collect(),
            };
            c.extra = vec![
                line("refuge", &|d| {
                    22.5 + 3.0 * (1.0 - (-d / 2.0).exp()) + 0.8 * wave(d - 0.7, 1.0)
                }),
                line("air", &air),
            ];
            c.limits = vec![limit(30.0, Trouble::Above, "worms leave above 30 °C")];
            WeatherAnswer {
                verdict: verdict(
                    Drift::Wait,
                    "Hot from Sunday afternoon",
                    "The core reaches 30 °C one time in three; the bottom corner stays kind.",
                ),
                advice: vec![
                    HelpLine {
                        what: "Shade from noon to six.".into(),
                        effect: "Takes about 3 °C off the core.".into(),
                        when: "From Fri 3 Jul".into(),
                        caution: String::new(),
                    },
                    HelpLine {
                        what: "Ice, 1.2 kg in closed bottles.".into(),
                        effect: "Takes another 2 °C off for about five hours.".into(),
                        when: "In at 11:00, swap at 16:00".into(),
                        caution: "On one side only, so that worms can choose.".into(),
                    },
                ],
                compared: Some(Table {
                    caption: "Each thing by itself".into(),
                    head: ["What", "Chance of harm", "Hottest", "Coldest"]
                        .map(String::from)
                        .to_vec(),
                    rows: vec![
                        ["Nothing", "62 %", "33 °C", "21 °C"]
                            .map(String::from)
                            .to_vec(),
                    ],
                }),
                cautions: vec!["Ice only at one side, so that worms can choose.".into()],
                figures: vec![Figure::new(
                    "Hottest core",
                    "30 °C (28 to 32)".into(),
                    &band(30.0, 28.0, 32.0),
                    (10.0, 40.0),
                    "Sun 5 Jul, 17:00",
                )],
                charts: vec![CourseView::new(
                    "Temperature",
                    "Each night cools it by about 3 °C.",
                    &c,
                )],
                alarms: vec![AlarmLine::new(
                    Drift::Wait,
                    &chance("hot", "Too hot for worms", 4.0, 0.34, 0.6),
                    "34 % by Mon 6 Jul",
                    "",
                )],
                hours: Some(Table {
                    caption: "By the hour".into(),
                    head: ["Hour", "Air °C", "Core °C"].map(String::from).to_vec(),
                    rows: (0..24)
                        .map(|h| {
                            vec![
                                format!("Fri 3 Jul, {h}:00"),
                                "31".into(),
                                "26 (25 to 28)".into(),
                            ]
                        })
                        .collect(),
                }),
            }
        }),
        sources: sources(),
    }
}

pub(super) fn today_page(empty: bool) -> TodayPage {
    let line =
        |bin: i64, name: &str, drift: Drift, what: &str, why: &str, waits: &str, chance: &str| {
            TodayLine {
                bin,
                name: name.into(),
                drift,
                what: what.into(),
                seen: Vec::new(),
                why: why.into(),
                if_it_waits: waits.into(),
                chance: chance.into(),
                href: if chance.is_empty() {
                    String::new()
                } else {
                    format!("/bins/{bin}/ration")
                },
                link: "Open it".into(),
            }
        };
    let things = vec![
        line(
            3,
            "Foam box in the garage",
            Drift::Stop,
            "Mix in 6 handfuls of dry card and open the lid.",
            "Liquid stands at the bottom and the food smells sour.",
            "worms gather on the walls within days.",
            "70 % by Fri 27 Nov",
        ),
        line(
            1,
            "Cellar box",
            Drift::Wait,
            "Feed 240 g of kitchen scraps.",
            "The last feeding is nearly gone.",
            "growth slows; nothing suffers this week.",
            "8 % by Tue 1 Dec",
        ),
        line(
            4,
            "Brick bed behind the greenhouse",
            Drift::Unknown,
            "Take a handful and squeeze it.",
            "Nothing was written for five weeks.",
            "",
            "",
        ),
    ];
    TodayPage {
        shell: shell("Today", Nav::None),
        day: "Tue 24 Nov".into(),
        things: if empty { vec![] } else { things },
        later: vec![(
            1,
            "Attic tub".into(),
            "Feed, on Sun 29 Nov, in 4 days".into(),
        )],
        quiet: vec![(
            2,
            "Kitchen stack".into(),
            "look again Tue 1 Dec (in 7 days)".into(),
        )],
    }
}
