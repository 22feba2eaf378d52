//! Grams and litres in words a keeper can act on: spoons, cups, handfuls,
//! buckets, with friendly fractions.

use super::convert::{FIBRE_GRAMS_PER_LITRE, density, unit_litres};
use super::{Amount, AmountError, Unit};
use super::{GRAMS_PER_OUNCE, GRAMS_PER_POUND, LITRES_PER_GALLON};
use crate::table::{Material, Role, Tables};

/// Which household measures a keeper owns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum System {
    /// Metric spoons and cups, litres, 10 L buckets, grams and kilograms.
    #[default]
    Metric,
    /// US spoons and cups, quarts, gallons, ounces and pounds beside grams.
    Us,
}

/// An amount in words.
#[derive(Debug, Clone, PartialEq)]
pub struct Household {
    /// Such as `about 2 tablespoons (40 g)`.
    pub text: String,
    /// The same as an amount to type or tick; may be in grams.
    pub amount: Amount,
}

/// `grams` of a material as a household measure.
///
/// The measure is rounded to a friendly fraction; the grams in brackets are
/// the ones asked for. When the density is unsure by more than 1.6 times from
/// end to end for an amendment, or 3 times for the rest, the text says so.
///
/// # Errors
/// [`AmountError`] when `grams` is not a positive, sensible number.
pub fn describe_grams(
    grams: f64,
    material: &Material,
    tables: &Tables,
    system: System,
) -> Result<Household, AmountError> {
    let exact = Amount::new(grams, Unit::Gram)?;
    let weight = weight_text(grams, system);
    let Ok((per_litre, _)) = density(material) else {
        return Ok(by_weight(weight, exact));
    };
    let litres = grams / per_litre.1;
    let Some(amount) = volume_amount(litres, scoop(material, per_litre.1), tables, system)? else {
        return Ok(by_weight(weight, exact));
    };
    let words = in_words(&amount);
    let unsure = if material.role == Role::Amendment {
        1.6
    } else {
        3.0
    };
    let text = if per_litre.2 / per_litre.0 > unsure {
        format!("about {words} ({weight}; better weighed, the weight of a cup varies)")
    } else {
        format!("about {words} ({weight})")
    };
    Ok(Household { text, amount })
}

/// `litres` of something, loose, as a household measure.
///
/// # Errors
/// [`AmountError`] when `litres` is not a positive, sensible number.
pub fn describe_litres(
    litres: f64,
    tables: &Tables,
    system: System,
) -> Result<Household, AmountError> {
    let exact = Amount::new(litres, Unit::Litre)?;
    let plain = match system {
        System::Metric if litres < 1.0 => format!("{} mL", figures(litres * 1000.0)),
        System::Us if litres < 1.0 => format!("{} fl oz", figures(litres / 0.029_573_529_562_5)),
        System::Us if litres >= 3.0 => format!("{} gallons", figures(litres / LITRES_PER_GALLON)),
        _ => format!("{} L", figures(litres)),
    };
    let amount = volume_amount(litres, Scoop::Fine, tables, system)?;
    let same_unit = |u: Unit| matches!(u, Unit::Litre | Unit::Gallon);
    match amount {
        Some(amount) if !same_unit(amount.unit) => Ok(Household {
            text: format!("about {} ({plain})", in_words(&amount)),
            amount,
        }),
        Some(amount) => Ok(Household {
            text: format!("about {}", in_words(&amount)),
            amount,
        }),
        None => Ok(Household {
            text: plain,
            amount: exact,
        }),
    }
}

fn by_weight(weight: String, amount: Amount) -> Household {
    Household {
        text: weight,
        amount,
    }
}

/// How a material is taken up.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Scoop {
    /// Poured or levelled in a spoon or cup.
    Fine,
    /// Taken up in the hand.
    Fibre,
}

fn scoop(material: &Material, grams_per_litre: f64) -> Scoop {
    if material.role == Role::Bedding && grams_per_litre < FIBRE_GRAMS_PER_LITRE {
        Scoop::Fibre
    } else {
        Scoop::Fine
    }
}

/// The measure that fits a volume, rounded; `None` when it is less than an
/// eighth of a teaspoon.
fn volume_amount(
    litres: f64,
    scoop: Scoop,
    tables: &Tables,
    system: System,
) -> Result<Option<Amount>, AmountError> {
    let unit = fitting_unit(litres, scoop, system);
    let Some((_, one, _)) = unit_litres(unit, tables)? else {
        return Ok(None);
    };
    let Some(number) = friendly(litres / one) else {
        return Ok(None);
    };
    Amount::new(number, unit).map(Some)
}

