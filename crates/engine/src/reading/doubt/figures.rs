//! Figures far from any that are usual: worms, readings, tests, the sizes of a
//! bin.

use super::{Asker, Past};
use crate::log::{BinDescription, Body, Entry, JarTest, Measured, Reading, TrayTest};
use crate::reading::question::Question;
use crate::table::TableError;

impl Asker<'_> {
    pub(super) fn worms(
        &self,
        grams: Option<f64>,
        count: Option<f64>,
        litres: f64,
    ) -> Result<Vec<Question>, TableError> {
        let most_grams = litres * self.most("worms_grams_per_litre")?;
        let most_count = litres * self.most("worms_per_litre")?;
        let said = [
            (grams, most_grams, "g of worms"),
            (count, most_count, "worms"),
        ];
        let over = |(said, most, unit): (Option<f64>, f64, &'static str)| {
            said.filter(|n| *n > most)
                .map(|given| Question::TooManyWorms {
                    given,
                    most,
                    unit,
                    holds: litres,
                })
        };
        Ok(said.into_iter().filter_map(over).collect())
    }

    /// One or two where there were none before.
    pub(super) fn first_worms(
        &self,
        count: Option<f64>,
        past: &Past<'_>,
    ) -> Result<Vec<Question>, TableError> {
        let (least, most) = (self.most("first_worms")?, self.most("worms_per_litre")?);
        let is_before =
            |e: &Entry| matches!(e.body, Body::WormsIn { .. }) && e.at_unix_seconds <= past.at;
        let few = count.filter(|n| *n > 0.0 && *n < least);
        Ok(few
            .filter(|_| !past.log.iter().any(is_before))
            .map_or_else(Vec::new, |n| {
                unusual(
                    "the first worms of this bin",
                    n,
                    least,
                    most * self.holds,
                    "worms",
                )
            }))
    }

    pub(super) fn reading(&self, reading: &Reading) -> Result<Vec<Question>, TableError> {
        let (what, low, high, unit) = match reading.what {
            Measured::MoisturePercent => (
                "the moisture",
                self.most("moisture_low_percent")?,
                self.most("moisture_high_percent")?,
                "% of wet mass",
            ),
            Measured::EcMsCm => (
                "the salt reading (EC)",
                0.0,
                self.most("ec_ms_cm")?,
                "mS/cm",
            ),
            Measured::BinKg => (
                "the mass of the bin",
                self.holds * self.most("bin_low_kg_per_litre")?,
                self.holds * self.most("bin_high_kg_per_litre")?,
                "kg",
            ),
            _ => return Ok(Vec::new()),
        };
        let odd = reading.spots.iter().find(|v| !(low..=high).contains(*v));
        Ok(odd.map_or_else(Vec::new, |v| unusual(what, *v, low, high, unit)))
    }

    pub(super) fn jars(&self, test: &JarTest) -> Result<Vec<Question>, TableError> {
        let wet = test.wet_bedding_grams;
        let (low, high) = (self.most("jar_low_grams")?, self.most("jar_high_grams")?);
        let mut found = unusual("the bedding in each jar", wet, low, high, "g");
        let lime = test.jars.iter().map(|j| j.grams).fold(0.0, f64::max);
        let most = wet * self.most("jar_lime_share")?;
        found.extend(unusual("the lime in a jar", lime, 0.0, most, "g"));
        let most = self.most("jar_hours")?;
        found.extend(unusual("the wait", test.hours, 0.0, most, "h"));
        found.extend(self.odd_jar(test)?);
        Ok(found)
    }

    pub(super) fn tray(&self, test: &TrayTest) -> Result<Vec<Question>, TableError> {
        let most = self.most("tray_worms")?;
        let worms = f64::from(test.worms);
        Ok(unusual("the number on the line", worms, 0.0, most, "worms"))
    }

    /// Sizes of a bin that can hardly be meant.
    pub(super) fn sizes(&self, bin: &BinDescription) -> Result<Vec<Question>, TableError> {
        let (low, high) = (self.most("bin_low_litres")?, self.most("bin_high_litres")?);
        let litres = bin.length_cm * bin.width_cm * bin.depth_cm / 1000.0;
        let mut found = unusual("what the bin holds", litres, low, high, "L");
        let sides = [bin.length_cm, bin.width_cm, bin.depth_cm];
        let longest = sides.into_iter().fold(0.0, f64::max);
        let shortest = sides.into_iter().fold(f64::INFINITY, f64::min);
        if longest > shortest * self.most("bin_sides")? {
            found.push(Question::OddSides { longest, shortest });
        }
        Ok(found)
    }
}

/// Asks when a figure lies outside what is usual.
pub(super) fn unusual(
    what: &'static str,
    given: f64,
    low: f64,
    high: f64,
    unit: &'static str,
) -> Vec<Question> {
    if (low..=high).contains(&given) {
        return Vec::new();
    }
    vec![Question::Unusual {
        what,
        given,
        low,
        high,
        unit,
    }]
}
