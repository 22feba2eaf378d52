//! How acid is too acid: one scale and one set of words for every page and
//! command. The numbers are those of the tables.

use engine::table::{TableError, Tables};

/// The scale pH is told on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PhScale {
    /// Below this it is too acid: worms grow uneasy, climb and stop breeding.
    pub too_acid: f64,
    /// Where worms do best, from and to.
    pub best: (f64, f64),
    /// Limed past where it should be: to be brought down.
    pub over_limed: f64,
    /// Above this it is too alkaline.
    pub too_alkaline: f64,
}

impl PhScale {
    /// From the tables.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn of(tables: &Tables) -> Result<Self, TableError> {
        let worms = |property: &str| tables.value("tolerances", "worms", property);
        Ok(Self {
            too_acid: worms("ph_uncomfortable_below")?,
            best: (worms("ph_target_low")?, worms("ph_target_high")?),
            over_limed: tables.value("bed", "dose", "over_above_ph")?,
            too_alkaline: tables.value("living", "alarm", "bed_ph_high")?,
        })
    }

    /// A pH in words.
    #[must_use]
    pub fn words(&self, ph: f64) -> &'static str {
        match ph {
            v if v < self.too_acid => "too acid",
            v if v < self.best.0 => "a little acid",
            v if v <= self.best.1 => "best for worms",
            v if v <= self.too_alkaline => "a little alkaline",
            _ => "too alkaline",
        }
    }

    /// The whole scale in a sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let ph = crate::report::ph;
        format!(
            "Worms do best at pH {} to {}, and get on from {} to {}.",
            ph(self.best.0),
            ph(self.best.1),
            ph(self.too_acid),
            ph(self.too_alkaline)
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::advice::Remedy;
    use engine::living::trouble::Trouble;

    #[test]
    fn what_is_said_of_acid_and_alkaline_is_what_the_tables_say() {
        let scale = PhScale::of(&Tables::load().unwrap()).unwrap();
        let acid = format!("pH {}", crate::report::ph(scale.too_acid));
        assert!(Remedy::of(Trouble::Acid).why.contains(&acid), "{acid}");
        let alkaline = format!("pH {}", crate::report::ph(scale.too_alkaline));
        assert!(Remedy::of(Trouble::Alkaline).why.contains(&alkaline));
        assert_eq!(scale.words(5.2), Remedy::of(Trouble::Acid).short);
        assert_eq!(scale.words(9.0), Remedy::of(Trouble::Alkaline).short);
        let rising = [5.0, 6.0, 7.0, 8.0, 9.0].map(|ph| scale.words(ph));
        assert_eq!(
            rising,
            [
                "too acid",
                "a little acid",
                "best for worms",
                "a little alkaline",
                "too alkaline"
            ]
        );
    }
}
