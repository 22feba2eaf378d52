//! The answer in words.

use crate::advice::{Advice, Speak, chances, number};
use crate::measure::System;
use crate::quantity::Band;
use crate::table::inside_a_sentence;
use crate::weather::measure::{Kind, Measure};
use crate::weather::run::Numbers;
use crate::weather::{Tried, Weather, WeatherAsk};

/// Day from now and hour of the day, `hours` from now.
fn moment(start_hour: f64, hours: u32) -> (u32, u32) {
    let at = start_hour + f64::from(hours);
    let day = (at / 24.0).floor();
    (day as u32, (at - 24.0 * day).floor() as u32)
}

/// What to do, in order.
pub(crate) fn advice(
    ask: &WeatherAsk<'_>,
    w: &Weather,
    n: &Numbers,
    speak: Speak<'_>,
) -> Vec<Advice> {
    let Some(least) = &w.least else {
        return vec![if w.nothing_needed {
            nothing(w, n, speak)
        } else {
            Advice::plain(
                "Move the bin indoors or to a cellar",
                "before then",
                "Nothing else that is at hand helps here.",
            )
        }];
    };
    let carried = carry(ask, w, least, speak);
    let mut measures: Vec<&Measure> = least.measures.iter().collect();
    measures.sort_by_key(|m| m.kind());
    let heat = least.hot > 0.0 || is_heat(w);
    let mut lines: Vec<Advice> = carried.iter().cloned().collect();
    lines.extend(measures.iter().map(|m| line(ask, w, n, m, heat, speak)));
    if carried.is_some() {
        lines[1].what = format!(
            "Where no such place is at hand: {}",
            inside_a_sentence(&lines[1].what)
        );
    }
    if !w.enough && carried.is_none() {
        lines.push(Advice::plain(
            &format!(
                "Move the bin to a place at {}",
                speak.celsius_range(10.0, 25.0)
            ),
            &before(ask, w, speak),
            &format!(
                "With all of the above the chance of harm is still {}.",
                chances(least.either)
            ),
        ));
    }
    lines
}

/// Heat is the trouble, rather than cold.
fn is_heat(w: &Weather) -> bool {
    w.undone.hot > w.undone.cold
}

/// Carrying the bin elsewhere, before ice, bottles or a heater: it costs
/// nothing and can do no harm. Where the keeper named a place or said there is
/// none, that stands.
fn carry(ask: &WeatherAsk<'_>, w: &Weather, least: &Tried, speak: Speak<'_>) -> Option<Advice> {
    let easy = least.measures.iter().all(|m| m.kind() < Kind::Move);
    if easy && w.enough {
        return None;
    }
    let celsius = speak.celsius(w.enough_place?);
    let what = if is_heat(w) {
        format!(
            "Carry it to a cooler place that stays at {celsius} or less: indoors, a cellar, the shaded side of the house"
        )
    } else {
        format!(
            "Carry it to a warmer place that stays at {celsius} or more: indoors, a cellar, a garage"
        )
    };
    let rest = if w.enough {
        "There nothing else is needed.".to_owned()
    } else {
        format!(
            "There nothing else is needed; all that is below leaves a chance of harm of {}.",
            chances(least.either)
        )
    };
    let why = format!("{rest} A full bin is heavy: two people, or empty part of it first.");
    Some(Advice::plain(&what, &before(ask, w, speak), &why))
}

fn nothing(w: &Weather, n: &Numbers, speak: Speak<'_>) -> Advice {
    let band = |b: &Band| speak.celsius_range(b.low, b.high);
    Advice::plain(
        "Nothing needed",
        "",
        &format!(
            "The kindest part of the bed gets at most {} and at least {}; worms stand {}. The chance of harm is {}.",
            band(&w.undone.hottest),
            band(&w.undone.coldest),
            speak.celsius_range(n.cold, n.hot),
            chances(w.undone.either)
        ),
    )
}

fn before(ask: &WeatherAsk<'_>, w: &Weather, speak: Speak<'_>) -> String {
    match w.first_likely_hour.unwrap_or(0).saturating_sub(1) {
        0 => "now".to_owned(),
        hour => {
            let (day, clock) = moment(ask.start_hour, hour);
            format!("{}, before {clock:02}:00", (speak.day)(day))
        }
    }
}

