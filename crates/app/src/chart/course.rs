//! One quantity over time: what it is thought to have been and to become,
//! with its 80 % range, what was read, what was done, and what must not be
//! crossed.
//!
//! The range is tinted and ruled with upright hairlines: close together up to
//! now, wide apart beyond it. The middle line is whole up to now and broken
//! beyond. What was done stands in rows below the plot, one row and one shape
//! for each kind; things done at nearly the same time are joined by a bar. A
//! line that turns too often to be seen is drawn as means over several days,
//! and says so.

mod calm;
mod clean;
mod dates;
mod keys;
mod lines;
mod marks;
mod spark;
mod words;

pub use spark::{course_spark, spark_scale};

use super::ink::{Anchor, Sheet, TEXT, n, text_width};
use super::plane::{Plane, Scale, places};
use super::{ReadingKind, Size, Svg};
use clean::Clean;
use jiff::civil::Date;

/// A value on one day.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct CoursePoint {
    /// Days since the start of the chart.
    pub day: f64,
    /// Middle value.
    pub median: f64,
    /// 10th percentile.
    pub low: f64,
    /// 90th percentile.
    pub high: f64,
}

impl CoursePoint {
    /// A value without a range.
    #[must_use]
    pub fn sure(day: f64, value: f64) -> Self {
        Self {
            day,
            median: value,
            low: value,
            high: value,
        }
    }
}

/// A further quantity on the same axis.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CourseLine {
    /// Its name, shown at the end of the line: one or two words.
    pub name: String,
    /// Its days. Where low and high differ, the range is drawn as two thin
    /// dotted edges.
    pub points: Vec<CoursePoint>,
}

/// One reading.
#[derive(Debug, Clone, PartialEq)]
pub struct CourseReading {
    /// Days since the start of the chart.
    pub day: f64,
    /// Value read.
    pub value: f64,
    /// Lower end of its 80 % interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// What it is worth.
    pub kind: ReadingKind,
    /// How it was taken, in words: `pH pen, three spots`; may be empty.
    pub what: String,
}

/// What kind of thing was done. Each has its own shape and its own row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum MarkKind {
    /// Food given: a filled bowl.
    Fed,
    /// An amendment given: a filled triangle.
    Dosed,
    /// Water given: a drop.
    Watered,
    /// Bedding added: a barred square.
    Bedding,
    /// Worms put in: a worm.
    Worms,
    /// Worms or castings taken out: an arrow up.
    Harvest,
    /// The bin moved: an arrow to the side.
    Moved,
    /// Turned or drained: three bars.
    Other,
}

/// One thing done, or planned.
#[derive(Debug, Clone, PartialEq)]
pub struct CourseMark {
    /// Days since the start of the chart.
    pub day: f64,
    /// Its kind.
    pub kind: MarkKind,
    /// What it was: `200 g of kitchen scraps`.
    pub label: String,
}

/// On which side of a limit trouble lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trouble {
    /// Above it.
    Above,
    /// Below it.
    Below,
}

/// A level that matters.
#[derive(Debug, Clone, PartialEq)]
pub struct CourseLimit {
    /// Its value, in the unit of the chart.
    pub value: f64,
    /// Where trouble lies.
    pub trouble: Trouble,
    /// What it means, with the value and the unit: `worms leave above 30 °C`.
    pub words: String,
}

/// One quantity of one bin over time.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Distinguishes this picture on a page.
    pub id: String,
    /// What is drawn: `Temperature of the bed`.
    pub title: String,
    /// Unit as shown: `°C`; empty for pH and for counts.
    pub unit: String,
    /// Name of the main line where there are further lines: `core`.
    pub name: String,
    /// Day 0.
    pub start: Date,
    /// First and last day shown; `None` shows all there is.
    pub shown: Option<(f64, f64)>,
    /// Now, in days since the start.
    pub now: Option<f64>,
    /// Smallest and largest value the quantity can have: the axis does not go
    /// beyond them.
    pub possible: (Option<f64>, Option<f64>),
    /// The main line with its range, past and to come.
    pub band: Vec<CoursePoint>,
    /// Further quantities on the same axis; three at most are drawn.
    pub extra: Vec<CourseLine>,
    /// Readings.
    pub readings: Vec<CourseReading>,
    /// What was done, and what is planned.
    pub marks: Vec<CourseMark>,
    /// How many of the last things done, other than feedings, are listed by
    /// name below the chart.
    pub listed: usize,
    /// Levels that matter.
    pub limits: Vec<CourseLimit>,
}

impl Course {
    /// An empty course.
    #[must_use]
    pub fn new(id: &str, title: &str, unit: &str, start: Date) -> Self {
        Self {
            id: id.to_owned(),
            title: title.to_owned(),
            unit: unit.to_owned(),
            name: String::new(),
            start,
            shown: None,
            now: None,
            possible: (None, None),
            band: Vec::new(),
            extra: Vec::new(),
            readings: Vec::new(),
            marks: Vec::new(),
            listed: 0,
            limits: Vec::new(),
        }
    }

    /// What is drawn and in what unit: `Temperature of the bed, °C`.
    fn heading(&self) -> String {
        if self.unit.is_empty() {
            self.title.clone()
        } else {
            format!("{}, {}", self.title, self.unit)
        }
    }
}

/// Space above the plot: a line for the title, a line for `now` [px].
const ABOVE: f64 = 38.0;

