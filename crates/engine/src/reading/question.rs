//! Readings and other entries that cannot be, or hardly: asked about before
//! they are saved.

use crate::echo::Said;
use crate::measure::{GRAMS_PER_POUND, LITRES_PER_GALLON, System, fahrenheit};
use crate::quantity::Band;
use crate::reading::instrument::Instrument;

/// A reason to ask the keeper once more before saving.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Question {
    /// The probe shows the value it rests at when it touches nothing.
    Idle {
        /// That value.
        value: f64,
    },
    /// Typed without its decimal point.
    DecimalPoint {
        /// As typed.
        typed: f64,
        /// What was probably meant.
        meant: f64,
    },
    /// Off the pH scale.
    OffScale {
        /// As typed.
        typed: f64,
    },
    /// On the scale, but no bedding is like that.
    Unlikely {
        /// As typed.
        typed: f64,
    },
    /// Far from what the log so far makes likely.
    Surprising {
        /// As typed.
        typed: f64,
        /// What was expected, before the instrument's own error.
        expected: Band,
    },
    /// Every spot shows exactly the same.
    AllTheSame {
        /// The value.
        value: f64,
        /// How many spots.
        spots: usize,
    },
    /// More loose feed, bedding or water than the bin has room for.
    Overfull {
        /// What: feed, bedding or water.
        what: &'static str,
        /// How much [L].
        litres: f64,
        /// Inner volume of the bin [L].
        holds: f64,
    },
    /// More feed by mass than the bin could hold.
    TooMuchFeed {
        /// How much [kg].
        kg: f64,
        /// Most it could hold [kg].
        most_kg: f64,
        /// Inner volume of the bin [L].
        holds: f64,
    },
    /// Far more taken out, or fed, than goes with what is in the bin.
    BeyondContents {
        /// What: castings, liquid drained or feed.
        what: &'static str,
        /// How much [kg].
        kg: f64,
        /// Most that can be in the bin by its log [kg].
        within_kg: f64,
    },
    /// More water at once than there is bedding.
    BeyondBed {
        /// How much [L].
        litres: f64,
        /// Most that can be in the bin by its log, of bedding and food [L].
        bed: f64,
    },
    /// An amount too small to be measured.
    TooLittle {
        /// As typed, with its unit.
        typed: String,
    },
    /// More worms than the bin could hold.
    TooManyWorms {
        /// As typed.
        given: f64,
        /// Most it could hold.
        most: f64,
        /// Unit of both: `g of worms` or `worms`.
        unit: &'static str,
        /// Inner volume of the bin [L].
        holds: f64,
    },
    /// More lime, acid or the like than a bin of this size is ever given.
    TooMuchDose {
        /// How much [kg].
        kg: f64,
        /// Most that is usual [kg].
        most_kg: f64,
        /// Inner volume of the bin [L].
        holds: f64,
    },
    /// A figure far from any that is usual.
    Unusual {
        /// What, with its article.
        what: &'static str,
        /// As given.
        given: f64,
        /// Lowest that is usual.
        low: f64,
        /// Highest that is usual.
        high: f64,
        /// Unit of all three.
        unit: &'static str,
    },
    /// Sides of a bin too unlike each other.
    OddSides {
        /// The longest [cm].
        longest: f64,
        /// The shortest [cm].
        shortest: f64,
    },
    /// Filled anew soon after it was filled.
    FilledTwice {
        /// Within so many days [d].
        days: f64,
    },
    /// A time far from the rest of the log.
    When {
        /// The time as understood, written out.
        at: String,
        /// What is odd about it, as a clause.
        why: String,
    },
    /// A question already put in the keeper's units.
    InWords(String),
    /// A bed or air hotter or colder than either is found.
    UnlikelyWarmth {
        /// As understood [°C].
        celsius: f64,
    },
    /// Two words of one look that cannot both be.
    Contradiction {
        /// What one says.
        one: &'static str,
        /// What the other says.
        other: &'static str,
    },
}

