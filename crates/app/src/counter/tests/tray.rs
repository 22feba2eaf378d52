//! The half-and-half tray test.

use crate::counter::around::{refused, sentence, shell};
use crate::counter::bin::{Asked, question};
use crate::counter::once::{self, Tried};
use crate::counter::parse::{self, Check};
use crate::desk::{Desk, DeskError};
use crate::report;
use crate::web::widgets::{
    Control, Drift, Field, Figure, Form, Kind, Reasons, Verdict as Banner, Weight,
};
use crate::web::{Answer, BinPage, Fields, Nav, Outcome, PageError, TrayResult, TrayTestPage};
use engine::bounds::{Bound, HOURS, WORM_COUNT};
use engine::dose::tray::{self, Outcome as Said, Rules, TrayReading};
use engine::log::{BinId, Body, TrayTest};
use engine::quantity::Band;

const COUNTS: [&str; 5] = ["worms", "in_suspect", "in_trusted", "dead", "hours"];

pub(in crate::counter) fn tray_test(desk: &Desk, fields: &Fields) -> Answer<TrayTestPage> {
    let mut form = form();
    let mut result = None;
    if COUNTS.iter().any(|n| fields.has(n)) {
        let mut check = Check::default();
        let test = counts(fields, &mut check);
        form.refill(fields, &check.faults);
        result = test.map(|t| answer(desk, &t)).transpose()?;
    }
    Ok(TrayTestPage {
        shell: shell(desk, "Tray test", Nav::Judge),
        how: how(),
        form,
        result,
    })
}

pub(in crate::counter) fn record_tray_test(
    desk: &Desk,
    bin: i64,
    fields: &Fields,
) -> Answer<Outcome<BinPage>> {
    let back = |fault: &str| {
        PageError::new(422, "The tray was not written down", fault)
            .or("/tray-test", "Back to the tray test")
    };
    let mut check = Check::default();
    let Some(test) = counts(fields, &mut check) else {
        let said: Vec<&str> = check.faults.iter().map(|(_, m)| m.as_str()).collect();
        return Err(back(&said.join(" ")));
    };
    let at = desk.clock.unix_seconds();
    let body = Body::TrayTest(test);
    let place = format!("/bins/{bin}");
    let tried = Tried {
        bin: Some(BinId(bin)),
        body: &body,
        at: None,
        back: &place,
    };
    let form = || Ok(log_form(bin, "this bin", &test));
    let twice = |e: &DeskError| once::already(desk, e, &tried, form, fields);
    match desk.write_given(Some(BinId(bin)), at, body.clone(), &once::given(fields)) {
        Err(e) if let Some(led) = twice(&e) => led,
        Err(e) if let Some(asked) = Asked::by(&e) => question(desk, asked, form()?, fields, place),
        Ok(_) => Ok(Outcome::Go(format!("/bins/{bin}?said=logged"))),
        Err(e) if e.is_input() => Err(back(&sentence(&e))),
        Err(e) => Err(refused(e)),
    }
}

fn how() -> Vec<String> {
    [
        "Fill one half of a tray with the bedding in question and the other with bedding worms live in now, both as moist as a wrung cloth and equally deep, about 8 cm.",
        "Lay 20 worms, not fewer than 10, on the line between. No food in either half.",
        "Cover it against light, leave a little air, and keep it at room warmth for 24 to 48 hours.",
        "Slide a card down the line, turn out each half, and count. A worm on the line counts to the half its head is in. Missing worms count as dead.",
    ]
    .map(str::to_owned)
    .to_vec()
}

fn form() -> Form {
    let number = |name: &str, label: &str, bound: &Bound| {
        Field::bounded(name, label, bound).hint("").required()
    };
    Form::new(
        "tray_test",
        "Tray test",
        "/tray-test",
        "Read it",
        vec![
            Control::Field(number("worms", "Worms put in", &WORM_COUNT)),
            Control::Field(number(
                "in_suspect",
                "Found in the new bedding",
                &WORM_COUNT,
            )),
            Control::Field(number(
                "in_trusted",
                "Found in the trusted bedding",
                &WORM_COUNT,
            )),
            Control::Field(number("dead", "Dead or missing", &WORM_COUNT).value("0")),
            Control::Field(number("hours", "How long it ran", &HOURS).value("24")),
        ],
    )
}

/// A whole number of worms.
fn count(fields: &Fields, name: &str) -> Result<u32, String> {
    if name == "dead" && !fields.has(name) {
        return Ok(0);
    }
    let value = parse::required(fields, name, &WORM_COUNT)?;
    if value.fract() > 0.0 {
        return Err(format!("`{value}` is not a whole number of worms."));
    }
    Ok(value as u32)
}

fn counts(fields: &Fields, check: &mut Check) -> Option<TrayTest> {
    parse::only_these(fields, &COUNTS, false, check);
    let mut take = |name: &str| check.take(name, count(fields, name));
    let (worms, in_suspect) = (take("worms"), take("in_suspect"));
    let (in_trusted, dead) = (take("in_trusted"), take("dead"));
    let hours = check.take("hours", parse::required(fields, "hours", &HOURS));
    let test = TrayTest {
        worms: worms?,
        in_suspect: in_suspect?,
        in_trusted: in_trusted?,
        dead_or_missing: dead?,
        hours: hours?,
    };
    let sum =
        u64::from(test.in_suspect) + u64::from(test.in_trusted) + u64::from(test.dead_or_missing);
    if sum != u64::from(test.worms) {
        let fault = format!(
            "Both halves and the dead or missing make {sum}, but {} were put in.",
            test.worms
        );
        check.faults.push(("worms".into(), fault));
        return None;
    }
    if test.worms == 0 {
        let fault = "No worms, no answer.".to_owned();
        check.faults.push(("worms".into(), fault));
        return None;
    }
    check.faults.is_empty().then_some(test)
}

