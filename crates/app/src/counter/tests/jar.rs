//! The jar test: how to do it, writing it down, and what it taught.

use super::amounts::{Layout, last_instrument, layout};
use crate::chart::{CurvePoint, JarPlot, jar_plot};
use crate::counter::around::{instruments, materials, refused, sentence, shell};
use crate::counter::bin::{Asked, question};
use crate::counter::once::{self, Tried};
use crate::counter::parse::{self, Check};
use crate::counter::words;
use crate::desk::{BinState, Desk};
use crate::report;
use crate::web::widgets::{Control, Field, Figure, Form, Kind, Picture};
use crate::web::{Answer, Fields, JarResult, JarTestPage, Nav, Outcome};
use engine::bounds::{AMOUNT_GRAMS, HOURS, PH};
use engine::dose::plan;
use engine::estimate::Estimate;
use engine::log::{BinId, Body, Entry, Jar, JarTest};
use engine::quantity::Band;

/// Rows for jars.
const ROWS: usize = 4;
/// Rows that are asked for; the rest may stay empty.
const ASKED: usize = 3;
/// Least wet bedding in a jar [g].
const LEAST_WET: f64 = 10.0;
/// Points of the fitted line.
const POINTS: u32 = 10;

pub(in crate::counter) fn jar_test(desk: &Desk, bin: i64, fields: &Fields) -> Answer<JarTestPage> {
    let mut page = page(desk, bin)?;
    page.shell = once::told(desk, page.shell, fields);
    Ok(page)
}

pub(in crate::counter) fn record_jar_test(
    desk: &Desk,
    bin: i64,
    fields: &Fields,
) -> Answer<Outcome<JarTestPage>> {
    let mut check = Check::default();
    let test = read(desk, fields, &mut check);
    let body = test.map(Body::JarTest);
    let back = format!("/bins/{bin}/jar-test");
    let form = || page(desk, bin).map(|page| page.form);
    let written = body.as_ref().map(|body| {
        let at = desk.clock.unix_seconds();
        let given = once::given(fields);
        let tried = Tried {
            bin: Some(BinId(bin)),
            body,
            at: None,
            back: &back,
        };
        let written = desk.write_given(Some(BinId(bin)), at, body.clone(), &given);
        written.map_err(|e| {
            let led = once::already(desk, &e, &tried, form, fields);
            (e, led)
        })
    });
    match written {
        Some(Err((_, Some(led)))) => return led,
        Some(Err((e, None))) if let Some(asked) = Asked::by(&e) => {
            return question(desk, asked, form()?, fields, back);
        }
        Some(Ok(_)) => return Ok(Outcome::Go(format!("/bins/{bin}/jar-test?said=logged"))),
        Some(Err((e, _))) if !e.is_input() => return Err(refused(e)),
        Some(Err((e, _))) => check.faults.push((String::new(), sentence(&e))),
        None => {}
    }
    let mut page = page(desk, bin)?;
    page.form.refill(fields, &check.faults);
    Ok(Outcome::Show(Box::new(page)))
}

fn page(desk: &Desk, bin: i64) -> Answer<JarTestPage> {
    let state = desk.bin(BinId(bin)).map_err(refused)?;
    let plan = layout(desk, bin);
    Ok(JarTestPage {
        shell: shell(desk, "Jar test", Nav::Shelf),
        id: bin,
        name: state.description.name.clone(),
        how: how(desk, plan.as_ref()),
        form: form(desk, bin, plan.as_ref()),
        materials: materials(desk),
        result: result(desk, &state),
    })
}

fn how(desk: &Desk, plan: Option<&Layout>) -> Vec<String> {
    let take = "Take bedding from several places, mix it, and pick out food and worms. Leave it as moist as it is.";
    let read = "Read all jars within the same hour, with the same probe, the same way.";
    let write = "Write down the lime, the pH of each jar and how long they stood. The probe may be wrong by a constant: it falls out, as only the differences count.";
    let Some(p) = plan else {
        return vec![
            take.into(),
            "Weigh the same amount, 500 g, into each of three jars.".into(),
            "Leave the first without lime. Give the second 2 g and the third 5 g of your own lime, weighed. (The bin’s log does not say enough to work out better amounts.)".into(),
            "Stir each for a minute, cover it loosely, and leave the jars together for a week. Stir now and then.".into(),
            read.into(),
            write.into(),
        ];
    };
    let name = words::lower(&p.name);
    let mut list = vec![
        take.to_owned(),
        format!("Weigh {} g into each of three jars.", plain(p.wet)),
        format!(
            "Jar 1: no lime. Jar 2: {} of {name}. Jar 3: {}. By what is known so far they should end about {} and {} pH above jar 1.",
            measured(p.lime[0], &p.spoons[0]),
            measured(p.lime[1], &p.spoons[1]),
            report::decimals(p.rise[0], 1),
            report::decimals(p.rise[1], 1),
        ),
    ];
    if p.lime[0].fract() > 1e-9 || p.lime[1].fract() > 1e-9 {
        list.push("A kitchen scale cannot weigh parts of a gram: weigh 4 g, spread it in a line on paper and part it with a knife into quarters of 1 g, and those again.".into());
    }
    if p.wet > 50.0 {
        list.push(format!(
            "With a scale that reads 0.1 g, jars of 50 g do too: {} g and {} g.",
            report::significant(p.small[0], 2),
            report::significant(p.small[1], 2)
        ));
    }
    let temperature = report::celsius(desk.room().value(), crate::counter::around::units(desk));
    list.push(format!(
        "Stir each for a minute, cover it loosely, and leave the jars together near the bin (about {temperature}) for {} days. Stir once a day.",
        p.days
    ));
    list.extend([read.to_owned(), write.to_owned()]);
    list
}

