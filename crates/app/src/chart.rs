//! Pictures: numbers in, SVG text out. Used by pages and by commands.
//!
//! Every picture carries a title and a description in words, keeps its text
//! inside its frame, shows uncertainty, and means the same in grey, in the
//! dark and on paper: shape, line pattern and words carry the meaning. All
//! ink is `currentColor`; the style sheet may tint by class.

pub mod acted;
pub mod chances;
pub mod course;
pub mod curve;
pub mod feed_scale;
mod ink;
pub mod interval;
mod levels;
pub mod ph;
mod plane;
pub mod plot;
pub mod section;
mod sketch;

pub use acted::{ActedDay, ActedShare, acted_share};
pub use chances::{Chance, ChancePoint, chance_strip};
pub use course::{
    Course, CourseLimit, CourseLine, CourseMark, CoursePoint, CourseReading, MarkKind, Trouble,
    course_chart, course_spark, spark_scale,
};
pub use curve::{CurvePoint, DoseCurve, JarPlot, dose_curve, jar_plot};
pub use feed_scale::{Advice, FeedScale, feed_scale};
pub use ink::Svg;
pub use interval::interval_bar;
pub use levels::PhLevels;
pub use ph::{DoseMark, PathPoint, PhChart, PhReading, ReadingKind, WhatIf, ph_chart};
pub use plot::{Dash, PlotAxis, PlotLine, PlotMark, PlotPanel, PlotSheet, Shape, Sign, plot_sheet};
pub use section::{BinSection, Feed, Moist, SectionSize, Spot, Tag, WormsAt, bin_section};

/// Which screen a chart is drawn for. One unit is one CSS pixel at the
/// smallest screen of its kind, so text is never under 11 pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Size {
    /// A phone, 360 pixels wide.
    Narrow,
    /// A desk screen or paper.
    Wide,
}

impl Size {
    /// Width of the drawing [px].
    #[must_use]
    pub fn width(self) -> f64 {
        match self {
            Self::Narrow => 328.0,
            Self::Wide => 536.0,
        }
    }

    /// Word used in element ids.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Narrow => "narrow",
            Self::Wide => "wide",
        }
    }
}
