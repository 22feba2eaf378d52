//! What is wrong with what was asked: said at the top of the page, each with
//! the way to its field.

use super::Control;
use askama::Template;

/// Faults of a question, in order.
#[derive(Debug, Clone, PartialEq, Default, Template)]
#[template(path = "parts/problems.html")]
pub struct Problems {
    /// Of single fields: id of the field, its label, what is wrong.
    pub fields: Vec<(String, String, String)>,
    /// Of the question as a whole; empty for nothing.
    pub whole: String,
    /// What is shown all the same; empty for nothing.
    pub meanwhile: String,
}

impl Problems {
    /// Of these controls, and of the whole.
    #[must_use]
    pub fn of<'a>(controls: impl Iterator<Item = &'a Control>, whole: &str) -> Self {
        let wrong = |c: &Control| match c {
            Control::Field(f) if !f.error.is_empty() => {
                Some((f.id(), f.label.clone(), f.error.clone()))
            }
            Control::Chips(c) if !c.error.is_empty() => {
                Some((c.id(), c.legend.clone(), c.error.clone()))
            }
            _ => None,
        };
        Self {
            fields: controls.filter_map(wrong).collect(),
            whole: whole.to_owned(),
            meanwhile: String::new(),
        }
    }

    /// With what is shown all the same.
    #[must_use]
    pub fn meanwhile(mut self, shown: &str) -> Self {
        shown.clone_into(&mut self.meanwhile);
        self
    }

    fn is_none(&self) -> bool {
        self.fields.is_empty() && self.whole.is_empty()
    }
}
