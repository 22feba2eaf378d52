//! Invented answers, for trying the pages without store or engine. No number
//! here is a result.

use app::chart::{
    ActedDay, ActedShare, BinSection, CurvePoint, DoseCurve, DoseMark, Feed, JarPlot, Moist,
    PathPoint, PhChart, PhReading, ReadingKind, SectionSize, Spot, Tag, WhatIf, WormsAt,
    acted_share, bin_section, dose_curve, jar_plot, ph_chart,
};
use app::report::{self, Units};
use app::web::widgets::{
    Chips, Control, Drift, Field, Figure, Form, Kind, Picture, Reasons, Sources, Verdict, Weight,
};
use app::web::*;
use engine::bounds;
use engine::log::{Lid, Walls};
use engine::quantity::Band;
use jiff::civil::date;

/// The invented house. `empty` has no bins.
pub(crate) struct Sample {
    pub(crate) empty: bool,
}

fn shell(title: &str, nav: Nav) -> Shell {
    let mut shell = Shell::new(title, nav);
    shell.data_place = "/home/sam/.local/share/bedwright/bedwright.db".into();
    shell
}

fn band(median: f64, low: f64, high: f64) -> Band {
    Band { median, low, high }
}

fn verdict(drift: Drift, word: &str, line: &str) -> Verdict {
    Verdict {
        drift,
        word: word.into(),
        line: line.into(),
    }
}

pub(crate) fn sections() -> Vec<BinSection> {
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

pub(crate) fn ph_data() -> PhChart {
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
    }
}

