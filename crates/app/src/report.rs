//! How numbers, units and dates are shown, in one place: pages, charts and
//! commands all speak through these functions.

use engine::measure::{GRAMS_PER_OUNCE, GRAMS_PER_POUND, LITRES_PER_GALLON};
use engine::quantity::Band;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// What is shown where a figure is missing.
pub const NOT_KNOWN: &str = "not known";

/// The units a keeper reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Units {
    /// Grams, litres, degrees Celsius.
    #[default]
    Metric,
    /// Ounces, US gallons, degrees Fahrenheit.
    Us,
}

impl Units {
    /// The word they are set and sent under.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Metric => "metric",
            Self::Us => "us",
        }
    }

    /// The units of a word; none for any other word.
    #[must_use]
    pub fn of_word(word: &str) -> Option<Self> {
        [Self::Metric, Self::Us]
            .into_iter()
            .find(|u| u.word() == word)
    }
}

/// A unit to show in: shown = (held × factor) + offset.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Shown {
    factor: f64,
    offset: f64,
    unit: &'static str,
}

impl Shown {
    const fn scaled(factor: f64, unit: &'static str) -> Self {
        Self {
            factor,
            offset: 0.0,
            unit,
        }
    }

    fn of(self, value: f64) -> f64 {
        value * self.factor + self.offset
    }
}

fn mass_unit(grams: f64, units: Units) -> Shown {
    match units {
        Units::Metric if grams.abs() >= 1000.0 => Shown::scaled(0.001, "kg"),
        Units::Metric => Shown::scaled(1.0, "g"),
        Units::Us if grams.abs() >= GRAMS_PER_POUND => Shown::scaled(1.0 / GRAMS_PER_POUND, "lb"),
        Units::Us => Shown::scaled(1.0 / GRAMS_PER_OUNCE, "oz"),
    }
}

fn volume_unit(litres: f64, units: Units) -> Shown {
    match units {
        Units::Metric if litres.abs() < 1.0 => Shown::scaled(1000.0, "mL"),
        Units::Metric => Shown::scaled(1.0, "L"),
        Units::Us if litres.abs() >= LITRES_PER_GALLON => {
            Shown::scaled(1.0 / LITRES_PER_GALLON, "gal")
        }
        Units::Us => Shown::scaled(4.0 / LITRES_PER_GALLON, "qt"),
    }
}

fn temperature_unit(units: Units) -> Shown {
    match units {
        Units::Metric => Shown::scaled(1.0, "°C"),
        Units::Us => Shown {
            factor: 1.8,
            offset: 32.0,
            unit: "°F",
        },
    }
}

/// A number to `figures` significant figures, never with an exponent.
#[must_use]
pub fn significant(value: f64, figures: u32) -> String {
    if !value.is_finite() {
        return NOT_KNOWN.to_owned();
    }
    if value == 0.0 {
        return "0".to_owned();
    }
    let kept = figures.max(1) as usize - 1;
    // Written with an exponent, the number is rounded first, so 9.96 to two
    // figures is 10 and not 10.0.
    let rounded: f64 = format!("{value:.kept$e}").parse().unwrap_or(value);
    let place = kept as i32 - rounded.abs().log10().floor() as i32;
    format!("{rounded:.*}", place.clamp(0, 6) as usize)
}

/// Under this a figure is only said to be under it: nobody weighs or measures
/// so little at home.
const LEAST_SAID: f64 = 0.001;

/// A number to two figures, or that it is less than a thousandth.
#[must_use]
pub fn readable(value: f64) -> String {
    if value != 0.0 && value.abs() < LEAST_SAID {
        format!("less than {LEAST_SAID}")
    } else {
        significant(value, 2)
    }
}

/// Whether a band says nothing but that there is next to none of it.
#[must_use]
pub fn says_nothing(band: &Band) -> bool {
    [band.median, band.low, band.high]
        .iter()
        .all(|v| v.abs() < LEAST_SAID)
}