fn line(
    ask: &WeatherAsk<'_>,
    w: &Weather,
    n: &Numbers,
    m: &Measure,
    heat: bool,
    speak: Speak<'_>,
) -> Advice {
    let before = before(ask, w, speak);
    let f = &w.figures;
    match m {
        Measure::StopFeeding => Advice::plain(
            "Feed nothing, and lift out fresh food that is still there",
            &before,
            "Rotting food makes heat of its own; worms live for weeks on bedding.",
        ),
        Measure::Shade => Advice::plain(
            "Shade the whole bin, with a gap of a hand between shade and lid",
            &before,
            &format!(
                "Full sun acts like air {} to {} {} warmer. Shade takes most of it off; it does not cool below the air.",
                speak.kelvin(n.sun_rise.low),
                speak.kelvin(n.sun_rise.high),
                speak.degree()
            ),
        ),
        Measure::WetCover => speak.measured(
            "Hang a wet cloth over top and sides, its foot in water, air holes free, and keep it wet; water for it",
            f.cloth_kg_per_day,
            "L a day",
            &before,
            format!(
                "Drying water cools the air at the walls by about {} {} ({} to {}) at the hottest hour; less in damp air, more in wind.",
                speak.kelvin(f.wet_cloth_degrees.median),
                speak.degree(),
                speak.kelvin(f.wet_cloth_degrees.low),
                speak.kelvin(f.wet_cloth_degrees.high)
            ),
        ),
        Measure::Wrap => Advice::plain(
            "Wrap sides and lid in two or three layers of blanket or bubble wrap, air holes free",
            &before,
            if heat {
                "It holds off the hot hours and keeps ice longer. Take it off in cool nights."
            } else {
                "It halves the heat that goes out, so the bed's own warmth lasts."
            },
        ),
        Measure::Move { celsius } => Advice::plain(
            &format!("Move the bin to the place at {}", speak.celsius(*celsius)),
            &before,
            "The surest measure. A full bin is heavy: two people, or empty part of it first.",
        ),
        Measure::Ice { kg, swaps } => ice(ask, w, *kg, swaps, speak),
        Measure::WarmBottles { kg, swaps } => warm(ask, w, n, *kg, swaps, speak),
        Measure::Heater { watts, target } => heater(w, *watts, *target, &before, speak),
    }
}

/// The heater to buy, and what it takes.
fn heater(w: &Weather, watts: f64, target: f64, before: &str, speak: Speak<'_>) -> Advice {
    let f = &w.figures;
    let a_degree = degrees_a_kelvin(speak);
    let passing = |v: f64| number(v / a_degree);
    Advice::measured(
        &format!(
            "Heat gently with a heater of {watts:.0} W on a thermostat at {}, its feeler in the bed; in the coldest hour it takes",
            speak.celsius(target)
        ),
        f.heater_watts,
        "W",
        before,
        format!(
            "{watts:.0} W is the most this bin may take, rounded up to a size that is sold; the thermostat keeps it from giving more than is needed. The bin loses {} W ({} to {}) for each {} it is warmer than the air.",
            passing(f.passing_w_per_kelvin.median),
            passing(f.passing_w_per_kelvin.low),
            passing(f.passing_w_per_kelvin.high),
            speak.degree()
        ),
    )
}

/// Of the degrees read, how many make a kelvin.
fn degrees_a_kelvin(speak: Speak<'_>) -> f64 {
    match speak.system {
        System::Metric => 1.0,
        System::Us => 1.8,
    }
}

fn ice(ask: &WeatherAsk<'_>, w: &Weather, kg: f64, swaps: &[u32], speak: Speak<'_>) -> Advice {
    let f = &w.figures;
    let (a_day, unit) = speak.amount(f.ice_kg_per_day_degree, "kg");
    let by = |v: f64| number(v / degrees_a_kelvin(speak));
    speak.measured(
        "Lay ice in closed bottles on the bed under the cover; at each swap",
        Band {
            median: kg,
            low: kg * f.ice_kg_per_day_degree.low / f.ice_kg_per_day_degree.median,
            high: kg * f.ice_kg_per_day_degree.high / f.ice_kg_per_day_degree.median,
        },
        "kg",
        &times(ask.start_hour, swaps, speak),
        format!(
            "A bottle of {} lasts {} h ({} to {}). Each {} cooler takes this bin {} {unit} of ice a day ({} to {}).",
            speak.kilograms(1.0),
            number(f.ice_lasts_hours.median),
            number(f.ice_lasts_hours.low),
            number(f.ice_lasts_hours.high),
            speak.degree(),
            by(a_day.median),
            by(a_day.low),
            by(a_day.high)
        ),
    )
}