pub(crate) fn curve_data() -> DoseCurve {
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

pub(crate) fn jar_data() -> JarPlot {
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

pub(crate) fn acted_data(id: &str) -> ActedShare {
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

fn section_picture(data: &BinSection) -> Picture {
    Picture {
        narrow: bin_section(data, SectionSize::Narrow),
        wide: bin_section(data, SectionSize::Wide),
        caption: String::new(),
    }
}

fn materials() -> Vec<(String, String)> {
    [
        ("peat_sphagnum_unlimed", "Peat, unlimed"),
        ("limestone_calcitic", "Ground limestone"),
        ("newsprint_shredded", "Newspaper, shredded"),
        ("coir_pith", "Coir"),
    ]
    .map(|(k, n)| (k.to_owned(), n.to_owned()))
    .to_vec()
}

fn sources() -> Sources {
    Sources {
        lines: vec![
            "Neutralising values of liming materials: University of Nebraska soils lesson, table 4.4 (read).".into(),
            "Solubility of calcite: Plummer and Busenberg 1982, Geochimica et Cosmochimica Acta 46 (read).".into(),
            "Acid sites of peat: fitted by us to published titrations (computed).".into(),
        ],
    }
}

fn log_line(id: i64, when: &str, kind: &str, words: &str, note: &str) -> LogLine {
    LogLine {
        id,
        when: when.into(),
        machine_time: "2026-11-24T18:05".into(),
        kind: kind.into(),
        words: words.into(),
        note: note.into(),
        struck: false,
    }
}

fn instruments() -> [(&'static str, &'static str); 3] {
    [
        ("probe_cheap", "Two-metal probe"),
        ("pen", "pH pen"),
        ("strips", "Strips"),
    ]
}

fn log() -> Vec<LogLine> {
    let mut struck = log_line(3, "Fri 6 Nov, 08:10", "Reading", "pH 65", "");
    struck.struck = true;
    vec![
        log_line(
            9,
            "Tue 24 Nov, 18:05",
            "Reading",
            "pH 5.3, mean of 5.2, 5.5 and 5.2, pH pen",
            "Settled: six days after the last dose.",
        ),
        log_line(
            8,
            "Thu 19 Nov, 17:40",
            "Dose",
            "40 g ground limestone, mixed in",
            "",
        ),
        log_line(
            7,
            "Wed 11 Nov, 20:15",
            "Reading",
            "pH 5.7, pH pen",
            "Just after a dose: says little of the whole bed.",
        ),
        log_line(
            6,
            "Wed 11 Nov, 18:00",
            "Dose",
            "2 L wood-ash liquor, strained and poured",
            "",
        ),
        log_line(
            4,
            "Fri 6 Nov, 08:12",
            "Looks",
            "worms climbing; smell earthy; squeeze: a drop or two",
            "",
        ),
        struck,
    ]
}

fn bin_page(forms: Vec<Form>) -> BinPage {
    let sections = sections();
    BinPage {
        shell: shell("Cellar box", Nav::Shelf),
        id: 1,
        name: "Cellar box".into(),
        place: "cellar, by the stairs".into(),
        verdict: verdict(
            Drift::Stop,
            "Too acid for worms",
            "The bed is at about pH 5.3 and rising slowly. Give the next step of lime today.",
        ),
        section: section_picture(&sections[0]),
        todo: vec![
            TodoLine {
                what: "Give 60 g of ground limestone, mixed in.".into(),
                why: "The last two steps have nearly finished acting, and the bed is still under 6.".into(),
                if_it_waits: "worms stay on the walls and eat little; they are not in danger this week.".into(),
                href: "/bins/1/dose".into(),
                link: "Open the dose plan".into(),
            },
            TodoLine {
                what: "Read the pH at three spots on Wed 2 Dec.".into(),
                why: "Only then has the lime acted through the bed.".into(),
                if_it_waits: String::new(),
                href: String::new(),
                link: String::new(),
            },
        ],
        figures: vec![
            Figure::new("pH", report::ph_band(&band(5.3, 5.0, 5.6)), &band(5.3, 5.0, 5.6), (4.0, 9.0), "below the comfortable 6 to 7.5"),
            Figure::new("Moisture", report::percent_band(&band(78.0, 72.0, 82.0)), &band(78.0, 72.0, 82.0), (40.0, 95.0), "comfortable"),
            Figure::new("Salt (EC)", report::band(&band(1.2, 0.8, 1.7), "mS/cm"), &band(1.2, 0.8, 1.7), (0.0, 6.0), "low"),
            Figure::plain("Base still to act", "21 meq (12 to 34)", "from the lime of 19 Nov"),
        ],
        ph: Some(Picture::of(|s| ph_chart(&ph_data(), s), "")),
        reading_note: "The 5.7 of 11 Nov was read two hours after ash liquor was poured: it shows the wetted part, not the bed. The whole bed was probably at 4.8 (4.5 to 5.1).".into(),
        log: log(),
        forms,
        materials: materials(),
    }
}

fn entry(open: &str) -> Vec<Form> {
    let mut forms = entry_forms(1, &instruments(), "2026-11-25T18:05");
    for form in &mut forms {
        form.open = form.kind == open;
    }
    forms
}

fn part_rows(fields: &Fields) -> Vec<PartRow> {
    let labels = [
        ("", "Does not say"),
        ("limed", "Says lime added"),
        ("unlimed", "Says natural, no lime"),
    ]
    .map(|(v, w)| (v.to_owned(), w.to_owned()))
    .to_vec();
    (1..=6)
        .map(|n| {
            let name = |what: &str| format!("{what}{n}");
            let field = |kind: Kind, what: &str, label: &str| {
                Field::new(kind, &name(what), label).value(fields.get(&name(what)))
            };
            let mut main = field(Kind::Suggest("materials".into()), "material", "What");
            let mut amount = field(Kind::Text, "amount", "How much").hint("20 L, 3 cups, 500 g");
            main.required = n == 1;
            amount.required = n == 1;
            PartRow {
                number: n,
                open: n <= 2 || fields.has(&name("material")),
                main: vec![main, amount],
                more: vec![
                    field(Kind::Number, "ph", "Its own pH"),
                    field(Kind::Number, "moisture", "Its moisture").unit("%"),
                    field(Kind::Select(labels.clone()), "label", "The bag"),
                ],
            }
        })
        .collect()
}

fn judge_result() -> JudgeResult {
    JudgeResult {
        verdict: verdict(
            Drift::Wait,
            "Ready after lime and two weeks",
            "As it is, worms would gather on the walls. Mix in lime first and wait.",
        ),
        reasons: Reasons {
            list: vec![
                (Weight::Decides, "Peat without lime: the mix would read about pH 4.7, and composting worms leave below 5.".into()),
                (Weight::Counts, "The bag does not say lime was added, so the table's range for natural peat is used.".into()),
                (Weight::Note, "Air, salt and heat are as they should be.".into()),
            ],
        },
        before_worms: vec![
            "Mix in 110 g (80 to 150) of ground limestone: about 5 level tablespoons a bucket.".into(),
            "Wet it until a hard squeeze gives a drop or two, and turn it twice.".into(),
            "Wait two weeks, until Wed 9 Dec, and read the pH at three spots.".into(),
        ],
        figures: vec![
            Figure::new("pH", report::ph_band(&band(4.7, 4.2, 5.1)), &band(4.7, 4.2, 5.1), (3.0, 9.0), "too acid"),
            Figure::new("Moisture", report::percent_band(&band(55.0, 45.0, 63.0)), &band(55.0, 45.0, 63.0), (0.0, 95.0), "dry for worms"),
            Figure::new("C:N", report::band(&band(62.0, 50.0, 80.0), ""), &band(62.0, 50.0, 80.0), (0.0, 200.0), ""),
            Figure::new("Air space", report::percent_band(&band(31.0, 22.0, 40.0)), &band(31.0, 22.0, 40.0), (0.0, 80.0), "enough"),
            Figure::plain("Ammonia risk", "very low", ""),
            Figure::plain("Heating risk", "low", "less than 1 in 20 above 30 °C"),
        ],
        makes: "42 L, 9.5 kg".into(),
        sources: sources(),
    }
}

fn what_if_part() -> WhatIfPart {
    WhatIfPart {
        amount: "60 g of ground limestone, 3 level tablespoons".into(),
        lines: vec![
            "pH by Wed 2 Dec: 5.7 (5.4 to 6.0)".into(),
            "pH in four weeks: 6.0 (5.6 to 6.4)".into(),
            "Salt: no more than now".into(),
        ],
        caution: String::new(),
        curve: Picture::of(
            |s| dose_curve(&curve_data(), s),
            "Dashed uprights: running totals after steps 1 and 2.",
        ),
    }
}

fn option(key: &str, name: &str, amount: &str, measure: &str, chosen: bool) -> DoseOption {
    DoseOption {
        key: key.into(),
        name: name.into(),
        amount: amount.into(),
        measure: measure.into(),
        acted: acted_share(&acted_data(key)),
        salt: "+0.1 mS/cm".into(),
        ammonia: "stays under 0.1 mg/L".into(),
        caution: if chosen {
            String::new()
        } else {
            "Slow: half of it has yet to act after four weeks.".into()
        },
        chosen,
    }
}

fn step(when: &str, grams: &str, after: &str) -> PlanStep {
    PlanStep {
        when: when.into(),
        give: format!("Give {grams} of ground limestone"),
        how: "Dust it over the whole bed and mix it through by hand, not only on top.".into(),
        ph_after: after.into(),
        reread: "Read again on Wed 2 Dec, at three spots, not within a day of watering.".into(),
        if_lower:
            "Mix the bed through once more, wait four days and read again before giving more."
                .into(),
        if_expected: "Go on to the next step.".into(),
        if_higher: "Stop here. What has yet to act will carry it on.".into(),
    }
}

fn dose_page() -> DosePage {
    let log_form = entry_forms(1, &instruments(), "2026-11-25T18:05")
        .into_iter()
        .find(|f| f.kind == "dose");
    DosePage {
        shell: shell("Dose plan", Nav::Shelf),
        id: 1,
        name: "Cellar box".into(),
        verdict: verdict(Drift::Wait, "Two more steps of lime", "Give 60 g today, and the rest when the pH has been read again."),
        figures: vec![
            Figure::new("pH now", report::ph_band(&band(5.3, 5.0, 5.6)), &band(5.3, 5.0, 5.6), (4.0, 9.0), "aim 6.5"),
            Figure::plain("Base needed", "2.3 mol (1.6 to 3.1)", ""),
            Figure::plain("As limestone", "120 g (80 to 160)", "beyond what is in the bed already"),
        ],
        running: vec![
            "80 g of ground limestone since 11 Nov; about a quarter of it has yet to act, and is counted.".into(),
            "2 L of ash liquor on 11 Nov: it carried little base and has all acted.".into(),
        ],
        steps: vec![
            step("Today, Wed 25 Nov", "60 g (3 level tablespoons)", "5.7 (5.4 to 6.0) by Wed 2 Dec"),
            step("After Wed 2 Dec", "60 g (3 level tablespoons)", "6.4 (5.9 to 6.8) by Wed 23 Dec"),
        ],
        why_steps: "No step raises the bed by more than half a pH unit while worms are in it: a faster change drives them out and frees ammonia.".into(),
        wrong_if: vec![
            "the pH has not moved by Wed 9 Dec: the bed holds more acid than thought, and a jar test is worth the hour.".into(),
            "worms leave the sides before the pH moves: acid was not what drove them.".into(),
        ],
        options: vec![
            option("limestone_calcitic", "Ground limestone", "120 g (80 to 160)", "6 level tablespoons, in two steps", true),
            option("eggshell_ground", "Eggshell, ground", "150 g (95 to 230)", "about 25 shells", false),
            option("limestone_dolomitic", "Dolomite", "110 g (75 to 150)", "5½ level tablespoons", false),
        ],
        refused: vec![
            Refusal {
                name: "Hydrated lime".into(),
                why: "Caustic: above pH 12 where it falls. For empty bins only, two weeks ahead of worms.".into(),
            },
            Refusal {
                name: "Wood ash, dry".into(),
                why: "Caustic and salty where it falls, and its strength is not known.".into(),
            },
        ],
        slider: Some(Slider {
            materials: materials().into_iter().map(|(k, n)| (k, n, false)).collect(),
            min: 0.0,
            max: 240.0,
            step: 5.0,
            value: 60.0,
            part: what_if_part(),
        }),
        log_form,
        materials: materials(),
        sources: sources(),
    }
}

fn jar_page(result: bool) -> JarTestPage {
    let jar = |n: usize, hint: &str| {
        [
            Control::Field(
                Field::new(
                    Kind::Number,
                    &format!("grams{n}"),
                    &format!("Jar {n}: lime"),
                )
                .unit("g")
                .value(hint)
                .required(),
            ),
            Control::Field(
                Field::bounded(&format!("ph{n}"), &format!("Jar {n}: pH"), &bounds::PH).required(),
            ),
        ]
    };
    let mut controls = vec![
        Control::Field(
            Field::new(Kind::Number, "wet_bedding_grams", "Wet bedding in each jar")
                .unit("g")
                .value("50")
                .required(),
        ),
        Control::Field(
            Field::new(Kind::Suggest("materials".into()), "material", "Lime").required(),
        ),
        Control::Field(
            Field::new(Kind::Number, "hours", "Hours until read")
                .unit("h")
                .value("48")
                .required(),
        ),
    ];
    for (n, grams) in [(1, "0"), (2, "0.25"), (3, "0.5")] {
        controls.extend(jar(n, grams));
    }
    JarTestPage {
        shell: shell("Jar test", Nav::Shelf),
        id: 1,
        name: "Cellar box".into(),
        how: vec![
            "Weigh 50 g of wet bedding, taken from three spots and mixed, into each of three jars.".into(),
            "Add no lime to the first, 0.25 g to the second, 0.5 g to the third. Stir well.".into(),
            "Put the lids on loosely and leave them 48 hours at room temperature. Stir once a day.".into(),
            "Add 100 mL of rain or distilled water to each, stir, wait half an hour, and read all three with the same probe.".into(),
        ],
        form: Form::new("jar_test", "Jar test", "/bins/1/jar-test", "Write it down", controls),
        materials: materials(),
        result: result.then(|| JarResult {
            plot: Picture::of(|s| jar_plot(&jar_data(), s), "Jars: what you read. Line: the fit with its 80 % range."),
            before: Figure::new("Buffer before", "310 meq per kg and pH (190 to 480)".into(), &band(310.0, 190.0, 480.0), (0.0, 600.0), "from the tables"),
            after: Figure::new("Buffer now", "270 meq per kg and pH (240 to 305)".into(), &band(270.0, 240.0, 305.0), (0.0, 600.0), "with your jars"),
            line: "Your bed takes a little less lime than most of its kind. The range is now under a quarter of what it was.".into(),
        }),
    }
}

fn tray_page(fields: &Fields) -> TrayTestPage {
    let number = |name: &str, label: &str, value: &str| {
        Control::Field(
            Field::new(Kind::Number, name, label)
                .value(value)
                .required(),
        )
    };
    let read = fields.has("in_suspect");
    TrayTestPage {
        shell: shell("Tray test", Nav::Judge),
        how: vec![
            "Fill one half of a tray with the new bedding and the other with bedding worms already live in.".into(),
            "Lay 20 worms on the line between, cover it, and leave it in the dark at room temperature.".into(),
            "After 24 to 48 hours slide a card down the line and count each half.".into(),
        ],
        form: Form::new("tray_test", "Tray test", "/tray-test", "Read the test", vec![
            number("worms", "Worms laid on the line", "20"),
            number("in_suspect", "Found in the new bedding", if read { "4" } else { "" }),
            number("in_trusted", "Found in the trusted bedding", if read { "15" } else { "" }),
            number("dead_or_missing", "Dead or missing", if read { "1" } else { "" }),
            number("hours", "Hours it ran", "24"),
        ]),
        result: read.then(|| TrayResult {
            verdict: verdict(Drift::Stop, "They avoid it", "4 of 19 chose the new bedding. That is not chance."),
            figures: vec![Figure::new("Share that chose it", report::percent_band(&band(21.0, 11.0, 36.0)), &band(21.0, 11.0, 36.0), (0.0, 100.0), "half would be no preference")],
            reasons: Reasons { list: vec![(Weight::Decides, "If they did not care, 4 or fewer of 19 would happen about once in 100 tries.".into())] },
        }),
    }
}

fn line(key: &str, name: &str, role: &str, line: &str, have: &str) -> MaterialLine {
    MaterialLine {
        key: key.into(),
        name: name.into(),
        role: role.into(),
        line: line.into(),
        have: have.into(),
    }
}

fn shed_page(fields: &Fields) -> ShedPage {
    let role = fields.get("role");
    let roles = [
        ("", "All"),
        ("bedding", "Bedding"),
        ("feed", "Feed"),
        ("amendment", "Amendment"),
        ("potting", "Potting"),
    ];
    let all = [
        line(
            "peat_sphagnum_unlimed",
            "Peat, unlimed",
            "bedding",
            "pH 3.8 (3.0 to 4.5), moisture 45 %",
            "about 20 L",
        ),
        line(
            "coir_pith",
            "Coir",
            "bedding",
            "pH 6.0 (5.2 to 6.8), moisture 80 %",
            "",
        ),
        line(
            "newsprint_shredded",
            "Newspaper, shredded",
            "bedding",
            "C:N 470, moisture 6 %",
            "",
        ),
        line(
            "limestone_calcitic",
            "Ground limestone",
            "amendment",
            "neutralises 95 % of pure lime (85 to 100)",
            "500 g",
        ),
    ];
    let q = fields.get("q").to_lowercase();
    let found = all
        .iter()
        .filter(|m| m.name.to_lowercase().contains(&q) && (role.is_empty() || m.role == role));
    ShedPage {
        shell: shell("Shed", Nav::Shed),
        q: fields.get("q").into(),
        roles: roles
            .map(|(v, w)| (v.to_owned(), w.to_owned(), v == role))
            .to_vec(),
        mine: all.iter().filter(|m| !m.have.is_empty()).cloned().collect(),
        found: found.cloned().collect(),
        total: 138,
    }
}

fn material_page() -> MaterialPage {
    let row =
        |name: &str, value: &str, range: &str, status: &str, source: &str, own: &str| NumberRow {
            name: name.into(),
            value: value.into(),
            range: range.into(),
            status: status.into(),
            source: source.into(),
            own: own.into(),
        };
    let controls = vec![
        Control::Chips(Chips::new(
            "have",
            "In the shed",
            false,
            &[("yes", "I have it"), ("no", "I do not")],
            "yes",
        )),
        Control::Field(
            Field::new(Kind::Text, "available", "How much")
                .hint("500 g, 2 buckets; empty for plenty"),
        ),
        Control::Field(Field::bounded("ph", "Its pH", &bounds::BEDDING_PH)),
        Control::Field(Field::bounded(
            "moisture_percent",
            "Its moisture",
            &bounds::MOISTURE_PERCENT,
        )),
        Control::Field(
            Field::new(Kind::Number, "grams_per_cup", "Weight of a level cup").unit("g"),
        ),
    ];
    MaterialPage {
        shell: shell("Peat, unlimed", Nav::Shed),
        key: "peat_sphagnum_unlimed".into(),
        name: "Peat, unlimed".into(),
        role: "bedding".into(),
        about:
            "Sphagnum peat as dug and dried, with no lime added. Holds much water and much acid."
                .into(),
        numbers: vec![
            row("pH", "3.8", "3.0 to 4.5", "read", "UC Davis 2007", "4.1"),
            row("Moisture", "45 %", "30 to 60", "read", "Univ. Arkansas", ""),
            row(
                "Nitrogen",
                "0.86 % of dry",
                "0.6 to 1.2",
                "from memory",
                "On-Farm Composting Handbook",
                "",
            ),
            row(
                "Bulk density",
                "180 kg/m³",
                "120 to 250",
                "estimate",
                "",
                "",
            ),
            row(
                "Grams per level cup",
                "43 g",
                "28 to 59",
                "computed",
                "from bulk density",
                "",
            ),
        ],
        form: Form::new(
            "shed",
            "Your own",
            "/shed/peat_sphagnum_unlimed",
            "Save",
            controls,
        ),
        sources: sources(),
    }
}

fn settings_page(error: &str) -> SettingsPage {
    let controls = vec![
        Control::Chips(Chips::new(
            "units",
            "Units",
            false,
            &[
                ("metric", "Grams, litres, °C"),
                ("us", "Ounces, gallons, °F"),
            ],
            "metric",
        )),
        Control::Field(
            Field::new(Kind::Number, "bucket_litres", "My bucket")
                .unit("L")
                .value("10")
                .required(),
        ),
        Control::Field(
            Field::new(Kind::Number, "cup_millilitres", "My cup")
                .unit("mL")
                .value("237")
                .required(),
        ),
    ];
    SettingsPage {
        shell: shell("Settings", Nav::Settings),
        form: Form::new("settings", "Measures", "/settings", "Save", controls),
        data_place: "/home/sam/.local/share/bedwright/bedwright.db".into(),
        data_size: "214 entries, 96 kB.".into(),
        last_backup: "Last backup: Sun 15 Nov (10 days ago).".into(),
        file_error: error.into(),
        version: "0.1.0".into(),
    }
}

fn add_bin_page() -> AddBinPage {
    let walls = [
        ("plastic", "Plastic"),
        ("wood", "Wood"),
        ("foam", "Foam box"),
        ("metal", "Metal"),
        ("fabric", "Fabric bag"),
        ("masonry", "Brick, in the ground"),
    ];
    let lids = [
        ("vented", "Loose or with holes"),
        ("tight", "Tight"),
        ("cover", "Cloth or card on the bed"),
        ("open", "None"),
    ];
    let cm = |name: &str, label: &str| Field::bounded(name, label, &bounds::BIN_CM).required();
    AddBinPage {
        shell: shell("Add a bin", Nav::Shelf),
        form: Form::new(
            "bin",
            "Add a bin",
            "/bins/new",
            "Put it on the shelf",
            vec![
                Control::Field(Field::new(Kind::Text, "name", "What you call it").required()),
                Control::Field(cm("length_cm", "Length inside")),
                Control::Field(cm("width_cm", "Width inside")),
                Control::Field(
                    Field::bounded("depth_cm", "Depth inside", &bounds::BIN_DEPTH_CM).required(),
                ),
                Control::Field(Field::bounded(
                    "bedding_depth_cm",
                    "Depth of bedding",
                    &bounds::BIN_DEPTH_CM,
                )),
                Control::Chips(Chips::new("walls", "Walls", false, &walls, "plastic")),
                Control::Chips(Chips::new("lid", "Lid", false, &lids, "vented")),
                Control::Chips(Chips::new(
                    "drains",
                    "Can liquid drain out",
                    false,
                    &[("yes", "Yes"), ("no", "No")],
                    "no",
                )),
                Control::Field(Field::new(Kind::Text, "place", "Where it stands")),
            ],
        ),
    }
}

fn question(fields: &Fields) -> QuestionPage {
    let mut fix = entry("reading").remove(0);
    fix.refill(fields, &[]);
    QuestionPage {
        shell: shell("A question", Nav::Shelf),
        question: "Is pH 7.0 right at every spot?".into(),
        why: vec![
            "A two-metal probe that touches nothing wet rests at 7.0.".into(),
            "The bed was at 5.3 (5.0 to 5.6), and nothing since would move it that far.".into(),
        ],
        may_keep: true,
        sent: fields.0.clone(),
        fix,
        materials: materials(),
        back: "/bins/1".into(),
    }
}

impl Answers for Sample {
    fn shelf(&self) -> Answer<ShelfPage> {
        let bin = |section: &BinSection, place: &str, verdict: Verdict, next: &str| ShelfBin {
            id: section.id.parse().unwrap(),
            name: section.name.clone(),
            place: place.into(),
            thumb: bin_section(section, SectionSize::Thumb),
            verdict,
            next: next.into(),
        };
        let s = sections();
        let bins = vec![
            bin(
                &s[0],
                "cellar, by the stairs",
                verdict(
                    Drift::Stop,
                    "Too acid",
                    "About pH 5.3. Give 60 g of limestone today.",
                ),
                "Wed 2 Dec (in 7 days)",
            ),
            bin(
                &s[2],
                "garage",
                verdict(
                    Drift::Wait,
                    "Too wet",
                    "Liquid stands at the bottom. Mix in dry card and open the lid.",
                ),
                "Fri 27 Nov (in 2 days)",
            ),
            bin(
                &s[3],
                "behind the greenhouse",
                verdict(
                    Drift::Unknown,
                    "Not looked at lately",
                    "Nothing written for five weeks. Take a handful and squeeze it.",
                ),
                "today",
            ),
            bin(
                &s[1],
                "kitchen",
                verdict(
                    Drift::Good,
                    "All well",
                    "Nothing to do but feed: up to 600 g this week.",
                ),
                "Tue 1 Dec (in 6 days)",
            ),
        ];
        Ok(ShelfPage {
            shell: shell("Shelf", Nav::Shelf),
            bins: if self.empty { vec![] } else { bins },
        })
    }
    fn open_demo(&self) -> Answer<String> {
        Ok("/".into())
    }
    fn add_bin_form(&self) -> Answer<AddBinPage> {
        Ok(add_bin_page())
    }
    fn add_bin(&self, fields: &Fields) -> Answer<Outcome<AddBinPage>> {
        let length: f64 = fields.get("length_cm").parse().unwrap_or(f64::NAN);
        match bounds::BIN_CM.check(length) {
            Ok(_) => Ok(Outcome::Go("/bins/1".into())),
            Err(e) => {
                let mut page = add_bin_page();
                page.form
                    .refill(fields, &[("length_cm".into(), e.to_string())]);
                Ok(Outcome::Show(Box::new(page)))
            }
        }
    }
    fn bin(&self, bin: i64, fields: &Fields) -> Answer<BinPage> {
        if bin > 4 {
            return Err(PageError::not_found("bin with this number"));
        }
        let mut page = bin_page(entry(fields.get("open")));
        page.shell = page.shell.said(fields.get("said"));
        Ok(page)
    }
    fn log_entry(&self, bin: i64, fields: &Fields) -> Answer<Outcome<BinPage>> {
        if fields.get("spots") == "7.0" && !fields.has("confirmed") {
            return Ok(Outcome::Ask(Box::new(question(fields))));
        }
        if fields.get("spots") == "56" {
            let mut page = bin_page(entry("reading"));
            let message = bounds::PH.check(56.0).unwrap_err().to_string();
            page.forms[0].refill(fields, &[("spots".into(), message)]);
            return Ok(Outcome::Show(Box::new(page)));
        }
        Ok(Outcome::Go(format!("/bins/{bin}?said=logged")))
    }
    fn correct_form(&self, bin: i64, entry_id: i64) -> Answer<CorrectPage> {
        let mut form = entry("reading").remove(0);
        form.action = format!("/bins/{bin}/log/{entry_id}");
        Ok(CorrectPage {
            shell: shell("Correct an entry", Nav::Shelf),
            bin,
            entry: entry_id,
            line: log().remove(0),
            form,
            materials: materials(),
        })
    }
    fn correct(&self, bin: i64, _: i64, _: &Fields) -> Answer<Outcome<CorrectPage>> {
        Ok(Outcome::Go(format!("/bins/{bin}?said=corrected")))
    }
    fn judge(&self, fields: &Fields) -> Answer<JudgePage> {
        Ok(JudgePage {
            shell: shell("Judge a bedding", Nav::Judge),
            rows: part_rows(fields),
            materials: materials(),
            error: String::new(),
            result: fields.has("material1").then(judge_result),
        })
    }
    fn dose(&self, _: i64, _: &Fields) -> Answer<DosePage> {
        Ok(dose_page())
    }
    fn what_if(&self, _: i64, _: &Fields) -> Answer<WhatIfPart> {
        Ok(what_if_part())
    }
    fn jar_test(&self, bin: i64) -> Answer<JarTestPage> {
        Ok(jar_page(bin == 1))
    }
    fn record_jar_test(&self, bin: i64, _: &Fields) -> Answer<Outcome<JarTestPage>> {
        Ok(Outcome::Go(format!("/bins/{bin}/jar-test")))
    }
    fn tray_test(&self, fields: &Fields) -> Answer<TrayTestPage> {
        Ok(tray_page(fields))
    }
    fn shed(&self, fields: &Fields) -> Answer<ShedPage> {
        Ok(shed_page(fields))
    }
    fn material(&self, key: &str) -> Answer<MaterialPage> {
        if key.contains("nothing") {
            return Err(PageError::not_found("such material").or("/shed", "Back to the shed"));
        }
        Ok(material_page())
    }
    fn own_values(&self, key: &str, _: &Fields) -> Answer<Outcome<MaterialPage>> {
        Ok(Outcome::Go(format!("/shed/{key}")))
    }
    fn settings(&self) -> Answer<SettingsPage> {
        Ok(settings_page(""))
    }
    fn set(&self, _: &Fields) -> Answer<Outcome<SettingsPage>> {
        Ok(Outcome::Go("/settings".into()))
    }
    fn backup(&self) -> Answer<Download> {
        Ok(Download {
            name: "bedwright-2026-11-25.db".into(),
            mime: "application/octet-stream",
            bytes: b"file".to_vec(),
        })
    }
    fn export(&self, form: Export) -> Answer<Download> {
        let (name, mime) = match form {
            Export::JsonLines => ("log.jsonl", "application/x-ndjson"),
            Export::Csv => ("log.csv", "text/csv; charset=utf-8"),
        };
        Ok(Download {
            name: name.into(),
            mime,
            bytes: b"x".to_vec(),
        })
    }
    fn restore(&self, file: &[u8]) -> Answer<Outcome<SettingsPage>> {
        if file == b"good" {
            return Ok(Outcome::Go("/settings?said=restored".into()));
        }
        Ok(Outcome::Show(Box::new(settings_page(
            "That file is not a Bedwright backup.",
        ))))
    }
    fn import(&self, _: &[u8]) -> Answer<Outcome<SettingsPage>> {
        panic!("an answer that breaks off")
    }
}
