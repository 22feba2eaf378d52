//! A piece of advice: what, how much, when and why, in plain words.

use crate::quantity::Band;

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
        assert_eq!(number(0.25), "0.25");
        assert_eq!(number(3.0), "3");
        assert_eq!(number(0.0), "0");
    }
}
