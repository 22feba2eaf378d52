//! Daily highs and lows as a keeper types or pastes them.

use crate::bounds::SPELL_CELSIUS;
use crate::echo;
use crate::living::room::Day;
use crate::measure::{fahrenheit, plain_number};
use thiserror::Error;

/// Scale the temperatures are written in when no heading says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Degrees {
    /// Celsius.
    #[default]
    Celsius,
    /// Fahrenheit.
    Fahrenheit,
}

/// Most days taken.
pub const MOST_DAYS: usize = 14;

/// Days as read.
#[derive(Debug, Clone, PartialEq)]
pub struct Spell {
    /// Date of the first day, where the lines give dates (year-month-day).
    pub first_date: Option<String>,
    /// The days, in °C.
    pub days: Vec<Day>,
}

/// Why the days could not be read.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum DaysError {
    /// Nothing there.
    #[error("there are no days; write one a line, such as `2026-07-01, 38, 24` or `38 24`")]
    Nothing,
    /// Too many.
    #[error("line {line}: more than {MOST_DAYS} days; give 1 to {MOST_DAYS}")]
    TooMany {
        /// Line of the first day too many.
        line: usize,
    },
    /// A line of the wrong shape.
    #[error("line {line}: `{text}` has {}; write `date, high, low` or `high, low`", values(*.found))]
    Shape {
        /// Line.
        line: usize,
        /// As written.
        text: String,
        /// Values found.
        found: usize,
    },
    /// Not a number.
    #[error("line {line}: {field} `{value}` is not a number; give {unit} from {low} to {high}")]
    NotANumber {
        /// Line.
        line: usize,
        /// high or low.
        field: &'static str,
        /// As written.
        value: String,
        /// Unit.
        unit: &'static str,
        /// Lowest taken.
        low: f64,
        /// Highest taken.
        high: f64,
    },
    /// Outside the range.
    #[error(
        "line {line}: {field} {value} {unit} is outside the allowed range {low} to {high} {unit}{hint}"
    )]
    Outside {
        /// Line.
        line: usize,
        /// high or low.
        field: &'static str,
        /// As written.
        value: String,
        /// Unit.
        unit: &'static str,
        /// Lowest taken.
        low: f64,
        /// Highest taken.
        high: f64,
        /// What may be meant.
        hint: &'static str,
    },
    /// The low is over the high.
    #[error(
        "line {line}: low {low} {unit} is over high {high} {unit}; the order is high, then low, unless a heading says otherwise"
    )]
    Crossed {
        /// Line.
        line: usize,
        /// Low.
        low: String,
        /// High.
        high: String,
        /// Unit.
        unit: &'static str,
    },
    /// A date that cannot be read or does not follow.
    #[error("line {line}: date `{date}` {what}")]
    Date {
        /// Line.
        line: usize,
        /// As written.
        date: String,
        /// What is wrong.
        what: String,
    },
}

impl Degrees {
    /// Its sign.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Celsius => "°C",
            Self::Fahrenheit => "°F",
        }
    }

    fn to_celsius(self, v: f64) -> f64 {
        match self {
            Self::Celsius => v,
            Self::Fahrenheit => (v - 32.0) / 1.8,
        }
    }

    fn taken(self) -> (f64, f64) {
        let taken = (SPELL_CELSIUS.low, SPELL_CELSIUS.high);
        match self {
            Self::Celsius => taken,
            Self::Fahrenheit => (fahrenheit(taken.0), fahrenheit(taken.1)),
        }
    }
}

/// What the lines are, by the heading.
#[derive(Debug, Clone, Copy)]
struct Shape {
    degrees: Degrees,
    low_first: bool,
}