/// Grams without needless zeros: `3`, `1.25`.
fn plain(grams: f64) -> String {
    let text = report::decimals(grams, 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// `3 g (about 1/2 teaspoon)`, from words such as `about 1/2 teaspoon (3 g)`.
fn measured(grams: f64, spoons: &str) -> String {
    let weight = plain(grams);
    match spoons.split_once(" (") {
        Some((spoon, _)) => format!("{weight} g ({spoon})"),
        None => format!("{weight} g"),
    }
}

fn form(desk: &Desk, bin: i64, plan: Option<&Layout>) -> Form {
    let last = last_instrument(desk, bin);
    let list: Vec<(String, String)> = instruments(desk, last.as_deref())
        .into_iter()
        .map(|(k, n)| (k.to_owned(), n.to_owned()))
        .collect();
    let first = list.first().map_or(String::new(), |(k, _)| k.clone());
    let (wet, hours) = plan.map_or((500.0, 168.0), |p| (p.wet, f64::from(p.days) * 24.0));
    let lime = plan.map_or([2.0, 5.0], |p| p.lime);
    let name = plan.map_or("", |p| p.name.as_str());
    let mut controls = vec![
        Control::Field(
            Field::new(Kind::Suggest("materials".into()), "material", "Lime")
                .value(name)
                .required(),
        ),
        Control::Field(
            Field::new(Kind::Number, "wet", "Wet bedding in each jar")
                .unit("g")
                .value(&format!("{wet:.0}"))
                .required(),
        ),
        Control::Field(
            Field::new(Kind::Number, "hours", "How long they stood")
                .unit("h")
                .hint("A week is 168 hours")
                .value(&format!("{hours:.0}"))
                .required(),
        ),
        Control::Field(
            Field::new(Kind::Select(list), "instrument", "Instrument or method").value(&first),
        ),
    ];
    for n in 1..=ROWS {
        let grams = match n {
            1 => "0".to_owned(),
            2 | 3 => plain(lime[n - 2]),
            _ => String::new(),
        };
        controls.extend(jar_fields(n, &grams));
    }
    Form::new(
        "jar_test",
        "Jar test",
        &format!("/bins/{bin}/jar-test"),
        "Write the jars down",
        controls,
    )
}

fn jar_fields(n: usize, grams: &str) -> [Control; 2] {
    let more = if n > ASKED { ", if there was one" } else { "" };
    let lime = Field::new(
        Kind::Number,
        &format!("grams{n}"),
        &format!("Jar {n}{more}: lime"),
    );
    let ph = Field::new(Kind::Number, &format!("ph{n}"), &format!("Jar {n}: pH"));
    [
        Control::Field(lime.unit("g").value(grams).unmarked()),
        Control::Field(ph.unmarked()),
    ]
}

fn read(desk: &Desk, fields: &Fields, check: &mut Check) -> Option<JarTest> {
    let of_jars = (1..=ROWS).flat_map(|n| [format!("grams{n}"), format!("ph{n}")]);
    let names: Vec<String> = of_jars.collect();
    let own = ["material", "wet", "hours", "instrument"].into_iter();
    let known: Vec<&str> = own.chain(names.iter().map(String::as_str)).collect();
    parse::only_these(fields, &known, false, check);
    let material = check.take("material", parse::material(desk, fields.get("material")));
    if let Some(m) = material
        && desk.tables.product(&m.key).is_err()
    {
        let fault = format!("{} is not a liming or acid material.", m.name);
        check.faults.push(("material".into(), fault));
    }
    let wet = check.take("wet", parse::required(fields, "wet", &AMOUNT_GRAMS));
    if wet.is_some_and(|w| w < LEAST_WET) {
        let fault = format!("Put at least {LEAST_WET:.0} g of wet bedding in each jar.");
        check.faults.push(("wet".into(), fault));
    }
    let hours = check.take("hours", parse::required(fields, "hours", &HOURS));
    if hours.is_some_and(|h| h < 1.0) {
        let fault = "Let the jars stand for an hour at the very least.".to_owned();
        check.faults.push(("hours".into(), fault));
    }
    let key = fields.get("instrument");
    let instrument = desk.tables.instrument(key).map(|i| i.key.clone());
    let instrument = check.take(
        "instrument",
        instrument.map_err(|_| "Choose the instrument from the list.".to_owned()),
    );
    let jars: Vec<Jar> = (1..=ROWS).filter_map(|n| jar(fields, n, check)).collect();
    if check.faults.is_empty() {
        if jars.len() < 2 {
            let fault = "Give at least two jars: lime and pH of each.".to_owned();
            check.faults.push(("ph1".into(), fault));
        } else if jars.iter().all(|j| (j.grams - jars[0].grams).abs() < 1e-9) {
            let fault = "All jars have the same lime, which teaches nothing.".to_owned();
            check.faults.push(("grams1".into(), fault));
        }
    }
    if !check.faults.is_empty() {
        return None;
    }
    Some(JarTest {
        wet_bedding_grams: wet?,
        material: material?.key.clone(),
        hours: hours?,
        instrument: instrument?,
        jars,
    })
}

/// One jar; a jar without a pH was not made.
fn jar(fields: &Fields, n: usize, check: &mut Check) -> Option<Jar> {
    let (lime, ph) = (format!("grams{n}"), format!("ph{n}"));
    if !fields.has(&ph) && (n > ASKED || !fields.has(&lime) || n == 1) {
        return None;
    }
    let grams = check.take(&lime, parse::required(fields, &lime, &AMOUNT_GRAMS));
    let read = check.take(&ph, parse::required(fields, &ph, &PH));
    Some(Jar {
        grams: grams?,
        ph: read?,
    })
}

fn result(desk: &Desk, state: &BinState) -> Option<JarResult> {
    let (entry, test) = state.log.iter().rev().find_map(|e| match &e.body {
        Body::JarTest(t) => Some((e, t)),
        _ => None,
    })?;
    let at = entry.at_unix_seconds;
    let before = desk.estimate_at(state, at, Some(entry.id)).ok()?;
    let after = desk.estimate_at(state, at, None).ok()?;
    let (was, is) = (before.buffer_meq_per_ph, after.buffer_meq_per_ph);
    let top = (0.0, was.high.max(is.high) * 1.1);
    let figure = |label: &str, b: &Band| {
        let words = report::band(b, "meq per pH");
        Figure::new(label, words, b, top, "of the whole bed")
    };
    Some(JarResult {
        plot: plot(desk, state, entry, test, &after)?,
        before: figure("Buffer before", &was),
        after: figure("Buffer after", &is),
        line: line(&was, &is, &words::when(desk, at)),
    })
}

fn line(was: &Band, is: &Band, when: &str) -> String {
    let n = |v: f64| report::significant(v, 2);
    let range = |b: &Band| format!("{} to {}", n(b.low), n(b.high));
    // How unsure a buffer is: its high end over its low end.
    let factor = |b: &Band| b.high / b.low.max(1e-9);
    let (wide, narrow) = (factor(was), factor(is));
    let verb = if narrow < wide {
        "narrowed"
    } else {
        "did not narrow"
    };
    format!(
        "The jars of {when} {verb} the buffer: from {} to {} meq per pH. Its ends were {} times apart; now they are {}.",
        range(was),
        range(is),
        n(wide),
        n(narrow)
    )
}

fn plot(
    desk: &Desk,
    state: &BinState,
    entry: &Entry,
    test: &JarTest,
    after: &Estimate,
) -> Option<Picture> {
    let target = (after.ph_to_come.median + 1.5).clamp(5.0, 8.0);
    let made = desk.trial(state.id, &test.material, target).ok()?;
    let choice = made.option(&test.material);
    let wet_bed = 1000.0 * (after.dry_kg.median + after.water_kg.median);
    let scale = wet_bed / test.wet_bedding_grams.max(1.0);
    let most = test.jars.iter().map(|j| j.grams).fold(0.0, f64::max);
    let days = ((test.hours / 24.0).round() as u32).max(1);
    let bed = |grams: f64| {
        let path = plan::what_if(choice?, &after.ensemble, grams * scale, days, 2);
        path.last().map(|(_, b)| *b)
    };
    // The probe's own constant error: mean of what was read less what was expected.
    let gaps: Vec<f64> = test
        .jars
        .iter()
        .filter_map(|j| Some(j.ph - bed(j.grams)?.median))
        .collect();
    let shift = gaps.iter().sum::<f64>() / gaps.len().max(1) as f64;
    let fit = (0..=POINTS).filter_map(|i| {
        let amount = most * f64::from(i) / f64::from(POINTS);
        let b = bed(amount)?;
        Some(CurvePoint {
            amount,
            median: b.median + shift,
            low: b.low + shift,
            high: b.high + shift,
        })
    });
    let data = JarPlot {
        id: format!("jars-{}", entry.id.0),
        unit: "g in the jar".into(),
        jars: test.jars.iter().map(|j| (j.grams, j.ph)).collect(),
        fit: fit.collect(),
    };
    Some(Picture::of(
        |s| jar_plot(&data, s),
        &format!(
            "Jars as read; line and band as fitted, moved by {} pH to the probe's own scale.",
            report::decimals(shift, 1)
        ),
    ))
}
