//! Published advice on how much to feed, to show ours beside.

use crate::table::{TableError, Tables};

/// One piece of advice.
#[derive(Debug, Clone, PartialEq)]
pub struct Published {
    /// Wet feed per worms and day [kg/kg/d].
    pub rate: f64,
    /// Where it is from, in words.
    pub from: String,
}

/// Published advice, the least first.
///
/// # Errors
/// [`TableError`] when a number is missing.
pub fn published(tables: &Tables) -> Result<Vec<Published>, TableError> {
    let mut list = Vec::new();
    for row in tables
        .rows()
        .filter(|r| r.table == "ration" && r.subject == "published")
    {
        list.push(Published {
            rate: tables.value("ration", "published", &row.property)?,
            from: row.number.place.clone(),
        });
    }
    list.sort_by(|a, b| a.rate.total_cmp(&b.rate));
    Ok(list)
}
