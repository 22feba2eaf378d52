//! What a keeper types, read the same way by commands and pages: plain
//! numbers, dates and moments. What may mean two things is not guessed at.

use jiff::civil::{Date, DateTime};
use jiff::fmt::temporal::Pieces;
use jiff::tz::{AmbiguousOffset, TimeZone};
use jiff::{Timestamp, ZonedDateTime};

/// Furthest a zone is from the middle one [s].
const MOST_OFFSET: i32 = 15 * 3600;

/// The head of what was typed, for repeating it in a message.
pub use engine::echo as short;

/// A number in digits, with a point for decimals: `5.8`, `-3`.
///
/// # Errors
/// What is wrong with it. A comma, an exponent, other digits than 0 to 9 and
/// words such as `nan` are refused, for they may be slips.
pub fn number(text: &str) -> Result<f64, String> {
    let typed = text.trim();
    if typed.contains(',') {
        return Err(format!(
            "`{}` has a comma, which may mean a decimal or thousands. Write a point for decimals: 1.5.",
            short(typed)
        ));
    }
    engine::measure::plain_number(typed).ok_or_else(|| {
        format!(
            "`{}` is not a number. Write digits, such as 12 or 5.8.",
            short(typed)
        )
    })
}

/// A day, `2026-11-24`, and nothing more; none for anything else.
#[must_use]
pub fn date(text: &str) -> Option<Date> {
    let typed = text.trim();
    let shaped = typed.len() == 10 && typed.bytes().all(|b| b.is_ascii_digit() || b == b'-');
    typed.parse().ok().filter(|_| shaped)
}

/// Why a moment was not read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MomentFault {
    /// It is no moment.
    Unreadable,
    /// The clocks went forward over it: there was no such time. The times
    /// that may be meant, by the clock before and after.
    Skipped(Box<[ZonedDateTime; 2]>),
    /// The clocks went back over it: it came twice.
    Twice(Box<[ZonedDateTime; 2]>),
}

impl MomentFault {
    /// The two times that may be meant, the earlier first.
    #[must_use]
    pub fn either(&self) -> Option<&[ZonedDateTime; 2]> {
        match self {
            Self::Unreadable => None,
            Self::Skipped(two) | Self::Twice(two) => Some(two),
        }
    }

    /// What is wrong with `typed`, and the two that may be written instead.
    #[must_use]
    pub fn text(&self, typed: &str) -> String {
        let typed = short(typed);
        match self {
            Self::Unreadable => format!(
                "`{typed}` is not a time; write one such as `2026-11-24T18:05`, `2026-11-24` or `2 days ago`"
            ),
            Self::Skipped(two) => format!(
                "`{typed}` is a time there was not: the clocks went forward over it; write `{}` or `{}`",
                two[0].strftime("%Y-%m-%dT%H:%M"),
                two[1].strftime("%Y-%m-%dT%H:%M")
            ),
            Self::Twice(two) => format!(
                "`{typed}` came twice: the clocks went back over it; write `{}` (the first) or `{}` (the second)",
                two[0].strftime("%Y-%m-%dT%H:%M%:z"),
                two[1].strftime("%Y-%m-%dT%H:%M%:z")
            ),
        }
    }
}

/// A moment as typed: `2026-11-24T18:05`, `2026-11-24 18:05`, `2026-11-24`
/// (noon), with an offset or a zone, or else in `zone`.
///
/// # Errors
/// [`MomentFault`]; a time the clocks skipped or showed twice is never moved.
pub fn moment(text: &str, zone: &TimeZone) -> Result<ZonedDateTime, MomentFault> {
    let typed = text.trim();
    if let Some(day) = date(typed) {
        return local(day.at(12, 0, 0, 0), zone);
    }
    let pieces = Pieces::parse(typed).map_err(|_| MomentFault::Unreadable)?;
    let time = pieces.time().ok_or(MomentFault::Unreadable)?;
    // A leap second would be taken for the second before it.
    if typed.contains(":60") {
        return Err(MomentFault::Unreadable);
    }
    let civil = pieces.date().to_datetime(time);
    // No zone on earth is further from the middle.
    let far =
        |o: jiff::fmt::temporal::PiecesOffset| o.to_numeric_offset().seconds().abs() > MOST_OFFSET;
    if pieces.offset().is_some_and(far) {
        return Err(MomentFault::Unreadable);
    }
    let named = pieces.to_time_zone().map_err(|_| MomentFault::Unreadable)?;
    match (pieces.offset(), named) {
        (None, None) => local(civil, zone),
        (None, Some(named)) => local(civil, &named),
        // Both given must agree, which the parser holds them to.
        (Some(_), Some(_)) => typed.parse().map_err(|_| MomentFault::Unreadable),
        (Some(_), None) => {
            let at: Timestamp = typed.parse().map_err(|_| MomentFault::Unreadable)?;
            Ok(at.to_zoned_datetime(zone.clone()))
        }
    }
}

