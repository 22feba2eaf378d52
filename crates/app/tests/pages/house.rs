//! Invented shed, material and settings.

use super::*;

fn line(key: &str, name: &str, role: &str, line: &str, have: &str) -> MaterialLine {
    MaterialLine {
        key: key.into(),
        name: name.into(),
        role: role.into(),
        line: line.into(),
        have: have.into(),
    }
}

pub(super) fn shed_page(fields: &Fields) -> ShedPage {
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
        unfed: String::new(),
    }
}

pub(super) fn material_page() -> MaterialPage {
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
        measures: Vec::new(),
        conflicts: Vec::new(),
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

pub(super) fn settings_page(error: &str) -> SettingsPage {
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
        backups: backups(),
        file_error: (!error.is_empty()).then(|| ("restore-file", error.into())),
        version: "0.1.0".into(),
    }
}

fn backups() -> Backups {
    Backups {
        how: "One is made on each day with a new entry, and read back before it is kept.".into(),
        folder: "/home/sam/.local/share/bedwright/bedwright.db.backups".into(),
        list: vec![BackupLine {
            when: "Sun 15 Nov 18:05".into(),
            size: "201 entries, 92 kB, read back whole when it was made".into(),
            name: "2026-11-15.db".into(),
        }],
        failed: "`bedwright.db.backups` may not be written to".into(),
        reminder: "The newest checked backup is 10 days old.".into(),
    }
}

pub(super) fn damage_page() -> DamagePage {
    let mut shell = shell("The log itself", Nav::Settings);
    let lines = vec!["Entry 17 of bin 2 cannot be read and is left out.".to_owned()];
    shell.damage = "One entry cannot be read and is left out.".to_owned();
    DamagePage {
        shell,
        lines,
        closed: false,
        no_writing: false,
        data_place: "/home/sam/.local/share/bedwright/bedwright.db".into(),
        backups: backups(),
    }
}
