//! Calibrating a pH meter: what the buffer solutions read at each
//! temperature, and what two of them say about an electrode.

use crate::quantity::Celsius;
use crate::table::{TableError, Tables};

/// A standard buffer solution.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Buffer {
    /// Potassium hydrogen phthalate, "pH 4".
    Phthalate,
    /// Neutral phosphate, "pH 7".
    Phosphate,
    /// Borax, "pH 9".
    Borate,
}

impl Buffer {
    const ALL: [Self; 3] = [Self::Phthalate, Self::Phosphate, Self::Borate];

    const fn subject(self) -> &'static str {
        match self {
            Self::Phthalate => "buffer_phthalate",
            Self::Phosphate => "buffer_neutral_phosphate",
            Self::Borate => "buffer_borate",
        }
    }
}

/// What the buffers read at 10, 20 and 25 °C.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Buffers {
    ph: [[f64; 3]; 3],
}

impl Buffers {
    /// From the tables.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn from_tables(tables: &Tables) -> Result<Self, TableError> {
        let mut ph = [[0.0; 3]; 3];
        for (row, buffer) in ph.iter_mut().zip(Buffer::ALL) {
            let at = |property: &str| tables.value("instruments", buffer.subject(), property);
            *row = [
                at("ph_10_celsius")?,
                at("ph_20_celsius")?,
                at("ph_25_celsius")?,
            ];
        }
        Ok(Self { ph })
    }

    /// pH of a buffer at a temperature, interpolated between 10, 20 and 25 °C
    /// and held outside.
    #[must_use]
    pub fn ph(&self, buffer: Buffer, temperature: Celsius) -> f64 {
        let values = self.ph[buffer as usize];
        let t = temperature.value().clamp(10.0, 25.0);
        if t <= 20.0 {
            values[0] + (values[1] - values[0]) * (t - 10.0) / 10.0
        } else {
            values[1] + (values[2] - values[1]) * (t - 20.0) / 5.0
        }
    }
}

/// pH of 0.05 mol/kg potassium hydrogen phthalate: Bates et al. 1977,
/// `2073.44/T − 13.3270 + 0.045199 T − 3.4846e-5 T²`, T in kelvin.
#[must_use]
pub fn phthalate_ph(temperature: Celsius) -> f64 {
    let t = temperature.kelvin();
    2073.44 / t - 13.3270 + 0.045_199 * t - 3.4846e-5 * t * t
}

/// Ideal (Nernst) slope of a pH electrode [mV per pH].
#[must_use]
pub fn nernst_slope_mv(temperature: Celsius) -> f64 {
    0.198_416 * temperature.kelvin()
}

/// What two buffers say of an electrode.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TwoPoint {
    /// Shown change over true change [-]; 1 is ideal.
    pub slope: f64,
    /// Shown minus true at pH 7 [pH].
    pub offset_at_7: f64,
    /// Good enough to trust without a service or new electrode.
    pub sound: bool,
}

impl TwoPoint {
    /// From what the meter shows in two buffers. `None` when both are the same
    /// buffer or a value is not finite.
    #[must_use]
    pub fn from_readings(
        buffers: &Buffers,
        temperature: Celsius,
        first: (Buffer, f64),
        second: (Buffer, f64),
    ) -> Option<Self> {
        let (t1, t2) = (
            buffers.ph(first.0, temperature),
            buffers.ph(second.0, temperature),
        );
        if first.0 == second.0 || !first.1.is_finite() || !second.1.is_finite() {
            return None;
        }
        let slope = (second.1 - first.1) / (t2 - t1);
        let offset_at_7 = first.1 + slope * (7.0 - t1) - 7.0;
        Some(Self {
            slope,
            offset_at_7,
            sound: (0.90..=1.05).contains(&slope) && offset_at_7.abs() <= 0.5,
        })
    }

    /// The true pH behind a shown one.
    #[must_use]
    pub fn corrected(&self, shown: f64) -> f64 {
        7.0 + (shown - 7.0 - self.offset_at_7) / self.slope
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn buffers() -> Buffers {
        Buffers::from_tables(&Tables::load().unwrap()).unwrap()
    }

    #[test]
    fn buffers_are_the_standards() {
        // JIS Z 8802:2011 table.
        assert!((buffers().ph(Buffer::Phosphate, Celsius(25.0)) - 6.86).abs() < 1e-9);
        assert!((buffers().ph(Buffer::Phosphate, Celsius(10.0)) - 6.92).abs() < 1e-9);
        assert!((buffers().ph(Buffer::Borate, Celsius(20.0)) - 9.22).abs() < 1e-9);
    }

    #[test]
    fn the_formulas_are_those_of_the_table() {
        let tables = Tables::load().unwrap();
        let of = |s, p| tables.value("instruments", s, p).unwrap();
        let [a, b, c, d] =
            ["bates_a", "bates_b", "bates_c", "bates_d"].map(|p| of("buffer_phthalate", p));
        for celsius in [5.0, 25.0, 40.0] {
            let t = Celsius(celsius).kelvin();
            let ph = a / t + b + c * t + d * t * t;
            assert!((phthalate_ph(Celsius(celsius)) - ph).abs() < 1e-9);
            let slope = of("glass", "nernst_mv_per_ph_per_k") * t;
            assert!((nernst_slope_mv(Celsius(celsius)) - slope).abs() < 0.01);
        }
    }

    #[test]
    fn phthalate_formula_at_25_degrees() {
        // Bates et al. 1977.
        assert!((phthalate_ph(Celsius(25.0)) - 4.006).abs() < 0.003);
        assert!((nernst_slope_mv(Celsius(25.0)) - 59.16).abs() < 0.01);
    }

    #[test]
    fn a_tired_electrode_is_found_out_and_corrected() {
        let t = Celsius(25.0);
        let p = TwoPoint::from_readings(
            &buffers(),
            t,
            (Buffer::Phthalate, 4.40),
            (Buffer::Phosphate, 6.90),
        )
        .unwrap();
        assert!(!p.sound);
        assert!((p.corrected(4.40) - 4.01).abs() < 1e-9);
        assert!((p.corrected(6.90) - 6.86).abs() < 1e-9);
        assert!(
            TwoPoint::from_readings(&buffers(), t, (Buffer::Borate, 9.0), (Buffer::Borate, 9.1))
                .is_none()
        );
    }
}
