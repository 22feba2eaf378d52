//! Walls, lid, drain and scale bar.

use super::{BinSection, Layout};
use crate::chart::ink::{Sheet, n};
use crate::chart::plane::round_step;
use crate::chart::sketch::{Area, by_hand, crumbs};
use crate::report::{self, Units};
use engine::log::{Lid, Walls};
use std::fmt::Write;

/// Drawn wall thickness [px]; a sign of the material, not its true gauge.
pub(super) fn thickness(walls: Walls) -> f64 {
    match walls {
        Walls::Plastic => 4.0,
        Walls::Metal => 3.0,
        Walls::Fabric => 3.0,
        Walls::Wood => 9.0,
        Walls::Foam => 12.0,
        Walls::Masonry => 12.0,
    }
}

/// A length [cm] in the keeper's units.
pub(super) fn length_words(cm: f64, units: Units) -> String {
    match units {
        Units::Metric => format!("{} cm", report::decimals(cm, 0)),
        Units::Us => format!("{} in", report::decimals(cm / 2.54, 0)),
    }
}

/// A round length near a quarter of the bin [cm], and its words.
pub(super) fn scale_bar(length_cm: f64, units: Units) -> (f64, String) {
    match units {
        Units::Metric => {
            let cm = round_step(length_cm / 5.0);
            (cm, format!("{} cm", n(cm)))
        }
        Units::Us => {
            let inches = round_step(length_cm / 2.54 / 5.0);
            (inches * 2.54, format!("{} in", n(inches)))
        }
    }
}

pub(super) fn draw(sheet: &mut Sheet, layout: &Layout, data: &BinSection, small: bool) {
    draw_walls(sheet, layout, data);
    draw_lid(sheet, layout, data.lid, small);
    if data.drains {
        draw_drain(sheet, layout, small);
    }
}

/// The three sides of the box as areas: left, floor, right.
fn sides(layout: &Layout) -> [Area; 3] {
    let (i, w) = (layout.inside, layout.wall);
    [
        Area {
            x: i.x - w,
            y: i.y,
            w,
            h: i.h + w,
        },
        Area {
            x: i.x,
            y: i.bottom(),
            w: i.w,
            h: w,
        },
        Area {
            x: i.right(),
            y: i.y,
            w,
            h: i.h + w,
        },
    ]
}

fn draw_walls(sheet: &mut Sheet, layout: &Layout, data: &BinSection) {
    let (i, w) = (layout.inside, layout.wall);
    let outline = |out: f64, seed: usize| -> String {
        let (left, right, floor) = (i.x - out, i.right() + out, i.bottom() + out);
        by_hand((left, i.y), (left, floor), seed)
            + &by_hand((left, floor), (right, floor), seed + 1)
            + &by_hand((right, floor), (right, i.y), seed + 2)
    };
    let round = r#"stroke-linecap="round""#;
    match data.walls {
        Walls::Metal => return sheet.stroke("wall", &outline(w / 2.0, 1), w, round),
        Walls::Fabric => {
            let dashes = r#"stroke-dasharray="5 3""#;
            sheet.stroke("wall", &outline(w / 2.0, 1), 2.5, dashes);
            return;
        }
        _ => {}
    }
    sheet.stroke("wall", &outline(0.0, 1), 1.3, round);
    sheet.stroke("wall", &outline(w, 4), 1.3, round);
    let rims = format!(
        "M{} {y}h{w}M{} {y}h{w}",
        n(i.x - w),
        n(i.right()),
        y = n(i.y),
        w = n(w)
    );
    sheet.stroke("wall", &rims, 1.3, "");
    for side in sides(layout) {
        let faint = r#"stroke-opacity="0.6" stroke-linecap="round""#;
        match data.walls {
            Walls::Foam => sheet.stroke("wall", &crumbs(side, 5.0), 1.5, faint),
            Walls::Wood => sheet.stroke("wall", &grain(side), 0.8, faint),
            Walls::Masonry => sheet.stroke("wall", &joints(side), 0.9, faint),
            _ => {}
        }
    }
}

