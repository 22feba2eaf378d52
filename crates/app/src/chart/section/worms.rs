//! Worms, drawn where they are said to be.

use super::{BinSection, Layout, WormsAt, box_parts};
use crate::chart::ink::Sheet;
use crate::chart::sketch::{Area, spread, worm};
use engine::log::Lid;
use std::f64::consts::PI;

/// Where the label for the worms points.
pub(super) fn pointed_at(layout: &Layout, data: &BinSection) -> (f64, f64) {
    let (inside, bedding) = (layout.inside, layout.bedding(data));
    match data.worms {
        WormsAt::Climbing => (inside.right() - 3.0, f64::midpoint(inside.y, bedding.y)),
        WormsAt::Left => (inside.right() + layout.wall + 4.0, inside.bottom() - 8.0),
        WormsAt::Balled => bedding.share(0.5, 0.45),
        WormsAt::Edge => bedding.share(0.96, 0.75),
        _ => bedding.share(0.85, 0.62),
    }
}

pub(super) fn draw(sheet: &mut Sheet, layout: &Layout, data: &BinSection, small: bool) {
    let bedding = layout.bedding(data);
    if data.lid == Lid::Cover && bedding.h >= 1.0 {
        box_parts::draw_cover(sheet, bedding);
    }
    let count = if small { 7 } else { 13 };
    let long = if small { 8.0 } else { 17.0 };
    let d: String = (0..count)
        .filter_map(|i| place(layout, data, bedding, i, count, long))
        .map(|(at, heading)| worm(at, long, heading))
        .collect();
    let width = if small { 1.7 } else { 2.8 };
    sheet.stroke("worm", &d, width, r#"stroke-linecap="round""#);
}

type Lying = ((f64, f64), f64);

/// Where the `i`th worm of `count` starts, and its heading.
fn place(
    layout: &Layout,
    data: &BinSection,
    bedding: Area,
    i: usize,
    count: usize,
    long: f64,
) -> Option<Lying> {
    let inside = layout.inside;
    let share = (i as f64 + 0.5) / count as f64;
    let tilt = (spread(i, 0.45) - 0.5) * 1.1;
    match data.worms {
        WormsAt::None | WormsAt::NotKnown => None,
        WormsAt::Spread => {
            let room = (bedding.w - long * 1.6).max(1.0);
            let down = 0.15 + 0.75 * spread(i, 0.33);
            let at = (bedding.x + 3.0 + room * share, bedding.y + bedding.h * down);
            (bedding.h > 6.0).then_some((at, tilt))
        }
        WormsAt::Climbing => climbing(inside, bedding, i, long),
        WormsAt::Edge => {
            let at = match i % 3 {
                0 => (bedding.x + 4.0, bedding.y + bedding.h * share),
                1 => (bedding.right() - 4.0, bedding.y + bedding.h * share),
                _ => {
                    let room = (bedding.w - long * 1.6).max(1.0);
                    return Some((
                        (bedding.x + 3.0 + room * share, bedding.bottom() - 4.0),
                        0.0,
                    ));
                }
            };
            Some((
                at,
                if i.is_multiple_of(2) {
                    -PI / 2.0
                } else {
                    PI / 2.0
                },
            ))
        }
        WormsAt::Balled => {
            let angle = share * 2.0 * PI;
            let (x, y) = bedding.share(0.5, 0.5);
            Some((
                (x + angle.cos() * long * 0.35, y + angle.sin() * long * 0.25),
                angle + 1.9,
            ))
        }
        WormsAt::Left => {
            let out = layout.wall + 3.0;
            let floor = inside.bottom() + layout.wall;
            let up = spread(i, 0.2) * inside.h * 0.4;
            match i % 4 {
                0 => Some(((inside.x - out, floor - up), -PI / 2.0)),
                1 => Some(((inside.right() + out, floor - up), -PI / 2.0)),
                _ => None,
            }
        }
    }
}

/// On the walls above the bedding, one over the other, and under the lid; no
/// more than there is room for.
fn climbing(inside: Area, bedding: Area, i: usize, long: f64) -> Option<Lying> {
    let gap = (bedding.y - inside.y).max(long);
    let fit = (gap / (long * 1.1)).floor().max(1.0);
    let nth = (i / 3) as f64;
    let up = bedding.y - 1.0 - nth * gap / fit - spread(i, 0.1) * (gap / fit - long).max(0.0);
    match i % 3 {
        0 | 1 if nth >= fit => None,
        0 => Some(((inside.x + 4.5, up), -PI / 2.0)),
        1 => Some(((inside.right() - 4.5, up), -PI / 2.0)),
        _ => {
            let room = (inside.w - long * 1.8).max(1.0);
            let at = inside.x + 3.0 + room * spread(i, 0.6);
            Some(((at, inside.y + 4.0), 0.0))
        }
    }
}
