//! Invented answers, for trying the pages without store or engine. No number
//! here is a result.

mod courses;
mod house;
pub(crate) mod living;
mod pictures;
mod plans;

use app::chart::*;
use app::report;
use app::web::widgets::{
    Chips, Control, Drift, Field, Figure, Form, Kind, Picture, Reasons, Sources, Verdict, Weight,
};
use app::web::*;
use engine::bounds;
use house::*;
use living::{away_page, outlook_page, ration_page, today_page, weather_page};
use pictures::*;
use plans::*;

/// The invented house. `empty` has no bins.
pub(crate) struct Sample {
    pub(crate) empty: bool,
}

pub(super) fn shell(title: &str, nav: Nav) -> Shell {
    let mut shell = Shell::new(title, nav);
    shell.data_place = "/home/sam/.local/share/bedwright/bedwright.db".into();
    shell
}

pub(super) fn verdict(drift: Drift, word: &str, line: &str) -> Verdict {
    Verdict {
        drift,
        word: word.into(),
        line: line.into(),
    }
}

pub(super) fn materials() -> Vec<(String, String)> {
    [
        ("peat_sphagnum_unlimed", "Peat, unlimed"),
        ("limestone_calcitic", "Ground limestone"),
        ("newsprint_shredded", "Newspaper, shredded"),
        ("coir_pith", "Coir"),
    ]
    .map(|(k, n)| (k.to_owned(), n.to_owned()))
    .to_vec()
}

pub(super) fn sources() -> Sources {
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
        cut: false,
    }
}

pub(super) fn instruments() -> [(&'static str, &'static str); 3] {
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
        seen: vec!["You saw worms climbing on Mon 23 Nov.".into()],
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
        now: living::now_part(),
        figures: vec![
            Figure::new("pH", report::ph_band(&band(5.3, 5.0, 5.6)), &band(5.3, 5.0, 5.6), (4.0, 9.0), "below the comfortable 6 to 7.5"),
            Figure::new("Moisture", report::percent_band(&band(78.0, 72.0, 82.0)), &band(78.0, 72.0, 82.0), (40.0, 95.0), "comfortable"),
            Figure::new("Salt (EC)", report::band(&band(1.2, 0.8, 1.7), "mS/cm"), &band(1.2, 0.8, 1.7), (0.0, 6.0), "low"),
            Figure::plain("Base still to act", "21 meq (12 to 34)", "from the lime of 19 Nov"),
        ],
        ph: Some(Picture::of(|s| ph_chart(&ph_data(), s), "")),
        reading_note: "The 5.7 of 11 Nov was read two hours after ash liquor was poured: it shows the wetted part, not the bed. The whole bed was probably at 4.8 (4.5 to 5.1).".into(),
        learned: vec!["Cheap pH pen: 0.2 pH too high (0 too high to 0.4 too high), from 4 readings of pH. Without them it would be neither (0.5 too low to 0.5 too high).".into()],
        log: LogPart {
            entries: log().len(),
            lines: log(),
            ..LogPart::default()
        },
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
        materials: vec![("coir_pith".into(), "Coconut coir pith, rehydrated".into())],
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
        ways: Vec::new(),
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
            settling: String::new(),
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
            may_demo: self.empty,
            demo_goes: String::new(),
            reminder: String::new(),
        })
    }
    fn close_demo(&self, _: &Fields) -> Answer<String> {
        Ok("/".into())
    }

    fn open_demo(&self, _: &Fields) -> Answer<String> {
        Ok("/".into())
    }
    fn add_bin_form(&self, _: &Fields) -> Answer<AddBinPage> {
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
            later: None,
            is_struck: false,
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
    fn jar_test(&self, bin: i64, _: &Fields) -> Answer<JarTestPage> {
        Ok(jar_page(bin == 1))
    }
    fn record_jar_test(&self, bin: i64, _: &Fields) -> Answer<Outcome<JarTestPage>> {
        Ok(Outcome::Go(format!("/bins/{bin}/jar-test")))
    }
    fn tray_test(&self, fields: &Fields) -> Answer<TrayTestPage> {
        Ok(tray_page(fields))
    }
    fn outlook(&self, bin: i64, fields: &Fields) -> Answer<OutlookPage> {
        Ok(outlook_page(bin, fields))
    }
    fn ration(&self, bin: i64, fields: &Fields) -> Answer<RationPage> {
        Ok(ration_page(bin, fields))
    }
    fn away(&self, bin: i64, fields: &Fields) -> Answer<AwayPage> {
        Ok(away_page(bin, fields))
    }
    fn weather(&self, bin: i64, fields: &Fields) -> Answer<WeatherPage> {
        Ok(weather_page(bin, fields))
    }
    fn today(&self) -> Answer<TodayPage> {
        Ok(today_page(self.empty))
    }
    fn shed(&self, fields: &Fields) -> Answer<ShedPage> {
        Ok(shed_page(fields))
    }
    fn material(&self, key: &str, _: &Fields) -> Answer<MaterialPage> {
        if key.contains("nothing") {
            return Err(PageError::not_found("such material").or("/shed", "Back to the shed"));
        }
        Ok(material_page())
    }
    fn own_values(&self, key: &str, _: &Fields) -> Answer<Outcome<MaterialPage>> {
        Ok(Outcome::Go(format!("/shed/{key}")))
    }
    fn settings(&self, _: &Fields) -> Answer<SettingsPage> {
        Ok(settings_page(""))
    }
    fn set(&self, _: &Fields) -> Answer<Outcome<SettingsPage>> {
        Ok(Outcome::Go("/settings".into()))
    }
    fn damage(&self) -> Answer<DamagePage> {
        Ok(damage_page())
    }
    fn rescued(&self) -> Answer<Download> {
        self.backup()
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
    fn restore(&self, file: &Upload) -> Answer<Outcome<SettingsPage>> {
        if file.bytes == b"good" {
            return Ok(Outcome::Go("/settings?said=restored".into()));
        }
        Ok(Outcome::Show(Box::new(settings_page(
            "That file is not a Bedwright backup.",
        ))))
    }
    fn import(&self, _: &Upload) -> Answer<Outcome<SettingsPage>> {
        panic!("an answer that breaks off")
    }
}
