//! A piece of advice: what, how much, when and why, in plain words.

mod remedy;

pub use remedy::Remedy;

use crate::measure::{GRAMS_PER_OUNCE, GRAMS_PER_POUND, LITRES_PER_GALLON, System, fahrenheit};
use crate::quantity::Band;

/// How advice is worded: the units it is read in, and what a day is called.
#[derive(Clone, Copy)]
pub struct Speak<'a> {
    /// Units.
    pub system: System,
    /// Name of a day so many days from now: `today`, `Fri 27 Nov`.
    pub day: &'a dyn Fn(u32) -> String,
}

/// Celsius and kilograms, days counted from now.
pub const PLAIN: Speak<'static> = Speak {
    system: System::Metric,
    day: &counted,
};

fn counted(days: u32) -> String {
    match days {
        0 => "today".to_owned(),
        1 => "tomorrow".to_owned(),
        n => format!("day {}", n + 1),
    }
}

impl Speak<'_> {
    fn is_us(&self) -> bool {
        self.system == System::Us
    }

    /// A temperature: `31 °C`, `88 °F`. In °F to the whole degree.
    #[must_use]
    pub fn celsius(&self, value: f64) -> String {
        format!("{} {}", self.warmth(value), self.degree())
    }

    /// A range of temperature: `20 to 25 °C`.
    #[must_use]
    pub fn celsius_range(&self, low: f64, high: f64) -> String {
        format!(
            "{} to {} {}",
            self.warmth(low),
            self.warmth(high),
            self.degree()
        )
    }

    fn warmth(&self, celsius: f64) -> String {
        if self.is_us() {
            format!("{:.0}", fahrenheit(celsius))
        } else {
            number(celsius)
        }
    }

    /// A number of degrees between two temperatures.
    #[must_use]
    pub fn kelvin(&self, value: f64) -> String {
        number(if self.is_us() { value * 1.8 } else { value })
    }

    /// The unit of temperature.
    #[must_use]
    pub fn degree(&self) -> &'static str {
        if self.is_us() { "°F" } else { "°C" }
    }

    /// An amount in the unit given (`kg`, `g`, `g dry`, `L a day`) as it is
    /// read.
    #[must_use]
    pub fn amount(&self, band: Band, unit: &'static str) -> (Band, &'static str) {
        let by = |f: f64, unit: &'static str| {
            let b = Band {
                median: f * band.median,
                low: f * band.low,
                high: f * band.high,
            };
            (b, unit)
        };
        let pounds = band.median >= GRAMS_PER_POUND;
        match (self.is_us(), unit) {
            (true, "kg") => by(1000.0 / GRAMS_PER_POUND, "lb"),
            (true, "g") if pounds => by(1.0 / GRAMS_PER_POUND, "lb"),
            (true, "g") => by(1.0 / GRAMS_PER_OUNCE, "oz"),
            (true, "g dry") if pounds => by(1.0 / GRAMS_PER_POUND, "lb dry"),
            (true, "g dry") => by(1.0 / GRAMS_PER_OUNCE, "oz dry"),
            (true, "L a day") if band.median >= LITRES_PER_GALLON => {
                by(1.0 / LITRES_PER_GALLON, "gal a day")
            }
            (true, "L a day") => by(4.0 / LITRES_PER_GALLON, "qt a day"),
            (false, "g") if band.median >= 1000.0 => by(0.001, "kg"),
            (false, "g dry") if band.median >= 1000.0 => by(0.001, "kg dry"),
            _ => (band, unit),
        }
    }

    /// Something to do, this much of it, as read.
    #[must_use]
    pub fn measured(
        &self,
        what: &str,
        amount: Band,
        unit: &'static str,
        when: &str,
        why: impl Into<String>,
    ) -> Advice {
        let (amount, unit) = self.amount(amount, unit);
        Advice::measured(what, amount, unit, when, why)
    }

    /// A mass of something [kg] with its unit: `1.5 kg`, `3.3 lb`.
    #[must_use]
    pub fn kilograms(&self, kg: f64) -> String {
        if self.is_us() {
            format!("{} lb", number(1000.0 * kg / GRAMS_PER_POUND))
        } else {
            format!("{} kg", number(kg))
        }
    }
}