/// Draw a course for one size of screen.
///
/// # Example
/// ```
/// use app::chart::{Course, CourseLimit, CoursePoint, Size, Trouble, course_chart};
/// use jiff::civil::date;
///
/// let mut course = Course::new("temperature", "Temperature", "°C", date(2026, 7, 1));
/// course.now = Some(2.0);
/// course.band = (0..30)
///     .map(|d| f64::from(d))
///     .map(|day| CoursePoint { day, median: 20.0 + day / 2.0, low: 18.0, high: 36.0 })
///     .collect();
/// course.limits.push(CourseLimit {
///     value: 30.0,
///     trouble: Trouble::Above,
///     words: "worms leave above 30 °C".to_owned(),
/// });
/// let svg = course_chart(&course, Size::Narrow);
/// assert!(svg.as_str().contains("crossed by the middle value on 22 Jul"));
/// ```
#[must_use]
pub fn course_chart(course: &Course, size: Size) -> Svg {
    let mut clean = Clean::of(course);
    let plane = plane(&clean, size);
    clean.calm(plane.right - plane.left);
    let rows = marks::rows(&clean, &plane);
    let limits = lines::place_limits(&clean, &plane);
    let meant = keys::keys(&clean, &limits, size.width());
    let keys = keys::rows(&meant, size.width());
    let mut notes = marks::notes(&clean);
    notes.extend(clean.calm_words());
    let dates_at = plane.bottom + marks::ROW * rows.len() as f64 + 18.0;
    let below = dates_at + 8.0 + keys::ROW * (keys.len() + notes.len()) as f64;
    let mut sheet = Sheet::new(size.width(), below + 6.0);
    sheet.text("name", (2.0, 14.0), Anchor::Start, &course.heading());
    rule(&mut sheet, &plane);
    dates::draw(&mut sheet, &plane, course.start, dates_at);
    lines::draw_limits(&mut sheet, &plane, &limits);
    lines::draw_band(&mut sheet, &plane, &clean);
    lines::draw_extra(&mut sheet, &plane, &clean);
    if let Some(now) = clean.now {
        draw_now(&mut sheet, &plane, now, dates_at - 13.0);
    }
    lines::draw_readings(&mut sheet, &plane, &clean);
    lines::draw_limit_words(&mut sheet, &limits);
    marks::draw(&mut sheet, &plane, &rows);
    if clean.is_empty() {
        let at = (
            f64::midpoint(plane.left, plane.right),
            f64::midpoint(plane.top, plane.bottom),
        );
        sheet.text("note", at, Anchor::Middle, "nothing to draw yet");
    }
    let mut y = keys::draw(&mut sheet, &keys, dates_at + 22.0);
    for note in notes {
        sheet.text("note", (4.0, y), Anchor::Start, &note);
        y += keys::ROW;
    }
    let id = format!("{}-{}", course.id, size.word());
    let title = format!("{} over time", course.heading());
    sheet.finish(&id, "chart course", &title, &words::in_words(&clean))
}

/// The plotting field: room on the left for the widest number, on the right
/// for the names of the lines.
fn plane(clean: &Clean<'_>, size: Size) -> Plane {
    let step = clean.step;
    let widest = [clean.values.0, clean.values.1]
        .map(|v| text_width(&format!("{v:.*}", places(step)), TEXT))
        .into_iter()
        .fold(0.0, f64::max);
    let left = (widest + 12.0).max(30.0);
    let names = clean
        .names()
        .map(|name| text_width(name, TEXT))
        .fold(0.0, f64::max);
    let room = if names > 0.0 {
        (names + 10.0).min(size.width() * 0.27)
    } else {
        12.0
    };
    let tall = if size == Size::Wide { 184.0 } else { 164.0 };
    let (top, bottom, right) = (ABOVE, ABOVE + tall, size.width() - room);
    Plane {
        x: Scale::new(clean.days.0, clean.days.1, 1.0, left, right),
        y: Scale::new(clean.values.0, clean.values.1, 1e-6, bottom, top),
        left,
        right,
        top,
        bottom,
    }
}

/// Rulings and numbers on the left.
fn rule(sheet: &mut Sheet, plane: &Plane) {
    let marks = plane.y.marks(4.0);
    let step = marks.get(1).map_or(1.0, |b| b - marks[0]);
    for v in marks {
        let y = plane.y.at(v);
        let faint = r#"stroke-opacity="0.18""#;
        sheet.line("rule", (plane.left, y), (plane.right, y), faint);
        let text = crate::report::decimals(v, places(step));
        sheet.text("tick", (plane.left - 6.0, y + 4.0), Anchor::End, &text);
    }
    let (top, bottom) = ((plane.left, plane.top), (plane.left, plane.bottom));
    sheet.line("axis", top, bottom, "");
}

fn draw_now(sheet: &mut Sheet, plane: &Plane, now: f64, foot: f64) {
    let x = plane.x.at(now);
    let d = format!("M{} {}V{}", n(x), n(plane.top - 2.0), n(foot));
    sheet.stroke("now", &d, 1.5, r#"stroke-opacity="0.85""#);
    let (left, half) = (plane.left - 3.0, text_width("now", TEXT) / 2.0);
    let at = x.clamp(left + half, sheet.width - half);
    sheet.text("strong", (at, plane.top - 7.0), Anchor::Middle, "now");
}