/// A number to two decimals at most, without needless zeros: `9.07`, `12`.
#[must_use]
pub fn plain(value: f64) -> String {
    let text = decimals(value, 2);
    let text = text.trim_end_matches('0');
    text.strip_suffix('.').unwrap_or(text).to_owned()
}

/// A number to a fixed number of decimals, with no minus before a zero.
#[must_use]
pub fn decimals(value: f64, places: usize) -> String {
    if !value.is_finite() {
        return NOT_KNOWN.to_owned();
    }
    let text = format!("{value:.places$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
        _ => text,
    }
}

/// `6.4 (5.9 to 6.8)` with the digits `write` gives and an optional unit.
fn interval(band: &Band, unit: &str, write: impl Fn(f64) -> String) -> String {
    if ![band.median, band.low, band.high]
        .iter()
        .all(|v| v.is_finite())
    {
        return NOT_KNOWN.to_owned();
    }
    let (median, low, high) = (write(band.median), write(band.low), write(band.high));
    let gap = if unit.is_empty() || unit == "%" {
        ""
    } else {
        " "
    };
    format!("{median}{gap}{unit} ({low} to {high})")
}

/// pH to one decimal.
#[must_use]
pub fn ph(value: f64) -> String {
    decimals(value, 1)
}

/// pH with its 80 % interval: `6.4 (5.9 to 6.8)`.
#[must_use]
pub fn ph_band(band: &Band) -> String {
    interval(band, "", ph)
}

/// Any figure to two significant figures with its 80 % interval and unit.
/// Where all of it is under a thousandth, just that: `less than 0.001 mg/kg`.
#[must_use]
pub fn band(band: &Band, unit: &str) -> String {
    if band.high > 0.0 && says_nothing(band) {
        return format!("less than {LEAST_SAID} {unit}")
            .trim_end()
            .to_owned();
    }
    // Beside a value below nothing, less than a thousandth is none to speak of.
    let crosses = band.low < 0.0;
    interval(band, unit, |v| match v {
        v if crosses && v.abs() < LEAST_SAID => "0".to_owned(),
        v => readable(v),
    })
}

/// A percentage to the whole percent.
#[must_use]
pub fn percent(value: f64) -> String {
    if value.is_finite() {
        format!("{} %", decimals(value, 0))
    } else {
        NOT_KNOWN.to_owned()
    }
}

/// A chance or a share that is only worked out [0 to 1]: never bare `0 %` or
/// `100 %`.
#[must_use]
pub fn chance(share: f64) -> String {
    match share {
        s if s < 0.01 => "under 1 %".to_owned(),
        s if s > 0.99 => "over 99 %".to_owned(),
        s => percent(100.0 * s),
    }
}

/// When to look again, of whole days and never sooner than the next: `Look again
/// tomorrow.`, `Look again in 7 days.`
#[must_use]
pub fn look_again(days: f64) -> String {
    if days < 1.5 {
        return "Look again tomorrow.".to_owned();
    }
    format!("Look again in {} days.", decimals(days, 0))
}

/// A percentage with its 80 % interval. An interval too narrow for whole
/// percents is not written as none.
#[must_use]
pub fn percent_band(band: &Band) -> String {
    if band.low >= 0.0 && band.high < 0.5 {
        return "under 1 %".to_owned();
    }
    if band.low > 99.5 {
        return "over 99 %".to_owned();
    }
    interval(band, " %", |v| decimals(v, places(band))).replace("  ", " ")
}

/// Decimals that keep the ends of an interval apart: none where whole numbers
/// do, or where it is exact; else one.
#[must_use]
pub fn places(band: &Band) -> usize {
    let is_closed = decimals(band.low, 0) == decimals(band.high, 0);
    usize::from(is_closed && band.high - band.low >= 0.05)
}

fn one(value: f64, shown: Shown) -> String {
    if value.is_finite() {
        format!("{} {}", significant(shown.of(value), 2), shown.unit)
    } else {
        NOT_KNOWN.to_owned()
    }
}

