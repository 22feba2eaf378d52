//! placeholder
use crate::quantity::Celsius;
/// Fraction.
#[must_use]
pub fn free_ammonia_fraction(temperature: Celsius, ph: f64) -> f64 {
    1.0 / (1.0 + 10f64.powf(0.090_182_1 + 2729.92 / temperature.kelvin() - ph))
}
