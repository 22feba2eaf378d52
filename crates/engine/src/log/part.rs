//! What goes into a bin: a material and how much of it.

use crate::measure::Amount;
use serde::{Deserialize, Serialize};

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
    pub(super) fn is_as_named(&self) -> bool {
        *self == Self::AsNamed
    }
}
