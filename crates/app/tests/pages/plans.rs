//! Invented judgement, dose plan, jar test and tray test.

use super::pictures::*;
use super::*;

pub(super) fn part_rows(fields: &Fields) -> Vec<PartRow> {
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
            main.unmarked = true;
            amount.unmarked = true;
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

pub(super) fn judge_result() -> JudgeResult {
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
        bin_address: "/bins/new?material1=Coir&amount1=20%20L".into(),
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

pub(super) fn what_if_part() -> WhatIfPart {
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
        path: Picture::of(
            |s| {
                let by_day = DoseCurve {
                    id: "by-day".into(),
                    unit: "days".into(),
                    ..curve_data()
                };
                dose_curve(&by_day, s)
            },
            "pH over the coming weeks.",
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

pub(super) fn dose_page() -> DosePage {
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
            materials: materials().into_iter().map(|(k, n)| { let here = k == "limestone_calcitic"; (k, n, here) }).collect(),
            min: 0.0,
            max: 240.0,
            step: 5.0,
            value: 60.0,
            part: what_if_part(),
        }),
        log_form,
        also: vec!["Give the worms a sweet corner to move to today: lime takes weeks.".into()],
        offers: Vec::new(),
        target: String::new(),
        materials: materials(),
        sources: sources(),
    }
}

pub(super) fn jar_page(result: bool) -> JarTestPage {
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

pub(super) fn tray_page(fields: &Fields) -> TrayTestPage {
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
            log_forms: Vec::new(),
        }),
    }
}
