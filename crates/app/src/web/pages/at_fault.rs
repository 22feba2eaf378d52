//! Whether what a page was asked is at fault.

use super::{AwayPage, JudgePage, OutlookPage, RationPage, TrayTestPage, WeatherPage};
use crate::web::widgets::Control;

/// A page that answers a question typed into its own form.
pub(in crate::web) trait MayBeAtFault {
    /// Whether something in the question was refused.
    fn is_at_fault(&self) -> bool;
}

fn any(controls: &[Control]) -> bool {
    controls.iter().any(|control| match control {
        Control::Field(field) => !field.error.is_empty(),
        Control::Chips(chips) => !chips.error.is_empty(),
    })
}

impl MayBeAtFault for OutlookPage {
    fn is_at_fault(&self) -> bool {
        !self.error.is_empty() || self.folds.iter().any(|fold| any(&fold.controls))
    }
}

impl MayBeAtFault for JudgePage {
    fn is_at_fault(&self) -> bool {
        let mut fields = self.rows.iter().flat_map(|r| r.main.iter().chain(&r.more));
        !self.error.is_empty() || fields.any(|field| !field.error.is_empty())
    }
}

impl MayBeAtFault for TrayTestPage {
    fn is_at_fault(&self) -> bool {
        !self.form.error.is_empty() || any(&self.form.controls)
    }
}

macro_rules! by_controls {
    ($($page:ty),*) => {$(
        impl MayBeAtFault for $page {
            fn is_at_fault(&self) -> bool {
                !self.error.is_empty() || any(&self.controls)
            }
        }
    )*};
}
by_controls!(RationPage, AwayPage, WeatherPage);
