use engine::estimate::{Setup, Track, estimate};
use engine::log::*;
use engine::measure::Amount;
use engine::quantity::Celsius;
use engine::table::Tables;
fn part(m: &str, a: &str) -> Part {
    Part {
        material: m.into(),
        amount: Amount::parse(a).unwrap(),
        ph: None,
        moisture_percent: None,
        label: PeatLabel::AsNamed,
    }
}
#[test]
fn look() {
    let tables = Tables::load().unwrap();
    let own = Default::default();
    let day = |d: f64| (d * 86400.0) as i64;
    let mut id = 0;
    let mut log = vec![];
    let mut add = |d: f64, body: Body| {
        id += 1;
        log.push(Entry {
            id: EntryId(id),
            bin: Some(BinId(1)),
            at_unix_seconds: day(d),
            zone: "UTC".into(),
            written_unix_seconds: day(d),
            body,
        })
    };
    add(
        0.0,
        Body::Filled {
            parts: vec![part("yard_compost_finished", "60 L")],
        },
    );
    for (i, s) in [0.05, -0.05, 0.02].into_iter().enumerate() {
        let t = 4.6 + s;
        add(
            30.0 + 3.0 * i as f64,
            Body::Reading(Reading {
                what: Measured::Ph,
                spots: vec![t, t - 0.1, t + 0.1],
                instrument: "glass_electrode".into(),
                place: Place::Spread,
                text: String::new(),
                confirmed: false,
            }),
        );
    }
    let e = estimate(
        &Setup {
            tables: &tables,
            own: &own,
            temperature: Celsius(20.0),
            now: day(37.0),
            seed: 7,
            members: 400,
            bin: None,
            air: None,
        },
        &log,
    )
    .unwrap();
    for p in e.path.iter().rev().take(12).rev() {
        println!("{:.2} {:?}", p.0 as f64 / 86400.0, p.1);
    }
    println!(
        "{:?}",
        e.heard
            .iter()
            .map(|h| (h.contradicted, h.taught, h.bed))
            .collect::<Vec<_>>()
    );
    println!(
        "pending {:?} buf {:?} c {}",
        e.pending_meq, e.buffer_meq_per_ph, e.contradictions
    );
    let m = e.course.last().unwrap();
    for t in Track::ALL {
        println!("{} {:?}", t.name(), m.band(*t));
    }
    for m in e.ensemble.members.iter().take(5) {
        println!(
            "{:?} {:?} posted {} nh4 {} no3 {} base {}",
            m.bed.ph(),
            m.bed.trend_per_day,
            m.life.books.base_posted,
            m.life.ammonium,
            m.life.nitrate,
            m.bed.base
        );
    }
}
