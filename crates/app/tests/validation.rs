//! The committed VALIDATION.md and its plots are what the engine works out.

#![allow(clippy::unwrap_used)] // tests may unwrap

#[allow(dead_code, reason = "shared with the other pictures' tests")]
#[path = "charts/laws.rs"]
mod laws;

use app::chart::{
    Dash, PlotAxis, PlotLine, PlotMark, PlotPanel, PlotSheet, Shape, Sign, plot_sheet,
};
use app::command::validation::pictures::{FOLDER, Picture};
use app::command::validation::{Document, agreement, document};
use laws::{Odd, lawful};
use std::path::Path;

const STALE: &str = "run `bedwright validation --write`";

fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
}

/// The page and its plots, worked out once for both.
#[test]
fn the_committed_page_and_its_plots_are_what_the_engine_works_out() {
    let summary = std::fs::read_to_string(root().join("crosscheck/summary.json")).ok();
    let Document { page, pictures, .. } =
        document(summary.as_deref(), &root().join(FOLDER)).unwrap();
    let committed = std::fs::read_to_string(root().join("VALIDATION.md")).unwrap();
    for (ours, theirs) in page.lines().zip(committed.lines()) {
        assert_eq!(
            ours, theirs,
            "VALIDATION.md is out of date: run `bedwright validation --write`"
        );
    }
    assert_eq!(page.lines().count(), committed.lines().count());
    the_plots_are_those_committed(&pictures);
    for picture in &pictures {
        lawful(&picture.svg);
        let link = format!("]({FOLDER}/{})", picture.file);
        assert_eq!(page.matches(&link).count(), 1, "{link} once in the page");
    }
}

fn the_plots_are_those_committed(pictures: &[Picture]) {
    let folder = root().join(FOLDER);
    for picture in pictures {
        let path = folder.join(&picture.file);
        let committed = std::fs::read(&path)
            .unwrap_or_else(|e| panic!("{FOLDER}/{}: {e}: {STALE}", picture.file));
        let ours = picture.svg.as_str().as_bytes();
        let at = ours.iter().zip(&committed).position(|(a, b)| a != b);
        let same = ours == committed.as_slice();
        assert!(
            same,
            "{FOLDER}/{}, first other byte {at:?}: {STALE}",
            picture.file
        );
    }
    let mut there: Vec<String> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|f| f.unwrap().file_name().into_string().unwrap())
        .filter(|f| f.ends_with(".svg"))
        .collect();
    there.sort();
    let mut made: Vec<String> = pictures.iter().map(|p| p.file.clone()).collect();
    made.sort();
    assert_eq!(there, made, "{FOLDER} holds these plots and no others");
}

fn odd_panel(odd: &mut Odd) -> PlotPanel {
    let axis = |log| PlotAxis {
        name: "mass [mg]".into(),
        low: 1.0,
        high: 3000.0,
        log,
        ticks: Vec::new(),
    };
    let shapes = [
        Shape::Disc,
        Shape::Ring,
        Shape::Cross,
        Shape::Plus,
        Shape::Tent,
    ];
    let mark = |odd: &mut Odd| PlotMark {
        x: odd.odd(-50.0, 9000.0),
        y: odd.odd(-50.0, 9000.0),
        bar: (odd.below(2) == 0).then(|| (odd.odd(-9.0, 50.0), odd.odd(0.0, 9000.0))),
        shape: odd.pick(&shapes),
        label: (odd.below(3) == 0).then(|| "C:N <&>".to_owned()),
    };
    PlotPanel {
        title: "Mass: 1 of 2 missed".into(),
        x: axis(odd.below(2) == 0),
        y: axis(odd.below(2) == 0),
        range: (odd.below(2) == 0).then_some((74.0, 86.0)),
        lines: vec![PlotLine {
            points: (0..odd.below(9))
                .map(|_| (odd.odd(-9.0, 4000.0), odd.odd(-9.0, 4000.0)))
                .collect(),
            dash: odd.pick(&[Dash::Solid, Dash::Dashed, Dash::Dotted]),
        }],
        marks: (0..odd.below(60)).map(|_| mark(odd)).collect(),
    }
}

#[test]
fn plots_of_odd_data_are_lawful() {
    let mut odd = Odd(5);
    for columns in [1, 2, 3, 3, 3, 3, 3, 3] {
        let sheet = PlotSheet {
            id: "odd one".into(),
            title: "Odd & even".into(),
            note: "Words that go on for a while. ".repeat(9),
            key: vec![
                (Sign::Range, "wanted".into()),
                (Sign::Bar, "error".into()),
                (Sign::Both(Shape::Square, Dash::Dotted), "a study".into()),
            ],
            panels: (0..7).map(|_| odd_panel(&mut odd)).collect(),
            columns,
        };
        let svg = plot_sheet(&sheet);
        lawful(&svg);
        assert_eq!(svg, plot_sheet(&sheet), "the same data, the same drawing");
    }
}

#[test]
fn without_a_cross_check_the_page_says_how_to_run_it_and_a_bad_one_is_named() {
    assert!(agreement(None).unwrap().contains("run `./check`"));
    let fault = agreement(Some("{\"groups\": 3}")).unwrap_err();
    assert_eq!(fault.code(), 2);
    let good = r#"{"seed": 1, "reference": "PHREEQC", "groups": {"random": {"asked": 3,
        "compared": 3, "errors": {"ph": {"p50": 0.001, "p95": 0.002, "p99": 0.003, "max": 0.004}}}},
        "limits_broken": []}"#;
    let page = agreement(Some(good)).unwrap();
    assert!(page.contains("| random | 3 | 3 | pH | 1.0e-3 | 2.0e-3 | 3.0e-3 | 4.0e-3 |"));
}
