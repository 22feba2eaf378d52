//! What was done: one row and one shape for each kind, below the plot.

use super::clean::Clean;
use super::dates::day_words;
use super::{CourseMark, MarkKind};
use crate::chart::ink::{Sheet, n};
use crate::chart::plane::Plane;
use crate::report;

/// Height of a row [px].
pub(super) const ROW: f64 = 15.0;
/// Marks closer than this are joined [px].
const NEAR: f64 = 12.0;

impl MarkKind {
    /// What was done, in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Fed => "fed",
            Self::Dosed => "dosed",
            Self::Watered => "watered",
            Self::Bedding => "bedding added",
            Self::Worms => "worms put in",
            Self::Harvest => "harvested",
            Self::Moved => "moved",
            Self::Other => "turned or drained",
        }
    }
}

/// Marks of one kind, as places on the axis, joined where they are near.
pub(super) struct Row {
    kind: MarkKind,
    groups: Vec<Group>,
}

struct Group {
    /// Places of its marks [px], in order.
    at: Vec<f64>,
    /// All of it lies in the future.
    planned: bool,
}

/// The kinds there are, in their order.
pub(super) fn kinds(marks: &[&CourseMark]) -> Vec<MarkKind> {
    let mut kinds: Vec<MarkKind> = marks.iter().map(|m| m.kind).collect();
    kinds.sort_unstable();
    kinds.dedup();
    kinds
}

/// One row for each kind.
pub(super) fn rows(clean: &Clean<'_>, plane: &Plane) -> Vec<Row> {
    let row = |kind: MarkKind| {
        let mut groups: Vec<Group> = Vec::new();
        for mark in clean.marks.iter().filter(|m| m.kind == kind) {
            let x = plane.x.at(mark.day);
            let planned = clean.now.is_some_and(|now| mark.day > now);
            match groups.last_mut() {
                Some(g) if g.planned == planned && g.at.last().is_some_and(|l| x - l < NEAR) => {
                    g.at.push(x);
                }
                _ => groups.push(Group {
                    at: vec![x],
                    planned,
                }),
            }
        }
        Row { kind, groups }
    };
    kinds(&clean.marks).into_iter().map(row).collect()
}

/// Draw the rows. What is planned is fainter and hollow.
pub(super) fn draw(sheet: &mut Sheet, plane: &Plane, rows: &[Row]) {
    for (i, row) in rows.iter().enumerate() {
        let y = plane.bottom + ROW * (i as f64 + 0.5) + 2.0;
        for group in &row.groups {
            let (Some(first), Some(last)) = (group.at.first(), group.at.last()) else {
                continue;
            };
            sheet.raw(if group.planned {
                r#"<g class="marks planned" opacity="0.55">"#
            } else {
                r#"<g class="marks">"#
            });
            if last - first >= 1.0 {
                draw_run(sheet, &group.at, y);
            }
            mark(sheet, row.kind, (*first, y), group.planned);
            if last - first >= NEAR * 0.8 {
                mark(sheet, row.kind, (*last, y), group.planned);
            }
            sheet.raw("</g>");
        }
    }
}

/// A bar with a small tick for each mark it joins.
fn draw_run(sheet: &mut Sheet, at: &[f64], y: f64) {
    let (first, last) = (at[0], at[at.len() - 1]);
    let mut d = format!("M{} {}H{}", n(first), n(y), n(last));
    let mut drawn = first;
    for x in at {
        if x - drawn >= 2.5 {
            d.push_str(&format!("M{} {}V{}", n(*x), n(y - 3.0), n(y + 3.0)));
            drawn = *x;
        }
    }
    sheet.stroke("run", &d, 1.25, "");
}

/// The shape of a kind; hollow where it is only planned.
fn mark(sheet: &mut Sheet, kind: MarkKind, (x, y): (f64, f64), planned: bool) {
    match outline(kind, x, y).filter(|_| planned) {
        Some(d) => sheet.stroke("mark", &d, 1.5, ""),
        None => shape(sheet, kind, x, y),
    }
}

