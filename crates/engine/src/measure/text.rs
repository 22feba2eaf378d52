//! Reading and writing amounts.

use super::{Amount, AmountError, Unit};

/// Written out so that [`parse`] reads the same amount again.
pub(crate) fn plain(number: f64, unit: Unit) -> String {
    let word = if number == 1.0 {
        unit.one()
    } else {
        unit.many()
    };
    format!("{number} {word}")
}

/// A plain number: digits 0 to 9, a point for decimals, a sign before it. None
/// for anything else, such as an exponent, a comma, `nan`, or other digits.
#[must_use]
pub fn plain_number(text: &str) -> Option<f64> {
    let (head, rest) = digits(text)?;
    number(head).filter(|n| rest.is_empty() && n.is_finite())
}

/// Read an amount.
pub(crate) fn parse(text: &str) -> Result<Amount, AmountError> {
    let trimmed = text.trim();
    if trimmed.contains(',') {
        return Err(AmountError::Comma(text.to_owned()));
    }
    let (number, rest) = leading_number(trimmed).ok_or_else(|| unreadable(text))?;
    if is_notation(rest) {
        return Err(AmountError::NotPlain(text.to_owned()));
    }
    let rest = rest.trim();
    if rest.is_empty() {
        return Err(AmountError::NoUnit(text.to_owned()));
    }
    let unit = Unit::from_text(rest).ok_or_else(|| AmountError::UnknownUnit {
        text: text.to_owned(),
        unit: rest.to_owned(),
        known: known(),
    })?;
    if !number.is_finite() {
        return Err(unreadable(text));
    }
    if number <= 0.0 {
        return Err(AmountError::NotPositive(trimmed.to_owned()));
    }
    Amount::new(number, unit)
}

/// Whether what follows the digits still belongs to the number, as in `1e9`,
/// `0x10` or `1_000`.
fn is_notation(rest: &str) -> bool {
    let mut after = rest.chars();
    let marks = after.next().is_some_and(|c| "eExX_'".contains(c));
    marks
        && after
            .find(|c| !"+-".contains(*c))
            .is_some_and(|c| c.is_ascii_digit())
}

fn unreadable(text: &str) -> AmountError {
    AmountError::Unreadable(text.to_owned())
}

/// Every unit, each by the shortest way it is written for one of it.
fn known() -> String {
    let names: Vec<&str> = Unit::ALL.iter().map(|u| u.one()).collect();
    names.join(", ")
}

/// The number at the head, and what follows it.
fn leading_number(text: &str) -> Option<(f64, &str)> {
    if let Some((value, rest)) = article(text) {
        return Some((value, rest));
    }
    let (first, rest) = digits(text)?;
    // `1/2 cup`
    if let Some(after) = rest.trim_start().strip_prefix('/') {
        let (below, rest) = digits(after.trim_start())?;
        return fraction(first, below).map(|v| (v, rest));
    }
    // `1½ cup`
    if let Some((part, rest)) = vulgar(rest.trim_start()) {
        return Some((number(first)? + part, rest));
    }
    // `1 1/2 cup`
    let after = rest.trim_start();
    if after.len() < rest.len()
        && let Some((above, tail)) = digits(after)
        && let Some(tail) = tail.trim_start().strip_prefix('/')
    {
        let (below, rest) = digits(tail.trim_start())?;
        return Some((number(first)? + fraction(above, below)?, rest));
    }
    Some((number(first)?, rest))
}

/// `a cup`, `half a bucket`, or a vulgar fraction sign.
fn article(text: &str) -> Option<(f64, &str)> {
    if let Some(found) = vulgar(text) {
        return Some(found);
    }
    let heads = [
        ("half a ", 0.5),
        ("half an ", 0.5),
        ("a ", 1.0),
        ("an ", 1.0),
        ("one ", 1.0),
    ];
    heads.into_iter().find_map(|(head, value)| {
        let given = text.get(..head.len())?;
        given
            .eq_ignore_ascii_case(head)
            .then(|| (value, &text[head.len()..]))
    })
}

fn vulgar(text: &str) -> Option<(f64, &str)> {
    let signs = [
        ('½', 0.5),
        ('¼', 0.25),
        ('¾', 0.75),
        ('⅓', 1.0 / 3.0),
        ('⅔', 2.0 / 3.0),
        ('⅛', 0.125),
    ];
    signs
        .into_iter()
        .find_map(|(sign, value)| text.strip_prefix(sign).map(|rest| (value, rest)))
}

/// The run of digits and decimal points at the head, with a leading sign.
fn digits(text: &str) -> Option<(&str, &str)> {
    let signed = usize::from(text.starts_with('-') || text.starts_with('+'));
    let end = text[signed..]
        .find(|c: char| !(c.is_ascii_digit() || c == '.'))
        .map_or(text.len(), |i| i + signed);
    let (head, rest) = text.split_at(end);
    head.chars()
        .any(|c| c.is_ascii_digit())
        .then_some((head, rest))
}

fn number(digits: &str) -> Option<f64> {
    digits.parse().ok()
}

fn fraction(above: &str, below: &str) -> Option<f64> {
    let below = number(below)?;
    (below > 0.0).then(|| number(above).map(|a| a / below))?
}