/// One thing to do.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// What to do, without the amount.
    pub what: String,
    /// How much, with its range, in [`Advice::unit`]; `None` where there is
    /// nothing to measure.
    pub amount: Option<Band>,
    /// Unit of the amount.
    pub unit: &'static str,
    /// When.
    pub when: String,
    /// Why.
    pub why: String,
}

impl Advice {
    /// Something to do that has no amount.
    #[must_use]
    pub fn plain(what: &str, when: &str, why: &str) -> Self {
        Self {
            what: what.to_owned(),
            amount: None,
            unit: "",
            when: when.to_owned(),
            why: why.to_owned(),
        }
    }

    /// Something to do, this much of it.
    #[must_use]
    pub fn measured(
        what: &str,
        amount: Band,
        unit: &'static str,
        when: &str,
        why: impl Into<String>,
    ) -> Self {
        Self {
            what: what.to_owned(),
            amount: Some(amount),
            unit,
            when: when.to_owned(),
            why: why.into(),
        }
    }

    /// As one line of text.
    #[must_use]
    pub fn text(&self) -> String {
        let mut line = self.what.clone();
        if let Some(b) = self.amount {
            let n = |v: f64| number(v);
            line += &format!(": {} {}", n(b.median), self.unit);
            if n(b.low) != n(b.high) {
                line += &format!(" ({} to {})", n(b.low), n(b.high));
            }
        }
        if !self.when.is_empty() {
            line += &format!(", {}", self.when);
        }
        format!("{line}. {}", self.why)
    }
}

/// A chance [0 to 1] in per cent, without false certainty: `under 1 %`,
/// `12 %`, `over 99 %`.
#[must_use]
pub fn chances(of: f64) -> String {
    match of {
        x if x < 0.01 => "under 1 %".to_owned(),
        x if x > 0.99 => "over 99 %".to_owned(),
        x => format!("{:.0} %", 100.0 * x),
    }
}

/// A number as one would say it: two figures, no more.
#[must_use]
pub fn number(v: f64) -> String {
    let v = rounded(v);
    if v.abs() >= 10.0 || v.fract().abs() < 1e-9 {
        format!("{v:.0}")
    } else if v.abs() >= 1.0 {
        format!("{v:.1}")
    } else {
        format!("{v:.2}")
    }
}

/// Rounded to two figures.
#[must_use]
pub fn rounded(v: f64) -> f64 {
    if v == 0.0 || !v.is_finite() {
        return v;
    }
    let scale = 10f64.powf(v.abs().log10().floor() - 1.0);
    (v / scale).round() * scale
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_keeper_in_the_united_states_reads_their_own_units() {
        let us = Speak {
            system: System::Us,
            ..PLAIN
        };
        assert_eq!(us.celsius(31.0), "88 °F");
        assert_eq!(us.celsius_range(10.0, 25.0), "50 to 77 °F");
        assert_eq!(us.kelvin(5.0), "9");
        let band = Band {
            median: 2.0,
            low: 1.0,
            high: 4.0,
        };
        let (b, unit) = us.amount(band, "kg");
        assert_eq!((number(b.median), unit), ("4.4".to_owned(), "lb"));
        let (b, unit) = us.amount(band, "L a day");
        assert_eq!((number(b.high), unit), ("4.2".to_owned(), "qt a day"));
        assert_eq!(PLAIN.amount(band, "kg"), (band, "kg"));
        assert_eq!(PLAIN.celsius(31.0), "31 °C");
    }

    #[test]
    fn a_line_gives_amount_range_time_and_reason() {
        let band = Band {
            median: 1234.0,
            low: 987.0,
            high: 1511.0,
        };
        let a = Advice::measured(
            "Give scraps",
            band,
            "g",
            "on the day you leave",
            "Ordinary.",
        );
        assert_eq!(
            a.text(),
            "Give scraps: 1200 g (990 to 1500), on the day you leave. Ordinary."
        );
        assert_eq!(chances(0.0), "under 1 %");
        assert_eq!(chances(0.124), "12 %");
        assert_eq!(chances(1.0), "over 99 %");
        assert_eq!(number(0.25), "0.25");
        assert_eq!(number(3.0), "3");
        assert_eq!(number(0.0), "0");
    }
}
