//! The words a keeper's log is written in. The log is append-only: a
//! correction is a new entry that names the one it corrects; nothing is ever
//! changed or taken away. Everything a keeper tells the tool (bins, shed,
//! settings) is an entry, so the file holds one table of entries and views
//! made from it.

mod word;

pub use word::Word;

use crate::measure::Amount;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

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
        text: String,
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
        text: String,
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

/// A bin: one container of bedding and worms.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BinDescription {
    /// What the keeper calls it.
    pub name: String,
    /// Inner length [cm].
    pub length_cm: f64,
    /// Inner width [cm].
    pub width_cm: f64,
    /// Inner depth [cm].
    pub depth_cm: f64,
    /// Depth of bedding [cm]; `None` when not measured.
    #[serde(default)]
    pub bedding_depth_cm: Option<f64>,
    /// What the walls are made of.
    #[serde(default)]
    pub walls: Walls,
    /// Lid.
    #[serde(default)]
    pub lid: Lid,
    /// Whether liquid can drain out.
    #[serde(default)]
    pub drains: bool,
    /// Where it stands.
    #[serde(default)]
    pub place: String,
    /// Put away: no longer on the shelf.
    #[serde(default)]
    pub retired: bool,
}

/// Wall material.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Walls {
    /// Plastic.
    #[default]
    Plastic,
    /// Wood.
    Wood,
    /// Foam box.
    Foam,
    /// Metal.
    Metal,
    /// Fabric bag.
    Fabric,
    /// Masonry or in the ground.
    Masonry,
}

/// Lid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Lid {
    /// No lid.
    Open,
    /// Loose or with holes.
    #[default]
    Vented,
    /// Tight.
    Tight,
    /// Cloth, card or felt on the bedding.
    Cover,
}

/// A material and how much of it, as the keeper gave it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Part {
    /// Key in the materials table, or of a shed item.
    pub material: String,
    /// How much.
    pub amount: Amount,
    /// Own pH of this part, when measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ph: Option<f64>,
    /// Own moisture of this part [% of wet mass].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture_percent: Option<f64>,
    /// What a bag of peat says about lime.
    #[serde(default, skip_serializing_if = "PeatLabel::is_as_named")]
    pub label: PeatLabel,
}

impl Part {
    /// So much of a material, with nothing measured on it.
    #[must_use]
    pub fn plain(material: impl Into<String>, amount: Amount) -> Self {
        Self {
            material: material.into(),
            amount,
            ph: None,
            moisture_percent: None,
            label: PeatLabel::AsNamed,
        }
    }
}

/// What the label of a bag of peat says about lime.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PeatLabel {
    /// The material named says it already.
    #[default]
    AsNamed,
    /// Lime has been added ("pH adjusted", "for potting").
    LimeAdjusted,
    /// Plain peat, no lime.
    NotLimed,
    /// The label does not say, or is lost.
    DoesNotSay,
}

impl PeatLabel {
    fn is_as_named(&self) -> bool {
        *self == Self::AsNamed
    }
}

/// A measured value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// What was measured.
    pub what: Measured,
    /// One value a spot, in the unit of `what`.
    pub spots: Vec<f64>,
    /// Key of the instrument or method in the instruments table.
    pub instrument: String,
    /// Where in the bin.
    #[serde(default)]
    pub place: Place,
    /// Free text.
    #[serde(default)]
    pub text: String,
    /// The keeper was asked about an unlikely value and said it stands.
    #[serde(default)]
    pub confirmed: bool,
}

/// What a reading measures, with its unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Measured {
    /// pH.
    Ph,
    /// Temperature in the bedding [°C].
    BeddingCelsius,
    /// Temperature of the room or air [°C].
    AirCelsius,
    /// Salt, as electrical conductivity [mS/cm].
    EcMsCm,
    /// Moisture [% of wet mass].
    MoisturePercent,
    /// Gross mass of the bin [kg].
    BinKg,
}

/// Where in the bin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// Several places, spread.
    #[default]
    Spread,
    /// Top few centimetres.
    Top,
    /// Middle.
    Middle,
    /// Bottom.
    Bottom,
    /// At the wall.
    Edge,
    /// Under or beside food.
    Food,
}

/// A liming or acidifying material given to a bin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Dose {
    /// Key of the material.
    pub material: String,
    /// How much.
    pub amount: Amount,
    /// How it was given.
    #[serde(default)]
    pub how: Applied,
}

/// How a dose was given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Applied {
    /// Dusted on and mixed through the bedding.
    #[default]
    MixedIn,
    /// Dusted on the surface and left.
    OnTop,
    /// Stirred in water and poured, solids and all.
    PouredSlurry,
    /// Steeped, strained, and the clear liquid poured.
    PouredLiquor,
}