/// Wood grain: lines along the board.
fn grain(side: Area) -> String {
    let upright = side.h > side.w;
    (1..3)
        .map(|k| {
            let share = f64::from(k) / 3.0;
            if upright {
                by_hand(side.share(share, 0.02), side.share(share, 0.98), k as usize)
            } else {
                by_hand(side.share(0.02, share), side.share(0.98, share), k as usize)
            }
        })
        .collect()
}

/// Courses of brick: joints across the wall.
fn joints(side: Area) -> String {
    let upright = side.h > side.w;
    let count = (side.h.max(side.w) / 16.0).floor() as usize;
    let mut d = String::new();
    for k in 1..=count {
        let share = k as f64 / (count + 1) as f64;
        let _ = if upright {
            write!(
                d,
                "M{} {}h{}",
                n(side.x),
                n(side.y + side.h * share),
                n(side.w)
            )
        } else {
            write!(
                d,
                "M{} {}v{}",
                n(side.x + side.w * share),
                n(side.y),
                n(side.h)
            )
        };
    }
    d
}

fn draw_lid(sheet: &mut Sheet, layout: &Layout, lid: Lid, small: bool) {
    let (i, w) = (layout.inside, layout.wall);
    let over = if small { 2.0 } else { 5.0 };
    let thick = if small { 3.0 } else { 6.0 };
    let (left, right) = (i.x - w - over, i.right() + w + over);
    let y = i.y - 2.0;
    let slab =
        |from: f64, to: f64| format!("M{} {}H{}v{}H{}Z", n(from), n(y), n(to), n(-thick), n(from));
    match lid {
        Lid::Open => {}
        Lid::Tight => {
            let lips = format!(
                "M{} {}v{}M{} {}v{}",
                n(left),
                n(y),
                n(thick),
                n(right),
                n(y),
                n(thick)
            );
            sheet.stroke("lid", &(slab(left, right) + &lips), 1.5, "");
        }
        Lid::Vented => {
            let gap = if small { 3.0 } else { 6.0 };
            let pieces = 4.0;
            let wide = (right - left - gap * (pieces - 1.0)) / pieces;
            let d: String = (0..4)
                .map(|k| {
                    let from = left + f64::from(k) * (wide + gap);
                    slab(from, from + wide)
                })
                .collect();
            sheet.stroke("lid", &d, 1.4, "");
        }
        Lid::Cover => {}
    }
}

/// A cloth on the bedding; drawn with the box because its lid is the cover.
pub(super) fn draw_cover(sheet: &mut Sheet, bedding: Area) {
    let mut d = format!("M{} {}", n(bedding.x + 1.0), n(bedding.y - 4.0));
    let folds = (bedding.w / 14.0).floor().max(2.0);
    let step = (bedding.w - 2.0) / folds;
    for k in 0..folds as usize {
        let rise = if k % 2 == 0 { -3.0 } else { 3.0 };
        let _ = write!(d, "q{} {} {} 0", n(step / 2.0), n(rise), n(step));
    }
    sheet.stroke("cover", &d, 2.6, r#"stroke-linecap="round""#);
}

fn draw_drain(sheet: &mut Sheet, layout: &Layout, small: bool) {
    let (i, w) = (layout.inside, layout.wall);
    let (x, y) = (i.x + i.w * 0.12, i.bottom() + w);
    let size = if small { 0.6 } else { 1.0 };
    let drop = format!(
        "M{} {}v{}m0 {}q{} {} 0 {}q{} {} 0 {}Z",
        n(x),
        n(y - w),
        n(w + 3.0 * size),
        n(2.0 * size),
        n(4.0 * size),
        n(5.0 * size),
        n(6.0 * size),
        n(-4.0 * size),
        n(-size),
        n(-6.0 * size),
    );
    sheet.stroke("drain", &drop, 1.3, "");
}
