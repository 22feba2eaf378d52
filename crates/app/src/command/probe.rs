//! `bedwright spots` and `calibrate`: what a probe is worth.

use super::dose::input::find_instrument;
use super::session::{Fault, Reply, Session};
use crate::report;
use crate::typed;
use engine::bounds;
use engine::quantity::Celsius;
use engine::reading::calibration::{Buffer, Buffers, TwoPoint};
use engine::reading::combine::{combine, more_spots, spots_needed};
use engine::reading::question::questions;
use serde_json::json;

/// Arguments of `spots`.
#[derive(Debug, clap::Args)]
pub struct Spots {
    /// pH at each spot so far.
    #[arg(required = true, value_parser = typed::number)]
    values: Vec<f64>,
    /// What it was read with.
    #[arg(long)]
    instrument: String,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `calibrate`.
#[derive(Debug, clap::Args)]
pub struct Calibrate {
    /// First buffer and what the meter shows in it, such as 4=4.2.
    first: String,
    /// Second buffer, such as 7=6.9.
    second: String,
    /// Temperature of the buffers [°C].
    #[arg(long, default_value_t = 20.0, value_name = "CELSIUS", value_parser = typed::number)]
    at: f64,
    /// A shown pH to correct.
    #[arg(long, value_name = "PH", value_parser = typed::number)]
    shown: Option<f64>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

pub(super) fn spots(a: &Spots, session: &Session) -> Result<Reply, Fault> {
    let desk = session.empty_desk()?;
    let instrument = find_instrument(desk.tables, &a.instrument).map_err(Fault::input)?;
    let asked = questions(&a.values, &instrument, None);
    let refused: Vec<String> = asked
        .iter()
        .filter(|q| q.refuses())
        .map(|q| q.text())
        .collect();
    if !refused.is_empty() {
        return Err(Fault::Input(refused));
    }
    bounds::SPOTS.check(a.values.len() as f64)?;
    let Some(c) = combine(&a.values, &instrument) else {
        return Err(Fault::input("give at least one pH"));
    };
    let more = more_spots(&c, &instrument.expected);
    let one = |x: f64| report::decimals(x, 2);
    let advice = match (more.add, more.instrument_limits) {
        (0, true) => format!(
            "More spots are not worth it: the {} itself is the limit. A calibrated pen in a slurry would tell more.",
            engine::table::inside_a_sentence(&instrument.name)
        ),
        (0, false) => "More spots are not worth it.".to_owned(),
        (n, _) => format!(
            "{} more would narrow it to ± {}.",
            report::count(n, "spot", "spots"),
            one(more.half_width_then)
        ),
    };
    let questions: Vec<String> = asked.iter().map(|q| q.text()).collect();
    let mut text = format!(
        "pH {} ± {} (80 % interval) from {}. {advice}\n",
        report::ph(c.mean),
        one(more.half_width_now),
        report::count(c.spots, "spot", "spots"),
    );
    for q in &questions {
        text.push_str(&format!("{q}\n"));
    }
    Reply::new(
        text,
        json!({
            "schema": "bedwright-spots-1",
            "instrument": instrument.key,
            "ph": c.mean,
            "spots": c.spots,
            "half_width": more.half_width_now,
            "spot_sd": c.spot_sd,
            "random_sd": c.random_sd,
            "systematic_sd": c.systematic_sd,
            "add": more.add,
            "half_width_then": more.half_width_then,
            "instrument_limits": more.instrument_limits,
            "spots_for_0_3_ph": spots_needed(c.spot_sd, 0.3),
            "advice": advice,
            "questions": questions,
        }),
    )
}

fn buffer(given: &str) -> Result<(Buffer, f64), Fault> {
    let wrong = || {
        Fault::input(format!(
            "`{}` is not a buffer and what the meter shows; write 4, 7 or 9, `=`, and the pH shown, such as `7=6.9`",
            typed::short(given)
        ))
    };
    let (name, shown) = given.split_once('=').ok_or_else(wrong)?;
    let which = match name.trim() {
        "4" | "4.0" | "4.01" => Buffer::Phthalate,
        "7" | "7.0" | "6.86" => Buffer::Phosphate,
        "9" | "9.0" | "9.18" => Buffer::Borate,
        _ => return Err(wrong()),
    };
    let shown = typed::number(shown).map_err(|_| wrong())?;
    bounds::PH.check(shown)?;
    Ok((which, shown))
}

pub(super) fn calibrate(a: &Calibrate, session: &Session) -> Result<Reply, Fault> {
    let desk = session.empty_desk()?;
    let buffers = Buffers::from_tables(desk.tables)?;
    let (first, second) = (buffer(&a.first)?, buffer(&a.second)?);
    let celsius = Celsius(bounds::CHEMISTRY_CELSIUS.check(a.at)?);
    let shown = a.shown.map(|s| bounds::PH.check(s)).transpose()?;
    let Some(found) = TwoPoint::from_readings(&buffers, celsius, first, second) else {
        let [first, second] = [&a.first, &a.second].map(|given| typed::short(given));
        return Err(Fault::input(format!(
            "`{first}` and `{second}` are of one buffer; give two of the buffers 4, 7 and 9"
        )));
    };
    bounds::SLOPE_PERCENT
        .check(100.0 * found.slope)
        .map_err(|e| {
            let [first, second] = [&a.first, &a.second].map(|given| typed::short(given));
            Fault::input(format!("`{first}` and `{second}`: {e}"))
        })?;
    let verdict = if found.sound {
        "The electrode is sound."
    } else {
        "The electrode is not sound: clean it, set it again, and try fresh buffers; if it stays so, it is worn out."
    };
    let corrected = shown.map(|s| found.corrected(s));
    let mut text = format!(
        "In the buffers it should show {} and {}. Slope {}, offset {} at pH 7. {verdict}\n",
        report::decimals(buffers.ph(first.0, celsius), 2),
        report::decimals(buffers.ph(second.0, celsius), 2),
        report::percent(100.0 * found.slope),
        report::decimals(found.offset_at_7, 2),
    );
    if let (Some(s), Some(c)) = (shown, corrected) {
        text.push_str(&format!(
            "A shown {} is really {}.\n",
            report::decimals(s, 2),
            report::decimals(c, 2)
        ));
    }
    Reply::new(
        text,
        json!({
            "schema": "bedwright-calibrate-1",
            "temperature_celsius": a.at,
            "buffer_ph": [buffers.ph(first.0, celsius), buffers.ph(second.0, celsius)],
            "slope": found.slope,
            "offset_at_7": found.offset_at_7,
            "sound": found.sound,
            "shown": shown,
            "corrected": corrected,
            "verdict": verdict,
        }),
    )
}