/// A jar test: small weighed lots of one bedding, different lime, one wait.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JarTest {
    /// Wet bedding in each jar [g].
    pub wet_bedding_grams: f64,
    /// Key of the liming material.
    pub material: String,
    /// Hours between mixing and reading [h].
    pub hours: f64,
    /// Key of the instrument.
    pub instrument: String,
    /// The jars.
    pub jars: Vec<Jar>,
}

/// One jar.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Jar {
    /// Liming material in the jar [g].
    pub grams: f64,
    /// pH read at the end.
    pub ph: f64,
}

/// A half-and-half tray test: suspect bedding on one side, trusted on the other.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TrayTest {
    /// Worms put on the line.
    pub worms: u32,
    /// Worms found in the suspect half.
    pub in_suspect: u32,
    /// Worms found in the trusted half.
    pub in_trusted: u32,
    /// Dead or missing.
    pub dead_or_missing: u32,
    /// How long it ran [h].
    pub hours: f64,
}

/// A material the keeper has, with their own measurements of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ShedItem {
    /// Key of the material in the tables this item is.
    pub material: String,
    /// What the keeper calls it; empty for the table's name.
    #[serde(default)]
    pub called: String,
    /// How much there is; `None` for "plenty" or not known.
    #[serde(default)]
    pub available: Option<Amount>,
    /// In the shed at all.
    #[serde(default = "yes")]
    pub have: bool,
    /// The keeper's own values, by table property name (`ph`,
    /// `moisture_percent`, `grams_per_cup`, `neutralising_percent`, ...).
    #[serde(default)]
    pub own: BTreeMap<String, f64>,
}

fn yes() -> bool {
    true
}

// Serde hands over a reference.
#[allow(clippy::trivially_copy_pass_by_ref)]
fn is_no(value: &bool) -> bool {
    !*value
}

/// The log as it now stands: corrections applied, corrected and struck entries
/// left out, in order of when things happened (then of writing).
///
/// A correction of a correction replaces the correction. Corrections that name
/// no entry present are ignored here (the store refuses them on the way in).
#[must_use]
pub fn effective(entries: &[Entry]) -> Vec<Entry> {
    let mut standing: BTreeMap<EntryId, Entry> = BTreeMap::new();
    let mut stands_for: BTreeMap<EntryId, EntryId> = BTreeMap::new();
    for entry in entries {
        let Body::Correction {
            corrects,
            replacement,
            at_unix_seconds,
            ..
        } = &entry.body
        else {
            standing.insert(entry.id, entry.clone());
            continue;
        };
        let target = stands_for.get(corrects).copied().unwrap_or(*corrects);
        stands_for.insert(entry.id, target);
        let Some(original) = entries.iter().find(|e| e.id == target) else {
            continue;
        };
        match replacement {
            Some(body) => {
                let mut mended = original.clone();
                mended.body = (**body).clone();
                if let Some(at) = at_unix_seconds {
                    mended.at_unix_seconds = *at;
                }
                standing.insert(target, mended);
            }
            None => {
                standing.remove(&target);
            }
        }
    }
    let mut list: Vec<Entry> = standing.into_values().collect();
    list.sort_by_key(|e| (e.at_unix_seconds, e.id));
    list
}

#[cfg(test)]
mod tests {
    use super::*;

    fn note(id: i64, at: i64, text: &str) -> Entry {
        Entry {
            id: EntryId(id),
            bin: Some(BinId(1)),
            at_unix_seconds: at,
            zone: "UTC".into(),
            written_unix_seconds: at,
            body: Body::Note { text: text.into() },
        }
    }

    fn correction(id: i64, corrects: i64, text: Option<&str>) -> Entry {
        let mut e = note(id, 100 + id, "");
        e.body = Body::Correction {
            corrects: EntryId(corrects),
            replacement: text.map(|t| Box::new(Body::Note { text: t.into() })),
            at_unix_seconds: None,
            reason: String::new(),
        };
        e
    }

    #[test]
    fn a_correction_replaces_and_a_later_one_wins() {
        let log = [
            note(1, 10, "pH 65"),
            correction(2, 1, Some("pH 6.5")),
            correction(3, 2, Some("pH 6.6")),
        ];
        let now = effective(&log);
        assert_eq!(now.len(), 1);
        assert_eq!(
            now[0].body,
            Body::Note {
                text: "pH 6.6".into()
            }
        );
        assert_eq!(now[0].id, EntryId(1));
    }

    #[test]
    fn a_struck_entry_is_left_out_and_the_rest_is_in_order_of_happening() {
        let log = [note(1, 30, "c"), note(2, 10, "a"), correction(3, 1, None)];
        let now = effective(&log);
        assert_eq!(now.len(), 1);
        assert_eq!(now[0].id, EntryId(2));
    }

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
