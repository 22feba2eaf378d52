//! The answer in words.

use crate::advice::{Advice, number};
use crate::quantity::Band;
use crate::weather::measure::Measure;
use crate::weather::run::Numbers;
use crate::weather::{Weather, WeatherAsk};

/// A moment in words: hours from now, given the local hour now.
#[must_use]
pub(crate) fn moment(start_hour: f64, hours: u32) -> String {
    let at = start_hour + f64::from(hours);
    let day = (at / 24.0).floor();
    let clock = format!("{:02.0}:00", (at - 24.0 * day).floor());
    match day as u32 {
        0 => format!("today {clock}"),
        1 => format!("tomorrow {clock}"),
        n => format!("day {} {clock}", n + 1),
    }
}

/// What to do, in order.
pub(crate) fn advice(ask: &WeatherAsk<'_>, w: &Weather, n: &Numbers) -> Vec<Advice> {
    let Some(least) = &w.least else {
        return vec![if w.nothing_needed {
            nothing(w, n)
        } else {
            Advice::plain(
                "Move the bin indoors or to a cellar",
                "before then",
                "Nothing else that is at hand helps here.",
            )
        }];
    };
    let mut lines: Vec<Advice> = least
        .measures
        .iter()
        .map(|m| {
            line(
                ask,
                w,
                n,
                m,
                least.hot > 0.0 || w.undone.hot > w.undone.cold,
            )
        })
        .collect();
    if !w.enough {
        lines.push(Advice::plain(
            "Move the bin to a place from 10 to 25 °C",
            &before(ask, w),
            &format!(
                "With all of the above the chance of harm is still {} in 100.",
                number(100.0 * least.either)
            ),
        ));
    }
    lines
}

fn nothing(w: &Weather, n: &Numbers) -> Advice {
    let band = |b: &Band| format!("{} to {} °C", number(b.low), number(b.high));
    Advice::plain(
        "Nothing needed",
        "",
        &format!(
            "The kindest part of the bed gets at most {} and at least {}; worms stand {} to {} °C. The chance of harm is {} in 100.",
            band(&w.undone.hottest),
            band(&w.undone.coldest),
            number(n.cold),
            number(n.hot),
            number(100.0 * w.undone.either)
        ),
    )
}

fn before(ask: &WeatherAsk<'_>, w: &Weather) -> String {
    let hour = w.first_likely_hour.unwrap_or(0).saturating_sub(1);
    format!("before {}", moment(ask.start_hour, hour))
}

fn line(ask: &WeatherAsk<'_>, w: &Weather, n: &Numbers, m: &Measure, heat: bool) -> Advice {
    let before = before(ask, w);
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
                "Full sun acts like air {} to {} °C warmer. Shade takes most of it off; it does not cool below the air.",
                number(n.sun_rise.low),
                number(n.sun_rise.high)
            ),
        ),
        Measure::WetCover => Advice::measured(
            "Hang a wet cloth over top and sides, its foot in water, air holes free, and keep it wet; water for it",
            f.cloth_kg_per_day,
            "L a day",
            &before,
            format!(
                "Drying water cools the air at the walls by about {} °C ({} to {}) at the hottest hour; less in damp air, more in wind.",
                number(f.wet_cloth_degrees.median),
                number(f.wet_cloth_degrees.low),
                number(f.wet_cloth_degrees.high)
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
            &format!("Move the bin to the place at {} °C", number(*celsius)),
            &before,
            "The surest measure. A full bin is heavy: two people, or empty part of it first.",
        ),
        Measure::Ice { kg, swaps } => ice(ask, w, *kg, swaps),
        Measure::WarmBottles { kg, swaps } => warm(ask, w, n, *kg, swaps),
        Measure::Heater { watts, target } => Advice::measured(
            &format!(
                "Heat gently with a thermostat at {} °C, its feeler in the bed; power",
                number(*target)
            ),
            Band {
                median: *watts,
                low: f.heater_watts.low.min(*watts),
                high: *watts,
            },
            "W",
            &before,
            format!(
                "This bin loses {} W ({} to {}) for each degree it is warmer than the air.",
                number(f.passing_w_per_kelvin.median),
                number(f.passing_w_per_kelvin.low),
                number(f.passing_w_per_kelvin.high)
            ),
        ),
    }
}

fn ice(ask: &WeatherAsk<'_>, w: &Weather, kg: f64, swaps: &[u32]) -> Advice {
    let f = &w.figures;
    Advice::measured(
        "Lay ice in closed bottles on the bed under the cover; at each swap",
        Band {
            median: kg,
            low: kg * f.ice_kg_per_day_degree.low / f.ice_kg_per_day_degree.median,
            high: kg * f.ice_kg_per_day_degree.high / f.ice_kg_per_day_degree.median,
        },
        "kg",
        &times(ask.start_hour, swaps),
        format!(
            "A bottle of 1 kg lasts {} h ({} to {}). Each degree cooler takes this bin {} kg of ice a day ({} to {}).",
            number(f.ice_lasts_hours.median),
            number(f.ice_lasts_hours.low),
            number(f.ice_lasts_hours.high),
            number(f.ice_kg_per_day_degree.median),
            number(f.ice_kg_per_day_degree.low),
            number(f.ice_kg_per_day_degree.high)
        ),
    )
}

fn warm(ask: &WeatherAsk<'_>, w: &Weather, n: &Numbers, kg: f64, swaps: &[u32]) -> Advice {
    let passing = w.figures.passing_w_per_kelvin;
    Advice::measured(
        &format!(
            "Lay closed bottles of water at {} °C on the bed under the cover, wrapped in a cloth; at each filling",
            number(n.bottle)
        ),
        Band {
            median: kg,
            low: kg * passing.low / passing.median,
            high: kg * passing.high / passing.median,
        },
        "kg",
        &times(ask.start_hour, swaps),
        "Hotter water cooks the worms beside it.",
    )
}

/// Swaps in words: the first days in full.
fn times(start_hour: f64, swaps: &[u32]) -> String {
    const SHOWN: usize = 8;
    let shown: Vec<String> = swaps
        .iter()
        .take(SHOWN)
        .map(|h| moment(start_hour, *h))
        .collect();
    let rest = swaps.len().saturating_sub(SHOWN);
    match (shown.is_empty(), rest) {
        (true, _) => "at no time in this spell".to_owned(),
        (false, 0) => format!("at {}", shown.join(", ")),
        (false, _) => format!("at {}, and {rest} times more", shown.join(", ")),
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