/// A mass [g], two significant figures, in the keeper's units.
#[must_use]
pub fn grams(value: f64, units: Units) -> String {
    one(value, mass_unit(value, units))
}

/// A mass with its 80 % interval [g].
#[must_use]
pub fn grams_band(band: &Band, units: Units) -> String {
    let shown = mass_unit(band.median, units);
    interval(band, shown.unit, |v| significant(shown.of(v), 2))
}

/// A volume [L], two significant figures, in the keeper's units.
#[must_use]
pub fn litres(value: f64, units: Units) -> String {
    one(value, volume_unit(value, units))
}

/// A volume with its 80 % interval [L].
#[must_use]
pub fn litres_band(band: &Band, units: Units) -> String {
    let shown = volume_unit(band.median, units);
    interval(band, shown.unit, |v| significant(shown.of(v), 2))
}

/// A temperature [°C] to the whole degree, in the keeper's units.
#[must_use]
pub fn celsius(value: f64, units: Units) -> String {
    let shown = temperature_unit(units);
    if value.is_finite() {
        format!("{} {}", decimals(shown.of(value), 0), shown.unit)
    } else {
        NOT_KNOWN.to_owned()
    }
}

/// A temperature with its 80 % interval [°C].
#[must_use]
pub fn celsius_band(band: &Band, units: Units) -> String {
    let shown = temperature_unit(units);
    let places = places(&Band {
        median: shown.of(band.median),
        low: shown.of(band.low),
        high: shown.of(band.high),
    });
    interval(band, shown.unit, |v| decimals(shown.of(v), places))
}

const WEEKDAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// `Fri 27 Nov`, with the year when it is not this one.
#[must_use]
pub fn date(day: Date, today: Date) -> String {
    let weekday = WEEKDAYS[day.weekday().to_monday_zero_offset() as usize];
    let words = format!("{weekday} {}", day_month(day));
    if day.year() == today.year() {
        words
    } else {
        format!("{words} {}", day.year())
    }
}

/// `27 Nov`.
#[must_use]
pub fn day_month(day: Date) -> String {
    format!("{} {}", day.day(), MONTHS[day.month() as usize - 1])
}

/// `today`, `tomorrow`, `in 3 days`, `yesterday`, `3 days ago`.
#[must_use]
pub fn from_today(day: Date, today: Date) -> String {
    let days = day.duration_since(today).as_hours() / 24;
    match days {
        0 => "today".to_owned(),
        1 => "tomorrow".to_owned(),
        -1 => "yesterday".to_owned(),
        2.. => format!("in {days} days"),
        _ => format!("{} days ago", -days),
    }
}

/// `Fri 27 Nov (in 3 days)`.
#[must_use]
pub fn date_and_distance(day: Date, today: Date) -> String {
    format!("{} ({})", date(day, today), from_today(day, today))
}

/// `1 spot`, `3 spots`.
#[must_use]
pub fn count(number: usize, one: &str, many: &str) -> String {
    if number == 1 {
        format!("1 {one}")
    } else {
        format!("{number} {many}")
    }
}