/// Reads days from text: one a line, `date, high, low` or `high low`, parted by
/// commas, semicolons, tabs or spaces. A heading may come first; it may put
/// low before high and name °C or °F. Empty lines and lines with `#` are left
/// out.
///
/// # Errors
/// [`DaysError`] naming line, field, value, unit and allowed range.
pub fn parse_days(text: &str, degrees: Degrees) -> Result<Spell, DaysError> {
    let mut shape = Shape {
        degrees,
        low_first: false,
    };
    let mut spell = Spell {
        first_date: None,
        days: Vec::new(),
    };
    let mut last_date: Option<i64> = None;
    let mut started = false;
    for (i, raw) in text.lines().enumerate() {
        let line = i + 1;
        let raw = raw.trim().trim_start_matches('\u{feff}');
        if raw.is_empty() || raw.starts_with('#') {
            continue;
        }
        if !started && is_heading(raw) {
            shape = heading(raw, degrees);
            started = true;
            continue;
        }
        started = true;
        let cells = cells(raw);
        let (date, highs) = match cells.as_slice() {
            [a, b] => (None, [*a, *b]),
            [date, a, b] => (Some(*date), [*a, *b]),
            _ => {
                return Err(DaysError::Shape {
                    line,
                    text: echo(raw),
                    found: cells.len(),
                });
            }
        };
        if let Some(date) = date {
            let number = follows(line, date, last_date)?;
            last_date = Some(number);
            if spell.days.is_empty() {
                spell.first_date = Some(date.to_owned());
            }
        }
        if spell.days.len() == MOST_DAYS {
            return Err(DaysError::TooMany { line });
        }
        spell.days.push(day(line, highs, shape)?);
    }
    if spell.days.is_empty() {
        return Err(DaysError::Nothing);
    }
    Ok(spell)
}

/// Cells of a line: parted by commas and the like where there are any, else by
/// spaces.
fn cells(raw: &str) -> Vec<&str> {
    let parted = |c: char| matches!(c, ',' | ';' | '\t');
    let cells: Vec<&str> = if raw.contains(parted) {
        raw.split(parted).map(str::trim).collect()
    } else {
        raw.split_whitespace().collect()
    };
    cells.into_iter().filter(|c| !c.is_empty()).collect()
}

/// A heading names high or low in letters.
fn is_heading(raw: &str) -> bool {
    let lower = raw.to_lowercase();
    ["high", "low", "max", "min"]
        .iter()
        .any(|w| lower.contains(w))
}

fn heading(raw: &str, usual: Degrees) -> Shape {
    let lower = raw.to_lowercase();
    let at = |words: [&str; 2]| words.iter().filter_map(|w| lower.find(w)).min();
    let low_first = match (at(["low", "min"]), at(["high", "max"])) {
        (Some(low), Some(high)) => low < high,
        _ => false,
    };
    let words = || lower.split(|c: char| !c.is_alphanumeric());
    let degrees = if lower.contains("fahrenheit") || words().any(|w| w == "f") {
        Degrees::Fahrenheit
    } else if lower.contains("celsius") || words().any(|w| w == "c") {
        Degrees::Celsius
    } else {
        usual
    };
    Shape { degrees, low_first }
}

fn day(line: usize, cells: [&str; 2], shape: Shape) -> Result<Day, DaysError> {
    let [high, low] = if shape.low_first {
        [cells[1], cells[0]]
    } else {
        cells
    };
    let h = celsius(line, "high", high, shape.degrees)?;
    let l = celsius(line, "low", low, shape.degrees)?;
    if l > h {
        return Err(DaysError::Crossed {
            line,
            low: echo(low),
            high: echo(high),
            unit: shape.degrees.unit(),
        });
    }
    Ok(Day { low: l, high: h })
}

fn celsius(
    line: usize,
    field: &'static str,
    text: &str,
    degrees: Degrees,
) -> Result<f64, DaysError> {
    let (low, high) = degrees.taken();
    let unit = degrees.unit();
    let clean = text.replace('\u{2212}', "-");
    let number = plain_number(&clean).ok_or_else(|| DaysError::NotANumber {
        line,
        field,
        value: echo(text),
        unit,
        low,
        high,
    })?;
    if !(low..=high).contains(&number) {
        let fits_f = degrees == Degrees::Celsius && (60.0..=140.0).contains(&number);
        return Err(DaysError::Outside {
            line,
            field,
            value: echo(text),
            unit,
            low,
            high,
            hint: if fits_f {
                "; if it is °F, say so in a heading or the setting"
            } else {
                ""
            },
        });
    }
    Ok(degrees.to_celsius(number))
}

/// The day's number, when it is a date and the day after the last.
fn follows(line: usize, date: &str, last: Option<i64>) -> Result<i64, DaysError> {
    let wrong = |what: &str| DaysError::Date {
        line,
        date: echo(date),
        what: what.to_owned(),
    };
    let number = day_number(date)
        .ok_or_else(|| wrong("is not a date; write year-month-day, such as 2026-07-01"))?;
    match last {
        Some(last) if number != last + 1 => Err(wrong(
            "does not follow the line before; give every day, in order",
        )),
        _ => Ok(number),
    }
}