fn answer(desk: &Desk, test: &TrayTest) -> Answer<TrayResult> {
    let rules = Rules::from_tables(desk.tables).map_err(|e| refused(e.into()))?;
    let Some(r) = tray::read(test, &rules) else {
        return Ok(TrayResult {
            verdict: Banner {
                drift: Drift::Stop,
                word: "Does not count".into(),
                line: "No worm was found alive. If they died there, that is an answer; if they got out, close the tray and try again.".into(),
            },
            figures: Vec::new(),
            reasons: Reasons { list: Vec::new() },
            log_forms: log_forms(desk, test),
        });
    };
    let share = Band {
        median: 100.0 * r.share_in_suspect,
        low: 100.0 * r.share_low,
        high: 100.0 * r.share_high,
    };
    Ok(TrayResult {
        verdict: banner(&r, test),
        figures: vec![
            Figure::new(
                "Share that chose the new bedding",
                report::percent_band(&share),
                &share,
                (0.0, 100.0),
                "half would be no preference",
            ),
            Figure::plain(
                "By chance alone",
                &odds(r.by_chance),
                "a split as lopsided as this, or more, if they did not care",
            ),
        ],
        reasons: reasons(&r, test, &rules),
        log_forms: log_forms(desk, test),
    })
}

fn odds(chance: f64) -> String {
    if chance < 0.001 {
        return "less than 1 in 1000".into();
    }
    if chance < 0.1 {
        return format!("1 in {}", report::significant(1.0 / chance, 2));
    }
    report::chance(chance)
}

fn banner(r: &TrayReading, t: &TrayTest) -> Banner {
    let found = t.in_suspect + t.in_trusted;
    let counted = format!("{} of {found} chose the new bedding.", t.in_suspect);
    let (drift, word, line) = match r.outcome {
        Said::Avoided => (
            Drift::Stop,
            "They avoid it",
            format!("{counted} That is not chance. Do not stock it yet; find out why first."),
        ),
        Said::Accepted => (
            Drift::Good,
            "They take it",
            format!("{counted} Nothing says they mind it. It may be stocked."),
        ),
        Said::Unclear { more_worms } => (
            Drift::Unknown,
            "Too early to say",
            format!(
                "{counted} That may be chance. Run it again with {more_worms} more worms, and add the counts."
            ),
        ),
        Said::NotValid => (
            Drift::Stop,
            "Does not count",
            format!(
                "{} of {} died or went missing, more than 1 in 10. Dead worms in the new half are an answer of their own: do not stock it.",
                t.dead_or_missing, t.worms
            ),
        ),
    };
    Banner {
        drift,
        word: word.into(),
        line,
    }
}

fn reasons(r: &TrayReading, t: &TrayTest, rules: &Rules) -> Reasons {
    let mut list = vec![(
        Weight::Decides,
        format!(
            "If worms did not care, each half would get about the same. {} or fewer of {} would then happen {} of the time.",
            t.in_suspect,
            t.in_suspect + t.in_trusted,
            report::chance(r.by_chance)
        ),
    )];
    if t.hours < rules.hours.0 {
        list.push((
            Weight::Counts,
            format!(
                "{:.0} h is short: worms are still running about. Give it {:.0} at least.",
                t.hours, rules.hours.0
            ),
        ));
    } else if t.hours > rules.hours.1 {
        list.push((
            Weight::Counts,
            format!(
                "After {:.0} hours they stray for food. {:.0} is the longest that counts well.",
                t.hours, rules.hours.1
            ),
        ));
    }
    list.push((
        Weight::Note,
        "Read as the two-chamber avoidance test for earthworms (ISO 17512-1, from memory): fewer than 1 in 5 in the new half means unfit; more than 1 in 10 dead means the run does not count. The range is the exact binomial one (Clopper and Pearson 1934).".into(),
    ));
    Reasons { list }
}

/// One form for each bin on the shelf.
fn log_forms(desk: &Desk, t: &TrayTest) -> Vec<Form> {
    let bins = desk.bins().unwrap_or_default();
    bins.iter()
        .map(|b| log_form(b.id.0, &b.description.name, t))
        .collect()
}

fn log_form(bin: i64, name: &str, t: &TrayTest) -> Form {
    let hidden = |name: &str, value: String| {
        Control::Field(Field::new(Kind::Hidden, name, "").value(&value))
    };
    Form::new(
        "tray_test",
        "Tray test",
        &format!("/bins/{bin}/log"),
        &format!("Write it down for {name}"),
        vec![
            hidden("worms", t.worms.to_string()),
            hidden("in_suspect", t.in_suspect.to_string()),
            hidden("in_trusted", t.in_trusted.to_string()),
            hidden("dead", t.dead_or_missing.to_string()),
            hidden("hours", t.hours.to_string()),
        ],
    )
}