fn local(civil: DateTime, zone: &TimeZone) -> Result<ZonedDateTime, MomentFault> {
    let found = zone.to_ambiguous_zoned_datetime(civil);
    let offset = found.offset();
    let two = || {
        let (earlier, later) = (found.clone().earlier(), found.clone().later());
        let both = (earlier.ok(), later.ok());
        both.0.zip(both.1).map(|(a, b)| Box::new([a, b]))
    };
    let fault = match offset {
        AmbiguousOffset::Unambiguous { .. } => None,
        AmbiguousOffset::Gap { .. } => two().map(MomentFault::Skipped),
        AmbiguousOffset::Fold { .. } => two().map(MomentFault::Twice),
    };
    match fault {
        Some(fault) => Err(fault),
        None => found.unambiguous().map_err(|_| MomentFault::Unreadable),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_plain_numbers_are_numbers() {
        for (typed, n) in [
            ("5.8", 5.8),
            (" 12 ", 12.0),
            ("-3", -3.0),
            (".5", 0.5),
            ("+2.", 2.0),
        ] {
            assert_eq!(number(typed), Ok(n), "{typed}");
        }
        let odd = [
            "", "1,500", "5,8", "1e3", "1E3", "0x10", "١٢", "nan", "inf", "-inf", "1_000", "1 000",
            "--1", ".", "1.2.3", "５", "−3", "12g",
        ];
        for typed in odd {
            assert!(number(typed).is_err(), "{typed}");
        }
        assert!(number(&"9".repeat(400)).is_err());
        assert!(number(&"x".repeat(10_000)).is_err_and(|e| e.chars().count() < 200));
    }

    #[test]
    fn a_day_is_a_day_and_nothing_more() {
        assert!(date("2026-11-24").is_some());
        for typed in [
            "2026-11-24T18:05",
            "20261124",
            "2026-11-31",
            "24.11.2026",
            "2026-11-24Z",
        ] {
            assert_eq!(date(typed), None, "{typed}");
        }
    }

    #[test]
    fn a_time_the_clocks_skipped_or_showed_twice_is_asked_about() {
        let zone = TimeZone::get("Europe/Paris").unwrap();
        let skipped = moment("2026-03-29T02:30", &zone).unwrap_err();
        assert!(
            skipped
                .text("x")
                .ends_with("write `2026-03-29T01:30` or `2026-03-29T03:30`"),
            "{}",
            skipped.text("x")
        );
        let twice = moment("2026-10-25 02:30", &zone).unwrap_err();
        assert!(twice.text("x").contains(
            "write `2026-10-25T02:30+02:00` (the first) or `2026-10-25T02:30+01:00` (the second)"
        ));
        let [first, second] = twice.either().unwrap();
        assert_eq!(second.duration_since(first).as_secs(), 3600);
        for (written, of) in [("+02:00", first), ("+01:00", second)] {
            let read = moment(&format!("2026-10-25T02:30{written}"), &zone).unwrap();
            assert_eq!(&read, of);
        }
        assert!(matches!(
            moment("2026-10-25T02:30[Europe/Paris]", &zone),
            Err(MomentFault::Twice(_))
        ));
        // A day that was left out of a zone's calendar has no noon.
        let apia = TimeZone::get("Pacific/Apia").unwrap();
        assert!(matches!(
            moment("2011-12-30", &apia),
            Err(MomentFault::Skipped(_))
        ));
    }

    #[test]
    fn what_is_no_moment_is_not_read_as_one() {
        let zone = TimeZone::get("Europe/Paris").unwrap();
        for typed in [
            "2026-11-24T25:00",
            "2026-11-24T23:59:60",
            "now",
            "",
            "2026-11-24T18:05+25:00",
            "2026-11-24T18:05+05:00[Europe/Paris]",
            "1/2/2026",
            "18:05",
        ] {
            assert_eq!(
                moment(typed, &zone),
                Err(MomentFault::Unreadable),
                "{typed}"
            );
        }
        let utc = moment("2026-11-24T17:05Z", &zone).unwrap();
        assert_eq!(utc, moment("2026-11-24T18:05", &zone).unwrap());
    }
}