/// Days since 1970-01-01 of a date year-month-day (proleptic Gregorian).
fn day_number(date: &str) -> Option<i64> {
    let mut parts = date.split('-');
    let (y, m, d) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() || y.len() != 4 {
        return None;
    }
    let whole = |text: &str| {
        let digits = text.bytes().all(|b| b.is_ascii_digit());
        digits.then(|| text.parse::<i64>().ok()).flatten()
    };
    let (y, m, d) = (whole(y)?, whole(m)?, whole(d)?);
    let leap = y % 4 == 0 && (y % 100 != 0 || y % 400 == 0);
    let most = match m {
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        1..=12 => 31,
        _ => return None,
    };
    if !(1..=most).contains(&d) {
        return None;
    }
    // Years begin in March, so that the leap day comes last.
    let y = if m <= 2 { y - 1 } else { y };
    let of_year = (153 * ((m + 9) % 12) + 2) / 5 + d - 1;
    Some(365 * y + y.div_euclid(4) - y.div_euclid(100) + y.div_euclid(400) + of_year - 719_468)
}

/// `1 value`, `4 values`.
fn values(found: usize) -> String {
    match found {
        1 => "1 value".to_owned(),
        n => format!("{n} values"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str) -> String {
        parse_days(text, Degrees::Celsius).unwrap_err().to_string()
    }

    #[test]
    fn all_ways_of_writing_say_the_same() {
        let want = [(38.0, 24.0), (40.0, 25.5)];
        for text in [
            "38 24\n40 25.5",
            "38,24\n\n40,25.5\n",
            "date,high,low\n2026-07-01,38,24\n2026-07-02,40,25.5",
            "low;high\n24;38\n25.5;40",
            "# forecast\nhigh_f,low_f\n100.4,75.2\n104,77.9",
            "Date\tMax °F\tMin °F\n2026-12-31\t100.4\t75.2\n2027-01-01\t104\t77.9",
        ] {
            let spell = parse_days(text, Degrees::Celsius).unwrap();
            assert_eq!(spell.days.len(), 2, "{text}");
            for (day, (high, low)) in spell.days.iter().zip(want) {
                assert!((day.high - high).abs() < 1e-9, "{text}");
                assert!((day.low - low).abs() < 1e-9, "{text}");
            }
        }
        let f = parse_days("14 -4", Degrees::Fahrenheit).unwrap();
        assert!((f.days[0].high + 10.0).abs() < 1e-9 && (f.days[0].low + 20.0).abs() < 1e-9);
    }

    #[test]
    fn faults_name_line_field_value_unit_and_range() {
        assert_eq!(
            said("38 24\n95 70"),
            "line 2: high 95 °C is outside the allowed range -40 to 60 °C; if it is °F, say so in a heading or the setting"
        );
        assert_eq!(
            said("38 warm"),
            "line 1: low `warm` is not a number; give °C from -40 to 60"
        );
        assert_eq!(
            said("24 38"),
            "line 1: low 38 °C is over high 24 °C; the order is high, then low, unless a heading says otherwise"
        );
        assert_eq!(
            said("38"),
            "line 1: `38` has 1 value; write `date, high, low` or `high, low`"
        );
        assert_eq!(
            said("2026-02-29,8,2"),
            "line 1: date `2026-02-29` is not a date; write year-month-day, such as 2026-07-01"
        );
        assert!(said("2026-02-28,8,2\n2026-03-02,8,2").contains("does not follow"));
        assert!(said("2026-02-28,8,2\n2026-03-01,NaN,2").contains("not a number"));
        assert!(said(" \n").contains("there are no days"));
        assert!(said(&"8 2\n".repeat(15)).starts_with("line 15: more than 14 days"));
    }

    #[test]
    fn only_plain_numbers_are_temperatures() {
        for odd in [
            "1e1", "NaN", "inf", "-inf", "0x10", "１２", "١٢", "1_0", "--1", ".",
        ] {
            for text in [format!("{odd} 4"), format!("38 {odd}")] {
                assert!(said(&text).contains("not a number"), "{text}");
            }
        }
        let signed = parse_days("+38 \u{2212}4", Degrees::Celsius).unwrap().days[0];
        assert!((signed.high - 38.0).abs() < 1e-9 && (signed.low + 4.0).abs() < 1e-9);
        assert!(said("2026-+7-01,8,2").contains("is not a date"));
        assert!(said(&format!("{} 4", "9".repeat(10_000))).chars().count() < 300);
    }

    #[test]
    fn days_are_numbered_from_1970() {
        assert_eq!(day_number("1970-01-01"), Some(0));
        assert_eq!(day_number("2000-03-01"), Some(11_017));
        assert_eq!(day_number("2024-02-29"), Some(19_782));
    }
}