fn warm(
    ask: &WeatherAsk<'_>,
    w: &Weather,
    n: &Numbers,
    kg: f64,
    swaps: &[u32],
    speak: Speak<'_>,
) -> Advice {
    let passing = w.figures.passing_w_per_kelvin;
    speak.measured(
        &format!(
            "Lay closed bottles of water at {} on the bed under the cover, wrapped in a cloth; at each filling",
            speak.celsius(n.bottle)
        ),
        Band {
            median: kg,
            low: kg * passing.low / passing.median,
            high: kg * passing.high / passing.median,
        },
        "kg",
        &times(ask.start_hour, swaps, speak),
        "Hotter water cooks the worms beside it.",
    )
}

/// Swaps in words, day by day: the first days in full.
fn times(start_hour: f64, swaps: &[u32], speak: Speak<'_>) -> String {
    const SHOWN: usize = 8;
    let mut days: Vec<(u32, Vec<String>)> = Vec::new();
    for hours in swaps.iter().take(SHOWN) {
        let (day, clock) = moment(start_hour, *hours);
        let clock = format!("{clock:02}:00");
        match days.last_mut() {
            Some((last, clocks)) if *last == day => clocks.push(clock),
            _ => days.push((day, vec![clock])),
        }
    }
    if days.is_empty() {
        return "at no time in this spell".to_owned();
    }
    let said: Vec<String> = days
        .iter()
        .map(|(day, clocks)| format!("{} at {}", (speak.day)(*day), and(clocks)))
        .collect();
    let rest = match swaps.len().saturating_sub(SHOWN) {
        0 => "",
        1 => "; then once more",
        n => &format!("; then {n} times more"),
    };
    format!("{}{rest}", said.join("; "))
}

/// `a`, `a and b`, `a, b and c`.
fn and(list: &[String]) -> String {
    match list.split_last() {
        None => String::new(),
        Some((only, [])) => only.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

/// What to mind with the measures advised.
pub(crate) fn cautions(w: &Weather) -> Vec<String> {
    let Some(least) = &w.least else {
        return Vec::new();
    };
    let mut out: Vec<&str> = Vec::new();
    for m in &least.measures {
        match m {
            Measure::Ice { .. } => out.extend([
                "Leave a tenth of each bottle empty: water swells as it freezes. Ice goes in bottles, never loose, or the bed drowns.",
                "Ice only at one side, so that worms can choose.",
            ]),
            Measure::WarmBottles { .. } => {
                out.push("Check that the bottles are tight, and mind your hands with hot water.");
            }
            Measure::WetCover => out.push(
                "The cloth must not drip into the bin or close its air holes. Keep water away from sockets and leads.",
            ),
            Measure::Heater { .. } => out.extend([
                "Only a heater with its own thermostat and cut-out, on an outlet with a residual-current device (RCD, GFCI). Nothing that can run dry and boil or char, no bare lamp, nothing covered that its label says to leave free.",
                "What the maker's label says comes before this.",
            ]),
            Measure::Move { .. } => out.push(
                "Moist bedding weighs about as much as water does by the half-litre to the litre. Lift with two, from the knees.",
            ),
            Measure::StopFeeding | Measure::Shade | Measure::Wrap => {}
        }
    }
    out.push("Put a thermometer in the middle of the bed: it settles what this can only reckon.");
    out.into_iter().map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advice::PLAIN;

    #[test]
    fn swaps_are_told_day_by_day_and_the_rest_counted() {
        assert_eq!(times(10.0, &[], PLAIN), "at no time in this spell");
        assert_eq!(
            times(10.0, &[1, 5, 25], PLAIN),
            "today at 11:00 and 15:00; tomorrow at 11:00"
        );
        let nine: Vec<u32> = (0..9).collect();
        assert!(times(1.0, &nine, PLAIN).ends_with("07:00 and 08:00; then once more"));
        let ten: Vec<u32> = (0..10).collect();
        assert!(times(1.0, &ten, PLAIN).ends_with("; then 2 times more"));
        assert!(times(1.0, &ten[..8], PLAIN).ends_with("07:00 and 08:00"));
    }
}