fn fitting_unit(litres: f64, scoop: Scoop, system: System) -> Unit {
    if scoop == Scoop::Fibre && (0.1..3.0).contains(&litres) {
        return Unit::Handful;
    }
    match (system, litres) {
        (_, x) if x < 0.013 => Unit::Teaspoon,
        (_, x) if x < 0.055 => Unit::Tablespoon,
        (System::Metric, x) if x < 1.1 => Unit::MetricCup,
        (System::Metric, x) if x < 18.0 => Unit::Litre,
        (System::Metric, _) => Unit::Bucket,
        (System::Us, x) if x < 1.8 => Unit::Cup,
        (System::Us, x) if x < 3.5 => Unit::Quart,
        (System::Us, x) if x < 36.0 => Unit::Gallon,
        (System::Us, _) => Unit::FiveGallonBucket,
    }
}

/// The nearest number one can measure; `None` when that would be off by more
/// than a fifth, as between an eighth and a quarter: then weigh.
fn friendly(x: f64) -> Option<f64> {
    nearest_part(x).filter(|near| (near / x).ln().abs() < 0.21)
}

fn nearest_part(x: f64) -> Option<f64> {
    const PARTS: [f64; 7] = [0.125, 0.25, 1.0 / 3.0, 0.5, 2.0 / 3.0, 0.75, 1.0];
    if x < 0.1 || !x.is_finite() {
        return None;
    }
    if x < 1.0 {
        let near = |a: &&f64, b: &&f64| (x / **a).ln().abs().total_cmp(&(x / **b).ln().abs());
        return PARTS.iter().min_by(near).copied();
    }
    let step = match x {
        x if x < 3.0 => 0.25,
        x if x < 8.0 => 0.5,
        x if x < 20.0 => 1.0,
        x if x < 100.0 => 5.0,
        _ => 10.0,
    };
    Some((x / step).round() * step)
}

/// `1 1/2 tablespoons`; parses back.
fn in_words(amount: &Amount) -> String {
    let whole = amount.number.floor();
    let part = amount.number - whole;
    let parts = [
        (0.125, "1/8"),
        (0.25, "1/4"),
        (1.0 / 3.0, "1/3"),
        (0.5, "1/2"),
        (2.0 / 3.0, "2/3"),
        (0.75, "3/4"),
    ];
    let fraction = parts
        .iter()
        .find(|(value, _)| (value - part).abs() < 1e-9)
        .map(|(_, text)| *text);
    let unit = spoken(amount.unit, amount.number > 1.0);
    match fraction {
        Some(text) if whole == 0.0 => format!("{text} {unit}"),
        Some(text) => format!("{whole} {text} {unit}"),
        None => format!("{} {unit}", amount.number),
    }
}

/// Unit in full.
fn spoken(unit: Unit, several: bool) -> &'static str {
    match (unit, several) {
        (Unit::Teaspoon, false) => "teaspoon",
        (Unit::Teaspoon, true) => "teaspoons",
        (Unit::Tablespoon, false) => "tablespoon",
        (Unit::Tablespoon, true) => "tablespoons",
        (Unit::Litre, false) => "litre",
        (Unit::Litre, true) => "litres",
        (unit, false) => unit.one(),
        (unit, true) => unit.many(),
    }
}

fn weight_text(grams: f64, system: System) -> String {
    let metric = if grams < 1000.0 {
        format!("{} g", figures(grams))
    } else {
        format!("{} kg", figures(grams / 1000.0))
    };
    match system {
        System::Us if grams >= 454.0 => {
            format!("{metric}, {} lb", figures(grams / GRAMS_PER_POUND))
        }
        System::Us if grams >= 14.0 => {
            format!("{metric}, {} oz", figures(grams / GRAMS_PER_OUNCE))
        }
        _ => metric,
    }
}

/// Two significant figures, three from 100 on; never in exponent form.
fn figures(x: f64) -> String {
    if x >= 1000.0 {
        return format!("{:.0}", (x / 10.0).round() * 10.0);
    }
    if x >= 10.0 {
        return format!("{x:.0}");
    }
    let decimals = if x >= 1.0 {
        1
    } else if x >= 0.1 {
        2
    } else {
        3
    };
    let text = format!("{x:.decimals$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
