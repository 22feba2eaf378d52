//! How deep the bedding stands: as last written down, and as the model has it.
//! The two may differ, so both are told.

use super::{BinState, Desk};
use crate::report::{self, Units};
use engine::estimate::Track;
use engine::log::Body;
use engine::quantity::Band;

fn times(b: &Band, by: f64) -> Band {
    Band {
        median: b.median * by,
        low: b.low * by,
        high: b.high * by,
    }
}

/// How deep the bedding stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Depth {
    /// As written down, and when [cm; s since 1970-01-01 00:00 UTC].
    pub written: Option<(f64, i64)>,
    /// By the model: what is in it over the floor of the bin [cm].
    pub model_cm: Option<Band>,
    /// By the model: what is in it [L].
    pub model_litres: Option<Band>,
}

impl Desk {
    /// How deep the bedding of a bin stands.
    #[must_use]
    pub fn depth_of(&self, state: &BinState) -> Depth {
        let written = state.log.iter().rev().find_map(|e| match &e.body {
            Body::Bin(b) => b.bedding_depth_cm.map(|cm| (cm, e.at_unix_seconds)),
            _ => None,
        });
        let estimated = state.estimated().ok();
        let litres = estimated.map(|e| e.moment.band(Track::Litres));
        let floor = state.description.length_cm * state.description.width_cm;
        let deep = 1000.0 / floor.max(1.0);
        Depth {
            written,
            model_cm: litres.map(|b| times(&b, deep)),
            model_litres: litres,
        }
    }

    /// The same in sentences.
    #[must_use]
    pub fn depth_words(&self, state: &BinState) -> String {
        let depth = self.depth_of(state);
        let day = |at: i64| report::date(self.clock.local(at).date(), self.clock.now().date());
        let (scale, unit) = match self.units() {
            Units::Metric => (1.0, "cm"),
            Units::Us => (1.0 / 2.54, "in"),
        };
        let drawn = match depth.written {
            Some((cm, at)) => format!(
                "The bedding is drawn as written on {}, {} {unit} deep.",
                day(at),
                report::decimals(scale * cm, 0)
            ),
            None => "The bedding is drawn as deep as the model thinks it stands; nobody wrote down how deep it is.".to_owned(),
        };
        match (depth.model_litres, depth.model_cm) {
            (Some(litres), Some(cm)) => format!(
                "{drawn} The model thinks it holds {} now, which would stand {} deep: it shrinks as it rots, so measure it now and then.",
                report::litres_band(&litres, self.units()),
                report::band(&times(&cm, scale), unit)
            ),
            _ => drawn,
        }
    }
}