impl Question {
    /// Whether the value cannot be a pH, so it is refused rather than asked about.
    #[must_use]
    pub fn refuses(&self) -> bool {
        matches!(self, Self::DecimalPoint { .. } | Self::OffScale { .. })
    }

    /// The same question in the keeper's units; those about a pH have none.
    #[must_use]
    pub fn in_units_of(self, system: System) -> Self {
        let of_ph = !self.ph_text().is_empty();
        if of_ph || system == System::Metric {
            return self;
        }
        Self::InWords(self.text_in(system))
    }

    /// The question in plain words, in metric units.
    #[must_use]
    pub fn text(&self) -> String {
        self.text_in(System::Metric)
    }

    /// The question in plain words and the keeper's units.
    #[must_use]
    pub fn text_in(&self, system: System) -> String {
        let litres = |x: f64| in_units(x, "L", system);
        let kg = |x: f64| in_units(x, "kg", system);
        match self {
            Self::Overfull {
                what,
                litres: much,
                holds,
            } => format!(
                "That is about {} of {what}, and this bin holds {}. Is the amount right?",
                litres(*much),
                litres(*holds)
            ),
            Self::TooMuchFeed {
                kg: much,
                most_kg,
                holds,
            } => format!(
                "That is about {} of feed, and this bin of {} could hold {} at most. Is the amount right?",
                kg(*much),
                litres(*holds),
                kg(*most_kg)
            ),
            Self::TooMuchDose {
                kg: much,
                most_kg,
                holds,
            } => format!(
                "That is about {}; a bin of {} is hardly ever given more than {} at once. Is the amount right?",
                kg(*much),
                litres(*holds),
                kg(*most_kg)
            ),
            Self::BeyondContents {
                what,
                kg: much,
                within_kg,
            } => format!(
                "That is about {} of {what}; by the log, all that is in this bin weighs {} at most. Is the amount right?",
                kg(*much),
                kg(*within_kg)
            ),
            Self::BeyondBed { litres: much, bed } => format!(
                "That is about {} of water; by the log, bedding and food in this bin are {} at most, and more would run through. Is the amount right?",
                litres(*much),
                litres(*bed)
            ),
            Self::TooLittle { typed } => format!(
                "`{typed}` is too little to be measured at home. Are the amount and its unit right?"
            ),
            Self::TooManyWorms {
                given,
                most,
                unit,
                holds,
            } => format!(
                "{} {unit} are more than {} of bedding could hold ({} {unit} at most). Is the amount right?",
                Said(round(*given)),
                litres(*holds),
                Said(round(*most))
            ),
            Self::Unusual {
                what,
                given,
                low,
                high,
                unit,
            } => {
                let said = |x: f64| in_units(x, unit, system);
                let usual = match *low > 0.0 || given < low {
                    true => format!("between {} and {}", said(*low), said(*high)),
                    false => format!("at most {}", said(*high)),
                };
                format!(
                    "That makes {what} {}; usual is {usual}. Is it right?",
                    said(*given)
                )
            }
            Self::OddSides { longest, shortest } => format!(
                "One side is {} and another {}. Are the sizes right?",
                in_units(*longest, "cm", system),
                in_units(*shortest, "cm", system)
            ),
            Self::FilledTwice { days } => format!(
                "This bin was filled within {days:.0} days of that. Filling it says that it was emptied and begun anew; bedding put on top is bedding added. Was it emptied?"
            ),
            Self::When { at, why } => format!("That is {at}, {why}. Is the date right?"),
            Self::InWords(text) => text.clone(),
            Self::UnlikelyWarmth { celsius } => unlikely_warmth_text(*celsius),
            Self::Contradiction { one, other } => format!(
                "Two words contradict each other: {one}, and {other}. Did you find both in this one look?"
            ),
            of_ph => of_ph.ph_text(),
        }
    }