/// Text with what was typed in it, which messages set between backticks, in
/// quotation marks.
#[must_use]
pub fn quoted(text: &str) -> String {
    let mut pieces = text.split('`');
    let mut out = pieces.next().unwrap_or_default().to_owned();
    for (i, piece) in pieces.enumerate() {
        out.push(if i % 2 == 0 { '“' } else { '”' });
        out.push_str(piece);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date as day;

    const BAND: Band = Band {
        median: 6.42,
        low: 5.88,
        high: 6.81,
    };

    #[test]
    fn ph_has_one_decimal() {
        assert_eq!(ph_band(&BAND), "6.4 (5.9 to 6.8)");
        assert_eq!(ph(7.0), "7.0");
        assert_eq!(ph(f64::NAN), NOT_KNOWN);
    }

    #[test]
    fn masses_have_two_figures_and_the_keepers_unit() {
        assert_eq!(grams(34.6, Units::Metric), "35 g");
        assert_eq!(grams(346.0, Units::Metric), "350 g");
        assert_eq!(grams(1234.0, Units::Metric), "1.2 kg");
        assert_eq!(grams(3.46, Units::Metric), "3.5 g");
        assert_eq!(grams(100.0, Units::Us), "3.5 oz");
        assert_eq!(grams(1000.0, Units::Us), "2.2 lb");
        assert_eq!(grams(0.0, Units::Metric), "0 g");
        let band = Band {
            median: 1200.0,
            low: 800.0,
            high: 1900.0,
        };
        assert_eq!(grams_band(&band, Units::Metric), "1.2 kg (0.80 to 1.9)");
    }

    #[test]
    fn volumes_temperatures_and_shares() {
        assert_eq!(litres(20.0, Units::Metric), "20 L");
        assert_eq!(litres(0.25, Units::Metric), "250 mL");
        assert_eq!(litres(20.0, Units::Us), "5.3 gal");
        assert_eq!(celsius(20.0, Units::Metric), "20 °C");
        assert_eq!(celsius(20.0, Units::Us), "68 °F");
        assert_eq!(percent(72.4), "72 %");
        let band = Band {
            median: 72.0,
            low: 65.0,
            high: 80.0,
        };
        assert_eq!(percent_band(&band), "72 % (65 to 80)");
        let near = |median: f64, half: f64| Band {
            median,
            low: (median - half).max(0.0),
            high: median + half,
        };
        assert_eq!(percent_band(&near(0.1, 0.1)), "under 1 %");
        assert_eq!(percent_band(&near(12.0, 0.2)), "12.0 % (11.8 to 12.2)");
        assert_eq!(percent_band(&near(12.0, 0.0)), "12 % (12 to 12)");
        let cold = celsius_band(&near(0.1, 0.1), Units::Metric);
        assert_eq!(cold.replace('\u{a0}', " "), "0.1 °C (0.0 to 0.2)");
        assert_eq!(chance(0.999), "over 99 %");
    }

    #[test]
    fn next_to_nothing_is_said_so_and_not_as_a_row_of_zeros() {
        let band_of = |median, low, high| Band { median, low, high };
        let tiny = band_of(3.0e-8, 1.0e-9, 4.0e-7);
        assert_eq!(band(&tiny, "mg N/kg"), "less than 0.001 mg N/kg");
        assert!(says_nothing(&tiny));
        let some = band_of(0.02, 4.0e-6, 0.31);
        assert_eq!(band(&some, "mg"), "0.020 mg (less than 0.001 to 0.31)");
        assert!(!says_nothing(&some));
        let about = band_of(-0.000_3, -0.017, 0.016);
        assert_eq!(band(&about, "pH"), "0 pH (-0.017 to 0.016)");
        let none = band_of(0.0, 0.0, 0.0);
        assert_eq!(band(&none, "mg"), "0 mg (0 to 0)");
    }

    #[test]
    fn no_minus_before_a_zero_and_no_exponent() {
        assert_eq!(decimals(-0.01, 1), "0.0");
        assert_eq!(decimals(-0.06, 1), "-0.1");
        assert_eq!(significant(1.0e7, 2), "10000000");
        assert_eq!(significant(9.96, 2), "10");
    }

    #[test]
    fn dates_in_words() {
        let today = day(2026, 11, 24);
        assert_eq!(date(day(2026, 11, 27), today), "Fri 27 Nov");
        assert_eq!(date(day(2027, 1, 1), today), "Fri 1 Jan 2027");
        assert_eq!(from_today(day(2026, 11, 27), today), "in 3 days");
        assert_eq!(from_today(today, today), "today");
        assert_eq!(from_today(day(2026, 11, 20), today), "4 days ago");
        assert_eq!(
            date_and_distance(day(2026, 11, 25), today),
            "Wed 25 Nov (tomorrow)"
        );
    }
}
