//! The words a keeper's log is written in. The log is append-only: a
//! correction is a new entry that names the one it corrects; nothing is ever
//! changed or taken away. Everything a keeper tells the tool (bins, shed,
//! settings) is an entry, so the file holds one table of entries and views
//! made from it.

mod bin;
mod dose;
mod effective;
mod part;
mod possible;
mod reading;
mod shed;
mod word;

pub use bin::{BinDescription, Lid, Walls};
pub use dose::{Applied, Dose, Jar, JarTest, TrayTest};
pub use effective::effective;
pub use part::{Part, PeatLabel};
pub use possible::{Impossible, possible};
pub use reading::{Measured, Place, Reading};
pub use shed::ShedItem;
pub use word::Word;

use crate::measure::Amount;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// Number of an entry, rising in the order written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct EntryId(pub i64);

/// Number of a bin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct BinId(pub i64);

/// One entry: what was seen or done, to which bin, when.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// Number of this entry.
    pub id: EntryId,
    /// The bin it is about; `None` for the shed and settings.
    pub bin: Option<BinId>,
    /// When it was seen or done [s since 1970-01-01 00:00 UTC].
    pub at_unix_seconds: i64,
    /// Name of the time zone the keeper was in, such as `Europe/Paris`.
    pub zone: String,
    /// When it was written down [s since 1970-01-01 00:00 UTC].
    pub written_unix_seconds: i64,
    /// What was seen or done.
    pub body: Body,
}

/// What was seen or done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[non_exhaustive]
pub enum Body {
    /// A bin is described, or described anew (the latest description holds).
    Bin(BinDescription),
    /// Parts put in when the bin was filled or refilled from empty.
    Filled {
        /// What went in.
        parts: Vec<Part>,
    },
    /// More bedding.
    BeddingAdded {
        /// What was added.
        parts: Vec<Part>,
    },
    /// Food.
    Feeding {
        /// What was fed.
        parts: Vec<Part>,
    },
    /// A measured value.
    Reading(Reading),
    /// What eyes, nose and hands say.
    Observation {
        /// Words from the fixed list.
        words: Vec<Word>,
        /// Free text.
        #[serde(default)]
        text: Arc<str>,
    },
    /// A liming or acidifying material given.
    Dose(Dose),
    /// Water given.
    Water {
        /// How much.
        amount: Amount,
        /// Rain or other soft water, as against tap.
        #[serde(default)]
        soft: bool,
    },
    /// Liquid drained off.
    Drain {
        /// How much.
        amount: Amount,
    },
    /// Worms put in.
    WormsIn {
        /// Live mass [g], when weighed.
        grams: Option<f64>,
        /// Number, when counted or by the order.
        count: Option<f64>,
        /// Species, by its stable name; empty for the usual red worms.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        species: String,
    },
    /// Worms counted or weighed.
    WormCount {
        /// Number found; 0 beside a mass above 0 when they were weighed and
        /// not counted.
        found: f64,
        /// Litres of bedding looked through; `None` for the whole bin.
        litres_searched: Option<f64>,
        /// Live mass of those found [g], when weighed.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        grams: Option<f64>,
        /// What was weighed is a ball that gathered, not what a search of so
        /// many litres gave.
        #[serde(default, skip_serializing_if = "is_no")]
        ball: bool,
    },
    /// Castings taken out.
    Harvest {
        /// How much.
        amount: Amount,
    },
    /// The bin was moved.
    Move {
        /// Where it stands now.
        place: String,
    },
    /// The bedding was turned or mixed through.
    Turned,
    /// A jar test of the bedding's buffer.
    JarTest(JarTest),
    /// A half-and-half tray test with a few worms.
    TrayTest(TrayTest),
    /// Free text.
    Note {
        /// The text.
        text: Arc<str>,
    },
    /// A shed item, described or described anew (the latest holds).
    Shed(ShedItem),
    /// A setting.
    Setting {
        /// Name, from a fixed list the app keeps.
        name: String,
        /// Value.
        value: String,
    },
    /// An earlier entry was wrong.
    Correction {
        /// The entry that was wrong.
        corrects: EntryId,
        /// What it should have said; `None` when it should not be there.
        replacement: Option<Box<Body>>,
        /// When the replaced thing happened, when that was wrong too
        /// [s since 1970-01-01 00:00 UTC].
        #[serde(default)]
        at_unix_seconds: Option<i64>,
        /// Why.
        #[serde(default)]
        reason: String,
    },
}

// Serde hands over a reference.
#[allow(clippy::trivially_copy_pass_by_ref)]
fn is_no(value: &bool) -> bool {
    !*value
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bodies_survive_json() {
        let body = Body::Dose(Dose {
            material: "limestone_calcitic".into(),
            amount: Amount::parse("2 tbsp").unwrap(),
            how: Applied::MixedIn,
        });
        let text = serde_json::to_string(&body).unwrap();
        assert!(text.contains("\"kind\":\"dose\""), "{text}");
        assert_eq!(serde_json::from_str::<Body>(&text).unwrap(), body);
    }
}