    /// Questions about a pH, which has no units.
    fn ph_text(&self) -> String {
        match self {
            Self::Idle { value } => format!(
                "Your instrument rests at {value:.1} when it touches nothing or the bedding is too dry. \
                 Press it into moist bedding, wait a minute, and see whether it moves. Did it move and come back to {value:.1}?"
            ),
            Self::DecimalPoint { typed, meant } => {
                format!(
                    "pH `{}` is off the scale (0 to 14). Did you mean {meant:.1}?",
                    Said(*typed)
                )
            }
            Self::OffScale { typed } => {
                format!(
                    "pH `{}` is off the scale (0 to 14). Please read it again.",
                    Said(*typed)
                )
            }
            Self::Unlikely { typed } => format!(
                "pH {typed:.1} is outside anything bedding is known to show (about 3 to 10). \
                 It may be the instrument, or lime or ash stuck to it. Is it really what it showed?"
            ),
            Self::Surprising { typed, expected } => format!(
                "pH {typed:.1} is far from what your log makes likely ({:.1}, range {:.1} to {:.1}). \
                 It may be right. Read one more spot if you can. Is it what the instrument showed?",
                expected.median, expected.low, expected.high
            ),
            Self::AllTheSame { value, spots } => format!(
                "All {spots} spots show exactly {value:.1}. Bedding is never that even, so the probe may be stuck. \
                 Is that what it showed at every spot?"
            ),
            _ => String::new(),
        }
    }
}

fn unlikely_warmth_text(celsius: f64) -> String {
    format!(
        "{celsius:.0} °C ({:.0} °F) is {} than a bed or the air round it is found to be ({COLDEST:.0} to {HOTTEST:.0} °C). \
         {celsius:.0} °F would be {:.0} °C. Is it really what the thermometer showed?",
        fahrenheit(celsius),
        if celsius > HOTTEST {
            "hotter"
        } else {
            "colder"
        },
        (celsius - 32.0) / 1.8
    )
}

/// A figure with its unit, in the keeper's units, as long as it is worth.
fn in_units(value: f64, unit: &'static str, system: System) -> String {
    let (value, unit) = match (system, unit) {
        (System::Us, "L") => (value / LITRES_PER_GALLON, "gallons"),
        (System::Us, "kg") => (1000.0 * value / GRAMS_PER_POUND, "lb"),
        (System::Us, "cm") => (value / 2.54, "in"),
        (System::Metric, "kg") if value < 1.0 => (1000.0 * value, "g"),
        _ => (value, unit),
    };
    let value = round(value);
    let unit = match unit {
        "gallons" if value == 1.0 => "gallon",
        unit => unit,
    };
    match unit.is_empty() {
        true => Said(value).to_string(),
        false => format!("{} {unit}", Said(value)),
    }
}

/// Whole above ten, else to two digits.
fn round(value: f64) -> f64 {
    if value.abs() >= 10.0 || value == 0.0 {
        return value.round();
    }
    let digits = 10f64.powf(1.0 - value.abs().log10().floor());
    (value * digits).round() / digits
}

/// Hottest a bed or the air round it is found to be [°C].
const HOTTEST: f64 = 60.0;
/// Coldest a bed or the air round it is found to be [°C].
const COLDEST: f64 = -5.0;

/// The question raised by the spots of one reading of warmth [°C]: degrees
/// Fahrenheit are easily typed for Celsius.
#[must_use]
pub fn unlikely_warmth(spots: &[f64]) -> Option<Question> {
    spots
        .iter()
        .find(|s| !(COLDEST..=HOTTEST).contains(*s))
        .map(|s| Question::UnlikelyWarmth { celsius: *s })
}