/// The outline of a shape that is filled when it is done.
fn outline(kind: MarkKind, x: f64, y: f64) -> Option<String> {
    let at = |dx: f64, dy: f64| format!("{} {}", n(x + dx), n(y + dy));
    Some(match kind {
        MarkKind::Fed => format!("M{}h10a5 5.5 0 0 1 -10 0Z", at(-5.0, -2.5)),
        MarkKind::Dosed => format!("M{}l5 9h-10Z", at(0.0, -5.0)),
        MarkKind::Watered => format!("M{}c5 6 4.5 10 0 10s-5 -4 0 -10Z", at(0.0, -5.5)),
        _ => return None,
    })
}

/// The shape of a kind, ten pixels high.
pub(super) fn shape(sheet: &mut Sheet, kind: MarkKind, x: f64, y: f64) {
    let at = |dx: f64, dy: f64| format!("{} {}", n(x + dx), n(y + dy));
    match kind {
        MarkKind::Fed | MarkKind::Dosed | MarkKind::Watered => {
            let class = match kind {
                MarkKind::Dosed => "mark dose",
                MarkKind::Watered => "mark water",
                _ => "mark",
            };
            sheet.fill(class, &outline(kind, x, y).unwrap_or_default(), 1.0);
        }
        MarkKind::Bedding => {
            let d = format!("M{}h9v9h-9ZM{}h9", at(-4.5, -4.5), at(-4.5, 0.0));
            sheet.stroke("mark", &d, 1.5, "");
        }
        MarkKind::Worms => {
            let d = format!("M{}c2 -6 4 -6 6 -1s4 4 6 -1", at(-6.0, 2.0));
            sheet.stroke("mark worm", &d, 2.5, r#"stroke-linecap="round""#);
        }
        MarkKind::Harvest => {
            let d = format!("M{}l4 -4l4 4M{}v9", at(-4.0, -0.5), at(0.0, -4.5));
            sheet.stroke("mark", &d, 2.0, "");
        }
        MarkKind::Moved => {
            let d = format!("M{}l4 4l-4 4M{}h9", at(0.5, -4.0), at(-4.5, 0.0));
            sheet.stroke("mark", &d, 2.0, "");
        }
        MarkKind::Other => {
            let d = format!(
                "M{}h9M{}h9M{}h9",
                at(-4.5, -3.5),
                at(-4.5, 0.0),
                at(-4.5, 3.5)
            );
            sheet.stroke("mark", &d, 1.5, "");
        }
    }
}

/// `fed 12 times, 3 more planned`.
pub(super) fn counted(clean: &Clean<'_>, kind: MarkKind) -> String {
    let of_kind = || clean.marks.iter().filter(|m| m.kind == kind);
    let planned = clean
        .now
        .map_or(0, |now| of_kind().filter(|m| m.day > now).count());
    let done = of_kind().count() - planned;
    let times = |n: usize| match n {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        n => format!("{n} times"),
    };
    match (done, planned) {
        (0, p) => format!("{}, planned {}", kind.words(), times(p)),
        (d, 0) => format!("{} {}", kind.words(), times(d)),
        (d, p) => format!("{} {}, {p} more planned", kind.words(), times(d)),
    }
}

/// The last things done by name, and how many earlier ones there are.
/// Feedings come too often to be listed: they are counted.
pub(super) fn notes(clean: &Clean<'_>) -> Vec<String> {
    let most = clean.course.listed.min(12);
    let told = |m: &&&CourseMark| {
        let done = clean.now.is_none_or(|now| m.day <= now);
        done && m.kind != MarkKind::Fed && !m.label.is_empty()
    };
    let named: Vec<&&CourseMark> = clean.marks.iter().filter(told).collect();
    let first = named.len().saturating_sub(most);
    let mut lines: Vec<String> = named[first..]
        .iter()
        .map(|m| format!("{}: {}", day_words(clean.course.start, m.day), m.label))
        .collect();
    if first > 0 && most > 0 {
        lines.push(format!(
            "and {} earlier",
            report::count(first, "entry", "entries")
        ));
    }
    lines
}