/// Questions raised by the spots of one pH reading. `expected` is the present
/// estimate of the bed, when there is one.
#[must_use]
pub fn questions(spots: &[f64], instrument: &Instrument, expected: Option<Band>) -> Vec<Question> {
    let mut found: Vec<Question> = spots.iter().filter_map(|s| off_scale(*s)).collect();
    if !found.is_empty() || spots.is_empty() {
        return found;
    }
    if let Some(idle) = instrument.idle
        && spots.iter().all(|s| (s - idle).abs() < 0.051)
    {
        found.push(Question::Idle { value: idle });
    }
    if let Some(odd) = spots.iter().find(|s| !(3.0..=10.0).contains(*s)) {
        found.push(Question::Unlikely { typed: *odd });
    }
    let first = spots[0];
    if spots.len() >= 4 && instrument.resolution < 0.2 && spots.iter().all(|s| *s == first) {
        found.push(Question::AllTheSame {
            value: first,
            spots: spots.len(),
        });
    }
    if found.is_empty() {
        found.extend(surprise(spots, instrument, expected));
    }
    found
}

fn off_scale(typed: f64) -> Option<Question> {
    if (0.0..=14.0).contains(&typed) {
        return None;
    }
    let tenth = typed / 10.0;
    if typed.fract() == 0.0 && (3.0..=10.0).contains(&tenth) {
        return Some(Question::DecimalPoint {
            typed,
            meant: tenth,
        });
    }
    Some(Question::OffScale { typed })
}

fn surprise(spots: &[f64], instrument: &Instrument, expected: Option<Band>) -> Option<Question> {
    let expected = expected?;
    let mean = spots.iter().sum::<f64>() / spots.len() as f64;
    let spread = expected.half_width() / 1.2816;
    let sd = spread
        .hypot(instrument.systematic_sd())
        .hypot(instrument.expected.spot_sd);
    ((mean + instrument.offset - expected.median).abs() > 3.0 * sd).then_some(
        Question::Surprising {
            typed: mean,
            expected,
        },
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn probe() -> Instrument {
        Instrument {
            key: "two_metal_probe".into(),
            name: "two-metal probe".into(),
            noise_sd: 0.2,
            bias_sd: 0.6,
            offset: 0.0,
            offset_sd: 0.0,
            resolution: 0.1,
            idle: Some(7.0),
            in_bedding: true,
            expected: crate::reading::combine::Expected::from_tables(
                &crate::table::Tables::load().unwrap(),
            )
            .unwrap(),
        }
    }

    #[test]
    fn degrees_fahrenheit_taken_for_celsius_are_asked_about() {
        assert_eq!(unlikely_warmth(&[20.0, 60.0, -5.0]), None);
        let q = unlikely_warmth(&[20.0, 78.0]).unwrap();
        assert!(!q.refuses());
        assert!(q.text().contains("78 °F would be 26 °C"), "{}", q.text());
    }

    #[test]
    fn an_idling_probe_is_asked_about() {
        let q = questions(&[7.0], &probe(), None);
        assert_eq!(q, vec![Question::Idle { value: 7.0 }]);
        assert!(!q[0].refuses());
    }

    #[test]
    fn fifty_six_is_refused_with_the_likely_meaning() {
        let q = questions(&[56.0], &probe(), None);
        assert_eq!(
            q[0],
            Question::DecimalPoint {
                typed: 56.0,
                meant: 5.6
            }
        );
        assert!(q[0].refuses());
        assert!(q[0].text().contains("5.6"));
    }

    #[test]
    fn fourteen_and_a_half_is_off_the_scale_and_an_honest_value_passes() {
        assert!(questions(&[14.5], &probe(), None)[0].refuses());
        assert!(questions(&[5.6, 5.9], &probe(), None).is_empty());
    }

    #[test]
    fn a_surprise_is_asked_about_only_beyond_three_deviations() {
        let expected = Some(Band {
            median: 4.5,
            low: 4.3,
            high: 4.7,
        });
        assert!(questions(&[5.6], &probe(), expected).is_empty());
        assert_eq!(questions(&[8.4], &probe(), expected).len(), 1);
    }
}
